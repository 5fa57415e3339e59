"""Drafts: a cloth taken apart and put together again."""

from __future__ import annotations

import random
from collections.abc import Iterator

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

import weavefuncs as wf

quick = settings(deadline=None, derandomize=True, max_examples=150)

RANDOM = st.tuples(st.integers(1, 12), st.integers(1, 12)).flatmap(
    lambda size: st.lists(
        st.lists(st.integers(0, 1), min_size=size[0], max_size=size[0]), min_size=size[1], max_size=size[1]
    )
)
STRUCTURED = st.builds(
    wf.drawdown,
    st.sampled_from(["plain", "2/2 twill", "3/1 twill", "2/2 herringbone 5", "5 satin 2", "2/2 basket"]),
    st.integers(1, 30),
    st.integers(1, 30),
    st.sampled_from(["", "5,5", "4,3", "1"]),
)


def in_order_of_appearance(numbers: list[int]) -> bool:
    return list(dict.fromkeys(numbers)) == list(range(1, len(set(numbers)) + 1))


@quick
@given(st.one_of(RANDOM, STRUCTURED))
def test_threading_tie_up_and_treadling_give_the_grid_back(grid: list[list[int]]) -> None:
    threading, tie_up, treadling = wf.threading(grid), wf.tie_up(grid), wf.treadling(grid)
    assert wf.drawdown_from_draft(threading, tie_up, treadling) == grid
    assert in_order_of_appearance(threading)
    assert in_order_of_appearance(treadling)
    assert len(tie_up) == wf.shafts_needed(grid) == max(threading)
    assert len(tie_up[0]) == wf.treadles_needed(grid) == max(treadling)
    plan = wf.lift_plan(tie_up, treadling)
    assert [[lifted[shaft - 1] for shaft in threading] for lifted in plan] == grid


@quick
@given(st.one_of(RANDOM, STRUCTURED))
def test_no_fewer_shafts_or_treadles_would_do(grid: list[list[int]]) -> None:
    # Two ends on one shaft lift alike, so unlike ends need a shaft each; likewise picks.
    assert wf.shafts_needed(grid) == len(set(zip(*grid)))
    assert wf.treadles_needed(grid) == len(set(map(tuple, grid)))


def all_groupings(count: int) -> Iterator[list[int]]:
    """Every way to put so many threads into groups: the group of each."""
    groupings: list[list[int]] = [[]]
    for _ in range(count):
        groupings = [[*known, new] for known in groupings for new in range(max(known, default=-1) + 2)]
    yield from groupings


def fewest_by_trial(threads: list[tuple[int, ...]]) -> int:
    """Try every threading: ends on one shaft go up together, so they must be alike."""
    return min(
        max(grouping) + 1
        for grouping in all_groupings(len(threads))
        if all(len({t for t, g in zip(threads, grouping) if g == group}) == 1 for group in set(grouping))
    )


def test_fewest_shafts_and_treadles_by_trying_all() -> None:
    assert [sum(1 for _ in all_groupings(count)) for count in range(1, 7)] == [1, 2, 5, 15, 52, 203]
    chance = random.Random(20)
    for _ in range(120):
        ends, picks = chance.randint(1, 6), chance.randint(1, 6)
        # Few unlike threads, so that some fall together.
        kinds = [[chance.randint(0, 1) for _ in range(ends)] for _ in range(chance.randint(1, picks))]
        grid = [chance.choice(kinds) for _ in range(picks)]
        assert wf.shafts_needed(grid) == fewest_by_trial(list(zip(*grid)))
        assert wf.treadles_needed(grid) == fewest_by_trial(list(map(tuple, grid)))


def test_fewest_shafts_of_every_small_grid() -> None:
    for ends, picks in ((1, 1), (2, 2), (3, 3), (4, 2), (2, 4), (5, 2)):
        for number in range(2 ** (ends * picks)):
            bits = [number >> place & 1 for place in range(ends * picks)]
            grid = [bits[start : start + ends] for start in range(0, len(bits), ends)]
            assert wf.shafts_needed(grid) == fewest_by_trial(list(zip(*grid)))


NUMBERINGS = ("as they appear", "in twill order")


