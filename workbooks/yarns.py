"""Sheet Yarns: the stash, one put-up or lot a line."""

from __future__ import annotations

from typing import Any

from weavefuncs.workbooks.book import Book, Check
from weavefuncs.workbooks.lines import (
    BELOW_ZERO,
    CURRENCY,
    IS_NO_NUMBER,
    NO_NUMBER,
    UNTIDY,
    keep_in_place,
    line_of,
    margin,
    stands_twice,
    untidy,
    were_moved,
    which,
    with_units,
)
from weavefuncs.workbooks.rows import Given, validate, why

NAME = "Yarns"
FIRST = 5
LINES = 60
LAST = FIRST + LINES - 1

# Key, heading, width, kind of the cell, help. A heading with {…} shows the unit chosen on Settings.
COLUMNS = [
    ("name", '="Name"', 24, "text", "A name of your own for this yarn and lot. Plan finds the yarn by it."),
    (
        "yarn",
        '="Yarn and its count"',
        17,
        "text",
        "The count with its system: 8/2 Ne, 16/2 Nm, 400 m/100 g, 74 tex.",
    ),
    ("fibre", '="Fibre"', 13, "text", "What it is made of."),
    ("colour", '="Colour"', 13, "text", "Its colour in your words."),
    ("lot", '="Dye lot"', 10, "text", "The lot on the label: two lots of one colour may differ."),
    (
        "weighed",
        '="Weighed ("&MassUnit&")"',
        11,
        "number",
        "What the yarn weighs now, with its cone or bobbin. 0: none yet, still to be bought.",
    ),
    (
        "tare",
        '="Empty cone ("&MassUnit&")"',
        11,
        "number",
        "Weight of the empty cone or bobbin. Blank: none.",
    ),
    (
        "put_up",
        '="Full put-up ("&MassUnit&")"',
        11,
        "number",
        "Weight of yarn in a full cone or skein as sold.",
    ),
    ("price", f'="Price of a put-up"&{CURRENCY}', 11, "money", "What a full cone or skein costs today."),
    (
        "reserved",
        '="Promised elsewhere ("&LongUnit&")"',
        12,
        "number",
        "Length kept for other pieces. Blank: none.",
    ),
    ("left", '="Length left ("&LongUnit&")"', 11, "one", ""),
    ("put_up_length", '="Length of a put-up ("&LongUnit&")"', 12, "one", ""),
    ("free", '="Free ("&LongUnit&")"', 11, "one", ""),
    ("value", f'="Value"&{CURRENCY}', 11, "money", ""),
    ("unit_price", f'="Price a "&LongUnit&{CURRENCY}', 11, "four", ""),
]
KEYS = [column[0] for column in COLUMNS]

# Names of the columns, as Plan and later sheets look them up.
COLUMN_NAMES = {
    "name": "YarnNames",
    "yarn": "YarnCounts",
    "fibre": "YarnFibres",
    "colour": "YarnColours",
    "lot": "YarnLots",
    "weighed": "YarnWeighed",
    "tare": "YarnTare",
    "put_up": "YarnPutUps",
    "price": "YarnPrices",
    "reserved": "YarnReserved",
    "put_up_length": "YarnPutUpLengths",
    "free": "YarnFree",
    "unit_price": "YarnUnitPrices",
}

# Names of the columns that the user fills in.
INPUT_NAMES = {key: COLUMN_NAMES[key] for key, _, _, _, help_text in COLUMNS if help_text}


def letter(key: str) -> str:
    """Return the column letter of a key."""
    return chr(ord("B") + KEYS.index(key))


def yarn_line(name: str) -> str:
    """Write on which line a yarn stands."""
    return line_of(name, "YarnNames")


def _amount(cell: str) -> str:
    """Read a cell that may be blank; a text or a number below 0 in it is an error."""
    return f"IF(ISBLANK({cell}),0,IF({cell}<0,NA(),{cell}))"


def _formulas(row: int) -> dict[str, str]:
    at = {key: f"{letter(key)}{row}" for key in KEYS}
    begun = f"ISBLANK({at['name']})"
    return {
        "left": (
            f'=IF({begun},"",IF(ISBLANK({at["weighed"]}),NA(),'
            f"WEAVE.YARNLENGTH({at['weighed']}-{_amount(at['tare'])},{at['yarn']},MassUnit,LongUnit)))"
        ),
        "put_up_length": (
            f'=IF(OR({begun},ISBLANK({at["put_up"]})),"",'
            f"WEAVE.YARNLENGTH({at['put_up']},{at['yarn']},MassUnit,LongUnit))"
        ),
        "free": f'=IF({begun},"",{at["left"]}-{_amount(at["reserved"])})',
        "value": (
            f'=IF(OR({begun},ISBLANK({at["put_up"]}),ISBLANK({at["price"]})),"",'
            f"({at['weighed']}-{_amount(at['tare'])})/{_amount(at['put_up'])}*{_amount(at['price'])})"
        ),
        "unit_price": (
            f'=IF(OR({begun},ISBLANK({at["put_up"]}),ISBLANK({at["price"]})),"",'
            f"{_amount(at['price'])}/{at['put_up_length']})"
        ),
    }


