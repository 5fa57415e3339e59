"""Facts of the trade about chevrons, checked by drawing the cloth."""

from __future__ import annotations

import pytest

import weavefuncs as wf


def drawn(rows_up: int, rows: int, ends: int) -> list[list[bool]]:
    """Draw a 2/2 twill: row 1 lifts ends 1 and 2 of every four, each position one end to the right."""
    return [
        [(end - wf.chevron_position(number, rows_up)) % 4 < 2 for end in range(ends)]
        for number in range(1, rows + 1)
    ]


def longest_inner_float(threads: list[list[bool]]) -> int:
    """Return the longest run that does not touch the edge of the drawing, where it is cut off."""
    longest = 0
    for thread in threads:
        runs, start = [], 0
        for place in range(1, len(thread) + 1):
            if place == len(thread) or thread[place] != thread[start]:
                runs.append(place - start)
                start = place
        longest = max([longest, *runs[1:-1]])
    return longest


@pytest.mark.parametrize("rows_up", [3, 4, 9])
def test_floats_where_a_twill_turns(rows_up: int) -> None:
    # Computed by drawing it: warp floats of 3 lie along the turn, weft floats stay 2.
    cloth = drawn(rows_up, 8 * rows_up, 24)
    assert longest_inner_float(cloth) == 2
    assert longest_inner_float([list(end) for end in zip(*cloth)]) == 3


def test_a_twill_that_does_not_turn_floats_over_two() -> None:
    # Computed by drawing it: one end a pick, no float over 2 in either system.
    cloth = drawn(100, 100, 24)
    assert longest_inner_float(cloth) == 2
    assert longest_inner_float([list(end) for end in zip(*cloth)]) == 2


@pytest.mark.parametrize("rows_up", [3, 9, 12])
def test_no_two_neighbouring_rows_lie_in_one_shed(rows_up: int) -> None:
    # Practice: the row at a turn is woven once; woven twice, two rows would lie in one shed.
    cloth = drawn(rows_up, wf.chevron_rows(rows_up, 6), 24)
    assert all(row != following for row, following in zip(cloth, cloth[1:]))


@pytest.mark.parametrize("rows_up", [3, 9, 12])
def test_equal_rows_each_way_are_symmetrical(rows_up: int) -> None:
    # Practice, no source: equal rows each way make a chevron symmetrical; it may turn after three rows.
    cloth = drawn(rows_up, wf.chevron_rows(rows_up, 4, symmetrical=True), 24)
    assert cloth == cloth[::-1]


def test_nine_rows_each_way() -> None:
    # Practice, counted at the loom: nine rows a leg, fourteen woven, four to go to the next turn.
    assert wf.chevron_rows_left(14, 9) == 4
    assert wf.reversal_rows(9, 30) == "9, 18, 27"
    assert wf.chevron_position([1, 9, 10, 18, 19], 9) == [0, 8, 7, -1, 0]


@pytest.mark.parametrize(
    ("points", "threading"),
    [
        # Practice: the pointed draft on four shafts, one repeat and its balancing end, then two.
        (1, "1 2 3 4 3 2 1"),
        (3, "1 2 3 4 3 2 1 2 3 4 3 2 1"),
    ],
)
def test_pointed_threading_on_four_shafts(points: int, threading: str) -> None:
    assert wf.point_ends(4, points) == len(threading.split())
