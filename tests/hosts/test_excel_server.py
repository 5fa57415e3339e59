"""Office custom functions, through xlwings' own metadata and dispatcher for them."""

from __future__ import annotations

import asyncio
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import xlwings

import weavefuncs
from weavefuncs import registry
from weavefuncs.addin.reference.examples import example_call

sys.path.insert(0, str(Path(__file__).parent))
from example_cells import in_cells, in_sheet
from office_functions import office_functions

FUNCTIONS = {
    "WEAVE_" + function.sheet_name.removeprefix("WEAVE."): function
    for heading in registry.CORE_MODULES
    for function in registry.declared(heading).values()
}

VALUE = {"type": "Error", "errorType": "Value"}


@pytest.fixture(scope="module")
def office() -> Iterator[SimpleNamespace]:
    with office_functions() as found:
        yield found


@pytest.fixture(scope="module")
def call(office: SimpleNamespace) -> Any:
    """Call as Excel does: every argument comes as rows of cells, what was left out as None."""

    def call(name: str, *arguments: Any, runtime: str = "1.4") -> Any:
        data = {
            "func_name": name,
            "args": list(map(as_sent, arguments)),
            "version": xlwings.__version__,
            "client": "Office.js",
            "runtime": runtime,
        }
        return asyncio.run(office.theirs.custom_functions_call(data, office.ours))

    return call


def as_sent(argument: Any) -> Any:
    """Give an argument as it is sent: a blank cell as an empty text, an error cell as an object."""
    if argument is None:
        return None
    rows = argument if isinstance(argument, list) else [[argument]]
    return [[cell_as_sent(cell) for cell in row] for row in rows]


def cell_as_sent(cell: Any) -> Any:
    if isinstance(cell, str) and cell.startswith("#") and cell != "#204080":
        return {"type": "Error", "errorType": "Any", "basicType": "Error", "basicValue": cell}
    return "" if cell is None else cell


# What Excel is told


@pytest.fixture(scope="module")
def told(office: SimpleNamespace) -> dict[str, Any]:
    meta = office.theirs.custom_functions_meta(office.ours)
    assert meta["allowErrorForDataTypeAny"] is True
    return {function["id"]: function for function in meta["functions"]}


def test_every_function_is_told_once(told: dict[str, Any]) -> None:
    assert set(told) == set(FUNCTIONS)


@pytest.mark.parametrize("name", FUNCTIONS)
def test_each_has_its_name_its_words_and_its_arguments(told: dict[str, Any], name: str) -> None:
    function, entry = FUNCTIONS[name], told[name]
    assert entry["name"] == function.sheet_name
    assert entry["description"] == function.docstring.summary
    assert entry["result"]["dimensionality"] == "matrix"
    for parameter, known in zip(function.parameters, entry["parameters"]):
        assert known["name"].rstrip("_") == parameter.name
        assert known["description"].startswith(parameter.description)
        assert known["dimensionality"] == "matrix"
        assert known.get("optional", False) is not parameter.required
    assert len(entry["parameters"]) == len(function.parameters) + function.variadic
    if function.variadic:
        assert entry["parameters"][-1]["repeating"] is True


def test_the_planner_is_written_in_the_spelling_of_these_names(told: dict[str, Any]) -> None:
    from weavefuncs.workbooks.book import SPELLINGS

    for entry in told.values():
        stored = "_xldudf_" + entry["name"].replace(".", "_")
        assert stored == SPELLINGS["office"] + entry["name"].removeprefix("WEAVE.")
        assert registry.get(stored).sheet_name == entry["name"]


# What a call gives


