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
    """


@pytest.fixture
def docstring() -> Docstring:
    return Docstring(TEXT)


def test_summary_and_sections(docstring: Docstring) -> None:
    assert docstring.summary == "Weight of a strand."
    assert list(docstring.sections) == ["Parameters", "Returns", "Notes", "Examples"]
    assert docstring.sections["Examples"] == [">>> 1 + 1", "2"]


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


def test_a_text_default_may_hold_a_comma() -> None:
    entry = Entry("order", 'colour order or column, default "8 white, 4 blue"', "")
    assert (entry.kind, entry.column, entry.conditions) == ("colour order", True, [])
    assert entry.default == '"8 white, 4 blue"'
