"""Floats: a large grid against a plain numpy version, and a weave with reversals against less of it.

Run: python tests/benchmarks/bench_floats.py
"""

from __future__ import annotations

import random
import statistics
import time
from collections.abc import Callable

import numpy as np

import weavefuncs as wf

SIDE = 1000


def plain_numpy(grid: np.ndarray) -> int:
    """Find the longest run of equal neighbours along either side, the straightforward way."""
    longest = 0
    for cloth in (grid, grid.T):
        run = np.ones(cloth.shape[0], dtype=int)
        for number in range(1, cloth.shape[1]):
            run = np.where(cloth[:, number] == cloth[:, number - 1], run + 1, 1)
            longest = max(longest, int(run.max()))
    return longest


def seconds(call: Callable[[], object], times: int = 7) -> float:
    """Return the median of several runs."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def main() -> None:
    """Print the times and their ratios."""
    source = random.Random(8)
    rows = [[int(source.random() < 0.5) for _ in range(SIDE)] for _ in range(SIDE)]
    array = np.array(rows)
    same = wf.longest_float(rows, "either", SIDE, SIDE), plain_numpy(array)
    assert same[0] == same[1], same
    ours = seconds(lambda: wf.longest_float(rows, "either", SIDE, SIDE))
    ours_array = seconds(lambda: wf.longest_float(array, "either", SIDE, SIDE))
    numpys = seconds(lambda: plain_numpy(array))
    small = seconds(lambda: wf.longest_float("2/2 twill", "either", 1000, 10_000, "9,5"))
    large = seconds(lambda: wf.longest_float("2/2 twill", "either", 10_000, 100_000, "9,5"))
    print(f"grid of {SIDE} × {SIDE}, lists      {ours * 1e3:8.2f} ms   {ours / numpys:6.2f} × plain numpy")
    print(f"grid of {SIDE} × {SIDE}, numpy      {ours_array * 1e3:8.2f} ms   {ours_array / numpys:6.2f} ×")
    print(f"plain numpy                  {numpys * 1e3:8.2f} ms")
    print(f"2/2 twill, 10,000 × 100,000  {large * 1e3:8.2f} ms   {large / small:6.2f} × a hundredth of it")


if __name__ == "__main__":
    main()
