"""Cloth as an SVG: a band for every thread, and a rounded rectangle for every float on top of them."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from xml.sax.saxutils import escape

from weavefuncs.addin._cloth import (
    EDGE_FROM,
    EDGE_SHADOW,
    GROUND,
    HALF_WIDTH,
    REACH,
    ROUNDING,
    Cloth,
    Colour,
    mixed,
    shadow,
)
from weavefuncs.errors import WeaveError

# Every float is a shape of its own; more of them than this and viewers stall.
MOST_SHAPES = 200_000

# In the units of the drawing: from thread to thread, what a band leaves free beside it and at its ends.
THREAD = 30
BESIDE = round(THREAD * (0.5 - HALF_WIDTH))
AT_END = round(THREAD * (0.5 - REACH))
ROUND = round(THREAD * ROUNDING)


def svg(cloth: Cloth) -> str:
    """Draw a cloth as the text of an SVG file.

    Raises
    ------
    WeaveError
        When its floats are too many.
    """
    columns = tuple(bytes(column) for column in zip(*cloth.rows, strict=True))
    if sum(1 for _ in _floats(columns, 1)) + sum(1 for _ in _floats(cloth.rows, 0)) > MOST_SHAPES:
        raise WeaveError(
            "picks", f"few enough for at most {MOST_SHAPES} floats in an SVG; a PNG takes more", cloth.picks
        )
    width, height = cloth.ends * THREAD, cloth.picks * THREAD
    warp: dict[Colour, list[str]] = {}
    for end, start, length in _floats(columns, 1):
        corner = end * THREAD + BESIDE, height - (start + length) * THREAD + AT_END
        rect = _rect(*corner, THREAD - 2 * BESIDE, length * THREAD - 2 * AT_END)
        warp.setdefault(cloth.warp[end], []).append(rect)
    weft: dict[Colour, list[str]] = {}
    for pick, start, length in _floats(cloth.rows, 0):
        corner = start * THREAD + AT_END, height - (pick + 1) * THREAD + BESIDE
        rect = _rect(*corner, length * THREAD - 2 * AT_END, THREAD - 2 * BESIDE)
        weft.setdefault(cloth.weft[pick], []).append(rect)
    parts = [
        '<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby="title description"'
        f' width="{cloth.ends * cloth.thread}" height="{cloth.picks * cloth.thread}"'
        f' viewBox="0 0 {width} {height}">',
        f'<title id="title">{escape(cloth.title)}</title>',
        f'<desc id="description">{escape(cloth.description)}</desc>',
        "<defs>",
        *(_gradient(f"warp{number}", colour, 'x2="1" y2="0"') for number, colour in enumerate(warp)),
        *(_gradient(f"weft{number}", colour, 'x2="0" y2="1"') for number, colour in enumerate(weft)),
        "</defs>",
        f'<rect width="{width}" height="{height}" fill="{_hex(GROUND)}"/>',
        *_bands(cloth, width, height),
    ]
    for system, by_colour in (("warp", warp), ("weft", weft)):
        for number, rects in enumerate(by_colour.values()):
            parts += [f'<g fill="url(#{system}{number})">', *rects, "</g>"]
    return "\n".join([*parts, "</svg>", ""])


def _floats(threads: tuple[bytes, ...], on_top: int) -> Iterator[tuple[int, int, int]]:
    """Give each float as its thread, its first crossing and its length, all from 0."""
    for thread, crossings in enumerate(threads):
        start = 0
        for value, run in groupby(crossings):
            length = len(list(run))
            if value == on_top:
                yield thread, start, length
            start += length


def _bands(cloth: Cloth, width: int, height: int) -> list[str]:
    """Draw what shows of the threads below: the whole of each thread, in its shadow."""
    middle = THREAD // 2
    warp = [
        f'<path stroke="{_hex(shadow(colour))}" d="M{end * THREAD + middle} 0v{height}"/>'
        for end, colour in enumerate(cloth.warp)
    ]
    weft = [
        f'<path stroke="{_hex(shadow(colour))}" d="M0 {height - pick * THREAD - middle}h{width}"/>'
        for pick, colour in enumerate(cloth.weft)
    ]
    return [f'<g stroke-width="{THREAD - 2 * BESIDE}">', *warp, *weft, "</g>"]


def _rect(x: int, y: int, width: int, height: int) -> str:
    return f'<rect x="{x}" y="{y}" width="{width}" height="{height}" rx="{ROUND}"/>'


def _gradient(name: str, colour: Colour, across: str) -> str:
    edge = mixed([(colour, 1 - EDGE_SHADOW), (shadow(colour), EDGE_SHADOW)])
    start = (1 - EDGE_FROM) / 2
    stops = ((0, edge), (start, colour), (1 - start, colour), (1, edge))
    return (
        f'<linearGradient id="{name}" {across}>'
        + "".join(f'<stop offset="{offset:.2f}" stop-color="{_hex(stop)}"/>' for offset, stop in stops)
        + "</linearGradient>"
    )


def _hex(colour: Colour) -> str:
    return "#{:02x}{:02x}{:02x}".format(*colour)
