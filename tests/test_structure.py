"""Weave texts, grids and reversals: the repeat behind them, and what is refused."""

from __future__ import annotations

from math import gcd

import numpy as np
import pandas as pd
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from weavefuncs._reversals import parse_reversals, period, position_of, stretches, taken, visited
from weavefuncs._structure import MOST_CELLS, Weave, columns, parse_grid, parse_weave
from weavefuncs.errors import WeaveError

quick = settings(deadline=None, derandomize=True, max_examples=150)

TEXTS = (
    "plain",
    "2/2 twill",
    "3/1 twill left",
    "2/3/1/2 twill",
    "2/2 broken twill",
    "2/2 herringbone 8",
    "3/1 herringbone 5",
    "5 satin 2",
    "8 sateen 3",
    "2/2 basket",
    "3/2 basket",
    "2/2 warp rib",
    "2/1 weft rib",
)
FAMILIES = {
    "plain",
    "twill",
    "broken twill",
    "herringbone",
    "satin",
    "sateen",
    "basket",
    "warp rib",
    "weft rib",
    "grid",
}

GROUPS = st.lists(st.integers(1, 6), min_size=1, max_size=3).flatmap(
    lambda up: st.lists(st.integers(1, 6), min_size=len(up), max_size=len(up)).map(
        lambda down: [number for pair in zip(up, down) for number in pair]
    )
)
LEGS = st.lists(st.integers(1, 12), max_size=5).map(tuple)


def picks(text: str) -> list[str]:
    """The repeat as texts of 1 and 0, pick 1 first."""
    return ["".join(map(str, row)) for row in parse_weave("weave", text).rows]


def walk(legs: tuple[int, ...], rows: int) -> list[int]:
    """Positions row by row, as a weaver counts them."""
    if not legs:
        return list(range(rows))
    out: list[int] = []
    position, leg = -1, 0
    while len(out) < rows:
        for _ in range(legs[leg % len(legs)]):
            position += -1 if leg % 2 else 1
            out.append(position)
        leg += 1
    return out[:rows]


# The catalogue fixes where a weave begins and which way it goes.
@pytest.mark.parametrize(
    ("text", "rows"),
    [
        ("plain", ["10", "01"]),
        ("2/2 twill", ["1100", "0110", "0011", "1001"]),
        ("2/2 twill left", ["1100", "1001", "0011", "0110"]),
        ("3/1 twill", ["1110", "0111", "1011", "1101"]),
        ("2/2 broken twill", ["1100", "0101", "0011", "1010"]),
        ("5 satin 2", ["01111", "11011", "11110", "10111", "11101"]),
        ("5 sateen 2", ["10000", "00100", "00001", "01000", "00010"]),
        ("2/2 basket", ["1100", "1100", "0011", "0011"]),
        ("2/2 warp rib", ["10", "10", "01", "01"]),
        ("2/2 weft rib", ["1100", "0011"]),
    ],
)
def test_repeat(text: str, rows: list[str]) -> None:
    assert picks(text) == rows


@pytest.mark.parametrize(
    ("spelled", "text"),
    [
        ("  2 / 2   TWILL ", "2/2 twill"),
        ("2/2 twill right", "2/2 twill"),
        ("left 2/2 twill", "2/2 twill left"),
        ("5 satin", "5 satin 2"),
        ("Tabby", "plain"),
        ("plain weave", "plain"),
        ("2/2 herringbone twill 8", "2/2 herringbone 8"),
    ],
)
def test_spellings_are_forgiven(spelled: str, text: str) -> None:
    assert picks(spelled) == picks(text)


@pytest.mark.parametrize("text", TEXTS)
def test_a_name_reads_back(text: str) -> None:
    weave = parse_weave("weave", text)
    assert weave.name == text
    again = parse_weave("weave", weave.name)
    assert (again.name, again.family, again.rows) == (weave.name, weave.family, weave.rows)
    assert weave.family in FAMILIES


@quick
@given(GROUPS)
def test_twill_moves_one_end_a_pick(groups: list[int]) -> None:
    text = "/".join(map(str, groups)) + " twill"
    right, left = parse_weave("weave", text), parse_weave("weave", text + " left")
    size = sum(groups)
    assert right.ends == right.picks == left.ends == left.picks == size
    pattern = [1 - place % 2 for place, count in enumerate(groups) for _ in range(count)]
    for position in range(-size, 2 * size):
        assert list(right.row(position)) == [pattern[(end - position) % size] for end in range(size)]
        assert list(left.row(position)) == [pattern[(end + position) % size] for end in range(size)]


