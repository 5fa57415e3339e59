"""Bin packing, proven: the fewest warps of one length that hold pieces of many lengths.

Pieces of one length are one kind with a count. Simple rules fill bins first; where a bound shows that
nothing beats them, that is all. Otherwise fillings of a bin are the variables: every one of them where
they are few, else those that column generation finds, with the bound that it proves. The whole numbers
are in the fillings, which are checked on their own, so no tolerance of a solver can overfill a bin.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy import sparse
from scipy.optimize import linprog

from weavefuncs.tables._solving import Clock, Program

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

# How many of each kind a bin holds.
Filling = tuple[int, ...]

# A bin that is overfull by less than this share of it is full: sums of lengths carry float dust.
DUST = 1e-12

# Fillings are written out one by one as long as they have no more counts in all, a count for each kind.
MOST_COUNTS = 60_000
MOST_STEPS = 100_000

# Pricing sees lengths in this many steps of a bin; what a step cannot tell apart is checked on the lengths.
STEPS = 8_000

# A filling that is worth less than this above one bin makes the bound no better.
WORTH = 1e-6
PRICED_AT_ONCE = 8

# Exchanges of pieces tried at first, and once the best bound is known.
QUICK_TURNS, SEARCH_TURNS = 4_000, 400_000


@dataclass(frozen=True)
class Packing:
    """Bins filled, and the number of bins that nothing can go below.

    Attributes
    ----------
    bins : list of list of int
        For each bin the places of the pieces in it, fullest bin first.
    fewest : int
        A lower bound for the number of bins.
    """

    bins: list[list[int]]
    fewest: int

    @property
    def proven(self) -> bool:
        """Whether no fewer bins do."""
        return len(self.bins) == self.fewest


def pack(sizes: Sequence[float], room: float, clock: Clock, seconds: float) -> Packing:
    """Fill the fewest bins.

    Parameters
    ----------
    sizes : list of float
        Length that each piece takes, each above 0 and at most the room.
    room : float
        Length that a bin holds.
    clock : Clock
        The time of the whole answer.
    seconds : float
        Time for this packing.

    Returns
    -------
    Packing
        The bins, and a bound.
    """
    if not sizes:
        return Packing([], 0)
    kinds = sorted(set(sizes), reverse=True)
    job = _Job(np.array(kinds), np.array([sizes.count(kind) for kind in kinds]), room)
    fillings, fewest = job.solve(Clock(min(seconds, clock.left())))
    places = {kind: [place for place, size in enumerate(sizes) if size == kind][::-1] for kind in kinds}
    bins = [
        sorted(places[kind].pop() for kind, count in zip(kinds, filling) for _ in range(count))
        for filling in sorted(fillings, key=lambda filling: (-job.load(filling), filling))
    ]
    return Packing(bins, fewest)


class _Job:
    """Kinds of pieces, longest first, how many there are of each, and the bin."""

    def __init__(self, sizes: NDArray[np.float64], counts: NDArray[np.int64], room: float) -> None:
        self.sizes = sizes
        self.counts = counts
        self.room = room * (1 + DUST)

    def load(self, filling: Filling) -> float:
        """Return the length that a filling takes."""
        return math.fsum(size * count for size, count in zip(self.sizes.tolist(), filling) if count)

    def fits(self, filling: Filling) -> bool:
        """Tell whether a bin holds a filling."""
        return self.load(filling) <= self.room

    def solve(self, clock: Clock) -> tuple[list[Filling], int]:
        """Return the fillings, together all pieces, and a bound for their number."""
        volume = math.fsum((self.sizes * self.counts).tolist())
        # Two pieces longer than half a bin share none.
        halves = int(self.counts[self.sizes * 2 > self.room].sum())
        fewest = max(math.ceil(volume / self.room * (1 - DUST)), halves, 1)
        best = min((self._fit(False), self._fit(True), self._fullest_first()), key=len)
        every = None if len(best) == fewest else self._every_filling()
        if every is not None:
            solved = self._cover(every, clock.left(), fewest)
            if solved:
                best, bound = min(best, solved[0], key=len), solved[1]
                fewest = max(fewest, bound)
        else:
            best = self._searched(best, fewest, clock, QUICK_TURNS)
        if len(best) > fewest:
            best, fewest = self._by_columns(best, fewest, clock)
        return best, fewest

    def _fit(self, fullest: bool) -> list[Filling]:
        """Put every piece, the longest first, into the first or fullest bin that holds it, or a new one."""
        rooms = np.zeros(0)
        bins: list[list[int]] = []
        for kind, (size, count) in enumerate(zip(self.sizes.tolist(), self.counts.tolist())):
            for _ in range(count):
                fitting = np.flatnonzero(rooms >= size)
                if len(fitting):
                    number = int(fitting[np.argmin(rooms[fitting])] if fullest else fitting[0])
                    if self._goes_in(bins[number], kind, float(rooms[number])):
                        bins[number][kind] += 1
                        rooms[number] -= size
                        continue
                bins.append([0] * len(self.sizes))
                bins[-1][kind] = 1
                rooms = np.append(rooms, self.room - size)
        return [tuple(filling) for filling in bins]

    def _fullest_first(self) -> list[Filling]:
        """Fill bin after bin as full as it goes, each from the longest piece that is left."""
        left = self.counts.copy()
        fillings = []
        while left.any():
            longest = int(np.flatnonzero(left)[0])
            left[longest] -= 1
            rest = self._best_filling(self.sizes, left, self.room - self.sizes[longest])
            filling = list(rest)
            filling[longest] += 1
            if not self.fits(tuple(filling)):
                filling = [0] * len(self.sizes)
                filling[longest] = 1
            left += (np.arange(len(left)) == longest).astype(np.int64)
            left -= np.array(filling)
            fillings.append(tuple(filling))
        return fillings

    def _best_filling(
        self, values: NDArray[np.float64], counts: NDArray[np.int64], room: float, beyond: bool = False
    ) -> Filling:
        """Return the filling of a room that is worth most, lengths seen in steps.

        Lengths are rounded up, so that the filling fits; ``beyond`` rounds them down, and then no filling
        that fits is worth more.
        """
        step = self.room / STEPS
        capacity = math.floor(room / step * (1 + DUST) + (1e-9 if beyond else 0))
        rounded = self.sizes / step
        steps = np.floor(rounded) if beyond else np.ceil(rounded * (1 - DUST))
        weights = np.maximum(steps, 1).astype(np.int64)
        if capacity < 1:
            return (0,) * len(values)
        parts: list[tuple[int, int]] = []
        for kind in np.flatnonzero((counts > 0) & (values > 0) & (weights <= capacity)).tolist():
            most = min(int(counts[kind]), capacity // int(weights[kind]))
            size = 1
            # A count is written as parts of 1, 2, 4, … and a rest.
            while most > 0:
                parts.append((kind, min(size, most)))
                most -= size
                size *= 2
        worth = np.zeros(capacity + 1)
        taken = np.zeros((len(parts), capacity + 1), dtype=bool)
        for number, (kind, size) in enumerate(parts):
            weight = int(weights[kind]) * size
            if weight <= capacity:
                with_it = worth[: capacity + 1 - weight] + values[kind] * size
                better = with_it > worth[weight:] + 1e-12
                taken[number, weight:] = better
                worth[weight:] = np.where(better, with_it, worth[weight:])
        filling = [0] * len(values)
        place = capacity
        for number in range(len(parts) - 1, -1, -1):
            if taken[number, place]:
                kind, size = parts[number]
                filling[kind] += size
                place -= int(weights[kind]) * size
        return tuple(filling)

    def _every_filling(self) -> list[Filling] | None:
        """Write out every filling to which nothing can be added, or None where there are too many."""
        sizes, counts = self.sizes.tolist(), self.counts.tolist()
        kinds = len(sizes)
        chosen = [0] * kinds
        found: list[Filling] = []
        steps = 0

        def full(room: float) -> bool:
            shortest = next((kind for kind in range(kinds - 1, -1, -1) if chosen[kind] < counts[kind]), None)
            return shortest is None or not self._goes_in(chosen, shortest, room)

        # The pieces in the bin, longest first, and the room before each of them: more than a function that
        # calls itself for each could hold.
        inside: list[int] = []
        rooms = [self.room]
        kind, longer = 0, True
        while True:
            if longer:
                steps += 1
                if full(rooms[-1]):
                    found.append(tuple(chosen))
                if steps > MOST_STEPS or len(found) * kinds > MOST_COUNTS:
                    return None
            longer = kind < kinds and chosen[kind] < counts[kind] and self._goes_in(chosen, kind, rooms[-1])
            if longer:
                chosen[kind] += 1
                inside.append(kind)
                rooms.append(rooms[-1] - sizes[kind])
            elif kind < kinds:
                kind += 1
            elif inside:
                kind = inside.pop()
                chosen[kind] -= 1
                rooms.pop()
                kind += 1
            else:
                return found

    def _goes_in(self, chosen: list[int], kind: int, room: float) -> bool:
        """Tell whether one piece more goes into a filling that leaves a room, a sum with float dust."""
        size = float(self.sizes[kind])
        if abs(room - size) > DUST * 1e3 * self.room:
            return size < room
        return self.fits(tuple(count + (number == kind) for number, count in enumerate(chosen)))

    def _cover(
        self, fillings: list[Filling], seconds: float, fewest: int
    ) -> tuple[list[Filling], int] | None:
        """Choose the fewest of these fillings that hold all pieces; with the bound for such a choice."""
        program = Program()
        terms: list[dict[int, float]] = [{} for _ in self.sizes]
        for filling in fillings:
            variable = program.variable(high=float(self.counts.max()), whole=True, cost=1.0)
            for kind, count in enumerate(filling):
                if count:
                    terms[kind][variable] = float(count)
        for kind, count in enumerate(self.counts.tolist()):
            program.row(terms[kind], low=float(count))
        program.row(dict.fromkeys(range(len(fillings)), 1.0), low=float(fewest))
        solved = program.solve(seconds, least_step=1.0)
        if solved is None:
            return None
        chosen = [filling for filling, times in zip(fillings, solved.values) for _ in range(round(times))]
        return self._trimmed(chosen), math.ceil(solved.bound - WORTH)

    def _trimmed(self, fillings: list[Filling]) -> list[Filling]:
        """Take out what is held more often than it is there, and the bins that this empties."""
        left = self.counts.tolist()
        kept = []
        for filling in fillings:
            wanted = tuple(min(count, have) for count, have in zip(filling, left))
            left = [have - count for have, count in zip(left, wanted)]
            if any(wanted):
                kept.append(wanted)
        return kept

    def _by_columns(self, best: list[Filling], fewest: int, clock: Clock) -> tuple[list[Filling], int]:
        """Generate the fillings that are worth having, prove a bound, and look for bins that reach it."""
        columns = dict.fromkeys([*best, *self._alone()])
        columns, bound = self._generate(columns, Clock(clock.left() * 0.5))
        fewest = max(fewest, bound)
        best = self._searched(best, fewest, Clock(clock.left() * 0.5), SEARCH_TURNS)
        if len(best) > fewest:
            columns.update(dict.fromkeys(best))
            solved = self._cover(list(columns), clock.left(), fewest)
            best = min(best, solved[0], key=len) if solved else best
        return best, fewest

    def _alone(self) -> list[Filling]:
        """Return for each kind the bin that holds nothing else."""
        return [
            tuple(
                min(int(self.counts[kind]), math.floor(self.room / self.sizes[kind])) if other == kind else 0
                for other in range(len(self.sizes))
            )
            for kind in range(len(self.sizes))
        ]

    def _generate(self, columns: dict[Filling, None], clock: Clock) -> tuple[dict[Filling, None], int]:
        """Add fillings until none is worth more than a bin, or the time is up; return the bound too."""
        bound = 0.0
        while True:
            solution = _relaxed(list(columns), self.counts)
            if solution is None:
                break
            total, worth = solution
            beyond = self._best_filling(worth, self.counts, self.room, beyond=True)
            # No filling is worth more than this one, which may be overfull by its rounding.
            most = max(float(worth @ np.array(beyond)), 1.0)
            bound = max(bound, total / most)
            new = [filling for filling in self._promising(worth, beyond) if filling not in columns]
            # The bins are whole: a bound that cannot round up any further is as good as the best one.
            if not new or math.ceil(bound - WORTH) >= math.ceil(total - WORTH) or clock.left() == 0:
                break
            columns.update(dict.fromkeys(new))
        return columns, math.ceil(bound - WORTH)

    def _promising(self, worth: NDArray[np.float64], beyond: Filling) -> Iterator[Filling]:
        """Go through fillings that fit and are worth more than a bin, several in one go."""
        left = self.counts
        filling = beyond if self.fits(beyond) else self._best_filling(worth, left, self.room)
        # What one filling holds is left out of the next: together they are nearly a packing.
        for _ in range(PRICED_AT_ONCE):
            if float(worth @ np.array(filling)) <= 1 + WORTH:
                break
            yield filling
            left = np.maximum(left - np.array(filling), 0)
            filling = self._best_filling(worth, left, self.room)

    def _searched(self, best: list[Filling], fewest: int, clock: Clock, turns: int) -> list[Filling]:
        """Take out bin after bin, as long as there is a bound to reach and the search finds a way."""
        while len(best) > fewest:
            fewer = self._search(best, clock, turns)
            if fewer is None:
                break
            best = fewer
        return best

    def _search(self, best: list[Filling], clock: Clock, turns: int) -> list[Filling] | None:
        """Look for one bin fewer: empty one into the others, then exchange pieces until none is overfull.

        Always the exchange that leaves least overfull, a piece just moved staying where it is for a while;
        the random numbers begin alike every time.
        """
        pieces = np.repeat(np.arange(len(self.sizes)), self.counts)
        size = self.sizes[pieces]
        bins = len(best) - 1
        at = np.empty(len(pieces), dtype=np.int64)
        lying: dict[int, list[int]] = {}
        for place, kind in enumerate(pieces.tolist()):
            lying.setdefault(kind, []).append(place)
        for number, filling in enumerate(sorted(best, key=self.load, reverse=True)):
            for kind, count in enumerate(filling):
                for _ in range(count):
                    at[lying[kind].pop()] = number
        load = np.bincount(at, weights=size, minlength=bins + 1)
        for place in np.flatnonzero(at == bins).tolist():
            at[place] = int(np.argmin(load[:bins]))
            load[at[place]] += size[place]
        load = load[:bins]
        random = np.random.default_rng(len(pieces))
        fixed = np.zeros(len(pieces), dtype=np.int64)
        # A piece of no length stands for a move without return.
        sizes = np.append(size, np.zeros(bins))
        where = np.append(at, np.arange(bins))
        for turn in range(1, turns):
            over = np.flatnonzero(load > self.room)
            if not len(over):
                made = np.zeros((bins, len(self.sizes)), dtype=np.int64)
                np.add.at(made, (where[: len(pieces)], pieces), 1)
                fillings = [tuple(row) for row in made.tolist()]
                return fillings if all(map(self.fits, fillings)) else None
            if turn % 64 == 0:
                if clock.left() == 0:
                    break
                load = np.bincount(where[: len(pieces)], weights=size, minlength=bins)
            overfull = int(random.choice(over))
            inside = np.flatnonzero(where[: len(pieces)] == overfull)
            change = size[inside][:, None] - sizes[None, :]
            theirs = load[where] + change
            ours = load[overfull] - change
            excess = np.maximum(ours - self.room, 0) ** 2 + np.maximum(theirs - self.room, 0) ** 2
            excess -= (np.maximum(load[where] - self.room, 0) ** 2)[None, :]
            excess[:, where == overfull] = np.inf
            tabu = np.append(fixed > turn, np.zeros(bins, dtype=bool))
            excess[:, tabu] = np.inf
            excess[fixed[inside] > turn] = np.inf
            choice = int(np.argmin(excess))
            mine, other = inside[choice // len(sizes)], choice % len(sizes)
            if excess.flat[choice] == np.inf:
                continue
            there = int(where[other])
            moved = float(sizes[mine] - sizes[other])
            load[overfull] -= moved
            load[there] += moved
            where[mine] = there
            fixed[mine] = turn + random.integers(5, 25)
            if other < len(pieces):
                where[other] = overfull
                fixed[other] = turn + random.integers(5, 25)
        return None


def _relaxed(columns: list[Filling], counts: NDArray[np.int64]) -> tuple[float, NDArray[np.float64]] | None:
    """Solve the choice of fillings in parts of bins: the number of bins, and the worth of each kind."""
    matrix = sparse.csc_array(np.array(columns, dtype=float).T)
    answer = linprog(np.ones(len(columns)), A_ub=-matrix, b_ub=-counts.astype(float), method="highs")
    if answer.status != 0:
        return None
    return float(answer.fun), np.maximum(-answer.ineqlin.marginals, 0)
