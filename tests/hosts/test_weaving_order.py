"""Sheet Weaving order: the colour of each row, and after how many rows the order repeats."""

from __future__ import annotations

import copy
import sys
from pathlib import Path
from unittest.mock import patch

import openpyxl
import pytest
from openpyxl.formula.translate import Translator

from weavefuncs.addin.offline import recalculate
from weavefuncs.workbooks import EXAMPLES, cloth_drawing, weaving_order
from weavefuncs.workbooks.planner import build

sys.path.insert(0, str(Path(__file__).parent))
from few_lines import few_lines

LINES, DRAWN = 50, 25


class Order:
    """The sheet of a planner that was filled in and calculated."""

    def __init__(self, path: Path, example: str, weft_order: object, **changes: dict) -> None:
        filled = copy.deepcopy(EXAMPLES[example])
        filled["plan"]["colours"]["weft_order"] = weft_order
        for place, values in changes.items():
            filled.setdefault(place, {}).update(values)
        with (
            few_lines(),
            patch.object(weaving_order, "LINES", LINES),
            patch.object(cloth_drawing, "ROWS_SHOWN", DRAWN),
        ):
            build(str(path), filled, "calc")
        self.report = recalculate(path)
        assert not self.report.uncalculated
        self.book = openpyxl.load_workbook(path, data_only=True)
        self.page = self.book["Weaving order"]

    def column(self, heading: str) -> list[object]:
        """What stands below a heading."""
        rows = list(self.page.iter_rows(values_only=True))
        head = next(number for number, row in enumerate(rows) if "Row" in row and heading in row)
        place = rows[head].index(heading)
        return [row[place] for row in rows[head + 1 :]]

    @property
    def repeat(self) -> object:
        """The line that tells after how many rows the order repeats: below name and summary."""
        return self.page["B5"].value

    def first_rules(self, column: str, rows: range, path: Path) -> list[object]:
        """The format of each row by the first rule of a column that holds, calculated in another book."""
        (rules,) = (
            area.rules
            for area in self.page.conditional_formatting
            if str(area.sqref).startswith(f"{column}8")
        )
        rules = sorted(rules, key=lambda rule: rule.priority)
        trial = openpyxl.Workbook()
        trial.active.title = "Trial"
        for line in self.page.iter_rows(min_row=7, max_row=rows[-1]):
            for cell in line:
                trial.active[cell.coordinate] = cell.value
        for row in rows:
            for place, rule in enumerate(rules):
                moved = Translator("=" + rule.formula[0], f"{column}8").translate_formula(f"{column}{row}")
                trial.active.cell(row, 20 + place, moved)
        trial.save(path)
        recalculate(path)
        page = openpyxl.load_workbook(path, data_only=True).active
        return [
            next((rule.dxf for place, rule in enumerate(rules) if page.cell(row, 20 + place).value), None)
            for row in rows
        ]

    @property
    def problems(self) -> list[tuple[str, str]]:
        return [(where, text) for where, text in self.report.name_values("ProblemsList") if where]


@pytest.fixture
def ordered(tmp_path):
    return lambda *given, **changes: Order(tmp_path / "planner.xlsx", *given, **changes)


def test_each_row_has_the_colour_of_its_thread(ordered):
    order = ordered("wall-hanging", "7 oat, 5 rust")
    assert order.column("Row") == list(range(1, LINES + 1))
    assert order.column("Colour") == ((["oat"] * 7 + ["rust"] * 5) * 5)[:LINES]
    assert order.repeat == "The order repeats after 36 rows, with its colours."
    assert not order.report.errors


def test_a_list_that_starts_later_goes_on_in_the_order(ordered):
    order = ordered("wall-hanging", "(2 oat, 1 rust) x 2, 3 Oat", order={"OrderFrom": 302})
    threads = ["oat", "oat", "rust", "oat", "oat", "rust", "oat", "oat", "oat"] * 40
    # The piece has 341 rows, so 40 are left; below them nothing stands.
    assert order.column("Row")[:40] == list(range(302, 342))
    assert order.column("Colour")[:40] == threads[301:341]
    assert set(order.column("Colour")[40:]) <= {None, ""}


def test_rows_have_the_colours_in_which_cloth_draws_them(ordered):
    """Headers and sample are not counted by either: row 1 is the first of the piece."""
    order = ordered("wall-hanging", "3 oat, 2 rust, 1 grey")
    cloth = order.book["Cloth"]
    rows = list(cloth.iter_rows(values_only=True))[-DRAWN:]
    key = {row[2]: row[1] for row in rows if row[2]}
    drawn = []
    for row in reversed(rows):
        (sign,) = {sign for sign in row[5:65] if sign and sign.islower()}
        drawn.append(key[sign.upper()].split(" ")[0])
    assert drawn == order.column("Colour")[:DRAWN]
    assert drawn[:7] == ["oat", "oat", "oat", "rust", "rust", "grey", "oat"]


