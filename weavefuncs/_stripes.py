"""Stripes: how many ends each takes, so that the one furthest from its width is as near as can be.

All is counted in steps, the ends that are not parted. Stripes stand in the warp a number of times;
all but the first as often as each other, the first once more where it closes the warp as well.
"""

from __future__ import annotations

from math import ceil, floor

from weavefuncs._rounding import DUST

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterator

    Widths = tuple[float, ...]

# Deviations closer than this, in steps, are equal.
NEAR = 1e-9


def nearest(wanted: Widths) -> list[int]:
    """Return whole steps for each stripe by itself, one at least; a half is rounded up."""
    return [max(1, floor(steps + 0.5 + DUST * steps)) for steps in wanted]


def shared(wanted: Widths, times: int, first_times: int, total: int) -> list[int]:
    """Return whole steps for each stripe that come to a total in all; none where nothing does.

    The largest deviation is least; then the sum of squared deviations; then what stands first has more.
    """
    best: tuple[tuple[float, float, int], list[int]] | None = None
    others = wanted[1:]
    most = (total - times * len(others)) // first_times
    # From the width wanted outward: once the first stripe alone is further off than the best, it ends.
    for first in _outward(wanted[0], most):
        off = abs(first - wanted[0])
        if best and off > best[0][0] + NEAR:
            break
        rest, over = divmod(total - first_times * first, times)
        if over or (rest > 0) != bool(others):
            continue
        found = [first, *(_of_total(others, rest, off) if others else [])]
        offs = [abs(steps - asked) for steps, asked in zip(found, wanted)]
        rank = (round(max(offs), 9), round(sum(one * one for one in offs), 9), -first)
        if best is None or rank < best[0]:
            best = rank, found
    return best[1] if best else []


def _outward(middle: float, most: int) -> Iterator[int]:
    """Give the whole numbers from 1 to the most, nearest to the middle first."""
    below = min(floor(middle), most)
    above = below + 1
    while below >= 1 or above <= most:
        if above > most or (below >= 1 and middle - below <= above - middle):
            yield below
            below -= 1
        else:
            yield above
            above += 1


def _of_total(wanted: Widths, total: int, allowed: float) -> list[int]:
    """Share a total out among stripes that stand equally often; to be off so far does no harm."""
    low, high = 0.0, max(abs(total), *wanted) + 1.0
    # The least deviation that leaves room for the total, by halving.
    for _ in range(100):
        middle = (low + high) / 2
        if _room(wanted, middle)[0] <= total <= _room(wanted, middle)[1]:
            high = middle
        else:
            low = middle
    high = max(high, allowed)
    # What is as near as that to the last digit must not depend on how it was reckoned.
    steps = [max(1, ceil(asked - high - NEAR)) for asked in wanted]
    most = [floor(asked + high + NEAR) for asked in wanted]
    # Each further step goes where it adds least to the sum of squares.
    for _ in range(total - sum(steps)):
        place = min(
            (place for place in range(len(wanted)) if steps[place] < most[place]),
            key=lambda place: (round(steps[place] - wanted[place], 9), place),
        )
        steps[place] += 1
    return steps


def _room(wanted: Widths, off: float) -> tuple[int, int]:
    """Return the fewest and the most steps in all with no stripe further off than this."""
    return (
        sum(max(1, ceil(asked - off)) for asked in wanted),
        sum(floor(asked + off) for asked in wanted),
    )
