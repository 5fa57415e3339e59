"""Weaves: the repeat behind a weave text or a grid.

A weave is its repeat, one row of 1 (warp up) and 0 a pick. Every construction
below follows the same rules: ends are numbered from the left, picks from the
bottom, and the first group that a weave names is lifted at end 1 on pick 1.
"""

from __future__ import annotations

from functools import lru_cache

from weavefuncs.errors import WeaveError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import Any

# Grids beyond this are pictures, and would fill the memory of a spreadsheet program.
MOST_CELLS = 4_000_000

# Each row of a grid is an object of its own: very many short ones take far more memory than their cells.
MOST_GRID_PICKS = 250_000

# No loom has as many shafts, and a jacquard repeat is a grid rather than a text.
MOST_THREADS = 1024

# Shafts of the largest dobby: the cut of a herringbone is looked for among as many.
MOST_HERRINGBONE_SHAFTS = 40

LONGEST_TEXT = 200

# A weave drawn as a text fills a cell at most.
LONGEST_DRAWN = 32767

WEAVE_REQUIREMENT = "a weave such as 2/2 twill, or a grid of 1 and 0"
GRID_REQUIREMENT = "a grid of 1 and 0"
KNOWN = (
    "plain, 2/2 twill, 2/2 twill left, 2/2 broken twill, 2/2 herringbone 8, 5 satin 2, 5 sateen 2, "
    "2/2 basket, 2/2 warp rib, 2/2 weft rib, or drawn pick by pick as 1100 0110 0011 1001"
)

SYNONYMS = {
    "tabby": "plain",
    "plain weave": "plain",
    "broken": "broken twill",
    "herringbone twill": "herringbone",
}

_CELL = {0: 0, 1: 1}
_CELL_VALUES = b"\x00\x01"
_DRAWN_SIGNS = dict.fromkeys(map(ord, "01 \t\n\r"))
_OPPOSITE = bytes.maketrans(b"\x00\x01", b"\x01\x00")


class Weave:
    """A weave that repeats without end.

    Attributes
    ----------
    name : str
        The weave as a text, evened out; empty for a grid.
    family : str
        One of plain, twill, broken twill, herringbone, satin, sateen, basket, warp rib, weft rib, grid.
    rows : tuple of bytes
        The repeat, pick 1 first; 1 is warp up.
    ends : int
        Ends in the repeat.
    picks : int
        Picks in the repeat.
    """

    __slots__ = ("_changes", "ends", "family", "name", "picks", "rows")

    def __init__(self, name: str, family: str, rows: tuple[bytes, ...]) -> None:
        self.name = name
        self.family = family
        self.rows = rows
        self.ends = len(rows[0])
        self.picks = len(rows)
        self._changes: dict[str, tuple[int, int]] = {}

    def row(self, position: int) -> bytes:
        """Return the repeat's row at a position: 0 is pick 1, and any whole number is one."""
        return self.rows[position % self.picks]

    def threads(self, system: str) -> tuple[bytes, ...]:
        """Return the repeat thread by thread: its ends (warp) or its picks (weft)."""
        return self.rows if system == "weft" else columns(self.rows)

    def changes(self, system: str) -> float:
        """Return how often a thread of a system changes side in one repeat, on average."""
        total, _ = self._counted(system)
        return total / (self.picks if system == "weft" else self.ends)

    def average_float(self, system: str) -> float:
        """Return how many threads a float of a system crosses, on average."""
        total, fewest = self._counted(system)
        if fewest == 0:
            raise WeaveError(
                "weave",
                f"one whose every {system} thread changes sides, or its float has no end",
                self.shown(),
            )
        return self.ends * self.picks / total

    def shown(self) -> str:
        """Name the weave in an error."""
        return self.name or f"a grid of {self.ends} ends by {self.picks} picks"

    def _counted(self, system: str) -> tuple[int, int]:
        """Return the changes of all threads of a system together, and the fewest of one."""
        counted = self._changes.get(system)
        if counted is None:
            each = [_changes(thread) for thread in self.threads(system)]
            counted = self._changes[system] = (sum(each), min(each))
        return counted


def _changes(thread: bytes) -> int:
    return thread.count(b"\x00\x01") + thread.count(b"\x01\x00") + (thread[0] != thread[-1])


def columns(rows: tuple[bytes, ...]) -> tuple[bytes, ...]:
    """Turn rows into columns."""
    width = len(rows[0])
    cells = b"".join(rows)
    return tuple(cells[end::width] for end in range(width))


