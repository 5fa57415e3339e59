"""An order book in one pass: warps, yarn by colour, hours, cost, price and margin a line, totals."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

import weavefuncs as wf
from weavefuncs.errors import WeaveError
from weavefuncs.tables._cells import (
    LEFT_OUT,
    NOT_READ,
    TOLD,
    Problems,
    Sheet,
    chosen,
    need_tables,
    retold,
    same_name,
    summed,
)
from weavefuncs.tables._settings import SETTINGS, argument, needed, one_way_to_price, read_settings
from weavefuncs.tables._sharing import DUST, Warps
from weavefuncs.tables._yarns import Yarns, columns_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from weavefuncs.tables._cells import Places

    Values = dict[str, Any]

# Columns of numbers in an order book: the function and argument whose bounds they keep, and what a blank
# cell stands for. None: it must be filled in.
COLUMNS: dict[str, tuple[str, str, float | None]] = {
    "pieces": ("warp_length", "pieces", None),
    "width": ("width_in_reed", "finished_width", None),
    "length": ("length_to_weave", "finished_length", None),
    "sett": ("ends", "sett", None),
    "weft_sett": ("picks_for", "weft_sett", None),
    "repeat": ("ends", "repeat", 1),
    "balance": ("ends", "balance", 0),
    "extra_ends": ("ends", "extra", 0),
    "price": ("net_after_fees", "price", float("nan")),
    "warp_pieces": ("warp_length", "pieces", float("nan")),
}
REQUIRED = tuple(name for name, (_, _, blank) in COLUMNS.items() if blank is None)

# Settings of which a line may have its own, in a column of that name.
OWN = (
    "take_up",
    "weft_slack",
    "draw_in",
    "shrinkage",
    "shrinkage_width",
    "waste",
    "between",
    "picks_a_minute",
    "efficiency",
    "finishing_hours",
)
ALIKE = ("wage", "overhead", "ends_wound_an_hour", "ends_threaded_an_hour", "spread")
WANTED = (*OWN, *ALIKE, "per", "length_unit", "mass_unit", "risk", "margin", "markup", "fee_rate", "fee_flat")
TEXTS = ("order", "product", "warp", "warp_yarn", "weft_yarn")

# Lines are taken in blocks that stay in the processor's cache from one function to the next.
BLOCK = 32_768

# Where the core names an argument that the order book calls something else.
COLUMN_OF = {"finished_width": "width", "finished_length": "length", "woven_length": "length"}

# Sums of the lines that stand in the totals.
SUMMED = (
    "pieces",
    "warp_share",
    "warp_yarn_length",
    "weft_yarn_length",
    "dressing_hours",
    "weaving_hours",
    "finishing_hours",
    "hours",
    "yarn_cost",
    "labour",
    "overhead",
    "cost",
    "takings",
    "fees",
    "net",
    "profit",
)

TABLES = ("lines", "warps", "yarn", "totals", "problems")
YARN_TEXTS = ["name", "yarn", "fibre", "colour"]


@dataclass(frozen=True)
class BatchCost:
    """What an order book comes to. Money and lengths are not rounded; see ``rounded``.

    Attributes
    ----------
    lines : DataFrame
        One row for each line that could be calculated, under its index in the order book.
    warps : DataFrame
        One row for each warp: what is wound, and for how many lines and pieces.
    yarn : DataFrame
        One row for each yarn that is used, with its colour: lengths, weight, cost.
    totals : DataFrame
        One row.
    problems : DataFrame
        One row for each cell that is wrong: sheet, row, column, problem, and its effect.
    """

    lines: pd.DataFrame
    warps: pd.DataFrame
    yarn: pd.DataFrame
    totals: pd.DataFrame
    problems: pd.DataFrame

    @property
    def needs(self) -> pd.DataFrame:
        """The yarn needed, as ``shopping_list`` takes it."""
        needs: pd.DataFrame = self.yarn[["name"]].assign(length=self.yarn["with_allowance"])
        return needs


def cost_batch(
    orders: pd.DataFrame,
    yarns: pd.DataFrame,
    settings: Mapping[str, Any],
    *,
    orders_sheet: str = "orders",
    yarns_sheet: str = "yarns",
) -> BatchCost:
    """Cost an order book of any length.

    Parameters
    ----------
    orders : DataFrame
        One row for each line: ``pieces``, finished ``width`` and ``length`` (hems included), ``sett``,
        ``weft_sett``, ``warp_yarn`` and ``weft_yarn`` (names in ``yarns``). It may have ``order``,
        ``product``, ``warp`` (a label: lines with one label share one warp; blank: a warp of its own),
        ``warp_pieces``, ``price`` (asked for a piece; blank: the price that the margin needs), ``repeat``,
        ``balance``, ``extra_ends``, ``row``, and a column for each of these settings that differs from line
        to line: ``take_up``, ``weft_slack``, ``draw_in``, ``shrinkage``, ``shrinkage_width``, ``waste``,
        ``between``, ``picks_a_minute``, ``efficiency``, ``finishing_hours``. All other settings are one for
        the whole batch, and a column of that name is told. ``row`` is the number by which the problems name
        a line, such as that on a sheet; without it lines are counted from 1, whatever their index.
    yarns : DataFrame
        One row for each yarn: ``name``, ``yarn`` (its count), ``fibre``, ``colour``, ``put_up_length``,
        ``put_up_price``, and perhaps ``row``.
    settings : mapping
        Needed: ``wage`` and ``overhead`` (money an hour), ``ends_wound_an_hour``,
        ``ends_threaded_an_hour``, ``spread`` (of yarn need), ``margin`` or ``markup``, and those for which
        ``orders`` has no column of its own: ``take_up``, ``weft_slack``, ``draw_in``,
        ``shrinkage``, ``shrinkage_width`` (shares: 10 % is 0.10), ``waste`` (once a warp),
        ``picks_a_minute``, ``efficiency``, ``finishing_hours`` (a piece). With a default: ``between`` (0),
        ``risk`` (0.05), ``fee_rate`` and ``fee_flat`` (0), ``per`` (in), ``length_unit`` (m),
        ``mass_unit`` (g). Lengths and setts are in the unit ``per``, yarn in the length unit.
    orders_sheet, yarns_sheet : str
        What the problems call the two tables.

    Returns
    -------
    BatchCost
        Lines, warps, yarn, totals, problems.

    Raises
    ------
    WeaveError
        When a setting or a whole column is missing or out of range, or something else than tables and a
        mapping is given. What is wrong with a cell is a line of the problems; the other rows calculate.

    Notes
    -----
    Yarn is counted at replacement cost by length, with the allowance of ``yarn_to_buy``; what a part
    put-up leaves over is the business of ``shopping_list``. Labour and overhead are hours times money an
    hour. Fees are taken on the price. The margin is the profit as a share of what fees leave of the
    price, and blank where they leave nothing: ``net`` is what they leave, below 0 a line costs money to
    sell, and ``profit`` is its loss. Arithmetic, not tax or legal advice.

    ``width_in_reed`` is the width of the ends that are wound, whole repeats and extra ends at the sett, and
    the weft is counted across it.

    Lines that share a warp carry its loom waste, winding and threading by their pieces: a line's
    ``warp_share`` is its pieces over ``warp_pieces``, all pieces on that warp; where a line leaves it blank,
    that of another line on the warp counts. Where none has ``warp_pieces``, the lines of this table are
    taken for all there are. Lines of one warp that differ in ends, warp yarn, sett, waste, ``between`` or
    ``warp_pieces`` are told, and each is costed as it stands. So a slice of a book costs the
    same alone as in the book if it holds all lines of its warps, or has ``warp_pieces``; its sums then
    add up to those of the book (``add_up``) whatever the slices.

    Examples
    --------
    Two runners of 360 picks: an hour at the loom, two of winding and threading.

    >>> import pandas as pd
    >>> orders = pd.DataFrame({"pieces": [2], "width": [10], "length": [36], "sett": [10], "weft_sett": [10],
    ...                        "warp_yarn": ["blue"], "weft_yarn": ["blue"]})
    >>> yarns = pd.DataFrame({"name": ["blue"], "put_up_length": [1000], "put_up_price": [10]})
    >>> settings = {"wage": 20, "overhead": 0, "ends_wound_an_hour": 100, "ends_threaded_an_hour": 100,
    ...             "spread": 0, "margin": 0.5, "take_up": 0, "weft_slack": 0, "draw_in": 0, "shrinkage": 0,
    ...             "shrinkage_width": 0, "waste": 0, "picks_a_minute": 12, "efficiency": 1,
    ...             "finishing_hours": 0}
    >>> cost_batch(orders, yarns, settings).totals[["hours", "yarn_cost", "cost"]].round(2).values.tolist()
    [[3.0, 3.66, 63.66]]
    """
    need_tables(orders=orders, yarns=yarns)
    values = read_settings(settings, WANTED)
    problems = Problems()
    stock = Yarns(yarns, yarns_sheet, problems)
    sheet = Sheet(orders, orders_sheet, problems, (*COLUMNS, *TEXTS, *OWN))
    sheet.need(*REQUIRED, "warp_yarn", "weft_yarn")
    needed(values, *ALIKE, *(name for name in OWN if not sheet.has(name)))
    one_way_to_price(values)

    for name in WANTED:
        if name not in OWN and sheet.has(name):
            text = f"{name} is one for the whole batch, and is set with the settings"
            problems.add(orders_sheet, 0, name, text, NOT_READ)
    warps = Warps(sheet)
    given = _read(sheet, warps, values)
    price = stock.metre_price
    yarn_places = {
        system: stock.find(sheet, f"{system}_yarn", price, "a put-up and its price")
        for system in ("warp", "weft")
    }
    allowed = wf.yarn_to_buy(1, values["spread"], values["risk"])
    allowed_price = price * allowed
    values["metres"] = _per_unit(values)
    while True:
        places = np.flatnonzero(sheet.good)
        columns = {name: chosen(column, places) for name, column in given.items()}
        threads = {system: chosen(column, places) for system, column in yarn_places.items()}
        columns["share"] = warps.share(places, columns)
        for system, column in threads.items():
            columns[f"{system}_price"] = allowed_price[column]
        made, refused = _in_blocks(columns, values, len(places))
        if not refused:
            break
        # Without these lines the others carry the whole of their warps: share those anew.
        for place, error in refused:
            of_book = COLUMN_OF.get(error.argument, error.argument)
            sheet.tell(int(places[place]), of_book, retold(error, of_book), LEFT_OUT)
    lines = _lines(sheet, places, made)
    return BatchCost(
        lines,
        warps.table(threads["warp"], stock, columns, made),
        _yarn(stock, threads, made, allowed, values),
        _totals(made, int(sheet.filled.sum()) - len(places)),
        problems.frame(),
    )


def _per_unit(values: Values) -> float:
    """Return how many units of yarn length one unit of the sett is."""
    unit = argument("yarn_mass", "length_unit").convert
    return float(unit(values["per"]) / unit(values["length_unit"]))


def _read(sheet: Sheet, warps: Warps, values: Values) -> Values:
    """Read the columns of numbers; settings that have no column stay single values."""
    given: Values = {}
    for name, (function, of, blank) in COLUMNS.items():
        if sheet.has(name):
            given[name] = sheet.numbers(name, argument(function, of), blank)
        else:
            values[name] = blank
    if "warp_pieces" in given:
        given["warp_pieces"] = warps.pieces_of_all(given["warp_pieces"])
        for place in np.flatnonzero(given["pieces"] > given["warp_pieces"]):
            pieces = f"the warp holds {given['warp_pieces'][place]:g} pieces, and this line has more"
            sheet.tell(int(place), "warp_pieces", pieces, LEFT_OUT)
    for name in OWN:
        if sheet.has(name):
            given[name] = sheet.numbers(name, SETTINGS[name].parameter, values[name])
    return given


def _in_blocks(given: Values, values: Values, count: int) -> tuple[Values, list[tuple[int, WeaveError]]]:
    """Calculate all lines; return their columns, and the lines that a function refuses."""
    made: Values = {}
    refused: list[tuple[int, WeaveError]] = []
    # A block that is refused is halved until the line stands alone.
    blocks = [(start, min(start + BLOCK, count)) for start in range(0, max(count, 1), BLOCK)][::-1]
    while blocks:
        start, stop = blocks.pop()
        part = {**values, **{name: column[start:stop] for name, column in given.items()}}
        try:
            results = _line(part)
        except WeaveError as error:
            if stop - start == 1:
                error.row = 0
                refused.append((start, error))
            else:
                middle = (start + stop) // 2
                blocks += [(middle, stop), (start, middle)]
            continue
        if not made:
            made = _room(results, count)
        for name, column in results.items():
            made[name][start:stop] = column
    return made, refused


def _room(results: Values, count: int) -> Values:
    """Make room for whole columns; those of floats share one piece of memory, which is made faster."""
    floats = [name for name, column in results.items() if column.dtype.kind == "f"]
    room = dict(zip(floats, np.empty((len(floats), count))))
    return {
        name: room.get(name, np.empty(0 if name in room else count, dtype=column.dtype))
        for name, column in results.items()
    }


def _line(at: Values) -> Values:
    """Calculate lines, given as columns: every formula is a function of weavefuncs."""
    pieces, share, metres = at["pieces"], at["share"], at["metres"]
    asked = wf.width_in_reed(at["width"], at["shrinkage_width"], at["draw_in"])
    ends = wf.ends(asked, at["sett"], at["repeat"], at["balance"], at["extra_ends"])
    # A pick crosses every end that is wound: whole repeats may be wider than what is asked.
    width = np.maximum(asked, ends / at["sett"])
    woven = wf.length_to_weave(at["length"], at["shrinkage"])
    picks = wf.picks_for(woven, at["weft_sett"])

    # The gaps to its neighbours on a shared warp, and the loom waste, fall to a line by its share.
    gaps, waste = (1 - share) * at["between"], share * at["waste"]
    of_pieces = wf.warp_length(woven, pieces, at["between"], at["take_up"], gaps)
    warp_length = of_pieces + waste
    warp_yarn = wf.warp_yarn(ends, warp_length) * metres
    waste_yarn = warp_yarn - wf.warp_yarn(ends, of_pieces) * metres
    weft_yarn = wf.weft_yarn(woven, at["weft_sett"], width, at["weft_slack"]) * pieces * metres
    waste_cost = waste_yarn * at["warp_price"]
    yarn_cost = warp_yarn * at["warp_price"] + weft_yarn * at["weft_price"]

    dressing = share * (
        wf.hours_for(ends, at["ends_wound_an_hour"]) + wf.hours_for(ends, at["ends_threaded_an_hour"])
    )
    weaving = wf.weaving_hours(picks, at["picks_a_minute"], at["efficiency"]) * pieces
    finishing = at["finishing_hours"] * pieces
    hours = dressing + weaving + finishing
    an_hour = at["wage"] + at["overhead"]

    setup = waste_cost + dressing * an_hour
    each = (yarn_cost - waste_cost + (weaving + finishing) * an_hour) / pieces
    cost = wf.batch_cost(setup, each, pieces)
    unit_cost = wf.unit_cost(setup, each, pieces)
    to_leave = (
        wf.price_from_markup(unit_cost, at["markup"])
        if at["margin"] is None
        else wf.price_from_margin(unit_cost, at["margin"])
    )
    to_ask = wf.price_for_net(to_leave, at["fee_rate"], at["fee_flat"])
    price = np.where(np.isnan(at["price"]), to_ask, at["price"])
    left = wf.net_after_fees(price, at["fee_rate"], at["fee_flat"])
    takings, net = price * pieces, left * pieces
    # Where fees leave nothing there is a loss, and no margin.
    earning = left > 0
    margin = np.where(earning, wf.margin(np.where(earning, left, unit_cost), unit_cost), np.nan)
    return {
        "pieces": pieces.astype(np.int64),
        "width_in_reed": width,
        "ends": ends,
        "woven_length": woven,
        "picks": picks,
        "warp_share": share,
        "warp_length": warp_length,
        "warp_yarn_length": warp_yarn,
        "weft_yarn_length": weft_yarn,
        "dressing_hours": dressing,
        "weaving_hours": weaving,
        "finishing_hours": finishing,
        "hours": hours,
        "yarn_cost": yarn_cost,
        "labour": hours * at["wage"],
        "overhead": hours * at["overhead"],
        "setup": setup,
        "each": each,
        "cost": cost,
        "unit_cost": unit_cost,
        "price_to_ask": to_ask,
        "price": price,
        "margin": margin,
        "takings": takings,
        "fees": takings - net,
        "net": net,
        "profit": net - cost,
    }


def _lines(sheet: Sheet, places: Places, made: Values) -> pd.DataFrame:
    """Put the columns of the lines together, under the index of the order book."""
    table = sheet.table if len(places) == len(sheet.table) else sheet.table.iloc[places]
    kept = {name: table[name].array for name in TEXTS if sheet.has(name)}
    lines: pd.DataFrame = pd.DataFrame({**kept, **made}, index=table.index, copy=False)
    return lines


def _yarn(
    stock: Yarns, threads: dict[str, Places], made: Values, allowed: float, values: Values
) -> pd.DataFrame:
    """Add up what each yarn is used for."""
    of = {
        system: summed(threads[system], made[f"{system}_yarn_length"], len(stock))
        for system in ("warp", "weft")
    }
    length = of["warp"] + of["weft"]
    with_allowance = length * allowed
    table = pd.DataFrame(
        {
            **columns_of(stock, "yarn", "fibre", "colour"),
            "warp_length": of["warp"],
            "weft_length": of["weft"],
            "length": length,
            "with_allowance": with_allowance,
            "mass": stock.mass(length, values["length_unit"], values["mass_unit"]),
            "cost": with_allowance * stock.metre_price,
        }
    )
    used: pd.DataFrame = table[length > 0].reset_index(drop=True)
    return used


def _totals(made: Values, left_out: int) -> pd.DataFrame:
    """Add up the lines; warps count as the shares of them that the lines carry."""
    sums = {"warps" if name == "warp_share" else name: made[name].sum() for name in SUMMED}
    return _with_margin(pd.DataFrame({"lines": [len(made["cost"])], "lines_left_out": [left_out], **sums}))


def _with_margin(totals: pd.DataFrame) -> pd.DataFrame:
    net, cost = float(totals["net"].iloc[0]), float(totals["cost"].iloc[0])
    # Nothing sold, or all of it eaten by fees, has no margin.
    # The sums of a long book lie beyond what one price may be; their ratio does not.
    totals["margin"] = wf.margin(net / cost, 1) if net > 0 and cost > 0 else np.nan
    return totals


def add_up(parts: Iterable[BatchCost]) -> BatchCost:
    """Add up the parts of an order book that were costed one by one.

    Parameters
    ----------
    parts : iterable of BatchCost
        One for each slice. A book too big for one machine adds up parts whose ``lines`` were emptied.

    Returns
    -------
    BatchCost
        As ``cost_batch`` gives it for the whole book, if each slice holds all lines of its warps or has
        ``warp_pieces``.

    Raises
    ------
    WeaveError
        When there are no parts.

    Notes
    -----
    Sums differ from those of the whole book by the computer's rounding only. A warp whose lines do not come
    to its pieces, or whose lines in different slices cannot lie on it, is told. Problems that read alike are
    one line: give the book a column ``row`` before it is sliced, for each slice counts its lines from 1.
    """
    parts = list(parts)
    if not parts:
        raise WeaveError("parts", "one part of an order book at least", "none")
    stacked = {name: pd.concat([getattr(part, name) for part in parts]) for name in TABLES}
    warps = stacked["warps"].reset_index(drop=True)
    # A warp that one line has to itself is like no other.
    alone = warps["warp"] == ""
    key = (
        warps["warp"]
        .astype(object)
        .map(same_name)
        .where(~alone, np.arange(len(warps)).astype(str).astype(object) + " alone")
    )
    of_warp = warps.groupby(key)
    setts_differ = of_warp["sett"].transform("max") > of_warp["sett"].transform("min") * (1 + DUST)
    yarns_differ = of_warp["warp_yarn"].transform("nunique") > 1
    unlike = set(warps["warp"][yarns_differ | setts_differ])
    first = dict.fromkeys(("warp", "warp_yarn", "sett"), "first")
    together = {**first, "ends": "max", "fewest_ends": "min"}
    warps = (
        warps.groupby(key, sort=False)
        .agg({name: together.get(name, "sum") for name in warps.columns})
        .reset_index(drop=True)
    )
    yarn = stacked["yarn"].groupby(YARN_TEXTS, sort=False).sum(min_count=1).reset_index()
    totals = stacked["totals"].drop(columns="margin").sum().to_frame().T
    totals = totals.astype(dict.fromkeys(("lines", "lines_left_out", "pieces"), "int64"))
    problems = pd.concat([stacked["problems"], _over_slices(warps, unlike)])
    return BatchCost(
        stacked["lines"], warps, yarn, _with_margin(totals), problems.drop_duplicates(ignore_index=True)
    )


def _over_slices(warps: pd.DataFrame, unlike: set[str]) -> pd.DataFrame:
    """Tell the warps that do not come out even over all slices."""
    problems = Problems()
    for warp, ends, fewest, share in zip(warps["warp"], warps["ends"], warps["fewest_ends"], warps["share"]):
        if ends != fewest or warp in unlike:
            problems.add("", 0, "warp", f"warp {warp} has lines that differ in ends, sett or warp yarn", TOLD)
        if abs(share - 1) > DUST:
            problems.add(
                "",
                0,
                "warp_pieces",
                f"the lines of warp {warp} come to {share:.6g} of its pieces, not to 1",
                TOLD,
            )
    return problems.frame()
