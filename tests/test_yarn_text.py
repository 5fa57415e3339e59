"""What a yarn text may look like, and what is refused and why."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from weavefuncs._yarn_text import SYSTEMS, System, parse_system, parse_tex, parse_yarn, plain_decimal
from weavefuncs.errors import WeaveError
from weavefuncs.shared.yarn_systems import YARN_SPELLINGS

# Exact: 1 lb = 453.59237 g, 1 yd = 0.9144 m.
YARD_PER_POUND = 453592.37 / 0.9144
COTTON = YARD_PER_POUND / 840

quick = settings(deadline=None, derandomize=True)


def tex(text):
    return parse_tex("yarn", text)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # the examples of the catalogue, each by its definition
        ("8/2 Ne", COTTON * 2 / 8),
        ("2/24 worsted", YARD_PER_POUND / 560 * 2 / 24),
        ("16/2 Nm", 1000 * 2 / 16),
        ("40/2 lea", YARD_PER_POUND / 300 * 2 / 40),
        ("40/2 spun silk", COTTON / 40),
        ("20 Ne", COTTON / 20),
        ("3360 yd/lb", YARD_PER_POUND / 3360),
        ("400 m/100 g", 250),
        ("1.2 m/g", 1000 / 1.2),
        ("74 tex", 74),
        ("120 denier", 120 / 9),
        ("2 run", YARD_PER_POUND / 1600 / 2),
        ("12 cut", YARD_PER_POUND / 300 / 12),
        ("30 skein", YARD_PER_POUND / 256 / 30),
        ("8 jute", 8 * YARD_PER_POUND / 14400),
        ("2 Ne x 3", COTTON * 3 / 2),
        ("20 tex x 3", 60),
        ("20s Ne", COTTON / 20),
        ("740 dtex", 74),
        ("740 drex", 74),
        ("3.36 typp", YARD_PER_POUND / 3360),
    ],
)
def test_texts_of_the_catalogue(text, expected):
    assert tex(text) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "same"),
    [
        ("2/8 Ne", "8/2 Ne"),
        ("8/2ne", "8/2 Ne"),
        ("  8 / 2   NE ", "8/2 Ne"),
        ("8/2 NeC", "8/2 Ne"),
        ("8/2 cotton", "8/2 Ne"),
        # 300 yd in a pound to the lea, 560 to the hank of worsted.
        ("16/2 NeL", "2400 yd/lb"),
        ("NeL 16/2", "2400 yd/lb"),
        ("2/24 NeK", "6720 yd/lb"),
        ("Ne 8/2", "8/2 Ne"),
        ("8/2s cotton", "8/2 Ne"),
        ("20's Ne", "20 Ne"),
        ("20’s Ne", "20 Ne"),
        ("20s/2 cotton", "20/2 Ne"),
        ("16/2 linen", "16/2 lea"),
        ("2/24s Worsted", "2/24 worsted"),
        ("2/40 spun silk", "40 spun silk"),
        ("40 Spun  Silk", "40 spun silk"),
        ("7,5/2 Nm", "7.5/2 Nm"),
        ("2/7.5 Nm", "7.5/2 Nm"),
        ("0,125 m/g", "0.125 m/g"),
        (".5 m/g", "0.5 m/g"),
        ("30 skeins", "30 Yorkshire skein"),
        ("2 runs", "2 woollen run"),
        ("120 den", "120 denier"),
        ("120 deniers", "120 denier"),
        ("3360 yards per pound", "3360 yd/lb"),
        ("3360 ypp", "3360 yd/lb"),
        ("3360 yds/lbs", "3360 yd/lb"),
        ("3360 yd./lb.", "3360 yd/lb"),
        ("400m/100g", "400 m/100 g"),
        ("400 metres per 100 grams", "400 m/100 g"),
        ("4 km/kg", "400 m/100 g"),
        ("210 yd/1 oz", "3360 yd/lb"),
        ("840 yd/4 oz", "3360 yd/lb"),
        ("2 Ne×3", "2 Ne x 3"),
        ("2 Ne*3", "2 Ne x 3"),
        ("400 m/100 g x 2", "200 m/100 g"),
        ("8/2 Ne x 2", "4/2 Ne"),
        ("1/8 Ne", "8 Ne"),
        ("2/2 Ne", "1 Ne"),
        # the only whole number is the ply, though it is the larger
        ("2.5/3 Nm", "2.5 Nm x 3"),
        ("3/2.5 Nm", "2.5 Nm x 3"),
        ("18/12.5 Nm", "12.5 Nm x 18"),
        # a ply below 10, numbers alike, and a number that is no ply
        ("18/9 Ne", "2 Ne"),
        ("9/18 Ne", "2 Ne"),
        ("12/12 Ne", "1 Ne"),
        ("101/10 Ne", "10.1 Ne"),
    ],
)
def test_spellings_of_one_yarn(text, same):
    assert tex(text) == pytest.approx(tex(same), rel=1e-12)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "no number"),
        ("Ne", "no number"),
        ("3360", "bare number"),
        ("8/2", "bare number"),
        ("20s", "bare number"),
        ("0 Ne", "above 0"),
        ("8/0 Ne", "above 0"),
        ("2 Ne x 0", "above 0"),
        ("0.000 m/g", "above 0"),
        ("400 m/0 g", "above 0"),
        ("40/2 silk", "bare silk"),
        ("2 woollen", "bare woollen"),
        ("150/48 denier", "filaments"),
        ("40/2 tex", "filaments"),
        ("8/2 jute", "filaments"),
        ("8/2 m/g", "no ply"),
        ("8/2 wolf", "no system"),
        ("8/2 x Ne", "no system"),
        ("3 x 2 Ne", "no system"),
        ("2.5/7.5 Nm", "whole ply"),
        ("2 Ne x 2.5", "whole number"),
        ("2 Ne x 101", "whole number"),
        ("400/20 Ne x 20", "together"),
        ("8/2/2 Ne", "one count"),
        ("13 1/3 Ne", "one count"),
        ("8 2 Ne", "one count"),
        ("/8 Ne", "one count"),
        ("3,360 yd/lb", "3360 or 3.36;"),
        ("3 360 yd/lb", "one count"),
        ("1.2.3 Ne", "not a number"),
        (". Ne", "not a number"),
        ("1e3 m/g", "no unit of length"),
        ("-8 Ne", "no number"),
        ("400 m/100 ml", "no unit of mass"),
        ("400 l/100 g", "no unit of length"),
        ("100 g/400 m", "no unit of length"),
        ("400 m/", "no unit of mass"),
        ("400 m/1e9 g", "no unit of mass"),
        ("400 m/2000000 g", "mass of a put-up"),
        ("Ne 8 cotton", "before or after"),
        ("60000000 Ne", "0.01 to 1,000,000 tex"),
        ("2000000 tex", "0.01 to 1,000,000 tex"),
        ("²/8 Ne", "no number"),
        ("８/２ Ne", "no number"),
        ("inf Ne", "no number"),
        ("8'2 Ne", "no system"),
    ],
)
def test_refused_with_the_reason_and_the_systems(text, reason):
    with pytest.raises(WeaveError, match=reason) as caught:
        parse_yarn("warp", text)
    message = str(caught.value)
    assert message.startswith("warp must be a yarn with its system")
    for name in SYSTEMS:
        assert name in message
    assert caught.value.received == text


@pytest.mark.parametrize("value", [3360, 8.2, True, None, ["8/2 Ne"], b"8/2 Ne"])
def test_only_texts(value):
    with pytest.raises(WeaveError, match="systems: Ne, worsted"):
        parse_yarn("yarn", value)
    with pytest.raises(WeaveError, match="systems: Ne, worsted"):
        parse_system("system", value)


def test_a_text_too_long():
    with pytest.raises(WeaveError, match="at most 100 characters"):
        tex("8/2 Ne" + " " * 100)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("8/2 Ne" + " " * 94, COTTON * 2 / 8),  # 100 characters
        ("800/100 Ne", COTTON / 8),
        ("2 Ne x 100", COTTON * 50),
        ("400/20 Ne x 5", COTTON / 4),
        ("2000 m/1000000 g", 500_000),
        ("100 m/0.001 g", 0.01),
        ("3,36 m/g", 1000 / 3.36),
        ("0,125 m/g", 8000),
        ("1234,567 m/g", 1000 / 1234.567),
        ("1234.567 m/g", 1000 / 1234.567),
        ("0.125 m/g", 8000),
        (".125 m/g", 8000),
        ("1.1250 m/g", 1000 / 1.125),
        ("1.68 m/g", 1000 / 1.68),
        ("1680 m/kg", 1e6 / 1680),
        # What counts hanks is never in the thousands.
        ("7.125 Ne", COTTON / 7.125),
        ("3.360 typp", YARD_PER_POUND / 3360),
        ("1.125 tex", 1.125),
    ],
    ids=lambda value: str(value)[:12],
)
def test_the_last_values_that_are_taken(text, expected):
    assert tex(text) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("800/101 Ne", "its ply must be a whole number up to 100 ("),
        ("400/20 Ne x 6", "its plies and strands together must be at most 100 ("),
        ("12/18 Ne", "12/18 may be 12 Ne x 18 or 18 Ne x 12: write which ("),
        ("24/12 cotton", "24/12 may be 24 Ne x 12 or 12 Ne x 24: write which ("),
        ("11/10 Nm", "11/10 may be 11 Nm x 10 or 10 Nm x 11: write which ("),
        ("100/99 lea", "100/99 may be 100 lea x 99 or 99 lea x 100: write which ("),
        # The number of spun silk counts the plies already.
        ("40/12 spun silk", "40/12 may be 40 spun silk or 12 spun silk: write which ("),
        ("400 m/1000001 g", "the mass of a put-up must be from 0.001 to 1,000,000 ("),
        ("100 m/0.0009 g", "the mass of a put-up must be from 0.001 to 1,000,000 ("),
        ("12,345 Nm", "12,345 may mean 12345 or 12.345; write one of these ("),
        ("12,345 m/g", "12,345 may mean 12345 or 12.3450; write one of these ("),
        # Where a comma parts decimals a point parts thousands.
        ("1.680 m/kg", "1.680 may mean 1680 or 1.68; write one of these ("),
        ("1.500 ypp", "1.500 may mean 1500 or 1.5; write one of these ("),
        ("3.000 yards per pound", "3.000 may mean 3000 or 3; write one of these ("),
        ("400 m/1.250 g", "1.250 may mean 1250 or 1.25; write one of these ("),
        ("012.345 m/g", "012.345 may mean 012345 or 12.3450; write one of these ("),
        ("150/48 denier", "write strands as 20 denier x 3 ("),
        ("8/2 wolf", "wolf is no system known here ("),
        ("123,456 m/g", "123,456 may mean 123456 or 123.4560; write one of these ("),
        ("1,2,345 m/g", "1,2,345 is not a number ("),
        ("1.2,345 m/g", "1.2,345 is not a number ("),
        ("x 3", "x is no system known here ("),
        ("8 x 3", "a bare number could be of any system ("),
        ("400 square m/100 g", "square m is no unit of length ("),
        ("400 m/100 ml", "ml is no unit of mass (g, "),
        ("400 m/", "nothing is no unit of mass (g, "),
        ("400 l/100 g", "l is no unit of length ("),
        ("2000000 tex", "it must be from 0.01 to 1,000,000 tex ("),
    ],
)
def test_what_is_wrong_with_a_yarn_is_told(text, told):
    with pytest.raises(WeaveError) as caught:
        parse_yarn("warp", text)
    assert str(caught.value).startswith("warp must be a yarn with its system, such as 8/2 Ne: ")
    assert told in str(caught.value)


def test_what_is_no_text_is_told():
    with pytest.raises(WeaveError) as caught:
        parse_yarn("warp", 7)
    told = str(caught.value)
    assert told.startswith("warp must be a yarn with its system, such as 8/2 Ne (systems: Ne, worsted, ")
    assert told.endswith("; got 7")


def test_every_spelling_is_read_in_the_plural_too():
    for spelling, name in YARN_SPELLINGS.items():
        assert parse_system("to", spelling).name == parse_system("to", f"{spelling.upper()}s").name == name


def test_a_system_of_ones_own():
    heavy, light = System("denier", True, 1 / 9), System("spun silk", False, 600.0)
    assert (heavy.direct, heavy.folded, heavy.tex(9), heavy.number(1)) == (True, False, 1, 9)
    assert (light.direct, light.folded, light.tex(6), light.number(100)) == (False, True, 100, 6)


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (8.0, "8"),
        (2.5, "2.5"),
        (1e16, "10000000000000000"),
        (2.5e17, "250000000000000000"),
        # A power of two has an end.
        (2.0**-20, "0.00000095367431640625"),
    ],
)
def test_plain_decimals(number, text):
    assert plain_decimal(number) == text


def test_what_is_wrong_with_a_system_is_told():
    with pytest.raises(WeaveError) as caught:
        parse_system("to", "")
    assert str(caught.value).startswith(
        "to must be a yarn system, such as Ne: it names none (systems: Ne, worsted"
    )
    assert str(caught.value).endswith(", or any length per mass such as yd/lb or m/100 g); got ''")
    with pytest.raises(WeaveError) as caught:
        parse_system("to", 7)
    assert str(caught.value).startswith("to must be a yarn system, such as Ne (systems: Ne, worsted, ")
    assert caught.value.received == 7
    with pytest.raises(
        WeaveError, match="to must be a yarn system, such as Ne, in at most 100 characters; got"
    ):
        parse_system("to", "Ne" + " " * 99)
    assert parse_system("to", "Ne" + " " * 98).name == "Ne"


def test_a_yarn_as_it_was_written():
    yarn = parse_yarn("yarn", "16/2 Nm x 3")
    assert (yarn.ply, yarn.strands, yarn.system.name, yarn.system.put_up) == (2, 3, "Nm", False)
    yarn = parse_yarn("yarn", "400 m/100 g")
    assert (yarn.ply, yarn.strands, yarn.system.name, yarn.system.put_up) == (1, 1, "m/100 g", True)


def test_the_lightest_and_the_heaviest_yarn_are_written():
    yarn = parse_yarn("yarn", "1 tex")
    assert (yarn.write(0.01), yarn.write(1e6)) == ("0.01 tex", "1000000 tex")
    # As many plies as the count says: either of the two numbers is the ply.
    assert parse_yarn("yarn", "8/4 Ne").write(tex("4/4 Ne")) == "4/4 Ne"


def test_the_edges_of_the_range():
    assert tex("0.01 tex") == 0.01
    assert tex("1000000 tex") == 1e6
    for text in ("0.00999 tex", "1000001 tex"):
        with pytest.raises(WeaveError, match=r"0\.01 to 1,000,000 tex"):
            tex(text)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("NEC", "Ne"),
        ("linen", "lea"),
        ("denier", "denier"),
        ("yards per pound", "yd/lb"),
        ("ypp", "yd/lb"),
        ("m/100g", "m/100 g"),
        ("yd per 4 oz", "yd/4 oz"),
        ("m/1.1250 kg", "m/1.1250 kg"),
    ],
)
def test_systems(text, name):
    system = parse_system("system", text)
    assert system.name == name
    assert parse_system("system", system.name).one == system.one


@pytest.mark.parametrize("text", ["silk", "", "8/2 Ne", "8 m/g", "Ne x 3", "m/l", "/", "furlong"])
def test_systems_refused(text):
    with pytest.raises(WeaveError, match="system must be a yarn system") as caught:
        parse_system("system", text)
    assert "m/100 g" in str(caught.value)


numbers = st.floats(0.3, 900).map(lambda number: float(f"{number:.6g}"))
texs = st.floats(0.02, 9e5)


@st.composite
def yarn_texts(draw):
    """Draw any plied or written-out yarn that the grammar admits."""
    name = draw(st.sampled_from([*SYSTEMS, "yd/lb", "m/100 g", "km/0.5 lb"]))
    system = parse_system("system", name)
    number = plain_decimal(draw(numbers))
    ply = draw(st.integers(1, 12))
    strands = draw(st.integers(1, 8))
    slash = "" if system.direct or system.put_up else f"/{ply}"
    return f"{number}{slash} {name}" + (f" x {strands}" if strands > 1 else "")


def within_range(text):
    try:
        parse_yarn("yarn", text)
    except WeaveError:
        return False
    return True


@quick
@given(yarn_texts().filter(within_range), texs)
def test_what_is_written_reads_the_same(text, heavier):
    yarn = parse_yarn("yarn", text)
    for wanted in (yarn.tex, heavier):
        written = parse_yarn("yarn", yarn.write(wanted))
        assert written.tex == pytest.approx(wanted, rel=1e-12)
        assert written.system.name == yarn.system.name


@quick
@given(texs)
def test_writing_keeps_ply_and_strands(wanted):
    assert parse_yarn("yarn", "8/2 Ne").write(tex("16/2 Ne")) == "16/2 Ne"
    assert parse_yarn("yarn", "20 tex x 3").write(90) == "30 tex x 3"
    assert parse_yarn("yarn", "400 m/100 g").write(125) == "800 m/100 g"
    assert " tex x 3" in parse_yarn("yarn", "20 tex x 3").write(wanted)


def test_a_count_beside_its_ply_may_have_three_decimals():
    # In a length per mass its point might part thousands.
    assert tex("8.125/2 Ne") == pytest.approx(2 * tex("8.125 Ne"), rel=1e-12)


def test_writing_a_count_below_its_ply_writes_it_out():
    assert parse_yarn("yarn", "8/4 Ne").write(tex("2 Ne x 4")) == "2 Ne x 4"


@pytest.mark.parametrize(
    ("text", "wanted", "written"),
    [
        ("12/12 Ne", "18 Ne x 12", "18 Ne x 12"),
        ("12/12 Ne", "12 Ne x 12", "12/12 Ne"),
        ("12/12 Ne x 2", "18 Ne x 24", "18 Ne x 24"),
        ("12.5/12 Ne", "18 Ne x 12", "18 Ne x 12"),
        ("12/12 Ne", "101 Ne x 12", "101/12 Ne"),
        ("12/12 spun silk x 2", "18 spun silk x 2", "18 spun silk x 2"),
    ],
)
def test_writing_leaves_no_doubt_which_number_is_the_ply(text, wanted, written):
    assert parse_yarn("yarn", text).write(tex(wanted)) == written


def test_three_decimals_are_written_so_that_they_are_not_asked_back():
    assert parse_yarn("yarn", "400 m/100 g").write(1e5 / 1.125) == "1.1250 m/100 g"
    assert parse_yarn("yarn", "8 Ne").write(tex("1.125 Ne")) == "1.125 Ne"
    assert parse_system("to", "m/1.1250 kg").name == "m/1.1250 kg"


@pytest.mark.parametrize("wanted", [0.001, 2e6, 0.0, float("nan")])
def test_writing_a_yarn_that_cannot_be(wanted):
    with pytest.raises(WeaveError, match=r"the resulting yarn must be from 0\.01 to 1,000,000 tex; got"):
        parse_yarn("yarn", "8/2 Ne").write(wanted)


@quick
@given(st.sampled_from(sorted(SYSTEMS)), texs)
def test_number_and_tex_return(name, wanted):
    system = SYSTEMS[name]
    assert system.tex(system.number(wanted)) == pytest.approx(wanted, rel=1e-12)


@quick
@given(st.floats(1e-9, 1e17))
def test_decimals_read_back_exactly(number):
    text = plain_decimal(number)
    assert float(text) == number
    assert set(text) <= set("0123456789.")


@quick
@given(st.text(alphabet="0123456789/.,' sxNelmgtydb²½-", max_size=14))
def test_any_text_is_read_or_refused(text):
    try:
        result = parse_yarn("yarn", text).tex
    except WeaveError:
        return
    assert 0.01 <= result <= 1e6
