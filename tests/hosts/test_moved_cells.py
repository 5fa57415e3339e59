"""Cells that are filled in, moved about in real Calc: it is told, and an upgrade mends it."""

from __future__ import annotations

import copy
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from weavefuncs.addin.calc.build import build as build_extension
from weavefuncs.addin.offline import recalculate
from weavefuncs.addin.offline.recalc import Report
from weavefuncs.addin.offline.values import CellError
from weavefuncs.workbooks import EXAMPLES
from weavefuncs.workbooks.inputs import read_inputs
from weavefuncs.workbooks.planner import build
from weavefuncs.workbooks.upgrade import upgrade

sys.path.insert(0, str(Path(__file__).parent))
from driven import Driven
from few_lines import few_lines
from light_planner import build_light
from office import Office

MOVED = "cells of this line were moved, and formulas followed them: undo it, or run weavefuncs upgrade"
RESIZED = "a line was inserted or deleted: run weavefuncs upgrade, which gives each line its formulas"


@pytest.fixture(scope="module")
def office() -> Iterator[Office]:
    with Office() as office:
        office.install(build_extension(office.folder))
        yield office


@pytest.fixture(scope="module")
def planners(office: Office) -> dict[str, Path]:
    """The examples, calculated, where the office can open and save them."""
    found = {}
    with few_lines():
        for example in ("scarf", "stash", "towels", "kit"):
            raw = office.folder / f"{example}.xlsx"
            build(str(raw), EXAMPLES[example], "calc")
            recalculate(raw)
            found[example] = office.adopt(raw)
    return found


@pytest.fixture(scope="module")
def desk(office: Office) -> Iterator[Driven]:
    with Driven(office) as desk:
        yield desk


def problems(desk: Driven) -> list[str]:
    return [f"{where}: {text}" for where, text in desk.named("ProblemsList") if where]


def told_offline(path: Path) -> list[str]:
    return [
        f"{where}: {text}"
        for where, text in recalculate(path, check=True).name_values("ProblemsList")
        if where
    ]


def seen(desk: Driven, path: Path) -> list[str]:
    """The problems that Calc shows; the offline engine shows the same in what Calc saves."""
    saved = path.with_name("moved.xlsx")
    desk.save(saved)
    found = problems(desk)
    assert told_offline(saved) == found
    return found


@pytest.mark.parametrize(
    ("example", "sheet", "cells", "to", "where"),
    [
        pytest.param("stash", "Yarns", "B13:K13", "B40", "Yarns, row 13", id="a line of Yarns"),
        pytest.param("stash", "Yarns", "G8", "G9", "Yarns, row 8", id="a weight, a line down"),
        pytest.param("stash", "Yarns", "G8", "H8", "Yarns, row 8", id="a weight, a column on"),
        pytest.param("towels", "Batch", "B6:M6", "B10", "Batch, row 6", id="a line of Batch"),
        pytest.param("kit", "Kits", "B6:G6", "B7", "Kits, row 6", id="a kit"),
        pytest.param("kit", "Kits", "B22:D22", "B27", "Kits, row 22", id="a yarn of a kit"),
        pytest.param("stash", "Shopping", "Q31:T31", "Q36", "Shopping, row 31", id="a need"),
        pytest.param("stash", "Records", "F9", "F10", "Records, row 9", id="a measure"),
        pytest.param("towels", "Settings", "C12", "C22", "Settings, Wage", id="the wage"),
        pytest.param("scarf", "Plan", "C8", "C9", "Plan, Finished width", id="a width on Plan"),
    ],
)
def test_a_moved_cell_is_told_where_it_was(
    desk: Driven, planners: dict[str, Path], example: str, sheet: str, cells: str, to: str, where: str
) -> None:
    desk.open(planners[example])
    try:
        assert not [problem for problem in problems(desk) if MOVED in problem]
        desk.move(sheet, cells, to)
        assert [problem for problem in seen(desk, planners[example]) if MOVED in problem] == [
            f"{where}: {MOVED}"
        ]
    finally:
        desk.close()


def test_undone_it_is_told_no_more(desk: Driven, planners: dict[str, Path]) -> None:
    desk.open(planners["stash"])
    try:
        before = problems(desk)
        desk.move("Yarns", "B13:K13", "B40")
        assert problems(desk) != before
        desk.undo()
        desk.undo()
        assert problems(desk) == before
    finally:
        desk.close()


def test_a_drawing_that_is_moved_is_the_drawing_still(desk: Driven, planners: dict[str, Path]) -> None:
    """Of rows moved as a whole the formulas of the new rows count, and those of the old ones are blank."""
    desk.open(planners["scarf"])
    try:
        top, text = _first_row(planners["scarf"], "DraftGrid"), desk.named("DraftText")[0][0]
        # The scarf's cloth is drawn in the upper 14 of 48 rows, the lowest of them line 35 from the bottom.
        assert desk.named("DraftLowest")[0][0] == 48 - 14 + 1
        desk.move("Draft", f"F{top}:BA{top + 13}", f"F{top + 17}")
        assert desk.named("DraftLowest")[0][0] == 48 - 14 + 1 - 17
        assert desk.named("DraftText")[0][0] == text
    finally:
        desk.close()


