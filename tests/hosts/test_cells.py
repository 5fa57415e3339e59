"""The cell adapter: what every host's cells mean as arguments, and what a result looks like in cells."""

from __future__ import annotations

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from weavefuncs import registry
from weavefuncs.addin import cells
from weavefuncs.addin.cells import CellError, evaluate, reason, sheet_names

VALUE, NOT_THERE = CellError(), CellError("#N/A")

EVERY_FUNCTION = {
    function.sheet_name: function
    for module in registry.CORE_MODULES
    for function in registry.declared(module).values()
}


def angle(*arguments: object) -> object:
    """A function of two required and two optional numbers, all taken row by row."""
    return evaluate("WEAVE.TWILLANGLE", arguments)


# One cell


def test_the_sheet_names_are_those_of_the_registry() -> None:
    assert set(sheet_names()) == set(EVERY_FUNCTION)


def test_numbers_give_a_number() -> None:
    assert angle(12, 12) == pytest.approx(45)
    assert angle(12.0, 24.0) == pytest.approx(math.degrees(math.atan(0.5)))


@pytest.mark.parametrize("blank", [None, "", "  ", "\xa0", [[None]], [[""]]])
def test_a_blank_cell_is_not_given(blank: object) -> None:
    assert angle(12, 12, blank, blank) == pytest.approx(45)
    assert angle(blank, 12) == VALUE
    assert "sett must be given" in reason(["TWILLANGLE", blank, 12])


def test_arguments_may_be_left_out_and_blanks_may_follow() -> None:
    assert angle(12, 12) == angle(12, 12, None, None) == angle(12, 12, None, None, None, None)
    assert angle(12, 12, None, None, 3) == VALUE
    assert angle(12) == angle() == VALUE


def test_zero_is_zero() -> None:
    assert angle(0, 12) == VALUE
    assert "got 0" in reason(["TWILLANGLE", 0, 12])


@pytest.mark.parametrize("truth", [True, False])
def test_true_and_false_are_no_numbers(truth: bool) -> None:
    assert angle(truth, 12) == VALUE
    assert f"got {truth}" in reason(["TWILLANGLE", truth, 12])


@pytest.mark.parametrize("text", ["12", " 12 ", "12.0", "12,0", "+12", "1.2e1", "1,2e1"])
def test_a_number_as_text_is_that_number(text: str) -> None:
    assert angle(text, 12) == angle([[text], [12]], 12)[0][0] == pytest.approx(45)


@pytest.mark.parametrize("text", ["12,5", "12.5"])
def test_a_decimal_comma_is_a_decimal_point(text: str) -> None:
    assert angle(text, 12) == angle(12.5, 12)
    assert angle("0,125", 12) == angle(0.125, 12)


@pytest.mark.parametrize(
    "text",
    [
        "twelve",
        "12 in",
        "12%",
        "1,200",
        "1,2,3",
        "1,200.5",
        "1_2",
        "0x10",
        "nan",
        "inf",
        "１２",
        "12-",
        ",",
        "1e999",
    ],
)
def test_other_texts_are_no_numbers(text: str) -> None:
    assert angle(text, 12) == VALUE
    assert "sett must be" in reason(["TWILLANGLE", text, 12])


@pytest.mark.parametrize("code", ["#N/A", "#DIV/0!", "#REF!", "#NAME?"])
def test_an_error_cell_is_passed_on_as_it_is(code: str) -> None:
    assert angle(CellError(code), 12) == CellError(code)
    assert angle(12, [[CellError(code)]]) == CellError(code)
    assert evaluate("WEAVE.WHY", (CellError(code),)) == CellError(code)
    assert f"sett is itself an error ({code})" in reason(["TWILLANGLE", CellError(code), 12])


@pytest.mark.parametrize("value", [10**400, -(10**400), 2**1024, math.nan, math.inf])
def test_numbers_that_no_cell_can_hold_are_refused(value: float) -> None:
    assert angle(value, 12) == VALUE


def test_whole_results_are_whole() -> None:
    assert type(evaluate("WEAVE.BOUTS", (100, 12))) is int


def test_an_unknown_function_is_an_error() -> None:
    assert evaluate("WEAVE.NOTHING", (1,)) == VALUE


def test_an_error_value_compares_by_its_code() -> None:
    assert CellError("#N/A") == NOT_THERE != VALUE
    assert len({CellError(), VALUE, NOT_THERE}) == 2
    assert repr(NOT_THERE) == "#N/A"
    assert CellError() != "#VALUE!"


# Texts


