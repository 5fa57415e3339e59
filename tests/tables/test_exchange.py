"""A stash read from CSV and workbooks, dirty ones too; results written so that no text becomes a formula."""

from __future__ import annotations

import stat
import sys
from pathlib import Path

import numpy as np
import openpyxl
import pandas as pd
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs import tables
from weavefuncs.shared.stash_headings import STASH_HEADINGS
from weavefuncs.tables import exchange

sys.path.insert(0, str(Path(__file__).parents[1] / "hosts"))
from office import Office

HEADINGS = ["Name", "Count", "Fiber", "Colour", "Dye lot", "Weighed (oz)", "Empty cone (oz)", "Price"]


def workbook(path: Path, rows: list[list[object]], sheet: str = "My yarns", merged: str = "") -> Path:
    book = openpyxl.Workbook()
    book.active.title = "Notes"
    page = book.create_sheet(sheet)
    for row in rows:
        page.append(row)
    if merged:
        page.merge_cells(merged)
    book.save(path)
    return path


def told(read: tables.StashRead) -> list[tuple[object, ...]]:
    return list(read.problems[["sheet", "row", "column", "effect"]].itertuples(index=False, name=None))


# Reading


def test_a_workbook_with_a_title_above_and_units_in_the_headings(tmp_path: Path) -> None:
    rows = [
        ["What is on the shelf"],
        [],
        HEADINGS,
        ["Snow", "8/2 Ne", "cotton", "white", 12, 16, 1, 18],
        ["Sea", "16/2 Nm", "wool", "blue", "B-7", 5.5, None, None],
    ]
    read = tables.read_stash(workbook(tmp_path / "stash.xlsx", rows))
    assert read.problems.empty
    yarns = read.yarns
    assert yarns[["row", "name", "yarn", "fibre", "colour", "lot"]].to_numpy().tolist() == [
        [4, "Snow", "8/2 Ne", "cotton", "white", "12"],
        [5, "Sea", "16/2 Nm", "wool", "blue", "B-7"],
    ]
    expected = [wf.length_left(16, 1, "8/2 Ne", "oz", "m"), wf.length_left(5.5, 0, "16/2 Nm", "oz", "m")]
    assert yarns["length"].tolist() == pytest.approx(expected)
    assert yarns["put_up_price"].iloc[0] == 18
    assert np.isnan(yarns["put_up_price"].iloc[1])


@pytest.mark.parametrize(
    ("heading", "factor"),
    [
        ("Length (yd)", 0.9144),
        ("length left [m]", 1),
        ("LENGTH  LEFT", 1),
        ("Yards left", 0.9144),
        ("Free (yards)", 0.9144),
        ("free-length", 1),
    ],
)
def test_spellings_of_a_length(tmp_path: Path, heading: str, factor: float) -> None:
    file = tmp_path / "stash.csv"
    file.write_text(f"yarn name,Yarn count,{heading},Put-up length (yd)\nSnow,8/2 Ne,300,1200\n", "utf-8")
    read = tables.read_stash(file)
    assert read.problems.empty
    assert read.yarns["length"].tolist() == pytest.approx([300 * factor])
    assert read.yarns["put_up_length"].tolist() == pytest.approx([1200 * 0.9144])


@pytest.mark.parametrize(("encoding", "delimiter"), [("utf-8", ","), ("utf-8-sig", "\t"), ("cp1252", ";")])
def test_csv_of_any_sort(tmp_path: Path, encoding: str, delimiter: str) -> None:
    rows = [
        ["Name", "Count", "Weighed (g)", "Colour"],
        ["Grün", "8/2 Ne", "120.5", "grün"],
        ["Öl", "74 tex", "80", ""],
    ]
    file = tmp_path / "stash.csv"
    file.write_bytes("\r\n".join(delimiter.join(row) for row in rows).encode(encoding))
    read = tables.read_stash(file)
    assert read.problems.empty
    assert list(read.yarns["name"]) == ["Grün", "Öl"]
    assert read.yarns["length"].tolist() == pytest.approx([wf.yarn_length(120.5, "8/2 Ne"), 80 / 74 * 1000])


