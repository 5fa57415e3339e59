"""Drafts: threading, tie-up and treadling, and the cloth they make.

Rising shed: a shaft that is tied to a treadle goes up with it, and its ends
with the shaft. Shafts, treadles, ends and picks are numbered from 1.
"""

from __future__ import annotations

from weavefuncs._reversals import stretches, taken
from weavefuncs._structure import MOST_CELLS, Weave, columns
from weavefuncs.errors import WeaveError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterable

    Legs = tuple[int, ...]
    Rows = tuple[bytes, ...]


def as_grid(rows: Iterable[bytes]) -> list[list[int]]:
    """Write rows as lists of 1 and 0."""
    return [list(row) for row in rows]


def check_size(ends: int, picks: int) -> None:
    """Refuse a drawing of more cells than a grid may have."""
    if ends * picks > MOST_CELLS:
        raise WeaveError(
            "picks",
            f"at most {MOST_CELLS // ends} for {ends} ends (a grid has at most {MOST_CELLS:,} cells)",
            picks,
        )


def draw(weave: Weave, ends: int, picks: int, legs: Legs) -> list[bytes]:
    """Draw a piece row by row."""
    check_size(ends, picks)
    drawn = [row for stretch in stretches(legs, picks) for row in taken(weave.rows, *stretch)]
    # Only the rows that are met are made as wide as the piece: the repeat may have many more.
    wide = {row: taken(row, 0, 1, ends) for row in set(drawn)}
    return [wide[row] for row in drawn]


def numbered(threads: Iterable[bytes]) -> dict[bytes, int]:
    """Number unlike threads from 1 as they first appear: a shaft an end, or a treadle a pick."""
    return {thread: number for number, thread in enumerate(dict.fromkeys(threads), start=1)}


def tie_up_of(weave: Weave) -> list[list[int]]:
    """Return which shafts each treadle lifts, one row a shaft."""
    treadles = list(numbered(weave.rows))
    return as_grid(numbered(columns(tuple(treadles))))


def lifts(tie_up: Rows, treadling: tuple[int, ...]) -> list[bytes]:
    """Return the shafts that are up on each pick."""
    treadles = columns(tie_up)
    _check_numbers("treadling", treadling, len(treadles), "treadle")
    return [treadles[treadle - 1] for treadle in treadling]


def draw_draft(
    threading: tuple[int, ...], tie_up: Rows, treadling: tuple[int, ...], ends: int, picks: int
) -> list[bytes]:
    """Draw the cloth of a draft, threading and treadling repeated as far as it goes."""
    _check_numbers("threading", threading, len(tie_up), "shaft")
    ends = ends or len(threading)
    picks = picks or len(treadling)
    check_size(ends, picks)
    threaded = taken(threading, 0, 1, ends)
    treadled = lifts(tie_up, treadling)
    # Ahead of shaft 1 stands no shaft at all, and what hangs on that is never up.
    drawn = {lift: bytes(map((bytes(1) + lift).__getitem__, threaded)) for lift in set(treadled)}
    return list(taken(tuple(drawn[lift] for lift in treadled), 0, 1, picks))


def draw_treadled(threading: tuple[int, ...], tie_up: Rows, treadled: Rows) -> list[bytes]:
    """Draw the cloth of a draft whose treadling is drawn: each row the treadles pressed, several at once."""
    _check_numbers("threading", threading, len(tie_up), "shaft")
    treadles = columns(tie_up)
    for pick, pressed in enumerate(treadled, start=1):
        last = pressed.rfind(1) + 1
        if last > len(treadles):
            raise WeaveError(
                f"treadled[{pick}]", f"treadles that the tie-up has, at most {len(treadles)}", last
            )
    nothing = bytes(len(tie_up))
    drawn: dict[bytes, bytes] = {}
    for pressed in set(treadled):
        lifted = [treadles[treadle] for treadle, down in enumerate(pressed) if down]
        # Ahead of shaft 1 stands no shaft at all, and what hangs on that is never up.
        up = bytes(1) + bytes(map(max, nothing, nothing, *lifted))
        drawn[pressed] = bytes(map(up.__getitem__, threading))
    return [drawn[pressed] for pressed in treadled]


def _check_numbers(argument: str, numbers: tuple[int, ...], most: int, what: str) -> None:
    for place, number in enumerate(numbers, start=1):
        if number > most:
            raise WeaveError(f"{argument}[{place}]", f"a {what} that the tie-up has, at most {most}", number)
