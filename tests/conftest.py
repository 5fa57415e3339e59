"""What every test stands on."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest

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
