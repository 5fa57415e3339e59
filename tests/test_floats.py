"""Floats and uncaught ends against counting on the cloth drawn out."""

from __future__ import annotations

from itertools import groupby

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs import registry
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
    with pytest.raises(wf.WeaveError, match=r"every warp thread interlaces.*endless float"):
        wf.longest_float(striped)
    with pytest.raises(wf.WeaveError, match=r"every weft thread interlaces.*endless float"):
        wf.longest_float([[1, 1], [0, 0]])
    assert wf.longest_float([[1]], "either", 3, 8) == 8


def test_turning_on_every_row_leaves_ends_untied() -> None:
    # Legs of one row weave two neighbouring rows over and over: half the ends of a 2/2 twill never change.
    assert wf.uncaught_ends("2/2 twill", 0, 0, "1,1") == [1, 3]


def test_a_pick_that_reversals_never_reach_has_no_float() -> None:
    # Two up and two down go over picks 1 and 2, then back over 1 and below it, to pick 4: never to pick 3.
    grid = [[1, 0, 1, 0], [0, 1, 0, 1], [1, 1, 1, 0], [0, 1, 0, 1]]
    for ends, picks in ((0, 0), (8, 9)):
        assert wf.longest_float(grid, "weft", ends, picks) == 3
        assert wf.longest_float(grid, "weft", ends, picks, "2,2") == 1


def test_a_weave_and_reversals_that_never_come_back_are_refused() -> None:
    grid = np.zeros((1999, 2000), dtype=int)
    grid[::2] = 1
    # One row further up in every 3997: back after 3997 × 1999 rows.
    told = "come back together with the weave within 8,000 rows; got '2 legs that take 7,990,003 rows'"
    with pytest.raises(wf.WeaveError, match=told):
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


# Floats by face


@quick
@given(st.one_of(TEXTS, GRIDS), LEGS, st.integers(1, 20), st.integers(1, 90))
def test_each_face_against_counting(cloth: object, legs: list[int], ends: int, picks: int) -> None:
    reversals = ",".join(map(str, legs))
    drawn = wf.drawdown(cloth, ends, picks, reversals)
    for system, threads in (("warp", turned(drawn)), ("weft", drawn)):
        runs = [(up, len(list(run))) for thread in threads for up, run in groupby(thread)]
        for face in ("face", "back"):
            # The warp lies on the face where it is up, the weft where it is not.
            side = int((system == "warp") == (face == "face"))
            counted = max((length for up, length in runs if up == side), default=0)
            assert wf.longest_float(cloth, system, ends, picks, reversals, face) == counted
    both = [wf.longest_float(cloth, "either", ends, picks, reversals, face) for face in ("face", "back")]
    assert max(both) == wf.longest_float(cloth, "either", ends, picks, reversals)


def test_a_satin_shows_its_long_floats_on_one_face() -> None:
    # WOLF: satin float = ends - 1; warp-faced, so the long ones are warp on the face and weft on the back.
    found = {
        (system, face): wf.longest_float("8 satin 3", system, face=face)
        for system in ("warp", "weft")
        for face in ("face", "back")
    }
    assert found == {("warp", "face"): 7, ("warp", "back"): 1, ("weft", "face"): 1, ("weft", "back"): 7}


def test_a_face_on_which_a_thread_never_lies() -> None:
    assert wf.longest_float([[1]], "warp", 3, 8, face="back") == 0
    assert wf.longest_float([[1]], "weft", face="face") == 0
    with pytest.raises(wf.WeaveError, match="endless float"):
        wf.longest_float([[1]], "warp", face="face")


# Floats round the edges and across turns


def unfolded(
    cloth: object, ends: int, picks: int, reversals: str, first_side: str, floating: bool
) -> list[tuple[bool, int]]:
    """The weft as it is laid, one thread: at each end it crosses, whether that is an edge, and the warp."""
    path = []
    for pick, row in enumerate(wf.drawdown(cloth, ends, picks, reversals)):
        cells = row if (pick % 2 == 0) == (first_side == "left") else row[::-1]
        if floating:
            cells = [0, *cells, 1]
        path += [(place in (0, len(cells) - 1), up) for place, up in enumerate(cells)]
    return path


@quick
@given(
    st.one_of(TEXTS, GRIDS),
    LEGS,
    st.integers(1, 20),
    st.integers(1, 60),
    st.sampled_from(["left", "right"]),
    st.booleans(),
)
def test_edge_floats_against_following_the_weft(
    cloth: object, legs: list[int], ends: int, picks: int, first_side: str, floating: bool
) -> None:
    reversals = ",".join(map(str, legs))
    path = unfolded(cloth, ends, picks, reversals, first_side, floating)
    runs = [list(run) for _, run in groupby(path, key=lambda cell: cell[1])]
    counted = max(len(run) for run in runs if any(edge for edge, _ in run))
    assert wf.longest_edge_float(cloth, ends, picks, reversals, first_side, floating) == counted


@quick
@given(
    st.one_of(TEXTS, GRIDS), LEGS, st.integers(1, 20), st.integers(1, 60), st.sampled_from(["left", "right"])
)
def test_uncaught_turns_against_following_the_weft(
    cloth: object, legs: list[int], ends: int, picks: int, first_side: str
) -> None:
    reversals = ",".join(map(str, legs))
    path = unfolded(cloth, ends, picks, reversals, first_side, False)
    missed = {"left": 0, "right": 0}
    for pick in range(1, picks):
        side = "right" if (pick % 2 == 1) == (first_side == "left") else "left"
        missed[side] += path[pick * ends - 1][1] == path[pick * ends][1]
    for side, count in missed.items():
        assert wf.uncaught_turns(cloth, ends, picks, reversals, first_side, side) == count
    assert wf.uncaught_turns(cloth, ends, picks, reversals, first_side) == sum(missed.values())


