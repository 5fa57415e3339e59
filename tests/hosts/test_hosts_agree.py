"""The same edge-case calls give the same answer in every host, or a difference that is explained.

The table of it stands in ``addin/README.md``; ``python tests/hosts/compare_hosts.py`` writes it anew.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from compare_hosts import (
    BEGIN,
    CALLS,
    END,
    HOSTS,
    README,
    UNEXPLAINED,
    all_answers,
    by_adapter,
    differences,
    table,
)
from web_site import site

from weavefuncs.addin.cells import CellError


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[list[list[object]]]]:
    return all_answers(site(tmp_path_factory))


def test_there_are_at_least_two_hundred_calls() -> None:
    assert len(CALLS) >= 200


def test_what_suits_an_argument_gives_a_value() -> None:
    for call in CALLS:
        if call.case in ("a suitable value", "a range of one cell"):
            assert not any(isinstance(cell, CellError) for row in by_adapter(call) for cell in row), call


@pytest.mark.parametrize("host", HOSTS)
def test_every_difference_is_explained(answers: dict[str, list[list[list[object]]]], host: str) -> None:
    unexplained = [
        place for place, notes in differences(answers).items() if place[1] == host and UNEXPLAINED in notes
    ]
    assert not unexplained


def test_no_host_gives_an_error_as_text(answers: dict[str, list[list[list[object]]]]) -> None:
    for results in answers.values():
        for rows in results:
            assert not any(isinstance(cell, str) and cell.startswith("#") for row in rows for cell in row)


def test_the_table_in_the_readme_is_what_comes_out(answers: dict[str, list[list[list[object]]]]) -> None:
    text = README.read_text(encoding="utf-8")
    assert text.partition(BEGIN)[2].partition(END)[0] == table(answers)
