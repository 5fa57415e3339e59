"""The stash given out: against every way there is, and against what must never happen."""

from __future__ import annotations

import itertools
import random
from typing import Any

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs.errors import WeaveError
from weavefuncs.tables import allocate_stash
from weavefuncs.tables._cutting import nearest_below

quick = settings(deadline=None, derandomize=True, max_examples=60)

Rows = list[dict[str, Any]]


def put_up(name: str, length: object, lot: object = "1", colour: str = "grey", **more: Any) -> dict[str, Any]:
    return {"name": name, "yarn": "2/12 Nm", "colour": colour, "lot": lot, "length": length, **more}


def need(piece: str, length: object, colour: str = "grey", **more: Any) -> dict[str, Any]:
    return {"piece": piece, "colour": colour, "length": length, **more}


@st.composite
def stashes(draw: st.DrawFn) -> tuple[Rows, Rows]:
    colours = st.sampled_from(["grey", "grey", "red"])
    lengths = st.sampled_from([50, 80, 100, 100, 130.5])
    yarns = [
        put_up(f"y{number}", draw(lengths), draw(st.sampled_from("12")), draw(colours))
        for number in range(draw(st.integers(1, 5)))
    ]
    needs = [
        need(
            f"n{number}",
            draw(st.sampled_from([30, 50, 100, 130, 130.5, 200])),
            draw(colours),
            may_mix=draw(st.sampled_from(["yes", "", "no"])),
        )
        for number in range(draw(st.integers(1, 3)))
    ]
    return yarns, needs


def best_by_trying(yarns: Rows, needs: Rows) -> tuple[float, int]:
    """Least bought and then fewest broken, over every lot for every need and every use of every put-up."""
    lots = sorted({(row["colour"], row["lot"]) for row in yarns})
    choices: list[list[tuple[str, str] | None]] = [
        [None] if row["may_mix"] == "yes" else [None, *(lot for lot in lots if lot[0] == row["colour"])]
        for row in needs
    ]
    best = (float("inf"), 0)
    for chosen in itertools.product(*choices):
        bought = _bought(yarns, needs, chosen)
        if bought is None or bought > best[0] + 1e-9:
            continue
        broken = _broken(yarns, needs, chosen)
        best = min(best, (round(bought, 6), broken))
    return best


def _free(yarns: Rows, needs: Rows, chosen: Any) -> dict[tuple[str, str], float]:
    free: dict[tuple[str, str], float] = {}
    for row in yarns:
        lot = row["colour"], row["lot"]
        free[lot] = free.get(lot, 0) + row["length"]
    for row, lot in zip(needs, chosen):
        if lot:
            free[lot] -= row["length"]
    return free


def _mixed(needs: Rows, colour: str) -> float:
    return float(sum(row["length"] for row in needs if row["may_mix"] == "yes" and row["colour"] == colour))


def _bought(yarns: Rows, needs: Rows, chosen: Any) -> float | None:
    free = _free(yarns, needs, chosen)
    if min(free.values()) < -1e-9:
        return None
    bought = sum(row["length"] for row, lot in zip(needs, chosen) if not lot and row["may_mix"] != "yes")
    for colour in ("grey", "red"):
        there = sum(length for lot, length in free.items() if lot[0] == colour)
        bought += max(_mixed(needs, colour) - there, 0)
    return bought


