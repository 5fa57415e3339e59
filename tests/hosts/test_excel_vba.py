"""The module of VBA for a workbook, written from xlwings' own wrappers."""

from __future__ import annotations

import io
import re
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from windows_stand_ins import windows

from weavefuncs import registry
from weavefuncs.addin.excel import spelling, vba

NAMES = [registry.get(name).sheet_name.replace(".", "_") for name in registry.names()]

PROCEDURE = re.compile(r"^(?:Private )?(Function|Sub) (\w+)\((.*?)\)$(.*?)^End \1$", re.MULTILINE | re.DOTALL)

# Microsoft's "VBA limits": characters in a line, continued lines, and the size of a procedure.
LONGEST_LINE, MOST_CONTINUED, LARGEST_PROCEDURE = 1023, 24, 64 * 1024


@pytest.fixture(scope="module")
def text() -> str:
    with windows():
        return vba.module_text().replace("\r\n", "\n")


@pytest.fixture(scope="module")
def procedures(text: str) -> dict[str, tuple[str, str, str]]:
    found = PROCEDURE.findall(text)
    assert len({name.lower() for _, name, _, _ in found}) == len(found)
    return {name: (kind, arguments, body) for kind, name, arguments, body in found}


@pytest.mark.parametrize("name", NAMES)
def test_every_function_has_a_wrapper(procedures: dict[str, tuple[str, str, str]], name: str) -> None:
    kind, arguments, body = procedures[name]
    function = registry.get(name)
    wanted = [
        ("" if parameter.required else "Optional ") + spelling.argument_name(parameter.name)
        for parameter in function.parameters
    ]
    assert kind == "Function"
    assert arguments.split(", ") == wanted + ["ParamArray arguments()"] * function.variadic
    # What the function may become: what Python returns, in either branch, or the error value.
    assigned = re.findall(rf"^\s*{name} = (.*)$", body, re.MULTILINE)
    assert len(assigned) == 3
    assert all(
        value.startswith(f'XLPy.CallUDF("weavefuncs.addin.excel.functions", "{name}", ')
        for value in assigned[:2]
    )
    assert assigned[2] == "CVErr(2015)"
    assert body.rstrip().endswith(f"failed:\n    {name} = CVErr(2015)")
    assert "On Error GoTo failed" in body


def test_no_text_of_an_error_reaches_a_cell(text: str) -> None:
    assert "Err." not in text
    assert text.count("CVErr(2015)") == len(NAMES)


def test_the_two_actions_are_macros(procedures: dict[str, tuple[str, str, str]]) -> None:
    assert procedures["weave_draw_cloth"][:2] == ("Sub", "")
    assert procedures["weave_float_report"][:2] == ("Sub", "")
    assert procedures["weave_wizard_texts"][:2] == ("Sub", "")


def test_the_wizard_is_told_every_function_and_argument(procedures: dict[str, tuple[str, str, str]]) -> None:
    called = procedures["weave_wizard_texts"][2].split()
    told = "".join(procedures[name][2] for name in called)
    # A text in VBA doubles its quotation marks and holds no end of line.
    texts = [text.replace('""', '"') for text in re.findall(r'"((?:[^"]|"")*)"', told)]
    assert all(len(text) <= 255 for text in texts)
    for heading in registry.CORE_MODULES:
        for function in registry.declared(heading).values():
            at = texts.index(spelling.function_name(function))
            assert texts[at + 1][:30] == function.docstring.summary.translate(vba.PLAIN)[:30]
            for parameter, text in zip(function.parameters, texts[at + 3 :]):
                assert text.startswith(parameter.description.translate(vba.PLAIN)[:200])


def test_it_stays_within_the_limits_of_vba(text: str, procedures: dict[str, tuple[str, str, str]]) -> None:
    lines = text.split("\n")
    assert max(map(len, lines)) <= LONGEST_LINE
    continued = 0
    for line in lines:
        continued = continued + 1 if line.endswith(" _") else 0
        assert continued <= MOST_CONTINUED
    assert max(len(body) for _, _, body in procedures.values()) < LARGEST_PROCEDURE
    assert all(line.count('"') % 2 == 0 for line in lines if not line.startswith("'"))


def test_any_code_page_can_read_it(text: str) -> None:
    assert text.isascii()
    assert text.startswith('Attribute VB_Name = "weavefuncs"\n')


def test_lines_end_as_windows_ends_them() -> None:
    with windows():
        raw = vba.module_text()
    assert raw.count("\n") == raw.count("\r\n")


def test_what_xlwings_writes_puts_the_text_of_an_error_into_the_cell() -> None:
    """The reason for mending; when this fails, xlwings does it by itself."""
    with windows() as excel:
        written = io.StringIO()
        excel.udfs.generate_vba_wrapper("m", excel.functions, written, SimpleNamespace(Name="book.xlsm"))
    assert written.getvalue().count(" = Err.Description\n") == len(NAMES)


def test_wrappers_of_another_kind_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    with windows() as excel:
        monkeypatch.setattr(
            excel.udfs,
            "generate_vba_wrapper",
            lambda name, module, file, book: file.write("WEAVE_ENDS = Err.Number\n"),
        )
        with pytest.raises(RuntimeError, match="other wrappers"):
            vba.module_text()
