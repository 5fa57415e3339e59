"""Filled planners. People, places and yarns in them are invented."""

from __future__ import annotations

from typing import Any

from weavefuncs.workbooks.example_kit import KIT
from weavefuncs.workbooks.example_stash import STASH
from weavefuncs.workbooks.example_towels import TOWELS


def _marks(rows: str, across: int = 0, down: int = 0) -> list[list[int | None]]:
    """Read marks into cells, the top row first, so many cells from the left and rows from the top."""
    marks: list[list[int | None]] = [[] for _ in range(down)]
    for row in rows.split():
        marks.append([*[None] * across, *(1 if sign == "1" else None for sign in row.rstrip("."))])
    return marks


# A wall hanging in wool on a pegged frame, in centimetres: a chevron of nine rows a leg, odd ends.
WALL_HANGING: dict[str, Any] = {
    "settings": {
        "UnitChoice": "centimetre, metre, gram",
        "Currency": "EUR",
        "Wage": 18,
        "Overhead": 3,
        "FloatLimit": 1.5,
        "PicksAMinute": 5,
        "EndsWoundAnHour": 90,
        "FinishingHours": 1.0,
        "DrawIn": 0.04,
        "ShrinkLength": 0.04,
        "ShrinkWidth": 0.03,
        "WeftTakeUp": 0.06,
    },
    "yarns": [
        {
            "name": "Moor grey",
            "yarn": "120 m/100 g",
            "fibre": "wool",
            "colour": "grey",
            "lot": "7",
            "weighed": 254,
            "tare": 22,
            "put_up": 100,
            "price": 8.4,
        },
        {
            "name": "Oat",
            "yarn": "110 m/100 g",
            "fibre": "wool",
            "colour": "oat",
            "lot": "31",
            "weighed": 148,
            "put_up": 100,
            "price": 7.9,
        },
        {
            "name": "Rust",
            "yarn": "110 m/100 g",
            "fibre": "wool",
            "colour": "rust",
            "lot": "12",
            "weighed": 36,
            "put_up": 50,
            "price": 4.6,
        },
        {
            "name": "Linen warp",
            "yarn": "5/2 Nm",
            "fibre": "linen",
            "colour": "natural",
            "weighed": 310,
            "tare": 40,
            "put_up": 250,
            "price": 19,
            "reserved": 120,
        },
    ],
    "plan": {
        "PieceName": "Hill path, wall hanging",
        "MadeOn": "pegged frame",
        "FinishedWidth": 42,
        "FinishedLength": 70,
        "Header": 1.5,
        "Fringe": 8,
        "Sample": 0,
        "WeaveText": "2/2 twill",
        "RowsUp": 9,
        "FirstSide": "left",
        "WarpYarnName": "Moor grey",
        "WeftYarnName": "Oat",
        "Pegs": 4,
        "WeftSett": 4.5,
        "Parity": "odd",
        "FrameLength": 120,
        "Unweavable": 8,
        "Tie": 60,
        "colours": {
            "weft_order": "36 oat, 18 rust",
            "warp": [("grey", "Moor grey")],
            "weft": [("oat", "Oat"), ("rust", "Rust")],
        },
    },
}

# Two scarves on a four-shaft loom, in inches: 8/2 cotton, striped warp, a floating selvedge.
SCARF: dict[str, Any] = {
    "settings": {
        "UnitChoice": "inch, yard, ounce",
        "Currency": "USD",
        "Wage": 22,
        "Overhead": 4,
        "LoomWaste": 27,
        "LoomWidth": 24,
        "TurnLength": 1.5,
        "FloatLimit": 0.375,
    },
    "yarns": [
        {
            "name": "Cotton ecru",
            "yarn": "8/2 Ne",
            "fibre": "cotton",
            "colour": "ecru",
            "lot": "A",
            "weighed": 10.5,
            "tare": 0.9,
            "put_up": 8,
            "price": 15.5,
        },
        {
            "name": "Cotton slate",
            "yarn": "8/2 Ne",
            "fibre": "cotton",
            "colour": "slate",
            "lot": "C",
            "weighed": 8.2,
            "tare": 0.9,
            "put_up": 8,
            "price": 15.5,
        },
        {
            "name": "Cotton plum",
            "yarn": "8/2 Ne",
            "fibre": "cotton",
            "colour": "plum",
            "lot": "B",
            "weighed": 1.6,
            "tare": 0.9,
            "put_up": 8,
            "price": 16.25,
        },
    ],
    "plan": {
        "PieceName": "Harbour scarf",
        "MadeOn": "shaft loom",
        "Pieces": 2,
        "FinishedWidth": 8.9,
        "FinishedLength": 68,
        "Header": 0.5,
        "Fringe": 5,
        "Sample": 6,
        "WeaveText": "2/2 twill",
        "RowsUp": 24,
        "FirstSide": "right",
        "Floating": "yes",
        "WarpYarnName": "Cotton ecru",
        "WeftYarnName": "Cotton slate",
        "SettWanted": 24,
        "Reed": 12,
        "WeftSett": 22,
        "RepeatEnds": 28,
        "BalanceEnds": 21,
        "colours": {
            "warp_order": "21 ecru, 4 plum, 3 ecru",
            "warp": [("ecru", "Cotton ecru"), ("plum", "Cotton plum")],
            "weft": [("slate", "Cotton slate")],
        },
    },
    # For the next scarf: a point twill that was drawn, and a herringbone that was typed in as its draft.
    "draft": {
        "owned": [70, 70, 70, 70],
        "grid": _marks(
            """
            .11..11.11..11
            ..11..111..11.
            1..11..1..11..
            11..11...11..1
            .11..11.11..11
            ..11..111..11.
            1..11..1..11..
            ..11..111..11.
            .11..11.11..11
            11..11...11..1
            1..11..1..11..
            ..11..111..11.
            .11..11.11..11
            11..11...11..1
            """,
            across=34,
        ),
        "threading": [None] * 32 + [1, 2, 3, 4, 1, 2, 3, 4, 2, 1, 4, 3, 2, 1, 4, 3],
        "tie_up": _marks("..11 .11. 11.. 1..1", down=20),
        "treadled": _marks("...1 ..1. .1.. 1..."),
    },
}

EXAMPLES = {"wall-hanging": WALL_HANGING, "scarf": SCARF, "towels": TOWELS, "kit": KIT, "stash": STASH}
