"""A stash list into a planner, and the tables of a planner out to CSV."""

from __future__ import annotations

import copy
import os
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, NamedTuple

import pandas as pd

import weavefuncs as wf
from weavefuncs.addin.offline.grid import cell_name
from weavefuncs.addin.offline.problems import WorkbookProblem
from weavefuncs.addin.offline.recalc import CellNote, Report, recalculate
from weavefuncs.addin.offline.values import CellError
from weavefuncs.errors import WeaveError
from weavefuncs.tables import read_stash, write_csv
from weavefuncs.tables._cells import TOLD
from weavefuncs.tables._settings import argument
from weavefuncs.workbooks import plan, settings, yarns
from weavefuncs.workbooks.frames import Frames, Units
from weavefuncs.workbooks.inputs import Inputs, Question, named_area, questions, read_inputs
from weavefuncs.workbooks.rows import GIVEN, UNIT, Band, Row
from weavefuncs.workbooks.upgrade import Moved, new_file, refill

# Numbers that are put in have as many digits as a spreadsheet keeps: what a unit adds in dust goes, and a
# put-up that is just enough stays enough.
DIGITS = 15

# A length and a weight of the same yarn agree if they differ by less than this share.
AGREES = 0.02

NOT_PUT_IN = "not put in"

# File of each table, by where its answers go.
FILES = {
    ("yarns",): "yarns",
    ("plan", "colours", "warp"): "",  # one table on the sheet holds both orders
    ("plan", "colours", "weft"): "plan-yarn",
    ("batch",): "batch",
    ("kits", "kits"): "kits",
    ("kits", "recipes"): "kit-recipes",
    ("shopping", "needs"): "shopping-needs",
    ("records",): "records",
}


class Imported(NamedTuple):
    """What came of putting a list of yarns into a planner.

    Attributes
    ----------
    added : int
        How many yarns were put in.
    problems : DataFrame
        The lines that were not, or not as they stand, with the reasons.
    without_unit : DataFrame
        The headings that name no unit, and the unit of the planner that each was read in.
    moved : Moved
        What came of moving the planner into the newest template.
    """

    added: int
    problems: pd.DataFrame
    without_unit: pd.DataFrame
    moved: Moved


def import_stash(
    stash: str | os.PathLike[str],
    old: str | os.PathLike[str],
    new: str | os.PathLike[str],
    sheet: str | None = None,
    tell: Callable[[str], None] = lambda _: None,
) -> Imported:
    """Put a list of yarns below those of a planner, and write it as a new planner.

    Parameters
    ----------
    stash : str or path
        The list, CSV or .xlsx with named columns. Where a heading names no unit, the planner's counts.
    old, new : str or path
        The planner, which is only read, and the one to write.
    sheet : str, optional
        Sheet of the list.
    tell : callable, optional
        Takes a line on how far the work is.

    Returns
    -------
    Imported
        How many yarns were put in, what was not, and in which units.

    Raises
    ------
    WeaveError, WorkbookProblem
        A file cannot be read or written.
    """
    new_file(new)
    tell(f"reading {os.path.basename(old)}")
    inputs = read_inputs(old)
    units = Frames(inputs).units
    tell(f"reading {os.path.basename(stash)}")
    read = read_stash(stash, sheet, units.long, units.mass)
    lines, added, refused = _with_yarns(inputs, read.yarns, units)
    filled = copy.deepcopy(inputs.filled)
    filled["yarns"] = lines
    label = Path(stash).name
    told = pd.DataFrame(
        [(label, *line) for line in refused],
        columns=["sheet", "row", "column", "problem", "effect"],
    )
    problems = pd.concat([read.problems, told], ignore_index=True) if len(told) else read.problems
    return Imported(added, problems, read.without_unit, refill(inputs, filled, new, tell))


