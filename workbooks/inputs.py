"""What a user filled into a planner, read back by the names of its cells into what ``build`` takes."""

from __future__ import annotations

import os
import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import islice
from typing import Any

from weavefuncs.addin.offline.files import file_mode, full_path, read_file
from weavefuncs.addin.offline.grid import area_bounds, area_size, cell_name
from weavefuncs.addin.offline.markup import whole_number
from weavefuncs.addin.offline.package import Package
from weavefuncs.addin.offline.problems import WorkbookProblem
from weavefuncs.addin.offline.recalc import MOST_NAMED, CellNote, Report, recalculate
from weavefuncs.addin.offline.references import Skeletons
from weavefuncs.addin.offline.values import CellError, Value
from weavefuncs.addin.offline.workbook import Sheet, Workbook, read_workbook
from weavefuncs.workbooks import batch, cloth, draft, kits, plan, records, settings, shopping, yarns
from weavefuncs.workbooks._dressing import Dressing, read_dressing
from weavefuncs.workbooks.book import SPELLINGS, SUM_NAME, VERSION, VERSION_NAME, Formula
from weavefuncs.workbooks.rows import Band, Row, given_name

Key = tuple[str, int, int]
"""Sheet, row and column of a cell, counted from 1."""

# The first template had no version, and not every column had a name: where those columns stand in it, as
# steps down and to the right from a cell that has one, and how many lines they have.
FIRST_VERSION = 1
FIRST_PLACES = {
    "YarnLots": ("YarnNames", 0, 4, 60),
    "YarnWeighed": ("YarnNames", 0, 5, 60),
    "YarnTare": ("YarnNames", 0, 6, 60),
    "YarnPutUps": ("YarnNames", 0, 7, 60),
    "YarnReserved": ("YarnNames", 0, 9, 60),
    "WarpColours": ("WeftOrder", 4, -1, 6),
    "WarpYarns": ("WeftOrder", 4, 0, 6),
    "WeftColours": ("WeftOrder", 11, -1, 6),
    "WeftYarns": ("WeftOrder", 11, 0, 6),
    "OrderDone": ("OrderFromGiven", 3, 0, 400),
}

# Without these cells a workbook is no planner, however it was changed.
ALWAYS_THERE = ("UnitChoice", "YarnNames", "PieceName")

# What a formula of the user's may name and still be one in another planner, beside the rows of the forms.
ALSO_NAMED = ("BackText", "DraftText")

_NAME_OR_CALL = re.compile(r"[A-Za-z_][\w.]*\(?")
_TEXT = re.compile(r'"[^"]*"')
_REFERENCE = re.compile(r"=?(?:'((?:[^']|'')+)'|([^'!]+))!([$A-Za-z0-9]+(?::[$A-Za-z0-9]+)?)")
_SPELLED = re.compile(
    rf"(?<![\w.])(?:{'|'.join(map(re.escape, SPELLINGS.values()))})(?=[A-Z])", re.IGNORECASE
)
TARGETS = {start.upper(): target for target, start in SPELLINGS.items()}

# So many calls tell how a planner spells them; a few may have been typed by hand.
ENOUGH_CALLS = 200


@dataclass(frozen=True)
class Question:
    """A cell, or a column of a table, that the user fills in.

    Attributes
    ----------
    name : str
        The name that the workbook gives to it.
    path : tuple of str
        Where ``build`` takes what is filled in, such as ``("plan", "FinishedWidth")``.
    label : str
        What the user knows it by.
    part : str
        For a column, its key in a line; ``path`` then leads to a list of lines.
    shape : str
        What ``path`` leads to, where it is neither one value nor lines: a list from a ``row`` of cells or
        from cells counted ``upward``, or rows of cells, a ``grid``.
    is_text : bool
        Whether the cell is formatted as text.
    """

    name: str
    path: tuple[str, ...]
    label: str
    part: str = ""
    shape: str = ""
    is_text: bool = True


