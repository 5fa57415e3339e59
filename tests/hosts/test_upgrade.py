"""A planner moves into the newest template: every entry arrives, and what does not is told by its cell."""

from __future__ import annotations

import os
import re
import stat
import sys
import zipfile
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pytest
from openpyxl import load_workbook
from openpyxl.chart import BarChart
from openpyxl.comments import Comment
from openpyxl.drawing.image import Image
from openpyxl.workbook.defined_name import DefinedName
from PIL import Image as Picture

from weavefuncs.addin.calc.build import build as build_extension
from weavefuncs.addin.cli import main
from weavefuncs.addin.offline import WorkbookProblem
from weavefuncs.workbooks import EXAMPLES, solved, write_planner
from weavefuncs.workbooks._dressing import _is_date
from weavefuncs.workbooks.inputs import Inputs, read_inputs
from weavefuncs.workbooks.leftovers import _bones, leftovers
from weavefuncs.workbooks.upgrade import new_file, refill, upgrade

sys.path.insert(0, str(Path(__file__).parent))
from driven import Driven
from light_planner import build_light
from office import Office

HERE = Path(__file__).resolve().parents[2] / "workbooks"


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A planner of today, filled with an example."""
    path = tmp_path_factory.mktemp("fresh") / "planner.xlsx"
    build_light(path, EXAMPLES["wall-hanging"])
    return path


def test_a_planner_moves_whole(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old, new = HERE / "example-scarf.xlsx", tmp_path / "new.xlsx"
    before = old.read_bytes()
    assert main(["upgrade", str(old), str(new)]) == 0
    told = capsys.readouterr()
    assert "Not moved" not in told.out
    assert told.out.endswith(f"wrote {new}, and left {old} as it was\n")
    assert "calculating" in told.err
    assert old.read_bytes() == before
    assert os.listdir(tmp_path) == ["new.xlsx"]
    moved = read_inputs(new)
    for place, values in read_inputs(old).filled.items():
        if isinstance(values, dict):
            assert {**moved.filled[place], **values} == moved.filled[place]
        else:
            assert moved.filled[place] == values
    # It is written calculated: the scarf has 8 repeats of 28 ends and 21 that balance them.
    sheet = next(sheet for sheet in moved.book.sheets if sheet.name == "Plan")
    assert 8 * 28 + 21 in {cell.stored for cell in sheet.cells.formulas}


def test_what_is_the_users_own_is_told_by_its_cell(fresh: Path, tmp_path: Path) -> None:
    pristine = read_inputs(fresh)
    book = load_workbook(fresh)
    book.create_sheet("My prices")["A1"] = 12
    plan, yarns = book["Plan"], book["Yarns"]
    plan["B2"] = "My own words"
    plan["H3"] = 42
    plan["H4"] = "=SUM(A1:A2)"
    below = f"B{pristine.areas['YarnNames'][3] + 1}"
    yarns[below] = "One yarn too many"
    yarns["G8"].comment = Comment("weighed twice", "me")
    yarns.merge_cells("B7:B8")
    yarns.add_chart(BarChart(), "R4")
    dot = BytesIO()
    Picture.new("RGB", (4, 4)).save(dot, "PNG")
    plan.add_image(Image(dot), "N2")
    book.defined_names["Mine"] = DefinedName("Mine", attr_text="'My prices'!$A$1")
    book.save(tmp_path / "own.xlsx")
    notes = leftovers(read_inputs(tmp_path / "own.xlsx"), pristine)
    found = {(note.sheet, note.cell): note.text for note in notes}
    assert {place: text for place, text in found.items() if place[1]} == {
        ("Plan", "B2"): '"My own words" stands where nothing is asked',
        ("Plan", "H3"): "42 stands where nothing is asked",
        ("Plan", "H4"): "a formula of your own: =SUM(A1:A2)",
        ("Yarns", below): '"One yarn too many" stands where nothing is asked',
        ("Yarns", "G8"): "a remark: weighed twice",
        ("Yarns", "B7:B8"): "cells merged: only the first of them holds what was filled in",
        # Merging empties the second cell, so the name that stood there is no longer read.
        ("", "mine"): "a name that the new planner does not have: 'My prices'!$A$1",
    }
    assert "1 cells filled" in found["My prices", ""]
    drawn = {"1 picture more than the planner has", "1 chart more than the planner has"}
    assert drawn <= {note.text for note in notes}


def test_a_renamed_sheet_is_the_same_sheet(fresh: Path, tmp_path: Path) -> None:
    """The names of the cells lead to what was filled in, whatever the sheet is called."""
    path = tmp_path / "renamed.xlsx"
    with zipfile.ZipFile(fresh) as old, zipfile.ZipFile(path, "w") as new:
        for info in old.infolist():
            part = old.read(info)
            if info.filename == "xl/workbook.xml":
                part = part.replace(b'name="Yarns"', b'name="My stash"').replace(b"'Yarns'!", b"'My stash'!")
            new.writestr(info, part)
    renamed, pristine = read_inputs(path), read_inputs(fresh)
    assert renamed.areas["YarnNames"][0] == "My stash"
    assert renamed.filled == pristine.filled
    assert leftovers(renamed, pristine) == []


@pytest.fixture(scope="module")
def desk() -> Iterator[Driven]:
    with Office() as office:
        office.install(build_extension(office.folder))
        with Driven(office) as desk:
            yield desk


@pytest.mark.parametrize(
    "changes",
    [
        [],
        [
            ("rename", "Yarns", "Garne & Co's"),
            ("rename", "Plan", 'My "own" plan'),
            ("rename", "Batch", "All"),
        ],
        [("insert_row", "Plan", 30), ("insert_row", "Settings", 15), ("insert_row", "Yarns", 9)],
    ],
    ids=["as it is", "sheets renamed", "rows put in"],
)
def test_of_what_calc_saved_nothing_is_left(
    desk: Driven, tmp_path: Path, changes: list[tuple[str, ...]]
) -> None:
    """Calc lists the functions it knows among the names; labels and formulas are where they moved to."""
    planner, saved = tmp_path / "planner.xlsx", desk.office.folder / "saved.xlsx"
    write_planner(planner, "scarf")
    desk.open(desk.office.adopt(planner))
    for verb, *arguments in changes:
        getattr(desk, verb)(*arguments)
    desk.save(saved)
    desk.close()
    with zipfile.ZipFile(saved) as archive:
        assert b'name="WEAVE.yarnLength" vbProcedure="true"' in archive.read("xl/workbook.xml")
    old, new = read_inputs(saved), read_inputs(planner)
    assert {sheet.name for sheet in old.book.sheets} >= {
        name for verb, _, name in changes if verb == "rename"
    }
    assert old.filled["settings"] == new.filled["settings"]
    assert [*old.unread, *leftovers(old, new)] == []


def test_a_formula_that_names_a_sheet_of_the_users_is_the_users() -> None:
    called = {"garne & co's": "Yarns", "my plan": ""}
    assert _bones("'Garne & Co''s'!$B6&\"'a'!\"&'My plan'!C2", called) == _bones("Yarns!$B9&\"'a'!\"&C7", {})
    assert _bones("'My prices'!$B6", called) != _bones("Yarns!$B6", {})
    assert _bones("Kits!$B6", called) != _bones("Yarns!$B6", {})


def test_an_entry_that_has_no_room_or_changed_is_told(fresh: Path) -> None:
    old, new = read_inputs(fresh), read_inputs(fresh)
    sheet, top, left, _, right = new.areas["YarnCounts"]
    new.areas["YarnCounts"] = sheet, top, left, top + 1, right
    key = next(key for key, (question, _) in new.cells.items() if question.name == "FinishedWidth")
    new.cells[key] = new.cells[key][0], 41.0
    texts = [note.text for note in leftovers(old, new)]
    assert '"110 m/100 g": there is no room for it in yarn now' in texts
    assert "42 arrived as 41" in texts


def typed_over(source: Path, path: Path, sheet: str, cells: dict[str, str]) -> Inputs:
    """A planner in which formulas of protected cells were typed over, and the protection restored."""
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(path, "w") as new:
        for info in old.infolist():
            part = old.read(info).decode() if info.filename.endswith(".xml") else old.read(info)
            if info.filename == sheet:
                for cell, content in cells.items():
                    part, count = re.subn(
                        rf'<c r="{cell}"( s="\d+")[^>]*><f>.*?</c>', rf'<c r="{cell}"\1{content}</c>', part
                    )
                    assert count == 1
            new.writestr(info, part)
    return read_inputs(path)


@pytest.mark.parametrize("template", ["", "another"])
def test_what_was_typed_over_a_formula_is_told(tmp_path: Path, template: str) -> None:
    """Yarns!N has a name, its free lengths; O has none. Only numbers can be told apart there."""
    scarf = HERE / "example-scarf.xlsx"
    cells = {"N6": "><v>77</v>", "N7": ' t="str"><v>enough</v>', "O8": "><v>12.5</v>"}
    old, new = (
        typed_over(scarf, tmp_path / "typed.xlsx", "xl/worksheets/sheet3.xml", cells),
        read_inputs(scarf),
    )
    old.template = template or new.template
    found = {f"{note.sheet}!{note.cell}": note.text for note in leftovers(old, new)}
    assert found.keys() == {"Yarns!N6", "Yarns!N7", "Yarns!O8"}
    assert found["Yarns!N6"] == "77 was typed over a formula, which calculates again"
    assert found["Yarns!N7"] == '"enough" was typed over a formula, which calculates again'
    assert found["Yarns!O8"].startswith("12.5 ")


def test_the_answer_of_solve_is_told_in_one_line(fresh: Path) -> None:
    old, new = read_inputs(fresh), read_inputs(fresh)
    page = next(sheet for sheet in old.book.sheets if sheet.name == solved.NAME)
    page.cells.values.update({(solved.FIRST, 2): "Solved", (solved.FIRST + 3, 4): 12.0})
    assert [(note.sheet, note.cell) for note in leftovers(old, new)] == [(solved.NAME, "")]


def test_new_must_be_a_new_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old = tmp_path / "old.xlsx"
    old.write_bytes((HERE / "example-scarf.xlsx").read_bytes())
    for new, reason in (
        (old, "is there already"),
        (tmp_path / "new.csv", r"must end in \.xlsx\.$"),
        (tmp_path / "new.ods", r"must end in \.xlsx\. Calc opens it, and can save it as \.ods\.$"),
        (tmp_path / "none" / "new.xlsx", "There is no folder"),
    ):
        with pytest.raises(WorkbookProblem, match=reason):
            new_file(new)
    with pytest.raises(WorkbookProblem, match="There is no file"):
        upgrade(tmp_path / "none.xlsx", tmp_path / "new.xlsx")
    assert main(["upgrade", str(old), str(old)]) == 2
    assert "is there already" in capsys.readouterr().err
    assert os.listdir(tmp_path) == ["old.xlsx"]


@pytest.mark.parametrize(("old_mode", "new_mode"), [(0o600, 0o600), (0o440, 0o640)])
def test_who_may_not_read_the_old_planner_may_not_read_the_new_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, old_mode: int, new_mode: int
) -> None:
    monkeypatch.setattr("weavefuncs.workbooks.upgrade.build", build_light)
    old = tmp_path / "old.xlsx"
    old.write_bytes((HERE / "example-scarf.xlsx").read_bytes())
    old.chmod(old_mode)
    upgrade(old, tmp_path / "upgraded.xlsx")
    inputs = read_inputs(old)
    refill(inputs, inputs.filled, tmp_path / "refilled.xlsx")
    for name in ("upgraded", "refilled"):
        assert stat.S_IMODE((tmp_path / f"{name}.xlsx").stat().st_mode) == new_mode


def test_long_formulas_and_formats_are_read_once() -> None:
    called = {"my sheet": "", "plan.1": "Plan"}
    long = _bones("a" * 300_000 + "+'My sheet'!B2+Plan.1!B2", called)
    assert long == _bones("a" * 300_000 + "+B3+'Plan'!B3", {})
    assert _bones("'" * 300_001, {})
    assert not _is_date("164", {"164": "[" * 300_000})
    assert _is_date("164", {"164": "[" * 300_000 + "h]:mm"})
