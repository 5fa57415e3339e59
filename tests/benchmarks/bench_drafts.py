"""A drawn cloth taken apart into threading, tie-up and treadling, and woven again, against plain numpy."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

import numpy as np
from measured import ROUNDS, Row, turns

import weavefuncs as wf

SHAFTS, TREADLES = 24, 32


def rows(quick: bool) -> Iterator[Row]:
    """Compare grids of 1, 10 and 100 times the cells."""
    for side in (100, 316, 1000):
        grid, *draft = drawn(side)
        pairs: dict[str, tuple[Callable[..., object], Callable[..., object], tuple[object, ...]]] = {
            "threading": (wf.threading, numpy_threading, (grid,)),
            "treadling": (wf.treadling, numpy_treadling, (grid,)),
            "tie_up": (wf.tie_up, numpy_tie_up, (grid,)),
            "shafts_needed": (wf.shafts_needed, lambda grid: numpy_threading(grid).max(), (grid,)),
            "treadles_needed": (wf.treadles_needed, lambda grid: numpy_treadling(grid).max(), (grid,)),
            "drawdown_from_draft": (wf.drawdown_from_draft, numpy_drawdown, tuple(draft)),
        }
        for name, (ours, plain, given) in pairs.items():
            assert np.array_equal(ours(*given), plain(*given)), name
            times = turns(partial(ours, *given), partial(plain, *given), 1 if quick else ROUNDS)
            yield times.row(name, f"{side} × {side}", "plain numpy")


def drawn(side: int) -> tuple[np.ndarray, ...]:
    """Invent a draft and draw it."""
    generator = np.random.default_rng(3)
    tie_up = generator.integers(0, 2, (SHAFTS, TREADLES))
    threading = generator.integers(1, SHAFTS + 1, side)
    treadling = generator.integers(1, TREADLES + 1, side)
    return numpy_drawdown(threading, tie_up, treadling), threading, tie_up, treadling


def numpy_drawdown(threading: np.ndarray, tie_up: np.ndarray, treadling: np.ndarray) -> np.ndarray:
    """Draw the cloth of a draft."""
    return tie_up[threading - 1][:, treadling - 1].T


def numpy_threading(grid: np.ndarray) -> np.ndarray:
    """Number unlike columns from 1 as they first appear."""
    _, first, inverse = np.unique(grid, axis=1, return_index=True, return_inverse=True)
    return first.argsort().argsort()[inverse.ravel()] + 1


def numpy_treadling(grid: np.ndarray) -> np.ndarray:
    """Number unlike rows from 1 as they first appear."""
    return numpy_threading(grid.T)


def numpy_tie_up(grid: np.ndarray) -> np.ndarray:
    """Keep the first of the columns and rows that are alike; one row a shaft."""
    ends, picks = (np.sort(np.unique(grid, axis=axis, return_index=True)[1]) for axis in (1, 0))
    return grid[np.ix_(picks, ends)].T
