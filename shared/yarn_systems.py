"""Yarn systems by exact definition, and the spellings that a yarn text may use.

An indirect number is length per mass (a higher number is a finer yarn), a
direct one mass per length. The third column is the tex of number 1: an
indirect yarn has that tex divided by its number, a direct one multiplied.
"""

# Exact: 1 lb = 453.59237 g, 1 yd = 0.9144 m.
TEX_OF_ONE_YARD_PER_POUND = 453592.37 / 0.9144

# name: what it counts, direct or indirect, tex of number 1, source
YARN_SYSTEMS = {
    "Ne": ("cotton: hanks of 840 yd in a pound", "indirect", TEX_OF_ONE_YARD_PER_POUND / 840, "UNITS"),
    "worsted": ("hanks of 560 yd in a pound", "indirect", TEX_OF_ONE_YARD_PER_POUND / 560, "UNITS"),
    "lea": ("linen: leas of 300 yd in a pound", "indirect", TEX_OF_ONE_YARD_PER_POUND / 300, "UNITS"),
    "run": ("woollen: runs of 1600 yd in a pound", "indirect", TEX_OF_ONE_YARD_PER_POUND / 1600, "UNITS"),
    "cut": ("woollen: cuts of 300 yd in a pound", "indirect", TEX_OF_ONE_YARD_PER_POUND / 300, "UNITS"),
    "skein": (
        "Yorkshire woollen: skeins of 1536 yd in 6 lb",
        "indirect",
        TEX_OF_ONE_YARD_PER_POUND * 6 / 1536,
        "EXACT",
    ),
    "spun silk": (
        "hanks of 840 yd in a pound of the folded yarn",
        "indirect",
        TEX_OF_ONE_YARD_PER_POUND / 840,
        "TAYLOR",
    ),
    "Nm": ("metric: metres in a gram", "indirect", 1000.0, "UNITS"),
    "typp": ("thousands of yards in a pound", "indirect", TEX_OF_ONE_YARD_PER_POUND / 1000, "UNITS"),
    "tex": ("grams in 1000 m", "direct", 1.0, "UNITS"),
    "dtex": ("grams in 10,000 m", "direct", 0.1, "PINT"),
    "drex": ("grams in 10,000 m", "direct", 0.1, "UNITS"),
    "denier": ("grams in 9000 m", "direct", 1 / 9, "UNITS"),
    "jute": ("pounds in 14,400 yd", "direct", TEX_OF_ONE_YARD_PER_POUND / 14400, "PINT"),
}

# The number of these already counts the folded yarn: 40/2 is as heavy as 40.
FOLDED_SYSTEMS = ("spun silk",)

YARN_SPELLINGS = {
    "nec": "Ne",
    # From memory, no source: the English count of linen, and of worsted (K for the German Kammgarn).
    "nel": "lea",
    "nek": "worsted",
    "ecc": "Ne",
    "cotton": "Ne",
    "cotton count": "Ne",
    "english cotton count": "Ne",
    "worsted count": "worsted",
    "linen": "lea",
    "linen lea": "lea",
    "woollen run": "run",
    "woolen run": "run",
    "woollen cut": "cut",
    "woolen cut": "cut",
    "yorkshire": "skein",
    "yorkshire skein": "skein",
    "yorkshire woollen skein": "skein",
    "spun silk count": "spun silk",
    "metric": "Nm",
    "metric count": "Nm",
    "decitex": "dtex",
    "den": "denier",
    "jute count": "jute",
    "aberdeen": "jute",
}

# Length per mass that the trade also writes as one word: length unit, mass unit.
YARN_GRISTS = {"ypp": ("yd", "lb")}

# Names that stand for several systems, and why they are refused.
AMBIGUOUS_YARNS = {
    "silk": "bare silk may be spun silk or Nm, which differ: write spun silk, Nm, tex or denier",
    "wool": "bare wool may be worsted, run, cut, skein or Nm: write which",
    "woollen": "bare woollen may be run, cut, skein or Nm: write which",
    "woolen": "bare woolen may be run, cut, skein or Nm: write which",
}
