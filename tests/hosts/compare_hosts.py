"""The same edge-case calls through every host there is, and the table of what differs. Not a test.

``python tests/hosts/compare_hosts.py`` writes the table into ``addin/README.md``, and ``test_hosts_agree.py``
holds it to that. Each case of cells is given for each of the arguments below, which stand for their kinds.

- LibreOffice Calc with the extension, and the offline engine: one workbook, whose formulas both calculate;
- the dispatchers of xlwings, for Excel on Windows and for Office custom functions: without Excel, given the
  cells as it hands them over;
- the page in Chromium, over a stand-in for Excel that hands over cells as Excel does.
"""

from __future__ import annotations

import asyncio
import datetime
import math
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import openpyxl
import xlsxwriter

sys.path.insert(0, str(Path(__file__).parent))
from office import Office
from office_functions import office_functions
from web_site import Excel, chromium, served
from windows_stand_ins import LEFT_OUT, OURS, cells, windows

from weavefuncs.addin.calc.build import build as build_extension
from weavefuncs.addin.cells import CellError, evaluate
from weavefuncs.addin.offline import recalculate
from weavefuncs.addin.web.build import build as build_site

README = Path(__file__).resolve().parents[2] / "addin" / "README.md"
BEGIN, END = "<!-- hosts: generated -->\n", "<!-- hosts: end -->"

HOSTS = ("Calc", "Offline engine", "Excel, xlwings", "Office, xlwings", "Browser")

Rows = list[list[Any]]


class Left(NamedTuple):
    """An argument that is left out of the formula."""


LEFT = Left()
NOT_THERE, DIVISION = CellError("#N/A"), CellError("#DIV/0!")
DAY = datetime.datetime(2008, 1, 1)
DAY_NUMBER = 39448.0  # Microsoft's documentation of DATEVALUE

# What stands in the cells, made from a value that suits the argument.
CASES: dict[str, Callable[[Any], Any]] = {
    "left out": lambda good: LEFT,
    "a suitable value": lambda good: good,
    "a range of one cell": lambda good: [[good]],
    "a blank cell": lambda good: None,
    "an empty text": lambda good: "",
    "spaces": lambda good: "  ",
    "a number as text": lambda good: "15",
    "a number with a comma": lambda good: "15,5",
    "0": lambda good: 0.0,
    "a negative number": lambda good: -1.0,
    "a number with decimals": lambda good: 2.5,
    "TRUE": lambda good: True,
    "FALSE": lambda good: False,
    "a word": lambda good: "mohair",
    "a date": lambda good: DAY,
    "#N/A": lambda good: NOT_THERE,
    "#DIV/0!": lambda good: DIVISION,
    "a column": lambda good: [[good], [good], [good]],
    "a row": lambda good: [[good, good, good]],
    "a column with a blank": lambda good: [[good], [None], [good]],
    "a column with a word": lambda good: [[good], ["mohair"], [good]],
    "a column with #N/A": lambda good: [[good], [NOT_THERE], [good]],
    "a blank range": lambda good: [[None], [None], [None]],
    "a block": lambda good: [[good, good], [good, good]],
}