def test_zero_where_a_text_is_wanted_is_a_blank() -> None:
    # One host hands on a blank cell as 0.
    assert evaluate("WEAVE.YARNLENGTH", (100, "74 tex", 0.0, 0)) == evaluate(
        "WEAVE.YARNLENGTH", (100, "74 tex")
    )
    assert "yarn must be given" in reason(["YARNLENGTH", 100, 0.0])
    assert evaluate("WEAVE.ENDS", (10, 12, None, None, None, 0)) == evaluate("WEAVE.ENDS", (10, 12))


def test_a_number_is_no_yarn() -> None:
    assert evaluate("WEAVE.TEX", (3360.0,)) == VALUE
    assert "yarn" in reason(["TEX", 3360.0])


def test_a_whole_number_may_name_a_thing() -> None:
    assert evaluate("WEAVE.COLOURCOUNT", ("8 1, 4 2", 24, 1.0)) == evaluate(
        "WEAVE.COLOURCOUNT", ("8 1, 4 2", 24, "1")
    )


# Columns


def test_a_column_gives_a_column_and_a_row_a_row() -> None:
    one, two = angle(12, 12), angle(12, 24)
    assert angle(12, [[12], [24]]) == [[one], [two]]
    assert angle(12, [[12, 24]]) == [[one, two]]
    assert angle([[12], [12]], [[12], [24]]) == [[one], [two]]
    assert angle(((12,), (12,)), ((12,), (24,))) == [[one], [two]]


def test_one_cell_is_one_value_however_it_is_wrapped() -> None:
    assert angle([[12]], 12) == angle(((12,),), [[12]]) == angle(12, 12)


def test_a_range_of_no_cells_is_a_blank() -> None:
    assert angle([], 12) == angle([[]], 12) == VALUE
    assert angle(12, 12, [], [[]]) == angle(12, 12)


def test_a_bad_row_is_an_error_in_its_own_cell() -> None:
    one = angle(12, 12)
    column = [[12], [-1], ["x"], [None], [CellError("#N/A")], [True], ["12"]]
    assert angle(column, 12, 1) == [[one], [VALUE], [VALUE], [""], [NOT_THERE], [VALUE], [one]]
    assert "in row 2" in reason(["TWILLANGLE", column, 12])


def test_a_row_that_is_all_blank_is_empty() -> None:
    assert angle([[12], [None], [""]], [[12], [""], [None]]) == [[angle(12, 12)], [""], [""]]


def test_a_blank_optional_row_takes_the_default_and_a_blank_required_row_is_an_error() -> None:
    assert angle([[12], [12], [None]], 12, [[1], [None], [2]]) == [[angle(12, 12)], [angle(12, 12)], [VALUE]]


def test_a_column_of_blanks_only_is_a_column_of_empty_texts() -> None:
    assert angle([[None], [""]], 12) == [[""], [""]]


def test_columns_must_be_alike() -> None:
    assert angle([[12], [12]], [[12], [12], [12]]) == VALUE
    assert "sett and weft sett must be columns of as many rows; got '2 and 3 rows'" in reason(
        ["TWILLANGLE", [[12], [12]], [[12], [12], [12]]]
    )
    assert angle([[12], [12]], [[12, 12]]) == VALUE
    assert "columns only, or rows only" in reason(["TWILLANGLE", [[12], [12]], [[12, 12]]])


def test_a_block_of_cells_is_no_column() -> None:
    assert angle([[12, 12], [12, 12]], 12) == VALUE
    assert "a block of cells" in reason(["TWILLANGLE", [[12, 12], [12, 12]], 12])


def test_texts_by_row() -> None:
    tex = evaluate("WEAVE.TEX", ("8/2 Ne",))
    assert evaluate("WEAVE.TEX", ([["8/2 Ne"], [""], ["nothing"], ["8/2 Ne"]],)) == [
        [tex],
        [""],
        [VALUE],
        [tex],
    ]


# Lists


def test_a_list_may_stand_in_a_column_a_row_or_one_cell() -> None:
    both = evaluate("WEAVE.PLIED", ([["20 tex"], ["30 tex"]],))
    assert both == evaluate("WEAVE.PLIED", ([["20 tex", "30 tex"]],)) == pytest.approx(50)
    assert (
        evaluate("WEAVE.PLIED", ("20 tex",)) == evaluate("WEAVE.PLIED", ([["20 tex"]],)) == pytest.approx(20)
    )


def test_blank_rows_of_a_list_are_left_out() -> None:
    assert evaluate("WEAVE.PLIED", ([["20 tex"], [None], ["30 tex"], [""], [" "]],)) == pytest.approx(50)


def test_a_list_of_blanks_only_is_not_given() -> None:
    for blanks in ([[None], [""]], [[None]], None, "", 0.0):
        assert evaluate("WEAVE.PLIED", (blanks,)) == VALUE
        assert "yarns must be given" in reason(["PLIED", blanks])


