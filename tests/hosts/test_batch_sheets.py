"""Batch, Kits, Shopping, Records: they show what the functions give, and the examples hold true."""

from __future__ import annotations

import copy
import math
import sys
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from openpyxl import load_workbook

import weavefuncs as wf
from weavefuncs.addin.offline import recalculate
from weavefuncs.addin.offline.grid import cell_name
from weavefuncs.tables import cost_batch
from weavefuncs.workbooks import EXAMPLES, batch, kits, records, shopping
from weavefuncs.workbooks._solve_stash import StashAnswer
from weavefuncs.workbooks._solve_warps import WarpAnswer
from weavefuncs.workbooks.frames import Frames
from weavefuncs.workbooks.inputs import read_inputs
from weavefuncs.workbooks.lines import Lines
from weavefuncs.workbooks.planner import build
from weavefuncs.workbooks.settings import COMMON
from weavefuncs.workbooks.solve import solve

sys.path.insert(0, str(Path(__file__).parent))
from few_lines import few_lines
from odd_names import in_other_words


class Filled:
    """A planner built from what is filled in, and calculated."""

    def __init__(self, folder: Path, filled: dict[str, Any]) -> None:
        self.filled = filled
        self.settings = {**COMMON, **filled.get("settings", {})}
        self.path = folder / "planner.xlsx"
        build(str(self.path), filled, "calc")
        self.report = recalculate(self.path, check=True)
        assert not self.report.uncalculated

    def cell(self, table: Lines, line: int, key: str) -> Any:
        """What a column of a table shows in a line, counted from 1."""
        return self.report.value(table.sheet, cell_name(table.first + line, table.place(key) + 1))

    def named(self, name: str) -> Any:
        return self.report.name_values(name)[0][0]

    def column(self, name: str) -> list[Any]:
        return [row[0] for row in self.report.name_values(name)]

    def yarn(self, name: str) -> dict[str, Any]:
        return next(yarn for yarn in self.filled["yarns"] if yarn["name"] == name)

    @property
    def problems(self) -> list[str]:
        return [f"{where}: {text}" for where, text in self.report.name_values("ProblemsList") if where]


@pytest.fixture(scope="module", autouse=True)
def _few_lines():
    with few_lines():
        yield


@pytest.fixture(scope="module")
def planners(tmp_path_factory):
    """Planners by example and change, each calculated once."""
    known: dict[Any, Filled] = {}

    def get(example: str, change: Any = None) -> Filled:
        if (example, change) not in known:
            filled = copy.deepcopy(EXAMPLES[example])
            if change:
                change(filled)
            known[example, change] = Filled(tmp_path_factory.mktemp(example), filled)
        return known[example, change]

    return get


def on_one_warp(filled: dict[str, Any]) -> None:
    for line in filled["batch"]:
        line["label"] = "A"


def with_gaps(filled: dict[str, Any]) -> None:
    """Gaps between the pieces, one line without a price, and nothing to be bought for the batch."""
    on_one_warp(filled)
    filled["settings"].update(Between=2.5, LongestWarp=12)
    del filled["batch"][1]["price"]
    filled["shopping"] = {"CountBatch": "no"}


def price_of(yarn: dict[str, Any], mass_unit: str, length_unit: str) -> float:
    """What one unit of length of a yarn costs."""
    return yarn["price"] / wf.yarn_length(yarn["put_up"], yarn["yarn"], mass_unit, length_unit)


# Names.


@pytest.mark.parametrize("example", ["towels", "kit", "stash"])
def test_names_have_no_influence_on_numbers(planners, example):
    plain, odd = planners(example), planners(example, in_other_words)
    for table in (batch.TABLE, kits.KIT_TABLE, kits.RECIPE_TABLE, shopping.YARN_TABLE, shopping.NEED_TABLE):
        for line in range(1, table.count + 1):
            for column in table.columns:
                before, after = (planner.cell(table, line, column.key) for planner in (plain, odd))
                if not isinstance(before, str):
                    assert after == before, (table.sheet, line, column.key)
    assert len(odd.problems) == len(plain.problems)


def in_numbers(filled: dict[str, Any]) -> None:
    """Two yarns and two kits whose names are one number."""
    called = {"Linen cone": "007", "Oat skeins": "7"}
    for yarn in filled["yarns"]:
        yarn["name"] = called.get(yarn["name"], yarn["name"])
    kit, recipe = filled["kits"]["kits"][0], filled["kits"]["recipes"]
    for line in recipe:
        line |= {"kit": "1.0", "yarn": called.get(line["yarn"], line["yarn"])}
    # One kit, so that the stock has enough; and no plan, which names yarns too.
    kit |= {"quantity": 1, "setup": 0}
    filled["plan"], filled["cloth"], filled["order"] = {}, {}, {}
    filled["kits"]["kits"] = [{**kit, "name": "1.0"}, {**kit, "name": "1"}, {**kit, "name": "Twice"}]
    linen, oat = recipe[:2]
    twice = {**linen, "kit": "Twice"}
    recipe[2:] = [{**oat, "kit": "1"}, {**linen, "kit": "01"}, {**linen, "yarn": "07"}, twice, twice]


