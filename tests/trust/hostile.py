"""Arguments good and bad, drawn from a seeded source; what the fuzzing scripts and tests share."""

from __future__ import annotations

import datetime
import math
import pickle
import warnings
from collections.abc import Callable, Sequence
from decimal import Decimal
from fractions import Fraction
from functools import wraps
from itertools import chain
from random import Random
from typing import Any

import numpy as np
import pandas as pd

from weavefuncs.addin.cells import CellError
from weavefuncs.errors import WeaveError
from weavefuncs.registry import Function
from weavefuncs.shared.units import LENGTH_IN_METRES, MASS_IN_GRAMS, SETT_PER_IN_INCHES, SYNONYMS
from weavefuncs.shared.yarn_systems import YARN_SYSTEMS


class Awkward:
    """A value whose every method fails."""

    def __float__(self) -> float:
        raise RuntimeError("no float")

    def __repr__(self) -> str:
        raise RuntimeError("no words")

    def __eq__(self, other: object) -> bool:
        raise RuntimeError("not to be compared")

    __hash__ = None  # type: ignore[assignment]


EDGE_NUMBERS: list[Any] = [
    0.0, -0.0, 5e-324, -5e-324, 2.2250738585072014e-308, 1e-300, 1e-12, 1e-9, 0.1, 1 - 2**-53, 1.0,
    1 + 2**-52,
    -1.0, 1e6, 1e9, 2**53 - 1.0, 2**53 + 2.0, 1e100, 1e308, -1e308, 1.7976931348623157e308, math.nan,
    math.inf,
    -math.inf, 0, 1, -1, 2**31, 2**53, 2**63, 2**64, 10**30, 10**308, 10**400, -(10**400), 10**5000,
    True, False, Decimal(1), Decimal("0.1"), Decimal("1e-400"), Decimal("1e400"), Decimal("NaN"),
    Decimal("sNaN"),
    Decimal("Infinity"), Fraction(1, 3), Fraction(10**400, 3), Fraction(3, 10**400), 1 + 0j, 1j,
    complex("nan"),
    np.float16(1.5), np.float16("inf"), np.float32(0.1), np.float32(1e-45), np.float64(2.5),
    np.float64("nan"),
    np.longdouble(1.5), np.longdouble("1e4000"), np.longdouble("1e-4000"), np.int8(-5), np.int64(12),
    np.uint64(2**64 - 1), np.bool_(True), np.complex128(1), np.complex64(1j), np.array(3), np.array(2.5),
    np.array("x"), np.array(1j), np.array(None), np.datetime64("2020-01-02"), np.timedelta64(3, "D"),
    np.datetime64("NaT", "s"), np.str_("8/2 Ne"), np.bytes_(b"12"), np.void(b"x"),
]  # fmt: skip

ODD_THINGS: list[Any] = [
    None, "", " ", "\xa0", "x", b"", b"12", bytearray(b"\x01\x00"), memoryview(b"\x01"), {}, {1: 2}, set(),
    object(),
    Awkward(), len, int, float, WeaveError, Ellipsis, NotImplemented, range(3), range(10**12), iter([1]),
    (n for n in (1, 2)),
    datetime.date(2020, 1, 2), datetime.datetime(2020, 1, 2), datetime.time(3), datetime.timedelta(days=1),
    pd.NA, pd.NaT, pd.Timestamp(0), pd.Timedelta(1), pd.Interval(0, 1), pd.Period("2020-01"),
    pd.Categorical(["a"]),
    pd.DataFrame(), pd.DataFrame({"a": [1, 0], "b": [0, 1]}), pd.DataFrame({"a": ["1", None]}),
    pd.Index([1, 2]),
    pd.MultiIndex.from_tuples([(1, 2), (3, 4)]), CellError(), ...,
]  # fmt: skip

