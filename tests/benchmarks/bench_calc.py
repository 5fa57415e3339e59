"""What cells with our functions cost in LibreOffice Calc, against the same sums in native formulas.

Each run is a whole process: start, open, calculate, save, end.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from pathlib import Path

import xlsxwriter
from measured import Row, turns
from office import Office

from weavefuncs.addin.calc.build import build

ROUNDS = 9

# The same sum twice: once as a function of ours, once as the office's own formula.
PAIRS = {
    "numbers, ENDS": ("WEAVE.ENDS(A{0},24)", "CEILING(A{0}*24,1)"),
    "numbers, TWILLANGLE": ("WEAVE.TWILLANGLE(A{0},24)", "DEGREES(ATAN(A{0}/24))"),
    "yarn texts, YARNLENGTH": (
        'WEAVE.YARNLENGTH(A{0},B{0},"g","m")',
        'A{0}*VALUE(LEFT(B{0},FIND(" ",B{0})-1))/100',
    ),
}
CELLS = {"numbers, ENDS": (2_000, 20_000, 200_000)}


def workbook(path: Path, formula: str, count: int) -> Path:
    """A sheet of numbers and yarns with a formula beside each; the empty result makes Calc calculate it."""
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet()
    for row in range(1, count + 1):
        sheet.write_number(row - 1, 0, 10 + row % 50)
        sheet.write_string(row - 1, 1, f"{300 + row % 20} m/100 g")
        sheet.write_formula(row - 1, 2, "=" + formula.format(row), None, "")
    book.close()
    return path


def rows(quick: bool) -> Iterator[Row]:
    """Compare whole runs of the office."""
    with Office() as office:
        office.install(build(office.folder))
        for label, formulas in PAIRS.items():
            for count in (2_000,) if quick else CELLS.get(label, (20_000,)):
                runs = [
                    partial(office.convert, workbook(office.folder / f"{kind}.xlsx", formula, count), "xlsx")
                    for kind, formula in zip(("ours", "native"), formulas)
                ]
                if not quick:
                    turns(*runs, 1)  # the first start makes the profile and the compiled modules
                times = turns(*runs, 1 if quick else ROUNDS if count <= 20_000 else 3)
                aim = "1.2" if count == 20_000 else ""
                yield times.row(f"Calc, {label}", f"{count:,} cells", "native formulas", aim)