def test_names_that_are_one_number_are_told(planners):
    """Excel and we sum up under both what stands under either; Calc does not."""
    plan = planners("kit", in_numbers)
    told = [problem for problem in plan.problems if problem.startswith(("Yarns", "Kits"))]
    alike = "counts as one with another name here, for both are one number: put a letter into each"
    yarns_at = {yarn["name"]: row for row, yarn in enumerate(plan.filled["yarns"], start=6)}
    fourth = kits.FIRST_RECIPE + 4
    assert told == [
        f"Yarns, row {yarns_at['007']}: 007 {alike}",
        f"Yarns, row {yarns_at['7']}: 7 {alike}",
        f"Kits, row 6: 1.0 {alike}",
        f"Kits, row 7: 1 {alike}",
        # A name that stands nowhere is not found under one that is the same number.
        f"Kits, row {fourth}: 01 does not stand among the kits above",
        f"Kits, row {fourth + 1}: 1.0: 07 does not stand on Yarns",
        f"Kits, row {fourth + 2}: Twice lists 007 twice: add the two up",
        f"Kits, row {fourth + 3}: Twice lists 007 twice: add the two up",
    ]


def test_each_name_is_looked_up_as_it_is(planners):
    """What a yarn takes is the sum over the lines that name it, and no other."""
    plan = planners("towels", in_other_words)
    for line, yarn in enumerate(plan.filled["yarns"], start=1):
        taken = sum(
            plan.cell(batch.TABLE, number, f"{system}_yarn")
            for number, order in enumerate(plan.filled["batch"], start=1)
            for system in ("warp", "weft")
            if order[system] == yarn["name"]
        )
        assert plan.cell(shopping.YARN_TABLE, line, "batch") == pytest.approx(
            wf.yarn_to_buy(taken, plan.settings["YarnSpread"], plan.settings["YarnRisk"])
        )


# Batch.


@pytest.mark.parametrize("line", [1, 2, 3])
def test_a_line_of_the_batch_is_what_the_functions_give(planners, line):
    """The sums of one line, done again from its warp to its margin."""
    plan = planners("towels")
    given, settings = plan.filled["batch"][line - 1], plan.settings
    pieces_on_warp = sum(row["pieces"] for row in plan.filled["batch"] if row["label"] == given["label"])
    share = given["pieces"] / pieces_on_warp
    wide = wf.width_in_reed(given["width"], settings["ShrinkWidth"], settings["DrawIn"])
    ends = wf.ends(wide, given["sett"])
    woven = wf.length_to_weave(given["length"], settings["ShrinkLength"])
    whole_warp = wf.warp_length(woven, pieces_on_warp, 0, settings["WarpTakeUp"], settings["LoomWaste"]) / 36
    warp = wf.warp_yarn(ends, whole_warp * share)
    wound = ends / given["sett"]
    weft = given["pieces"] * wf.weft_yarn(woven, given["picks"], wound, settings["WeftTakeUp"]) / 36
    setup = share * (
        wf.hours_for(ends, settings["EndsWoundAnHour"]) + wf.hours_for(ends, settings["EndsThreadedAnHour"])
    )
    picks = given["pieces"] * wf.picks_for(woven, given["picks"])
    hours = (
        setup
        + wf.weaving_hours(picks, settings["PicksAMinute"], settings["Efficiency"])
        + given["pieces"] * settings["FinishingHours"]
    )
    yarn = warp * price_of(plan.yarn(given["warp"]), "oz", "yd")
    yarn += weft * price_of(plan.yarn(given["weft"]), "oz", "yd")
    yarn = wf.yarn_to_buy(yarn, settings["YarnSpread"], settings["YarnRisk"])
    cost = (yarn + hours * (settings["Wage"] + settings["Overhead"])) / given["pieces"]
    net = wf.net_after_fees(given["price"], settings["FeeRate"], settings["FeeFlat"])
    wanted = wf.price_for_net(
        wf.price_from_margin(cost, settings["Margin"]), settings["FeeRate"], settings["FeeFlat"]
    )
    step = settings["PriceStep"]
    for key, value in {
        "ends": ends,
        "share": share,
        "warp_length": whole_warp * share,
        "warp_yarn": warp,
        "weft_yarn": weft,
        "setup_hours": setup,
        "hours": hours,
        "yarn_cost": yarn,
        "cost": cost,
        "price_wanted": math.ceil(wanted / step) * step,
        "margin": wf.margin(net, cost),
        "left": given["pieces"] * (net - cost),
    }.items():
        assert plan.cell(batch.TABLE, line, key) == pytest.approx(value), key


def test_the_batch_is_what_the_table_function_makes_of_the_same_orders(planners):
    plan = planners("towels")
    settings = plan.settings
    orders = pd.DataFrame(plan.filled["batch"]).rename(
        columns={"picks": "weft_sett", "warp": "warp_yarn", "weft": "weft_yarn", "label": "warp"}
    )
    yarns = pd.DataFrame(
        {
            "name": yarn["name"],
            "yarn": yarn["yarn"],
            "put_up_length": wf.yarn_length(yarn["put_up"], yarn["yarn"], "oz", "yd"),
            "put_up_price": yarn["price"],
        }
        for yarn in plan.filled["yarns"]
    )
    names = {
        "wage": "Wage",
        "overhead": "Overhead",
        "ends_wound_an_hour": "EndsWoundAnHour",
        "ends_threaded_an_hour": "EndsThreadedAnHour",
        "spread": "YarnSpread",
        "risk": "YarnRisk",
        "margin": "Margin",
        "take_up": "WarpTakeUp",
        "weft_slack": "WeftTakeUp",
        "draw_in": "DrawIn",
        "shrinkage": "ShrinkLength",
        "shrinkage_width": "ShrinkWidth",
        "waste": "LoomWaste",
        "picks_a_minute": "PicksAMinute",
        "efficiency": "Efficiency",
        "finishing_hours": "FinishingHours",
        "fee_rate": "FeeRate",
        "fee_flat": "FeeFlat",
    }
    asked = {name: settings[key] for name, key in names.items()}
    costed = cost_batch(orders, yarns, {**asked, "length_unit": "yd", "mass_unit": "oz"})
    for key, column in {
        "yarn_cost": "yarn_cost",
        "hours": "hours",
        "cost": "unit_cost",
        "margin": "margin",
        "left": "profit",
    }.items():
        shown = [plan.cell(batch.TABLE, line, key) for line in (1, 2, 3)]
        assert shown == pytest.approx(list(costed.lines[column])), key
    assert plan.named("BatchProfit") == pytest.approx(costed.totals["profit"].iloc[0])


