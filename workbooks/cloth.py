"""Sheet Cloth: the cloth drawn as it will look, its floats on and off the loom, and its edges."""

from __future__ import annotations

from typing import Any

from xlsxwriter.utility import xl_col_to_name

from weavefuncs.shared.float_guide import FLOAT_GUIDE
from weavefuncs.workbooks.book import Book, Check, Sheet
from weavefuncs.workbooks.cloth_drawing import CODE, FIRST_CELL, SQUARE_WIDTH, WIDE, draw
from weavefuncs.workbooks.rows import Band, Given, Row, guarded, why, write_rows

NAME = "Cloth"
LAST = FIRST_CELL + WIDE - 1

# Empty columns that make the drawing just fit the height of a page.
ROOM_BESIDE = 6

CAUTION = (
    "Long floats catch: on fingers and toes above all of babies, on buttons, in the wash. For anything a "
    "child uses, defer to the local safety rules: those that hold where it is sold and used."
)

HOLDS: list[Row | Band] = [
    Band("Will it hold?"),
    Row(
        "MadeFor",
        "What it is for",
        note="gives a limit for floats where Settings has none (common practice, no source)",
        given=Given(
            "text",
            "What the piece is used for. Blank: only the limit on Settings counts.",
            choices=tuple(FLOAT_GUIDE),
        ),
    ),
    Row(
        "FloatByUse",
        "Longest float by use",
        "=SmallUnit",
        ", ".join(f"{use} {limit} mm" for use, (limit, _) in FLOAT_GUIDE.items())
        + " (common practice, no source)",
        formula='IF(ISBLANK(MadeFor),"",WEAVE.FLOATLIMIT(MadeFor,SmallUnit))',
        kind="number",
    ),
    Row(
        "FloatAllowed",
        "Longest float allowed",
        "=SmallUnit",
        "your own limit on Settings, else that of the use; for a baby the shorter of both",
        formula='IF(ISBLANK(FloatLimit),FloatByUse,IF(MadeFor="baby",MIN(FloatLimit,FloatByUse),FloatLimit))',
        kind="number",
    ),
]

EDGES: list[Row | Band] = [
    Row(
        "TurnRows",
        "Rows where the weave turns",
        "rows",
        "in one piece",
        formula="WEAVE.TURNROWS(RowsWoven,Turns)",
        kind="whole",
    ),
    Row(
        "EdgeMisses",
        "Turns of the weft that catch no edge end",
        "turns",
        "there the weft goes round the edge with nothing to hold it; a floating selvedge catches every turn",
        formula='IF(Floating="yes",0,WEAVE.UNCAUGHTTURNS(WeaveText,Ends,RowsWoven,Turns,FirstSide))',
        kind="whole",
    ),
    Row(
        "Edges",
        "Edges",
        formula='IF(Floating="yes","floating selvedges catch every turn; without them: ","")&'
        "WEAVE.EDGECHECK(WeaveText,Ends,RowsWoven,Turns,FirstSide)",
        kind="text",
        wrap=2,
        checks=(
            'IF(AND(Begun,Floating="no",ISTEXT(Edges)),IF(ISNUMBER(SEARCH("not caught",Edges)),'
            '"an edge end is not caught everywhere: read Edges on Cloth",""),"")',
        ),
    ),
    Band("What cloth it makes"),
    Row(
        "HowFirm",
        "How firm",
        note="1 is as close as yarn and weave beat to (Ashenhurst); a working cloth is about 0.75",
        formula="Sett/SettBalanced*Firmness",
        kind="two",
        checks=(
            "IF(AND(Begun,ISNUMBER(HowFirm)),IF(HowFirm>1,"
            '"the ends lie closer than yarn and weave beat to (Ashenhurst): sample first",""),"")',
        ),
    ),
    Row(
        "ClothWeight",
        "Weight",
        '=IF(MassUnit="oz","oz/yd2","g/m2")',
        "washed, of the cloth between hems and fringes, by the allowances on Plan",
        formula="WEAVE.CLOTHMASS(Sett/((1-DrawInHere)*(1-ShrinkWidthHere)),WarpYarn,"
        "1/((1-TakeUpHere)*(1-ShrinkLengthHere))-1,WeftSett/(1-ShrinkLengthHere),WeftYarn,"
        "1/((1-DrawInHere)*(1-ShrinkWidthHere)*(1-SlackHere))-1,SmallUnit,"
        'IF(MassUnit="oz","oz/yd2","g/m2"))',
        kind="one",
    ),
    Row(
        "Angle",
        "Angle of the twill line",
        "degrees",
        "from the weft, on the loom, one end a pick",
        formula="WEAVE.TWILLANGLE(Sett,WeftSett)",
        kind="one",
    ),
]

