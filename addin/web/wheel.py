"""Write the wheel that Pyodide runs: the functions, their data, the cell adapter, the bridge to the page."""

from __future__ import annotations

import base64
import hashlib
import zipfile
from pathlib import Path
from typing import TYPE_CHECKING

from weavefuncs.addin.travels import travelling

if TYPE_CHECKING:
    from collections.abc import Iterator

# A zip file cannot say "no date"; this is the first that it can say.
NO_DATE = (1980, 1, 1, 0, 0, 0)
READABLE_FILE = 0o100644 << 16

METADATA = "Metadata-Version: 2.1\nName: weavefuncs\nVersion: {version}\n"
KIND = "Wheel-Version: 1.0\nGenerator: weavefuncs\nRoot-Is-Purelib: true\nTag: py3-none-any\n"


def write_wheel(folder: Path, version: str) -> Path:
    """Write the wheel, the same bytes each time, and return its path."""
    path = folder / f"weavefuncs-{version}-py3-none-any.whl"
    information = f"weavefuncs-{version}.dist-info"
    files = {f"weavefuncs/{name}": source.read_bytes() for name, source in sorted(_sources())}
    files[f"{information}/METADATA"] = METADATA.format(version=version).encode()
    files[f"{information}/WHEEL"] = KIND.encode()
    record = f"{information}/RECORD"
    files[record] = "".join(_recorded(files, record)).encode()
    with zipfile.ZipFile(path, "w") as archive:
        for name, content in files.items():
            member = zipfile.ZipInfo(name, NO_DATE)
            member.external_attr = READABLE_FILE
            member.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(member, content)
    return path


def _sources() -> Iterator[tuple[str, Path]]:
    yield from travelling().items()
    for name in ("__init__.py", "bridge.py"):
        yield f"addin/web/{name}", Path(__file__).with_name(name)


def _recorded(files: dict[str, bytes], record: str) -> Iterator[str]:
    for name, content in files.items():
        digest = base64.urlsafe_b64encode(hashlib.sha256(content).digest()).decode().rstrip("=")
        yield f"{name},sha256={digest},{len(content)}\n"
    yield f"{record},,\n"
