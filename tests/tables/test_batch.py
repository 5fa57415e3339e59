"""An order book: each line is the functions called one by one, and its sums add up over any slices."""

from __future__ import annotations

import subprocess
import sys
from decimal import Decimal

import dask
import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs import tables

YARNS = pd.DataFrame(
    {
        "name": ["white", "blue", "grey"],
        "yarn": ["8/2 Ne", "8/2 Ne", "16/2 Nm"],
        "fibre": ["cotton", "cotton", "wool"],
        "colour": ["white", "blue", "grey"],
        "put_up_length": [1500, 1500, 800],
        "put_up_price": [18.0, 21, 24],
    }
)
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
    "risk": 0.1,
    "margin": 0.3,
    "fee_rate": 0.08,
    "fee_flat": 0.5,
}
ORDERS = pd.DataFrame(
    {
        "order": ["A", "A", "B", "C"],
        "product": ["towel", "towel", "scarf", "runner"],
        "pieces": [8, 16, 2, 1],
        "width": [18, 18, 8, 14.5],
        "length": [28, 28, 70, 44],
        "sett": [20, 20, 24, 15],
        "weft_sett": [18, 18, 20, 13],
        "warp": ["one", "One ", None, ""],
        "warp_yarn": ["white", "white", "grey", "Blue"],
        "weft_yarn": ["white", "blue", "grey", "white"],
        "price": [None, 38, None, 150],
    }
)


def cost(orders: pd.DataFrame = ORDERS, yarns: pd.DataFrame = YARNS, **changed: object) -> tables.BatchCost:
    return tables.cost_batch(orders, yarns, {**SETTINGS, **changed})


def told(result: object) -> list[tuple[object, ...]]:
    return list(result.problems[["sheet", "row", "column", "effect"]].itertuples(index=False, name=None))


# Lines


@pytest.mark.parametrize("line", range(len(ORDERS)))
def test_a_line_is_the_functions_called_one_by_one(line: int) -> None:
    s = SETTINGS
    order = ORDERS.iloc[line]
    on_warp = 24 if order["product"] == "towel" else order["pieces"]
    pieces, share = int(order["pieces"]), order["pieces"] / on_warp
    width = wf.width_in_reed(order["width"], s["shrinkage_width"], s["draw_in"])
    ends = wf.ends(width, order["sett"])
    width = ends / order["sett"]
    woven = wf.length_to_weave(order["length"], s["shrinkage"])
    picks = wf.picks_for(woven, order["weft_sett"])
    # The whole warp, and the part of it that is this line's.
    whole = wf.warp_length(woven, on_warp, s["between"], s["take_up"], s["waste"])
    allowed = wf.yarn_to_buy(1, s["spread"], s["risk"])
    yarn_cost = 0.0
    lengths = {
        "warp": wf.warp_yarn(ends, whole) * share * 0.0254,
        "weft": wf.weft_yarn(woven, order["weft_sett"], width, s["weft_slack"]) * pieces * 0.0254,
    }
    for system, length in lengths.items():
        yarn = YARNS.set_index("name").loc[order[f"{system}_yarn"].lower()]
        yarn_cost += wf.stash_value(
            wf.yarn_to_buy(length, s["spread"], s["risk"]), yarn["put_up_length"], yarn["put_up_price"]
        )
    dressing = (
        wf.hours_for(ends, s["ends_wound_an_hour"]) + wf.hours_for(ends, s["ends_threaded_an_hour"])
    ) * share
    weaving = wf.weaving_hours(picks * pieces, s["picks_a_minute"], s["efficiency"])
    hours = dressing + weaving + s["finishing_hours"] * pieces
    each = wf.unit_cost(0, yarn_cost + hours * (s["wage"] + s["overhead"]), 1) / pieces
    to_ask = wf.price_for_net(wf.price_from_margin(each, s["margin"]), s["fee_rate"], s["fee_flat"])
    price = to_ask if pd.isna(order["price"]) else order["price"]
    left = wf.net_after_fees(price, s["fee_rate"], s["fee_flat"])

    row = cost().lines.iloc[line]
    assert (row["ends"], row["picks"], row["pieces"]) == (ends, picks, pieces)
    expected = {
        "width_in_reed": width,
        "woven_length": woven,
        "warp_share": share,
        "warp_length": whole * share,
        "warp_yarn_length": lengths["warp"],
        "weft_yarn_length": lengths["weft"],
        "yarn_cost": yarn_cost,
        "dressing_hours": dressing,
        "hours": hours,
        "labour": hours * s["wage"],
        "overhead": hours * s["overhead"],
        "unit_cost": each,
        "cost": each * pieces,
        "price_to_ask": to_ask,
        "price": price,
        "net": left * pieces,
        "fees": (price - left) * pieces,
        "profit": (left - each) * pieces,
        "margin": wf.margin(left, each),
    }
    assert {name: row[name] for name in expected} == pytest.approx(expected, rel=1e-12)
    # What is spent once and what every piece costs make up the cost.
    assert wf.batch_cost(row["setup"], row["each"], pieces) == pytest.approx(row["cost"], rel=1e-12)
    assert allowed > 1


