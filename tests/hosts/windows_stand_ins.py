"""xlwings' own code for Excel on Windows, run where there is neither: stand-ins for what lies below it.

Not a test. ``with windows():`` puts empty modules in the place of pywin32, so that
``xlwings.udfs`` can be imported, and gives xlwings its decorators for Windows, as
its own ``__init__`` does there. Afterwards all is as it was.

What xlwings does with a call is its own code and real: reading arguments by
their options, calling, writing the result. What Excel hands over is built here:
``cells`` gives what a range holds as pywin32 hands it on, ``LEFT_OUT`` an
argument that was left out, ``error`` an error cell.
"""

from __future__ import annotations

import atexit
import contextlib
import ctypes
import datetime
import importlib
import sys
import types
from collections.abc import Iterator
from typing import Any
from unittest import mock

# What pywin32 gives for an argument that was left out: DISP_E_PARAMNOTFOUND.
LEFT_OUT = -2147352572

# Error cells, as pywin32 gives them: 0x800A in the upper half, the number of XlCVError in the lower.
ERRORS = {
    "#NULL!": 2000,
    "#DIV/0!": 2007,
    "#VALUE!": 2015,
    "#REF!": 2023,
    "#NAME?": 2029,
    "#NUM!": 2036,
    "#N/A": 2042,
}

PYWIN32 = (
    "pythoncom",
    "pywintypes",
    "win32api",
    "win32con",
    "win32gui",
    "win32process",
    "win32timezone",
    "win32com",
    "win32com.client",
)

OURS = ("weavefuncs.addin.excel.functions", "weavefuncs.addin.excel.macros")
THEIRS = ("xlwings.udfs", "xlwings._xlwindows", "xlwings._win32patch", "xlwings.com_server")


def error(code: str) -> int:
    """Return an error cell as it arrives."""
    return ERRORS[code] - 0x7FF60000


class _Time(datetime.datetime):
    """The dates of pywin32 are dates of Python."""


def _stand_ins() -> dict[str, types.ModuleType]:
    modules = {name: types.ModuleType(name) for name in PYWIN32}
    pythoncom, pywintypes, client = (modules[name] for name in ("pythoncom", "pywintypes", "win32com.client"))
    pythoncom.__file__ = "pythoncom.dll"
    pythoncom.CoInitialize = lambda: None
    pythoncom.ole_error = pywintypes.com_error = pywintypes.error = type("com_error", (Exception,), {})
    pywintypes.TimeType = _Time
    for name in ("CDispatch", "CoClassBaseClass", "DispatchBaseClass"):
        setattr(client, name, type(name, (), {}))
    client.Dispatch = client.DispatchEx = lambda given, **_: given
    modules["win32com"].client = client
    server = types.ModuleType("xlwings.com_server")
    server.loop = None
    return {**modules, "xlwings.com_server": server}


@contextlib.contextmanager
def windows() -> Iterator[types.SimpleNamespace]:
    """Give ``call_udf``, ``generate_vba_wrapper`` and our modules as they are on Windows."""
    import xlwings

    # The package of ours must be there before its modules are taken from it.
    importlib.import_module("weavefuncs.addin.excel")
    before = _forget()
    with contextlib.ExitStack() as stack:
        for name, module in _stand_ins().items():
            stack.callback(_put_back, name, sys.modules.get(name))
            sys.modules[name] = module
        for name in ("windll", "oledll", "PyDLL"):
            stack.enter_context(mock.patch.object(ctypes, name, mock.MagicMock(), create=True))
        udfs = importlib.import_module("xlwings.udfs")
        desktop = importlib.import_module("xlwings._xlwindows")
        atexit.unregister(desktop.cleanup)
        stack.enter_context(mock.patch.object(xlwings, "_xlwindows", desktop, create=True))
        excel = xlwings.Engine(impl=desktop.engine)
        engines = xlwings.main.Engines()
        for engine in (*xlwings.engines, excel):
            engines.add(engine)
        stack.enter_context(mock.patch.object(xlwings, "engines", engines))
        decorators = {"func": udfs.xlfunc, "arg": udfs.xlarg, "ret": udfs.xlret, "sub": udfs.xlsub}
        for name, decorator in decorators.items():
            stack.enter_context(mock.patch.object(xlwings, name, decorator))
        functions, macros = map(importlib.import_module, OURS)
        yield types.SimpleNamespace(udfs=udfs, functions=functions, macros=macros)
    _forget()
    for name, module in before.items():
        sys.modules[name] = module
        package, _, child = name.rpartition(".")
        setattr(sys.modules[package], child, module)


def _put_back(name: str, module: types.ModuleType | None) -> None:
    if module is None:
        sys.modules.pop(name, None)
    else:
        sys.modules[name] = module


def _forget() -> dict[str, types.ModuleType]:
    """Let the modules that depend on the system be imported anew, and return those that were."""
    before = {}
    for name in (*OURS, *THEIRS):
        package, _, child = name.rpartition(".")
        if name in sys.modules:
            before[name] = sys.modules.pop(name)
        vars(sys.modules[package]).pop(child, None)
    return before


def cells(value: Any) -> Any:
    """Hand over one cell or rows of cells as pywin32 does: numbers as floats, a range as tuples."""
    if isinstance(value, (list, tuple)):
        return tuple(tuple(cells(cell) for cell in row) for row in value)
    if isinstance(value, str) and value in ERRORS:
        return error(value)
    if isinstance(value, int) and not isinstance(value, bool) and value != LEFT_OUT:
        return float(value)
    return value
