"""Records: the allowance for the next piece, and the spread."""

from __future__ import annotations

import math
import random
import statistics
from fractions import Fraction

import numpy as np
import pytest
import scipy.stats
from hypothesis import given, settings
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs._student import _density, quantile

quick = settings(deadline=None, derandomize=True, max_examples=150)

CONFIDENCES = [0.5, 0.51, 0.6, 0.75, 0.8, 0.9, 0.95, 0.975, 0.99, 0.999, 0.99999, 1 - 1e-9]
MEASURES = st.lists(st.floats(0.01, 1000), min_size=2, max_size=12)


# Student's t


@pytest.mark.parametrize(
    "freedom", [*range(1, 41), 60, 99, 120, 150, 198, 199, 200, 201, 365, 1000, 12_345, 1_000_000]
)
def test_quantiles_against_scipy(freedom: int) -> None:
    for confidence in CONFIDENCES:
        expected = scipy.stats.t.isf(1 - confidence, freedom)
        assert quantile(confidence, freedom) == pytest.approx(expected, rel=1e-9, abs=1e-9)


@quick
@given(st.floats(0.5, 1 - 1e-12), st.integers(1, 5000))
def test_quantiles_against_scipy_anywhere(confidence: float, freedom: int) -> None:
    expected = scipy.stats.t.isf(1 - confidence, freedom)
    assert quantile(confidence, freedom) == pytest.approx(expected, rel=1e-9, abs=1e-9)


