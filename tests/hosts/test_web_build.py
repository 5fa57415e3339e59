"""What ``weavefuncs addin build web`` writes: files that need no other, and what Excel is told."""

from __future__ import annotations

import json
import re
import shutil
import struct
import subprocess
import sys
import xml.etree.ElementTree as ET
import zipfile
from pathlib import Path
from typing import Any

import pytest

import weavefuncs
from weavefuncs import registry
from weavefuncs.addin.cli import main
from weavefuncs.addin.web import toolchain
from weavefuncs.addin.web.build import PYODIDE, build, site_name
from weavefuncs.addin.web.manifest import manifest
from weavefuncs.addin.web.serve import POLICY
from weavefuncs.addin.web.toolchain import WebError
from weavefuncs.addin.web.wheel import write_wheel

sys.path.insert(0, str(Path(__file__).parent))
from web_site import site, workshop

FUNCTIONS = {
    function.sheet_name.removeprefix("WEAVE."): function for function in map(registry.get, registry.names())
}

OFFICE = "{http://schemas.microsoft.com/office/appforoffice/1.1}"
BASIC = "{http://schemas.microsoft.com/office/officeappbasictypes/1.0}"
OVERRIDES = "{http://schemas.microsoft.com/office/taskpaneappversionoverrides}"

ORIGIN = "https://looms.example/tools"


