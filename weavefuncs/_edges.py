"""Selvedges: whether the weft catches the edge end where it turns.

The weft leaves pick p at one side and comes back there as pick p + 1. It holds
the edge end when it passes over it on one of the two picks and under it on
the other, so that it lies round the end. When the end is up on both or down on
both, the turn slips past it.
"""

from __future__ import annotations

from functools import lru_cache

from weavefuncs._floats import LEAST_ROW_COST, MOST_DRAWN_CELLS, longest_warp_float, too_many_rows
from weavefuncs._reversals import period, stretches, taken
from weavefuncs._structure import Weave

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterator
    from typing import Any

    Legs = tuple[int, ...]

SIDES = ("left", "right")


def describe_edges(weave: Weave, ends: int, picks: int, legs: Legs, first_side: str) -> str:
    """Write what happens at both selvedges, and what mends it."""
    threads = _edge_ends(weave, ends)
    kept = [_changes(thread, picks, legs) for thread in threads]
    turns = _turns(picks)
    parts = []
    faulty = False
    mended = True
    for side, thread, caught in zip((0, 1), threads, kept):
        after = _turns_after(side, first_side)
        missed = turns[after] - caught[after]
        faulty = faulty or missed > 0
        mended = mended and caught[1 - after] == turns[1 - after]
        longest = longest_warp_float(_one_end(thread), 1, picks, legs)
        parts.append(f"{SIDES[side]}: {_caught_words(missed, turns[after])}, longest float {longest}")
    if faulty:
        start = f"start from the {SIDES[1 - SIDES.index(first_side)]} or " if mended else ""
        parts.append(f"mend: {start}use a floating selvedge")
    return "; ".join(parts)


def uncaught_at(
    weave: Weave, ends: int, picks: int, legs: Legs, first_side: str, sides: tuple[str, ...]
) -> int:
    """Count the turns at which the weft slips past the edge end, at the sides named."""
    threads = _edge_ends(weave, ends)
    turns = _turns(picks)
    missed = 0
    for side in map(SIDES.index, sides):
        after = _turns_after(side, first_side)
        missed += turns[after] - _changes(threads[side], picks, legs)[after]
    return missed


def fewest_uncaught(
    weave: Weave, ends: int, picks: int, legs: Legs, first_sides: tuple[str, ...]
) -> tuple[int, str]:
    """Count the turns at which the weft slips past an edge end, from the first side with the fewest."""
    kept = [_changes(thread, picks, legs) for thread in _edge_ends(weave, ends)]
    turns = _turns(picks)

    def missed(first_side: str) -> int:
        after = [_turns_after(side, first_side) for side in (0, 1)]
        return sum(turns[at] - caught[at] for at, caught in zip(after, kept))

    return min(((missed(side), side) for side in first_sides), key=lambda counted: counted[0])


def longest_at_edges(weave: Weave, ends: int, picks: int, legs: Legs, first_side: str, floating: bool) -> int:
    """Return the most threads that the weft crosses on one side where a selvedge is among them.

    The weft is one thread: it is followed from pick to pick, round the edges. A floating selvedge is
    two ends more: the weft goes over it entering and under it leaving.
    """
    cycle = period(legs, weave.picks)
    cycle *= 1 + cycle % 2  # over an even number of picks the weft is back at its side
    # What began in one cycle has ended in the next, unless it never ends.
    walked = min(picks, 2 * cycle)
    if walked * LEAST_ROW_COST > MOST_DRAWN_CELLS:
        raise too_many_rows(legs, walked, MOST_DRAWN_CELLS // LEAST_ROW_COST)
    shown = min(ends, 2 * weave.ends)
    runs = [
        (_first_run(taken(row, 0, 1, shown), ends), _first_run(taken(row, ends - 1, -1, shown), ends))
        for row in weave.rows
    ]
    longest = length = 0
    lying = -1
    turned = first_side == "right"
    for position, (left, right) in enumerate(_walk(runs, walked, legs)):
        entered, left_at = (right, left) if (position % 2 == 0) == turned else (left, right)
        (enters, crossed), (leaves, at_last) = entered, left_at
        if floating:
            # Over the one selvedge, under the other: no float goes on round a turn.
            over = crossed + 1 if not enters else 1
            under = at_last + 1 if leaves else 1
            longest = max(longest, over, under)
            continue
        length = crossed + (length if enters == lying else 0)
        longest = max(longest, length)
        if crossed < ends:
            length = at_last
            longest = max(longest, length)
        lying = leaves
    return ends * picks if longest == ends * walked else longest


def _walk(repeat: list[Any], picks: int, legs: Legs) -> Iterator[Any]:
    for first, way, count in stretches(legs, picks):
        for step in range(count):
            yield repeat[(first + way * step) % len(repeat)]


def _first_run(cells: bytes, ends: int) -> tuple[int, int]:
    """Return the first cell of a pick and how many ends on end are like it; all, where the repeat is."""
    change = cells.find(bytes([1 - cells[0]]))
    return cells[0], ends if change < 0 else change


def _edge_ends(weave: Weave, ends: int) -> list[bytes]:
    return [bytes(row[end] for row in weave.rows) for end in (0, (ends - 1) % weave.ends)]


def _turns(picks: int) -> tuple[int, int]:
    """Return how many turns stand after odd picks, and how many after even ones."""
    return picks // 2, (picks - 1) // 2


def _turns_after(side: int, first_side: str) -> int:
    """Tell whether the turns of a side stand after odd picks (0) or even ones (1).

    Pick 1 travels away from the first side, so the turns after odd picks are at the other side.
    """
    return 0 if side != SIDES.index(first_side) else 1


def _one_end(thread: bytes) -> Weave:
    return Weave("", "grid", tuple(bytes([cell]) for cell in thread))


def _caught_words(missed: int, turns: int) -> str:
    if turns == 0:
        return "no turn"
    if missed == 0:
        return "caught at every turn"
    return f"not caught at {missed} of {turns} turn{'s' if turns > 1 else ''}"


def _changes(thread: bytes, picks: int, legs: Legs) -> tuple[int, int]:
    """Return how often an end changes side after the odd picks and after the even picks."""
    cycle = period(legs, len(thread))
    cycle *= 1 + cycle % 2  # over an even number of picks the weft is back at its side
    steps = picks - 1
    if steps <= cycle:
        return _counted(_along(thread, steps + 1, legs))
    cycles, rest = divmod(steps, cycle)
    along = _along(thread, cycle + 1, legs)
    whole, part = _counted(along), _counted(along[: rest + 1])
    return cycles * whole[0] + part[0], cycles * whole[1] + part[1]


def _along(thread: bytes, picks: int, legs: Legs) -> bytes:
    # Pieces of nearly one length follow each other.
    return _drawn(thread, 1 << picks.bit_length(), legs)[:picks]


@lru_cache(maxsize=4)
def _drawn(thread: bytes, picks: int, legs: Legs) -> bytes:
    return b"".join(taken(thread, *stretch) for stretch in stretches(legs, picks))


def _counted(along: bytes) -> tuple[int, int]:
    steps = len(along) - 1
    here, there = int.from_bytes(along[:-1], "big"), int.from_bytes(along[1:], "big")
    changed = (here ^ there).to_bytes(steps, "big")
    return changed[::2].count(1), changed[1::2].count(1)
