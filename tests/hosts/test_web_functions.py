"""Every function in real Chromium: the page with its custom functions, over a stand-in for Excel."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser

import weavefuncs
from weavefuncs.addin.cells import CellError
from weavefuncs.addin.reference.examples import example_call
from weavefuncs.registry import get, names

sys.path.insert(0, str(Path(__file__).parent))
from example_cells import in_cells, in_sheet
from web_site import Excel, Repeated, chromium, launched, origins_asked, served, site

FUNCTIONS = [get(name) for name in names()]

VALUE, NOT_THERE, DIVISION = map(CellError, ("#VALUE!", "#N/A", "#DIV/0!"))


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with served(site(tmp_path_factory)) as found:
        yield found


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


@pytest.fixture(scope="module")
def excel(browser: Browser, address: str) -> Iterator[Excel]:
    page = browser.new_page()
    told: list[str] = []
    page.on("console", lambda message: told.append(message.text))
    page.on("pageerror", lambda problem: told.append(str(problem)))
    yield Excel(page, address)
    assert not told


def test_every_function_is_associated_once(excel: Excel) -> None:
    assert sorted(excel.associated()) == sorted(
        function.sheet_name.removeprefix("WEAVE.") for function in FUNCTIONS
    )


@pytest.fixture(scope="module")
def examples(excel: Excel) -> dict[str, Any]:
    """Make the example of each docstring, all in one recalculation."""
    named = [function for function in FUNCTIONS if not function.variadic]
    calls = [
        (function.sheet_name, list(map(in_sheet, example_call(function))), len(function.parameters))
        for function in named
    ]
    filled = [(name, [*given, *[None] * (count - len(given))]) for name, given, count in calls]
    answers = excel.recalculate(filled)
    return {function.name: rows for function, (rows, _) in zip(named, answers)}


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda function: function.name)
def test_the_example_of_its_docstring_gives_what_the_library_gives(
    excel: Excel, examples: dict[str, Any], function: Any
) -> None:
    if function.variadic:
        assert excel.call(function.sheet_name, "ENDS", Repeated([15, 24])) == [[""]]
        return
    wanted = in_cells(function.result_kind, getattr(weavefuncs, function.name)(*example_call(function)))
    assert examples[function.name] == wanted


def test_what_is_left_out_and_what_is_blank_is_not_given(excel: Excel) -> None:
    assert excel.call("WEAVE.ENDS", 15, 24, None, None, 2, None) == [[362]]
    # Excel hands a blank cell over as null or, in some versions, as 0.
    assert excel.call("WEAVE.ENDS", 15, 24, [[None]], [[0]], 2, [[0]]) == [[362]]
    assert excel.call("WEAVE.ENDS", [[None]], 24) == [[VALUE]]
    assert excel.call("WEAVE.ENDS", None, None, None, None, None, None) == [[VALUE]]


def test_a_range_of_one_cell_is_that_cell(excel: Excel) -> None:
    assert excel.call("WEAVE.ENDS", [[15]], [["24"]]) == [[360]]


def test_a_bad_row_is_an_error_in_its_own_cell(excel: Excel) -> None:
    column = [["74 tex"], ["thick"], [None], [NOT_THERE], ["74 tex"]]
    assert excel.call("WEAVE.TEX", column) == [[74], [VALUE], [""], [NOT_THERE], [74]]
    assert excel.call("WEAVE.ENDS", [[15, -1, 15]], 24) == [[360, VALUE, 360]]


def test_a_grid_grows_upward(excel: Excel) -> None:
    assert excel.call("WEAVE.DRAWDOWN", "2/2 twill", 4, 2) == [[0, 1, 1, 0], [1, 1, 0, 0]]
    assert excel.call("WEAVE.TREADLING", [[0, 1], [1, 0]]) == [[1], [2]]


def test_an_error_has_its_reason_beside_it(excel: Excel) -> None:
    [(rows, words)] = excel.recalculate([("WEAVE.ENDS", (15, 0))])
    assert rows == [[VALUE]]
    assert words == "ENDS: sett must be a number above 0 and at most 10000; got 0"
    assert excel.call("WEAVE.WHY", "ENDS", Repeated([15, 0])) == [[words]]


def test_an_error_in_an_argument_comes_out_as_itself(excel: Excel) -> None:
    assert excel.call("WEAVE.ENDS", NOT_THERE, 24) == [[NOT_THERE]]
    assert excel.call("WEAVE.ENDS", [[DIVISION]], 24) == [[DIVISION]]
    # Ones that Excel takes from no function.
    assert excel.call("WEAVE.ENDS", CellError("#NAME?"), 24) == [[VALUE]]
    assert excel.call("WEAVE.ENDS", [[1, CellError("#SPILL!")]], 24) == [[24, VALUE]]


def test_a_colour_is_no_error_value(excel: Excel) -> None:
    assert excel.call("WEAVE.COLOUROF", "8 #204080, 4 white", 3) == [["#204080"]]


def test_calls_of_one_recalculation_go_in_one_message(excel: Excel) -> None:
    """A batch is answered whole or not at all: 300 calls need not wait for 300 answers."""
    page = excel.page
    page.evaluate(
        """() => {
            window.sent = 0;
            const send = Worker.prototype.postMessage;
            Worker.prototype.postMessage = function (...given) {
                window.sent += 1;
                return send.apply(this, given);
            };
        }"""
    )
    answers = excel.recalculate([("WEAVE.ENDS", (width, 24)) for width in range(1, 301)])
    assert [rows for rows, _ in answers] == [[[width * 24]] for width in range(1, 301)]
    assert page.evaluate("window.sent") == 1


# How Excel tells Microsoft's script, in the address, what it is; Excel itself is not there.
KINDS = ("", *(f"&_host_Info=Excel${kind}$16.01$en-US" for kind in ("Web", "Mac", "Win32")))

# Microsoft's script keeps what was associated here.
COUNT_ASSOCIATED = """wanted => new Promise(resolve => {
    const look = () => {
        const kept = window.CustomFunctions?._association?.mappings ?? {};
        if (Object.keys(kept).length >= wanted) resolve(Object.keys(kept)); else requestAnimationFrame(look);
    };
    look();
})"""


def test_the_script_as_published_takes_the_functions_and_nothing_is_asked_of_another_origin(
    browser: Browser, address: str, tmp_path: Path
) -> None:
    """With the script as Microsoft publishes it, as a plain page and as three kinds of Excel open it."""
    log = tmp_path / "net.json"
    with launched(browser.browser_type, f"--log-net-log={log}") as watched:
        plain = watched.new_page()
        asked: list[str] = []
        plain.on("request", lambda request: asked.append(request.url))
        plain.goto(address, wait_until="networkidle")
        assert any(url.endswith("pyodide.asm.wasm") for url in asked)
        assert not any("office" in url for url in asked)
        plain.close()
        for kind in KINDS:
            page = watched.new_context().new_page()
            page.goto(f"{address}?in=excel{kind}")
            kept = page.evaluate(COUNT_ASSOCIATED, len(FUNCTIONS))
            assert sorted(kept) == sorted(
                function.sheet_name.removeprefix("WEAVE.") for function in FUNCTIONS
            )
            page.context.close()
    assert origins_asked(log) == {address.rpartition("/weavefuncs-")[0]}
