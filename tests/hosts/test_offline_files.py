"""Files that are wrong, hostile or busy: one clear sentence, nothing changed; a crash leaves no half file."""

import errno
import os
import random
import signal
import struct
import subprocess
import sys
import time
import zipfile
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pytest
import xlsxwriter

from weavefuncs.addin.offline import WorkbookProblem, files, recalculate, scratch
from weavefuncs.addin.offline import package as package_module
from weavefuncs.addin.offline.package import Package

FUNCTIONS = {"WEAVE.ONE": lambda arguments: 1.0}
SHEET = "xl/worksheets/sheet1.xml"


def workbook(path: Path, rows: int = 3) -> bytes:
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet("Plan")
    sheet.write("C1", "some text")
    for row in range(rows):
        sheet.write_number(row, 0, row)
        sheet.write_formula(row, 1, f"=A{row + 1}+WEAVE.ONE()")
    sheet.add_table("E1:F3", {"name": "Stash"})
    book.close()
    return path.read_bytes()


def changed(data: bytes, member: str, edit: Callable[[bytes], bytes | None]) -> bytes:
    """The workbook with one part edited, or left out."""
    out = BytesIO()
    with zipfile.ZipFile(BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for info in old.infolist():
            part = edit(old.read(info)) if info.filename == member else old.read(info)
            if part is not None:
                new.writestr(info.filename, part)
    return out.getvalue()


def added(data: bytes, name: str, content: bytes = b"<x/>") -> bytes:
    out = BytesIO(data)
    with zipfile.ZipFile(out, "a", zipfile.ZIP_DEFLATED) as new:
        new.writestr(zipfile.ZipInfo(name), content, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def refused(path: Path, data: bytes, match: str) -> None:
    """Recalculating is refused with this sentence, and nothing in the folder changed."""
    path.write_bytes(data)
    with pytest.raises(WorkbookProblem, match=match):
        recalculate(path, functions=FUNCTIONS)
    assert path.read_bytes() == data
    assert [entry.name for entry in path.parent.iterdir()] == [path.name]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "plan.xlsx"


OLE = bytes.fromhex("d0cf11e0a1b11ae1")


@pytest.mark.parametrize(
    ("data", "match"),
    [
        (b"", "is empty"),
        (b"name,count\nwool,3\n", "is no .xlsx or .xlsm workbook"),
        (OLE + b"\0" * 600, r"old \.xls workbook or is protected by a password"),
        (b"PK\5\6" + b"\0" * 18, "no .xlsx or .xlsm workbook"),
    ],
    ids=["empty", "text", "OLE", "empty zip"],
)
def test_no_workbook_at_all(path: Path, data: bytes, match: str) -> None:
    refused(path, data, match)


def test_other_zip_files(path: Path) -> None:
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as new:
        new.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        new.writestr("content.xml", "<x/>")
    refused(
        path, out.getvalue(), r"OpenDocument file\..* Save As, .*\(\.xlsx\) and the name plan\.xlsx, and try"
    )
    binary = changed(
        workbook(path), "_rels/.rels", lambda part: part.replace(b"xl/workbook.xml", b"xl/workbook.bin")
    )
    refused(path, added(binary, "xl/workbook.bin", b"\x83\x01"), "is a binary workbook")
    refused(path, added(added(b"PK\5\6" + b"\0" * 18, "a.txt"), "[Content_Types].xml"), "no .xlsx or .xlsm")


def test_cut_short_at_every_length(path: Path) -> None:
    whole = workbook(path)
    for length in range(1, len(whole) - 1, 97):
        refused(path, whole[:length], "plan.xlsx")


def test_damaged_bytes_are_refused_or_harmless(path: Path) -> None:
    whole = bytearray(workbook(path))
    draw = random.Random(7)
    for _ in range(150):
        data = bytearray(whole)
        for _ in range(draw.randint(1, 4)):
            data[draw.randrange(len(data))] = draw.randrange(256)
        path.write_bytes(data)
        try:
            recalculate(path, functions=FUNCTIONS)
        except WorkbookProblem:
            assert path.read_bytes() == data


@pytest.mark.parametrize("name", ["../evil", "/etc/x", "a\\b", "c:/x", "xl/../../x"])
def test_unsafe_part_names(path: Path, name: str) -> None:
    refused(path, added(workbook(path), name), "unsafe name")


def test_part_twice(path: Path) -> None:
    with pytest.warns(UserWarning, match="Duplicate name"):
        data = added(workbook(path), SHEET)
    refused(path, data, "twice")
    refused(path, added(workbook(path), SHEET.upper()), "twice")


def test_bombs(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    refused(path, added(workbook(path), "xl/media/big.bin", b"\0" * 2**23), "grows more than")
    monkeypatch.setattr(package_module, "MAX_TOTAL", 10_000)
    refused(path, workbook(path), "unpacks to")
    monkeypatch.setattr(package_module, "MAX_MEMBERS", 5)
    refused(path, workbook(path), "parts; 5 is the most")


def test_a_part_longer_than_its_directory_says(path: Path) -> None:
    data = bytearray(workbook(path))
    with zipfile.ZipFile(BytesIO(data)) as package:
        info = package.getinfo(SHEET)
        at = data.index(SHEET.encode(), package.start_dir) - 46
    assert struct.unpack_from("<I", data, at + 24)[0] == info.file_size
    struct.pack_into("<I", data, at + 24, 40)
    refused(path, bytes(data), "is damaged|not as long as it says")


def test_password_and_unknown_packing(path: Path) -> None:
    data = bytearray(workbook(path))
    with zipfile.ZipFile(BytesIO(data)) as package:
        at = data.index(SHEET.encode(), package.start_dir) - 46
    encrypted = bytearray(data)
    encrypted[at + 8] |= 1
    refused(path, bytes(encrypted), "protected by a password")
    struct.pack_into("<H", data, at + 10, 12)
    refused(path, bytes(data), "in a way that workbooks do not use")


ENTITIES = b'<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;">]>'


@pytest.mark.parametrize(
    "member",
    [SHEET, "xl/workbook.xml", "xl/sharedStrings.xml", "xl/tables/table1.xml", "xl/_rels/workbook.xml.rels"],
)
def test_document_types_are_refused(path: Path, member: str) -> None:
    data = workbook(path)
    refused(
        path,
        changed(data, member, lambda part: part.replace(b"?>\n", b"?>\n" + ENTITIES, 1)),
        "document type",
    )
    external = b'<!DOCTYPE x SYSTEM "file:///etc/passwd">'
    refused(
        path,
        changed(data, member, lambda part: part.replace(b"?>\n", b"?>\n" + external, 1)),
        "document type",
    )
    refused(path, changed(data, member, lambda part: part[:-20]), "is damaged")
    refused(
        path, changed(data, member, lambda part: b"\xff\xfe" + part.decode().encode("utf-16-le")), "plan.xlsx"
    )


@pytest.mark.parametrize("member", ["xl/workbook.xml", "xl/sharedStrings.xml"])
def test_endless_nesting(path: Path, member: str) -> None:
    nested = b"<a>" * 50_000 + b"</a>" * 50_000
    refused(path, changed(workbook(path), member, lambda _: nested), "more than 100 deep")


def test_missing_parts(path: Path) -> None:
    data = workbook(path)
    refused(path, changed(data, SHEET, lambda _: None), "sheet Plan is missing")
    refused(path, changed(data, "xl/workbook.xml", lambda _: None), "no .xlsx or .xlsm workbook")
    refused(path, changed(data, "xl/_rels/workbook.xml.rels", lambda _: None), "sheet Plan is missing")
    refused(path, changed(data, "xl/sharedStrings.xml", lambda _: None), "lacks the part")
    refused(path, changed(data, "xl/tables/table1.xml", lambda _: None), "lacks the part")
    refused(path, changed(data, "[Content_Types].xml", lambda _: None), "no .xlsx or .xlsm workbook")


@pytest.mark.parametrize(
    ("old", "new", "match"),
    [
        (b't="s"><v>0<', b't="s"><v>99<', "shared text '99'"),
        (b't="s"><v>0<', b't="s"><v>-1<', "shared text '-1'"),
        (b'r="A2"', b'r="XFE2"', "no sheet has room"),
        (b'r="A2"', b'r="A1048577"', "no sheet has room"),
        (b'r="A2"', b'r="A0"', "no sheet has room"),
        (b'r="A2"', b'r="A99999999999999999999"', "no sheet has room"),
        (b'<row r="2"', b'<row r="9999999"', "row numbered"),
        (b'"A3"><v>2</v>', b'"A3"><v>two</v>', "is not understood"),
        (b'"A3"><v>2</v>', b'"A3"><v>nan</v>', "is not understood"),
        (b'"A3"><v>2</v>', b'"A3"><v>1e999</v>', "is not understood"),
    ],
)
def test_nonsense_in_cells(path: Path, old: bytes, new: bytes, match: str) -> None:
    data = workbook(path)

    def edit(part: bytes) -> bytes:
        assert old in part
        return part.replace(old, new, 1)

    refused(path, changed(data, SHEET, edit), match)


def test_far_apart_cells_are_no_large_grid(path: Path) -> None:
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet()
    sheet.write_formula("A1", "=XFD1048576+1")
    sheet.write_number("XFD1048576", 41)
    sheet.write_formula("XFD1", "=SUM(A:A)*0+7")
    book.close()
    report = recalculate(path)
    assert report.value("Sheet1", "A1") == 42
    assert report.value("Sheet1", "XFD1") == 7


def test_paths_that_lead_nowhere(tmp_path: Path, path: Path) -> None:
    with pytest.raises(WorkbookProblem, match="There is no file"):
        recalculate(path)
    with pytest.raises(WorkbookProblem, match="is not a file"):
        recalculate(tmp_path)
    os.mkfifo(tmp_path / "pipe.xlsx")
    with pytest.raises(WorkbookProblem, match="is not a file"):
        recalculate(tmp_path / "pipe.xlsx")
    (tmp_path / "loop.xlsx").symlink_to(tmp_path / "loop.xlsx")
    for nowhere in ("loop.xlsx", "a\0b.xlsx"):
        with pytest.raises(WorkbookProblem, match="no path to a file"):
            recalculate(tmp_path / nowhere)
    workbook(path)
    with pytest.raises(WorkbookProblem, match="There is no folder"):
        recalculate(path, tmp_path / "none" / "x.xlsx", functions=FUNCTIONS)
    with pytest.raises(WorkbookProblem, match="is not a file"):
        recalculate(path, tmp_path, functions=FUNCTIONS)


@pytest.mark.parametrize("lock", ["~$plan.xlsx", ".~lock.plan.xlsx#"])
def test_open_elsewhere(path: Path, lock: str) -> None:
    data = workbook(path)
    path.with_name(lock).write_bytes(b"someone")
    with pytest.raises(WorkbookProblem, match="open in a spreadsheet program"):
        recalculate(path, functions=FUNCTIONS)
    assert path.read_bytes() == data
    assert recalculate(path, check=True, functions=FUNCTIONS).changed == 3
    assert recalculate(path, path.with_name("copy.xlsx"), functions=FUNCTIONS).changed == 3


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EACCES, errno.EROFS, errno.EIO])
@pytest.mark.parametrize("call", ["fsync", "replace", "chmod"])
def test_disk_trouble(path: Path, monkeypatch: pytest.MonkeyPatch, call: str, code: int) -> None:
    data = workbook(path)

    def fail(*_: object) -> None:
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(os, call, fail)
    with pytest.raises(WorkbookProblem, match=r"no room left|cannot be written"):
        recalculate(path, functions=FUNCTIONS)
    assert path.read_bytes() == data
    assert [entry.name for entry in path.parent.iterdir()] == ["plan.xlsx"]


def test_read_only_folder(path: Path) -> None:
    """As a user without rights to the folder, whoever runs the tests."""
    data = workbook(path)
    script = (
        "import os, sys\n"
        "from weavefuncs.addin.offline import recalculate, WorkbookProblem\n"
        "recalculate(sys.argv[1], check=True, functions={'WEAVE.ONE': lambda _: 1.0})\n"
        "if os.geteuid() == 0: os.setgid(65534); os.setuid(65534)\n"
        "try: recalculate(sys.argv[1], functions={'WEAVE.ONE': lambda _: 1.0})\n"
        "except WorkbookProblem as problem: print(problem)\n"
    )
    inner = path.parent / "locked"
    inner.mkdir()
    target = inner / "plan.xlsx"
    target.write_bytes(data)
    target.chmod(0o666)
    open_up = [
        folder for folder in inner.parents if folder.stat().st_uid == os.geteuid() and "pytest" in str(folder)
    ]
    modes = {folder: folder.stat().st_mode for folder in open_up}
    try:
        for folder in open_up:
            folder.chmod(folder.stat().st_mode | 0o055)
        inner.chmod(0o555)
        done = subprocess.run(
            [sys.executable, "-c", script, str(target)], capture_output=True, text=True, check=True
        )
    finally:
        inner.chmod(0o755)
        for folder, mode in modes.items():
            folder.chmod(mode & 0o7777)
    assert "cannot be written" in done.stdout
    assert target.read_bytes() == data


def test_changed_meanwhile_is_not_overwritten(path: Path) -> None:
    data = workbook(path)

    def meddle(_: object) -> float:
        path.write_bytes(data + b" ")
        return 1.0

    with pytest.raises(WorkbookProblem, match="changed by another program"):
        recalculate(path, functions={"WEAVE.ONE": meddle})
    assert path.read_bytes() == data + b" "


@pytest.mark.parametrize("name", ["copy.ods", "copy.xlsm", "copy"])
def test_a_copy_is_named_as_what_it_is(path: Path, name: str) -> None:
    workbook(path)
    with pytest.raises(WorkbookProblem, match=r"a copy of plan\.xlsx must end in \.xlsx"):
        recalculate(path, path.with_name(name), functions=FUNCTIONS)
    assert os.listdir(path.parent) == ["plan.xlsx"]
    recalculate(path, path.with_name("copy.XLSX"), functions=FUNCTIONS)
    assert sorted(os.listdir(path.parent)) == ["copy.XLSX", "plan.xlsx"]


def test_a_link_stays_a_link(tmp_path: Path, path: Path) -> None:
    workbook(path)
    link = tmp_path / "link.xlsx"
    link.symlink_to(path)
    recalculate(link, functions=FUNCTIONS)
    assert link.is_symlink()
    assert recalculate(path, check=True, functions=FUNCTIONS).changed == 0


def test_macros_stay(tmp_path: Path, path: Path) -> None:
    data = added(workbook(path), "xl/vbaProject.bin", OLE + b"macros")
    macro = tmp_path / "plan.xlsm"
    macro.write_bytes(data)
    assert recalculate(macro, functions=FUNCTIONS).changed == 3
    with zipfile.ZipFile(macro) as package:
        assert package.read("xl/vbaProject.bin") == OLE + b"macros"


def test_an_unchanged_copy_is_the_same_bytes(path: Path) -> None:
    data = workbook(path)
    assert Package(data, "plan.xlsx").with_replaced({}) == data


CHILD = """
import os, sys
from weavefuncs.addin.offline import recalculate
print("ready", flush=True)
sys.stdin.readline()
recalculate(sys.argv[1], functions={"WEAVE.ONE": lambda _: 1.0})
"""


def test_killed_at_any_moment_leaves_the_old_or_the_new_file(tmp_path: Path) -> None:
    path = tmp_path / "plan.xlsx"
    old = workbook(path, rows=400)
    started = time.perf_counter()
    subprocess.run([sys.executable, "-c", CHILD, str(path)], input=b"\n", check=True, capture_output=True)
    whole = time.perf_counter() - started
    new = path.read_bytes()
    assert new != old
    seen = set()
    for moment in range(20):
        path.write_bytes(old)
        child = subprocess.Popen(
            [sys.executable, "-c", CHILD, str(path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE
        )
        assert child.stdin is not None
        assert child.stdout is not None
        child.stdout.readline()
        child.stdin.write(b"\n")
        child.stdin.flush()
        time.sleep(whole * moment / 25)
        child.send_signal(signal.SIGKILL)
        child.communicate()
        found = path.read_bytes()
        assert found in (old, new)
        seen.add(found == new)
        for left in tmp_path.iterdir():
            if left != path:
                assert left.name.startswith(".plan.xlsx.")
                left.unlink()
    assert False in seen


@pytest.mark.parametrize("call", ["fsync", "chmod", "replace"])
@pytest.mark.parametrize("late", [False, True])
def test_killed_at_each_step_of_writing(tmp_path: Path, call: str, late: bool) -> None:
    """The moments that matter, exactly: just before and just after each step."""
    path = tmp_path / "plan.xlsx"
    old = workbook(path)
    script = (
        "import os, signal, sys\n"
        "from weavefuncs.addin.offline import recalculate\n"
        f"real = os.{call}\n"
        "def deadly(*given):\n"
        f"    if {late}: real(*given)\n"
        "    os.kill(os.getpid(), signal.SIGKILL)\n"
        f"os.{call} = deadly\n"
        "recalculate(sys.argv[1], functions={'WEAVE.ONE': lambda _: 1.0})\n"
    )
    done = subprocess.run([sys.executable, "-c", script, str(path)], check=False)
    assert done.returncode == -signal.SIGKILL
    if call == "replace" and late:
        assert recalculate(path, check=True, functions=FUNCTIONS).changed == 0
        return
    assert path.read_bytes() == old
    (left,) = [entry.name for entry in tmp_path.iterdir() if entry != path]
    assert left.startswith(".plan.xlsx.weavefuncs-")
    # The next run on that file clears it away; one on another file does not.
    other = tmp_path / "an.xlsx"
    workbook(other)
    recalculate(other, functions=FUNCTIONS)
    assert left in os.listdir(tmp_path)
    recalculate(path, functions=FUNCTIONS)
    assert sorted(os.listdir(tmp_path)) == ["an.xlsx", "plan.xlsx"]


AT_WORK = """
import os, sys
from pathlib import Path
from weavefuncs.addin.offline import files
real = os.replace
def slow(*given):
    print("written", flush=True)
    sys.stdin.readline()
    real(*given)
os.replace = slow
files.replace_file(Path(sys.argv[1]), b"of the slow run", 0o644, None)
"""


def test_the_file_of_a_run_at_work_is_not_cleared_away(tmp_path: Path) -> None:
    path = tmp_path / "plan.xlsx"
    run = subprocess.Popen(
        [sys.executable, "-c", AT_WORK, str(path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    assert run.stdin is not None
    assert run.stdout is not None
    assert run.stdout.readline() == b"written\n"
    files.replace_file(path, b"of another run", 0o644, None)
    assert path.read_bytes() == b"of another run"
    run.communicate(b"\n")
    assert run.returncode == 0
    assert path.read_bytes() == b"of the slow run"
    assert os.listdir(tmp_path) == ["plan.xlsx"]


@pytest.mark.parametrize("system", ["no locks here", "no locks on this disk"])
def test_where_nothing_can_be_held_only_what_is_old_is_cleared_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, system: str
) -> None:
    path = tmp_path / "plan.xlsx"
    old, new, folder, link = (
        tmp_path / f".plan.xlsx.weavefuncs-{name}.tmp" for name in ("old", "new", "folder", "link")
    )
    for left in (old, new):
        left.write_bytes(b"half")
    folder.mkdir()
    link.symlink_to(new)
    an_hour_ago = time.time() - 3600
    for entry in (old, folder):
        os.utime(entry, (an_hour_ago, an_hour_ago))

    def refuse(*_: object) -> None:
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    if system == "no locks here":
        monkeypatch.setattr(scratch, "fcntl", None)
    else:
        monkeypatch.setattr(scratch.fcntl, "flock", refuse)
    files.replace_file(path, b"whole", 0o644, None)
    assert path.read_bytes() == b"whole"
    assert sorted(tmp_path.iterdir()) == sorted([path, new, folder, link])