@dataclass
class Inputs:
    """What a planner holds that its user filled in."""

    book: Workbook
    filled: dict[str, Any] = field(default_factory=dict)
    """What is filled in, as ``build`` takes it."""
    counts: Counter[str] = field(default_factory=Counter)
    """Entries by sheet."""
    notes: list[CellNote] = field(default_factory=list)
    """What is moved in another form than it has."""
    unread: list[CellNote] = field(default_factory=list)
    """What is filled in and cannot be moved."""
    unasked: list[Question] = field(default_factory=list)
    """Questions of today's planner that this one does not ask."""
    areas: dict[str, tuple[str, int, int, int, int]] = field(default_factory=dict)
    """Where each question stands, by its name: sheet, top, left, bottom, right."""
    cells: dict[Key, tuple[Question, Value]] = field(default_factory=dict)
    """The cells that were read, and what they hold."""
    version: int = VERSION
    """Version of the template."""
    template: str = ""
    """Sum of the template's texts and formulas: two planners of one sum differ only in what is filled in."""
    target: str = "calc"
    """The program whose spelling of the functions it has."""
    mode: int = 0o600
    """Permission bits of its file."""


def questions() -> list[Question]:
    """Return every question of today's planner, in the order of its sheets."""
    return [
        *_form("settings", settings.ROWS),
        *_table(
            ("yarns",), yarns.INPUT_NAMES, {column[0] for column in yarns.COLUMNS if column[3] == "text"}
        ),
        *_form("plan", [*plan.PIECE, *plan.HOURS]),
        Question("WarpOrder", ("plan", "colours", "warp_order"), "Colour order of the warp"),
        Question("WeftOrder", ("plan", "colours", "weft_order"), "Colour order of the weft"),
        *(
            Question(f"{system.capitalize()}{part.capitalize()}s", ("plan", "colours", system), part, part)
            for system in ("warp", "weft")
            for part in ("colour", "yarn")
        ),
        *_form("cloth", cloth.ROWS),
        *_form("draft", draft.ROWS),
        Question("DraftGrid", ("draft", "grid"), "Cloth", shape="grid", is_text=False),
        Question("HeddlesOwned", ("draft", "owned"), "Owned", shape="upward", is_text=False),
        Question("BackThreading", ("draft", "threading"), "Threading", shape="row", is_text=False),
        Question("BackTieUp", ("draft", "tie_up"), "Tie-up", shape="grid", is_text=False),
        Question("BackTreadled", ("draft", "treadled"), "Treadling", shape="grid", is_text=False),
        Question("OrderFromGiven", ("order", "OrderFrom"), "Start at row", is_text=False),
        Question("OrderDone", ("order", "done"), "Done", "done"),
        *_table(("batch",), batch.INPUT_NAMES, _texts(batch.COLUMNS)),
        *_table(("kits", "kits"), kits.INPUT_NAMES["kits"], _texts(kits.KIT_COLUMNS)),
        *_table(("kits", "recipes"), kits.INPUT_NAMES["recipes"], _texts(kits.RECIPE_COLUMNS)),
        *_form("shopping", shopping.ROWS),
        *_table(("shopping", "needs"), shopping.INPUT_NAMES["needs"], _texts(shopping.NEED_COLUMNS)),
        *_table(("records",), records.INPUT_NAMES, _texts(records.COLUMNS)),
    ]


def _form(place: str, rows: list[Row | Band]) -> Iterator[Question]:
    for row in rows:
        if isinstance(row, Row) and row.given is not None:
            yield Question(
                given_name(row),
                (place, row.key),
                row.label,
                shape="row" if row.across > 1 else "",
                is_text=row.given.kind in ("text", "general"),
            )


def _table(path: tuple[str, ...], names: Mapping[str, str], texts: set[str]) -> Iterator[Question]:
    for key, name in names.items():
        yield Question(name, path, key.replace("_", " "), key, is_text=key in texts)


def _texts(columns: list[Any]) -> set[str]:
    return {column.key for column in columns if column.given and column.given.kind == "text"}


