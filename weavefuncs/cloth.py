"""The finished cloth: weight, crimp, thickness, how close it can be, and what it is made of."""

from __future__ import annotations

import math

from weavefuncs._diameters import round_diameter
from weavefuncs._geometry import MEASURED, closeness, crimp_of, highest_rise, jammed, rise
from weavefuncs._lists import side_by_side
from weavefuncs._rounding import DUST, whole_down
from weavefuncs.errors import WeaveError
from weavefuncs.registry import Value, formula, row
from weavefuncs.shared.units import LENGTH_IN_METRES, MASS_IN_GRAMS

INCH, YARD = LENGTH_IN_METRES["in"], LENGTH_IN_METRES["yd"]

# The weight of a cloth of 1 g/m² in each unit.
CLOTH_WEIGHTS = {"g/m2": 1.0, "oz/yd2": YARD**2 / MASS_IN_GRAMS["oz"]}


@formula
def cloth_mass(
    sett: Value,
    warp: Value,
    warp_crimp: Value,
    weft_sett: Value,
    weft: Value,
    weft_crimp: Value,
    per: Value = "cm",
    result: Value = "g/m2",
) -> Value:
    """Weight of a cloth, in grams per square metre or ounces per square yard.

    Parameters
    ----------
    sett : number or column [ends per unit], > 0, <= 10000
        Ends in a centimetre or an inch of the finished cloth.
    warp : yarn or column
        Warp yarn with its system, such as 8/2 Ne.
    warp_crimp : number or column, >= 0, <= 2
        Crimp of the warp, as a fraction of the cloth's length; 10 % is 0.10.
    weft_sett : number or column [picks per unit], > 0, <= 10000
        Picks in a centimetre or an inch of the finished cloth.
    weft : yarn or column
        Weft yarn with its system.
    weft_crimp : number or column, >= 0, <= 2
        Crimp of the weft, as a fraction of the cloth's width.
    per : sett unit or column, default "cm"
        Unit that both setts are per: cm or in.
    result : {"g/m2", "oz/yd2"}, default "g/m2"
        Grams in a square metre, or ounces in a square yard.

    Returns
    -------
    number [in the unit of the result]
        Weight of warp and weft together.

    Raises
    ------
    WeaveError
        When a value lies outside its range, a yarn has no system, or a unit is unknown.

    Notes
    -----
    Valid range: the finished cloth with its own setts and crimps; with those of the loom it is the weight
    on the loom. A crimp above 2 is far more likely a percentage. What washing takes out of the yarn, or
    leaves in it, is not counted. Not rounded.

    Examples
    --------
    >>> round(cloth_mass(40, "30 tex", 0.1, 30, "20 tex", 0.1), 6)
    198.0

    References
    ----------
    [GATE2009] cloth of 40 by 30 threads; [EXACT]
    """
    grams_per_metre = (sett * warp * (1 + warp_crimp) + weft_sett * weft * (1 + weft_crimp)) / 1000
    return grams_per_metre / (per * INCH) * CLOTH_WEIGHTS[result]


@formula
def crimp_height(spacing: Value, crimp: Value, coefficient: Value = 1.3333333333333333) -> Value:
    """Height of a thread's crimp wave: how far its axis rises from one side of the cloth to the other.

    Parameters
    ----------
    spacing : number or column [unit of length], > 0, <= 1e9
        Distance between neighbouring threads of the other system, axis to axis.
    crimp : number or column, >= 0, <= 0.571
        Crimp of the thread, as a fraction of the cloth; 10 % is 0.10.
    coefficient : number or column, >= 1, <= 2, default 1.3333333333333333
        Coefficient of the rule: Peirce 4/3; examination workings 1.36.

    Returns
    -------
    number [unit of length]
        Height, in the unit of the spacing: coefficient × spacing × √crimp.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: plain cloth; crimps from 0 to 0.571, at which a round thread stands upright. A short form
    of Peirce's equations, fair for crimps up to about 0.15; of a jammed square cloth it is 6 % too high,
    of a very open one 6 % too low. Authorities dispute the coefficient. Not rounded.

    Examples
    --------
    >>> round(crimp_height(0.5, 0.09), 3)
    0.2

    References
    ----------
    [PEIRCE]
    """
    return coefficient * spacing * crimp**0.5


