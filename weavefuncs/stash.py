"""The stash: what is left, whether it covers a piece, and what it is worth."""

from __future__ import annotations

from weavefuncs._rounding import DUST
from weavefuncs.errors import WeaveError
from weavefuncs.registry import Value, formula, row


@row
def length_left(
    weighed: Value, tare: Value, yarn: Value, mass_unit: Value = "g", length_unit: Value = "m"
) -> Value:
    """Length of yarn left on a cone, tube or bobbin, from its weight.

    Parameters
    ----------
    weighed : number or column [mass_unit], >= 0, <= 1e9
        Weight of the yarn together with what it is wound on.
    tare : number or column [mass_unit], >= 0, <= 1e9
        Weight of the empty cone, tube or bobbin; 0 for a ball or skein.
    yarn : yarn or column
        Yarn with its system, such as 8/2 Ne.
    mass_unit : mass unit or column, default "g"
        Unit of both weights, such as g or oz.
    length_unit : length unit or column, default "m"
        Unit of the length, such as m or yd.

    Returns
    -------
    number [length_unit]
        Length of yarn left.

    Raises
    ------
    WeaveError
        When a value lies outside its range, the yarn has no system, or what was weighed is lighter than
        its tare.

    Notes
    -----
    Valid range: weighed at least the tare; equal weights leave 0, less is an error, not a length. Yarn
    numbers are nominal and yarn takes up moisture, so a few per cent off is usual. Not rounded.

    Examples
    --------
    >>> length_left(230, 30, "400 m/100 g")
    800.0

    References
    ----------
    [UNITS] yarn section; [EXACT]
    """
    if weighed < tare * (1 - DUST):
        raise WeaveError("weighed", f"at least the tare ({tare:.6g})", weighed)
    return max(weighed - tare, 0.0) * mass_unit * 1000 / yarn / length_unit


@formula
def short_by(needed: Value, have: Value) -> Value:
    """Yarn that is missing.

    Parameters
    ----------
    needed : number or column [unit of the amount], >= 0, <= 1e9
        Yarn needed, a length or a mass.
    have : number or column [unit of the amount], >= 0, <= 1e9
        Yarn there is, in the same unit.

    Returns
    -------
    number [unit of the amount]
        What is missing; 0 where there is enough.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: as the arguments state. What is short by the computer's rounding alone is enough, and then
    0 is missing; what is left over is not told. Not rounded.

    Examples
    --------
    >>> short_by(1200, 1080)
    120.0

    References
    ----------
    [EXACT]
    """
    missing = needed - have
    # Adding 0.0 turns the minus zero of a masked negative into a plain one.
    return missing * (missing > needed * DUST) + 0.0


@formula
def covers(needed: Value, have: Value, spare: Value = 0) -> Value:
    """Whether the yarn there is covers what is needed: 1 when it does, 0 when not.

    Parameters
    ----------
    needed : number or column [unit of the amount], >= 0, <= 1e9
        Yarn needed, a length or a mass.
    have : number or column [unit of the amount], >= 0, <= 1e9
        Yarn there is, in the same unit.
    spare : fraction or column, default 0
        Share of the need to hold in hand beyond it; leave it out where the need has its allowance already.

    Returns
    -------
    whole
        1 when there is at least needed × (1 + spare), else 0.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: spare from 0 to below 1, a share and not a length. What is short by the computer's rounding
    alone is enough. Put-ups and dye lots are not looked at.

    Examples
    --------
    >>> covers(1000, 1080), covers(1000, 1080, spare=0.1)
    (1, 0)

    References
    ----------
    [PRACTICE]
    """
    return (have >= needed * (1 + spare) * (1 - DUST)) * 1


@formula
def stash_value(length_left: Value, put_up_length: Value, put_up_price: Value) -> Value:
    """What the yarn that is left would cost to buy again.

    Parameters
    ----------
    length_left : number or column [unit of length], >= 0, <= 1e9
        Length left.
    put_up_length : number or column [unit of length], > 0, <= 1e9
        Length of one full put-up, in the same unit.
    put_up_price : number or column [money], >= 0, <= 1e9
        Price of one put-up today.

    Returns
    -------
    number [money]
        Value: length left / put-up length × price.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: as the arguments state. At the price of today, as the yarn must be replaced. Not rounded.

    Examples
    --------
    >>> stash_value(800, 400, 9.5)
    19.0

    References
    ----------
    [MP598] materials at replacement cost; [EXACT]
    """
    return length_left / put_up_length * put_up_price
