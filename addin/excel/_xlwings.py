"""xlwings, or a sentence that says what is missing."""

from __future__ import annotations

try:
    import xlwings as xw
except ImportError as problem:
    raise ImportError(
        'the functions in Excel on Windows need xlwings: pip install "weavefuncs[excel]"'
    ) from problem

__all__ = ["xw"]
