"""Chevrons: twill lines that turn after a whole number of rows, or of ends."""

from __future__ import annotations

from weavefuncs._limits import MOST_ENDS
from weavefuncs._rounding import whole_down
from weavefuncs.errors import WeaveError
from weavefuncs.registry import Value, formula, row

MOST_ROWS = 10_000_000

# Of eight figures at most each, so many rows fit into the 32,767 characters of a cell.
MOST_REVERSALS = 3000


@row
def chevron_rows(rows_up: Value, legs: Value = 2, symmetrical: Value = False) -> Value:
    """Rows of a chevron of so many legs.

    Parameters
    ----------
    rows_up : whole or column [rows], >= 1, <= 10000000
        Rows in one leg, the same up and down.
    legs : whole or column, >= 1, <= 10000000, default 2
        Legs, up and down together.
    symmetrical : logical or column, default False
        Whether the last row repeats the first, for a piece that stands on its own.

    Returns
    -------
    whole [rows]
        Rows: legs × rows_up, one less where the piece is symmetrical.

    Raises
    ------
    WeaveError
        When a value lies outside its range, an odd number of legs is to be symmetrical, or the piece
        would have more than ten million rows.

    Notes
    -----
    Valid range: a leg of one row or more; the eye wants three at least. Two legs repeat without a seam,
    peak and valley each woven once; the row left off a symmetrical piece is the one that would begin
    the next repeat. It ends where it began only on an even number of legs.

    Examples
    --------
    >>> chevron_rows(9, legs=4)
    36
    >>> chevron_rows(9, legs=4, symmetrical=True)
    35

    References
    ----------
    [PRACTICE]
    """
    if symmetrical and legs % 2:
        raise WeaveError("legs", "even where the piece is symmetrical", legs)
    rows = legs * rows_up - (1 if symmetrical else 0)
    if rows > MOST_ROWS:
        raise WeaveError("legs", f"such that the piece has at most {MOST_ROWS:,} rows, not {rows:,}", legs)
    return rows


@formula
def chevron_rows_left(rows_woven: Value, rows_up: Value) -> Value:
    """Rows still to weave until the leg under way is whole.

    Parameters
    ----------
    rows_woven : whole or column [rows], >= 0, <= 10000000
        Rows woven since the chevron began.
    rows_up : whole or column [rows], >= 1, <= 10000000
        Rows in one leg, the same up and down.

    Returns
    -------
    whole [rows]
        Rows left; 0 at a turn, where every leg begun is whole.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: as the arguments state. Before the first row no leg is under way, so none is left.

    Examples
    --------
    >>> chevron_rows_left(14, 9)
    4

    References
    ----------
    [EXACT]
    """
    return -rows_woven % rows_up


@formula
def chevron_position(row: Value, rows_up: Value) -> Value:
    """Position of a chevron's row: by how many ends it is moved from row 1.

    Parameters
    ----------
    row : whole or column, >= 1, <= 10000000
        Number of the row, counted from 1 at the bottom.
    rows_up : whole or column [rows], >= 1, <= 10000000
        Rows in one leg, the same up and down.

    Returns
    -------
    whole [ends]
        Position: 0 on row 1, one more a row going up, one less going down.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: as the arguments state. No row is woven twice at a turn: with legs of 9, rows 1 to 9
    stand at 0 to 8, rows 10 to 18 at 7 down to -1, row 19 at 0 again. A position of the other sign is
    a move to the other side.

    Examples
    --------
    >>> chevron_position([1, 9, 10, 18, 19], 9)
    [0, 8, 7, -1, 0]

    References
    ----------
    [EXACT]
    """
    peak = rows_up - 1
    return peak - abs((row - 1) % (2 * rows_up) - peak)


@row
def reversal_rows(rows_up: Value, rows: Value) -> Value:
    """Rows after which the direction of a chevron changes.

    Parameters
    ----------
    rows_up : whole or column [rows], >= 1, <= 10000000
        Rows in one leg, the same up and down.
    rows : whole or column [rows], >= 1, <= 10000000
        Rows in the piece.

    Returns
    -------
    text
        Numbers of the rows, such as 9, 18, 27; none where the piece never turns.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or the piece turns more than 3000 times.

    Notes
    -----
    Valid range: up to 3000 turns, so that the text fits into one cell of a spreadsheet. A leg that is
    whole on the last row turns no more: no row follows it.

    Examples
    --------
    >>> reversal_rows(9, 30)
    '9, 18, 27'
    >>> reversal_rows(9, 9)
    'none'

    References
    ----------
    [EXACT]
    """
    turns = (rows - 1) // rows_up
    if turns > MOST_REVERSALS:
        raise WeaveError("rows", f"few enough for at most {MOST_REVERSALS} turns, not {turns}", rows)
    return ", ".join(str(turn * rows_up) for turn in range(1, turns + 1)) or "none"


