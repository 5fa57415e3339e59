"""The public functions of weave: rows, words, edges, repeats."""

from __future__ import annotations

from itertools import groupby

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import weavefuncs as wf

quick = settings(deadline=None, derandomize=True, max_examples=150)

WEAVES = st.sampled_from(
    [
        *("plain", "2/2 twill", "3/1 twill left", "2/3/1/2 twill", "2/2 broken twill", "2/2 herringbone 8"),
        *("5 satin 2", "3/2 basket", "2/2 warp rib", "2/1 weft rib"),
        [[1, 1, 0, 1, 0, 0, 0, 1], [0, 1, 1, 1, 0, 1, 0, 0]],
        [[1]],
    ]
)
REVERSALS = st.sampled_from(["", "9,9", "9,5", "3", "2,1,4", "1"])


# From the catalogue, to the letter.
def test_pick_text_examples() -> None:
    assert wf.pick_text("2/2 twill", 21, 1) == "(under 2, over 2) × 5, under 1"
    assert wf.pick_text("2/2 twill", 21, 2) == "over 1, (under 2, over 2) × 5"


def test_pick_text_sides() -> None:
    # Pick 2 of 21 ends is 0110 … 0110 0: from the right it begins with the single end that is down.
    assert wf.pick_text("2/2 twill", 21, 2, "", "right") == "(over 2, under 2) × 5, over 1"
    assert wf.pick_text("2/2 twill", 21, 2, "", "alternate") == wf.pick_text("2/2 twill", 21, 2, "", "right")
    assert wf.pick_text("2/2 twill", 21, 3, "", "alternate") == wf.pick_text("2/2 twill", 21, 3)


def test_pick_text_with_a_floating_selvedge() -> None:
    assert (
        wf.pick_text("plain", 5, 1, "", "left", True)
        == "over the floating selvedge, (under 1, over 1) × 2, under 1, under the floating selvedge"
    )


def unfolded(text: str) -> str:
    """Follow the words across the warp: 1 where the weft goes under, 0 where it goes over."""
    if text.startswith("("):
        group, _, rest = text[1:].partition(") × ")
        times, _, rest = rest.partition(", ")
        return unfolded(group) * int(times) + unfolded(rest)
    words, _, rest = text.partition(", ")
    if not words:
        return ""
    side, number = words.split()
    return {"under": "1", "over": "0"}[side] * int(number) + unfolded(rest)


@quick
@given(WEAVES, st.integers(1, 120), st.integers(1, 60), REVERSALS)
def test_pick_text_tells_the_whole_pick(weave: object, ends: int, pick: int, reversals: str) -> None:
    code = wf.pick_code(weave, ends, pick, reversals)
    assert unfolded(wf.pick_text(weave, ends, pick, reversals)) == code
    assert unfolded(wf.pick_text(weave, ends, pick, reversals, "right")) == code[::-1]
    there = "over the floating selvedge, "
    back = ", under the floating selvedge"
    words = wf.pick_text(weave, ends, pick, reversals, "alternate", True)
    assert words.startswith(there)
    assert words.endswith(back)
    across = unfolded(words.removeprefix(there).removesuffix(back))
    assert across == (code if pick % 2 else code[::-1])


@quick
@given(st.lists(st.integers(0, 1), min_size=1, max_size=60))
def test_pick_text_of_any_row(cells: list[int]) -> None:
    code = "".join(map(str, cells))
    assert unfolded(wf.pick_text([cells], len(cells), 1)) == code
    assert unfolded(wf.pick_text([cells], 3 * len(cells), 1)) == code * 3


def test_a_whole_repeat_folds_once() -> None:
    cells = [1, 0, 0, 1, 1, 1, 0, 1, 1, 0]
    assert wf.pick_text([cells], 40, 1) == "(under 1, over 2, under 3, over 1, under 2, over 1) × 4"


