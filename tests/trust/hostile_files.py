# ruff: noqa: E501
"""Give hostile and broken files to the commands that read a user's files: ``python tests/trust/hostile_files.py``.

Every file must give a result or one sentence: no traceback, nothing changed where the status is 2, nothing
left in the folder and nothing asked of the network. As root it cuts itself off the network first
(``unshare --net``), and the audit hook counts what Python asks for. ``--record`` writes the rows into
``tests/trust/records/hostile.json``. About five minutes.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import os
import random
import re
import resource
import shutil
import subprocess
import sys
import tempfile
import warnings
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import openpyxl
import xlsxwriter

from weavefuncs.addin.cli import main

CHECKOUT = Path(__file__).parents[2]
PLANNERS = CHECKOUT / "workbooks"
RECORD = Path(__file__).parent / "records" / "hostile.json"
ASKED: list[str] = []
COMMAND = "import sys; from weavefuncs.addin.cli import main; sys.exit(main(sys.argv[1:]))"
SHEET = "xl/worksheets/sheet1.xml"
ODD = (
    "", " ", "²", "٣", "-1", "0", "1.5", "9" * 30, "0" * 9 + "9" * 20, "0" * 9 + "1" * 5000, "nan", "1e999",
    "x" * 40_000, "#REF!", "A1:B2", "XFE1", "A1048577", "B2:A1", "A:A", "$A$1", "&#10;", "_x0000_", "'", "[1]",
    "2020-01-01T00:00:00+01:00", "9999-99-99", "../../etc/passwd", "file:///etc/passwd", "//host/x",
    "s", "e", "d", "str", "b", "n", "inlineStr", "array", "shared", "dataTable", "true", "x:y", "%00", "%ff",
)  # fmt: skip

# What could be too much for the engine; each is calculated in a child of its own, with 4 GB and a minute.
FORMULAS = (
    "(" * 5000 + "1" + ")" * 5000,
    "-" * 30_000 + "1",
    "+".join(["1"] * 4000),
    "SUM(" * 64 + "1" + ")" * 64,
    "IF(1," * 2000 + "1" + ")" * 2000,
    '"' + "x" * 32_000 + '"',
    '"open',
    "{1,2;3}",
    "SUM(A1:XFD1048576)",
    "A:XFD",
    "1:1048576",
    "SEQUENCE(1048576,16384)",
    'REPT("x",1E9)',
    "[1]Sheet1!A1",
    "'[c:\\other.xlsx]Sheet1'!A1",
    "'file:///etc/[passwd]x'!A1",
    'WEBSERVICE("http://127.0.0.1/")',
    'HYPERLINK("http://127.0.0.1/","x")',
    "cmd|'/c calc'!A1",
    'CALL("kernel32","x")',
    'INDIRECT("[x.xlsx]S!A1")',
    "Sheet99!A1",
    "A0+XFE1",
    "#REF!+1",
    "#REF!A1",
    "LET(a,a,a)",
    "LAMBDA(f,f(f))(LAMBDA(f,f(f)))",
    "=1",
    "1+",
    ",,,",
    "\u202e1+1",
    "B2#",
    "@A1:A9",
    "Stash[#All]",
    "Stash[[#This Row],[nothing]]",
    "Stash[",
    "A1:A2:A3",
    "A1 B2",
    "(A1,B2)",
    "WEAVE.ENDS(1E308,1E308)",
    'WEAVE.ENDS("' + "9" * 5000 + '",1)',
    "WEAVE.ENDS(A1:XFD1048576,1)",
    "_xll.WEAVE.NOTHING(1)",
    "0^-1",
    "FACT(1E9)",
    "1E308*10",
)


def small() -> bytes:
    """Return a small workbook with a table, a name, shared texts, an array, a date and a link outwards."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out)
    sheet = book.add_worksheet("Plan")
    other = book.add_worksheet("Yarns")
    other.write_column("A1", ["wool", "linen", 3, True])
    sheet.write("A1", "some text")
    sheet.write_datetime("A2", date(2020, 5, 17), book.add_format({"num_format": "yyyy-mm-dd"}))
    for row in range(3, 9):
        sheet.write_number(row - 1, 0, row)
        sheet.write_formula(row - 1, 1, f"=A{row}*2+WEAVE.ENDS(A{row},10)")
    sheet.write_array_formula("C3:C5", "{=A3:A5*2}")
    sheet.write_formula("C8", "=SUM(Stash[count])+Mine+LEN(A1)+Yarns!A3")
    sheet.add_table("E1:F4", {"name": "Stash", "columns": [{"header": "name"}, {"header": "count"}]})
    sheet.write_url("G1", "http://127.0.0.1/nothing")
    sheet.merge_range("G3:H4", "merged")
    book.define_name("Mine", "=Plan!$A$3")
    book.define_name("Yarns!Own", "=Yarns!$A$3")
    book.close()
    return out.getvalue()


