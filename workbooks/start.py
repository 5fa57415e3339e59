"""Sheet Start: what to do first, the plan in short, and what is wrong with it."""

from __future__ import annotations

from typing import Any

from xlsxwriter.utility import xl_rowcol_to_cell

from weavefuncs.workbooks.book import Book, Sheet
from weavefuncs.workbooks.look import INPUT, PROBLEM, PROBLEM_INK, RESULT, RULE

NAME = "Start"
CHECKS = "Checks"

PROBLEMS_SHOWN = 20

# Two lines of a problem fit; what stands on the left keeps the same rhythm.
ROW_HEIGHT = 23

STEPS = [
    ("Settings", "Choose your units. Look over the allowances, and fill in your loom's waste."),
    ("Yarns", "List the yarn you have: its count, what it weighs, what a put-up costs."),
    ("Plan", "Fill in the cream cells from the top: size, weave, yarn, reed or pegs."),
    ("Cloth", "Look at the drawing, the longest floats and the edges."),
    ("Weaving order", "Print it, take it to the loom and tick the rows off."),
]

SUMMARY = [
    ("Piece", 'PieceName&IF(Pieces>1,", "&Pieces&" of them","")'),
    (
        "Finished size",
        'ROUND(WidthComesOut,1)&" "&SmallUnit&" wide, "&ROUND(LengthComesOut,1)&" "&SmallUnit&" long"',
    ),
    ("Weave", 'WeaveText&IF(Turns="","",", turning after "&Turns&" rows")'),
    (
        "Ends",
        'Ends&" at "&ROUND(Sett,2)&" per "&SmallUnit&IF(OnFrame,", on "&PegsTaken&" pegs",'
        '", reed "&Reed&", sley "&Sley)&IF(Floating="yes",", and 2 floating selvedges","")',
    ),
    ("Width on the loom", 'ROUND(WarpWidth,1)&" "&SmallUnit'),
    ("Warp", 'ROUND(WarpLong,2)&" "&LongUnit&" long, "&ROUND(WarpYarnLength,0)&" "&LongUnit&" of yarn"'),
    (
        "Rows",
        'RowsWoven&" at "&ROUND(WeftSett,2)&" picks per "&SmallUnit&" in each piece, "&'
        'PicksAll&" picks in all"',
    ),
    ("Weft", 'ROUND(WeftYarnLength,0)&" "&LongUnit&" of yarn"'),
    ("Yarn weight", 'ROUND(SUM(PlanYarnWeights),1)&" "&MassUnit'),
    (
        "Longest floats",
        'FloatWarp&" threads of the warp ("&ROUND(FloatWarpLength,2)&" "&SmallUnit&"), "&FloatWeft&'
        '" of the weft ("&ROUND(FloatWeftLength,2)&" "&SmallUnit&")"',
    ),
    ("Hours", 'ROUND(HoursInAll,1)&" in all"'),
    ("Cost of a piece", 'ROUND(CostEach,2)&" "&Currency'),
]


def write(book: Book) -> Sheet:
    """Write the sheet; its Problems list is filled by :func:`write_checks` when all sheets stand."""
    sheet = book.sheet(NAME, [2, 20, 66, 3, 34, 74], "#26302F")
    look = sheet.look
    sheet.title(
        "Weaving planner",
        "Ends, sett, warp, yarn, rows and hours for one piece, worked out from what you fill in.",
        5,
        lines=1,
    )
    sheet.band(3, "In this order", 2)
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
        (INPUT, "Yours", "Cream cells are filled in by you; each has a line of help."),
        (RESULT, "Worked out", "Grey-green cells are formulas and are locked; there is no password."),
        (PROBLEM, "Problem", "A cell like this cannot be worked out. The list on the right says why."),
    ]
    for number, (colour, name, text) in enumerate(colours, start=row + 1):
        ink = PROBLEM_INK if colour == PROBLEM else "#26302F"
        sheet.write(
            number, 1, name, look.make(bg_color=colour, border=1, border_color=RULE, indent=1, font_color=ink)
        )
        sheet.write(number, 2, text, look.make(indent=1))
    row += 2 + len(colours)
    sheet.band(row, "The plan in short", 2)
    for number, (label, formula) in enumerate(SUMMARY, start=row + 1):
        sheet.write(number, 1, label, look.label())
        sheet.write(
            number, 2, f'=IF(Begun,{formula},"")', look.make(bottom=4, bottom_color=RULE, shrink=True)
        )
    first, last = row + 1, row + len(SUMMARY)
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
    for number in range(3, last + 2):
        sheet.page.set_row(number, ROW_HEIGHT)
    sheet.printing(True, "Weaving planner", (last + 4, 5))
    return sheet


