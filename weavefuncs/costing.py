"""Costing: hours, cost of a batch, prices, fees, and kits from stock."""

from __future__ import annotations

from weavefuncs._lists import side_by_side
from weavefuncs._rounding import DUST, whole_down, whole_up
from weavefuncs.errors import WeaveError
from weavefuncs.registry import Value, formula, row

MINUTES_IN_AN_HOUR = 60


@formula
def weaving_hours(picks: Value, picks_per_minute: Value, efficiency: Value = 1) -> Value:
    """Hours that the weaving of a number of picks takes.

    Parameters
    ----------
    picks : whole or column [picks], >= 1, <= 10000000
        Picks to weave, headers and samples included.
    picks_per_minute : number or column [picks per minute], > 0, <= 10000
        Picks in a minute of weaving without a stop, timed at the loom.
    efficiency : fraction or column, > 0, <= 1, default 1
        Share of the time in which the loom weaves; the rest goes to bobbins, broken ends and breaks.

    Returns
    -------
    number [hours]
        Hours at the loom: picks / picks per minute / 60 / efficiency.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: efficiency above 0 and at most 1; 75 is refused, 75 % is 0.75. Dressing the loom is not
    in it. Not rounded.

    Examples
    --------
    >>> weaving_hours(7200, 20, 0.75)
    8.0

    References
    ----------
    [EXACT]
    """
    return picks / picks_per_minute / MINUTES_IN_AN_HOUR / efficiency


@formula
def hours_for(count: Value, per_hour: Value) -> Value:
    """Hours for a task that is counted: ends to thread or sley, bobbins to wind, hems to sew.

    Parameters
    ----------
    count : number or column, >= 0, <= 1e9
        How many there are to do.
    per_hour : number or column [per hour], > 0, <= 1e9
        How many you do in an hour.

    Returns
    -------
    number [hours]
        Hours.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: as the arguments state; nothing to do takes 0 hours. Not rounded.

    Examples
    --------
    >>> hours_for(360, 240)
    1.5

    References
    ----------
    [EXACT]
    """
    return count / per_hour


@formula
def cloth_per_hour(picks_per_minute: Value, weft_sett: Value, efficiency: Value = 1) -> Value:
    """Length of cloth that is woven in an hour.

    Parameters
    ----------
    picks_per_minute : number or column [picks per minute], > 0, <= 10000
        Picks in a minute of weaving without a stop.
    weft_sett : number or column [picks per unit], > 0, <= 10000
        Picks in one unit of length.
    efficiency : fraction or column, > 0, <= 1, default 1
        Share of the time in which the loom weaves.

    Returns
    -------
    number [unit of length per hour]
        Cloth, in the unit that the weft sett is per.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: efficiency above 0 and at most 1; 75 is refused, 75 % is 0.75. Length on the loom, before
    shrinkage. Not rounded.

    Examples
    --------
    >>> cloth_per_hour(20, 24, 0.75)
    37.5

    References
    ----------
    [EXACT]
    """
    return picks_per_minute * MINUTES_IN_AN_HOUR / weft_sett * efficiency


@formula
def batch_cost(setup: Value, each: Value, quantity: Value) -> Value:
    """Cost of a batch: what is spent once, and what every piece costs.

    Parameters
    ----------
    setup : number or column [money], >= 0, <= 1e9
        Cost that the batch has once: winding, threading, loom waste, a sample.
    each : number or column [money], >= 0, <= 1e9
        Cost of every piece: yarn, weaving, finishing.
    quantity : whole or column [pieces], >= 1, <= 1000000
        Pieces in the batch.

    Returns
    -------
    number [money]
        Cost of the batch: setup + each × quantity.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: at least one piece; all money in one currency. Not rounded: round the price, not its
    parts.

    Examples
    --------
    >>> batch_cost(90, 14.5, 12)
    264.0

    References
    ----------
    [MP598] materials, wage, overhead; [EXACT]
    """
    return setup + each * quantity


