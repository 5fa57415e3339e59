"""The command ``fit``: the plans of a whole piece, printed."""

from __future__ import annotations

import inspect

import pytest

import weavefuncs as wf
from weavefuncs.addin import cli

WALL = ["42", "70", "2/2 twill", "--dents", "4", "--spaced-by", "pegs", "--sett", "4", "--weft-sett", "4.5"]


@pytest.fixture
def printed(capsys):
    def run(*arguments: str) -> list[str]:
        assert cli.main(["fit", *arguments]) == 0
        shown = capsys.readouterr()
        assert shown.err == ""
        return shown.out.splitlines()

    return run


@pytest.fixture
def refused(capsys):
    def run(*arguments: str) -> str:
        assert cli.main(["fit", *arguments]) == 2
        shown = capsys.readouterr()
        assert shown.out == ""
        return shown.err

    return run


def test_it_prints_what_the_function_gives_with_its_reasons(printed) -> None:
    lines = printed(*WALL, "--reversals", "9,9", "--parity", "odd", "--plans", "3")
    plans = wf.fit_piece(42, 70, "2/2 twill", 4, 4, 4.5, "9,9", parity="odd", spaced_by="pegs", plans=3)
    assert len(lines) == 1 + 2 * len(plans) + 3
    # Yarn in centimetres where the setts are per centimetre: that must be said.
    assert "yarn are in the unit that the setts are per" in lines[-1]
    heading = lines[0]
    for number, plan in enumerate(plans):
        line, why = lines[1 + 2 * number], lines[2 + 2 * number]
        assert line.startswith(f"{number + 1}.")
        assert why.strip() == plan[-1]
        # Numbers stand below the end of their heading.
        for name, value in (("ends", plan[4]), ("rows", plan[8]), ("legs", plan[7]), ("rows a leg", plan[6])):
            end = heading.index(f"  {name} ") + 2 + len(name)
            assert line[:end].split()[-1] == str(value)
        assert "not caught" in line


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ([], "Yarn without take-up, loom waste and slack: none was given."),
        (["--slack", "0.05"], "Yarn without take-up and loom waste: none was given."),
        (["--take-up", "0.1", "--unwoven", "10"], "Yarn without slack: none was given."),
        # A warp of a frame is as long as the frame, whatever it takes up.
        (["--frame-length", "200"], "Yarn without slack: none was given."),
        (["--frame-length", "200", "--slack", "0.05"], None),
        (["--take-up", "0.1", "--slack", "0.05", "--unwoven", "10"], None),
    ],
)
def test_what_the_yarn_is_without_is_told(printed, given, told) -> None:
    lines = printed(*WALL, "--reversals", "9,9", *given)
    assert [line for line in lines if line.startswith("Yarn without")] == ([told] if told else [])
    assert [bool(line) for line in lines[-3:]] == ([False, True, True] if told else [True, False, True])


def test_columns_without_a_value_are_left_out(printed) -> None:
    heading = printed("10", "10", "plain", "--dents", "10", "--sett", "10")[0]
    assert not any(name in heading for name in ("legs", "rows a leg", "stash"))
    assert "stash" in printed("10", "10", "plain", "--dents", "10", "--sett", "10", "--warp-free", "9")[0]


def test_the_sett_by_rule_is_that_of_the_function(printed) -> None:
    yarns = ["--warp", "8/2 Ne", "--weft", "16/2 Ne"]
    first = printed("10", "10", "plain", "--dents", "12", *yarns)[0]
    assert first.startswith(
        f"sett by rule: {wf.sett_for_yarns('8/2 Ne', '16/2 Ne', 'plain', 0.9, 0.75):.4g} ends"
    )
    first = printed("10", "10", "plain", "--dents", "5", *yarns, "--per", "cm")[0]
    assert "ends per cm" in first


def test_a_grid_and_switches_are_taken(printed) -> None:
    lines = printed("10", "10", "1100/0110/0011/1001", "--dents", "10", "--sett", "10", "--floating-selvedge")
    assert "floating selvedge" in lines[1]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["42", "70", "plain", "--dents", "4"], "give --sett, or both --warp and --weft"),
        (
            ["42", "70", "plain", "--dents", "4", "--warp", "8", "--weft", "8/2 Ne"],
            "SETTFORYARNS: warp must be",
        ),
        (["42", "0", "plain", "--dents", "4", "--sett", "4"], "FITPIECE: length must be"),
        ([*WALL, "--repeat", "500"], "width tolerance must be wide enough"),
        ([*WALL, "--take-up", "10"], "10 % is 0.10"),
        (["8", "68", "plain", "--dents", "12", "--sett", "5"], "sley must be given (no order of at most 4"),
    ],
)
def test_what_is_refused_is_said_in_plain_words(refused, arguments, words) -> None:
    assert words in refused(*arguments)


def test_help_names_every_argument_of_the_function(capsys) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(["fit", "--help"])
    assert ended.value.code == 0
    shown = capsys.readouterr().out
    for name in inspect.signature(wf.fit_piece).parameters:
        placed = name in ("width", "length", "weave")
        assert (name.upper() if placed else f"--{name.replace('_', '-')} ") in shown.replace("]", " "), name
    words = " ".join(shown.split())
    assert "Warp take-up, as a fraction of the warp's length. (0)" in words
    assert "Plans to give. (5)" in words
