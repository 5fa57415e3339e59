"""Lines of Batch put onto warps: the plan that costs least, held against the obvious ones.

Lengths of yarn are those used, as on Batch; what is bought and paid for has the allowance on Settings, as on
Batch and Shopping.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from typing import Any

import numpy as np
import pandas as pd

import weavefuncs as wf
from weavefuncs.errors import WeaveError
from weavefuncs.tables import group_onto_warps
from weavefuncs.tables._cells import LEFT_OUT, TOLD, Problems, Sheet, as_text, same_name
from weavefuncs.tables._settings import argument
from weavefuncs.tables._warp_prices import Prices, Purchase
from weavefuncs.tables._yarns import Yarns
from weavefuncs.tables.warps import SETT_DIGITS
from weavefuncs.workbooks._answer_page import AnswerPage, many
from weavefuncs.workbooks.frames import Frames

# Where Settings leaves the longest warp blank, any length will do.
NO_LIMIT = 1e8

NUMBERS = {
    "pieces": ("warp_length", "pieces"),
    "width": ("width_in_reed", "finished_width"),
    "length": ("length_to_weave", "finished_length"),
    "sett": ("ends", "sett"),
}
LOOM = (
    "take_up", "waste", "between", "ends_wound_an_hour", "ends_threaded_an_hour", "wage", "overhead",
    "spread", "risk",
)  # fmt: skip

# A warp that is longer than the loom holds by no more than this share is as long.
DUST = 1e-9

OnWarp = dict[int, int]
"""How many pieces of each line, by its row, lie on one warp."""


class WarpAnswer:
    """The warps for all lines of Batch.

    Attributes
    ----------
    sentences : list of str
        The answer in short.
    problems : DataFrame
        What is wrong with cells, beside what the planner's tables already told.
    """

    def __init__(
        self, frames: Frames, yarns: pd.DataFrame, seconds: float, tell: Callable[[str], None]
    ) -> None:
        settings = frames.settings
        self._loom = {name: settings[name] for name in (*LOOM, "per", "length_unit")}
        self._long = frames.units.small_in_long
        longest = frames.number("LongestWarp")
        self._loom["longest_warp"] = NO_LIMIT if longest is None else longest * self._long
        self._unit, self._currency = frames.units.long, frames.currency
        label = frames.sheet("YarnNames")
        # What is in doubt about a yarn is told where the warps are found.
        self._prices = Prices(Yarns(yarns, label, Problems()), label, Problems())
        self._lines = _lines(frames, settings, self._prices)
        self._plan = group_onto_warps(
            self._lines.drop(columns=["label", "hours"]),
            self._loom,
            yarns,
            seconds=seconds,
            progress=tell,
            pieces_sheet=frames.sheet("BatchProducts"),
            yarns_sheet=label,
        )
        told = self._plan.problems
        # Two lines of one product are no mistake here, and what is missing on Yarns was told by its row.
        self.problems = told[(told["column"] != "piece") & ~((told["row"] == 0) & (told["column"] == "name"))]
        self._at = {int(line["row"]): line for line in self._lines.to_dict("records")}
        placed = self._plan.pieces
        self._warps: list[OnWarp] = [
            dict(zip(of_warp["row"].astype(int), of_warp["quantity"].astype(int), strict=True))
            for _, of_warp in placed.groupby("warp")
        ]
        self.sentences = self._sentences() if self._warps else []

    def write(self, page: AnswerPage) -> None:
        """Write the plan."""
        page.band("Warps to wind")
        for number, sentence in enumerate(self.sentences):
            page.sentence(sentence, "plain" if number else "strong")
        if not self._warps:
            page.sentence("No line of Batch can be put onto a warp: see below why.")
            return
        page.gap()
        page.table(
            [
                ("Line on Batch", "text"),
                ("Warp yarn", "text"),
                ("Warp", "whole"),
                ("Row on Batch", "whole"),
                ("Pieces", "whole"),
                ("Ends", "whole"),
                (f"Length ({self._unit})", "two"),
                (f"Yarn used ({self._unit})", "one"),
                ("Winding, threading (hours)", "one"),
                ("Work, and yarn by length" + (f" ({self._currency})" if self._currency else ""), "two"),
            ],
            list(self._listed()),
        )
        page.gap()
        page.table(
            [
                ("Warp yarn in all", "text"),
                ("Colour", "text"),
                (f"Used ({self._unit})", "one"),
                (f"With allowance ({self._unit})", "one"),
                ("Put-ups", "whole"),
                (f"Left over ({self._unit})", "one"),
                (f"Cost ({self._currency})" if self._currency else "Cost", "two"),
            ],
            [
                [
                    yarn.name,
                    yarn.colour,
                    yarn.length,
                    yarn.with_allowance,
                    yarn.put_ups,
                    yarn.left_over,
                    yarn.cost,
                ]
                for yarn in self._plan.yarn.astype({"put_ups": "float64"}).itertuples(index=False)
            ],
        )
        page.sentence(
            "Put-ups and costs have the allowance on Settings. They leave out yarn in stock and weft of the "
            "same yarn: Shopping counts both.",
            "quiet",
        )

    def _listed(self) -> Iterable[list[Any]]:
        """Yield a line for each line of Batch on each warp; what a warp has once stands on its first line."""
        for on_warp, warp in zip(self._warps, self._plan.warps.to_dict("records"), strict=True):
            for number, (row, count) in enumerate(sorted(on_warp.items())):
                line = [self._at[row]["piece"], warp["warp_yarn"], warp["warp"], row, count]
                once = [
                    warp["ends"],
                    warp["length"] / self._long,
                    warp["yarn_length"],
                    warp["hours"],
                    warp["cost"],
                ]
                yield line + (once if number == 0 else [None] * len(once))

    def cost(self, warps: list[OnWarp]) -> float:
        """Return what warps cost: work, and whole put-ups of all their yarn with its allowance.

        Each line pays for its share of a warp in its own yarn, as on Batch.
        """
        loom = self._loom
        work = 0.0
        needs: dict[Purchase, float] = {}
        for on_warp in warps:
            pieces = sum(on_warp.values())
            for row, count in on_warp.items():
                line = self._at[row]
                work += count / pieces * line["hours"] * (loom["wage"] + loom["overhead"])
                purchase = self._prices.find(line["warp_yarn"], "")
                length = float(wf.warp_yarn(line["ends"], self._share(row, count, pieces))) / self._long
                needs[purchase] = needs.get(purchase, 0.0) + length
        allowance = self._loom["spread"], self._loom["risk"]
        return work + sum(
            purchase.cost(float(wf.yarn_to_buy(length, *allowance))) for purchase, length in needs.items()
        )

    def length(self, on_warp: OnWarp) -> float:
        """Return the length of a warp, in the short unit."""
        pieces = sum(on_warp.values())
        return sum(self._share(row, count, pieces) for row, count in on_warp.items())

    def _share(self, row: int, count: int, pieces: int) -> float:
        """Return the length of a warp that one line takes: what the warp has once is shared out by pieces."""
        loom = self._loom
        piece = float(wf.warp_length(self._at[row]["woven_length"], take_up=loom["take_up"]))
        once = loom["waste"] - loom["between"]
        return float(count * (piece + loom["between"]) + count / pieces * once)

    @property
    def line_by_line(self) -> list[OnWarp]:
        """The warps when no two lines share one: as few for each line as the loom holds."""
        warps: list[OnWarp] = []
        for row in self._at:
            left = sum(on_warp.get(row, 0) for on_warp in self._warps)
            while left:
                most = left
                while most > 1 and not self._fits({row: most}):
                    most -= 1
                warps.append({row: most})
                left -= most
        return warps

    @property
    def as_marked(self) -> list[OnWarp]:
        """The warps as they are marked under On warp; a line without a mark has one of its own."""
        warps: dict[str, OnWarp] = {}
        placed = {row for on_warp in self._warps for row in on_warp}
        for row, line in self._at.items():
            if row in placed:
                warps.setdefault(line["label"] or f"\0{row}", {})[row] = int(line["quantity"])
        return list(warps.values())

    def _fits(self, on_warp: OnWarp) -> bool:
        return self.length(on_warp) <= float(self._loom["longest_warp"]) * (1 + DUST)

    def _sentences(self) -> list[str]:
        pieces = sum(sum(on_warp.values()) for on_warp in self._warps)
        cost = self.cost(self._warps)
        lines = len({row for on_warp in self._warps for row in on_warp})
        alone, marked = self.line_by_line, self.as_marked
        sentences = [
            f"{many(pieces, 'piece')} of {many(lines, 'line')} on {many(len(self._warps), 'warp')}: "
            f"{self._money(cost)} for whole put-ups of warp yarn, winding and threading."
        ]
        if len(self._warps) < lines or len(alone) != len(self._warps):
            sentences.append(
                f"A warp for each line: {many(len(alone), 'warp')}, {self._money(self.cost(alone))}. "
                + self._against(self.cost(alone) - cost)
            )
        if any(line["label"] for line in self._at.values()):
            sentences.append(self._held_against_marks(marked, cost))
        if self._plan.proven:
            sentences.append("No other way to share warps costs less: that is proven.")
        else:
            sentences.append(
                f"Another way may cost less, but by no more than {self._plan.gap:.2%}: the time was up "
                "before more was proven."
            )
        return sentences

    def _held_against_marks(self, marked: list[OnWarp], cost: float) -> str:
        text = f"As marked under On warp: {many(len(marked), 'warp')}, {self._money(self.cost(marked))}. "
        unlike = sum(len({self._dressing(self._at[row]) for row in on_warp}) > 1 for on_warp in marked)
        if unlike:
            return (
                text
                + f"But the lines of {many(unlike, 'mark')} differ in yarn, ends or sett and cannot share a "
                "warp."
            )
        long = sum(not self._fits(on_warp) for on_warp in marked)
        if long:
            return text + f"But {many(long, 'warp')} would be longer than the loom holds."
        return text + self._against(self.cost(marked) - cost)

    def _dressing(self, line: dict[Hashable, Any]) -> tuple[Any, ...]:
        """Return what lines must have in common to share a warp."""
        yarn = self._prices.label(line["warp_yarn"], "")
        return yarn, line["ends"], round(line["sett"], SETT_DIGITS)

    def _against(self, saved: float) -> str:
        if saved > 0.005:
            return f"The plan here saves {self._money(saved)}."
        return "That costs the same."

    def _money(self, amount: float) -> str:
        return f"{amount:.2f} {self._currency}".rstrip()


def _lines(frames: Frames, settings: dict[str, Any], prices: Prices) -> pd.DataFrame:
    """Return the lines of Batch as pieces to put onto warps; what cannot be used is told."""
    table = frames.batch()
    sheet = Sheet(table, frames.sheet("BatchProducts"), frames.problems, [*NUMBERS, "product", "warp_yarn"])
    numbers = {name: sheet.numbers(name, argument(*where)) for name, where in NUMBERS.items()}
    names, yarns = (sheet.names(name)[0] for name in ("product", "warp_yarn"))
    widest = frames.number("LoomWidth")
    lines = []
    for place in np.flatnonzero(sheet.good & (names >= 0) & (yarns >= 0)):
        at = {name: float(column[place]) for name, column in numbers.items()}
        given = table.iloc[place]
        try:
            width = float(wf.width_in_reed(at["width"], settings["shrinkage_width"], settings["draw_in"]))
            ends = int(wf.ends(width, at["sett"]))
            woven = float(wf.length_to_weave(at["length"], settings["shrinkage"]))
        except WeaveError as error:
            sheet.tell(int(place), error.argument, str(error), LEFT_OUT)
            continue
        if widest is not None and ends / at["sett"] > widest:
            sheet.tell(int(place), "width", "wider in the reed than the loom weaves", LEFT_OUT)
            continue
        yarn = as_text(given["warp_yarn"])
        if not prices.knows(yarn):
            text = f"{yarn} does not stand on Yarns so that it can be used: its cost is left out"
            sheet.tell(int(place), "warp_yarn", text, TOLD)
        elif same_name(counted := prices.find(yarn, "").name) != same_name(yarn):
            text = f"no yarn on Yarns has the name {yarn}: {counted} is counted, which has that count"
            sheet.tell(int(place), "warp_yarn", text, TOLD)
        hours = wf.hours_for(ends, settings["ends_wound_an_hour"]) + wf.hours_for(
            ends, settings["ends_threaded_an_hour"]
        )
        named = [str(given[key]) for key in ("product", "colourway") if given[key] is not None]
        lines.append(
            {
                "row": int(given["row"]),
                "piece": ", ".join(named),
                "warp_yarn": yarn,
                "sett": at["sett"],
                "ends": ends,
                "woven_length": woven,
                "quantity": int(at["pieces"]),
                "label": same_name(as_text(given["warp"])),
                "hours": float(hours),
            }
        )
    columns = ["row", "piece", "warp_yarn", "sett", "ends", "woven_length", "quantity", "label", "hours"]
    found: pd.DataFrame = pd.DataFrame(lines, columns=columns)
    return found
