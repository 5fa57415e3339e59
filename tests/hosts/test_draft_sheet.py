"""The sheet Draft as a weaver meets it: a cloth drawn, a draft typed in, and both with mistakes.

It is built alone, beside cells that stand for those of the plan it asks for, and calculated offline; that
Calc calculates the planner alike is tested with the planner.
"""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import openpyxl
import pytest

import weavefuncs as wf
from weavefuncs.addin.offline import recalculate
from weavefuncs.workbooks import draft, start
from weavefuncs.workbooks.book import Book
from weavefuncs.workbooks.rows import checked_names

TWILL_TIE_UP = [[1, 0, 0, 1], [1, 1, 0, 0], [0, 1, 1, 0], [0, 0, 1, 1]]
POINT = [1, 2, 3, 4, 3, 2]
OF_THE_PLAN = (
    "PieceName", "MadeOn", "FinishedWidth", "FinishedLength", "WeaveText", "WarpYarnName", "WeftYarnName",
    "Ends",
)  # fmt: skip


class Calculated:
    """The sheet, filled in and calculated."""

    def __init__(self, folder: Path, values: dict[str, Any], ends: int | None = None) -> None:
        self.path = folder / "draft.xlsx"
        book = Book(str(self.path), "calc", checked_names(draft.ROWS))
        plan = book.sheet("Plan", [10], "#000000")
        for row, name in enumerate(OF_THE_PLAN):
            plan.write(row, 0, ends if name == "Ends" else None, book.look.plain())
            plan.name_cell(name, row, 0)
        draft.write(book, values)
        start._write_looking(book)
        book.close()
        self.report = recalculate(self.path)
        assert not self.report.uncalculated

    def __getitem__(self, name: str) -> Any:
        return self.report.name_values(name)[0][0]

    def row(self, name: str) -> list[Any]:
        return [value for row in self.report.name_values(name) for value in row if value not in ("", None)]

    @property
    def problems(self) -> list[str]:
        places, texts = (self.report.name_values(name) for name in ("CheckPlaces", "CheckTexts"))
        return [f"{place[0]}: {text[0]}" for place, text in zip(places, texts) if text[0] not in ("", None)]

    def cells(self, top: int, left: int, rows: int, columns: int) -> list[list[Any]]:
        """What cells show, the top row first; numbers of rows and columns from 0."""
        sheet = openpyxl.load_workbook(self.path, data_only=True)[draft.NAME]
        area = sheet.iter_rows(top + 1, top + rows, left + 1, left + columns)
        return [[cell.value for cell in row] for row in area]


@pytest.fixture
def drawn(tmp_path):
    def calculate(ends: int | None = None, **values: Any) -> Calculated:
        return Calculated(tmp_path, values, ends)

    return calculate


def as_seen(grid: list[list[int]], right: int = 0, down: int = 0) -> list[list[int | None]]:
    """A grid, pick 1 first, as it is drawn: its last pick on top, somewhere in the field."""
    return [[None]] * down + [[None] * right + row for row in reversed(grid)]


def test_a_blank_sheet_shows_nothing(drawn):
    sheet = drawn(ends=100)
    assert not sheet.report.errors
    assert not sheet.problems
    for name in ("DraftText", "DraftShafts", "DraftThreadingName", "BackText", "BackShafts", "DraftShort"):
        assert sheet[name] in ("", None), name
    assert not sheet.row("DraftThreading")


@pytest.mark.parametrize(("right", "down"), [(42, 0), (5, 40)])
def test_a_point_twill_is_taken_apart_wherever_it_is_drawn(drawn, right, down):
    grid = wf.drawdown_from_draft(POINT, TWILL_TIE_UP, [1, 2, 3, 4])
    # An end of this cloth is down in the top row: only the ones are drawn, the rest is blank.
    marks = [[cell or None for cell in row] for row in as_seen(grid, right, down)]
    sheet = drawn(ends=100, grid=marks, owned=[20, 40])
    assert not sheet.report.errors
    assert (sheet["DraftEnds"], sheet["DraftPicks"]) == (6, 4)
    assert (sheet["DraftShafts"], sheet["DraftTreadles"]) == (4, 4)
    assert (sheet["DraftThreadingName"], sheet["DraftTreadlingName"]) == ("point", "straight")
    assert sheet["DraftTabby"] == "yes: 1, 3 against 2, 4"
    assert (sheet["DraftDoubledEnds"], sheet["DraftDoubledPicks"], sheet["DraftUntied"]) == ("none",) * 3
    # Where the threading turns, a weft float of three lies.
    assert (sheet["DraftFloatWarp"], sheet["DraftFloatWeft"]) == (2, 3)
    assert sheet.row("DraftThreading") == POINT
    assert sheet.row("DraftTreadling") == [4, 3, 2, 1]
    # 100 ends are 16 repeats of 6 and 1 2 3 4: 17 on shafts 1 and 4, 33 on the others.
    assert sheet.cells(25, draft.RESULT, 4, 1) == [[17], [33], [33], [17]]
    assert sheet.cells(25, draft.UNIT, 4, 1) == [[None], [None], [0], [0]]
    assert sheet["DraftShort"] == 0
    assert not sheet.problems


