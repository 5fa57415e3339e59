"""The table on Plan that shares the yarn out by colour and holds it against the stash."""

from __future__ import annotations

from typing import Any

from weavefuncs.workbooks.book import Book, Check, Sheet
from weavefuncs.workbooks.lines import CURRENCY, first_that_holds, not_among, with_units
from weavefuncs.workbooks.rows import MOVED, Given, guarded, moved, validate, why
from weavefuncs.workbooks.yarns import yarn_line

COLOURS_A_SYSTEM = 6

ONE_COLOUR = "blank: one colour, the first line of its table"
NOTES = {
    "warp": ONE_COLOUR + "; from the widths of stripes: below",
    "weft": ONE_COLOUR + "; it begins with each piece, and anew for hems and sample",
}

HEADINGS = [
    ("Colour in the order", "left"),
    ("Yarn on Yarns", "left"),
    ("Threads", "right"),
    ('="Length ("&LongUnit&")"', "right"),
    ('="With allowance ("&LongUnit&")"', "right"),
    ('="Weight ("&MassUnit&")"', "right"),
    ("Share of weight", "right"),
    ("Fibre", "left"),
    ('="Free ("&LongUnit&")"', "right"),
    ('="Short by ("&LongUnit&")"', "right"),
    ("Put-ups to buy", "right"),
    (f'="Cost"&{CURRENCY}', "right"),
]
COLOUR, YARN, THREADS, LENGTH, ALLOWED, WEIGHT, SHARE, FIBRE, FREE, SHORT, BUY, COST = range(1, 13)
# Not shown: the yarn that is taken, the share of it that is there, its line on Yarns, what hems take of it.
USED, ENOUGH, LINE, REST = range(13, 17)


def _at(column: int, row: int) -> str:
    return f"${chr(ord('A') + column)}{row + 1}"


def _all(column: int, table: tuple[int, int]) -> str:
    return f"{_at(column, table[0])}:{_at(column, table[1])}"


def write_yarn_table(sheet: Sheet, first: int, values: dict[str, Any], last_column: int) -> int:
    """Write both colour orders and the table below them; return the row after it."""
    sheet.band(first, "Yarn by colour", last_column)
    at = first + 1
    for system in ("warp", "weft"):
        at = _order(sheet, at, system, values, last_column)
    head = at + 1
    sheet.page.set_row(head, 40)
    for number, (heading, align) in enumerate(HEADINGS, start=1):
        sheet.write(head, number, heading, sheet.look.heading(align))
    # A line of its own names each system, so the table is as long as both and their names.
    top, bottom = head + 1, head + 2 * (COLOURS_A_SYSTEM + 1)
    for system, start in (("warp", top), ("weft", top + COLOURS_A_SYSTEM + 1)):
        sheet.write(start, COLOUR, system.capitalize(), sheet.look.make(bold=True, indent=1))
        given = values.get(system, [])
        for number in range(COLOURS_A_SYSTEM):
            filled = given[number] if number < len(given) else ("", "")
            _line(sheet, start + 1 + number, system, number, filled, (top, bottom))
    _names_and_checks(sheet, top, bottom)
    sheet.mark_errors(top, THREADS, bottom, COST)
    _write_free(sheet, top, bottom)
    sheet.page.set_column(USED, REST, None, sheet.look.plain(), {"hidden": True})
    return bottom + 1


def _order(sheet: Sheet, at: int, system: str, values: dict[str, Any], last_column: int) -> int:
    look = sheet.look
    name = f"{system.capitalize()}Order"
    sheet.write(at, 1, f"Colour order of the {system}", look.label())
    given = Given(
        "text",
        "Such as 8 white, 4 blue, or (2 red, 2 grey) x 6. Repeated over the threads. Blank: one colour.",
    )
    sheet.page.merge_range(at, 2, at, 4, "", look.given("text"))
    sheet.write(at, 2, values.get(f"{system}_order"), look.given("text"))
    validate(sheet, at, 2, at, 2, given, f"Colour order of the {system}")
    for column in range(5, last_column + 1):
        note = NOTES[system] if column == 5 else ""
        sheet.write(at, column, note, look.note())
    sheet.name_cell(name, at, 2)
    sheet.book.checks.append(
        Check(f"Plan, colour order of the {system}", f"={moved(name, f'{sheet.name}!$B${at + 1}')}")
    )
    return at + 1