def parse_weave(name: str, value: Any) -> Weave:
    """Read a weave text or a grid; ``name`` is the argument that an error names."""
    if isinstance(value, str):
        if len(value) <= LONGEST_DRAWN and _is_drawn(value):
            return _drawn(name, value)
        if len(value) > LONGEST_TEXT:
            raise WeaveError(name, f"{WEAVE_REQUIREMENT}, in at most {LONGEST_TEXT} characters", value)
        return _read(name, value)
    if not _is_rows(value):
        raise WeaveError(name, f"{WEAVE_REQUIREMENT} (weaves: {KNOWN})", value)
    return Weave("", "grid", parse_grid(name, value))


def drawn_text(rows: Sequence[bytes]) -> str:
    """Write rows as a text that is read as the same weave: 1100 0110, pick 1 first."""
    return " ".join("".join(map(str, cells)) for cells in rows)


def _is_drawn(text: str) -> bool:
    return not text.translate(_DRAWN_SIGNS) and not text.isspace() and text != ""


@lru_cache(maxsize=16)
def _drawn(name: str, text: str) -> Weave:
    """Read rows of 1 and 0 with spaces between, pick 1 first."""
    rows = text.split()
    return Weave("", "grid", parse_grid(name, [list(map(int, cells)) for cells in rows]))


def parse_grid(name: str, value: Any) -> tuple[bytes, ...]:
    """Read a grid: rows of 1 and 0, pick 1 first, as lists, bytes, an array or a frame.

    True and false stand for 1 and 0: a cell of a grid says whether the warp is up.
    """
    if not _is_rows(value):
        raise WeaveError(name, f"{GRID_REQUIREMENT}: rows of cells", value)
    if getattr(value, "ndim", 0) == 2:
        rows = _rows_of_array(name, value)
    else:
        _check_size(name, value, len(value), len(value[0]) if _is_row(value[0]) else 1)
        rows = tuple(_row(name, pick, row) for pick, row in enumerate(value, start=1))
    width = len(rows[0])
    for pick, row in enumerate(rows, start=1):
        if len(row) != width:
            raise WeaveError(
                name,
                f"{GRID_REQUIREMENT} with rows of one length",
                f"{len(row)} cells in row {pick}, {width} in row 1",
            )
    return rows


def _is_rows(value: Any) -> bool:
    if isinstance(value, (list, tuple)):
        return len(value) > 0
    return getattr(value, "ndim", 0) == 2 and hasattr(value, "shape")


def _is_row(value: Any) -> bool:
    return isinstance(value, (list, tuple, bytes, bytearray)) or getattr(value, "ndim", 0) == 1


def _check_size(name: str, value: Any, picks: int, ends: int) -> None:
    if picks * ends == 0:
        raise WeaveError(name, f"{GRID_REQUIREMENT}, not an empty one", value)
    if picks * ends > MOST_CELLS:
        raise WeaveError(
            name, f"{GRID_REQUIREMENT} with at most {MOST_CELLS:,} cells", f"{ends} ends by {picks} picks"
        )
    if picks > MOST_GRID_PICKS:
        raise WeaveError(name, f"{GRID_REQUIREMENT} with at most {MOST_GRID_PICKS:,} picks", f"{picks} picks")


def _rows_of_array(name: str, value: Any) -> tuple[bytes, ...]:
    array = value.to_numpy() if hasattr(value, "to_numpy") else value
    picks, ends = array.shape
    _check_size(name, value, picks, ends)
    if array.dtype.kind in "biuf" and ((array == 0) | (array == 1)).all():
        cells = array.astype("uint8").tobytes()
        return tuple(cells[start : start + ends] for start in range(0, len(cells), ends))
    return tuple(_row(name, pick, row) for pick, row in enumerate(array.tolist(), start=1))


def _row(name: str, pick: int, row: Any) -> bytes:
    if not _is_row(row):
        raise WeaveError(name, f"{GRID_REQUIREMENT}: row {pick} is no row of cells", row)
    if not isinstance(row, (list, tuple, bytes, bytearray)):
        row = row.tolist()
    try:
        # Whole numbers, by far the fastest way; a row of floats takes the other.
        cells = bytes(row)
    except (TypeError, ValueError):
        try:
            cells = bytes(map(_CELL.__getitem__, row))
        except (KeyError, TypeError):
            raise _bad_cell(name, pick, row) from None
    if cells.translate(None, _CELL_VALUES):
        raise _bad_cell(name, pick, row)
    return cells


def _bad_cell(name: str, pick: int, row: Any) -> WeaveError:
    for end, cell in enumerate(row, start=1):
        try:
            good = cell in _CELL
        except TypeError:
            good = False
        if not good:
            return WeaveError(
                name, f"{GRID_REQUIREMENT}, each cell one of them (row {pick}, column {end})", cell
            )
    return WeaveError(name, GRID_REQUIREMENT, row)


class _UnreadableError(Exception):
    """Why a text is no weave."""


