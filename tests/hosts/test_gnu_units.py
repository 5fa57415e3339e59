"""GNU units, the program, against every yarn system that both know (source key UNITS)."""

import os
import shutil
import subprocess

import pytest

import weavefuncs as wf

# our system, its name there, whether a higher number is a finer yarn
SYSTEMS = [
    ("Ne", "cottonyarncount", True),
    ("worsted", "worstedyarncount", True),
    ("lea", "linenyarncount", True),
    ("run", "woolyarnrun", True),
    ("cut", "yarncut", True),
    ("Nm", "metricyarncount", True),
    ("typp", "typp", True),
    ("tex", "tex", False),
    ("dtex", "decitex", False),
    ("drex", "drex", False),
    ("denier", "denier", False),
]


def gnu_units(have, want, home):
    program = shutil.which("units")
    assert program, "this test runs the program units: install the package units"
    done = subprocess.run(
        [program, "--terse", "--digits", "15", have, want],
        env={"PATH": os.environ["PATH"], "LC_ALL": "C", "HOME": str(home)},
        capture_output=True,
        text=True,
        timeout=30,
        check=True,
    )
    return float(done.stdout)


@pytest.mark.parametrize(("system", "name", "indirect"), SYSTEMS)
def test_a_system(system, name, indirect, tmp_path):
    for number in (1, 8, 24.5):
        have = f"1/({number} {name})" if indirect else f"{number} {name}"
        assert wf.tex(f"{number} {system}") == pytest.approx(gnu_units(have, "tex", tmp_path), rel=1e-6)


def test_definitions_of_systems_it_has_no_name_for(tmp_path):
    # EVIDENCE: skein 1536 yd in 6 lb, spun silk 840 yd in a pound, jute pounds in 14,400 yd
    for text, have in (
        ("30 skein", "1/(30 * 1536 yard / (6 pound))"),
        ("40/2 spun silk", "1/(40 * 840 yard / pound)"),
        ("8 jute", "8 pound / (14400 yard)"),
    ):
        assert wf.tex(text) == pytest.approx(gnu_units(have, "tex", tmp_path), rel=1e-6)


@pytest.mark.parametrize(
    ("text", "have"),
    [
        ("3360 yd/lb", "1/(3360 yard/pound)"),
        ("400 m/100 g", "1/(400 m/(100 g))"),
        ("300 yd/4 oz", "1/(300 yard/(4 ounce))"),
        ("1.2 m/g", "1/(1.2 m/g)"),
        ("2 km/kg", "1/(2 km/kg)"),
        ("900 ft/0.5 lb", "1/(900 ft/(0.5 pound))"),
    ],
)
def test_length_per_mass(text, have, tmp_path):
    assert wf.tex(text) == pytest.approx(gnu_units(have, "tex", tmp_path), rel=1e-6)