def folded(code: str) -> str:
    """The rule of the catalogue in plain loops: what repeats over the most, and of these the briefest."""
    runs = [f"{'under' if up == '1' else 'over'} {len(list(run))}" for up, run in groupby(code)]
    parts = []
    while runs:
        groups = [(1, 1)]
        for size in range(2, min(40, len(runs)) + 1):
            times = 1
            while runs[size * times : size * times + size] == runs[:size]:
                times += 1
            if times > 1:
                groups.append((size, times))
        size, times = max(groups, key=lambda group: (group[0] * group[1], -group[0]))
        words = ", ".join(runs[:size])
        parts.append(f"({words}) × {times}" if times > 1 else words)
        runs = runs[size * times :]
    return ", ".join(parts)


@quick
@given(st.lists(st.integers(0, 1), min_size=1, max_size=12), st.integers(1, 150))
def test_what_repeats_over_the_most_is_folded(cells: list[int], ends: int) -> None:
    code = "".join(map(str, cells * ends))[:ends]
    assert wf.pick_text([cells], ends, 1) == folded(code)


@quick
@given(st.lists(st.integers(0, 1), min_size=1, max_size=12), st.integers(500, 20_000), st.integers(0, 500))
def test_wide_rows_fold_by_the_same_rule(cells: list[int], ends: int, off: int) -> None:
    row = (cells * ends)[:ends]
    row[off - ends] ^= 1
    assert wf.pick_text([row], ends, 1) == folded("".join(map(str, row)))


def never_repeating(signs: int) -> list[int]:
    """A row whose text has so many signs: no group of its runs is followed by the same again."""
    ones = [bin(place).count("1") % 2 for place in range(5000)]
    # Thue's word on three letters, the differences of the word on two, has no group twice in a row.
    word = [after - here + 2 for here, after in zip(ones, ones[1:])]
    left = signs + len(", ")
    runs: list[int] = []
    while left >= len("under 1, "):
        left -= len("under 1, " if len(runs) % 2 == 0 else "over 1, ")
        runs.append(word[len(runs)])
    # A run of two digits, unlike all others, takes one sign more.
    runs[:left] = range(11, 11 + left)
    return [1 - number % 2 for number, length in enumerate(runs) for _ in range(length)]


def test_a_pick_too_long_for_a_cell_is_refused() -> None:
    rng = np.random.default_rng(1)
    with pytest.raises(wf.WeaveError, match="32767 characters"):
        wf.pick_text(rng.integers(0, 2, (1, 20_000)), 20_000, 1)
    with pytest.raises(wf.WeaveError, match="32767"):
        wf.pick_code("plain", 32_768, 1)


SELVEDGES = len("over the floating selvedge, ") + len(", under the floating selvedge")


@pytest.mark.parametrize(("floating", "beside"), [(False, 0), (True, SELVEDGES)])
def test_the_longest_pick_that_a_cell_holds(floating: bool, beside: int) -> None:
    row = never_repeating(32_767 - beside)
    words = wf.pick_text([row], len(row), 1, "", "left", floating)
    assert len(words) == 32_767
    assert "×" not in words
    row = never_repeating(32_768 - beside)
    with pytest.raises(wf.WeaveError, match=rf"ends must be few enough .* 32767 characters; got {len(row)}$"):
        wf.pick_text([row], len(row), 1, "", "left", floating)


def test_no_group_has_more_than_forty_changes() -> None:
    # Changes of 1, 2, 3 … ends: no part of a repeat is like another one.
    for changes in (40, 42):
        once = [number % 2 for number in range(1, changes + 1) for _ in range(number)]
        words = wf.pick_text([once], 3 * len(once), 1)
        assert words.endswith(") × 3") == (changes == 40)
        assert unfolded(words) == "".join(map(str, once * 3))


