"""Yarn functions: round trips, columns, and what they refuse."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs import WeaveError
from weavefuncs.shared.units import LENGTH_IN_METRES, MASS_IN_GRAMS
from weavefuncs.shared.yarn_systems import YARN_SYSTEMS
from weavefuncs.shared.yarn_weights import YARN_WEIGHTS

quick = settings(deadline=None, derandomize=True)

yarns = st.sampled_from(["8/2 Ne", "2/24 worsted", "40/2 spun silk", "20 tex x 3", "400 m/100 g", "8 jute"])
amounts = st.floats(1e-3, 10)
length_units = st.sampled_from(sorted(LENGTH_IN_METRES))
mass_units = st.sampled_from(sorted(MASS_IN_GRAMS))
texs = st.floats(0.05, 9e5)


@quick
@given(amounts, yarns, mass_units, length_units)
def test_mass_to_length_and_back(mass, yarn, mass_unit, length_unit):
    length = wf.yarn_length(mass, yarn, mass_unit, length_unit)
    assert wf.yarn_mass(length, yarn, length_unit, mass_unit) == pytest.approx(mass, rel=1e-12)


@quick
@given(st.sampled_from([*YARN_SYSTEMS, "yd/lb", "m/100 g", "ft/oz"]), texs)
def test_count_to_tex_and_back(system, tex):
    from weavefuncs._yarn_text import plain_decimal

    number = wf.count(f"{plain_decimal(tex)} tex", system)
    text = f"{plain_decimal(number)} {system}"
    assert wf.tex(text) == pytest.approx(tex, rel=1e-12)


@quick
@given(amounts, yarns, st.floats(1.01, 10))
def test_more_yarn_is_longer_and_heavier(amount, yarn, more):
    assert wf.yarn_length(amount * more, yarn) > wf.yarn_length(amount, yarn)
    assert wf.yarn_mass(amount * more, yarn) > wf.yarn_mass(amount, yarn)


def test_no_mass_is_no_length():
    assert wf.yarn_length(0, "8/2 Ne") == 0
    assert wf.yarn_mass(0, "8/2 Ne") == 0


@pytest.mark.parametrize("function", [wf.yarn_length, wf.yarn_mass])
@pytest.mark.parametrize("value", [-1, 1e10, True, "100", float("nan")])
def test_amounts_refused(function, value):
    with pytest.raises(WeaveError, match=r"(mass|length) must be"):
        function(value, "8/2 Ne")


def test_units_refused():
    with pytest.raises(WeaveError, match="mass_unit must be one of g, kg, oz, lb"):
        wf.yarn_length(1, "8/2 Ne", "stone")
    with pytest.raises(WeaveError, match="length_unit must be one of mm, cm"):
        wf.yarn_mass(1, "8/2 Ne", "mile")


def test_a_bare_number_is_no_yarn():
    with pytest.raises(WeaveError, match=r"tex: yarn must be .*systems: Ne") as caught:
        wf.tex(3360)
    assert caught.value.argument == "yarn"
    with pytest.raises(WeaveError, match="count: system must be a yarn system"):
        wf.count("8/2 Ne", "silk")


@quick
@given(st.lists(st.floats(1, 1000), min_size=1, max_size=6), st.floats(0, 0.9))
def test_strands_add_up(weights, take_up):
    strands = [f"{weight} tex" for weight in weights]
    together = wf.plied(strands)
    assert together == pytest.approx(sum(weights), rel=1e-12)
    assert wf.plied(strands, take_up) * (1 - take_up) == pytest.approx(together, rel=1e-12)


@pytest.mark.parametrize("ply", [1, 2, 3, 4])
def test_plied_agrees_with_the_ply_in_the_text(ply):
    assert wf.plied(["12 Ne"] * ply) == pytest.approx(wf.tex(f"12/{ply} Ne"), rel=1e-12)


def test_plied_refuses():
    with pytest.raises(WeaveError, match="twist_take_up must be a fraction"):
        wf.plied(["8/2 Ne"], 1)
    with pytest.raises(WeaveError, match=r"yarns\[2\] must be"):
        wf.plied(["8/2 Ne", "8/2"])
    with pytest.raises(WeaveError, match="yarns must be a list"):
        wf.plied([])
    with pytest.raises(WeaveError, match="yarns must be a list"):
        wf.plied("8/2 Ne")


@quick
@given(yarns, st.floats(0.5, 1.2))
def test_diameters_of_a_centimetre_and_an_inch(yarn, constant):
    per_inch = wf.yarn_diameters(yarn, constant)
    assert wf.yarn_diameters(yarn, constant, "cm") * 2.54 == pytest.approx(per_inch, rel=1e-12)


@quick
@given(texs, st.floats(0.5, 3))
def test_four_times_the_weight_is_twice_the_diameter(tex, volume):
    thin, thick = (wf.yarn_diameter(f"{weight:.9f} tex", volume) for weight in (tex / 4, tex))
    assert thick == pytest.approx(2 * thin, rel=1e-6)


@quick
@given(texs, st.floats(0.2, 5))
def test_a_metre_of_round_yarn_has_its_volume(tex, volume):
    # A cylinder: π/4 d² × 1 m, d in mm gives cm³; tex/1000 is the grams in a metre.
    diameter = wf.yarn_diameter(f"{tex:.9f} tex", volume)
    assert np.pi / 4 * diameter**2 == pytest.approx(float(f"{tex:.9f}") / 1000 * volume, rel=1e-9)


@pytest.mark.parametrize("constant", [0, -1, 2.5, 90])
def test_constants_refused(constant):
    with pytest.raises(WeaveError, match="constant must be"):
        wf.yarn_diameters("8/2 Ne", constant)


@pytest.mark.parametrize("volume", [0, 0.05, 11])
def test_specific_volumes_refused(volume):
    with pytest.raises(WeaveError, match="specific_volume must be"):
        wf.yarn_diameter("8/2 Ne", volume)


@quick
@given(st.floats(5, 200))
def test_every_wrap_count_above_five_has_a_name(wraps):
    for name in wf.yarn_weight_class(wraps).split(", "):
        fewest, most = YARN_WEIGHTS[name]
        assert fewest <= wraps <= most


@pytest.mark.parametrize(("name", "edges"), YARN_WEIGHTS.items(), ids=list(YARN_WEIGHTS))
def test_both_edges_belong_to_a_name(name, edges):
    for edge in edges:
        if edge != float("inf"):
            assert name in wf.yarn_weight_class(edge).split(", ")


@pytest.mark.parametrize("wraps", [4.5, 0.5])
def test_wraps_that_fit_no_name(wraps):
    told = r"a standard yarn weight \(lace 30 and more, super fine 14 to 30, .*, jumbo 1 to 4\); got"
    with pytest.raises(WeaveError, match=told):
        wf.yarn_weight_class(wraps)


@pytest.mark.parametrize("wraps", [0, -3, 201, "14"])
def test_wraps_out_of_range(wraps):
    with pytest.raises(WeaveError, match="wraps must be a number"):
        wf.yarn_weight_class(wraps)


TEXTS = ["8/2 Ne", "400 m/100 g", "74 tex"]


def test_columns_come_back_as_they_were_given():
    expected = [wf.tex(text) for text in TEXTS]
    assert wf.tex(TEXTS) == expected
    array = wf.tex(np.array(TEXTS))
    assert isinstance(array, np.ndarray)
    assert array.tolist() == expected
    series = wf.tex(pd.Series(TEXTS, index=["a", "b", "c"]))
    assert list(series.index) == ["a", "b", "c"]
    assert series.tolist() == expected


def test_columns_of_amounts_and_yarns():
    masses = [100.0, 50.0, 7.4]
    expected = [wf.yarn_length(mass, text) for mass, text in zip(masses, TEXTS, strict=True)]
    assert wf.yarn_length(masses, TEXTS) == pytest.approx(expected)
    assert wf.yarn_length(np.array(masses), TEXTS).tolist() == pytest.approx(expected)
    series = wf.yarn_length(pd.Series(masses), pd.Series(TEXTS))
    assert series.tolist() == pytest.approx(expected)
    assert wf.count(TEXTS, ["tex", "m/100 g", "dtex"]) == pytest.approx([wf.tex(TEXTS[0]), 400, 740])
    assert wf.yarn_weight_class(np.array([2, 8])).tolist() == ["jumbo", "bulky"]


def test_the_bad_row_is_named():
    with pytest.raises(WeaveError, match="yarn in row 2 must be"):
        wf.tex(["8/2 Ne", "8/2", "3"])
    with pytest.raises(WeaveError, match="mass in row 3 must be"):
        wf.yarn_length(np.array([1.0, 2.0, -3.0]), "8/2 Ne")
