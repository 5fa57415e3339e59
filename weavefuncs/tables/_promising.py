"""Yarn promised to needs, proven: least bought, then fewest put-ups broken.

Least bought is a program of its own: which lot serves which need. For the fewest broken put-ups a second
program leaves the put-ups out and counts a lot as broken into where it serves a need that none of its
put-ups make up exactly. That is a bound; its choice of lots is cut up, and where needs together break more
than the program believed, it is told so and chooses anew, until choice and bound meet. Only where the time
for that is up, the put-ups themselves go into a third program.
"""

from __future__ import annotations

from itertools import combinations
from random import Random
from typing import TYPE_CHECKING

from weavefuncs.tables._cutting import (
    Cutting,
    Lot,
    LotPlans,
    Need,
    Promises,
    Stage,
    alone,
    cut_up,
    is_exact,
    nearest_below,
)
from weavefuncs.tables._solving import Clock, Program, Solved

if TYPE_CHECKING:
    from collections.abc import Iterable

# Lengths have this size in the programs for one step, far above the tolerance of the solver.
STEP = 2e-5

# A part of a need below this is dust of the solver.
DUST = 1e-6

# Orders tried for the needs that may mix lots, beside the one with the longest first.
ORDERS = 30

# Pairs of needs of one lot that are looked through for those that break a put-up together.
MOST_PAIRS = 200

# Preferences among equally good answers weigh less than one broken put-up, all together.
PREFERENCE = 0.2


def parts(needs: list[Need], lots: list[Lot]) -> list[list[int]]:
    """Part the needs into those that no yarn links, each part in their order."""
    part_of: dict[int, int] = {}
    members: dict[int, list[int]] = {}
    for number, need in enumerate(needs):
        products = {lots[lot].product for lot in need.lots}
        merged = sorted({part_of[product] for product in products if product in part_of})
        products |= {product for product, part in part_of.items() if part in merged}
        members[number] = sorted([number, *(place for part in merged for place in members.pop(part))])
        part_of.update(dict.fromkeys(products, number))
    return sorted(members.values())


def promise(needs: list[Need], lots: list[Lot], clock: Clock, seconds: float) -> Promises:
    """Promise put-ups to needs.

    Parameters
    ----------
    needs : list of Need
        The needs; each names its lots by their place.
    lots : list of Lot
        The lots.
    clock : Clock
        The time of the whole answer.
    seconds : float
        Time for these needs.

    Returns
    -------
    Promises
        What each need gets, and the stages: the length bought and the put-ups broken.
    """
    mine = Clock(min(seconds, clock.left()))
    needed = sum(need.length for need in needs)
    served = _longest_first(needs, lots)
    best, bound = needed - sum(served.values()), 0
    first = _Choice(needs, lots)
    solved = first.solve_bought(mine.left() * 0.4)
    if solved is not None:
        bound = max(round(solved.bound / STEP), 0)
        found = first.served(solved)
        if needed - sum(found.values()) <= best:
            served, best = found, needed - sum(found.values())
    stage = Stage(best, min(best, bound))
    if not served:
        return Promises(stages=[stage, Stage(0, 0)])

    plans = LotPlans(lots, mine)
    answer = cut_up(needs, lots, served, plans)
    fewest = 0
    second = _Choice(needs, lots)
    second.break_lots(best)
    choosing = Clock(mine.left() * 0.6)
    while choosing.left():
        solved = second.solve_broken(choosing.left())
        if solved is None:
            break
        fewest = max(fewest, second.fewest(solved))
        found = second.served(solved)
        if sum(found.values()) == needed - best:
            answer = min(_shuffled(needs, lots, found, plans, fewest), answer, key=_count)
        if answer.count <= fewest or not second.correct(found, plans):
            break
    if answer.count > fewest:
        exact = _Exact(needs, lots, best, fewest)
        solved = exact.solve(mine.left())
        if solved is not None:
            fewest = max(fewest, round(solved.bound))
            if round(solved.cost) < answer.count:
                answer = exact.answer(solved)
    answer.stages = [stage, Stage(answer.count, min(answer.count, fewest))]
    return answer


def _count(promises: Promises) -> int:
    return promises.count


