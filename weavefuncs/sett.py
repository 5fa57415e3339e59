"""Setts: how close threads lie, by wraps, by diameters, by float, and after finishing."""

from __future__ import annotations

from math import atan2, degrees, radians, tan

from weavefuncs._diameters import diameters_per_inch
from weavefuncs._parameters import plain_number
from weavefuncs.errors import WeaveError
from weavefuncs.registry import Value, formula, row
from weavefuncs.shared.float_exponents import FLOAT_EXPONENTS
from weavefuncs.shared.yarn_systems import YARN_SYSTEMS

TYPE_CHECKING = False
if TYPE_CHECKING:
    from weavefuncs._structure import Weave

BY_WEAVE = "by weave"

# The widest range of setts that any function here takes.
MOST_SETT = 10000.0


def _interlacing(argument: str, weave: Weave) -> tuple[float, float]:
    """Return R and I: the ends in a repeat, and how often a pick changes side across them."""
    intersections = weave.changes("weft")
    if intersections == 0:
        raise WeaveError(argument, "a weave whose weft changes sides", weave.shown())
    return float(weave.ends), intersections


def _closeness(argument: str, weave: Weave) -> float:
    """Return R/(R + I): the share of the room that the ends have to themselves."""
    ends, intersections = _interlacing(argument, weave)
    return ends / (ends + intersections)


@row
def sett_from_wraps(wraps: Value, weave: Value, firmness: Value = 1) -> Value:
    """Sett of a weave from the wraps of its yarn.

    Parameters
    ----------
    wraps : number or column [per unit of length], > 0, <= 10000
        Wraps of the yarn side by side in an inch or a centimetre.
    weave : weave or column
        Weave, such as plain or 2/2 twill, or its grid.
    firmness : number or column, > 0, <= 2, default 1
        1 is the common start, half the wraps in plain weave; less for a cloth that drapes.

    Returns
    -------
    number [ends per unit of length]
        Ends in the same unit of length as the wraps.

    Raises
    ------
    WeaveError
        When an argument lies outside its range, or the weft never changes sides.

    Notes
    -----
    Valid range: wraps above 0 and at most 10000, firmness above 0 and at most
    2; refused outside. The wraps are multiplied by R/(R + I), R ends and I
    intersections in a repeat: half for plain weave, two thirds for 2/2 twill.
    Wraps counted by hand are fewer than the diameters that lie side by side,
    so 1 is the common start here, where sett_from_diameters gives the closest
    sett at 1 and a working sett at 0.75: common practice, no source. Warp and
    weft are taken as alike. An estimate until a sample is woven and washed.
    Not rounded.

    Examples
    --------
    >>> sett_from_wraps(24, "plain")
    12.0
    >>> sett_from_wraps(24, "2/2 twill", 0.75)
    12.0

    References
    ----------
    [TAYLOR] intersections; [ASHENHURST]; [PRACTICE]
    """
    return wraps * _closeness("weave", weave) * firmness


@row
def sett_from_diameters(
    yarn: Value, weave: Value, constant: Value = 0.9, firmness: Value = 1, per: Value = "in"
) -> Value:
    """Closest sett of a weave, from its yarn by Ashenhurst's diameters; 0.75 of it is a working sett.

    Parameters
    ----------
    yarn : yarn or column
        Yarn of warp and weft with its system, such as 8/2 Ne.
    weave : weave or column
        Weave, such as plain or 2/2 twill, or its grid.
    constant : number or column, > 0, <= 2, default 0.9
        Of the rule: Ashenhurst 0.84 for soft yarn and 0.9 for firm, Taylor 0.95 for cotton, Peirce 0.966.
    firmness : number or column, > 0, <= 2, default 1
        Share of the closest sett; a working cloth has about 0.75.
    per : sett unit or column, default "in"
        Whether the sett is per inch or per centimetre.

    Returns
    -------
    number [ends per unit]
        Sett at which the threads and their intersections fill the room.

    Raises
    ------
    WeaveError
        When an argument lies outside its range, the yarn has no system, or the weft never changes sides.

    Notes
    -----
    Valid range: constants and firmness above 0 and at most 2, refused outside.
    Diameters times R/(R + I), R ends and I intersections in a repeat. At
    firmness 1 this is the most that beats in; about three quarters of it is
    a working sett. An estimate until a sample is woven and washed. Not rounded.

    Examples
    --------
    >>> round(sett_from_diameters("8/2 Ne", "plain"), 1)
    26.1
    >>> round(sett_from_diameters("8/2 Ne", "2/2 twill", firmness=0.75), 1)
    26.1

    References
    ----------
    [ASHENHURST] 8/2 cotton; [TAYLOR] threads per inch, intersections
    """
    return float(diameters_per_inch(yarn, constant) * _closeness("weave", weave) * firmness * per)


