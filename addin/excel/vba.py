"""The module that a workbook needs to call the functions, in VBA.

xlwings writes a wrapper for each function. It ends by putting the text of an
error into the cell; here that becomes the error value ``#VALUE!``. (read) The
words of the function wizard are set by the macro ``weave_wizard_texts``, since
xlwings sets them only where it imports the module itself, with its own text.
"""

from __future__ import annotations

import io
from types import ModuleType, SimpleNamespace
from typing import TYPE_CHECKING

from weavefuncs.addin.excel.calls import argument_help
from weavefuncs.addin.excel.spelling import category, function_name
from weavefuncs.addin.reference import words
from weavefuncs.registry import CORE_MODULES, declared, names

if TYPE_CHECKING:
    from collections.abc import Callable

    from weavefuncs.registry import Function

MODULE_NAME = "weavefuncs"

# The value of xlErrValue, #VALUE!.
ERROR_TEXT, ERROR_VALUE = " = Err.Description\n", " = CVErr(2015)\n"

# VBA continues a statement over 24 lines at most, and some of them hold other texts.
MOST_HELP_LINES = 18

HEAD = f"""\
Attribute VB_Name = "{MODULE_NAME}"
'Written by weavefuncs, for the functions WEAVE_... in this workbook. The module xlwings must stand beside it.
'Do not use Import Functions of xlwings on this workbook: its own module shows texts instead of errors.
#Const App = "Microsoft Excel"

"""

WIZARD = """\
Sub weave_wizard_texts()
{calls}End Sub

Private Sub Describe(fname As String, text As String, heading As String, helps As Variant)
    Application.MacroOptions Macro:="'" & Replace(ThisWorkbook.Name, "'", "''") & "'!" & fname, _
        Description:=text, Category:=heading, ArgumentDescriptions:=helps
End Sub

"""

# Signs of the docstrings that a module of VBA may lack, since it is read in the code page of the computer.
PLAIN = str.maketrans(
    {
        "×": "x",
        "–": "-",
        "−": "-",
        "…": "...",
        "√": "root ",
        "·": "*",
        "²": "2",
        "³": "3",
        "’": "'",
        "°": " degrees",
    }
)


def module_text() -> str:
    """Write the module.

    Raises
    ------
    ImportError
        Where the part of xlwings that writes wrappers cannot run: off Windows.
    RuntimeError
        When xlwings writes wrappers that this module does not know how to mend.
    """
    from weavefuncs.addin.excel import functions, macros

    wrappers = _wrappers(functions)
    if wrappers.count(ERROR_TEXT) != len(names()) or wrappers.count("Err.") != len(names()):
        raise RuntimeError(
            "this version of xlwings writes other wrappers than those that weavefuncs can mend"
        )
    mended = wrappers.replace(ERROR_TEXT, ERROR_VALUE)
    return (HEAD + mended + _wrappers(macros) + _wizard_texts()).replace("\n", "\r\n")


def _wrappers(module: ModuleType) -> str:
    from xlwings.udfs import generate_vba_wrapper

    text = io.StringIO()
    # Of the workbook xlwings looks at the name alone: it is no add-in file.
    generate: Callable[..., None] = generate_vba_wrapper
    generate(module.__name__, module, text, SimpleNamespace(Name="planner.xlsm"))
    return text.getvalue()


def _wizard_texts() -> str:
    # One procedure a heading: VBA refuses procedures of more than 64 kB.
    parts = {f"Describe{heading.title()}": declared(heading).values() for heading in CORE_MODULES}
    procedures = "".join(
        f"Private Sub {name}()\n{''.join(map(_description, functions))}End Sub\n\n"
        for name, functions in parts.items()
    )
    return WIZARD.format(calls="".join(f"    {name}\n" for name in parts)) + procedures


def _description(function: Function) -> str:
    texts = list(map(_literal, argument_help(function).values()))
    a_line = -(-len(texts) // MOST_HELP_LINES)
    lines = [", ".join(texts[at : at + a_line]) for at in range(0, len(texts), a_line or 1)]
    helps = ", _\n        ".join(lines)
    return (
        f'    Describe "{function_name(function)}", _\n'
        f"        {_literal(words.cut(function.docstring.summary))}, _\n"
        f"        {_literal(category(function))}, _\n"
        f"        Array({helps})\n"
    )


def _literal(text: str) -> str:
    return '"' + text.translate(PLAIN).replace('"', '""') + '"'