def test_without_an_order_no_row_has_a_colour(ordered):
    order = ordered("wall-hanging", None)
    assert set(order.column("Colour")) <= {None, ""}
    assert order.repeat == "The order repeats after 18 rows."
    assert not order.report.errors


def test_a_blank_planner_lists_nothing(tmp_path):
    with few_lines():
        build(str(tmp_path / "planner.xlsx"), {}, "calc")
    recalculate(tmp_path / "planner.xlsx")
    page = openpyxl.load_workbook(tmp_path / "planner.xlsx", data_only=True)["Weaving order"]
    assert page["B5"].value in (None, "")
    assert {page.cell(row, 4).value for row in (8, 9)} <= {None, ""}


@pytest.mark.parametrize(
    ("weft_order", "plan", "told"),
    [
        # Nine rows forth and nine back: 18, into which 54 goes.
        ("36 oat, 18 rust", {}, "repeats after 54 rows, with its colours."),
        # Three rows of weave: the next three begin from the other side.
        (None, {"WeaveText": "1/2 twill", "RowsUp": None}, "repeats after 3 rows, sides aside."),
        (
            "2 oat, 1 rust",
            {"WeaveText": "1/2 twill", "RowsUp": None},
            "repeats after 3 rows, with its colours, sides aside.",
        ),
        # Forth 9 and back 7 is two rows on: after twice 16 rows a whole 2/2 twill.
        ("2 oat, 1 rust", {"RowsBack": 7}, "repeats after 96 rows, with its colours."),
        (None, {"RowsBack": 9}, "repeats after 18 rows."),
        # 18 and 19 have no number in common below 342, and the piece has 341 rows.
        ("10 oat, 9 rust", {}, "does not repeat in this piece: follow every row."),
    ],
)
def test_after_how_many_rows_it_repeats(ordered, weft_order, plan, told):
    assert ordered("wall-hanging", weft_order, plan=plan).repeat == f"The order {told}"


@pytest.mark.parametrize("weft_order", ["7 oat,, 5 rust", 12])
def test_a_wrong_order_is_an_error_with_its_reason(ordered, weft_order):
    order = ordered("wall-hanging", weft_order)
    assert set(order.column("Colour")) == {"#VALUE!"}
    assert order.repeat == "#VALUE!"
    # The words of the row do not need the colours.
    assert order.column("The weft goes, from the side it enters")[0] == "(under 2, over 2) × 45, under 1"
    assert any("must be a colour order" in text for _, text in order.problems)
    assert not any(where == "Weaving order" for where, _ in order.problems)


def test_where_cloth_draws_no_colours_this_sheet_tells_what_is_wrong_with_the_order(ordered):
    order = ordered("wall-hanging", "7 oat,, 5 rust", cloth={"DrawAs": "weave"})
    told = [text for where, text in order.problems if where == "Weaving order"]
    assert len(told) == 1
    assert "must be a colour order" in told[0]
    assert "every comma needs a colour" in told[0]


def test_a_repeat_that_cannot_be_told_says_why(ordered):
    """Legs of 199,979 rows in all, eight times until the twill is back, and a prime number of threads."""
    legs = {"RowsUp": 100_000, "RowsBack": 99_979, "WeaveText": "3/5 twill", "FinishOn": "any row"}
    order = ordered("wall-hanging", "999999936 oat, rust", plan=legs)
    assert order.column("Colour")[0] == "oat"
    assert order.repeat == "#VALUE!"
    assert any(
        where == "Weaving order" and "begins again with the weave" in text for where, text in order.problems
    )


def test_a_colour_that_changes_is_bold_below_a_line_and_a_turn_keeps_its_bar(ordered, tmp_path):
    order = ordered("wall-hanging", "9 oat, 8 rust, 1 oat")
    # Row 1 begins with oat, row 10 changes to rust, row 18 back to oat; the twill turns after 9, 18, 27.
    rows = range(8, 8 + 27)
    looks = order.first_rules("D", rows, tmp_path / "trial.xlsx")
    lined = [number for number, look in enumerate(looks, start=1) if look.border.top.style]
    bold = [number for number, look in enumerate(looks, start=1) if look.font and look.font.b]
    barred = [number for number, look in enumerate(looks, start=1) if look.fill]
    # 18 oat and 19 to 27 oat: the order begins again with the colour that it ended in.
    assert lined == bold == [1, 10, 18]
    assert barred == [9, 18, 27]
    others = order.first_rules("E", rows, tmp_path / "trial.xlsx")
    assert [number for number, look in enumerate(others, start=1) if look.border.top.style] == lined
    assert [number for number, look in enumerate(others, start=1) if look.fill] == barred
    assert not any(look.font and look.font.b for look in others)


def test_without_colours_only_turns_are_marked(ordered, tmp_path):
    looks = ordered("wall-hanging", None).first_rules("D", range(8, 8 + 27), tmp_path / "trial.xlsx")
    assert [number for number, look in enumerate(looks, start=1) if look.fill] == [9, 18, 27]
    assert not any(look.border.top.style or look.font for look in looks)
