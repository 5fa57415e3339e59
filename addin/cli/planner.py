"""What a planner workbook says, printed: the plan in short, its problems, and its cells in error."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from weavefuncs.addin.told import plain

if TYPE_CHECKING:
    from weavefuncs.addin.offline import CellNote, Report

# The names that the planner gives to the cells with its summary and its problems.
SUMMARY, PROBLEMS = "PlanSummary", "ProblemsList"

MOST_LISTED = 20


def print_report(report: Report, fresh: bool = False) -> None:
    """Print a report: first the plan, where the workbook is a planner, then the counts.

    In a ``fresh`` workbook every value is new, so how many are is not worth a word.
    """
    # A label alone says nothing: the plan is still blank.
    summary = [row for row in _rows(report, SUMMARY) if len(row) > 1]
    width = max((len(row[0]) for row in summary), default=0)
    for label, *values in summary:
        print(f"{label:<{width}}  {' '.join(values)}")
    problems = _rows(report, PROBLEMS)
    if problems:
        print("\nProblems")
        for row in problems:
            print(f"  {': '.join(row)}")
    if summary or problems:
        print()
    changed = "" if fresh else f"{report.changed} with a new value, "
    print(f"{report.formulas} formulas, {changed}{len(report.errors)} in error")
    _print_notes(report.errors)
    if report.uncalculated:
        print(f"{len(report.uncalculated)} could not be calculated")
        _print_notes(report.uncalculated)


def _print_notes(notes: tuple[CellNote, ...]) -> None:
    for note in notes[:MOST_LISTED]:
        print(plain(f"  {note.sheet}!{note.cell}: {note.text}"))
    if len(notes) > MOST_LISTED:
        print(f"  and {len(notes) - MOST_LISTED} more")


def _rows(report: Report, name: str) -> list[list[str]]:
    try:
        rows = report.name_values(name)
    except KeyError:
        return []
    texts = [[_text(value) for value in row if _text(value)] for row in rows]
    return [row for row in texts if row]


def _text(value: Any) -> str:
    if value is None:
        return ""
    return f"{value:.15g}" if isinstance(value, float) else plain(str(value)).strip()
