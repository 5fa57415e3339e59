"""Put the sheets together."""

from __future__ import annotations

from typing import Any

from weavefuncs.workbooks import cloth, functions, plan, settings, start, tables, weaving_order, yarns
from weavefuncs.workbooks.book import Book
from weavefuncs.workbooks.rows import checked_names


def build(path: str, example: dict[str, Any], target: str) -> None:
    """Write a planner whose formulas are not calculated yet.

    Parameters
    ----------
    path : str
        The file to write.
    example : dict
        What to fill in, by sheet: settings, yarns, plan, cloth. Empty for a blank planner.
    target : str
        The program whose spelling of the functions is written.
    """
    forms = [*settings.ROWS, *plan.PIECE, *plan.HOURS, *cloth.ROWS]
    book = Book(path, target, checked_names(forms))
    first = start.write(book)
    settings.write(book, example.get("settings", {}))
    yarns.write(book, example.get("yarns", []))
    plan.write(book, example.get("plan", {}))
    cloth.write(book, example.get("cloth", {}))
    weaving_order.write(book)
    tables.write(book)
    functions.write(book)
    start.write_checks(book, first)
    first.page.activate()
    book.close()
