"""Columns: lists, arrays and Series in, the same out; a bad row is named."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs.registry import formula, row


@formula
def area(width, height=2):
    """Area.

    Parameters
    ----------
    width : number or column, > 0
        Width.
    height : number or column, > 0, default 2
        Height.

    Returns
    -------
    number
        Area.
    """
    return width * height


@formula
def pairs(threads):
    """Pairs.

    Parameters
    ----------
    threads : whole or column, >= 1, <= 1000
        Threads.

    Returns
    -------
    whole
        Pairs.
    """
    return threads // 2


@formula
def product(first, second):
    """Product.

    Parameters
    ----------
    first : whole or column
        First.
    second : whole or column
        Second.

    Returns
    -------
    number
        Product.
    """
    return first * second


@formula
def shared_out(total, parts):
    """Share.

    Parameters
    ----------
    total : number or column
        Total.
    parts : list of numbers, > 0
        Parts.

    Returns
    -------
    number
        Share.
    """
    return total / sum(parts)


@row
def repeated(text, times=1):
    """Text.

    Parameters
    ----------
    text : text or column
        Text.
    times : whole or column, >= 1, default 1
        Times.

    Returns
    -------
    text
        Text.
    """
    return text * times


@row
def turned(first, second):
    """First less second.

    Parameters
    ----------
    first : number or column
        First.
    second : number
        Second.

    Returns
    -------
    whole
        Difference.
    """
    if first < second:
        raise wf.WeaveError("first", "at least second", first)
    return int(first - second)


def refusal(call, *args, **kwargs) -> str:
    with pytest.raises(wf.WeaveError) as caught:
        call(*args, **kwargs)
    return str(caught.value)


# The same form comes back


@pytest.mark.parametrize("made", [list, tuple])
def test_lists_and_tuples_give_lists(made) -> None:
    assert area(made([1, 2.5])) == [2, 5]
    assert repeated(made(["a", "b"])) == ["a", "b"]


@pytest.mark.parametrize(
    "dtype", ["float64", "float32", "float16", "longdouble", "int64", "int8", "uint64", ">i4", object]
)
def test_arrays_give_arrays(dtype) -> None:
    result = area(np.array([1, 2, 4], dtype=dtype))
    assert type(result) is np.ndarray
    assert result.dtype == np.dtype("float64")
    assert result.tolist() == [2, 4, 8]


@pytest.mark.parametrize("dtype", ["float64", "int64", "Int64", "Float64", "UInt8", object, "category"])
def test_series_give_series_with_their_index(dtype) -> None:
    given_series = pd.Series([1, 2], index=["b", "a"], dtype=dtype)
    result = area(given_series)
    assert type(result) is pd.Series
    assert result.index.equals(given_series.index)
    assert result.tolist() == [2, 4]


@pytest.mark.parametrize("made", [pd.Index, pd.array])
def test_other_pandas_columns_give_arrays(made) -> None:
    assert area(made([1, 2])).tolist() == [2, 4]
    assert pairs(made([4, 7])).tolist() == [2, 3]


@pytest.mark.parametrize("value", [np.float64(3), np.float32(3), np.int64(3), np.array(3), np.array(3.0)])
def test_one_numpy_value_is_one_value(value) -> None:
    result = area(value)
    assert type(result) is float
    assert result == 6


def test_whole_columns_stay_whole() -> None:
    assert pairs(np.array([4.0, 7.0000000001])).tolist() == [2, 3]
    assert pairs(np.array([4.0, 7.0])).dtype == np.dtype("int64")
    assert pairs(pd.Series([4, 7])).dtype == np.dtype("int64")
    assert [type(value) for value in pairs([4, 7.0])] == [int, int]


@pytest.mark.parametrize("dtype", ["int64", "float64", object])
def test_large_whole_numbers_do_not_wrap_round(dtype) -> None:
    # 16e18 is more than 64 bits with a sign hold.
    column = np.array([4_000_000_000, 3], dtype=dtype)
    assert product(column, column).tolist() == [16e18, 9]
    assert product(column, 4_000_000_000).tolist() == [16e18, 12e9]


def test_texts_by_row() -> None:
    assert repeated(np.array(["a", "b"])).tolist() == ["a", "b"]
    assert repeated(pd.Series(["a", "b"], index=[3, 1]), 2).to_dict() == {3: "aa", 1: "bb"}
    assert repeated("a", [1, 2]) == ["a", "aa"]


def test_empty_columns_give_empty_columns() -> None:
    assert area([]) == []
    assert repeated([]) == []
    for column in (np.array([]), np.array([], dtype=object), pd.Series([], dtype=float)):
        assert type(area(column)) is type(column)
        assert len(area(column)) == 0
    assert pairs(np.array([], dtype=int)).dtype == np.dtype("int64")
    assert len(turned(np.array([]), 1)) == 0


def test_the_columns_of_the_caller_stay_as_they_were() -> None:
    column = np.array([1.0, 2.0])
    area(column)[0] = 99
    assert column.tolist() == [1, 2]


# Mixed


def test_columns_and_single_values_mix() -> None:
    assert area([1, 2], 10) == [10, 20]
    assert area(10, [1, 2]) == [10, 20]
    assert area([1, 2], (3, 4)) == [3, 8]
    assert shared_out([10, 20], [2, 3]) == [2, 4]
    assert shared_out(np.array([10, 20]), np.array([2, 3])).tolist() == [2, 4]


def test_the_richest_form_wins() -> None:
    series = pd.Series([3.0, 4.0], index=[7, 8])
    assert type(area([1, 2], np.array([3, 4]))) is np.ndarray
    assert type(area(np.array([1, 2]), [3, 4])) is np.ndarray
    for other in ([1, 2], np.array([1, 2])):
        for result in (area(other, series), area(series, other)):
            assert result.to_dict() == {7: 3.0, 8: 8.0}


def test_columns_must_have_as_many_rows() -> None:
    assert refusal(area, [1, 2, 3], [1, 2]) == (
        "area: height must be a column of 3 rows, as many as width has; got '2 rows'"
    )
    assert "as many as width has" in refusal(area, np.array([1.0, 2.0]), np.array([1.0]))
    assert "as many as width has" in refusal(area, [1, 2], [])


def test_series_must_share_one_index() -> None:
    first, other = pd.Series([1.0, 2.0]), pd.Series([1.0, 2.0], index=[1, 0])
    assert refusal(area, first, other) == (
        "area: height must be a Series with the same index as the others; got 'another index'"
    )
    assert area(first, first).tolist() == [1, 4]


# What is refused, and its row


@pytest.mark.parametrize(
    ("column", "row_number"),
    [
        ([1, None], 2),
        ([1, math.nan], 2),
        ([1, 2, -1], 3),
        ([True, 1], 1),
        (["1", 2], 1),
        ([1, [2]], 2),
        ([1, 10**400], 2),
        (np.array([1.0, np.nan]), 2),
        (np.array([1.0, np.inf]), 2),
        (np.array([1, 0]), 2),
        (np.array([1, None], dtype=object), 2),
        (np.array([1, True], dtype=object), 2),
        (np.array(["1", "2"]), 1),
        (np.array([1j, 2]), 1),
        (np.ma.array([1.0, 2.0], mask=[False, True]), 2),
        (pd.Series([1.0, None]), 2),
        (pd.Series([1, None], dtype="Int64"), 2),
        (pd.Series([1.5, pd.NA], dtype="Float64"), 2),
        (pd.Series([None, 1], dtype=object), 1),
        (pd.array([1, None], dtype="Int64"), 2),
        (pd.Series(["a"]), 1),
        (pd.Series([pd.Timestamp(0, tz="UTC")]), 1),
    ],
    ids=repr,
)
def test_a_bad_row_is_named(column, row_number: int) -> None:
    message = refusal(area, column)
    assert message.startswith(f"area: width in row {row_number} must be a number above 0; got ")
    assert f"in row {row_number} " in refusal(area, 1, column)


@pytest.mark.parametrize(
    "column",
    [
        np.array([True, False]),
        pd.Series([True, False]),
        pd.Series([True, False], dtype="boolean"),
        np.array(["2020-01-01"], dtype="datetime64[ns]"),
        pd.Series(pd.to_datetime(["2020-01-01"])),
        np.array([5], dtype="timedelta64[ns]"),
        np.array([[1.0, 2.0]]),
        pd.DataFrame({"width": [1.0]}),
    ],
    ids=repr,
)
def test_columns_that_hold_no_numbers_are_refused_whole(column) -> None:
    assert refusal(area, column).startswith("area: width must be ")


@pytest.mark.parametrize("column", [np.array([[1.0, 2.0]]), pd.DataFrame({"width": [1.0]})], ids=repr)
def test_a_column_has_one_dimension(column) -> None:
    assert refusal(area, column) == (
        "area: width must be a column of one dimension; got '2 dimensions of values'"
    )


@pytest.mark.parametrize(
    ("column", "told"),
    [
        (np.array([True, False]), "got 'a column of true and false'"),
        (np.array(["2020-01-01"], dtype="datetime64[ns]"), "got 'a column of dates'"),
        (np.array([5], dtype="timedelta64[ns]"), "got 'a column of times'"),
    ],
)
def test_what_a_column_holds_is_told(column, told: str) -> None:
    assert refusal(area, column) == f"area: width must be a number above 0; {told}"


def test_one_value_that_a_body_refuses_is_in_no_row() -> None:
    assert refusal(turned, 1, 2) == "turned: first must be at least second; got 1"
    assert refusal(wf.ends, 10, 10, repeat=4, parity="odd").startswith("ends: parity must be any or even")
    assert "ends: parity in row 1 must be" in refusal(wf.ends, np.array([10.0]), 10, repeat=4, parity="odd")


def test_a_bad_row_of_any_column_and_body_is_named() -> None:
    assert "repeated: times in row 2 must be" in refusal(repeated, ["a", "b"], [1, 0])
    assert "repeated: text in row 1 must be" in refusal(repeated, ["", "b"])
    assert "turned: first in row 2 must be at least second; got 1" in refusal(turned, np.array([3, 1]), 2)
    assert "pairs: threads in row 2 must be a whole number" in refusal(pairs, np.array([2.0, 2.5]))


def test_a_column_is_refused_where_one_value_is_wanted() -> None:
    assert "turned: second must be a number" in refusal(turned, 3, [1, 2])
    assert "turned: second must be a number" in refusal(turned, 3, np.array([1]))


def test_optional_columns_have_no_gaps() -> None:
    # In Python a gap in a column is an error; it is the hosts that read a blank cell as the default.
    assert "height in row 2" in refusal(area, [1, 2], [3, None])


# One body, one answer


@given(st.lists(st.floats(1e-100, 1e100), min_size=1, max_size=5), st.floats(1e-100, 1e100))
def test_every_form_gives_what_single_values_give(values: list[float], height: float) -> None:
    singly = [area(value, height) for value in values]
    assert area(values, height) == singly
    assert area(np.array(values), height).tolist() == singly
    assert area(pd.Series(values), height).tolist() == singly


@given(st.lists(st.integers(1, 1000), min_size=1, max_size=5))
def test_whole_numbers_too(values: list[int]) -> None:
    singly = [pairs(value) for value in values]
    assert pairs(values) == pairs(np.array(values)).tolist() == pairs(pd.Series(values)).tolist() == singly
