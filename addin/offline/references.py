"""References in formulas: found, moved, and turned into the text that the engine reads."""

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from operator import itemgetter
from typing import Any, Union

from .grid import MAX_COLUMN, MAX_ROW, column_letters, column_number
from .workbook import Table

# What stands in a skeleton for a cell, and for whole columns or rows. No workbook can hold these characters.
CELL, WHOLE = "\x01", "\x03"
Bounds = tuple[int, int, int, int]
MAX_EACH = 1_000  # the engine reads 16,384 tokens a formula
MAX_LENGTH = 2_000_000

# Words are taken whole, so that nothing within one is looked at twice or mistaken for a cell.
_SKELETON = re.compile(
    r"""
    "(?:[^"]|"")*"                                # text
    | '(?:[^']|'')*'                              # a sheet's name in quotes
    # Columns of a table, or another file; what is not closed is taken to the end.
    | \[(?:[^\[\]']|'(?:.|\Z)|\[(?:[^\[\]']|'(?:.|\Z))*(?:\]|\Z))*(?:\]|\Z)
    | (?P<cell>\$?[A-Za-z]{1,3}\$?[1-9][0-9]{0,6})(?![\w.(\[!\\?$])
    | (?P<whole>\$?[A-Za-z]{1,3}:\$?[A-Za-z]{1,3}|\$?[1-9][0-9]{0,6}:\$?[1-9][0-9]{0,6})(?![\w.(\[!\\?:$])
    | [\w.\\?]+
    """,
    re.VERBOSE | re.DOTALL,
)
# A number that is one of a row wherever another such number is: too short to lie beyond the last row.
_PLAIN_NUMBER = re.compile("(?<![0-9])([1-9][0-9]{0,5})(?![0-9])")
_WORDS = re.compile(r"[A-Za-z]+|[0-9]+")
_PART = re.compile(r"(\$?)([A-Za-z]*)(\$?)([0-9]*)")
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
_DIGITS = "0123456789"


class Uncalculated(Exception):  # noqa: N818 - no fault of the program
    """A formula that cannot be calculated here; the text is the reason."""


class Skeletons:
    """Finds the skeletons of formulas; those that differ in the numbers of rows alone are searched once."""

    def __init__(self) -> None:
        self._shapes: dict[tuple[str, ...], _Shape] = {}

    def of(self, formula: str) -> tuple[str, Sequence[str]]:
        """Replace the cells that a formula mentions by marks, and return them beside it."""
        parts = _PLAIN_NUMBER.split(formula)  # texts and numbers in turn
        words = tuple(parts[::2])
        shape = self._shapes.get(words)
        if shape is None:
            shape = self._shapes[words] = _Shape(formula)
        elif shape.others(parts) != shape.numbers:
            shape = _Shape(formula)
        return shape.bones, shape.references(parts)


class _Shape:
    """What a formula has in common with others that differ from it in the numbers of rows alone."""

    def __init__(self, formula: str) -> None:
        mentioned: list[str] = []
        inside: list[tuple[int, int]] = []

        def mark(found: re.Match[str]) -> str:
            text, group = found[0], found.lastgroup
            if group is None or not _is_on_sheet(text):
                return text
            mentioned.append(text)
            inside.append(found.span())
            return CELL if group == "cell" else WHOLE

        self.bones = _SKELETON.sub(mark, formula)
        self._pattern = CELL.join(_PLAIN_NUMBER.sub("%s", text) for text in mentioned)
        rows: list[int] = []
        others: list[int] = []
        for number, found in enumerate(_PLAIN_NUMBER.finditer(formula)):
            at = found.start()
            (rows if any(first <= at < last for first, last in inside) else others).append(2 * number + 1)
        self._rows = _picker(rows)
        self.others = _picker(others)
        """Picks, from the parts of a formula, the numbers that are none of a row and must be the same."""
        self.numbers = self.others(_PLAIN_NUMBER.split(formula))
        """Those."""

    def references(self, parts: list[str]) -> Sequence[str]:
        """Return the cells that a formula of this shape mentions."""
        return (self._pattern % self._rows(parts)).split(CELL) if self._pattern else ()


def _picker(places: list[int]) -> Callable[[list[str]], Any]:
    return itemgetter(*places) if places else lambda _: ()


def _is_on_sheet(reference: str) -> bool:
    if len(reference) <= 6 and not reference.lstrip("$")[2:3].isalpha():
        return True  # two letters and few digits always are
    return all(
        int(word) <= MAX_ROW if word.isdigit() else column_number(word) <= MAX_COLUMN
        for word in _WORDS.findall(reference)
    )


