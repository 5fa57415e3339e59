"""The two actions in a live book, over xlwings' own Range on a stand-in book."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from excel_book import StandInBook
from windows_stand_ins import OURS, cells, windows

import weavefuncs
from weavefuncs.addin.excel.actions import HEADINGS, RefusedError, draw_cloth, float_report
from weavefuncs.errors import WeaveError

# A float of three: end 1 is up on picks 1 to 3. In cells pick 1 is the bottom row.
GRID = [[0, 1, 0, 1], [1, 0, 1, 0], [1, 1, 0, 1], [1, 0, 1, 0]]


@pytest.fixture(scope="module")
def excel() -> Iterator[SimpleNamespace]:
    with windows() as found:
        yield found


@pytest.fixture
def book(excel: SimpleNamespace) -> StandInBook:
    import xlwings

    return StandInBook(xlwings.engines["excel"].impl)


def picture_of(book: StandInBook) -> Any:
    (picture,) = book.engine.pictures.all
    return picture


# Drawing


def test_a_weave_text_is_drawn_beside_its_cell(book: StandInBook, tmp_path: Path) -> None:
    drawn = draw_cloth(book.put(3, 2, [["2/2 twill"]]))
    picture = picture_of(book)
    assert drawn.name == picture.name == "Cloth of B3"
    assert (picture.left, picture.top) == (3 * 48, 2 * 15)
    wanted = tmp_path / "wanted.png"
    weavefuncs_picture(wanted, weavefuncs.drawdown("2/2 twill", 24, 24), 24, 24)
    assert picture.content == wanted.read_bytes()


def weavefuncs_picture(path: Path, weave: Any, ends: int, picks: int, *colours: str) -> None:
    from weavefuncs.addin.picture import write_picture

    write_picture(path, weave, ends, picks, "", *colours)


def test_a_grid_is_drawn_as_it_stands_bottom_row_first(book: StandInBook, tmp_path: Path) -> None:
    draw_cloth(book.put(1, 1, GRID))
    wanted = tmp_path / "wanted.png"
    weavefuncs_picture(wanted, GRID[::-1], 4, 4)
    assert picture_of(book).content == wanted.read_bytes()


def test_a_size_and_reversals_may_be_given(book: StandInBook, tmp_path: Path) -> None:
    draw_cloth(book.put(1, 1, [["2/2 twill"]]), "30", 40.0, "9,9")
    wanted = tmp_path / "wanted.png"
    weavefuncs_picture(wanted, weavefuncs.drawdown("2/2 twill", 30, 40, "9,9"), 30, 40)
    assert picture_of(book).content == wanted.read_bytes()


def test_a_picture_drawn_again_takes_the_place_of_the_one_before(book: StandInBook) -> None:
    selected = book.put(1, 1, [["plain"]])
    draw_cloth(selected)
    before = picture_of(book)
    before.left, before.top = 300, 200
    draw_cloth(selected, 12, 6)
    after = picture_of(book)
    assert (after.left, after.top, after.name) == (300, 200, before.name)
    # It has the shape of its own cloth, not of the one before.
    assert after.pixels != before.pixels
    assert after.width / after.height == pytest.approx(after.pixels[0] / after.pixels[1])


def test_a_large_picture_is_shown_small(book: StandInBook) -> None:
    draw_cloth(book.put(1, 1, [["plain"]]), 200, 200)
    assert picture_of(book).width == 480
    assert picture_of(book).lock_aspect_ratio is True
    assert picture_of(book).pixels[0] > 1000


@pytest.mark.parametrize("given", [[["no weave"]], [[None]], [["#N/A"]], [[0, 2], [1, 0]], [[None, None]]])
def test_what_is_no_weave_is_refused_with_the_reason(book: StandInBook, given: Any) -> None:
    with pytest.raises(RefusedError, match="DRAWDOWN: "):
        draw_cloth(book.put(1, 1, [list(map(cells, row)) for row in given]))
    assert not book.engine.pictures.all


def test_more_than_fits_a_picture_is_refused(book: StandInBook) -> None:
    with pytest.raises(WeaveError, match="ends"):
        draw_cloth(book.put(1, 1, [["plain"]]), 3000, 10)


# The float report


def test_a_report_stands_beside_the_grid(book: StandInBook) -> None:
    selected = book.put(2, 1, GRID)
    assert float_report(selected, 2) == 1
    assert book.cells(2, 6, 3, 7) == [HEADINGS, ["warp", "face", 1.0, 1.0, 3.0, 3.0, ""], [None] * 7]
    assert book.cells(2, 1, 4, 4) == GRID


def test_lengths_come_with_setts(book: StandInBook) -> None:
    float_report(book.put(1, 1, GRID), "2", 12, 24)
    # Three picks at 24 picks a unit.
    assert book.cells(2, 6, 1, 7) == [["warp", "face", 1.0, 1.0, 3.0, 3.0, 0.125]]


def test_no_float_is_said_in_words(book: StandInBook) -> None:
    assert float_report(book.put(1, 1, GRID), 3) == 0
    assert book.cells(1, 6, 2, 1) == [["system"], ["none"]]


def test_a_new_report_replaces_the_one_before_and_nothing_else(book: StandInBook) -> None:
    selected = book.put(1, 1, GRID)
    longer = float_report(selected, 1)
    assert longer > 1
    below = longer + 2
    book.engine.cells[below, 6] = "mine"
    book.engine.cells[2, 13] = "mine too"
    assert float_report(selected, 2) == 1
    assert book.cells(1, 6, 3, 1) == [["system"], ["warp"], [None]]
    assert book.cells(below, 6, 1, 1) == [["mine"]]
    assert book.cells(2, 13, 1, 1) == [["mine too"]]


@pytest.mark.parametrize("place", [(1, 6), (2, 12)])
def test_what_stands_beside_the_grid_is_left_alone(book: StandInBook, place: tuple[int, int]) -> None:
    selected = book.put(1, 1, GRID)
    book.engine.cells[place] = "mine"
    before = dict(book.engine.cells)
    with pytest.raises(RefusedError, match=r"F1:L2, and something stands there"):
        float_report(selected, 2)
    assert book.engine.cells == before


@pytest.mark.parametrize(("grid", "limit"), [([["plain"]], 2), (GRID, 0), (GRID, "many"), ([[0, 5]], 2)])
def test_no_grid_or_no_limit_is_refused_with_the_reason(book: StandInBook, grid: Any, limit: Any) -> None:
    before = dict(book.engine.cells)
    with pytest.raises(RefusedError, match="FLOATSOVER: "):
        float_report(book.put(1, 1, grid), limit)
    assert len(book.engine.cells) == len(before) + sum(map(len, grid))


# As macros on the selection, called as xlwings' wrapper calls them


@pytest.fixture
def macro(excel: SimpleNamespace, book: StandInBook, monkeypatch: pytest.MonkeyPatch) -> Any:
    import xlwings

    live = SimpleNamespace(app=xlwings.App(impl=book.engine.book.app), impl=book.engine.book)
    monkeypatch.setattr(xlwings.Book, "caller", lambda: live)

    def macro(name: str, *answers: str) -> None:
        chosen = book.engine.book.app.selection
        live.selection = chosen and xlwings.Range(impl=chosen)
        excel.udfs.call_udf(OURS[1], name, answers)

    return macro


def test_the_drawing_macro_draws_what_is_selected(book: StandInBook, macro: Any, tmp_path: Path) -> None:
    book.put(1, 1, [["plain"]])
    macro("weave_draw_cloth", "", "", "", "", "")
    macro("weave_draw_cloth", "8", "12", "", "2 ecru, 1 plum", "slate")
    assert picture_of(book).name == "Cloth of A1"
    weavefuncs_picture(
        tmp_path / "wanted.png", weavefuncs.drawdown("plain", 8, 12), 8, 12, "2 ecru, 1 plum", "slate"
    )
    assert picture_of(book).content == (tmp_path / "wanted.png").read_bytes()
    assert not book.said


def test_the_report_macro_reports_on_what_is_selected(book: StandInBook, macro: Any) -> None:
    book.put(1, 1, GRID)
    macro("weave_float_report", "2")
    assert book.cells(2, 6, 1, 1) == [["warp"]]
    assert not book.said


def test_a_cancelled_question_does_nothing(book: StandInBook, macro: Any) -> None:
    book.put(1, 1, GRID)
    macro("weave_float_report", "")
    assert book.cells(1, 6, 1, 1) == [[None]]
    assert not book.said


def test_a_refusal_is_told(book: StandInBook, macro: Any) -> None:
    book.put(1, 1, [["no weave"]])
    macro("weave_draw_cloth", "", "", "", "", "")
    macro("weave_draw_cloth", "wide", "", "", "", "")
    assert [said.split(" must be ")[0] for said in book.said] == ["DRAWDOWN: weave"] * 2


def test_a_selection_that_is_no_cells_is_told(book: StandInBook, macro: Any) -> None:
    book.engine.book.app.selection = None
    macro("weave_float_report", "2")
    assert book.said == ["Select the cells with the weave first."]


def test_a_protected_sheet_is_named_as_the_usual_reason(book: StandInBook, macro: Any) -> None:
    book.put(1, 1, [["plain"]])
    book.engine.protected = True
    with pytest.raises(OSError, match="Exception occurred"):
        macro("weave_draw_cloth", "", "", "", "", "")
    assert "Unprotect Sheet" in book.said[0]
