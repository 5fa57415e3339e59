"""The exception family: what it says, and that it survives being handed around."""

from __future__ import annotations

import copy
import pickle
import sys

import numpy as np
import pytest

from weavefuncs.errors import MissingError, WeaveError, shown


class Unprintable:
    """An object that cannot be written out."""

    def __repr__(self) -> str:
        raise RuntimeError("no")


def test_it_names_the_argument_the_requirement_and_the_value() -> None:
    error = WeaveError("width", "above 0", -3)
    assert str(error) == "width must be above 0; got -3"
    assert (error.argument, error.requirement, error.received) == ("width", "above 0", -3)
    assert (error.function, error.row) == ("", 0)
    assert str(WeaveError("width", "above 0", -3, 7)) == "width in row 7 must be above 0; got -3"
    error.function = "ends"
    assert str(error) == "ends: width must be above 0; got -3"
    error.row = 7
    assert str(error) == "ends: width in row 7 must be above 0; got -3"


def test_a_missing_argument_is_told_as_missing() -> None:
    error = MissingError("width", "a number")
    assert str(error) == "width must be given (a number); nothing was given"
    error.function, error.row = "ends", 2
    assert str(error) == "ends: width in row 2 must be given (a number); nothing was given"


def test_it_is_a_value_error() -> None:
    assert issubclass(WeaveError, ValueError)
    assert issubclass(MissingError, WeaveError)


@pytest.mark.parametrize(
    "made_from", [(WeaveError, "width", "above 0", -3), (MissingError, "width", "a number")]
)
@pytest.mark.parametrize(
    "handed", [copy.copy, copy.deepcopy, *(lambda e, p=p: pickle.loads(pickle.dumps(e, p)) for p in range(6))]
)
def test_it_is_copied_and_pickled_whole(made_from, handed) -> None:
    kind, *arguments = made_from
    error = kind(*arguments)
    error.function, error.row = "ends", 3
    again = handed(error)
    assert type(again) is kind
    assert str(again) == str(error)
    assert vars(again) == vars(error)
    # What an exception was made from is what a report of it shows.
    assert again.args == error.args == tuple(arguments)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (None, "None"),
        ("8/2", "'8/2'"),
        (0.1, "0.1"),
        # As a weaver reckons, not as a float is stored.
        (0.1 + 0.2, "0.3"),
        (12.0, "12"),
        ("two\n lines", r"'two\n lines'"),
        (Unprintable(), "a value of type Unprintable that cannot be written out (RuntimeError)"),
        (np.array([[1, 0], [0, 1]]), "array([[1, 0], [0, 1]])"),
    ],
)
def test_a_value_is_shown_on_one_line(value: object, text: str) -> None:
    assert shown(value) == text


def test_a_long_value_is_cut() -> None:
    for value in ("x" * 79, "x" * 1000):
        text = shown(value)
        assert len(text) == 80
        assert text.endswith("…")
    # With its quotes it has 80 signs, and needs no cut.
    assert shown("x" * 78) == "'" + "x" * 78 + "'"


def test_a_number_too_long_to_write_is_told() -> None:
    # Python writes no whole number of more digits than a limit, where it has one.
    value = 10 ** max(5000, getattr(sys, "get_int_max_str_digits", lambda: 0)() + 1)
    assert len(str(WeaveError("ends", "a whole number", value))) < 200


def test_a_value_that_contains_itself_is_shown() -> None:
    loop: list[object] = []
    loop.append(loop)
    assert shown(loop) == "[[...]]"
