"""Rows of colours for a drawing in cells: the thread on top, and a tone for each colour of the plan."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs._colour_tones import shade_of
from weavefuncs.shared.colour_words import NEUTRAL, TONES, WORDS

# Signs of an entry, as the catalogue states them.
KEY_WIDTH = 30

quick = settings(deadline=None, derandomize=True, max_examples=100)

WEAVES = st.sampled_from(["plain", "2/2 twill", "3/1 twill left", "5 satin 2", "2/2 herringbone 3"])
COLOURS = st.sampled_from(["white", "blue", "ecru", "light grey", "moor", "#204080", "Rust"])
ORDERS = st.one_of(
    st.lists(st.tuples(st.integers(1, 5), COLOURS), min_size=1, max_size=5).map(
        lambda items: ", ".join(f"{count} {colour}" for count, colour in items)
    ),
    st.tuples(COLOURS, COLOURS, st.integers(2, 4)).map(lambda it: f"(2 {it[0]}, {it[1]}) x {it[2]}, 3 black"),
)


def entries(warp: str, weft: str) -> dict[str, tuple[str, str]]:
    """The key taken apart as a sheet does, by fixed places: letter to word and tone."""
    key = wf.colour_key(warp, weft)
    assert len(key) % KEY_WIDTH == 0
    found = {}
    for place in range(0, len(key), KEY_WIDTH):
        entry = key[place : place + KEY_WIDTH]
        word, _, tone = entry[2:].rstrip().partition(" (")
        assert entry[1] == " "
        assert entry[0] not in found
        found[entry[0]] = (word, tone.removesuffix(")") or word.casefold())
    return found


@quick
@given(WEAVES, ORDERS, ORDERS, st.integers(1, 70), st.integers(1, 300), st.sampled_from(["", "9,9", "4,2"]))
def test_a_row_shows_the_colour_of_the_thread_on_top(
    weave: str, warp: str, weft: str, ends: int, pick: int, reversals: str
) -> None:
    row = wf.pick_colours(weave, ends, pick, reversals, warp, weft)
    words = {letter: word for letter, (word, _) in entries(warp, weft).items()}
    lifted = wf.pick_code(weave, ends, pick, reversals)
    assert len(row) == ends
    for end, (sign, up) in enumerate(zip(row, lifted), start=1):
        assert sign.isupper() == (up == "1")
        colour = wf.colour_of(warp, end) if up == "1" else wf.colour_of(weft, pick)
        assert words[sign.upper()].casefold() == colour.casefold()


def test_without_colours_a_row_is_the_code_of_the_pick() -> None:
    assert wf.pick_colours("2/2 twill", 9, 3) == wf.pick_code("2/2 twill", 9, 3)
    assert wf.colour_key("none").split("  ")[0] == "1 warp on the face"
    assert len(wf.colour_key("none")) == 2 * KEY_WIDTH


def test_one_order_alone_colours_one_system() -> None:
    found = entries("4 navy", "none")
    assert [word for word, _ in found.values()] == ["navy", "weft"]
    assert found[wf.pick_colours("plain", 2, 1, "", "4 navy")[1].upper()][0] == "weft"


@pytest.mark.parametrize("name", [name for name, _ in TONES])
def test_a_tone_is_drawn_by_its_own_name(name: str) -> None:
    assert [tone for _, tone in entries(name, name).values()] == [name]


def test_every_tone_has_a_letter_of_its_own() -> None:
    assert len(TONES) <= 26
    letters = entries(", ".join(name for name, _ in TONES), "white")
    assert "".join(letters) == "".join(chr(ord("A") + place) for place in range(len(TONES)))


def test_unlike_shades_never_share_a_tone_while_one_is_free() -> None:
    natural = ["ecru", "oat", "cream", "ivory", "natural", "linen"]
    found = entries(", ".join(natural), "ecru")
    assert len(found) == len(natural)


def test_two_words_for_one_shade_are_drawn_alike() -> None:
    row = wf.pick_colours([[1]], 2, 1, "", "grey, gray", "white")
    assert row[0] == row[1]


def test_what_is_not_known_takes_neutral_tones_that_are_free() -> None:
    found = entries("moor, fell, grey", "grey")
    tones = dict(found.values())
    assert tones["grey"] == "grey"
    assert {tones["moor"], tones["fell"]} <= set(NEUTRAL) - {"grey"}


@pytest.mark.parametrize(
    ("colour", "tone"),
    [
        ("light blue", "pale blue"),
        ("dark-green", "dark green"),
        ("Moor Grey", "grey"),
        ("steelblue", "blue"),
        ("off-white", "white"),
        ("#ffffff", "white"),
        ("#000", "grey"),
    ],
)
def test_words_are_read_as_a_weaver_means_them(colour: str, tone: str) -> None:
    assert [drawn for _, drawn in entries(colour, colour).values()] == [tone]


@pytest.mark.parametrize(
    ("colour", "shade"),
    [
        ("#204080", (32, 64, 128)),
        ("#FFa010", (255, 160, 16)),
        # Words of the list, alone, in two or one, and however they are joined.
        ("sky blue", (162, 198, 226)),
        ("Royal-Blue", (47, 79, 156)),
        ("terra cotta", (184, 96, 62)),
        # The last word that is known, a short one only where it stands alone.
        ("moor red", (182, 47, 55)),
        ("red moor", (182, 47, 55)),
        ("bored", None),
        # 0.45 of the way to white, and 0.4 of the way to black.
        ("light blue", (147, 174, 207)),
        ("dark red", (109, 28, 33)),
        ("dark-red", (109, 28, 33)),
        ("#12345", None),
        ("#g23456", None),
        ("#12 blue", None),
        ("moor", None),
    ],
)
def test_shades(colour: str, shade: tuple[int, int, int] | None) -> None:
    assert shade_of(colour) == shade


def test_grey_stays_grey() -> None:
    greys = {"white", "pale grey", "grey", "dark grey", "black"}
    for level in range(0, 256, 5):
        colour = f"#{level:02x}{level:02x}{level:02x}"
        ((_, tone),) = entries(colour, colour).values()
        assert tone in greys


@pytest.mark.parametrize("name", [name for name, _ in TONES if "grey" not in name])
def test_a_shade_beside_a_tone_is_drawn_in_it(name: str) -> None:
    red, green, blue = (int(dict(TONES)[name][place : place + 2], 16) for place in (1, 3, 5))
    for more in [(3, 0, 0), (0, 3, 0), (0, 0, 3), (-3, 0, 0), (0, -3, 0), (0, 0, -3)]:
        shade = [part + step for part, step in zip((red, green, blue), more)]
        colour = "#" + "".join(f"{part:02x}" for part in shade)
        assert [tone for _, tone in entries(colour, colour).values()] == [name]


def test_one_shade_more_than_there_are_tones_is_drawn_in_the_nearest() -> None:
    letters = wf.pick_colours([[1]], 25, 1, "", ", ".join(shade for _, shade in TONES) + ", #3a6ca9", "white")
    blue = [name for name, _ in TONES].index("blue")
    assert letters[:24] == "".join(chr(ord("A") + place) for place in range(24))
    assert letters[24] == chr(ord("A") + blue)


def test_what_is_not_known_takes_every_tone_before_any_twice() -> None:
    strange = [f"q{chr(ord('a') + number)}" for number in range(26)]
    letters = wf.pick_colours([[1]], 26, 1, "", ", ".join(strange), strange[0])
    names = [TONES[ord(letter) - ord("A")][0] for letter in letters]
    assert tuple(names[:6]) == NEUTRAL
    assert len(set(names[:24])) == 24
    assert names[24:] == [NEUTRAL[0]] * 2


@pytest.mark.parametrize(
    ("word", "written"),
    [
        # Letter and blank before it, a tone of seven signs behind, a blank at the end: 20 are left of 30.
        ("q" * 20, "q" * 20 + " (grey)"),
        ("q" * 21, "q" * 19 + "… (grey)"),
    ],
)
def test_a_word_is_cut_where_it_would_not_fit(word: str, written: str) -> None:
    key = wf.colour_key(word, word)
    assert len(key) == 30
    assert key[2:].rstrip() == written


def test_a_system_without_an_order_is_called_after_itself() -> None:
    assert [word for word, _ in entries("none", "4 navy").values()] == ["warp", "navy"]
    assert [word for word, _ in entries("4 navy", "none").values()] == ["navy", "weft"]


def test_words_and_tones_are_colours() -> None:
    assert list(WORDS) == sorted(WORDS)
    for word, shade in [*WORDS.items(), *TONES]:
        assert len(shade) == 7
        assert shade_of(shade) is not None
        assert word == word.casefold()
    assert set(NEUTRAL) <= {name for name, _ in TONES}


def test_more_colours_than_tones_still_have_a_letter() -> None:
    many = ", ".join(f"#{place * 7:02x}{255 - place * 6:02x}{place * 3:02x}" for place in range(30))
    row = wf.pick_colours([[1]], 30, 1, "", many, "white")
    assert len(row) == 30
    assert row.isupper()


def test_a_long_word_is_cut_and_its_tone_kept() -> None:
    key = wf.colour_key("the blue of a late evening in October", "white")
    assert len(key) == 2 * KEY_WIDTH
    assert "… (blue)" in key[:KEY_WIDTH]


@pytest.mark.parametrize("argument", ["warp_order", "weft_order"])
def test_an_order_that_cannot_be_read_is_named(argument: str) -> None:
    for call in (
        lambda **order: wf.colour_key(**{"warp_order": "none", **order}),
        lambda **order: wf.pick_colours("plain", 4, 1, **order),
    ):
        with pytest.raises(wf.WeaveError, match=f"{argument} must be a colour order"):
            call(**{argument: "4 white,, 2"})
