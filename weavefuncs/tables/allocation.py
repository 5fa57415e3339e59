"""The stash given out: which put-up, in which dye lot, goes to which piece."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

import weavefuncs as wf
from weavefuncs._rounding import whole_down, whole_up
from weavefuncs.errors import MissingError
from weavefuncs.tables._cells import (
    LEFT_OUT,
    NOT_USED,
    NUMBER,
    TEXT,
    TOLD,
    WHOLE,
    WHOLE_OR_BLANK,
    Problems,
    Sheet,
    listed,
    need_tables,
    same_name,
)
from weavefuncs.tables._cutting import Lot, Need, Promises, Stage
from weavefuncs.tables._promising import parts, promise, total
from weavefuncs.tables._settings import argument
from weavefuncs.tables._solving import Clock, relative_gap, silent
from weavefuncs.tables._yarns import read_count, same_yarn

if TYPE_CHECKING:
    from collections.abc import Callable

YARN_COLUMNS = ("name", "yarn", "fibre", "colour", "lot", "length", "put_up_length", "put_up_price")
NEED_COLUMNS = ("piece", "yarn", "fibre", "colour", "length", "may_mix")

# The columns of the results.
ALLOCATION = {
    "need": WHOLE,
    "row": WHOLE,
    "piece": TEXT,
    "put_up": TEXT,
    "yarn": TEXT,
    "colour": TEXT,
    "lot": TEXT,
    "length": NUMBER,
    "whole_put_ups": WHOLE,
    "cut": NUMBER,
}
PUT_UPS = {
    "row": WHOLE,
    "name": TEXT,
    "yarn": TEXT,
    "fibre": TEXT,
    "colour": TEXT,
    "lot": TEXT,
    "length": NUMBER,
    "promised": NUMBER,
    "left": NUMBER,
    "broken": WHOLE,
}
SHORTAGES = {
    "row": WHOLE,
    "piece": TEXT,
    "yarn": TEXT,
    "colour": TEXT,
    "needed": NUMBER,
    "covered": NUMBER,
    "best_lot": TEXT,
    "short": NUMBER,
    "buy": NUMBER,
    "sentence": TEXT,
}
BOUGHT = {
    "name": TEXT,
    "yarn": TEXT,
    "fibre": TEXT,
    "colour": TEXT,
    "pieces": TEXT,
    "length": NUMBER,
    "put_up_length": NUMBER,
    "put_ups": WHOLE_OR_BLANK,
    "left_over": NUMBER,
    "cost": NUMBER,
}

AIMS = ("length bought", "put-ups broken")

YES = frozenset(("1", "true", "yes", "y", "x"))
NO = frozenset(("", "0", "false", "no", "n"))

# A line of more put-ups than this has a put-up that cannot be meant.
MOST_PUT_UPS = 10_000

# Lengths are counted in hundredths of their unit.
STEPS = 100


@dataclass(frozen=True)
class StashPlan:
    """Which put-up goes to which need. Lengths are not rounded.

    Attributes
    ----------
    allocation : DataFrame
        One row for each need and a line of the stash that serves it: ``put_up``, ``lot``, ``length``, of
        which ``whole_put_ups`` are whole ones and the length ``cut`` comes off broken ones.
    put_ups : DataFrame
        One row for each line of the stash: ``length``, ``promised``, ``left``, ``broken`` put-ups.
    shortages : DataFrame
        One row for each need that is not covered: how much is ``short`` in the ``best_lot``, how much to
        ``buy``, and a ``sentence``.
    bought : DataFrame
        One row for each yarn and colour to buy, in whole put-ups where the put-up is known.
    stages : DataFrame
        One row for each aim, in their order: its value, the bound that nothing goes below, and the gap.
    problems : DataFrame
        One row for each cell that is wrong: sheet, row, column, problem, and its effect.
    """

    allocation: pd.DataFrame
    put_ups: pd.DataFrame
    shortages: pd.DataFrame
    bought: pd.DataFrame
    stages: pd.DataFrame
    problems: pd.DataFrame

    @property
    def broken(self) -> int:
        """How many put-ups are cut into."""
        return int(self.put_ups["broken"].sum())

    @property
    def length_bought(self) -> float:
        """The length that the stash does not cover."""
        return float(self.bought["length"].sum())

    @property
    def gap(self) -> float:
        """The largest gap of the aims, as a share of the value reached; 0 is proven best."""
        return float(self.stages["gap"].max())

    @property
    def proven(self) -> bool:
        """Whether no allocation is better."""
        return self.gap == 0.0


@dataclass
class _Line:
    """A line of the stash."""

    row: int
    name: str
    yarn: str
    fibre: str
    colour: str
    lot: str
    length: float
    put_up_length: float
    put_up_price: float
    place: int = 0
    promised: float = 0.0
    broken: int = 0

    @cached_property
    def product(self) -> tuple[str, ...]:
        """What makes it the same yarn and colour as another line; without a count only itself is that."""
        if not self.yarn:
            return ("", "", "", same_name(self.name))
        return (same_yarn(self.yarn), same_name(self.fibre), same_name(self.colour), "")

    @property
    def put_ups(self) -> list[tuple[int, int]]:
        """The lengths of its put-ups in steps, and how many there are of each: full ones, and a rest."""
        full = 0 if np.isnan(self.put_up_length) else _steps_down(self.put_up_length)
        length = _steps_down(self.length)
        if not 0 < full < length:
            return [(length, 1)]
        # The rounding of full ones is not left as a rest.
        count = int(whole_down(self.length / self.put_up_length))
        rest = _steps_down(max(self.length - count * self.put_up_length, 0.0))
        return [(full, count), (rest, 1)] if rest else [(full, count)]


def _steps_down(length: float) -> int:
    return int(whole_down(length * STEPS))


def _steps_up(length: float) -> int:
    return int(whole_up(length * STEPS))


@dataclass
class _Wanted:
    """A need: lines of the table for one yarn and colour of one piece belong together.

    Attributes
    ----------
    products : tuple of int
        The yarns and colours of the stash that fit, by their place among its products.
    names : set of str
        Its yarn as it is written, once for each line of the table.
    """

    row: int
    piece: str
    yarn: str
    fibre: str
    colour: str
    length: float
    may_mix: bool
    products: tuple[int, ...] = ()
    names: set[str] = field(default_factory=set)

    @property
    def what(self) -> str:
        """The yarn as a sentence names it."""
        return " ".join(text for text in (self.colour, self.yarn, self.fibre) if text)

    @property
    def key(self) -> tuple[Any, ...]:
        """What the lines of one need have in common: what they find, else what they ask for."""
        asked = () if self.products else (same_yarn(self.yarn), same_name(self.fibre), same_name(self.colour))
        return (same_name(self.piece), self.products, asked)


class _Stash:
    """The lines of the stash, put together by product and lot, and into put-ups by length.

    Lines with nothing left give nothing, but a need may still name them.
    """

    def __init__(self, every: list[_Line], names: set[str]) -> None:
        self._names = names
        self._product_of = {same_name(line.name): line.product for line in every}
        self.lines = lines = [line for line in every if _steps_down(line.length)]
        for place, line in enumerate(lines):
            line.place = place
        self.products: list[tuple[str, ...]] = sorted({line.product for line in lines})
        numbers = {product: number for number, product in enumerate(self.products)}
        members: dict[tuple[int, str, str], list[_Line]] = {}
        for line in sorted(lines, key=lambda line: (line.product, same_name(line.lot), same_name(line.name))):
            # Put-ups without a lot cannot be told to be of one: each line is a lot of its own.
            lot = (same_name(line.lot), "") if line.lot else ("", same_name(line.name))
            members.setdefault((numbers[line.product], *lot), []).append(line)
        self.lots: list[Lot] = []
        self.members = list(members.values())
        # For each lot and length the put-ups, each by its line.
        self.put_ups: list[list[list[_Line]]] = []
        for (product, _, _), of_lot in members.items():
            kinds: dict[int, list[_Line]] = {}
            for line in of_lot:
                for length, count in line.put_ups:
                    kinds.setdefault(length, []).extend([line] * count)
            lengths = sorted(kinds, reverse=True)
            self.lots.append(Lot(product, tuple(lengths), tuple(len(kinds[length]) for length in lengths)))
            self.put_ups.append([kinds[length] for length in lengths])

    def fitting(self, need: _Wanted) -> tuple[int, ...]:
        """Return the products that may serve a need."""
        named = self._product_of.get(same_name(need.yarn))
        yarn, fibre, colour = same_yarn(need.yarn), same_name(need.fibre), same_name(need.colour)
        fitting = {
            line.product
            for line in self.lines
            if (not need.yarn or line.product == named or line.product[0] == yarn)
            and (not fibre or same_name(line.fibre) == fibre)
            and (not colour or same_name(line.colour) == colour)
        }
        return tuple(number for number, product in enumerate(self.products) if product in fitting)

    def knows(self, yarn: str) -> bool:
        """Tell whether a yarn is a name here, or a count that can be read, or written so here."""
        return (
            same_name(yarn) in self._names
            or read_count(yarn) is not None
            or any(product[0] == same_name(yarn) for product in self._product_of.values())
        )

    def fibres(self, products: tuple[int, ...]) -> list[str]:
        """Return the fibres that are noted of some products."""
        return sorted({fibre for number in products if (fibre := self.products[number][1])})

    def of_product(self, product: int) -> list[_Line]:
        """Return the lines of a product."""
        return [line for line in self.lines if line.product == self.products[product]]

    def name_of_lot(self, lot: int) -> str:
        """Return a lot as a sentence names it."""
        line = self.members[lot][0]
        return f"lot {line.lot}" if line.lot else f"{line.name} (no lot noted)"


def allocate_stash(
    yarns: pd.DataFrame,
    needs: pd.DataFrame,
    *,
    unit: str = "m",
    seconds: float = 20,
    progress: Callable[[str], None] | None = None,
    yarns_sheet: str = "yarns",
    needs_sheet: str = "needs",
) -> StashPlan:
    """Give out the stash: which put-up goes to which need.

    Parameters
    ----------
    yarns : DataFrame
        One row for each put-up, or a lot of several: ``name``, each its own, and ``length`` there is to give.
        It may have ``yarn`` (its count), ``fibre``, ``colour``, ``lot``, ``put_up_length`` and
        ``put_up_price`` (of one as sold), ``row``. Longer than one put-up, a line is so many full ones and a
        rest. ``row``, here and among the needs, is the number by which plan and problems name a line, such as
        that on a sheet; without it lines are counted from 1, whatever their index.
    needs : DataFrame
        One row for each need: ``piece``, ``length``, and ``yarn`` (a name or a count of the stash),
        ``colour``, or both. It may have ``fibre``, ``may_mix`` (yes where dye lots may be mixed; blank: no)
        and ``row``.
    unit : str, default "m"
        Unit of all lengths, for the sentences.
    seconds : float, default 20
        Time that the search may take.
    progress : callable, optional
        Called with a sentence at each stage.
    yarns_sheet, needs_sheet : str
        What the problems call the two tables.

    Returns
    -------
    StashPlan
        Allocation, put-ups, shortages, what to buy, gap, problems.

    Raises
    ------
    WeaveError
        When a whole column is missing, or something else than tables is given. What is wrong with a cell is
        a line of the problems; the other rows are still given out.

    Notes
    -----
    What always holds: no length is promised twice, and the whole of a need comes from one yarn, one colour
    and one dye lot, unless the need may mix lots. A need that names a line of the stash is served by any lot
    of that line's yarn and colour. Lines of ``needs`` for one piece that find the same yarn and colour are
    one need, however they are written. Lines that ask for one in other words, such as a count with and
    without its colour, stay two needs; where they get two lots of one colour, that is told. A blank lot is
    no lot in common: each such line is a lot of its own.

    Counts are the same yarn when number, plies and system are, however they are spelled: 2/8 Ne and 8 Ne x 2
    are 8/2 Ne. 4 Ne is as heavy but another yarn. A length per mass (400 m/100 g) leaves the plies open and
    is the same as another of that weight only. Lines without a count are the same yarn as no other line.
    A need that fits yarns of several fibres is told, and takes any of them.

    What is made best, in this order, the second without giving up any of the first: first the least length
    is bought, for yarn in the house costs nothing; then the fewest put-ups are broken, that is cut into
    rather than given whole to one need. Exact by mixed-integer programming, a run for each; where the time
    does not reach to prove it, ``gap`` says how far off it may be. Lengths are counted in hundredths of
    their unit, the stash rounded down and the needs up. Of several answers equally good, one that mixes few
    lots and keeps to the lot that a need names is looked for, without proof; it is the same whatever the
    order of the rows.

    Yarn bought is of a new lot. So a need that no lot covers is bought whole, unless it may mix lots: then
    only what is short is bought.

    Examples
    --------
    >>> import pandas as pd
    >>> yarns = pd.DataFrame({"name": ["blue 1", "blue 2"], "yarn": ["8/2 Ne", "8/2 Ne"],
    ...                       "colour": ["blue", "blue"], "lot": ["A", "B"], "length": [200, 500]})
    >>> needs = pd.DataFrame({"piece": ["shawl"], "yarn": ["8/2 Ne"], "colour": ["blue"], "length": [300]})
    >>> allocate_stash(yarns, needs).allocation[["piece", "put_up", "lot", "length"]].values.tolist()
    [['shawl', 'blue 2', 'B', 300.0]]
    """
    need_tables(yarns=yarns, needs=needs)
    clock = Clock(seconds)
    tell = progress or silent
    tell("reading the stash and the needs")
    problems = Problems()
    stash = _Stash(*_read_stash(yarns, yarns_sheet, problems))
    wanted = _read_needs(needs, needs_sheet, problems, stash)
    as_needs = [_as_need(need, stash) for need in wanted]
    linked = parts(as_needs, stash.lots)
    answers: list[Promises] = []
    for number, part in enumerate(linked):
        tell(f"part {number + 1} of {len(linked)}: {_many(len(part), 'need')}")
        needs_here = [as_needs[place] for place in part]
        answers.append(promise(needs_here, stash.lots, clock, clock.share(len(linked) - number) / 2))
    # What the easy parts left of the time goes to the hard ones.
    hard = [number for number, answer in enumerate(answers) if not answer.proven]
    for turn, number in enumerate(hard):
        tell(f"part {number + 1} once more: a better answer, or the proof that there is none")
        needs_here = [as_needs[place] for place in linked[number]]
        again = promise(needs_here, stash.lots, clock, clock.share(len(hard) - turn))
        answers[number] = answers[number].better(again)
    promises = Promises()
    for part, answer in zip(linked, answers):
        for (place, lot), cutting in answer.cuttings.items():
            promises.cuttings[part[place], lot] = cutting
        promises.broken.update(answer.broken)
    stages = [[answer.stages[number] for answer in answers] for number in range(len(AIMS))]
    tell("writing the plan")
    _tell_two_lots(promises, stash, wanted, needs_sheet, problems)
    allocation = _hand_out(promises, stash, wanted)
    served = allocation.groupby("need")["length"].sum()
    covered = dict(zip(served.index.tolist(), served.tolist()))
    shortages, bought = _short(stash, wanted, covered, unit)
    plan = StashPlan(
        allocation.drop(columns="need"),
        _put_ups(stash),
        shortages,
        bought,
        _stages(stages),
        problems.frame(),
    )
    tell(f"{len(wanted) - len(shortages)} of {len(wanted)} needs covered, {plan.broken} put-ups broken")
    return plan


def _many(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _read_stash(table: pd.DataFrame, label: str, problems: Problems) -> tuple[list[_Line], set[str]]:
    """Read the lines that can be used, and the names of all."""
    sheet = Sheet(table, label, problems, YARN_COLUMNS)
    sheet.need("name", "length")
    codes, texts = sheet.names("name")
    length = sheet.numbers("length", argument("short_by", "have"))
    full, price = (
        sheet.numbers(column, argument("stash_value", column), np.nan, NOT_USED)
        if sheet.has(column)
        else np.full(len(table), np.nan)
        for column in ("put_up_length", "put_up_price")
    )
    others = {column: _texts(sheet, column) for column in ("yarn", "fibre", "colour", "lot")}
    lines: list[_Line] = []
    first: dict[str, int] = {}
    for place in np.flatnonzero(sheet.good).tolist():
        name = texts[codes[place]]
        if first.setdefault(same_name(name), place) != place:
            row = sheet.row(first[same_name(name)])
            sheet.tell(
                place,
                "name",
                f"{name} stands twice, and the line in row {row} is used: give each line a name of its own",
                LEFT_OUT,
            )
            continue
        put_up = float(full[place])
        if length[place] > put_up * MOST_PUT_UPS:
            sheet.tell(place, "put_up_length", f"{name} would be more than {MOST_PUT_UPS} put-ups", NOT_USED)
            put_up = np.nan
        texts_of = {column: values[place] for column, values in others.items()}
        lines.append(
            _Line(
                sheet.row(place),
                name,
                length=float(length[place]),
                put_up_length=put_up,
                put_up_price=float(price[place]),
                **texts_of,
            )
        )
    return lines, {same_name(text) for text in texts}


def _texts(sheet: Sheet, column: str) -> list[str]:
    if not sheet.has(column):
        return [""] * len(sheet.table)
    codes, texts = sheet.texts(column)
    return [texts[code] if code >= 0 else "" for code in codes.tolist()]


def _read_needs(table: pd.DataFrame, label: str, problems: Problems, stash: _Stash) -> list[_Wanted]:
    """Read the needs, look up what may serve each, and put together those of a piece that find the same."""
    sheet = Sheet(table, label, problems, NEED_COLUMNS)
    sheet.need("piece", "length")
    if not (sheet.has("yarn") or sheet.has("colour")):
        raise MissingError("yarn", f"or colour, as a column of {label}")
    codes, texts = sheet.names("piece")
    length = sheet.numbers("length", argument("short_by", "needed"))
    yarn, fibre, colour, may_mix = (_texts(sheet, name) for name in ("yarn", "fibre", "colour", "may_mix"))
    wanted: dict[tuple[Any, ...], _Wanted] = {}
    for place in np.flatnonzero(sheet.good).tolist():
        word = same_name(may_mix[place])
        if word not in YES | NO:
            problem = f"may_mix must be yes or no; got {may_mix[place]!r}"
            sheet.tell(place, "may_mix", f"{problem}: taken as no", TOLD)
        if not (yarn[place] or colour[place]):
            sheet.tell(place, "yarn", "yarn or colour must be given; nothing was given", LEFT_OUT)
            continue
        if length[place] == 0:  # nothing of a colour that the piece does without
            continue
        need = _Wanted(
            sheet.row(place),
            texts[codes[place]],
            yarn[place],
            fibre[place],
            colour[place],
            float(length[place]),
            word in YES,
            names={same_name(yarn[place])},
        )
        need.products = stash.fitting(need)
        _tell_doubt(sheet, place, need, stash)
        known = wanted.setdefault(need.key, need)
        if known is not need:
            known.length += need.length
            known.may_mix = known.may_mix and need.may_mix
            known.names |= need.names
            as_there = "" if same_name(known.what) == same_name(need.what) else f", as {known.what}"
            text = f"{need.piece} needs {need.what} in row {known.row} too{as_there}: "
            sheet.tell(place, "piece", f"{text}both together are one need", TOLD)
    return [wanted[key] for key in sorted(wanted)]


def _tell_doubt(sheet: Sheet, place: int, need: _Wanted, stash: _Stash) -> None:
    """Tell a yarn that cannot be told from its text, and one that may be of several fibres."""
    if need.yarn and not stash.knows(need.yarn):
        text = f"{need.yarn} is neither a name in the stash nor a count that can be read, such as 8/2 Ne"
        sheet.tell(place, "yarn", text, TOLD)
    fibres = stash.fibres(need.products)
    if len(fibres) > 1:
        text = f"{need.what} fits yarns of {' and '.join(fibres)}, and any of them may be given"
        sheet.tell(place, "yarn" if need.yarn else "colour", f"{text}: note the fibre", TOLD)


def _as_need(need: _Wanted, stash: _Stash) -> Need:
    """Return the lots that may serve a need, and those that it names."""
    lots = tuple(number for number, lot in enumerate(stash.lots) if lot.product in need.products)
    preferred = frozenset(
        lot for lot in lots if any(same_name(line.name) in need.names for line in stash.members[lot])
    )
    return Need(_steps_up(need.length), lots, need.may_mix, preferred)


def _tell_two_lots(
    promises: Promises, stash: _Stash, wanted: list[_Wanted], label: str, problems: Problems
) -> None:
    """Tell the pieces that get two dye lots of one yarn and colour by two needs that may not mix them."""
    first: dict[tuple[str, int], tuple[int, int]] = {}
    for place, lot in sorted(promises.cuttings, key=lambda given: (wanted[given[0]].row, given)):
        need = wanted[place]
        of, at = first.setdefault((same_name(need.piece), stash.lots[lot].product), (place, lot))
        if at == lot or (need.may_mix and wanted[of].may_mix):
            continue
        here, there = stash.name_of_lot(lot), stash.name_of_lot(at)
        text = f"{need.piece} gets this yarn of {here}, and of {there} for row {wanted[of].row}"
        problems.add(label, need.row, "piece", f"{text}: write both rows alike to keep to one lot", TOLD)


def _hand_out(promises: Promises, stash: _Stash, wanted: list[_Wanted]) -> pd.DataFrame:
    """Take whole put-ups first, then cut the broken ones, each length from a put-up that still has it."""
    given: dict[tuple[int, int, int], list[int]] = {}
    for lot in sorted({lot for _, lot in promises.cuttings}):
        free = [list(of_kind) for of_kind in stash.put_ups[lot]]
        lengths = stash.lots[lot].lengths
        here = sorted((need, cutting) for (need, of), cutting in promises.cuttings.items() if of == lot)
        for need, cutting in here:
            for kind, count in cutting.whole.items():
                for _ in range(count):
                    line = free[kind].pop(0)
                    entry = given.setdefault((need, lot, line.place), [0, 0, 0])
                    entry[0] += lengths[kind]
                    entry[1] += 1
        opened = [
            (lengths[kind], free[kind].pop(0))
            for kind, count in sorted(promises.broken.get(lot, {}).items())
            for _ in range(count)
        ]
        _cut_off(given, lot, here, opened)
    rows = []
    for (need, _, place), (length, whole, cut) in sorted(given.items()):
        line, of = stash.lines[place], wanted[need]
        line.promised += length / STEPS
        rows.append(
            {
                "need": need,
                "row": of.row,
                "piece": of.piece,
                "put_up": line.name,
                "yarn": line.yarn,
                "colour": line.colour,
                "lot": line.lot,
                "length": length / STEPS,
                "whole_put_ups": whole,
                "cut": cut / STEPS,
            }
        )
    return listed(rows, ALLOCATION)


def _cut_off(
    given: dict[tuple[int, int, int], list[int]],
    lot: int,
    here: list[tuple[int, Any]],
    opened: list[tuple[int, _Line]],
) -> None:
    """Cut what each need still wants off the broken put-ups of a lot, one after the other."""
    at, left = 0, opened[0][0] if opened else 0
    touched: set[int] = set()
    for need, cutting in here:
        rest = cutting.cut
        while rest > 0 and at < len(opened):
            line = opened[at][1]
            length = min(rest, left)
            if length:
                entry = given.setdefault((need, lot, line.place), [0, 0, 0])
                entry[0] += length
                entry[2] += length
                touched.add(at)
            rest -= length
            left -= length
            if not left:
                at += 1
                left = opened[at][0] if at < len(opened) else 0
    for number in touched:
        opened[number][1].broken += 1


def _put_ups(stash: _Stash) -> pd.DataFrame:
    """Write what is left of each line of the stash."""
    rows = []
    for line in stash.lines:
        left = max(line.length - line.promised, 0.0)
        # What the rounding to steps leaves is nothing.
        left = 0.0 if left < 1 / STEPS else left
        rows.append({**{name: getattr(line, name) for name in PUT_UPS if name != "left"}, "left": left})
    return listed(rows, PUT_UPS)


def _short(
    stash: _Stash, wanted: list[_Wanted], covered: dict[int, float], unit: str
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Explain each need that is not covered, and add up what is to buy."""
    free = [max(sum(line.length - line.promised for line in members), 0.0) for members in stash.members]
    shortages: list[dict[str, Any]] = []
    buying: dict[tuple[str, ...], dict[str, Any]] = {}
    for place, need in enumerate(wanted):
        have = covered.get(place, 0.0)
        if _steps_down(have) >= _steps_up(need.length):
            continue
        lots = [lot for lot, of in enumerate(stash.lots) if of.product in need.products]
        used = [lot for lot in lots if any(line.promised for line in stash.members[lot])]
        best = max(lots, key=lambda lot: (free[lot], -lot), default=None)
        if need.may_mix:
            short = buy = float(wf.short_by(need.length, have))
        else:
            short = float(wf.short_by(need.length, 0.0 if best is None else free[best]))
            buy = need.length
        known = _new_yarn(stash, need, best)
        texts = (same_name(known[text]) for text in ("name", "fibre", "colour"))
        key = (same_yarn(known["yarn"]), *texts)
        line = buying.setdefault(key, {**known, "length": 0.0, "pieces": []})
        line["length"] += buy
        line["pieces"].append(need.piece)
        shortages.append(
            {
                "row": need.row,
                "piece": need.piece,
                "yarn": need.yarn,
                "colour": need.colour,
                "needed": need.length,
                "covered": have,
                "best_lot": "" if best is None else stash.members[best][0].lot,
                "short": short,
                "buy": buy,
                "sentence": _sentence(stash, need, best, free, used, short, unit),
            }
        )
    return listed(shortages, SHORTAGES), _bought(list(buying.values()))


