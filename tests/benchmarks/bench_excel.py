"""What a call from Excel costs in Python, against xlwings alone.

xlwings' own dispatcher runs over stand-ins for the Windows modules: what lies between Excel and Python comes
on top. xlwings alone is a function registered in the same way that returns its first argument.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

from measured import ROUNDS, Row, Times, seconds
from windows_stand_ins import LEFT_OUT, OURS, windows

SCALARS: dict[str, tuple[Any, ...]] = {
    "WEAVE_ENDS": (15.0, 24.0, LEFT_OUT, LEFT_OUT),
    "WEAVE_SETTFROMWRAPS": (30.0, "2/2 twill", LEFT_OUT),
    "WEAVE_YARNLENGTH": (100.0, "8/2 Ne", LEFT_OUT, LEFT_OUT),
}
CALLS = 1000


def rows(quick: bool) -> Iterator[Row]:
    """Compare single calls as 20,000 cells make them, then whole columns in one call."""
    with windows() as excel:
        rounds = 1 if quick else ROUNDS
        for name, arguments in SCALARS.items():
            times = dispatched(excel, name, arguments, rounds, 20_000 if not quick else CALLS)
            over = (min(times.ours) - min(times.other)) * 1e6
            aim, note = "20 µs more", f"{over:.0f} µs more"
            yield times.row(name, "a call of 20,000", "xlwings alone", aim, note)
        for count in (200, 2_000, 20_000):
            yarns = tuple(("8/2 Ne",) if number % 2 else ("74 tex",) for number in range(count))
            lengths = tuple((float(number),) for number in range(1, count + 1))
            for name, arguments in {"WEAVE_TEX": (yarns,), "WEAVE_YARNMASS": (lengths, yarns)}.items():
                times = dispatched(excel, name, arguments, rounds, 20_000 // count)
                yield times.row(f"{name}, a column", f"{count:,} rows in one call", "xlwings alone")


def dispatched(excel: Any, name: str, arguments: tuple[Any, ...], rounds: int, number: int) -> Times:
    """Time a call, and the same with nothing of ours behind it."""
    ours = getattr(excel.functions, name)

    def bare(*given: Any) -> Any:
        return given[0]

    bare.__xlfunc__ = ours.__xlfunc__  # type: ignore[attr-defined]

    def taken(function: Callable[..., Any]) -> float:
        setattr(excel.functions, name, function)
        return seconds(partial(excel.udfs.call_udf, OURS[0], name, arguments), number)

    try:
        times = [(taken(ours), taken(bare)) for _ in range(rounds)]
    finally:
        setattr(excel.functions, name, ours)
    return Times(*map(list, zip(*times)))
