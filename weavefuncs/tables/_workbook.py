"""The sheets of a workbook as lists of rows, read only after counting what else the file holds."""

from __future__ import annotations

import io
import stat
import warnings
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any
from xml.parsers import expat
from zipfile import ZipFile

from weavefuncs.errors import WeaveError

if TYPE_CHECKING:
    Cells = list[list[Any]]
    Area = tuple[int, int, int, int]
    """First row, first column, last row and last column, counted from 1."""

# Bounds for a file that is no list but a trap.
MOST_BYTES = 256 * 2**20
MOST_UNPACKED = 256 * 2**20
MOST_CELLS = 5_000_000
MOST_ELEMENTS = 12_000_000
MOST_BESIDE = 300_000
MOST_ROWS, MOST_COLUMNS = 1_048_576, 16_384
MOST_DEEP = 100
MOST_TOLD = 200

PICTURES = "xl/media/"

# What cells and texts are made of; all else stands beside them: merged cells, links, checks, formats, names.
CELL_TAGS = frozenset(("row", "c", "v", "f", "is", "si", "t", "r", "rPr", "rPh"))


@dataclass(frozen=True)
class Page:
    """One sheet of a workbook.

    Attributes
    ----------
    name : str
        What it is called.
    cells : list of lists
        Its values, without the blank ones at the end of a row or of the sheet. A cell that is merged with
        others counts as blank where it is not the first of them.
    merged : list of tuples
        Merged cells, as far as there are values.
    """

    name: str
    cells: Cells
    merged: list[Area]


def read_file(file: Path) -> bytes:
    """Return the bytes of a file; a folder, a device and a pipe, which could have no end, are refused."""
    status = file.stat()
    if not stat.S_ISREG(status.st_mode):
        raise WeaveError("path", "a file, and no folder or device", file.name)
    if status.st_size > MOST_BYTES:
        raise WeaveError("path", f"a file of at most {MOST_BYTES:,} bytes", f"{file.name}, {status.st_size}")
    return file.read_bytes()


def bounded(rows: Iterable[Sequence[Any]], name: str) -> Cells:
    """Return rows without what is blank at their ends; refuse more cells than a list has."""
    cells: Cells = []
    widest = 0
    for number, row in enumerate(rows, start=1):
        values = list(row) if row else []
        while values and values[-1] in (None, ""):
            values.pop()
        if values:
            widest = max(widest, len(values))
            if number * widest > MOST_CELLS:
                break
            cells += [[] for _ in range(number - len(cells) - 1)]
            cells.append(values)
        if number > MOST_ROWS:
            break
    else:
        return cells
    raise WeaveError(
        "path", f"a table of at most {MOST_CELLS:,} cells", f"{name}, row {number}, {widest} wide"
    )


def read_pages(file: Path, wanted: str | None) -> Iterator[Page]:
    """Read the sheets of a workbook, one after the other, or the one that is wanted."""
    from openpyxl import load_workbook

    raw = read_file(file)
    try:
        plain, merged = _looked_through(raw)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            # Read as it comes: the cells of links and of merged cells are not made one by one.
            book = load_workbook(plain, read_only=True, data_only=True, keep_links=False)
        pages = [(page.title, page) for page in book.worksheets]
    except Exception as error:  # a damaged file lets the reader stumble in more ways than it documents
        raise _refused(file, error) from None
    if not pages:
        raise WeaveError("path", "a workbook with a sheet", file.name)
    if wanted is not None and wanted not in dict(pages):
        raise WeaveError("sheet", "one of " + ", ".join(dict(pages))[:MOST_TOLD], wanted)
    for name, page in pages:
        if wanted in (None, name):
            try:
                # What the file says of the extent of its sheet need not be so.
                page.reset_dimensions()
                cells = bounded(page.iter_rows(values_only=True), name)
                # The reader tells of no merged cells, and nowhere openly from which part it reads.
                areas = merged.get(getattr(page, "_worksheet_path"), [])  # noqa: B009
            except WeaveError:
                raise
            except Exception as error:
                raise _refused(file, error) from None
            yield _page(name, cells, areas)


