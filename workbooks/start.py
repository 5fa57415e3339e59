"""Sheet Start: what to do first, the plan in short, and what is wrong with it."""

from __future__ import annotations

from typing import Any

from xlsxwriter.utility import xl_rowcol_to_cell

from weavefuncs.workbooks.book import Book, Sheet
from weavefuncs.workbooks.lines import amount
from weavefuncs.workbooks.look import INPUT, PROBLEM, PROBLEM_INK, RESULT, RULE

NAME = "Start"
CHECKS = "Checks"

PROBLEMS_SHOWN = 20

# Rows of the list: more than problems, for some take two or three.
LINES_SHOWN = 30

# Said of a check that could not be made because a cell that it looks at is in error.
FOLLOWS = '"is itself an error"'

# Two lines of a problem fit; what stands on the left keeps the same rhythm.
ROW_HEIGHT = 27

# Signs that surely fit on two lines. No program makes a row higher for a text that a formula gives, so what
# is longer goes on in the row below.
ROOM = 170

# Stands for the last blank that fits; nobody types it.
MARK = "¦"

STEPS = [
    ("Settings", "Choose your units. Look over the allowances, and fill in your loom's waste."),
    ("Yarns", "List the yarn you have: its count, what it weighs, what a put-up costs."),
    ("Plan", "For one piece in full: fill in the cream cells from the top, and read what comes out."),
    ("Cloth", "Look at the drawing, the longest floats and the edges."),
    ("Draft", "For a weave of your own: draw it, and read its threading, tie-up and treadling."),
    ("Weaving order", "Print it, take it to the loom and tick the rows off."),
    ("Batch", "For orders: what each line takes, costs and brings in, and where the money goes."),
    ("Kits", "For kits to sell: what is in them, how many the stock makes, what one must cost."),
    ("Shopping", "What all of it takes together, yarn by yarn, and what to buy. Other projects go here."),
    ("Solved", "What no formula finds: shared warps, yarn for each project. A command fills it."),
    ("Records", "After the loom: write down what the piece measured, for the next plan."),
]

SUMMARY = [
    ("Piece", 'PieceName&IF(Pieces>1,", "&Pieces&" of them","")'),
    (
        "Finished size",
        'ROUND(WidthComesOut,1)&" "&SmallUnit&" wide, "&ROUND(LengthComesOut,1)&" "&SmallUnit&" long"',
    ),
    (
        "Weave",
        'WeaveText&IF(Turns="","",", turning after "&RowsUp&IF(ISBLANK(RowsBack),""," and "&RowsBack)&'
        '" rows")',
    ),
    (
        "Ends",
        'Ends&" at "&ROUND(Sett,2)&" per "&SmallUnit&IF(OnFrame,", on "&PegsTaken&" pegs",'
        '", reed "&Reed&" per "&SmallUnit&", sley "&Sley)&IF(Floating="yes",", and 2 floating selvedges","")',
    ),
    ("Width on the loom", 'ROUND(WarpWidth,1)&" "&SmallUnit'),
    ("Warp", 'ROUND(WarpLong,2)&" "&LongUnit&" long, "&ROUND(WarpYarnLength,0)&" "&LongUnit&" of yarn"'),
    (
        "Rows",
        'RowsWoven&" in each piece, "&ROUND(WeftSett,2)&" picks per "&SmallUnit&"; "&PicksAll&'
        '" picks in all"',
    ),
    ("Weft", 'ROUND(WeftYarnLength,0)&" "&LongUnit&" of yarn"'),
    ("Yarn weight", 'ROUND(SUM(PlanYarnWeights),1)&" "&MassUnit'),
    (
        "Longest floats",
        'FloatWarp&" threads of the warp ("&ROUND(FloatWarpLength,2)&" "&SmallUnit&"), "&FloatWeft&'
        '" of the weft ("&ROUND(FloatWeftLength,2)&" "&SmallUnit&")"&IF(N(FloatEdge)>N(FloatWeft),", "&'
        'FloatEdge&" round the edges ("&ROUND(FloatEdge/Sett,2)&" "&SmallUnit&")","")',
    ),
    ("Hours", 'ROUND(HoursInAll,1)&" in all"'),
    ("Cost of a piece", f'{amount("CostEach")}&IF(ISBLANK(Wage),", without your work","")'),
]

