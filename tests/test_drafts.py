"""Drafts: a cloth taken apart and put together again."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import weavefuncs as wf

quick = settings(deadline=None, derandomize=True, max_examples=150)

RANDOM = st.tuples(st.integers(1, 12), st.integers(1, 12)).flatmap(
    lambda size: st.lists(
        st.lists(st.integers(0, 1), min_size=size[0], max_size=size[0]), min_size=size[1], max_size=size[1]
    )
)
STRUCTURED = st.builds(
    wf.drawdown,
    st.sampled_from(["plain", "2/2 twill", "3/1 twill", "2/2 herringbone 5", "5 satin 2", "2/2 basket"]),
    st.integers(1, 30),
    st.integers(1, 30),
    st.sampled_from(["", "5,5", "4,3", "1"]),
)


def in_order_of_appearance(numbers: list[int]) -> bool:
    return list(dict.fromkeys(numbers)) == list(range(1, len(set(numbers)) + 1))


@quick
@given(st.one_of(RANDOM, STRUCTURED))
def test_threading_tie_up_and_treadling_give_the_grid_back(grid: list[list[int]]) -> None:
    threading, tie_up, treadling = wf.threading(grid), wf.tie_up(grid), wf.treadling(grid)
    assert wf.drawdown_from_draft(threading, tie_up, treadling) == grid
    assert in_order_of_appearance(threading)
    assert in_order_of_appearance(treadling)
    assert len(tie_up) == wf.shafts_needed(grid) == max(threading)
    assert len(tie_up[0]) == wf.treadles_needed(grid) == max(treadling)
    plan = wf.lift_plan(tie_up, treadling)
    assert [[lifted[shaft - 1] for shaft in threading] for lifted in plan] == grid


@quick
@given(st.one_of(RANDOM, STRUCTURED))
def test_no_fewer_shafts_or_treadles_would_do(grid: list[list[int]]) -> None:
    # Two ends on one shaft lift alike, so unlike ends need a shaft each; likewise picks.
    assert wf.shafts_needed(grid) == len(set(zip(*grid)))
    assert wf.treadles_needed(grid) == len(set(map(tuple, grid)))


def test_repeats_as_far_as_it_is_drawn() -> None:
    twill = wf.drawdown("2/2 twill", 11, 9)
    parts = wf.threading("2/2 twill"), wf.tie_up("2/2 twill"), wf.treadling("2/2 twill")
    assert wf.drawdown_from_draft(*parts, ends=11, picks=9) == twill
    assert wf.drawdown_from_draft(*parts, ends=3) == wf.drawdown("2/2 twill", 3, 4)


def test_an_end_on_no_shaft_stays_down() -> None:
    tie_up = [[1, 0], [0, 1]]
    assert wf.drawdown_from_draft([0, 1, 2, 0], tie_up, [1, 2]) == [[0, 1, 0, 0], [0, 0, 1, 0]]


def test_pointed_threading() -> None:
    # Four shafts threaded 1 2 3 4 3 2 over a straight 2/2 tie-up and treadling.
    tie_up = [[1, 0, 0, 1], [1, 1, 0, 0], [0, 1, 1, 0], [0, 0, 1, 1]]
    assert wf.drawdown_from_draft([1, 2, 3, 4, 3, 2], tie_up, [1, 2, 3, 4]) == [
        [1, 1, 0, 0, 0, 1],
        [0, 1, 1, 0, 1, 1],
        [0, 0, 1, 1, 1, 0],
        [1, 0, 0, 1, 0, 0],
    ]


@pytest.mark.parametrize(
    ("threading", "treadling", "named"),
    [
        ([1, 3], [1], r"threading\[2\]"),
        ([1, -1], [1], r"threading\[2\]"),
        ([1, 1.5], [1], r"threading\[2\]"),
        ([1, None], [1], r"threading\[2\]"),
        ([], [1], "threading"),
        ([1], [3], r"treadling\[1\]"),
        ([1], [1, 0], r"treadling\[2\]"),
        ([1], [], "treadling"),
        ("1 2", [1], "threading"),
    ],
)
def test_bad_drafts_name_the_place(threading: object, treadling: object, named: str) -> None:
    with pytest.raises(wf.WeaveError, match=named):
        wf.drawdown_from_draft(threading, [[1, 0], [0, 1]], treadling)


def test_a_lift_plan_needs_its_treadles() -> None:
    with pytest.raises(wf.WeaveError, match=r"treadling\[2\]"):
        wf.lift_plan([[1, 0]], [1, 3])


def test_the_largest_drawing() -> None:
    assert len(wf.drawdown("plain", 2000, 2000)) == 2000
    for draw in (
        lambda: wf.drawdown("plain", 2000, 2001),
        lambda: wf.drawdown_from_draft([1], [[1]], [1], 2000, 2001),
    ):
        with pytest.raises(wf.WeaveError, match="at most 2000"):
            draw()