@pytest.mark.parametrize("numbering", ["in twill order", "as they appear"])
def test_what_the_marks_are_read_from_gives_the_cloth_back(drawn, numbering):
    """Threading, tie-up, treadling and lift plan as the sheet draws them, put together again."""
    chance = random.Random(48)
    kinds = [[chance.randint(0, 1) for _ in range(48)] for _ in range(20)]
    grid = [chance.choice(kinds) for _ in range(48)]
    sheet = drawn(grid=as_seen(grid), DraftNumbering=numbering)
    threading, treadling = sheet.row("DraftThreading"), sheet.row("DraftTreadling")[::-1]
    block = draft._Block(None, 4, "Draft", "")
    shafts = int(sheet["DraftShafts"])
    assert shafts == len(set(zip(*grid)))
    tied = [code for (code,) in sheet.cells(block.first_shaft, draft.CODE, draft.DRAWN, 1) if code]
    assert len(tied) == min(shafts, draft.DRAWN)
    lifts = [code for (code,) in sheet.cells(block.field, draft.CODE, draft.FIELD, 1)][::-1]
    assert [[int(lift[int(shaft) - 1]) for shaft in threading] for lift in lifts] == grid
    for number, code in enumerate(reversed(tied), start=1):
        assert [int(code[int(treadle) - 1]) for treadle in treadling] == [
            int(lift[number - 1]) for lift in lifts
        ]


def test_heddles_that_are_short(drawn):
    grid = wf.drawdown("2/2 twill", 4, 4)
    sheet = drawn(ends=100, grid=as_seen(grid), owned=[20, 30, 21, None], DraftWarp=104)
    assert sheet.cells(25, draft.UNIT, 4, 1) == [[None], [5], [0], [6]]
    assert sheet.problems == [
        "Draft, Heddles short in all: heddles are short by 11 for 104 ends: see the shafts"
    ]


@pytest.mark.parametrize(
    ("grid", "name", "word"),
    [
        ([[1, "x"], [0, 1]], "DraftText", "grid must be a grid of 1 and 0"),
        ([[1, 0], [0.5, 1]], "DraftText", "got 0.5"),
        ([[1, 0], [None, None], [0, 1]], "", "a row inside the drawing is blank"),
        ([[1, None, 0], [0, None, 1]], "", "a column inside the drawing is blank"),
        ([[1, 0, 0], [0, 1, 0]], "", "Never tied in: lies loose, up or down throughout: end 3"),
    ],
)
def test_a_cloth_drawn_wrongly_has_a_line(drawn, grid, name, word):
    sheet = drawn(grid=grid)
    assert any(word in line for line in sheet.problems), sheet.problems
    if name:
        assert type(sheet[name]).__name__ == "CellError"
        assert type(sheet["DraftShafts"]).__name__ != "float"
        assert len(sheet.problems) == 1
        assert word in sheet["DraftFault"]


def test_ones_typed_as_text_count(drawn):
    sheet = drawn(grid=[["1", "0"], [0, 1]])
    assert sheet["DraftText"] == "01 10"
    assert not sheet.problems


def test_the_other_way_round(drawn):
    herringbone = [1, 2, 3, 4, 2, 1, 4, 3]
    treadling = [1, 2, 3, 4]
    sheet = drawn(
        ends=24,
        threading=[None] * 10 + herringbone,
        tie_up=as_seen(TWILL_TIE_UP, down=20),
        treadled=as_seen([[int(treadle == at) for at in range(1, 5)] for treadle in treadling]),
    )
    assert not sheet.report.errors
    woven = wf.drawdown_from_draft(herringbone, TWILL_TIE_UP, treadling)
    assert sheet["BackText"] == wf.grid_as_weave(woven)
    assert (sheet["BackEnds"], sheet["BackPicks"], sheet["BackShafts"]) == (8, 4, 4)
    assert sheet["BackName"] == "broken"
    assert sheet["BackTabby"] == "no: shafts 1, 2, 3, 4 hold odd and even ends"
    block = draft._Block(None, 4, "Draft", "")
    together = draft._Block(None, block.after + 2, "Back", "")
    codes = [code for (code,) in sheet.cells(together.field, draft.CODE, draft.FIELD, 1) if code]
    assert [list(map(int, code)) for code in reversed(codes)] == woven
    assert sheet.cells(together.threading - 4, draft.RESULT, 4, 1) == [[6]] * 4
    assert not sheet.problems


def test_a_table_loom_types_its_lift_plan(drawn):
    straight = [[int(shaft == treadle) for treadle in range(4)] for shaft in range(4)]
    lifts = wf.lift_plan(TWILL_TIE_UP, [1, 2, 3, 4])
    sheet = drawn(threading=POINT, tie_up=as_seen(straight, down=20), treadled=as_seen(lifts))
    assert sheet["BackText"] == wf.grid_as_weave(wf.drawdown_from_draft(POINT, TWILL_TIE_UP, [1, 2, 3, 4]))
    assert sheet["BackName"] == "point"


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"threading": [1, 2, None, 4]}, "the threading has a gap"),
        ({"threading": [1, "two", 3]}, "threading[2] must be a whole number"),
        ({"threading": []}, "threading must be given"),
        ({"threading": [1, 2, 25]}, "threading[3] must be a shaft that the tie-up has"),
        ({"treadled": []}, "treadled must be given"),
        ({"treadled": [[1, 0], [7, 1]]}, "got 7"),
    ],
)
def test_a_draft_typed_wrongly_has_a_line(drawn, change, word):
    good = {
        "threading": [1, 2, 3],
        "tie_up": as_seen([[1, 0], [0, 1], [1, 1]], down=21),
        "treadled": [[1, 0], [0, 1]],
    }
    sheet = drawn(**{**good, **change})
    assert type(sheet["BackText"]).__name__ == "CellError"
    assert [line for line in sheet.problems if word in line], sheet.problems
    assert len(sheet.problems) == 1


def test_a_pick_that_presses_nothing_is_told(drawn):
    sheet = drawn(
        threading=[1, 2], tie_up=as_seen([[1, 0], [0, 1]], down=22), treadled=[[1, 0], [None, None], [0, 1]]
    )
    assert sheet["BackText"] == "01 00 10"
    assert sheet.problems == ["Draft, Never tied in: lies loose, up or down throughout: pick 2"]
