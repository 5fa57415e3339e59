"""Fuzz the parsers of the trade's texts, guided by coverage, and time them on texts made to be slow.

Each parser runs in a process of its own, one round after another, until a round has reached nothing new (or
for so many rounds). Only a parsed value or WeaveError may come out. What reaches new places is kept, made as
small as it still reaches them, and written as a corpus that the ordinary tests go through
(tests/corpus_parsers.json). Then each parser reads texts of growing length, built from pieces that tempt a
parser to go back; the time must grow no faster than n log n.

    python tests/trust/fuzz_parsers.py [--seconds 100] [--only KIND] [--record]

The seconds are a round's. Needs atheris.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import math
import platform
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

RECORD = Path(__file__).parent / "records" / "fuzz_parsers.json"
CORPUS = Path(__file__).parents[1] / "corpus_parsers.json"

# What is fuzzed: kind of argument, or function that reads a text by itself, and the module it is read in.
PARSERS = {
    "yarn": "_yarn_text",
    "yarn system": "_yarn_text",
    "weave": "_structure",
    "reversals": "_reversals",
    "sley order": "_sley",
    "colour order": "_colour_order",
    "colour words": "_colour_tones",
    "number in a cell": "addin.cells",
}

MOST_ROUNDS = 8

# The lengths at which a parser is timed, each twice the one before.
LENGTHS = [2**power for power in range(4, 21)]
# The power of the length that the time may grow by, over so many doublings: n log n stays below it.
MOST_POWER = 1.25
OVER = 3
# Below this a time is noise.
LEAST_SECONDS = 0.001


def reader(kind: str) -> Any:
    """Return what reads a text, past the cache that remembers the last ones."""
    import weavefuncs
    from weavefuncs import _colour_order, _reversals, _sley, _structure, _yarn_text
    from weavefuncs.addin import cells

    caches = (_yarn_text._read_yarn, _yarn_text._read_system, _structure._read, _structure._drawn,
              _reversals._read, _colour_order._read)  # fmt: skip
    parsers = {
        "yarn": lambda text: _yarn_text.parse_yarn("given", text).tex,
        "yarn system": lambda text: _yarn_text.parse_system("given", text).name,
        "weave": lambda text: _structure.parse_weave("given", text).rows,
        "reversals": lambda text: _reversals.parse_reversals("given", text),
        "sley order": lambda text: _sley.parse_order("given", text),
        "colour order": lambda text: _colour_order.parse_colour_order("given", text).colours,
        "colour words": lambda text: weavefuncs.colour_key(text, "none") if text else "",
        "number in a cell": cells._number_in_text,
    }
    parser = parsers[kind]

    def read(text: str) -> Any:
        for cache in caches:
            cache.cache_clear()
        return parser(text)

    return read


def fuzz(kind: str, folder: str, seconds: int, seed: int) -> None:
    """Run one parser for a round under atheris; it ends the process."""
    import atheris

    with atheris.instrument_imports(include=["weavefuncs"]):
        from weavefuncs.errors import WeaveError

        read = reader(kind)

    def one(data: bytes) -> None:
        text = data.decode("utf-8", "surrogatepass") if _decodes(data) else data.decode("latin-1")
        try:
            read(text)
        except WeaveError as error:
            str(error)

    sys.path.insert(0, str(Path(__file__).parent))
    options = [f"-max_total_time={seconds}", f"-seed={seed}", f"-dict={_dictionary(folder)}"]
    options += ["-max_len=300", "-timeout=60", "-print_final_stats=1"]
    atheris.Setup(["fuzz_parsers", folder, *options], one)
    atheris.Fuzz()


def _decodes(data: bytes) -> bool:
    try:
        data.decode("utf-8", "surrogatepass")
    except UnicodeDecodeError:
        return False
    return True


def seeds() -> list[str]:
    sys.path.insert(0, str(Path(__file__).parent))
    import hostile

    return [*hostile.ODD_TEXTS, *(text for texts in hostile.GOOD_TEXTS.values() for text in texts)]


def _dictionary(folder: str) -> str:
    """Write the words that the parsers know for the fuzzer to put together."""
    words = sorted(
        {word for text in seeds() for word in text.split() if word.isascii() and word.isprintable()}
    )
    path = Path(folder).with_suffix(".dict")
    lines = ('"' + word.replace("\\", "\\\\").replace('"', '\\"') + '"' for word in words if len(word) < 30)
    path.write_text("\n".join(lines) + "\n")
    return str(path)


def run(kind: str, seconds: int) -> dict[str, Any]:
    """Fuzz one parser in a process of its own."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "corpus"
        folder.mkdir()
        for number, text in enumerate(seeds()):
            (folder / f"seed{number}").write_bytes(text.encode("utf-8", "surrogatepass"))
        runs = points = last_new = 0
        crash, level = "", False
        for number in range(1, MOST_ROUNDS + 1):
            inside = ["--inside", kind, "--folder", str(folder), "--seconds", str(seconds)]
            done = subprocess.run(
                [sys.executable, __file__, *inside, "--seed", str(number)],
                capture_output=True, text=True, errors="replace", cwd=place, check=False,
            )  # fmt: skip
            lines = done.stderr.splitlines()
            reached = [
                (int(line.split("cov: ")[1].split()[0]), int(line.split()[0][1:]))
                for line in lines
                if line.startswith("#") and " cov: " in line
            ]
            most = max((covered for covered, _ in reached), default=0)
            level = most <= points
            if not level:
                points = most
                last_new = runs + next(run for covered, run in reached if covered == points)
            runs += int(next((line.split()[-1] for line in lines if "number_of_executed_units" in line), "0"))
            crash = "" if done.returncode == 0 else "\n".join(lines[-30:])
            if level or crash:
                break
        return {
            "kind": kind,
            "rounds": number,
            "runs": runs,
            "last_new": last_new,
            "points": points,
            "level": level,
            "texts": [_text(file.read_bytes()) for file in folder.iterdir()],
            "crash": crash,
        }


