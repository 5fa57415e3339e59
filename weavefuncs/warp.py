"""Warp and weft: take-up, widths and lengths on the loom, ends, yarn and put-ups."""

from __future__ import annotations

import math

from weavefuncs._columns import first_row, of_row
from weavefuncs._limits import MOST_ENDS, MOST_PICKS
from weavefuncs._rounding import DUST, up, whole_up
from weavefuncs.errors import WeaveError
from weavefuncs.registry import Value, formula, row
from weavefuncs.shared.yarn_systems import TEX_OF_ONE_YARD_PER_POUND

TEX_OF_COTTON_COUNT_ONE = TEX_OF_ONE_YARD_PER_POUND / 840

# A thread bent round its neighbours by an angle a at each crossing is a/sin a times as long as the
# cloth. At a right angle it stands upright between two picks, and cannot bend further.
GREATEST_CRIMP = math.pi / 2 - 1


def _excess(longer: float, shorter: float, argument: str, requirement: str) -> float:
    """Return how much longer the first is; refuse the argument where it is the shorter one."""
    if longer < shorter * (1 - DUST):
        raise WeaveError(argument, f"{requirement} ({shorter:.6g})", longer)
    return max(longer - shorter, 0.0)


def _whole_repeats(length: Value, sett: Value, repeat: Value, balance: Value) -> Value:
    """Return the threads of the fewest complete repeats that, with the balance, reach a length."""
    repeats = up((whole_up(length * sett) - balance) / repeat)
    if first_row(balance > 0) is not None:
        # The balance may reach beyond the length by itself.
        repeats = repeats * (repeats > 0)
    return repeats * repeat + balance


@row
def crimp(yarn_length: Value, cloth_length: Value) -> Value:
    """Crimp of a thread: how much longer the straightened yarn is, as a fraction of the cloth.

    Parameters
    ----------
    yarn_length : number or column [unit of length], > 0, <= 1e9
        Length of the yarn taken out of the cloth and straightened.
    cloth_length : number or column [unit of length], > 0, <= 1e9
        Length of the cloth that the yarn came from.

    Returns
    -------
    number
        Crimp, as a fraction of the cloth's length. It may exceed 1.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or the yarn is shorter than the cloth it came from.

    Notes
    -----
    Valid range: the yarn at least as long as the cloth; equal lengths give 0. Crimp divides by the
    cloth's length, take-up by the yarn's: 7.5 % crimp is 6.98 % take-up. Not rounded.

    Examples
    --------
    >>> round(crimp(8.6, 8), 4)
    0.075

    References
    ----------
    [D3883]
    """
    longer = _excess(yarn_length, cloth_length, "yarn_length", "at least the cloth_length")
    return longer / cloth_length


@row
def take_up(yarn_length: Value, cloth_length: Value) -> Value:
    """Take-up of a thread: how much shorter the cloth is, as a fraction of the straightened yarn.

    Parameters
    ----------
    yarn_length : number or column [unit of length], > 0, <= 1e9
        Length of the yarn taken out of the cloth and straightened.
    cloth_length : number or column [unit of length], > 0, <= 1e9
        Length of the cloth that the yarn came from.

    Returns
    -------
    number
        Take-up, as a fraction of the yarn's length.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or the yarn is shorter than the cloth it came from.

    Notes
    -----
    Valid range: the yarn at least as long as the cloth; equal lengths give 0. Take-up divides by the
    yarn's length, crimp by the cloth's. Not rounded.

    Examples
    --------
    >>> round(take_up(8.6, 8), 5)
    0.06977

    References
    ----------
    [D3883]
    """
    longer = _excess(yarn_length, cloth_length, "yarn_length", "at least the cloth_length")
    return longer / yarn_length


@formula
def crimp_from_take_up(take_up: Value) -> Value:
    """Crimp (a fraction of the cloth) from take-up (a fraction of the yarn).

    Parameters
    ----------
    take_up : fraction or column
        Take-up.

    Returns
    -------
    number
        Crimp, t / (1 - t).

    Raises
    ------
    WeaveError
        When the take-up is not a fraction below 1.

    Notes
    -----
    Valid range: take-up from 0 to below 1; towards 1 the crimp grows without bound. Not rounded.

    Examples
    --------
    >>> round(crimp_from_take_up(0.2), 4)
    0.25

    References
    ----------
    [D3883]
    """
    return take_up / (1 - take_up)