def _shuffled(
    needs: list[Need], lots: list[Lot], served: dict[tuple[int, int], int], plans: LotPlans, fewest: int
) -> Promises:
    """Cut up a choice of lots, the needs that may mix them in several orders."""
    answer = cut_up(needs, lots, served, plans)
    source = Random(len(needs))
    mixing = sum(need.mixing for need in needs)
    for _ in range(ORDERS if mixing > 1 else 0):
        if answer.count <= fewest:
            break
        answer = min(cut_up(needs, lots, served, plans, source), answer, key=_count)
    return answer


def _longest_first(needs: list[Need], lots: list[Lot]) -> dict[tuple[int, int], int]:
    """Serve the longest need first, from the lot that it leaves least of."""
    free = {number: lot.total for number, lot in enumerate(lots)}
    served: dict[tuple[int, int], int] = {}
    for number in sorted(range(len(needs)), key=lambda number: (-needs[number].length, number)):
        need = needs[number]
        enough = [lot for lot in need.lots if free[lot] >= need.length]
        chosen: Iterable[int] = sorted(enough, key=lambda lot: (lot not in need.preferred, free[lot]))[:1]
        if not enough and need.mixing:
            of_product: dict[int, list[int]] = {}
            for lot in need.lots:
                of_product.setdefault(lots[lot].product, []).append(lot)
            chosen = max(
                of_product.values(), key=lambda members: sum(free[lot] for lot in members), default=[]
            )
        left = need.length
        for lot in sorted(chosen, key=lambda lot: -free[lot]):
            length = min(left, free[lot])
            if length:
                served[number, lot] = length
                free[lot] -= length
                left -= length
    return served


