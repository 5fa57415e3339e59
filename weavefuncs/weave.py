"""Weaves at the loom: what a row does, how far a thread floats, which edge holds.

A weave is a text such as ``2/2 twill`` or a grid of 1 (warp up) and 0, pick 1
first. It repeats without end; ends and picks cut a piece out of it. In the
cells of a spreadsheet a grid grows upward like cloth, pick 1 in the bottom
row: the host turns it over on the way in and on the way out.
"""

from __future__ import annotations

from weavefuncs._drafts import as_grid, draw, draw_draft, lifts, numbered, tie_up_of
from weavefuncs._edges import describe_edges
from weavefuncs._floats import floats_beyond, longest_warp_float, longest_weft_float, uncaught
from weavefuncs._pick_words import pick_words
from weavefuncs._reversals import position_of, taken
from weavefuncs._structure import columns, satin_moves_of
from weavefuncs.errors import WeaveError
from weavefuncs.registry import formula, row

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    Value = Any


@row
def repeat_ends(weave: Value) -> Value:
    """Ends in one repeat of a weave.

    Parameters
    ----------
    weave : weave or column
        Weave, such as 2/2 twill, or its grid.

    Returns
    -------
    whole [ends]
        Ends in the repeat; the width of a grid.

    Raises
    ------
    WeaveError
        When the weave is none known here.

    Notes
    -----
    Valid range: any weave. A grid counts as one repeat, even where a part of it would do.

    Examples
    --------
    >>> repeat_ends("2/2 herringbone 8")
    16

    References
    ----------
    [EXACT]
    """
    return weave.ends


@row
def repeat_picks(weave: Value) -> Value:
    """Picks in one repeat of a weave.

    Parameters
    ----------
    weave : weave or column
        Weave, such as 2/2 twill, or its grid.

    Returns
    -------
    whole [picks]
        Picks in the repeat; the height of a grid.

    Raises
    ------
    WeaveError
        When the weave is none known here.

    Notes
    -----
    Valid range: any weave. A grid counts as one repeat, even where a part of it would do.

    Examples
    --------
    >>> repeat_picks("2/2 herringbone 8")
    4

    References
    ----------
    [EXACT]
    """
    return weave.picks


@row
def intersections(weave: Value, system: Value = "weft") -> Value:
    """How often a thread changes side in one repeat of a weave.

    Parameters
    ----------
    weave : weave or column
        Weave, such as 2/2 twill, or its grid.
    system : {"warp", "weft"} or column, default "weft"
        Whether a pick is followed across the ends, or an end along the picks.

    Returns
    -------
    number
        Changes from over to under and back, on the average of all threads of that system.

    Raises
    ------
    WeaveError
        When the weave is none known here.

    Notes
    -----
    Valid range: any weave. The repeat goes round: the last thread's neighbour is the first. A thread
    that never changes counts as 0.

    Examples
    --------
    >>> intersections("2/2 twill")
    2.0
    >>> intersections("5 satin 2", "warp")
    2.0

    References
    ----------
    [TAYLOR]
    """
    return weave.changes(system)


@row
def average_float(weave: Value, system: Value = "weft") -> Value:
    """How many threads a float of a weave crosses on average.

    Parameters
    ----------
    weave : weave or column
        Weave, such as 2/2 twill, or its grid.
    system : {"warp", "weft"} or column, default "weft"
        Whether the floats of the picks or those of the ends are meant.

    Returns
    -------
    number [threads]
        Threads in the repeat over intersections, floats on both faces together.

    Raises
    ------
    WeaveError
        When the weave is none known here, or a thread of that system never changes side.

    Notes
    -----
    Valid range: any weave whose every thread of that system changes side; the float of one that does
    not has no end, and is refused.

    Examples
    --------
    >>> average_float("2/2 twill")
    2.0
    >>> average_float("5 satin 2")
    2.5

    References
    ----------
    [BRIERLEY] the F of the rule
    """
    return weave.average_float(system)


