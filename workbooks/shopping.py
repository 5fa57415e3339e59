"""Sheet Shopping: what everything planned takes together, and what to buy in whole put-ups."""

from __future__ import annotations

from typing import Any

from xlsxwriter.utility import xl_col_to_name

from weavefuncs.workbooks import yarns
from weavefuncs.workbooks.book import Book, Check, Sheet
from weavefuncs.workbooks.lines import (
    APART,
    NO_NUMBER,
    Column,
    Lines,
    equal_to,
    first_that_holds,
    input_names,
    not_among,
    with_units,
)
from weavefuncs.workbooks.look import BAND, WEFT
from weavefuncs.workbooks.rows import MONEY_UNIT, Band, Given, Row, write_rows

NAME = "Shopping"
FIRST = 27
NEEDS = 60

# The yarns with the least left are drawn.
DRAWN = 12

YES_NO = ("yes", "no")


def _counts(key: str, label: str) -> Row:
    return Row(
        key, label, note="blank: yes", given=Given("text", "Whether it is to be bought for.", choices=YES_NO)
    )


ROWS: list[Row | Band] = [
    Band("What counts"),
    _counts("CountPlan", "The piece on Plan"),
    _counts("CountBatch", "The orders on Batch"),
    _counts("CountKits", "The kits planned on Kits"),
]


def _of_a_yarn(formula: str) -> str:
    return f'IF({{name}}="","",{formula})'


def _summed(names: str, lengths: str) -> str:
    return f"SUMIF({names},{{looked_for}},{lengths})"


YARN_COLUMNS = [
    Column("name", "Yarn", 24, kind="text", name="ShopNames", formula='{yarn_name}&""'),
    Column(
        "colour",
        "Colour and lot",
        20,
        kind="text",
        formula=_of_a_yarn('{yarn_colour}&IF(ISBLANK({yarn_lot}),"",", lot "&{yarn_lot})'),
    ),
    Column(
        "plan",
        "Plan",
        11,
        kind="one",
        unit="LongUnit",
        formula=_of_a_yarn(f'IF(CountPlan="no",0,{_summed("PlanYarnNames", "PlanYarnLengths")})'),
    ),
    Column(
        "batch",
        "Batch",
        11,
        kind="one",
        unit="LongUnit",
        formula=_of_a_yarn(
            f'IF(CountBatch="no",0,WEAVE.YARNTOBUY({_summed("BatchWarpYarns", "BatchWarpYarn")}+'
            f"{_summed('BatchWeftYarns', 'BatchWeftYarn')},YarnSpread,YarnRisk))"
        ),
    ),
    Column(
        "kits",
        "Kits",
        11,
        kind="one",
        unit="LongUnit",
        formula=_of_a_yarn(f'IF(CountKits="no",0,{_summed("RecipeYarns", "RecipeInAll")})'),
    ),
    Column(
        "projects",
        "Projects",
        11,
        kind="one",
        unit="LongUnit",
        formula=_of_a_yarn(_summed("NeedYarns", "NeedCounted")),
        name="ShopProjects",
    ),
    Column(
        "needed",
        "Needed in all",
        11,
        kind="one",
        unit="LongUnit",
        formula=_of_a_yarn("{plan}+{batch}+{kits}+{projects}"),
        name="ShopNeeded",
    ),
    Column("free", "Free", 11, kind="one", unit="LongUnit", formula=_of_a_yarn("{yarn_free}")),
    Column(
        "short",
        "Short by",
        11,
        kind="one",
        unit="LongUnit",
        formula=_of_a_yarn("WEAVE.SHORTBY({needed},MAX(0,{free}))"),
        name="ShopShort",
    ),
    Column(
        "buy",
        "Put-ups to buy",
        11,
        kind="whole",
        formula=_of_a_yarn(
            "IF({short}=0,0,IF(N({yarn_put_up_length})=0,NA(),WEAVE.PUTUPS({short},{yarn_put_up_length})))"
        ),
        name="ShopPutUps",
    ),
    Column(
        "cost",
        "Cost",
        11,
        kind="money",
        formula=_of_a_yarn("IF({buy}=0,0,IF(ISBLANK({yarn_price}),NA(),{buy}*{yarn_price}))"),
        name="ShopCosts",
    ),
    Column(
        "left",
        "Left over",
        11,
        kind="one",
        unit="LongUnit",
        formula=_of_a_yarn(
            "IF({short}=0,MAX(0,{free})-{needed},"
            "IF(ISERROR({buy}),NA(),WEAVE.LEFTOVER({short},{yarn_put_up_length})))"
        ),
    ),
    # Not shown: the share that is left of the stock, each a little different, so that they can be ranked.
    Column(
        "rank",
        "",
        3,
        formula='IF(ISNUMBER({short}),IF({free}>0,MAX(0,{free}-{needed})/{free}+ROW({name})/10000000,""),"")',
        name="ShopRanks",
    ),
    APART,
    # Not shown, a gap between the tables: what sums look for.
    Column("looked_for", "", 4, formula=_of_a_yarn(equal_to("{name}"))),
]

