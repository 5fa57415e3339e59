"""Put a list of yarns, CSV or .xlsx with named columns, into a planner; it is written as a new planner.

The old planner and the list are only read. A yarn whose name stands on Yarns already, or twice in the list,
is not put in a second time: it is listed, and so is every cell that cannot be used. Lengths become weights by
the count, because the planner works from what the scales say.

Headings that are read: name, count, fibre, colour, dye lot, weight, empty cone, full put-up, put-up length,
price, promised, length left, length free. A list needs the name, and a weight, length left or length free.
Capitals, spaces and hyphens do not matter. A unit stands in brackets: weight (g), length left (yd). Without
one, a weight or length is in the unit that the planner is set to on Settings, and a line says so.

The exit status is 0 when everything was put in and moved, 1 when something is listed as left out (the new
planner is written all the same), and 2 when there is no new planner.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from weavefuncs.addin.cli.upgrade import NOT_ALL, print_moved, tell
from weavefuncs.addin.told import plain, problem_lines
from weavefuncs.errors import WeaveError

if TYPE_CHECKING:
    import argparse


# Where an argument of the reader has another name in this command.
OPTIONS = {"path": "LIST", "sheet": "--sheet"}


def declare(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.add_argument("list", metavar="LIST", help="the yarns, .csv or .xlsx")
    parser.add_argument("old", metavar="OLD", help="the planner, .xlsx or .xlsm")
    parser.add_argument("new", metavar="NEW", help="the planner to write, .xlsx; it must not exist yet")
    parser.add_argument(
        "--sheet", metavar="NAME", help="the sheet of the list; the first that fits otherwise"
    )


def run(given: argparse.Namespace) -> int:
    """Put them in and print what came of it."""
    # Only now, so that help is given where pandas is missing.
    from weavefuncs.workbooks.exchange import import_stash

    try:
        added, problems, without_unit, moved = import_stash(
            given.list, given.old, given.new, given.sheet, tell
        )
    except WeaveError as error:
        error.argument = OPTIONS.get(error.argument, error.argument)
        raise
    print_moved(moved)
    print(f"{added} {'yarn' if added == 1 else 'yarns'} of {given.list} put on Yarns")
    for unit, headings in without_unit.groupby("unit", sort=False)["heading"]:
        names = plain(", ".join(headings))
        print(f"  {names}: no unit in the heading, read as {unit}, the unit of the planner")
    for line in problem_lines(problems):
        print(f"  {line}")
    print(f"wrote {given.new}, and left {given.old} as it was")
    return NOT_ALL if moved.left or any(problems["effect"] != "told only") else 0
