"""Tables in and out: a stash from CSV or a workbook, results to CSV that a spreadsheet opens safely."""

from __future__ import annotations

import csv
import io
import os
import re
import secrets
import warnings
from dataclasses import dataclass, fields
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zipfile import ZipFile

import numpy as np
import pandas as pd

import weavefuncs as wf
from weavefuncs.errors import WeaveError
from weavefuncs.shared.stash_headings import HEADINGS_WITH_UNITS, STASH_HEADINGS
from weavefuncs.tables._cells import LEFT_OUT, NOT_READ, NOT_USED, TOLD, Problems, Sheet, as_text, retold
from weavefuncs.tables._settings import argument, is_blank

if TYPE_CHECKING:
    from weavefuncs.tables._cells import Floats

    Cells = list[list[Any]]

# Columns of numbers: whose bounds they keep, and the unit of a heading without one.
NUMBERS = {
    "weighed": (("length_left", "weighed"), "g"),
    "tare": (("length_left", "tare"), "g"),
    "put_up": (("yarn_length", "mass"), "g"),
    "put_up_length": (("stash_value", "put_up_length"), "m"),
    "put_up_price": (("stash_value", "put_up_price"), ""),
    "reserved": (("short_by", "have"), "m"),
    "left": (("short_by", "have"), "m"),
    "free": (("short_by", "have"), "m"),
}
AMOUNTS = frozenset(("free", "left", "weighed"))
UNIT_KIND = {"g": "mass_unit", "m": "length_unit"}
TEXTS = ("name", "yarn", "fibre", "colour", "lot")

# A heading is looked for in this many rows: titles and notes may stand above it.
ROWS_ABOVE = 30

# Bounds for a workbook that is no list but a trap; the second counts the blank cells within too.
MOST_UNPACKED = 512 * 2**20
MOST_CELLS = 5_000_000
MOST_TOLD = 200

# Text that begins so could be taken for a formula; a leading apostrophe makes it text again.
FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


@dataclass(frozen=True)
class StashRead:
    """A stash as it was read.

    Attributes
    ----------
    yarns : DataFrame
        One row a yarn, as the other tables take it: ``row`` (in the file), ``name``, ``yarn``, ``fibre``,
        ``colour``, ``lot``, ``length`` (free, in metres), ``put_up_length`` (metres), ``put_up_price``; and
        as they were given, else nan, ``weighed`` and ``tare`` (grams) and ``reserved`` (metres).
    problems : DataFrame
        One row a cell that is wrong: sheet, row, column, problem, and its effect.
    """

    yarns: pd.DataFrame
    problems: pd.DataFrame


def read_stash(path: str | os.PathLike[str], sheet: str | None = None) -> StashRead:
    """Read a stash from a CSV file or an .xlsx workbook with named columns.

    Parameters
    ----------
    path : path
        File to read; it is not changed.
    sheet : str, optional
        Sheet of the workbook. Left out, the first sheet whose headings are those of a stash.

    Returns
    -------
    StashRead
        Yarns and problems.

    Raises
    ------
    WeaveError
        When the file is neither, has no such sheet, or no row of headings with a name and an amount.

    Notes
    -----
    ``weavefuncs.shared.stash_headings`` lists the headings known. A unit in brackets counts, ``weighed
    (oz)``; without one, weights are grams and lengths metres. The length is what is ``free``; where that
    is not given, what is ``left`` or follows from the weight, less what is ``reserved``. A merged cell
    counts for its first cell; the others are blank, and told. Other columns are told once and not read.
    """
    file = Path(path)
    problems = Problems()
    ending = file.suffix.casefold()
    if ending in (".xlsx", ".xlsm"):
        label, cells, merged = _from_workbook(file, sheet)
    elif ending in (".csv", ".tsv", ".txt"):
        if sheet is not None:
            raise WeaveError("sheet", "left out for a CSV file, which has no sheets", sheet)
        label, cells, merged = file.name, _from_csv(file), {}
    else:
        raise WeaveError("path", "a file that ends in .csv or .xlsx", file.name)
    head = _heading_row(cells)
    if head is None:
        raise WeaveError(
            "path",
            "a table with a row of headings, among them one for the name of the yarn (such as name) and one "
            "for how much there is (such as weight, length left or free). Others that are read: "
            + ", ".join(
                names[0] for column, names in STASH_HEADINGS.items() if column not in {"name", *AMOUNTS}
            ),
            label,
        )
    return _read(label, cells, head, merged, problems)


