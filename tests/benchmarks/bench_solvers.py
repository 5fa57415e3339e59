"""What the solvers take: ``python tests/benchmarks/bench_solvers.py``.

Each line is a process of its own: its time, the gap that is left, and the most memory it held. The aims: 200
pieces onto warps, and 300 put-ups for 40 pieces, each proven or within 1 % in 20 s, below 1 GiB. The lines
marked hard are made to be: pieces a third of a warp long to the last thousandth, or a stash of nothing but
oddments of one yarn in 30 lots. It prints and asserts nothing.
"""

from __future__ import annotations

import random
import resource
import subprocess
import sys
import time
from typing import Any

import pandas as pd

from weavefuncs.tables import allocate_stash, group_onto_warps

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


def warps(count: int, groups: int, longest: float, seed: int) -> str:
    """Group one order; say how it went."""
    yarns = pd.DataFrame({"name": list(WARP_YARNS), "put_up_length": 1680, "put_up_price": [14, 15, 17]})
    order = pieces(count, groups, random.Random(seed), longest)
    started = time.perf_counter()
    plan = group_onto_warps(order, LOOM, yarns)
    taken = time.perf_counter() - started
    found = f"{len(plan.warps)} warps, {100 * plan.saved / plan.cost_one_by_one:.0f} % saved"
    return f"{taken:7.2f} s  gap {100 * plan.gap:6.2f} %  {found}"


def stash(put_ups: int, needs: int, yarns: int, lots: int, oddments: float, seed: int) -> str:
    """Give out one stash; say how it went."""
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
    started = time.perf_counter()
    plan = allocate_stash(pd.DataFrame(lines), pd.DataFrame(wanted))
    taken = time.perf_counter() - started
    gaps = " ".join(f"{100 * gap:6.2f} %" for gap in plan.stages["gap"])
    return f"{taken:7.2f} s  gaps {gaps}  {plan.length_bought:.0f} m bought, {plan.broken} broken"


RUNS = {
    "20 pieces, 4 groups": "warps(20, 4, 0, {})",
    "200 pieces, 4 groups": "warps(200, 4, 0, {})",
    "2000 pieces, 4 groups": "warps(2000, 4, 0, {})",
    "200 pieces, 1 group": "warps(200, 1, 0, {})",
    "200 pieces, 1 group, any length": "warps(200, 1, 120, {})",
    "200 pieces, 1 group, hard": "warps(200, 1, 240, {})",
    "30 put-ups, 4 pieces of 2 colours": "stash(30, 4, 3, 3, 0.4, {})",
    "300 put-ups, 40 pieces of 2 colours": "stash(300, 40, 30, 3, 0.4, {})",
    "3000 put-ups, 400 pieces of 2 colours": "stash(3000, 400, 300, 3, 0.4, {})",
    "300 put-ups, 40 pieces, 10 yarns": "stash(300, 40, 10, 3, 0.4, {})",
    "300 oddments, 40 pieces, 10 yarns": "stash(300, 40, 10, 3, 1.0, {})",
    "300 oddments, 40 pieces, hard": "stash(300, 40, 1, 30, 1.0, {})",
}


def main() -> None:
    """Print a line for each run and each of three random orders or stashes."""
    for label, call in RUNS.items():
        for seed in (1, 2, 3):
            command = [sys.executable, __file__, call.format(seed)]
            said = subprocess.run(command, check=True, capture_output=True, text=True).stdout.strip()
            print(f"{label:40} {said}", flush=True)


if __name__ == "__main__":
    if len(sys.argv) > 1:
        line = eval(sys.argv[1])  # one of the lines above
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"{line}  {peak:.0f} MiB")
    else:
        main()