def test_lines_keep_the_index_and_texts_of_the_book() -> None:
    orders = ORDERS.set_axis(["d", "c", "b", "a"])
    result = cost(orders)
    assert list(result.lines.index) == ["d", "c", "b", "a"]
    assert list(result.lines["product"]) == list(ORDERS["product"])


def test_the_weft_crosses_every_end_that_is_wound() -> None:
    # By hand: 19 in at 10 are 190 ends, with whole repeats of 60 they are 240, and with 4 for the selvedges
    # 244: 24.4 in. Each of 2 pieces has 360 picks of 24.4 / 0.8 = 30.5 in, at 0.0254 m the inch.
    orders = ORDERS.iloc[[2]].assign(width=19, length=36, sett=10, weft_sett=10, repeat=60, extra_ends=4)
    plain = {"draw_in": 0, "shrinkage_width": 0, "shrinkage": 0, "weft_slack": 0.2, "spread": 0}
    result = cost(orders, **plain)
    line = result.lines.iloc[0]
    assert (line["ends"], line["width_in_reed"]) == (244, 24.4)
    assert line["weft_yarn_length"] == pytest.approx(2 * 360 * 30.5 * 0.0254)
    assert result.yarn["weft_length"].tolist() == pytest.approx([557.784])
    assert result.needs["length"].iloc[0] - line["warp_yarn_length"] == pytest.approx(557.784)
    # Without repeats the last end makes the width whole: 19.02 in at 10 are 191 ends, 19.1 in.
    plainly = cost(orders.assign(width=19.02, repeat=1, extra_ends=0), **plain).lines.iloc[0]
    assert (plainly["ends"], plainly["width_in_reed"]) == (191, 19.1)


def test_one_warp_is_dressed_once() -> None:
    result = cost()
    warps = result.warps.set_index("warp")
    assert list(result.warps["warp"]) == ["one", "", ""]
    assert list(result.warps["lines"]) == [2, 1, 1]
    assert warps.loc["one", "pieces"] == 24
    woven = wf.length_to_weave(28, 0.06)
    assert warps.loc["one", "length"] == pytest.approx(wf.warp_length(woven, 24, 1, 0.1, 27))
    assert result.warps["share"].tolist() == pytest.approx([1, 1, 1])
    apart = cost(ORDERS.assign(warp=None))
    saved = wf.hours_for(warps.loc["one", "ends"], 120) + wf.hours_for(warps.loc["one", "ends"], 60)
    assert apart.totals["hours"].iloc[0] - result.totals["hours"].iloc[0] == pytest.approx(saved)
    assert apart.totals["warps"].iloc[0] == pytest.approx(4)
    assert result.totals["warps"].iloc[0] == pytest.approx(3)


def test_yarn_by_colour_adds_up() -> None:
    result = cost()
    lines, yarn, totals = result.lines, result.yarn.set_index("colour"), result.totals.iloc[0]
    assert yarn.loc["blue", "weft_length"] == pytest.approx(lines["weft_yarn_length"].iloc[1])
    assert yarn.loc["blue", "warp_length"] == pytest.approx(lines["warp_yarn_length"].iloc[3])
    assert yarn["length"].sum() == pytest.approx(
        (lines["warp_yarn_length"] + lines["weft_yarn_length"]).sum()
    )
    assert yarn["cost"].sum() == pytest.approx(totals["yarn_cost"])
    assert yarn.loc["grey", "mass"] == pytest.approx(wf.yarn_mass(yarn.loc["grey", "length"], "16/2 Nm"))
    assert totals["cost"] == pytest.approx(totals["yarn_cost"] + totals["labour"] + totals["overhead"])
    assert totals["takings"] == pytest.approx(totals["fees"] + totals["cost"] + totals["profit"])


