"""Draw a weave as a picture of the cloth, PNG or SVG by the ending of the file."""

from __future__ import annotations

from typing import TYPE_CHECKING

from weavefuncs.addin.cli.typed import whole
from weavefuncs.addin.picture import WARP_COLOUR, WEFT_COLOUR, write_picture
from weavefuncs.errors import WeaveError

if TYPE_CHECKING:
    import argparse


# Where an argument of the drawing has another name in this command.
OPTIONS = {"path": "--out", "warp_colours": "--warp", "weft_colours": "--weft"}


def declare(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.add_argument(
        "weave",
        metavar="WEAVE",
        help="such as '2/2 twill', or rows of 1 (warp up) and 0 from pick 1 on: 1100/0110/0011/1001",
    )
    parser.add_argument("--ends", type=whole, required=True, metavar="N", help="how many ends to draw")
    parser.add_argument("--picks", type=whole, required=True, metavar="N", help="how many picks to draw")
    parser.add_argument(
        "--reversals", default="", metavar="ROWS", help="rows woven each way before it turns, such as 9,9"
    )
    parser.add_argument(
        "--warp",
        default=WARP_COLOUR,
        metavar="COLOURS",
        help="a colour, or an order such as '(2 ecru, 1 plum) x 6, 3 #204080' (%(default)s)",
    )
    parser.add_argument("--weft", default=WEFT_COLOUR, metavar="COLOURS", help="the same (%(default)s)")
    parser.add_argument("--out", required=True, metavar="FILE", help="the picture, .png or .svg")


def run(given: argparse.Namespace) -> int:
    """Write the picture."""
    weave = given.weave
    if set(weave) <= set("01/"):
        weave = [[int(cell) for cell in row] for row in weave.strip("/").split("/")]
    try:
        write_picture(
            given.out,
            weave,
            given.ends,
            given.picks,
            reversals=given.reversals,
            warp_colours=given.warp,
            weft_colours=given.weft,
        )
    except WeaveError as error:
        error.function = ""
        error.argument = OPTIONS.get(error.argument, error.argument)
        raise
    print(f"wrote {given.out}")
    return 0
