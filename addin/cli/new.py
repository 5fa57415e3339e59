"""Write a planner workbook, calculated: a blank one, or one filled with an example."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

from weavefuncs.addin.cli.planner import print_report
from weavefuncs.workbooks import EXAMPLES, TARGETS, ending_for, write_planner

if TYPE_CHECKING:
    import argparse

REFUSED = 2


def declare(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.add_argument("out", metavar="OUT", help="the workbook to write: .xlsx, or .ods for calc")
    parser.add_argument("--example", choices=tuple(EXAMPLES), help="fill it with an example")
    parser.add_argument(
        "--for",
        dest="target",
        choices=TARGETS,
        default="calc",
        help="the program it is for, because each spells the functions in its own way: calc (LibreOffice), "
        "excel (Excel on Windows, see addin install excel), office (Excel on a Mac or the web, see addin "
        "build web); %(default)s when not given",
    )
    parser.add_argument("--force", action="store_true", help="replace an existing file")


def run(given: argparse.Namespace) -> int:
    """Write the workbook and print its plan."""
    refusal = _refusal(given.out, given.target, given.force)
    if refusal:
        print(f"weavefuncs new: {refusal}", file=sys.stderr)
        return REFUSED
    report = write_planner(given.out, example=given.example, target=given.target)
    print_report(report, fresh=True)
    print(f"wrote {given.out}")
    return 1 if report.uncalculated else 0


def _refusal(path: str, target: str, force: bool) -> str:
    try:
        ending_for(path, target)
    except ValueError as refusal:
        return str(refusal)
    if os.path.isdir(path):
        return f"{path}: is a folder"
    if os.path.exists(path) and not force:
        return f"{path}: is there already; --force replaces it"
    return ""
