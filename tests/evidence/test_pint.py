"""pint's Textile group against every yarn system that both know (source key PINT)."""

import pint
import pytest

import weavefuncs as wf

# our spelling, pint's name, whether a higher number is a finer yarn
SYSTEMS = [
    ("tex", "tex", False),
    ("dtex", "dtex", False),
    ("denier", "denier", False),
    ("den", "den", False),
    ("jute", "jute", False),
    ("aberdeen", "aberdeen", False),
    ("Ne", "number_english", True),
    ("NeC", "NeC", True),
    ("ECC", "ECC", True),
    ("Nm", "number_meter", True),
]


@pytest.fixture(scope="module")
def registry():
    return pint.UnitRegistry()


@pytest.mark.parametrize(("system", "name", "indirect"), SYSTEMS)
def test_a_system(system, name, indirect, registry):
    for number in (1, 8, 24.5):
        quantity = registry.Quantity(number, name)
        tex = (1 / quantity if indirect else quantity).to("tex").magnitude
        assert wf.tex(f"{number} {system}") == pytest.approx(tex, rel=1e-6)
        assert wf.count(f"{tex!r} tex", system) == pytest.approx(number, rel=1e-6)


@pytest.mark.parametrize(
    ("text", "length", "mass"),
    [
        ("3360 yd/lb", "3360 yard", "1 pound"),
        ("400 m/100 g", "400 meter", "100 gram"),
        ("300 yd/4 oz", "300 yard", "4 ounce"),
        ("1200 in/oz", "1200 inch", "1 ounce"),
    ],
)
def test_length_per_mass(text, length, mass, registry):
    tex = (registry(mass) / registry(length)).to("tex").magnitude
    assert wf.tex(text) == pytest.approx(tex, rel=1e-6)
