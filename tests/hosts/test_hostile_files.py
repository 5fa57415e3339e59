"""Files made to do harm, and moments at which things go wrong, for every command that touches a user's files.

The long versions are ``tests/trust/hostile_files.py`` and ``tests/trust/kill_moments.py``.
"""

from __future__ import annotations

import io
import os
import re
import signal
import subprocess
import sys
import threading
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from openpyxl.utils.datetime import CALENDAR_MAC_1904, CALENDAR_WINDOWS_1900

from weavefuncs.addin.cli import main
from weavefuncs.addin.offline import WorkbookProblem, files, recalculate
from weavefuncs.errors import WeaveError
from weavefuncs.tables import read_stash, write_csv
from weavefuncs.workbooks import EXAMPLES, write_planner
from weavefuncs.workbooks.upgrade import new_file

sys.path.insert(0, str(Path(__file__).parent))
from light_planner import build_light

FUNCTIONS = {"WEAVE.ONE": lambda arguments: 1.0}
SHEET, BOOK, TABLE = "xl/worksheets/sheet1.xml", "xl/workbook.xml", "xl/tables/table1.xml"
COMMANDS = {
    "recalc": ["recalc", "plan.xlsx"],
    "solve": ["solve", "plan.xlsx"],
    "upgrade": ["upgrade", "plan.xlsx", "new.xlsx"],
    "export": ["export", "plan.xlsx", "out"],
    "stash": ["stash", "plan.xlsx", "planner.xlsx", "new.xlsx"],
}


def workbook() -> bytes:
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out)
    sheet = book.add_worksheet("Plan")
    sheet.write_column("A1", ["some text", 1, 2])
    sheet.write_formula("B1", "=A2+WEAVE.ONE()")
    sheet.add_table("E1:F3", {"name": "Stash"})
    book.define_name("Plan!Own", "=Plan!$A$2")
    book.close()
    return out.getvalue()


WORKBOOK = workbook()


def changed(member: str, edit: Callable[[bytes], bytes]) -> bytes:
    """The workbook with one part edited."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(WORKBOOK)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for info in old.infolist():
            part = old.read(info)
            if info.filename == member:
                edited = edit(part)
                assert edited != part
                part = edited
            new.writestr(info.filename, part)
    return out.getvalue()


def with_cells(cells: str) -> bytes:
    row = f'<row r="20">{cells}</row></sheetData>'.encode()
    return changed(SHEET, lambda part: part.replace(b"</sheetData>", row))


LONG = "x" * 40_000
ENTITIES = b'?><!DOCTYPE x [<!ENTITY a "x"><!ENTITY b "&a;&a;">]>'
TO_A_TERMINAL = b'name="\xc2\x9b2J" sheetId="1" r:id="none"'


def with_heads(count: str) -> bytes:
    written = f' headerRowCount="{count}" ref="'.encode()
    return changed(TABLE, lambda part: part.replace(b' ref="', written, 1))


TRAPS = {
    "a member with a NUL": WORKBOOK.replace(b"docProps/app.xml", b"docProps/a\0p.xml"),
    "a name of sheet ²": changed(BOOK, lambda part: part.replace(b'SheetId="0"', 'SheetId="²"'.encode())),
    "a table with ² heads": with_heads("²"),
    "a table with endless heads": with_heads("9" * 5000),
    "a text out of range": with_cells('<c r="A20" t="s"><v>00000000099999999999</v></c>'),
    "a row out of range": changed(
        SHEET, lambda part: part.replace(b'<row r="2"', b'<row r="00000000199999999"')
    ),
    "no date": with_cells('<c r="A20" t="d"><v>2020-13-41</v></c>'),
    "another root": changed(BOOK, lambda _: b"<html/>"),
    "a type without end": with_cells(f'<c r="A20" t="{LONG}"><v>1</v></c>'),
    "a part without end": changed(
        "xl/_rels/workbook.xml.rels", lambda part: part.replace(b"worksheets/sheet1.xml", LONG.encode())
    ),
    "entities": changed(SHEET, lambda part: part.replace(b"?>", ENTITIES, 1)),
    "a name that commands a terminal": changed(
        BOOK, lambda part: part.replace(b'name="Plan" sheetId="1" r:id="rId1"', TO_A_TERMINAL)
    ),
}


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("trap", TRAPS)
def test_every_command_tells_in_a_sentence(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    trap: str,
    command: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "plan.xlsx"
    path.write_bytes(TRAPS[trap])
    assert main(COMMANDS[command]) == 2
    told = capsys.readouterr().err.splitlines()[-1]
    assert told.startswith(f"weavefuncs {command}: ")
    assert len(told) < 700
    assert told.isprintable()
    assert path.read_bytes() == TRAPS[trap]
    assert os.listdir(tmp_path) == ["plan.xlsx"]


def test_a_list_that_would_fill_the_memory_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One cell in the last corner is no list of 17 thousand million cells."""
    path = tmp_path / "list.xlsx"
    book = xlsxwriter.Workbook(path)
    book.add_worksheet().write_number("XFD1048576", 1)
    book.close()
    with pytest.raises(WeaveError, match="a table of at most 5,000,000 cells"):
        read_stash(path)
    monkeypatch.setattr("weavefuncs.tables._workbook.MOST_UNPACKED", 1000)
    with pytest.raises(WeaveError, match="it unpacks to"):
        read_stash(path)
    path.with_suffix(".csv").write_text("name,length left\n" + "x" * 200_000 + ",3\n", "utf-8")
    with pytest.raises(WeaveError, match="a table in CSV"):
        read_stash(path.with_suffix(".csv"))
    monkeypatch.setattr("weavefuncs.tables._workbook.MOST_CELLS", 10)
    path.with_suffix(".csv").write_text("name,length left\n" + "a,3\n" * 5, "utf-8")
    with pytest.raises(WeaveError, match="a table of at most 10 cells"):
        read_stash(path.with_suffix(".csv"))


