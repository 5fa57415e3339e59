"""The answer goes into the sheet Solved, and every other byte of the workbook stays as it was."""

from __future__ import annotations

import copy
import ctypes
import os
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from weavefuncs.addin.cli import main
from weavefuncs.addin.cli.solve import _nothing_from_below
from weavefuncs.addin.offline import Report, WorkbookProblem, recalculate
from weavefuncs.addin.offline.answer import AnswerRow, answered
from weavefuncs.addin.offline.package import Package
from weavefuncs.addin.offline.sheets import read_cells
from weavefuncs.addin.offline.workbook import Sheet, read_workbook
from weavefuncs.errors import WeaveError
from weavefuncs.workbooks import EXAMPLES, solved
from weavefuncs.workbooks._solve_stash import StashAnswer
from weavefuncs.workbooks._solve_warps import WarpAnswer
from weavefuncs.workbooks.frames import Frames
from weavefuncs.workbooks.inputs import Inputs, read_inputs
from weavefuncs.workbooks.planner import build
from weavefuncs.workbooks.solve import _sheet, solve

sys.path.insert(0, str(Path(__file__).parent))
from light_planner import build_light


def rewritten(path: Path, edit: Callable[[str, bytes], bytes | None], to: Path) -> Path:
    """Copy a workbook with its parts edited, or left out."""
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(to, "w", zipfile.ZIP_DEFLATED) as new:
        for info in old.infolist():
            part = edit(info.filename, old.read(info))
            if part is not None:
                new.writestr(info.filename, part)
    return to


def sheet_of(path: Path, name: str) -> Sheet:
    book = read_workbook(Package(path.read_bytes(), path.name))
    return next(sheet for sheet in book.sheets if sheet.name == name)


def texts(path: Path) -> list[str]:
    values = sheet_of(path, solved.NAME).cells.values
    return [str(value) for (row, _), value in sorted(values.items()) if row >= solved.FIRST]


