"""Read a yarn text: a number, its ply and its system, however the trade spells them.

The grammar, after spaces and case are evened out::

    yarn    = (number system | system number | put-up) ["x" strands]
    number  = count | count "/" ply | ply "/" count
    put-up  = length unit "/" [mass] unit, as 400 m/100 g

Where a comma, or in a put-up a point, may part decimals or thousands, it is asked back.
"""

from __future__ import annotations

from functools import lru_cache

from weavefuncs.errors import WeaveError
from weavefuncs.shared.units import LENGTH_IN_METRES, MASS_IN_GRAMS, SYNONYMS
from weavefuncs.shared.yarn_systems import (
    AMBIGUOUS_YARNS,
    FOLDED_SYSTEMS,
    YARN_GRISTS,
    YARN_SPELLINGS,
    YARN_SYSTEMS,
)

# Longer than any yarn that a person writes.
LONGEST_TEXT = 100

# From a single filament to a rope that no loom takes.
LEAST_TEX, MOST_TEX = 0.01, 1e6
RANGE = f"from {LEAST_TEX:g} to {MOST_TEX:,.0f} tex"

MOST_PLY = 100

# Of two whole numbers from here on either may be the ply, as in 12s seine twine of 18 plies: common practice,
# no source.
PLY_OR_COUNT = 10

# The mass of a put-up, in the unit it is written in.
LEAST_MASS, MOST_MASS = 0.001, 1e6

DIGITS = "0123456789"

_LISTED = ", ".join(YARN_SYSTEMS) + ", or any length per mass such as yd/lb or m/100 g"
YARN_REQUIREMENT = "a yarn with its system, such as 8/2 Ne"
SYSTEM_REQUIREMENT = "a yarn system, such as Ne"


class System:
    """A way of numbering yarns.

    Attributes
    ----------
    name : str
        The spelling that this library writes.
    direct : bool
        Whether a higher number is a heavier yarn.
    one : float
        Tex of number 1.
    folded : bool
        Whether the number of a plied yarn already counts the plied yarn.
    put_up : bool
        Whether it is a length per mass, which takes no ply.
    """

    __slots__ = ("direct", "folded", "name", "one", "put_up")

    def __init__(self, name: str, direct: bool, one: float, put_up: bool = False) -> None:
        self.name = name
        self.direct = direct
        self.one = one
        self.folded = name in FOLDED_SYSTEMS
        self.put_up = put_up

    def tex(self, number: float) -> float:
        """Return the tex of a yarn with this number."""
        return number * self.one if self.direct else self.one / number

    def number(self, tex: float) -> float:
        """Return the number of a yarn of this tex."""
        return tex / self.one if self.direct else self.one / tex


SYSTEMS = {name: System(name, kind == "direct", one) for name, (_, kind, one, _) in YARN_SYSTEMS.items()}
_BY_SPELLING = {name.casefold(): system for name, system in SYSTEMS.items()}
_BY_SPELLING.update((spelling, SYSTEMS[name]) for spelling, name in YARN_SPELLINGS.items())


class Yarn:
    """A yarn as it was written.

    Attributes
    ----------
    system : System
        The system of its number.
    ply : int
        The ply that stands beside the number, 1 where none does.
    strands : int
        The strands written out as ``x 3``, 1 where none are.
    tex : float
        Grams in 1000 m of the whole yarn.
    """

    __slots__ = ("ply", "strands", "system", "tex")

    def __init__(self, system: System, number: float, ply: int, strands: int) -> None:
        self.system = system
        self.ply = ply
        self.strands = strands
        self.tex = system.tex(number) * strands * (1 if system.folded else ply)

    def write(self, tex: float) -> str:
        """Write a yarn of another weight in the same system, ply and strands, at full precision."""
        if not LEAST_TEX <= tex <= MOST_TEX:
            raise WeaveError("the resulting yarn", RANGE, f"{tex:.6g} tex")
        system, ply, strands = self.system, self.ply, self.strands
        number = system.number(tex / strands / (1 if system.folded else ply))
        written = _put_up_decimal(number) if system.put_up else plain_decimal(number)
        # The smaller of two numbers would be read as the ply, or either of them.
        if ply > number or _either_is_ply(ply, number):
            ply, strands = 1, strands * (1 if system.folded else ply)
        beside = f"/{ply}" if ply > 1 else ""
        after = f" x {strands}" if strands > 1 else ""
        return f"{written}{beside} {system.name}{after}"


