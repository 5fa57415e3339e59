"""Yarns: their weight, length, thickness, and the ways of counting them."""

from __future__ import annotations

from weavefuncs._diameters import diameters_per_inch, round_diameter
from weavefuncs.errors import WeaveError
from weavefuncs.registry import Value, formula, row
from weavefuncs.shared.yarn_weights import YARN_WEIGHTS


@formula
def tex(yarn: Value) -> Value:
    """Weight of a yarn in tex, the grams in 1000 metres.

    Parameters
    ----------
    yarn : yarn or column
        Yarn with its system, such as 8/2 Ne.

    Returns
    -------
    number [tex]
        Grams in 1000 m of the whole yarn, all plies together.

    Raises
    ------
    WeaveError
        When the text is no yarn, or has no system.

    Notes
    -----
    Valid range: yarns from 0.01 to 1,000,000 tex; outside it the yarn is
    refused. Of the two numbers of 8/2 or 2/8 the smaller is the ply, and where
    only one is whole, that is the ply; 2 Ne x 3 writes it out. Two numbers from
    10 to 100, as 12/18, are refused where they differ, for either may be the
    ply: write 12 Ne x 18 or 18 Ne x 12. Direct systems multiply:
    20 tex x 3 is 60 tex. A spun-silk number already counts the folded yarn. What
    may be decimals or thousands, as 3,360 yd/lb or 1.680 m/kg, is refused: write
    3360 yd/lb. Not rounded.

    Examples
    --------
    >>> round(tex("8/2 Ne"), 3)
    147.635
    >>> tex("400 m/100 g")
    250.0

    References
    ----------
    [UNITS] yarn section; [TAYLOR] folded yarns; [PRACTICE] which number is the ply; [EXACT]
    """
    return yarn


@row
def count(yarn: Value, system: Value) -> Value:
    """Count of a yarn in another system: the number that it would have there as a single yarn.

    Parameters
    ----------
    yarn : yarn or column
        Yarn with its system, such as 8/2 Ne.
    system : yarn system or column
        System to count in, such as Ne, tex, yd/lb or m/100 g.

    Returns
    -------
    number [in the system given]
        Number of the whole yarn in that system.

    Raises
    ------
    WeaveError
        When the text is no yarn, or the system is unknown.

    Notes
    -----
    Valid range: yarns from 0.01 to 1,000,000 tex; outside it the yarn is
    refused. The plies are resolved: 2/40 Ne counts 20. Not rounded.

    Examples
    --------
    >>> round(count("8/2 Ne", "yd/lb"), 6)
    3360.0
    >>> round(count("2/24 worsted", "Nm"), 2)
    13.55

    References
    ----------
    [UNITS] yarn section; [BROOKS]; [EXACT]
    """
    return system.number(yarn)


@formula
def plied(yarns: Value, twist_take_up: Value = 0) -> Value:
    """Weight in tex of several yarns twisted or held together.

    Parameters
    ----------
    yarns : list of yarns
        The strands, each with its system; a strand used twice is listed twice.
    twist_take_up : fraction or column, default 0
        Share of the strands' length that the twist takes up; 0 for strands held side by side.

    Returns
    -------
    number [tex]
        Grams in 1000 m of the strands together.

    Raises
    ------
    WeaveError
        When a strand is no yarn, or the take-up is not a fraction.

    Notes
    -----
    Valid range: at least one strand; take-up from 0 to below 1, and at 1 there
    would be no length left: refused. The sum of the strands is divided by
    1 − take-up. Not rounded.

    Examples
    --------
    >>> plied(["20 tex", "30 tex"])
    50.0
    >>> plied(["20 tex", "20 tex"], 0.2)
    50.0

    References
    ----------
    [TAYLOR] folded yarns; [EXACT]
    """
    return sum(yarns) / (1 - twist_take_up)


@formula
def yarn_length(mass: Value, yarn: Value, mass_unit: Value = "g", length_unit: Value = "m") -> Value:
    """Length of a yarn from its weight.

    Parameters
    ----------
    mass : number or column [mass_unit], >= 0, <= 1e9
        Weight of the yarn alone, without cone or paper.
    yarn : yarn or column
        Yarn with its system, such as 8/2 Ne.
    mass_unit : mass unit or column, default "g"
        Unit of the weight, such as g or oz.
    length_unit : length unit or column, default "m"
        Unit of the length, such as m or yd.

    Returns
    -------
    number [length_unit]
        Length of the yarn.

    Raises
    ------
    WeaveError
        When the weight lies outside its range, the yarn has no system, or a unit is unknown.

    Notes
    -----
    Valid range: weights from 0 to 1,000,000,000, yarns from 0.01 to 1,000,000 tex; outside
    it they are refused. Not rounded: yarn numbers are nominal, and a real yarn
    is a few per cent off.

    Examples
    --------
    >>> round(yarn_length(1, "8/2 Ne", "lb", "yd"), 6)
    3360.0
    >>> yarn_length(50, "400 m/100 g")
    200.0

    References
    ----------
    [UNITS] yarn section; [EXACT]
    """
    return mass * mass_unit * 1000 / yarn / length_unit


