"""Sett functions: there and back, rules that must agree with each other, columns, refusals."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs import WeaveError

quick = settings(deadline=None, derandomize=True)

WEAVES = [
    "plain",
    "2/2 twill",
    "3/1 twill",
    "2/3/1/2 twill",
    "2/2 broken twill",
    "2/2 herringbone 8",
    "5 satin 2",
    "8 sateen 3",
    "2/2 basket",
    "2/2 warp rib",
    "2/2 weft rib",
]
weaves = st.sampled_from(WEAVES)
yarns = st.sampled_from(["8/2 Ne", "2/24 worsted", "40/2 spun silk", "20 tex x 3", "400 m/100 g", "8 jute"])
setts = st.floats(1, 200)
constants = st.floats(0.5, 1.5)
firmnesses = st.floats(0.3, 1.2)
steps = st.integers(1, 12)
shares = st.floats(0, 0.9)

NO_INTERLACING = [[1, 1], [0, 0]]  # every pick stays on one side: the weft never changes


def close(value):
    return pytest.approx(value, rel=1e-12)


@quick
@given(yarns, weaves, constants, firmnesses)
def test_diameters_are_wraps(yarn, weave, constant, firmness):
    wraps = wf.yarn_diameters(yarn, constant)
    by_wraps = wf.sett_from_wraps(wraps, weave, firmness)
    assert wf.sett_from_diameters(yarn, weave, constant, firmness) == close(by_wraps)


@quick
@given(yarns, weaves, constants, firmnesses, st.sampled_from(["in", "cm"]))
def test_equal_yarns_make_the_two_rules_one(yarn, weave, constant, firmness, per):
    alike = wf.sett_for_yarns(yarn, yarn, weave, constant, firmness, per)
    assert alike == close(wf.sett_from_diameters(yarn, weave, constant, firmness, per))


@quick
@given(yarns, yarns, weaves)
def test_unlike_yarns_lie_between_the_two(warp, weft, weave):
    both = sorted(wf.sett_from_diameters(yarn, weave) for yarn in (warp, weft))
    assert both[0] * (1 - 1e-12) <= wf.sett_for_yarns(warp, weft, weave) <= both[1] * (1 + 1e-12)


@quick
@given(yarns, yarns, weaves)
def test_per_inch_and_per_centimetre(yarn, other, weave):
    for function, arguments in [
        (wf.sett_from_diameters, (yarn, weave)),
        (wf.sett_for_yarns, (yarn, other, weave)),
        (wf.weft_faced_sett, (yarn, other)),
        (wf.weft_faced_picks, (yarn,)),
        (wf.sett_from_float, (yarn, "2/2 twill")),
    ]:
        assert function(*arguments, per="cm") * 2.54 == close(function(*arguments))


@quick
@given(setts, weaves, weaves)
def test_to_a_new_weave_and_back(sett, weave, new_weave):
    there = wf.sett_for_new_weave(sett, weave, new_weave)
    assert wf.sett_for_new_weave(there, new_weave, weave) == close(sett)


@quick
@given(setts, yarns, yarns)
def test_to_a_new_yarn_and_back(sett, yarn, new_yarn):
    there = wf.sett_for_new_yarn(sett, yarn, new_yarn)
    assert wf.sett_for_new_yarn(there, new_yarn, yarn) == close(sett)


@quick
@given(yarns, yarns, weaves, weaves)
def test_moving_a_sett_agrees_with_a_new_one(yarn, new_yarn, weave, new_weave):
    old = wf.sett_from_diameters(yarn, weave)
    assert wf.sett_for_new_weave(old, weave, new_weave) == close(wf.sett_from_diameters(yarn, new_weave))
    assert wf.sett_for_new_yarn(old, yarn, new_yarn) == close(wf.sett_from_diameters(new_yarn, weave))


@quick
@given(yarns, yarns)
def test_a_weft_faced_sett_is_wider_than_a_balanced_one(warp, weft):
    assert wf.weft_faced_sett(warp, weft) < wf.sett_for_yarns(warp, weft, "plain")
    # the room of one end: its own diameter and two of the weft
    room = 1 / wf.yarn_diameters(warp) + 2 / wf.yarn_diameters(weft)
    assert wf.weft_faced_sett(warp, weft) * room == close(1)
    # twice as close as threads that lie side by side
    assert wf.weft_faced_picks(weft) == close(2 * wf.yarn_diameters(weft))


@quick
@given(setts, st.floats(5, 85), steps, steps)
def test_an_angle_and_its_picks_return(sett, angle, picks_moved, ends_moved):
    weft_sett = wf.picks_for_angle(sett, angle, picks_moved, ends_moved)
    if weft_sett > 0:
        assert wf.twill_angle(sett, weft_sett, picks_moved, ends_moved) == pytest.approx(angle, rel=1e-9)


@quick
@given(setts, setts, steps, steps)
def test_seen_from_the_warp_the_angle_is_the_rest_of_ninety(sett, weft_sett, picks_moved, ends_moved):
    from_weft = wf.twill_angle(sett, weft_sett, picks_moved, ends_moved)
    from_warp = wf.twill_angle(weft_sett, sett, ends_moved, picks_moved)
    assert from_weft + from_warp == pytest.approx(90, rel=1e-12)


@quick
@given(setts, shares, shares)
def test_finishing_keeps_every_end(sett, shrinkage, draw_in):
    width = 10.0
    finished_width = width * (1 - draw_in) * (1 - shrinkage)
    assert wf.finished_sett(sett, shrinkage, draw_in) * finished_width == close(sett * width)


@quick
@given(setts, yarns)
def test_cover_goes_by_the_inch(sett, yarn):
    assert wf.cover_factor(sett / 2.54, yarn, "cm") == close(wf.cover_factor(sett, yarn))
    # n/√Ne, whatever system the yarn is written in
    assert wf.cover_factor(sett, yarn) ** 2 * wf.count(yarn, "Ne") == close(sett**2)


@quick
@given(st.floats(0, 28), st.floats(0, 28))
def test_cover_of_a_cloth(warp_cover, weft_cover):
    cover = wf.cloth_cover(warp_cover, weft_cover)
    assert cover == close(wf.cloth_cover(weft_cover, warp_cover))
    assert max(warp_cover, weft_cover) - 1e-9 <= cover <= 28 + 1e-9
    as_fractions = wf.cloth_cover(warp_cover / 28, weft_cover / 28, 1)
    assert as_fractions * 28 == pytest.approx(cover, rel=1e-9, abs=1e-12)
    assert wf.cloth_cover(28, weft_cover) == pytest.approx(28)
    assert wf.cloth_cover(0, weft_cover) == weft_cover


def test_covers_above_full():
    with pytest.raises(WeaveError, match="warp_cover must be at most full, which is 28; got 30"):
        wf.cloth_cover(30, 10)
    with pytest.raises(WeaveError, match="weft_cover must be at most full, which is 1; got 14"):
        wf.cloth_cover(0.5, 14, 1)


@quick
@given(yarns, st.sampled_from(["2/2 twill", "5 satin 2", "2/2 basket"]), st.floats(0.01, 1))
def test_an_exponent_is_that_power_of_the_float(yarn, weave, exponent):
    # in all three every float is known: 2 for the twill and the basket, 2.5 for the satin
    average = {"2/2 twill": 2, "5 satin 2": 2.5, "2/2 basket": 2}[weave]
    ratio = wf.sett_from_float(yarn, weave, exponent=exponent) / wf.sett_from_float(yarn, "plain")
    assert ratio == close(average**exponent)


@pytest.mark.parametrize(("rib", "average"), [("2/2 warp rib", 1), ("2/2 weft rib", 2)])
def test_the_float_is_that_of_the_weft(rib, average):
    # The picks of a warp rib go over one end and under one, those of a weft rib over two and under two.
    ratio = wf.sett_from_float("8/2 Ne", rib, exponent=0.5) / wf.sett_from_float("8/2 Ne", "plain")
    assert ratio == close(average**0.5)


@pytest.mark.parametrize("blank", [0, 0.0, "", "by weave", " By Weave ", None])
def test_a_blank_exponent_goes_by_weave(blank):
    expected = wf.sett_from_float("8/2 Ne", "2/2 twill", 200, 0.39)
    assert wf.sett_from_float("8/2 Ne", "2/2 twill", 200, blank) == close(expected)


@pytest.mark.parametrize("exponent", [0.1, 0.39, 1])
def test_no_exponent_changes_plain_weave(exponent):
    assert wf.sett_from_float("8/2 Ne", "plain", exponent=exponent) == wf.sett_from_float("8/2 Ne", "plain")


@pytest.mark.parametrize("weave", ["2/2 warp rib", "2/2 weft rib", [[1, 0], [0, 1]]])
def test_ribs_and_grids_need_their_exponent(weave):
    with pytest.raises(WeaveError, match="exponent must be given as a number for a"):
        wf.sett_from_float("8/2 Ne", weave)
    assert wf.sett_from_float("8/2 Ne", weave, exponent=0.4) > 0


@pytest.mark.parametrize("exponent", [-0.1, 1.01, 39, True, "twill", float("nan")])
def test_exponents_refused(exponent):
    with pytest.raises(WeaveError, match="exponent must be by weave, or a number above 0 and at most 1"):
        wf.sett_from_float("8/2 Ne", "2/2 twill", exponent=exponent)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: wf.sett_from_wraps(20, NO_INTERLACING), "weave"),
        (lambda: wf.sett_from_diameters("8/2 Ne", NO_INTERLACING), "weave"),
        (lambda: wf.sett_for_yarns("8/2 Ne", "8/2 Ne", NO_INTERLACING), "weave"),
        (lambda: wf.sett_from_float("8/2 Ne", NO_INTERLACING, exponent=0.4), "weave"),
        (lambda: wf.sett_for_new_weave(20, NO_INTERLACING, "plain"), "weave"),
        (lambda: wf.sett_for_new_weave(20, "plain", NO_INTERLACING), "new_weave"),
    ],
)
def test_a_weft_that_never_changes_sides(call, argument):
    with pytest.raises(WeaveError, match="weft changes sides") as caught:
        call()
    assert caught.value.argument == argument
    assert caught.value.received == "a grid of 2 ends by 2 picks"


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: wf.sett_from_wraps(0, "plain"), "wraps must be"),
        (lambda: wf.sett_from_wraps(20, "plain", 75), "firmness must be"),
        (lambda: wf.sett_from_wraps(20, "plaid"), "weave must be"),
        (lambda: wf.sett_from_diameters("3360", "plain"), "yarn must be"),
        (lambda: wf.sett_from_diameters("8/2 Ne", "plain", 84), "constant must be"),
        (lambda: wf.sett_for_yarns("8/2 Ne", 16, "plain"), "weft must be"),
        (lambda: wf.weft_faced_sett("8/2 Ne", "8/2 Ne", per="yd"), "per must be one of in, cm"),
        (lambda: wf.sett_for_new_yarn(20, "8/2 Ne", ""), "new_yarn must be"),
        (lambda: wf.twill_angle(20, 0), "weft_sett must be"),
        (lambda: wf.twill_angle(20, 20, 1.5), "picks_moved must be a whole number"),
        (lambda: wf.twill_angle(20, 20, 1, 0), "ends_moved must be a whole number"),
        (lambda: wf.picks_for_angle(20, 90), "angle must be"),
        (lambda: wf.picks_for_angle(20, 0), "angle must be"),
        (lambda: wf.picks_for_angle(9000, 2), "angle must be steep enough for at most 10000 picks"),
        (lambda: wf.picks_for_angle(174.56, 1), "angle must be steep enough"),  # 10000.5 picks
        (lambda: wf.finished_sett(20, 10), r"10 % is 0\.10; got 10$"),
        (lambda: wf.finished_sett(20, 0.1, 1), "draw_in must be a fraction"),
        (lambda: wf.cover_factor(-3, "8/2 Ne"), "sett must be"),
    ],
)
def test_refused(call, match):
    with pytest.raises(WeaveError, match=match):
        call()


def test_columns():
    texts = ["8/2 Ne", "16/2 Ne", "400 m/100 g"]
    each = [wf.sett_from_diameters(text, weave) for text, weave in zip(texts, WEAVES, strict=False)]
    assert wf.sett_from_diameters(texts, WEAVES[:3]) == each
    series = wf.sett_from_diameters(pd.Series(texts, index=[5, 6, 7]), WEAVES[:3])
    assert series.tolist() == each
    assert list(series.index) == [5, 6, 7]
    covers = wf.cover_factor(np.array([10.0, 20.0, 30.0]), texts)
    assert isinstance(covers, np.ndarray)
    assert covers.tolist() == close(
        [wf.cover_factor(sett, text) for sett, text in zip((10, 20, 30), texts, strict=True)]
    )
    assert wf.finished_sett(pd.Series([8.0, 16.0]), 0.2).tolist() == close([10, 20])
    assert wf.twill_angle(np.array([10, 20]), 20).tolist() == close(
        [wf.twill_angle(10, 20), wf.twill_angle(20, 20)]
    )


def test_a_grid_is_one_weave_and_not_a_column():
    grid = [[1, 1, 0, 0], [0, 1, 1, 0], [0, 0, 1, 1], [1, 0, 0, 1]]
    assert wf.sett_from_wraps(24, grid) == close(wf.sett_from_wraps(24, "2/2 twill"))
    assert wf.sett_from_wraps(24, np.array(grid)) == close(16)


def test_the_bad_row_is_named():
    with pytest.raises(WeaveError, match="sett in row 2 must be"):
        wf.finished_sett(np.array([8.0, 0.0]), 0.2)
    with pytest.raises(WeaveError, match="weave in row 2 must be"):
        wf.sett_from_wraps(20, ["plain", "plaid"])
