"""What a piece is asked to be, and the choices that its plans are put together from.

Choices of a kind (numbers of ends in one sley, numbers of rows in one turning) are taken from the
nearest outward, and worked out only as far as they are asked for.
"""

from __future__ import annotations

from weavefuncs._limits import MOST_ENDS, MOST_PICKS
from weavefuncs._parameters import plain_number
from weavefuncs._rounding import DUST
from weavefuncs._sley import (
    FEWEST,
    MOST,
    can_be_sleyed,
    dents_of,
    even_order,
    nearest_order,
    order_text,
    parse_order,
)
from weavefuncs.errors import MissingError, WeaveError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from typing import Any

    from weavefuncs._structure import Weave

    Order = tuple[int, ...]
    Legs = tuple[int, ...]

# However long a leg is, no more rows than these are added to it or taken off.
MOST_ROWS_OFF = 10


class Asked:
    """What the piece is asked to be: the arguments of the solver, under their names."""

    width: float
    length: float
    weave: Weave
    dents: float
    sett: float
    weft_sett: float
    reversals: Legs
    repeat: int
    balance: int
    parity: str
    sley: Any
    spaced_by: str
    floating_selvedge: bool
    first_side: str
    shrink_length: float
    shrink_width: float
    draw_in: float
    take_up: float
    slack: float
    pieces: int
    more_woven: float
    unwoven: float
    frame_length: float
    warp_free: float
    weft_free: float
    float_limit: float
    loom_width: float
    any_row: bool
    width_tolerance: float
    length_tolerance: float
    sett_tolerance: float
    rows_tolerance: float
    longest_order: int
    plans: int

    def __init__(self, given: dict[str, Any]) -> None:
        self.__dict__.update(given)
        self.weft_sett = self.weft_sett or self.sett
        self.width_on_loom = self.width / (1 - self.shrink_width) / (1 - self.draw_in)
        self.length_on_loom = self.length / (1 - self.shrink_length)
        self.stash_given = bool(self.warp_free or self.weft_free)


class Outward:
    """Choices of one kind from the nearest outward, worked out as far as they are asked for.

    The deviation must not fall as the number of the choice grows, and beyond one that does not fit on the
    loom none must fit.
    """

    def __init__(
        self,
        deviation: Callable[[int], float],
        fits: Callable[[int], bool],
        least: int,
        most: int,
        step: int,
        tolerance: float,
    ) -> None:
        self._deviation = deviation
        self._fits = fits
        self._least, self._step = least, step
        self._count = (most - least) // step + 1
        self._within = tolerance * (1 + DUST) + DUST
        self._known: list[tuple[float, int]] = []
        # The places of the first choice that does not fit, and of the first that is not too small.
        self._fitting: tuple[int, int] | None = None
        self._more = self._walk(0, self._count)

    def __iter__(self) -> Iterator[tuple[float, int]]:
        """Give deviation, without its sign, and number of each choice that fits, within the tolerance."""
        at = 0
        while True:
            if at == len(self._known):
                following = next(self._more, None)
                if following is None:
                    return
                self._known.append(following)
            yield self._known[at]
            at += 1

    def parted(self, beyond: Callable[[int], bool]) -> tuple[Iterator[tuple[float, int]], ...]:
        """Give the same choices in two parts: where something does not hold yet, and beyond."""
        place = self._first(beyond)
        return self._walk(0, place), self._walk(place, self._count)

    def fewest(self) -> int:
        """Return the smallest choice within the tolerance, whether it fits or not; 0 where there is none."""
        place = self._first_from(-self._within)
        if place == self._count or self._at(place) > self._within:
            return 0
        return self._least + place * self._step

    def nearest(self) -> int:
        """Return the choice that comes nearest, whether within the tolerance or not."""
        place = self._first_from(0.0)
        if place == self._count or (place > 0 and -self._at(place - 1) <= self._at(place)):
            place -= 1
        return self._least + place * self._step

    def _at(self, place: int) -> float:
        return self._deviation(self._least + place * self._step)

    def _first_from(self, deviation: float) -> int:
        """Return the place of the first choice with at least this deviation."""
        return self._first(lambda number: self._deviation(number) >= deviation)

    def _first(self, holds: Callable[[int], bool]) -> int:
        """Return the place of the first choice of which something holds, as it must of all beyond."""
        low, high = 0, self._count
        while low < high:
            middle = (low + high) // 2
            if holds(self._least + middle * self._step):
                high = middle
            else:
                low = middle + 1
        return low

    def _walk(self, start: int, stop: int) -> Iterator[tuple[float, int]]:
        if self._fitting is None:
            self._fitting = self._first(lambda number: not self._fits(number)), self._first_from(0.0)
        stop = min(stop, self._fitting[0])
        above = min(max(self._fitting[1], start), stop)
        below = above - 1
        beyond = self._within + 1
        while True:
            under = abs(self._at(below)) if below >= start else beyond
            over = abs(self._at(above)) if above < stop else beyond
            if min(under, over) > self._within:
                return
            if under <= over:
                yield under, self._least + below * self._step
                below -= 1
            else:
                yield over, self._least + above * self._step
                above += 1


