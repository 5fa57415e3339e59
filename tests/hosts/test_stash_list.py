"""A list of yarns goes into a planner, the tables of a planner go out; nothing is merged or lost unseen."""

from __future__ import annotations

import csv
import os
import sys
import zipfile
from pathlib import Path

import pytest

from weavefuncs.addin.cli import main, stash
from weavefuncs.addin.offline.recalc import recalculate
from weavefuncs.shared.stash_headings import STASH_HEADINGS
from weavefuncs.tables.exchange import _known
from weavefuncs.workbooks import EXAMPLES, yarns
from weavefuncs.workbooks.exchange import _with_yarns
from weavefuncs.workbooks.frames import Units
from weavefuncs.workbooks.inputs import read_inputs

sys.path.insert(0, str(Path(__file__).parent))
from light_planner import build_light

HERE = Path(__file__).resolve().parents[2] / "workbooks"

LIST = """\
What is in the chest
Name;Count;Fibre;Colour;Lot;Weight (oz);Full put-up (oz);Price
Sea blue;8/2 Ne;cotton;blue;4;10,5;8;12,5
Cotton ecru;8/2 Ne;cotton;ecru;A;4;8;14,5
Sky;16/2 Ne;cotton;sky;2;€ 30;8;14
Moss;16/2 Ne;cotton;moss;;-4;8;14

=HYPERLINK(1);16/2 Ne;linen;@fog;9;5;4;11
sea BLUE;16/2 Ne;linen;fog;9;5;4;11
Nameless count;;linen;fog;9;5;4;11
"""