@formula
def take_up_from_crimp(crimp: Value) -> Value:
    """Take-up (a fraction of the yarn) from crimp (a fraction of the cloth).

    Parameters
    ----------
    crimp : number or column, >= 0, <= 2
        Crimp; 7.5 % is 0.075.

    Returns
    -------
    number
        Take-up, c / (1 + c).

    Raises
    ------
    WeaveError
        When the crimp is negative or above 2.

    Notes
    -----
    Valid range: crimp from 0 to 2, a yarn three times as long as its cloth, which no thread of the
    ground reaches; above it the value is far more likely a percentage. Not rounded.

    Examples
    --------
    >>> round(take_up_from_crimp(0.25), 4)
    0.2

    References
    ----------
    [D3883]
    """
    return crimp / (1 + crimp)


@row
def contraction_estimate(
    weft_sett: Value, weave: Value, weft: Value, constant: Value = 4, per: Value = "in"
) -> Value:
    """Estimate of the warp's crimp before anything is woven, by Taylor's rule for cotton.

    Parameters
    ----------
    weft_sett : number or column [picks per unit], > 0, <= 10000
        Picks in an inch or a centimetre.
    weave : weave or column
        Weave, such as 2/2 twill, or its grid.
    weft : yarn or column
        Weft yarn with its system, such as 70 Ne.
    constant : number or column, > 0, <= 100, default 4
        Taylor's constant; find your own from a woven sample.
    per : sett unit, default "in"
        Unit that the weft sett is per: in or cm.

    Returns
    -------
    number
        Crimp of the warp, as a fraction of the cloth's length: constant × intersections an inch /
        cotton count of the weft / 100.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or the rule gives more crimp than threads can take.

    Notes
    -----
    Valid range: a rule of thumb from the mills, for cotton of fine and middling counts; the
    intersections are the changes of a warp end along its picks, averaged over the ends. The rule grows
    in proportion without end and cloth does not: a square plain cloth is jammed at 0.209, so read
    anything near that as too high and weave a sample. Above pi/2 - 1 = 0.571, where a round thread
    would stand upright between the picks, there is no such cloth and the call is refused. Not rounded.

    Examples
    --------
    >>> round(contraction_estimate(120, "plain", "70 Ne"), 4)
    0.0686

    References
    ----------
    [TAYLOR] contraction; [PEIRCE] jammed cloth
    """
    intersections = weft_sett / per * weave.changes("warp") / weave.picks
    estimate = constant * intersections * weft / TEX_OF_COTTON_COUNT_ONE / 100
    if estimate > GREATEST_CRIMP:
        raise WeaveError(
            "weft_sett",
            f"low enough for this weave and weft: the rule gives a crimp of {estimate:.4g}, "
            f"and a round thread takes at most {GREATEST_CRIMP:.3f}",
            weft_sett,
        )
    return estimate


@row
def shrinkage(before: Value, after: Value) -> Value:
    """Shrinkage of a cloth, as a fraction of what it measured before washing or finishing.

    Parameters
    ----------
    before : number or column [unit of length], > 0, <= 1e9
        Length or width before.
    after : number or column [unit of length], > 0, <= 1e9
        The same length or width after.

    Returns
    -------
    number
        Shrinkage, as a fraction of the measure before.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or the cloth grew.

    Notes
    -----
    Valid range: after at most before; equal measures give 0. A cloth that grew has no shrinkage and is
    refused, since the functions that plan with a shrinkage take none below 0. Not rounded.

    Examples
    --------
    >>> round(shrinkage(12, 9.6), 4)
    0.2

    References
    ----------
    [EXACT]
    """
    lost = _excess(before, after, "before", "at least the measure after")
    return lost / before


@row
def draw_in(reed_width: Value, woven_width: Value) -> Value:
    """Draw-in at the loom: how much narrower the web is than the warp in the reed.

    Parameters
    ----------
    reed_width : number or column [unit of length], > 0, <= 1e9
        Width of the warp in the reed.
    woven_width : number or column [unit of length], > 0, <= 1e9
        Width of the web on the loom, off its tension.

    Returns
    -------
    number
        Draw-in, as a fraction of the width in the reed.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or the web is wider than the reed.

    Notes
    -----
    Valid range: woven width at most the width in the reed; equal widths give 0. Not rounded.

    Examples
    --------
    >>> round(draw_in(20, 18.5), 4)
    0.075

    References
    ----------
    [EXACT]
    """
    lost = _excess(reed_width, woven_width, "reed_width", "at least the woven_width")
    return lost / reed_width


