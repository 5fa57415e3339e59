"""Cloth: weight, crimp, thickness, jamming, fibre content."""

from __future__ import annotations

import math
import re

import numpy as np
import pandas as pd
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs import _geometry
from weavefuncs.registry import declared

quick = settings(deadline=None, derandomize=True, max_examples=150)

FUNCTIONS = declared("cloth")

# One call of each function that works.
GOOD = {
    "cloth_mass": (12, "30 tex", 0.1, 10, "20 Ne", 0.05, "cm", "g/m2"),
    "crimp_height": (0.5, 0.09, 1.36),
    "cloth_thickness": (0.25, 0.2, 0.1, 0.3),
    "weft_crimp": (0.09, 0.5, 0.5, 0.16, 0.16, 1.36),
    "crimp_height_exact": (0.5, 0.09, 0.16, 0.16),
    "weft_crimp_exact": (0.09, 0.5, 0.5, 0.16, 0.16),
    "balanced_crimp": ("warp", 0.5, 0.5, 0.16, 0.16),
    "cloth_closeness": (0.5, 0.5, 0.16, 0.16),
    "plain_cloth": (20, "8/2 Ne", 20, "8/2 Ne", "warp", 0.07, 1.1, "in"),
    "jammed_spacing": (0.5, 0.3, 0.3),
    "yarn_for_cloth_weight": ("20 Ne", 4, 5),
    "sett_for_cloth_weight": (60, 4, 5),
    "fibre_content": ([150, 90], ["cotton", "linen"]),
}

NUMBERS = [
    (name, position, parameter)
    for name, function in FUNCTIONS.items()
    for position, parameter in enumerate(function.parameters)
    if parameter.bounds is not None and not parameter.is_list
]
IDS = [f"{name}-{parameter.name}" for name, _, parameter in NUMBERS]


def with_argument(name: str, position: int, value: object) -> list[object]:
    arguments: list[object] = list(GOOD[name])
    arguments[position] = value
    return arguments


# Every function


def test_every_function_has_a_good_call() -> None:
    assert list(GOOD) == list(FUNCTIONS)
    for name, arguments in GOOD.items():
        assert len(arguments) == len(FUNCTIONS[name].parameters)
        getattr(wf, name)(*arguments)


@pytest.mark.parametrize("value", [math.nan, math.inf, -0.001, 1e12, True, "9", ""])
@pytest.mark.parametrize(("name", "position", "parameter"), NUMBERS, ids=IDS)
def test_nonsense_is_refused_by_name(name: str, position: int, parameter: object, value: object) -> None:
    with pytest.raises(wf.WeaveError) as caught:
        getattr(wf, name)(*with_argument(name, position, value))
    assert caught.value.argument == parameter.name
    assert caught.value.function == name


@pytest.mark.parametrize(
    ("name", "position", "parameter"),
    [number for number in NUMBERS if number[2].column],
    ids=[name for name, number in zip(IDS, NUMBERS) if number[2].column],
)
def test_columns_agree_with_single_calls(name: str, position: int, parameter: object) -> None:
    function, value = getattr(wf, name), GOOD[name][position]
    column = [value, value * 0.999, value]
    singly = [function(*with_argument(name, position, item)) for item in column]
    assert function(*with_argument(name, position, column)) == singly
    array = function(*with_argument(name, position, np.array(column)))
    series = function(*with_argument(name, position, pd.Series(column, index=["a", "b", "c"])))
    assert isinstance(array, np.ndarray)
    assert list(series.index) == ["a", "b", "c"]
    if FUNCTIONS[name].result_kind == "text":
        assert array.tolist() == series.tolist() == singly
    else:
        assert array.tolist() == pytest.approx(singly, rel=1e-14)
        assert series.tolist() == pytest.approx(singly, rel=1e-14)
    with pytest.raises(wf.WeaveError, match="in row 2") as caught:
        function(*with_argument(name, position, [value, math.nan, value]))
    assert caught.value.argument == parameter.name


# Weight


