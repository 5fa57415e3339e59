"""Weaves at the loom: what a row does, how far a thread floats, which edge holds.

A weave is a text such as ``2/2 twill`` or a grid of 1 (warp up) and 0, pick 1
first. It repeats without end; ends and picks cut a piece out of it. In the
cells of a spreadsheet a grid grows upward like cloth, pick 1 in the bottom
row: it is turned over on the way in and on the way out.
"""

from __future__ import annotations

from math import lcm

from weavefuncs._colour_order import parse_colour_order
from weavefuncs._colour_tones import (
    KEY_WIDTH,
    NO_ORDER,
    WARP_SIGN,
    WEFT_SIGN,
    coloured,
    drawn,
    warp_letters,
)
from weavefuncs._drafts import as_grid, draw, draw_draft, lifts, numbered, tie_up_of
from weavefuncs._edges import SIDES, describe_edges, longest_at_edges, uncaught_at
from weavefuncs._floats import (
    floats_beyond,
    longest_warp_float,
    longest_weft_float,
    turn_float,
    uncaught,
)
from weavefuncs._pick_words import pick_words
from weavefuncs._reversals import period, position_of, taken, turns_within
from weavefuncs._rounding import DUST
from weavefuncs._structure import columns, satin_moves_of
from weavefuncs.errors import WeaveError
from weavefuncs.registry import Value, formula, row
from weavefuncs.shared.float_guide import FLOAT_GUIDE
from weavefuncs.shared.units import LENGTH_IN_METRES

