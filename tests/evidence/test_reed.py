"""Reed counts and orders against published values."""

from __future__ import annotations

import pytest

import weavefuncs as wf


def test_stockport_60_is_30_dents_an_inch() -> None:
    # TAYLOR (seen): Stockport 60 has 30 dents an inch; three in a dent are 90 ends an inch.
    assert wf.reed_dents(60, "Stockport") == 30
    assert wf.sleyed_sett("3", wf.reed_dents(60, "Stockport")) == 90


def test_bradford_50_at_two_a_dent() -> None:
    # TAYLOR (seen): Bradford 50 gives 55 5/9 ends an inch at two a dent.
    assert wf.sleyed_sett("2", wf.reed_dents(50, "Bradford")) == pytest.approx(55 + 5 / 9, rel=1e-12)


@pytest.mark.parametrize("bolton", [24, 36, 50])
def test_bolton_to_stockport(bolton: float) -> None:
    # TAYLOR, BROOKS (seen): Stockport = Bolton x 1.6495, printed to four decimals.
    assert wf.reed_dents(bolton, "Bolton") == pytest.approx(
        wf.reed_dents(bolton * 1.6495, "Stockport"), rel=0.00005 / 1.6495
    )
    # Both books: beers of 20 dents in 24 1/4 in.
    assert wf.reed_dents(bolton, "Bolton") * 24.25 / 20 == pytest.approx(bolton)


def test_scotch_counts_dents_in_37_inches() -> None:
    # Read in the trade's books (seen): a Scotch number is the dents in 37 in.
    assert wf.reed_dents(1110, "Scotch") == pytest.approx(30)


def test_irish_and_metric() -> None:
    # TRAINING (seen): Irish, hundreds of dents in 40 in; metric, dents in 10 cm.
    assert wf.reed_dents(12, "Irish") == pytest.approx(1200 / 40)
    assert wf.reed_dents(100, "metric") == pytest.approx(10 * 2.54)


@pytest.mark.parametrize("system", ["Huddersfield", "Radcliffe"])
def test_dents_in_one_inch(system: str) -> None:
    # From memory, not read: these number the dents in one inch.
    assert wf.reed_dents(14, system) == 14


def test_fifteen_ends_in_a_twelve_dent_reed() -> None:
    # Common practice, no source: 1-1-1-2, small numbers first; the arithmetic is 5 ends in 4 dents.
    assert wf.sley_order(15, 12) == "1-1-1-2"
    assert wf.sleyed_sett("1-1-1-2", 12) == 15
