"""Every function in real LibreOffice Calc with the add-in installed, from .xlsx and from .ods."""

from __future__ import annotations

import json
import re
import sys
import uuid
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import xlsxwriter

from weavefuncs.addin.calc.build import build
from weavefuncs.addin.cells import evaluate
from weavefuncs.addin.reference.examples import example_call, sheet_example
from weavefuncs.registry import Function, get, names

sys.path.insert(0, str(Path(__file__).parent))
from driven import python_with_uno
from office import Office

FUNCTIONS = [get(name) for name in names()]

VALUE = "#VALUE!"

# Parts of what WHY answers.
WIDTH = "a number above 0 and at most 1,000,000,000"
TOO_MANY = "ENDS: the number of arguments must be at most 6"

# In the content of an .ods: a cell with a formula, and what of it is the result.
FORMULA_CELL = re.compile(r"(<table:table-cell[^>]* table:formula=[^>]*?)(?:/>|>.*?</table:table-cell>)")
RESULT = re.compile(r' (?:office|calcext):(?:value-type|value|string-value|boolean-value)="[^"]*"')

# Cells that the formulas below refer to; the first row is 1.
INPUTS: dict[str, list[Any]] = {
    "A": [15, 0, True, False, "12,5", "  ", "twelve", "plain", "8/2 Ne", 12],  # A11 and on stay blank
    "B": [10, None, 0, 20, "=NA()"],
    "C": [24, None, 24, None, 24],
    "D": ["20 tex", None, "30 tex"],
    "E": [0, 1],
    "F": [1, 0],
}

