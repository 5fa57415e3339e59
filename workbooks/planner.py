"""Put the sheets together."""

from __future__ import annotations

from typing import Any

from weavefuncs.workbooks import (
    batch,
    cloth,
    draft,
    functions,
    kits,
    plan,
    records,
    settings,
    shopping,
    solved,
    start,
    tables,
    weaving_order,
    yarns,
)
from weavefuncs.workbooks.book import Book, Formula, Typed
from weavefuncs.workbooks.rows import checked_names


def build(path: str, example: dict[str, Any], target: str) -> None:
    """Write a planner whose formulas are not calculated yet.

    Parameters
    ----------
    path : str
        The file to write.
    example : dict
        What to fill in, by sheet: settings, yarns, plan, cloth, draft, order. Empty for a blank planner.
    target : str
        The program whose spelling of the functions is written.
    """
    example = _typed(example)
    forms = [*settings.ROWS, *plan.PIECE, *plan.HOURS, *cloth.ROWS, *draft.ROWS, *shopping.ROWS]
    book = Book(path, target, checked_names(forms))
    first = start.write(book)
    settings.write(book, example.get("settings", {}))
    yarns.write(book, example.get("yarns", []))
    plan.write(book, example.get("plan", {}))
    cloth.write(book, example.get("cloth", {}))
    draft.write(book, example.get("draft", {}))
    weaving_order.write(book, example.get("order", {}))
    batch.write(book, example.get("batch", []))
    kits.write(book, example.get("kits", {}))
    shopping.write(book, example.get("shopping", {}))
    solved.write(book)
    records.write(book, example.get("records", []))
    tables.write(book)
    functions.write(book)
    start.write_checks(book, first)
    first.page.activate()
    book.close()


def _typed(filled: Any) -> Any:
    """Mark every text that is filled in, however deep it lies, so that none is written as a formula."""
    if isinstance(filled, str):
        return filled if isinstance(filled, Formula) else Typed(filled)
    if isinstance(filled, dict):
        return {key: _typed(value) for key, value in filled.items()}
    if isinstance(filled, (list, tuple)):
        return [_typed(value) for value in filled]
    return filled
