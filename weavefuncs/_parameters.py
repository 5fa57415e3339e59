"""Kinds of argument: what each accepts, and what a function's body receives for it.

A docstring declares an argument as ``name : KIND or column [unit], bounds,
default``. The kinds:

====================  ==========================================  =====================
kind                  given                                       body receives
====================  ==========================================  =====================
``number``            a finite number                             float
``whole``             a whole number, float dust forgiven         int
``fraction``          a number from 0 to below 1                  float
``text``              a text                                      str
``{"a", "b"}``        one of these texts                          str
``logical``           true or false, or 1 or 0                    bool
``length unit``       m, cm, yd, …                                metres in that unit
``mass unit``         g, kg, oz, lb, …                            grams in that unit
``sett unit``         in or cm                                    inches in that unit
``yarn``              a yarn text                                 tex as float
``yarn text``         a yarn text                                 ``Yarn``
``yarn system``       a yarn system, such as Ne                   ``System``
``weave``             a weave text or a grid                      ``Weave``
``grid``              rows of 1 and 0                             tuple of bytes
``reversals``         such as 9,9, or a number below 1000         tuple of int
``sley order``        threads in each dent, such as 1-1-2         tuple of int
``colour order``      such as 8 white, 4 blue                     ``ColourOrder``
``list of KINDs``     a list, never taken row by row              tuple
``any``               anything, handed on as it is                unchanged
====================  ==========================================  =====================
"""

from __future__ import annotations

from weavefuncs._columns import (
    REFUSED_COLUMNS,
    Labelled,
    as_array,
    is_array,
    is_column,
    is_series,
    widened_number,
)
from weavefuncs.errors import MissingError, WeaveError
from weavefuncs.shared.units import LENGTH_IN_METRES, MASS_IN_GRAMS, SETT_PER_IN_INCHES, SYNONYMS

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import Any

    from weavefuncs._docstring import Entry

    Convert = Callable[[Any], Any]

# A whole number reached by arithmetic may be off in its last digits: a large one by a share of itself.
DUST = 1e-9
DUST_SHARE = 1e-12

UNIT_KINDS: dict[str, dict[str, float]] = {
    "length unit": LENGTH_IN_METRES,
    "mass unit": MASS_IN_GRAMS,
    "sett unit": SETT_PER_IN_INCHES,
}

# Parsers of the trade's texts, loaded when a function first meets such a text.
TEXT_KINDS = {
    "yarn": ("_yarn_text", "parse_tex", "a yarn with its system, such as 8/2 Ne"),
    "yarn text": ("_yarn_text", "parse_yarn", "a yarn with its system, such as 8/2 Ne"),
    "yarn system": ("_yarn_text", "parse_system", "a yarn system, such as Ne"),
    "weave": ("_structure", "parse_weave", "a weave such as 2/2 twill, or a grid of 1 and 0"),
    "grid": ("_structure", "parse_grid", "a grid of 1 and 0"),
    "reversals": ("_reversals", "parse_reversals", "rows each way, such as 9,9"),
    "sley order": ("_sley", "parse_order", "threads in each dent, such as 1-1-2"),
    "colour order": ("_colour_order", "parse_colour_order", "a colour order, such as 8 white, 4 blue"),
}


class Bounds:
    """The range that a number must lie in."""

    __slots__ = ("high", "high_open", "low", "low_open")

    def __init__(self, conditions: list[str], low: float, high: float, high_open: bool) -> None:
        self.low, self.low_open, self.high, self.high_open = low, False, high, high_open
        for condition in conditions:
            sign, _, number = condition.partition(" ")
            if sign in (">", ">="):
                self.low, self.low_open = float(number), sign == ">"
            elif sign in ("<", "<="):
                self.high, self.high_open = float(number), sign == "<"
            else:
                raise SyntaxError(f"docstring condition {condition!r} is none of > >= < <=")

    def holds(self, value: float) -> bool:
        """Tell whether a number lies within; false for nan."""
        above = value > self.low if self.low_open else value >= self.low
        return above and (value < self.high if self.high_open else value <= self.high)

    def vector_holds(self, values: Any) -> bool:
        """Tell whether all numbers of an array are finite and lie within."""
        low, high = values.min(), values.max()
        return self.holds(low) and self.holds(high) and low > -INFINITY and high < INFINITY

    def words(self) -> str:
        """Write the range as part of a sentence."""
        parts = []
        if self.low > -INFINITY:
            parts.append(f"{'above' if self.low_open else 'at least'} {_told(self.low)}")
        if self.high < INFINITY:
            parts.append(f"{'below' if self.high_open else 'at most'} {_told(self.high)}")
        return " and ".join(parts)