def test_a_decimal_comma_where_semicolons_part_the_cells(tmp_path: Path) -> None:
    file = tmp_path / "stash.csv"
    file.write_text("Name;Count;Weighed (g)\nSnow;74 tex;37,5\n", "utf-8")
    assert tables.read_stash(file).yarns["length"].tolist() == pytest.approx([37.5 / 74 * 1000])
    file.write_text('Name,Count,Weighed (g),Price\nSnow,74 tex,"37,5",9.90\n', "utf-8")
    assert told(tables.read_stash(file)) == [("stash.csv", 2, "Weighed (g)", "row left out")]


def test_a_decimal_comma_where_commas_part_the_cells(tmp_path: Path) -> None:
    """As Calc writes a list where numbers have a comma, when commas are to part the cells."""
    file = tmp_path / "stash.csv"
    file.write_text(
        "Name,Yarn,Weighed (g),Empty cone (g),Full put-up (g),Price of a put-up (EUR)\n"
        'Snow,100 m/100 g,"312,5",12,250,"9,2"\n'
        '"Sea, dark",100 m/100 g,80,"1,250",100,"12,95"\n'
        'Moss,"2,5 m/1 g",20,,,\n',
        "utf-8",
    )
    read = tables.read_stash(file)
    assert told(read) == []
    assert read.yarns["name"].tolist() == ["Snow", "Sea, dark", "Moss"]
    # The third has 2.5 m in a gram.
    assert read.yarns["length"].tolist() == pytest.approx([312.5 - 12, 80 - 1.25, 20 * 2.5])
    assert read.yarns["put_up_price"].tolist()[:2] == [9.2, 12.95]


def lengths_and_told(file: Path, rows: str, delimiter: str) -> tuple[list[float], list[str]]:
    """Yarns of 1 m/g, written with semicolons: their lengths, and what is told of the others."""
    text = f"Name;Count;Weighed (g);Price\n{rows}"
    table = "\n".join(
        delimiter.join(quoted(cell, delimiter) for cell in row.split(";")) for row in text.split("\n")
    )
    file.write_text(table + "\n", "utf-8")
    read = tables.read_stash(file)
    return read.yarns["length"].tolist(), read.problems["problem"].tolist()


def quoted(cell: str, delimiter: str) -> str:
    return f'"{cell}"' if delimiter in cell else cell


SNOW, SEA = "Snow;100 m/100 g;", "Sea;100 m/100 g;"
DOUBT = "may mean 1250 or 1.250: write"
NOTHING_BETWEEN = "type the number with nothing between the thousands"


@pytest.mark.parametrize(
    ("rows", "delimiter", "lengths", "doubt"),
    [
        # The price shows that the comma is the decimal sign: 1.250 is 1250, or was meant as in English.
        (f"{SNOW}1.250;9,90\n{SEA}1250;9,90", ";", [1250], DOUBT),
        (f"{SNOW}1.250;9,90\n{SEA}1250;9,90", "\t", [1250], DOUBT),
        (f"{SNOW}1.250;9,90\n{SEA}1250;9.90", ",", [1250], DOUBT),
        (f"{SNOW}1.250;9\n{SEA}1250;9", ";", [1250], DOUBT),
        (f"{SNOW}1.2500;9,90\n{SEA}1250;9,90", ";", [1.25, 1250], ""),
        (f"{SNOW}1,250;9,90\n{SEA}0.125;9,90", ";", [1.25, 0.125], ""),
        (f"{SNOW}1,250;9,90\n{SEA}50,5;9,90", "\t", [1.25, 50.5], ""),
        # The price shows that the point is.
        (f"{SNOW}1.250;9.90\n{SEA}50.5;9.90", ";", [1.25, 50.5], ""),
        (f"{SNOW}1,250;9.90\n{SEA}50.5;9.90", ";", [50.5], DOUBT),
        (f"{SNOW}1,250;9.90\n{SEA}50.5;9.90", "\t", [50.5], DOUBT),
        (f"{SNOW}1,250;9\n{SEA}50;9", "\t", [50], DOUBT),
        (f"{SNOW}1,250;9\n{SEA}1.250;9", ",", [1.25], DOUBT),
        # A text shows nothing.
        (f"{SNOW}1.250;9\nSea 3,5;100 m/100 g;50;9", "\t", [1.25, 50], ""),
        (f"{SNOW}1.250,50;9,90\n{SEA}50;9,90", ";", [50], NOTHING_BETWEEN),
        (f"{SNOW}1.250.000;9,90\n{SEA}50;9,90", ";", [50], NOTHING_BETWEEN),
        (f"{SNOW}1 250;9,90\n{SEA}50;9,90", ";", [50], NOTHING_BETWEEN),
        (f"{SNOW}50,5;9.90\n{SEA}50;9.90", ",", [50], "type the number with the decimal sign of the other"),
    ],
)
def test_a_number_that_may_be_a_thousand_times_as_much_is_told(
    tmp_path: Path, rows: str, delimiter: str, lengths: list[float], doubt: str
) -> None:
    read, told = lengths_and_told(tmp_path / "stash.csv", rows, delimiter)
    assert read == pytest.approx(lengths)
    # A price with a comma is not read where commas part the cells and another shows the point.
    of_weight = [problem for problem in told if problem.startswith("weighed")]
    assert [doubt in problem for problem in of_weight] == ([True] if doubt else [])


