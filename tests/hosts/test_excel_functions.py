"""The functions for Excel on Windows, called by xlwings' own dispatcher; stand-ins for what lies below it."""

from __future__ import annotations

import datetime
import inspect
import subprocess
import sys
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from example_cells import in_cells, in_sheet
from windows_stand_ins import LEFT_OUT, OURS, cells, windows

import weavefuncs
from weavefuncs import registry
from weavefuncs.addin.excel import spelling
from weavefuncs.addin.reference.examples import example_call

MODULE = OURS[0]
FUNCTIONS = {
    function.sheet_name.replace(".", "_"): function
    for heading in registry.CORE_MODULES
    for function in registry.declared(heading).values()
}


@pytest.fixture(scope="module")
def excel() -> Iterator[SimpleNamespace]:
    with windows() as found:
        yield found


@pytest.fixture(scope="module")
def call(excel: SimpleNamespace) -> Any:
    """What a cell gets: rows of values, or an exception, which the module of VBA makes an error value."""

    def call(name: str, *arguments: Any) -> Any:
        return excel.udfs.call_udf(MODULE, name, tuple(map(cells, arguments)))  # as Excel hands them over

    return call


def refused(call: Any, *arguments: Any) -> bool:
    with pytest.raises(Exception) as caught:  # noqa: PT011 - its class is looked at
        call(*arguments)
    return type(caught.value).__name__ == "ErrorInCellError"


# Every function


@pytest.mark.parametrize("name", FUNCTIONS)
def test_the_example_of_its_docstring_gives_what_the_library_gives(call: Any, name: str) -> None:
    function = FUNCTIONS[name]
    if function.variadic:
        assert call(name, "ENDS", 15, 24) == [[""]]
        return
    example = example_call(function)
    arguments = [in_sheet(value) for value in example]
    wanted = getattr(weavefuncs, function.name)(*example)
    found = call(name, *arguments)
    assert found == in_cells(function.result_kind, wanted)
    # The same with every argument in a cell of its own, which comes as a range of one.
    boxed = [argument if isinstance(argument, list) else [[argument]] for argument in arguments]
    assert call(name, *boxed) == found


@pytest.mark.parametrize("name", FUNCTIONS)
def test_arguments_that_are_left_out_or_blank_have_their_defaults(call: Any, name: str) -> None:
    function = FUNCTIONS[name]
    if function.variadic:
        return
    example = example_call(function)
    required = sum(parameter.required for parameter in function.parameters)
    arguments = [in_sheet(value) for value in example]
    spare = len(function.parameters) - required
    found = []
    for nothing in (LEFT_OUT, None, "", [[None]], [["  "]]):
        try:
            found.append(call(name, *arguments[:required], *[nothing] * spare))
        except Exception as problem:
            found.append(type(problem).__name__)
    assert all(each == found[0] for each in found)
    try:
        wanted = getattr(weavefuncs, function.name)(*example[:required])
    except weavefuncs.WeaveError:
        assert found[0] == "ErrorInCellError"
    else:
        assert found[0] == in_cells(function.result_kind, wanted)


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_required_argument_that_is_missing_is_an_error(call: Any, name: str) -> None:
    function = FUNCTIONS[name]
    count = max(1, sum(parameter.required for parameter in function.parameters))
    for nothing in (None, "", [[None]]):
        assert refused(call, name, *[nothing] * count)


@pytest.mark.parametrize("name", FUNCTIONS)
def test_an_error_cell_is_never_taken_for_nothing(call: Any, name: str) -> None:
    function = FUNCTIONS[name]
    if function.variadic:
        return
    example = example_call(function)
    arguments = [in_sheet(value) for value in example]
    for position in range(len(function.parameters)):
        given = [*arguments, *[None] * (len(function.parameters) - len(arguments))]
        given[position] = "#N/A"
        assert refused(call, name, *given)
        given[position] = [["#DIV/0!"]]
        assert refused(call, name, *given)


def test_xlwings_knows_every_function_once(excel: SimpleNamespace) -> None:
    registered = [
        value.__xlfunc__["name"] for value in vars(excel.functions).values() if hasattr(value, "__xlfunc__")
    ]
    assert sorted(registered) == sorted(FUNCTIONS)


@pytest.mark.parametrize("name", FUNCTIONS)
def test_description_category_and_help_for_each_argument_fit_the_wizard(
    excel: SimpleNamespace, name: str
) -> None:
    function, known = FUNCTIONS[name], getattr(excel.functions, name).__xlfunc__
    assert known["category"].startswith("Weaving: ")
    assert known["ret"]["doc"] == function.docstring.summary
    named = [parameter.name for parameter in function.parameters] + ["arguments"] * function.variadic
    assert [argument["name"].rstrip("_") for argument in known["args"]] == named
    for argument, parameter in zip(known["args"], function.parameters):
        assert argument["doc"].startswith(parameter.description)
        assert argument["options"]["ndim"] == 2
        assert argument["options"]["err_to_str"] is True
        assert ("optional" in argument) is not parameter.required
    texts = [known["ret"]["doc"], known["category"], *(argument["doc"] for argument in known["args"])]
    assert all(0 < len(text) <= 255 for text in texts)
    signature = inspect.signature(getattr(excel.functions, name))
    assert all(each.annotation is inspect.Parameter.empty for each in signature.parameters.values())