WHOLE = "A1:XFD1048576"
END = "</sheetData>"
CHECK = f"<dataValidation sqref='{WHOLE}'><formula1>1</formula1></dataValidation>"
LARGE = {
    "links": (END, f"{END}<hyperlinks><hyperlink ref='{WHOLE}' location='A1'/></hyperlinks>"),
    "checks": (END, f"{END}<dataValidations>{CHECK}</dataValidations>"),
    "columns": ("<sheetData>", "<cols><col min='1' max='16384' width='9'/></cols><sheetData>"),
    "a dimension": ("A1:B3", WHOLE),
    "no dimension": ("A1:B3", ""),
    "a look in the last corner": (END, f"<row r='1048576'><c r='XFD1048576' s='0'/></row>{END}"),
}
ENDLESS = {
    "merged cells": (END, f"{END}<mergeCells>{'<mergeCell/>' * 2000}</mergeCells>"),
    "links": (END, f"{END}<hyperlinks>{'<hyperlink/>' * 2000}</hyperlinks>"),
    "a row": (END, f"<row>{'<c/>' * 20_000}</row>{END}"),
    "a row far off": (END, f"<row r='999999999'><c><v>1</v></c></row>{END}"),
    "depth": (END, END + "<a>" * 200 + "</a>" * 200),
}


def a_list(path: Path, old: str, new: str) -> Path:
    """Two yarns, in a sheet of which one text is replaced."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out)
    sheet = book.add_worksheet()
    for row, line in enumerate((["name", "length left"], ["Snow", 100], ["Sea", 50])):
        sheet.write_row(row, 0, line)
    book.close()
    with zipfile.ZipFile(out) as given, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        for info in given.infolist():
            part = given.read(info)
            if info.filename == SHEET:
                assert old.encode() in part
                part = part.replace(old.encode(), new.encode(), 1)
            made.writestr(info.filename, part)
    return path


@pytest.mark.parametrize("large", LARGE)
def test_a_list_is_read_around_what_only_seems_large(tmp_path: Path, large: str) -> None:
    read = read_stash(a_list(tmp_path / "list.xlsx", *LARGE[large]))
    assert read.yarns["name"].tolist() == ["Snow", "Sea"]
    assert read.problems.empty


@pytest.mark.parametrize("endless", ENDLESS)
def test_a_list_with_too_much_of_anything_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, endless: str
) -> None:
    monkeypatch.setattr("weavefuncs.tables._workbook.MOST_BESIDE", 1000)
    with pytest.raises(WeaveError, match=r"holds more than|at most 5,000,000 cells"):
        read_stash(a_list(tmp_path / "list.xlsx", *ENDLESS[endless]))


def test_merged_cells_as_large_as_a_sheet_hide_what_is_under_them(tmp_path: Path) -> None:
    merged = f"{END}<mergeCells><mergeCell ref='B2:XFD1048576'/></mergeCells>"
    read = read_stash(a_list(tmp_path / "list.xlsx", END, merged))
    assert read.yarns["name"].tolist() == ["Snow"]
    told = read.problems[["row", "column"]].to_numpy().tolist()
    assert told == [[3, "length left"], [3, "weighed"]]  # neither length nor weight is left
    assert "merged with other cells (B2:B3)" in read.problems["problem"][0]
    merged = END + f"<mergeCells><mergeCell ref='{WHOLE}'/></mergeCells>" * 1000
    path = a_list(tmp_path / "list.xlsx", END, f"<row r='9999'><c><v>1</v></c></row>{merged}")
    with pytest.raises(WeaveError, match="do not lie upon one another"):
        read_stash(path)


def with_names(path: str, leads: dict[str, str]) -> None:
    """Write a planner without formulas, some names of which lead elsewhere."""
    if not Path("plain.xlsx").exists():
        build_light("plain.xlsx", EXAMPLES["stash"])
    with zipfile.ZipFile("plain.xlsx") as old, zipfile.ZipFile(path, "w") as new:
        for info in old.infolist():
            part = old.read(info)
            if info.filename == BOOK:
                for name, lead in leads.items():
                    part, count = re.subn(f'(?<="{name}">)[^<]*'.encode(), lead.encode(), part)
                    assert count == 1
            new.writestr(info, part)


def test_a_planner_whose_names_lead_to_a_whole_sheet(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The cells of that question are told as gone; none of 17 thousand million is looked at."""
    monkeypatch.setattr("weavefuncs.workbooks.upgrade.build", build_light)
    monkeypatch.chdir(tmp_path)
    with_names("plan.xlsx", dict.fromkeys(("DraftGrid", "ProblemsList", "PlanSummary"), f"Plan!{WHOLE}"))
    assert main(COMMANDS["recalc"]) == 0
    assert main(COMMANDS["upgrade"]) == 1
    assert "DraftGrid: the cells of Cloth are gone: the name leads to Plan!A1:XFD" in capsys.readouterr().out


