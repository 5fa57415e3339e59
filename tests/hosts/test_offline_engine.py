"""What the offline engine makes of formulas: arguments in, results out, what is refused and taints."""

import datetime
import re
import zipfile
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
import xlsxwriter
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl.formula.translate import Translator

from weavefuncs.addin.offline import Report, WorkbookProblem, recalculate
from weavefuncs.addin.offline.engine import bands
from weavefuncs.addin.offline.native import general, is_known_format
from weavefuncs.addin.offline.references import CELL, Skeletons, moved
from weavefuncs.addin.offline.values import CellError

NA, VALUE, DIV, NUM = (CellError(code) for code in ("#N/A", "#VALUE!", "#DIV/0!", "#NUM!"))


class Sheet:
    """A workbook of one sheet, Plan, under construction."""

    def __init__(self, path: Path, functions: dict[str, Callable[[list[Any]], Any]] | None = None):
        self.path = path
        self.functions = functions or {}
        self.book = xlsxwriter.Workbook(path)
        self.sheet = self.book.add_worksheet("Plan")

    def formulas(self, **cells: str) -> None:
        for cell, formula in cells.items():
            self.sheet.write_formula(cell, f"={formula}", None, "stale")

    def calculated(self, edit: Callable[[bytes], bytes] | None = None, check: bool = False) -> Report:
        self.book.close()
        if edit is not None:
            edit_sheet(self.path, edit)
        return recalculate(self.path, check=check, functions=self.functions)


def edit_sheet(path: Path, edit: Callable[[bytes], bytes], member: str = "xl/worksheets/sheet1.xml") -> None:
    out = BytesIO()
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(out, "w") as new:
        for info in old.infolist():
            part = old.read(info)
            new.writestr(info, edit(part) if info.filename == member else part)
    path.write_bytes(out.getvalue())


@pytest.fixture
def plan(tmp_path: Path) -> Sheet:
    return Sheet(tmp_path / "plan.xlsx")


def notes(report: Report) -> dict[str, str]:
    return {note.cell: note.text for note in report.uncalculated}


def test_every_spelling_of_a_function(plan: Sheet) -> None:
    plan.functions = {"WEAVE.DOUBLE": lambda arguments: arguments[0] * 2}
    spellings = ["WEAVE.DOUBLE", "WEAVE_DOUBLE", "_xldudf_WEAVE_DOUBLE", "weave.double", "Weave_Double"]
    spellings += ["_XLDUDF_weave_double", "_xlfn.WEAVE.DOUBLE", "_xll.WEAVE.DOUBLE", "_xludf.WEAVE_DOUBLE"]
    for row, spelling in enumerate(spellings, 1):
        plan.sheet.write_formula(f"A{row}", f"={spelling}(4)+1")
    report = plan.calculated()
    assert [report.value("Plan", f"A{row}") for row in range(1, len(spellings) + 1)] == [9.0] * len(spellings)


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("A1", [2.5]),
        ("A2", ["text"]),
        ("A3", [True]),
        ("A4", [None]),
        ("A5", [DIV]),
        ("A6", [""]),
        ("3", [3.0]),
        ('"3"', ["3"]),
        ("FALSE", [False]),
        ("NA()", [NA]),
        ("", []),
        ("A1,,A2", [2.5, None, "text"]),
        (",", [None, None]),
        ("A1,", [2.5, None]),
        (" , A1 ", [None, 2.5]),
        ("IF(TRUE,,1),A1", [0.0, 2.5]),
        ("A1:A6", [[[2.5], ["text"], [True], [None], [DIV], [""]]]),
        ("A1:B1", [[[2.5, None]]]),
        ("A4:A4", [None]),
        ("{1,2;3,4}", [[[1.0, 2.0], [3.0, 4.0]]]),
        ("DATE(2024,1,1)", [45292.0]),
        ("A1*2", [5.0]),
    ],
)
def test_what_a_function_is_given(plan: Sheet, written: str, expected: list[Any]) -> None:
    seen: list[list[Any]] = []

    def see(arguments: list[Any]) -> float:
        seen.append(arguments)
        return 1.0

    plan.functions = {"WEAVE.SEE": see}
    plan.sheet.write("A1", 2.5)
    plan.sheet.write("A2", "text")
    plan.sheet.write("A3", True)
    plan.formulas(A5="1/0", A6='""', C1=f"WEAVE.SEE({written})")
    assert plan.calculated().value("Plan", "C1") == 1.0
    assert seen == [expected]
    assert [type(value) for value in seen[0]] == [type(value) for value in expected]


