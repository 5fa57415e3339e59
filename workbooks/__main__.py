"""Rebuild the committed templates and examples: ``python -m weavefuncs.workbooks FOLDER``."""

from __future__ import annotations

import sys
from pathlib import Path

from weavefuncs.workbooks import EXAMPLES, TARGETS, write_planner


def main(folder: Path) -> None:
    """Write the blank planner for each program, and each example for Calc."""
    for target in TARGETS:
        write_planner(folder / f"planner-{target}.xlsx", target=target)
    for example in EXAMPLES:
        write_planner(folder / f"example-{example}.xlsx", example)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