def changed(
    data: bytes, edit: Callable[[str, bytes], bytes | None], packing: int = zipfile.ZIP_DEFLATED
) -> bytes:
    """Return a workbook with its parts edited, or left out."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", packing) as new:
        for info in old.infolist():
            part = edit(info.filename, old.read(info))
            if part is not None:
                new.writestr(info.filename, part)
    return out.getvalue()


def added(data: bytes, name: str, content: bytes = b"<x/>") -> bytes:
    """Return a workbook with a part more; the name stands there as it is given."""
    out = io.BytesIO(data)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with zipfile.ZipFile(out, "a", zipfile.ZIP_DEFLATED) as new:
            new.writestr(zipfile.ZipInfo("NAME" if "\0" in name else name), content, zipfile.ZIP_DEFLATED)
    return out.getvalue().replace(b"NAME", name.encode()) if "\0" in name else out.getvalue()


def replaced(data: bytes, member: str, old: str, new: str) -> bytes:
    """Return a workbook with a text of one part replaced."""
    return changed(
        data, lambda name, part: part.replace(old.encode(), new.encode(), 1) if name == member else part
    )


def containers(data: bytes) -> Iterator[tuple[str, bytes]]:
    """Yield files whose zip container is hostile."""
    for name in (
        "../x", "../../../../tmp/x", "/etc/x", "a\\b", "..\\x", "c:/x", "c:\\x", "xl/../../x", "a\0b", "xl/a\0.xml",
        "//host/x", "x" * 60_000, "xl/worksheets/SHEET1.XML", SHEET, "[Content_Types].xml", "xl/./workbook.xml",
    ):  # fmt: skip
        yield f"member {name[:30]!r}", added(data, name)
    yield "zip bomb, one part", added(data, "xl/media/a.bin", b"\0" * 2**26)
    parts = {f"xl/media/{number}.bin": b"\0" * 2**20 for number in range(600)}
    out = io.BytesIO(data)
    with zipfile.ZipFile(out, "a", zipfile.ZIP_DEFLATED) as new:
        for name, content in parts.items():
            new.writestr(name, content)
    yield "zip bomb, many parts", out.getvalue()
    out = io.BytesIO(data)
    with zipfile.ZipFile(out, "a") as new:
        for number in range(10_001):
            new.writestr(f"{number}", b"")
    yield "ten thousand parts", out.getvalue()
    yield "zip within", added(data, "xl/embeddings/a.xlsx", data)
    yield "bytes before", b"#!/bin/sh\n" + data
    yield "bytes after", data + b"\0" * 100
    yield "a zip twice", data + data
    yield "zip comment", data[:-2] + (5).to_bytes(2, "little") + b"PK\5\6x"
    yield "stored", changed(data, lambda _, part: part, zipfile.ZIP_STORED)
    yield "bzip2", changed(data, lambda _, part: part, zipfile.ZIP_BZIP2)
    yield "lzma", changed(data, lambda _, part: part, zipfile.ZIP_LZMA)
    directory = data.rindex(b"PK\5\6")
    for name, at, value in (
        ("entries", 10, 0xFFFF),
        ("size", 12, 0xFFFFFFFF),
        ("place", 16, 0xFFFFFFFF),
        ("none", 8, 0),
    ):
        size = 2 if at < 12 else 4
        cut = bytearray(data)
        cut[directory + at : directory + at + size] = value.to_bytes(4, "little")[:size]
        yield f"directory {name}", bytes(cut)


def markup(data: bytes) -> Iterator[tuple[str, bytes]]:
    """Yield files whose XML is hostile: entities, document types, encodings, missing and exchanged parts."""
    bomb = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10 if n else "x" * 10}">' for n in range(10))
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        members = {name: package.read(name) for name in package.namelist()}
    edits: dict[str, Callable[[bytes], bytes | None]] = {
        "entities": lambda part: re.sub(rb"\?>", b"?><!DOCTYPE x [" + bomb.encode() + b"]>", part, count=1),
        "external": lambda part: re.sub(
            rb"\?>", b'?><!DOCTYPE x SYSTEM "file:///etc/passwd">', part, count=1
        ),
        "parameter": lambda part: re.sub(
            rb"\?>", b'?><!DOCTYPE x [<!ENTITY % p SYSTEM "http://127.0.0.1/x"> %p;]>', part, count=1
        ),
        "missing": lambda _: None,
        "empty": lambda _: b"",
        "no XML": lambda _: b"not XML",
        "another root": lambda _: b"<html/>",
        "blanks": lambda _: b" " * 100,
        "NUL": lambda part: part[:200] + b"\0" + part[200:],
        "half": lambda part: part[: len(part) // 2],
        "UTF-16": lambda part: part.decode().replace("UTF-8", "UTF-16").encode("utf-16"),
        "UTF-7": lambda part: part.replace(b"UTF-8", b"UTF-7"),
        "Latin": lambda part: part.replace(b"UTF-8", b"ISO-8859-1"),
        "odd bytes": lambda part: part.replace(b"UTF-8", b"UTF-8", 1).replace(b"<", b"<\xff", 3),
        "mark": lambda part: b"\xef\xbb\xbf" + part,
        "deep": lambda part: b"<a>" * 200_000 + b"</a>" * 200_000,
        "a long attribute": lambda part: part.replace(b"?>", b"?><!--" + b"-x" * 10**6 + b"-->", 1),
        "instruction": lambda part: part + b'<?xml-stylesheet href="http://127.0.0.1/x"?>',
        "inclusion": lambda part: part.replace(
            b"<row ",
            b'<x:include xmlns:x="http://www.w3.org/2001/XInclude" href="file:///etc/passwd"/><row ',
            1,
        ),
    }
    for member in members:
        for name, edit in edits.items():
            yield (
                f"{member}, {name}",
                changed(
                    data,
                    lambda at, part, member=member, edit=edit: edit(part) if at == member else part,  # type: ignore[misc]
                ),
            )


def attributes(data: bytes, count: int) -> Iterator[tuple[str, bytes]]:
    """Yield files in which an attribute or a text is replaced by an odd one."""
    draw = random.Random(11)
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        members = {name: package.read(name).decode() for name in package.namelist()}
    used = [name for name in members if re.search("workbook|sheet|sharedStrings|table|rels|Types", name)]
    for number in range(count):
        member = draw.choice(used)
        text = members[member]
        spots = list(re.finditer(r'(?<=")[^"<>]*(?=")|(?<=>)[^<>]+(?=<)', text))
        for _ in range(draw.choice((1, 1, 1, 2, 3))):
            spot = draw.choice(spots)
            odd = draw.choice(ODD)
            text = text[: spot.start()] + odd + text[spot.end() :]
            spots = list(re.finditer(r'(?<=")[^"<>]*(?=")|(?<=>)[^<>]+(?=<)', text))
        yield (
            f"odd {number} in {member}",
            changed(data, lambda at, part, member=member, text=text: text.encode() if at == member else part),  # type: ignore[misc]
        )


def cells(data: bytes) -> Iterator[tuple[str, bytes]]:
    """Yield files with odd cells: shared and array formulas, texts out of range, dates, links, macros."""
    row = '<row r="20">{}</row></sheetData>'
    odd = {
        "shared without a master": '<c r="A20"><f t="shared" si="7"/><v>1</v></c>',
        "shared without a number": '<c r="A20"><f t="shared">A1</f></c><c r="B20"><f t="shared"/></c>',
        "shared, odd ref": '<c r="A20"><f t="shared" si="0" ref="XFE9:A0">A19</f></c><c r="XFD20"><f t="shared" si="0"/></c>',
        "shared, off the sheet": '<c r="B20"><f t="shared" si="0" ref="B20">A1</f></c><c r="A20"><f t="shared" si="0"/></c>',
        "array without a ref": '<c r="A20"><f t="array">A1:A2</f></c>',
        "array elsewhere": '<c r="A20"><f t="array" ref="B1:B2">A1:A2</f></c>',
        "array, the whole sheet": '<c r="A20"><f t="array" ref="A20:XFD1048576">1</f></c>',
        "array, a million rows": '<c r="A20"><f t="array" ref="A20:A1000019">1</f></c>',
        "array backwards": '<c r="A20"><f t="array" ref="B21:A20">1</f></c>',
        "arrays upon another": '<c r="A20"><f t="array" ref="A20:B21">1</f></c><c r="B20"><f t="array" ref="B20:C21">2</f></c>',
        "array in itself": '<c r="A20"><f t="array" ref="A20:A21">A20:A21+1</f></c>',
        "a table of data": '<c r="A20"><f t="dataTable" ref="A20:B21" r1="A1" r2="B1" dt2D="1"/></c>',
        "no such kind": '<c r="A20"><f t="magic">1</f></c>',
        "text out of range": '<c r="A20" t="s"><v>4711</v></c>',
        "text out of range by far": '<c r="A20" t="s"><v>00000000099999999999</v></c>',
        "no such type": '<c r="A20" t="z"><v>1</v></c>',
        "an error of its own": '<c r="A20" t="e"><v>#MINE!</v></c><c r="B20"><f>A20</f></c>',
        "a date": '<c r="A20" t="d"><v>2020-05-17</v></c><c r="B20"><f>A20+1</f></c>',
        "a date with a zone": '<c r="A20" t="d"><v>2020-05-17T10:00:00+02:00</v></c>',
        "no date": '<c r="A20" t="d"><v>2020-13-41</v></c>',
        "one cell twice": '<c r="A20"><v>1</v></c><c r="A20"><f>2</f></c><c r="A20"><f>A20</f></c>',
        "cells in another row": '<c r="A3"><f>1</f></c>',
        "no names": "<c><f>1</f></c><c><v>2</v></c>",
        "a link": '<c r="A20"><f>[1]Sheet1!A1</f><v>5</v></c><c r="B20"><f>A20</f></c>',
        "a command": "<c r=\"A20\"><f>cmd|'/c calc'!A0</f><v>5</v></c>",
        "itself": '<c r="A20"><f>A20</f></c><c r="B20"><f>C20</f></c><c r="C20"><f>B20</f></c>',
        "two values": '<c r="A20"><v>1</v><v>2</v><f>1</f><f>2</f></c>',
        "value before formula": '<c r="A20"><v>1</v><f>1+1</f></c>',
        "cells in cells": '<c r="A20"><c r="B20"><f>1</f></c><f>2</f></c>',
        "a huge text": f'<c r="A20" t="str"><v>{"x" * 10**6}</v></c><c r="B20"><f>A20&amp;A20</f></c>',
    }
    for name, inner in odd.items():
        yield name, replaced(data, SHEET, "</sheetData>", row.format(inner))
    yield "1904", replaced(data, "xl/workbook.xml", "<workbookPr", '<workbookPr date1904="1"')
    yield "macros", added(data, "xl/vbaProject.bin", bytes.fromhex("d0cf11e0a1b11ae1") + b"\0" * 2000)
    link = '<Relationship Id="rId99" Type="http://x/externalLink" Target="externalLinks/externalLink1.xml"/></Relationships>'
    linked = replaced(data, "xl/_rels/workbook.xml.rels", "</Relationships>", link)
    linked = replaced(
        linked,
        "xl/workbook.xml",
        "<definedNames>",
        '<externalReferences><externalReference r:id="rId99"/></externalReferences><definedNames>',
    )
    linked = added(linked, "xl/externalLinks/externalLink1.xml", b"<externalLink/>")
    yield (
        "an external link",
        added(
            linked,
            "xl/externalLinks/_rels/externalLink1.xml.rels",
            b'<Relationships><Relationship Id="r" Type="x" Target="http://127.0.0.1/x.xlsx" TargetMode="External"/></Relationships>',
        ),
    )
    for name in ("²", "99", "-1", "x"):
        yield (
            f"a name of sheet {name}",
            replaced(data, "xl/workbook.xml", 'localSheetId="1"', f'localSheetId="{name}"'),
        )
    for count in ("²", "9" * 5000, "-1", "3000000"):
        yield (
            f"a table with {count[:9]} heads",
            replaced(
                data,
                "xl/tables/table1.xml",
                'totalsRowShown="0"',
                f'totalsRowShown="0" headerRowCount="{count}"',
            ),
        )
    yield "a table far away", replaced(data, "xl/tables/table1.xml", 'ref="E1:F4"', 'ref="XFD1048576:A1"')
    yield "a name of itself", replaced(data, "xl/workbook.xml", "Plan!$A$3", "Mine+1")
    yield "two sheets of one name", replaced(data, "xl/workbook.xml", 'name="Yarns"', 'name="plan"')
    yield "one part for two sheets", replaced(data, "xl/_rels/workbook.xml.rels", "sheet2.xml", "sheet1.xml")
    yield (
        "a sheet elsewhere",
        replaced(data, "xl/_rels/workbook.xml.rels", "worksheets/sheet2.xml", "http://127.0.0.1/x"),
    )


def writers(folder: Path) -> Iterator[tuple[str, bytes]]:
    """Yield the same sums as three libraries and an office write them, for 1900 and 1904."""
    path = folder / "written.xlsx"
    for epoch in ("1900", "1904"):
        book = openpyxl.Workbook()
        if epoch == "1904":
            book.epoch = openpyxl.utils.datetime.CALENDAR_MAC_1904
        page = book.active
        assert page is not None
        page.append([1, 2, "=A1+B1", date(2020, 5, 17), "=YEAR(D1)", "=WEAVE.ENDS(10,12)", "a <&> b", True])
        book.save(path)
        yield f"openpyxl {epoch}", path.read_bytes()
        other = xlsxwriter.Workbook(path, {"date_1904": epoch == "1904"})
        sheet = other.add_worksheet()
        sheet.write_row(0, 0, [1, 2, "=A1+B1"])
        sheet.write_datetime(0, 3, date(2020, 5, 17), other.add_format({"num_format": 14}))
        sheet.write_row(0, 4, ["=YEAR(D1)", "=WEAVE.ENDS(10,12)", "a <&> b", True])
        other.close()
        yield f"XlsxWriter {epoch}", path.read_bytes()
    import pyexcelerate

    third = pyexcelerate.Workbook()
    third.new_sheet(
        "S", data=[[1, 2, "=A1+B1", date(2020, 5, 17), "=YEAR(D1)", "=WEAVE.ENDS(10,12)", "a <&> b", True]]
    )
    third.save(str(path))
    yield "PyExcelerate", path.read_bytes()
    office = shutil.which("soffice")
    if office:
        out = folder / "office"
        book = openpyxl.Workbook()
        page = book.active
        assert page is not None
        page.append([1, 2, "=A1+B1", date(2020, 5, 17), "=YEAR(D1)", "=WEAVE.ENDS(10,12)", "a <&> b", True])
        book.save(path)
        profile = f"-env:UserInstallation=file://{folder}/profile"
        command = [office, profile, "--headless", "--convert-to", "xlsx", "--outdir", str(out), str(path)]
        subprocess.run(command, check=True, capture_output=True, timeout=200)
        yield "LibreOffice Calc", (out / "written.xlsx").read_bytes()


class Trial:
    """Runs commands on files, and counts what came of it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.rows: list[list[object]] = []
        self.faults: list[str] = []

    def group(
        self, title: str, files: Iterator[tuple[str, bytes]], *commands: str, exact: bool = False
    ) -> None:
        """Run every command on every file of a group."""
        counts: Counter[str] = Counter()
        seen = 0
        for name, data in files:
            seen += 1
            for command in commands:
                counts[self.once(f"{title}: {name}", command, data, exact)] += 1
        self.rows.append(
            [title, ", ".join(commands), seen, counts["refused"], counts["result"], counts["fault"]]
        )
        print(*self.rows[-1], sep=" | ", flush=True)

    def once(self, name: str, command: str, data: bytes, exact: bool = False) -> str:
        """Run one command on one file in a folder of its own."""
        work = self.folder / "work"
        shutil.rmtree(work, ignore_errors=True)
        work.mkdir()
        path = work / "plan.xlsx"
        path.write_bytes(data)
        arguments = {
            "recalc --check": ["recalc", "--check", str(path)],
            "recalc": ["recalc", str(path)],
            "solve": ["solve", "--seconds", "1", str(path)],
            "upgrade": ["upgrade", str(path), str(work / "new.xlsx")],
            "export": ["export", str(path), str(work / "out")],
            "stash": ["stash", str(path), str(PLANNERS / "planner-excel.xlsx"), str(work / "new.xlsx")],
        }[command]
        errors, output = io.StringIO(), io.StringIO()
        errors.reconfigure = output.reconfigure = lambda **_: None  # type: ignore[attr-defined]
        try:
            with contextlib.redirect_stderr(errors), contextlib.redirect_stdout(output):
                status = main(arguments)
        except BaseException as fault:
            return self.fault(name, command, f"{type(fault).__name__}: {fault}")
        if status not in (0, 1, 2):
            return self.fault(name, command, f"status {status}")
        if status == 2:
            last = [
                line
                for line in errors.getvalue().splitlines()
                if line.startswith(f"weavefuncs {arguments[0]}: ")
            ]
            if len(last) != 1 or len(last[0]) > 1000:
                return self.fault(name, command, f"no sentence: {errors.getvalue()[-500:]!r}")
            if path.read_bytes() != data or os.listdir(work) != ["plan.xlsx"]:
                return self.fault(name, command, f"changed: {os.listdir(work)}")
            return self.fault(name, command, f"refused: {last[0]}") if exact else "refused"
        if exact and ("0 in error" not in output.getvalue() or status):
            return self.fault(name, command, output.getvalue())
        if command == "recalc" and exact:
            page = openpyxl.load_workbook(path, data_only=True).active
            assert page is not None
            found = [cell.value for cell in page[1]]
            if (found[2], found[4], found[5]) != (3, 2020, 120):
                return self.fault(name, command, f"wrong: {found}")
        return "result"

    def fault(self, name: str, command: str, text: str) -> str:
        """Note a fault."""
        self.faults.append(f"{name}: {command}: {text[:300]}")
        print("FAULT", self.faults[-1], flush=True)
        return "fault"


