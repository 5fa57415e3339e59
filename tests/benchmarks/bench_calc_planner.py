"""What the planner costs in LibreOffice Calc: to change one input, and to open it.

Opening is timed in an office just started, because the first planner of a session also starts the add-in;
with the add-in and without it take turns.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

from driven import Driven
from measured import Row, Times, written
from office import Office

from weavefuncs.addin.calc.build import build
from weavefuncs.workbooks import EXAMPLES, template

BUILT = Path(__file__).parents[2] / "workbooks"
ROUNDS, CHANGES = 5, 9
ENDINGS = (".xlsx", ".ods")

# Seconds for a change.
AIM = 0.2

# A number that moves all sizes, a number that moves all rows, and a text that moves the drawing.
INPUTS = {
    "scarf": {"FinishedWidth": ("9", "8.9"), "RowsUp": ("12", "24"), "WeaveText": ("3/1 twill", "2/2 twill")},
    "wall-hanging": {"FinishedWidth": ("40", "42"), "Pegs": ("5", "4"), "WeaveText": ("plain", "2/2 twill")},
}


def rows(quick: bool) -> Iterator[Row]:
    """Time changes against the aim, and opening against an office without the functions."""
    with Office() as with_add_in, Office() as without:
        with_add_in.install(build(with_add_in.folder))
        yield from changes(with_add_in, quick)
        for example in ("scarf",) if quick else EXAMPLES:
            for ending in ENDINGS[: 1 if quick else 2]:
                planner = BUILT / template(example, ending)
                # The first round makes the profile and the compiled modules.
                rounds = [
                    [opened(office, planner) for office in (with_add_in, without)]
                    for _ in range(1 if quick else ROUNDS + 1)
                ][0 if quick else 1 :]
                for place, (what, aim) in enumerate((("opening", "1.5"), ("start, opening, end", ""))):
                    ours, other = ([pair[office][place] for pair in rounds] for office in (0, 1))
                    work = example + ending
                    yield Times(ours, other).row(f"{what} in Calc", work, "without our functions", aim)


def opened(office: Office, planner: Path) -> tuple[float, float]:
    """Return the seconds of opening alone, and of the whole run of the office around it."""
    started = time.perf_counter()
    with Driven(office) as desk:
        seconds = desk.open(office.adopt(planner))
        desk.close()
    return seconds, time.perf_counter() - started


def changes(office: Office, quick: bool) -> Iterator[Row]:
    """Time from an input typed until every sheet is calculated."""
    with Driven(office) as desk:
        for example, inputs in INPUTS.items():
            for ending in ENDINGS[: 1 if quick else 2]:
                desk.open(office.adopt(BUILT / template(example, ending)))
                for name, typed in inputs.items():
                    count = 2 if quick else 2 * CHANGES
                    times = [desk.type(name, typed[turn % 2]) for turn in range(count)]
                    row = Times(times, [AIM] * count).row(
                        f"{name} changed in Calc", example + ending, "the aim", "1"
                    )
                    yield row._replace(note=f"longest {written(max(times))}")
                desk.close()
