"""Sheet Batch: an order book, one line a product and colourway, with what it costs and brings in."""

from __future__ import annotations

from typing import Any

from xlsxwriter.utility import xl_col_to_name

from weavefuncs.workbooks.book import Book, Check, Sheet
from weavefuncs.workbooks.lines import (
    APART,
    IS_BLANK,
    IS_NO_NUMBER,
    NO_NUMBER,
    NOT_ABOVE_ZERO,
    Column,
    Lines,
    amount,
    equal_to,
    first_that_holds,
    input_names,
    not_among,
    tidied,
    which,
)
from weavefuncs.workbooks.look import BAND, WEFT
from weavefuncs.workbooks.rows import MONEY_UNIT, MOST, Given, why
from weavefuncs.workbooks.yarns import yarn_line

NAME = "Batch"
FIRST = 5
LINES = 200

# No program prints just the lines that are filled in: as many as fit a page are printed.
PRINTED = 44

# Settings without which no line can be worked out; a 0 that is meant must be typed.
NEEDED = (
    "WarpTakeUp", "WeftTakeUp", "DrawIn", "ShrinkLength", "ShrinkWidth", "LoomWaste", "EndsWoundAnHour",
    "EndsThreadedAnHour", "PicksAMinute", "Efficiency", "FinishingHours", "YarnSpread", "YarnRisk",
)  # fmt: skip

WOVEN = "{length}/(1-ShrinkLength)"
WIDE = "{width}/(1-ShrinkWidth)/(1-DrawIn)"
NO_PRICE = "OR(COUNT({price})=0,{price}<=0)"
NET = "({price}*(1-N(FeeRate))-N(FeeFlat))"


def _worked_out(formula: str) -> str:
    """Leave a line empty that is not begun; an error in the number of ends goes through the line."""
    return f'IF({{ends}}="","",{formula})'


def _priced(formula: str) -> str:
    """Leave the cell empty where no price is asked."""
    return f'IF(OR({{ends}}="",ISBLANK({{price}})),"",{formula})'


