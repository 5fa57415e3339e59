"""The diameter rule that yarn and sett functions share."""

from __future__ import annotations

from math import pi

from weavefuncs.shared.yarn_systems import TEX_OF_ONE_YARD_PER_POUND

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


def diameters_per_inch(tex: Any, constant: Any) -> Any:
    """Return constant × √(yards per pound), for a number or an array."""
    return constant * (TEX_OF_ONE_YARD_PER_POUND / tex) ** 0.5


# Area in mm² of a round yarn of 1 tex and 1 cm³/g: 1 tex is 1e-5 g/cm, so 1e-5 cm² = 1e-3 mm².
MILLIMETRES_SQUARED_PER_TEX = 1e-3


def round_diameter(tex: Any, specific_volume: Any) -> Any:
    """Return the diameter in mm of a round yarn, for a number or an array."""
    return (4 * MILLIMETRES_SQUARED_PER_TEX * tex * specific_volume / pi) ** 0.5