def test_one_warp_saves_one_loom_waste_and_one_setting_up_and_nothing_else(planners):
    two, one = planners("towels"), planners("towels", on_one_warp)
    settings = two.settings
    assert (two.named("BatchWarpCount"), one.named("BatchWarpCount")) == (2, 1)
    ends = two.cell(batch.TABLE, 1, "ends")
    waste = ends * settings["LoomWaste"] / 36
    assert sum(two.column("BatchWarpYarn")[:3]) - sum(one.column("BatchWarpYarn")[:3]) == pytest.approx(waste)
    assert two.column("BatchWeftYarn") == one.column("BatchWeftYarn")
    hours = ends / settings["EndsWoundAnHour"] + ends / settings["EndsThreadedAnHour"]
    assert sum(two.column("BatchHours")[:3]) - sum(one.column("BatchHours")[:3]) == pytest.approx(hours)
    saved = hours * (settings["Wage"] + settings["Overhead"])
    yarn = waste * price_of(two.yarn("Cotton ecru"), "oz", "yd")
    saved += wf.yarn_to_buy(yarn, settings["YarnSpread"], settings["YarnRisk"])
    assert one.named("BatchProfit") - two.named("BatchProfit") == pytest.approx(saved)


def test_the_towels_lose_money_on_two_warps_and_earn_it_on_one(planners):
    """The story that the example tells, in the amounts that its notes state."""
    two, one = planners("towels"), planners("towels", on_one_warp)
    lost, left = -two.named("BatchProfit"), one.named("BatchProfit")
    assert lost > 0 < left
    for amount in (lost, left, lost + left):
        assert f"{amount:.2f} USD" in two.filled["settings"]["Notes"]
    assert any("row 8: loses" in line for line in two.problems)
    assert not one.problems


def test_gaps_between_pieces_lie_between_all_pieces_of_a_warp(planners):
    plan = planners("towels", with_gaps)
    settings, towel = plan.settings, plan.filled["batch"][0]
    woven = wf.length_to_weave(towel["length"], settings["ShrinkLength"])
    whole = wf.warp_length(woven, 24, 2.5, settings["WarpTakeUp"], settings["LoomWaste"])
    assert sum(plan.column("BatchWarpLengths")[:3]) * 36 == pytest.approx(whole)


def test_the_money_that_comes_in_goes_somewhere(planners):
    """Yarn, work, overhead, fees and what is left are all that the buyers pay."""
    for change in (None, on_one_warp):
        plan = planners("towels", change)
        top = batch.FIRST + 1
        parts = [plan.report.value("Batch", cell_name(top + row, batch.MONEY + 2)) for row in range(8)]
        paid = sum(line["pieces"] * line["price"] for line in plan.filled["batch"])
        assert parts[-1] == pytest.approx(paid)
        assert sum(parts[:-1]) == pytest.approx(paid)
        assert parts[5] == pytest.approx(paid * 0.08 + 24 * 0.3)


def with_blanks(filled: dict[str, Any]) -> None:
    """One mark with and without blanks around it, a mark that is a number, and marks that are nothing."""
    towel = {**filled["batch"][0], "weft": "Cotton indigo"}
    filled["settings"]["LongestWarp"] = 16
    marks = ("A", "A ", "  a", 7, " 7", " ", "  ")
    filled["batch"] = [{**towel, "label": mark, "pieces": 10 - line} for line, mark in enumerate(marks)]


def test_a_mark_is_the_same_with_blanks_around_it(planners):
    plan = planners("towels", with_blanks)
    # 10, 9 and 8 pieces on one warp, 7 and 6 on another, 5 and 4 on warps of their own.
    shares = [10 / 27, 9 / 27, 8 / 27, 7 / 13, 6 / 13, 1, 1]
    assert plan.column("BatchShares")[:7] == pytest.approx(shares)
    assert plan.named("BatchWarpCount") == 4
    # A towel of 28 in takes 0.77 yd of warp at least and, with a tenth lost twice, less than 1 yd: 27 of them
    # are longer than 16 yd, and 13 with 27 in of waste are not.
    long = [problem for problem in plan.problems if "longer than the loom holds" in problem]
    assert [problem.partition(":")[0] for problem in long] == [f"Batch, row {row}" for row in (6, 7, 8)]
    assert not any("differ in" in problem for problem in plan.problems)
    frames = Frames(read_inputs(plan.path))
    answer = WarpAnswer(frames, frames.yarns(), 20, lambda _: None)
    assert [list(on_warp.values()) for on_warp in answer.as_marked] == [[10, 9, 8], [7, 6], [5], [4]]


