"""Values spliced into sheet parts: nothing but values and types of formula cells may differ."""

import re
import struct
import zipfile
import zlib
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree

import pytest
import xlsxwriter
from hypothesis import given, settings
from hypothesis import strategies as st

from weavefuncs.addin.offline import recalculate
from weavefuncs.addin.offline.sheets import read_cells
from weavefuncs.addin.offline.splice import number_text, same, splice
from weavefuncs.addin.offline.values import CellError, Value

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


def one_pixel() -> bytes:
    """A picture: one white pixel as PNG, put together after the PNG specification."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = chunk(b"IHDR", struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + header + chunk(b"IDAT", zlib.compress(b"\0\xff")) + chunk(b"IEND", b"")


def lived_in_workbook(path: Path) -> None:
    """A workbook as a user leaves it: text box, chart, note, image, own sheet, formats, unknown parts."""
    book = xlsxwriter.Workbook(path)
    plan, notes = book.add_worksheet("Plan"), book.add_worksheet("My own")
    plan.write_column("A1", [10, 20, 30])
    for row in (1, 2, 3):
        plan.write_formula(f"B{row}", f"=WEAVE.DOUBLE(A{row})", None, 999)
    plan.write_formula("B4", '=SUM(B1:B3)&" ends"', None, "stale")
    plan.write_formula("B5", "=B1>15", None, False)
    plan.write_formula("B6", "=WEAVE.DOUBLE(-1)", None, 3)
    plan.write_array_formula("D1:D3", "{=A1:A3*2}")
    plan.insert_textbox("F2", "remember the hems & <fringe>")
    plan.insert_image("F10", "dot.png", {"image_data": BytesIO(one_pixel())})
    plan.write_comment("A1", "a note with its own size", {"width": 200, "height": 80})
    plan.conditional_format("B1:B3", {"type": "data_bar", "data_bar_2010": True})
    plan.data_validation("A1", {"validate": "list", "source": ["10", "20"]})
    plan.add_sparkline("E1", {"range": "Plan!A1:A3"})
    chart = book.add_chart({"type": "column"})
    chart.add_series({"values": "=Plan!$B$1:$B$3"})
    plan.insert_chart("H2", chart)
    notes.write("A1", "mine, leave it alone")
    notes.write_formula("A2", "=Plan!B1+1", None, 0)
    book.close()
    with zipfile.ZipFile(path) as old:
        parts = [(info, old.read(info)) for info in old.infolist()]
    with zipfile.ZipFile(path, "w") as new:
        for info, part in parts:
            text = part
            if info.filename == "xl/worksheets/sheet1.xml":
                # An extension inside a cell's row neighbourhood, with names that look like cells.
                strange = b'<ext uri="{0}" xmlns:q="urn:q"><q:c r="B1"><f>1</f><v>7</v></q:c></ext></extLst>'
                text = text.replace(b"</extLst>", strange)
                assert strange in text
            new.writestr(info, text)
        stamped = zipfile.ZipInfo("customXml/item1.xml", (1999, 12, 31, 23, 59, 58))
        stamped.comment, stamped.external_attr = b"kept", 0o640 << 16
        new.writestr(stamped, b"<odd><!-- thing --></odd>", zipfile.ZIP_STORED)
        new.writestr("xl/calcChain.xml", b"<calcChain/>", zipfile.ZIP_DEFLATED, 9)
        new.comment = b"a comment of the file"


def doubled(arguments: list[object]) -> object:
    number = arguments[0]
    return CellError("#VALUE!") if not isinstance(number, float) or number < 0 else number * 2


FUNCTIONS = {"WEAVE.DOUBLE": doubled}


def local_records(data: bytes) -> dict[str, bytes]:
    """Each member's raw local record, from its header to the next one's."""
    with zipfile.ZipFile(BytesIO(data)) as package:
        infos = sorted(package.infolist(), key=lambda info: info.header_offset)
        ends = [*(info.header_offset for info in infos[1:]), package.start_dir]
    return {info.filename: data[info.header_offset : end] for info, end in zip(infos, ends, strict=True)}


def without_results(part: bytes) -> bytes:
    """Strip the value and the type of every formula cell (by pattern: XlsxWriter's cells are regular)."""
    stripped = re.sub(
        rb'(<c r="[A-Z]+\d+"(?: s="\d+")?)(?: t="\w+")?(><f[^>]*>[^<]*</f>)<v>[^<]*</v>', rb"\1\2", part
    )
    return re.sub(rb'(<c r="D[123]")(?: t="\w+")?><v>[^<]*</v>', rb"\1>", stripped)


def test_only_values_and_types_of_formula_cells_differ(tmp_path: Path) -> None:
    path = tmp_path / "plan.xlsx"
    lived_in_workbook(path)
    old = path.read_bytes()
    path.chmod(0o640)
    report = recalculate(path, functions=FUNCTIONS)
    new = path.read_bytes()
    assert report.changed == 10
    assert not report.uncalculated
    assert path.stat().st_mode & 0o777 == 0o640

    before, after = local_records(old), local_records(new)
    assert list(before) == list(after)
    changed = {name for name in before if before[name] != after[name]}
    assert changed == {"xl/worksheets/sheet1.xml", "xl/worksheets/sheet2.xml"}
    with zipfile.ZipFile(BytesIO(old)) as one, zipfile.ZipFile(BytesIO(new)) as two:
        assert two.testzip() is None
        assert one.comment == two.comment
        for was, now in zip(one.infolist(), two.infolist(), strict=True):
            kept = (
                "filename",
                "date_time",
                "compress_type",
                "comment",
                "extra",
                "external_attr",
                "create_system",
            )
            assert [getattr(was, name) for name in kept] == [getattr(now, name) for name in kept]
        for name in changed:
            assert one.read(name) != two.read(name)
            assert without_results(one.read(name)) == without_results(two.read(name))
        sheet = two.read("xl/worksheets/sheet1.xml")
    assert b'<c r="B2"><f>WEAVE.DOUBLE(A2)</f><v>40</v></c>' in sheet
    assert b'<c r="B4" t="str"><f>SUM(B1:B3)&amp;" ends"</f><v>120 ends</v></c>' in sheet
    assert b'<c r="B5" t="b"><f>B1&gt;15</f><v>1</v></c>' in sheet
    assert b'<c r="B6" t="e"><f>WEAVE.DOUBLE(-1)</f><v>#VALUE!</v></c>' in sheet
    assert b'<c r="D3"><v>60</v></c>' in sheet


def test_a_second_run_writes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "plan.xlsx"
    lived_in_workbook(path)
    recalculate(path, functions=FUNCTIONS)
    stamp = path.stat()
    assert recalculate(path, functions=FUNCTIONS).changed == 0
    assert (path.stat().st_mtime_ns, path.stat().st_ino) == (stamp.st_mtime_ns, stamp.st_ino)


def test_check_and_a_copy_leave_the_workbook_alone(tmp_path: Path) -> None:
    path = tmp_path / "plan.xlsx"
    lived_in_workbook(path)
    old = path.read_bytes()
    assert recalculate(path, check=True, functions=FUNCTIONS).changed == 10
    assert [entry.name for entry in tmp_path.iterdir()] == ["plan.xlsx"]
    recalculate(path, tmp_path / "copy.xlsx", functions=FUNCTIONS)
    assert path.read_bytes() == old
    assert recalculate(tmp_path / "copy.xlsx", check=True, functions=FUNCTIONS).changed == 0


VALUES: st.SearchStrategy[Value] = st.one_of(
    st.booleans(),
    st.floats(allow_nan=False, allow_infinity=False),
    st.integers(-(10**6), 10**6).map(float),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=12),
    st.sampled_from(["", " x ", "a & b < c > d", "_x0041_", "]]>", "line\nbreak\r\n", "\"'"]),
    st.sampled_from([CellError("#N/A"), CellError("#DIV/0!")]),
)
SPACE = st.sampled_from([" ", "  ", "\n", "\t "])
COMMENT = st.sampled_from(["", "", "<!-- <c r='A1'><f>1</f><v>2</v></c> -->", "<?odd <v>3</v>?>"])


