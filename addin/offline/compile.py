"""Take the skeleton of a formula apart into what the engine will read.

What is rewritten, and why (``native`` says what the engine gets wrong):

- Structured references and defined names become references: the engine then needs to know of neither.
- Prefixes of function names go, and the three spellings of our functions become one.
- Where a formula that is no array formula gives a range where one value is wanted, a spreadsheet takes the
  cell in the formula's own row or column; the engine would spill over the neighbours. The range becomes that
  cell.
- A function of ours in such a place is called under a name that gives its first cell only.
- An argument left out between commas becomes a reference to a blank cell: the engine would pass 0.
- Numbers that become text, and numbers that are compared, pass through a function that keeps 15 digits, as
  spreadsheets do; the engine keeps all 17, so that to it 0.1 + 0.2 is not 0.3. A last addition or subtraction
  that leaves next to nothing leaves 0.
- A call that takes one value but is given a range within an array formula or SUMPRODUCT is written out cell
  by cell; the engine would look at the first cell only.
- What the engine would answer wrongly without a word is refused: formats it cannot write, hidden rows.
"""

import re
from typing import TYPE_CHECKING

from formualizer import tokenize

from .native import (
    ARRAY_WITHIN,
    AS_TEXT,
    ASKS,
    CHOICES,
    COMPARED,
    GIVES_ARRAY,
    GIVES_TEXT,
    JOINS_TEXT,
    NO_DUST,
    ONE,
    ONE_RESULT,
    ONE_VALUE,
    ONE_VALUE_AT,
    READS_TEXT,
    REFUSED,
    SEES_HIDDEN,
    SKIPS_ERRORS,
    STACK,
    WORKS_THROUGH,
    is_known_format,
)
from .references import (
    CELL,
    WHOLE,
    Area,
    AsLarge,
    Each,
    Element,
    Item,
    Named,
    OneOf,
    Piece,
    Plan,
    Shown,
    ThisRow,
    Uncalculated,
    is_fixed,
)
from .workbook import Table

if TYPE_CHECKING:
    from .flatten import Flattener

FIRST = "OFFLINE.FIRST."
MAX_NESTING = 90  # the engine gives up at 100; spreadsheets allow 64

_OUTSIDE = re.compile(r"'?[^'!\[]*\[[^\]]*\][^!\[]*!|\[\d+\]")
_TABLE = re.compile(r"([\w.\\]*)\[(.*)\]", re.DOTALL)

_COMPARISONS = frozenset(["=", "<>", "<", ">", "<=", ">="])
_REFERENCE_OPERATORS = frozenset([":", ",", " "])


class _Item:
    """A token, and where it stands: in which call or bracket, in which argument, closed by which token."""

    __slots__ = ("argument", "kind", "marks", "name", "ours", "owner", "part", "partner", "text")

    def __init__(self, text: str, kind: str, part: str):
        self.text, self.kind, self.part = text, kind, part
        self.owner = self.partner = -1
        self.argument = 0
        self.marks: tuple[int, ...] = ()
        self.name = ""
        self.ours = False

    @property
    def opens(self) -> bool:
        return self.part == "Open"

    @property
    def closes(self) -> bool:
        return self.part == "Close"


def _items(bones: str) -> list[_Item]:
    try:
        tokens = tokenize("=" + bones).tokens()
    except Exception:
        raise Uncalculated("the formula is not understood") from None
    if "".join([token.value for token in tokens]) != bones:
        raise Uncalculated("the formula is not understood")
    items: list[_Item] = []
    for token in tokens:
        item = _Item(token.value, str(token.token_type), str(token.subtype))
        # The two corners of a range arrive as three tokens, because marks stand in their places.
        if item.text == CELL and len(items) > 1 and items[-1].text == ":" and items[-2].text.endswith(CELL):
            items.pop()
            items[-1].text += ":" + CELL
        else:
            items.append(item)
    return items


