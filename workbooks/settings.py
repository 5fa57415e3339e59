"""Sheet Settings: units, money, allowances, equipment, speeds, limits."""

from __future__ import annotations

from typing import Any

from weavefuncs.workbooks.book import Book, Sheet
from weavefuncs.workbooks.rows import MONEY_UNIT, RESULT, Band, Given, Row, write_rows

NAME = "Settings"
LAST = 5

UNIT_CHOICES = ("inch, yard, ounce", "inch, yard, gram", "centimetre, metre, gram")

PRACTICE = "common practice, no source; your own records are better"

# What a new planner starts with. Lengths depend on the unit and the loom, so they stay blank.
COMMON = {
    "UnitChoice": "inch, yard, ounce",
    "WarpTakeUp": 0.10,
    "WeftTakeUp": 0.04,
    "DrawIn": 0.08,
    "ShrinkLength": 0.05,
    "ShrinkWidth": 0.05,
    "YarnSpread": 0.05,
    "YarnRisk": 0.05,
    "DiameterConstant": 0.9,
    "Firmness": 0.75,
    "EndsWoundAnHour": 120,
    "EndsThreadedAnHour": 60,
    "PicksAMinute": 12,
    "Efficiency": 0.7,
    "FinishingHours": 0.5,
    "EndsABout": 60,
    "WindingLoss": 0.02,
    "Confidence": 0.9,
}

# Allowances beside which the value from the user's own records is shown, and whether it is a share.
FROM_RECORDS = {
    "WarpTakeUp": ("RecordsTakeUp", True),
    "DrawIn": ("RecordsDrawIn", True),
    "ShrinkLength": ("RecordsShrinkLength", True),
    "ShrinkWidth": ("RecordsShrinkWidth", True),
    "LoomWaste": ("RecordsWaste", False),
    "YarnSpread": ("RecordsSpread", True),
}


def _share(help_text: str, low: float = 0.0, high: float = 0.9) -> Given:
    return Given("fraction", help_text, required=True, low=low, high=high)


def _chosen(position: int) -> str:
    """Pick the short unit of the choice made."""
    first, second, third = (
        ("in", "yd", "oz"),
        ("in", "yd", "g"),
        ("cm", "m", "g"),
    )
    cases = zip(UNIT_CHOICES, (first, second, third))
    text = "NA()"
    for choice, units in reversed(list(cases)):
        text = f'IF(UnitChoice="{choice}","{units[position]}",{text})'
    return text


