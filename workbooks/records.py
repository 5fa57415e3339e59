"""Sheet Records: what past pieces measured, and the allowances that they suggest for the next one."""

from __future__ import annotations

from typing import Any

from weavefuncs.workbooks.book import Book, Check, Sheet
from weavefuncs.workbooks.lines import (
    BELOW_ZERO,
    IS_NO_NUMBER,
    NO_NUMBER,
    Column,
    Lines,
    first_that_holds,
    input_names,
    which,
)
from weavefuncs.workbooks.rows import Given, guarded
from weavefuncs.workbooks.settings import COMMON

NAME = "Records"
FIRST = 8
LINES = 60

# As many lines as fit a page are printed.
PRINTED = 42


def _measured(
    key: str, label: str, name: str, help_text: str, unit: str = "SmallUnit", low: float = 0.01
) -> Column:
    return Column(key, label, 11, Given("number", help_text, low=low), name=name, unit=unit)


def _compared(key: str, label: str, name: str, formula: str, first: str, second: str) -> Column:
    """A share worked out of two measures; empty where one of them was not taken."""
    only = f'OR({{used}}<>"yes",COUNTA({{{first}}},{{{second}}})<2)'
    return Column(key, label, 10, formula=f'IF({only},"",{formula})', kind="fraction", name=name)


COLUMNS = [
    Column("date", "When", 14, Given("text", "Date or year, as you write it."), name="RecordDates"),
    Column(
        "piece", "Piece", 22, Given("text", "A line without a piece is not counted."), name="RecordPieces"
    ),
    Column(
        "weave", "Weave", 13, Given("text", "Its weave, written alike in every line."), name="RecordWeaves"
    ),
    Column("fibre", "Fibre", 11, Given("text", "What it is made of, written alike."), name="RecordFibres"),
    _measured(
        "warp_used",
        "Warp woven off",
        "RecordWarps",
        "Warp that became this cloth: what was wound, less loom waste and what stayed unwoven.",
    ),
    _measured("cloth_length", "Length off the loom", "RecordClothLengths", "Length of it, not yet washed."),
    _measured("reed_width", "Width in the reed", "RecordReedWidths", "Width of the warp in the reed."),
    _measured("cloth_width", "Width off the loom", "RecordClothWidths", "Width of it, not yet washed."),
    _measured("finished_length", "Finished length", "RecordFinishedLengths", "Length of it, washed."),
    _measured("finished_width", "Finished width", "RecordFinishedWidths", "Width of it, washed."),
    _measured("waste", "Loom waste", "RecordWastes", "Warp that never became cloth.", low=0),
    _measured("yarn_planned", "Yarn planned", "RecordYarnsPlanned", "What the plan expected.", "LongUnit"),
    _measured("yarn_used", "Yarn used", "RecordYarnsUsed", "What the piece took.", "LongUnit"),
    Column(
        "used",
        "Looked at",
        9,
        formula=(
            'IF(ISBLANK({piece}),"",IF(AND(OR(ISBLANK(RecordsWeave),{weave}=RecordsWeave),'
            'OR(ISBLANK(RecordsFibre),{fibre}=RecordsFibre)),"yes","no"))'
        ),
        kind="text",
        name="RecordsUsed",
    ),
    _compared(
        "take_up",
        "Take-up",
        "RecordTakeUps",
        "WEAVE.TAKEUP({warp_used},{cloth_length})",
        "warp_used",
        "cloth_length",
    ),
    _compared(
        "draw_in",
        "Draw-in",
        "RecordDrawIns",
        "WEAVE.DRAWIN({reed_width},{cloth_width})",
        "reed_width",
        "cloth_width",
    ),
    _compared(
        "shrink_length",
        "Shrinkage, length",
        "RecordShrinkLengths",
        "WEAVE.SHRINKAGE({cloth_length},{finished_length})",
        "cloth_length",
        "finished_length",
    ),
    _compared(
        "shrink_width",
        "Shrinkage, width",
        "RecordShrinkWidths",
        "WEAVE.SHRINKAGE({cloth_width},{finished_width})",
        "cloth_width",
        "finished_width",
    ),
    Column(
        "waste_used",
        "Loom waste",
        10,
        formula=('IF(OR({used}<>"yes",ISBLANK({waste})),"",IF(OR(COUNT({waste})=0,{waste}<0),NA(),{waste}))'),
        kind="one",
        name="RecordWastesUsed",
        unit="SmallUnit",
    ),
    Column(
        "ratio",
        "Yarn used to planned",
        10,
        formula=(
            'IF(OR({used}<>"yes",COUNTA({yarn_planned},{yarn_used})<2),"",'
            "IF(OR(COUNT({yarn_planned},{yarn_used})<2,MIN({yarn_planned},{yarn_used})<=0),NA(),"
            "{yarn_used}/{yarn_planned}))"
        ),
        kind="two",
        name="RecordRatios",
    ),
]