COLUMNS = [
    Column("order", "Order", 13, Given("text", "Whose order it is, or its number."), name="BatchOrders"),
    Column(
        "product",
        "Product",
        18,
        Given("text", "What is woven. A line without a product is not counted."),
        name="BatchProducts",
    ),
    Column("colourway", "Colourway", 14, Given("text", "Its colours in your words."), name="BatchColourways"),
    Column(
        "pieces",
        "Pieces",
        8,
        Given("whole", "How many pieces of this line are woven.", low=1, high=1000000),
        name="BatchPieces",
    ),
    Column(
        "width",
        "Finished width",
        10,
        Given("number", "Width of one piece, washed and pressed.", low=0.01),
        name="BatchWidths",
        unit="SmallUnit",
    ),
    Column(
        "length",
        "Finished length",
        10,
        Given("number", "Length of one piece with its hems, washed and pressed.", low=0.01),
        name="BatchLengths",
        unit="SmallUnit",
    ),
    Column(
        "sett",
        "Ends",
        9,
        Given("number", "Sett: ends in one unit of length in the reed.", low=0.01, high=10000),
        name="BatchSetts",
        unit='"per "&SmallUnit',
    ),
    Column(
        "picks",
        "Picks",
        9,
        Given("number", "Picks in one unit of length, counted with the tension off.", low=0.01, high=10000),
        name="BatchPicks",
        unit='"per "&SmallUnit',
    ),
    Column(
        "warp",
        "Warp yarn",
        17,
        Given("text", "Choose a yarn that stands on Yarns.", choices="YarnNames"),
        name="BatchWarpYarns",
    ),
    Column(
        "weft",
        "Weft yarn",
        17,
        Given("text", "Choose a yarn that stands on Yarns.", choices="YarnNames"),
        name="BatchWeftYarns",
    ),
    Column(
        "label",
        "On warp",
        9,
        Given("text", "Lines with the same mark, such as A, are wound as one warp. Blank: one of its own."),
        name="BatchWarps",
    ),
    Column(
        "price",
        "Price asked",
        10,
        Given("money", "What the buyer pays for one piece, without tax. Blank: not decided yet.", low=0),
        name="BatchPrices",
    ),
    Column(
        "ends",
        "Ends to wind",
        8,
        formula=(
            'IF(ISBLANK({product}),"",IF(OR(COUNT({pieces}:{picks})<5,MIN({pieces}:{picks})<=0,'
            f"BatchSettings<{len(NEEDED)}),NA(),"
            f"WEAVE.ENDS({WIDE},{{sett}})))"
        ),
        kind="whole",
        name="BatchEnds",
    ),
    # What a warp needs once is shared out by pieces, so the shares of a warp add up to 1.
    Column(
        "share",
        "Share of its warp",
        9,
        formula=_worked_out(
            'IF({mark}="",1,{pieces}/SUMIFS(BatchPieces,BatchMarks,'
            f"{equal_to('{mark}')},"
            'BatchProducts,"<>"))'
        ),
        kind="fraction",
        name="BatchShares",
    ),
    # Every piece has its gap, and the waste of the warp one gap less: that is the warp's length exactly.
    Column(
        "warp_length",
        "Warp length",
        10,
        formula=_worked_out(
            f"WEAVE.WARPLENGTH({WOVEN},{{pieces}},N(Between),WarpTakeUp,"
            "N(Between)+{share}*(LoomWaste-N(Between)))/SmallPerLong"
        ),
        kind="two",
        name="BatchWarpLengths",
        unit="LongUnit",
    ),
    Column(
        "warp_yarn",
        "Warp yarn",
        10,
        formula=_worked_out("WEAVE.WARPYARN({ends},{warp_length})"),
        kind="one",
        name="BatchWarpYarn",
        unit="LongUnit",
    ),
    Column(
        "weft_yarn",
        "Weft yarn",
        10,
        # A pick crosses every end that is wound, which may be more than the width asks for.
        formula=_worked_out(
            f"{{pieces}}*WEAVE.WEFTYARN({WOVEN},{{picks}},{{ends}}/{{sett}},WeftTakeUp)/SmallPerLong"
        ),
        kind="one",
        name="BatchWeftYarn",
        unit="LongUnit",
    ),
    Column(
        "setup_hours",
        "Winding, threading",
        11,
        formula=_worked_out("{share}*({ends}/EndsWoundAnHour+{ends}/EndsThreadedAnHour)"),
        kind="one",
        name="BatchSetupHours",
        unit='"hours"',
    ),
    Column(
        "hours",
        "Hours in all",
        9,
        formula=_worked_out(
            f"{{setup_hours}}+{{pieces}}*(WEAVE.PICKSFOR({WOVEN},{{picks}})/PicksAMinute/60/Efficiency"
            "+FinishingHours)"
        ),
        kind="one",
        name="BatchHours",
    ),
    Column(
        "yarn_cost",
        "Cost of yarn",
        10,
        formula=_worked_out(
            f"WEAVE.YARNTOBUY({{warp_yarn}}*INDEX(YarnUnitPrices,{yarn_line('{warp}')})"
            f"+{{weft_yarn}}*INDEX(YarnUnitPrices,{yarn_line('{weft}')}),YarnSpread,YarnRisk)"
        ),
        kind="money",
        name="BatchYarnCosts",
    ),
    Column(
        "cost",
        "Cost of a piece",
        10,
        formula=_worked_out("({yarn_cost}+{hours}*(N(Wage)+N(Overhead)))/{pieces}"),
        kind="money",
    ),
    Column(
        "price_wanted",
        "Price for the margin",
        11,
        formula=_worked_out(
            "ROUNDUP(ROUND(WEAVE.PRICEFORNET({cost}/(1-N(Margin)),N(FeeRate),N(FeeFlat))/PriceStep,6),0)"
            "*PriceStep"
        ),
        kind="money",
    ),
    Column(
        "margin",
        "Margin at the price asked",
        11,
        # A price that fees eat up has no margin; what is lost by it stands beside.
        formula=_priced(f'IF({NO_PRICE},NA(),IF({NET}<=0,"",WEAVE.MARGIN({NET},{{cost}})))'),
        kind="fraction",
    ),
    Column(
        "left",
        "Left over, or lost",
        11,
        formula=_priced(f"IF({NO_PRICE},NA(),{{pieces}}*({NET}-{{cost}}))"),
        kind="money",
        name="BatchLeft",
    ),
    APART,
    # Not shown: the mark without blanks around it. Behind a word it stays a text, even a mark such as 1,
    # which a search would not find among texts in every program.
    Column(
        "mark",
        "",
        2,
        formula=f'IF({tidied("{label}")}="","","warp "&{tidied("{label}")})',
        name="BatchMarks",
    ),
]

