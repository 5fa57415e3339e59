"""What the yarn of a warp costs: put-ups and price of the yarn that a name or a count means."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

import weavefuncs as wf
from weavefuncs.tables._cells import TOLD, same_name
from weavefuncs.tables._yarns import same_yarn

if TYPE_CHECKING:
    from weavefuncs.tables._cells import Problems
    from weavefuncs.tables._yarns import Yarns

    # A yarn in one colour: what it stands as in the table of yarns, else what it is called.
    Label = tuple[str, ...]


@dataclass(frozen=True)
class Purchase:
    """A yarn in one colour, bought in put-ups of its own."""

    name: str
    colour: str
    put_up_length: float
    put_up_price: float

    def put_ups(self, length: float) -> int:
        """Return the whole put-ups for a length; 0 where the put-up is not known."""
        return 0 if np.isnan(self.put_up_length) else int(wf.put_ups(length, self.put_up_length))

    def cost(self, length: float) -> float:
        """Return what the put-ups for a length cost; 0 where that is not known."""
        return 0.0 if np.isnan(self.put_up_price) else float(self.put_ups(length) * self.put_up_price)

    def value(self, length: float) -> float:
        """Return what a length is worth, as part of a put-up; 0 where that is not known."""
        if np.isnan(self.put_up_price):
            return 0.0
        return float(wf.stash_value(length, self.put_up_length, self.put_up_price))


class Prices:
    """Put-ups and prices of warp yarns, found by name or count, and by colour."""

    def __init__(self, stock: Yarns | None, label: str, problems: Problems) -> None:
        self._stock = stock
        self._label = label
        self._problems = problems
        self._known: dict[Label, Purchase] = {}
        self._by_name: dict[str, int] = {}
        # Lines of one count, and of one count and fibre; a line without a count is a kind of its own.
        self._by_count: dict[str, list[int]] = {}
        self._by_kind: dict[str, list[int]] = {}
        self._kinds: list[str] = []
        if stock is not None:
            self._metre_price = np.nan_to_num(stock.metre_price, nan=-1.0)
            for place, name in enumerate(stock.names):
                count, fibre = stock.texts["yarn"][place], same_name(stock.texts["fibre"][place])
                kind = f"{same_yarn(count)}, {fibre}" if count else same_name(name)
                self._by_name[same_name(name)] = place
                self._kinds.append(kind)
                self._by_kind.setdefault(kind, []).append(place)
                if count:
                    self._by_count.setdefault(same_yarn(count), []).append(place)

    def label(self, warp_yarn: str, colour: str) -> Label:
        """Return what all ways of writing a yarn in a colour have in common.

        An empty colour is the yarn as it is named.
        """
        places = self._places(warp_yarn, colour)
        kinds = {self._kinds[place] for place in self._places(warp_yarn, "")}
        names = () if self._stock is None else sorted(same_name(self._stock.names[place]) for place in places)
        if names and kinds.issuperset(self._kinds[place] for place in places):
            return tuple(names)
        # A colour that is the name of some other yarn may still mean the colour of this one.
        kind = kinds.pop() if len(kinds) == 1 else same_yarn(warp_yarn)
        return (*names, "", kind, "" if names else same_name(colour))

    def knows(self, warp_yarn: str) -> bool:
        """Tell whether a yarn stands in the table, by its name or its count."""
        return bool(self._places(warp_yarn, ""))

    def find(self, warp_yarn: str, colour: str) -> Purchase:
        """Return what is bought for a warp yarn in a colour, and tell what is in doubt."""
        label = self.label(warp_yarn, colour)
        if label not in self._known:
            self._known[label] = self._found(warp_yarn, colour)
        return self._known[label]

    def _places(self, warp_yarn: str, colour: str) -> list[int]:
        """Return the lines that a yarn in a colour may be."""
        named = self._by_name.get(same_name(warp_yarn))
        places = self._by_count.get(same_yarn(warp_yarn), []) if named is None else [named]
        if self._stock is None or not colour:
            return places
        kinds = dict.fromkeys(self._kinds[place] for place in places)
        alike = [place for kind in kinds for place in self._by_kind[kind]]
        by_name = [place for place in (self._by_name.get(same_name(colour)),) if place is not None]
        if by_name and by_name[0] in alike:
            return by_name
        colours = self._stock.texts["colour"]
        for among in (places, alike):
            coloured = [place for place in among if same_name(colours[place]) == same_name(colour)]
            if coloured:
                return coloured
        return by_name

    def _found(self, warp_yarn: str, colour: str) -> Purchase:
        stock = self._stock
        if stock is None:
            return Purchase(warp_yarn, colour, np.nan, np.nan)
        places = self._places(warp_yarn, colour)
        what = f"{warp_yarn} in {colour}" if colour else warp_yarn
        if not places:
            column = "colour" if self._places(warp_yarn, "") else "name"
            self._tell(column, f"{what} does not stand there: its cost is left out")
            return Purchase(warp_yarn, colour, np.nan, np.nan)
        # The order of the lines must not matter.
        places = sorted(places, key=lambda place: (-self._metre_price[place], same_name(stock.names[place])))
        place = places[0]
        if len({self._sold_as(place) for place in places}) > 1:
            others = " or ".join(sorted((stock.names[place] for place in places), key=same_name))
            which = "which costs most" if self._metre_price[place] >= 0 else "the first by name"
            self._tell("yarn", f"{what} may be {others}: {stock.names[place]} is counted, {which}")
        length, price = float(stock.put_up_length[place]), float(stock.put_up_price[place])
        if np.isnan(length + price):
            self._tell(
                "put_up_price", f"{what} has no put-up and price that can be used: its cost is left out"
            )
            price = np.nan
        return Purchase(stock.names[place], stock.texts["colour"][place] or colour, length, price)

    def _sold_as(self, place: int) -> tuple[str, ...]:
        """Return what a line has in common with other lots of the same yarn."""
        assert self._stock is not None
        sold = (self._stock.put_up_length[place], self._stock.put_up_price[place])
        return (self._kinds[place], same_name(self._stock.texts["colour"][place]), *map(str, sold))

    def _tell(self, column: str, problem: str) -> None:
        self._problems.add(self._label, 0, column, problem, TOLD)
