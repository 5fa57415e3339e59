"""The formulas of the planner that call our functions, worked out in plain Python. Not a test.

Each cell is worked out from what its arguments' cells show, and the call is made of the library itself: no
cell adapter, no engine, no office takes part. It knows what those formulas use and raises at anything else.
"""

from __future__ import annotations

import math
import operator
import re
from collections.abc import Callable
from typing import Any

from openpyxl.utils.cell import get_column_letter, range_boundaries

import weavefuncs
from weavefuncs import registry

TOKEN = re.compile(
    r"""\s*(?:(?P<text>"(?:[^"]|"")*")
    |(?P<number>\d+(?:\.\d+)?)
    |(?P<call>[A-Z.]+)\(
    |(?P<area>(?:(?:'[^']+'|[A-Za-z]+)!)?\$?[A-Z]{1,3}\$?\d+:\$?[A-Z]{1,3}\$?\d+)
    |(?P<place>(?:(?:'[^']+'|[A-Za-z]+)!)?\$?[A-Z]{1,3}\$?\d+)
    |(?P<name>[A-Za-z]+)
    |(?P<sign><>|<=|>=|[-+*/&=<>(),]))""",
    re.VERBOSE,
)

# From the loosest to the tightest.
LEVELS = (("=", "<>", "<=", ">=", "<", ">"), ("&",), ("+", "-"), ("*", "/"))
COMPARED = {"<=": operator.le, ">=": operator.ge, "<": operator.lt, ">": operator.gt}
SUMS = {"+": operator.add, "-": operator.sub, "*": operator.mul, "/": operator.truediv}

OURS = {registry.get(name).sheet_name: getattr(weavefuncs, name) for name in registry.names()}


class CellShowsError(Exception):
    """What a cell shows instead of a value."""


class Block(list[Any]):
    """What the cells of a range show, one after another; ``rows`` has them as they stand."""

    def __init__(self, addresses: list[str], shown: list[Any]) -> None:
        super().__init__(shown)
        numbers = [re.sub("[A-Z]", "", address) for address in addresses]
        self.rows = [
            [value for value, number in zip(shown, numbers) if number == row]
            for row in dict.fromkeys(numbers)
        ]


class Cells:
    """What the cells of a workbook show.

    Parameters
    ----------
    shown : callable
        Gives what a cell shows, by sheet and address: None for a blank, CellShowsError raised for an error.
    names : dict
        Defined name to (sheet, list of addresses).
    """

    def __init__(self, shown: Callable[[str, str], Any], names: dict[str, tuple[str, list[str]]]) -> None:
        self.shown = shown
        self.names = names

    def work_out(self, sheet: str, formula: str) -> Any:
        """Work a formula out; an error is raised as CellShowsError."""
        return _Formula(self, sheet, formula).result()