@row
def sett_for_yarns(
    warp: Value, weft: Value, weave: Value, constant: Value = 0.9, firmness: Value = 1, per: Value = "in"
) -> Value:
    """Closest sett of a weave whose warp and weft are different yarns; 0.75 of it is a working sett.

    Parameters
    ----------
    warp : yarn or column
        Yarn of the warp with its system, such as 8/2 Ne.
    weft : yarn or column
        Yarn of the weft with its system.
    weave : weave or column
        Weave, such as plain or 2/2 twill, or its grid.
    constant : number or column, > 0, <= 2, default 0.9
        Of the rule: Ashenhurst 0.84 for soft yarn and 0.9 for firm, Taylor 0.95 for cotton, Peirce 0.966.
    firmness : number or column, > 0, <= 2, default 1
        Share of the closest sett; a working cloth has about 0.75.
    per : sett unit or column, default "in"
        Whether the sett is per inch or per centimetre.

    Returns
    -------
    number [ends per unit]
        Ends at which R warp and I weft diameters fill a repeat.

    Raises
    ------
    WeaveError
        When an argument lies outside its range, a yarn has no system, or the weft never changes sides.

    Notes
    -----
    Valid range: constants and firmness above 0 and at most 2, refused outside.
    R/(R·d₁ + I·d₂) with the diameters d of warp and weft; with equal yarns it
    is the diameter rule. An estimate until a sample is woven and washed. Not
    rounded.

    Examples
    --------
    >>> round(sett_for_yarns("8/2 Ne", "8/2 Ne", "plain"), 1)
    26.1
    >>> round(sett_for_yarns("8/2 Ne", "16/2 Ne", "plain"), 1)
    30.6

    References
    ----------
    [ASHENHURST] diameter rule; [TAYLOR] intersections; [EXACT]
    """
    ends, intersections = _interlacing("weave", weave)
    warp_diameter = 1 / diameters_per_inch(warp, constant)
    weft_diameter = 1 / diameters_per_inch(weft, constant)
    return float(ends / (ends * warp_diameter + intersections * weft_diameter) * firmness * per)


@formula
def weft_faced_sett(warp: Value, weft: Value, constant: Value = 0.9, per: Value = "in") -> Value:
    """Sett of a weft-faced cloth: ends far enough apart for the weft to pack down and cover them.

    Parameters
    ----------
    warp : yarn or column
        Yarn of the warp with its system, such as 12/6 Ne.
    weft : yarn or column
        Yarn of the weft with its system; strands used together are written as 20 tex x 3.
    constant : number or column, > 0, <= 2, default 0.9
        Of the rule: Ashenhurst 0.84 for soft yarn and 0.9 for firm, Taylor 0.95 for cotton, Peirce 0.966.
    per : sett unit or column, default "in"
        Whether the sett is per inch or per centimetre.

    Returns
    -------
    number [ends per unit]
        Ends that leave room for two weft diameters between neighbours.

    Raises
    ------
    WeaveError
        When a yarn has no system, or the constant lies outside its range.

    Notes
    -----
    Valid range: constants above 0 and at most 2, refused outside. Plain weave:
    1/(d₁ + 2·d₂), because packed picks cross between two ends at one height,
    one going to the face and one to the back. Common practice, no source; a
    sample decides. Not rounded.

    Examples
    --------
    >>> round(weft_faced_sett("12/6 Ne", "2/8 worsted"), 1)
    13.5

    References
    ----------
    [PRACTICE]; [ASHENHURST] diameter rule
    """
    return per / (1 / diameters_per_inch(warp, constant) + 2 / diameters_per_inch(weft, constant))


