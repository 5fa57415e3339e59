"""The reed: which reed, how many ends in a dent, how wide; pegs and heddles."""

from __future__ import annotations

from weavefuncs._sley import FEWEST, MOST, NEAR, can_be_sleyed, dents_of, nearest_order, order_text
from weavefuncs.errors import WeaveError
from weavefuncs.registry import Value, formula, row
from weavefuncs.shared.reeds import REED_SYSTEMS


@row
def sley_order(sett: Value, dents: Value) -> Value:
    """How many ends to sley in each dent for a sett, such as 1-1-2.

    Parameters
    ----------
    sett : number or column [ends per unit], > 0, <= 10000
        Sett on the loom, per inch, centimetre or any other unit.
    dents : number or column [dents per unit], > 0, <= 10000
        Dents of the reed, per the same unit.

    Returns
    -------
    text
        Ends in each dent, small numbers first, spread as evenly as can be; 0 is an empty dent.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or the sett cannot be sleyed in that reed.

    Notes
    -----
    Valid range: from 1 end in 6 dents to 12 ends a dent; an error beyond.
    The shortest order whose sett is within 1 % of the one asked for. Orders
    have at most 12 dents; where none of those comes within 1 %, it is the
    nearest of them, never more than 5.9 % off (the widest gap lies between
    2 ends in 9 dents and 1 in 4) and, from an end a dent up, never more than
    4 %. ``sleyed_sett`` tells what the order gives.

    Examples
    --------
    >>> sley_order(15, 12)
    '1-1-1-2'
    >>> sley_order(24, 12)
    '2'
    >>> sley_order(6, 12)
    '0-1'

    References
    ----------
    [PRACTICE]; [EXACT]
    """
    ratio = sett / dents
    if not can_be_sleyed(ratio):
        raise WeaveError(
            "sett",
            f"from 1 end in 6 dents to 12 ends a dent, so from {dents * FEWEST:.6g} to {dents * MOST:.6g} "
            f"in a reed of {dents:.6g}",
            sett,
        )
    return order_text(nearest_order(ratio)[0])


@row
def sleyed_sett(order: Value, dents: Value) -> Value:
    """Sett that a sley order gives in a reed.

    Parameters
    ----------
    order : sley order or column
        Ends in each dent, over and over, such as 1-1-2; a lone 2 is two in every dent.
    dents : number or column [dents per unit], > 0, <= 10000
        Dents of the reed per inch, centimetre or any other unit.

    Returns
    -------
    number [ends per unit]
        Ends per the unit of the dents.

    Raises
    ------
    WeaveError
        When the order cannot be read, or the dents lie outside their range.

    Notes
    -----
    Valid range: 0 to 40 ends in a dent, at least one dent with an end; a
    larger number is refused, because a spreadsheet turns 1-1-2 into a date:
    format the cell as text, then type it.

    Examples
    --------
    >>> sleyed_sett("1-1-1-2", 12)
    15.0
    >>> sleyed_sett(3, 30)
    90.0

    References
    ----------
    [EXACT]; [TAYLOR]
    """
    return sum(order) * dents / len(order)


@row
def dents_needed(ends: Value, order: Value) -> Value:
    """Dents that a number of ends takes up in a sley order.

    Parameters
    ----------
    ends : whole or column, >= 1, <= 1000000
        Ends to sley.
    order : sley order or column
        Ends in each dent, over and over, such as 1-1-2.

    Returns
    -------
    whole [dents]
        Dents from the first of the order to the one that takes the last end.

    Raises
    ------
    WeaveError
        When the order cannot be read, or the ends lie outside their range.

    Notes
    -----
    Valid range: 1 to 1,000,000 ends. Exact where the ends stop within the
    order: its dents are counted until all ends are placed, a dent that is
    only partly filled counts whole, empty dents behind the last end do not.

    Examples
    --------
    >>> dents_needed(300, "1-1-1-2")
    240
    >>> dents_needed(301, "1-1-1-2")
    241

    References
    ----------
    [EXACT]
    """
    return dents_of(ends, order)


@row
def reed_width(ends: Value, order: Value, dents: Value) -> Value:
    """Width in the reed of a number of ends in a sley order.

    Parameters
    ----------
    ends : whole or column, >= 1, <= 1000000
        Ends to sley.
    order : sley order or column
        Ends in each dent, over and over, such as 1-1-2.
    dents : number or column [dents per unit], > 0, <= 10000
        Dents of the reed per inch, centimetre or any other unit.

    Returns
    -------
    number [unit of the dents]
        Width of the dents that the ends take up.

    Raises
    ------
    WeaveError
        When the order cannot be read, or a number lies outside its range.

    Notes
    -----
    Valid range: 1 to 1,000,000 ends. The dents are counted whole, as
    ``dents_needed`` does.

    Examples
    --------
    >>> reed_width(300, "1-1-1-2", 12)
    20.0

    References
    ----------
    [EXACT]
    """
    return dents_of(ends, order) / dents


