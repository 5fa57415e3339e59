"""Colour orders: which colour each thread has, over and over.

The grammar, spaces and case evened out::

    order  = item {"," item}
    item   = [number] colour | "(" order ")" [times number] | number [times] "(" order ")"
    times  = "x" | "×" | "*"

A colour begins with a letter or #, may have several words, and without a number is
one thread. A semicolon is as good as a comma.
"""

from __future__ import annotations

from functools import lru_cache

from weavefuncs.errors import WeaveError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterator
    from typing import Any

LONGEST_TEXT = 4000
DEEPEST = 8
MOST_THREADS = 1_000_000_000

REQUIREMENT = "a colour order, such as 8 white, 4 blue"
TIMES = ("x", "×", "*")
SIGNS = "(),×*"


class ColourOrder:
    """A colour order that repeats without end, counted without being written out.

    Attributes
    ----------
    colours : tuple of str
        Its colours as they first appear.
    threads : int
        Threads in one repeat.
    """

    __slots__ = ("_items", "colours", "threads")

    def __init__(self, items: list[tuple[int, str | ColourOrder]]) -> None:
        self._items = items
        spelled: dict[str, str] = {}
        self.threads: int = 0
        for count, item in items:
            for colour in (item,) if isinstance(item, str) else item.colours:
                spelled.setdefault(colour.casefold(), colour)
            self.threads += count if isinstance(item, str) else count * item.threads
        self.colours: tuple[str, ...] = tuple(spelled.values())

    @property
    def repeat(self) -> int:
        """Threads after which it begins again: not counting how often brackets round all of it do."""
        if len(self.colours) == 1:
            return 1
        _, item = self._items[0]
        return self.threads if len(self._items) > 1 or isinstance(item, str) else item.repeat

    def colour_of(self, thread: int) -> str:
        """Return the colour of a thread, counted from 1."""
        place = (thread - 1) % self.threads
        for count, item in self._items:
            threads = count if isinstance(item, str) else count * item.threads
            if place < threads:
                return self.spelled(item if isinstance(item, str) else item.colour_of(place + 1))
            place -= threads
        raise AssertionError("a place within one repeat lies in one of its items")

    def runs(self, threads: int) -> Iterator[tuple[int, str]]:
        """Yield the first threads, those of one item at a time: how many, and their colour."""
        while threads:
            for count, item in self._items:
                if isinstance(item, str):
                    here = min(threads, count)
                    yield here, item
                else:
                    here = min(threads, count * item.threads)
                    yield from item.runs(here)
                threads -= here
                if not threads:
                    break

    def count(self, threads: int, colour: str) -> int:
        """Return how many of the first threads have a colour."""
        repeats, rest = divmod(threads, self.threads)
        found = repeats * self._in_repeat(self.threads, colour) if repeats else 0
        return found + self._in_repeat(rest, colour)

    def spelled(self, colour: str) -> str:
        """Return a colour as the order first writes it; an empty text when it has none such."""
        wanted = colour.casefold()
        return next((known for known in self.colours if known.casefold() == wanted), "")

    def _in_repeat(self, threads: int, colour: str) -> int:
        found = 0
        for count, item in self._items:
            if isinstance(item, str):
                here = min(threads, count)
                found += here if item.casefold() == colour.casefold() else 0
            else:
                here = min(threads, count * item.threads)
                found += item.count(here, colour)
            threads -= here
            if not threads:
                break
        return found


class _UnreadableError(Exception):
    """Why a text is no colour order."""


def parse_colour_order(name: str, value: Any) -> ColourOrder:
    """Read a colour order; ``name`` is the argument that an error names."""
    if not isinstance(value, str):
        raise WeaveError(name, REQUIREMENT, value)
    if len(value) > LONGEST_TEXT:
        raise WeaveError(name, f"{REQUIREMENT}, in at most {LONGEST_TEXT} characters", value)
    return _read(name, value)


@lru_cache(maxsize=256)
def _read(name: str, text: str) -> ColourOrder:
    try:
        pieces = _pieces(text)
        order, place = _order(pieces, 0, 0)
        if place < len(pieces):
            raise _UnreadableError("a bracket closes that was never opened")
    except _UnreadableError as problem:
        raise WeaveError(name, f"{REQUIREMENT}: {problem}", text) from None
    return order


def _pieces(text: str) -> list[str]:
    for sign in SIGNS:
        text = text.replace(sign, f" {sign} ")
    pieces: list[str] = []
    for word in text.replace(";", " , ").split():
        if word[0] in "xX" and word[1:].isdigit() and pieces[-1:] == [")"]:
            pieces += ["x", word[1:]]
        else:
            pieces.append(word)
    return pieces


def _order(pieces: list[str], place: int, depth: int) -> tuple[ColourOrder, int]:
    """Read items up to the end or a closing bracket; return the order and the place of what follows."""
    if depth > DEEPEST:
        raise _UnreadableError(f"brackets lie at most {DEEPEST} deep")
    items: list[tuple[int, str | ColourOrder]] = []
    while True:
        item, place = _item(pieces, place, depth)
        items.append(item)
        if place == len(pieces) or pieces[place] == ")":
            break
        if pieces[place] != ",":
            raise _UnreadableError(f"a comma is missing before {pieces[place]}")
        place += 1
    order = ColourOrder(items)
    if order.threads > MOST_THREADS:
        raise _UnreadableError(f"its repeat must be at most {MOST_THREADS:,} threads")
    return order, place


def _item(pieces: list[str], place: int, depth: int) -> tuple[tuple[int, str | ColourOrder], int]:
    count = 1
    numbered = place < len(pieces) and pieces[place][0].isdigit()
    if numbered:
        count = _count(pieces[place])
        place += 1
        if pieces[place + 1 : place + 2] == ["("] and _is_times(pieces[place]):
            place += 1
    if pieces[place : place + 1] == ["("]:
        order, place = _order(pieces, place + 1, depth + 1)
        if place == len(pieces):
            raise _UnreadableError("a bracket is never closed")
        place += 1
        if place < len(pieces) and _is_times(pieces[place]):
            if numbered:
                raise _UnreadableError("a bracket is repeated before it or behind it, not both")
            if place + 1 == len(pieces) or not pieces[place + 1][0].isdigit():
                raise _UnreadableError("a number is missing behind the bracket")
            count = _count(pieces[place + 1])
            place += 2
        return (count, order), place
    words = []
    while place < len(pieces) and pieces[place] not in ("(", ")", ","):
        words.append(pieces[place])
        place += 1
    if not words:
        raise _UnreadableError("every number needs its colour" if numbered else "every comma needs a colour")
    if not (words[0][0].isalpha() or words[0][0] == "#"):
        raise _UnreadableError(f"a colour begins with a letter or #, not with {words[0]}")
    if any(_is_times(word) for word in words):
        raise _UnreadableError("what repeats stands in brackets, as (2 red, 2 grey) x 6")
    return (count, " ".join(words)), place


def _is_times(piece: str) -> bool:
    return piece.casefold() in TIMES


def _count(piece: str) -> int:
    if not (piece.isascii() and piece.isdigit()):
        raise _UnreadableError(f"{piece} is not a whole number; a space parts number and colour")
    # Counting digits first keeps a number of a thousand digits from being read at all.
    if len(piece) > 10 or not 1 <= int(piece) <= MOST_THREADS:
        raise _UnreadableError(f"its numbers must be from 1 to {MOST_THREADS:,}")
    return int(piece)
