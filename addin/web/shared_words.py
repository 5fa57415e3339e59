"""What the page is told beside the functions: weaves to start from, and the tones of a drawing."""

from __future__ import annotations

from typing import Any

from weavefuncs.shared.colour_words import TONES
from weavefuncs.shared.weaves import WEAVES


def shared_words() -> dict[str, Any]:
    """Return the lists that the page's form of the cloth and its drawing are made with."""
    return {"weaves": WEAVES, "tones": [shade for _, shade in TONES]}
