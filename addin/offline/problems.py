"""The one exception that offline recalculation raises for a file it cannot work with."""

MOST_TOLD = 500


class WorkbookProblem(Exception):  # noqa: N818 - it is shown to the user, who has a problem with a workbook
    """A workbook cannot be read, calculated or written; the text says why, and nothing was changed.

    What it quotes from a file may be endless, or made to command a terminal: it is cut, and plain.
    """

    def __init__(self, text: str) -> None:
        plain = "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in text)
        half = MOST_TOLD // 2
        super().__init__(plain if len(plain) <= MOST_TOLD else f"{plain[:half]} … {plain[-half:]}")
