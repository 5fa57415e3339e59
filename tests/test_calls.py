"""What the registry does with a call, on functions made for these tests."""

from __future__ import annotations

import inspect
import math

import numpy as np
import pandas as pd
import pytest

import weavefuncs as wf
from weavefuncs import registry
from weavefuncs._index import FUNCTIONS
from weavefuncs.registry import formula, row, row_like


@formula
def area(width, height=2):
    """Area.

    Parameters
    ----------
    width : number or column [m], > 0, <= 1e300
        Width.
    height : number or column [m], > 0, <= 1e300, default 2
        Height.

    Returns
    -------
    number [m2]
        Area.
    """
    return width * height


@formula
def quotient(top, bottom):
    """Quotient.

    Parameters
    ----------
    top : number or column
        Top.
    bottom : number or column
        Bottom.

    Returns
    -------
    number
        Quotient.
    """
    return top / bottom


@row
def power(base, exponent):
    """Power.

    Parameters
    ----------
    base : number or column
        Base.
    exponent : number or column
        Exponent.

    Returns
    -------
    number
        Power.
    """
    return base**exponent


@formula
def rounded_up(value):
    """Next whole number.

    Parameters
    ----------
    value : number or column
        Value.

    Returns
    -------
    whole
        Whole.
    """
    return -(-value // 1)


def refusal(call, *args, **kwargs) -> str:
    with pytest.raises(wf.WeaveError) as caught:
        call(*args, **kwargs)
    return str(caught.value)


def test_positional_and_named_arguments() -> None:
    assert area(3) == area(3, 2) == area(width=3) == area(height=2, width=3) == 6


def test_none_is_not_given() -> None:
    assert area(3, None) == 6
    assert refusal(area, None) == (
        "area: width must be given (a number above 0 and at most 1e+300); nothing was given"
    )
    assert "width must be given" in refusal(area)
    assert "width must be given" in refusal(area, height=3)


def test_arguments_too_many_unknown_or_twice() -> None:
    assert refusal(area, 1, 2, 3) == "area: the number of arguments must be at most 2; got 3"
    assert refusal(area, 1, depth=3) == "area: a named argument must be one of width, height; got 'depth'"
    assert refusal(area, 1, width=3) == (
        "area: a named argument must be one of width, height, given once; got 'width'"
    )
    assert refusal(area, 1, 2, height=3) == (
        "area: a named argument must be one of width, height, given once; got 'height'"
    )
    assert area(1, height=3) == 3


def test_results_beyond_ordinary_numbers_are_refused() -> None:
    for call, args in (
        (area, (1e300, 1e300)),
        (quotient, (1, 0)),
        (power, (10, 400)),
        (power, (0, -1)),
        (power, (-1, 0.5)),  # a complex number
    ):
        assert "the result must be within the range of ordinary numbers" in refusal(call, *args)
    assert refusal(quotient, 1, 0).endswith("; got 'arguments too far apart'")
    assert "in row 2" in refusal(power, [1, 10], 400)


@pytest.mark.parametrize("made", [np.array, pd.Series], ids=["array", "series"])
def test_the_first_row_of_a_result_that_is_refused_is_told(made) -> None:
    told = "the result in row {} must be within the range of ordinary numbers; got {}"
    ones = made([1.0, 1.0, 0.0, 1.0, 0.0])
    for dividends, row_number, got in (
        ([1.0, 2.0, 3.0, 4.0, -5.0], 3, "inf"),
        ([1.0, 2.0, -3.0, 4.0, 5.0], 3, "-inf"),
        ([1.0, 2.0, 0.0, 4.0, 5.0], 3, "nan"),
    ):
        refused = refusal(quotient, made(dividends), ones)
        assert refused == "quotient: " + told.format(row_number, got)
    assert refusal(area, made([1.0, 1e300, 1e290]), 1e300) == "area: " + told.format(2, "inf")
    # As a list of the same has it.
    assert refusal(area, [1.0, 1e300, 1e290], 1e300) == "area: " + told.format(2, "inf")
    whole = "rounded_up: the result in row 2 must be within the range of whole numbers; got 1e+17"
    assert refusal(rounded_up, made([1.0, 1e17, 1e18])) == whole
    assert refusal(rounded_up, made([1.0, -1e17, 1e18])) == whole.replace("1e+17", "-1e+17")


def test_whole_results_are_whole_numbers() -> None:
    assert type(rounded_up(1.5)) is int
    assert rounded_up(np.array([1.5, 2.0])).dtype == np.dtype("int64")
    assert "range of whole numbers" in refusal(rounded_up, 1e17)
    assert "range of whole numbers" in refusal(rounded_up, np.array([1.0, 1e17]))


@pytest.mark.parametrize("sign", [1, -1])
def test_whole_results_reach_as_far_as_a_float_tells_them_apart(sign: int) -> None:
    last, first_beyond = sign * 2.0**53, sign * (2.0**53 + 2)
    assert rounded_up(last) == last
    assert rounded_up(np.array([1, last])).tolist() == [1, last]
    assert rounded_up([1, last]) == [1, last]
    told = "the result{} must be within the range of whole numbers; got "
    assert told.format("") in refusal(rounded_up, first_beyond)
    assert told.format(" in row 2") in refusal(rounded_up, np.array([1, first_beyond]))
    assert told.format(" in row 1") in refusal(rounded_up, np.array([first_beyond, 1]))


def test_the_result_that_is_refused_is_told() -> None:
    assert refusal(area, 1e300, 1e300).endswith("; got inf")
    assert refusal(rounded_up, 1e17).endswith("; got 1e+17")
    assert refusal(power, -1, 0.5).startswith("power: the result must be")
    assert "got (" in refusal(power, -1, 0.5)


@pytest.mark.parametrize("bad", [math.inf, -math.inf, math.nan])
def test_a_table_with_a_number_beyond_the_ordinary_is_refused(bad: float) -> None:
    @row
    def listed(last):
        """Listed.

        Parameters
        ----------
        last : any
            Last.

        Returns
        -------
        table
            Table.
        """
        return [["a", None, 1, 1.5], ["b", True, 2.5, last]]

    assert listed(3.5) == [["a", None, 1, 1.5], ["b", True, 2.5, 3.5]]
    told = f"listed: the result must be within the range of ordinary numbers; got {bad}"
    assert refusal(listed, bad) == told


def test_the_function_that_refused_is_named_where_one_calls_another() -> None:
    @row
    def doubled(width):
        """Doubled.

        Parameters
        ----------
        width : any
            Width.

        Returns
        -------
        number
            Double.
        """
        return 2 * area(width)

    assert doubled(3) == 12
    assert refusal(doubled, -3).startswith("area: width must be")


def test_a_registered_function_still_looks_like_itself() -> None:
    @row
    def body(width: int) -> str:
        """Width."""

    assert area.__name__ == "area"
    assert area.__doc__.startswith("Area.")
    assert area.__module__ == __name__
    assert list(inspect.signature(area).parameters) == ["width", "height"]
    here = "test_a_registered_function_still_looks_like_itself"
    assert body.__qualname__ == f"{here}.<locals>.body"
    assert body.__annotations__ == {"width": "int", "return": "str"}


def test_a_docstring_that_differs_from_its_signature_is_refused() -> None:
    def body(width):
        """Width.

        Parameters
        ----------
        breadth : number
            Width.

        Returns
        -------
        number
            Width.
        """

    with pytest.raises(SyntaxError, match="differ"):
        row(body)(1)


def test_without_docstrings_the_reason_is_told() -> None:
    def body(width): ...

    with pytest.raises(RuntimeError, match="-OO"):
        row(body)(1)


@pytest.mark.parametrize(
    "spelling",
    [
        "twill_angle",
        "TWILLANGLE",
        "WEAVE.TWILLANGLE",
        "weave.twillangle",
        " WEAVE_TWILLANGLE ",
        "_xldudf_WEAVE_TWILLANGLE",
    ],
)
def test_a_function_is_found_by_every_spelling(spelling: str) -> None:
    assert registry.get(spelling).name == "twill_angle"


@pytest.mark.parametrize("name", ["", "WEAVE.", "nothing", "__doc__", "WeaveError", "errors"])
def test_an_unknown_name_is_refused(name: str) -> None:
    assert "the name of a function" in refusal(registry.get, name)


def test_the_package_lists_its_functions() -> None:
    assert set(FUNCTIONS) <= set(dir(wf))
    assert set(FUNCTIONS) | {"WeaveError"} == set(wf.__all__)
    with pytest.raises(AttributeError, match="nothing_such"):
        wf.nothing_such  # noqa: B018


# Registering


def test_the_headings_stand_in_the_order_of_the_catalogue() -> None:
    catalogue = "yarn sett reed warp weave draft chevron cloth costing stash piece records explain"
    assert " ".join(registry.CORE_MODULES) == catalogue


def test_a_formula_is_called_once_for_an_array_and_a_row_for_every_row() -> None:
    got: list[object] = []

    def body(value):
        """Value.

        Parameters
        ----------
        value : number or column
            Value.

        Returns
        -------
        number
            Value.
        """
        got.append(value)
        return value

    assert formula(body)(np.array([1.0, 2.0])).tolist() == [1, 2]
    assert [type(value) for value in got] == [np.ndarray]
    got.clear()
    assert row(body)(np.array([1.0, 2.0])).tolist() == [1, 2]
    assert got == [1, 2]
    assert (formula(body).__weave__.style, row(body).__weave__.style) == ("formula", "row")
    assert inspect.unwrap(formula(body)) is body
    assert not row(body).__weave__.variadic
    assert refusal(row(body), 1, 2) == "body: the number of arguments must be at most 1; got 2"


def test_a_column_of_texts_to_choose_from_is_taken_row_by_row_in_a_formula() -> None:
    @formula
    def signed(value, sign="plus"):
        """Value with its sign.

        Parameters
        ----------
        value : number or column
            Value.
        sign : {"plus", "minus"} or column, default "plus"
            Sign.

        Returns
        -------
        number
            Value.
        """
        return value * (1 if sign == "plus" else -1)

    assert signed(np.array([1.0, 2.0]), ["plus", "Minus"]).tolist() == [1, -2]
    assert signed(np.array([1.0, 2.0]), "minus").tolist() == [-1, -2]


def test_a_function_may_take_any_number_of_arguments() -> None:
    @row
    def joined(first, *others):
        """Joined.

        Parameters
        ----------
        first : text
            First.
        *others : any
            Others.

        Returns
        -------
        text
            All.
        """
        return " ".join([first, *map(str, others)])

    assert joined.__weave__.variadic
    assert (joined("a"), joined("a", 2, None)) == ("a", "a 2 None")


def test_a_function_may_have_the_arguments_of_another() -> None:
    @row_like(area)
    def told(asked):
        """Told.

        Parameters
        ----------
        Those of area.

        Returns
        -------
        text
            Told.
        """
        return f"{asked['width']:g} by {asked['height']:g}: {len(asked)}"

    assert (told(3), told(3, height=4)) == ("3 by 2: 2", "3 by 4: 2")
    assert told([1, 2], 5) == ["1 by 5: 2", "2 by 5: 2"]
    assert refusal(told, 0).startswith("told: width must be a number above 0")
    assert inspect.signature(told) == inspect.signature(area)
    assert (told.__weave__.style, told.__weave__.like) == ("row", area.__weave__)