def plain_decimal(number: float) -> str:
    """Write a positive number so that reading it gives the same float, never with an exponent."""
    text = repr(float(number))
    if "e" in text:
        text = f"{number:.40f}".rstrip("0")
    return text.removesuffix(".0").removesuffix(".")


def _put_up_decimal(number: float) -> str:
    """Write a number of a length per mass, where three decimals are asked back: 1.125 as 1.1250."""
    text = plain_decimal(number)
    return text + "0" if _is_grouped(text) else text


def parse_yarn(name: str, value: object) -> Yarn:
    """Read a yarn text; ``name`` is the argument that an error names."""
    return _read_yarn(name, _checked(name, value, YARN_REQUIREMENT))


def parse_tex(name: str, value: object) -> float:
    """Read a yarn text and return its tex."""
    return parse_yarn(name, value).tex


def parse_system(name: str, value: object) -> System:
    """Read the name of a yarn system, or a length per mass such as m/100 g."""
    return _read_system(name, _checked(name, value, SYSTEM_REQUIREMENT))


def _checked(name: str, value: object, requirement: str) -> str:
    if not isinstance(value, str):
        raise WeaveError(name, f"{requirement} (systems: {_LISTED})", value)
    if len(value) > LONGEST_TEXT:
        raise WeaveError(name, f"{requirement}, in at most {LONGEST_TEXT} characters", value)
    return value


class _UnreadableError(Exception):
    """Why a text is no yarn."""


@lru_cache(maxsize=4096)
def _read_yarn(name: str, text: str) -> Yarn:
    try:
        return _yarn(_pieces(text))
    except _UnreadableError as problem:
        raise WeaveError(name, f"{YARN_REQUIREMENT}: {problem} (systems: {_LISTED})", text) from None


@lru_cache(maxsize=256)
def _read_system(name: str, text: str) -> System:
    try:
        return _system(_pieces(text))
    except _UnreadableError as problem:
        raise WeaveError(name, f"{SYSTEM_REQUIREMENT}: {problem} (systems: {_LISTED})", text) from None


def _pieces(text: str) -> list[str]:
    """Split into numbers as written, words, and signs; ``x`` and ``/`` stand for their spellings."""
    pieces: list[str] = []
    last = ""
    text = text.casefold().replace("'s", "s").replace("’s", "s")
    for char, following in zip(text, text[1:] + " "):
        if char in DIGITS or char in ".,":
            kind = "number"
            if char == "." and last == "word" and following not in DIGITS:
                continue  # an abbreviation's full stop, as in lb.
        elif char.isalpha():
            kind = "word"
        else:
            kind = ""
        if kind and kind == last:
            pieces[-1] += char
        elif not char.isspace():
            pieces.append(char)
        last = kind
    signs = {"×": "x", "*": "x", "per": "/"}
    return [signs.get(piece, piece) for piece in pieces]


def _is_number(piece: str) -> bool:
    return piece[0] in DIGITS or piece[0] in ".,"


def _is_grouped(piece: str) -> bool:
    """Tell whether a number may be whole, its sign parting thousands: one to three digits, then three."""
    whole, _, decimals = piece.replace(",", ".").partition(".")
    return len(decimals) == 3 and decimals.isdigit() and bool(whole.strip("0")) and len(whole) <= 3


def _number(piece: str, put_up: bool = False) -> float:
    """Read a number; in a length per mass a point may part thousands too, as a comma may anywhere."""
    if _is_grouped(piece) and (put_up or "," in piece):
        whole, decimals = piece[:-4], f"{piece[:-4]}.{piece[-3:]}"
        if put_up:
            decimals = _put_up_decimal(float(decimals))
        raise _UnreadableError(f"{piece} may mean {whole}{piece[-3:]} or {decimals}; write one of these")
    try:
        number = float(piece.replace(",", "."))
    except ValueError:
        raise _UnreadableError(f"{piece} is not a number") from None
    if number == 0:
        raise _UnreadableError("its number must be above 0")
    return number


def _either_is_ply(less: float, more: float) -> bool:
    """Tell whether of two numbers that differ each may be the ply."""
    return less == int(less) and more == int(more) and PLY_OR_COUNT <= less < more <= MOST_PLY


