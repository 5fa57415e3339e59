"""The built page, a server for it, and Debian's Chromium with a stand-in for Excel. Not a test.

``site(tmp_path_factory)`` builds once for the whole test run, whichever of its processes comes first.
"""

from __future__ import annotations

import contextlib
import fcntl
import json
import threading
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserType, Page, sync_playwright

from weavefuncs.addin.cells import CellError
from weavefuncs.addin.web import toolchain
from weavefuncs.addin.web.build import build, is_site, site_name
from weavefuncs.addin.web.serve import Server

CHROMIUM = "/usr/bin/chromium"
ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
STAND_IN = Path(__file__).with_name("excel_stand_in.js")

# Pyodide starts within seconds; a machine that does other things besides is given more.
MILLISECONDS_TO_START = 120_000


def workshop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give the folder with the page's sources and their packages, made once a test run."""
    return _once(tmp_path_factory, "web-workshop", toolchain.workshop)


def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give the built folder of files, built once a test run."""
    tools = workshop(tmp_path_factory)
    folder = _once(tmp_path_factory, "web-site", lambda folder: build(folder, workshop=tools))
    assert is_site(folder / site_name())
    return folder / site_name()


def _once(tmp_path_factory: pytest.TempPathFactory, name: str, make: Any) -> Path:
    base = tmp_path_factory.getbasetemp()
    if base.name.startswith("popen-"):  # a process of several that share the folder above
        base = base.parent
    folder, made = base / name, base / f"{name}.made"
    with open(base / f"{name}.lock", "w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not made.exists():
            folder.mkdir()
            make(folder)
            made.touch()
    return folder


@contextlib.contextmanager
def served(folder: Path) -> Iterator[str]:
    """Serve a built folder to this computer as ``addin serve web`` does, without its certificate."""
    with Server(folder, port=0) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        try:
            yield f"http://localhost:{server.server_port}/{folder.name}/"
        finally:
            server.shutdown()
            thread.join()


@contextlib.contextmanager
def chromium() -> Iterator[Browser]:
    """Start the browser, headless."""
    with sync_playwright() as driver, launched(driver.chromium) as browser:
        yield browser


@contextlib.contextmanager
def launched(kind: BrowserType, *arguments: str) -> Iterator[Browser]:
    """Start a browser, or one more: ``launched(browser.browser_type)``."""
    browser = kind.launch(executable_path=CHROMIUM, args=[*ARGUMENTS, *arguments])
    try:
        yield browser
    finally:
        browser.close()


def put_in_stand_in(page: Page) -> None:
    """Answer for Microsoft's script with the stand-in."""
    page.route(
        "**/office/office.js",
        lambda route: route.fulfill(path=STAND_IN, content_type="text/javascript"),
    )


class Excel:
    """The page as Excel opens it, over a stand-in for Excel."""

    def __init__(self, page: Page, address: str) -> None:
        self.page = page
        put_in_stand_in(page)
        page.goto(f"{address}index.html?in=excel")
        page.wait_for_selector("html[data-office=ready]", state="attached", timeout=MILLISECONDS_TO_START)

    def associated(self) -> list[str]:
        """Return the ids that the page associated."""
        names: list[str] = self.page.evaluate("standIn.associated()")
        return names

    def recalculate(self, calls: Sequence[tuple[str, Sequence[Any]]]) -> list[tuple[list[list[Any]], str]]:
        """Make calls, all in one recalculation; give rows of cells and the words beside an error.

        An argument is None where it is left out, and else rows of cells or one cell.
        """
        sent = [[name.removeprefix("WEAVE."), list(map(_argument, arguments))] for name, arguments in calls]
        answers = self.page.evaluate("calls => standIn.recalculate(calls)", sent)
        return [(_rows(answer["rows"]), answer["message"]) for answer in answers]

    def call(self, name: str, *arguments: Any) -> list[list[Any]]:
        """Make one call and give the rows of cells that it fills."""
        return self.recalculate([(name, arguments)])[0][0]


class Repeated(list[Any]):
    """Arguments for one that may be repeated: they come in a list of their own."""


def _argument(value: Any) -> Any:
    if isinstance(value, Repeated):
        return list(map(_argument, value))
    if value is None:
        return None
    rows = value if isinstance(value, (list, tuple)) else [[value]]
    return [[{"error": cell.code} if isinstance(cell, CellError) else cell for cell in row] for row in rows]


def _rows(rows: list[list[Any]]) -> list[list[Any]]:
    return [[CellError(cell["error"]) if isinstance(cell, dict) else cell for cell in row] for row in rows]


def origins_asked(log: Path) -> set[str]:
    """Read from the browser's own log which origins a page asked for anything, or tried to.

    A page, or a frame or a worker of one, is the initiator of its requests; the browser's own have none.
    """
    text = log.read_text(encoding="utf-8")
    try:
        content = json.loads(text)
    except json.JSONDecodeError:  # a browser that is ended does not always close the list
        content = json.loads(text.rstrip().rstrip(",") + "]}")
    requests = [event["params"] for event in content["events"] if "initiator" in event.get("params", {})]
    assert requests
    asked = [urlsplit(each["url"]) for each in requests if each["initiator"] != "not an origin"]
    return {f"{parts.scheme}://{parts.netloc}" for parts in asked if parts.scheme not in ("blob", "data")}
