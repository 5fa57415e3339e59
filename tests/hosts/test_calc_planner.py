"""The planner in real LibreOffice Calc with the add-in: the same results three ways, used as by a user."""

from __future__ import annotations

import copy
import json
import re
import shutil
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.utils.cell import (
    column_index_from_string,
    coordinate_from_string,
    get_column_letter,
    range_boundaries,
)

from weavefuncs import longest_float, pick_colours
from weavefuncs.addin.calc.build import build as build_extension
from weavefuncs.addin.offline import recalculate
from weavefuncs.workbooks import EXAMPLES, template, write_planner
from weavefuncs.workbooks.ods import finish
from weavefuncs.workbooks.planner import build
from weavefuncs.workbooks.solve import solve
from weavefuncs.workbooks.upgrade import upgrade

sys.path.insert(0, str(Path(__file__).parent))
from driven import Driven
from odd_names import in_other_words
from office import Office
from plain_cells import Cells, CellShowsError

BUILT = Path(__file__).resolve().parents[2] / "workbooks"
PLANNERS = (None, *EXAMPLES)
ENDINGS = (".xlsx", ".ods")

SHEETS = (
    "Start", "Settings", "Yarns", "Plan", "Cloth", "Draft", "Weaving order", "Batch", "Kits", "Shopping",
    "Solved", "Records", "Tables", "Functions", "Checks",
)  # fmt: skip

Rows = list[list[Any]]


@pytest.fixture(scope="module")
def office() -> Iterator[Office]:
    with Office() as office:
        office.install(build_extension(office.folder))
        yield office


@pytest.fixture(scope="module")
def converted(office: Office) -> Path:
    """The folder with the committed .xlsx planners, converted by Calc."""
    out = office.folder / "converted"
    planners = [office.adopt(BUILT / template(example, ".xlsx")) for example in PLANNERS]
    office.run("soffice", "--headless", "--convert-to", "ods", "--outdir", out, *planners)
    return out


@pytest.fixture(scope="module")
def desk(office: Office, converted: Path) -> Iterator[Driven]:
    with Driven(office) as desk:
        yield desk


class Offline:
    """A planner built from what is filled in, and calculated by the offline engine."""

    def __init__(self, folder: Path, filled: dict[str, Any]) -> None:
        self.raw = folder / "raw.xlsx"
        build(str(self.raw), filled, "calc")
        path = folder / "calculated.xlsx"
        report = recalculate(self.raw, out=path)
        assert not report.uncalculated
        shown, written = openpyxl.load_workbook(path, data_only=True), openpyxl.load_workbook(path)
        self.values = {
            sheet.title: [[cell.value for cell in row] for row in sheet.iter_rows()] for sheet in shown
        }
        self.formulas = {
            (sheet.title, cell.coordinate): cell.value
            for sheet in written
            for row in sheet.iter_rows()
            for cell in row
            if cell.data_type == "f"
        }
        self.names = {}
        for name, defined in written.defined_names.items():
            places = list(defined.destinations)
            if not places:
                continue  # the name of a number, which no formula uses
            ((sheet, area),) = places
            cells = written[sheet][area]
            rows = cells if isinstance(cells, tuple) else ((cells,),)
            self.names[name] = (sheet, [cell.coordinate for row in rows for cell in row])


@pytest.fixture(scope="module")
def offline(tmp_path_factory: pytest.TempPathFactory) -> Any:
    known: dict[str, Offline] = {}

    def calculated(example: str | None, **changes: dict[str, Any]) -> Offline:
        key = repr((example, changes))
        if key not in known:
            filled = copy.deepcopy(EXAMPLES[example]) if example else {}
            for place, values in changes.items():
                filled[place].update(values)
            known[key] = Offline(tmp_path_factory.mktemp("offline"), filled)
        return known[key]

    return calculated


def shown(desk: Driven) -> dict[str, Rows]:
    return {sheet: desk.values(sheet) for sheet in desk.sheets()}


