"""No column of the planner stands where Calc, which works out several at once, sees a circle that is none.

Asked for a column while it recalculates all, Calc looks whether it can work out the columns beside it in the
same threads, and for that asks for what they come of. If one of them comes of the first by way of a third
column, and the third is what asked, that looks like a circular reference: Err:522, from then on.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import openpyxl
import pytest
from openpyxl.utils import column_index_from_string, range_boundaries

from weavefuncs.workbooks.planner import build

# Shorter columns are not worth threads to Calc.
SHORTEST = 50

# What it never does in threads; it calls functions of an extension one by one, too.
NO_THREADS = re.compile(r"\b(?:WEAVE\.[A-Z]+|CELL|INDIRECT|INFO|MATCH|OFFSET|TEXT)\(")

TEXT = re.compile('"[^"]*"')
RELATIVE_ROW = re.compile(r"(?<=[A-Z])\d+\b")
AREA = re.compile(r"(?:('[^']+'|[A-Za-z]+)!)?(\$?[A-Z]{1,3}\$?\d+(?::\$?[A-Z]{1,3}\$?\d+)?)(?![\w(])")
NAME = re.compile(r"\b[A-Za-z_]\w*\b(?![(!.])")


@dataclass(eq=False)
class Run:
    """Cells below each other with one formula, which refers to the cells of their rows."""

    sheet: str
    column: int
    first: int
    formula: str
    last: int = 0
    comes_of: set[Run] = field(default_factory=set)

    @property
    def threaded(self) -> bool:
        return self.last - self.first + 1 >= SHORTEST and not NO_THREADS.search(self.formula)

    def all_it_comes_of(self) -> set[Run]:
        found, left = set(), [self]
        while left:
            left += (run := left.pop()).comes_of - found
            found |= run.comes_of
        return found


class Runs:
    """The formulas of a workbook, in runs."""

    def __init__(self, path: Path) -> None:
        book = openpyxl.load_workbook(path)
        self.at: dict[tuple[str, int, int], Run] = {}
        self.names = {
            name: places[0]
            for name, defined in book.defined_names.items()
            if (places := list(defined.destinations))
        }
        for sheet in book:
            for cells in sheet.iter_cols():
                self._read(sheet.title, cells)
        for run in set(self.at.values()):
            for row in {run.first, run.last}:
                found = {
                    self.at.get(place) for place in self._named(run.sheet, book[run.sheet], row, run.column)
                }
                run.comes_of |= found - {None, run}

    def _read(self, sheet: str, cells: tuple) -> None:
        run, shape = None, ""
        for cell in cells:
            if cell.data_type != "f":
                run = None
                continue
            formula = TEXT.sub('""', cell.value)
            before, row = shape, cell.row
            shape = RELATIVE_ROW.sub(lambda found, row=row: f"[{int(found[0]) - row}]", formula)
            if run is None or shape != before:
                run = Run(sheet, cell.column, row, formula)
            run.last = row
            self.at[sheet, row, cell.column] = run

    def _named(self, title: str, sheet, row: int, column: int) -> Iterator[tuple[str, int, int]]:
        """Give each cell that the formula of a cell names."""
        formula = TEXT.sub('""', sheet.cell(row, column).value)
        areas = [((there or title).strip("'"), area) for there, area in AREA.findall(formula)]
        areas += [self.names[name] for name in NAME.findall(formula) if name in self.names]
        for there, area in areas:
            left, top, right, bottom = range_boundaries(area.replace("$", ""))
            for down in range(top, bottom + 1):
                for across in range(left, right + 1):
                    yield there, down, across

    def side_by_side(self) -> Iterator[tuple[Run, Run]]:
        """Give each two columns that Calc may work out at once."""
        for run in set(self.at.values()):
            beside = self.at.get((run.sheet, run.first, run.column + 1))
            alike = beside and (beside.first, beside.last) == (run.first, run.last)
            if alike and beside.threaded and run.threaded:
                yield run, beside


def by_way_of_others(runs: Runs) -> list[str]:
    """Tell of columns side by side of which one comes of the other by way of a third."""
    found = []
    for two in runs.side_by_side():
        for one, other in (two, two[::-1]):
            if any(other in run.all_it_comes_of() for run in one.comes_of - {other}):
                found.append(f"{one.sheet}: column {one.column} of {other.column}")
    return found


def test_no_column_comes_of_the_one_beside_it_by_way_of_another(tmp_path):
    build(str(tmp_path / "planner.xlsx"), {}, "calc")
    runs = Runs(tmp_path / "planner.xlsx")
    assert len([run for run in set(runs.at.values()) if run.threaded]) > 10
    assert not by_way_of_others(runs)


@pytest.mark.parametrize(
    ("columns", "circles"),
    [
        # Column C comes of one by way of another: which of the two stands beside it?
        ({"A": "$E{0}*2", "B": "$A{0}*2", "C": "$B{0}*2"}, []),
        ({"A": "$B{0}*2", "B": "$E{0}*2", "C": "$A{0}*2"}, ["Sheet: column 3 of 2"]),
        ({"A": "SUM($B$1:$B$60)", "B": "$E{0}*2", "C": "$A{0}*2"}, ["Sheet: column 3 of 2"]),
        ({"A": "$D{0}*2", "D": "$E{0}*2", "C": "WEAVE.ENDS($A{0},2)"}, []),
    ],
)
def test_such_columns_are_found(tmp_path, columns, circles):
    book = openpyxl.Workbook()
    book.active.title = "Sheet"
    for letter, formula in columns.items():
        for row in range(1, 61):
            book.active.cell(row, column_index_from_string(letter), f"={formula.format(row)}")
    book.save(tmp_path / "book.xlsx")
    assert by_way_of_others(Runs(tmp_path / "book.xlsx")) == circles
