"""The whole piece: every plan within the tolerances looked at, and the best of them kept.

A plan is a sley, a number of ends, rows each way, a number of rows and the side of the first pick.
What a choice costs only grows with its distance from what was asked, and no fault that is counted
goes away with more ends of the same right edge or with more rows. So choices are taken from the
nearest outward, and where nothing further out can be better the search ends: what it leaves out is
not among the best.
"""

from __future__ import annotations

from itertools import islice
from math import gcd

from weavefuncs._edges import SIDES
from weavefuncs._fit_choices import sleys, step_and_least, turnings
from weavefuncs._floats import longest_warp_float, longest_weft_float
from weavefuncs._reversals import period, stretches
from weavefuncs._rounding import DUST, whole_up
from weavefuncs.errors import WeaveError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterable
    from typing import Any

    from weavefuncs._fit_choices import Asked, Legs, Sley, Turning
    from weavefuncs._structure import Weave

    Key = tuple[Any, ...]

# Width and length count with their whole share, sett and rows a leg with this part of theirs.
LESSER = 0.25

# Turns are followed row by row; a longer way round is refused.
MOST_TURNS = 1_000_000

# Plans and numbers of rows that are looked at: about a second's worth.
MOST_LOOKED = 100_000

# Shares closer than this are equal: the last digits of a division decide nothing.
DIGITS = 9


class Plan:
    """One plan, with all that tells it from another.

    Attributes
    ----------
    key : tuple
        Smaller is better: faults, deviation, and what settles a tie.
    """

    __slots__ = ("ends", "key", "rounds", "side", "sley", "turning")

    def __init__(self, key: Key, sley: Sley, ends: int, turning: Turning, rounds: int, side: str) -> None:
        self.key = key
        self.sley = sley
        self.ends = ends
        self.turning = turning
        self.rounds = rounds
        self.side = side

    @property
    def picks(self) -> int:
        """Rows of a piece."""
        return self.turning.picks(self.rounds)


def yarn_needed(asked: Asked, sley: Sley, ends: int, picks: int) -> tuple[float, float]:
    """Return the lengths of warp and weft yarn that a plan takes."""
    woven = asked.pieces * picks / asked.weft_sett + asked.more_woven
    warp_length = asked.frame_length or woven / (1 - asked.take_up) + asked.unwoven
    weft_picks = asked.pieces * picks + whole_up(asked.more_woven * asked.weft_sett)
    warp = (ends + (2 if asked.floating_selvedge else 0)) * warp_length
    return warp, weft_picks * sley.width(ends) / (1 - asked.slack)