def _text(data: bytes) -> str:
    return data.decode("utf-8", "surrogatepass") if _decodes(data) else data.decode("latin-1")


def ways_of(kind: str, texts: list[str]) -> list[set[Any]]:
    """Return the ways through the parser's module that each text takes, from instruction to instruction."""
    module = PARSERS[kind].rpartition(".")[2] + ".py"
    read = reader(kind)
    taken = []
    for text in texts:
        seen: set[Any] = set()
        taken.append(seen)
        last: dict[Any, int] = {}

        def watch(frame: Any, event: str, _: Any, seen: set[Any] = seen, last: dict[Any, int] = last) -> Any:
            if not frame.f_code.co_filename.endswith(module):
                return None
            frame.f_trace_opcodes = True
            if event == "opcode":
                seen.add((frame.f_code.co_name, last.get(frame, 0), frame.f_lasti))
                last[frame] = frame.f_lasti
            return watch

        sys.settrace(watch)
        try:
            read(text)
        except ValueError:
            pass
        finally:
            sys.settrace(None)
    return taken


def smallest(kind: str, texts: list[str]) -> list[str]:
    """Choose few and short texts that together reach all that any of them reaches."""
    texts = sorted(set(texts), key=lambda text: (len(text), text))
    reached = ways_of(kind, texts)
    wanted = set().union(*reached)
    chosen = []
    while wanted:
        best = max(range(len(texts)), key=lambda place: len(reached[place] & wanted))
        chosen.append(texts[best])
        wanted -= reached[best]
    return sorted(chosen)