def heavy(trial: Trial, data: bytes) -> None:
    """Run formulas that could be too much, each in a child."""
    counts: Counter[str] = Counter()
    for formula in FORMULAS:
        cell = formula.replace("&", "&amp;").replace("<", "&lt;")
        path = trial.folder / "heavy.xlsx"
        book = replaced(
            data, SHEET, "</sheetData>", f'<row r="20"><c r="J20"><f>{cell}</f></c></row></sheetData>'
        )
        path.write_bytes(book)
        try:
            done = subprocess.run(
                [sys.executable, "-c", COMMAND, "recalc", "--check", str(path)],
                capture_output=True, text=True, timeout=60, check=False, cwd="/",
                preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (4 * 2**30, 4 * 2**30)),
            )  # fmt: skip
        except subprocess.TimeoutExpired:
            counts[trial.fault(f"formula {formula[:60]}", "recalc --check", "no end within a minute")] += 1
            continue
        if done.returncode not in (0, 1, 2) or "Traceback" in done.stderr:
            counts[
                trial.fault(
                    f"formula {formula[:60]}", "recalc --check", f"{done.returncode} {done.stderr[-250:]}"
                )
            ] += 1
        else:
            counts["refused" if done.returncode == 2 else "result"] += 1
    trial.rows.append(
        [
            "formulas of every oddity",
            "recalc --check",
            len(FORMULAS),
            counts["refused"],
            counts["result"],
            counts["fault"],
        ]
    )
    print(*trial.rows[-1], sep=" | ", flush=True)


