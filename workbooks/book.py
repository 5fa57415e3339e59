"""The workbook under construction: sheets, defined names, formulas in one spelling."""

from __future__ import annotations

import datetime
import re
import zlib
from collections.abc import Iterable
from io import BytesIO
from pathlib import Path
from typing import Any

import xlsxwriter
from xlsxwriter.utility import xl_rowcol_to_cell
from xlsxwriter.worksheet import Worksheet

from weavefuncs.workbooks.look import FONT, INK, PAPER, QUIET, RULE, Look

# Counts up when inputs come, go or move, so that a planner tells which template it was made from.
VERSION = 3
VERSION_NAME = "PlannerVersion"

# Sums up the template's texts and formulas: planners of one sum differ only in what is filled in.
SUM_NAME = "PlannerTemplate"

# How each program stores a call of our functions in a file.
SPELLINGS = {"calc": "WEAVE.", "excel": "WEAVE_", "office": "_xldudf_WEAVE_"}

_TEXT = re.compile(r'("[^"]*")')
_BLANK = re.compile(r"\bISBLANK\(([A-Za-z]+)\)")
_NAME = re.compile(r"\b[A-Za-z]+\b(?!\()")
_CALL = re.compile(r"\bWEAVE\.(?=[A-Z]+\()")

# How high a row is, in points; and in pixels, where nobody says it, by the font alone.
ROW_HEIGHT = 15
BAND_HEIGHT = 19
FONT_ROW_PIXELS = 17

# A fixed date keeps two builds of the same planner identical.
BUILT = datetime.datetime(2026, 1, 1)


class Typed(str):
    """A text that was filled in: never a formula, even where it begins with =."""

    __slots__ = ()


class Formula(str):
    """A formula that was filled in: written as it is, with the names that it uses."""

    __slots__ = ()


class _Own(str):
    """A formula of the planner itself: it calls no function newer than the file format."""

    __slots__ = ()


class _Page(Worksheet):  # type: ignore[misc]
    """A sheet of the writer, spared half its work."""

    def _prepare_formula(self, formula: str, *more: Any, **named: Any) -> Any:
        # The writer looks for thirty newer functions, one after the other, to put a prefix before each.
        if isinstance(formula, _Own):
            return formula.removeprefix("=")
        return super()._prepare_formula(formula, *more, **named)


class Check:
    """One line that may appear in the Problems list.

    Attributes
    ----------
    where : str
        Sheet and row, as the user finds it.
    formula : str
        Gives the sentence, or an empty text when all is well.
    as_it_is : bool
        Whether it looks at cells as they were filled in, not checked.
    """

    def __init__(self, where: str, formula: str, as_it_is: bool = False) -> None:
        self.where = where
        self.formula = formula
        self.as_it_is = as_it_is


class Used:
    """A cell filled in, as the formulas use it: checked, so that nonsense is an error and never a number.

    Attributes
    ----------
    name : str
        Name of the cell that is filled in; what formulas use has ``Used`` behind it.
    where : str
        Sheet and row, as the user finds it.
    holds : str
        The condition that what is filled in must meet.
    needed : str
        The condition under which a blank is an error; empty where a blank never is.
    """

    def __init__(self, name: str, where: str, holds: str, needed: str) -> None:
        self.name = name
        self.where = where
        self.holds = holds
        self.needed = needed

    @property
    def formula(self) -> str:
        """The checked value: not available where what is filled in cannot be used."""
        blank = f'IF({self.needed},NA(),"")' if self.needed else '""'
        return f"=IF(ISBLANK({self.name}),{blank},IF({self.holds},{self.name},NA()))"


