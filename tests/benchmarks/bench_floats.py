"""Floats: a drawn grid against a plain numpy version, and a weave with reversals against less of it."""

from __future__ import annotations

import random
from collections.abc import Iterator
from functools import partial

import numpy as np
from measured import ROUNDS, Row, turns

import weavefuncs as wf

SIDES = (100, 316, 1000)


def rows(quick: bool) -> Iterator[Row]:
    """Compare grids of 1, 10 and 100 times the cells, and a large piece with a small one."""
    rounds = 1 if quick else ROUNDS
    for side in SIDES:
        as_lists, array = drawn(side)
        assert ours(as_lists) == ours(array) == plain_numpy(array)
        for kind, grid in (("lists", as_lists), ("an array", array)):
            times = turns(partial(ours, grid), partial(plain_numpy, array), rounds)
            yield times.row(f"longest_float, {kind}", f"{side} × {side}", "plain numpy")
    small, *larger = (
        (f"{ends:,} × {picks:,}", partial(wf.longest_float, "2/2 twill", "either", ends, picks, "9,5"))
        for ends, picks in ((1000, 10_000), (3162, 31_623), (10_000, 100_000))
    )
    for work, call in larger:
        times = turns(call, small[1], rounds)
        yield times.row("longest_float, twill with reversals", work, f"{small[0]} of it")


def drawn(side: int) -> tuple[list[list[int]], np.ndarray]:
    """Draw a grid at random."""
    source = random.Random(8)
    as_lists = [[int(source.random() < 0.5) for _ in range(side)] for _ in range(side)]
    return as_lists, np.array(as_lists)


def ours(grid: list[list[int]] | np.ndarray) -> int:
    """Ask for the longest float of a grid as it is."""
    return wf.longest_float(grid, "either", len(grid), len(grid))


def plain_numpy(grid: np.ndarray) -> int:
    """Find the longest run of equal neighbours along either side, the straightforward way."""
    longest = 0
    for cloth in (grid, grid.T):
        run = np.ones(cloth.shape[0], dtype=int)
        for number in range(1, cloth.shape[1]):
            run = np.where(cloth[:, number] == cloth[:, number - 1], run + 1, 1)
            longest = max(longest, int(run.max()))
    return longest
