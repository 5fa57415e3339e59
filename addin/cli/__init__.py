"""The weavefuncs command: one module a command, loaded only when it is called."""

from __future__ import annotations

import os
import sys

TYPE_CHECKING = False
if TYPE_CHECKING:
    import argparse
    from collections.abc import Sequence

COMMANDS = {
    "functions": "list the functions, or explain one",
    "call": "call a function",
    "draw": "draw a weave as a picture of the cloth",
    "fit": "find the plans that come nearest to a piece",
    "new": "write a planner workbook",
    "recalc": "recalculate a workbook without a spreadsheet program",
    "solve": "put orders onto warps and yarn to projects, into the sheet Solved of a planner",
    "upgrade": "move a planner that is filled in into the newest template",
    "stash": "put a list of yarns into a planner",
    "export": "write the tables of a planner as CSV",
    "addin": "put the functions into a spreadsheet program, or take them out",
}

# What the commands for whole tables need beside the plain install.
FOR_TABLES = ("numpy", "openpyxl", "pandas", "scipy")

REFUSED = 2
INTERRUPTED = 130
# As a shell reports a program that a closed pipe ended.
PIPE_CLOSED = 141


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit status."""
    for stream in (sys.stdout, sys.stderr):
        # A console that lacks a sign shows another instead of breaking off.
        stream.reconfigure(errors="replace")  # type: ignore[union-attr]
    try:
        status = _run(sys.argv[1:] if arguments is None else list(arguments))
        sys.stdout.flush()
    except BrokenPipeError:
        # The interpreter would flush into the closed pipe once more on its way out.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return PIPE_CLOSED
    except KeyboardInterrupt:
        return INTERRUPTED
    return status


def _run(arguments: list[str]) -> int:
    import argparse

    parser = argparse.ArgumentParser(
        prog="weavefuncs",
        description="Loom and yarn arithmetic for handweavers.",
        epilog="commands:\n"
        + "".join(f"  {name:<10} {text}\n" for name, text in COMMANDS.items())
        + "\nweavefuncs COMMAND --help tells more.",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="store_true", help="print the version and end")
    parser.add_argument("command", nargs="?", choices=COMMANDS, metavar="COMMAND", help="one of those below")
    parser.add_argument("rest", nargs=argparse.REMAINDER, metavar="...", help="what the command takes")
    given = parser.parse_args(arguments)
    if given.version:
        from importlib.metadata import version

        print(version("weavefuncs"))
        return 0
    if given.command is None:
        parser.print_help(sys.stderr)
        return REFUSED
    return _command(given.command, given.rest)


def _command(name: str, rest: list[str]) -> int:
    import argparse

    try:
        module = __import__(f"weavefuncs.addin.cli.{name}", fromlist=[name])
    except ModuleNotFoundError as problem:
        return _refuse(name, problem)
    parser = argparse.ArgumentParser(
        prog=f"weavefuncs {name}",
        description=module.__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    module.declare(parser)
    given: argparse.Namespace = parser.parse_args(rest)
    try:
        return int(module.run(given))
    except Exception as problem:
        return _refuse(name, problem)


def _refuse(name: str, problem: Exception) -> int:
    """Print a problem as a sentence; raise what is a fault of the program."""
    from weavefuncs.addin.told import plain

    sentence = _sentence(problem)
    if sentence is None:
        raise problem
    print(f"weavefuncs {name}: {plain(sentence)}", file=sys.stderr)
    return REFUSED


def _sentence(problem: Exception) -> str | None:
    """Say what a user can do something about; None for a fault of the program."""
    from weavefuncs.errors import WeaveError

    if isinstance(problem, BrokenPipeError):
        return None
    if isinstance(problem, ModuleNotFoundError) and problem.name in FOR_TABLES:
        return f'needs {problem.name}, which is not installed: pip install "weavefuncs[tables]"'
    if isinstance(problem, OSError) and problem.strerror:
        return f"{problem.filename}: {problem.strerror}" if problem.filename else problem.strerror
    # The class is looked up, not imported: only a command that loaded it can have raised it.
    problems = sys.modules.get("weavefuncs.addin.offline.problems")
    if isinstance(problem, WeaveError) or (problems and isinstance(problem, problems.WorkbookProblem)):
        return str(problem)
    return None
