"""The reason behind an error, in plain words."""

from __future__ import annotations

import pytest

import weavefuncs as wf


def test_a_call_that_is_fine_has_no_reason() -> None:
    assert wf.why("twill_angle", 12, 12) == ""
    assert wf.why("twill_angle", 12, [10, 12]) == ""
    assert wf.why("twill_angle", 12, 12, None) == ""


@pytest.mark.parametrize(
    ("arguments", "parts"),
    [
        ((0, 12), ["twill_angle", "sett", "above 0", "got 0"]),
        ((12,), ["weft_sett", "given", "nothing was given"]),
        ((12, None), ["weft_sett", "nothing was given"]),
        ((12, [12, -1]), ["weft_sett", "in row 2", "got -1"]),
        ((1, 2, 3, 4, 5), ["number of arguments", "at most 4", "got 5"]),
    ],
)
def test_the_reason_is_that_of_the_error(arguments, parts) -> None:
    reason = wf.why("twill_angle", *arguments)
    with pytest.raises(wf.WeaveError) as caught:
        wf.twill_angle(*arguments)
    assert reason == str(caught.value)
    for part in parts:
        assert part in reason


@pytest.mark.parametrize("name", ["TWILLANGLE", "WEAVE.TWILLANGLE", "weave_twillangle", " twill_angle "])
def test_any_spelling_of_a_name_will_do(name: str) -> None:
    assert "sett" in wf.why(name, 0, 12)


@pytest.mark.parametrize("name", ["nothing", "why", "WEAVE.WHY", "", None, 7])
def test_no_such_name_and_why_itself_are_refused(name: object) -> None:
    with pytest.raises(wf.WeaveError, match="name"):
        wf.why(name)
