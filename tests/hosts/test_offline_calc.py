"""The offline engine against a real LibreOffice Calc: the same native formulas, the same answers.

Where Excel and Calc are known to differ (the number of digits of a power of ten in text, whether TRUE counts
as a number) a formula is left out: the engine follows Excel there. Left out too are the error codes that Calc
writes as #VALUE! because it has no other.
"""

import math
import random
import re
import subprocess
import zipfile
from pathlib import Path

import pytest
import xlsxwriter

from weavefuncs.addin.calc.office import environment
from weavefuncs.addin.offline import Report, recalculate
from weavefuncs.addin.offline.grid import cell_name
from weavefuncs.addin.offline.package import Package
from weavefuncs.addin.offline.values import CellError
from weavefuncs.addin.offline.workbook import read_workbook
from weavefuncs.workbooks import EXAMPLES, write_planner

FORMULAS = '''
A1:A9*2
A1&"x"
"t"&1/3
"t"&1E-5
"t"&123456789012345
LEN(1/3)
C9
C9&"x"
C9=""
C9=0
ISBLANK(C9)
ISBLANK(C8)
C8=""
IF(C9,1,2)
IF(C9="","blank",C9)
IF(A1>5,"y")
IFERROR(1/0,"e")
IFERROR(C9,5)
IFERROR(D8,"bad")
SUM(IFERROR(D8,0))
IFNA(NA(),"n")
IFNA(1/0,"n")
ISERROR(1/0)
ISERR(NA())
ISNA(NA())
ISNUMBER(A1)
ISTEXT(B1)
D8
D8+1
SUM(D1:D9)
"3"*2
"a"*1
B1=UPPER(B1)
B2="BB"
"10">"9"
A1="1"
COUNT(A1:C9)
COUNTA(A1:C9)
COUNTBLANK(A1:C9)
AVERAGE(A1:A9)
AVERAGE(C9)
MAX(B1:B9)
ROUND(2.5,0)
ROUND(-2.5,0)
ROUND(1.005,2)
ROUNDUP(3*1.1,1)
ROUNDUP(0.3/0.1,0)
ROUNDDOWN(-2.9,0)
INT(-2.5)
MOD(-7,3)
MOD(7,-3)
CEILING(-2.1,-1)
CEILING(-2.1,1)
FLOOR(-2.1,-1)
CEILING(0.3/0.1,1)
-2^2
10%*A1
0.1+0.2=0.3
0.1*3>0.3
1.1*3=3.3
IF(1-0.9=0.1,"eq","ne")
0.3-0.1-0.2
SUM(0.1,0.2)-0.3
MID("abcdef",2,3)
MID("äöü",2,1)
LEFT(12.5,3)
FIND("z","abc")
SEARCH("a*c","xabc")
SUBSTITUTE("a-b-c","-","+",2)
TRIM("  a   b ")
UPPER("äb")
LOWER("ÄÖ")
PROPER("o'neil mc-x 2nd")
TEXT(1234.567,"#,##0.0")
TEXT(0.256,"0.0%")
TEXT(5,"000")
TEXT(3,"0"" ends""")
TEXT(3,"+0;-0;0")
TEXT(43831,"yyyy-mm-dd")
TEXT(45000,"ddd d mmmm yy")
TEXT(0.5,"hh:mm")
TEXT(C9,"0")
DATE(2024,14,1)
EDATE(DATE(2024,1,31),1)
EOMONTH(DATE(2024,1,15),-1)
WEEKDAY(45000,2)
TIME(25,0,0)
VLOOKUP(3,A1:B9,2,FALSE)
VLOOKUP(99,A1:B9,2,FALSE)
VLOOKUP(A:A,A1:B9,2,FALSE)
HLOOKUP("k",A11:D12,2,FALSE)
INDEX(B1:B9,MATCH(4,A1:A9,0))
INDEX(B1:B9,8)&"x"
MATCH("b*",B1:B9,0)
LOOKUP(2,1/(B1:B9="bb"),A1:A9)
SUMIFS(A1:A9,B1:B9,"b*")
SUMIFS(A1:A9,A1:A9,">2",A1:A9,"<=4")
SUMIFS(A1:A9,B1:B9,"")
ISNUMBER(VLOOKUP(D8,A1:D6,4,FALSE))
ISNUMBER(SEARCH("b",D8))
ISNUMBER(INDEX(C1:C9,9))
ISNUMBER(IF(A1=1,C9))
ISERROR(SUM(A1:A9,SUMIFS(A1:A9,B1:B9,NA())))
ISERROR(MEDIAN(A1,D8))
ISTEXT( SUMIFS(A1:A9,A1:A9,">2")&"x" )
INDEX(A1:A9,2)+1&INDEX(B1:B9,1)
ISNUMBER(SUMIFS(A1:A9,A1:A9,">2"))
SUMIFS(D1:D6,A1:A6,">="&A3)
SUMIF(A1:A9,8,D1:D9)
SUMIF(A1:A9,"<8",D1:D9)
SUMIF(A1:A9,"<8",D1)
SUMIF(A1:A9,8,D1)
SUMIF(D1:D9,">20")
SUMIF(D1:D9,">20",A1:A9)
SUMIF(A:A,8,D:D)
SUMIFS(D1:D9,A1:A9,">6",A1:A9,"<9")
SUMIFS(D1:D9,A1:A9,">8")
SUMIFS(D1:D9,A1:A9,">99")
AVERAGEIF(A1:A9,">7",D1:D9)
AVERAGEIF(A1:A9,"<3",D1:D9)
AVERAGEIFS(D1:D9,A1:A9,"<3")
1+SUMIFS(D1:D9,A1:A9,8)*2
IFERROR(SUMIF(A1:A9,8,D1:D9),"an error")
IF(ISERROR(SUMIFS(D1:D9,A1:A9,8)),"an error","none")
SUMPRODUCT(SUMIF(A1:A9,A1:A3,D1:D9))
SUMPRODUCT(SUMIF(A1:A9,A7:A9,D1:D9))
SUM(SUMIF(B1:B9,{"bb","cc"},A1:A9))
SUM(SUMIFS(A1:A9,B1:B9,{"bb";"cc";"none"}))
SUM(SUMIFS(D1:D9,A1:A9,{1,8}))
SUM(COUNTIF(B1:B9,{"bb","dd"}))
SUM(LEN({"a","bbb"}))
SUM(LARGE(A1:A9,{1,2,3}))
SUM(ROUND({1.26,-2.72}*2,1))
MAX(MATCH({"cc","bb"},B1:B9,0))
SUM(ABS({-1,2;3,-4}))
SUMPRODUCT(SUMIF(B1:B9,{"bb","cc"},A1:A9)*{1,10})
COUNTIFS(A1:A9,">2",B1:B9,"<>")
AVERAGEIFS(A1:A9,B1:B9,"none")
SUMPRODUCT((A1:A9>2)*(B1:B9="bb"))
SUMPRODUCT((B1:B9<>"")/COUNTIF(B1:B9,B1:B9&""))
SUMPRODUCT(SUMIFS(A1:A9,B1:B9,B1:B3))
SUMPRODUCT(--(LEN(B1:B9)>1))
SUMPRODUCT((MOD(ROW(A1:A9),2)=0)*A1:A9)
SUMPRODUCT(ROUND(A1:A9/2,0))
SUMPRODUCT(ROUND(A1:A9/SUMPRODUCT(LEN(B1:B9)),1))
SUM(IF(A1:A9>200,A1:A9,0))
SUBTOTAL(9,A1:A9)
SUBTOTAL(3,B1:B9)
LARGE(A1:A9,2)
SUM(Other!A1:A3)
'Odd name''s'!A1
Rate*2
SUM(Qtys)
Qtys*2
SUMPRODUCT((Qtys>1)*Qtys)
SUM(Stash[Qty])
Stash[[#Totals],[Qty]]
COUNTIF(Stash[Yarn],"b*")
INDEX(Stash[Qty],MATCH("b",Stash[Yarn],0))
SUM(OFFSET(A1,1,0,COUNT(A1:A9)-1,1))
SUM(A:A)
SUM(A1:INDEX(A1:A9,3))
SUM(A9:A1)
SUM(D3:A1)
INDEX(A9:A1,2)
ROWS(A9:A1)
SUM(B:A)
SUM(2:1)
SUM({1,2;3,4})
A1+LEN(IFERROR(INDEX(B1:B9,A3),"none"))
CHOOSE(2,"a","b")
AND(A1>0,TRUE)
NOT(C9)
'''.strip().splitlines()