# The function, the position of the argument, and arguments that suit: a kind of argument each.
ARGUMENTS: tuple[tuple[str, int, tuple[Any, ...]], ...] = (
    ("WEAVE.ENDS", 0, (15.0, 24.0)),  # a number
    ("WEAVE.ENDS", 2, (15.0, 24.0, 4.0)),  # a whole number that may be left out
    ("WEAVE.ENDS", 5, (15.0, 24.0, 1.0, 0.0, 0.0, "odd")),  # a choice
    ("WEAVE.WARPLENGTH", 3, (70.0, 2.0, 0.0, 0.1)),  # a fraction
    ("WEAVE.CHEVRONROWS", 2, (9.0, 2.0, True)),  # true or false
    ("WEAVE.TEX", 0, ("8/2 Ne",)),  # a yarn
    ("WEAVE.COUNT", 1, ("8/2 Ne", "Nm")),  # a yarn system
    ("WEAVE.YARNLENGTH", 2, (100.0, "8/2 Ne", "oz")),  # a unit
    ("WEAVE.INTERSECTIONS", 0, ("2/2 twill",)),  # a weave
    ("WEAVE.LONGESTFLOAT", 4, ("2/2 twill", "warp", 21.0, 90.0, "9,9")),  # reversals
    ("WEAVE.SLEYEDSETT", 0, ("1-1-2", 12.0)),  # a sley order
    ("WEAVE.COLOURCOUNT", 0, ("8 white, 4 blue", 100.0, "blue")),  # a colour order
    ("WEAVE.COLOURCOUNT", 2, ("8 white, 4 blue", 100.0, "blue")),  # a text
    ("WEAVE.BESTREED", 1, (24.0, 12.0)),  # a list, which belongs to one call
    ("WEAVE.FLOATSOVER", 0, (1.0, 1.0)),  # a grid
)


class Call(NamedTuple):
    """One call: the case, the function, and its arguments as they stand in cells."""

    case: str
    name: str
    position: int
    arguments: tuple[Any, ...]


CALLS = [
    Call(case, name, position, (*base[:position], make(base[position]), *base[position + 1 :]))
    for case, make in CASES.items()
    for name, position, base in ARGUMENTS
]


def plain(argument: Any) -> Any:
    """Give an argument as the adapter knows it."""
    if isinstance(argument, list):
        return [[plain(cell) for cell in row] for row in argument]
    if argument is LEFT:
        return None
    return DAY_NUMBER if argument is DAY else argument


def as_rows(result: Any) -> Rows:
    return result if isinstance(result, list) else [[result]]


def by_adapter(call: Call) -> Rows:
    return as_rows(evaluate(call.name, [plain(argument) for argument in call.arguments]))


# Calc and the offline engine, from one workbook


def write_workbook(path: Path, shapes: list[tuple[int, int]]) -> None:
    """Write a row a call: the cells that it takes from column 20 on, its results from column 1 on."""
    book = xlsxwriter.Workbook(str(path))
    sheet = book.add_worksheet("Calls")
    date = book.add_format({"num_format": "yyyy-mm-dd"})
    for number, (call, shape) in enumerate(zip(CALLS, shapes)):
        top = number * 4
        texts = [
            _written(sheet, top, argument, date) if position == call.position else _constant(argument)
            for position, argument in enumerate(call.arguments)
        ]
        formula = f"{call.name}({','.join(texts)})"
        for row in range(shape[0]):
            for column in range(shape[1]):
                part = formula if shape == (1, 1) else f"INDEX({formula},{row + 1},{column + 1})"
                sheet.write_formula(top + row, column, f"={part}", None, "")
    book.close()


def _written(sheet: Any, top: int, argument: Any, date: Any) -> str:
    """Write the cells of an argument and return the reference to them."""
    if argument is LEFT:
        return ""
    rows = argument if isinstance(argument, list) else [[argument]]
    for down, line in enumerate(rows):
        for across, value in enumerate(line):
            place = (top + down, 20 + across)
            if isinstance(value, CellError):
                sheet.write_formula(*place, "=NA()" if value == NOT_THERE else "=1/0", None, value.code)
            elif value == "" and isinstance(value, str):
                sheet.write_formula(*place, '=""', None, "")
            elif value is DAY:
                sheet.write_datetime(*place, value, date)
            elif value is not None:
                sheet.write(*place, value)
    first = f"$U${top + 1}"
    if not isinstance(argument, list):
        return first
    return f"{first}:${chr(ord('U') + len(rows[0]) - 1)}${top + len(rows)}"


def _constant(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).upper()
    return f'"{value}"' if isinstance(value, str) else f"{value:g}"


