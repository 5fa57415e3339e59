"""The one exception that offline recalculation raises for a file it cannot work with."""

from weavefuncs.addin.told import plain

MOST_TOLD = 500


class WorkbookProblem(Exception):  # noqa: N818 - it is shown to the user, who has a problem with a workbook
    """A workbook cannot be read, calculated or written; the text says why, and nothing was changed.

    What it quotes from a file may be endless, or made to command a terminal: it is cut, and plain.
    """

    def __init__(self, text: str) -> None:
        text, half = plain(text), MOST_TOLD // 2
        super().__init__(text if len(text) <= MOST_TOLD else f"{text[:half]} … {text[-half:]}")
