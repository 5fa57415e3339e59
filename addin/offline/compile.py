"""Take the skeleton of a formula apart into what the engine will read.

What is rewritten, and why:

- Structured references and defined names become references: the engine then needs to know of neither.
- Prefixes of function names go, and the three spellings of our functions become one.
- Where a formula that is no array formula gives a range where one value is wanted, a spreadsheet takes the cell
  in the formula's own row or column; the engine would spill over the neighbours. The range becomes that cell.
- A function of ours in such a place is called under a name that gives its first cell only.
- An argument left out between commas becomes a reference to a blank cell: the engine would pass 0.
- A number that becomes text passes through a function that writes 15 digits, as spreadsheets do; the engine
  writes all 17.
"""

import re
from typing import TYPE_CHECKING

from formualizer import tokenize

from .references import CELL, WHOLE, Area, Named, OneOf, Piece, Plan, ThisRow
from .workbook import Table

if TYPE_CHECKING:
    from .flatten import Flattener

AS_TEXT, FIRST = "OFFLINE.TEXT", "OFFLINE.FIRST."

_OUTSIDE = re.compile(r"'?[^'!\[]*\[[^\]]*\][^!\[]*!|\[\d+\]")
_TABLE = re.compile(r"([\w.\\]*)\[(.*)\]", re.DOTALL)

# Native functions all of whose arguments are one value.
_ONE_VALUE = frozenset(
    """ABS ACOS ASIN ATAN ATAN2 CEILING CHAR CODE COS DATE DATEVALUE DAY DAYS DEGREES EDATE EOMONTH EVEN EXACT EXP
    FACT FIND FIXED FLOOR HOUR IFERROR IFNA INT ISERR ISERROR ISEVEN ISLOGICAL ISNA ISNUMBER ISODD ISTEXT ISNONTEXT
    LEFT LEN LN LOG LOG10 LOWER MID MINUTE MOD MONTH MROUND NOT NUMBERVALUE ODD POWER PROPER QUOTIENT RADIANS
    REPLACE REPT RIGHT ROUND ROUNDDOWN ROUNDUP SEARCH SECOND SIGN SIN SQRT SUBSTITUTE TAN TEXT TIME TIMEVALUE TRIM
    TRUNC UPPER VALUE WEEKDAY YEAR SINGLE""".split()
)
# Native functions some of whose arguments are one value: their numbers, from 0.
_ONE_VALUE_AT = {
    "VLOOKUP": (0, 2, 3),
    "HLOOKUP": (0, 2, 3),
    "MATCH": (0, 2),
    "SUMIF": (1,),
    "COUNTIF": (1,),
    "AVERAGEIF": (1,),
    "COUNTIFS": range(1, 255, 2),
    "SUMIFS": range(2, 255, 2),
    "AVERAGEIFS": range(2, 255, 2),
    "LARGE": (1,),
    "SMALL": (1,),
    "RANK": (0, 2),
}
# Native functions that give one value, whatever ranges they are given.
_ONE_RESULT = (
    _ONE_VALUE
    | frozenset(_ONE_VALUE_AT)
    | frozenset("SUM COUNT COUNTA COUNTBLANK MIN MAX AVERAGE AND OR NA PI SUMPRODUCT SUBTOTAL TODAY NOW".split())
)
# Native functions that choose by their first argument and hand another one on to whatever surrounds them.
_CHOICES = frozenset(["IF", "CHOOSE", "IFS", "SWITCH"])
# Native functions within which every operator works through whole ranges.
_ARRAY_WITHIN = frozenset(
    """SUMPRODUCT MMULT MINVERSE MDETERM TRANSPOSE INDEX LOOKUP XLOOKUP XMATCH FREQUENCY FILTER SORT SORTBY UNIQUE LET
    LAMBDA""".split()
)
# Native functions that read their first argument, or all of them, as text.
_READS_TEXT = frozenset("LEN LEFT RIGHT MID UPPER LOWER PROPER TRIM SUBSTITUTE REPLACE CLEAN REPT".split())
_JOINS_TEXT = frozenset("CONCATENATE CONCAT TEXTJOIN".split())
_GIVES_TEXT = (_READS_TEXT | _JOINS_TEXT | {"TEXT", "CHAR", "FIXED"}) - {"LEN"}
_COMPARISONS = frozenset(["=", "<>", "<", ">", "<=", ">="])
_REFERENCE_OPERATORS = frozenset([":", ",", " "])


class Uncalculated(Exception):  # noqa: N818 - no fault of the program
    """A formula that cannot be calculated here; the text is the reason."""


