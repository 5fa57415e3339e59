"""Native functions: what the engine must be told about them, and those that it gets wrong.

The engine's own answers were compared with those of a spreadsheet program; tests/hosts does it again.
"""

import math
import re
from collections.abc import Callable
from typing import Any


def _names(text: str) -> frozenset[str]:
    return frozenset(text.split())


# Functions all of whose arguments are one value.
ONE_VALUE = _names(
    """
    ABS ACOS ACOSH ASIN ASINH ATAN ATAN2 ATANH BASE BIN2DEC BITAND BITOR BITXOR CEILING CEILING.MATH
    CHAR CODE COMBIN COS COSH DATE DATEDIF DATEVALUE DAY DAYS DAYS360 DEC2BIN DEC2HEX DECIMAL
    DEGREES DOLLAR EDATE EOMONTH ERROR.TYPE EVEN EXACT EXP FACT FIND FIXED FLOOR FLOOR.MATH FV
    HEX2DEC HOUR IFERROR IFNA INT ISBLANK ISERR ISERROR ISEVEN ISLOGICAL ISNA ISNONTEXT ISNUMBER
    ISODD ISOWEEKNUM ISTEXT LEFT LEN LN LOG LOG10 LOWER MID MINUTE MOD MONTH MROUND NORM.DIST
    NORM.INV NORM.S.DIST NORM.S.INV NORMDIST NORMINV NORMSDIST NORMSINV NOT NPER NUMBERVALUE ODD
    PERMUT PMT POWER PROPER PV QUOTIENT RADIANS RATE REPLACE REPT RIGHT ROMAN ROUND ROUNDDOWN
    ROUNDUP SEARCH SECOND SIGN SIN SINGLE SINH SQRT SUBSTITUTE TAN TANH TEXT TIME TIMEVALUE TRIM
    TRUNC UNICHAR UNICODE UPPER VALUE WEEKDAY WEEKNUM YEAR YEARFRAC
    """
)
# Functions some of whose arguments are one value: their numbers, from 0.
ONE_VALUE_AT = {
    "AVERAGEIF": (1,),
    "AVERAGEIFS": range(2, 255, 2),
    "COUNTIF": (1,),
    "COUNTIFS": range(1, 255, 2),
    "HLOOKUP": (0, 2, 3),
    "LARGE": (1,),
    "MATCH": (0, 2),
    "MAXIFS": range(2, 255, 2),
    "MINIFS": range(2, 255, 2),
    "PERCENTILE": (1,),
    "RANK": (0, 2),
    "SMALL": (1,),
    "SUMIF": (1,),
    "SUMIFS": range(2, 255, 2),
    "VLOOKUP": (0, 2, 3),
}
# Functions that give one value, whatever ranges they are given.
ONE_RESULT = (
    ONE_VALUE
    | frozenset(ONE_VALUE_AT)
    | _names(
        """
    AND AVERAGE COUNT COUNTA COUNTBLANK MAX MEDIAN MIN NA NOW OR PI PRODUCT ROWS COLUMNS STDEV
    SUBTOTAL SUM SUMPRODUCT SUMSQ TODAY VAR
    """
    )
)
# Functions that choose by their first argument and hand another one on to whatever surrounds them.
CHOICES = frozenset(["IF", "CHOOSE", "IFS", "SWITCH"])
# Functions within which every operator works through whole ranges.
ARRAY_WITHIN = _names(
    """
    SUMPRODUCT MMULT MINVERSE MDETERM TRANSPOSE INDEX LOOKUP XLOOKUP XMATCH FREQUENCY FILTER SORT
    SORTBY UNIQUE LET LAMBDA
    """
)
# Functions that the engine itself applies to every cell of a range, as it does operators.
WORKS_THROUGH = frozenset(["IF", "IFERROR", "IFNA"])
# Functions that give arrays; within one that takes one value, the engine would use the first and say nothing.
GIVES_ARRAY = _names(
    "TRANSPOSE MMULT MINVERSE FREQUENCY FILTER SORT SORTBY UNIQUE SEQUENCE OFFSET INDIRECT RANDARRAY"
)
# Functions that leave out an error among what they sum up; MAXIFS, given the same, shows it.
SKIPS_ERRORS = _names("AVERAGEIF AVERAGEIFS SUMIF SUMIFS")
# Functions that ask about a value, and to which one error is like another. The engine hides from them the
# errors of many of its own functions; only IFERROR sees those.
ASKS = _names("ISERROR ISNUMBER ISTEXT")
# Functions that read their first argument, or all of them, as text.
READS_TEXT = _names("LEN LEFT RIGHT MID UPPER LOWER PROPER TRIM SUBSTITUTE REPLACE CLEAN REPT")
JOINS_TEXT = _names("CONCATENATE CONCAT TEXTJOIN")
GIVES_TEXT = (READS_TEXT | JOINS_TEXT | {"TEXT", "CHAR", "FIXED"}) - {"LEN"}
# Functions that ask about formulas, formats or the program, of which the engine is not told.
REFUSED = _names("CELL INFO ISFORMULA FORMULATEXT SHEET SHEETS GETPIVOTDATA RTD WEBSERVICE CALL")
# Functions that leave out hidden rows.
SEES_HIDDEN = frozenset(["SUBTOTAL", "AGGREGATE"])

_ERROR = "Error"