INPUT_NAMES = input_names(COLUMNS)

TABLE = Lines(NAME, FIRST, LINES, COLUMNS)

# Column: name of the suggestion, how it is worked out, records that it takes, and what Settings has.
SUGGESTED = {
    "take_up": ("RecordsTakeUp", 'WEAVE.ALLOWANCE(RecordTakeUps,Confidence,"share")', 1, "WarpTakeUp"),
    "draw_in": ("RecordsDrawIn", 'WEAVE.ALLOWANCE(RecordDrawIns,Confidence,"share")', 1, "DrawIn"),
    "shrink_length": (
        "RecordsShrinkLength",
        'WEAVE.ALLOWANCE(RecordShrinkLengths,Confidence,"share")',
        1,
        "ShrinkLength",
    ),
    "shrink_width": (
        "RecordsShrinkWidth",
        'WEAVE.ALLOWANCE(RecordShrinkWidths,Confidence,"share")',
        1,
        "ShrinkWidth",
    ),
    "waste_used": ("RecordsWaste", "WEAVE.ALLOWANCE(RecordWastesUsed,Confidence)", 1, "LoomWaste"),
    # Two or three pieces that happen to be alike do not promise that the next one will be.
    "ratio": (
        "RecordsSpread",
        f"MAX(WEAVE.SPREAD(RecordRatios),IF(COUNT(RecordRatios)<4,{COMMON['YarnSpread']},0))",
        2,
        "YarnSpread",
    ),
}

# Rows above the headings: how many records, what they suggest, what Settings has now.
COUNT_ROW, SUGGESTED_ROW, SETTINGS_ROW = 3, 4, 5


def write(book: Book, lines: list[dict[str, Any]]) -> None:
    """Write the sheet."""
    sheet = book.sheet(NAME, [2, *(column.width for column in COLUMNS)], "#6F7A3E")
    sheet.title(
        NAME,
        "What past pieces measured. Above the results stands what to plan the next piece with, so that it "
        "stays within it with the confidence on Settings: the upper bound for one more piece, woven alike. "
        "Settings shows it beside each allowance; you decide. Two records that differ give a wide bound, one "
        "record a supposed spread of 10 % (common practice, no source). "
        f"The first {PRINTED} lines are printed: clear the print area to print all.",
        TABLE.place("waste"),
        lines=3,
    )
    _suggest(sheet)
    TABLE.write(sheet, lines)
    for row in TABLE.rows:
        book.checks.append(Check(f"{NAME}, row {row + 1}", f"={_check(row)}"))
    sheet.page.freeze_panes(FIRST, TABLE.place("weave"))
    head = (FIRST - 1, FIRST - 1)
    last = (FIRST + PRINTED - 1, TABLE.right)
    sheet.printing(True, NAME, last, head, first_row=COUNT_ROW)
    sheet.pages_wide(62, [TABLE.place("used")], (TABLE.place("date"), TABLE.place("piece")))


