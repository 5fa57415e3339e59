"""Put the extension into LibreOffice, take it out, and tell whether it is there.

The office's own tool ``unopkg`` does the work. What it prints and returns is
not always the truth (as the administrator it may report a failure and have
installed all the same), so each step ends by asking what is there.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import NamedTuple

from weavefuncs.addin.calc.build import FILE_NAME, IDENTIFIER, build
from weavefuncs.addin.calc.office import AddInError, environment, find_unopkg, profile_folder

LONGEST_RUN = 300

LISTED = re.compile(
    rf"^Identifier: {re.escape(IDENTIFIER)}\n"
    r"\s*Version: (?P<version>\S*)\n.*\n\s*is registered: (?P<registered>\w+)",
    re.MULTILINE,
)


class Installed(NamedTuple):
    """The extension as the office has it."""

    version: str
    registered: bool
    shared: bool

    def __str__(self) -> str:
        """Tell it in words."""
        whom = "for all users" if self.shared else "for this user"
        return f"version {self.version} {whom}" + ("" if self.registered else ", but switched off")


def as_administrator() -> bool:
    """Tell whether this is the administrator, who installs for all users."""
    return sys.platform != "win32" and os.geteuid() == 0


def installed() -> list[Installed]:
    """Return where the extension is in: for this user, for all users, both or not at all."""
    unopkg = find_unopkg()
    found = []
    for shared in (False, True):
        if not shared and as_administrator():
            continue
        match = LISTED.search(_unopkg(unopkg, "list", shared))
        if match:
            found.append(Installed(match["version"], match["registered"] == "yes", shared))
    return found


def install() -> tuple[Installed, Installed | None]:
    """Put the extension in, over any version that is there: for all users as the administrator.

    Returns
    -------
    tuple
        What is in now, and what it replaced.

    Raises
    ------
    AddInError
        When there is no office, when it is open, or when it is not in afterwards.
    """
    unopkg = find_unopkg()
    _refuse_open_office()
    shared = as_administrator()
    before = _in_place(shared)
    with tempfile.TemporaryDirectory() as folder:
        said = _unopkg(unopkg, "add", shared, "--force", str(build(Path(folder) / FILE_NAME)))
    _clear_away_copies()
    after = _in_place(shared)
    if after is None or not after.registered:
        raise AddInError(f"LibreOffice did not take the functions in. It said: {said.strip() or 'nothing'}")
    return after, before


def remove() -> Installed | None:
    """Take the extension out and return what was there; None when there was nothing to take out.

    Raises
    ------
    AddInError
        When there is no office, when it is open, when the extension is in for all users and this is not
        the administrator, or when it is still in afterwards.
    """
    unopkg = find_unopkg()
    shared = as_administrator()
    before = _in_place(shared)
    if before is None:
        if not shared and _in_place(shared=True):
            raise AddInError("the functions are in for all users: only the administrator can take them out")
        return None
    _refuse_open_office()
    said = _unopkg(unopkg, "remove", shared, IDENTIFIER)
    if _in_place(shared):
        raise AddInError(f"LibreOffice still has the functions. It said: {said.strip() or 'nothing'}")
    _clear_away_copies()
    return before


def _in_place(shared: bool) -> Installed | None:
    return next((found for found in installed() if found.shared is shared), None)


def _clear_away_copies() -> None:
    """Remove the copy that the office keeps of what it took out, until it starts the next time."""
    for copy in profile_folder().glob(f"user/extensions/tmp/extensions/*/{FILE_NAME}"):
        shutil.rmtree(copy.parent, ignore_errors=True)


def _refuse_open_office() -> None:
    """Refuse to work on a profile that an open office holds: it would write over what was put in."""
    lock = profile_folder() / ".lock"
    if lock.exists():
        raise AddInError(
            "LibreOffice is open: close all its windows, then do this again. "
            f"If it is not open, a crash left {lock} behind: delete that file"
        )


def _unopkg(unopkg: Path, action: str, shared: bool, *words: str) -> str:
    command = [str(unopkg), action, *(["--shared"] if shared else []), *words]
    try:
        done = subprocess.run(
            command,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            encoding="utf-8",
            errors="replace",
            env=environment(),
            timeout=LONGEST_RUN,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise AddInError(f"LibreOffice did not answer within {LONGEST_RUN // 60} minutes") from None
    return done.stdout
