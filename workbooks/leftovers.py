"""What a planner holds beyond the answers to its questions: found by comparing it with a new one."""

from __future__ import annotations

import posixpath
import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from itertools import product

from weavefuncs.addin.offline.grid import cell_name
from weavefuncs.addin.offline.markup import elements
from weavefuncs.addin.offline.recalc import CellNote
from weavefuncs.addin.offline.references import Skeletons
from weavefuncs.addin.offline.values import CellError, Value
from weavefuncs.addin.offline.workbook import Sheet, Workbook, relations
from weavefuncs.workbooks import solved
from weavefuncs.workbooks._dressing import read_dressing
from weavefuncs.workbooks.inputs import Inputs, Key, named_area, same_value

Place = tuple[int, int]
"""Row and column of a cell."""

Test = Callable[[int, int], bool]
"""Whether the cell in a row and a column can be written while its sheet is protected."""

# Parts of a workbook that a user may have added, by the last word of their relation's type.
OWN_PARTS = {
    "chartsheet": "a sheet that is one chart",
    "comments": "",  # told one by one
    "control": "a form control",
    "externalLink": "a link to another workbook",
    "oleObject": "an object of another program",
    "pivotTable": "a pivot table",
    "queryTable": "a query of outside data",
    "slicer": "a slicer",
    "vbaProject": "macros",
}
DRAWN = {"pic": "picture", "graphicFrame": "chart", "sp": "shape or text box", "cxnSp": "line"}

_QUOTED = re.compile(r"""("[^"]*"|'(?:[^']|'')*'!?)""")
_SHEET = re.compile(r"(?<![\w.])([\w.]+)!")
_CALL = re.compile(r"(?:_XLDUDF_)?WEAVE[._](?=[A-Z])")
_PREFIX = re.compile(r"_XL[A-Z]+\.")


def leftovers(old: Inputs, new: Inputs) -> list[CellNote]:
    """Tell what of a planner is not in a new one that was filled with its answers.

    Parameters
    ----------
    old, new : Inputs
        What was read from the two.

    Returns
    -------
    list of CellNote
        By sheet and cell what the new planner lacks, and why; the cell is empty where it is about a whole
        sheet, and the sheet where it is about the file.

    Notes
    -----
    Where the two were made from different templates, a text in a locked cell of a sheet that is still
    protected is taken for the template's, for only open cells can have been written; and formulas are told
    only from the cells that are open. But a sheet may have been opened, written on and protected again: a
    number that the new sheet does not have, what was typed over a formula, and cells that lie beyond all that
    the new sheet holds are told all the same.
    """
    pairs = _sheets_of(old, new)
    return [
        *_answers(old, new),
        *_other_sheets(old, pairs),
        *(note for sheet, twin in pairs for note in _on_sheet(old, new, sheet, twin, pairs)),
        *_other_parts(old.book, new.book),
        *_other_names(old, new, pairs),
    ]


def _answers(old: Inputs, new: Inputs) -> Iterator[CellNote]:
    """Find the answers that did not arrive as they were."""
    for key, (question, value) in old.cells.items():
        if value is None:
            continue
        sheet, top, left, bottom, right = new.areas[question.name]
        _, old_top, old_left, old_bottom, _ = old.areas[question.name]
        # Cells that are counted upward have their first one at the bottom.
        row = bottom + key[1] - old_bottom if question.shape == "upward" else top + key[1] - old_top
        column = left + key[2] - old_left
        if not (top <= row <= bottom and left <= column <= right):
            yield _note(key, f"{_shown(value)}: there is no room for it in {question.label} now")
            continue
        _, arrived = new.cells[sheet, row, column]
        if not same_value(value, arrived):
            yield _note(key, f"{_shown(value)} arrived as {_shown(arrived)}")


def _sheets_of(old: Inputs, new: Inputs) -> list[tuple[Sheet, Sheet]]:
    """Pair the sheets of two planners by the cells that are named in them, whatever the sheets are called."""
    votes: Counter[tuple[str, str]] = Counter()
    for name, area in old.areas.items():
        votes[area[0], new.areas[name][0]] += 1
    twins = {one: other for (one, other), _ in reversed(votes.most_common())}
    by_name = {sheet.name: sheet for sheet in new.book.sheets}
    taken = set(twins.values())
    pairs = []
    for sheet in old.book.sheets:
        twin = twins.get(sheet.name) or (sheet.name if sheet.name not in taken else "")
        if twin in by_name:
            pairs.append((sheet, by_name[twin]))
    return pairs


def _other_sheets(old: Inputs, pairs: list[tuple[Sheet, Sheet]]) -> Iterator[CellNote]:
    known = {sheet.name for sheet, _ in pairs}
    for sheet in old.book.sheets:
        if sheet.name not in known:
            cells = len(sheet.cells.values) + len(sheet.cells.formulas)
            yield CellNote(
                sheet.name, "", f"a sheet of your own with {cells} cells filled: copy it over by hand"
            )


