"""Time every regular expression of the functions, the hosts and the planner on texts made to be slow.

The expressions are taken out of the sources, each with the way in which it is used. A text repeats a piece or
two that tempt an expression to go back, between a beginning and an end; the time must grow no faster than
n log n.

    python tests/trust/expressions.py [--record]
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import importlib.util
import json
import math
import pkgutil
import platform
import re
import signal
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import chain, product
from pathlib import Path
from types import ModuleType
from typing import Any

import weavefuncs.addin
import weavefuncs.workbooks

RECORD = Path(__file__).parent / "records" / "expressions.json"

PIECES = [
    '"', "'", "[", "]", "(", ")", "<", "<c ", "<dimension ", "{", " ", "\n", "a", "A", "9", "0", "0,", ".",
    ",", "_", "_x", "!", ":", "=", "\\", "$", "#", "y", "*", "-", ";", "WEAVE.", "encoding", "_XL", "_xll.",
    "@",
]  # fmt: skip
AROUND = [("", ""), ("", "!"), ("<a", ">"), ("[", "\x00"), ("A", "(")]

LENGTHS = (2_000, 8_000)
# The power of the length that the time may grow by; n log n stays below it.
MOST_POWER = 1.25
# Below this a time is noise.
LEAST_SECONDS = 0.005
# An expression that takes so long for one text has no end.
ENDLESS = 2.0

# Written into an expression where it is used, and nothing that changes how it goes back.
LOCAL = {"cell": "A1", "folder": "Thumbnails/", "split": "xSplit", "style": ["", "ta1"]}


@dataclass
class Expression:
    """An expression as a module uses it."""

    module: str
    line: int
    pattern: re.Pattern[Any]
    method: str

    def read(self, text: str) -> None:
        """Use it on a text."""
        subject = text if isinstance(self.pattern.pattern, str) else text.encode()
        if self.method in ("search", "match", "fullmatch"):
            getattr(self.pattern, self.method)(subject)
        else:
            # To split, to replace and to find all is to search from every end to the next.
            for _ in self.pattern.finditer(subject):
                pass


class _EndlessError(BaseException):
    """A text that is not read to its end."""


def _end(signum: int, frame: Any) -> None:
    raise _EndlessError


def expressions() -> Iterator[Expression]:
    """Find the expressions of all modules."""
    packages = weavefuncs, weavefuncs.addin, weavefuncs.workbooks
    walks = (pkgutil.walk_packages(package.__path__, f"{package.__name__}.") for package in packages)
    for name in sorted({found.name for found in chain.from_iterable(walks)}):
        spec = importlib.util.find_spec(name)
        source = Path(spec.origin).read_text("utf-8") if spec and spec.origin else ""
        if "import re\n" not in source:
            continue
        module = importlib.import_module(name)
        tree = ast.parse(source)
        yield from (
            Expression(name, node.lineno, pattern, method)
            for node, pattern in _patterns(tree, module)
            for method in _methods(node, tree, source)
        )


def _patterns(tree: ast.Module, module: ModuleType) -> Iterator[tuple[ast.Call, re.Pattern[Any]]]:
    for node in ast.walk(tree):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
            continue
        if ast.unparse(node.func.value) != "re" or node.func.attr == "escape":
            continue
        place = {"compile": 1, "sub": 4}.get(node.func.attr, 2)
        flags = [*node.args[place:], *(word.value for word in node.keywords if word.arg == "flags")]
        text, flag = (_value(part, module) for part in (node.args[0], flags[0] if flags else None))
        yield node, re.compile(text, flag or 0)


def _value(node: ast.expr | None, module: ModuleType) -> Any:
    if node is None:
        return None
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Mod):
        return _value(node.left, module) % b"A1"
    view = type("View", (), {"name": "Plan"})
    return eval(compile(ast.Expression(node), "", "eval"), {**LOCAL, "view": view, **vars(module)})


def _methods(node: Any, tree: ast.Module, source: str) -> list[str]:
    """Tell how an expression is used: at once, or under the name that it is given."""
    method = node.func.attr
    if method != "compile":
        return [method]
    names = [
        ast.unparse(assigned.targets[0])
        for assigned in ast.walk(tree)
        if isinstance(assigned, ast.Assign) and assigned.value is node
    ]
    return sorted({used for name in names for used in re.findall(rf"\b{name}\.(\w+)", source)})


def texts() -> Iterator[Callable[[int], str]]:
    """Give the texts, each to be made as long as wanted."""
    pieces = [*PIECES, *(one + other for one, other in product(PIECES, PIECES) if one != other)]
    for piece in pieces:
        for start, end in AROUND if len(piece) == 1 or piece in PIECES else AROUND[:3]:
            yield (
                lambda length, parts=(start, piece, end): (
                    parts[0] + parts[1] * (length // len(parts[1])) + parts[2]
                )
            )


def seconds(expression: Expression, text: str) -> float:
    """Return the processor time that a text takes; infinity where it has no end."""
    begin = time.process_time()
    signal.setitimer(signal.ITIMER_PROF, ENDLESS)
    with contextlib.suppress(_EndlessError):
        expression.read(text)
        signal.setitimer(signal.ITIMER_PROF, 0)
        return time.process_time() - begin
    return math.inf


def timed(expression: Expression) -> tuple[float, float]:
    """Return the longest time, and the greatest power of the length that the time grows by."""
    longest = power = 0.0
    short, long = LENGTHS
    for text in texts():
        taken = seconds(expression, text(long))
        longest = max(longest, taken)
        if taken > LEAST_SECONDS:
            # Measured again, since others use the machine too.
            taken, before = (min(seconds(expression, text(size)) for _ in range(3)) for size in (long, short))
            if taken > LEAST_SECONDS:
                power = max(power, math.log(taken / max(before, 1e-7), long / short))
        if power > MOST_POWER:
            break
    return longest, power


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--record", action="store_true")
    options = parser.parse_args()
    signal.signal(signal.SIGPROF, _end)
    rows: dict[str, list[Any]] = {}
    slow = 0
    for expression in expressions():
        longest, power = timed(expression)
        package = ".".join(expression.module.split(".")[:2])
        row = rows.setdefault(package, [package, 0, 0.0, 0.0])
        rows[package] = [package, row[1] + 1, max(row[2], longest), max(row[3], power)]
        slow += power > MOST_POWER
        if power > MOST_POWER or longest > LEAST_SECONDS:
            where = f"{expression.module}:{expression.line} {expression.method}"
            print(f"{where}: {1000 * longest:.1f} ms, power {power:.2f}", flush=True)
    print(f"{sum(row[1] for row in rows.values())} expressions, {slow} slow")
    if options.record:
        record(list(rows.values()))
    return 1 if slow else 0


def record(rows: list[list[Any]]) -> None:
    """Write what was seen, one row a package."""
    result = {
        "title": "Regular expressions timed on texts made to be slow",
        "command": "python tests/trust/expressions.py",
        "measured": f"{time.strftime('%Y-%m-%d')}, 1 process, Python {platform.python_version()}",
        "columns": [
            "package",
            "expressions",
            f"slowest of {sum(1 for _ in texts()):,} texts of {LENGTHS[1]:,} characters",
            "power of the length that the time grows by, at most",
        ],
        "rows": [
            [name, count, f"{1000 * longest:.1f} ms", f"{power:.2f}" if power else "below 5 ms"]
            for name, count, longest, power in rows
        ],
        "found": json.loads(RECORD.read_text())["found"] if RECORD.exists() else [],
    }
    RECORD.write_text(json.dumps(result, indent=1, ensure_ascii=False) + "\n")


if __name__ == "__main__":
    sys.exit(main())