def taken_apart(grid: list[list[int]], numbering: str) -> tuple[list[int], list[list[int]], list[int]]:
    threading = [wf.shaft_of(grid, end, numbering) for end in range(1, len(grid[0]) + 1)]
    treadling = [wf.treadle_of(grid, pick, numbering) for pick in range(1, len(grid) + 1)]
    codes = [wf.tie_up_code(grid, shaft, numbering) for shaft in range(1, max(threading) + 1)]
    return threading, [list(map(int, code)) for code in codes], treadling


@settings(quick, max_examples=60)
@given(st.one_of(RANDOM, STRUCTURED), st.sampled_from(NUMBERINGS))
@example([[1, 1, 0, 0], [0, 1, 0, 1], [0, 0, 1, 1], [1, 0, 1, 0]], "in twill order")  # a broken twill
def test_any_numbering_gives_the_grid_back(grid: list[list[int]], numbering: str) -> None:
    threading, tie_up, treadling = taken_apart(grid, numbering)
    assert wf.drawdown_from_draft(threading, tie_up, treadling) == grid
    assert set(threading) == set(range(1, wf.shafts_needed(grid) + 1))
    assert set(treadling) == set(range(1, wf.treadles_needed(grid) + 1))
    lifts = [list(map(int, wf.lift_code(grid, pick, numbering))) for pick in range(1, len(grid) + 1)]
    assert lifts == wf.lift_plan(tie_up, treadling)
    pressed = [[int(treadle == at + 1) for at in range(len(tie_up[0]))] for treadle in treadling]
    woven = wf.draft_as_weave(threading, tie_up, pressed)
    assert wf.drawdown(woven, len(grid[0]), len(grid)) == grid
    # Tied straight, a lift plan is the treadling of a table loom.
    straight = [[int(a == b) for b in range(len(tie_up))] for a in range(len(tie_up))]
    assert wf.draft_as_weave(threading, straight, lifts) == woven == wf.grid_as_weave(grid)


def test_thousands_of_random_grids_are_given_back() -> None:
    chance = random.Random(6)
    for number in range(3000):
        longest = 16 if number % 20 else 48
        ends, picks = chance.randint(1, longest), chance.randint(1, longest)
        share = chance.choice((0.05, 0.3, 0.5, 0.9)) if number % 10 else 0.5
        kinds = [[int(chance.random() < share) for _ in range(ends)] for _ in range(chance.randint(1, picks))]
        grid = [chance.choice(kinds) for _ in range(picks)]
        threading, tie_up, treadling = wf.threading(grid), wf.tie_up(grid), wf.treadling(grid)
        assert wf.drawdown_from_draft(threading, tie_up, treadling) == grid


TWILL_TIE_UP = [[1, 0, 0, 1], [1, 1, 0, 0], [0, 1, 1, 0], [0, 0, 1, 1]]
ORDERS = {
    "straight": [1, 2, 3, 4],
    "point": [1, 2, 3, 4, 1, 2, 3, 4, 3, 2, 1, 4, 3, 2],
    "broken": [1, 2, 3, 4, 2, 1, 4, 3],
    "skip": [1, 2, 4, 1, 3, 4, 2, 3],
}


@pytest.mark.parametrize("threading", list(ORDERS))
@pytest.mark.parametrize("treadling", list(ORDERS))
def test_a_twill_is_read_as_it_was_threaded_and_treadled(threading: str, treadling: str) -> None:
    grid = wf.drawdown_from_draft(ORDERS[threading], TWILL_TIE_UP, ORDERS[treadling])
    read = taken_apart(grid, "in twill order")
    assert read == (ORDERS[threading], TWILL_TIE_UP, ORDERS[treadling])
    assert (wf.draft_name(read[0]), wf.draft_name(read[2])) == (threading, treadling)


# The numbering in twill order by its rule, in plain loops.

Cells = tuple[int, ...]