def test_units() -> None:
    metric = ORDERS.assign(width=ORDERS["width"] * 2.54, length=ORDERS["length"] * 2.54)
    metric = metric.assign(sett=metric["sett"] / 2.54, weft_sett=metric["weft_sett"] / 2.54)
    in_yards = YARNS.assign(put_up_length=YARNS["put_up_length"] / 0.9144)
    changed = {"per": "cm", "length_unit": "yd", "mass_unit": "lb", "waste": 27 * 2.54, "between": 2.54}
    inches, centimetres = cost(), cost(metric, in_yards, **changed)
    assert centimetres.totals["cost"].iloc[0] == pytest.approx(inches.totals["cost"].iloc[0])
    assert (centimetres.yarn["length"] * 0.9144).tolist() == pytest.approx(inches.yarn["length"].tolist())
    assert (centimetres.yarn["mass"] * 453.59237).tolist() == pytest.approx(inches.yarn["mass"].tolist())


def test_a_line_may_have_its_own_allowance() -> None:
    own = cost(ORDERS.assign(take_up=[None, None, 0.2, None], waste=[27, 27, 40, 27]))
    changed = cost(ORDERS.iloc[[2]], take_up=0.2, waste=40)
    assert own.lines.loc[[2]].drop(columns=["warp"]).equals(changed.lines.drop(columns=["warp"]))
    assert own.lines.loc[[0, 1, 3], "cost"].equals(cost().lines.loc[[0, 1, 3], "cost"])


# Published rules of pricing, and what is often confused


def test_louisiana_and_mp598() -> None:
    # LOUISIANA: wholesale = materials + hours × wage + overhead, retail twice that, a markup of 1.
    # MP598: materials at what they cost to replace, a fair wage for the time, and overhead.
    result = cost(ORDERS.assign(price=None), margin=None, markup=1, fee_rate=0, fee_flat=0)
    lines = result.lines
    # At replacement cost: the price of a put-up today, by the length that is needed.
    used = result.yarn.set_index("name")["with_allowance"]
    materials = sum(
        used[name] / length * price
        for name, length, price in YARNS[["name", "put_up_length", "put_up_price"]].itertuples(index=False)
    )
    totals = result.totals.iloc[0]
    wholesale = materials + totals["hours"] * 22 + totals["hours"] * 4
    assert totals["cost"] == pytest.approx(wholesale)
    assert totals["takings"] == pytest.approx(2 * wholesale)
    assert lines["price"].tolist() == pytest.approx((2 * lines["unit_cost"]).tolist())
    # Twice the cost is a markup of 100 % and a margin of 50 %.
    assert lines["margin"].tolist() == pytest.approx([0.5] * len(lines))


def test_fees_are_taken_on_the_price() -> None:
    lines = cost(ORDERS.assign(price=None), fee_rate=0.1, fee_flat=2).lines
    # Of the price a tenth and the flat fee go; what is left has the margin.
    assert (lines["price"] * 0.9 - 2).tolist() == pytest.approx((lines["unit_cost"] / 0.7).tolist())
    assert lines["fees"].tolist() == pytest.approx(((lines["price"] * 0.1 + 2) * lines["pieces"]).tolist())
    assert lines["margin"].tolist() == pytest.approx([0.3] * len(lines))


@pytest.mark.parametrize(
    ("price", "net"),
    [(0.25, -0.375), (1, 0.0)],  # by hand, of a half and a flat fee of a half
)
def test_a_price_that_fees_eat_up_is_a_loss_and_no_margin(price: float, net: float) -> None:
    asked = cost(ORDERS.assign(price=[40, price, None, 150]), fee_rate=0.5, fee_flat=0.5)
    usual = cost(ORDERS.assign(price=[40, 40, None, 150]), fee_rate=0.5, fee_flat=0.5)
    assert asked.problems.empty
    line = asked.lines.iloc[1]
    assert (line["price"], line["net"]) == (price, 16 * net)
    assert line["fees"] == pytest.approx(16 * (price - net))
    assert line["profit"] == pytest.approx(16 * net - line["cost"])
    assert asked.lines["margin"].isna().tolist() == [False, True, False, False]
    # Its yarn and hours are needed at any price.
    assert asked.yarn.equals(usual.yarn)
    same = ["hours", "cost", "lines", "warps"]
    assert asked.totals[same].equals(usual.totals[same])
    # Fees leave 19.5 of 40.
    assert asked.totals["net"].iloc[0] == pytest.approx(usual.totals["net"].iloc[0] - 16 * (19.5 - net))


