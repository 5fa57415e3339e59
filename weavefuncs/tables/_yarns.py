"""The table of yarns as the other tables use it: looked up by name, with what a metre costs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

import weavefuncs as wf
from weavefuncs._yarn_text import parse_yarn
from weavefuncs.errors import WeaveError
from weavefuncs.tables._cells import LEFT_OUT, NOT_USED, TEXT, Sheet, as_text, same_name
from weavefuncs.tables._settings import argument, checked

if TYPE_CHECKING:
    from weavefuncs.tables._cells import Floats, Places, Problems

TEXTS = ("yarn", "fibre", "colour", "lot")
NUMBERS = {
    "length": ("short_by", "have"),
    "put_up_length": ("stash_value", "put_up_length"),
    "put_up_price": ("stash_value", "put_up_price"),
}


def read_count(text: str) -> str | None:
    """Return what all spellings of one count have in common; None for a text that is no count.

    That is the system, the plies and the weight. Strands written out are plies: 8 Ne x 2 is 8/2 Ne. Weight
    alone does not make two yarns one: 4 Ne is as heavy as 8/2 Ne, and no ply says so. A length per mass
    leaves the ply open, so it is the same as another length per mass of that weight, and as no count.
    """
    try:
        yarn = parse_yarn("yarn", text)
    except WeaveError:
        return None
    system = "length per mass" if yarn.system.put_up else yarn.system.name
    return f"{yarn.ply * yarn.strands} plies {system}, {yarn.tex:.9g} tex"


def same_yarn(text: str) -> str:
    """Return what the spellings of one yarn have in common; a text that is no count is like itself only."""
    return read_count(text) or same_name(text)


class Yarns:
    """Yarns by name, each name once.

    Attributes
    ----------
    names : list of str
        The names, as they are first written.
    texts : dict
        For each column of texts the text of each yarn, empty where blank.
    length, put_up_length, put_up_price : array
        The numbers of each yarn, nan where blank or in error.
    """

    def __init__(self, table: pd.DataFrame, label: str, problems: Problems) -> None:
        sheet = Sheet(table, label, problems, ("name", *TEXTS, *NUMBERS))
        sheet.need("name")
        self.label = label
        codes, texts = sheet.names("name")
        first: dict[str, int] = {}
        for place in np.flatnonzero(sheet.good):
            name = same_name(texts[codes[place]])
            if first.setdefault(name, int(place)) != place:
                written = as_text(sheet.table["name"].iloc[place])
                stands = f"{written} stands twice, and row {sheet.row(first[name])} is used"
                sheet.tell(int(place), "name", f"{stands}: give each lot a name of its own", LEFT_OUT)
        places = np.fromiter(first.values(), dtype=np.intp, count=len(first))
        self._at = {name: number for number, name in enumerate(first)}
        self.names = [texts[codes[place]] for place in places]
        self._index = pd.Index(self.names)
        self.texts = {column: _texts(sheet, column, places) for column in TEXTS}
        self._check_counts(sheet, places)
        read = {
            column: sheet.numbers(column, argument(*where), np.nan, NOT_USED)[places]
            if sheet.has(column)
            else np.full(len(places), np.nan)
            for column, where in NUMBERS.items()
        }
        self.length, self.put_up_length, self.put_up_price = read.values()

    def __len__(self) -> int:
        return len(self.names)

    def _check_counts(self, sheet: Sheet, places: Places) -> None:
        """Tell the yarn texts that are none, and blank them."""
        parameter = argument("yarn_mass", "yarn")
        counts = self.texts["yarn"]
        for number, place in enumerate(places):
            if counts[number]:
                try:
                    checked("yarn", parameter, counts[number])
                except WeaveError as error:
                    sheet.tell(int(place), "yarn", str(error), NOT_USED)
                    counts[number] = ""

    @property
    def metre_price(self) -> Floats:
        """What one unit of length of each yarn costs to buy again, nan where that is not known."""
        price = np.full(len(self), np.nan)
        known = ~np.isnan(self.put_up_length + self.put_up_price)
        if known.any():
            price[known] = wf.stash_value(1, self.put_up_length[known], self.put_up_price[known])
        return price

    def mass(self, lengths: Floats, length_unit: str, mass_unit: str) -> Floats:
        """Return what these lengths of the yarns weigh, nan where the count is not known."""
        counts = self.texts["yarn"]
        of_one = [wf.yarn_mass(1, count, length_unit, mass_unit) if count else np.nan for count in counts]
        return lengths * np.array(of_one, dtype=np.float64)

    def find(self, sheet: Sheet, column: str, known: Floats | None = None, lacking: str = "") -> Places:
        """Look up a column of names: for each row the place of its yarn.

        A row whose yarn is not there, or of which the numbers ``known`` are nan, is told and left out.
        """
        if len(self) and (known is None or not np.isnan(known).any()):
            # Mostly every name is written as it stands there.
            exact: Places = self._index.get_indexer(pd.Index(sheet.table[column]))
            if exact.min(initial=0) >= 0:
                return exact
        codes, texts = sheet.names(column)
        found = np.array([*(self._at.get(same_name(text), -1) for text in texts), -1], dtype=np.intp)
        usable = found >= 0
        if known is not None and len(self):
            usable &= ~np.isnan(known[found])
        places: Places = found[codes]
        if not usable[:-1].all():
            for place in np.flatnonzero(~usable[codes] & (codes >= 0) & sheet.filled):
                name = texts[codes[place]]
                why = f"stands on {self.label} without {lacking}, or with one in error"
                if places[place] < 0:
                    why = f"does not stand on {self.label}"
                sheet.tell(int(place), column, f"{name} {why}", LEFT_OUT)
        return places


def _texts(sheet: Sheet, column: str, places: Places) -> list[str]:
    if not sheet.has(column):
        return [""] * len(places)
    codes, texts = sheet.texts(column)
    return [texts[code] if code >= 0 else "" for code in codes[places]]


def columns_of(yarns: Yarns, *names: str) -> dict[str, Any]:
    """Return columns that tell the yarns apart, for a result table."""
    texts = {"name": yarns.names, **{name: yarns.texts[name] for name in names}}
    return {name: pd.Index(column, dtype=TEXT) for name, column in texts.items()}
