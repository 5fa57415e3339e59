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
    return json.dumps([_reply(name, arguments) for name, arguments in asked], default=_written)


def _error(value: dict[str, str]) -> CellError:
    return CellError(value["error"])


def _reply(name: str, arguments: list[Any]) -> tuple[Any, str]:
    answer = evaluate(name, arguments)
    if not isinstance(answer, CellError):
        return answer, ""
    reason = evaluate("WEAVE.WHY", [name, *arguments])
    return answer, reason if isinstance(reason, str) else ""


def _written(value: CellError) -> dict[str, str]:
    return {"error": value.code}
