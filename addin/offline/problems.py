"""The one exception that offline recalculation raises for a file it cannot work with."""


class WorkbookProblem(Exception):  # noqa: N818 - it is shown to the user, who has a problem with a workbook
    """A workbook cannot be read, calculated or written; the text says why, and nothing was changed."""