@row
def satin_moves(ends: Value) -> Value:
    """Moves with which a satin of so many ends can be made.

    Parameters
    ----------
    ends : whole or column [ends], >= 1, <= 1000
        Ends, and picks, in the repeat.

    Returns
    -------
    text
        Moves such as 2, 3; none where no satin can be made.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: up to 1000 ends. A move is listed up to half the ends; the same move the other way, the
    ends less the move, makes the mirror image and is taken by a weave text too. A move of one end is a
    twill, and one that shares a divisor with the ends leaves some of them untied.

    Examples
    --------
    >>> satin_moves(7)
    '2, 3'
    >>> satin_moves(6)
    'none'

    References
    ----------
    [WOLF]
    """
    return ", ".join(str(move) for move in satin_moves_of(ends) if 2 * move < ends) or "none"


@row
def lift(weave: Value, end: Value, pick: Value, reversals: Value = "") -> Value:
    """Whether an end is up on a pick.

    Parameters
    ----------
    weave : weave or column
        Weave, such as 2/2 twill, or its grid.
    end : whole or column, >= 1, <= 1000000
        Number of the end, from the left.
    pick : whole or column, >= 1, <= 10000000
        Number of the pick, from the bottom.
    reversals : reversals or column, default ""
        Rows each way, such as 9,9; blank never turns.

    Returns
    -------
    whole
        1 where the end is up, 0 where it is down.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or a text cannot be read.

    Notes
    -----
    Valid range: as the arguments state; the weave repeats as far as it must. With reversals a row is
    woven at its position: 9,9 puts rows 1 to 9 at 0 to 8 and rows 10 to 18 at 7 down to -1.

    Examples
    --------
    >>> lift("2/2 twill", 3, 2)
    1
    >>> [lift("2/2 twill", end, 2) for end in (1, 2, 3, 4)]
    [0, 1, 1, 0]

    References
    ----------
    [PRACTICE]
    """
    return _row_of(weave, pick, reversals)[(end - 1) % weave.ends]


@row
def pick_code(weave: Value, ends: Value, pick: Value, reversals: Value = "") -> Value:
    """A pick as a text of 1 (warp up) and 0, from the left.

    Parameters
    ----------
    weave : weave or column
        Weave, such as 2/2 twill, or its grid.
    ends : whole or column [ends], >= 1, <= 32767
        Ends across the warp.
    pick : whole or column, >= 1, <= 10000000
        Number of the pick, from the bottom.
    reversals : reversals or column, default ""
        Rows each way, such as 9,9; blank never turns.

    Returns
    -------
    text
        One sign an end, end 1 first.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or a text cannot be read.

    Notes
    -----
    Valid range: up to 32767 ends, the signs that a cell holds.

    Examples
    --------
    >>> pick_code("2/2 twill", 10, 2)
    '0110011001'

    References
    ----------
    [PRACTICE]
    """
    return "".join(map(str, taken(_row_of(weave, pick, reversals), 0, 1, ends)))


@row
def pick_text(
    weave: Value,
    ends: Value,
    pick: Value,
    reversals: Value = "",
    from_side: Value = "left",
    floating_selvedge: Value = False,
) -> Value:
    """What the weft does on a pick, read from the side it enters, repeats folded.

    Parameters
    ----------
    weave : weave or column
        Weave, such as 2/2 twill, or its grid.
    ends : whole or column [ends], >= 1, <= 1000000
        Ends across the warp, floating selvedges not counted.
    pick : whole or column, >= 1, <= 10000000
        Number of the pick, from the bottom.
    reversals : reversals or column, default ""
        Rows each way, such as 9,9; blank never turns.
    from_side : {"left", "right", "alternate"} or column, default "left"
        Side at which the weft enters; alternate has odd picks from the left, even picks from the right.
    floating_selvedge : logical or column, default False
        Whether an end on no shaft hangs at each edge.

    Returns
    -------
    text
        Such as over 1, (under 2, over 2) × 5: where the warp is up the weft goes under.

    Raises
    ------
    WeaveError
        When a value lies outside its range, a text cannot be read, or the pick would not fit into 32767
        characters.

    Notes
    -----
    Valid range: as the arguments state. From the side the weft enters, the group that repeats over the
    most ends that follow is written once with its number; no group is longer than a repeat of the weave
    or than 40 changes. The weft goes over a floating selvedge where it enters and under it where it
    leaves.

    Examples
    --------
    >>> pick_text("2/2 twill", 21, 1)
    '(under 2, over 2) × 5, under 1'
    >>> pick_text("2/2 twill", 21, 2)
    'over 1, (under 2, over 2) × 5'

    References
    ----------
    [PRACTICE]
    """
    cells = _row_of(weave, pick, reversals)
    if from_side == "right" or (from_side == "alternate" and pick % 2 == 0):
        cells = taken(cells, ends - 1, -1, weave.ends)
    return pick_words(cells, ends, floating_selvedge)


