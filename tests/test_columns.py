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


@pytest.mark.parametrize("made", [np.array, pd.Series], ids=["array", "series"])
@pytest.mark.parametrize(
    ("call", "dtype"),
    [
        (area, "float64"),
        (lambda column: wf.reed_dents(column, "metric"), "float64"),
        (pairs, "int64"),
        (lambda column: wf.dents_needed(column, "1-1-2"), "int64"),
        (lambda column: wf.longest_float("2/2 twill", ends=column, picks=4), "int64"),
        (wf.repeat_ends, "int64"),
        (lambda column: wf.count(column, "Nm"), "float64"),
        (lambda column: wf.sley_order(column, 12), "text"),
        (wf.satin_moves, "text"),
        (wf.yarn_weight_class, "text"),
        (lambda column: wf.pick_code("2/2 twill", 21, column), "text"),
    ],
)
@pytest.mark.parametrize("given_dtype", ["float64", "int64", object])
def test_an_empty_result_has_the_type_of_a_full_one(made, call, dtype: str, given_dtype) -> None:
    column = made([], dtype=given_dtype)
    result = call(column)
    assert type(result) is type(column)
    assert len(result) == 0
    assert result.dtype == (made(["a"]).dtype if dtype == "text" else np.dtype(dtype))
    if made is pd.Series:
        assert result.index.equals(column.index)


def test_the_columns_of_the_caller_stay_as_they_were() -> None:
    column = np.array([1.0, 2.0])
    area(column)[0] = 99
    assert column.tolist() == [1, 2]


# Short floats


@pytest.mark.parametrize(
    "made",
    [
        np.float32,
        np.float16,
        lambda value: np.array(value, dtype="float32"),
        lambda value: np.array([value], dtype="float32"),
        lambda value: np.array([value], dtype=">f4"),
        lambda value: np.array([value], dtype="float16"),
        lambda value: np.array([np.float32(value)], dtype=object),
        lambda value: np.ma.array([value], dtype="float32"),
        lambda value: pd.Series([value], dtype="float32"),
        lambda value: pd.Series([value], dtype="Float32"),
        lambda value: pd.array([value], dtype="Float32"),
        lambda value: [np.float32(value)],
    ],
)
def test_short_floats_mean_their_shortest_decimals(made) -> None:
    """15.1 as 32 bits have it is 15.1000003..., which ten times over would round up to 152 ends."""
    for value, wanted in ((15.1, 151), (15, 150), (0.7, 7)):
        result = wf.ends(made(value), 10)
        assert (result if np.ndim(result) == 0 else next(iter(result))) == wanted
    for value in (0.1, 0.015625, 1e-7, 12.34, 2048, 60000):
        result = area(made(value), 1)
        # What 16 bits tell apart near 1e-7 is coarser than that.
        if np.asarray(made(value)).dtype != np.dtype("float16") or value != 1e-7:
            assert (result if np.ndim(result) == 0 else next(iter(result))) == value


def test_lists_of_short_floats_mean_their_shortest_decimals() -> None:
    for parts in (np.array([0.1, 0.2], "f4"), pd.Series([0.1, 0.2], dtype="float32")):
        assert shared_out(1, parts) == 1 / (0.1 + 0.2)


def test_what_is_not_finite_stays_so_in_short_floats() -> None:
    assert "width in row 2" in refusal(area, np.array([1, np.nan], "f4"))
    assert "width in row 2" in refusal(area, np.array([1, np.inf], "f4"))
    for value in (np.float32("nan"), np.float32("inf")):
        assert refusal(area, value).startswith("area: width must be a number above 0; got ")


@given(
    st.lists(
        st.floats(min_value=0, width=32, exclude_min=True, allow_infinity=False), min_size=1, max_size=20
    )
)
def test_short_floats_of_every_size(values: list[float]) -> None:
    """No number with fewer decimals makes the same float, and this one does."""
    column = np.array(values, "f4")
    found = area(column, 1).tolist()
    assert found == [area(value, 1) for value in column] == area(pd.Series(column), 1).tolist()
    for value, wide in zip(column, found):
        assert np.float32(wide) == value
        if value >= 0.1:
            written = repr(wide).removesuffix(".0")
            decimals = len(written.partition(".")[2]) if "e" not in written else 0
            assert decimals == 0 or np.float32(round(float(value), decimals - 1)) != value


