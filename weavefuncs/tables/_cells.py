"""Cells of a table that people typed: read a column, tell what is wrong cell by cell, keep the good rows."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from weavefuncs._parameters import plain_number
from weavefuncs.errors import MissingError, WeaveError
from weavefuncs.tables._settings import checked, is_blank
from weavefuncs.tables._written_numbers import hint

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from numpy.typing import NDArray

    from weavefuncs._parameters import Parameter

    Floats = NDArray[np.float64]
    Mask = NDArray[np.bool_]
    Places = NDArray[np.intp]

# What a problem does to the calculation.
LEFT_OUT, PASSED_OVER = "row left out", "passed over"
NOT_USED, NOT_READ, TOLD = "cell not used", "column not read", "told only"

# Numbers of rows beyond this are none.
MOST_ROW = 2**53

# The characters of ASCII that are seen, and the space.
PRINTED = bytes(range(32, 127))


# Types of the columns of results: the same where no row is.
TEXT, WHOLE, NUMBER = "str", "int64", "float64"
WHOLE_OR_BLANK = "Int64"

PROBLEMS = {"sheet": TEXT, "row": WHOLE, "column": TEXT, "problem": TEXT, "effect": TEXT}


class Problems:
    """What is wrong with tables, one line a cell: where it stands, why, and what became of it."""

    def __init__(self) -> None:
        self._lines: list[tuple[str, int, str, str, str]] = []

    def add(self, sheet: str, row: int, column: str, problem: str, effect: str) -> None:
        """Add a line; row 0 and an empty column where there is no one cell to name."""
        self._lines.append((sheet, row, column, problem, effect))

    def frame(self) -> pd.DataFrame:
        """Return the lines, each told once, down the rows of each sheet."""
        sheets = list(dict.fromkeys(line[0] for line in self._lines))
        told = sorted(dict.fromkeys(self._lines), key=lambda line: (sheets.index(line[0]), line[1]))
        return listed(told, PROBLEMS)


class Sheet:
    """A table being read.

    Attributes
    ----------
    headings : dict
        What its reader sees above a column, where that differs from the column's name here.
    filled : array of bool
        The rows with anything in them.
    good : array of bool
        The rows with nothing wrong so far.
    """

    def __init__(self, table: pd.DataFrame, label: str, problems: Problems, known: Iterable[str]) -> None:
        twice = [str(name) for name in table.columns[table.columns.duplicated()] if name in set(known)]
        if twice:
            raise WeaveError(label, "a table whose columns each have a name of their own", twice)
        self.table = table
        self.label = label
        self.problems = problems
        self.headings: dict[str, str] = {}
        self.filled: Mask = np.ones(len(table), dtype=bool)
        self.good: Mask = self.filled.copy()
        self._drop_blank_rows([name for name in known if name in table.columns])

    def has(self, column: str) -> bool:
        """Tell whether the table has a column."""
        return column in self.table.columns

    def need(self, *columns: str) -> None:
        """Refuse a table without these columns."""
        for column in columns:
            if not self.has(column):
                raise MissingError(column, f"as a column of {self.label}")

    def row(self, place: int) -> int:
        """Return the number of a row: what its column ``row`` says, else its place, counted from 1."""
        if self.has("row"):
            value = self.table["row"].iloc[place]
            if is_blank(value):
                return 0
            # Rows may have names instead of numbers, which the place stands for.
            with suppress(TypeError, ValueError, OverflowError):
                number = int(value)
                if abs(number) <= MOST_ROW:
                    return number
        return place + 1

    def tell(self, place: int, column: str, problem: str, effect: str = TOLD) -> None:
        """Add a line to the problems, and leave the row out where the effect says so."""
        self.problems.add(self.label, self.row(place), self.headings.get(column, column), problem, effect)
        if effect in (LEFT_OUT, PASSED_OVER):
            self.good[place] = False

    def _drop_blank_rows(self, columns: Sequence[str]) -> None:
        """Pass over rows with nothing in them, and tell those that others follow."""
        # Numbers are the quickest to look through, and mostly settle it.
        in_order = sorted(columns, key=lambda name: self.table[name].dtype.kind not in "iuf")
        blank = np.ones(len(self.table), dtype=bool)
        for name in in_order:
            blank &= _blank_cells(self.table[name])
            if not blank.any():
                return
        self.filled = ~blank
        self.good &= self.filled
        filled = np.flatnonzero(self.filled)
        last = filled[-1] if len(filled) else -1
        for place in np.flatnonzero(blank[: last + 1]):
            self.tell(int(place), "", "the row is blank", PASSED_OVER)

    def numbers(
        self, column: str, parameter: Parameter, blank: float | None = None, effect: str = LEFT_OUT
    ) -> Floats:
        """Read a column of numbers; what cannot be used is told, and is nan.

        A blank cell stands for ``blank``; where that is None, it is a problem too.
        """
        values, texts = _as_floats(self.table[column])
        if not texts and len(values):
            # Mostly all is well; what is blank does not pass.
            integers = self.table[column].dtype.kind in "iu"
            fits: Floats | None = parameter.vector(values, integers)  # type: ignore[misc]
            if fits is not None:
                return fits
        empty = np.isnan(values)
        for line, text in texts.items():
            empty[line] = False
            self._refuse(line, column, parameter, text, effect)
        if empty.any():
            if blank is not None and not np.isnan(blank):
                values = np.where(empty, blank, values)
            if blank is None:
                for place in np.flatnonzero(empty & self.filled):
                    problem = str(MissingError(column, parameter.requirement))
                    self.tell(int(place), column, problem, effect)
        return self._within(column, parameter, values, effect)

    def _within(self, column: str, parameter: Parameter, values: Floats, effect: str) -> Floats:
        if not len(values):
            return values
        given = ~np.isnan(values)
        if not given.any():
            return values
        # One of the numbers stands in for those that are blank, for all to be looked at together.
        filled = np.where(given, values, values[given.argmax()])
        fits: Floats | None = parameter.vector(filled)  # type: ignore[misc]
        if fits is not None:
            return np.where(given, fits, np.nan) if parameter.kind == "whole" else values
        bounds = parameter.bounds
        assert bounds is not None
        above = values > bounds.low if bounds.low_open else values >= bounds.low
        below = values < bounds.high if bounds.high_open else values <= bounds.high
        suspect = ~(above & below & np.isfinite(values))
        if parameter.kind == "whole":
            suspect |= values != np.rint(values)
        values = values.copy()
        for place in np.flatnonzero(suspect & given):
            value = float(values[place])
            try:
                values[place] = checked(column, parameter, value)
            except WeaveError:
                self._refuse(int(place), column, parameter, value, effect)
                values[place] = np.nan
        return values

    def _refuse(self, place: int, column: str, parameter: Parameter, value: object, effect: str) -> None:
        try:
            checked(column, parameter, value)
        except WeaveError as error:
            self.tell(place, column, str(error) + hint(value), effect)

    def texts(self, column: str) -> tuple[Places, list[str]]:
        """Read a column of texts: for each row the place of its text in a list, -1 where it is blank.

        Spellings that differ in case or spaces only are one text, the first of them.
        """
        return self.texts_and_cells(column)[:2]

    def texts_and_cells(self, column: str) -> tuple[Places, list[str], Any]:
        """Read a column of texts; return the texts as the table holds them too, None where tidied."""
        codes, uniques = pd.factorize(self.table[column])
        values = uniques.tolist()
        together = plainly(values)
        if together is None:
            texts = [as_text(value) for value in values]
            names = [same_name(text) for text in texts]
        else:
            texts = values
            # No two of them can differ in case where all is written in one.
            one_case = together.isascii() and together in (together.lower(), together.upper())
            names = values if one_case else together.casefold().split("\n")
        if names is not values and (len(set(names)) < len(names) or "" in texts):
            first = {name: number for number, name in enumerate(dict.fromkeys(filter(None, names)))}
            texts = [texts[names.index(name)] for name in first]
            # The last place serves the code -1.
            codes = np.array([*(first.get(name, -1) for name in names), -1], dtype=np.intp)[codes]
        return codes.astype(np.intp, copy=False), texts, uniques if texts is values else None

    def names(self, column: str, effect: str = LEFT_OUT) -> tuple[Places, list[str]]:
        """Read a column of texts in which a blank cell is a problem."""
        codes, texts = self.texts(column)
        if codes.size and codes.min() < 0:
            for place in np.flatnonzero((codes < 0) & self.filled):
                self.tell(int(place), column, str(MissingError(column, "a text")), effect)
        return codes, texts


def need_tables(**given: object) -> None:
    """Refuse what is no table, by the name of its argument."""
    for name, table in given.items():
        if not isinstance(table, pd.DataFrame):
            raise WeaveError(name, "a pandas DataFrame", table)


def listed(rows: Sequence[Any], columns: Mapping[str, str]) -> pd.DataFrame:
    """Put rows into a table whose columns have their types, be there rows or none."""
    table: pd.DataFrame = pd.DataFrame(rows, columns=list(columns)).astype(dict(columns))
    return table


def retold(error: WeaveError, column: str) -> str:
    """Tell what a function refused under the name of the column that it came from."""
    return str(WeaveError(column, error.requirement, error.received))


def as_text(value: object) -> str:
    """Write a cell as the text that a reader sees; a whole number has no decimals, a blank cell nothing."""
    if is_blank(value):
        return ""
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return " ".join(str(value).split())


def plainly(values: list[Any]) -> str | None:
    """Return the cells one a line, if all are texts with nothing to tidy; looked through all at once."""
    try:
        together: str = "\n".join(values)
    except TypeError:
        return None
    if together.isascii():
        seen = together.encode().translate(None, PRINTED) == b"\n" * (len(values) - 1)
    else:
        seen = "".join(values).isprintable()
    around = f"\n{together}\n"
    untidy = ("\n\n", "  ", "\n ", " \n") if " " in together else ("\n\n",)
    return together if seen and not any(spaces in around for spaces in untidy) else None


def same_name(text: str) -> str:
    """Return what the spellings of one name have in common."""
    return " ".join(text.split()).casefold()


def chosen(column: Any, places: Places) -> Any:
    """Return the values of a column at these places; the column itself where they are all there are."""
    return column if len(places) == len(column) else column[places]


def summed(codes: Places, weights: Floats, count: int) -> Floats:
    """Add up the weights of each code."""
    return np.asarray(np.bincount(codes, weights=weights, minlength=count), dtype=np.float64)


def _blank_cells(cells: pd.Series[Any]) -> Mask:
    if isinstance(cells.dtype, np.dtype) and cells.dtype.kind in "iub":
        return np.zeros(len(cells), dtype=bool)
    # Other whole numbers than those of numpy may be blank.
    if cells.dtype.kind in "iuf":
        missing: Mask = np.isnan(cells.to_numpy(dtype=np.float64, na_value=np.nan))
        return missing
    return np.fromiter((is_blank(value) for value in cells), dtype=bool, count=len(cells))


def _as_floats(cells: pd.Series[Any]) -> tuple[Floats, dict[int, object]]:
    """Return the numbers of a column, nan where there is none, and the cells that hold something else."""
    if cells.dtype.kind in "iuf":
        return cells.to_numpy(dtype=np.float64, na_value=np.nan), {}
    values = np.full(len(cells), np.nan)
    others: dict[int, object] = {}
    for place, value in enumerate(cells):
        if not is_blank(value):
            number = plain_number(value)
            if number is None:
                others[place] = value
            else:
                values[place] = number
    return values, others