# A cell holds every whole number of so many digits exactly.
MOST_REPEAT_ROWS = 10**15


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
        When the weave cannot be read.

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
        When the weave cannot be read.

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
        When the weave cannot be read.

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
        When the weave cannot be read, or a thread of that system never changes side.

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
        Rows woven each way before the weave turns, such as 9,9; blank never turns.

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
        Rows woven each way before the weave turns, such as 9,9; blank never turns.

    Returns
    -------
    text
        One character for each end, end 1 first.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or a text cannot be read.

    Notes
    -----
    Valid range: up to 32767 ends, the characters that a cell holds.

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
        Rows woven each way before the weave turns, such as 9,9; blank never turns.
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
    picks : whole [picks], >= 1, <= 250000
        Picks of the piece.
    reversals : reversals, default ""
        Rows woven each way before the weave turns, such as 9,9; blank never turns.

    Returns
    -------
    grid
        Rows of 1 (warp up) and 0, pick 1 first; in cells pick 1 is the bottom row.

    Raises
    ------
    WeaveError
        When a value lies outside its range, a text cannot be read, or the piece has more than four
        million cells.

    Notes
    -----
    Valid range: up to four million cells and 250,000 picks.

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
        One row for each shaft, one column for each treadle; 1 where the treadle lifts the shaft.
    treadling : list of wholes, >= 1, <= 1000000
        Treadle of each pick, pick 1 first.
    ends : whole [ends], >= 0, <= 1000000, default 0
        Ends to draw, the threading repeated; 0 draws the threading once.
    picks : whole [picks], >= 0, <= 250000, default 0
        Picks to draw, the treadling repeated; 0 draws the treadling once.

    Returns
    -------
    grid
        Rows of 1 (warp up) and 0, pick 1 first; in cells pick 1 is the bottom row.

    Raises
    ------
    WeaveError
        When a shaft or a treadle is not in the tie-up, or the cloth has more than four million cells.

    Notes
    -----
    Valid range: up to four million cells and 250,000 picks. Rising shed. An end on no shaft is never lifted
    and drawn as 0, a floating selvedge too, which the weaver catches by hand. One treadle a pick. In cells
    the tie-up has shaft 1 in its bottom row.

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
        One row for each shaft, one column for each treadle; 1 where the treadle lifts the shaft.
    treadling : list of wholes, >= 1, <= 1000000
        Treadle of each pick, pick 1 first.

    Returns
    -------
    grid
        One row for each pick, pick 1 first, one column for each shaft; in cells pick 1 is the bottom row.

    Raises
    ------
    WeaveError
        When a treadle is not in the tie-up.

    Notes
    -----
    Valid range: as the arguments state. Rising shed. In cells the tie-up has shaft 1 in its bottom row.

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
    cloth: Value,
    system: Value = "either",
    ends: Value = 0,
    picks: Value = 0,
    reversals: Value = "",
    face: Value = "both",
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
        Rows woven each way before the weave turns, such as 9,9; blank never turns.
    face : {"both", "face", "back"} or column, default "both"
        Whether floats on one side of the cloth only are looked at.

    Returns
    -------
    whole [threads]
        Length of the longest float, in the threads it crosses; 0 where no thread ever lies on that face.

    Raises
    ------
    WeaveError
        When a value lies outside its range, a text cannot be read, a thread without end never changes
        side, or weave and reversals come back together only after more rows than can be looked at.

    Notes
    -----
    Valid range: as the arguments state. At the edge of a piece a float counts as far as it lies inside.
    A thread of a piece that never changes side floats over all of it; without an edge such a float has
    no length, and is refused. Where the warp is up it lies on the face and the weft on the back.

    Examples
    --------
    >>> longest_float("5 satin 2")
    4
    >>> longest_float("2/2 twill", "warp", 21, 90, "9,9")
    3
    >>> longest_float("5 satin 2", "weft", face="face")
    1

    References
    ----------
    [WOLF] satin; [EXACT]
    """
    found = []
    if system != "weft":
        found.append(longest_warp_float(cloth, ends, picks, reversals, face))
    if system != "warp":
        found.append(longest_weft_float(cloth, ends, picks, reversals, face))
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


@formula
def float_span(threads: Value, sett: Value, shrinkage: Value = 0, draw_in: Value = 0) -> Value:
    """Width or length of finished cloth that a float lies across, off the loom and washed.

    Parameters
    ----------
    threads : whole or column [threads], >= 1, <= 10000000
        Threads that the float crosses.
    sett : number or column [threads per unit of length], > 0, <= 10000
        Sett of the threads it crosses, on the loom: ends in the reed for a weft float, picks for a warp one.
    shrinkage : fraction or column, default 0
        Shrinkage of the cloth that way, from the loom to the finished piece.
    draw_in : fraction or column, default 0
        Draw-in, for a weft float; a warp float has none.

    Returns
    -------
    number [unit of length]
        Span, in the unit of the sett: threads / sett × (1 - draw-in) × (1 - shrinkage).

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: fractions from 0 to below 1. The cloth below a float shrinks; the yarn of the float hardly
    does, and sags. Not rounded.

    Examples
    --------
    >>> round(float_span(6, 24, 0.1, 0.08), 4)
    0.207

    References
    ----------
    [EXACT]
    """
    return threads / sett * (1 - draw_in) * (1 - shrinkage)


@row
def float_slack(
    threads: Value, sett: Value, shrinkage: Value = 0, draw_in: Value = 0, yarn_shrinkage: Value = 0
) -> Value:
    """Yarn in a float beyond the span that it lies across in the finished cloth.

    Parameters
    ----------
    threads : whole or column [threads], >= 1, <= 10000000
        Threads that the float crosses.
    sett : number or column [threads per unit of length], > 0, <= 10000
        Sett of the threads it crosses, on the loom: ends in the reed for a weft float, picks for a warp one.
    shrinkage : fraction or column, default 0
        Shrinkage of the cloth that way, from the loom to the finished piece.
    draw_in : fraction or column, default 0
        Draw-in, for a weft float; a warp float has none.
    yarn_shrinkage : fraction or column, default 0
        Shrinkage of the yarn itself, lying free; wool that felts may have much, most yarns next to none.

    Returns
    -------
    number [unit of length]
        Slack, in the unit of the sett: the float's length on the loom, shrunk as yarn, less its span.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or the yarn shrinks more than the cloth does.

    Notes
    -----
    Valid range: a yarn that shrinks no more than the cloth; one that did would draw the cloth together
    with it. The float is taken as laid straight under tension, as on the loom. Not rounded.

    Examples
    --------
    >>> round(float_slack(6, 24, 0.1, 0.08), 4)
    0.043

    References
    ----------
    [EXACT]
    """
    # 1 - (1 - draw-in) × (1 - shrinkage), written so that small shares keep their digits.
    shrinks = draw_in + shrinkage * (1 - draw_in)
    if yarn_shrinkage > shrinks + DUST:
        raise WeaveError("yarn_shrinkage", f"at most what the cloth shrinks ({shrinks:.6g})", yarn_shrinkage)
    return threads / sett * max(shrinks - yarn_shrinkage, 0.0)


@formula
def float_sag(span: Value, slack: Value) -> Value:
    """How far a slack float can be lifted off the cloth in its middle.

    Parameters
    ----------
    span : number or column [unit of length], > 0, <= 1e9
        Span of finished cloth that the float lies across.
    slack : number or column [unit of length], >= 0, <= 1e9
        Yarn in it beyond the span, in the same unit.

    Returns
    -------
    number [unit of length]
        Height of the arch: √(3/16 × slack × (2 × span + slack)).

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: a float that stands as a flat arch (a parabola), 3 % low at a slack of a fifth of the span,
    8 % low at a slack as long as the span. A finger that pulls a float to a point lifts it further. Not
    rounded.

    Examples
    --------
    >>> round(float_sag(10, 0.5), 2)
    1.39

    References
    ----------
    [EXACT] arc of a flat parabola
    """
    return (3 / 16 * slack * (2 * span + slack)) ** 0.5


@row
def float_limit(use: Value, per: Value = "in") -> Value:
    """How long a float may be for what the cloth is used for: a guide, common practice with no source.

    Parameters
    ----------
    use : {"baby", "upholstery", "towel", "garment", "wall piece"} or column
        What the cloth is for. For anything that a baby or a child uses, defer to the local safety rules.
    per : sett unit or column, default "in"
        Unit of the result: in or cm.

    Returns
    -------
    number [in or cm]
        Longest float: 3 mm baby, 6 mm upholstery, 8 mm towel, 10 mm garment, 25 mm wall piece.

    Raises
    ------
    WeaveError
        When the use or the unit is unknown.

    Notes
    -----
    Valid range: the uses named. Common practice, no source: your own rule is better. For anything that a
    baby or a child uses defer to the local safety rules, which may allow no float at all.

    Examples
    --------
    >>> round(float_limit("garment"), 2)
    0.39

    References
    ----------
    [PRACTICE]
    """
    return FLOAT_GUIDE[use][0] / 1000 / (per * LENGTH_IN_METRES["in"])


@row
def floats_over(grid: Value, limit: Value, sett: Value = 0, weft_sett: Value = 0) -> Value:
    """Every float of a drawn piece that crosses more threads than a limit.

    Parameters
    ----------
    grid : grid
        Rows of 1 (warp up) and 0, pick 1 first; in cells pick 1 is the bottom row.
    limit : whole [threads], >= 1, <= 10000000
        Threads that a float may cross.
    sett : number [ends per unit of length], >= 0, <= 10000, default 0
        Sett, for the lengths of weft floats; 0 leaves them blank.
    weft_sett : number [picks per unit of length], >= 0, <= 10000, default 0
        Weft sett, for the lengths of warp floats; 0 leaves them blank.

    Returns
    -------
    table
        One row for each float: system, face or back, thread, from, to, threads, length; none where none is
        longer.

    Raises
    ------
    WeaveError
        When a value lies outside its range, the grid is none, or more than 250,000 floats are found.

    Notes
    -----
    Valid range: grids of up to four million cells and 250,000 picks. The grid is one piece and does not
    repeat. Warp floats come first, thread by thread. A warp float goes from pick to pick and lies on the face
    where the warp is up; a weft float goes from end to end and lies on the face where the warp is down.

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
        Rows woven each way before the weave turns, such as 9,9; blank never turns.

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
        Rows woven each way before the weave turns, such as 9,9; blank never turns.
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
def longest_turn_float(weave: Value, ends: Value, picks: Value, reversals: Value) -> Value:
    """The longest float of the warp that lies across a row where the weave turns.

    Parameters
    ----------
    weave : weave or column
        Weave, such as 2/2 twill, or its grid.
    ends : whole or column [ends], >= 1, <= 1000000
        Ends of the piece.
    picks : whole or column [picks], >= 1, <= 10000000
        Picks of the piece.
    reversals : reversals or column
        Rows woven each way before the weave turns, such as 9,9.

    Returns
    -------
    whole [threads]
        Picks that the float crosses, on either face.

    Raises
    ------
    WeaveError
        When a value lies outside its range, a text cannot be read, the piece never turns, or weave and
        reversals come back together only after more rows than can be looked at.

    Notes
    -----
    Valid range: pieces with at least one turn. The row where it turns is the last of a leg and is woven
    once; the rows before and after it are the same row. At the edge of a piece a float counts as far as
    it lies inside.

    Examples
    --------
    >>> longest_turn_float("2/2 twill", 21, 90, "9,9")
    3

    References
    ----------
    [EXACT]
    """
    longest = turn_float(weave, ends, picks, reversals)
    if not longest:
        raise WeaveError("reversals", f"such that the weave turns within its {picks} picks", "no turn")
    return longest


