"""Sheet Weaving order: one line a row, to print and weave from."""

from __future__ import annotations

from typing import Any

from weavefuncs.workbooks.book import Book, Check, Sheet
from weavefuncs.workbooks.look import BAND, RULE
from weavefuncs.workbooks.rows import Given, validate, why

NAME = "Weaving order"

FIRST = 7
LINES = 400
ROWS_A_PAGE = 36
ROW, SIDE, WORDS, WAY, IN_LEG, TURN, DONE = range(1, 8)

FROM_ROW = Given("whole", "The first row listed. Blank: 1.", low=1, high=10_000_000)

HEADINGS = [
    ("Row", "right"),
    ("From", "left"),
    ("The weft goes, from the side it enters", "left"),
    ("Way", "left"),
    ("In leg", "right"),
    ("Turn", "left"),
    ("Done", "center"),
]


def write(book: Book, values: dict[str, Any]) -> None:
    """Write the sheet; values may hold the row to start at and what stands in the column Done."""
    sheet = book.sheet(NAME, [2, 7, 8, 58, 9, 8, 17, 8], "#4F7A5B")
    sheet.title(
        NAME,
        "One line a row, first row first. Read it from the side the shuttle enters; where the twill turns a "
        "bar says so. Tick rows off as they are woven.",
        DONE,
    )
    _heading(sheet, values.get("OrderFrom"))
    look = sheet.look
    head = FIRST - 1
    sheet.page.set_row(head, 20)
    for column, (heading, align) in enumerate(HEADINGS, start=1):
        sheet.write(head, column, heading, look.heading(align))
    for line in range(LINES):
        _line(sheet, FIRST + line)
    for line, filled in enumerate(values.get("done", [])[:LINES]):
        if filled:
            sheet.write(FIRST + line, DONE, filled["done"], look.make(align="center", locked=False))
    last = FIRST + LINES - 1
    book.name("OrderDone", NAME, (FIRST, DONE), (last, DONE))
    _conditions(sheet, last)
    book.checks.append(
        Check(
            NAME,
            f"=IF(AND(Begun,ISNUMBER(RowsWoven)),IF(AND(RowsWoven-OrderFrom+1>{LINES},"
            f'OR(NOT(ISBLANK(RowsBack)),2*N(RowsUp)>{LINES})),"it lists {LINES} rows from row "&OrderFrom&'
            '" of "&RowsWoven&": raise Start at row to see the rest",""),"")',
        )
    )
    first_words = f"'{NAME}'!${chr(ord('A') + WORDS)}${FIRST + 1}"
    arguments = 'WeaveText,Ends,OrderFrom,Turns,FirstSide,Floating="yes"'
    book.checks.append(Check(NAME, f'=IF(ISERROR({first_words}),{why("PICKTEXT", arguments)},"")'))
    sheet.mark_errors(FIRST, ROW, last, DONE)
    sheet.page.freeze_panes(FIRST, 0)
    sheet.printing(False, NAME, (last, DONE), (head, head))
    sheet.page.set_h_pagebreaks([FIRST + ROWS_A_PAGE * page for page in range(1, -(-LINES // ROWS_A_PAGE))])


def _heading(sheet: Sheet, start: Any) -> None:
    look = sheet.look
    sheet.write(
        2,
        1,
        '=IF(Begun,IF(ISBLANK(PieceName),"A piece without a name",PieceName),"No piece is planned.")',
        look.make(bold=True, font_size=13),
    )
    summary = (
        '=IF(Begun,WeaveText&", "&Ends&" ends, "&RowsWoven&" rows, "&ROUND(WeftSett,1)&" picks per "&'
        'SmallUnit&IF(Turns="","",", turning after "&'
        'RowsUp&IF(ISBLANK(RowsBack),""," and "&RowsBack)&" rows"),"")'
    )
    sheet.write(3, 1, summary, look.make())
    repeat = (
        '=IF(Begun,IF(Turns="","The order repeats after "&WEAVE.REPEATPICKS(WeaveText)&" rows, sides aside.",'
        'IF(ISBLANK(RowsBack),"The order repeats after "&2*RowsUp&" rows.","The zigzag drifts: '
        'follow every row.")),"")'
    )
    sheet.write(4, 1, repeat, look.make(font_color="#6B7672"))
    pages = (
        f'=IF(Begun,IF(RowsWoven<OrderFrom,"No row is left.","Print pages 1 to "&'
        f'ROUNDUP(MIN(RowsWoven-OrderFrom+1,{LINES})/{ROWS_A_PAGE},0)&" of this sheet."),'
        '"There is nothing to print.")'
    )
    sheet.write(5, 1, pages, look.make(font_color="#6B7672"))
    sheet.write(4, TURN, "Start at row", look.make(align="right", font_color="#6B7672"))
    sheet.write(4, DONE, start, look.given("whole"))
    validate(sheet, 4, DONE, 4, DONE, FROM_ROW, "Start at row")
    sheet.name_cell("OrderFromGiven", 4, DONE)
    holds = FROM_ROW.holds("OrderFromGiven")
    sheet.write(
        5,
        DONE,
        f"=IF(ISBLANK(OrderFromGiven),1,IF({holds},OrderFromGiven,NA()))",
        look.make(font_color="#FFFFFF", font_size=6),
    )
    sentence = f"Start at row must be {FROM_ROW.words()}"
    sheet.book.checks.append(
        Check(NAME, f'=IF(AND(NOT(ISBLANK(OrderFromGiven)),NOT({holds})),"{sentence}","")')
    )
    sheet.name_cell("OrderFrom", 5, DONE)
    # Rows of both legs together, where the twill turns.
    both_legs = '=IF(Turns="","",RowsUp+IF(ISBLANK(RowsBack),RowsUp,RowsBack))'
    sheet.write(3, DONE, both_legs, look.out_of_sight())
    sheet.name_cell("RoundRows", 3, DONE)


def _line(sheet: Sheet, row: int) -> None:
    look = sheet.look
    line = row - FIRST
    number = f"$B{row + 1}"
    # Where a leg ends is counted inside one round of both legs.
    within = f"(MOD({number}-1,RoundRows)+1)"
    shown = f'{number}=""'
    sheet.page.set_row(row, 21)
    above = f"$B{row}"
    first = '=IF(NOT(Begun),"",IF(OrderFrom>RowsWoven,"",OrderFrom))'
    following = f'=IF({above}="","",IF({above}>=RowsWoven,"",{above}+1))'
    sheet.write(row, ROW, following if line else first, look.make(align="right"))
    sheet.write(
        row,
        SIDE,
        f'=IF({shown},"",IF((MOD({number},2)=1)=(FirstSide="left"),"left","right"))',
        look.make(indent=1),
    )
    sheet.write(
        row,
        WORDS,
        f'=IF({shown},"",WEAVE.PICKTEXT(WeaveText,Ends,{number},Turns,$C{row + 1},Floating="yes"))',
        look.make(font_size=12, shrink=True),
    )
    sheet.write(row, WAY, f'=IF(OR({shown},Turns=""),"",IF({within}>RowsUp,"back","forth"))', look.make())
    sheet.write(
        row,
        IN_LEG,
        f'=IF(OR({shown},Turns=""),"",IF({within}>RowsUp,{within}-RowsUp,{within}))',
        look.make(align="right"),
    )
    sheet.write(
        row,
        TURN,
        f'=IF(OR({shown},Turns=""),"",IF(OR({within}=RowsUp,{within}=RoundRows),IF({number}=RowsWoven,'
        f'"last row","turn after this"),""))',
        look.make(bold=True, font_color=BAND),
    )
    sheet.write(row, DONE, f'=IF({shown},"","☐")', look.make(align="center", locked=False))


def _conditions(sheet: Sheet, last: int) -> None:
    # Only rows that are woven are ruled: a page of rows beyond the last one stays empty.
    rule = sheet.book.book.add_format({"bottom": 4, "bottom_color": RULE})
    turn = sheet.book.book.add_format({"bottom": 5, "bottom_color": BAND, "bg_color": "#F6E9C8"})
    for criteria, style in ((f'=LEFT($G{FIRST + 1},4)="turn"', turn), (f'=$B{FIRST + 1}<>""', rule)):
        sheet.page.conditional_format(
            FIRST, ROW, last, DONE, {"type": "formula", "criteria": criteria, "format": style}
        )
