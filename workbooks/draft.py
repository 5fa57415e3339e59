"""Sheet Draft: a drawn cloth taken apart into its draft, and a draft put together into its cloth.

Laid out as on paper: the threading above the cloth, the tie-up in the corner, the treadling at the side and
the lift plan beside it. Cells that are filled in hold 1; all other marks are laid over empty cells by
conditions that look at one number an end, a pick, and one text a shaft, a row.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from xlsxwriter.utility import xl_col_to_name, xl_rowcol_to_cell

from weavefuncs.workbooks.book import Book, Check, Sheet
from weavefuncs.workbooks.look import BAND, INPUT, PAPER, QUIET, RULE, WARP, WEFT
from weavefuncs.workbooks.rows import Band, Given, Row, validate, why, write_rows

NAME = "Draft"

# The largest repeat that can be drawn.
FIELD = 48

# Shafts and treadles drawn; beyond them a draft is worked out and numbered, but not drawn.
DRAWN = 24

LABEL, GIVEN, RESULT, UNIT = 1, 2, 3, 4
FIRST_CELL = 5
LAST_CELL = FIRST_CELL + FIELD - 1
TREADLE = LAST_CELL + 1
FIRST_TREADLE = TREADLE + 1
PICK = FIRST_TREADLE + DRAWN
FIRST_LIFT = PICK + 1
LAST = FIRST_LIFT + DRAWN - 1
# Hidden: the number of a line of the field, whether anything stands in it, and the texts that marks are read
# from. Formulas look numbers up in cells: alike in all lines, they are taken apart once.
NUMBER = LAST + 1
USED = NUMBER + 1
CODE = USED + 1

SQUARE = 13.5

# In per cent: the first two pages are equally wide, and just fit where a machine has none but wide fonts. The
# first ends within the field, so that a draft of up to 27 ends, drawn at the right as advised, stands on one
# page with its tie-up and treadling.
PRINTED_AT = 60
ENDS_BEFORE_BREAK = FIELD - 27

CAUTION = (
    "Shafts rise. Long floats catch, on fingers and toes above all of babies: the figures here are those of "
    "one repeat without end, edges and finished lengths stand on Cloth."
)

MARK = Given("whole", "1: the warp is up. 0 or blank: it is down.", low=0, high=1)
TIED = Given("whole", "1: this treadle lifts this shaft.", low=0, high=1)
PRESSED = Given(
    "whole", "1: this treadle is pressed on this pick; several at once if need be.", low=0, high=1
)
THREADED = Given("whole", "Shaft of this end; 0 for an end on no shaft.", low=0, high=DRAWN)
OWNED = Given("whole", "Heddles on this shaft. Blank: they are not counted.", low=0, high=1000000)


def _figures(prefix: str) -> list[Row | Band]:
    """Declare what both ways have in common: how the cloth that is drawn holds together."""
    text = f"{prefix}Text"
    return [
        Row(
            f"{prefix}Tabby",
            "Tabby, on this threading",
            formula=f'WEAVE.TABBY({prefix}Threading)&""',
            kind="text",
            wide=True,
        ),
        Row(
            f"{prefix}DoubledEnds",
            "Neighbouring ends alike",
            formula=f'WEAVE.DOUBLEDNEIGHBOURS({text},"warp")&""',
            kind="text",
            wide=True,
        ),
        Row(
            f"{prefix}DoubledPicks",
            "Neighbouring picks alike",
            formula=f'WEAVE.DOUBLEDNEIGHBOURS({text},"weft")&""',
            kind="text",
            wide=True,
        ),
        Row(
            f"{prefix}Untied",
            "Never tied in",
            formula=f'WEAVE.UNTIEDTHREADS({text})&""',
            kind="text",
            wide=True,
            checks=(
                f'IF({prefix}Ready,IF(ISTEXT({prefix}Untied),IF({prefix}Untied="none","",'
                f'"lies loose, up or down throughout: "&{prefix}Untied),""),"")',
            ),
        ),
        Row(
            f"{prefix}FloatWarp",
            "Longest float of the warp",
            "picks",
            formula=f'IF(ISNUMBER(SEARCH("end",{prefix}Untied)),"without end",'
            f'WEAVE.LONGESTFLOAT({text},"warp"))',
            kind="whole",
        ),
        Row(
            f"{prefix}FloatWeft",
            "Longest float of the weft",
            "ends",
            formula=f'IF(ISNUMBER(SEARCH("pick",{prefix}Untied)),"without end",'
            f'WEAVE.LONGESTFLOAT({text},"weft"))',
            kind="whole",
        ),
    ]


APART: list[Row | Band] = [
    Band("What the cloth needs"),
    Row(
        "DraftNumbering",
        "Shafts numbered",
        given=Given(
            "text",
            "In twill order: each shaft beside those that lift nearly as it does. As they appear: from end 1 "
            "and pick 1 on. Blank: in twill order.",
            choices=("in twill order", "as they appear"),
        ),
        formula='IF(ISBLANK(DraftNumberingGiven),"in twill order",DraftNumberingGiven)',
        kind="text",
        always=True,
    ),
    Row(
        "DraftEnds",
        "Ends in the repeat",
        "ends",
        formula='IF(DraftDrawn,DraftRight-DraftLeft+1,"")',
        kind="whole",
        always=True,
    ),
    Row(
        "DraftPicks",
        "Picks in the repeat",
        "picks",
        formula='IF(DraftDrawn,DraftHighest-DraftLowest+1,"")',
        kind="whole",
        always=True,
    ),
    Row("DraftShafts", "Fewest shafts", "shafts", formula="WEAVE.SHAFTSNEEDED(DraftText)", kind="whole"),
    Row(
        "DraftTreadles",
        "Fewest treadles",
        "one a pick",
        formula="WEAVE.TREADLESNEEDED(DraftText)",
        kind="whole",
    ),
    Row("DraftThreadingName", "Threading", formula="WEAVE.DRAFTNAME(DraftThreading)", kind="text", wide=True),
    Row("DraftTreadlingName", "Treadling", formula="WEAVE.DRAFTNAME(DraftTreadling)", kind="text", wide=True),
    *_figures("Draft"),
    Band("Heddles"),
    Row(
        "DraftWarp",
        "Ends of the warp",
        "ends",
        given=Given(
            "whole", "Ends that the heddles are counted for. Blank: those of Plan.", low=1, high=1000000
        ),
        formula='IF(ISBLANK(DraftWarpGiven),IF(ISNUMBER(Ends),Ends,""),DraftWarpGiven)',
        kind="whole",
        always=True,
    ),
    Row(
        "DraftShort",
        "Heddles short in all",
        "heddles",
        formula='IF(COUNT(HeddlesOwned)=0,"",SUM(DraftShortOn))',
        kind="whole",
        checks=(
            'IF(N(DraftShort)>0,"heddles are short by "&DraftShort&" for "&DraftWarp&" ends: see the shafts",'
            '"")',
        ),
    ),
]

TOGETHER: list[Row | Band] = [
    Band("The cloth it weaves"),
    Row("BackEnds", "Ends in the repeat", "ends", formula="COUNT(BackThreading)", kind="whole"),
    Row(
        "BackPicks",
        "Picks in the repeat",
        "picks",
        formula='IF(BackDrawn,BackHighest-BackLowest+1,"")',
        kind="whole",
        always=True,
    ),
    Row(
        "BackShafts",
        "Shafts that would do",
        "shafts",
        formula="WEAVE.SHAFTSNEEDED(BackText)",
        kind="whole",
    ),
    Row(
        "BackTreadles",
        "Treadles that would do",
        "one a pick",
        formula="WEAVE.TREADLESNEEDED(BackText)",
        kind="whole",
    ),
    Row("BackName", "Threading", formula="WEAVE.DRAFTNAME(BackThreading)", kind="text", wide=True),
    *_figures("Back"),
]

ROWS = [*APART, *TOGETHER]

HOW_APART = (
    "Draw one repeat with 1 where the warp is up, or paste it: anywhere in the field, best in its upper "
    "right corner, where threading and treadling lie next to it. The cloth grows upward: its lowest row is "
    "pick 1, its first column end 1. Where a whole row or column at the edge is down, type 0 in one of its "
    "cells. To plan a piece in it, type =DraftText for the weave on Plan."
)
HOW_TOGETHER = (
    "Type the shaft of each end into the cream row, best at its right end; mark with 1 which shafts each "
    "treadle lifts, and which treadles are pressed on each pick, the lowest row first. A table loom: tie "
    "treadle 1 to shaft 1, 2 to 2 and so on; the treadling is then the lift plan. To plan a piece in it, "
    "type =BackText for the weave on Plan."
)
BEYOND = f"Shafts and treadles above {DRAWN} are counted and numbered, not drawn."


class _Block:
    """One way of the draft on the sheet: where its parts stand, counted from 0."""

    def __init__(self, sheet: Sheet, top: int, prefix: str, ready: str) -> None:
        self.sheet = sheet
        self.prefix = prefix
        self.ready = ready
        self.head = top
        self.first_shaft = top + 1
        self.threading = self.first_shaft + DRAWN
        # Hidden: the number of a column of the field, and whether anything stands in it.
        self.end_numbers = self.threading + 1
        self.used_ends = self.end_numbers + 1
        self.field = self.used_ends + 1
        self.after = self.field + FIELD

    def shaft_row(self, shaft: int) -> int:
        """Return the row of a shaft: shaft 1 stands next to the cloth."""
        return self.threading - shaft

    def pick_row(self, line: int) -> int:
        """Return the row of a line of the field, counted from 1 at the bottom."""
        return self.after - line

    def name(self, name: str, first: tuple[int, int], last: tuple[int, int] | None = None) -> None:
        """Name cells."""
        self.sheet.book.name(self.prefix + name, NAME, first, last)

    def area(self, part: str) -> tuple[int, int, int, int]:
        """Return first row, first column, last row, last column of a part."""
        last_shaft, last_pick = self.threading - 1, self.after - 1
        last_treadle = FIRST_TREADLE + DRAWN - 1
        return {
            "threading": (self.first_shaft, FIRST_CELL, last_shaft, LAST_CELL),
            "tie-up": (self.first_shaft, FIRST_TREADLE, last_shaft, last_treadle),
            "treadling": (self.field, FIRST_TREADLE, last_pick, last_treadle),
            "lift plan": (self.field, FIRST_LIFT, last_pick, LAST),
            "field": (self.field, FIRST_CELL, last_pick, LAST_CELL),
        }[part]

    def mark(self, part: str, criteria: str, style: Any) -> None:
        """Lay a format over the cells of a part that meet a condition, written for its first cell."""
        condition = {"type": "formula", "criteria": f"={criteria}", "format": style}
        self.sheet.page.conditional_format(*self.area(part), condition)


def write(book: Book, values: dict[str, Any]) -> None:
    """Write the sheet.

    Parameters
    ----------
    book : Book
        The planner being written.
    values : dict
        What is filled in: the rows of the forms by their keys; ``grid``, ``tie_up`` and ``treadled`` as rows
        of cells, the top row first as it is seen; ``threading``; ``owned``, from shaft 1 up.
    """
    cells = [1.86] * FIELD
    treadles = [1.86] * DRAWN
    sheet = book.sheet(NAME, [2, 25, 13, 28, 10, *cells, 2.2, *treadles, 2.2, *treadles], "#2F7C86")
    sheet.title(
        NAME,
        "A cloth drawn in a grid taken apart, and a draft put together. " + CAUTION,
        FIRST_CELL + ENDS_BEFORE_BREAK - 1,
    )
    apart = _Block(sheet, 4, "Draft", "DraftReady")
    sheet.band(3, "From the cloth to its draft", LAST)
    _write_apart(apart, values)
    top = apart.after + 2
    sheet.band(top - 1, "From a draft to its cloth", PICK)
    sheet.new_page(top - 1)
    together = _Block(sheet, top, "Back", "BackReady")
    _write_together(together, values)
    for block in (apart, together):
        for row in range(block.first_shaft, block.after):
            sheet.page.set_row(row, SQUARE)
        sheet.page.set_row(block.head, 20)
        for row in (block.end_numbers, block.used_ends):
            sheet.page.set_row(row, None, None, {"hidden": True})
    sheet.page.set_column(NUMBER, CODE, None, sheet.look.plain(), {"hidden": True})
    sheet.printing(False, NAME, (together.after, LAST))
    sheet.pages_wide(PRINTED_AT, [FIRST_CELL + ENDS_BEFORE_BREAK, FIRST_LIFT], (PICK, PICK))


def _write_apart(block: _Block, values: dict[str, Any]) -> None:
    sheet, look = block.sheet, block.sheet.look
    _given_cells(block, "field", "Grid", values.get("grid", ()), MARK, "Cloth")
    _furniture(block, "lift plan")
    owned = values.get("owned", ())
    for shaft in range(1, DRAWN + 1):
        row = block.shaft_row(shaft)
        value = owned[shaft - 1] if shaft <= len(owned) else None
        sheet.write(row, GIVEN, value, look.given("whole"))
    validate(sheet, block.first_shaft, GIVEN, block.threading - 1, GIVEN, OWNED, "Heddles owned")
    sheet.book.name("HeddlesOwned", NAME, (block.first_shaft, GIVEN), (block.threading - 1, GIVEN))
    _heddles(block, "DraftShafts")
    block.name("ShortOn", (block.first_shaft, UNIT), (block.threading - 1, UNIT))
    _which_are_used(block, "Grid")
    _state(block, "Drawn", "COUNTA(DraftGrid)>0")
    text = "WEAVE.GRIDASWEAVE(DraftGrid,DraftLeft,DraftEnds,DraftLowest,DraftPicks)"
    _state(block, "Text", f'IF(DraftDrawn,{text}&"","")')
    _state(block, "Ready", "AND(DraftDrawn,ISTEXT(DraftText),ISTEXT(DraftNumbering))")
    _state(
        block,
        "Gap",
        'IF(COUNT(DraftRowsUsed)<DraftPicks,"a row inside the drawing is blank: type 0 if no end is up",'
        'IF(COUNT(DraftColumnsUsed)<DraftEnds,"a column inside the drawing is blank: type 0 if the end is '
        'never up",""))',
    )
    _numbers(block)
    _tie_up_codes(block)
    _mark_all(block)
    form = write_rows(sheet, block.field, APART, values, UNIT, begun=block.ready)
    arguments = "DraftGrid,DraftLeft,DraftEnds,DraftLowest,DraftPicks"
    _fault(block, form, f'IF(DraftDrawn,IF(ISERROR(DraftText),{why("GRIDASWEAVE", arguments)},DraftGap),"")')
    sheet.book.checks.append(
        Check(
            f"{NAME}, heddles owned",
            '=IF(COUNTA(HeddlesOwned)>COUNTIF(HeddlesOwned,">=0"),"each must be a number of at least 0","")',
        )
    )
    _remark(sheet, form + 4, HOW_APART, 6)
    _remark(sheet, form + 11, BEYOND, 1)


def _write_together(block: _Block, values: dict[str, Any]) -> None:
    sheet, look = block.sheet, block.sheet.look
    _furniture(block, "")
    _given_cells(block, "tie-up", "TieUp", values.get("tie_up", ()), TIED, "Tie-up")
    _given_cells(block, "treadling", "Treadled", values.get("treadled", ()), PRESSED, "Treadling")
    threading = values.get("threading", ())
    for number in range(FIELD):
        value = threading[number] if number < len(threading) else None
        sheet.write(block.threading, FIRST_CELL + number, value, _square(sheet))
    first, last = (block.threading, FIRST_CELL), (block.threading, LAST_CELL)
    block.name("Threading", first, last)
    validate(sheet, *first, *last, THREADED, "Threading")
    _heddles(block, "BackShaftsUsed")
    _which_are_used(block, "Threading")
    _state(block, "Drawn", "COUNTA(BackThreading)+COUNTA(BackTieUp)+COUNTA(BackTreadled)>0")
    arguments = "BackThreading,BackTieUp,BackTreadled,BackLowest,BackPicks"
    _state(
        block,
        "Gap",
        'IF(BackRight-BackLeft+1>MAX(1,COUNT(BackColumnsUsed)),"the threading has a gap: type 0 for an end '
        'on no shaft","")',
    )
    _state(block, "ShaftsUsed", "MAX(BackThreading)")
    text = f'WEAVE.DRAFTASWEAVE({arguments})&""'
    _state(block, "Text", f'IF(BackDrawn,IF(BackGap="",{text},NA()),"")')
    _state(block, "Ready", "AND(BackDrawn,ISTEXT(BackText))")
    for row in range(block.field, block.after):
        pick = f"${xl_col_to_name(PICK)}{row + 1}"
        code = f'=IF({pick}="","",MID(BackText,({pick}-1)*(BackEnds+1)+1,BackEnds))'
        sheet.write(row, CODE, code, look.plain())
    _mark_all(block)
    form = write_rows(sheet, block.field, TOGETHER, values, UNIT, begun=block.ready)
    reason = f'IF(BackGap="",{why("DRAFTASWEAVE", arguments)},BackGap)'
    _fault(block, form, f'IF(BackDrawn,IF(ISERROR(BackText),{reason},""),"")')
    _remark(sheet, form + 4, HOW_TOGETHER, 8)


def _given_cells(
    block: _Block, part: str, name: str, rows: Sequence[Sequence[Any]], given: Given, label: str
) -> None:
    """Write cells to be filled in, those of the top row first."""
    sheet = block.sheet
    top, left, bottom, right = block.area(part)
    style = _square(sheet)
    for row in range(top, bottom + 1):
        filled = rows[row - top] if row - top < len(rows) else ()
        for column in range(left, right + 1):
            sheet.write(row, column, filled[column - left] if column - left < len(filled) else None, style)
    block.name(name, (top, left), (bottom, right))
    validate(sheet, top, left, bottom, right, given, label)
    cell = xl_rowcol_to_cell(top, left)
    wrong = f'AND({cell}<>"",NOT(OR({cell}=0,{cell}=1,{cell}="0",{cell}="1",{cell}=TRUE,{cell}=FALSE)))'
    block.mark(part, wrong, sheet.look.problem())
    block.mark(part, f'OR({cell}=1,{cell}="1",{cell}=TRUE)', _filled(sheet, WARP, RULE))


def _furniture(block: _Block, beside: str) -> None:
    """Write the numbers of shafts and treadles, and what the parts are called."""
    sheet, look = block.sheet, block.sheet.look
    for column, heading, align in (
        (LABEL, "Shaft", "left"),
        (GIVEN, "Owned" if beside else "", "right"),
        (RESULT, "Heddles needed", "right"),
        (UNIT, "Short", "right"),
    ):
        sheet.write(block.head, column, heading, look.heading(align))
    for shaft in range(1, DRAWN + 1):
        row = block.shaft_row(shaft)
        sheet.write(row, LABEL, shaft, look.make(num_format='"shaft "0', align="left", indent=1))
        sheet.write(row, TREADLE, shaft, look.make(font_size=7, font_color=QUIET, align="center"))
    number = look.make(font_size=7, font_color=QUIET, align="center")
    part = look.make(font_size=9, bold=True, font_color=BAND)
    sheet.write(block.head, FIRST_CELL, "Threading", part)
    sheet.write(block.head, FIRST_TREADLE, "Tie-up", part)
    note = look.make(font_size=8, font_color=QUIET, align="right", indent=1)
    sheet.write(block.threading, RESULT, "Threading, the shaft of each end", note)
    for place in range(1, DRAWN + 1):
        sheet.write(block.threading, FIRST_TREADLE + place - 1, place, number)
    if beside:
        sheet.write(block.threading - 1, FIRST_LIFT, "Lift plan", part)
        for place in range(1, DRAWN + 1):
            sheet.write(block.threading, FIRST_LIFT + place - 1, place, number)
    sheet.write(block.after, FIRST_TREADLE, "Treadling", part)
    pick_number = look.make(font_size=7, font_color=QUIET, align="center")
    for row in range(block.field, block.after):
        line = xl_rowcol_to_cell(row, NUMBER, col_abs=True)
        pick = (
            f'=IF(NOT({block.ready}),"",IF(OR({line}<{block.prefix}Lowest,{line}>{block.prefix}Highest),"",'
            f"{line}-{block.prefix}Lowest+1))"
        )
        sheet.write(row, PICK, pick, pick_number)


def _number_if_used(*cells: tuple[int, int]) -> str:
    """Write the number of a line of cells where anything stands in them.

    Given are the first and the last cell, the one of them that is locked, and that of the number. A formula
    follows cells that are moved when all that it looks at goes along: the locked cell stays.
    """
    first, last, locked, number = (xl_rowcol_to_cell(*cell) for cell in cells)
    return f'=IF(COUNTA({first}:{last})=COUNTA({locked}),"",{number})'


def _which_are_used(block: _Block, across: str) -> None:
    """Write which rows and columns of the field anything stands in, and their first and last."""
    sheet, prefix = block.sheet, block.prefix
    style = sheet.look.plain()
    part = "field" if across == "Grid" else "treadling"
    top, left, bottom, right = block.area(part)
    for line in range(1, FIELD + 1):
        row = block.pick_row(line)
        sheet.write(row, NUMBER, line, style)
        used = _number_if_used((row, left - 1), (row, right), (row, left - 1), (row, NUMBER))
        sheet.write(row, USED, used, style)
    for column in range(FIRST_CELL, LAST_CELL + 1):
        sheet.write(block.end_numbers, column, column - FIRST_CELL + 1, style)
        rows = (top, bottom) if across == "Grid" else (block.threading, block.threading)
        below = rows[1] + 1, column
        used = _number_if_used((rows[0], column), below, below, (block.end_numbers, column))
        sheet.write(block.used_ends, column, used, style)
    block.name("RowsUsed", (top, USED), (bottom, USED))
    block.name("ColumnsUsed", (block.used_ends, FIRST_CELL), (block.used_ends, LAST_CELL))
    _state(block, "Lowest", f"MIN({prefix}RowsUsed)")
    _state(block, "Highest", f"MAX({prefix}RowsUsed)")
    _state(block, "Left", f"MIN({prefix}ColumnsUsed)")
    _state(block, "Right", f"MAX({prefix}ColumnsUsed)")


_STATES = ("Drawn", "Text", "Ready", "Lowest", "Highest", "Left", "Right", "Gap", "ShaftsUsed")


def _state(block: _Block, name: str, formula: str) -> None:
    """Write what many formulas ask, into the hidden columns beside the heading of a block."""
    row = block.first_shaft + _STATES.index(name)
    block.sheet.write(row, USED, f"={formula}", block.sheet.look.plain())
    block.name(name, (row, USED))


def _numbers(block: _Block) -> None:
    """Write the shaft of each end, the treadle of each pick, and the row of the lift plan."""
    sheet = block.sheet
    style = sheet.look.make(font_size=8, align="center", font_color=BAND)
    for column in range(FIRST_CELL, LAST_CELL + 1):
        place = xl_rowcol_to_cell(block.end_numbers, column, row_abs=True)
        shaft = (
            f'=IF(NOT(DraftReady),"",IF(OR({place}<DraftLeft,{place}>DraftRight),"",'
            f"WEAVE.SHAFTOF(DraftText,{place}-DraftLeft+1,DraftNumbering)))"
        )
        sheet.write(block.threading, column, shaft, style)
    for row in range(block.field, block.after):
        pick = f"${xl_col_to_name(PICK)}{row + 1}"
        for column, function in ((TREADLE, "TREADLEOF"), (CODE, "LIFTCODE")):
            formula = f'=IF({pick}="","",WEAVE.{function}(DraftText,{pick},DraftNumbering))'
            sheet.write(row, column, formula, style)
    block.name("Threading", (block.threading, FIRST_CELL), (block.threading, LAST_CELL))
    block.name("Treadling", (block.field, TREADLE), (block.after - 1, TREADLE))


def _tie_up_codes(block: _Block) -> None:
    for row in range(block.first_shaft, block.threading):
        shaft = xl_rowcol_to_cell(row, LABEL, col_abs=True)
        formula = (
            f'=IF(NOT(DraftReady),"",IF({shaft}>DraftShafts,"",'
            f"WEAVE.TIEUPCODE(DraftText,{shaft},DraftNumbering)))"
        )
        block.sheet.write(row, CODE, formula, block.sheet.look.plain())


def _heddles(block: _Block, shafts: str) -> None:
    """Write the heddles that each shaft needs, and what is short of those owned."""
    sheet, look = block.sheet, block.sheet.look
    short = look.make(num_format='"short by "0;;;', align="right", indent=1, font_color="#8C2A14")
    for number in range(1, DRAWN + 1):
        row = block.shaft_row(number)
        shaft = xl_rowcol_to_cell(row, LABEL, col_abs=True)
        needed = xl_rowcol_to_cell(row, RESULT, col_abs=True)
        # By its place in the column: a formula would follow a cell that is moved.
        owned = f"INDEX(HeddlesOwned,{DRAWN - number + 1})"
        formula = (
            f'=IF(NOT({block.ready}),"",IF(OR({shaft}>{shafts},DraftWarp=""),"",'
            f"WEAVE.HEDDLESONSHAFT({block.prefix}Threading,{shaft},DraftWarp)))"
        )
        sheet.write(row, RESULT, formula, look.result("whole"))
        missing = f'=IF(AND(ISNUMBER({needed}),ISNUMBER({owned})),MAX(0,{needed}-{owned}),"")'
        sheet.write(row, UNIT, missing, short)
    sheet.mark_errors(block.first_shaft, RESULT, block.threading - 1, RESULT)


def _mark_all(block: _Block) -> None:
    """Lay the marks of the draft over its cells, and squared paper under the part that is used."""
    sheet = block.sheet
    dark, paper = _filled(sheet, WARP, PAPER), _filled(sheet, PAPER, RULE)
    weft = _filled(sheet, WEFT, PAPER)
    first_cell, first_treadle = xl_col_to_name(FIRST_CELL), xl_col_to_name(FIRST_TREADLE)
    label, code, pick = (f"${xl_col_to_name(column)}" for column in (LABEL, CODE, PICK))
    numbers = block.threading + 1
    on_shaft = f"{first_cell}${numbers}"
    shaft_row, pick_row = block.first_shaft + 1, block.field + 1
    shaft = f"{label}{shaft_row}"
    used_end = f"{first_cell}${block.used_ends + 1}"
    threaded = f'{on_shaft}<>""'
    block.mark("threading", f"AND({threaded},{on_shaft}={shaft})", dark)
    if block.prefix == "Back":
        lifted = f"MID({code}{pick_row},{used_end}-BackLeft+1,1)"
        block.mark("field", f'{lifted}="1"', dark)
        block.mark("field", f'{lifted}="0"', weft)
        block.mark("threading", f"AND({threaded},{shaft}<=BackShaftsUsed)", paper)
        return
    drawn_pick = f'{pick}{pick_row}<>""'
    # What is drawn has been marked already; the rest of the repeat is weft.
    block.mark("field", f"AND({threaded},{drawn_pick})", weft)
    block.mark("threading", f"AND({threaded},{shaft}<=N(DraftShafts))", paper)
    treadle = f"{first_treadle}${numbers}"
    block.mark("tie-up", f'MID({code}{shaft_row},{treadle},1)="1"', dark)
    block.mark("tie-up", f'MID({code}{shaft_row},{treadle},1)="0"', paper)
    pressed = f"${xl_col_to_name(TREADLE)}{pick_row}"
    block.mark("treadling", f"AND({drawn_pick},{pressed}={treadle})", dark)
    block.mark("treadling", f"AND({drawn_pick},{treadle}<=N(DraftTreadles))", paper)
    lifted = f"{xl_col_to_name(FIRST_LIFT)}${numbers}"
    block.mark("lift plan", f'MID({code}{pick_row},{lifted},1)="1"', dark)
    block.mark("lift plan", f'MID({code}{pick_row},{lifted},1)="0"', paper)


def _fault(block: _Block, form: int, reason: str) -> None:
    """Write what is wrong with what is drawn, on the sheet itself and in the list on Start."""
    sheet, look = block.sheet, block.sheet.look
    sheet.write(form, LABEL, "In the way", look.label())
    style = look.make(text_wrap=True, font_color="#8C2A14", valign="top", font_size=9)
    sheet.page.merge_range(form, GIVEN, form + 2, UNIT, "", style)
    sheet.write(form, GIVEN, f"={reason}", style)
    block.name("Fault", (form, GIVEN))
    what = "drawing" if block.prefix == "Draft" else "draft to cloth"
    sheet.book.checks.append(Check(f"{NAME}, {what}", f"={block.prefix}Fault"))


def _remark(sheet: Sheet, row: int, text: str, rows: int) -> None:
    small = {"font_color": QUIET, "font_size": 9, "align": "left", "indent": 1}
    style = sheet.look.make(text_wrap=True, valign="top", **small)
    if rows == 1:
        sheet.write(row, LABEL, text, sheet.look.make(**small))
    else:
        sheet.page.merge_range(row, LABEL, row + rows - 1, UNIT, text, style)


def _filled(sheet: Sheet, colour: str, edge: str) -> Any:
    """Return what a condition lays over a cell: a colour that hides what is written there, and its edges."""
    return sheet.book.book.add_format(
        {"bg_color": colour, "font_color": colour, "border": 1, "border_color": edge}
    )


def _square(sheet: Sheet) -> Any:
    """Return the look of a small cell that is filled in."""
    return sheet.look.make(
        bg_color=INPUT, border=1, border_color=RULE, locked=False, num_format="0", font_size=8, align="center"
    )
