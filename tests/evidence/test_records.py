"""Printed tables of Student's t, and the prediction bound that they give by hand."""

from __future__ import annotations

import pytest

import weavefuncs as wf
from weavefuncs._student import quantile

# The usual table of Student's t, one-sided (from memory): degrees of freedom, then the quantiles.
CONFIDENCES = (0.90, 0.95, 0.975, 0.99, 0.995)
TABLE = [
    (1, 3.078, 6.314, 12.706, 31.821, 63.657),
    (2, 1.886, 2.920, 4.303, 6.965, 9.925),
    (3, 1.638, 2.353, 3.182, 4.541, 5.841),
    (5, 1.476, 2.015, 2.571, 3.365, 4.032),
    (10, 1.372, 1.812, 2.228, 2.764, 3.169),
    (30, 1.310, 1.697, 2.042, 2.457, 2.750),
]

# The last line of the same table, for endless degrees of freedom, is the normal distribution.
NORMAL = (1.282, 1.645, 1.960, 2.326, 2.576)


@pytest.mark.parametrize(("freedom", "printed"), [(row[0], row[1:]) for row in TABLE])
def test_the_printed_table(freedom: int, printed: tuple[float, ...]) -> None:
    for confidence, value in zip(CONFIDENCES, printed):
        assert quantile(confidence, freedom) == pytest.approx(value, abs=0.0005)


def test_the_last_line_of_the_table() -> None:
    for confidence, value in zip(CONFIDENCES, NORMAL):
        assert quantile(confidence, 1_000_000) == pytest.approx(value, abs=0.0005)


def test_a_bound_by_hand_from_the_table() -> None:
    # 8, 9 and 10 %: mean 9, standard deviation 1, t(2, 0.90) = 1.886, √(4/3) = 1.1547: 11.178 %.
    assert wf.allowance([0.08, 0.09, 0.10]) == pytest.approx(0.11178, abs=0.00001)
    # Two records, 10 and 12 %: deviation √2, t(1, 0.90) = 3.078, √1.5 = 1.2247: 16.331 %.
    assert wf.allowance([0.10, 0.12]) == pytest.approx(0.16331, abs=0.00002)


@pytest.mark.parametrize(("confidence", "z"), [*zip(CONFIDENCES, NORMAL)])
def test_one_record_by_hand(confidence: float, z: float) -> None:
    # The stated spread of 0.10 (common practice, no source), the record and the next piece both scattering.
    assert wf.allowance([1], confidence) == pytest.approx(1 + z * 0.1 * 2**0.5, abs=0.0001)


def test_spread_by_hand() -> None:
    # 950, 1000, 1050: squares 2500 + 0 + 2500 over 2 is 2500, its root 50, over 1000.
    assert wf.spread([950, 1000, 1050]) == pytest.approx(0.05)
