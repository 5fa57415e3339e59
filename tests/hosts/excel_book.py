"""A workbook for xlwings' own ``Sheet`` and ``Range`` to work on, where there is no Excel. Not a test.

It stands where xlwings' engine for Windows would: it keeps what was written into cells and the pictures that
were added. Reading with options, resizing and writing is xlwings' own code.
"""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import xlwings as xw
from PIL import Image
from windows_stand_ins import ERRORS, error
from xlwings.base_classes import Range as BaseRange

POINTS_A_PIXEL = 0.75
ERROR_CELLS = set(map(error, ERRORS))
CELL_WIDTH, CELL_HEIGHT = 48, 15


def column_letters(number: int) -> str:
    return column_letters((number - 1) // 26) + chr(65 + (number - 1) % 26) if number else ""


class RangeEngine(BaseRange):
    api = object()
    max_cells_per_read = max_cells_per_write = None
    sheet = row = column = shape = left = top = None

    def __init__(self, sheet: SheetEngine, row: int, column: int, rows: int, columns: int) -> None:
        self.sheet, self.row, self.column, self.shape = sheet, row, column, (rows, columns)
        self.left, self.top = (column - 1) * CELL_WIDTH, (row - 1) * CELL_HEIGHT

    def __call__(self, row: int, column: int) -> RangeEngine:
        return RangeEngine(self.sheet, self.row + row - 1, self.column + column - 1, 1, 1)

    def __len__(self) -> int:
        return self.shape[0] * self.shape[1]

    def _places(self) -> list[list[tuple[int, int]]]:
        return [
            [(self.row + row, self.column + column) for column in range(self.shape[1])]
            for row in range(self.shape[0])
        ]

    @property
    def raw_value(self) -> Any:
        rows = tuple(tuple(self.sheet.cells.get(place) for place in row) for row in self._places())
        return rows[0][0] if self.shape == (1, 1) else rows

    @raw_value.setter
    def raw_value(self, value: Any) -> None:
        rows = value if isinstance(value, (list, tuple)) else [[value]]
        assert (len(rows), len(rows[0])) == self.shape
        self.sheet.refuse_when_protected()
        for places, values in zip(self._places(), rows):
            self.sheet.cells.update(zip(places, values))

    def clear_contents(self) -> None:
        self.sheet.refuse_when_protected()
        for row in self._places():
            for place in row:
                self.sheet.cells.pop(place, None)

    def end(self, direction: str) -> RangeEngine:
        assert direction == "down"
        row = self.row
        while self.sheet.cells.get((row + 1, self.column)) not in (None, ""):
            row += 1
        return RangeEngine(self.sheet, row, self.column, 1, 1)

    def get_address(self, row_absolute: bool, column_absolute: bool, external: bool) -> str:
        assert (row_absolute, column_absolute, external) == (False, False, False)
        first = f"{column_letters(self.column)}{self.row}"
        rows, columns = self.shape
        last = f"{column_letters(self.column + columns - 1)}{self.row + rows - 1}"
        return first if first == last else f"{first}:{last}"


class PictureEngine:
    lock_aspect_ratio = False

    def __init__(self, parent: SheetEngine, path: str, left: float, top: float) -> None:
        self.parent, self.left, self.top, self.name = parent, left, top, "Picture 1"
        # Excel keeps the picture itself: the file may be gone afterwards.
        self.content = Path(path).read_bytes()
        with Image.open(path) as image:
            self.pixels = image.size
            self.corner = image.convert("RGB").getpixel((image.width // 2, image.height // 2))
        self.width, self.height = (side * POINTS_A_PIXEL for side in self.pixels)

    def delete(self) -> None:
        self.parent.pictures.all.remove(self)


class PicturesEngine:
    def __init__(self, parent: SheetEngine) -> None:
        self.parent = parent
        self.all: list[PictureEngine] = []

    def __call__(self, name: str) -> PictureEngine:
        return next(picture for picture in self.all if picture.name == name)

    def __contains__(self, name: str) -> bool:
        return any(picture.name == name for picture in self.all)

    def add(
        self, path: Any, link: bool, save: bool, left: Any, top: Any, width: Any, height: Any, anchor: Any
    ) -> PictureEngine:
        assert save
        assert not link
        self.parent.refuse_when_protected()
        left, top = (anchor.left, anchor.top) if anchor else (left or 0, top or 0)
        self.all.append(PictureEngine(self.parent, path, left, top))
        return self.all[-1]


class SheetEngine:
    name, protected = "Sheet1", False

    def __init__(self, book: SimpleNamespace) -> None:
        self.book = book
        self.cells: dict[tuple[int, int], Any] = {}
        self.pictures = PicturesEngine(self)

    def refuse_when_protected(self) -> None:
        if self.protected:
            raise OSError("Exception occurred.")

    def range(self, first: Any, last: Any = None) -> RangeEngine:
        if isinstance(first, tuple):
            first = RangeEngine(self, *first, 1, 1)
        last = last or first
        rows, columns = last.row - first.row + last.shape[0], last.column - first.column + last.shape[1]
        return RangeEngine(self, first.row, first.column, rows, columns)


class StandInBook:
    """One sheet. ``put`` writes rows of cells, ``cells`` reads them; ``said`` is what the user was told."""

    def __init__(self, engine: Any) -> None:
        self.said: list[str] = []
        app = SimpleNamespace(engine=engine, pid=1, alert=lambda prompt, *_: self.said.append(prompt))
        book = SimpleNamespace(app=app, name="Book1")
        self.engine = SheetEngine(book)
        self.sheet = xw.Sheet(impl=self.engine)

    def put(self, row: int, column: int, rows: list[list[Any]]) -> xw.Range:
        """Write rows of cells as pywin32 would find them, and select them."""
        for down, line in enumerate(rows):
            for across, value in enumerate(line):
                is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
                self.engine.cells[row + down, column + across] = (
                    value if value in ERROR_CELLS else float(value) if is_number else value
                )
        chosen = RangeEngine(self.engine, row, column, len(rows), len(rows[0]))
        self.engine.book.app.selection = chosen
        return xw.Range(impl=chosen)

    def cells(self, row: int, column: int, rows: int, columns: int) -> list[list[Any]]:
        return [
            [self.engine.cells.get((row + down, column + across)) for across in range(columns)]
            for down in range(rows)
        ]