@pytest.fixture(scope="module")
def tools(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return workshop(tmp_path_factory)


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return site(tmp_path_factory)


# The front end


def test_its_types_and_its_own_tests_hold(tools: Path) -> None:
    # They do not travel in the package.
    page = Path(__file__).parents[2] / "addin" / "web" / "page"
    for test in page.glob("src/**/*.test.ts"):
        shutil.copy(test, tools / test.relative_to(page))
    assert " passed" in toolchain.npm(tools, "test", NO_COLOR="1")


def test_every_package_has_one_exact_version_and_no_address(tools: Path) -> None:
    wanted = json.loads((tools / "package.json").read_text(encoding="utf-8"))
    for version in [*wanted["dependencies"].values(), *wanted["devDependencies"].values()]:
        assert re.fullmatch(r"\d+\.\d+\.\d+", version)
    text = (tools / "package-lock.json").read_text(encoding="utf-8")
    locked = json.loads(text)["packages"]
    assert all("integrity" in entry for place, entry in locked.items() if place)
    assert "resolved" not in text
    assert "registry" not in text


# The folder


def test_the_page_and_the_server_state_one_policy(built: Path) -> None:
    page = (built / "index.html").read_text(encoding="utf-8")
    assert f'http-equiv="Content-Security-Policy" content="{POLICY}"' in page
    assert "unsafe-inline" not in POLICY
    assert "'unsafe-eval'" not in POLICY


def test_the_page_has_no_inline_script_or_style_and_loads_nothing_from_elsewhere(built: Path) -> None:
    page = (built / "index.html").read_text(encoding="utf-8")
    assert re.findall(r"<script(?![^>]* src=)", page) == []
    assert "<style" not in page
    assert " style=" not in page
    loaded = re.findall(r'(?:src|href)="([^"]+)"', page)
    assert loaded
    assert not any("//" in address or address.startswith("/") for address in loaded)
    for address in loaded:
        assert address.startswith("#") or (built / address).is_file(), address


def test_pyodide_comes_whole_and_without_packages(built: Path) -> None:
    assert {path.name for path in (built / "pyodide").iterdir()} == set(PYODIDE)


def test_what_is_handed_on_names_its_licences(built: Path, tools: Path) -> None:
    told = (built / "licences.txt").read_text(encoding="utf-8")
    wanted = json.loads((tools / "package.json").read_text(encoding="utf-8"))["dependencies"]
    for version in wanted.values():
        assert version in told
    assert "MICROSOFT SOFTWARE LICENSE TERMS" in (built / "office" / "LICENSE.md").read_text(encoding="utf-8")


def test_the_wheel_holds_the_functions_and_needs_nothing_else(built: Path, tmp_path: Path) -> None:
    [wheel] = built.glob("*.whl")
    names = set(zipfile.ZipFile(wheel).namelist())
    modules = {name for name in names if ".dist-info/" not in name}
    assert {f"weavefuncs/{heading}.py" for heading in registry.CORE_MODULES} <= modules
    assert {name for name in modules if name.startswith("weavefuncs/addin/")} == {
        "weavefuncs/addin/__init__.py",
        "weavefuncs/addin/cells.py",
        "weavefuncs/addin/web/__init__.py",
        "weavefuncs/addin/web/bridge.py",
    }
    assert not any(name.startswith(("weavefuncs/tables/", "weavefuncs/workbooks/")) for name in modules)
    # A Python without any package, and nothing but the wheel.
    done = subprocess.run(
        [
            sys.executable,
            "-I",
            "-S",
            "-c",
            "import sys; sys.path.insert(0, sys.argv[1]); from weavefuncs.addin.web.bridge import answers;"
            'print(answers(\'[["WEAVE.ENDS", [15, 24]], ["WEAVE.ENDS", [{"error": "#N/A"}, 24]]]\'))',
            wheel,
        ],
        capture_output=True,
        text=True,
        check=True,
        cwd=tmp_path,
    )
    [ends, error] = json.loads(done.stdout)
    assert ends == [weavefuncs.ends(15, 24), ""]
    assert error[0] == {"error": "#N/A"}


def test_pip_takes_the_wheel(built: Path, tmp_path: Path) -> None:
    [wheel] = built.glob("*.whl")
    command = ["pip", "install", "--quiet", "--no-deps", "--no-index", "--target", tmp_path / "in", wheel]
    subprocess.run([sys.executable, "-m", *command], check=True, env={"PIP_DISABLE_PIP_VERSION_CHECK": "1"})
    assert (tmp_path / "in" / "weavefuncs" / "addin" / "web" / "bridge.py").is_file()


def test_the_wheel_has_the_same_bytes_each_time(built: Path, tmp_path: Path) -> None:
    [wheel] = built.glob("*.whl")
    assert write_wheel(tmp_path, wheel.name.split("-")[1]).read_bytes() == wheel.read_bytes()


def test_the_page_is_told_of_every_function(built: Path) -> None:
    told = json.loads((built / "functions.json").read_text(encoding="utf-8"))
    assert [entry["name"] for entry in told] == [function.sheet_name for function in FUNCTIONS.values()]
    for entry in told:
        function = registry.get(entry["name"])
        assert entry["python"] == function.name
        assert entry["summary"] == function.docstring.summary
        assert entry["example"].startswith(f"={function.sheet_name}(")
        assert [(each["name"], each["required"]) for each in entry["args"]] == [
            (parameter.name, parameter.required) for parameter in function.parameters
        ]


# What Excel is told: "Manually create JSON metadata for custom functions", Microsoft's documentation


@pytest.fixture(scope="module")
def told(built: Path) -> dict[str, Any]:
    path = built / "metadata.json"
    # Excel for desktops was seen to take no larger one.
    assert path.stat().st_size < 1_000_000
    content = json.loads(path.read_text(encoding="utf-8"))
    # Without it an error in an argument would never reach the adapter.
    assert content["allowErrorForDataTypeAny"] is True
    return {entry["id"]: entry for entry in content["functions"]}


def test_excel_is_told_of_every_function_once(built: Path, told: dict[str, Any]) -> None:
    content = json.loads((built / "metadata.json").read_text(encoding="utf-8"))
    assert len(content["functions"]) == len(told)
    assert set(told) == set(FUNCTIONS)


@pytest.mark.parametrize("name", FUNCTIONS)
def test_each_is_told_as_the_documentation_wants_it(told: dict[str, Any], name: str) -> None:
    function, entry = FUNCTIONS[name], told[name]
    assert re.fullmatch(r"[A-Za-z0-9.]{3,}", entry["id"])
    assert entry["name"] == name
    assert entry["result"] == {"type": "any", "dimensionality": "matrix"}
    known = entry["parameters"]
    assert len(known) == len(function.parameters) + function.variadic
    for parameter, one in zip(function.parameters, known):
        assert one["name"] == parameter.name
        assert (one["type"], one["dimensionality"]) == ("any", "matrix")
        assert one.get("optional", False) is not parameter.required
        assert one["description"].startswith(parameter.description)
    # No argument that must be given follows one that may be left out.
    required = [not one.get("optional") and not one.get("repeating") for one in known]
    assert required == sorted(required, reverse=True)
    assert [one.get("repeating", False) for one in known].count(True) == function.variadic
    for text in (entry["description"], *(one["description"] for one in known)):
        assert 0 < len(text) <= 255


def test_a_workbook_made_for_this_route_calls_these_names(told: dict[str, Any]) -> None:
    from weavefuncs.workbooks.book import SPELLINGS

    for name in told:
        assert registry.get(SPELLINGS["office"] + name).sheet_name == f"WEAVE.{name}"


# The manifest: Microsoft's reference of the add-in only manifest


def parsed(text: str) -> ET.Element:
    return ET.fromstring(text.encode("utf-8"))


def names_in(element: ET.Element) -> list[str]:
    return [child.tag.partition("}")[2] for child in element]


@pytest.fixture(scope="module")
def declared(built: Path) -> ET.Element:
    script = next((built / "assets").glob("index-*.js")).relative_to(built).as_posix()
    return parsed(manifest(ORIGIN, built.name, "0.1.0", script))


def test_the_built_manifest_differs_from_another_origins_by_the_address_only(
    built: Path, declared: ET.Element
) -> None:
    text = (built / "manifest.xml").read_text(encoding="utf-8")
    moved = text.replace("<AppDomain>https://localhost:8443<", "<AppDomain>https://looms.example<")
    moved = moved.replace("https://localhost:8443/", f"{ORIGIN}/")
    assert ET.tostring(parsed(moved)) == ET.tostring(declared)


def test_its_parts_stand_in_the_order_of_the_reference(declared: ET.Element) -> None:
    assert declared.tag == f"{OFFICE}OfficeApp"
    assert names_in(declared) == [
        "Id", "Version", "ProviderName", "DefaultLocale", "DisplayName", "Description", "IconUrl",
        "HighResolutionIconUrl", "SupportUrl", "AppDomains", "Hosts", "Requirements", "DefaultSettings",
        "Permissions", "VersionOverrides",
    ]  # fmt: skip
    overrides = declared[-1]
    assert names_in(overrides) == ["Hosts", "Resources"]
    [host] = overrides[0]
    assert names_in(host) == ["Runtimes", "AllFormFactors", "DesktopFormFactor"]
    [point] = host[1]
    assert names_in(point) == ["Script", "Page", "Metadata", "Namespace"]
    assert names_in(overrides[1]) == ["Images", "Urls", "ShortStrings", "LongStrings"]
    assert names_in(host[2]) == ["FunctionFile", "ExtensionPoint"]
    [control] = host[2].iter(f"{OVERRIDES}Control")
    assert names_in(control) == ["Label", "Supertip", "Icon", "Action"]


def test_its_identifier_is_the_one_that_excel_knows_it_by(declared: ET.Element) -> None:
    """A changed one makes another add-in of it, and leaves the old one in every Excel that has it."""
    assert declared.findtext(f"{OFFICE}Id") == "5dea6823-a3ce-41fd-8b49-041c7ed05550"
    assert re.fullmatch(r"\d+(\.\d+){3}", declared.findtext(f"{OFFICE}Version", ""))


def test_what_it_refers_to_is_there(built: Path, declared: ET.Element) -> None:
    resources = {
        each.get("id"): each.get("DefaultValue", "")
        for each in declared.iter()
        if each.tag in (f"{BASIC}Image", f"{BASIC}Url", f"{BASIC}String") and each.get("id")
    }
    wanted = {each.get("resid") for each in declared.iter() if each.get("resid")}
    assert wanted == set(resources)
    assert all(len(name) <= 32 for name in wanted if name)
    for string in declared.iter(f"{BASIC}String"):
        # ShortStrings hold 125 signs, LongStrings 250.
        assert 0 < len(string.get("DefaultValue", "")) <= 125
    addresses = [
        each.get("DefaultValue", "")
        for each in declared.iter()
        if each.get("DefaultValue", "").startswith("http")
    ]
    assert len(addresses) >= 9
    for address in addresses:
        place, _, file = address.partition(f"/{site_name()}/")
        assert place == ORIGIN
        assert (built / file.partition("?")[0]).is_file(), address


def test_functions_and_pane_share_the_page_as_their_runtime(declared: ET.Element) -> None:
    """The shared runtime starts only when every place names one page."""
    [runtime] = declared.iter(f"{OVERRIDES}Runtime")
    assert (runtime.get("resid"), runtime.get("lifetime")) == ("Page", "long")
    for part in ("Page", "Action"):
        for element in declared.iter(f"{OVERRIDES}{part}"):
            assert element.find(f"{OVERRIDES}SourceLocation").get("resid") == "Page"  # type: ignore[union-attr]
    assert [each.get("Name") for each in declared.iter(f"{OFFICE}Set")] == ["SharedRuntime"]
    [namespace] = [each for each in declared.iter(f"{BASIC}String") if each.get("id") == "Namespace"]
    assert namespace.get("DefaultValue") == "WEAVE"


def test_icons_have_the_size_of_their_name(built: Path) -> None:
    paths = list((built / "icons").iterdir())
    assert {16, 32, 64, 80} <= {int(path.stem.partition("-")[2]) for path in paths}
    for path in paths:
        size = int(path.stem.partition("-")[2])
        # A PNG states its width and height there.
        assert struct.unpack(">II", path.read_bytes()[16:24]) == (size, size)


# What it refuses


@pytest.mark.parametrize(
    "origin",
    [
        "http://looms.example",
        "looms.example",
        "https://",
        "https://user@looms.example",
        "https://looms.example?a=1",
        'https://looms.example/"><x',
        "https://looms.example:port",
    ],
)
def test_an_origin_that_excel_would_not_open_is_refused(
    origin: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["addin", "build", "web", "--out", str(tmp_path), "--origin", origin]) == 2
    assert f"the origin must be an https address such as https://looms.example; got {origin!r}" in (
        capsys.readouterr().err
    )
    assert not list(tmp_path.iterdir())


def test_a_folder_that_holds_something_else_is_left_alone(tmp_path: Path) -> None:
    kept = tmp_path / site_name() / "diary.txt"
    kept.parent.mkdir()
    kept.write_text("warp 12")
    with pytest.raises(WebError, match="holds something else"):
        build(tmp_path)
    assert kept.read_text() == "warp 12"


def test_without_npm_a_sentence_says_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    assert main(["addin", "build", "web", "--out", str(tmp_path)]) == 2
    assert "npm was not found. Node 20.19 or newer with npm makes the files" in capsys.readouterr().err


@pytest.mark.parametrize("told", ["v18.20.4", "v20.18.1", "v21.7.0"])
def test_a_node_that_does_not_suit_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, told: str
) -> None:
    for name in ("node", "npm"):
        (tmp_path / name).write_text(f"#!/bin/sh\necho {told}\n")
        (tmp_path / name).chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(WebError, match=f"node {told} does not suit"):
        toolchain.workshop(tmp_path / "shop")


@pytest.mark.parametrize(
    "arguments",
    [
        ["build", "calc", "--origin", ORIGIN],
        ["serve", "calc"],
        ["serve", "web", "--origin", ORIGIN],
        ["status", "web", "--out", "here"],
        ["build", "web", "--compiled"],
        ["install", "web"],
    ],
)
def test_what_does_not_go_together_is_refused(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["addin", *arguments]) == 2
    assert capsys.readouterr().err.startswith("weavefuncs addin: ")
