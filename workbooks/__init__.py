"""The planning workbook, built by code: one module a sheet, and the built templates."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from weavefuncs.workbooks.book import SPELLINGS
from weavefuncs.workbooks.examples import EXAMPLES

if TYPE_CHECKING:
    from weavefuncs.addin.offline import Report

TARGETS = tuple(SPELLINGS)

# Formats that a planner is written in. In the second one it is for Calc alone.
ENDINGS = (".xlsx", ".ods")

__all__ = ["EXAMPLES", "TARGETS", "ending_for", "template", "write_planner"]


def template(example: str | None, ending: str = ".ods") -> str:
    """Return the name of the built planner for Calc that is committed: blank, or filled with an example."""
    return (f"example-{example}" if example else "planner-calc") + ending


def ending_for(path: str | os.PathLike[str], target: str) -> str:
    """Return the ending of a planner's name when a planner for that program can be written in that format.

    Raises
    ------
    ValueError
        When there is no such target, the name has another ending, or the target does not read that format.
    """
    if target not in TARGETS:
        raise ValueError(f"there is no target {target!r}: choose one of {', '.join(TARGETS)}")
    name = os.fspath(path).lower()
    if name.endswith(".ods") and target != "calc":
        raise ValueError(
            f"{path}: an .ods workbook is for calc only; for {target} its name must end in .xlsx"
        )
    for ending in ENDINGS:
        if name.endswith(ending):
            return ending
    raise ValueError(f"{path}: the name of the workbook must end in {' or '.join(ENDINGS)}")


def write_planner(path: str | os.PathLike[str], example: str | None = None, target: str = "calc") -> Report:
    """Write a planner, calculated.

    Parameters
    ----------
    path : str or path
        The .xlsx or .ods file to write. It appears only when it is whole.
    example : str, optional
        Name of a filled example; a blank planner without it.
    target : str, default "calc"
        The program whose spelling of the functions is written: calc, excel or office.

    Returns
    -------
    Report
        What the calculation found; its file is the draft that was copied to ``path``, or for an .ods the
        same planner as .xlsx.

    Raises
    ------
    ValueError
        When there is no such example or target, or an .ods is wanted for another program than Calc.
    WorkbookProblem
        When the file cannot be written; then it is as it was.
    """
    from weavefuncs.addin.offline import WorkbookProblem, recalculate
    from weavefuncs.addin.offline.files import file_mode, full_path, refuse_unwritable, replace_file
    from weavefuncs.workbooks.planner import build

    goal = full_path(path)
    ending = ending_for(goal, target)
    if example is not None and example not in EXAMPLES:
        raise ValueError(f"there is no example {example!r}: choose one of {', '.join(EXAMPLES)}")
    if not goal.parent.is_dir():
        raise WorkbookProblem(f"There is no folder {goal.parent}.")
    refuse_unwritable(goal)
    with tempfile.TemporaryDirectory(prefix="weavefuncs-") as folder:
        draft = Path(folder) / "planner.xlsx"
        build(str(draft), EXAMPLES[example] if example else {}, target)
        report = recalculate(draft)
        if report.uncalculated:
            raise RuntimeError(f"the planner could not be calculated: {report.uncalculated[0]}")
        mode = file_mode(goal if goal.exists() else draft)
        if ending == ".ods":
            # Only Calc can write one, so it was written beforehand.
            draft = Path(__file__).with_name(template(example))
        replace_file(goal, draft.read_bytes(), mode, None)
        return report
