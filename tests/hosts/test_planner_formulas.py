"""Every formula of the planner stays in the subset that Excel, Calc and the offline engine share."""

from __future__ import annotations

import functools
import re
import sys
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import openpyxl
import pytest
from openpyxl.formula import Tokenizer
from openpyxl.utils import range_boundaries

from weavefuncs import registry
from weavefuncs.addin import cells
from weavefuncs.workbooks import EXAMPLES, TARGETS
from weavefuncs.workbooks.book import SUM_NAME, VERSION_NAME
from weavefuncs.workbooks.inputs import questions
from weavefuncs.workbooks.planner import build
from weavefuncs.workbooks.rows import calls

sys.path.insert(0, str(Path(__file__).parent))
from few_lines import few_lines

# Functions that every one of the three calculates alike, newer spreadsheet functions left out.
PORTABLE = {
    "ABS", "AND", "AVERAGEIFS", "COLUMN", "COUNT", "COUNTA", "COUNTIF", "COUNTIFS", "EXACT", "FALSE", "FIXED",
    "IF", "IFERROR", "IFNA", "INDEX", "ISBLANK", "ISERROR", "ISNUMBER", "ISTEXT", "LEFT", "LEN", "MATCH",
    "MAX", "MID", "MIN", "MOD", "N", "NA", "NOT", "OR", "ROUND", "ROUNDDOWN", "ROUNDUP", "ROW", "SEARCH",
    "SMALL", "SUBSTITUTE", "SUBTOTAL", "SUM", "SUMIF", "SUMIFS", "SUMPRODUCT", "TEXT", "TRIM", "TRUE",
    "VALUE", "VLOOKUP",
}  # fmt: skip

# The fill of a heading of a section.
BAND_FILL = "FF2F4B4F"

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


@pytest.fixture(scope="module")
def planner(tmp_path_factory):
    """A blank one: what is filled in stands in cells of its own and changes no formula."""
    path = tmp_path_factory.mktemp("planner") / "planner.xlsx"
    build(str(path), {}, "calc")
    return path


@functools.lru_cache(maxsize=1)
def opened(path):
    """A planner, read once for all that is looked at in it."""
    return openpyxl.load_workbook(path)


@functools.lru_cache(maxsize=1)
def formulas(path):
    return list(_formulas(path))


def _formulas(path):
    book = opened(path)
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    yield f"{sheet.title}!{cell.coordinate}", cell.value
        for area in sheet.conditional_formatting:
            for rule in area.rules:
                for formula in rule.formula:
                    yield f"{sheet.title} condition {area.sqref}", "=" + formula
        for validation in sheet.data_validations.dataValidation:
            if validation.type == "list" and not validation.formula1.startswith('"'):
                yield f"{sheet.title} list {validation.sqref}", "=" + validation.formula1
    for name, defined in book.defined_names.items():
        yield f"name {name}", "=" + defined.attr_text


def test_only_portable_functions(planner):
    ours = set(cells.sheet_names())
    for where, formula in formulas(planner):
        tokens = Tokenizer(formula).items
        called = {
            token.value[:-1].upper() for token in tokens if token.type == "FUNC" and token.subtype == "OPEN"
        }
        assert called <= PORTABLE | ours, (where, called - PORTABLE - ours)
        assert not any(sign in formula for sign in ("{", "#", "@", "[")), (where, formula)
        assert not any(token.type == "ARRAY" for token in tokens), where


def test_one_call_of_ours_a_cell_but_for_alternatives(planner):
    for where, formula in formulas(planner):
        assert formula.count("WEAVE.") <= 1, (where, formula)


def parts(arguments):
    """Split the arguments of a call where they are parted by commas."""
    found, depth, quoted = [""], 0, False
    for sign in arguments:
        quoted ^= sign == '"'
        depth += 0 if quoted else {"(": 1, ")": -1}.get(sign, 0)
        if sign == "," and depth == 0 and not quoted:
            found.append("")
        else:
            found[-1] += sign
    return found


def without_calls_that_give_one_value(formula):
    """Leave out calls that give one value whatever ranges they are given; INDEX has a line in all of ours."""
    one_value = re.compile(r"\b(?:COUNTA?|INDEX|MATCH|MAX|MIN|SUM|(?:COUNT|SUM)IFS?)\(")
    while found := one_value.search(formula):
        end, depth = found.end(), 1
        while depth:
            depth += {"(": 1, ")": -1}.get(formula[end], 0)
            end += 1
        formula = formula[: found.start()] + formula[end:]
    return formula


