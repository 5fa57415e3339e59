"""Reading a planner back gives what was filled in; what cannot be read so is told by its cell."""

from __future__ import annotations

import itertools
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook
from openpyxl.workbook.defined_name import DefinedName

from weavefuncs.addin.offline import WorkbookProblem
from weavefuncs.workbooks import EXAMPLES
from weavefuncs.workbooks.book import VERSION, Formula
from weavefuncs.workbooks.inputs import FIRST_PLACES, Inputs, _is_portable, questions, read_inputs, same_value
from weavefuncs.workbooks.settings import COMMON

sys.path.insert(0, str(Path(__file__).parent))
from light_planner import build_light

HERE = Path(__file__).resolve().parents[2] / "workbooks"


def with_usual(filled: dict[str, Any], inputs: Inputs) -> dict[str, Any]:
    """What a planner holds when it was built from this: Settings begin with usual answers."""
    unasked = {question.path for question in inputs.unasked}
    usual = {key: value for key, value in COMMON.items() if ("settings", key) not in unasked}
    return {**filled, "settings": {**usual, **filled.get("settings", {})}}


def answered(inputs: Inputs) -> dict[str, Any]:
    given_answers = {key: value for key, value in inputs.filled["settings"].items() if value is not None}
    return {**inputs.filled, "settings": given_answers}


@pytest.mark.parametrize("example", list(EXAMPLES))
def test_every_example_reads_back(example: str, tmp_path: Path) -> None:
    build_light(tmp_path / "planner.xlsx", EXAMPLES[example])
    inputs = read_inputs(tmp_path / "planner.xlsx")
    wanted = _flat(with_usual(EXAMPLES[example], inputs))
    assert _flat(answered(inputs)) == wanted
    assert inputs.notes == inputs.unread == inputs.unasked == []
    assert sum(inputs.counts.values()) == len([value for value in wanted.values() if value not in (None, "")])


@pytest.mark.parametrize("target", ["calc", "excel", "office"])
def test_a_blank_planner_has_nothing_but_usual_settings(target: str) -> None:
    inputs = read_inputs(HERE / f"planner-{target}.xlsx")
    assert answered(inputs) == with_usual({}, inputs)
    assert inputs.target == target


# Any character that a workbook can hold; control characters but tab and line feed are escaped in it.
TEXTS = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=30)
NUMBERS = st.floats(allow_nan=False, allow_infinity=False, min_value=-1e300, max_value=1e300)
VALUES = st.one_of(
    TEXTS, NUMBERS, st.booleans(), st.sampled_from(["=1+1", "_x0041_", " ", "7", "@", "-4", "\t"])
)


# A failure is a failure: making it smaller would build a planner for every step.
@settings(max_examples=2, deadline=None, derandomize=True, phases=[Phase.generate])
@given(st.lists(VALUES, min_size=8, max_size=24), st.lists(st.tuples(TEXTS, TEXTS), min_size=1, max_size=6))
def test_whatever_is_filled_in_reads_back(
    tmp_path_factory: pytest.TempPathFactory, values: list[Any], colours: list[tuple[str, str]]
) -> None:
    """A value in every question of the planner, and in three lines of every table with a gap between."""
    drawn = itertools.cycle(values)
    filled: dict[str, Any] = {}
    for question in questions():
        place = filled
        for key in question.path[:-1]:
            place = place.setdefault(key, {})
        if question.shape:
            row = [next(drawn), None, next(drawn)]
            place[question.path[-1]] = [row, [], row] if question.shape == "grid" else row
        elif not question.part:
            place[question.path[-1]] = next(drawn)
        elif question.path[0] == "plan":
            place[question.path[-1]] = colours
        else:
            lines = place.setdefault(question.path[-1], [{}, {}, {}, {}])
            for line in (0, 1, 3):
                lines[line][question.part] = next(drawn)
    path = tmp_path_factory.mktemp("inputs") / "planner.xlsx"
    build_light(path, filled)
    inputs = read_inputs(path)
    assert inputs.version == VERSION
    assert inputs.notes == inputs.unread == inputs.unasked == []
    assert _flat(inputs.filled) == _flat(filled)


def _flat(filled: Any, path: tuple[Any, ...] = ()) -> dict[tuple[Any, ...], Any]:
    """Every value by its path; numbers by the 15 digits that spreadsheets keep."""
    if isinstance(filled, dict):
        parts = filled.items()
    elif isinstance(filled, (list, tuple)):
        parts = enumerate(filled)
    else:
        is_number = isinstance(filled, (int, float)) and not isinstance(filled, bool)
        return {path: f"{filled:.15g}" if is_number else filled}
    return {place: value for key, part in parts for place, value in _flat(part, (*path, key)).items()}