@formula
def length_to_weave(finished_length: Value, shrinkage: Value = 0) -> Value:
    """Length to weave so that a piece has its length after finishing.

    Parameters
    ----------
    finished_length : number or column [unit of length], > 0, <= 1e9
        Length wanted after washing, hems included.
    shrinkage : fraction or column, default 0
        Shrinkage in length, as a fraction of the woven length.

    Returns
    -------
    number [unit of length]
        Length to weave, measured off tension: finished length / (1 - shrinkage).

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: shrinkage from 0 to below 1. The shrinkage is of the woven length, so it is divided
    out: adding 20 % to 10 in weaves 12 in, which finishes at 9.6 in. Not rounded.

    Examples
    --------
    >>> length_to_weave(10, 0.2)
    12.5

    References
    ----------
    [EXACT]
    """
    return finished_length / (1 - shrinkage)


@formula
def width_in_reed(finished_width: Value, shrinkage: Value = 0, draw_in: Value = 0) -> Value:
    """Width of the warp in the reed so that a piece has its width after finishing.

    Parameters
    ----------
    finished_width : number or column [unit of length], > 0, <= 1e9
        Width wanted after washing, hems included.
    shrinkage : fraction or column, default 0
        Shrinkage in width, as a fraction of the woven width.
    draw_in : fraction or column, default 0
        Draw-in at the loom, as a fraction of the width in the reed.

    Returns
    -------
    number [unit of length]
        Width in the reed: finished width / (1 - shrinkage) / (1 - draw-in).

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: shrinkage and draw-in from 0 to below 1. One follows the other, so the two are divided
    out in turn and never added. Not rounded; whole ends come from the width and the sett.

    Examples
    --------
    >>> round(width_in_reed(18, 0.1, 0.06), 2)
    21.28

    References
    ----------
    [EXACT]
    """
    return finished_width / (1 - shrinkage) / (1 - draw_in)


@formula
def ends(
    width: Value,
    sett: Value,
    repeat: Value = 1,
    balance: Value = 0,
    extra: Value = 0,
    parity: Value = "any",
) -> Value:
    """How many ends a width takes: whole repeats of the pattern, the balance that closes it, and extra ends.

    Parameters
    ----------
    width : number or column [unit of length], > 0, <= 1e9
        Width that the pattern must reach, in the reed.
    sett : number or column [ends per unit], > 0, <= 10000
        Ends in one unit of the width.
    repeat : whole or column [ends], >= 1, <= 1000000, default 1
        Ends of one complete repeat of the pattern.
    balance : whole or column [ends], >= 0, <= 1000000, default 0
        Ends after the last repeat that close the pattern.
    extra : whole or column [ends], >= 0, <= 1000000, default 0
        Ends outside the pattern and its width: selvedges, or 2 for a floating selvedge.
    parity : {"any", "odd", "even"} or column, default "any"
        Whether the total must be odd or even.

    Returns
    -------
    whole [ends]
        Ends in all: the fewest complete repeats with the balance that reach the width, and the extra.

    Raises
    ------
    WeaveError
        When a value lies outside its range, no number of repeats has the parity, or the warp would
        have more than a million ends.

    Notes
    -----
    Valid range: rounds up, so the cloth is never narrower than asked and the pattern stays whole; what
    the computer's rounding adds to a whole end counts as nothing. Where the balance alone reaches the
    width no repeat is added. An odd or even total takes one repeat more where the repeat is odd; with
    an even repeat the balance and the extra ends decide, and the other parity is refused. A floating
    selvedge is two extra ends on no shaft, in dents of their own.

    Examples
    --------
    >>> ends(15, 24, repeat=4, balance=1, extra=2)
    363
    >>> ends(15, 24, parity="odd")
    361

    References
    ----------
    [PRACTICE]
    """
    total = _whole_repeats(width, sett, repeat, balance) + extra
    if parity != "any":
        other = total % 2 != (parity == "odd")
        bad = first_row(other & (repeat % 2 == 0))
        if bad is not None:
            repeat, balance, extra = (int(of_row(value, bad)) for value in (repeat, balance, extra))
            fixed = "even" if parity == "odd" else "odd"
            raise WeaveError(
                "parity",
                f"any or {fixed}: whole repeats of {repeat}, a balance of {balance} and {extra} extra "
                f"always come to an {fixed} number",
                parity,
                bad,
            )
        total = total + repeat * other
    bad = first_row(total > MOST_ENDS)
    if bad is not None:
        found = int(of_row(total, bad))
        raise WeaveError(
            "width",
            f"such that the warp has at most {MOST_ENDS:,} ends, not {found:,}",
            of_row(width, bad),
            bad,
        )
    return total


