"""LICENCE FIRST. This route runs on a part of xlwings that is not free for a business.

``xlwings.server`` (the folder ``pro`` of xlwings) may be used under the PolyForm
Noncommercial License 1.0.0, or under a licence that is paid for. A shop or a
weaver who sells is a business. The free routes are
:mod:`weavefuncs.addin.excel.functions` for Excel on Windows and
:mod:`weavefuncs.addin.calc` for LibreOffice on every system.

Nothing imports this module. It holds every function of the registry as an Office
custom function, ``WEAVE.ENDS`` and so on, for Excel on macOS, on the web and on
Windows. xlwings' server serves it:

- ``XLWINGS_LICENSE_KEY`` is set to ``noncommercial`` where that is true, or to the key that was bought;
- ``xlwings.server.custom_functions_meta(server)`` gives what Excel is told of the functions;
- ``xlwings.server.custom_functions_call(data, server)`` answers a call.

**Where the functions live.** On the server; the workbook holds none. (read) Excel
stores a call as ``_xldudf_WEAVE_ENDS(…)``; ``weavefuncs new … --for office``
writes that. Whoever gets the file sees its results, and ``#NAME?`` in a cell
that is calculated anew without the add-in.

**Errors** are error values, each in its own cell. (read) An Excel whose runtime
for custom functions is older than 1.4 cannot show one that a function returns:
there the whole call fails.

**What was tried.** xlwings' own metadata and dispatcher, without Excel, a server or a browser.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from xlwings import LicenseError

from weavefuncs.addin.cells import CellError
from weavefuncs.addin.excel.calls import READING, ErrorInCellError, argument_help, host_function, shown
from weavefuncs.registry import get, names

try:
    from xlwings.conversion import Converter
    from xlwings.server import arg, func, ret
except (ImportError, LicenseError) as problem:
    raise ImportError(
        "Office custom functions need xlwings.server, which is licensed for noncommercial use or against "
        "payment: set XLWINGS_LICENSE_KEY to noncommercial where that is true, or to the key that you bought"
    ) from problem

if TYPE_CHECKING:
    from collections.abc import Callable

    from weavefuncs.registry import Function

NAMESPACE = "WEAVE"

# From here on Excel takes an error value for an answer.
RUNTIME_WITH_ERRORS = 1.4

# What a cell may hold and xlwings can write as an error value; all others are shown as this one.
ERRORS = frozenset(("#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!"))
OTHER_ERROR = "#VALUE!"


class Answer(Converter):
    """What xlwings does with a result: error values become the texts that it turns into error values."""

    @classmethod
    def write_value(cls, value: Any, options: dict[str, Any]) -> Any:
        """Write one value or rows of values."""
        rows = value if isinstance(value, list) else [[value]]
        written = [[_written(cell, float(options["runtime"])) for cell in row] for row in rows]
        return written if value is rows else written[0][0]


def _written(value: Any, runtime: float) -> Any:
    if not isinstance(value, CellError):
        return value
    if runtime < RUNTIME_WITH_ERRORS:
        raise ErrorInCellError(value.code)
    return value.code if value.code in ERRORS else OTHER_ERROR


def _registered(function: Function) -> Callable[..., Any]:
    made = host_function(function, shown)
    made.__module__ = __name__
    for name, text in argument_help(function).items():
        made = arg(name, doc=text, **READING)(made)
    # Last, because each of the others sets name and namespace back.
    named = func(name=function.sheet_name.rpartition(".")[2], namespace=NAMESPACE)
    return named(ret(Answer)(made))


globals().update((made.__name__, made) for made in map(_registered, map(get, names())))
