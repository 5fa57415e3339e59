"""Set a Windows computer up for the functions in Excel, take that back, and tell how it stands.

Only files are written: two modules of VBA that a workbook imports, and the line by
which xlwings finds this Python. Excel is not started and none of its settings
changed; what is to be clicked is told. Nothing of this could be tried: no Windows
was at hand, and the paths are those that xlwings' own VBA reads.
"""

from __future__ import annotations

import os
import re
import shutil
import sys
from pathlib import Path
from types import ModuleType
from typing import NamedTuple

FUNCTIONS_FILE, XLWINGS_FILE = "weavefuncs.bas", "xlwings.bas"

# VBA reads files in the code page of the computer.
CODE_PAGE = "mbcs" if sys.platform == "win32" else "utf-8"

# The settings of xlwings that say which Python runs; one of them is enough.
PYTHON_SETTINGS = ("INTERPRETER_WIN", "INTERPRETER", "CONDA PATH")

STEPS = """\
Once in each workbook that shall calculate with the functions, new or your own:
 1. In a shell: weavefuncs new planner.xlsx --for excel
 2. In Excel open it. File, Save As, and choose the type Excel Macro-Enabled Workbook (.xlsm).
 3. Alt+F11. File, Import File: {xlwings}
    File, Import File: {functions}
 4. Close that window, save, close the workbook and open it again.
 5. If a bar says that macros are disabled, click Enable Content. If it says that they are blocked, close the
    workbook, right-click its file, Properties, tick Unblock.
 6. Ctrl+Alt+F9 calculates every cell.

To check: =WEAVE_ENDS(15,24) shows 360, =WEAVE_ENDS(15,0) shows #VALUE!, =WEAVE_WHY("ENDS",15,0) says why.
Leave File, Options, Trust Center, Macro Settings at Disable VBA macros with notification; nothing else of the
Trust Center is needed. Do not use Import Functions of the xlwings ribbon on such a workbook.

Alt+F8 lists weave_draw_cloth, weave_float_report, and weave_wizard_texts, which once run puts the words into
the function wizard of that workbook. After an update of weavefuncs or xlwings do this and step 3 again, with
the old modules removed first.

To send the workbook to somebody, save a copy as .xlsx: its results show everywhere, and no path is in it.
All this could not be tried in Excel. If it fails, weavefuncs recalc FILE calculates the workbook."""

OTHER_ROUTES = """\
xlwings puts functions into the cells of Excel on Windows only. Open here:
- LibreOffice Calc, free: weavefuncs addin install calc
- Excel on a Mac or the web, and any browser: weavefuncs addin build web
- any planner shows the results it was calculated with, also in Excel; weavefuncs recalc FILE calculates it
  again.
"""

MAC_ROUTE = """\
- Office custom functions in Excel for Mac, through the server of xlwings, under the PolyForm Noncommercial
  License or a licence that is paid for: help("weavefuncs.addin.excel.server") in Python tells more.
"""


class ExcelError(Exception):
    """What keeps the functions from Excel, and what to do about it."""


class Computer(NamedTuple):
    """Where things are on a computer."""

    system: str
    home: Path
    application_data: Path
    python: Path
    conda: tuple[str, str] | None = None

    @property
    def folder(self) -> Path:
        """Where our modules of VBA are put."""
        return self.application_data / "weavefuncs"

    @property
    def settings(self) -> Path:
        """The settings of xlwings for this user."""
        return self.home / ".xlwings" / "xlwings.conf"


def this_computer() -> Computer:
    """Look around."""
    home = Path.home()
    conda, environment = os.environ.get("CONDA_EXE"), os.environ.get("CONDA_DEFAULT_ENV")
    return Computer(
        sys.platform,
        home,
        Path(os.environ.get("APPDATA", home / "AppData" / "Roaming")),
        Path(sys.executable),
        (str(Path(conda).parents[1]), environment) if conda and environment else None,
    )


def build(folder: Path) -> list[Path]:
    """Write the two modules of VBA that a workbook imports.

    Raises
    ------
    ExcelError
        When xlwings cannot write its part: off Windows, or without pywin32.
    """
    xw = _xlwings()
    from weavefuncs.addin.excel.vba import module_text

    try:
        text = module_text()
    except ImportError as problem:
        raise ExcelError(
            f"xlwings writes the module for Excel on Windows only, with pywin32 ({problem})"
        ) from problem
    folder.mkdir(parents=True, exist_ok=True)
    functions, theirs = folder / FUNCTIONS_FILE, folder / XLWINGS_FILE
    functions.write_bytes(text.encode("ascii"))
    shutil.copyfile(Path(xw.__path__[0]) / XLWINGS_FILE, theirs)
    return [theirs, functions]