@formula
def picks_for(length: Value, weft_sett: Value, repeat: Value = 1, balance: Value = 0) -> Value:
    """Whole picks for a length: complete repeats of the pattern and the balance that closes it.

    Parameters
    ----------
    length : number or column [unit of length], > 0, <= 1e9
        Length that the pattern must reach, on the loom.
    weft_sett : number or column [picks per unit], > 0, <= 10000
        Picks in one unit of the length.
    repeat : whole or column [picks], >= 1, <= 10000000, default 1
        Picks of one complete repeat of the pattern.
    balance : whole or column [picks], >= 0, <= 10000000, default 0
        Picks after the last repeat that close the pattern.

    Returns
    -------
    whole [picks]
        Picks: the fewest complete repeats with the balance that reach the length.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or the piece would have more than ten million picks.

    Notes
    -----
    Valid range: rounds up, so the piece is never shorter than asked and the pattern stays whole;
    what the computer's rounding adds to a whole pick counts as nothing. Where the balance alone reaches
    the length no repeat is added.

    Examples
    --------
    >>> picks_for(30, 20)
    600
    >>> picks_for(30, 20, repeat=18, balance=17)
    611

    References
    ----------
    [PRACTICE]
    """
    picks = _whole_repeats(length, weft_sett, repeat, balance)
    bad = first_row(picks > MOST_PICKS)
    if bad is not None:
        found = int(of_row(picks, bad))
        raise WeaveError(
            "length",
            f"such that the piece has at most {MOST_PICKS:,} picks, not {found:,}",
            of_row(length, bad),
            bad,
        )
    return picks


@formula
def warp_length(
    woven_length: Value, pieces: Value = 1, between: Value = 0, take_up: Value = 0, waste: Value = 0
) -> Value:
    """Length of warp to wind for one or more pieces.

    Parameters
    ----------
    woven_length : number or column [unit of length], > 0, <= 1e9
        Length of one piece as woven, hems and headers included.
    pieces : whole or column, >= 1, <= 1000000, default 1
        Pieces on the warp.
    between : number or column [unit of length], >= 0, <= 1e9, default 0
        Unwoven length between two pieces: fringes, or a gap to cut in.
    take_up : fraction or column, default 0
        Warp take-up, as a fraction of the warp's length.
    waste : number or column [unit of length], >= 0, <= 1e9, default 0
        Loom waste, which holds the fringes before the first and after the last piece.

    Returns
    -------
    number [unit of length]
        Length of the warp: pieces × woven / (1 - take-up) + (pieces - 1) × between + waste.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: take-up from 0 to below 1; only woven length takes up, what lies between stays straight.
    One piece has nothing between. Not rounded.

    Examples
    --------
    >>> round(warp_length(30, pieces=4, between=2, take_up=0.08, waste=27), 2)
    163.43

    References
    ----------
    [PRACTICE]; [D3883] take-up
    """
    return pieces * woven_length / (1 - take_up) + (pieces - 1) * between + waste


@formula
def pieces_from_warp(
    warp_length: Value, woven_length: Value, between: Value = 0, take_up: Value = 0, waste: Value = 0
) -> Value:
    """Whole pieces that a warp of a given length gives.

    Parameters
    ----------
    warp_length : number or column [unit of length], > 0, <= 1e9
        Length of the warp.
    woven_length : number or column [unit of length], > 0, <= 1e9
        Length of one piece as woven, hems and headers included.
    between : number or column [unit of length], >= 0, <= 1e9, default 0
        Unwoven length between two pieces: fringes, or a gap to cut in.
    take_up : fraction or column, default 0
        Warp take-up, as a fraction of the warp's length.
    waste : number or column [unit of length], >= 0, <= 1e9, default 0
        Loom waste, which holds the fringes before the first and after the last piece.

    Returns
    -------
    whole
        Pieces.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: rounds down, since part of a piece is none; what the computer's rounding takes off a whole
    piece costs none.
    A warp that holds no whole piece, even one shorter than its waste, gives 0: that many come off it.

    Examples
    --------
    >>> pieces_from_warp(163.5, 30, between=2, take_up=0.08, waste=27)
    4

    References
    ----------
    [PRACTICE]; [D3883] take-up
    """
    # The warp, not the quotient, carries the dust: a long waste would hide it there.
    available = warp_length * (1 + DUST) - waste + between
    pieces = available / (woven_length / (1 - take_up) + between) // 1
    return pieces * (pieces > 0)


