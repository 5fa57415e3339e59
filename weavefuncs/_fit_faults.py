"""Faults of a growing piece: edge ends that let the weft slip past, and its longest floats.

Plans of one piece differ in ends and rows only, and neither kind of fault goes away with more of them. So
what was found for one number of rows or ends tells about many others.
"""

from __future__ import annotations

from bisect import bisect_right

from weavefuncs._floats import LEAST_ROW_COST, longest_warp_float, longest_weft_float
from weavefuncs._reversals import period, stretches, turns_within
from weavefuncs.errors import WeaveError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from weavefuncs._fit_choices import Legs
    from weavefuncs._structure import Weave

# Turns are followed row by row; a longer way round is refused.
MOST_TURNS = 1_000_000

# What takes as long as looking at one plan.
ROWS_OF_A_LOOK = 20
CELLS_OF_A_LOOK = 2000
# Cells that are drawn as fast as one leg is begun.
CELLS_OF_A_LEG = 300


class Edges:
    """The ends that catch the weft at every turn of it, as more and more rows are woven.

    An end is one bit, and never catches again once it let the weft slip past: so what is kept is the rows
    at which ends are lost, and which ends are left then.
    """

    def __init__(self, weave: Weave, legs: Legs, look: Callable[[int], None]) -> None:
        self._legs = legs
        self._look = look
        cycle = period(legs, weave.picks)
        # After so many picks every turn has been seen.
        self._way_round = cycle * (1 + cycle % 2) + 1
        every = bits(range(weave.ends), weave.ends)
        # For the turns after odd picks, then for those after even ones.
        self._lost_at = [0], [0]
        self._left = [every], [every]
        self._rows = _rows(weave, legs, self._way_round)
        self._woven, self._last = 1, next(self._rows)

    def caught(self, picks: int) -> tuple[int, int]:
        """Return the ends that catch the weft after all odd picks of so many, and after all even ones."""
        picks = min(picks, self._way_round)
        if picks > MOST_TURNS:
            raise WeaveError(
                "reversals",
                f"such that they come back together with the weave within {MOST_TURNS:,} rows",
                list(self._legs),
            )
        if picks > self._woven:
            self._weave(picks)
        odd, even = (
            left[bisect_right(lost_at, picks) - 1] for lost_at, left in zip(self._lost_at, self._left)
        )
        return odd, even

    def _weave(self, picks: int) -> None:
        self._look((picks - self._woven) // ROWS_OF_A_LOOK)
        for pick in range(self._woven + 1, picks + 1):
            here = next(self._rows)
            left = self._left[pick % 2]
            # Caught where the end changes side from one pick to the next.
            still = left[-1] & (here ^ self._last)
            if still != left[-1]:
                self._lost_at[pick % 2].append(pick)
                left.append(still)
            self._last = here
        self._woven = picks


def _rows(weave: Weave, legs: Legs, picks: int) -> Iterator[int]:
    rows = [int.from_bytes(row, "big") for row in weave.rows]
    for first, way, count in stretches(legs, picks):
        for position in range(first, first + way * count, way):
            yield rows[position % len(rows)]


def bit(end: int, ends: int) -> int:
    """Return the bit of one of so many ends, counted from 0, as a row of bytes has it."""
    return 1 << 8 * (ends - 1 - end)


def bits(chosen: Iterable[int], ends: int) -> int:
    """Return the bits of some ends."""
    return sum(bit(end, ends) for end in chosen)


class Floats:
    """The longest float of one system, for more and more ends and rows.

    It never falls as either grows: between two pieces that have it alike, one within the other, it is known.
    """

    def __init__(self, weave: Weave, legs: Legs, system: str, look: Callable[[int], None]) -> None:
        self._weave = weave
        self._legs = legs
        self._system = system
        self._look = look
        # Two repeats show every float whole; what fills them fills the piece. Of an end one is enough.
        self._most_ends = weave.ends if system == "warp" else 2 * weave.ends
        self._most_picks = 2 * period(legs, weave.picks)
        self._known: dict[tuple[int, int], int] = {}
        self._drawn: list[tuple[int, int, int]] = []
        self._goes_further = True

    def longest(self, ends: int, picks: int) -> int:
        """Return the longest float of a piece, in threads."""
        shown = min(ends, self._most_ends), min(picks, self._most_picks)
        longest = self._known.get(shown)
        if longest is None:
            longest = self._between(*shown)
            self._known[shown] = longest = self._draw(*shown) if longest is None else longest
        crossed, crossed_shown = (picks, shown[1]) if self._system == "warp" else (ends, shown[0])
        return crossed if longest == crossed_shown else longest

    def _between(self, ends: int, picks: int) -> int | None:
        """Return what is alike in a smaller piece and a larger one."""
        smaller = [longest for e, p, longest in self._drawn if e <= ends and p <= picks]
        larger = [longest for e, p, longest in self._drawn if e >= ends and p >= picks]
        if self._drawn:
            # More such pieces will be asked for, and further out.
            smaller = smaller or self._further(ends - ends // 4, picks - picks // 4)
            larger = larger or self._further(ends + ends // 4, picks + picks // 4)
        return min(larger) if smaller and larger and min(larger) == max(smaller) else None

    def _further(self, ends: int, picks: int) -> list[int]:
        if self._goes_further:
            try:
                return [self._draw(min(ends, self._most_ends), min(picks, self._most_picks))]
            except WeaveError:
                self._goes_further = False
        return []

    def _draw(self, ends: int, picks: int) -> int:
        legs = turns_within(self._legs, picks) + 1
        # A leg is drawn for three repeats at most.
        rows = min(picks, 3 * self._weave.picks * legs) if self._system == "warp" else self._weave.picks
        cells = rows * max(ends, LEAST_ROW_COST)
        self._look((cells + legs * CELLS_OF_A_LEG) // CELLS_OF_A_LOOK)
        of_system = longest_warp_float if self._system == "warp" else longest_weft_float
        longest = of_system(self._weave, ends, picks, self._legs)
        self._drawn.append((ends, picks, longest))
        return longest