def _check(row: int) -> str:
    """Say what is wrong with a line, in the order in which a user would mend it."""
    at = {key: f"{NAME}!${letter(key)}${row}" for key in KEYS}
    headed = [
        (at[key], heading[1:].removesuffix(f"&{CURRENCY}"))
        for key, heading, *_ in COLUMNS
        if key in ("weighed", "tare", "put_up", "price", "reserved")
    ]
    numbers = ",".join(cell for cell, _ in headed)
    reason = why("YARNLENGTH", f"1,{at['yarn']}")
    counted = f'{at["name"]}&", count: "&{reason}'
    put_up = at["put_up"]
    test, says = were_moved([at[key] for key in INPUT_NAMES], at["left"], margin(NAME, FIRST, 1))
    return (
        f"=IF({test},{says},IF(ISBLANK({at['name']}),IF(COUNTA({at['yarn']},{numbers})>0,"
        f'"a line without a name is not counted",""),'
        f'IF(ISBLANK({at["yarn"]}),{at["name"]}&" has no count",'
        f'IF(ISBLANK({at["weighed"]}),{at["name"]}&" is not weighed",'
        f'IF(COUNT({numbers})<COUNTA({numbers}),{at["name"]}&": "&{which(IS_NO_NUMBER, headed)}&{NO_NUMBER},'
        f'IF(MIN({numbers})<0,{at["name"]}&": "&{which(BELOW_ZERO, headed)}&" is below 0",'
        f'IF({at["weighed"]}<N({at["tare"]}),{at["name"]}&" weighs less than its empty cone",'
        f"IF(ISERROR({at['left']}),{with_units(counted)},"
        f'IF(IF(ISBLANK({put_up}),FALSE,{put_up}=0),{at["name"]}&": a full put-up weighs nothing",'
        f"IF({untidy(at['name'])},{at['name']}&{UNTIDY},"
        f"IF({','.join(stands_twice(at['name'], 'YarnNames', 'lot'))},"
        f'IF({at["free"]}<0,{at["name"]}&" is promised beyond what is left",""))))))))))))'
    )


def write(book: Book, lines: list[dict[str, Any]]) -> None:
    """Write the sheet."""
    sheet = book.sheet(NAME, [2, *(column[2] for column in COLUMNS)], "#C98F2B")
    last_column = len(COLUMNS)
    sheet.title(
        NAME,
        "Your stash: one line a cone, skein or lot. Weigh what is left; the length follows from the count. "
        "A yarn is a count with its system, for a bare number could be anything. Paste a list as texts or "
        "values alone (Paste Special), for a format pasted along locks the cells; or use weavefuncs stash.",
        last_column,
    )
    head = FIRST - 1
    sheet.page.set_row(head, 40)
    look = book.look
    for number, (_, heading, _, kind, _) in enumerate(COLUMNS, start=1):
        sheet.write(head, number, heading, look.heading("left" if kind == "text" else "right"))
    headings = [f"{letter(key)}${FIRST}" for key in INPUT_NAMES]
    keep_in_place(sheet, FIRST, LINES, 1, headings)
    for line in range(LINES):
        row = FIRST + line
        values = lines[line] if line < len(lines) else {}
        formulas = _formulas(row + 1)
        for number, (key, _, _, kind, _) in enumerate(COLUMNS, start=1):
            if key in formulas:
                sheet.write(row, number, formulas[key], look.result(kind))
            else:
                sheet.write(row, number, values.get(key), look.given(kind))
        book.checks.append(Check(f"{NAME}, row {row + 1}", _check(row + 1)))
    for number, (key, heading, _, kind, help_text) in enumerate(COLUMNS, start=1):
        if help_text:
            label = heading[2:].partition('"')[0].rstrip(" (")
            validate(sheet, FIRST, number, LAST, number, Given(kind, help_text, low=0), label)
        if key in COLUMN_NAMES:
            book.name(COLUMN_NAMES[key], NAME, (FIRST, number), (LAST, number))
    total = KEYS.index("value") + 1
    sheet.write(
        FIRST - 2, total - 1, f'="Stash in all"&{CURRENCY}', look.make(bold=True, font_size=9, align="right")
    )
    column = letter("value")
    sheet.write(FIRST - 2, total, f"=SUM({column}{FIRST + 1}:{column}{LAST + 1})", look.result("money"))
    sheet.mark_errors(FIRST, 1, LAST, last_column)
    # Only what is filled in: a protected sheet sorts no locked cells.
    sheet.page.autofilter(head, 1, LAST, len(INPUT_NAMES))
    sheet.page.freeze_panes(FIRST, 2)
    sheet.printing(True, NAME, (LAST, last_column), (head, head))
