"""Pieces onto warps: which pieces share a warp, so that warp, time and left-over yarn cost least."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

import weavefuncs as wf
from weavefuncs._colour_order import parse_colour_order
from weavefuncs._rounding import DUST
from weavefuncs.errors import MissingError, WeaveError
from weavefuncs.tables._cells import (
    LEFT_OUT,
    NOT_USED,
    NUMBER,
    TEXT,
    TOLD,
    WHOLE,
    WHOLE_OR_BLANK,
    Problems,
    Sheet,
    listed,
    need_tables,
    same_name,
)
from weavefuncs.tables._packing import pack
from weavefuncs.tables._settings import argument, checked, is_blank, need_mapping, needed, read_settings
from weavefuncs.tables._solving import Clock, Program, relative_gap, silent
from weavefuncs.tables._warp_prices import Prices
from weavefuncs.tables._yarns import Yarns, same_yarn

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from weavefuncs.tables._warp_prices import Label, Purchase

COLUMNS = {
    "sett": ("ends", "sett"),
    "width_in_reed": ("ends", "width"),
    "ends": ("warp_yarn", "ends"),
    "woven_length": ("warp_length", "woven_length"),
    "quantity": ("warp_length", "pieces"),
    "take_up": ("warp_length", "take_up"),
}
TEXTS = ("piece", "warp_yarn", "colour_order")
WANTED = (
    "take_up",
    "waste",
    "between",
    "ends_wound_an_hour",
    "ends_threaded_an_hour",
    "wage",
    "overhead",
    "spread",
    "risk",
    "per",
    "length_unit",
)

# The columns of the results.
WARP_COLUMNS = {
    "warp": WHOLE,
    "holds": TEXT,
    "pieces": WHOLE,
    "warp_yarn": TEXT,
    "colour_order": TEXT,
    "sett": NUMBER,
    "ends": WHOLE,
    "length": NUMBER,
    "yarn_length": NUMBER,
    "hours": NUMBER,
    "labour": NUMBER,
    "yarn_cost": NUMBER,
    "cost": NUMBER,
}
PIECE_COLUMNS = {"row": WHOLE, "piece": TEXT, "warp": WHOLE, "quantity": WHOLE}
YARN_COLUMNS = {
    "name": TEXT,
    "colour": TEXT,
    "length": NUMBER,
    "with_allowance": NUMBER,
    "put_ups": WHOLE_OR_BLANK,
    "left_over": NUMBER,
    "cost": NUMBER,
}

MOST_PIECES = 20_000

# A colour order is compared thread by thread up to this many ends; beyond it, as it is written.
MOST_COMPARED = 100_000

# Two setts that differ by less than this share are one sett.
SETT_DIGITS = 9


@dataclass(frozen=True)
class WarpPlan:
    """Which pieces share a warp, and what that costs. Money and lengths are not rounded.

    Attributes
    ----------
    warps : DataFrame
        One row for each warp: what it holds, ``pieces``, ``ends``, ``length``, ``yarn_length`` (used),
        ``hours``, ``labour``, ``yarn_cost`` (by length, with the allowance), ``cost`` of both.
    pieces : DataFrame
        One row for each line of the pieces and each warp it lies on, with the ``quantity`` there.
    yarn : DataFrame
        One row for each warp yarn and colour: the ``length`` in all warps, the same ``with_allowance``,
        whole put-ups for that, what they leave over, cost.
    problems : DataFrame
        One row for each cell that is wrong: sheet, row, column, problem, and its effect.
    cost : float
        Labour and overhead of winding and threading, and whole put-ups of all warp yarn.
    cost_one_by_one : float
        The same with a warp for every piece.
    bound : float
        What no other grouping can go below.
    why : tuple of str
        The answer in sentences.
    fewest_warps : int
        What the number of warps cannot go below.
    gap : float
        How far the cost may lie above the least there is, as a share of it; 0 is proven best. Where nothing
        has a price, the gap of the number of warps.
    """

    warps: pd.DataFrame
    pieces: pd.DataFrame
    yarn: pd.DataFrame
    problems: pd.DataFrame
    cost: float
    cost_one_by_one: float
    bound: float
    why: tuple[str, ...]
    fewest_warps: int
    gap: float

    @property
    def proven(self) -> bool:
        """Whether nothing costs less."""
        return self.gap == 0.0

    @property
    def saved(self) -> float:
        """What sharing saves against a warp for every piece."""
        return self.cost_one_by_one - self.cost


@dataclass(frozen=True)
class _Group:
    """Pieces that can share a warp: the ``rows`` where they stand, and the ``lengths`` of warp under them."""

    warp_yarn: str
    colour_order: str
    sett: float
    ends: int
    rows: list[int]
    lengths: list[float]
    hours: float
    threads: dict[Purchase, int]

    def length(self, warps: int, loom: dict[str, Any]) -> float:
        """Return the length of so many warps together."""
        gaps = len(self.rows) - warps
        return float(sum(self.lengths) + gaps * loom["between"] + warps * loom["waste"])


def group_onto_warps(
    pieces: pd.DataFrame,
    loom: Mapping[str, Any],
    yarns: pd.DataFrame | None = None,
    *,
    seconds: float = 20,
    progress: Callable[[str], None] | None = None,
    pieces_sheet: str = "pieces",
    yarns_sheet: str = "yarns",
) -> WarpPlan:
    """Find the warps that all pieces together cost least on.

    Parameters
    ----------
    pieces : DataFrame
        One row for each piece, or a ``quantity`` of pieces alike: ``piece``, ``warp_yarn``, ``sett``,
        ``woven_length`` (hems and headers included), and ``width_in_reed`` or ``ends``; of both the ends
        count, and a width that is more than one end off is told. It may have
        ``colour_order``, ``quantity`` (blank: 1), ``take_up`` (blank: that of the loom), ``row``: the number
        by which plan and problems name a line, such as that on a sheet; without it lines are counted from 1,
        whatever their index.
    loom : mapping
        ``longest_warp`` that the loom holds, and the settings ``waste``, ``take_up``,
        ``ends_wound_an_hour``, ``ends_threaded_an_hour``, and as they apply ``between``, ``wage``,
        ``overhead``, ``spread`` (of yarn need; blank: no allowance), ``risk`` (0.05), ``per``,
        ``length_unit``.
    yarns : DataFrame, optional
        One row for each yarn: ``name``, ``colour``, ``put_up_length`` (in ``length_unit``), ``put_up_price``.
        A warp yarn is found by its name or its count (``yarn``), a colour of the colour order by its colour
        or name. It may have ``row``. Without the table yarn is not costed.
    seconds : float, default 20
        Time that the search may take.
    progress : callable, optional
        Called with a sentence at each stage.
    pieces_sheet, yarns_sheet : str
        What the problems call the two tables.

    Returns
    -------
    WarpPlan
        Warps, pieces, yarn, cost, gap, problems.

    Raises
    ------
    WeaveError
        When a setting or a whole column is missing or out of range, or something else than tables and a
        mapping is given. What is wrong with a cell, or a piece longer than the loom holds, is a line of the
        problems; the other pieces are still grouped.

    Notes
    -----
    Pieces can share a warp when they have the same sett and the same number of ends, which is the same width
    in the reed, and the same yarn in the same colour end by end, however yarn and colour order are written:
    by name or by count, a repeat once or several times. What the pieces of a warp take, the gaps between
    them and one loom waste must lie within the longest warp.

    A yarn or a colour that does not stand on ``yarns`` is told, and its cost is left out. Where a count and
    colour fit several lines there that differ in more than their lot, that is told, and the line that costs
    most by length is counted.

    What is made least is labour and overhead (winding and threading, by the ends of every warp) and the
    price of whole put-ups of each warp yarn and colour, summed over all warps, with the allowance of
    ``yarn_to_buy``, before they are rounded up.
    A piece takes the same warp wherever it lies, so what differs is how many warps each group has: the
    fewest warps that hold it cost least, unless the gap between two pieces is longer than the loom waste,
    and then the number of warps is chosen with the put-ups. Exact by mixed-integer programming; where the
    time does not reach to prove it, ``gap`` says how far off it may be. Fullest warps come first, and the
    order of the rows does not matter.

    Examples
    --------
    >>> import pandas as pd
    >>> pieces = pd.DataFrame({"piece": ["runner", "towel"], "warp_yarn": ["blue", "blue"], "sett": [10, 10],
    ...                        "ends": [300, 300], "woven_length": [2, 3]})
    >>> loom = {"longest_warp": 10, "waste": 1, "take_up": 0, "ends_wound_an_hour": 100,
    ...         "ends_threaded_an_hour": 100, "wage": 20, "overhead": 0}
    >>> plan = group_onto_warps(pieces, loom)
    >>> plan.warps[["holds", "length", "hours"]].values.tolist(), plan.cost, plan.proven
    ([['towel, runner', 6.0, 6.0]], 120.0, True)
    """
    need_tables(pieces=pieces, **({} if yarns is None else {"yarns": yarns}))
    need_mapping("loom", loom)
    clock = Clock(seconds)
    tell = progress or silent
    tell("reading the pieces")
    problems = Problems()
    settings = _loom(loom, problems, "take_up" not in pieces.columns)
    stock = None if yarns is None else Yarns(yarns, yarns_sheet, problems)
    sheet = Sheet(pieces, pieces_sheet, problems, (*TEXTS, *COLUMNS))
    groups = _groups(sheet, settings, Prices(stock, yarns_sheet, problems))
    if sum(len(group.rows) for group in groups) > MOST_PIECES:
        raise WeaveError(
            "pieces", f"at most {MOST_PIECES} pieces in all", sum(len(group.rows) for group in groups)
        )

    room = settings["longest_warp"] - settings["waste"] + settings["between"]
    packings = []
    for number, group in enumerate(groups):
        what = f"{_many(len(group.rows), 'piece')} on {group.warp_yarn}, {group.ends} ends"
        tell(f"group {number + 1} of {len(groups)}: {what}")
        sizes = [length + settings["between"] for length in group.lengths]
        packings.append(pack(sizes, room, clock, clock.share(len(groups) - number)))
    warps = [packing.bins for packing in packings]
    fewest = [packing.fewest for packing in packings]
    bound = _cost(groups, fewest, settings)
    if settings["between"] > settings["waste"]:
        tell("weighing gaps against loom waste")
        counts, bound = _counts(groups, [len(bins) for bins in warps], fewest, settings, clock)
        warps = [_split(bins, count) for bins, count in zip(warps, counts)]
    cost = _cost(groups, [len(bins) for bins in warps], settings)
    alone = _cost(groups, [len(group.rows) for group in groups], settings)
    if alone < cost:
        warps = [[[place] for place in range(len(group.rows))] for group in groups]
        cost = alone
    tell("writing the plan")
    wound, assigned = _tables(sheet, groups, warps, settings)
    total = sum(map(len, warps))
    bound = min(bound, cost)
    plan = WarpPlan(
        wound,
        assigned,
        _yarn(groups, [len(bins) for bins in warps], settings),
        problems.frame(),
        cost,
        alone,
        bound,
        _why(groups, total, cost, alone),
        sum(fewest),
        relative_gap(cost, bound) if cost > 0 else relative_gap(total, sum(fewest)),
    )
    tell(plan.why[0] if plan.why else "nothing to group")
    return plan


def _loom(given: Mapping[str, Any], problems: Problems, take_up_needed: bool) -> dict[str, Any]:
    """Check what is known of the loom; what is left out of the cost is told."""
    if is_blank(given.get("longest_warp")):
        raise MissingError("longest_warp", "in the loom: the longest warp that it holds")
    settings = read_settings({name: value for name, value in given.items() if name != "longest_warp"}, WANTED)
    needed(settings, "waste", "ends_wound_an_hour", "ends_threaded_an_hour")
    if take_up_needed:
        needed(settings, "take_up")
    longest = argument("warp_turns", "warp_length")
    settings["longest_warp"] = checked("longest_warp", longest, given["longest_warp"])
    for name in ("wage", "overhead"):
        if settings[name] is None:
            settings[name] = 0.0
            problems.add("loom", 0, name, f"{name} is not given: it is left out of the cost", TOLD)
    if settings["waste"] >= settings["longest_warp"]:
        raise WeaveError(
            "waste", f"below the longest_warp ({settings['longest_warp']:.6g})", settings["waste"]
        )
    unit = argument("yarn_mass", "length_unit").convert
    settings["metres"] = unit(settings["per"]) / unit(settings["length_unit"])
    spread = settings["spread"]
    settings["allowed"] = 1.0 if spread is None else float(wf.yarn_to_buy(1, spread, settings["risk"]))
    settings["an_hour"] = settings["wage"] + settings["overhead"]
    return settings


def _groups(sheet: Sheet, loom: dict[str, Any], prices: Prices) -> list[_Group]:
    """Read the pieces, and put those together that can share a warp."""
    sheet.need("piece", "warp_yarn", "sett", "woven_length")
    if not (sheet.has("width_in_reed") or sheet.has("ends")):
        raise MissingError("width_in_reed", f"or ends, as a column of {sheet.label}")
    names = _texts(sheet, "piece", required=True)
    yarn = _texts(sheet, "warp_yarn", required=True)
    orders = _texts(sheet, "colour_order") if sheet.has("colour_order") else [""] * len(sheet.table)
    blanks = {"width_in_reed": np.nan, "ends": np.nan, "quantity": 1.0, "take_up": loom["take_up"]}
    numbers = {
        name: sheet.numbers(name, argument(*of), blanks.get(name)).tolist()
        for name, of in COLUMNS.items()
        if sheet.has(name)
    }
    gathered: dict[tuple[Any, ...], list[tuple[float, str, int]]] = {}
    compared: dict[tuple[str, str, int], tuple[tuple[Label, int], ...]] = {}
    for place in range(len(sheet.table)):
        at = {name: column[place] for name, column in numbers.items()}
        if not sheet.good[place]:
            continue
        try:
            as_written = yarn[place], orders[place], _ends(at)
            if as_written not in compared:
                compared[as_written] = _end_by_end(*as_written, prices)
            key = (compared[as_written], round(at["sett"], SETT_DIGITS), as_written[-1])
            length = float(wf.warp_length(at["woven_length"], take_up=at.get("take_up", loom["take_up"])))
        except WeaveError as error:
            sheet.tell(
                place, "width_in_reed" if error.argument == "width" else error.argument, str(error), LEFT_OUT
            )
            continue
        if length + loom["waste"] > loom["longest_warp"] * (1 + DUST):
            wound = f"{names[place]} needs a warp of {length + loom['waste']:.6g}, waste included"
            text = f"{wound}, and the loom holds {loom['longest_warp']:.6g}"
            sheet.tell(place, "woven_length", text, LEFT_OUT)
            continue
        quantity = int(at.get("quantity", 1))
        if quantity > MOST_PIECES:
            sheet.tell(place, "quantity", f"quantity must be at most {MOST_PIECES}; got {quantity}", LEFT_OUT)
            continue
        _tell_other_width(sheet, place, at)
        gathered.setdefault(key, []).extend([(length, names[place], place)] * quantity)
    _tell_twice(sheet, names)
    groups = []
    for key in sorted(gathered):
        members = sorted(gathered[key], key=lambda member: (-member[0], same_name(member[1]), member[2]))
        first = min((place for _, _, place in members), key=lambda place: (yarn[place], orders[place]))
        _, sett, ends = key
        hours = wf.hours_for(ends, loom["ends_wound_an_hour"]) + wf.hours_for(
            ends, loom["ends_threaded_an_hour"]
        )
        groups.append(
            _Group(
                yarn[first],
                orders[first],
                sett,
                ends,
                [place for _, _, place in members],
                [length for length, _, _ in members],
                float(hours),
                _threads(yarn[first], orders[first], ends, prices),
            )
        )
    return groups


def _texts(sheet: Sheet, column: str, required: bool = False) -> list[str]:
    codes, texts = sheet.names(column) if required else sheet.texts(column)
    return [texts[code] if code >= 0 else "" for code in codes.tolist()]


def _ends(at: Mapping[str, float]) -> int:
    """Return the ends of a row: as given, else those of the width."""
    ends, width = at.get("ends", np.nan), at.get("width_in_reed", np.nan)
    if not np.isnan(ends):
        return int(ends)
    if np.isnan(width):
        raise MissingError("width_in_reed", "or the ends")
    return int(wf.ends(width, at["sett"]))


def _end_by_end(warp_yarn: str, order: str, ends: int, prices: Prices) -> tuple[tuple[Label, int], ...]:
    """Return the ends side by side, those alike together: the same however yarn and order are written."""
    if not order:
        return ((prices.label(warp_yarn, ""), ends),)
    parsed = parse_colour_order("colour_order", order)
    if ends > MOST_COMPARED:
        return ((("", same_yarn(warp_yarn), same_name(order).replace(" ", "")), ends),)
    labels = {colour.casefold(): prices.label(warp_yarn, colour) for colour in parsed.colours}
    runs = ((labels[colour.casefold()], count) for count, colour in parsed.runs(ends))
    alike = groupby(runs, key=lambda run: run[0])
    return tuple((label, sum(count for _, count in together)) for label, together in alike)


def _threads(warp_yarn: str, order: str, ends: int, prices: Prices) -> dict[Purchase, int]:
    """Return the ends of each yarn that is bought for a warp."""
    if not order:
        return {prices.find(warp_yarn, ""): ends}
    threads: Counter[Purchase] = Counter()
    for colour in parse_colour_order("colour_order", order).colours:
        count = int(wf.colour_count(order, ends, colour))
        if count:
            threads[prices.find(warp_yarn, colour)] += count
    return dict(threads)


def _tell_other_width(sheet: Sheet, place: int, at: Mapping[str, float]) -> None:
    """Tell a width that is not that of the ends, by more than a whole end takes."""
    ends, width = at.get("ends", np.nan), at.get("width_in_reed", np.nan)
    of_width = width * at["sett"]
    if abs(ends - of_width) > 1 + DUST:
        comes_to = f"width_in_reed is {width:.6g}, which at {at['sett']:.6g} comes to {of_width:.6g} ends"
        text = f"{comes_to}, and ends is {ends:.6g}: that is used"
        sheet.tell(place, "width_in_reed", text, NOT_USED)


def _tell_twice(sheet: Sheet, names: list[str]) -> None:
    """Tell the names that stand twice: both lines are grouped, each as pieces of its own."""
    first: dict[str, int] = {}
    for place in np.flatnonzero(sheet.good).tolist():
        name = same_name(names[place])
        if first.setdefault(name, place) != place:
            row = sheet.row(first[name])
            sheet.tell(place, "piece", f"{names[place]} stands in row {row} too: both are woven", TOLD)


def _needs(groups: Iterable[_Group], counts: Iterable[int], loom: dict[str, Any]) -> dict[Purchase, float]:
    """Return the length of each yarn in so many warps of each group, with its allowance."""
    needs: dict[Purchase, float] = {}
    for group, count in zip(groups, counts):
        length = group.length(count, loom)
        for purchase, threads in group.threads.items():
            of_this = float(wf.warp_yarn(threads, length)) * loom["metres"] * loom["allowed"]
            needs[purchase] = needs.get(purchase, 0.0) + of_this
    return needs


def _cost(groups: list[_Group], counts: list[int], loom: dict[str, Any]) -> float:
    """Return what so many warps of each group cost."""
    labour = sum(group.hours * loom["an_hour"] * count for group, count in zip(groups, counts))
    return float(
        labour + sum(purchase.cost(length) for purchase, length in _needs(groups, counts, loom).items())
    )


def _counts(
    groups: list[_Group], least: list[int], fewest: list[int], loom: dict[str, Any], clock: Clock
) -> tuple[list[int], float]:
    """Choose how many warps each group has where a warp more saves yarn; with the bound."""
    answers = []
    for lowest in dict.fromkeys((tuple(least), tuple(fewest))):
        program = Program()
        counts = [
            program.variable(len(group.rows), low, whole=True, cost=group.hours * loom["an_hour"])
            for group, low in zip(groups, lowest)
        ]
        rows: dict[Purchase, dict[int, float]] = {}
        fixed: dict[Purchase, float] = {}
        for group, count in zip(groups, counts):
            for purchase, threads in group.threads.items():
                if np.isnan(purchase.put_up_price):
                    continue
                of_one = threads * loom["metres"] * loom["allowed"] / purchase.put_up_length
                terms = rows.setdefault(purchase, {})
                terms[count] = terms.get(count, 0.0) + of_one * (loom["between"] - loom["waste"])
                fixed[purchase] = fixed.get(purchase, 0.0) + of_one * group.length(0, loom)
        for purchase, terms in rows.items():
            bought = program.variable(whole=True, cost=purchase.put_up_price)
            program.row({**terms, bought: 1.0}, low=fixed[purchase] * (1 - 1e-9))
        answers.append((program.solve(clock.share(2)), counts))
    solved, counts = answers[0]
    bounds = [answer.bound for answer, _ in answers if answer is not None]
    if solved is None:
        return least, min(bounds, default=0.0)
    return [int(solved.values[count]) for count in counts], min(bounds)


def _split(bins: list[list[int]], count: int) -> list[list[int]]:
    """Take pieces off shared warps until there are so many warps."""
    bins = [list(places) for places in bins]
    while len(bins) < count:
        longest = max(bins, key=len)
        bins.append([longest.pop()])
    return bins


def _tables(
    sheet: Sheet, groups: list[_Group], warps: list[list[list[int]]], loom: dict[str, Any]
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Write the warps, and where each piece lies."""
    codes, texts = sheet.texts("piece")
    warps_made: list[dict[str, Any]] = []
    assigned: list[tuple[int, str, int, int]] = []
    for group, bins in zip(groups, warps):
        for places in bins:
            number = len(warps_made) + 1
            rows = Counter(group.rows[place] for place in places)
            lengths = [group.lengths[place] for place in places]
            length = sum(lengths) + (len(places) - 1) * loom["between"] + loom["waste"]
            yarn = float(wf.warp_yarn(group.ends, length)) * loom["metres"]
            yarn_cost = sum(
                purchase.value(yarn * loom["allowed"] * threads / group.ends)
                for purchase, threads in group.threads.items()
            )
            labour = group.hours * loom["an_hour"]
            names = {row: texts[codes[row]] for row in rows}
            holds = [names[row] if count == 1 else f"{names[row]} × {count}" for row, count in rows.items()]
            warps_made.append(
                {
                    "warp": number,
                    "holds": ", ".join(holds),
                    "pieces": len(places),
                    "warp_yarn": group.warp_yarn,
                    "colour_order": group.colour_order,
                    "sett": group.sett,
                    "ends": group.ends,
                    "length": length,
                    "yarn_length": yarn,
                    "hours": group.hours,
                    "labour": labour,
                    "yarn_cost": yarn_cost,
                    "cost": labour + yarn_cost,
                }
            )
            assigned += [(sheet.row(row), names[row], number, count) for row, count in rows.items()]
    return listed(warps_made, WARP_COLUMNS), listed(sorted(assigned), PIECE_COLUMNS)


