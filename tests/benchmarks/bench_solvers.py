"""What the solvers take, what gap they leave, and what memory, against their aims and as the work grows.

The aims: 200 pieces onto warps, and 300 put-ups for 40 pieces, each proven or within 1 % in 20 s, below
1 GiB. Each run is a process of its own, and the worst of three random orders or stashes counts. Those marked
hard are made to be: pieces a third of a warp long to the last thousandth, or a stash of nothing but oddments
of one yarn in 30 lots.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from typing import Any

import pandas as pd
from measured import Row, Times, apart

from weavefuncs.tables import allocate_stash, group_onto_warps

# Seconds.
AIM = 20

LOOM: dict[str, Any] = {
    "longest_warp": 400,
    "waste": 27,
    "between": 2,
    "take_up": 0.09,
    "ends_wound_an_hour": 120,
    "ends_threaded_an_hour": 60,
    "wage": 22,
    "overhead": 4,
    "per": "in",
    "length_unit": "yd",
}
WARP_YARNS = ("natural", "white", "grey")
FULL = (100, 115, 200, 210, 400)


def pieces(count: int, groups: int, source: random.Random, longest: float) -> pd.DataFrame:
    """An order of towels, runners and scarves in a few groups, or of pieces of any length."""
    lengths = [28.5, 30, 32, 36, 44, 54.5, 62, 72, 80, 90] if longest == 0 else None
    return pd.DataFrame(
        {
            "piece": [f"piece {number}" for number in range(count)],
            "warp_yarn": [WARP_YARNS[number % groups % len(WARP_YARNS)] for number in range(count)],
            "sett": 20,
            "ends": [300 + 4 * (number % groups) for number in range(count)],
            "woven_length": [
                source.choice(lengths) if lengths else round(source.uniform(longest / 4, longest), 3)
                for _ in range(count)
            ],
        }
    )


def order(
    count: int, groups: int, longest: float, seed: int
) -> tuple[pd.DataFrame, dict[str, Any], pd.DataFrame]:
    """An order, the loom and the yarns for it."""
    yarns = pd.DataFrame({"name": list(WARP_YARNS), "put_up_length": 1680, "put_up_price": [14, 15, 17]})
    return pieces(count, groups, random.Random(seed), longest), LOOM, yarns


def stash(
    put_ups: int, needs: int, yarns: int, lots: int, oddments: float, seed: int
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """A stash and the pieces that it is for."""
    source = random.Random(seed)
    full = [source.choice(FULL) for _ in range(yarns)]
    lines = []
    for number in range(put_ups):
        yarn = source.randrange(yarns)
        odd = source.random() < oddments
        lines.append(
            {
                "name": f"line {number}",
                "yarn": f"{yarn + 4}/2 Nm",
                "colour": f"colour {yarn}",
                "lot": str(source.randrange(lots)),
                "length": round(source.uniform(0.1, 1) * full[yarn]) if odd else full[yarn],
            }
        )
    wanted = [
        {
            "piece": f"piece {number // 2}",
            "colour": f"colour {source.randrange(yarns)}",
            "length": 10 * source.randint(8, 90),
            "may_mix": source.choice(["", "", "yes"]),
        }
        for number in range(2 * needs)
    ]
    return pd.DataFrame(lines), pd.DataFrame(wanted)


def largest_gap(plan: Any) -> float:
    """Return how far a plan may be from the best, as a fraction."""
    return float(plan.stages["gap"].max() if hasattr(plan, "stages") else plan.gap)


WARPS = {
    "20 pieces, 4 groups": (20, 4, 0),
    "200 pieces, 4 groups": (200, 4, 0),
    "2000 pieces, 4 groups": (2000, 4, 0),
    "200 pieces, 1 group": (200, 1, 0),
    "200 pieces, 1 group, any length": (200, 1, 120),
    "200 pieces, 1 group, hard": (200, 1, 240),
}
STASHES = {
    "30 put-ups, 4 pieces of 2 colours": (30, 4, 3, 3, 0.4),
    "300 put-ups, 40 pieces of 2 colours": (300, 40, 30, 3, 0.4),
    "3000 put-ups, 400 pieces of 2 colours": (3000, 400, 300, 3, 0.4),
    "300 put-ups, 40 pieces, 10 yarns": (300, 40, 10, 3, 0.4),
    "300 oddments, 40 pieces, 10 yarns": (300, 40, 10, 3, 1.0),
    "300 oddments, 40 pieces, hard": (300, 40, 1, 30, 1.0),
}


def rows(quick: bool) -> Iterator[Row]:
    """Compare each with the aim; the work of the first three grows tenfold."""
    for prepare, solve, works in ((order, group_onto_warps, WARPS), (stash, allocate_stash, STASHES)):
        for work, numbers in list(works.items())[: 1 if quick else None]:
            runs = [apart(prepare, solve, *numbers, seed, say=largest_gap) for seed in (1, 2, 3)]
            times = [run.seconds for run in runs]
            gap, memory = (max(run[place] for run in runs) for place in (2, 1))
            aim = "1, and a gap of 1 %" if work.startswith(("200 ", "300 ")) else ""
            row = Times([max(times)], [AIM]).row(solve.__name__, work, "the aim", aim)
            yield row._replace(note=f"gap {100 * gap:.2f} %, {memory:.0f} MiB")
