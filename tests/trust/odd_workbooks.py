"""Workbooks made to do harm, and lists and planners as other programs save them. Not a test."""

from __future__ import annotations

import io
import random
import re
import sys
import warnings
import zipfile
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import openpyxl
import pandas
import pyexcelerate
import xlsxwriter
from openpyxl.worksheet.formula import ArrayFormula

sys.path.insert(0, str(Path(__file__).parents[1] / "hosts"))
from office import Office

SHEET = "xl/worksheets/sheet1.xml"
MACROS = "xlsm:Calc MS Excel 2007 VBA XML"
SUMS = [1, 2, "=A1+B1", date(2020, 5, 17), "=YEAR(D1)", "=WEAVE.ENDS(10,12)", "a <&> b", True]
YARNS = [
    ["Name", "Count", "Weight (g)", "Price"],
    ["Snow", "8/2 Ne", 500, 12.5],
    ["Sea", "100 m/50 g", 150, 8],
]
LEADS = (
    "Plan!$A$1:$XFD$1048576", "Plan!$B$2", "Yarns!$B$6:$B$7", "Yarns!$B:$B", "Nowhere!$A$1", "#REF!", "",
    "Plan!$XFD$1048576", "Settings!$A$1:$Z$99", "1", "Plan!$B$5:$B$9,Plan!$D$5", "'", "UnitChoice",
    "Checks!$A$1:$B$9999", "&quot;text&quot;", "OFFSET(Plan!$A$1,1,1)", "[1]Plan!$A$1",
)  # fmt: skip
ODD = (
    "", " ", "²", "٣", "-1", "0", "1.5", "9" * 30, "0" * 9 + "9" * 20, "0" * 9 + "1" * 5000, "nan",
    "1e999", "x" * 40_000, "#REF!", "A1:B2", "XFE1", "A1048577", "B2:A1", "A:A", "$A$1",
    "&#10;", "_x0000_", "'", "[1]",
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
        "../x", "../../../../tmp/x", "/etc/x", "a\\b", "..\\x", "c:/x", "c:\\x", "xl/../../x", "a\0b",
        "xl/a\0.xml", "//host/x", "x" * 60_000, "xl/worksheets/SHEET1.XML", SHEET, "[Content_Types].xml",
        "xl/./workbook.xml",
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
        "entities": lambda part: re.sub(
            rb"\?>", b"?><!DOCTYPE x [" + bomb.encode() + b"]>", part.replace(b"</", b"&e9;</", 1), count=1
        ),
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
        "shared, odd ref": '<c r="A20"><f t="shared" si="0" ref="XFE9:A0">A19</f></c>'
        '<c r="XFD20"><f t="shared" si="0"/></c>',
        "shared, off the sheet": '<c r="B20"><f t="shared" si="0" ref="B20">A1</f></c>'
        '<c r="A20"><f t="shared" si="0"/></c>',
        "array without a ref": '<c r="A20"><f t="array">A1:A2</f></c>',
        "array elsewhere": '<c r="A20"><f t="array" ref="B1:B2">A1:A2</f></c>',
        "array, the whole sheet": '<c r="A20"><f t="array" ref="A20:XFD1048576">1</f></c>',
        "array, a million rows": '<c r="A20"><f t="array" ref="A20:A1000019">1</f></c>',
        "array backwards": '<c r="A20"><f t="array" ref="B21:A20">1</f></c>',
        "arrays upon another": '<c r="A20"><f t="array" ref="A20:B21">1</f></c>'
        '<c r="B20"><f t="array" ref="B20:C21">2</f></c>',
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
    link = '<Relationship Id="rId99" Type="http://x/externalLink" Target="externalLinks/externalLink1.xml"/>'
    linked = replaced(data, "xl/_rels/workbook.xml.rels", "</Relationships>", f"{link}</Relationships>")
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
            b'<Relationships><Relationship Id="r" Type="x" Target="http://127.0.0.1/x.xlsx" '
            b'TargetMode="External"/></Relationships>',
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


def yarn_list() -> bytes:
    """Return a list of two yarns."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out)
    sheet = book.add_worksheet("Shelf")
    for number, row in enumerate(YARNS):
        sheet.write_row(number, 0, row)
    book.define_name("Mine", "=Shelf!$A$1")
    book.close()
    return out.getvalue()


def within(tag: str, xml: str) -> str:
    """Return XML within an element."""
    return f"<{tag}>{xml}</{tag}>"


def checked(areas: str) -> str:
    """Return a check of what is filled in, for areas of a sheet."""
    rule = f"<dataValidation type='whole' sqref='{areas}'><formula1>1</formula1></dataValidation>"
    return within("dataValidations", rule)


def giants(data: bytes) -> Iterator[tuple[str, bytes]]:
    """Yield lists that say they are far larger than what stands in them, in every way that a sheet has."""
    whole = "A1:XFD1048576"
    after = {
        "merged, the whole sheet": within("mergeCells", f"<mergeCell ref='{whole}'/>"),
        "merged, all rows of a column": within("mergeCells", "<mergeCell ref='A2:A1048576'/>"),
        "merged, upon one another": within("mergeCells", f"<mergeCell ref='{whole}'/>" * 5000),
        "merged, without end": within("mergeCells", "<mergeCell ref='A5:B6'/>" * 400_000),
        "merged, no cells": within(
            "mergeCells",
            "".join(f"<mergeCell ref='{ref}'/>" for ref in ("B2:A1", "A:A", "1:1", "x", "", "A0:XFE1")),
        ),
        "a link on the whole sheet": within("hyperlinks", f"<hyperlink ref='{whole}' location='A1'/>"),
        "links without end": within("hyperlinks", "<hyperlink ref='A1' location='A1'/>" * 400_000),
        "a check on the whole sheet": checked(whole),
        "a check on many areas": checked(" ".join([whole] * 50_000)),
        "colours on the whole sheet": f"<conditionalFormatting sqref='{whole}'><cfRule type='expression' "
        "priority='1'><formula>TRUE</formula></cfRule></conditionalFormatting>" * 1000,
        "a filter on the whole sheet": f"<autoFilter ref='{whole}'/>",
        "breaks without end": within("rowBreaks", "<brk id='1'/>" * 400_000),
    }
    for name, xml in after.items():
        yield name, replaced(data, SHEET, "</sheetData>", f"</sheetData>{xml}")
    row, columns = "<row r='1048576'>", "<col min='1' max='16384' width='9' style='0'/>"
    arrays = "".join(f"<c r='A{at}'><f t='array' ref='A{at}:XFD{at}'>1</f></c>" for at in range(9, 200))
    areas = " ".join([whole] * 50_000)
    rows = {
        "a last row with a look": "<row r='1048576' s='0' customFormat='1'/>",
        "a row far off": "<row r='999999999'><c><v>1</v></c></row>",
        "the last cell": f"{row}<c r='XFD1048576'><v>1</v></c></row>",
        "the last cell, blank": f"{row}<c r='XFD1048576' s='0'/></row>",
        "every row blank": "<row/>" * 1_000_000,
        "a row of a million cells": within("row", "<c/>" * 1_000_000),
        "a cell of a million values": within("row", within("c", "<v/>" * 1_000_000)),
        "arrays over whole rows": within("row", arrays),
    }
    for name, xml in rows.items():
        yield name, replaced(data, SHEET, "</sheetData>", f"{xml}</sheetData>")
    for name, old, new in (
        ("dimension", 'ref="A1:D3"', f'ref="{whole}"'),
        ("dimension, none", 'ref="A1:D3"', 'ref=""'),
        ("columns", "<sheetData>", within("cols", columns) + "<sheetData>"),
        ("columns without end", "<sheetData>", within("cols", columns * 400_000) + "<sheetData>"),
        (
            "marked areas",
            "</sheetViews>",
            f"<sheetView><selection sqref='{areas}'/></sheetView></sheetViews>",
        ),
    ):
        yield name, replaced(data, SHEET, old, new)
    for name in (
        "Mine",
        "_xlnm.Print_Area",
        "_xlnm.Print_Titles",
        "ProblemsList",
        "PlanSummary",
        "YarnNames",
    ):
        new = f'name="{name}">Shelf!$A$1:$XFD$1048576'
        yield f"a name, {name}", replaced(data, "xl/workbook.xml", 'name="Mine">Shelf!$A$1', new)
    names = "".join(f"<definedName name='N{number}'>Shelf!$A$1</definedName>" for number in range(400_000))
    for name, member, end, xml in (
        ("names without end", "xl/workbook.xml", "</definedNames>", names),
        ("shared texts without end", "xl/sharedStrings.xml", "</sst>", "<si/>" * 2_000_000),
        ("looks without end", "xl/styles.xml", "</cellXfs>", "<xf/>" * 400_000),
    ):
        yield name, replaced(data, member, end, f"{xml}{end}")


def stored(files: Iterator[tuple[str, bytes]]) -> Iterator[tuple[str, bytes]]:
    """Yield files unpacked, so that they are not refused for how much they grow."""
    for name, data in files:
        yield name, changed(data, lambda _, part: part, zipfile.ZIP_STORED)


def names_of(planner: bytes, count: int) -> Iterator[tuple[str, bytes]]:
    """Yield planners in which some names lead elsewhere."""
    draw = random.Random(12)
    with zipfile.ZipFile(io.BytesIO(planner)) as package:
        book = package.read("xl/workbook.xml").decode()
    spots = list(re.finditer(r'(?<=<definedName name=")(\w+)">([^<]*)', book))
    for number in range(count):
        chosen = spots if not number else draw.sample(spots, draw.choice((1, 3, 20, 100)))
        text = book
        for spot in sorted(chosen, key=lambda spot: -spot.start()):
            text = f"{text[: spot.start(2)]}{draw.choice(LEADS)}{text[spot.end(2) :]}"
        yield (
            f"names {number}, {chosen[0][1]}",
            changed(planner, lambda at, part, text=text: text.encode() if at == "xl/workbook.xml" else part),  # type: ignore[misc]
        )


def sums(epoch: str) -> openpyxl.Workbook:
    """Return a workbook of formulas, arrays and a date, as the first library writes it."""
    book = openpyxl.Workbook()
    if epoch == "1904":
        book.epoch = openpyxl.utils.datetime.CALENDAR_MAC_1904
    page = book.active
    assert page is not None
    page.append(SUMS)
    for row in range(3, 9):
        page[f"A{row}"], page[f"B{row}"] = row, f"=A{row}*2"
    page["C3"] = ArrayFormula("C3:C8", "=A3:A8*2")
    return book


def writers(office: Office, folder: Path) -> Iterator[tuple[str, bytes]]:
    """Yield the same sums as three libraries and an office write them, for 1900 and 1904."""
    path = folder / "sums.xlsx"
    for epoch in ("1900", "1904"):
        other = xlsxwriter.Workbook(path, {"date_1904": epoch == "1904"})
        sheet = other.add_worksheet()
        sheet.write_row(0, 0, [1, 2, "=A1+B1"])
        sheet.write_datetime(0, 3, date(2020, 5, 17), other.add_format({"num_format": 14}))
        sheet.write_row(0, 4, SUMS[4:])
        sheet.write_column(2, 0, range(3, 9))
        sheet.write_array_formula("C3:C8", "{=A3:A8*2}")
        other.close()
        yield f"XlsxWriter {epoch}", path.read_bytes()
        sums(epoch).save(path)
        yield f"openpyxl {epoch}", path.read_bytes()
        yield f"LibreOffice Calc {epoch}", office.convert(path, "xlsx").read_bytes()
    yield "LibreOffice Calc, macros allowed.xlsm", office.convert(path, MACROS).read_bytes()
    yield "PyExcelerate", by_pyexcelerate([SUMS], path)


def lists(office: Office, folder: Path) -> Iterator[tuple[str, bytes]]:
    """Yield one list of yarns as four libraries and an office save it."""
    path = folder / "list.xlsx"
    yield "PyExcelerate", by_pyexcelerate(YARNS, path)
    yield "XlsxWriter", yarn_list()
    table = pandas.DataFrame(YARNS[1:], columns=YARNS[0])
    table.to_excel(path, index=False)
    yield "pandas", path.read_bytes()
    for epoch in ("1900", "1904"):
        book = openpyxl.Workbook()
        if epoch == "1904":
            book.epoch = openpyxl.utils.datetime.CALENDAR_MAC_1904
        page = book.active
        assert page is not None
        for row in YARNS:
            page.append(row)
        # A column that the list does not ask for, with every kind of formula.
        page["F1"], page["F2"], page["G1"] = "=1+1", ArrayFormula("F2:F3", "=C2:C3*2"), date(2020, 5, 17)
        book.save(path)
        yield f"openpyxl {epoch}", path.read_bytes()
        yield f"LibreOffice Calc {epoch}", office.convert(path, "xlsx").read_bytes()
    yield "LibreOffice Calc, macros allowed.xlsm", office.convert(path, MACROS).read_bytes()
    yield "LibreOffice Calc.csv", office.convert(path, "csv").read_bytes()


def planners(office: Office, planner: Path) -> Iterator[tuple[str, bytes]]:
    """Yield a filled planner as an office saves it, and with the 1904 dates of an old computer."""
    yield "LibreOffice Calc", office.convert(planner, "xlsx").read_bytes()
    yield "LibreOffice Calc, macros allowed.xlsm", office.convert(planner, MACROS).read_bytes()
    yield "1904", replaced(planner.read_bytes(), "xl/workbook.xml", "<workbookPr", '<workbookPr date1904="1"')


def other_formats(office: Office, folder: Path, planner: Path) -> Iterator[tuple[str, bytes]]:
    """Yield what is no workbook, under its own ending and under another."""
    sums("1900").save(folder / "other.xlsx")
    for ending in ("ods", "fods", "xls", "pdf", "html", "csv"):
        data = office.convert(folder / "other.xlsx", ending).read_bytes()
        yield f"{ending} as .xlsx", data
        if ending != "csv":
            yield f"{ending}.{ending}", data
    yield "a planner.ods", planner.with_suffix(".ods").read_bytes()
    yield "a planner, ods as .xlsx", planner.with_suffix(".ods").read_bytes()
    binary = changed(planner.read_bytes(), lambda _, part: part.replace(b"workbook.xml", b"workbook.bin"))
    yield "binary.xlsb", added(binary, "xl/workbook.bin", b"\x83\x01\x00")
    yield "empty", b""
    yield "one byte", b"P"
    yield "zeros", bytes(100_000)
    yield "a picture", b"\x89PNG\r\n\x1a\n" + bytes(1000)
    yield "a shell script", b"#!/bin/sh\nexit 1\n"
    yield "a web page", b"<!DOCTYPE html><html><table><tr><td>1</td></tr></table></html>"


def by_pyexcelerate(rows: list[list[object]], path: Path) -> bytes:
    """Return rows as a third library writes them."""
    book = pyexcelerate.Workbook()
    book.new_sheet("S", data=rows)
    book.save(str(path))
    return path.read_bytes()


def truncated(data: bytes, step: int) -> Iterator[tuple[str, bytes]]:
    """Yield a file cut short at every so many bytes."""
    return ((f"at {length}", data[:length]) for length in range(0, len(data), step))