# One cell each: what Calc hands over, and what must be seen.
ONE_CELL: dict[str, Any] = {
    # blank cells, which Calc hands over as 0, and what is left out
    "=WEAVE.ENDS(A1,24)": 360,
    "=WEAVE.ENDS(A11,24)": VALUE,
    "=WEAVE.ENDS(A1,24,,,2)": 362,
    "=WEAVE.ENDS(A1,24,,,2,)": 362,
    "=WEAVE.ENDS(A1,24,1,A11,2,A11)": 362,
    '=WEAVE.ENDS(A1,24,1,0,2,"")': 362,
    "=WEAVE.ENDS(A1,24,1,0,2,A6)": 362,
    "=WEAVE.ENDS(A1)": VALUE,
    "=WEAVE.ENDS()": VALUE,
    "=WEAVE.PLIED(D1:D3)": 50,
    "=WEAVE.YARNDIAMETERS(A9,,A11)": evaluate("WEAVE.YARNDIAMETERS", ["8/2 Ne"]),
    # ... as a number it is then refused, not taken as the default without a word
    "=WEAVE.YARNDIAMETERS(A9,A11)": VALUE,
    # true and false, which Calc hands over as 1 and 0
    "=WEAVE.CHEVRONROWS(9,4,A3)": evaluate("WEAVE.CHEVRONROWS", [9, 4, True]),
    "=WEAVE.CHEVRONROWS(9,4,FALSE)": evaluate("WEAVE.CHEVRONROWS", [9, 4, False]),
    "=WEAVE.CHEVRONROWS(9,4,TRUE)": evaluate("WEAVE.CHEVRONROWS", [9, 4, True]),
    "=WEAVE.CHEVRONROWS(9,4,2)": VALUE,
    # numbers as text
    "=WEAVE.ENDS(A5,24)": 300,
    '=WEAVE.ENDS("12.5",24)': 300,
    "=WEAVE.ENDS(A7,24)": VALUE,
    # names in any capitals, and a range of one cell
    "=weave.Ends(15,24)": 360,
    "=WEAVE.ENDS(A1:A1,24)": 360,
    # an error in an argument stays that error, and so does the question why
    "=WEAVE.ENDS(B5,24)": "#N/A",
    "=WEAVE.ENDS(1/0,24)": "#DIV/0!",
    '=WEAVE.WHY("ENDS",B5,24)': "#N/A",
    # what an error does to what depends on it
    "=SUM(WEAVE.ENDS(A2,24),1)": VALUE,
    '=IFERROR(WEAVE.ENDS(A2,24),"caught")': "caught",
    "=ISERROR(WEAVE.ENDS(A2,24))": True,
    "=ISNA(WEAVE.ENDS(A2,24))": False,
    "=ERROR.TYPE(WEAVE.ENDS(A2,24))": 3,
    "=WEAVE.ENDS(WEAVE.ENDS(A2,24),24)": VALUE,
    # too many arguments: Calc shows its own Err:504, which an .xlsx can only store like this
    "=WEAVE.ENDS(1,2,3,4,5,6,7)": VALUE,
    # the reason
    '=WEAVE.WHY("ENDS",A2,24)': f"ENDS: width must be {WIDTH}; got 0",
    '=WEAVE.WHY("WEAVE.ENDS",A1,24)': None,
    '=WEAVE.WHY("ENDS")': f"ENDS: width must be given ({WIDTH}); nothing was given",
    '=WEAVE.WHY("ENDS",15,24,1,0,2,"any",7)': f"{TOO_MANY}; got 7",
    '=WEAVE.WHY("ENDS",15,24,1,0,2,"any",7,8,9,10,11)': f"{TOO_MANY}; got 11",
    '=WEAVE.WHY("ENDS",B1:B3,24)': f"ENDS: width in row 3 must be {WIDTH}; got 0",
    '=WEAVE.WHY("ENDS",B1:B2,24)': None,
    '=WEAVE.WHY("NOSUCH",1)': VALUE,
    "=WEAVE.WHY()": VALUE,
    '=WEAVE.WHY("WHY",1)': VALUE,
    # results of many cells where one is shown or asked for
    '=INDEX(WEAVE.DRAWDOWN("2/2 twill",5,3),3,1)': 1,
    "=INDEX(WEAVE.ENDS(B1:B4,24),3)": VALUE,
    "=INDEX(WEAVE.ENDS(B1:B4,24),4)": 480,
    '=WEAVE.UNCAUGHTENDS("plain",4,4)': "none",
    "=SUM(WEAVE.HEDDLES({1;2;3;4;3;2;1}))": 7,
    # a range with an error in it never arrives: Calc shows its own Err:502
    "=WEAVE.ENDS(B1:B5,24)": VALUE,
    '=WEAVE.WHY("ENDS",B1:B5,24)': VALUE,
}

# Array formulas: where they go, and what must be seen.
ARRAYS: dict[str, tuple[str, list[list[Any]]]] = {
    "a column": ("=WEAVE.ENDS(B1:B4,24)", [[240], [None], [VALUE], [480]]),
    "two columns": ("=WEAVE.ENDS(B1:B4,C1:C4)", [[240], [None], [VALUE], [VALUE]]),
    "a row": ("=WEAVE.ENDS({10,20},24)", [[240, 480]]),
    "a grid, its bottom row the first": ("=WEAVE.TREADLING(E1:F2)", [[1], [2]]),
    "a drawdown": ('=WEAVE.DRAWDOWN("2/2 twill",4,2)', [[0, 1, 1, 0], [1, 1, 0, 0]]),
    "none": ("=WEAVE.UNCAUGHTENDS(E1:F2)", [["none"]]),
    "an error as a whole": ('=WEAVE.DRAWDOWN("2/2 twill",0,2)', [[VALUE, VALUE], [VALUE, VALUE]]),
}


def as_cells(function: Function) -> list[Any]:
    """The example's arguments as cells hold them: a list is a column, a grid has pick 1 at the bottom."""
    cells: list[Any] = []
    for value in example_call(function):
        if isinstance(value, (list, tuple)):
            rows = [list(row) if isinstance(row, (list, tuple)) else [row] for row in value]
            cells.append(rows[::-1] if isinstance(value[0], (list, tuple)) else rows)
        else:
            cells.append(value)
    return cells