ODD_TEXTS: list[str] = [
    "0", "1", "12", "1e308", "1e999", "nan", "inf", "-inf", "infinity", "1_000", "0x10", "１２", "٣", "²",
    "½", "Ⅷ",
    "8/２ Ne", "८/2 Ne", "8⁄2 Ne", "8∕2 Ne", "8/2 Νe", "8/2 Nе", "ﬀ", "İ", "ß", "\u0130\u0307", "i̇", "ſ",
    "\x00", "a\x00b", "8/2\x00 Ne", "\x1b[31m", "\r\n", "\u2028", "\u200b", "\ufeff8/2 Ne", "\u202e8/2 Ne",
    "\ud800",
    "8/2 Ne\udfff", "\U0010ffff", "🧵", "é", "e\u0301", "١٢ أبيض", "=1+1", "#VALUE!", "#REF!", "true", "TRUE",
    "none", "None", "null", "NaN", "9,9", "9.9", "9;9", "9 9", "1-1-2", "2020-01-02", "44197", "1–1—2",
    "%", "10%",
    "{}", "{0}", "%s", "%(name)s", "\\", "'", '"', "<script>", "a" * 101, "8" * 400, "/" * 200, "," * 500,
]  # fmt: skip

# Made anew where they are used: a million characters each.
HUGE_TEXTS = [
    lambda: "a" * 1_000_000,
    lambda: "9" * 1_000_000,
    lambda: " " * 1_000_000,
    lambda: "9," * 500_000,
    lambda: "1 " * 500_000,
    lambda: "(" * 1_000_000,
    lambda: "1100 " * 200_000,
    lambda: "\ud800" * 1_000_000,
    lambda: "İ" * 1_000_000,
]

GOOD_TEXTS: dict[str, list[str]] = {
    "yarn": [
        "8/2 Ne", "2/8 Nm", "20 tex", "20 tex x 3", "400 m/100 g", "Nm 2/34", "20/2 NeL", "20s Ne", "120 den",
        "1680 yd/lb", "m/50 g 120", "16/2 Ne x 2", "7,5 tex", "10 dtex", "5.5/2 Ne", "100 yd per oz",
        "30 Ne*2",
        *(f"10 {system}" for system in YARN_SYSTEMS),
    ],
    "yarn system": [*YARN_SYSTEMS, "m/100 g", "yd/lb", "m/g", "yd per oz", "m/50g"],
    "weave": [
        "plain", "tabby", "2/2 twill", "2/2 twill left", "2/3/1/2 twill right", "2/2 broken twill",
        "3/3 herringbone 9",
        "2/2 herringbone 8", "5 satin 2", "8 sateen 3", "5 satin", "2/2 basket", "3/1 warp rib",
        "2/2 weft rib",
        "1100 0110 0011 1001", "10 01", "1", "0", "11", "Plain Weave", "1/1/1/1/1/3 twill", "16 satin 7",
    ],
    "reversals": ["9,9", "9 9", "12", "5,3,5", "", "1,1", "1000000", "7;8;9", "1,2,3,4,5,6,7,8,9,10",
    "999999,1000000"],
    "sley order": ["1", "2", "1-1-2", "1,2", "0-1", "1 2 3", "40", "1–2", "3−1"],
    "colour order": [
        "8 white, 4 blue", "red", "(2 red, 2 grey) x 6", "6 x (2 red, 2 grey)", "3(1 a, b)",
        "#ff0000, 3 #00FF00",
        "2 light blue; 3 dark navy", "((a, 2 b) x 3, c) * 4, d", "1000000000 red", "ÄÖ, 2 ß", "(a)x2,b",
    ],
    "text": ["red", "ENDS", "none", "8 white, 4 blue", "navy", "WEAVE.SETTFROMWRAPS", "yarn a"],
    "length unit": [*LENGTH_IN_METRES, *SYNONYMS],
    "mass unit": [*MASS_IN_GRAMS, *SYNONYMS],
    "sett unit": [*SETT_PER_IN_INCHES, *SYNONYMS],
}  # fmt: skip
GOOD_TEXTS["yarn text"] = GOOD_TEXTS["yarn"]
LARGE_WEAVES = ["1000/1 twill", "511 satin 2", "1/39 herringbone 512"]

ALPHABET = "0123456789 /,.-x*();#abcdefghijklmnopqrstuvwxyzNeTX×–−'’%\x00\n\t²½１٣éßİ\ud800🧵"


def _quiet(draw: Callable[..., Any]) -> Callable[..., Any]:
    """Let no warning of numpy or pandas be raised while an array is made that gives one."""

    @wraps(draw)
    def drawn(*args: Any) -> Any:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return draw(*args)

    return drawn


