"""The drawing on Cloth: one cell a crossing, coloured by rules that read the sign in it."""

from __future__ import annotations

from typing import Any

from xlsxwriter.utility import xl_col_to_name

from weavefuncs._colour_tones import FIRST_LETTER, KEY_WIDTH, WARP_SIGN, WEFT_SIGN, rgb
from weavefuncs.shared.colour_words import TONES
from weavefuncs.workbooks.book import Check, Sheet
from weavefuncs.workbooks.look import PAPER, WARP, WEFT
from weavefuncs.workbooks.rows import why
from weavefuncs.workbooks.yarns import yarn_line

ENDS_SHOWN = 60
ROWS_SHOWN = 80

# The drawing stands below the figures. Its columns are narrow, so the form above is merged across them.
FIRST_CELL = 5
WIDE = ENDS_SHOWN
CODE = FIRST_CELL + ENDS_SHOWN + 1

# A crossing is drawn in a square: its width in characters, its height in points.
SQUARE_WIDTH, SQUARE_HEIGHT = 1.15, 9.75

# The key stands beside the drawing: a line for each colour, its word and a cell drawn in it.
WORD, SWATCH = 1, 2

# Threads of one colour stay apart by the lines between them: light ones on dark tones, dark ones on light.
LIGHT_LINE, DARK_LINE = "#FFFFFF", "#868B89"
LIGHT_FROM = 175

NUMBER = "#6B7672"

HOW = (
    "Each cell shows the thread on top, with lines along it: upright where that is an end, level where it is "
    "a pick."
)
TONE = "A colour is drawn in the nearest of 24 tones, in brackets; one that no word tells in a grey."


def draw(sheet: Sheet, first: int) -> int:
    """Write the key and the drawing from a row on; return the last row."""
    look = sheet.look
    last = FIRST_CELL + ENDS_SHOWN - 1
    _colours_drawn(sheet, first)
    sheet.page.merge_range(first, 1, first, last, "", look.note())
    sheet.write(first, 1, f"{HOW} {TONE}", look.note())
    head = first + 1
    _threads(sheet, head)
    _key(sheet, head)
    _rows(sheet, head + 1)
    _rules(sheet, head + 1)
    sheet.page.set_column(CODE, CODE, None, look.plain(), {"hidden": True})
    return head + ROWS_SHOWN


def _colours_drawn(sheet: Sheet, row: int) -> None:
    """Write, out of sight, the two colour orders as they are drawn, and the key to them."""
    plain = sheet.look.plain()
    for at, system in enumerate(("Warp", "Weft"), start=row - 3):
        yarn = f"INDEX(YarnColours,{yarn_line(f'{system}YarnName')})"
        # Without an order there is one colour: that of the first line on Plan, or the yarn's own.
        own = f'IFERROR(IF({yarn}="","none",IF(ISNUMBER({yarn}),"colour "&{yarn},{yarn}&"")),"none")'
        one = f'IF(INDEX({system}Colours,1)="",{own},INDEX({system}Colours,1)&"")'
        order = f'IF(ISBLANK({system}Order),{one},{system}Order&"")'
        sheet.write(at, CODE, f'=IF(OR(NOT(Begun),DrawAs="weave"),"none",{order})', plain)
        sheet.name_cell(f"{system}Drawn", at, CODE)
    # Blanks at the end of a text get lost in some files: the full stop keeps them.
    sheet.write(row - 1, CODE, '=IF(Begun,WEAVE.COLOURKEY(WarpDrawn,WeftDrawn)&".","")', plain)
    sheet.name_cell("ColourKey", row - 1, CODE)
    reason = f'=IF(ISERROR(ColourKey),{why("COLOURKEY", "WarpDrawn,WeftDrawn")},"")'
    sheet.book.checks.append(Check(f"{sheet.name}, colours", reason))


def _key(sheet: Sheet, head: int) -> None:
    look = sheet.look
    sheet.write(head, WORD, "Colours drawn", look.make(font_size=9, indent=1, bold=True))
    word = look.make(font_size=9, indent=1)
    sign = look.make(num_format=";;;", font_size=6, align="center")
    for line in range(len(TONES)):
        start = 1 + KEY_WIDTH * line
        row = head + 1 + line
        sheet.write(row, WORD, f'=IFERROR(TRIM(MID(ColourKey,{start + 2},{KEY_WIDTH - 2})),"")', word)
        named = f"{xl_col_to_name(WORD)}{row + 1}"
        sheet.write(row, SWATCH, f'=IF({named}="","",MID(ColourKey,{start},1))', sign)


