"""The modules that travel into a host with a Python of its own: functions, their data, the cell adapter."""

from __future__ import annotations

from pathlib import Path

import weavefuncs
from weavefuncs import shared
from weavefuncs.addin import cells


def travelling() -> dict[str, Path]:
    """Return them: place below ``weavefuncs/`` to file."""
    core, data = Path(weavefuncs.__file__).parent, Path(shared.__file__).parent
    adapter = Path(cells.__file__)
    return {
        **{source.name: source for source in core.glob("*.py")},
        **{f"shared/{source.name}": source for source in data.glob("*.py")},
        "addin/__init__.py": adapter.with_name("__init__.py"),
        "addin/cells.py": adapter,
    }