def _yarn(groups: list[_Group], counts: list[int], loom: dict[str, Any]) -> pd.DataFrame:
    """Write what is bought."""
    lines = []
    for purchase, need in _needs(groups, counts, loom).items():
        known = not np.isnan(purchase.put_up_length)
        lines.append(
            {
                "name": purchase.name,
                "colour": purchase.colour,
                "length": need / loom["allowed"],
                "with_allowance": need,
                "put_ups": purchase.put_ups(need) if known else pd.NA,
                "left_over": float(wf.left_over(need, purchase.put_up_length)) if known else np.nan,
                "cost": np.nan if np.isnan(purchase.put_up_price) else purchase.cost(need),
            }
        )
    return listed(lines, YARN_COLUMNS)


def _why(groups: list[_Group], warps: int, cost: float, alone: float) -> tuple[str, ...]:
    """Tell the answer in sentences."""
    pieces = sum(len(group.rows) for group in groups)
    if not pieces:
        return ()
    sentences = [
        f"{_many(pieces, 'piece')} on {_many(warps, 'warp')}: {cost:.2f}, against {alone:.2f} with a warp "
        "for every piece."
    ]
    if len(groups) > 1:
        sentences.append(
            f"{len(groups)} groups differ in warp yarn, colour order, sett or ends, and cannot share a warp."
        )
    return tuple(sentences)


def _many(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"
