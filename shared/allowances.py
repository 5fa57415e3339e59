"""Allowances that weavers start from. All are common practice with no source: measure your own."""

# what, from, to, how it is used
ALLOWANCES = [
    ("Warp take-up", 0.05, 0.15, "share of the warp; less in open cloth, more in close plain cloth"),
    ("Weft slack", 0.02, 0.06, "share of the pick, beyond the width in the reed"),
    ("Draw-in", 0.05, 0.12, "share of the width in the reed"),
    ("Shrinkage in length", 0.03, 0.15, "share of the woven length; wool that is fulled much more"),
    ("Shrinkage in width", 0.03, 0.15, "share of the woven width; wool that is fulled much more"),
    ("Spread of yarn need", 0.03, 0.10, "standard deviation over mean"),
]