def test_a_range_is_given_only_for_a_list_or_a_grid(planner):
    """An argument that takes one value would take a range row by row, and spill over other cells.

    A list or a grid belongs to one call and gives one result: a threading, a cloth drawn on Draft. Calc,
    Excel and the offline engine hand such a range over whole.
    """
    ranges = {name for name, defined in opened(planner).defined_names.items() if ":" in defined.attr_text}
    for where, formula in formulas(planner):
        for name, arguments in calls(formula):
            called, given = name, parts(arguments)
            if name == "WHY":
                called, given = given[0].strip('"'), given[1:]
            for argument, parameter in zip(given, registry.get(called).parameters):
                left = without_calls_that_give_one_value(re.sub(r'"[^"]*"', "", argument))
                used = ranges & set(re.findall(r"\b[A-Za-z]+\b(?!\()", left))
                whole = parameter.is_list or parameter.kind == "grid"
                assert not used or (whole and argument in ranges), (where, formula)


def test_calls_have_as_many_arguments_as_their_function_takes(planner):
    for where, formula in formulas(planner):
        for name, arguments in calls(formula):
            count = len(parts(arguments))
            function = registry.get(name)
            required = sum(parameter.required for parameter in function.parameters)
            assert count >= required, (where, formula)
            assert function.variadic or count <= len(function.parameters), (where, formula)


@pytest.mark.parametrize(
    ("target", "spelling"), [("calc", "WEAVE."), ("excel", "WEAVE_"), ("office", "_xldudf_WEAVE_")]
)
def test_each_target_has_its_spelling_only(tmp_path, target, spelling):
    assert target in TARGETS
    path = tmp_path / "planner.xlsx"
    build(str(path), {}, target)
    found = set()
    with zipfile.ZipFile(path) as archive:
        for member in archive.namelist():
            if member.startswith("xl/worksheets/sheet"):
                for formula in ElementTree.fromstring(archive.read(member)).iter(MAIN + "f"):
                    found |= set(re.findall(r"[A-Za-z_]*WEAVE[._](?=[A-Z]+\()", formula.text))
    assert found == {spelling}


def test_names_of_cells_are_used_or_shown(planner):
    text = "\n".join(formula for _, formula in formulas(planner))
    book = opened(planner)
    # Read by the command line.
    kept = {
        "PlanSummary",
        "ProblemsList",
        VERSION_NAME,
        SUM_NAME,
        *(question.name for question in questions()),
    }
    unused = {name for name in book.defined_names if name not in kept and not re.search(rf"\b{name}\b", text)}
    assert not unused


def test_columns_are_counted_in_digits_of_the_font_that_cells_have(planner):
    """A machine that lacks the font of a book takes a wider one: with one font less fails than with two."""
    book = opened(planner)
    first, *fonts = book._fonts
    assert {font.name for font in fonts} == {first.name}
    # A font of the theme would be shown instead of the one named.
    assert {font.scheme for font in (first, *fonts)} == {None}
    # By that font alone a row would be lower than what stands in it was laid out for.
    for sheet in book:
        assert (sheet.sheet_format.defaultRowHeight, sheet.sheet_format.customHeight) == (15, True)


def test_what_stands_between_two_page_breaks_fits_a_page(planner):
    """Printed one page wide: the scale follows from the widths, and from it how much a page is high.

    In points: A4 is 210 by 297 mm, less an inch of margins at the sides, and 1.2 above and below; a sign is 7
    pixels wide.
    """
    looked_at = set()
    for sheet in opened(planner):
        if not sheet.row_breaks.brk or not sheet.sheet_properties.pageSetUpPr.fitToPage:
            continue
        looked_at.add(sheet.title)
        sides = (297, 210) if sheet.page_setup.orientation == "landscape" else (210, 297)
        wide, high = (72 * (side / 25.4 - margins) for side, margins in zip(sides, (1, 1.2)))
        columns, rows = area_of(sheet.print_area)
        widths = dict.fromkeys(columns, 64)
        for column in sheet.column_dimensions.values():
            pixels = 0 if column.hidden else int(column.width * 7 + 0.5)
            widths.update(
                (number, pixels) for number in range(column.min, column.max + 1) if number in widths
            )
        page = high * sum(widths.values()) * 0.75 / wide
        heights = [sheet.row_dimensions[row].height or 15 for row in rows]
        repeated = 15 if sheet.print_title_rows else 0
        ends = [*(one.id for one in sheet.row_breaks.brk), len(heights)]
        for first, last in zip([0, *ends], ends):
            assert repeated + sum(heights[first:last]) < page, (sheet.title, first + 1, last)
            assert sheet.cell(last, 2).fill.fgColor.rgb != BAND_FILL, (sheet.title, last)
    assert {"Start", "Settings", "Plan", "Cloth", "Tables", "Functions"} <= looked_at