@formula
def weft_faced_picks(weft: Value, constant: Value = 0.9, per: Value = "in") -> Value:
    """Picks of a weft-faced plain weave packed until its picks touch on each face.

    Parameters
    ----------
    weft : yarn or column
        Yarn of the weft with its system; strands used together are written as 20 tex x 3.
    constant : number or column, > 0, <= 2, default 0.9
        Of the rule: Ashenhurst 0.84 for soft yarn and 0.9 for firm, Taylor 0.95 for cotton, Peirce 0.966.
    per : sett unit or column, default "in"
        Whether to count in an inch or a centimetre.

    Returns
    -------
    number [picks per unit]
        Twice the diameters of the weft: every other pick shows on a face.

    Raises
    ------
    WeaveError
        When the yarn has no system, or the constant lies outside its range.

    Notes
    -----
    Valid range: constants above 0 and at most 2, refused outside. An upper
    limit for a weft that covers the warp, at the sett of weft_faced_sett or
    wider. Common practice, no source; a sample decides. Not rounded.

    Examples
    --------
    >>> round(weft_faced_picks("2/8 worsted"), 1)
    85.2

    References
    ----------
    [PRACTICE]; [ASHENHURST] diameter rule
    """
    return 2 * diameters_per_inch(weft, constant) * per


@row
def sett_from_float(
    yarn: Value, weave: Value, constant: Value = 200, exponent: Value = BY_WEAVE, per: Value = "in"
) -> Value:
    """Closest sett of a square cloth by Brierley's rule, from the count and the average float.

    Parameters
    ----------
    yarn : yarn or column
        Yarn of warp and weft with its system, such as 8/2 Ne.
    weave : weave or column
        Weave, such as plain or 2/2 twill, or its grid.
    constant : number or column, > 0, <= 10000, default 200
        K of the rule for cotton count, whatever system the yarn is written in.
    exponent : any or column, default "by weave"
        Power of the average float, above 0 and at most 1; by weave for plain, twill, satin and basket.
    per : sett unit or column, default "in"
        Whether the sett is per inch or per centimetre.

    Returns
    -------
    number [ends per unit]
        F to the power of the exponent, times √(K·N); F the average float, N the cotton count.

    Raises
    ------
    WeaveError
        When an argument lies outside its range, the weft never changes sides, or a weave whose
        exponent the rule does not state comes without one.

    Notes
    -----
    Valid range: constants above 0 and at most 10000, exponents above 0 and at
    most 1; refused outside, but a blank exponent or 0 means by weave. By
    weave: 0.39 for twills, and from memory 0.42 for satins and sateens, 0.45
    for baskets; plain weave has a float of 1, and no exponent changes that.
    Ribs and grids need theirs given. The highest sett of a square cloth; a
    working sett is lower. Not rounded.

    Examples
    --------
    >>> round(sett_from_float("16 Ne", "plain"), 2)
    56.57
    >>> round(sett_from_float("16 Ne", "2/2 twill"), 2)
    74.13

    References
    ----------
    [BRIERLEY] form, K, twills; [GATE2006]; [MEMORY] satins, baskets
    """
    _interlacing("weave", weave)
    cotton_count = YARN_SYSTEMS["Ne"][2] / yarn
    power = _float_exponent(exponent, weave)
    return float(weave.average_float("weft") ** power * (constant * cotton_count) ** 0.5 * per)


def _float_exponent(exponent: Value, weave: Weave) -> float:
    by_weave = isinstance(exponent, str) and exponent.strip().casefold() in ("", BY_WEAVE)
    number = plain_number(exponent)
    if by_weave or number == 0:
        known = FLOAT_EXPONENTS.get(weave.family)
        if known is None:
            raise WeaveError(
                "exponent",
                f"given as a number for a {weave.family}: the rule states one only for "
                + ", ".join(FLOAT_EXPONENTS),
                exponent,
            )
        return known
    if number is None or not 0 < number <= 1:
        raise WeaveError("exponent", f"{BY_WEAVE}, or a number above 0 and at most 1", exponent)
    return number