class _Formula:
    def __init__(self, cells: Cells, sheet: str, formula: str) -> None:
        self.cells = cells
        self.sheet = sheet
        self.tokens: list[tuple[str, str]] = []
        at = 1
        while at < len(formula):
            found = TOKEN.match(formula, at)
            assert found is not None, formula[at:]
            assert found.lastgroup is not None
            self.tokens.append((found.lastgroup, found[found.lastgroup]))
            at = found.end()
        self.at = 0

    def result(self) -> Any:
        value = self._level(0)()
        assert self.at == len(self.tokens)
        return value

    # Parts are parsed to functions of no argument, so that a branch not taken is not worked out.

    def _level(self, level: int) -> Callable[[], Any]:
        if level == len(LEVELS):
            return self._part()
        left = self._level(level + 1)
        while self._next() in [("sign", sign) for sign in LEVELS[level]]:
            sign = self._take()
            left = self._joined(sign, left, self._level(level + 1))
        return left

    def _next(self) -> tuple[str, str]:
        return self.tokens[self.at] if self.at < len(self.tokens) else ("end", "")

    def _take(self) -> str:
        self.at += 1
        return self.tokens[self.at - 1][1]

    @staticmethod
    def _joined(sign: str, left: Callable[[], Any], right: Callable[[], Any]) -> Callable[[], Any]:
        if sign in ("=", "<>"):
            return lambda: _same(left(), right()) == (sign == "=")
        if sign in COMPARED:
            return lambda: COMPARED[sign](left(), right())
        if sign == "&":
            return lambda: _text(left()) + _text(right())
        return lambda: SUMS[sign](_number(left()), _number(right()))

    def _part(self) -> Callable[[], Any]:
        kind, _ = self._next()
        token = self._take()
        if kind == "text":
            return lambda: token[1:-1].replace('""', '"')
        if kind == "number":
            return lambda: float(token)
        if kind == "call":
            return self._call(token)
        if kind == "place":
            sheet, _, address = token.rpartition("!")
            return lambda: self.cells.shown(sheet.strip("'") or self.sheet, address.replace("$", ""))
        if kind == "area":
            sheet, _, corners = token.rpartition("!")
            return lambda: self._block(sheet.strip("'") or self.sheet, _addresses(corners.replace("$", "")))
        if kind == "name":
            return lambda: self._named(token)
        assert token == "(", token
        inner = self._level(0)
        assert self._take() == ")"
        return inner

    def _named(self, name: str) -> Any:
        if name in ("TRUE", "FALSE"):
            return name == "TRUE"
        sheet, addresses = self.cells.names[name]
        if len(addresses) == 1:
            return self.cells.shown(sheet, addresses[0])
        return self._block(sheet, addresses)

    def _block(self, sheet: str, addresses: list[str]) -> Block:
        return Block(addresses, [self.cells.shown(sheet, address) for address in addresses])

    def _place_of(self, name: str) -> Callable[[], Any]:
        """The number of the row or column of one cell: what it shows does not matter."""
        address = self._take().rpartition("!")[2].replace("$", "")
        assert self._take() == ")", address
        column, row, *_ = range_boundaries(address)
        return lambda: row if name == "ROW" else column

    def _call(self, name: str) -> Callable[[], Any]:
        if name in ("ROW", "COLUMN"):
            return self._place_of(name)
        arguments: list[Callable[[], Any]] = []
        while self._next() != ("sign", ")"):
            arguments.append(self._level(0))
            if self._next() == ("sign", ","):
                self._take()
        self._take()
        if name in OURS:
            return lambda: _ask(name, [argument() for argument in arguments])
        return lambda: NATIVE[name](*arguments)


def _ask(name: str, arguments: list[Any]) -> Any:
    try:
        function = registry.get(name)
        if function.variadic:
            return OURS[name](*[None if value == "" else value for value in arguments])
        return OURS[name](*map(_given, function.parameters, arguments))
    except weavefuncs.WeaveError as error:
        raise CellShowsError("#VALUE!") from error


def _given(parameter: Any, value: Any) -> Any:
    if isinstance(value, Block):
        # A list leaves blanks out; a grid has its first pick, or shaft, in the lowest row.
        if parameter.is_list:
            return [cell for cell in value if cell not in (None, "")]
        assert parameter.kind == "grid", parameter.name
        return [[cell or 0 for cell in row] for row in reversed(value.rows)]
    if value == "" or value is None:
        return None
    return [value] if parameter.is_list else value


def _addresses(corners: str) -> list[str]:
    left, top, right, bottom = range_boundaries(corners)
    return [
        f"{get_column_letter(column)}{row}"
        for row in range(top, bottom + 1)
        for column in range(left, right + 1)
    ]


def _cells(values: tuple[Callable[[], Any], ...]) -> list[Any]:
    """What the arguments show, ranges cell by cell."""
    shown = [value() for value in values]
    return [cell for value in shown for cell in (value if isinstance(value, Block) else [value])]


def _numbers(values: tuple[Callable[[], Any], ...]) -> list[float]:
    return [cell for cell in _cells(values) if isinstance(cell, (int, float))]


def _count_ifs(values: tuple[Callable[[], Any], ...]) -> int:
    columns, wanted = [value() for value in values[::2]], [value() for value in values[1::2]]
    return sum(
        all(cell is not None and _meets(cell, want) for cell, want in zip(line, wanted))
        for line in zip(*columns)
    )


def _sum_if(column: list[Any], wanted: Any, summed: list[Any]) -> float:
    found = (value for name, value in zip(column, summed) if name is not None and _meets(name, wanted))
    return sum(value for value in found if isinstance(value, (int, float)))


