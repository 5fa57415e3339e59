"""The office started from a shell in which a virtual environment of the system's Python is activated.

The office's user can read that environment, as it can where users make their own.
"""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter

from weavefuncs.addin.calc.build import build
from weavefuncs.addin.calc.office import environment
from weavefuncs.workbooks.ods import convert

sys.path.insert(0, str(Path(__file__).parent))
from office import Office

PLANNER = Path(__file__).resolve().parents[2] / "workbooks" / "planner-calc.xlsx"
SYSTEM_PYTHON = "/usr/bin/python3"


@pytest.fixture(scope="module")
def virtual() -> Iterator[Path]:
    with Office() as office:
        folder = office.folder / "virtual"
        office.run(SYSTEM_PYTHON, "-m", "venv", "--without-pip", folder)
        yield folder


@pytest.fixture
def in_virtual(virtual, monkeypatch) -> Path:
    """As ``activate`` leaves the shell."""
    monkeypatch.setenv("PATH", f"{virtual / 'bin'}:{os.environ['PATH']}")
    monkeypatch.setenv("VIRTUAL_ENV", str(virtual))
    return virtual


def test_the_environment_is_first_for_all_else(in_virtual):
    script = "import sys; print(sys.prefix)"
    assert subprocess.check_output(["python3", "-c", script], text=True).strip() == str(in_virtual)


def test_calc_runs_the_functions(in_virtual):
    with Office() as office:
        office.install(build(office.folder))
        book = office.folder / "book.xlsx"
        with xlsxwriter.Workbook(book) as writer:
            writer.add_worksheet().write_formula("A1", "=WEAVE.ENDS(15,24)", None, "")
        calculated = office.convert(book, "xlsx")
        assert openpyxl.load_workbook(calculated, data_only=True).active["A1"].value == 15 * 24


def test_a_planner_is_made_into_an_ods(in_virtual, tmp_path):
    convert([PLANNER], tmp_path)
    with zipfile.ZipFile(tmp_path / "planner-calc.ods") as archive:
        assert b"WEAVE.ENDS(" in archive.read("content.xml")


def test_the_rest_of_the_environment_stays(monkeypatch, tmp_path):
    one, other, none = tmp_path / "one", tmp_path / "other", tmp_path / "none"
    for folder in (one, other, none):
        (folder / "bin").mkdir(parents=True)
    for folder in (one, other):
        (folder / "pyvenv.cfg").touch()
    path = f"{one}/bin:/usr/local/bin:{other}/bin/:{none}/bin:/usr/bin::{one}/bin:{one}:/nowhere/bin"
    monkeypatch.setenv("PATH", path)
    for name in ("PYTHONHOME", "PYTHONPATH", "VIRTUAL_ENV", "LOOM"):
        monkeypatch.setenv(name, "countermarch")
    kept = environment()
    assert kept["PATH"] == f"/usr/local/bin:{none}/bin:/usr/bin::{one}:/nowhere/bin"
    assert kept["LOOM"] == "countermarch"
    assert not kept.keys() & {"PYTHONHOME", "PYTHONPATH", "VIRTUAL_ENV"}
    assert os.environ["PATH"] == path
    monkeypatch.delenv("PATH")
    assert "PATH" not in environment()
