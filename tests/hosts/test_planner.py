"""The planner as a user meets it: filled, calculated, misfilled."""

from __future__ import annotations

import copy
import math
import sys
from itertools import takewhile
from pathlib import Path

import openpyxl
import pytest

from weavefuncs import why
from weavefuncs.addin.offline import recalculate
from weavefuncs.workbooks import EXAMPLES, TARGETS, write_planner
from weavefuncs.workbooks.book import Formula
from weavefuncs.workbooks.planner import build

sys.path.insert(0, str(Path(__file__).parent))
from few_lines import few_lines

HERE = Path(__file__).resolve().parents[2] / "workbooks"


class Calculated:
    """A planner built from what a user filled in, and calculated."""

    def __init__(self, tmp_path: Path, filled: dict) -> None:
        self.path = tmp_path / "planner.xlsx"
        with few_lines():
            build(str(self.path), filled, "calc")
        self.report = recalculate(self.path)

    def __getitem__(self, name: str):
        return self.report.name_values(name)[0][0]

    @property
    def problems(self) -> list[str]:
        return [f"{where}: {text}" for where, text in self.report.name_values("ProblemsList") if where]


@pytest.fixture
def planned(tmp_path):
    def calculate(example: str, **changes):
        filled = copy.deepcopy(EXAMPLES[example])
        for place, values in changes.items():
            if place == "yarns":
                for line, value in values.items():
                    filled["yarns"][line].update(value)
            else:
                filled[place].update(values)
                filled[place] = {key: value for key, value in filled[place].items() if value is not None}
        return Calculated(tmp_path, filled)

    return calculate


@pytest.mark.parametrize("example", list(EXAMPLES))
def test_examples_have_no_error_cell_and_nothing_uncalculated(planned, example):
    plan = planned(example)
    assert not plan.report.uncalculated
    assert not plan.report.errors


def test_a_blank_planner_shows_no_error_and_no_number(tmp_path):
    plan = Calculated(tmp_path, {})
    assert not plan.report.uncalculated
    assert not plan.report.errors
    assert plan["Ends"] in ("", None)
    assert plan["CostEach"] in ("", None)
    # Nothing is sold on no warp: these two counts say so, and no sum of money or hours does.
    cells = [cell for row in openpyxl.load_workbook(plan.path, data_only=True)["Batch"] for cell in row]
    shown = [cell for cell in cells if cell.number_format != ";;;" and isinstance(cell.value, (int, float))]
    assert [cell.value for cell in shown] == [0, 0]
    assert all(plan[name] == 0 for name in ("BatchSold", "BatchWarpCount"))


def test_wall_hanging_by_hand(planned):
    """The sums of the plan, done again in the open."""
    plan = planned("wall-hanging")
    width = 42 / (1 - 0.03) / (1 - 0.04)
    assert plan["WidthOnLoom"] == pytest.approx(width)
    ends = math.ceil(width * 4)
    ends += ends % 2 == 0
    assert plan["Ends"] == ends
    length = 70 / (1 - 0.04)
    chevrons = math.ceil((length * 4.5 + 1) / 18)
    assert plan["RowsWoven"] == chevrons * 18 - 1
    assert plan["WovenLength"] == pytest.approx((chevrons * 18 - 1) / 4.5 + 2 * 1.5)
    assert plan["WarpYarnLength"] == pytest.approx((ends * 120 + 60) / 100)
    picks = chevrons * 18 - 1 + 14  # two headers of 1.5 cm, 13.5 picks, in whole picks
    assert plan["PicksAll"] == picks
    assert plan["WeftYarnLength"] == pytest.approx(picks * ends / 4 / (1 - 0.06) / 100)
    # A 2/2 twill has floats of two; where the twill turns, warp floats of three lie along the turn.
    assert (plan["FloatWarp"], plan["FloatWeft"]) == (3, 2)
    assert plan["FloatWarpLength"] == pytest.approx(3 / 4.5)


