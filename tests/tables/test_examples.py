"""The examples of the functions for whole tables run, and show what stands there."""

from __future__ import annotations

import doctest
import inspect

import pytest

from weavefuncs import tables

FUNCTIONS = [name for name in tables.__all__ if inspect.isfunction(getattr(tables, name))]
# They take what the others give, or a file.
WITHOUT = {"add_up", "rounded", "write_csv", "write_tables"}


@pytest.mark.parametrize("name", FUNCTIONS)
def test_the_example_runs(name: str) -> None:
    function = getattr(tables, name)
    tests = doctest.DocTestFinder(recurse=False).find(
        function, name, globs=dict(vars(tables)) | {name: function}
    )
    examples = [example for test in tests for example in test.examples]
    assert bool(examples) == (name not in WITHOUT)
    problems: list[str] = []
    for test in tests:
        doctest.DocTestRunner().run(test, out=problems.append)
    assert not problems, "".join(problems)
