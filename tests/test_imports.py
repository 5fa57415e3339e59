"""What the core loads: little at import, and the standard library only. No timing: see benchmarks/."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import weavefuncs
from weavefuncs import shared

# Slow to load, or not there where the core runs.
UNWANTED = {
    "dataclasses",
    "enum",
    "importlib.resources",
    "inspect",
    "json",
    "numpy",
    "pandas",
    "re",
    "typing",
}

PACKAGE, SHARED = Path(weavefuncs.__file__).parent, Path(shared.__file__).parent
CORE = sorted(PACKAGE.glob("*.py"))


@pytest.fixture(scope="module")
def tree(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The core and its data alone, as an installed package has them and an add-in carries them."""
    root = tmp_path_factory.mktemp("core")
    for source, target in ((PACKAGE, root / "weavefuncs"), (SHARED, root / "weavefuncs" / "shared")):
        target.mkdir()
        for path in source.glob("*.py"):
            (target / path.name).write_bytes(path.read_bytes())
    return root


def loaded(tree: Path, code: str) -> set[str]:
    """Return the modules that some code loads, beyond those of a bare interpreter."""
    report = "import sys; print(*sys.modules, sep='\\n')"
    bare, full = (
        set(
            subprocess.run(
                # No site-packages, no environment: nothing but the standard library and the tree.
                [
                    sys.executable,
                    "-I",
                    "-S",
                    "-B",
                    "-c",
                    f"import sys; sys.path.append({str(tree)!r}); {part}{report}",
                ],
                capture_output=True,
                encoding="utf-8",
                check=True,
            ).stdout.split()
        )
        for part in ("", f"{code}; ")
    )
    return full - bare


def test_importing_the_package_loads_its_index_only(tree: Path) -> None:
    assert loaded(tree, "import weavefuncs") == {"weavefuncs", "weavefuncs._index"}


def test_a_first_call_loads_nothing_slow(tree: Path) -> None:
    modules = loaded(tree, "import weavefuncs; weavefuncs.ends(15, 24)")
    assert "weavefuncs.warp" in modules
    assert "weavefuncs.sett" not in modules
    assert not modules & UNWANTED


def test_yarns_weaves_and_colours_load_nothing_slow(tree: Path) -> None:
    code = (
        "import weavefuncs as wf; wf.sett_from_diameters('8/2 Ne', '2/2 twill');"
        "wf.colour_of('8 white, 4 blue', 9);"
        "wf.sley_order(20, 12); wf.pick_text('2/2 twill', 21, 1, '9,9'); wf.why('ENDS', 1)"
    )
    assert not loaded(tree, code) & UNWANTED


@pytest.mark.parametrize("path", CORE, ids=lambda path: path.stem)
def test_each_module_loads_by_itself_with_the_standard_library_only(tree: Path, path: Path) -> None:
    if path.stem == "__init__":
        return
    assert not loaded(tree, f"import weavefuncs.{path.stem}") & UNWANTED


@pytest.mark.parametrize("path", [*CORE, *sorted(SHARED.glob("*.py"))], ids=lambda path: path.stem)
def test_the_core_imports_itself_and_the_standard_library(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom):
            assert node.level == 0
            names = [node.module or ""]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        else:
            continue
        for name in names:
            top = name.partition(".")[0]
            assert top == "weavefuncs" or top in sys.stdlib_module_names, name
