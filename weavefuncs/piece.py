"""The whole piece: plans that come nearest, stripes that balance, and the spread of the yarn need."""

from __future__ import annotations

from math import gcd

from weavefuncs import _fit_words, _stripes
from weavefuncs._colour_order import LONGEST_TEXT, parse_colour_order
from weavefuncs._fit_choices import Asked
from weavefuncs._limits import MOST_ENDS
from weavefuncs._lists import side_by_side
from weavefuncs.errors import WeaveError
from weavefuncs.registry import Value, formula, row, row_like


@row
def fit_piece(
    width: Value,
    length: Value,
    weave: Value,
    dents: Value,
    sett: Value,
    weft_sett: Value = 0,
    reversals: Value = "",
    repeat: Value = 1,
    balance: Value = 0,
    parity: Value = "any",
    sley: Value = "",
    spaced_by: Value = "reed",
    floating_selvedge: Value = False,
    first_side: Value = "either",
    shrink_length: Value = 0,
    shrink_width: Value = 0,
    draw_in: Value = 0,
    take_up: Value = 0,
    slack: Value = 0,
    pieces: Value = 1,
    more_woven: Value = 0,
    unwoven: Value = 0,
    frame_length: Value = 0,
    warp_free: Value = 0,
    weft_free: Value = 0,
    float_limit: Value = 0,
    loom_width: Value = 0,
    any_row: Value = False,
    width_tolerance: Value = 0.05,
    length_tolerance: Value = 0.05,
    sett_tolerance: Value = 0.1,
    rows_tolerance: Value = 0.25,
    longest_order: Value = 4,
    plans: Value = 5,
) -> Value:
    """Plans for a whole piece that come nearest to what is asked, best first, each with its reason.

    Parameters
    ----------
    width : number [unit of length], > 0, <= 1e9
        Width wanted, finished; with no shrinkage and no draw-in given it is the width on the loom.
    length : number [unit of length], > 0, <= 1e9
        Length wanted, finished and without hems; with no shrinkage given it is the length on the loom.
    weave : weave
        Weave, such as 2/2 twill, or its grid.
    dents : number [dents per unit], > 0, <= 10000
        Dents of the reed, or pegs of the frame, per unit of length.
    sett : number [ends per unit], > 0, <= 10000
        Sett wanted, on the loom.
    weft_sett : number [picks per unit], >= 0, <= 10000, default 0
        Picks per unit, on the loom; 0 for as many as the sett wanted.
    reversals : reversals, default ""
        Rows woven each way before the weave turns, such as 9,9; blank never turns. Legs that are alike may
        come out longer or shorter.
    repeat : whole [ends], >= 1, <= 1000000, default 1
        Ends of one complete repeat of the pattern.
    balance : whole [ends], >= 0, <= 1000000, default 0
        Ends after the last repeat that close the pattern.
    parity : {"any", "odd", "even"}, default "any"
        Whether the ends must be odd or even, floating selvedges not counted.
    sley : any, default ""
        Ends in each dent, such as 1-1-2, where it must be that; blank for all that come near the sett.
    spaced_by : {"reed", "pegs"}, default "reed"
        Whether a reed spaces the warp, in whole dents, or the pegs of a frame.
    floating_selvedge : logical, default False
        Whether an end on no shaft hangs at each edge, two ends more in dents of their own.
    first_side : {"either", "left", "right"}, default "either"
        Side of the first pick, where it is settled.
    shrink_length : fraction, default 0
        Shrinkage in length, as a fraction of the woven length.
    shrink_width : fraction, default 0
        Shrinkage in width, as a fraction of the woven width.
    draw_in : fraction, default 0
        Draw-in at the loom, as a fraction of the width in the reed.
    take_up : fraction, default 0
        Warp take-up, as a fraction of the warp's length.
    slack : fraction, default 0
        Weft slack, as a fraction of the weft, beyond the width in the reed.
    pieces : whole, >= 1, <= 1000000, default 1
        Pieces on the warp.
    more_woven : number [unit of length], >= 0, <= 1e9, default 0
        Length woven besides, once for the whole warp: hems, headers, a sample.
    unwoven : number [unit of length], >= 0, <= 1e9, default 0
        Length that is not woven, once for the whole warp: fringes and loom waste.
    frame_length : number [unit of length], >= 0, <= 1e9, default 0
        Length of a frame from peg to peg, which the warp then has; 0 for a warp as long as it must be.
    warp_free : number [unit of length], >= 0, <= 1e9, default 0
        Yarn there is for the warp; where warp_free and weft_free are both left out, no stash is looked at.
    weft_free : number [unit of length], >= 0, <= 1e9, default 0
        Yarn there is for the weft.
    float_limit : number [unit of length], >= 0, <= 1e9, default 0
        Longest float wanted, on the loom; 0 for any.
    loom_width : number [unit of length], >= 0, <= 1e9, default 0
        Widest warp that the loom takes, with its floating selvedges; 0 for any.
    any_row : logical, default False
        Whether the piece may end on any row, and not only with a whole chevron.
    width_tolerance : fraction, > 0, <= 0.5, default 0.05
        How far the width may be off, as a share of it.
    length_tolerance : fraction, > 0, <= 0.5, default 0.05
        How far the length may be off, as a share of it.
    sett_tolerance : fraction, > 0, <= 0.5, default 0.1
        How far the sett may be off, as a share of it; a sley that is given is taken as it is.
    rows_tolerance : fraction, > 0, <= 0.9, default 0.25
        How far the rows of a leg may be off, as a share of them, and by ten rows at most.
    longest_order : whole [dents], >= 1, <= 12, default 4
        Dents of the longest sley order to look at.
    plans : whole, >= 1, <= 100, default 5
        Plans to give.

    Returns
    -------
    table
        A row for each plan: sley, side, edges, stash, ends, repeats, legs, rows, sizes, float, angle, yarn,
        reason.

    Raises
    ------
    WeaveError
        When a value lies outside its range, no plan lies within the tolerances, or too many do to compare.

    Notes
    -----
    Valid range: as the arguments state; lengths and setts in one unit. A plan is a sley, a number of ends
    (whole repeats and the balance), rows a leg, a number of rows (whole chevrons, the last row repeating
    the first; whole rounds where the legs differ, an odd number of legs being gone through twice, so that
    4,3,2 makes rounds of 18 rows) and the side of the first pick. All plans within the tolerances are
    looked at, sley orders as evenly spread as can be; with any_row the rows a leg stay as asked. Fewest
    faults come first: an edge end not caught at some turn with no floating selvedge, a float over the
    limit, a stash that falls short, each one fault. Then the least deviation: the shares by which width
    and length are off, and a quarter of those by which sett and rows a leg are. Then the nearer sett, more
    ends (they fill the last dent), more rows, shorter legs, the shorter order. Of both sides it is the
    one with fewer turns not caught, or the left. The best plan of each sley and rows a leg has a place before
    a second one of any; what has a place is listed by the same rules. What the loom or the frame does not
    hold is left out.

    The columns: sley; side of the first pick; edges (caught, not caught, floating selvedge); stash
    (covers it, short of warp, of weft, of both; blank where none is given); ends without floating
    selvedges; repeats; rows a leg (blank where legs are not alike); legs; rows; finished width and by
    how much it is off; finished length and by how much; the longest float in threads and in length on
    the loom; angle of a line that moves an end a pick; yarn of warp and weft, the floating selvedges
    wound with the warp and crossed by the weft; the reason. Warp and weft off one lot: part it between
    them. Estimates until a sample is woven and washed.

    Examples
    --------
    >>> plan = fit_piece(45, 73, "2/2 twill", 4, 4, 4.5, "9,9", parity="odd", spaced_by="pegs")[0]
    >>> plan[4], plan[6:9]
    (181, [9, 36, 323])

    References
    ----------
    [PRACTICE]; [EXACT]
    """
    return _fit_words.table(Asked(locals()))


