"""What no formula works out: lines of Batch put onto warps, and put-ups of the stash given to projects."""

from __future__ import annotations

import datetime
import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from weavefuncs.addin.offline.answer import answered, styles_of
from weavefuncs.addin.offline.files import (
    file_mode,
    full_path,
    read_file,
    refuse_unwritable,
    replace_file,
)
from weavefuncs.addin.offline.package import Package
from weavefuncs.addin.offline.problems import WorkbookProblem
from weavefuncs.addin.offline.recalc import Report, recalculate
from weavefuncs.addin.offline.workbook import Sheet, read_workbook
from weavefuncs.addin.told import problem_lines
from weavefuncs.workbooks import solved
from weavefuncs.workbooks._answer_page import AnswerPage, many
from weavefuncs.workbooks._solve_stash import StashAnswer
from weavefuncs.workbooks._solve_warps import WarpAnswer
from weavefuncs.workbooks.frames import Frames
from weavefuncs.workbooks.inputs import read_inputs

if TYPE_CHECKING:
    import pandas as pd

Tell = Callable[[str], None]


@dataclass(frozen=True)
class Solution:
    """What was solved.

    Attributes
    ----------
    file : Path
        The planner.
    sentences : tuple of str
        The answer in short.
    problems : DataFrame
        One row a cell that is wrong: sheet, row, column, problem, and its effect.
    """

    file: Path
    sentences: tuple[str, ...]
    problems: pd.DataFrame


def solve(path: str | os.PathLike[str], seconds: float = 20, tell: Tell = lambda _: None) -> Solution:
    """Solve the tables of a planner and write the answer into its sheet Solved, and nothing else.

    Parameters
    ----------
    path : str or path
        The planner, .xlsx or .xlsm.
    seconds : float, default 20
        Time that each of the two searches may take.
    tell : callable, optional
        Takes a line on how far the work is.

    Returns
    -------
    Solution
        The answer in short, and what is wrong with the tables.

    Raises
    ------
    WorkbookProblem
        The file cannot be read or written, is no planner or has no sheet Solved; nothing was changed.
    WeaveError
        A setting that the answer needs is blank or out of range; nothing was changed.
    """
    file = full_path(path)
    refuse_unwritable(file)
    data, stamp = read_file(file)
    mode = file_mode(file)
    package = Package(data, file.name)
    sheet = _sheet(read_workbook(package).sheets, file.name)
    tell(f"reading and calculating {file.name}")
    answer = _Answer(Frames(read_inputs(file)), recalculate(file, check=True), seconds, tell)
    page = answer.page(styles_of(sheet, solved.LOOKS_ROW), datetime.datetime.now())
    tell(f"writing the sheet {sheet.name}")
    content = answered(sheet, solved.FIRST, page.rows)
    replace_file(file, package.with_replaced({sheet.member: content}), mode, unchanged_since=stamp)
    return Solution(file, tuple(answer.sentences), answer.problems)


def _sheet(sheets: Sequence[Sheet], name: str) -> Sheet:
    sheet = next((sheet for sheet in sheets if sheet.name == solved.NAME), None)
    if sheet is None:
        raise WorkbookProblem(
            f"{name} has no sheet {solved.NAME} to write the answer into. Move the planner into the newest "
            f"template with  weavefuncs upgrade {name} NEW.xlsx  and solve that."
        )
    if set(solved.LOOKS) - set(styles_of(sheet, solved.LOOKS_ROW)):
        raise WorkbookProblem(
            f"The first row of the sheet {solved.NAME} was changed: its hidden cells say how the answer is "
            f"to look. Move the planner into the newest template with  weavefuncs upgrade {name} NEW.xlsx"
        )
    return sheet


class _Answer:
    """The answer for one planner."""

    def __init__(self, frames: Frames, report: Report, seconds: float, tell: Tell) -> None:
        self._frames = frames
        self._yarns = frames.yarns()
        batch, needs = frames.batch(), frames.needs()
        self._counts = {"Batch": len(batch), "Yarns": len(self._yarns), "Shopping": len(needs)}
        self._warps = WarpAnswer(frames, self._yarns, seconds, tell) if len(batch) else None
        self._stash = StashAnswer(frames, self._yarns, report, seconds, tell) if len(needs) else None
        self._parts = [part for part in (self._warps, self._stash) if part is not None]

    @property
    def sentences(self) -> list[str]:
        """The answer in short."""
        return [sentence for part in self._parts for sentence in part.sentences]

    @property
    def problems(self) -> pd.DataFrame:
        """What is wrong with the tables."""
        return self._frames.told(*(part.problems for part in self._parts))

    def page(self, looks: dict[str, int], now: datetime.datetime) -> AnswerPage:
        """Return the answer as the rows of its sheet."""
        page = AnswerPage(looks, solved.LAST + 1)
        counts = ", ".join(f"{many(count, 'line')} on {name}" for name, count in self._counts.items())
        # The name of a month would be in the computer's language.
        when = f"{now:%Y-%m-%d} at {now:%H:%M}"
        page.sentence(f"Solved on {when} from {counts}. What was changed since is not in it.", "quiet")
        for part, band, nothing in (
            (self._warps, "Warps to wind", "Batch is empty: there is nothing to put onto warps."),
            (
                self._stash,
                "Yarn for each project",
                "No other project is on Shopping: there is nothing to share out.",
            ),
        ):
            if part is not None:
                part.write(page)
            else:
                page.band(band)
                page.sentence(nothing)
        problems = self.problems
        if len(problems):
            page.band("What could not be used as it stands")
            for line in problem_lines(problems):
                page.sentence(line)
        return page