# What is sold and bought, shown as soon as something of it is filled in.
BUSINESS = [
    (
        "Batch",
        "BatchSold>0",
        'BatchSold&" pieces on "&BatchWarpCount&IF(BatchWarpCount=1," warp, "," warps, ")&'
        'ROUND(SUM(BatchHours),1)&" hours"&IF(BatchProfit="","",IF(BatchProfit<0,", loses ",", leaves ")&'
        f"{amount('MAX(BatchProfit,-BatchProfit)')})",
    ),
    (
        "Kits",
        "COUNTA(KitNames)>0",
        'COUNTA(KitNames)&IF(COUNTA(KitNames)=1," kit"," kits")&"; the stock makes "&INDEX(KitMakes,1)&'
        '" of the first, and "&INDEX(KitLimits,1)&" runs out first"',
    ),
    (
        "Shopping",
        "NeedsShort+ShopPutUpCount>0",
        'ShopPutUpCount&IF(ShopPutUpCount=1," put-up"," put-ups")&" to buy for "&'
        f'{amount("ShopCost")}&IF(NeedsShort=0,"","; "&NeedsShort&'
        'IF(NeedsShort=1," project is"," projects are")&" short of a lot")',
    ),
]


def write(book: Book) -> Sheet:
    """Write the sheet; its Problems list is filled by :func:`write_checks` when all sheets stand."""
    sheet = book.sheet(NAME, [2, 20, 74, 3, 34, 78], "#26302F")
    look = sheet.look
    sheet.title(
        "Weaving planner",
        "Ends, sett, warp, yarn, rows, hours and prices, worked out from what you fill in.",
        5,
        lines=1,
    )
    sheet.band(3, "Settings and Yarns first, then what you need", 2)
    for number, (target, text) in enumerate(STEPS, start=4):
        sheet.page.write_url(
            number,
            1,
            f"internal:'{target}'!A1",
            look.make(font_color="#1F5A8A", underline=1, indent=1),
            target,
        )
        sheet.write(number, 2, text, look.make(text_wrap=True))
    row = 4 + len(STEPS) + 1
    sheet.band(row, "What the colours mean", 2)
    colours = [
        (
            INPUT,
            "Yours",
            "Cream cells are yours to fill in; each has a line of help. Paste texts or values alone (Paste "
            "Special): a format pasted along locks the cell.",
        ),
        (RESULT, "Worked out", "Grey-green cells are formulas and are locked; there is no password."),
        (PROBLEM, "Problem", "A cell like this cannot be worked out. The list on the right says why."),
    ]
    for number, (colour, name, text) in enumerate(colours, start=row + 1):
        ink = PROBLEM_INK if colour == PROBLEM else "#26302F"
        sheet.write(
            number, 1, name, look.make(bg_color=colour, border=1, border_color=RULE, indent=1, font_color=ink)
        )
        sheet.write(number, 2, text, look.make(indent=1, text_wrap=True))
    row += 2 + len(colours)
    sheet.new_page(row)
    sheet.band(row, "The plan in short", 2)
    for number, (label, formula) in enumerate(SUMMARY, start=row + 1):
        sheet.write(number, 1, label, look.label())
        sheet.write(
            number, 2, f'=IF(Begun,{formula},"")', look.make(bottom=4, bottom_color=RULE, shrink=True)
        )
    first, last = row + 1, row + len(SUMMARY) + len(BUSINESS)
    for number, (label, when, formula) in enumerate(BUSINESS, start=first + len(SUMMARY)):
        sheet.write(number, 1, label, look.label())
        style = look.make(bottom=4, bottom_color=RULE, shrink=True)
        sheet.write(number, 2, f'=IF({when},{formula},"")', style)
    book.name("PlanSummary", NAME, (first, 1), (last, 2))
    sheet.mark_errors(first, 2, last, 2)
    sheet.page.merge_range(
        last + 2,
        1,
        last + 4,
        2,
        "Sett, take-up and shrinkage are estimates until a sample is woven and washed. Costs are arithmetic, "
        "not tax or legal advice; labels, safety and tax follow the rules where you sell.",
        look.lead(),
    )
    for number in range(3, last + 5):
        sheet.page.set_row(number, ROW_HEIGHT)
    notes = look.make(text_wrap=True, valign="top", italic=True)
    sheet.page.merge_range(last + 2, 4, last + 4, 5, "", notes)
    sheet.write(last + 2, 4, '=Notes&""', notes)
    sheet.printing(True, "Weaving planner", (last + 4, 5))
    return sheet