@formula
def sett_for_new_yarn(sett: Value, yarn: Value, new_yarn: Value) -> Value:
    """Sett that suits another yarn as the old sett suited the old one.

    Parameters
    ----------
    sett : number or column [ends per unit of length], > 0, <= 10000
        Sett that suited the old yarn.
    yarn : yarn or column
        Old yarn with its system, such as 8/2 Ne.
    new_yarn : yarn or column
        New yarn with its system.

    Returns
    -------
    number [ends per unit of length]
        Sett in the same unit of length.

    Raises
    ------
    WeaveError
        When the sett lies outside its range, or a yarn has no system.

    Notes
    -----
    Valid range: setts above 0 and at most 10000, refused outside. The same
    weave and firmness, and yarns of the same fibre and twist: setts go as the
    square root of the length in a pound. Not rounded.

    Examples
    --------
    >>> round(sett_for_new_yarn(20, "8/2 Ne", "16/2 Ne"), 2)
    28.28

    References
    ----------
    [ASHENHURST] diameter rule; [EXACT]
    """
    return sett * (yarn / new_yarn) ** 0.5


@row
def sett_for_new_weave(sett: Value, weave: Value, new_weave: Value) -> Value:
    """Sett that is as firm in another weave, the yarn staying the same.

    Parameters
    ----------
    sett : number or column [ends per unit of length], > 0, <= 10000
        Sett that suited the old weave.
    weave : weave or column
        Old weave, such as plain, or its grid.
    new_weave : weave or column
        New weave, such as 2/2 twill, or its grid.

    Returns
    -------
    number [ends per unit of length]
        Sett in the same unit of length.

    Raises
    ------
    WeaveError
        When the sett lies outside its range, or the weft of a weave never changes sides.

    Notes
    -----
    Valid range: setts above 0 and at most 10000, refused outside. The ratio of
    R/(R + I) in the two weaves, R ends and I intersections in a repeat. Not
    rounded.

    Examples
    --------
    >>> round(sett_for_new_weave(18, "plain", "2/2 twill"), 6)
    24.0

    References
    ----------
    [TAYLOR] intersections; [ASHENHURST]
    """
    return sett * _closeness("new_weave", new_weave) / _closeness("weave", weave)


@row
def twill_angle(sett: Value, weft_sett: Value, picks_moved: Value = 1, ends_moved: Value = 1) -> Value:
    """Angle of a twill line from the direction of the weft, in degrees.

    Parameters
    ----------
    sett : number or column [ends per unit of length], > 0, <= 10000
        Ends per unit of length in the cloth.
    weft_sett : number or column [picks per unit of length], > 0, <= 10000
        Picks in the same unit of length.
    picks_moved : whole or column [picks], >= 1, <= 1000, default 1
        Picks that one step of the line goes up.
    ends_moved : whole or column [ends], >= 1, <= 1000, default 1
        Ends that one step of the line goes over.

    Returns
    -------
    number [degrees from the weft]
        Angle of the line, 45 in a square cloth that moves one end a pick.

    Raises
    ------
    WeaveError
        When an argument lies outside its range.

    Notes
    -----
    Valid range: setts above 0 and at most 10000, steps from 1 to 1000; refused
    outside. The angle lies between 0 and 90 and reaches neither. On the loom
    and off it the angle differs as the cloth draws in: use setts of one state.
    Not rounded.

    Examples
    --------
    >>> round(twill_angle(20, 20), 2)
    45.0
    >>> round(twill_angle(20, 20, picks_moved=2), 2)
    63.43

    References
    ----------
    [PRACTICE] 45 degrees; [EXACT]
    """
    return degrees(atan2(picks_moved / weft_sett, ends_moved / sett))


@row
def picks_for_angle(sett: Value, angle: Value, picks_moved: Value = 1, ends_moved: Value = 1) -> Value:
    """Weft sett at which a twill line runs at a wanted angle.

    Parameters
    ----------
    sett : number or column [ends per unit of length], > 0, <= 10000
        Ends per unit of length in the cloth.
    angle : number or column [degrees from the weft], >= 1, <= 89
        Angle that the line is to have.
    picks_moved : whole or column [picks], >= 1, <= 1000, default 1
        Picks that one step of the line goes up.
    ends_moved : whole or column [ends], >= 1, <= 1000, default 1
        Ends that one step of the line goes over.

    Returns
    -------
    number [picks per unit of length]
        Picks in the same unit of length.

    Raises
    ------
    WeaveError
        When an argument lies outside its range, or the weft sett would be above 10000.

    Notes
    -----
    Valid range: setts above 0 and at most 10000, angles from 1 to 89 degrees,
    steps from 1 to 1000; refused outside. Whether the picks beat in is not
    checked. Not rounded.

    Examples
    --------
    >>> round(picks_for_angle(20, 45), 6)
    20.0
    >>> round(picks_for_angle(20, 63.43, picks_moved=2), 1)
    20.0

    References
    ----------
    [PRACTICE] 45 degrees; [EXACT]
    """
    weft_sett = sett * picks_moved / (ends_moved * tan(radians(angle)))
    if weft_sett > MOST_SETT:
        raise WeaveError("angle", f"steep enough for at most {MOST_SETT:.0f} picks per unit of length", angle)
    return weft_sett