def _with_yarns(
    inputs: Inputs, read: pd.DataFrame, units: Units
) -> tuple[list[dict[str, Any]], int, list[tuple[int, str, str, str]]]:
    """Return the lines of Yarns with those read below them, how many, and what to tell of them."""
    lines = copy.deepcopy(inputs.filled.get("yarns", []))
    stands = {
        _same(line["name"]): f"row {number} of Yarns"
        for number, line in enumerate(lines, yarns.FIRST + 1)
        if line.get("name")
    }
    added = 0
    refused: list[tuple[int, str, str, str]] = []
    for yarn in read.to_dict("records"):
        row, name = int(yarn["row"]), yarn["name"]
        if _same(name) in stands:
            twice = f"{name} stands in {stands[_same(name)]} already: give it another name"
            refused.append((row, "name", twice, NOT_PUT_IN))
            continue
        if len(lines) == yarns.LINES:
            refused.append((row, "name", f"{name} has no room: Yarns has {yarns.LINES} lines", NOT_PUT_IN))
            continue
        try:
            line, says = _line(yarn, units)
        except WeaveError as error:
            refused.append((row, error.argument, str(error), NOT_PUT_IN))
            continue
        lines.append(line)
        if says:
            refused.append((row, "weighed", says, TOLD))
        stands[_same(name)] = f"row {row} of the list"
        added += 1
    return lines, added, refused


def _line(yarn: Mapping[Any, Any], units: Units) -> tuple[dict[str, Any], str]:
    """Return a line of Yarns, and what of it does not agree.

    There lengths follow from weights, so that weighing again keeps it true. What was weighed goes in as it
    was, with the weight of its empty cone; a length alone becomes the weight of so much yarn on that cone.
    """
    if not yarn["yarn"]:
        raise WeaveError(
            "yarn", "filled in: Yarns works out the length from the weight and the count", "a blank cell"
        )
    count = yarn["yarn"]
    grams = {key: 0.0 if pd.isna(yarn[key]) else float(yarn[key]) for key in ("tare", "reserved")}
    left = yarn["length"] + grams["reserved"]
    mass = argument("yarn_mass", "mass_unit").convert
    length = argument("yarn_mass", "length_unit").convert
    to_mass, to_long = mass("g") / mass(units.mass), length("m") / length(units.long)
    weighed, says = yarn["weighed"], ""
    if pd.isna(weighed):
        weighed = wf.yarn_mass(left, count) + grams["tare"]
    else:
        by_weight = wf.length_left(weighed, grams["tare"], count)
        if abs(by_weight - left) > AGREES * max(by_weight, left):
            says = (
                f"what was weighed is {by_weight * to_long:.6g} {units.long}, and the list says "
                f"{left * to_long:.6g} {units.long}: the weight goes in"
            )
    put_up = yarn["put_up_length"]
    numbers = {
        "weighed": weighed * to_mass,
        "tare": yarn["tare"] * to_mass,
        "put_up": put_up if pd.isna(put_up) else wf.yarn_mass(put_up, count) * to_mass,
        "price": yarn["put_up_price"],
        "reserved": yarn["reserved"] * to_long,
    }
    line = {key: yarn[key] for key in ("name", "yarn", "fibre", "colour", "lot") if yarn[key]}
    line |= {key: float(f"{number:.{DIGITS}g}") for key, number in numbers.items() if not pd.isna(number)}
    return line, says


def _same(name: Any) -> str:
    return " ".join(str(name).split()).casefold()


