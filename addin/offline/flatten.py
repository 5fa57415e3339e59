"""Formulas rewritten for the engine: plain references, plain function names, one meaning.

Nothing of this reaches the file. Formulas that differ only in the cells they mention are taken apart once
(see ``compile``): a formula's skeleton, with marks for the cells, is looked up.
"""

import re
from collections.abc import Iterable, Sequence

from .compile import Compiler
from .references import (
    Area,
    Bounds,
    Named,
    Plan,
    Skeletons,
    ThisRow,
    Uncalculated,
    is_fixed,
    quoted,
    unquoted,
)
from .workbook import Table, Workbook

MAX_DEPTH = 40

_PREFIX = re.compile(r"(?:_xlfn\.|_xlws\.|_xll\.|_xludf\.|_xldudf_)+", re.IGNORECASE)
# One that is not closed is taken to the end, lest it be begun again at every bracket in it.
_PART = re.compile(r"\[((?:[^\[\]']|'(?:.|\Z))*)(\]|\Z)", re.DOTALL)
_SPAN = re.compile(r"\]\s*:\s*\[")
_SPECIAL = frozenset(["#all", "#data", "#headers", "#totals", "#this row"])


class Flattener:
    """Rewrites the formulas of one workbook."""

    def __init__(self, book: Workbook, functions: Iterable[str], blank: str):
        self._book = book
        self.blank = blank
        """A reference to a cell that is blank."""
        # A host that allows no dot in a name has an underscore in its place.
        self._ours = {name.upper(): name for name in functions}
        self._ours |= {upper.replace(".", "_", 1): name for upper, name in self._ours.items()}
        self.hidden = {sheet.name.lower(): sheet.cells.hidden_rows for sheet in book.sheets}
        """Hidden rows by sheet name in lower case."""
        self._sheets = {sheet.name.lower(): sheet.name for sheet in book.sheets}
        self._skeletons = Skeletons()
        self._named: dict[tuple[str, str, bool], Area | Named] = {}
        self._plans: dict[tuple[str, str, str, bool], Plan | Uncalculated] = {}

    def take_apart(
        self, formula: str, sheet: str, row: int, column: int, array: bool
    ) -> tuple[Plan, Sequence[str]]:
        """Return a formula's plan and the references in it; raise Uncalculated when there is none."""
        bones, references = self._skeletons.of(formula)
        table = self._table_at(sheet, row, column) if "[" in bones else None
        return self._plan(bones, sheet, table, array, 0), references

    def area(self, name: str) -> tuple[str, Bounds] | None:
        """Return the sheet and bounds of a defined name that is a cell or a range, else None."""
        text = self._book.names.get(("", name.lower()))
        if text is None:
            return None
        bones, references = self._skeletons.of(text.removeprefix("="))
        try:
            pieces = self._plan(bones, "", None, True, 0).pieces
        except Uncalculated:
            return None
        if len(pieces) != 1 or not isinstance(pieces[0], Area):
            return None
        sheet = self._sheets.get(unquoted(pieces[0].sheet[:-1]).lower())
        return None if sheet is None else (sheet, pieces[0].bounds(references))

    def function(self, written: str) -> tuple[str, bool]:
        """Return a function's plain name, and whether it is one of ours."""
        bare = _PREFIX.match(written)
        name = written[bare.end() :] if bare else written
        ours = self._ours.get(name.upper())
        return (ours, True) if ours else (name.upper(), False)

    def named(self, text: str, sheet: str, array: bool, depth: int) -> Area | Named:
        """Return what a defined name stands for: an area where that is the same for every cell."""
        key = text, sheet, array
        known = self._named.get(key)
        if known is None:
            named = self._formula_named(text, sheet, array, depth)
            only = named.plan.pieces[0] if len(named.plan.pieces) == 1 else None
            if isinstance(only, Area) and all(map(is_fixed, named.references)):
                known = Area(only.sheet, fixed=only.bounds(named.references))
            else:
                known = named
            self._named[key] = known
        return known

    def _formula_named(self, text: str, sheet: str, array: bool, depth: int) -> Named:
        owner, _, plain = text.rpartition("!")
        names = self._book.names
        scope = unquoted(owner).lower() if owner else sheet.lower()
        formula = names.get((scope, plain.lower()), names.get(("", plain.lower())))
        if formula is None:
            raise Uncalculated(f"the name {text} is not defined")
        bones, references = self._skeletons.of(formula.removeprefix("="))
        return Named(self._plan(bones, sheet, None, array, depth + 1), tuple(references))

    def is_range(self, text: str, sheet: str) -> bool:
        """Whether a defined name stands for a range."""
        try:
            named = self.named(text, sheet, True, 0)
        except Uncalculated:
            return False
        return isinstance(named, Area) or (
            len(named.plan.pieces) == 1 and isinstance(named.plan.pieces[0], Area)
        )

    def columns(self, text: str, name: str, inside: str, around: Table | None) -> Area | ThisRow:
        """Return the cells that a structured reference means; without a name, in the table around it."""
        table = self._book.tables.get(name.lower()) if name else around
        if table is None:
            raise Uncalculated(f"the table of {text} is not in the workbook")
        special, names = _specifiers(text, inside)
        left, right = table.first_column, table.first_column + len(table.columns) - 1
        if names:
            known = {column.lower(): number for number, column in enumerate(table.columns)}
            if any(column.lower() not in known for column in names):
                raise Uncalculated(f"the table {table.name} has no such column as in {text}")
            numbers = [table.first_column + known[column.lower()] for column in names]
            left, right = min(numbers), max(numbers)
        if "#this row" in special:
            return ThisRow(table, left, right)
        top, bottom = table.first_data_row, table.last_data_row
        if special & {"#all", "#headers"}:
            top = table.first_row
        if "#headers" in special and not special & {"#all", "#data", "#totals"}:
            bottom = table.first_data_row - 1
        if special & {"#all", "#totals"}:
            bottom = table.last_row
        if "#totals" in special and not special & {"#all", "#data", "#headers"}:
            top = table.last_data_row + 1
        if top > bottom:
            raise Uncalculated(f"the table {table.name} has no rows for {text}")
        return Area(quoted(table.sheet), fixed=(top, left, bottom, right))

    def _plan(self, bones: str, sheet: str, table: Table | None, array: bool, depth: int) -> Plan:
        key = bones, sheet, table.name if table else "", array
        plan = self._plans.get(key)
        if plan is None:
            if depth > MAX_DEPTH:
                raise Uncalculated("the defined names in it go round in a circle")
            try:
                plan = Compiler(self, bones, sheet, table, array, depth).plan()
            except Uncalculated as reason:
                plan = reason
            self._plans[key] = plan
        if isinstance(plan, Uncalculated):
            raise Uncalculated(str(plan))  # a new one: the kept one would gather the traces of all who met it
        return plan

    def _table_at(self, sheet: str, row: int, column: int) -> Table | None:
        for table in self._book.tables.values():
            if (
                table.sheet == sheet
                and table.first_row <= row <= table.last_row
                and table.first_column <= column < table.first_column + len(table.columns)
            ):
                return table
        return None


def _specifiers(text: str, inside: str) -> tuple[set[str], list[str]]:
    """Return the special items in lower case and the columns that a structured reference names."""
    inside = inside.strip()
    special: set[str] = set()
    if inside.startswith("@"):
        special.add("#this row")
        inside = inside[1:].strip()
    if inside.startswith("["):
        parts = [part for part, closed in _PART.findall(inside) if closed]
    else:
        parts = [inside] if inside else []
    names = []
    for part in parts:
        if part.strip().startswith("#"):
            special.add(part.strip().lower())
        else:
            names.append(re.sub(r"'(.)", r"\1", part, flags=re.DOTALL))
    if special - _SPECIAL or len(names) > 2 or (len(names) == 2 and not _SPAN.search(inside)):
        raise Uncalculated(f"the reference {text} is not understood")
    return special, names
