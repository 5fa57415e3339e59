"""How much of a start is ours, against the bare interpreter.

A wheel goes into an environment of its own, because an editable install finds modules in a slower way.
"""

from __future__ import annotations

import subprocess
import tempfile
import venv
from collections.abc import Iterator
from pathlib import Path

from measured import Row, command, turns

ROOT = Path(__file__).parents[2]
STARTS = {
    "import": ("import weavefuncs", "1.3"),
    "import and one call": ("import weavefuncs; weavefuncs.ends(15, 24)", "1.6"),
    "import and a call with yarn and weave": (
        "import weavefuncs; weavefuncs.sett_from_diameters('8/2 Ne', 'plain')",
        "",
    ),
}


def rows(quick: bool) -> Iterator[Row]:
    """Compare whole processes."""
    with tempfile.TemporaryDirectory() as folder:
        venv.create(folder, with_pip=True)
        python = next(Path(folder).glob("[bS]*/python*"))
        subprocess.run([python, "-m", "pip", "install", "-q", "--no-deps", ROOT], cwd=folder, check=True)
        bare = command(python, "-I", "-c", "pass")
        for name, (code, aim) in STARTS.items():
            times = turns(command(python, "-I", "-c", code), bare, 2 if quick else 60)
            yield times.row(name, "one start", "a bare start", aim)
