"""A planner filled in by its user, moved into the newest template."""

from __future__ import annotations

import os
import stat
import tempfile
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from weavefuncs.addin.offline.files import create_file, full_path, there_already
from weavefuncs.addin.offline.problems import WorkbookProblem
from weavefuncs.addin.offline.recalc import CellNote, Report, recalculate
from weavefuncs.workbooks.inputs import Inputs, Question, read_inputs
from weavefuncs.workbooks.leftovers import leftovers
from weavefuncs.workbooks.planner import build


@dataclass(frozen=True)
class Moved:
    """What came of moving a planner."""

    file: Path
    old: Inputs
    counts: Counter[str]
    """Entries moved, by the sheet that they came from."""
    changed: tuple[CellNote, ...]
    """What was moved in another form than it had."""
    left: tuple[CellNote, ...]
    """What was not moved."""
    new_questions: tuple[Question, ...]
    """What the new planner asks and the old one did not."""
    report: Report
    """The calculation of the new planner."""


def upgrade(
    old: str | os.PathLike[str], new: str | os.PathLike[str], tell: Callable[[str], None] = lambda _: None
) -> Moved:
    """Move what a user filled in into a planner made from the newest template.

    Parameters
    ----------
    old : str or path
        The planner, .xlsx or .xlsm. It is only read.
    new : str or path
        The .xlsx to write. It must not exist, and appears only when it is whole.
    tell : callable, optional
        Takes a line on how far the work is.

    Returns
    -------
    Moved
        What was moved, and what was not.

    Raises
    ------
    WorkbookProblem
        The old planner cannot be read or the new one not written; then there is no new one.
    """
    goal = new_file(new)
    tell(f"reading {os.path.basename(old)}")
    inputs = read_inputs(old)
    return _moved(inputs, inputs.filled, goal, tell)


def refill(
    inputs: Inputs,
    filled: dict[str, Any],
    new: str | os.PathLike[str],
    tell: Callable[[str], None] = lambda _: None,
) -> Moved:
    """Write a planner with other answers than were read, and tell what else of the old one it lacks."""
    return _moved(inputs, filled, new_file(new), tell)


def new_file(path: str | os.PathLike[str]) -> Path:
    """Return the path of a planner to write; refuse one that is there, or no .xlsx."""
    goal = full_path(path)
    if os.path.lexists(path):
        raise there_already(goal)
    if goal.suffix.lower() != ".xlsx":
        then = " Calc opens it, and can save it as .ods." if goal.suffix.lower() == ".ods" else ""
        raise WorkbookProblem(f"{goal.name}: the name of the new planner must end in .xlsx.{then}")
    if not goal.parent.is_dir():
        raise WorkbookProblem(f"There is no folder {goal.parent}.")
    return goal


def _moved(inputs: Inputs, filled: dict[str, Any], goal: Path, tell: Callable[[str], None]) -> Moved:
    with tempfile.TemporaryDirectory(prefix="weavefuncs-") as folder:
        draft = Path(folder) / goal.name
        tell("writing the new planner")
        build(str(draft), filled, inputs.target)
        tell("calculating it")
        report = recalculate(draft)
        tell("comparing the two")
        arrived = read_inputs(draft)
        # Only a formula that the user typed can be one that is not calculated here.
        not_calculated = [
            CellNote(note.sheet, note.cell, f"it is in the new planner, not calculated: {note.text}")
            for note in report.uncalculated
        ]
        left = [*inputs.unread, *leftovers(inputs, arrived), *not_calculated]
        # Who may not read the old planner may not read the new one.
        create_file(goal, draft.read_bytes(), inputs.mode | stat.S_IWUSR)
    counts = Counter(key[0] for key, (_, value) in inputs.cells.items() if value is not None)
    return Moved(goal, inputs, counts, tuple(inputs.notes), tuple(left), tuple(inputs.unasked), report)
