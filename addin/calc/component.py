"""The component that LibreOffice loads when a cell first calls a function of ours.

Standard library and the syntax of Python 3.9: it runs in whatever Python the
office has. The functions and the cell adapter lie beside it in ``pythonpath``.
"""

import os
import struct
import sys
from functools import cache, lru_cache

import uno
import unohelper
from com.sun.star.uno import RuntimeException

# Our own copy comes before any that is installed in the same Python.
sys.path.insert(0, os.path.join(os.path.dirname(__file__), "pythonpath"))

from weavefuncs.addin.cells import CellError, answering, sheet_names

COMPONENT = "WEAVE"
SHEET_NAMES = frozenset(sheet_names())


# By this the office means #VALUE! in one cell of many: not a number, with the error's own number 519 in it.
VALUE_ERROR = struct.unpack("<d", struct.pack("<Q", 0x7FF8 << 48 | 519))[0]


def in_cell(value):
    """Convert what a cell shall show: the office takes numbers and texts."""
    if isinstance(value, str):
        return value
    return VALUE_ERROR if isinstance(value, CellError) else float(value)


# Calc asks anew whenever something changed further up, mostly for what it has been told before. So many calls
# of a function are kept, as long as their ranges and results hold no more cells together.
KEPT = 1024
MOST_CELLS_KEPT = 100_000


def cells_in(values):
    """Count the cells of what are ranges among some values."""
    return sum(len(value) * len(value[0]) for value in values if isinstance(value, tuple) and value)


@cache
def method(sheet_name):
    """Make the method that answers for one function."""
    answer = answering(sheet_name)
    kept_cells = 0

    @lru_cache(KEPT)
    def shown(*arguments):
        nonlocal kept_cells
        result = answer(arguments)
        if isinstance(result, CellError):
            raise RuntimeException(result.code, None)
        if isinstance(result, list):
            rows = tuple(tuple(map(in_cell, row)) for row in result)
        else:
            rows = ((in_cell(result),),)
        kept_cells += cells_in((rows, *arguments))
        if kept_cells > MOST_CELLS_KEPT:
            shown.cache_clear()
            kept_cells = 0
        return rows

    return shown


class Weave(unohelper.Base, uno.getClass("weaving.XWeave")):
    """The functions: a method is made when the office first asks for it."""

    def __init__(self, _context):
        pass

    def __getattr__(self, name):
        sheet_name = COMPONENT + "." + name.upper()
        if sheet_name not in SHEET_NAMES:
            raise AttributeError(name)
        made = method(sheet_name)
        setattr(self, name, made)
        return made

    def why(self, name, arguments):
        """Answer for the one function whose last argument stands for any number of them."""
        return method(COMPONENT + ".WHY")(name, *arguments)


g_ImplementationHelper = unohelper.ImplementationHelper()
g_ImplementationHelper.addImplementation(Weave, COMPONENT, (COMPONENT,))
