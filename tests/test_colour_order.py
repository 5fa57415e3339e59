"""Colour orders: against the order written out thread by thread."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs._colour_order import parse_colour_order

quick = settings(deadline=None, derandomize=True, max_examples=200)

COLOURS = ("white", "light grey", "blue 203", "x-ray")

ITEMS = st.tuples(st.integers(1, 5), st.sampled_from(COLOURS)).map(
    lambda item: (f"{item[0]} {item[1]}", [item[1]] * item[0])
)


def joined(parts: list[tuple[str, list[str]]]) -> tuple[str, list[str]]:
    return ", ".join(text for text, _ in parts), [thread for _, threads in parts for thread in threads]


def bracketed(inner: st.SearchStrategy[tuple[str, list[str]]]) -> st.SearchStrategy[tuple[str, list[str]]]:
    group = st.lists(inner, min_size=1, max_size=3).map(joined)
    return st.tuples(group, st.integers(1, 4), st.sampled_from(["x", " x ", "×", " X", "*"])).map(
        lambda drawn: (f"({drawn[0][0]}){drawn[2]}{drawn[1]}", drawn[0][1] * drawn[1])
    )


# An order as text, and the same written out thread by thread.
ORDERS = st.lists(st.recursive(ITEMS, bracketed, max_leaves=6), min_size=1, max_size=4).map(joined)


@quick
@given(ORDERS, st.integers(1, 300))
def test_against_writing_it_out(order: tuple[str, list[str]], threads: int) -> None:
    text, once = order
    written = [once[thread % len(once)] for thread in range(threads)]
    assert wf.colour_of(text, threads) == written[-1]
    for colour in set(once):
        assert wf.colour_count(text, threads, colour) == written.count(colour)
    runs = parse_colour_order("order", text).runs(threads)
    assert [colour for count, colour in runs for _ in range(count)] == written


@pytest.mark.parametrize(
    ("text", "once"),
    [
        ("8 white, 4 blue", ["white"] * 8 + ["blue"] * 4),
        ("white; blue", ["white", "blue"]),
        ("white", ["white"]),
        ("(2 red, grey) x2", ["red", "red", "grey"] * 2),
        ("2 (red, grey)", ["red", "grey"] * 2),
        ("2 x (red, grey), black", ["red", "grey"] * 2 + ["black"]),
        ("(red, grey)", ["red", "grey"]),
        ("2  light   grey", ["light grey"] * 2),
        ("White, 2 WHITE", ["White"] * 3),
        ("2 Xenon, xanthic", ["Xenon"] * 2 + ["xanthic"]),
    ],
)
def test_spellings(text: str, once: list[str]) -> None:
    assert [wf.colour_of(text, thread) for thread in range(1, 2 * len(once) + 1)] == once * 2


def test_huge_repeats_are_counted_not_written() -> None:
    order = "((2 red, 1 grey) x 1000) x 100000, 1 black"
    assert wf.colour_count(order, 10_000_000, "red") == 6_666_667
    assert wf.colour_of(order, 10_000_000) == "red"
    assert wf.colour_count("4 red, 1000000 blue", 4, "blue") == 0


def test_an_unknown_colour_lists_the_known() -> None:
    with pytest.raises(wf.WeaveError, match="white, light blue"):
        wf.colour_count("8 white, 4 light blue", 12, "blue")
    assert wf.colour_count("8 white, 4 light blue", 12, " Light  Blue ") == 4


@pytest.mark.parametrize(
    "text",
    [
        *("", " ", "8", "8, white", "8 white,", ", 8 white", "8.5 white", "8,5 white", "8white", "-8 white"),
        *("0 white", "5 2 white", "(8 white", "8 white)", "()", "(red) x", "(red) x blue", "(red) blue"),
        *("2 (red) x 3", "2 red x 6", "2 red (blue)", "9999999999999 red", "²3 red", "red, " * 2000),
        *("(" * 20 + "red" + ")" * 20, "(1000000 red) x 1000000", 8, None, ["8 white", 5]),
    ],
)
def test_bad_orders(text: object) -> None:
    with pytest.raises(wf.WeaveError) as caught:
        wf.colour_of(text, 1)
    assert caught.value.argument == "order"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (8, "a colour order, such as 8 white, 4 blue; got 8"),
        ("red" + " " * 3998, "in at most 4000 characters; got 'red '"),
        ("8 white)", "a bracket closes that was never opened; got '8 white)'"),
        ("(8 white", "a bracket is never closed; got"),
        ("(red) blue", "a comma is missing before blue; got"),
        ("2 red (blue)", "a comma is missing before (; got"),
        ("2 (red) x 3", "a bracket is repeated before it or behind it, not both; got"),
        ("(red) x", "a number is missing behind the bracket; got"),
        ("(red) x blue", "a number is missing behind the bracket; got"),
        ("8", "every number needs its colour; got"),
        ("8 white,", "every comma needs a colour; got"),
        ("-8 white", "a colour begins with a letter or #, not with -8; got"),
        ("2 red x 6", "what repeats stands in brackets, as (2 red, 2 grey) x 6; got"),
        ("8white", "8white is not a whole number; a space parts number and colour; got"),
        ("8² white", "8² is not a whole number; a space parts number and colour; got"),
        ("0 white", "its numbers must be from 1 to 1,000,000,000; got"),
        ("1000000001 white", "its numbers must be from 1 to 1,000,000,000; got"),
        ("9" * 400 + " white", "its numbers must be from 1 to 1,000,000,000; got"),
        ("(red) x 1000000001", "its numbers must be from 1 to 1,000,000,000; got"),
        ("1000000000 red, blue", "its repeat must be at most 1,000,000,000 threads; got"),
        ("(500000000 red, blue) x 2", "its repeat must be at most 1,000,000,000 threads; got"),
        ("(" * 9 + "red" + ")" * 9, "brackets lie at most 8 deep; got"),
    ],
    ids=lambda value: repr(value)[:20],
)
def test_what_is_wrong_with_an_order_is_told(text: object, told: str) -> None:
    with pytest.raises(wf.WeaveError) as caught:
        wf.colour_of(text, 1)
    assert told in str(caught.value)
    assert caught.value.received == text


def test_the_longest_deepest_and_largest_orders_are_taken() -> None:
    assert wf.colour_of("red" + " " * 3997, 1) == "red"
    assert wf.colour_of("(" * 8 + "red" + ")" * 8, 1) == "red"
    assert wf.colour_count("1000000000 red", 10_000_000, "red") == 10_000_000
    assert wf.colour_count("(1 red, 1 blue) x 500000000", 10_000_000, "red") == 5_000_000
    assert wf.colour_of("#204080", 1) == "#204080"


def test_columns() -> None:
    assert wf.colour_of("2 red, 1 grey", [1, 2, 3, 4]) == ["red", "red", "grey", "red"]
    assert wf.colour_count("2 red, 1 grey", 9, ["red", "grey"]) == [6, 3]
    with pytest.raises(wf.WeaveError, match="row 2"):
        wf.colour_count("2 red, 1 grey", 9, ["red", "blue"])


def first_return(weave: str, legs: list[int], threads: list[str]) -> int:
    """Weave row by row until what follows is what came first: lifts, and colours where there are any."""
    picks = wf.drawdown(weave, 24, wf.repeat_picks(weave))
    if not legs:
        positions = list(range(4000))
    else:
        positions, at, way = [], -1, 1
        while len(positions) < 4000:
            for leg in legs:
                positions += [at + way * step for step in range(1, leg + 1)]
                at, way = positions[-1], -way
    # A row tells where the walk stands and goes: not only what is lifted, which a part of a leg may repeat.
    ways = [after - before for before, after in zip(positions, positions[1:])]
    rows = [
        (position % len(picks), way, threads[row % len(threads)])
        for row, (position, way) in enumerate(zip(positions, ways))
    ]
    half = len(rows) // 2
    return next(shift for shift in range(1, half) if rows[shift : shift + half] == rows[:half])


@pytest.mark.parametrize(
    ("weave", "reversals", "order", "once", "rows"),
    [
        # Nine rows up, nine back, twelve threads of colour: 36 is the first number both go into.
        ("2/2 twill", "9,9", "7 night, 5 cream", ["night"] * 7 + ["cream"] * 5, 36),
        ("2/2 twill", "", "7 night, 5 cream", ["night"] * 7 + ["cream"] * 5, 12),
        ("2/2 twill", "", "2 red, 1 grey", ["red", "red", "grey"], 12),
        ("plain", "", "2 red, 1 grey", ["red", "red", "grey"], 6),
        ("1/2 twill", "", "none", ["one"], 3),
        ("2/2 twill", "9,9", "36 oat", ["oat"], 18),
        ("2/2 twill", "", "(2 red, 1 grey) x 6", ["red", "red", "grey"], 12),
        ("2/2 twill", "", "((red, grey) x 2, red) x 7", ["red", "grey", "red", "grey", "red"], 20),
        # Two rows further each time: after twice ten rows the drift is a whole repeat of four.
        ("2/2 twill", "6,4", "none", ["one"], 20),
        ("2/2 twill", "6,4", "2 red, 1 grey", ["red", "red", "grey"], 60),
        # One colour never begins anew: the weave alone counts, and it has an odd number of rows here.
        ("2/1 twill", "", "red", ["red"], 3),
        # An odd number of legs is gone through twice, for the way has turned about.
        ("2/2 twill", "5", "2 red, 1 grey", ["red", "red", "grey"], 30),
    ],
)
def test_rows_until_weave_turns_and_colours_begin_again(
    weave: str, reversals: str, order: str, once: list[str], rows: int
) -> None:
    assert wf.repeat_rows(weave, reversals, order) == rows
    legs = [int(leg) for leg in reversals.split(",") if leg]
    assert first_return(weave, legs, once) == rows


def test_an_order_that_hardly_ever_begins_again_with_the_weave_is_refused() -> None:
    # 999,999,937 is a prime: with 4 rows that makes 3,999,999,748.
    assert wf.repeat_rows("2/2 twill", "", "999999936 red, blue") == 3_999_999_748
    # A cycle of 2,000,006 rows is twice 1,000,003, a prime too.
    with pytest.raises(wf.WeaveError, match="within 1,000,000,000,000,000 rows") as caught:
        wf.repeat_rows("2/2 twill", "1000000,6", "999999936 red, blue")
    assert caught.value.argument == "weft_order"


@pytest.mark.parametrize("text", ["7 night,, 5 cream", "7", "(7 night"])
def test_a_wrong_order_has_no_repeat(text: str) -> None:
    with pytest.raises(wf.WeaveError, match="weft_order must be a colour order"):
        wf.repeat_rows("2/2 twill", "9,9", text)