PIECES = [
    "9",
    "a",
    " ",
    ",",
    "/",
    ".",
    "(",
    ")",
    "(a",
    "9 ",
    "9,",
    "1-",
    "-",
    "x",
    "(a)x2,",
    "1 a,",
    "((",
    "8/2 Ne ",
    "plain ",
    "2/",
    "1100 ",
    "0",
    "İ",
    "ﬀ",
    "\ud800",
    "\n",
    "a.",
    "9.",
    "'s",
    "per ",
    "#",
    "light ",
    ";",
    "×",
    "( a , ",
    "1x(",
    "left ",
    "1 ",
]
ENDS = ["", "!", ")", " Ne", "\x00"]


def timed(kind: str) -> tuple[float, float, str]:
    """Return the longest time, and the greatest power of the length that the time grows by, and where."""
    read = reader(kind)
    slowest, power, of_what = 0.0, 0.0, ""
    for piece in PIECES:
        for end in ENDS:
            times = []
            for length in LENGTHS:
                text = (piece * (length // len(piece) + 1))[:length] + end
                times.append(min(_seconds(read, text) for _ in range(3)))
            slowest = max(slowest, *times)
            for before, after in zip(times, times[OVER:]):
                grows = math.log2(after / before) / OVER if before > LEAST_SECONDS else 0.0
                if grows > power:
                    power, of_what = grows, f"{piece!r} and {end!r}"
    return slowest, power, of_what


def _seconds(read: Any, text: str) -> float:
    begin = time.process_time()
    with contextlib.suppress(ValueError):
        read(text)
    return time.process_time() - begin


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=int, default=100)
    parser.add_argument("--only", action="append", default=[])
    parser.add_argument("--record", action="store_true")
    parser.add_argument("--inside")
    parser.add_argument("--folder")
    parser.add_argument("--seed", type=int)
    options = parser.parse_args()
    if options.inside:
        fuzz(options.inside, options.folder, options.seconds, options.seed)
        return 0
    rows, corpus, failed = [], json.loads(CORPUS.read_text()) if CORPUS.exists() else {}, 0
    for kind in options.only or PARSERS:
        seen = run(kind, options.seconds)
        slowest, power, of_what = timed(kind)
        corpus[kind] = smallest(kind, [*seen["texts"], *corpus.get(kind, [])])
        failed += bool(seen["crash"]) + (power > MOST_POWER)
        runs = (
            f"{seen['rounds']} rounds, {seen['runs']} runs, {seen['points']} points, "
            f"the last new at {seen['last_new']}{'' if seen['level'] else ', still growing'}"
        )
        times = f"slowest {1000 * slowest:.1f} ms, power {power:.2f} ({of_what})"
        print(f"{kind}: {runs}, {len(corpus[kind])} texts kept; {times}", flush=True)
        if seen["crash"]:
            print(seen["crash"])
        row = [
            kind,
            f"{seen['rounds']}",
            f"{seen['runs']:,}",
            f"{seen['points']}",
            f"{seen['last_new']:,}" + ("" if seen["level"] else " (still growing)"),
            f"{len(corpus[kind])}",
        ]
        rows.append([*row, f"{1000 * slowest:.0f} ms", f"{power:.2f}" if power else "below 1 ms"])
    if options.record:
        CORPUS.write_text(json.dumps(corpus, indent=1) + "\n")
        RECORD.parent.mkdir(exist_ok=True)
        found = json.loads(RECORD.read_text())["found"] if RECORD.exists() else []
        record = {
            "title": "Parsers fuzzed by coverage, and timed on texts made to be slow",
            "command": f"python tests/trust/fuzz_parsers.py --seconds {options.seconds}",
            "measured": f"{time.strftime('%Y-%m-%d')}, 1 process, Python {platform.python_version()}",
            "columns": [
                "text",
                "rounds until one reached nothing new",
                "runs",
                "points of the code covered",
                "run that last reached something new",
                "texts that reach all of it",
                f"slowest of {len(PIECES) * len(ENDS)} patterns up to {LENGTHS[-1]:,} characters",
                "power of the length that the time grows by, at most",
            ],
            "rows": rows,
            "found": found,
        }
        RECORD.write_text(json.dumps(record, indent=1, ensure_ascii=False) + "\n")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
