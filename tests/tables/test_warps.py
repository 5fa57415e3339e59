"""Pieces onto warps: against every grouping there is, and against a warp for every piece."""

from __future__ import annotations

import dataclasses
import math
import random
from collections.abc import Iterator
from typing import Any

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs.errors import WeaveError
from weavefuncs.tables import group_onto_warps, rounded
from weavefuncs.tables._packing import pack
from weavefuncs.tables._solving import Clock

quick = settings(deadline=None, derandomize=True, max_examples=60)

LOOM: dict[str, Any] = {
    "longest_warp": 200,
    "waste": 27,
    "between": 2,
    "take_up": 0.1,
    "ends_wound_an_hour": 120,
    "ends_threaded_an_hour": 60,
    "wage": 20,
    "overhead": 3,
    "per": "in",
    "length_unit": "yd",
}
YARNS = pd.DataFrame(
    [
        ("natural", "8/2 Ne", "natural", 840, 11.5),
        ("indigo", "8/2 Ne", "indigo", 840, 13),
        ("linen", "16/2 lea", "", 600, 17),
    ],
    columns=["name", "yarn", "colour", "put_up_length", "put_up_price"],
)

# From a table of the normal distribution: one in twenty lies further above the mean.
Z_AT_RISK = 1.6448536


def piece(name: str, length: float, **more: Any) -> dict[str, Any]:
    return {"piece": name, "warp_yarn": "natural", "sett": 20, "ends": 400, "woven_length": length, **more}


def groupings(places: list[int]) -> Iterator[list[list[int]]]:
    """Every way to part some pieces into warps."""
    if not places:
        yield []
        return
    first, *rest = places
    for others in groupings(rest):
        yield [[first], *others]
        for number in range(len(others)):
            yield [*others[:number], [first, *others[number]], *others[number + 1 :]]


def cost_of(rows: list[dict[str, Any]], warps: list[list[int]], loom: dict[str, Any]) -> float | None:
    """What a grouping costs by the functions of the core alone; None where it cannot be wound."""
    hours, lengths = 0.0, dict.fromkeys(("natural", "indigo", "linen"), 0.0)
    for warp in warps:
        kinds = {(rows[place]["warp_yarn"], rows[place]["ends"]) for place in warp}
        if len(kinds) > 1:
            return None
        (yarn, ends) = kinds.pop()
        woven = sum(rows[place]["woven_length"] for place in warp)
        length = (
            wf.warp_length(woven, 1, 0, loom["take_up"], loom["waste"]) + (len(warp) - 1) * loom["between"]
        )
        if length > loom["longest_warp"] + 1e-9:
            return None
        hours += ends / loom["ends_wound_an_hour"] + ends / loom["ends_threaded_an_hour"]
        lengths[yarn] += ends * length / 36
    bought = {row["name"]: (row["put_up_length"], row["put_up_price"]) for row in YARNS.to_dict("records")}
    allowed = 1 + Z_AT_RISK * loom.get("spread", 0)
    yarn_cost = sum(
        wf.put_ups(length * allowed, bought[name][0]) * bought[name][1] for name, length in lengths.items()
    )
    return hours * (loom["wage"] + loom["overhead"]) + yarn_cost


@st.composite
def orders(draw: st.DrawFn) -> list[dict[str, Any]]:
    count = draw(st.integers(1, 6))
    return [
        piece(
            f"p{number}",
            draw(st.sampled_from([20, 30.5, 41.25, 48, 60, 77.5, 100, 155.7])),
            ends=draw(st.sampled_from([40, 400])),
            warp_yarn=draw(st.sampled_from(["natural", "natural", "linen"])),
        )
        for number in range(count)
    ]


