"""The planner in real LibreOffice Calc, with no add-in: it opens, shows its results, prints."""

from __future__ import annotations

import csv
import re
import subprocess
from pathlib import Path

import openpyxl
import pytest

from weavefuncs.workbooks import EXAMPLES, write_planner

# All sheets, comma, double quotes, UTF-8, cell contents as shown.
EVERY_SHEET = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false,false,false,-1"

ERROR = re.compile(r"#[A-Z/0]+[!?]|#N/A|Err:\d+")


def convert(planner: Path, folder: Path, to: str) -> None:
    """Let Calc convert a workbook, with a profile of its own."""
    profile = (folder / "profile").as_uri()
    command = ["soffice", f"-env:UserInstallation={profile}", "--headless", "--convert-to", to]
    done = subprocess.run(
        [*command, "--outdir", str(folder), str(planner)],
        capture_output=True,
        text=True,
        timeout=180,
        check=False,
    )
    assert done.returncode == 0, done.stderr


@pytest.fixture(scope="module", params=["blank", *EXAMPLES])
def opened(request, tmp_path_factory):
    folder = tmp_path_factory.mktemp("calc")
    planner = folder / "planner.xlsx"
    write_planner(planner, None if request.param == "blank" else request.param)
    convert(planner, folder, EVERY_SHEET)
    convert(planner, folder, "pdf")
    return folder


def sheets(folder: Path) -> dict[str, list[list[str]]]:
    found = {}
    for path in folder.glob("planner-*.csv"):
        with path.open(encoding="utf-8", newline="") as lines:
            found[path.stem.removeprefix("planner-")] = list(csv.reader(lines))
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
    book = openpyxl.load_workbook(opened / "planner.xlsx", data_only=True)
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
                elif isinstance(cell.value, (int, float)) and cell.number_format in ("0.00", "0.0", "#,##0"):
                    text = shown[sheet.title][cell.row - 1][cell.column - 1].replace(",", "")
                    digits = {"0.00": 2, "0.0": 1, "#,##0": 0}[cell.number_format]
                    assert abs(float(text) - cell.value) <= 0.5000001 * 10**-digits, (
                        sheet.title,
                        cell.coordinate,
                    )
                    compared += 1
    assert compared > 400


def test_printed_weaving_order_repeats_its_heading_on_every_page(opened):
    text = subprocess.run(
        ["pdftotext", "-layout", str(opened / "planner.pdf"), "-"], capture_output=True, text=True, check=True
    ).stdout
    pages = [page for page in text.split("\f") if re.search(r"Weaving order\s+Page \d+ of \d+", page)]
    # 400 rows at 36 a page.
    assert len(pages) == 12
    for page in pages:
        assert "The weft goes, from the side it enters" in page


def test_every_sheet_prints_one_page_wide(opened):
    text = subprocess.run(
        ["pdftotext", "-layout", str(opened / "planner.pdf"), "-"], capture_output=True, text=True, check=True
    ).stdout
    for name in ("Settings", "Cloth"):
        assert len(re.findall(rf"^ *{name} +Page \d+ of \d+", text, re.MULTILINE)) == 1, name
    assert len(re.findall(r"^ *Plan +Page \d+ of \d+", text, re.MULTILINE)) <= 4
