"""Reversals: how many rows a weave goes each way, and where that puts a row.

Row 1 stands at position 0. Going up adds one a row, going down takes one off,
and no row is woven twice at a turn. The legs are cycled and the direction
alternates throughout, so an odd number of legs is gone through twice before
row and direction come back together.

The walk moves by one position a row. All that is counted here follows from
that, so no rows are drawn to find where one stands.
"""

from __future__ import annotations

from bisect import bisect_right
from functools import lru_cache
from math import gcd

from weavefuncs._parameters import DUST, plain_number
from weavefuncs.errors import WeaveError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterator
    from typing import Any

    Legs = tuple[int, ...]

MOST_ROWS = 1_000_000
MOST_LEGS = 1000
LONGEST_TEXT = 8000

# A spreadsheet whose numbers have commas between the thousands makes one number of 100,100.
COULD_BE_TWO = 1000

REQUIREMENT = "rows each way, such as 9,9"
COMMA_HINT = (
    " (a spreadsheet may have turned 9,9 into the number 9.9, or 100,100 into 100100: "
    "format the cell as text, or write 9 9 with a space)"
)


def parse_reversals(name: str, value: Any) -> tuple[int, ...]:
    """Read rows each way: a text such as ``9,9``, or a whole number below 1000; a blank text never turns."""
    if isinstance(value, str):
        if len(value) > LONGEST_TEXT:
            raise WeaveError(name, f"{REQUIREMENT}, in at most {LONGEST_TEXT} characters", value)
        return _read(name, value)
    number = plain_number(value)
    if number is None:
        raise WeaveError(name, REQUIREMENT, value)
    if abs(number - round(number)) > DUST:
        raise WeaveError(name, f"{REQUIREMENT}, whole numbers{COMMA_HINT}", value)
    if number >= COULD_BE_TWO:
        told = f"{REQUIREMENT}, a text or a number below {COULD_BE_TWO}{COMMA_HINT}"
        raise WeaveError(name, told, value)
    return (_leg(name, round(number), value),)


@lru_cache(maxsize=256)
def _read(name: str, text: str) -> tuple[int, ...]:
    parts = text.replace(";", ",").split(",")
    if len(parts) > 1 and not all(part.strip() for part in parts):
        raise WeaveError(name, f"{REQUIREMENT}, a number on both sides of a comma", text)
    words = [word for part in parts for word in part.split()]
    if len(words) > MOST_LEGS:
        raise WeaveError(name, f"{REQUIREMENT}, at most {MOST_LEGS} legs", text)
    for word in words:
        if not (word.isascii() and word.isdigit()):
            raise WeaveError(name, f"{REQUIREMENT}, whole numbers{COMMA_HINT if '.' in word else ''}", text)
    return tuple(_leg(name, int(word) if len(word) < 12 else MOST_ROWS + 1, text) for word in words)


def _leg(name: str, rows: int, value: Any) -> int:
    if not 1 <= rows <= MOST_ROWS:
        raise WeaveError(name, f"{REQUIREMENT}, each from 1 to {MOST_ROWS:,}", value)
    return rows


@lru_cache(maxsize=64)
def _cycle(legs: Legs) -> tuple[list[int], list[int], int, int]:
    """Return, for legs gone through once in rows and direction: first rows, positions before, rows, drift."""
    once = legs if len(legs) % 2 == 0 else legs + legs
    starts, before = [], []
    rows, position = 0, -1
    for number, leg in enumerate(once):
        starts.append(rows)
        before.append(position)
        rows += leg
        position += -leg if number % 2 else leg
    return starts, before, rows, position + 1


def position_of(legs: Legs, row: int) -> int:
    """Return the position of a row, counted from 1."""
    if not legs:
        return row - 1
    starts, before, rows, drift = _cycle(legs)
    cycles, inside = divmod(row - 1, rows)
    leg = bisect_right(starts, inside) - 1
    way = -1 if leg % 2 else 1
    return cycles * drift + before[leg] + way * (inside - starts[leg] + 1)


def turns_within(legs: Legs, rows: int) -> int:
    """Count the rows, of so many, after which it goes the other way."""
    if not legs:
        return 0
    starts, _, cycle_rows, _ = _cycle(legs)
    cycles, inside = divmod(rows - 1, cycle_rows)
    return cycles * len(starts) + bisect_right(starts, inside) - 1


def period(legs: Legs, repeat: int) -> int:
    """Return after how many rows a weave of so many picks comes back to row 1, going the same way."""
    if not legs:
        return repeat
    _, _, rows, drift = _cycle(legs)
    return rows * (repeat // gcd(repeat, drift))


def stretches(legs: Legs, rows: int) -> Iterator[tuple[int, int, int]]:
    """Go through the first rows leg by leg: first position, way (1 up, -1 down), rows."""
    if not legs:
        yield 0, 1, rows
        return
    number, position = 0, -1
    while rows > 0:
        leg = min(legs[number % len(legs)], rows)
        way = -1 if number % 2 else 1
        yield position + way, way, leg
        position += way * leg
        rows -= leg
        number += 1


def taken(repeat: Any, first: int, way: int, rows: int) -> Any:
    """Cut so many rows out of an endless repeat (a tuple or bytes), from a position up or down."""
    if way < 0:
        repeat, first = repeat[::-1], -1 - first
    first %= len(repeat)
    return (repeat * -(-(first + rows) // len(repeat)))[first : first + rows]


def visited(legs: Legs, rows: int, repeat: int) -> range:
    """Return the positions that rows stand at, no more than one repeat of them; 0 rows are endless.

    A walk that moves by one leaves no position out between its lowest and its highest.
    """
    if not legs:
        return range(min(rows, repeat) if rows else repeat)
    starts, _, cycle_rows, drift = _cycle(legs)
    if rows == 0:
        if drift:
            return range(repeat)
        rows = cycle_rows
    # Drift adds the same to every cycle, so the extremes lie in the first or in one of the last two.
    last = rows // cycle_rows
    leg_ends = [*starts[1:], cycle_rows]
    turns = [cycle * cycle_rows + end for cycle in {0, max(last - 1, 0), last} for end in leg_ends]
    positions = [position_of(legs, row) for row in (1, rows, *turns) if row <= rows]
    lowest, highest = min(positions), max(positions)
    return range(lowest, min(highest, lowest + repeat - 1) + 1)
