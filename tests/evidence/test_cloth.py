"""Published values of cloth weight, cover and geometry."""

from __future__ import annotations

import math

import pint
import pytest

import weavefuncs as wf


def test_gate_2009_cloth_mass() -> None:
    # GATE2009: 40 by 30 threads a cm, 30 and 20 tex, 10 % crimp each: 132 + 66 = 198 g/m2.
    assert wf.cloth_mass(40, "30 tex", 0.10, 30, "20 tex", 0.10) == pytest.approx(198, abs=0.5)
    # Its two parts: a weft fine and sparse enough to weigh nothing that the print would show.
    assert wf.cloth_mass(40, "30 tex", 0.10, 1e-6, "0.01 tex", 0) == pytest.approx(132, abs=0.5)
    assert wf.cloth_mass(1e-6, "0.01 tex", 0, 30, "20 tex", 0.10) == pytest.approx(66, abs=0.5)


def test_gate_2007_cover() -> None:
    # GATE2007: fractional covers of 0.42 and 0.42 give 0.664.
    assert wf.cloth_cover(0.42, 0.42, full=1) == pytest.approx(0.664, abs=0.0005)


@pytest.mark.parametrize("diameters", [(0.5, 0.5), (0.3, 0.7), (0.9, 0.1)])
def test_peirce_jammed_square_cloth(diameters: tuple[float, float]) -> None:
    # PEIRCE: jammed square plain cloth has spacing/D = 0.8660.
    assert wf.jammed_spacing(0.8660, *diameters) == pytest.approx(0.8660, abs=0.0002)
    # It is where both spacings agree: closer ends need wider picks.
    assert wf.jammed_spacing(0.85, *diameters) > 0.8660 > wf.jammed_spacing(0.88, *diameters)


def test_peirce_crimp_of_a_jammed_square_cloth() -> None:
    # PEIRCE: its crimp is 0.2092. Both systems are alike, so the crimp of one gives that of the other;
    # the 4/3 form is 6 % high in the height there, so a height that is half of D by the exact equations
    # comes out as 0.528.
    assert wf.crimp_height(0.8660, 0.2092) == pytest.approx(0.5 * 1.056, abs=0.001)
    assert wf.crimp_height(0.8660, 0.2092) / 0.5 - 1 == pytest.approx(0.06, abs=0.005)
    # The crimp itself, from the arc of 60 degrees that such a thread is bent through.
    assert math.radians(60) / math.sin(math.radians(60)) - 1 == pytest.approx(0.2092, abs=0.00005)
    # The cloth exists, barely: a little closer it does not.
    assert wf.weft_crimp(0.2092, 0.8660, 0.8660, 0.5, 0.5) == pytest.approx(0.2092, rel=0.22)
    with pytest.raises(wf.WeaveError):
        wf.weft_crimp(0.2092, 0.80, 0.80, 0.5, 0.5)


@pytest.mark.parametrize("diameters", [(0.5, 0.5), (0.3, 0.7)])
def test_peirce_jammed_square_cloth_out_of_the_general_solution(diameters: tuple[float, float]) -> None:
    # PEIRCE: jammed square plain cloth has spacing/D = 0.8660 and a crimp of 0.2092. Nothing but the general
    # functions is asked: how close, balanced crimps, the height of such a crimp, one crimp from the other.
    square = (0.8660, 0.8660)
    assert wf.cloth_closeness(*square, *diameters) == pytest.approx(1, abs=0.0001)
    for system in ("warp", "weft"):
        assert wf.balanced_crimp(system, *square, *diameters) == pytest.approx(0.2092, abs=0.0005)
    assert wf.crimp_height_exact(0.8660, 0.2092, *diameters) == pytest.approx(0.5, abs=0.001)
    assert wf.weft_crimp_exact(0.2092, *square, *diameters) == pytest.approx(0.2092, abs=0.0005)


def test_peirce_jammed_square_cloth_of_a_yarn() -> None:
    # The same cloth from a yarn and its sett: 36s cotton, d = 1/168 in (GATE2007), so D = 2/168 in and the
    # sett at which it jams is 168 / (2 × 0.8660) = 97.0 an inch.
    sett = 168 / (2 * 0.8660)
    figures = {what: value for what, value, _ in wf.plain_cloth(sett, "36 Ne", sett, "36 Ne")}
    assert figures["warp diameter"] == pytest.approx(25.4 / 168, abs=25.4 / 168 / 168 / 2)
    assert figures["closeness to jammed"] == pytest.approx(1, abs=0.006)
    assert figures["warp crimp"] == pytest.approx(0.2092, abs=0.02)


def test_two_coefficients_in_print() -> None:
    # Peirce 4/3, examination workings 1.36 (EVIDENCE: authorities dispute it).
    assert wf.crimp_height(1, 0.09) == pytest.approx(0.4)
    assert wf.crimp_height(1, 0.09, 1.36) == pytest.approx(0.408)


def test_yarn_of_a_cloth_one_sixth_heavier() -> None:
    # Printed: 20s made one-sixth heavier needs 20 × 36/49 = 14.69s.
    text = wf.yarn_for_cloth_weight("20 Ne", 6, 7)
    number, system = text.split()
    assert system == "Ne"
    assert float(number) == pytest.approx(14.69, abs=0.005)
    assert float(number) == pytest.approx(20 * 36 / 49, rel=1e-12)


def test_masses_against_pint() -> None:
    # PINT: a general library of units works out the same cloth, ounces, yards and inches included.
    unit = pint.UnitRegistry()
    tex = unit.Quantity(1, "tex")
    cotton = 1 / unit.Quantity(4, "number_english")  # 8/2 is as heavy as a 4s
    by_pint = 20 / unit.inch * cotton * 1.1 + 16 / unit.inch * 74 * tex * 1.05
    arguments = (20, "8/2 Ne", 0.1, 16, "74 tex", 0.05, "in")
    assert wf.cloth_mass(*arguments) == pytest.approx(by_pint.to("g/m**2").magnitude, rel=1e-6)
    assert wf.cloth_mass(*arguments, "oz/yd2") == pytest.approx(by_pint.to("oz/yd**2").magnitude, rel=1e-6)
