"""The stash: what is left, what is missing, what it is worth."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs.registry import declared

quick = settings(deadline=None, derandomize=True, max_examples=150)

FUNCTIONS = declared("stash")

# One call of each function that works.
GOOD = {
    "length_left": (230, 30, "8/2 Ne", "g", "m"),
    "short_by": (1200, 1080),
    "covers": (1000, 1080, 0.05),
    "stash_value": (800, 400, 9.5),
}

NUMBERS = [
    (name, position, parameter)
    for name, function in FUNCTIONS.items()
    for position, parameter in enumerate(function.parameters)
    if parameter.bounds is not None
]
IDS = [f"{name}-{parameter.name}" for name, _, parameter in NUMBERS]

AMOUNTS = st.floats(0, 10_000)


def with_argument(name: str, position: int, value: object) -> list[object]:
    arguments: list[object] = list(GOOD[name])
    arguments[position] = value
    return arguments


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
    column = [value, value * 0.5 if position else value * 1.5, value]
    singly = [function(*with_argument(name, position, item)) for item in column]
    assert function(*with_argument(name, position, column)) == singly
    array = function(*with_argument(name, position, np.array(column)))
    series = function(*with_argument(name, position, pd.Series(column, index=["a", "b", "c"])))
    assert array.tolist() == pytest.approx(singly, rel=1e-14)
    assert list(series.index) == ["a", "b", "c"]
    assert series.tolist() == pytest.approx(singly, rel=1e-14)
    if FUNCTIONS[name].result_kind == "whole":
        assert array.dtype.kind == "i"
        assert all(type(item) is int for item in singly)
    with pytest.raises(wf.WeaveError, match="in row 2") as caught:
        function(*with_argument(name, position, [value, math.nan, value]))
    assert caught.value.argument == parameter.name


@quick
@given(AMOUNTS, st.floats(0, 500), st.sampled_from(["8/2 Ne", "400 m/100 g", "74 tex"]))
def test_length_left_is_the_length_of_what_was_weighed_without_the_cone(
    grams: float, tare: float, yarn: str
) -> None:
    length = wf.length_left(grams + tare, tare, yarn)
    assert length == pytest.approx(wf.yarn_length(grams, yarn), abs=1e-9)
    ounces, yards = (grams + tare) / 28.349523125, length / 0.9144
    assert wf.length_left(ounces, tare / 28.349523125, yarn, "oz", "yd") == pytest.approx(yards, abs=1e-6)


def test_an_empty_cone_and_one_lighter_than_its_tare() -> None:
    assert wf.length_left(30, 30, "74 tex") == 0
    assert wf.length_left(0.3, 0.1 + 0.2, "74 tex") == 0
    with pytest.raises(wf.WeaveError, match=r"weighed must be at least the tare \(30\); got 29"):
        wf.length_left(29, 30, "74 tex")
    with pytest.raises(wf.WeaveError, match="weighed in row 2"):
        wf.length_left([230, 20], 30, "74 tex")
    with pytest.raises(wf.WeaveError, match="yarn must be"):
        wf.length_left(230, 30, 74)


@quick
@given(AMOUNTS, AMOUNTS)
def test_what_is_missing_makes_it_enough(needed: float, have: float) -> None:
    short = wf.short_by(needed, have)
    assert short >= 0
    assert math.copysign(1, short) == 1
    assert (short == 0) == (wf.covers(needed, have) == 1)
    assert wf.covers(needed, have + short) == 1


@quick
@given(st.integers(1, 10_000), st.integers(0, 99))
def test_spare_is_held_beyond_the_need(needed: int, percent: int) -> None:
    # In whole hundredths the comparison is exact.
    for have in range(needed * 100, needed * 200, max(needed * 7, 1)):
        expected = have >= needed * (100 + percent)
        assert wf.covers(needed, have / 100, percent / 100) == expected


def test_enough_to_within_dust_is_enough() -> None:
    assert wf.covers(0.1 + 0.2, 0.3) == 1
    assert wf.short_by(0.1 + 0.2, 0.3) == 0
    assert wf.covers(0, 0) == 1
    with pytest.raises(wf.WeaveError, match="spare must be a fraction"):
        wf.covers(1000, 1080, 40)


@quick
@given(st.integers(0, 50), st.floats(0.1, 5000), st.floats(0, 100))
def test_whole_put_ups_are_worth_their_price(count: int, length: float, price: float) -> None:
    assert wf.stash_value(count * length, length, price) == pytest.approx(count * price)
