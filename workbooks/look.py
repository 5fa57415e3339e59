"""How the planner looks: one palette, a handful of cell styles."""

from __future__ import annotations

from typing import Any

import xlsxwriter

INK = "#26302F"
QUIET = "#6B7672"
PAPER = "#FFFFFF"
INPUT = "#FFF4D6"
RESULT = "#EEF3F1"
BAND = "#2F4B4F"
RULE = "#C9D2CE"
PROBLEM = "#F9DDD5"
PROBLEM_INK = "#8C2A14"
WARP = "#2F4B4F"
WEFT = "#E3B557"

FONT = "Arial"

# Blanks behind a number keep it off the edge of its cell: Calc forgets an indent on the right from the second
# of two cells on that differ in nothing but their number format or their colour.
_OFF_THE_EDGE = '"   "'

NUMBER_FORMATS = {
    **{
        kind: digits + _OFF_THE_EDGE
        for kind, digits in (
            ("number", "#,##0.0##"),
            ("one", "#,##0.0"),
            ("two", "#,##0.00"),
            ("money", "#,##0.00"),
            ("four", "#,##0.0000"),
            ("whole", "#,##0"),
            ("fraction", "0.0%"),
        )
    },
    "text": "@",
    "general": "General",
}


class Look:
    """Cell formats of one workbook, made when first asked for."""

    def __init__(self, book: xlsxwriter.Workbook) -> None:
        self._book = book
        self._made: dict[tuple[tuple[str, Any], ...], Any] = {}

    def make(self, **properties: Any) -> Any:
        """Return a format with the house font and these properties."""
        settled = {"font_name": FONT, "font_size": 10, "font_color": INK, "valign": "vcenter", **properties}
        key = tuple(sorted(settled.items()))
        if key not in self._made:
            self._made[key] = self._book.add_format(settled)
        return self._made[key]

    def title(self) -> Any:
        """The name of a sheet at its top."""
        return self.make(font_size=18, bold=True, font_color=BAND)

    def lead(self) -> Any:
        """The sentence below a title."""
        return self.make(font_color=QUIET, text_wrap=True, valign="top")

    def band(self) -> Any:
        """The heading of a section."""
        return self.make(bold=True, font_color=PAPER, bg_color=BAND, indent=1)

    def heading(self, align: str = "left") -> Any:
        """The heading of a column."""
        return self.make(
            bold=True,
            bottom=1,
            bottom_color=BAND,
            text_wrap=True,
            valign="bottom",
            align=align,
            font_size=9,
            indent=1 if align in ("left", "right") else 0,
        )

    def label(self) -> Any:
        """What a row holds."""
        return self.make(indent=1, bottom=4, bottom_color=RULE)

    def note(self) -> Any:
        """A remark beside a row."""
        return self.make(font_color=QUIET, font_size=9, bottom=4, bottom_color=RULE, indent=1)

    def plain(self, **more: Any) -> Any:
        """A quiet cell."""
        return self.make(**more)

    def given(self, kind: str = "text", **more: Any) -> Any:
        """A cell that the user fills in; it alone is not locked."""
        return self.make(
            bg_color=INPUT,
            border=1,
            border_color=RULE,
            locked=False,
            num_format=NUMBER_FORMATS[kind],
            **_aligned(kind),
            **more,
        )

    def result(self, kind: str = "number", **more: Any) -> Any:
        """A cell that is worked out."""
        return self.make(
            bg_color=RESULT,
            border=1,
            border_color=RULE,
            num_format=NUMBER_FORMATS[kind] if kind != "text" else "General",
            **_aligned(kind),
            **more,
        )

    def out_of_sight(self) -> Any:
        """A cell that other cells need and nobody reads."""
        return self.make(num_format=";;;")

    def beside_the_point(self) -> Any:
        """Added by a condition to the label of a row that does not apply."""
        return self._book.add_format({"font_color": "#7F8A86", "italic": True})

    def problem(self) -> Any:
        """Added by a condition to a cell that is in error."""
        return self._book.add_format({"bg_color": PROBLEM, "font_color": PROBLEM_INK})


def _aligned(kind: str) -> dict[str, Any]:
    """Set texts on the left and numbers on the right, both off the edge of the cell."""
    return {"align": "left", "indent": 1} if kind in ("text", "general") else {"align": "right"}
