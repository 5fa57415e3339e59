"""Cells that are filled in, moved about in real Calc: it is told, and an upgrade mends it."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from weavefuncs.addin.calc.build import build as build_extension
from weavefuncs.addin.offline import recalculate
from weavefuncs.workbooks import EXAMPLES
from weavefuncs.workbooks.inputs import read_inputs
from weavefuncs.workbooks.planner import build
from weavefuncs.workbooks.upgrade import upgrade

sys.path.insert(0, str(Path(__file__).parent))
from driven import Driven
from few_lines import few_lines
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
        pytest.param("stash", "Shopping", "P31:S31", "P36", "Shopping, row 31", id="a need"),
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
        bottom = _first_row(planners["scarf"], "DraftGrid") + 47
        desk.type("DraftGrid", "1")
        desk.clear("DraftGrid")
        low, text = desk.named("DraftLowest")[0][0], desk.named("DraftText")[0][0]
        assert low == 1
        # As many rows up as the drawing is high, which is not higher than half the field.
        high = int(desk.named("DraftHighest")[0][0])
        assert high <= 24
        desk.move("Draft", f"F{bottom - high + 1}:BA{bottom}", f"F{bottom - 2 * high + 1}")
        assert desk.named("DraftLowest")[0][0] == high + 1
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
