"""The planner in real LibreOffice Calc, with no add-in: it opens, shows its results, prints."""

from __future__ import annotations

import csv
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest

from weavefuncs.workbooks import EXAMPLES, template

sys.path.insert(0, str(Path(__file__).parent))
from office import Office

BUILT = Path(__file__).resolve().parents[2] / "workbooks"
PLANNERS = (None, *EXAMPLES)
ENDINGS = (".xlsx", ".ods")
# Planners differ in what is filled in, not in how they print: a blank one, and one in both formats.
PRINTED = ((None, ".xlsx"), ("scarf", ".xlsx"), ("scarf", ".ods"))

# All sheets, comma, double quotes, UTF-8, cell contents as shown.
EVERY_SHEET = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false,false,false,-1"

# Digits behind the point of a number format, blanks behind the number.
DIGITS = {'#,##0.00"   "': 2, '#,##0.0"   "': 1, '#,##0"   "': 0}

# Pages that a sheet is laid out for.
PAGES = {
    "Weaving planner": 2,
    "Settings": 2,
    "Plan": 4,
    "Cloth": 2,
    # Each way: its figures, the draft itself; and one lift plan.
    "Draft": 5,
    "Batch: arithmetic, not tax or legal advice": 3,
    "Kits: arithmetic, not tax or legal advice": 2,
    "Records": 2,
}

ERROR = re.compile(r"#[A-Z/0]+[!?]|#N/A|Err:\d+")


@pytest.fixture(scope="module")
def converted() -> Iterator[Path]:
    """A folder with a folder for each ending: in it each committed planner as .csv, those printed as .pdf."""
    with Office() as office:
        for ending in ENDINGS:
            out = office.folder / ending.strip(".")
            printed = [example for example, of in PRINTED if of == ending]
            for to, examples in ((EVERY_SHEET, PLANNERS), ("pdf", printed)):
                planners = [office.adopt(BUILT / template(example, ending)) for example in examples]
                office.run("soffice", "--headless", "--convert-to", to, "--outdir", out, *planners)
        yield office.folder


@pytest.fixture(params=[(example, ending) for example in PLANNERS for ending in ENDINGS], ids=str)
def opened(request, converted: Path) -> Path:
    """The planner among what was converted, as if it lay there: folder, and name without an ending."""
    example, ending = request.param
    return converted / ending.strip(".") / template(example, "")


@pytest.fixture(params=PRINTED, ids=str)
def printed(request, converted: Path) -> str:
    """The text of a planner on paper."""
    example, ending = request.param
    page = converted / ending.strip(".") / template(example, ".pdf")
    command = ["pdftotext", "-layout", str(page), "-"]
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


def sheets(opened: Path) -> dict[str, list[list[str]]]:
    found = {}
    for path in opened.parent.glob(f"{opened.name}-*.csv"):
        with path.open(encoding="utf-8", newline="") as lines:
            found[path.stem.removeprefix(f"{opened.name}-")] = list(csv.reader(lines))
    return found


def test_no_cell_shows_an_error(opened):
    shown = sheets(opened)
    assert {"Start", "Settings", "Yarns", "Plan", "Cloth", "Weaving order", "Tables", "Functions"} <= set(
        shown
    )
    for name, rows in shown.items():
        for number, row in enumerate(rows, start=1):
            assert not any(ERROR.fullmatch(cell.strip()) for cell in row), (name, number, row)


def test_calc_shows_the_results_that_were_shipped(opened):
    """Texts are identical; numbers agree to the digits that the cell's format shows."""
    shown = sheets(opened)
    book = openpyxl.load_workbook(BUILT / f"{opened.name}.xlsx", data_only=True)
    compared = 0
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                if isinstance(cell.value, str) and cell.value and cell.number_format != ";;;":
                    assert shown[sheet.title][cell.row - 1][cell.column - 1] == cell.value, (
                        sheet.title,
                        cell.coordinate,
                    )
                    compared += 1
                elif isinstance(cell.value, (int, float)) and cell.number_format in DIGITS:
                    text = shown[sheet.title][cell.row - 1][cell.column - 1].replace(",", "")
                    digits = DIGITS[cell.number_format]
                    assert abs(float(text) - cell.value) <= 0.5000001 * 10**-digits, (
                        sheet.title,
                        cell.coordinate,
                    )
                    compared += 1
    assert compared > 400


def test_printed_weaving_order_repeats_its_heading_on_every_page(printed):
    pages = [page for page in printed.split("\f") if re.search(r"Weaving order\s+Page \d+ of \d+", page)]
    # 400 rows at 36 a page.
    assert len(pages) == 12
    for page in pages:
        assert "The weft goes, from the side it enters" in page


def test_sheets_print_on_the_pages_that_they_are_laid_out_for(printed):
    """In an .xlsx columns are as wide as the font that the machine has makes them, but pages are as many."""
    feet = re.findall(r"^ *(\S.*?) +Page \d+ of \d+", printed, re.MULTILINE)
    assert {name: feet.count(name) for name in PAGES} == PAGES
