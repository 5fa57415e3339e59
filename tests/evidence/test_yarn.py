"""Published yarn values. Each check names its source key; the tolerance is the rounding of the print."""

import pytest

import weavefuncs as wf
from weavefuncs._yarn_text import parse_yarn


def in_tex(value):
    return f"{value!r} tex"


@pytest.mark.parametrize(
    ("system", "constant", "half_digit"),
    [
        # UNITS (seen); cotton also PINT
        ("Ne", 590.5412474, 5e-8),
        ("worsted", 885.8118712, 5e-8),
        ("lea", 1653.515493, 5e-7),
        ("run", 310.0341549, 5e-8),
        ("cut", 1653.515493, 5e-7),
        ("Nm", 1000, 5e-8),
        ("typp", 496.0546479, 5e-8),
        # 1536 yd in 6 lb seen; the constant computed from it
        ("skein", 1937.713468, 5e-7),
        # seen in TAYLOR
        ("spun silk", 590.5412474, 5e-8),
    ],
)
def test_indirect_constants(system, constant, half_digit):
    assert wf.tex(f"1 {system}") == pytest.approx(constant, abs=half_digit)
    assert wf.tex(f"20 {system}") == pytest.approx(constant / 20, abs=half_digit)


@pytest.mark.parametrize(
    ("system", "tex", "half_digit"),
    [
        ("dtex", 0.1, 1e-12),  # PINT (seen)
        ("denier", 1 / 9, 1e-12),  # PINT, UNITS (seen)
        ("drex", 0.1, 1e-12),  # UNITS (seen)
        ("jute", 34.44823943, 5e-9),  # PINT (seen)
    ],
)
def test_direct_constants(system, tex, half_digit):
    assert wf.tex(f"1 {system}") == pytest.approx(tex, abs=half_digit)
    assert wf.tex(f"8 {system}") == pytest.approx(8 * tex, abs=8 * half_digit)


@pytest.mark.parametrize(
    ("system", "yards"),
    [
        ("Ne", 840),
        ("worsted", 560),
        ("lea", 300),
        ("run", 1600),
        ("cut", 300),
        ("skein", 256),
        ("spun silk", 840),
    ],
)
def test_yards_in_a_pound_of_number_one(system, yards):
    # UNITS, TAYLOR (seen); skein from 1536 yd in 6 lb
    assert wf.yarn_length(1, f"1 {system}", "lb", "yd") == pytest.approx(yards, rel=1e-12)


def test_20s_cotton_is_30s_worsted():
    # seen in BROOKS
    assert wf.count("20s cotton", "worsted") == pytest.approx(30, rel=1e-12)


def test_cotton_times_denier():
    # Computed from exact definitions; printed 5315
    assert wf.count("1 Ne", "denier") == pytest.approx(5314.871, abs=5e-4)
    assert wf.count("1 Ne", "denier") == pytest.approx(5315, abs=0.5)


def test_metric_and_cotton():
    # Computed from exact definitions: Nm = 1.693362 Ne
    assert wf.count("1 Ne", "Nm") == pytest.approx(1.693362, abs=5e-7)


@pytest.mark.parametrize(("grains", "count"), [(25, 40), (20, 50)])
def test_a_lea_by_its_grains(grains, count):
    # BROOKS 25 grains, TAYLOR 20 grains (seen): a lea of 120 yd; 7000 grains are a pound
    assert wf.yarn_length(grains / 7000, f"{count} Ne", "lb", "yd") == pytest.approx(120, rel=1e-12)
    assert wf.yarn_mass(120, f"{count}s cotton", "yd", "lb") * 7000 == pytest.approx(grains, rel=1e-12)


@pytest.mark.parametrize(
    ("strands", "count"),
    [
        (["60 Ne", "40 Ne"], 24),  # seen in TAYLOR
        (["40 Ne", "20 Ne"], 13 + 1 / 3),  # seen in BROOKS
        (["300 Ne"] * 3, 100),  # seen in BROOKS
    ],
)
def test_strands_twisted_together(strands, count):
    assert wf.count(in_tex(wf.plied(strands)), "Ne") == pytest.approx(count, rel=1e-12)