@lru_cache(maxsize=128)
def _read(name: str, text: str) -> Weave:
    try:
        return _weave(_pieces(text))
    except _UnreadableError as problem:
        raise WeaveError(name, f"{WEAVE_REQUIREMENT}: {problem} (weaves: {KNOWN})", text) from None


def _pieces(text: str) -> list[str]:
    """Split into whole numbers, words and slashes."""
    pieces: list[str] = []
    last = ""
    for char in text.casefold():
        if char.isascii() and char.isdigit():
            kind = "number"
        elif char.isalpha():
            kind = "word"
        elif char == "/" or char.isspace():
            kind = ""
        else:
            raise _UnreadableError(f"{char} has no meaning in it")
        if kind and kind == last:
            pieces[-1] += char
        elif not char.isspace():
            pieces.append(char)
        last = kind
    return pieces


def _weave(pieces: list[str]) -> Weave:
    left = "left" in pieces
    words = [piece for piece in pieces if piece.isalpha() and piece not in ("left", "right")]
    if sum(piece in ("left", "right") for piece in pieces) > 1:
        raise _UnreadableError("it goes one way")
    family = SYNONYMS.get(" ".join(words), " ".join(words))
    construct = _FAMILIES.get(family)
    if construct is None:
        raise _UnreadableError(f"{family} is no weave known here" if family else "it names none")
    if family != "twill" and ("left" in pieces or "right" in pieces):
        raise _UnreadableError("only a twill goes left or right")
    first = next(place for place, piece in enumerate(pieces) if piece in words)
    after = [piece for piece in pieces[first:] if not piece.isalpha()]
    before = [piece for piece in pieces[:first] if not piece.isalpha()]
    rows = construct(_numbers(before), _numbers(after))
    if family == "twill" and left:
        rows = _left(rows)
    spelled = ["/".join(before[::2]), family, *after, "left" if left else ""]
    return Weave(" ".join(part for part in spelled if part), family, rows)


def _numbers(pieces: list[str]) -> tuple[int, ...]:
    """Read numbers with a slash between any two."""
    if any((piece == "/") != bool(place % 2) for place, piece in enumerate(pieces)) or pieces[-1:] == ["/"]:
        raise _UnreadableError("its numbers must stand as 2/2, or as one number")
    for piece in pieces[::2]:
        # Counting digits first keeps a number of a thousand digits from being read at all.
        if len(piece) > 6 or not 1 <= int(piece) <= MOST_THREADS:
            raise _UnreadableError(f"its numbers must be from 1 to {MOST_THREADS}")
    return tuple(int(piece) for piece in pieces[::2])


def _groups(up_and_down: tuple[int, ...], after: tuple[int, ...]) -> bytes:
    """Write groups, up and down by turns, as the cells of one repeat."""
    if not up_and_down or len(up_and_down) % 2:
        raise _UnreadableError("it needs up and down before its name, as 2/2 or 2/3/1/2")
    if after:
        raise _UnreadableError("no number follows its name")
    if sum(up_and_down) > MOST_THREADS:
        raise _UnreadableError(f"its repeat must be at most {MOST_THREADS} threads")
    return b"".join(bytes([1 - place % 2]) * count for place, count in enumerate(up_and_down))


def _plain(before: tuple[int, ...], after: tuple[int, ...]) -> tuple[bytes, ...]:
    if before or after:
        raise _UnreadableError("plain weave takes no number")
    return b"\x01\x00", b"\x00\x01"


def _twill(before: tuple[int, ...], after: tuple[int, ...]) -> tuple[bytes, ...]:
    """Move the groups one end to the right on each pick."""
    groups = _groups(before, after)
    return tuple(groups[-pick:] + groups[:-pick] for pick in range(len(groups)))


def _left(rows: tuple[bytes, ...]) -> tuple[bytes, ...]:
    """Turn a twill over: pick 1 stays, and what moved to the right moves to the left."""
    return rows[:1] + rows[:0:-1]