def _first_row(path: Path, name: str) -> int:
    return read_inputs(path).areas[name][1]


@pytest.mark.parametrize(
    ("example", "sheet", "row"),
    [
        ("stash", "Yarns", 10),
        ("towels", "Batch", 7),
        ("kit", "Kits", 24),
        ("stash", "Shopping", 30),
        ("stash", "Records", 10),
    ],
)
def test_a_line_inserted_or_deleted_is_told(
    desk: Driven, planners: dict[str, Path], example: str, sheet: str, row: int
) -> None:
    for change in (desk.insert_row, desk.delete_row):
        desk.open(planners[example])
        try:
            assert f"{sheet}: {RESIZED}" not in problems(desk)
            change(sheet, row)
            assert f"{sheet}: {RESIZED}" in seen(desk, planners[example])
        finally:
            desk.close()


def test_an_upgrade_reads_each_cell_beside_its_label(
    desk: Driven, planners: dict[str, Path], tmp_path: Path
) -> None:
    """Two names lead to one cell then: the wage would be the gap between two pieces too."""
    path = planners["towels"]
    before = read_inputs(path).filled["settings"]
    assert before["Wage"]
    assert not before["Between"]
    desk.open(path)
    saved = path.with_name("dragged.xlsx")
    try:
        desk.move("Settings", "C12", "C22")
        desk.save(saved)
    finally:
        desk.close()
    upgrade(saved, tmp_path / "new.xlsx")
    after = read_inputs(tmp_path / "new.xlsx").filled["settings"]
    assert after == {**before, "Wage": None, "Between": before["Wage"]}
    assert not [problem for problem in told_offline(tmp_path / "new.xlsx") if MOVED in problem]


def test_what_excel_leaves_of_a_name_is_read_beside_its_label(tmp_path: Path) -> None:
    """Excel lets the name of the cell that was dropped on lead nowhere."""
    path = tmp_path / "planner.xlsx"
    build_light(path, EXAMPLES["towels"])
    areas, before = read_inputs(path).areas, read_inputs(path).filled["settings"]
    book = load_workbook(path)
    wage, between = (book["Settings"].cell(areas[name][1], 3) for name in ("Wage", "Between"))
    between.value, wage.value = wage.value, None
    book.defined_names["Wage"].attr_text = f"Settings!$C${between.row}"
    book.defined_names["Between"].attr_text = "Settings!#REF!"
    book.save(path)
    inputs = read_inputs(path)
    assert inputs.filled["settings"] == {**before, "Wage": None, "Between": before["Wage"]}
    assert not inputs.unread


@pytest.mark.parametrize("change", ["insert_row", "delete_row"])
def test_an_upgrade_gives_each_line_its_formulas(
    desk: Driven, planners: dict[str, Path], tmp_path: Path, change: str
) -> None:
    path = planners["stash"]
    yarns: list[Any] = read_inputs(path).filled["yarns"]
    expected = [*yarns[:4], {}, *yarns[4:]] if change == "insert_row" else [*yarns[:4], *yarns[5:]]
    desk.open(path)
    saved = path.with_name("resized.xlsx")
    try:
        getattr(desk, change)("Yarns", 10)
        desk.save(saved)
    finally:
        desk.close()
    upgrade(saved, tmp_path / "new.xlsx")
    assert read_inputs(tmp_path / "new.xlsx").filled["yarns"] == expected
    assert not [problem for problem in told_offline(tmp_path / "new.xlsx") if RESIZED in problem]


# Pasted from elsewhere.

NO_BREAK = "\u00a0"
BLANKS = "has a blank in front, behind or doubled, or one of another kind"


def pasted_stash(filled: dict[str, Any]) -> None:
    """Blanks that nobody sees in what is looked for and in a name itself; answers that are none."""
    needs = filled["shopping"]["needs"]
    needs[0]["yarn"] = "Dusk grey 214 "
    needs[2] |= {"yarn": "Lambswool cream".replace(" ", NO_BREAK), "mix": "ja"}
    needs[4] |= {"yarn": "Cotton white", "mix": "YES"}
    needs[5] |= {"yarn": "Cotton sky K2", "mix": "Yes "}
    filled["yarns"][3]["name"] = "Moss  green"


def pasted_orders(filled: dict[str, Any]) -> None:
    filled["batch"][0]["label"] = "A"
    filled["batch"][1] |= {"label": f"A{NO_BREAK}", "weft": "Cotton  brick"}
    filled["batch"][2]["label"] = " a"


def pasted_kit(filled: dict[str, Any]) -> None:
    filled["kits"]["recipes"][1]["kit"] += "  "
    filled["kits"]["recipes"][2]["yarn"] += NO_BREAK


