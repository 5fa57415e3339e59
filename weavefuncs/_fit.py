"""The whole piece: every plan within the tolerances looked at, and the best of them kept.

A plan is a sley, a number of ends, rows each way, a number of rows and the side of the first pick.
What a choice costs only grows with its distance from what was asked, and no fault that is counted
goes away with more ends of the same right edge or with more rows. So choices are taken from the
nearest outward, and where nothing further out can be better the search ends: what it leaves out is
not among the best.
"""

from __future__ import annotations

from weavefuncs._edges import SIDES, fewest_uncaught
from weavefuncs._fit_choices import sleys, step_and_least, turnings
from weavefuncs._fit_faults import Edges, Floats, bit, bits
from weavefuncs._rounding import DUST, whole_up
from weavefuncs.errors import WeaveError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterable
    from typing import Any

    from weavefuncs._fit_choices import Asked, Legs, Sley, Turning

    Key = tuple[Any, ...]

# Width and length count with their whole share, sett and rows a leg with this part of theirs.
LESSER = 0.25

# Plans that are looked at, and what takes as long as one: about half a second's worth.
MOST_LOOKED = 50_000
# The first number of ends that the stash does not cover is searched for.
LOOKS_OF_PARTING = 5
# So many turns are gone through while one plan is looked at.
PICKS_OF_A_LOOK = 1000

# Shares closer than this are equal: the last digits of a division decide nothing.
DIGITS = 9


class Plan:
    """One plan, with all that tells it from another.

    Attributes
    ----------
    key : tuple
        Smaller is better: faults, deviation, and what settles a tie.
    side : str
        Side of the first pick; settled once the plan is among the best.
    uncaught : int
        Turns at which the weft slips past an edge end.
    """

    __slots__ = ("ends", "key", "rounds", "side", "sley", "turning", "uncaught")

    def __init__(self, key: Key, sley: Sley, ends: int, turning: Turning, rounds: int) -> None:
        self.key = key
        self.sley = sley
        self.ends = ends
        self.turning = turning
        self.rounds = rounds
        self.side = ""
        self.uncaught = 0

    @property
    def picks(self) -> int:
        """Rows of a piece."""
        return self.turning.picks(self.rounds)


def yarn_needed(asked: Asked, sley: Sley, ends: int, picks: int) -> tuple[float, float]:
    """Return the lengths of warp and weft yarn that a plan takes, the weft out to its floating selvedges."""
    woven = asked.pieces * picks / asked.weft_sett + asked.more_woven
    warp_length = asked.frame_length or woven / (1 - asked.take_up) + asked.unwoven
    weft_picks = asked.pieces * picks + whole_up(asked.more_woven * asked.weft_sett)
    warp = (ends + (2 if asked.floating_selvedge else 0)) * warp_length
    return warp, weft_picks * sley.width_taken(ends) / (1 - asked.slack)


