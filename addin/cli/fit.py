"""Fit a whole piece: the plans that come nearest to a width and a length, each with its reason."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING, Any

from weavefuncs._fit_words import FIELDS
from weavefuncs.addin.cells import CellError, evaluate, reason
from weavefuncs.addin.cli.typed import cell
from weavefuncs.registry import get

if TYPE_CHECKING:
    from collections.abc import Sequence

    from weavefuncs._parameters import Parameter

REFUSED = 2

FUNCTION = "fit_piece"

# Given as they are, by their place.
PLACED = ("width", "length", "weave")

# A rule that has the sett of a working cloth: the closest that beats in, and about three quarters of it.
WORKING = 0.75

# What makes the yarn more than the length of the threads in the cloth. Where a frame is as long as the warp,
# the last alone.
ADDED_TO_YARN = (("take_up", "take-up"), ("unwoven", "loom waste"), ("slack", "slack"))

HEADINGS = (
    ("sley", "sley"),
    ("side", "first from"),
    ("ends", "ends"),
    ("rows", "rows"),
    ("rows_a_leg", "rows a leg"),
    ("legs", "legs"),
    ("width", "width"),
    ("length", "length"),
    ("float", "float"),
    ("angle", "angle"),
    ("edges", "edges"),
    ("warp_yarn", "warp yarn"),
    ("weft_yarn", "weft yarn"),
    ("stash", "stash"),
)

UNITS = """\
Width, length and yarn are in the unit that the setts are per, the float in threads, the angle in degrees."""

EPILOG = """\
Lengths, those of yarn too, are all in one unit, the one that the setts are per. 10 % is 0.10. Leave --sett
out and name both yarns: it is then three quarters of the closest sett of Ashenhurst's rule, per inch unless
--per says cm.

  weavefuncs fit 42 70 '2/2 twill' --dents 4 --spaced-by pegs --sett 4 --weft-sett 4.5 --reversals 9,9
  weavefuncs fit 8.9 68 plain --dents 12 --warp '8/2 Ne' --weft '8/2 Ne' --draw-in 0.08 --take-up 0.1
"""


def declare(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command: those of the function, under their names."""
    for parameter in get(FUNCTION).parameters:
        if parameter.name in PLACED:
            parser.add_argument(parameter.name, metavar=parameter.name.upper(), help=_help(parameter))
            continue
        flag = "--" + parameter.name.replace("_", "-")
        if parameter.kind == "logical":
            parser.add_argument(flag, action="store_const", const="true", help=_help(parameter))
        else:
            needed = parameter.required and parameter.name != "sett"
            parser.add_argument(flag, required=needed, metavar=_metavar(parameter), help=_help(parameter))
    parser.add_argument(
        "--warp", metavar="YARN", help="Yarn of the warp, such as '8/2 Ne': for a sett by rule."
    )
    parser.add_argument("--weft", metavar="YARN", help="Yarn of the weft, for the same.")
    parser.add_argument("--per", default="in", metavar="UNIT", help="Unit of a sett by rule, in or cm. (in)")
    parser.epilog = EPILOG


def _help(parameter: Parameter) -> str:
    text = parameter.description.replace("%", "%%")
    if parameter.choices:
        text += f" One of {', '.join(parameter.choices)}."
    if parameter.required or parameter.kind == "logical" or parameter.default == "":
        return text
    return f"{text} ({parameter.default})"


def _metavar(parameter: Parameter) -> str:
    return {"whole": "N", "number": "X", "fraction": "SHARE"}.get(parameter.kind, "TEXT")


def run(given: argparse.Namespace) -> int:
    """Print the plans, or the reason why there are none."""
    function = get(FUNCTION)
    texts = {parameter.name: getattr(given, parameter.name) for parameter in function.parameters}
    cells = {
        parameter.name: None if texts[parameter.name] is None else cell(parameter, texts[parameter.name])
        for parameter in function.parameters
    }
    if texts["sett"] is None:
        if given.warp is None or given.weft is None:
            print("weavefuncs fit: give --sett, or both --warp and --weft", file=sys.stderr)
            return REFUSED
        rule = [given.warp, given.weft, cells["weave"], None, WORKING, given.per]
        cells["sett"] = _answer("sett_for_yarns", rule)
        if cells["sett"] is None:
            return REFUSED
        print(f"sett by rule: {cells['sett']:.4g} ends per {given.per}, from a firmness of {WORKING}\n")
    table = _answer(FUNCTION, list(cells.values()))
    if table is None:
        return REFUSED
    print("\n".join(_lines([dict(zip((name for name, _, _ in FIELDS), row)) for row in table])))
    print()
    missing = [word for name, word in ADDED_TO_YARN[2 if cells["frame_length"] else 0 :] if not cells[name]]
    if missing:
        *others, last = missing
        named = f"{', '.join(others)} and {last}" if others else last
        print(f"Yarn without {named}: none was given.")
    print(UNITS)
    return 0


def _answer(name: str, cells: Sequence[Any]) -> Any:
    """Return what a function gives for cells; None where it refuses them, with the reason printed."""
    function = get(name)
    result = evaluate(function.sheet_name, cells)
    if isinstance(result, CellError):
        print(reason([function.sheet_name, *cells]), file=sys.stderr)
        return None
    return result


def _lines(plans: list[dict[str, Any]]) -> list[str]:
    """Lay the plans out in columns, the reason of each below it; a column without a value is left out."""
    columns = [(name, heading) for name, heading in HEADINGS if any(plan[name] != "" for plan in plans)]
    rows = [["", *(heading for _, heading in columns)]]
    rows += [
        [f"{place}.", *(_shown(plan[name]) for name, _ in columns)] for place, plan in enumerate(plans, 1)
    ]
    texts = {0, *(at for at, (name, _) in enumerate(columns, 1) if isinstance(plans[0][name], str))}
    rooms = [max(map(len, column)) for column in zip(*rows)]
    lines = [
        "  ".join(
            text.ljust(room) if at in texts else text.rjust(room)
            for at, (text, room) in enumerate(zip(row, rooms))
        ).rstrip()
        for row in rows
    ]
    told = [lines[0]]
    for line, plan in zip(lines[1:], plans):
        told += [line, f"    {plan['reason']}"]
    return told


def _shown(value: Any) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)
