"""Put the functions into a spreadsheet program, take them out, or write the file to install by hand.

The exit status is 0 when the functions are in (install, status), out (remove) or written (build), 1 when
status finds them not in, and 2 when something kept the command from its work.
"""

from __future__ import annotations

import sys
from importlib.metadata import version
from typing import TYPE_CHECKING

from weavefuncs.addin.calc.build import FILE_NAME, build
from weavefuncs.addin.calc.install import install, installed, remove
from weavefuncs.addin.calc.office import AddInError, profile_folder

if TYPE_CHECKING:
    import argparse

NOT_IN, REFUSED = 1, 2

CHECK = "To check: in a cell of Calc enter  =WEAVE.ENDS(15,24)  and see 360."


def declare(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.add_argument("action", choices=("build", "install", "remove", "status"))
    parser.add_argument(
        "program",
        choices=("calc", "excel"),
        help="the spreadsheet program: calc (LibreOffice) or excel (Excel on Windows)",
    )
    parser.add_argument(
        "--out",
        metavar="PATH",
        help=f"for build: the file to write, {FILE_NAME} when not given; for excel a folder for its files",
    )
    parser.add_argument(
        "--compiled",
        action="store_true",
        help="for build: for an office that refuses the plain file; it takes LibreOffice's development kit",
    )


def run(given: argparse.Namespace) -> int:
    """Do it and tell what came of it."""
    if given.action != "build" and (given.out is not None or given.compiled):
        print("weavefuncs addin: --out and --compiled go with build only", file=sys.stderr)
        return REFUSED
    if given.program == "excel":
        from weavefuncs.addin.cli.addin_excel import run as run_excel

        return run_excel(given.action, given.out)
    try:
        return {"build": _build, "install": _install, "remove": _remove, "status": _status}[given.action](
            given
        )
    except AddInError as problem:
        print(f"weavefuncs addin: {problem}", file=sys.stderr)
        return REFUSED


def _build(given: argparse.Namespace) -> int:
    print(f"wrote {build(given.out or FILE_NAME, given.compiled)}")
    print("To install it: open the file with LibreOffice, agree, and start LibreOffice again.")
    return 0


def _install(_: argparse.Namespace) -> int:
    after, before = install()
    print(f"installed: {after}" + (f", in place of {before.version}" if before else ""))
    if after.shared:
        print("It went to the extensions of LibreOffice itself; where Calc is open, start it again.")
    else:
        print(f"It went to the extensions in {profile_folder()}")
    print(CHECK)
    return 0


def _remove(_: argparse.Namespace) -> int:
    before = remove()
    print(f"removed: {before}" if before else "not installed: there is nothing to remove")
    return 0


def _status(_: argparse.Namespace) -> int:
    found = installed()
    for each in found:
        print(f"installed: {each}")
    if any(each.version != version("weavefuncs") for each in found):
        print(f"This is version {version('weavefuncs')}: weavefuncs addin install calc puts it in.")
    if any(each.registered for each in found):
        print(CHECK)
        return 0
    if not found:
        print("not installed")
    return NOT_IN