class Search:
    """The search for the best plans of one piece."""

    def __init__(self, asked: Asked) -> None:
        self.asked = asked
        self.sleys = sleys(asked)
        self.turnings = turnings(asked)
        either = asked.first_side == "either"
        # A floating selvedge is caught from any side.
        self.sides = (SIDES if not asked.floating_selvedge else SIDES[:1]) if either else (asked.first_side,)
        self._edges: dict[Legs, Edges] = {}
        self._floats: dict[tuple[str, Legs], Floats] = {}
        step, least = step_and_least(asked)
        repeat = asked.weave.ends
        # The ends of the repeat that may be the right edge.
        self._right_ends = bits({(least - 1 + number * step) % repeat for number in range(repeat)}, repeat)
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
        best = _sorted(found)[:wanted]
        for plan in best:
            self._settle_side(plan)
        return best

    def _settle_side(self, plan: Plan) -> None:
        """Choose the side from which the weft slips past an edge end the fewest times."""
        # Counting turns takes longer than telling whether there is one, so it is left to the plans chosen.
        plan.side = self.sides[0]
        if not self.asked.floating_selvedge:
            self.look(plan.picks // PICKS_OF_A_LOOK)
            plan.uncaught, plan.side = fewest_uncaught(
                self.asked.weave, plan.ends, plan.picks, plan.turning.legs, self.sides
            )

    def _of_kind(
        self, cost: float, sley: Sley, turning: Turning, wanted: int, last: Key | None = None
    ) -> list[Plan]:
        """Return the best plans of one sley and one turning, best first; none that is not before the last."""
        fewest_ends, fewest_rounds = sley.choices.fewest(), turning.choices.fewest()
        if not (fewest_ends and fewest_rounds and sley.fits(fewest_ends)):
            return []
        fewest_picks = turning.picks(fewest_rounds)
        least_off = next(iter(sley.choices))[0]
        at_least = self._fewest_faults(sley, turning, fewest_ends, fewest_picks)
        at_least += self._stash_fault(sley, fewest_ends, fewest_picks)
        best: list[Plan] = []
        for off_length, rounds in turning.choices:
            nearest_off = round(cost + off_length + least_off, DIGITS)
            if last and (at_least, nearest_off) > last[:2]:
                break
            picks = turning.picks(rounds)
            here_at_least = self._fewest_faults(sley, turning, fewest_ends, picks)
            self.look()
            fewest_here = here_at_least + self._stash_fault(sley, fewest_ends, picks)
            if last and (fewest_here, nearest_off) > last[:2]:
                continue
            for short, choices in self._by_stash(sley, picks):
                for off_width, ends in choices:
                    off = round(cost + off_length + off_width, DIGITS)
                    if last and (here_at_least + short, off) > last[:2]:
                        break
                    self.look()
                    plan = self._plan(off, short, sley, ends, turning, rounds)
                    if last is None or plan.key < last:
                        best = _sorted([*best, plan])[:wanted]
                        last = best[-1].key if len(best) == wanted else last
        return best

    def _by_stash(self, sley: Sley, picks: int) -> list[tuple[int, Iterable[tuple[float, int]]]]:
        """Part the numbers of ends into those that the stash covers and those it does not: 0 and 1 fault."""
        if not self.asked.stash_given:
            return [(0, sley.choices)]
        self.look(LOOKS_OF_PARTING)
        covered, beyond = sley.choices.parted(lambda ends: bool(self._stash_fault(sley, ends, picks)))
        return [(0, covered), (1, beyond)]

    def look(self, looks: int = 1) -> None:
        """Count what is looked at, and end a search without end."""
        self._looked += looks
        if self._looked > MOST_LOOKED:
            raise WeaveError(
                "length_tolerance",
                "narrower, or another tolerance, or fewer plans asked for: "
                f"it would take longer than to compare {MOST_LOOKED:,} plans",
                self.asked.length_tolerance,
            )

    def _plan(self, off: float, short: int, sley: Sley, ends: int, turning: Turning, rounds: int) -> Plan:
        picks, legs, repeat = turning.picks(rounds), turning.legs, self.asked.weave.ends
        right_end = bit((ends - 1) % repeat, repeat)
        edge = min(self._edge_fault(legs, picks, right_end, side) for side in self.sides)
        faults = edge + self._float_fault(sley, legs, ends, picks) + short
        # More ends before fewer: of those that take as many dents they fill the last one.
        key = (faults, off, round(sley.off, DIGITS), -ends, -picks, legs, len(sley.order), sley.order)
        return Plan(key, sley, ends, turning, rounds)

    # Faults, each 0 or 1

    def _fewest_faults(self, sley: Sley, turning: Turning, fewest_ends: int, picks: int) -> int:
        """Return a number of faults, the stash aside, that no plan of so many rows or more falls below."""
        edge = min(self._edge_fault(turning.legs, picks, self._right_ends, side) for side in self.sides)
        return edge + self._float_fault(sley, turning.legs, fewest_ends, picks)

    def _edge_fault(self, legs: Legs, picks: int, right_ends: int, side: str) -> int:
        """Tell whether the weft ever slips past an edge end, whichever of these bits is the right one."""
        if self.asked.floating_selvedge:
            return 0
        if legs not in self._edges:
            self._edges[legs] = Edges(self.asked.weave, legs, self.look)
        # The turns after odd picks are at the side that pick 1 travels to.
        after_odd, after_even = self._edges[legs].caught(picks)
        at_left, at_right = (after_even, after_odd) if side == "left" else (after_odd, after_even)
        repeat = self.asked.weave.ends
        return int(not (at_left & bit(0, repeat) and at_right & right_ends))

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
        if (system, legs) not in self._floats:
            self._floats[system, legs] = Floats(self.asked.weave, legs, system, self.look)
        return self._floats[system, legs].longest(ends, picks)

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
                f"wide enough for whole rows and chevrons: the nearest is {_many(picks, 'row')}, "
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
        narrowest = [sley.width_taken(ends) for sley in self.sleys if (ends := sley.choices.fewest())]
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
            f"wide enough for whole repeats: the nearest is {_many(ends, 'end')}, "
            f"{100 * abs(off):.1f} % {'wider' if off > 0 else 'narrower'} than asked",
            asked.width_tolerance,
        )


def _many(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count:,} {what}s"


def _sorted(plans: list[Plan]) -> list[Plan]:
    return sorted(plans, key=lambda plan: plan.key)
