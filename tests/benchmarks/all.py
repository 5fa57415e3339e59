"""All benchmarks, one table of ratios: ``python tests/benchmarks/all.py [--only NAME …] [--quick]``.

Names are those of the files, such as ``batch`` or ``calc_planner``. A full run takes about half an hour on a
machine that does nothing else; ``--quick`` shows in two minutes that every benchmark works. LibreOffice is
needed. ``--record`` keeps the table for ``tests/RESULTS.md``. Nothing is asserted of any time.
"""

from __future__ import annotations

import argparse
import importlib
import json
import os
import platform
import sys
import time
from pathlib import Path

from measured import COLUMNS, cells, table

HERE = Path(__file__).parent
RECORD = HERE.parent / "trust" / "records" / "benchmarks.json"
AIM = COLUMNS.index("aim")
NAMES = sorted(file.stem.partition("_")[2] for file in HERE.glob("bench_*.py"))


def main() -> None:
    """Run, print, and keep the record when asked."""
    parser = argparse.ArgumentParser(description=__doc__.partition(":")[0])
    parser.add_argument("--only", nargs="+", choices=NAMES, default=NAMES, metavar="NAME")
    parser.add_argument(
        "--quick", action="store_true", help="show that everything works; the numbers mean nothing"
    )
    parser.add_argument("--record", action="store_true", help=f"write {RECORD.name}")
    given = parser.parse_args()
    if given.record and (given.quick or given.only != NAMES):
        parser.error("only a full run is worth a record")
    # As on a user's machine, where modules are compiled once.
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    rows = []
    for name in given.only:
        for row in importlib.import_module(f"bench_{name}").rows(given.quick):
            rows.append(cells(row))
            print(f"{name}: {row.measured}, {row.work}: {row.ratio:.3g}", file=sys.stderr, flush=True)
    print(table(rows))
    if given.record:
        record = {
            "title": "Ratios measured",
            "command": "python tests/benchmarks/all.py --record",
            "measured": f"{time.strftime('%Y-%m-%d')}, {os.cpu_count()} cores, "
            f"Python {platform.python_version().rpartition('.')[0]}",
            "columns": COLUMNS,
            "rows": [row for row in rows if row[AIM]],
            "folded": [row for row in rows if not row[AIM]],
            "found": json.loads(RECORD.read_text("utf-8"))["found"] if RECORD.exists() else [],
        }
        RECORD.write_text(json.dumps(record, indent=1, ensure_ascii=False) + "\n", "utf-8")


if __name__ == "__main__":
    main()