@row
def cloth_thickness(
    warp_crimp_height: Value, warp_diameter: Value, weft_crimp_height: Value = 0, weft_diameter: Value = 0
) -> Value:
    """Thickness of a plain cloth.

    Parameters
    ----------
    warp_crimp_height : number or column [unit of length], >= 0, <= 1e9
        Height of the warp's crimp wave.
    warp_diameter : number or column [unit of length], > 0, <= 1e9
        Diameter of the warp yarn, in the same unit.
    weft_crimp_height : number or column [unit of length], >= 0, <= 1e9, default 0
        Height of the weft's crimp wave.
    weft_diameter : number or column [unit of length], >= 0, <= 1e9, default 0
        Diameter of the weft yarn; left out, the warp alone decides.

    Returns
    -------
    number [unit of length]
        The larger of crimp height + diameter, of warp and of weft.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or the weft has a crimp height and no diameter.

    Notes
    -----
    Valid range: round threads, without the pressure of a gauge and before finishing flattens them. Without
    the weft's figures the result holds only where the warp stands higher than the weft. Not rounded.

    Examples
    --------
    >>> cloth_thickness(0.25, 0.25, 0.125, 0.25)
    0.5

    References
    ----------
    [PEIRCE]
    """
    if weft_crimp_height > 0 and weft_diameter == 0:
        raise WeaveError("weft_diameter", "above 0 where the weft has a crimp height", weft_diameter)
    return max(warp_crimp_height + warp_diameter, weft_crimp_height + weft_diameter)


@row
def weft_crimp(
    warp_crimp: Value,
    warp_spacing: Value,
    weft_spacing: Value,
    warp_diameter: Value,
    weft_diameter: Value,
    coefficient: Value = 1.3333333333333333,
) -> Value:
    """Crimp of the weft of a plain cloth, from the crimp of its warp.

    Parameters
    ----------
    warp_crimp : number or column, >= 0, <= 0.571
        Crimp of the warp, as a fraction of the cloth's length; 10 % is 0.10.
    warp_spacing : number or column [unit of length], > 0, <= 1e9
        Distance between neighbouring ends, axis to axis: 1 / sett.
    weft_spacing : number or column [unit of length], > 0, <= 1e9
        Distance between neighbouring picks, axis to axis: 1 / weft sett.
    warp_diameter : number or column [unit of length], > 0, <= 1e9
        Diameter of the warp yarn, in the same unit.
    weft_diameter : number or column [unit of length], > 0, <= 1e9
        Diameter of the weft yarn, in the same unit.
    coefficient : number or column, >= 1, <= 2, default 1.3333333333333333
        Coefficient of the rule: Peirce 4/3; examination workings 1.36.

    Returns
    -------
    number
        Crimp of the weft, as a fraction of the cloth's width.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or no such plain cloth can exist: the threads have no room, or
        the warp rises further than both diameters.

    Notes
    -----
    Valid range: plain cloth whose threads touch, so that the two crimp heights together are the two
    diameters together, each height being coefficient × spacing of the other system × √crimp. For the
    crimp of the warp give the weft's first. Whether both systems have room is asked of Peirce's exact
    equations, forgiving 1 % of the diameters; the crimp itself is that of the short form, fair up to
    about 0.15. Not rounded.

    Examples
    --------
    >>> round(weft_crimp(0.09, 0.5, 0.5, 0.16, 0.16), 4)
    0.0324

    References
    ----------
    [PEIRCE]
    """
    both = warp_diameter + weft_diameter
    risen = rise(weft_spacing / both, warp_crimp)
    if risen is None:
        raise WeaveError(
            "warp_crimp",
            f"less: between picks {weft_spacing / both:.4g} of both diameters apart there is no room for it",
            warp_crimp,
        )
    if 1 - risen > highest_rise(warp_spacing / both) + MEASURED:
        raise WeaveError(
            "warp_crimp",
            f"more: between ends {warp_spacing / both:.4g} of both diameters apart no weft bends so far",
            warp_crimp,
        )
    warp_height = coefficient * weft_spacing * math.sqrt(warp_crimp)
    if warp_height > both * (1 + DUST):
        raise WeaveError(
            "warp_crimp",
            f"less: by this coefficient the warp rises {warp_height:.4g}, beyond both diameters ({both:.4g})",
            warp_crimp,
        )
    return (max(both - warp_height, 0.0) / (coefficient * warp_spacing)) ** 2


