"""Arguments good and bad, for every function: only results and WeaveError come out; in cells a reason too.

A few seeded calls each; tests/trust makes as many as one has time for. Below stand the arguments that once
broke something, and texts that reach every way through the parsers.
"""

from __future__ import annotations

import json
import sys
import tracemalloc
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import weavefuncs
from weavefuncs import registry
from weavefuncs.addin import cells
from weavefuncs.errors import WeaveError

sys.path.insert(0, str(Path(__file__).parent / "trust"))
import fuzz_calls
import fuzz_parsers
import hostile

CALLS = 25
CORPUS: dict[str, list[str]] = json.loads((Path(__file__).parent / "corpus_parsers.json").read_text())
MEBIBYTES = 1 << 20

quick = settings(
    deadline=None, derandomize=True, max_examples=15, suppress_health_check=[HealthCheck.too_slow]
)

SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.complex_numbers(),
    st.decimals(),
    st.fractions(),
    st.text(max_size=20),
    st.binary(max_size=8),
    st.dates(),
    # By their places: hypothesis writes out what it draws, and not all of these can be.
    st.integers(0, len(hostile.EDGE_NUMBERS) - 1).map(lambda place: hostile.EDGE_NUMBERS[place]),
    st.integers(0, len(hostile.ODD_TEXTS) - 1).map(lambda place: hostile.ODD_TEXTS[place]),
)
ANYTHING = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=4) | st.tuples(inner) | st.dictionaries(st.integers(), inner, max_size=2)
    ),
    max_leaves=12,
)


@pytest.mark.parametrize("name", registry.names())
def test_only_results_and_weave_errors_come_out(name: str) -> None:
    function = registry.get(name)
    source = Random(f"test:{name}")
    for number in range(CALLS):
        arguments, named = fuzz_calls.drawn(source, function, number)
        if number % fuzz_calls.CELLS_EVERY:
            wrong = fuzz_calls.called(function, arguments, named)
        else:
            wrong = fuzz_calls.asked(function, arguments)
        assert not wrong, fuzz_calls.written(arguments)


@pytest.mark.parametrize("name", registry.names())
def test_nests_of_anything_are_refused_or_taken(name: str) -> None:
    function = registry.get(name)
    most = 6 if function.variadic else len(function.parameters)

    @quick
    @given(st.lists(ANYTHING, max_size=most))
    def call(values: list[Any]) -> None:
        assert not fuzz_calls.called(function, values, {})

    call()


# Texts


@pytest.mark.parametrize("kind", CORPUS)
def test_a_text_is_read_or_refused(kind: str) -> None:
    read = fuzz_parsers.reader(kind)
    refused = [error for text in CORPUS[kind] if (error := _refusal(read, text))]
    assert all("must be" in str(error) and "\n" not in str(error) for error in refused)
    # A cell's text is refused nowhere as a number, it is a text then; colours have no word that is wrong.
    assert 0 < len(refused) < len(CORPUS[kind]) or kind in ("number in a cell", "colour words")