@quick
@given(WEAVES, st.integers(1, 30), st.integers(1, 40), REVERSALS)
def test_drawdown_lift_and_pick_code_agree(weave: object, ends: int, picks: int, reversals: str) -> None:
    drawn = wf.drawdown(weave, ends, picks, reversals)
    assert (len(drawn), len(drawn[0])) == (picks, ends)
    for pick, row in enumerate(drawn, start=1):
        assert "".join(map(str, row)) == wf.pick_code(weave, ends, pick, reversals)
        assert row == [wf.lift(weave, end, pick, reversals) for end in range(1, ends + 1)]


def test_reversals_turn_the_move_round() -> None:
    rows = [wf.pick_code("2/2 twill", 8, pick, "3,3") for pick in range(1, 8)]
    # Positions 0 1 2, then 1 0 -1, then 0 again.
    assert rows == ["11001100", "01100110", "00110011", "01100110", "11001100", "10011001", "11001100"]


@pytest.mark.parametrize("pick", [0, -1, 1.5, "first", None, True, 10_000_001])
def test_a_pick_is_a_whole_number_from_1(pick: object) -> None:
    for call in (
        lambda: wf.pick_code("plain", 8, pick),
        lambda: wf.pick_text("plain", 8, pick),
        lambda: wf.lift("plain", 1, pick),
    ):
        with pytest.raises(wf.WeaveError, match="pick must be"):
            call()


def test_a_far_pick_costs_no_drawing() -> None:
    assert wf.pick_code("2/2 twill", 4, 10_000_000) == wf.pick_code("2/2 twill", 4, 4)
    assert wf.lift("2/2 twill", 1_000_000, 1) == 0


def test_repeats_and_intersections() -> None:
    assert (wf.repeat_ends("2/3/1/2 twill"), wf.repeat_picks("2/3/1/2 twill")) == (8, 8)
    assert (wf.repeat_ends("2/2 warp rib"), wf.repeat_picks("2/2 warp rib")) == (2, 4)
    # A rib floats in one system and is plain in the other.
    assert (wf.average_float("2/2 warp rib", "warp"), wf.average_float("2/2 warp rib", "weft")) == (2, 1)
    assert (wf.average_float("2/2 weft rib", "warp"), wf.average_float("2/2 weft rib", "weft")) == (1, 2)
    assert wf.intersections([[1, 1], [1, 0]], "weft") == 1
    with pytest.raises(wf.WeaveError, match="warp thread changes sides"):
        wf.average_float([[1, 1], [1, 0]], "warp")


# Selvedges: each turn looked at on the drawing.


def looked_at(
    weave: object, ends: int, picks: int, reversals: str, first_side: str
) -> dict[str, tuple[int, int]]:
    """For each side the turns there, and at how many of them the edge end is not caught."""
    drawn = wf.drawdown(weave, ends, picks, reversals)
    found = {"left": (0, 0), "right": (0, 0)}
    side = first_side
    for this, following in zip(drawn, drawn[1:]):
        side = "right" if side == "left" else "left"  # the weft has crossed, and turns here
        edge = 0 if side == "left" else -1
        turns, missed = found[side]
        found[side] = turns + 1, missed + (this[edge] == following[edge])
    return found


def words(turns: int, missed: int) -> str:
    if not turns:
        return "no turn"
    if not missed:
        return "caught at every turn"
    return f"not caught at {missed} of {turns} turn" + ("s" if turns > 1 else "")


@quick
@given(WEAVES, st.integers(1, 25), st.integers(1, 90), REVERSALS, st.sampled_from(["left", "right"]))
def test_edge_check_against_the_drawing(
    weave: object, ends: int, picks: int, reversals: str, first_side: str
) -> None:
    found = looked_at(weave, ends, picks, reversals, first_side)
    other = "right" if first_side == "left" else "left"
    drawn = wf.drawdown(weave, ends, picks, reversals)
    parts = []
    for side, edge in (("left", 0), ("right", -1)):
        thread = [[row[edge]] for row in drawn]
        longest = wf.longest_float(thread, "warp", 1, picks)
        parts.append(f"{side}: {words(*found[side])}, longest float {longest}")
    if any(missed for _, missed in found.values()):
        mends = not any(missed for _, missed in looked_at(weave, ends, picks, reversals, other).values())
        start = f"start from the {other} or " if mends else ""
        parts.append(f"mend: {start}use a floating selvedge")
    assert wf.edge_check(weave, ends, picks, reversals, first_side) == "; ".join(parts)


