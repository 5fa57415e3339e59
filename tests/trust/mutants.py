"""Mutation tests of the functions: change the code in one place, and see whether a test fails.

The changes are those of mutmut (``pip install mutmut``; it brings coverage). Its own runner skips functions
under a decorator, which is nearly all of ours, and puts others in their place, while the registry reads
docstrings, defaults and code objects. So this runner collects the tests once, forks for every change, gives
the live functions the changed code, and runs the tests that execute the changed line, those of the module
first, until one fails.

Not changed: docstrings, annotations, what only type checkers read, slots, and plain wording, which is a text
of four words or more, or one inside the call of an exception (but its first, the name of the argument).

All modules take about an hour on two cores: ``python tests/trust/mutants.py``. Some: ``… yarn _sley``. With
``--record`` the result goes to ``records/mutants.json``, where the reasons written beside survivors are kept.
A reason that begins with "same" says that the change makes no difference; ``--again`` passes over those.
"""

from __future__ import annotations

import argparse
import contextlib
import difflib
import functools
import gc
import json
import os
import pickle
import platform
import re
import resource
import shutil
import signal
import sys
import tempfile
import time
import types
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

import coverage
import libcst as cst
import libcst.matchers as m
import pytest
from libcst.metadata import MetadataWrapper, WhitespaceInclusivePositionProvider
from mutmut.mutation.file_mutation import MutationVisitor
from mutmut.mutation.mutators import mutation_operators
from mutmut.mutation.pragma_handling import IgnoredCode

CHECKOUT = Path(__file__).parents[2]
CORE = CHECKOUT / "weavefuncs"
RECORD = Path(__file__).parent / "records" / "mutants.json"

# Generated, or without anything that could be wrong.
LEFT_OUT = ("_index", "__init__")
# It starts interpreters of its own, which do not see the changed code.
TESTS_LEFT_OUT = ("test_imports.py",)
# Where a module is tested that has no test file called as it is.
TESTED_IN = {
    "_fit": "piece",
    "_fit_choices": "piece",
    "_fit_words": "piece",
    "_stripes": "piece",
    "_numbering": "drafts",
    "_draft_words": "drafts",
    "draft": "drafts",
    "_pick_words": "weave",
    "_edges": "weave",
    "_sley": "reed",
    "_geometry": "cloth",
    "_reversals": "structure",
    "_student": "records",
    "registry": "calls",
}
ONE_PROCESS = (
    "-o",
    "addopts=--import-mode=importlib",
    "-p",
    "no:terminal",
    "-p",
    "no:cacheprovider",
)

# Processor seconds of tests, as they took without a change, after which a change counts as survived.
ENOUGH = 10.0
# A change may make a test slower by this factor and this many seconds before it counts as never ending.
SLOWER, LONGER = 8, 3
MEMORY = 4 * 2**30

KILLED, SURVIVED = 1, 0

# The flag that CPython sets on the code of a function, and not on that of a class or a module.
IN_FUNCTION = 0x02

# What only type checkers read, and the slots of a class, which no living object would take over.
LEFT_ALONE = m.If(test=m.Name("TYPE_CHECKING")) | m.Assign(
    targets=[m.AssignTarget(m.Name("TYPE_CHECKING") | m.Name("__slots__"))]
)


class Visitor(MutationVisitor):
    """mutmut's changes, also in functions under a decorator."""

    METADATA_DEPENDENCIES = (*MutationVisitor.METADATA_DEPENDENCIES, WhitespaceInclusivePositionProvider)

    def __init__(self, *arguments: Any) -> None:
        super().__init__(*arguments)
        self.path: list[str] = []
        self.calls: list[cst.Call] = []
        self.parameters: list[cst.Param] = []
        self.found: list[tuple[tuple[str, ...], Any, Any, bool]] = []
        self.wording = 0

    def on_visit(self, node: cst.CSTNode) -> bool:
        if m.matches(node, LEFT_ALONE):
            return False
        before = len(self.mutations)
        below = super().on_visit(node)
        span = self.get_metadata(WhitespaceInclusivePositionProvider, node, None)
        for mutation in self.mutations[before:]:
            if self._is_wording(node):
                self.wording += 1
            else:
                self.found.append((tuple(self.path), span, mutation.mutated_node, bool(self.parameters)))
        if below and isinstance(node, (cst.FunctionDef, cst.ClassDef)):
            self.path.append(node.name.value)
        if below and isinstance(node, cst.Call):
            self.calls.append(node)
        if below and isinstance(node, cst.Param):
            self.parameters.append(node)
        return below

    def on_leave(self, original_node: cst.CSTNode) -> None:
        if isinstance(original_node, (cst.FunctionDef, cst.ClassDef)) and self.path[-1:] == [
            original_node.name.value
        ]:
            self.path.pop()
        if self.calls and original_node is self.calls[-1]:
            self.calls.pop()
        if self.parameters and original_node is self.parameters[-1]:
            self.parameters.pop()
        super().on_leave(original_node)

    def _is_wording(self, node: cst.CSTNode) -> bool:
        if not isinstance(node, cst.SimpleString):
            return False
        if len(node.raw_value.split()) > 3:
            return True
        for call in self.calls:
            if isinstance(call.func, cst.Name) and call.func.value.endswith("Error"):
                return node is not call.args[0].value
        return False

    def _skip_node_and_children(self, node: cst.CSTNode) -> bool:
        if isinstance(node, cst.FunctionDef) and node.decorators:
            return False
        return super()._skip_node_and_children(node)