def read_inputs(path: str | os.PathLike[str]) -> Inputs:
    """Read what a user filled into a planner.

    Parameters
    ----------
    path : str or path
        The planner, .xlsx or .xlsm. It is only read.

    Returns
    -------
    Inputs
        What is filled in, and what of it cannot be moved.

    Raises
    ------
    WorkbookProblem
        The file cannot be read, or is no planner.

    Notes
    -----
    A formula that the user typed is read as a formula where it means the same in any planner, as =16*2.54 or
    =BackText do. Where it refers to cells it is read as its value, recalculated, and a note says so. Numbers
    are numbers, texts are texts; a date typed where a text belongs is read as a text.
    """
    file = full_path(path)
    data, _ = read_file(file)
    book = read_workbook(Package(data, file.name))
    inputs = Inputs(book, target=_target(book), mode=file_mode(file))
    inputs.version = _version(book)
    inputs.template = book.names.get(("", SUM_NAME.lower()), "")
    asked = questions()
    beside = _beside_labels(book, asked)
    for question in asked:
        _place(inputs, question, beside.get((question.path[0], question.label)))
    missing = [name for name in ALWAYS_THERE if name not in inputs.areas]
    if missing:
        raise WorkbookProblem(f"{file.name} is no planner: it has no cell named {missing[0]}.")
    reader = _Reader(inputs, lambda: recalculate(file, check=True))
    for question in asked:
        if question.name in inputs.areas:
            reader.read(question)
    _settle(inputs.filled)
    return inputs


def _target(book: Workbook) -> str:
    """Tell by its formulas which program's spelling of the functions a planner has."""
    formulas = (cell.formula for sheet in book.sheets for cell in sheet.cells.formulas)
    found = filter(None, map(_SPELLED.search, formulas))
    counts = Counter(dict.fromkeys(SPELLINGS, 0))
    counts.update(TARGETS[call[0].upper()] for call in islice(found, ENOUGH_CALLS))
    return counts.most_common(1)[0][0]


def _version(book: Workbook) -> int:
    text = book.names.get(("", VERSION_NAME.lower()))
    if text is None:
        return FIRST_VERSION
    version = whole_number(text.removeprefix("=").strip()) or 0
    if not 0 < version <= VERSION:
        raise WorkbookProblem(
            f"{book.package.name} was made by a newer weavefuncs than this one: install that, and try again."
        )
    return version


def _is_in_form(question: Question) -> bool:
    """Tell whether a question stands beside its label."""
    return not question.part and question.shape in ("", "row")


def _beside_labels(book: Workbook, asked: list[Question]) -> dict[tuple[str, str], tuple[str, int, int]]:
    """Find the cell beside each label of a form, by the form and a label that stands in it once.

    A cell that was dragged took its name along, onto the cell of another question: what is filled in is what
    stands beside the labels.
    """
    cells = {sheet.name: sheet.cells.values for sheet in book.sheets}
    votes: dict[str, Counter[tuple[str, int]]] = {}
    for question in filter(_is_in_form, asked):
        area = named_area(book, question.name)
        if area is not None:
            votes.setdefault(question.path[0], Counter())[area[0], area[2]] += 1
    found: dict[tuple[str, str], tuple[str, int, int]] = {}
    for form, counts in votes.items():
        (sheet, column), _ = counts.most_common(1)[0]
        labels = [
            (value, row)
            for (row, at), value in cells[sheet].items()
            if at == column - 1 and isinstance(value, str)
        ]
        once = Counter(label for label, _ in labels)
        found |= {(form, label): (sheet, row, column) for label, row in labels if once[label] == 1}
    return found


def _place(inputs: Inputs, question: Question, beside: tuple[str, int, int] | None) -> None:
    """Find where a question stands: beside its label, and where there is none where its name leads."""
    area = named_area(inputs.book, question.name)
    if beside is not None and _is_in_form(question) and not (area is None and question.shape):
        sheet, row, left = beside
        area = sheet, row, left, row, left + (area[4] - area[2] if area else 0)
    if area is None and inputs.version == FIRST_VERSION and question.name in FIRST_PLACES:
        anchor, down, right, lines = FIRST_PLACES[question.name]
        start = named_area(inputs.book, anchor)
        if start is not None:
            sheet, top, left, *_ = start
            area = sheet, top + down, left + right, top + down + lines - 1, left + right
    if area is not None:
        inputs.areas[question.name] = area
        return
    inputs.unasked.append(question)
    text = inputs.book.names.get(("", question.name.lower()))
    if text is not None:
        inputs.unread.append(
            CellNote("", question.name, f"the cells of {question.label} are gone: the name leads to {text}")
        )