ARRAYS = [
    ("L1:L3", "A1:A3*2"),
    ("M1:M3", "LEN(B1:B3)"),
    ("L5:N5", "TRANSPOSE(A1:A3)"),
    ("L7", "SUM(A1:A9*2)"),
    ("L9:L12", "A1:A2+0"),
    ("L14:M16", 'IF(A1:A3>1,B1:B3,"none")'),
]


# Random formulas: ``n`` stands for a number, ``t`` for a text, ``c`` for a condition, each another formula.
GRAMMAR = {
    "n": """A1|A5|D3|C9|3|0.5|Rate|Other!A2|(n+n)|(n-n)|(n*n)|(n/n)|n+n|n-n|-n|n^2|ROUND(n,1)
    |ROUNDUP(n,1)|INT(n)|ABS(n)|IF(c,n,n)|IFERROR(n,n)|SUM(A1:A9,n)|MAX(Qtys,n)|MIN(n,n)
    |SUMPRODUCT((A1:A9>n)*Qtys)|SUMPRODUCT(ROUND(Qtys/n,1))|SUMPRODUCT((B1:B9=t)*A1:A9)
    |SUMPRODUCT(LEN(B1:B9))|SUMIFS(A1:A9,B1:B9,t)|COUNTIFS(A1:A9,">"&n)|COUNTIF(B1:B9,t)
    |SUMIF(A1:A9,n,D1:D9)|SUMIFS(D1:D9,A1:A9,">"&n)|SUM(SUMIF(B1:B9,{"bb","cc"},A1:A9))|SUM(LARGE(Qtys,{1,3}))
    |INDEX(A1:A9,MATCH(t,B1:B9,0))|VLOOKUP(n,A1:D6,4,FALSE)|MATCH(n,A1:A9,1)|LEN(t)|VALUE(n&"")
    |SEARCH("b",t)|MOD(n,7)|CEILING(n,0.5)|LARGE(Qtys,2)|SUBTOTAL(9,A$1:A9)""",
    "t": """B1|B2|B9|"aa"|C8|""|"x y"|t&t|n&t|LEFT(t,2)|MID(t,2,3)|UPPER(t)|PROPER(t)|TRIM(t)|IF(c,t,t)
    |TEXT(n,"0.0")|TEXT(n,"#,##0")|SUBSTITUTE(t,"b","zz")|IFERROR(INDEX(B1:B9,ABS(n)+1),"none")
    |REPT(t,2)""",
    "c": """A1>2|C9=""|ISBLANK(C9)|ISNUMBER(n)|n<n|n>n|n<=n|n=n|n<>n|AND(c,c)|OR(c,c)|NOT(c)|t=t
    |ISERROR(n)|ISTEXT(t)|EXACT(t,t)""",
}
CHOICES = {kind: [choice.strip() for choice in text.split("|")] for kind, text in GRAMMAR.items()}