@row
def chevron_fit(length: Value, weft_sett: Value, rows_up: Value, symmetrical: Value = True) -> Value:
    """Whole legs of a chevron that fit into a length, and what is left over.

    Parameters
    ----------
    length : number or column [unit of length], > 0, <= 1e9
        Length that the chevron may fill.
    weft_sett : number or column [picks per unit], > 0, <= 10000
        Picks in one unit of the length.
    rows_up : whole or column [rows], >= 1, <= 10000000
        Rows in one leg, the same up and down.
    symmetrical : logical or column, default True
        Whether the last row repeats the first: an even number of legs, less one row.

    Returns
    -------
    text
        Legs, rows, length, and what is left over in length and in whole rows.

    Raises
    ------
    WeaveError
        When a value lies outside its range, not even two legs fit, or the length holds more than ten
        million rows.

    Notes
    -----
    Valid range: two legs or more, since one alone never turns. Legs round down, so the chevron is never
    longer than the length; what the computer's rounding takes off a whole row costs none. Lengths are
    written to three decimals.

    Examples
    --------
    >>> chevron_fit(5, 12, 9)
    '6 legs of 9 rows: 53 rows, length 4.417; left over 0.583 (7 rows)'
    >>> chevron_fit(5, 12, 9, symmetrical=False)
    '6 legs of 9 rows: 54 rows, length 4.5; left over 0.5 (6 rows)'

    References
    ----------
    [PRACTICE]
    """
    available = int(whole_down(length * weft_sett))
    if available > MOST_ROWS:
        raise WeaveError(
            "length", f"such that it holds at most {MOST_ROWS:,} rows, not {available:,}", length
        )
    legs = (available + 1) // (2 * rows_up) * 2 if symmetrical else available // rows_up
    if legs < 2:
        fewest = 2 * rows_up - (1 if symmetrical else 0)
        raise WeaveError("length", f"enough for two legs, {fewest} rows (it holds {available})", length)
    rows = legs * rows_up - (1 if symmetrical else 0)
    woven = rows / weft_sett
    return (
        f"{legs} legs of {_rows(rows_up)}: {_rows(rows)}, length {_decimals(woven)}; "
        f"left over {_decimals(max(length - woven, 0.0))} ({_rows(available - rows)})"
    )


def _rows(count: int) -> str:
    return "1 row" if count == 1 else f"{count} rows"


def _decimals(length: float) -> str:
    return f"{length:.3f}".rstrip("0").rstrip(".")


@row
def chevron_rows_for(length: Value, weft_sett: Value, legs: Value) -> Value:
    """Rows a leg with which so many legs come nearest to a length.

    Parameters
    ----------
    length : number or column [unit of length], > 0, <= 1e9
        Length that the legs should fill.
    weft_sett : number or column [picks per unit], > 0, <= 10000
        Picks in one unit of the length.
    legs : whole or column, >= 1, <= 10000000
        Legs, up and down together.

    Returns
    -------
    whole [rows]
        Rows in one leg.

    Raises
    ------
    WeaveError
        When a value lies outside its range, the legs would have no row each, or more than ten million.

    Notes
    -----
    Valid range: half a row a leg or more. Rounds to the nearest whole row, halves up, so the legs
    together may be shorter or longer than the length by half a row each. The row that a symmetrical
    piece leaves off is not counted here.

    Examples
    --------
    >>> chevron_rows_for(5, 12, 6)
    10

    References
    ----------
    [EXACT]
    """
    exact = length * weft_sett / legs
    rows_up = int(whole_down(exact + 0.5))
    if rows_up < 1:
        raise WeaveError("legs", f"few enough for a row each: the length holds {exact:.4g} a leg", legs)
    if rows_up > MOST_ROWS:
        raise WeaveError("length", f"such that a leg has at most {MOST_ROWS:,} rows, not {rows_up:,}", length)
    return rows_up


@formula
def chevron_height(rows_up: Value, weft_sett: Value) -> Value:
    """Height of one leg of a chevron.

    Parameters
    ----------
    rows_up : whole or column [rows], >= 1, <= 10000000
        Rows in one leg.
    weft_sett : number or column [picks per unit], > 0, <= 10000
        Picks in one unit of length, on the loom or finished.

    Returns
    -------
    number [unit of length]
        Height, on the loom or finished as the weft sett is.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: as the arguments state. Each row counts once, with the space to the next. Not rounded.

    Examples
    --------
    >>> chevron_height(9, 12)
    0.75

    References
    ----------
    [EXACT]
    """
    return rows_up / weft_sett


@row
def point_ends(ends_per_leg: Value, points: Value) -> Value:
    """How many ends a pointed threading takes, for chevrons across the warp.

    Parameters
    ----------
    ends_per_leg : whole or column [ends], >= 2, <= 1000000
        Ends of one leg with the ends at both its points.
    points : whole or column, >= 1, <= 1000000
        Ends at which the threading turns, peaks and valleys together.

    Returns
    -------
    whole [ends]
        Ends: (points + 1) × ends_per_leg - points.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or the warp would have more than a million ends.

    Notes
    -----
    Valid range: one point or more. Two legs meet on a single end, which belongs to both and is counted
    once: four shafts threaded 1 2 3 4 3 2 1 are two legs of 4 with one point, 7 ends. An odd number of
    points makes an even number of legs, which begins and ends alike. This is the pointed threading,
    not the broken one of a herringbone, whose legs share no end.

    Examples
    --------
    >>> point_ends(4, 1)
    7

    References
    ----------
    [PRACTICE]
    """
    total = (points + 1) * ends_per_leg - points
    if total > MOST_ENDS:
        raise WeaveError(
            "points", f"such that the warp has at most {MOST_ENDS:,} ends, not {total:,}", points
        )
    return total