@quick
@given(st.floats(0.5, 1 - 1e-12))
def test_quantiles_with_a_closed_form(confidence: float) -> None:
    # One degree of freedom is the Cauchy distribution; two have an algebraic inverse.
    tail = 1 - confidence
    assert quantile(confidence, 1) == pytest.approx(1 / math.tan(math.pi * tail), rel=1e-12, abs=1e-12)
    two = (1 - 2 * tail) * math.sqrt(1 / (2 * tail * (1 - tail)))
    assert quantile(confidence, 2) == pytest.approx(two, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize("freedom", [2, 20, 198, 200, 202, 240, 400, 2000, 100_000])
def test_the_density_in_the_middle_by_counting(freedom: int) -> None:
    # For an even number f = 2a it is Γ(a + 1/2) / (Γ(a) √(2πa)), and the ratio √π a (2a)! / (a!² 4^a).
    a = freedom // 2
    counted = float(Fraction(a * math.comb(2 * a, a), 4**a)) / math.sqrt(2 * a)
    # From 200 on by a series to the last digits of a float, below by logarithms.
    assert _density(0, freedom) == pytest.approx(counted, rel=2e-15 if freedom >= 200 else 1e-13, abs=0)


# Allowance


@quick
@given(MEASURES, st.sampled_from(CONFIDENCES))
def test_the_prediction_bound_by_its_definition(measured: list[float], confidence: float) -> None:
    count = len(measured)
    t = scipy.stats.t.isf(1 - confidence, count - 1)
    bound = statistics.mean(measured) + t * statistics.stdev(measured) * math.sqrt(1 + 1 / count)
    assert wf.allowance(measured, confidence) == pytest.approx(bound, rel=1e-9)


@quick
@given(MEASURES, st.floats(0.01, 100))
def test_the_unit_does_not_matter(measured: list[float], factor: float) -> None:
    scaled = [value * factor for value in measured]
    assert wf.allowance(scaled) == pytest.approx(factor * wf.allowance(measured))
    assert wf.spread(scaled) == pytest.approx(wf.spread(measured), abs=1e-12)


@pytest.mark.parametrize("count", [2, 3, 8])
@pytest.mark.parametrize("confidence", [0.8, 0.9])
def test_the_next_piece_stays_within_as_often_as_promised(count: int, confidence: float) -> None:
    # By simulation: pieces of one normal law, the bound from the first ones, the next one against it.
    chance = random.Random(count)
    trials = 4000
    within = 0
    for _ in range(trials):
        pieces = [chance.gauss(100, 5) for _ in range(count + 1)]
        within += pieces[-1] <= wf.allowance(pieces[:-1], confidence)
    # Five standard errors; the numbers are the same in every run.
    assert within / trials == pytest.approx(confidence, abs=5 * math.sqrt(0.25 / trials))


def test_one_record_and_the_stated_spread() -> None:
    for confidence in (0.5, 0.9, 0.99):
        z = scipy.stats.norm.ppf(confidence)
        expected = 1000 * (1 + z * 0.10 * math.sqrt(2))
        assert wf.allowance([1000], confidence) == pytest.approx(expected)
    assert wf.allowance([1000], 0.5) == 1000
    assert wf.allowance([0]) == 0


def test_two_and_three_records() -> None:
    # Far apart they bound wide, close together narrow; a third like them narrows the bound.
    assert wf.allowance([950, 1050]) > wf.allowance([990, 1010]) > 1010
    assert wf.allowance([950, 1000, 1050]) < wf.allowance([950, 1050])
    assert wf.allowance([1000, 1000]) == wf.allowance([1000, 1000, 1000]) == 1000


def test_confidence() -> None:
    measured = [0.08, 0.10, 0.09]
    assert wf.allowance(measured, 0.5) == pytest.approx(0.09)
    bounds = wf.allowance(measured, [0.8, 0.9, 0.95])
    assert bounds == sorted(bounds)
    assert wf.allowance(measured, np.array([0.8, 0.9, 0.95])).tolist() == bounds
    assert wf.allowance(measured) == wf.allowance(measured, None) == bounds[1]
    assert wf.allowance(np.array(measured)) == bounds[1]
    for confidence in (0, 0.49, 1):
        with pytest.raises(wf.WeaveError, match=r"confidence must be a fraction at least 0\.5 and below 1"):
            wf.allowance(measured, confidence)
    with pytest.raises(wf.WeaveError, match=r"so 90 % is 0\.9; got 90"):
        wf.allowance(measured, 90)


def test_a_share_stays_below_one() -> None:
    assert wf.allowance([0.1, 0.12], measure="share") == wf.allowance([0.1, 0.12])
    assert wf.allowance([0.2, 0.8]) > 1
    with pytest.raises(wf.WeaveError, match=r"more or closer records .* comes to .*, and a share is below 1"):
        wf.allowance([0.2, 0.8], measure="share")
    with pytest.raises(
        wf.WeaveError, match=r"measured\[2\] must be below 1 for a share: 10 % is 0\.10; got 12"
    ):
        wf.allowance([0.1, 12], measure="share")
    with pytest.raises(wf.WeaveError, match=r"measured\[2\] must be below 1 for a share: .*; got 1$"):
        wf.allowance([0.1, 1], measure="share")
    with pytest.raises(wf.WeaveError, match="comes to 1"):
        wf.allowance([0.95], measure="share")
    with pytest.raises(wf.WeaveError, match="measure must be one of amount, share"):
        wf.allowance([0.1, 0.12], 0.9, "percent")


# Spread


@quick
@given(MEASURES)
def test_spread_by_the_standard_library(measured: list[float]) -> None:
    expected = statistics.stdev(measured) / statistics.mean(measured)
    assert wf.spread(measured) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("measured", [[950, 1050], [990, 1000, 1005, 1040]])
def test_yarn_to_buy_takes_the_spread(measured: list[float]) -> None:
    # With many records both ways of planning ahead agree: Student's law tends to the normal one.
    many = measured * 400
    bought = wf.yarn_to_buy(statistics.fmean(many), wf.spread(many), 0.1)
    assert bought == pytest.approx(wf.allowance(many, 0.9), rel=1e-3)


def test_spread_needs_two_records_and_something_measured() -> None:
    with pytest.raises(wf.WeaveError, match="two records at least: one has no spread"):
        wf.spread([1000])
    with pytest.raises(wf.WeaveError, match="above 0 in one record at least"):
        wf.spread([0, 0])
    assert wf.spread([5, 5, 5]) == 0


@pytest.mark.parametrize("function", [wf.allowance, wf.spread])
def test_what_is_no_list_of_records(function: object) -> None:
    for measured in ([], 5, "5", np.array([[1, 2], [3, 4]])):
        with pytest.raises(wf.WeaveError, match="measured must be a list"):
            function(measured)
    for item in (None, -0.1, math.nan, "x", True, 1e12):
        with pytest.raises(wf.WeaveError, match=r"measured\[2\] must be"):
            function([1, item])
    with pytest.raises(wf.WeaveError, match="measured must be given"):
        function(None)