def install(computer: Computer) -> str:
    """Set the computer up and tell what is to be done in Excel.

    Raises
    ------
    ExcelError
        When this is no Windows, or the modules cannot be written.
    """
    _refuse_other_systems(computer)
    theirs, functions = build(computer.folder)
    told = [f"wrote {theirs}", f"wrote {functions}"]
    if not _settings(computer):
        computer.settings.parent.mkdir(exist_ok=True)
        with computer.settings.open("a", encoding=CODE_PAGE) as settings:
            settings.writelines(f'"{key}","{value}"\n' for key, value in _wanted(computer).items())
        told.append(f"wrote {computer.settings}")
    return "\n".join([*told, *problems(computer), "", STEPS.format(xlwings=theirs, functions=functions)])


def remove(computer: Computer) -> str:
    """Take back what :func:`install` wrote, but for what others may use, and tell the rest.

    Raises
    ------
    ExcelError
        When this is no Windows.
    """
    _refuse_other_systems(computer)
    told = []
    for path in _modules(computer):
        if path.exists():
            path.unlink()
            told.append(f"removed {path}")
    if computer.folder.is_dir() and not any(computer.folder.iterdir()):
        computer.folder.rmdir()
    told.append(
        "In a workbook: Alt+F11, right-click the modules weavefuncs and xlwings, Remove; save it as .xlsx."
    )
    if computer.settings.exists():
        told.append(f"left {computer.settings}, which other workbooks may use")
    return "\n".join(told)


def status(computer: Computer) -> tuple[str, bool]:
    """Tell how the computer stands, and whether all is there that Excel needs.

    Raises
    ------
    ExcelError
        When this is no Windows.
    """
    _refuse_other_systems(computer)
    found = problems(computer)
    theirs, functions = _modules(computer)
    if found:
        return "\n".join(found), False
    return f"set up\n\n{STEPS.format(xlwings=theirs, functions=functions)}", True


def problems(computer: Computer) -> list[str]:
    """Tell what is missing or wrong, each with what to do."""
    xw = _xlwings()
    found = [
        f"{path} is missing: weavefuncs addin install excel"
        for path in _modules(computer)
        if not path.exists()
    ]
    have, want = _settings(computer), _wanted(computer)
    if not have:
        found.append(f"{computer.settings} names no Python: weavefuncs addin install excel")
    elif any(have.get(key, "").casefold() != value.casefold() for key, value in want.items()):
        found.append(
            f"{computer.settings} names another Python: {', '.join(have.values())}. "
            "Install weavefuncs there, or put "
            + " and ".join(f'"{key}","{value}"' for key, value in want.items())
            + " in the place of that"
        )
    # The places where the module of xlwings looks, in its order.
    places = (computer.python.parent, computer.python.parent.parent)
    library = f"xlwings*-{xw.__version__}.dll"
    if not any(list(place.glob(library)) for place in places):
        found.append(
            f"{library} is in neither {places[0]} nor {places[1]}, where Excel looks for it: "
            "install weavefuncs and xlwings into a Python of their own (python -m venv)"
        )
    return found


def _xlwings() -> ModuleType:
    try:
        from weavefuncs.addin.excel._xlwings import xw
    except ImportError as problem:
        raise ExcelError(str(problem)) from problem
    return xw


def _refuse_other_systems(computer: Computer) -> None:
    if computer.system != "win32":
        raise ExcelError((OTHER_ROUTES + (MAC_ROUTE if computer.system == "darwin" else "")).rstrip())


def _modules(computer: Computer) -> tuple[Path, Path]:
    return computer.folder / XLWINGS_FILE, computer.folder / FUNCTIONS_FILE


def _wanted(computer: Computer) -> dict[str, str]:
    if computer.conda:
        return {"CONDA PATH": computer.conda[0], "CONDA ENV": computer.conda[1]}
    return {"INTERPRETER_WIN": str(computer.python)}


def _settings(computer: Computer) -> dict[str, str]:
    """Read what the settings of xlwings say about Python; empty where they say nothing."""
    if not computer.settings.exists():
        return {}
    text = computer.settings.read_text(encoding=CODE_PAGE, errors="replace")
    pairs: dict[str, str] = dict(
        re.findall(r'^[ \t]*"([^"\n]*)"[ \t]*,[ \t]*"([^"\n]*)"', text, re.MULTILINE)
    )
    if not any(pairs.get(key) for key in PYTHON_SETTINGS):
        return {}
    return {key: pairs[key] for key in (*PYTHON_SETTINGS, "CONDA ENV") if pairs.get(key)}