# What cells may hold, on functions that stand for their kind: numbers, yarn texts, weaves and grids, lists


@pytest.mark.parametrize(
    ("given", "wanted"),
    [
        ([[15], [15]], [[360.0], [360.0]]),
        ([[15, 15, 15]], [[360.0, 360.0, 360.0]]),
        ([[15], [None], [15]], [[360.0], [""], [360.0]]),
        ([["15"], ["15,0"]], [[360.0], [360.0]]),
        ([[15]], [[360.0]]),
        ("15", [[360.0]]),
        (Decimal("15"), [[360.0]]),
        ([[Decimal("15")], [15]], [[360.0], [360.0]]),
    ],
)
def test_a_column_gives_a_column_and_a_row_a_row(call: Any, given: Any, wanted: Any) -> None:
    assert call("WEAVE_ENDS", given, 24) == wanted


@pytest.mark.parametrize(
    "given",
    [True, "wide", 0, -1, "#VALUE!", [[15, 15], [15, 15]], [["#N/A"]], [[15], ["#REF!"]], [[15], [-1]]],
)
def test_bad_input_is_an_error_and_one_bad_row_makes_all_of_them_one(call: Any, given: Any) -> None:
    assert refused(call, "WEAVE_ENDS", given, 24)


def test_why_names_the_row(call: Any) -> None:
    reason = call("WEAVE_WHY", "ENDS", [[15], [-1]], 24)[0][0]
    assert "in row 2" in reason
    assert "got -1" in reason
    assert call("WEAVE_WHY", [["WEAVE_ENDS"]], [[15]], LEFT_OUT)[0][0].startswith("ENDS: sett must be given")
    assert "is itself an error (#DIV/0!)" in call("WEAVE_WHY", "ENDS", "#DIV/0!", 24)[0][0]


def test_every_error_value_of_excel_is_an_error_here(excel: SimpleNamespace) -> None:
    # From #NULL! to the newest, whether xlwings knows it or hands it on as a whole number.
    for number in range(2000, 2060):
        with pytest.raises(Exception, match="#"):
            excel.udfs.call_udf(MODULE, "WEAVE_ENDS", (number - 0x7FF60000, 24.0))


def test_a_date_is_the_number_that_the_sheet_has_for_it(call: Any) -> None:
    # Microsoft's documentation of DATEVALUE: 2008-01-01 is 39448.
    noon = datetime.datetime(2008, 1, 1, 12)
    assert (
        call("WEAVE_YARNMASS", noon, "1000 tex") == call("WEAVE_YARNMASS", 39448.5, "1000 tex") == [[39448.5]]
    )


def test_grids_lie_bottom_row_first(call: Any) -> None:
    assert call("WEAVE_DRAWDOWN", "2/2 twill", 4, 2) == [[0.0, 1.0, 1.0, 0.0], [1.0, 1.0, 0.0, 0.0]]
    grid = [[0, 1, 1, 0], [1, 1, 0, 0]]
    assert call("WEAVE_DRAWDOWN", grid, 4, 2) == grid


def test_one_range_of_many_rows_is_one_call(call: Any) -> None:
    yarns = [["8/2 Ne"]] * 5_000 + [["74 tex"]] * 5_000
    tex = call("WEAVE_TEX", yarns)
    assert len(tex) == 10_000
    assert tex[-1] == [74.0]
    masses = call("WEAVE_YARNMASS", [[1000]] * 10_000, yarns)
    assert masses == tex


def test_results_are_of_types_that_a_cell_holds(call: Any) -> None:
    for name, function in FUNCTIONS.items():
        if function.variadic:
            continue
        for row in call(name, *map(in_sheet, example_call(function))):
            assert all(type(value) in (float, str) for value in row), name


# Names


def test_no_argument_bears_a_name_that_vba_or_the_wrapper_needs() -> None:
    taken = spelling.RESERVED | spelling.TAKEN
    for function in FUNCTIONS.values():
        for parameter in function.parameters:
            spelled = spelling.argument_name(parameter.name)
            assert spelled.isidentifier()
            assert not spelled.startswith("_")
            assert spelled.lower() not in taken


def test_an_argument_named_end_is_spelled_apart() -> None:
    assert spelling.argument_name("end") == "end_"
    assert spelling.argument_name("ends") == "ends"


# Without Excel, and without xlwings


def test_off_windows_the_functions_are_plain_python() -> None:
    code = (
        "from weavefuncs.addin.excel.functions import WEAVE_ENDS as ends;"
        "print(ends([[15.0]], [[24.0]]), ends.__name__, ends.__doc__, hasattr(ends, '__xlfunc__'))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    summary = registry.get("ends").docstring.summary
    assert done.stdout.strip() == f"360.0 WEAVE_ENDS {summary} False"


def test_without_xlwings_a_sentence_says_what_is_missing() -> None:
    code = "import sys; sys.modules['xlwings'] = None; import weavefuncs.addin.excel.functions"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode
    assert done.stderr.splitlines()[-1] == (
        'ImportError: the functions in Excel on Windows need xlwings: pip install "weavefuncs[excel]"'
    )