def export_tables(
    planner: str | os.PathLike[str],
    folder: str | os.PathLike[str],
    tell: Callable[[str], None] = lambda _: None,
) -> tuple[list[tuple[Path, int]], tuple[CellNote, ...]]:
    """Write every table of a planner, recalculated, to a CSV file of its own.

    Parameters
    ----------
    planner : str or path
        The planner. It is only read.
    folder : str or path
        Where the files go; it is made where it is lacking. Files of the same names are replaced.
    tell : callable, optional
        Takes a line on how far the work is.

    Returns
    -------
    list, tuple of CellNote
        Each file with its number of lines; and the cells that could not be calculated, which hold what the
        file had.

    Raises
    ------
    WorkbookProblem
        The planner cannot be read.
    """
    tell(f"reading and calculating {os.path.basename(planner)}")
    inputs = read_inputs(planner)
    report = recalculate(planner, check=True)
    tables = {
        "settings": _form_table(inputs, report, settings.ROWS),
        "plan": _form_table(inputs, report, [*plan.PIECE, *plan.HOURS]),
    }
    asked = questions()
    for path, file in FILES.items():
        columns = [question for question in asked if question.path == path and question.name in inputs.areas]
        if file and columns:
            tables[file] = _sheet_table(inputs, report, columns)
    to_buy = named_area(inputs.book, "ShopNames")
    if to_buy is not None:
        sheet, top, left, bottom, _ = to_buy
        tables["shopping-to-buy"] = _lines(report, sheet, top, left, bottom)
    for file, name in (("problems", "ProblemsList"), ("plan-in-short", "PlanSummary")):
        try:
            rows = [[_shown(value) for value in row] for row in report.name_values(name)]
        except KeyError:
            continue
        if len(rows[0]) == 2:
            told = [row for row in rows if row[-1] not in (None, "")]
            tables[file] = pd.DataFrame(told, columns=["where", "text"])
    into = Path(folder)
    into.mkdir(parents=True, exist_ok=True)
    written = []
    for file, table in tables.items():
        if len(table):
            write_csv(table, into / f"{file}.csv")
            written.append((into / f"{file}.csv", len(table)))
    return written, report.uncalculated


def _sheet_table(inputs: Inputs, report: Report, columns: list[Question]) -> pd.DataFrame:
    """Return a table as its sheet shows it: the headings, and the lines with anything in them."""
    areas = [inputs.areas[question.name] for question in columns]
    sheet = areas[0][0]
    top, bottom = areas[0][1], areas[0][3]
    left = min(area[2] for area in areas)
    if columns[0].path[0] == "plan":  # both systems stand in one table, under the heading of the first
        if "WarpColours" not in inputs.areas:
            raise WorkbookProblem(f"{inputs.book.package.name} has no cells named WarpColours any more.")
        top = inputs.areas["WarpColours"][1] - 1
    return _lines(report, sheet, top, left, bottom)


def _lines(report: Report, sheet: str, top: int, left: int, bottom: int) -> pd.DataFrame:
    """Return the lines from one row to another with anything in them, under the headings above the first."""
    headings: list[str] = []
    while True:
        heading = _cell(report, sheet, top - 1, left + len(headings))
        if heading in (None, ""):
            break
        headings.append(" ".join(str(heading).split()))
    rows = [
        [_cell(report, sheet, row, left + number) for number in range(len(headings))]
        for row in range(top, bottom + 1)
    ]
    filled = [row for row in rows if any(value not in (None, "") for value in row)]
    table: pd.DataFrame = pd.DataFrame(filled, columns=headings, dtype=object)
    return table


def _form_table(inputs: Inputs, report: Report, rows: list[Row | Band]) -> pd.DataFrame:
    """Return a form: what is filled in and what comes out, row by row, with its unit."""
    areas = [(row, named_area(inputs.book, row.key)) for row in rows if isinstance(row, Row)]
    places = [(row.label, area) for row, area in areas if area is not None]
    # Names lead to what is filled in or to what comes out, and units stand behind both.
    unit = min((left for _, (_, _, left, *_) in places), default=0) + UNIT - GIVEN
    lines = [
        [
            label,
            _side_by_side([_cell(report, sheet, top, column) for column in range(left, right + 1)]),
            # Where cells stand side by side, one of them has the place of the unit.
            _cell(report, sheet, top, unit) if left == right else None,
        ]
        for label, (sheet, top, left, _, right) in places
    ]
    shown = [line for line in lines if line[1] not in (None, "")]
    table: pd.DataFrame = pd.DataFrame(shown, columns=["row", "value", "unit"], dtype=object)
    return table


def _side_by_side(values: list[Any]) -> Any:
    """Return what cells of a row show as one value."""
    if len(values) == 1:
        return values[0]
    shown = [f"{value:.15g}" if isinstance(value, float) else str(value or "") for value in values]
    return ", ".join(shown).rstrip(", ")


def _cell(report: Report, sheet: str, row: int, column: int) -> Any:
    """Return what a cell shows; nothing where the sheet ends."""
    try:
        return _shown(report.value(sheet, cell_name(row, column)))
    except KeyError:
        return None


def _shown(value: Any) -> Any:
    return value.code if isinstance(value, CellError) else value