def differences(left: dict[str, Rows], right: dict[str, Rows]) -> list[tuple[str, Any, Any]]:
    """Cells in which numbers differ by more than 1e-9 of their size, or texts or errors at all."""
    assert left.keys() == right.keys()
    found = []
    for sheet, of_left in left.items():
        both = (of_left, right[sheet])
        for row in range(max(map(len, both))):
            for column in range(max(len(rows[row]) if row < len(rows) else 0 for rows in both)):
                values = [_plain(rows, row, column) for rows in both]
                if not agree(*values):
                    found.append((f"{sheet}!{get_column_letter(column + 1)}{row + 1}", *values))
    return found


def _plain(rows: Rows, row: int, column: int) -> Any:
    value = rows[row][column] if row < len(rows) and column < len(rows[row]) else None
    return value["error"] if isinstance(value, dict) else "" if value is None else value


def agree(left: Any, right: Any) -> bool:
    if isinstance(left, str) or isinstance(right, str):
        return type(left) is type(right) and left == right
    return abs(left - right) <= 1e-9 * max(1, abs(left), abs(right))


def errors(values: dict[str, Rows]) -> list[Any]:
    return [cell for rows in values.values() for row in rows for cell in row if isinstance(cell, dict)]


# The same results three ways.


@pytest.fixture(
    scope="module", params=[(example, ending) for example in PLANNERS for ending in ENDINGS], ids=str
)
def recalculated(request, office, desk, offline):
    """A planner calculated anew by Calc: cells as shown, as written, and as the offline engine has them.

    The .xlsx ships no result at all here, so what it shows Calc worked out.
    """
    example, ending = request.param
    engine = offline(example)
    raw = office.adopt(engine.raw) if ending == ".xlsx" else office.adopt(BUILT / template(example))
    desk.open(raw)
    desk.recalculate_all()
    values = shown(desk)
    written = {sheet: desk.formulas(sheet) for sheet in desk.sheets()}
    desk.close()
    return values, written, engine


def test_no_cell_is_in_error(recalculated):
    values, _, _ = recalculated
    assert not errors(values)


def test_calc_agrees_with_the_offline_engine_in_every_cell(recalculated):
    values, _, engine = recalculated
    assert not differences(values, engine.values)


def test_calc_agrees_with_plain_python_in_every_cell_that_calls_our_functions(recalculated):
    values, written, engine = recalculated

    def cell_shown(sheet: str, address: str) -> Any:
        letters, row = coordinate_from_string(address)
        column = column_index_from_string(letters) - 1
        rows = values[sheet]
        if row > len(rows) or column >= len(rows[0]) or written[sheet][row - 1][column] == "":
            return None
        value = rows[row - 1][column]
        if isinstance(value, dict):
            raise CellShowsError(value["error"])
        return value

    cells = Cells(cell_shown, engine.names)
    ours = {place: formula for place, formula in engine.formulas.items() if "WEAVE." in formula}
    assert len(ours) > 700
    wrong = {
        place: (formula, worked_out, cell_shown(*place))
        for place, formula in ours.items()
        if not agree(worked_out := cells.work_out(place[0], formula), cell_shown(*place))
    }
    assert not wrong


@pytest.mark.parametrize("example", ["towels", "kit"])
def test_calc_takes_a_name_as_it_is(desk, office, tmp_path, example):
    filled = copy.deepcopy(EXAMPLES[example])
    in_other_words(filled)
    engine = Offline(tmp_path, filled)
    desk.open(office.adopt(engine.raw))
    desk.recalculate_all()
    values = shown(desk)
    desk.close()
    assert not errors(values)
    assert not differences(values, engine.values)


def test_an_ods_planner_saved_as_xlsx_is_moved_and_solved(tmp_path):
    """What the refusal of an .ods tells to do, the functions installed."""
    planner = tmp_path / "towels.xlsx"
    # An office of its own: one that is driven would be ended by the one that converts.
    with Office() as office:
        office.install(build_extension(office.folder))
        ods = office.adopt(BUILT / template("towels", ".ods"))
        planner.write_bytes(office.convert(ods, "xlsx:Calc MS Excel 2007 XML").read_bytes())
    moved = upgrade(planner, tmp_path / "new.xlsx")
    assert not moved.left
    assert moved.counts == upgrade(BUILT / template("towels", ".xlsx"), tmp_path / "other.xlsx").counts
    solution = solve(planner)
    assert solution.problems.empty
    assert solution.sentences[0].startswith("24 pieces of 3 lines on 1 warp")