@quick
@given(st.floats(1, 40), st.floats(5, 500), st.floats(0, 0.5), st.floats(1, 40), st.floats(5, 500))
def test_weight_is_the_yarn_of_one_square_metre(
    sett: float, warp: float, crimp: float, weft_sett: float, weft: float
) -> None:
    mass = wf.cloth_mass(sett, f"{warp} tex", crimp, weft_sett, f"{weft} tex", 0.2)
    # 100 cm of cloth hold 100 × sett ends, each 1 m of cloth long before its crimp.
    one_end = wf.yarn_mass(1 + crimp, f"{warp} tex")
    one_pick = wf.yarn_mass(1.2, f"{weft} tex")
    assert mass == pytest.approx(100 * sett * one_end + 100 * weft_sett * one_pick)


@quick
@given(st.floats(1, 100), st.floats(1, 100))
def test_weight_by_the_inch_and_in_ounces(sett: float, weft_sett: float) -> None:
    centimetres = wf.cloth_mass(sett / 2.54, "8/2 Ne", 0.1, weft_sett / 2.54, "8/2 Ne", 0.1)
    inches = wf.cloth_mass(sett, "8/2 Ne", 0.1, weft_sett, "8/2 Ne", 0.1, "in")
    assert inches == pytest.approx(centimetres)
    ounces = wf.cloth_mass(sett, "8/2 Ne", 0.1, weft_sett, "8/2 Ne", 0.1, "in", "oz/yd2")
    # A square yard of sett × 36 ends, one yard each before crimp, 3360 yd to 16 oz.
    assert ounces == pytest.approx((sett + weft_sett) * 36 * 1.1 * 16 / 3360)


def test_weight_refuses_unknown_texts_and_percentages() -> None:
    with pytest.raises(wf.WeaveError, match="result must be one of g/m2, oz/yd2"):
        wf.cloth_mass(12, "30 tex", 0.1, 10, "30 tex", 0.1, "cm", "gsm")
    with pytest.raises(wf.WeaveError, match=r"warp_crimp must be .* at most 2; got 10"):
        wf.cloth_mass(12, "30 tex", 10, 10, "30 tex", 10)
    with pytest.raises(wf.WeaveError, match="weft must be a yarn with its system"):
        wf.cloth_mass(12, "30 tex", 0.1, 10, 30, 0.1)


@quick
@given(
    st.sampled_from(["20 Ne", "8/2 Ne", "2/24 worsted", "400 m/100 g", "74 tex", "20 tex x 3", "2 Ne x 3"]),
    st.floats(0.5, 2),
)
def test_a_heavier_cloth_of_the_same_closeness(yarn: str, ratio: float) -> None:
    new_yarn = wf.yarn_for_cloth_weight(yarn, 1, ratio)
    new_sett = wf.sett_for_cloth_weight(20, 1, ratio)
    before = wf.cloth_mass(20, yarn, 0.1, 20, yarn, 0.1)
    after = wf.cloth_mass(new_sett, new_yarn, 0.1, new_sett, new_yarn, 0.1)
    assert after / before == pytest.approx(ratio)
    assert wf.cover_factor(new_sett, new_yarn) == pytest.approx(wf.cover_factor(20, yarn))
    back = wf.yarn_for_cloth_weight(new_yarn, ratio, 1)
    assert wf.tex(back) == pytest.approx(wf.tex(yarn), rel=1e-12)
    # Another number in the same system; plies that would exceed it are written as strands.
    system, new_system = (text.partition(" ")[2].partition(" x ")[0] for text in (yarn, new_yarn))
    assert new_system == system


def test_a_direct_yarn_grows_where_a_count_falls() -> None:
    assert wf.yarn_for_cloth_weight("20 tex", 100, 200) == "80 tex"
    assert wf.yarn_for_cloth_weight("20 Ne", 100, 200) == "5 Ne"
    assert wf.yarn_for_cloth_weight(["20 tex", "20 Ne"], 100, 200) == ["80 tex", "5 Ne"]
    with pytest.raises(wf.WeaveError, match=r"the resulting yarn must be from 0\.01"):
        wf.yarn_for_cloth_weight("20 tex", 1, 1e6)


# Crimp and thickness