DRAWING: list[Row | Band] = [
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
    Row(
        "DrawAs",
        "Draw",
        note="blank: the colours, where Plan has a colour order; the weave shows warp and weft in two tones",
        given=Given(
            "text",
            "The weave in two tones, or the cloth in its colours.",
            choices=("weave", "colours"),
        ),
        formula='IF(ISBLANK(DrawAsGiven),IF(AND(ISBLANK(WarpOrder),ISBLANK(WeftOrder)),"weave","colours"),DrawAsGiven)',
        always=True,
        kind="text",
    ),
]

ROWS: list[Row | Band] = [*HOLDS, *EDGES, *DRAWING]

# A cell of a row: its column, or the first and the last of several.
Place = int | tuple[int, int]

# Columns of the table of floats: the first three are wide, the others stand across narrow ones.
LABEL, THREADS, LOOM, OFF = 1, 2, 3, 4
SLACK, LIFTED, VERDICT = ((FIRST_CELL + 9 * place, FIRST_CELL + 9 * place + 8) for place in range(3))

HEADINGS: dict[Place, str] = {
    LABEL: "Longest float",
    THREADS: "Threads",
    LOOM: '="On the loom ("&SmallUnit&")"',
    OFF: '="Off the loom ("&SmallUnit&")"',
    SLACK: '="Slack in it ("&SmallUnit&")"',
    LIFTED: '="Lifts off by ("&SmallUnit&")"',
    VERDICT: "Verdict",
}

# Each float: its name, what it is, how many threads it crosses and of what, and when there is one.
_LONGEST = 'WEAVE.LONGESTFLOAT(WeaveText,"{}",Ends,RowsWoven,Turns,"{}")'
FLOATS = [
    ("FloatWarpFace", "Warp on the face", _LONGEST.format("warp", "face"), "picks", ""),
    ("FloatWarpBack", "Warp on the back", _LONGEST.format("warp", "back"), "picks", ""),
    (
        "FloatTurn",
        "Warp across a turn",
        "WEAVE.LONGESTTURNFLOAT(WeaveText,Ends,RowsWoven,Turns)",
        "picks",
        "TurnRows>0",
    ),
    ("FloatWeftFace", "Weft on the face", _LONGEST.format("weft", "face"), "ends", ""),
    ("FloatWeftBack", "Weft on the back", _LONGEST.format("weft", "back"), "ends", ""),
    (
        "FloatEdge",
        "Weft at and round the edges",
        'WEAVE.LONGESTEDGEFLOAT(WeaveText,Ends,RowsWoven,Turns,FirstSide,Floating="yes")',
        "ends",
        "",
    ),
]

ALL = (
    'IF(FloatAllowed="","no limit to hold them against: choose a use above, or give one on Settings",'
    'IF(FloatsTooLong=0,"none is","some are")&" longer than "&ROUND(FloatAllowed,2)&" "&SmallUnit&'
    'IF(MadeFor="baby","; this is no proof of safety: defer to the local safety rules",""))'
)

OFF_LOOM = (
    "Off the loom the cloth below a float draws in and shrinks; the yarn of the float hardly does, and sags. "
    "So the verdict looks at the yarn in it: its length on the loom."
)


def write(book: Book, values: dict[str, Any]) -> None:
    """Write the sheet."""
    sheet = book.sheet(NAME, [2, 30, 11, 11, 9, *[SQUARE_WIDTH] * WIDE, 8, 2], "#7C5C8A")
    sheet.title(NAME, "What the plan looks like, and whether its floats and edges hold. " + CAUTION, LAST)
    after = write_rows(sheet, 3, HOLDS, values, LAST, begun="Begun")
    after = _write_floats(sheet, after + 1)
    after = write_rows(sheet, after + 1, EDGES, values, LAST, begun="Begun")
    after = write_rows(sheet, after + 1, DRAWING, values, LAST, begun="Begun")
    # The drawing has a page to itself.
    sheet.new_page(after)
    last = draw(sheet, after)
    sheet.printing(True, NAME, (last, LAST))
    sheet.room_beside((last, CODE), ROOM_BESIDE)


def _write_floats(sheet: Sheet, head: int) -> int:
    """Write the longest floats of each kind, one line each; return the row after them."""
    look = sheet.look
    sheet.page.set_row(head, 40)
    for place, text in HEADINGS.items():
        _put(sheet, head, place, text, look.heading("left" if place in (LABEL, VERDICT) else "right"))
    top = head + 1
    for row, (name, label, threads, crossed, when) in enumerate(FLOATS, start=top):
        _write_float(sheet, row, name, label, threads, crossed, when)
    bottom = top + len(FLOATS) - 1
    sheet.mark_errors(top, THREADS, bottom, LAST)
    tint = sheet.book.look.problem()
    verdict = f"${xl_col_to_name(VERDICT[0])}{top + 1}"
    sheet.page.conditional_format(
        top,
        LABEL,
        bottom,
        VERDICT[1],
        {"type": "formula", "criteria": f'={verdict}="too long"', "format": tint},
    )
    sheet.book.name("FloatVerdicts", NAME, (top, VERDICT[0]), (bottom, VERDICT[0]))
    sheet.write(bottom + 1, LABEL, "All of them", look.label())
    _put(sheet, bottom + 1, (THREADS, LAST), f'=IF(Begun,{ALL},"")', look.result("text"))
    _put(sheet, bottom + 2, (LABEL, LAST), OFF_LOOM, look.note())
    _write_longest(sheet, head)
    return bottom + 3