def test_a_list_goes_in(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("weavefuncs.workbooks.upgrade.build", build_light)
    chest, old, new = tmp_path / "chest.csv", HERE / "example-scarf.xlsx", tmp_path / "new.xlsx"
    chest.write_text(LIST, encoding="utf-8")
    before = old.read_bytes()
    assert main(["stash", str(chest), str(old), str(new)]) == 1
    told = capsys.readouterr().out
    assert "2 yarns of" in told
    for line in (
        "row 4, name: Cotton ecru stands in row 6 of Yarns already",
        "row 5, Weight (oz): weighed must be",
        "without a currency sign",
        "row 6, Weight (oz): weighed must be",
        "row 9, name: sea BLUE stands in row 3 of the list already",
        "row 10, ",
    ):
        assert line in told
    assert old.read_bytes() == before
    lines = read_inputs(new).filled["yarns"]
    assert lines[:3] == read_inputs(old).filled["yarns"]
    assert lines[3] == {
        "name": "Sea blue",
        "yarn": "8/2 Ne",
        "fibre": "cotton",
        "colour": "blue",
        "lot": "4",
        "weighed": 10.5,
        "put_up": 8,
        "price": 12.5,
    }
    assert lines[4]["name"] == "=HYPERLINK(1)"
    assert len(lines) == 5


NO_UNITS = """\
Name,Count,Weight,Full put-up,Empty cone (g),Length left,Price,Cone (g),Shelf
Sock,8/2 Ne,14,16,2.8349523125,,19.50,50,top
Counted,8/2 Ne,,,,336,,,
"""

# 8/2 cotton has 3360 yards a pound, which is 16 ounces or 453.59237 grams; a yard is 0.9144 metres.
UNITS = {
    "inch, yard, ounce": ("yd", "oz", 0.1, 336 / 210),
    "inch, yard, gram": ("yd", "g", 2.8349523125, 45.359237),
    "centimetre, metre, gram": ("m", "g", 2.8349523125, 45.359237 / 0.9144),
}


@pytest.mark.parametrize("choice", UNITS)
def test_a_heading_without_a_unit_is_in_that_of_the_planner(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, choice: str
) -> None:
    monkeypatch.setattr("weavefuncs.workbooks.upgrade.build", build_light)
    chest, old, new = tmp_path / "chest.csv", tmp_path / "old.xlsx", tmp_path / "new.xlsx"
    chest.write_text(NO_UNITS, encoding="utf-8")
    build_light(old, {"settings": {"UnitChoice": choice}})
    main(["stash", str(chest), str(old), str(new)])
    sock, counted = read_inputs(new).filled["yarns"]
    length, mass, tare, weighed = UNITS[choice]
    assert (sock["weighed"], sock["put_up"], sock["price"]) == (14, 16, 19.5)
    assert sock["tare"] == pytest.approx(tare)
    assert counted["weighed"] == pytest.approx(weighed)
    told = [line.strip() for line in capsys.readouterr().out.splitlines()]
    assert [line for line in told if "no unit" in line] == [
        f"Weight, Full put-up: no unit in the heading, read as {mass}, the unit of the planner",
        f"Length left: no unit in the heading, read as {length}, the unit of the planner",
    ]
    cone, shelf = (line for line in told if "the heading is none of those" in line)
    assert cone.startswith("chest.csv, row 1, Cone (g): ")
    assert ", weight, empty cone, full put-up," in cone
    assert shelf == "chest.csv, row 1, Shelf: the heading is none of those that are read (column not read)"


def test_a_list_without_units_needs_the_units_of_the_planner(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    chest, old, new = tmp_path / "chest.csv", tmp_path / "old.xlsx", tmp_path / "new.xlsx"
    chest.write_text(NO_UNITS, encoding="utf-8")
    build_light(old, {"settings": {"UnitChoice": "ell, stone"}})
    assert main(["stash", str(chest), str(old), str(new)]) == 2
    assert "Settings, Units (C6), must be one of inch, yard, ounce; " in capsys.readouterr().err
    assert not new.exists()


def test_the_help_names_every_heading_that_is_read() -> None:
    text = " ".join(stash.__doc__.split())
    named = text.partition("Headings that are read: ")[2].partition(". ")[0].split(", ")
    known = [found[0] for found in _known(named) if found]
    assert len(known) == len(named)
    assert sorted(known) == sorted(STASH_HEADINGS)


SKEINS = """\
Name,Count,Weight (g),Full put-up (g)
Reef,300 m/100 g,0,100
Tide,300 m/100 g,0,100
"""


def test_a_skein_that_is_just_enough_stays_enough(tmp_path: Path) -> None:
    """A skein of 300 m, in a planner in yards of 0.9144 m and ounces: 328.08 yards are a little less."""
    skeins, old, new = tmp_path / "skeins.csv", tmp_path / "old.xlsx", tmp_path / "new.xlsx"
    skeins.write_text(SKEINS, encoding="utf-8")
    needs = [
        {"project": "a", "yarn": "Reef", "length": 328.08},
        {"project": "b", "yarn": "Tide", "length": 300 / 0.9144},
    ]
    build_light(old, {"shopping": {"needs": needs}})
    assert main(["stash", str(skeins), str(old), str(new)]) == 0
    assert recalculate(new, check=True).name_values("ShopPutUps")[:2] == [[1.0], [1.0]]


CONES = """\
Yarn,Count,Weight (g),Empty cone (g),Free (yd),Promised (yd)
On a cone,8/2 Ne,500,50,,100
Counted,8/2 Ne,,50,3000,360
At odds,8/2 Ne,500,50,1000,
"""


def test_a_cone_and_what_is_promised_go_in_as_they_are(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Into a planner in ounces and yards; 8/2 cotton has 3360 yards a pound of 16 ounces."""
    monkeypatch.setattr("weavefuncs.workbooks.upgrade.build", build_light)
    cones, old, new = tmp_path / "cones.csv", HERE / "example-scarf.xlsx", tmp_path / "new.xlsx"
    cones.write_text(CONES, encoding="utf-8")
    assert main(["stash", str(cones), str(old), str(new)]) != 2
    on_a_cone, counted, at_odds = read_inputs(new).filled["yarns"][3:]
    ounce = 28.349523125
    assert on_a_cone["weighed"] == pytest.approx(500 / ounce, abs=0.0006)
    assert on_a_cone["tare"] == counted["tare"] == pytest.approx(50 / ounce, abs=0.0006)
    assert on_a_cone["reserved"] == pytest.approx(100)
    # Free and promised together, on the empty cone.
    assert counted["weighed"] == pytest.approx(3360 / 210 + 50 / ounce, abs=0.0006)
    assert counted["reserved"] == pytest.approx(360)
    assert at_odds["weighed"] == on_a_cone["weighed"]
    # Weighed 450 g of yarn, and 1000 yards by the list: in yards, as the planner has it.
    by_weight = 450 / ounce * 210
    told = f"what was weighed is {by_weight:.6g} yd, and the list says 1000 yd: the weight goes in"
    assert f"row 4, weighed: {told}" in capsys.readouterr().out


def test_the_tables_come_out(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With a yarn among them that a spreadsheet would take for a formula."""
    source, changed = HERE / "example-scarf.xlsx", tmp_path / "a.xlsx"
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(changed, "w") as new:
        for info in old.infolist():
            part = old.read(info)
            if info.filename == "xl/sharedStrings.xml":
                assert b">ecru<" in part
                part = part.replace(b">ecru<", b">@ecru<")
            new.writestr(info, part)
    assert main(["export", str(changed), str(tmp_path / "out")]) == 0
    with (tmp_path / "out" / "yarns.csv").open(encoding="utf-8-sig", newline="") as file:
        headings, *rows = csv.reader(file)
    assert headings[0] == "Name"
    assert len(rows) == len(EXAMPLES["scarf"]["yarns"])
    assert rows[0][headings.index("Colour")] == "'@ecru"
    yarn = EXAMPLES["scarf"]["yarns"][1]
    # 8/2 cotton: 3360 yards a pound of 16 ounces.
    length = (yarn["weighed"] - yarn["tare"]) / 16 * 3360
    assert float(rows[1][headings.index("Length left (yd)")]) == pytest.approx(length)
    assert {"plan.csv", "plan-yarn.csv", "problems.csv"} <= set(os.listdir(tmp_path / "out"))
    assert "yarns.csv, 3 lines" in capsys.readouterr().out


def exported(folder: Path, file: str) -> list[list[str]]:
    with (folder / f"{file}.csv").open(encoding="utf-8-sig", newline="") as lines:
        return list(csv.reader(lines))


def test_forms_come_out_with_their_units(tmp_path: Path) -> None:
    assert main(["export", str(HERE / "example-scarf.xlsx"), str(tmp_path)]) == 0
    given = EXAMPLES["scarf"]["settings"]
    headings, *rows = exported(tmp_path, "plan")
    assert headings == ["row", "value", "unit"]
    weft = [(float(value), unit) for label, value, unit in rows if label == "Weft yarn" and unit]
    (inches, inch), (yards, yard) = weft
    assert (inch, yard) == ("in", "yd")
    assert inches == pytest.approx(36 * yards)
    units = {label: unit for label, _, unit in rows}
    assert (units["Weave"], units["Draw-in"]) == ("", "")
    assert (units["Sett used"], units["Ends to wind"]) == ("ends per in", "ends")
    assert units["Cost of a piece"] == given["Currency"]
    headings, *rows = exported(tmp_path, "settings")
    assert headings == ["row", "value", "unit"]
    found = {label: (value, unit) for label, value, unit in rows}
    assert found["Units"] == ("inch, yard, ounce", "")
    assert found["Weights"] == ("oz", "")
    assert (float(found["Wage"][0]), found["Wage"][1]) == (given["Wage"], f"{given['Currency']} an hour")
    assert (float(found["Loom waste"][0]), found["Loom waste"][1]) == (given["LoomWaste"], "in")


def test_cells_side_by_side_come_out_as_one(tmp_path: Path) -> None:
    stripes = {"StripeWidths": [2, 0.5], "StripeColours": ["white", "blue"]}
    build_light(tmp_path / "planner.xlsx", {"plan": {"PieceName": "Runner", **stripes}})
    assert main(["export", str(tmp_path / "planner.xlsx"), str(tmp_path)]) == 0
    rows = {label: (value, unit) for label, value, unit in exported(tmp_path, "plan")}
    assert rows["Width of each stripe"] == ("2, 0.5", "")
    assert rows["Its colour"] == ("white, blue", "")
    assert rows["Name of the piece"] == ("Runner", "")


def test_what_is_to_be_bought_comes_out(tmp_path: Path) -> None:
    filled = EXAMPLES["stash"]
    assert main(["export", str(HERE / "example-stash.xlsx"), str(tmp_path)]) == 0
    headings, *rows = exported(tmp_path, "shopping-to-buy")
    assert headings[0] == "Yarn"
    assert headings[-1].startswith("Left over (")
    assert [row[0] for row in rows] == [yarn["name"] for yarn in filled["yarns"]]
    unit = {"inch, yard, ounce": "yd", "centimetre, metre, gram": "m"}[filled["settings"]["UnitChoice"]]
    column = headings.index(f"Projects ({unit})")
    needed = dict.fromkeys((yarn["name"] for yarn in filled["yarns"]), 0.0)
    for need in filled["shopping"]["needs"]:
        needed[need["yarn"]] += need["length"]
    assert sum(length > 0 for length in needed.values()) > 5
    assert {row[0]: float(row[column]) for row in rows} == pytest.approx(needed)


def test_a_plain_install_says_what_is_missing(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setitem(sys.modules, "pandas", None)
    for name in [
        name for name in sys.modules if name.startswith(("weavefuncs.workbooks.", "weavefuncs.tables"))
    ]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.delitem(sys.modules, "weavefuncs.addin.cli.export", raising=False)
    assert main(["export", "a.xlsx", "b"]) == 2
    assert "needs pandas, which is not installed: pip install" in capsys.readouterr().err


def test_a_full_table_of_yarns_says_so() -> None:
    import pandas as pd

    inputs = read_inputs(HERE / "example-scarf.xlsx")
    inputs.filled["yarns"] = [{"name": f"yarn {number}"} for number in range(yarns.LINES)]
    one = {"row": 2, "name": "new", "yarn": "8/2 Ne", "fibre": "", "colour": "", "lot": ""}
    read = pd.DataFrame([{**one, "length": 100.0, "put_up_length": None, "put_up_price": None}])
    lines, added, refused = _with_yarns(inputs, read, Units("in", "yd", "oz"))
    assert (len(lines), added) == (yarns.LINES, 0)
    assert refused[0][2] == f"new has no room: Yarns has {yarns.LINES} lines"


def test_files_that_cannot_be_used_are_told_in_a_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scarf, new = str(HERE / "example-scarf.xlsx"), str(tmp_path / "new.xlsx")
    other = tmp_path / "other.csv"
    other.write_text("a;b\n1;2\n", encoding="utf-8")
    for arguments in (
        ["stash", str(tmp_path / "none.csv"), scarf, new],
        ["stash", str(other), scarf, new],
        ["stash", str(other), scarf, scarf],
        ["export", str(other), str(tmp_path / "out")],
    ):
        assert main(arguments) == 2
        assert capsys.readouterr().err.splitlines()[-1].startswith(f"weavefuncs {arguments[0]}: ")
    assert os.listdir(tmp_path) == ["other.csv"]