def write_checks(book: Book, start: Sheet) -> None:
    """Write the Problems list on Start and, behind it, the sheet that looks for problems."""
    shown = _write_looking(book)
    look = start.look
    start.band(3, "Problems", 5)
    for column in (4, 5):
        start.write(3, column, "Problems" if column == 4 else "", look.band())
    for column in (1, 2):
        start.write(
            3, column, "Settings and Yarns first, then what you need" if column == 1 else "", look.band()
        )
    start.page.write_blank(3, 3, None, look.plain())
    row = 4
    start.write(
        row,
        4,
        '=IF(ProblemCount=0,IF(Begun,"None.","None. No piece is planned yet."),ProblemCount&'
        'IF(ProblemCount=1," problem"," problems")&IF(ProblemCount>ProblemsTold,", the first "&'
        'ProblemsTold&" shown",""))',
        look.make(bold=True, indent=1),
    )
    top, last = row + 1, row + LINES_SHOWN
    for at, told in enumerate(shown, start=top):
        style = look.make(text_wrap=True, font_size=8.5, indent=1)
        for column, source in ((4, "B"), (5, "C")):
            start.write(at, column, f'={CHECKS}!${source}${told + 1}&""', style)
    _tint(start, top, last)


def _tint(start: Sheet, top: int, last: int) -> None:
    """Tint the problems, with a line above each, and none above what goes on from the row before.

    One program looks no further than the first condition of a cell that holds: each has all that it shows.
    """
    tinted = {"bg_color": PROBLEM, "font_color": PROBLEM_INK}
    for column, more in ((4, {"top": 1, "top_color": RULE}), (5, {})):
        filled = xl_rowcol_to_cell(top, column, col_abs=True)
        style = start.book.book.add_format({**tinted, **more})
        condition = {"type": "formula", "criteria": f'={filled}<>""', "format": style}
        start.page.conditional_format(top, 4, last, 5, condition)


def _write_looking(book: Book) -> range:
    """Write the sheet that looks for problems; return its rows that Start shows."""
    sheet = book.sheet(CHECKS, [2, 34, 90, 8], "#A9B7B2")
    sheet.title(CHECKS, "Where the Problems list on Start comes from. Nothing to fill in here.", 3, lines=1)
    look = sheet.look
    for column, heading in enumerate(("Where", "Found", "Number"), start=1):
        sheet.write(3, column, heading, look.heading())
    style = look.make(font_size=8)
    first = 4
    for row, check in enumerate(book.checks, start=first):
        cell = f"C{row + 1}"
        sheet.write(row, 1, check.where, style)
        write = sheet.write_as_it_is if check.as_it_is else sheet.write
        # A program may answer that an argument "is itself an error", or hand the error on, so that the check
        # would be one: it says the same then, for programs differ in whether they count an error as a text.
        write(row, 2, f"=IFERROR({check.formula[1:]},{FOLLOWS})", style)
        # What only follows from another error is not listed beside it: mending that one mends both.
        follows = f"ISNUMBER(SEARCH({FOLLOWS},{cell}))"
        counts = f'IF({follows},IF(FoundCount>0,0,1),IF({cell}="",0,1))'
        sheet.write(row, 3, f"=N(D{row})+{counts}", style)
    last = first + len(book.checks) - 1
    book.name("CheckPlaces", CHECKS, (first, 1), (last, 1))
    book.name("CheckTexts", CHECKS, (first, 2), (last, 2))
    book.name("CheckNumbers", CHECKS, (first, 3), (last, 3))
    _write_states(sheet, last + 2, style)
    after = _write_used(sheet, last + 6, style)
    after = _write_problems(sheet, after + 1, style)
    sheet.page.hide()
    return _write_shown(sheet, after + 1, style)