@dataclass
class Mutant:
    """One change of one module."""

    module: str
    path: tuple[str, ...]
    line: int
    source: str = field(repr=False)
    default: bool
    change: str

    @property
    def constant(self) -> str:
        """The name that a changed line of a module gives to a value; empty for all other lines."""
        line = self.source.splitlines()[self.line - 1]
        named = re.match(r"([A-Z][A-Z0-9_]*)(: [^=]*)? = ", line)
        return named[1] if named and not self.path else ""


def mutants_of(module: str) -> tuple[list[Mutant], int]:
    """Return the changes of a module, and how many were left out as wording."""
    file = CORE / f"{module}.py"
    source = file.read_text("utf-8")
    wrapper = MetadataWrapper(cst.parse_module(source))
    visitor = Visitor(mutation_operators, IgnoredCode(set(), set(), set()), None)
    wrapper.visit(visitor)
    starts = [0]
    for line in source.splitlines(keepends=True):
        starts.append(starts[-1] + len(line))
    found = {}
    for path, span, node, default in visitor.found:
        start, end = (starts[place.line - 1] + place.column for place in (span.start, span.end))
        changed = source[:start] + wrapper.module.code_for_node(node) + source[end:]
        with contextlib.suppress(SyntaxError):
            compile(changed, str(file), "exec")
            found[changed] = Mutant(
                module, path, span.start.line, changed, default, difference(source, changed)
            )
    return list(found.values()), visitor.wording


def difference(before: str, after: str) -> str:
    """Write what was changed, in one line."""
    lines = list(difflib.unified_diff(before.splitlines(), after.splitlines(), n=0, lineterm=""))[3:]
    old = " ".join(line[1:].strip() for line in lines if line.startswith("-"))
    new = " ".join(line[1:].strip() for line in lines if line.startswith("+"))
    return f"{old}  →  {new}"


def code_at(code: types.CodeType, path: tuple[str, ...]) -> types.CodeType | None:
    """Return the code object of a function in the code of its module, of an inner one its outermost's."""
    for name in path:
        if code.co_flags & IN_FUNCTION:
            return code
        inner = [
            const for const in code.co_consts if isinstance(const, types.CodeType) and const.co_name == name
        ]
        if not inner:
            return None
        code = inner[0]
    return code


def codes_below(code: types.CodeType) -> Iterator[types.CodeType]:
    """Yield a code object and all inside it."""
    yield code
    for const in code.co_consts:
        if isinstance(const, types.CodeType):
            yield from codes_below(const)


