"""Recalculate a workbook with no spreadsheet program present."""

from .problems import WorkbookProblem
from .recalc import CellNote, Report, our_functions, recalculate

__all__ = ["CellNote", "Report", "WorkbookProblem", "our_functions", "recalculate"]
