"""What the page takes in Chromium: to the first answer, and the calls of one recalculation.

Beside it stands a plain JavaScript function that is called the same way: what the stand-in for Excel and the
browser take themselves.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from measured import Row, Times
from playwright.sync_api import BrowserContext
from web_site import Excel, chromium, launched, served

from weavefuncs.addin.web.build import build

ROUNDS = 5

# Seconds to the first answer with nothing in the cache of the browser.
AIM = 5

# A custom function that needs no Python, associated beside ours.
PLAIN = """() => {
    const ends = async (width, sett) => [[Math.round(width[0][0] * sett[0][0])]];
    CustomFunctions.associate("PLAIN", ends);
}"""

# So often that the clock of the browser, which is coarse, counts.
RECALCULATE = """async ([id, count]) => {
    const times = Math.ceil(2000 / count);
    const calls = Array.from({ length: count }, (_, number) => [id, [[[number + 1]], [[24]]]]);
    const before = performance.now();
    for (let done = 0; done < times; done += 1) await standIn.recalculate(calls);
    return (performance.now() - before) / times;
}"""


def rows(quick: bool) -> Iterator[Row]:
    """Compare starts with the aim, and recalculations of more and more calls with plain JavaScript."""
    rounds = 1 if quick else ROUNDS
    with tempfile.TemporaryDirectory() as folder, served(build(Path(folder))) as address:
        cold, warm = [], []
        with chromium() as browser:
            for _ in range(rounds):
                with launched(browser.browser_type) as fresh:
                    context = fresh.new_context()
                    cold.append(to_first_answer(context, address))
                    warm.append(to_first_answer(context, address))
            yield Times(cold, [AIM] * rounds).row("first answer in Chromium", "cold", "the aim", "1")
            yield Times(warm, cold).row("first answer in Chromium", "cache filled", "cold")
            excel = Excel(browser.new_page(), address)
            excel.call("WEAVE.ENDS", 15, 24)
            excel.page.evaluate(PLAIN)
            for count in (1, 1_000) if quick else (1, 1_000, 20_000):
                times = [
                    [excel.page.evaluate(RECALCULATE, [name, count]) / 1000 for name in ("ENDS", "PLAIN")]
                    for _ in range(rounds)
                ]
                work, aim = f"{count:,} at once", "300 ms" if count == 1_000 else ""
                yield Times(*map(list, zip(*times))).row(
                    "calls of ENDS in Chromium", work, "plain JavaScript", aim
                )


def to_first_answer(context: BrowserContext, address: str) -> float:
    """Open the page as Excel does and make one call; seconds."""
    page = context.new_page()
    before = time.perf_counter()
    assert Excel(page, address).call("WEAVE.ENDS", 15, 24) == [[360]]
    seconds = time.perf_counter() - before
    page.close()
    return seconds
