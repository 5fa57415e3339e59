"""Drafts read and written: cell by cell for a sheet, and in the words of the trade.

A drawn grid, or a threading with tie-up and treadling, becomes a weave text of
rows of 1 and 0, pick 1 first: any function that takes a weave takes it too.
"""

from __future__ import annotations

from weavefuncs._draft_words import counted, doubled, listed, name_of, tabby_of, untied
from weavefuncs._drafts import draw_treadled
from weavefuncs._numbering import draft_of
from weavefuncs._structure import LONGEST_DRAWN, drawn_text
from weavefuncs.errors import WeaveError
from weavefuncs.registry import Value, row

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence


@row
def grid_as_weave(
    grid: Value, first_end: Value = 1, ends: Value = 0, first_pick: Value = 1, picks: Value = 0
) -> Value:
    """The weave drawn in a grid, or in a part of it, as a text that any function takes for a weave.

    Parameters
    ----------
    grid : grid
        Rows of 1 (warp up) and 0, pick 1 first; in cells pick 1 is the bottom row.
    first_end : whole, >= 1, <= 32767, default 1
        First column of the part, from the left.
    ends : whole [ends], >= 0, <= 32767, default 0
        Columns of the part; 0 takes all from the first on.
    first_pick : whole, >= 1, <= 32767, default 1
        First row of the part, from the bottom.
    picks : whole [picks], >= 0, <= 32767, default 0
        Rows of the part; 0 takes all from the first on.

    Returns
    -------
    text
        Rows of 1 and 0 with a space between, pick 1 first, such as 1100 0110 0011 1001.

    Raises
    ------
    WeaveError
        When the grid is none, the part reaches beyond it, or the text is longer than 32767 characters.

    Notes
    -----
    Valid range: parts of up to 32767 characters, as many as a cell holds. Blank cells are 0.

    Examples
    --------
    >>> grid_as_weave([[1, 1, 0, 0], [0, 1, 1, 0], [0, 0, 1, 1], [1, 0, 0, 1]])
    '1100 0110 0011 1001'
    >>> grid_as_weave([[0, 0, 0], [0, 1, 0], [0, 0, 1]], first_end=2, first_pick=2)
    '10 01'

    References
    ----------
    [EXACT]
    """
    rows = _part("pick", grid, first_pick, picks)
    width = len(rows[0])
    first, last = _reach("end", width, first_end, ends)
    return _as_text(tuple(cells[first:last] for cells in rows))


@row
def draft_as_weave(
    threading: Value, tie_up: Value, treadled: Value, first_pick: Value = 1, picks: Value = 0
) -> Value:
    """The weave that a threading, a tie-up and a drawn treadling make, as a text.

    Parameters
    ----------
    threading : list of wholes, >= 0, <= 1000000
        Shaft of each end, from the left; 0 for an end on no shaft.
    tie_up : grid
        One row for each shaft, one column for each treadle; 1 where the treadle lifts the shaft.
    treadled : grid
        One row for each pick, one column for each treadle; 1 where it is pressed, several at once if need be.
    first_pick : whole, >= 1, <= 32767, default 1
        First row of the treadling that is woven, from the bottom.
    picks : whole [picks], >= 0, <= 32767, default 0
        Rows of the treadling that are woven; 0 takes all from the first on.

    Returns
    -------
    text
        Rows of 1 and 0 with a space between, pick 1 first, such as 1100 0110 0011 1001.

    Raises
    ------
    WeaveError
        When a shaft or a pressed treadle is not in the tie-up, or the text is longer than 32767 characters.

    Notes
    -----
    Valid range: as the arguments state. Rising shed: a shaft is up when any treadle pressed lifts it. Tied
    treadle 1 to shaft 1, treadle 2 to shaft 2 and so on, the treadling is a lift plan, as a table loom
    has it. In cells shaft 1 and pick 1 stand in the bottom rows.

    Examples
    --------
    >>> draft_as_weave([1, 2, 1], [[1, 0], [0, 1]], [[1, 0], [0, 1], [1, 1]])
    '101 010 111'

    References
    ----------
    [PRACTICE]
    """
    rows = _part("pick", treadled, first_pick, picks)
    return _as_text(tuple(draw_treadled(threading, tie_up, rows)))


