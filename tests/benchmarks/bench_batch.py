"""Costing an order book against hand-written numpy.

Both start from the same table and end in the same columns, warps, yarn and totals; both look yarns and
warps up by their texts. Nothing is checked by hand, everything by ``cost_batch``.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from statistics import NormalDist

import numpy as np
import pandas as pd
from measured import ROUNDS, Row, apart, memory, turns

from weavefuncs import tables

YARNS = 60

SETTINGS = {
    "wage": 22,
    "overhead": 4,
    "take_up": 0.1,
    "weft_slack": 0.04,
    "draw_in": 0.08,
    "shrinkage": 0.06,
    "shrinkage_width": 0.05,
    "waste": 27,
    "between": 1,
    "ends_wound_an_hour": 120,
    "ends_threaded_an_hour": 60,
    "picks_a_minute": 14,
    "efficiency": 0.7,
    "finishing_hours": 0.4,
    "spread": 0.05,
    "risk": 0.05,
    "margin": 0.3,
    "fee_rate": 0.08,
    "fee_flat": 0.5,
}


def book(lines: int, categories: bool) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Invent an order book: four lines a warp, sixty yarns, a price asked on every other line."""
    generator = np.random.default_rng(1)
    names = np.array([f"yarn {number}" for number in range(YARNS)], dtype=object)
    yarns = pd.DataFrame(
        {
            "name": names,
            "yarn": "8/2 Ne",
            "fibre": "cotton",
            "colour": [f"colour {number % 12}" for number in range(YARNS)],
            "put_up_length": generator.uniform(500, 3000, YARNS).round(),
            "put_up_price": generator.uniform(8, 40, YARNS).round(2),
        }
    )
    warps = (lines + 3) // 4
    warp = np.arange(lines) // 4
    orders = pd.DataFrame(
        {
            "pieces": generator.integers(1, 20, lines),
            "width": generator.uniform(8, 40, warps).round(1)[warp],
            "length": generator.uniform(20, 80, lines).round(1),
            "sett": generator.integers(8, 30, warps)[warp],
            "weft_sett": generator.integers(8, 30, lines),
            "warp": np.array([f"W{number}" for number in range(warps)], dtype=object)[warp],
            "warp_yarn": names[generator.integers(0, YARNS, warps)[warp]],
            "weft_yarn": names[generator.integers(0, YARNS, lines)],
            "price": np.where(
                generator.random(lines) < 0.5, np.nan, generator.uniform(40, 400, lines).round(2)
            ),
        }
    )
    if categories:
        texts = ("warp", "warp_yarn", "weft_yarn")
        orders = orders.astype(dict.fromkeys(texts, "category"))
    return orders, yarns


