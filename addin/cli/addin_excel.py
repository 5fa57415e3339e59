"""The command ``addin`` for Excel: what it prints, and its exit status."""

from __future__ import annotations

import sys
from pathlib import Path

from weavefuncs.addin.excel import install as excel

NOT_IN, REFUSED = 1, 2


def run(action: str, out: str | None) -> int:
    """Do it and tell what came of it."""
    computer = excel.this_computer()
    try:
        if action == "build":
            for path in excel.build(Path(out or ".")):
                print(f"wrote {path}")
        elif action == "install":
            print(excel.install(computer))
        elif action == "remove":
            print(excel.remove(computer))
        else:
            told, ready = excel.status(computer)
            print(told)
            return 0 if ready else NOT_IN
    except excel.ExcelError as problem:
        print(f"weavefuncs addin: {problem}", file=sys.stderr)
        return REFUSED
    return 0