@quick
@given(
    orders(), st.sampled_from([(27, 2, 20), (27, 0, 0), (5, 12, 1), (0, 30, 0)]), st.sampled_from([0, 0.4])
)
def test_no_grouping_costs_less(
    rows: list[dict[str, Any]], speeds: tuple[float, float, float], spread: float
) -> None:
    loom = LOOM | dict(zip(("waste", "between", "wage"), speeds)) | {"spread": spread}
    plan = group_onto_warps(pd.DataFrame(rows), loom, YARNS)
    costs = [cost_of(rows, warps, loom) for warps in groupings(list(range(len(rows))))]
    assert plan.cost == pytest.approx(min(cost for cost in costs if cost is not None), rel=1e-9)
    assert plan.proven
    assert plan.cost <= plan.cost_one_by_one
    made = [[int(row) - 1 for row in lines["row"]] for _, lines in plan.pieces.groupby("warp")]
    assert cost_of(rows, made, loom) == pytest.approx(plan.cost, rel=1e-9)


def fewest_bins(sizes: list[float], room: float) -> int:
    return min(
        len(bins)
        for bins in groupings(list(range(len(sizes))))
        if all(math.fsum(sizes[place] for place in places) <= room for places in bins)
    )


@quick
@given(st.lists(st.integers(1, 40), min_size=1, max_size=7), st.integers(40, 60))
def test_packing_equals_every_packing_tried(sizes: list[int], room: int) -> None:
    packing = pack([float(size) for size in sizes], float(room), Clock(20), 20)
    assert packing.proven
    assert len(packing.bins) == fewest_bins([float(size) for size in sizes], room)
    assert sorted(place for places in packing.bins for place in places) == list(range(len(sizes)))
    assert all(sum(sizes[place] for place in places) <= room for places in packing.bins)


@pytest.mark.parametrize("seed", range(3))
def test_packing_that_simple_rules_miss(seed: int) -> None:
    # Three pieces fill each bin to the brim, so that the number of bins is known.
    source = random.Random(seed)
    sizes: list[float] = []
    for _ in range(8):
        first, second = source.randint(340, 480), source.randint(260, 330)
        sizes += [float(first), float(second), float(1000 - first - second)]
    source.shuffle(sizes)
    packing = pack(sizes, 1000.0, Clock(20), 20)
    assert (len(packing.bins), packing.fewest) == (8, 8)


def test_bins_are_never_overfull() -> None:
    # A tenth and two tenths are more than three tenths by float dust; a millionth more is no dust.
    assert len(pack([0.1, 0.2], 0.3, Clock(5), 5).bins) == 1
    assert len(pack([0.1, 0.200001], 0.3, Clock(5), 5).bins) == 2


def test_a_warp_may_hold_a_thousand_pieces() -> None:
    # 1000 of them are 100, and a thousand and first would be 100.1: two warps hold one piece too few.
    packing = pack([0.1] * 2001, 100.095, Clock(20), 20)
    assert sorted(map(len, packing.bins)) == [1, 1000, 1000]
    assert packing.proven
    rows = [piece("bookmark", 0.1, quantity=2001)]
    plan = group_onto_warps(pd.DataFrame(rows), LOOM | {"longest_warp": 127.095, "between": 0, "take_up": 0})
    assert (len(plan.warps), plan.proven) == (3, True)


@quick
@given(st.integers(1, 40), st.floats(10, 150), st.sampled_from([0.0, 0.08]), st.sampled_from([0.0, 2.0]))
def test_pieces_alike_are_those_of_pieces_from_warp(
    quantity: int, length: float, take_up: float, between: float
) -> None:
    loom = LOOM | {"take_up": take_up, "between": between}
    on_one = wf.pieces_from_warp(200, length, between, take_up, 27)
    plan = group_onto_warps(pd.DataFrame([piece("towel", length, quantity=quantity)]), loom, YARNS)
    assert len(plan.warps) == math.ceil(quantity / on_one)
    first = plan.warps.iloc[0]
    assert first["length"] == pytest.approx(
        wf.warp_length(length, int(first["pieces"]), between, take_up, 27)
    )
    assert plan.warps["pieces"].sum() == plan.pieces["quantity"].sum() == quantity