@row
def shaft_of(weave: Value, end: Value, numbering: Value = "as they appear") -> Value:
    """Shaft that an end of a weave is threaded on.

    Parameters
    ----------
    weave : weave or column
        Weave, such as 2/2 twill, or its grid.
    end : whole or column, >= 1, <= 1000000
        Number of the end, from the left.
    numbering : {"as they appear", "in twill order"} or column, default "as they appear"
        How shafts and treadles are numbered.

    Returns
    -------
    whole
        Number of the shaft.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or a text cannot be read.

    Notes
    -----
    Valid range: as the arguments state; the weave repeats as far as it must. With the fewest shafts. As
    they appear: shaft 1 is that of end 1, the next unlike end is on shaft 2, and so on. In twill order:
    a shaft stands beside those that lift nearly as it does. That is the ring in which neighbours differ on
    two treadles only; where there is none, the ring in which each shaft does what its neighbour did one
    pick before; numbers begin, and go the way, that the first neighbours in the threading do. Treadles
    likewise, by the shafts they lift. Without such a ring, or beyond 64 shafts or treadles, it is as they
    appear. Common practice, no source.

    Examples
    --------
    >>> shaft_of("2/2 broken twill", 3)
    3
    >>> shaft_of("2/2 broken twill", 3, "in twill order")
    4

    References
    ----------
    [PRACTICE]
    """
    return draft_of(weave.rows, numbering).threading[(end - 1) % weave.ends]


@row
def treadle_of(weave: Value, pick: Value, numbering: Value = "as they appear") -> Value:
    """Treadle that a pick of a weave is woven on.

    Parameters
    ----------
    weave : weave or column
        Weave, such as 2/2 twill, or its grid.
    pick : whole or column, >= 1, <= 10000000
        Number of the pick, from the bottom.
    numbering : {"as they appear", "in twill order"} or column, default "as they appear"
        How shafts and treadles are numbered; shaft_of says how.

    Returns
    -------
    whole
        Number of the treadle.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or a text cannot be read.

    Notes
    -----
    Valid range: as the arguments state; the weave repeats as far as it must. One treadle a pick.

    Examples
    --------
    >>> treadle_of("101 010 101 111", 4)
    3

    References
    ----------
    [PRACTICE]
    """
    return draft_of(weave.rows, numbering).treadling[(pick - 1) % weave.picks]


@row
def tie_up_code(weave: Value, shaft: Value, numbering: Value = "as they appear") -> Value:
    """Which treadles lift a shaft, as a text of 1 and 0 from treadle 1 on.

    Parameters
    ----------
    weave : weave or column
        Weave, such as 2/2 twill, or its grid.
    shaft : whole or column, >= 1, <= 32767
        Number of the shaft.
    numbering : {"as they appear", "in twill order"} or column, default "as they appear"
        How shafts and treadles are numbered; shaft_of says how.

    Returns
    -------
    text
        One character for each treadle: 1 where it lifts the shaft.

    Raises
    ------
    WeaveError
        When a value lies outside its range, a text cannot be read, or the weave has no such shaft.

    Notes
    -----
    Valid range: shafts that the weave has. Rising shed.

    Examples
    --------
    >>> tie_up_code("2/2 twill", 1)
    '1001'

    References
    ----------
    [EXACT]
    """
    tie_up = draft_of(weave.rows, numbering).tie_up
    if shaft > len(tie_up):
        raise WeaveError("shaft", f"one that the weave has, at most {len(tie_up)}", shaft)
    return "".join(map(str, tie_up[shaft - 1]))


@row
def lift_code(weave: Value, pick: Value, numbering: Value = "as they appear") -> Value:
    """Which shafts are up on a pick, as a text of 1 and 0 from shaft 1 on: a row of the lift plan.

    Parameters
    ----------
    weave : weave or column
        Weave, such as 2/2 twill, or its grid.
    pick : whole or column, >= 1, <= 10000000
        Number of the pick, from the bottom.
    numbering : {"as they appear", "in twill order"} or column, default "as they appear"
        How shafts and treadles are numbered; shaft_of says how.

    Returns
    -------
    text
        One character for each shaft: 1 where it is up.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or a text cannot be read.

    Notes
    -----
    Valid range: as the arguments state; the weave repeats as far as it must.

    Examples
    --------
    >>> lift_code("2/2 twill", 2)
    '0110'

    References
    ----------
    [EXACT]
    """
    return "".join(map(str, draft_of(weave.rows, numbering).lift((pick - 1) % weave.picks)))


@row
def draft_name(order: Value) -> Value:
    """What the trade calls a threading or a treadling: straight, point, broken, skip.

    Parameters
    ----------
    order : list of wholes, >= 0, <= 1000000
        Shaft of each end in one repeat, or treadle of each pick; 0 is an end on no shaft and left out.

    Returns
    -------
    text
        straight, point, broken, skip, advancing, all on one, or no common name.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or no end is on a shaft.

    Notes
    -----
    Valid range: as the arguments state. Common practice, no source; the words are used here so, for an
    order that repeats without end and counts only the shafts it uses, the first being next to the last.
    Straight: each end on the next shaft, all one way. Point: on a neighbouring shaft each time, two or
    more steps one way, then two or more back. Broken: two or more ends one way, a jump, two or more the
    other way, a jump. Skip: one way with jumps forward that leave shafts out, at most to the shaft
    opposite; or every second (third …) shaft first and then those between. Advancing: one way with
    jumps back of less than half the shafts, so that each run begins further on; where it only goes back
    to the neighbour, runs are of one length and leave a shaft out. Neighbours on one shaft count once and
    are told as doubled neighbours. Anything else has no common name.

    Examples
    --------
    >>> draft_name([1, 2, 3, 4, 3, 2])
    'point'
    >>> draft_name([1, 2, 4, 3])
    'broken'
    >>> draft_name([1, 3, 5, 2, 4])
    'skip'

    References
    ----------
    [PRACTICE]
    """
    threads = [number for number in order if number]
    if not threads:
        raise WeaveError("order", "a list with at least one end on a shaft", list(order))
    return name_of(threads)


