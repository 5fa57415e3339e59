"""What a call from Excel costs, and how much of it is ours: ``python tests/benchmarks/bench_excel.py``.

xlwings' own dispatcher runs over stand-ins for the Windows modules, so the times are those of Python alone:
what lies between Excel and Python comes on top. "bare" is a function registered in the same way that returns
its first argument: what xlwings itself costs. The budget is 20 µs a scalar call over that.
"""

from __future__ import annotations

import sys
import timeit
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1] / "hosts"))
from windows_stand_ins import LEFT_OUT, OURS, windows

CALLS, ROUNDS = 1_000, 9
ROWS = 10_000

YARNS = tuple(("8/2 Ne",) if number % 2 else ("74 tex",) for number in range(ROWS))
LENGTHS = tuple((float(number),) for number in range(1, ROWS + 1))

SCALARS: dict[str, tuple[Any, ...]] = {
    "WEAVE_ENDS": (15.0, 24.0, LEFT_OUT, LEFT_OUT),
    "WEAVE_SETTFROMWRAPS": (30.0, "2/2 twill", LEFT_OUT),
    "WEAVE_YARNLENGTH": (100.0, "8/2 Ne", LEFT_OUT, LEFT_OUT),
}
COLUMNS: dict[str, tuple[Any, ...]] = {"WEAVE_TEX": (YARNS,), "WEAVE_YARNMASS": (LENGTHS, YARNS)}


def timed(functions: Any, name: str, call: Callable[[], object], number: int) -> tuple[float, float]:
    """Return the shortest times of a call in seconds: whole, and with nothing of ours behind it."""
    ours = getattr(functions, name)

    def bare(*given: Any) -> Any:
        return given[0]

    bare.__xlfunc__ = ours.__xlfunc__  # type: ignore[attr-defined]
    times: dict[Any, list[float]] = {ours: [], bare: []}
    try:
        # Turn and turn about, so that a busy moment of the machine falls on both.
        for function in (ours, bare) * ROUNDS:
            setattr(functions, name, function)
            times[function].append(timeit.timeit(call, number=number) / number)
    finally:
        setattr(functions, name, ours)
    return min(times[ours]), min(times[bare])


def main() -> None:
    """Print the times."""
    with windows() as excel:
        print(f"{'one call':24}{'whole':>11}{'bare':>11}{'ours':>11}")
        for calls, unit, factor, number in ((SCALARS, "µs", 1e6, CALLS), (COLUMNS, "ms", 1e3, 1)):
            for name, arguments in calls.items():
                call = partial(excel.udfs.call_udf, OURS[0], name, arguments)
                whole, bare = (factor * seconds for seconds in timed(excel.functions, name, call, number))
                print(f"{name:24}" + "".join(f"{time:8.1f} {unit}" for time in (whole, bare, whole - bare)))
            if calls is SCALARS:
                print(f"{ROWS} rows in one call")


if __name__ == "__main__":
    main()
