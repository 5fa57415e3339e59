"""Sheet Solved: empty until ``weavefuncs solve`` fills it, and the only sheet that it writes into."""

from __future__ import annotations

from typing import Any

from weavefuncs.workbooks.book import Book
from weavefuncs.workbooks.look import QUIET

NAME = "Solved"

# Row of the first answer, and the row and column of the looks, all counted from 1.
FIRST = 5
LOOKS_ROW = 1
LOOKS_COLUMN = 14

WIDTHS = [2, 26, 26, 13, 13, 13, 13, 13, 13, 13, 13]
LAST = len(WIDTHS) - 1


# Looks that an answer may give to its cells: name, the look it is made from, and what that takes.
LOOKS: dict[str, tuple[str, tuple[str, ...], dict[str, Any]]] = {
    "band": ("band", (), {}),
    "left": ("heading", ("left",), {}),
    "right": ("heading", ("right",), {}),
    **{kind: ("result", (kind,), {}) for kind in ("text", "whole", "one", "two", "fraction")},
    "plain": ("make", (), {"indent": 1}),
    "strong": ("make", (), {"indent": 1, "bold": True}),
    "quiet": ("make", (), {"indent": 1, "font_color": QUIET, "font_size": 9}),
}


def write(book: Book) -> None:
    """Write the sheet."""
    sheet = book.sheet(NAME, WIDTHS, "#26302F")
    sheet.title(
        NAME,
        "Which lines of Batch to wind as one warp, and which yarn goes to which project on Shopping: no "
        "formula can work these out. Save and close the workbook, then run the command  weavefuncs solve FILE"
        "  with the name of the workbook for FILE. It writes this sheet anew from row 5 on, nothing else.",
        LAST,
    )
    sheet.write(FIRST - 1, 1, "Not solved yet.", sheet.look.make(indent=1))
    # A name in each of these hidden cells keeps its look in the file, for the command to find.
    for column, (name, (make, arguments, properties)) in enumerate(LOOKS.items(), start=LOOKS_COLUMN - 1):
        style = getattr(sheet.look, make)(*arguments, **properties)
        sheet.write(LOOKS_ROW - 1, column, name, style)
        sheet.page.set_column(column, column, None, None, {"hidden": True})
    sheet.page.freeze_panes(FIRST - 1, 0)
    sheet.page.set_landscape()
    sheet.page.set_paper(9)
    sheet.page.fit_to_pages(1, 0)
    sheet.page.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.6)
    sheet.page.set_footer(f"&L{NAME}&RPage &P of &N")
