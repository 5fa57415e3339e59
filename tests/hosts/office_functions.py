"""xlwings' own metadata and dispatcher for Office custom functions, and our module for them. Not a test.

xlwings is asked with the key "noncommercial": these tests are run by nobody who earns by them.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from types import SimpleNamespace
from unittest import mock


@contextlib.contextmanager
def office_functions() -> Iterator[SimpleNamespace]:
    """Give our module and theirs, with the engine for these functions known to xlwings."""
    with contextlib.ExitStack() as stack:
        stack.enter_context(mock.patch.dict(os.environ, {"XLWINGS_LICENSE_KEY": "noncommercial"}))
        import xlwings.server
        from xlwings.pro import _xlofficejs

        from weavefuncs.addin.excel import server

        engines = xlwings.main.Engines()
        for engine in (*xlwings.engines, xlwings.Engine(impl=_xlofficejs.engine)):
            engines.add(engine)
        stack.enter_context(mock.patch.object(xlwings, "engines", engines))
        yield SimpleNamespace(ours=server, theirs=xlwings.server)
