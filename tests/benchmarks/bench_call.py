"""What the checks of a call cost: against the body alone, and a million rows against bare numpy."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

import numpy as np
import pandas as pd
from measured import ROUNDS, Row, apart, memory, turns

import weavefuncs as wf
from weavefuncs import registry

CALLS: dict[str, tuple[Any, ...]] = {
    "crimp": (8.6, 8),
    "ends": (15, 24),
    "yarn_length": (100, "8/2 Ne"),
    "sett_from_wraps": (30, "2/2 twill"),
}


def rows(quick: bool) -> Iterator[Row]:
    """Compare single calls, then columns that grow."""
    for name, arguments in CALLS.items():
        function = registry.get(name)
        left_out = (None,) * (len(function.parameters) - len(arguments))
        converted = [
            parameter.converted_default if value is None else parameter.convert(value)
            for parameter, value in zip(function.parameters, (*arguments, *left_out))
        ]
        calls = partial(getattr(wf, name), *arguments), partial(function.body, *converted)
        times = turns(*calls, 1 if quick else ROUNDS, 10_000)
        yield times.row(f"{name}{arguments}", "one call", "its body alone, unchecked")

    for count in (10_000, 100_000, 1_000_000):
        columns = sett_and_shrinkage(count)
        rounds, number = (1, 1) if quick else (3 * ROUNDS, 1_000_000 // count)
        for kind, given in (("arrays", columns), ("Series", tuple(map(pd.Series, columns)))):
            times = turns(partial(wf.finished_sett, *given), partial(bare, *columns), rounds, number)
            aim = "1.5" if count == 1_000_000 else ""  # below, what a call costs at all counts
            yield times.row(f"finished_sett, {kind}", f"{count:,} rows", "bare numpy", aim)
    ours, other = (apart(sett_and_shrinkage, call, 10_000_000) for call in (wf.finished_sett, bare))
    yield memory("finished_sett, arrays", "10,000,000 rows", ours, "bare numpy", other)


def sett_and_shrinkage(count: int) -> tuple[np.ndarray, np.ndarray]:
    """Invent columns."""
    generator = np.random.default_rng(1)
    return generator.uniform(5, 30, count), generator.uniform(0, 0.2, count)


def bare(sett: np.ndarray, shrinkage: np.ndarray) -> np.ndarray:
    """Do the same sum with no check."""
    return sett / ((1 - shrinkage) * (1 - 0.0))