INPUT_NAMES = input_names(COLUMNS)

TABLE = Lines(NAME, FIRST, LINES, COLUMNS)

# Where the money goes stands to the right of the lines; their last columns, not shown, lie between.
MONEY = TABLE.right + 1

CAUTION = (
    "Prices here are arithmetic, not tax or legal advice; tax and the labels that a piece must carry follow "
    "the rules where you sell: ask whoever is licensed to say."
)

FINISHING = "BatchSold*FinishingHours"
COSTS = [
    ("Yarn", "SUM(BatchYarnCosts)"),
    ("Winding and threading", "SUM(BatchSetupHours)*N(Wage)"),
    ("Weaving", f"(SUM(BatchHours)-SUM(BatchSetupHours)-{FINISHING})*N(Wage)"),
    ("Finishing", f"{FINISHING}*N(Wage)"),
    ("Overhead", "SUM(BatchHours)*N(Overhead)"),
]


def write(book: Book, lines: list[dict[str, Any]]) -> None:
    """Write the sheet."""
    widths = [2, *(column.width for column in COLUMNS), 24, 13, *[11] * 6]
    sheet = book.sheet(NAME, widths, "#B0653A")
    sheet.title(
        NAME,
        "Orders to weave, one line a product and colourway: what each takes, costs and brings in. Lines with "
        "the same mark under On warp share one warp, and its waste, winding and threading count once. Yarn "
        "is paid for with the allowance on Settings; the lengths are those used. The first "
        f"{PRINTED} lines are printed: clear the print area to print all. " + CAUTION,
        len(INPUT_NAMES),
        lines=3,
    )
    TABLE.write(sheet, lines)
    _totals(sheet)
    _money(sheet)
    for row in TABLE.rows:
        book.checks.append(Check(f"{NAME}, row {row + 1}", f"={_check(row)}"))
    book.checks.append(
        Check(
            NAME,
            '=IF(SUM(BatchPieces)=0,"",IF(ISBLANK(LoomWaste),"Loom waste is blank on Settings: measure it '
            f'on your loom",IF(BatchSettings<{len(NEEDED)},"a value that it needs on Settings is blank or '
            'cannot be used",IF(ISBLANK(Wage),"No wage on Settings: the costs leave your work out",""))))',
        )
    )
    book.checks.append(
        Check(
            NAME,
            '=IF(AND(BatchUnpriced>0,BatchUnpriced<COUNT(BatchEnds)),BatchUnpriced&" of "&COUNT(BatchEnds)&'
            '" lines have no price: what is left of all is not added up","")',
        )
    )
    sheet.page.freeze_panes(FIRST, TABLE.place("colourway"))
    # What is filled in, what comes of it, and where the money goes: a page each.
    footer = f"{NAME}: arithmetic, not tax or legal advice"
    sheet.printing(
        True, footer, (FIRST + PRINTED - 1, MONEY + 7), (FIRST - 1, FIRST - 1), first_row=FIRST - 2
    )
    sheet.pages_wide(66, [TABLE.place("ends"), MONEY], (TABLE.place("product"), TABLE.place("colourway")))