@settings(deadline=None, derandomize=True, max_examples=15)
@given(orders(), st.randoms(use_true_random=False))
def test_the_order_of_the_rows_does_not_matter(rows: list[dict[str, Any]], source: random.Random) -> None:
    shuffled = source.sample(rows, len(rows))
    one, other = (group_onto_warps(pd.DataFrame(table), LOOM, YARNS) for table in (rows, shuffled))
    assert one.cost == other.cost
    pd.testing.assert_frame_equal(one.warps, other.warps)


def test_towels_in_three_colourways_share_two_warps() -> None:
    towels = pd.DataFrame([piece(f"towel, {weft} weft", 32, quantity=8) for weft in ("red", "blue", "grey")])
    plan = group_onto_warps(towels, LOOM | {"longest_warp": 480}, YARNS)
    assert list(plan.warps["pieces"]) == [12, 12]
    # By hand: 12 × 32 / 0.9 + 11 × 2 + 27 in of warp, 400 ends, two warps, in yards of 840 to a cone.
    length = 12 * 32 / 0.9 + 22 + 27
    cones = math.ceil(2 * 400 * length / 36 / 840)
    hours = 2 * (400 / 120 + 400 / 60)
    assert plan.cost == pytest.approx(cones * 11.5 + hours * 23)
    assert plan.yarn["left_over"].iloc[0] == pytest.approx(cones * 840 - 2 * 400 * length / 36)
    assert plan.why[0].startswith("24 pieces on 2 warps: ")
    assert plan.saved > 0


def test_yarn_is_bought_with_its_allowance() -> None:
    # By hand: 400 ends of 10 × 36 + 180 in are 6000 yd, and with 1.644854 × 0.1 on top 6986.9 yd: 8.3 cones
    # of 840 yd, against 7.1 without.
    loom = LOOM | {"longest_warp": 600, "waste": 180, "between": 0, "take_up": 0, "spread": 0.1}
    towels = pd.DataFrame([piece("towel", 36, quantity=10)])
    plain, risky = (group_onto_warps(towels, loom | more, YARNS) for more in ({}, {"risk": 0.5}))
    assert list(plain.warps["length"]) == [540]
    assert list(plain.warps["yarn_length"]) == pytest.approx([6000])
    (bought,) = plain.yarn.itertuples(index=False)
    assert (bought.length, bought.with_allowance) == pytest.approx((6000, 6986.91), abs=0.01)
    assert (bought.put_ups, bought.cost) == (9, 9 * 11.5)
    assert bought.left_over == pytest.approx(9 * 840 - 6986.91, abs=0.01)
    assert plain.warps["yarn_cost"].iloc[0] == pytest.approx(6986.91 / 840 * 11.5, abs=0.001)
    assert plain.cost == pytest.approx(9 * 11.5 + 10 * 23)
    # Who may run short of every second piece buys what is used.
    assert list(risky.yarn["put_ups"]) == [8]


def test_colour_orders_are_compared_by_their_threads() -> None:
    same = ["(2 natural, 2 indigo) x 3", "2 Natural,2 indigo", "2 natural, 2 indigo, 2 natural, 2 indigo"]
    rows = [piece(str(number), 30, colour_order=order) for number, order in enumerate(same)]
    rows += [piece("other", 30, colour_order="2 indigo, 2 natural"), piece("plain", 30)]
    plan = group_onto_warps(pd.DataFrame(rows), LOOM, YARNS)
    assert sorted(plan.warps["pieces"]) == [1, 1, 3]
    assert plan.problems.empty


SHELF = pd.DataFrame(
    [("cone", "8/2 Ne", "blue", 500.0, 9.0), ("wh", "2/8 Ne", "white", 500.0, 7.0)],
    columns=["name", "yarn", "colour", "put_up_length", "put_up_price"],
)


