"""The list of files that the page keeps for when there is no connection."""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

LIST = "files.js"

# The worker and its list are what the browser asks the host for; the rest is for Excel alone, which brings
# a connection of its own.
LEFT_OUT = (LIST, "service-worker.js", "manifest.xml")
LEFT_OUT_FOLDERS = ("office",)


def write_file_list(site: Path) -> None:
    """Write the list below a finished folder: its version changes when any file in it does."""
    paths = sorted(path for path in site.rglob("*") if path.is_file() and _kept(path.relative_to(site)))
    digest = hashlib.sha256()
    for path in paths:
        digest.update(path.relative_to(site).as_posix().encode() + b"\0" + path.read_bytes())
    files = [path.relative_to(site).as_posix() for path in paths]
    content = json.dumps({"version": digest.hexdigest()[:16], "files": files})
    (site / LIST).write_text(f"self.FILES = {content};\n", encoding="utf-8")


def _kept(path: Path) -> bool:
    return path.as_posix() not in LEFT_OUT and path.parts[0] not in LEFT_OUT_FOLDERS
