"""Give hostile and broken files to the commands that read them: ``python tests/trust/hostile_files.py``.

Every file must give a result or one sentence: no traceback, no wait without end, nothing changed where the
status is 2, nothing left in the folder and nothing asked of the network. As root it cuts itself off the
network first (``unshare --net``), and the audit hook counts what Python asks for. ``--record`` writes the
rows into ``tests/trust/records/hostile.json``. It needs LibreOffice Calc and PyExcelerate; about ten minutes.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import unittest.mock
from collections import Counter
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import openpyxl
from kept_rows import keep
from odd_workbooks import (
    FORMULAS,
    SHEET,
    Office,
    attributes,
    cells,
    containers,
    giants,
    lists,
    markup,
    names_of,
    other_formats,
    planners,
    replaced,
    small,
    stored,
    truncated,
    writers,
    yarn_list,
)

from weavefuncs.addin.cli import main
from weavefuncs.workbooks import EXAMPLES

sys.path.insert(0, str(Path(__file__).parents[1] / "hosts"))
from light_planner import build_light

CHECKOUT = Path(__file__).parents[2]
PLANNERS = CHECKOUT / "workbooks"
RECORD = Path(__file__).parent / "records" / "hostile.json"
ASKED: list[str] = []
COMMAND = "import sys; from weavefuncs.addin.cli import main; sys.exit(main(sys.argv[1:]))"
# Where it is about reading, a new planner is written without its formulas, in a fraction of the time.
BUILD = "weavefuncs.workbooks.upgrade.build"
ENDINGS = (".xlsm", ".xlsb", ".xls", ".ods", ".fods", ".csv", ".pdf", ".html")
LONGEST = 300
COMMANDS = " && ".join(f"python tests/trust/{name}.py --record" for name in ("hostile_files", "kill_moments"))
MEMORY = 8 * 2**30


def too_long(*_: object) -> None:
    raise TimeoutError(f"no end within {LONGEST} s")


class Trial:
    """Runs commands on files, and counts what came of it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.light, self.list = folder / "light.xlsx", folder / "list.csv"
        build_light(self.light, EXAMPLES["stash"])
        self.list.write_text("Name,Count,Weight\nSnow,8/2 Ne,100\n", "utf-8")
        self.rows: list[list[object]] = []
        self.faults: list[str] = []

    def group(
        self,
        title: str,
        files: Iterator[tuple[str, bytes]],
        *commands: str,
        only: str = "",
        exact: bool = False,
    ) -> None:
        """Run every command on every file of a group; ``only`` says what alone may come of it."""
        counts: Counter[str] = Counter()
        seen = 0
        for name, data in files:
            seen += 1
            for command in commands:
                came = self.once(f"{title}: {name}", command, data, exact)
                if only and came not in (only, "fault"):
                    came = self.fault(f"{title}: {name}", command, f"{came}, but {only} was meant")
                counts[came] += 1
        self.tell(title, ", ".join(commands), seen, counts)

    def tell(self, title: str, commands: str, seen: int, counts: Counter[str]) -> None:
        """Add a row to what came of it."""
        self.rows.append([title, commands, seen, counts["refused"], counts["result"], counts["fault"]])
        print(*self.rows[-1], sep=" | ", flush=True)

    def once(self, name: str, command: str, data: bytes, exact: bool = False) -> str:
        """Run one command on one file in a folder of its own."""
        work = self.folder / "work"
        shutil.rmtree(work, ignore_errors=True)
        work.mkdir()
        ending = Path(name).suffix
        path = work / f"plan{ending if ending in ENDINGS else '.xlsx'}"
        path.write_bytes(data)
        came = self.run(name, command, path)
        if path.read_bytes() != data and (came == "refused" or command not in ("recalc", "solve")):
            return self.fault(name, command, "changed")
        if came == "refused" and os.listdir(work) != [path.name]:
            return self.fault(name, command, f"left: {os.listdir(work)}")
        if exact and came == "result" and command == "recalc":
            page = openpyxl.load_workbook(path, data_only=True).active
            assert page is not None
            found = [page[cell].value for cell in ("C1", "E1", "F1", "C3")]
            if found not in ([3, 2020, 120, 6], [3, 2020, 120, None]):
                return self.fault(name, command, f"wrong: {found}")
        return came

    def run(self, name: str, command: str, path: Path) -> str:
        """Run one command on a path, and tell whether it was refused or has a result."""
        new, out = str(path.parent / "new.xlsx"), str(path.parent / "out")
        arguments = {
            "recalc --check": ["recalc", "--check", str(path)],
            "recalc": ["recalc", str(path)],
            "solve": ["solve", "--seconds", "1", str(path)],
            "upgrade": ["upgrade", str(path), new],
            "export": ["export", str(path), out],
            "stash": ["stash", str(path), str(self.light), new],
            "stash into": ["stash", str(self.list), str(path), new],
        }[command]
        errors, output = io.StringIO(), io.StringIO()
        errors.reconfigure = output.reconfigure = lambda **_: None  # type: ignore[attr-defined]
        signal.alarm(LONGEST)
        try:
            with contextlib.redirect_stderr(errors), contextlib.redirect_stdout(output):
                status = main(arguments)
        except BaseException as fault:
            return self.fault(name, command, f"{type(fault).__name__}: {fault}")
        finally:
            signal.alarm(0)
        if status not in (0, 1, 2):
            return self.fault(name, command, f"status {status}")
        if status != 2:
            return "result"
        told = [line for line in errors.getvalue().splitlines() if line.startswith("weavefuncs ")]
        if len(told) != 1 or len(told[0]) > 1000 or not told[0].isprintable():
            return self.fault(name, command, f"no sentence: {errors.getvalue()[-500:]!r}")
        return "refused"

    def fault(self, name: str, command: str, text: str) -> str:
        """Note a fault."""
        self.faults.append(f"{name}: {command}: {text[:300]}")
        print("FAULT", self.faults[-1], flush=True)
        return "fault"