def _sum_ifs(summed: Callable[[], Any], *tests: Callable[[], Any]) -> float:
    columns, wanted = [value() for value in tests[::2]], [value() for value in tests[1::2]]
    return sum(
        value
        for value, *line in zip(summed(), *columns)
        if isinstance(value, (int, float))
        and all(cell is not None and _meets(cell, want) for cell, want in zip(line, wanted))
    )


def _meets(cell: Any, wanted: Any) -> bool:
    if wanted == ">=0":
        return isinstance(cell, (int, float)) and cell >= 0
    return _same(cell, _taken_as_it_is(wanted.removeprefix("=")) if isinstance(wanted, str) else wanted)


def _taken_as_it_is(pattern: str) -> str:
    """The one text that a pattern stands for, in which each * and ? has a ~ in front."""
    assert not re.search(r"(?<!~)[*?]", re.sub("~~", "", pattern)), pattern
    return re.sub("~(.)", r"\1", pattern)


def _same(left: Any, right: Any) -> bool:
    blank = {str: "", float: 0.0, int: 0, bool: False, type(None): None}
    left, right = (blank[type(b)] if a is None else a for a, b in ((left, right), (right, left)))
    if isinstance(left, str) and isinstance(right, str):
        return left.casefold() == right.casefold()
    return isinstance(left, str) == isinstance(right, str) and left == right


def _text(value: Any) -> str:
    return "" if value is None else f"{value:.15g}" if isinstance(value, (int, float)) else value


def _number(value: Any) -> float:
    return 0.0 if value is None else float(value)


def _is_error(value: Callable[[], Any]) -> bool:
    try:
        value()
    except CellShowsError:
        return True
    return False


def _not_available() -> Any:
    raise CellShowsError("#N/A")


def _match(wanted: Any, column: list[Any]) -> int:
    if isinstance(wanted, str):
        wanted = _taken_as_it_is(wanted)
    for number, value in enumerate(column, start=1):
        if value is not None and _same(value, wanted):
            return number
    raise CellShowsError("#N/A")


def _search(wanted: str, text: str) -> int:
    at = text.casefold().find(wanted.casefold())
    return at + 1 if at >= 0 else _not_available()


NATIVE: dict[str, Callable[..., Any]] = {
    "IF": lambda test, yes, no: yes() if test() else no(),
    "IFERROR": lambda value, otherwise: otherwise() if _is_error(value) else value(),
    "ISBLANK": lambda value: value() is None,
    "ISERROR": _is_error,
    "ISNUMBER": lambda value: not _is_error(value) and isinstance(value(), (int, float)),
    "N": lambda value: _number(value()) if not isinstance(value(), str) else 0.0,
    "NA": _not_available,
    "NOT": lambda value: not value(),
    "OR": lambda *values: any(value() for value in values),
    "AND": lambda *values: all(value() for value in values),
    "MIN": lambda *values: min(_numbers(values), default=0.0),
    "MAX": lambda *values: max(_numbers(values), default=0.0),
    "COUNT": lambda *values: len(_numbers(values)),
    "COUNTA": lambda *values: sum(value is not None for value in _cells(values)),
    "ROUND": lambda value, digits: round(value(), int(digits())),
    "ROUNDUP": lambda value, digits: math.ceil(value() * 10 ** digits()) / 10 ** digits(),
    "SUMIF": lambda column, wanted, summed: _sum_if(column(), wanted(), summed()),
    "SUMIFS": _sum_ifs,
    "COUNTIF": lambda column, wanted: _count_ifs((column, wanted)),
    "COUNTIFS": lambda *values: _count_ifs(values),
    "MATCH": lambda wanted, column, _: _match(wanted(), column()),
    "FIXED": lambda value, digits: f"{value():,.{int(digits())}f}",
    "SUBSTITUTE": lambda text, old, new: _text(text()).replace(old(), new()),
    "TRIM": lambda text: " ".join(filter(None, _text(text()).split(" "))),
    "SEARCH": lambda wanted, text: _search(wanted(), text()),
    "INDEX": lambda column, row: column()[int(row()) - 1],
}
