"""Words of the trade in the sense in which the functions use them. Common practice, no source."""

from __future__ import annotations

WORDS = (
    ("end, pick", "A thread of the warp; a thread of the weft. A row is a pick."),
    ("sett, weft sett", "Ends in an inch or a centimetre; picks in an inch or a centimetre."),
    ("reed, dent, sley order", "The comb that spaces the warp; a gap of it; how many ends go into each gap."),
    (
        "shaft, treadle, tie-up",
        "A frame that lifts its ends together; a pedal; which shafts each treadle lifts.",
    ),
    ("threading, treadling", "The shaft of each end; the treadle of each pick."),
    ("drawdown, lift plan", "The cloth drawn crossing by crossing; which shafts are up on each pick."),
    ("count, tex", "How fine or heavy a yarn is, in a trade system such as Ne; grams in 1000 metres."),
    ("wraps", "How often a yarn goes round a ruler in an inch or a centimetre, side by side."),
    ("put-up", "What a yarn is sold in: skein, cone, ball."),
    ("dye lot", "What was dyed together; another lot may differ in colour."),
    ("take-up", "How much shorter the cloth is than its straightened thread, as a share of the thread."),
    ("crimp", "The same, as a share of the cloth."),
    ("draw-in", "How much narrower the web is than the warp in the reed, as a share of the latter."),
    ("shrinkage", "What washing or finishing takes off the woven length or width, as a share of it."),
    ("loom waste", "Warp that cannot be woven: tied on in front, left over behind."),
    ("slack", "Weft laid in beyond the width in the reed, as a share of the yarn of the pick."),
    ("float", "A stretch of thread that crosses several others on one side before it is tied again."),
    (
        "repeat, balance",
        "What the pattern does over and over; the threads after the last repeat that close it.",
    ),
    (
        "reversals, leg, turn",
        "Rows woven each way, such as 9,9; the rows of one way; the row after which the way changes.",
    ),
    ("floating selvedge", "An end at each edge on no shaft: the weft goes over and under it by hand."),
    ("spread", "How far measured values stray: standard deviation over mean, 5 % is 0.05."),
    ("markup, margin", "The profit as a share of the cost; as a share of the price."),
)


def glossary() -> str:
    """Return the section of the reference."""
    lines = ["## Words\n", "| word | what it means here |", "|---|---|"]
    lines += [f"| {word} | {meaning} |" for word, meaning in WORDS]
    return "\n".join(lines) + "\n"