@pytest.mark.parametrize(
    ("result", "expected", "stored"),
    [
        (3, 3.0, b"><f>WEAVE.GIVE()</f><v>3</v>"),
        (2.5, 2.5, b"><f>WEAVE.GIVE()</f><v>2.5</v>"),
        (0.1 + 0.2, 0.1 + 0.2, b"><f>WEAVE.GIVE()</f><v>0.30000000000000004</v>"),
        ("a < b", "a < b", b' t="str"><f>WEAVE.GIVE()</f><v>a &lt; b</v>'),
        ("", "", b' t="str"><f>WEAVE.GIVE()</f><v></v>'),
        (None, "", b' t="str"><f>WEAVE.GIVE()</f><v></v>'),
        ("12", "12", b' t="str"><f>WEAVE.GIVE()</f><v>12</v>'),
        ("#N/A", "#N/A", b' t="str"><f>WEAVE.GIVE()</f><v>#N/A</v>'),
        (True, True, b' t="b"><f>WEAVE.GIVE()</f><v>1</v>'),
        (NA, NA, b' t="e"><f>WEAVE.GIVE()</f><v>#N/A</v>'),
        (float("nan"), NUM, b' t="e"><f>WEAVE.GIVE()</f><v>#NUM!</v>'),
        (float("inf"), NUM, b' t="e"><f>WEAVE.GIVE()</f><v>#NUM!</v>'),
        ([[7]], 7.0, b"><f>WEAVE.GIVE()</f><v>7</v>"),
        ([[7, 8], [9, 10]], 7.0, b"><f>WEAVE.GIVE()</f><v>7</v>"),
        ([["x"], [1]], "x", b' t="str"><f>WEAVE.GIVE()</f><v>x</v>'),
    ],
)
def test_what_a_function_gives(plan: Sheet, result: Any, expected: Any, stored: bytes) -> None:
    plan.functions = {"WEAVE.GIVE": lambda _: result}
    plan.formulas(A1="WEAVE.GIVE()")
    report = plan.calculated()
    assert report.value("Plan", "A1") == expected
    assert type(report.value("Plan", "A1")) is type(expected)
    with zipfile.ZipFile(plan.path) as package:
        assert b'<c r="A1"' + stored in package.read("xl/worksheets/sheet1.xml")


@pytest.mark.parametrize(
    "result", [object(), b"bytes", {"a": 1}, [1, 2], [], [[object()]], 10**400, CellError("#ODD!")]
)
def test_a_result_that_is_none_stops_the_command(plan: Sheet, result: Any) -> None:
    plan.functions = {"WEAVE.GIVE": lambda _: result}
    plan.formulas(A1="IFERROR(WEAVE.GIVE(),1)", A2="1+1")
    plan.book.close()
    before = plan.path.read_bytes()
    with pytest.raises(WorkbookProblem, match=r"WEAVE\.GIVE failed"):
        recalculate(plan.path, functions=plan.functions)
    assert plan.path.read_bytes() == before


def test_errors_travel(plan: Sheet) -> None:
    plan.functions = {"WEAVE.BAD": lambda _: NA}
    plan.formulas(A1="WEAVE.BAD()", A2="A1+1", A3="SUM(A1:A2)", A4='IFERROR(A1,"none")', A5="ISNA(A1)")
    plan.formulas(A6='IFNA(A2,"none")', A7="1/0", A8='IFNA(A7,"none")')
    report = plan.calculated()
    values = [report.value("Plan", f"A{row}") for row in range(1, 9)]
    assert values == [NA, NA, NA, "none", True, "none", DIV, DIV]
    assert [(note.cell, note.text) for note in report.errors] == [
        ("A1", "#N/A"),
        ("A2", "#N/A"),
        ("A3", "#N/A"),
        ("A7", "#DIV/0!"),
        ("A8", "#DIV/0!"),
    ]
    assert not report.uncalculated


