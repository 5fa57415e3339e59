"""Cell addresses."""

import re
from functools import cache

MAX_ROW, MAX_COLUMN = 1_048_576, 16_384

_CELL = re.compile(r"\$?([A-Za-z]{1,3})\$?([0-9]{1,7})")


@cache
def column_number(letters: str) -> int:
    """Return 1 for A, 27 for AA."""
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - 64
    return number


@cache
def column_letters(number: int) -> str:
    """Return A for 1, AA for 27."""
    letters = ""
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def cell_name(row: int, column: int) -> str:
    """Return A1 for 1, 1."""
    return f"{column_letters(column)}{row}"


def cell_position(name: str) -> tuple[int, int] | None:
    """Return the row and column of a cell name, or None when it is none or lies outside a sheet."""
    found = _CELL.fullmatch(name)
    if found is None:
        return None
    row, column = int(found[2]), column_number(found[1])
    return (row, column) if 1 <= row <= MAX_ROW and column <= MAX_COLUMN else None


def area_bounds(name: str) -> tuple[int, int, int, int] | None:
    """Return first row, first column, last row, last column of ``A1`` or ``A1:B2``, else None."""
    first, _, last = name.partition(":")
    corner, other = cell_position(first), cell_position(last or first)
    if corner is None or other is None:
        return None
    (r1, c1), (r2, c2) = corner, other
    return min(r1, r2), min(c1, c2), max(r1, r2), max(c1, c2)


def area_size(bounds: tuple[int, int, int, int]) -> int:
    """Return how many cells lie within bounds."""
    top, left, bottom, right = bounds
    return (bottom - top + 1) * (right - left + 1)
