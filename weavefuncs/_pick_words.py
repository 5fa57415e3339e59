"""A pick in words: what the weft does across the warp, with repeats folded.

The words are taken from the runs of ends that lie alike. From the side the
weft enters, the group of runs that repeats over the most of what follows is
written once, in brackets with its number; of groups that cover as much the
shortest. What repeats nowhere is written as it is. A group is never longer
than one repeat of the weave, so the same pick always folds the same way.
"""

from __future__ import annotations

from functools import lru_cache

from weavefuncs.errors import WeaveError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterator

# What a cell of a spreadsheet holds.
LONGEST_TEXT = 32_767

# Longer groups are no help to a hand that counts.
MOST_RUNS_IN_GROUP = 40

ENTERING, LEAVING = "over the floating selvedge", "under the floating selvedge"


@lru_cache(maxsize=256)
def pick_words(repeat: bytes, ends: int, floating_selvedge: bool) -> str:
    """Write what the weft does; the repeat begins at the end that it meets first."""
    parts = [ENTERING] if floating_selvedge else []
    room = LONGEST_TEXT - (len(f"{ENTERING}, , {LEAVING}") if floating_selvedge else 0)
    for group, times in _folds(repeat, ends):
        words = _words(group)
        parts.append(f"({words}) × {times}" if times > 1 else words)
        room -= len(parts[-1]) + len(", ")
        if room + len(", ") < 0:
            raise WeaveError("ends", f"few enough for a text of at most {LONGEST_TEXT} characters", ends)
    if floating_selvedge:
        parts.append(LEAVING)
    return ", ".join(parts)


def _folds(repeat: bytes, ends: int) -> Iterator[tuple[bytes, int]]:
    """Split a row into groups of runs, each with how many times it stands there."""
    row = (repeat * -(-ends // len(repeat)))[:ends]
    runs_in_repeat = 2 * (repeat + repeat[:1]).count(b"\x00\x01")
    most = min(2 * runs_in_repeat, MOST_RUNS_IN_GROUP)
    start = 0
    while start < ends:
        run_ends = _run_ends(row, start, max(most, 1))
        width, times = run_ends[0] - start, 1
        # Over and under take turns, so only an even number of runs can repeat.
        for end in run_ends[1::2]:
            often = _times(row, start, end)
            if often > 1 and often * (end - start) > width * times:
                width, times = end - start, often
        yield row[start : start + width], times
        start += width * times


def _run_ends(row: bytes, start: int, most: int) -> list[int]:
    """Find where the next runs of ends that lie alike end."""
    found: list[int] = []
    while start < len(row) and len(found) < most:
        end = row.find(b"\x00" if row[start] else b"\x01", start)
        start = len(row) if end < 0 else end
        found.append(start)
    return found


def _words(group: bytes) -> str:
    """Write runs in words: where the warp is up the weft goes under."""
    ends = _run_ends(group, 0, len(group))
    starts = [0, *ends]
    return ", ".join(
        f"{'under' if group[start] else 'over'} {end - start}" for start, end in zip(starts, ends)
    )


def _times(row: bytes, start: int, end: int) -> int:
    """Count how many times a group of whole runs stands in a row, one after another."""
    group = row[start:end]
    width = len(group)
    times = step = 1
    while row.startswith(group * step, start + width * times):
        times += step
        step *= 2
    while step := step // 2:
        if row.startswith(group * step, start + width * times):
            times += step
    # Where the run goes on after the last of them, that one is no such group.
    after = start + width * times
    return times - 1 if row[after : after + 1] == group[-1:] else times
