"""The cloth as a picture, for a screen or a printer: PNG or SVG.

Both are drawn from one description. Pick 1 is the bottom row. A float is one
band, rounded where it dives under the next thread; each crossing shows in its
centre the plain colour of the thread on top.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from PIL import ImageColor

import weavefuncs
from weavefuncs._colour_order import parse_colour_order
from weavefuncs._colour_tones import plain_shade, shade_of
from weavefuncs.addin._cloth import Cloth, Colour
from weavefuncs.addin._cloth_png import png
from weavefuncs.addin._cloth_svg import svg
from weavefuncs.errors import WeaveError

MOST_ENDS = 2000
MOST_PICKS = 4000

WARP_COLOUR = "oldlace"
WEFT_COLOUR = "#2f5f73"

DRAWERS: dict[str, Callable[[Cloth], bytes]] = {
    ".png": png,
    ".svg": lambda cloth: svg(cloth).encode("utf-8"),
}

HOW_TO_WRITE = (
    "words for yarn such as natural or dark red, the colour names of web pages such as steelblue, "
    "or #rrggbb, say #204080"
)


def describe(
    weave: Any, ends: int, picks: int, reversals: str, warp_colours: str, weft_colours: str
) -> Cloth:
    """Work out what is to be drawn.

    Raises
    ------
    WeaveError
        When a count lies outside its range, or a weave, reversals or a colour cannot be read.
    """
    for name, threads, most in (("ends", ends, MOST_ENDS), ("picks", picks, MOST_PICKS)):
        if not 1 <= threads <= most:
            raise WeaveError(name, f"from 1 to {most} for a picture", threads)
    grid = weavefuncs.drawdown(weave, ends, picks, reversals or None)
    warp = _colours("warp_colours", warp_colours, ends)
    weft = _colours("weft_colours", weft_colours, picks)
    turned = f", turned by {reversals}" if reversals else ""
    name = weave.strip() if isinstance(weave, str) else "weave from a grid"
    return Cloth(
        rows=tuple(bytes(map(int, row)) for row in grid),
        warp=warp,
        weft=weft,
        title=f"{name}{turned}: {ends} ends by {picks} picks",
        description=f"The cloth seen from its face. Warp {warp_colours}, weft {weft_colours}. "
        "End 1 is at the left, pick 1 at the bottom.",
    )


def cloth_svg(
    weave: Any,
    ends: int,
    picks: int,
    reversals: str = "",
    warp_colours: str = WARP_COLOUR,
    weft_colours: str = WEFT_COLOUR,
) -> str:
    """Draw a piece of cloth as an SVG text.

    Parameters
    ----------
    weave : str or grid
        A weave text such as ``2/2 twill``, or a grid of 1 and 0 with pick 1 first.
    ends, picks : int
        Size of the piece, at most 2000 by 4000 and four million crossings.
    reversals : str
        Rows each way, such as ``9,9``; empty never turns.
    warp_colours, weft_colours : str
        One colour, or a colour order such as ``8 white, 4 #204080`` or ``(2 ecru, 1 plum) x 6, 3 slate``.

    Raises
    ------
    WeaveError
        When an argument cannot be read or lies outside its range, or the floats are too many for an SVG.
    """
    return svg(describe(weave, ends, picks, reversals, warp_colours, weft_colours))


def write_picture(
    path: str | os.PathLike[str],
    weave: Any,
    ends: int,
    picks: int,
    reversals: str = "",
    warp_colours: str = WARP_COLOUR,
    weft_colours: str = WEFT_COLOUR,
) -> None:
    """Draw a piece of cloth into a file, PNG or SVG by its ending; arguments as for :func:`cloth_svg`.

    The file is replaced whole or not at all; a link stays a link.

    Raises
    ------
    WeaveError
        When the ending is neither, or an argument cannot be read or lies outside its range.
    OSError
        When the file cannot be written.
    """
    target = Path(path)
    drawer = DRAWERS.get(target.suffix.lower())
    if drawer is None:
        raise WeaveError("path", "a file name that ends in .png or .svg", str(path))
    _replace(target, drawer(describe(weave, ends, picks, reversals, warp_colours, weft_colours)))


def _replace(path: Path, content: bytes) -> None:
    target = Path(os.path.realpath(path))
    try:
        handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.", suffix=".part")
    except OSError as problem:
        # Of the scratch file the user knows nothing.
        raise OSError(problem.errno, problem.strerror, str(target)) from None
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
        os.chmod(name, _usual_mode(target))
        os.replace(name, target)
    except BaseException:
        os.unlink(name)
        raise


def _usual_mode(target: Path) -> int:
    """Permissions as the file has them, or as a new file would get them: temporary files are private."""
    if target.exists():
        return target.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def _colours(argument: str, text: str, threads: int) -> tuple[Colour, ...]:
    order = parse_colour_order(argument, text)
    known = {}
    for name in order.colours:
        colour = _rgb(name)
        if colour is None:
            raise WeaveError(argument, f"made of {HOW_TO_WRITE}", name)
        known[name] = colour
    return tuple(known[order.colour_of(thread)] for thread in range(1, threads + 1))


def _rgb(name: str) -> Colour | None:
    """Read a colour: a word for yarn means what a weaver means by it, any other what CSS does."""
    plain = name.strip().lower().replace(" ", "")
    known = plain_shade(name)
    if known is None and plain in ImageColor.colormap:
        red, green, blue = ImageColor.getrgb(plain)[:3]
        return red, green, blue
    return known or shade_of(name)