INFINITY = float("inf")

# From here on zeros are hard to count.
MANY_FIGURES = 1e6


def _told(number: float) -> str:
    """Write a bound so that it can be read."""
    return f"{number:,.12g}" if abs(number) >= MANY_FIGURES else f"{number:.12g}"


def plain_number(value: Any) -> float | None:
    """Return any finite real number as a float; None for all else, true and false included."""
    if type(value) is float or (isinstance(value, (int, float)) and not isinstance(value, bool)):
        try:
            number = float(value)
        except OverflowError:
            return None
    elif not isinstance(value, (bool, str, bytes)) and hasattr(value, "__float__") and not is_array(value):
        if getattr(getattr(value, "dtype", None), "kind", "f") not in "iuf":
            return None
        try:
            number = widened_number(value)
        except Exception:  # whatever a foreign type raises, it is no number
            return None
    else:
        return None
    return number if number - number == 0 else None


class Parameter:
    """One argument of a registered function, compiled from its docstring entry.

    Attributes
    ----------
    name : str
        Argument name.
    kind : str
        Kind, as in the table above.
    column : bool
        Whether a column of it is taken row by row.
    required : bool
        Whether it must be given.
    default : object
        The default as the signature has it.
    requirement : str
        What it must be, as part of a sentence.
    convert : callable
        From a given value to what the body receives; raises ``WeaveError``.
    vector : callable or None
        The same for a whole numpy array of numbers; returns None where a row may be bad.
    """

    __slots__ = (
        "bounds",
        "choices",
        "column",
        "convert",
        "converted_default",
        "default",
        "description",
        "kind",
        "name",
        "required",
        "requirement",
        "unit",
        "vector",
    )

    def __init__(self, entry: Entry, required: bool, default: object, item_kind: str = "") -> None:
        self.name = entry.name
        self.kind = item_kind or entry.kind
        self.column = entry.column
        self.unit = entry.unit
        self.choices = entry.choices
        self.description = entry.description
        self.required = required
        self.default = default
        self.bounds: Bounds | None = None
        self.vector: Callable[..., Any] | None = None
        self.requirement, self.convert = self._compile(entry)
        self.converted_default = None if required else self.convert(default)

    @property
    def is_list(self) -> bool:
        """Whether the argument is a list that belongs to one call."""
        return self.kind.startswith("list of ")

    def takes_rows(self, value: object) -> bool:
        """Tell whether this value is a column to be taken row by row."""
        if not self.column or not is_column(value):
            return False
        return not (self.kind == "weave" and looks_like_grid(value))

    def missing(self) -> MissingError:
        return MissingError(self.name, self.requirement)

    def refuse(self, value: object, more: str = "") -> WeaveError:
        return WeaveError(self.name, self.requirement + more, value)

    def _compile(self, entry: Entry) -> tuple[str, Convert]:
        kind = self.kind
        if kind in ("number", "whole", "fraction"):
            fraction = kind == "fraction"
            self.bounds = Bounds(
                entry.conditions, 0.0 if fraction else -INFINITY, 1.0 if fraction else INFINITY, fraction
            )
            words = self.bounds.words()
            noun = {"number": "a number", "whole": "a whole number", "fraction": "a fraction"}[kind]
            self.vector = self._vector_whole if kind == "whole" else self._vector_number
            convert = {"number": self._number, "whole": self._whole, "fraction": self._fraction}[kind]
            return f"{noun} {words}".rstrip(), convert
        if kind == "choice":
            return "one of " + ", ".join(self.choices), self._choice
        if kind == "text":
            return "a text", self._text
        if kind == "logical":
            return "true or false", self._logical
        if kind == "any":
            return "anything", _unchanged
        if kind in UNIT_KINDS:
            return "one of " + ", ".join(UNIT_KINDS[kind]), self._unit
        if kind in TEXT_KINDS:
            return TEXT_KINDS[kind][2], self._parsed
        if self.is_list:
            return self._compile_list(entry)
        raise SyntaxError(f"unknown kind {kind!r} of argument {self.name}")

    def _compile_list(self, entry: Entry) -> tuple[str, Convert]:
        item_kind = self.kind.removeprefix("list of ").removesuffix("s")
        inner = Parameter(entry, True, None, item_kind)

        def convert(value: Any) -> tuple[Any, ...]:
            if not is_column(value) or getattr(value, "ndim", 1) != 1 or len(value) == 0:
                raise self.refuse(value)
            out = []
            refused = REFUSED_COLUMNS.get(getattr(getattr(value, "dtype", None), "kind", ""))
            if refused:
                raise self.refuse(refused)
            for number, item in enumerate(as_array(value).tolist() if is_array(value) else value, start=1):
                if item is None:
                    raise WeaveError(f"{self.name}[{number}]", inner.requirement, item)
                try:
                    out.append(inner.convert(item))
                except WeaveError as error:
                    error.argument = f"{self.name}[{number}]"
                    raise
            if not is_series(value):
                return tuple(out)
            labelled = Labelled(out)
            labelled.labels = value.index
            return labelled

        return f"a list, each {inner.requirement}", convert

    def _number(self, value: Any) -> float:
        # A float needs no closer look than this; taken from itself, infinity is no number.
        if type(value) is float and value - value == 0 and self.bounds.holds(value):  # type: ignore[union-attr]
            return value
        number = plain_number(value)
        if number is None or not self.bounds.holds(number):  # type: ignore[union-attr]
            raise self.refuse(value)
        return number

    def _whole(self, value: Any) -> int:
        number = plain_number(value)
        if number is None:
            raise self.refuse(value)
        nearest = round(number)
        if abs(number - nearest) > max(DUST, DUST_SHARE * abs(number)) or not self.bounds.holds(nearest):  # type: ignore[union-attr]
            raise self.refuse(value)
        return nearest

    def _fraction(self, value: Any) -> float:
        number = plain_number(value)
        if number is not None and self.bounds.holds(number):  # type: ignore[union-attr]
            return number
        told = ": 10 % is 0.10"
        # 10 is told already, and of 1 it is not known whether 1 % or 100 % was meant.
        if number is not None and number > 1 and number != 10 and self.bounds.holds(number / 100):  # type: ignore[union-attr]
            told += f", so {number:.6g} % is {number / 100:.6g}"
        raise self.refuse(value, told)

    def _vector_number(self, values: Any, whole: bool = False) -> Any:  # noqa: ARG002 - as below
        return values if self.bounds.vector_holds(values) else None  # type: ignore[union-attr]

    def _vector_whole(self, values: Any, whole: bool = False) -> Any:
        """Check an array, of which it may be known that its numbers are whole."""
        if not self.bounds.vector_holds(values):  # type: ignore[union-attr]
            return None
        if whole:
            return values
        nearest = values.round()
        if (nearest == values).all():
            return nearest
        off = abs(values - nearest) > (DUST_SHARE * abs(values)).clip(DUST)
        return None if off.any() else nearest

    def _text(self, value: Any) -> str:
        if not isinstance(value, str) or not value.strip():
            raise self.refuse(value)
        return value.strip()

    def _choice(self, value: Any) -> str:
        if isinstance(value, str):
            wanted = value.strip().casefold()
            for choice in self.choices:
                if choice.casefold() == wanted:
                    return choice
        raise self.refuse(value)

    def _logical(self, value: Any) -> bool:
        if isinstance(value, bool) or (plain_number(value) in (0.0, 1.0)):
            return bool(value)
        if getattr(getattr(value, "dtype", None), "kind", "") == "b" and not is_array(value):
            return bool(value)
        raise self.refuse(value)

    def _unit(self, value: Any) -> float:
        if isinstance(value, str):
            name = " ".join(value.split()).casefold()
            factor = UNIT_KINDS[self.kind].get(SYNONYMS.get(name, name))
            if factor is not None:
                return factor
        raise self.refuse(value)

    def _parsed(self, value: Any) -> Any:
        # The parser replaces this method on first use: its module is loaded only when it is needed.
        module, function, _ = TEXT_KINDS[self.kind]
        parser = getattr(__import__(f"weavefuncs.{module}", fromlist=[function]), function)
        name = self.name

        def convert(given: Any) -> Any:
            return parser(name, given)

        self.convert = convert
        return convert(value)


def _unchanged(value: Any) -> Any:
    return value


def looks_like_grid(value: Any) -> bool:
    """Tell a grid (rows of cells) from a column of texts."""
    if getattr(value, "ndim", 0) == 2:
        return True
    if not isinstance(value, (list, tuple)) or not value:
        return False
    return is_column(value[0]) or isinstance(value[0], (bytes, bytearray))