@row_like(fit_piece)
def fit_code(asked: dict[str, Value]) -> Value:
    """Plans for a whole piece as one text of fixed fields, for cells that cut it up.

    Parameters
    ----------
    Those of fit_piece.

    Returns
    -------
    text
        The plans of fit_piece, one behind the other, each field at a place of its own.

    Raises
    ------
    WeaveError
        When a value lies outside its range, no plan lies within the tolerances, too many do to compare, or
        the plans are too many for a cell.

    Notes
    -----
    Valid range: that of fit_piece, and no more plans than fit into the 32,767 characters of a cell: 48.
    Characters of the fields, in the order of its columns: sley 1-80, side 81-85, edges 86-102, stash
    103-115, ends 116-123, repeats 124-131, rows a leg 132-139, legs 140-147, rows 148-155, width 156-169,
    width off 170-183, length 184-197, length off 198-211, float 212-219, float length 220-233, angle
    234-241, warp yarn 242-257, weft yarn 258-273, reason 274-673. Texts are filled up with blanks, or end
    with … where they are too long; what is blank is blanks. Numbers are filled up with zeros and are
    whole, so that they are read alike with a decimal point and a decimal comma: lengths in thousandths,
    the angle in thousandths of a degree, yarn in hundredths. A full stop ends each plan of 674 characters.

    Examples
    --------
    >>> text = fit_code(45, 73, "2/2 twill", 4, 4, 4.5, "9,9", parity="odd", spaced_by="pegs")
    >>> int(text[115:123]), int(text[131:139])
    (181, 9)

    References
    ----------
    [EXACT]
    """
    return _fit_words.code(Asked(asked))