def least_change(threads: list[Cells]) -> list[int]:
    """Each differs in two places from just two others, and going from one to the next leads through all."""
    near = {
        here: [
            there
            for there in range(len(threads))
            if sum(a != b for a, b in zip(threads[here], threads[there])) == 2
        ]
        for here in range(len(threads))
    }
    if {len(others) for others in near.values()} != {2}:
        return []
    ring, left = [0], set(range(1, len(threads)))
    while following := [there for there in near[ring[-1]] if there in left]:
        ring.append(following[0])
        left.discard(following[0])
    return [] if left or 0 not in near[ring[-1]] else ring


def moved_by_one(threads: list[Cells]) -> list[int]:
    """Each is the one before, a place later, and the last leads to the first again."""
    after = {
        here: threads.index((*thread[-1:], *thread[:-1]))
        for here, thread in enumerate(threads)
        if (*thread[-1:], *thread[:-1]) in threads
    }
    ring = [0]
    while (following := after.get(ring[-1])) not in (None, 0) and len(ring) <= len(threads):
        ring.append(following)
    return ring if following == 0 and len(ring) == len(threads) else []


def along(order: list[int], ring: list[int]) -> list[int]:
    """Number along a ring from the first neighbours in the order, the way that they go."""
    count = len(ring)
    if count < 3:
        return [number + 1 for number in order]
    for here, there in zip(order, [*order[1:], order[0]]):
        for way in (ring, ring[::-1]):
            if way[(way.index(here) + 1) % count] == there:
                start = way.index(here)
                turned = way[start:] + way[:start]
                return [turned.index(number) + 1 for number in order]
    start = ring.index(order[0])
    turned = ring[start:] + ring[:start]
    return [turned.index(number) + 1 for number in order]


def in_twill_order(grid: list[list[int]]) -> tuple[list[int], list[int]]:
    picks, ends = [tuple(row) for row in grid], list(zip(*grid))
    shafts, treadles = list(dict.fromkeys(ends)), list(dict.fromkeys(picks))
    lifting = list(dict.fromkeys(zip(*treadles)))  # what each shaft does, treadle by treadle
    shaft_ring, treadle_ring = least_change(lifting), least_change(list(zip(*lifting)))
    if not shaft_ring and not treadle_ring:
        shaft_ring = moved_by_one(shafts)
        if not shaft_ring:
            treadle_ring = moved_by_one(treadles)
    return along([shafts.index(end) for end in ends], shaft_ring), along(
        [treadles.index(pick) for pick in picks], treadle_ring
    )


def round_and_round(first: str, count: int = 0) -> list[str]:
    """A tie-up in which each shaft lifts a treadle later than the one before."""
    return [first[-move:] + first[:-move] for move in range(count or len(first))]


TIE_UPS = [
    round_and_round("1100"),
    round_and_round("1000"),
    round_and_round("11000"),
    round_and_round("111000"),
    round_and_round("110100"),
    round_and_round("1101000"),
    round_and_round("10100"),
    # A ring that is not closed, and two rings that do not meet.
    round_and_round("1101000", 5),
    round_and_round("10100", 4),
    [row + "0000" for row in round_and_round("1100")] + [row + "1111" for row in round_and_round("0011")],
    # Treadles in a ring and shafts in none, and the other way round.
    [*round_and_round("11000"), "11111"],
    [row + "1" for row in round_and_round("11000")],
    [*round_and_round("1101000"), "1111111"],
    [row + "1" for row in round_and_round("1101000")],
]


@st.composite
def tied(draw: st.DrawFn) -> list[list[int]]:
    tie_up = draw(st.sampled_from(TIE_UPS))
    orders = []
    for count in (len(tie_up), len(tie_up[0])):
        straight = draw(st.sampled_from([list(range(count)), list(range(count))[::-1]]))
        order = draw(st.one_of(st.just(straight), st.permutations(range(count))))
        orders.append(
            order + draw(st.lists(st.integers(0, count - 1), max_size=draw(st.sampled_from([0, 6]))))
        )
    return [[int(tie_up[shaft][treadle]) for shaft in orders[0]] for treadle in orders[1]]


@settings(quick, max_examples=300)
@given(tied())
def test_numbers_in_twill_order_follow_the_rule(grid: list[list[int]]) -> None:
    threading, _, treadling = taken_apart(grid, "in twill order")
    assert (threading, treadling) == in_twill_order(grid)


