"""Chevrons: rows, positions, turns, legs that fit."""

from __future__ import annotations

import math
import re

import numpy as np
import pandas as pd
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs.registry import declared
from weavefuncs.shared.sources import SOURCES

quick = settings(deadline=None, derandomize=True, max_examples=150)

FUNCTIONS = declared("chevron")

# One call of each function that works.
GOOD = {
    "chevron_rows": (9, 4, True),
    "chevron_rows_left": (14, 9),
    "chevron_position": (10, 9),
    "reversal_rows": (9, 30),
    "chevron_fit": (5, 12, 9, True),
    "chevron_rows_for": (5, 12, 6),
    "chevron_height": (9, 12),
    "point_ends": (4, 3),
}

NUMBERS = [
    (name, position, parameter)
    for name, function in FUNCTIONS.items()
    for position, parameter in enumerate(function.parameters)
    if parameter.kind in ("number", "whole")
]
IDS = [f"{name}-{parameter.name}" for name, _, parameter in NUMBERS]

ROWS_UP = st.integers(1, 40)
SETTS = st.floats(0.5, 60)


def with_argument(name: str, position: int, value: object) -> list[object]:
    arguments: list[object] = list(GOOD[name])
    arguments[position] = value
    return arguments


def walked(rows_up: int, rows: int) -> tuple[list[int], list[int]]:
    """Walk a chevron row by row: the position of each row, and the rows after which it turned."""
    positions, turns, step = [0], [], 1
    for woven in range(1, rows):
        if woven % rows_up == 0:
            turns.append(woven)
            step = -step
        positions.append(positions[-1] + step)
    return positions, turns


# Every function: what it refuses, what it does with blanks and with columns


def test_every_function_has_a_good_call() -> None:
    assert list(GOOD) == list(FUNCTIONS)
    for name, arguments in GOOD.items():
        assert len(arguments) == len(FUNCTIONS[name].parameters)
        getattr(wf, name)(*arguments)


@pytest.mark.parametrize(
    "value", [math.nan, math.inf, -1, -0.001, 1e12, True, "9", "9,9", "", pytest.param(10**400, id="huge")]
)
@pytest.mark.parametrize(("name", "position", "parameter"), NUMBERS, ids=IDS)
def test_nonsense_is_refused_by_name(name: str, position: int, parameter: object, value: object) -> None:
    with pytest.raises(wf.WeaveError) as caught:
        getattr(wf, name)(*with_argument(name, position, value))
    assert caught.value.argument == parameter.name
    assert caught.value.function == name


@pytest.mark.parametrize(("name", "position", "parameter"), NUMBERS, ids=IDS)
def test_blank_and_zero(name: str, position: int, parameter: object) -> None:
    function = getattr(wf, name)
    if parameter.required:
        with pytest.raises(wf.WeaveError, match="nothing was given"):
            function(*with_argument(name, position, None))
    else:
        given_default = function(*with_argument(name, position, parameter.default))
        assert function(*with_argument(name, position, None)) == given_default
    if parameter.name == "rows_woven":
        assert function(*with_argument(name, position, 0)) == 0
    else:
        with pytest.raises(wf.WeaveError):
            function(*with_argument(name, position, 0))


@pytest.mark.parametrize("name", ["chevron_rows", "chevron_fit"])
def test_symmetrical_is_true_or_false(name: str) -> None:
    function, arguments = getattr(wf, name), GOOD[name][:-1]
    assert function(*arguments, 1) == function(*arguments, True)
    assert function(*arguments, 0) == function(*arguments, False)
    assert function(*arguments, np.bool_(True)) == function(*arguments, True)
    assert function(*arguments, True) != function(*arguments, False)
    for value in (2, "yes", math.nan):
        with pytest.raises(wf.WeaveError, match="true or false"):
            function(*arguments, value)


@pytest.mark.parametrize(("name", "position", "parameter"), NUMBERS, ids=IDS)
def test_columns_agree_with_single_calls(name: str, position: int, parameter: object) -> None:
    function = getattr(wf, name)
    value = GOOD[name][position]
    column = [value, value * 2, value]
    if name == "chevron_fit" and parameter.name == "rows_up":
        column[1] = value - 1

    def call(given: object) -> object:
        return function(*with_argument(name, position, given))

    singly = [call(item) for item in column]
    assert call(column) == singly
    array = call(np.array(column))
    assert isinstance(array, np.ndarray)
    assert array.tolist() == singly
    series = call(pd.Series(column, index=["a", "b", "c"]))
    assert list(series.index) == ["a", "b", "c"]
    assert series.tolist() == singly
    if FUNCTIONS[name].result_kind == "whole":
        assert array.dtype.kind == "i"
        assert all(type(item) is int for item in singly)
    with pytest.raises(wf.WeaveError, match="in row 2") as caught:
        call([value, math.nan, value])
    assert caught.value.argument == parameter.name


