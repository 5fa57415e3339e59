"""Published setts, angles and covers, with the key of each source and the rounding of its print."""

import pytest

import weavefuncs as wf


@pytest.mark.parametrize(
    ("weave", "exact", "printed"),
    [("plain", 26.1, 26), ("2/2 twill", 34.8, 34)],
)
def test_setts_of_8_2_cotton(weave, exact, printed):
    # ASHENHURST (seen): 8/2 cotton, 0.9 √3360 = 52.17; the page prints 52, 26, 34 and cuts rather than rounds
    sett = wf.sett_from_diameters("8/2 Ne", weave)
    assert sett == pytest.approx(exact, abs=0.05)
    assert int(sett) == printed


def test_sett_of_an_eight_end_satin():
    # Computed from the seen rule: 8-end satin of 8/2 cotton 41.7
    assert wf.sett_from_diameters("8/2 Ne", "8 satin") == pytest.approx(41.7, abs=0.05)


@pytest.mark.parametrize(
    ("weave", "ends", "intersections"),
    [("plain", 2, 2), ("2/2 twill", 4, 2), ("5 satin", 5, 2)],
)
def test_intersections_in_the_repeat(weave, ends, intersections):
    # seen in TAYLOR
    assert wf.sett_from_wraps(1, weave) == pytest.approx(ends / (ends + intersections), rel=1e-12)


@pytest.mark.parametrize(("weave", "share"), [("plain", 1 / 2), ("2/2 twill", 2 / 3)])
def test_share_of_the_wraps(weave, share):
    # PRACTICE, the same as R/(R + I)
    assert wf.sett_from_wraps(24, weave) == pytest.approx(24 * share, rel=1e-12)


def test_working_sett():
    # ASHENHURST (seen): a working sett is about three quarters of the maximum
    maximum = wf.sett_from_diameters("8/2 Ne", "plain")
    assert wf.sett_from_diameters("8/2 Ne", "plain", firmness=0.75) == pytest.approx(0.75 * maximum)


@pytest.mark.parametrize("constant", [0.84, 0.90])
def test_soft_and_firm_yarn(constant):
    # ASHENHURST (seen): 0.84 soft, 0.90 firm, times √(yd/lb)
    assert wf.sett_from_diameters("8/2 Ne", "plain", constant) * 2 == pytest.approx(
        constant * 3360**0.5, rel=1e-12
    )


def test_brierley_for_a_twill():
    # BRIERLEY through GATE2006 (seen): F^m √(K N), m 0.39 for twills, K 200 for cotton; 2/2 twill has F = 2
    assert wf.sett_from_float("16 Ne", "2/2 twill") == pytest.approx(2**0.39 * (200 * 16) ** 0.5, rel=1e-12)


@pytest.mark.parametrize(("weave", "average", "power"), [("8 satin 3", 4, 0.42), ("2/2 basket", 2, 0.45)])
def test_brierley_for_satins_and_baskets(weave, average, power):
    # MEMORY: the powers; the form is BRIERLEY
    assert wf.sett_from_float("16 Ne", weave) == pytest.approx(average**power * (200 * 16) ** 0.5, rel=1e-12)


@pytest.mark.parametrize(("system", "constant"), [("worsted", 134), ("skein", 61)])
def test_brierleys_constant_goes_with_the_yards_in_a_pound(system, constant):
    # MEMORY: K is 134 for worsted, 61 for woollen skein, each with the count in its own system. K is
    # printed whole, so the sett (its root) is good to half a unit of K.
    count = 24
    own = (constant * count) ** 0.5
    assert wf.sett_from_float(f"{count} {system}", "plain") == pytest.approx(own, rel=0.5 / constant)


@pytest.mark.parametrize(("picks", "ends", "degrees"), [(1, 1, 45), (2, 1, 63.43), (1, 2, 26.57)])
def test_twill_angles_of_a_square_cloth(picks, ends, degrees):
    # PRACTICE 45°; 63.43 and 26.57 computed, trade names 63 and 27
    assert wf.twill_angle(20, 20, picks, ends) == pytest.approx(degrees, abs=0.005)
    assert round(wf.twill_angle(20, 20, picks, ends)) == round(degrees)
    assert wf.picks_for_angle(20, degrees, picks, ends) == pytest.approx(20, abs=0.01)


def test_finished_sett():
    # A cloth that shrinks 20 % must be 12.5 in to finish 10, not 12, which finishes 9.6 (12 in seen, 12.5
    # computed): the 100 ends of 12.5 in at 8 an inch lie in 10 in, and those of 12 in, 96, in 9.6.
    assert wf.finished_sett(8, 0.2) == pytest.approx(100 / 10, rel=1e-12)
    assert wf.finished_sett(8, 0.2) == pytest.approx(96 / 9.6, rel=1e-12)


def test_cover_of_two_fractions():
    # GATE2007 (seen): 0.42 and 0.42 give 0.664
    assert wf.cloth_cover(0.42, 0.42, 1) == pytest.approx(0.664, abs=0.0005)


@pytest.mark.parametrize("count", [10, 36, 60])
def test_cover_is_full_where_threads_touch(count):
    # PEIRCE: 28 √Ne threads an inch lie side by side
    touching = 28 * count**0.5
    assert wf.cover_factor(touching, f"{count} Ne") == pytest.approx(28, rel=1e-12)
    assert touching == pytest.approx(wf.yarn_diameters(f"{count} Ne", 0.966), rel=0.0005 / 0.966)
