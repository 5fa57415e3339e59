"""What the planner costs in LibreOffice Calc: to open it, and to change one input.

Run it by hand: ``python tests/benchmarks/bench_calc_planner.py``. Opening is timed in an office just started,
because the first planner of a session also starts the add-in; with and without it take turns. It prints times
and ratios and asserts nothing. The aims: opening within 1.5 times, a change within 200 ms.
"""

from __future__ import annotations

import statistics
import sys
import time
from pathlib import Path

from weavefuncs.addin.calc.build import build
from weavefuncs.workbooks import EXAMPLES, template

sys.path.insert(0, str(Path(__file__).parents[1] / "hosts"))
from driven import Driven
from office import Office

BUILT = Path(__file__).parents[2] / "workbooks"
ROUNDS = 5
# Seconds for a change.
AIM = 0.2
CHANGES = 9

# A number that moves all sizes, a number that moves all rows, and a text that moves the drawing.
INPUTS = {
    "scarf": {"FinishedWidth": ("9", "8.9"), "RowsUp": ("12", "24"), "WeaveText": ("3/1 twill", "2/2 twill")},
    "wall-hanging": {"FinishedWidth": ("40", "42"), "Pegs": ("5", "4"), "WeaveText": ("plain", "2/2 twill")},
}


def bench_opening(with_add_in: Office, without: Office) -> None:
    """Time opening, and the whole run of the office around it."""
    for example in EXAMPLES:
        for ending in (".xlsx", ".ods"):
            opening: list[list[float]] = []
            whole: list[list[float]] = []
            for _ in range(ROUNDS + 1):
                times = [
                    _opened(office, BUILT / template(example, ending)) for office in (with_add_in, without)
                ]
                opening.append([seconds for seconds, _ in times])
                whole.append([seconds for _, seconds in times])
            # The first round makes the profile and the compiled modules.
            _print(f"opening {example}{ending}", opening[1:])
            _print("  start, opening, end", whole[1:])


def _opened(office: Office, planner: Path) -> tuple[float, float]:
    started = time.perf_counter()
    with Driven(office) as desk:
        seconds = desk.open(office.adopt(planner))
        desk.close()
    return seconds, time.perf_counter() - started


def _print(label: str, times: list[list[float]]) -> None:
    ours, native = (min(column) for column in zip(*times))
    ratio = statistics.median(mine / other for mine, other in times)
    print(
        f"{label:<34} with {ours * 1000:5.0f} ms, without {native * 1000:5.0f} ms, "
        f"shortest {ours / native:.2f} x, median {ratio:.2f} x"
    )


def bench_changes(office: Office) -> None:
    """Time from an input typed until every sheet is calculated."""
    with Driven(office) as desk:
        for example, inputs in INPUTS.items():
            for ending in (".xlsx", ".ods"):
                desk.open(office.adopt(BUILT / template(example, ending)))
                for name, typed in inputs.items():
                    times = sorted(desk.type(name, typed[turn % 2]) for turn in range(2 * CHANGES))
                    print(
                        f"{example}{ending}, {name}: median {statistics.median(times) * 1000:.0f} ms, "
                        f"longest {times[-1] * 1000:.0f} ms ({times[-1] / AIM:.2f} of the aim)"
                    )
                desk.close()


def main() -> None:
    """Print the times and their ratios."""
    with Office() as with_add_in, Office() as without:
        with_add_in.install(build(with_add_in.folder))
        bench_changes(with_add_in)
        bench_opening(with_add_in, without)


if __name__ == "__main__":
    main()