def _count_and_ply(first: float, second: float, system: System) -> tuple[float, int]:
    """Tell the ply from the count: the only whole number, else the smaller one, where it is small."""
    wholes = [number for number in (first, second) if number == int(number)]
    if not wholes:
        raise _UnreadableError("one of its two numbers must be a whole ply")
    if _either_is_ply(min(first, second), max(first, second)):
        one, other = plain_decimal(first), plain_decimal(second)
        either = [
            f"{count} {system.name}" + ("" if system.folded else f" x {ply}")
            for count, ply in ((one, other), (other, one))
        ]
        raise _UnreadableError(f"{one}/{other} may be {' or '.join(either)}: write which")
    ply = min(wholes)
    count = second if ply == first else first
    return count, _ply(ply)


def _ply(number: float) -> int:
    if number != int(number) or number > MOST_PLY:
        raise _UnreadableError(f"its ply must be a whole number up to {MOST_PLY}")
    return int(number)


def _yarn(pieces: list[str]) -> Yarn:
    strands = 1
    if len(pieces) > 2 and pieces[-2] == "x" and _is_number(pieces[-1]):
        strands = _ply(_number(pieces[-1]))
        pieces = pieces[:-2]
    numbers, rest = _split(pieces)
    if not numbers:
        raise _UnreadableError("it has no number")
    if not rest:
        raise _UnreadableError("a bare number could be of any system")
    system = _system(rest)
    if len(numbers) == 1:
        number, ply = _number(numbers[0], system.put_up), 1
    elif len(numbers) == 3 and numbers[1] == "/":
        if system.put_up:
            raise _UnreadableError("a length per mass is of the whole yarn and takes no ply before it")
        if system.direct:
            raise _UnreadableError(
                f"{system.name} takes no slash, which would count filaments: "
                f"write strands as 20 {system.name} x 3"
            )
        number, ply = _count_and_ply(_number(numbers[0]), _number(numbers[2]), system)
    else:
        raise _UnreadableError("its number must be one count, or a count and a ply as 8/2")
    if ply * strands > MOST_PLY:
        raise _UnreadableError(f"its plies and strands together must be at most {MOST_PLY}")
    yarn = Yarn(system, number, ply, strands)
    if not LEAST_TEX <= yarn.tex <= MOST_TEX:
        raise _UnreadableError(f"it must be {RANGE}")
    return yarn


def _split(pieces: list[str]) -> tuple[list[str], list[str]]:
    """Split into the pieces of the number and those of the system, whichever comes first."""
    start = 0
    while start < len(pieces) and pieces[start].isalpha():
        start += 1
    end = start
    numbers = []
    while end < len(pieces) and (_is_number(pieces[end]) or pieces[end] in ("/", "s")):
        if pieces[end] != "s":  # the s of 20s
            numbers.append(pieces[end])
        end += 1
    if start and end < len(pieces):
        raise _UnreadableError("its system must stand before or after its number")
    return numbers, pieces[:start] or pieces[end:]


def _system(pieces: list[str]) -> System:
    if "/" in pieces:
        at = pieces.index("/")
        return _put_up(pieces[:at], pieces[at + 1 :])
    word = " ".join(pieces)
    if word in YARN_GRISTS:
        length, mass = YARN_GRISTS[word]
        return _put_up([length], [mass])
    if word in AMBIGUOUS_YARNS:
        raise _UnreadableError(AMBIGUOUS_YARNS[word])
    system = _BY_SPELLING.get(word.removesuffix("s"))
    if system is None:
        raise _UnreadableError(f"{word} is no system known here" if word else "it names none")
    return system


def _put_up(before: list[str], after: list[str]) -> System:
    amount = 1.0
    if after and _is_number(after[0]):
        amount = _number(after[0], put_up=True)
        after = after[1:]
        if not LEAST_MASS <= amount <= MOST_MASS:
            raise _UnreadableError(f"the mass of a put-up must be from {LEAST_MASS:g} to {MOST_MASS:,.0f}")
    length, metres = _unit(before, LENGTH_IN_METRES, "length")
    mass, grams = _unit(after, MASS_IN_GRAMS, "mass")
    per = mass if amount == 1 else f"{_put_up_decimal(amount)} {mass}"
    return System(f"{length}/{per}", False, 1000 * amount * grams / metres, put_up=True)


def _unit(pieces: list[str], units: dict[str, float], what: str) -> tuple[str, float]:
    word = " ".join(pieces)
    name = SYNONYMS.get(word, word)
    if name not in units:
        raise _UnreadableError(f"{word or 'nothing'} is no unit of {what} ({', '.join(units)})")
    return name, units[name]
