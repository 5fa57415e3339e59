"""What every test stands on."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest

from weavefuncs._index import FUNCTIONS
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
def _doubtful_refusals() -> Iterator[list[WeaveError]]:
    """Gather the refusals that do not tell what they got, or name no argument of any function."""
    parameters = [parameter for name in names() for parameter in get(name).parameters]
    known = {*(parameter.name for parameter in parameters), *NAMED_BESIDE_ARGUMENTS}
    found: list[WeaveError] = []
    before = WeaveError.__init__

    def gathered(self: WeaveError, argument: str, requirement: str, received: object, row: int = 0) -> None:
        before(self, argument, requirement, received, row)
        # An element of a list, or a cell of a grid, may well be nothing.
        element = "[" in argument or "row" in requirement
        lost = received is None and not element and not isinstance(self, MissingError)
        if lost or argument.partition("[")[0] not in known:
            found.append(self)

    WeaveError.__init__ = gathered
    yield found
    WeaveError.__init__ = before


@pytest.fixture(autouse=True)
def _every_refusal_tells_what_it_refused(_doubtful_refusals: list[WeaveError]) -> Iterator[None]:
    """Let no test pass in which a function of the catalogue refused without the name or the value."""
    _doubtful_refusals.clear()
    yield
    catalogued = [error for error in _doubtful_refusals if error.function in FUNCTIONS]
    # A row of a column may be nothing.
    assert [str(error) for error in catalogued if not (error.row and error.received is None)] == []
