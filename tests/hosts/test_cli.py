"""The command line, as it is installed: what it prints, where, and its exit status."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import xlsxwriter
from openpyxl import load_workbook
from PIL import Image

import weavefuncs as wf
from weavefuncs import registry
from weavefuncs.addin.cli.typed import shown

SCRIPT = shutil.which("weavefuncs", path=Path(sys.executable).parent)


def run(*arguments: str, folder: Path | None = None, **changes: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "weavefuncs.addin.cli", *arguments],
        capture_output=True,
        encoding="utf-8",
        stdin=subprocess.DEVNULL,
        cwd=folder,
        env={**os.environ, "PYTHONIOENCODING": "utf-8", "COLUMNS": "100", **changes},
        check=False,
    )


def printed(*arguments: str, **more) -> str:
    done = run(*arguments, **more)
    assert (done.stderr, done.returncode) == ("", 0)
    return done.stdout


def refused(*arguments: str, **more) -> str:
    done = run(*arguments, **more)
    assert done.returncode == 2
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    return done.stderr


# The command


def test_the_installed_command_is_this_one() -> None:
    assert SCRIPT
    done = subprocess.run(
        [SCRIPT, "call", "ends", "15", "24"], capture_output=True, encoding="utf-8", check=False
    )
    assert (done.stdout, done.stderr, done.returncode) == ("360\n", "", 0)


def test_version() -> None:
    from importlib.metadata import version

    assert printed("--version") == version("weavefuncs") + "\n"


@pytest.mark.parametrize("command", [[], ["functions"], ["call"], ["draw"], ["new"], ["recalc"]])
def test_help(command: list[str]) -> None:
    text = printed(*command, "--help")
    assert "usage: weavefuncs" in text
    assert max(map(len, text.splitlines())) <= 110


def test_no_command_and_unknown_commands_are_refused() -> None:
    assert "COMMAND" in refused()
    assert "invalid choice: 'spin'" in refused("spin")


def test_a_closed_pipe_is_quiet() -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "weavefuncs.addin.cli", "functions"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        bufsize=0,
    )
    assert process.stdout
    assert process.stderr
    process.stdout.close()
    with process.stderr:
        assert process.stderr.read() == b""
    assert process.wait() == 141


def test_a_console_without_a_sign_is_no_hindrance() -> None:
    text = printed("functions", "point_ends", PYTHONIOENCODING="ascii")
    assert "(points + 1) ? ends_per_leg" in text


def test_one_command_does_not_load_the_others() -> None:
    code = (
        "import sys; from weavefuncs.addin.cli import main; main(['call', 'ends', '15', '24']);"
        "heavy = {'numpy', 'pandas', 'PIL', 'openpyxl', 'xlsxwriter', 'formualizer'};"
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, encoding="utf-8", check=True)
    assert done.stdout == "360\n[]\n"


# weavefuncs functions


def test_every_function_is_listed_with_its_arguments() -> None:
    text = printed("functions")
    flat = " ".join(text.split())
    for name in registry.names():
        function = registry.get(name)
        assert f"\n  {name}(" in text
        assert " ".join(function.docstring.summary.split()) in flat
        for parameter in function.parameters:
            assert parameter.name in flat
            assert f"[{parameter.unit}]" in flat or not parameter.unit


@pytest.mark.parametrize("name", registry.names())
def test_every_function_is_explained(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    from weavefuncs.addin.cli import main

    assert main(["functions", name]) == 0
    text = capsys.readouterr().out
    function = registry.get(name)
    assert text.startswith(f"{name}(")
    for part in (
        function.sheet_name,
        "Arguments",
        "Gives",
        "Notes",
        "Valid range:",
        "Example",
        ">>> ",
        "Source",
    ):
        assert part in text
    for parameter in function.parameters:
        assert f"\n  {parameter.name}: " in text


def test_an_explanation_spells_out_units_bounds_defaults_and_source() -> None:
    text = printed("functions", "WEAVE.TWILLANGLE")
    assert "above 0 and at most 10000" in text
    assert "default 1" in text
    assert "in a cell: =WEAVE.TWILLANGLE(" in text
    flat = " ".join(text.split())
    assert any(source in flat for source in ("Exact definition", "Common practice, no source."))


def test_an_unknown_function_is_refused() -> None:
    for command in ("functions", "call"):
        assert "the name of a function" in refused(command, "spindle")


# weavefuncs call


@pytest.mark.parametrize(
    ("arguments", "text"),
    [
        (["twill_angle", "12", "12"], "45"),
        (["WEAVE.TWILLANGLE", "12,5", "12.5"], "45"),
        (["twill_angle", "12", "12", "", ""], "45"),
        (["ends", "15", "24", "", "", "", "odd"], "361"),
        (["ends", "15", "24", "parity=odd"], "361"),
        (["ends", "parity=odd", "sett=24", "width=15"], "361"),
        (["tex", "74 tex"], "74"),
        (["plied", "20 tex;30 tex"], "50"),
        (["twill_angle", "12", "12;12"], "45\n45"),
        (["drawdown", "2/2 twill", "4", "3"], "1100\n0110\n0011"),
        (["drawdown", "1100/0110/0011/1001", "4", "3"], "1100\n0110\n0011"),
        (["lift", "10/00", "1", "1"], "1"),
        (["lift", "10/00", "1", "2"], "0"),
        (["threading", "1100/0110/0011/1001"], "1;2;3;4"),
        (["heddles", "1;2;1"], "2\n1"),
        (["chevron_rows", "9", "4", "true"], "35"),
        (["chevron_rows", "9", "4", "FALSE"], "36"),
        (["why", "ends", "15", "24"], ""),
    ],
)
def test_a_call_prints_its_result(arguments: list[str], text: str) -> None:
    assert printed("call", *arguments) == text + "\n"


@pytest.mark.parametrize(
    ("arguments", "reason"),
    [
        (["ends", "15", "-3"], "ENDS: sett must be a number above 0 and at most 10000; got -3"),
        (["ends", "15"], "sett must be given"),
        (["ends", "15", ""], "sett must be given"),
        (["ends", "15 in", "24"], "width must be a number"),
        (["ends", "1", "2", "3", "4", "5", "any", "7"], "at most 6"),
        (["ends", "15", "24", "colour=odd"], "repeat must be a whole number"),
        (["ends", "15", "24;0"], "sett in row 2"),
        (["tex", "3360"], "yarn must be a yarn with its system"),
        (["drawdown", "120/011", "3", "2"], "weave must be"),
        (["draw_in", "10", "nan"], "woven width must be"),
        (["tex", "yarn=8/2 Ne", "20 tex"], "yarn must be given once; got '20 tex'"),
        (["ends", "15", "24", "sett=10"], "sett must be given once; got '10'"),
        (["ends", "sett=24", "sett=10", "15"], "sett must be given once; got '10'"),
    ],
)
def test_a_refused_call_tells_why(arguments: list[str], reason: str) -> None:
    text = refused("call", *arguments)
    assert reason in text
    assert text.count("\n") == 1


def test_what_is_printed_can_be_typed_again() -> None:
    cloth = printed("call", "drawdown", "2/2 herringbone 4", "8", "4")
    tie_up, treadling = (printed("call", name, cloth) for name in ("tie_up", "treadling"))
    threading = printed("call", "threading", cloth)
    assert printed("call", "drawdown_from_draft", threading, tie_up, treadling) == cloth
    assert cloth == shown(wf.drawdown("2/2 herringbone 4", 8, 4)[::-1], "grid") + "\n"


def test_numbers_are_printed_as_spreadsheets_show_them() -> None:
    assert shown(0.1 + 0.2, "number") == "0.3"
    assert shown([[1.5], [2]], "number") == "1.5\n2"
    assert shown([["warp", 1], ["weft", 2.5]], "table") == "warp\t1\nweft\t2.5"


# weavefuncs draw


@pytest.mark.parametrize("name", ["cloth.png", "cloth.SVG"])
def test_a_picture_is_drawn(tmp_path: Path, name: str) -> None:
    text = printed(
        "draw", "2/2 twill", "--ends", "12", "--picks", "8", "--reversals", "4,4", "--warp",
        "4 white, 4 navy",
        "--weft", "#204080", "--out", name, folder=tmp_path,
    )  # fmt: skip
    assert text == f"wrote {name}\n"
    if name.endswith("png"):
        with Image.open(tmp_path / name) as picture:
            width, height = picture.size
            assert width * 8 == height * 12
    else:
        assert "<svg" in (tmp_path / name).read_text(encoding="utf-8")


def test_a_grid_is_drawn(tmp_path: Path) -> None:
    for weave, name in (("1100/0110/0011/1001", "grid.svg"), ("2/2 twill", "text.svg")):
        printed("draw", weave, "--ends", "8", "--picks", "8", "--out", name, folder=tmp_path)
    grid, text = (
        (tmp_path / name).read_text(encoding="utf-8").partition("<rect")[2]
        for name in ("grid.svg", "text.svg")
    )
    assert grid == text != ""


@pytest.mark.parametrize(
    ("changed", "reason"),
    [
        (["--out", "cloth.gif"], ".png or .svg"),
        (["--out", "nowhere/cloth.png"], "No such file"),
        (["--warp", "4 nosuch"], "nosuch"),
        (["--ends", "0"], "ends must be"),
        (["--ends", "many"], "is not a whole number"),
        (["--reversals", "x"], "reversals must be"),
    ],
)
def test_a_picture_that_cannot_be_drawn(tmp_path: Path, changed: list[str], reason: str) -> None:
    text = refused(
        "draw", "plain", "--ends", "8", "--picks", "8", "--out", "cloth.png", *changed, folder=tmp_path
    )
    assert reason in text
    assert list(tmp_path.iterdir()) == []


# weavefuncs new, weavefuncs recalc


@pytest.fixture(scope="module")
def planner(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    folder = tmp_path_factory.mktemp("planner")
    return folder / "plan.xlsx", printed("new", "plan.xlsx", "--example", "scarf", folder=folder)


def formulas(path: Path) -> int:
    book = load_workbook(path)
    return sum(
        cell.data_type == "f" for sheet in book.worksheets for row in sheet.iter_rows() for cell in row
    )


def test_a_new_planner_prints_its_plan(planner: tuple[Path, str]) -> None:
    path, text = planner
    book = load_workbook(path, data_only=True)
    (sheet, area), *_ = book.defined_names["PlanSummary"].destinations
    shown_rows = [[cell.value for cell in row] for row in book[sheet][area]]
    assert any(value for _, value in shown_rows)
    flat = " ".join(text.split())
    for label, value in shown_rows:
        if value:
            assert " ".join(f"{label} {value}".split()) in flat
    assert f"{formulas(path)} formulas" in text
    assert text.endswith("wrote plan.xlsx\n")


def test_the_problems_are_listed(planner: tuple[Path, str]) -> None:
    path, text = planner
    book = load_workbook(path, data_only=True)
    (sheet, area), *_ = book.defined_names["ProblemsList"].destinations
    found = [": ".join(str(cell.value) for cell in row if cell.value) for row in book[sheet][area]]
    assert [line[2:] for line in text.splitlines() if line.startswith("  ")] == [
        line for line in found if line
    ]


def test_a_file_that_is_there_is_not_replaced(planner: tuple[Path, str]) -> None:
    path, _ = planner
    before = path.read_bytes()
    assert "is there already; --force replaces it" in refused("new", "plan.xlsx", folder=path.parent)
    assert path.read_bytes() == before


def test_force_replaces_it(tmp_path: Path) -> None:
    (tmp_path / "plan.xlsx").write_bytes(b"old")
    printed("new", "plan.xlsx", "--force", "--for", "office", folder=tmp_path)
    assert formulas(tmp_path / "plan.xlsx") > 100
    assert [path.name for path in tmp_path.iterdir()] == ["plan.xlsx"]


@pytest.mark.parametrize(
    ("arguments", "reason"),
    [
        (["plan.xls"], "must end in .xlsx or .ods"),
        (["plan.ods", "--for", "excel"], "for excel its name must end in .xlsx"),
        (["nowhere/plan.xlsx"], "There is no folder"),
        (["folder.xlsx"], "is a folder"),
        (["plan.xlsx", "--example", "carpet"], "invalid choice: 'carpet'"),
        (["plan.xlsx", "--for", "abacus"], "invalid choice: 'abacus'"),
    ],
)
def test_a_planner_that_cannot_be_written(tmp_path: Path, arguments: list[str], reason: str) -> None:
    (tmp_path / "folder.xlsx").mkdir()
    assert reason in refused("new", *arguments, folder=tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["folder.xlsx"]


def test_a_planner_is_recalculated_to_itself(planner: tuple[Path, str]) -> None:
    path, text = planner
    before = path.read_bytes()
    again = printed("recalc", "plan.xlsx", "--check", folder=path.parent)
    assert again.replace("0 with a new value, ", "") == text.replace("wrote plan.xlsx\n", "")
    assert path.read_bytes() == before
    written = printed("recalc", "plan.xlsx", folder=path.parent)
    assert written.endswith("plan.xlsx is left as it is: every value stands already\n")
    assert path.read_bytes() == before


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A workbook of the user's own, with values that nobody calculated."""
    path = tmp_path / "own.xlsx"
    with xlsxwriter.Workbook(path) as workbook:
        sheet = workbook.add_worksheet("Mine")
        sheet.write_formula("A1", "=1+1", value=7)
        sheet.write_formula("A2", "=WEAVE.ENDS(15,24)", value=0)
        sheet.write_formula("A3", "=WEAVE.ENDS(15,-1)", value=0)
    return path