def two_alike(yarns: pd.DataFrame | None, *written: tuple[str, str], ends: int = 204) -> Any:
    """Group pieces alike but for how their warp yarn and colour order are written."""
    rows = [
        piece(f"p{number}", 20, ends=ends, warp_yarn=yarn, colour_order=order)
        for number, (yarn, order) in enumerate(written)
    ]
    return group_onto_warps(pd.DataFrame(rows), LOOM, yarns)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (("8/2 Ne", ""), ("2/8 NeC", "")),
        (("cone", "blue"), ("8/2 cotton", "Cone")),
        (("8/2 Ne", "wh"), ("8/2 Ne", "white")),
        (("8/2 Ne", "white"), ("wh", "")),
        (("8/2 Ne", "8 wh, 4 cone"), ("cone", "8 white, 4 blue")),
        (("8/2 Ne", "24 white, 6 blue"), ("8/2 Ne", "(24 white, 6 blue) x 6, 24 white")),
        (("8/2 Ne", "200 white, 5 blue"), ("8/2 Ne", "100 white, 100 wh, 4 blue, 77 white")),
        (("8/2 Ne", "2 green, 2 red"), ("2/8 Ne", "(2 Green, 2 red) x 40")),
        (("8/2 Ne", "green"), ("wh", "green")),
    ],
)
def test_warps_of_the_same_yarn_end_by_end_are_one(one: tuple[str, str], other: tuple[str, str]) -> None:
    plan, turned = two_alike(SHELF, one, other), two_alike(SHELF, other, one)
    assert plan.warps["pieces"].tolist() == [2]
    written = ["warp_yarn", "colour_order"]
    assert plan.warps[written].values.tolist() == turned.warps[written].values.tolist()
    assert tuple(plan.warps[written].iloc[0]) in (one, other)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (("8/2 Ne", "white"), ("8/2 Ne", "blue")),
        (("8/2 Ne", "24 white, 6 blue"), ("8/2 Ne", "(24 white, 6 blue) x 6, 23 white, blue")),
        (("8/2 Ne", "24 white, 6 blue"), ("8/2 Ne", "6 blue, 24 white")),
        (("8/2 Ne", "green"), ("16/2 Ne", "green")),
        (("8/2 Ne", ""), ("4 Ne", "")),
        (("cone", ""), ("wh", "")),
        (("16/2 lea", "wh"), ("8/2 Ne", "white")),
        (("16/2 lea", "wh"), ("20/2 lea", "wh")),
    ],
)
def test_warps_that_differ_in_one_end_are_two(one: tuple[str, str], other: tuple[str, str]) -> None:
    assert two_alike(SHELF, one, other).warps["pieces"].tolist() == [1, 1]


def test_a_count_that_only_one_yarn_has_is_that_yarn() -> None:
    one_cone = SHELF.iloc[:1]
    plan = two_alike(one_cone, ("cone", ""), ("8/2 Ne", ""), ends=100)
    length = 2 * 20 / 0.9 + 2 + 27
    assert plan.yarn[["name", "put_ups", "cost"]].values.tolist() == [["cone", 1, 9.0]]
    assert plan.yarn["length"].iloc[0] == pytest.approx(100 * length / 36)
    assert plan.problems.empty
    # Without a table of yarns the count alone says which yarn it is.
    assert len(two_alike(None, ("8/2 Ne", ""), ("2/8 Ne", "")).warps) == 1


