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


@pytest.fixture(scope="session", autouse=True)
def _every_refusal_tells_what_it_got() -> Iterator[None]:
    """Hold every refusal to its three parts; only a row or an element of a list can be nothing."""
    before = WeaveError.__init__

    def checked(self: WeaveError, argument: str, requirement: str, received: object, row: int = 0) -> None:
        assert isinstance(argument, str)
        assert argument
        assert isinstance(requirement, str)
        assert requirement
        may_be_nothing = isinstance(self, MissingError) or row or "[" in argument
        assert may_be_nothing or received is not None, argument
        before(self, argument, requirement, received, row)

    WeaveError.__init__ = checked
    yield
    WeaveError.__init__ = before
