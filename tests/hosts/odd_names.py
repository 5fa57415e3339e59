"""Names that mean something to a search: a planner must take them as they are. Not a test."""

from __future__ import annotations

from typing import Any

# As patterns they find each other, and the first that is found is the wrong one; others are comparisons.
NAMES = ("blue 2", "blue*", "?lue 2", ">5", "~*", "*", "<>", "=blue 2", "blue~*", "9*")


def in_other_words(filled: dict[str, Any]) -> None:
    """Call yarns, kits and warps of what is filled into a planner by such names."""
    called = dict(zip([yarn["name"] for yarn in filled["yarns"]], NAMES))
    called |= {"A": "2?", "B": "2*", "Little hill path": "*"}

    def renamed(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: renamed(cell) for key, cell in value.items()}
        if isinstance(value, (list, tuple)):
            return [renamed(cell) for cell in value]
        return called.get(value, value)

    for place in ("yarns", "plan", "batch", "kits", "shopping"):
        if place in filled:
            filled[place] = renamed(filled[place])