def test_crimp_height_stops_where_a_thread_stands_upright() -> None:
    assert wf.crimp_height(0.5, 0) == 0
    with pytest.raises(wf.WeaveError, match=r"at most 0\.571; got 7\.5"):
        wf.crimp_height(0.5, 7.5)


def test_thickness_is_of_the_system_that_stands_higher() -> None:
    assert wf.cloth_thickness(0.25, 0.25) == 0.5
    assert wf.cloth_thickness(0.25, 0.25, 0.5, 0.25) == 0.75
    assert wf.cloth_thickness(0, 0.25, 0, 0.5) == 0.5
    with pytest.raises(wf.WeaveError, match="weft_diameter must be above 0 where the weft has a crimp"):
        wf.cloth_thickness(0.25, 0.25, 0.1)


def bent(angle: float, straight: float) -> tuple[float, float, float]:
    """Spacing, crimp and rise of a thread bent by an angle round diameters of 1, drawn part by part."""
    spacing = math.sin(angle) + straight * math.cos(angle)
    length = angle + straight
    return spacing, length / spacing - 1, 1 - math.cos(angle) + straight * math.sin(angle)


@quick
@given(st.floats(0.001, 1.5), st.floats(0, 3))
def test_rise_finds_the_angle_that_a_thread_was_drawn_with(angle: float, straight: float) -> None:
    spacing, crimp, height = bent(angle, straight)
    assert _geometry.rise(spacing, crimp) == pytest.approx(height, abs=1e-6)
    # What rises as far as its neighbours let it has no straight part.
    closest, _, highest = bent(angle, 0)
    assert _geometry.highest_rise(closest) == pytest.approx(highest)


@quick
@given(st.floats(0.2, 1.2), st.floats(0.01, 2), st.floats(0.02, 3), st.floats(0.1, 5), st.floats(0.3, 3))
def test_weft_crimp_of_a_drawn_cloth(
    angle: float, straight: float, weft_straight: float, scale: float, ratio: float
) -> None:
    weft_spacing, warp_crimp, height = bent(angle, straight)
    assume(height < 0.98)
    # The weft rises by what the warp leaves of the two diameters: find its angle for its straight part.
    low, high = 0.0, math.pi / 2
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if bent(middle, weft_straight)[2] < 1 - height else (low, middle)
    warp_spacing, crimp, _ = bent(low, weft_straight)
    assume(warp_crimp <= 0.3)
    diameters = scale * ratio / (1 + ratio), scale / (1 + ratio)
    result = wf.weft_crimp(warp_crimp, warp_spacing * scale, weft_spacing * scale, *diameters)
    # The short form misses a height by up to 9 % of it; both misses end in the weft's height.
    assert math.sqrt(result) * warp_spacing * 4 / 3 == pytest.approx(1 - height, abs=0.2)
    # And it is exactly the rule that it states.
    heights = wf.crimp_height(weft_spacing, warp_crimp) + wf.crimp_height(warp_spacing, result)
    assert heights == pytest.approx(1)
    assert crimp >= 0


def test_crimp_goes_from_weft_to_warp_and_back() -> None:
    weft = wf.weft_crimp(0.09, 0.5, 0.45, 0.16, 0.18)
    assert wf.weft_crimp(weft, 0.45, 0.5, 0.18, 0.16) == pytest.approx(0.09)


def test_a_warp_that_rises_by_both_diameters_leaves_the_weft_straight() -> None:
    full = (0.32 / (4 / 3 * 0.5)) ** 2
    assert wf.weft_crimp(full, 0.5, 0.5, 0.16, 0.16) == pytest.approx(0, abs=1e-12)
    with pytest.raises(wf.WeaveError, match="beyond both diameters"):
        wf.weft_crimp(full * 1.001, 0.5, 0.5, 0.16, 0.16)


@pytest.mark.parametrize(
    ("arguments", "reason"),
    [
        # Ends so close that the weft cannot dive between them, and a flat warp that leaves it to the weft.
        ((0, 0.2, 2.4, 1, 1), "more: between ends 0.1 of both diameters apart no weft bends so far"),
        # More yarn than fits between picks so close.
        ((0.5, 4, 0.4, 1, 1), "less: between picks 0.2 of both diameters apart there is no room for it"),
        # Picks far apart and a crimp that would stand far above the weft.
        ((0.5, 2, 5, 0.5, 0.5), "beyond both diameters"),
    ],
)
def test_cloths_that_cannot_exist(arguments: tuple[float, ...], reason: str) -> None:
    with pytest.raises(wf.WeaveError, match=reason) as caught:
        wf.weft_crimp(*arguments)
    assert caught.value.argument == "warp_crimp"