@row
def crimp_height_exact(spacing: Value, crimp: Value, warp_diameter: Value, weft_diameter: Value) -> Value:
    """Height of a thread's crimp wave in a plain cloth, by Peirce's exact equations.

    Parameters
    ----------
    spacing : number or column [unit of length], > 0, <= 1e9
        Distance between neighbouring threads of the other system, axis to axis.
    crimp : number or column, >= 0, <= 2
        Crimp of the thread, as a fraction of the cloth; 10 % is 0.10.
    warp_diameter : number or column [unit of length], > 0, <= 1e9
        Diameter of the warp yarn, in the same unit.
    weft_diameter : number or column [unit of length], > 0, <= 1e9
        Diameter of the weft yarn, in the same unit.

    Returns
    -------
    number [unit of length]
        Height, in the unit of the spacing.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or there is no room for so much crimp.

    Notes
    -----
    Valid range: plain cloth of round threads that bend round each other and lie straight between; open or
    jammed. For crimps up to about 0.15 the short form of crimp_height comes near. Not rounded.

    Examples
    --------
    >>> round(crimp_height_exact(0.5, 0.09, 0.16, 0.16), 3)
    0.207

    References
    ----------
    [PEIRCE]
    """
    both = warp_diameter + weft_diameter
    risen = rise(spacing / both, crimp)
    if risen is None:
        raise WeaveError("crimp", _no_room(spacing / both), crimp)
    return risen * both


@row
def weft_crimp_exact(
    warp_crimp: Value, warp_spacing: Value, weft_spacing: Value, warp_diameter: Value, weft_diameter: Value
) -> Value:
    """Crimp of the weft of a plain cloth, from the crimp of its warp, by Peirce's exact equations.

    Parameters
    ----------
    warp_crimp : number or column, >= 0, <= 2
        Crimp of the warp, as a fraction of the cloth's length; 10 % is 0.10.
    warp_spacing : number or column [unit of length], > 0, <= 1e9
        Distance between neighbouring ends, axis to axis: 1 / sett.
    weft_spacing : number or column [unit of length], > 0, <= 1e9
        Distance between neighbouring picks, axis to axis: 1 / weft sett.
    warp_diameter : number or column [unit of length], > 0, <= 1e9
        Diameter of the warp yarn, in the same unit.
    weft_diameter : number or column [unit of length], > 0, <= 1e9
        Diameter of the weft yarn, in the same unit.

    Returns
    -------
    number
        Crimp of the weft, as a fraction of the cloth's width.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or no such plain cloth can exist: the threads have no room, or
        the warp rises further than both diameters.

    Notes
    -----
    Valid range: plain cloth of round threads that touch, so that the two crimp heights together are the two
    diameters together; a misfit of 1 % of the diameters is forgiven and rounded to the cloth that can be.
    For the crimp of the warp give the weft's first. Not rounded.

    Examples
    --------
    >>> round(weft_crimp_exact(0.09, 0.5, 0.5, 0.16, 0.16), 4)
    0.0266

    References
    ----------
    [PEIRCE]
    """
    both = warp_diameter + weft_diameter
    return _other_crimp("warp_crimp", warp_crimp, weft_spacing / both, warp_spacing / both)


