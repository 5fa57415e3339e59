"""Tables in and out: a stash from CSV or a workbook, results to CSV that a spreadsheet opens safely."""

from __future__ import annotations

import os
import re
import secrets
import shutil
from dataclasses import dataclass, fields
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

import weavefuncs as wf
from weavefuncs.errors import WeaveError
from weavefuncs.shared.stash_headings import HEADINGS_WITH_UNITS, STASH_HEADINGS
from weavefuncs.tables._cells import (
    LEFT_OUT,
    NOT_READ,
    NOT_USED,
    TEXT,
    TOLD,
    Problems,
    Sheet,
    as_text,
    listed,
    need_tables,
    retold,
)
from weavefuncs.tables._separated import FORMULA_SIGNS, decoded, likely_delimiters, parted, with_numbers
from weavefuncs.tables._settings import argument, is_blank
from weavefuncs.tables._workbook import Page, read_file, read_pages

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from weavefuncs.tables._cells import Floats
    from weavefuncs.tables._workbook import Area, Cells

# Columns of numbers: whose bounds they keep, and the unit that they are returned in.
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
# Of a text so many characters, to find out what parts its cells.
MOST_ABOVE = 2**20


@dataclass(frozen=True)
class StashRead:
    """A stash as it was read.

    Attributes
    ----------
    yarns : DataFrame
        One row for each yarn, as the other tables take it: ``row`` (in the file), ``name``, ``yarn``,
        ``fibre``, ``colour``, ``lot``, ``length`` (free, in metres), ``put_up_length`` (metres),
        ``put_up_price``; and as they were given, else nan, ``weighed`` and ``tare`` (grams) and ``reserved``
        (metres).
    problems : DataFrame
        One row for each cell that is wrong: sheet, row, column, problem, and its effect.
    without_unit : DataFrame
        One row for each column of lengths or weights whose heading names no unit: ``heading``, and the
        ``unit`` that it was read in.
    """

    yarns: pd.DataFrame
    problems: pd.DataFrame
    without_unit: pd.DataFrame


def read_stash(
    path: str | os.PathLike[str], sheet: str | None = None, length_unit: str = "m", mass_unit: str = "g"
) -> StashRead:
    """Read a stash from a CSV file or an .xlsx workbook with named columns.

    Parameters
    ----------
    path : path
        File to read; it is not changed. A CSV file may have decimal commas, whatever parts its cells.
    sheet : str, optional
        Sheet of the workbook. Left out, the first sheet whose headings are those of a stash.
    length_unit : str, default "m"
        Unit of lengths whose heading names none, such as yd.
    mass_unit : str, default "g"
        Unit of weights whose heading names none, such as oz.

    Returns
    -------
    StashRead
        Yarns, problems, and the headings without a unit.

    Raises
    ------
    WeaveError
        When the file is neither, has no such sheet, or no row of headings with a name and an amount; or a
        unit is unknown.

    Notes
    -----
    ``weavefuncs.shared.stash_headings`` lists the headings known. A unit in brackets counts, ``weighed
    (oz)``; without one, weights are in ``mass_unit`` and lengths in ``length_unit``. What is returned is in
    grams and metres. The length is what is ``free``; where that is not given, what is ``left`` or follows
    from the weight, less what is ``reserved``. A merged cell counts for its first cell; the others are
    blank, and told. Other columns are told once and not read.

    Examples
    --------
    >>> import os, tempfile
    >>> import pandas as pd
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = os.path.join(folder, "yarns.csv")
    ...     table = pd.DataFrame({"name": ["blue"], "yarn": ["400 m/100 g"], "weight (g)": [50]})
    ...     write_csv(table, path)
    ...     read_stash(path).yarns[["name", "length"]].values.tolist()
    [['blue', 200.0]]
    """
    file = Path(path)
    problems = Problems()
    units = {"length_unit": length_unit, "mass_unit": mass_unit}
    for kind, unit in units.items():
        argument("yarn_mass", kind).convert(unit)
    ending = file.suffix.casefold()
    if ending in (".xlsx", ".xlsm"):
        page = _from_workbook(file, sheet)
    elif ending in (".csv", ".tsv", ".txt"):
        if sheet is not None:
            raise WeaveError("sheet", "left out for a CSV file, which has no sheets", sheet)
        page = _from_csv(file)
    else:
        raise WeaveError("path", "a file that ends in .csv or .xlsx", file.name)
    head = _heading_row(page.cells)
    if head is None:
        raise WeaveError(
            "path",
            "a table with a row of headings, among them one for the name of the yarn (such as name) and one "
            "for how much there is (such as weight, length left or free). Others that are read: "
            + _headings(set(STASH_HEADINGS) - {"name", *AMOUNTS}),
            page.name,
        )
    return _read(page, head, units, problems)