# What the conversion to .ods must keep.


@pytest.mark.parametrize("example", PLANNERS)
def test_committed_ods_is_what_calc_makes_of_the_committed_xlsx(desk, converted, example, tmp_path):
    name = template(example)
    finish(converted / name, BUILT / template(example, ".xlsx"), tmp_path / name)
    # The examples and the blank planner differ in what is filled in only: the slow comparison is made once.
    look = everything if example == "scarf" else contents
    made, kept = look(desk, tmp_path / name), look(desk, BUILT / name)
    if example == "scarf":
        for found in (made, kept):
            for sheet in SHEETS:
                found["furniture"][sheet]["looks"] = by_cell(found["furniture"][sheet]["looks"])
        near_heights(made["furniture"], kept["furniture"])
    assert made == kept


# Versions of Calc differ by 0.41 mm in what a line of small print needs.
LINE_HEIGHT = 50


def near_heights(some: dict[str, Any], others: dict[str, Any]) -> None:
    """Compare the heights of rows of two planners, and take them off what is compared to the letter."""
    for sheet in SHEETS:
        heights = [furniture[sheet].pop("heights") for furniture in (some, others)]
        assert heights[0] == pytest.approx(heights[1], abs=LINE_HEIGHT), sheet


def contents(desk: Driven, path: Path) -> dict[str, Any]:
    """What is written in the cells of a planner, and what they show."""
    desk.open(desk.office.adopt(path))
    found = {sheet: (desk.values(sheet), desk.formulas(sheet)) for sheet in desk.sheets()}
    desk.close()
    return found


def everything(desk: Driven, path: Path) -> dict[str, Any]:
    """All that a planner is: values, formulas, names, rules, looks, pages."""
    desk.open(desk.office.adopt(path))
    found = everything_in(desk)
    desk.close()
    return found


def everything_in(desk: Driven) -> dict[str, Any]:
    formulas = {
        sheet: [[ONE_CELL.sub(r"\1", formula) for formula in row] for row in desk.formulas(sheet)]
        for sheet in desk.sheets()
    }
    return {"values": shown(desk), "formulas": formulas, "furniture": desk.furniture()}


# Newer versions save B2:B2 as B2.
ONE_CELL = re.compile(r"(\$?[A-Z]+\$?\d+):\1(?!\d)")


# The same two number formats, as Calc writes them into an .ods.
NUMBER_FORMATS = {
    '[>0]"";[<0]"";"";""': ";;;",
    '[>0]"short by "0;[<0]"";"";""': '"short by "0;;;',
    "BOOLEAN": "General",
}


def test_ods_keeps_what_the_xlsx_has(desk):
    kept, had = (everything(desk, BUILT / template("scarf", ending)) for ending in (".ods", ".xlsx"))
    share = kept["furniture"]["Start"]["widths"][2] / had["furniture"]["Start"]["widths"][2]
    assert kept["formulas"] == had["formulas"]
    assert not differences(kept["values"], had["values"])
    near_heights(kept["furniture"], had["furniture"])
    for sheet, furniture in had["furniture"].items():
        if sheet in SHEETS:
            # Those of an .xlsx are as wide as the font that the machine has in place of the workbook's.
            widths = [found.pop("widths") for found in (kept["furniture"][sheet], furniture)]
            assert widths[0] == pytest.approx([share * width for width in widths[1]], abs=5), sheet
            for found in (furniture, kept["furniture"][sheet]):
                # Calc does not read the colours of the tabs from this .xlsx.
                del found["tab"]
                found["conditions"] = tints(found["conditions"])
                found["looks"] = by_cell(found["looks"])
        assert kept["furniture"][sheet] == furniture, sheet


