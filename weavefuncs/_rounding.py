"""Whole numbers out of divisions: up or down, forgiving float dust.

They serve floats, numpy arrays and pandas Series alike.
"""

from __future__ import annotations

import sys

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

# A value that differs from another by less than this share of itself differs by float dust.
DUST = 1e-12


def up(value: Any) -> Any:
    """Round up."""
    if getattr(value, "ndim", 0):
        # Whoever made the array has loaded numpy, which rounds several times as fast as it divides.
        return sys.modules["numpy"].ceil(value)
    return -(-value // 1)


def whole_up(value: Any) -> Any:
    """Round up, unless only dust lies above the whole number below."""
    return up(value * (1 - DUST))


def whole_down(value: Any) -> Any:
    """Round down, unless only dust is missing to the whole number above."""
    return value * (1 + DUST) // 1