def test_arrays_fill_their_cells(plan: Sheet) -> None:
    plan.functions = {"WEAVE.GRID": lambda _: [[1, 0], [0, "x"]], "WEAVE.ONE": lambda _: 5}
    plan.sheet.write_array_formula("A1:B2", "{=WEAVE.GRID()}")
    plan.sheet.write_array_formula("D1:F3", "{=WEAVE_GRID()}")
    plan.sheet.write_array_formula("H1:H2", "{=WEAVE.ONE()}")
    plan.sheet.write_array_formula("J1", "{=WEAVE.GRID()}")
    plan.formulas(
        A5="INDEX(WEAVE.GRID(),2,2)", A6="SUM(WEAVE.GRID())", A7="SUM(A1:B2)", A8="B2", A9="WEAVE.GRID()+1"
    )
    report = plan.calculated()

    def row(cells: str) -> list[Any]:
        return [report.value("Plan", cell) for cell in cells.split()]

    assert row("A1 B1 A2 B2") == [1, 0, 0, "x"]
    assert row("D1 E1 F1 D2 E2 F2 D3 E3 F3") == [1, 0, NA, 0, "x", NA, NA, NA, NA]
    assert row("H1 H2 J1") == [5, 5, 1]
    assert row("A5 A6 A7 A8 A9") == ["x", 1, 1, "x", 2]
    assert report.formulas == 4 + 9 + 2 + 1 + 5
    assert recalculate(plan.path, check=True, functions=plan.functions).changed == 0


def test_an_array_that_would_change_its_size_is_left_alone(plan: Sheet) -> None:
    plan.functions = {"WEAVE.GRID": lambda _: [[1], [2], [3]]}
    plan.sheet.write_dynamic_array_formula("A1:A2", "=WEAVE.GRID()")
    plan.formulas(C1="A2+1")
    assert notes(plan.calculated()) == {
        "A1": "its array now has another size",
        "A2": "it depends on Plan!A1",
        "C1": "it depends on Plan!A1",
    }


def test_a_range_in_the_place_of_a_value_is_the_cell_beside(plan: Sheet) -> None:
    plan.sheet.write_column("A1", [1, 2, 3])
    plan.sheet.write_row("F6", [7, 8])
    plan.formulas(C2="A1:A3*10", C3="-$A$1:$A$3", C9="A1:A3", F8="F6:G6+0", C4='IF(A1:A4="","none",1)')
    report = plan.calculated()
    assert [report.value("Plan", cell) for cell in ("C2", "C3", "C9", "F8", "C4")] == [
        20,
        -3,
        VALUE,
        7,
        "none",
    ]


def test_shared_formulas(plan: Sheet) -> None:
    plan.sheet.write_column("A1", [1, 2, 3])
    plan.sheet.write("B1", 10)
    plan.formulas(C1="A1*$B$1", C2="0", C3="0")

    def share(part: bytes) -> bytes:
        part = part.replace(b"<f>A1*$B$1</f>", b'<f t="shared" ref="C1:C3" si="0">A1*$B$1+SUM(A$1:A1)</f>')
        return part.replace(b"<f>0</f>", b'<f t="shared" si="0"/>')

    report = plan.calculated(share)
    assert [report.value("Plan", f"C{row}") for row in (1, 2, 3)] == [11, 23, 36]


def test_tables(plan: Sheet) -> None:
    columns = [
        {"header": "Yarn"},
        {"header": "Qty"},
        {"header": "A1 [x]", "formula": "Stash[[#This Row],[Qty]]*2"},
    ]
    plan.sheet.add_table("B3:D6", {"name": "Stash", "columns": columns, "total_row": True})
    plan.sheet.write_column("B4", ["wool", "silk"])
    plan.sheet.write_column("C4", [3, 4])
    plan.formulas(
        F1="SUM(Stash[Qty])",
        F2="SUM(stash[[Qty]:[A1 '[x']]])",
        F3="Stash[[#Headers],[Qty]]",
        F4="Stash[[#This Row],[Qty]]+1",
        F5="Stash[@Qty]+1",
        F7="Stash[@Qty]",
        G4="SUMPRODUCT(LEN(Stash[[#This Row],[Yarn]])*1)",
        F8="COUNTA(Stash[#All])",
        F9='VLOOKUP("silk",Stash[],2,FALSE)',
        F10='SUMIFS(Stash[Qty],Stash[Yarn],"wool")',
        F11="SUM(Stash[[#Data],[#Totals],[Qty]])",
        D6="SUBTOTAL(109,[A1 '[x']])",
        F12="SUM(Nowhere[Qty])",
        F13="SUM(Stash[Nothing])",
        F14="SUM(Stash[[Yarn],[Qty]])",
    )
    report = plan.calculated()

    def values(cells: str) -> list[Any]:
        return [report.value("Plan", cell) for cell in cells.split()]

    assert values("D4 D5 D6 G4") == [6, 8, 14, 4]
    assert values("F1 F2 F3 F4 F5 F7 F9 F10 F11") == [7, 21, "Qty", 4, 5, VALUE, 4, 3, 7]
    assert report.value("Plan", "F8") == 3 + 4 + 2 + 1
    assert set(notes(report)) == {"F12", "F13", "F14"}


