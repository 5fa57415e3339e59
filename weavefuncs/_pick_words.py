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

# What a cell of a spreadsheet holds.
LONGEST_TEXT = 32_767

# Longer groups are no help to a hand that counts.
MOST_RUNS_IN_GROUP = 40

ENTERING, LEAVING = "over the floating selvedge", "under the floating selvedge"


@lru_cache(maxsize=256)
def pick_words(repeat: bytes, ends: int, floating_selvedge: bool) -> str:
    """Write what the weft does; the repeat begins at the end that it meets first."""
    runs = _runs((repeat * -(-ends // len(repeat)))[:ends])
    most = min(len(_runs(repeat * 2)), MOST_RUNS_IN_GROUP)
    parts = [ENTERING] if floating_selvedge else []
    room = LONGEST_TEXT - (len(f"{ENTERING}, , {LEAVING}") if floating_selvedge else 0)
    start = 0
    while start < len(runs):
        group, times = _fold(runs, start, most)
        words = ", ".join(runs[start : start + group])
        parts.append(f"({words}) × {times}" if times > 1 else words)
        start += group * times
        room -= len(parts[-1]) + (2 if start < len(runs) else 0)
        if room < 0:
            raise WeaveError("ends", f"few enough for a text of at most {LONGEST_TEXT} characters", ends)
    if floating_selvedge:
        parts.append(LEAVING)
    return ", ".join(parts)


def _runs(row: bytes) -> list[str]:
    """Split a row into runs in words: where the warp is up the weft goes under."""
    runs = []
    start = 0
    while start < len(row):
        up = row[start]
        end = row.find(b"\x00" if up else b"\x01", start)
        end = len(row) if end < 0 else end
        runs.append(f"{'under' if up else 'over'} {end - start}")
        start = end
    return runs


def _fold(runs: list[str], start: int, most: int) -> tuple[int, int]:
    """Return the length of the group that begins here, and how many times it stands there."""
    best = (1, 1)
    # Over and under take turns, so only an even number of runs can repeat.
    for group in range(2, most + 1, 2):
        times = 1
        model = runs[start : start + group]
        while runs[start + times * group : start + (times + 1) * group] == model:
            times += 1
        if times > 1 and group * times > best[0] * best[1]:
            best = group, times
    return best