@row
def stripe_ends(
    widths: Value,
    colours: Value,
    sett: Value,
    ends: Value = 0,
    times: Value = 1,
    balanced: Value = False,
    repeat: Value = 1,
    ends_a_dent: Value = 1,
) -> Value:
    """Warp stripes of whole dents and repeats that come nearest to the widths wanted, as a colour order.

    Parameters
    ----------
    widths : list of numbers [unit of length], > 0, <= 1e9
        Width wanted of each stripe, from the left.
    colours : list of texts
        Colour of each stripe.
    sett : number [ends per unit], > 0, <= 10000
        Ends per unit of the widths.
    ends : whole [ends], >= 0, <= 1000000, default 0
        Ends of the whole warp, which the stripes then share in the proportion of their widths; 0 for any.
    times : whole, >= 1, <= 1000000, default 1
        How often the stripes follow each other.
    balanced : logical, default False
        Whether the first stripe stands once more at the end, so that both edges look alike.
    repeat : whole [ends], >= 1, <= 1000000, default 1
        Ends of one repeat of the weave; a stripe has whole repeats.
    ends_a_dent : whole [ends], >= 1, <= 40, default 1
        Ends in a dent; a stripe has whole dents.

    Returns
    -------
    text
        Ends and colour of each stripe, such as (12 white, 4 blue) x 6, 12 white.

    Raises
    ------
    WeaveError
        When a value lies outside its range, there are not as many colours as widths, or the stripes
        cannot come to the ends.

    Notes
    -----
    Valid range: at least one stripe, two where the warp is balanced, and a text of at most 4000
    characters. Each stripe has as many ends as the least number that is whole dents and whole repeats,
    or a multiple of it. With no ends given each stripe takes the multiple nearest to its width, one at
    least, a half rounded up. With ends given, of all ways to come to just that many it is the one whose
    stripe furthest from its width is nearest to it; of these the one with the least sum of squared
    deviations; then the first stripe, and then those before others, have more.

    Examples
    --------
    >>> stripe_ends([2, 0.5], ["white", "blue"], 12, times=6, balanced=True, ends_a_dent=2)
    '(24 white, 6 blue) x 6, 24 white'
    >>> stripe_ends([3, 1, 2], ["ecru", "plum", "slate"], 12, ends=100, repeat=4)
    '52 ecru, 16 plum, 32 slate'

    References
    ----------
    [PRACTICE]; [EXACT]
    """
    side_by_side(widths=widths, colours=colours)
    if balanced and len(widths) == 1:
        raise WeaveError("widths", "those of two stripes or more where the warp is balanced", list(widths))
    for number, colour in enumerate(colours, start=1):
        _check_colour(number, colour)
    step = repeat * ends_a_dent // gcd(repeat, ends_a_dent)
    closing = 1 if balanced else 0
    wanted = tuple(width * sett / step for width in widths)
    if ends:
        # The sett says nothing where the ends are given, and may be too small to divide by.
        scale = ends / step / (times * sum(widths) + closing * widths[0])
        steps = []
        if ends % step == 0:
            steps = _stripes.shared(
                tuple(scale * width for width in widths), times, times + closing, ends // step
            )
        if not steps:
            raise WeaveError(
                "ends",
                f"such that {len(widths)} stripes of {step} ends or a multiple of it come to just that many",
                ends,
            )
    else:
        steps = _stripes.nearest(wanted)
        total = step * (times * sum(steps) + closing * steps[0])
        if total > MOST_ENDS:
            raise WeaveError(
                "widths", f"such that the warp has at most {MOST_ENDS:,} ends, not {total:,}", list(widths)
            )
    stripes = [f"{step * count} {colour}" for count, colour in zip(steps, colours)]
    order = ", ".join(stripes)
    if times > 1:
        order = f"({order}) x {times}"
    if balanced:
        order += f", {stripes[0]}"
    if len(order) > LONGEST_TEXT:
        raise WeaveError("widths", f"few enough for a colour order of {LONGEST_TEXT} characters", len(widths))
    return order