OTHER_SIGN = "type the number with the decimal sign of the other numbers"
# What tells the decimal sign, in a column beside; and in a workbook, where a text is never a number.
BESIDE = {
    "; 9,90": (";", "9,90"),
    "; 9.90": (";", "9.90"),
    "tab 9,90": ("\t", "9,90"),
    "tab 9.90": ("\t", "9.90"),
    "tab 9": ("\t", "9"),
    ", 9.90": (",", "9.90"),
    ", 9,90": (",", "9,90"),
}
COMMAS, POINTS = ("; 9,90", "tab 9,90", ", 9,90"), ("; 9.90", "tab 9.90", "tab 9", ", 9.90")
# All but where a comma parts the cells beside a point: a number that can only have decimals says so itself.
NO_COMMA_PARTS = (*COMMAS, *POINTS[:3])

# How a number is written, what it is where it is read, by what it stands beside, and what is told elsewhere.
WRITTEN = [
    ("1250", 1250, (*COMMAS, *POINTS), "type the number alone"),
    ("1,5", 1.5, NO_COMMA_PARTS, OTHER_SIGN),
    (",5", 0.5, NO_COMMA_PARTS, OTHER_SIGN),
    ("0,125", 0.125, NO_COMMA_PARTS, OTHER_SIGN),
    ("1234,567", 1234.567, NO_COMMA_PARTS, OTHER_SIGN),
    ("1.5", 1.5, (*COMMAS, *POINTS), OTHER_SIGN),
    (".5", 0.5, (*COMMAS, *POINTS), OTHER_SIGN),
    ("0.125", 0.125, (*COMMAS, *POINTS), OTHER_SIGN),
    # A point beside decimal commas may part thousands, and a comma nothing but decimals.
    ("1.250", 1.25, POINTS, DOUBT),
    ("1,250", 1.25, COMMAS, DOUBT),
    # Nothing may stand between the thousands, in German, English, Swiss or French.
    ("1.234,56", None, (), NOTHING_BETWEEN),
    ("1,234.56", None, (), NOTHING_BETWEEN),
    ("1'234.50", None, (), NOTHING_BETWEEN),
    ("1\N{RIGHT SINGLE QUOTATION MARK}234.50", None, (), NOTHING_BETWEEN),
    ("1.250.000", None, (), NOTHING_BETWEEN),
    ("1,250,000", None, (), NOTHING_BETWEEN),
    ("1 250", None, (), NOTHING_BETWEEN),
    ("1 234,5", None, (), NOTHING_BETWEEN),
    ("1\N{NO-BREAK SPACE}234,5", None, (), NOTHING_BETWEEN),
    ("1\N{NARROW NO-BREAK SPACE}234.5", None, (), NOTHING_BETWEEN),
    ("1\N{THIN SPACE}250\N{THIN SPACE}000", None, (), NOTHING_BETWEEN),
    # No number: a date, a sign too many, thousands of two figures.
    ("3.12.24", None, (), "type the number alone, without words or units"),
    ("1,2,3", None, (), "type the number alone, without words or units"),
    ("12.50,5", None, (), "type the number alone, without words or units"),
]


