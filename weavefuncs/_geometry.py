"""Peirce's geometry of plain cloth: round threads that bend round each other and lie straight between."""

from __future__ import annotations

import math

# Measured crimps, spacings and diameters are no better than this share of the two diameters together.
MEASURED = 0.01

# Halvings of an interval after which a float has no closer neighbour.
HALVINGS = 60


def jammed(spacing: float) -> float:
    """Return the least spacing of one system for a spacing of the other, below 1.

    Both are in units of the two diameters together.
    """
    straight = math.sqrt((1 - spacing) * (1 + spacing))
    # √(1 - (1 - s)²), written so that a small s keeps its digits.
    return math.sqrt(straight * (2 - straight))


def highest_rise(spacing: float) -> float:
    """Return how far a thread can rise between threads of the other system at this spacing."""
    return 1.0 if spacing >= 1 else 1 - math.sqrt((1 - spacing) * (1 + spacing))


def rise(spacing: float, crimp: float) -> float | None:
    """Return how far a thread of this crimp rises; None where it has no room for its crimp.

    The spacing is that of the other system; it and the result are in units of the two diameters together.
    """
    length = spacing * (1 + crimp)
    low, high = 0.0, min(length, math.pi / 2)
    # As the thread bends further it reaches less far: look for the angle at which it spans the spacing.
    if _span(length, high) > spacing + MEASURED:
        return None
    for _ in range(HALVINGS):
        angle = (low + high) / 2
        if _span(length, angle) > spacing:
            low = angle
        else:
            high = angle
    return (length - low) * math.sin(low) + 1 - math.cos(low)


def crimp_of(spacing: float, height: float) -> float:
    """Return the crimp of a thread that rises so far; the spacing must leave room for it.

    The spacing is that of the other system; both are in units of the two diameters together.
    """
    low, high = 0.0, math.asin(min(spacing, 1.0))
    # A thread that is bent further rises further, up to where it has no straight part left.
    for _ in range(HALVINGS):
        angle = (low + high) / 2
        if _straight(spacing, angle) * math.sin(angle) + 1 - math.cos(angle) < height:
            low = angle
        else:
            high = angle
    return (_straight(spacing, low) + low) / spacing - 1


def _straight(spacing: float, angle: float) -> float:
    return (spacing - math.sin(angle)) / math.cos(angle)


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


def _span(length: float, angle: float) -> float:
    return (length - angle) * math.cos(angle) + math.sin(angle)