@quick
@given(st.integers(5, 40), st.data())
def test_satin_ties_every_end_once(ends: int, data: st.DataObject) -> None:
    moves = [move for move in range(2, ends - 1) if gcd(move, ends) == 1]
    if not moves:
        with pytest.raises(WeaveError, match="no move"):
            parse_weave("weave", f"{ends} satin")
        return
    move = data.draw(st.sampled_from(moves))
    satin = parse_weave("weave", f"{ends} satin {move}")
    for pick, row in enumerate(satin.rows):
        assert row.index(0) == pick * move % ends
        assert row.count(0) == 1
    assert all(end.count(0) == 1 for end in columns(satin.rows))
    sateen = parse_weave("weave", f"{ends} sateen {move}")
    assert [[1 - cell for cell in row] for row in sateen.rows] == [list(row) for row in satin.rows]


@quick
@given(st.integers(1, 5), st.integers(2, 30))
def test_even_herringbone_cuts_clean(half: int, leg: int) -> None:
    text = f"{half}/{half}"
    weave = parse_weave("weave", f"{text} herringbone {leg}")
    straight = parse_weave("weave", f"{text} twill")
    assert weave.ends == 2 * leg
    # One way for a leg, then the other way, every end an end of the straight twill.
    order = [columns(straight.rows).index(end) for end in columns(weave.rows)]
    assert order[:leg] == [end % (2 * half) for end in range(leg)]
    assert all((this - following) % (2 * half) == 1 for this, following in zip(order[leg:], order[leg + 1 :]))
    for row in weave.rows:
        for turn in (leg, 2 * leg):
            assert row[turn - 1] != row[turn % (2 * leg)]


def longest_run(row: list[bytes]) -> int:
    """The longest run of like ends in a row that goes round."""
    size = len(row)
    runs = [
        next((run for run in range(size) if row[(end + run) % size] != row[end]), size) for end in range(size)
    ]
    return max(runs)


@quick
@given(GROUPS.filter(lambda groups: sum(groups) <= 10), st.integers(2, 40))
@example([1, 3, 1, 2], 3)  # legs far shorter than the repeat, and far longer
@example([2, 3, 1, 2], 3)
@example([1, 2, 1, 2], 17)
@example([1, 3, 1, 2], 18)
def test_no_other_cut_of_a_herringbone_has_shorter_floats(groups: list[int], leg: int) -> None:
    text = "/".join(map(str, groups))
    twill = parse_weave("weave", f"{text} twill")
    woven = parse_weave("weave", f"{text} herringbone {leg}")
    shafts = twill.ends
    longest = {}
    for jump in range(1, shafts):
        there = [end % shafts for end in range(leg)]
        back = [(leg - 1 + jump - end) % shafts for end in range(leg)]
        rows = [[row[end] for end in there + back] for row in twill.rows]
        # No cut shortens the floats of the twill itself, short legs may.
        longest[jump] = max(map(longest_run, [*rows, *map(list, twill.rows)])), rows
    fewest = min(length for length, _ in longest.values())
    nearest = min(abs(2 * jump - shafts) for jump, (length, _) in longest.items() if length == fewest)
    best = [jump for jump in longest if longest[jump][0] == fewest and abs(2 * jump - shafts) == nearest]
    # Of equally good ones the nearest to half a repeat.
    assert [list(row) for row in woven.rows] in [longest[jump][1] for jump in best]


