"""List the functions by module, with their arguments and units; or explain one of them."""

from __future__ import annotations

import shutil
import textwrap
from typing import TYPE_CHECKING

from weavefuncs.addin.reference import words
from weavefuncs.addin.reference.examples import sheet_example
from weavefuncs.registry import CORE_MODULES, Function, declared, get

if TYPE_CHECKING:
    import argparse

WIDEST = 100


def declare(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.add_argument(
        "name", nargs="?", metavar="NAME", help="a function to explain, such as ends or WEAVE.ENDS"
    )


def run(given: argparse.Namespace) -> int:
    """Print the list, or the explanation."""
    if given.name is None:
        for module in CORE_MODULES:
            print(f"{words.MODULES[module]}\n")
            for function in declared(module).values():
                _print_short(function)
    else:
        _print_whole(get(given.name))
    return 0


def _print_short(function: Function) -> None:
    arguments = []
    for parameter in function.parameters:
        unit = f" [{parameter.unit}]" if parameter.unit else ""
        default = "" if parameter.required else f" = {words.default_of(parameter)}"
        arguments.append(f"{parameter.name}{unit}{default}")
    if function.variadic:
        arguments.append("...")
    _wrap(f"{function.name}({', '.join(arguments)})", 2, 6)
    _wrap(function.docstring.summary, 6)
    print()


def _print_whole(function: Function) -> None:
    print(f"{words.python_call(function)}\n{function.sheet_name}\n")
    _wrap(function.docstring.summary)
    print("\nArguments")
    for parameter in function.parameters:
        default = "" if parameter.required else f"; default {words.default_of(parameter)}"
        column = ", or a column of them" if parameter.column else ""
        _wrap(f"{parameter.name}: {words.what_it_takes(parameter)}{column}{default}", 2, 6)
        _wrap(parameter.description, 6)
    if function.variadic:
        _wrap(f"...: {function.docstring.parameters[-1].description}", 2, 6)
    print("\nGives")
    _wrap(words.what_it_gives(function), 2)
    print("\nNotes")
    for paragraph in words.section(function, "Notes").split("\n\n"):
        _wrap(" ".join(paragraph.split()), 2)
    print("\nExample")
    print(textwrap.indent(words.section(function, "Examples"), "  "))
    print(f"  in a cell: {sheet_example(function)}")
    print("\nSource")
    _wrap(" ".join(words.section(function, "References").split()), 2)
    for key, title in words.sources(function).items():
        _wrap(f"{key}: {title}", 2, 6)


def _wrap(text: str, indent: int = 0, further: int | None = None) -> None:
    width = min(WIDEST, shutil.get_terminal_size((WIDEST, 24)).columns)
    print(
        textwrap.fill(
            text,
            max(width, 40),
            initial_indent=" " * indent,
            subsequent_indent=" " * (indent if further is None else further),
            break_on_hyphens=False,
        )
    )
