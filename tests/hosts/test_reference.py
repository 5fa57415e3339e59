"""Every generated file in the checkout is what its generator writes."""

from __future__ import annotations

from pathlib import Path

import pytest

from weavefuncs.addin.reference.__main__ import generated, main
from weavefuncs.addin.reference.pages import END, START, readme_with_functions
from weavefuncs.addin.reference.questions import QUESTIONS
from weavefuncs.registry import names

ROOT = Path(__file__).parents[2]
HINT = "run: python -m weavefuncs.addin.reference"


@pytest.mark.parametrize("path", generated(ROOT))
def test_the_committed_file_is_the_generated_one(path: str) -> None:
    assert (ROOT / path).read_text(encoding="utf-8") == generated(ROOT)[path], HINT


def test_only_the_text_between_the_markers_is_renewed() -> None:
    page = readme_with_functions(f"before\n{START}\nformerly\n{END}\nafter\n")
    assert page.startswith(f"before\n{START}\n")
    assert page.endswith(f"{END}\nafter\n")
    assert "formerly" not in page
    assert readme_with_functions(page) == page


@pytest.mark.parametrize(
    "readme", ["", START, END, f"{END}{START}", f"{START}{START}{END}", f"{START}{END}{END}"]
)
def test_a_readme_without_its_markers_is_refused(readme: str) -> None:
    with pytest.raises(ValueError, match="once each"):
        readme_with_functions(readme)


def test_the_command_writes_them(tmp_path: Path) -> None:
    (tmp_path / "weavefuncs").mkdir()
    (tmp_path / "README.md").write_text(f"{START}{END}", encoding="utf-8")
    main(tmp_path)
    for path, text in generated(tmp_path).items():
        assert (tmp_path / path).read_text(encoding="utf-8") == text


def test_every_function_answers_a_question() -> None:
    answering = [name for rows in QUESTIONS.values() for _, named in rows for name in named.split()]
    assert sorted(answering) == sorted(names())
