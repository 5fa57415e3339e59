"""Floats: how long a thread stays on one side, and the ends that never change theirs.

All threads of a cloth are looked at together. Their cells are the bits of one
large whole number, laid so that a step along every thread is one shift: the
cells that begin a run of twice the length are those that begin one here and
one a run further on. The longest run is found in as many shifts as its length
has bits.
"""

from __future__ import annotations

from functools import reduce

from weavefuncs._reversals import period, stretches, taken, visited
from weavefuncs._structure import MOST_CELLS, Weave, columns
from weavefuncs.errors import WeaveError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from typing import Any

    Legs = tuple[int, ...]
    Rows = tuple[bytes, ...]

# A weave and its reversals may come back together only after very many rows.
MOST_DRAWN_CELLS = 4 * MOST_CELLS

# What a row costs at least, however few cells it has.
LEAST_ROW_COST = 16

# More rows than anyone reads, and as many as fit into 200 MiB on the way into a sheet.
MOST_FLOATS = 250_000

_AS_DIGITS = bytes.maketrans(b"\x00\x01", b"01")


# The cells that put a float on a face: where the warp is up it lies on the face, and the weft on the back.
SIDES = {
    ("warp", "both"): (1, 0),
    ("warp", "face"): (1,),
    ("warp", "back"): (0,),
    ("weft", "both"): (1, 0),
    ("weft", "face"): (0,),
    ("weft", "back"): (1,),
}


def longest_run(
    lines: Rows, endless: bool, sides: tuple[int, ...] = (1, 0), through: list[int] | None = None
) -> int:
    """Return the longest run of like cells from line to line, in the thread where it is longest.

    Of a piece it may be asked for the longest that goes through one of some lines, counted from 0.

    Endless lines begin again after the last. A thread that never changes gives
    as many as there are lines; a cell that no thread has on these sides gives 0.
    """
    width, count = len(lines[0]), len(lines)
    bits = width * count
    every = (1 << bits) - 1
    up = int(b"".join(lines).translate(_AS_DIGITS), 2)

    def later(cells: int, steps: int) -> int:
        """Bring the cell that lies so many lines on to the place of each cell."""
        shift = steps * width
        return (cells << shift | cells >> bits - shift) & every if endless else cells << shift & every

    like = [up if cell else up ^ every for cell in sides]
    if through is None:
        return max(_longest(cells, count, later) for cells in like)
    marked = set(through)
    marks = int(b"".join((b"1" if line in marked else b"0") * width for line in range(count)), 2)
    return max(_longest_through(marks, cells, count, later) for cells in like)


def _longest(cells: int, count: int, later: Callable[[int, int], int]) -> int:
    """Return the longest run of set cells: doubled while any is left, then filled in."""
    if not cells:
        return 0
    doubled = [cells]
    length = 1
    while 2 * length <= count:
        longer = doubled[-1] & later(doubled[-1], length)
        if not longer:
            break
        doubled.append(longer)
        length *= 2
    found = doubled.pop()
    step = length
    for begin in reversed(doubled):
        step //= 2
        if length + step <= count:
            longer = found & later(begin, length)
            if longer:
                found, length = longer, length + step
    return length


def _longest_through(marks: int, cells: int, count: int, later: Callable[[int, int], int]) -> int:
    """Return the longest run of set cells that a mark lies in, as _longest does for any run."""
    if not cells & marks:
        return 0
    doubled = [(cells, marks)]
    length = 1
    while 2 * length <= count:
        run, near = doubled[-1]
        run, near = run & later(run, length), near | later(near, length)
        if not run & near:
            break
        doubled.append((run, near))
        length *= 2
    found, found_near = doubled.pop()
    step = length
    for begin, begin_near in reversed(doubled):
        step //= 2
        if length + step <= count:
            run, near = found & later(begin, length), found_near | later(begin_near, length)
            if run & near:
                found, found_near, length = run, near, length + step
    return length


def longest_weft_float(weave: Weave, ends: int, picks: int, legs: Legs, face: str = "both") -> int:
    """Return the most ends that a pick crosses on one side; 0 where it never lies on that face."""
    sides = SIDES["weft", face]
    rows = tuple(weave.row(position) for position in visited(legs, picks, weave.picks))
    lines = columns(rows)
    if not ends:
        return _bounded(longest_run(lines, endless=True, sides=sides), len(lines), "weft", weave)
    # Twice the repeat shows every float whole; what fills even that fills the piece.
    drawn = taken(lines, 0, 1, min(ends, 2 * weave.ends))
    longest = longest_run(drawn, endless=False, sides=sides)
    return ends if longest == len(drawn) else longest


