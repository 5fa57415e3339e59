"""Recalculate a workbook with no spreadsheet program present."""
