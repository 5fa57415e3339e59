"""Data that library, hosts, workbook and tests all read, as Python literals."""