def pick(source: Random, items: Sequence[Any]) -> Any:
    """Choose one of some, three times as fast as Random does."""
    return items[int(source.random() * len(items))]


def spoiled(source: Random, text: str) -> str:
    """Change a text in a few places."""
    letters = list(text)
    for _ in range(source.randint(1, 4)):
        place = source.randrange(len(letters) + 1)
        what = source.randrange(5)
        if what == 0:
            letters.insert(place, pick(source, ALPHABET))
        elif what == 1 and letters:
            letters.pop(place - 1)
        elif what == 2 and letters:
            letters[place - 1] = pick(source, ALPHABET)
        elif what == 3:
            letters[place:place] = letters[: source.randint(0, 12)] * source.randint(1, 3)
        elif letters:
            other = source.randrange(len(letters))
            letters[place - 1], letters[other] = letters[other], letters[place - 1]
    return "".join(letters)


def any_text(source: Random) -> str:
    what = source.random()
    if what < 0.002:
        return pick(source, HUGE_TEXTS)()
    if what < 0.5:
        return pick(source, ODD_TEXTS)
    if what < 0.8:
        return spoiled(source, pick(source, GOOD_TEXTS[pick(source, list(GOOD_TEXTS))]))
    return "".join(source.choices(ALPHABET, k=source.randint(0, 30)))


def number_within(source: Random, bounds: Any, whole: bool, ordinary: bool = False) -> float:
    """Draw a number that an argument takes: an ordinary one, or often one at the very edge of its range."""
    low, high = max(bounds.low, -1e12), min(bounds.high, 1e12)
    if ordinary:
        number = min(
            max(pick(source, (source.uniform(0, 1), source.uniform(1, 40))), low + 0.01), high - 0.01
        )
        return max(round(number), math.floor(low) + bounds.low_open) if whole else number
    what = source.random()
    # Many ends and picks cost thousands of times what few do, and teach no more.
    often = 0.01 if whole and high > 10_000 else 0.1
    if what < 0.08:
        number = low if not bounds.low_open else (low + 1 if whole else math.nextafter(low, math.inf))
    elif what < 0.08 + often:
        number = high if not bounds.high_open else (high - 1 if whole else math.nextafter(high, -math.inf))
    elif what < 0.4 or high <= 1:
        number = source.uniform(low, min(high, low + 10))
    elif what < 1 - often:
        number = low + 10 ** source.uniform(-2, pick(source, (1, 1, 1, 2, 3)))
    else:
        number = low + 10 ** source.uniform(-12, math.log10(high - low))
    number = min(max(number, low), high)
    if whole:
        number = round(number)
        if bounds.low_open and number <= low:
            number = math.floor(low) + 1
        return number if source.random() < 0.6 else float(number) * (1 + pick(source, (0, 1e-13, -1e-13)))
    return number


@_quiet
def grid_of(source: Random) -> Any:
    ends, picks = source.randint(1, 9), source.randint(1, 9)
    rows = [[source.randint(0, 1) for _ in range(ends)] for _ in range(picks)]
    what = source.randrange(8)
    if what == 0:
        return np.array(
            rows,
            dtype=pick(source, ["int8", "float64", "bool", "object", "uint64", "float16", "longdouble"]),
        )
    if what == 1:
        return pd.DataFrame(rows)
    if what == 2:
        return [bytes(row) for row in rows]
    if what == 3:
        return tuple(map(tuple, rows))
    if what == 4:
        return [[float(cell) for cell in row] for row in rows]
    if what == 5:
        return [[bool(cell) for cell in row] for row in rows]
    if what == 6:
        return [np.array(row) for row in rows]
    return rows


