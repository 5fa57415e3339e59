"""The one cell adapter: cells to arguments, results to cells, the same in every host.

A host hands over what its cells hold: None for a blank, a number, a text, true
or false, a :class:`CellError`, or a range as rows of those. It gets back a
value or rows of values to show.

- Blank means not given: None, an empty text, and 0 where a text is wanted (one
  host hands on a blank cell as 0).
- A range for an argument that is taken row by row gives a column of results; a
  bad row is an error in its own cell, a row with all inputs blank is empty.
- A grid in cells grows upward like cloth: its bottom row is pick 1, or shaft 1.
- A problem is a real error value; its reason is the answer of ``WHY``.
"""

from __future__ import annotations

from functools import cache

from weavefuncs._index import SHEET_NAMES
from weavefuncs.errors import WeaveError
from weavefuncs.registry import Function, get

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from typing import Any

    from weavefuncs._parameters import Parameter

NUMBER_KINDS = ("number", "whole", "fraction", "logical")
# Kinds for which a zero is a value rather than the blank cell that one host hands on as 0.
ZERO_KINDS = (*NUMBER_KINDS, "any", "grid")
# Kinds that a text suits as it is, unless it is blank.
# fmt: off
TEXT_KINDS = (
    "text", "choice", "length unit", "mass unit", "sett unit", "yarn", "yarn text", "yarn system", "weave",
    "reversals", "sley order", "colour order",
)
# fmt: on
# Kinds of text that a cell may hold as a whole number: a yarn named 12, a colour named 7.
NAMING_KINDS = ("text", "choice", "colour order")

NONE_FOUND = "none"

# The types of nearly every result.
ONE_CELL = frozenset((float, int, str))

# A cell holds a double; a larger whole number cannot have come from one.
BEYOND_CELLS = 2**1023


class CellError:
    """An error value of a spreadsheet, such as ``#VALUE!``."""

    __slots__ = ("code",)

    def __init__(self, code: str = "#VALUE!") -> None:
        self.code = code

    def __repr__(self) -> str:
        return self.code

    def __eq__(self, other: object) -> bool:
        return isinstance(other, CellError) and other.code == self.code

    def __hash__(self) -> int:
        return hash(self.code)


class _ErrorCellError(Exception):
    """An argument cell holds an error: the result is that same error."""

    def __init__(self, argument: str, error: CellError) -> None:
        super().__init__(argument, error)
        self.argument = argument
        self.error = error


def sheet_names() -> tuple[str, ...]:
    """Return the spreadsheet names of all functions, such as ``WEAVE.ENDS``."""
    return tuple("WEAVE." + name for name in SHEET_NAMES)


@cache
def _function(name: str) -> Function:
    return get(name)


def evaluate(name: str, arguments: Sequence[Any]) -> Any:
    """Call a function with the contents of cells.

    Parameters
    ----------
    name : str
        Sheet name, such as ``WEAVE.ENDS``.
    arguments : sequence
        One item an argument: None, bool, number, text, CellError, or rows of them.

    Returns
    -------
    object
        A value, or rows of values. A problem is a CellError, never an exception.
    """
    try:
        answer = answering(name)
    except WeaveError:
        return CellError()
    return answer(arguments)


@cache
def answering(name: str) -> Callable[[Sequence[Any]], Any]:
    """Make what answers for one function as :func:`evaluate` does, for a host that asks it cell after cell.

    Raises
    ------
    WeaveError
        When no function has that name.
    """
    function = _function(name)
    parameters = () if function.variadic else function.parameters
    # Nearly always each cell suits its argument as it is; where one does not, all are read with care.
    plan = tuple((parameter, _suits(parameter), parameter.converted_default) for parameter in parameters)
    defaults = [default for _, _, default in plan]
    most = -1 if function.variadic else len(plan)
    fewest = sum(parameter.required for parameter in parameters)
    finished = function.finished

    def with_care(arguments: Sequence[Any]) -> Any:
        try:
            if function.variadic:
                return reason(arguments)
            return _cells(function, _evaluated(function, arguments, strict=False))
        except _ErrorCellError as stop:
            return stop.error
        except WeaveError:
            return CellError()

    def answer(arguments: Sequence[Any]) -> Any:
        if not fewest <= len(arguments) <= most:
            return with_care(arguments)
        values = []
        try:
            for given, (parameter, suits, default) in zip(arguments, plan):
                if type(given) is suits and (suits is float or not _is_blank(given)):
                    values.append(parameter.convert(given))
                elif given is None and not parameter.required:
                    values.append(default)
                else:
                    return with_care(arguments)
            result = finished(values + defaults[len(values) :])
        except WeaveError:
            return with_care(arguments)  # a column may stand behind what was refused
        return result if type(result) in ONE_CELL else _cells(function, result)

    return answer


