"""Docstrings as declarations: what is read from them."""

from __future__ import annotations

import pytest

from weavefuncs._docstring import Docstring, Entry

TEXT = """Weight of a strand.

    More is told here.

    Parameters
    ----------
    length : number or column [length_unit], > 0, <= 1e9
        Length, in one piece
        or in several.
    unit : {"tex", "m/g", "yd/lb"} or column, default "m/g"
        Unit.
    weave : weave or column
        Weave.
    share : fraction, >= 0, < 0.5, default 0
        Share.
    parts : list of yarns
        Parts.
    *arguments : any
        Others.

    Returns
    -------
    number [g/m2]
        Weight.

    Raises
    ------
    WeaveError
        When a value lies outside its range.

    Notes
    -----
    Valid range: all.

    - - -
    ---
    That was no heading.

    Examples
    --------
    >>> 1 + 1
    2

    References
    ----------
    [EXACT]

    """


@pytest.fixture
def docstring() -> Docstring:
    return Docstring(TEXT)


def test_summary_and_sections(docstring: Docstring) -> None:
    assert docstring.summary == "Weight of a strand."
    sections = ["Parameters", "Returns", "Raises", "Notes", "Examples", "References"]
    assert list(docstring.sections) == sections
    assert docstring.sections["Examples"] == [">>> 1 + 1", "2", ""]
    assert docstring.sections["References"] == ["[EXACT]"]


def test_names_kinds_and_columns(docstring: Docstring) -> None:
    assert [(entry.name, entry.kind, entry.column) for entry in docstring.parameters] == [
        ("length", "number", True),
        ("unit", "choice", True),
        ("weave", "weave", True),
        ("share", "fraction", False),
        ("parts", "list of yarns", False),
        ("*arguments", "any", False),
    ]


def test_units_conditions_choices_and_defaults(docstring: Docstring) -> None:
    length, unit, weave, share, _, _ = docstring.parameters
    assert (length.unit, length.conditions, length.default) == ("length_unit", ["> 0", "<= 1e9"], None)
    assert (unit.choices, unit.default) == (["tex", "m/g", "yd/lb"], '"m/g"')
    assert (weave.unit, weave.conditions, weave.default) == ("", [], None)
    assert (share.conditions, share.default) == ([">= 0", "< 0.5"], "0")


def test_lines_of_a_description_are_joined(docstring: Docstring) -> None:
    assert docstring.parameters[0].description == "Length, in one piece or in several."


def test_the_result(docstring: Docstring) -> None:
    (result,) = docstring.returns
    assert (result.name, result.kind, result.unit, result.description) == ("", "number", "g/m2", "Weight.")


def test_a_rule_in_the_notes_is_no_heading(docstring: Docstring) -> None:
    assert "That was no heading." in docstring.sections["Notes"]


def test_an_argument_without_a_kind_is_refused() -> None:
    with pytest.raises(SyntaxError, match="name : kind"):
        Docstring("A.\n\nParameters\n----------\nwidth\n    Width.\n")


def test_one_line_is_a_docstring() -> None:
    docstring = Docstring("Weight.")
    assert (docstring.summary, docstring.parameters, docstring.returns) == ("Weight.", [], [])


def test_nothing_is_a_docstring_without_anything() -> None:
    docstring = Docstring("")
    assert (docstring.summary, docstring.sections, docstring.parameters) == ("", {}, [])


def test_the_margin_is_that_of_the_line_furthest_out() -> None:
    docstring = Docstring("A.\n\n        Notes\n        -----\n          In.\n\tOut.\n   \n    ")
    assert docstring.sections == {"Notes": ["  In.", "Out."]}
    # Nothing stands further in than the first line, whose own margin does not count.
    assert Docstring("   A. \nNotes\n-----\nB.").summary == "A."
    assert Docstring("   A. \nNotes\n-----\nB.").sections == {"Notes": ["B."]}


def test_the_arguments_may_be_those_of_another_docstring(docstring: Docstring) -> None:
    other = Docstring("A.\n\nParameters\n----------\nThose of the other.\n", docstring.parameters)
    assert other.parameters is docstring.parameters
    assert other.sections == {"Parameters": ["Those of the other."]}


@pytest.mark.parametrize(
    ("type_line", "read"),
    [
        ("number", ("number", False, "", [], [], None)),
        ("number or column", ("number", True, "", [], [], None)),
        ("number or column [ends], > 0", ("number", True, "ends", [], ["> 0"], None)),
        ("number [ends] , > 0,<= 5 , default 3", ("number", False, "ends", [], ["> 0", "<= 5"], "3")),
        ("list of numbers [cm], default  None ", ("list of numbers", False, "cm", [], [], "None")),
        ('{"a", "b c"}', ("choice", False, "", ["a", "b c"], [], None)),
        ('{"a","b c"} or column, default "a"', ("choice", True, "", ["a", "b c"], [], '"a"')),
    ],
)
def test_every_part_of_a_declaration(type_line: str, read: tuple[object, ...]) -> None:
    entry = Entry("given", type_line, "Given.")
    assert (entry.name, entry.description) == ("given", "Given.")
    assert (entry.kind, entry.column, entry.unit, entry.choices, entry.conditions, entry.default) == read


def test_a_text_default_may_hold_a_comma() -> None:
    entry = Entry("order", 'colour order or column, default "8 white, 4 blue"', "")
    assert (entry.kind, entry.column, entry.conditions) == ("colour order", True, [])
    assert entry.default == '"8 white, 4 blue"'
    text = 'A.\n\nParameters\n----------\nsigns : text, default "a : b"\n    Signs.\n'
    (entry,) = Docstring(text).parameters
    assert (entry.name, entry.default) == ("signs", '"a : b"')