def test_edge_floats_of_a_large_piece() -> None:
    small = wf.longest_edge_float("2/2 twill", 7, 91, "9,9")
    assert wf.longest_edge_float("2/2 twill", 999_999, 9_999_999, "9,9") == small
    assert wf.longest_edge_float([[1]], 7, 9_000_000) == 63_000_000
    # Pieces of any length above two cycles have the same edge floats.
    for ends in (9, 10, 11, 12):
        assert wf.longest_edge_float("3/1 twill", ends, 500, "5,3") == wf.longest_edge_float(
            "3/1 twill", ends, 9_000_000, "5,3"
        )
    told = "come back together with the weave within 1,000,000 rows; got '2 legs that take 10,000,000 rows'"
    with pytest.raises(wf.WeaveError, match=told):
        wf.longest_edge_float(np.eye(1999, dtype=int), 4, 10_000_000, "1999,1998")


@quick
@given(st.one_of(TEXTS, GRIDS), LEGS, st.integers(1, 20), st.integers(1, 90))
def test_turn_floats_against_counting(cloth: object, legs: list[int], ends: int, picks: int) -> None:
    reversals = ",".join(map(str, legs))
    turns, row, number = [], 0, 0
    while legs and (row := row + legs[number % len(legs)]) < picks:
        turns.append(row - 1)
        number += 1
    assert wf.turn_rows(picks, reversals) == len(turns)
    drawn = turned(wf.drawdown(cloth, ends, picks, reversals))
    longest_there = 0
    for thread in drawn:
        place = 0
        for _, run in groupby(thread):
            length = len(list(run))
            if any(place <= turn < place + length for turn in turns):
                longest_there = max(longest_there, length)
            place += length
    if turns:
        assert wf.longest_turn_float(cloth, ends, picks, reversals) == longest_there
    else:
        with pytest.raises(wf.WeaveError, match="turns within its"):
            wf.longest_turn_float(cloth, ends, picks, reversals)


def test_turn_rows_of_a_large_piece_are_those_that_the_chevron_names() -> None:
    named = wf.reversal_rows(9, 5000)
    assert wf.turn_rows(5000, "9,9") == named.count(",") + 1
    assert wf.turn_rows(10_000_000, "1") == 9_999_999


# Off the loom


@quick
@given(st.integers(1, 30), st.floats(1, 60), st.floats(0, 0.6), st.floats(0, 0.4), st.floats(0, 1))
def test_span_and_slack_are_the_yarn_of_the_float(
    threads: int, sett: float, shrinkage: float, draw_in: float, share: float
) -> None:
    span = wf.float_span(threads, sett, shrinkage, draw_in)
    # The finished sett crosses as many threads in the span.
    assert span == pytest.approx(wf.float_length(threads, wf.finished_sett(sett, shrinkage, draw_in)))
    yarn_shrinkage = share * (1 - (1 - draw_in) * (1 - shrinkage))
    slack = wf.float_slack(threads, sett, shrinkage, draw_in, yarn_shrinkage)
    assert span + slack == pytest.approx(wf.float_length(threads, sett) * (1 - yarn_shrinkage))
    assert slack >= 0


def test_a_yarn_cannot_shrink_more_than_its_cloth() -> None:
    with pytest.raises(
        wf.WeaveError, match=r"yarn_shrinkage must be at most what the cloth shrinks \(0\.1\)"
    ):
        wf.float_slack(4, 20, 0.1, 0, 0.11)
    assert wf.float_slack(4, 20, 0.1, 0, 0.1) == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize("slack", [0.01, 0.1, 0.2])
def test_sag_against_the_arc_of_a_parabola(slack: float) -> None:
    height = wf.float_sag(1, slack)
    x = np.linspace(-0.5, 0.5, 20001)
    length = np.hypot(np.diff(x), np.diff(height * (1 - 4 * x**2))).sum()
    # What is stated: at most 3 % low up to a slack of a fifth of the span; the slack goes with its square.
    assert 0.94 <= (length - 1) / slack <= 1.001
    assert wf.float_sag(30, 30 * slack) == pytest.approx(30 * height)


def test_the_guide_for_a_use() -> None:
    from weavefuncs.shared.float_guide import FLOAT_GUIDE

    function = registry.get("float_limit")
    assert set(function.parameters[0].choices) == set(FLOAT_GUIDE)
    said = str(function.docstring.returns[0].description)
    for use, (millimetres, _) in FLOAT_GUIDE.items():
        assert f"{millimetres} mm {use}" in said
        assert wf.float_limit(use, "cm") == pytest.approx(millimetres / 10)
        assert wf.float_limit(use) == pytest.approx(millimetres / 25.4)
    assert min(FLOAT_GUIDE, key=lambda use: FLOAT_GUIDE[use]) == "baby"
    assert "local safety rules" in FLOAT_GUIDE["baby"][1]
    with pytest.raises(wf.WeaveError, match="use must be one of"):
        wf.float_limit("rug")