def _from_workbook(file: Path, wanted: str | None) -> tuple[str, Cells, dict[tuple[int, int], str]]:
    """Return the sheet, its values, and where merged cells hide a cell: the range that does."""
    from openpyxl import load_workbook

    raw = file.read_bytes()
    try:
        with ZipFile(io.BytesIO(raw)) as package:
            unpacked = sum(info.file_size for info in package.infolist())
        if unpacked > MOST_UNPACKED:
            raise ValueError(f"it unpacks to {unpacked} bytes, and {MOST_UNPACKED} is the most")
        with warnings.catch_warnings():
            # What the reader drops, it drops from its own copy: charts, validations.
            warnings.simplefilter("ignore")
            book = load_workbook(io.BytesIO(raw), data_only=True)
    except Exception as error:  # a damaged file lets the reader stumble in more ways than it documents
        told = " ".join(str(error).split())[:MOST_TOLD]
        raise WeaveError("path", "an .xlsx workbook", f"{file.name}: {told}") from None
    try:
        names = [page.title for page in book.worksheets]
        if not names:
            raise WeaveError("path", "a workbook with a sheet", file.name)
        if wanted is not None and wanted not in names:
            raise WeaveError("sheet", "one of " + ", ".join(names), wanted)
        names = names if wanted is None else [wanted]
        read: list[tuple[str, Cells]] = []
        for name in names:
            if book[name].max_row * book[name].max_column > MOST_CELLS:
                reach = book[name].calculate_dimension()
                raise WeaveError("path", f"a sheet of at most {MOST_CELLS} cells", f"{name}, {reach}")
            cells = [list(row) for row in book[name].iter_rows(values_only=True)]
            read.append((name, cells))
            if _heading_row(cells) is not None:
                break
        label, cells = read[-1]
        merged = {
            (row - 1, column - 1): str(area)
            for area in book[label].merged_cells.ranges
            for row in range(area.min_row, area.max_row + 1)
            for column in range(area.min_col, area.max_col + 1)
            if (row, column) != (area.min_row, area.min_col)
        }
    finally:
        book.close()
    return label, cells, merged


def _from_csv(file: Path) -> Cells:
    """Return the cells of a CSV file: numbers where they read as such, texts elsewhere."""
    raw = file.read_bytes()
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        # What spreadsheets on Windows write where they are not asked for Unicode.
        text = raw.decode("cp1252", errors="replace")
    first = next((line for line in text.splitlines() if line.strip()), "")
    delimiter = max(";\t,", key=first.count)
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    except csv.Error as error:
        raise WeaveError("path", "a table in CSV", f"{file.name}: {error}") from None
    comma = delimiter == ";"
    return [[_typed(cell, comma) for cell in row] for row in rows]


