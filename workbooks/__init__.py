"""The planning workbook, built by code."""
