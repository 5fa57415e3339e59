"""Sheet Tables: what the planner looks up and offers, each with its source."""

from __future__ import annotations

from typing import Any

from weavefuncs.shared.allowances import ALLOWANCES
from weavefuncs.shared.reeds import COMMON_REEDS_PER_10_CM, COMMON_REEDS_PER_INCH, REED_SYSTEMS
from weavefuncs.shared.sources import SOURCES
from weavefuncs.shared.weaves import WEAVES
from weavefuncs.shared.yarn_systems import YARN_SYSTEMS
from weavefuncs.workbooks.book import Book, Sheet
from weavefuncs.workbooks.look import RULE
from weavefuncs.workbooks.settings import UNIT_CHOICES

NAME = "Tables"
LAST = 5

WIDTHS = (26, 56, 16, 24, 50)
LINE_HEIGHT = 13

# A sign of the small print is narrower than one that widths are counted in.
SIGNS_A_WIDTH = 1.15


def write(book: Book) -> None:
    """Write the sheet."""
    sheet = book.sheet(NAME, [2, *WIDTHS], "#A9B7B2")
    sheet.title(NAME, "Counts, weaves, reeds and allowances. Nothing to fill in here.", LAST, lines=1)
    at = _weaves(sheet, 3)
    at = _yarns(sheet, at + 1)
    at = _units(sheet, at + 1)
    sheet.new_page(at + 1)
    at = _reeds(sheet, at + 1)
    at = _allowances(sheet, at + 1)
    at = _sources(sheet, at + 1)
    sheet.page.freeze_panes(3, 0)
    sheet.printing(True, NAME, (at, LAST))


def _table(sheet: Sheet, at: int, title: str, headings: list[str], lines: list[tuple[Any, ...]]) -> int:
    look = sheet.look
    sheet.band(at, title, LAST)
    for column, heading in enumerate(headings, start=1):
        right = any(isinstance(line[column - 1], (int, float)) for line in lines)
        sheet.write(at + 1, column, heading, look.heading("right" if right else "left"))
    for row, line in enumerate(lines, start=at + 2):
        for column, value in enumerate(line, start=1):
            number = isinstance(value, (int, float))
            form = (
                "0%"
                if number and 0 < value < 1 and "llowance" in title
                else "#,##0.0000##"
                if number
                else "General"
            )
            style = look.make(
                bottom=4,
                bottom_color=RULE,
                font_size=9,
                text_wrap=True,
                num_format=form,
                valign="top",
                **({"align": "right"} if number else {"align": "left", "indent": 1}),
            )
            sheet.write(row, column, value, style)
        lengths = [
            len(value) / width / SIGNS_A_WIDTH for value, width in zip(line, WIDTHS) if isinstance(value, str)
        ]
        sheet.page.set_row(row, LINE_HEIGHT * (1 + int(max(lengths))))
    return at + 2 + len(lines)


def _weaves(sheet: Sheet, at: int) -> int:
    lines = [(text, meaning, "", "", "PRACTICE") for text, meaning in WEAVES]
    after = _table(sheet, at, "Weaves to start from", ["Weave", "What it is", "", "", "Source"], lines)
    sheet.book.name("WeaveList", NAME, (at + 2, 1), (after - 1, 1))
    return after


def _yarns(sheet: Sheet, at: int) -> int:
    lines = [
        (name, meaning, tex, "divided by the number" if way == "indirect" else "times the number", source)
        for name, (meaning, way, tex, source) in YARN_SYSTEMS.items()
    ]
    return _table(
        sheet,
        at,
        "Yarn counts",
        ["Count", "What it counts", "tex of number 1", "tex of a yarn", "Source"],
        lines,
    )


def _reeds(sheet: Sheet, at: int) -> int:
    lines: list[tuple[Any, ...]] = [
        (name, meaning, dents / inches, "times the number", source)
        for name, (dents, inches, meaning, source) in REED_SYSTEMS.items()
    ]
    lines.append(
        ("Reeds in common use", ", ".join(map(str, COMMON_REEDS_PER_INCH)), "", "dents an inch", "PRACTICE")
    )
    lines.append(
        ("Reeds in common use", ", ".join(map(str, COMMON_REEDS_PER_10_CM)), "", "dents in 10 cm", "PRACTICE")
    )
    return _table(
        sheet, at, "Reed counts", ["System", "What it counts", "Dents an inch", "", "Source"], lines
    )


def _allowances(sheet: Sheet, at: int) -> int:
    lines = [(what, used, low, high, "PRACTICE") for what, low, high, used in ALLOWANCES]
    return _table(
        sheet, at, "Allowances to start from", ["Allowance", "Share of what", "From", "To", "Source"], lines
    )


def _units(sheet: Sheet, at: int) -> int:
    lines = [(choice, "", "", "", "") for choice in UNIT_CHOICES]
    after = _table(sheet, at, "Units to choose from", ["Units", "", "", "", ""], lines)
    sheet.book.name("UnitList", NAME, (at + 2, 1), (after - 1, 1))
    return after


def _sources(sheet: Sheet, at: int) -> int:
    look = sheet.look
    sheet.band(at, "Sources", LAST)
    for row, (key, text) in enumerate(SOURCES.items(), start=at + 1):
        sheet.page.set_row(row, LINE_HEIGHT)
        sheet.write(row, 1, key, look.make(font_size=9, bold=True, indent=1))
        sheet.write(row, 2, text, look.make(font_size=9, indent=1))
    return at + 1 + len(SOURCES)