def _write_problems(sheet: Sheet, row: int, style: Any) -> int:
    """Write the problems without the checks that found none; return the row after them."""
    sheet.write(row, 1, "Problems, each whole", sheet.look.heading())
    first, after = row + 1, row + 1 + PROBLEMS_SHOWN
    for number, at in enumerate(range(first, after), start=1):
        found = f"MATCH({number},CheckNumbers,0)"
        listed = f'IF({number}>ProblemCount,""'
        sheet.write(at, 1, f"={listed},INDEX(CheckPlaces,{found}))", style)
        text = f"INDEX(CheckTexts,{found})"
        alone = "cannot be checked: a cell it needs is in error"
        sheet.write(at, 2, f'={listed},IF(ISNUMBER(SEARCH({FOLLOWS},{text})),"{alone}",{text}))', style)
    sheet.book.name("ProblemsList", CHECKS, (first, 1), (after - 1, 2))
    return after


def _write_shown(sheet: Sheet, row: int, style: Any) -> range:
    """Write the problems in parts that fit a row of Start; return the rows of the parts."""
    for column, heading in enumerate(("Where", "Part that fits", "Problem", "Still to tell"), start=1):
        sheet.write(row, column, heading, sheet.look.heading())
    rows = range(row + 1, row + 1 + LINES_SHOWN)
    for at in rows:
        number, rest = f"D{at + 1}", f"E{at + 1}"
        part_above, number_above, rest_above = (f"{column}{at}" for column in "CDE")
        first = at == rows[0]
        goes_on = f"LEN({rest_above})>LEN({part_above})"
        sheet.write(at, 3, 1 if first else f"={number_above}+IF({goes_on},0,1)", style)
        place, whole = (
            f'IF({number}>{PROBLEMS_SHOWN},"",INDEX(ProblemsList,{number},{column}))' for column in (1, 2)
        )
        left = f"TRIM(MID({rest_above},LEN({part_above})+1,LEN({rest_above})))"
        sheet.write(at, 4, f"={whole}" if first else f"=IF({goes_on},{left},{whole})", style)
        fits = f"LEFT({rest},{ROOM + 1})"
        blanks = f'LEN({fits})-LEN(SUBSTITUTE({fits}," ",""))'
        last_blank = f'SEARCH("{MARK}",SUBSTITUTE({fits}," ","{MARK}",{blanks}))'
        cut = f"LEFT({rest},IFERROR({last_blank}-1,{ROOM}))"
        sheet.write(at, 2, f"=IF(LEN({rest})>{ROOM},{cut},{rest})", style)
        sheet.write(at, 1, f"={place}" if first else f'=IF({goes_on},"",{place})', style)
    end = rows[-1] + 1
    sheet.write(end, 1, "Problems told in full", style)
    sheet.write(end, 2, f"=MIN(D{end}-IF(LEN(E{end})>LEN(C{end}),1,0),{PROBLEMS_SHOWN})", style)
    sheet.name_cell("ProblemsTold", end, 2)
    return rows


def _write_states(sheet: Sheet, row: int, style: Any) -> None:
    """Write what many formulas ask first."""
    # Texts that say something of their own.
    found = '=COUNTIF(CheckTexts,"?*")-COUNTIF(CheckTexts,"*is itself an error*")'
    sheet.write(row - 1, 1, "Problems that follow from no other", style)
    sheet.write(row - 1, 2, found, style)
    sheet.name_cell("FoundCount", row - 1, 2)
    begun = "=COUNTA(PieceName,MadeOn,FinishedWidth,FinishedLength,WeaveText,WarpYarnName,WeftYarnName)>0"
    sheet.write(row, 1, "A plan has been begun", style)
    sheet.write_as_it_is(row, 2, begun, style)
    sheet.name_cell("Begun", row, 2)
    sheet.write(row + 1, 1, "It is woven on a frame", style)
    sheet.write(row + 1, 2, '=MadeOn="pegged frame"', style)
    sheet.name_cell("OnFrame", row + 1, 2)
    # Each number builds on the one above: asked for the last alone, Calc goes down too many steps at once.
    sheet.write(row + 2, 1, "Problems", style)
    sheet.write(row + 2, 2, "=MAX(CheckNumbers)", style)
    sheet.name_cell("ProblemCount", row + 2, 2)


def _write_used(sheet: Sheet, row: int, style: Any) -> int:
    """Write what is filled in as formulas use it; return the row after it."""
    sheet.write(row, 1, "Filled in, as used", sheet.look.heading())
    for at, used in enumerate(sheet.book.used, start=row + 1):
        sheet.write(at, 1, used.where, style)
        sheet.write_as_it_is(at, 2, used.formula, style)
        sheet.name_cell(used.name + "Used", at, 2)
    return row + 1 + len(sheet.book.used)