@row
def turn_rows(picks: Value, reversals: Value = "") -> Value:
    """How many rows of a piece are rows where the weave turns.

    Parameters
    ----------
    picks : whole or column [picks], >= 1, <= 10000000
        Picks of the piece.
    reversals : reversals or column, default ""
        Rows woven each way before the weave turns, such as 9,9; blank never turns.

    Returns
    -------
    whole
        Turns: the ends of legs after which at least one row goes the other way.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or the text cannot be read.

    Notes
    -----
    Valid range: as the arguments state. A leg that ends with the piece is no turn.

    Examples
    --------
    >>> turn_rows(35, "9,9")
    3

    References
    ----------
    [EXACT]
    """
    return turns_within(reversals, picks)


@row
def repeat_rows(weave: Value, reversals: Value = "", weft_order: Value = NO_ORDER) -> Value:
    """After how many rows weave, turns and colours of the weft begin again together.

    Parameters
    ----------
    weave : weave or column
        Weave, such as 2/2 twill, or its grid.
    reversals : reversals or column, default ""
        Rows woven each way before the weave turns, such as 9,9; blank never turns.
    weft_order : text or column, default "none"
        Colour order of the weft, such as 8 white, 4 blue; none: one colour.

    Returns
    -------
    whole [picks]
        Rows in all before row 1 comes again, going the same way and in the same colours.

    Raises
    ------
    WeaveError
        When a text cannot be read, or it takes more than 1,000,000,000,000,000 rows.

    Notes
    -----
    Valid range: as the arguments state. Weave and colour order count as they are written, even where a
    part of them would do; but brackets round a whole order count once, and a single colour counts as one
    row. After an odd number of rows the weft enters from the other side.

    Examples
    --------
    >>> repeat_rows("2/2 twill", "9,9", "7 night, 5 cream")
    36

    References
    ----------
    [EXACT]
    """
    colours = 1
    if coloured(NO_ORDER, weft_order):
        colours = parse_colour_order("weft_order", weft_order).repeat
    rows = lcm(period(reversals, weave.picks), colours)
    if rows > MOST_REPEAT_ROWS:
        raise WeaveError(
            "weft_order",
            f"a colour order that begins again with the weave within {MOST_REPEAT_ROWS:,} rows",
            weft_order,
        )
    return rows