@row
def drawdown(weave: Value, ends: Value, picks: Value, reversals: Value = "") -> Value:
    """A piece of a weave, drawn out.

    Parameters
    ----------
    weave : weave
        Weave, such as 2/2 twill, or its grid.
    ends : whole [ends], >= 1, <= 1000000
        Ends of the piece.
    picks : whole [picks], >= 1, <= 4000000
        Picks of the piece.
    reversals : reversals, default ""
        Rows each way, such as 9,9; blank never turns.

    Returns
    -------
    grid
        Rows of 1 (warp up) and 0, pick 1 first; in cells the host puts pick 1 into the bottom row.

    Raises
    ------
    WeaveError
        When a value lies outside its range, a text cannot be read, or the piece has more than four
        million cells.

    Notes
    -----
    Valid range: up to four million cells.

    Examples
    --------
    >>> drawdown("2/2 twill", 5, 3)
    [[1, 1, 0, 0, 1], [0, 1, 1, 0, 0], [0, 0, 1, 1, 0]]

    References
    ----------
    [PRACTICE]
    """
    return as_grid(draw(weave, ends, picks, reversals))


@row
def drawdown_from_draft(
    threading: Value, tie_up: Value, treadling: Value, ends: Value = 0, picks: Value = 0
) -> Value:
    """The cloth that a threading, a tie-up and a treadling make.

    Parameters
    ----------
    threading : list of wholes, >= 0, <= 1000000
        Shaft of each end, from the left; 0 for an end on no shaft.
    tie_up : grid
        One row a shaft, one column a treadle; 1 where the treadle lifts the shaft.
    treadling : list of wholes, >= 1, <= 1000000
        Treadle of each pick, pick 1 first.
    ends : whole [ends], >= 0, <= 1000000, default 0
        Ends to draw, the threading repeated; 0 draws the threading once.
    picks : whole [picks], >= 0, <= 4000000, default 0
        Picks to draw, the treadling repeated; 0 draws the treadling once.

    Returns
    -------
    grid
        Rows of 1 (warp up) and 0, pick 1 first; in cells the host puts pick 1 into the bottom row.

    Raises
    ------
    WeaveError
        When a shaft or a treadle is not in the tie-up, or the cloth has more than four million cells.

    Notes
    -----
    Valid range: up to four million cells. Rising shed. An end on no shaft is never lifted and drawn as
    0, a floating selvedge too, which the weaver catches by hand. One treadle a pick. In cells the
    tie-up has shaft 1 in its bottom row: the host turns it over.

    Examples
    --------
    >>> drawdown_from_draft([1, 2, 1], [[1, 0], [0, 1]], [1, 2])
    [[1, 0, 1], [0, 1, 0]]

    References
    ----------
    [PRACTICE]
    """
    return as_grid(draw_draft(threading, tie_up, treadling, ends, picks))


@row
def lift_plan(tie_up: Value, treadling: Value) -> Value:
    """Which shafts are up on each pick of a treadling.

    Parameters
    ----------
    tie_up : grid
        One row a shaft, one column a treadle; 1 where the treadle lifts the shaft.
    treadling : list of wholes, >= 1, <= 1000000
        Treadle of each pick, pick 1 first.

    Returns
    -------
    grid
        One row a pick, pick 1 first, one column a shaft; in cells the host puts pick 1 into the bottom row.

    Raises
    ------
    WeaveError
        When a treadle is not in the tie-up.

    Notes
    -----
    Valid range: as the arguments state. Rising shed. In cells the tie-up has shaft 1 in its bottom row:
    the host turns it over.

    Examples
    --------
    >>> lift_plan([[1, 0, 1], [0, 1, 1]], [1, 2, 3])
    [[1, 0], [0, 1], [1, 1]]

    References
    ----------
    [PRACTICE]
    """
    return as_grid(lifts(tie_up, treadling))