@row
def balanced_crimp(
    system: Value, warp_spacing: Value, weft_spacing: Value, warp_diameter: Value, weft_diameter: Value
) -> Value:
    """Crimp of warp or weft of a plain cloth while neither crimp is known: both systems share the bending.

    Parameters
    ----------
    system : {"warp", "weft"} or column
        Whose crimp is wanted.
    warp_spacing : number or column [unit of length], > 0, <= 1e9
        Distance between neighbouring ends, axis to axis: 1 / sett.
    weft_spacing : number or column [unit of length], > 0, <= 1e9
        Distance between neighbouring picks, axis to axis: 1 / weft sett.
    warp_diameter : number or column [unit of length], > 0, <= 1e9
        Diameter of the warp yarn, in the same unit.
    weft_diameter : number or column [unit of length], > 0, <= 1e9
        Diameter of the weft yarn, in the same unit.

    Returns
    -------
    number
        Crimp, as a fraction of the cloth.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or the threads lie closer than jammed.

    Notes
    -----
    Valid range: plain cloth of round threads up to jammed. The balanced solution: warp and weft rise by the
    same height, half of both diameters, or as near to it as their neighbours leave room. A cloth off the loom
    need not be balanced: tension on the loom leaves the warp straighter. Not rounded.

    Examples
    --------
    >>> round(balanced_crimp("warp", 0.5, 0.5, 0.16, 0.16), 4)
    0.0537

    References
    ----------
    [PEIRCE]
    """
    both = warp_diameter + weft_diameter
    wider = "warp_spacing", "wider, or the picks further apart"
    return _balanced(wider, warp_spacing / both, weft_spacing / both)[0 if system == "warp" else 1]


@row
def cloth_closeness(
    warp_spacing: Value, weft_spacing: Value, warp_diameter: Value, weft_diameter: Value
) -> Value:
    """How close a plain cloth is to jammed: 1 is jammed, 0.75 three quarters of it.

    Parameters
    ----------
    warp_spacing : number or column [unit of length], > 0, <= 1e9
        Distance between neighbouring ends, axis to axis: 1 / sett.
    weft_spacing : number or column [unit of length], > 0, <= 1e9
        Distance between neighbouring picks, axis to axis: 1 / weft sett.
    warp_diameter : number or column [unit of length], > 0, <= 1e9
        Diameter of the warp yarn, in the same unit.
    weft_diameter : number or column [unit of length], > 0, <= 1e9
        Diameter of the weft yarn, in the same unit.

    Returns
    -------
    number
        Both setts over those at which the cloth, closed up alike both ways, would be jammed.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: as the arguments state. Above 1 round threads have no room: real ones flatten, and go a
    little closer under a hard beat. Jammed by the exact equation √(1 - (p₁/D)²) + √(1 - (p₂/D)²) = 1.
    Not rounded.

    Examples
    --------
    >>> round(cloth_closeness(0.5, 0.5, 0.16, 0.16), 3)
    0.554

    References
    ----------
    [PEIRCE] jammed cloth
    """
    both = warp_diameter + weft_diameter
    return closeness(warp_spacing / both, weft_spacing / both)