class Book:
    """A planner being written.

    Parameters
    ----------
    path : str
        Where the file goes.
    target : str
        The program whose spelling of our functions is written: calc, excel or office.
    checked : set of str
        Names of the cells filled in that formulas use only checked.
    """

    def __init__(self, path: str, target: str, checked: set[str]) -> None:
        # Not onto the disk piece by piece: on a full one the writer would leave open files behind.
        self._path, self._written = Path(path), BytesIO()
        # Widths of columns are counted in digits of this font: of the one that all cells have, lest a machine
        # without another one makes them wider. It is no font of the theme, which has others.
        font = {"font_name": FONT, "font_size": 10, "font_scheme": "none"}
        self.book = xlsxwriter.Workbook(
            self._written,
            {
                "in_memory": True,
                "default_format_properties": font,
                "default_row_height": FONT_ROW_PIXELS,
                "default_column_width": 64,
            },
        )
        self.book.set_properties(
            {"title": "Weaving planner", "created": BUILT, "comments": "Made with weavefuncs"}
        )
        self.book.set_calc_mode("auto")
        self.book.define_name(VERSION_NAME, f"={VERSION}")
        self.sum = 0
        self.spelling = SPELLINGS[target]
        self.look = Look(self.book)
        self.checks: list[Check] = []
        self.used: list[Used] = []
        self.checked = checked
        self.required: set[str] = set()
        self._named: set[str] = set()
        self._problem = self.look.problem()

    def sheet(self, name: str, widths: Iterable[float], tab: str) -> Sheet:
        """Add a sheet with these column widths."""
        return Sheet(self, name, list(widths), tab)

    def spelled(self, formula: str) -> str:
        """Write our function names as the target stores them."""
        return _CALL.sub(self.spelling, formula)

    def with_checked(self, formula: str) -> str:
        """Let a formula use what is filled in only checked."""
        parts = _TEXT.split(formula)
        parts[::2] = [
            _NAME.sub(self._checked_name, _BLANK.sub(self._checked_blank, part)) for part in parts[::2]
        ]
        return "".join(parts)

    def _checked_blank(self, match: re.Match[str]) -> str:
        return f'({match[1]}="")' if match[1] in self.checked else match[0]

    def _checked_name(self, match: re.Match[str]) -> str:
        return match[0] + "Used" if match[0] in self.checked else match[0]

    def name(
        self, name: str, sheet: str, first: tuple[int, int], last: tuple[int, int] | None = None
    ) -> None:
        """Give a cell or a range a name that formulas use."""
        if name in self._named:
            raise ValueError(f"two cells are named {name}")
        self._named.add(name)
        area = xl_rowcol_to_cell(*first, row_abs=True, col_abs=True)
        if last is not None:
            area += ":" + xl_rowcol_to_cell(*last, row_abs=True, col_abs=True)
        self.book.define_name(name, f"='{sheet}'!{area}")

    def bar_chart(self, title: str, axis: str, stacked: bool = False) -> Any:
        """Make a chart of lying bars, the first on top, in the house's type."""
        chart = self.book.add_chart({"type": "bar", **({"subtype": "percent_stacked"} if stacked else {})})
        letters = {"name": FONT, "size": 9, "color": INK}
        quiet = {"name": FONT, "size": 9, "color": QUIET, "bold": False}
        chart.set_title({"name": title, "name_font": {**letters, "size": 12}, "overlay": False})
        # Names of bars stand at the edge, so that a bar below 0 does not run over its own.
        chart.set_y_axis(
            {"reverse": True, "num_font": letters, "line": {"color": RULE}, "label_position": "low"}
        )
        chart.set_x_axis(
            {
                "name": axis,
                "name_font": quiet,
                "num_font": quiet,
                # The first bar is on top, and with it would be the numbers.
                "label_position": "high",
                "line": {"color": RULE},
                "major_gridlines": {"visible": True, "line": {"color": RULE, "width": 0.5}},
            }
        )
        chart.set_legend({"position": "bottom", "font": letters} if stacked else {"none": True})
        chart.set_chartarea({"border": {"color": RULE}, "fill": {"color": PAPER}})
        return chart

    def close(self) -> None:
        """Write the file."""
        # The book's own flag makes one program recalculate on load, and show errors where no add-in is.
        self.book.calc_on_load = False
        self.book.define_name(SUM_NAME, f"={self.sum}")
        self.book.close()
        self._path.write_bytes(self._written.getvalue())