def test_tables_whose_names_lead_elsewhere_are_not_exported(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """There is no heading above row 1, and no row but the named one above the colours of the weft."""
    monkeypatch.chdir(tmp_path)
    with_names(
        "plan.xlsx",
        {"YarnNames": "Plan!$B$1:$B$9", "ProblemsList": "Plan!$B$1:$D$9", "ShopNames": "Plan!$B$1:$B$9"},
    )
    assert main(COMMANDS["export"]) == 0
    assert not {"yarns.csv", "problems.csv", "shopping-to-buy.csv"} & set(os.listdir("out"))
    with_names("plan.xlsx", {"ShopNames": "#REF!", "Wage": "#REF!"})
    assert main(COMMANDS["export"]) == 0
    assert "shopping-to-buy.csv" not in os.listdir("out")
    assert "Wage" not in Path("out", "settings.csv").read_text("utf-8-sig")
    with_names("plan.xlsx", {"WarpColours": "#REF!"})
    assert main(COMMANDS["export"]) == 2
    assert "plan.xlsx has no cells named WarpColours any more" in capsys.readouterr().err
    with_names("plan.xlsx", {"PlannerVersion": "9" * 5000})
    assert main(COMMANDS["export"]) == 2
    assert "made by a newer weavefuncs" in capsys.readouterr().err


def test_array_formulas_over_more_cells_than_a_sheet_may_fill_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of each there is enough room; but they lie upon one another, and so on without end."""
    monkeypatch.setattr("weavefuncs.addin.offline.sheets.MAX_CELLS", 1000)
    path = tmp_path / "plan.xlsx"
    array = '<c r="A20"><f t="array" ref="A20:Z40">1</f></c>'
    path.write_bytes(with_cells(array))
    assert recalculate(path, check=True, functions=FUNCTIONS).formulas == 2
    path.write_bytes(with_cells(array + array))
    with pytest.raises(WorkbookProblem, match="array formulas of more than 1000 cells"):
        recalculate(path, check=True, functions=FUNCTIONS)


@pytest.mark.parametrize("command", [*COMMANDS, "stash into"])
def test_what_is_no_file_is_told_in_a_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], command: str
) -> None:
    """A pipe and a device have no end, and a name may command a terminal."""
    monkeypatch.chdir(tmp_path)
    os.mkfifo("pipe.xlsx")
    Path("endless.xlsx").symlink_to("/dev/zero")
    Path("circle.xlsx").symlink_to("circle.xlsx")
    Path("folder.xlsx").mkdir()
    Path("line\nbreak \x1b[2J.xlsx").write_text("a,b\n1,2\n", "utf-8")
    Path("list.csv").write_text("name,length left\nSnow,100\n", "utf-8")
    before = sorted(os.listdir())
    for name in (*before[:-1], "missing\n\x1b[2J.xlsx", "x" * 300 + ".xlsx"):
        if name == "list.csv":
            continue
        arguments = COMMANDS.get(command, ["stash", "list.csv", "plan.xlsx", "new.xlsx"])
        assert main([name if part == "plan.xlsx" else part for part in arguments]) == 2
        sentence = capsys.readouterr().err.split("weavefuncs ")[-1].removesuffix("\n")
        assert sentence.startswith(f"{arguments[0]}: ")
        assert sentence.isprintable()
        assert sorted(os.listdir()) == before


def test_a_pipe_is_not_replaced_by_a_file(tmp_path: Path) -> None:
    (tmp_path / "plan.xlsx").write_bytes(WORKBOOK)
    os.mkfifo(tmp_path / "pipe.xlsx")
    with pytest.raises(WorkbookProblem, match="is not a file"):
        recalculate(tmp_path / "plan.xlsx", out=tmp_path / "pipe.xlsx", functions=FUNCTIONS)
    with pytest.raises(WorkbookProblem, match="is not a file"):
        write_planner(tmp_path / "pipe.xlsx")
    assert (tmp_path / "pipe.xlsx").is_fifo()


@pytest.mark.parametrize("epoch", [CALENDAR_WINDOWS_1900, CALENDAR_MAC_1904])
def test_dates_of_either_system_as_another_library_writes_them(tmp_path: Path, epoch: object) -> None:
    """17 May 2020, as a number and as a text of ISO 8601, which cells may hold too."""
    path = tmp_path / "plan.xlsx"
    book = openpyxl.Workbook()
    book.epoch = epoch  # type: ignore[assignment]
    book.iso_dates = True
    page = book.active
    assert page is not None
    page["A1"] = openpyxl.utils.datetime.from_ISO8601("2020-05-17T06:00:00")
    page["A2"] = "=YEAR(A1)*10000+MONTH(A1)*100+DAY(A1)+HOUR(A1)/24"
    book.save(path)
    iso = path.read_bytes()
    book.iso_dates = False
    book.save(path)
    assert recalculate(path, check=True).value("Sheet", "A2") == 20200517.25
    path.write_bytes(iso)
    with zipfile.ZipFile(path) as package:
        assert b't="d"' in package.read(SHEET)
    assert recalculate(path, check=True).value("Sheet", "A2") == 20200517.25


def test_a_zone_in_a_date_is_left_out(tmp_path: Path) -> None:
    path = tmp_path / "plan.xlsx"
    path.write_bytes(with_cells('<c r="A20" t="d"><v>2020-05-17T12:00:00+02:00</v></c>'))
    assert recalculate(path, check=True, functions=FUNCTIONS).value("Plan", "A20") == 43968.5


# Writing


@pytest.mark.parametrize("name", ["織" * 83 + ".xlsx", "🧶" * 62 + ".xlsx", "a \"b\" 'c'\n.xlsx"])
def test_a_file_with_the_longest_of_names(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    path.write_bytes(WORKBOOK)
    assert recalculate(path, functions=FUNCTIONS).changed == 1
    assert os.listdir(tmp_path) == [name]


@contextmanager
def write_protected(path: Path) -> Iterator[None]:
    path.chmod(0o444)
    try:
        yield
    finally:
        path.chmod(0o644)


def test_a_write_protected_file_is_not_replaced(tmp_path: Path) -> None:
    """The folder would allow it; who protected the file did not mean to."""
    path = tmp_path / "plan.xlsx"
    path.write_bytes(WORKBOOK)
    with write_protected(path):
        with pytest.raises(WorkbookProblem, match="is write-protected"):
            recalculate(path, functions=FUNCTIONS)
        with pytest.raises(WorkbookProblem, match="is write-protected"):
            write_planner(path)
        assert path.read_bytes() == WORKBOOK
        assert recalculate(path, check=True, functions=FUNCTIONS).changed == 1


def test_a_file_keeps_its_owner_and_its_mode(tmp_path: Path) -> None:
    path = tmp_path / "plan.xlsx"
    path.write_bytes(WORKBOOK)
    path.chmod(0o640)
    if os.geteuid() == 0:
        os.chown(path, 1234, 2345)
    before = path.stat()
    recalculate(path, functions=FUNCTIONS)
    after = path.stat()
    assert after.st_ino != before.st_ino
    assert (after.st_uid, after.st_gid, after.st_mode) == (before.st_uid, before.st_gid, before.st_mode)


def test_a_file_that_vanished_meanwhile_is_not_made_anew(tmp_path: Path) -> None:
    path = tmp_path / "plan.xlsx"
    path.write_bytes(WORKBOOK)

    def vanish(_: object) -> float:
        path.unlink()
        return 1.0

    with pytest.raises(WorkbookProblem, match="changed by another program"):
        recalculate(path, functions={"WEAVE.ONE": vanish})
    assert os.listdir(tmp_path) == []


@pytest.mark.parametrize("links", [True, False], ids=["a disk with links", "a disk without"])
def test_a_new_planner_never_replaces_one_that_appeared(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, links: bool
) -> None:
    """Of many that write at the same time one is written, whole; the others are told."""
    if not links:

        def no_links(*_: object) -> None:
            raise PermissionError(1, "Operation not permitted")

        monkeypatch.setattr(os, "link", no_links)
    path = new_file(tmp_path / "new.xlsx")
    path.write_bytes(b"of another")
    with pytest.raises(WorkbookProblem, match="is there already"):
        files.create_file(path, WORKBOOK, 0o644)
    assert path.read_bytes() == b"of another"
    path.unlink()
    files.create_file(path, WORKBOOK, 0o644)
    assert path.read_bytes() == WORKBOOK
    assert os.listdir(tmp_path) == ["new.xlsx"]


def test_one_of_many_writes_the_new_planner(tmp_path: Path) -> None:
    path = tmp_path / "new.xlsx"
    written: list[int] = []
    ready = threading.Barrier(8)

    def write(number: int) -> None:
        ready.wait()
        try:
            files.create_file(path, bytes([number]) * 100_000, 0o644)
        except WorkbookProblem:
            return
        written.append(number)

    for _ in range(20):
        path.unlink(missing_ok=True)
        written.clear()
        threads = [threading.Thread(target=write, args=(number,)) for number in range(8)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert len(written) == 1
        assert path.read_bytes() == bytes(written) * 100_000
        assert os.listdir(tmp_path) == ["new.xlsx"]


@pytest.mark.parametrize("call", ["fsync", "chmod", "link", "unlink"])
@pytest.mark.parametrize("late", [False, True])
def test_killed_at_each_step_of_a_new_file(tmp_path: Path, call: str, late: bool) -> None:
    """There is no new file, or a whole one, and what is left hinders no next one."""
    path = tmp_path / "new.xlsx"
    script = (
        "import os, signal, sys\n"
        "from pathlib import Path\n"
        "from weavefuncs.addin.offline import files\n"
        f"real = os.{call}\n"
        "def deadly(*given):\n"
        f"    if {late}: real(*given)\n"
        "    os.kill(os.getpid(), signal.SIGKILL)\n"
        f"os.{call} = deadly\n"
        "files.create_file(Path(sys.argv[1]), b'whole', 0o644)\n"
    )
    done = subprocess.run([sys.executable, "-c", script, str(path)], check=False)
    assert done.returncode == -signal.SIGKILL
    there = call == "unlink" or (call == "link" and late)
    assert path.exists() == there
    if there:
        assert path.read_bytes() == b"whole"
    else:
        files.create_file(path, b"next", 0o644)
    left = [entry.name for entry in tmp_path.iterdir() if entry != path]
    assert all(name.startswith(".new.xlsx.weavefuncs-") for name in left)
    # What could stand beside the whole new file is its second name: the next run on it takes that away.
    files.replace_file(path, b"solved", 0o644, None)
    assert os.listdir(tmp_path) == ["new.xlsx"]
    assert path.read_bytes() == b"solved"


def test_a_table_is_not_written_through_what_somebody_left(tmp_path: Path) -> None:
    """A link under the name of a file half written would lead to another one."""
    import pandas as pd

    other = tmp_path / "other"
    other.write_text("theirs", "utf-8")
    (tmp_path / ".yarns.csv.part").symlink_to(other)
    write_csv(pd.DataFrame({"=name": ["=1+1", "@x", "-1", "plain"]}), tmp_path / "yarns.csv")
    assert other.read_text("utf-8") == "theirs"
    lines = (tmp_path / "yarns.csv").read_text("utf-8-sig").splitlines()
    assert lines == ["'=name", "'=1+1", "'@x", "'-1", "plain"]
    assert sorted(os.listdir(tmp_path)) == [".yarns.csv.part", "other", "yarns.csv"]


def test_a_planner_that_finds_no_room_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither where it is drafted nor where it goes is anything left."""
    full = OSError(28, "No space left on device")

    def no_room(*_: object) -> int:
        raise full

    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    monkeypatch.setattr(Path, "write_bytes", no_room)
    with pytest.raises(OSError, match="No space left"):
        write_planner(tmp_path / "new.xlsx")
    assert os.listdir(tmp_path) == []