class Sley:
    """One way to space the warp, and the numbers of ends that come near the width in it."""

    def __init__(self, asked: Asked, order: Order) -> None:
        self.order = order
        self.text = order_text(order)
        self.sett = sum(order) * asked.dents / len(order)
        self.off = abs(self.sett - asked.sett) / asked.sett
        self._asked = asked
        step, least = step_and_least(asked)
        self.choices = Outward(self._deviation, self.fits, least, MOST_ENDS, step, asked.width_tolerance)

    def width(self, ends: int) -> float:
        """Width of the warp of so many ends, on the loom."""
        if self._asked.spaced_by == "pegs":
            return ends / self.sett
        return dents_of(ends, self.order) / self._asked.dents

    def width_taken(self, ends: int) -> float:
        """Width that so many ends take up on the loom, with the floating selvedges."""
        if not self._asked.floating_selvedge:
            return self.width(ends)
        # One at each edge: on pegs as far off as any end, in a reed in a dent of its own.
        return self.width(ends) + 2 / (self.sett if self._asked.spaced_by == "pegs" else self._asked.dents)

    def fits(self, ends: int) -> bool:
        """Tell whether the loom takes so many ends."""
        most = self._asked.loom_width
        return not most or self.width_taken(ends) <= most * (1 + DUST)

    def _deviation(self, ends: int) -> float:
        return self.width(ends) / self._asked.width_on_loom - 1


class Turning:
    """The rows each way, and the numbers of rounds of them that come near the length."""

    def __init__(self, asked: Asked, legs: Legs, off: float) -> None:
        self.legs = legs
        self.off = off
        self._asked = asked
        if legs and not asked.any_row:
            once = legs if len(legs) % 2 == 0 else legs + legs
            # A chevron on its own leaves out the row that would begin the next one.
            self._rows, self._less, self._legs = sum(once), int(is_chevron(legs)), len(once)
        else:
            self._rows, self._less, self._legs = 1, 0, 0
        most = (MOST_PICKS + self._less) // self._rows
        if not most:
            raise WeaveError(
                "reversals", f"such that a round of them has at most {MOST_PICKS:,} rows", list(legs)
            )
        self.choices = Outward(self._deviation, self.fits, 1, most, 1, asked.length_tolerance)

    def picks(self, rounds: int) -> int:
        """Rows of so many rounds."""
        return rounds * self._rows - self._less

    def legs_in(self, rounds: int) -> int:
        """Legs of so many rounds; 0 where the piece may end within a leg or never turns."""
        return rounds * self._legs

    def fits(self, rounds: int) -> bool:
        """Tell whether the frame is long enough for so many rounds."""
        asked = self._asked
        if not asked.frame_length:
            return True
        woven = asked.pieces * self.picks(rounds) / asked.weft_sett + asked.more_woven
        return woven <= (asked.frame_length - asked.unwoven) * (1 - asked.take_up) * (1 + DUST)

    def _deviation(self, rounds: int) -> float:
        return self.picks(rounds) / self._asked.weft_sett / self._asked.length_on_loom - 1


