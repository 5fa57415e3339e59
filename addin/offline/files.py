"""The workbook file on disk: read once, replaced in one step."""

import errno
import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from .package import MAX_FILE
from .problems import WorkbookProblem
from .scratch import scratch_file

Stamp = tuple[int, int, int]

_ANYONE_WRITES = stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH


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
            raise not_a_file(path)
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


def refuse_unwritable(path: Path) -> None:
    """Refuse to write a workbook that is no file, write-protected, or open in a spreadsheet program.

    The folder alone decides whether a file can be replaced, so the file's own protection is asked for here.
    That a program has it open tells the file which it puts beside it.
    """
    if os.path.exists(path) and not os.path.isfile(path):
        raise not_a_file(path)
    if os.path.exists(path) and not (os.access(path, os.W_OK) and file_mode(path) & _ANYONE_WRITES):
        raise WorkbookProblem(f"{path.name} is write-protected: take that off, or write a copy.")
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
    with _beside(path, data, mode) as name:
        if unchanged_since is not None and _stamp_at(path) != unchanged_since:
            raise WorkbookProblem(
                f"{path.name} was changed by another program meanwhile; nothing was written."
            )
        os.replace(name, path)


def create_file(path: Path, data: bytes, mode: int) -> None:
    """Put a file where there is none, in one step; one that appeared there meanwhile is kept."""
    with _beside(path, data, mode) as name:
        try:
            os.link(name, path)
        except FileExistsError:
            raise there_already(path) from None
        except OSError:  # a disk that knows no links, such as a memory stick
            if os.path.lexists(path):
                raise there_already(path) from None
            os.rename(name, path)


def there_already(path: Path) -> WorkbookProblem:
    """Return the problem that a file to write is there."""
    return WorkbookProblem(f"{path.name} is there already: choose another name for the new planner.")


def not_a_file(path: Path) -> WorkbookProblem:
    """Return the problem that a folder, a device or a pipe stands where a file is meant."""
    return WorkbookProblem(f"{path} is not a file.")


def file_mode(path: Path) -> int:
    """Return a file's permission bits."""
    return stat.S_IMODE(path.stat().st_mode)


@contextmanager
def _beside(path: Path, data: bytes, mode: int) -> Iterator[str]:
    """Write a file beside a path, whole and on the disk, to be moved there; else nothing is left of it."""
    try:
        with scratch_file(path) as (descriptor, name):
            with os.fdopen(descriptor, "wb") as stream:
                stream.write(data)
                stream.flush()
                os.fsync(stream.fileno())
            _give(name, path)
            os.chmod(name, mode)
            yield name
    except OSError as error:
        raise WorkbookProblem(_reason(path, error)) from None
    _settle(path.parent)


def _give(name: str, path: Path) -> None:
    """Let a file belong to whom the one in its place belongs, as far as that is allowed."""
    if hasattr(os, "chown"):
        with suppress(OSError):
            old = path.stat()
            os.chown(name, old.st_uid, old.st_gid)


def _stamp_at(path: Path) -> Stamp | None:
    try:
        return _stamp(path.stat())
    except FileNotFoundError:
        return None


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
    return f"{path.name} cannot be written ({error.strerror or error})."