def good(source: Random, parameter: Any, kind: str = "", ordinary: bool = False) -> Any:
    """Draw a value that the argument may take."""
    kind = kind or parameter.kind
    if kind in ("number", "whole", "fraction"):
        return number_within(source, parameter.bounds, kind == "whole", ordinary)
    if kind == "logical":
        return pick(source, (True, False, 0, 1, 1.0, np.bool_(True)))
    if kind == "choice":
        choice = pick(source, parameter.choices)
        return choice if source.random() < 0.8 else f" {choice.upper()}"
    if kind == "grid" or (kind == "weave" and source.random() < 0.4):
        return grid_of(source)
    if kind == "any":
        return pick(source, ("1-1-2", 0.5, "", None, 1.0, 2))
    if kind == "reversals" and source.random() < 0.3:
        return pick(source, (1, 9, 1000, 7.0, 1_000_000))
    if kind == "sley order" and source.random() < 0.3:
        return source.randint(1, 40)
    if kind == "weave" and source.random() < 0.01:
        return pick(source, LARGE_WEAVES)
    text = pick(source, GOOD_TEXTS[kind])
    return text if ordinary or source.random() < 0.8 else spoiled(source, text)


def hostile(source: Random, depth: int = 0) -> Any:
    """Draw anything at all."""
    what = source.random()
    if what < 0.35:
        return pick(source, EDGE_NUMBERS)
    if what < 0.55:
        return pick(source, ODD_THINGS)
    if what < 0.8 or depth > 4:
        return any_text(source)
    if what < 0.9:
        items = [hostile(source, depth + 1) for _ in range(source.randint(0, 5))]
        return pick(source, (list, tuple))(items)
    return odd_column(source)


@_quiet
def odd_column(source: Random) -> Any:
    """Draw an array or a Series of a type that is seldom met."""
    rows = pick(source, (0, 1, 2, 3, 3, 3, 7))
    numbers = [pick(source, (0, 1, 2, 3, 12)) for _ in range(rows)]
    edges = [pick(source, (0.0, 5e-324, 1e308, math.nan, math.inf, -1.0, 0.5, 12.0)) for _ in range(rows)]
    texts = [pick(source, ("8/2 Ne", "plain", "", "cm", "\ud800", "1")) for _ in range(rows)]
    what = source.randrange(22)
    if what == 0:
        return np.array(edges, dtype=pick(source, ["float64", "float32", "longdouble", ">f8", "complex128"]))
    if what == 1:
        return np.array(
            numbers, dtype=pick(source, ["int8", "uint64", ">i4", "bool", "float16", "object", "U3", "S3"])
        )
    if what == 2:
        return np.array(numbers, dtype=pick(source, ["M8[D]", "m8[s]"]))
    if what == 3:
        return np.array([texts], dtype=object)
    if what == 4:
        return np.zeros((source.randint(0, 3),) * source.randint(2, 4))
    if what == 5:
        types = ["Int64", "Float64", "category", "string"]
        if all(number < 2 for number in numbers):
            types += ["datetime64[ns]", "boolean"]
        return pd.Series(numbers, dtype=pick(source, types))
    if what == 6:
        return pd.Series([*numbers, None], dtype=pick(source, ["Int64", "Float64", "object", "float64"]))
    if what == 7:
        return pd.Series(texts, dtype=pick(source, ["object", "category"]))
    if what == 8:
        return np.ma.masked_array(numbers, [source.random() < 0.3 for _ in numbers])
    if what == 9:
        return np.array([(1, 2.0)] * rows, dtype=[("a", "i4"), ("b", "f8")])
    if what == 10:
        return np.array(numbers, dtype="float64")[::-1]
    if what == 11:
        return pd.Series(edges, index=[pick(source, "abc") for _ in edges])
    if what == 12:
        return pd.Series([hostile(source, 5) for _ in range(rows)], dtype=object)
    if what == 13:
        return pd.Series(pd.to_timedelta(numbers, unit="s"))
    if what == 14:
        return pd.DataFrame({"a": numbers, "b": texts})
    if what == 15:
        return pd.arrays.SparseArray(numbers) if numbers else pd.arrays.SparseArray([0.0])
    if what == 16:
        return pd.Series([complex(n) for n in numbers])
    if what == 17:
        return np.asfortranarray([[1, 0], [0, 1]])
    if what == 18:
        return pd.Series(pd.period_range("2020", periods=rows, freq="D"))
    if what == 19:
        return pd.Series([Decimal(n) for n in numbers], dtype=object)
    if what == 20:
        return np.array([Fraction(n, 3) for n in numbers] + [None], dtype=object)[:rows]
    return pd.Index(numbers)