def _pair(items: list[_Item]) -> None:
    """Find for each token what it stands in, and for each bracket the one that closes it."""
    open_: list[int] = []
    arguments = [0]
    for number, item in enumerate(items):
        if item.closes:
            if not open_:
                raise Uncalculated("its brackets do not match")
            item.partner = open_.pop()
            items[item.partner].partner = number
            arguments.pop()
        item.owner = open_[-1] if open_ else -1
        item.argument = arguments[-1]
        if item.opens:
            if len(open_) == MAX_NESTING:
                raise Uncalculated(f"its brackets are nested more than {MAX_NESTING} deep")
            open_.append(number)
            arguments.append(0)
        elif item.kind == "Sep":
            arguments[-1] += 1
    if open_:
        raise Uncalculated("its brackets do not match")


class Compiler:
    """Takes one skeleton apart."""

    def __init__(
        self, flattener: "Flattener", bones: str, sheet: str, table: Table | None, array: bool, depth: int
    ):
        self._flattener = flattener
        self._sheet, self._table, self._array, self._depth = sheet, table, array, depth
        self._items = _items(bones)
        self._functions: set[str] = set()
        self._names_are_single = True
        self._before: dict[int, str] = {}
        self._after: dict[int, str] = {}
        self._subtracted = range(0)
        self._root = -1
        """The call that is being made for each cell, if one is."""

    def plan(self) -> Plan:
        """Return the formula taken apart."""
        items = self._items
        _pair(items)
        marks = 0
        for item in items:
            item.marks = tuple(range(marks, marks + item.text.count(CELL) + item.text.count(WHOLE)))
            marks += len(item.marks)
            if item.kind == "Func" and item.opens:
                item.name, item.ours = self._flattener.function(item.text[:-1].strip())
        self._wrap()
        pieces = self._span(0, len(items))
        if self._subtracted:
            again = self._span(self._subtracted.start, self._subtracted.stop)
            pieces = [f"{NO_DUST}(", *pieces, ",", *again, ")"]
        single = self._functions <= ONE_RESULT and not any(item.kind == "Array" for item in items)
        return Plan(_joined(pieces), frozenset(self._functions), single and self._names_are_single)

    def _span(self, first: int, last: int) -> list[Piece]:
        pieces: list[Piece] = []
        number = first
        while number < last:
            item = self._items[number]
            end = number
            pieces.append(self._before.get(number, ""))
            if self._is_for_each(number):
                end = item.partner
                pieces += self._each(number)
            elif item.kind == "Array" and item.opens and self._is_repeated(number):
                end = item.partner
                pieces.append(Item(self._values(number)))
            elif item.name in SKIPS_ERRORS:
                end = item.partner
                pieces += self._whole(number)
            else:
                pieces += self._pieces(number, item)
            pieces.append(self._after.get(end, ""))
            number = end + 1
        return pieces

    def _is_for_each(self, number: int) -> bool:
        """Whether here stands a call that takes one value but is given a range to work through."""
        item = self._items[number]
        if item.kind != "Func" or not item.opens or item.ours or item.name in WORKS_THROUGH:
            return False
        if not _takes_one_value(item.name) or self._is_repeated(number):
            return False  # or it is called for each cell as it is
        through = self._works_through_ranges(item.owner)
        inside = range(number + 1, item.partner)
        for other in inside:
            near = self._items[other]
            gives_array = near.ours or near.name in GIVES_ARRAY
            if through and gives_array and near.opens and self._is_element(other, number):
                raise Uncalculated("it works through an array in a way that the engine cannot")
        # An array that the formula holds is worked through wherever it stands.
        return any(
            (through and self._is_range(other))
            or (self._items[other].kind == "Array" and self._items[other].opens)
            for other in inside
            if self._is_element(other, number)
        )

    def _is_repeated(self, number: int) -> bool:
        """Whether this stands in a call that is being made for each cell, and is itself part of each."""
        return self._root >= 0 and self._is_element(number, self._root)

    def _is_range(self, number: int) -> bool:
        item = self._items[number]
        if (item.kind, item.part) != ("Operand", "Range"):
            return False
        if item.marks:
            return len(item.marks) > 1 or WHOLE in item.text
        return "[" in item.text or self._flattener.is_range(item.text, self._sheet)

    def _is_element(self, number: int, root: int) -> bool:
        """Whether a call is to be made for each cell of this operand: only single values lie between."""
        item = self._items[number]
        while number != root:
            owner = self._items[item.owner]
            if owner.kind == "Func":
                one = owner.name in ONE_VALUE | CHOICES | {"ROW", "COLUMN"}
                if owner.ours or not (one or item.argument in ONE_VALUE_AT.get(owner.name, ())):
                    return False
            number, item = item.owner, owner
        return True

    def _each(self, number: int) -> list[Piece]:
        around, self._root = self._root, number
        inner = self._whole(number)
        self._root = around
        if not any(isinstance(piece, (Element, Item)) for piece in inner):
            return inner  # what looked like ranges were single cells: of this row, or picked by an @
        return [Each(_joined(inner), STACK)]

    def _whole(self, number: int) -> list[Piece]:
        """Return a call with its arguments; to one that would leave errors out comes one that finds them."""
        item = self._items[number]
        call = [*self._pieces(number, item), *self._span(number + 1, item.partner), ")"]
        if item.name not in SKIPS_ERRORS:
            return call
        arguments = self._arguments(number)
        if not item.name.endswith("S"):  # what is summed comes last, or is what is looked through
            looked, wanted, *last = arguments
            summed = last[0] if last else looked
            if (
                isinstance(summed[0], Area)
                and isinstance(looked[0], Area)
                and len(summed) == len(looked) == 1
            ):
                summed = [AsLarge(summed[0], looked[0])]
            arguments = [summed, looked, wanted]
        finding: list[Piece] = ["MAXIFS("]
        for argument in arguments:
            finding += [*argument, ","]
        return ["(", *call, "+0*", *finding[:-1], "))"]

    def _arguments(self, number: int) -> list[list[Piece]]:
        """Return the pieces of each argument of a call."""
        item = self._items[number]
        ends = [
            at
            for at in range(number + 1, item.partner)
            if self._items[at].owner == number and self._items[at].kind == "Sep"
        ]
        starts = [number + 1, *(end + 1 for end in ends)]
        spans = [self._span(start, end) for start, end in zip(starts, [*ends, item.partner], strict=True)]
        return [[piece for piece in span if piece != ""] for span in spans]

    def _values(self, number: int) -> tuple[tuple[str, ...], ...]:
        """Return the values of an array that the formula holds, row by row."""
        rows: list[list[str]] = [[""]]
        for item in self._items[number + 1 : self._items[number].partner]:
            if item.part == "Row":
                rows.append([""])
            elif item.kind == "Sep":
                rows[-1].append("")
            else:
                rows[-1][-1] += item.text
        return tuple(map(tuple, rows))

    def _pieces(self, number: int, item: _Item) -> list[Piece]:
        if item.kind == "Func" and item.opens:
            return [self._call(number, item)]
        if item.text == "#" and item.kind == "OpPostfix":
            raise Uncalculated("it reads a spilled array")
        if item.text == "@" and item.kind == "OpPrefix":
            return []
        if self._ends_a_missing_argument(number):
            return [self._flattener.blank, item.text]
        if (item.kind, item.part) != ("Operand", "Range"):
            return [item.text]
        return [self._operand(number, item)]

    def _call(self, number: int, item: _Item) -> str:
        if item.ours:
            return f"{FIRST if self._wants_one_value(number) else ''}{item.name}("
        if item.name == "SINGLE":  # how the sign @ is stored
            return "("
        if item.name == "ANCHORARRAY":  # how the sign # is stored
            raise Uncalculated("it reads a spilled array")
        if item.name in REFUSED:
            raise Uncalculated(f"the engine is not told what {item.name} asks for")
        if item.name == "TEXT":
            self._check_format(number)
        self._functions.add(item.name)
        return f"{item.name}("

    def _ends_a_missing_argument(self, number: int) -> bool:
        item = self._items[number]
        if item.kind != "Sep" and not (item.kind == "Func" and item.closes):
            return False
        owner = item.owner if item.kind == "Sep" else item.partner
        previous = self._beside(number, -1)
        if owner < 0 or not self._items[owner].ours or previous is None:
            return False
        if previous.kind == "Sep":
            return True
        return item.kind == "Sep" and previous is self._items[owner]

    def _operand(self, number: int, item: _Item) -> Piece:
        text = item.text
        if "#REF!" in text.upper():
            return "#REF!"
        if text.lower().startswith("_xlpm."):  # a name within LET or LAMBDA
            return text
        if _OUTSIDE.match(text):
            raise Uncalculated("it refers to another file")
        one = self._wants_one_value(number)
        found = None if item.marks else _TABLE.fullmatch(text)
        if item.marks or found:
            area = (
                self._flattener.columns(text, found[1], found[2], self._table)
                if found
                else self._area(text, item.marks)
            )
            if isinstance(area, ThisRow) or text.rpartition("!")[2] == CELL:
                return area
            return self._ranged(number, area, one)
        named: Named = self._flattener.named(text, self._sheet, not one, self._depth)
        only = named.plan.pieces[0] if len(named.plan.pieces) == 1 else None
        if isinstance(only, Area) and all(is_fixed(reference) for reference in named.references):
            return self._ranged(number, Area(only.sheet, fixed=only.bounds(named.references)), one)
        self._functions |= named.plan.functions
        self._names_are_single &= named.plan.single
        return named

    def _ranged(self, number: int, area: Area, one: bool) -> Piece:
        """Return what a range becomes in its place."""
        if one:
            return OneOf(area)
        if self._is_repeated(number):
            return Element(area)
        owner = self._items[number].owner
        if owner >= 0 and self._items[owner].name in SEES_HIDDEN:
            return Shown(area, self._sheet, self._flattener.hidden)
        return area

    def _area(self, text: str, marks: tuple[int, ...]) -> Area:
        sheet, _, rest = text.rpartition("!")
        if set(rest) - {CELL, WHOLE, ":"} or ":" in sheet:
            raise Uncalculated("it refers to cells in a way that is not understood")
        return Area(f"{sheet}!" if sheet else "", marks)

    def _beside(self, number: int, step: int) -> _Item | None:
        number += step
        while 0 <= number < len(self._items):
            if self._items[number].kind != "Whitespace":
                return self._items[number]
            number += step
        return None

    def _wants_one_value(self, number: int) -> bool:
        """Whether one value is wanted where this operand, call or bracket stands."""
        item = self._items[number]
        before, behind = self._beside(number, -1), self._beside(max(number, item.partner), 1)
        operators = [near for near in (before, behind) if near and near.kind.startswith("Op")]
        if any(near.kind == "OpInfix" and near.text in _REFERENCE_OPERATORS for near in operators):
            return False
        if before is not None and before.kind == "OpPrefix" and before.text == "@":
            return True
        if self._works_through_ranges(item.owner):
            return False
        if operators or item.owner < 0:
            return True
        owner = self._items[item.owner]
        if owner.kind == "Paren":
            return self._wants_one_value(item.owner)
        if owner.name in CHOICES and item.argument:
            return self._wants_one_value(item.owner)
        return owner.name in ONE_VALUE | CHOICES or item.argument in ONE_VALUE_AT.get(owner.name, ())

    def _works_through_ranges(self, owner: int) -> bool:
        while owner >= 0 and not self._array:
            if self._items[owner].name in ARRAY_WITHIN:
                return True
            owner = self._items[owner].owner
        return self._array

    def _check_format(self, number: int) -> None:
        inside = range(number + 1, self._items[number].partner)
        formats = [
            self._items[at]
            for at in inside
            if self._items[at].owner == number and self._items[at].argument == 1
        ]
        for item in formats:
            if item.part == "Text" and not is_known_format(item.text[1:-1].replace('""', '"')):
                raise Uncalculated(f"the engine cannot write the format {item.text}")

    def _wrap(self) -> None:
        """Find what passes through a helper: what becomes text, is compared, or may leave float dust."""
        for number, item in enumerate(self._items):
            may_be_array = item.opens and (item.name == "INDEX" or item.name in GIVES_ARRAY)
            if may_be_array and self._wants_one_value(number):
                self._surround([number], ONE)
        groups: dict[tuple[int, int], list[int]] = {}
        for number, item in enumerate(self._items):
            if item.kind not in ("Whitespace", "Sep") and not item.closes and item.text != "@":
                groups.setdefault((item.owner, item.argument), []).append(number)
        for (owner, argument), numbers in groups.items():
            name = self._items[owner].name if owner >= 0 else ""
            if owner >= 0 and self._items[owner].kind == "Array":
                continue
            compared = _split(self._items, numbers, _COMPARISONS)
            reads = name in JOINS_TEXT if argument != 1 or name != "TEXTJOIN" else False
            reads = reads or (name in READS_TEXT and argument == 0)
            for side in compared:
                joined = _split(self._items, side, frozenset("&"))
                if len(joined) > 1 or (reads and len(compared) == 1):
                    self._read_as_text(joined)
            if len(compared) > 1:
                self._compare(compared)
            elif owner < 0:
                self._subtracted = self._last_operand(numbers)
        for number, item in enumerate(self._items):
            inside = self._items[number + 1 : item.partner] if item.name in ASKS else []
            if any(near.kind == "Func" and near.opens and not near.ours for near in inside):
                self._surround(list(range(number + 1, item.partner)), "IFERROR", ",NA()")

    def _read_as_text(self, sides: list[list[int]]) -> None:
        for side in sides:
            first = self._items[side[0]] if side else None
            if first and not (len(side) == 1 and (first.part == "Text" or first.name in GIVES_TEXT)):
                self._surround(side, AS_TEXT)

    def _compare(self, sides: list[list[int]]) -> None:
        for position, side in enumerate(sides):
            others = [sides[near] for near in (position - 1, position + 1) if 0 <= near < len(sides)]
            if any(self._is_exact(other) for other in others) or not self._is_computed(side):
                continue
            self._surround(side, COMPARED)

    def _is_exact(self, side: list[int]) -> bool:
        """Whether a side is a text, a truth value or 0: then dust on the other side makes no difference."""
        item = self._items[side[0]] if len(side) == 1 else None
        return item is not None and (item.part in ("Text", "Logical") or item.text == "0")

    def _is_computed(self, side: list[int]) -> bool:
        items = [self._items[number] for number in side]
        if not items or any(
            WHOLE in item.text or (item.kind, item.text) == ("OpInfix", "&") for item in items
        ):
            return False
        return not (len(items) == 1 and items[0].kind == "Operand" and items[0].part != "Range")

    def _last_operand(self, numbers: list[int]) -> range:
        """Where the last thing a formula does is to add or subtract: the second operand of that."""
        last = max((at for at, number in enumerate(numbers) if self._is_additive(number)), default=0)
        if not last or len(_split(self._items, numbers, frozenset("&"))) > 1:
            return range(0)
        if last + 1 == len(numbers):
            raise Uncalculated("the formula is not understood")
        end = max(numbers[-1], self._items[numbers[-1]].partner) + 1
        operand = range(numbers[last + 1], end)
        # It is written twice, so nothing may stand there that is slow or gives another result each time.
        calls = [item for item in self._items[operand.start : end] if item.kind == "Func"]
        return range(0) if any(item.ours or item.name.startswith("RAND") for item in calls) else operand

    def _is_additive(self, number: int) -> bool:
        return self._items[number].kind == "OpInfix" and self._items[number].text in ("+", "-")

    def _surround(self, side: list[int], helper: str, more: str = "") -> None:
        """Put a call around some tokens; one that is put there later goes around one put there before."""
        end = max(side[-1], self._items[side[-1]].partner)
        self._before[side[0]] = f"{helper}(" + self._before.get(side[0], "")
        self._after[end] = self._after.get(end, "") + f"{more})"


def _takes_one_value(name: str) -> bool:
    return name in ONE_VALUE or name in ONE_VALUE_AT or name in ("ROW", "COLUMN")


def _split(items: list[_Item], numbers: list[int], operators: frozenset[str]) -> list[list[int]]:
    """Split an argument at operators."""
    sides: list[list[int]] = [[]]
    for number in numbers:
        if items[number].kind == "OpInfix" and items[number].text in operators:
            sides.append([])
        else:
            sides[-1].append(number)
    return sides


def _joined(pieces: list[Piece]) -> tuple[Piece, ...]:
    """Put neighbouring texts together, so that there is less to do for every cell."""
    out: list[Piece] = []
    for piece in pieces:
        if isinstance(piece, str) and out and isinstance(out[-1], str):
            out[-1] += piece
        elif piece != "":
            out.append(piece)
    return tuple(out)
