"""Solve what no formula can, and write the answer into the sheet Solved of a planner; all else stays.

Which lines of Batch are wound as one warp, so that winding, threading and whole put-ups of yarn cost least;
and which yarn of which dye lot goes to which project on Shopping, so that nothing is promised twice. Save the
planner and close it first. A line that cannot be used is listed with its sheet, row and column, and the
others are solved without it.

The exit status is 0 when everything was solved, 1 when a line was left out, and 2 when nothing was written.
"""

from __future__ import annotations

import ctypes
import os
import sys
from contextlib import contextmanager
from typing import TYPE_CHECKING

from weavefuncs.addin.cli.typed import above_nothing
from weavefuncs.addin.cli.upgrade import tell
from weavefuncs.addin.told import problem_lines

if TYPE_CHECKING:
    import argparse
    from collections.abc import Iterator

LEFT_OUT, SOME_LEFT_OUT = "row left out", 1
NOTHING = "Batch has no orders and Shopping no projects: there was nothing to solve."


def declare(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.add_argument("file", metavar="FILE", help="the planner, .xlsx or .xlsm")
    parser.add_argument(
        "--seconds",
        type=above_nothing,
        default=20,
        metavar="N",
        help="how long each of the two searches may take (%(default)s); a longer one may prove more",
    )


def run(given: argparse.Namespace) -> int:
    """Solve, write and print the answer in short."""
    # Only now, so that help is given where pandas is missing.
    from weavefuncs.workbooks.solve import solve

    with _nothing_from_below():
        solution = solve(given.file, given.seconds, tell)
    for sentence in solution.sentences or (NOTHING,):
        print(sentence)
    if len(solution.problems):
        print("\nWhat could not be used as it stands")
        for line in problem_lines(solution.problems):
            print(f"  {line}")
    print(f"\nwrote the sheet Solved of {given.file}")
    return SOME_LEFT_OUT if (solution.problems["effect"] == LEFT_OUT).any() else 0


@contextmanager
def _nothing_from_below() -> Iterator[None]:
    """Keep what the solver's library now and then prints by itself, below Python, out of the answer."""
    c_library = ctypes.CDLL(None if os.name == "posix" else "ucrtbase")
    sys.stdout.flush()
    standard_output = os.dup(1)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.close(nowhere)
    try:
        yield
    finally:
        # What it still holds back would else come out at the end.
        c_library.fflush(None)
        os.dup2(standard_output, 1)
        os.close(standard_output)