def _write_longest(sheet: Sheet, at: int) -> None:
    """Write, out of sight, what other sheets say of the floats."""
    formulas = {
        "FloatsTooLong": 'COUNTIF(FloatVerdicts,"too long")',
        "FloatWarp": "MAX(FloatWarpFace,FloatWarpBack)",
        "FloatWarpLength": "FloatWarp/WeftSett",
        "FloatWeft": "MAX(FloatWeftFace,FloatWeftBack)",
        "FloatWeftLength": "FloatWeft/Sett",
    }
    for row, (name, formula) in enumerate(formulas.items(), start=at):
        sheet.write(row, CODE, f'=IF(Begun,{formula},"")', sheet.look.plain())
        sheet.name_cell(name, row, CODE)
    _check_longest(sheet, "longest floats", "FloatWarpLength", "warp floats of")
    _check_longest(sheet, "longest floats", "FloatWeftLength", "weft floats of")
    round_edges = "IF(N(FloatEdge)>N(FloatWeft),FloatEdge/Sett,0)"
    _check_longest(sheet, "Weft at and round the edges", round_edges, "weft floats round the edge of")


def _check_longest(sheet: Sheet, where: str, length: str, floats: str) -> None:
    sentence = (
        f'"{floats} "&ROUND({length},2)&" "&SmallUnit&" are longer than the limit of "&ROUND(FloatAllowed,2)'
        '&IF(MadeFor="baby",", and for a baby the local safety rules come first","")'
    )
    found = (
        f'IF(AND(Begun,ISNUMBER({length}),ISNUMBER(FloatAllowed)),IF({length}>FloatAllowed,{sentence},""),"")'
    )
    sheet.book.checks.append(Check(f"{NAME}, {where}", f"={found}"))


def _write_float(
    sheet: Sheet, row: int, name: str, label: str, threads: str, crossed: str, when: str
) -> None:
    look, book = sheet.look, sheet.book
    sheet.write(row, LABEL, label, look.label())
    if crossed == "picks":
        span, loom = f"WEAVE.FLOATSPAN({name},WeftSett,ShrinkLengthHere)", f"{name}/WeftSett"
    else:
        span, loom = f"WEAVE.FLOATSPAN({name},Sett,ShrinkWidthHere,DrawInHere)", f"{name}/Sett"
    counted = guarded(threads, book.required)
    if when:
        counted = f'IF({when},{counted},"")'
    on, off = (f"${xl_col_to_name(column)}{row + 1}" for column in (LOOM, OFF))
    slack = f"${xl_col_to_name(SLACK[0])}{row + 1}"
    # A side on which no thread of a system ever lies has no float.
    there = f"N({name})=0"
    formulas: list[tuple[Place, str, str]] = [
        (THREADS, counted, "whole"),
        (LOOM, f'IF({name}="","",IF({there},"none",{loom}))', "number"),
        (OFF, f"IF(ISNUMBER({on}),{span},{on})", "number"),
        (SLACK, f"IF(ISNUMBER({on}),{on}-{off},{on})", "number"),
        (LIFTED, f"IF(ISNUMBER({on}),WEAVE.FLOATSAG({off},{slack}),{on})", "number"),
        (
            VERDICT,
            f'IF(OR(FloatAllowed="",NOT(ISNUMBER({on}))),{on}&"",IF({on}>FloatAllowed,"too long","within"))',
            "text",
        ),
    ]
    for place, formula, kind in formulas:
        _put(sheet, row, place, f'=IF(Begun,{formula},"")', look.result(kind))
    sheet.name_cell(name, row, THREADS)
    called, _, arguments = threads.removeprefix("WEAVE.").partition("(")
    where = f"{NAME}, {label}"
    reason = why(called, arguments[:-1])
    if name != FLOATS[0][0]:
        # What the first of them cannot read, none can: one line is enough.
        reason = f'IF(ISERROR({FLOATS[0][0]}),"",{reason})'
    book.checks.append(Check(where, f'=IF(ISERROR({name}),{reason},"")'))


def _put(sheet: Sheet, row: int, place: Place, text: str, style: Any) -> None:
    """Write into a cell, or across several."""
    if isinstance(place, int):
        sheet.write(row, place, text, style)
    else:
        sheet.page.merge_range(row, place[0], row, place[1], "", style)
        sheet.write(row, place[0], text, style)
