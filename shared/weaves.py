"""Weave texts that a user may start from, and what each is (common practice, no source)."""

WEAVES = [
    ("plain", "over one, under one"),
    ("2/2 twill", "over two, under two, one end over each row"),
    ("2/2 twill left", "the same, leaning the other way"),
    ("3/1 twill", "warp shows more"),
    ("1/3 twill", "weft shows more"),
    ("2/1 twill", "three ends in the repeat"),
    ("2/2 broken twill", "the line broken after two ends"),
    ("2/2 herringbone 8", "eight ends each way across the warp"),
    ("2/2 basket", "two ends and two picks as one"),
    ("2/2 warp rib", "two picks in one shed"),
    ("2/2 weft rib", "two ends as one"),
    ("5 satin 2", "five ends, move two, warp-faced"),
    ("5 sateen 2", "five ends, move two, weft-faced"),
    ("8 satin 3", "eight ends, move three, warp-faced"),
]
