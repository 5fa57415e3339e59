"""The icons of the page and of its button in Excel: a small piece of cloth, drawn by our own picture code."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING

from PIL import Image

from weavefuncs.addin._cloth_png import png
from weavefuncs.addin.picture import WARP_COLOUR, WEFT_COLOUR, describe

if TYPE_CHECKING:
    from pathlib import Path

# Excel's ribbon and lists, then the start screens of phones.
SIZES = (16, 32, 64, 80, 192, 512)

WEAVE, THREADS = "2/2 twill", 4


def write_icons(folder: Path) -> None:
    """Write ``icon-16.png`` and so on."""
    folder.mkdir(exist_ok=True)
    cloth = describe(WEAVE, THREADS, THREADS, "", WARP_COLOUR, WEFT_COLOUR)
    picture = Image.open(BytesIO(png(cloth)))
    for size in SIZES:
        picture.resize((size, size), Image.Resampling.LANCZOS).save(
            folder / f"icon-{size}.png", optimize=True
        )