def tints(conditions: list[Any]) -> set[tuple[int, int, str, str]]:
    """Cells and the colours they may get: one file format lists areas together, the other apart."""
    return {
        (row, column, str(background), str(ink))
        for areas, _, background, ink, *_ in conditions
        for area in areas
        for row, column in _places(area.rpartition(".")[2])
    }


def _places(area: str) -> Iterator[tuple[int, int]]:
    left, top, right, bottom = range_boundaries(area)
    return ((row, column) for row in range(top, bottom + 1) for column in range(left, right + 1))


def by_cell(looks: dict[str, list[list[int]]]) -> dict[tuple[int, ...], list[Any]]:
    """The look of each cell, number formats spelled one way."""
    found = {}
    for look, cells in looks.items():
        number_format, fill, colour, *others = json.loads(look)
        number_format = NUMBER_FORMATS.get(number_format, number_format)
        # The automatic colour of a cell without a look is black.
        settled = [number_format, fill, max(colour, 0), *others]
        found.update({tuple(cell): settled for cell in cells})
    return found


def test_ods_says_nothing_of_the_machine_it_was_made_on():
    for example in PLANNERS:
        with zipfile.ZipFile(BUILT / template(example)) as archive:
            assert archive.infolist()[0].filename == "mimetype"
            text = "".join(archive.read(name).decode(errors="replace") for name in archive.namelist())
        assert "Printer" not in text.replace("PrinterPaperFromSetup", "")
        assert not re.search(r"file:///|/tmp/|/home/|/root", text)


# As a user types.

CHANGES = {"FinishedWidth": 10, "RowsUp": 10, "WeaveText": "3/1 twill"}


@pytest.fixture(params=ENDINGS)
def opened(request, office, desk):
    """The scarf, opened; closed in the end."""
    planner = office.adopt(BUILT / template("scarf", request.param))
    desk.open(planner)
    yield planner
    desk.close()


def number(desk: Driven, name: str) -> Any:
    return desk.named(name)[0][0]


def problems(desk: Driven) -> list[str]:
    return [f"{where}: {text}" for where, text in desk.named("ProblemsList") if where]


def test_a_changed_input_changes_every_sheet(desk, opened, offline):
    before = shown(desk)
    for name, value in CHANGES.items():
        desk.type(name, str(value))
    after = shown(desk)
    assert not differences(after, offline("scarf", plan=CHANGES).values)
    ends, rows = int(number(desk, "Ends")), int(number(desk, "RowsWoven"))
    # Cloth: the lowest row drawn is the first pick, cell by cell, in the colours of the scarf.
    drawn = "".join(after["Cloth"][-1][5:65])
    colours = "21 ecru, 4 plum, 3 ecru", "slate"
    assert drawn == pick_colours("3/1 twill", ends, 1, "10,10", *colours)[:60]
    assert number(desk, "FloatWarp") == longest_float("3/1 twill", "warp", ends, rows, "10,10")
    # Weaving order: its eighth column says after which rows the twill turns.
    turns = [line[1] for line in after["Weaving order"][7:] if line[7] == "turn after this"]
    assert turns[:4] == [10, 20, 30, 40]
    for sheet in ("Start", "Plan", "Cloth", "Weaving order"):
        assert before[sheet] != after[sheet]
    for _ in CHANGES:
        desk.undo()
    assert shown(desk) == before


def test_a_piece_can_be_planned_in_the_weave_that_is_drawn(desk, opened):
    desk.type("WeaveText", "=DraftText")
    assert number(desk, "WeaveText") == number(desk, "DraftText")
    assert number(desk, "FloatWarp") == longest_float(
        number(desk, "DraftText"), "warp", int(number(desk, "Ends")), int(number(desk, "RowsWoven")), "24,24"
    )


