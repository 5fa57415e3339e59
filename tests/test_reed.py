"""The reed: sley orders, widths, reed counts, heddles."""

from __future__ import annotations

import datetime
from fractions import Fraction

import numpy as np
import pandas as pd
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs.registry import declared
from weavefuncs.shared.reeds import COMMON_REEDS_PER_10_CM, COMMON_REEDS_PER_INCH, REED_SYSTEMS
from weavefuncs.shared.sources import SOURCES

quick = settings(deadline=None, derandomize=True, max_examples=150)

DENTS = st.sampled_from(COMMON_REEDS_PER_INCH)
RATIOS = st.floats(1 / 6, 12)
ORDERS = st.lists(st.integers(0, 6), min_size=1, max_size=8).filter(any)

# Every ratio of ends to dents that an order of at most a dozen dents can give.
REACHABLE = sorted({Fraction(ends, dents) for dents in range(1, 13) for ends in range(1, 12 * dents + 1)})


def text(order: list[int]) -> str:
    return "-".join(map(str, order))


def dents_by_hand(ends: int, order: list[int]) -> int:
    placed = dents = 0
    while placed < ends:
        placed += order[dents % len(order)]
        dents += 1
    return dents


# Sley orders


@pytest.mark.parametrize(
    ("sett", "dents", "order"),
    [
        (12, 12, "1"),
        (24, 12, "2"),
        (15, 12, "1-1-1-2"),
        (16, 12, "1-1-2"),
        (18, 12, "1-2"),
        (20, 12, "1-2-2"),
        (20, 8, "2-3"),
        (18, 10, "1-2-2-2-2"),
        (16, 10, "1-2-1-2-2"),
        (6, 12, "0-1"),
        (4, 12, "0-0-1"),
        (8, 12, "0-1-1"),
        (2, 12, "0-0-0-0-0-1"),
        (144, 12, "12"),
    ],
)
def test_orders_that_weavers_write(sett: float, dents: float, order: str) -> None:
    # The sett is ends / dents x reed (arithmetic); small numbers first is common practice.
    assert wf.sley_order(sett, dents) == order


@quick
@given(RATIOS, DENTS)
@example(1 / 6, 12)
@example(12.0, 12)
def test_an_order_is_within_one_percent_wherever_a_dozen_dents_can_be(ratio: float, dents: int) -> None:
    sett = ratio * dents
    off = abs(wf.sleyed_sett(wf.sley_order(sett, dents), dents) / sett - 1)
    least = min(abs(float(reachable) / ratio - 1) for reachable in REACHABLE)
    assert off <= max(0.01, least) + 1e-8


def test_the_widest_gaps_are_those_that_the_notes_state() -> None:
    within = [reachable for reachable in REACHABLE if reachable >= Fraction(1, 6)]
    gaps = {(b - a) / (a + b): (a, b) for a, b in zip(within, within[1:], strict=False)}
    assert gaps[max(gaps)] == (Fraction(2, 9), Fraction(1, 4))
    assert float(max(gaps)) == pytest.approx(0.059, abs=0.0005)
    assert max(gap for gap, (low, _) in gaps.items() if low >= 1) == Fraction(4, 100)


@quick
@given(RATIOS)
@example(1.0417)
def test_no_shorter_order_would_do(ratio: float) -> None:
    order = wf.sley_order(ratio * 10, 10).split("-")
    off = abs(sum(map(int, order)) / len(order) / ratio - 1)
    for dents in range(1, len(order)):
        for ends in (int(ratio * dents), int(ratio * dents) + 1):
            other = abs(ends / dents / ratio - 1)
            assert other > 0.01
            assert other > off


@quick
@given(RATIOS)
def test_ends_are_spread_as_evenly_as_can_be_small_numbers_first(ratio: float) -> None:
    order = [int(part) for part in wf.sley_order(ratio * 10, 10).split("-")]
    size = len(order)
    for length in range(1, size):  # any two stretches of as many dents differ by one end at most
        stretches = {sum((order * 2)[start : start + length]) for start in range(size)}
        assert max(stretches) - min(stretches) <= 1
    assert order == min(order[turn:] + order[:turn] for turn in range(size))