def _typed(cell: str, decimal_comma: bool) -> Any:
    """Return a number where the cell is one; a text without the apostrophe that guards it elsewhere."""
    plain = cell.strip()
    if re.fullmatch(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?", plain, re.ASCII):
        return float(plain)
    # Where semicolons part the cells, the comma is the decimal sign.
    if decimal_comma and re.fullmatch(r"[+-]?\d+,\d*", plain, re.ASCII):
        return float(plain.replace(",", "."))
    return plain[1:] if plain.startswith("'") and plain[1:].startswith(FORMULA_SIGNS) else plain


def _known(row: list[Any]) -> list[tuple[str, str] | None]:
    """Return the column that each heading of a row means, and its unit, empty where it has none."""
    found = [_known_alone(heading) for heading in row]
    columns = [known[0] if known else "" for known in found]
    # Where the count has a column of its own, one headed yarn holds the names.
    if "name" not in columns and columns.count("yarn") > 1:
        for place, heading in enumerate(row):
            if columns[place] == "yarn" and _plain(as_text(heading)) == "yarn":
                found[place] = ("name", "")
                break
    return found


def _known_alone(heading: object) -> tuple[str, str] | None:
    if is_blank(heading):
        return None
    text, unit = _parted(as_text(heading))
    plain = _plain(text)
    for column, others in STASH_HEADINGS.items():
        for heading_known in (column, *others):
            if _plain(heading_known) == plain:
                return column, unit or HEADINGS_WITH_UNITS.get(heading_known, "")
    return None


def _parted(heading: str) -> tuple[str, str]:
    """Part a heading from the unit that stands in brackets behind it."""
    if not heading.endswith((")", "]")):
        return heading, ""
    inside = heading[:-1]
    closed = max(inside.rfind(")"), inside.rfind("]")) + 1
    opened = [place for place in (inside.find("(", closed), inside.find("[", closed)) if place >= 0]
    if not opened:
        return heading, ""
    return heading[: min(opened)].rstrip(), inside[min(opened) + 1 :].strip()


def _plain(heading: str) -> str:
    return re.sub(r"[\s_.:\-]+", "", heading).casefold()


def _heading_row(cells: Cells) -> int | None:
    """Return the first row that names a yarn and an amount of it."""
    for number, row in enumerate(cells[:ROWS_ABOVE]):
        found = {known[0] for known in _known(row) if known}
        if "name" in found and found & AMOUNTS:
            return number
    return None


def _read(
    label: str, cells: Cells, head: int, merged: dict[tuple[int, int], str], problems: Problems
) -> StashRead:
    columns: dict[str, int] = {}
    units: dict[str, str] = {}
    for place, (heading, known) in enumerate(zip(cells[head], _known(cells[head]))):
        if known is None:
            if not is_blank(heading):
                problems.add(label, head + 1, as_text(heading), "the heading is not one of a stash", NOT_READ)
        elif known[0] in columns:
            text = f"a second column of {known[0]}; the first is read"
            problems.add(label, head + 1, as_text(heading), text, NOT_READ)
        else:
            columns[known[0]] = place
            units[known[0]] = known[1]
    body = cells[head + 1 :]
    table = pd.DataFrame(
        {
            name: pd.Series([row[place] if place < len(row) else None for row in body], dtype=object)
            for name, place in columns.items()
        }
    )
    table["row"] = np.arange(head + 2, head + 2 + len(body))
    sheet = Sheet(table, label, problems, tuple(columns))
    sheet.headings = {name: as_text(cells[head][place]) for name, place in columns.items()}
    _tell_merged(sheet, columns, head, merged)
    numbers = {name: _numbers(sheet, name, units.get(name, ""), head, problems) for name in NUMBERS}
    texts = {name: _texts(sheet, name) for name in TEXTS}
    for line in np.flatnonzero(sheet.filled):
        if not texts["name"][line]:
            sheet.tell(int(line), "name", "name must be given (a name of your own for the yarn)", LEFT_OUT)
    _tell_twice(sheet, texts["name"])
    length = _lengths(sheet, texts["yarn"], numbers)
    put_up = _put_up_lengths(sheet, texts["yarn"], numbers)
    good = sheet.good
    yarns = pd.DataFrame(
        {
            "row": table["row"].to_numpy()[good],
            **{name: np.array(column, dtype=object)[good] for name, column in texts.items()},
            "length": length[good],
            "put_up_length": put_up[good],
            **{name: numbers[name][good] for name in ("put_up_price", "weighed", "tare", "reserved")},
        }
    )
    return StashRead(yarns, problems.frame())


def _tell_merged(
    sheet: Sheet, columns: dict[str, int], head: int, merged: dict[tuple[int, int], str]
) -> None:
    known = {place: name for name, place in columns.items()}
    for (row, place), area in merged.items():
        if row > head and place in known:
            text = f"merged with other cells ({area}): it counts as blank; take the cells apart"
            sheet.problems.add(sheet.label, row + 1, sheet.headings[known[place]], text, TOLD)


def _numbers(sheet: Sheet, name: str, unit: str, head: int, problems: Problems) -> Floats:
    """Read a column of numbers in metres, grams or money; nan where blank or in error."""
    if not sheet.has(name):
        return np.full(len(sheet.table), np.nan)
    (function, of), basic = NUMBERS[name]
    # Without its price or the size of a full put-up a yarn is still so much yarn.
    effect = NOT_USED if name.startswith("put_up") else LEFT_OUT
    values = sheet.numbers(name, argument(function, of), np.nan, effect)
    if not basic or not unit:
        return values
    parameter = argument("yarn_mass", UNIT_KIND[basic])
    try:
        factor = parameter.convert(unit)
    except WeaveError as error:
        problems.add(
            sheet.label, head + 1, sheet.headings[name], retold(error, f"the unit of {name}"), NOT_READ
        )
        return np.full(len(values), np.nan)
    return values * float(factor)


def _texts(sheet: Sheet, name: str) -> list[str]:
    return [as_text(value) for value in sheet.table[name]] if sheet.has(name) else [""] * len(sheet.table)


def _tell_twice(sheet: Sheet, names: list[str]) -> None:
    """Tell the names that stand twice; both lines are kept, for each may be a lot of its own."""
    first: dict[str, int] = {}
    for place in np.flatnonzero(sheet.good):
        name = names[place].casefold()
        if first.setdefault(name, int(place)) != place:
            text = (
                f"{names[place]} stands in row {sheet.row(first[name])} too: give each lot a name of its own"
            )
            sheet.tell(int(place), "name", text, TOLD)


def _lengths(sheet: Sheet, counts: list[str], numbers: dict[str, Floats]) -> Floats:
    """Return the free length of each yarn: as given, or from what was weighed."""
    length: Floats = numbers["free"].copy()
    for place in np.flatnonzero(sheet.good):
        line = int(place)
        if not np.isnan(length[line]):
            continue
        left = _left(
            sheet, line, counts[line], {name: float(column[line]) for name, column in numbers.items()}
        )
        if left is None:
            continue
        reserved = numbers["reserved"][line]
        length[line] = left - (0.0 if np.isnan(reserved) else reserved)
        if length[line] < 0:
            text = f"{reserved:.6g} m are promised, and {left:.6g} m are left"
            sheet.tell(line, "reserved", text, LEFT_OUT)
    return length


def _left(sheet: Sheet, line: int, count: str, at: dict[str, float]) -> float | None:
    """Return the length of yarn left, as given or from its weight; None where it cannot be told."""
    if not np.isnan(at["left"]):
        return at["left"]
    if np.isnan(at["weighed"]):
        sheet.tell(line, "weighed", "neither a length nor a weight is given", LEFT_OUT)
    elif not count:
        sheet.tell(
            line, "yarn", "the length follows from the weight and the count, and the count is blank", LEFT_OUT
        )
    else:
        try:
            return float(wf.length_left(at["weighed"], 0.0 if np.isnan(at["tare"]) else at["tare"], count))
        except WeaveError as error:
            sheet.tell(line, error.argument, retold(error, error.argument), LEFT_OUT)
    return None


def _put_up_lengths(sheet: Sheet, counts: list[str], numbers: dict[str, Floats]) -> Floats:
    """Return the length of a full put-up of each yarn: as given, or from its weight."""
    length: Floats = numbers["put_up_length"].copy()
    for place in np.flatnonzero(sheet.good & np.isnan(length) & (numbers["put_up"] > 0)):
        line = int(place)
        if not counts[line]:
            sheet.tell(line, "yarn", "the length of a put-up follows from its count, and that is blank", TOLD)
            continue
        try:
            length[line] = wf.yarn_length(float(numbers["put_up"][line]), counts[line])
        except WeaveError as error:
            sheet.tell(line, error.argument, retold(error, error.argument), LEFT_OUT)
    return length


def write_csv(table: pd.DataFrame, path: str | os.PathLike[str]) -> None:
    """Write a result table to a CSV file that a spreadsheet opens safely.

    Parameters
    ----------
    table : DataFrame
        Table to write; its index is left out.
    path : path
        File to write. It is replaced whole, or stays as it was where writing fails.

    Raises
    ------
    OSError
        When the file cannot be written.

    Notes
    -----
    A text, or a heading, that begins with =, +, -, @, a tab or a line break gets an apostrophe before it,
    so that no spreadsheet takes it for a formula; ``read_stash`` takes it off again. Numbers stay numbers,
    a minus included, at full precision. Blank stays blank. UTF-8 with a byte-order mark, by which
    spreadsheets know it. A text such as 3-4 is shown as a date by programs that guess: no CSV file can
    keep them from it.
    """
    safe = pd.DataFrame(
        {place: _guarded(table.iloc[:, place]) for place in range(table.shape[1])}, index=table.index
    )
    safe.columns = pd.Index([_guard(str(name)) for name in table.columns], dtype=object)
    target = Path(path)
    # A name that nobody else can have put there, nor have open.
    scratch = target.with_name(f".{secrets.token_hex(8)}.part")
    try:
        with scratch.open("x", encoding="utf-8-sig", newline="") as file:
            safe.to_csv(file, index=False, lineterminator="\r\n")
        os.replace(scratch, target)
    finally:
        scratch.unlink(missing_ok=True)


def write_tables(result: Any, folder: str | os.PathLike[str]) -> list[Path]:
    """Write every table of a result to a CSV file of its own, named after the table.

    Parameters
    ----------
    result : BatchCost, KitPrices, ShoppingList, NextAllowances, StashRead
        A result of this package.
    folder : path
        Folder to write into; it is made where it is lacking.

    Returns
    -------
    list of Path
        The files.

    Raises
    ------
    OSError
        When a file cannot be written.
    """
    into = Path(folder)
    into.mkdir(parents=True, exist_ok=True)
    written = []
    for field in fields(result):
        table = getattr(result, field.name)
        if isinstance(table, pd.DataFrame):
            written.append(into / f"{field.name}.csv")
            write_csv(table, written[-1])
    return written


def _guarded(column: pd.Series[Any]) -> list[Any]:
    return [_guard(value) if isinstance(value, str) else value for value in column]


def _guard(text: str) -> str:
    return f"'{text}" if text.lstrip(" ").startswith(FORMULA_SIGNS) else text