def test_money_is_rounded_once_half_up() -> None:
    exact = pd.DataFrame({"cost": [2.675, 1.005, -0.125, 0.1 + 0.2, float("nan"), 0.004], "ends": [1.55] * 6})
    other = pd.DataFrame({"name": ["x"]})
    shown = tables.rounded(tables.BatchCost(exact, other, other, other, other))
    assert shown.lines["cost"].tolist()[:4] == [2.68, 1.01, -0.13, 0.3]
    assert np.isnan(shown.lines["cost"].iloc[4])
    assert shown.lines["ends"].equals(exact["ends"])
    result = cost()
    cents = tables.rounded(result)
    # The total is the rounded sum of exact lines, not the sum of rounded ones.
    assert cents.totals["cost"].iloc[0] == round(float(result.lines["cost"].sum()), 2)
    assert tables.rounded(result, 0).totals["cost"].iloc[0] == round(float(result.lines["cost"].sum()))
    with pytest.raises(wf.WeaveError, match="decimals must be a whole number from 0 to 6"):
        tables.rounded(result, 0.5)


# Slices


def add_up_equals(parts: list[tables.BatchCost], whole: tables.BatchCost) -> None:
    summed = tables.add_up(parts)
    assert summed.totals.columns.equals(whole.totals.columns)
    assert summed.totals.iloc[0].tolist() == pytest.approx(whole.totals.iloc[0].tolist(), rel=1e-9, abs=1e-9)
    pd.testing.assert_frame_equal(summed.lines.sort_index(), whole.lines, rtol=1e-9)
    by_name = [table.set_index("name").sort_index() for table in (summed.yarn, whole.yarn)]
    pd.testing.assert_frame_equal(*by_name, rtol=1e-9)
    shared = [
        table[table["warp"] != ""].set_index("warp").sort_index() for table in (summed.warps, whole.warps)
    ]
    pd.testing.assert_frame_equal(*shared, rtol=1e-9)
    assert len(summed.warps) == len(whole.warps)
    assert summed.problems.empty == whole.problems.empty


def book(generator: np.random.Generator, lines: int) -> pd.DataFrame:
    warp = generator.integers(0, 5, lines)
    return pd.DataFrame(
        {
            "pieces": generator.integers(1, 9, lines),
            "width": (10.0 + warp),
            "length": generator.integers(20, 60, lines) / 1.0,
            "sett": 20,
            "weft_sett": generator.integers(10, 20, lines),
            # No label: a warp of its own.
            "warp": np.where(warp == 4, "", np.char.add("warp ", warp.astype(str))),
            "warp_yarn": "white",
            "weft_yarn": np.array(["white", "blue", "grey"])[generator.integers(0, 3, lines)],
        }
    )


@settings(deadline=None, derandomize=True, max_examples=8)
@given(st.integers(0, 2**32), st.lists(st.integers(0, 3), min_size=1, max_size=12))
def test_any_slices_add_up_where_the_book_says_the_pieces_on_each_warp(seed: int, slices: list[int]) -> None:
    orders = book(np.random.default_rng(seed), len(slices))
    whole = cost(orders)
    pieces = orders.groupby("warp")["pieces"].transform("sum").where(orders["warp"] != "")
    orders = orders.assign(warp_pieces=pieces)
    parts = [cost(part) for _, part in orders.groupby(np.array(slices))]
    add_up_equals(parts, whole)


@settings(deadline=None, derandomize=True, max_examples=4)
@given(st.integers(0, 2**32))
def test_slices_by_warp_add_up_as_they_are(seed: int) -> None:
    orders = book(np.random.default_rng(seed), 12)
    parts = [cost(part) for _, part in orders.groupby(orders["warp"].str[-1:])]
    add_up_equals(parts, cost(orders))


