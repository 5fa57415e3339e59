"""What a call from Excel costs, and how much of it is ours: ``python tests/benchmarks/bench_excel.py``.

xlwings' own dispatcher runs over stand-ins for the Windows modules, so the times are those of Python alone:
what lies between Excel and Python comes on top. "bare" is a function registered in the same way that returns
its first argument: what xlwings itself costs. The budget is 20 µs a scalar call over that.
"""

from __future__ import annotations

import sys
import timeit
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1] / "hosts"))
from windows_stand_ins import LEFT_OUT, OURS, windows

CALLS = 2_000
ROWS = 10_000

YARNS = tuple(("8/2 Ne",) if number % 2 else ("74 tex",) for number in range(ROWS))
LENGTHS = tuple((float(number),) for number in range(1, ROWS + 1))

SCALARS: dict[str, tuple[Any, ...]] = {
    "WEAVE_ENDS": (15.0, 24.0, LEFT_OUT, LEFT_OUT),
    "WEAVE_SETTFROMWRAPS": (30.0, "2/2 twill", LEFT_OUT),
    "WEAVE_YARNLENGTH": (100.0, "8/2 Ne", LEFT_OUT, LEFT_OUT),
}
COLUMNS: dict[str, tuple[Any, ...]] = {"WEAVE_TEX": (YARNS,), "WEAVE_YARNMASS": (LENGTHS, YARNS)}


def best(call: Callable[[], object], number: int) -> float:
    """Return the shortest time of one call in seconds."""
    return min(timeit.repeat(call, number=number, repeat=5)) / number


def main() -> None:
    """Print the times."""
    with windows() as excel:
        udfs, functions = excel.udfs, excel.functions

        def timed(name: str, arguments: tuple[Any, ...], number: int) -> tuple[float, float]:
            whole = best(lambda: udfs.call_udf(OURS[0], name, arguments), number)
            # The same function for xlwings, but with nothing of ours behind it.
            call = getattr(functions, name)

            def bare(*given: Any) -> Any:
                return given[0]

            bare.__xlfunc__ = call.__xlfunc__  # type: ignore[attr-defined]
            setattr(functions, name, bare)
            try:
                return whole, best(lambda: udfs.call_udf(OURS[0], name, arguments), number)
            finally:
                setattr(functions, name, call)

        print(f"{'one call':24}{'whole':>10}{'bare':>10}{'ours':>10}")
        for name, arguments in SCALARS.items():
            whole, bare = (1e6 * seconds for seconds in timed(name, arguments, CALLS))
            print(f"{name:24}{whole:8.1f} µs{bare:7.1f} µs{whole - bare:7.1f} µs")
        print(f"{f'{ROWS} rows in one call':24}")
        for name, arguments in COLUMNS.items():
            whole, bare = (1e3 * seconds for seconds in timed(name, arguments, 1))
            print(f"{name:24}{whole:8.1f} ms{bare:7.1f} ms{whole - bare:7.1f} ms")


if __name__ == "__main__":
    main()
