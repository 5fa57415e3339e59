"""Write ``tests/RESULTS.md`` from the records, in no time: ``python tests/trust/results.py``.

A record has {"title", "command", "measured", "columns", "rows", "found"}. Two more may be there: "folded",
rows that stand closed below the table, and "survivors", for each module a list of {"in", "change", "reason"}.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

TESTS = Path(__file__).parents[1]
RECORDS = TESTS / "trust" / "records"
PAGE = TESTS / "RESULTS.md"

HEAD = """# What was tried, and what came of it

The ordinary tests say that the functions do what they should. This page says what was done beyond them:
inputs tried, faults survived, mutants killed, ratios measured. Each table names the command that makes it
anew. `python tests/trust/results.py` writes this page from [the records](trust/records).
"""

# Of the reasons why mutants of a module survived; the rest is counted.
MOST_REASONS = 3


def page(records: Path) -> str:
    """Return the page that the records of a folder give."""
    # The longest table comes last.
    files = sorted(records.glob("*.json"), key=lambda file: (file.stem == "benchmarks", file.stem))
    read = [json.loads(file.read_text("utf-8")) for file in files]
    found = [
        block for record in read if record["found"] for block in (f"**{record['title']}**", _found(record))
    ]
    blocks = [HEAD.rstrip(), *(block for record in read for block in _section(record))]
    return (
        "\n\n".join([*blocks, "## What was found and mended", *(found or ["Nothing is on record."])]) + "\n"
    )


def _section(record: dict[str, Any]) -> list[str]:
    blocks = [
        f"## {record['title']}",
        f"`{record['command']}` ({record['measured']})",
        table(record["columns"], record["rows"]),
    ]
    if record.get("folded"):
        rest = table(record["columns"], record["folded"])
        blocks += [f"<details><summary>{len(record['folded'])} more</summary>", rest, "</details>"]
    survivors = {module: entries for module, entries in record.get("survivors", {}).items() if entries}
    if survivors:
        count = sum(map(len, survivors.values()))
        lines = "\n".join(f"- `{module}`: {_reasons(entries)}" for module, entries in survivors.items())
        blocks += [f"<details><summary>{count} survivors, and why</summary>", lines, "</details>"]
    return blocks


def _reasons(survivors: Iterable[dict[str, str]]) -> str:
    """Write the commonest reasons, each with how many survivors it explains."""
    reasons = Counter(survivor["reason"].rstrip(".") for survivor in survivors).most_common()
    told = [f"{reason} ({count})" for reason, count in reasons[:MOST_REASONS]]
    left = sum(count for _, count in reasons[MOST_REASONS:])
    return "; ".join([*told, f"{left} more in the record"] if left else told)


def _found(record: dict[str, Any]) -> str:
    return "\n".join(f"- {sentence}" for sentence in record["found"])


def table(columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> str:
    """Write a table; a column of nothing but numbers stands to the right."""
    rows = list(rows)
    numbers = [
        bool(rows) and all(isinstance(row[place], (int, float)) for row in rows)
        for place in range(len(columns))
    ]
    lines = [
        columns,
        ["---:" if number else "---" for number in numbers],
        *([_cell(cell) for cell in row] for row in rows),
    ]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def _cell(value: Any) -> str:
    text = f"{value:,}" if isinstance(value, (int, float)) else str(value)
    return " ".join(text.split()).replace("|", "\\|")


if __name__ == "__main__":
    PAGE.write_text(page(RECORDS), "utf-8")