def _on_sheet(
    old: Inputs, new: Inputs, sheet: Sheet, twin: Sheet, pairs: list[tuple[Sheet, Sheet]]
) -> Iterator[CellNote]:
    dressing = read_dressing(old.book, sheet)
    other_template = old.template != new.template
    trusted = dressing.protected and other_template
    rows, columns = _extent(twin)

    def may_be_own(row: int, column: int) -> bool:
        return row > rows or column > columns or dressing.is_open(row, column)

    if twin.name == solved.NAME and _answer(sheet) != _answer(twin):
        yield CellNote(sheet.name, "", "its answer is for the old planner: solve the new one")
    over = _over_formulas(sheet, twin) if not other_template else _over_named(old.book, new.book, sheet)
    yield from _constants(old, new, sheet, twin, over, may_be_own if trusted else None)
    yield from _formulas(old, sheet, twin, pairs, may_be_own if other_template else None)
    asked = [(row, column) for name, row, column in old.cells if name == sheet.name]
    for top, left, bottom, right in dressing.merged:
        if any(
            top <= row <= bottom and left <= column <= right and (row, column) != (top, left)
            for row, column in asked
        ):
            area = f"{cell_name(top, left)}:{cell_name(bottom, right)}"
            yield CellNote(sheet.name, area, "cells merged: only the first of them holds what was filled in")
    yield from _remarks(old.book, sheet)
    yield from _drawn(old.book, sheet, new.book, twin)


def _extent(sheet: Sheet) -> tuple[int, int]:
    """Return the last row and the last column with anything in it."""
    places = [*sheet.cells.values, *((cell.row, cell.column) for cell in sheet.cells.formulas)]
    return max((row for row, _ in places), default=0), max((column for _, column in places), default=0)


def _answer(sheet: Sheet) -> dict[Place, Value]:
    return {at: value for at, value in sheet.cells.values.items() if at[0] >= solved.FIRST}


def _over_formulas(sheet: Sheet, twin: Sheet) -> set[Place]:
    """Find the values that stand where the new sheet has a formula."""
    return sheet.cells.values.keys() & _places(twin)


def _over_named(old: Workbook, new: Workbook, sheet: Sheet) -> set[Place]:
    """Find the values in cells of a name that in the new planner leads to formulas."""
    formulas = {twin.name: _places(twin) for twin in new.sheets}
    found: set[Place] = set()
    for scope, name in new.names:
        area, other = named_area(old, name), named_area(new, name)
        if scope or area is None or other is None or area[0] != sheet.name:
            continue
        _, top, left, bottom, right = area
        for row, column in product(range(top, bottom + 1), range(left, right + 1)):
            if (row, column) in sheet.cells.values:
                moved = other[1] + row - top, other[2] + column - left
                if moved[0] <= other[3] and moved[1] <= other[4] and moved in formulas[other[0]]:
                    found.add((row, column))
    return found


def _places(sheet: Sheet) -> set[Place]:
    return {(cell.row, cell.column) for cell in sheet.cells.formulas}


def _constants(
    old: Inputs, new: Inputs, sheet: Sheet, twin: Sheet, over: set[Place], is_open: Test | None
) -> Iterator[CellNote]:
    """Find values outside the questions that the new planner has nowhere on the sheet."""
    there = {at: value for at, value in twin.cells.values.items() if (twin.name, *at) not in new.cells}
    left: Counter[object] = Counter()
    found: list[tuple[tuple[int, int], Value]] = []
    for at, value in sheet.cells.values.items():
        if (sheet.name, *at) in old.cells or value == "":
            continue
        if twin.name == solved.NAME and at[0] >= solved.FIRST:
            continue
        if at in there and same_value(there[at], value):
            del there[at]
        elif at in over or is_open is None or is_open(*at) or not isinstance(value, str):
            found.append((at, value))
    left.update(_comparable(value) for value in there.values())
    for at, value in found:
        # A label that stands elsewhere, for rows or columns were put in.
        if left[_comparable(value)] > 0:
            left[_comparable(value)] -= 1
        elif at in over:
            yield _note(
                (sheet.name, *at), f"{_shown(value)} was typed over a formula, which calculates again"
            )
        else:
            yield _note((sheet.name, *at), f"{_shown(value)} stands where nothing is asked")


def _formulas(
    old: Inputs, sheet: Sheet, twin: Sheet, pairs: list[tuple[Sheet, Sheet]], is_open: Test | None
) -> Iterator[CellNote]:
    usual = {_bones(cell.formula, {twin.name.lower(): ""}) for cell in twin.cells.formulas}
    called = {one.name.lower(): other.name for one, other in pairs} | {sheet.name.lower(): ""}
    for cell in sheet.cells.formulas:
        key = sheet.name, cell.row, cell.column
        if not cell.formula or key in old.cells or (is_open and not is_open(cell.row, cell.column)):
            continue
        if _bones(cell.formula, called) not in usual:
            yield _note(key, f"a formula of your own: ={cell.formula}")