# True and false


@pytest.mark.parametrize(
    "column",
    [
        [True, False],
        np.array([True, False]),
        np.array([1, 0]),
        np.array([True, False], dtype=object),
        pd.Series([True, False]),
        pd.Series([True, False], dtype="boolean"),
        pd.array([True, False], dtype="boolean"),
    ],
    ids=repr,
)
def test_true_and_false_are_taken_where_they_are_wanted(column) -> None:
    """Four legs of nine rows are 36; a symmetrical piece leaves out the last, which repeats the first."""
    assert list(wf.chevron_rows(9, 4, column)) == [35, 36]
    words = list(wf.pick_text("plain", 3, 1, floating_selvedge=column))
    assert [word.startswith("over the floating selvedge, ") for word in words] == [True, False]


def test_neither_true_nor_false_names_its_row() -> None:
    for column in (pd.Series([True, None], dtype="boolean"), np.ma.array([True, True], mask=[False, True])):
        assert "symmetrical in row 2 must be true or false" in refusal(wf.chevron_rows, 9, 4, column)
    assert "symmetrical must be true or false; got 'a column of dates'" in refusal(
        wf.chevron_rows, 9, 4, np.array(["2020-01-01"], dtype="datetime64[ns]")
    )


# Lists side by side


@pytest.mark.parametrize(
    ("call", "lists", "named"),
    [
        (wf.kit_cost, {"amounts": [60, 40], "prices": [1, 2]}, "prices"),
        (wf.fibre_content, {"masses": [60, 40], "fibres": ["wool", "silk"]}, "fibres"),
        (wf.kits_from_stock, {"stock": [60, 40], "per_kit": [1, 2]}, "per_kit"),
        (wf.limiting_yarn, {"stock": [60, 40], "per_kit": [1, 2], "names": ["a", "b"]}, "per_kit"),
        (wf.limiting_yarn, {"stock": [60, 40], "per_kit": [1, 2], "names": ["a", "b"]}, "names"),
        (
            lambda **lists: wf.stripe_ends(**lists, sett=4),
            {"widths": [3, 2], "colours": ["a", "b"]},
            "colours",
        ),
    ],
)
def test_lists_as_series_must_share_one_index(call, lists, named) -> None:
    plain = call(**lists)
    for index in (["x", "y"], [7, 3]):
        series = {name: pd.Series(values, index=index) for name, values in lists.items()}
        assert call(**series) == plain
        # Beside a list or an array it is the place that counts.
        for other in lists:
            assert call(**{**series, other: lists[other]}) == plain
            assert call(**{**series, other: np.array(lists[other])}) == plain
        turned_round = {**series, named: pd.Series(lists[named], index=index[::-1])}
        told = f"{named} must be a Series with the same index as the others; got 'another index'"
        assert refusal(call, **turned_round).endswith(told)
    shorter = {**lists, named: pd.Series(lists[named][:1])}
    assert f"{named} must be a list of 2, as many as" in refusal(call, **shorter)


def test_a_list_between_two_series_hides_neither_index() -> None:
    names = pd.Series(["a", "b"], index=[1, 0])
    told = "names must be a Series with the same index as the others"
    assert told in refusal(wf.limiting_yarn, [60, 40], pd.Series([1, 2]), names)


def test_lists_that_do_not_belong_side_by_side_have_an_index_each() -> None:
    setts = pd.Series([24, 15], index=["x", "y"])
    reeds = pd.Series([10, 12, 15])
    # 24 in a reed of 12 goes 2 to a dent, 15 in one of 15 goes 1.
    assert wf.best_reed(setts, reeds).to_dict() == {"x": 12, "y": 15}


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
