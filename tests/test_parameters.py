"""Kinds of argument: what each accepts, refuses and hands on."""

from __future__ import annotations

import math
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs._docstring import Entry
from weavefuncs._parameters import UNIT_KINDS, Bounds, Parameter, looks_like_grid, plain_number
from weavefuncs.errors import WeaveError
from weavefuncs.shared.units import SYNONYMS


class Thing:
    """Nothing that can be taken for a value; it is called the same in every process."""

    def __repr__(self) -> str:
        return "thing"


NO_NUMBERS = [
    None, True, False, "", "12", "x", b"12", math.nan, math.inf, -math.inf, 10**400, 1j, [], [1], {},
    Thing(),
    np.nan, np.bool_(True), np.array("12"), np.array([1.0]), np.array(1j), np.array(True),
    np.datetime64("2020-01-01"),
    np.timedelta64(3, "D"), pd.NA, pd.NaT, pd.Timestamp(0), pd.Timedelta(1), pd.Series([1.0]),
    Decimal("nan"), Decimal("1e999"),
]  # fmt: skip
TWELVES = [
    12, 12.0, np.int8(12), np.uint64(12), np.float32(12), np.longdouble(12), np.array(12), np.array(12.0),
    Decimal(12), Fraction(24, 2),
]  # fmt: skip


def parameter(type_line: str, required: bool = True, default: object = None) -> Parameter:
    return Parameter(Entry("given", type_line, "Given."), required, default)


def refusal(declared: Parameter, value: object) -> str:
    with pytest.raises(WeaveError) as caught:
        declared.convert(value)
    return str(caught.value)


@pytest.mark.parametrize("value", TWELVES, ids=lambda value: type(value).__name__)
@pytest.mark.parametrize(("kind", "made"), [("number", float), ("whole", int)])
def test_any_real_number_is_a_number(value: object, kind: str, made: type) -> None:
    converted = parameter(kind).convert(value)
    assert converted == 12
    assert type(converted) is made


@pytest.mark.parametrize("value", NO_NUMBERS, ids=str)
@pytest.mark.parametrize("kind", ["number", "whole", "fraction"])
def test_no_number_is_refused(value: object, kind: str) -> None:
    assert plain_number(value) is None
    assert "given must be a" in refusal(parameter(kind), value)


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("value", [np.array([1.0]), np.array([[1]]), pd.Series([1.0])], ids=str)
def test_a_column_of_one_is_no_number_though_it_turns_into_a_float(value: object) -> None:
    assert plain_number(value) is None


@pytest.mark.parametrize(
    ("conditions", "inside", "outside", "words"),
    [
        ("> 0", [1e-300, 1], [0, -1], "a number above 0"),
        (">= 0", [0, 1], [-1e-300], "a number at least 0"),
        ("< 2", [-5, 1.999], [2, 3], "a number below 2"),
        ("<= 2", [2], [2.0000001], "a number at most 2"),
        ("<= 10000", [10000], [10001], "a number at most 10000"),
        ("> -1, <= 1e6", [-0.5, 1e6], [-1, 1000001], "a number above -1 and at most 1,000,000"),
    ],
)
def test_bounds(conditions: str, inside: list[float], outside: list[float], words: str) -> None:
    declared = parameter(f"number, {conditions}")
    for value in inside:
        assert declared.convert(value) == value
    for value in outside:
        assert refusal(declared, value) == f"given must be {words}; got {value}"


def test_bounds_never_hold_for_nan() -> None:
    assert not Bounds([], -math.inf, math.inf, False).holds(math.nan)
    assert not Bounds(["> 0"], -math.inf, math.inf, False).vector_holds(np.array([1.0, math.nan]))


@pytest.mark.parametrize(
    "value", [12.0000000001, 11.9999999999, 3 * 0.1 * 40, 0.1 * 3 / 0.3 * 12, 1e7 * (1 + 4e-16)]
)
def test_float_dust_is_forgiven(value: float) -> None:
    assert parameter("whole").convert(value) == round(value)
    assert parameter("whole or column").vector(np.array([value])) == [round(value)]


@pytest.mark.parametrize("value", [12.5, 12.00001, 11.999, 1e7 + 0.01, 999999999.5, 1e9 + 0.25])
def test_more_than_dust_is_not_whole(value: float) -> None:
    assert "a whole number" in refusal(parameter("whole"), value)
    assert parameter("whole or column").vector(np.array([value])) is None