def test_nobody_says_what_is_left_before_every_line_has_a_price(planners):
    plan = planners("towels", with_gaps)
    assert plan.named("BatchProfit") == ""
    assert plan.cell(batch.TABLE, 2, "left") == ""
    assert plan.cell(batch.TABLE, 2, "price_wanted") > 0


# Kits.


def test_a_kit_is_what_the_functions_give(planners):
    plan = planners("kit")
    settings, kit = plan.settings, plan.filled["kits"]["kits"][0]
    recipe = plan.filled["kits"]["recipes"]
    risk = settings["YarnRisk"] / len(recipe)
    needs = [wf.yarn_to_buy(line["length"], settings["YarnSpread"], risk) for line in recipe]
    taken = [need / (1 - settings["WindingLoss"]) for need in needs]
    yarns = [plan.yarn(line["yarn"]) for line in recipe]
    stock = [wf.length_left(yarn["weighed"], yarn.get("tare", 0), yarn["yarn"]) for yarn in yarns]
    materials = wf.kit_cost(
        needs, [price_of(yarn, "g", "m") for yarn in yarns], kit["extras"], settings["WindingLoss"]
    )
    each = materials + kit["hours"] * (settings["Wage"] + settings["Overhead"])
    cost = wf.unit_cost(kit["setup"], each, kit["quantity"])
    net = wf.net_after_fees(kit["price"], settings["FeeRate"], settings["FeeFlat"])
    for key, value in {
        "makes": wf.kits_from_stock(stock, taken),
        "limiting": wf.limiting_yarn(stock, taken, [line["yarn"] for line in recipe]),
        "materials": materials,
        "each": each,
        "cost": cost,
        "net": net,
        "margin": wf.margin(net, cost),
        "break_even": wf.break_even_quantity(kit["setup"], net, each),
        "left": kit["quantity"] * net - wf.batch_cost(kit["setup"], each, kit["quantity"]),
    }.items():
        expected = value if isinstance(value, str) else pytest.approx(value)
        assert plan.cell(kits.KIT_TABLE, 1, key) == expected, key


def test_one_yarn_limits_the_kits(planners):
    """The story that the example tells: without the rust the stock would make all that are planned."""
    plan = planners("kit")
    planned = plan.filled["kits"]["kits"][0]["quantity"]
    makes = {
        line["yarn"]: plan.cell(kits.RECIPE_TABLE, number, "kits")
        for number, line in enumerate(plan.filled["kits"]["recipes"], start=1)
    }
    assert [yarn for yarn, count in makes.items() if count < planned] == ["Rust skeins"]
    assert makes["Rust skeins"] == plan.cell(kits.KIT_TABLE, 1, "makes") == 16
    assert f"{plan.named('ShopCost'):.2f} EUR" in plan.filled["settings"]["Notes"]
    assert f"{plan.cell(kits.KIT_TABLE, 1, 'left'):.2f} EUR" in plan.filled["settings"]["Notes"]
    assert plan.cell(kits.KIT_TABLE, 1, "break_even") == 11


# Shopping.


def bent(filled: dict[str, Any]) -> None:
    """Two projects that want one yarn, and a weave that nothing is recorded of."""
    filled["shopping"]["needs"] = [
        {"project": "first", "yarn": "Chalk", "length": 1000},
        {"project": "second", "yarn": "Chalk", "length": 1000},
    ]
    filled["settings"]["RecordsWeave"] = "5 satin"


def test_what_to_buy_is_whole_put_ups_for_all_that_is_planned(planners):
    plan = planners("towels")
    settings = plan.settings
    for number, yarn in enumerate(plan.filled["yarns"], start=1):
        used = sum(
            plan.cell(batch.TABLE, line, f"{system}_yarn")
            for line, row in enumerate(plan.filled["batch"], start=1)
            for system in ("warp", "weft")
            if row[system] == yarn["name"]
        )
        needed = wf.yarn_to_buy(used, settings["YarnSpread"], settings["YarnRisk"])
        free = wf.length_left(yarn["weighed"], yarn["tare"], yarn["yarn"], "oz", "yd")
        short = wf.short_by(needed, free)
        put_up = wf.yarn_length(yarn["put_up"], yarn["yarn"], "oz", "yd")
        put_ups = wf.put_ups(short, put_up)
        for key, value in {
            "needed": needed,
            "short": short,
            "buy": put_ups,
            "cost": put_ups * yarn["price"],
            "left": free + put_ups * put_up - needed,
        }.items():
            assert plan.cell(shopping.YARN_TABLE, number, key) == pytest.approx(value), (yarn["name"], key)


def test_what_is_not_ticked_is_not_bought_for(planners):
    assert planners("towels").named("ShopPutUpCount") == 1
    assert planners("towels", with_gaps).named("ShopPutUpCount") == 0


def test_one_project_is_short_in_one_dye_lot(planners):
    """The story that the example tells: every other project is covered, and another lot would do."""
    plan = planners("stash")
    needs = plan.filled["shopping"]["needs"]
    assert len({need["project"] for need in needs}) == 6
    assert len(plan.filled["yarns"]) == 30
    short = {
        (need["project"], need["yarn"]): plan.cell(shopping.NEED_TABLE, line, "short")
        for line, need in enumerate(needs, start=1)
    }
    # The tea towels may mix lots; the shawl may not.
    assert [key for key, length in short.items() if length > 0] == [
        ("Lattice shawl", "Dusk grey 214"),
        ("Tea towels", "Cotton sky K2"),
    ]
    assert short["Lattice shawl", "Dusk grey 214"] == pytest.approx(760 - 118 * 6)
    assert plan.cell(shopping.NEED_TABLE, 1, "others") == pytest.approx(96 * 6)
    assert "may not be mixed" in plan.cell(shopping.NEED_TABLE, 1, "says")
    assert len(plan.problems) == 2