def _totals(sheet: Sheet) -> None:
    """Write the sums above the headings, where they stay in sight."""
    row = FIRST - 2
    look = sheet.look
    sheet.page.set_row(row, 18)
    sheet.write(row, TABLE.place("colourway"), "In all", look.heading("right"))
    sums = {
        "pieces": ('SUMIF(BatchEnds,">0",BatchPieces)', "whole"),
        "warp_yarn": ("SUM(BatchWarpYarn)", "one"),
        "weft_yarn": ("SUM(BatchWeftYarn)", "one"),
        "setup_hours": ("SUM(BatchSetupHours)", "one"),
        "hours": ("SUM(BatchHours)", "one"),
        "yarn_cost": ("SUM(BatchYarnCosts)", "money"),
    }
    for key, (formula, kind) in sums.items():
        shown = formula if key == "pieces" else _once_begun(formula)
        sheet.write(row, TABLE.place(key), f"={shown}", look.result(kind))
    sheet.name_cell("BatchSold", row, TABLE.place("pieces"))
    # The shares of each warp add up to 1.
    warps = TABLE.place("share")
    sheet.write(row, warps, "=ROUND(SUM(BatchShares),6)", look.result("whole"))
    sheet.name_cell("BatchWarpCount", row, warps)
    sheet.write(row, warps - 1, "Warps", look.heading("right"))
    left = TABLE.place("left")
    # One line without a price, and nobody can say what is left.
    left_over = _once_begun('IF(BatchUnpriced>0,"",SUM(BatchLeft))')
    sheet.write(row, left, f"={left_over}", look.result("money"))
    sheet.name_cell("BatchProfit", row, left)
    sheet.mark_errors(row, TABLE.left, row, TABLE.right_shown)
    link = look.make(font_color="#1F5A8A", underline=1)
    sheet.page.write_url(
        row - 1, 1, f"internal:'{NAME}'!{xl_col_to_name(MONEY)}1", link, "Where the money goes"
    )


def _once_begun(formula: str) -> str:
    """Show a sum as soon as there is a line to sum up: before, its 0 would say nothing."""
    return f'IF(SUM(BatchEnds)=0,"",{formula})'


def _money(sheet: Sheet) -> None:
    """Write where the money goes, and draw it."""
    look = sheet.look
    top, column = FIRST, xl_col_to_name(MONEY + 1)
    spent = f"SUM({column}{top + 1}:{column}{top + len(COSTS)})"
    # The buyers pay what is spent and what is left, and the fees on all of it.
    flat, rate = "BatchSold*N(FeeFlat)", "N(FeeRate)"
    fees = f"({spent}+BatchProfit+{flat})/(1-{rate})*{rate}+{flat}"
    parts = [
        *((label, _once_begun(cost)) for label, cost in COSTS),
        ("Fees", f'IF(BatchProfit="","",{fees})'),
        ("Left for you", 'IF(BatchProfit="","",BatchProfit)'),
    ]
    last = top + len(parts) - 1
    paid = f'IF(BatchProfit="","",SUM({column}{top + 1}:{column}{last + 1}))'
    sheet.write(top - 1, MONEY, "Where the money goes", look.heading())
    sheet.write(top - 1, MONEY + 1, MONEY_UNIT, look.heading("right"))
    for row, (label, formula) in enumerate(parts, start=top):
        sheet.write(row, MONEY, label, look.label())
        sheet.write(row, MONEY + 1, f"={formula}", look.result("money"))
    sheet.write(last + 1, MONEY, "Paid by the buyers", look.make(bold=True, indent=1))
    sheet.write(last + 1, MONEY + 1, f"={paid}", look.result("money", bold=True))
    settings = ",".join(NEEDED)
    # Not shown: how many of the settings that the lines need are there.
    sheet.write(2, MONEY, f"=COUNT({settings})", look.out_of_sight())
    sheet.name_cell("BatchSettings", 2, MONEY)
    unpriced = "=SUMPRODUCT(ISNUMBER(BatchEnds)*ISBLANK(BatchPrices))"
    sheet.write(2, MONEY + 3, unpriced, look.out_of_sight())
    sheet.name_cell("BatchUnpriced", 2, MONEY + 3)
    for number, (name, limit) in enumerate(
        [("BatchWidest", "LoomWidth"), ("BatchLongest", "LongestWarp")], start=1
    ):
        sheet.write(2, MONEY + number, f"=IF(ISNUMBER({limit}),{limit},{MOST:.0f})", look.out_of_sight())
        sheet.name_cell(name, 2, MONEY + number)
    sheet.mark_errors(top, MONEY, last + 1, MONEY + 1)
    chart = sheet.book.bar_chart("Where the money goes", "money, as on Settings")
    chart.add_series(
        {
            "name": "Money",
            "categories": [NAME, top, MONEY, last, MONEY],
            "values": [NAME, top, MONEY + 1, last, MONEY + 1],
            "fill": {"color": BAND},
            "invert_if_negative": True,
            "invert_if_negative_color": WEFT,
            "data_labels": {"value": True, "num_format": "#,##0"},
            "gap": 40,
        }
    )
    # Off the edge of its page, or its frame would be seen on the page before.
    sheet.page.insert_chart(last + 3, MONEY, chart, {"object_position": 3, "x_offset": 8})


