"""The table on Plan that shows the plans that come nearest to what is asked.

One call gives all of them as one text of fixed fields, which plain functions cut up.
"""

from __future__ import annotations

from weavefuncs._fit_words import FIELDS, RECORD_END
from weavefuncs.workbooks.book import Check, Sheet
from weavefuncs.workbooks.look import PROBLEM, PROBLEM_INK, QUIET
from weavefuncs.workbooks.rows import Band, Given, Row

PLANS = 5

# The text stands beside the table, where a hidden column has room for it.
CODE_COLUMN = 13
CODE = "FitCode"

MAY_BE_OFF = "How far it may be off, as a share of what is wanted: 5 % is 0.05. Blank: 5 %."

ROWS: list[Row | Band] = [
    Band("Plans that come nearest"),
    Row(
        "WidthOff",
        "Width may be off by",
        note="the plans below come no further off; blank: 5 %",
        given=Given("fraction", MAY_BE_OFF, low=0.001, high=0.5),
        formula="IF(ISBLANK(WidthOffGiven),0.05,WidthOffGiven)",
        kind="fraction",
    ),
    Row(
        "LengthOff",
        "Length may be off by",
        note="blank: 5 %; the sett may be off by 10 %, the rows of a leg by a quarter",
        given=Given("fraction", MAY_BE_OFF, low=0.001, high=0.5),
        formula="IF(ISBLANK(LengthOffGiven),0.05,LengthOffGiven)",
        kind="fraction",
    ),
]

# What the sheet knows, in the order of the arguments.
ARGUMENTS = (
    "FinishedWidth",
    "FinishedLength",
    "WeaveText",
    "IF(OnFrame,Pegs,Reed)",
    "SettWanted",
    "WeftSett",
    "Turns",
    "RepeatEnds",
    "BalanceEnds",
    "Parity",
    "IF(OnFrame,ThreadsPerPeg,SleyGiven)",
    'IF(OnFrame,"pegs","reed")',
    'Floating="yes"',
    'IF(ISBLANK(FirstSideGiven),"either",FirstSide)',
    "ShrinkLengthHere",
    "ShrinkWidthHere",
    "DrawInHere",
    "TakeUpHere",
    "SlackHere",
    "Pieces",
    "Pieces*(2*N(Hem)/(1-ShrinkLengthHere)+2*N(Header))+N(Sample)",
    "IF(OnFrame,Unweavable+2*Pieces*N(Fringe)/(1-TakeUpHere),2*(Pieces-1)*N(Fringe)+Waste)",
    "IF(OnFrame,FrameLength,0)",
    "FitWarpFree",
    "FitWeftFree",
    "N(FloatLimit)",
    "IF(OnFrame,0,N(LoomWidth))",
    'FinishOn="any row"',
    "WidthOff",
    "LengthOff",
)

# What this call alone refuses, and where the user can change it.
CHANGED_AT = {
    "length tolerance": "Length may be off by",
    "width tolerance": "Width may be off by",
    "sley": "Sley: threads in each dent",
    "sett": "Sett wanted",
    "reversals": "Rows before the twill turns",
    "repeat": "Ends in a repeat",
    "parity": "Number of ends",
    "frame length": "Length of the frame",
    "loom width": "Weaving width of the loom",
}

HEADINGS = (
    ("Sley, and side of the first pick", "left"),
    ("Edges, and warp yarn", "left"),
    ("Stash, and weft yarn", "left"),
    ('="Width ("&SmallUnit&")"', "right"),
    ('="Wider by ("&SmallUnit&")"', "right"),
    ('="Length ("&SmallUnit&")"', "right"),
    ('="Longer by ("&SmallUnit&")"', "right"),
    ("Ends", "right"),
    ("Rows a leg", "right"),
    ("Legs", "right"),
    ("Rows", "right"),
    ('="Longest float ("&SmallUnit&")"', "right"),
)

NUMBERS = (
    ("width", "two"),
    ("width_off", "two"),
    ("length", "two"),
    ("length_off", "two"),
    ("ends", "whole"),
    ("rows_a_leg", "whole"),
    ("legs", "whole"),
    ("rows", "whole"),
    ("float_length", "two"),
)

RECORD = sum(room for _, room, _ in FIELDS) + len(RECORD_END)