@pytest.mark.parametrize("name", FUNCTIONS)
def test_the_example_of_its_docstring_gives_what_the_library_gives(call: Any, name: str) -> None:
    function = FUNCTIONS[name]
    if function.variadic:
        # Arguments that may repeat come one level deeper.
        assert call(name, "ENDS", [as_sent(15), as_sent(24)]) == [[""]]
        return
    example = example_call(function)
    wanted = in_cells(function.result_kind, getattr(weavefuncs, function.name)(*example))
    assert call(name, *map(in_sheet, example)) == wanted
    left_out = [None] * (len(function.parameters) - len(example))
    assert call(name, *map(in_sheet, example), *left_out) == wanted


@pytest.mark.parametrize("name", FUNCTIONS)
def test_nothing_for_a_required_argument_is_an_error_value(call: Any, name: str) -> None:
    count = max(1, sum(parameter.required for parameter in FUNCTIONS[name].parameters))
    if FUNCTIONS[name].variadic:
        assert call(name, "") == [[VALUE]]
        return
    assert call(name, *[None] * count) == [[VALUE]]
    assert call(name, *[""] * count) == [[VALUE]]


def test_an_error_cell_gives_that_error(call: Any) -> None:
    assert call("WEAVE_ENDS", "#N/A", 24) == [[{"type": "Error", "errorType": "NotAvailable"}]]
    assert call("WEAVE_ENDS", [["#DIV/0!"]], 24) == [[{"type": "Error", "errorType": "Div0"}]]
    # One that xlwings cannot write.
    assert call("WEAVE_ENDS", "#SPILL!", 24) == [[VALUE]]


def test_a_bad_row_is_an_error_in_its_own_cell(call: Any) -> None:
    assert call("WEAVE_TEX", [["74 tex"], ["thick"], [None], ["#N/A"], ["74 tex"]]) == [
        [74.0],
        [VALUE],
        [""],
        [{"type": "Error", "errorType": "NotAvailable"}],
        [74.0],
    ]
    assert call("WEAVE_ENDS", [[15, -1, 15]], 24) == [[360.0, VALUE, 360.0]]


def test_an_excel_that_cannot_show_errors_gets_none_as_text(call: Any) -> None:
    with pytest.raises(Exception, match="#VALUE!") as problem:
        call("WEAVE_ENDS", 15, 0, runtime="1.3")
    assert type(problem.value).__name__ == "ErrorInCellError"
    assert call("WEAVE_ENDS", 15, 24, runtime="1.3") == [[360.0]]


def test_why_tells_the_reason(call: Any) -> None:
    assert "got 0" in call("WEAVE_WHY", "ENDS", [as_sent(15), as_sent(0)])[0][0]


def test_a_colour_is_no_error_value(call: Any) -> None:
    assert call("WEAVE_COLOUROF", "8 #204080, 4 white", 3) == [["#204080"]]


# The licence


def test_the_licence_is_stated_before_anything_else() -> None:
    from importlib.util import find_spec

    text = Path(find_spec("weavefuncs.addin.excel").origin).with_name("server.py").read_text(encoding="utf-8")
    assert text.startswith('"""LICENCE FIRST.')
    assert "PolyForm\nNoncommercial License 1.0.0" in text.split("\n\n")[1]


def test_without_a_key_a_sentence_names_the_licence(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", "import weavefuncs.addin.excel.server"],
        capture_output=True,
        text=True,
        check=False,
        env={"HOME": str(tmp_path), "PATH": ""},
    )
    assert done.returncode
    assert "licensed for noncommercial use or against payment" in done.stderr.splitlines()[-1]


def test_nothing_imports_it() -> None:
    root = Path(weavefuncs.__file__).parent
    from weavefuncs import addin, workbooks

    for folder in (root, *map(Path, [*addin.__path__, *workbooks.__path__])):
        for source in folder.rglob("*.py"):
            lines = source.read_text(encoding="utf-8").splitlines()
            imports = [line for line in lines if line.lstrip().startswith(("import ", "from "))]
            if source.name != "server.py":
                assert not any("excel.server" in line or "xlwings.server" in line for line in imports), source
                assert not any("xlwings.pro" in line for line in imports), source