def _broken(yarns: Rows, needs: Rows, chosen: Any) -> int:
    there = _free(yarns, needs, chosen)
    best = len(yarns)
    for used in itertools.product([None, "broken", *range(len(needs))], repeat=len(yarns)):
        broken = used.count("broken")
        if broken >= best:
            continue
        rest = [row["length"] for row in needs]
        pool = dict.fromkeys(there, 0.0)
        fine = True
        for row, use in zip(yarns, used):
            lot = row["colour"], row["lot"]
            if use == "broken":
                pool[lot] += row["length"]
            elif isinstance(use, int):
                mixes = needs[use]["may_mix"] == "yes" and needs[use]["colour"] == row["colour"]
                fine = fine and (mixes or chosen[use] == lot)
                rest[use] -= row["length"]
        if not fine or min(rest) < -1e-9:
            continue
        for number, lot in enumerate(chosen):
            if lot:
                pool[lot] -= rest[number]
        if min(pool.values()) < -1e-9:
            continue
        for colour in ("grey", "red"):
            held = sum(length for lot, length in there.items() if lot[0] == colour)
            covered = min(_mixed(needs, colour), held)
            wanted = sum(
                length
                for length, row in zip(rest, needs)
                if row["may_mix"] == "yes" and row["colour"] == colour
            )
            given_whole = _mixed(needs, colour) - wanted
            drawn = sum(length for lot, length in pool.items() if lot[0] == colour)
            fine = fine and given_whole + drawn >= covered - 1e-9
        if fine:
            best = broken
    return best


def check_promises(yarns: pd.DataFrame, needs: pd.DataFrame, **more: Any) -> Any:
    """Allocate, and look for what must never happen."""
    plan = allocate_stash(yarns, needs, **more)
    length = yarns.set_index("name")["length"]
    promised = plan.allocation.groupby("put_up")["length"].sum()
    assert (promised <= length[promised.index] + 1e-9).all()
    put_ups = plan.put_ups.set_index("name")
    assert (put_ups["left"] >= 0).all()
    assert put_ups["promised"].sum() == pytest.approx(plan.allocation["length"].sum())
    mixing = needs.get("may_mix", pd.Series("", index=needs.index)).eq("yes")
    for row, given_ in plan.allocation.groupby("row"):
        wanted = needs.iloc[int(row) - 1]
        assert len(set(zip(given_["yarn"], given_["colour"]))) == 1
        assert mixing.iloc[int(row) - 1] or given_["lot"].nunique() == 1
        assert given_["length"].sum() <= wanted["length"] + 0.011
        if not mixing.iloc[int(row) - 1]:
            assert given_["length"].sum() >= wanted["length"] - 1e-9
    covered = plan.allocation.groupby("row")["length"].sum().to_dict()
    for row, wanted in enumerate(needs["length"], start=1):
        short = row in set(plan.shortages["row"])
        assert short == (covered.get(row, 0.0) < wanted - 1e-9)
    return plan


@quick
@given(stashes())
def test_no_way_buys_less_or_breaks_fewer(stash: tuple[Rows, Rows]) -> None:
    yarns, needs = stash
    plan = check_promises(pd.DataFrame(yarns), pd.DataFrame(needs))
    assert plan.proven
    assert (round(plan.length_bought, 6), plan.broken) == best_by_trying(yarns, needs)


@quick
@given(
    st.lists(st.tuples(st.integers(1, 30), st.integers(1, 3)), min_size=1, max_size=5), st.integers(1, 120)
)
def test_nearest_below_is_the_nearest(kinds: list[tuple[int, int]], length: int) -> None:
    lengths = tuple(sorted({size for size, _ in kinds}, reverse=True))
    counts = tuple(count for _, count in kinds)[: len(lengths)]
    chosen = nearest_below(length, lengths, counts)
    every = itertools.product(*(range(count + 1) for count in counts))
    sums = {sum(size * number for size, number in zip(lengths, numbers)) for numbers in every}
    assert all(number <= count for number, count in zip(chosen, counts))
    assert sum(size * number for size, number in zip(lengths, chosen)) == max(s for s in sums if s <= length)


@settings(deadline=None, derandomize=True, max_examples=15)
@given(stashes(), st.randoms(use_true_random=False))
def test_the_order_of_the_rows_does_not_matter(stash: tuple[Rows, Rows], source: random.Random) -> None:
    plans = []
    for table in range(2):
        yarns, needs = ((source.sample(rows, len(rows)) if table else rows) for rows in stash)
        plans.append(allocate_stash(pd.DataFrame(yarns), pd.DataFrame(needs)))
    keys = ["piece", "put_up"]
    one, other = (plan.allocation.drop(columns="row").sort_values(keys, ignore_index=True) for plan in plans)
    pd.testing.assert_frame_equal(one, other)