class _Choice:
    """Which lot serves which need: a part of it from 0 to 1 where lots may be mixed, else all or nothing."""

    def __init__(self, needs: list[Need], lots: list[Lot]) -> None:
        self.needs = needs
        self.lots = lots
        self.program = Program()
        self.shares: dict[tuple[int, int], int] = {}
        in_lot: dict[int, dict[int, float]] = {}
        for number, need in enumerate(needs):
            products: dict[int, dict[int, float]] = {}
            for lot in need.lots:
                total = lots[lot].total
                if total < need.length and not need.mixing:
                    continue
                share = self.program.variable(min(total / need.length, 1.0), whole=not need.mixing)
                self.shares[number, lot] = share
                in_lot.setdefault(lot, {})[share] = need.length * STEP
                products.setdefault(lots[lot].product, {})[share] = 1.0
            self.program.row({share: 1.0 for terms in products.values() for share in terms}, high=1.0)
            if need.mixing and len(products) > 1:
                # Lots may be mixed, yarns and colours may not.
                chosen = {product: self.program.variable(1.0, whole=True) for product in products}
                self.program.row(dict.fromkeys(chosen.values(), 1.0), high=1.0)
                for product, terms in products.items():
                    self.program.row({**terms, chosen[product]: -1.0}, high=0.0)
        for lot, terms in in_lot.items():
            self.program.row(terms, high=lots[lot].total * STEP)

    def lengths(self) -> dict[int, float]:
        """Return the length of the need behind each share."""
        return {share: self.needs[number].length * STEP for (number, _), share in self.shares.items()}

    def solve_bought(self, seconds: float) -> Solved | None:
        """Make the length that is bought least."""
        self.program.price({share: -length for share, length in self.lengths().items()})
        solved = self.program.solve(seconds, least_step=STEP)
        needed = sum(need.length for need in self.needs) * STEP
        return None if solved is None else Solved(solved.values, solved.cost + needed, solved.bound + needed)

    def hold_bought(self, bought: int) -> None:
        """Buy no more than this from now on."""
        served = sum(need.length for need in self.needs) - bought
        self.program.row(self.lengths(), low=(served - 0.4) * STEP)

    def break_lots(self, bought: int) -> None:
        """Count the lots that are broken into, put-ups left out; then those mixed or not named."""
        self.hold_bought(bought)
        program = self.program
        serving = sorted({lot for _, lot in self.shares})
        self._broken = {
            lot: program.variable(float(sum(self.lots[lot].counts)), whole=True) for lot in serving
        }
        self._told: set[tuple[int, tuple[int, ...]]] = set()
        costs = dict.fromkeys(self._broken.values(), 1.0)
        weight = PREFERENCE / (len(self.shares) + 1)
        for (number, lot), share in self.shares.items():
            need, of = self.needs[number], self.lots[lot]
            used = share
            if need.mixing:
                used = program.variable(1.0, whole=True)
                program.row({share: 1.0, used: -1.0}, high=0.0)
            elif not is_exact(need.length, of.lengths, of.counts):
                program.row({share: 1.0, self._broken[lot]: -1.0}, high=0.0)
            other = bool(need.preferred) and lot not in need.preferred
            if need.mixing or other:
                costs[used] = weight * (0.7 * need.mixing + 0.3 * other)
        program.price(costs)

    def solve_broken(self, seconds: float) -> Solved | None:
        """Make the lots that are broken into fewest."""
        return self.program.solve(seconds)

    def correct(self, served: dict[tuple[int, int], int], plans: LotPlans) -> bool:
        """Tell the program which needs together break more than it counts; False where none do."""
        before = len(self._told)
        for lot, members in alone(self.needs, served).items():
            counted = self._counted(lot, members)
            if plans.cut(lot, self._lengths(members)).fewest <= counted:
                continue
            self._tell(lot, tuple(members), plans)
            # Other needs of this lot would be next: all pairs are looked through at once.
            could = [
                number
                for number, need in enumerate(self.needs)
                if (number, lot) in self.shares and not need.mixing and not self._counted(lot, [number])
            ]
            could.sort(key=lambda number: (-self.needs[number].length, number))
            for pair in list(combinations(could, 2))[:MOST_PAIRS]:
                if sum(self._lengths(pair)) <= self.lots[lot].total:
                    self._tell(lot, pair, plans)
        return len(self._told) > before

    def _lengths(self, members: Iterable[int]) -> tuple[int, ...]:
        return tuple(self.needs[number].length for number in members)

    def _counted(self, lot: int, members: list[int]) -> int:
        """Return whether one of the needs breaks a put-up of a lot by itself."""
        of = self.lots[lot]
        return int(any(not is_exact(length, of.lengths, of.counts) for length in self._lengths(members)))

    def _tell(self, lot: int, members: tuple[int, ...], plans: LotPlans) -> None:
        key = lot, members
        if key not in self._told and plans.cut(lot, self._lengths(members)).fewest:
            self._told.add(key)
            shares = {self.shares[number, lot]: 1.0 for number in members}
            self.program.row({**shares, self._broken[lot]: -1.0}, high=len(members) - 1.0)

    def fewest(self, solved: Solved) -> int:
        """Return how many put-ups are broken at the least, by the bound of the last program."""
        # All preferences together weigh less than one: what lies above a whole number is them.
        return max(int(solved.bound - PREFERENCE + 1 - DUST), 0)

    def served(self, solved: Solved) -> dict[tuple[int, int], int]:
        """Return the length that each need takes from each lot, in whole steps that the lots hold."""
        free = {lot: of.total for lot, of in enumerate(self.lots)}
        served: dict[tuple[int, int], int] = {}
        for key, share in self.shares.items():
            need = self.needs[key[0]]
            if not need.mixing and solved.values[share] > 0.5:
                served[key] = need.length
                free[key[1]] -= need.length
        for number, need in enumerate(self.needs):
            if not need.mixing:
                continue
            parts = {lot: float(solved.values[self.shares[number, lot]]) for lot in need.lots}
            used = sorted((lot for lot in need.lots if parts[lot] > DUST), key=lambda lot: -parts[lot])
            wanted = sum(parts[lot] for lot in used) * need.length
            # The last steps that rounding loses are taken where there is room for them.
            left = need.length if wanted > need.length - 0.5 else round(wanted)
            for again in (False, True):
                for lot in used:
                    length = min(left, free[lot], left if again else round(parts[lot] * need.length))
                    if length:
                        served[number, lot] = served.get((number, lot), 0) + length
                        free[lot] -= length
                        left -= length
        return served