def _headings(columns: Collection[str]) -> str:
    """List the headings that columns go by."""
    return ", ".join(names[0] for column, names in STASH_HEADINGS.items() if column in columns)


def _from_workbook(file: Path, wanted: str | None) -> Page:
    """Return the sheet that is wanted, or the first that is a list of yarns, else the last."""
    for page in read_pages(file, wanted):
        if _heading_row(page.cells) is not None:
            break
    return page


def _from_csv(file: Path) -> Page:
    """Return the cells of a CSV file: numbers where they read as such, texts elsewhere."""
    text = decoded(read_file(file))
    likely = likely_delimiters(text[:MOST_ABOVE])
    delimiter = next((sign for sign in likely if _has_headings(text[:MOST_ABOVE], sign)), likely[0])
    cells = parted(text, delimiter, file.name)
    head = _heading_row(cells)
    if head is None:
        return Page(file.name, cells, [])
    places = [place for place, known in enumerate(_known(cells[head])) if known and known[0] in NUMBERS]
    numbers = (row[place] for row in cells[head + 1 :] for place in places if place < len(row))
    return Page(file.name, with_numbers(cells, numbers, delimiter), [])


def _has_headings(text: str, delimiter: str) -> bool:
    """Tell whether a row of headings is found where this parts the cells; titles above have none."""
    try:
        return _heading_row(parted(text, delimiter, "")) is not None
    except WeaveError:
        return False


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


def _read(page: Page, head: int, usual: Mapping[str, str], problems: Problems) -> StashRead:
    label, cells = page.name, page.cells
    columns: dict[str, int] = {}
    units: dict[str, str] = {}
    not_known = f"the heading is none of those that are read: {_headings(STASH_HEADINGS)}"
    for place, (heading, known) in enumerate(zip(cells[head], _known(cells[head]))):
        if known is None:
            if not is_blank(heading):
                problems.add(label, head + 1, as_text(heading), not_known, NOT_READ)
                # Told in full once: a list may have many columns of its keeper's own.
                not_known = "the heading is none of those that are read"
        elif known[0] in columns:
            text = f"a second column of {known[0]}; the first is read"
            problems.add(label, head + 1, as_text(heading), text, NOT_READ)
        else:
            columns[known[0]] = place
            units[known[0]] = known[1]
    without_unit = [name for name in columns if not units[name] and NUMBERS.get(name, ("", ""))[1]]
    units |= {name: usual[UNIT_KIND[NUMBERS[name][1]]] for name in without_unit}
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
    _tell_merged(sheet, columns, head, page.merged)
    numbers = {name: _numbers(sheet, name, units.get(name, ""), head, problems) for name in NUMBERS}
    texts = {name: _texts(sheet, name) for name in TEXTS}
    for line in np.flatnonzero(sheet.filled):
        if not texts["name"][line]:
            sheet.tell(int(line), "name", "name must be given (a name of your own for the yarn)", LEFT_OUT)
    _tell_twice(sheet, texts["name"])
    length = _lengths(sheet, texts["yarn"], numbers, usual["length_unit"])
    put_up = _put_up_lengths(sheet, texts["yarn"], numbers)
    good = sheet.good
    yarns = pd.DataFrame(
        {
            "row": table["row"].to_numpy()[good],
            **{name: pd.Index(column, dtype=TEXT)[good] for name, column in texts.items()},
            "length": length[good],
            "put_up_length": put_up[good],
            **{name: numbers[name][good] for name in ("put_up_price", "weighed", "tare", "reserved")},
        }
    )
    told = [(sheet.headings[name], units[name]) for name in without_unit]
    return StashRead(yarns, problems.frame(), listed(told, {"heading": TEXT, "unit": TEXT}))


