"""Setting a computer up for Excel: on a stand-in for Windows with its own folders; the words elsewhere."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
import xlwings

sys.path.insert(0, str(Path(__file__).parent))
from windows_stand_ins import windows

from weavefuncs.addin.excel import install as excel
from weavefuncs.addin.excel.install import Computer, ExcelError

LIBRARY = f"xlwings64-{xlwings.__version__}.dll"


@pytest.fixture
def computer(tmp_path: Path) -> Computer:
    """A computer as xlwings leaves it: Python in an environment of its own, and its library in there."""
    python = tmp_path / "venv" / "Scripts" / "python.exe"
    python.parent.mkdir(parents=True)
    (tmp_path / "venv" / LIBRARY).touch()
    (tmp_path / "Some User").mkdir()
    return Computer("win32", tmp_path / "Some User", tmp_path / "Some User" / "AppData" / "Roaming", python)


def install(computer: Computer) -> str:
    with windows():
        return excel.install(computer)


def files_of(computer: Computer) -> set[str]:
    return {path.relative_to(computer.home).as_posix() for path in computer.home.rglob("*") if path.is_file()}


def test_it_writes_two_modules_and_the_settings_and_nothing_else(computer: Computer) -> None:
    install(computer)
    assert files_of(computer) == {
        "AppData/Roaming/weavefuncs/weavefuncs.bas",
        "AppData/Roaming/weavefuncs/xlwings.bas",
        ".xlwings/xlwings.conf",
    }
    assert computer.settings.read_text() == f'"INTERPRETER_WIN","{computer.python}"\n'
    assert (
        (computer.folder / "weavefuncs.bas").read_bytes().startswith(b'Attribute VB_Name = "weavefuncs"\r\n')
    )
    assert (computer.folder / "xlwings.bas").read_bytes().startswith(b'Attribute VB_Name = "xlwings"')


def test_xlwings_reads_the_settings_that_were_written(
    computer: Computer, monkeypatch: pytest.MonkeyPatch
) -> None:
    install(computer)
    monkeypatch.setattr(xlwings, "USER_CONFIG_FILE", str(computer.settings))
    assert xlwings.utils.read_user_config() == {"interpreter_win": str(computer.python)}


def test_the_module_of_xlwings_reads_the_same_places(computer: Computer) -> None:
    """What the paths here rest on: the text of xlwings' own VBA."""
    install(computer)
    text = (computer.folder / "xlwings.bas").read_text(encoding="latin-1")
    assert 'Environ("USERPROFILE") & "\\." & PROJECT_NAME & "\\" & PROJECT_NAME & ".conf"' in text
    assert 'GetConfig("INTERPRETER_WIN", "")' in text
    assert LIBRARY in text
    assert "LoadLibrary(ParentFolder(ParentFolder(PYTHON_WIN))" in text
    assert "Function XLPy()" in text


def test_the_steps_name_the_files_what_to_click_and_how_to_check(computer: Computer) -> None:
    told = install(computer)
    for words in (
        str(computer.folder / "weavefuncs.bas"),
        str(computer.folder / "xlwings.bas"),
        ".xlsm",
        "Enable Content",
        "Unblock",
        "Trust Center",
        "=WEAVE_ENDS(15,24) shows 360",
        "could not be tried in Excel",
    ):
        assert words in told


def test_settings_of_the_user_are_kept(computer: Computer) -> None:
    computer.settings.parent.mkdir()
    computer.settings.write_text('"SHOW CONSOLE","False"\n')
    install(computer)
    assert computer.settings.read_text().splitlines() == [
        '"SHOW CONSOLE","False"',
        f'"INTERPRETER_WIN","{computer.python}"',
    ]


@pytest.mark.parametrize("line", ['"INTERPRETER_WIN","C:\\other\\python.exe"', '"CONDA PATH","C:\\conda"'])
def test_another_python_in_the_settings_is_left_and_told(computer: Computer, line: str) -> None:
    computer.settings.parent.mkdir()
    computer.settings.write_text(line + "\n")
    told = install(computer)
    assert computer.settings.read_text() == line + "\n"
    assert "names another Python: C:\\" in told
    assert excel.status(computer)[1] is False