@pytest.mark.parametrize("beside", [*BESIDE, "workbook"])
@pytest.mark.parametrize(("written", "number", "read_beside", "hint"), WRITTEN)
def test_every_list_takes_a_number_by_one_meaning(
    tmp_path: Path, written: str, number: float | None, read_beside: tuple[str, ...], hint: str, beside: str
) -> None:
    if beside == "workbook":
        rows = [["Name", "Count", "Weighed (g)"], ["Snow", "100 m/100 g", written]]
        read = tables.read_stash(workbook(tmp_path / "stash.xlsx", rows))
        lengths, told = read.yarns["length"].tolist(), read.problems["problem"].tolist()
    else:
        delimiter, price = BESIDE[beside]
        lengths, told = lengths_and_told(tmp_path / "stash.csv", f"{SNOW}{written};{price}", delimiter)
    of_weight = [problem for problem in told if problem.startswith("weighed")]
    if beside in read_beside:
        assert (lengths, of_weight) == ([pytest.approx(number)], [])
    else:
        assert (lengths, [hint in problem for problem in of_weight]) == ([], [True])


@pytest.mark.parametrize(
    ("shows", "lengths"),
    [
        # An apostrophe or a space between thousands leaves the sign before the decimals as it is.
        ("1'234.50", [1.25]),
        ("1 234,50", []),
        # A sign that stands twice parts thousands, so that the other one is for decimals.
        ("1.250.000", []),
        ("1,250,000", [1.25]),
        # A date shows no decimal sign.
        ("3.12.24", []),
    ],
)
def test_a_number_with_thousands_shows_the_decimal_sign(
    tmp_path: Path, shows: str, lengths: list[float]
) -> None:
    """Where semicolons part the cells the comma is it unless something shows the point."""
    read, _ = lengths_and_told(tmp_path / "stash.csv", f"{SNOW}1.250;{shows}", ";")
    assert read == lengths


@pytest.mark.parametrize(
    "title", ["My yarns", "Yarns; as of May; all shelves", "Yarns, as of May, and so on\n\n"]
)
@pytest.mark.parametrize("delimiter", [";", "\t", ","])
def test_a_title_above_does_not_tell_what_parts_the_cells(tmp_path: Path, title: str, delimiter: str) -> None:
    file = tmp_path / "stash.csv"
    rows = [["Name", "Count", "Weighed (g)"], ["Snow", "100 m/100 g", "50"]]
    file.write_text("\n".join([title, *(delimiter.join(row) for row in rows)]), "utf-8")
    read = tables.read_stash(file)
    assert (read.yarns["length"].tolist(), len(read.problems)) == ([50], 0)


@pytest.mark.parametrize(("order", "mark"), [("utf-16-le", b"\xff\xfe"), ("utf-16-be", b"\xfe\xff")])
def test_the_unicode_text_of_a_spreadsheet_is_read(tmp_path: Path, order: str, mark: bytes) -> None:
    file = tmp_path / "stash.txt"
    file.write_bytes(mark + "Name\tCount\tWeighed (g)\r\nGrün\t100 m/100 g\t50,5\r\n".encode(order))
    read = tables.read_stash(file)
    assert read.yarns[["name", "length"]].to_numpy().tolist() == [["Grün", 50.5]]


# As many characters as a cell of CSV may have: read again from every place, they would take minutes.
@pytest.mark.parametrize("long", ["9" * 131_000 + "x", "9" * 131_000 + ",", "9" * 131_000])
def test_a_long_row_of_digits_is_read_once(tmp_path: Path, long: str) -> None:
    file = tmp_path / "stash.csv"
    file.write_text(f"Name;Count;Weighed (g)\nSnow;74 tex;{long}\nSky;74 tex;74\n", "utf-8")
    read = tables.read_stash(file)
    assert list(read.yarns["name"]) == ["Sky"]
    assert told(read) == [("stash.csv", 2, "Weighed (g)", "row left out")]


