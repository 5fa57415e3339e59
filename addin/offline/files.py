"""The workbook file on disk: read once, replaced in one step."""

import errno
import os
import stat
import tempfile
from contextlib import suppress
from pathlib import Path

from .package import MAX_FILE
from .problems import WorkbookProblem

Stamp = tuple[int, int, int]


def full_path(path: str | os.PathLike[str]) -> Path:
    """Return where a path leads, links followed, so that a link stays a link when its file is replaced."""
    try:
        return Path(path).resolve()
    except (OSError, RuntimeError, ValueError) as error:
        raise WorkbookProblem(f"{os.fspath(path)!r} is no path to a file ({error}).") from None


def read_file(path: Path) -> tuple[bytes, Stamp]:
    """Return a file's bytes, and a stamp by which to tell whether it was changed since."""
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            raise WorkbookProblem(f"{path} is not a file.")
        with path.open("rb") as stream:
            status = os.fstat(stream.fileno())
            if status.st_size > MAX_FILE:
                raise WorkbookProblem(f"{path.name} has {status.st_size} bytes; {MAX_FILE} is the most.")
            return stream.read(), _stamp(status)
    except FileNotFoundError:
        raise WorkbookProblem(f"There is no file {path}.") from None
    except PermissionError:
        raise WorkbookProblem(
            f"{path.name} may not be read: it is open in another program, or it belongs to another user."
        ) from None
    except (OSError, ValueError) as error:
        raise WorkbookProblem(f"{path.name} cannot be read ({error}).") from None


def refuse_open_elsewhere(path: Path) -> None:
    """Refuse to write a workbook that a spreadsheet program has open, as the file it puts beside it tells."""
    for lock in (f"~${path.name}", f".~lock.{path.name}#"):
        if os.path.lexists(path.parent / lock):
            raise WorkbookProblem(
                f"{path.name} is open in a spreadsheet program: close it there, and try again. "
                f"If it is not, a crash has left the file {lock} behind: delete that."
            )


def replace_file(path: Path, data: bytes, mode: int, unchanged_since: Stamp | None) -> None:
    """Put a new file in a path's place in one step: after a crash it is the old one or the new one, whole.

    With a stamp the old file is kept, and a problem raised, when someone has changed it since.
    """
    try:
        descriptor, name = tempfile.mkstemp(prefix=f".{path.name[:100]}.", suffix=".tmp", dir=path.parent)
    except OSError as error:
        raise WorkbookProblem(_reason(path, error)) from None
    try:
        with os.fdopen(descriptor, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(name, mode)
        if unchanged_since is not None and _stamp(path.stat()) != unchanged_since:
            raise WorkbookProblem(
                f"{path.name} was changed by another program meanwhile; nothing was written."
            )
        os.replace(name, path)
    except BaseException as error:
        with suppress(OSError):
            os.unlink(name)
        if isinstance(error, OSError):
            raise WorkbookProblem(_reason(path, error)) from None
        raise
    _settle(path.parent)


def file_mode(path: Path) -> int:
    """Return a file's permission bits."""
    return stat.S_IMODE(path.stat().st_mode)


def _stamp(status: os.stat_result) -> Stamp:
    return status.st_ino, status.st_size, status.st_mtime_ns


def _settle(folder: Path) -> None:
    """Have the folder's new entry on disk too, where folders can be opened for that."""
    with suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def _reason(path: Path, error: OSError) -> str:
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return (
            f"{path.name} cannot be written: it is open in another program, "
            f"or {path.parent} is write-protected."
        )
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return f"There is no room left on the disk to write {path.name}; it is as it was."
    if error.errno in (errno.ENOENT, errno.ENOTDIR):
        return f"There is no folder {path.parent}."
    return f"{path.name} cannot be written ({error})."