def test_names(plan: Sheet) -> None:
    plan.sheet.write_column("A1", [1, 2, 3])
    for name, formula in {
        "Rate": "=Plan!$A$2",
        "Rows": "=Plan!$A$1:$A$3",
        "Tax": "=0.2+0.1",
        "Words": '="yarn"',
        "Plan!Local": "=Plan!$A$3",
        "Twice": "=2*Rate",
        "Round1": "=Round2",
        "Round2": "=Round1",
    }.items():
        plan.book.define_name(name, formula)
    plan.formulas(
        C1="Rate*2", C2="SUM(Rows)", C3="10*Tax", C4='Words&"!"', C5="Local", C6="Plan!Local+1", C7="twice"
    )
    plan.formulas(C8="Round1", C9="Missing+1", C10="Rows", C11="INDEX(Rows,2)")
    report = plan.calculated()
    values = [report.value("Plan", f"C{row}") for row in (1, 2, 3, 4, 5, 6, 7, 10, 11)]
    assert values == [4, 6, pytest.approx(3), "yarn!", 3, 4, 4, VALUE, 2]
    assert set(notes(report)) == {"C8", "C9"}
    assert report.name_values("Rate") == [[2]]
    assert report.name_values("ROWS") == [[1], [2], [3]]
    with pytest.raises(KeyError):
        report.name_values("Tax")


def test_a_name_that_counts_from_the_cell(plan: Sheet) -> None:
    plan.sheet.write_column("A1", [1, 2, 3])
    plan.book.define_name("Left", "=Plan!$A1")
    plan.formulas(B2="Left*2", B3="Left*2")
    report = plan.calculated()
    assert (report.value("Plan", "B2"), report.value("Plan", "B3")) == (4, 6)


def test_dates_are_serial_numbers(plan: Sheet) -> None:
    plan.formulas(
        A1="DATE(2024,2,29)", A2="TIME(6,0,0)", A3="TODAY()", A4="A1+1", A5="IF(TRUE,A1)", A6='A1&""'
    )
    report = plan.calculated()
    today = (datetime.date.today() - datetime.date(1899, 12, 30)).days
    assert [report.value("Plan", f"A{row}") for row in (1, 2, 4, 5, 6)] == [
        45351,
        0.25,
        45352,
        45351,
        "45351",
    ]
    assert report.value("Plan", "A3") in (today, today - 1)


@pytest.mark.parametrize(
    ("formula", "reason"),
    [
        ("NOSUCH(1)", "there is no function NOSUCH"),
        ("WEAVE.NOSUCH(1)", "there is no function WEAVE.NOSUCH"),
        ("[1]Sheet1!A1", "another file"),
        ("SUM('[1]My sheet'!A1:A3)", "another file"),
        ("[2]!Name", "another file"),
        ("'C:\\x\\[y.xlsx]Sheet'!A1", "another file"),
        ("A1+", "not understood"),
        ("SUM(A1", "brackets|not understood"),
        ("Missing", "not defined"),
        ("SUM(Plan:Other!A1)", "not understood|not defined"),
        ("C1", "depends on itself"),
        ("C1+1", "depends on itself"),
        ("C2", "depends on itself|depends on"),
        ("TRANSPOSE(A1:A3)", "cannot calculate"),
        ("REPT(INDEX(A1:A3,0),2)", "cannot calculate"),
        ("IF(TRUE,{1,2,3})", "several cells|do not fit"),
        ("ISFORMULA(A1)", "ISFORMULA"),
        ('TEXT(A1,"# ?/?")', "cannot write the format"),
        ("SUM((A1:A2,A3))", "cannot calculate"),
        ('REPT("x",30000)&REPT("x",30000)', "longer than a cell holds"),
    ],
)
def test_what_cannot_be_calculated_is_listed_and_taints(plan: Sheet, formula: str, reason: str) -> None:
    plan.sheet.write_column("A1", [1, 2, 3])
    plan.sheet.write_formula("C1", f"={formula}", None, 77)
    plan.sheet.write_formula("C2", "=C1+1", None, 78)
    plan.sheet.write_formula("C3", '=IFERROR(SUM(C1:C2),"fine")', None, 79)
    plan.sheet.write_formula("E1", "=A1+1", None, 0)
    report = plan.calculated()
    found = notes(report)
    assert re.search(reason, found["C1"])
    assert set(found) == {"C1", "C2", "C3"}
    assert [report.value("Plan", cell) for cell in ("C1", "C2", "C3", "E1")] == [77, 78, 79, 2]
    with zipfile.ZipFile(plan.path) as package:
        sheet = package.read("xl/worksheets/sheet1.xml")
    for kept in (b"<v>77</v>", b"<v>78</v>", b"<v>79</v>"):
        assert kept in sheet