def _new_yarn(stash: _Stash, need: _Wanted, best: int | None) -> dict[str, Any]:
    """Return what would be bought for a need: the yarn of the stash that comes nearest, else as it asks."""
    if best is None:
        return {
            "name": "",
            "yarn": need.yarn,
            "fibre": need.fibre,
            "colour": need.colour,
            "put_up_length": np.nan,
            "put_up_price": np.nan,
        }
    lines = [*stash.members[best], *stash.of_product(stash.lots[best].product)]
    full = next((line for line in lines if line.put_up_length > 0), lines[0])
    return {
        "name": full.name,
        "yarn": full.yarn,
        "fibre": full.fibre,
        "colour": full.colour,
        "put_up_length": full.put_up_length,
        "put_up_price": full.put_up_price,
    }


def _sentence(
    stash: _Stash,
    need: _Wanted,
    best: int | None,
    free: list[float],
    used: list[int],
    short: float,
    unit: str,
) -> str:
    """Say how much is short, in which lot, and what would help."""
    whole = f"{need.length:.0f} {unit}"
    if best is None:
        return f"{need.piece}: the stash has no {need.what}; buy all {whole}."
    line = stash.members[best][0]
    what = line.colour or line.name
    if need.may_mix:
        return (
            f"{need.piece}: short {_length(short, unit)} of the {what}, with all its lots together; "
            "buy that, of whichever lot there is."
        )
    sentences = [
        f"{need.piece}: short {_length(short, unit)} of the {what}, {stash.name_of_lot(best)}: "
        f"{free[best]:.0f} {unit} free of {whole} needed."
    ]
    holding = [lot for lot in used if stash.lots[lot].total >= _steps_up(need.length)]
    if holding:
        sentences.append(f"There is enough in {stash.name_of_lot(holding[0])}, but it is promised elsewhere.")
    product = stash.lots[best].product
    together = sum(free[lot] for lot, of in enumerate(stash.lots) if of.product == product)
    if together >= need.length:
        sentences.append(f"All lots together have {together:.0f} {unit} free, if lots may be mixed.")
    sentences.append(f"Yarn bought is of a new lot, so buy all {whole}, unless more of this lot can be had.")
    return " ".join(sentences)


