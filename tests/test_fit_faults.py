"""Faults of a growing piece, against cloths drawn cell by cell and looked at thread by thread."""

from __future__ import annotations

from itertools import chain, cycle, groupby, islice

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs import _fit_faults
from weavefuncs._structure import parse_weave

GRIDS = st.tuples(st.integers(1, 5), st.integers(1, 5)).flatmap(
    lambda size: st.lists(
        st.lists(st.integers(0, 1), min_size=size[0], max_size=size[0]), min_size=size[1], max_size=size[1]
    )
)
LEGS = st.lists(st.integers(1, 7), max_size=4).map(tuple)
# Asked in any order: what is known of one piece tells about the next.
PIECES = st.lists(st.tuples(st.integers(1, 24), st.integers(1, 60)), min_size=1, max_size=12)


def drawn(grid, legs, ends, picks):
    """Rows of a cloth, bottom first: up and down by turns, no row woven twice."""
    ways = (
        chain.from_iterable([way] * leg for leg, way in zip(cycle(legs), cycle((1, -1))))
        if legs
        else cycle([1])
    )
    rows, position = [], -1
    for way in islice(ways, picks):
        position += way
        rows.append(list(islice(cycle(grid[position % len(grid)]), ends)))
    return rows


def longest(threads):
    return max(len(list(run)) for thread in threads for _, run in groupby(thread))


@settings(deadline=None)
@given(GRIDS, LEGS, PIECES)
def test_floats_are_those_of_the_drawn_cloth(grid, legs, pieces):
    weave = parse_weave("cloth", grid)
    of_warp, of_weft = (
        _fit_faults.Floats(weave, legs, system, lambda looks: None) for system in ("warp", "weft")
    )
    for ends, picks in pieces:
        rows = drawn(grid, legs, ends, picks)
        assert of_weft.longest(ends, picks) == longest(rows)
        assert of_warp.longest(ends, picks) == longest(zip(*rows))


@settings(deadline=None)
@given(GRIDS, LEGS, PIECES)
def test_edges_are_those_of_the_drawn_cloth(grid, legs, pieces):
    weave = parse_weave("cloth", grid)
    edges = _fit_faults.Edges(weave, legs, lambda looks: None)
    for _, picks in pieces:
        rows = drawn(grid, legs, weave.ends, picks)
        turns = [[one != other for one, other in zip(*two)] for two in zip(rows, rows[1:])]
        for caught, of_these in zip(edges.caught(picks), (turns[::2], turns[1::2])):
            held = [end for end in range(weave.ends) if caught & _fit_faults.bit(end, weave.ends)]
            assert held == [end for end in range(weave.ends) if all(turn[end] for turn in of_these)]


LARGE = {
    "width": 4.88, "length": 2250, "weave": "1/511 twill", "dents": 17.4, "sett": 19.5, "weft_sett": 4.46,
    "reversals": "1,2,3,4,5,6,7,8,9,10", "any_row": True, "longest_order": 2,
    "width_tolerance": 0.32, "length_tolerance": 0.34, "sett_tolerance": 0.44,
}  # fmt: skip


def test_many_plans_of_a_large_repeat_are_drawn_a_few_times(monkeypatch):
    draws = []
    of_warp = _fit_faults.longest_warp_float
    monkeypatch.setattr(
        _fit_faults, "longest_warp_float", lambda *given_: draws.append(given_) or of_warp(*given_)
    )
    assert len(wf.fit_piece(**LARGE, plans=100)) == 100
    assert len(draws) < 30


@pytest.mark.parametrize(
    "changed",
    [
        # Each number of ends and of rows has floats of its own.
        {
            "weave": "511/1 twill", "width": 64, "length": 55, "weft_sett": 33, "dents": 2.35, "sett": 34,
            "sley": "2", "spaced_by": "pegs", "reversals": "1000", "any_row": False, "parity": "even",
            "take_up": 0.16, "warp_free": 0.37, "weft_free": 26.5, "float_limit": 0.85, "rows_tolerance": 0.4,
        },
        # A hundred plans of 400,000 turns.
        {
            "weave": "1/39 herringbone 512", "width": 2450, "length": 40, "weft_sett": 10_000, "dents": 7.13,
            "sett": 30.3, "reversals": "200000", "any_row": False, "longest_order": 1,
            "rows_tolerance": 1e-6, "length_tolerance": 1e-3,
        },
    ],
)  # fmt: skip
def test_what_takes_too_long_is_refused(changed):
    with pytest.raises(wf.WeaveError, match="narrower, or another tolerance, or fewer plans"):
        wf.fit_piece(**{**LARGE, **changed}, plans=100)


def test_turns_that_floating_selvedges_catch_take_no_time():
    """Two million picks, in all of a hundred plans, of which none is looked at for its turns."""
    asked = {
        **LARGE, "weave": "1/39 herringbone 512", "width": 2450, "length": 235, "weft_sett": 10_000,
        "dents": 7.13, "sett": 30.3, "reversals": "1000000", "any_row": False, "longest_order": 1,
    }  # fmt: skip
    assert len(wf.fit_piece(**asked, floating_selvedge=True, plans=100)) == 100