@row
def best_reed(sett: Value, reeds: Value) -> Value:
    """Which of several reeds suits a sett best: the nearest with the evenest order.

    Parameters
    ----------
    sett : number or column [ends per unit], > 0, <= 10000
        Sett on the loom, per inch, centimetre or any other unit.
    reeds : list of numbers [dents per unit], > 0, <= 10000
        The reeds to choose from, each as its dents per the same unit.

    Returns
    -------
    number [dents per unit]
        Dents of the reed to take.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or the sett can be sleyed in none of the reeds.

    Notes
    -----
    Valid range: at least one reed in which the sett is from 1 end in 6 dents
    to 12 ends a dent; reeds outside are passed over. Each reed is judged by
    its ``sley_order``. Reeds within 1 % of the sett count as equally near;
    where there are none, the nearest is taken. Of equally near reeds it is
    the one whose order is evenest, that is, repeats after the fewest ends
    (1 and 0-1 after every end, 1-2 after three); then the nearest; then the
    one with the fewest dents in its order.

    Examples
    --------
    >>> best_reed(24, [10, 12, 15])
    12.0
    >>> best_reed(15, [8, 10, 12])
    10.0

    References
    ----------
    [PRACTICE]
    """
    best: tuple[tuple[float, int, float, int], Value] | None = None
    for dents in reeds:
        if not can_be_sleyed(sett / dents):
            continue
        order, off = nearest_order(sett / dents)
        # Rounded, lest the last digits of a division decide between reeds that are equally near.
        rank = round(max(off, NEAR), 9), sum(order), round(off, 9), len(order)
        if best is None or rank < best[0]:
            best = rank, dents
    if best is None:
        raise WeaveError(
            "reeds",
            "a list with a reed that takes the sett, from 1 end in 6 dents to 12 ends a dent: "
            f"{sett / MOST:.6g} to {sett / FEWEST:.6g} dents for a sett of {sett:.6g}",
            list(reeds),
        )
    return best[1]


@row
def reed_dents(number: Value, system: Value) -> Value:
    """Dents per inch of a reed that is numbered in a trade system.

    Parameters
    ----------
    number : number or column, > 0, <= 10000
        Number of the reed; Irish in hundreds, so 12 for a 1200 reed.
    system : {"Stockport", "Bolton", "Bradford", "Scotch", "Irish", "Huddersfield", "Radcliffe", "metric"} or column
        System of the number; metric is dents in 10 cm.

    Returns
    -------
    number [dents per inch]
        Dents per inch.

    Raises
    ------
    WeaveError
        When the number lies outside its range, or the system is not one of these.

    Notes
    -----
    Valid range: numbers above 0 and at most 10000. Stockport: dents in 2 in.
    Bolton: beers of 20 dents in 24 1/4 in. Bradford: beers of 20 dents in
    36 in. Scotch: dents in 37 in. Irish: hundreds of dents in 40 in.
    Huddersfield, Radcliffe: dents in 1 in. Metric: dents in 10 cm. Towns
    counted otherwise at other times: measure an old reed before you trust it.

    Examples
    --------
    >>> reed_dents(60, "Stockport")
    30.0
    >>> round(reed_dents(50, "metric"), 2)
    12.7

    References
    ----------
    [TAYLOR]; [BROOKS]; [TRAINING]; [MEMORY] for Huddersfield and Radcliffe
    """  # noqa: E501 - a type stands on one line
    dents, inches, _, _ = REED_SYSTEMS[system]
    return number * dents / inches


@formula
def peg_sett(pegs: Value, threads_per_peg: Value) -> Value:
    """Sett on a frame whose pegs or notches hold the warp.

    Parameters
    ----------
    pegs : number or column [pegs per unit], > 0, <= 10000
        Pegs or notches per inch, centimetre or any other unit.
    threads_per_peg : number or column, > 0, <= 100
        Ends that each peg adds to the width: 1 at a notch, 2 where the warp goes round a peg,
        0.5 where every second notch is used.

    Returns
    -------
    number [ends per unit]
        Ends per the unit of the pegs.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: pegs above 0 and at most 10000 per unit, threads above 0 and
    at most 100 a peg.

    Examples
    --------
    >>> peg_sett(4, 2)
    8.0

    References
    ----------
    [EXACT]
    """
    return pegs * threads_per_peg


@row
def heddles(threading: Value) -> Value:
    """Heddles that a threading takes on each shaft, from shaft 1 up.

    Parameters
    ----------
    threading : list of wholes, >= 0, <= 1000
        Shaft of each end, from end 1; 0 is an end on no shaft, such as a floating selvedge.

    Returns
    -------
    column of wholes
        Heddles on shaft 1, on shaft 2, and so on to the highest shaft.

    Raises
    ------
    WeaveError
        When a shaft lies outside its range, or no end is on a shaft.

    Notes
    -----
    Valid range: shafts 1 to 1000, with at least one end on a shaft. A shaft
    below the highest that carries no end is listed with 0 heddles.

    Examples
    --------
    >>> heddles([1, 2, 3, 4, 3, 2, 1])
    [2, 2, 2, 1]

    References
    ----------
    [EXACT]
    """
    highest = max(threading)
    if highest == 0:
        raise WeaveError("threading", "a list with at least one end on a shaft", list(threading))
    on_shaft = [0] * (highest + 1)
    for shaft in threading:
        on_shaft[shaft] += 1
    return on_shaft[1:]


@row
def heddles_on_shaft(threading: Value, shaft: Value, ends: Value) -> Value:
    """Heddles on one shaft when a threading is repeated over a number of ends.

    Parameters
    ----------
    threading : list of wholes, >= 0, <= 1000
        Shaft of each end in one repeat, from end 1; 0 is an end on no shaft.
    shaft : whole or column, >= 1, <= 1000
        The shaft to count.
    ends : whole or column, >= 1, <= 1000000
        Ends of the warp.

    Returns
    -------
    whole [heddles]
        Heddles on that shaft; 0 when the threading does not use it.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: shafts 1 to 1000, 1 to 1,000,000 ends. The repeat may stop
    anywhere, or be longer than the warp.

    Examples
    --------
    >>> heddles_on_shaft([1, 2, 3, 4], 1, 101)
    26

    References
    ----------
    [EXACT]
    """
    repeats, left = divmod(ends, len(threading))
    return repeats * threading.count(shaft) + threading[:left].count(shaft)
