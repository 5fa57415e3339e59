"""Sheet Weaving order: one line a row, to print and weave from."""

from __future__ import annotations

from typing import Any

from xlsxwriter.utility import xl_col_to_name

from weavefuncs.workbooks.book import Book, Check, Sheet
from weavefuncs.workbooks.look import BAND, RULE
from weavefuncs.workbooks.rows import Given, moved, validate, why

NAME = "Weaving order"

FIRST = 7
LINES = 400
ROWS_A_PAGE = 36
ROW, SIDE, COLOUR, WORDS, WAY, IN_LEG, TURN, DONE = range(1, 9)

FROM_ROW = Given("whole", "The first row listed. Blank: 1.", low=1, high=10_000_000)

HEADINGS = [
    ("Row", "right"),
    ("From", "left"),
    ("Colour", "left"),
    ("The weft goes, from the side it enters", "left"),
    ("Way", "left"),
    ("In leg", "right"),
    ("Turn", "left"),
    ("Done", "center"),
]

# The colour order of the weft begins with row 1 of a piece, as on Cloth.
REPEAT = 'WeaveText,Turns,IF(ISBLANK(WeftOrder),"none",WeftOrder)'


def write(book: Book, values: dict[str, Any]) -> None:
    """Write the sheet; values may hold the row to start at and what stands in the column Done."""
    sheet = book.sheet(NAME, [2, 7, 7, 12, 58, 7, 8, 18, 8], "#4F7A5B")
    sheet.title(
        NAME,
        "One line a row, first row first. Read it from the side the shuttle enters. Where the colour "
        "changes it is bold, below a line; where the twill turns a bar says so. Tick off the rows woven.",
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
    _reasons(book)
    sheet.page.freeze_panes(FIRST, 0)
    sheet.printing(False, NAME, (last, DONE), (head, head))
    sheet.page.set_h_pagebreaks([FIRST + ROWS_A_PAGE * page for page in range(1, -(-LINES // ROWS_A_PAGE))])


def _reasons(book: Book) -> None:
    """Say why words, colours or the repeat cannot be told; what Cloth tells of a colour order is enough."""
    words, colour = (f"'{NAME}'!{_at(column, FIRST)}" for column in (WORDS, COLOUR))
    arguments = 'WeaveText,Ends,OrderFrom,Turns,FirstSide,Floating="yes"'
    book.checks.append(Check(NAME, f'=IF(ISERROR({words}),{why("PICKTEXT", arguments)},"")'))
    for failed, told, reason in (
        (colour, "ISERROR(ColourKey)", why("COLOUROF", "WeftOrder,OrderFrom")),
        ("RepeatRows", f"OR(ISERROR({words}),ISERROR({colour}))", why("REPEATROWS", REPEAT)),
    ):
        book.checks.append(Check(NAME, f'=IF(ISERROR({failed}),IF({told},"",{reason}),"")'))


def _at(column: int, row: int) -> str:
    return f"${xl_col_to_name(column)}{row + 1}"


def _heading(sheet: Sheet, start: Any) -> None:
    look = sheet.look
    sheet.page.set_row(2, 18)
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
    # White on white, for no number format hides an error.
    unseen = look.make(font_color="#FFFFFF", font_size=6)
    sheet.write(2, DONE, f'=IF(Begun,WEAVE.REPEATROWS({REPEAT}),"")', unseen)
    sheet.name_cell("RepeatRows", 2, DONE)
    # After an odd number of rows the weft enters from the other side.
    repeat = (
        '=IF(Begun,IF(RepeatRows>=RowsWoven,"The order does not repeat in this piece: follow every row.",'
        '"The order repeats after "&RepeatRows&" rows"&IF(ISBLANK(WeftOrder),"",", with its colours")&'
        'IF(MOD(RepeatRows,2)=1,", sides aside","")&"."),"")'
    )
    sheet.write(4, 1, repeat, look.make(font_color="#6B7672"))
    sheet.mark_errors(4, 1, 4, 1)
    # No program leaves out pages of formulas that give nothing. A print range that is worked out Calc does
    # not take, and Excel may make a fixed one, which would hide rows: so the sheet says what to print.
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
        unseen,
    )
    sentence = f"Start at row must be {FROM_ROW.words()}"
    sheet.book.checks.append(
        Check(NAME, f'=IF(AND(NOT(ISBLANK(OrderFromGiven)),NOT({holds})),"{sentence}","")')
    )
    label = f"'{NAME}'!${xl_col_to_name(TURN)}$5"
    sheet.book.checks.append(Check(NAME, f"={moved('OrderFromGiven', label)}", as_it_is=True))
    sheet.name_cell("OrderFrom", 5, DONE)
    # Rows of both legs together, where the twill turns.
    both_legs = '=IF(Turns="","",RowsUp+IF(ISBLANK(RowsBack),RowsUp,RowsBack))'
    sheet.write(3, DONE, both_legs, look.out_of_sight())
    sheet.name_cell("RoundRows", 3, DONE)


def _line(sheet: Sheet, row: int) -> None:
    look = sheet.look
    line = row - FIRST
    number = _at(ROW, row)
    # Where a leg ends is counted inside one round of both legs.
    within = f"(MOD({number}-1,RoundRows)+1)"
    shown = f'{number}=""'
    sheet.page.set_row(row, 21)
    above = _at(ROW, row - 1)
    first = '=IF(NOT(Begun),"",IF(OrderFrom>RowsWoven,"",OrderFrom))'
    following = f'=IF({above}="","",IF({above}>=RowsWoven,"",{above}+1))'
    sheet.write(row, ROW, following if line else first, look.make(align="right"))
    sheet.write(
        row,
        SIDE,
        f'=IF({shown},"",IF((MOD({number},2)=1)=(FirstSide="left"),"left","right"))',
        look.make(indent=1),
    )
    # Joined to an empty text: one program finds no text of ours like another, and the rules compare them.
    sheet.write(
        row,
        COLOUR,
        f'=IF(OR({shown},ISBLANK(WeftOrder)),"",WEAVE.COLOUROF(WeftOrder,{number})&"")',
        look.make(indent=1, shrink=True),
    )
    sheet.write(
        row,
        WORDS,
        f'=IF({shown},"",WEAVE.PICKTEXT(WeaveText,Ends,{number},Turns,{_at(SIDE, row)},Floating="yes"))',
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
        look.make(bold=True, font_color=BAND, indent=1),
    )
    sheet.write(row, DONE, f'=IF({shown},"","☐")', look.make(align="center", locked=False))


def _conditions(sheet: Sheet, last: int) -> None:
    """Tint errors, rule the rows, and mark where the colour changes and where the twill turns.

    One program looks no further than the first condition of a cell that holds: each has all that it shows.
    """
    colour = _at(COLOUR, FIRST)
    changes = f'{colour}<>"",{colour}<>{_at(COLOUR, FIRST - 1)}'
    turns = f'LEFT({_at(TURN, FIRST)},4)="turn"'
    # Only rows that are woven are ruled: a page of rows beyond the last one stays empty.
    rule = {"bottom": 4, "bottom_color": RULE}
    bar = {"bottom": 5, "bottom_color": BAND, "bg_color": "#F6E9C8"}
    line = {"top": 1, "top_color": BAND}
    for first_column, last_column, letters in (
        (ROW, COLOUR - 1, {}),
        (COLOUR, COLOUR, {"bold": True}),
        (COLOUR + 1, DONE, {}),
    ):
        sheet.mark_errors(FIRST, first_column, last, last_column)
        for criteria, properties in (
            (f"=AND({changes},{turns})", {**bar, **line, **letters}),
            (f"=AND({changes})", {**rule, **line, **letters}),
            (f"={turns}", bar),
            (f'={_at(ROW, FIRST)}<>""', rule),
        ):
            style = sheet.book.book.add_format(properties)
            condition = {"type": "formula", "criteria": criteria, "format": style}
            sheet.page.conditional_format(FIRST, first_column, last, last_column, condition)
