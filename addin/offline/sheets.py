"""The cells of one sheet part: constants by position, and formula cells with the bytes they stand at."""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import product

from .grid import MAX_COLUMN, MAX_ROW, area_bounds, area_size, column_number
from .markup import parse, parser_for, refuse_depth, unescaped, whole_number
from .problems import WorkbookProblem
from .values import CellError, Value

MAX_CELLS = 1_000_000

_ENCODING = re.compile(rb"""<\?xml[^>]*?encoding\s*=\s*["']([^"']*)""")
_DIGITS = "0123456789"


@dataclass(slots=True)
class FormulaCell:
    """A cell with a formula, and the byte positions of the elements in it that the splicer needs.

    A position is where the element's start tag or end tag begins; -1 stands for an element that is not there.
    """

    row: int
    column: int
    start: int
    attributes: Mapping[str, str]
    formula: str = ""
    formula_attributes: Mapping[str, str] = field(default_factory=dict)
    formula_start: int = -1
    formula_end: int = -1
    value_start: int = -1
    value_end: int = -1
    text: str | None = None
    stored: Value = None
    anchor: tuple[int, int] | None = None
    """For a cell of an array formula that another cell holds: that cell."""

    @property
    def kind(self) -> str:
        """The kind of formula: normal, shared, array or dataTable."""
        return self.formula_attributes.get("t", "normal")


@dataclass(slots=True)
class SheetCells:
    """What a sheet part holds: the values of its constants, and its formula cells in document order."""

    values: dict[tuple[int, int], Value]
    formulas: list[FormulaCell]
    hidden_rows: frozenset[int]


def refuse_other_encodings(content: bytes, label: str) -> None:
    """Refuse a part that is not UTF-8, because it is edited as bytes."""
    declared = _ENCODING.match(content.removeprefix(b"\xef\xbb\xbf"))
    if content[:2] in (b"\xff\xfe", b"\xfe\xff") or (
        declared and declared[1].upper() not in (b"UTF-8", b"UTF8", b"US-ASCII", b"ASCII")
    ):
        raise WorkbookProblem(f"{label} is not written in UTF-8. Save the workbook again, and try once more.")


def read_strings(content: bytes, label: str) -> list[str]:
    """Read the shared strings; phonetic hints are no part of a string."""
    strings: list[str] = []
    stack: list[str] = []
    pieces: list[str] = []
    parser = parser_for(label)

    def start(name: str, _: dict[str, str]) -> None:
        refuse_depth(len(stack), label)
        stack.append(name.rpartition(":")[2])
        if len(stack) == 2:
            pieces.clear()

    def end(_: str) -> None:
        if len(stack) == 2 and stack[1] == "si":
            strings.append(unescaped("".join(pieces)))
        stack.pop()

    def data(text: str) -> None:
        if stack[-1] == "t" and "rPh" not in stack:
            pieces.append(text)

    parser.StartElementHandler = start
    parser.EndElementHandler = end
    parser.CharacterDataHandler = data
    parse(parser, content, label)
    return strings


