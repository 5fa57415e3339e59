"""The planner for Excel: what lies in the file is all that Excel gets, so it is looked at part by part."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import pytest

from weavefuncs import registry
from weavefuncs.workbooks import EXAMPLES, write_planner

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"

# The built planners lie in the checkout; a test of theirs compares them with what is built.
BUILT = Path(__file__).parents[2] / "workbooks"

EXAMPLE = next(iter(EXAMPLES))

SPELLED = {"excel": "WEAVE_", "office": "_xldudf_WEAVE_"}


class File:
    """The parts of a workbook file."""

    def __init__(self, path: Path) -> None:
        with zipfile.ZipFile(path) as archive:
            self.parts = {name: archive.read(name) for name in archive.namelist()}

    def formulas(self) -> list[tuple[str, str]]:
        """Every formula, wherever it stands: cells, names, conditions, lists, charts."""
        found = []
        for name, content in self.parts.items():
            if name.endswith(".xml"):
                for node in ElementTree.fromstring(content).iter():
                    tag = node.tag.rpartition("}")[2]
                    if tag in ("f", "formula", "formula1", "formula2", "definedName") and node.text:
                        found.append((name, node.text))
        return found

    def cells(self) -> dict[tuple[str, str], tuple[bool, str, str | None]]:
        """Part and address of each cell to: whether it has a formula, its type, its value."""
        return {
            (name, cell.get("r")): (
                cell.find(MAIN + "f") is not None,
                cell.get("t", "n"),
                cell.findtext(MAIN + "v"),
            )
            for name, content in self.parts.items()
            if name.startswith("xl/worksheets/sheet")
            for cell in ElementTree.fromstring(content).iter(MAIN + "c")
        }


@pytest.fixture(scope="module", params=["excel", "office", EXAMPLE])
def written(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[File, File, str]:
    """A planner for Excel, and the same for Calc: blank ones as committed, a filled one as it is written."""
    if request.param != EXAMPLE:
        return File(BUILT / f"planner-{request.param}.xlsx"), File(BUILT / "planner-calc.xlsx"), request.param
    path = tmp_path_factory.mktemp("planner") / "planner.xlsx"
    write_planner(path, example=EXAMPLE, target="excel")
    return File(path), File(BUILT / f"example-{EXAMPLE}.xlsx"), "excel"


def test_functions_are_spelled_as_excel_knows_them(written: tuple[File, File, str]) -> None:
    file, _, target = written
    called = [
        name for _, formula in file.formulas() for name in re.findall(r"[\w.]*WEAVE[\w.]*(?=\()", formula)
    ]
    assert called
    for name in called:
        assert name == SPELLED[target] + registry.get(name).sheet_name.removeprefix("WEAVE.")


def test_no_formula_holds_a_path_or_what_excel_writes_for_itself(written: tuple[File, File, str]) -> None:
    file, _, target = written
    for where, formula in file.formulas():
        plain = re.sub(r'"[^"]*"', "", formula)
        for sign in ("[", "]", "\\", "@", ":/", ".xla", ".xls", "_xludf", "_xlfn", "_xlws", "_xlpm"):
            assert sign not in plain, (where, formula)
        assert ("_xl" in plain.replace(SPELLED["office"], "")) is False, (where, formula)
        if target == "excel":
            assert "_xldudf" not in plain, (where, formula)


def test_no_link_no_code_and_no_array_goes_with_it(written: tuple[File, File, str]) -> None:
    file, _, _ = written
    for name, content in file.parts.items():
        assert not name.startswith(("xl/externalLinks", "xl/vbaProject", "xl/connections", "xl/metadata")), (
            name
        )
        if name.endswith(".rels"):
            assert b'TargetMode="External"' not in content, name
        if name.startswith("xl/worksheets/sheet"):
            assert b't="array"' not in content, name
            assert b" cm=" not in content, name


def test_it_is_not_calculated_on_load(written: tuple[File, File, str]) -> None:
    file, _, _ = written
    book = ElementTree.fromstring(file.parts["xl/workbook.xml"])
    assert book.find(MAIN + "calcPr").get("fullCalcOnLoad", "0") == "0"


def test_its_results_are_those_of_the_planner_for_calc(written: tuple[File, File, str]) -> None:
    file, calc, _ = written
    here, there = file.cells(), calc.cells()
    assert here.keys() == there.keys()
    calculated = [place for place, (is_formula, _, _) in here.items() if is_formula]
    assert len(calculated) > 500
    for place in calculated:
        assert here[place] == there[place], place
        # A formula without a value would show as 0, or as nothing, until it is calculated.
        assert here[place][2] is not None, place
