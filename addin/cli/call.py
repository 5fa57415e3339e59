"""Call a function with arguments as cells hold them, and print what it gives."""

from __future__ import annotations

import argparse
import sys

from weavefuncs.addin.cells import CellError, evaluate, reason
from weavefuncs.addin.cli.typed import HOW_TO_TYPE, read, shown
from weavefuncs.registry import get

REFUSED = 2


def declare(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.add_argument("name", metavar="NAME", help="the function, such as ends or WEAVE.ENDS")
    parser.add_argument("arguments", nargs=argparse.REMAINDER, metavar="ARGUMENT", help="see below")
    parser.epilog = HOW_TO_TYPE + (
        "\na grid is printed a line a row, from pick 1 on; where a function refuses an argument, the reason\n"
        "is printed as an error and the exit status is 2.\n"
    )


def run(given: argparse.Namespace) -> int:
    """Print the result, or the reason why there is none."""
    function = get(given.name)
    cells = read(function.parameters, given.arguments)
    result = evaluate(function.sheet_name, cells)
    rows = result if isinstance(result, list) else [[result]]
    if any(isinstance(value, CellError) for row in rows for value in row):
        print(reason([function.sheet_name, *cells]), file=sys.stderr)
        return REFUSED
    print(shown(result, function.result_kind))
    return 0
