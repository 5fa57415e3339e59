"""Write the tables of a planner, calculated, each to a CSV file that a spreadsheet opens safely.

The files, where there is anything to write: settings, yarns, plan, plan-yarn, batch, kits, kit-recipes,
shopping-to-buy (to buy, by yarn), shopping-needs (other projects), records, problems, plan-in-short. What
stands on Cloth, Draft, Weaving order and Solved is not written.

Text that begins with =, +, - or @ gets an apostrophe before it, so that it cannot become a formula. The
planner is only read.

The exit status is 0 when every table was written as calculated, 1 when a formula could not be calculated (the
files then hold what the planner had stored), and 2 when the planner cannot be read or a file not be written.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from weavefuncs.addin.cli.upgrade import print_notes, tell

if TYPE_CHECKING:
    import argparse

NOT_CALCULATED = 1


def declare(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.add_argument("planner", metavar="PLANNER", help="the planner, .xlsx or .xlsm")
    parser.add_argument(
        "folder", metavar="FOLDER", help="where the files go; files of these names are replaced"
    )


def run(given: argparse.Namespace) -> int:
    """Write the files and print which."""
    # Only now, so that help is given where pandas is missing.
    from weavefuncs.workbooks.exchange import export_tables

    written, uncalculated = export_tables(given.planner, given.folder, tell)
    for path, lines in written:
        print(f"wrote {path}, {lines} {'line' if lines == 1 else 'lines'}")
    if uncalculated:
        print("Not calculated")
        print_notes(uncalculated)
    return NOT_CALCULATED if uncalculated else 0
