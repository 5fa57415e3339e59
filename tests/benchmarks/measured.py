"""What the benchmarks share: a row of what was measured, the ways of measuring, and the table.

Each ``bench_*.py`` here has ``rows(quick)``, which yields one ``Row`` after the other; ``all.py`` prints them
in one table. What is compared takes turns in one run, so that what else the machine does falls on both. A
quick run only shows that everything works: less work, one round, and its numbers mean nothing.
"""

from __future__ import annotations

import gc
import multiprocessing
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any, NamedTuple

sys.path.insert(0, str(Path(__file__).parents[1] / "hosts"))  # where the offices are

ROUNDS = 7


class Row(NamedTuple):
    """One comparison: what was measured, on how much work, against what."""

    measured: str
    work: str
    ours: str
    compared_with: str
    other: str
    ratio: float
    """Of the shortest times."""
    median: float
    """Of the ratios of all rounds; where nothing took turns, the ratio once more."""
    aim: str = ""
    note: str = ""


COLUMNS = ("measured", "work", "ours", "compared with", "that", "ratio", "median", "aim", "note")


class Times(NamedTuple):
    """Seconds of two calls that took turns."""

    ours: list[float]
    other: list[float]

    def row(self, measured: str, work: str, compared_with: str, aim: str = "", note: str = "") -> Row:
        """Compare the two."""
        ratios = [mine / theirs for mine, theirs in zip(self.ours, self.other)]
        ours, other = min(self.ours), min(self.other)
        median = statistics.median(ratios)
        return Row(
            measured, work, written(ours), compared_with, written(other), ours / other, median, aim, note
        )


def written(seconds: float) -> str:
    """Write a time with three digits."""
    for below, factor, unit in ((1e-3, 1e6, "µs"), (1, 1e3, "ms"), (float("inf"), 1, "s")):
        if seconds < below:
            value = seconds * factor
            return f"{value:.{max(0, 2 - (value >= 10) - (value >= 100))}f} {unit}"
    raise AssertionError(seconds)


def seconds(call: Callable[[], object], number: int = 1) -> float:
    """Time a call, the mean of so many, with no collection of garbage of others in between."""
    gc.collect()
    gc.disable()
    try:
        started = time.perf_counter()
        for _ in range(number):
            call()
        return (time.perf_counter() - started) / number
    finally:
        gc.enable()


def turns(
    ours: Callable[[], object], other: Callable[[], object], rounds: int = ROUNDS, number: int = 1
) -> Times:
    """Time two calls, turn and turn about."""
    times = [(seconds(ours, number), seconds(other, number)) for _ in range(rounds)]
    return Times(*map(list, zip(*times)))


def command(*words: str | Path) -> Callable[[], object]:
    """Return a call that runs a whole process."""
    return lambda: subprocess.run(words, check=True, capture_output=True)


class Apart(NamedTuple):
    """What one call took in a fresh process of its own, and how it went."""

    seconds: float
    mebibytes: float
    """How far the call raised the memory of the process above what it held before."""
    said: Any


def apart(
    prepare: Callable[..., Any], call: Callable[..., Any], *given: Any, say: Callable[[Any], Any] = type
) -> Apart:
    """Run ``call(*prepare(*given))`` in a fresh process; ``say`` keeps of its result what is told."""
    # Not forked: a fork inherits the peak of this process.
    with ProcessPoolExecutor(1, multiprocessing.get_context("spawn")) as process:
        return process.submit(_watched, prepare, call, given, say).result()


def _watched(
    prepare: Callable[..., Any], call: Callable[..., Any], given: Sequence[Any], say: Callable[[Any], Any]
) -> Apart:
    prepared = prepare(*given)
    Path("/proc/self/clear_refs").write_text("5", "utf-8")  # forget what the preparation took (Linux)
    before = _resident("VmRSS")
    started = time.perf_counter()
    result = call(*prepared)
    taken = time.perf_counter() - started
    return Apart(taken, _resident("VmHWM") - before, say(result))


def _resident(what: str) -> float:
    """Return what Linux says of this process, in MiB: VmRSS now, VmHWM at its highest."""
    status = Path("/proc/self/status").read_text("utf-8")
    return int(status.partition(f"{what}:")[2].split()[0]) / 1024


def memory(measured: str, work: str, ours: Apart, compared_with: str, other: Apart) -> Row:
    """Compare the memory of two calls that ran apart."""
    ratio = ours.mebibytes / other.mebibytes
    amounts = [f"{one.mebibytes:.0f} MiB" for one in (ours, other)]
    return Row(f"{measured}, memory", work, amounts[0], compared_with, amounts[1], ratio, ratio)


def cells(row: Row) -> list[str]:
    """Write a row."""
    return [
        f"{cell:,.{3 if cell < 0.1 else 2 if cell < 100 else 0}f}" if isinstance(cell, float) else cell
        for cell in row
    ]


def table(rows: Iterable[Sequence[str]]) -> str:
    """Write rows of texts below the headings, each column as wide as its widest."""
    lines = [COLUMNS, *rows]
    widths = [max(map(len, column)) for column in zip(*lines)]
    return "\n".join("  ".join(map(str.ljust, line, widths)).rstrip() for line in lines)