@pytest.mark.parametrize(
    ("sett", "dents", "told"),
    [
        (1.99, 12, "2 to 144"),
        (144.1, 12, "2 to 144"),
        (1, 10000, "1666.67 to 120000"),
        (10000, 1, "0.166667 to 12"),
    ],
)
def test_what_cannot_be_sleyed_is_an_error_that_gives_the_range(sett: float, dents: float, told: str) -> None:
    with pytest.raises(wf.WeaveError, match=f"1 end in 6 dents to 12 ends a dent, so from {told} in a reed"):
        wf.sley_order(sett, dents)


def test_columns_of_setts() -> None:
    assert wf.sley_order([15, 24], 12) == ["1-1-1-2", "2"]
    assert list(wf.sley_order(np.array([15.0, 24.0]), 12)) == ["1-1-1-2", "2"]
    series = wf.sley_order(pd.Series([15, 24], index=["a", "b"]), 12)
    assert dict(series) == {"a": "1-1-1-2", "b": "2"}
    with pytest.raises(wf.WeaveError, match="sett in row 2"):
        wf.sley_order([15, 1], 12)


# Reading an order


@quick
@given(ORDERS, st.sampled_from(["-", " - ", ",", ", ", " ", "–"]))
def test_an_order_is_read_back_however_it_is_separated(order: list[int], separator: str) -> None:
    written = separator.join(map(str, order))
    assert wf.sleyed_sett(written, 12) == pytest.approx(12 * sum(order) / len(order))
    assert wf.dents_needed(sum(order) * 3 + 1, written) == dents_by_hand(sum(order) * 3 + 1, order)


@pytest.mark.parametrize("order", [2, 2.0, np.int64(2), np.float64(2), "2", " 2 "])
def test_one_small_whole_number_is_an_order(order: object) -> None:
    assert wf.sleyed_sett(order, 12) == 24


@pytest.mark.parametrize("sign", ["-", "–", "—", "‑", "−", ",", " "])
def test_each_sign_that_may_stand_between(sign: str) -> None:
    assert wf.sleyed_sett(sign.join("112"), 12) == 4 / 3 * 12


def test_the_longest_text_of_an_order() -> None:
    assert wf.sleyed_sett("1-1" + " " * 997, 12) == 12
    text = "1-1" + " " * 998
    with pytest.raises(wf.WeaveError, match="in at most 1000 characters") as caught:
        wf.sleyed_sett(text, 12)
    assert (caught.value.argument, caught.value.received) == ("order", text)


def test_the_most_and_the_fewest_in_a_dent() -> None:
    assert wf.sleyed_sett(40, 12) == wf.sleyed_sett("40", 12) == 480
    for never_a_date in (-1, True):
        with pytest.raises(wf.WeaveError, match=rf"ends in each dent, such as 1-1-2; got {never_a_date}$"):
            wf.sleyed_sett(never_a_date, 12)
    with pytest.raises(wf.WeaveError, match="with an end in at least one of them; got 0"):
        wf.sleyed_sett(0, 12)
    with pytest.raises(wf.WeaveError, match=r"whole numbers; got 0\.5"):
        wf.sleyed_sett(0.5, 12)


@pytest.mark.parametrize("order", [37257, 45000.0, 41, "41", "2001-01-02", datetime.datetime(2002, 1, 1)])
def test_an_order_that_became_a_date_is_refused_with_the_remedy(order: object) -> None:
    with pytest.raises(wf.WeaveError, match="format the cell as text"):
        wf.sleyed_sett(order, 12)


@pytest.mark.parametrize(
    "order",
    ["", "-", "1-", "-2", "1--2", "1-x", "1.5-2", "two", "0", "0-0", "²", 0, -1, 2.5, True, {}, b"1-2"],
)
def test_nonsense_for_an_order_is_refused(order: object) -> None:
    with pytest.raises(wf.WeaveError, match="order must be"):
        wf.sleyed_sett(order, 12)


# Dents and widths