def read_workbook(path: Path, shapes: list[tuple[int, int]]) -> list[Rows]:
    sheet = openpyxl.load_workbook(path, data_only=True)["Calls"]
    return [
        [
            [_shown(sheet.cell(number * 4 + row + 1, column + 1)) for column in range(shape[1])]
            for row in range(shape[0])
        ]
        for number, shape in enumerate(shapes)
    ]


def _shown(cell: Any) -> Any:
    if cell.data_type == "e":
        return CellError(cell.value)
    return "" if cell.value is None else cell.value


def by_workbook(office: Office) -> tuple[list[Rows], list[Rows]]:
    """Calculate the workbook in Calc, and with the offline engine."""
    shapes = [(len(rows), len(rows[0])) for rows in map(by_adapter, CALLS)]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "calls.xlsx"
        write_workbook(path, shapes)
        calc = read_workbook(office.convert(path, "xlsx"), shapes)
        recalculate(path)
        return calc, read_workbook(path, shapes)


# The two dispatchers of xlwings


def by_excel() -> list[Rows]:
    """Call through the dispatcher for Excel on Windows; an exception is what VBA makes #VALUE!."""
    with windows() as excel:
        results = []
        for call in CALLS:
            given = [LEFT_OUT if argument is LEFT else argument for argument in call.arguments]
            arguments = tuple(cells(_codes(argument)) for argument in given)
            try:
                result = excel.udfs.call_udf(OURS[0], call.name.replace(".", "_"), arguments)
            except excel.functions.ErrorInCellError:
                result = [[CellError()] * len(row) for row in by_adapter(call)]
            results.append(result)
        return results


def _codes(argument: Any) -> Any:
    if isinstance(argument, list):
        return [[_codes(cell) for cell in row] for row in argument]
    return argument.code if isinstance(argument, CellError) else argument


def by_office(office: Any) -> list[Rows]:
    """Call through the dispatcher for Office custom functions; dates come as numbers there."""
    return [asyncio.run(_office_call(office, call)) for call in CALLS]


async def _office_call(office: Any, call: Call) -> Rows:
    data = {
        "func_name": call.name.replace(".", "_"),
        "args": [None if argument is LEFT else _as_sent(plain(argument)) for argument in call.arguments],
        "version": "",
        "client": "Office.js",
        "runtime": "1.4",
    }
    result = await office.theirs.custom_functions_call(data, office.ours)
    codes = {"Value": "#VALUE!", "NotAvailable": "#N/A", "Div0": "#DIV/0!"}
    return [
        [CellError(codes[cell["errorType"]]) if isinstance(cell, dict) else cell for cell in row]
        for row in result
    ]


def _as_sent(argument: Any) -> Any:
    rows = argument if isinstance(argument, list) else [[argument]]
    return [
        [
            {"type": "Error", "basicValue": cell.code}
            if isinstance(cell, CellError)
            else ""
            if cell is None
            else cell
            for cell in row
        ]
        for row in rows
    ]


# The page


def by_browser(site: Path) -> list[Rows]:
    """Call through the page, all calls in one recalculation; a blank cell is null, a date a number."""
    calls = [
        (
            call.name,
            [
                None if argument is LEFT else [[None]] if argument is None else plain(argument)
                for argument in call.arguments
            ],
        )
        for call in CALLS
    ]
    with served(site) as address, chromium() as browser:
        return [rows for rows, _ in Excel(browser.new_page(), address).recalculate(calls)]


# What differs, and why


def same(here: Rows, there: Rows) -> bool:
    return [len(row) for row in here] == [len(row) for row in there] and all(
        _same_cell(one, other)
        for line, other_line in zip(here, there)
        for one, other in zip(line, other_line)
    )


def _same_cell(one: Any, other: Any) -> bool:
    if isinstance(one, (int, float)) and isinstance(other, (int, float)):
        return math.isclose(one, other, rel_tol=1e-12)
    return type(one) is type(other) and bool(one == other)


