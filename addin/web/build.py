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
from weavefuncs.addin.web.catalogue import catalogue, metadata
from weavefuncs.addin.web.icons import write_icons
from weavefuncs.addin.web.manifest import checked, manifest
from weavefuncs.addin.web.offline import write_file_list
from weavefuncs.addin.web.shared_words import shared_words
from weavefuncs.addin.web.toolchain import WebError
from weavefuncs.addin.web.wheel import write_wheel

# What Pyodide needs to run the standard library; none of its packages.
PYODIDE = ("pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm", "pyodide-lock.json", "python_stdlib.zip")

# What Microsoft's script loads, from beside itself, in the kinds of Excel that have custom functions.
OFFICE = (
    "office.js",
    "o15apptofilemappingtable.js",
    "excel-mac-16*.js",
    "excel-web-16*.js",
    "excel-win32-16*.js",
    "excel-winrt-16*.js",
    "telemetry/*.js",
    "*/office_strings.js",
)

LICENCES = """\
pyodide/ is Pyodide {pyodide}, under the Mozilla Public License 2.0. It holds Python and its standard library,
under the licence of the Python Software Foundation. Its sources: {sources}
office/ is Microsoft's Office JavaScript API library {office}, under the terms in office/LICENSE.md.
All else is weavefuncs {this}, under the MIT licence.
"""

# Where ``weavefuncs addin serve web`` answers.
PORT = 8443
HERE = f"https://localhost:{PORT}"


def build(folder: Path, origin: str = HERE, workshop: Path | None = None) -> Path:
    """Write the files.

    Parameters
    ----------
    folder : Path
        Where the folder of files is put; one of the same version is replaced.
    origin : str
        Address under which that folder will be found, for the manifest.
    workshop : Path, optional
        A folder that :func:`~weavefuncs.addin.web.toolchain.workshop` made; else a passing one is.

    Returns
    -------
    Path
        The folder of files.

    Raises
    ------
    WebError
        When the origin is no https address, when Node or npm is missing or fails, or when the folder of files
        exists and is none of ours.
    """
    checked(origin)
    site = folder.resolve() / site_name()
    if site.exists() and not is_site(site):
        raise WebError(f"{site} exists and holds something else: move it away, or choose another folder")
    if workshop is None:
        with tempfile.TemporaryDirectory() as scratch:
            return build(folder, origin, toolchain.workshop(Path(scratch)))
    made = _make(workshop, origin)
    if site.exists():
        shutil.rmtree(site)
    site.parent.mkdir(parents=True, exist_ok=True)
    shutil.move(made, site)
    return site


def _make(workshop: Path, origin: str) -> Path:
    this = version("weavefuncs")
    toolchain.npm(workshop, "run", "build", VITE_VERSION=this)
    made = workshop / "dist"
    write_wheel(made, this)
    write_icons(made / "icons")
    _write_json(made / "functions.json", catalogue())
    _write_json(made / "metadata.json", metadata())
    _write_json(made / "words.json", shared_words())
    pyodide, office = (workshop / "node_modules" / name for name in ("pyodide", "@microsoft/office-js"))
    _copy(pyodide, made / "pyodide", PYODIDE)
    _copy(office / "dist", made / "office", OFFICE)
    _copy(office, made / "office", ("LICENSE.md",))
    _write_licences(made / "licences.txt", pyodide, office)
    script = next((made / "assets").glob("index-*.js")).relative_to(made).as_posix()
    (made / "manifest.xml").write_text(manifest(origin, site_name(), this, script), encoding="utf-8")
    # Last, for it lists all the others.
    write_file_list(made)
    return made


def site_name() -> str:
    """Name the folder of files of this version."""
    return f"weavefuncs-{version('weavefuncs')}"


def is_site(folder: Path) -> bool:
    """Tell whether a folder is one that :func:`build` wrote, whole."""
    return (folder / "manifest.xml").is_file() and (folder / "functions.json").is_file()


def _write_licences(path: Path, pyodide: Path, office: Path) -> None:
    told, office_told = (
        json.loads((package / "package.json").read_text(encoding="utf-8")) for package in (pyodide, office)
    )
    text = LICENCES.format(
        pyodide=told["version"],
        sources=told["homepage"],
        office=office_told["version"],
        this=version("weavefuncs"),
    )
    path.write_text(text, encoding="utf-8")


def _write_json(path: Path, content: object) -> None:
    path.write_text(json.dumps(content, ensure_ascii=False, separators=(",", ":")), encoding="utf-8")


def _copy(source: Path, target: Path, patterns: tuple[str, ...]) -> None:
    for pattern in patterns:
        found = [path for path in source.glob(pattern) if not path.name.endswith(".debug.js")]
        if not found:
            raise WebError(f"{source} holds no {pattern}")
        for path in found:
            place = target / path.relative_to(source)
            place.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(path, place)
