"""Selvedges: whether the weft catches the edge end where it turns.

The weft leaves pick p at one side and comes back there as pick p + 1. It holds
the edge end when it passes over it on one of the two picks and under it on
the other, so that it lies round the end. When the end is up on both or down on
both, the turn slips past it.
"""

from __future__ import annotations

from weavefuncs._floats import longest_warp_float
from weavefuncs._reversals import period, stretches, taken
from weavefuncs._structure import Weave

TYPE_CHECKING = False
if TYPE_CHECKING:
    Legs = tuple[int, ...]

SIDES = ("left", "right")


def describe_edges(weave: Weave, ends: int, picks: int, legs: Legs, first_side: str) -> str:
    """Write what happens at both selvedges, and what mends it."""
    first = SIDES.index(first_side)
    edge_ends = (0, (ends - 1) % weave.ends)
    threads = [bytes(row[end] for row in weave.rows) for end in edge_ends]
    kept = [_changes(thread, picks, legs) for thread in threads]
    # Pick 1 travels away from the first side, so the turns after odd picks are at the other side.
    turns = (picks // 2, (picks - 1) // 2)
    parts = []
    faulty = False
    mended = True
    for side, thread, caught in zip((0, 1), threads, kept):
        after = 0 if side != first else 1
        missed = turns[after] - caught[after]
        faulty = faulty or missed > 0
        mended = mended and caught[1 - after] == turns[1 - after]
        longest = longest_warp_float(_one_end(thread), 1, picks, legs)
        parts.append(f"{SIDES[side]}: {_caught_words(missed, turns[after])}, longest float {longest}")
    if faulty:
        start = f"start from the {SIDES[1 - first]} or " if mended else ""
        parts.append(f"mend: {start}use a floating selvedge")
    return "; ".join(parts)


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
    return b"".join(taken(thread, *stretch) for stretch in stretches(legs, picks))


def _counted(along: bytes) -> tuple[int, int]:
    steps = len(along) - 1
    here, there = int.from_bytes(along[:-1], "big"), int.from_bytes(along[1:], "big")
    changed = (here ^ there).to_bytes(steps, "big")
    return changed[::2].count(1), changed[1::2].count(1)