# Peirce's geometry, exactly


def drawn_cloth(
    angle: float, straight: float, weft_straight: float
) -> tuple[float, float, float, float, float]:
    """A plain cloth of diameters that sum to 1, drawn part by part: spacings, crimps, height of the warp."""
    weft_spacing, warp_crimp, height = bent(angle, straight)
    low, high = 0.0, math.pi / 2
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if bent(middle, weft_straight)[2] < 1 - height else (low, middle)
    warp_spacing, weft_crimp, _ = bent(low, weft_straight)
    return warp_spacing, weft_spacing, warp_crimp, weft_crimp, height


CLOTHS = st.tuples(st.floats(0.1, 1.3), st.floats(0, 2), st.floats(0, 3)).filter(
    lambda cloth: 0.02 < bent(cloth[0], cloth[1])[2] < 0.98
)
SCALES = st.tuples(st.floats(0.1, 5), st.floats(0.3, 3))


@quick
@given(CLOTHS, SCALES)
def test_the_exact_weft_crimp_is_that_of_the_cloth_drawn(
    cloth: tuple[float, float, float], scales: tuple[float, float]
) -> None:
    warp_spacing, weft_spacing, warp_crimp, crimp, height = drawn_cloth(*cloth)
    scale, ratio = scales
    diameters = scale * ratio / (1 + ratio), scale / (1 + ratio)
    spacings = warp_spacing * scale, weft_spacing * scale
    assert wf.weft_crimp_exact(warp_crimp, *spacings, *diameters) == pytest.approx(crimp, rel=1e-4, abs=1e-5)
    assert wf.crimp_height_exact(spacings[1], warp_crimp, *diameters) == pytest.approx(
        height * scale, rel=1e-5
    )
    # The other way round, from the weft's crimp to the warp's: turn the cloth by a quarter.
    turned = wf.weft_crimp_exact(crimp, *spacings[::-1], *diameters[::-1])
    assert turned == pytest.approx(warp_crimp, rel=1e-4, abs=1e-5)


@quick
@given(st.floats(0.3, 4), st.floats(0.3, 4), SCALES)
def test_the_balanced_cloth_rises_alike_as_far_as_there_is_room(
    ends: float, picks: float, scales: tuple[float, float]
) -> None:
    assume(_geometry.highest_rise(ends) + _geometry.highest_rise(picks) > 1)
    scale, ratio = scales
    diameters = scale * ratio / (1 + ratio), scale / (1 + ratio)
    spacings = ends * scale, picks * scale
    warp = wf.balanced_crimp("warp", *spacings, *diameters)
    weft = wf.balanced_crimp("weft", *spacings, *diameters)
    assume(warp <= 2 and weft <= 2)
    # Each crimp makes the other one: the pair is a solution of the general equations.
    assert wf.weft_crimp_exact(warp, *spacings, *diameters) == pytest.approx(weft, rel=1e-4, abs=1e-5)
    heights = [
        wf.crimp_height_exact(spacing, crimp, *diameters) / scale
        for spacing, crimp in ((spacings[1], warp), (spacings[0], weft))
    ]
    assert sum(heights) == pytest.approx(1, abs=1e-5)
    room = min(_geometry.highest_rise(ends), _geometry.highest_rise(picks))
    assert min(heights) == pytest.approx(min(0.5, room), abs=1e-5)


