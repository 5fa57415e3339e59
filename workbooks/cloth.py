"""Sheet Cloth: the weave drawn as it will look, its floats and its edges."""

from __future__ import annotations

from typing import Any

from xlsxwriter.utility import xl_col_to_name

from weavefuncs.workbooks.book import Book, Check, Sheet
from weavefuncs.workbooks.look import PAPER, WARP, WEFT
from weavefuncs.workbooks.rows import Band, Given, Row, why, write_rows

NAME = "Cloth"

ENDS_SHOWN = 60
ROWS_SHOWN = 80

# The drawing stands below the figures. Its columns are narrow, so the form above is merged across them.
FIRST_CELL = 5
CODE = FIRST_CELL + ENDS_SHOWN + 1

CAUTION = (
    "Long floats catch: on fingers and toes above all of babies, on buttons, in the wash. For anything a "
    "child uses, follow the safety rules that hold where it is sold and used."
)

ROWS: list[Row | Band] = [
    Band("Will it hold?"),
    Row(
        "FloatWarp",
        "Longest float of the warp",
        "threads",
        "over or under so many picks, the rows where it turns included",
        formula='WEAVE.LONGESTFLOAT(WeaveText,"warp",Ends,RowsWoven,Turns)',
        kind="whole",
    ),
    Row(
        "FloatWarpLength",
        "Its length",
        "=SmallUnit",
        "on the loom; off it the cloth draws in and the float sags",
        formula="WEAVE.FLOATLENGTH(FloatWarp,WeftSett)",
        kind="two",
        checks=(
            "IF(AND(Begun,ISNUMBER(FloatWarpLength),ISNUMBER(FloatLimit)),IF(FloatWarpLength>FloatLimit,"
            '"warp floats of "&ROUND(FloatWarpLength,2)&" "&SmallUnit&'
            '" are longer than the limit on Settings",""),"")',
        ),
    ),
    Row(
        "FloatWeft",
        "Longest float of the weft",
        "threads",
        "over or under so many ends",
        formula='WEAVE.LONGESTFLOAT(WeaveText,"weft",Ends,RowsWoven,Turns)',
        kind="whole",
    ),
    Row(
        "FloatWeftLength",
        "Its length",
        "=SmallUnit",
        formula="WEAVE.FLOATLENGTH(FloatWeft,Sett)",
        kind="two",
        checks=(
            "IF(AND(Begun,ISNUMBER(FloatWeftLength),ISNUMBER(FloatLimit)),IF(FloatWeftLength>FloatLimit,"
            '"weft floats of "&ROUND(FloatWeftLength,2)&" "&SmallUnit&'
            '" are longer than the limit on Settings",""),"")',
        ),
    ),
    Row(
        "Angle",
        "Angle of the twill line",
        "degrees",
        "from the weft, on the loom, one end a pick",
        formula="WEAVE.TWILLANGLE(Sett,WeftSett)",
        kind="one",
    ),
    Row(
        "Edges",
        "Edges",
        formula="WEAVE.EDGECHECK(WeaveText,Ends,RowsWoven,Turns,FirstSide)",
        kind="text",
        wrap=4,
        checks=(
            'IF(AND(Begun,Floating="no",ISTEXT(Edges)),IF(ISNUMBER(SEARCH("not caught",Edges)),'
            '"an edge end is not caught everywhere: read Edges on Cloth",""),"")',
        ),
    ),
    Band("The cloth, seen from the face"),
    Row(
        "FirstEnd",
        "Draw from end",
        note="blank: 1",
        given=Given("whole", "The first end drawn, counted from the left.", low=1, high=1000000),
        formula="IF(ISBLANK(FirstEndGiven),1,FirstEndGiven)",
        always=True,
        kind="whole",
    ),
    Row(
        "FirstRow",
        "Draw from row",
        note="blank: 1; the cloth grows upward",
        given=Given("whole", "The first row drawn, counted from the bottom.", low=1, high=10000000),
        formula="IF(ISBLANK(FirstRowGiven),1,FirstRowGiven)",
        always=True,
        kind="whole",
    ),
]