def heavy(trial: Trial, data: bytes) -> None:
    """Run formulas that could be too much, each in a child."""
    counts: Counter[str] = Counter()
    for formula in FORMULAS:
        cell = formula.replace("&", "&amp;").replace("<", "&lt;")
        path = trial.folder / "heavy.xlsx"
        book = replaced(
            data, SHEET, "</sheetData>", f'<row r="20"><c r="J20"><f>{cell}</f></c></row></sheetData>'
        )
        path.write_bytes(book)
        try:
            done = subprocess.run(
                [sys.executable, "-c", COMMAND, "recalc", "--check", str(path)],
                capture_output=True, text=True, timeout=60, check=False, cwd="/",
                preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (4 * 2**30, 4 * 2**30)),
            )  # fmt: skip
        except subprocess.TimeoutExpired:
            counts[trial.fault(f"formula {formula[:60]}", "recalc --check", "no end within a minute")] += 1
            continue
        if done.returncode not in (0, 1, 2) or "Traceback" in done.stderr:
            counts[
                trial.fault(
                    f"formula {formula[:60]}", "recalc --check", f"{done.returncode} {done.stderr[-250:]}"
                )
            ] += 1
        else:
            counts["refused" if done.returncode == 2 else "result"] += 1
    trial.tell("formulas of every oddity", "recalc --check", len(FORMULAS), counts)


def kinds(trial: Trial, data: bytes) -> None:
    """Give the commands what is no file, or no plain one, under odd names; each must be refused."""
    everything = ("recalc --check", "recalc", "solve", "upgrade", "export", "stash", "stash into")
    home = trial.folder / "kinds"
    home.mkdir()
    (home / "folder.xlsx").mkdir()
    (home / "folder.csv").mkdir()
    for ending in ("xlsx", "csv"):
        os.mkfifo(home / f"pipe.{ending}")
        (home / f"endless.{ending}").symlink_to("/dev/zero")
        (home / f"nowhere.{ending}").symlink_to("missing.xlsx")
        (home / f"circle.{ending}").symlink_to(f"circle.{ending}")
        (home / f"empty.{ending}").touch()
        for name in ("line\nbreak \x1b[2J", "x" * 250, "織" * 83, "-v", "\udcff"):
            (home / f"{name}.{ending}"[-255:]).write_bytes(b"no workbook")
    paths = [
        *home.iterdir(),
        *(home / name for name in ("missing.xlsx", "a\nb.csv", "x" * 300 + ".xlsx", "")),
    ]
    paths += [home / "no folder" / "plan.xlsx", Path("/dev/stdin"), Path("https://127.0.0.1/plan.xlsx")]
    counts: Counter[str] = Counter()
    for path in paths:
        for command in everything:
            before = sorted(os.listdir(home))
            came = trial.run(f"kinds: {path.name!r:.40}", command, path)
            if came != "refused" or sorted(os.listdir(home)) != before:
                came = trial.fault(f"kinds: {path.name!r:.40}", command, f"{came}, {os.listdir(home)}")
            counts[came] += 1
    trial.tell("no file, or one with an odd name", ", ".join(everything), len(paths), counts)
    counts.clear()
    shutil.rmtree(home)
    home.mkdir()
    (home / "plan.xlsx").write_bytes(data)
    for held in (".~lock.plan.xlsx#", "~$plan.xlsx", "write-protected"):
        lock = home / held
        lock.touch()
        if held == "write-protected":
            (home / "plan.xlsx").chmod(0o444)
        for command in everything[:5]:
            came = trial.run(f"kinds: {held}", command, home / "plan.xlsx")
            meant = "refused" if command in ("recalc", "solve") else "result"
            if came != meant or (home / "plan.xlsx").read_bytes() != data:
                came = trial.fault(f"kinds: {held}", command, f"{came}, but {meant} was meant")
            counts[came] += 1
            (home / "new.xlsx").unlink(missing_ok=True)
        lock.unlink()
    trial.tell("open elsewhere, or write-protected", ", ".join(everything[:5]), 3, counts)


