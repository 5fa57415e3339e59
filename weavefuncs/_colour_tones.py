"""Tones of a drawing in cells: a letter for each colour of a plan, of the few that a sheet can draw.

The rules of a sheet hold fixed colours, so a colour is drawn in the tone nearest to what its word says.
Two shades never share a tone while another is free, so that stripes stay apart.
"""

from __future__ import annotations

from functools import lru_cache

from weavefuncs._colour_order import ColourOrder, parse_colour_order
from weavefuncs.shared.colour_words import DARKER, LIGHTER, NEUTRAL, TONES, WORDS

TYPE_CHECKING = False
if TYPE_CHECKING:
    Shade = tuple[int, int, int]

FIRST_LETTER = ord("A")

# How much of white or black goes into a colour called light or dark.
LIGHTENED, DARKENED = 0.45, 0.4

# How much more a difference between red, green and blue counts than one of lightness: grey stays grey.
HUE = 9

# A word that ends in a colour's is read as that colour, unless so short that it may end in it by chance.
SHORTEST_ENDING = 4

NO_ORDER = "none"

# Without colours warp and weft are told apart, no more.
WARP_SIGN, WEFT_SIGN = "1", "0"

KEY_WIDTH = 30

# A word's own shade goes before the tone that is called the same.
_SHADES = {**dict(TONES), **WORDS}


def rgb(text: str) -> Shade:
    """Read #rrggbb."""
    red, green, blue = (int(text[place : place + 2], 16) for place in (1, 3, 5))
    return red, green, blue


def plain_shade(colour: str) -> Shade | None:
    """Return the shade of a colour written #rrggbb or by a word of the list; None for any other."""
    words = _words(colour)
    joined = "".join(words)
    if joined.startswith("#"):
        return rgb(joined) if len(joined) == 7 and set(joined[1:]) <= set("0123456789abcdef") else None
    known = _SHADES.get(" ".join(words)) or _SHADES.get(joined)
    return rgb(known) if known else None


def shade_of(colour: str) -> Shade | None:
    """Return the shade that a colour's words say: its last known word, light or dark as they say."""
    plain = plain_shade(colour)
    if plain or colour.startswith("#"):
        return plain
    words = _words(colour)
    for word in reversed(words):
        known = WORDS.get(word) or _ending(word)
        if known:
            shade = rgb(known)
            if any(other.startswith(LIGHTER) for other in words):
                return _mixed(shade, 255, LIGHTENED)
            return _mixed(shade, 0, DARKENED) if any(other.startswith(DARKER) for other in words) else shade
    return None


def _words(colour: str) -> list[str]:
    return colour.casefold().replace("-", " ").split()


def _ending(word: str) -> str:
    known = [WORDS[end] for end in WORDS if len(end) >= SHORTEST_ENDING and word.endswith(end)]
    return known[0] if known else ""


def _mixed(shade: Shade, other: int, share: float) -> Shade:
    red, green, blue = (round(part + (other - part) * share) for part in shade)
    return red, green, blue


def _distance(one: Shade, other: Shade) -> int:
    """Return how unlike two shades look, roughly: how light they are counts less than their hue."""
    red, green, blue = (left - right for left, right in zip(one, other))
    lightness = 2 * red * red + 4 * green * green + 3 * blue * blue
    return lightness + HUE * ((red - green) ** 2 + (green - blue) ** 2)


def tones_of(colours: list[str]) -> dict[str, int]:
    """Return the place among the tones of each colour, by its word as it is compared."""
    shades = [rgb(shade) for _, shade in TONES]
    places = {name: place for place, (name, _) in enumerate(TONES)}
    found: dict[str, int] = {}
    drawn: dict[Shade, int] = {}
    unknown = []
    for colour in colours:
        shade = shade_of(colour)
        if shade is None:
            unknown.append(colour)
            continue
        if shade not in drawn:
            near = sorted(range(len(TONES)), key=lambda place: _distance(shades[place], shade))
            drawn[shade] = next((place for place in near if place not in drawn.values()), near[0])
        found[colour.casefold()] = drawn[shade]
    # What is known chooses first.
    order = [places[name] for name in NEUTRAL]
    order += [place for place in range(len(TONES)) if place not in order]
    for colour in unknown:
        taken = set(found.values())
        found[colour.casefold()] = next((place for place in order if place not in taken), order[0])
    return found


class Drawn:
    """The colours of a drawing: its orders, and the letter of each colour."""

    def __init__(self, warp: ColourOrder, weft: ColourOrder) -> None:
        self.warp = warp
        self.weft = weft
        spelled: dict[str, str] = {}
        for colour in (*warp.colours, *weft.colours):
            spelled.setdefault(colour.casefold(), colour)
        self.colours = list(spelled.values())
        self._tones = tones_of(self.colours)

    def letter(self, colour: str) -> str:
        """Return the letter of a colour's tone: a capital, as where the warp shows it."""
        return chr(FIRST_LETTER + self._tones[colour.casefold()])

    def entries(self) -> list[str]:
        """Write for each colour its letter, its word, and the tone where that is called otherwise."""
        entries = []
        for colour in self.colours:
            tone = TONES[self._tones[colour.casefold()]][0]
            drawn = "" if tone == colour.casefold() else f" ({tone})"
            most = KEY_WIDTH - 3 - len(drawn)
            word = colour if len(colour) <= most else colour[: most - 1] + "…"
            entries.append(f"{self.letter(colour)} {word}{drawn}")
        return entries


def coloured(warp_order: str, weft_order: str) -> bool:
    """Tell whether either system has a colour order."""
    return _given(warp_order) or _given(weft_order)


def _given(order: str) -> bool:
    return order.strip().casefold() != NO_ORDER


@lru_cache(maxsize=16)
def drawn(warp_order: str, weft_order: str) -> Drawn:
    """Read both orders; a system without one has a single colour that is called after it."""
    warp = parse_colour_order("warp_order", warp_order if _given(warp_order) else "warp")
    weft = parse_colour_order("weft_order", weft_order if _given(weft_order) else "weft")
    return Drawn(warp, weft)


@lru_cache(maxsize=16)
def warp_letters(warp_order: str, weft_order: str, ends: int) -> str:
    """Return the letter of each end."""
    colours = drawn(warp_order, weft_order)
    repeat = min(ends, colours.warp.threads)
    once = "".join(colours.letter(colours.warp.colour_of(end)) for end in range(1, repeat + 1))
    return (once * -(-ends // repeat))[:ends]