@pytest.mark.parametrize("seed", range(2))
def test_promises_hold_in_a_larger_stash(seed: int) -> None:
    source = random.Random(seed)
    yarns = [
        put_up(
            f"y{number}",
            source.choice([100, 200, 400, round(source.uniform(20, 300), 3)]),
            source.choice("123"),
            source.choice(["grey", "red", "blue"]),
        )
        for number in range(60)
    ]
    needs = [
        need(
            f"n{number}",
            source.choice([150, 400, 777.7]),
            source.choice(["grey", "red", "blue", "gold"]),
            may_mix=source.choice(["yes", "no", "no"]),
        )
        for number in range(20)
    ]
    check_promises(pd.DataFrame(yarns), pd.DataFrame(needs), seconds=2)


def test_a_project_short_in_one_dye_lot_is_told_what_is_missing() -> None:
    yarns = pd.DataFrame(
        [
            put_up("a", 300, 3, put_up_length=200, put_up_price=9),
            put_up("b", 280, 4, put_up_length=200, put_up_price=9),
            put_up("c", 80, 3),
        ]
    )
    plan = allocate_stash(yarns, pd.DataFrame([need("Shawl", 500)]))
    short = plan.shortages.iloc[0]
    assert (short["short"], short["best_lot"], short["buy"]) == (120, "3", 500)
    assert short["sentence"] == (
        "Shawl: short 120 m of the grey, lot 3: 380 m free of 500 m needed. "
        "All lots together have 660 m free, if lots may be mixed. "
        "Yarn bought is of a new lot, so buy all 500 m, unless more of this lot can be had."
    )
    bought = plan.bought.iloc[0]
    assert (bought["put_ups"], bought["left_over"], bought["cost"]) == (3, 100, 27)
    mixed = allocate_stash(yarns, pd.DataFrame([need("Shawl", 700, may_mix=True)]), unit="yd")
    short = mixed.shortages.iloc[0]
    assert (short["covered"], short["short"], short["buy"]) == (660, 40, 40)
    assert short["sentence"].startswith("Shawl: short 40 yd of the grey, with all its lots together")


@pytest.mark.parametrize("ids", [[90, 91], ["k", "l"], [1, 0]], ids=str)
def test_rows_are_counted_whatever_their_index(ids: list[Any]) -> None:
    yarns = pd.DataFrame([put_up("a", 50, 1), put_up("b", 300, 3)], index=ids)
    needs = pd.DataFrame([need("Shawl", 400), need("Scarf", 200)], index=ids)
    plan = allocate_stash(yarns, needs)
    # Row 1 of the needs finds too little, row 2 is served by row 2 of the yarns.
    assert plan.allocation[["row", "put_up"]].values.tolist() == [[2, "b"]]
    assert plan.shortages[["row", "piece"]].values.tolist() == [[1, "Shawl"]]
    assert plan.put_ups["row"].tolist() == [1, 2]
    known = allocate_stash(yarns.assign(row=[11, 12]), needs.assign(row=[31, 32]))
    assert (known.allocation["row"].tolist(), known.shortages["row"].tolist()) == ([32], [31])
    assert known.put_ups["row"].tolist() == [11, 12]


def test_what_another_piece_took_is_told() -> None:
    yarns = pd.DataFrame([put_up("a", 500, 3)])
    plan = allocate_stash(yarns, pd.DataFrame([need("Scarf", 300), need("Shawl", 400)]))
    assert list(plan.allocation["piece"]) == ["Shawl"]
    sentence = plan.shortages["sentence"].iloc[0]
    assert sentence.startswith("Scarf: short 200 m of the grey, lot 3: 100 m free of 300 m needed.")
    assert "There is enough in lot 3, but it is promised elsewhere." in sentence


