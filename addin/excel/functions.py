"""Every function of the registry for Excel on Windows: ``WEAVE_ENDS`` and so on, made when this is imported.

xlwings finds the functions by the name of this module. Off Windows its decorators do nothing, and the
functions are plain Python.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from weavefuncs.addin.cells import CellError
from weavefuncs.addin.excel._xlwings import xw
from weavefuncs.addin.excel.calls import READING, ErrorInCellError, argument_help, host_function, shown
from weavefuncs.addin.excel.spelling import category
from weavefuncs.registry import get, names

if TYPE_CHECKING:
    from collections.abc import Callable

    from weavefuncs.registry import Function


def _answer(result: Any) -> Any:
    """Raise what is an error value or holds one: the module of the workbook makes it #VALUE!."""
    if isinstance(result, CellError):
        raise ErrorInCellError(result.code)
    if isinstance(result, list):
        for row in result:
            for value in row:
                if isinstance(value, CellError):
                    raise ErrorInCellError(value.code)
    return shown(result)


def _registered(function: Function) -> Callable[..., Any]:
    made = host_function(function, _answer)
    made.__module__ = __name__
    for name, text in argument_help(function).items():
        made = xw.arg(name, doc=text, **READING)(made)
    # Last, because each of the others sets the category back.
    return xw.func(category=category(function))(made)


# No loop: xlwings takes every function that it finds by any name for one of its own.
globals().update((made.__name__, made) for made in map(_registered, map(get, names())))
