"""What a picture of cloth shows, however it is drawn: threads, colours, light and shadow."""

from __future__ import annotations

from dataclasses import dataclass

Colour = tuple[int, int, int]

# Pixels: a thread is drawn as wide as fits the longest side of the picture, within limits.
LONGEST_SIDE = 2400
WIDEST_THREAD, NARROWEST_THREAD = 28, 2

# Shares of the spacing of threads: half the width of a band, how far it reaches over the middle of the last
# thread that it crosses, and the rounding of its ends. A band reaches further than it is wide, so that which
# way a thread runs shows even where it crosses only one.
HALF_WIDTH = 13 / 30
REACH = 14 / 30
ROUNDING = 0.3

# How a band fades into its shadow: from where on, as a share of half its width or of its reach, and how much.
EDGE_FROM, EDGE_SHADOW = 0.3, 0.65
END_FROM, END_SHADOW = 0.65, 0.4

# Dark threads cannot be shaded darker: below this lightness of 255 their edges catch the light instead.
DARK = 60

# What shows through where neither thread covers.
GROUND: Colour = (54, 50, 46)


@dataclass(frozen=True)
class Cloth:
    """What is drawn: a piece of cloth, its colours thread by thread, and its words."""

    rows: tuple[bytes, ...]  # a row each pick from pick 1, a byte each end from end 1, 1 where warp is up
    warp: tuple[Colour, ...]
    weft: tuple[Colour, ...]
    title: str
    description: str

    @property
    def ends(self) -> int:
        return len(self.warp)

    @property
    def picks(self) -> int:
        return len(self.weft)

    @property
    def thread(self) -> int:
        """Pixels from thread to thread."""
        fits = LONGEST_SIDE // max(self.ends, self.picks)
        return max(NARROWEST_THREAD, min(WIDEST_THREAD, fits))


def shadow(colour: Colour) -> Colour:
    """Return the colour of a thread where it turns away from the light."""
    red, green, blue = colour
    if 0.3 * red + 0.59 * green + 0.11 * blue < DARK:
        return red + 70, green + 70, blue + 70
    return red * 45 // 100, green * 45 // 100, blue * 45 // 100


def mixed(parts: list[tuple[Colour, float]]) -> Colour:
    """Mix colours by shares that sum to 1."""
    red, green, blue = (min(255, round(sum(colour[i] * share for colour, share in parts))) for i in range(3))
    return red, green, blue
