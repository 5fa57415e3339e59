"""Answer the calls of a page: it runs in the browser, and hands what cells hold to the adapter.

An error value crosses as ``{"error": "#VALUE!"}``, a blank cell as null.
"""

from __future__ import annotations

import json

from weavefuncs.addin.cells import CellError, evaluate

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


def answers(calls: str) -> str:
    """Answer a list of calls, each a name and its arguments.

    Returns
    -------
    str
        For each call the answer, and where that is one error its reason.
    """
    # A cell holds a double, also where a page writes it without decimals.
    asked = json.loads(calls, parse_int=float, object_hook=_error)
    return f"[{','.join(_reply(name, arguments) for name, arguments in asked)}]"


def _error(value: dict[str, str]) -> CellError:
    return CellError(value["error"])


def _reply(name: str, arguments: list[Any]) -> str:
    try:
        answer = evaluate(name, arguments)
        reason = evaluate("WEAVE.WHY", [name, *arguments]) if isinstance(answer, CellError) else ""
        return _written(answer, reason if isinstance(reason, str) else "")
    except Exception as mistake:  # a mistake of ours in one cell takes no other cell's answer away
        return _written(CellError(), f"{name} failed, which is a mistake in weavefuncs: {mistake!r}")


def _written(answer: Any, reason: str) -> str:
    # A page reads no number that is not finite.
    return json.dumps((answer, reason), default=_error_written, allow_nan=False)


def _error_written(value: CellError) -> dict[str, str]:
    return {"error": value.code}
