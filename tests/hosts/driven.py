"""LibreOffice driven over its scripting bridge: ``with Driven(office) as desk: desk.open(path)``.

The verbs are the methods of ``Desk`` in ``calc_bridge.py``, which runs in the office's own Python.
Not a test.
"""

from __future__ import annotations

import json
import subprocess
import sys
import uuid
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent))
from office import Office

FAR_END = Path(__file__).with_name("calc_bridge.py")
PYTHONS = ("/usr/bin/python3", "python3", sys.executable)
SECONDS_TO_END = 60


def python_with_uno() -> str:
    """Find an interpreter that reaches the office: that of the system, where the office is the system's."""
    for python in PYTHONS:
        if subprocess.run([python, "-c", "import uno"], capture_output=True, check=False).returncode == 0:
            return python
    raise AssertionError("no Python here can import uno: install python3-uno")


class Driven:
    """A running office, headless; it ends with the block."""

    def __init__(self, office: Office) -> None:
        self.office = office

    def __enter__(self) -> Driven:
        pipe = "weavefuncs" + uuid.uuid4().hex
        accept = f"--accept=pipe,name={pipe};urp;"
        self._soffice = self.office.start("soffice", "--headless", "--norestore", "--nologo", accept)
        far_end = self.office.adopt(FAR_END)
        self._far_end = self.office.start(python_with_uno(), far_end, pipe, stdin=subprocess.PIPE)
        return self

    def __exit__(self, *_: object) -> None:
        try:
            if self._far_end.poll() is None:
                self.leave()
                self._far_end.stdin.close()
                self._far_end.wait(SECONDS_TO_END)
            self._soffice.wait(SECONDS_TO_END)
        finally:
            for process in (self._far_end, self._soffice):
                process.kill()
                # Leaving the block closes its pipes.
                with process:
                    pass

    def __getattr__(self, verb: str) -> Callable[..., Any]:
        def ask(*arguments: Any) -> Any:
            self._far_end.stdin.write(json.dumps([verb, *map(_plain, arguments)]) + "\n")
            self._far_end.stdin.flush()
            answer = self._far_end.stdout.readline()
            assert answer.startswith('["'), answer + self._far_end.stdout.read()
            outcome, result = json.loads(answer)
            assert outcome == "done", result
            return result

        return ask


def _plain(argument: Any) -> Any:
    return str(argument) if isinstance(argument, Path) else argument