@row
def tabby(threading: Value) -> Value:
    """Whether tabby, plain weave, can be woven on a threading, and which shafts to lift.

    Parameters
    ----------
    threading : list of wholes, >= 0, <= 1000000
        Shaft of each end in one repeat, from the left; 0 is an end on no shaft.

    Returns
    -------
    text
        Such as yes: 1, 3 against 2, 4; or no: and why.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: as the arguments state. Tabby needs odd and even ends on different shafts, over the edge
    of the repeat too: a repeat of an odd number of ends turns odd into even. It takes two treadles of
    its own, unless the tie-up has them.

    Examples
    --------
    >>> tabby([1, 2, 3, 4, 3, 2])
    'yes: 1, 3 against 2, 4'
    >>> tabby([1, 1, 2, 2])
    'no: shafts 1, 2 hold odd and even ends'

    References
    ----------
    [EXACT]
    """
    return tabby_of(threading)


@row
def doubled_neighbours(weave: Value, system: Value = "warp") -> Value:
    """Neighbouring threads that weave alike throughout, the last and the next repeat's first included.

    Parameters
    ----------
    weave : weave or column
        Weave, such as 2/2 twill, or its grid.
    system : {"warp", "weft"} or column, default "warp"
        Whether neighbouring ends or neighbouring picks are looked at.

    Returns
    -------
    text
        Such as 3 and 4, 7 to 9; all where every thread is like the next; none where there are no such.

    Raises
    ------
    WeaveError
        When the weave cannot be read, or the text would be longer than 32767 characters.

    Notes
    -----
    Valid range: any weave. Ends numbered from the left, picks from the bottom, within one repeat; 8 and 1
    are the last of one repeat of eight and the first of the next. Alike ends slip over one another in the
    reed, and alike picks lie in one shed: where that is not meant, the draft has a fault.

    Examples
    --------
    >>> doubled_neighbours("2/2 basket")
    '1 and 2, 3 and 4'
    >>> doubled_neighbours("2/2 twill")
    'none'

    References
    ----------
    [EXACT]
    """
    return _fitting(doubled(weave.threads(system)))


@row
def untied_threads(weave: Value) -> Value:
    """Ends and picks of a weave that nothing ties: up throughout, or down throughout.

    Parameters
    ----------
    weave : weave or column
        Weave, such as 2/2 twill, or its grid.

    Returns
    -------
    text
        Such as ends 3, 4; pick 2; or none.

    Raises
    ------
    WeaveError
        When the weave cannot be read, or the text would be longer than 32767 characters.

    Notes
    -----
    Valid range: any weave, repeated without end. Such a thread lies loose on the face or the back.

    Examples
    --------
    >>> untied_threads([[1, 0, 0], [0, 1, 0]])
    'end 3'

    References
    ----------
    [EXACT]
    """
    found = []
    for what, system in (("end", "warp"), ("pick", "weft")):
        numbers = untied(weave.threads(system))
        if numbers:
            found.append(f"{what if len(numbers) == 1 else what + 's'} {listed(numbers)}")
    return _fitting("; ".join(found)) or "none"


def _part(what: str, rows: Value, first: int, count: int) -> Value:
    """Cut so many rows out."""
    start, stop = _reach(what, len(rows), first, count)
    return rows[start:stop]


def _reach(what: str, there: int, first: int, count: int) -> tuple[int, int]:
    """Return from where to where a part reaches, counted from 0."""
    if first > there:
        raise WeaveError(f"first_{what}", f"one of the {counted(there, what)} of the grid", first)
    if first - 1 + count > there:
        raise WeaveError(f"{what}s", f"at most {there - first + 1}, all from {what} {first} on", count)
    return first - 1, first - 1 + count if count else there


def _as_text(rows: Sequence[bytes]) -> str:
    ends, picks = len(rows[0]), len(rows)
    if (ends + 1) * picks - 1 > LONGEST_DRAWN:
        raise WeaveError(
            "the result", f"a text of at most {LONGEST_DRAWN} characters", f"{ends} ends by {picks} picks"
        )
    return drawn_text(rows)


def _fitting(text: str) -> str:
    if len(text) > LONGEST_DRAWN:
        raise WeaveError(
            "the result", f"a text of at most {LONGEST_DRAWN} characters", f"{len(text)} of them"
        )
    return text
