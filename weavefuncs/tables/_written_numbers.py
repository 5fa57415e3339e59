"""Numbers as lists hold them in text: a decimal point or a decimal comma, and signs between the thousands.

A number with anything between its thousands is not taken: what is meant by it is told instead.
"""

from __future__ import annotations

import re
import unicodedata

WITH_POINT = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?")
WITH_COMMA = re.compile(r"[+-]?([0-9]+,[0-9]*|,[0-9]+)")

# One sign parts all thousands, a space of any width among them; another one the decimals.
PARTED = re.compile(
    r"[+-]?[1-9][0-9]{0,2}(?P<between>[.,'’\s])[0-9]{3}(?P<more>(?P=between)[0-9]{3})*"
    r"((?P<decimal>(?!(?P=between))[.,])[0-9]*)?"
)

OTHER_SIGN = {".": ",", ",": "."}


def may_be_parted(text: str) -> bool:
    """Tell whether a point or a comma may part thousands as well as decimals, as in 1.250."""
    parted = PARTED.fullmatch(text)
    if parted is None or parted["more"] or parted["decimal"]:
        return False
    return parted["between"] in OTHER_SIGN


def decimal_sign(text: str) -> str:
    """Return the sign before decimals that a number shows, one between its thousands too; else nothing."""
    parted = PARTED.fullmatch(text)
    if parted:
        shown = OTHER_SIGN.get(parted["between"], "") if parted["more"] else ""
        return parted["decimal"] or shown
    if WITH_COMMA.fullmatch(text):
        return ","
    return "." if "." in text and WITH_POINT.fullmatch(text) else ""


def number_in(text: str, reads_comma: bool, parts_by_point: bool) -> float | None:
    """Return the number that a text is, where a point may part thousands if so told; else None."""
    if WITH_POINT.fullmatch(text):
        return None if parts_by_point and may_be_parted(text) else float(text)
    return float(text.replace(",", ".")) if reads_comma and WITH_COMMA.fullmatch(text) else None


def hint(value: object) -> str:
    """Say what to type instead, where a text looks like a number."""
    if not isinstance(value, str) or not any(character.isdigit() for character in value):
        return ""
    if any(unicodedata.category(character) == "Sc" for character in value):
        return "; type the number alone, without a currency sign"
    plain = value.strip()
    if may_be_parted(plain):
        together, apart = re.sub("[.,]", "", plain), plain.replace(",", ".")
        # Four decimals part no thousands.
        mend = "one of these" if "," in plain else f"{together}, or {apart}0 with a decimal more"
        return f"; it may mean {together} or {apart}: write {mend}"
    if PARTED.fullmatch(plain):
        return "; it is a text: type the number with nothing between the thousands"
    if decimal_sign(plain):
        return "; it is a text: type the number with the decimal sign of the other numbers"
    if plain.endswith("%") or WITH_POINT.fullmatch(plain):
        return "; it is a text: type the number alone"
    return "; it is a text: type the number alone, without words or units"