def test_the_solver_saves_the_cone_that_the_example_states(planners):
    """By hand each project takes the lot that it names, and the tea towels buy a cone."""
    plan = planners("stash")
    frames = Frames(read_inputs(plan.path))
    answer = StashAnswer(frames, frames.yarns(), plan.report, 20, lambda _: None)
    needs, notes = plan.filled["shopping"]["needs"], plan.filled["settings"]["Notes"]
    line = next(number for number, need in enumerate(needs, 1) if need["yarn"] == "Cotton sky K2")
    # 16/2 cotton has 8 hanks of 840 yards a pound; 85 g of it are there.
    lacking = 1250 - 85 / 453.59237 * 8 * 840 * 0.9144
    assert plan.cell(shopping.NEED_TABLE, line, "short") == pytest.approx(lacking)
    assert f"short of {lacking:.0f} m in the lot of sky" in notes
    names = [yarn["name"] for yarn in plan.filled["yarns"]]
    cone = plan.cell(shopping.YARN_TABLE, names.index("Cotton sky K2") + 1, "cost")
    assert f"saves a cone, {cone:.2f} EUR" in notes
    # Solved, only the shawl is short of anything.
    assert set(answer._plan.shortages["piece"]) == {"Lattice shawl"}
    assert answer._plan.proven


def test_the_solver_winds_the_towels_as_their_notes_state(planners):
    plan = planners("towels")
    frames = Frames(read_inputs(plan.path))
    answer = WarpAnswer(frames, frames.yarns(), 20, lambda _: None)
    assert [len(on_warp) for on_warp in answer.as_marked] == [2, 1]
    # All three lines on one warp: what that leaves is compared with the notes above.
    assert [len(on_warp) for on_warp in answer._warps] == [3]
    assert answer._plan.proven


def flax(filled: dict[str, Any]) -> None:
    """14 towels in two colours on a warp of flax, of which nothing is there; nothing shrinks or draws in."""
    settings = dict.fromkeys(("WarpTakeUp", "WeftTakeUp", "DrawIn", "ShrinkLength", "ShrinkWidth"), 0)
    filled["settings"] = {
        **settings,
        "UnitChoice": "centimetre, metre, gram",
        "Wage": 18,
        "Overhead": 2,
        "LoomWaste": 140,
        "LongestWarp": 16,
        "EndsWoundAnHour": 100,
        "EndsThreadedAnHour": 50,
        "PicksAMinute": 20,
        "Efficiency": 0.8,
        "FinishingHours": 0,
        "YarnSpread": 0.1,
        "YarnRisk": 0.05,
    }
    yarn = {"yarn": "1000 m/100 g", "weighed": 0, "put_up": 200, "price": 20}
    filled["yarns"] = [{"name": name, **yarn} for name in ("Flax", "Blue", "Grey")]
    towel = {"product": "Towel", "width": 50, "length": 90, "sett": 10, "picks": 8, "warp": "Flax"}
    filled["batch"] = [
        {**towel, "pieces": 8, "weft": "Blue", "label": "A"},
        {**towel, "pieces": 6, "weft": "Grey", "label": "A"},
    ]


def test_solved_buys_for_a_warp_what_shopping_buys(planners, tmp_path):
    """By hand: 500 ends of 14 × 0.9 + 1.4 m are 7000 m. As one piece in twenty may run short, 0.1644854 of
    it is added: 8151.4 m. Put-ups have 2000 m: 7000 m would be 4 of them, 8151.4 m is 5.
    """
    plan = planners("towels", flax)
    assert sum(plan.column("BatchWarpYarn")[:2]) == pytest.approx(7000)
    for key, value in {
        "batch": 8151.398,
        "needed": 8151.398,
        "buy": 5,
        "cost": 100,
        "left": 1848.602,
    }.items():
        assert plan.cell(shopping.YARN_TABLE, 1, key) == pytest.approx(value, abs=0.001), key

    path = tmp_path / "planner.xlsx"
    path.write_bytes(plan.path.read_bytes())
    told = solve(path).sentences
    # 500 ends are wound in 5 hours and threaded in 10: 300 at 20 an hour. A warp for each line, of 8.6 and
    # 6.8 m, takes 7700 m, with the allowance 8966.5 m: 5 put-ups too, and twice the work.
    assert told[0].startswith("14 pieces of 2 lines on 1 warp: 400.00 for whole put-ups")
    assert "A warp for each line: 2 warps, 700.00. The plan here saves 300.00." in told
    assert "As marked under On warp: 1 warp, 400.00. That costs the same." in told
    rows = list(load_workbook(path)["Solved"].iter_rows(min_row=5, min_col=2, values_only=True))
    assert line_below(rows, "Line on Batch") == pytest.approx(
        {
            "Line on Batch": "Towel",
            "Warp yarn": "Flax",
            "Warp": 1,
            "Row on Batch": batch.FIRST + 1,
            "Pieces": 8,
            "Ends": 500,
            "Length (m)": 14,
            "Yarn used (m)": 7000,
            "Winding, threading (hours)": 15,
            # By length a metre is 0.01, the allowance is paid for.
            "Work, and yarn by length": 300 + 81.51398,
        }
    )
    assert line_below(rows, "Warp yarn in all") == pytest.approx(
        {
            "Warp yarn in all": "Flax",
            "Used (m)": 7000,
            "With allowance (m)": 8151.398,
            "Put-ups": 5,
            "Left over (m)": 1848.602,
            "Cost": 100,
        }
    )