def test_plied_counts():
    # BROOKS (seen): 3/300s = 100s
    assert wf.count("3/300s Ne", "Ne") == pytest.approx(100, rel=1e-12)
    # TAYLOR (seen): 2/40s cotton is 20 hanks a pound, spun silk 40/2 already means 40
    assert wf.yarn_length(1, "2/40s cotton", "lb", "yd") / 840 == pytest.approx(20, rel=1e-12)
    assert wf.yarn_length(1, "40/2 spun silk", "lb", "yd") / 840 == pytest.approx(40, rel=1e-12)


@pytest.mark.parametrize(("text", "yards"), [("8/2 Ne", 3360), ("5/2 Ne", 2100)])
def test_yards_in_a_pound_of_plied_cotton(text, yards):
    # Computed: 840 × count / ply
    assert wf.count(text, "yd/lb") == pytest.approx(yards, rel=1e-12)


def test_a_yarn_one_sixth_heavier():
    # Seen (Diameter, sett): 20s made one-sixth heavier, weights as the square, needs 14.69s
    heavier = parse_yarn("yarn", "20 Ne").write(wf.tex("20 Ne") * (7 / 6) ** 2)
    assert wf.count(heavier, "Ne") == pytest.approx(14.69, abs=0.005)


@pytest.mark.parametrize(("count", "diameters"), [(15, 106.5), (32, 156), (60, 213)])
def test_taylors_threads_an_inch(count, diameters):
    # TAYLOR (seen), constant 0.95, within 0.2 %
    assert wf.yarn_diameters(f"{count} Ne", 0.95) == pytest.approx(diameters, rel=0.002)


def test_diameters_of_8_2_cotton():
    # ASHENHURST (seen): 0.9 √3360 = 52.17, printed 52
    assert wf.yarn_diameters("8/2 Ne") == pytest.approx(52.17, abs=0.005)


@pytest.mark.parametrize("count", [10, 36, 60])
def test_peirces_diameters(count):
    # PEIRCE: 28 √Ne rewritten as 0.966 √(yd/lb) (computed, three digits)
    assert wf.yarn_diameters(f"{count} Ne", 0.966) == pytest.approx(28 * count**0.5, rel=0.0005 / 0.966)


def test_diameter_of_36s_cotton():
    # GATE2007 (seen): 1/168 in, Peirce's specific volume 1.1
    assert 25.4 / wf.yarn_diameter("36 Ne") == pytest.approx(168, abs=0.5)


def test_diameter_of_30_tex():
    # GATE2008 (seen): 30 tex at 1.54 g/cm³ is 0.0196 cm, from 4.44e-3 √(tex/ρ) cm. That constant is a
    # round yarn (3.568e-3 √(tex × volume)) whose fibres fill 64.6 % of it.
    volume = (4.44e-3 / (4e-5 / 3.141592653589793) ** 0.5) ** 2 / 1.54
    assert wf.yarn_diameter("30 tex", volume) / 10 == pytest.approx(0.0196, abs=0.00005)


def test_warp_and_weft_of_a_cotton_piece():
    # BROOKS (seen): 2280 ends × 38 yd of 30s weigh 3.438 lb, in 103 1/7 hanks
    assert wf.yarn_mass(2280 * 38, "30 Ne", "yd", "lb") == pytest.approx(3.438, abs=0.0005)
    # BROOKS (seen): 37.5 in × 64 picks × 36 yd of 36s weigh 2.857 lb
    assert wf.yarn_mass(37.5 * 64 * 36 * 36, "36 Ne", "in", "lb") == pytest.approx(2.857, abs=0.0005)


@pytest.mark.parametrize(
    ("wraps", "names"),
    [(10, "medium"), (16, "super fine, fine"), (35, "lace"), (7, "bulky"), (3, "jumbo")],
)
def test_standard_yarn_weights(wraps, names):
    # MEMORY: the only check of these ranges; no source was read
    assert wf.yarn_weight_class(wraps) == names