@quick
@given(st.integers(1, 400), ORDERS)
@example(2, [1, 0])
@example(2, [0, 1])
@example(1, [0, 0, 3, 0])
def test_dents_are_the_fewest_that_place_all_ends(ends: int, order: list[int]) -> None:
    needed = wf.dents_needed(ends, text(order))
    assert needed == dents_by_hand(ends, order)
    assert isinstance(needed, int)
    assert wf.reed_width(ends, text(order), 12) == pytest.approx(needed / 12)


@quick
@given(st.integers(1, 200), ORDERS.filter(lambda order: order[-1] > 0))
def test_whole_rounds_of_an_order_stand_at_the_sleyed_sett(rounds: int, order: list[int]) -> None:
    ends = rounds * sum(order)
    assert wf.dents_needed(ends, text(order)) == rounds * len(order)
    width = wf.reed_width(ends, text(order), 12)
    assert width * wf.sleyed_sett(text(order), 12) == pytest.approx(ends)


@quick
@given(st.integers(1, 200), st.integers(1, 200), ORDERS)
def test_more_ends_never_need_fewer_dents(ends: int, more: int, order: list[int]) -> None:
    assert wf.dents_needed(ends + more, text(order)) >= wf.dents_needed(ends, text(order))


def test_dents_for_columns_and_the_largest_warp() -> None:
    assert wf.dents_needed([300, 301], ["1-1-1-2", "2"]) == [240, 151]
    assert wf.dents_needed(1_000_000, "1") == 1_000_000
    assert list(wf.reed_width(pd.Series([12, 24]), "1-2", 8)) == [1.0, 2.0]
    for ends in (0, 1_000_001, 2.5, True):
        with pytest.raises(wf.WeaveError, match="ends must be"):
            wf.dents_needed(ends, "1")


# Choosing a reed


def test_an_order_is_no_longer_than_a_dozen() -> None:
    # 3 ends in 13 dents would be exact; of the shorter ones 2 in 9 come nearest, 3.7 % off.
    assert wf.sley_order(3, 13).count("-") + 1 == 9


@pytest.mark.parametrize(
    ("sett", "reeds", "chosen"),
    [
        (24, [10, 12, 15], 12),  # two in every dent before 2-2-3-2-3
        (15, [8, 10, 12], 10),  # 1-2 is exact and shorter than 1-1-1-2
        (12, [6, 12, 24], 12),  # one in every dent before 2, and before leaving every second dent empty
        (18, [6, 12], 6),  # three in every dent and 1-2 both repeat after three ends: the even dents win
        (20.1, [13.4, 10], 10),  # two in every dent is within 1 %, so near enough to beat an exact 1-2
        (12, [12.05, 12, 11.98], 12),  # all near enough with one in every dent: the nearest
        (7, [12], 12),
        (40, [1, 20, 2], 20),  # the reeds that cannot hold it are passed over
    ],
)
def test_best_reed(sett: float, reeds: list[float], chosen: float) -> None:
    assert wf.best_reed(sett, reeds) == chosen


@quick
@given(RATIOS, st.lists(DENTS, min_size=1, max_size=6))
def test_no_other_reed_is_nearer_beyond_one_percent(ratio: float, reeds: list[int]) -> None:
    sett = ratio * reeds[0]

    def off(dents: float) -> float:
        return abs(wf.sleyed_sett(wf.sley_order(sett, dents), dents) / sett - 1)

    best = wf.best_reed(sett, reeds)
    assert best in reeds
    can_hold = [dents for dents in reeds if not wf.why("sley_order", sett, dents)]
    assert off(best) <= max(0.01, min(map(off, can_hold))) + 1e-8
    assert wf.best_reed(sett, list(reversed(reeds))) == best


def test_no_reed_at_all_is_an_error() -> None:
    with pytest.raises(wf.WeaveError, match=r"takes the sett, .*: 8\.33333 to 600 dents for a sett of 100;"):
        wf.best_reed(100, [1, 2])
    with pytest.raises(wf.WeaveError, match="reeds"):
        wf.best_reed(12, [])
    with pytest.raises(wf.WeaveError, match=r"reeds\[2\]"):
        wf.best_reed(12, [12, 0])
    assert wf.best_reed([24, 15], [10, 12]) == [12, 10]