@_quiet
def column_of(source: Random, parameter: Any, rows: int) -> Any:
    """Draw a column of good values, in any of the forms that hold one, now and then with a bad one."""
    values = [good(source, parameter) for _ in range(rows)]
    if rows and source.random() < 0.15:
        values[source.randrange(rows)] = hostile(source, 3)
    what = source.randrange(6)
    if what < 2 and parameter.kind in ("number", "whole", "fraction"):
        try:
            array = np.array(values, dtype=pick(source, ["float64", "float64", "float32", "int64", "object"]))
        except Exception:
            return values
        return array if what == 0 or array.ndim != 1 else pd.Series(array)
    if what == 2:
        return tuple(values)
    if what == 3 and parameter.kind not in ("weave",):
        return pd.Series(values, dtype=object)
    return values


@_quiet
def list_of(source: Random, parameter: Any) -> Any:
    inner = parameter.kind.removeprefix("list of ").removesuffix("s")
    bounds = inner_bounds(parameter) if inner in ("number", "whole", "fraction") else None
    values = []
    for _ in range(pick(source, (1, 2, 3, 3, 3, 4, 12))):
        if bounds is not None:
            values.append(number_within(source, bounds, inner == "whole"))
        else:
            values.append(good(source, parameter, inner))
    what = source.random()
    if what < 0.05:
        values.append(hostile(source, 4))
    if what < 0.3 and bounds is not None:
        try:
            return np.array(values, dtype="float64")
        except Exception:
            return values
    return values if what < 0.9 else tuple(values)


_INNER: dict[Any, Any] = {}


def inner_bounds(parameter: Any) -> Any:
    """Return the bounds of the items of a list."""
    if parameter not in _INNER:
        _INNER[parameter] = next(
            cell.cell_contents.bounds
            for cell in parameter.convert.__closure__
            if hasattr(cell.cell_contents, "bounds") and cell.cell_contents is not parameter
        )
    return _INNER[parameter]


def call_arguments(source: Random, function: Function) -> tuple[list[Any], dict[str, Any]]:
    """Draw the arguments of one call in Python."""
    bad, columns, left_out = source.random() ** 3, source.random() < 0.2, source.random()
    bad = 0.0 if bad < 0.1 else bad / 2
    ordinary = source.random() < 0.3
    rows = pick(source, (0, 1, 2, 3, 3, 5))
    args: list[Any] = []
    for parameter in function.parameters:
        if not parameter.required and source.random() < left_out:
            args.append(None)
        elif source.random() < bad:
            args.append(hostile(source))
        elif parameter.is_list:
            args.append(list_of(source, parameter))
        elif columns and parameter.column and source.random() < 0.5:
            args.append(column_of(source, parameter, rows if source.random() < 0.95 else rows + 1))
        else:
            args.append(good(source, parameter, ordinary=ordinary))
    what = source.random()
    named: dict[str, Any] = {}
    if function.variadic:
        args = [pick(source, ("ENDS", "SETTFROMWRAPS", "WEAVE.TEX", "why", hostile(source)))]
        args += [hostile(source) for _ in range(source.randint(0, 4))]
    elif what < 0.02:
        args.append(hostile(source))
    elif what < 0.04:
        args = args[: source.randint(0, len(args))]
    elif what < 0.1:
        names = [parameter.name for parameter in function.parameters]
        kept = source.randint(0, len(args))
        named = dict(zip(names[kept:], args[kept:]))
        args = args[:kept]
        if source.random() < 0.1:
            named[pick(source, ("nonsense", names[0]))] = 1
    return args, named


CELLS: list[Any] = [
    None, "", " ", 0.0, 0, 1, 1.0, -1.0, 5e-324, 1e308, 1.7976931348623157e308, 2**53, 12, 12.5, True,
    False, "1,200",
    "0,125", "12,5", "1e3", "x", CellError(), CellError("#N/A"), CellError("#DIV/0!"), "8/2 Ne", "plain",
    "1", "0",
]  # fmt: skip