def moved(references: Sequence[str], rows: int, columns: int) -> Sequence[str]:
    """Move references as a copy of the formula so many rows and columns away has them."""
    if not rows and not columns:
        return references
    return [":".join(_moved(part, rows, columns) for part in text.split(":")) for text in references]


def _moved(part: str, rows: int, columns: int) -> str:
    found = _PART.fullmatch(part)
    assert found is not None
    fixed, letters, fixed_row, digits = found.groups()
    if not letters:  # a whole row: the only dollar sign is the row's
        fixed, fixed_row = "", fixed
    if letters and not fixed:
        letters = column_letters((column_number(letters) - 1 + columns) % MAX_COLUMN + 1)
    if digits and not fixed_row:
        digits = str((int(digits) - 1 + rows) % MAX_ROW + 1)
    return f"{fixed}{letters}{fixed_row}{digits}"


def is_fixed(reference: str) -> bool:
    """Whether a reference means the same cells wherever the formula stands."""
    return moved([reference], 1, 1) == [reference]


def quoted(sheet: str) -> str:
    """Return a sheet's name as it stands in a reference, exclamation mark included."""
    return "'" + sheet.replace("'", "''") + "'!"


def unquoted(sheet: str) -> str:
    """Return the name of the sheet from the part of a reference before its exclamation mark."""
    if sheet.startswith("'"):
        return sheet[1:-1].replace("''", "'")
    return sheet


def area_text(sheet: str, bounds: Bounds) -> str:
    """Return a reference to fixed cells; the sheet is given with its exclamation mark."""
    top, left, bottom, right = bounds
    first = f"{sheet}${column_letters(left)}${top}"
    return first if (top, left) == (bottom, right) else f"{first}:${column_letters(right)}${bottom}"


@dataclass(frozen=True)
class Area:
    """A reference: to fixed bounds, or to the formula's own references of these numbers."""

    sheet: str
    marks: tuple[int, ...] = ()
    fixed: Bounds | None = None

    def render(self, references: Sequence[str], _row: int, _column: int) -> str:
        """Return the reference as text."""
        if self.fixed is not None:
            return area_text(self.sheet, self.fixed)
        text = ":".join([references[mark] for mark in self.marks])
        if ":" in text:
            rows, columns = self._corners(references)
            # Spreadsheets take the corners of an area in any order; the library for formulas does not.
            if rows != sorted(rows) or columns != sorted(columns):
                return area_text(self.sheet, self.bounds(references))
        return self.sheet + text

    def bounds(self, references: Sequence[str]) -> Bounds:
        """Return first row, first column, last row, last column."""
        if self.fixed is not None:
            return self.fixed
        rows, columns = self._corners(references)
        return min(rows), min(columns), max(rows), max(columns)

    def _corners(self, references: Sequence[str]) -> tuple[list[int], list[int]]:
        """Return the rows and the columns in the order in which they are written."""
        parts = [part.replace("$", "") for mark in self.marks for part in references[mark].split(":")]
        rows = [int(digits) for part in parts if (digits := part.lstrip(_LETTERS))] or [1, MAX_ROW]
        columns = [column_number(name) for part in parts if (name := part.rstrip(_DIGITS))] or [1, MAX_COLUMN]
        return rows, columns


@dataclass(frozen=True)
class OneOf:
    """The cell of an area that stands in the formula's own row or column."""

    area: Area

    def render(self, references: Sequence[str], row: int, column: int) -> str:
        """Return the reference as text, or the error that a spreadsheet gives where there is no such cell."""
        top, left, bottom, right = self.area.bounds(references)
        if top != bottom and left != right:
            return "#VALUE!"
        if top != bottom:
            if not top <= row <= bottom:
                return "#VALUE!"
            top = row
        elif left != right:
            if not left <= column <= right:
                return "#VALUE!"
            left = column
        return area_text(self.area.sheet, (top, left, top, left))


@dataclass(frozen=True)
class ThisRow:
    """The cells of some columns of a table in the formula's own row."""

    table: Table
    left: int
    right: int

    def render(self, _references: Sequence[str], row: int, _column: int) -> str:
        """Return the reference as text."""
        if not self.table.first_data_row <= row <= self.table.last_data_row:
            return "#VALUE!"
        return area_text(quoted(self.table.sheet), (row, self.left, row, self.right))


@dataclass(frozen=True)
class Named:
    """A defined name's own formula; cells in it without dollar signs count from the formula's cell."""

    plan: "Plan"
    references: tuple[str, ...]

    def render(self, _references: Sequence[str], row: int, column: int) -> str:
        """Return the name's formula as text, in brackets unless it is a reference."""
        text = self.plan.render(moved(self.references, row - 1, column - 1), row, column)
        return text if len(self.plan.pieces) == 1 else f"({text})"


