"""Sheet Cloth: the drawing cell by cell, floats on and off the loom, limits by use."""

from __future__ import annotations

import copy
from pathlib import Path

import openpyxl
import pytest

import weavefuncs as wf
from weavefuncs.addin.offline import recalculate
from weavefuncs.shared.colour_words import TONES
from weavefuncs.workbooks import EXAMPLES
from weavefuncs.workbooks.cloth_drawing import ENDS_SHOWN, FIRST_CELL, ROWS_SHOWN, SWATCH, WORD
from weavefuncs.workbooks.look import WARP, WEFT
from weavefuncs.workbooks.planner import build


class Sheet:
    """The sheet of a planner that was filled in and calculated."""

    def __init__(self, path: Path, example: str, **changes: dict) -> None:
        filled = copy.deepcopy(EXAMPLES[example])
        for place, values in changes.items():
            filled.setdefault(place, {}).update(values)
        build(str(path), filled, "calc")
        self.report = recalculate(path)
        assert not self.report.uncalculated
        self.page = openpyxl.load_workbook(path, data_only=True)["Cloth"]

    def __getitem__(self, name: str):
        return self.report.name_values(name)[0][0]

    @property
    def problems(self) -> list[str]:
        return [text for where, text in self.report.name_values("ProblemsList") if where]

    @property
    def drawn(self) -> list[str]:
        """The drawing from its lowest row, a sign each cell."""
        last = self.page.max_row
        return [
            "".join(self.page.cell(row, FIRST_CELL + 1 + end).value or "" for end in range(ENDS_SHOWN))
            for row in range(last, last - ROWS_SHOWN, -1)
        ]

    @property
    def key(self) -> dict[str, str]:
        """What the key says of each sign."""
        first = self.page.max_row - ROWS_SHOWN + 1
        lines = [
            [self.page.cell(first + line, column + 1).value for column in (SWATCH, WORD)]
            for line in range(len(TONES))
        ]
        return {sign: word.rstrip() for sign, word in lines if sign}

    def fill(self, sign: str) -> tuple[str, str, set[str]]:
        """The colour that the rules give to a cell with a sign, and the sides on which they draw a line."""
        found = []
        for area in self.page.conditional_formatting:
            for rule in area.rules:
                if (
                    next(iter(area.sqref.ranges)).size["rows"] == ROWS_SHOWN
                    and f'"{sign}"' in rule.formula[0]
                ):
                    sides = {
                        side
                        for side in ("left", "right", "top", "bottom")
                        if getattr(rule.dxf.border, side).style
                    }
                    found.append((rule.formula[0][:6], rule.dxf.fill.bgColor.rgb[2:].lower(), sides))
        (one,) = found
        return one

    def floats(self) -> dict[str, list]:
        """The table of floats, by what stands before it."""
        head = next(cell.row for cell in self.page["B"] if cell.value == "Longest float")
        columns = (3, 4, 5, 6, 15, 24)
        return {
            self.page.cell(row, 2).value: [self.page.cell(row, column).value for column in columns]
            for row in range(head + 1, head + 7)
        }


@pytest.fixture(scope="module")
def planned(tmp_path_factory):
    known = {}

    def sheet(example: str, **changes: dict) -> Sheet:
        key = repr((example, changes))
        if key not in known:
            known[key] = Sheet(tmp_path_factory.mktemp("cloth") / "planner.xlsx", example, **changes)
        return known[key]

    return sheet


FROM = {"FirstEnd": 3, "FirstRow": 40}

# No colour order, and a limit for floats on Settings.
UNORDERED = {
    "plan": {"colours": {}},
    "cloth": {"DrawAs": "colours", "MadeFor": "wall piece"},
    "settings": {"FloatLimit": 0.1},
}


def test_every_cell_of_the_drawing_is_the_thread_on_top(planned):
    sheet = planned("wall-hanging", cloth={**FROM, "MadeFor": "baby"})
    tones = dict(TONES)
    words = {}
    for sign, entry in sheet.key.items():
        word, _, tone = entry.partition(" (")
        words[word] = sign
        # A capital where the warp shows, with lines upright; a small letter where the weft does.
        exact, colour, sides = sheet.fill(sign)
        assert (exact, "#" + colour, sides) == ("EXACT(", tones[tone.rstrip(")") or word], {"left", "right"})
        exact, colour, sides = sheet.fill(sign.lower())
        assert (exact, "#" + colour, sides) == ("EXACT(", tones[tone.rstrip(")") or word], {"top", "bottom"})
    assert set(words) == {"grey", "oat", "rust"}
    for line, row in enumerate(sheet.drawn):
        for place, sign in enumerate(row):
            end, pick = FROM["FirstEnd"] + place, FROM["FirstRow"] + line
            up = wf.lift("2/2 twill", end, pick, "9,9")
            colour = "grey" if up else wf.colour_of("36 oat, 18 rust", pick)
            assert sign == (words[colour] if up else words[colour].lower())
        assert len(row) == ENDS_SHOWN
    assert len(sheet.drawn) == ROWS_SHOWN