@row
def longest_edge_float(
    weave: Value,
    ends: Value,
    picks: Value,
    reversals: Value = "",
    first_side: Value = "left",
    floating_selvedge: Value = False,
) -> Value:
    """The longest float of the weft at the selvedges, followed round them where it turns.

    Parameters
    ----------
    weave : weave or column
        Weave, such as 2/2 twill, or its grid.
    ends : whole or column [ends], >= 1, <= 1000000
        Ends across the warp, floating selvedges not counted.
    picks : whole or column [picks], >= 1, <= 10000000
        Picks of the piece.
    reversals : reversals or column, default ""
        Rows woven each way before the weave turns, such as 9,9; blank never turns.
    first_side : {"left", "right"} or column, default "left"
        Side at which the first pick enters.
    floating_selvedge : logical or column, default False
        Whether an end on no shaft hangs at each edge.

    Returns
    -------
    whole [threads]
        Threads that the float crosses on one side of the cloth, an outermost end among them.

    Raises
    ------
    WeaveError
        When a value lies outside its range, a text cannot be read, or weave and reversals come back
        together only after more rows than can be looked at.

    Notes
    -----
    Valid range: as the arguments state. One weft, from side to side by turns. Where the edge end is not
    caught the weft goes round the edge with nothing to hold it, and what it crosses before and after the
    turn is one float. The weft goes over a floating selvedge where it enters and under it where it leaves,
    so that no float goes round; the selvedge counts as a thread.

    Examples
    --------
    >>> longest_edge_float("2/2 twill", 20, 40, first_side="right")
    2
    >>> longest_edge_float("2/2 twill", 20, 40)
    3

    References
    ----------
    [EXACT]
    """
    return longest_at_edges(weave, ends, picks, reversals, first_side, floating_selvedge)


