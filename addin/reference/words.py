"""What the registry knows about a function, in words: for pages and for the command line."""

from __future__ import annotations

from weavefuncs._parameters import UNIT_KINDS
from weavefuncs.shared.sources import SOURCES

# A function wizard cuts a description there.
LONGEST_HELP = 255

TYPE_CHECKING = False
if TYPE_CHECKING:
    from weavefuncs._parameters import Parameter
    from weavefuncs.registry import Function

MODULES = {
    "yarn": "Yarn",
    "sett": "Sett",
    "reed": "Reed",
    "warp": "Warp, take-up and amounts",
    "weave": "Weave",
    "draft": "Draft",
    "chevron": "Chevron",
    "cloth": "Cloth",
    "costing": "Costing",
    "stash": "Stash",
    "piece": "Whole piece",
    "records": "Records",
    "explain": "Any function",
}

# Kinds that would not be understood by their names.
PLAIN = {
    "any": "text or number",
    "fraction": "fraction (10 % is 0.10)",
    "logical": "true or false",
    "reversals": "text",
    "whole": "whole number",
    "yarn text": "yarn",
}


def python_call(function: Function) -> str:
    """Write how a function is called, such as ``ends(width, sett, repeat=1)``."""
    words = [
        parameter.name if parameter.required else f"{parameter.name}={_literal(parameter.default)}"
        for parameter in function.parameters
    ]
    if function.variadic:
        words.append("*arguments")
    return f"{function.name}({', '.join(words)})"


def _literal(value: object) -> str:
    return f'"{value}"' if isinstance(value, str) else repr(value)


def what_it_takes(parameter: Parameter) -> str:
    """Write the kind, unit and range of an argument, such as ``number [cm], above 0``."""
    parts = [_kind(parameter.kind, parameter.choices)]
    if parameter.unit:
        parts[0] += f" [{parameter.unit}]"
    if parameter.bounds is not None and parameter.bounds.words():
        parts.append(parameter.bounds.words())
    return ", ".join(parts)


def default_of(parameter: Parameter) -> str:
    """Write the default of an argument that may be left out."""
    if parameter.default == "":
        return "blank"
    return parameter.default if isinstance(parameter.default, str) else repr(parameter.default)


def help_of(parameter: Parameter) -> str:
    """Write the help for an argument: what it means, what it takes, what it is when left out."""
    takes = what_it_takes(parameter)
    left_out = ""
    if not parameter.required:
        default = default_of(parameter)
        left_out = " May be left out." if default == "blank" else f" When left out: {default}."
    return f"{parameter.description} {takes[:1].upper()}{takes[1:]}.{left_out}"


def help_of_rest(function: Function) -> str:
    """Write the help for the argument that stands for any number of them."""
    return f"{function.docstring.parameters[-1].description} May be left out."


def cut(text: str) -> str:
    """Cut a text to what a function wizard shows, between two words."""
    if len(text) <= LONGEST_HELP:
        return text
    return text[: LONGEST_HELP - 3].rpartition(" ")[0] + "..."


def what_it_gives(function: Function) -> str:
    """Write the kind, unit and meaning of the result."""
    result = function.docstring.returns[0]
    unit = f" [{result.unit}]" if result.unit else ""
    return f"{_kind(result.kind, [])}{unit}: {result.description}"


def section(function: Function, name: str) -> str:
    """Return a section of the docstring, its lines as they stand."""
    return "\n".join(function.docstring.sections.get(name, [])).strip("\n")


def sources(function: Function) -> dict[str, str]:
    """Return the sources that a function cites: key to title."""
    text = section(function, "References")
    keys = [part.partition("]")[0] for part in text.split("[")[1:]]
    return {key: SOURCES[key] for key in keys}


def _kind(kind: str, choices: list[str]) -> str:
    choices = choices or list(UNIT_KINDS.get(kind, ()))
    if choices:
        return "one of " + ", ".join(choices)
    return PLAIN.get(kind, kind).replace("wholes", "whole numbers")
