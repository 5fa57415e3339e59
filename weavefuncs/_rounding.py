"""Whole numbers out of divisions: up or down, forgiving float dust.

Operators only, so that they serve floats, numpy arrays and pandas Series alike.
"""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

# A value that differs from another by less than this share of itself differs by float dust.
DUST = 1e-12


def whole_up(value: Any) -> Any:
    """Round up, unless only dust lies above the whole number below."""
    return -(-(value * (1 - DUST)) // 1)


def whole_down(value: Any) -> Any:
    """Round down, unless only dust is missing to the whole number above."""
    return value * (1 + DUST) // 1