def truncated(data: bytes, step: int) -> Iterator[tuple[str, bytes]]:
    """Yield a file cut short at every so many bytes."""
    return ((f"at {length}", data[:length]) for length in range(0, len(data), step))


def run(only: str) -> Trial:
    """Run every group, or those whose title has a word."""
    sys.addaudithook(
        lambda event, _: ASKED.append(event) if event in ("socket.connect", "socket.getaddrinfo") else None
    )
    data = small()
    planner = (PLANNERS / "example-stash.xlsx").read_bytes()
    everything = ("recalc", "solve", "upgrade", "export", "stash")
    with tempfile.TemporaryDirectory(prefix="weavefuncs-hostile-") as name:
        trial = Trial(Path(name))
        groups: dict[str, Callable[[], None]] = {
            "written by": lambda: trial.group("written by other programs", writers(trial.folder), "recalc", exact=True),
            "containers": lambda: trial.group("zip containers", containers(data), *everything),
            "cells": lambda: trial.group("odd cells, links, macros, dates", cells(data), *everything),
            "markup": lambda: trial.group("entities, encodings, missing parts", markup(data), "recalc", "upgrade", "stash"),
            "attributes": lambda: trial.group("odd attributes and texts, drawn", attributes(data, 3000), "recalc"),
            "lists": lambda: trial.group("odd attributes and texts, drawn, in a list", attributes(data, 400), "stash"),
            "planner parts": lambda: trial.group("odd attributes of a planner, drawn", attributes(planner, 60), "recalc --check", "export"),
            "kilobyte": lambda: trial.group("planner cut short at every kilobyte", truncated(planner, 1024), "recalc --check"),
            "sample": lambda: trial.group("planner cut short, every 16 kilobytes", truncated(planner, 16384), *everything),
            "formulas": lambda: heavy(trial, data),
        }  # fmt: skip
        for title, group in groups.items():
            if only in title:
                group()
        return trial


