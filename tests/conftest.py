"""What every test stands on."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest

from weavefuncs.errors import MissingError, WeaveError

# What drives an office for minutes starts first, or one process would end alone with it.
LONGEST_FIRST = ("test_calc_planner.py", "test_planner_calc.py", "test_planner.py", "test_offline_calc.py")


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
def _refusals_of_nothing() -> Iterator[list[WeaveError]]:
    """Gather the refusals that do not tell what they got."""
    found: list[WeaveError] = []
    before = WeaveError.__init__

    def gathered(self: WeaveError, argument: str, requirement: str, received: object, row: int = 0) -> None:
        before(self, argument, requirement, received, row)
        # An element of a list, or a cell of a grid, may well be nothing.
        element = "[" in argument or "row" in requirement
        if received is None and not element and not isinstance(self, MissingError):
            found.append(self)

    WeaveError.__init__ = gathered
    yield found
    WeaveError.__init__ = before


@pytest.fixture(autouse=True)
def _every_refusal_tells_what_it_got(_refusals_of_nothing: list[WeaveError]) -> Iterator[None]:
    """Let no test pass in which a function's refusal lost what it got; a row of a column may be nothing."""
    _refusals_of_nothing.clear()
    yield
    assert [str(error) for error in _refusals_of_nothing if error.function and not error.row] == []
