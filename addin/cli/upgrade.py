"""Move a planner that you filled in into the newest template; the old file is only read.

Every entry is moved, and the new planner is read again to see that each has arrived. What is not moved is
listed by sheet and cell: sheets, charts, pictures, remarks and formulas of your own, texts that you changed,
entries that do not fit. Widths, colours and other looks are those of the new template.

The exit status is 0 when everything was moved, 1 when something is listed as not moved (the new planner is
written all the same), and 2 when there is no new planner.
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from weavefuncs.addin.told import plain
from weavefuncs.workbooks.upgrade import Moved, upgrade

if TYPE_CHECKING:
    import argparse

    from weavefuncs.addin.offline import CellNote

NOT_ALL = 1


def declare(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.add_argument("old", metavar="OLD", help="the planner that you filled in, .xlsx or .xlsm")
    parser.add_argument("new", metavar="NEW", help="the planner to write, .xlsx; it must not exist yet")


def run(given: argparse.Namespace) -> int:
    """Move it and print what came of it."""
    moved = upgrade(given.old, given.new, tell)
    print_moved(moved)
    print(f"wrote {given.new}, and left {given.old} as it was")
    return NOT_ALL if moved.left else 0


def tell(line: str) -> None:
    """Print how far the work is, apart from its results."""
    print(line, file=sys.stderr, flush=True)


def print_moved(moved: Moved) -> None:
    """Print what was moved, and what was not."""
    print("Moved, entries by sheet")
    width = max(map(len, moved.counts), default=0)
    for sheet, count in moved.counts.items():
        print(f"  {sheet:<{width}}  {count}")
    if not moved.counts:
        print("  none: nothing is filled in")
    if moved.changed:
        print("\nMoved, but not as it stood")
        print_notes(moved.changed)
    if moved.left:
        print("\nNot moved: see to it by hand")
        print_notes(moved.left)
    if moved.new_questions:
        print("\nNew questions, blank or with their usual answer")
        asked: dict[str, list[str]] = {}
        for question in moved.new_questions:
            asked.setdefault(question.path[0].capitalize(), []).append(question.label)
        for sheet, labels in asked.items():
            print(f"  {sheet}: {', '.join(dict.fromkeys(labels))}")
    print()


def print_notes(notes: tuple[CellNote, ...]) -> None:
    """Print notes, each with the place it is about."""
    for note in notes:
        place = "!".join(part for part in (note.sheet, note.cell) if part)
        print(plain(f"  {place}: {note.text}" if place else f"  {note.text}"))