def line_below(rows: list[tuple[Any, ...]], heading: str) -> dict[str, Any]:
    """The first line of a table on Solved, by its headings; what is blank is left out."""
    at = next(number for number, row in enumerate(rows) if row[0] == heading)
    return {
        name: value for name, value in zip(rows[at], rows[at + 1], strict=True) if name and value is not None
    }


def test_nothing_is_promised_twice(planners):
    plan = planners("stash", bent)
    free = 205 * 6
    assert plan.cell(shopping.NEED_TABLE, 1, "short") == 0
    assert plan.cell(shopping.NEED_TABLE, 2, "short") == pytest.approx(2000 - free)


# Records.


def test_records_of_the_weave_and_fibre_chosen_give_the_next_allowances(planners):
    plan = planners("stash")
    chosen = [
        line for line in plan.filled["records"] if (line["weave"], line["fibre"]) == ("2/2 twill", "wool")
    ]
    assert 0 < len(chosen) < len(plan.filled["records"])
    confidence = plan.settings["Confidence"]
    shares = {
        "RecordsTakeUp": [wf.take_up(line["warp_used"], line["cloth_length"]) for line in chosen],
        "RecordsDrawIn": [wf.draw_in(line["reed_width"], line["cloth_width"]) for line in chosen],
        "RecordsShrinkLength": [
            wf.shrinkage(line["cloth_length"], line["finished_length"]) for line in chosen
        ],
        "RecordsShrinkWidth": [wf.shrinkage(line["cloth_width"], line["finished_width"]) for line in chosen],
    }
    for name, measured in shares.items():
        assert plan.named(name) == pytest.approx(wf.allowance(measured, confidence, "share")), name
    assert plan.named("RecordsWaste") == pytest.approx(
        wf.allowance([line["waste"] for line in chosen], confidence)
    )
    # Of three pieces nearly alike the spread is not believed.
    ratios = [line["yarn_used"] / line["yarn_planned"] for line in chosen]
    assert wf.spread(ratios) < COMMON["YarnSpread"] == plan.named("RecordsSpread")
    more = 100 * (sum(ratios) / len(ratios) - 1)
    text = plan.report.value("Records", cell_name(records.SETTINGS_ROW + 1, records.TABLE.place("weave") + 1))
    assert text.startswith(f"These pieces took {more:.1f} % more yarn than planned")
    # Settings shows it and keeps its own.
    assert plan.named("WarpTakeUp") == COMMON["WarpTakeUp"]


def test_without_a_record_of_that_weave_settings_stand(planners):
    plan = planners("stash", bent)
    assert plan.named("RecordsTakeUp") == ""
    text = plan.report.value("Records", cell_name(records.COUNT_ROW + 1, records.TABLE.place("weave") + 1))
    assert "5 satin, wool has no record: the common values on Settings stand" in text


# What may go wrong.


def bad_batch(filled: dict[str, Any]) -> None:
    """One mistake a line, each line on a warp of its own; the first line is right."""
    good = {**filled["batch"][0], "label": None}
    filled["yarns"].append({**filled["yarns"][0], "name": "No price", "price": None})
    filled["yarns"].append({"weighed": 4})
    filled["settings"]["LoomWidth"] = 20
    del filled["settings"]["Wage"]
    changes = [
        {},
        {"pieces": "eight"},
        {"pieces": -8},
        {"pieces": 7.5},
        {"width": None},
        {"price": "$34"},
        {"price": 0},
        {"weft": "Nobody's"},
        {"warp": "No price"},
        {"product": None},
        {"label": "A"},
        {"label": "A", "width": 20},
    ]
    filled["batch"] = [{**good, **change} for change in changes]


@pytest.mark.parametrize(
    ("line", "key", "says"),
    [
        (2, "cost", "Pieces holds a text where a number belongs"),
        (3, "cost", "Pieces must be above 0"),
        (4, "cost", "pieces must be a whole number"),
        (5, "cost", "Finished width (in) is blank"),
        (6, "left", "Price asked holds a text where a number belongs"),
        (7, "left", "Price asked must be above 0"),
        (8, "cost", "Nobody's does not stand on Yarns"),
        (9, "cost", "No price has no price or no put-up on Yarns"),
    ],
)
def test_nonsense_in_a_batch_is_an_error_in_its_line_and_a_line_of_its_own(planners, line, key, says):
    plan = planners("towels", bad_batch)
    assert type(plan.cell(batch.TABLE, line, key)).__name__ == "CellError"
    where = f"Batch, row {batch.FIRST + line}: "
    assert any(problem.startswith(where) and says in problem for problem in plan.problems)
    # The good line is worked out all the same, and the sums over all lines are not.
    assert plan.cell(batch.TABLE, 1, "cost") > 0
    assert type(plan.named("BatchProfit")).__name__ == "CellError"