@row
def longest_float(
    cloth: Value, system: Value = "either", ends: Value = 0, picks: Value = 0, reversals: Value = ""
) -> Value:
    """The most threads that a thread of a cloth crosses on one side.

    Parameters
    ----------
    cloth : weave or column
        Weave, such as 2/2 twill, or its grid.
    system : {"warp", "weft", "either"} or column, default "either"
        Whether ends, picks, or both are looked at.
    ends : whole or column [ends], >= 0, <= 1000000, default 0
        Ends of the piece; 0 repeats the weave across without end.
    picks : whole or column [picks], >= 0, <= 10000000, default 0
        Picks of the piece; 0 repeats the weave upward without end.
    reversals : reversals or column, default ""
        Rows each way, such as 9,9; blank never turns.

    Returns
    -------
    whole [threads]
        Length of the longest float on either face, in the threads it crosses.

    Raises
    ------
    WeaveError
        When a value lies outside its range, a text cannot be read, a thread without end never changes
        side, or weave and reversals come back together only after more rows than can be looked at.

    Notes
    -----
    Valid range: as the arguments state. At the edge of a piece a float counts as far as it lies inside.
    A thread of a piece that never changes side floats over all of it; without an edge such a float has
    no length, and is refused.

    Examples
    --------
    >>> longest_float("5 satin 2")
    4
    >>> longest_float("2/2 twill", "warp", 21, 90, "9,9")
    3

    References
    ----------
    [WOLF] satin; [EXACT]
    """
    found = []
    if system != "weft":
        found.append(longest_warp_float(cloth, ends, picks, reversals))
    if system != "warp":
        found.append(longest_weft_float(cloth, ends, picks, reversals))
    return max(found)


@formula
def float_length(threads: Value, sett: Value) -> Value:
    """Length of a float that crosses so many threads.

    Parameters
    ----------
    threads : whole or column [threads], >= 1, <= 10000000
        Threads that the float crosses.
    sett : number or column [threads per unit of length], > 0, <= 10000
        Sett of the threads it crosses: ends for a weft float, picks for a warp float.

    Returns
    -------
    number [unit of length]
        Length in the unit of the sett.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: as the arguments state. On the loom or finished, as the sett is. Not rounded.

    Examples
    --------
    >>> float_length(6, 24)
    0.25

    References
    ----------
    [EXACT]
    """
    return threads / sett


@row
def floats_over(grid: Value, limit: Value, sett: Value = 0, weft_sett: Value = 0) -> Value:
    """Every float of a drawn piece that crosses more threads than a limit.

    Parameters
    ----------
    grid : grid
        Rows of 1 (warp up) and 0, pick 1 first; in cells pick 1 is the bottom row, and the host turns it.
    limit : whole [threads], >= 1, <= 10000000
        Threads that a float may cross.
    sett : number [ends per unit of length], >= 0, <= 10000, default 0
        Sett, for the lengths of weft floats; 0 leaves them blank.
    weft_sett : number [picks per unit of length], >= 0, <= 10000, default 0
        Weft sett, for the lengths of warp floats; 0 leaves them blank.

    Returns
    -------
    table
        One row a float: system, face or back, thread, from, to, threads, length; none where none is longer.

    Raises
    ------
    WeaveError
        When a value lies outside its range, the grid is none, or more than a million floats are found.

    Notes
    -----
    Valid range: grids of up to four million cells. The grid is one piece and does not repeat. Warp
    floats come first, thread by thread. A warp float goes from pick to pick and lies on the face where
    the warp is up; a weft float goes from end to end and lies on the face where the warp is down.

    Examples
    --------
    >>> floats_over([[1, 0, 0, 0], [1, 1, 0, 1]], 2, sett=12)
    [['weft', 'face', 1, 2, 4, 3, 0.25]]

    References
    ----------
    [EXACT]
    """
    return floats_beyond(grid, limit, sett, weft_sett)


