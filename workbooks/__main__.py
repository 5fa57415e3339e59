"""Rebuild the committed templates and examples: ``python -m weavefuncs.workbooks FOLDER``.

The .xlsx files need nothing else; the .ods files are made of them by LibreOffice Calc.
"""

from __future__ import annotations

import sys
from pathlib import Path

from weavefuncs.workbooks import EXAMPLES, TARGETS, template, write_planner
from weavefuncs.workbooks.ods import convert


def main(folder: Path) -> None:
    """Write the blank planner for each program, and each example for Calc."""
    for target in TARGETS:
        write_planner(folder / f"planner-{target}.xlsx", target=target)
    for example in EXAMPLES:
        write_planner(folder / f"example-{example}.xlsx", example)
    convert([folder / template(example, ".xlsx") for example in (None, *EXAMPLES)], folder)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