def run(only: str) -> Trial:
    """Run every group, or those whose title has a word."""
    sys.addaudithook(
        lambda event, _: ASKED.append(event) if event in ("socket.connect", "socket.getaddrinfo") else None
    )
    signal.signal(signal.SIGALRM, too_long)
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, resource.RLIM_INFINITY))
    data = small()
    planner = PLANNERS / "example-stash.xlsx"
    filled = planner.read_bytes()
    everything = ("recalc", "solve", "upgrade", "export", "stash")
    with tempfile.TemporaryDirectory(prefix="weavefuncs-hostile-") as name, Office() as office:
        folder = Path(name)
        trial = Trial(folder)
        light = trial.light.read_bytes()
        files: dict[str, tuple[Iterator[tuple[str, bytes]], tuple[str, ...], str]] = {
            "workbooks as other programs write them": (writers(office, folder), ("recalc",), "result"),
            "lists as other programs write them": (lists(office, folder), ("stash",), "result"),
            "planners as other programs write them": (
                planners(office, planner),
                ("recalc", "solve", "upgrade", "export", "stash into"),
                "result",
            ),
            "other formats": (
                other_formats(office, folder, planner),
                (*everything, "stash into"),
                "refused",
            ),
            "zip containers": (containers(data), everything, ""),
            "odd cells, links, macros, dates": (cells(data), everything, ""),
            "entities, encodings, missing parts": (markup(data), ("recalc", "upgrade", "stash"), ""),
            "larger than what stands in them": (
                stored(giants(yarn_list())),
                ("stash", "recalc"),
                "",
            ),
            "odd attributes and texts of a workbook, drawn": (attributes(data, 3000), ("recalc",), ""),
            "odd attributes and texts of a list, drawn": (attributes(yarn_list(), 400), ("stash",), ""),
            "odd attributes of a planner, drawn": (
                attributes(filled, 20),
                ("recalc --check", "export"),
                "",
            ),
            "odd attributes of a planner without formulas, drawn": (
                attributes(light, 40),
                ("recalc --check", "solve", "upgrade", "export", "stash into"),
                "",
            ),
            "names that lead elsewhere": (
                names_of(light, 40),
                ("recalc --check", "solve", "upgrade", "export", "stash into"),
                "",
            ),
            "planner cut short at every kilobyte": (truncated(filled, 1024), ("recalc --check",), ""),
            "planner cut short, every 16 kilobytes": (truncated(filled, 16384), everything, ""),
        }
        for title, (made, commands, meant) in files.items():
            if only in title:
                full = title.startswith("planners as")
                with contextlib.nullcontext() if full else unittest.mock.patch(BUILD, build_light):
                    trial.group(title, made, *commands, only=meant, exact=title.startswith("workbooks as"))
        if only in "kinds":
            with unittest.mock.patch(BUILD, build_light):
                kinds(trial, light)
        if only in "formulas of every oddity":
            heavy(trial, data)
        return trial


def record(trial: Trial, network: str) -> None:
    """Write what was run into the record."""
    rows: list[list[object]] = []
    for title, commands, files, refused, result, faults in trial.rows:
        came = f"{refused} refused with a sentence, {result} with a result, {faults} faults"
        rows.append([f"files: {title}", commands, files, came])
    rows.append(["files: asked of the network by all of these", network, len(ASKED), "none may be"])
    measured = f"{date.today()}, 2 cores, Python {sys.version_info[0]}.{sys.version_info[1]}"
    keep(RECORD, rows, {"command": COMMANDS, "measured": measured})


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--record", action="store_true")
    parser.add_argument("--only", default="", help="the groups with this word")
    given = parser.parse_args()
    if (
        hasattr(os, "geteuid")
        and os.geteuid() == 0
        and "CUT_OFF" not in os.environ
        and shutil.which("unshare")
    ):
        os.execvpe("unshare", ["unshare", "--net", sys.executable, *sys.argv], {**os.environ, "CUT_OFF": "1"})
    trial = run(given.only)
    print(f"{len(trial.faults)} faults; asked of the network: {len(ASKED)}")
    if given.record:
        record(trial, "unshare --net" if "CUT_OFF" in os.environ else "audit hook")
    sys.exit(bool(trial.faults or ASKED))