def expected_example(function: Function) -> list[list[Any]]:
    result = evaluate(function.sheet_name, as_cells(function))
    return result if isinstance(result, list) else [[result]]


def write(path: Path) -> None:
    """The workbook: formulas whose results are all still to be calculated."""
    book = xlsxwriter.Workbook(path)
    examples = book.add_worksheet("Examples")
    at = 0
    for function in FUNCTIONS:
        rows = expected_example(function)
        examples.write(at, 0, function.sheet_name)
        write_formula(examples, at, 1, sheet_example(function), rows)
        at += len(rows) + 1
    cells = book.add_worksheet("Cells")
    for column, values in INPUTS.items():
        for number, value in enumerate(values, start=1):
            if isinstance(value, str) and value.startswith("="):
                cells.write_formula(f"{column}{number}", value, None, "")
            elif value is not None:
                cells.write(f"{column}{number}", value)
    for number, formula in enumerate(ONE_CELL, start=1):
        cells.write_formula(f"H{number}", formula, None, "")
    at = 0
    for formula, rows in ARRAYS.values():
        write_formula(cells, at, 9, formula, rows, always_array=True)
        at += len(rows) + 1
    book.close()


def write_formula(
    sheet: Any, row: int, column: int, formula: str, rows: list, always_array: bool = False
) -> None:
    if always_array or len(rows) > 1 or len(rows[0]) > 1:
        sheet.write_array_formula(
            row, column, row + len(rows) - 1, column + len(rows[0]) - 1, formula, None, ""
        )
    else:
        sheet.write_formula(row, column, formula, None, "")


def without_results(ods: Path) -> Path:
    """Take the results out of an .ods, so that what is seen afterwards was calculated from it."""
    stripped = ods.with_name("stripped.ods")
    with zipfile.ZipFile(ods) as old, zipfile.ZipFile(stripped, "w") as new:
        for member in old.infolist():
            content = old.read(member)
            if member.filename == "content.xml":
                text, formulas = FORMULA_CELL.subn(
                    lambda cell: RESULT.sub("", cell[1]) + "/>", content.decode()
                )
                assert formulas > len(FUNCTIONS) + len(ONE_CELL) + len(ARRAYS)
                content = text.encode()
            new.writestr(member, content)
    return stripped


@pytest.fixture(scope="module")
def office() -> Iterator[Office]:
    with Office() as office:
        office.install(build(office.folder))
        yield office


@pytest.fixture(scope="module")
def books(office: Office) -> dict[str, Path]:
    """The workbook as we write it, and as Calc makes an .ods of it."""
    book = office.folder / "functions.xlsx"
    write(book)
    return {"xlsx": book, "ods": office.convert(book, "ods")}


@pytest.fixture(scope="module")
def saved(office: Office, books: dict[str, Path]) -> dict[str, Path]:
    """Both as Calc saves them as .xlsx, calculated."""
    return {
        "xlsx": office.convert(books["xlsx"], "xlsx", folder="from-xlsx"),
        "ods": office.convert(without_results(books["ods"]), "xlsx", folder="from-ods"),
    }


@pytest.fixture(scope="module", params=["xlsx", "ods"])
def shown(saved: dict[str, Path], request: pytest.FixtureRequest) -> openpyxl.Workbook:
    return openpyxl.load_workbook(saved[request.param], data_only=True)


def same(seen: Any, expected: Any) -> bool:
    if isinstance(expected, bool) or not isinstance(expected, (int, float)):
        return type(seen) is type(expected) and seen == expected
    return isinstance(seen, (int, float)) and seen == pytest.approx(expected, rel=1e-9, abs=1e-12)