class _Exact(_Choice):
    """The put-ups themselves: how many whole ones of each kind a need gets, and how many are broken."""

    def __init__(self, needs: list[Need], lots: list[Lot], bought: int, fewest: int) -> None:
        super().__init__(needs, lots)
        self._whole: dict[tuple[int, int, int], int] = {}
        # What is cut off for a need: its length, less the whole put-ups that it gets.
        self._cuts: dict[tuple[int, int], dict[int, float]] = {}
        self._opened: dict[tuple[int, int], int] = {}
        self.hold_bought(bought)
        program = self.program
        of_kind: dict[tuple[int, int], dict[int, float]] = {}
        for (number, lot), share in self.shares.items():
            need, of = needs[number], lots[lot]
            cut = self._cuts[number, lot] = {share: need.length * STEP}
            for kind, (size, count) in enumerate(zip(of.lengths, of.counts)):
                most = min(count, need.length // size)
                if most:
                    whole = program.variable(float(most), whole=True)
                    self._whole[number, lot, kind] = whole
                    of_kind.setdefault((lot, kind), {})[whole] = 1.0
                    cut[whole] = -size * STEP
            program.row(cut, low=0.0)
        for lot in sorted({lot for _, lot in self.shares}):
            self._break_lot(lot, of_kind)
        program.row(dict.fromkeys(self._opened.values(), 1.0), low=float(fewest))
        program.price(dict.fromkeys(self._opened.values(), 1.0))

    def _break_lot(self, lot: int, of_kind: dict[tuple[int, int], dict[int, float]]) -> None:
        program, of = self.program, self.lots[lot]
        pool: dict[int, float] = {}
        for kind, (size, count) in enumerate(zip(of.lengths, of.counts)):
            opened = program.variable(float(count), whole=True)
            self._opened[lot, kind] = opened
            pool[opened] = -size * STEP
            program.row({**of_kind.get((lot, kind), {}), opened: 1.0}, high=float(count))
        cuts = [cut for (_, of_lot), cut in self._cuts.items() if of_lot == lot]
        program.row({variable: size for cut in cuts for variable, size in cut.items()} | pool, high=0.0)
        # What whole put-ups cannot do is told outright: the solver would long believe in parts of them.
        for number, need in enumerate(self.needs):
            cut = self._cuts.get((number, lot), {})
            if not cut or need.mixing or is_exact(need.length, of.lengths, of.counts):
                continue
            share = self.shares[number, lot]
            chosen = nearest_below(need.length, of.lengths, of.counts)
            rest = need.length - sum(size * count for size, count in zip(of.lengths, chosen))
            program.row({**cut, share: cut[share] - rest * STEP}, low=0.0)
            program.row({**dict.fromkeys(pool, 1.0), share: -1.0}, low=0.0)

    def solve(self, seconds: float) -> Solved | None:
        """Make the put-ups that are broken fewest."""
        return self.program.solve(seconds, least_step=1.0)

    def answer(self, solved: Solved) -> Promises:
        """Return what each need gets from each lot by put-ups."""
        promises = Promises()
        for (number, lot), cut in self._cuts.items():
            length = sum(float(solved.values[variable]) * size for variable, size in cut.items())
            cutting = Cutting(cut=max(round(length / STEP), 0))
            for kind in range(len(self.lots[lot].lengths)):
                variable = self._whole.get((number, lot, kind))
                count = 0 if variable is None else round(float(solved.values[variable]))
                if count:
                    cutting.whole[kind] = count
            if cutting.whole or cutting.cut:
                promises.cuttings[number, lot] = cutting
        for (lot, kind), variable in self._opened.items():
            count = round(float(solved.values[variable]))
            if count:
                promises.broken.setdefault(lot, {})[kind] = count
        for number, need in enumerate(self.needs):
            self._round_up(number, need, promises)
        return promises

    def _round_up(self, number: int, need: Need, promises: Promises) -> None:
        """Give back to a need of several lots the steps that rounding took, one a lot at most."""
        mine = {lot: cutting for (of, lot), cutting in promises.cuttings.items() if of == number}
        given = sum(
            cutting.cut + sum(self.lots[lot].lengths[kind] * count for kind, count in cutting.whole.items())
            for lot, cutting in mine.items()
        )
        if abs(need.length - given) <= len(mine) and any(cutting.cut for cutting in mine.values()):
            max(mine.values(), key=lambda cutting: cutting.cut).cut += need.length - given


def total(stages: Iterable[Stage]) -> Stage:
    """Add up one stage of several parts."""
    listed = list(stages)
    return Stage(sum(stage.value for stage in listed), sum(stage.bound for stage in listed))
