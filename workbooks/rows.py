"""Rows of a form: label, what the user gives, what comes out, unit, note.

A row is declared once; its cells, its names, its help, its validation and its
lines in the Problems list follow from it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from xlsxwriter.utility import xl_rowcol_to_cell

from weavefuncs.workbooks.book import Check, Sheet, Used

LABEL, GIVEN, RESULT, UNIT, NOTE = 1, 2, 3, 4, 5

# Rows that one way of weaving has and the other has not.
ONLY = {"loom": "NOT(OnFrame)", "frame": "OnFrame"}

# Unit of an amount: the currency, where Settings names one. An empty text an .ods would hold as 0.
MONEY_UNIT = '=IF(ISBLANK(Currency),"money",Currency)'

# No length, weight or count of a planner is larger.
MOST = 1e9

# Said where a cell that is filled in was dragged, or cut and pasted: formulas that looked at it follow it.
MOVED = '"cells of this line were moved, and formulas followed them: undo it, or run weavefuncs upgrade"'

_SINGLE_CALL = re.compile(r"WEAVE\.([A-Z]+)\(")
_TEXT = re.compile(r'"[^"]*"')
_NAME = re.compile(r"\b[A-Za-z]+\b(?!\()")


@dataclass(frozen=True)
class Given:
    """A cell that the user fills in."""

    kind: str
    help: str
    required: bool = False
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] | str = ()
    free: bool = False
    missing: str = ""

    @property
    def is_number(self) -> bool:
        """Whether the cell holds a number."""
        return not self.choices and self.kind not in ("text", "general")

    @property
    def range(self) -> tuple[float, float]:
        """The least and the greatest number that it takes."""
        low = 0 if self.low is None else self.low
        return low, MOST if self.high is None else self.high

    def holds(self, name: str) -> str:
        """Write the condition that a cell must meet; an empty text where none can be told."""
        if isinstance(self.choices, tuple) and self.choices and not self.free:
            return "OR(" + ",".join(f'{name}="{choice}"' for choice in self.choices) + ")"
        if not self.is_number:
            return ""
        low, high = self.range
        whole = f",{name}=ROUND({name},0)" if self.kind == "whole" else ""
        return f"IF(ISNUMBER({name}),AND({name}>={low:.12g},{name}<={high:.12g}{whole}),FALSE)"

    def words(self) -> str:
        """Say what the cell must hold."""
        if isinstance(self.choices, tuple) and self.choices:
            return "one of " + ", ".join(self.choices)
        noun = {"whole": "a whole number", "fraction": "a share (10 % is 0.10)"}.get(self.kind, "a number")
        low, high = self.range
        return f"{noun} of at least {low:.12g}" + (f" and at most {high:.12g}" if high < MOST else "")


@dataclass(frozen=True)
class Row:
    """One row of a form.

    A row with a formula gives its name to the result; the cell filled in is
    then called the same with ``Given`` behind it. Without a formula the name is
    that of the cell filled in. ``always``: worked out even before a plan is begun.
    ``lines``: what is filled in is a long text, with room for so many lines across
    the sheet. ``wrap``: the same for what comes out. ``across``: so many cells side by
    side are filled in, and the name is that of all. ``wide``: what comes out is a text
    that takes the place of the unit as well.
    """

    key: str
    label: str
    unit: str = ""
    note: str = ""
    given: Given | None = None
    formula: str = ""
    kind: str = "number"
    only: str = ""
    wrap: int = 0
    lines: int = 0
    across: int = 1
    wide: bool = False
    always: bool = False
    checks: tuple[str, ...] = field(default=())


@dataclass(frozen=True)
class Band:
    """The heading of a section."""

    text: str
    new_page: bool = False


def given_name(row: Row) -> str:
    """Return the name of the cell of a row that is filled in."""
    return row.key + "Given" if row.formula else row.key


def checked_names(rows: list[Row | Band]) -> set[str]:
    """Return the names of cells filled in that can be checked on their own: numbers, and choices of a few."""
    return {
        given_name(row)
        for row in rows
        if isinstance(row, Row) and row.given and row.across == 1 and row.given.holds("")
    }


def calls(formula: str) -> list[tuple[str, str]]:
    """Find the calls of our functions in a formula: name and arguments as written."""
    found = []
    for match in _SINGLE_CALL.finditer(formula):
        depth, end, quoted = 1, match.end(), False
        while depth:
            sign = formula[end]
            quoted ^= sign == '"'
            if not quoted:
                depth += {"(": 1, ")": -1}.get(sign, 0)
            end += 1
        found.append((match.group(1), formula[match.end() : end - 1]))
    return found


def guarded(formula: str, required: set[str]) -> str:
    """Make each call of ours not available while an input that it needs is blank.

    One program hands a blank cell on as 0, and 0 may be a good number.
    """
    for name, arguments in calls(formula):
        blank = _blank(arguments, required)
        if blank:
            call = f"WEAVE.{name}({arguments})"
            formula = formula.replace(call, f"IF({blank},NA(),{call})")
    return formula


def _blank(arguments: str, required: set[str]) -> str:
    """Write the test whether one of the inputs is blank; an empty text when none of them is required."""
    named = [name for name in dict.fromkeys(_NAME.findall(_TEXT.sub("", arguments))) if name in required]
    tests = [f"ISBLANK({name})" for name in named]
    return f"OR({','.join(tests)})" if len(tests) > 1 else "".join(tests)


def why(name: str, arguments: str) -> str:
    """Write what gives the reason of an error: the name of the function in front says nothing to a weaver.

    In Calc no text of an add-in equals another one, not even an empty one, before something is made of it.
    """
    return f'SUBSTITUTE(WEAVE.WHY("{name}",{arguments}),"{name}: ","")'


def write_rows(
    sheet: Sheet,
    first: int,
    rows: list[Row | Band],
    values: dict[str, Any],
    last_column: int,
    begun: str = "",
) -> int:
    """Write a form from a row of the sheet on; return the row after it."""
    at = first
    for row in rows:
        if isinstance(row, Band):
            if at > first:
                at += 1
            sheet.band(at, row.text, last_column)
            if row.new_page:
                sheet.new_page(at)
        else:
            _write_row(sheet, at, row, values, last_column, begun)
        at += 1
    sheet.mark_errors(first, RESULT, at - 1, RESULT)
    return at


def _write_row(sheet: Sheet, at: int, row: Row, values: dict[str, Any], last_column: int, begun: str) -> None:
    look = sheet.look
    sheet.write(at, LABEL, row.label, look.label())
    if row.only:
        condition = {
            "type": "formula",
            "criteria": f"=NOT({ONLY[row.only]})",
            "format": look.beside_the_point(),
        }
        sheet.page.conditional_format(at, LABEL, at, LABEL, condition)
    for column in (GIVEN, RESULT):
        sheet.write(at, column, "", look.note())
    sheet.write(at, UNIT, row.unit, look.note())
    note = max(NOTE, GIVEN + row.across)
    for column in range(NOTE, last_column + 1):
        sheet.write(at, column, row.note if column == note else "", look.note())
    if row.given is not None and row.across > 1:
        _write_cells(sheet, at, row, row.given, values.get(row.key, ()))
    elif row.given is not None:
        name = given_name(row)
        if row.lines:
            style = look.given(row.given.kind, text_wrap=True)
            sheet.page.set_row(at, 13.5 * row.lines)
            sheet.page.merge_range(at, GIVEN, at, last_column, "", style)
            sheet.write(at, GIVEN, values.get(row.key), style)
        else:
            sheet.write(at, GIVEN, values.get(row.key), look.given(row.given.kind))
        sheet.name_cell(name, at, GIVEN)
        # What is checked is not available while it is blank: only the others need a guard in a call.
        if row.given.required and name not in sheet.book.checked:
            sheet.book.required.add(name)
        validate(sheet, at, GIVEN, at, GIVEN, row.given, row.label)
    if row.formula:
        formula = guarded(row.formula, sheet.book.required)
        if row.only:
            formula = f'IF({ONLY[row.only]},{formula},"")'
        formula = f'=IF({begun},{formula},"")' if begun and not row.always else f"={formula}"
        style = look.result(
            row.kind, text_wrap=row.wrap > 0, **({"shrink": True} if row.kind == "text" else {})
        )
        if row.wrap:
            sheet.page.set_row(at, 13.5 * row.wrap)
            sheet.page.merge_range(at, RESULT, at, last_column, "", style)
        elif row.wide:
            sheet.page.merge_range(at, RESULT, at, UNIT, "", style)
        sheet.write(at, RESULT, formula, style)
        sheet.name_cell(row.key, at, RESULT)
    _add_checks(sheet, at, row, begun)


def _write_cells(sheet: Sheet, at: int, row: Row, given: Given, filled: Sequence[Any]) -> None:
    """Write the cells of a row that are filled in side by side."""
    last = GIVEN + row.across - 1
    for number in range(row.across):
        value = filled[number] if number < len(filled) else None
        sheet.write(at, GIVEN + number, value, sheet.look.given(given.kind))
    sheet.book.name(row.key, sheet.name, (at, GIVEN), (at, last))
    validate(sheet, at, GIVEN, at, last, given, row.label)


def moved(name: str, label: str) -> str:
    """Write the test whether a cell filled in, or cells side by side, left the line of their label."""
    return f'IF(ROW({name})<>ROW({label}),{MOVED},"")'


def _add_checks(sheet: Sheet, at: int, row: Row, begun: str) -> None:
    where = f"{sheet.name}, {row.label}"
    if row.given is not None:
        label = f"{sheet.name}!{xl_rowcol_to_cell(at, LABEL, row_abs=True, col_abs=True)}"
        sheet.book.checks.append(Check(where, f"={moved(given_name(row), label)}", as_it_is=True))
    # Cells side by side belong to one call, which tells what is wrong with them.
    if row.given is not None and row.across == 1:
        _check_given(sheet, row, row.given, where, begun)
    for name, arguments in calls(row.formula):
        reason = why(name, arguments)
        # A blank that is needed has a line of its own.
        blank = _blank(arguments, sheet.book.required)
        if blank:
            reason = f'IF({blank},"",{reason})'
        sheet.book.checks.append(Check(where, f'=IF(ISERROR({row.key}),{reason},"")'))
    for formula in row.checks:
        sheet.book.checks.append(Check(where, f"={formula}"))


def _check_given(sheet: Sheet, row: Row, given: Given, where: str, begun: str) -> None:
    """Look at the cell filled in by itself: a blank that is needed, and what cannot be used."""
    name = given_name(row)
    # Settings may be looked at before a plan is begun, but nothing is missed before.
    applies = [ONLY[row.only]] if row.only else []
    needed = f"AND({','.join(['Begun', *applies])})"
    if given.required:
        sentence = given.missing or f"{row.label} is blank: fill it in"
        when = f"AND({','.join([*([begun] if begun else []), *applies, f'ISBLANK({name})'])})"
        sheet.book.checks.append(Check(where, f'=IF({when},"{sentence}","")', as_it_is=True))
    holds = given.holds(name)
    if holds:
        sheet.book.used.append(Used(name, where, holds, needed if given.required else ""))
        when = f"AND({','.join([*applies, f'NOT(ISBLANK({name}))', f'NOT({holds})'])})"
        sentence = f"{row.label} must be {given.words()}"
        sheet.book.checks.append(Check(where, f'=IF({when},"{sentence}","")', as_it_is=True))


def _refusal(given: Given) -> str:
    """Say what a cell takes to someone who typed something else."""
    if given.is_number or (given.choices and isinstance(given.choices, tuple)):
        return f"It must be {given.words()}. "
    return "It must be one of the list. " if given.choices else ""


def validate(
    sheet: Sheet, first_row: int, first_column: int, last_row: int, last_column: int, given: Given, label: str
) -> None:
    """Add help that shows when the cell is entered, and refuse what cannot be right."""
    options: dict[str, Any] = {
        "input_title": label[:32],
        "input_message": given.help[:255],
        "error_title": label[:32],
        "error_message": f"{_refusal(given)}{given.help}"[:255],
    }
    if given.choices:
        if any("," in choice for choice in given.choices if isinstance(given.choices, tuple)):
            raise ValueError(
                f"a comma parts the choices of {label}: give the name of a range that holds them"
            )
        source = list(given.choices) if isinstance(given.choices, tuple) else f"={given.choices}"
        options |= {"validate": "list", "source": source}
        if given.free:
            options["show_error"] = False
    elif given.kind in ("text", "general"):
        options["validate"] = "any"
    else:
        low, high = given.range
        options |= {
            "validate": "integer" if given.kind == "whole" else "decimal",
            "criteria": "between",
            "minimum": low,
            "maximum": high,
        }
    sheet.page.data_validation(first_row, first_column, last_row, last_column, options)