def _suggest(sheet: Sheet) -> None:
    look = sheet.look
    labels = TABLE.place("used")
    for row, text in (
        (COUNT_ROW, "Records"),
        (SUGGESTED_ROW, "Plan with"),
        (SETTINGS_ROW, "On Settings"),
    ):
        sheet.write(row, labels, text, look.make(bold=row == SUGGESTED_ROW, font_size=9, align="right"))
    for key, (name, formula, least, setting) in SUGGESTED.items():
        number = TABLE.place(key)
        column = TABLE.columns[number - TABLE.left]
        kind = "fraction" if key == "ratio" else column.kind
        sheet.write(COUNT_ROW, number, f"=COUNT({column.name})", look.result("whole"))
        found = f'IF(COUNT({column.name})<{least},"",{guarded(formula, sheet.book.required)})'
        sheet.write(SUGGESTED_ROW, number, f"={found}", look.result(kind, bold=True))
        sheet.name_cell(name, SUGGESTED_ROW, number)
        shown = f'IF(ISNUMBER({setting}),{setting},"")'
        sheet.write(SETTINGS_ROW, number, f"={shown}", look.result(kind))
    sheet.mark_errors(COUNT_ROW, labels, SETTINGS_ROW, TABLE.right)
    asked = '&", "&'.join(
        f'IF(ISBLANK({name}),"{any_of_them}",{name})'
        for name, any_of_them in (("RecordsWeave", "any weave"), ("RecordsFibre", "any fibre"))
    )
    notes = TABLE.place("weave")
    sheet.write(
        COUNT_ROW,
        notes,
        f'="Looked at, as chosen on Settings: "&{asked}&IF(COUNTIF(RecordsUsed,"yes")=0,'
        'IF(COUNTA(RecordPieces)=0,"; nothing is recorded yet"," has no record: the common values on '
        'Settings stand"),"")',
        look.make(font_size=9, font_color="#6B7672"),
    )
    sheet.write(
        SUGGESTED_ROW,
        notes,
        "The last column is the spread of yarn need, from two records on; up to three, never less than "
        f"the common {COMMON['YarnSpread']:.0%}.".replace("%", " %"),
        look.make(font_size=9, font_color="#6B7672"),
    )
    more = "100*(SUM(RecordRatios)/COUNT(RecordRatios)-1)"
    sheet.write(
        SETTINGS_ROW,
        notes,
        # Always a sentence: of a formula with no call of ours the .ods would hold an empty text as 0.
        f'=IF(COUNT(RecordRatios)=0,"Yarn used is not recorded yet.",IF(ISERROR({more}),'
        f'"A record of yarn used is in error.",IF({more}>0.05,"These pieces took "&ROUND({more},1)&'
        '" % more yarn than planned, on average: plan for that as well.",'
        '"These pieces took no more yarn than planned, on average.")))',
        look.make(font_size=9, font_color="#6B7672"),
    )


def _check(row: int) -> str:
    """Say what is wrong with a line; a measure that was not taken is not."""
    at = TABLE.cells(row, from_elsewhere=True)
    piece = at["piece"]
    keys = [column.key for column in COLUMNS if column.given and column.given.kind == "number"]
    headed = TABLE.headed(row, keys)
    numbers = f"{at[keys[0]]}:{at[keys[-1]].rpartition('!')[2]}"
    pairs = [
        ("warp_used", "cloth_length", "is longer off the loom than the warp it was woven from"),
        ("reed_width", "cloth_width", "is wider off the loom than in the reed"),
        ("cloth_length", "finished_length", "grew in length when it was finished: that is no shrinkage"),
        ("cloth_width", "finished_width", "grew in width when it was finished: that is no shrinkage"),
    ]
    results = ("take_up", "draw_in", "shrink_length", "shrink_width", "waste_used", "ratio")
    return first_that_holds(
        [
            TABLE.moved(row),
            (
                f"ISBLANK({piece})",
                f'IF(COUNTA({numbers})>0,"a line without a piece is not counted","")',
            ),
            (
                f"COUNT({numbers})<COUNTA({numbers})",
                f'{piece}&": "&{which(IS_NO_NUMBER, headed)}&{NO_NUMBER}',
            ),
            (f"MIN({numbers})<0", f'{piece}&": "&{which(BELOW_ZERO, headed)}&" is below 0"'),
            *(
                (
                    f"AND(COUNT({at[first]},{at[second]})=2,{at[second]}>{at[first]})",
                    f'{piece}&" {words}"',
                )
                for first, second, words in pairs
            ),
            (
                "OR(" + ",".join(f"ISERROR({at[key]})" for key in results) + ")",
                f'{piece}&" has a measure that cannot be used: one of 0"',
            ),
        ]
    )
