"""The component that LibreOffice loads when a cell first calls a function of ours.

Standard library and the syntax of Python 3.9: it runs in whatever Python the
office has. The functions and the cell adapter lie beside it in ``pythonpath``.
"""

import os
import struct
import sys

import uno
import unohelper
from com.sun.star.uno import RuntimeException

# Our own copy comes before any that is installed in the same Python.
sys.path.insert(0, os.path.join(os.path.dirname(__file__), "pythonpath"))

from weavefuncs.addin.cells import CellError, evaluate, sheet_names

COMPONENT = "WEAVE"
SHEET_NAMES = frozenset(sheet_names())


def error_value(number):
    """Make the number by which the office means an error value: not a number, with the error's own number in it."""
    return struct.unpack("<d", struct.pack("<Q", 0x7FF8 << 48 | number))[0]


VALUE_ERROR = error_value(519)
ERRORS = {
    "#NULL!": error_value(521),
    "#DIV/0!": error_value(532),
    "#VALUE!": VALUE_ERROR,
    "#REF!": error_value(524),
    "#NAME?": error_value(525),
    "#NUM!": error_value(503),
    "#N/A": error_value(32767),
}


def in_cell(value):
    """Convert what a cell shall show: the office takes numbers and texts."""
    if isinstance(value, str):
        return value
    if isinstance(value, CellError):
        return ERRORS.get(value.code, VALUE_ERROR)
    return float(value)


def method(sheet_name):
    """Make the method that answers for one function."""

    def call(*arguments):
        result = evaluate(sheet_name, arguments)
        if isinstance(result, list):
            return tuple(tuple(map(in_cell, row)) for row in result)
        if isinstance(result, CellError):
            raise RuntimeException(result.code, None)
        return ((in_cell(result),),)

    return call


def why(name, arguments):
    """Answer for the one function whose last argument stands for any number of them."""
    return WHY(name, *arguments)


WHY = method(COMPONENT + ".WHY")


class Weave(unohelper.Base, uno.getClass("weaving.XWeave")):
    """The functions: a method is made when the office first asks for it."""

    def __init__(self, context):
        self.why = why

    def __getattr__(self, name):
        sheet_name = COMPONENT + "." + name.upper()
        if sheet_name not in SHEET_NAMES:
            raise AttributeError(name)
        made = method(sheet_name)
        setattr(self, name, made)
        return made


g_ImplementationHelper = unohelper.ImplementationHelper()
g_ImplementationHelper.addImplementation(Weave, COMPONENT, (COMPONENT,))
