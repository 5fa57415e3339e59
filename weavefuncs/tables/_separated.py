"""Tables written as plain text: what parts the cells, which of them are numbers, and their decimal sign."""

from __future__ import annotations

import codecs
import csv
import io
from typing import TYPE_CHECKING, Any

from weavefuncs.errors import WeaveError
from weavefuncs.tables._workbook import bounded
from weavefuncs.tables._written_numbers import decimal_sign, number_in

if TYPE_CHECKING:
    from collections.abc import Iterable

    from weavefuncs.tables._workbook import Cells

DELIMITERS = (";", "\t", ",")

# Text that begins so could be taken for a formula; a leading apostrophe makes it text again.
FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def decoded(raw: bytes) -> str:
    """Return the text of a file, in whatever letters a spreadsheet writes one."""
    if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return raw.decode("utf-16", errors="replace")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        # What spreadsheets on Windows write where they are not asked for Unicode.
        return raw.decode("cp1252", errors="replace")


def likely_delimiters(text: str) -> list[str]:
    """Return what may part the cells, first what the first line has most of."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    return sorted(DELIMITERS, key=first.count, reverse=True)


def parted(text: str, delimiter: str, name: str) -> Cells:
    """Return the cells of a table, all of them texts."""
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        return bounded(([cell.strip() for cell in row] for row in rows), name)
    except csv.Error as error:
        raise WeaveError("path", "a table in CSV", f"{name}: {error}") from None


def with_numbers(cells: Cells, numbers: Iterable[str], delimiter: str) -> Cells:
    """Return a table with numbers for the cells that read as such; those of ``numbers`` show how.

    Where semicolons part the cells the comma is the decimal sign, unless a number shows that the point is;
    where tabs do, it is if a number shows that. Where commas do, the comma is too, but not if another number
    shows the point: such a cell may not have been meant as one, and shows that a point may part thousands.
    """
    signs = {decimal_sign(cell) for cell in numbers}
    comma = "," in signs or (delimiter == ";" and "." not in signs)
    reads_comma = comma and (delimiter != "," or "." not in signs)
    return [[_typed(cell, reads_comma, comma) for cell in row] for row in cells]


def _typed(cell: str, reads_comma: bool, parts_by_point: bool) -> Any:
    """Return a number where the cell is one; a text without the apostrophe that guards it elsewhere."""
    number = number_in(cell, reads_comma, parts_by_point)
    if number is not None:
        return number
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(FORMULA_SIGNS) else cell
