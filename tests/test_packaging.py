"""What is installed, and what it stands on."""

from __future__ import annotations

import importlib.metadata
import json
import os
import re
import sys
from pathlib import Path

import pytest

if sys.version_info >= (3, 11):
    import tomllib
else:
    import tomli as tomllib  # pytest brings it there

ROOT = Path(__file__).resolve().parents[1]
SETUP = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
PROJECT, SETUPTOOLS = SETUP["project"], SETUP["tool"]["setuptools"]
WANTED = [
    *PROJECT["dependencies"],
    *(one for extra in PROJECT["optional-dependencies"].values() for one in extra),
]
NAMES = sorted({re.split(r"[<>=!\[ ]", wanted)[0] for wanted in WANTED})


def folder_of(package: str) -> Path:
    """The folder of the checkout that a package is installed from."""
    inside = package
    while inside not in SETUPTOOLS["package-dir"]:
        inside = inside.rpartition(".")[0]
    rest = package.removeprefix(inside).strip(".").replace(".", "/")
    return ROOT / SETUPTOOLS["package-dir"][inside] / rest


def matched(folder: Path, pattern: str) -> set[Path]:
    """The files of a folder that a pattern means."""
    hidden = Path(pattern).name.startswith(".")
    return {path for path in folder.glob(pattern) if path.is_file() and path.name.startswith(".") == hidden}


def in_the_checkout() -> set[str]:
    """What belongs into an installation: the modules of each package, and the data that it names."""
    found = set()
    for package in SETUPTOOLS["packages"]:
        folder, target = folder_of(package), package.replace(".", "/")
        named, left_out = (
            SETUPTOOLS[key].get(package, []) for key in ("package-data", "exclude-package-data")
        )
        found_here = set().union(*(matched(folder, pattern) for pattern in ("*.py", *named)))
        for path in found_here.difference(*(matched(folder, pattern) for pattern in left_out)):
            found.add(f"{target}/{path.relative_to(folder).as_posix()}")
    return found


@pytest.mark.parametrize("kind", ["package-data", "exclude-package-data"])
def test_every_pattern_for_data_means_a_file(kind: str) -> None:
    for package, patterns in SETUPTOOLS[kind].items():
        for pattern in patterns:
            assert matched(folder_of(package), pattern), f"{package}: {pattern}"


def test_no_tests_are_installed() -> None:
    files = {path for path in in_the_checkout() if re.search(r"\btests?\b", path)}
    assert files == set()


def test_an_installation_holds_its_modules_and_data_and_no_more() -> None:
    distribution = importlib.metadata.distribution("weavefuncs")
    where = json.loads(distribution.read_text("direct_url.json") or "{}")
    if where.get("dir_info", {}).get("editable") and not os.environ.get("CI"):
        pytest.skip("an editable installation points to the checkout")
    installed = {
        path.as_posix()
        for path in distribution.files or []
        if path.parts[0] == "weavefuncs" and "__pycache__" not in path.parts
    }
    assert installed == in_the_checkout()


def test_every_module_of_the_checkout_is_in_a_package() -> None:
    listed = {folder_of(package) for package in SETUPTOOLS["packages"]}
    for top in ("weavefuncs", "addin", "shared", "workbooks"):
        for path in (ROOT / top).rglob("*.py"):
            assert path.parent in listed, path


def test_every_dependency_has_its_reason() -> None:
    reasons = (ROOT / "DEVELOPERS.md").read_text("utf-8").partition("\n## Dependencies\n")[2]
    table = [line.split("|")[1] for line in reasons.splitlines() if line.startswith("| ")]
    for name in NAMES:
        assert any(re.search(rf"\b{re.escape(name)}\b", cell) for cell in table), name


def test_the_checks_run_with_pinned_versions() -> None:
    pinned = (ROOT / ".ci" / "constraints.txt").read_text("utf-8").splitlines()
    assert all(re.fullmatch(r"[A-Za-z0-9._-]+==[\w.+!]+", line) for line in pinned)
    names = {line.partition("==")[0].lower().replace("_", "-") for line in pinned}
    assert {name.lower().replace("_", "-") for name in NAMES} <= names