def _error_is_value(call: Call, wanted: Rows, found: Rows) -> bool:
    """An error value that is passed on becomes #VALUE!."""
    return same(
        [[CellError() if isinstance(cell, CellError) else cell for cell in row] for row in wanted], found
    )


def _all_rows(call: Call, wanted: Rows, found: Rows) -> bool:
    """A bad row makes the whole column an error."""
    bad = any(isinstance(cell, CellError) for row in wanted for cell in row)
    return bad and all(cell == CellError() for row in found for cell in row)


def _as_number(call: Call, wanted: Rows, found: Rows) -> bool:
    """A reference to one cell hands a blank, TRUE and FALSE on as 0, 1 and 0."""
    given = call.arguments[call.position]
    if given is not None and not isinstance(given, bool):
        return False
    arguments = list(map(plain, call.arguments))
    arguments[call.position] = float(given or 0)
    return same(as_rows(evaluate(call.name, arguments)), found)


UNEXPLAINED = "?"

NOTES: dict[str, tuple[str, Callable[[Call, Rows, Rows], bool]]] = {
    "1": ("An error value in an argument comes out as #VALUE!, not as itself.", _error_is_value),
    "2": ("One bad row makes all rows #VALUE!; elsewhere it is an error in its own cell.", _all_rows),
    "3": ("Calc hands a single blank cell on as 0, TRUE as 1 and FALSE as 0; they are read so.", _as_number),
}


def _explained(call: Call, wanted: Rows, found: Rows) -> str:
    return next((note for note, (_, holds) in NOTES.items() if holds(call, wanted, found)), UNEXPLAINED)


def differences(answers: dict[str, list[Rows]]) -> dict[tuple[str, str], list[str]]:
    """Return, for each case and host, the notes on what differs; "?" where none explains it."""
    found: dict[tuple[str, str], list[str]] = {}
    for number, call in enumerate(CALLS):
        wanted = by_adapter(call)
        for host, results in answers.items():
            notes = found.setdefault((call.case, host), [])
            if not same(wanted, results[number]):
                notes.append(_explained(call, wanted, results[number]))
    return found


def table(answers: dict[str, list[Rows]]) -> str:
    """Write the table."""
    found = differences(answers)
    lines = ["| in the cells | " + " | ".join(HOSTS) + " |", "|---" * (len(HOSTS) + 1) + "|"]
    lines += [
        f"| {case} | " + " | ".join(_told(found[case, host]) for host in HOSTS) + " |" for case in CASES
    ]
    notes = [f"{number}. {text}" for number, (text, _) in NOTES.items()]
    counts = f"{len(CALLS)} calls: each of {len(CASES)} cases of cells for {len(ARGUMENTS)} arguments"
    told = f'{counts}, which stand for their kinds. "same" is the same answer, for all of them.'
    return "\n".join([told, "", *lines, "", *notes, ""])


def _told(notes: list[str]) -> str:
    if not notes:
        return "same"
    return f"{len(notes)} of {len(ARGUMENTS)} differ: {', '.join(sorted(set(notes)))}"


def all_answers(site: Path) -> dict[str, list[Rows]]:
    """Ask every host every call; the page is the built one."""
    browser = by_browser(site)
    with Office() as office:
        office.install(build_extension(office.folder))
        calc, offline = by_workbook(office)
    with office_functions() as functions:
        return dict(zip(HOSTS, (calc, offline, by_excel(), by_office(functions), browser)))


def main() -> None:
    """Write the table into the page."""
    text = README.read_text(encoding="utf-8")
    before, after = text.partition(BEGIN)[0], text.partition(END)[2]
    with tempfile.TemporaryDirectory() as folder:
        answers = all_answers(build_site(Path(folder)))
    README.write_text(before + BEGIN + table(answers) + END + after, encoding="utf-8")


if __name__ == "__main__":
    main()
