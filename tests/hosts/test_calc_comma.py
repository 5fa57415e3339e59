"""The planner in LibreOffice Calc where numbers have a decimal comma: the same sums, read and written so."""

from __future__ import annotations

import copy
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from weavefuncs import tables
from weavefuncs.addin.calc.build import build as build_extension
from weavefuncs.workbooks import EXAMPLES, template

sys.path.insert(0, str(Path(__file__).parent))
from driven import Driven
from office import Office
from test_calc_planner import BUILT, Offline, differences, shown

EXAMPLE = "kit"  # in centimetres, with its price in a currency


@pytest.fixture(scope="module")
def desk() -> Iterator[Driven]:
    with Office() as office:
        office.speak("de-DE")
        office.install(build_extension(office.folder))
        with Driven(office) as desk:
            yield desk


@pytest.fixture(scope="module")
def engine(tmp_path_factory: pytest.TempPathFactory) -> Offline:
    return Offline(tmp_path_factory.mktemp("offline"), copy.deepcopy(EXAMPLES[EXAMPLE]))


@pytest.fixture(params=[".xlsx", ".ods"])
def opened(request, desk, engine):
    """The planner calculated anew; the .xlsx ships no result at all."""
    raw = engine.raw if request.param == ".xlsx" else BUILT / template(EXAMPLE)
    desk.open(desk.office.adopt(raw))
    desk.recalculate_all()
    yield desk
    desk.close()


def with_points(value: Any) -> Any:
    return value.replace(",", ".") if isinstance(value, str) else value


def test_numbers_are_the_same_and_texts_differ_by_the_comma(opened, engine):
    found = differences(shown(opened), engine.values)
    assert [(where, mine, theirs) for where, mine, theirs in found if not isinstance(mine, str)] == []
    assert [row for row in found if with_points(row[1]) != with_points(row[2])] == []
    # That it is such an office at all.
    assert any("," in mine and "," not in theirs for _, mine, theirs in found)


def test_what_is_typed_with_a_comma_is_that_number(opened):
    ends = []
    for typed, number in (("30,5", 30.5), ("27,25", 27.25)):
        opened.type("FinishedWidth", typed)
        assert opened.named("FinishedWidth") == [[number]]
        ends.append(opened.named("Ends")[0][0])
    assert ends[0] > ends[1] > 0
    opened.type("SettWantedGiven", "5,5")
    assert opened.named("SettWanted") == [[5.5]]


def test_a_list_that_it_writes_with_commas_between_the_cells_is_read(tmp_path):
    book = openpyxl.Workbook()
    for row in (
        ("Name", "Yarn", "Weighed (g)", "Price of a put-up (EUR)"),
        ("Snow", "100 m/100 g", 312.5, 9.2),
        ("Sea, dark", "100 m/100 g", 80, 12.95),
        ("Moss", "2,5 m/1 g", 1.125, None),
    ):
        book.active.append(row)
    book.save(tmp_path / "stash.xlsx")
    with Office() as office:
        office.speak("de-DE")
        # Commas between cells, quotes round texts that need them, UTF-8, all lines, and numbers as shown.
        written = office.convert(
            tmp_path / "stash.xlsx", "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true"
        )
        assert '"312,5","9,2"' in written.read_text("utf-8")
        read = tables.read_stash(written)
    assert read.problems["problem"].tolist() == []
    # 2.5 m in a gram.
    assert read.yarns["length"].tolist() == pytest.approx([312.5, 80, 1.125 * 2.5])
    assert read.yarns["put_up_price"].tolist()[:2] == [9.2, 12.95]
