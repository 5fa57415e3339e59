"""Plans of a whole piece as rows of a table, with the reason of each, and as one text of fixed fields."""

from __future__ import annotations

from math import atan2, degrees

from weavefuncs._fit import Search, yarn_needed
from weavefuncs._fit_choices import is_chevron
from weavefuncs.errors import WeaveError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from weavefuncs._fit import Plan
    from weavefuncs._fit_choices import Asked

# Columns of the table in their order, each with its room in the text and what a number is multiplied
# by there: whole numbers are read alike wherever a decimal comma is used. No factor: a text.
FIELDS = (
    ("sley", 80, 0),
    ("side", 5, 0),
    ("edges", 17, 0),
    ("stash", 13, 0),
    ("ends", 8, 1),
    ("repeats", 8, 1),
    ("rows_a_leg", 8, 1),
    ("legs", 8, 1),
    ("rows", 8, 1),
    ("width", 14, 1000),
    ("width_off", 14, 1000),
    ("length", 14, 1000),
    ("length_off", 14, 1000),
    ("float", 8, 1),
    ("float_length", 14, 1000),
    ("angle", 8, 1000),
    ("warp_yarn", 16, 100),
    ("weft_yarn", 16, 100),
    ("reason", 400, 0),
)

# A record ends with this sign, so that no host cuts off the blanks before it.
RECORD_END = "."

CUT = "…"

# A cell holds no more.
LONGEST_TEXT = 32_767

# Lengths in a reason are written to so many decimals.
DECIMALS = 2


def table(asked: Asked) -> list[list[Any]]:
    """Return one row a plan, best first."""
    search = Search(asked)
    plans = search.best()
    return [_row(asked, search, plan, place, plans[0]) for place, plan in enumerate(plans)]


def code(asked: Asked) -> str:
    """Return the plans as one text, a record of fixed fields each."""
    records = [
        "".join(_field(value, room, factor) for value, (_, room, factor) in zip(row, FIELDS)) + RECORD_END
        for row in table(asked)
    ]
    most = LONGEST_TEXT // len(records[0])
    if len(records) > most:
        raise WeaveError(
            "plans", f"at most {most}, which a text of {LONGEST_TEXT:,} characters holds", asked.plans
        )
    return "".join(records)


def _field(value: Any, room: int, factor: int) -> str:
    if value is None:
        return " " * room
    if not factor:
        words = str(value)
        return (words if len(words) <= room else words[: room - len(CUT)] + CUT).ljust(room)
    text = f"{round(value * factor):0{room}d}"
    # Of a number nothing can be left out.
    if len(text) > room:
        raise WeaveError("the result", f"short enough for {room} characters", text)
    return text


def _row(asked: Asked, search: Search, plan: Plan, place: int, first: Plan) -> list[Any]:
    sley, turning, ends, picks = plan.sley, plan.turning, plan.ends, plan.picks
    width = sley.width(ends) * (1 - asked.draw_in) * (1 - asked.shrink_width)
    length = picks / asked.weft_sett * (1 - asked.shrink_length)
    warp_float, weft_float = search.floats(turning.legs, ends, picks)
    warp_length, weft_length = warp_float / asked.weft_sett, weft_float / sley.sett
    warp_is_longer = warp_length >= weft_length
    warp_yarn, weft_yarn = yarn_needed(asked, sley, ends, picks)
    short = search.short(sley, ends, picks)
    missed = plan.uncaught
    rows_a_leg = turning.legs[0] if is_chevron(turning.legs) else None
    reasons = [
        _place(plan, place, first),
        *_size(width - asked.width, length - asked.length),
        *([f"sett {sley.sett:.4g} instead of {asked.sett:.4g}"] if sley.off > 0.5e-3 else []),
    ]
    if rows_a_leg is not None and rows_a_leg != asked.reversals[0]:
        reasons.append(f"{rows_a_leg} rows a leg instead of {asked.reversals[0]}")
    if missed:
        reasons.append(
            f"edge ends not caught at {missed} turn{'s' if missed > 1 else ''}: a floating selvedge mends it"
        )
    for system, float_length in (("warp", warp_length), ("weft", weft_length)):
        if asked.float_limit and float_length > asked.float_limit * (1 + 1e-9):
            reasons.append(f"{system} floats of {_decimals(float_length)} pass the limit")
    if asked.stash_given:
        for system, need, free, missing in (
            ("warp", warp_yarn, asked.warp_free, short[0]),
            ("weft", weft_yarn, asked.weft_free, short[1]),
        ):
            if missing:
                # Rounded down, lest a plan that falls short is said to have all.
                reasons.append(f"{system} yarn in the stash for {int(100 * free / need)} % of it")
    return [
        sley.text,
        plan.side,
        "floating selvedge" if asked.floating_selvedge else "not caught" if missed else "caught",
        _stash_words(short) if asked.stash_given else None,
        ends,
        (ends - asked.balance) // asked.repeat,
        rows_a_leg,
        turning.legs_in(plan.rounds) or None,
        picks,
        width,
        width - asked.width,
        length,
        length - asked.length,
        warp_float if warp_is_longer else weft_float,
        warp_length if warp_is_longer else weft_length,
        degrees(atan2(sley.sett, asked.weft_sett)),
        warp_yarn,
        weft_yarn,
        "; ".join(reasons),
    ]


def _place(plan: Plan, place: int, first: Plan) -> str:
    faults, off = plan.key[:2]
    if place == 0:
        return "nearest of all" if not faults else f"nearest of those with {_faults(faults)}, the fewest"
    if faults > first.key[0]:
        return f"{_faults(faults)} where the first has {first.key[0] or 'none'}"
    further = off - first.key[1]
    return (
        f"{100 * further:.1f} % further off than the first" if further >= 0.5e-3 else "as near as the first"
    )


def _faults(count: int) -> str:
    return "1 fault" if count == 1 else f"{count} faults"


def _size(wider: float, longer: float) -> list[str]:
    parts = []
    for off, more, less in ((wider, "wider", "narrower"), (longer, "longer", "shorter")):
        words = _decimals(abs(off))
        if words != "0":
            parts.append(f"{words} {more if off > 0 else less}")
    return [" and ".join(parts) + " than asked"] if parts else ["width and length as asked"]


def _decimals(length: float) -> str:
    return f"{length:.{DECIMALS}f}".rstrip("0").rstrip(".")


def _stash_words(short: tuple[bool, bool]) -> str:
    return {
        (False, False): "covers it",
        (True, False): "short of warp",
        (False, True): "short of weft",
        (True, True): "short of both",
    }[short]