@row
def uncaught_ends(cloth: Value, ends: Value = 0, picks: Value = 0, reversals: Value = "") -> Value:
    """Ends that the weft never ties: up on every pick, or down on every pick.

    Parameters
    ----------
    cloth : weave
        Weave, such as 2/2 twill, or its grid.
    ends : whole [ends], >= 0, <= 1000000, default 0
        Ends of the piece; 0 looks at one repeat.
    picks : whole [picks], >= 0, <= 10000000, default 0
        Picks of the piece; 0 repeats the weave upward without end.
    reversals : reversals, default ""
        Rows each way, such as 9,9; blank never turns.

    Returns
    -------
    column of wholes
        Numbers of those ends, from the left; none where every end is tied.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or a text cannot be read.

    Notes
    -----
    Valid range: as the arguments state. Without a number of ends the numbers are those of one repeat,
    which say where to look in all others; every repeat has the same. A piece of one pick ties no end.

    Examples
    --------
    >>> uncaught_ends([[1, 0, 0], [0, 1, 0]])
    [3]

    References
    ----------
    [EXACT]
    """
    return uncaught(cloth, ends, picks, reversals)


@row
def edge_check(
    weave: Value, ends: Value, picks: Value, reversals: Value = "", first_side: Value = "left"
) -> Value:
    """Whether the weft catches the edge ends where it turns, and what mends it.

    Parameters
    ----------
    weave : weave or column
        Weave, such as 2/2 twill, or its grid.
    ends : whole or column [ends], >= 1, <= 1000000
        Ends across the warp, floating selvedges not counted.
    picks : whole or column [picks], >= 1, <= 10000000
        Picks of the piece.
    reversals : reversals or column, default ""
        Rows each way, such as 9,9; blank never turns.
    first_side : {"left", "right"} or column, default "left"
        Side at which the first pick enters.

    Returns
    -------
    text
        For each side: at how many turns its end is not caught, its longest float in picks; what mends it.

    Raises
    ------
    WeaveError
        When a value lies outside its range, a text cannot be read, or weave and reversals come back
        together only after more rows than can be looked at.

    Notes
    -----
    Valid range: as the arguments state. One weft, from side to side by turns. It catches the edge end
    at a turn when it passes over it on one of the two picks and under it on the other; an end that is
    up on both or down on both is slipped past. The longest float is that of the edge end itself. The
    other starting side is named only where it catches both edges at every turn; a floating selvedge
    always does.

    Examples
    --------
    >>> edge_check("2/2 twill", 20, 40, first_side="right")
    'left: caught at every turn, longest float 2; right: caught at every turn, longest float 2'
    >>> edge_check("plain", 8, 3)
    'left: caught at every turn, longest float 1; right: caught at every turn, longest float 1'

    References
    ----------
    [PRACTICE]
    """
    return describe_edges(weave, ends, picks, reversals, first_side)


@row
def shafts_needed(grid: Value) -> Value:
    """Shafts that a cloth needs: one for all ends that lift alike.

    Parameters
    ----------
    grid : weave
        Grid of 1 (warp up) and 0, or a weave text; in cells pick 1 is the bottom row.

    Returns
    -------
    whole [shafts]
        Number of unlike ends.

    Raises
    ------
    WeaveError
        When the grid is none, or the text no weave.

    Notes
    -----
    Valid range: grids of up to four million cells. An end that is never lifted takes a shaft too, one
    tied to no treadle.

    Examples
    --------
    >>> shafts_needed("2/2 herringbone 8")
    4

    References
    ----------
    [EXACT]
    """
    return len(set(columns(grid.rows)))


@row
def treadles_needed(grid: Value) -> Value:
    """Treadles that a cloth needs, one pressed on each pick.

    Parameters
    ----------
    grid : weave
        Grid of 1 (warp up) and 0, or a weave text; in cells pick 1 is the bottom row.

    Returns
    -------
    whole [treadles]
        Number of unlike picks.

    Raises
    ------
    WeaveError
        When the grid is none, or the text no weave.

    Notes
    -----
    Valid range: grids of up to four million cells. Pressing two treadles at once may do with fewer.

    Examples
    --------
    >>> treadles_needed("5 satin 2")
    5

    References
    ----------
    [EXACT]
    """
    return len(set(grid.rows))


@row
def threading(grid: Value) -> Value:
    """Shaft of each end of a cloth.

    Parameters
    ----------
    grid : weave
        Grid of 1 (warp up) and 0, or a weave text; in cells pick 1 is the bottom row.

    Returns
    -------
    row of wholes
        Shaft of each end from the left, shafts numbered from 1 as they first appear.

    Raises
    ------
    WeaveError
        When the grid is none, or the text no weave.

    Notes
    -----
    Valid range: grids of up to four million cells. Rising shed. Threading, tie-up and treadling of one
    grid give it back.

    Examples
    --------
    >>> threading("2/2 broken twill")
    [1, 2, 3, 4]
    >>> threading([[1, 0, 1], [0, 1, 0]])
    [1, 2, 1]

    References
    ----------
    [EXACT]
    """
    ends = columns(grid.rows)
    shafts = numbered(ends)
    return [shafts[end] for end in ends]


