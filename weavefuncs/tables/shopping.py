"""The shopping list: whole put-ups for everything planned, what they cost, and what is left over."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

import weavefuncs as wf
from weavefuncs.errors import WeaveError
from weavefuncs.tables._cells import TOLD, Problems, Sheet, need_tables, summed
from weavefuncs.tables._settings import argument
from weavefuncs.tables._yarns import Yarns, columns_of

if TYPE_CHECKING:
    from weavefuncs.tables._cells import Floats


@dataclass(frozen=True)
class ShoppingList:
    """What to buy. Money and lengths are not rounded; see ``rounded``.

    Attributes
    ----------
    list : DataFrame
        One row for each yarn that is needed, in the order of the yarns.
    totals : DataFrame
        One row: put-ups to buy and their cost.
    problems : DataFrame
        One row for each cell that is wrong: sheet, row, column, problem, and its effect.
    """

    list: pd.DataFrame
    totals: pd.DataFrame
    problems: pd.DataFrame


def shopping_list(
    needs: pd.DataFrame | Mapping[str, pd.DataFrame], yarns: pd.DataFrame, *, yarns_sheet: str = "yarns"
) -> ShoppingList:
    """List what to buy for everything planned.

    Parameters
    ----------
    needs : DataFrame or mapping of DataFrames
        One row for each need: ``name`` (of a yarn) and ``length``, allowance included. Several plans are
        given as a mapping from what each is called, such as ``{"batch": batch.needs, "kits": ...}``.
    yarns : DataFrame
        One row for each yarn: ``name``, ``length`` (free; blank: none), ``put_up_length``, ``put_up_price``,
        and perhaps ``yarn``, ``fibre``, ``colour``, ``lot``. ``row``, here or among the needs, is the number
        by which the problems name a line, such as that on a sheet; without it lines are counted from 1,
        whatever their index.
    yarns_sheet : str
        What the problems call the yarns.

    Returns
    -------
    ShoppingList
        The list, totals, problems.

    Raises
    ------
    WeaveError
        When a whole column is missing, or something else than tables is given.

    Notes
    -----
    The needs of one yarn are summed over all plans before they are held against the stash and rounded up
    to whole put-ups: two plans that each need half a cone buy one. Where a yarn is short and its put-up is
    not known, put-ups and cost are blank, the total leaves them out, and the problems say so. ``left`` is
    what the stash holds when all is woven. A yarn whose length is in error counts as none left.

    Examples
    --------
    >>> import pandas as pd
    >>> needs = pd.DataFrame({"name": ["blue"], "length": [1200]})
    >>> yarns = pd.DataFrame({"name": ["blue"], "length": [700], "put_up_length": [400], "put_up_price": [9]})
    >>> shopping_list(needs, yarns).list[["name", "short", "put_ups", "left", "cost"]].values.tolist()
    [['blue', 500.0, 2, 300.0, 18.0]]
    """
    plans = needs if isinstance(needs, Mapping) else {"needs": needs}
    if not all(isinstance(table, pd.DataFrame) for table in plans.values()):
        raise WeaveError("needs", "a pandas DataFrame, or a mapping of names to DataFrames", needs)
    need_tables(yarns=yarns)
    problems = Problems()
    stock = Yarns(yarns, yarns_sheet, problems)
    needed = np.zeros(len(stock))
    planned: list[Floats] = []
    for label, table in plans.items():
        sheet = Sheet(table, label, problems, ("name", "length"))
        sheet.need("name", "length")
        length = sheet.numbers("length", argument("put_ups", "needed"))
        places = stock.find(sheet, "name")
        good = sheet.good
        planned.append(summed(places[good], length[good], len(stock)))
        needed = needed + planned[-1]
    free = np.where(np.isnan(stock.length), 0, stock.length)
    short = wf.short_by(needed, free)
    buy = short > 0
    known = ~np.isnan(stock.put_up_length)
    put_ups = np.where(buy, np.nan, 0.0)
    bought = np.zeros(len(stock))
    sure = buy & known
    if sure.any():
        put_ups[sure] = wf.put_ups(short[sure], stock.put_up_length[sure])
        bought[sure] = put_ups[sure] * stock.put_up_length[sure]
    cost = np.where(put_ups == 0, 0.0, put_ups * stock.put_up_price)
    for place in np.flatnonzero(buy & np.isnan(cost)):
        lacks = "price of a put-up" if known[place] else "length of a put-up"
        text = f"{stock.names[place]} is short by {short[place]:.6g}, and its {lacks} is blank or in error"
        problems.add(yarns_sheet, 0, "put_up_price" if known[place] else "put_up_length", text, TOLD)
    wanted = needed > 0
    left = np.where(buy & ~known, np.nan, free + bought - needed)
    table = pd.DataFrame(
        {
            **columns_of(stock, "yarn", "fibre", "colour", "lot"),
            **({f"for {label}": of_plan for label, of_plan in zip(plans, planned)} if len(plans) > 1 else {}),
            "needed": needed,
            "free": free,
            "short": short,
            "put_ups": pd.array(put_ups, dtype="Int64"),
            "bought": bought,
            # Float dust below nothing is nothing.
            "left": np.where(left < 0, 0.0, left),
            "cost": cost,
        }
    )[wanted].reset_index(drop=True)
    totals = pd.DataFrame({"put_ups": [int(table["put_ups"].sum())], "cost": [float(table["cost"].sum())]})
    return ShoppingList(table, totals, problems.frame())
