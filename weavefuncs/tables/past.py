"""Records: from what past pieces measured to the allowances of the next one, by weave and fibre."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import pandas as pd

import weavefuncs as wf
from weavefuncs.errors import WeaveError
from weavefuncs.shared.allowances import ALLOWANCES
from weavefuncs.tables._cells import (
    NOT_USED,
    NUMBER,
    TEXT,
    WHOLE,
    Problems,
    Sheet,
    as_text,
    listed,
    need_tables,
    retold,
    same_name,
)
from weavefuncs.tables._settings import argument, checked

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from weavefuncs.tables._cells import Floats


class Measure(NamedTuple):
    """An allowance: the function of two measured columns that gives it, and the common range of it."""

    function: str
    columns: tuple[str, ...]
    common: str


# A measured loom waste is what it is; a yarn need is compared with its plan, for the spread of it.
MEASURES = {
    "take_up": Measure("take_up", ("warp_used", "cloth_length"), "Warp take-up"),
    "draw_in": Measure("draw_in", ("reed_width", "cloth_width"), "Draw-in"),
    "shrinkage": Measure("shrinkage", ("cloth_length", "finished_length"), "Shrinkage in length"),
    "shrinkage_width": Measure("shrinkage", ("cloth_width", "finished_width"), "Shrinkage in width"),
    "waste": Measure("", ("waste",), ""),
    "spread": Measure("", ("yarn_used", "yarn_planned"), "Spread of yarn need"),
}
MEASURED = tuple(dict.fromkeys(column for measure in MEASURES.values() for column in measure.columns))
BOUNDS = {
    **dict.fromkeys(MEASURED, ("take_up", "yarn_length")),
    "waste": ("warp_length", "waste"),
}
COMMON = {name: (low, high) for name, low, high, _ in ALLOWANCES}
FEW = 3

COLUMNS = {
    "weave": TEXT,
    "fibre": TEXT,
    "allowance": TEXT,
    "records": WHOLE,
    "value": NUMBER,
    "note": TEXT,
}


@dataclass(frozen=True)
class NextAllowances:
    """Allowances for the next piece.

    Attributes
    ----------
    allowances : DataFrame
        One row for each weave, fibre and allowance: the records it rests on, the value, and a note.
    problems : DataFrame
        One row for each cell that is wrong: sheet, row, column, problem, and its effect.
    """

    allowances: pd.DataFrame
    problems: pd.DataFrame


def next_allowances(
    records: pd.DataFrame,
    planned: Iterable[tuple[str, str]] = (),
    confidence: float = 0.9,
    *,
    records_sheet: str = "records",
) -> NextAllowances:
    """Return the allowances for the next piece of each weave and fibre.

    Parameters
    ----------
    records : DataFrame
        One row for each past piece: ``weave``, ``fibre``, and what was measured of it, blank where it was
        not: ``warp_used`` (the warp that became this cloth: what was wound, less loom waste and what stayed
        unwoven) and ``cloth_length`` (off the loom), ``reed_width`` and ``cloth_width``,
        ``finished_length``, ``finished_width``, ``waste``, ``yarn_planned`` and ``yarn_used``. ``row`` is the
        number by which the problems name a piece, such as that on a sheet; without it pieces are counted
        from 1, whatever their index.
    planned : iterable of (weave, fibre)
        What is planned next; of what has no records yet it gets the common values.
    confidence : float, default 0.9
        Chance that the next piece stays within an allowance.
    records_sheet : str
        What the problems call the records.

    Returns
    -------
    NextAllowances
        Allowances and problems.

    Raises
    ------
    WeaveError
        When the weave or the fibre is no column, the records are no table, or the confidence is out of range.

    Notes
    -----
    Each allowance but the spread is the upper prediction bound of ``weavefuncs.allowance``, which says
    what it does with one record. The spread is that of yarn used over yarn planned, from two records on,
    but with two or three never less than the common one; and where pieces took more than planned on
    average, the note says so, for a spread does not. With
    fewer records the value is the middle of the common range (common practice, no source). A loom waste
    has no common value: blank until one is measured. A bound that comes to 1 or more is blank too.

    Examples
    --------
    >>> import pandas as pd
    >>> records = pd.DataFrame({"weave": ["plain", "plain"], "fibre": ["cotton", "cotton"],
    ...                         "warp_used": [10, 10], "cloth_length": [9, 9]})
    >>> next_allowances(records).allowances[["allowance", "records", "value"]].round(6).values.tolist()[0]
    ['take_up', 2, 0.1]
    """
    need_tables(records=records)
    checked("confidence", argument("allowance", "confidence"), confidence)
    problems = Problems()
    sheet = Sheet(records, records_sheet, problems, ("weave", "fibre", *MEASURED))
    sheet.need("weave", "fibre")
    (weave_codes, weaves), (fibre_codes, fibres) = sheet.names("weave"), sheet.names("fibre")
    measured = {
        column: sheet.numbers(column, argument(*BOUNDS[column]), np.nan, NOT_USED)
        for column in MEASURED
        if sheet.has(column)
    }
    found = {name: _found(sheet, measure, measured) for name, measure in MEASURES.items()}
    groups: dict[tuple[str, str], tuple[str, str, list[int]]] = {}
    for line in np.flatnonzero(sheet.good):
        weave, fibre = weaves[weave_codes[line]], fibres[fibre_codes[line]]
        groups.setdefault((same_name(weave), same_name(fibre)), (weave, fibre, []))[2].append(int(line))
    for weave, fibre in planned:
        groups.setdefault((same_name(weave), same_name(fibre)), (as_text(weave), as_text(fibre), []))
    rows = []
    for weave, fibre, lines in groups.values():
        for name in MEASURES:
            of_pieces = found[name][lines]
            of_pieces = of_pieces[~np.isnan(of_pieces)]
            value, note = _next(name, of_pieces.tolist(), confidence)
            rows.append((weave, fibre, name, len(of_pieces), value, note))
    return NextAllowances(listed(rows, COLUMNS), problems.frame())


def _found(sheet: Sheet, measure: Measure, measured: dict[str, Floats]) -> Floats:
    """Return what each piece has of a measure, nan where it was not taken."""
    found = np.full(len(sheet.table), np.nan)
    if not all(column in measured for column in measure.columns):
        return found
    columns = [measured[column] for column in measure.columns]
    taken = ~np.isnan(np.sum(columns, axis=0)) & sheet.good
    if not measure.function:
        # A waste as it is, or yarn used over yarn planned.
        found[taken] = columns[0][taken] / (columns[1][taken] if len(columns) > 1 else 1)
        return found
    function: Callable[..., float] = getattr(wf, measure.function)
    for line in np.flatnonzero(taken):
        try:
            found[line] = function(*(float(column[line]) for column in columns))
        except WeaveError as error:
            column = {"yarn_length": "warp_used", "before": measure.columns[0]}.get(
                error.argument, error.argument
            )
            sheet.tell(int(line), column, retold(error, column), NOT_USED)
    return found


def _next(name: str, records: list[float], confidence: float) -> tuple[float, str]:
    """Return the allowance and a note on what it rests on."""
    if name == "spread":
        return _spread(records)
    if not records:
        return _common(name, "no record of it")
    try:
        value = wf.allowance(records, confidence, "amount" if name == "waste" else "share")
    except WeaveError as error:
        return np.nan, str(error)
    if len(records) == 1:
        return value, "one record: its spread is supposed (common practice, no source)"
    return value, f"{len(records)} records: still a wide bound" if len(
        records
    ) <= FEW else f"{len(records)} records"


def _spread(records: list[float]) -> tuple[float, str]:
    if len(records) < 2:
        return _common("spread", "a spread needs two records" if records else "no record of it")
    value, note = wf.spread(records), f"{len(records)} records"
    if len(records) <= FEW:
        # Two pieces that happen to be alike do not promise that the next one will be.
        common, words = _common("spread", "too few for a smaller spread")
        note += f", {words}" if value < common else ": a rough guess still"
        value = max(value, common)
    mean = sum(records) / len(records)
    if mean > 1:
        note += f"; they took {mean - 1:.1%} more than planned on average: plan for that as well"
    return value, note


def _common(name: str, why: str) -> tuple[float, str]:
    if not MEASURES[name].common:
        return np.nan, f"{why}, and it has no common value: measure it on your loom"
    low, high = COMMON[MEASURES[name].common]
    return (
        low + high
    ) / 2, f"{why}: the middle of the common {low:g} to {high:g} (common practice, no source)"