ROWS: list[Row | Band] = [
    Band("Units and money"),
    Row(
        "Notes",
        "Notes",
        given=Given("text", "What this planner is about, for yourself. Start shows it at its foot."),
        lines=3,
    ),
    Row(
        "UnitChoice",
        "Units",
        note="for every length, sett and weight in this workbook; changing it does not convert what is typed",
        given=Given(
            "text",
            "Choose the units you measure in. Numbers already typed are not converted.",
            required=True,
            choices="UnitList",
        ),
        checks=('IF(AND(NOT(ISBLANK(UnitChoice)),ISERROR(SmallUnit)),"Units must be one of the list","")',),
    ),
    Row("SmallUnit", "Short lengths, and setts per", formula=_chosen(0), kind="text"),
    Row("LongUnit", "Long lengths", formula=_chosen(1), kind="text"),
    Row("MassUnit", "Weights", formula=_chosen(2), kind="text"),
    Row("SmallPerLong", "Short units in a long one", formula='IF(SmallUnit="in",36,100)', kind="whole"),
    Row(
        "Currency",
        "Currency",
        given=Given("text", "A sign or a word shown with amounts of money, such as EUR."),
        note="shown with amounts of money; nothing is converted",
    ),
    Row(
        "Wage",
        "Wage",
        '=TRIM(Currency&" an hour")',
        "what an hour of your work is to earn",
        Given("money", "Money an hour. Blank: your work is left out of the cost, and Start says so."),
    ),
    Row(
        "Overhead",
        "Overhead",
        '=TRIM(Currency&" an hour")',
        "rent, tools, power, spread over the hours you weave",
        Given("money", "Money an hour. Blank: overhead is left out of the cost."),
    ),
    Band("Allowances; shares are shares of the longer length"),
    Row(
        "WarpTakeUp",
        "Warp take-up",
        "",
        "share of the warp lost to going over and under; " + PRACTICE,
        _share("Share of the warp that the weave takes up: 10 % is 0.10. Common: 5 to 15 %."),
    ),
    Row(
        "WeftTakeUp",
        "Weft slack",
        "",
        "share of the weft laid in beyond the width in the reed; " + PRACTICE,
        _share("Share of each pick that is slack beyond the width in the reed. Common: 2 to 6 %."),
    ),
    Row(
        "DrawIn",
        "Draw-in",
        "",
        "share of the width lost between reed and cloth; " + PRACTICE,
        _share("Share of the width in the reed lost at the fell. Common: 5 to 12 %."),
    ),
    Row(
        "ShrinkLength",
        "Shrinkage in length",
        "",
        "from the woven length, tension off, to the finished piece; " + PRACTICE,
        _share("Share of the length off the loom that finishing takes. Common: 3 to 15 %."),
    ),
    Row(
        "ShrinkWidth",
        "Shrinkage in width",
        "",
        "from the woven width, tension off, to the finished piece; " + PRACTICE,
        _share("Share of the width off the loom that finishing takes. Common: 3 to 15 %."),
    ),
    Row(
        "LoomWaste",
        "Loom waste",
        "=SmallUnit",
        "tying on at the front and what cannot be woven at the back; holds the outer fringes",
        Given(
            "number",
            "Warp that never becomes cloth, for one warp. Measure it on your loom. A frame has none.",
            low=0,
        ),
    ),
    Row(
        "Between",
        "Left unwoven between two pieces",
        "=SmallUnit",
        "on Batch: fringes, or a gap to cut in; blank: none",
        Given("number", "Warp left unwoven between two pieces of a batch. Blank: none.", low=0),
    ),
    Row(
        "YarnSpread",
        "Spread of yarn need",
        "",
        "how far real pieces stray from the sum, as a share (standard deviation over mean)",
        _share("How much the yarn used varies from piece to piece: 5 % is 0.05.", high=2.0),
    ),
    Row(
        "YarnRisk",
        "Risk of running short",
        "",
        "how often a yarn may run short; on Kits a kit, which shares the risk among its yarns",
        _share(
            "Chance of running short that you accept: 5 % is 0.05. Smaller means more yarn bought.",
            low=0.0001,
            high=0.5,
        ),
    ),
    Row(
        "WindingLoss",
        "Lost in winding off",
        "",
        "for kits: share of what is taken from the cone; " + PRACTICE,
        _share("Share of the yarn taken from a cone that winding skeins or balls loses: 2 % is 0.02."),
    ),
    Row(
        "Confidence",
        "Confidence in your records",
        "",
        "chance that the next piece stays within the allowance that Records suggests",
        _share("How sure an allowance from your records is to be: 90 % is 0.90.", low=0.5, high=0.999),
    ),
    Row(
        "RecordsWeave",
        "Use records of this weave",
        note="as it is written on Records; blank: of every weave",
        given=Given("text", "Only pieces of this weave are looked at, written as on Records. Blank: all."),
    ),
    Row(
        "RecordsFibre",
        "Use records of this fibre",
        note="as it is written on Records; blank: of every fibre",
        given=Given("text", "Only pieces of this fibre are looked at, written as on Records. Blank: all."),
    ),
    Band("Equipment", new_page=True),
    Row(
        "LoomWidth",
        "Weaving width of the loom",
        "=SmallUnit",
        "blank: not checked",
        Given("number", "The widest warp that the loom takes in its reed. Blank: not checked.", low=0.1),
    ),
    Row(
        "LongestWarp",
        "Longest warp the loom holds",
        "=LongUnit",
        "blank: not checked",
        Given(
            "number",
            "The longest warp that your beam, or your warping mill, holds. Blank: not checked.",
            low=0.01,
        ),
    ),
    Row(
        "EndsABout",
        "Ends in a bout",
        "ends",
        "wound together before they are chained off; " + PRACTICE,
        Given(
            "whole",
            "How many ends you wind before you take the warp off the mill or board.",
            required=True,
            low=1,
            high=10000,
        ),
    ),
    Row(
        "TurnLength",
        "Once round the mill or board",
        "=LongUnit",
        "blank: turns are not counted",
        Given(
            "number",
            "Length of warp in one turn of your warping mill, or along the pegs of your board.",
            low=0.01,
        ),
    ),
    Band("Speeds"),
    Row(
        "EndsWoundAnHour",
        "Ends wound",
        "an hour",
        PRACTICE,
        Given("whole", "How many ends you wind in an hour.", required=True, low=1, high=100000),
    ),
    Row(
        "EndsThreadedAnHour",
        "Ends threaded and sleyed",
        "an hour",
        PRACTICE,
        Given(
            "whole", "How many ends you thread, sley and tie in an hour.", required=True, low=1, high=100000
        ),
    ),
    Row(
        "PicksAMinute",
        "Picks woven",
        "a minute",
        PRACTICE,
        Given("number", "Picks a minute while weaving, without stops.", required=True, low=0.01, high=2000),
    ),
    Row(
        "Efficiency",
        "Share of the time really weaving",
        "",
        "the rest is bobbins, mending, advancing the warp; " + PRACTICE,
        _share("Share of the weaving time in which picks are laid: 70 % is 0.70.", low=0.01, high=1.0),
    ),
    Row(
        "FinishingHours",
        "Finishing",
        "hours a piece",
        "cutting off, hems or fringes, washing, pressing; " + PRACTICE,
        Given("number", "Hours of finishing for one piece.", required=True, low=0, high=1000),
    ),
    Band("Selling"),
    Row(
        "Margin",
        "Margin wanted",
        "",
        "profit as a share of what fees leave of the price; blank: the price only covers the cost",
        Given(
            "fraction", "A share: 20 % is 0.20. Of the price after fees, not of the cost.", low=0, high=0.95
        ),
    ),
    Row(
        "FeeRate",
        "Fees on the price",
        "",
        "of the shop, the market, the card, added up; taken on the price, not on the cost; blank: none",
        Given("fraction", "Share of the price that goes in fees: 8 % is 0.08.", low=0, high=0.95),
    ),
    Row(
        "FeeFlat",
        "Fee for each sale",
        MONEY_UNIT,
        "whatever the price; each piece or kit counts as one sale; blank: none",
        Given("money", "Money taken from each sale, whatever its price.", low=0),
    ),
    Row(
        "PriceStep",
        "Round prices up to the next",
        MONEY_UNIT,
        "only the price suggested is rounded, last of all and upward; blank: a hundredth",
        Given("money", "Prices suggested are raised to a multiple of this: 0.5, say, or 1.", low=0.01),
        formula="IF(ISBLANK(PriceStepGiven),0.01,PriceStepGiven)",
        kind="money",
    ),
    Band("Rules and limits"),
    Row(
        "DiameterConstant",
        "Diameter constant",
        "",
        "times the root of yards a pound gives threads side by side in an inch; 0.84 to 0.966 in print",
        Given("number", "Ashenhurst: 0.84 for soft yarns, 0.90 for firm ones. Taylor: 0.95.", True, 0.1, 2),
    ),
    Row(
        "Firmness",
        "Firmness of cloth",
        "",
        "1 is as close as it will beat, a working cloth about 0.75 (Ashenhurst)",
        _share("Share of the closest sett: 0.75 for working cloth, less for drape.", 0.05, 2.0),
    ),
    Row(
        "FloatLimit",
        "Longest float wanted",
        "=SmallUnit",
        "blank: the limit of the use that is chosen on Cloth; a number here counts in its place",
        Given(
            "number",
            "A float longer than this is a line in the Problems list. Blank: the use on Cloth decides.",
            low=0.001,
        ),
    ),
]


def write(book: Book, values: dict[str, Any]) -> None:
    """Write the sheet."""
    sheet = book.sheet(NAME, [2, 34, 24, 26, 14, 88], "#A9B7B2")
    sheet.title(
        NAME,
        "What stays the same from piece to piece. Fill in the cream cells once; Plan uses them wherever it "
        "has no value of its own.",
        LAST,
    )
    after = write_rows(sheet, 3, ROWS, {**COMMON, **values}, LAST)
    _write_from_records(sheet, 3)
    sheet.page.freeze_panes(3, 0)
    sheet.printing(True, NAME, (after, LAST))


def _write_from_records(sheet: Sheet, first: int) -> None:
    """Show what the records say beside each allowance: the user decides, nothing is taken over unseen."""
    at = first
    for row in ROWS:
        at += isinstance(row, Band) and at > first
        if isinstance(row, Row) and row.key in FROM_RECORDS:
            name, share = FROM_RECORDS[row.key]
            value = f'ROUND(100*{name},1)&" %"' if share else f'ROUND({name},2)&" "&SmallUnit'
            formula = f'=IF(ISNUMBER({name}),"your records: "&{value},"")'
            sheet.write(at, RESULT, formula, sheet.look.note())
        at += 1