def test_cloths_beyond_jammed_are_refused() -> None:
    with pytest.raises(wf.WeaveError, match="so close round threads are beyond jammed") as caught:
        wf.balanced_crimp("warp", 0.8, 0.8, 0.5, 0.5)
    assert caught.value.argument == "warp_spacing"
    with pytest.raises(wf.WeaveError, match=r"sett must be lower, .* round threads are beyond jammed"):
        wf.plain_cloth(60, "8/2 Ne", 60, "8/2 Ne")
    with pytest.raises(wf.WeaveError, match=r"between threads 0\.2 of both diameters apart there is no room"):
        wf.crimp_height_exact(0.4, 2, 1, 1)
    with pytest.raises(wf.WeaveError, match="beyond the other"):
        wf.weft_crimp_exact(1, 2, 2, 0.5, 0.5)
    with pytest.raises(wf.WeaveError, match="none bends so far") as caught:
        wf.weft_crimp_exact(0, 0.3, 1.2, 0.5, 0.5)
    assert caught.value.argument == "warp_crimp"


@pytest.mark.parametrize("height", [0.99, 0.995, 1.0, 1.005, 1.009])
def test_a_misfit_of_one_percent_is_forgiven(height: float) -> None:
    spacing, crimp, _ = bent(1.0, (height - 1 + math.cos(1.0)) / math.sin(1.0))
    # The weft has the rest of the two diameters to rise, and lies straight where nothing is left.
    rest = wf.crimp_height_exact(2, wf.weft_crimp_exact(crimp, 2, spacing, 0.5, 0.5), 0.5, 0.5)
    assert rest == pytest.approx(max(1 - height, 0), abs=1e-5)
    both = 2 * wf.yarn_diameter("30 tex")
    figures = {
        what: value for what, value, _ in wf.plain_cloth(*plain(2 * both, spacing * both), "warp", crimp)
    }
    assert figures["warp crimp height"] == pytest.approx(min(height, 1) * both, rel=1e-5)
    assert figures["weft crimp height"] == pytest.approx(max(1 - height, 0) * both, abs=1e-5)


def plain(warp_spacing: float, weft_spacing: float) -> tuple[float, str, float, str]:
    """The first arguments of ``plain_cloth`` for spacings in millimetres."""
    return 25.4 / warp_spacing, "30 tex", 25.4 / weft_spacing, "30 tex"


def test_more_than_that_is_not() -> None:
    spacing, crimp, _ = bent(1.0, (1.02 - 1 + math.cos(1.0)) / math.sin(1.0))
    with pytest.raises(wf.WeaveError, match=r"would rise 1\.02 of both diameters, beyond the other"):
        wf.weft_crimp_exact(crimp, 2, spacing, 0.5, 0.5)
    both = 2 * wf.yarn_diameter("30 tex")
    with pytest.raises(wf.WeaveError, match=r"crimp must be less: .* beyond the other") as caught:
        wf.plain_cloth(*plain(2 * both, spacing * both), "warp", crimp)
    assert caught.value.argument == "crimp"


@pytest.mark.parametrize(("known", "other"), [("warp", "weft"), ("weft", "warp")])
def test_a_straight_thread_leaves_all_the_crimp_to_the_other(known: str, other: str) -> None:
    both = 2 * wf.yarn_diameter("30 tex")
    figures = {what: value for what, value, _ in wf.plain_cloth(*plain(2 * both, 2 * both), known)}
    assert figures[f"{known} crimp"] == figures[f"{known} crimp height"] == 0
    assert figures[f"{other} crimp height"] == pytest.approx(both)
    # One diameter of the straight thread under, one of its own.
    assert figures["thickness"] == pytest.approx(1.5 * both)


def test_threads_wider_than_their_room_cover_all() -> None:
    rows = wf.plain_cloth(14, "400 tex", 5, "25 tex", per="cm")
    figures = {what: value for what, value, _ in rows}
    assert figures["warp diameter"] > figures["warp spacing"]
    assert figures["warp cover"] == 1
    assert figures["cover"] == pytest.approx(1)
    assert figures["weft cover"] == pytest.approx(figures["weft diameter"] / figures["weft spacing"])


def test_the_table_names_each_figure_and_its_unit() -> None:
    assert [(what, unit) for what, _, unit in wf.plain_cloth(20, "8/2 Ne", 20, "8/2 Ne")] == [
        ("warp diameter", "mm"),
        ("weft diameter", "mm"),
        ("warp spacing", "mm"),
        ("weft spacing", "mm"),
        ("warp crimp", "share"),
        ("weft crimp", "share"),
        ("warp crimp height", "mm"),
        ("weft crimp height", "mm"),
        ("thickness", "mm"),
        ("mass", "g/m2"),
        ("warp cover", "share"),
        ("weft cover", "share"),
        ("cover", "share"),
        ("closeness to jammed", "share"),
    ]