def named_area(book: Workbook, name: str) -> tuple[str, int, int, int, int] | None:
    """Return where a name leads: sheet, top, left, bottom, right; None where that is no small area."""
    found = _REFERENCE.fullmatch(book.names.get(("", name.lower()), ""))
    if found is None:
        return None
    wanted = (found[1] or found[2]).replace("''", "'").lower()
    sheet = next((sheet.name for sheet in book.sheets if sheet.name.lower() == wanted), None)
    bounds = area_bounds(found[3])
    # A name may have been made to lead to a whole sheet, which no question is.
    return None if sheet is None or bounds is None or area_size(bounds) > MOST_NAMED else (sheet, *bounds)


class _Reader:
    """Reads the cells of questions."""

    def __init__(self, inputs: Inputs, calculate: Callable[[], Report]) -> None:
        self._inputs = inputs
        self._calculate = calculate
        self._report: Report | None = None
        self._sheets = {sheet.name: sheet for sheet in inputs.book.sheets}
        self._formulas = {
            sheet.name: {(cell.row, cell.column): cell for cell in sheet.cells.formulas}
            for sheet in inputs.book.sheets
        }
        self._dressing: dict[str, Dressing] = {}

    def read(self, question: Question) -> None:
        """Read one cell, or a column of them."""
        inputs = self._inputs
        name, top, left, bottom, right = inputs.areas[question.name]
        sheet = self._sheets[name]
        if question.shape:
            rows = [
                [self._value(sheet, row, column, question) for column in range(left, right + 1)]
                for row in range(top, bottom + 1)
            ]
            inputs.counts[name] += sum(value is not None for row in rows for value in row)
            _part(inputs.filled, question.path[:-1])[question.path[-1]] = _shaped(rows, question.shape)
            return
        if not question.part:
            value = self._value(sheet, top, left, question)
            # A blank is told apart from a question that is not asked, for which there may be a usual answer.
            _part(inputs.filled, question.path[:-1])[question.path[-1]] = value
            inputs.counts[name] += value is not None
            return
        lines = _part(inputs.filled, question.path[:-1]).setdefault(question.path[-1], [])
        for line, row in enumerate(range(top, bottom + 1)):
            value = self._value(sheet, row, left, question)
            if value is not None:
                lines += [{} for _ in range(line + 1 - len(lines))]
                lines[line][question.part] = value
                inputs.counts[name] += 1

    def _value(self, sheet: Sheet, row: int, column: int, question: Question) -> Value:
        key = sheet.name, row, column
        formula = self._formulas[sheet.name].get((row, column))
        value = sheet.cells.values.get((row, column))
        if formula is not None:
            if question.name == "OrderDone":
                return None  # the box to tick
            value = Formula("=" + formula.formula)
            if not _is_portable(value):
                value = self._calculated(key, formula.formula)
        elif isinstance(value, float):
            value = self._dated(sheet, row, column, value, question)
        if value == "":
            value = None
        if isinstance(value, CellError):
            self._tell(self._inputs.unread, key, f"{question.label} holds the error {value.code}")
            value = None
        self._inputs.cells[key] = question, value
        return value

    def _calculated(self, key: Key, formula: str) -> Value:
        """Return the value of a formula that the user typed into a cell."""
        if self._report is None:
            self._report = self._calculate()
        sheet, row, column = key
        name = cell_name(row, column)
        value = self._report.value(sheet, name)
        if any((note.sheet, note.cell) == (sheet, name) for note in self._report.uncalculated):
            self._tell(
                self._inputs.notes,
                key,
                f"its formula ={formula} cannot be calculated here: moved as {value!r}",
            )
        elif not isinstance(value, CellError):
            shown = f"{value:.15g}" if isinstance(value, float) else repr(value)
            self._tell(self._inputs.notes, key, f"its formula ={formula} is moved as its value, {shown}")
        return value

    def _dated(self, sheet: Sheet, row: int, column: int, value: float, question: Question) -> Value:
        """Read a date as a text where a text belongs; in a cell of texts its number would say nothing."""
        if not question.is_text or not self._dressed(sheet).is_date(row, column):
            return value
        start = datetime(1904, 1, 1) if self._inputs.book.date1904 else datetime(1899, 12, 30)
        try:
            moment = start + timedelta(days=round(value * 86400) / 86400)
        except OverflowError:
            return value
        text = moment.strftime("%Y-%m-%d" if value.is_integer() else "%Y-%m-%d %H:%M")
        self._tell(self._inputs.notes, (sheet.name, row, column), f"the date is moved as the text {text}")
        return text

    def _dressed(self, sheet: Sheet) -> Dressing:
        if sheet.name not in self._dressing:
            self._dressing[sheet.name] = read_dressing(self._inputs.book, sheet)
        return self._dressing[sheet.name]

    @staticmethod
    def _tell(notes: list[CellNote], key: Key, text: str) -> None:
        notes.append(CellNote(key[0], cell_name(*key[1:]), text))