def test_formulas_errors_and_dates_are_read_or_told(tmp_path: Path) -> None:
    """The scarf as a user changes it, saved by a program that stores no calculated values."""
    build_light(tmp_path / "scarf.xlsx", EXAMPLES["scarf"])
    areas = read_inputs(tmp_path / "scarf.xlsx").areas
    book = load_workbook(tmp_path / "scarf.xlsx")
    typed = {
        "FinishedWidth": "=2*WEAVE.ENDS(1,2)+N(A1)+0.5",
        "FinishedLength": "=1/A1",
        "Reed": "#N/A",
        "YarnColours": 46000,
        "FirstEndGiven": "=2+3",
        "Firmness": None,
    }
    cells = {}
    for name, value in typed.items():
        sheet, row, column, *_ = areas[name]
        cell = book[sheet].cell(row, column)
        cell.value = value
        cells[name] = f"{sheet}!{cell.coordinate}"
        if name == "YarnColours":
            cell.number_format = "yyyy\\-mm\\-dd"
    book.save(tmp_path / "scarf.xlsx")
    inputs = read_inputs(tmp_path / "scarf.xlsx")
    filled, notes = inputs.filled, {f"{note.sheet}!{note.cell}": note.text for note in inputs.notes}
    assert filled["plan"]["FinishedWidth"] == 4.5
    assert "=2*WEAVE.ENDS(1,2)+N(A1)+0.5 is moved as its value, 4.5" in notes[cells["FinishedWidth"]]
    # Day 46000 of the 1900 date system.
    assert filled["yarns"][0]["colour"] == "2025-12-09"
    assert "moved as the text 2025-12-09" in notes[cells["YarnColours"]]
    assert filled["cloth"]["FirstEnd"] == "=2+3"
    assert filled["settings"]["Firmness"] is None
    assert len(notes) == 2
    unread = {f"{note.sheet}!{note.cell}": note.text for note in inputs.unread}
    assert set(unread) == {cells["FinishedLength"], cells["Reed"]}
    assert "#DIV/0!" in unread[cells["FinishedLength"]]
    assert not {"FinishedLength", "Reed"} & set(filled["plan"])


@pytest.mark.parametrize("formula", ["=16*2.54", "=BackText", "=ROUND(FinishedLength/2,1)"])
def test_a_formula_that_means_the_same_anywhere_stays_one(formula: str) -> None:
    assert _is_portable(formula)
    assert not _is_portable(formula + "+A1")
    assert not _is_portable(formula + "+Mine")
    assert not _is_portable(formula + f"+{'A' * 100_000}()+Mine")
    assert not _is_portable(formula + "+'My sheet'!A1")


def test_the_first_template_is_read_without_its_names(tmp_path: Path) -> None:
    """It named fewer columns and had no version. A setting made blank stays so, whatever is usual."""
    filled = {
        "settings": {"Firmness": None},
        "cloth": {"FirstEnd": Formula("=2+3")},
        "yarns": [{key: key for key in ("name", "lot", "weighed", "tare", "put_up", "reserved")}],
        "plan": {"colours": {"warp": [("red", "wool")], "weft": [("", ""), ("blue", "silk")]}},
    }
    path = tmp_path / "planner.xlsx"
    build_light(path, filled)
    book = load_workbook(path)
    for name in (*FIRST_PLACES, "PlannerVersion", "PlannerTemplate"):
        del book.defined_names[name]
    book.save(path)
    inputs = read_inputs(path)
    assert inputs.version == 1
    assert inputs.filled["yarns"] == filled["yarns"]
    assert inputs.filled["plan"] == filled["plan"]
    assert inputs.filled["cloth"] == filled["cloth"]
    assert isinstance(inputs.filled["cloth"]["FirstEnd"], Formula)
    assert inputs.filled["settings"] == {**inputs.filled["settings"], **COMMON, "Firmness": None}


def test_a_newer_planner_and_other_workbooks_are_refused(tmp_path: Path) -> None:
    book = Workbook()
    book.defined_names["PlannerVersion"] = DefinedName("PlannerVersion", attr_text="99")
    book.save(tmp_path / "newer.xlsx")
    with pytest.raises(WorkbookProblem, match="made by a newer weavefuncs"):
        read_inputs(tmp_path / "newer.xlsx")
    Workbook().save(tmp_path / "other.xlsx")
    with pytest.raises(WorkbookProblem, match=r"other\.xlsx is no planner"):
        read_inputs(tmp_path / "other.xlsx")


def test_numbers_are_the_same_to_fifteen_digits() -> None:
    assert same_value(0.1 + 0.2, 0.3)
    assert not same_value(0.3, 0.3000001)
    assert not same_value(1.0, True)
    assert not same_value(1.0, "1")