@pytest.mark.parametrize(("shafts", "order"), [(64, "straight"), (65, "as it appears")])
def test_twill_order_ends_beyond_64_shafts(shafts: int, order: str) -> None:
    # Threaded 1, 3, 2, 4, 5 …: the first neighbours go down from 3 to 2, so these are 1 and 2.
    weave = f"{shafts // 2}/{shafts - shafts // 2} twill"
    ends = [1, 3, 2, *range(4, shafts + 1)]
    drawn = wf.drawdown(weave, shafts, shafts)
    grid = [[row[end - 1] for end in ends] for row in drawn]
    for turned in (grid, [list(column) for column in zip(*grid)]):
        number_of = wf.shaft_of if turned is grid else wf.treadle_of
        read = [number_of(turned, thread, "in twill order") for thread in range(1, 6)]
        if order == "straight":
            assert read == [3, 1, 2, 64, 63]
        else:
            assert read == [1, 2, 3, 4, 5]


@pytest.mark.parametrize(
    ("weave", "threading"),
    [
        ("plain", "straight"),
        ("2/2 twill", "straight"),
        ("2/2 twill left", "straight"),
        ("3/1 twill", "straight"),
        ("2/3/1/2 twill", "straight"),
        ("2/2 broken twill", "broken"),
        ("3/1 broken twill", "broken"),
        ("3/3 broken twill", "broken"),
        ("2/2 herringbone 8", "broken"),
        ("3/3 herringbone 9", "broken"),
        ("5 satin 2", "skip"),
        ("8 sateen 3", "skip"),
        ("2/2 basket", "straight, with doubled neighbours"),
        ("2/2 weft rib", "straight, with doubled neighbours"),
    ],
)
def test_weaves_thread_as_the_trade_says(weave: str, threading: str) -> None:
    """Common practice, no source."""
    ends = range(1, wf.repeat_ends(weave) + 1)
    for start in ends:
        # Where the repeat is begun does not change what the draft is called.
        order = [wf.shaft_of(weave, start + end, "in twill order") for end in ends]
        assert wf.draft_name(order) == threading
    drawn = wf.drawdown(weave, 3 * len(ends), 2 * wf.repeat_picks(weave))
    for start in range(len(ends)):
        grid = [cells[start : start + len(ends)] for cells in drawn]
        assert wf.draft_name(taken_apart(grid, "in twill order")[0]) == threading


@pytest.mark.parametrize(
    ("order", "name"),
    [
        ([1, 2, 3, 4], "straight"),
        ([4, 3, 2, 1], "straight"),
        ([3, 4, 1, 2], "straight"),
        ([1, 2], "straight"),
        ([1, 2, 3] * 4, "straight"),
        ([1, 3, 5, 7], "straight"),
        ([1, 2, 3, 4, 3, 2], "point"),
        ([1, 2, 3, 2], "point"),
        ([1, 2, 3, 4, 5, 6, 7, 8, 7, 6, 5, 4, 3, 2], "point"),
        ([1, 2, 3, 2, 1, 4, 3, 4], "point"),
        ([1, 2, 4, 3], "broken"),
        ([4, 3, 1, 2], "broken"),
        ([1, 2, 3, 4, 8, 7, 6, 5], "broken"),
        ([1, 2, 3, 4, 1, 2, 3, 4, 2, 1, 4, 3, 2, 1, 4, 3], "broken"),
        # Plain weave spread over more shafts: odd shafts, then even ones.
        ([1, 3, 2, 4], "skip"),
        ([1, 3, 5, 2, 4, 6], "skip"),
        ([1, 4, 2, 5, 3, 6], "skip"),
        # A satin draw.
        ([1, 3, 5, 2, 4], "skip"),
        ([1, 4, 7, 2, 5, 8, 3, 6], "skip"),
        # A skip twill: two ends, one shaft left out.
        ([1, 2, 4, 1, 3, 4, 2, 3], "skip"),
        ([1, 2, 3, 2, 3, 4, 3, 4, 1, 4, 1, 2], "advancing"),
        ([1, 2, 3, 4, 2, 3, 4, 5, 3, 4, 5, 6, 4, 5, 6, 1, 5, 6, 1, 2, 6, 1, 2, 3], "advancing"),
        ([1, 1, 2, 2], "straight, with doubled neighbours"),
        ([1, 2, 3, 4, 4, 3, 2, 1], "point, with doubled neighbours"),
        ([0, 1, 2, 3, 4, 0], "straight"),
        ([3, 3, 0], "all on one"),
        ([1, 2, 1, 2, 3, 4, 3, 4], "no common name"),
        ([1, 2, 1, 3, 1, 4], "no common name"),
        # Read backwards 1 3 2 4, every second one first.
        ([1, 4, 2, 3], "skip"),
        # One shaft left out each time, now and then two.
        ([1, 3, 5, 7, 2, 5, 7, 2, 4, 6], "skip"),
        # A part that turns within itself; parts up, up and down; a lone shaft between two steps back; steps
        # back by two and by three, which is half way round.
        ([1, 2, 3, 2, 5, 6, 7, 8, 4, 3], "no common name"),
        ([1, 2, 4, 5, 7, 6, 8, 3, 5], "no common name"),
        ([1, 2, 3, 4, 5, 6, 1, 2, 6, 4, 5, 6], "no common name"),
        ([1, 2, 3, 4, 5, 3, 4, 5, 6, 3, 4, 5, 6], "no common name"),
    ],
)
def test_names_of_drafts(order: list[int], name: str) -> None:
    """Common practice, no source. Where it begins and which way it is read change no name."""
    for start in range(len(order)):
        turned = order[start:] + order[:start]
        assert wf.draft_name(turned) == wf.draft_name(turned[::-1]) == name