def _tell_merged(sheet: Sheet, columns: dict[str, int], head: int, merged: list[Area]) -> None:
    for top, left, bottom, right in merged:
        area = f"{_cell(top, left)}:{_cell(bottom, right)}"
        for name, place in columns.items():
            # Rows and columns are counted from 1, and the first cell keeps its value.
            row = max(top + (place + 1 == left), head + 2)
            if left <= place + 1 <= right and row <= bottom:
                text = f"merged with other cells ({area}): all but the first count as blank; take them apart"
                sheet.problems.add(sheet.label, row, sheet.headings[name], text, TOLD)


def _cell(row: int, column: int) -> str:
    letters = ""
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(65 + rest) + letters
    return f"{letters}{row}"


def _numbers(sheet: Sheet, name: str, unit: str, head: int, problems: Problems) -> Floats:
    """Read a column of numbers in metres, grams or money; nan where blank or in error."""
    if not sheet.has(name):
        return np.full(len(sheet.table), np.nan)
    (function, of), basic = NUMBERS[name]
    # Without its price or the size of a full put-up a yarn is still so much yarn.
    effect = NOT_USED if name.startswith("put_up") else LEFT_OUT
    values = sheet.numbers(name, argument(function, of), np.nan, effect)
    if not basic:
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


def _lengths(sheet: Sheet, counts: list[str], numbers: dict[str, Floats], unit: str) -> Floats:
    """Return the free length of each yarn in metres: as given, or from what was weighed."""
    metres = float(argument("yarn_mass", "length_unit").convert(unit))
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
            text = f"{reserved / metres:.6g} {unit} are promised, and {left / metres:.6g} {unit} are left"
            sheet.tell(line, "reserved", text, LEFT_OUT)
    return length


def _left(sheet: Sheet, line: int, count: str, at: dict[str, float]) -> float | None:
    """Return the length of yarn left, as given or from its weight; None where it cannot be told."""
    if not np.isnan(at["left"]):
        return at["left"]
    if np.isnan(at["weighed"]):
        sheet.tell(line, "weighed", "neither a length nor a weight is given", LEFT_OUT)
    elif at["tare"] > at["weighed"]:
        # In words: the list may have another unit than what is compared here.
        sheet.tell(line, "weighed", "the yarn weighs less than its empty cone", LEFT_OUT)
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
        File to write. It is replaced whole, or stays as it was where writing fails; who may read it stays
        as it was, and a link stays a link.

    Raises
    ------
    WeaveError
        When it is given something else than a table.
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
    need_tables(table=table)
    safe = pd.DataFrame(
        {place: _guarded(table.iloc[:, place]) for place in range(table.shape[1])}, index=table.index
    )
    safe.columns = pd.Index([_guard(str(name)) for name in table.columns], dtype=object)
    target = Path(os.path.realpath(path))
    # A name that nobody else can have put there, nor have open.
    scratch = target.with_name(f".{secrets.token_hex(8)}.part")
    try:
        with scratch.open("x", encoding="utf-8-sig", newline="") as file:
            if target.exists():
                shutil.copymode(target, scratch)
            safe.to_csv(file, index=False, lineterminator="\r\n")
        os.replace(scratch, target)
    finally:
        scratch.unlink(missing_ok=True)


def write_tables(result: Any, folder: str | os.PathLike[str]) -> list[Path]:
    """Write every table of a result to a CSV file of its own, named after the table.

    Parameters
    ----------
    result : BatchCost, KitPrices, ShoppingList, NextAllowances, StashRead, StashPlan, WarpPlan
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

    Notes
    -----
    The index of a table is left out, as ``write_csv`` does. Where it says which line of an order book is
    which, make it a column first: ``write_csv(result.lines.reset_index(), path)``.
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