@formula
def warp_yarn(ends: Value, warp_length: Value) -> Value:
    """Length of yarn in a warp.

    Parameters
    ----------
    ends : whole or column [ends], >= 1, <= 1000000
        Ends in the warp.
    warp_length : number or column [unit of length], > 0, <= 1e9
        Length of the warp, take-up and waste included.

    Returns
    -------
    number [unit of length]
        Length of yarn, in the unit of the warp's length.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: as the arguments state. Nothing is added for knots or broken ends. Not rounded.

    Examples
    --------
    >>> warp_yarn(363, 4.5)
    1633.5

    References
    ----------
    [BROOKS] weight of warp
    """
    return ends * warp_length


@formula
def weft_yarn(
    woven_length: Value, weft_sett: Value, width: Value, take_up: Value = 0, tails: Value = 0
) -> Value:
    """Length of yarn that a piece takes as weft.

    Parameters
    ----------
    woven_length : number or column [unit of length], > 0, <= 1e9
        Length to weave.
    weft_sett : number or column [picks per unit], > 0, <= 10000
        Picks in one unit of the woven length.
    width : number or column [unit of length], > 0, <= 1e9
        Width in the reed, or width of the cloth; the take-up must match it.
    take_up : fraction or column, default 0
        With the width in the reed only the slack of the pick, with the cloth's width the whole weft take-up.
    tails : number or column [unit of length], >= 0, <= 1e9, default 0
        Length added once for the whole piece: ends of shuttle fillings, colour changes.

    Returns
    -------
    number [unit of length]
        Length of yarn, in the unit of the width: picks × width / (1 - take-up) + tails.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: length, width and sett in one unit; take-up from 0 to below 1. The picks are whole and
    round up, as the piece must reach its length. Draw-in is part of the take-up: the width in the reed
    with the whole take-up would count it twice. The yarn is not rounded.

    Examples
    --------
    >>> weft_yarn(30, 20, 15, tails=40)
    9040.0

    References
    ----------
    [BROOKS] weight of weft; [D3883] take-up
    """
    return whole_up(woven_length * weft_sett) * width / (1 - take_up) + tails


@formula
def frame_warp_yarn(ends: Value, frame_length: Value, tie: Value = 0) -> Value:
    """Length of yarn in a warp wound straight onto a frame with pegs or notches.

    Parameters
    ----------
    ends : whole or column [ends], >= 1, <= 1000000
        Ends, each running the frame one way.
    frame_length : number or column [unit of length], > 0, <= 1e9
        Length from peg to peg.
    tie : number or column [unit of length], >= 0, <= 1e9, default 0
        Length for tying on and off, once for the whole warp.

    Returns
    -------
    number [unit of length]
        Length of yarn: ends × frame length + tie.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: one thread to and fro round the pegs; the way round a peg is taken as nothing, so add
    the thickness of stout pegs to the frame length. Not rounded.

    Examples
    --------
    >>> frame_warp_yarn(61, 24, tie=12)
    1476.0

    References
    ----------
    [PRACTICE]
    """
    return ends * frame_length + tie


@row
def frame_usable_length(frame_length: Value, unweavable: Value, take_up: Value = 0) -> Value:
    """Length of cloth that a frame with pegs or notches gives.

    Parameters
    ----------
    frame_length : number or column [unit of length], > 0, <= 1e9
        Length from peg to peg.
    unweavable : number or column [unit of length], >= 0, <= 1e9
        Length that cannot be woven, both ends together: fringe, knots, the last shed.
    take_up : fraction or column, default 0
        Warp take-up, as a fraction of the warp's length.

    Returns
    -------
    number [unit of length]
        Woven length: (frame length - unweavable) × (1 - take-up).

    Raises
    ------
    WeaveError
        When a value lies outside its range, or nothing of the frame can be woven.

    Notes
    -----
    Valid range: unweavable below the frame length. The warp is fixed at both ends, so what the picks
    take up is lost to the cloth. Not rounded.

    Examples
    --------
    >>> round(frame_usable_length(24, 6, 0.05), 2)
    17.1

    References
    ----------
    [PRACTICE]; [D3883] take-up
    """
    if unweavable >= frame_length:
        raise WeaveError("unweavable", f"below the frame_length ({frame_length:.6g})", unweavable)
    return (frame_length - unweavable) * (1 - take_up)