@formula
def finished_sett(sett: Value, shrinkage: Value, draw_in: Value = 0) -> Value:
    """Sett of the finished cloth, after draw-in on the loom and shrinkage in finishing.

    Parameters
    ----------
    sett : number or column [threads per unit of length], > 0, <= 10000
        Sett in the reed, or picks on the loom.
    shrinkage : fraction or column
        Share of the woven size that finishing takes, across the threads counted.
    draw_in : fraction or column, default 0
        Share of the width in the reed that weaving takes; 0 for picks.

    Returns
    -------
    number [threads per unit of length]
        Threads in the same unit of length of the finished cloth.

    Raises
    ------
    WeaveError
        When the sett lies outside its range, or a share is not a fraction.

    Notes
    -----
    Valid range: setts above 0 and at most 10000, shares from 0 to below 1;
    refused outside. Divided by 1 − shrinkage and by 1 − draw-in, not
    multiplied by one plus them. Not rounded.

    Examples
    --------
    >>> finished_sett(8, 0.2)
    10.0

    References
    ----------
    [EXACT]
    """
    return sett / ((1 - shrinkage) * (1 - draw_in))


@formula
def cover_factor(sett: Value, yarn: Value, per: Value = "in") -> Value:
    """Cover factor of one system of threads: threads per inch by the root of the cotton count.

    Parameters
    ----------
    sett : number or column [threads per unit], > 0, <= 10000
        Ends or picks per unit.
    yarn : yarn or column
        Yarn with its system, such as 8/2 Ne.
    per : sett unit or column, default "in"
        Whether the sett is per inch or per centimetre.

    Returns
    -------
    number
        Threads per inch divided by √Ne; 28 where threads touch, by Peirce's diameter.

    Raises
    ------
    WeaveError
        When the sett lies outside its range, or the yarn has no system.

    Notes
    -----
    Valid range: setts above 0 and at most 10000, refused outside. Above 28 the
    threads overlap or are squeezed, which this does not refuse. Not rounded.

    Examples
    --------
    >>> round(cover_factor(24, "16/2 Ne"), 3)
    8.485

    References
    ----------
    [PEIRCE] 28 √Ne
    """
    return sett / per / (YARN_SYSTEMS["Ne"][2] / yarn) ** 0.5


@row
def cloth_cover(warp_cover: Value, weft_cover: Value, full: Value = 28) -> Value:
    """Cover of the cloth from the covers of its warp and its weft.

    Parameters
    ----------
    warp_cover : number or column, >= 0, <= 100
        Cover of the warp alone.
    weft_cover : number or column, >= 0, <= 100
        Cover of the weft alone.
    full : number or column, > 0, <= 100, default 28
        Cover at which threads touch: 28 for cover factors, 1 for fractions.

    Returns
    -------
    number
        Cover of both together, on the same scale.

    Raises
    ------
    WeaveError
        When a cover lies outside its range, or above full.

    Notes
    -----
    Valid range: covers from 0 to full, full above 0 and at most 100. A cover
    above full is refused: where threads overlap the rule would give less cover
    for more threads. The overlap of the two is counted once. Not rounded.

    Examples
    --------
    >>> round(cloth_cover(0.42, 0.42, 1), 3)
    0.664
    >>> round(cloth_cover(14, 10), 1)
    19.0

    References
    ----------
    [GATE2007] fractional cover; [PEIRCE]
    """
    for name, cover in (("warp_cover", warp_cover), ("weft_cover", weft_cover)):
        if cover > full:
            raise WeaveError(name, f"at most full, which is {full:g}", cover)
    return warp_cover + weft_cover - warp_cover * weft_cover / full