@pytest.mark.parametrize("piece", ["(", "( ", " ", "[ a"])
def test_a_long_heading_is_read_once(tmp_path: Path, piece: str) -> None:
    file = tmp_path / "stash.csv"
    file.write_text(f"Name,Count,Weighed (g),{piece * (100_000 // len(piece))}x\nSky,74 tex,74,1\n", "utf-8")
    assert list(tables.read_stash(file).yarns["name"]) == ["Sky"]


@pytest.mark.parametrize("heading", ["Weighed (g)", "weighed ( g )", "Weighed [g]", "Weighed (wool) (g)"])
def test_a_unit_in_brackets_is_parted_from_its_heading(heading: str) -> None:
    name, unit = exchange._parted(heading)
    assert (name.split()[0].lower(), unit) == ("weighed", "g")


def test_every_kind_of_dirt_is_told_and_the_good_rows_are_read(tmp_path: Path) -> None:
    rows = [
        [*HEADINGS, "Shelf"],
        ["Snow", "8/2 Ne", "cotton", "white", "1", 16, 1, 18, "top"],
        [None] * 8,
        ["Sea", "8/2 Ne", "cotton", "blue", "2", "some", 1, 18],
        ["Sand", "8/2 Ne", "cotton", "beige", "3", 16, 1, "€ 18"],
        ["Moss", "8/2 Ne", "wool", "green", "4", -3, None, 18],
        ["Snow", "8/2 Ne", "cotton", "white", "5", 4, None, 18],
        ["Rust", "8/2", "wool", "red", "6", 4, None, 18],
        [None, "8/2 Ne", "wool", "red", "7", 4, None, 18],
        ["Slate", "8/2 Ne", "wool", "grey", "8", 1, 2, 18],
        ["Oat", "8/2 Ne", "wool", "oat", "9", None, None, 18],
        ["Plum", "8/2 Ne", "wool", "plum", "10", 4, None, 18],
        ["Fig", "8/2 Ne", "wool", None, "11", 4, None, 18],
        [None] * 8,
    ]
    read = tables.read_stash(workbook(tmp_path / "stash.xlsx", rows, merged="D12:D13"), "My yarns")
    assert list(read.yarns["name"]) == ["Snow", "Sand", "Snow", "Plum", "Fig"]
    sheet = "My yarns"
    assert told(read) == [
        (sheet, 1, "Shelf", "column not read"),
        (sheet, 3, "", "passed over"),
        (sheet, 4, "Weighed (oz)", "row left out"),
        (sheet, 5, "Price", "cell not used"),
        (sheet, 6, "Weighed (oz)", "row left out"),
        (sheet, 7, "Name", "told only"),
        (sheet, 8, "Count", "row left out"),
        (sheet, 9, "Name", "row left out"),
        (sheet, 10, "Weighed (oz)", "row left out"),
        (sheet, 11, "Weighed (oz)", "row left out"),
        (sheet, 13, "Colour", "told only"),
    ]
    problems = read.problems["problem"].tolist()
    assert "without a currency sign" in problems[3]
    assert "Snow stands in row 2 too" in problems[5]
    assert "weighs less than its empty cone" in problems[8]
    assert "merged with other cells (D12:D13)" in problems[10]
    # What was read calculates, and the second Snow is told there as well.
    shopping = tables.shopping_list(pd.DataFrame({"name": ["Snow"], "length": [10]}), read.yarns)
    assert shopping.problems["row"].tolist() == [7]


def test_what_is_promised_is_not_free(tmp_path: Path) -> None:
    rows = [
        ["Name", "Count", "Left (m)", "Weighed (g)", "Promised elsewhere (m)", "Full put-up (g)"],
        ["Snow", "100 m/100 g", None, 100, 30, 50],
        ["Sea", "100 m/100 g", None, 100, 130, 50],
    ]
    rows[0][2] = "Length left (m)"
    read = tables.read_stash(workbook(tmp_path / "stash.xlsx", rows))
    assert read.yarns["length"].tolist() == [70]
    assert read.yarns["put_up_length"].tolist() == [50]
    assert told(read) == [("My yarns", 3, "Promised elsewhere (m)", "row left out")]


