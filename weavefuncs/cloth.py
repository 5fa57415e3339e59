"""The finished cloth: weight, crimp, thickness, how close it can be, and what it is made of."""

from __future__ import annotations

import math

from weavefuncs._geometry import MEASURED, highest_rise, jammed, rise
from weavefuncs._lists import side_by_side
from weavefuncs._rounding import DUST, whole_down
from weavefuncs.errors import WeaveError
from weavefuncs.registry import formula, row
from weavefuncs.shared.units import LENGTH_IN_METRES, MASS_IN_GRAMS

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from weavefuncs._yarn_text import Yarn

    Value = Any

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
    """Weight of a cloth for its area.

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
        Peirce 4/3; examination workings 1.36.

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
        Peirce 4/3; examination workings 1.36.

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
    return both * jammed(warp_spacing / both)


@row
def yarn_for_cloth_weight(yarn: Yarn, old_weight: Value, new_weight: Value) -> str:
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
    Valid range: yarns from 0.01 to 1000000 tex; beyond them the result is refused. The sett changes
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
    """Fibre content of a cloth, in percentages for a label.

    Parameters
    ----------
    masses : list of numbers [any one unit], >= 0, <= 1e9
        Mass of each yarn in the cloth.
    fibres : list of texts
        Fibre of each yarn, in the same order.

    Returns
    -------
    text
        Whole percentages with their fibres, the largest first, such as 60 % cotton, 40 % linen.

    Raises
    ------
    WeaveError
        When a value lies outside its range, the lists are not equally long, or all masses are 0.

    Notes
    -----
    Valid range: a total mass above 0. Yarns of one fibre are added up, capitals and spaces aside. Rounded
    to whole percentages that sum to 100 exactly: all are rounded down, and the points left go to the
    largest remainders, of equal ones to the larger share, then to the one named first. A fibre that comes
    to 0 % this way is named after the others as traces, one of no mass not at all. A yarn that is itself a
    blend is given as one mass for each of its fibres. What a label must say follows local rules.

    Examples
    --------
    >>> fibre_content([150, 90, 60], ["cotton", "linen", "Cotton"])
    '70 % cotton, 30 % linen'

    References
    ----------
    [EXACT]
    """
    side_by_side("masses", masses, "fibres", fibres)
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