def write_fit_table(sheet: Sheet, first: int, last_column: int) -> int:
    """Write the table; return the row after it."""
    look, book = sheet.look, sheet.book
    arguments = ",".join(ARGUMENTS)
    sheet.write(first, CODE_COLUMN, f'=IF(Begun,WEAVE.FITCODE({arguments}),"")', look.make(font_size=6))
    sheet.name_cell(CODE, first, CODE_COLUMN)
    where = f"{sheet.name}, plans that come nearest"
    book.checks.append(Check(where, f'=IF(ISERROR({CODE}),{_reason(arguments)},"")'))
    sheet.page.set_row(first, 30)
    for column, (heading, align) in enumerate(HEADINGS, start=1):
        sheet.write(first, column, heading, look.heading(align))
    for place in range(PLANS):
        _write_plan(sheet, first + 1 + 2 * place, place, last_column)
    last = first + 2 * PLANS
    sheet.mark_errors(first + 1, 1, last, last_column)
    fault = book.book.add_format({"bg_color": PROBLEM, "font_color": PROBLEM_INK})
    for words in ("not caught", "short of"):
        condition = {"type": "text", "criteria": "begins with", "value": words, "format": fault}
        sheet.page.conditional_format(first + 1, 2, last, 3, condition)
    return last + 1


def _reason(arguments: str) -> str:
    """Write what gives the reason why there is no plan: it begins with the label of the cell to change."""
    reason = f'WEAVE.WHY("FITCODE",{arguments})'
    for argument, label in CHANGED_AT.items():
        reason = f'SUBSTITUTE({reason},"FITCODE: {argument} must","{label} must")'
    return f'SUBSTITUTE({reason},"FITCODE: ","")'


def _write_plan(sheet: Sheet, row: int, place: int, last_column: int) -> None:
    look = sheet.look
    # Where its record begins in the text; so the formulas of all plans are alike.
    sheet.write(row, CODE_COLUMN, 1 + place * RECORD, look.make(font_size=6))
    start = f"$N{row + 1}"
    sley = f'IF({_text("sley", start)}="","",{_text("sley", start)}&", from the "&{_text("side", start)})'
    # One cell shows where the call fails; the others stay empty.
    shown = sley if place == 0 else _unless_in_error(sley)
    sheet.write(row, 1, f"={shown}", look.result("text", shrink=True, bold=True))
    for column, field in ((2, "edges"), (3, "stash")):
        text = look.result("text", shrink=True)
        sheet.write(row, column, f"={_unless_in_error(_text(field, start))}", text)
    for column, (field, kind) in enumerate(NUMBERS, start=4):
        sheet.write(row, column, f"={_unless_in_error(_number(field, start))}", look.result(kind))
    below = row + 1
    sheet.page.set_row(below, 26)
    small = {"font_size": 9, "font_color": QUIET, "valign": "top", "align": "left", "indent": 1}
    quiet = look.make(shrink=True, **small)
    lines = {
        1: f'{_number("repeats", start)}&" repeats, line at "&ROUND({_number("angle", start)},1)&"°"',
        2: f'"warp "&ROUND({_number("warp_yarn", start)}/SmallPerLong,0)&" "&LongUnit',
        3: f'"weft "&ROUND({_number("weft_yarn", start)}/SmallPerLong,0)&" "&LongUnit',
    }
    for column, words in lines.items():
        there = f'IF({_text("sley", start)}="","",{words})'
        sheet.write(below, column, f"={_unless_in_error(there)}", quiet)
    wrapped = look.make(text_wrap=True, **small)
    sheet.page.merge_range(below, 4, below, last_column, "", wrapped)
    sheet.write(below, 4, f"={_unless_in_error(_text('reason', start))}", wrapped)


def _unless_in_error(formula: str) -> str:
    return f'IF(ISERROR({CODE}),"",{formula})'


def _cut(field: str, start: str) -> tuple[str, int]:
    """Return what cuts a field of a plan out of the text, and what its number is multiplied by."""
    at = 0
    for name, room, factor in FIELDS:
        if name == field:
            return f"MID({CODE},{start}+{at},{room})", factor
        at += room
    raise KeyError(field)


def _text(field: str, start: str) -> str:
    return f"TRIM({_cut(field, start)[0]})"


def _number(field: str, start: str) -> str:
    cut, factor = _cut(field, start)
    return f'IF(TRIM({cut})="","",VALUE({cut})' + (f"/{factor})" if factor > 1 else ")")