def test_the_weave_in_two_tones_is_a_choice(planned):
    sheet = planned("scarf", cloth={"DrawAs": "weave", "MadeFor": "garment"}, settings={"FloatLimit": ""})
    for line, row in enumerate(sheet.drawn, start=1):
        assert row == wf.pick_code("2/2 twill", 60, line, "24,24")
    assert sheet.key == {"1": "warp on the face", "0": "weft on the face"}
    for sign, colour in (("1", WARP), ("0", WEFT)):
        assert sheet.fill(sign)[1] == colour.removeprefix("#").lower()


def test_without_an_order_the_colours_are_those_of_the_yarns(planned):
    assert planned("scarf", **UNORDERED).key == {"B": "ecru (natural)", "W": "slate (dark grey)"}


def test_floats_on_and_off_the_loom_by_hand(planned):
    sheet = planned("wall-hanging", cloth={**FROM, "MadeFor": "baby"})
    found = sheet.floats()
    # Draw-in and shrinkage of the example: 4 % and 3 % in width, 4 % in length; 4 ends, 4.5 picks a cm.
    assert found["Warp across a turn"][:4] == pytest.approx([3, 3 / 4.5, 3 / 4.5 * 0.96, 3 / 4.5 * 0.04])
    span = 2 / 4 * 0.96 * 0.97
    assert found["Weft on the face"][:4] == pytest.approx([2, 0.5, span, 0.5 - span])
    assert found["Weft on the back"] == found["Weft on the face"]
    lifted = (3 / 16 * (0.5 - span) * (0.5 + span)) ** 0.5
    assert found["Weft on the face"][4] == pytest.approx(lifted)
    # Some turn of the weft misses the edge end, so a float goes on round it.
    assert found["Weft at and round the edges"][0] == wf.longest_edge_float(
        "2/2 twill", sheet["Ends"], 500, "9,9"
    )
    assert sheet["EdgeMisses"] > 0
    assert sheet["TurnRows"] == (sheet["RowsWoven"] - 1) // 9


def test_weight_of_the_cloth_is_that_of_its_yarn_over_its_area(planned):
    sheet = planned("wall-hanging", cloth={**FROM, "MadeFor": "baby"})
    # A hundred by a hundred cm of finished cloth: so many ends and picks, each as long as its yarn was laid.
    wide, long = 100 / 0.97 / 0.96, 100 / 0.96
    warp = wide * 4 * long / 0.9 * 100 / 120  # Moor grey, 120 m/100 g, 10 % take-up by the common settings
    weft = long * 4.5 * wide / 0.94 * 100 / 110  # Oat, 110 m/100 g, 6 % slack
    assert sheet["ClothWeight"] == pytest.approx((warp + weft) / 100)
    assert sheet["HowFirm"] == pytest.approx(4 / wf.sett_from_diameters("120 m/100 g", "2/2 twill", per="cm"))


def test_a_baby_gets_the_shorter_limit_and_the_caution(planned):
    sheet = planned("wall-hanging", cloth={**FROM, "MadeFor": "baby"})
    # Settings of the example allow 1.5 cm; the guide for a baby is 3 mm (common practice, no source).
    assert sheet["FloatAllowed"] == pytest.approx(0.3)
    assert {verdict[5] for verdict in sheet.floats().values()} == {"too long"}
    assert any("0.67 cm are longer than the limit of 0.3" in text for text in sheet.problems)
    assert any("local safety rules" in text for text in sheet.problems)


def test_the_use_gives_a_limit_only_where_settings_has_none(planned):
    by_use = planned("scarf", cloth={"DrawAs": "weave", "MadeFor": "garment"}, settings={"FloatLimit": ""})
    assert by_use["FloatAllowed"] == pytest.approx(10 / 25.4)
    assert by_use["FloatsTooLong"] == 0
    own = planned("scarf", **UNORDERED)
    assert own["FloatAllowed"] == 0.1
    assert own.floats()["Warp on the face"][5] == "too long"
    assert own.floats()["Weft on the face"][5] == "within"


def test_an_order_that_cannot_be_read_empties_the_drawing_and_is_listed(planned):
    colours = {**EXAMPLES["scarf"]["plan"]["colours"], "warp_order": "21 ecru,, 4 plum"}
    sheet = planned("scarf", plan={"colours": colours})
    assert set(sheet.drawn) == {""}
    assert sum("warp order must be a colour order" in text for text in sheet.problems) == 1