def read_cells(content: bytes, label: str, strings: Sequence[str], date1904: bool = False) -> SheetCells:
    """Read every cell of a sheet part in one pass.

    Names are compared with the prefix that the part's first element has, and by their depth, so that nothing
    inside an extension is taken for a cell.
    """
    refuse_other_encodings(content, label)
    values: dict[tuple[int, int], Value] = {}
    formulas: list[FormulaCell] = []
    arrays: dict[tuple[int, int], tuple[int, int]] = {}
    in_arrays = 0
    hidden: set[int] = set()
    depth = row = column = 0
    in_data = in_row = in_cell = collecting = phonetic = False
    tag_data = tag_row = tag_cell = tag_formula = tag_value = tag_inline = tag_text = tag_phonetic = ""
    cell: FormulaCell | None = None
    attributes: dict[str, str] = {}
    cell_start = value_start = value_end = -1
    text: str | None = None
    pieces: list[str] = []
    parser = parser_for(label)

    def begin(name: str) -> None:
        nonlocal tag_data, tag_row, tag_cell, tag_formula, tag_value, tag_inline, tag_text, tag_phonetic
        prefix = name[: -len(name.rpartition(":")[2])]
        tag_data, tag_row, tag_cell, tag_formula, tag_value, tag_inline, tag_text, tag_phonetic = (
            prefix + tag for tag in ("sheetData", "row", "c", "f", "v", "is", "t", "rPh")
        )

    def start(name: str, found: dict[str, str]) -> None:
        nonlocal depth, row, column, in_data, in_row, in_cell, collecting, phonetic
        nonlocal cell, attributes, cell_start, value_start, value_end, text
        depth += 1
        if depth == 5:
            if not in_cell:
                return
            pieces.clear()
            if name == tag_value:
                value_start, collecting = parser.CurrentByteIndex, True
            elif name == tag_formula:
                collecting = True
                cell = FormulaCell(row, column, cell_start, attributes, "", found, parser.CurrentByteIndex)
            elif name == tag_inline:
                value_start = parser.CurrentByteIndex
        elif depth == 4:
            if in_row and name == tag_cell:
                in_cell, cell, text, attributes = True, None, None, found
                cell_start, value_start, value_end = parser.CurrentByteIndex, -1, -1
                row, column = _position(found.get("r"), row, column, label)
        elif depth == 3:
            if in_data and name == tag_row:
                in_row, row, column = True, _number(found.get("r"), row + 1, label), 0
                if found.get("hidden") in ("1", "true"):
                    hidden.add(row)
        elif depth == 2:
            in_data = name == tag_data
        elif depth == 1:
            begin(name)
        elif in_cell:
            if name == tag_phonetic:
                phonetic = True
            elif name == tag_text and not phonetic:
                collecting = True

    def end(name: str) -> None:
        nonlocal depth, in_data, in_row, in_cell, collecting, phonetic, text, value_end
        depth -= 1
        if depth == 4:
            if not in_cell:
                return
            collecting = False
            if name in (tag_value, tag_inline):
                value_end, text = parser.CurrentByteIndex, "".join(pieces)
            elif name == tag_formula and cell is not None:
                cell.formula, cell.formula_end = "".join(pieces), parser.CurrentByteIndex
        elif depth == 3:
            if in_cell:
                in_cell = False
                finish()
        elif depth == 2:
            in_row = False
        elif depth == 1:
            in_data = False
        elif name == tag_text:
            collecting = False
        elif name == tag_phonetic:
            phonetic = False

    def finish() -> None:
        nonlocal in_arrays
        value = None if text is None else _value(attributes.get("t"), text, strings, label, date1904)
        held = cell
        if held is not None:
            if held.kind == "array":
                top, left, bottom, right = _array_bounds(held)
                in_arrays += area_size((top, left, bottom, right))
                if in_arrays > MAX_CELLS:
                    raise WorkbookProblem(f"{label} has array formulas of more than {MAX_CELLS} cells.")
                for place in product(range(top, bottom + 1), range(left, right + 1)):
                    arrays.setdefault(place, (top, left))
        elif (row, column) in arrays:
            held = FormulaCell(row, column, cell_start, attributes, anchor=arrays[row, column])
        if held is not None:
            held.value_start, held.value_end, held.text, held.stored = value_start, value_end, text, value
            formulas.append(held)
        elif value is not None:
            values[row, column] = value
        if len(formulas) + len(values) > MAX_CELLS:
            raise WorkbookProblem(f"{label} holds more than {MAX_CELLS} cells.")

    def data(piece: str) -> None:
        if collecting:
            pieces.append(piece)

    parser.StartElementHandler = start
    parser.EndElementHandler = end
    parser.CharacterDataHandler = data
    parse(parser, content, label)
    return SheetCells(values, formulas, frozenset(hidden))


def _array_bounds(cell: FormulaCell) -> tuple[int, int, int, int]:
    """Return the cells of an array formula: its own where it does not say."""
    given = area_bounds(cell.formula_attributes.get("ref", ""))
    return given or (cell.row, cell.column, cell.row, cell.column)


def _number(text: str | None, otherwise: int, label: str) -> int:
    if text is None:
        return otherwise
    number = whole_number(text)
    if number is None or not 1 <= number <= MAX_ROW:
        raise WorkbookProblem(f"{label} has a row numbered {text[:40]!r}; rows are 1 to {MAX_ROW}.")
    return number


def _position(name: str | None, row: int, column: int, label: str) -> tuple[int, int]:
    if name is None:
        return row, column + 1
    letters = name.rstrip(_DIGITS)
    digits = name[len(letters) :]
    number = _column(letters)
    if not number or not digits or len(digits) > 7 or not 1 <= int(digits) <= MAX_ROW:
        raise WorkbookProblem(f"{label} has a cell named {name[:40]!r}, which no sheet has room for.")
    return int(digits), number


@lru_cache(maxsize=1024)
def _column(letters: str) -> int:
    if (
        not (letters.isascii() and letters.isalpha())
        or len(letters) > 3
        or column_number(letters) > MAX_COLUMN
    ):
        return 0
    return column_number(letters)


def _value(kind: str | None, text: str, strings: Sequence[str], label: str, date1904: bool) -> Value:
    if kind is None or kind == "n":
        if not text or text.isspace():
            return None
        try:
            number = float(text)
        except ValueError:
            number = math.nan
        if math.isfinite(number):
            return number
    elif kind == "s":
        return _shared(text, strings, label)
    elif kind in ("str", "inlineStr"):
        return unescaped(text)
    elif not text or text.isspace():
        return None
    elif kind == "b":
        return text.strip() in ("1", "true")
    elif kind == "e":
        return CellError(text.strip())
    elif kind == "d":
        return _serial(text.strip(), label, date1904)
    raise WorkbookProblem(f"{label} holds the value {text[:40]!r} of type {kind!r}, which is not understood.")


def _shared(text: str, strings: Sequence[str], label: str) -> str:
    index = whole_number(text.strip())
    if index is None or index >= len(strings):
        raise WorkbookProblem(
            f"{label} points at shared text {text.strip()[:20]!r}, but there are {len(strings)}."
        )
    return strings[index]


def _serial(text: str, label: str, date1904: bool) -> float:
    from datetime import datetime  # such dates are rare, the import is not free

    try:
        moment = datetime.fromisoformat(text.removesuffix("Z")).replace(tzinfo=None)  # cells know no zones
    except ValueError:
        raise WorkbookProblem(f"{label} holds the date {text[:40]!r}, which is not understood.") from None
    gone = moment - (datetime(1904, 1, 1) if date1904 else datetime(1899, 12, 30))
    return gone.days + gone.seconds / 86400 + gone.microseconds / 86400e6