def write(book: Book, values: dict[str, Any]) -> None:
    """Write the sheet."""
    cells = [1.7] * ENDS_SHOWN
    sheet = book.sheet(NAME, [2, 27, 10, 12, 10, *cells, 8, 2], "#7C5C8A")
    last = FIRST_CELL + ENDS_SHOWN - 1
    sheet.title(NAME, "What the plan looks like, and whether its floats and edges hold. " + CAUTION, last)
    after = write_rows(sheet, 3, ROWS, values, last, begun="Begun")
    _draw(sheet, after + 1)
    sheet.page.set_column(CODE, CODE, None, sheet.look.plain(), {"hidden": True})
    sheet.printing(False, NAME, (after + 2 + ROWS_SHOWN, last))


def _draw(sheet: Sheet, head: int) -> None:
    look = sheet.look
    small = {"font_size": 9, "indent": 1}
    sheet.write(head, 1, "warp on the face", look.make(bg_color=WARP, font_color=PAPER, **small))
    sheet.write(head + 1, 1, "weft on the face", look.make(bg_color=WEFT, **small))
    thread = look.make(font_size=6, font_color="#6B7672", align="center", rotation=90)
    sheet.page.set_row(head, 20)
    for number in range(ENDS_SHOWN):
        if number % 5 == 4 or number == 0:
            sheet.write(
                head, FIRST_CELL + number, f'=IF(FirstEnd+{number}>N(Ends),"",FirstEnd+{number})', thread
            )
    cell = look.make(num_format=";;;", font_size=6, align="center")
    number_style = look.make(font_size=7, font_color="#6B7672", align="right")
    code_column = xl_col_to_name(CODE)
    top = head + 1
    for line in range(ROWS_SHOWN):
        row = top + line
        number = ROWS_SHOWN - 1 - line
        pick = f"FirstRow+{number}"
        sheet.page.set_row(row, 12.75)
        # One call a row; the cells beside it only cut its text up.
        sheet.write(
            row,
            CODE,
            f'=IF(NOT(Begun),"",IF({pick}>RowsWoven,"",WEAVE.PICKCODE(WeaveText,'
            f"MIN(Ends,FirstEnd+{ENDS_SHOWN - 1}),{pick},Turns)))",
            number_style,
        )
        if number % 5 == 4 or number == 0:
            sheet.write(row, FIRST_CELL - 1, f'=IF({pick}>N(RowsWoven),"",{pick})', number_style)
        for end in range(ENDS_SHOWN):
            sheet.write(
                row, FIRST_CELL + end, f'=IFERROR(MID(${code_column}{row + 1},FirstEnd+{end},1),"")', cell
            )
    # The cells of the drawing stay empty where it fails; this line says why.
    lowest = f"{NAME}!${code_column}${top + ROWS_SHOWN}"
    arguments = f"WeaveText,MIN(Ends,FirstEnd+{ENDS_SHOWN - 1}),FirstRow,Turns"
    sheet.book.checks.append(
        Check(f"{NAME}, drawing", f'=IF(ISERROR({lowest}),{why("PICKCODE", arguments)},"")')
    )
    first = f"{xl_col_to_name(FIRST_CELL)}{top + 1}"
    area = (top, FIRST_CELL, top + ROWS_SHOWN - 1, FIRST_CELL + ENDS_SHOWN - 1)
    edge = {"border": 1, "border_color": "#FFFFFF"}
    for sign, colour in (("1", WARP), ("0", WEFT)):
        style = sheet.book.book.add_format({"bg_color": colour, "font_color": colour, **edge})
        sheet.page.conditional_format(
            *area, {"type": "formula", "criteria": f'={first}="{sign}"', "format": style}
        )
