"""What the page and Excel are told of the functions, from the registry."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from weavefuncs._parameters import UNIT_KINDS
from weavefuncs.addin.reference import words
from weavefuncs.addin.reference.examples import sheet_example
from weavefuncs.registry import get, names

if TYPE_CHECKING:
    from weavefuncs._parameters import Parameter
    from weavefuncs.registry import Function

NAMESPACE = "WEAVE"

# The argument that stands for any number of them.
REST = "arguments"


def catalogue() -> list[dict[str, Any]]:
    """Return what the page's forms are made of: an entry a function."""
    return [_entry(get(name)) for name in names()]


def _entry(function: Function) -> dict[str, Any]:
    return {
        "name": function.sheet_name,
        "python": function.name,
        "group": words.MODULES[function.module],
        "summary": function.docstring.summary,
        "returns": words.what_it_gives(function),
        "example": sheet_example(function),
        "repeats": function.variadic,
        "args": list(map(_argument, function.parameters)),
    }


def _argument(parameter: Parameter) -> dict[str, Any]:
    return {
        "name": parameter.name,
        "words": parameter.name.replace("_", " "),
        "help": parameter.description,
        "kind": parameter.kind,
        "unit": parameter.unit,
        "required": parameter.required,
        "default": "" if parameter.required else _in_cell(parameter.default),
        "choices": list(parameter.choices or UNIT_KINDS.get(parameter.kind, {})),
        "list": parameter.is_list,
        "grid": parameter.kind == "grid",
    }


def _in_cell(value: object) -> str:
    """Write a default as a cell shows it."""
    return str(value).upper() if isinstance(value, bool) else "" if value is None else str(value)


def metadata() -> dict[str, Any]:
    """Return the metadata of the custom functions, as Excel reads it.

    Every argument takes any cells, errors among them, as rows of cells: what they mean is for the adapter to
    say. Source: "Manually create JSON metadata for custom functions", Microsoft's documentation.
    """
    return {
        "allowErrorForDataTypeAny": True,
        "functions": [_registered(get(name)) for name in names()],
    }


def _registered(function: Function) -> dict[str, Any]:
    name = function.sheet_name.removeprefix(f"{NAMESPACE}.")
    arguments = [
        _taken(parameter.name, words.help_of(parameter), optional=not parameter.required)
        for parameter in function.parameters
    ]
    if function.variadic:
        arguments.append(_taken(REST, words.help_of_rest(function), repeating=True))
    return {
        "id": name,
        "name": name,
        "description": words.cut(function.docstring.summary),
        "parameters": arguments,
        "result": {"type": "any", "dimensionality": "matrix"},
    }


def _taken(name: str, text: str, **more: bool) -> dict[str, Any]:
    given = {key: value for key, value in more.items() if value}
    return {"name": name, "description": words.cut(text), "type": "any", "dimensionality": "matrix", **given}
