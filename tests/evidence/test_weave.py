"""Weaves against published values and facts of the trade."""

from __future__ import annotations

from itertools import groupby

import pytest

import weavefuncs as wf


@pytest.mark.parametrize(
    ("ends", "moves"), [(5, "2"), (6, "none"), (7, "2, 3"), (8, "3"), (9, "2, 4"), (10, "3")]
)
def test_satin_moves(ends: int, moves: str) -> None:
    # WOLF (seen): moves of the satins; none for six ends.
    assert wf.satin_moves(ends) == moves


def test_five_end_satin_order() -> None:
    # BROOKS (seen): the five-end satin interlaces in the order 1, 3, 5, 2, 4.
    assert [wf.pick_code("5 sateen", 5, pick).index("1") + 1 for pick in range(1, 6)] == [1, 3, 5, 2, 4]


@pytest.mark.parametrize("ends", [5, 7, 8, 9, 10, 16])
def test_satin_float_is_one_less_than_its_ends(ends: int) -> None:
    # WOLF (seen): the float of a satin is its ends less one.
    assert wf.longest_float(f"{ends} satin") == ends - 1
    assert wf.longest_float(f"{ends} sateen") == ends - 1


@pytest.mark.parametrize(
    ("weave", "ends", "changes"), [("plain", 2, 2), ("2/2 twill", 4, 2), ("5 satin", 5, 2)]
)
def test_intersections(weave: str, ends: int, changes: int) -> None:
    # TAYLOR (seen): intersections in the repeat: plain 2 of 2 ends, 2/2 twill 2 of 4, five-end satin 2 of 5.
    assert wf.repeat_ends(weave) == ends
    assert wf.intersections(weave) == changes


def test_twill_floats_two_and_three_where_it_turns() -> None:
    # Computed by drawing (no source): no float over 2 in either system of a 2/2 twill; where the move
    # turns back without repeating a row, warp floats of 3 lie along the turn and weft floats stay 2.
    for system in ("warp", "weft"):
        assert wf.longest_float("2/2 twill", system) == 2
    assert wf.longest_float("2/2 twill", "warp", reversals="9,9") == 3
    assert wf.longest_float("2/2 twill", "weft", reversals="9,9") == 2
    # Row 9 is the turn, so the floats of 3 cross rows 8, 9 and 10.
    piece = wf.drawdown("2/2 twill", 21, 18, "9,9")
    assert {(system, first, last) for system, _, _, first, last, _, _ in wf.floats_over(piece, 2)} == {
        ("warp", 8, 10)
    }


def test_a_turn_row_woven_twice_lies_in_one_shed() -> None:
    # Computed by drawing (no source): repeat the turn row and two neighbouring rows lie in one shed.
    up = [wf.pick_code("2/2 twill", 20, pick) for pick in range(1, 10)]
    twice = up + up[::-1]
    assert [sum(1 for _ in run) for _, run in groupby(twice)] == [1] * 8 + [2] + [1] * 8
    turned = [wf.pick_code("2/2 twill", 20, pick, "9,9") for pick in range(1, 19)]
    assert all(this != following for this, following in zip(turned, turned[1:]))


def caught(ends: int, reversals: str, first_side: str, picks: int = 8) -> dict[str, bool]:
    text = wf.edge_check("2/2 twill", ends, picks, reversals, first_side)
    return {side: f"{side}: caught at every turn" in text for side in ("left", "right")}


@pytest.mark.parametrize("ends", [4, 20, 22, 40])
def test_even_ends_catch_on_neither_edge_or_on_both(ends: int) -> None:
    # Practice, drawn out: by the side of the first pick.
    assert caught(ends, "", "left") == {"left": False, "right": False}
    assert caught(ends, "", "right") == {"left": True, "right": True}
    assert "start from the right" in wf.edge_check("2/2 twill", ends, 8)


@pytest.mark.parametrize("ends", [5, 7, 21, 23])
def test_odd_ends_always_catch_on_one_edge(ends: int) -> None:
    # Practice, drawn out.
    for first_side in ("left", "right"):
        assert sorted(caught(ends, "", first_side).values()) == [False, True]
        assert "mend: use a floating selvedge" in wf.edge_check("2/2 twill", ends, 8, "", first_side)


@pytest.mark.parametrize("ends", [20, 21])
@pytest.mark.parametrize("first_side", ["left", "right"])
def test_a_reversal_swaps_the_edges(ends: int, first_side: str) -> None:
    # Practice, drawn out: rows 10 to 18 go the other way, and every turn is the opposite of before.
    for side, edge in (("left", 0), ("right", -1)):
        there = []
        for first, last in ((1, 9), (10, 18)):
            rows = [wf.pick_code("2/2 twill", ends, pick, "9,9") for pick in range(first, last + 1)]
            differ = {
                rows[row][edge] != rows[row + 1][edge]
                for row in range(len(rows) - 1)
                # An odd pick travels away from the first side and turns at the other one.
                if ((first + row) % 2 == 1) == (side != first_side)
            }
            there.append(differ)
        assert [len(differ) for differ in there] == [1, 1]
        assert there[0] != there[1]


@pytest.mark.parametrize("ends", range(4, 30))
def test_edges_match_only_at_4k_plus_1(ends: int) -> None:
    # Practice, drawn out: the two edge ends of a 2/2 twill match exactly only at 4k + 1 ends.
    piece = wf.drawdown("2/2 twill", ends, 8)
    assert all(row[0] == row[-1] for row in piece) == (ends % 4 == 1)


def test_plain_weave_catches_both_edges_whatever_the_ends() -> None:
    # Common practice, no source.
    for ends in (7, 8):
        for first_side in ("left", "right"):
            assert "not caught" not in wf.edge_check("plain", ends, 30, "", first_side)


@pytest.mark.parametrize(
    ("weave", "shafts"),
    [("plain", 2), ("2/2 twill", 4), ("2/2 herringbone 8", 4), ("5 satin", 5), ("8 satin", 8)],
)
def test_shafts(weave: str, shafts: int) -> None:
    # Common practice, no source: a herringbone takes no more shafts than its twill, a satin one an end.
    assert wf.shafts_needed(weave) == shafts
