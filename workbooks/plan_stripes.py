"""The part of Plan that makes a colour order of the warp from the widths of its stripes."""

from __future__ import annotations

from weavefuncs.workbooks.rows import Band, Given, Row

# As many as stand side by side before the notes begin.
STRIPES = 8

ROWS: list[Row | Band] = [
    Band("Stripes of given widths, as a colour order of the warp to type above"),
    Row(
        "StripeWidths",
        "Width of each stripe",
        note='=SmallUnit&", from the left; blank: no stripes"',
        given=Given("number", "Width wanted of one stripe, the leftmost first.", low=0),
        across=STRIPES,
    ),
    Row(
        "StripeColours",
        "Its colour",
        note="as the colour order is to name it",
        given=Given("text", "Colour of the stripe whose width stands above."),
        across=STRIPES,
    ),
    Row(
        "StripeTimes",
        "They follow each other",
        "times",
        "blank: once",
        Given(
            "whole", "How often all of them stand in the warp, one after the other.", low=1, high=1_000_000
        ),
    ),
    Row(
        "StripesClose",
        "First stripe once more at the end",
        note="so that both edges look alike; blank: no",
        given=Given("text", "Whether the first stripe closes the warp as well.", choices=("yes", "no")),
    ),
    Row(
        "StripeStep",
        "Ends not to be parted",
        "ends",
        "of a dent, or of a repeat of the weave: a stripe has whole ones; blank: 1",
        Given("whole", "Each stripe has so many ends, or a multiple of them.", low=1, high=1_000_000),
    ),
    Row(
        "StripeEnds",
        "Ends of the whole warp",
        "ends",
        "shared by the stripes as their widths are; =Ends for those of this plan; blank: any number",
        Given("whole", "Ends that the stripes must come to. Blank: any number.", low=1, high=1_000_000),
    ),
    Row(
        "StripeOrder",
        "Colour order",
        formula='IF(COUNTA(StripeWidths,StripeColours)=0,"",WEAVE.STRIPEENDS(StripeWidths,StripeColours,Sett,'
        'N(StripeEnds),IF(ISBLANK(StripeTimes),1,StripeTimes),StripesClose="yes",'
        "IF(ISBLANK(StripeStep),1,StripeStep)))",
        kind="text",
        wrap=2,
    ),
]