def test_what_the_stash_does_not_have_is_bought_whole() -> None:
    plan = allocate_stash(pd.DataFrame([put_up("a", 500)]), pd.DataFrame([need("Cap", 90, "gold")]))
    assert plan.shortages["sentence"].iloc[0] == "Cap: the stash has no gold; buy all 90 m."
    assert plan.length_bought == 90
    assert pd.isna(plan.bought["put_ups"].iloc[0])


def test_columns_are_of_one_type_whether_or_not_there_is_a_row() -> None:
    known = {"put_up_length": 200, "put_up_price": 9}
    yarns = pd.DataFrame([put_up("a", 300, **known), put_up("", 1, **known)])
    needs = pd.DataFrame([need("Scarf", 300), need("Shawl", 500)])
    filled, none = allocate_stash(yarns, needs), allocate_stash(yarns.iloc[:0], needs.iloc[:0])
    assert [len(table) for table in (filled.allocation, filled.put_ups, filled.shortages)] == [1, 1, 1]
    # What has no put-up is blank, and leaves whole put-ups whole.
    gold = allocate_stash(yarns, pd.DataFrame([need("Cap", 90, "gold")]))
    for table in ("allocation", "put_ups", "shortages", "bought", "stages", "problems"):
        for other in (none, gold):
            pd.testing.assert_series_equal(getattr(other, table).dtypes, getattr(filled, table).dtypes)
    # Nothing adds up to a number.
    lengths = none.allocation["length"].sum(), none.shortages["buy"].sum(), none.put_ups["left"].sum()
    assert [type(length.item()) for length in lengths] == [float] * 3


def test_whole_put_ups_before_broken_ones() -> None:
    yarns = pd.DataFrame([put_up("a", 300), put_up("b", 200), put_up("c", 150), put_up("d", 150)])
    plan = allocate_stash(yarns, pd.DataFrame([need("Scarf", 300), need("Shawl", 500)]))
    assert plan.broken == 0
    # A put-up shared by two needs is broken, though nothing of it is left.
    plan = allocate_stash(pd.DataFrame([put_up("a", 300)]), pd.DataFrame([need("p", 100), need("q", 200)]))
    assert (plan.broken, plan.put_ups["left"].iloc[0]) == (1, 0)


def test_a_line_of_several_put_ups_is_cut_into_only_once() -> None:
    yarns = pd.DataFrame([put_up("cones", 1250, put_up_length=500)])
    plan = allocate_stash(yarns, pd.DataFrame([need("p", 750), need("q", 400)]))
    given_ = plan.allocation.set_index("piece")
    assert given_.loc["p", "whole_put_ups"] == 2
    assert (given_.loc["q", "whole_put_ups"], given_.loc["q", "cut"]) == (0, 400)
    assert plan.broken == 1


def test_lots_that_are_not_noted_are_not_one_lot() -> None:
    yarns = [put_up("a", 200, ""), put_up("b", 200, None)]
    plan = allocate_stash(pd.DataFrame(yarns), pd.DataFrame([need("Shawl", 300)]))
    assert "a (no lot noted)" in plan.shortages["sentence"].iloc[0]
    assert (
        allocate_stash(pd.DataFrame(yarns), pd.DataFrame([need("Shawl", 300, may_mix=1)])).length_bought == 0
    )


def test_a_need_by_name_takes_any_lot_of_that_yarn_and_keeps_to_the_named_one() -> None:
    yarns = pd.DataFrame(
        [put_up("grey 211", 900, 211), put_up("grey 214", 700, 214), put_up("red", 900, 1, "red")]
    )
    needs = pd.DataFrame([{"piece": "Shawl", "yarn": "Grey 214", "length": 600}])
    assert list(allocate_stash(yarns, needs).allocation["put_up"]) == ["grey 214"]
    needs.loc[0, "length"] = 800
    assert list(allocate_stash(yarns, needs).allocation["put_up"]) == ["grey 211"]


def test_warp_and_weft_of_one_colour_are_one_lot() -> None:
    yarns = pd.DataFrame([put_up("a", 300, 1), put_up("b", 450, 2)])
    plan = allocate_stash(yarns, pd.DataFrame([need("Shawl", 250), need("shawl", 200)]))
    assert list(plan.allocation["put_up"]) == ["b"]
    assert plan.allocation["length"].iloc[0] == 450
    assert "row 1 too" in plan.problems["problem"].iloc[0]


