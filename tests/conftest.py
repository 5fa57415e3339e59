"""What every test stands on."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest

from weavefuncs.errors import MissingError, WeaveError
from weavefuncs.registry import get, names

# What drives an office for minutes starts first, or one process would end alone with it.
LONGEST_FIRST = ("test_calc_planner.py", "test_planner_calc.py", "test_planner.py", "test_offline_calc.py")

# What a refusal of a function may name that is none of its arguments.
NAMED_BESIDE_ARGUMENTS = ("the result", "the resulting yarn", "the number of arguments", "a named argument")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Order the files, each of which one process takes whole."""
    order = {name: place for place, name in enumerate(LONGEST_FIRST)}
    items.sort(key=lambda item: order.get(item.path.name, len(order)))


@pytest.fixture(scope="session", autouse=True)
def _outside_the_checkout(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Run in an empty folder.

    An interpreter that a test starts looks for modules where it stands, and in the checkout it would find
    ``weavefuncs/`` without the folders that an installation maps below it.
    """
    before = os.getcwd()
    os.chdir(tmp_path_factory.mktemp("elsewhere"))
    yield
    os.chdir(before)


@pytest.fixture(scope="session")
def _doubtful_refusals() -> Iterator[list[str]]:
    """Gather the refusals of functions that name no argument of theirs, or do not tell what they got."""
    known = {name: {parameter.name for parameter in get(name).parameters} for name in names()}
    found: list[str] = []

    def tell_function(self: WeaveError, function: str) -> None:
        vars(self)["function"] = function
        if function not in known:
            return
        named = self.argument.partition("[")[0] in {*known[function], *NAMED_BESIDE_ARGUMENTS}
        # A row of a column, an element of a list, or a row or cell of a grid may be nothing. An error that
        # is being unpickled has no row yet.
        in_grid = "(row " in self.requirement or "is no row" in self.requirement
        element = in_grid or vars(self).get("row") or "[" in self.argument
        lost = self.received is None and not element and not isinstance(self, MissingError)
        if lost or not named:
            found.append(str(self))

    WeaveError.function = property(lambda self: vars(self)["function"], tell_function)
    yield found
    del WeaveError.function


@pytest.fixture(autouse=True)
def _every_refusal_tells_what_it_refused(_doubtful_refusals: list[str]) -> Iterator[None]:
    """Let no test pass in which a function of the catalogue refused without the name or the value."""
    _doubtful_refusals.clear()
    yield
    assert _doubtful_refusals == []
