"""Put-ups cut up: which whole ones a length takes, and which are broken for the rest.

Lengths are whole numbers of a small step, so that whether put-ups make up a length exactly has an answer.
Put-ups of one lot and one length are one kind with a count. What is cut off broken put-ups of a lot is one
pool, since a need may be given cuttings of several.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from random import Random
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from weavefuncs.tables._solving import Clock

    # How many put-ups of each kind.
    Chosen = tuple[int, ...]

# Sums of put-ups are looked through bit by bit up to a length of this many steps.
MOST_STEPS = 2_000_000

# Choices of put-ups tried before it is left open whether lengths can all be made up exactly.
MOST_TRIED = 300

# Orders of the lengths in which that is tried.
EXACT_ORDERS = 6

# Orders in which the needs of a lot are tried for a cut that breaks fewer.
ORDERS = 12


@dataclass(frozen=True)
class Lot:
    """Put-ups of one yarn, one colour and one dye lot: lengths, longest first, and how many of each."""

    product: int
    lengths: tuple[int, ...]
    counts: tuple[int, ...]

    @property
    def total(self) -> int:
        """The length of all its put-ups."""
        return sum(length * count for length, count in zip(self.lengths, self.counts))


@dataclass(frozen=True)
class Need:
    """A length of one colour for one piece, and the lots that may serve it; some rather than others."""

    length: int
    lots: tuple[int, ...]
    mixing: bool
    preferred: frozenset[int] = frozenset()


@dataclass
class Cutting:
    """What a need gets from a lot: whole put-ups by kind, and a length cut off broken ones."""

    whole: dict[int, int] = field(default_factory=dict)
    cut: int = 0


@dataclass(frozen=True)
class Stage:
    """What was made least in a stage, and what nothing can go below."""

    value: float
    bound: float


@dataclass
class Promises:
    """For each need and lot a cutting, for each lot the put-ups broken by kind, and the two stages."""

    cuttings: dict[tuple[int, int], Cutting] = field(default_factory=dict)
    broken: dict[int, dict[int, int]] = field(default_factory=dict)
    stages: list[Stage] = field(default_factory=list)

    @property
    def count(self) -> int:
        """How many put-ups are broken."""
        return sum(sum(kinds.values()) for kinds in self.broken.values())

    @property
    def proven(self) -> bool:
        """Whether no answer is better."""
        return all(stage.value == stage.bound for stage in self.stages)

    def better(self, other: Promises) -> Promises:
        """Return the better of two answers to the same needs, with the better bounds where they compare."""
        mine, its = ([stage.value for stage in answer.stages] for answer in (self, other))
        best = self if mine <= its else other
        for number, stage in enumerate(best.stages):
            # A bound for the later aim holds for one value of the earlier one.
            if number == 0 or mine[:number] == its[:number]:
                bound = max(self.stages[number].bound, other.stages[number].bound)
                best.stages[number] = Stage(stage.value, min(bound, stage.value))
        return best


@lru_cache(maxsize=4096)
def nearest_below(length: int, lengths: tuple[int, ...], counts: Chosen) -> Chosen:
    """Return the whole put-ups whose sum comes nearest to a length without exceeding it.

    Beyond ``MOST_STEPS`` the longest that fit are taken in turn, which need not be the nearest.
    """
    chosen = [0] * len(lengths)
    if sum(size * count for size, count in zip(lengths, counts)) <= length:
        return counts
    if length > MOST_STEPS:
        for kind, (size, count) in enumerate(zip(lengths, counts)):
            chosen[kind] = min(count, length // size)
            length -= chosen[kind] * size
        return tuple(chosen)
    # Bit n is set where some of the put-ups so far add up to n; the shortest are put in first, so that
    # going back takes the longest.
    limit = (1 << (length + 1)) - 1
    pieces = [
        kind for kind in range(len(lengths)) for _ in range(min(counts[kind], length // lengths[kind]))
    ][::-1]
    sums = [1]
    for kind in pieces:
        sums.append((sums[-1] | (sums[-1] << lengths[kind])) & limit)
    rest = sums[-1].bit_length() - 1
    for number in range(len(pieces) - 1, -1, -1):
        size = lengths[pieces[number]]
        if rest >= size and (sums[number] >> (rest - size)) & 1:
            chosen[pieces[number]] += 1
            rest -= size
    return tuple(chosen)


def is_exact(length: int, lengths: tuple[int, ...], counts: Chosen) -> bool:
    """Tell whether some whole put-ups make up a length; yes where that is not known."""
    chosen = nearest_below(length, lengths, counts)
    return length > MOST_STEPS or sum(size * count for size, count in zip(lengths, chosen)) == length


@lru_cache(maxsize=4096)
def _sums(length: int, lengths: tuple[int, ...], counts: Chosen) -> tuple[int, ...]:
    """Return for each kind the sums, as bits, that put-ups of this and later kinds make up to a length."""
    limit = (1 << (length + 1)) - 1
    sums = [1]
    for size, count in zip(reversed(lengths), reversed(counts)):
        of_kind = sums[-1]
        for _ in range(min(count, length // size)):
            of_kind |= (of_kind << size) & limit
        sums.append(of_kind)
    return tuple(reversed(sums))


def _exact_choices(length: int, lengths: tuple[int, ...], counts: Chosen) -> Iterator[Chosen]:
    """Go through the whole put-ups that make up a length exactly."""
    sums = _sums(length, lengths, counts)
    chosen = [0] * len(lengths)

    def choices(kind: int, rest: int) -> Iterator[Chosen]:
        if kind == len(lengths):
            yield tuple(chosen)
            return
        size = lengths[kind]
        for count in range(min(counts[kind], rest // size), -1, -1):
            if (sums[kind + 1] >> (rest - count * size)) & 1:
                chosen[kind] = count
                yield from choices(kind + 1, rest - count * size)
        chosen[kind] = 0

    if (sums[0] >> length) & 1:
        yield from choices(0, length)


def exact_parts(wanted: Sequence[int], lot: Lot) -> tuple[list[Chosen] | None, bool]:
    """Look for whole put-ups that make up each of several lengths exactly.

    Returns
    -------
    list or None
        For each length its put-ups; None where none were found.
    bool
        Whether the answer is certain: not where it was given up.
    """
    if max(wanted, default=0) > MOST_STEPS:
        return None, False
    order = list(range(len(wanted)))
    source = Random(len(wanted))
    for _ in range(EXACT_ORDERS):
        search = _ExactSearch([wanted[number] for number in order], lot.lengths)
        found = search.from_need(0, lot.counts)
        if found is not None:
            return [found[order.index(number)] for number in range(len(wanted))], True
        if search.tried <= MOST_TRIED:
            return None, True
        source.shuffle(order)
    return None, False


class _ExactSearch:
    """A search for put-ups that make up lengths exactly, given up after some tries."""

    def __init__(self, wanted: list[int], lengths: tuple[int, ...]) -> None:
        self.tried = 0
        self._wanted = wanted
        self._lengths = lengths

    def from_need(self, number: int, counts: Chosen) -> list[Chosen] | None:
        """Return put-ups for the lengths from one on, out of what the others left."""
        if number == len(self._wanted):
            return []
        for chosen in _exact_choices(self._wanted[number], self._lengths, counts):
            self.tried += 1
            if self.tried > MOST_TRIED:
                return None
            left = tuple(count - taken for count, taken in zip(counts, chosen))
            others = self.from_need(number + 1, left)
            if others is not None:
                return [chosen, *others]
        return None


@dataclass(frozen=True)
class LotPlan:
    """A lot cut up: what each length takes whole and cut, what is broken, and the fewest that can be."""

    wholes: list[Chosen]
    cuts: list[int]
    broken: dict[int, int]
    fewest: int

    @property
    def count(self) -> int:
        """How many put-ups are broken."""
        return sum(self.broken.values())


class LotPlans:
    """Lots cut up for the needs that each serves alone, every case worked out once."""

    def __init__(self, lots: list[Lot], clock: Clock) -> None:
        self._lots = lots
        self._clock = clock
        self._known: dict[tuple[int, tuple[int, ...]], LotPlan] = {}

    def cut(self, lot: int, wanted: tuple[int, ...]) -> LotPlan:
        """Return a plan for lengths, the longest first."""
        key = lot, wanted
        if key not in self._known:
            self._known[key] = self._cut(self._lots[lot], wanted)
        return self._known[key]

    def _cut(self, lot: Lot, wanted: tuple[int, ...]) -> LotPlan:
        exact, certain = exact_parts(wanted, lot)
        if exact is not None:
            return LotPlan(exact, [0] * len(wanted), {}, 0)
        fewest = int(certain)
        order = list(range(len(wanted)))
        source = Random(len(wanted))
        best = _cut_in_order(lot, wanted, order, fewest)
        for _ in range(ORDERS):
            if best.count <= max(fewest, 1) or not self._clock.left():
                break
            source.shuffle(order)
            best = min(best, _cut_in_order(lot, wanted, order, fewest), key=lambda plan: plan.count)
        return best


def _cut_in_order(lot: Lot, wanted: tuple[int, ...], order: list[int], fewest: int) -> LotPlan:
    """Give one need after the other the whole put-ups that come nearest to it; break the longest left."""
    left = lot.counts
    wholes: list[Chosen] = [()] * len(wanted)
    cuts = [0] * len(wanted)
    for number in order:
        chosen = nearest_below(wanted[number], lot.lengths, left)
        wholes[number] = chosen
        cuts[number] = wanted[number] - sum(size * count for size, count in zip(lot.lengths, chosen))
        left = tuple(have - count for have, count in zip(left, chosen))
    rest = sum(cuts)
    broken: dict[int, int] = {}
    for kind, (size, count) in enumerate(zip(lot.lengths, left)):
        opened = min(count, -(-rest // size)) if rest > 0 else 0
        if opened:
            broken[kind] = opened
            rest -= opened * size
    return LotPlan(wholes, cuts, broken, fewest)


def cut_up(
    needs: list[Need],
    lots: list[Lot],
    served: dict[tuple[int, int], int],
    plans: LotPlans,
    source: Random | None = None,
) -> Promises:
    """Cut up the lots for what they serve.

    Needs that may mix lots come last, the longest first or in an order by chance: they take what is left of
    broken put-ups before another is broken.
    """
    work = _Cutter(lots)
    for lot, members in alone(needs, served).items():
        work.apply(lot, members, plans.cut(lot, tuple(needs[number].length for number in members)))
    amounts: dict[int, tuple[int, int]] = {}
    for (number, lot), length in served.items():
        if needs[number].mixing:
            before, _ = amounts.get(number, (0, 0))
            amounts[number] = before + length, lots[lot].product
    order = sorted(amounts, key=lambda number: (-amounts[number][0], number))
    if source:
        source.shuffle(order)
    for number in order:
        length, product = amounts[number]
        work.give_mixed(number, [lot for lot in needs[number].lots if lots[lot].product == product], length)
    return work.answer


def alone(needs: list[Need], served: dict[tuple[int, int], int]) -> dict[int, list[int]]:
    """Return for each lot the needs that it serves alone, the longest first."""
    members: dict[int, list[int]] = {}
    for number, lot in sorted(served, key=lambda key: (-needs[key[0]].length, key)):
        if not needs[number].mixing:
            members.setdefault(lot, []).append(number)
    return members


class _Cutter:
    """Put-ups being given out by a simple rule."""

    def __init__(self, lots: list[Lot]) -> None:
        self.answer = Promises()
        self._lots = lots
        self._left = [list(lot.counts) for lot in lots]
        self._slack = [0] * len(lots)

    def apply(self, lot: int, members: list[int], plan: LotPlan) -> None:
        """Take what a plan for one lot takes."""
        for number, whole, cut in zip(members, plan.wholes, plan.cuts):
            self._take(number, lot, enumerate(whole))
            self._cutting(number, lot).cut = cut
        for kind, count in plan.broken.items():
            self._left[lot][kind] -= count
            self._slack[lot] += count * self._lots[lot].lengths[kind]
        if plan.broken:
            self.answer.broken[lot] = dict(plan.broken)
        self._slack[lot] -= sum(plan.cuts)

    def _take(self, number: int, lot: int, whole: Iterable[tuple[int, int]]) -> None:
        for kind, count in whole:
            if count:
                of_need = self._cutting(number, lot).whole
                of_need[kind] = of_need.get(kind, 0) + count
                self._left[lot][kind] -= count

    def _give_whole(self, number: int, of: list[int], length: int) -> int:
        """Give a need whole put-ups of some lots; return what it still wants."""
        kinds = sorted(
            ((size, lot, kind) for lot in of for kind, size in enumerate(self._lots[lot].lengths)),
            key=lambda entry: (-entry[0], entry[1:]),
        )
        counts = tuple(self._left[lot][kind] for _, lot, kind in kinds)
        chosen = nearest_below(length, tuple(size for size, _, _ in kinds), counts)
        for (size, lot, kind), count in zip(kinds, chosen):
            self._take(number, lot, [(kind, count)])
            length -= count * size
        return length

    def give_mixed(self, number: int, of: list[int], length: int) -> None:
        """Give a need that may mix lots what it wants of some lots."""
        rest = self._give_whole(number, of, length)
        for lot in sorted(of, key=lambda lot: -self._slack[lot]):
            taken = min(rest, self._slack[lot])
            if taken:
                self._cutting(number, lot).cut += taken
                self._slack[lot] -= taken
                rest -= taken
        while rest > 0:
            sizes = [
                (self._lots[lot].lengths[kind], -lot, -kind)
                for lot in of
                for kind, count in enumerate(self._left[lot])
                if count
            ]
            if not sizes:
                break
            lot = -max(sizes)[1]
            taken = min(rest, max(sizes)[0])
            self._break(lot, taken)
            self._cutting(number, lot).cut += taken
            rest -= taken

    def _break(self, lot: int, wanted: int) -> None:
        """Break put-ups, the longest first, until the slack of a lot holds what is wanted; take that off."""
        for kind, size in enumerate(self._lots[lot].lengths):
            while self._slack[lot] < wanted and self._left[lot][kind]:
                self._left[lot][kind] -= 1
                self._slack[lot] += size
                opened = self.answer.broken.setdefault(lot, {})
                opened[kind] = opened.get(kind, 0) + 1
        self._slack[lot] -= wanted

    def _cutting(self, number: int, lot: int) -> Cutting:
        return self.answer.cuttings.setdefault((number, lot), Cutting())
