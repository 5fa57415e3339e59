"""Our own face of the calculation engine, formualizer: nothing else here knows it, so it can be exchanged.

What the engine gives and takes is settled here: error values, blanks, dates (as serial numbers), numbers as
text, arrays of the size that a sheet has room for. A result that is not understood stops the work.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any

import formualizer

from .compile import FIRST
from .grid import column_letters
from .native import CORRECTED, HELPERS
from .problems import WorkbookProblem
from .references import Bounds, quoted
from .values import CellError, Value

CellFunction = Callable[[list[Any]], Any]
"""Takes the contents of its argument cells, returns a value or rows of values."""

CLIP = "OFFLINE.CLIP"

_KINDS = {
    "#DIV/0!": "Div",
    "#N/A": "Na",
    "#REF!": "Ref",
    "#NAME?": "Name",
    "#VALUE!": "Value",
    "#NUM!": "Num",
    "#NULL!": "Null",
}
_CODES = {kind: code for code, kind in _KINDS.items()}
_FAILURES = {
    "Circ": "it depends on itself",
    "NImpl": "the engine cannot calculate it",
    "Spill": "its results do not fit into its cell",
    "Calc": "the engine cannot calculate it",
    "Error": "the formula is not understood",
    "Cancelled": "the engine broke off",
}
_MORE_THAN_ALL = 2**31 - 1


class Failure(str):
    """In place of a value: why there is none."""

    __slots__ = ()


class Engine:
    """A workbook in the engine: fed with constants and flattened formulas, evaluated once or more."""

    def __init__(self, functions: Mapping[str, CellFunction], date1904: bool):
        config = formualizer.EvaluationConfig()
        config.enable_parallel = (
            False  # threads that wait for Python's lock make our functions six times slower
        )
        config.date_system = "1904" if date1904 else "1900"
        # The interactive mode with its log off is the fast one: it reads formulas once all are there.
        self._book = formualizer.Workbook(
            config=formualizer.WorkbookConfig(
                mode=formualizer.WorkbookMode.Interactive, eval_config=config, enable_changelog=False
            )
        )
        self._book.set_temporal_egress("serial")
        self._sheets: dict[str, formualizer.Sheet] = {}
        self.misfits: set[int] = set()
        """Numbers of the array formulas whose results have another size than their cells."""
        self._problem = ""
        for name, function in functions.items():
            self._book.register_function(name, self._called(name, function, first=False))
            self._book.register_function(FIRST + name, self._called(name, function, first=True))
        for name, helper in HELPERS.items():
            self._book.register_function(name, helper)
        for name, helper in CORRECTED.items():
            self._book.register_function(name, helper, allow_override_builtin=True)
        self._book.register_function(CLIP, self._clip, min_args=4, max_args=4)

    def add_sheet(self, name: str) -> None:
        """Add a sheet."""
        self._book.add_sheet(name)
        self._sheets[name] = self._book.sheet(name)

    def set_constants(self, sheet: str, values: Mapping[tuple[int, int], Value]) -> None:
        """Put constants into a sheet: before its formulas, because the cells between them are made blank."""
        for top, left, bottom, right in bands(values):
            rows = [
                [_given(values.get((row, column))) for column in range(left, right + 1)]
                for row in range(top, bottom + 1)
            ]
            self._sheets[sheet].set_values_batch(top, left, bottom - top + 1, right - left + 1, rows)

    def set_formula(self, sheet: str, row: int, column: int, formula: str) -> Failure | None:
        """Put a formula, without its equals sign, into a cell; return why it cannot be."""
        try:
            self._sheets[sheet].set_formula(row, column, "=" + formula)
        except RuntimeError as error:
            return Failure(_FAILURES["Circ" if "#CIRC!" in str(error) else "Error"])
        return None

    def set_unknown(self, sheet: str, row: int, column: int) -> None:
        """Put an error in the place of a formula that cannot be calculated."""
        self._sheets[sheet].set_value(row, column, formualizer.LiteralValue.error("Na", None))

    def evaluate(self) -> None:
        """Calculate everything that is not calculated yet."""
        try:
            self._book.evaluate_all()
        except Exception as error:
            raise WorkbookProblem(f"The calculation broke off ({error}); nothing was changed.") from None
        if self._problem:
            raise WorkbookProblem(f"{self._problem}; nothing was changed.")

    def values(
        self, sheet: str, positions: Iterable[tuple[int, int]]
    ) -> dict[tuple[int, int], Value | Failure]:
        """Return what stands in at least these cells."""
        found: dict[tuple[int, int], Value | Failure] = {}
        for top, left, bottom, right in bands(positions):
            area = formualizer.RangeAddress(sheet, top, left, bottom, right)
            for row, cells in enumerate(self._sheets[sheet].get_values(area), top):
                for column, cell in enumerate(cells, left):
                    found[row, column] = cell if type(cell) is float and math.isfinite(cell) else _taken(cell)
        return found

    def dependents(self, sheet: str, row: int, column: int) -> list[tuple[str, str]]:
        """Return the sheet and name of every cell whose formula mentions this cell."""
        report = self._book.dependents(
            f"{quoted(sheet)}{column_letters(column)}{row}",
            max_results=_MORE_THAN_ALL,
            max_work=_MORE_THAN_ALL,
        )
        if report.truncation.to_dict().get("incomplete"):
            raise WorkbookProblem("The calculation is too entangled to follow; nothing was changed.")
        pairs = [dependent.cell.rpartition("!") for dependent in report.dependents]
        return [(_plain(owner), name) for owner, _, name in pairs]

    def _called(self, name: str, function: CellFunction, first: bool) -> Callable[..., Any]:
        def call(*arguments: Any) -> Any:
            try:
                result = function([_argument(argument) for argument in arguments])
                if isinstance(result, (list, tuple)):
                    return (
                        _shown(result[0][0]) if first else [[_shown(cell) for cell in row] for row in result]
                    )
                return _shown(result)
            except Exception as error:
                self._problem = self._problem or f"{name} failed ({type(error).__name__}: {error})"
                raise

        return call

    def _clip(self, result: Any, rows: float, columns: float, number: float) -> Any:
        """Fit a result into the cells of an array formula: repeated if it is one row, column or value."""
        grid = result if isinstance(result, list) else [[result]]
        height, width = int(rows), int(columns)
        if (len(grid), len(grid[0])) != (height, width):
            self.misfits.add(int(number))
        missing = {"type": "Error", "kind": "Na"}

        def at(row: int, column: int) -> Any:
            row, column = (0 if len(grid) == 1 else row), (0 if len(grid[0]) == 1 else column)
            cell = grid[row][column] if row < len(grid) and column < len(grid[0]) else missing
            return 0.0 if cell is None else cell

        return [[at(row, column) for column in range(width)] for row in range(height)]


def known_functions(names: Iterable[str]) -> set[str]:
    """Return those of these names that the engine has a native function for."""
    book = formualizer.Workbook()
    book.add_sheet("S")
    known = set()
    for name in names:
        try:
            book.set_formula("S", 1, 1, f"={name}()")
            result = book.evaluate_cell("S", 1, 1)
        except (RuntimeError, formualizer.ExcelEvaluationError):
            continue
        if not (isinstance(result, dict) and result.get("kind") == "Name"):
            known.add(name)
    return known


def bands(positions: Iterable[tuple[int, int]]) -> list[Bounds]:
    """Cover cells with rectangles of whole rows of neighbours that are not much larger than they need be."""
    out: list[Bounds] = []
    filled = 0
    top = first = bottom = last = -1
    for row, left, right, count in _runs(sorted(positions)):
        if row - bottom <= 1 and top >= 0:
            wider, further = min(left, first), max(right, last)
            if (row - top + 1) * (further - wider + 1) <= 2 * (filled + count) + 64:
                first, bottom, last, filled = wider, row, further, filled + count
                continue
        if top >= 0:
            out.append((top, first, bottom, last))
        top, first, bottom, last, filled = row, left, row, right, count
    return [*out, (top, first, bottom, last)] if top >= 0 else out


def _runs(positions: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int, int, int]]:
    """Split rows of cells where wide gaps are: row, first and last column, and count of each run."""
    row = first = last = count = -1
    for at, column in positions:
        if at == row and column - last <= 32:
            last, count = column, count + 1
            continue
        if row >= 0:
            yield row, first, last, count
        row, first, last, count = at, column, column, 1
    if row >= 0:
        yield row, first, last, count


def _plain(sheet: str) -> str:
    return sheet[1:-1].replace("''", "'") if sheet.startswith("'") else sheet


def _given(value: Value) -> Any:
    if isinstance(value, CellError):
        return formualizer.LiteralValue.error(_KINDS.get(value.code, "Value"), None)
    return value


def _argument(value: Any) -> Any:
    if type(value) is dict:
        return CellError(_CODES.get(value["kind"], "#VALUE!"))
    if type(value) is list:
        return [[_argument(cell) for cell in row] for row in value]
    return value


def _shown(value: Any) -> Any:
    """Turn a result of one of our functions into what the engine takes; raise when it is none."""
    if isinstance(value, (str, bool)):
        return value
    if value is None:
        return ""
    if isinstance(value, CellError):
        return {"type": "Error", "kind": _KINDS[value.code]}
    number = float(value)
    return number if math.isfinite(number) else {"type": "Error", "kind": "Num"}


def _taken(value: Any) -> Value | Failure:
    if value is None or isinstance(value, (bool, str)):
        return value
    if isinstance(value, dict) and value.get("type") == "Error":
        kind = value.get("kind")
        if kind in _CODES:
            return CellError(_CODES[kind])
        if kind in _FAILURES:
            return Failure(_FAILURES[kind])
    if isinstance(value, (int, float)):
        return float(value) if math.isfinite(value) else CellError("#NUM!")
    raise WorkbookProblem(
        f"The engine gave a result that is not understood ({value!r}); nothing was changed."
    )
