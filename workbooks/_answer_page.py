"""The rows of the sheet Solved, put together from headings, lines and sentences."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

from weavefuncs.addin.offline.answer import AnswerRow

# Signs that fit across the sheet as it is printed.
ACROSS = 190

FIRST_COLUMN = 2
BAND_HEIGHT, HEAD_HEIGHT, LINE_HEIGHT = 19.0, 42.0, 15.0


class AnswerPage:
    """Rows to write below each other.

    Parameters
    ----------
    looks : mapping of str to int
        The number of each look in the workbook.
    last : int
        The last column, counted from 1.
    """

    def __init__(self, looks: Mapping[str, int], last: int) -> None:
        self.rows: list[AnswerRow] = []
        self._looks = looks
        self._last = last

    def gap(self) -> None:
        """Leave a row blank."""
        self.rows.append(AnswerRow())

    def band(self, text: str) -> None:
        """Write the heading of a section across the sheet."""
        if self.rows:
            self.gap()
        look = self._looks["band"]
        cells = {
            column: (text if column == FIRST_COLUMN else None, look)
            for column in range(FIRST_COLUMN, self._last + 1)
        }
        self.rows.append(AnswerRow(cells, BAND_HEIGHT))

    def sentence(self, text: str, look: str = "plain") -> None:
        """Write a sentence, broken into as many rows as it needs."""
        for line in textwrap.wrap(text, ACROSS) or [""]:
            self.rows.append(AnswerRow({FIRST_COLUMN: (line, self._looks[look])}, LINE_HEIGHT))

    def table(self, headings: Sequence[tuple[str, str]], lines: Sequence[Sequence[Any]]) -> None:
        """Write a table: headings with the look of the cells below each, and lines."""
        self.rows.append(
            AnswerRow(
                {
                    column: (text, self._looks["left" if look == "text" else "right"])
                    for column, (text, look) in enumerate(headings, FIRST_COLUMN)
                },
                HEAD_HEIGHT,
            )
        )
        for line in lines:
            cells = {
                column: (_cell(value), self._looks[look])
                for column, (value, (_, look)) in enumerate(zip(line, headings, strict=True), FIRST_COLUMN)
            }
            self.rows.append(AnswerRow(cells, LINE_HEIGHT))


def _cell(value: Any) -> float | str | None:
    if value is None or isinstance(value, str):
        return value or None
    number = float(value)
    return number if math.isfinite(number) else None


def many(count: int, what: str) -> str:
    """Write a count with its noun."""
    return f"{count} {what}" if count == 1 else f"{count} {what}s"