@st.composite
def sheets(draw: st.DrawFn) -> tuple[str, list[str]]:
    """A sheet part in some other program's hand, and its formula cells in order."""
    prefix = draw(st.sampled_from(["", "x:", "weird-name.1:"]))
    declared = f' xmlns:{prefix[:-1]}="{MAIN}"' if prefix else f' xmlns="{MAIN}"'

    def attributes(**given: str) -> str:
        names = draw(st.permutations(list(given)))
        out = ""
        for name in names:
            quote = draw(st.sampled_from("\"'"))
            equals = draw(st.sampled_from(["=", " = "]))
            out += f"{draw(SPACE)}{name}{equals}{quote}{given[name]}{quote}"
        return out + draw(st.sampled_from(["", " "]))

    def element(name: str, attributes: str, content: str | None) -> str:
        if content is None:
            return f"<{prefix}{name}{attributes}/>"
        return f"<{prefix}{name}{attributes}>{content}</{prefix}{name}{draw(st.sampled_from(['', ' ']))}>"

    names: list[str] = []
    rows = ""
    for row in range(1, draw(st.integers(1, 4)) + 1):
        cells = ""
        for column in "ABC":
            name = f"{column}{row}"
            given = {"r": name}
            if draw(st.booleans()):
                given |= {"s": "1", "odd": "t=&quot;s&quot; >" if draw(st.booleans()) else "t"}
            kind = draw(st.sampled_from(["formula", "formula", "number", "empty", "inline"]))
            if kind == "empty":
                cells += element("c", attributes(**given), None)
            elif kind == "number":
                cells += element("c", attributes(**given), element("v", "", "4.5"))
            elif kind == "inline":
                text = element("is", "", element("t", "", "<![CDATA[<v>1</v>]]>"))
                cells += element("c", attributes(**given, t="inlineStr"), text)
            else:
                names.append(name)
                if draw(st.booleans()):
                    given["t"] = draw(st.sampled_from(["str", "n", "b"]))
                stored = draw(st.sampled_from(["none", "empty", "1", "comment"]))
                value = {
                    "none": "",
                    "empty": element("v", "", None),
                    "1": element("v", "", "1"),
                    "comment": element("v", attributes(odd="a>b"), "<!-- no -->1<![CDATA[]]>"),
                }[stored]
                formula = element(
                    "f", attributes(ca="1"), draw(st.sampled_from(["A1+1", "<![CDATA[1<2]]>", None]))
                )
                extension = draw(st.sampled_from(["", element("extLst", "", "<f>1</f><v>8</v>")]))
                cells += element(
                    "c", attributes(**given), f"{draw(COMMENT)}{formula}{draw(COMMENT)}{value}{extension}"
                )
        rows += draw(COMMENT) + element("row", attributes(r=str(row)), cells)
    data = draw(COMMENT) + element("sheetData", "", rows)
    tail = element("extLst", "", element("c", ' r="A1"', element("f", "", "1") + element("v", "", "2")))
    head = draw(st.sampled_from(["", '<?xml version="1.0" encoding="UTF-8"?>', "\ufeff"]))
    return f"{head}<{prefix}worksheet{declared}>{data}{tail}</{prefix}worksheet>", names