@row
def uncaught_turns(
    weave: Value,
    ends: Value,
    picks: Value,
    reversals: Value = "",
    first_side: Value = "left",
    side: Value = "both",
) -> Value:
    """At how many turns the weft slips past the edge end without catching it.

    Parameters
    ----------
    weave : weave or column
        Weave, such as 2/2 twill, or its grid.
    ends : whole or column [ends], >= 1, <= 1000000
        Ends across the warp, floating selvedges not counted.
    picks : whole or column [picks], >= 1, <= 10000000
        Picks of the piece.
    reversals : reversals or column, default ""
        Rows woven each way before the weave turns, such as 9,9; blank never turns.
    first_side : {"left", "right"} or column, default "left"
        Side at which the first pick enters.
    side : {"both", "left", "right"} or column, default "both"
        Selvedge that is looked at.

    Returns
    -------
    whole
        Turns; a piece has one turn fewer than picks.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or a text cannot be read.

    Notes
    -----
    Valid range: as the arguments state. The weft catches the edge end at a turn when it passes over it on
    one of the two picks and under it on the other. A floating selvedge is always caught.

    Examples
    --------
    >>> uncaught_turns("2/2 twill", 20, 40)
    39
    >>> uncaught_turns("2/2 twill", 20, 40, first_side="right")
    0

    References
    ----------
    [PRACTICE]
    """
    return uncaught_at(weave, ends, picks, reversals, first_side, SIDES if side == "both" else (side,))


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
        When the grid or the text of the weave cannot be read.

    Notes
    -----
    Valid range: grids of up to four million cells and 250,000 picks. An end that is never lifted takes a
    shaft too, one tied to no treadle.

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
        When the grid or the text of the weave cannot be read.

    Notes
    -----
    Valid range: grids of up to four million cells and 250,000 picks. With two treadles pressed at
    once fewer may do.

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
        When the grid or the text of the weave cannot be read.

    Notes
    -----
    Valid range: grids of up to four million cells and 250,000 picks. Rising shed. Threading, tie-up and
    treadling of one grid give it back.

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
        One row for each shaft, shaft 1 first, one column for each treadle; in cells shaft 1 is at the bottom.

    Raises
    ------
    WeaveError
        When the grid or the text of the weave cannot be read.

    Notes
    -----
    Valid range: grids of up to four million cells and 250,000 picks. Rising shed: on a loom whose
    treadles pull shafts down tie what is 0. Shafts and treadles are numbered as they first appear, from the
    left and from pick 1.

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
        When the grid or the text of the weave cannot be read.

    Notes
    -----
    Valid range: grids of up to four million cells and 250,000 picks. One treadle a pick.

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
    Valid range: orders of up to 4000 characters and 1,000,000,000 threads in a repeat, brackets up to 8 deep.
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


