"""Published values of crimp, contraction, shrinkage and weights of warp and weft."""

from __future__ import annotations

import pytest

import weavefuncs as wf

OUNCES_IN_A_POUND = 16


def test_crimp_and_take_up_by_their_definitions() -> None:
    # D3883: (D - F)/F and (D - F)/D. 8 m of cloth, 8.6 m of yarn: 7.5 % and 6.977 % (computed).
    assert wf.crimp(8.6, 8) == pytest.approx(0.075, abs=5e-9)
    assert wf.take_up(8.6, 8) == pytest.approx(0.06977, abs=5e-6)
    assert wf.crimp_from_take_up(0.06977) == pytest.approx(0.075, abs=5e-5)
    assert wf.take_up_from_crimp(0.075) == pytest.approx(0.06977, abs=5e-6)


def test_taylor_contraction_of_a_five_end_satin() -> None:
    # TAYLOR, contraction: 180 picks, 70s weft, constant 4: 4.1 per cent, printed 4.
    for weave in ("5 satin 2", "5 sateen 2"):
        assert wf.contraction_estimate(180, weave, "70 Ne", 4) == pytest.approx(0.041, abs=0.0005)


def test_taylor_contraction_of_plain_cloth() -> None:
    # TAYLOR, contraction: 120 picks, 70s weft: 6 6/7 per cent.
    assert wf.contraction_estimate(120, "plain", "70 Ne") == pytest.approx((6 + 6 / 7) / 100, rel=1e-9)
    # The same cloth counted in centimetres (exact inch).
    assert wf.contraction_estimate(120 / 2.54, "plain", "70 Ne", 4, "cm") == pytest.approx(
        (6 + 6 / 7) / 100, rel=1e-9
    )


def test_finishing_ten_inches() -> None:
    # A cloth that shrinks 20 %: 12 in finishes at 9.6 in (seen), so 10 in takes 12.5 in (computed).
    assert wf.length_to_weave(10, 0.2) == pytest.approx(12.5)
    assert wf.width_in_reed(10, 0.2) == pytest.approx(12.5)
    assert wf.shrinkage(12, 9.6) == pytest.approx(0.2)


def test_brooks_weight_of_a_warp() -> None:
    # BROOKS, calculations: 2280 ends, 38 yd, 30s: 103 1/7 hanks of 840 yd, 3 lb 7 oz (3.438 lb).
    yards = wf.warp_yarn(2280, 38)
    assert yards / 840 == pytest.approx(103 + 1 / 7, rel=1e-9)
    pounds = wf.yarn_mass(yards, "30 Ne", "yd", "lb")
    assert pounds == pytest.approx(3.438, abs=0.0005)
    assert pounds * OUNCES_IN_A_POUND == pytest.approx(3 * 16 + 7, abs=0.5)


def test_brooks_weight_of_a_weft() -> None:
    # BROOKS, calculations: 37.5 in wide, 64 picks, 36 yd long, 36s: 2 lb 13 3/4 oz (2.857 lb).
    yards = wf.weft_yarn(36 * 36, 64, 37.5) / 36
    pounds = wf.yarn_mass(yards, "36 Ne", "yd", "lb")
    assert pounds == pytest.approx(2.857, abs=0.0005)
    assert pounds * OUNCES_IN_A_POUND == pytest.approx(2 * 16 + 13.75, abs=0.125)


@pytest.mark.parametrize(("risk", "quantile"), [(0.10, 1.282), (0.05, 1.645), (0.01, 2.326)])
def test_normal_quantiles(risk: float, quantile: float) -> None:
    # The usual table of the normal distribution (from memory).
    assert wf.yarn_to_buy(1, 1, risk) - 1 == pytest.approx(quantile, abs=0.0005)


def test_a_handpicked_twill_on_an_odd_number_of_ends() -> None:
    # Practice, no source: 2/2 twill ends are wanted odd; drawn out, the edges match at 4k + 1.
    assert wf.ends(12, 10, repeat=4, balance=1, parity="odd") == 121