def test_dask_with_two_processes_gives_the_same_totals() -> None:
    orders = book(np.random.default_rng(5), 60)
    whole = cost(orders)
    on_warp = orders.groupby("warp")["pieces"].transform("sum").where(orders["warp"] != "")
    orders = orders.assign(warp_pieces=on_warp)
    run = dask.delayed(tables.cost_batch, pure=True)
    parts = [run(orders.iloc[start : start + 20], YARNS, SETTINGS) for start in (0, 20, 40)]
    made = dask.compute(*parts, scheduler="processes", num_workers=2)
    add_up_equals(list(made), whole)


def test_what_does_not_come_out_even_over_slices_is_told() -> None:
    orders = ORDERS.assign(warp_pieces=[24, 24, None, None])
    assert tables.add_up([cost(orders)]).problems.empty
    half = tables.add_up([cost(orders.iloc[[0]]), cost(orders.iloc[[2]])])
    assert half.problems["problem"].tolist() == [
        "the lines of warp one come to 0.333333 of its pieces, not to 1"
    ]
    unlike = [cost(orders.iloc[[0]]), cost(orders.iloc[[1]].assign(width=20.0))]
    assert "differ in ends, sett or warp yarn" in tables.add_up(unlike).problems["problem"].iloc[0]
    too_many = cost(orders.assign(warp_pieces=[20, 20, None, None]))
    assert told(too_many) == [
        ("orders", 1, "warp_pieces", "told only"),
        ("orders", 2, "warp_pieces", "told only"),
    ]
    assert told(cost(orders.assign(warp_pieces=[24, 10, None, None]))) == [
        ("orders", 2, "warp_pieces", "row left out")
    ]
    with pytest.raises(wf.WeaveError, match="parts must be one part"):
        tables.add_up([])


# What is wrong is told, and the rest calculates


DIRTY = [
    ("pieces", "12 pcs", "pieces must be a whole number"),
    ("pieces", 2.5, "pieces must be a whole number"),
    ("pieces", None, "pieces must be given"),
    ("width", "€ 18", "type the number alone, without a currency sign"),
    ("width", "18", "it is a text: type the number alone"),
    ("length", -3, "length must be a number above 0"),
    ("length", float("inf"), "length must be a number"),
    ("sett", True, "sett must be a number"),
    ("sett", pd.Timestamp("2026-01-12"), "sett must be a number"),
    ("weft_sett", 1e300, "weft_sett must be a number"),
    ("price", "$38", "without a currency sign"),
    ("price", 0, "price must be a number above 0"),
    ("take_up", 10, "below 1: 10 % is 0.10"),
    ("shrinkage", "6 %", "it is a text: type the number alone"),
    ("warp_yarn", "green", "green does not stand on yarns"),
    ("weft_yarn", None, "weft_yarn must be given"),
    ("width", 1e8, "at most 1,000,000 ends"),
]


@pytest.mark.parametrize(("column", "value", "problem"), DIRTY, ids=str)
def test_a_bad_cell_is_told_and_the_other_rows_calculate(column: str, value: object, problem: str) -> None:
    orders = ORDERS.astype(object).assign(take_up=0.1, shrinkage=0.06)
    orders[["take_up", "shrinkage"]] = orders[["take_up", "shrinkage"]].astype(object)
    orders.loc[1, column] = value
    result = tables.cost_batch(orders, YARNS, SETTINGS, orders_sheet="Batch")
    assert told(result) == [("Batch", 2, column, "row left out")]
    assert problem in result.problems["problem"].iloc[0]
    # The others are what they are without that line: its warp falls to them.
    alone = cost(ORDERS.drop(index=1))
    pd.testing.assert_frame_equal(
        result.lines.drop(columns=["price", "warp"]), alone.lines.drop(columns=["price", "warp"])
    )
    assert result.totals["lines_left_out"].iloc[0] == 1
    assert result.totals["cost"].iloc[0] == pytest.approx(alone.totals["cost"].iloc[0])


def test_each_bad_cell_of_a_row_is_told() -> None:
    orders = ORDERS.astype(object)
    orders.loc[2, ["pieces", "width", "warp_yarn"]] = ["two", None, "mauve"]
    assert sorted(told(cost(orders))) == [
        ("orders", 3, "pieces", "row left out"),
        ("orders", 3, "warp_yarn", "row left out"),
        ("orders", 3, "width", "row left out"),
    ]


