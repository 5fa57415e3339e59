"""Arguments as typed in a shell, read into cells; and cells printed so that they can be typed again."""

from __future__ import annotations

from argparse import ArgumentTypeError
from typing import TYPE_CHECKING, Any

from weavefuncs.errors import WeaveError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from weavefuncs._parameters import Parameter

TRUTHS = {"true": True, "false": False}

HOW_TO_TYPE = """\
how to type an argument:
  12  12.5  12,5      a number; 10 % is 0.10
  '8/2 Ne'            a text, in quotes where it has a space
  ''                  not given
  'a;b;c'             a list, or a column: a result for each
  1100/0110/0011      a grid: rows of 1 (warp up) and 0, the first row is pick 1
  true  false         yes or no
  parity=odd          an argument by its name
"""


def whole(text: str) -> int:
    """Read a whole number for an option."""
    try:
        return int(text)
    except ValueError:
        raise ArgumentTypeError(f"{text!r} is not a whole number") from None


def above_nothing(text: str) -> float:
    """Read a number above 0 for an option."""
    try:
        number = float(text)
    except ValueError:
        number = 0.0
    if not 0 < number < float("inf"):
        raise ArgumentTypeError(f"{text!r} is not a number above 0")
    return number


def read(parameters: Sequence[Parameter], texts: Sequence[str]) -> list[Any]:
    """Read typed arguments into cells, in the order of the parameters.

    Raises
    ------
    WeaveError
        When an argument is given twice: by its name and by its place, or twice by its name.
    """
    names = [parameter.name for parameter in parameters]
    cells: list[Any] = [None] * len(parameters)
    given: set[int] = set()
    by_place = 0
    for text in texts:
        name, sign, value = text.partition("=")
        if sign and name in names:
            at = names.index(name)
        else:
            at, value = by_place, text
            by_place += 1
        if at >= len(parameters):
            cells.append(text)
            continue
        if at in given:
            raise WeaveError(names[at], "given once", value)
        given.add(at)
        cells[at] = cell(parameters[at], value)
    return cells


def cell(parameter: Parameter, text: str) -> Any:
    """Read one typed argument: None, a text, true or false, or rows of cells."""
    text = text.strip()
    if not text:
        return None
    # What a call prints holds a row a line.
    lines = text.splitlines()
    if parameter.kind in ("grid", "weave") and set(text) <= set("01/\n"):
        rows = [row for line in lines for row in line.strip("/").split("/")]
        return [list(row) for row in reversed(rows)]  # in cells the cloth grows upward
    if parameter.kind == "logical":
        return TRUTHS.get(text.lower(), text)
    rows = [row for line in lines for row in line.split(";")]
    if len(rows) > 1 and (parameter.column or parameter.is_list):
        return [[row] for row in rows]
    return text


def shown(result: Any, kind: str) -> str:
    """Write a result: a line for each row, a grid from pick 1 on."""
    if not isinstance(result, list):
        return _cell_text(result)
    rows = reversed(result) if kind == "grid" else result
    between = {"grid": "", "table": "\t"}.get(kind, ";")
    return "\n".join(between.join(map(_cell_text, row)) for row in rows)


def _cell_text(value: Any) -> str:
    return f"{value:.15g}" if isinstance(value, float) else str(value)