def blue(name: str, length: object, lot: object, yarn: str = "8/2 Ne", **more: Any) -> dict[str, Any]:
    return {"name": name, "yarn": yarn, "colour": "blue", "lot": lot, "length": length, **more}


@pytest.mark.parametrize(
    "text", ["2/8 Ne", "8/2Ne", "8/2 NeC", "8/2 cotton", "8 Ne x 2", "8.0/2 Ne", "8/2  NE"]
)
def test_a_count_is_the_same_yarn_however_it_is_spelled(text: str) -> None:
    needs = pd.DataFrame([need("Towel", 100, "blue", yarn=text)])
    plan = allocate_stash(pd.DataFrame([blue("b1", 200, "A")]), needs)
    assert plan.allocation[["put_up", "length"]].values.tolist() == [["b1", 100]]
    assert plan.problems.empty


@pytest.mark.parametrize("text", ["4 Ne", "4/1 Ne", "16/4 Ne", "8/2 Nm", "3360 yd/lb"])
def test_a_yarn_as_heavy_or_of_the_same_number_is_another_yarn(text: str) -> None:
    needs = pd.DataFrame([need("Towel", 100, "blue", yarn=text)])
    plan = allocate_stash(pd.DataFrame([blue("b1", 200, "A")]), needs)
    assert plan.shortages["sentence"].tolist() == [f"Towel: the stash has no blue {text}; buy all 100 m."]
    assert plan.problems.empty


def test_a_length_per_mass_is_the_same_for_any_put_up() -> None:
    yarns = pd.DataFrame([blue("b1", 200, "A", "400 m/100 g"), blue("b2", 200, "A", "200 m/50 g")])
    needs = pd.DataFrame([need("Hat", 300, "blue", yarn="4 m/g")])
    assert allocate_stash(yarns, needs).length_bought == 0
    # Folded spun silk: 40/2 counts the folded yarn, and two strands of 40 are twice as heavy.
    silk = pd.DataFrame([blue("s", 200, "A", "40/2 spun silk")])
    needs = pd.DataFrame([need("Hat", 30, "blue", yarn="40 spun silk x 2")])
    assert allocate_stash(silk, needs).length_bought == 30


def test_one_lot_written_in_two_ways_is_one_lot() -> None:
    yarns = pd.DataFrame([blue("b1", 200, "A"), blue("b2", 200, "A", "2/8 Ne")])
    plan = allocate_stash(yarns, pd.DataFrame([{"piece": "Shawl", "yarn": "b1", "length": 300}]))
    assert sorted(plan.allocation["put_up"]) == ["b1", "b2"]
    assert plan.length_bought == 0


def test_a_yarn_that_cannot_be_read_is_told() -> None:
    yarns = pd.DataFrame([blue("b1", 200, "A"), blue("rags", 50, "", "rag strips"), blue("gone", 0, "C")])
    asked = ["8/2", "B1", "rag  strips", "gone", "20/2 Ne", "b7"]
    needs = pd.DataFrame([{"piece": text, "yarn": text, "length": 10} for text in asked])
    plan = allocate_stash(yarns, needs)
    assert plan.problems[["row", "column", "effect"]].values.tolist() == [
        [1, "yarn", "told only"],
        [6, "yarn", "told only"],
    ]
    assert plan.problems["problem"].iloc[1].startswith("b7 is neither a name in the stash nor a count")
    # Of a line with nothing left any other lot of its yarn serves.
    assert sorted(plan.allocation["row"]) == [2, 3, 4]


