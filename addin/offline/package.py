"""The zip container of a workbook: opened with suspicion, copied byte for byte.

Only the members that changed are compressed again; every other local record is copied as the raw bytes it
was, in its place, so that dates, order, compression and whatever else a program wrote there survive.
"""

import struct
import zipfile
import zlib
from collections.abc import Mapping
from io import BytesIO
from pathlib import PurePath

from .problems import WorkbookProblem

MAX_FILE = 256 * 2**20
MAX_MEMBERS = 10_000
MAX_TOTAL = 512 * 2**20
MAX_RATIO = 300  # deflate ends near 1,030; real sheets of repeated rows stay below 100
RATIO_FROM = 2**20  # a member smaller than this cannot hurt whatever its ratio

_OLE = bytes.fromhex("d0cf11e0a1b11ae1")
_LOCAL = struct.Struct("<4s5H3I2H")
_CENTRAL = struct.Struct("<4s6H3I5H2I")
_END = struct.Struct("<4s4H2IH")
_ENCRYPTED, _DESCRIPTOR = 0x1, 0x8
_READABLE = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_ERRORS = (zipfile.BadZipFile, zlib.error, EOFError, struct.error, NotImplementedError, ValueError)


class Package:
    """An opened workbook file: members read on demand, and a copy with some of them replaced."""

    def __init__(self, data: bytes, name: str):
        self.data = data
        self.name = name
        self._refuse_other_formats()
        try:
            self._zip = zipfile.ZipFile(BytesIO(data))
        except _ERRORS as error:
            raise WorkbookProblem(
                f"{name} is no .xlsx or .xlsm workbook, or it is damaged or cut short ({error})."
            ) from None
        self._infos = self._zip.infolist()
        self._check_directory()
        self.members = {info.filename: info for info in self._infos}

    def _refuse_other_formats(self) -> None:
        if not self.data:
            raise WorkbookProblem(f"{self.name} is empty.")
        if self.data.startswith(_OLE):
            raise WorkbookProblem(
                f"{self.name} is an old .xls workbook or is protected by a password. "
                "Save it as .xlsx without a password to open it, and try again."
            )
        if b"application/vnd.oasis.opendocument" in self.data[:200]:
            raise WorkbookProblem(
                f"{self.name} is an OpenDocument file. Open it in Calc, choose File, Save As, the file type "
                f"Excel 2007-365 (.xlsx) and the name {PurePath(self.name).stem}.xlsx, and try again with "
                "that file; Calc works in it as in the other."
            )

    def _check_directory(self) -> None:
        if len(self._infos) > MAX_MEMBERS:
            raise WorkbookProblem(f"{self.name} holds {len(self._infos)} parts; {MAX_MEMBERS} is the most.")
        seen: set[str] = set()
        total = 0
        for info in self._infos:
            self._check_member(info)
            if info.filename.casefold() in seen:
                raise WorkbookProblem(f"{self.name} holds the part {info.filename} twice.")
            seen.add(info.filename.casefold())
            total += info.file_size
        if total > MAX_TOTAL:
            raise WorkbookProblem(f"{self.name} unpacks to {total} bytes; {MAX_TOTAL} is the most.")

    def _check_member(self, info: zipfile.ZipInfo) -> None:
        name = info.orig_filename
        parts = name.split("/")
        if name.startswith("/") or "\\" in name or "\0" in name or ":" in parts[0] or ".." in parts:
            raise WorkbookProblem(f"{self.name} holds a part with the unsafe name {name!r}.")
        if info.flag_bits & _ENCRYPTED:
            raise WorkbookProblem(f"{self.name} is protected by a password: remove it, and try again.")
        if info.compress_type not in _READABLE:
            raise WorkbookProblem(f"{self.name} packs the part {name} in a way that workbooks do not use.")
        if info.file_size > RATIO_FROM and info.file_size > MAX_RATIO * max(info.compress_size, 1):
            raise WorkbookProblem(
                f"{self.name} unpacks suspiciously: its part {name} grows more than {MAX_RATIO} times."
            )

    def read(self, member: str) -> bytes:
        """Return the unpacked bytes of a member, never more than its directory entry promised."""
        info = self.members.get(member)
        if info is None:
            raise WorkbookProblem(f"{self.name} lacks the part {member}.")
        try:
            with self._zip.open(info) as stream:
                content = stream.read(info.file_size + 1)
        except _ERRORS as error:
            raise WorkbookProblem(f"{self.name}: the part {member} is damaged ({error}).") from None
        if len(content) != info.file_size:
            raise WorkbookProblem(f"{self.name}: the part {member} is not as long as it says.")
        return content

    def with_replaced(self, replaced: Mapping[str, bytes]) -> bytes:
        """Return the bytes of the same zip file with some members' contents replaced."""
        try:
            return self._copy(replaced)
        except _ERRORS as error:
            raise WorkbookProblem(f"{self.name} has a damaged zip directory ({error}).") from None

    def _copy(self, replaced: Mapping[str, bytes]) -> bytes:
        start, end = self._directory_bounds()
        infos = sorted(self._infos, key=lambda info: info.header_offset)
        out: list[bytes] = [self.data[: infos[0].header_offset]]
        position = infos[0].header_offset
        placed: dict[str, tuple[int, tuple[int, int, int] | None]] = {}
        for info, following in zip(
            infos, [*(other.header_offset for other in infos[1:]), start], strict=True
        ):
            record = self.data[info.header_offset : following]
            sizes = None
            if info.filename in replaced:
                record, sizes = self._record(info, replaced[info.filename])
            placed[info.filename] = position, sizes
            out.append(record)
            position += len(record)
        directory = self._directory(start, placed)
        tail = bytearray(self.data[end:])
        signature, disk, first, here, count, _, _, comment = _END.unpack_from(tail)
        _END.pack_into(tail, 0, signature, disk, first, here, count, len(directory), position, comment)
        return b"".join([*out, directory, bytes(tail)])

    def _directory_bounds(self) -> tuple[int, int]:
        """Where the central directory begins, and where the record that ends it does."""
        end = self.data.rfind(b"PK\5\6")
        fields = _END.unpack_from(self.data, end)
        size, start = fields[5], fields[6]
        # A zip64 file, or one behind foreign bytes, would need other offsets than those written here.
        if start + size != end or self.data[start : start + 4] != b"PK\1\2":
            raise zipfile.BadZipFile("unusual layout")
        return start, end

    def _record(self, info: zipfile.ZipInfo, content: bytes) -> tuple[bytes, tuple[int, int, int]]:
        fields = list(_LOCAL.unpack_from(self.data, info.header_offset))
        name_at = info.header_offset + _LOCAL.size
        name_and_extra = self.data[name_at : name_at + fields[9] + fields[10]]
        packed = content
        if info.compress_type == zipfile.ZIP_DEFLATED:
            packer = zlib.compressobj(6, zlib.DEFLATED, -15)
            packed = packer.compress(content) + packer.flush()
        sizes = zlib.crc32(content), len(packed), len(content)
        fields[2] &= ~_DESCRIPTOR  # the sizes stand in the header, not behind the data
        fields[6:9] = sizes
        return _LOCAL.pack(*fields) + name_and_extra + packed, sizes

    def _directory(self, start: int, placed: Mapping[str, tuple[int, tuple[int, int, int] | None]]) -> bytes:
        out = []
        at = start
        for info in self._infos:
            fields = list(_CENTRAL.unpack_from(self.data, at))
            length = _CENTRAL.size + fields[10] + fields[11] + fields[12]
            offset, sizes = placed[info.filename]
            if sizes is not None:
                fields[3] &= ~_DESCRIPTOR
                fields[7:10] = sizes
            fields[16] = offset
            out.append(_CENTRAL.pack(*fields) + self.data[at + _CENTRAL.size : at + length])
            at += length
        return b"".join(out)