def test_the_planner_s_own_sheet_is_read() -> None:
    planner = Path(__file__).resolve().parents[2] / "workbooks" / "example-wall-hanging.xlsx"
    read = tables.read_stash(planner)
    page = openpyxl.load_workbook(planner, data_only=True)["Yarns"]
    headings = {
        str(cell.value).partition(" (")[0]: cell.column
        for row in page.iter_rows(5, 5)
        for cell in row
        if cell.value
    }
    for row, name, length in read.yarns[["row", "name", "length"]].itertuples(index=False):
        assert page.cell(row, headings["Name"]).value == name
        assert "m" in str(page.cell(5, headings["Length left"]).value)
        reserved = page.cell(row, headings["Promised elsewhere"]).value or 0
        assert page.cell(row, headings["Length left"]).value - reserved == pytest.approx(length)
    assert len(read.yarns) >= 4


def test_a_heading_yarn_holds_the_names_where_the_count_has_a_column_of_its_own(tmp_path: Path) -> None:
    file = tmp_path / "chest.csv"
    file.write_text(
        "Yarn,Count,Weight,Empty cone (oz),Promised\nFog,300 m/100 g,150,1,60\n", encoding="utf-8"
    )
    read = tables.read_stash(file)
    assert read.problems.empty
    fog = read.yarns.iloc[0]
    assert (fog["name"], fog["yarn"]) == ("Fog", "300 m/100 g")
    # An ounce is 28.349523 g; the list says what was weighed, in grams, and the length is what is free.
    assert fog["weighed"] == 150
    assert fog["tare"] == pytest.approx(28.349523, abs=1e-6)
    assert fog["reserved"] == 60
    assert fog["length"] == pytest.approx((150 - 28.349523) * 3 - 60, abs=1e-5)


def test_headings_without_a_unit_are_in_the_one_asked_for(tmp_path: Path) -> None:
    file = tmp_path / "chest.csv"
    file.write_text(
        "Name,Count,Weight,Empty cone (g),Full put-up,Promised,Yards left,Price\n"
        "Fog,300 m/100 g,10,28.349523125,4,100,,7\n"
        "Sky,300 m/100 g,10,,4,,100,7\n"
        "Sea,300 m/100 g,1,0,4,5000,,7\n",
        encoding="utf-8",
    )
    read = tables.read_stash(file, length_unit="yd", mass_unit="oz")
    # An ounce is 28.349523125 g, and a yard 0.9144 m.
    fog, sky = (read.yarns.iloc[place] for place in (0, 1))
    assert fog["weighed"] == pytest.approx(283.49523125)
    assert fog["tare"] == pytest.approx(28.349523125)
    assert fog["put_up_length"] == pytest.approx(4 * 28.349523125 * 3)
    assert fog["reserved"] == pytest.approx(91.44)
    assert fog["length"] == pytest.approx(9 * 28.349523125 * 3 - 91.44)
    assert sky["length"] == pytest.approx(91.44)
    assert fog["put_up_price"] == 7
    assert read.without_unit.to_numpy().tolist() == [
        ["Weight", "oz"],
        ["Full put-up", "oz"],
        ["Promised", "yd"],
    ]
    left = 28.349523125 * 3 / 0.9144
    assert read.problems["problem"].tolist() == [f"5000 yd are promised, and {left:.6g} yd are left"]
    # In grams the first is lighter than its cone, and more of the third is promised than there is.
    usual = tables.read_stash(file)
    assert usual.yarns[["name", "weighed"]].to_numpy().tolist() == [["Sky", 10]]
    assert usual.without_unit["unit"].tolist() == ["g", "g", "m"]


def test_units_that_are_none_are_refused(tmp_path: Path) -> None:
    file = tmp_path / "chest.csv"
    file.write_text("Name,Length left\nFog,1\n", encoding="utf-8")
    assert tables.read_stash(file).yarns["length"].tolist() == [1]
    with pytest.raises(wf.WeaveError, match=r"mass_unit must be one of .*; got 'stone'"):
        tables.read_stash(file, mass_unit="stone")
    with pytest.raises(wf.WeaveError, match=r"length_unit must be one of .*; got 'oz'"):
        tables.read_stash(file, length_unit="oz")