def test_a_chart_keeps_off_the_edge_of_its_page(planner):
    """Or its frame is printed on the page before, too."""
    edges = []
    for sheet in opened(planner):
        breaks = {one.id for one in sheet.col_breaks.brk}
        starts = [chart.anchor._from for chart in sheet._charts]
        edges += [start for start in starts if start.col in breaks]
    assert edges
    assert all(start.colOff > 0 for start in edges)


def test_long_texts_of_a_draft_have_the_place_of_the_unit_too(planner):
    """In a narrow cell a text shrinks until nobody can read it."""
    book = opened(planner)
    merged = {str(area) for area in book["Draft"].merged_cells.ranges}
    for name in ("DraftTabby", "DraftUntied", "BackTabby", "BackName"):
        ((_, cell),) = book.defined_names[name].destinations
        row = cell.rpartition("$")[2]
        assert f"D{row}:E{row}" in merged, name


def area_of(reference):
    """The columns and the rows of an area."""
    left, top, right, bottom = range_boundaries(reference.rpartition("!")[2].replace("$", ""))
    return range(left, right + 1), range(top, bottom + 1)


def test_the_book_does_not_recalculate_itself_on_load(planner):
    with zipfile.ZipFile(planner) as archive:
        assert b"fullCalcOnLoad" not in archive.read("xl/workbook.xml")


def test_formulas_are_locked_without_a_password_and_inputs_are_open(planner):
    book = opened(planner)
    for sheet in book:
        assert sheet.protection.sheet, sheet.title
        assert not sheet.protection.password, sheet.title
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f" and sheet.title != "Weaving order":
                    assert cell.protection.locked, (sheet.title, cell.coordinate)
                fill = cell.fill.fgColor.rgb
                if (
                    fill == "FFFFF4D6"
                    and sheet.title != "Start"
                    and not isinstance(cell, openpyxl.cell.cell.MergedCell)
                ):
                    assert not cell.protection.locked, (sheet.title, cell.coordinate)


def test_every_input_has_a_sentence_of_help(planner):
    book = opened(planner)
    for sheet in book:
        helped = set()
        for validation in sheet.data_validations.dataValidation:
            assert validation.prompt, (sheet.title, validation.sqref)
            for area in validation.sqref.ranges:
                helped |= {(row, column) for row, column in area.cells}
        for row in sheet.iter_rows():
            for cell in row:
                if isinstance(cell, openpyxl.cell.cell.MergedCell) or sheet.title == "Start":
                    continue
                if cell.fill.fgColor.rgb == "FFFFF4D6":
                    assert (cell.row, cell.column) in helped, (sheet.title, cell.coordinate)


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_choice_filled_in_is_on_its_list(tmp_path, example):
    """A comma inside a choice would part it in two."""
    with few_lines():
        build(str(tmp_path / "planner.xlsx"), EXAMPLES[example], "calc")
    book = openpyxl.load_workbook(tmp_path / "planner.xlsx")
    compared = 0
    for sheet in book:
        for validation in sheet.data_validations.dataValidation:
            if validation.type != "list" or not validation.showErrorMessage:
                continue
            source = validation.formula1
            if source.startswith('"'):
                choices = source.strip('"').split(",")
            else:
                ((listed, area),) = book.defined_names[source].destinations
                choices = [row[0].value for row in book[listed][area]]
            for area in validation.sqref.ranges:
                for row, column in area.cells:
                    value = sheet.cell(row, column).value
                    compared += value is not None
                    assert value is None or value in choices, (sheet.title, row, column)
    assert compared
