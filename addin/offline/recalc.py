"""Recalculate a workbook file in place: compute its formulas, write their values, touch nothing else."""

import os
from collections import deque
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from .engine import CLIP, CellFunction, Engine, Failure, known_functions
from .files import file_mode, full_path, read_file, refuse_unwritable, replace_file
from .flatten import Flattener
from .grid import MAX_COLUMN, MAX_ROW, area_bounds, area_size, cell_name, cell_position
from .package import Package
from .problems import WorkbookProblem
from .references import Bounds, Uncalculated, moved, quoted
from .sheets import FormulaCell
from .splice import same, splice
from .values import CellError, Value
from .workbook import Sheet, Workbook, read_workbook

MAX_TEXT = 32_767  # a cell holds no more
MOST_NAMED = 20_000  # no table of a planner has as many cells
Key = tuple[str, int, int]


@dataclass(frozen=True)
class CellNote:
    """Something to tell about one cell."""

    sheet: str
    cell: str
    text: str


@dataclass(frozen=True)
class Report:
    """What a recalculation found."""

    file: Path
    formulas: int
    """Cells with a formula, cells of array formulas included."""
    changed: int
    """Those whose value differs from the one in the file before."""
    errors: tuple[CellNote, ...]
    """Cells that calculate to an error value; the text is its code."""
    uncalculated: tuple[CellNote, ...]
    """Cells left as they were: they, or what they depend on, cannot be calculated; the text says why."""
    _values: Mapping[Key, Value] = field(repr=False)
    _areas: Mapping[str, tuple[str, Bounds]] = field(repr=False)

    def value(self, sheet: str, cell: str) -> Value:
        """Return the value of a cell, such as ``value("Plan", "B4")``."""
        position = cell_position(cell)
        if position is None:
            raise KeyError(cell)
        return self._values.get((sheet, *position))

    def name_values(self, name: str) -> list[list[Value]]:
        """Return the values of the cells of a defined name, row by row.

        KeyError when it is no such name, or one of more cells than any table has.
        """
        sheet, (top, left, bottom, right) = self._areas[name.lower()]
        return [
            [self._values.get((sheet, row, column)) for column in range(left, right + 1)]
            for row in range(top, bottom + 1)
        ]


def recalculate(
    path: str | os.PathLike[str],
    out: str | os.PathLike[str] | None = None,
    check: bool = False,
    functions: Mapping[str, CellFunction] | None = None,
) -> Report:
    """Compute every formula of a workbook and store the values in it, or in a copy of it.

    Parameters
    ----------
    path : path
        The workbook, .xlsx or .xlsm.
    out : path, optional
        Where to write; the workbook itself when not given.
    check : bool
        Compute and report only; write nothing.
    functions : mapping, optional
        Functions by sheet name, such as ``WEAVE.ENDS``; all of this library when not given.

    Returns
    -------
    Report
        Counts, errors, cells that could not be calculated, and all values.

    Raises
    ------
    WorkbookProblem
        The file cannot be read, calculated or written; nothing was changed.
    """
    source = full_path(path)
    target = source if out is None else full_path(out)
    if not check:
        refuse_unwritable(target)
    data, stamp = read_file(source)
    mode = file_mode(source)
    package = Package(data, source.name)
    if target.suffix.lower() != source.suffix.lower():
        raise WorkbookProblem(
            f"{target.name}: the name of a copy of {source.name} must end in {source.suffix} too."
        )
    book = read_workbook(package)
    calculation = _Calculation(book, our_functions() if functions is None else functions)
    calculation.run()
    report = calculation.report(source)
    if check:
        return report
    replaced = calculation.replaced_parts()
    if replaced:
        data = package.with_replaced(replaced)
    if replaced or target != source:
        if target != source and target.exists():
            mode = file_mode(target)
        replace_file(target, data, mode, unchanged_since=stamp if target == source else None)
    return report


def our_functions() -> dict[str, CellFunction]:
    """Return every function of this library by its sheet name."""
    from functools import partial

    from weavefuncs.addin.cells import evaluate, sheet_names

    return {name: partial(evaluate, name) for name in sheet_names()}


