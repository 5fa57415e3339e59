"""Kill commands at any moment, fill the disk, run two at once: ``python tests/trust/kill_moments.py``.

``recalc``, ``solve`` and ``upgrade`` are killed by SIGKILL at drawn moments: the planner must be the old or
the new one, whole, and the next run must work. Then disks of every small size (tmpfs, as root), odd targets,
and two commands at once on one planner. ``--times N`` says how often each is done (100, and a fifth of that
with whole planners); ``--record`` writes the rows into ``tests/trust/records/hostile.json``. About half an
hour, as root on Linux.
"""

from __future__ import annotations

import argparse
import importlib
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path
from unittest.mock import patch

from kept_rows import keep
from odd_workbooks import small as small_workbook

from weavefuncs.addin.offline import WorkbookProblem, recalculate
from weavefuncs.workbooks import EXAMPLES
from weavefuncs.workbooks.planner import build

sys.path.insert(0, str(Path(__file__).parents[1] / "hosts"))
from light_planner import build_light

PLANNERS = Path(__file__).parents[2] / "workbooks"
RECORD = Path(__file__).parent / "records" / "hostile.json"
COMMAND = "import sys; from weavefuncs.addin.cli import main; sys.exit(main(sys.argv[1:]))"


class Runs:
    """What was run, and what was wrong with it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.rows: list[list[object]] = []
        self.faults: list[str] = []

    def row(self, title: str, on: str, times: int, came: str) -> None:
        self.rows.append([title, on, times, came])
        print(title, on, times, came, sep=" | ", flush=True)

    def fault(self, text: str) -> None:
        self.faults.append(text)
        print("FAULT", text, flush=True)


def stale() -> bytes:
    """Return a filled planner whose stored values are not the right ones, so that every run changes it."""
    out = BytesIO()
    with (
        zipfile.ZipFile(PLANNERS / "example-stash.xlsx") as old,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for info in old.infolist():
            part = old.read(info)
            if info.filename.startswith("xl/worksheets/sheet"):
                part = part.replace(b"</f><v>0</v>", b"</f><v>12345</v>")
            new.writestr(info.filename, part)
    return out.getvalue()


def command(*arguments: str, **options: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(  # type: ignore[call-overload, no-any-return]
        [sys.executable, "-c", COMMAND, *arguments],
        capture_output=True, text=True, check=False, cwd="/", **options,
    )  # fmt: skip


def forked(arguments: list[str], folder: Path) -> int:
    """Start a command in a child of this warm process, with a folder for temporary files of its own."""
    from weavefuncs.addin.cli import main

    child = os.fork()
    if child:
        return child
    nowhere = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(nowhere, stream)
    os.environ["TMPDIR"] = tempfile.tempdir = str(folder)
    status = 70
    try:
        status = main(arguments)
    finally:
        os._exit(status)


def whole(path: Path, least: int = 15_000) -> bool:
    """Tell whether a planner can be read and calculated, with at least so many formulas."""
    with zipfile.ZipFile(path) as package:
        if package.testzip() is not None:
            return False
    try:
        return recalculate(path, check=True).formulas >= least
    except WorkbookProblem:
        return False


def kills(
    runs: Runs,
    name: str,
    arguments: Callable[[Path], list[str]],
    result: str,
    times: int,
    old: bytes,
    least: int = 15_000,
) -> None:
    """Kill a command at drawn moments."""
    work, temporary = runs.folder / "kill", runs.folder / "temporary"
    draw = random.Random(name)
    seen: Counter[str] = Counter()
    checked: set[bytes] = set()
    last_write = 0.0
    for number in range(-2, times):
        for folder in (work, temporary):
            shutil.rmtree(folder, ignore_errors=True)
            folder.mkdir()
        path = work / "plan.xlsx"
        path.write_bytes(old)
        started = time.monotonic()
        child = forked(arguments(path), temporary)
        if number < 0:
            _, status = os.waitpid(child, 0)
            last_write = time.monotonic() - started
            if os.waitstatus_to_exitcode(status) not in (0, 1) or os.listdir(temporary):
                runs.fault(
                    f"{name}: ends with {os.waitstatus_to_exitcode(status)}, leaves {os.listdir(temporary)}"
                )
            continue
        # Every other kill falls into the end, where the file is written.
        moment = draw.uniform(0.0, 1.05) if number % 2 else draw.uniform(0.8, 1.05)
        time.sleep(moment * last_write)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        target = work / result
        found = target.read_bytes() if target.exists() else b""
        state = "old" if found == (old if result == "plan.xlsx" else b"") else "new"
        seen[state] += 1
        if result != "plan.xlsx" and path.read_bytes() != old:
            runs.fault(f"{name}: the old planner changed")
        if state == "new" and found not in checked:
            checked.add(found)
            if not whole(target, least):
                runs.fault(f"{name}: killed at {moment:.2f}, it is not whole")
        left = [entry for entry in work.iterdir() if entry.name not in ("plan.xlsx", result)]
        seen["left beside"] += bool(left)
        seen["left in temporary"] += bool(os.listdir(temporary))
        if any(not (entry.name.startswith(".") and entry.name.endswith(".tmp")) for entry in left):
            runs.fault(f"{name}: leaves {left}")
        if left or number % 10 == 0:
            if result != "plan.xlsx":
                target.unlink(missing_ok=True)
            started = time.monotonic()
            again = forked(arguments(path), temporary)
            _, status = os.waitpid(again, 0)
            # The machine may have more or less to do by now.
            last_write = time.monotonic() - started
            seen["run again"] += 1
            if os.waitstatus_to_exitcode(status) not in (0, 1) or not target.exists():
                runs.fault(f"{name}: the next run ends with {os.waitstatus_to_exitcode(status)}")
    kept = "no new file" if result != "plan.xlsx" else "the old file"
    runs.row(
        "SIGKILL at drawn moments, most of them near the end",
        name,
        times,
        f"{seen['old']} {kept}, {seen['new']} the new one whole; a hidden file left beside "
        f"{seen['left beside']}, in the temporary folder {seen['left in temporary']}; "
        f"{seen['run again']} run again, none hindered",
    )


STEPS = ("os.fsync", "os.chmod", "os.chown", "os.replace", "os.link", "os.unlink")


def steps(runs: Runs, name: str, arguments: Callable[[Path], list[str]], result: str, old: bytes) -> None:
    """Kill just before and just after each step of writing."""
    work = runs.folder / "steps"
    count = killed = 0
    for step in STEPS:
        for late in (False, True):
            shutil.rmtree(work, ignore_errors=True)
            work.mkdir()
            path = work / "plan.xlsx"
            path.write_bytes(old)
            child = os.fork()
            if not child:
                call = step.rpartition(".")[2]
                real = getattr(os, call)

                def deadly(
                    at: int | str,
                    *given: object,
                    real: Callable[..., object] = real,
                    late: bool = late,
                    **named: object,
                ) -> None:
                    # A file that is open already is known by its number only.
                    place = os.readlink(f"/proc/self/fd/{at}") if isinstance(at, int) else str(at)
                    if not place.startswith(str(work)):
                        real(at, *given, **named)
                        return
                    if late:
                        real(at, *given, **named)
                    os.kill(os.getpid(), signal.SIGKILL)

                setattr(os, call, deadly)
                os._exit(
                    os.waitstatus_to_exitcode(os.waitpid(forked(arguments(path), runs.folder), 0)[1]) & 255
                )
            killed += os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == -signal.SIGKILL & 255
            count += 1
            target = work / result
            found = target.read_bytes() if target.exists() else b""
            if found not in (old, b"") and not whole(target):
                runs.fault(f"{name}: killed at {step}, it is not whole")
            if path.read_bytes() not in (old, found) or (result == "plan.xlsx" and not found):
                runs.fault(f"{name}: killed at {step}, neither old nor new")
    runs.row(
        "SIGKILL just before and after each step of writing",
        name,
        count,
        f"{killed} killed (the others take no such step), old or new each time, whole",
    )


@contextmanager
def disk(folder: Path, size: int) -> Iterator[Path]:
    """Mount a small disk."""
    folder.mkdir(exist_ok=True)
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(folder)], check=True)
    try:
        yield folder
    finally:
        subprocess.run(["umount", str(folder)], check=True)


def full_disks(runs: Runs, old: bytes) -> None:
    """Run the commands with the planner, or the temporary files, on a disk with too little room."""
    page = os.sysconf("SC_PAGESIZE")
    needed = -(-len(old) // page) * page
    cases: list[tuple[str, list[str], str]] = [
        ("recalc", ["recalc", "{}/plan.xlsx"], "disk"),
        ("solve", ["solve", "{}/plan.xlsx"], "disk"),
        ("upgrade", ["upgrade", "{}/plan.xlsx", "{}/new.xlsx"], "disk"),
        ("new --force", ["new", "{}/plan.xlsx", "--force"], "disk"),
        ("export", ["export", "{}/plan.xlsx", "{}/out"], "disk"),
        ("upgrade, temporary files", ["upgrade", "{}/plan.xlsx", "{}/new.xlsx"], "temporary"),
        ("new, temporary files", ["new", "{}/new.xlsx"], "temporary"),
    ]
    for name, arguments, where in cases:
        told = done = 0
        for room in (0, page, 40 * page, 110 * page):
            with disk(runs.folder / "disk", needed + room if where == "disk" else max(room, page)) as small:
                home = small if where == "disk" else runs.folder / "roomy"
                shutil.rmtree(runs.folder / "roomy", ignore_errors=True)
                home.mkdir(exist_ok=True)
                path = home / "plan.xlsx"
                path.write_bytes(old)
                options = {"env": {**os.environ, "TMPDIR": str(small)}} if where == "temporary" else {}
                ran = command(*(part.format(home) for part in arguments), **options)
                if ran.returncode in (0, 1):
                    done += 1
                    continue
                told += 1
                last = ran.stderr.strip().splitlines()[-1:]
                if ran.returncode != 2 or "Traceback" in ran.stderr or not last[0].startswith("weavefuncs "):
                    runs.fault(f"{name}, {room} bytes free: {ran.returncode} {ran.stderr[-400:]}")
                if path.read_bytes() != old or {entry.name for entry in home.iterdir()} - {
                    "plan.xlsx",
                    "out",
                }:
                    runs.fault(f"{name}, {room} bytes free: {sorted(home.iterdir())}")
        runs.row(
            "a disk with too little room",
            name,
            told + done,
            f"{told} told in a sentence and nothing changed, {done} had room",
        )


def odd_targets(runs: Runs, old: bytes) -> None:
    """Write to links, odd names and protected files."""
    home = runs.folder / "odd"
    names = [
        "a b  c.xlsx", "it's \"so\".xlsx", "Grün – 織物 🧶.xlsx", "織" * 83 + ".xlsx", "x" * 250 + ".xlsx",
        "🧶" * 62 + ".xlsx", "-plan.xlsx", "a\nb.xlsx", "%s{0}$HOME.xlsx", "~.xlsx", ".xlsx.xlsx",
        "PLAN.XLSX",
    ]  # fmt: skip
    for number, name in enumerate(names):
        shutil.rmtree(home, ignore_errors=True)
        home.mkdir()
        (home / name).write_bytes(old)
        new = f"{name[1:-5]}n.xlsx" if len(name.encode()) > 245 else f"new {name}"
        old_path, new_path = str(home / name), str(home / new)
        every = (["recalc"], ["solve"], ["upgrade", new_path], ["new", "--force"])
        for word, *more in every if number < 6 else every[:1]:
            arguments = [word, old_path, *more]
            ran = command(*arguments)
            if ran.returncode not in (0, 1) or "Traceback" in ran.stderr:
                runs.fault(f"{arguments[0]} {name[:20]!r}: {ran.returncode} {ran.stderr[-300:]}")
        if {entry.name for entry in home.iterdir()} - {name, new}:
            runs.fault(f"{name[:20]!r} leaves {os.listdir(home)}")
    runs.row(
        "odd and longest names",
        "recalc, solve, upgrade, new",
        len(names),
        "every one written, nothing left beside",
    )
    for kind in (
        "symlink",
        "hard link",
        "write-protected",
        "another owner",
        "read-only disk",
        "dangling symlink",
    ):
        shutil.rmtree(home, ignore_errors=True)
        home.mkdir()
        path, other = home / "plan.xlsx", home / "other.xlsx"
        path.write_bytes(old)
        told = "written"
        for word in ("recalc", "solve", "new"):
            target = path
            if kind == "symlink":
                target = home / "link.xlsx"
                target.unlink(missing_ok=True)
                target.symlink_to(path)
            elif kind == "hard link":
                other.unlink(missing_ok=True)
                path.write_bytes(old)
                other.hardlink_to(path)
            elif kind == "write-protected":
                path.chmod(0o444)
            elif kind == "another owner":
                os.chown(path, 1234, 2345)
                path.chmod(0o640)
            elif kind == "dangling symlink":
                target = home / "link.xlsx"
                target.unlink(missing_ok=True)
                path.unlink(missing_ok=True)
                target.symlink_to(path)
            arguments = [word, str(target), *(["--force"] if word == "new" else [])]
            before = path.read_bytes() if path.exists() else b""
            if kind == "read-only disk":
                subprocess.run(["mount", "--bind", str(home), str(home)], check=True)
                subprocess.run(["mount", "-o", "remount,bind,ro", str(home)], check=True)
            try:
                ran = command(*arguments)
            finally:
                if kind == "read-only disk":
                    subprocess.run(["umount", str(home)], check=True)
            if "Traceback" in ran.stderr or ran.returncode not in (0, 1, 2):
                runs.fault(f"{kind}, {word}: {ran.stderr[-300:]}")
            refused = kind in ("write-protected", "read-only disk") or (
                kind == "dangling symlink" and word != "new"
            )
            if refused != (ran.returncode == 2):
                runs.fault(f"{kind}, {word}: {ran.returncode} {ran.stderr[-300:]}")
            if refused:
                told = "told in a sentence"
                if (path.read_bytes() if path.exists() else b"") != before:
                    runs.fault(f"{kind}, {word}: changed")
            if kind.endswith("symlink") and not target.is_symlink():
                runs.fault(f"{kind}, {word}: the link is gone")
            if kind == "hard link" and other.read_bytes() != old:
                runs.fault(f"{kind}, {word}: the other name changed")
            if kind == "another owner" and (
                path.stat().st_uid,
                path.stat().st_gid,
                path.stat().st_mode & 0o777,
            ) != (1234, 2345, 0o640):
                runs.fault(f"{kind}, {word}: it has another owner now")
        came = {"symlink": "the link stays", "hard link": "the other name keeps the old planner"}.get(
            kind, told
        )
        came = "told in a sentence; new writes where it leads" if kind == "dangling symlink" else came
        came = "owner, group and mode stay" if kind == "another owner" else came
        runs.row(f"target: {kind}", "recalc, solve, new", 3, came)


def two_at_once(runs: Runs, old: bytes, times: int) -> None:
    """Start two commands on one planner at the same time."""
    work = runs.folder / "two"
    words = {
        "recalc": ["recalc", "{}/plan.xlsx"],
        "solve": ["solve", "{}/plan.xlsx"],
        "upgrade": ["upgrade", "{}/plan.xlsx", "{}/new.xlsx"],
        "export": ["export", "{}/plan.xlsx", "{}/out"],
    }
    pairs = [
        ("recalc", "recalc"),
        ("recalc", "solve"),
        ("solve", "solve"),
        ("solve", "upgrade"),
        ("upgrade", "upgrade"),
        ("export", "export"),
        ("recalc", "export"),
    ]
    tables = exported(runs.folder / "alone", old)
    for both in pairs:
        name = " and ".join(both)
        seen: Counter[str] = Counter()
        for _ in range(times):
            shutil.rmtree(work, ignore_errors=True)
            work.mkdir()
            path = work / "plan.xlsx"
            path.write_bytes(old)
            children = [forked([part.format(work) for part in words[word]], runs.folder) for word in both]
            statuses = sorted(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children)
            written = sum(status in (0, 1) for status in statuses)
            seen[f"{written} wrote"] += 1
            if any(status not in (0, 1, 2) for status in statuses) or not written:
                runs.fault(f"{name}: {statuses}")
            if both == ("upgrade", "upgrade") and written != 1:
                runs.fault(f"{name}: {written} wrote the same new planner")
            if both == ("export", "export") and written != 2:
                runs.fault(f"{name}: only {written} wrote")
            if not all(map(whole, work.glob("*.xlsx"))):
                runs.fault(f"{name}: not whole")
            if "export" in both and read_all(work / "out") != tables:
                runs.fault(f"{name}: the tables are not those of one alone")
            left = {entry.name for entry in work.iterdir()} - {"plan.xlsx", "new.xlsx", "out"}
            if left:
                runs.fault(f"{name}: leaves {left}")
        counted = ", ".join(f"{word} in {count}" for word, count in sorted(seen.items()))
        runs.row("two at once on one planner", name, times, f"whole each time; {counted}")


def exported(folder: Path, old: bytes) -> dict[str, bytes]:
    """Return what export writes when nothing else runs."""
    folder.mkdir()
    (folder / "plan.xlsx").write_bytes(old)
    command("export", str(folder / "plan.xlsx"), str(folder / "out"))
    return read_all(folder / "out")


def read_all(folder: Path) -> dict[str, bytes]:
    """Return every file of a folder."""
    return {entry.name: entry.read_bytes() for entry in folder.iterdir()}


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=100)
    parser.add_argument("--only", default="")
    parser.add_argument("--record", action="store_true")
    given = parser.parse_args()
    # Forked from a warm parent: the imports, half of a run, are not what the kills are for.
    for name in ("recalc", "solve", "upgrade"):
        importlib.import_module(f"weavefuncs.addin.cli.{name}")
    data = stale()
    with tempfile.TemporaryDirectory(prefix="weavefuncs-kill-") as folder:
        runs = Runs(Path(folder))
        light = runs.folder / "light.xlsx"
        build_light(light, EXAMPLES["stash"])
        commands: dict[str, tuple[Callable[[Path], list[str]], str]] = {
            "recalc": (lambda path: ["recalc", str(path)], "plan.xlsx"),
            "solve": (lambda path: ["solve", str(path)], "plan.xlsx"),
            "upgrade": (lambda path: ["upgrade", str(path), str(path.with_name("new.xlsx"))], "new.xlsx"),
        }
        small = small_workbook()
        few, many = max(given.times // 5, 1), given.times
        # A whole planner takes long, and most of that before anything is written; a light one takes no time.
        trials: list[tuple[str, str, int, bytes, int]] = [
            ("recalc", "", few, data, 15_000),
            ("recalc", " of a small workbook", many, small, 1),
            ("solve", "", few, data, 15_000),
            ("solve", " of a planner without formulas", many, light.read_bytes(), 0),
            ("upgrade", "", few, data, 15_000),
            ("upgrade", " of a planner without formulas", many, light.read_bytes(), 0),
        ]
        for name, of, times, old, least in trials:
            if given.only in f"kill {name}{of}":
                with patch("weavefuncs.workbooks.upgrade.build", build_light if of else build):
                    kills(runs, name + of, *commands[name], times, old, least)
        for name, (arguments, result) in commands.items():
            if given.only in f"steps {name}":
                steps(runs, name, arguments, result, data)
        if given.only in "disks":
            full_disks(runs, data)
        if given.only in "targets":
            odd_targets(runs, data)
        if given.only in "two":
            two_at_once(runs, data, max(given.times // 20, 1))
    print(f"{len(runs.faults)} faults")
    if given.record:
        keep(RECORD, runs.rows, {})
    sys.exit(bool(runs.faults))