def test_a_bad_item_of_a_list_is_numbered_and_an_error_cell_passed_on() -> None:
    assert "yarns[2]" in reason(["PLIED", [["20 tex"], ["nothing"]]])
    assert evaluate("WEAVE.PLIED", ([["20 tex"], [NOT_THERE]],)) == NOT_THERE
    assert evaluate("WEAVE.PLIED", (NOT_THERE,)) == NOT_THERE


def test_a_list_of_numbers_reads_texts_and_one_cell_alike() -> None:
    several = evaluate("WEAVE.HEDDLES", ([["1"], [2.0], [" 2 "], [None]],))
    assert several == evaluate("WEAVE.HEDDLES", ([[1, 2, 2]],)) == [[1], [2]]
    assert (
        evaluate("WEAVE.HEDDLES", ("1",))
        == evaluate("WEAVE.HEDDLES", (1.0,))
        == evaluate("WEAVE.HEDDLES", ([[1]],))
    )


# Grids: pick 1 stands in the bottom row of cells


GRID = [[1, 1, 0], [1, 0, 1], [0, 0, 1]]


def test_a_grid_is_turned_over_on_its_way_in() -> None:
    import weavefuncs as wf

    assert evaluate("WEAVE.THREADING", (GRID,)) == [list(wf.threading(GRID[::-1]))]
    assert evaluate("WEAVE.LIFT", (GRID, 1, 1)) == 0
    assert evaluate("WEAVE.LIFT", (GRID, 1, 3)) == 1


def test_a_grid_is_turned_over_on_its_way_out() -> None:
    import weavefuncs as wf

    drawn = evaluate("WEAVE.DRAWDOWN", ("2/2 twill", 4, 3))
    assert drawn == [[int(cell) for cell in row] for row in wf.drawdown("2/2 twill", 4, 3)][::-1]
    assert drawn[-1] == [1, 1, 0, 0]
    assert all(type(cell) is int for row in drawn for cell in row)


def test_a_grid_survives_the_way_through() -> None:
    assert evaluate("WEAVE.DRAWDOWN", (GRID, 3, 3)) == GRID


@pytest.mark.parametrize("empty", [None, "", 0, 0.0])
def test_a_blank_cell_of_a_grid_is_down(empty: object) -> None:
    with_blanks = [[cell or empty for cell in row] for row in GRID]
    assert evaluate("WEAVE.THREADING", (with_blanks,)) == evaluate("WEAVE.THREADING", (GRID,))
    assert evaluate("WEAVE.DRAWDOWN", (with_blanks, 3, 3)) == GRID


def test_a_grid_of_texts_is_a_grid() -> None:
    texts = [[str(cell) for cell in row] for row in GRID]
    assert evaluate("WEAVE.THREADING", (texts,)) == evaluate("WEAVE.THREADING", (GRID,))
    assert evaluate("WEAVE.DRAWDOWN", (texts, 3, 3)) == GRID


def test_one_row_and_one_cell_are_grids() -> None:
    assert evaluate("WEAVE.THREADING", ([[1, 0, 1]],)) == [[1, 2, 1]]
    for one in ([[1]], 1.0, 1, "1"):
        assert evaluate("WEAVE.LIFTPLAN", (one, one)) == [[1]]


def test_one_number_is_no_weave() -> None:
    assert evaluate("WEAVE.REPEATENDS", (1.0,)) == evaluate("WEAVE.REPEATENDS", ([[1]],)) == VALUE


@pytest.mark.parametrize("bad", [2, "x", 0.5, -1])
def test_a_grid_with_anything_else_is_refused(bad: object) -> None:
    assert evaluate("WEAVE.THREADING", ([[1, bad], [0, 1]],)) == VALUE
    assert evaluate("WEAVE.DRAWDOWN", ([[1, bad], [0, 1]], 2, 2)) == VALUE


def test_a_grid_with_an_error_cell_is_that_error() -> None:
    assert evaluate("WEAVE.THREADING", ([[1, NOT_THERE], [0, 1]],)) == NOT_THERE
    assert evaluate("WEAVE.DRAWDOWN", ([[1, NOT_THERE], [0, 1]], 2, 2)) == NOT_THERE


def test_a_grid_of_blanks_only_is_not_given() -> None:
    for name in ("THREADING", "DRAWDOWN"):
        rest = (2, 2) if name == "DRAWDOWN" else ()
        assert evaluate(f"WEAVE.{name}", ([[None, ""], ["", None]], *rest)) == VALUE
        assert "must be given" in reason([name, [[None, ""], ["", None]], *rest])