class _Item:
    """A token, and where it stands: in which call or bracket, in which argument, closed by which token."""

    __slots__ = ("argument", "kind", "name", "ours", "owner", "part", "partner", "text")

    def __init__(self, text: str, kind: str, part: str):
        self.text, self.kind, self.part = text, kind, part
        self.owner = self.partner = -1
        self.argument = 0
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
        tokens = list(tokenize("=" + bones))
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

    def plan(self) -> Plan:
        """Return the formula taken apart."""
        items = self._items
        _pair(items)
        for item in items:
            if item.kind == "Func" and item.opens:
                item.name, item.ours = self._flattener.function(item.text[:-1].strip())
        before, after = self._texts()
        pieces: list[Piece] = []
        marks = 0
        for number, item in enumerate(items):
            found = range(marks, marks + item.text.count(CELL) + item.text.count(WHOLE))
            marks = found.stop
            pieces += [before.get(number, ""), *self._pieces(number, item, tuple(found)), after.get(number, "")]
        single = self._functions <= _ONE_RESULT and not any(item.kind == "Array" for item in items)
        return Plan(_joined(pieces), frozenset(self._functions), single and self._names_are_single)

    def _pieces(self, number: int, item: _Item, marks: tuple[int, ...]) -> list[Piece]:
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
        return [self._operand(number, item, marks)]

    def _call(self, number: int, item: _Item) -> str:
        if item.ours:
            return f"{FIRST if self._wants_one_value(number) else ''}{item.name}("
        if item.name == "SINGLE":  # how the sign @ is stored
            return "("
        if item.name == "ANCHORARRAY":  # how the sign # is stored
            raise Uncalculated("it reads a spilled array")
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

    def _operand(self, number: int, item: _Item, marks: tuple[int, ...]) -> Piece:
        text = item.text
        if "#REF!" in text.upper():
            return "#REF!"
        if text.lower().startswith("_xlpm."):  # a name within LET or LAMBDA
            return text
        if _OUTSIDE.match(text):
            raise Uncalculated("it refers to another file")
        one = self._wants_one_value(number)
        if marks:
            return self._area(text, marks, one)
        found = _TABLE.fullmatch(text)
        if found:
            area: Area | ThisRow = self._flattener.columns(text, found[1], found[2], self._table)
            return OneOf(area) if one and isinstance(area, Area) else area
        named: Named = self._flattener.named(text, self._sheet, not one, self._depth)
        self._functions |= named.plan.functions
        self._names_are_single &= named.plan.single
        return named

    def _area(self, text: str, marks: tuple[int, ...], one: bool) -> Area | OneOf:
        sheet, _, rest = text.rpartition("!")
        if set(rest) - {CELL, WHOLE, ":"} or ":" in sheet:
            raise Uncalculated("it refers to cells in a way that is not understood")
        area = Area(f"{sheet}!" if sheet else "", marks)
        return area if rest == CELL or not one else OneOf(area)

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
        if owner.name in _CHOICES and item.argument:
            return self._wants_one_value(item.owner)
        return owner.name in _ONE_VALUE | _CHOICES or item.argument in _ONE_VALUE_AT.get(owner.name, ())

    def _works_through_ranges(self, owner: int) -> bool:
        while owner >= 0 and not self._array:
            if self._items[owner].name in _ARRAY_WITHIN:
                return True
            owner = self._items[owner].owner
        return self._array

    def _texts(self) -> tuple[dict[int, str], dict[int, str]]:
        """Find what becomes text: the sides of every &, and arguments that are read as text."""
        groups: dict[tuple[int, int], list[int]] = {}
        for number, item in enumerate(self._items):
            if item.kind not in ("Whitespace", "Sep") and not item.closes:
                groups.setdefault((item.owner, item.argument), []).append(number)
        before: dict[int, str] = {}
        after: dict[int, str] = {}
        for (owner, argument), numbers in groups.items():
            name = self._items[owner].name if owner >= 0 else ""
            reads = name in _JOINS_TEXT or (name in _READS_TEXT and argument == 0)
            for side, joined in _sides(self._items, numbers, reads):
                first, last = self._items[side[0]], self._items[side[-1]]
                alone = len(side) == 1
                if joined and not (alone and (first.part == "Text" or first.name in _GIVES_TEXT)):
                    end = max(side[-1], last.partner)
                    before[side[0]] = f"{AS_TEXT}("
                    after[end] = ")" + after.get(end, "")
        return before, after


def _sides(items: list[_Item], numbers: list[int], reads: bool) -> list[tuple[list[int], bool]]:
    """Split an argument at comparisons and at &; tell of each side whether it becomes text."""
    compared: list[list[list[int]]] = [[[]]]
    for number in numbers:
        item = items[number]
        if item.kind == "OpInfix" and item.text in _COMPARISONS:
            compared.append([[]])
        elif item.kind == "OpInfix" and item.text == "&":
            compared[-1].append([])
        else:
            compared[-1][-1].append(number)
    whole = reads and len(compared) == 1
    return [(side, whole or len(sides) > 1) for sides in compared for side in sides if side]


def _joined(pieces: list[Piece]) -> tuple[Piece, ...]:
    """Put neighbouring texts together, so that there is less to do for every cell."""
    out: list[Piece] = []
    for piece in pieces:
        if isinstance(piece, str) and out and isinstance(out[-1], str):
            out[-1] += piece
        elif piece != "":
            out.append(piece)
    return tuple(out)