def test_an_array_of_numbers_keeps_its_decimals() -> None:
    assert parameter("number or column").vector(np.array([0.5, 2.25])).tolist() == [0.5, 2.25]


@given(st.floats(-1e15, 1e15))
def test_one_value_and_a_column_agree_on_what_is_whole(value: float) -> None:
    declared = parameter("whole or column")
    try:
        single = declared.convert(value)
    except WeaveError:
        single = None
    together = declared.vector(np.array([value]))
    assert (None if together is None else int(together[0])) == single


def test_a_whole_number_is_bounded_after_rounding() -> None:
    assert parameter("whole, >= 1").convert(0.9999999999999) == 1


def test_a_fraction_above_one_tells_how_percent_are_written() -> None:
    declared = parameter("fraction")
    assert declared.convert(0) == 0
    assert declared.convert(0.1) == 0.1
    assert refusal(declared, 12.5) == (
        "given must be a fraction at least 0 and below 1: 10 % is 0.10, so 12.5 % is 0.125; got 12.5"
    )
    assert "10 % is 0.10" in refusal(declared, -0.1)
    told = "given must be a fraction at least 0 and below 1: 10 % is 0.10; got '10%'"
    assert refusal(declared, "10%") == told


@pytest.mark.parametrize(
    ("value", "why"),
    [
        (1, "1 % is not what a cell holds that shows 100 %"),
        (10, "told already"),
        (100, "a whole is refused too"),
        (150, "more than a whole is refused too"),
    ],
)
def test_no_fraction_is_offered_that_does_not_help(value: float, why: str) -> None:
    told = f"given must be a fraction at least 0 and below 1: 10 % is 0.10; got {value}"
    assert refusal(parameter("fraction"), value) == told, why


def test_the_fraction_that_is_offered_lies_within_the_bounds() -> None:
    share = parameter("fraction, > 0, <= 1, default 1", False, 1)
    assert refusal(share, 100).endswith("10 % is 0.10, so 100 % is 1; got 100")
    assert refusal(share, 101).endswith("10 % is 0.10; got 101")
    risk = parameter("fraction, > 0, <= 0.5, default 0.05", False, 0.05)
    assert refusal(risk, 50).endswith("10 % is 0.10, so 50 % is 0.5; got 50")
    assert refusal(risk, 75).endswith("10 % is 0.10; got 75")


def test_a_fraction_may_reach_one_where_declared() -> None:
    assert parameter("fraction, > 0, <= 1, default 1", False, 1).convert(1) == 1


@pytest.mark.parametrize("value", ["white", "  white ", np.str_("white")])
def test_texts_are_trimmed(value: str) -> None:
    assert parameter("text").convert(value) == "white"


@pytest.mark.parametrize("value", [None, "", "  ", 5, True, b"white", ["white"], np.array("white")], ids=str)
def test_no_text_is_refused(value: object) -> None:
    assert "given must be a text" in refusal(parameter("text"), value)


def test_choices_forgive_case_and_are_listed() -> None:
    declared = parameter('{"any", "odd", "even"}, default "any"', False, "any")
    assert declared.converted_default == "any"
    assert declared.convert(" ODD ") == "odd"
    for value in ("", "neither", 1, None, True):
        assert "one of any, odd, even" in refusal(declared, value)


@pytest.mark.parametrize("value", [True, 1, 1.0, np.bool_(True), np.array(True), np.int8(1)])
def test_logical(value: object) -> None:
    assert parameter("logical").convert(value) is True


@pytest.mark.parametrize(
    "value", [2, -1, 0.5, "true", "", None, math.nan, np.array([True]), pd.Series([True, False])], ids=str
)
def test_not_logical(value: object) -> None:
    assert refusal(parameter("logical"), value).startswith("given must be true or false; got ")


@pytest.mark.parametrize("kind", UNIT_KINDS)
def test_units_are_found_by_name_and_by_synonym(kind: str) -> None:
    declared = parameter(kind)
    for name, factor in UNIT_KINDS[kind].items():
        assert declared.convert(f" {name.upper()} ") == factor
        for synonym in (word for word, meant in SYNONYMS.items() if meant == name):
            assert declared.convert(synonym) == factor
    for value in ("", "furlong", 1, None, True):
        assert "one of " + ", ".join(UNIT_KINDS[kind]) in refusal(declared, value)


def test_every_synonym_means_a_unit() -> None:
    assert set(SYNONYMS.values()) <= {name for units in UNIT_KINDS.values() for name in units}