def pasted_kit_name(filled: dict[str, Any]) -> None:
    filled["kits"]["kits"][0]["name"] += " "


def pasted_plan(filled: dict[str, Any]) -> None:
    filled["plan"]["WarpYarnName"] += " "


def no_unit(filled: dict[str, Any]) -> None:
    filled["settings"]["UnitChoice"] = "metric"


TOLD = [
    pytest.param(
        "stash",
        pasted_stash,
        [
            f"Yarns, row 9: Moss  green {BLANKS}: type the name anew",
            f"Shopping, row 28: Lattice shawl: Dusk grey 214  {BLANKS}: choose it from the list",
            f"Shopping, row 30: Baby blanket: Lambswool{NO_BREAK}cream {BLANKS}: choose it from the list",
            "Shopping, row 33: Tea towels, Cotton sky K2: May mix lots must be yes or no",
        ],
        id="stash",
    ),
    pytest.param(
        "towels",
        pasted_orders,
        [f"Batch, row 7: Cotton  brick {BLANKS}: choose it from the list"],
        id="orders",
    ),
    pytest.param(
        "kit",
        pasted_kit,
        [
            f"Kits, row 23: Little hill path   {BLANKS}: choose it from the list",
            f"Kits, row 24: Little hill path: Rust skeins{NO_BREAK} {BLANKS}: choose it from the list",
        ],
        id="kit",
    ),
    pytest.param(
        "kit",
        pasted_kit_name,
        [
            f"Kits, row 6: Little hill path  {BLANKS}: type the name anew",
            *(
                f"Kits, row {row}: Little hill path does not stand among the kits above"
                for row in range(22, 26)
            ),
        ],
        id="name of a kit",
    ),
    pytest.param(
        "scarf",
        pasted_plan,
        [f"Plan, Its count: The warp yarn Cotton ecru  {BLANKS}: choose it from the list"],
        id="plan",
    ),
    pytest.param("stash", no_unit, ["Settings, Units: Units must be one of the list"], id="no unit"),
]


@pytest.mark.parametrize(("example", "change", "told"), TOLD)
def test_what_is_pasted_is_told_for_what_it_is(
    desk: Driven, office: Office, example: str, change: Any, told: list[str]
) -> None:
    filled = copy.deepcopy(EXAMPLES[example])
    change(filled)
    raw = office.folder / "pasted.xlsx"
    with few_lines():
        build(str(raw), filled, "calc")
    recalculate(raw)
    desk.open(office.adopt(raw))
    try:
        desk.recalculate_all()
        found = problems(desk)
        assert [line for line in found if any(word in line for word in (BLANKS, "must be", "among"))] == told
        assert told_offline(raw) == found
    finally:
        desk.close()


def pasted(folder: Path, example: str, change: Any) -> Report:
    filled = copy.deepcopy(EXAMPLES[example])
    change(filled)
    with few_lines():
        build(str(folder / "planner.xlsx"), filled, "calc")
    return recalculate(folder / "planner.xlsx", check=True)


def test_a_unit_that_is_none_is_told_once(tmp_path: Path) -> None:
    for example in ("stash", "towels", "kit", "scarf"):
        told = pasted(tmp_path, example, no_unit).name_values("ProblemsList")
        units = [
            where
            for where, text in told
            if "on Yarns" in text or "count" in text or "one of the list" in text
        ]
        assert units == ["Settings, Units"], example


def test_a_need_that_cannot_be_worked_out_makes_no_smaller_sum(tmp_path: Path) -> None:
    report = pasted(tmp_path, "stash", pasted_stash)
    for name in ("ShopCost", "ShopPutUpCount", "NeedsShort"):
        assert isinstance(report.name_values(name)[0][0], CellError)


def test_a_mark_is_read_without_the_blanks_around_it(tmp_path: Path) -> None:
    """Three lines on one warp: their shares of it add up to one."""
    report = pasted(tmp_path, "towels", pasted_orders)
    assert report.name_values("BatchWarpCount") == [[1]]


def test_yarns_are_sorted_by_what_is_filled_in_although_the_sheet_is_protected(
    desk: Driven, planners: dict[str, Path]
) -> None:
    path = planners["stash"]
    names = [yarn["name"] for yarn in EXAMPLES["stash"]["yarns"]]
    desk.open(path)
    try:
        before = {row[0]: row for row in _yarns(desk)}
        area = desk.filtered("Yarns")
        assert area == f"B5:K{5 + 60}"
        desk.sort("Yarns", area)
        after = _yarns(desk)
        assert [row[0] for row in after] == sorted(names, key=str.lower) != names
        assert {row[0]: row for row in after} == before
    finally:
        desk.close()


def _yarns(desk: Driven) -> list[list[Any]]:
    """The lines of Yarns that are filled in: what is filled in, and what comes out."""
    return [row[1:16] for row in desk.values("Yarns")[5:65] if row[1]]
