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
        found = [first, *(_of_total(others, rest) if others else [])]
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


def _of_total(wanted: Widths, total: int) -> list[int]:
    """Share a total out among stripes that stand equally often, one step at least each.

    Each step goes where it adds least to the sum of squares. That is where the stripe is narrowest
    against what was wanted, whatever convex sum is asked for, so the largest deviation is least as well.
    """
    # All but the last steps, by halving: as many as there are with each stripe off alike.
    low, high = -max(wanted), float(total)
    for _ in range(100):
        middle = (low + high) / 2
        if sum(_moved(wanted, middle)) <= total:
            low = middle
        else:
            high = middle
    steps = _moved(wanted, low - NEAR)
    for _ in range(total - sum(steps)):
        place = min(range(len(wanted)), key=lambda place: (round(steps[place] - wanted[place], 9), place))
        steps[place] += 1
    return steps


def _moved(wanted: Widths, by: float) -> list[int]:
    return [max(1, ceil(asked + by)) for asked in wanted]