def test_a_yarn_that_may_be_several_is_told_and_the_order_of_rows_does_not_matter() -> None:
    plans = [two_alike(yarns, ("8/2 Ne", ""), ends=100) for yarns in (SHELF, SHELF.iloc[::-1])]
    # 100 ends of 49.2 in are 137 yd, one cone; the blue one costs 9, the white one 7.
    assert [plan.yarn["cost"].tolist() for plan in plans] == [[9.0], [9.0]]
    for plan in plans:
        assert plan.problems[["sheet", "row", "column", "problem", "effect"]].values.tolist() == [
            ["yarns", 0, "yarn", "8/2 Ne may be cone or wh: cone is counted, which costs most", "told only"]
        ]
    no_price = SHELF.assign(put_up_price=[None, 7.0])
    assert two_alike(no_price, ("8/2 Ne", ""), ends=100).yarn["cost"].tolist() == [7.0]
    for yarns in (SHELF, SHELF.iloc[::-1]):
        as_dear = two_alike(yarns.assign(put_up_price=8.0), ("8/2 Ne", ""))
        assert as_dear.yarn["name"].tolist() == ["cone"]
        unknown = two_alike(yarns.assign(put_up_price=None), ("8/2 Ne", ""))
        assert unknown.problems["problem"].tolist() == [
            "8/2 Ne may be cone or wh: cone is counted, the first by name",
            "8/2 Ne has no put-up and price that can be used: its cost is left out",
        ]


def test_a_colour_that_is_the_name_of_one_of_its_yarns_is_that_one() -> None:
    yarns = pd.concat([SHELF, SHELF.iloc[1:].assign(name=["white"], put_up_price=5.0)])
    plan = two_alike(yarns, ("8/2 Ne", "white"))
    assert (plan.yarn["name"].tolist(), len(plan.problems)) == (["white"], 0)


def test_beyond_every_loom_a_colour_order_is_compared_as_it_is_written() -> None:
    orders = ("2 wh, 2 cone", "(2 wh, 2 cone) x 2", "2 WH,2 cone")
    plan = two_alike(SHELF, *(("8/2 Ne", order) for order in orders), ends=100_004)
    assert sorted(plan.warps["pieces"]) == [1, 2]


def test_lots_of_one_yarn_at_one_price_are_in_no_doubt() -> None:
    lots = pd.concat([SHELF, SHELF.iloc[:1].assign(name="cone 2")])
    assert two_alike(lots, ("8/2 Ne", "blue")).problems.empty
    dearer = pd.concat([SHELF, SHELF.iloc[:1].assign(name="cone 2", put_up_price=11.0)])
    assert "may be cone or cone 2: cone 2 is counted" in str(
        two_alike(dearer, ("8/2 Ne", "blue")).problems["problem"].iloc[0]
    )
    # Of the lot that is named there is no doubt either.
    assert two_alike(dearer, ("cone", "blue")).yarn["cost"].iloc[0] == 9 * math.ceil(
        204 * (20 / 0.9 + 27) / 36 / 500
    )
    linen = pd.concat([SHELF, SHELF.iloc[:1].assign(name="flax")]).assign(fibre=["cotton", "cotton", "linen"])
    assert "may be cone or flax" in str(two_alike(linen, ("8/2 Ne", "blue")).problems["problem"].iloc[0])


@pytest.mark.parametrize(
    ("yarn", "order", "column", "what"),
    [
        ("8/2 Ne", "green", "colour", "8/2 Ne in green"),
        ("cone", "green", "colour", "cone in green"),
        ("hemp", "", "name", "hemp"),
    ],
)
def test_a_yarn_or_colour_that_is_not_there_is_told_and_costs_nothing(
    yarn: str, order: str, column: str, what: str
) -> None:
    plan = two_alike(SHELF, (yarn, order))
    assert plan.problems[["row", "column", "problem"]].values.tolist() == [
        [0, column, f"{what} does not stand there: its cost is left out"]
    ]
    assert plan.yarn[["put_ups", "left_over", "cost"]].isna().all(axis=None)
    assert plan.cost == pytest.approx(204 * (1 / 120 + 1 / 60) * 23)
    assert plan.yarn["length"].iloc[0] == pytest.approx(204 * (20 / 0.9 + 27) / 36)


