"""Yarn of the stash given to the projects on Shopping, dye lot by dye lot."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pandas as pd

from weavefuncs.addin.offline.recalc import Report
from weavefuncs.tables import allocate_stash
from weavefuncs.tables._cells import TOLD
from weavefuncs.workbooks._answer_page import AnswerPage, many
from weavefuncs.workbooks.frames import Frames


class StashAnswer:
    """Which yarn goes to which project.

    Attributes
    ----------
    sentences : list of str
        The answer in short.
    problems : DataFrame
        What is wrong with cells, beside what the planner's tables already told.
    """

    def __init__(
        self, frames: Frames, yarns: pd.DataFrame, report: Report, seconds: float, tell: Callable[[str], None]
    ) -> None:
        self._frames, self._report = frames, report
        self._unit, self._currency = frames.units.long, frames.currency
        self._taken_elsewhere = False
        self._plan = allocate_stash(
            self._free(yarns),
            frames.needs(),
            unit=self._unit,
            seconds=seconds,
            progress=tell,
            yarns_sheet=frames.sheet("YarnNames"),
            needs_sheet=frames.sheet("NeedYarns"),
        )
        self.problems = self._plan.problems
        self.sentences = self._sentences()

    def write(self, page: AnswerPage) -> None:
        """Write the answer."""
        page.band("Yarn for each project")
        for number, sentence in enumerate(self.sentences):
            page.sentence(sentence, "plain" if number else "strong")
        if len(self._plan.allocation):
            page.gap()
            page.table(
                [
                    ("Project", "text"),
                    ("Yarn to take", "text"),
                    ("Colour", "text"),
                    ("Dye lot", "text"),
                    (f"Length ({self._unit})", "one"),
                    ("Whole put-ups", "whole"),
                    (f"Cut off ({self._unit})", "one"),
                ],
                [
                    [
                        of.piece,
                        of.put_up,
                        of.colour,
                        of.lot,
                        of.length,
                        of.whole_put_ups or None,
                        of.cut or None,
                    ]
                    for of in self._plan.allocation.itertuples(index=False)
                ],
            )
        promised = self._plan.put_ups[self._plan.put_ups["promised"] > 0]
        if len(promised):
            page.gap()
            page.table(
                [
                    ("Yarn", "text"),
                    ("Count", "text"),
                    ("Colour", "text"),
                    ("Dye lot", "text"),
                    (f"Free before ({self._unit})", "one"),
                    (f"Given out ({self._unit})", "one"),
                    (f"Left ({self._unit})", "one"),
                    ("Put-ups cut into", "whole"),
                ],
                [
                    [of.name, of.yarn, of.colour, of.lot, of.length, of.promised, of.left, of.broken or None]
                    for of in promised.itertuples(index=False)
                ],
            )
        self._write_short(page)

    def _write_short(self, page: AnswerPage) -> None:
        if not len(self._plan.shortages):
            return
        page.band("Short, and to buy for these projects")
        for sentence in self._plan.shortages["sentence"]:
            page.sentence(sentence)
        page.gap()
        page.table(
            [
                ("Yarn", "text"),
                ("For", "text"),
                ("Count", "text"),
                ("Colour", "text"),
                (f"Length ({self._unit})", "one"),
                ("Put-ups", "whole"),
                (f"Left over ({self._unit})", "one"),
                ("Cost" + (f" ({self._currency})" if self._currency else ""), "two"),
            ],
            [
                [of.name, of.pieces, of.yarn, of.colour, of.length, of.put_ups, of.left_over, of.cost]
                for of in self._plan.bought.astype({"put_ups": "float64"}).itertuples(index=False)
            ],
        )

    def _free(self, yarns: pd.DataFrame) -> pd.DataFrame:
        """Return the yarns without what Plan, Batch and Kits take, as Shopping counts them."""
        elsewhere = []
        for row in yarns["row"]:
            taken = self._taken(int(row))
            if taken is None:
                text = (
                    "what Plan, Batch and Kits take of it is in error on Shopping: all of it counts as free"
                )
                self._frames.problems.add(self._frames.sheet("YarnNames"), int(row), "name", text, TOLD)
            elsewhere.append(taken or 0.0)
        self._taken_elsewhere = any(elsewhere)
        free: pd.DataFrame = yarns.assign(length=(yarns["length"] - elsewhere).clip(lower=0.0))
        return free

    def _taken(self, row: int) -> float | None:
        line = row - self._frames.inputs.areas["YarnNames"][1]
        needed, projects = (self._value(name, line) for name in ("ShopNeeded", "ShopProjects"))
        if not isinstance(needed, float) or not isinstance(projects, float):
            return None
        # Sums that cancel leave dust.
        return max(round(needed - projects, 9), 0.0)

    def _value(self, name: str, line: int) -> Any:
        try:
            return self._report.name_values(name)[line][0]
        except (KeyError, IndexError):
            return None

    def _sentences(self) -> list[str]:
        plan = self._plan
        wanted = {(of.row, of.piece) for of in plan.allocation.itertuples(index=False)}
        short = {(of.row, of.piece) for of in plan.shortages.itertuples(index=False)}
        every = len(wanted | short)
        if not every:
            return ["No line of Shopping can be used: see below why."]
        buy = f"{plan.length_bought:.0f} {self._unit}" if len(plan.bought) else "nothing"
        covered = f"{every - len(short)} of {many(every, 'need')}"
        sentences = [f"{covered} covered by the stash, {many(plan.broken, 'put-up')} cut into, {buy} to buy."]
        by_name = self._short_by_name()
        if by_name > len(short):
            sentences.append(
                f"Each taking the yarn that it names, in the order of Shopping, {by_name} would be short."
            )
        if self._taken_elsewhere:
            sentences.append(
                "What Plan, Batch and Kits take, as far as Shopping counts them, was set aside first."
            )
        if plan.proven:
            sentences.append(
                "No other way buys less, and none that buys as little cuts into fewer put-ups: "
                "that is proven."
            )
        else:
            sentences.append(
                f"Another way may be better, by no more than {plan.gap:.2%}: the time was up before more "
                "was proven."
            )
        return sentences

    def _short_by_name(self) -> int:
        """Count the lines of Shopping that are short where each takes the yarn it names."""
        try:
            values = self._report.name_values("NeedShort")
        except KeyError:
            return 0
        return sum(isinstance(value, float) and value > 0 for (value,) in values)