def test_what_is_bought_is_added_up_by_yarn_and_not_by_spelling() -> None:
    needs = pd.DataFrame(
        [
            {"piece": "p", "yarn": "20/2 Ne", "fibre": "cotton", "length": 10},
            {"piece": "q", "yarn": "2/20 Ne", "fibre": "Cotton", "length": 20},
            {"piece": "r", "yarn": "20/2 Ne", "fibre": "hemp", "length": 40},
        ]
    )
    bought = allocate_stash(pd.DataFrame([blue("b1", 200, "A")]), needs).bought
    assert bought[["fibre", "pieces", "length"]].values.tolist() == [
        ["cotton", "p, q", 30],
        ["hemp", "r", 40],
    ]


@pytest.mark.parametrize(
    "other",
    [{"yarn": "8/2 Ne", "colour": "blue"}, {"yarn": "2/8 Ne"}, {"yarn": "b2"}, {"colour": "Blue"}],
)
def test_rows_that_find_the_same_yarn_are_one_need_and_one_lot(other: dict[str, Any]) -> None:
    yarns = pd.DataFrame([blue("b1", 200, "A"), blue("b2", 500, "B")])
    rows = [{"piece": "p", "yarn": "b1", "length": 150}, {"piece": "p", "length": 300, **other}]
    plan = allocate_stash(yarns, pd.DataFrame(rows))
    # Either alone fits a lot of its own; 150 and 300 are 450, which lot B alone holds.
    assert plan.allocation[["put_up", "length"]].values.tolist() == [["b2", 450]]
    assert plan.problems[["row", "column"]].values.tolist() == [[2, "piece"]]
    assert "in row 1 too, as b1: both together are one need" in plan.problems["problem"].iloc[0]
    rows[1]["length"] = 400
    assert allocate_stash(yarns, pd.DataFrame(rows)).length_bought == 550
    mixed = pd.DataFrame(rows).assign(may_mix="yes")
    assert allocate_stash(yarns, mixed).length_bought == 0


def test_two_lots_of_one_colour_in_a_piece_are_told_where_the_rows_ask_in_other_words() -> None:
    yarns = pd.DataFrame([blue("b1", 200, "A"), blue("b2", 500, "B"), blue("r", 50, "C") | {"colour": "red"}])
    rows = [
        {"piece": "p", "yarn": "8/2 Ne", "length": 190},
        {"piece": "P", "yarn": "8/2 Ne", "colour": "blue", "length": 400},
        {"piece": "q", "colour": "red", "length": 50},
    ]
    plan = allocate_stash(yarns, pd.DataFrame(rows))
    assert plan.length_bought == 0
    assert plan.problems[["row", "column"]].values.tolist() == [[2, "piece"]]
    assert plan.problems["problem"].iloc[0] == (
        "p gets this yarn of lot B, and of lot A for row 1: write both rows alike to keep to one lot"
    )
    assert allocate_stash(yarns, pd.DataFrame(rows).assign(may_mix="yes")).problems.empty
    # Of one lot there is nothing to tell.
    rows[0]["length"] = 60
    assert allocate_stash(yarns.iloc[1:], pd.DataFrame(rows)).problems.empty


def test_rows_put_together_keep_to_the_lot_that_any_of_them_names() -> None:
    yarns = pd.DataFrame([blue("b1", 500, "A"), blue("b2", 500, "B")])
    for named in ("b1", "b2"):
        rows = [need("p", 60, "blue"), {"piece": "p", "yarn": named, "length": 60}]
        assert allocate_stash(yarns, pd.DataFrame(rows)).allocation["put_up"].tolist() == [named]


def test_a_need_takes_the_fibre_that_it_notes() -> None:
    yarns = pd.DataFrame(
        [blue("cot", 200, "A", fibre="cotton"), blue("lin", 200, "A", fibre="linen"), blue("odd", 90, "A")]
    )
    needs = pd.DataFrame(
        [need("Towel", 100, "blue", yarn="8/2 Ne", fibre=text) for text in ("Linen", "hemp")]
    )
    plan = allocate_stash(yarns, needs)
    assert plan.allocation["put_up"].tolist() == ["lin"]
    assert plan.shortages["sentence"].tolist() == ["Towel: the stash has no blue 8/2 Ne hemp; buy all 100 m."]
    assert plan.problems.empty
    # Cotton and linen of one lot name are no one lot, and which of them is meant is asked.
    plan = allocate_stash(yarns, needs.iloc[:1].assign(fibre="", length=300, may_mix="yes"))
    assert plan.length_bought == 100
    assert plan.problems[["row", "column", "problem"]].values.tolist() == [
        [
            1,
            "yarn",
            "blue 8/2 Ne fits yarns of cotton and linen, and any of them may be given: note the fibre",
        ]
    ]
    assert allocate_stash(yarns.iloc[1:], needs.iloc[:1].assign(fibre="")).problems.empty


