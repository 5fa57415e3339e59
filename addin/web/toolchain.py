"""Node and npm, which make the page's scripts: found, tried and run."""

from __future__ import annotations

import os
import shutil
import subprocess
from importlib import resources
from pathlib import Path

OLDEST_NODE = (20, 19)
# Vite's own list leaves this one out.
UNFIT_NODE = 21

HELP = (
    "Node {}.{} or newer with npm makes the files of the page. Install it (Debian: nodejs and npm) and "
    "try again; who only uses the page needs neither."
).format(*OLDEST_NODE)

# How many lines of a program that failed are told: the last ones name the reason.
LINES_TOLD = 15


class WebError(Exception):
    """What keeps the files of the page from being made or served, and what to do about it."""


def workshop(folder: Path) -> Path:
    """Copy the sources of the page into a folder and fetch the packages that they are made with.

    Raises
    ------
    WebError
        When Node or npm is missing or too old, or a package cannot be fetched.
    """
    _check_node()
    with resources.as_file(resources.files("weavefuncs.addin.web") / "page") as sources:
        shutil.copytree(
            sources, folder, dirs_exist_ok=True, ignore=shutil.ignore_patterns("node_modules", "dist")
        )
    npm(folder, "ci")
    return folder


def npm(folder: Path, *arguments: str, **settings: str) -> str:
    """Run npm in a folder, with settings as environment variables, and return what it printed.

    Raises
    ------
    WebError
        When it is missing or fails.
    """
    done = subprocess.run(
        [_found("npm"), *arguments],
        cwd=folder,
        env={**os.environ, **settings},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        check=False,
    )
    if done.returncode:
        told = "\n".join(done.stdout.splitlines()[-LINES_TOLD:])
        raise WebError(f"npm {' '.join(arguments)} failed:\n{told}")
    return done.stdout


def _found(program: str) -> str:
    path = shutil.which(program)
    if path is None:
        raise WebError(f"{program} was not found. {HELP}")
    return path


def _check_node() -> None:
    _found("npm")
    done = subprocess.run([_found("node"), "--version"], capture_output=True, text=True, check=False)
    told = done.stdout.strip()
    numbers = told.removeprefix("v").split(".")
    if not numbers[0].isdigit():
        raise WebError(f"node did not tell its version. {HELP}")
    number = tuple(map(int, numbers[:2]))
    if number < OLDEST_NODE or number[0] == UNFIT_NODE:
        raise WebError(f"node {told} does not suit. {HELP}")