@formula
def unit_cost(setup: Value, each: Value, quantity: Value) -> Value:
    """Cost of one piece of a batch, its part of the setup included.

    Parameters
    ----------
    setup : number or column [money], >= 0, <= 1e9
        Cost that the batch has once: winding, threading, loom waste, a sample.
    each : number or column [money], >= 0, <= 1e9
        Cost of every piece: yarn, weaving, finishing.
    quantity : whole or column [pieces], >= 1, <= 1000000
        Pieces in the batch that can be sold.

    Returns
    -------
    number [money]
        Cost of a piece: setup / quantity + each.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: at least one piece; all money in one currency. Not rounded: round the price, not its
    parts.

    Examples
    --------
    >>> unit_cost(90, 14.5, 12)
    22.0

    References
    ----------
    [MP598] materials, wage, overhead; [EXACT]
    """
    return setup / quantity + each


@row
def break_even_quantity(setup: Value, price: Value, each: Value) -> Value:
    """Pieces to sell before a batch has earned its setup back.

    Parameters
    ----------
    setup : number or column [money], >= 0, <= 1e9
        Cost that the batch has once.
    price : number or column [money], > 0, <= 1e9
        What one piece brings in, after fees.
    each : number or column [money], >= 0, <= 1e9
        Cost of every piece.

    Returns
    -------
    whole [pieces]
        Pieces: setup / (price - each), rounded up.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or a piece brings in no more than it costs.

    Notes
    -----
    Valid range: a price above the cost of a piece; at or below it no number of pieces breaks even, and
    that is an error. Rounds up, since one piece fewer still loses; what the computer's rounding adds to
    a whole piece counts as nothing. Without a setup 0 pieces have to be sold first. Tax is not looked at.

    Examples
    --------
    >>> break_even_quantity(90, 30, 14.5)
    6

    References
    ----------
    [EXACT]
    """
    if price <= each * (1 + DUST):
        raise WeaveError("price", f"above what a piece costs ({each:.12g}), or no number breaks even", price)
    quantity = whole_up(setup / (price - each))
    # The difference of two prices close together has lost digits: judge one piece fewer by the sums.
    one_fewer = quantity - 1
    enough = setup + each * one_fewer <= price * one_fewer * (1 + DUST)
    return one_fewer if enough else quantity


@formula
def price_from_markup(cost: Value, markup: Value) -> Value:
    """Price from a cost and a markup, the profit as a share of the cost.

    Parameters
    ----------
    cost : number or column [money], > 0, <= 1e9
        Cost of what is sold.
    markup : number or column, >= 0, <= 10
        Profit as a share of the cost; 1 doubles the cost.

    Returns
    -------
    number [money]
        Price: cost × (1 + markup).

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: markup from 0 to 10; above it the value is far more likely a percentage. A markup is not a
    margin: 50 % on the cost is 33 % of the price. Tax is not looked at: it follows local rules. Not rounded.

    Examples
    --------
    >>> price_from_markup(22, 0.5)
    33.0

    References
    ----------
    [LOUISIANA] retail is twice wholesale; [EXACT]
    """
    return cost * (1 + markup)


@formula
def price_from_margin(cost: Value, margin: Value) -> Value:
    """Price from a cost and a margin, the profit as a share of the price.

    Parameters
    ----------
    cost : number or column [money], > 0, <= 1e9
        Cost of what is sold.
    margin : fraction or column
        Profit as a share of the price; 0.5 doubles the cost.

    Returns
    -------
    number [money]
        Price: cost / (1 - margin).

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: margin from 0 to below 1; towards 1 the price grows without bound, and at 1 no price has
    that margin. Tax is not looked at: it follows local rules. Not rounded.

    Examples
    --------
    >>> price_from_margin(22, 0.5)
    44.0

    References
    ----------
    [EXACT]
    """
    return cost / (1 - margin)