@pytest.mark.parametrize(("weft", "warp", "text"), [(2, 2, "2/2 warp rib"), (2, 2, "2/2 weft rib")])
def test_ribs_change_twice(weft: int, warp: int, text: str) -> None:
    weave = parse_weave("weave", text)
    assert (weave.changes("weft"), weave.changes("warp")) == (weft, warp)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "names none"),
        ("2/2", "names none"),
        ("left", "names none"),
        ("velvet", "velvet is no weave"),
        ("2/2/2 twill", "up and down"),
        ("twill", "up and down"),
        ("2 twill", "up and down"),
        ("0/2 twill", "from 1 to"),
        ("2/2 twill 3", "no number follows"),
        ("2//2 twill", "must stand as 2/2"),
        ("2/2/ twill", "must stand as 2/2"),
        ("1 2 twill", "must stand as 2/2"),
        ("2/2 twill left right", "one way"),
        ("5 satin left", "only a twill"),
        ("5 satin right", "only a twill"),
        ("2/1 broken twill", "even number"),
        ("1/1 broken twill", "even number of threads, four or more"),
        ("3/2 broken twill", "even number"),
        ("2/2 broken twill 3", "no number follows"),
        ("2/2 basket 3", "no number follows"),
        ("2/2 warp rib 3", "no number follows"),
        ("2/2 weft rib 3", "no number follows"),
        ("2/2 herringbone", "ends in a leg"),
        ("2/2 herringbone 1", "ends in a leg follow its name, from 2 to 512 "),
        ("2/2 herringbone 513", "ends in a leg"),
        ("40/40 herringbone 8", "shafts"),
        ("6 satin", "no move makes a satin of 6 ends"),
        ("4 satin 2", "no move"),
        ("7 satin 1", "one of the moves 2, 3, 4, 5"),
        ("8 satin 2", "one of the moves 3, 5"),
        ("13 satin 1", r"one of the moves 2, 3, 4, 5, 6, 7, 8, 9, 10, 11 \("),
        ("29 satin 1", r"one of the moves 2, 3 … 27 \("),
        ("satin", "its ends stand before"),
        ("5 satin 2/3", "its ends stand before"),
        ("2 plain", "takes no number"),
        ("1000/1000 twill", "at most 1024 threads"),
        ("9999999999999999/2 twill", "from 1 to 1024"),
        ("2.5/2 twill", "has no meaning"),
        ("²/2 twill", "has no meaning"),
        ("2/2 twill" + " " * 500, "at most 200 characters"),
    ],
)
def test_bad_texts_say_why(text: str, reason: str) -> None:
    with pytest.raises(WeaveError, match=reason):
        parse_weave("weave", text)


@pytest.mark.parametrize(
    ("text", "ends"),
    [
        ("512/512 twill", 1024),
        ("1024 sateen 3", 1024),
        ("2/2 herringbone 512", 1024),
        ("20/20 herringbone 8", 16),
        ("2/2 twill".ljust(200), 4),
        ("10" * 16383 + "1", 32767),
    ],
)
def test_the_largest_that_is_read(text: str, ends: int) -> None:
    assert parse_weave("weave", text).ends == ends


def test_a_drawn_text_is_a_grid_without_a_name() -> None:
    weave = parse_weave("weave", "1100 0110")
    assert (weave.name, weave.family) == ("", "grid")


@pytest.mark.parametrize("value", [7, 1.5, None, True, [], (), {}, [1, 0], ["10", "01"], object()])
def test_what_is_neither_text_nor_grid_is_refused(value: object) -> None:
    with pytest.raises(WeaveError):
        parse_weave("weave", value)


GRID = [[1, 0, 1], [0, 1, 1]]


@pytest.mark.parametrize(
    "value",
    [
        GRID,
        tuple(map(tuple, GRID)),
        [[1.0, 0.0, 1.0], [0.0, 1.0, 1.0]],
        [[True, False, True], [False, True, True]],
        (b"\x01\x00\x01", b"\x00\x01\x01"),
        [bytearray(row) for row in GRID],
        np.array(GRID),
        np.array(GRID, dtype=float),
        np.array(GRID, dtype=bool),
        np.array(GRID, dtype=object),
        np.asfortranarray(GRID),
        [np.array(row) for row in GRID],
        [np.array(row, dtype=float) for row in GRID],
        pd.DataFrame(GRID),
        pd.DataFrame(GRID, index=[5, 3], columns=list("abc")),
    ],
)
def test_a_grid_may_come_in_any_form(value: object) -> None:
    assert parse_grid("grid", value) == (b"\x01\x00\x01", b"\x00\x01\x01")
    weave = parse_weave("cloth", value)
    assert (weave.name, weave.family, weave.ends, weave.picks) == ("", "grid", 3, 2)


class Liar:
    """What calls itself a 1 and is counted as a 2."""

    def __index__(self) -> int:
        return 2

    def __eq__(self, other: object) -> bool:
        return other == 1

    def __hash__(self) -> int:
        return hash(1)


