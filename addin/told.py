"""What is told in a terminal or a cell of texts that came out of a file."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd


def plain(text: str) -> str:
    """Take line breaks and what commands a terminal out of a text."""
    return "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in text)


def problem_lines(problems: pd.DataFrame) -> list[str]:
    """Write what is wrong with tables, a line each: sheet, row, column, why, and what became of it."""
    lines = []
    for sheet, row, column, problem, effect in problems.itertuples(index=False):
        place = ", ".join(str(part) for part in (sheet, f"row {row}" if row else "", column) if part)
        lines.append(plain(f"{place}: {problem} ({effect})"))
    return lines
