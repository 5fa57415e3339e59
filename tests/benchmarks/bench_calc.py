"""What 20,000 cells with our functions cost in LibreOffice Calc, against the same sums in native formulas.

Run it by hand: ``python tests/benchmarks/bench_calc.py``. Each run is a whole process: start, open,
calculate, save, end. Runs take turns, so that what else the machine does falls on both.
It prints ratios and asserts nothing.
"""

from __future__ import annotations

import statistics
import sys
import time
from pathlib import Path

import xlsxwriter

from weavefuncs.addin.calc.build import build

sys.path.insert(0, str(Path(__file__).parents[1] / "hosts"))
from office import Office

ROWS = 20_000
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


def workbook(path: Path, formula: str) -> Path:
    """A sheet of numbers and yarns with a formula beside each; the empty result makes Calc calculate it."""
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet()
    for row in range(1, ROWS + 1):
        sheet.write_number(row - 1, 0, 10 + row % 50)
        sheet.write_string(row - 1, 1, f"{300 + row % 20} m/100 g")
        sheet.write_formula(row - 1, 2, "=" + formula.format(row), None, "")
    book.close()
    return path


def seconds(office: Office, book: Path) -> float:
    """Time one whole run of the office."""
    started = time.perf_counter()
    office.convert(book, "xlsx")
    return time.perf_counter() - started


def main() -> None:
    """Print the times and their ratios."""
    with Office() as office:
        office.install(build(office.folder))
        for label, formulas in PAIRS.items():
            books = [
                workbook(office.folder / f"{name}.xlsx", formula)
                for name, formula in zip(("ours", "native"), formulas)
            ]
            for book in books:
                seconds(office, book)  # the first start makes the profile and the compiled modules
            times = [[seconds(office, book) for book in books] for _ in range(ROUNDS)]
            ours, native = zip(*times)
            ratios = sorted(mine / theirs for mine, theirs in times)
            print(
                f"{label:<24} ours {min(ours):.2f} s, native {min(native):.2f} s, "
                f"shortest {min(ours) / min(native):.2f} x, median {statistics.median(ratios):.2f} x "
                f"(from {ratios[0]:.2f} to {ratios[-1]:.2f})"
            )


if __name__ == "__main__":
    main()