def random_formula(draw: random.Random, kind: str, depth: int) -> str:
    """A formula of some depth; at the end of it only what stands for itself."""
    choices = [choice for choice in CHOICES[kind] if depth or not re.search(r"\b[ntc]\b", choice)]
    return re.sub(r"\b[ntc]\b", lambda found: random_formula(draw, found[0], depth - 1), draw.choice(choices))


DRAW = random.Random(1)
RANDOM = [random_formula(DRAW, DRAW.choice("ntc"), DRAW.randint(1, 4)) for _ in range(600)]
FORMULAS += [formula for formula in RANDOM if len(formula) < 2000]


def build(path: Path, date1904: bool = False) -> None:
    """Write the workbook, and take the stored values out so that both programs must calculate."""
    book = xlsxwriter.Workbook(path, {"date_1904": date1904, "use_future_functions": True})
    main, other, odd = (book.add_worksheet(name) for name in ("Main", "Other", "Odd name's"))
    stash = book.add_worksheet("Stash")
    main.write_column("A1", [1, 2, 3, 4, 5, 6, 7, 8, 9])
    main.write_column("B1", ["aa", "bb", "cc", "dd", "bb", "Bb", "b2"])
    main.write("B9", "x y")
    main.write("C1", 1)
    main.write_formula("C8", '=""')
    main.write_column("D1", [10, 20, 30, 40, 50, 60])
    main.write_formula("D8", "=1/0")
    main.write_row("A11", ["h", "i", "j", "k"])
    main.write_row("A12", [0, 1.5, 3, 4.5])
    other.write_column("A1", [0.5, 1.5, 2.5])
    odd.write_column("A1", [0, 10, 20])
    columns = [
        {"header": "Yarn", "total_string": "Total"},
        {"header": "Qty"},
        {"header": "Twice", "formula": "=Stash[[#This Row],[Qty]]*2"},
    ]
    rows = [["a", 1.5, None], ["b", 2.5, None], ["bb", 4, None]]
    stash.add_table("B2:D6", {"name": "Stash", "columns": columns, "data": rows, "total_row": True})
    stash.write_formula("C6", "=SUBTOTAL(109,Stash[Qty])")
    book.define_name("Rate", "=Other!$A$2")
    book.define_name("Qtys", "=Main!$A$1:$A$9")
    for row, formula in enumerate(FORMULAS):
        main.write_formula(row, 7, f"={formula}")
    for area, formula in ARRAYS:
        main.write_array_formula(area, f"{{={formula}}}")
    book.close()
    with zipfile.ZipFile(path) as old:
        parts = [(info, old.read(info)) for info in old.infolist()]
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for info, part in parts:
            new.writestr(info, re.sub(rb"</f><v>[^<]*</v>", b"</f>", part))