def test_each_colour_of_a_warp_is_bought_for_itself() -> None:
    rows = pd.DataFrame([piece("stripes", 30, warp_yarn="8/2 Ne", colour_order="3 natural, 1 indigo")])
    plan = group_onto_warps(rows, LOOM, YARNS)
    length = 30 / 0.9 + 27
    bought = plan.yarn.set_index("name")
    assert bought.loc["natural", "length"] == pytest.approx(300 * length / 36)
    assert bought.loc["indigo", "length"] == pytest.approx(100 * length / 36)
    assert bought.loc["indigo", "cost"] == 13


def test_ends_or_width_say_the_same_warp() -> None:
    rows = [piece("by ends", 30), piece("by width", 30, ends=None, width_in_reed=20)]
    assert len(group_onto_warps(pd.DataFrame(rows), LOOM, YARNS).warps) == 1
    with pytest.raises(WeaveError, match="width_in_reed"):
        group_onto_warps(pd.DataFrame(rows).drop(columns=["ends", "width_in_reed"]), LOOM, YARNS)


def test_a_width_that_its_ends_do_not_come_to_is_told() -> None:
    # 15 in at 20 are 300 ends. A width that was rounded may be one end off.
    ends = [250, 300, 301, 299, 302, None, 300]
    widths = [15, 15, 15.0, 15, 15, 15, None]
    rows = [piece(str(n), 30, ends=e, width_in_reed=w) for n, (e, w) in enumerate(zip(ends, widths))]
    plan = group_onto_warps(pd.DataFrame(rows), LOOM, YARNS)
    assert plan.problems[["sheet", "row", "column", "problem", "effect"]].values.tolist() == [
        [
            "pieces",
            row,
            "width_in_reed",
            f"width_in_reed is 15, which at 20 comes to 300 ends, and ends is {given}: that is used",
            "cell not used",
        ]
        for row, given in ((1, 250), (5, 302))
    ]
    # The ends count, and the width where there are none.
    assert sorted(plan.warps["ends"]) == [250, 299, 300, 301, 302]


@pytest.mark.parametrize("ids", [[90, 91, 92], ["k", "l", "m"], [2, 1, 0]], ids=str)
def test_rows_are_counted_whatever_their_index(ids: list[Any]) -> None:
    rows = pd.DataFrame([piece("runner", 30), piece("towel", -1), piece("mat", 40)], index=ids)
    plan = group_onto_warps(rows, LOOM, YARNS)
    assert plan.pieces[["row", "piece"]].values.tolist() == [[1, "runner"], [3, "mat"]]
    assert plan.problems["row"].tolist() == [2]
    known = group_onto_warps(rows.assign(row=[6, 8, 9]), LOOM, YARNS)
    assert (known.pieces["row"].tolist(), known.problems["row"].tolist()) == ([6, 9], [8])