def _suits(parameter: Parameter) -> type | None:
    """Return the type that suits an argument as it is, unless it is a blank text."""
    if parameter.kind in NUMBER_KINDS:
        return float
    return str if parameter.kind in TEXT_KINDS else None


def reason(arguments: Sequence[Any]) -> str:
    """Tell in plain words why a call gives an error; an empty text when it does not.

    Parameters
    ----------
    arguments : sequence
        The name of the function, then the contents of its argument cells.
    """
    values = [_one(value) for value in arguments]
    if values and isinstance(values[0], CellError):
        raise _ErrorCellError("name", values[0])
    if not values or not isinstance(values[0], str):
        raise WeaveError("name", "the name of a function, such as ENDS", values[0] if values else None)
    function = _function(values[0])
    if function.variadic:
        raise WeaveError("name", "the name of a function other than WHY itself", values[0])
    # In a sheet a function has its sheet name, and its arguments are words.
    name = function.sheet_name.removeprefix("WEAVE.")
    try:
        _evaluated(function, values[1:], strict=True)
    except _ErrorCellError as stop:
        argument = stop.argument.replace("_", " ")
        return f"{name}: the cell given as {argument} is itself an error ({stop.error.code})"
    except WeaveError as error:
        error.function = name
        error.argument = error.argument.replace("_", " ")
        return str(error)
    return ""


def _one(value: Any) -> Any:
    """Unwrap a range of one cell; a range of none is a blank."""
    if isinstance(value, (list, tuple)) and len(value) < 2:
        row = value[0] if value else ()
        if len(row) < 2:
            return row[0] if row else None
    return value


def _is_blank(value: Any) -> bool:
    return value is None or (isinstance(value, str) and not value.strip())


def _evaluated(function: Function, arguments: Sequence[Any], strict: bool) -> Any:
    parameters = function.parameters
    values: list[Any] = []
    columns_at: list[int] = []
    lists_at: list[int] = []
    lies_across: set[bool] = set()
    for position, given in enumerate(arguments):
        if position >= len(parameters):
            if given is not None:
                values.append(given)  # the registry refuses it and says how many it takes
            continue
        parameter = parameters[position]
        value = _one(given)
        if not isinstance(value, (list, tuple)):
            values.append(_single(parameter, value))
        elif parameter.is_list:
            values.append(_flat(parameter, value))
            lists_at.append(position)
        elif _wants_grid(parameter, value):
            values.append(_grid(parameter, value))
        elif parameter.column:
            values.append([cell for row in value for cell in row])
            columns_at.append(position)
            lies_across.add(_lies_across(parameter, value))
        else:
            _refuse_range(parameter, value)
            values.append(None)
    if lists_at:
        _drop_blank_rows(values, lists_at)
    if not columns_at:
        return function.call(tuple(values), {})
    if len(lies_across) > 1:
        raise WeaveError(_named(function, columns_at), "columns only, or rows only", "a column and a row")
    results = _by_row(function, values, columns_at, strict)
    return _Spread([results] if True in lies_across else [[result] for result in results])


def _single(parameter: Parameter, value: Any) -> Any:
    """One cell for one argument; for a list or a grid it is a list or a grid of one."""
    if parameter.is_list:
        cells = _flat(parameter, [[value]])
        return None if cells == [None] else cells
    return _grid(parameter, [[value]]) if parameter.kind == "grid" else _cell(parameter, value)


def _lies_across(parameter: Parameter, rows: Sequence[Sequence[Any]]) -> bool:
    if len(rows) > 1 and len(rows[0]) > 1:
        raise WeaveError(parameter.name, "one cell, one column or one row of cells", "a block of cells")
    return len(rows) == 1


def _refuse_range(parameter: Parameter, rows: Sequence[Sequence[Any]]) -> None:
    """Refuse a range for an argument that takes one cell only; a blank one passes as not given."""
    cells = [cell for row in rows for cell in row]
    for cell in cells:
        if isinstance(cell, CellError):
            raise _ErrorCellError(parameter.name, cell)
    if not all(map(_is_blank, cells)):
        raise WeaveError(parameter.name, "one cell", "a range of cells")


def _named(function: Function, positions: list[int]) -> str:
    return " and ".join(function.parameters[position].name for position in positions)


class _Spread(list):  # type: ignore[type-arg]
    """Results that already stand in rows of cells."""


