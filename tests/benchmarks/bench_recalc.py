"""The offline engine: whole commands, against LibreOffice converting as many native formulas.

Start, reading, calculating and writing are all in it, on both sides.
"""

from __future__ import annotations

import shutil
import sys
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import xlsxwriter
from measured import Row, command, turns
from office import Office

from weavefuncs.addin.calc.build import build
from weavefuncs.workbooks import template

ROUNDS = 5
BUILT = Path(__file__).parents[2] / "workbooks"
MIXED = (
    "WEAVE.ENDS(A{0},24)",
    "IFERROR(B{0}/A{0},0)",
    'IF(B{0}>A{0},"ends "&B{0},"none")',
    "ROUND(SUM(A$1:A{0}),2)",
    "B{0}-A{0}",
)


def workbook(path: Path, count: int, formulas: tuple[str, ...]) -> Path:
    """A sheet of numbers with formulas beside them; ``{0}`` stands for the row."""
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet("Plan")
    for row in range(1, count + 1):
        sheet.write_number(row - 1, 0, 10 + row % 50)
        for column, formula in enumerate(formulas, 1):
            sheet.write_formula(row - 1, column, "=" + formula.format(row))
    book.close()
    return path


def rows(quick: bool) -> Iterator[Row]:
    """Compare sheets of one formula at 1, 10 and 100 times the cells, mixed formulas, and filled planners."""
    rounds = 1 if quick else ROUNDS
    with Office() as office:
        office.install(build(office.folder))

        def recalculated(book: Path) -> partial[object]:
            out = office.folder / "out.xlsx"
            return partial(
                command(sys.executable, "-m", "weavefuncs.addin.cli", "recalc", book, "--out", out)
            )

        ours, native = office.folder / "ours.xlsx", office.folder / "native.xlsx"
        for count in (2_000,) if quick else (2_000, 20_000, 200_000):
            workbook(ours, count, ("WEAVE.ENDS(A{0},24)",))
            workbook(native, count, ("CEILING(A{0}*24,1)",))
            office.convert(native, "xlsx")  # the first start makes the profile
            times = turns(recalculated(ours), partial(office.convert, native, "xlsx"), rounds)
            yield times.row(
                "recalc, ENDS",
                f"{count:,} cells",
                "LibreOffice, native formulas",
                "1" if count == 20_000 else "",
            )
        workbook(ours, 1_400, MIXED)
        times = turns(recalculated(ours), partial(office.convert, ours, "xlsx"), rounds)
        yield times.row("recalc, mixed formulas", "7,000 cells", "LibreOffice with our functions")
        for example in ("scarf",) if quick else ("scarf", "towels", "stash"):
            planner = shutil.copy(BUILT / template(example, ".xlsx"), office.folder)
            times = turns(recalculated(planner), partial(office.convert, Path(planner), "xlsx"), rounds)
            yield times.row(f"recalc, planner {example}", "one planner", "LibreOffice with our functions")
