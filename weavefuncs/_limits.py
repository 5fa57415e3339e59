"""The largest piece: more threads than any loom weaves are a slip of the hand."""

from __future__ import annotations

MOST_ENDS = 1_000_000
MOST_PICKS = 10_000_000
