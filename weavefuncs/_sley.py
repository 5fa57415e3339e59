"""Sley orders: how many ends go into each dent, over and over."""

from __future__ import annotations

from weavefuncs._parameters import DUST, plain_number
from weavefuncs.errors import WeaveError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

# What can be sleyed by an order that is looked for, as ends a dent.
FEWEST, MOST = 1 / 6, 12.0

# An order is counted from memory: beyond a dozen dents the place is lost.
LONGEST = 12

# One end in a hundred is less than yarn and beat vary.
NEAR = 0.01

# More ends than a dent ever holds; an order that became a date is a far larger number.
MOST_IN_DENT = 40

# More dents than any order that is written out.
LONGEST_TEXT = 1000

WORDS = "ends in each dent, such as 1-1-2"
DATE_HINT = " (spreadsheets turn 1-1-2 into a date: format the cell as text, then type it again)"
SEPARATORS = ("–", "—", "‑", "−", ",")


def parse_order(name: str, value: Any) -> tuple[int, ...]:
    """Read a sley order: a text such as ``1-1-2``, or one small whole number."""
    if isinstance(value, str):
        if len(value) > LONGEST_TEXT:
            raise WeaveError(name, f"{WORDS}, in at most {LONGEST_TEXT} characters", value)
        numbers = [_dent(name, value, part) for part in _parts(value)]
    else:
        numbers = [_lone_number(name, value)]
    if sum(numbers) == 0:
        raise WeaveError(name, WORDS + ", with an end in at least one of them", value)
    return tuple(numbers)


def _parts(text: str) -> list[str]:
    for separator in SEPARATORS:
        text = text.replace(separator, "-")
    return text.split("-") if "-" in text else text.split() or [text]


def _dent(name: str, text: str, part: str) -> int:
    part = part.strip()
    if not (part.isascii() and part.isdigit()):
        raise WeaveError(name, WORDS, text)
    return _few(name, text, float(part))


def _lone_number(name: str, value: Any) -> int:
    number = plain_number(value)
    if number is None or number < 0:
        # A host may hand over the date itself, which is no number.
        raise WeaveError(name, WORDS + ("" if number or isinstance(value, bool) else DATE_HINT), value)
    if abs(number - round(number)) > DUST:
        raise WeaveError(name, WORDS + ", whole numbers", value)
    return _few(name, value, number)


def _few(name: str, value: Any, number: float) -> int:
    if number > MOST_IN_DENT:
        raise WeaveError(name, f"{WORDS}, at most {MOST_IN_DENT} in a dent{DATE_HINT}", value)
    return round(number)


def order_text(order: tuple[int, ...]) -> str:
    """Write a sley order as :func:`parse_order` reads it."""
    return "-".join(map(str, order))


def even_order(ends: int, dents: int) -> tuple[int, ...]:
    """Spread ends over dents as evenly as can be, the emptier dents first."""
    return tuple((dent + 1) * ends // dents - dent * ends // dents for dent in range(dents))


def dents_of(ends: int, order: tuple[int, ...]) -> int:
    """Count the dents up to the one that takes the last end."""
    rounds, left = divmod(ends - 1, sum(order))
    # One end was held back: it is the last one that is placed, so the order is never run out of dents.
    dents = rounds * len(order)
    for in_dent in order:
        dents += 1
        left -= in_dent
        if left < 0:
            break
    return dents


def can_be_sleyed(ratio: float) -> bool:
    """Tell whether so many ends a dent lie within what an order is looked for."""
    return FEWEST * (1 - DUST) <= ratio <= MOST * (1 + DUST)


def nearest_order(ratio: float) -> tuple[tuple[int, ...], float]:
    """Find the order for so many ends a dent, and how far off it is as a fraction.

    The shortest order that is near enough; where none of a dozen dents is,
    the nearest, and of equally near ones the shortest.
    """
    nearest: tuple[int, ...] = ()
    least = 1.0
    for dents in range(1, LONGEST + 1):
        ends = max(1, int(ratio * dents + 0.5))
        off = abs(ends / dents - ratio) / ratio
        if off < least - DUST:
            nearest, least = even_order(ends, dents), off
        if least <= NEAR + DUST:
            break
    return nearest, least