def test_scarf_by_hand(planned):
    plan = planned("scarf")
    width = 8.9 / (1 - 0.05) / (1 - 0.08)
    assert plan["Sley"] == "2"
    assert plan["Sett"] == 24
    repeats = math.ceil((width * 24 - 21) / 28)
    ends = repeats * 28 + 21
    assert plan["Ends"] == ends
    assert plan["EndsWound"] == ends + 2
    rows = math.ceil((68 / 0.95 * 22 + 1) / 48) * 48 - 1
    assert plan["RowsWoven"] == rows
    woven = rows / 22 + 2 * 0.5
    warp = 2 * woven / 0.9 + 10 + 27 + 6 / 0.9
    assert plan["WarpLength"] == pytest.approx(warp)
    assert plan["WarpYarnLength"] == pytest.approx((ends + 2) * warp / 36)
    picks = 2 * (rows + 22) + 132
    # The weft crosses the dents of the ends and one of each floating selvedge.
    assert plan["WeftYarnLength"] == pytest.approx(picks * ((math.ceil(ends / 2) + 2) / 12) / 0.96 / 36)
    hours = (ends + 2) / 120 + (ends + 2) / 60 + picks / 12 / 60 / 0.7 + 2 * 0.5
    assert plan["HoursInAll"] == pytest.approx(hours)


def test_yarn_weighed_in_the_stash_is_the_yarn_planned(planned):
    """Lengths of the colours add up, and weigh what 8/2 cotton weighs: 3360 yards a pound."""
    plan = planned("scarf")
    rows = [row for row in plan.report.name_values("PlanYarnWeights") if isinstance(row[0], float)]
    total = sum(row[0] for row in rows)
    assert total == pytest.approx((plan["WarpYarnLength"] + plan["WeftYarnLength"]) / 3360 * 16, rel=1e-9)


def test_the_same_piece_in_inches_and_centimetres(planned):
    metric = planned("wall-hanging")
    inch = {
        key: value / 2.54
        for key, value in EXAMPLES["wall-hanging"]["plan"].items()
        if key in ("FinishedWidth", "FinishedLength", "Header", "Fringe", "FrameLength", "Unweavable", "Tie")
    }
    for_inch = planned(
        "wall-hanging",
        settings={"UnitChoice": "inch, yard, gram", "FloatLimit": 1.5 / 2.54},
        plan={**inch, "Pegs": 4 * 2.54, "WeftSett": 4.5 * 2.54},
    )
    for name in ("Ends", "RowsWoven", "PicksAll", "FloatWarp", "HoursInAll"):
        assert for_inch[name] == pytest.approx(metric[name]), name
    assert for_inch["WeftYarnLength"] * 0.9144 == pytest.approx(metric["WeftYarnLength"])
    assert for_inch["SettBalanced"] == pytest.approx(metric["SettBalanced"] * 2.54)