@formula
def markup(price: Value, cost: Value) -> Value:
    """Markup of a price: the profit as a share of the cost.

    Parameters
    ----------
    price : number or column [money], > 0, <= 1e9
        Price without tax, before fees or after them as you mean to compare.
    cost : number or column [money], > 0, <= 1e9
        Cost of what is sold.

    Returns
    -------
    number
        Markup, (price - cost) / cost; below 0 it is a loss.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: as the arguments state. A price below the cost gives a negative markup, the loss as a
    share of the cost. It may exceed 1. Not rounded.

    Examples
    --------
    >>> markup(33, 22)
    0.5

    References
    ----------
    [EXACT]
    """
    return (price - cost) / cost


@formula
def margin(price: Value, cost: Value) -> Value:
    """Margin of a price: the profit as a share of the price.

    Parameters
    ----------
    price : number or column [money], > 0, <= 1e9
        Price without tax, before fees or after them as you mean to compare.
    cost : number or column [money], > 0, <= 1e9
        Cost of what is sold.

    Returns
    -------
    number
        Margin, (price - cost) / price; below 0 it is a loss.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: as the arguments state. A price below the cost gives a negative margin, the loss as a
    share of the price. Always below 1. Not rounded.

    Examples
    --------
    >>> margin(44, 22)
    0.5

    References
    ----------
    [EXACT]
    """
    return (price - cost) / price


@formula
def net_after_fees(price: Value, rate: Value, flat: Value = 0) -> Value:
    """What is left of a price after the fees of a market, a shop or a card.

    Parameters
    ----------
    price : number or column [money], > 0, <= 1e9
        Price that the buyer pays, without tax.
    rate : fraction or column
        Fee as a share of the price; several rates on the same price are added.
    flat : number or column [money], >= 0, <= 1e9, default 0
        Fee for each sale, whatever the price.

    Returns
    -------
    number [money]
        Price less fees: price × (1 - rate) - flat; below 0 the sale costs money.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: rate from 0 to below 1, taken on the price and not on the cost. Where the flat fee is more
    than the rate leaves, the result is negative: the seller pays that much to sell. Tax is not looked at,
    and some fees are taken on the price with it: read what the fee is a share of. Not rounded.

    Examples
    --------
    >>> round(net_after_fees(44, 0.1, 0.5), 2)
    39.1

    References
    ----------
    [EXACT]
    """
    return price * (1 - rate) - flat


@formula
def price_for_net(net: Value, rate: Value, flat: Value = 0) -> Value:
    """Price to ask so that a wanted amount is left after fees.

    Parameters
    ----------
    net : number or column [money], >= 0, <= 1e9
        Amount that must be left.
    rate : fraction or column
        Fee as a share of the price; several rates on the same price are added.
    flat : number or column [money], >= 0, <= 1e9, default 0
        Fee for each sale, whatever the price.

    Returns
    -------
    number [money]
        Price: (net + flat) / (1 - rate).

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: rate from 0 to below 1. The fee is taken on the price, so it is divided out: adding 10 %
    to 39 asks 42.90, and a fee of 10 % leaves 38.61 of it. Tax is not looked at, and some fees
    are taken on the price with it: read what the fee is a share of. Not rounded.

    Examples
    --------
    >>> round(price_for_net(39.1, 0.1, 0.5), 2)
    44.0

    References
    ----------
    [EXACT]
    """
    return (net + flat) / (1 - rate)