NEED_COLUMNS = [
    Column("project", "Project", 24, Given("text", "What the yarn is for."), name="NeedProjects"),
    Column(
        "yarn",
        "Yarn",
        22,
        Given("text", "Choose a yarn that stands on Yarns: one line there is one lot.", choices="YarnNames"),
        name="NeedYarns",
    ),
    Column(
        "length",
        "Length needed",
        11,
        Given("number", "What the project takes of it, its allowance included.", low=0.001),
        name="NeedLengths",
        unit="LongUnit",
    ),
    Column(
        "mix",
        "May mix lots",
        9,
        Given("text", "Whether another dye lot of the same colour will do. Blank: no.", choices=YES_NO),
        name="NeedMixes",
    ),
    Column(
        "have",
        "Free for it",
        11,
        kind="one",
        unit="LongUnit",
        formula=(
            'IF(ISBLANK({yarn}),"",MAX(0,INDEX(YarnFree,{yarn_line})-INDEX(ShopNeeded,{yarn_line})'
            "+INDEX(ShopProjects,{yarn_line}){above}))"
        ),
    ),
    Column(
        "short",
        "Short by",
        11,
        kind="one",
        unit="LongUnit",
        formula='IF(ISBLANK({yarn}),"",WEAVE.SHORTBY({counted},{have}))',
        name="NeedShort",
    ),
    # What other lots of the same count and colour hold; whoever else needs them is not asked.
    Column(
        "others",
        "In other lots",
        11,
        kind="one",
        unit="LongUnit",
        formula=(
            'IF(ISBLANK({yarn}),"",IF(ISBLANK(INDEX(YarnColours,{yarn_line})),0,MAX(0,SUMIFS(YarnFree,'
            f"YarnCounts,{equal_to('INDEX(YarnCounts,{yarn_line})')},"
            f"YarnColours,{equal_to('INDEX(YarnColours,{yarn_line})')})-MAX(0,INDEX(YarnFree,{{yarn_line}})))))"
        ),
    ),
    Column(
        "says",
        "So",
        56,
        kind="text",
        formula=(
            'IF(ISBLANK({yarn}),"",IF({short}=0,"the lot covers it","short "&ROUNDUP(ROUND({short},6),0)&" "&'
            'LongUnit&IF(ISBLANK(INDEX(YarnLots,{yarn_line})),""," in lot "&INDEX(YarnLots,{yarn_line}))&'
            'IF({others}=0,"",IF({others}<{short},"; other lots hold "&ROUNDDOWN(ROUND({others},6),0)&" "&'
            'LongUnit,"; other lots have enough"&IF({mix}="yes",": see Solved",", but may not be mixed")))))'
        ),
    ),
    # Not shown: the line of the yarn on Yarns. Its search is nothing that Calc does in threads, so it may
    # stand between two columns of which one comes of the other.
    Column(
        "yarn_line",
        "",
        4,
        formula='IF(ISBLANK({yarn}),"",' + yarns.yarn_line("{yarn}") + ")",
    ),
    # Not shown: the length where it can be used.
    Column(
        "counted",
        "",
        4,
        formula='IF(ISBLANK({yarn}),"",IF(OR(COUNT({length})=0,{length}<=0),NA(),{length}))',
        name="NeedCounted",
    ),
]

