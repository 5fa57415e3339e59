"""Records: what past pieces measured, turned into what to plan with next time."""

from __future__ import annotations

import math

from weavefuncs.errors import WeaveError
from weavefuncs.registry import Value, row

# Common practice, no source: what one record may be off, as standard deviation over mean.
SPREAD_OF_ONE_RECORD = 0.1


def _mean_and_deviation(measured: Value) -> tuple[float, float]:
    """Return the mean and the sample standard deviation of two or more records."""
    count = len(measured)
    mean = math.fsum(measured) / count
    off = [value - mean for value in measured]
    # The mean is rounded; where the records lie as close as its last digits, what that adds is taken off.
    squares = max(math.fsum(value * value for value in off) - math.fsum(off) ** 2 / count, 0.0)
    return mean, math.sqrt(squares / (count - 1))


@row
def allowance(measured: Value, confidence: Value = 0.9, measure: Value = "amount") -> Value:
    """Allowance to plan the next piece with, from what past pieces measured.

    Parameters
    ----------
    measured : list of numbers [any one unit], >= 0, <= 1e9
        What past pieces measured: take-up, shrinkage, yarn used; one number a piece, all of one kind.
    confidence : fraction or column, >= 0.5, default 0.9
        Chance that the next piece stays within the allowance; 0.9 is nine pieces in ten.
    measure : {"amount", "share"}, default "amount"
        An amount may be any size; a share, such as take-up, is always below 1.

    Returns
    -------
    number [the same unit]
        What the next piece will measure at most, but for the chance that the confidence leaves.

    Raises
    ------
    WeaveError
        When a value lies outside its range, a record of a share is 1 or more, or the bound of a share is.

    Notes
    -----
    Valid range: pieces woven alike, scattering by the normal law. Two records or more: mean + t × s ×
    √(1 + 1/n), s the sample standard deviation, t Student's quantile of the confidence for n - 1 degrees
    of freedom: the one-sided upper prediction bound of one further piece. Two records that differ give
    a wide bound, and rightly; records that all agree give just that value, so measure finely. One
    record: a spread of 0.10 is supposed (common practice, no source) and the bound is the
    record × (1 + z × 0.10 × √2), z the normal quantile: 18 % on top at 0.9. A confidence of 0.5 gives the
    mean; below it one would plan to fall short, and that is refused. A share whose bound comes to 1 or
    more is refused: it needs more records, or a lower confidence. An amount has no such limit, so say
    share for shares. Not rounded.

    Examples
    --------
    >>> round(allowance([0.08, 0.10, 0.09], measure="share"), 4)
    0.1118
    >>> round(allowance([1000]), 1)
    1181.2

    References
    ----------
    [MEMORY] prediction bound of a normal sample; [PRACTICE] spread of one record
    """
    if measure == "share":
        for number, value in enumerate(measured, start=1):
            if value >= 1:
                raise WeaveError(f"measured[{number}]", "below 1 for a share: 10 % is 0.10", value)
    if len(measured) == 1:
        # Slow to load, and seldom needed.
        from statistics import NormalDist

        z = NormalDist().inv_cdf(confidence)
        bound = measured[0] * (1 + z * SPREAD_OF_ONE_RECORD * math.sqrt(2))
    else:
        from weavefuncs._student import quantile

        count = len(measured)
        mean, deviation = _mean_and_deviation(measured)
        bound = mean + quantile(confidence, count - 1) * deviation * math.sqrt(1 + 1 / count)
    if measure == "share" and bound >= 1:
        raise WeaveError(
            "measured",
            f"more or closer records for a confidence of {confidence:.6g}: the bound of this share "
            f"comes to {bound:.4g}, and a share is below 1",
            measured,
        )
    return bound


@row
def spread(measured: Value) -> Value:
    """Spread of what past pieces measured: standard deviation over mean.

    Parameters
    ----------
    measured : list of numbers [any one unit], >= 0, <= 1e9
        What past pieces measured, one number a piece, all of one kind; two at least.

    Returns
    -------
    number
        Spread, as a share of the mean: sample standard deviation / mean.

    Raises
    ------
    WeaveError
        When a value lies outside its range, there are fewer than two records, or all are 0.

    Notes
    -----
    Valid range: two records at least, since one has no spread; a mean above 0. The sample standard
    deviation divides by n - 1. A spread from two or three records is itself a rough guess. Not rounded.

    Examples
    --------
    >>> round(spread([950, 1000, 1050]), 4)
    0.05

    References
    ----------
    [EXACT]
    """
    if len(measured) == 1:
        raise WeaveError("measured", "two records at least: one has no spread", measured)
    mean, deviation = _mean_and_deviation(measured)
    if mean == 0:
        raise WeaveError("measured", "above 0 in one record at least", measured)
    return deviation / mean