@formula
def kit_cost(amounts: Value, prices: Value, extras: Value = 0, winding_loss: Value = 0) -> Value:
    """Cost of the materials of one kit.

    Parameters
    ----------
    amounts : list of numbers [unit of the amount], >= 0, <= 1e9
        Yarn of each kind in the kit, lengths or masses.
    prices : list of numbers [money per unit of the amount], >= 0, <= 1e9
        Price of one unit of each yarn, in the same order.
    extras : number or column [money], >= 0, <= 1e9, default 0
        Everything else in the kit: needle, pattern, box, label.
    winding_loss : fraction or column, default 0
        Share of the yarn taken from the cone that winding loses.

    Returns
    -------
    number [money]
        Cost: sum of amount × price / (1 - winding loss), and the extras.

    Raises
    ------
    WeaveError
        When a value lies outside its range, or the lists are not equally long.

    Notes
    -----
    Valid range: as many prices as amounts, each per the unit of its amount; a price for a skein is first
    divided by what the skein holds. The loss is a share of the yarn taken, so it is divided out. Time is
    not in it. Not rounded.

    Examples
    --------
    >>> round(kit_cost([60, 40], [0.05, 0.08], extras=2.5, winding_loss=0.02), 2)
    8.83

    References
    ----------
    [MP598] materials at replacement cost; [EXACT]
    """
    side_by_side(amounts=amounts, prices=prices)
    yarn = sum(amount * price for amount, price in zip(amounts, prices))
    return yarn / (1 - winding_loss) + extras


@row
def kits_from_stock(stock: Value, per_kit: Value) -> Value:
    """Whole kits that the yarns in stock make.

    Parameters
    ----------
    stock : list of numbers [unit of the amount], >= 0, <= 1e9
        Yarn of each kind in stock.
    per_kit : list of numbers [unit of the amount], >= 0, <= 1e9
        Yarn of each kind in one kit, winding loss included, in the same order and units.

    Returns
    -------
    whole [kits]
        Kits: the fewest that any of the yarns makes.

    Raises
    ------
    WeaveError
        When a value lies outside its range, the lists are not equally long, or a kit holds no yarn.

    Notes
    -----
    Valid range: rounds down, since part of a kit is none; what the computer's rounding takes off a whole kit
    costs none. A yarn of which a kit holds 0 sets no limit. A stock too small for one kit makes 0.

    Examples
    --------
    >>> kits_from_stock([1000, 500], [60, 40])
    12

    References
    ----------
    [EXACT]
    """
    side_by_side(stock=stock, per_kit=per_kit)
    return whole_down(min(making for making, _ in _makes(stock, per_kit)))


@row
def limiting_yarn(stock: Value, per_kit: Value, names: Value) -> str:
    """Name of the yarn that runs out first as kits are made from stock.

    Parameters
    ----------
    stock : list of numbers [unit of the amount], >= 0, <= 1e9
        Yarn of each kind in stock.
    per_kit : list of numbers [unit of the amount], >= 0, <= 1e9
        Yarn of each kind in one kit, in the same order and units.
    names : list of texts
        Name of each yarn, each different.

    Returns
    -------
    text
        The name; where several run out together their names, in the order given, joined by commas.

    Raises
    ------
    WeaveError
        When a value lies outside its range, the lists are not equally long, two yarns have one name, or a
        kit holds no yarn.

    Notes
    -----
    Valid range: parts of kits count, so of two yarns that both make 12 whole kits the one with less over
    is named; two that differ by the computer's rounding alone run out together. A yarn of which a kit
    holds 0 is never named.

    Examples
    --------
    >>> limiting_yarn([1000, 500], [60, 40], ["white", "blue"])
    'blue'

    References
    ----------
    [EXACT]
    """
    side_by_side(stock=stock, per_kit=per_kit, names=names)
    seen = set()
    for name in names:
        if name.casefold() in seen:
            raise WeaveError("names", "each different, so that the yarn named can be told", name)
        seen.add(name.casefold())
    makes = _makes(stock, per_kit)
    fewest = min(makes)[0]
    return ", ".join(names[place] for making, place in makes if making <= fewest * (1 + DUST))


def _makes(stock: Value, per_kit: Value) -> list[tuple[float, int]]:
    """Return how many kits each yarn makes, parts included, with its place in the list."""
    makes = [(held / used, place) for place, (held, used) in enumerate(zip(stock, per_kit)) if used > 0]
    if not makes:
        raise WeaveError("per_kit", "above 0 for one yarn at least", "nothing but zeros")
    return makes
