"""Recalculate a workbook without a spreadsheet program: only the values of its formulas change in the file.

The exit status is 0 when every formula was calculated, 1 when one could not be, and 2 when the file cannot be
read or written.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from weavefuncs.addin.cli.planner import print_report
from weavefuncs.addin.offline import recalculate

if TYPE_CHECKING:
    import argparse


def declare(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.add_argument("file", metavar="FILE", help="the workbook, .xlsx or .xlsm")
    parser.add_argument("--out", metavar="FILE", help="write a copy and leave the workbook as it is")
    parser.add_argument("--check", action="store_true", help="calculate and report, write nothing")


def run(given: argparse.Namespace) -> int:
    """Recalculate and print the report."""
    report = recalculate(given.file, out=given.out, check=given.check)
    print_report(report)
    if not given.check:
        wrote = given.out or report.changed
        left = f"{given.file} is left as it is: every value stands already"
        print(f"wrote {given.out or given.file}" if wrote else left)
    return 1 if report.uncalculated else 0