@pytest.mark.parametrize(
    ("value", "reason"),
    [
        ([], "rows of cells"),
        ([[Liar()]], "a grid of 1 and 0; got"),
        ([[]], "empty"),
        ([[], []], "empty"),
        (np.zeros((0, 3)), "empty"),
        (np.zeros((3, 0)), "empty"),
        ([[1, 0], [1]], "one length; got '1 cells in row 2, 2 in row 1'"),
        ([[1], []], "one length"),
        ([[1, 2]], "row 1, column 2"),
        ([[1, 0], [0, -1]], "row 2, column 2"),
        ([[1, 300]], "row 1, column 2"),
        ([[0.5, 1]], "row 1, column 1"),
        ([[1, float("nan")]], "row 1, column 2"),
        ([["1", 0]], "row 1, column 1"),
        ([[None, 1]], "row 1, column 1"),
        ([[1, [0]]], "row 1, column 2"),
        ([1, 0], "row 1 is no row"),
        (["10"], "row 1 is no row"),
        ("1100", "rows of cells"),
        (np.array([1, 0]), "rows of cells"),
        (np.array([[1, 2]]), "row 1, column 2"),
        (np.array([[0, 2]]), "row 1, column 2"),
        (np.array([[1, np.nan]]), "row 1, column 2"),
        (np.array([[1, 0]], dtype=complex) + 1j, "row 1, column 1"),
        (pd.DataFrame([[1, "a"]]), "row 1, column 2"),
        ([b"\x01\x02"], "row 1, column 2"),
        ([[0] * 2001] * 2000, f"at most {MOST_CELLS:,} cells; got '2001 ends by 2000 picks'"),
        (np.zeros((2001, 2000), dtype="uint8"), f"at most {MOST_CELLS:,} cells"),
    ],
)
def test_bad_grids_say_where(value: object, reason: str) -> None:
    with pytest.raises(WeaveError, match=reason) as caught:
        parse_grid("grid", value)
    assert caught.value.argument == "grid"
    assert (caught.value.received is None) == (isinstance(value, list) and value[:1] == [[None, 1]])


