"""Plan's table of the plans that come nearest, and the range of its yarn need."""

from __future__ import annotations

import copy
import inspect
import math
import re

import openpyxl
import pytest

import weavefuncs as wf
from weavefuncs import _fit, _fit_choices, _fit_faults
from weavefuncs.addin.offline import recalculate
from weavefuncs.registry import get
from weavefuncs.workbooks import EXAMPLES, settings
from weavefuncs.workbooks.plan import PIECE
from weavefuncs.workbooks.plan_fit import CHANGED_AT, HEADINGS, PLANS
from weavefuncs.workbooks.planner import build
from weavefuncs.workbooks.rows import Row

FIRST_HEADING = HEADINGS[0][0]


class Calculated:
    """A planner built and calculated: names, problems, and the table as rows of cells."""

    def __init__(self, folder, filled):
        path = folder / "planner.xlsx"
        build(str(path), filled, "calc")
        self.report = recalculate(path)
        plan = openpyxl.load_workbook(path, data_only=True)["Plan"]
        head = next(row[1].row for row in plan.iter_rows() if row[1].value == FIRST_HEADING)
        self.table = [
            [plan.cell(row, column).value for column in range(2, 14)]
            for row in range(head + 1, head + 1 + 2 * PLANS)
        ]

    def __getitem__(self, name):
        return self.report.name_values(name)[0][0]

    @property
    def problems(self):
        return [text for _, text in self.report.name_values("ProblemsList") if text]


def filled(example, settings=(), **plan):
    values = copy.deepcopy(EXAMPLES[example])
    values["plan"].update(plan)
    values["settings"].update(settings)
    return values


def test_the_table_shows_what_the_function_gives(tmp_path):
    """The arguments put together by hand from what the example fills in; 5 % spread, as Settings has it."""
    planner = Calculated(tmp_path, filled("wall-hanging"))
    assert not planner.report.errors
    sett = wf.sett_from_diameters("120 m/100 g", "2/2 twill", 0.9, 0.75, "cm")
    # Of the rust a share is there that limits the weft; of the grey more than enough.
    rust = planner["WeftYarnLength"] * 108 / 355
    have = wf.length_left(36, 0, "110 m/100 g")
    weft = planner["WeftYarnLength"] * 100 * have / wf.yarn_to_buy(rust, 0.05, 0.05)
    plans = wf.fit_piece(
        42, 70, "2/2 twill", 4, sett, 4.5, "9,9", parity="odd", sley="1", spaced_by="pegs", first_side="left",
        shrink_length=0.04, shrink_width=0.03, draw_in=0.04, take_up=0.1, slack=0.06, more_woven=3,
        unwoven=8 + 2 * 8 / 0.9, frame_length=120, warp_free=30000, weft_free=weft, float_limit=1.5,
    )  # fmt: skip
    assert len(plans) == PLANS
    for plan, figures, below in zip(plans, planner.table[::2], planner.table[1::2]):
        sley, side, edges, stash, ends, repeats, rows_a_leg, legs, rows, *sizes = plan
        assert figures[:3] == [f"{sley}, from the {side}", edges, stash]
        assert figures[3:7] == [pytest.approx(size, abs=0.00051) for size in sizes[:4]]
        assert figures[7:11] == [ends, rows_a_leg, legs, rows]
        assert figures[11] == pytest.approx(sizes[5], abs=0.00051)
        assert below[:3] == [
            f"{repeats} repeats, line at {sizes[6]:.1f}°",
            f"warp {sizes[7] / 100:.0f} m",
            f"weft {sizes[8] / 100:.0f} m",
        ]
        assert below[3] == plan[-1]


def test_a_reason_that_tells_every_fault_is_shown_in_full(tmp_path):
    """On a loom whose reed does not meet the sett, with next to no yarn and short floats wanted."""
    values = filled(
        "wall-hanging", {"FloatLimit": 0.2, "LoomWaste": 60}, MadeOn="shaft loom", Reed=5, SettWanted=6.4
    )
    for left_out in ("Pegs", "FrameLength", "Unweavable", "Tie"):
        del values["plan"][left_out]
    for yarn in values["yarns"]:
        yarn["weighed"] = yarn.get("tare", 0) + 2
    planner = Calculated(tmp_path, values)
    assert not planner.report.errors
    reasons = [row[3] for row in planner.table[1::2]]
    # All parts of it, from the place to the last of the stash.
    assert [reason.count("; ") for reason in reasons] == [7, 7, 8, 8, 8]
    assert all(reason.endswith("; weft yarn in the stash for 1 % of it") for reason in reasons)
    assert max(map(len, reasons)) > 320


