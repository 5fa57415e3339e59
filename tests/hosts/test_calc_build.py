"""The extension for Calc as a file: the same each time, and nothing in it but what must travel."""

from __future__ import annotations

import re
import subprocess
import sys
import xml.etree.ElementTree as ET
import zipfile
from importlib.metadata import version
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter

from weavefuncs.addin.calc.build import build, extension_files
from weavefuncs.addin.calc.office import find_development_kit
from weavefuncs.addin.calc.spelling import identifier
from weavefuncs.registry import get, names

sys.path.insert(0, str(Path(__file__).parent))
from office import Office

CHECKOUT = Path(__file__).resolve().parents[2]

# What the office itself brings to the component.
OF_THE_OFFICE = {"uno", "unohelper", "com"}


@pytest.fixture(scope="module")
def members(tmp_path_factory):
    with zipfile.ZipFile(build(tmp_path_factory.mktemp("built"))) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_it_is_the_same_each_time(tmp_path):
    first, second = build(tmp_path / "first.oxt"), build(tmp_path / "second.oxt")
    assert first.read_bytes() == second.read_bytes()


def test_a_folder_gets_the_usual_name(tmp_path):
    assert build(tmp_path) == tmp_path / "weavefuncs.oxt"


def test_it_holds_the_functions_their_data_the_adapter_and_nothing_else(members):
    travelling = {f"pythonpath/weavefuncs/{path.name}" for path in (CHECKOUT / "weavefuncs").glob("*.py")}
    travelling |= {f"pythonpath/weavefuncs/shared/{path.name}" for path in (CHECKOUT / "shared").glob("*.py")}
    travelling |= {f"pythonpath/weavefuncs/addin/{name}" for name in ("__init__.py", "cells.py")}
    frame = {"META-INF/manifest.xml", "description.xml", "weave.components", "weave.idl", "CalcAddIns.xcu"}
    assert set(members) == travelling | frame | {"weave_component.py"}


def test_every_module_runs_on_the_standard_library_alone(members, tmp_path):
    """In an interpreter without any site package, each module that travels is imported and one is called."""
    for name, content in members.items():
        if name.startswith("pythonpath/"):
            path = tmp_path / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
    modules = [
        name.removeprefix("pythonpath/").removesuffix(".py").removesuffix("/__init__").replace("/", ".")
        for name in members
        if name.startswith("pythonpath/")
    ]
    script = (
        f"import sys; sys.path.insert(0, {str(tmp_path / 'pythonpath')!r})\n"
        f"for name in {modules!r}: __import__(name)\n"
        "from weavefuncs.addin.cells import evaluate\n"
        "assert evaluate('WEAVE.ENDS', (15.0, 24.0)) == 360\n"
        "print(*sorted({name.partition('.')[0] for name in sys.modules}))\n"
    )
    done = subprocess.run(
        [sys.executable, "-I", "-S", "-c", script], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert set(done.stdout.split()) <= {*sys.stdlib_module_names, "weavefuncs", "__main__"}


def test_what_travels_is_python_3_9_and_standard_library(members, tmp_path):
    import ast

    for name, content in members.items():
        if name.endswith(".py"):
            path = tmp_path / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
            for node in ast.walk(ast.parse(content)):
                imported = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
                imported += [node.module] if isinstance(node, ast.ImportFrom) else []
                tops = {module.partition(".")[0] for module in imported}
                known = {"weavefuncs", *sys.stdlib_module_names}
                assert tops <= (known | OF_THE_OFFICE if name == "weave_component.py" else known), name
    vermin = [
        Path(sys.executable).with_name("vermin"),
        "--quiet",
        "--no-tips",
        "--violations",
        "--target=3.9-",
    ]
    done = subprocess.run(
        [*vermin, "--eval-annotations", tmp_path], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout


def test_its_frame_is_sound(members):
    description = ET.fromstring(members["description.xml"])
    of = "{http://openoffice.org/extensions/description/2006}"
    assert description.find(f"{of}identifier").get("value") == "weavefuncs.calc"
    assert description.find(f"{of}version").get("value") == version("weavefuncs")
    entries = ET.fromstring(members["META-INF/manifest.xml"])
    named = {entry.get("{http://openoffice.org/2001/manifest}full-path") for entry in entries}
    assert named == {"weave.idl", "weave.components", "CalcAddIns.xcu"}
    for name in ("weave.components", "CalcAddIns.xcu"):
        ET.fromstring(members[name])


def test_the_help_fits_the_wizard():
    """Calc's wizard has room for long texts, but Excel's cuts at 255 signs, and one length serves both."""
    content = ET.fromstring(extension_files()["CalcAddIns.xcu"])
    texts = [value.text for value in content.iter("value")]
    assert len(texts) > 4 * len(names())
    assert [text for text in texts if not text or len(text) > 255] == []


def methods_in(text: str) -> list[tuple[str, list[str]]]:
    """Name and arguments of each method in the text of an interface."""
    found = re.findall(r">\s*>?\s*(\w+)\s*\(([^)]*)\)", text)
    return [(name, [" ".join(argument.split()) for argument in inside.split(",")]) for name, inside in found]


def test_compiled_it_holds_the_same_interface_and_works_the_same(tmp_path):
    """Read back by the development kit, method for method; and called in the real program."""
    extension = build(tmp_path / "compiled.oxt", compiled=True)
    with zipfile.ZipFile(extension) as archive:
        assert "weave.idl" not in archive.namelist()
        assert b'full-path="weave.rdb"' in archive.read("META-INF/manifest.xml")
        archive.extract("weave.rdb", tmp_path)
    office = find_development_kit()
    read = [office / "sdk" / "bin" / "unoidl-read", office / "program" / "types.rdb", tmp_path / "weave.rdb"]
    text = subprocess.run(read, capture_output=True, text=True, check=True).stdout
    methods = methods_in(extension_files()["weave.idl"].decode())
    assert len(methods) == len(names())
    assert methods_in(text) == methods
    book = tmp_path / "book.xlsx"
    with xlsxwriter.Workbook(book) as writer:
        writer.add_worksheet().write_formula("A1", "=WEAVE.ENDS(15,24)", None, "")
    with Office() as office:
        office.install(extension)
        seen = openpyxl.load_workbook(office.convert(book, "xlsx"), data_only=True).active["A1"].value
    assert seen == 360


def test_every_name_can_be_spelled():
    for name in names():
        function = get(name)
        assert function.sheet_name == f"WEAVE.{identifier(name).upper()}"
        spelled = [identifier(parameter.name) for parameter in function.parameters]
        assert len(set(spelled)) == len(spelled)


def test_a_word_of_the_interface_language_is_refused():
    with pytest.raises(ValueError, match="choose another name"):
        identifier("set")