def _bones(formula: str, called: Mapping[str, str]) -> str:
    """Return what all spellings of a formula have in common, wherever it stands.

    ``called`` has other names for sheets, by those that the formula has for them in lower case; where such a
    name is empty, the sheet goes unnamed.
    """

    def spelled(sheet: str) -> str:
        name = called.get(sheet.lower(), sheet).upper()
        return name and f"{name}!"

    parts = _QUOTED.split(formula)
    for number, part in enumerate(parts):
        if part.startswith("'") and part.endswith("!"):
            parts[number] = spelled(part[1:-2].replace("''", "'"))
        if number % 2:
            continue
        plain = _SHEET.sub(lambda found: spelled(found[1]), re.sub(r"\s+", "", part)).upper()
        plain = Skeletons().of(_PREFIX.sub("", _CALL.sub("WEAVE.", plain)))[0]
        # Programs differ in which brackets they keep: TRUE and TRUE() are the same.
        parts[number] = plain.replace("(", "").replace(")", "")
    return "".join(parts)


def _remarks(book: Workbook, sheet: Sheet) -> Iterator[CellNote]:
    for kind, member in relations(book.package, sheet.member).values():
        if kind != "comments" or member not in book.package.members:
            continue
        for cell, text in _comments(book.package.read(member), f"{book.package.name}, part {member},"):
            yield CellNote(sheet.name, cell, f"a remark: {text}")


def _comments(content: bytes, label: str) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    texts: list[str] = []

    def visit(path: str, attributes: dict[str, str], text: str) -> None:
        if path.endswith("/t") and "rPh" not in path:
            texts.append(text)
        elif path == "comments/commentList/comment":
            found.append((attributes.get("ref", ""), " ".join("".join(texts).split())))
            texts.clear()

    elements(content, label, visit)
    return found


def _drawn(book: Workbook, sheet: Sheet, other: Workbook, twin: Sheet) -> Iterator[CellNote]:
    extra = _drawings(book, sheet) - _drawings(other, twin)
    for kind, count in extra.items():
        noun = DRAWN[kind] + ("s" if count > 1 else "")
        yield CellNote(sheet.name, "", f"{count} {noun} more than the planner has")


def _drawings(book: Workbook, sheet: Sheet) -> Counter[str]:
    counts: Counter[str] = Counter()

    def visit(path: str, _: dict[str, str], __: str) -> None:
        kind = path.rpartition("/")[2]
        if kind in DRAWN:
            counts[kind] += 1

    for kind, member in relations(book.package, sheet.member).values():
        if kind == "drawing" and member in book.package.members:
            elements(book.package.read(member), f"{book.package.name}, part {member},", visit)
    return counts


def _other_parts(old: Workbook, new: Workbook) -> Iterator[CellNote]:
    counts = _parts(old) - _parts(new)
    for kind, count in counts.items():
        yield CellNote("", "", f"{OWN_PARTS[kind]}" + (f", {count} times" if count > 1 else ""))


def _parts(book: Workbook) -> Counter[str]:
    counts: Counter[str] = Counter()
    for member in book.package.members:
        folder, name = posixpath.split(member)
        if name.endswith(".rels") and folder.endswith("_rels"):
            part = posixpath.join(posixpath.dirname(folder), name.removesuffix(".rels"))
            kinds = [kind for kind, _ in relations(book.package, part).values()]
            counts.update(kind for kind in kinds if OWN_PARTS.get(kind))
    return counts


def _other_names(old: Inputs, new: Inputs, pairs: list[tuple[Sheet, Sheet]]) -> Iterator[CellNote]:
    known = {name for _, name in new.book.names}
    ours = {sheet.name.lower() for sheet, _ in pairs} if old.template != new.template else set()
    for (scope, name), text in old.book.names.items():
        sheet = text.removeprefix("=").rpartition("!")[0].strip("'").lower()
        if not scope and name not in known and not name.startswith("_xlnm.") and sheet not in ours:
            yield CellNote("", name, f"a name that the new planner does not have: {text}")


def _comparable(value: Value) -> object:
    return ("number", f"{value:.15g}") if isinstance(value, float) else value


def _shown(value: Value) -> str:
    if value is None:
        return "a blank"
    if isinstance(value, CellError):
        return value.code
    if isinstance(value, float):
        return f"{value:.15g}"
    return f'"{value}"' if isinstance(value, str) else str(value).upper()


def _note(key: Key, text: str) -> CellNote:
    return CellNote(key[0], cell_name(*key[1:]), text)
