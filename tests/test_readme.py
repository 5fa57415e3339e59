"""What README shows is what happens."""

from __future__ import annotations

import doctest
import re
from pathlib import Path

import weavefuncs as wf

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


def test_functions_that_the_prose_names_exist():
    names = {name.upper().replace("_", "") for name in wf.__all__}
    for name in re.findall(r"WEAVE\.([A-Z]+)", README.read_text(encoding="utf-8")):
        assert name in names
