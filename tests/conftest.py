"""What every test stands on."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest


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