@row
def plain_cloth(
    sett: Value,
    warp: Value,
    weft_sett: Value,
    weft: Value,
    known: Value = "neither",
    crimp: Value = 0,
    specific_volume: Value = 1.1,
    per: Value = "in",
) -> Value:
    """The whole geometry of a plain cloth from its yarns and setts, and one crimp where it is known.

    Parameters
    ----------
    sett : number [ends per unit], > 0, <= 10000
        Ends in an inch or a centimetre of the finished cloth.
    warp : yarn
        Warp yarn with its system, such as 8/2 Ne.
    weft_sett : number [picks per unit], > 0, <= 10000
        Picks in an inch or a centimetre of the finished cloth.
    weft : yarn
        Weft yarn with its system.
    known : {"neither", "warp", "weft"}, default "neither"
        Whose crimp is known. With neither, both rise alike: the balanced solution.
    crimp : number, >= 0, <= 2, default 0
        The crimp that is known, as a fraction of the cloth; 10 % is 0.10.
    specific_volume : number [cm³/g], >= 0.1, <= 10, default 1.1
        Volume of a gram of yarn: 1.1 Peirce for cotton, 0.65 for the 1.54 g/cm³ of its fibres alone.
    per : sett unit, default "in"
        Unit that both setts are per: in or cm.

    Returns
    -------
    table
        One row for each figure: what it is, its value, its unit.

    Raises
    ------
    WeaveError
        When a value lies outside its range, a yarn has no system, no such plain cloth can exist, or a crimp
        is given that is nobody's.

    Notes
    -----
    Valid range: plain cloth of round threads up to jammed, by Peirce's exact equations; a misfit of 1 % of
    the diameters is forgiven. Authorities dispute the specific volume, and with it the diameters. Mass is
    that of the yarn, cover the share of the cloth's area that the threads hide. Not rounded.

    Examples
    --------
    >>> for what, value, unit in plain_cloth(20, "8/2 Ne", 20, "8/2 Ne")[4:6]:
    ...     print(what, round(value, 3))
    warp crimp 0.068
    weft crimp 0.068

    References
    ----------
    [PEIRCE]; [GATE2009] mass; [GATE2007] cover
    """
    if known == "neither" and crimp > 0:
        raise WeaveError("known", "warp or weft where a crimp is given", known)
    # In millimetres throughout.
    unit = per * INCH * 1000
    spacings = unit / sett, unit / weft_sett
    diameters = round_diameter(warp, specific_volume), round_diameter(weft, specific_volume)
    both = sum(diameters)
    ends, picks = (spacing / both for spacing in spacings)
    if known == "warp":
        crimps = crimp, _other_crimp("crimp", crimp, picks, ends)
    elif known == "weft":
        crimps = _other_crimp("crimp", crimp, ends, picks), crimp
    else:
        crimps = _balanced(("sett", "lower, or the weft_sett"), ends, picks)
    # The two heights are the two diameters, so one that is known leaves the other.
    if known == "weft":
        weft_height = _risen(ends, crimps[1]) * both
        heights = both - weft_height, weft_height
    else:
        warp_height = _risen(picks, crimps[0]) * both
        heights = warp_height, both - warp_height
    covers = [min(diameter / spacing, 1.0) for diameter, spacing in zip(diameters, spacings)]
    thickness = max(height + diameter for height, diameter in zip(heights, diameters))
    mass = sum(tex * (1 + bent) / spacing for tex, bent, spacing in zip((warp, weft), crimps, spacings))
    cover = covers[0] + covers[1] - covers[0] * covers[1]
    figures = [
        ("warp diameter", diameters[0], "mm"),
        ("weft diameter", diameters[1], "mm"),
        ("warp spacing", spacings[0], "mm"),
        ("weft spacing", spacings[1], "mm"),
        ("warp crimp", crimps[0], "share"),
        ("weft crimp", crimps[1], "share"),
        ("warp crimp height", heights[0], "mm"),
        ("weft crimp height", heights[1], "mm"),
        ("thickness", thickness, "mm"),
        ("mass", mass, "g/m2"),
        ("warp cover", covers[0], "share"),
        ("weft cover", covers[1], "share"),
        ("cover", cover, "share"),
        ("closeness to jammed", closeness(ends, picks), "share"),
    ]
    return [list(figure) for figure in figures]


