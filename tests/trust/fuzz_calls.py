"""Call every function with arguments good and bad, in Python and through cells.

Only results and WeaveError may come out, from cells only cell values and CellError with a reason in WHY
exactly where there is an error. No warning, no call over a second of processor time, none over 200 MiB. Each
function runs in a process of its own whose memory is limited. Calls are drawn from the seed alone; what
they cost differs between functions, so that the time of each is bounded too. The record keeps each function
as it was last run.

    python tests/trust/fuzz_calls.py --calls 1000000 --seconds 600 [--seed 1] [--only NAME] [--record]

A million calls of each function take some three hours of one processor; --jobs 2 takes two.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import platform
import resource
import signal
import sys
import time
import warnings
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from random import Random
from statistics import median
from typing import Any

sys.path.insert(0, str(Path(__file__).parent))
import hostile

from weavefuncs import registry
from weavefuncs.addin import cells
from weavefuncs.errors import WeaveError, shown

RECORD = Path(__file__).parent / "records" / "fuzz_calls.json"
MEMORY = 200 << 20
SECONDS = 1.0
# A call that runs so long is ended, and a process that comes to no new call in so long.
HANGS = 3.0
STANDS_STILL = 120.0
MOST_FAILURES = 5
# Every fifth call goes through cells.
CELLS_EVERY = 5


class _HangError(BaseException):
    """A call that was ended."""


def _end(signum: int, frame: Any) -> None:
    raise _HangError


def written(arguments: Any) -> str:
    """Write arguments so that each is seen."""
    if isinstance(arguments, dict):
        return ", ".join(f"{name}={shown(value)}" for name, value in arguments.items())
    return ", ".join(f"{type(value).__name__} {shown(value)}" for value in arguments)


def called(function: Any, args: list[Any], named: dict[str, Any]) -> str:
    """Call in Python; tell what is wrong."""
    try:
        return hostile.wrong_in_result(function, function.call(tuple(args), named))
    except WeaveError as error:
        return hostile.wrong_in_error(error)


def asked(function: Any, args: list[Any]) -> str:
    """Call through cells; tell what is wrong."""
    result = cells.evaluate(function.sheet_name, args)
    if function.variadic:
        return "" if isinstance(result, (str, cells.CellError)) else f"{result!r}"
    return hostile.wrong_in_cells(result, cells.evaluate("WEAVE.WHY", [function.sheet_name, *args]))


def drawn(source: Random, function: Any, number: int) -> tuple[list[Any], dict[str, Any]]:
    """Draw the arguments of a call."""
    if number % CELLS_EVERY == 0:
        return hostile.cell_arguments(source, function), {}
    return hostile.call_arguments(source, function)


def fuzz(name: str, calls: int, seconds: float, seed: int, reached: Any, connection: Any) -> None:
    """Make the calls of one function and send back what was seen."""
    function = registry.get(name)
    source = Random(f"{seed}:{name}")
    own = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
    resource.setrlimit(resource.RLIMIT_AS, (own + MEMORY, resource.RLIM_INFINITY))
    signal.signal(signal.SIGPROF, _end)
    warnings.simplefilter("error")
    failures: list[str] = []
    through_cells = 0
    slowest, slowest_call, began = 0.0, "", time.process_time()
    for number in range(calls):
        in_cells = number % CELLS_EVERY == 0
        through_cells += in_cells
        reached.value = number
        args, named = drawn(source, function, number)
        signal.setitimer(signal.ITIMER_PROF, HANGS)
        start = time.process_time()
        try:
            wrong = asked(function, args) if in_cells else called(function, args, named)
        except _HangError:
            wrong = "ended"
        except MemoryError:
            wrong = "over 200 MiB"
        except BaseException as problem:
            wrong = f"{type(problem).__name__}: {problem}"
        took = time.process_time() - start
        signal.setitimer(signal.ITIMER_PROF, 0)
        if took > slowest:
            slowest, slowest_call = took, written(args)
        # Through cells a function is called twice, for its result and for the reason.
        if took > SECONDS * (1 + in_cells) and not wrong:
            wrong = f"took {took:.2f} s"
        if wrong:
            way = "cells" if in_cells else "call"
            failures.append(f"{name} {way} {number}: {wrong} | {written(args)} {written(named)}")
        if len(failures) >= MOST_FAILURES or time.process_time() - began > seconds:
            break
    resource.setrlimit(resource.RLIMIT_AS, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
    connection.send(
        {
            "name": name, "calls": number + 1, "cells": through_cells, "failures": failures,
            "slowest": slowest, "slowest_call": slowest_call, "seconds": time.process_time() - began,
            "peak": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss >> 10,
        }
    )  # fmt: skip


def run(name: str, calls: int, seconds: float, seed: int) -> dict[str, Any]:
    """Fuzz one function in a process of its own."""
    # A process forked beside other threads may wait for ever for what one of them held.
    context = multiprocessing.get_context("spawn")
    here, there = context.Pipe(duplex=False)
    reached = context.Value("q", 0, lock=False)
    arguments = name, calls, seconds, seed, reached, there
    process = context.Process(target=fuzz, args=arguments)
    process.start()
    there.close()
    number = -1
    try:
        while not here.poll(STANDS_STILL):
            number, before = reached.value, number
            if number == before:
                process.kill()
        seen: dict[str, Any] = here.recv()
    except EOFError:
        number, function, source = reached.value, registry.get(name), Random(f"{seed}:{name}")
        for earlier in range(number):
            drawn(source, function, earlier)
        args, named = drawn(source, function, number)
        failure = f"{name} {number}: the process died or stood still | {written(args)} {written(named)}"
        seen = {"name": name, "calls": number, "cells": number // CELLS_EVERY, "failures": [failure],
                "slowest": 0.0, "slowest_call": "", "seconds": 0.0, "peak": 0}  # fmt: skip
    process.join()
    return seen


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--calls", type=int, default=10_000)
    parser.add_argument("--seconds", type=float, default=600.0, help="processor time of a function, at most")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", action="append", default=[])
    parser.add_argument("--jobs", type=int, default=1, help="functions at a time")
    parser.add_argument("--record", action="store_true")
    options = parser.parse_args()
    names = options.only or registry.names()
    functions = calls = failed = 0
    with ThreadPoolExecutor(options.jobs) as jobs:
        for one in jobs.map(lambda name: run(name, options.calls, options.seconds, options.seed), names):
            tell(one)
            if options.record:
                record(options, one)
            functions, calls, failed = functions + 1, calls + one["calls"], failed + len(one["failures"])
    print(f"{functions} functions, {calls} calls, {failed} failures")
    return 1 if failed else 0


def tell(one: dict[str, Any]) -> None:
    """Print what was seen of one function."""
    slow = (
        f", slowest {1000 * one['slowest']:.0f} ms ({one['slowest_call'][:160]})"
        if one["slowest"] > 0.1
        else ""
    )
    print(
        f"{one['name']}: {one['calls']} calls, {one['seconds']:.0f} s, peak {one['peak']} MiB{slow}",
        flush=True,
    )
    for failure in one["failures"]:
        print("   ", failure, flush=True)


def _row(heading: str, seen: list[dict[str, Any]]) -> list[str]:
    calls, in_cells, failed = (
        sum(numbers) for numbers in zip(*((one["calls"], one["cells"], one["failed"]) for one in seen))
    )
    fewest = min(seen, key=lambda one: one["calls"])
    slowest = max(seen, key=lambda one: one["slowest"])
    return [
        heading,
        f"{len(seen)}",
        f"{fewest['calls']:,} ({fewest['name']})",
        f"{median(one['calls'] for one in seen):,.0f}",
        f"{calls - in_cells:,}",
        f"{in_cells:,}",
        f"{failed}",
        f"{1000 * slowest['slowest']:.0f} ms ({slowest['name']})",
    ]


def record(options: Any, one: dict[str, Any]) -> None:
    """Put a function into the record, and what is in it into one row a module."""
    old = json.loads(RECORD.read_text()) if RECORD.exists() else {}
    functions = {own["name"]: own for own in old.get("functions", ()) if own["name"] in registry.names()}
    kept = {key: one[key] for key in ("name", "calls", "cells", "slowest")}
    functions[one["name"]] = {**kept, "failed": len(one["failures"])}
    by_module = [
        (module, [own for own in functions.values() if registry.get(own["name"]).module == module])
        for module in registry.CORE_MODULES
    ]
    result = {
        "title": "Hostile calls: only results and WeaveError, no warning, no hang, under 200 MiB",
        "command": f"python tests/trust/fuzz_calls.py --calls {options.calls} --seconds {options.seconds:g} "
        f"--seed {options.seed}",
        "measured": f"{time.strftime('%Y-%m-%d')}, Python {platform.python_version()}",
        "columns": [
            "module",
            "functions",
            "fewest calls of a function",
            "median of them",
            "calls in Python",
            "calls through cells, each with WHY",
            "failures",
            "slowest call, through cells two, processor time",
        ],
        "rows": [
            _row(heading, own) for heading, own in [*by_module, ("in all", list(functions.values()))] if own
        ],
        "found": old.get("found", []),
        "functions": [functions[name] for name in sorted(functions)],
    }
    RECORD.parent.mkdir(exist_ok=True)
    RECORD.write_text(json.dumps(result, indent=1, ensure_ascii=False) + "\n")


if __name__ == "__main__":
    sys.exit(main())