def test_blank_rows_inside_are_told_and_after_the_end_are_not() -> None:
    blank = pd.DataFrame([[None] * len(ORDERS.columns)] * 2, columns=ORDERS.columns).astype(object)
    blank.loc[1, "order"] = "  "
    orders = pd.concat([ORDERS.iloc[:2].astype(object), blank, ORDERS.iloc[2:].astype(object), blank])
    result = cost(orders.reset_index(drop=True))
    assert told(result) == [("orders", 3, "", "passed over"), ("orders", 4, "", "passed over")]
    assert result.totals["cost"].iloc[0] == pytest.approx(cost().totals["cost"].iloc[0])
    assert result.totals["lines_left_out"].iloc[0] == 0


def test_rows_are_named_as_the_reader_counts_them() -> None:
    orders = ORDERS.astype(object).assign(row=[7, 8, 9, 10])
    orders.loc[2, "sett"] = "close"
    assert told(cost(orders)) == [("orders", 9, "sett", "row left out")]
    # It goes with a slice of the book. An index is no number of a row, though it be numbers.
    assert told(cost(orders.iloc[2:])) == [("orders", 9, "sett", "row left out")]
    plain = orders.drop(columns="row")
    for names in (["a", "b", "c", "d"], [1041, 1007, 0, 1022], [3, 2, 1, 0]):
        assert told(cost(plain.set_axis(names))) == [("orders", 3, "sett", "row left out")]
    assert told(cost(plain.iloc[2:])) == [("orders", 1, "sett", "row left out")]
    ids = YARNS.set_axis([7, 8, 9]).assign(put_up_price=[18, "21 EUR", 24])
    assert told(cost(ORDERS.iloc[[2]], ids)) == [("yarns", 2, "put_up_price", "cell not used")]


@pytest.mark.parametrize("name", ["A1", "", 1e300, 2**70, pd.Timestamp("2026-01-12")], ids=str)
def test_a_row_named_by_anything_but_a_number_is_told_by_its_place(name: object) -> None:
    orders = ORDERS.astype(object).assign(row=pd.Series([name] * 4, dtype=object))
    orders.loc[2, "sett"] = "close"
    # Where nothing stands, there is no one row to name.
    assert told(cost(orders)) == [("orders", 3 if name else 0, "sett", "row left out")]


@pytest.mark.parametrize("kind", ["Int64", "Float64", "convert_dtypes"])
def test_a_blank_row_of_columns_that_may_be_blank_is_passed_over(kind: str) -> None:
    orders = pd.concat([ORDERS.iloc[:2], pd.DataFrame([{}]), ORDERS.iloc[2:]], ignore_index=True)
    if kind == "convert_dtypes":
        orders = orders.convert_dtypes()
    else:
        orders = orders.astype(dict.fromkeys(("pieces", "sett", "weft_sett"), kind))
    assert isinstance(orders["pieces"].dtype, pd.api.extensions.ExtensionDtype)
    result = cost(orders)
    assert told(result) == [("orders", 3, "", "passed over")]
    assert result.totals["lines_left_out"].iloc[0] == 0
    assert result.totals["cost"].iloc[0] == pytest.approx(cost().totals["cost"].iloc[0])


def test_settings_may_be_numbers_of_any_type() -> None:
    # What a database or a form hands over: exact decimals.
    exact = {name: Decimal(str(value)) for name, value in SETTINGS.items()}
    assert cost(**exact).totals["cost"].iloc[0] == pytest.approx(cost().totals["cost"].iloc[0])
    numpy = {name: np.float32(value) for name, value in SETTINGS.items()}
    assert cost(**numpy).totals["cost"].iloc[0] == pytest.approx(cost().totals["cost"].iloc[0], rel=1e-6)
    # A unit stays a text, in any spelling.
    assert cost(per=" Inch ").totals["cost"].iloc[0] == cost(per="in").totals["cost"].iloc[0]


def test_yarns_in_error_are_told_and_the_lines_that_use_them() -> None:
    yarns = pd.concat([YARNS.astype(object), YARNS.iloc[[1]].assign(name="WHITE ", put_up_price=99)])
    yarns = yarns.reset_index(drop=True).assign(length=[100, -5, 30, 10])
    yarns.loc[2, ["put_up_price", "yarn"]] = ["24 €", "16/2"]
    result = tables.cost_batch(ORDERS, yarns, SETTINGS, yarns_sheet="Yarns")
    assert told(result) == [
        ("Yarns", 2, "length", "cell not used"),
        ("Yarns", 3, "yarn", "cell not used"),
        ("Yarns", 3, "put_up_price", "cell not used"),
        ("Yarns", 4, "name", "row left out"),
        ("orders", 3, "warp_yarn", "row left out"),
        ("orders", 3, "weft_yarn", "row left out"),
    ]
    assert "WHITE stands twice, and row 1 is used" in result.problems["problem"].iloc[3]
    assert "grey stands on Yarns without a put-up and its price" in result.problems["problem"].iloc[4]
    assert result.totals["cost"].iloc[0] == pytest.approx(cost(ORDERS.drop(index=2)).totals["cost"].iloc[0])


