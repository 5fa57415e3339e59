"""The example of a docstring, written as a spreadsheet formula."""

from __future__ import annotations

import ast
from typing import Any

from weavefuncs.registry import Function


def example_call(function: Function) -> tuple[Any, ...]:
    """Return the arguments of the first call in the docstring's Examples, by position.

    Raises
    ------
    ValueError
        When no example calls the function with literal arguments.
    """
    lines = function.docstring.sections.get("Examples", [])
    source = "\n".join(line[4:] for line in lines if line.startswith((">>> ", "... ")))
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == function.name:
            return _arguments(function, node)
    raise ValueError(f"{function.name} has no example that calls it")


def _arguments(function: Function, node: ast.Call) -> tuple[Any, ...]:
    values = [ast.literal_eval(value) for value in node.args]
    named = {keyword.arg: ast.literal_eval(keyword.value) for keyword in node.keywords}
    for parameter in function.parameters[len(values) :]:
        if not named:
            break
        values.append(named.pop(parameter.name, parameter.default))
    return tuple(values)


def sheet_example(function: Function) -> str:
    """Write the first example of a docstring as a formula, lists and grids as constants."""
    values = example_call(function)
    return f"={function.sheet_name}({','.join(map(_constant, values))})"


def _constant(value: Any) -> str:
    if isinstance(value, (list, tuple)):
        rows = list(value)
        if rows and isinstance(rows[0], (list, tuple)):
            # Cells show a grid with its first row at the bottom.
            return "{" + ";".join(",".join(map(_scalar, row)) for row in reversed(rows)) + "}"
        return "{" + ";".join(map(_scalar, rows)) + "}"
    return _scalar(value)


def _scalar(value: Any) -> str:
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, str):
        return '"' + value.replace('"', '""') + '"'
    if value is None:
        return ""
    return repr(value)