@formula
def yarn_mass(length: Value, yarn: Value, length_unit: Value = "m", mass_unit: Value = "g") -> Value:
    """Weight of a given length of a yarn.

    Parameters
    ----------
    length : number or column [length_unit], >= 0, <= 1e9
        Length of the yarn.
    yarn : yarn or column
        Yarn with its system, such as 8/2 Ne.
    length_unit : length unit or column, default "m"
        Unit of the length, such as m or yd.
    mass_unit : mass unit or column, default "g"
        Unit of the weight, such as g or oz.

    Returns
    -------
    number [mass_unit]
        Weight of the yarn.

    Raises
    ------
    WeaveError
        When the length lies outside its range, the yarn has no system, or a unit is unknown.

    Notes
    -----
    Valid range: lengths from 0 to 1,000,000,000, yarns from 0.01 to 1,000,000 tex; outside
    it they are refused. Not rounded: yarn numbers are nominal, and a real yarn
    is a few per cent off.

    Examples
    --------
    >>> yarn_mass(200, "400 m/100 g")
    50.0
    >>> round(yarn_mass(3360, "8/2 Ne", "yd", "lb"), 6)
    1.0

    References
    ----------
    [UNITS] yarn section; [BROOKS]; [EXACT]
    """
    return length * length_unit * yarn / 1000 / mass_unit


@formula
def yarn_diameters(yarn: Value, constant: Value = 0.9, per: Value = "in") -> Value:
    """Diameters of a yarn that lie side by side in an inch or a centimetre.

    Parameters
    ----------
    yarn : yarn or column
        Yarn with its system, such as 8/2 Ne.
    constant : number or column, > 0, <= 2, default 0.9
        Of the rule: Ashenhurst 0.84 for soft yarn and 0.9 for firm, Taylor 0.95 for cotton, Peirce 0.966.
    per : sett unit or column, default "in"
        Whether to count in an inch or a centimetre.

    Returns
    -------
    number [diameters per unit]
        The constant times the square root of the yards in a pound, per inch.

    Raises
    ------
    WeaveError
        When the yarn has no system, or the constant lies outside its range.

    Notes
    -----
    Valid range: constants above 0 and at most 2, refused outside; published
    are 0.84 to 0.966. A rule of thumb: authorities dispute the constant, and wraps
    counted on a ruler depend on the hand. Not rounded.

    Examples
    --------
    >>> round(yarn_diameters("8/2 Ne"), 2)
    52.17
    >>> round(yarn_diameters("8/2 Ne", per="cm"), 2)
    20.54

    References
    ----------
    [ASHENHURST] diameter rule; [TAYLOR] threads per inch; [PEIRCE] 28 √Ne
    """
    return diameters_per_inch(yarn, constant) * per


@formula
def yarn_diameter(yarn: Value, specific_volume: Value = 1.1) -> Value:
    """Diameter in millimetres of a yarn taken as round.

    Parameters
    ----------
    yarn : yarn or column
        Yarn with its system, such as 8/2 Ne.
    specific_volume : number or column [cm³/g], >= 0.1, <= 10, default 1.1
        Volume of a gram of the yarn, air between its fibres included; Peirce took 1.1 for cotton.

    Returns
    -------
    number [mm]
        Diameter of the yarn.

    Raises
    ------
    WeaveError
        When the yarn has no system, or the specific volume lies outside its range.

    Notes
    -----
    Valid range: specific volumes from 0.1 to 10 cm³/g, refused outside. A
    woven yarn is flattened, so this is an estimate. Not rounded.

    Examples
    --------
    >>> round(yarn_diameter("36 Ne"), 3)
    0.152

    References
    ----------
    [PEIRCE] specific volume 1.1; [GATE2007] 36s cotton; [GATE2008] 30 tex
    """
    return round_diameter(yarn, specific_volume)


@row
def yarn_weight_class(wraps: Value) -> Value:
    """Names of the standard yarn weights that wraps per inch fit.

    Parameters
    ----------
    wraps : number or column [per inch], > 0, <= 200
        Wraps per inch, side by side without gaps or overlap.

    Returns
    -------
    text
        Every name whose range holds the wraps, finest first, joined by commas.

    Raises
    ------
    WeaveError
        When the wraps lie outside their range, or fit no name.

    Notes
    -----
    Valid range: 1 to 4 and 5 to 200 wraps per inch; elsewhere no name applies,
    and that is an error. The ranges are from memory; they overlap, so several
    names may fit, and both edges belong to a range.

    Examples
    --------
    >>> yarn_weight_class(14)
    'super fine, fine, light'

    References
    ----------
    [MEMORY] standard yarn weights
    """
    fitting = [name for name, (fewest, most) in YARN_WEIGHTS.items() if fewest <= wraps <= most]
    if not fitting:
        ranges = ", ".join(
            f"{name} {fewest:g} and more" if most == float("inf") else f"{name} {fewest:g} to {most:g}"
            for name, (fewest, most) in YARN_WEIGHTS.items()
        )
        raise WeaveError("wraps", f"within a standard yarn weight ({ranges})", wraps)
    return ", ".join(fitting)