@row
def pick_colours(
    weave: Value,
    ends: Value,
    pick: Value,
    reversals: Value = "",
    warp_order: Value = "none",
    weft_order: Value = "none",
) -> Value:
    """What shows on the face along a pick, as a text of one letter for each end, from the left.

    Parameters
    ----------
    weave : weave or column
        Weave, such as 2/2 twill, or its grid.
    ends : whole or column [ends], >= 1, <= 32767
        Ends across the warp.
    pick : whole or column, >= 1, <= 10000000
        Number of the pick, from the bottom.
    reversals : reversals or column, default ""
        Rows woven each way before the weave turns, such as 9,9; blank never turns.
    warp_order : text or column, default "none"
        Colour order of the warp, such as 8 white, 4 blue; none: one colour.
    weft_order : text or column, default "none"
        Colour order of the weft; none: one colour.

    Returns
    -------
    text
        One letter for each end: a capital where the warp shows, a small one where the weft does.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or a text cannot be read.

    Notes
    -----
    Valid range: up to 32767 ends, the characters that a cell holds. colour_key tells which letter is
    which colour. Without either order it is 1 where the warp shows and 0 where the weft does, as in
    pick_code.

    Examples
    --------
    >>> pick_colours("2/2 twill", 8, 1, "", "2 white, 2 navy", "rust")
    'AAggAAgg'

    References
    ----------
    [PRACTICE]
    """
    up = taken(_row_of(weave, pick, reversals), 0, 1, ends)
    if not coloured(warp_order, weft_order):
        return "".join(WARP_SIGN if cell else WEFT_SIGN for cell in up)
    colours = drawn(warp_order, weft_order)
    weft = colours.letter(colours.weft.colour_of(pick)).lower()
    letters = warp_letters(warp_order, weft_order, ends)
    return "".join(letter if cell else weft for letter, cell in zip(letters, up))


@row
def colour_key(warp_order: Value, weft_order: Value = "none") -> Value:
    """Which letter stands for which colour in the rows of pick_colours, and in what tone a sheet draws it.

    Parameters
    ----------
    warp_order : text or column
        Colour order of the warp, such as 8 white, 4 blue; none: one colour.
    weft_order : text or column, default "none"
        Colour order of the weft; none: one colour.

    Returns
    -------
    text
        One entry for each colour, filled up with blanks to 30 characters: its letter, its word, in brackets
        its tone.

    Raises
    ------
    WeaveError
        When an order cannot be read.

    Notes
    -----
    Valid range: as the arguments state. A drawing in cells has 24 tones. A colour is drawn in the free tone
    nearest to what its words or its #rrggbb say; one whose words say nothing known, and a system without an
    order, in the next neutral tone that is free. The tone is named where it is called otherwise than the
    colour. Without either order the entries are 1 for the warp and 0 for the weft.

    Examples
    --------
    >>> colour_key("4 white, 2 slate", "white").split("  ")[0]
    'A white'

    References
    ----------
    [PRACTICE]
    """
    entries = [f"{WARP_SIGN} warp on the face", f"{WEFT_SIGN} weft on the face"]
    if coloured(warp_order, weft_order):
        entries = drawn(warp_order, weft_order).entries()
    return "".join(entry.ljust(KEY_WIDTH) for entry in entries)


def _row_of(weave: Value, pick: int, reversals: tuple[int, ...]) -> bytes:
    cells: bytes = weave.row(position_of(reversals, pick))
    return cells
