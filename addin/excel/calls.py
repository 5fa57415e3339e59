"""From what xlwings hands over to the cell adapter, and back."""

from __future__ import annotations

import datetime
import inspect
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from weavefuncs.addin.cells import CellError, evaluate
from weavefuncs.addin.excel.spelling import argument_name, function_name
from weavefuncs.addin.reference import words

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from weavefuncs.registry import Function


class ErrorInCellError(Exception):
    """A result that is an error value, for a host that can show one only by raising something."""


# xlwings hands an error cell on as its text.
ERROR_TEXTS = {
    code: CellError(code)
    for code in (
        "#BLOCKED!",
        "#BUSY!",
        "#CALC!",
        "#CONNECT!",
        "#DIV/0!",
        "#FIELD!",
        "#GETTING_DATA",
        "#N/A",
        "#NAME?",
        "#NULL!",
        "#NUM!",
        "#REF!",
        "#SPILL!",
        "#UNKNOWN!",
        "#VALUE!",
    )
}

# The error values that xlwings does not know arrive as whole numbers with this upper half: 0x800A.
ERROR_HALF = -32758

FIRST_DAY = datetime.datetime(1899, 12, 30)
SECONDS_A_DAY = 86400


def serial(**parts: Any) -> float:
    """Count the days of a date as the sheet does: xlwings calls this with its year, month, day and so on."""
    return (datetime.datetime(**parts) - FIRST_DAY).total_seconds() / SECONDS_A_DAY


# The argument that stands for any number of them.
REST = "arguments"

# How xlwings shall read cells: always rows of cells, errors kept, dates as the numbers they are.
READING = {"ndim": 2, "err_to_str": True, "dates": serial}


def read(given: Any) -> Any:
    """Read what xlwings hands over for one argument: None where it was left out, or rows of cells."""
    if given is None:
        return None
    if len(given) == 1 and len(given[0]) == 1:
        return _cell(given[0][0])
    return [[_cell(value) for value in row] for row in given]


def _cell(value: Any) -> Any:
    kind = type(value)
    if kind is float or value is None:
        return value
    if kind is str:
        return ERROR_TEXTS.get(value, value)
    if kind is int:
        return CellError() if value >> 16 == ERROR_HALF else float(value)
    # Cells that are formatted as currency.
    return float(value) if isinstance(value, Decimal) else value


def shown(result: Any) -> Any:
    """Turn whole numbers into numbers as cells hold them: a large one has no type in Excel."""
    if isinstance(result, list):
        return [[shown(value) for value in row] for row in result]
    return float(result) if type(result) is int else result


def host_function(function: Function, answer: Callable[[Any], Any]) -> Callable[..., Any]:
    """Make the function that xlwings calls for one of ours.

    Parameters
    ----------
    function : Function
        What the registry knows.
    answer : callable
        Turns the result of the adapter into what xlwings shall return.
    """
    sheet_name = function.sheet_name

    def call(*arguments: Any) -> Any:
        return answer(evaluate(sheet_name, [read(argument) for argument in arguments]))

    call.__name__ = call.__qualname__ = function_name(function)
    call.__doc__ = words.cut(function.docstring.summary)
    # xlwings chooses converters by annotations.
    call.__annotations__ = {}
    call.__signature__ = inspect.Signature(_parameters(function))  # type: ignore[attr-defined]
    return call


def _parameters(function: Function) -> Sequence[inspect.Parameter]:
    parameters = [
        # What is left out is None whatever the default is: the adapter knows the default.
        inspect.Parameter(
            argument_name(parameter.name),
            inspect.Parameter.POSITIONAL_OR_KEYWORD,
            default=inspect.Parameter.empty if parameter.required else None,
        )
        for parameter in function.parameters
    ]
    if function.variadic:
        parameters.append(inspect.Parameter(REST, inspect.Parameter.VAR_POSITIONAL))
    return parameters


def argument_help(function: Function) -> dict[str, str]:
    """Write the help for each argument."""
    texts = {
        argument_name(parameter.name): words.cut(words.help_of(parameter))
        for parameter in function.parameters
    }
    if function.variadic:
        texts[REST] = words.cut(words.help_of_rest(function))
    return texts