def _check_colour(number: int, colour: str) -> None:
    try:
        known = parse_colour_order("colour", f"1 {colour}").colours
    except WeaveError:
        known = ()
    if known != (" ".join(colour.split()),):
        raise WeaveError(
            f"colours[{number}]",
            "a colour that begins with a letter or #, without commas or brackets",
            colour,
        )


@formula
def need_spread(
    first: Value, second: Value = 0, third: Value = 0, fourth: Value = 0, fixed: Value = 0
) -> Value:
    """Spread of the yarn need from the spreads of what it is multiplied from, such as length, sett and width.

    Parameters
    ----------
    first : number or column, >= 0, <= 2
        How far one factor strays, as spread gives it: standard deviation / mean; 5 % is 0.05.
    second : number or column, >= 0, <= 2, default 0
        That of another factor; 0 for one that does not stray.
    third : number or column, >= 0, <= 2, default 0
        That of a third.
    fourth : number or column, >= 0, <= 2, default 0
        That of a fourth.
    fixed : fraction or column, default 0
        Share of the need that does not stray: loom waste and fringes.

    Returns
    -------
    number
        Spread of the need: (1 - fixed) × √(product of all (1 + v²) - 1), v the spread of each factor.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: factors that stray independently of each other, by whatever law; then it is exact, since
    mean and mean square of a product are the products of those of its factors. Factors that stray together,
    as take-up and draw-in of one beat do, give more. A factor that divides, 1 / (1 - take-up), is a
    factor of its own: where the take-up t strays by s (a standard deviation, as a share of the warp),
    its coefficient is s / (1 - t) to first order, a little more in truth. Not rounded.

    Examples
    --------
    >>> round(need_spread(0.03, 0.04), 5)
    0.05001
    >>> round(need_spread(0.03, 0.04, fixed=0.2), 5)
    0.04001

    References
    ----------
    [EXACT] variance of a product of independent factors
    """
    # Product - 1, worked out without the 1 that small squares would be lost in.
    less_one = first**2
    for factor in (second, third, fourth):
        less_one = less_one + factor**2 + less_one * factor**2
    return (1 - fixed) * less_one**0.5


@row
def yarn_at_least(expected: Value, spread: Value, risk: Value = 0.05) -> Value:
    """Yarn that a piece takes at least, but for a chosen risk: the low end where yarn_to_buy is the high.

    Parameters
    ----------
    expected : number or column [unit of the amount], >= 0, <= 1e9
        Yarn that the plan expects to use, a length or a mass.
    spread : number or column, >= 0, <= 2
        How far the need strays, as spread gives it: standard deviation / mean; 5 % is 0.05.
    risk : fraction or column, > 0, <= 0.5, default 0.05
        Chance that a piece takes less; 0.05 is one piece in twenty.

    Returns
    -------
    number [unit of the amount]
        Least need: expected × (1 - z × spread), z the normal quantile of 1 - risk, 1.645 at 0.05.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or the spread is so wide that the least need is below nothing.

    Notes
    -----
    Valid range: use that scatters about the expected amount by the normal law, with a spread well below
    1. From here to yarn_to_buy lie all pieces but one risk below and one above: nine in ten at 0.05. A need
    that is a product leans towards more: with spreads of 5 % and less the risk is right to half a
    percentage point. Not rounded.

    Examples
    --------
    >>> round(yarn_at_least(1000, 0.1), 1)
    835.5

    References
    ----------
    [EXACT] normal distribution
    """
    # Slow to load, and no other function of the module needs it.
    from statistics import NormalDist

    share = 1 + NormalDist().inv_cdf(risk) * spread
    if share < 0:
        raise WeaveError("spread", "small enough for the risk: the least need would be below nothing", spread)
    return expected * share