def test_headings_that_are_not_read_are_told_with_those_that_are(tmp_path: Path) -> None:
    file = tmp_path / "chest.csv"
    file.write_text("Name,Cone (g),Weight (g),Count,Shelf\nFog,5,100,300 m/100 g,top\n", encoding="utf-8")
    read = tables.read_stash(file)
    cone, shelf = read.problems["problem"]
    assert cone == (
        "the heading is none of those that are read: name, count, fibre, colour, dye lot, weight, "
        "empty cone, full put-up, put-up length, price, promised, length left, length free"
    )
    assert shelf == "the heading is none of those that are read"
    told = cone.partition(": ")[2].split(", ")
    assert {known[0] for known in exchange._known(list(told)) if known} == set(STASH_HEADINGS)


def test_files_that_are_no_stash(tmp_path: Path) -> None:
    with pytest.raises(wf.WeaveError, match=r"ends in \.csv or \.xlsx; got 'stash.docx'"):
        tables.read_stash(tmp_path / "stash.docx")
    broken = tmp_path / "stash.xlsx"
    broken.write_bytes(b"no workbook")
    with pytest.raises(wf.WeaveError, match=r"an \.xlsx workbook"):
        tables.read_stash(broken)
    book = workbook(tmp_path / "notes.xlsx", [["Name", "Address"], ["A", "B"]])
    with pytest.raises(wf.WeaveError, match="a row of headings, among them one for the name"):
        tables.read_stash(book)
    with pytest.raises(wf.WeaveError, match="sheet must be one of Notes, My yarns; got 'Yarn'"):
        tables.read_stash(book, "Yarn")
    empty = tmp_path / "empty.csv"
    empty.write_bytes(b"")
    with pytest.raises(wf.WeaveError, match="a row of headings, among them one for the name"):
        tables.read_stash(empty)
    with pytest.raises(wf.WeaveError, match="a CSV file, which has no sheets"):
        tables.read_stash(empty, "Yarns")
    units = tmp_path / "units.csv"
    units.write_text("Name,Count,Weighed (stone)\nSnow,8/2 Ne,3\n", "utf-8")
    assert told(tables.read_stash(units)) == [
        ("units.csv", 1, "Weighed (stone)", "column not read"),
        ("units.csv", 2, "Weighed (stone)", "row left out"),
    ]


# Writing

HOSTILE = [
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    "\t=1+1",
    "\r=1+1",
    "\n=1+1",
    " =1+1",
    "＝1+1",
    '=HYPERLINK("x","y")',
]
PLAIN = ["8/2 Ne", "grün, 'quoted' \"twice\"", "two\nlines", "a=b", "", "'tis"]


def test_an_office_opens_what_was_written_and_takes_no_text_for_a_formula(tmp_path: Path) -> None:
    texts = [*HOSTILE, *PLAIN]
    table = pd.DataFrame({"=text": texts, "number": np.arange(len(texts)) - 1.25})
    tables.write_csv(table, tmp_path / "safe.csv")
    # What would have happened: the office must be one that takes such texts for formulas.
    table.to_csv(tmp_path / "bare.csv", index=False)
    with Office() as office:
        files = [office.adopt(tmp_path / name) for name in ("safe.csv", "bare.csv")]
        # Comma, quote, UTF-8: without a screen nobody is asked, and the office would guess the letters.
        as_csv = "--infilter=CSV:44,34,76,1"
        office.run("soffice", "--headless", as_csv, "--convert-to", "xlsx", "--outdir", office.folder, *files)
        safe, bare = (
            list(openpyxl.load_workbook(office.folder / name).active.iter_rows())
            for name in ("safe.xlsx", "bare.xlsx")
        )
        assert any(cell.data_type == "f" for row in bare for cell in row)
        assert not any(cell.data_type == "f" for row in safe for cell in row)
        assert safe[0][0].value == "'=text"
        numbers = [row[1].value for row in safe[1 : len(texts) + 1]]
        assert numbers == table["number"].tolist()
        assert all(row[1].data_type == "n" for row in safe[1 : len(texts) + 1])
        shown = [row[0].value or "" for row in safe[1 : len(texts) + 1]]
        assert shown[len(HOSTILE) :] == PLAIN
        assert all(text.startswith("'") for text in shown[: len(HOSTILE)])