def eaten_orders(filled: dict[str, Any]) -> None:
    filled["settings"].update(FeeRate=0.5, FeeFlat=1)
    order = {**filled["batch"][0], "label": None}
    filled["batch"] = [{**order, "price": price} for price in (1.5, 2, 4)]


@pytest.mark.parametrize(("line", "net"), [(1, -0.25), (2, 0), (3, 1)])
def test_a_price_that_fees_eat_up_is_a_loss_and_no_error(planners, line, net):
    """By hand: a half and 1 more are taken of 1.50, 2 and 4."""
    plan = planners("towels", eaten_orders)
    pieces, cost = plan.filled["batch"][line - 1]["pieces"], plan.cell(batch.TABLE, line, "cost")
    assert plan.cell(batch.TABLE, line, "left") == pytest.approx(pieces * (net - cost))
    shown = plan.cell(batch.TABLE, line, "margin")
    assert shown == "" if net <= 0 else shown == pytest.approx(net - cost)
    lost = f"Batch, row {batch.FIRST + line}: loses {cost - net:.2f} USD a piece at the price asked"
    assert lost in plan.problems
    assert plan.named("BatchProfit") == pytest.approx(sum(plan.column("BatchLeft")[:3]))


def eaten_kits(filled: dict[str, Any]) -> None:
    filled["settings"].update(FeeRate=0.5, FeeFlat=1)
    filled["kits"]["kits"] = [{**filled["kits"]["kits"][0], "price": 1.5}]


def test_a_kit_whose_price_fees_eat_up_is_a_loss_and_no_error(planners):
    """By hand: a half and 1 more are taken of 1.50, which leaves -0.25 of it."""
    plan = planners("kit", eaten_kits)
    kit = plan.filled["kits"]["kits"][0]
    each = plan.cell(kits.KIT_TABLE, 1, "each")
    assert plan.cell(kits.KIT_TABLE, 1, "net") == pytest.approx(-0.25)
    assert plan.cell(kits.KIT_TABLE, 1, "margin") == ""
    assert plan.cell(kits.KIT_TABLE, 1, "break_even") == "never"
    assert plan.cell(kits.KIT_TABLE, 1, "left") == pytest.approx(
        kit["quantity"] * (-0.25 - each) - kit["setup"]
    )
    assert "Kits, row 6: Little hill path costs more than the price leaves: none breaks even" in plan.problems


def test_what_a_seller_should_know_is_listed(planners):
    problems = planners("towels", bad_batch).problems
    assert any(problem.startswith("Batch: No wage on Settings") for problem in problems)
    longest = planners("towels", with_gaps).problems
    assert "Batch, row 6: its warp is longer than the loom holds" in longest
    for where, says in (
        ("Batch, row 6", "wider in the reed than the loom weaves"),
        ("Batch, row 15", "a line without a product is not counted"),
        ("Batch, row 16", "lines on this warp differ in yarn, width or ends"),
        ("Yarns, row 11", "a line without a name is not counted"),
    ):
        assert f"{where}: {says}" in problems


def bad_settings(filled: dict[str, Any]) -> None:
    filled["settings"]["LoomWaste"] = None
    filled["shopping"] = {"CountBatch": "perhaps"}


def test_a_setting_that_a_batch_needs_is_missed_once(planners):
    plan = planners("towels", bad_settings)
    assert type(plan.cell(batch.TABLE, 1, "ends")).__name__ == "CellError"
    assert sum("Batch" in problem for problem in plan.problems) == 2
    assert any("Loom waste is blank on Settings" in problem for problem in plan.problems)
    assert any("The orders on Batch must be one of yes, no" in problem for problem in plan.problems)
    assert type(plan.named("ShopPutUpCount")).__name__ == "CellError"


def bad_kits(filled: dict[str, Any]) -> None:
    kit, recipe = filled["kits"]["kits"][0], filled["kits"]["recipes"]
    filled["kits"]["kits"] = [
        {**kit, "price": 20, "quantity": 16},
        {**kit, "name": "Second", "price": "48 EUR"},
        {**kit, "name": "Third", "setup": -1},
    ]
    recipe += [
        {"kit": "Second", "yarn": "Rust skeins", "length": 0},
        {"kit": "Third", "yarn": "Gold", "length": 5},
        {"kit": "Fourth", "yarn": "Rust skeins", "length": "a bit"},
        {"yarn": "Rust skeins", "length": 1},
    ]


def test_nonsense_in_kits_is_an_error_and_a_line(planners):
    plan = planners("kit", bad_kits)
    for line in (2, 3):
        for key in ("makes", "materials", "left"):
            assert type(plan.cell(kits.KIT_TABLE, line, key)).__name__ == "CellError", (line, key)
    assert type(plan.cell(kits.RECIPE_TABLE, 7, "need")).__name__ == "CellError"
    for says in (
        "Kits, row 6: Little hill path costs more than the price leaves: none breaks even",
        "Kits, row 7: Second: Price asked holds a text where a number belongs: type the number alone",
        "Kits, row 8: Third: Set-up, once is below 0",
        "Kits, row 26: Second, Rust skeins: The piece takes (m) must be above 0",
        "Kits, row 27: Third: Gold does not stand on Yarns",
        "Kits, row 28: Fourth does not stand among the kits above",
        "Kits, row 29: a line without a kit is not counted",
    ):
        assert says in plan.problems
    # The kit without a mistake is worked out all the same.
    assert plan.cell(kits.KIT_TABLE, 1, "makes") == 16
    assert plan.cell(kits.KIT_TABLE, 1, "break_even") == "never"