@row
def tie_up(grid: Value) -> Value:
    """Which shafts each treadle lifts, for a cloth.

    Parameters
    ----------
    grid : weave
        Grid of 1 (warp up) and 0, or a weave text; in cells pick 1 is the bottom row.

    Returns
    -------
    grid
        One row a shaft, shaft 1 first, one column a treadle; in cells the host puts shaft 1 at the bottom.

    Raises
    ------
    WeaveError
        When the grid is none, or the text no weave.

    Notes
    -----
    Valid range: grids of up to four million cells. Rising shed; shafts and treadles numbered as they
    first appear, from the left and from pick 1.

    Examples
    --------
    >>> tie_up([[1, 0, 1], [0, 1, 0]])
    [[1, 0], [0, 1]]

    References
    ----------
    [EXACT]
    """
    return tie_up_of(grid)


@row
def treadling(grid: Value) -> Value:
    """Treadle of each pick of a cloth.

    Parameters
    ----------
    grid : weave
        Grid of 1 (warp up) and 0, or a weave text; in cells pick 1 is the bottom row.

    Returns
    -------
    column of wholes
        Treadle of each pick, pick 1 first, treadles numbered from 1 as they first appear.

    Raises
    ------
    WeaveError
        When the grid is none, or the text no weave.

    Notes
    -----
    Valid range: grids of up to four million cells. One treadle a pick.

    Examples
    --------
    >>> treadling([[1, 0, 1], [0, 1, 0], [1, 0, 1]])
    [1, 2, 1]

    References
    ----------
    [EXACT]
    """
    treadles = numbered(grid.rows)
    return [treadles[pick] for pick in grid.rows]


@row
def colour_of(order: Value, thread: Value) -> Value:
    """Colour of a thread in a colour order.

    Parameters
    ----------
    order : colour order or column
        Threads and colours, such as 8 white, 4 blue, or (2 red, 2 grey) x 6, 4 black; it repeats.
    thread : whole or column, >= 1, <= 10000000
        Number of the end, from the left, or of the pick, from the bottom.

    Returns
    -------
    text
        The colour, as the order first writes it.

    Raises
    ------
    WeaveError
        When the number lies outside its range, or the order cannot be read.

    Notes
    -----
    Valid range: orders of up to 4000 characters and 1000000000 threads a repeat, brackets up to 8 deep.
    A colour without a number is one thread; capitals make no other colour.

    Examples
    --------
    >>> colour_of("8 white, 4 light blue", 9)
    'light blue'

    References
    ----------
    [EXACT]
    """
    return order.colour_of(thread)


@row
def colour_count(order: Value, threads: Value, colour: Value) -> Value:
    """Threads of one colour among the first threads of a colour order.

    Parameters
    ----------
    order : colour order or column
        Threads and colours, such as 8 white, 4 blue, or (2 red, 2 grey) x 6, 4 black; it repeats.
    threads : whole or column [threads], >= 1, <= 10000000
        Threads altogether.
    colour : text or column
        A colour of the order.

    Returns
    -------
    whole [threads]
        Threads of that colour.

    Raises
    ------
    WeaveError
        When a value lies outside its range, the order cannot be read, or the colour is not in it.

    Notes
    -----
    Valid range: as the arguments state. The order repeats and is cut where the threads end. A colour of
    the order that the threads do not reach counts 0; one that the order does not have is refused.

    Examples
    --------
    >>> colour_count("(2 red, 2 grey) x 6, 4 black", 40, "red")
    18

    References
    ----------
    [EXACT]
    """
    wanted = " ".join(colour.split())
    if not order.spelled(wanted):
        raise WeaveError("colour", "one of the order's colours: " + ", ".join(order.colours), colour)
    return order.count(threads, wanted)


def _row_of(weave: Value, pick: int, reversals: tuple[int, ...]) -> bytes:
    cells: bytes = weave.row(position_of(reversals, pick))
    return cells