class Sheet:
    """One sheet: a thin layer over the writer that knows names and spellings."""

    def __init__(self, book: Book, name: str, widths: list[float], tab: str) -> None:
        self.book = book
        self.look = book.look
        self.name = name
        self._breaks: list[int] = []
        self.page = book.book.add_worksheet(name, _Page)
        for column, width in enumerate(widths):
            self.page.set_column(column, column, width, self.look.plain())
        self.page.set_default_row(ROW_HEIGHT)
        self.page.set_tab_color(tab)
        self.page.hide_gridlines(2)
        self.page.protect("", {"format_columns": True, "format_rows": True, "autofilter": True, "sort": True})

    def write(self, row: int, column: int, value: Any, style: Any) -> None:
        """Write a constant or, where the text begins with =, a formula."""
        if isinstance(value, Formula):
            self.page.write_formula(row, column, value, style, "")
        elif isinstance(value, str) and value.startswith("=") and not isinstance(value, Typed):
            self.write_as_it_is(row, column, self.book.with_checked(value), style)
        elif value is None or value == "":
            self.page.write_blank(row, column, None, style)
        elif isinstance(value, str):
            if not isinstance(value, Typed):
                self._sum_up(row, column, value)
            self.page.write_string(row, column, value, style)
        else:
            self.page.write(row, column, value, style)

    def write_as_it_is(self, row: int, column: int, formula: str, style: Any) -> None:
        """Write a formula that looks at cells as they were filled in."""
        self._sum_up(row, column, formula)
        self.page.write_formula(row, column, _Own(self.book.spelled(formula)), style, "")

    def _sum_up(self, row: int, column: int, text: str) -> None:
        self.book.sum = zlib.crc32(f"{self.name}!{row},{column}:{text}".encode(), self.book.sum)

    def title(self, text: str, lead: str, last_column: int, lines: int = 2) -> None:
        """Write the sheet's name and one or two sentences below it."""
        self.page.set_row(0, 30)
        self.write(0, 1, text, self.look.title())
        self.page.set_row(1, 14 * lines)
        self.page.merge_range(1, 1, 1, last_column, lead, self.look.lead())

    def band(self, row: int, text: str, last_column: int) -> None:
        """Write the heading of a section across the sheet."""
        self.page.set_row(row, BAND_HEIGHT)
        for column in range(1, last_column + 1):
            self.write(row, column, text if column == 1 else "", self.look.band())

    def new_page(self, row: int) -> None:
        """Begin a printed page with this row."""
        self._breaks.append(row)
        self.page.set_h_pagebreaks(self._breaks)

    def name_cell(self, name: str, row: int, column: int) -> None:
        """Give one cell of this sheet a name."""
        self.book.name(name, self.name, (row, column))

    def mark_errors(self, first_row: int, first_column: int, last_row: int, last_column: int) -> None:
        """Tint error values, so that a problem is seen before it is read."""
        cell = xl_rowcol_to_cell(first_row, first_column)
        self.page.conditional_format(
            first_row,
            first_column,
            last_row,
            last_column,
            {"type": "formula", "criteria": f"=ISERROR({cell})", "format": self.book._problem},
        )

    def printing(
        self,
        landscape: bool,
        footer: str,
        last: tuple[int, int],
        repeat: tuple[int, int] | None = None,
        first_row: int = 0,
    ) -> None:
        """Set the page: printed down to the last cell, one page wide, as long as it needs.

        Where a first row is given, what stands above it is not printed, but the name of the sheet is.
        """
        self.page.print_area(first_row, 0, *last)
        if first_row:
            self.page.set_header(f"&L&14{self.name}")
        if landscape:
            self.page.set_landscape()
        self.page.set_paper(9)
        self.page.fit_to_pages(1, 0)
        self.page.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.6)
        self.page.set_footer(f"&L{footer}&RPage &P of &N")
        if repeat is not None:
            self.page.repeat_rows(*repeat)

    def room_beside(self, last: tuple[int, int], columns: int) -> None:
        """Print empty columns too: one page wide is smaller then, and the longest part of it fits a page."""
        self.page.print_area(0, 0, last[0], last[1] + columns)

    def pages_wide(self, scale: int, breaks: list[int], repeat: tuple[int, int] | None = None) -> None:
        """Print pages side by side: a new one before each of the breaks, some columns repeated on each.

        The scale is in per cent. Pages go across first: what is filled in stands on the first of them.
        """
        self.page.set_print_scale(scale)
        self.page.set_v_pagebreaks(breaks)
        self.page.print_across()
        if repeat is not None:
            self.page.repeat_columns(*repeat)