def _threads(sheet: Sheet, head: int) -> None:
    """Number the threads drawn; every fifth number is shown."""
    sheet.page.set_row(head, 20)
    for number in range(ENDS_SHOWN):
        at = FIRST_CELL + number
        before = f"{xl_col_to_name(at - 1)}{head + 1}"
        formula = f'=IF({before}="","",IF({before}<Ends,{before}+1,""))'
        if number == 0:
            formula = '=IF(FirstEnd>N(Ends),"",FirstEnd)'
        style = sheet.look.make(**_shown(number), font_size=6, font_color=NUMBER, align="center", rotation=90)
        sheet.write(head, at, formula, style)


def _shown(number: int) -> dict[str, Any]:
    """Hide a number on the rim, unless it is the first or a fifth."""
    return {} if number % 5 == 4 or number == 0 else {"num_format": ";;;"}


def _rows(sheet: Sheet, top: int) -> None:
    look = sheet.look
    cell = look.make(num_format=";;;", font_size=6, align="center")
    code_column, number_column = xl_col_to_name(CODE), xl_col_to_name(FIRST_CELL - 1)
    drawn = f"MIN(Ends,FirstEnd+{ENDS_SHOWN - 1})"
    for line in range(ROWS_SHOWN):
        row = top + line
        number = ROWS_SHOWN - 1 - line
        pick, below = (f"{number_column}{at}" for at in (row + 1, row + 2))
        style = look.make(**_shown(number), font_size=7, font_color=NUMBER, align="right")
        sheet.page.set_row(row, SQUARE_HEIGHT)
        formula = f'=IF({below}="","",IF({below}<RowsWoven,{below}+1,""))'
        if number == 0:
            formula = '=IF(FirstRow>N(RowsWoven),"",FirstRow)'
        sheet.write(row, FIRST_CELL - 1, formula, style)
        # One call a row; the cells beside it only cut its text up.
        call = f"WEAVE.PICKCOLOURS(WeaveText,{drawn},{pick},Turns,WarpDrawn,WeftDrawn)"
        sheet.write(row, CODE, f'=IF({pick}="","",{call})', look.plain())
        for end in range(ENDS_SHOWN):
            thread = f"{xl_col_to_name(FIRST_CELL + end)}${top}"
            sheet.write(row, FIRST_CELL + end, f'=IFERROR(MID(${code_column}{row + 1},{thread},1),"")', cell)
    # The cells of the drawing stay empty where it fails; this line says why, unless another one does.
    lowest = f"{sheet.name}!${code_column}${top + ROWS_SHOWN}"
    arguments = f"WeaveText,{drawn},FirstRow,Turns,WarpDrawn,WeftDrawn"
    reason = f'IF(OR(ISERROR(ColourKey),ISERROR(FloatWarpFace)),"",{why("PICKCOLOURS", arguments)})'
    sheet.book.checks.append(Check(f"{sheet.name}, drawing", f'=IF(ISERROR({lowest}),{reason},"")'))


def _rules(sheet: Sheet, top: int) -> None:
    """Colour key and drawing by the sign in each cell: one rule for each tone of each system."""
    first = f"{xl_col_to_name(SWATCH)}{top + 1}"
    # What stands between key and drawing is a number or nothing, and no sign.
    area = (top, SWATCH, top + ROWS_SHOWN - 1, FIRST_CELL + ENDS_SHOWN - 1)

    def rule(criteria: str, **properties: Any) -> None:
        style = sheet.book.book.add_format(properties)
        sheet.page.conditional_format(*area, {"type": "formula", "criteria": criteria, "format": style})

    for sign, colour in ((WARP_SIGN, WARP), (WEFT_SIGN, WEFT)):
        rule(f'={first}="{sign}"', bg_color=colour, border=1, border_color=PAPER)
    for place, (_, colour) in enumerate(TONES):
        letter = chr(FIRST_LETTER + place)
        line = DARK_LINE if sum(rgb(colour)) > 3 * LIGHT_FROM else LIGHT_LINE
        upright = {"left": 1, "right": 1, "left_color": line, "right_color": line}
        level = {"top": 1, "bottom": 1, "top_color": line, "bottom_color": line}
        rule(f'=EXACT({first},"{letter}")', bg_color=colour, **upright)
        rule(f'=EXACT({first},"{letter.lower()}")', bg_color=colour, **level)