INPUT_NAMES = {"needs": input_names(NEED_COLUMNS)}

YARN_TABLE = Lines(NAME, FIRST, yarns.LINES, YARN_COLUMNS)
NEED_TABLE = Lines(NAME, FIRST, NEEDS, NEED_COLUMNS, left=YARN_TABLE.right + 1)

# What is drawn stands to the right, behind the projects.
DRAWING = NEED_TABLE.right + 2


def write(book: Book, values: dict[str, Any]) -> None:
    """Write the sheet."""
    widths = [2, *(column.width for column in YARN_COLUMNS)]
    widths += [*(column.width for column in NEED_COLUMNS), 3, 24, 8, 8]
    sheet = book.sheet(NAME, widths, "#3F7480")
    last = YARN_TABLE.right_shown
    sheet.title(
        NAME,
        "What everything planned takes, yarn by yarn, and what to buy in whole put-ups. Other projects stand "
        "to the right. A line is one dye lot: where lots may be mixed, Solved tells which put-up goes where.",
        last,
    )
    after = write_rows(sheet, 3, ROWS, values, 5)
    _sums(sheet, after + 1)
    sheet.band(FIRST - 2, "To buy, by yarn", last)
    link = book.look.make(font_color="#1F5A8A", underline=1)
    place = f"internal:'{NAME}'!{xl_col_to_name(NEED_TABLE.left)}{FIRST - 1}"
    sheet.page.write_url(after + 6, 1, place, link, "Enter other projects")
    for column in range(NEED_TABLE.left, NEED_TABLE.right_shown + 1):
        text = "Other projects" if column == NEED_TABLE.left else ""
        sheet.write(FIRST - 2, column, text, book.look.band())
    YARN_TABLE.write(sheet, [], more=_line)
    NEED_TABLE.write(sheet, values.get("needs", []), more=_above)
    YARN_TABLE.quiet_zeros(sheet, "plan", "cost")
    NEED_TABLE.quiet_zeros(sheet, "short", "others")
    _draw(sheet)
    for row in YARN_TABLE.rows:
        book.checks.append(Check(f"{NAME}, row {row + 1}", f"={_check_yarn(row)}"))
    for row in NEED_TABLE.rows:
        book.checks.append(Check(f"{NAME}, row {row + 1}", f"={_check_need(row)}"))
    sheet.page.freeze_panes(3, 2)
    sheet.printing(True, NAME, (NEED_TABLE.last, NEED_TABLE.right_shown), (FIRST - 1, FIRST - 1))
    sheet.pages_wide(62, [NEED_TABLE.left])


def _line(row: int) -> dict[str, str]:
    """The cells of the same line on Yarns: its lines stand here in the same order."""
    there = yarns.FIRST + row - FIRST + 1
    return {f"yarn_{key}": f"{yarns.NAME}!${yarns.letter(key)}{there}" for key in yarns.KEYS}


def _above(row: int) -> dict[str, str]:
    """What the lines above take of the same yarn is no longer free."""
    if row == FIRST:
        return {"above": ""}
    line, counted = (xl_col_to_name(NEED_TABLE.place(key)) for key in ("yarn_line", "counted"))
    above = f"${line}${FIRST + 1}:${line}{row},${line}{row + 1},${counted}${FIRST + 1}:${counted}{row}"
    return {"above": f"-SUMIF({above})"}


def _sums(sheet: Sheet, row: int) -> None:
    look = sheet.look
    for number, (label, formula, kind, unit) in enumerate(
        [
            ("Yarns to buy", 'COUNTIF(ShopShort,">0")', "whole", ""),
            ("Put-ups to buy", "SUM(ShopPutUps)", "whole", ""),
            ("Cost", "SUM(ShopCosts)", "money", MONEY_UNIT),
            ("Projects short of a lot", 'COUNTIF(NeedShort,">0")', "whole", ""),
        ]
    ):
        sheet.write(row + number, 1, label, look.label())
        # A need that cannot be worked out counts nowhere: a sum without it would be too small.
        known = f"IF(COUNT(NeedShort)<COUNTA(NeedYarns),NA(),{formula})"
        sheet.write(row + number, 2, f"={known}", look.result(kind))
        sheet.write(row + number, 3, unit, look.note())
    sheet.name_cell("ShopCost", row + 2, 2)
    sheet.name_cell("ShopPutUpCount", row + 1, 2)
    sheet.name_cell("NeedsShort", row + 3, 2)
    sheet.mark_errors(row, 2, row + 3, 2)


