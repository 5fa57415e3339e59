"""How long a recalculation takes, whole command, against LibreOffice converting as many native formulas.

Run it by hand: ``python tests/benchmarks/bench_recalc.py``. It prints ratios and asserts nothing.
"""

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import xlsxwriter

ROUNDS = 5
OURS = "from weavefuncs.addin.offline import recalculate; import sys; recalculate(sys.argv[1], sys.argv[2])"


def workbook(path: Path, rows: int, formulas: list[str]) -> None:
    """A sheet of numbers with formulas beside them; ``{0}`` stands for the row."""
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet("Plan")
    for row in range(1, rows + 1):
        sheet.write_number(row - 1, 0, 10 + row % 50)
        for column, formula in enumerate(formulas, 1):
            sheet.write_formula(row - 1, column, "=" + formula.format(row))
    book.close()


def best(run: Callable[[], object]) -> float:
    """The shortest of some runs: the one that other work on the machine disturbed least."""
    times = []
    for _ in range(ROUNDS):
        started = time.perf_counter()
        run()
        times.append(time.perf_counter() - started)
    return min(times)


def command(*words: str) -> Callable[[], object]:
    """A command to be run."""
    return lambda: subprocess.run(words, check=True, capture_output=True)


def main() -> None:
    """Print the times and their ratios."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        ours, native, planner = (folder / f"{kind}.xlsx" for kind in ("ours", "native", "planner"))
        workbook(ours, 20_000, ["WEAVE.ENDS(A{0},24)"])
        workbook(native, 20_000, ["CEILING(A{0}*24,1)"])
        mixed = [
            "WEAVE.ENDS(A{0},24)",
            "IFERROR(B{0}/A{0},0)",
            'IF(B{0}>A{0},"ends "&B{0},"none")',
            "ROUND(SUM(A$1:A{0}),2)",
            "B{0}-A{0}",
        ]
        workbook(planner, 1_400, mixed)
        out = str(folder / "out.xlsx")
        bare = best(command(sys.executable, "-c", "pass"))
        mine = best(command(sys.executable, "-c", OURS, str(ours), out))
        seven = best(command(sys.executable, "-c", OURS, str(planner), out))
        profile = f"-env:UserInstallation=file://{folder}/profile"
        convert = ["soffice", "--headless", profile, "--convert-to", "xlsx", "--outdir", str(folder / "calc")]
        command(*convert, str(native))()  # the first start makes the profile
        calc = best(command(*convert, str(native)))
    print(f"a bare interpreter                                  {bare:6.2f} s")
    print(f"20,000 cells calling our functions, whole command   {mine:6.2f} s  {mine / bare:5.1f} x bare")
    print(f"7,000 mixed cells, whole command                    {seven:6.2f} s  {seven / bare:5.1f} x bare")
    print(f"LibreOffice, 20,000 native formulas                 {calc:6.2f} s  ours / Calc {mine / calc:.2f}")


if __name__ == "__main__":
    main()
