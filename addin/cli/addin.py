"""Put the functions into a spreadsheet program, take them out, or write the files to install by hand.

The exit status is 0 when the functions are in (install, status), out (remove) or written (build), 1 when
status finds them not in, and 2 when something kept the command from its work.
"""

from __future__ import annotations

import sys
from importlib.metadata import version
from typing import TYPE_CHECKING

from weavefuncs.addin.calc.build import FILE_NAME, build
from weavefuncs.addin.calc.install import install, installed, remove
from weavefuncs.addin.calc.office import AddInError, find_unopkg, lacks_python, profile_folder

if TYPE_CHECKING:
    import argparse

NOT_IN, REFUSED = 1, 2

CHECK = "To check: in a cell of Calc enter  =WEAVE.ENDS(15,24)  and see 360."

NO_PYTHON = (
    "But LibreOffice lacks its part for Python, which runs the functions: cells show Err:504 or #NAME?.\n"
    "On Debian and Ubuntu: apt install python3-uno. Elsewhere look for Python, or pyuno, among the packages\n"
    "or in the installer of LibreOffice. Then start Calc again."
)


def declare(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of the command."""
    parser.add_argument(
        "action",
        choices=("build", "install", "remove", "serve", "status"),
        help="install puts the functions in, remove takes them out, status tells whether they are in, build "
        "writes the files to install by hand or to hand on, serve shows the page of web on this computer",
    )
    parser.add_argument(
        "program",
        choices=("calc", "excel", "web"),
        help="calc (LibreOffice), excel (Excel on Windows), or web (a page, and Excel on every system)",
    )
    parser.add_argument(
        "--out",
        metavar="PATH",
        help=f"for build: the file to write, {FILE_NAME} when not given; for excel and web a folder for the "
        "files, this one when not given. For serve: the folder that build was given",
    )
    parser.add_argument(
        "--origin",
        metavar="ADDRESS",
        help="for build web: where the folder will be found, such as https://looms.example; "
        "this computer when not given",
    )
    parser.add_argument(
        "--compiled",
        action="store_true",
        help="for build calc: another form of the file, for a LibreOffice that refuses the usual one; it "
        "takes LibreOffice's development kit",
    )


def run(given: argparse.Namespace) -> int:
    """Do it and tell what came of it."""
    refused = _refused(given)
    if refused:
        print(f"weavefuncs addin: {refused}", file=sys.stderr)
        return REFUSED
    if given.program == "web":
        from weavefuncs.addin.cli.addin_web import run as run_web

        return run_web(given)
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


def _refused(given: argparse.Namespace) -> str:
    """Say what does not go together; nothing where all does."""
    if given.action == "serve" and given.program != "web":
        return "serve goes with web only"
    if given.action not in ("build", "serve") and given.out is not None:
        return "--out goes with build and serve only"
    if given.compiled and (given.action, given.program) != ("build", "calc"):
        return "--compiled goes with build calc only"
    if given.origin is not None and (given.action, given.program) != ("build", "web"):
        return "--origin goes with build web only"
    return ""


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
    _tell_how_to_check()
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
        _tell_how_to_check()
        return 0
    if not found:
        print("not installed")
    return NOT_IN


def _tell_how_to_check() -> None:
    if lacks_python(find_unopkg()):
        print(NO_PYTHON)
    print(CHECK)