def _refused(file: Path, error: Exception) -> WeaveError:
    told = " ".join(str(error).split())[:MOST_TOLD]
    return WeaveError("path", "an .xlsx workbook, whole and without a password", f"{file.name}: {told}")


def _looked_through(raw: bytes) -> tuple[IO[bytes], dict[str, list[str]]]:
    """Count what a workbook holds; return it without pictures, and the merged cells of each part."""
    merged: dict[str, list[str]] = {}
    plain = io.BytesIO()
    with ZipFile(io.BytesIO(raw)) as package, ZipFile(plain, "w") as copy:
        parts = package.infolist()
        unpacked = sum(part.file_size for part in parts)
        if unpacked > MOST_UNPACKED:
            raise ValueError(f"it unpacks to {unpacked:,} bytes, and {MOST_UNPACKED:,} is the most")
        for part in parts:
            if part.filename in merged:
                raise ValueError(f"it holds the part {part.filename} twice")
            content = b"" if part.filename.startswith(PICTURES) else package.read(part)
            merged[part.filename] = _merged(content, part.filename)
            copy.writestr(part.filename, content)
    return plain, merged


def _merged(content: bytes, name: str) -> list[str]:
    """Return the merged cells of a part, and refuse one with too much of anything."""
    found: list[str] = []
    depth = elements = beside = cells_in_row = 0
    parser = expat.ParserCreate()

    def start(tag: str, attributes: dict[str, str]) -> None:
        nonlocal depth, elements, beside, cells_in_row
        depth += 1
        elements += 1
        tag = tag.rpartition(":")[2]
        if tag == "row":
            cells_in_row = 0
        elif tag == "c":
            cells_in_row += 1
        elif tag not in CELL_TAGS:
            beside += 1
            if tag == "mergeCell":
                found.append(attributes.get("ref", ""))
        if beside > MOST_BESIDE:
            raise ValueError(f"{name} holds more than {MOST_BESIDE:,} merged cells, links, checks or formats")
        if cells_in_row > MOST_COLUMNS or elements > MOST_ELEMENTS or depth > MOST_DEEP:
            raise ValueError(f"{name} holds more than a sheet has room for")

    def end(_: str) -> None:
        nonlocal depth
        depth -= 1

    def refuse(*_: object) -> None:
        raise ValueError(f"{name} declares a document type, which no workbook needs")

    parser.StartElementHandler, parser.EndElementHandler = start, end
    parser.StartDoctypeDeclHandler = refuse
    # Where it is damaged the reader stops too, and what it does not read may be damaged.
    with suppress(expat.ExpatError, LookupError):
        parser.Parse(content, True)
    return found


def _page(name: str, cells: Cells, written: list[str]) -> Page:
    """Return a sheet in which only the first of merged cells holds a value."""
    width = max(map(len, cells), default=0)
    areas = [area for area in map(_area, written) if area is not None]
    cut = [(top, left, min(bottom, len(cells)), min(right, width)) for top, left, bottom, right in areas]
    merged = [area for area in cut if area[0] <= area[2] and area[1] <= area[3]]
    if sum((bottom - top + 1) * (right - left + 1) for top, left, bottom, right in merged) > MOST_CELLS:
        raise WeaveError("path", "a sheet whose merged cells do not lie upon one another", name)
    for top, left, bottom, right in merged:
        for row in range(top, bottom + 1):
            kept = left + (row == top)
            line = cells[row - 1]
            line[kept - 1 : right] = [None] * len(line[kept - 1 : right])
    return Page(name, cells, merged)


def _area(written: str) -> Area | None:
    from openpyxl.utils.cell import range_boundaries

    try:
        left, top, right, bottom = range_boundaries(written)
    except ValueError:
        return None
    return top or 1, left or 1, bottom or MOST_ROWS, right or MOST_COLUMNS