def test_the_largest_grid() -> None:
    assert len(parse_grid("grid", [b"\x00" * (MOST_CELLS // 4)] * 4)) == 4


def test_a_grid_row_is_never_read_as_raw_memory() -> None:
    # bytes(array) would be the array's memory, eight cells for each one.
    assert parse_grid("grid", [np.array([1, 0], dtype="int64")]) == (b"\x01\x00",)


@quick
@given(st.integers(1, 8), st.integers(1, 8), st.data())
def test_changes_against_counting(ends: int, picks_: int, data: st.DataObject) -> None:
    cells = st.lists(st.integers(0, 1), min_size=ends, max_size=ends)
    grid = data.draw(st.lists(cells, min_size=picks_, max_size=picks_))
    weave = Weave("", "grid", parse_grid("grid", grid))
    weft = [sum(row[end] != row[end - 1] for end in range(ends)) for row in grid]
    warp = [sum(grid[pick][end] != grid[pick - 1][end] for pick in range(picks_)) for end in range(ends)]
    for system, each, length in (("weft", weft, ends), ("warp", warp, picks_)):
        assert weave.changes(system) == pytest.approx(sum(each) / len(each))
        if min(each):
            assert weave.average_float(system) == pytest.approx(length * len(each) / sum(each))
        else:
            with pytest.raises(WeaveError, match="changes sides"):
                weave.average_float(system)


# Reversals


@pytest.mark.parametrize(
    ("value", "legs"),
    [
        ("", ()),
        ("  ", ()),
        ("9,9", (9, 9)),
        ("9, 5", (9, 5)),
        ("9;5", (9, 5)),
        ("9 5 3", (9, 5, 3)),
        ("9", (9,)),
        (9, (9,)),
        (9.0, (9,)),
        (np.float64(9), (9,)),
        (np.int64(9), (9,)),
        (999, (999,)),
        ("100100", (100_100,)),
        ("1000000", (1_000_000,)),
    ],
)
def test_reversals(value: object, legs: tuple[int, ...]) -> None:
    assert parse_reversals("reversals", value) == legs


@pytest.mark.parametrize("value", [9.9, "9.9", np.float64(9.5), 100_100, 1000, 9.009e3])
def test_what_a_spreadsheet_may_have_made_of_two_legs_hints_at_it(value: object) -> None:
    with pytest.raises(WeaveError, match="9 9 with a space"):
        parse_reversals("reversals", value)


@pytest.mark.parametrize(
    "value",
    ["9,,9", "9,", ",9", "0", "9,0", 0, -3, "-3", "x", "9,x", "1000001", "9" * 5000, True, None, [9, 9], "²",
     "1," * 1000 + "1", float("nan"), float("inf")],
)  # fmt: skip
def test_bad_reversals(value: object) -> None:
    with pytest.raises(WeaveError) as caught:
        parse_reversals("reversals", value)
    assert caught.value.argument == "reversals"


@pytest.mark.parametrize(
    ("value", "told"),
    [
        ("9,,9", "rows each way, such as 9,9, a number on both sides of a comma; got '9,,9'"),
        (" ,9", "a number on both sides of a comma; got ' ,9'"),
        (",", "a number on both sides of a comma; got ','"),
        ("9,x", "rows each way, such as 9,9, whole numbers; got '9,x'"),
        ("9.5,9", "whole numbers (a spreadsheet may have turned 9,9 into the number 9.9"),
        (9.4, "whole numbers (a spreadsheet may have turned 9,9 into the number 9.9"),
        ("9,0", "rows each way, such as 9,9, each from 1 to 1,000,000; got '9,0'"),
        (100_100, "a text or a number below 1000 (a spreadsheet may have turned 9,9 into the number 9.9, or"),
        ("1000001", "each from 1 to 1,000,000; got '1000001'"),
        (True, "rows each way, such as 9,9; got True"),
        ("1 " * 1001, "rows each way, such as 9,9, at most 1000 legs; got '1 1 "),
        ("9" + " " * 8000, "rows each way, such as 9,9, in at most 8000 characters; got '9 '"),
    ],
    ids=lambda value: repr(value)[:20],
)
def test_what_is_wrong_with_reversals_is_told(value: object, told: str) -> None:
    with pytest.raises(WeaveError) as caught:
        parse_reversals("rows", value)
    assert told in str(caught.value)
    assert caught.value.argument == "rows"
    assert caught.value.received == value


def test_the_most_legs_and_the_longest_text_are_taken() -> None:
    assert parse_reversals("rows", "1 " * 1000) == (1,) * 1000
    assert parse_reversals("rows", "9" + " " * 7999) == (9,)
    assert parse_reversals("rows", "00000000009") == (9,)


def test_the_most_picks_of_a_grid_are_taken() -> None:
    assert len(parse_grid("grid", [b"\x01"] * 250_000)) == 250_000
    with pytest.raises(WeaveError, match="at most 250,000 picks"):
        parse_grid("grid", [b"\x01"] * 250_001)


def test_position_as_the_catalogue_fixes_it() -> None:
    legs = parse_reversals("reversals", "9,9")
    assert [position_of(legs, row) for row in range(1, 20)] == [*range(9), *range(7, -2, -1), 0]


@quick
@given(LEGS, st.integers(1, 200))
def test_position_against_walking(legs: tuple[int, ...], rows: int) -> None:
    walked = walk(legs, rows)
    assert [position_of(legs, row) for row in range(1, rows + 1)] == walked
    assert [
        first + way * row for first, way, length in stretches(legs, rows) for row in range(length)
    ] == walked


@quick
@given(LEGS, st.integers(0, 200), st.one_of(st.integers(1, 15), st.integers(16, 400)))
@example((2, 5, 8, 1), 70, 400)  # it goes further down at first than ever again
def test_visited_and_period_against_walking(legs: tuple[int, ...], rows: int, repeat: int) -> None:
    back = period(legs, repeat)
    long = [position % repeat for position in walk(legs, 2 * back)]
    assert long[:back] == long[back:]
    stood = {position % repeat for position in (walk(legs, rows) if rows else long)}
    found = visited(legs, rows, repeat)
    assert len(found) <= repeat
    assert {position % repeat for position in found} == stood


def test_far_rows_are_found_by_arithmetic() -> None:
    # 9 up and 5 down climb 4 in every 14 rows.
    assert position_of((9, 5), 1 + 14 * 10**12) == 4 * 10**12
    # An odd number of legs is gone through twice, and then stands where it began.
    assert position_of((999_999, 3, 7), 1 + 2 * 1_000_009 * 10**9) == 0


@quick
@given(st.binary(min_size=1, max_size=9), st.integers(-50, 50), st.sampled_from([1, -1]), st.integers(0, 40))
def test_taken_against_indexing(repeat: bytes, first: int, way: int, rows: int) -> None:
    assert list(taken(repeat, first, way, rows)) == [
        repeat[(first + way * row) % len(repeat)] for row in range(rows)
    ]
