"""How shafts and treadles are numbered: as they first appear, or in the order of a twill.

Which ends share a shaft follows from the cloth; which shaft is called 1 does
not. A draft reads best where a shaft stands beside those that lift nearly as
it does, the order of a twill: then a point, a break or a skip is seen as such.
"""

from __future__ import annotations

from functools import lru_cache

from weavefuncs._drafts import numbered
from weavefuncs._structure import columns

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence

    Rows = tuple[bytes, ...]

TWILL = "in twill order"

# No loom has more, and the search compares each with each.
MOST_IN_A_RING = 64


class Draft:
    """A cloth taken apart.

    Attributes
    ----------
    threading : tuple of int
        Shaft of each end.
    tie_up : tuple of bytes
        One row a shaft, one cell a treadle.
    treadling : tuple of int
        Treadle of each pick.
    """

    __slots__ = ("threading", "tie_up", "treadling")

    def __init__(self, threading: tuple[int, ...], tie_up: Rows, treadling: tuple[int, ...]) -> None:
        self.threading = threading
        self.tie_up = tie_up
        self.treadling = treadling

    def lift(self, pick: int) -> bytes:
        """Return which shafts are up on a pick, counted from 0."""
        treadle = self.treadling[pick] - 1
        return bytes(shaft[treadle] for shaft in self.tie_up)


# A sheet asks for the same draft cell by cell.
@lru_cache(maxsize=8)
def draft_of(rows: Rows, numbering: str) -> Draft:
    """Take a cloth apart with the fewest shafts and treadles, one treadle a pick."""
    treadles = numbered(rows)
    # Ends that lift alike lift alike on unlike picks too: the rest need not be looked at.
    ends = columns(tuple(treadles))
    shafts = numbered(ends)
    threading = tuple(shafts[end] for end in ends)
    treadling = tuple(treadles[pick] for pick in rows)
    if numbering == TWILL and len(shafts) <= MOST_IN_A_RING and len(treadles) <= MOST_IN_A_RING:
        lifted_by, lifts = list(shafts), list(columns(tuple(shafts)))
        shaft_ring, treadle_ring = _least_change(lifted_by), _least_change(lifts)
        if not shaft_ring and not treadle_ring:
            # A cloth woven straight on: each shaft does what its neighbour did one pick before. Only where no
            # shaft does, treadles that do so from end to end are put in order.
            shaft_ring = _moved_by_one(columns(rows))
            if not shaft_ring:
                treadle_ring = _moved_by_one(rows)
        threading = _renumbered(threading, shaft_ring)
        treadling = _renumbered(treadling, treadle_ring)
    tie_up = [bytearray(len(treadles)) for _ in shafts]
    first_end = {shaft: end for end, shaft in reversed(list(enumerate(threading)))}
    first_pick = {treadle: pick for pick, treadle in reversed(list(enumerate(treadling)))}
    for shaft, end in first_end.items():
        for treadle, pick in first_pick.items():
            tie_up[shaft - 1][treadle - 1] = rows[pick][end]
    return Draft(threading, tuple(map(bytes, tie_up)), treadling)


def _least_change(threads: Sequence[bytes]) -> list[int]:
    """Return the ring in which neighbours differ in two places only; empty if there is none.

    In a twill of two or more up and two or more down a shaft has just two such
    neighbours, and they lead round through all shafts.
    """
    count = len(threads)
    as_bits = [int.from_bytes(thread, "big") for thread in threads]
    near = [[b for b in range(count) if bin(as_bits[a] ^ as_bits[b]).count("1") == 2] for a in range(count)]
    if any(len(others) != 2 for others in near):
        return []
    ring = [0]
    before, at = 0, near[0][0]
    while at:
        ring.append(at)
        before, at = at, near[at][near[at][0] == before]
    return ring if len(ring) == count else []


def _moved_by_one(threads: Rows) -> list[int]:
    """Return the ring in which each thread is the one before, moved by one; empty if there is none."""
    numbers = numbered(threads)
    ring = [0]
    thread = threads[0]
    while True:
        thread = thread[-1:] + thread[:-1]
        at = numbers.get(thread, 0) - 1
        if at <= 0:
            return ring if at == 0 and len(ring) == len(numbers) else []
        ring.append(at)


def _renumbered(order: tuple[int, ...], ring: list[int]) -> tuple[int, ...]:
    """Number along a ring: it begins, and goes the way, that the first two neighbours of the order do."""
    count = len(ring)
    if count < 3:
        return order
    place = {number: at for at, number in enumerate(ring, start=0)}
    places = [place[number - 1] for number in order]
    start, way = places[0], 1
    for here, following in zip(places, [*places[1:], places[0]]):
        if (following - here) % count in (1, count - 1):
            start, way = here, (1 if (following - here) % count == 1 else -1)
            break
    return tuple((at - start) * way % count + 1 for at in places)