@pytest.mark.parametrize(
    ("example", "a_unit", "ends_in_each", "slack", "long"),
    [
        # Two ends in a dent and 12 dents to an inch: each floating selvedge hangs a dent off.
        ("scarf", 12, 2, 0.04, 36),
        # On a frame with 4 pegs to a centimetre and an end a peg each hangs as far off as any end.
        ("wall-hanging", 4, 1, 0.06, 100),
    ],
)
@pytest.mark.parametrize(("floating", "more"), [("no", 0), ("yes", 2)])
def test_the_weft_reaches_out_to_the_floating_selvedges(
    tmp_path, example, a_unit, ends_in_each, slack, long, floating, more
):
    """Dents or pegs counted in the open, for the plan that the sheet works out and all of its table."""
    planner = Calculated(tmp_path, filled(example, Floating=floating))
    assert not planner.report.errors
    pieces = planner["Pieces"]
    besides = planner["PicksAll"] - pieces * planner["RowsWoven"]

    def weft(ends, rows):
        across = (math.ceil(ends / ends_in_each) + more) / a_unit
        return (pieces * rows + besides) * across / (1 - slack) / long

    assert planner["WarpWidth"] == pytest.approx(math.ceil(planner["Ends"] / ends_in_each) / a_unit)
    assert planner["WeftYarnLength"] == pytest.approx(weft(planner["Ends"], planner["RowsWoven"]))
    shown = {
        int(below[2].split()[1]): round(weft(figures[7], figures[10]))
        for figures, below in zip(planner.table[::2], planner.table[1::2])
        if figures[0].startswith(f"{ends_in_each}, ")
    }
    assert shown
    assert list(shown) == list(shown.values())


def test_blank_stays_blank(tmp_path):
    planner = Calculated(tmp_path, {})
    assert not planner.report.errors
    assert {cell or "" for row in planner.table for cell in row} == {""}


@pytest.fixture(scope="module")
def scarf(tmp_path_factory):
    """A scarf whose allowances stray, in whole repeats that come nowhere near its width."""
    return Calculated(
        tmp_path_factory.mktemp("scarf"),
        filled(
            "scarf", {"YarnRisk": 0.1}, RepeatEnds=200, BalanceEnds=None,
            StrayTakeUp=0.02, StraySlack=0.01, StrayShrink=0.015, StrayPicks=0.03,
        ),
    )  # fmt: skip


def test_no_plan_within_the_tolerances_is_one_error_and_one_problem(scarf):
    (first, *others), *rows = scarf.table
    assert first == "#VALUE!"
    assert {cell or "" for row in (others, *rows) for cell in row} == {""}
    (problem,) = [text for text in scarf.problems if "whole repeats" in text]
    assert problem.startswith(
        "Width may be off by must be wide enough for whole repeats: the nearest is 200 ends"
    )


def test_a_sett_that_no_short_sley_comes_near_is_told_with_its_cell(tmp_path):
    """5 ends in a reed of 12 lie between 1 in 3, a fifth off, and 1 in 2, a fifth off."""
    near = filled("scarf", Reed=12, SettWanted=5, WeftSett=5)
    planner = Calculated(tmp_path, near)
    (problem,) = [text for text in planner.problems if "no order" in text]
    assert problem.startswith(
        "Sley: threads in each dent must be given (no order of at most 4 dents comes within 10 % of 5 ends "
        "in 12 dents per unit; "
    )
    # What it names mends it: 2 ends in 5 dents.
    near["plan"]["Sley"] = "0-1-0-0-1"
    planner = Calculated(tmp_path, near)
    assert not [text for text in planner.problems if "no order" in text]
    assert planner.table[0][0].startswith("0-1-0-0-1, from the ")


def test_every_refusal_names_a_cell_that_is_filled_in():
    rows = [row for row in (*PIECE, *settings.ROWS) if isinstance(row, Row) and row.given]
    assert set(CHANGED_AT.values()) <= {row.label for row in rows}
    arguments = {parameter.name.replace("_", " ") for parameter in get("fit_code").parameters}
    assert set(CHANGED_AT) <= arguments
    # Every argument that the search refuses with a reason of its own.
    refused = {
        name.replace("_", " ")
        for module in (_fit, _fit_choices, _fit_faults)
        for name in re.findall(r'(?:Weave|Missing)Error\(\s*"(\w+)"', inspect.getsource(module))
    }
    assert refused == set(CHANGED_AT)


def test_what_strays_makes_the_range_of_the_need(scarf):
    # Take-up and shrinkage as factors 1 / (1 - t); of the warp only what is woven strays.
    woven = (2 * scarf["WovenLength"] + 6) / 0.9 / scarf["WarpLength"]
    warp = woven * (((1 + (0.02 / 0.9) ** 2) * (1 + (0.015 / 0.95) ** 2)) - 1) ** 0.5
    assert scarf["WarpSpread"] == pytest.approx(warp)
    weft = ((1 + (0.01 / 0.96) ** 2) * (1 + (0.015 / 0.95) ** 2) * (1 + 0.03**2) - 1) ** 0.5
    assert scarf["WeftSpread"] == pytest.approx(weft)
    for system, spread in (("Warp", warp), ("Weft", weft)):
        need = scarf[f"{system}YarnLength"]
        # 1.2816 is the normal quantile of 0.9 [MEMORY].
        assert scarf[f"{system}Least"] == pytest.approx(need * (1 - 1.2816 * spread), rel=1e-5)
        assert scarf[f"{system}Most"] == pytest.approx(need * (1 + 1.2816 * spread), rel=1e-5)
    lengths = [row[0] for row in scarf.report.name_values("PlanYarnLengths") if isinstance(row[0], float)]
    assert sum(lengths) == pytest.approx(scarf["WarpMost"] + scarf["WeftMost"])
