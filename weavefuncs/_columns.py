"""Columns of values, whoever made them: lists, numpy arrays, pandas Series.

The core never imports numpy or pandas. A value that carries an array's
attributes is treated as one, and a new array is made by the module that the
caller has loaded already.
"""

from __future__ import annotations

from weavefuncs.errors import WeaveError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from weavefuncs._parameters import Parameter

    Tuple = tuple[Any, ...]
else:
    Tuple = tuple

# Columns that numpy would count with, though their values are no numbers.
REFUSED_COLUMNS = {
    "b": "a column of true and false",
    "M": "a column of dates",
    "m": "a column of times",
}


# Bytes of an ordinary float.
ORDINARY = 8

# With so many decimals every float32 from 0.1 on is told from its neighbours.
MOST_DECIMALS = 9

# A value of each kind of result, which shows how a column of such values is kept.
OF_KIND = {"number": 0.0, "whole": 0, "text": ""}


def is_array(value: object) -> bool:
    """Tell whether a value is a numpy array or a pandas Series or frame, of one dimension or more."""
    dimensions = getattr(value, "ndim", 0)
    if not isinstance(dimensions, int) or dimensions < 1:
        return False
    return hasattr(value, "dtype") or hasattr(value, "index")


def is_series(value: object) -> bool:
    """Tell whether a value is a pandas Series."""
    return hasattr(value, "to_numpy") and hasattr(value, "index") and getattr(value, "ndim", 0) == 1


def is_column(value: object) -> bool:
    """Tell whether a value is a column of values rather than one value."""
    return isinstance(value, (list, tuple)) or is_array(value)


def is_short(value: Any) -> bool:
    """Tell whether a numpy value or array has floats that are shorter than the ordinary ones."""
    dtype = getattr(value, "dtype", None)
    return getattr(dtype, "kind", "") == "f" and dtype.itemsize < ORDINARY  # type: ignore[union-attr]


def widened_number(value: Any) -> float:
    """Return a number as a float, a short one by the fewest decimals that make it: 15.1 stays 15.1."""
    number = float(value)
    if not is_short(value):
        return number
    for decimals in range(MOST_DECIMALS + 1):
        rounded = round(number, decimals)
        if value.dtype.type(rounded) == value:
            return rounded
    return float(str(value))


def widened(values: Any) -> Any:
    """Widen an array of short floats as :func:`widened_number` does one of them."""
    exact = values.astype("float64")
    wide = exact.copy()
    left = abs(exact) < float("inf")
    for decimals in range(MOST_DECIMALS + 1):
        rounded = (exact * 10.0**decimals).round() / 10.0**decimals
        same = left & (rounded.astype(values.dtype) == values)
        wide[same] = rounded[same]
        left &= ~same
        if not left.any():
            return wide
    # Texts take twenty times as long.
    wide[left] = values[left].astype(str).astype("float64")
    return wide


def as_array(value: Any) -> Any:
    """Return the numpy array behind an array or a Series, its short floats widened."""
    array = value.to_numpy() if hasattr(value, "to_numpy") else value
    return widened(array) if is_short(array) else array


class Labelled(Tuple):
    """A list that was given as a Series, with the index it had there."""

    labels: Any


def refuse_other_index(name: str) -> WeaveError:
    """Return the refusal of a Series beside one with another index."""
    return WeaveError(name, "a Series with the same index as the others", "another index")


def first_row(refused: Any) -> int | None:
    """Return the first row of a formula's column that is to be refused, 0 for one value, or None."""
    if getattr(refused, "ndim", 0):
        return int(refused.argmax()) + 1 if refused.any() else None
    return 0 if refused else None


def of_row(values: Any, row: int) -> float:
    """Return the number in a row of a formula's column; one value stands in every row."""
    return float(values[row - 1] if getattr(values, "ndim", 0) else values)


class Column:
    """One argument given as a column.

    Attributes
    ----------
    rows : list
        The values, one a row, as Python objects.
    array : object or None
        The numpy array behind them, where the caller gave one.
    series : object or None
        The pandas Series, where the caller gave one.
    """

    __slots__ = ("array", "length", "parameter", "series", "source")

    def __init__(self, parameter: Parameter, value: Any) -> None:
        self.parameter = parameter
        self.source = value
        self.series = value if is_series(value) else None
        self.array: Any = None
        if is_array(value):
            if value.ndim != 1:
                raise WeaveError(
                    parameter.name, "a column of one dimension", f"{value.ndim} dimensions of values"
                )
            self.array = as_array(value)
            kind = self.array.dtype.kind
            refused = REFUSED_COLUMNS.get(kind)
            if refused and not (kind == "b" and parameter.kind == "logical"):
                raise WeaveError(parameter.name, parameter.requirement, refused)
        self.length = len(value)

    @property
    def rows(self) -> list[Any]:
        if self.array is not None:
            return self.array.tolist()  # type: ignore[no-any-return]
        return list(self.source)

    def converted(self) -> list[Any]:
        """Convert row by row; the first bad row raises and is named."""
        convert = self.parameter.convert
        out = []
        for number, value in enumerate(self.rows, start=1):
            try:
                out.append(convert(value))
            except WeaveError as error:
                error.row = number
                raise
        return out

    def vector(self, modules: Any) -> Any:
        """Convert to one numpy array, checked whole; only a failed check looks for the row."""
        fits = self.parameter.vector
        masked = hasattr(self.array, "mask")  # minimum and maximum pass over what is masked
        if self.array is not None and fits is not None and self.array.dtype.kind in "iuf" and not masked:
            floats = self.array.astype("float64", copy=False)
            if floats.size == 0:
                return floats
            checked = fits(floats, self.array.dtype.kind != "f")
            if checked is not None:
                return checked
        return modules["numpy"].asarray(self.converted(), dtype="float64")


def same_rows(columns: list[Column]) -> int:
    """Return the number of rows that all columns share, or raise."""
    first = columns[0]
    series = None
    for column in columns:
        if column.length != first.length:
            raise WeaveError(
                column.parameter.name,
                f"a column of {first.length} rows, as many as {first.parameter.name} has",
                f"{column.length} rows",
            )
        if column.series is not None:
            if series is not None and not series.index.equals(column.series.index):
                raise refuse_other_index(column.parameter.name)
            series = column.series
    return first.length


def like(columns: list[Column], values: Any, kind: str, modules: Any) -> Any:
    """Return a result column in the richest form that the caller used: Series, array or list.

    What is empty shows no type of its own and takes that of a full column of its kind.
    """
    full = values if len(values) else [OF_KIND[kind]]
    for column in columns:
        if column.series is not None:
            made = type(column.series)
            dtype = None if len(values) else made(full).dtype
            return made(values, index=column.series.index, dtype=dtype)
    if any(column.array is not None for column in columns):
        return modules["numpy"].asarray(full)[: len(values)]
    return list(values)