def _check(row: int) -> str:
    """Say what is wrong with a line, in the order in which a user would mend it."""
    at = TABLE.cells(row, from_elsewhere=True)
    mark, price = at["mark"], at["price"]
    needed = TABLE.across("pieces", "picks", row, from_elsewhere=True)
    measures = TABLE.headed(row, ("pieces", "width", "length", "sett", "picks"))
    numbers = [*measures, *TABLE.headed(row, ["price"])]
    yarns = TABLE.headed(row, ("warp", "weft"))
    # The yarn at fault: the warp yarn, unless it has a price.
    warp_price = f"INDEX(YarnUnitPrices,{yarn_line(at['warp'])})"
    yarn = f"IF(ISNUMBER({warp_price}),{at['weft']},{at['warp']})"
    on_this_warp = equal_to(mark)
    same = (
        f"COUNTIFS(BatchMarks,{on_this_warp},BatchSetts,{at['sett']},BatchWidths,{at['width']},"
        f"BatchWarpYarns,{equal_to(at['warp'])})"
    )
    reason = why("WARPLENGTH", f"{at['length']},{at['pieces']},N(Between),WarpTakeUp,LoomWaste")
    lost = f"0-{at['left']}/{at['pieces']}"
    tests = [
        TABLE.moved(row),
        (
            f"ISBLANK({at['product']})",
            f'IF(COUNTA({needed},{price})>0,"a line without a product is not counted","")',
        ),
        (f"BatchSettings<{len(NEEDED)}", '""'),
        (f"COUNTA({needed})<5", f'{which(IS_BLANK, measures)}&" is blank"'),
        (f"COUNT({needed},{price})<COUNTA({needed},{price})", f"{which(IS_NO_NUMBER, numbers)}&{NO_NUMBER}"),
        (f"MIN({needed},{price})<=0", f'{which(NOT_ABOVE_ZERO, numbers)}&" must be above 0"'),
        (f"ISERROR({at['warp_length']})", reason),
        (f"COUNTA({at['warp']},{at['weft']})<2", f'{which(IS_BLANK, yarns)}&" is blank"'),
        (
            f"ISERROR({at['yarn_cost']})",
            f"IF(ISERROR({yarn_line(yarn)}),{not_among(yarn, 'on Yarns')},"
            f'{yarn}&" has no price or no put-up on Yarns, or is in error there")',
        ),
        (
            f'IF({mark}="",FALSE,{same}<COUNTIF(BatchMarks,{on_this_warp}))',
            '"lines on this warp differ in yarn, width or ends"',
        ),
        (f"{at['ends']}/{at['sett']}>BatchWidest", '"wider in the reed than the loom weaves"'),
        (
            f'IF({mark}="",{at["warp_length"]},'
            f"SUMIF(BatchMarks,{on_this_warp},BatchWarpLengths))>BatchLongest",
            '"its warp is longer than the loom holds"',
        ),
        (f"ISBLANK({price})", '""'),
        (
            f"ISERROR({at['margin']})",
            '"cost of a piece must be above 0: Wage on Settings and the price of its yarn are 0"',
        ),
        (f"{at['left']}<0", f'"loses "&{amount(lost)}&" a piece at the price asked"'),
    ]
    return first_that_holds(tests)
