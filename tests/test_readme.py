"""What README shows is what happens."""

from __future__ import annotations

import doctest
import re
from pathlib import Path

import weavefuncs as wf
from weavefuncs import registry

README = Path(__file__).resolve().parents[1] / "README.md"


def test_python_examples_run():
    failed, tried = doctest.testfile(str(README), module_relative=False)
    assert tried >= 4
    assert not failed


def test_links_and_pictures_stand_in_the_repository():
    text = README.read_text(encoding="utf-8")
    targets = re.findall(r"\]\(([^)]+)\)", text)
    assert targets
    for target in targets:
        name, _, heading = target.partition("#")
        assert (README.parent / name).exists(), target
        if heading:
            page = (README.parent / name).read_text(encoding="utf-8")
            headings = re.findall(r"^#+ (.*)$", page, re.MULTILINE)
            assert heading in {one.lower().replace(" ", "-") for one in headings}, target


def test_developers_are_told_which_modules_are_no_headings():
    prose = (README.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    sentence = re.search(r"a module without an underscore is a heading.*?;", prose, re.DOTALL)
    modules = {path.stem for path in (README.parent / "weavefuncs").glob("[a-z]*.py")}
    assert set(re.findall(r"`(\w+)`", sentence[0])) == modules - set(registry.CORE_MODULES)


def test_functions_that_the_prose_names_exist():
    names = {name.upper().replace("_", "") for name in wf.__all__}
    for name in re.findall(r"WEAVE\.([A-Z]+)", README.read_text(encoding="utf-8")):
        assert name in names
