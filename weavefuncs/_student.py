"""Quantiles of Student's t distribution, with nothing but ``math``."""

from __future__ import annotations

import math

# Relative precision at which a continued fraction or a search stands still.
STILL = 1e-15

# Far more rounds than either takes before it stands still; float dust must not keep one going.
MOST_ROUNDS = 1000

# Stands in for a zero inside the continued fraction.
TINY = 1e-300

# From here on Γ(a + 1/2) / Γ(a) comes from its series: the logarithms of so large factorials lose digits.
LARGE = 100.0


def quantile(probability: float, freedom: int) -> float:
    """Return the t that a share ``probability``, 0.5 to below 1, of the distribution lies below."""
    tail, centre = 1 - probability, probability - 0.5
    # Right of 0 the density falls, so the tail is convex there: Newton's steps from 0 never overshoot.
    t = 0.0
    for _ in range(MOST_ROUNDS):
        step = _above(t, freedom, tail, centre) / _density(t, freedom)
        if step <= STILL * t:
            break
        t += step
    return t


def _density(t: float, freedom: int) -> float:
    half = freedom / 2
    exponent = -(freedom + 1) / 2 * math.log1p(t * t / freedom)
    return _gamma_ratio(half) / math.sqrt(math.pi * freedom) * math.exp(exponent)


def _gamma_ratio(a: float) -> float:
    """Return Γ(a + 1/2) / Γ(a)."""
    if a < LARGE:
        return math.exp(math.lgamma(a + 0.5) - math.lgamma(a))
    x = 1 / (8 * a)
    # Of a, in powers of 1/(8a): 1 - x + x²/2 + 5x³/2 - 21x⁴/8 - 399x⁵/8.
    return math.sqrt(a) * (1 + x * (-1 + x * (1 / 2 + x * (5 / 2 + x * (-21 / 8 - x * 399 / 8)))))


def _above(t: float, freedom: int, tail: float, centre: float) -> float:
    """Return how much more of the distribution lies above t than should, by the incomplete beta function.

    What should lie above t is told as well by what should lie between 0 and t: where t is small, a
    difference of tails near one half would have no digits left.
    """
    half = freedom / 2
    square = t * t
    below, above = freedom / (freedom + square), square / (freedom + square)
    # x^a (1 - x)^b / B(a, b) is the density times t, for either of the two fractions.
    front = _density(t, freedom) * t
    # Each fraction converges fast on its own side of the mean.
    if below < (half + 1) / (half + 2.5):
        return front * _fraction(half, 0.5, below) / half / 2 - tail
    return centre - front * _fraction(0.5, half, above)


def _fraction(a: float, b: float, x: float) -> float:
    """Evaluate the continued fraction of the incomplete beta function, by Lentz's method."""
    c, d = 1.0, 1 / _away_from_zero(1 - (a + b) * x / (a + 1))
    value = d
    for m in range(1, MOST_ROUNDS):
        for numerator in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1 / _away_from_zero(1 + numerator * d)
            c = _away_from_zero(1 + numerator / c)
            change = c * d
            value *= change
        if abs(change - 1) < STILL:
            break
    return value


def _away_from_zero(number: float) -> float:
    return number if abs(number) > TINY else TINY