def cell(source: Random, parameter: Any = None) -> Any:
    """Draw the content of one cell."""
    what = source.random()
    if parameter is not None and what < 0.75:
        kind = (
            parameter.kind.removeprefix("list of ").removesuffix("s") if parameter.is_list else parameter.kind
        )
        if kind == "grid":
            return source.randint(0, 1)
        if kind in ("number", "whole", "fraction") and parameter.is_list:
            return float(number_within(source, inner_bounds(parameter), kind == "whole"))
        value = good(source, parameter, kind)
        if isinstance(value, (str, bool)):
            return value
        if isinstance(value, (int, float)):
            return float(value)
        return "2/2 twill"
    if what < 0.95:
        return pick(source, CELLS)
    return any_text(source)


def cell_arguments(source: Random, function: Function) -> list[Any]:
    """Draw the cells and ranges that one formula hands on."""
    left_out, ranges = source.random(), source.random() * 0.4
    shape = pick(source, ((1, 1), (3, 1), (1, 3), (2, 2), (4, 1)))
    args = []
    parameters = function.parameters
    for parameter in parameters if not function.variadic else parameters * 3:
        if not parameter.required and source.random() < left_out:
            args.append(None)
        elif parameter.is_list or parameter.kind == "grid" or source.random() < ranges:
            rows, across = shape if source.random() < 0.8 else (source.randint(1, 4), source.randint(1, 4))
            args.append([[cell(source, parameter) for _ in range(across)] for _ in range(rows)])
        else:
            args.append(cell(source, parameter))
    if source.random() < 0.05:
        args = args[: source.randint(0, len(args))]
    elif source.random() < 0.05:
        args.append(cell(source))
    if args and function.variadic and source.random() < 0.9:
        args[0] = pick(source, ("ENDS", "SETTFROMWRAPS", "WEAVE.TEX", "why", ""))
    return args


# What may come out


def wrong_in_result(function: Function, result: Any) -> str:
    """Tell what is wrong with a result; an empty text when nothing is."""
    if isinstance(result, (np.ndarray, pd.Series)):
        if result.ndim != 1:
            return f"a column of {result.ndim} dimensions"
        kind = result.dtype.kind
        if kind == "f" and not np.isfinite(result).all():
            return "a column with nan or infinity"
        return "" if kind in "ifUO" or not len(result) else f"a column of {result.dtype}"
    kind = function.result_kind
    if kind in ("grid", "table") or kind.startswith(("row of", "column of")):
        return "" if isinstance(result, list) else f"a {type(result).__name__} for a {kind}"
    values = result if isinstance(result, list) else [result]
    wanted = {"number": float, "whole": int, "text": str}[kind]
    for value in values:
        if not isinstance(value, wanted) and not (wanted is float and type(value) is int):
            return f"a {type(value).__name__} for a {kind}"
        if wanted is not str and not math.isfinite(value):
            return f"{value}"
    return ""


def wrong_in_error(error: WeaveError) -> str:
    """Tell what is wrong with an error; an empty text when nothing is."""
    text = str(error)
    if not error.function or "must be" not in text:
        return f"an error of no sentence: {text}"
    if "\n" in text:
        return f"an error of several lines: {text!r}"
    return "an endless error" if len(text) > 1000 else ""


def wrong_in_cells(result: Any, reason: Any) -> str:
    """Tell what is wrong with cells and the reason given for them; an empty text when nothing is."""
    rows = result if isinstance(result, list) else [[result]]
    if not rows or not all(isinstance(row, list) and len(row) == len(rows[0]) for row in rows):
        return f"rows of unlike length or none: {result!r:.200}"
    types = set(map(type, chain.from_iterable(rows)))
    strange = types - {float, int, str, bool, CellError}
    if strange:
        return f"a {strange.pop().__name__} in a cell"
    cells = chain.from_iterable(rows)
    if types - {float, int}:
        cells = (cell for cell in cells if type(cell) in (float, int))
    # A drawing has a million cells.
    if not all(map(math.isfinite, cells)):
        return f"infinity or no number in a cell: {result!r:.200}"
    failed = CellError in types
    if not isinstance(reason, str):
        return f"no reason but {reason!r}"
    if failed != bool(reason):
        return f"{result!r:.200} with the reason {reason!r}"
    return ""


def pickled(error: WeaveError) -> bool:
    """Tell whether an error survives the way from one process to another; True for what cannot be pickled."""
    try:
        data = pickle.dumps(error)
    except Exception:
        return True
    return str(pickle.loads(data)) == str(error)