def write_checks(book: Book, start: Sheet) -> None:
    """Write the Problems list on Start and, behind it, the sheet that looks for problems."""
    _write_looking(book)
    look = start.look
    start.band(3, "Problems", 5)
    for column in (4, 5):
        start.write(3, column, "Problems" if column == 4 else "", look.band())
    for column in (1, 2):
        start.write(3, column, "In this order" if column == 1 else "", look.band())
    start.page.write_blank(3, 3, None, look.plain())
    row = 4
    start.write(
        row,
        4,
        f'=IF(NOT(Begun),"Nothing is planned yet.",IF(ProblemCount=0,"None.",ProblemCount&'
        f'IF(ProblemCount=1," problem"," problems")&IF(ProblemCount>{PROBLEMS_SHOWN},", the first '
        f'{PROBLEMS_SHOWN} shown","")))',
        look.make(bold=True),
    )
    top = row + 1
    for line in range(PROBLEMS_SHOWN):
        at = top + line
        found = f"MATCH({line + 1},CheckNumbers,0)"
        listed = f'IF({line + 1}>ProblemCount,""'
        style = look.make(text_wrap=True, bottom=4, bottom_color=RULE, font_size=8.5, indent=1)
        start.write(at, 4, f"={listed},INDEX(CheckPlaces,{found}))", style)
        start.write(at, 5, f"={listed},INDEX(CheckTexts,{found}))", style)
    start.book.name("ProblemsList", NAME, (top, 4), (top + PROBLEMS_SHOWN - 1, 5))
    tint = book.book.add_format({"bg_color": PROBLEM, "font_color": PROBLEM_INK})
    first = xl_rowcol_to_cell(top, 4, col_abs=True)
    start.page.conditional_format(
        top, 4, top + PROBLEMS_SHOWN - 1, 5, {"type": "formula", "criteria": f'={first}<>""', "format": tint}
    )


def _write_looking(book: Book) -> None:
    sheet = book.sheet(CHECKS, [2, 34, 70, 70, 8, 8], "#A9B7B2")
    sheet.title(CHECKS, "Where the Problems list on Start comes from. Nothing to fill in here.", 5, lines=1)
    look = sheet.look
    for column, heading in enumerate(("Where", "Found", "Listed", "Number", "Found first"), start=1):
        sheet.write(3, column, heading, look.heading())
    style = look.make(font_size=8)
    first = 4
    for row, check in enumerate(book.checks, start=first):
        cell = f"C{row + 1}"
        sheet.write(row, 1, check.where, style)
        write = sheet.write_as_it_is if check.as_it_is else sheet.write
        write(row, 2, check.formula, style)
        # What only follows from another error is not listed beside it: mending that one mends both. A program
        # may hand the error on, so that the check is one, or answer that an argument "is itself an error".
        follows = f'IF(ISERROR({cell}),TRUE,ISNUMBER(SEARCH("is itself an error",{cell})))'
        alone = "cannot be checked: a cell it needs is in error"
        sheet.write(row, 3, f'=IF({follows},IF(FoundCount>0,"","{alone}"),{cell})', style)
        sheet.write(row, 4, f'=N(E{row})+IF(D{row + 1}="",0,1)', style)
        sheet.write(row, 5, f'=N(F{row})+IF({follows},0,IF({cell}="",0,1))', style)
    last = first + len(book.checks) - 1
    book.name("CheckPlaces", CHECKS, (first, 1), (last, 1))
    book.name("CheckTexts", CHECKS, (first, 3), (last, 3))
    book.name("CheckNumbers", CHECKS, (first, 4), (last, 4))
    book.name("ProblemCount", CHECKS, (last, 4))
    book.name("FoundCount", CHECKS, (last, 5))
    _write_states(sheet, last + 2, style)
    _write_used(sheet, last + 6, style)
    sheet.page.hide()


def _write_states(sheet: Sheet, row: int, style: Any) -> None:
    """Write what many formulas ask first."""
    begun = "=COUNTA(PieceName,MadeOn,FinishedWidth,FinishedLength,WeaveText,WarpYarnName,WeftYarnName)>0"
    sheet.write(row, 1, "A plan has been begun", style)
    sheet.write_as_it_is(row, 2, begun, style)
    sheet.name_cell("Begun", row, 2)
    sheet.write(row + 1, 1, "It is woven on a frame", style)
    sheet.write(row + 1, 2, '=MadeOn="pegged frame"', style)
    sheet.name_cell("OnFrame", row + 1, 2)


def _write_used(sheet: Sheet, row: int, style: Any) -> None:
    """Write what is filled in as formulas use it."""
    sheet.write(row, 1, "Filled in, as used", sheet.look.heading())
    for at, used in enumerate(sheet.book.used, start=row + 1):
        sheet.write(at, 1, used.where, style)
        sheet.write_as_it_is(at, 2, used.formula, style)
        sheet.name_cell(used.name + "Used", at, 2)