def test_the_other_side_mends_a_twill_either_way() -> None:
    # Seen in a mirror, a twill to the right that starts from the left is one to the left from the right.
    assert "mend: start from the right or" in wf.edge_check("2/2 twill", 20, 8, "", "left")
    assert "mend: start from the left or" in wf.edge_check("2/2 twill left", 20, 8, "", "right")


def test_edge_check_counts_many_picks_by_periods() -> None:
    # 500 chevrons of 18 picks with 9 turns at each side: as in one, 500 times over.
    text = wf.edge_check("2/2 twill", 21, 9001, "9,9")
    found = looked_at("2/2 twill", 21, 9001, "9,9", "left")
    assert text.startswith(f"left: not caught at {found['left'][1]} of 4500 turns")
    assert wf.edge_check("2/2 twill", 20, 10_000_000).startswith(
        "left: not caught at 4999999 of 4999999 turns"
    )


def test_a_grid_says_where_the_turn_slips() -> None:
    # End 1 is up on picks 1 and 2: a turn at the left after pick 2 meets 1, 0 and catches it.
    grid = [[1, 0], [1, 0], [0, 1], [0, 1]]
    assert wf.edge_check(grid, 2, 4) == (
        "left: caught at every turn, longest float 2; right: not caught at 2 of 2 turns, longest float 2; "
        "mend: use a floating selvedge"
    )


# Columns


def test_columns_of_picks() -> None:
    picks = [1, 2, 3]
    wanted = [wf.pick_code("2/2 twill", 6, pick) for pick in picks]
    assert wf.pick_code("2/2 twill", 6, picks) == wanted
    assert list(wf.pick_code("2/2 twill", 6, np.array(picks))) == wanted
    series = wf.pick_code("2/2 twill", 6, pd.Series(picks, index=[4, 5, 6]))
    assert isinstance(series, pd.Series)
    assert series.to_dict() == dict(zip([4, 5, 6], wanted))
    assert wf.lift("2/2 twill", 1, np.array(picks)).tolist() == [1, 0, 0]


def test_a_column_of_weaves_and_one_grid() -> None:
    assert wf.repeat_ends(["plain", "2/2 twill", "5 satin"]) == [2, 4, 5]
    assert wf.repeat_ends([[1, 0, 0], [0, 1, 1]]) == 3
    assert wf.repeat_ends((b"\x01\x00\x00", b"\x00\x01\x01")) == 3
    assert wf.longest_float([[1, 0, 0], [0, 1, 1]], ["warp", "weft"]) == [1, 2]
    with pytest.raises(wf.WeaveError, match="row 2"):
        wf.repeat_ends(["plain", "velvet"])


def test_the_way_back_from_words_is_named() -> None:
    with pytest.raises(wf.WeaveError, match="from_side must be one of left, right, alternate"):
        wf.pick_text("plain", 8, 1, "", "above")
    with pytest.raises(wf.WeaveError, match="first_side must be one of left, right"):
        wf.edge_check("plain", 8, 8, "", "alternate")
    with pytest.raises(wf.WeaveError, match="system must be one of warp, weft, either"):
        wf.longest_float("plain", "both")


def test_the_intersections_of_either_system_are_its_own() -> None:
    # Plain weave written twice as wide as high: a pick changes at each of 4 ends, an end at each of 2 picks.
    wide = [[1, 0, 1, 0], [0, 1, 0, 1]]
    assert wf.intersections(wide, "weft") == wf.intersections(wide) == 4
    assert wf.intersections(wide, "warp") == 2
