"""The tables of a planner as ``weavefuncs.tables`` takes them, with a line for every cell that is wrong."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

import weavefuncs as wf
from weavefuncs.addin.offline.grid import cell_name, column_letters
from weavefuncs.errors import WeaveError
from weavefuncs.tables._cells import LEFT_OUT, TOLD, Problems, Sheet, retold
from weavefuncs.tables._settings import SETTINGS as CHECKED_BY
from weavefuncs.tables._settings import argument, checked
from weavefuncs.workbooks import batch, shopping, yarns
from weavefuncs.workbooks._dressing import read_dressing
from weavefuncs.workbooks.inputs import Inputs
from weavefuncs.workbooks.settings import UNIT_CHOICES

UNITS = dict(zip(UNIT_CHOICES, (("in", "yd", "oz"), ("in", "yd", "g"), ("cm", "m", "g")), strict=True))

# What the functions for whole tables call a row of Settings, and whether blank means none of it.
SETTINGS = {
    "Wage": ("wage", True),
    "Overhead": ("overhead", True),
    "WarpTakeUp": ("take_up", False),
    "WeftTakeUp": ("weft_slack", False),
    "DrawIn": ("draw_in", False),
    "ShrinkLength": ("shrinkage", False),
    "ShrinkWidth": ("shrinkage_width", False),
    "LoomWaste": ("waste", False),
    "Between": ("between", True),
    "YarnSpread": ("spread", False),
    "YarnRisk": ("risk", False),
    "EndsWoundAnHour": ("ends_wound_an_hour", False),
    "EndsThreadedAnHour": ("ends_threaded_an_hour", False),
    "PicksAMinute": ("picks_a_minute", False),
    "Efficiency": ("efficiency", False),
    "FinishingHours": ("finishing_hours", False),
    "Margin": ("margin", True),
    "FeeRate": ("fee_rate", True),
    "FeeFlat": ("fee_flat", True),
    "WindingLoss": ("winding_loss", True),
}

# What they call a column, where it is another word; the first is the column, the others tell of it.
CALLED: dict[tuple[str, ...], dict[str, tuple[str, ...]]] = {
    ("yarns",): {"price": ("price", "put_up_price"), "put_up": ("put_up", "put_up_length")},
    ("batch",): {
        "product": ("product", "piece"),
        "pieces": ("pieces", "quantity"),
        "width": ("width", "width_in_reed"),
        "length": ("length", "woven_length"),
        "picks": ("weft_sett",),
        "warp": ("warp_yarn",),
        "weft": ("weft_yarn",),
        "label": ("warp",),
    },
    ("shopping", "needs"): {"project": ("piece",), "mix": ("may_mix",)},
}

# What a user sees above a column.
HEADINGS: dict[tuple[tuple[str, ...], str], str] = {
    **{(("yarns",), column[0]): column[1][2:].partition('"')[0].rstrip(" (") for column in yarns.COLUMNS},
    **{(("batch",), column.key): column.label for column in batch.COLUMNS},
    **{(("shopping", "needs"), column.key): column.label for column in shopping.NEED_COLUMNS},
}

YARN_NUMBERS = {
    "weighed": ("length_left", "weighed"),
    "tare": ("length_left", "tare"),
    "put_up": ("yarn_length", "mass"),
    "price": ("stash_value", "put_up_price"),
    "reserved": ("short_by", "have"),
}


@dataclass(frozen=True)
class Units:
    """The units that a planner is filled in with: short lengths, long lengths, weights."""

    small: str
    long: str
    mass: str

    @property
    def small_in_long(self) -> float:
        """How many short units make a long one."""
        return 36.0 if self.small == "in" else 100.0


class Frames:
    """Tables of one planner.

    Attributes
    ----------
    inputs : Inputs
        What was read from the planner.
    problems : Problems
        What is wrong with it; more is added as tables are asked for.
    """

    def __init__(self, inputs: Inputs) -> None:
        self.inputs = inputs
        self.problems = Problems()
        self._asked = {question.name: question for question, _ in inputs.cells.values()}
        self._tell_unread()
        self._tell_merged()

    @property
    def settings(self) -> dict[str, Any]:
        """The settings, by the names that the functions for whole tables have for them.

        Raises
        ------
        WeaveError
            When one is out of range or needed and blank, or no units are chosen; it names the cell.
        """
        given = self.inputs.filled.get("settings", {})
        units = self.units
        values: dict[str, Any] = {"per": units.small, "length_unit": units.long, "mass_unit": units.mass}
        for key, (name, may_be_blank) in SETTINGS.items():
            value = given.get(key)
            if value is None and not may_be_blank:
                raise WeaveError(self.place(key), "filled in", "a blank cell")
            values[name] = (
                0.0 if value is None else checked(self.place(key), CHECKED_BY[name].parameter, value)
            )
        return values

    @property
    def units(self) -> Units:
        """The units chosen on Settings."""
        chosen = self.inputs.filled.get("settings", {}).get("UnitChoice")
        if chosen not in UNITS:
            raise WeaveError(self.place("UnitChoice"), "one of " + "; ".join(UNITS), chosen)
        return Units(*UNITS[chosen])

    @property
    def currency(self) -> str:
        """The currency shown; empty where none is named."""
        return str(self.inputs.filled.get("settings", {}).get("Currency") or "")

    def number(self, name: str) -> float | None:
        """Return a length on Settings that may be blank.

        Raises
        ------
        WeaveError
            When it is no number above 0.
        """
        value = self.inputs.filled.get("settings", {}).get(name)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, float) or value <= 0:
            raise WeaveError(self.place(name), "a number above 0", value)
        return value

    def place(self, name: str) -> str:
        """Say where a question stands, as a user finds it."""
        if name not in self.inputs.areas:
            return name
        sheet, row, column, *_ = self.inputs.areas[name]
        label = self._asked[name].label if name in self._asked else name
        return f"{sheet}, {label} ({cell_name(row, column)}),"

    def batch(self) -> pd.DataFrame:
        """Return the lines of Batch."""
        return self._table(("batch",), list(batch.INPUT_NAMES))

    def needs(self) -> pd.DataFrame:
        """Return the lines that were filled in on Shopping."""
        return self._table(("shopping", "needs"), list(shopping.INPUT_NAMES["needs"]))

    def yarns(self) -> pd.DataFrame:
        """Return the yarns that can be used: their free length and that of a put-up, in long units."""
        units = self.units
        table = self._table(("yarns",), list(yarns.INPUT_NAMES))
        sheet = Sheet(table, self.sheet("YarnNames"), self.problems, list(yarns.INPUT_NAMES))
        numbers = {
            key: sheet.numbers(key, argument(*where), np.nan if key in ("put_up", "price") else 0.0, LEFT_OUT)
            for key, where in YARN_NUMBERS.items()
        }
        free, put_up = np.full(len(table), np.nan), np.full(len(table), np.nan)
        for place in np.flatnonzero(sheet.good):
            try:
                free[place], put_up[place] = self._lengths(sheet, int(place), numbers, units)
            except WeaveError as error:
                sheet.tell(int(place), error.argument, retold(error, error.argument), LEFT_OUT)
        texts = [key for key in yarns.INPUT_NAMES if key not in YARN_NUMBERS]
        frame = table[["row", *texts]].assign(
            length=free, put_up_length=put_up, put_up_price=numbers["price"], reserved=numbers["reserved"]
        )
        good: pd.DataFrame = frame[sheet.good].reset_index(drop=True)
        return good

    def _lengths(self, sheet: Sheet, place: int, numbers: Any, units: Units) -> tuple[float, float]:
        count = sheet.table["yarn"].iloc[place]
        if sheet.table["name"].iloc[place] is None:
            raise WeaveError("name", "filled in: the other sheets find a yarn by it", "a blank cell")
        if count is None:
            raise WeaveError("yarn", "filled in, such as 8/2 Ne or 400 m/100 g", "a blank cell")
        if sheet.table["weighed"].iloc[place] is None:
            raise WeaveError("weighed", "filled in", "a blank cell")
        weight = numbers["weighed"][place] - numbers["tare"][place]
        if weight < 0:
            raise WeaveError("tare", "at most what was weighed", float(numbers["tare"][place]))
        left = float(wf.yarn_length(weight, count, units.mass, units.long))
        free = left - numbers["reserved"][place]
        if free < 0:
            raise WeaveError(
                "reserved", f"at most what is left, {left:.6g} {units.long}", numbers["reserved"][place]
            )
        full = numbers["put_up"][place]
        return free, np.nan if np.isnan(full) else float(wf.yarn_length(full, count, units.mass, units.long))

    def sheet(self, name: str) -> str:
        """Return the sheet on which a question stands."""
        return self.inputs.areas[name][0] if name in self.inputs.areas else ""

    def _table(self, path: tuple[str, ...], keys: list[str]) -> pd.DataFrame:
        """Return lines as they were filled in, each with the number of its row on the sheet."""
        part: Any = self.inputs.filled
        for key in path[:-1]:
            part = part.get(key, {})
        lines = part.get(path[-1], [])
        first = next(
            (
                self.inputs.areas[question.name][1]
                for question in self._asked.values()
                if question.path == path
            ),
            1,
        )
        columns = {key: pd.Series([line.get(key) for line in lines], dtype=object) for key in keys}
        called = {key: names[0] for key, names in CALLED.get(path, {}).items()}
        table: pd.DataFrame = pd.DataFrame({"row": np.arange(first, first + len(lines)), **columns}).rename(
            columns=called
        )
        return table

    def _tell_unread(self) -> None:
        for note in (*self.inputs.unread, *self.inputs.notes):
            sheet, row, column = note.sheet, 0, note.cell
            for (where, at, number), (question, _) in self.inputs.cells.items():
                if where == note.sheet and cell_name(at, number) == note.cell:
                    row, column = at, question.label
            self.problems.add(sheet, row, column, note.text, TOLD)

    def _tell_merged(self) -> None:
        for sheet in self.inputs.book.sheets:
            asked = {
                key[1:]: question for key, (question, _) in self.inputs.cells.items() if key[0] == sheet.name
            }
            if not asked:
                continue
            for top, left, bottom, right in read_dressing(self.inputs.book, sheet).merged:
                first = asked.get((top, left))
                for (row, column), question in asked.items():
                    inside = top <= row <= bottom and left <= column <= right and (row, column) != (top, left)
                    if inside and (first is None or question.part):
                        text = f"merged with {cell_name(top, left)}: it counts as blank; take the cells apart"
                        self.problems.add(sheet.name, row, question.label, text, TOLD)

    def told(self, *more: pd.DataFrame) -> pd.DataFrame:
        """Return all problems, those told elsewhere included, with columns as a user finds them."""
        frames = [self.problems.frame(), *more]
        told = pd.concat([frame for frame in frames if len(frame)] or frames[:1], ignore_index=True)
        headings: dict[tuple[str, str], str] = {}
        for name, (sheet, _, left, _, right) in self.inputs.areas.items():
            question = self._asked.get(name)
            if question is not None and question.part and left == right:
                heading = HEADINGS.get((question.path, question.part), question.label)
                for called in CALLED.get(question.path, {}).get(question.part, (question.part,)):
                    headings[sheet, called] = f"{heading} ({column_letters(left)})"
        told["column"] = [
            headings.get((sheet, column), column)
            for sheet, column in zip(told["sheet"], told["column"], strict=True)
        ]
        once: pd.DataFrame = told.drop_duplicates(ignore_index=True)
        return once