@quick
@given(st.lists(st.integers(1, 6), min_size=1, max_size=14), st.integers(0, 20))
def test_a_name_holds_for_every_beginning_and_both_ways(order: list[int], turn: int) -> None:
    turn %= len(order)
    name = wf.draft_name(order)
    assert wf.draft_name(order[turn:] + order[:turn]) == name
    assert wf.draft_name(order[::-1]) == name
    assert wf.draft_name(order * 3) == name
    assert wf.draft_name([7 - shaft for shaft in order]) == name


@pytest.mark.parametrize(
    ("threading", "answer"),
    [
        ([1, 2], "yes: 1 against 2"),
        ([1, 2, 3, 4], "yes: 1, 3 against 2, 4"),
        ([1, 2, 3, 4, 3, 2], "yes: 1, 3 against 2, 4"),
        ([1, 2, 4, 3], "yes: 1, 4 against 2, 3"),
        ([1, 2, 3, 4, 2, 1, 4, 3], "no: shafts 1, 2, 3, 4 hold odd and even ends"),
        ([1, 2, 3, 4, 1, 3, 3, 1], "no: shafts 1, 3 hold odd and even ends"),
        ([1, 2, 1, 2, 2, 3], "no: shaft 2 holds odd and even ends"),
        ([1, 2, 3], "no: a repeat of 3 ends is odd, so each shaft gets odd and even ends"),
        ([1], "no: a repeat of 1 end is odd, so each shaft gets odd and even ends"),
        ([1, 2, 0, 4], "no: end 3 is on no shaft"),
    ],
)
def test_tabby(threading: list[int], answer: str) -> None:
    assert wf.tabby(threading) == answer


@quick
@given(st.lists(st.integers(1, 5), min_size=1, max_size=12))
def test_tabby_by_trying_all_lifts(threading: list[int]) -> None:
    """Of all ways to lift shafts, is there one that lifts every second end, over two repeats?"""
    twice = threading * 2
    lifts = [[lift >> shaft & 1 for shaft in twice] for lift in range(2**6)]
    plain = [end % 2 for end in range(len(twice))]
    seamless = len(threading) % 2 == 0
    assert wf.tabby(threading).startswith("yes") == (plain in lifts and seamless)


@pytest.mark.parametrize(
    ("grid", "ends", "picks"),
    [
        ("2/2 twill", "none", "none"),
        ("2/2 basket", "1 and 2, 3 and 4", "1 and 2, 3 and 4"),
        ("3/1 warp rib", "none", "1 to 3"),
        ("1001 0110", "2 and 3, 4 and 1", "none"),
        ("11001 00110 11001", "3 and 4, 5 to 2", "3 and 1"),
        ("110011 001100", "3 and 4, 5 to 2", "none"),
        ("11 11", "all", "all"),
        ("1", "all", "all"),
    ],
)
def test_doubled_neighbours(grid: str, ends: str, picks: str) -> None:
    assert wf.doubled_neighbours(grid, "warp") == ends
    assert wf.doubled_neighbours(grid, "weft") == picks