def test_lines_that_cannot_share_a_warp_are_told() -> None:
    result = cost(ORDERS.assign(width=[18, 20, 8, 14.5], warp_yarn=["white", "blue", "grey", "blue"]))
    assert told(result) == [("orders", 2, "warp", "told only")] * 2
    problems = result.problems["problem"].tolist()
    assert "ends do not lie on warp one as row 1 has it" in problems[0]
    assert "this warp yarn does not lie on warp one as row 1 has it" in problems[1]
    assert result.warps.loc[0, "fewest_ends"] < result.warps.loc[0, "ends"]


@pytest.mark.parametrize(
    ("column", "values", "problem"),
    [
        ("waste", [20, 30, 20, 20], "waste is 30 here and 20 in row 1, on the same warp one"),
        ("between", [2, None, 2, 6], "between is 1 here and 2 in row 1, on the same warp one"),
        ("warp_pieces", [25, 30, 2, 1], "warp_pieces is 30 here and 25 in row 1, on the same warp one"),
    ],
)
def test_lines_that_say_different_things_of_one_warp_are_told(
    column: str, values: list[object], problem: str
) -> None:
    result = cost(ORDERS.assign(**{column: values}))
    assert told(result) == [("orders", 2, column, "told only")]
    assert result.problems["problem"].tolist() == [problem]
    alike = [values[0], values[0], *values[2:]]
    assert told(cost(ORDERS.assign(**{column: alike}))) == []


def test_another_sett_is_told_though_the_ends_are_as_many() -> None:
    # 12 wide at 10 and 10 wide at 12 are 120 ends either way, and no one warp.
    orders = ORDERS.assign(width=[12, 10, 8, 8], sett=[10, 12, 24, 24])
    plain = {"draw_in": 0, "shrinkage_width": 0}
    result = cost(orders, **plain)
    assert result.lines["ends"].iloc[:2].tolist() == [120, 120]
    assert told(result) == [("orders", 2, "sett", "told only")]
    assert "sett is 12 here and 10 in row 1" in result.problems["problem"].iloc[0]
    # Setts worked out in two ways are one sett.
    dust = cost(orders.assign(width=[12, 12, 8, 8], sett=[0.3, 0.1 + 0.2, 24, 24]), **plain)
    assert told(dust) == []
    slices = [cost(orders.assign(warp_pieces=24).iloc[[line]], **plain) for line in (0, 1)]
    problems = tables.add_up(slices).problems["problem"].tolist()
    assert problems == ["warp one has lines that differ in ends, sett or warp yarn"]
    dusty = orders.assign(width=12, sett=[0.3, 0.1 + 0.2, 24, 24], warp_pieces=[24, 24, 2, 1])
    assert tables.add_up([cost(dusty.iloc[[line]], **plain) for line in (0, 1)]).problems.empty


@pytest.mark.parametrize("given", [[48, None, None, None], [None, 48, None, None]])
def test_blank_warp_pieces_are_those_of_another_line_on_the_warp(given: list[object]) -> None:
    result = cost(ORDERS.assign(warp_pieces=given))
    # By hand: 8 and 16 of 48; a warp of its own carries itself.
    assert result.lines["warp_share"].tolist() == pytest.approx([1 / 6, 1 / 3, 1, 1])
    assert result.problems.empty
    # Of several that are given, the first counts for a line that leaves it blank.
    on_one = ORDERS.assign(warp="one", warp_yarn="white", width=18, sett=20, warp_pieces=[30, 40, None, 40])
    assert [row for _, row, _, _ in told(cost(on_one))] == [2, 4]
    too_few = cost(ORDERS.assign(warp_pieces=[10, None, None, None]))
    assert told(too_few) == [("orders", 2, "warp_pieces", "row left out")]


