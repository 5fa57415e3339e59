"""The page as it is used, in real Chromium: at desk and loom, beside a workbook, with no connection."""

from __future__ import annotations

import json
import os
import re
import shutil
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

import weavefuncs

sys.path.insert(0, str(Path(__file__).parent))
from web_site import MILLISECONDS_TO_START, chromium, put_in_stand_in, served, site, workshop

SHEET_STAND_IN = Path(__file__).with_name("excel_sheet_stand_in.js")

DESK = {"width": 1280, "height": 800}
PHONE = {"width": 390, "height": 844}

# A row of 2/2 twill over four ends, pick 1 first: what every book draws.
TWILL = ["1100", "0110", "0011", "1001"]

FIELDS = {"weave": "2/2 twill", "ends": "8", "rows": "8", "turns": "", "warp": "", "weft": ""}


class Watch:
    """What a page complains of, and whom it asks."""

    def __init__(self, context: BrowserContext, address: str) -> None:
        self.told: list[str] = []
        own = urlsplit(address).netloc

        def asked(url: str) -> None:
            parts = urlsplit(url)
            if parts.scheme not in ("data", "blob") and parts.netloc != own:
                self.told.append(f"asked {url}")

        context.on("request", lambda request: asked(request.url))
        context.on("console", lambda message: self.heard(message.text))
        context.on("weberror", lambda problem: self.told.append(str(problem.error)))

    def heard(self, text: str) -> None:
        # That a test reads the canvas is no fault of the page.
        if "getImageData" not in text:
            self.told.append(text)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a folder of files of our own: one test takes it away for a while."""
    built = site(tmp_path_factory)
    return Path(shutil.copytree(built, tmp_path_factory.mktemp("page") / built.name, copy_function=os.link))


@pytest.fixture(scope="module")
def address(folder: Path) -> Iterator[str]:
    with served(folder) as found:
        yield found


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


def opened(browser: Browser, address: str, **settings: Any) -> tuple[Page, Watch]:
    """Open the page in a browser that knows nothing of it yet."""
    context = browser.new_context(**{"viewport": DESK, "reduced_motion": "reduce", **settings})
    watch = Watch(context, address)
    page = context.new_page()
    page.goto(address)
    return page, watch


@pytest.fixture(scope="module")
def started(browser: Browser, address: str) -> Iterator[Page]:
    """Give a page that has started; Python takes its seconds once for all tests."""
    page, watch = opened(browser, address)
    ready(page)
    yield page
    # Neither a breach of the content security policy nor a request to anybody else.
    assert not watch.told
    page.context.close()


@pytest.fixture
def page(started: Page) -> Iterator[Page]:
    started.set_viewport_size(DESK)
    yield started
    started.emulate_media(color_scheme="light", media="screen")


def ready(page: Page) -> None:
    expect(page.locator("#state")).to_have_text("Ready.", timeout=MILLISECONDS_TO_START)


def weave(page: Page, **typed: str) -> None:
    """Go to the cloth and fill its form."""
    page.evaluate("location.hash = '#cloth'")
    page.evaluate("document.getElementById('colours').open = true")
    for name, value in {**FIELDS, **typed}.items():
        page.locator(f"#{name}").fill(value)
    page.get_by_role("radio", name="left").check()
    expect(page.locator("#cloth-shown")).to_have_attribute("aria-busy", "false")


def choose(page: Page, name: str) -> None:
    """Go to a function and clear its form."""
    page.evaluate("name => location.hash = '#functions/' + name", name)
    expect(page.get_by_role("heading", name=f"WEAVE.{name}")).to_be_visible()
    page.get_by_role("button", name="Clear").click()


def argument(page: Page, label: str) -> Locator:
    return page.locator("#arguments").get_by_label(label)


def answer(page: Page) -> Locator:
    return page.get_by_role("status", name="Answer")


def wrong_beside(page: Page, label: str) -> Locator:
    """Give what a screen reader says is wrong with a field."""
    field = page.get_by_label(label, exact=True)
    expect(field).to_have_attribute("aria-invalid", "true")
    described = field.get_attribute("aria-describedby") or ""
    return page.locator(f"#{described.split()[-1]}")


# The cloth.


def test_a_twill_that_turns_floats_over_three_where_it_turns(page: Page) -> None:
    weave(page, ends="21", rows="90")
    floats = page.locator("#floats")
    expect(floats).to_contain_text("Longest warp float: 2 rows")
    weave(page, ends="21", rows="90", turns="9")
    # Row 10 is row 8 again: what lies on rows 8 and 9 lies on row 10 too.
    expect(floats).to_contain_text("Longest warp float: 3 rows")
    expect(floats).to_contain_text("rows 8 to 10")
    expect(floats).to_contain_text("where the weave turns")
    expect(page.locator("#order .turn")).to_have_text([f"Turn after row {row}" for row in range(9, 90, 9)])
    expect(page.get_by_role("img")).to_have_accessible_name(re.compile("21 ends by 90 rows.*warp 3 rows"))


def test_the_order_says_side_and_words_of_each_row(page: Page) -> None:
    weave(page, weave="plain", ends="4", rows="3")
    page.get_by_role("radio", name="right").check()
    rows = page.locator("#order tr[data-row]")
    expect(rows.nth(0).locator("td").first).to_have_text("right")
    expect(rows).to_have_count(3)
    cells = [
        [re.sub(r"\s", " ", text) for text in row.locator("th, td").all_inner_texts()] for row in rows.all()
    ]
    # The warp is up on end 1 of row 1. From the right the weft meets end 4 first.
    assert cells == [
        ["1", "right", "(over 1, under 1) × 2"],
        ["2", "left", "(over 1, under 1) × 2"],
        ["3", "right", "(over 1, under 1) × 2"],
    ]


def test_the_words_tell_of_edges_that_are_not_caught(page: Page) -> None:
    weave(page, ends="20", rows="40")
    # Even ends from the left: at each turn the edge end lies as it lay before.
    expect(page.locator("#edges")).to_contain_text("not caught at")
    page.get_by_role("radio", name="right").check()
    expect(page.locator("#edges")).not_to_contain_text("not caught")


def test_ends_that_nothing_ties_are_named(page: Page) -> None:
    weave(page, weave="plain", ends="3", rows="1")
    expect(page.locator("#edges")).to_contain_text("No row ties ends 1, 2, 3.")


SHADES = """() => {
  const canvas = document.getElementById("cloth-canvas");
  const scale = canvas.width / parseFloat(canvas.style.width);
  const thread = 18, left = 44, top = 10;
  return (ends, rows) => Array.from({ length: rows }, (_, row) =>
    Array.from({ length: ends }, (_, end) => {
      const x = (left + (end + 0.5) * thread) * scale, y = (top + (rows - row - 0.5) * thread) * scale;
      const [red, , blue] = canvas.getContext("2d").getImageData(x, y, 1, 1).data;
      return red > blue ? "1" : "0";
    }).join(""));
}"""


def test_the_picture_shows_the_thread_on_top(page: Page) -> None:
    weave(page, ends="4", rows="8")
    expect(page.get_by_role("img")).to_have_accessible_name(re.compile("4 ends by 8 rows"))
    # Pale warp and blue weft, seen in the middle of each crossing; the number of a ringed float covers none
    # from row 4 on.
    shades: list[str] = page.evaluate(f"({SHADES})()(4, 8)")
    assert shades[3:] == (TWILL * 2)[3:]


def test_colours_are_drawn_and_named(page: Page) -> None:
    weave(page, weave="plain", ends="4", rows="4", warp="2 navy, 2 white", weft="rust")
    key = page.get_by_role("list", name="Colours")
    expect(key.get_by_role("listitem")).to_have_text(["navy", "white", "rust"])
    weave(page, weave="plain", ends="4", rows="4", warp="2 navy,, white")
    expect(wrong_beside(page, "Warp")).to_contain_text("must be a colour order")


@pytest.mark.parametrize(
    ("label", "name", "bad", "says"),
    [
        ("Weave", "weave", "2/2 twil", "must be a weave"),
        ("Ends", "ends", "0", "must be a whole number"),
        ("Rows (picks)", "rows", "", "must be given"),
        ("Turn after so many rows", "turns", "nine", "rows each way"),
    ],
)
def test_a_mistake_is_told_beside_its_field_and_mended(
    page: Page, label: str, name: str, bad: str, says: str
) -> None:
    weave(page, **{name: bad})
    expect(wrong_beside(page, label)).to_contain_text(says)
    assert page.locator("#piece [aria-invalid]").count() == 1
    weave(page)
    expect(page.locator("#piece [aria-invalid]")).to_have_count(0)
    expect(page.locator("#piece .problem:visible")).to_have_count(0)


def test_a_large_piece_is_drawn_in_parts(page: Page) -> None:
    weave(page, ends="480", rows="900")
    expect(page.locator("#cloth-part")).to_contain_text(
        "ends 1 to 200 of 480 ends, rows 1 to 400 of 900 rows"
    )
    page.get_by_label("Go to row").fill("850")
    page.get_by_label("Go to row").press("Enter")
    expect(page.locator("#loom-row")).to_contain_text("Row 850 of 900, from the right")
    expect(page.locator("#order tr[aria-current]")).to_contain_text("850")


# Tells for each frame whether the first and the last row are woven: blue weft shows there.
FRAMES = """() => new Promise((done, failed) => {
  const seen = new Set();
  const canvas = document.getElementById("cloth-canvas");
  const woven = (y) => {
    const scale = canvas.width / parseFloat(canvas.style.width);
    const { data } = canvas.getContext("2d").getImageData(60 * scale, y * scale, 60 * scale, 1);
    return data.some((value, at) => at % 4 === 2 && value > 60 && data[at - 2] + 20 < value);
  };
  const look = () => {
    seen.add(`${woven(parseFloat(canvas.style.height) - 28)} ${woven(14)}`);
    if (seen.has("true false") && woven(14)) done([...seen]);
    else requestAnimationFrame(look);
  };
  setTimeout(() => failed(new Error(`seen: ${[...seen]}`)), 20_000);
  requestAnimationFrame(look);
})"""


def test_the_cloth_grows_row_by_row(page: Page) -> None:
    weave(page, ends="12", rows="12")
    expect(page.get_by_role("img")).to_have_accessible_name(re.compile("12 ends by 12 rows"))
    page.emulate_media(reduced_motion="no-preference")
    page.locator("#rows").fill("40")
    seen = page.evaluate(FRAMES)
    assert "false true" not in seen
    page.emulate_media(reduced_motion="reduce")


# At the loom.


def test_rows_are_followed_by_keys_and_buttons(page: Page) -> None:
    weave(page, ends="8", rows="18", turns="9")
    expect(page.locator("#order .turn")).to_have_count(1)
    step = page.locator("#loom-next")
    expect(step).to_have_text("Begin")
    step.click()
    row = page.locator("#loom-row")
    expect(row).to_contain_text("Row 1 of 18, from the left")
    for _ in range(5):
        step.press("ArrowUp")
    for _ in range(3):
        step.press("ArrowRight")
    expect(row).to_contain_text("Row 9 of 18, from the left")
    expect(page.locator("#loom-turn")).to_have_text("Turn after this row.")
    expect(page.locator("#order tr[aria-current=step]")).to_have_attribute("data-row", "9")
    step.press("ArrowDown")
    expect(row).to_contain_text("Row 8 of 18, from the right")
    # The row and its words are told to a screen reader as one.
    expect(page.locator("#loom-told")).to_contain_text(re.compile("Row 8 of 18.*(over|under)"))
    page.get_by_role("button", name="Large, for the loom").click()
    expect(page.locator("#loom-words")).to_be_in_viewport()
    expect(page.locator("#piece")).to_be_hidden()
    page.keyboard.press("Escape")
    expect(page.locator("#piece")).to_be_visible()


def test_the_last_row_ends_it(page: Page) -> None:
    weave(page, rows="2")
    expect(page.locator("#order tr[data-row]")).to_have_count(2)
    step = page.locator("#loom-next")
    for _ in range(4):
        step.press("Enter")
    expect(page.locator("#loom-row")).to_contain_text("Row 2 of 2")
    expect(page.locator("#loom-turn")).to_have_text("The last row.")
    expect(step).to_have_attribute("aria-disabled", "true")


# The functions.


def test_a_function_is_found_by_what_it_does(page: Page) -> None:
    page.evaluate("location.hash = '#functions'")
    page.get_by_label("What do you want to know?").fill("how many ends")
    found = page.get_by_role("region", name="Functions found")
    found.get_by_role("link", name=re.compile("^ENDS ")).click()
    expect(page.get_by_role("heading", name="WEAVE.ENDS")).to_be_focused()
    page.get_by_label("What do you want to know?").fill("qqq")
    expect(page.locator("#found")).to_contain_text("No function")
    page.get_by_label("What do you want to know?").fill("")


def test_numbers_are_answered_while_typed(page: Page) -> None:
    choose(page, "ENDS")
    expect(answer(page)).to_contain_text("Still to fill in: width, sett.")
    argument(page, "Width").fill("15")
    argument(page, "Sett").fill("24")
    expect(answer(page)).to_have_text(str(weavefuncs.ends(15, 24)))
    expect(page.locator("#formula")).to_have_text("=WEAVE.ENDS(15,24)")
    argument(page, "Sett").fill("0")
    expect(wrong_beside(page, "Sett in ends per unit")).to_contain_text("Sett must be")
    expect(answer(page)).to_contain_text("#VALUE!")
    argument(page, "Sett").fill("22,5")
    expect(answer(page)).to_have_text(str(weavefuncs.ends(15, 22.5)))


def test_choices_texts_lists_and_grids_are_answered(page: Page) -> None:
    choose(page, "LONGESTFLOAT")
    argument(page, "Cloth").fill("5 satin 2")
    argument(page, "System").select_option("weft")
    argument(page, "Face").select_option("face")
    expect(answer(page)).to_have_text("1")
    choose(page, "FLOATSOVER")
    # The bottom row is pick 1, where the weft passes over ends 2 to 4.
    argument(page, "Grid").fill("1101\n1000")
    argument(page, "Limit").fill("2")
    expect(answer(page).get_by_role("row")).to_have_count(1)
    assert answer(page).get_by_role("cell").all_inner_texts()[:6] == ["weft", "face", "1", "2", "4", "3"]
    choose(page, "SPREAD")
    argument(page, "Measured").fill("950\n1000\n1050")
    expect(answer(page)).to_have_text("0.05")
    expect(page.locator("#formula")).to_have_text("=WEAVE.SPREAD({950;1000;1050})")
    choose(page, "TEX")
    argument(page, "Yarn").fill("8/2")
    expect(wrong_beside(page, "Yarn")).to_contain_text("8/2 Ne")


def test_every_example_fits_into_its_form(page: Page, folder: Path) -> None:
    functions = json.loads((folder / "functions.json").read_text(encoding="utf-8"))
    with_form = [entry for entry in functions if not entry["repeats"]]
    shown = page.evaluate(
        """async (names) => {
          const shown = {};
          for (const name of names) {
            const hash = `#functions/${name.replace("WEAVE.", "")}`;
            if (location.hash !== hash) {
              const there = new Promise((done) => addEventListener("hashchange", done, { once: true }));
              location.hash = hash;
              await there;
            }
            document.getElementById("clear").click();
            document.getElementById("example").click();
            const answer = document.querySelector(".answer");
            const given = () => answer.textContent && !answer.querySelector(".hint");
            await new Promise((done, failed) => {
              const watch = new MutationObserver(() => given() && done());
              watch.observe(answer, { childList: true, subtree: true });
              setTimeout(() => failed(new Error(`${name} has no answer`)), 20_000);
            });
            const wrong = answer.classList.contains("wrong") ? answer.textContent : "";
            shown[name] = [document.getElementById("formula").textContent, wrong];
          }
          location.hash = "#functions";
          return shown;
        }""",
        [entry["name"] for entry in with_form],
    )
    # A text that is empty and a cell that is blank are one: nothing given.
    assert shown == {entry["name"]: [entry["example"].replace('""', ""), ""] for entry in with_form}


def test_the_formula_is_copied(page: Page) -> None:
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    choose(page, "TEX")
    argument(page, "Yarn").fill("8/2 Ne")
    expect(page.locator("#formula")).to_have_text('=WEAVE.TEX("8/2 Ne")')
    page.get_by_role("button", name="Copy the formula").click()
    expect(page.locator("#done")).to_have_text("Copied.")
    assert page.evaluate("navigator.clipboard.readText()") == '=WEAVE.TEX("8/2 Ne")'


# Beside a workbook.


@pytest.fixture(scope="module")
def beside(browser: Browser, address: str) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 350, "height": 700}, reduced_motion="reduce")
    watch = Watch(context, address)
    page = context.new_page()
    put_in_stand_in(page)
    page.add_init_script(path=SHEET_STAND_IN)
    page.goto(f"{address}index.html?in=excel#functions/ENDS")
    ready(page)
    yield page
    assert not watch.told
    context.close()


def test_a_formula_goes_into_the_selected_cell(beside: Page) -> None:
    choose(beside, "ENDS")
    beside.evaluate("workbook.clear()")
    argument(beside, "Width").fill("15")
    argument(beside, "Sett").fill("24")
    expect(beside.locator("#formula")).to_have_text("=WEAVE.ENDS(15,24)")
    # The first cell of what is selected.
    beside.evaluate("workbook.select(2, 1, 3, 3)")
    put = beside.get_by_role("button", name="Put it into the selected cell")
    put.click()
    expect(beside.locator("#done")).to_have_text("Put into Sheet1!B3.")
    assert beside.evaluate("workbook.formulas()") == {"B3": "=WEAVE.ENDS(15,24)"}
    # It holds something now: nothing is written over unasked.
    argument(beside, "Sett").fill("12")
    expect(beside.locator("#formula")).to_have_text("=WEAVE.ENDS(15,12)")
    put.click()
    expect(beside.get_by_role("dialog")).to_contain_text("Sheet1!B3 holds 1 filled cell. Write over it?")
    beside.keyboard.press("Escape")
    expect(beside.locator("#done")).to_have_text("Nothing was changed.")
    put.click()
    beside.get_by_role("button", name="Leave them").click()
    expect(beside.get_by_role("dialog")).to_be_hidden()
    assert beside.evaluate("workbook.formulas()") == {"B3": "=WEAVE.ENDS(15,24)"}
    put.click()
    beside.get_by_role("button", name="Write over them").click()
    expect(beside.locator("#done")).to_have_text("Put into Sheet1!B3.")
    assert beside.evaluate("workbook.formulas()") == {"B3": "=WEAVE.ENDS(15,12)"}


def test_the_cloth_is_drawn_into_the_sheet(beside: Page) -> None:
    weave(beside, ends="4", rows="3", warp="white", weft="black")
    expect(beside.get_by_role("img")).to_have_accessible_name(re.compile("4 ends by 3 rows"))
    beside.evaluate("workbook.clear(); workbook.select(0, 0, 1, 1); workbook.put('D3', 7)")
    beside.get_by_role("button", name="Draw the cloth into the sheet").click()
    expect(beside.get_by_role("dialog")).to_contain_text("Sheet1!A1:D3 holds 1 filled cell.")
    beside.get_by_role("button", name="Write over them").click()
    expect(beside.locator("#drawn-in-sheet")).to_have_text("Drawn into Sheet1!A1:D3.")
    colours = beside.evaluate("workbook.colours()")
    assert len(set(colours.values())) == 2
    # Cloth grows upward: row 1 stands at the bottom, in row 3 of the sheet.
    white = colours["A3"]
    shown = [
        "".join("1" if colours[f"{column}{row}"] == white else "0" for column in "ABCD") for row in (3, 2, 1)
    ]
    assert shown == TWILL[:3]


def test_without_a_workbook_nothing_of_it_is_offered(page: Page) -> None:
    weave(page)
    expect(page.get_by_role("button", name="Draw the cloth into the sheet")).to_be_hidden()
    choose(page, "ENDS")
    expect(page.get_by_role("button", name="Put it into the selected cell")).to_be_hidden()


# With no connection, and the next time.


def test_after_the_first_visit_it_opens_without_a_connection(page: Page, address: str, folder: Path) -> None:
    weave(page, weave="3/1 twill", ends="12", rows="6")
    expect(page.locator("#floats")).to_contain_text("3 rows")
    page.locator("#loom-next").click()
    page.locator("#loom-next").click()
    expect(page.locator("#offline")).to_contain_text("without a connection", timeout=MILLISECONDS_TO_START)
    # Neither a connection nor files at its other end: whatever comes now, the browser kept.
    away = folder.rename(folder.with_name("away"))
    page.context.set_offline(True)
    again = page.context.new_page()
    try:
        again.goto(f"{address}#cloth")
        ready(again)
        fields = [again.locator(f"#{name}").input_value() for name in ("weave", "ends", "rows")]
        assert fields == ["3/1 twill", "12", "6"]
        expect(again.locator("#loom-row")).to_contain_text("Row 2 of 6")
        again.locator("#weave").fill("plain")
        expect(again.locator("#floats")).to_contain_text("Longest warp float: 1 row")
        choose(again, "ENDS")
        again.get_by_role("button", name="Fill in an example").click()
        expect(answer(again).locator(".value")).to_be_visible()
    finally:
        again.close()
        page.context.set_offline(False)
        away.rename(folder)


def test_a_new_version_is_told_and_takes_over_when_wanted(
    browser: Browser, folder: Path, tmp_path: Path
) -> None:
    newer = tmp_path / folder.name
    shutil.copytree(folder, newer, ignore=shutil.ignore_patterns("office", "pyodide"))
    keep_few(newer, "one")
    with served(newer) as address:
        page, _ = opened(browser, address)
        expect(page.locator("#offline")).to_contain_text(
            "without a connection", timeout=MILLISECONDS_TO_START
        )
        index = newer / "index.html"
        index.write_text(
            index.read_text(encoding="utf-8").replace("<title>", "<title>Newer: "), encoding="utf-8"
        )
        keep_few(newer, "two")
        for changed in (index, newer / "files.js"):
            # The server tells what is new by the second in which it was written.
            os.utime(changed, (time.time() + 10, time.time() + 10))
        page.reload()
        expect(page.locator("#news")).to_contain_text("A new version", timeout=MILLISECONDS_TO_START)
        assert not page.title().startswith("Newer")
        page.get_by_role("button", name="Use it now").click()
        expect(page).to_have_title(re.compile("^Newer"))
        kept = page.evaluate("caches.keys()")
        assert [name.rpartition(" ")[2] for name in kept] == ["two"]
    page.context.close()


def keep_few(folder: Path, version: str) -> None:
    """Write the list of files anew, for a page without Python: its words do without."""
    files = [
        path.relative_to(folder).as_posix()
        for path in folder.rglob("*")
        if path.suffix in (".html", ".js", ".css", ".json")
    ]
    files = [name for name in files if name not in ("files.js", "service-worker.js")]
    (folder / "files.js").write_text(
        f"self.FILES = {json.dumps({'version': version, 'files': files})};", encoding="utf-8"
    )


def test_a_start_that_fails_is_told(browser: Browser, address: str) -> None:
    context = browser.new_context(viewport=DESK, service_workers="block")
    page = context.new_page()
    page.route("**/pyodide/**", lambda route: route.fulfill(status=404))
    page.goto(address)
    expect(page.locator("#state")).to_contain_text("could not be loaded")
    expect(page.get_by_role("button", name="Reload")).to_be_visible()
    # The form is there from the first moment.
    expect(page.get_by_label("Weave", exact=True)).to_have_value("2/2 twill")
    context.close()


def test_a_browser_that_keeps_nothing_is_no_hindrance(browser: Browser, address: str) -> None:
    context = browser.new_context(viewport=DESK, service_workers="block")
    page = context.new_page()
    page.add_init_script(
        "Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('no'); } })"
    )
    page.goto(address)
    expect(page.locator("#kept")).to_contain_text("keeps nothing")
    expect(page.get_by_label("Weave", exact=True)).to_have_value("2/2 twill")
    context.close()


# For everybody.


def test_everything_is_reached_by_keyboard(page: Page) -> None:
    weave(page)
    expect(page.locator("#order tr[data-row]")).to_have_count(8)
    reached = walk(page, 60)
    for wanted in (
        "The cloth",
        "The functions",
        "weave",
        "ends",
        "rows",
        "turns",
        "side",
        "loom-back",
        "loom-next",
    ):
        assert wanted in reached
    # Past the last stop the walk leaves the page and comes back to its start: nothing holds it.
    assert "Skip to the content" in reached
    page.get_by_role("link", name="The functions", exact=True).focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="The functions")).to_be_focused()
    page.keyboard.press("Tab")
    page.keyboard.type("twill angle")
    expect(page.locator("#catalogue-list a").first).to_contain_text("TWILLANGLE")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="WEAVE.TWILLANGLE")).to_be_focused()
    for _ in range(3):
        page.keyboard.press("Tab")
    page.keyboard.type("12")
    page.keyboard.press("Tab")
    page.keyboard.type("12")
    expect(answer(page)).to_have_text("45")


def walk(page: Page, steps: int) -> set[str]:
    """Go from stop to stop, see that each shows it has the focus, and give their names."""
    reached: set[str] = set()
    for _ in range(steps):
        page.keyboard.press("Tab")
        name, shows = page.evaluate(
            """() => {
              const at = document.activeElement;
              const { outlineStyle, outlineWidth } = getComputedStyle(at);
              const outlined = outlineStyle !== "none" && parseFloat(outlineWidth) >= 2;
              return [at.id || at.name || at.textContent.trim(), outlined || at === document.body];
            }"""
        )
        assert shows, f"nothing shows that {name} has the focus"
        reached.add(name)
    return reached


def test_axe_finds_nothing_serious(page: Page, tmp_path_factory: pytest.TempPathFactory) -> None:
    tools = workshop(tmp_path_factory)
    page.evaluate((tools / "node_modules" / "axe-core" / "axe.min.js").read_text(encoding="utf-8"))
    found: list[str] = []

    def look(where: str, looks: list[tuple[Any, Any]]) -> None:
        for size, scheme in looks:
            page.set_viewport_size(size)
            page.emulate_media(color_scheme=scheme)
            result = page.evaluate("axe.run({ resultTypes: ['violations'] })")
            found.extend(
                f"{where}, {size['width']} wide, {scheme}: {entry['id']} at {node['target']}"
                for entry in result["violations"]
                if entry["impact"] in ("serious", "critical")
                for node in entry["nodes"]
            )

    few: list[tuple[Any, Any]] = [(DESK, "light"), (PHONE, "dark")]
    all_looks = [*few, (DESK, "dark"), (PHONE, "light")]
    weave(page, rows="18", turns="9")
    expect(page.locator("#order .turn")).to_have_count(1)
    page.locator("#ends").fill("none")
    expect(page.locator("#ends-problem")).to_be_visible()
    page.locator("#loom-next").click()
    look("cloth", all_looks)
    weave(page)
    expect(page.locator("#ends-problem")).to_be_hidden()
    page.get_by_role("button", name="Large, for the loom").click()
    look("large", few)
    page.get_by_role("button", name="Back to the plan").click()
    page.evaluate("location.hash = '#functions'")
    look("functions", few)
    choose(page, "ENDS")
    argument(page, "Width").fill("15")
    argument(page, "Sett").fill("0")
    expect(wrong_beside(page, "Sett in ends per unit")).to_be_visible()
    look("form", all_looks)
    assert not found


def test_nothing_is_wider_than_a_phone(page: Page) -> None:
    page.set_viewport_size({"width": 320, "height": 640})
    weave(page, ends="60", rows="18", turns="9")
    expect(page.locator("#order .turn")).to_have_count(1)
    wider = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    assert page.evaluate(wider) <= 0
    choose(page, "FITPIECE")
    assert page.evaluate(wider) <= 0


def test_on_paper_stand_cloth_and_order_in_full(page: Page) -> None:
    weave(page, rows="60")
    expect(page.locator("#order tr[data-row]")).to_have_count(60)
    page.emulate_media(media="print")
    expect(page.locator("#loom")).to_be_hidden()
    expect(page.locator("nav")).to_be_hidden()
    expect(page.locator("#cloth-canvas")).to_be_visible()
    order = page.locator("#order-scroll")
    assert order.evaluate("box => box.scrollHeight <= box.clientHeight + 1")
