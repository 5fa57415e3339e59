"""Warp and weft: take-up, lengths and widths, ends, yarn, put-ups."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs.registry import declared
from weavefuncs.shared.sources import SOURCES

quick = settings(deadline=None, derandomize=True, max_examples=150)

FUNCTIONS = declared("warp")

# One call of each function that works.
GOOD = {
    "crimp": (8.6, 8),
    "take_up": (8.6, 8),
    "crimp_from_take_up": (0.1,),
    "take_up_from_crimp": (0.1,),
    "contraction_estimate": (60, "plain", "20 Ne", 4, "in"),
    "shrinkage": (12, 10),
    "draw_in": (20, 19),
    "length_to_weave": (30, 0.1),
    "width_in_reed": (18, 0.1, 0.05),
    "ends": (15, 24, 3, 1, 2, "odd"),
    "picks_for": (30, 20, 18, 17),
    "warp_length": (30, 4, 2, 0.08, 27),
    "pieces_from_warp": (165, 30, 2, 0.08, 27),
    "warp_yarn": (363, 165),
    "weft_yarn": (30, 20, 15, 0.07, 40),
    "frame_warp_yarn": (61, 24, 12),
    "frame_usable_length": (24, 6, 0.05),
    "bouts": (363, 48),
    "warp_turns": (165, 72),
    "yarn_to_buy": (1000, 0.1, 0.05),
    "put_ups": (1000, 420),
    "left_over": (1000, 420),
}

NUMERIC = ("number", "whole", "fraction")
NUMBERS = [
    (name, position, parameter)
    for name, function in FUNCTIONS.items()
    for position, parameter in enumerate(function.parameters)
    if parameter.kind in NUMERIC
]
IDS = [f"{name}-{parameter.name}" for name, _, parameter in NUMBERS]

LENGTHS = st.floats(0.01, 10_000)
FRACTIONS = st.floats(0, 0.9)


def with_argument(name: str, position: int, value: object) -> list[object]:
    arguments: list[object] = list(GOOD[name])
    arguments[position] = value
    return arguments


# Every function: what it refuses, what it does with blanks and with columns


def test_every_function_has_a_good_call() -> None:
    assert list(GOOD) == list(FUNCTIONS)
    for name, arguments in GOOD.items():
        assert len(arguments) == len(FUNCTIONS[name].parameters)
        assert getattr(wf, name)(*arguments) >= 0


@pytest.mark.parametrize(
    "value", [math.nan, math.inf, -1, -0.001, 1e12, True, "12", "", b"1", pytest.param(10**400, id="huge")]
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
        return
    given_default = function(*with_argument(name, position, parameter.default))
    assert function(*with_argument(name, position, None)) == given_default
    # One host hands on a blank cell as 0: it must be the default or no value at all.
    if parameter.default != 0:
        with pytest.raises(wf.WeaveError):
            function(*with_argument(name, position, 0))


@pytest.mark.parametrize(
    ("name", "position"),
    [(name, position) for name, position, parameter in NUMBERS if parameter.kind == "fraction"],
)
def test_percent_given_as_ten(name: str, position: int) -> None:
    with pytest.raises(wf.WeaveError, match=r"10 % is 0\.10; got 10$"):
        getattr(wf, name)(*with_argument(name, position, 10))


@pytest.mark.parametrize(
    ("name", "position"),
    [(name, position) for name, position, parameter in NUMBERS if parameter.kind == "whole"],
)
def test_whole_arguments_forgive_only_dust(name: str, position: int) -> None:
    function, value = getattr(wf, name), GOOD[name][position]
    assert function(*with_argument(name, position, value * (1 + 1e-13))) == function(*GOOD[name])
    with pytest.raises(wf.WeaveError, match="whole number"):
        function(*with_argument(name, position, value + 0.5))


@pytest.mark.parametrize(("name", "position", "parameter"), NUMBERS, ids=IDS)
def test_columns_agree_with_single_calls(name: str, position: int, parameter: object) -> None:
    function = getattr(wf, name)
    value = GOOD[name][position]
    column = [value, value * 2 if parameter.kind == "whole" else value * 0.9, value]
    # Odd ends of an even repeat do not exist, and this test is not about that.
    arguments = [("any" if argument == "odd" else argument) for argument in GOOD[name]]

    def call(given: object) -> object:
        return function(*arguments[:position], given, *arguments[position + 1 :])

    if name in ("crimp", "take_up", "shrinkage", "draw_in") and position == 0:
        column[1] = value * 1.1
    singly = [call(item) for item in column]
    assert call(column) == singly
    assert call(tuple(column)) == singly
    array = call(np.array(column))
    assert isinstance(array, np.ndarray)
    assert array.tolist() == pytest.approx(singly, rel=1e-14)
    series = call(pd.Series(column, index=["a", "b", "c"]))
    assert list(series.index) == ["a", "b", "c"]
    assert series.tolist() == pytest.approx(singly, rel=1e-14)
    if FUNCTIONS[name].result_kind == "whole":
        assert array.dtype.kind == "i"
        assert all(type(item) is int for item in singly)
    with pytest.raises(wf.WeaveError, match="in row 2") as caught:
        call([value, math.nan, value])
    assert caught.value.argument == parameter.name
    with pytest.raises(wf.WeaveError, match="in row 3"):
        call(pd.Series([value, value, -1.0]))


def test_columns_of_texts() -> None:
    assert wf.ends(10, 10, parity=["any", "odd", "even"]) == [100, 101, 100]
    estimates = wf.contraction_estimate(60, ["plain", "2/2 twill"], np.array(["20 Ne", "40 Ne"]))
    assert estimates.tolist() == pytest.approx([0.12, 0.03])


@pytest.mark.parametrize("name", FUNCTIONS)
def test_sources_are_in_the_bibliography(name: str) -> None:
    lines = " ".join(FUNCTIONS[name].docstring.sections["References"])
    keys = [part.partition("]")[0] for part in lines.split("[")[1:]]
    assert keys
    assert set(keys) <= set(SOURCES)


# Crimp, take-up, shrinkage


@quick
@given(LENGTHS, FRACTIONS)
def test_crimp_and_take_up_are_one_loss_over_two_lengths(cloth: float, share: float) -> None:
    yarn = cloth / (1 - share)
    crimp, take_up = wf.crimp(yarn, cloth), wf.take_up(yarn, cloth)
    assert crimp * cloth == pytest.approx(take_up * yarn)
    assert cloth * (1 + crimp) == pytest.approx(yarn)
    assert yarn * (1 - take_up) == pytest.approx(cloth)
    assert wf.crimp_from_take_up(take_up) == pytest.approx(crimp)


@quick
@given(st.floats(0, 2))
def test_crimp_through_take_up_and_back(crimp: float) -> None:
    assert wf.crimp_from_take_up(wf.take_up_from_crimp(crimp)) == pytest.approx(crimp)


@pytest.mark.parametrize("name", ["crimp", "take_up", "shrinkage", "draw_in"])
def test_nothing_lost_and_less_than_nothing(name: str) -> None:
    function = getattr(wf, name)
    assert function(8, 8) == 0
    # 0.1 + 0.2 is 0.3 and a little dust, on either side.
    assert function(0.3, 0.1 + 0.2) == 0
    assert function(0.1 + 0.2, 0.3) == pytest.approx(0, abs=1e-15)
    with pytest.raises(wf.WeaveError, match=r"at least the .*\(8\.6\); got 8"):
        function(8, 8.6)


def test_crimp_that_is_a_percentage_is_refused() -> None:
    assert wf.take_up_from_crimp(2) == pytest.approx(2 / 3)
    with pytest.raises(wf.WeaveError, match="at most 2"):
        wf.take_up_from_crimp(7.5)


@quick
@given(LENGTHS, FRACTIONS)
def test_length_to_weave_and_shrinkage_are_inverse(finished: float, share: float) -> None:
    assert wf.shrinkage(wf.length_to_weave(finished, share), finished) == pytest.approx(share, abs=1e-12)


@quick
@given(LENGTHS, FRACTIONS, FRACTIONS)
def test_width_in_reed_comes_back_to_the_finished_width(finished: float, lost: float, drawn: float) -> None:
    reed = wf.width_in_reed(finished, lost, drawn)
    woven = reed * (1 - drawn)
    assert woven * (1 - lost) == pytest.approx(finished)
    assert wf.draw_in(reed, woven) == pytest.approx(drawn, abs=1e-12)
    assert wf.shrinkage(woven, finished) == pytest.approx(lost, abs=1e-12)


# Taylor's estimate


@quick
@given(st.floats(1, 60), st.floats(5, 80), st.sampled_from(["plain", "2/2 twill", "5 satin 2", "2/2 basket"]))
def test_contraction_is_the_same_per_inch_and_per_centimetre(picks: float, cotton: float, weave: str) -> None:
    inches = wf.contraction_estimate(picks, weave, f"{cotton:.6f} Ne", 2)
    centimetres = wf.contraction_estimate(picks / 2.54, weave, f"{cotton:.6f} Ne", 2, "cm")
    assert centimetres == pytest.approx(inches)


@pytest.mark.parametrize(
    ("weave", "share"),
    [
        # Changes of one warp end in a repeat over the repeat's picks, counted on squared paper.
        ("plain", 1),
        ("2/2 twill", 1 / 2),
        ("2/1 twill", 2 / 3),
        ("8 satin 3", 1 / 4),
        # A warp rib's ends pass over and under two picks, a weft rib's every pick.
        ("2/2 warp rib", 1 / 2),
        ("2/2 weft rib", 1),
        # Of these two ends one changes every pick, the other at every second.
        ([[1, 1], [0, 1], [1, 0], [0, 0]], 3 / 4),
    ],
)
def test_contraction_counts_the_changes_of_a_warp_end(weave: object, share: float) -> None:
    plain = wf.contraction_estimate(40, [[1, 0], [0, 1]], "20 Ne")
    assert wf.contraction_estimate(40, weave, "20 Ne") == pytest.approx(plain * share)


def test_contraction_takes_the_weft_in_any_system() -> None:
    # 20s cotton is 30s worsted (BROOKS).
    cotton = wf.contraction_estimate(40, "plain", "20 Ne")
    assert wf.contraction_estimate(40, "plain", "30 worsted") == pytest.approx(cotton)


def test_contraction_stops_where_threads_can_bend_no_further() -> None:
    # Plain, k = 4, 4s cotton: one per cent a pick, so 57 picks are just possible and 58 are not.
    assert wf.contraction_estimate(57, "plain", "4 Ne") == pytest.approx(0.57)
    with pytest.raises(wf.WeaveError, match=r"crimp of 0\.58, and a round thread takes at most 0\.571"):
        wf.contraction_estimate(58, "plain", "4 Ne")
    with pytest.raises(wf.WeaveError, match="low enough"):
        wf.contraction_estimate(10_000, "plain", "8/2 Ne")


@pytest.mark.parametrize(
    ("weave", "weft", "per"),
    [("plain", 20, "in"), ("nothing known", "20 Ne", "in"), ("plain", "20 Ne", "yd")],
)
def test_contraction_refuses_unknown_texts(weave: object, weft: object, per: str) -> None:
    with pytest.raises(wf.WeaveError):
        wf.contraction_estimate(60, weave, weft, 4, per)


# Ends and picks


def fewest(needed_times_ten: int, repeat: int, balance: int, extra: int, parity: str) -> int | None:
    """Search for the ends by counting up, with no rounding in it."""
    for repeats in range(2 * needed_times_ten + 2):
        pattern = repeats * repeat + balance
        total = pattern + extra
        if pattern * 10 >= needed_times_ten and (parity == "any" or total % 2 == (parity == "odd")):
            return total
    return None


@quick
@given(
    st.integers(1, 400),
    st.integers(1, 12),
    st.integers(1, 25),
    st.integers(0, 30),
    st.integers(0, 4),
    st.sampled_from(["any", "odd", "even"]),
)
@example(121, 10, 1, 0, 0, "any")
@example(1, 1, 24, 12, 0, "any")
def test_ends_are_the_fewest(
    tenths: int, sett: int, repeat: int, balance: int, extra: int, parity: str
) -> None:
    expected = fewest(tenths * sett, repeat, balance, extra, parity)
    width = tenths / 10
    if expected is None:
        with pytest.raises(wf.WeaveError, match="always come to an") as caught:
            wf.ends(width, sett, repeat, balance, extra, parity)
        assert caught.value.argument == "parity"
    else:
        assert wf.ends(width, sett, repeat, balance, extra, parity) == expected
    assert wf.picks_for(width, sett, repeat, balance) == fewest(tenths * sett, repeat, balance, 0, "any")


@quick
@given(st.integers(1, 5000), st.floats(0.5, 200))
def test_ends_and_width_are_inverse(count: int, sett: float) -> None:
    assert wf.ends(count / sett, sett) == count
    assert wf.picks_for(count / sett, sett) == count
    assert wf.ends((count - 0.5) / sett, sett) == count


def test_whole_repeats_and_a_balance() -> None:
    # 15 in at 24 ends: 360 needed; 90 repeats of 4 would do, and with one end of balance they still do.
    assert wf.ends(15, 24, 4) == 360
    assert wf.ends(15, 24, 4, 1) == 361
    assert wf.ends(15, 24, 4, 0, 2) == 362
    assert wf.ends(15, 24, 7, 4) == 51 * 7 + 4


def test_parity_takes_one_more_repeat_or_none_at_all() -> None:
    assert wf.ends(10, 10, parity="even") == 100
    assert wf.ends(10, 10, parity="odd") == 101
    assert wf.ends(10, 10, repeat=5, parity="odd") == 105
    # The extra ends count in the total, and reach no width.
    assert wf.ends(10, 10, repeat=5, extra=1, parity="odd") == 101
    assert wf.ends(10, 10, repeat=4, balance=1, extra=2, parity="ODD") == 103
    with pytest.raises(wf.WeaveError, match=r"any or odd: whole repeats of 4, a balance of 1 and 2 extra"):
        wf.ends(10, 10, repeat=4, balance=1, extra=2, parity="even")
    with pytest.raises(wf.WeaveError, match=r"any or even: .* got 'odd'"):
        wf.ends(10, 10, repeat=4, parity="odd")
    with pytest.raises(wf.WeaveError, match="one of any, odd, even"):
        wf.ends(10, 10, parity="uneven")


@quick
@given(
    st.lists(st.tuples(st.integers(1, 400), st.integers(1, 12), st.integers(0, 30)), min_size=1, max_size=4),
    st.sampled_from(["any", "odd", "even"]),
)
def test_columns_of_ends_and_picks_give_what_single_values_give(
    rows: list[tuple[int, int, int]], parity: str
) -> None:
    tenths, repeats, balances = (np.array(column) for column in zip(*rows))
    widths = tenths / 10
    assert wf.picks_for(widths, 7, repeats, balances).tolist() == [
        wf.picks_for(width, 7, repeat, balance)
        for width, repeat, balance in zip(widths.tolist(), repeats.tolist(), balances.tolist())
    ]
    singly = [
        wf.why("ends", width, 7, int(repeat), int(balance), 1, parity)
        or wf.ends(width, 7, int(repeat), int(balance), 1, parity)
        for width, repeat, balance in zip(widths.tolist(), repeats, balances)
    ]
    refused = [number for number, answer in enumerate(singly, start=1) if isinstance(answer, str)]
    if refused:
        with pytest.raises(wf.WeaveError, match="always come to an") as caught:
            wf.ends(widths, 7, repeats, balances, 1, parity)
        assert caught.value.row == refused[0]
        assert caught.value.requirement in singly[refused[0] - 1]
    else:
        assert wf.ends(widths, 7, repeats, balances, 1, parity).tolist() == singly


def test_columns_of_texts_beside_arrays_are_taken_row_by_row() -> None:
    assert wf.ends(np.array([10.0, 10.0]), 10, parity=["even", "odd"]).tolist() == [100, 101]
    assert wf.ends(pd.Series([10, 10]), 10, 1, 0, 0, pd.Series(["even", "odd"])).tolist() == [100, 101]


def test_the_row_beyond_all_looms_is_named() -> None:
    with pytest.raises(wf.WeaveError, match=r"width in row 2 .* not 1,000,001; got 1000001$"):
        wf.ends(np.array([1, 1_000_001]), 1)
    with pytest.raises(
        wf.WeaveError, match=r"length in row 2 .* at most 10,000,000 picks, not 20,000,000,000; got"
    ):
        wf.picks_for(np.array([1, 1e9]), 20)


def test_a_warp_or_a_piece_beyond_all_looms() -> None:
    with pytest.raises(wf.WeaveError, match="at most 1,000,000 ends, not 1,000,001") as caught:
        wf.ends(1_000_001, 1)
    assert caught.value.argument == "width"
    assert wf.ends(1_000_000, 1) == 1_000_000
    with pytest.raises(wf.WeaveError, match="at most 10,000,000 picks, not 20,000,000,000; got"):
        wf.picks_for(1e9, 20)
    assert wf.picks_for(10_000_000, 1) == 10_000_000


# Lengths of warp


@quick
@given(st.floats(1, 500), st.integers(1, 60), st.floats(0, 50), st.floats(0, 0.5), st.floats(0, 200))
@example(30, 3, 0.1, 0, 0.2)
def test_warp_length_and_pieces_are_inverse(
    woven: float, pieces: int, between: float, take_up: float, waste: float
) -> None:
    warp = wf.warp_length(woven, pieces, between, take_up, waste)
    assert wf.pieces_from_warp(warp, woven, between, take_up, waste) == pieces
    assert wf.pieces_from_warp(warp * 0.9999, woven, between, take_up, waste) < pieces
    one_more = wf.warp_length(woven, pieces + 1, between, take_up, waste)
    assert one_more - warp == pytest.approx(wf.warp_length(woven, 1, 0, take_up) + between)


def test_one_piece_has_nothing_between() -> None:
    assert wf.warp_length(30, between=6, waste=20) == 50
    assert wf.warp_length(30, 3, 6, waste=20) == 122


def test_a_warp_too_short_for_a_piece_gives_none() -> None:
    assert wf.pieces_from_warp(29, 30) == 0
    assert wf.pieces_from_warp(10, 30, waste=27) == 0
    assert wf.pieces_from_warp(np.array([10.0, 57.0, 200.0]), 30, waste=27).tolist() == [0, 1, 5]


@quick
@given(st.floats(1, 500), st.floats(0, 0.9), st.floats(0, 0.9))
def test_a_frame_is_a_warp_of_one_piece(frame: float, share: float, take_up: float) -> None:
    unweavable = frame * share
    woven = wf.frame_usable_length(frame, unweavable, take_up)
    assert wf.warp_length(woven, take_up=take_up, waste=unweavable) == pytest.approx(frame)


def test_a_frame_with_nothing_to_weave() -> None:
    for unweavable in (24, 30):
        with pytest.raises(wf.WeaveError, match=r"unweavable must be below the frame_length \(24\)"):
            wf.frame_usable_length(24, unweavable)


# Yarn


@quick
@given(st.integers(1, 2000), LENGTHS, st.floats(0, 100))
def test_warp_yarn_is_one_length_an_end(count: int, length: float, tie: float) -> None:
    assert wf.warp_yarn(count, length) == pytest.approx(math.fsum([length] * count))
    assert wf.frame_warp_yarn(count, length, tie) == pytest.approx(wf.warp_yarn(count, length) + tie)


@quick
@given(st.floats(0.5, 100), st.floats(1, 60), LENGTHS, FRACTIONS, st.floats(0, 100))
def test_weft_yarn_is_whole_picks(
    length: float, sett: float, width: float, take_up: float, tails: float
) -> None:
    yarn = wf.weft_yarn(length, sett, width, take_up, tails)
    one_pick = wf.warp_length(width, take_up=take_up)
    assert yarn == pytest.approx(wf.picks_for(length, sett) * one_pick + tails)


@quick
@given(st.floats(1, 100), st.floats(1, 60), LENGTHS, FRACTIONS)
def test_weft_by_reed_width_or_by_cloth_width(length: float, sett: float, reed: float, drawn: float) -> None:
    # The same pick: straight across the reed, or the cloth's width and the draw-in as its take-up.
    by_reed = wf.weft_yarn(length, sett, reed)
    assert wf.weft_yarn(length, sett, reed * (1 - drawn), drawn) == pytest.approx(by_reed)


@quick
@given(st.integers(1, 100_000), st.integers(1, 500))
def test_bouts_hold_all_ends_and_none_is_spare(count: int, each: int) -> None:
    found = wf.bouts(count, each)
    assert (found - 1) * each < count <= found * each
    assert wf.bouts(np.array([count]), each).tolist() == [found]


@quick
@given(LENGTHS, LENGTHS)
def test_turns_make_up_the_warp(length: float, turn: float) -> None:
    assert wf.warp_turns(length, turn) * turn == pytest.approx(length)


def test_a_part_of_a_turn_is_kept() -> None:
    assert wf.warp_turns(6.5, 2) == 3.25


@quick
@given(st.floats(0.1, 1e6), st.floats(0.001, 2), st.floats(1e-6, 0.5))
def test_yarn_to_buy_runs_out_with_the_risk(expected: float, spread: float, risk: float) -> None:
    bought = wf.yarn_to_buy(expected, spread, risk)
    deviations = (bought - expected) / (expected * spread)
    # The normal law's tail by the complementary error function, not by the quantile under test.
    assert math.erfc(deviations / math.sqrt(2)) / 2 == pytest.approx(risk, rel=1e-6)


def test_yarn_to_buy_at_its_edges() -> None:
    assert wf.yarn_to_buy(1000, 0) == 1000
    assert wf.yarn_to_buy(0, 0.2) == 0
    assert wf.yarn_to_buy(1000, 0.2, 0.5) == 1000
    assert 1 < wf.yarn_to_buy(1, 1, 1e-300) < 100
    for risk in (0, 0.51, 0.95, 5):
        with pytest.raises(wf.WeaveError, match=r"above 0 and at most 0\.5"):
            wf.yarn_to_buy(1000, 0.1, risk)
    with pytest.raises(wf.WeaveError, match=r"spread must be .* at most 2; got 10"):
        wf.yarn_to_buy(1000, 10)


# Put-ups


@quick
@given(st.floats(0.001, 1e6), st.floats(0.01, 1e4))
@example(0.3, 0.1)
@example(1e6, 0.01)
def test_put_ups_and_left_over(needed: float, put_up: float) -> None:
    bought, left = wf.put_ups(needed, put_up), wf.left_over(needed, put_up)
    assert bought * put_up == pytest.approx(needed + left, rel=1e-11)
    assert 0 <= left < put_up
    assert (bought - 1) * put_up < needed


@quick
@given(st.integers(1, 10_000), st.floats(0.01, 1000))
def test_filled_put_ups_leave_nothing(count: int, put_up: float) -> None:
    for needed in (count * put_up, count * put_up * (1 + 1e-15), count * put_up * (1 - 1e-15)):
        assert wf.put_ups(needed, put_up) == count
        assert wf.left_over(needed, put_up) == 0


def test_nothing_needed_is_no_put_up() -> None:
    assert wf.put_ups(0, 420) == 0
    assert wf.left_over(0, 420) == 0
    # Dust above a full put-up leaves nothing, and not a minus zero either.
    assert math.copysign(1, wf.left_over(420 * (1 + 1e-15), 420)) == 1


def test_more_put_ups_than_can_be_counted() -> None:
    with pytest.raises(wf.WeaveError, match="range of whole numbers"):
        wf.put_ups(1e9, 1e-8)
    with pytest.raises(wf.WeaveError, match="range of whole numbers"):
        wf.put_ups(np.array([1.0, 1e9]), 1e-8)