@formula
def bouts(ends: Value, ends_per_bout: Value) -> Value:
    """Bouts to wind for a warp.

    Parameters
    ----------
    ends : whole or column [ends], >= 1, <= 1000000
        Ends in the warp.
    ends_per_bout : whole or column [ends], >= 1, <= 1000000
        Ends wound in one bout, or in one section of the beam.

    Returns
    -------
    whole
        Bouts.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: rounds up, since the ends left over need a bout of their own, narrower than the rest.

    Examples
    --------
    >>> bouts(363, 48)
    8

    References
    ----------
    [EXACT]
    """
    return -(-ends // ends_per_bout)


@formula
def warp_turns(warp_length: Value, turn_length: Value) -> Value:
    """How many turns of a warping mill, or passes of a warping board, a warp takes.

    Parameters
    ----------
    warp_length : number or column [unit of length], > 0, <= 1e9
        Length of the warp.
    turn_length : number or column [unit of length], > 0, <= 1e9
        Length of one turn round the mill, or of one pass across the board.

    Returns
    -------
    number
        Turns, with their fraction.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: as the arguments state. Not rounded: the whole turns are counted at the mill, and the
    fraction says how far into the next one the last peg is set. Rounding up would wind warp and yarn
    that nobody asked for; where pegs have fixed places, take the next one.

    Examples
    --------
    >>> warp_turns(6.5, 2)
    3.25

    References
    ----------
    [EXACT]
    """
    return warp_length / turn_length


@row
def yarn_to_buy(expected: Value, spread: Value, risk: Value = 0.05) -> Value:
    """Yarn to buy so that it runs out only with a chosen risk.

    Parameters
    ----------
    expected : number or column [unit of the amount], >= 0, <= 1e9
        Yarn that the plan expects to use, a length or a mass.
    spread : number or column, >= 0, <= 2
        How far past use strays, as spread gives it: standard deviation / mean; 5 % is 0.05.
    risk : fraction or column, > 0, <= 0.5, default 0.05
        Chance of running out that you accept; 0.05 is one piece in twenty.

    Returns
    -------
    number [unit of the amount]
        Yarn to buy: expected × (1 + z × spread), z the normal quantile of 1 - risk, 1.645 at 0.05.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: use that scatters about the expected amount by the normal law, with a spread well below
    1. A risk of 0.5 buys the expected amount; above it one would plan to run out, and a risk of 0 would
    take endless yarn: both are refused. A spread above 2 is far more likely a percentage. Not rounded.

    Examples
    --------
    >>> round(yarn_to_buy(1000, 0.1), 1)
    1164.5

    References
    ----------
    [EXACT] normal distribution
    """
    # Slow to load, and no other function of the module needs it.
    from statistics import NormalDist

    return expected * (1 - NormalDist().inv_cdf(risk) * spread)


@formula
def put_ups(needed: Value, put_up: Value) -> Value:
    """Whole put-ups (skeins, cones, balls) to buy for an amount of yarn.

    Parameters
    ----------
    needed : number or column [unit of the amount], >= 0, <= 1e9
        Yarn needed, a length or a mass.
    put_up : number or column [unit of the amount], > 0, <= 1e9
        Yarn in one put-up, in the same unit.

    Returns
    -------
    whole
        Put-ups.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: rounds up, since yarn is sold whole and one skein too few stops the loom; what the
    computer's rounding adds to a whole put-up counts as nothing. Nothing needed is 0 put-ups.

    Examples
    --------
    >>> put_ups(1633.5, 420)
    4

    References
    ----------
    [EXACT]
    """
    return whole_up(needed / put_up)


@formula
def left_over(needed: Value, put_up: Value) -> Value:
    """Yarn left over when an amount is bought in whole put-ups.

    Parameters
    ----------
    needed : number or column [unit of the amount], >= 0, <= 1e9
        Yarn needed, a length or a mass.
    put_up : number or column [unit of the amount], > 0, <= 1e9
        Yarn in one put-up, in the same unit.

    Returns
    -------
    number [unit of the amount]
        Yarn left over.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: from 0 to below one put-up; put-ups round up. Where the need fills them to within the
    computer's rounding nothing is left. Not rounded.

    Examples
    --------
    >>> left_over(1633.5, 420)
    46.5

    References
    ----------
    [EXACT]
    """
    left = whole_up(needed / put_up) * put_up - needed
    # Adding 0.0 turns the minus zero of a masked negative into a plain one.
    return left * (left > needed * DUST) + 0.0
