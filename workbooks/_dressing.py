"""What a sheet shows beside its values: formats of cells, cells merged, whether it is protected."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from weavefuncs.addin.offline.grid import area_bounds, cell_position
from weavefuncs.addin.offline.markup import elements, local, parse, parser_for, refuse_depth, whole_number
from weavefuncs.addin.offline.problems import WorkbookProblem
from weavefuncs.addin.offline.workbook import Sheet, Workbook

# Built-in formats of dates and times, ECMA-376 part 1, 18.8.30.
DATE_FORMATS = frozenset([*range(14, 23), *range(45, 48)])

MOST_MERGED = 10_000

_LITERAL = re.compile(r'"[^"]*"|\\.|_.|\*.|\[[^\[\]]*\]')
_STYLES = "xl/styles.xml"


@dataclass(frozen=True)
class Style:
    """What a cell's format says that matters here."""

    locked: bool = True
    date: bool = False


@dataclass
class Dressing:
    """The formats of a sheet's cells, and what else lies on it."""

    styles: dict[tuple[int, int], Style] = field(default_factory=dict)
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)
    protected: bool = False

    def is_date(self, row: int, column: int) -> bool:
        """Tell whether a cell shows its number as a date."""
        return self.styles.get((row, column), Style()).date

    def is_open(self, row: int, column: int) -> bool:
        """Tell whether a cell can be written while the sheet is protected."""
        return not self.styles.get((row, column), Style()).locked


def read_dressing(book: Workbook, sheet: Sheet) -> Dressing:
    """Read the formats of a sheet's cells, its merged cells, and whether it is protected."""
    styles = _styles(book)
    dressing = Dressing()
    label = f"{book.package.name}, sheet {sheet.name},"
    parser = parser_for(label)
    depth = 0

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal depth
        depth += 1
        refuse_depth(depth, label)
        name = local(name)
        if name == "c" and depth == 4:
            number = whole_number(attributes.get("s", "0"))
            position = cell_position(attributes.get("r", ""))
            if position and number is not None and number < len(styles):
                dressing.styles[position] = styles[number]
        elif name == "mergeCell":
            bounds = area_bounds(attributes.get("ref", ""))
            if bounds:
                dressing.merged.append(bounds)
            if len(dressing.merged) > MOST_MERGED:
                raise WorkbookProblem(f"{label} has more than {MOST_MERGED} merged cells.")
        elif name == "sheetProtection":
            dressing.protected = attributes.get("sheet") in ("1", "true")

    def end(_: str) -> None:
        nonlocal depth
        depth -= 1

    parser.StartElementHandler = start
    parser.EndElementHandler = end
    parse(parser, sheet.content, label)
    return dressing


def _styles(book: Workbook) -> list[Style]:
    if _STYLES not in book.package.members:
        return []
    formats: dict[str, str] = {}
    found: list[tuple[str, bool]] = []
    locked = True

    def visit(path: str, attributes: dict[str, str], _: str) -> None:
        nonlocal locked
        if path.endswith("numFmts/numFmt"):
            formats[attributes.get("numFmtId", "")] = attributes.get("formatCode", "")
        elif path == "styleSheet/cellXfs/xf/protection":
            locked = attributes.get("locked", "1") in ("1", "true")
        elif path == "styleSheet/cellXfs/xf":
            found.append((attributes.get("numFmtId", "0"), locked))
            locked = True

    elements(book.package.read(_STYLES), f"{book.package.name}, part {_STYLES},", visit)
    return [Style(locked, _is_date(number, formats)) for number, locked in found]


def _is_date(number: str, formats: dict[str, str]) -> bool:
    if number in formats:
        shown: Iterable[str] = _LITERAL.sub("", formats[number]).lower()
        return any(letter in "ymdhs" for letter in shown) and "general" not in formats[number].lower()
    return whole_number(number) in DATE_FORMATS