def test_a_range_where_one_cell_is_wanted_is_refused() -> None:
    assert evaluate("WEAVE.DRAWDOWN", ("plain", [[2], [3]], 2)) == VALUE
    assert "ends must be one cell" in reason(["DRAWDOWN", "plain", [[2], [3]], 2])
    assert evaluate("WEAVE.DRAWDOWN", ("plain", [[2], [NOT_THERE]], 2)) == NOT_THERE
    assert evaluate("WEAVE.DRAWDOWN", ("plain", 2, 2, [[None], [""]])) == evaluate(
        "WEAVE.DRAWDOWN", ("plain", 2, 2)
    )


def test_an_empty_result_says_so() -> None:
    found = evaluate("WEAVE.UNCAUGHTENDS", ("plain", 4, 4))
    assert found == cells.NONE_FOUND


# WHY


def test_why_is_empty_where_the_call_is_fine() -> None:
    assert evaluate("WEAVE.WHY", ("TWILLANGLE", 12, 12)) == ""
    assert evaluate("WEAVE.WHY", ([["TWILLANGLE"]], [[12]], "12,5", None, None, None)) == ""
    assert evaluate("WEAVE.WHY", ("WEAVE.DRAWDOWN", GRID, 3, 3)) == ""


def test_why_reads_cells_as_the_function_itself_does() -> None:
    assert "sett must be given" in evaluate("WEAVE.WHY", ("TWILLANGLE", "", 12))
    assert "got -1" in evaluate("WEAVE.WHY", ("TWILLANGLE", "-1", 12))
    assert "at most 4" in evaluate("WEAVE.WHY", ("TWILLANGLE", 1, 2, 3, 4, 5))


@pytest.mark.parametrize(
    "arguments", [(), ("NOTHING", 1), (None,), (12,), ([["ENDS"], ["TEX"]],), ("WHY", "ENDS")]
)
def test_why_of_no_function_is_an_error(arguments: tuple[object, ...]) -> None:
    assert evaluate("WEAVE.WHY", arguments) == VALUE


@pytest.mark.parametrize("name", [name for name in EVERY_FUNCTION if name != "WEAVE.WHY"])
def test_why_knows_every_function_and_what_it_needs(name: str) -> None:
    function = EVERY_FUNCTION[name]
    required = [parameter for parameter in function.parameters if parameter.required]
    sheet_name, argument = name.removeprefix("WEAVE."), required[0].name.replace("_", " ")
    assert evaluate("WEAVE.WHY", (name,)).startswith(f"{sheet_name}: {argument} must be given")


# Anything that cells may hold


CELLS = [
    None, "", " ", 0, 0.0, 1, 1.0, 2.5, -1, 12, 30.0, 45992.0, 1e7, 1e308, math.nan, True, False, VALUE,
    NOT_THERE, "0", "1", "12,5", "x",
    "8/2 Ne", "74 tex", "plain", "2/2 twill", "5 satin", "9,9", "1-1-2", "8 white, 4 blue", "white", "in",
    "g", "weft", "ENDS", "TEX",
    "even", "left", "Ne", "Stockport", 10**400,
]  # fmt: skip

one_cell = st.sampled_from(CELLS)
small_cell = st.sampled_from([0, 1, 0.0, 1.0, None, "", 2, "1", "plain", 12.0, VALUE])
ranges = st.tuples(st.integers(1, 3), st.integers(1, 3), st.booleans()).flatmap(
    lambda shape: st.lists(
        st.lists(small_cell if shape[2] else one_cell, min_size=shape[1], max_size=shape[1]),
        min_size=shape[0],
        max_size=shape[0],
    )
)


def is_cell(value: object) -> bool:
    if isinstance(value, float):
        return math.isfinite(value)
    return isinstance(value, (int, str, CellError))


def shown_cells(result: object) -> list[object]:
    if isinstance(result, list):
        assert result
        assert len({len(row) for row in result}) == 1
        return [cell for row in result for cell in row]
    return [result]


@pytest.mark.parametrize("name", EVERY_FUNCTION)
@settings(
    max_examples=40, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck)
)
@given(data=st.data())
def test_any_cells_give_cells_and_an_error_has_its_reason(name: str, data: st.DataObject) -> None:
    function = EVERY_FUNCTION[name]
    most = 4 if function.variadic else len(function.parameters)
    arguments = data.draw(
        st.lists(st.one_of(one_cell, one_cell, one_cell, ranges), min_size=min(most, 1), max_size=most)
    )
    found = shown_cells(evaluate(name, arguments))
    assert all(map(is_cell, found))
    if not function.variadic:
        why = evaluate("WEAVE.WHY", (name, *arguments))
        assert (why != "") == any(isinstance(cell, CellError) for cell in found)