def longest_warp_float(weave: Weave, ends: int, picks: int, legs: Legs, face: str = "both") -> int:
    """Return the most picks that an end crosses on one side; 0 where it never lies on that face."""
    kept = min(ends, weave.ends) if ends else weave.ends
    rows = weave.rows if kept == weave.ends else tuple(row[:kept] for row in weave.rows)
    repeat = period(legs, weave.picks)
    drawn, _ = drawn_rows(rows, legs, min(picks, 2 * repeat) if picks else repeat)
    longest = longest_run(drawn, endless=not picks, sides=SIDES["warp", face])
    if not picks:
        return _bounded(longest, len(drawn), "warp", weave)
    return picks if longest == len(drawn) else longest


def _bounded(longest: int, lines: int, system: str, weave: Weave) -> int:
    if longest == lines:
        raise WeaveError(
            "cloth",
            f"one whose every {system} thread interlaces, or cut to a piece: an endless float has no length",
            weave.shown(),
        )
    return longest


def turn_float(weave: Weave, ends: int, picks: int, legs: Legs) -> int:
    """Return the most picks that an end crosses on one side where a turn lies under it; 0 without a turn."""
    kept = min(ends, weave.ends)
    rows = tuple(row[:kept] for row in weave.rows)
    drawn, turns = drawn_rows(rows, legs, min(picks, 2 * period(legs, weave.picks)))
    longest = longest_run(drawn, endless=False, through=turns)
    return picks if longest == len(drawn) else longest


def drawn_rows(rows: Rows, legs: Legs, count: int) -> tuple[Rows, list[int]]:
    """Draw so many rows, long legs cut short; tell as well at which of them it turns, counted from 0.

    A leg of two repeats and more shows every float that lies within it, and
    both its turns: whole repeats beyond that change no float, and go.
    """
    most = 2 * len(rows)
    width = max(len(rows[0]), LEAST_ROW_COST)
    drawn: list[bytes] = []
    turns: list[int] = []
    for first, way, length in stretches(legs, count):
        if drawn:
            turns.append(len(drawn) - 1)
        kept = length if length <= most else most + length % len(rows)
        # The turn at the end of the leg must stand where it stood.
        drawn += taken(rows, first, way, kept)
        if len(drawn) * width > MOST_DRAWN_CELLS:
            raise too_many_rows(legs, count, MOST_DRAWN_CELLS // width)
    return tuple(drawn), turns


def too_many_rows(legs: Legs, count: int, most: int) -> WeaveError:
    """Say that weave and reversals come back together only after more rows than are looked at."""
    return WeaveError(
        "reversals",
        f"such that they come back together with the weave within {most:,} rows",
        f"{len(legs)} legs that take {count:,} rows" if legs else f"{count:,} rows",
    )


def uncaught(weave: Weave, ends: int, picks: int, legs: Legs) -> list[int]:
    """Return the numbers of the ends that never change side, in a piece or in one repeat."""
    rows = [int.from_bytes(weave.row(position), "big") for position in visited(legs, picks, weave.picks)]
    always = reduce(lambda one, other: one & other, rows)
    ever = reduce(lambda one, other: one | other, rows)
    caught = (always ^ ever).to_bytes(weave.ends, "big")
    return [end for end, cell in enumerate(taken(caught, 0, 1, ends or weave.ends), start=1) if not cell]


def floats_beyond(rows: Rows, limit: int, sett: float, weft_sett: float) -> list[list[Any]]:
    """List every float of a piece that crosses more threads than the limit, warp first."""
    found: list[list[Any]] = []
    for system, threads, crossed in (("warp", columns(rows), weft_sett), ("weft", rows, sett)):
        # Where the warp is up it lies on the face, and the weft on the back.
        faces = ("back", "face") if system == "warp" else ("face", "back")
        for number, thread in enumerate(threads, start=1):
            for first, last, cell in _runs_beyond(thread, limit):
                crosses = last - first + 1
                length = crosses / crossed if crossed else None
                found.append([system, faces[cell], number, first, last, crosses, length])
            if len(found) > MOST_FLOATS:
                raise WeaveError("limit", f"high enough for at most {MOST_FLOATS:,} floats", limit)
    return found


def _runs_beyond(thread: bytes, limit: int) -> list[tuple[int, int, int]]:
    """Return first and last cell, counted from 1, and side of the runs longer than a limit, in order."""
    return sorted(run for cell in (0, 1) for run in _runs_of(thread, cell, limit))


def _runs_of(thread: bytes, cell: int, limit: int) -> Iterator[tuple[int, int, int]]:
    long, other = bytes([cell]) * (limit + 1), bytes([1 - cell])
    start = thread.find(long)
    while start >= 0:
        end = thread.find(other, start)
        end = len(thread) if end < 0 else end
        yield start + 1, end, cell
        start = thread.find(long, end)