@pytest.mark.parametrize(
    "formula",
    [
        "(" * 900 + "1" + ")" * 900,
        "-" * 5000 + "1",
        "ABS(" * 2000 + "1" + ")" * 2000,
        "+".join(["1"] * 4000),
        "[" * 3000,
    ],
    ids=["brackets", "signs", "calls", "terms", "square brackets"],
)
def test_endless_formulas_are_refused(plan: Sheet, formula: str) -> None:
    plan.formulas(A1=formula, A2="1+1")
    report = plan.calculated()
    assert set(notes(report)) == {"A1"}
    assert report.value("Plan", "A2") == 2


def test_names_that_double_are_refused(plan: Sheet) -> None:
    for number in range(1, 36):
        plan.book.define_name(
            f"Doubling{number}x", f"=Doubling{number - 1}x+Doubling{number - 1}x" if number > 1 else "=1"
        )
    plan.formulas(A1="Doubling35x", A2="Doubling3x")
    report = plan.calculated()
    assert set(notes(report)) == {"A1"}
    assert report.value("Plan", "A2") == 4


def test_a_long_range_cell_by_cell(plan: Sheet) -> None:
    plan.sheet.write_column("A1", ["ab"] * 900)
    plan.formulas(C1="SUMPRODUCT(LEN(A1:A900))", C2="SUMPRODUCT(LEN(A:A))")
    report = plan.calculated()
    assert report.value("Plan", "C1") == 1800
    assert set(notes(report)) == {"C2"}


def test_a_formula_that_spills_does_not_reach_its_neighbours(plan: Sheet) -> None:
    plan.sheet.write_column("A1", [1, 2, 3])
    plan.formulas(C1="IF(TRUE,{1;2;3})", E1="SUM(C2:C9)+5", E2="COUNTA(C5:C9)")
    report = plan.calculated()
    assert set(notes(report)) == {"C1"}
    assert (report.value("Plan", "E1"), report.value("Plan", "E2")) == (5, 0)


def test_hidden_rows(plan: Sheet) -> None:
    plan.sheet.write_column("A1", [1, 2, 3])
    plan.sheet.set_row(1, None, None, {"hidden": True})
    plan.formulas(C1="SUBTOTAL(109,A1:A3)", C2="SUBTOTAL(9,A3:A4)", C3="SUM(A1:A3)")
    report = plan.calculated()
    assert set(notes(report)) == {"C1"}
    assert (report.value("Plan", "C2"), report.value("Plan", "C3")) == (3, 6)


def test_stale_values_do_not_leak(plan: Sheet) -> None:
    plan.sheet.write("A1", 5)
    for row in range(2, 50):
        plan.sheet.write_formula(f"A{row}", f"=A{row - 1}+1", None, 999)
    report = plan.calculated()
    assert report.value("Plan", "A49") == 53
    assert report.changed == 48


