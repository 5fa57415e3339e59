"""Write the folder of static files: the page, the functions, and what Excel needs to use them.

All lies below one folder whose name holds the version, to be put on any static
host as it is. Nothing in it asks for a file from anywhere else.
"""

from __future__ import annotations

import json
import shutil
import tempfile
from importlib.metadata import version
from pathlib import Path

from weavefuncs.addin.web import toolchain
from weavefuncs.addin.web.catalogue import catalogue
from weavefuncs.addin.web.offline import write_file_list
from weavefuncs.addin.web.shared_words import shared_words
from weavefuncs.addin.web.wheel import write_wheel

# What Pyodide needs to run the standard library; none of its packages.
PYODIDE = ("pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm", "pyodide-lock.json", "python_stdlib.zip")


def build(folder: Path, workshop: Path | None = None) -> Path:
    """Write the files.

    Parameters
    ----------
    folder : Path
        Where the folder of files is put; one of the same version is replaced.
    workshop : Path, optional
        A folder that :func:`~weavefuncs.addin.web.toolchain.workshop` made; else a passing one is.

    Returns
    -------
    Path
        The folder of files.

    Raises
    ------
    WebError
        When Node or npm is missing or fails.
    """
    if workshop is None:
        with tempfile.TemporaryDirectory() as scratch:
            return build(folder, toolchain.workshop(Path(scratch)))
    this = version("weavefuncs")
    site = folder.resolve() / f"weavefuncs-{this}"
    toolchain.npm(workshop, "run", "build", "--", "--outDir", str(site), "--emptyOutDir", VITE_VERSION=this)
    write_wheel(site, this)
    _write_json(site / "functions.json", catalogue())
    _write_json(site / "words.json", shared_words())
    _copy(workshop / "node_modules" / "pyodide", site / "pyodide", PYODIDE)
    # Last, for it lists all the others.
    write_file_list(site)
    return site


def _write_json(path: Path, content: object) -> None:
    path.write_text(json.dumps(content, ensure_ascii=False, separators=(",", ":")), encoding="utf-8")


def _copy(source: Path, target: Path, names: tuple[str, ...]) -> None:
    target.mkdir(exist_ok=True)
    for name in names:
        shutil.copyfile(source / name, target / name)
