"""Closed forms against their evaluation to 50 digits, a few arguments each; thousands in tests/trust."""

from __future__ import annotations

import math
import sys
from pathlib import Path

import pandas as pd
import pytest
from mpmath import mp, mpf

import weavefuncs
from weavefuncs._geometry import crimp_of, highest_rise, rise
from weavefuncs.tables.money import _half_up

sys.path.insert(0, str(Path(__file__).parent / "trust"))
import accuracy

SAMPLES = 15


@pytest.mark.parametrize("name", accuracy.CASES)
def test_a_closed_form_is_right_to_twelve_digits(name: str) -> None:
    compared, _, worst, arguments = accuracy.measure(name, SAMPLES, seed=7)
    assert compared > 0
    assert worst < accuracy.ALLOWED, arguments


@pytest.mark.parametrize("strays", [1e-9, 1e-12, 1e-30])
def test_small_spreads_are_not_lost_beside_one(strays: float) -> None:
    assert weavefuncs.need_spread(strays) == pytest.approx(strays, rel=1e-12)
    assert weavefuncs.need_spread(3 * strays, 4 * strays) == pytest.approx(5 * strays, rel=1e-12)


@pytest.mark.parametrize("shrinks", [1e-10, 1e-13, 1e-16])
def test_a_float_that_shrinks_little_has_its_little_slack(shrinks: float) -> None:
    assert weavefuncs.float_slack(10, 10, shrinks) == pytest.approx(shrinks, rel=1e-12)


@pytest.mark.parametrize("crimp", [1e-6, 1e-10, 1e-14])
def test_a_thread_that_is_all_but_straight_rises_and_crimps_alike(crimp: float) -> None:
    height = rise(1.5, crimp)
    assert height is not None
    assert height == pytest.approx(1.5 * math.sqrt(2 * crimp), rel=10 * math.sqrt(crimp))
    assert crimp_of(1.5, height) == pytest.approx(crimp, rel=1e-12)


def test_a_thread_between_close_neighbours_rises_by_half_the_square_of_their_spacing() -> None:
    assert highest_rise(1e-9) == pytest.approx(5e-19, rel=1e-12)


def test_records_one_unit_in_the_last_place_apart_have_their_spread() -> None:
    low, high = 1e8, math.nextafter(1e8, math.inf)
    assert weavefuncs.spread([low, high]) == pytest.approx((high - low) / math.sqrt(2) / low, rel=1e-12)


@pytest.mark.parametrize("freedom", [1, 2, 10, 500])
def test_the_quantile_just_beside_the_middle_is_the_share_over_the_density(freedom: int) -> None:
    from weavefuncs._student import quantile

    beside = 2.0**-50
    mp.dps = 30
    half = mpf(freedom) / 2
    density = mp.gamma(half + 0.5) / mp.gamma(half) / mp.sqrt(mp.pi * freedom)
    assert quantile(0.5 + beside, freedom) == pytest.approx(float(beside / density), rel=1e-12)


@pytest.mark.parametrize(
    ("amount", "decimals", "rounded"),
    [
        (2.675, 2, 2.68),
        (-2.675, 2, -2.68),
        (999_999_999.4449, 2, 999_999_999.44),
        (123_456_789.1234564, 6, 123_456_789.123456),
        (10_000_000_000.001, 2, 10_000_000_000.0),
        (2.0**53 - 1, 0, 2.0**53 - 1),
        (2.0**60, 6, 2.0**60),
    ],
)
def test_money_of_any_size_is_rounded_at_the_half(amount: float, decimals: int, rounded: float) -> None:
    assert _half_up(pd.Series([amount]), decimals)[0] == rounded