@pytest.mark.parametrize(
    ("example", "change", "result", "word"),
    [
        ("scarf", {"plan": {"FinishedWidth": -9}}, "Ends", "Finished width must be a number"),
        ("scarf", {"plan": {"FinishedWidth": "wide"}}, "Ends", "Finished width must be a number"),
        ("scarf", {"plan": {"WeaveText": "2/2 twist"}}, "FloatWarp", "weave"),
        ("scarf", {"plan": {"TakeUpHere": 10}}, "WarpLength", "10 % is 0.10"),
        ("scarf", {"plan": {"SettWanted": 1e12}}, "Ends", "Sett wanted must be"),
        ("scarf", {"plan": {"RowsUp": 2.5}}, "FloatWarp", "must be a whole number"),
        ("scarf", {"plan": {"Reed": 0}}, "Ends", "Reed must be"),
        ("scarf", {"yarns": {0: {"yarn": "8/2"}}}, "SettBalanced", "system"),
        ("wall-hanging", {"plan": {"Pegs": -4}}, "Ends", "Pegs or notches must be"),
        (
            "wall-hanging",
            {"plan": {"MadeOn": "kitchen table"}},
            "Ends",
            "must be one of shaft loom, pegged frame",
        ),
        ("scarf", {"plan": {"Hem": "a little"}}, "WarpLength", "Hem at each end must be a number"),
        ("scarf", {"plan": {"Fringe": -5}}, "WarpLength", "Fringe at each end must be"),
        ("scarf", {"plan": {"Sample": "six"}}, "WarpLength", "Sample woven first must be"),
        ("scarf", {"plan": {"Pieces": -2}}, "HoursInAll", "Pieces on this warp must be"),
        ("scarf", {"plan": {"FinishOn": "sometimes"}}, "RowsWoven", "Finish on must be one of"),
        ("scarf", {"settings": {"EndsWoundAnHour": -3}}, "HoursInAll", "Ends wound must be"),
        ("scarf", {"settings": {"Wage": "plenty"}}, "CostEach", "Wage must be a number"),
        ("scarf", {"yarns": {0: {"tare": "cone"}}}, "YarnFree", "a text where a number belongs"),
        ("scarf", {"yarns": {0: {"price": -4}}}, "YarnCost", "Price of a put-up is below 0"),
        (
            "scarf",
            {
                "plan": {
                    "colours": {"warp_order": "21 ecru, 4 plum, 3 ecru", "warp": [("ecru", "Cotton ecru")]}
                }
            },
            "CostEach",
            "list each colour of the order once",
        ),
    ],
)
def test_nonsense_gives_an_error_and_a_line_never_a_number(planned, example, change, result, word):
    plan = planned(example, **change)
    assert not plan.report.uncalculated
    assert type(plan[result]).__name__ == "CellError", plan[result]
    assert any(word in line for line in plan.problems), plan.problems


@pytest.mark.parametrize(
    ("example", "change", "result", "word"),
    [
        ("scarf", {"settings": {"LoomWaste": None}}, "WarpLength", "Loom waste is blank"),
        ("scarf", {"settings": {"WarpTakeUp": ""}}, "WarpLength", "Warp take-up is blank"),
        ("scarf", {"plan": {"Reed": None}}, "Ends", "Reed is blank"),
        ("scarf", {"plan": {"WeaveText": None}}, "SettBalanced", "Weave is blank"),
        ("scarf", {"plan": {"FinishedLength": None}}, "RowsWoven", "Finished length is blank"),
        ("wall-hanging", {"plan": {"Pegs": None}}, "Ends", "Pegs or notches is blank"),
        ("wall-hanging", {"plan": {"WarpYarnName": "Nobody's wool"}}, "WarpYarn", "does not stand on Yarns"),
    ],
)
def test_a_blank_that_matters_is_an_error_and_a_line(planned, example, change, result, word):
    plan = planned(example, **change)
    assert type(plan[result]).__name__ == "CellError", plan[result]
    assert any(word in line for line in plan.problems), plan.problems


@pytest.mark.parametrize(
    ("example", "change", "word"),
    [
        ("scarf", {"settings": {"FloatLimit": 0.05}}, "longer than the limit"),
        ("scarf", {"settings": {"LoomWidth": 8}}, "wider in the reed"),
        ("scarf", {"plan": {"Fringe": 20}}, "outer fringes"),
        ("scarf", {"yarns": {0: {"weighed": 2}}}, "stash is short by"),
        ("scarf", {"settings": {"Wage": None}}, "No wage"),
        ("scarf", {"yarns": {1: {"name": "Cotton ecru"}}}, "stands twice"),
        ("wall-hanging", {"plan": {"FrameLength": 80}}, "The frame is short"),
        ("wall-hanging", {"yarns": {3: {"reserved": 99999}}}, "promised beyond"),
        ("wall-hanging", {"plan": {"Pegs": 1}}, "sample before you trust it"),
    ],
)
def test_what_a_weaver_should_know_is_listed(planned, example, change, word):
    plan = planned(example, **change)
    assert not plan.report.uncalculated
    assert any(word in line for line in plan.problems), plan.problems