@pytest.mark.parametrize(
    "kind", ["yarn", "yarn text", "yarn system", "weave", "grid", "reversals", "sley order", "colour order"]
)
@pytest.mark.parametrize("value", [None, True, math.nan, -1, Thing(), {}, b"x", 1j, "(", [[2]]], ids=str)
def test_what_is_no_such_text_is_refused(kind: str, value: object) -> None:
    assert refusal(parameter(kind), value).startswith("given must be ")


@pytest.mark.parametrize(
    "value",
    [
        [1, 2],
        (1, 2),
        np.array([1, 2]),
        np.array([1.0, 2.0]),
        pd.Series([1, 2], index=[7, 8]),
        pd.array([1, 2]),
    ],
)
def test_lists(value: object) -> None:
    converted = parameter("list of numbers, > 0").convert(value)
    assert converted == (1.0, 2.0)
    assert all(type(item) is float for item in converted)


@pytest.mark.parametrize(
    ("value", "named"),
    [
        ([1, 0], "given[2] must be a number above 0; got 0"),
        ([None, 1], "given[1] must be a number above 0; got None"),
        ([1, "2"], "given[2]"),
        ([1, [2]], "given[2]"),
        (pd.Series([1.0, math.nan]), "given[2]"),
        (np.array([True, False]), "given must be a list, each a number above 0"),
        (np.array(["2020-01-01"], dtype="datetime64[ns]"), "given must be a list"),
        (np.array([[1, 2]]), "given must be a list"),
        (pd.DataFrame({"a": [1]}), "given must be a list"),
        ([], "given must be a list"),
        (np.array([]), "given must be a list"),
        (12, "given must be a list"),
        ("12", "given must be a list"),
        (None, "given must be a list"),
        ({1, 2}, "given must be a list"),
    ],
    ids=str,
)
def test_a_bad_item_of_a_list_is_numbered(value: object, named: str) -> None:
    assert named in refusal(parameter("list of numbers, > 0"), value)


def test_lists_of_texts_and_units_of_the_trade() -> None:
    assert parameter("list of texts").convert(["white", " blue"]) == ("white", "blue")
    assert parameter("list of wholes").convert([1.0, 2]) == (1, 2)
    assert parameter("list of yarns").convert(["20 tex"]) == pytest.approx((20.0,))


def test_anything_is_handed_on() -> None:
    value = object()
    assert parameter("any").convert(value) is value
    assert str(parameter("any").missing()) == "given must be given (anything); nothing was given"


def test_a_declaration_is_told_as_it_is_written() -> None:
    entry = Entry("given", "list of numbers [cm], > 0", "Given widths.")
    declared = Parameter(entry, True, None)
    assert (declared.kind, entry.kind) == ("list of numbers", "list of numbers")
    assert (declared.unit, declared.description) == ("cm", "Given widths.")


def test_an_unknown_kind_or_condition_is_refused() -> None:
    with pytest.raises(SyntaxError, match="unknown kind"):
        parameter("numbers")
    with pytest.raises(SyntaxError, match="none of > >= < <="):
        parameter("number, positive")


@pytest.mark.parametrize(
    ("value", "grid"),
    [
        ([[1, 0]], True),
        (((1, 0), (0, 1)), True),
        (np.array([[1, 0]]), True),
        ([np.array([1, 0])], True),
        (["plain"], False),
        ("plain", False),
        ([], False),
        (np.array([1, 0]), False),
    ],
    ids=str,
)
def test_a_grid_is_told_from_a_column(value: object, grid: bool) -> None:
    assert looks_like_grid(value) is grid
    assert parameter("weave or column").takes_rows(value) is (not grid and not isinstance(value, str))


def test_one_and_a_half_is_told_as_percent() -> None:
    with pytest.raises(WeaveError, match=r"so 1\.5 % is 0\.015; got 1\.5$"):
        wf.length_to_weave(10, 1.5)


def test_an_item_that_is_refused_is_told() -> None:
    with pytest.raises(WeaveError, match=r"threading\[2\] must be a whole number .*; got 2\.5$"):
        wf.heddles([1, 2.5])


def test_one_and_nought_are_true_and_false() -> None:
    assert wf.chevron_rows(9, 2, 0) == 2 * 9
    assert wf.chevron_rows(9, 2, 1) == 2 * 9 - 1  # one point row less, which would be woven twice
