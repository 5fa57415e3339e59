"""What the page takes in Chromium: ``python tests/benchmarks/bench_web.py``.

From nothing to the first answer, the same with the browser's cache filled, one call, and the calls of one
recalculation. Beside it stands a plain JavaScript function that is called the same way: what the stand-in for
Excel and the browser take themselves. The budget is 5 s cold, and 300 ms for 1,000 calls.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "hosts"))
from playwright.sync_api import BrowserContext
from web_site import Excel, chromium, launched, served

from weavefuncs.addin.web.build import build

ROUNDS = 5
CALLS = 1000

# A custom function that needs no Python, associated beside ours.
PLAIN = """() => {
    const ends = async (width, sett) => [[Math.round(width[0][0] * sett[0][0])]];
    CustomFunctions.associate("PLAIN", ends);
}"""

RECALCULATE = """async ([id, count]) => {
    const calls = Array.from({ length: count }, (_, number) => [id, [[[number + 1]], [[24]]]]);
    const before = performance.now();
    await standIn.recalculate(calls);
    return performance.now() - before;
}"""


def main() -> None:
    """Build, measure and print."""
    with tempfile.TemporaryDirectory() as folder, served(build(Path(folder))) as address:
        cold, warm = [], []
        with chromium() as browser:
            for _ in range(ROUNDS):
                with launched(browser.browser_type) as fresh:
                    context = fresh.new_context()
                    cold.append(to_first_answer(context, address))
                    warm.append(to_first_answer(context, address))
            excel = Excel(browser.new_page(), address)
            excel.call("WEAVE.ENDS", 15, 24)
            excel.page.evaluate(PLAIN)
            print(f"cold start to the first answer   {middle(cold):8.2f} s   ({spread(cold)})")
            print(f"warm start to the first answer   {middle(warm):8.2f} s   ({spread(warm)})")
            for count in (1, CALLS):
                ours, plain = (
                    [excel.page.evaluate(RECALCULATE, [name, count]) for _ in range(4 * ROUNDS)]
                    for name in ("ENDS", "PLAIN")
                )
                told = f"{count:,} call{'s' if count > 1 else ''} of ENDS"
                print(f"{told:32} {middle(ours):8.2f} ms  plain JavaScript {middle(plain):.2f} ms")


def to_first_answer(context: BrowserContext, address: str) -> float:
    """Open the page as Excel does and make one call; seconds."""
    page = context.new_page()
    before = time.perf_counter()
    assert Excel(page, address).call("WEAVE.ENDS", 15, 24) == [[360]]
    seconds = time.perf_counter() - before
    page.close()
    return seconds


def middle(values: list[float]) -> float:
    return statistics.median(values)


def spread(values: list[float]) -> str:
    return f"{min(values):.2f} to {max(values):.2f}"


if __name__ == "__main__":
    main()