def test_untied_threads() -> None:
    assert wf.untied_threads("1010 1100") == "ends 1, 4"
    assert wf.untied_threads("1010 1111 0101 0000") == "picks 2, 4"
    assert wf.untied_threads("10 11") == "end 1; pick 2"
    assert wf.untied_threads("2/2 twill") == "none"


@quick
@given(RANDOM)
def test_untied_ends_are_those_of_the_weave_functions(grid: list[list[int]]) -> None:
    said = wf.untied_threads(grid).partition("pick")[0]
    numbers = [int(word.strip(",;")) for word in said.split() if word[0].isdigit()]
    assert numbers == wf.uncaught_ends(grid)


def test_a_part_of_a_drawn_field() -> None:
    field = [[0, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, 0], [0, 0, 0, 0]]
    assert wf.grid_as_weave(field, 2, 2, 2, 2) == "10 01"
    assert wf.grid_as_weave(field, 2, 3, 2, 1) == "100"
    assert wf.grid_as_weave(field, first_pick=4) == "0000"
    with pytest.raises(wf.WeaveError, match="first_end must be one of the 4 ends"):
        wf.grid_as_weave(field, 5)
    with pytest.raises(wf.WeaveError, match="picks must be at most 2, all from pick 3 on"):
        wf.grid_as_weave(field, first_pick=3, picks=3)
    with pytest.raises(wf.WeaveError, match="32767 characters"):
        wf.grid_as_weave([[0] * 200] * 200)


@quick
@given(RANDOM)
def test_a_drawn_text_is_its_grid(grid: list[list[int]]) -> None:
    text = wf.grid_as_weave(grid)
    assert wf.drawdown(text, len(grid[0]), len(grid)) == grid
    assert (wf.repeat_ends(text), wf.repeat_picks(text)) == (len(grid[0]), len(grid))


def test_drawn_texts_that_are_none() -> None:
    for text in ("110 01", "1 0 2", "10,01", " "):
        with pytest.raises(wf.WeaveError, match="weave"):
            wf.repeat_ends(text)
    assert wf.repeat_ends("  10\n01 ") == 2


def test_several_treadles_at_once() -> None:
    tie_up = [[1, 0, 0], [0, 1, 0], [0, 1, 1]]
    assert wf.draft_as_weave([1, 2, 3, 0], tie_up, [[1, 0, 1], [0, 0, 0], [0, 1, 0]]) == "1010 0000 0110"
    assert wf.draft_as_weave([1, 2], [[1], [0]], [[1, 0], [0, 0]], picks=1) == "10"
    with pytest.raises(wf.WeaveError, match=r"treadled\[1\] must be treadles that the tie-up has, at most 1"):
        wf.draft_as_weave([1, 2], [[1], [0]], [[0, 1]])
    with pytest.raises(wf.WeaveError, match=r"threading\[2\]"):
        wf.draft_as_weave([1, 3], [[1], [0]], [[1]])


def test_a_shaft_that_is_not_there() -> None:
    with pytest.raises(wf.WeaveError, match="at most 4"):
        wf.tie_up_code("2/2 twill", 5)
    with pytest.raises(wf.WeaveError, match="at least one end on a shaft"):
        wf.draft_name([0, 0])


def test_repeats_as_far_as_it_is_drawn() -> None:
    twill = wf.drawdown("2/2 twill", 11, 9)
    parts = wf.threading("2/2 twill"), wf.tie_up("2/2 twill"), wf.treadling("2/2 twill")
    assert wf.drawdown_from_draft(*parts, ends=11, picks=9) == twill
    assert wf.drawdown_from_draft(*parts, ends=3) == wf.drawdown("2/2 twill", 3, 4)