def test_in_conda_the_settings_name_its_environment(computer: Computer) -> None:
    install(computer._replace(conda=("C:\\conda", "weaving")))
    assert computer.settings.read_text() == '"CONDA PATH","C:\\conda"\n"CONDA ENV","weaving"\n'
    assert excel.status(computer._replace(conda=("C:\\conda", "weaving")))[1] is True


def test_status_before_and_after_and_after_removal(computer: Computer) -> None:
    told, ready = excel.status(computer)
    assert not ready
    assert told.count("weavefuncs addin install excel") == 3
    install(computer)
    told, ready = excel.status(computer)
    assert ready
    assert "=WEAVE_ENDS(15,24) shows 360" in told
    told = excel.remove(computer)
    assert files_of(computer) == {".xlwings/xlwings.conf"}
    assert not computer.folder.exists()
    assert "left " in told
    assert excel.status(computer)[1] is False


def test_removal_leaves_what_the_user_put_there(computer: Computer) -> None:
    install(computer)
    (computer.folder / "notes.txt").touch()
    excel.remove(computer)
    assert [path.name for path in computer.folder.iterdir()] == ["notes.txt"]
    assert excel.remove(computer)


def test_a_missing_library_is_told_with_where_excel_looks(computer: Computer) -> None:
    (computer.python.parent.parent / LIBRARY).unlink()
    told = install(computer)
    assert f"is in neither {computer.python.parent} nor {computer.python.parent.parent}" in told
    assert excel.status(computer)[1] is False


def test_install_twice_is_install_once(computer: Computer) -> None:
    install(computer)
    before = computer.settings.read_text()
    install(computer)
    assert computer.settings.read_text() == before


@pytest.mark.parametrize("action", [excel.install, excel.remove, excel.status])
@pytest.mark.parametrize(
    ("system", "route"), [("darwin", "PolyForm Noncommercial"), ("linux", "LibreOffice Calc")]
)
def test_elsewhere_the_routes_that_are_open_are_told(
    computer: Computer, action: object, system: str, route: str
) -> None:
    with pytest.raises(ExcelError, match=route) as problem:
        action(computer._replace(system=system))
    assert "on Windows only" in str(problem.value)
    assert ("PolyForm" in str(problem.value)) is (system == "darwin")
    assert files_of(computer) == set()


@pytest.mark.parametrize("action", ["install", "status", "remove", "build"])
def test_the_command_says_so_and_fails(tmp_path: Path, action: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "weavefuncs.addin.cli", "addin", action, "excel"],
        capture_output=True,
        text=True,
        check=False,
        cwd=tmp_path,
    )
    assert done.returncode == 2
    assert not done.stdout
    assert done.stderr.startswith("weavefuncs addin: xlwings ")
    assert "on Windows only" in done.stderr
    assert "Traceback" not in done.stderr
    assert not list(tmp_path.iterdir())


def test_without_xlwings_the_command_says_what_is_missing(tmp_path: Path) -> None:
    code = (
        "import sys; sys.modules['xlwings'] = None\n"
        "from weavefuncs.addin.cli import main; sys.exit(main(['addin', 'build', 'excel']))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=tmp_path
    )
    assert done.returncode == 2
    assert 'pip install "weavefuncs[excel]"' in done.stderr


def test_this_computer_is_looked_at(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("APPDATA", str(tmp_path / "Roaming"))
    monkeypatch.setenv("CONDA_EXE", str(tmp_path / "conda" / "Scripts" / "conda.exe"))
    monkeypatch.setenv("CONDA_DEFAULT_ENV", "base")
    found = excel.this_computer()
    assert found.application_data == tmp_path / "Roaming"
    assert found.conda == (str(tmp_path / "conda"), "base")
    assert found.python == Path(sys.executable)
    monkeypatch.delenv("CONDA_EXE")
    assert excel.this_computer().conda is None