def _draw(sheet: Sheet) -> None:
    """Draw the yarns with the least left, the emptiest on top."""
    look = sheet.look
    name, taken, left = DRAWING, DRAWING + 1, DRAWING + 2
    small = look.make(font_size=8, font_color="#6B7672")
    share = look.make(font_size=8, font_color="#6B7672", num_format="0%")
    sheet.write(FIRST - 1, name, "Drawn above", small)
    for number in range(DRAWN):
        row = FIRST + number
        found = f"MATCH(SMALL(ShopRanks,{number + 1}),ShopRanks,0)"
        none = f"{number + 1}>COUNT(ShopRanks)"
        sheet.write(row, name, f'=IF({none},"",INDEX(ShopNames,{found}))', small)
        at = f"{xl_col_to_name(left)}{row + 1}"
        sheet.write(row, left, f"=IF({none},0,ROUND(SMALL(ShopRanks,{number + 1}),4))", share)
        sheet.write(row, taken, f"=IF({none},0,1-{at})", share)
    last = FIRST + DRAWN - 1
    chart = sheet.book.bar_chart(
        f"What is left of the stock, the {DRAWN} yarns with the least", "share of what is free", stacked=True
    )
    for label, column, colour in (("Taken by what is planned", taken, BAND), ("Left", left, WEFT)):
        chart.add_series(
            {
                "name": label,
                "categories": [NAME, FIRST, name, last, name],
                "values": [NAME, FIRST, column, last, column],
                "fill": {"color": colour},
                "gap": 35,
            }
        )
    chart.set_size({"width": 560, "height": 400})
    sheet.page.insert_chart(3, 6, chart, {"object_position": 3, "x_offset": 10})


def _check_yarn(row: int) -> str:
    at = YARN_TABLE.cells(row, from_elsewhere=True)
    name = at["name"]
    return first_that_holds(
        [
            (f'{name}=""', '""'),
            # What is wrong with the need or the stock has a line where it is filled in.
            (f"ISERROR({at['short']})", '""'),
            (
                f"ISERROR({at['buy']})",
                f'{name}&" is short by "&ROUNDUP(ROUND({at["short"]},6),0)&" "&LongUnit&", and Yarns does '
                'not say how large a put-up is"',
            ),
            (f"ISERROR({at['cost']})", f'{name}&" has no price on Yarns: what to buy costs more than shown"'),
        ]
    )


def _check_need(row: int) -> str:
    at = NEED_TABLE.cells(row, from_elsewhere=True)
    yarn, project, mix = at["yarn"], at["project"], at["mix"]
    others = ",".join(at[key] for key in ("project", "length", "mix"))
    length = NEED_TABLE.headed(row, ["length"])[0][1]
    return first_that_holds(
        [
            NEED_TABLE.moved(row),
            (
                f"ISBLANK({yarn})",
                f'IF(COUNTA({others})>0,{project}&" has no yarn: its line is not counted","")',
            ),
            (f"ISERROR({at['yarn_line']})", f'{project}&": "&{not_among(yarn, "on Yarns")}'),
            (
                f'IF(ISBLANK({mix}),FALSE,AND({mix}<>"yes",{mix}<>"no"))',
                f'{project}&", "&{yarn}&": May mix lots must be yes or no"',
            ),
            (f"ISBLANK({at['length']})", f'{project}&", "&{yarn}&": "&{length}&" is blank"'),
            (f"COUNT({at['length']})=0", f'{project}&", "&{yarn}&": "&{length}&{NO_NUMBER}'),
            (f"{at['length']}<=0", f'{project}&", "&{yarn}&": "&{length}&" must be above 0"'),
            (
                f"ISERROR({at['short']})",
                with_units(f'{project}&": "&{yarn}&" is in error on Yarns or elsewhere"'),
            ),
            (f"{at['short']}>0", f'{project}&", "&{yarn}&": "&{at["says"]}'),
        ]
    )