def test_an_end_on_no_shaft_stays_down() -> None:
    tie_up = [[1, 0], [0, 1]]
    assert wf.drawdown_from_draft([0, 1, 2, 0], tie_up, [1, 2]) == [[0, 1, 0, 0], [0, 0, 1, 0]]


def test_pointed_threading() -> None:
    # Four shafts threaded 1 2 3 4 3 2 over a straight 2/2 tie-up and treadling.
    tie_up = [[1, 0, 0, 1], [1, 1, 0, 0], [0, 1, 1, 0], [0, 0, 1, 1]]
    assert wf.drawdown_from_draft([1, 2, 3, 4, 3, 2], tie_up, [1, 2, 3, 4]) == [
        [1, 1, 0, 0, 0, 1],
        [0, 1, 1, 0, 1, 1],
        [0, 0, 1, 1, 1, 0],
        [1, 0, 0, 1, 0, 0],
    ]


@pytest.mark.parametrize(
    ("threading", "treadling", "named"),
    [
        ([1, 3], [1], r"threading\[2\]"),
        ([1, -1], [1], r"threading\[2\]"),
        ([1, 1.5], [1], r"threading\[2\]"),
        ([1, None], [1], r"threading\[2\]"),
        ([], [1], "threading"),
        ([1], [3], r"treadling\[1\]"),
        ([1], [1, 0], r"treadling\[2\]"),
        ([1], [], "treadling"),
        ("1 2", [1], "threading"),
    ],
)
def test_bad_drafts_name_the_place(threading: object, treadling: object, named: str) -> None:
    with pytest.raises(wf.WeaveError, match=named):
        wf.drawdown_from_draft(threading, [[1, 0], [0, 1]], treadling)


def test_a_lift_plan_needs_its_treadles() -> None:
    with pytest.raises(wf.WeaveError, match=r"treadling\[2\]"):
        wf.lift_plan([[1, 0]], [1, 3])


def test_the_largest_drawing() -> None:
    assert len(wf.drawdown("plain", 2000, 2000)) == 2000
    for draw in (
        lambda: wf.drawdown("plain", 2000, 2001),
        lambda: wf.drawdown_from_draft([1], [[1]], [1], 2000, 2001),
    ):
        with pytest.raises(wf.WeaveError, match="at most 2000"):
            draw()


def test_the_longest_text_that_a_cell_holds() -> None:
    # 256 picks of 127 signs with a space between any two are 32767 signs.
    assert len(wf.grid_as_weave([[0, 1] * 63 + [1]] * 256)) == 32767
    with pytest.raises(
        wf.WeaveError, match="the result must be a text of at most 32767 characters; got '2 e"
    ):
        wf.grid_as_weave([[0, 1]] * 10923)
    # Every second end is loose, and none of them stands beside another.
    with pytest.raises(wf.WeaveError, match=r"result must be a text of at most 32767 .*; got '\d+ of them'"):
        wf.untied_threads([[0, 0] * 7000, [0, 1] * 7000])


def test_what_a_tie_up_or_a_grid_lacks_is_told() -> None:
    tie_up = [[1, 0], [0, 1]]
    shaft = r"threading\[2\] must be a shaft that the tie-up has, at most 2; got 3$"
    treadle = r"treadling\[2\] must be a treadle that the tie-up has, at most 2; got 3$"
    with pytest.raises(wf.WeaveError, match=shaft):
        wf.drawdown_from_draft([1, 3], tie_up, [1, 2])
    with pytest.raises(wf.WeaveError, match=shaft):
        wf.draft_as_weave([1, 3], tie_up, [[1, 0]])
    with pytest.raises(wf.WeaveError, match=treadle):
        wf.drawdown_from_draft([1, 2], tie_up, [1, 3])
    with pytest.raises(wf.WeaveError, match=treadle):
        wf.lift_plan(tie_up, [1, 3])
    with pytest.raises(wf.WeaveError, match=r"treadled\[1\] must be treadles .*, at most 2; got 3$"):
        wf.draft_as_weave([1, 2], tie_up, [[1, 0, 1]])
    with pytest.raises(wf.WeaveError, match=r"picks must be at most 1333 for 3000 ends .*; got 2000$"):
        wf.drawdown("plain", 3000, 2000)