def test_every_function_gives_in_calc_what_the_library_gives(shown):
    sheet = shown["Examples"]
    at, wrong = 1, []
    for function in FUNCTIONS:
        assert sheet.cell(at, 1).value == function.sheet_name
        rows = expected_example(function)
        for down, row in enumerate(rows):
            for across, expected in enumerate(row):
                seen = sheet.cell(at + down, 2 + across).value
                # An .xlsx has no way to tell an empty text from nothing.
                if not same("" if seen is None else seen, expected):
                    wrong.append((function.sheet_name, down, across, seen, expected))
        at += len(rows) + 1
    assert not wrong


def test_a_single_result_is_that_of_the_python_call(shown):
    """The same without the cell adapter: example and library only."""
    sheet = shown["Examples"]
    seen = {sheet.cell(row, 1).value: sheet.cell(row, 2).value for row in range(1, sheet.max_row + 1)}
    checked = 0
    for function in FUNCTIONS:
        result = function.call(example_call(function), {})
        if isinstance(result, (str, int, float)) and not function.variadic:
            assert same(seen[function.sheet_name], result), function.name
            checked += 1
    assert checked > 60


@pytest.mark.parametrize("formula", ONE_CELL)
def test_what_one_cell_shows(shown, formula):
    row = list(ONE_CELL).index(formula) + 1
    assert same(shown["Cells"].cell(row, 8).value, ONE_CELL[formula]), shown["Cells"].cell(row, 8).value


@pytest.mark.parametrize("name", ARRAYS)
def test_what_an_array_formula_shows(shown, name):
    at = 1
    for label, (_, rows) in ARRAYS.items():
        if label == name:
            seen = [
                [shown["Cells"].cell(at + down, 10 + across).value for across in range(len(row))]
                for down, row in enumerate(rows)
            ]
            assert seen == rows
        at += len(rows) + 1


def test_no_name_is_unknown(shown):
    for sheet in shown:
        for row in sheet.iter_rows():
            assert not any(cell.value == "#NAME?" for cell in row)


@pytest.fixture(scope="module")
def wizard(office: Office) -> dict[str, dict[str, Any]]:
    """What the function wizard shows of each function."""
    pipe = "weavefuncs" + uuid.uuid4().hex
    script = office.adopt(Path(__file__).with_name("calc_wizard.py"))
    with office.start("soffice", "--headless", "--norestore", f"--accept=pipe,name={pipe};urp;") as soffice:
        try:
            said = office.run(python_with_uno(), script, pipe)
            soffice.communicate(timeout=60)
        finally:
            soffice.kill()
    return {entry["Name"]: entry for entry in map(json.loads, said.splitlines())}


def test_the_wizard_has_every_function_with_its_help(wizard):
    assert set(wizard) == {function.sheet_name for function in FUNCTIONS}
    for function in FUNCTIONS:
        entry = wizard[function.sheet_name]
        assert entry["Description"] == function.docstring.summary
        arguments = entry["Arguments"]
        assert [argument[0] for argument in arguments[: len(function.parameters)]] == [
            parameter.name.replace("_", " ") for parameter in function.parameters
        ]
        for parameter, (_, text, optional) in zip(function.parameters, arguments):
            assert optional
            assert text.startswith(parameter.description)
            if not parameter.required and parameter.default != "":
                assert "When left out: " in text
    assert len(wizard["WEAVE.WHY"]["Arguments"]) >= 2


def test_the_wizard_files_them_under_add_ins(wizard):
    """Calc knows eleven categories; 11 is Add-in, by com.sun.star.sheet.FunctionCategory."""
    assert {entry["Category"] for entry in wizard.values()} == {11}


def test_a_file_from_calc_keeps_the_names(books, saved):
    """Saved as .xlsx and as .ods by Calc, the formulas have their names, so that the file works on."""
    assert openpyxl.load_workbook(saved["xlsx"])["Cells"]["H1"].value == "=WEAVE.ENDS(A1,24)"
    with zipfile.ZipFile(books["ods"]) as archive:
        formulas = re.findall(r'table:formula="of:=(WEAVE\.[A-Z]+)', archive.read("content.xml").decode())
    assert set(formulas) == {function.sheet_name for function in FUNCTIONS}
