"""The file beside its place that a new one is written into: held by a run at work, else cleared away."""

from __future__ import annotations

import os
import stat
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

try:
    import fcntl
except ImportError:  # Windows, where a file that is open cannot be deleted
    fcntl = None  # type: ignore[assignment]

END = ".tmp"

# Where no file can be held, one that was last written to so many seconds ago is of no run at work.
LONGEST_WRITING = 600


@contextmanager
def scratch_file(path: Path) -> Iterator[tuple[int, str]]:
    """Make a file beside a path, and give its descriptor and name; whoever takes them closes the first.

    At the end nothing is left under that name. What ended runs have left for the same path goes first.
    """
    _clear(path)
    descriptor, name = _made(path)
    # No longer open in this run, it could not be told from one left behind; but Windows moves no open file.
    held = os.dup(descriptor) if fcntl else None
    try:
        yield descriptor, name
    finally:
        with suppress(OSError):
            os.unlink(name)
        if held is not None:
            os.close(held)


def _start(path: Path) -> str:
    # A name may have 255 bytes, and a sign has up to four.
    return f".{path.name[:40]}.weavefuncs-"


def _made(path: Path) -> tuple[int, str]:
    while True:
        descriptor, name = tempfile.mkstemp(prefix=_start(path), suffix=END, dir=path.parent)
        # Another run may have cleared it away before it was held.
        if _is_free(descriptor) is not False and os.path.lexists(name):
            return descriptor, name
        os.close(descriptor)


def _is_free(descriptor: int) -> bool | None:
    """Hold a file unless a run does; None on a disk, or in a system, where no file can be held."""
    if fcntl is None:
        return None
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        return None
    return True


def _clear(path: Path) -> None:
    """Delete what runs that were ended while they wrote have left beside a path."""
    with suppress(OSError), os.scandir(path.parent) as entries:
        for entry in entries:
            if entry.name.startswith(_start(path)) and entry.name.endswith(END):
                with suppress(OSError):
                    _clear_one(entry)


def _clear_one(entry: os.DirEntry[str]) -> None:
    status = entry.stat(follow_symlinks=False)
    if not stat.S_ISREG(status.st_mode):
        return
    descriptor = os.open(entry.path, os.O_RDWR)
    try:
        free = _is_free(descriptor)
        if free:
            os.unlink(entry.path)
    finally:
        os.close(descriptor)
    if free is None and time.time() - status.st_mtime > LONGEST_WRITING:
        os.unlink(entry.path)