def _line(
    sheet: Sheet, row: int, system: str, number: int, given: tuple[str, str], table: tuple[int, int]
) -> None:
    look = sheet.look
    book = sheet.book
    colour, yarn = _at(COLOUR, row), _at(YARN, row)
    order = f"{system.capitalize()}Order"
    total = "EndsWound" if system == "warp" else "PicksAll"
    counted = "Ends" if system == "warp" else "PicksAll"
    threads, length, allowed, weight = (_at(column, row) for column in (THREADS, LENGTH, ALLOWED, WEIGHT))
    free, short = _at(FREE, row), _at(SHORT, row)
    used = f"IF(ISBLANK({yarn}),{system.capitalize()}YarnName,{yarn})"
    found = _at(LINE, row)
    sheet.write(row, COLOUR, given[0] or None, look.given("text"))
    sheet.write(row, YARN, given[1] or None, look.given("text"))
    label = f"{system.capitalize()} colour {number + 1}"
    validate(
        sheet,
        row,
        COLOUR,
        row,
        COLOUR,
        Given("text", f"A colour of the {system}'s order, written as there."),
        label,
    )
    validate(
        sheet,
        row,
        YARN,
        row,
        YARN,
        Given("text", f"The yarn of this colour. Blank: the {system} yarn above.", choices="YarnNames"),
        label,
    )
    # One colour only: the first line takes all threads, whatever it is called. Floating selvedges
    # are wound in the first colour.
    extra = "+EndsWound-Ends" if system == "warp" and number == 0 else ""
    alone = total if number == 0 else '""'
    count = f"WEAVE.COLOURCOUNT({order},{counted},{colour})"
    if system == "weft":
        # The order begins with each piece, and once more for hems, headers and the sample.
        count = f"Pieces*WEAVE.COLOURCOUNT({order},RowsWoven,{colour})+{_at(REST, row)}"
    per_thread = "WarpYarnLength/EndsWound" if system == "warp" else "WeftYarnLength/PicksAll"
    above = f"{_at(LINE, table[0])}:{_at(LINE, row - 1)}", f"{_at(ALLOWED, table[0])}:{_at(ALLOWED, row - 1)}"
    # Two lines may draw on one lot: what the lines above take is no longer free.
    taken = f"-SUMIF({above[0]},{found},{above[1]})" if row > table[0] else ""
    needs = f"SUMIF({_all(LINE, table)},{found},{_all(ALLOWED, table)})"
    formulas = {
        USED: f'IF({threads}="","",{used})',
        LINE: f'IF({threads}="","",{yarn_line(_at(USED, row))})',
        THREADS: f'IF(ISBLANK({order}),{alone},IF(ISBLANK({colour}),"",{count}{extra}))',
        LENGTH: f'IF({threads}="","",{threads}*{per_thread})',
        ALLOWED: f'IF({threads}="","",WEAVE.YARNTOBUY({length},{system.capitalize()}Spread,YarnRisk))',
        WEIGHT: f'IF({threads}="","",WEAVE.YARNMASS({length},INDEX(YarnCounts,{found}),LongUnit,MassUnit))',
        SHARE: f'IF({threads}="","",{weight}/SUM(PlanYarnWeights))',
        FIBRE: f'IF({threads}="","",INDEX(YarnFibres,{found})&"")',
        FREE: f'IF({threads}="","",INDEX(YarnFree,{found}))',
        SHORT: f'IF({threads}="","",MAX(0,{allowed}-MAX(0,{free}{taken})))',
        BUY: (
            f'IF({threads}="","",IF({short}=0,0,IF(N(INDEX(YarnPutUpLengths,{found}))=0,NA(),'
            f"WEAVE.PUTUPS({short},INDEX(YarnPutUpLengths,{found})))))"
        ),
        COST: (
            f'IF({threads}="","",IF(OR(N(INDEX(YarnPutUpLengths,{found}))=0,N(INDEX(YarnPrices,{found}))=0),"",'
            f"IF(INDEX(YarnPrices,{found})<0,NA(),"
            f"{allowed}/INDEX(YarnPutUpLengths,{found})*INDEX(YarnPrices,{found}))))"
        ),
    }
    # Of what the whole plan takes off this lot, which share is there.
    # Programs differ in what they sum over an error.
    known = f"ISERROR(SUM({_all(ALLOWED, table)}))"
    formulas[ENOUGH] = f'IF({threads}="","",IF({known},NA(),IF({needs}=0,"",MAX(0,{free})/{needs})))'
    if system == "weft":
        rest = "PicksAll-Pieces*RowsWoven"
        formulas[REST] = (
            f'IF(OR(ISBLANK({order}),ISBLANK({colour})),"",'
            f"IF({rest}>0,WEAVE.COLOURCOUNT({order},{rest},{colour}),0))"
        )
    kinds = {USED: "text", THREADS: "whole", SHARE: "fraction", FIBRE: "text", BUY: "whole", COST: "money"}
    for column, formula in formulas.items():
        style = look.result(kinds.get(column, "one"))
        sheet.write(row, column, f'=IF(Begun,{guarded(formula, book.required)},"")', style)
    _checks(book, f"Plan, {label}", f"{order},{counted},Plan!{colour}", row)