@pytest.mark.parametrize("kind", fuzz_parsers.PARSERS)
@pytest.mark.parametrize("piece", fuzz_parsers.PIECES)
def test_a_text_twice_as_long_takes_hardly_more_than_twice_the_steps(kind: str, piece: str) -> None:
    read = fuzz_parsers.reader(kind)
    steps = [_steps(read, piece * (length // len(piece))) for length in (40, 80, 160, 320)]
    assert all(after <= 2.5 * before + 200 for before, after in zip(steps, steps[1:])), steps


def _refusal(read: Any, text: str) -> WeaveError | None:
    try:
        read(text)
    except WeaveError as error:
        return error
    return None


def _steps(read: Any, text: str) -> int:
    """Count the lines that are run to read a text."""
    lines = 0

    def watch(frame: Any, event: str, _: Any) -> Any:
        nonlocal lines
        lines += event == "line"
        return watch

    before = sys.gettrace()
    sys.settrace(watch)
    try:
        read(text)
    except WeaveError:
        pass
    finally:
        sys.settrace(before)
    return lines


@pytest.mark.parametrize("kind", ["yarn", "yarn system", "weave", "reversals", "sley order", "colour order"])
@pytest.mark.parametrize("huge", hostile.HUGE_TEXTS)
def test_a_text_of_a_million_characters_is_refused_unread(kind: str, huge: Any) -> None:
    text = huge()
    with pytest.raises(WeaveError, match=r"in at most [0-9]+ characters"):
        fuzz_parsers.reader(kind)(text)


# What once broke something


def test_very_many_short_rows_are_refused() -> None:
    with pytest.raises(WeaveError, match="picks"):
        weavefuncs.drawdown("plain", 1, 4_000_000)
    with pytest.raises(WeaveError, match="at most 250,000 picks"):
        weavefuncs.shafts_needed([b"\x01"] * 250_001)


@pytest.mark.parametrize(("ends", "picks"), [(1, 250_000), (2000, 2000), (4_000_000 // 511, 511)])
def test_the_largest_drawings_stay_below_200_mebibytes(ends: int, picks: int) -> None:
    drawdown = registry.get("drawdown")
    tracemalloc.start()
    try:
        cells._cells(drawdown, drawdown.call(("511 satin 2", ends, picks), {}))
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < 200 * MEBIBYTES


def test_one_pick_of_a_long_repeat_takes_no_room_for_the_others() -> None:
    tracemalloc.start()
    try:
        weavefuncs.drawdown("511 satin 2", 400_000, 1)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < 20 * MEBIBYTES


def test_more_floats_than_fit_into_memory_are_refused() -> None:
    with pytest.raises(WeaveError, match="at most 250,000 floats"):
        weavefuncs.floats_over([bytes([1, 1, 0, 0] * 250)] * 1000, 1)


def test_infinity_in_a_table_is_refused() -> None:
    with pytest.raises(WeaveError, match="within the range of ordinary numbers"):
        weavefuncs.plain_cloth(10000, "10 lea", 5e-324, "10 cut")
    with pytest.raises(WeaveError, match="within the range of ordinary numbers"):
        weavefuncs.floats_over([[1, 1, 0]], 1, sett=5e-324)
    assert cells.evaluate("WEAVE.PLAINCLOTH", [10000.0, "10 lea", 5e-324, "10 cut"]) == cells.CellError()


@pytest.mark.parametrize(
    "sley", [np.array([0, 1]), pd.Series(["12"]), pd.Index([0, 1]), hostile.Awkward(), {}]
)
def test_a_sley_that_cannot_be_compared_is_refused(sley: object) -> None:
    with pytest.raises(WeaveError, match="ends in each dent"):
        weavefuncs.fit_piece(10, 10, "plain", 10, 10, sley=sley)


@pytest.mark.parametrize("dents", [1e-9, 5e-324])
def test_a_reed_far_too_coarse_is_refused_without_trying_every_order(dents: float) -> None:
    with pytest.raises(WeaveError, match=r"sett must be from .* to be sleyed in"):
        weavefuncs.fit_piece(10, 10, "plain", dents, 10)


def test_a_frame_far_too_short_is_named_without_drawing_up_every_length() -> None:
    with pytest.raises(WeaveError, match="frame_length must be at least"):
        weavefuncs.fit_piece(10, 1e6, "plain", 10, 10, frame_length=1, length_tolerance=0.5)


def test_a_stash_that_covers_few_of_many_plans_does_not_have_all_of_them_compared() -> None:
    tolerances = {"width_tolerance": 0.5, "length_tolerance": 0.5}
    plans = weavefuncs.fit_piece(1000, 1000, "2/2 twill", 10, 10, warp_free=5e6, weft_free=3e6, **tolerances)
    assert len(plans) == 5
    assert all(plan[3] == "covers it" for plan in plans[:1])


def test_a_search_without_end_is_ended() -> None:
    # Only ends 500 and 501 of these are caught at the edge, and the stash never covers as many.
    grid = [[1, *[1] * 498, 1], [0, *[1] * 498, 0]]
    tolerances = {"width_tolerance": 0.5, "length_tolerance": 0.5, "sett_tolerance": 0.01}
    with pytest.raises(WeaveError, match="narrower, or another tolerance, or fewer plans"):
        weavefuncs.fit_piece(20, 1000, grid, 25, 25, 10, warp_free=1e9, weft_free=99_000, **tolerances)


def test_a_cloth_of_very_many_turns_is_not_gone_through_turn_by_turn() -> None:
    legs = "1,2,3,4,5,1,2,3,4,5,6,1,2,3,4,5,6,6,7,8,9,10"
    steps = _steps(lambda weave: weavefuncs.longest_turn_float(weave, 23, 10_000_000, legs), "1000/1 twill")
    assert steps < 1_500_000


def test_stripes_of_a_given_number_of_ends_do_not_ask_for_the_sett() -> None:
    widths, colours = [0.4, 0.1, 24.6], ["red", "grey", "navy"]
    assert weavefuncs.stripe_ends(widths, colours, 5e-324, 51) == weavefuncs.stripe_ends(
        widths, colours, 8, 51
    )