# Reed counts


def test_the_choices_of_system_are_the_table() -> None:
    system = declared("reed")["reed_dents"].parameters[1]
    assert list(system.choices) == list(REED_SYSTEMS)
    for dents, inches, words, source in REED_SYSTEMS.values():
        assert dents > 0
        assert inches > 0
        assert words
        assert source in SOURCES


@pytest.mark.parametrize("system", REED_SYSTEMS)
def test_the_words_of_a_system_agree_with_its_numbers(system: str) -> None:
    dents, inches, words, _ = REED_SYSTEMS[system]
    assert wf.reed_dents(7, system.upper()) == pytest.approx(7 * dents / inches)
    assert f"{dents:g} dents" in words or "hundreds" in words or dents == 1


def test_common_reeds_are_in_order_and_read_per_inch() -> None:
    for reeds in (COMMON_REEDS_PER_INCH, COMMON_REEDS_PER_10_CM):
        assert list(reeds) == sorted(set(reeds))
    # 10 cm are 3.937 in, by the exact inch of 2.54 cm.
    for reed in COMMON_REEDS_PER_10_CM:
        assert wf.reed_dents(reed, "metric") == pytest.approx(reed / (10 / 2.54), rel=1e-12)


def test_an_unknown_system_lists_the_systems() -> None:
    with pytest.raises(wf.WeaveError, match="Stockport, Bolton, Bradford, Scotch, Irish"):
        wf.reed_dents(60, "Somewhere")
    for number in (0, -1, "60", float("nan")):
        with pytest.raises(wf.WeaveError, match="number must be"):
            wf.reed_dents(number, "Stockport")
    assert wf.reed_dents([60, 30], ["Stockport", "Radcliffe"]) == [30, 30]


# Pegs and heddles


def test_peg_sett() -> None:
    assert wf.peg_sett(4, 2) == 8
    assert wf.peg_sett(8, 0.5) == 4
    assert list(wf.peg_sett(np.array([2.0, 4.0]), 2)) == [4, 8]
    for pegs, threads in ((0, 1), (4, 0), (4, 101), (10001, 1)):
        with pytest.raises(wf.WeaveError, match="must be"):
            wf.peg_sett(pegs, threads)


THREADINGS = st.lists(st.integers(0, 12), min_size=1, max_size=60).filter(any)


@quick
@given(THREADINGS)
def test_heddles_are_the_ends_on_shafts(threading: list[int]) -> None:
    counted = wf.heddles(threading)
    assert len(counted) == max(threading)
    assert sum(counted) == sum(shaft > 0 for shaft in threading)
    for shaft, heddles in enumerate(counted, start=1):
        assert heddles == wf.heddles_on_shaft(threading, shaft, len(threading))


@quick
@given(THREADINGS, st.integers(1, 300))
def test_a_repeated_threading_is_counted_to_the_last_end(threading: list[int], ends: int) -> None:
    drawn = [threading[end % len(threading)] for end in range(ends)]
    for shaft in range(1, 14):
        assert wf.heddles_on_shaft(threading, shaft, ends) == drawn.count(shaft)


def test_threadings_that_are_refused() -> None:
    with pytest.raises(wf.WeaveError, match="at least one end on a shaft"):
        wf.heddles([0, 0])
    with pytest.raises(wf.WeaveError, match=r"threading\[2\]"):
        wf.heddles([1, -1])
    with pytest.raises(wf.WeaveError, match=r"threading\[2\]"):
        wf.heddles([1, 1.5])
    with pytest.raises(wf.WeaveError, match="threading must be"):
        wf.heddles([])
    with pytest.raises(wf.WeaveError, match="shaft must be"):
        wf.heddles_on_shaft([1, 2], 0, 10)
    with pytest.raises(wf.WeaveError, match="ends must be"):
        wf.heddles_on_shaft([1, 2], 1, 0)
    assert wf.heddles(np.array([1, 2, 2])) == [1, 2]
    assert wf.heddles_on_shaft([1, 2], [1, 2], 3) == [2, 1]