@quick
@given(st.floats(0.05, 0.999), SCALES)
def test_a_cloth_at_its_jammed_spacing_has_closeness_one(share: float, scales: tuple[float, float]) -> None:
    scale, ratio = scales
    diameters = scale * ratio / (1 + ratio), scale / (1 + ratio)
    ends = share * scale
    picks = wf.jammed_spacing(ends, *diameters)
    assert wf.cloth_closeness(ends, picks, *diameters) == pytest.approx(1, abs=1e-7)
    # Opened alike both ways it is as much less close, whichever system is which.
    assert wf.cloth_closeness(2 * picks, 2 * ends, *diameters) == pytest.approx(0.5, abs=1e-7)


@pytest.mark.parametrize("known", ["neither", "warp", "weft"])
@pytest.mark.parametrize("per", ["in", "cm"])
def test_the_whole_cloth_is_what_its_functions_say_one_by_one(known: str, per: str) -> None:
    unit = 25.4 if per == "in" else 10
    sett, weft_sett = 22 * unit / 25.4, 17 * unit / 25.4
    crimp = 0 if known == "neither" else 0.06
    figures = {
        what: value
        for what, value, _ in wf.plain_cloth(sett, "8/2 Ne", weft_sett, "60 tex", known, crimp, 1.2, per)
    }
    diameters = wf.yarn_diameter("8/2 Ne", 1.2), wf.yarn_diameter("60 tex", 1.2)
    spacings = unit / sett, unit / weft_sett
    assert (figures["warp diameter"], figures["weft diameter"]) == diameters
    assert (figures["warp spacing"], figures["weft spacing"]) == pytest.approx(spacings)
    if known == "warp":
        crimps = crimp, wf.weft_crimp_exact(crimp, *spacings, *diameters)
    elif known == "weft":
        crimps = wf.weft_crimp_exact(crimp, *spacings[::-1], *diameters[::-1]), crimp
    else:
        crimps = tuple(wf.balanced_crimp(system, *spacings, *diameters) for system in ("warp", "weft"))
    assert (figures["warp crimp"], figures["weft crimp"]) == pytest.approx(crimps, rel=1e-9)
    heights = [
        wf.crimp_height_exact(spacing, bent_by, *diameters)
        for spacing, bent_by in zip(spacings[::-1], crimps)
    ]
    assert (figures["warp crimp height"], figures["weft crimp height"]) == pytest.approx(heights, rel=1e-6)
    thickness = wf.cloth_thickness(heights[0], diameters[0], heights[1], diameters[1])
    assert figures["thickness"] == pytest.approx(thickness, rel=1e-6)
    mass = wf.cloth_mass(sett, "8/2 Ne", crimps[0], weft_sett, "60 tex", crimps[1], per)
    assert figures["mass"] == pytest.approx(mass)
    covers = [diameter / spacing for diameter, spacing in zip(diameters, spacings)]
    assert (figures["warp cover"], figures["weft cover"]) == pytest.approx(covers)
    assert figures["cover"] == pytest.approx(wf.cloth_cover(*covers, full=1))
    assert figures["closeness to jammed"] == pytest.approx(wf.cloth_closeness(*spacings, *diameters))


def test_a_crimp_that_is_nobodys_is_refused() -> None:
    with pytest.raises(wf.WeaveError, match="known must be warp or weft where a crimp is given"):
        wf.plain_cloth(20, "8/2 Ne", 20, "8/2 Ne", crimp=0.1)


# Jamming


@quick
@given(st.floats(0.05, 0.999), st.floats(0.1, 10), st.floats(0.2, 5))
def test_jamming_is_the_same_from_either_side(share: float, both: float, ratio: float) -> None:
    warp, weft = both * ratio / (1 + ratio), both / (1 + ratio)
    picks = wf.jammed_spacing(share * both, warp, weft)
    assert 0 < picks < both
    assert math.sqrt(1 - share**2) + math.sqrt(1 - (picks / both) ** 2) == pytest.approx(1, abs=1e-9)
    assert wf.jammed_spacing(picks, weft, warp) == pytest.approx(share * both, rel=1e-6)