def test_the_functions_of_this_library_are_the_default(plan: Sheet) -> None:
    plan.formulas(A1="WEAVE.ENDS(20,24)", A2='WEAVE_WHY("ENDS",-20,24)', A3="WEAVE.ENDS(-20,24)")
    plan.book.close()
    report = recalculate(plan.path)
    assert report.value("Plan", "A1") == 480  # 20 in at 24 ends an inch
    assert "width" in str(report.value("Plan", "A2"))
    assert report.value("Plan", "A3") == VALUE


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (1 / 3, "0.333333333333333"),
        (0.1 + 0.2, "0.3"),
        (1e15, "1E+15"),
        (1.5e-9, "0.0000000015"),
        (123456789012345.0, "123456789012345"),
        (-2.0, "-2"),
        (-0.0, "0"),
        (1e-300, "1E-300"),
    ],
)
def test_numbers_as_text(value: float, text: str) -> None:
    """As Excel shows them with the format General in a wide cell (from memory)."""
    assert general(value) == text


def test_formats() -> None:
    for known in [
        "0",
        "0.00",
        "#,##0.0",
        "0%",
        '0" ends"',
        "+0;-0;0",
        "yyyy-mm-dd",
        "hh:mm AM/PM",
        "[h]:mm",
        "@",
        "General",
    ]:
        assert is_known_format(known), known
    for unknown in ["# ?/?", "0.00E+00", "00-00", "# ##0", "0?", "[Red]0", "yyyy;0"]:
        assert not is_known_format(unknown), unknown


@pytest.mark.parametrize("piece", ["y", "[h]", '"', '"a"', "\\a", " ", "0", "0,", "[", "AM/PM"])
def test_a_long_format_is_read_once(piece: str) -> None:
    # Thirty letters were read in every way that they can be parted.
    assert not is_known_format(piece * 100_000 + "!")
    assert not is_known_format(piece * 100_000 + '"')


COLUMN = st.integers(1, 60).map(
    lambda number: chr(64 + number) if number <= 26 else "A" + chr(64 + number - 26 if number <= 52 else 90)
)
REFERENCE = st.builds(
    lambda a, b, c, d: f"{a}{b}{c}{d}",
    st.sampled_from(["", "$"]),
    COLUMN,
    st.sampled_from(["", "$"]),
    st.integers(1, 500),
)
PIECE = st.one_of(
    REFERENCE,
    st.builds(lambda a, b: f"SUM({a}:{b})", REFERENCE, REFERENCE),
    st.builds(lambda a: f"'A1 sheet'!{a}", REFERENCE),
    st.sampled_from(['"text A1 ""B2"""', "12", "1E5", "LOG10(2)", "TRUE", "Rate_2"]),
)


@settings(deadline=None, derandomize=True)
@given(st.lists(PIECE, min_size=1, max_size=5), st.integers(0, 200), st.integers(0, 20))
def test_moved_formulas_as_openpyxl_moves_them(pieces: list[str], rows: int, columns: int) -> None:
    formula = "+".join(pieces)
    bones, references = Skeletons().of(formula)
    shifted = iter(moved(references, rows, columns))
    ours = re.sub(CELL, lambda _: next(shifted), bones)
    expected = Translator("=" + formula, origin="A1").translate_formula(row_delta=rows, col_delta=columns)
    assert "=" + ours == expected


NUMBER = st.sampled_from(["1", "2", "10", "999999", "1048576", "1048577", "0", "07", "12345678"])


@settings(deadline=None, derandomize=True)
@given(
    st.lists(
        st.sampled_from(
            ["A{}", "$B${}:C{}", "{}:{}", "LOG{}(A{})", '"A{}"', "'A{}'!A{}", "{}E{}", "XFE{}", "A{}_B{}"]
        ),
        min_size=1,
        max_size=4,
    ),
    st.lists(st.lists(NUMBER, min_size=8, max_size=8), min_size=2, max_size=6),
)
def test_a_formula_is_read_alike_whatever_was_read_before(
    pieces: list[str], numbers: list[list[str]]
) -> None:
    together = Skeletons()
    for chosen in numbers:
        formula = "+".join(pieces).format(*chosen)
        bones, references = together.of(formula)
        alone, mentioned = Skeletons().of(formula)
        assert (bones, list(references)) == (alone, list(mentioned)), formula


@settings(deadline=None, derandomize=True)
@given(st.sets(st.tuples(st.integers(1, 60), st.integers(1, 90)), max_size=80))
def test_bands_cover_every_cell_and_not_much_more(positions: set[tuple[int, int]]) -> None:
    covered = [
        (row, column)
        for top, left, bottom, right in bands(positions)
        for row in range(top, bottom + 1)
        for column in range(left, right + 1)
    ]
    assert positions <= set(covered)
    assert len(covered) <= 66 * len(positions)