@dataclass(frozen=True)
class Element:
    """In turn each cell of an area."""

    area: Area

    def size(self, references: Sequence[str]) -> tuple[int, int]:
        """Return how many rows and columns of cells there are."""
        top, left, bottom, right = self.area.bounds(references)
        return bottom - top + 1, right - left + 1

    def at(self, references: Sequence[str], row: int, column: int) -> str:
        """Return the reference to one cell, counted from 0; one row or column is repeated."""
        top, left, bottom, right = self.area.bounds(references)
        row = top if top == bottom else top + row
        column = left if left == right else left + column
        return (
            area_text(self.area.sheet, (row, column, row, column))
            if row <= bottom and column <= right
            else "#N/A"
        )


@dataclass(frozen=True)
class Item:
    """In turn each value of an array that the formula itself holds."""

    rows: tuple[tuple[str, ...], ...]

    def size(self, _references: Sequence[str]) -> tuple[int, int]:
        """Return how many rows and columns of values there are."""
        return len(self.rows), len(self.rows[0])

    def at(self, _references: Sequence[str], row: int, column: int) -> str:
        """Return one value, counted from 0; one row or column is repeated."""
        values = (
            self.rows[0 if len(self.rows) == 1 else row]
            if row < len(self.rows) or len(self.rows) == 1
            else ()
        )
        column = 0 if len(self.rows[0]) == 1 else column
        return values[column] if column < len(values) else "#N/A"


@dataclass(frozen=True)
class Each:
    """A call for each cell of the areas in it: the engine itself makes one call only."""

    pieces: "tuple[Piece, ...]"
    stack: str

    def render(self, references: Sequence[str], row: int, column: int) -> str:
        """Return a call that makes one array of all the results."""
        sizes = [piece.size(references) for piece in self.pieces if isinstance(piece, (Element, Item))]
        height, width = max(rows for rows, _ in sizes), max(columns for _, columns in sizes)
        if height * width > MAX_EACH:
            raise Uncalculated(f"it works through an array of more than {MAX_EACH} cells")
        calls = [
            "".join(
                piece
                if isinstance(piece, str)
                else piece.at(references, down, across)
                if isinstance(piece, (Element, Item))
                else piece.render(references, row, column)
                for piece in self.pieces
            )
            for down in range(height)
            for across in range(width)
        ]
        return f"{self.stack}({height},{width},{','.join(calls)})"


@dataclass(frozen=True)
class AsLarge:
    """An area from its first cell on, as large as another one."""

    area: Area
    other: Area

    def render(self, references: Sequence[str], _row: int, _column: int) -> str:
        """Return the reference as text."""
        top, left, bottom, right = self.area.bounds(references)
        first, start, last, end = self.other.bounds(references)
        if (bottom - top, right - left) == (last - first, end - start):
            return self.area.render(references, _row, _column)
        return area_text(self.area.sheet, (top, left, top + last - first, left + end - start))


@dataclass(frozen=True)
class Shown:
    """An area for a function that leaves hidden rows out, which the engine does not know of."""

    area: Area
    own_sheet: str
    hidden: Mapping[str, Collection[int]]
    """Hidden rows by sheet name in lower case."""

    def render(self, references: Sequence[str], row: int, column: int) -> str:
        """Return the reference as text; raise Uncalculated when a row of it is hidden."""
        top, _, bottom, _ = self.area.bounds(references)
        sheet = unquoted(self.area.sheet[:-1]) if self.area.sheet else self.own_sheet
        if any(top <= hidden <= bottom for hidden in self.hidden.get(sheet.lower(), ())):
            raise Uncalculated("it leaves out hidden rows, and rows are hidden there")
        return self.area.render(references, row, column)


Piece = Union[str, Area, AsLarge, OneOf, ThisRow, Named, Element, Item, Each, Shown]


@dataclass(frozen=True)
class Plan:
    """A formula taken apart: fixed texts, and pieces that depend on the cell that the formula stands in."""

    pieces: tuple[Piece, ...]
    functions: frozenset[str]
    """The native functions it calls."""
    single: bool
    """Whether it is known to give one value."""

    def render(self, references: Sequence[str], row: int, column: int) -> str:
        """Return the formula of one cell, without its equals sign."""
        text = "".join(
            [
                piece if isinstance(piece, str) else piece.render(references, row, column)  # type: ignore[union-attr]
                for piece in self.pieces
            ]
        )
        if len(text) > MAX_LENGTH:  # defined names can double with every step
            raise Uncalculated("it grows too long once its names and ranges are written out")
        return text