@row
def jammed_spacing(warp_spacing: Value, warp_diameter: Value, weft_diameter: Value) -> Value:
    """Distance between picks at which a plain cloth is jammed: the weft can be beaten no closer.

    Parameters
    ----------
    warp_spacing : number or column [unit of length], > 0, <= 1e9
        Distance between neighbouring ends, axis to axis: 1 / sett.
    warp_diameter : number or column [unit of length], > 0, <= 1e9
        Diameter of the warp yarn, in the same unit.
    weft_diameter : number or column [unit of length], > 0, <= 1e9
        Diameter of the weft yarn, in the same unit.

    Returns
    -------
    number [unit of length]
        Distance between neighbouring picks, axis to axis.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or the cloth never jams.

    Notes
    -----
    Valid range: warp spacing above 0 and below D, the two diameters together. The exact equation of round
    threads: √(1 - (p₁/D)²) + √(1 - (p₂/D)²) = 1. With the ends D apart or further the picks can be packed
    until they touch each other, so such a cloth never jams and the call is refused. Below the diameter of
    the warp the ends stand partly over each other. The other way round the same equation gives the
    closest ends for given picks. Real threads flatten and go closer. Not rounded.

    Examples
    --------
    >>> round(jammed_spacing(0.5, 0.3, 0.3), 4)
    0.5367

    References
    ----------
    [PEIRCE] jammed cloth
    """
    both = warp_diameter + weft_diameter
    if warp_spacing >= both * (1 - DUST):
        raise WeaveError(
            "warp_spacing",
            f"below both diameters together ({both:.6g}): a cloth with its ends further apart never jams",
            warp_spacing,
        )
    # Near both diameters the quotient has lost the digits of what it misses to 1.
    missing = math.fsum((warp_diameter, weft_diameter, -warp_spacing)) / both
    return both * jammed(warp_spacing / both, missing)


@row
def yarn_for_cloth_weight(yarn: Value, old_weight: Value, new_weight: Value) -> Value:
    """Yarn that makes a cloth of the same closeness heavier or lighter.

    Parameters
    ----------
    yarn : yarn text or column
        Yarn of the cloth there is, with its system, such as 20 Ne.
    old_weight : number or column [unit of weight], > 0, <= 1e9
        Weight of the cloth there is, for its area.
    new_weight : number or column [unit of weight], > 0, <= 1e9
        Weight wanted, in the same unit.

    Returns
    -------
    text
        Yarn in the same system, ply and strands: tex × (new / old)².

    Raises
    ------
    WeaveError
        When a value lies outside its range, the yarn has no system, or the yarn wanted lies beyond all
        yarns.

    Notes
    -----
    Valid range: yarns from 0.01 to 1,000,000 tex; beyond them the result is refused. The sett changes
    with the yarn (sett × old / new), so that the cloth stays as close; both systems change alike. The
    number is written at full precision, for a nearest yarn to be picked by hand.

    Examples
    --------
    >>> yarn_for_cloth_weight("20 Ne", 4, 5)
    '12.8 Ne'

    References
    ----------
    [EXACT]
    """
    return yarn.write(yarn.tex * (new_weight / old_weight) ** 2)


@formula
def sett_for_cloth_weight(sett: Value, old_weight: Value, new_weight: Value) -> Value:
    """Sett that goes with the yarn for another cloth weight, the cloth as close as before.

    Parameters
    ----------
    sett : number or column [threads per unit], > 0, <= 10000
        Sett or weft sett of the cloth there is.
    old_weight : number or column [unit of weight], > 0, <= 1e9
        Weight of the cloth there is, for its area.
    new_weight : number or column [unit of weight], > 0, <= 1e9
        Weight wanted, in the same unit.

    Returns
    -------
    number [threads per unit]
        Sett: sett × old / new.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: together with the yarn for that weight; a heavier cloth of the same closeness has thicker
    and fewer threads. With the old yarn the weight would go the other way. Not rounded.

    Examples
    --------
    >>> sett_for_cloth_weight(60, 4, 5)
    48.0

    References
    ----------
    [EXACT]
    """
    return sett * old_weight / new_weight