@settings(deadline=None, derandomize=True, max_examples=15)
@given(st.lists(st.text(st.characters(codec="utf-8"), max_size=6), min_size=1, max_size=4))
@example(["=x", "-x", "", "\r"])
def test_no_written_text_begins_like_a_formula(
    tmp_path_factory: pytest.TempPathFactory, texts: list[str]
) -> None:
    file = tmp_path_factory.getbasetemp() / "texts.csv"
    tables.write_csv(pd.DataFrame({"text": pd.Series(texts, dtype=object), "number": -2.5}), file)
    raw = file.read_bytes()
    assert raw.startswith(b"\xef\xbb\xbf")
    read = pd.read_csv(
        file, keep_default_na=False, encoding="utf-8-sig", dtype={"text": str}, lineterminator=None
    )
    assert not any(text.lstrip(" ").startswith(("=", "+", "-", "@", "\t", "\r")) for text in read["text"])
    assert (read["number"] == -2.5).all()


def test_every_table_of_a_result_has_a_file(tmp_path: Path) -> None:
    yarns = pd.DataFrame(
        {
            "name": ["=white", "blue"],
            "yarn": "8/2 Ne",
            "length": [100.5, 20],
            "put_up_length": 50,
            "put_up_price": [3, None],
        }
    )
    result = tables.shopping_list(pd.DataFrame({"name": ["=white", "blue"], "length": [220, 90]}), yarns)
    files = tables.write_tables(result, tmp_path / "out")
    assert [file.name for file in files] == ["list.csv", "totals.csv", "problems.csv"]
    assert {file.name for file in (tmp_path / "out").iterdir()} == {file.name for file in files}
    read = pd.read_csv(files[0], encoding="utf-8-sig")
    assert read["name"].tolist() == ["'=white", "blue"]
    assert read["put_ups"].tolist() == [3, 2]
    assert read["short"].tolist() == [119.5, 70]
    assert np.isnan(read["cost"].iloc[1])
    # Readable by whoever may read other new files here.
    plain = tmp_path / "plain"
    plain.touch()
    assert stat.S_IMODE(files[0].stat().st_mode) == stat.S_IMODE(plain.stat().st_mode)


def test_a_stash_goes_out_and_comes_back(tmp_path: Path) -> None:
    yarns = pd.DataFrame(
        {
            "name": ["=white", "-blue"],
            "yarn": ["8/2 Ne", "74 tex"],
            "lot": ["007", "+1"],
            "length": [100.125, 0.1 + 0.2],
            "put_up_length": [50.0, np.nan],
            "put_up_price": [3.5, np.nan],
        }
    )
    tables.write_csv(yarns, tmp_path / "stash.csv")
    read = tables.read_stash(tmp_path / "stash.csv").yarns
    assert read["name"].tolist() == ["=white", "-blue"]
    for column in ("length", "put_up_length", "put_up_price"):
        pd.testing.assert_series_equal(read[column], yarns[column])
    assert read["lot"].tolist()[1] == "+1"


def test_a_file_that_is_replaced_keeps_its_readers_and_its_links(tmp_path: Path) -> None:
    file, link = tmp_path / "table.csv", tmp_path / "link.csv"
    file.write_text("old", "utf-8")
    file.chmod(0o600)
    link.symlink_to(file)
    modes = []

    class Looks:
        def __str__(self) -> str:
            # While it is written it lies beside the old one, where others could read it.
            modes.extend(stat.S_IMODE(path.stat().st_mode) for path in tmp_path.iterdir())
            return "new"

    tables.write_csv(pd.DataFrame({"x": [Looks()]}), link)
    assert link.is_symlink()
    assert file.read_text("utf-8-sig").splitlines() == ["x", "new"]
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert set(modes) == {0o600}
    assert sorted(path.name for path in tmp_path.iterdir()) == ["link.csv", "table.csv"]


def test_a_file_that_cannot_be_written_leaves_the_old_one(tmp_path: Path) -> None:
    file = tmp_path / "table.csv"
    file.write_text("old", "utf-8")

    class Refuses:
        def __str__(self) -> str:
            raise ValueError("no")

    with pytest.raises(ValueError, match="no"):
        tables.write_csv(pd.DataFrame({"x": [Refuses()]}), file)
    assert file.read_text("utf-8") == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["table.csv"]