@pytest.fixture(scope="module")
def towels(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The towels, with lines and yarns that cannot be used among them, not calculated."""
    filled: dict[str, Any] = copy.deepcopy(EXAMPLES["towels"])
    good = filled["batch"][0]
    filled["batch"] += [{}, {**good, "pieces": "four"}, {**good, "width": -1}, {**good, "warp": "Nobody's"}]
    yarn = filled["yarns"][0]
    filled["yarns"] += [
        {},
        {**yarn},
        {**yarn, "name": "Dear", "price": "€ 12"},
        {**yarn, "name": "Less than none", "weighed": -3},
        {**yarn, "name": "No system", "yarn": "8/2"},
    ]
    filled["shopping"] = {
        "needs": [
            {"project": "Runner", "yarn": yarn["name"], "length": 50},
            {"project": "Sails", "yarn": yarn["name"], "length": 1e6},
            {"project": "Bag", "yarn": yarn["name"], "length": "a lot"},
            {"project": "Mat", "yarn": yarn["name"], "length": 20, "mix": "perhaps"},
        ]
    }
    path = tmp_path_factory.mktemp("towels") / "planner.xlsx"
    build(str(path), filled, "calc")
    return path


@pytest.fixture(scope="module")
def inputs(towels: Path) -> Inputs:
    return read_inputs(towels)


@pytest.fixture(scope="module")
def report(towels: Path) -> Report:
    return recalculate(towels, check=True)


def test_only_the_sheet_solved_changes(
    towels: Path,
    report: Report,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # Calculated once for all tests: a planner takes its time.
    monkeypatch.setattr("weavefuncs.workbooks.solve.recalculate", lambda *_, **__: report)
    path = tmp_path / "planner.xlsx"
    path.write_bytes(towels.read_bytes())
    assert main(["solve", str(path)]) == 1  # some lines were left out
    told = capsys.readouterr()
    assert "reading the pieces" in told.err
    member = sheet_of(towels, solved.NAME).member
    with zipfile.ZipFile(towels) as before, zipfile.ZipFile(path) as after:
        assert before.namelist() == after.namelist()
        for one, other in zip(before.infolist(), after.infolist()):
            if one.filename != member:
                assert before.read(one) == after.read(other)
                assert (one.date_time, one.compress_type) == (other.date_time, other.compress_type)
        old, new = before.read(member), after.read(member)
    # What stands above the answer and what follows the cells is kept too.
    head, tail = old.index(f'<row r="{solved.FIRST}"'.encode()), old.index(b"</sheetData>")
    assert (
        old[:head].partition(b"<sheetViews")[2]
        == new[: new.index(f'<row r="{solved.FIRST}"'.encode())].partition(b"<sheetViews")[2]
    )
    assert new.endswith(old[tail:])
    answer = "\n".join(texts(path))
    for sentence in told.out.partition("\nWhat could not")[0].splitlines():
        assert sentence in answer
    assert "Kitchen towel, indigo" in answer
    assert "Sails: short " in answer
    for words in ("Shopping, row", "Length needed", "got 'a lot'", "May mix lots", "got 'perhaps'"):
        assert words in told.out


def test_every_cell_that_cannot_be_used_has_a_line(inputs: Inputs) -> None:
    """It names sheet, row and column; what is good is solved all the same."""
    frames = Frames(inputs)
    answer = WarpAnswer(frames, frames.yarns(), 20, lambda _: None)
    told = {
        (sheet, row, column): problem
        for sheet, row, column, problem, _ in frames.told(answer.problems).itertuples(index=False)
    }
    batch, yarns = (inputs.areas[name][1] for name in ("BatchProducts", "YarnNames"))
    orders, stock = len(EXAMPLES["towels"]["batch"]), len(EXAMPLES["towels"]["yarns"])
    for sheet, row, column, words in (
        ("Batch", batch + orders, "", "the row is blank"),
        ("Batch", batch + orders + 1, "Pieces", "got 'four'"),
        ("Batch", batch + orders + 2, "Finished width", "got -1"),
        ("Batch", batch + orders + 3, "Warp yarn", "does not stand on Yarns"),
        ("Yarns", yarns + stock, "", "the row is blank"),
        ("Yarns", yarns + stock + 1, "Name", "stands twice"),
        ("Yarns", yarns + stock + 2, "Price of a put-up", "without a currency sign"),
        ("Yarns", yarns + stock + 3, "Weighed", "got -3"),
        ("Yarns", yarns + stock + 4, "Yarn and its count", "system"),
    ):
        found = [text for (s, r, c), text in told.items() if (s, r) == (sheet, row) and c.startswith(column)]
        assert any(words in text for text in found), (sheet, row, column, told)
    assert answer.sentences


def test_the_plan_costs_what_the_solver_says_and_no_more_than_the_obvious_ones(inputs: Inputs) -> None:
    frames = Frames(inputs)
    answer = WarpAnswer(frames, frames.yarns(), 20, lambda _: None)
    assert answer.cost(answer._warps) == pytest.approx(answer._plan.cost)
    for other in (answer.line_by_line, answer.as_marked):
        pieces = sum(sum(on_warp.values()) for on_warp in other)
        assert pieces == sum(sum(on_warp.values()) for on_warp in answer._warps)
        assert answer.cost(other) >= answer._plan.cost - 1e-9
    # Each line alone: no warp is longer than the loom holds.
    assert all(answer._fits(on_warp) for on_warp in [*answer.line_by_line, *answer._warps])


LOOM = {
    **dict.fromkeys(("WarpTakeUp", "WeftTakeUp", "DrawIn", "ShrinkLength", "ShrinkWidth", "YarnSpread"), 0.0),
    "UnitChoice": "centimetre, metre, gram",
    "Wage": 18,
    "Overhead": 2,
    "LoomWaste": 100,
    "LongestWarp": 20,
    "EndsWoundAnHour": 100,
    "EndsThreadedAnHour": 100,
    "PicksAMinute": 20,
    "Efficiency": 0.8,
    "FinishingHours": 0,
}
BLUE = {"name": "Blue", "yarn": "100 m/100 g", "weighed": 0, "put_up": 100, "price": 10}
RED = {**BLUE, "name": "Red", "yarn": "1000 m/kg", "fibre": "wool", "price": 1}
# 100 ends, of which each takes a metre of a piece.
SCARF = {"product": "Scarf", "width": 20, "length": 100, "sett": 5, "picks": 5, "weft": "Blue", "label": "A"}


def warps_for(path: Path, yarns: list[dict[str, Any]], *lines: dict[str, Any]) -> tuple[WarpAnswer, str]:
    """Return the answer for lines of three pieces, then of one, and what is told of the table Batch."""
    batch = [{**SCARF, "pieces": pieces, **line} for pieces, line in zip((3, 1), lines)]
    build_light(path, {"settings": LOOM, "yarns": yarns, "batch": batch})
    frames = Frames(read_inputs(path))
    answer = WarpAnswer(frames, frames.yarns(), 20, lambda _: None)
    told = frames.told(answer.problems)
    return answer, "\n".join(told[told["sheet"] == "Batch"]["problem"])


@pytest.mark.parametrize("named", [("Blue", "1 m/g"), ("1 m/g", "blue")])
def test_a_yarn_named_by_its_count_costs_what_it_costs_by_its_name(
    named: tuple[str, str], tmp_path: Path
) -> None:
    answer, told = warps_for(tmp_path / "planner.xlsx", [BLUE], *({"warp": name} for name in named))
    # Two hours of work a warp at 20. On one: 100 ends of 4 + 1 m are 5 put-ups of 100 m at 10. On two:
    # 3 + 1 m and 1 + 1 m are 6 put-ups.
    assert [list(on_warp.values()) for on_warp in answer._warps] == [[3, 1]]
    assert answer.cost(answer._warps) == answer._plan.cost == pytest.approx(40 + 50)
    assert answer.cost(answer.line_by_line) == pytest.approx(80 + 60)
    assert answer.sentences[2] == "As marked under On warp: 1 warp, 90.00. That costs the same."
    assert told == "no yarn on Yarns has the name 1 m/g: Blue is counted, which has that count"


@pytest.mark.parametrize(
    ("first", "second", "cost"),
    [
        # The first line takes 3 m and three quarters of the metre of waste, 375 m: 4 put-ups; the other
        # 125 m: 2 put-ups.
        ({"warp": "Blue"}, {"warp": "Red"}, 40 + 4 * 10 + 2 * 1),
        ({"warp": "Red"}, {"warp": "Blue"}, 40 + 4 * 1 + 2 * 10),
        ({"warp": "Blue"}, {"warp": "Nobody's"}, 40 + 4 * 10),
        # As many ends in twice the width, of the same yarn: 5 put-ups.
        ({"warp": "Blue"}, {"warp": "Blue", "width": 40, "sett": 2.5}, 40 + 5 * 10),
    ],
)
def test_each_line_of_a_mark_pays_for_its_own_yarn(
    first: dict[str, Any], second: dict[str, Any], cost: float, tmp_path: Path
) -> None:
    answer, _ = warps_for(tmp_path / "planner.xlsx", [BLUE, RED], first, second)
    assert answer.cost(answer.as_marked) == pytest.approx(cost)
    (marked,) = [sentence for sentence in answer.sentences if sentence.startswith("As marked")]
    assert f"1 warp, {cost:.2f}. But the lines of 1 mark differ in yarn, ends or sett" in marked


def test_nothing_is_promised_twice_and_orders_come_first(report: Report, inputs: Inputs) -> None:
    frames = Frames(inputs)
    yarns = frames.yarns()
    answer = StashAnswer(frames, yarns, report, 20, lambda _: None)
    plan = answer._plan
    free = yarns.drop_duplicates("name").set_index("name")["length"]
    taken = free - answer._free(yarns).drop_duplicates("name").set_index("name")["length"]
    assert taken.max() > 0  # Batch takes its yarn, and is not asked for it
    given = plan.allocation.groupby("put_up")["length"].sum()
    assert (given <= (free - taken)[given.index] * (1 + 1e-9)).all()
    assert set(plan.allocation["piece"]) == {"Runner", "Mat"}
    assert set(plan.shortages["piece"]) == {"Sails"}
    assert any("set aside first" in sentence for sentence in answer.sentences)


def test_a_share_of_10_on_settings_is_told_with_its_cell(inputs: Inputs) -> None:
    filled = {**inputs.filled, "settings": {**inputs.filled["settings"], "WarpTakeUp": 10.0}}
    wrong = Inputs(inputs.book, filled, areas=inputs.areas, cells=inputs.cells)
    with pytest.raises(WeaveError, match=r"Settings, Warp take-up \(C\d+\).*10 % is 0\.10"):
        WarpAnswer(Frames(wrong), Frames(wrong).yarns(), 20, lambda _: None)
    filled["settings"] = {**inputs.filled["settings"], "LoomWaste": None}
    with pytest.raises(WeaveError, match=r"Settings, Loom waste \(C\d+\), must be filled in"):
        _ = Frames(wrong).settings


def test_cells_merged_in_a_table_are_told(towels: Path, inputs: Inputs, tmp_path: Path) -> None:
    sheet = sheet_of(towels, "Yarns")
    row = inputs.areas["YarnNames"][1]

    def merge(name: str, part: bytes) -> bytes:
        cells = f'<mergeCell ref="G{row}:G{row + 1}"/></mergeCells>'.encode()
        return part.replace(b"</mergeCells>", cells) if name == sheet.member else part

    merged = read_inputs(rewritten(towels, merge, tmp_path / "merged.xlsx"))
    told = Frames(merged).told()
    (line,) = [line for line in told.itertuples(index=False) if "merged" in line.problem]
    assert (line.sheet, line.row) == ("Yarns", row + 1)
    assert line.column.lower().startswith("weighed")


def test_what_stands_in_the_way_is_told_and_nothing_changes(towels: Path, tmp_path: Path) -> None:
    sheet = sheet_of(towels, solved.NAME)
    first = f'<row r="{solved.FIRST}"'.encode()

    def formula(name: str, part: bytes) -> bytes:
        row = b'<row r="90"><c r="B90"><f>1+1</f><v>2</v></c></row></sheetData>'
        return part.replace(b"</sheetData>", row) if name == sheet.member else part

    def merge(name: str, part: bytes) -> bytes:
        cells = b'<mergeCell ref="B20:C20"/></mergeCells>'
        return part.replace(b"</mergeCells>", cells) if name == sheet.member else part

    def no_looks(name: str, part: bytes) -> bytes:
        return part[: part.index(b'<row r="1"')] + part[part.index(first) :] if name == sheet.member else part

    def renamed(name: str, part: bytes) -> bytes:
        return part.replace(b'name="Solved"', b'name="Mine"') if name == "xl/workbook.xml" else part

    for edit, reason in (
        (formula, r"Solved!B90 holds a formula.*move the formula"),
        (merge, "Solved!B20:C20 is merged"),
        (no_looks, "first row of the sheet Solved was changed"),
        (renamed, "has no sheet Solved.*weavefuncs upgrade"),
    ):
        path = rewritten(towels, edit, tmp_path / "planner.xlsx")
        before = path.read_bytes()
        with pytest.raises(WorkbookProblem, match=reason):
            _write_nothing(path)
        assert path.read_bytes() == before
    (tmp_path / "~$planner.xlsx").touch()
    with pytest.raises(WorkbookProblem, match="open in a spreadsheet program"):
        solve(tmp_path / "planner.xlsx")


def _write_nothing(path: Path) -> None:
    """Take the steps of the command that look at the sheet Solved, without solving anything."""
    book = read_workbook(Package(path.read_bytes(), path.name))
    answered(_sheet(book.sheets, path.name), solved.FIRST, [])


NAMESPACE = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"


@pytest.mark.parametrize("prefix", ["", "x:"])
@pytest.mark.parametrize("rows", [None, "", "<ROW r='1'><C r='A1'><V>1</V></C></ROW>", "<ROW r='7'/>"])
def test_rows_are_written_as_the_sheet_writes_them(prefix: str, rows: str | None) -> None:
    """Whatever prefix its elements have, and even where it has no rows yet."""
    empty, rows = rows is None, rows or ""
    for tag in ("ROW", "C", "V"):
        rows = rows.replace(tag, prefix + tag.lower())
    declared = f"xmlns{':' + prefix[:-1] if prefix else ''}".encode()
    inner = f"<{prefix}sheetData/>" if empty else f"<{prefix}sheetData>{rows}</{prefix}sheetData>"
    content = b"<%bworksheet %b='%b'>%b</%bworksheet>" % (
        prefix.encode(), declared, NAMESPACE, inner.encode(), prefix.encode(),
    )  # fmt: skip
    sheet = Sheet("S", "s.xml", content, read_cells(content, "S", []))
    answer = [AnswerRow({2: ("a < b & _x0041_", 3), 3: (None, 1)}, 20), AnswerRow(), AnswerRow({1: (2.5, 0)})]
    once = answered(sheet, 5, answer)
    found = read_cells(once, "S", [])
    kept = {at: value for at, value in sheet.cells.values.items() if at[0] < 5}
    assert found.values == {**kept, (5, 2): "a < b & _x0041_", (7, 1): 2.5}
    # Another answer takes the place of the one before.
    assert answered(Sheet("S", "s.xml", once, found), 5, answer) == once
    assert read_cells(answered(Sheet("S", "s.xml", once, found), 5, []), "S", []).values == kept


def test_what_the_solver_prints_below_python_stays_out_of_the_answer(
    capfd: pytest.CaptureFixture[str],
) -> None:
    library = ctypes.CDLL(None if os.name == "posix" else "ucrtbase")
    with _nothing_from_below():
        library.printf(b"%s", b"noise")
    print("answer", flush=True)
    assert capfd.readouterr().out == "answer\n"
