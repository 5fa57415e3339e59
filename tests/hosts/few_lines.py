"""Planners with few lines, for tests that build many: a line shows the same however many there are."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from unittest.mock import patch

from weavefuncs.workbooks import batch, cloth_drawing, kits, records, shopping, weaving_order

FEW = (
    (cloth_drawing, "ROWS_SHOWN", 2),
    (weaving_order, "LINES", 2),
    (batch.TABLE, "count", 12),
    (kits.KIT_TABLE, "count", 3),
    (kits.RECIPE_TABLE, "count", 8),
    (shopping.YARN_TABLE, "count", 31),
    (shopping.NEED_TABLE, "count", 12),
    (records.TABLE, "count", 6),
)


@contextmanager
def few_lines() -> Iterator[None]:
    """Let what is built within have few lines in its long tables."""
    patches = [patch.object(*few) for few in FEW]
    for one in patches:
        one.start()
    try:
        yield
    finally:
        for one in patches:
            one.stop()