class Live:
    """The functions of the package as they are loaded."""

    def __init__(self) -> None:
        self.functions: dict[tuple[str, str], list[types.FunctionType]] = {}
        self.caches = []
        self.registered = []
        registry = sys.modules["weavefuncs.registry"]
        for thing in gc.get_objects():
            if isinstance(thing, types.FunctionType) and thing.__code__.co_filename.startswith(str(CORE)):
                key = Path(thing.__code__.co_filename).stem, thing.__code__.co_qualname
                self.functions.setdefault(key, []).append(thing)
            elif isinstance(thing, functools._lru_cache_wrapper) and thing.__module__.startswith(
                "weavefuncs"
            ):
                self.caches.append(thing)
            elif isinstance(thing, registry.Function):
                self.registered.append(thing)
        if not self.functions:
            pytest.exit(f"what is loaded is not of {CORE}: changes would not reach the tests")
        # A code object names the wrappers of all functions alike, whatever they call themselves.
        self.modules = [
            module
            for name, module in sys.modules.items()
            if name.startswith("weavefuncs") or "test_" in name.rpartition(".")[2]
        ]

    def forget(self) -> None:
        """Empty what was cached, so that a test runs all code it needs."""
        for cache in self.caches:
            cache.cache_clear()
        for function in self.registered:
            function._compiled = function._docstring = None

    def change(self, mutant: Mutant) -> None:
        """Give the live functions, or the live constants, what the changed source says."""
        compiled = compile(mutant.source, str(CORE / f"{mutant.module}.py"), "exec", dont_inherit=True)
        outer = code_at(compiled, mutant.path) if mutant.path else None
        if outer is None or mutant.default or not outer.co_flags & IN_FUNCTION:
            self._change_module(mutant, compiled)
            return
        for code in codes_below(outer):
            for function in self.functions.get((mutant.module, code.co_qualname), []):
                function.__code__ = code

    def _change_module(self, mutant: Mutant, compiled: types.CodeType) -> None:
        live = vars(sys.modules[f"weavefuncs.{mutant.module}"])
        fresh = {key: live[key] for key in ("__name__", "__package__", "__spec__", "__file__", "__loader__")}
        exec(compiled, fresh)
        for thing in gc.get_objects():
            if isinstance(thing, types.FunctionType) and thing.__globals__ is fresh:
                for function in self.functions.get((mutant.module, thing.__code__.co_qualname), []):
                    # A method that calls super() is no inner function.
                    if thing.__code__.co_freevars == function.__code__.co_freevars in ((), ("__class__",)):
                        function.__defaults__ = thing.__defaults__
                        function.__kwdefaults__ = thing.__kwdefaults__
        for name, value in fresh.items():
            if name in live and not callable(value) and repr(value) != repr(live[name]):
                before = live[name]
                for module in self.modules:
                    if vars(module).get(name) is before:
                        setattr(module, name, value)


