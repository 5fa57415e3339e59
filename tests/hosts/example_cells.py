"""Examples of docstrings as they stand in cells. Not a test."""

from __future__ import annotations

from typing import Any


def in_sheet(value: Any) -> Any:
    """Write an argument of an example as it stands in cells: lists go down, grids upward."""
    if not isinstance(value, (list, tuple)):
        return value
    if value and isinstance(value[0], (list, tuple)):
        return list(reversed(value))
    return [[item] for item in value]


def in_cells(kind: str, result: Any) -> Any:
    """Write what the library gives as it stands in cells."""
    if not isinstance(result, list):
        return [[result]]
    if not result:
        return [["none"]]
    if kind == "grid":
        return list(reversed(result))
    if kind == "table":
        return [["" if cell is None else cell for cell in row] for row in result]
    return [result] if kind.startswith("row of ") else [[item] for item in result]