def test_yarns_without_a_count_are_no_common_yarn() -> None:
    yarns = pd.DataFrame([put_up("a", 200) | {"yarn": ""}, put_up("b", 200) | {"yarn": None}])
    assert allocate_stash(yarns, pd.DataFrame([need("Shawl", 300, may_mix="x")])).length_bought == 100


def test_dust_of_a_sum_is_no_shortage() -> None:
    yarns = pd.DataFrame([put_up("a", 0.1 + 0.2)])
    assert allocate_stash(yarns, pd.DataFrame([need("Sample", 0.3)])).shortages.empty
    one_third = wf.yarn_length(100 / 3, "2/12 Nm", "g", "m") * 3
    plan = allocate_stash(pd.DataFrame([put_up("a", one_third)]), pd.DataFrame([need("Sample", 600)]))
    assert (plan.shortages.empty, plan.broken) == (True, 0)


def test_dirty_rows_are_named_and_the_others_given_out() -> None:
    yarns = pd.DataFrame(
        [
            put_up("good", 300),
            put_up("text", "300 m"),
            put_up("negative", -5),
            dict.fromkeys(put_up("", 1)),
            put_up("good", 900),
            put_up("", 10),
            put_up("price", 50, put_up_length=50, put_up_price="€ 9"),
            put_up("tiny", 50, put_up_length=0.001),
        ]
    )
    needs = pd.DataFrame(
        [
            need("good", 350),
            need("text", "much"),
            need("percent", -1),
            need("", 100),
            need("nothing asked", 100, ""),
            need("perhaps", 40, may_mix="perhaps"),
        ]
    )
    plan = allocate_stash(yarns, needs, yarns_sheet="Yarns", needs_sheet="Shopping")
    told = {(line.sheet, line.row, line.column) for line in plan.problems.itertuples()}
    assert told == {
        ("Yarns", 2, "length"),
        ("Yarns", 3, "length"),
        ("Yarns", 4, ""),
        ("Yarns", 5, "name"),
        ("Yarns", 6, "name"),
        ("Yarns", 7, "put_up_price"),
        ("Yarns", 8, "put_up_length"),
        ("Shopping", 2, "length"),
        ("Shopping", 3, "length"),
        ("Shopping", 4, "piece"),
        ("Shopping", 5, "yarn"),
        ("Shopping", 6, "may_mix"),
    }
    assert set(plan.allocation["row"]) == {1, 6}


def test_missing_columns_are_refused() -> None:
    with pytest.raises(WeaveError, match="length"):
        allocate_stash(pd.DataFrame([{"name": "a"}]), pd.DataFrame([need("p", 1)]))
    with pytest.raises(WeaveError, match="yarn"):
        allocate_stash(pd.DataFrame([put_up("a", 1)]), pd.DataFrame([{"piece": "p", "length": 1}]))


def test_nothing_needed_or_nothing_there() -> None:
    assert allocate_stash(pd.DataFrame([put_up("a", 1)]), pd.DataFrame([need("p", 0)])).proven
    plan = allocate_stash(pd.DataFrame([put_up("a", 0)]), pd.DataFrame([need("p", 10)]))
    assert (plan.length_bought, plan.gap) == (10, 0)


def test_progress_is_told() -> None:
    told: list[str] = []
    allocate_stash(pd.DataFrame([put_up("a", 1)]), pd.DataFrame([need("p", 1)]), progress=told.append)
    assert "part 1 of 1: 1 need" in told