@row
def fibre_content(masses: Value, fibres: Value) -> str:
    """Fibre content of a cloth, in whole percentages; what a label must say follows local rules.

    Parameters
    ----------
    masses : list of numbers [any one unit], >= 0, <= 1e9
        Weight of each yarn in the cloth, all in one unit.
    fibres : list of texts
        Fibre of each yarn, in the same order.

    Returns
    -------
    text
        Whole percentages with their fibres, the largest first, such as 60 % cotton, 40 % linen.

    Raises
    ------
    WeaveError
        When a value lies outside its range, the lists are not equally long, or all weights are 0.

    Notes
    -----
    Valid range: a total weight above 0. Yarns of one fibre are added up, capitals and spaces aside. Rounded
    to whole percentages that sum to 100 exactly: all are rounded down, and the points left go to the
    largest remainders, of equal ones to the larger share, then to the one named first. A fibre that comes
    to 0 % this way is named after the others as traces, one of no weight not at all. A yarn that is itself a
    blend is given as one weight for each of its fibres. What a label must say, to what
    margin, and by which fibre names follows local rules: ask whoever is licensed to say.

    Examples
    --------
    >>> fibre_content([150, 90, 60], ["cotton", "linen", "Cotton"])
    '70 % cotton, 30 % linen'

    References
    ----------
    [EXACT]
    """
    side_by_side(masses=masses, fibres=fibres)
    spelled: dict[str, str] = {}
    weighed: dict[str, list[float]] = {}
    for mass, fibre in zip(masses, fibres):
        if mass > 0:
            spelling = " ".join(fibre.split())
            name = spelled.setdefault(spelling.casefold(), spelling)
            weighed.setdefault(name, []).append(mass)
    if not weighed:
        raise WeaveError("masses", "above 0 for one yarn at least", masses)
    total = math.fsum(masses)
    # Equal shares may differ by the dust of their sums; at nine digits they are equal.
    shares = {name: round(100 * math.fsum(parts) / total, 9) for name, parts in weighed.items()}
    ranked = sorted(shares, key=lambda name: -shares[name])
    percentages = {name: int(whole_down(shares[name])) for name in ranked}
    left = 100 - sum(percentages.values())
    for name in sorted(ranked, key=lambda name: round(percentages[name] - shares[name], 9))[:left]:
        percentages[name] += 1
    content = [f"{percentages[name]} % {name}" for name in ranked if percentages[name]]
    return ", ".join(content + [f"traces of {name}" for name in ranked if not percentages[name]])


def _risen(spacing: float, crimp: float) -> float:
    """Return how far a thread rises whose crimp was found to have room."""
    return min(rise(spacing, crimp) or 0.0, 1.0)


def _no_room(spacing: float) -> str:
    return f"less: between threads {spacing:.4g} of both diameters apart there is no room for it"


def _other_crimp(argument: str, crimp: float, spacing: float, other_spacing: float) -> float:
    """Return the crimp of the other system; spacings are in units of the two diameters together.

    ``spacing`` is what the thread of known crimp goes over, ``other_spacing`` what the other one does.
    """
    risen = rise(spacing, crimp)
    if risen is None:
        raise WeaveError(argument, _no_room(spacing), crimp)
    if risen > 1 + MEASURED:
        raise WeaveError(
            argument, f"less: its thread would rise {risen:.4g} of both diameters, beyond the other", crimp
        )
    left = max(1 - risen, 0.0)
    room = highest_rise(other_spacing)
    if left > room + MEASURED:
        raise WeaveError(
            argument,
            f"more: between threads {other_spacing:.4g} of both diameters apart none bends so far",
            crimp,
        )
    return crimp_of(other_spacing, min(left, room))


def _balanced(wider: tuple[str, str], ends: float, picks: float) -> tuple[float, float]:
    """Return the crimps of warp and weft that rise alike, or as nearly so as there is room.

    ``wider`` names the argument that has to change where there is no room, and how.
    """
    warp_room, weft_room = highest_rise(picks), highest_rise(ends)
    if warp_room + weft_room < 1 - MEASURED:
        argument, change = wider
        raise WeaveError(
            argument,
            f"{change}: so close round threads are beyond jammed",
            f"{ends:.4g} and {picks:.4g} of both diameters",
        )
    warp_height = min(max(0.5, 1 - weft_room), warp_room)
    return crimp_of(picks, warp_height), crimp_of(ends, min(1 - warp_height, weft_room))
