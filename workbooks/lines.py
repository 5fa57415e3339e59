"""Tables to fill in, one thing a line: columns that the user gives, and columns that are worked out.

A column is declared once; its cells, its name, its help and its validation follow from it. In a formula the
key of a column in braces stands for the cell of that column in the same line.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from xlsxwriter.utility import xl_col_to_name, xl_rowcol_to_cell

from weavefuncs.workbooks.book import Check, Sheet
from weavefuncs.workbooks.rows import MOVED, Given, validate

HEAD_HEIGHT = 42

# Behind the heading of a column of money: the currency, where Settings names one.
CURRENCY = 'IF(ISBLANK(Currency),""," ("&Currency&")")'


@dataclass(frozen=True)
class Column:
    """One column of a table.

    Attributes
    ----------
    key : str
        What the column is called in code, in examples and in formulas.
    label : str
        Its heading; without one the column is not shown.
    width : float
        Its width in characters.
    given : Given or None
        What the user fills in; None where it is worked out.
    formula : str
        How it is worked out, without the equals sign; empty in an empty column.
    kind : str
        Number format of a column that is worked out.
    name : str
        Defined name of the column over all lines; needed where it is filled in.
    unit : str
        Formula of the unit shown in brackets behind the heading, such as ``LongUnit``.
    """

    key: str
    label: str
    width: float
    given: Given | None = None
    formula: str = ""
    kind: str = "number"
    name: str = ""
    unit: str = ""

    @property
    def heading(self) -> str:
        """The heading as it is written into its cell."""
        if self.shown_as == "money":
            return f'="{self.label}"&{CURRENCY}'
        return f'="{self.label} ("&{self.unit}&")"' if self.unit else self.label

    @property
    def words(self) -> str:
        """The heading as part of a formula."""
        return self.heading[1:] if self.unit else f'"{self.label}"'

    @property
    def shown_as(self) -> str:
        """The number format of its cells."""
        return self.given.kind if self.given else self.kind


# An empty column. Where Calc calculates everything anew, it works out columns of formulas that stand side by
# side at once; and if one of them comes of the other by way of a third that is under way, it takes that for a
# circular reference and shows Err:522 from then on.
APART = Column("apart", "", 1)


class Lines:
    """A table of equal lines on one sheet.

    Parameters
    ----------
    sheet : str
        Name of the sheet.
    first, count : int
        Row of the first line, counted from 0, and how many lines there are.
    columns : sequence of Column
        The columns from left to right.
    left : int, default 1
        Column of the first of them, counted from 0.
    """

    def __init__(self, sheet: str, first: int, count: int, columns: Sequence[Column], left: int = 1) -> None:
        self.sheet = sheet
        self.first = first
        self.count = count
        self.columns = tuple(columns)
        self.left = left

    @property
    def last(self) -> int:
        """Row of the last line."""
        return self.first + self.count - 1

    @property
    def right(self) -> int:
        """Number of the last column."""
        return self.left + len(self.columns) - 1

    @property
    def right_shown(self) -> int:
        """Number of the last column with a heading; those without come behind."""
        return self.left + sum(bool(column.label) for column in self.columns) - 1

    def place(self, key: str) -> int:
        """Return the number of a column."""
        return self.left + [column.key for column in self.columns].index(key)

    def cells(self, row: int, from_elsewhere: bool = False) -> dict[str, str]:
        """Return the cell of each column in a row counted from 0."""
        sheet = f"{self.sheet}!" if from_elsewhere else ""
        return {
            column.key: f"{sheet}${xl_col_to_name(number)}{row + 1}"
            for number, column in enumerate(self.columns, start=self.left)
        }

    def across(self, first: str, last: str, row: int, from_elsewhere: bool = False) -> str:
        """Return the cells from one column to another in a row counted from 0."""
        at = self.cells(row)
        sheet = f"{self.sheet}!" if from_elsewhere else ""
        return f"{sheet}{at[first]}:{at[last]}"

    def headed(self, row: int, keys: Sequence[str]) -> list[tuple[str, str]]:
        """Return cells of a row, as other sheets see them, each with the words of its heading."""
        at = self.cells(row, from_elsewhere=True)
        return [(at[key], self.columns[self.place(key) - self.left].words) for key in keys]

    def moved(self, row: int) -> tuple[str, str]:
        """Write the test whether cells filled in were moved out of a row, and what is said then."""
        at = self.cells(row, from_elsewhere=True)
        result = next(column.key for column in self.columns if not column.given)
        return were_moved(self._given(at), at[result], margin(self.sheet, self.first, self.left))

    def _given(self, at: dict[str, str]) -> list[str]:
        return [at[column.key] for column in self.columns if column.given]

    def quiet_zeros(self, sheet: Sheet, first: str, last: str) -> None:
        """Let zeros step back, so that what there is stands out."""
        condition = {"type": "cell", "criteria": "==", "value": 0, "format": sheet.look.beside_the_point()}
        sheet.page.conditional_format(self.first, self.place(first), self.last, self.place(last), condition)

    @property
    def rows(self) -> range:
        """The rows of all lines."""
        return range(self.first, self.last + 1)

    def write(
        self,
        sheet: Sheet,
        values: Sequence[dict[str, Any]],
        more: Callable[[int], dict[str, str]] | None = None,
    ) -> None:
        """Write headings, lines, names and help; ``more`` gives what else stands for something in a row."""
        look = sheet.look
        head = self.first - 1
        sheet.page.set_row(head, HEAD_HEIGHT)
        for number, column in enumerate(self.columns, start=self.left):
            align = "left" if column.shown_as in ("text", "general") else "right"
            if column.label:
                sheet.write(head, number, column.heading, look.heading(align))
            if column.given:
                validate(sheet, self.first, number, self.last, number, column.given, column.label)
            if column.name:
                sheet.book.name(column.name, self.sheet, (self.first, number), (self.last, number))
        for line, row in enumerate(self.rows):
            filled = values[line] if line < len(values) else {}
            at = {**self.cells(row), **(more(row) if more else {})}
            for number, column in enumerate(self.columns, start=self.left):
                if column.given:
                    sheet.write(row, number, filled.get(column.key), look.given(column.given.kind))
                elif column.formula:
                    style = look.result(column.kind) if column.label else look.out_of_sight()
                    sheet.write(row, number, "=" + column.formula.format_map(at), style)
        sheet.mark_errors(self.first, self.left, self.last, self.right_shown)
        if headings := self._given(self.cells(head)):
            keep_in_place(sheet, self.first, self.count, self.left, headings)


def margin(sheet: str, first: int, left: int) -> str:
    """Return the cell on the left of the headings of a table."""
    return f"{sheet}!{xl_rowcol_to_cell(first - 1, left - 1, row_abs=True, col_abs=True)}"


def were_moved(cells: Sequence[str], result: str, beside: str) -> tuple[str, str]:
    """Write the test whether cells of a line stand elsewhere than its result, and what is said then."""
    rows, columns = ("+".join(f"{side}({cell})" for cell in cells) for side in ("ROW", "COLUMN"))
    return f"OR({rows}<>{len(cells)}*ROW({result}),{columns}<>{beside})", MOVED


def keep_in_place(sheet: Sheet, first: int, count: int, left: int, headings: Sequence[str]) -> None:
    """Write what tells that cells of a table were moved, or that a line was inserted or deleted.

    Not shown, on the left of the headings: the sum of the columns that are filled in, which nobody can move.
    """
    columns = "+".join(f"COLUMN({heading})" for heading in headings)
    sheet.write(first - 1, left - 1, f"={columns}", sheet.look.out_of_sight())
    above, below = (
        f"{sheet.name}!{xl_rowcol_to_cell(row, left, row_abs=True, col_abs=True)}"
        for row in (first - 1, first + count)
    )
    sentence = '"a line was inserted or deleted: run weavefuncs upgrade, which gives each line its formulas"'
    sheet.book.checks.append(Check(sheet.name, f'=IF(ROW({below})-ROW({above})<>{count + 1},{sentence},"")'))


def amount(money: str) -> str:
    """Write an amount of money as part of a sentence."""
    return f'FIXED({money},2)&IF(ISBLANK(Currency),""," "&Currency)'


def as_it_is(text: str) -> str:
    """Write a text so that MATCH finds just that: in what it looks for, * and ? stand for any signs."""
    for sign in "~*?":
        text = f'SUBSTITUTE({text},"{sign}","~{sign}")'
    return text


def equal_to(text: str) -> str:
    """Write a text as what COUNTIF and SUMIF look for: just that, even where it begins with > or the like."""
    return f'"="&{as_it_is(text)}'


def line_of(text: str, column: str) -> str:
    """Write the number of the line of a column on which a text stands."""
    return f"MATCH({as_it_is(text)},{column},0)"


# A blank that no line breaks at; web pages and other programs leave it in what is copied from them.
NO_BREAK = "\u00a0"


def tidied(text: str) -> str:
    """Write a text with one plain blank between its words and none around them."""
    return f'TRIM(SUBSTITUTE({text},"{NO_BREAK}"," "))'


def untidy(text: str) -> str:
    """Write the test whether a name has blanks that nobody sees."""
    return f'{tidied(text)}<>{text}&""'


# Said behind such a name where it stands first.
UNTIDY = '" has a blank in front, behind or doubled, or one of another kind: type the name anew"'


def not_among(name: str, where: str) -> str:
    """Say that a name does not stand where it is looked for, or, where it has blanks nobody sees, that."""
    seen = '" has a blank in front, behind or doubled, or one of another kind: choose it from the list"'
    return f'{name}&IF({untidy(name)},{seen}," does not stand {where}")'


def with_units(says: str) -> str:
    """Say nothing while the units are none: all that follows from them is told once, on Settings."""
    return f'IF(ISERROR(MassUnit),"",{says})'


def stands_twice(name: str, column: str, what: str) -> tuple[str, str]:
    """Write the test whether a name stands twice in a column of names, and what is said then.

    Excel sums up under one name, 007, what stands under another that is the same number, 7.
    """
    twice = f'" stands twice: give each {what} a name of its own"'
    alike = '" counts as one with another name here, for both are one number: put a letter into each"'
    return (
        f"COUNTIF({column},{equal_to(name)})>1",
        f"{name}&IF(SUMPRODUCT(({column}={name})*1)>1,{twice},{alike})",
    )


def input_names(columns: Sequence[Column]) -> dict[str, str]:
    """Return the defined name of each column that is filled in."""
    return {column.key: column.name for column in columns if column.given}


# What may be wrong with a cell, as a condition of it.
IS_BLANK, IS_NO_NUMBER = "ISBLANK({0})", "COUNT({0})<COUNTA({0})"
BELOW_ZERO, NOT_ABOVE_ZERO = "{0}<0", "{0}<=0"

# Behind the heading of a cell that holds anything else.
NO_NUMBER = '" holds a text where a number belongs: type the number alone"'


def which(condition: str, cells: Sequence[tuple[str, str]]) -> str:
    """Write the heading of the first cell of which a condition holds; one of them must be such."""
    formula = cells[-1][1]
    for cell, heading in reversed(cells[:-1]):
        formula = f"IF({condition.format(cell)},{heading},{formula})"
    return formula


def first_that_holds(tests: list[tuple[str, str]]) -> str:
    """Write what the first of the conditions that holds says, or an empty text."""
    formula = '""'
    for test, says in reversed(tests):
        formula = f"IF({test},{says},{formula})"
    return formula
