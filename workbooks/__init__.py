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

__all__ = ["EXAMPLES", "TARGETS", "write_planner"]


def write_planner(path: str | os.PathLike[str], example: str | None = None, target: str = "calc") -> Report:
    """Write a planner, calculated.

    Parameters
    ----------
    path : str or path
        The .xlsx file to write. It appears only when it is whole.
    example : str, optional
        Name of a filled example; a blank planner without it.
    target : str, default "calc"
        The program whose spelling of the functions is written: calc, excel or office.

    Returns
    -------
    Report
        What the calculation found; its file is the draft that was moved to ``path``.

    Raises
    ------
    ValueError
        When there is no such example or target.
    """
    from weavefuncs.addin.offline import recalculate
    from weavefuncs.workbooks.planner import build

    if example is not None and example not in EXAMPLES:
        raise ValueError(f"there is no example {example!r}: choose one of {', '.join(EXAMPLES)}")
    if target not in TARGETS:
        raise ValueError(f"there is no target {target!r}: choose one of {', '.join(TARGETS)}")
    goal = Path(path)
    with tempfile.TemporaryDirectory(dir=goal.parent, prefix=".weavefuncs-") as folder:
        draft = Path(folder) / "planner.xlsx"
        build(str(draft), EXAMPLES[example] if example else {}, target)
        report = recalculate(draft)
        if report.uncalculated:
            raise RuntimeError(f"the planner could not be calculated: {report.uncalculated[0]}")
        os.replace(draft, goal)
        return report