def calculated_by_calc(path: Path) -> dict[tuple[str, int, int], object]:
    """Have LibreOffice load, calculate and save the workbook; return every value."""
    folder = path.parent / "calc"
    subprocess.run(
        [
            "soffice",
            "--headless",
            f"-env:UserInstallation=file://{path.parent}/profile",
            "--convert-to",
            "xlsx:Calc MS Excel 2007 XML",
            "--outdir",
            str(folder),
            str(path),
        ],
        check=True,
        capture_output=True,
        timeout=120,
        env=environment(),
    )
    book = read_workbook(Package((folder / path.name).read_bytes(), path.name))
    values: dict[tuple[str, int, int], object] = {}
    for sheet in book.sheets:
        values |= {(sheet.name, *position): value for position, value in sheet.cells.values.items()}
        values |= {(sheet.name, cell.row, cell.column): cell.stored for cell in sheet.cells.formulas}
    return values


def agree(ours: object, theirs: object) -> bool:
    if isinstance(ours, float) and isinstance(theirs, float):
        return math.isclose(ours, theirs, rel_tol=1e-14, abs_tol=0)  # a file by Calc keeps 15 digits
    return type(ours) is type(theirs) and ours == theirs


@pytest.fixture(scope="module", params=[False, True], ids=["dates from 1900", "dates from 1904"])
def both(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Report, dict[tuple[str, int, int], object]]:
    path = tmp_path_factory.mktemp("calc") / "native.xlsx"
    build(path, request.param)
    return recalculate(path, check=True), calculated_by_calc(path)


def test_native_formulas_as_calc(both: tuple[Report, dict[tuple[str, int, int], object]]) -> None:
    report, calc = both
    differing = []
    for row, formula in enumerate(FORMULAS, 1):
        ours, theirs = report.value("Main", f"H{row}"), calc.get(("Main", row, 8))
        if not agree(ours, theirs):
            differing.append(f"{formula}: {ours!r}, Calc {theirs!r}")
    assert not differing, "\n".join(differing)
    assert not report.uncalculated


def test_tables_and_arrays_as_calc(both: tuple[Report, dict[tuple[str, int, int], object]]) -> None:
    report, calc = both
    cells = ["L1", "L2", "L3", "M1", "M3", "L5", "M5", "N5", "L7", "L9", "L10", "L11", "L12", "L14", "L16"]
    for cell in cells:
        position = ord(cell[0]) - 64
        theirs = calc.get(("Main", int(cell[1:]), position))
        assert agree(report.value("Main", cell), theirs), (cell, report.value("Main", cell), theirs)
    for row in range(3, 7):
        for column in "BCD":
            theirs = calc.get(("Stash", row, ord(column) - 64))
            assert agree(report.value("Stash", f"{column}{row}"), theirs), (column, row)


def test_error_values_are_those_of_calc(both: tuple[Report, dict[tuple[str, int, int], object]]) -> None:
    report, calc = both
    assert report.value("Main", "D8") == calc["Main", 8, 4] == CellError("#DIV/0!")


def freeze(path: Path, frozen: Path) -> None:
    """Take our functions' formulas out and leave their values: Calc has no add-in here. Other values go."""

    def cell(found: re.Match[bytes]) -> bytes:
        tag, formula, value = found[1], found[2], found[3] or b""
        if b"WEAVE" not in formula:
            return tag + formula
        # Calc loads an empty text constant as a blank; a formula that gives one stays one.
        return tag + (b"<f>&quot;&quot;</f>" if value == b"<v></v>" else value)

    pattern = rb"(<c [^>]*>)(<f[^>]*>[^<]*</f>)(<v[^>]*>[^<]*</v>)?"
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(frozen, "w", zipfile.ZIP_DEFLATED) as new:
        for info in old.infolist():
            part = old.read(info)
            is_sheet = info.filename.startswith("xl/worksheets/sheet")
            new.writestr(info, re.sub(pattern, cell, part) if is_sheet else part)


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_native_formulas_of_a_planner_as_calc(example: str, tmp_path: Path) -> None:
    path, frozen = tmp_path / "planner.xlsx", tmp_path / "frozen.xlsx"
    write_planner(path, example)
    freeze(path, frozen)
    report, calc = recalculate(frozen, check=True), calculated_by_calc(frozen)
    differing = []
    for sheet in read_workbook(Package(frozen.read_bytes(), frozen.name)).sheets:
        for cell in sheet.cells.formulas:
            name = cell_name(cell.row, cell.column)
            ours, theirs = report.value(sheet.name, name), calc.get((sheet.name, cell.row, cell.column))
            truth = isinstance(ours, bool) and theirs == ours  # Calc may save TRUE as the number 1
            if not (truth or agree(ours, theirs)):
                differing.append(f"{sheet.name}!{name} {cell.formula[:80]}: {ours!r}, Calc {theirs!r}")
    assert not differing, "\n".join(differing[:20])
    assert report.formulas > 1000