def _length(length: float, unit: str) -> str:
    return f"{length:.0f} {unit}" if length >= 10 else f"{length:.3g} {unit}"


def _bought(lines: list[dict[str, Any]]) -> pd.DataFrame:
    """Write what is bought in whole put-ups, where the put-up is known."""
    rows = []
    for line in lines:
        known = line["put_up_length"] > 0
        number = int(wf.put_ups(line["length"], line["put_up_length"])) if known else pd.NA
        left = float(wf.left_over(line["length"], line["put_up_length"])) if known else np.nan
        pieces = ", ".join(dict.fromkeys(line["pieces"]))
        cost = number * line["put_up_price"] if known else np.nan
        rows.append({**line, "pieces": pieces, "put_ups": number, "left_over": left, "cost": cost})
    return listed(rows, BOUGHT)


def _stages(stages: list[list[Stage]]) -> pd.DataFrame:
    """Add up the aims over the parts, each with its gap."""
    rows = []
    for aim, found in zip(AIMS, stages):
        of_all = total(found)
        size = STEPS if aim == AIMS[0] else 1
        gap = relative_gap(of_all.value, of_all.bound)
        rows.append([aim, of_all.value / size, of_all.bound / size, gap])
    return listed(rows, {"aim": TEXT, "value": NUMBER, "bound": NUMBER, "gap": NUMBER})