def split_yarn(filled: dict[str, Any]) -> None:
    """The rust of the kit in two lines."""
    recipe = filled["kits"]["recipes"]
    rust = next(line for line in recipe if line["yarn"] == "Rust skeins")
    recipe.append({**rust, "length": rust["length"] / 2})
    rust["length"] /= 2


def test_a_yarn_that_stands_twice_in_a_kit_is_taken_twice_from_the_stock(planners):
    once, twice = planners("kit"), planners("kit", split_yarn)
    # Its share of the risk is smaller with one line more, and its allowance larger: never more kits.
    assert once.cell(kits.KIT_TABLE, 1, "makes") - 1 <= twice.cell(kits.KIT_TABLE, 1, "makes")
    assert twice.cell(kits.KIT_TABLE, 1, "makes") <= once.cell(kits.KIT_TABLE, 1, "makes")
    assert any("lists Rust skeins twice" in problem for problem in twice.problems)


def bad_stash(filled: dict[str, Any]) -> None:
    needs = filled["shopping"]["needs"]
    needs[0]["length"], needs[1]["length"] = "lots", -5
    needs[2]["yarn"], needs[3]["yarn"] = "Gold", None
    needs[4].update(yarn="Chalk", length=1000)
    needs[5].update(yarn="Chalk", length=1000)
    filled["records"][0]["cloth_length"] = 300
    filled["records"][1]["waste"] = "much"
    filled["settings"]["RecordsWeave"] = None


def test_nonsense_in_projects_and_records_is_an_error_and_a_line(planners):
    plan = planners("stash", bad_stash)
    for line in (1, 2, 3):
        assert type(plan.cell(shopping.NEED_TABLE, line, "short")).__name__ == "CellError"
    assert type(plan.cell(records.TABLE, 1, "take_up")).__name__ == "CellError"
    assert type(plan.cell(records.TABLE, 2, "waste_used")).__name__ == "CellError"
    assert type(plan.named("RecordsTakeUp")).__name__ == "CellError"
    for says in (
        "Shopping, row 28: Lattice shawl, Dusk grey 214: Length needed (m) holds a text where",
        "Shopping, row 29: Lattice shawl, Chalk: Length needed (m) must be above 0",
        "Baby blanket: Gold does not stand on Yarns",
        "Baby blanket has no yarn: its line is not counted",
        "Records, row 9: Moss scarf is longer off the loom than the warp it was woven from",
        "Records, row 10: Bark cushion: Loom waste (cm) holds a text where a number belongs",
    ):
        assert any(says in problem for problem in plan.problems), says


def test_a_workbook_made_dirty_by_its_user_names_sheet_row_and_column(planners, tmp_path):
    """Typed and merged in the file itself; each mistake has its line, and the good row is worked out."""
    path = tmp_path / "dirty.xlsx"
    book = load_workbook(planners("towels").path)
    yarn, order = book["Yarns"], book["Batch"]
    for column in "BCDEFGHIJ":
        yarn[f"{column}11"] = yarn[f"{column}6"].value
        yarn[f"{column}13"] = yarn[f"{column}7"].value
        yarn[f"{column}14"] = yarn[f"{column}7"].value
    yarn["B13"], yarn["G13"], yarn["B14"], yarn["J14"] = "Owed", -4, "Dear", "€ 9"
    for row in (10, 12, 13):  # row 9 stays blank
        for column in "BCDEFGHIJKM":
            order[f"{column}{row}"] = order[f"{column}6"].value
    order["E10"], order["M12"] = "8 pcs", "$ 34"
    order.merge_cells("F13:G13")
    book["Settings"]["C44"] = 10  # for 10 %
    book["Kits"]["B6"], book["Kits"]["F6"], book["Kits"]["B7"] = "Set", "ten", "Second"
    book["Kits"]["B22"], book["Kits"]["C22"], book["Kits"]["D22"] = "Set", "Cotton fern", "40 yd"
    book["Records"]["C9"], book["Records"]["F9"] = "Scarf", "2 m"
    book["Shopping"]["Q28"], book["Shopping"]["R28"] = "Bag", "Cotton fern"
    book.save(path)
    report = recalculate(path, check=True)
    problems = [f"{where}: {text}" for where, text in report.name_values("ProblemsList") if where]
    number = "holds a text where a number belongs: type the number alone"
    for line in (
        "Settings, Margin wanted: Margin wanted must be a share (10 % is 0.10) of at",
        "Yarns, row 6: Cotton ecru stands twice: give each lot a name of its own",
        "Yarns, row 11: Cotton ecru stands twice: give each lot a name of its own",
        "Yarns, row 13: Owed: Weighed (oz) is below 0",
        f"Yarns, row 14: Dear: Price of a put-up {number}",
        f"Batch, row 10: Pieces {number}",
        f"Batch, row 12: Price asked {number}",
        "Batch, row 13: Finished length (in) is blank",
        f"Kits, row 6: Set: Kits planned {number}",
        "Kits, row 7: Second has no yarn in the list below",
        f"Kits, row 22: Set, Cotton fern: The piece takes (yd) {number}",
        f"Records, row 9: Scarf: Warp woven off (in) {number}",
        "Shopping, row 28: Bag, Cotton fern: Length needed (yd) is blank",
    ):
        assert any(problem.startswith(line) for problem in problems), (line, problems)
    assert report.value("Batch", cell_name(6, batch.TABLE.place("cost") + 1)) > 0
