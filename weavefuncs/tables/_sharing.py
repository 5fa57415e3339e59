"""Which lines of an order book share a warp, what each carries of it, and what the warps come to."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from weavefuncs.tables._cells import TOLD, chosen, summed

if TYPE_CHECKING:
    from weavefuncs.tables._cells import Floats, Places, Sheet
    from weavefuncs.tables._yarns import Yarns

    Values = dict[str, Any]

# Columns that say something of the whole warp, so that its lines must agree on them.
OF_WARP = ("sett", "waste", "between", "warp_pieces")

# Shares that differ from 1 by less than this were reached by adding and are 1.
DUST = 1e-9


class Warps:
    """The warps of the lines that are calculated; a line without a label has a warp to itself."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        if sheet.has("warp"):
            codes, labels, self._cells = sheet.texts_and_cells("warp")
        else:
            codes, labels, self._cells = np.full(len(sheet.table), -1, dtype=np.intp), [], None
        alone = np.flatnonzero(codes < 0)
        if len(alone):
            codes = codes.copy()
            codes[alone] = len(labels) + np.arange(len(alone))
        self._all: Places = codes
        self._labels = labels
        self.count = len(labels) + len(alone)

    def pieces_of_all(self, given: Floats) -> Floats:
        """Fill in the pieces on each warp, where a line leaves them blank that another line gives."""
        blank = np.isnan(given)
        if not blank.any():
            return given
        places = np.flatnonzero(~blank)[::-1]
        on_warp = np.full(self.count, np.nan)
        # Of what is written twice the last stays: the first line.
        on_warp[self._all[places]] = given[places]
        return np.where(blank, on_warp[self._all], given)

    def share(self, places: Places, given: Values) -> Floats:
        """Take these lines as all there are, and return the part of its warp that each carries.

        That is its pieces of all on the warp: of ``warp_pieces`` where given, else of the lines here.
        """
        self.places = places
        self.codes: Places = chosen(self._all, places)
        pieces: Floats = given["pieces"]
        self.pieces = summed(self.codes, pieces, self.count)
        on_warp: Floats = self.pieces[self.codes]
        if "warp_pieces" in given:
            on_warp = np.where(np.isnan(given["warp_pieces"]), on_warp, given["warp_pieces"])
        return pieces / on_warp

    def table(self, yarn: Places, stock: Yarns, given: Values, made: Values) -> pd.DataFrame:
        """Add up the lines of each warp, and tell those that do not belong on it."""
        codes = self.codes
        first = np.zeros(self.count, dtype=np.intp)
        # Of what is written twice the last stays: the first line.
        first[codes[::-1]] = np.arange(len(codes))[::-1]
        leader = first[codes]
        unlike = np.flatnonzero(made["ends"] != made["ends"][leader])
        of_other_yarn = np.flatnonzero(yarn != yarn[leader])
        share = summed(codes, made["warp_share"], self.count)
        for line in unlike.tolist():
            self._tell(line, leader, f"{made['ends'][line]} ends do")
        for line in of_other_yarn.tolist():
            self._tell(line, leader, "this warp yarn does")
        for name in OF_WARP:
            if name in given:
                self._tell_unlike(name, given[name], leader)
        over = share > 1 + DUST
        for line in np.flatnonzero(over[codes]).tolist() if over.any() else ():
            text = f"warp {self._label(line)} has lines of more pieces than this"
            self.sheet.tell(int(self.places[line]), "warp_pieces", text, TOLD)

        lines = np.bincount(codes, minlength=self.count)
        wound = np.flatnonzero(lines)
        ends = np.zeros(self.count, dtype=np.int64)
        ends[wound] = made["ends"][first[wound]]
        fewest = ends.copy()
        np.maximum.at(ends, codes[unlike], made["ends"][unlike])
        np.minimum.at(fewest, codes[unlike], made["ends"][unlike])
        sums = {
            name: summed(codes, made[column], self.count)[wound]
            for name, column in (
                ("length", "warp_length"),
                ("yarn_length", "warp_yarn_length"),
                ("dressing_hours", "dressing_hours"),
            )
        }
        table: pd.DataFrame = pd.DataFrame(
            {
                "warp": self._labels_of(wound),
                "warp_yarn": pd.Index([*stock.names, ""], dtype="str").take(yarn[first[wound]]),
                "lines": lines[wound],
                "pieces": self.pieces[wound].astype(np.int64),
                "sett": given["sett"][first[wound]],
                "ends": ends[wound],
                "fewest_ends": fewest[wound],
                **sums,
                "share": share[wound],
            },
            copy=False,
        )
        return table

    def _label(self, line: int) -> str:
        label: str = self._labels[self.codes[line]]
        return label

    def _labels_of(self, wound: Places) -> Any:
        if self._cells is not None and len(self._labels) == self.count:
            return self._cells if len(wound) == self.count else self._cells.take(wound)
        # A line without a label has a warp of its own, behind those that are named.
        labels = pd.Index([*self._labels, ""], dtype="str")
        return labels.take(np.minimum(wound, len(self._labels)))

    def _tell_unlike(self, name: str, column: Floats, leader: Places) -> None:
        """Tell the lines that say of their warp something else than its first line."""
        of_leader = column[leader]
        unlike = np.flatnonzero(column != of_leader)
        # Sums that should come out alike may differ by dust.
        unlike = unlike[~np.isclose(column[unlike], of_leader[unlike], rtol=DUST, atol=0, equal_nan=True)]
        for line in unlike.tolist():
            row = self.sheet.row(int(self.places[leader[line]]))
            there = f"{of_leader[line]:.6g} in row {row}, on the same warp {self._label(line)}"
            self.sheet.tell(
                int(self.places[line]), name, f"{name} is {column[line]:.6g} here and {there}", TOLD
            )

    def _tell(self, line: int, leader: Places, what: str) -> None:
        row = self.sheet.row(int(self.places[leader[line]]))
        text = f"{what} not lie on warp {self._label(line)} as row {row} has it"
        self.sheet.tell(int(self.places[line]), "warp", text, TOLD)