def _checks(book: Book, where: str, count_arguments: str, row: int) -> None:
    threads, free, short, buy, used = (
        f"Plan!{_at(column, row)}" for column in (THREADS, FREE, SHORT, BUY, USED)
    )
    colour, yarn = (f"Plan!{_at(column, row)}" for column in (COLOUR, YARN))
    apart = f"OR(ROW({colour})+ROW({yarn})<>2*ROW({threads}),COLUMN({yarn})-COLUMN({colour})<>1)"
    book.checks.append(Check(where, f'=IF({apart},{MOVED},"")'))
    book.checks.append(Check(where, f'=IF(ISERROR({threads}),{why("COLOURCOUNT", count_arguments)},"")'))
    tests = [
        (f"ISERROR({threads})", '""'),
        (f'{threads}=""', '""'),
        (f"ISERROR({yarn_line(used)})", f'"its yarn "&{not_among(used, "on Yarns")}'),
        (f"ISERROR({free})", with_units(f'"its yarn "&{used}&" is in error on Yarns"')),
        (f"ISERROR({short})", '""'),
        (
            f"N({short})>0",
            f'"the stash is short by "&ROUNDUP(ROUND({short},6),0)&" "&LongUnit&" of "&{used}&'
            f'IF(ISERROR({buy}),", and Yarns does not say how large a put-up is","")',
        ),
    ]
    # A line that takes no thread of its system has no yarn.
    book.checks.append(Check(where, f"={first_that_holds(tests)}"))


def _write_free(sheet: Sheet, top: int, bottom: int) -> None:
    """Write how much yarn of warp and weft there is, its colours taken in the proportions of the plan."""
    middle = top + COLOURS_A_SYSTEM + 1
    for system, lines, tie in (
        ("Warp", (top, middle - 1), "-IF(OnFrame,N(Tie),0)"),
        ("Weft", (middle, bottom), ""),
    ):
        # The first line of a system holds its name.
        shares = _all(ENOUGH, (lines[0] + 1, lines[1]))
        free = f"MAX(0,MIN({shares})*{system}YarnLength*SmallPerLong{tie})"
        formula = f'=IF(Begun,IF(COUNT({shares})=0,NA(),{free}),"")'
        sheet.write(lines[0], ENOUGH, formula, sheet.look.make(font_size=6))
        sheet.name_cell(f"Fit{system}Free", lines[0], ENOUGH)


def _names_and_checks(sheet: Sheet, top: int, bottom: int) -> None:
    book = sheet.book
    for system, start in (("Warp", top + 1), ("Weft", top + COLOURS_A_SYSTEM + 2)):
        for name, column in (("Colours", COLOUR), ("Yarns", YARN)):
            lines = (start, column), (start + COLOURS_A_SYSTEM - 1, column)
            book.name(f"{system}{name}", sheet.name, *lines)
    for name, column in (
        ("PlanYarnThreads", THREADS),
        ("PlanYarnWeights", WEIGHT),
        ("PlanYarnLengths", ALLOWED),
        ("PlanYarnCosts", COST),
        ("PlanYarnNames", USED),
    ):
        book.name(name, sheet.name, (top, column), (bottom, column))
    middle = top + COLOURS_A_SYSTEM + 1
    warp = f"Plan!{_at(THREADS, top)}:{_at(THREADS, middle - 1)}"
    weft = f"Plan!{_at(THREADS, middle)}:{_at(THREADS, bottom)}"
    for label, area, total in (("warp", warp, "EndsWound"), ("weft", weft, "PicksAll")):
        book.checks.append(
            Check(
                f"Plan, colours of the {label}",
                f'=IF(AND(Begun,ISNUMBER({total})),IF(SUM({area})=0,"no colour of the {label} is counted",'
                f'IF(SUM({area})<>{total},"the {label} colours listed count "&SUM({area})&" of "&{total}&'
                f'" threads: list each colour of the order once","")),"")',
            )
        )
