"""Write an answer into a sheet kept for it: its rows from one row on are replaced, every other byte stays."""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from .grid import area_bounds, cell_name, column_letters
from .markup import escaped, local, parse, parser_for, refuse_depth
from .problems import WorkbookProblem
from .splice import number_text
from .workbook import Sheet

# No tag holds another's beginning; a comment may, and then each of them is left at the next.
_DIMENSION = re.compile(rb'(<(?:\w+:)?dimension\s[^<>]*?ref=")[^"]*"')


@dataclass(frozen=True)
class AnswerRow:
    """One row of an answer: values by column, each with the number of a cell style; the height in points."""

    cells: Mapping[int, tuple[float | str | None, int]] = field(default_factory=dict)
    height: float | None = None


def answered(sheet: Sheet, first: int, rows: Sequence[AnswerRow]) -> bytes:
    """Return a sheet part with these rows in place of all that it has from row ``first`` on.

    Raises
    ------
    WorkbookProblem
        When a formula stands there, or cells there are merged: neither may get lost.
    """
    formula = next((cell for cell in sheet.cells.formulas if cell.row >= first), None)
    if formula is not None:
        cell = cell_name(formula.row, formula.column)
        raise WorkbookProblem(
            f"{sheet.name}!{cell} holds a formula, and the sheet is written "
            "anew there: move the formula to another sheet, and try again."
        )
    found = _find(sheet, first)
    written = b"".join(_row(found.prefix, first + number, row) for number, row in enumerate(rows))
    head, tail = sheet.content[: found.start], sheet.content[found.end :]
    if found.empty:
        tag = sheet.content[found.start : found.end]
        name = re.match(rb"<([^\s/>]+)", tag)
        assert name is not None  # expat has read it
        written = tag.rstrip(b"/> \t\r\n") + b">" + written + b"</" + name[1] + b">"
    content = head + written + tail
    last = max((column for row in rows for column in row.cells), default=1)
    reach = f"A1:{column_letters(max(last, found.last_column))}{max(first + len(rows) - 1, 1)}"
    return _DIMENSION.sub(rb'\g<1>%b"' % reach.encode(), content, count=1)


def styles_of(sheet: Sheet, row: int) -> dict[str, int]:
    """Return the style of each cell of a row that holds a text, by that text."""
    texts = {at: value for at, value in sheet.cells.values.items() if at[0] == row and isinstance(value, str)}
    return {text: _style(sheet, cell_name(*at)) for at, text in texts.items()}


@dataclass
class _Found:
    """Where the rows to replace begin and end, as bytes."""

    start: int = -1
    end: int = -1
    prefix: str = ""
    empty: bool = False
    last_column: int = 1


def _find(sheet: Sheet, first: int) -> _Found:
    found = _Found()
    label = f"The sheet {sheet.name}"
    parser = parser_for(label)
    depth = row = 0

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal depth, row
        depth += 1
        refuse_depth(depth, label)
        if depth == 1:
            found.prefix = name[: -len(local(name))]
        elif depth == 2 and local(name) == "sheetData":
            at = parser.CurrentByteIndex
            end_of_tag = sheet.content.index(b">", at) + 1
            if sheet.content[end_of_tag - 2 : end_of_tag] == b"/>":
                found.empty, found.start, found.end = True, at, end_of_tag
        elif depth == 3 and local(name) == "row":
            row = int(attributes.get("r", row + 1))
            if row >= first and found.start < 0:
                found.start = parser.CurrentByteIndex
        elif local(name) == "mergeCell":
            bounds = area_bounds(attributes.get("ref", ""))
            if bounds and bounds[2] >= first:
                raise WorkbookProblem(
                    f"{sheet.name}!{attributes['ref']} is merged, and the sheet is written anew there: "
                    "part these cells, and try again."
                )

    def end(name: str) -> None:
        nonlocal depth
        if depth == 2 and local(name) == "sheetData" and not found.empty:
            found.end = parser.CurrentByteIndex
            if found.start < 0:
                found.start = found.end
        depth -= 1

    parser.StartElementHandler = start
    parser.EndElementHandler = end
    parse(parser, sheet.content, label)
    if found.end < 0:
        raise WorkbookProblem(f"{label} has no place for cells.")
    found.last_column = max((column for at, column in sheet.cells.values if at < first), default=1)
    return found


def _row(prefix: str, number: int, row: AnswerRow) -> bytes:
    if not row.cells and row.height is None:
        return b""
    height = "" if row.height is None else f' ht="{row.height:g}" customHeight="1"'
    cells = "".join(
        _cell(prefix, cell_name(number, column), *row.cells[column]) for column in sorted(row.cells)
    )
    return f'<{prefix}row r="{number}"{height}>{cells}</{prefix}row>'.encode()


def _cell(prefix: str, name: str, value: float | str | None, style: int) -> str:
    start = f'<{prefix}c r="{name}" s="{style}"'
    if value is None:
        return f"{start}/>"
    if isinstance(value, str):
        text = f'<{prefix}is><{prefix}t xml:space="preserve">{escaped(value)}</{prefix}t></{prefix}is>'
        return f'{start} t="inlineStr">{text}</{prefix}c>'
    if not math.isfinite(value):
        raise ValueError(f"{value!r} is no value of a cell")
    return f"{start}><{prefix}v>{number_text(float(value))}</{prefix}v></{prefix}c>"


def _style(sheet: Sheet, cell: str) -> int:
    tag = re.search(rb'<(?:\w+:)?c\s(?=[^<>]*\br="%b")[^<>]*>' % cell.encode(), sheet.content)
    style = tag and re.search(rb'\ss="(\d+)"', tag[0])
    return int(style[1]) if style else 0