def by_hand(orders: pd.DataFrame, yarns: pd.DataFrame) -> tuple[pd.DataFrame, ...]:
    """Do the sums of ``cost_batch`` in plain numpy, as one would who trusts every cell."""
    s = SETTINGS
    pieces, width, length, sett, weft_sett, asked = (
        orders[name].to_numpy() for name in ("pieces", "width", "length", "sett", "weft_sett", "price")
    )
    warp, labels = pd.factorize(orders["warp"])
    names = pd.Index(yarns["name"])
    place = {}
    for system in ("warp", "weft"):
        codes, found = pd.factorize(orders[f"{system}_yarn"])
        place[system] = names.get_indexer(found)[codes]
    allowed = 1 + NormalDist().inv_cdf(1 - s["risk"]) * s["spread"]
    price_of_metre = (yarns["put_up_price"] / yarns["put_up_length"]).to_numpy()
    warp_price, weft_price = (price_of_metre[place[system]] * allowed for system in ("warp", "weft"))

    share = pieces / np.bincount(warp, weights=pieces)[warp]
    asked_width = width / (1 - s["shrinkage_width"]) / (1 - s["draw_in"])
    ends = np.ceil(asked_width * sett * (1 - 1e-12))
    in_reed = np.maximum(asked_width, ends / sett)
    woven = length / (1 - s["shrinkage"])
    picks = np.ceil(woven * weft_sett * (1 - 1e-12))
    of_pieces = pieces * woven / (1 - s["take_up"]) + (pieces - share) * s["between"]
    warp_length = of_pieces + share * s["waste"]
    warp_yarn = ends * warp_length * 0.0254
    waste_yarn = ends * share * s["waste"] * 0.0254
    weft_yarn = picks * in_reed / (1 - s["weft_slack"]) * pieces * 0.0254
    waste_cost = waste_yarn * warp_price
    yarn_cost = warp_yarn * warp_price + weft_yarn * weft_price
    dressing = share * (ends / s["ends_wound_an_hour"] + ends / s["ends_threaded_an_hour"])
    weaving = picks * pieces / (s["picks_a_minute"] * 60 * s["efficiency"])
    finishing = pieces * s["finishing_hours"]
    hours = dressing + weaving + finishing
    an_hour = s["wage"] + s["overhead"]
    setup = waste_cost + dressing * an_hour
    each = (yarn_cost - waste_cost + (weaving + finishing) * an_hour) / pieces
    unit_cost = setup / pieces + each
    cost = setup + each * pieces
    to_ask = (unit_cost / (1 - s["margin"]) + s["fee_flat"]) / (1 - s["fee_rate"])
    price = np.where(np.isnan(asked), to_ask, asked)
    left = price * (1 - s["fee_rate"]) - s["fee_flat"]
    takings, net = price * pieces, left * pieces
    lines = pd.DataFrame(
        {
            **{name: orders[name].array for name in ("warp", "warp_yarn", "weft_yarn")},
            "pieces": pieces,
            "width_in_reed": in_reed,
            "ends": ends.astype(np.int64),
            "woven_length": woven,
            "picks": picks.astype(np.int64),
            "warp_share": share,
            "warp_length": warp_length,
            "warp_yarn_length": warp_yarn,
            "weft_yarn_length": weft_yarn,
            "dressing_hours": dressing,
            "weaving_hours": weaving,
            "finishing_hours": finishing,
            "hours": hours,
            "yarn_cost": yarn_cost,
            "labour": hours * s["wage"],
            "overhead": hours * s["overhead"],
            "setup": setup,
            "each": each,
            "cost": cost,
            "unit_cost": unit_cost,
            "price_to_ask": to_ask,
            "price": price,
            "margin": (left - unit_cost) / left,
            "takings": takings,
            "fees": takings - net,
            "net": net,
            "profit": net - cost,
        },
        copy=False,
    )
    first = np.zeros(len(labels), dtype=np.intp)
    first[warp[::-1]] = np.arange(len(warp))[::-1]
    warps = pd.DataFrame(
        {
            "warp": labels,
            "warp_yarn": names.to_numpy()[place["warp"][first]],
            "lines": np.bincount(warp),
            "pieces": np.bincount(warp, weights=pieces),
            "ends": ends[first],
            **{
                name: np.bincount(warp, weights=column)
                for name, column in (
                    ("length", warp_length),
                    ("yarn_length", warp_yarn),
                    ("dressing_hours", dressing),
                    ("share", share),
                )
            },
        }
    )
    used = {
        system: np.bincount(place[system], weights=column, minlength=len(yarns))
        for system, column in (("warp", warp_yarn), ("weft", weft_yarn))
    }
    length_used = used["warp"] + used["weft"]
    yarn = yarns[["name", "yarn", "fibre", "colour"]].assign(
        warp_length=used["warp"],
        weft_length=used["weft"],
        length=length_used,
        with_allowance=length_used * allowed,
        mass=length_used * (590.5412474 * 2 / 8) / 1000 / 2,
        cost=length_used * allowed * price_of_metre,
    )
    totals = lines.select_dtypes("number").sum().to_frame().T
    return lines, warps, yarn, totals


def ours(orders: pd.DataFrame, yarns: pd.DataFrame) -> tables.BatchCost:
    """Cost the same book."""
    return tables.cost_batch(orders, yarns, SETTINGS)


def rows(quick: bool) -> Iterator[Row]:
    """Compare books of 1, 10 and 100 times the lines, yarns and warps named by texts and by categories."""
    for lines in (10_000, 100_000) if quick else (10_000, 100_000, 1_000_000):
        for categories in (False, True):
            orders, yarns = book(lines, categories)
            same(by_hand(orders, yarns), ours(orders, yarns))
            calls = partial(ours, orders, yarns), partial(by_hand, orders, yarns)
            label = f"cost_batch, {'categories' if categories else 'plain texts'}"
            work = f"{lines:,} order lines"
            aim = "1.3" if lines == 1_000_000 else ""  # below, what a call costs at all counts
            yield turns(*calls, 1 if quick else ROUNDS).row(label, work, "hand-written numpy", aim)
            if lines > 10_000:
                one, other = (apart(book, call, lines, categories) for call in (ours, by_hand))
                yield memory(label, work, one, "hand-written numpy", other)


def same(theirs: tuple[pd.DataFrame, ...], mine: tables.BatchCost) -> None:
    """Make sure that both did the same work."""
    for name in ("cost", "profit", "yarn_cost", "hours", "warp_yarn_length"):
        assert np.allclose(theirs[0][name], mine.lines[name], rtol=1e-9), name
    assert np.allclose(theirs[1]["length"], mine.warps["length"])
    assert np.allclose(theirs[2]["cost"].sum(), mine.yarn["cost"].sum())
    assert len(mine.problems) == 0