def _lifted(function: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """Apply a function to a value or to every value of rows; errors and blanks pass through."""

    def call(value: Any) -> Any:
        if isinstance(value, list):
            return [[call(cell) for cell in row] for row in value]
        return value if isinstance(value, dict) or value is None else function(value)

    return call


DIGITS = 15  # as many as spreadsheets show
_CLOSE = 2.0**-48  # to Calc, numbers nearer than this are the same; Excel's rule is not published


def general(value: float) -> str:
    """Write a number as a spreadsheet does when it becomes text."""
    text = format(value or 0.0, f".{DIGITS}g")  # there is no negative zero in a cell
    digits, _, exponent = text.partition("e")
    if not exponent:
        return text
    power = int(exponent)
    if -10 < power < 0:
        return format(value, f".{DIGITS - 1 - power}f").rstrip("0")
    return f"{digits}E{'-' if power < 0 else '+'}{abs(power):02d}"


def _text(value: Any) -> Any:
    return general(float(value)) if isinstance(value, (int, float)) and not isinstance(value, bool) else value


def _as_text(value: Any) -> Any:
    if isinstance(value, list):
        return [[_as_text(cell) for cell in row] for row in value]
    return "" if value is None else _text(value)


def _compared(value: Any) -> Any:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return value
    return float(format(value, f".{DIGITS}g"))


def _without_dust(result: Any, operand: Any) -> Any:
    if (
        isinstance(result, float)
        and isinstance(operand, (int, float))
        and abs(result) < _CLOSE * abs(operand)
    ):
        return 0.0
    return result


def _stack(height: float, width: float, *results: Any) -> Any:
    across = int(width)
    return [list(results[start : start + across]) for start in range(0, int(height) * across, across)]


def _letters(change: Callable[[str], str]) -> Callable[[Any], Any]:
    """Change a text letter by letter; a letter that would become two stays."""

    def call(value: Any) -> Any:
        text = {True: "TRUE", False: "FALSE"}[value] if isinstance(value, bool) else str(_text(value))
        changed = [change(letter) for letter in text]
        return "".join(new if len(new) == 1 else old for new, old in zip(changed, text, strict=True))

    return call


def _proper(value: Any) -> Any:
    lower = _letters(str.lower)(value)
    return re.sub(r"(?<![^\W\d_])[^\W\d_]", lambda found: _letters(str.upper)(found[0]), lower)


def _rounded_to_step(away: Callable[[float], float]) -> Callable[..., Any]:
    """CEILING or FLOOR; with both numbers negative they work as with both positive, mirrored."""

    def call(value: Any, step: Any = 1.0) -> Any:
        for given in (value, step):
            if isinstance(given, dict):
                return given
        try:
            number, unit = (0.0 if given is None or given == "" else float(given) for given in (value, step))
        except (TypeError, ValueError):
            return {"type": _ERROR, "kind": "Value"}
        if number == 0 or (unit == 0 and away is math.ceil):
            return 0.0
        if unit == 0:
            return {"type": _ERROR, "kind": "Div"}
        if number > 0 > unit:
            return {"type": _ERROR, "kind": "Num"}
        # The quotient forgets float dust, so that 0.3 in steps of 0.1 is three steps.
        return away(float(format(number / unit, f".{DIGITS}g"))) * unit

    return call


def _one(value: Any) -> Any:
    """Refuse an array where one value is wanted: the engine's text functions would write out its brackets."""
    return {"type": _ERROR, "kind": "NImpl"} if isinstance(value, list) else value


AS_TEXT, COMPARED, NO_DUST = "OFFLINE.TEXT", "OFFLINE.COMPARED", "OFFLINE.NODUST"
ONE, STACK = "OFFLINE.ONE", "OFFLINE.STACK"

# Functions registered with the engine: helpers of the flattener, and native ones that it gets wrong.
HELPERS: dict[str, Callable[..., Any]] = {
    AS_TEXT: _as_text,
    COMPARED: _lifted(_compared),
    NO_DUST: _without_dust,
    ONE: _one,
    STACK: _stack,
}
CORRECTED: dict[str, Callable[..., Any]] = {
    "UPPER": _lifted(_letters(str.upper)),  # the engine changes ASCII only
    "LOWER": _lifted(_letters(str.lower)),
    "PROPER": _lifted(_proper),
    "CEILING": _rounded_to_step(math.ceil),  # the engine goes the wrong way when both are negative
    "FLOOR": _rounded_to_step(math.floor),
}

# Number formats that the engine writes as spreadsheets do. The others (fractions, powers of ten, digits kept
# apart by spaces or dashes) it writes wrongly without a word.
_QUOTED = r'"[^"]*"|\\.'
_BESIDE_DIGITS = re.compile(rf"{_QUOTED}|[ $€£+()%:-]")
_DIGITS = re.compile(r"(?:[#0]+(?:,[#0]+)*(?:\.[#0]*)?,?)?")
_DATE_SECTION = re.compile(rf"(?i:\[[hms]+\]|AM/PM|[ymdhs]|[ /.,:-]|{_QUOTED})+")


def is_known_format(text: str) -> bool:
    """Whether the engine writes a number format as spreadsheets do."""
    sections: list[list[str]] = [[]]
    for piece in re.findall(rf"{_QUOTED}|.", text, re.DOTALL):
        if piece == ";":
            sections.append([])
        else:
            sections[-1].append(piece)
    return all(map(_is_number_section, sections)) or bool(
        len(sections) == 1 and _DATE_SECTION.fullmatch(text)
    )


def _is_number_section(pieces: list[str]) -> bool:
    """Whether digits stand in one place, with nothing but signs and quoted text before and after."""
    if "".join(pieces) in ("General", "@"):
        return True
    beside = [bool(_BESIDE_DIGITS.fullmatch(piece)) for piece in pieces]
    first = beside.index(False) if False in beside else len(beside)
    last = len(beside) - beside[::-1].index(False) if False in beside else first
    return not any(beside[first:last]) and bool(_DIGITS.fullmatch("".join(pieces[first:last])))
