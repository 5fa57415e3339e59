"""What the function wizard shows: names, descriptions and the help for each argument."""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.sax.saxutils import escape

from weavefuncs.addin.calc.spelling import COMPONENT, REST, identifier
from weavefuncs.addin.reference import words

if TYPE_CHECKING:
    from collections.abc import Iterable

    from weavefuncs.registry import Function

HEAD = """\
<?xml version="1.0" encoding="UTF-8"?>
<oor:component-data xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema"
  oor:name="CalcAddIns" oor:package="org.openoffice.Office">
"""

# The office knows eleven categories and files every other name under this one.
CATEGORY = "Add-In"


def descriptions(functions: Iterable[Function]) -> str:
    """Write the descriptions of all functions as a configuration file of the office."""
    nodes = "".join(_function(function) for function in functions)
    return (
        f'{HEAD}<node oor:name="AddInInfo"><node oor:name="{COMPONENT}" oor:op="replace">'
        f'<node oor:name="AddInFunctions">\n{nodes}</node></node></node>\n</oor:component-data>\n'
    )


def _function(function: Function) -> str:
    arguments = [
        _node(
            identifier(parameter.name),
            _shown("DisplayName", parameter.name.replace("_", " ")),
            _shown("Description", words.help_of(parameter)),
        )
        for parameter in function.parameters
    ]
    if function.variadic:
        arguments.append(
            _node(
                REST,
                _shown("DisplayName", REST),
                _shown("Description", words.help_of_rest(function)),
            )
        )
    return (
        _node(
            identifier(function.name),
            _shown("DisplayName", function.sheet_name),
            _shown("Description", f"{function.docstring.summary}"),
            f'<prop oor:name="Category"><value>{CATEGORY}</value></prop>',
            f'<node oor:name="Parameters">{"".join(arguments)}</node>',
        )
        + "\n"
    )


def _node(name: str, *content: str) -> str:
    return f'<node oor:name="{name}" oor:op="replace">{"".join(content)}</node>'


def _shown(name: str, text: str) -> str:
    return f'<prop oor:name="{name}"><value xml:lang="en">{escape(text)}</value></prop>'
