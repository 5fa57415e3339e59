"""Install with no network, from the wheel and the source archive, and with the oldest dependencies allowed.

``python tests/trust/supply.py [--record]`` takes about four minutes, and needs Python 3.11, a registry for
downloads, and root for ``unshare`` (Linux). The installs themselves run where there is no network.
"""

from __future__ import annotations

import argparse
import json
import platform
import re
import subprocess
import sys
import tempfile
import venv
import zipfile
from datetime import date
from pathlib import Path

import tomllib

ROOT = Path(__file__).resolve().parents[2]
RECORD = Path(__file__).with_name("records") / "supply.json"
MAIN_JOB = ("new", "hanging.xlsx", "--example", "wall-hanging")
NO_NETWORK = ("unshare", "--net")

# What runs in a minute and touches every dependency of a user.
TESTS_OF_OLDEST = (
    "tests/test_yarn.py",
    "tests/test_columns.py",
    "tests/tables",
    "tests/hosts/test_picture.py",
    "tests/hosts/test_offline_engine.py",
    "tests/hosts/test_excel_functions.py",
    "tests/hosts/test_planner_formulas.py",
)


def run(*words: str | Path, cwd: Path) -> str:
    """Run a command to its end and return what it printed."""
    done = subprocess.run([str(word) for word in words], cwd=cwd, capture_output=True, text=True, check=False)
    if done.returncode:
        raise SystemExit(f"{' '.join(map(str, words))}\n{done.stdout[-3000:]}{done.stderr[-3000:]}")
    return done.stdout


def environment(folder: Path) -> Path:
    """Make an empty environment and return its interpreter."""
    venv.create(folder, with_pip=True)
    return folder / "bin" / "python"


def requirements() -> dict[str, list[str]]:
    """Read what the project asks for: by extra, and under "" what every install brings."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    return {"": project["dependencies"], **project["optional-dependencies"]}


def oldest(wanted: list[str]) -> list[str]:
    """Pin each requirement to the oldest version that it allows."""
    return [re.sub(r">=([\w.]+).*", r"==\1", requirement) for requirement in wanted]


def archives(folder: Path) -> Path:
    """Build the wheel and the source archive of what is committed, and put what they need beside them."""
    source, beside = folder / "source", folder / "packages"
    for made in (source, beside):
        made.mkdir()
    run("git", "-C", ROOT, "archive", "-o", folder / "source.tar", "HEAD", cwd=folder)
    run("tar", "-xf", folder / "source.tar", "-C", source, cwd=folder)
    maker = environment(folder / "maker")
    build = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["build-system"]["requires"]
    run(maker, "-m", "pip", "install", "-q", *build, cwd=folder)
    for kind in ("sdist", "wheel"):
        code = f"from setuptools import build_meta; print(build_meta.build_{kind}({str(beside)!r}))"
        run(maker, "-c", code, cwd=source)
    run(maker, "-m", "pip", "download", "-q", "-d", beside, *build, source, cwd=folder)
    (wheel,) = beside.glob("weavefuncs-*.whl")
    return wheel


def installs_without_network(kept: Path, what: str, folder: Path) -> str:
    """Install one archive where there is no network, run the main job, and say what it printed first."""
    folder.mkdir()
    python = environment(folder / "venv")
    choice = ("--no-binary", "weavefuncs") if what == "source archive" else ("--only-binary", ":all:")
    index = ("--no-index", "--find-links", kept)
    run(*NO_NETWORK, python, "-m", "pip", "install", "-q", *index, *choice, "weavefuncs", cwd=folder)
    said = run(*NO_NETWORK, python.with_name("weavefuncs"), *MAIN_JOB, cwd=folder)
    return said.strip().splitlines()[0]


def works_with_oldest(folder: Path) -> tuple[list[str], str]:
    """Install the oldest dependencies allowed, run some tests, and say which they were and how it went."""
    folder.mkdir()
    python = environment(folder / "venv")
    wanted = requirements()
    pins = oldest([*wanted[""], *wanted["excel"], *wanted["tables"]])
    tools = ("dask", "hypothesis", "pint", "pytest", "pytest-xdist", "setuptools")
    run(python, "-m", "pip", "install", "-q", *pins, *tools, cwd=folder)
    run(python, "-m", "pip", "install", "-q", "--no-deps", ROOT, cwd=folder)
    said = run(python.with_name("pytest"), "-q", *TESTS_OF_OLDEST, cwd=ROOT)
    return pins, said.strip().splitlines()[-1]


def main() -> None:
    """Try all of it and print, or record, how it went."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--record", action="store_true", help=f"write {RECORD.relative_to(ROOT)}")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        wheel = archives(folder)
        with zipfile.ZipFile(wheel) as opened:
            members = opened.namelist()
        rows = [
            ["dependencies of a plain install", str(len(requirements()[""])), ", ".join(requirements()[""])],
            ["files in the wheel", str(len(members)), f"{wheel.stat().st_size / 1e6:.1f} MB"],
        ]
        for what in ("wheel", "source archive"):
            said = installs_without_network(wheel.parent, what, folder / what.replace(" ", "-"))
            rows.append([f"{what}: installed with no network, main job run", "yes", said])
        pins, said = works_with_oldest(folder / "oldest")
        rows.append(["oldest dependencies allowed, a selection of the tests", said, ", ".join(pins)])
    record = {
        "title": "What an installation needs",
        "command": "python tests/trust/supply.py --record",
        "measured": f"{date.today()}, Python {platform.python_version()}, pip",
        "columns": ["tried", "result", "with"],
        "rows": rows,
        "found": json.loads(RECORD.read_text("utf-8"))["found"] if RECORD.exists() else [],
    }
    if given.record:
        RECORD.write_text(json.dumps(record, indent=1, ensure_ascii=False) + "\n", "utf-8")
    for row in rows:
        print(" | ".join(row))


if __name__ == "__main__":
    sys.exit(main())
