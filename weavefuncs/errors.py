"""The one exception family of weavefuncs."""

from __future__ import annotations

LONGEST_SHOWN = 80


def shown(value: object) -> str:
    """Write a received value so that it fits into a sentence."""
    try:
        text = f"{value:.15g}" if type(value) is float else repr(value)
    except Exception as problem:
        return f"a value of type {type(value).__name__} that cannot be written out ({type(problem).__name__})"
    text = " ".join(text.split())
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 1] + "…"


class WeaveError(ValueError):
    """An argument that a function refuses, told in plain words.

    Parameters
    ----------
    argument : str
        Name of the argument.
    requirement : str
        What it must be, as the end of the sentence "width must be …".
    received : object
        The value that was given.
    row : int
        The row of a column, counted from 1; 0 where no column was given.

    Attributes
    ----------
    function : str
        The function that refused, filled in by the registry.
    row : int
        The row of a column, counted from 1; 0 where no column was given.
    """

    def __init__(self, argument: str, requirement: str, received: object, row: int = 0) -> None:
        super().__init__(argument, requirement, received)
        self.argument = argument
        self.requirement = requirement
        self.received = received
        self.function = ""
        self.row = row

    def __str__(self) -> str:
        where = f" in row {self.row}" if self.row else ""
        before = f"{self.function}: " if self.function else ""
        return f"{before}{self.argument}{where} must be {self.requirement}; got {shown(self.received)}"


class MissingError(WeaveError):
    """A required argument that was not given."""

    def __init__(self, argument: str, what: str) -> None:
        super().__init__(argument, f"given ({what})", None)
        # An unpickled exception is made anew from these.
        self.args = (argument, what)

    def __str__(self) -> str:
        where = f" in row {self.row}" if self.row else ""
        before = f"{self.function}: " if self.function else ""
        return f"{before}{self.argument}{where} must be {self.requirement}; nothing was given"