@pytest.mark.parametrize(
    ("name", "position"),
    [(name, position) for name, position, parameter in NUMBERS if parameter.kind == "whole"],
)
def test_whole_arguments_forgive_only_dust(name: str, position: int) -> None:
    function, value = getattr(wf, name), GOOD[name][position]
    assert function(*with_argument(name, position, value * (1 + 1e-13))) == function(*GOOD[name])
    with pytest.raises(wf.WeaveError, match="whole number"):
        function(*with_argument(name, position, value + 0.5))


@pytest.mark.parametrize("name", FUNCTIONS)
def test_sources_are_in_the_bibliography(name: str) -> None:
    lines = " ".join(FUNCTIONS[name].docstring.sections["References"])
    keys = [part.partition("]")[0] for part in lines.split("[")[1:]]
    assert keys
    assert set(keys) <= set(SOURCES)


# Positions and turns


@quick
@given(ROWS_UP, st.integers(1, 200))
@example(1, 5)
def test_positions_and_turns_as_walked_row_by_row(rows_up: int, rows: int) -> None:
    positions, turns = walked(rows_up, rows)
    assert [wf.chevron_position(number, rows_up) for number in range(1, rows + 1)] == positions
    assert wf.chevron_position(np.arange(1, rows + 1), rows_up).tolist() == positions
    assert wf.reversal_rows(rows_up, rows) == (", ".join(map(str, turns)) or "none")


@quick
@given(st.integers(1, 24), st.integers(1, 120), st.integers(4, 21))
def test_position_is_the_row_of_the_twill_that_pick_code_writes(rows_up: int, pick: int, ends: int) -> None:
    # A 2/2 twill repeats on four picks: pick 1 stands at position 0.
    position = wf.chevron_position(pick, rows_up)
    straight = wf.pick_code("2/2 twill", ends, position % 4 + 1)
    assert wf.pick_code("2/2 twill", ends, pick, f"{rows_up},{rows_up}") == straight


def test_turns_fit_into_one_cell() -> None:
    assert len(wf.reversal_rows(3333, 10_000_000)) < 32_767
    with pytest.raises(wf.WeaveError, match="at most 3000 turns, not 9999999"):
        wf.reversal_rows(1, 10_000_000)


# Rows of a piece


@quick
@given(ROWS_UP, st.integers(1, 12))
def test_a_symmetrical_piece_ends_as_it_began(rows_up: int, pairs: int) -> None:
    rows = wf.chevron_rows(rows_up, 2 * pairs, True)
    positions, _ = walked(rows_up, rows)
    assert positions == positions[::-1]
    seamless = wf.chevron_rows(rows_up, 2 * pairs)
    assert seamless == rows + 1
    assert wf.chevron_position(seamless + 1, rows_up) == wf.chevron_position(1, rows_up)


def test_an_odd_number_of_legs() -> None:
    assert wf.chevron_rows(9, 3) == 27
    assert wf.chevron_rows(9, 1) == 9
    assert wf.chevron_rows(9) == 18
    for legs in (1, 3):
        with pytest.raises(
            wf.WeaveError, match=f"legs must be even where the piece is symmetrical; got {legs}"
        ):
            wf.chevron_rows(9, legs, True)
    with pytest.raises(wf.WeaveError, match="at most 10,000,000 rows, not 10,000,002"):
        wf.chevron_rows(5_000_001, 2)
    assert wf.chevron_rows(5_000_000, 2) == 10_000_000


@quick
@given(st.integers(0, 500), ROWS_UP)
def test_rows_left_make_the_leg_whole(woven: int, rows_up: int) -> None:
    left = wf.chevron_rows_left(woven, rows_up)
    assert 0 <= left < rows_up
    assert (woven + left) % rows_up == 0


# Legs in a length

FIT = re.compile(
    r"(\d+) legs of (\d+) rows?: (\d+) rows?, length ([\d.]+); left over ([\d.]+) \((\d+) rows?\)"
)


@quick
@given(st.integers(1, 4000), st.integers(1, 40), ROWS_UP, st.booleans())
@example(18 * 10, 10, 9, False)
@example(17 * 10, 10, 9, True)
def test_fit_is_the_most_legs(tenths: int, sett: int, rows_up: int, symmetrical: bool) -> None:
    length = tenths / 10
    held = tenths * sett // 10
    step = 2 if symmetrical else 1
    choices = [
        legs for legs in range(2, held + 3, step) if wf.chevron_rows(rows_up, legs, symmetrical) <= held
    ]
    if not choices:
        with pytest.raises(wf.WeaveError, match="enough for two legs") as caught:
            wf.chevron_fit(length, sett, rows_up, symmetrical)
        assert caught.value.argument == "length"
        return
    text = wf.chevron_fit(length, sett, rows_up, symmetrical)
    found = FIT.fullmatch(text)
    assert found, text
    legs, each, rows, left_rows = (int(found[group]) for group in (1, 2, 3, 6))
    assert (legs, each) == (choices[-1], rows_up)
    assert rows == wf.chevron_rows(rows_up, legs, symmetrical)
    assert rows + left_rows == held
    assert float(found[4]) == pytest.approx(rows / sett, abs=0.0006)
    assert float(found[4]) + float(found[5]) == pytest.approx(length, abs=0.0011)