class Runner:
    """A pytest plugin: in place of running the tests once, it runs them for every change."""

    def __init__(self, modules: list[str], arguments: argparse.Namespace, scratch: Path) -> None:
        self.modules = modules
        self.jobs = arguments.jobs
        self.record = arguments.record
        self.executed = arguments.executed or scratch / "executed"
        self.again: dict[str, set[str]] | None = None
        if arguments.again:
            survivors = json.loads(RECORD.read_text("utf-8"))["survivors"]
            self.again = {name: {entry["change"] for entry in found} for name, found in survivors.items()}
            self.same = {
                name: {entry["change"] for entry in found if entry["reason"].startswith("same")}
                for name, found in survivors.items()
            }
        self.in_child = False

    def pytest_sessionstart(self) -> None:
        """Let hypothesis look for a failing example only, and not for the smallest one."""
        from hypothesis import Phase, settings  # pytest warns of what was imported before it

        settings.register_profile("mutants", phases=(Phase.explicit, Phase.generate), database=None)
        settings.load_profile("mutants")

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_makereport(self, item: pytest.Item, call: pytest.CallInfo[None]) -> None:
        """End the process of a change at the first failure."""
        if call.excinfo is not None and not call.excinfo.errisinstance(pytest.skip.Exception):
            if not self.in_child:
                print(f"fails without a change: {item.nodeid}", file=sys.__stderr__, flush=True)
            os._exit(KILLED)

    def _end_at_first_example(self, item: pytest.Item) -> None:
        """Let a failing example of hypothesis end the process, before its report is written."""
        from hypothesis.errors import HypothesisException

        made = getattr(getattr(item, "obj", None), "hypothesis", None)
        if made is None or hasattr(made.inner_test, "__wrapped__"):
            return
        inner = made.inner_test

        @functools.wraps(inner)
        def ending(*arguments: Any, **named: Any) -> Any:
            try:
                return inner(*arguments, **named)
            except Exception as error:
                if self.in_child and not isinstance(error, HypothesisException):
                    os._exit(KILLED)
                raise

        made.inner_test = ending

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Find out what each test executes, then try the changes."""
        items = {item.nodeid: item for item in session.items}
        # Made once, for whoever makes it empties it first.
        session.config._tmp_path_factory.getbasetemp()
        for item in session.items:
            self._end_at_first_example(item)
        live = Live()
        self.lines, took = self._executed(items, live)
        gc.freeze()
        for module in self.modules:
            self._try_module(module, items, live, self.lines.get(module, {}), took)
        return True

    def _executed(
        self, items: dict[str, pytest.Item], live: Live
    ) -> tuple[dict[str, dict[int, list[str]]], dict[str, float]]:
        """Run all tests in a process of its own: which lines they execute, and how long they take."""
        answer = self.executed
        lines, took = pickle.loads(answer.read_bytes()) if answer.exists() else ({}, {})
        new = {nodeid: item for nodeid, item in items.items() if nodeid not in took}
        child = os.fork() if new else 0
        if new and not child:
            measured = coverage.Coverage(data_file=None, include=[f"{CORE}/*.py"], messages=False)
            measured.start()
            for nodeid, item in new.items():
                live.forget()
                measured.switch_context(nodeid)
                before = time.process_time()
                item.config.hook.pytest_runtest_protocol(item=item, nextitem=None)
                took[nodeid] = time.process_time() - before
            measured.stop()
            data = measured.get_data()
            for file in data.measured_files():
                module = lines.setdefault(Path(file).stem, {})
                for line, nodeids in data.contexts_by_lineno(file).items():
                    module[line] = [*module.get(line, ()), *(nodeid for nodeid in nodeids if nodeid)]
            answer.write_bytes(pickle.dumps((lines, took)))
            os._exit(0)
        if child and os.waitpid(child, 0)[1]:
            pytest.exit("the tests must hold before the code is changed")
        return pickle.loads(answer.read_bytes())

    def _naming(self, constant: str, items: dict[str, pytest.Item]) -> set[str]:
        """Return the tests that execute a line, of any module, that names a constant."""
        word = re.compile(rf"\b{constant}\b")
        found: set[str] = set()
        for module, at in self.lines.items():
            source = (CORE / f"{module}.py").read_text("utf-8").splitlines()
            found.update(*(tests for line, tests in at.items() if word.search(source[line - 1])))
        return found & items.keys()

    def _try_module(
        self,
        module: str,
        items: dict[str, pytest.Item],
        live: Live,
        lines: dict[int, list[str]],
        took: dict[str, float],
    ) -> None:
        start = time.monotonic()
        mutants, wording = mutants_of(module)
        number_of_all, same = len(mutants), []
        if self.again is not None:
            mutants = [mutant for mutant in mutants if mutant.change in self.again.get(module, ())]
            same = [mutant for mutant in mutants if mutant.change in self.same[module]]
            mutants = [mutant for mutant in mutants if mutant not in same]
        everything = {nodeid for at in lines.values() for nodeid in at} & items.keys()

        tested_in = TESTED_IN.get(module, module.lstrip("_"))

        def order(nodeid: str) -> tuple[bool, bool, float]:
            own = nodeid.partition("::")[0].endswith(f"test_{tested_in}.py")
            return nodeid not in declaring, not own, took[nodeid]

        results: dict[int, str] = {}
        running: dict[int, int] = {}

        def wait() -> None:
            process, status = os.wait()
            number = running.pop(process)
            # One that never ends is ended by a signal.
            results[number] = "killed" if status else "survived"

        for number, mutant in enumerate(mutants):
            executing = set(lines.get(mutant.line, ())) & items.keys()
            declaring = set()
            if mutant.constant:
                executing = self._naming(mutant.constant, items) or everything
            elif mutant.default or not executing:
                # What reads the declaration, and what runs when the module is loaded.
                declared = f"[{mutant.path[0]}]" if mutant.path else "[]"
                declaring = {nodeid for nodeid in items if nodeid.endswith(declared)}
                executing = everything | declaring
            chosen, budget = [], 0.0
            for nodeid in sorted(executing, key=order):
                if budget + took[nodeid] <= ENOUGH:
                    budget += took[nodeid]
                    chosen.append(items[nodeid])
            if len(running) == self.jobs:
                wait()
            child = os.fork()
            if not child:
                self._try(mutant, chosen, live, took)
            running[child] = number
        while running:
            wait()
        survivors = same + [mutants[number] for number in sorted(results) if results[number] == "survived"]
        row = {
            "mutants": number_of_all,
            "killed": number_of_all - len(survivors),
            "survived": len(survivors),
            "wording": wording,
            "survivors": survivors,
        }
        tell(module, row, time.monotonic() - start)
        if self.record:
            record(module, row)

    def _try(self, mutant: Mutant, chosen: list[pytest.Item], live: Live, took: dict[str, float]) -> None:
        # Signals in their default end a process even inside one long call of C.
        signal.signal(signal.SIGPROF, signal.SIG_DFL)
        signal.setitimer(signal.ITIMER_PROF, LONGER)
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        self.in_child = True
        for stream in (1, 2):
            os.dup2(os.open(os.devnull, os.O_WRONLY), stream)
        try:
            live.forget()
            live.change(mutant)
            for item in chosen:
                signal.setitimer(signal.ITIMER_PROF, SLOWER * took[item.nodeid] + LONGER)
                item.config.hook.pytest_runtest_protocol(item=item, nextitem=None)
        except BaseException:
            os._exit(KILLED)
        os._exit(SURVIVED)


def tell(module: str, row: dict[str, Any], seconds: float) -> None:
    """Print the result of a module."""
    killed, mutants = row["killed"], row["mutants"]
    print(
        f"{module}: {mutants} mutants, {killed} killed, {row['survived']} survived, "
        f"{killed / max(mutants, 1):.1%}; {row['wording']} of wording; {seconds:.0f} s",
        *(f"  {'.'.join(mutant.path)}:{mutant.line}: {mutant.change}" for mutant in row["survivors"]),
        sep="\n",
        file=sys.__stderr__,
        flush=True,
    )


def record(module: str, row: dict[str, Any]) -> None:
    """Put a module into the record, and keep what was written beside survivors that are still there."""
    old = json.loads(RECORD.read_text("utf-8")) if RECORD.exists() else {}
    survivors = old.get("survivors", {})
    reasons = {entry["change"]: entry["reason"] for entry in survivors.get(module, [])}
    survivors[module] = [
        {
            "in": ".".join(mutant.path),
            "change": mutant.change,
            "reason": reasons.get(mutant.change, "not looked at"),
        }
        for mutant in row["survivors"]
    ]
    table = {line[0]: line[:5] for line in old.get("rows", []) if line[0] != "together"}
    table[module] = [module, *(row[column] for column in ("mutants", "killed", "survived", "wording"))]
    ordered = [table[name] for name in sorted(table, key=lambda name: (name.startswith("_"), name))]
    ordered.append(["together", *(sum(line[column] for line in ordered) for column in range(1, 5))])
    for line in ordered:
        line.append(f"{line[2] / line[1]:.1%}" if line[1] else "–")
    RECORD.parent.mkdir(exist_ok=True)
    new = {
        "title": "Mutation tests of the functions",
        "command": "python tests/trust/mutants.py --record",
        "measured": f"{date.today()}, {os.cpu_count()} cores, Python {platform.python_version()}",
        "columns": ["module", "mutants", "killed", "survived", "wording, not tried", "share killed"],
        "rows": ordered,
        "found": old.get("found", []),
        "survivors": {name: survivors[name] for name in sorted(survivors) if survivors[name]},
    }
    RECORD.write_text(json.dumps(new, ensure_ascii=False, indent=1) + "\n", "utf-8")


def main() -> int:
    """Try the changes of the named modules, or of all."""
    known = [file.stem for file in sorted(CORE.glob("*.py")) if file.stem not in LEFT_OUT]
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("modules", nargs="*", metavar="MODULE", help="such as yarn; all where none is named")
    parser.add_argument("--count", action="store_true", help="only count the changes")
    parser.add_argument("--again", action="store_true", help="only the record's survivors that differ")
    parser.add_argument(
        "--executed", type=Path, metavar="FILE", help="keeps which lines each test executes for the next run"
    )
    parser.add_argument("--jobs", type=int, default=2, help="processes at a time")
    parser.add_argument("--record", action="store_true", help="write records/mutants.json")
    arguments = parser.parse_args()
    unknown = set(arguments.modules) - set(known)
    if unknown:
        parser.error(f"no module {', '.join(sorted(unknown))}")
    modules = arguments.modules or known
    if arguments.count:
        for module in modules:
            mutants, wording = mutants_of(module)
            print(f"{module}: {len(mutants)} and {wording} of wording")
        return 0
    scratch = Path(tempfile.mkdtemp(prefix="mutants-"))
    runner = Runner(modules, arguments, scratch)
    tests = [
        str(file)
        for folder in ("tests", "tests/evidence")
        for file in sorted((CHECKOUT / folder).glob("test_*.py"))
        if file.name not in TESTS_LEFT_OUT
    ]
    try:
        code = pytest.main(
            [*ONE_PROCESS, f"--basetemp={scratch / 'tests'}", *tests],
            plugins=[runner],
        )
    finally:
        shutil.rmtree(scratch)
    return int(code)


if __name__ == "__main__":
    sys.exit(main())