@quick
@given(st.floats(0.1, 0.99))
def test_a_jammed_cloth_has_no_straight_yarn(share: float) -> None:
    picks = wf.jammed_spacing(share, 0.5, 0.5)
    # Bent all the way round, the heights of both systems come to the two diameters together.
    assert _geometry.highest_rise(share) + _geometry.highest_rise(picks) == pytest.approx(1)


def test_an_open_warp_never_jams() -> None:
    for spacing in (0.6, 0.7, 100):
        with pytest.raises(wf.WeaveError, match=r"below both diameters together \(0\.6\).* never jams"):
            wf.jammed_spacing(spacing, 0.2, 0.4)
    assert 0 < wf.jammed_spacing(0.5999, 0.2, 0.4) < 0.2


# Fibre content


FIBRES = ["cotton", "linen", "wool", "silk", "hemp", "ramie", "mohair"]


@quick
@given(
    st.lists(st.floats(0.001, 1000), min_size=1, max_size=12).flatmap(
        lambda masses: st.tuples(
            st.just(masses),
            st.lists(st.sampled_from(FIBRES), min_size=len(masses), max_size=len(masses)),
        )
    )
)
def test_percentages_sum_to_a_hundred_and_are_off_by_less_than_one(
    given_lists: tuple[list[float], list[str]],
) -> None:
    masses, fibres = given_lists
    content = wf.fibre_content(masses, fibres)
    written = {name: int(number) for number, name in re.findall(r"(\d+) % (\w+)", content)}
    traces = re.findall(r"traces of (\w+)", content)
    assert sum(written.values()) == 100
    assert set(written) | set(traces) == set(fibres)
    assert list(written.values()) == sorted(written.values(), reverse=True)
    total = math.fsum(masses)
    for fibre in set(fibres):
        share = 100 * math.fsum(m for m, f in zip(masses, fibres) if f == fibre) / total
        assert abs(written.get(fibre, 0) - share) < 1 + 1e-6


def test_rounding_of_a_label() -> None:
    assert wf.fibre_content([1, 1, 1], ["wool", "silk", "linen"]) == "34 % wool, 33 % silk, 33 % linen"
    # 33.5, 33.5, 33: the point goes to the one named first.
    assert wf.fibre_content([33, 33.5, 33.5], ["wool", "silk", "linen"]) == "34 % silk, 33 % linen, 33 % wool"
    # 57.14 and 14.29 three times: the points go to the larger remainders.
    content = wf.fibre_content([4, 1, 1, 1], ["wool", "silk", "linen", "hemp"])
    assert content == "57 % wool, 15 % silk, 14 % linen, 14 % hemp"


def test_fibres_of_one_name_are_added_and_traces_told() -> None:
    assert wf.fibre_content([10, 20, 30], ["Wool", " wool ", "WOOL"]) == "100 % Wool"
    assert wf.fibre_content([10, 30], ["new  wool", "New Wool"]) == "100 % new wool"
    assert wf.fibre_content([997, 3], ["cotton", "silk"]) == "100 % cotton, traces of silk"
    assert wf.fibre_content([60, 0, 40], ["cotton", "silk", "linen"]) == "60 % cotton, 40 % linen"


def test_fibre_lists_that_do_not_match() -> None:
    with pytest.raises(wf.WeaveError, match="fibres must be a list of 2, as many as masses has; got 'a list"):
        wf.fibre_content([1, 2], ["wool"])
    with pytest.raises(wf.WeaveError, match="masses must be above 0 for one yarn at least"):
        wf.fibre_content([0, 0], ["wool", "silk"])
    with pytest.raises(wf.WeaveError, match=r"fibres\[2\] must be a text"):
        wf.fibre_content([1, 2], ["wool", ""])
    with pytest.raises(wf.WeaveError, match="masses must be a list"):
        wf.fibre_content([], [])