def test_dirty_rows_are_named_and_the_others_grouped() -> None:
    rows: list[dict[str, Any]] = [
        piece("good", 30),
        dict.fromkeys(piece("", 1)),
        piece("text", "30 in"),  # type: ignore[arg-type]
        piece("negative", -30),
        piece("currency", 30, quantity="€ 2"),
        piece("percent", 30, take_up=10),
        piece("too long", 170),
        piece("good", 40),
        piece("order", 30, colour_order="4 white 2 blue,"),
        piece("", 30),
        piece("half", 30, quantity=1.5),
        piece("no ends", 30, ends=None),
        piece("also good", 30, warp_yarn="hemp"),
    ]
    plan = group_onto_warps(pd.DataFrame(rows), LOOM, YARNS, pieces_sheet="Batch", yarns_sheet="Yarns")
    told = {(line.sheet, line.row, line.column) for line in plan.problems.itertuples()}
    assert told == {
        ("Batch", 2, ""),
        ("Batch", 3, "woven_length"),
        ("Batch", 4, "woven_length"),
        ("Batch", 5, "quantity"),
        ("Batch", 6, "take_up"),
        ("Batch", 7, "woven_length"),
        ("Batch", 8, "piece"),
        ("Batch", 9, "colour_order"),
        ("Batch", 10, "piece"),
        ("Batch", 11, "quantity"),
        ("Batch", 12, "width_in_reed"),
        ("Yarns", 0, "name"),
    }
    assert sorted(plan.pieces["row"]) == [1, 8, 13]
    too_long = plan.problems.set_index("row").loc[7, "problem"]
    assert "too long needs a warp of 215.889" in str(too_long)


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"longest_warp": None}, "longest_warp"),
        ({"longest_warp": -1}, "longest_warp"),
        ({"waste": None}, "waste"),
        ({"waste": 200}, "waste"),
        ({"ends_threaded_an_hour": 0}, "ends_threaded_an_hour"),
        ({"take_up": 10}, "take_up"),
        ({"spread": 5}, "spread"),
        ({"spread": 0.1, "risk": 0}, "risk"),
        ({"wages": 10}, "settings"),
    ],
)
def test_a_loom_that_cannot_be_is_refused(change: dict[str, Any], named: str) -> None:
    with pytest.raises(WeaveError, match=named):
        group_onto_warps(pd.DataFrame([piece("towel", 30)]), LOOM | change, YARNS)


def test_what_is_not_priced_is_told_and_the_fewest_warps_still_found() -> None:
    loom = {name: value for name, value in LOOM.items() if name not in ("wage", "overhead")}
    plan = group_onto_warps(pd.DataFrame([piece("towel", 30, quantity=6)]), loom)
    assert (plan.cost, len(plan.warps), plan.proven) == (0, 2, True)
    assert set(plan.problems["column"]) == {"wage", "overhead"}


def test_the_sums_of_a_plan_are_rounded_like_its_columns() -> None:
    rows = [piece("runner", 20, ends=333), piece("towel", 30, ends=333)]
    loom = LOOM | {"ends_wound_an_hour": 101, "ends_threaded_an_hour": 107, "wage": 20.03, "overhead": 0}
    plan = group_onto_warps(pd.DataFrame(rows), loom)
    # 333 ends take 3.29703 and 3.11215 hours: 6.40918 hours at 20.03 are 128.3758, and twice that 256.7517.
    assert plan.cost == pytest.approx(128.3758, abs=1e-4)
    shown = rounded(plan)
    assert (shown.cost, shown.cost_one_by_one, shown.bound) == (128.38, 256.75, 128.38)
    assert shown.warps["cost"].tolist() == [128.38]
    assert (rounded(plan, 0).cost, rounded(plan, 0).cost_one_by_one) == (128, 257)
    # What is proven stays so, and what lies a tenth of a cent above its bound is not proven by rounding.
    assert shown.proven
    assert not rounded(dataclasses.replace(plan, bound=plan.cost - 0.001, gap=0.001 / plan.cost)).proven


def test_no_pieces_are_no_warps() -> None:
    plan = group_onto_warps(pd.DataFrame([piece("towel", -1)]), LOOM, YARNS)
    assert (len(plan.warps), plan.cost, plan.gap) == (0, 0, 0)
    filled = group_onto_warps(pd.DataFrame([piece("towel", 30), piece("", 30)]), LOOM, YARNS)
    for table in ("warps", "pieces", "yarn", "problems"):
        pd.testing.assert_series_equal(getattr(plan, table).dtypes, getattr(filled, table).dtypes)
    # Whole numbers, texts and numbers.
    assert "".join(kind.kind for kind in plan.warps.dtypes) == "iOiOOfiffffff"


def test_progress_is_told() -> None:
    told: list[str] = []
    group_onto_warps(pd.DataFrame([piece("towel", 30)]), LOOM, YARNS, progress=told.append)
    assert any("group 1 of 1" in text for text in told)
