"""Rows of a record that two scripts share, or that one script makes bit by bit. Not a test."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any


def keep(record: Path, rows: Iterable[list[Any]], head: Mapping[str, str]) -> None:
    """Write rows into a record, in place of those of the same first two cells; all others stay."""
    held = json.loads(record.read_text("utf-8"))
    merged = {(row[0], row[1]): row for row in [*held["rows"], *rows]}
    held.update(head)
    # What was done to files comes first, then what was done to commands at work.
    held["rows"] = sorted(merged.values(), key=lambda row: not row[0].startswith("files: "))
    record.write_text(json.dumps(held, indent=1, ensure_ascii=False) + "\n", "utf-8")
