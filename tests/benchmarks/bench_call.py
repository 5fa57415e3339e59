"""What the checks of a call cost: ``python tests/benchmarks/bench_call.py``.

One call with single values, and a million rows against the same arithmetic in bare numpy.
"""

from __future__ import annotations

import timeit
from collections.abc import Callable
from functools import partial

import numpy as np
import pandas as pd

import weavefuncs as wf

ROWS = 1_000_000
CALLS = 100_000


def best(call: Callable[[], object], number: int = 1) -> float:
    """Return the shortest time of one call in seconds."""
    return min(timeit.repeat(call, number=number, repeat=7)) / number


def main() -> None:
    """Print the times."""
    for name, call in {
        "crimp(8.6, 8)": lambda: wf.crimp(8.6, 8),
        "ends(15, 24)": lambda: wf.ends(15, 24),
        'yarn_length(100, "8/2 Ne")': lambda: wf.yarn_length(100, "8/2 Ne"),
        'sett_from_wraps(30, "2/2 twill")': lambda: wf.sett_from_wraps(30, "2/2 twill"),
    }.items():
        print(f"{name:40} {1e6 * best(call, CALLS // 10):8.2f} µs")

    generator = np.random.default_rng(1)
    sett, shrinkage = generator.uniform(5, 30, ROWS), generator.uniform(0, 0.2, ROWS)
    bare = best(lambda: sett / ((1 - shrinkage) * (1 - 0.0)))
    print(f"{'a million rows, bare numpy':40} {1000 * bare:8.2f} ms")
    for name, columns in {
        "numpy arrays": (sett, shrinkage),
        "pandas Series": (pd.Series(sett), pd.Series(shrinkage)),
    }.items():
        ours = best(partial(wf.finished_sett, *columns))
        print(f"{'a million rows, ' + name:40} {1000 * ours:8.2f} ms  {ours / bare:5.2f}")


if __name__ == "__main__":
    main()