@pytest.mark.parametrize("typed", ["", "9"])
@pytest.mark.parametrize("ending", ENDINGS)
def test_all_recalculated_again_shows_the_same(desk, office, tmp_path, ending, typed):
    """What Calc keeps of the columns that it once worked out in threads must not look like a circle later."""
    planner = BUILT / template("towels")
    if ending == ".xlsx":
        planner = tmp_path / "towels.xlsx"
        write_planner(planner, "towels")
    desk.open(office.adopt(planner))
    if typed:
        desk.type("BatchPieces", typed)
    before = desk.named("BatchLeft"), desk.named("BatchHours"), problems(desk)
    assert before[0][0][0] > 0
    for _ in range(3):
        desk.recalculate_all()
    assert not errors(shown(desk))
    assert (desk.named("BatchLeft"), desk.named("BatchHours"), problems(desk)) == before
    desk.close()


def test_pegs_of_a_frame_change_the_ends(desk, office):
    desk.open(office.adopt(BUILT / template("wall-hanging")))
    before = number(desk, "Ends")
    desk.type("Pegs", "8")
    assert number(desk, "Ends") == pytest.approx(2 * before, abs=2)
    desk.type("Pegs", "1")
    assert any("sample before you trust it" in line for line in problems(desk))
    desk.close()


def test_nonsense_is_an_error_with_its_reason_and_can_be_undone(desk, opened):
    before, problems_before = shown(desk), problems(desk)
    desk.type("WeaveText", "2/2 twist")
    assert desk.error_of("FloatWarp") == "#VALUE!"
    assert any("weave must be" in line and "2/2 twist" in line for line in problems(desk))
    assert "".join(map(str, shown(desk)["Cloth"][-1][5:65])) == ""
    desk.undo()
    assert shown(desk) == before
    assert problems(desk) == problems_before


@pytest.mark.parametrize(
    ("example", "place", "name", "typed"),
    [
        ("scarf", "plan", "FinishedWidth", "wide"),
        ("scarf", "plan", "FinishedWidth", "-9"),
        ("scarf", "plan", "FinishedLength", ""),
        ("scarf", "settings", "YarnSpread", ""),
        ("scarf", "settings", "ShrinkLength", ""),
        ("wall-hanging", "plan", "Unweavable", ""),
        ("wall-hanging", "plan", "WarpYarnName", ""),
    ],
)
def test_calc_takes_a_bad_or_blank_input_as_the_offline_engine_does(
    desk, office, offline, example, place, name, typed
):
    desk.open(office.adopt(BUILT / template(example)))
    if typed:
        desk.type(name, typed)
    else:
        desk.clear(name)
    values = shown(desk)
    desk.close()
    value = float(typed) if typed.startswith("-") else typed
    expected = offline(example, **{place: {name: value}}).values
    assert errors(values)
    # Calc never calls a function with an error, so a reason that only follows is worded shorter there.
    found = [
        difference
        for difference in differences(values, expected)
        if not (difference[0].startswith("Checks!C") and "is itself an error" in str(difference[2]))
    ]
    assert not found


@pytest.mark.parametrize("ending", ENDINGS)
def test_save_close_reopen_loses_nothing(desk, office, offline, ending, tmp_path):
    planner = office.adopt(BUILT / template("scarf", ending))
    desk.open(planner)
    for name, value in CHANGES.items():
        desk.type(name, str(value))
    before = everything_in(desk)
    saved = planner.with_name(f"saved{ending}")
    desk.save(saved)
    desk.close()
    after = everything(desk, saved)
    assert not differences(after["values"], before["values"])
    assert after["formulas"] == before["formulas"]
    for sheet in SHEETS:
        # An .xlsx measures columns in characters: they come back within 0.05 mm.
        widths = [furniture["furniture"][sheet].pop("widths") for furniture in (after, before)]
        assert widths[0] == pytest.approx(widths[1], abs=5)
    assert after["furniture"] == before["furniture"]
    with zipfile.ZipFile(saved) as archive:
        text = "".join(archive.read(name).decode() for name in archive.namelist() if name.endswith(".xml"))
    assert text.count("WEAVE.PICKTEXT(") > 400
    assert "weave.picktext" not in text
    if ending == ".xlsx":
        copied = tmp_path / saved.name
        shutil.copyfile(saved, copied)
        assert not recalculate(copied).uncalculated