def _is_portable(formula: str) -> bool:
    """Tell whether a formula means the same in another planner: it names nothing but rows of forms."""
    plain = _TEXT.sub('""', formula)
    forms = [settings.ROWS, plan.PIECE, plan.HOURS, cloth.ROWS, draft.ROWS, shopping.ROWS]
    known = {row.key.lower() for rows in forms for row in rows if isinstance(row, Row)}
    known |= {name.lower() for name in (*ALSO_NAMED, "true", "false")}
    names = {name.lower() for name in _NAME_OR_CALL.findall(plain) if not name.endswith("(")}
    return names <= known and not Skeletons().of(formula)[1] and not set("[]!") & set(plain)


def _shaped(rows: list[list[Value]], shape: str) -> list[Any]:
    """Return cells as ``build`` takes them, without the blank ones at the end."""
    if shape == "grid":
        kept = [_without_end(row) for row in rows]
        while kept and not kept[-1]:
            kept.pop()
        return kept
    return _without_end([row[0] for row in reversed(rows)] if shape == "upward" else rows[0])


def _without_end(values: list[Value]) -> list[Value]:
    end = max((number for number, value in enumerate(values, start=1) if value is not None), default=0)
    return values[:end]


def _part(filled: dict[str, Any], path: tuple[str, ...]) -> dict[str, Any]:
    for key in path:
        filled = filled.setdefault(key, {})
    return filled


def _settle(filled: dict[str, Any]) -> None:
    """Bring what was read into the form that ``build`` takes: pairs of colour and yarn, nothing empty."""
    colours = filled.get("plan", {}).get("colours", {})
    for system in ("warp", "weft"):
        lines = colours.get(system, [])
        colours[system] = [(line.get("colour", ""), line.get("yarn", "")) for line in lines]
    for place, values in list(filled.items()):
        if isinstance(values, dict):
            # Only on Settings a blank means something else than a question that is not asked.
            kept = values if place == "settings" else _without_blanks(values)
            filled[place] = kept
        if not filled[place]:
            del filled[place]


def _without_blanks(values: dict[str, Any]) -> dict[str, Any]:
    settled = {
        key: _without_blanks(value) if isinstance(value, dict) else value for key, value in values.items()
    }
    return {key: value for key, value in settled.items() if value not in (None, [], {})}


def same_value(one: Value, other: Value) -> bool:
    """Tell whether two cells hold the same, numbers to the 15 digits that spreadsheets show."""
    if isinstance(one, float) and isinstance(other, float):
        return f"{one:.15g}" == f"{other:.15g}"
    return type(one) is type(other) and one == other