def _broken(before: tuple[int, ...], after: tuple[int, ...]) -> tuple[bytes, ...]:
    """Take half the ends straight, then the other half backwards (common practice, no source).

    Of four ends that is the order 1, 2, 4, 3; of six 1, 2, 3, 6, 5, 4.
    """
    rows = _twill(before, after)
    shafts = len(rows)
    if shafts < 4 or shafts % 2:
        raise _UnreadableError("a twill is broken on an even number of threads, four or more")
    return _taken(rows, [*range(shafts // 2), *range(shafts - 1, shafts // 2 - 1, -1)])


def _herringbone(before: tuple[int, ...], after: tuple[int, ...]) -> tuple[bytes, ...]:
    """Go straight for one leg, then back for one, with a cut between (common practice, no source).

    Where the leg turns, the threading jumps by about half a repeat, so that in
    an even twill every end that is up meets one that is down: the cut line of
    a herringbone. Of all jumps the one with the shortest weft floats is taken:
    in 2/2, 3/3 … it leaves none longer than in the twill, while an uneven
    twill such as 3/1 has no such jump, and a float at the cut is longer.
    """
    if len(after) != 1 or not 2 <= after[0] <= MOST_THREADS // 2:
        raise _UnreadableError(f"the ends in a leg follow its name, from 2 to {MOST_THREADS // 2}")
    leg = after[0]
    rows = _twill(before, ())
    shafts = len(rows)
    if shafts > MOST_HERRINGBONE_SHAFTS:
        raise _UnreadableError(f"a herringbone takes at most {MOST_HERRINGBONE_SHAFTS} shafts")
    # Floats at the cut are the same for any leg with the same remainder.
    short = leg if leg <= 2 * shafts else shafts + leg % shafts

    unavoidable = max(_longest_float(row) for row in rows)

    def badness(jump: int) -> tuple[int, int, int]:
        drawn = _taken(rows, _there_and_back(short, shafts, jump))
        longest = max(_longest_float(row) for row in drawn)
        return max(longest, unavoidable), abs(2 * jump - shafts), jump

    jump = min(range(1, shafts), key=badness)
    return _taken(rows, _there_and_back(leg, shafts, jump))


def _there_and_back(leg: int, shafts: int, jump: int) -> list[int]:
    turn = leg - 1 + jump
    return [end % shafts for end in [*range(leg), *range(turn, turn - leg, -1)]]


def _longest_float(row: bytes) -> int:
    """Return the longest run of like cells in a row that goes round, too many for a row all alike."""
    twice = row * 2
    return max(map(len, twice.split(b"\x00") + twice.split(b"\x01")))


def _taken(rows: tuple[bytes, ...], ends: list[int]) -> tuple[bytes, ...]:
    return tuple(bytes([row[end] for end in ends]) for row in rows)


def satin_moves_of(ends: int) -> tuple[int, ...]:
    """Return the moves that make a satin: no neighbour, and no number that shares a divisor with the ends."""
    from math import gcd

    return tuple(move for move in range(2, ends - 1) if gcd(move, ends) == 1)


def _satin(before: tuple[int, ...], after: tuple[int, ...]) -> tuple[bytes, ...]:
    """Leave one end down on each pick, going the move to the right."""
    return tuple(row.translate(_OPPOSITE) for row in _sateen(before, after))


def _sateen(before: tuple[int, ...], after: tuple[int, ...]) -> tuple[bytes, ...]:
    """Lift one end on each pick, going the move to the right."""
    if len(before) != 1 or len(after) > 1:
        raise _UnreadableError("its ends stand before its name and its move behind, as 5 satin 2")
    ends = before[0]
    moves = satin_moves_of(ends)
    listed = ", ".join(map(str, moves)) if len(moves) <= 12 else f"{moves[0]}, {moves[1]} … {moves[-1]}"
    if not moves:
        raise _UnreadableError(f"no move makes a satin of {ends} ends")
    move = after[0] if after else moves[0]
    if move not in moves:
        raise _UnreadableError(f"a satin of {ends} ends takes one of the moves {listed}")
    return tuple(
        bytes(place) + b"\x01" + bytes(ends - 1 - place)
        for place in (pick * move % ends for pick in range(ends))
    )


def _basket(before: tuple[int, ...], after: tuple[int, ...]) -> tuple[bytes, ...]:
    """Weave the groups as plain weave, as many ends as picks in each: 2/2 is two ends by two picks."""
    groups = _groups(before, after)
    return tuple(groups if cell else groups.translate(_OPPOSITE) for cell in groups)


def _warp_rib(before: tuple[int, ...], after: tuple[int, ...]) -> tuple[bytes, ...]:
    """Put the groups along the ends, each end against its neighbours: 2/2 is two picks in one shed."""
    return tuple(b"\x01\x00" if cell else b"\x00\x01" for cell in _groups(before, after))


def _weft_rib(before: tuple[int, ...], after: tuple[int, ...]) -> tuple[bytes, ...]:
    """Put the groups along the picks, each pick against its neighbours: 2/2 is two ends as one."""
    groups = _groups(before, after)
    return groups, groups.translate(_OPPOSITE)


_FAMILIES = {
    "plain": _plain,
    "twill": _twill,
    "broken twill": _broken,
    "herringbone": _herringbone,
    "satin": _satin,
    "sateen": _sateen,
    "basket": _basket,
    "warp rib": _warp_rib,
    "weft rib": _weft_rib,
}
