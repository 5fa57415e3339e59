"""The bridge between the page and the adapter, in plain Python."""

from __future__ import annotations

import json
from typing import Any

import pytest

from weavefuncs.addin.cells import CellError, evaluate
from weavefuncs.addin.web import bridge


def ask(*calls: tuple[str, list[Any]]) -> Any:
    return json.loads(bridge.answers(json.dumps(calls)))


def test_each_call_has_its_answer_and_an_error_its_reason() -> None:
    assert ask(("WEAVE.ENDS", [15, 24]), ("WEAVE.ENDS", [15, 0])) == [
        [360, ""],
        [{"error": "#VALUE!"}, "ENDS: sett must be a number above 0 and at most 10000; got 0"],
    ]


def test_a_number_too_large_for_a_cell_is_refused_in_words() -> None:
    [[error, reason]] = ask(("WEAVE.ENDS", [10**400, 24]))
    assert error == {"error": "#VALUE!"}
    assert reason.startswith("ENDS: width must be a number")


def test_an_unknown_function_is_an_error() -> None:
    assert ask(("WEAVE.NOSUCH", [1]))[0][0] == {"error": "#VALUE!"}


@pytest.mark.parametrize("mistake", [RuntimeError("loom"), float("inf"), float("nan"), [[float("inf")]]])
def test_a_mistake_of_ours_stays_in_its_own_cell(monkeypatch: pytest.MonkeyPatch, mistake: Any) -> None:
    def mistaken(name: str, arguments: list[Any]) -> Any:
        if name != "WEAVE.TEX":
            return evaluate(name, arguments)
        if isinstance(mistake, Exception):
            raise mistake
        return mistake

    monkeypatch.setattr(bridge, "evaluate", mistaken)
    [good, [error, reason]] = ask(("WEAVE.ENDS", [15, 24]), ("WEAVE.TEX", ["8/2 Ne"]))
    assert good == [360, ""]
    assert error == {"error": CellError().code}
    assert reason.startswith("WEAVE.TEX failed, which is a mistake in weavefuncs: ")