@quick
@given(st.integers(1, 100), ROWS_UP, SETTS)
def test_a_length_that_just_holds_its_legs(pairs: int, rows_up: int, sett: float) -> None:
    rows = wf.chevron_rows(rows_up, 2 * pairs, True)
    text = wf.chevron_fit(rows / sett, sett, rows_up)
    assert text.startswith(f"{2 * pairs} legs of ")
    assert text.endswith("left over 0 (0 rows)")


def test_fit_in_words() -> None:
    # 5 in at 12: 60 rows hold 6 legs of 9 less one row; 53/12 = 4.4166…, 7 rows remain.
    assert wf.chevron_fit(5, 12, 9) == "6 legs of 9 rows: 53 rows, length 4.417; left over 0.583 (7 rows)"
    assert wf.chevron_fit(2, 1, 1) == "2 legs of 1 row: 1 row, length 1; left over 1 (1 row)"
    with pytest.raises(wf.WeaveError, match=r"enough for two legs, 17 rows \(it holds 16\); got 16"):
        wf.chevron_fit(16, 1, 9)
    with pytest.raises(wf.WeaveError, match=r"enough for two legs, 18 rows \(it holds 17\)"):
        wf.chevron_fit(17, 1, 9, False)
    with pytest.raises(wf.WeaveError, match="at most 10,000,000 rows, not 20,000,000,000; got 1000000000"):
        wf.chevron_fit(1e9, 20, 9)
    assert wf.chevron_fit(10_000_000, 1, 5_000_000, False).startswith("2 legs of 5000000 rows: 10000000 rows")


@quick
@given(st.floats(1, 100), SETTS, st.integers(1, 12))
def test_rows_for_come_nearest(length: float, sett: float, legs: int) -> None:
    wanted = length * sett
    if wanted / legs < 0.5:
        with pytest.raises(wf.WeaveError, match="few enough for a row each"):
            wf.chevron_rows_for(length, sett, legs)
        return
    rows_up = wf.chevron_rows_for(length, sett, legs)
    off = abs(legs * rows_up - wanted)
    for other in (rows_up - 1, rows_up + 1):
        assert off <= abs(legs * other - wanted) + 1e-9 * wanted


def test_rows_for_at_its_edges() -> None:
    assert wf.chevron_rows_for(1, 15, 2) == 8
    assert wf.chevron_rows_for(0.5, 1, 1) == 1
    with pytest.raises(wf.WeaveError, match=r"the length holds 0\.49 a leg; got 1"):
        wf.chevron_rows_for(0.49, 1, 1)
    with pytest.raises(wf.WeaveError, match="at most 10,000,000 rows, not 10,000,000,000; got 1000000000"):
        wf.chevron_rows_for(1e9, 10, 1)
    assert wf.chevron_rows_for(10_000_000, 1, 1) == 10_000_000


@quick
@given(ROWS_UP, SETTS, st.integers(1, 12))
def test_height_and_rows_for_are_inverse(rows_up: int, sett: float, legs: int) -> None:
    height = wf.chevron_height(rows_up, sett)
    assert height * sett == pytest.approx(rows_up)
    assert wf.chevron_rows_for(height * legs, sett, legs) == rows_up


# Across the warp


@quick
@given(st.integers(2, 30), st.integers(1, 20))
def test_point_ends_of_a_threading_written_out(ends_per_leg: int, points: int) -> None:
    up = list(range(1, ends_per_leg + 1))
    threading = list(up)
    for leg in range(points):
        # Each leg after the first begins on the end at which the last one stopped.
        threading += (up[::-1] if leg % 2 == 0 else up)[1:]
    assert wf.point_ends(ends_per_leg, points) == len(threading)
    turning = [
        number
        for number in range(1, len(threading) - 1)
        if (threading[number] - threading[number - 1]) != (threading[number + 1] - threading[number])
    ]
    assert len(turning) == points


def test_point_ends_beyond_all_looms() -> None:
    with pytest.raises(wf.WeaveError, match="at most 1,000,000 ends, not 1,999,999"):
        wf.point_ends(1_000_000, 1)
    assert wf.point_ends(333_334, 2) == 1_000_000  # three legs that share their two points
    with pytest.raises(wf.WeaveError, match="at least 2"):
        wf.point_ends(1, 1)