class _Calculation:
    """One workbook on its way through the engine."""

    def __init__(self, book: Workbook, functions: Mapping[str, CellFunction]):
        self._book = book
        names = {sheet.name.lower() for sheet in book.sheets}
        blank = "blank"
        while blank in names:
            blank += "_"
        self._engine = Engine(functions, book.date1904)
        for name in [*(sheet.name for sheet in book.sheets), blank]:
            self._engine.add_sheet(name)
        self._flattener = Flattener(book, functions, f"{quoted(blank)}$A$1")
        self._cells: dict[Key, FormulaCell] = {}
        self._members: dict[Key, list[Key]] = {}
        """The other cells of each array formula."""
        self._arrays: list[Key] = []
        self._calls: dict[frozenset[str], list[Key]] = {}
        """The cells that call these native functions."""
        self._may_spill: list[Key] = []
        self._reasons: dict[Key, str] = {}
        """Why a cell could not be calculated."""
        self._results: dict[Key, Value] = {}

    def run(self) -> None:
        """Feed the engine, evaluate, and sort the results from the failures."""
        rendered: list[tuple[Key, str]] = []
        for sheet in self._book.sheets:
            self._engine.set_constants(sheet.name, sheet.cells.values)
            for cell in sheet.cells.formulas:
                key = sheet.name, cell.row, cell.column
                self._cells[key] = cell
                if cell.anchor is not None:
                    self._members.setdefault((sheet.name, *cell.anchor), []).append(key)
            rendered += self._rendered(sheet)
        called = frozenset[str]().union(*self._calls)
        unknown = called - known_functions(called)
        for functions, keys in self._calls.items():
            for name in sorted(functions & unknown):
                for key in keys:
                    self._reasons.setdefault(key, f"there is no function {name} here")
        for key, formula in rendered:
            failure = None if key in self._reasons else self._engine.set_formula(*key, formula)
            if failure is not None:
                self._reasons[key] = failure
        self._take_out(self._reasons)
        self._engine.evaluate()
        spilled = self._collect()
        if spilled:
            self._reasons.update(dict.fromkeys(spilled, "it gives several cells, but is no array formula"))
            self._take_out(spilled)
            self._engine.evaluate()
            self._collect()
        self._follow()

    def _rendered(self, sheet: Sheet) -> list[tuple[Key, str]]:
        """Flatten a sheet's formulas; array formulas are fitted into their cells."""
        out: list[tuple[Key, str]] = []
        masters: dict[str, FormulaCell] = {}
        for cell in sheet.cells.formulas:
            key = sheet.name, cell.row, cell.column
            if cell.anchor is None:
                try:
                    out.append((key, self._flattened(key, cell, masters)))
                except Uncalculated as reason:
                    self._reasons[key] = str(reason)
        return out

    def _flattened(self, key: Key, cell: FormulaCell, masters: dict[str, FormulaCell]) -> str:
        if cell.kind not in ("normal", "shared", "array"):
            raise Uncalculated(f"it is a formula of the kind {cell.kind}")
        text, rows, columns = cell.formula, 0, 0
        if cell.kind == "shared":
            index = cell.formula_attributes.get("si", "")
            if text:
                masters.setdefault(index, cell)
            elif index in masters:
                master = masters[index]
                text, rows, columns = master.formula, cell.row - master.row, cell.column - master.column
        if not text.strip():
            raise Uncalculated("its formula is missing")
        array = cell.kind == "array"
        plan, references = self._flattener.take_apart(text, *key, array)
        self._calls.setdefault(plan.functions, []).append(key)
        if not (plan.single or array):
            self._may_spill.append(key)
        formula = plan.render(moved(references, rows, columns), cell.row, cell.column)
        return self._fitted(key, cell, formula) if array else formula

    def _fitted(self, key: Key, cell: FormulaCell, formula: str) -> str:
        bounds = area_bounds(cell.formula_attributes.get("ref", ""))
        if bounds is None or bounds[:2] != (cell.row, cell.column):
            raise Uncalculated("the cells of its array are not known")
        self._arrays.append(key)
        height, width = bounds[2] - bounds[0] + 1, bounds[3] - bounds[1] + 1
        return f"{CLIP}({formula},{height},{width},{len(self._arrays) - 1})"

    def _take_out(self, keys: Iterable[Key]) -> None:
        for key in keys:
            self._engine.set_unknown(*key)

    def _collect(self) -> list[Key]:
        """Read the results; return the formula cells that spilled over a neighbour that should be blank."""
        spilled: list[Key] = []
        may_spill: dict[str, list[Key]] = {}
        for key in self._may_spill:
            may_spill.setdefault(key[0], []).append(key)
        for sheet in self._book.sheets:
            blanks = {
                spot: key
                for key in may_spill.get(sheet.name, ())
                for spot in ((key[1], key[2] + 1), (key[1] + 1, key[2]))
                if spot not in sheet.cells.values and (key[0], *spot) not in self._cells and _on_sheet(*spot)
            }
            positions = [(cell.row, cell.column) for cell in sheet.cells.formulas]
            found = self._engine.values(sheet.name, [*positions, *blanks])
            spilled += {key for spot, key in blanks.items() if found[spot] is not None}
            for row, column in positions:
                result = found[row, column]
                if type(result) is float:
                    self._results[sheet.name, row, column] = result
                else:
                    self._sort((sheet.name, row, column), result)
        return spilled

    def _sort(self, key: Key, result: Value | Failure) -> None:
        if isinstance(result, Failure):
            self._reasons.setdefault(key, result)
        elif result is None:
            anchor = self._cells[key].anchor
            held = None if anchor is None else self._reasons.get((key[0], *anchor))
            self._reasons.setdefault(key, held or "the engine gave no value")
        elif isinstance(result, str) and len(result) > MAX_TEXT:
            self._reasons.setdefault(key, f"its text is longer than a cell holds ({MAX_TEXT})")
        else:
            self._results[key] = result

    def _follow(self) -> None:
        """Whatever depends on a cell that was not calculated counts as not calculated either."""
        for number in self._engine.misfits:
            key = self._arrays[number]
            if (
                "cm" in self._cells[key].attributes
            ):  # an array that sizes itself, which a plain array formula does not
                self._reasons.setdefault(key, "its array now has another size")
        waiting = deque(self._reasons)
        while waiting:
            key = waiting.popleft()
            because = f"it depends on {key[0]}!{cell_name(key[1], key[2])}"
            following = [
                (owner, *(cell_position(cell) or (0, 0))) for owner, cell in self._engine.dependents(*key)
            ]
            for other in [*following, *self._members.get(key, ())]:
                if other in self._cells and other not in self._reasons:
                    self._reasons[other] = because
                    waiting.append(other)
        for key in self._reasons:
            self._results.pop(key, None)

    def report(self, file: Path) -> Report:
        """Describe what was found."""
        values: dict[Key, Value] = {key: cell.stored for key, cell in self._cells.items()}
        values |= self._results
        for sheet in self._book.sheets:
            values |= {(sheet.name, *position): value for position, value in sheet.cells.values.items()}
        areas = {name: self._flattener.area(name) for scope, name in self._book.names if not scope}
        return Report(
            file,
            formulas=len(self._cells),
            changed=sum(not same(self._cells[key], value) for key, value in self._results.items()),
            errors=tuple(
                _note(key, result.code)
                for key in self._cells
                if isinstance(result := self._results.get(key), CellError)
            ),
            uncalculated=tuple(_note(key, self._reasons[key]) for key in self._cells if key in self._reasons),
            _values=values,
            _areas={name: area for name, area in areas.items() if area and area_size(area[1]) <= MOST_NAMED},
        )

    def replaced_parts(self) -> dict[str, bytes]:
        """Return the sheet parts that change, with the results in them."""
        parts: dict[str, bytes] = {}
        for sheet in self._book.sheets:
            results = [
                (cell, self._results[key])
                for cell in sheet.cells.formulas
                if (key := (sheet.name, cell.row, cell.column)) in self._results
            ]
            content = splice(sheet.content, results)
            if content != sheet.content:
                parts[sheet.member] = content
        return parts


def _note(key: Key, text: str) -> CellNote:
    return CellNote(key[0], cell_name(key[1], key[2]), text)


def _on_sheet(row: int, column: int) -> bool:
    return row <= MAX_ROW and column <= MAX_COLUMN