def is_chevron(legs: Legs) -> bool:
    """Tell whether the weave goes as far back as it came, over and over."""
    return len(set(legs)) == 1


def step_and_least(asked: Asked) -> tuple[int, int]:
    """Return by how many ends two numbers of ends differ, and the fewest that make whole repeats."""
    step, least = asked.repeat, asked.balance or asked.repeat
    if asked.parity == "any":
        return step, least
    if least % 2 != (asked.parity == "odd"):
        if step % 2 == 0:
            fixed = "odd" if least % 2 else "even"
            raise WeaveError(
                "parity",
                f"any or {fixed}: whole repeats of {step} and a balance of {asked.balance} always come to an "
                f"{fixed} number",
                asked.parity,
            )
        least += step
        if least > MOST_ENDS:
            raise WeaveError(
                "repeat", f"such that an {asked.parity} number of ends is at most {MOST_ENDS:,}", asked.repeat
            )
    return step * (1 + step % 2), least


def sleys(asked: Asked) -> list[Sley]:
    """Return the sleys to choose from: the one that must be, or all whose sett comes near enough."""
    given = asked.sley
    # One host hands on a blank cell as 0.
    if not (plain_number(given) == 0 or (isinstance(given, str) and not given.strip())):
        return [Sley(asked, parse_order("sley", given))]
    ratio = asked.sett / asked.dents
    within = asked.sett_tolerance * (1 + DUST)
    found: dict[float, Order] = {}
    # However far sett and reed are apart, nothing is looked at that is too close to be sleyed.
    lowest, highest = (min(ratio * share, MOST + 1) for share in (1 - within, 1 + within))
    for dents in range(1, asked.longest_order + 1):
        for ends in range(max(1, int(lowest * dents)), int(highest * dents) + 2):
            if abs(ends / dents - ratio) <= within * ratio + DUST and can_be_sleyed(ends / dents):
                # The shortest order of a sett is met first.
                found.setdefault(round(ends / dents, 9), even_order(ends, dents))
    if not found:
        raise _no_sley(asked, ratio)
    return [Sley(asked, order) for order in found.values()]


def _no_sley(asked: Asked, ratio: float) -> WeaveError:
    """Refuse what everyone can change: a sett that no sley gives, else a sley that was left to choose."""
    dents, within = f"{asked.dents:.6g} dents per unit", f"{100 * asked.sett_tolerance:.6g} %"
    if not can_be_sleyed(ratio):
        least, most = FEWEST * asked.dents, MOST * asked.dents
        return WeaveError("sett", f"from {least:.6g} to {most:.6g}, to be sleyed in {dents}", asked.sett)
    order, off = nearest_order(ratio)
    short = f"of at most {asked.longest_order} dent{'s' if asked.longest_order > 1 else ''}"
    return MissingError(
        "sley",
        f"no order {short} comes within {within} of {asked.sett:.6g} ends in {dents}; "
        f"{order_text(order)} is {100 * off:.1f} % off",
    )


def turnings(asked: Asked) -> list[Turning]:
    """Return the rows each way to choose from: those wanted, and legs of a chevron longer or shorter."""
    legs = asked.reversals
    if not (legs and not asked.any_row and is_chevron(legs)):
        return [Turning(asked, legs, 0.0)]
    wanted = legs[0]
    most = min(int(wanted * asked.rows_tolerance * (1 + DUST)), MOST_ROWS_OFF)
    return [
        Turning(asked, (rows, rows), abs(rows - wanted) / wanted)
        for rows in range(wanted - most, wanted + most + 1)
    ]
