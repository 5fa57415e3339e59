"""Values of cells: None, float, str, bool or an error value."""

from typing import Union

from weavefuncs.addin.cells import CellError

Value = Union[None, bool, float, str, CellError]

__all__ = ["CellError", "Value"]
