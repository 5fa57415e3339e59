"""Floats and uncaught ends against counting on the cloth drawn out."""

from __future__ import annotations

from itertools import groupby

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs._reversals import period

quick = settings(deadline=None, derandomize=True, max_examples=200)

TEXTS = st.sampled_from(
    ["plain", "2/2 twill", "3/1 twill left", "2/2 herringbone 3", "5 satin 2", "2/2 basket", "2/1 warp rib"]
)
GRIDS = st.tuples(st.integers(1, 6), st.integers(1, 6)).flatmap(
    lambda size: st.lists(
        st.lists(st.integers(0, 1), min_size=size[0], max_size=size[0]), min_size=size[1], max_size=size[1]
    )
)
LEGS = st.lists(st.one_of(st.integers(1, 5), st.integers(6, 40)), max_size=4)


def longest(thread: list[int]) -> int:
    return max(len(list(run)) for _, run in groupby(thread))


def turned(grid: list[list[int]]) -> list[list[int]]:
    return [list(end) for end in zip(*grid)]


@quick
@given(st.one_of(TEXTS, GRIDS), LEGS, st.integers(1, 20), st.integers(1, 120))
def test_piece_against_counting(cloth: object, legs: list[int], ends: int, picks: int) -> None:
    reversals = ",".join(map(str, legs))
    drawn = wf.drawdown(cloth, ends, picks, reversals)
    weft, warp = max(map(longest, drawn)), max(map(longest, turned(drawn)))
    assert wf.longest_float(cloth, "weft", ends, picks, reversals) == weft
    assert wf.longest_float(cloth, "warp", ends, picks, reversals) == warp
    assert wf.longest_float(cloth, "either", ends, picks, reversals) == max(weft, warp)
    loose = [number for number, end in enumerate(turned(drawn), start=1) if len(set(end)) == 1]
    assert wf.uncaught_ends(cloth, ends, picks, reversals) == loose


@quick
@given(st.one_of(TEXTS, GRIDS), LEGS)
def test_endless_against_counting_three_periods(cloth: object, legs: list[int]) -> None:
    reversals = ",".join(map(str, legs))
    ends = 3 * wf.repeat_ends(cloth)
    picks = 3 * period(tuple(legs), wf.repeat_picks(cloth))
    drawn = wf.drawdown(cloth, ends, picks, reversals)
    for system, threads in (("weft", drawn), ("warp", turned(drawn))):
        counted = max(map(longest, threads))
        if counted == len(threads[0]):
            with pytest.raises(wf.WeaveError, match="endless float"):
                wf.longest_float(cloth, system, 0, 0, reversals)
        else:
            assert wf.longest_float(cloth, system, 0, 0, reversals) == counted
    loose = [number for number, end in enumerate(turned(drawn), start=1) if len(set(end)) == 1]
    assert wf.uncaught_ends(cloth, 0, 0, reversals) == [end for end in loose if end <= ends // 3]


@pytest.mark.parametrize("reversals", ["", "9,9", "9,5", "50000", "997,991,31"])
def test_a_large_piece_has_the_floats_of_the_endless_cloth(reversals: str) -> None:
    for weave in ("2/2 twill", "5 satin 2", "2/2 herringbone 8"):
        endless = wf.longest_float(weave, "either", 0, 0, reversals)
        assert wf.longest_float(weave, "either", 10_000, 1_000_000, reversals) == endless


def test_a_thread_that_never_changes() -> None:
    striped = [[1, 0], [1, 0]]
    assert wf.uncaught_ends(striped) == [1, 2]
    assert wf.uncaught_ends(striped, 5) == [1, 2, 3, 4, 5]
    assert wf.longest_float(striped, "warp", 0, 700) == 700
    assert wf.longest_float(striped, "weft") == 1
    with pytest.raises(wf.WeaveError, match="endless float"):
        wf.longest_float(striped)
    assert wf.longest_float([[1]], "either", 3, 8) == 8


def test_turning_on_every_row_leaves_ends_untied() -> None:
    # Legs of one row weave two neighbouring rows over and over: half the ends of a 2/2 twill never change.
    assert wf.uncaught_ends("2/2 twill", 0, 0, "1,1") == [1, 3]


def test_a_weave_and_reversals_that_never_come_back_are_refused() -> None:
    grid = np.zeros((1999, 2000), dtype=int)
    grid[::2] = 1
    with pytest.raises(wf.WeaveError, match="come back together"):
        wf.longest_float(grid, "warp", 0, 0, "1999,1998")


@quick
@given(GRIDS, st.integers(1, 4), st.sampled_from([0, 8, 12.5]), st.sampled_from([0, 6, 10]))
def test_floats_over_against_counting(
    grid: list[list[int]], limit: int, sett: float, weft_sett: float
) -> None:
    wanted = []
    for system, threads, crossed in (("warp", turned(grid), weft_sett), ("weft", grid, sett)):
        for number, thread in enumerate(threads, start=1):
            place = 1
            for up, run in groupby(thread):
                crosses = len(list(run))
                if crosses > limit:
                    face = "face" if bool(up) == (system == "warp") else "back"
                    length = crosses / crossed if crossed else None
                    wanted.append([system, face, number, place, place + crosses - 1, crosses, length])
                place += crosses
    assert wf.floats_over(grid, limit, sett, weft_sett) == wanted


def test_floats_over_agrees_with_the_longest_float() -> None:
    piece = wf.drawdown("5 satin 2", 23, 31, "9,9")
    assert wf.floats_over(piece, wf.longest_float(piece, "either", 23, 31)) == []
    assert wf.floats_over(piece, wf.longest_float(piece, "either", 23, 31) - 1)


@pytest.mark.parametrize("limit", [0, -1, 1.5])
def test_floats_over_needs_a_limit(limit: float) -> None:
    with pytest.raises(wf.WeaveError, match="limit"):
        wf.floats_over([[1, 0]], limit)


def test_float_length() -> None:
    assert wf.float_length(6, 24) == 0.25
    assert list(wf.float_length(np.array([6, 12]), 24)) == [0.25, 0.5]
    with pytest.raises(wf.WeaveError, match="sett"):
        wf.float_length(6, 0)