def test_recalc_writes_the_values(book: Path) -> None:
    text = printed("recalc", book.name, folder=book.parent)
    assert text == "3 formulas, 3 with a new value, 1 in error\n  Mine!A3: #VALUE!\nwrote own.xlsx\n"
    values = load_workbook(book, data_only=True)["Mine"]
    assert [values[cell].value for cell in ("A1", "A2", "A3")] == [2, 360, "#VALUE!"]


def test_recalc_into_a_copy_or_not_at_all(book: Path) -> None:
    before = book.read_bytes()
    assert printed("recalc", book.name, "--check", folder=book.parent).count("\n") == 2
    assert printed("recalc", book.name, "--out", "copy.xlsx", folder=book.parent).endswith(
        "wrote copy.xlsx\n"
    )
    assert book.read_bytes() == before
    assert load_workbook(book.parent / "copy.xlsx", data_only=True)["Mine"]["A2"].value == 360


def test_a_cell_that_cannot_be_calculated_is_told(tmp_path: Path) -> None:
    with xlsxwriter.Workbook(tmp_path / "own.xlsx") as workbook:
        workbook.add_worksheet("Mine").write_formula("B2", "=FOREIGNFUNCTION(1)", value=5)
    done = run("recalc", "own.xlsx", folder=tmp_path)
    assert done.returncode == 1
    assert done.stderr == ""
    assert "1 could not be calculated\n  Mine!B2: " in done.stdout
    assert load_workbook(tmp_path / "own.xlsx", data_only=True)["Mine"]["B2"].value == 5


@pytest.mark.parametrize("content", [None, b"", b"no workbook", b"PK\x03\x04cut short"])
def test_a_file_that_is_no_workbook_is_told_in_one_sentence(tmp_path: Path, content: bytes | None) -> None:
    if content is not None:
        (tmp_path / "own.xlsx").write_bytes(content)
    text = refused("recalc", "own.xlsx", folder=tmp_path)
    assert text.startswith("weavefuncs recalc: ")
    assert "own.xlsx" in text
    assert text.count("\n") == 1
