"""What the trade calls a threading or a treadling, and what it says of one.

The words are common practice, no source; the definitions are in the functions
that use them. An order repeats without end: its first number follows its last.
"""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

NO_NAME = "no common name"


def name_of(order: Sequence[int]) -> str:
    """Name an order of shafts or treadles."""
    ranks = {number: rank for rank, number in enumerate(sorted(set(order)))}
    line = [ranks[number] for number in order]
    if len(ranks) == 1:
        return "all on one"
    once = [number for place, number in enumerate(line) if number != line[place - 1]]
    name = _name(once, len(ranks))
    return name if len(once) == len(line) else f"{name}, with doubled neighbours"


def _name(order: list[int], count: int) -> str:
    """Name an order of the numbers from 0 on in which no neighbours are alike."""
    steps = [(after - here) % count for here, after in zip(order, [*order[1:], order[0]])]
    kinds = set(steps)
    if kinds in ({1}, {count - 1}):
        return "straight"
    if kinds == {1, count - 1}:
        return _turning(steps, count)
    if _is_by_series(order, count):
        return "skip"
    return _jumping(steps, count)


def _turning(steps: list[int], count: int) -> str:
    """Name an order that goes to a neighbour each time, now one way and now the other."""
    runs = _runs(steps)
    ways = [sorted(runs[first::2]) for first in (0, 1)]
    if min(ways[0][0], ways[1][0]) >= 2:
        return "point"
    for back, forth in (ways, ways[::-1]):
        if back[-1] == 1 and 2 <= forth[0] == forth[-1] < count - 1:
            return "advancing"
    return NO_NAME


def _runs(steps: list[int]) -> list[int]:
    """Return how many like steps follow one another, going round, from one change to the same again."""
    changes = [place for place, step in enumerate(steps) if step != steps[place - 1]]
    return [after - here for here, after in zip(changes, [*changes[1:], changes[0] + len(steps)])]


def _is_by_series(order: list[int], count: int) -> bool:
    """Tell whether every second number comes first and then those between, or every third, and so on."""
    period = next(p for p in range(1, len(order) + 1) if len(order) % p == 0 and order[p:] == order[:-p])
    once = order[:period]
    if period != count or len(set(once)) != count:
        return False
    round_twice = [tuple(once * 2), tuple(once[::-1] * 2)]
    for apart in range(2, count // 2 + 1):
        series = tuple(number for first in range(apart) for number in range(first, count, apart))
        for line in round_twice:
            at = line.index(series[0])
            if line[at : at + count] == series:
                return True
    return False


def _jumping(steps: list[int], count: int) -> str:
    """Name an order that goes to neighbours, and from time to time to a number further off."""
    near = (1, count - 1)
    start = next(place for place, step in enumerate(steps) if step not in near) + 1
    jumps: list[int] = []
    ways: list[set[int]] = [set()]
    for step in [*steps[start:], *steps[:start]]:
        if step in near:
            ways[-1].add(step)
        else:
            jumps.append(step)
            ways.append(set())
    ways.pop()
    if any(len(way) > 1 for way in ways):
        return NO_NAME
    if all(ways) and all(here != after for here, after in zip(ways, [*ways[1:], ways[0]])):
        return "broken"
    taken = set().union(*ways)
    if len(taken) > 1:
        return NO_NAME
    for forth in taken or near:
        forward = [jump * forth % count for jump in jumps]
        if all(2 * jump <= count for jump in forward):
            return "skip"
        if all(ways) and all(2 * jump > count for jump in forward):
            return "advancing"
    return NO_NAME


def tabby_of(order: Sequence[int]) -> str:
    """Say whether plain weave can be woven on a threading, and how."""
    if 0 in order:
        return f"no: end {order.index(0) + 1} is on no shaft"
    if len(order) % 2:
        return f"no: a repeat of {counted(len(order), 'end')} is odd, so each shaft gets odd and even ends"
    odd, even = set(order[::2]), set(order[1::2])
    both = sorted(odd & even)
    if both:
        holds = "holds" if len(both) == 1 else "hold"
        return f"no: {'shaft' if len(both) == 1 else 'shafts'} {listed(both)} {holds} odd and even ends"
    return f"yes: {listed(sorted(odd))} against {listed(sorted(even))}"


def doubled(threads: Sequence[bytes]) -> str:
    """List neighbours that are alike; the last stands beside the first of the next repeat."""
    count = len(threads)
    starts = [place for place in range(count) if threads[place] != threads[place - 1]]
    if not starts:
        return "all"
    found = []
    for start, following in zip(starts, [*starts[1:], starts[0] + count]):
        alike = following - start
        if alike > 1:
            last = (following - 1) % count + 1
            found.append(f"{start + 1} {'and' if alike == 2 else 'to'} {last}")
    return ", ".join(found) or "none"


def untied(threads: Sequence[bytes]) -> list[int]:
    """Return the numbers of the threads that never change their side."""
    numbered = enumerate(threads, start=1)
    return [number for number, thread in numbered if thread.count(thread[:1]) == len(thread)]


def listed(numbers: Iterable[int]) -> str:
    """Write numbers as a text."""
    return ", ".join(map(str, numbers))


def counted(number: int, what: str) -> str:
    """Write a number of things."""
    return f"{number} {what}" if number == 1 else f"{number} {what}s"