class Search:
    """The search for the best plans of one piece."""

    def __init__(self, asked: Asked) -> None:
        self.asked = asked
        self.sleys = sleys(asked)
        self.turnings = turnings(asked)
        either = asked.first_side == "either"
        # A floating selvedge is caught from any side.
        self.sides = (SIDES if not asked.floating_selvedge else SIDES[:1]) if either else (asked.first_side,)
        self._slipped: dict[tuple[Legs, int], tuple[bytes, bytes]] = {}
        self._floats: dict[tuple[str, Legs, int, int], int] = {}
        step, _ = step_and_least(asked)
        # Numbers of ends so far apart come to no more different ends at the right edge.
        self._most_right_ends = asked.weave.ends // gcd(asked.weave.ends, step)
        self._fewest_edge_faults: dict[tuple[Legs, int, Legs], int] = {}
        self._looked = 0

    def best(self) -> list[Plan]:
        """Return as many plans as are wanted, best first.

        The best plan of each sley and turning is chosen before a second one of any.
        """
        wanted = self.asked.plans
        kinds = sorted(
            (
                (LESSER * (sley.off + turning.off), sley, turning)
                for sley in self.sleys
                for turning in self.turnings
            ),
            key=lambda kind: kind[0],
        )
        found: list[Plan] = []
        for cost, sley, turning in kinds:
            # What is no better than this would not be among the plans.
            last = found[wanted - 1].key if len(found) >= wanted else None
            if last and (0, round(cost, DIGITS)) > last[:2]:
                break
            found = _sorted([*found, *self._of_kind(cost, sley, turning, 1, last)])
        if not found:
            raise self._nothing()
        if len(found) < wanted:
            seconds = [plan for kind in kinds for plan in self._of_kind(*kind, wanted)[1:]]
            found += _sorted(seconds)[: wanted - len(found)]
        return _sorted(found)[:wanted]

    def _of_kind(
        self, cost: float, sley: Sley, turning: Turning, wanted: int, last: Key | None = None
    ) -> list[Plan]:
        """Return the best plans of one sley and one turning, best first; none that is not before the last."""
        fewest_ends, fewest_rounds = sley.choices.fewest(), turning.choices.fewest()
        if not (fewest_ends and fewest_rounds and sley.fits(fewest_ends)):
            return []
        fewest_picks = turning.picks(fewest_rounds)
        near = list(islice(sley.choices, self._most_right_ends))
        least_off = near[0][0]
        right_ends = tuple(sorted({(ends - 1) % self.asked.weave.ends for _, ends in near}))
        at_least = self._fewest_faults(sley, turning, fewest_ends, fewest_picks, right_ends)
        at_least += self._stash_fault(sley, fewest_ends, fewest_picks)
        best: list[Plan] = []
        for off_length, rounds in turning.choices:
            nearest_off = round(cost + off_length + least_off, DIGITS)
            if last and (at_least, nearest_off) > last[:2]:
                break
            picks = turning.picks(rounds)
            here_at_least = self._fewest_faults(sley, turning, fewest_ends, picks, right_ends)
            self._look()
            fewest_here = here_at_least + self._stash_fault(sley, fewest_ends, picks)
            if last and (fewest_here, nearest_off) > last[:2]:
                continue
            for short, choices in self._by_stash(sley, picks):
                for off_width, ends in choices:
                    off = round(cost + off_length + off_width, DIGITS)
                    if last and (here_at_least + short, off) > last[:2]:
                        break
                    self._look()
                    plan = self._plan(off, sley, ends, turning, rounds)
                    if last is None or plan.key < last:
                        best = _sorted([*best, plan])[:wanted]
                        last = best[-1].key if len(best) == wanted else last
        return best

    def _by_stash(self, sley: Sley, picks: int) -> list[tuple[int, Iterable[tuple[float, int]]]]:
        """Part the numbers of ends into those that the stash covers and those it does not: 0 and 1 fault."""
        if not self.asked.stash_given:
            return [(0, sley.choices)]
        covered, beyond = sley.choices.parted(lambda ends: bool(self._stash_fault(sley, ends, picks)))
        return [(0, covered), (1, beyond)]

    def _look(self) -> None:
        """Count what is looked at, and end a search without end."""
        self._looked += 1
        if self._looked > MOST_LOOKED:
            raise WeaveError(
                "length_tolerance",
                f"narrower, or another tolerance: more than {MOST_LOOKED} plans would have to be compared",
                self.asked.length_tolerance,
            )

    def _plan(self, off: float, sley: Sley, ends: int, turning: Turning, rounds: int) -> Plan:
        picks, legs = turning.picks(rounds), turning.legs
        right_end = (ends - 1) % self.asked.weave.ends
        edge, side = min((self._edge_fault(legs, picks, right_end, side), side) for side in self.sides)
        faults = edge + self._float_fault(sley, legs, ends, picks) + self._stash_fault(sley, ends, picks)
        # More ends before fewer: of those that take as many dents they fill the last one.
        key = (faults, off, round(sley.off, DIGITS), -ends, -picks, legs, len(sley.order), sley.order)
        return Plan(key, sley, ends, turning, rounds, side)

    # Faults, each 0 or 1

    def _fewest_faults(
        self, sley: Sley, turning: Turning, fewest_ends: int, picks: int, right_ends: tuple[int, ...]
    ) -> int:
        """Return a number of faults, the stash aside, that no plan of so many rows or more falls below."""
        legs = turning.legs
        known = legs, min(picks, self._way_round(legs)), right_ends
        edge = self._fewest_edge_faults.get(known)
        if edge is None:
            edge = min(
                self._edge_fault(legs, picks, right_end, side)
                for side in self.sides
                for right_end in right_ends
            )
            self._fewest_edge_faults[known] = edge
        return edge + self._float_fault(sley, legs, fewest_ends, picks)

    def _edge_fault(self, legs: Legs, picks: int, right_end: int, side: str) -> int:
        """Tell whether the weft ever slips past an edge end that no floating selvedge holds."""
        if self.asked.floating_selvedge:
            return 0
        known = legs, min(picks, self._way_round(legs))
        slipped = self._slipped.get(known)
        if slipped is None:
            slipped = self._slipped[known] = slips(self.asked.weave, legs, known[1])
        # The turns after odd picks are at the side that pick 1 travels to.
        at_left, at_right = (1, 0) if side == "left" else (0, 1)
        return slipped[at_left][0] | slipped[at_right][right_end]

    def _way_round(self, legs: Legs) -> int:
        """Return after how many picks every turn has been seen."""
        cycle = period(legs, self.asked.weave.picks)
        return cycle * (1 + cycle % 2) + 1

    def _float_fault(self, sley: Sley, legs: Legs, ends: int, picks: int) -> int:
        """Tell whether a float is longer than the limit."""
        limit = self.asked.float_limit * (1 + DUST)
        if not limit:
            return 0
        warp, weft = self.floats(legs, ends, picks)
        return int(warp / self.asked.weft_sett > limit or weft / sley.sett > limit)

    def floats(self, legs: Legs, ends: int, picks: int) -> tuple[int, int]:
        """Return the longest floats of warp and weft, in threads."""
        return self._float("warp", legs, ends, picks), self._float("weft", legs, ends, picks)

    def _float(self, system: str, legs: Legs, ends: int, picks: int) -> int:
        # Two repeats show every float whole; what fills them fills the piece.
        weave = self.asked.weave
        shown_ends, shown_picks = min(ends, 2 * weave.ends), min(picks, 2 * period(legs, weave.picks))
        known = system, legs, shown_ends, shown_picks
        longest = self._floats.get(known)
        if longest is None:
            of_system = longest_warp_float if system == "warp" else longest_weft_float
            longest = self._floats[known] = of_system(weave, shown_ends, shown_picks, legs)
        crossed, crossed_shown = (picks, shown_picks) if system == "warp" else (ends, shown_ends)
        return crossed if longest == crossed_shown else longest

    def _stash_fault(self, sley: Sley, ends: int, picks: int) -> int:
        """Tell whether the yarn there is falls short."""
        if not self.asked.stash_given:
            return 0
        return int(any(self.short(sley, ends, picks)))

    def short(self, sley: Sley, ends: int, picks: int) -> tuple[bool, bool]:
        """Tell whether the yarn of the warp falls short, and that of the weft."""
        warp, weft = yarn_needed(self.asked, sley, ends, picks)
        return warp > self.asked.warp_free * (1 + DUST), weft > self.asked.weft_free * (1 + DUST)

    # What stood in the way

    def _nothing(self) -> WeaveError:
        asked = self.asked
        shortest = [(turning, rounds) for turning in self.turnings if (rounds := turning.choices.fewest())]
        if not shortest:
            picks = min(
                (turning.picks(turning.choices.nearest()) for turning in self.turnings),
                key=lambda count: abs(count / asked.weft_sett - asked.length_on_loom),
            )
            off = picks / asked.weft_sett / asked.length_on_loom - 1
            return WeaveError(
                "length_tolerance",
                f"wide enough for whole rows and chevrons: the nearest, {picks} rows, come "
                f"{100 * abs(off):.1f} % {'longer' if off > 0 else 'shorter'} than asked",
                asked.length_tolerance,
            )
        if not any(turning.fits(rounds) for turning, rounds in shortest):
            fewest = min(turning.picks(rounds) for turning, rounds in shortest)
            woven = asked.pieces * fewest / asked.weft_sett + asked.more_woven
            least = woven / (1 - asked.take_up) + asked.unwoven
            return WeaveError(
                "frame_length",
                f"at least {least:.6g} for the shortest piece within the tolerance",
                asked.frame_length,
            )
        narrowest = [sley.width(ends) for sley in self.sleys if (ends := sley.choices.fewest())]
        if narrowest:
            return WeaveError(
                "loom_width",
                f"at least {min(narrowest):.6g}, the narrowest warp within the tolerance",
                asked.loom_width,
            )
        width, ends = min(
            ((sley.width(ends), ends) for sley in self.sleys for ends in [sley.choices.nearest()]),
            key=lambda choice: abs(choice[0] - asked.width_on_loom),
        )
        off = width / asked.width_on_loom - 1
        return WeaveError(
            "width_tolerance",
            f"wide enough for whole repeats: the nearest, {ends} ends, come "
            f"{100 * abs(off):.1f} % {'wider' if off > 0 else 'narrower'} than asked",
            asked.width_tolerance,
        )


def _sorted(plans: list[Plan]) -> list[Plan]:
    return sorted(plans, key=lambda plan: plan.key)


def slips(weave: Weave, legs: Legs, picks: int) -> tuple[bytes, bytes]:
    """Return for each end of the repeat whether the weft ever slips past it as an edge end.

    First for the turns after odd picks, then for those after even ones.
    """
    if picks > MOST_TURNS:
        raise WeaveError(
            "reversals",
            f"such that they come back together with the weave within {MOST_TURNS} rows",
            list(legs),
        )
    rows = [int.from_bytes(row, "big") for row in weave.rows]
    every = int.from_bytes(b"\x01" * weave.ends, "big")
    always = [every, every]
    before = None
    turn = 1
    for first, way, count in stretches(legs, picks):
        for position in range(first, first + way * count, way):
            here = rows[position % len(rows)]
            if before is not None:
                # Caught where the end changes side from one pick to the next.
                always[turn] &= here ^ before
            before = here
            turn = 1 - turn
    return _where_not(always[0], weave.ends), _where_not(always[1], weave.ends)


def _where_not(cells: int, ends: int) -> bytes:
    return bytes(1 - cell for cell in cells.to_bytes(ends, "big"))