@pytest.mark.parametrize(
    "name",
    [
        "wage",
        "overhead",
        "ends_wound_an_hour",
        "ends_threaded_an_hour",
        "spread",
        "risk",
        "margin",
        "markup",
        "fee_rate",
        "fee_flat",
        "per",
        "length_unit",
        "mass_unit",
    ],
)
def test_a_column_of_a_setting_for_the_whole_batch_is_told_once(name: str) -> None:
    result = cost(ORDERS.assign(**{name: 0.5}))
    assert told(result) == [("orders", 0, name, "column not read")]
    assert f"{name} is one for the whole batch" in result.problems["problem"].iloc[0]
    assert result.totals.equals(cost().totals)


@pytest.mark.parametrize(
    "name",
    [
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
    ],
)
def test_a_column_of_a_setting_that_a_line_may_have_is_read(name: str) -> None:
    own = cost(ORDERS.assign(**{name: 0.5}))
    assert own.problems.empty
    assert own.totals["cost"].iloc[0] != cost().totals["cost"].iloc[0]
    assert own.totals.equals(cost(**{name: 0.5}).totals)
    assert f"``{name}``" in str(tables.cost_batch.__doc__)


def test_nothing_left_to_cost() -> None:
    for orders in (ORDERS.iloc[:0], ORDERS.assign(width=0)):
        result = cost(orders)
        assert len(result.lines) == len(result.warps) == len(result.yarn) == 0
        assert result.totals["cost"].iloc[0] == 0
        assert np.isnan(result.totals["margin"].iloc[0])
    assert list(cost(ORDERS.iloc[:0]).lines.columns) == list(cost().lines.columns)
    # Whether or not there is a row, a column is of one type.
    typo = cost(ORDERS.astype(object).assign(sett=["x", 20, 24, 15]))
    for empty in (cost(ORDERS.iloc[:0]), cost(ORDERS.iloc[:0], YARNS.iloc[:0])):
        for table in ("warps", "yarn", "totals", "problems"):
            pd.testing.assert_series_equal(getattr(empty, table).dtypes, getattr(typo, table).dtypes)


def test_settings_are_missed_by_name() -> None:
    for name in ("wage", "overhead", "take_up", "waste", "picks_a_minute", "spread", "margin"):
        with pytest.raises(wf.WeaveError, match=f"^{name} must be given") as caught:
            cost(**{name: None})
        assert caught.value.argument == name
    with pytest.raises(wf.WeaveError, match="settings must be named among per, length_unit"):
        cost(wages=3)
    with pytest.raises(wf.WeaveError, match=r"margin must be a fraction .*10 % is 0\.10"):
        cost(margin=30)
    with pytest.raises(wf.WeaveError, match="markup must be left out where a margin is given"):
        cost(markup=1)
    with pytest.raises(wf.WeaveError, match=r"^sett must be given \(as a column of orders\)"):
        cost(ORDERS.drop(columns="sett"))
    with pytest.raises(wf.WeaveError, match="columns each have a name of their own"):
        cost(pd.concat([ORDERS, ORDERS["sett"]], axis=1))
    # A column may stand for the setting; then its blank cells are missed one by one.
    result = cost(ORDERS.assign(take_up=[0.1, 0.1, None, 0.1]), take_up=None)
    assert told(result) == [("orders", 3, "take_up", "row left out")]


@pytest.mark.parametrize("kind", ["object", "category", "string"])
def test_texts_of_any_kind(kind: str) -> None:
    texts = ["warp", "warp_yarn", "weft_yarn"]
    result = cost(ORDERS.astype(dict.fromkeys(texts, kind)))
    assert result.problems.empty
    assert result.totals.equals(cost().totals)


def test_the_caller_s_tables_stay_as_they_were() -> None:
    orders, yarns = ORDERS.copy(), YARNS.copy()
    cost(orders, yarns)
    assert orders.equals(ORDERS)
    assert yarns.equals(YARNS)


# Loading


def test_nothing_heavy_is_loaded_before_a_table_is_used() -> None:
    code = (
        "import sys; import weavefuncs; from weavefuncs import tables; dir(tables);"
        "print([name for name in ('numpy', 'pandas', 'scipy', 'openpyxl') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
    assert set(tables.__all__) == set(tables.MODULES)
    with pytest.raises(AttributeError, match="no attribute 'cost_bach'"):
        _ = tables.cost_bach
