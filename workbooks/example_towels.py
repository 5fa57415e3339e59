"""A filled planner: 24 towels in three colourways, in inches. Everything in it is invented."""

from __future__ import annotations

from typing import Any

TOWEL: dict[str, Any] = {
    "product": "Kitchen towel",
    "pieces": 8,
    "width": 18,
    "length": 28,
    "sett": 20,
    "picks": 18,
    "warp": "Cotton ecru",
    "price": 34,
}

CONE: dict[str, Any] = {"yarn": "8/2 Ne", "fibre": "cotton", "tare": 1.6, "put_up": 16, "price": 23.5}

# Two colourways are wound as one warp, the third, ordered later, on one of its own: the batch loses money.
TOWELS: dict[str, Any] = {
    "settings": {
        "Notes": "Wound on two warps, as entered, the 24 towels lose 48.82 USD at 34 USD each. Type A on the "
        "third line of Batch, so that all three colourways share one warp: the second threading and its loom "
        "waste are saved, 134.18 USD, and the same towels leave 85.36 USD.",
        "UnitChoice": "inch, yard, ounce",
        "Currency": "USD",
        "Wage": 20,
        "Overhead": 4,
        "LoomWaste": 27,
        "LoomWidth": 26,
        "LongestWarp": 25,
        "EndsWoundAnHour": 200,
        "EndsThreadedAnHour": 120,
        "PicksAMinute": 24,
        "Efficiency": 0.75,
        "FinishingHours": 0.2,
        "Margin": 0.15,
        "FeeRate": 0.08,
        "FeeFlat": 0.3,
        "PriceStep": 0.5,
    },
    "yarns": [
        {"name": "Cotton ecru", "colour": "ecru", "lot": "E4", "weighed": 52, **CONE},
        {"name": "Cotton indigo", "colour": "indigo", "lot": "I2", "weighed": 17.2, **CONE},
        {"name": "Cotton fern", "colour": "fern", "lot": "F1", "weighed": 16.9, **CONE},
        {"name": "Cotton brick", "colour": "brick", "lot": "B7", "weighed": 9.4, **CONE},
    ],
    "batch": [
        {"order": "Harvest fair", "colourway": "indigo", "weft": "Cotton indigo", "label": "A", **TOWEL},
        {"order": "Harvest fair", "colourway": "fern", "weft": "Cotton fern", "label": "A", **TOWEL},
        {"order": "Late order", "colourway": "brick", "weft": "Cotton brick", "label": "B", **TOWEL},
    ],
}