def _cell(parameter: Parameter, value: Any, kind: str = "") -> Any:
    """Read one cell for an argument, or for an item of a list of that kind."""
    kind = kind or parameter.kind
    if type(value) is float:
        if value == 0.0 and kind not in ZERO_KINDS:
            return None
        if kind in NAMING_KINDS and value.is_integer():
            return str(int(value))
        return value
    if isinstance(value, str):
        if not value.strip():
            return None
        if kind in NUMBER_KINDS:
            number = _number_in_text(value)
            return value if number is None else number
        return value
    if isinstance(value, CellError):
        raise _ErrorCellError(parameter.name, value)
    if type(value) is int and abs(value) < BEYOND_CELLS:
        return _cell(parameter, float(value), kind)
    return value


def _number_in_text(text: str) -> float | None:
    """Read a number that a cell holds as text, with a decimal point or a decimal comma.

    A comma before three digits may part the thousands instead: 1,200 is refused, 0,125 is not.
    """
    plain = text.strip()
    whole, comma, part = plain.partition(",")
    if comma and "," not in part and "." not in plain:
        if len(part) == 3 and part.isdigit() and whole.lstrip("+-") not in ("", "0"):
            return None
        plain = f"{whole}.{part}"
    if not plain.isascii() or "_" in plain or not any(sign.isdigit() for sign in plain):
        return None
    try:
        return float(plain)
    except ValueError:
        return None


def _wants_grid(parameter: Parameter, rows: Sequence[Sequence[Any]]) -> bool:
    if parameter.kind == "grid":
        return True
    if parameter.kind != "weave":
        return False
    return any(isinstance(cell, (int, float)) or cell in ("0", "1") for row in rows for cell in row)


def _grid(parameter: Parameter, rows: Sequence[Sequence[Any]]) -> list[list[Any]] | None:
    """Read a grid, bottom row first; a blank cell is 0, a grid of blanks only is not given."""
    if all(_is_blank(cell) for row in rows for cell in row):
        return None
    return [[_crossing(parameter, cell) for cell in row] for row in reversed(rows)]


def _crossing(parameter: Parameter, cell: Any) -> Any:
    """Read one cell of a grid."""
    if isinstance(cell, CellError):
        raise _ErrorCellError(parameter.name, cell)
    if not isinstance(cell, str):
        return 0 if cell is None else cell
    number = _number_in_text(cell)
    return number if number is not None else cell.strip() or 0


def _flat(parameter: Parameter, rows: Sequence[Sequence[Any]]) -> list[Any]:
    inner = parameter.kind.removeprefix("list of ").removesuffix("s")
    return [_cell(parameter, cell, inner) for row in rows for cell in row]


def _drop_blank_rows(values: list[Any], lists_at: list[int]) -> None:
    """Leave out the rows in which every list is blank, so that lists stay side by side."""
    if len({len(values[position]) for position in lists_at}) != 1:
        return
    kept = [
        number
        for number in range(len(values[lists_at[0]]))
        if any(values[position][number] is not None for position in lists_at)
    ]
    for position in lists_at:
        values[position] = [values[position][number] for number in kept] or None


def _by_row(function: Function, values: list[Any], columns_at: list[int], strict: bool) -> list[Any]:
    lengths = {len(values[position]) for position in columns_at}
    if len(lengths) != 1:
        raise WeaveError(
            _named(function, columns_at),
            "columns of as many rows",
            " and ".join(str(len(values[position])) for position in columns_at) + " rows",
        )
    results: list[Any] = []
    for number in range(lengths.pop()):
        cells = list(values)
        for position in columns_at:
            cells[position] = values[position][number]
        if all(_is_blank(cells[position]) for position in columns_at):
            results.append("")
            continue
        try:
            for position in columns_at:
                cells[position] = _cell(function.parameters[position], cells[position])
            results.append(function.call(tuple(cells), {}))
        except _ErrorCellError as stop:
            if strict:
                raise
            results.append(stop.error)
        except WeaveError as error:
            if strict:
                error.row = number + 1
                raise
            results.append(CellError())
    return results


def _cells(function: Function, result: Any) -> Any:
    """Lay a result out in cells."""
    if isinstance(result, _Spread):
        return list(result)
    if not isinstance(result, (list, tuple)):
        return result
    kind = function.result_kind
    if not result:
        return NONE_FOUND
    if kind == "grid":
        return [[int(cell) for cell in row] for row in reversed(result)]
    if kind == "table":
        return [["" if cell is None else cell for cell in row] for row in result]
    if kind.startswith("row of "):
        return [list(result)]
    return [[cell] for cell in result]
