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

from weavefuncs._index import FUNCTIONS
from weavefuncs.errors import WeaveError
from weavefuncs.registry import Function, get

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import Any

    from weavefuncs._parameters import Parameter

NUMBER_KINDS = ("number", "whole", "fraction", "logical")
# Texts that are made of numbers, so that a cell may hold them as a number.
NUMBER_LIKE_KINDS = ("reversals", "sley order")

NONE_FOUND = "none"

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
    return tuple("WEAVE." + name.upper().replace("_", "") for name in FUNCTIONS)


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
        function = _function(name)
        if function.variadic:
            return reason(arguments)
        return _cells(function, _evaluated(function, arguments, strict=False))
    except _ErrorCellError as stop:
        return stop.error
    except WeaveError:
        return CellError()


def reason(arguments: Sequence[Any]) -> str:
    """Tell in plain words why a call gives an error; an empty text when it does not.

    Parameters
    ----------
    arguments : sequence
        The name of the function, then the contents of its argument cells.
    """
    values = [_one(value) for value in arguments]
    if not values or not isinstance(values[0], str):
        raise WeaveError("name", "the name of a function, such as ENDS", values[0] if values else None)
    function = _function(values[0])
    if function.variadic:
        raise WeaveError("name", "the name of a function other than WHY itself", values[0])
    try:
        _evaluated(function, values[1:], strict=True)
    except _ErrorCellError as stop:
        return f"{function.name}: the cell given as {stop.argument} is itself an error ({stop.error.code})"
    except WeaveError as error:
        return str(error)
    return ""


def _one(value: Any) -> Any:
    """Unwrap a range of one cell."""
    if isinstance(value, (list, tuple)) and len(value) == 1:
        row = value[0]
        if isinstance(row, (list, tuple)):
            if len(row) == 1:
                return row[0]
        else:
            return row
    return value


def _is_blank(value: Any) -> bool:
    return value is None or (isinstance(value, str) and not value.strip())


def _evaluated(function: Function, arguments: Sequence[Any], strict: bool) -> Any:
    parameters = function.parameters
    values: list[Any] = []
    columns_at: list[int] = []
    lists_at: list[int] = []
    across = False
    for position, given in enumerate(arguments):
        if position >= len(parameters):
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
        else:
            cells, lies_across = _line(parameter, value)
            across = across or lies_across
            values.append(cells)
            columns_at.append(position)
    if lists_at:
        _drop_blank_rows(values, lists_at)
    if not columns_at:
        return function.call(tuple(values), {})
    results = _by_row(function, values, columns_at, strict)
    return _Spread([results] if across else [[result] for result in results])


def _single(parameter: Parameter, value: Any) -> Any:
    """One cell for one argument; for a list or a grid it is a list or a grid of one."""
    cell = _cell(parameter, value)
    if cell is None:
        return None
    if parameter.is_list:
        return [cell]
    return [[cell]] if parameter.kind == "grid" else cell


def _line(parameter: Parameter, rows: Sequence[Sequence[Any]]) -> tuple[list[Any], bool]:
    """Read a column or a row of cells; the second answer tells whether it lies across."""
    if not parameter.column:
        raise WeaveError(parameter.name, "one cell", "a range of cells")
    across = len(rows[0]) > 1
    if across and len(rows) > 1:
        raise WeaveError(parameter.name, "one cell, one column or one row of cells", "a block of cells")
    return [cell for row in rows for cell in row], across


class _Spread(list):  # type: ignore[type-arg]
    """Results that already stand in rows of cells."""


def _cell(parameter: Parameter, value: Any) -> Any:
    if type(value) is float:
        if value == 0.0 and parameter.kind not in NUMBER_KINDS and parameter.kind not in ("any", "grid"):
            return None
        if parameter.kind in ("text", "choice", "colour order") and value.is_integer():
            return str(int(value))
        return value
    if isinstance(value, str):
        if not value.strip():
            return None
        if parameter.kind in NUMBER_KINDS:
            number = _number_in_text(value)
            return value if number is None else number
        return value
    if isinstance(value, CellError):
        raise _ErrorCellError(parameter.name, value)
    if type(value) is int and abs(value) < BEYOND_CELLS:
        return _cell(parameter, float(value))
    return value


def _number_in_text(text: str) -> float | None:
    """Read a number that a cell holds as text, with a decimal point or a decimal comma."""
    plain = text.strip()
    if plain.count(",") == 1 and "." not in plain:
        plain = plain.replace(",", ".")
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
    return not all(_is_blank(cell) or isinstance(cell, str) for row in rows for cell in row)


def _grid(parameter: Parameter, rows: Sequence[Sequence[Any]]) -> list[list[Any]]:
    out = []
    for row in reversed(rows):
        cells = []
        for cell in row:
            if isinstance(cell, CellError):
                raise _ErrorCellError(parameter.name, cell)
            if _is_blank(cell):
                cells.append(0)
            elif isinstance(cell, str):
                cells.append(_number_in_text(cell) if _number_in_text(cell) is not None else cell)
            else:
                cells.append(cell)
        out.append(cells)
    return out


def _flat(parameter: Parameter, rows: Sequence[Sequence[Any]]) -> list[Any]:
    inner = parameter.kind.removeprefix("list of ").removesuffix("s")
    out = []
    for row in rows:
        for cell in row:
            if isinstance(cell, CellError):
                raise _ErrorCellError(parameter.name, cell)
            if _is_blank(cell):
                out.append(None)
            elif isinstance(cell, str) and inner in NUMBER_KINDS:
                number = _number_in_text(cell)
                out.append(cell if number is None else number)
            else:
                out.append(cell)
    return out


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
            " and ".join(function.parameters[position].name for position in columns_at),
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
