"""Kits: yarn with its allowance, kits in stock, the yarn that limits them, cost, price, break-even."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

import weavefuncs as wf
from weavefuncs.errors import WeaveError
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
    retold,
)
from weavefuncs.tables._settings import (
    SETTINGS,
    argument,
    need_mapping,
    needed,
    one_way_to_price,
    read_settings,
)
from weavefuncs.tables._yarns import Yarns

if TYPE_CHECKING:
    from collections.abc import Mapping

    from weavefuncs.tables._cells import Floats, Places

# Columns of a kit as a whole, which stand on one of its lines: whose bounds they keep.
OF_KIT = {
    "extras": ("kit_cost", "extras"),
    "hours": ("hours_for", "count"),
    "setup": ("break_even_quantity", "setup"),
    "price": ("net_after_fees", "price"),
}
WANTED = (
    "wage",
    "overhead",
    "spread",
    "risk",
    "margin",
    "markup",
    "fee_rate",
    "fee_flat",
    "winding_loss",
)

# The columns of the results, there even where no kit is.
KIT_COLUMNS = {
    "kit": TEXT,
    "yarns": WHOLE,
    "in_stock": WHOLE_OR_BLANK,
    "limiting_yarn": TEXT,
    "yarn_cost": NUMBER,
    "extras": NUMBER,
    "hours": NUMBER,
    "labour": NUMBER,
    "overhead": NUMBER,
    "unit_cost": NUMBER,
    "price_to_ask": NUMBER,
    "price": NUMBER,
    "fees": NUMBER,
    "net": NUMBER,
    "profit": NUMBER,
    "margin": NUMBER,
    "setup": NUMBER,
    "break_even": WHOLE_OR_BLANK,
}
YARN_COLUMNS = {
    "kit": TEXT,
    "name": TEXT,
    "colour": TEXT,
    "length": NUMBER,
    "with_allowance": NUMBER,
    "taken": NUMBER,
    "free": NUMBER,
    "cost": NUMBER,
}


@dataclass(frozen=True)
class KitPrices:
    """What kits take, cost and must sell for. Money and lengths are not rounded; see ``rounded``.

    Attributes
    ----------
    kits : DataFrame
        One row for each kit.
    yarn : DataFrame
        One row for each yarn of a kit: expected, with its allowance, taken from the cone, free.
    problems : DataFrame
        One row for each cell that is wrong: sheet, row, column, problem, and its effect.
    """

    kits: pd.DataFrame
    yarn: pd.DataFrame
    problems: pd.DataFrame

    def needs(self, count: Mapping[str, int]) -> pd.DataFrame:
        """Return the yarn for so many of each kit, as ``shopping_list`` takes it.

        Raises
        ------
        WeaveError
            When a kit is not among those priced, its count is no whole number, or the counts are no mapping.
        """
        need_mapping("count", count)
        known = list(self.kits["kit"])
        parameter = argument("batch_cost", "quantity")
        times = {}
        for kit, number in count.items():
            if kit not in known:
                raise WeaveError("count", "of kits that are priced: " + ", ".join(known), kit)
            times[kit] = parameter.convert(number)
        yarn = self.yarn[self.yarn["kit"].isin(list(times))]
        lengths = yarn["taken"] * yarn["kit"].map(times)
        needs: pd.DataFrame = yarn[["name"]].assign(length=lengths).reset_index(drop=True)
        return needs


def price_kits(
    recipes: pd.DataFrame,
    yarns: pd.DataFrame,
    settings: Mapping[str, Any],
    *,
    recipes_sheet: str = "recipes",
    yarns_sheet: str = "yarns",
) -> KitPrices:
    """Price kits.

    Parameters
    ----------
    recipes : DataFrame
        One row for each yarn of a kit: ``kit``, ``yarn`` (its name in ``yarns``) and ``length``, what one kit
        is expected to use. It may have ``spread`` (of that use; blank: the setting), and, on one line of the
        kit, ``extras`` (money for all else in it), ``hours`` (to wind, pack, post one), ``setup`` (money
        spent once: pattern, photographs) and ``price`` (asked; blank: what the margin needs). ``row`` is the
        number by which the problems name a line, such as that on a sheet; without it lines are counted from
        1, whatever their index.
    yarns : DataFrame
        One row for each yarn: ``name``, ``length`` (free), ``put_up_length``, ``put_up_price``; lengths in
        the unit of the recipes. It may have ``row``.
    settings : mapping
        ``wage``, ``overhead``, ``spread``, ``margin`` or ``markup``; ``risk`` (0.05), ``fee_rate``,
        ``fee_flat``, ``winding_loss`` (0).
    recipes_sheet, yarns_sheet : str
        What the problems call the two tables.

    Returns
    -------
    KitPrices
        Kits, yarn, problems.

    Raises
    ------
    WeaveError
        When a setting or a whole column is missing or out of range, or something else than tables and a
        mapping is given.

    Notes
    -----
    ``risk`` is the share of kits that may run short of any of their yarns. So each of n yarns has its
    allowance at risk / n: however the yarns' uses hang together, no more than the share runs short
    (Bonferroni's inequality), as far as the normal law of ``yarn_to_buy`` holds. A line in error leaves
    its whole kit out: a kit without one of its yarns has no cost. ``in_stock`` takes each kit as if no
    other were made. ``net`` is what fees leave of ``price``, below 0 a kit costs money to sell, and the
    ``margin`` is the profit as a share of it, blank where they leave nothing. ``break_even`` counts the kits
    that earn ``setup`` back at ``price``; it is blank where no number does, and the problems say so.
    Arithmetic, not tax or legal advice.

    Examples
    --------
    >>> import pandas as pd
    >>> recipes = pd.DataFrame({"kit": ["scarf"], "yarn": ["blue"], "length": [100], "hours": [0.5]})
    >>> yarns = pd.DataFrame({"name": ["blue"], "length": [950], "put_up_length": [1000],
    ...                       "put_up_price": [10]})
    >>> priced = price_kits(recipes, yarns, {"wage": 20, "overhead": 0, "spread": 0, "margin": 0.5})
    >>> priced.kits[["in_stock", "unit_cost", "price_to_ask"]].values.tolist()
    [[9, 11.0, 22.0]]
    """
    need_tables(recipes=recipes, yarns=yarns)
    values = read_settings(settings, WANTED)
    problems = Problems()
    stock = Yarns(yarns, yarns_sheet, problems)
    sheet = Sheet(recipes, recipes_sheet, problems, ("kit", "yarn", "length", "spread", *OF_KIT))
    sheet.need("kit", "yarn", "length")
    needed(values, "wage", "overhead")
    if not sheet.has("spread"):
        needed(values, "spread")
    one_way_to_price(values)

    kits, names = sheet.names("kit")
    length = sheet.numbers("length", argument("yarn_to_buy", "expected"))
    spread = (
        sheet.numbers("spread", SETTINGS["spread"].parameter, values["spread"])
        if sheet.has("spread")
        else np.full(len(kits), float(values["spread"]))
    )
    price = stock.metre_price
    places = stock.find(sheet, "yarn", price, "a put-up and its price")
    _yarns_once(sheet, kits, places, stock)
    of_kit = {
        name: _of_kit(sheet, name, kits, len(names)) if sheet.has(name) else np.full(len(names), np.nan)
        for name in OF_KIT
    }

    kit_rows, yarn_rows = [], []
    for kit, name in enumerate(names):
        lines = np.flatnonzero((kits == kit) & sheet.filled)
        if not sheet.good[lines].all():
            for line in lines[sheet.good[lines]]:
                sheet.tell(
                    int(line), "kit", f"another line of {name} is in error, so the kit is left out", LEFT_OUT
                )
            continue
        used = places[lines]
        risk = values["risk"] / len(lines)
        allowed = np.array([wf.yarn_to_buy(*of_line, risk) for of_line in zip(length[lines], spread[lines])])
        yarn = pd.DataFrame(
            {
                "kit": name,
                "name": [stock.names[place] for place in used],
                "colour": [stock.texts["colour"][place] for place in used],
                "length": length[lines],
                "with_allowance": allowed,
                "taken": allowed / (1 - values["winding_loss"]),
                "free": stock.length[used],
                "cost": allowed / (1 - values["winding_loss"]) * price[used],
            }
        )
        own = {column: float(numbers[kit]) for column, numbers in of_kit.items()}
        try:
            kit_rows.append(_kit(name, yarn, price[used], own, values))
        except WeaveError as error:
            sheet.tell(int(lines[0]), error.argument, retold(error, error.argument), LEFT_OUT)
            continue
        yarn_rows.append(yarn)
        _tell_blanks(sheet, int(lines[0]), yarn, kit_rows[-1], own)
    no_yarn = listed([], YARN_COLUMNS)
    return KitPrices(
        listed(kit_rows, KIT_COLUMNS), pd.concat([no_yarn, *yarn_rows], ignore_index=True), problems.frame()
    )


def _kit(
    name: str, yarn: pd.DataFrame, prices: Floats, own: dict[str, float], values: dict[str, Any]
) -> dict[str, Any]:
    """Calculate one kit: every formula is a function of weavefuncs."""
    extras, hours, setup = (0.0 if np.isnan(own[key]) else own[key] for key in ("extras", "hours", "setup"))
    amounts, taken, free = (yarn[column].tolist() for column in ("with_allowance", "taken", "free"))
    materials = wf.kit_cost(amounts, prices.tolist(), extras, values["winding_loss"])
    labour, overhead = hours * values["wage"], hours * values["overhead"]
    unit_cost = wf.unit_cost(0, materials + labour + overhead, 1)
    to_leave = (
        wf.price_from_markup(unit_cost, values["markup"])
        if values["margin"] is None
        else wf.price_from_margin(unit_cost, values["margin"])
    )
    to_ask = wf.price_for_net(to_leave, values["fee_rate"], values["fee_flat"])
    price = to_ask if np.isnan(own["price"]) else own["price"]
    net = wf.net_after_fees(price, values["fee_rate"], values["fee_flat"])
    known = not np.isnan(free).any()
    try:
        break_even: Any = wf.break_even_quantity(setup, net, unit_cost)
    except WeaveError:
        break_even = pd.NA
    return {
        "kit": name,
        "yarns": len(yarn),
        "in_stock": wf.kits_from_stock(free, taken) if known else pd.NA,
        "limiting_yarn": wf.limiting_yarn(free, taken, yarn["name"].tolist()) if known else "",
        "yarn_cost": materials - extras,
        "extras": extras,
        "hours": hours,
        "labour": labour,
        "overhead": overhead,
        "unit_cost": unit_cost,
        "price_to_ask": to_ask,
        "price": price,
        "fees": price - net,
        "net": net,
        "profit": net - unit_cost,
        # Where fees leave nothing there is a loss, and no margin.
        "margin": wf.margin(net, unit_cost) if net > 0 else np.nan,
        "setup": setup,
        "break_even": break_even,
    }


def _yarns_once(sheet: Sheet, kits: Places, places: Places, stock: Yarns) -> None:
    """Tell a yarn that stands twice in one kit."""
    seen: dict[tuple[int, int], int] = {}
    for line in np.flatnonzero(sheet.good):
        key = (int(kits[line]), int(places[line]))
        first = seen.setdefault(key, int(line))
        if first != line:
            text = (
                f"{stock.names[key[1]]} stands in this kit already, in row {sheet.row(first)}: add the two up"
            )
            sheet.tell(int(line), "yarn", text, LEFT_OUT)


def _of_kit(sheet: Sheet, column: str, kits: Places, count: int) -> Floats:
    """Read what stands on one line of each kit; nan where it stands on none."""
    numbers = sheet.numbers(column, argument(*OF_KIT[column]), np.nan)
    found = np.full(count, np.nan)
    for line in np.flatnonzero(~np.isnan(numbers) & (kits >= 0)):
        kit = kits[line]
        if np.isnan(found[kit]):
            found[kit] = numbers[line]
        elif found[kit] != numbers[line]:
            text = f"another line of the kit has {found[kit]:g}, and that is used: fill in one line a kit"
            sheet.tell(int(line), column, text, NOT_USED)
    return found


def _tell_blanks(
    sheet: Sheet, line: int, yarn: pd.DataFrame, kit: dict[str, Any], own: dict[str, float]
) -> None:
    """Tell what stays blank in the result, and why."""
    unknown = yarn["name"][yarn["free"].isna()]
    if len(unknown):
        names = ", ".join(unknown)
        sheet.tell(
            line, "yarn", f"kits in stock are not counted: the length of {names} is blank or in error", TOLD
        )
    if own["setup"] > 0 and kit["break_even"] is pd.NA:
        money = f"a kit brings in {kit['net']:.2f} and costs {kit['unit_cost']:.2f}"
        text = f"{money}: no number of kits earns the setup back"
        sheet.tell(line, "price", text, TOLD)
