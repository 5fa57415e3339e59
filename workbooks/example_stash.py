"""A filled planner: a hobby stash of 30 yarns with six projects, in metres and grams. All invented."""

from __future__ import annotations

from typing import Any

# Name, count, fibre, colour, dye lot, weighed, tare, put-up, price of a put-up.
_YARNS = """
Dusk grey 211|2/12 Nm|wool|dusk grey|211|96|0|100|9.20
Dusk grey 214|2/12 Nm|wool|dusk grey|214|118|0|100|9.20
Chalk|2/12 Nm|wool|chalk|87|205|0|100|9.20
Moss|2/12 Nm|wool|moss|40|143|0|100|9.20
Bark|2/12 Nm|wool|bark|19|62|0|100|9.20
Heather|2/12 Nm|wool|heather|55|100|0|100|9.20
Ember|2/12 Nm|wool|ember|7|31|0|100|9.20
Lambswool cream|2/28 Nm|lambswool|cream|3|260|18|250|24.00
Lambswool petrol|2/28 Nm|lambswool|petrol|12|188|18|250|24.00
Lambswool plum|2/28 Nm|lambswool|plum|9|74|18|250|24.00
Hand-spun oat|250 m/100 g|wool|oat||140|0||
Hand-spun brown|220 m/100 g|wool|brown||85|0||
Cotton white|16/2 Ne|cotton|white|W1|410|25|250|11.50
Cotton sand|16/2 Ne|cotton|sand|S6|232|25|250|11.50
Cotton sky K2|16/2 Ne|cotton|sky|K2|110|25|250|11.50
Cotton sky K5|16/2 Ne|cotton|sky|K5|88|25|250|11.50
Cotton navy|16/2 Ne|cotton|navy|N9|98|25|250|11.50
Cotton thick white|8/2 Ne|cotton|white|W4|505|25|250|9.80
Cottolin natural|22/2 Ne|cottolin|natural|1|248|30|250|13.90
Cottolin leaf|22/2 Ne|cottolin|leaf|5|133|30|250|13.90
Linen grey|16/2 lea|linen|grey|G3|210|30|250|17.50
Linen bleached|16/2 lea|linen|bleached|B1|96|30|250|17.50
Linen single|12 lea|linen|natural||64|12|250|15.00
Silk pearl|60/2 spun silk|silk|pearl|P2|52|6|50|14.00
Silk ink|60/2 spun silk|silk|ink|P9|21|6|50|14.00
Alpaca fawn|2/16 Nm|alpaca|fawn|22|100|0|50|7.40
Alpaca black|2/16 Nm|alpaca|black|23|46|0|50|7.40
Sock yarn red|400 m/100 g|wool|red|61|88|0|100|12.50
Tapestry odds|120 m/100 g|wool|mixed||310|0||
Carpet warp|8/4 Ne|cotton|natural|1|640|25|450|12.00
"""

# Project, yarn, length needed, may mix lots.
_NEEDS = """
Lattice shawl|Dusk grey 214|760|no
Lattice shawl|Chalk|640|no
Baby blanket|Lambswool cream|2300|no
Baby blanket|Lambswool petrol|1500|no
Tea towels|Cotton white|3100|yes
Tea towels|Cotton sky K2|1250|yes
Place mats|Cottolin natural|1600|no
Place mats|Linen grey|700|yes
Scarf for M.|Alpaca fawn|610|no
Scarf for M.|Silk ink|280|no
Rag rug|Carpet warp|1050|no
"""

_KEYS = ("name", "yarn", "fibre", "colour", "lot", "weighed", "tare", "put_up", "price")
_NUMBERS = ("weighed", "tare", "put_up", "price", "length")


def _lines(text: str, keys: tuple[str, ...]) -> list[dict[str, Any]]:
    lines = []
    for line in text.strip().splitlines():
        cells = dict(zip(keys, line.split("|")))
        lines.append({k: float(v) if k in _NUMBERS else v for k, v in cells.items() if v})
    return lines


STASH: dict[str, Any] = {
    "settings": {
        "Notes": "The stash covers five of six projects. The shawl is short of 52 m in lot 214 of the fjord "
        "grey: lot 211 holds 576 m, but a shawl must not show two lots. Either buy a skein of lot 214, "
        "9.20 EUR, or plan it smaller. The tea towels are short of 99 m in the lot of sky that they name. "
        "They may mix lots: weavefuncs solve takes the rest from the other and saves a cone, 11.50 EUR.",
        "UnitChoice": "centimetre, metre, gram",
        "Currency": "EUR",
        "RecordsWeave": "2/2 twill",
        "RecordsFibre": "wool",
        "LoomWaste": 65,
        "LoomWidth": 70,
    },
    "yarns": _lines(_YARNS, _KEYS),
    "shopping": {"needs": _lines(_NEEDS, ("project", "yarn", "length", "mix"))},
    "records": [
        {
            "date": "2024, March",
            "piece": "Moss scarf",
            "weave": "2/2 twill",
            "fibre": "wool",
            "warp_used": 198,
            "cloth_length": 180,
            "reed_width": 32,
            "cloth_width": 29.6,
            "finished_length": 168,
            "finished_width": 27.4,
            "waste": 62,
            "yarn_planned": 780,
            "yarn_used": 805,
        },
        {
            "date": "2024, October",
            "piece": "Bark cushion",
            "weave": "2/2 twill",
            "fibre": "wool",
            "warp_used": 110,
            "cloth_length": 99.5,
            "reed_width": 52,
            "cloth_width": 47.9,
            "finished_length": 92,
            "finished_width": 44,
            "waste": 66,
            "yarn_planned": 640,
            "yarn_used": 633,
        },
        {
            "date": "2025, January",
            "piece": "Heather throw",
            "weave": "2/2 twill",
            "fibre": "wool",
            "warp_used": 176,
            "cloth_length": 160.5,
            "reed_width": 68,
            "cloth_width": 62.4,
            "finished_length": 150.5,
            "finished_width": 58,
            "waste": 64,
            "yarn_planned": 1450,
            "yarn_used": 1502,
        },
        {
            "date": "2025, May",
            "piece": "White towels",
            "weave": "plain",
            "fibre": "cotton",
            "warp_used": 330,
            "cloth_length": 301,
            "reed_width": 50,
            "cloth_width": 46,
            "finished_length": 285,
            "finished_width": 43.5,
            "waste": 70,
            "yarn_planned": 2600,
            "yarn_used": 2570,
        },
    ],
}