@pytest.mark.parametrize(
    ("floating", "loom", "told"),
    [
        # 245 ends, two in a dent, take 123 dents, 10.25 wide; a selvedge at each edge makes it 125, 10.42.
        ("no", 10.25, []),
        ("no", 10.24, ["The warp is wider in the reed than the loom weaves"]),
        ("yes", 10.42, []),
        ("yes", 10.41, ["The warp is wider in the reed than the loom weaves, floating selvedges with it"]),
    ],
)
def test_the_loom_must_have_room_for_the_floating_selvedges(planned, floating, loom, told):
    plan = planned("scarf", plan={"Floating": floating}, settings={"LoomWidth": loom})
    assert (plan["Ends"], plan["Sley"]) == (245, "2")
    assert plan["WidthInReed"] == 10.25
    assert [line.partition(": ")[2] for line in plan.problems if "wider in the reed" in line] == told


@pytest.mark.parametrize("weighed", [0, 1, 2, 4.2])
def test_a_shortage_is_told_rounded_up(planned, weighed):
    """Whoever buys what the sentence says has enough."""
    plan = planned("scarf", yarns={0: {"weighed": weighed}})
    sheet = openpyxl.load_workbook(plan.path)["Plan"]
    cells = (cell for row in sheet.iter_rows() for cell in row)
    head = next(cell for cell in cells if str(cell.value).startswith('="Short by'))
    below = range(head.row + 1, sheet.max_row + 1)
    shown = [plan.report.value("Plan", f"{head.column_letter}{row}") for row in below]
    wanted = [math.ceil(value) for value in shown if isinstance(value, float) and value > 0]
    told = [line for line in plan.problems if "stash is short by" in line]
    assert wanted
    assert [int(line.partition("short by ")[2].split()[0]) for line in told] == wanted


def test_weft_colours_begin_with_each_piece(planned):
    """Counted pick by pick: two pieces, then the hems, headers and the sample, each begun anew."""
    colours = {"weft_order": "7 slate, 5 ecru", "weft": [("slate", "Cotton slate"), ("ecru", "Cotton ecru")]}
    plan = planned("scarf", plan={"colours": colours})
    pieces, rows, picks = (int(plan[name]) for name in ("Pieces", "RowsWoven", "PicksAll"))
    assert pieces > 1
    parts = [*[rows] * pieces, picks - pieces * rows]
    slate = sum(pick % 12 < 7 for part in parts for pick in range(part))
    counted = [row[0] for row in plan.report.name_values("PlanYarnThreads") if isinstance(row[0], float)]
    assert counted == [plan["EndsWound"], slate, picks - slate]


@pytest.mark.parametrize("weave", ["2/2 twist", "2/2 twist " + "and so on " * 8, "x" * 400])
def test_a_long_reason_goes_on_in_the_row_below(planned, weave):
    """A line of the list takes some 97 signs of its small print: two surely take 170, broken at blanks."""
    plan = planned("scarf", plan={"WeaveText": weave})
    reason = why("LONGEST_FLOAT", weave, "warp").removeprefix("longest_float: ")
    assert len(reason) > 170
    page = openpyxl.load_workbook(plan.path, data_only=True)["Start"]
    shown = [(page.cell(row, 5).value or "", page.cell(row, 6).value or "") for row in range(6, 36)]
    first = shown.index(next(line for line in shown if line[0] == "Cloth, Warp on the face"))
    parts = [shown[first][1], *(text for _, text in takewhile(lambda line: not line[0], shown[first + 1 :]))]
    assert " ".join(filter(None, parts)) == reason
    assert all(len(text) <= 170 for _, text in shown)
    # All are told, as the command line tells them: one line each.
    assert [where for where, _ in shown if where] == [line.partition(": ")[0] for line in plan.problems]
    assert f"Cloth, Warp on the face: {reason}" in plan.problems


