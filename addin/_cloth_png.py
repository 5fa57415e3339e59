"""Cloth as a PNG: a tile of pixels for each way in which two threads cross, joined line by line."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from io import BytesIO

from PIL import Image, PngImagePlugin

from weavefuncs.addin._cloth import (
    EDGE_FROM,
    EDGE_SHADOW,
    END_FROM,
    END_SHADOW,
    GROUND,
    HALF_WIDTH,
    REACH,
    ROUNDING,
    Cloth,
    Colour,
    mixed,
    shadow,
)

DOTS_PER_INCH = 200

# Points a pixel each way, when the edges of a band are drawn smooth.
FINER = 4


def png(cloth: Cloth) -> bytes:
    """Draw a cloth as the bytes of a PNG file."""
    size = cloth.thread
    lines = _line_painter(cloth.warp, size)
    blank = bytes(cloth.ends)
    padded = [blank, *cloth.rows, blank]
    picture = b"".join(
        lines(padded[pick], padded[pick + 1], padded[pick + 2], cloth.weft[pick])
        for pick in reversed(range(cloth.picks))
    )
    image = Image.frombytes("RGB", (cloth.ends * size, cloth.picks * size), picture)
    words = PngImagePlugin.PngInfo()
    words.add_itxt("Title", cloth.title)
    words.add_itxt("Description", cloth.description)
    stream = BytesIO()
    image.save(stream, "PNG", pnginfo=words, dpi=(DOTS_PER_INCH, DOTS_PER_INCH), optimize=True)
    return stream.getvalue()


def _line_painter(warp: tuple[Colour, ...], size: int) -> Callable[[bytes, bytes, bytes, Colour], bytes]:
    """Return a function that draws one pick, given its neighbours, as lines of pixels from the top."""

    # A weave repeats, so most picks have been drawn before.
    @lru_cache(maxsize=64)
    def lines(below: bytes, row: bytes, above: bytes, weft: Colour) -> bytes:
        left, right = b"\1" + row[:-1], row[1:] + b"\1"
        tiles = [
            _tile(size, True, not under, not over, colour, weft)
            if up
            else _tile(size, False, bool(before), bool(after), weft, colour)
            for up, under, over, before, after, colour in zip(
                row, below, above, left, right, warp, strict=True
            )
        ]
        return b"".join(tile[y] for y in range(size) for tile in tiles)

    return lines


@lru_cache(maxsize=4096)
def _tile(size: int, upright: bool, first: bool, last: bool, top: Colour, under: Colour) -> tuple[bytes, ...]:
    """Draw one crossing as lines of pixels; ``first`` and ``last`` tell whether the float ends here."""
    colours = top, shadow(top), shadow(under), GROUND
    pixels = [
        [mixed(list(zip(colours, shares, strict=True))) for shares in line]
        for line in _shares(size, upright, first, last)
    ]
    pixels[size // 2][size // 2] = top
    return tuple(b"".join(map(bytes, line)) for line in pixels)


@lru_cache(maxsize=64)
def _shares(size: int, upright: bool, first: bool, last: bool) -> list[list[tuple[float, ...]]]:
    """For each pixel of a crossing, the shares of the four colours that :func:`_tile` mixes."""
    steps = [(step + 0.5) / (size * FINER) - 0.5 for step in range(size * FINER)]
    lines = []
    for y in range(size):
        line = []
        for x in range(size):
            points = [
                _point(*((right, -down) if upright else (down, right)), first, last)
                for down in steps[y * FINER : (y + 1) * FINER]
                for right in steps[x * FINER : (x + 1) * FINER]
            ]
            line.append(tuple(sum(parts) / len(points) for parts in zip(*points, strict=True)))
        lines.append(line)
    return lines


def _point(across: float, along: float, first: bool, last: bool) -> tuple[float, float, float, float]:
    """Shares of top, its shadow, the shadow of the thread below, and the ground at one point."""
    ends_here = last if along > 0 else first
    across, along = abs(across), abs(along)
    outside = across > HALF_WIDTH
    if ends_here and not outside:
        over = max(0.0, across - HALF_WIDTH + ROUNDING), max(0.0, along - REACH + ROUNDING)
        outside = over[0] ** 2 + over[1] ** 2 > ROUNDING**2
    if outside:
        return (0.0, 0.0, 1.0, 0.0) if along <= HALF_WIDTH else (0.0, 0.0, 0.0, 1.0)
    dark = EDGE_SHADOW * _rise(across / HALF_WIDTH, EDGE_FROM)
    if ends_here:
        dark = 1 - (1 - dark) * (1 - END_SHADOW * _rise(along / REACH, END_FROM))
    return 1 - dark, dark, 0.0, 0.0


def _rise(value: float, start: float) -> float:
    """Rise smoothly from 0 at ``start`` to 1 at 1."""
    share = min(1.0, max(0.0, (value - start) / (1 - start)))
    return share * share * (3 - 2 * share)
