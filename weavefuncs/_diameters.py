"""The diameter rule that yarn and sett functions share."""

from __future__ import annotations

from weavefuncs.shared.yarn_systems import TEX_OF_ONE_YARD_PER_POUND

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


def diameters_per_inch(tex: Any, constant: Any) -> Any:
    """Return constant × √(yards per pound), for a number or an array."""
    return constant * (TEX_OF_ONE_YARD_PER_POUND / tex) ** 0.5
