"""Headings by which the columns of a stash are known, in whatever table it was kept.

Case, spaces, dots, and hyphens do not matter; a unit may follow in brackets.
"""

# column: other headings of the same; the first is the one that users are told
STASH_HEADINGS = {
    "name": ("name", "yarn name", "name of yarn", "label", "item", "what"),
    "yarn": ("count", "yarn and its count", "yarn count", "size", "grist", "yarn size"),
    "fibre": ("fibre", "fibre content", "fiber", "fiber content", "material", "content"),
    "colour": ("colour", "colourway", "color", "colorway", "shade"),
    "lot": ("dye lot", "dyelot", "lot number", "lot no", "batch"),
    "weighed": ("weight", "weighed now", "weight now", "weight left", "gross weight"),
    "tare": ("empty cone", "empty cone weight", "cone weight", "weight of cone", "empty"),
    "put_up": ("full put-up", "put-up weight", "full weight", "skein weight", "weight of put-up"),
    "put_up_length": (
        "put-up length",
        "length of a put-up",
        "length per put-up",
        "skein length",
        "length of put-up",
    ),
    "put_up_price": ("price", "price of a put-up", "put-up price", "price each", "price per put-up"),
    "reserved": ("promised", "promised elsewhere", "set aside"),
    "left": ("length left", "yards left", "metres left", "meters left", "length"),
    "free": ("length free", "free length", "available"),
}

# What a heading without a unit in brackets is in, if the heading itself names one.
HEADINGS_WITH_UNITS = {"yards left": "yd", "metres left": "m", "meters left": "m"}