def tree_without_results(part: bytes, names: list[str]) -> str:
    """The part as a tree, with values and types of the named cells taken out: an independent reader."""
    parser = ElementTree.XMLParser(target=ElementTree.TreeBuilder(insert_comments=True, insert_pis=True))
    root = ElementTree.fromstring(part, parser)
    data = root.find(f"{{{MAIN}}}sheetData")
    assert data is not None
    for cell in data.iter(f"{{{MAIN}}}c"):
        if cell.get("r") in names:
            cell.attrib.pop("t", None)
            for value in cell.findall(f"{{{MAIN}}}v"):
                cell.remove(value)
    return ElementTree.tostring(root, encoding="unicode")


@settings(max_examples=150, deadline=None, derandomize=True)
@given(sheets(), st.data())
def test_any_hand_of_xml(sheet: tuple[str, list[str]], data: st.DataObject) -> None:
    part, names = sheet[0].encode(), sheet[1]
    cells = read_cells(part, "sheet", [])
    assert [f"{'ABC'[cell.column - 1]}{cell.row}" for cell in cells.formulas] == names
    results = [(cell, data.draw(VALUES)) for cell in cells.formulas]
    spliced = splice(part, results)
    again = read_cells(spliced, "sheet", [])
    assert again.values == cells.values
    for cell, (old, value) in zip(again.formulas, results, strict=True):
        assert same(cell, value)
        assert (cell.formula, cell.formula_attributes) == (old.formula, old.formula_attributes)
    assert tree_without_results(spliced, names) == tree_without_results(part, names)
    assert (
        splice(spliced, [(cell, value) for cell, (_, value) in zip(again.formulas, results, strict=True)])
        == spliced
    )
    assert (
        splice(
            part,
            [
                (cell, cell.stored)
                for cell in cells.formulas
                if cell.text is not None and same(cell, cell.stored)
            ],
        )
        == part
    )


@settings(deadline=None, derandomize=True)
@given(st.floats(allow_nan=False, allow_infinity=False))
def test_numbers_read_back_exactly(number: float) -> None:
    assert float(number_text(number)) == number


@pytest.mark.parametrize("value", [float("nan"), float("inf"), None, object(), 3])
def test_a_result_that_is_no_cell_value_stops_everything(value: object) -> None:
    part = f'<worksheet xmlns="{MAIN}"><sheetData><row><c><f>1</f></c></row></sheetData></worksheet>'.encode()
    (cell,) = read_cells(part, "sheet", []).formulas
    with pytest.raises(Exception, match="no cell value"):
        splice(part, [(cell, value)])  # type: ignore[list-item]
