"""Where LibreOffice and what belongs to its user are, and how it is started."""

from __future__ import annotations

import os
import shutil
import sys
from glob import glob
from pathlib import Path

USUAL_PLACES = {
    "win32": [
        r"%ProgramFiles%\LibreOffice*\program\unopkg.com",
        r"%ProgramFiles(x86)%\LibreOffice*\program\unopkg.com",
    ],
    "darwin": [
        "/Applications/LibreOffice*.app/Contents/MacOS/unopkg",
        "~/Applications/LibreOffice*.app/Contents/MacOS/unopkg",
    ],
    "linux": [
        "/usr/lib/libreoffice/program/unopkg",
        "/usr/lib64/libreoffice/program/unopkg",
        "/usr/local/lib/libreoffice/program/unopkg",
        "/opt/libreoffice*/program/unopkg",
    ],
}

PROFILES = {
    "win32": r"%APPDATA%\LibreOffice\4",
    "darwin": "~/Library/Application Support/LibreOffice/4",
    "linux": "~/.config/libreoffice/4",
}

# What leads the Python inside the office away from the modules of the office.
OF_ANOTHER_PYTHON = ("PYTHONHOME", "PYTHONPATH", "VIRTUAL_ENV")


class AddInError(Exception):
    """What keeps the extension from being put in or taken out, and what to do about it."""


def find_unopkg() -> Path:
    """Find the office's tool for extensions, on the search path or in the usual places.

    Raises
    ------
    AddInError
        When there is none.
    """
    found = shutil.which("unopkg")
    if found:
        return Path(found)
    for office in filter(None, map(shutil.which, ("soffice", "libreoffice"))):
        beside = Path(office).resolve().with_name("unopkg")
        if beside.exists():
            return beside
    places = _usual_places()
    if not places:
        raise AddInError(
            "LibreOffice was not found. If it is installed, add the folder with its program unopkg to PATH"
        )
    return places[-1]


def find_development_kit() -> Path:
    """Find the folder of LibreOffice that holds its development kit, ``sdk``.

    Raises
    ------
    AddInError
        When there is none.
    """
    for place in reversed(_usual_places()):
        folder = place.parents[1]
        if (folder / "sdk").is_dir():
            return folder
    raise AddInError("the development kit of LibreOffice was not found: it is a package of its own")


def environment() -> dict[str, str]:
    """Return the environment to start the office in: the one here, without any virtual environment of Python.

    On Linux the Python inside the office takes the first python3 on PATH for its own. Where that belongs to a
    virtual environment it finds none of the modules of the office, and the office breaks down.
    """
    kept = {name: value for name, value in os.environ.items() if name not in OF_ANOTHER_PYTHON}
    if "PATH" in kept:
        folders = kept["PATH"].split(os.pathsep)
        kept["PATH"] = os.pathsep.join(folder for folder in folders if not _of_virtual_environment(folder))
    return kept


def _of_virtual_environment(programs: str) -> bool:
    # By this file Python itself knows one. Not all of PATH may be read by everybody, and pathlib would raise.
    return os.path.exists(os.path.join(programs, os.pardir, "pyvenv.cfg"))


def lacks_python(unopkg: Path) -> bool:
    """Tell whether the office is seen to lack what runs functions written in Python.

    Some distributions hold that in a package of its own. Where the files are laid out in another way than
    on Linux and Windows, nothing is seen to be missing.
    """
    # In /usr/bin the tool may be a script that calls the real one, while the office beside it is a link.
    for program in (unopkg, unopkg.with_name("soffice")):
        folder = program.resolve().parent
        if (folder / "soffice.bin").exists():
            return not (folder / "pythonloader.py").exists()
    return False


def _usual_places() -> list[Path]:
    places = USUAL_PLACES.get(sys.platform, USUAL_PLACES["linux"])
    return [Path(found) for place in places for found in sorted(glob(_expanded(place)))]


def profile_folder() -> Path:
    """Return the folder where the office keeps what belongs to this user."""
    place = PROFILES.get(sys.platform, PROFILES["linux"])
    settings = os.environ.get("XDG_CONFIG_HOME")
    if settings and place == PROFILES["linux"]:
        place = place.replace("~/.config", settings)
    return Path(_expanded(place))


def _expanded(place: str) -> str:
    return os.path.expanduser(os.path.expandvars(place))
