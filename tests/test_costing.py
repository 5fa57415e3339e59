"""Costing: hours, cost of a batch, prices, fees, kits."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs.registry import declared

quick = settings(deadline=None, derandomize=True, max_examples=150)

FUNCTIONS = declared("costing")

# One call of each function that works.
GOOD = {
    "weaving_hours": (7200, 20, 0.75),
    "hours_for": (360, 240),
    "cloth_per_hour": (20, 24, 0.75),
    "batch_cost": (90, 14.5, 12),
    "unit_cost": (90, 14.5, 12),
    "break_even_quantity": (90, 30, 14.5),
    "price_from_markup": (22, 0.5),
    "price_from_margin": (22, 0.5),
    "markup": (33, 22),
    "margin": (44, 22),
    "net_after_fees": (44, 0.1, 0.5),
    "price_for_net": (39.1, 0.1, 0.5),
    "kit_cost": ([60, 40], [0.05, 0.08], 2.5, 0.02),
    "kits_from_stock": ([1000, 500], [60, 40]),
    "limiting_yarn": ([1000, 500], [60, 40], ["white", "blue"]),
}

NUMBERS = [
    (name, position, parameter)
    for name, function in FUNCTIONS.items()
    for position, parameter in enumerate(function.parameters)
    if parameter.bounds is not None and not parameter.is_list
]
IDS = [f"{name}-{parameter.name}" for name, _, parameter in NUMBERS]

MONEY = st.floats(0.01, 10_000)
SHARES = st.floats(0, 0.9)


def with_argument(name: str, position: int, value: object) -> list[object]:
    arguments: list[object] = list(GOOD[name])
    arguments[position] = value
    return arguments


# Every function


def test_every_function_has_a_good_call() -> None:
    assert list(GOOD) == list(FUNCTIONS)
    for name, arguments in GOOD.items():
        assert len(arguments) == len(FUNCTIONS[name].parameters)
        getattr(wf, name)(*arguments)


@pytest.mark.parametrize("value", [math.nan, math.inf, -0.001, 1e12, True, "9", ""])
@pytest.mark.parametrize(("name", "position", "parameter"), NUMBERS, ids=IDS)
def test_nonsense_is_refused_by_name(name: str, position: int, parameter: object, value: object) -> None:
    with pytest.raises(wf.WeaveError) as caught:
        getattr(wf, name)(*with_argument(name, position, value))
    assert caught.value.argument == parameter.name
    assert caught.value.function == name


@pytest.mark.parametrize(("name", "position", "parameter"), NUMBERS, ids=IDS)
def test_columns_agree_with_single_calls(name: str, position: int, parameter: object) -> None:
    function, value = getattr(wf, name), GOOD[name][position]
    column = [value, value * 2 if parameter.kind == "whole" else value * 0.9, value]
    singly = [function(*with_argument(name, position, item)) for item in column]
    assert function(*with_argument(name, position, column)) == singly
    array = function(*with_argument(name, position, np.array(column)))
    series = function(*with_argument(name, position, pd.Series(column, index=["a", "b", "c"])))
    assert array.tolist() == pytest.approx(singly, rel=1e-14)
    assert list(series.index) == ["a", "b", "c"]
    assert series.tolist() == pytest.approx(singly, rel=1e-14)
    with pytest.raises(wf.WeaveError, match="in row 2") as caught:
        function(*with_argument(name, position, [value, math.nan, value]))
    assert caught.value.argument == parameter.name


@pytest.mark.parametrize(
    ("name", "position"),
    [(name, position) for name, position, parameter in NUMBERS if parameter.kind == "fraction"],
)
def test_percent_given_as_seventy_five(name: str, position: int) -> None:
    with pytest.raises(wf.WeaveError, match=r"10 % is 0\.10, so 75 % is 0\.75; got 75"):
        getattr(wf, name)(*with_argument(name, position, 75))


def test_efficiency_may_be_whole_and_never_more_or_none() -> None:
    for function in (wf.weaving_hours, wf.cloth_per_hour):
        assert function(600, 20) == function(600, 20, 1) == function(600, 20, None)
        for efficiency in (0, 1.01):
            with pytest.raises(wf.WeaveError, match="above 0 and at most 1"):
                function(600, 20, efficiency)


# Hours


@quick
@given(st.integers(1, 100_000), st.floats(1, 300), st.floats(1, 100), st.floats(0.05, 1))
def test_cloth_per_hour_times_hours_is_the_cloth(
    picks: int, speed: float, sett: float, efficiency: float
) -> None:
    hours = wf.weaving_hours(picks, speed, efficiency)
    assert wf.cloth_per_hour(speed, sett, efficiency) * hours == pytest.approx(picks / sett)
    # Half the efficiency takes twice as long.
    assert wf.weaving_hours(picks, speed, efficiency / 2) == pytest.approx(2 * hours)


def test_nothing_to_do_takes_no_time() -> None:
    assert wf.hours_for(0, 240) == 0


# Batches


@quick
@given(st.floats(0, 5000), st.floats(0, 500), st.integers(1, 500))
def test_a_batch_is_its_pieces(setup: float, each: float, quantity: int) -> None:
    cost = wf.batch_cost(setup, each, quantity)
    assert wf.unit_cost(setup, each, quantity) * quantity == pytest.approx(cost)
    assert wf.batch_cost(setup, each, quantity + 1) - cost == pytest.approx(each, abs=1e-9)
    assert wf.unit_cost(setup, each, quantity + 1) <= wf.unit_cost(setup, each, quantity) + 1e-12


@quick
@given(st.integers(0, 500_000), st.integers(1, 50_000), st.integers(1, 20_000))
@example(200, 30, 20)
@example(9000, 1, 8_999_999)  # prices so close together that their difference has lost digits
@example(9000, 1, 12_345_678)
def test_break_even_is_the_first_quantity_that_loses_nothing(setup: int, gain: int, each: int) -> None:
    # In cents the sums are exact; the function gets them as the decimals that a person types.
    price = each + gain
    expected = -(-setup // gain)
    assert wf.break_even_quantity(setup / 100, price / 100, each / 100) == expected


def test_break_even_needs_a_gain_on_each_piece() -> None:
    for price in (14.5, 14, 0.01):
        with pytest.raises(wf.WeaveError, match=r"above what a piece costs \(14\.5\)") as caught:
            wf.break_even_quantity(90, price, 14.5)
        assert caught.value.argument == "price"
    # 0.3 and 0.1 + 0.2 differ by float dust, which is no gain.
    with pytest.raises(wf.WeaveError, match="above what a piece costs"):
        wf.break_even_quantity(90, 0.1 + 0.2, 0.3)
    assert wf.break_even_quantity(0, 30, 14.5) == 0


# Prices


@quick
@given(MONEY, st.floats(0, 10), SHARES)
def test_markup_and_margin_are_undone(cost: float, markup: float, margin: float) -> None:
    by_markup, by_margin = wf.price_from_markup(cost, markup), wf.price_from_margin(cost, margin)
    assert wf.markup(by_markup, cost) == pytest.approx(markup, abs=1e-12)
    assert wf.margin(by_margin, cost) == pytest.approx(margin, abs=1e-12)
    # The same profit over two amounts.
    assert wf.markup(by_margin, cost) * cost == pytest.approx(wf.margin(by_margin, cost) * by_margin)


def test_a_margin_is_no_markup() -> None:
    assert wf.price_from_markup(100, 0.5) == 150
    assert wf.price_from_margin(100, 0.5) == 200
    assert wf.price_from_markup(100, 1) == wf.price_from_margin(100, 0.5)
    with pytest.raises(wf.WeaveError, match="margin must be a fraction"):
        wf.price_from_margin(100, 1)
    with pytest.raises(wf.WeaveError, match=r"markup must be .* at most 10; got 50"):
        wf.price_from_markup(100, 50)


def test_a_loss_is_negative() -> None:
    assert wf.markup(75, 100) == -0.25
    assert wf.margin(80, 100) == -0.25


@quick
@given(MONEY, SHARES, st.floats(0, 20))
def test_fees_are_undone(net: float, rate: float, flat: float) -> None:
    price = wf.price_for_net(net, rate, flat)
    assert wf.net_after_fees(price, rate, flat) == pytest.approx(net, abs=1e-9)
    # The fee is a share of the price, not of the net.
    assert price - net == pytest.approx(price * rate + flat, abs=1e-9)


def test_a_fee_above_the_price_is_a_loss() -> None:
    assert wf.net_after_fees(1, 0.1, 2) == pytest.approx(-1.1)
    assert wf.price_for_net(39, 0.1) == pytest.approx(43.333333, abs=1e-6)
    assert wf.net_after_fees(42.9, 0.1) == pytest.approx(38.61)


# Kits


LISTS = st.integers(1, 6).flatmap(
    lambda size: st.tuples(
        st.lists(st.integers(0, 5000), min_size=size, max_size=size),
        st.lists(st.integers(0, 50), min_size=size, max_size=size),
    )
)


def counted(stock: list[int], per_kit: list[int]) -> int:
    """Make kits one by one until a yarn runs out."""
    kits, left = 0, list(stock)
    while all(held >= used for held, used in zip(left, per_kit)):
        left = [held - used for held, used in zip(left, per_kit)]
        kits += 1
    return kits


@quick
@given(LISTS)
@example(([3, 9], [0, 3]))
def test_kits_are_those_that_can_be_made_one_by_one(lists: tuple[list[int], list[int]]) -> None:
    stock, per_kit = lists
    if not any(per_kit):
        with pytest.raises(wf.WeaveError, match="per_kit must be above 0 for one yarn at least"):
            wf.kits_from_stock(stock, per_kit)
        return
    kits = counted(stock, per_kit)
    # Tenths bring the float dust of decimals with them.
    tenths = [held / 10 for held in stock], [used / 10 for used in per_kit]
    assert wf.kits_from_stock(stock, per_kit) == wf.kits_from_stock(*tenths) == kits
    names = [f"yarn {number}" for number in range(len(stock))]
    limiting = wf.limiting_yarn(*tenths, names).split(", ")
    for name in limiting:
        place = names.index(name)
        assert stock[place] // per_kit[place] == kits
        # No other yarn makes fewer kits, parts of kits counted.
        assert all(held * per_kit[place] >= stock[place] * used for held, used in zip(stock, per_kit) if used)


def test_yarns_that_run_out_together_are_all_named() -> None:
    assert wf.limiting_yarn([60, 0.3, 400], [60, 0.1 + 0.2, 40], ["white", "red", "blue"]) == "white, red"
    assert wf.limiting_yarn([0, 0], [1, 0], ["white", "red"]) == "white"


@quick
@given(st.lists(st.tuples(st.floats(0, 500), MONEY), min_size=1, max_size=8), MONEY, SHARES)
def test_kit_cost_is_the_yarn_taken_and_the_extras(
    yarns: list[tuple[float, float]], extras: float, loss: float
) -> None:
    amounts, prices = [amount for amount, _ in yarns], [price for _, price in yarns]
    taken = [amount / (1 - loss) for amount in amounts]
    expected = math.fsum(amount * price for amount, price in zip(taken, prices)) + extras
    assert wf.kit_cost(amounts, prices, extras, loss) == pytest.approx(expected)
    assert wf.kit_cost(taken, prices) + extras == pytest.approx(expected)


@pytest.mark.parametrize(
    ("call", "argument", "other"),
    [
        (lambda: wf.kit_cost([1, 2], [1]), "prices", "amounts"),
        (lambda: wf.kits_from_stock([1, 2], [1]), "per_kit", "stock"),
        (lambda: wf.limiting_yarn([1, 2], [1], ["a", "b"]), "per_kit", "stock"),
        (lambda: wf.limiting_yarn([1, 2], [1, 1], ["a"]), "names", "stock"),
    ],
)
def test_lists_of_one_call_are_equally_long(call: object, argument: str, other: str) -> None:
    told = f"a list of 2, as many as {other} has; got 'a list of 1'"
    with pytest.raises(wf.WeaveError, match=told) as caught:
        call()
    assert caught.value.argument == argument


def test_bad_items_are_named_by_their_place() -> None:
    with pytest.raises(wf.WeaveError, match=r"prices\[2\] must be"):
        wf.kit_cost([1, 2], [1, -1])
    with pytest.raises(wf.WeaveError, match=r"stock\[1\] must be"):
        wf.kits_from_stock([None, 2], [1, 1])
    with pytest.raises(wf.WeaveError, match=r"names must be each different.*; got 'White'"):
        wf.limiting_yarn([1, 2], [1, 1], ["white", "White"])
    with pytest.raises(wf.WeaveError, match="stock must be a list"):
        wf.kits_from_stock([], [])
