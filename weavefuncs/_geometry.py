"""Peirce's geometry of plain cloth: round threads that bend round each other and lie straight between.

All lengths are in units of the two diameters together. A thread of little crimp differs by little from a
straight one: what differs is worked out by itself, for a difference of two near numbers has no digits left.
"""

from __future__ import annotations

import math

# Measured crimps, spacings and diameters are no better than this share of the two diameters together.
MEASURED = 0.01

# Halvings of an interval after which a float has no closer neighbour.
HALVINGS = 60

# Below this the difference of a small angle and its sine or tangent comes from its series.
SMALL = 0.25
TERMS = 12


def jammed(spacing: float, missing: float) -> float:
    """Return the least spacing of one system for a spacing of the other, and what that misses to 1."""
    straight = math.sqrt(missing * (1 + spacing))
    # √(1 - (1 - s)²), written so that a small s keeps its digits.
    return math.sqrt(straight * (2 - straight))


def highest_rise(spacing: float) -> float:
    """Return how far a thread can rise between threads of the other system at this spacing."""
    if spacing >= 1:
        return 1.0
    # 1 - √(1 - s²), written so that a small s keeps its digits.
    return spacing * spacing / (1 + math.sqrt((1 - spacing) * (1 + spacing)))


def rise(spacing: float, crimp: float) -> float | None:
    """Return how far a thread of this crimp rises; None where it has no room for its crimp.

    The spacing is that of the other system.
    """
    length = spacing * (1 + crimp)
    bent_most = min(length, math.pi / 2)
    if (length - bent_most) * math.cos(bent_most) + math.sin(bent_most) > spacing + MEASURED:
        return None
    # As the thread bends further it reaches less far: look for the angle at which it loses its crimp. That
    # is at least length × angle² / 2 × 0.29 and at most the same without the last factor.
    lost = spacing * crimp
    low = min(math.sqrt(2 * crimp / (1 + crimp)), bent_most)
    high = min(2 * low, bent_most)
    for _ in range(HALVINGS):
        angle = (low + high) / 2
        if 2 * length * math.sin(angle / 2) ** 2 - _sine_less_cosine(angle) < lost:
            low = angle
        else:
            high = angle
    return (length - low) * math.sin(low) + 2 * math.sin(low / 2) ** 2


def crimp_of(spacing: float, height: float) -> float:
    """Return the crimp of a thread that rises so far; the spacing must leave room for it.

    The spacing is that of the other system. The straight part is the tangent that crosses between two
    circles, and the tangent of half its angle follows from it.
    """
    straight = math.sqrt(max(spacing * spacing - height * (2 - height), 0.0))
    half = height / (spacing + straight)
    # (straight part + angle) / spacing - 1
    return (half * height - 2 * _less_arc_tangent(half)) / spacing


def closeness(spacing: float, other: float) -> float:
    """Return by how much both spacings would have to be multiplied for the cloth to be jammed."""
    low, high = 0.0, 1 / max(spacing, other)
    for _ in range(HALVINGS):
        scale = (low + high) / 2
        if highest_rise(spacing * scale) + highest_rise(other * scale) < 1:
            low = scale
        else:
            high = scale
    return low


def _sine_less_cosine(angle: float) -> float:
    """Return sin a - a cos a, which is near a³/3 where the angle is small."""
    if angle > SMALL:
        return math.sin(angle) - angle * math.cos(angle)
    power, total = angle, 0.0
    for k in range(1, TERMS):
        power *= -angle * angle / (2 * k * (2 * k + 1))
        total -= 2 * k * power
    return total


def _less_arc_tangent(tangent: float) -> float:
    """Return t - atan t, which is near t³/3 where the tangent is small."""
    if tangent > SMALL:
        return tangent - math.atan(tangent)
    power, total = tangent, 0.0
    for k in range(1, TERMS):
        power *= -tangent * tangent
        total -= power / (2 * k + 1)
    return total