def record(trial: Trial, network: str) -> None:
    """Write the rows of this script into the record; those of the other stay."""
    held = json.loads(RECORD.read_text("utf-8")) if RECORD.exists() else {"rows": [], "found": []}
    others = [row for row in held["rows"] if not row[0].startswith("files: ")]
    rows = [
        [f"files: {title}", command, files, f"{refused} refused with a sentence, {result} with a result, {faults} faults"]
        for title, command, files, refused, result, faults in trial.rows
    ]  # fmt: skip
    rows.append(["files: asked of the network by all of these", network, len(ASKED), "none may be"])
    RECORD.parent.mkdir(exist_ok=True)
    RECORD.write_text(
        json.dumps(
            {
                "title": "Hostile files, kills and full disks",
                "command": "python tests/trust/hostile_files.py --record && python tests/trust/kill_moments.py --record",
                "measured": f"{date.today()}, 2 cores, Python {sys.version_info[0]}.{sys.version_info[1]}",
                "columns": ["what was tried", "on", "times", "came of it"],
                "rows": rows + others,
                "found": held["found"],
            },
            indent=1,
            ensure_ascii=False,
        )
        + "\n",
        "utf-8",
    )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--record", action="store_true")
    parser.add_argument("--only", default="", help="the groups with this word")
    given = parser.parse_args()
    if (
        hasattr(os, "geteuid")
        and os.geteuid() == 0
        and "CUT_OFF" not in os.environ
        and shutil.which("unshare")
    ):
        os.execvpe("unshare", ["unshare", "--net", sys.executable, *sys.argv], {**os.environ, "CUT_OFF": "1"})
    trial = run(given.only)
    print(f"{len(trial.faults)} faults; asked of the network: {len(ASKED)}")
    if given.record:
        record(trial, "unshare --net" if "CUT_OFF" in os.environ else "audit hook")
    sys.exit(bool(trial.faults or ASKED))
