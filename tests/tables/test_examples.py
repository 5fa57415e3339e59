"""The examples of the functions for whole tables run, and show what stands there."""

from __future__ import annotations

import dataclasses
import doctest
import inspect
import sys

import pytest

from weavefuncs import tables

FUNCTIONS = [name for name in tables.__all__ if inspect.isfunction(getattr(tables, name))]
# They take what the others give, or a file.
WITHOUT = {"add_up", "rounded", "write_csv", "write_tables"}


@pytest.mark.parametrize("name", FUNCTIONS)
def test_what_a_function_returns_can_be_imported_beside_it(name: str) -> None:
    function = getattr(tables, name)
    returned = getattr(sys.modules[function.__module__], function.__annotations__["return"], None)
    if dataclasses.is_dataclass(returned):
        assert getattr(tables, returned.__name__, None) is returned
        # Every table and number of it is told of.
        told = returned.__doc__.partition("Attributes\n")[2]
        for field in dataclasses.fields(returned):
            assert f"    {field.name} : " in told, field.name


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