def test_a_list_that_is_full_says_how_many_it_tells(tmp_path):
    """Twenty-five yarns without a system: each reason takes two rows, so 30 rows tell 15 of them."""
    yarns = [{"name": f"Yarn {number}", "yarn": "8/2", "weighed": 100} for number in range(25)]
    plan = Calculated(tmp_path, {"yarns": yarns})
    page = openpyxl.load_workbook(plan.path, data_only=True)["Start"]
    assert page["E5"].value == "25 problems, the first 15 shown"
    places = [page.cell(row, 5).value or "" for row in range(6, 36)]
    assert places == [place for row in range(6, 21) for place in (f"Yarns, row {row}", "")]


@pytest.mark.parametrize(
    ("stripes", "order"),
    [
        # 24 ends an inch: two inches take 48, half an inch 12.
        (
            {"StripeTimes": 6, "StripesClose": "yes", "StripeStep": 2},
            "(48 white, 12 blue) x 6, 48 white",
        ),
        # Ends kept in fives: 48 lies nearest to 50, 12 to 10.
        ({"StripeStep": 5}, "50 white, 10 blue"),
        # Four parts of five of what the scarf has, 245.
        ({"StripeEnds": Formula("=Ends"), "StripesClose": "no"}, "196 white, 49 blue"),
        # A colour without a width.
        ({"StripeWidths": [2], "StripeColours": ["white", "blue"]}, "widths"),
        ({"StripeWidths": [2, -0.5]}, "above 0"),
        ({"StripeTimes": 1.5}, "They follow each other must be a whole number"),
    ],
)
def test_a_colour_order_from_the_widths_of_stripes(planned, stripes, order):
    plan = planned("scarf", plan={"StripeWidths": [2, 0.5], "StripeColours": ["white", "blue"], **stripes})
    assert not plan.report.uncalculated
    told = [line for line in plan.problems if "Colour order:" in line or "They follow each other:" in line]
    if "white" in order:
        assert plan["StripeOrder"] == order
        assert not told
    else:
        assert type(plan["StripeOrder"]).__name__ == "CellError"
        assert any(order in line for line in told), plan.problems


def test_without_stripes_there_is_no_order(planned):
    plan = planned("scarf")
    assert plan["StripeOrder"] in (None, "")
    assert {value for row in plan.report.name_values("StripeWidths") for value in row} == {None}


def test_one_mistake_is_one_line(planned):
    """What only follows from a mistake is not listed beside it."""
    before = set(planned("scarf").problems)
    after = set(planned("scarf", plan={"FinishedWidth": -9}).problems)
    assert len(after - before) == 1, after - before


@pytest.mark.parametrize("target", TARGETS)
def test_committed_planner_is_what_the_builder_writes(tmp_path, target):
    write_planner(tmp_path / "planner.xlsx", target=target)
    assert contents(tmp_path / "planner.xlsx") == contents(HERE / f"planner-{target}.xlsx")


@pytest.mark.parametrize("example", list(EXAMPLES))
def test_committed_example_is_what_the_builder_writes(tmp_path, example):
    write_planner(tmp_path / "planner.xlsx", example)
    assert contents(tmp_path / "planner.xlsx") == contents(HERE / f"example-{example}.xlsx")


def contents(path: Path) -> dict:
    """Formulas and shown values of every cell."""
    found = {}
    for what in (False, True):
        for sheet in openpyxl.load_workbook(path, data_only=what):
            for row in sheet.iter_rows():
                for cell in row:
                    if cell.value is not None:
                        value = cell.value
                        found[sheet.title, cell.coordinate, what] = (
                            round(value, 9) if isinstance(value, float) else value
                        )
    return found


def test_unknown_example_target_and_ending_are_refused(tmp_path):
    with pytest.raises(ValueError, match=r"end in \.xlsx or \.ods"):
        write_planner(tmp_path / "a.csv")
    with pytest.raises(ValueError, match="for calc only"):
        write_planner(tmp_path / "a.ods", target="office")
    with pytest.raises(ValueError, match="wall-hanging"):
        write_planner(tmp_path / "a.xlsx", "rug")
    with pytest.raises(ValueError, match="calc"):
        write_planner(tmp_path / "a.xlsx", target="paper")
    assert not list(tmp_path.iterdir())
