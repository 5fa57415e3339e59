"""Compare every closed form with its evaluation to 50 digits, for random arguments over their whole range.

Arguments lean towards the ends of their ranges, where differences lose digits. What an argument's own
rounding does is worked out too, by moving each argument by half a unit in its last place: no float function
can do better there, and only what goes beyond it and beyond 1e-12 counts as a failure.

    python tests/trust/accuracy.py [--samples 2000] [--seed 1] [--only NAME] [--record]

2,000 samples take about ten minutes of one processor.
"""

from __future__ import annotations

import argparse
import json
import math
import platform
import sys
import time
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import Any

import mpmath
import numpy as np
import pandas as pd
from mpmath import mp, mpf

import weavefuncs
from weavefuncs.errors import WeaveError

RECORD = Path(__file__).parent / "records" / "accuracy.json"
OPEN = 8
DIGITS = 50
ALLOWED = 1e-12
HALF_UNIT = mpf(2) ** -53
# How many times the effect of the arguments' own rounding a result may be off.
ROUNDINGS = 16

Draw = Callable[[Random], list[Any]]

# Exact by definition.
METRES = {"mm": "0.001", "cm": "0.01", "m": "1", "km": "1000", "in": "0.0254", "ft": "0.3048", "yd": "0.9144"}
GRAMS = {"g": "1", "kg": "1000", "oz": "28.349523125", "lb": "453.59237"}
PER = {"in": "1", "cm": "2.54"}
# Ends and intersections of the repeat.
WEAVES = {
    "plain": (2, 2),
    "2/2 twill": (4, 2),
    "1/3 twill": (4, 2),
    "2/3/1/2 twill": (8, 4),
    "8 satin 3": (8, 2),
}


def size(low: float = 1e-9, high: float = 1e9) -> Callable[[Random], float]:
    """Draw a number of any size."""
    return lambda source: min(max(10 ** source.uniform(math.log10(low), math.log10(high)), low), high)


def share(low: float = 0.0, high: float = math.nextafter(1.0, 0.0)) -> Callable[[Random], float]:
    """Draw a share, often near 0 or near 1."""

    def draw(source: Random) -> float:
        what = source.random()
        number = source.random()
        if what < 0.35:
            number = 10 ** -source.uniform(1, 17)
        elif what < 0.7:
            number = 1 - 10 ** -source.uniform(1, 16)
        return min(max(low + (high - low) * number, low), high)

    return draw


def whole(low: int, high: int) -> Callable[[Random], float]:
    return lambda source: float(round(size(low, high)(source)))


def yarn(source: Random) -> str:
    return f"{size(0.01, 1e6)(source)!r} tex"


def one_of(choices: Any) -> Callable[[Random], Any]:
    return lambda source: source.choice(list(choices))


def each(*draws: Callable[[Random], Any]) -> Draw:
    return lambda source: [draw(source) for draw in draws]


def longer_and_shorter(source: Random) -> list[Any]:
    """Draw two lengths, often very near each other."""
    shorter = size()(source)
    return [min(shorter * (1 + 10 ** source.uniform(-15, 1)), 1e9), shorter]


def records(source: Random) -> list[Any]:
    """Draw records, often very near each other."""
    middle, strays = size(1e-3, 1e8)(source), 10 ** source.uniform(-15, -0.5)
    return [[middle * (1 + strays * source.random()) for _ in range(source.choice((2, 2, 3, 5, 12, 40)))]]


# Peirce's geometry


def _lost(length: Any, angle: Any) -> Any:
    return length - ((length - angle) * mp.cos(angle) + mp.sin(angle))


def exact_rise(spacing: Any, crimp: Any) -> Any:
    """Return the rise of a thread; None where it has no room."""
    length, lost = spacing * (1 + crimp), spacing * crimp
    if lost == 0:
        return mpf(0)
    low, high = mpf(0), min(length, mp.pi / 2)
    if _lost(length, high) < lost:
        return None
    for _ in range(200):
        angle = (low + high) / 2
        if _lost(length, angle) < lost:
            low = angle
        else:
            high = angle
    return (length - low) * mp.sin(low) + 1 - mp.cos(low)


def exact_crimp(spacing: Any, height: Any) -> Any:
    """Return the crimp of a thread that rises so far; None where it has no room."""
    square = spacing**2 - height * (2 - height)
    if square < 0:
        return None
    straight = mp.sqrt(square)
    angle = 2 * mp.atan2(height, spacing + straight)
    return (straight + angle) / spacing - 1


def exact_highest(spacing: Any) -> Any:
    return mpf(1) if spacing >= 1 else 1 - mp.sqrt(1 - spacing**2)


def exact_other(crimp: Any, spacing: Any, other: Any) -> Any:
    risen = exact_rise(spacing, crimp)
    if risen is None or risen > 1 or 1 - risen > exact_highest(other):
        return None
    return exact_crimp(other, 1 - risen)


def exact_balanced(ends: Any, picks: Any) -> Any:
    warp_room, weft_room = exact_highest(picks), exact_highest(ends)
    if warp_room + weft_room < 1:
        return None
    return exact_crimp(picks, min(max(mpf(1) / 2, 1 - weft_room), warp_room))


def exact_closeness(one: Any, other: Any) -> Any:
    low, high = mpf(0), 1 / max(one, other)
    for _ in range(200):
        scale = (low + high) / 2
        if exact_highest(one * scale) + exact_highest(other * scale) < 1:
            low = scale
        else:
            high = scale
    return low


def bent(source: Random) -> tuple[float, float, float, float]:
    """Draw a spacing and a crimp that has room, with the two diameters: all but straight to upright."""
    angle = source.choice((10 ** source.uniform(-8, 0), source.uniform(0.01, 1.57), math.pi / 2))
    length = angle * (1 + source.choice((10 ** source.uniform(-12, 3), source.random())))
    length = max(length, (1 - math.cos(angle)) or 0)
    spacing = (length - angle) * math.cos(angle) + math.sin(angle)
    crimp = (length * angle**2 / 2 - angle**3 / 3) / spacing if angle < 1e-3 else length / spacing - 1
    both = size(1e-3, 1e3)(source)
    warp = both * source.uniform(0.1, 0.9)
    return spacing * both, max(min(crimp, 2.0), 0.0), warp, both - warp


def of_other(source: Random) -> list[Any]:
    spacing, crimp, warp, weft = bent(source)
    other = (warp + weft) * source.choice((source.uniform(0.05, 3), 1 + 10 ** source.uniform(-10, 0)))
    # The warp goes over the picks: their spacing is what its crimp has room in.
    return [crimp, other, spacing, warp, weft]


def close(source: Random) -> list[Any]:
    """Draw spacings and diameters of a cloth, some near jammed."""
    both = size(1e-3, 1e3)(source)
    spacings = [
        both * source.choice((source.uniform(0.05, 3), 10 ** source.uniform(-6, 3))) for _ in range(2)
    ]
    warp = both * source.uniform(0.1, 0.9)
    return [*spacings, warp, both - warp]


def jam(source: Random) -> list[Any]:
    warp, weft = size(1e-3, 1e3)(source), size(1e-3, 1e3)(source)
    return [(warp + weft) * share(1e-9, 1 - 2e-12)(source), warp, weft]


# Statistics


def normal_off(z: Any, probability: Any) -> Any:
    """Return the normal quantile of a share, from a float near it by three of Newton's steps."""
    for _ in range(3):
        below = mp.ncdf(z)
        z -= (below - probability) / mp.npdf(z)
    return z


def exact_normal(probability: Any) -> Any:
    from statistics import NormalDist

    return normal_off(mpf(NormalDist().inv_cdf(float(probability))), probability)


def exact_student(probability: Any, freedom: int) -> Any:
    """Return the quantile of Student's distribution, by Newton's steps from that of another library."""
    from scipy.stats import t as student

    t = mpf(float(student.ppf(float(probability), freedom)))
    half = mpf(freedom) / 2
    constant = mp.gamma(half + mpf(1) / 2) / mp.gamma(half) / mp.sqrt(mp.pi * freedom)
    if t == 0:  # the other library rounds off what is so near the middle
        t = (probability - mpf(1) / 2) / constant
    for _ in range(3):
        density = constant * (1 + t * t / freedom) ** (-half - mpf(1) / 2)
        within = mp.betainc(mpf(1) / 2, half, 0, t * t / (freedom + t * t), regularized=True) / 2
        t -= (within - (probability - mpf(1) / 2)) / density
    return t


def exact_spread(values: list[Any]) -> tuple[Any, Any]:
    mean = sum(values) / len(values)
    return mean, mp.sqrt(sum((value - mean) ** 2 for value in values) / (len(values) - 1))


def exact_share(values: list[Any]) -> Any:
    mean, deviation = exact_spread(values)
    return deviation / mean


def exact_allowance(values: list[Any], confidence: Any) -> Any:
    if len(values) == 1:
        return values[0] * (1 + exact_normal(confidence) * mpf("0.1") * mp.sqrt(2))
    mean, deviation = exact_spread(values)
    return mean + exact_student(confidence, len(values) - 1) * deviation * mp.sqrt(1 + mpf(1) / len(values))


def tex_of_cotton() -> Any:
    return mpf("453592.37") / mpf("0.9144") / 840


def diameters(tex: Any, constant: Any) -> Any:
    return constant * mp.sqrt(mpf("453592.37") / mpf("0.9144") / tex)


def closeness_of(weave: str) -> Any:
    ends, crossings = WEAVES[weave]
    return mpf(ends) / (ends + crossings)


def half_up(amount: Any, decimals: int) -> Any:
    """Round money as in trade; None where an amount lies so near a half that dust decides."""
    scaled = abs(amount) * mpf(10) ** decimals
    # An amount that float arithmetic cannot tell from a half is rounded up by design.
    if abs(scaled - mp.floor(scaled) - mpf(1) / 2) < 2e-6:
        return None
    return mp.sign(amount) * mp.floor(scaled + mpf(1) / 2) / mpf(10) ** decimals


# Every function: what is drawn, and what it should give. A case may be called by another way than its name.
length, sett, per, crimp_to_2 = size(), size(1e-3, 1e4), one_of(PER), share(0.0, 2.0)
CASES: dict[str, tuple[Draw, Callable[..., Any]]] = {
    "count": (
        each(yarn, one_of(("tex", "Nm", "Ne"))),
        lambda tex, system: {"tex": tex, "Nm": 1000 / tex, "Ne": tex_of_cotton() / tex}[system],
    ),
    "plied": (
        lambda source: [[yarn(source) for _ in range(3)], share()(source)],
        lambda yarns, take_up: sum(yarns) / (1 - take_up),
    ),
    "yarn_length": (
        each(length, yarn, one_of(GRAMS), one_of(METRES)),
        lambda mass, tex, unit, to: mass * mpf(GRAMS[unit]) * 1000 / tex / mpf(METRES[to]),
    ),
    "yarn_mass": (
        each(length, yarn, one_of(METRES), one_of(GRAMS)),
        lambda long, tex, unit, to: long * mpf(METRES[unit]) * tex / 1000 / mpf(GRAMS[to]),
    ),
    "yarn_diameters": (
        each(yarn, size(1e-3, 2), per),
        lambda tex, k, unit: diameters(tex, k) / mpf(PER[unit]),
    ),
    "yarn_diameter": (each(yarn, size(0.1, 10)), lambda tex, volume: mp.sqrt(tex * volume / 250 / mp.pi)),
    "sett_from_wraps": (
        each(sett, one_of(WEAVES), size(1e-3, 2)),
        lambda wraps, weave, firm: wraps * closeness_of(weave) * firm,
    ),
    "sett_from_diameters": (
        each(yarn, one_of(WEAVES), size(1e-3, 2), size(1e-3, 2), per),
        lambda tex, weave, k, firm, unit: diameters(tex, k) * closeness_of(weave) * firm / mpf(PER[unit]),
    ),
    "sett_for_yarns": (
        each(yarn, yarn, one_of(WEAVES), size(1e-3, 2), size(1e-3, 2), per),
        lambda warp, weft, weave, k, firm, unit: (
            WEAVES[weave][0]
            / (WEAVES[weave][0] / diameters(warp, k) + WEAVES[weave][1] / diameters(weft, k))
            * firm
            / mpf(PER[unit])
        ),
    ),
    "weft_faced_sett": (
        each(yarn, yarn, size(1e-3, 2), per),
        lambda warp, weft, k, unit: 1 / (1 / diameters(warp, k) + 2 / diameters(weft, k)) / mpf(PER[unit]),
    ),
    "weft_faced_picks": (
        each(yarn, size(1e-3, 2), per),
        lambda tex, k, unit: 2 * diameters(tex, k) / mpf(PER[unit]),
    ),
    "sett_from_float": (
        each(yarn, one_of(WEAVES), size(1e-3, 1e4), size(1e-3, 1), per),
        lambda tex, weave, k, power, unit: (
            (mpf(WEAVES[weave][0]) / WEAVES[weave][1]) ** power
            * mp.sqrt(k * tex_of_cotton() / tex)
            / mpf(PER[unit])
        ),
    ),
    "sett_for_new_yarn": (each(sett, yarn, yarn), lambda per_unit, old, new: per_unit * mp.sqrt(old / new)),
    "sett_for_new_weave": (
        each(sett, one_of(WEAVES), one_of(WEAVES)),
        lambda per_unit, old, new: per_unit * closeness_of(new) / closeness_of(old),
    ),
    "twill_angle": (
        each(size(1e-9, 1e4), size(1e-9, 1e4), whole(1, 1000), whole(1, 1000)),
        lambda ends, picks, up, along: mp.degrees(mp.atan2(up / picks, along / ends)),
    ),
    "picks_for_angle": (
        each(size(1e-3, 1e2), lambda source: 1 + 88 * share()(source), whole(1, 100), whole(1, 100)),
        lambda ends, angle, up, along: ends * up / (along * mp.tan(mp.radians(angle))),
    ),
    "finished_sett": (
        each(sett, share(), share()),
        lambda per_unit, shrunk, drawn: per_unit / ((1 - shrunk) * (1 - drawn)),
    ),
    "cover_factor": (
        each(sett, yarn, per),
        lambda threads, tex, unit: threads * mpf(PER[unit]) / mp.sqrt(tex_of_cotton() / tex),
    ),
    "cloth_cover": (each(share(0, 28.0), share(0, 28.0)), lambda warp, weft: warp + weft - warp * weft / 28),
    "sleyed_sett": (
        each(one_of(("1-1-2", "1-2", "0-1-1")), sett),
        lambda order, dents: mpf(sum(map(int, order.split("-")))) / len(order.split("-")) * dents,
    ),
    "reed_dents": (
        each(size(1e-3, 1e4), one_of(("Stockport", "metric"))),
        lambda number, system: number / 2 if system == "Stockport" else None,
    ),
    "peg_sett": (each(sett, size(1e-3, 100)), lambda pegs, threads: pegs * threads),
    "crimp": (longer_and_shorter, lambda long, short: (long - short) / short),
    "take_up": (longer_and_shorter, lambda long, short: (long - short) / long),
    "crimp_from_take_up": (each(share()), lambda taken: taken / (1 - taken)),
    "take_up_from_crimp": (each(crimp_to_2), lambda crimp: crimp / (1 + crimp)),
    "contraction_estimate": (
        each(size(1e-3, 100), one_of(("plain",)), yarn, size(1e-3, 5)),
        lambda picks, weave, tex, k: k * picks * tex / tex_of_cotton() / 100,
    ),
    "shrinkage": (longer_and_shorter, lambda before, after: (before - after) / before),
    "draw_in": (longer_and_shorter, lambda before, after: (before - after) / before),
    "length_to_weave": (each(length, share()), lambda long, shrunk: long / (1 - shrunk)),
    "width_in_reed": (each(length, share(), share()), lambda wide, one, two: wide / (1 - one) / (1 - two)),
    "warp_length": (
        each(length, whole(1, 10**6), length, share(), length),
        lambda woven, pieces, between, taken, waste: (
            pieces * woven / (1 - taken) + (pieces - 1) * between + waste
        ),
    ),
    "warp_yarn": (each(whole(1, 10**6), length), lambda ends, long: ends * long),
    "frame_warp_yarn": (each(whole(1, 10**6), length, length), lambda ends, long, tie: ends * long + tie),
    "frame_usable_length": (
        lambda source: [*longer_and_shorter(source), share()(source)],
        lambda long, unweavable, taken: (long - unweavable) * (1 - taken),
    ),
    "warp_turns": (each(length, length), lambda long, turn: long / turn),
    "yarn_to_buy": (
        each(length, crimp_to_2, share(1e-300, 0.5)),
        lambda amount, strays, risk: amount * (1 - exact_normal(risk) * strays),
    ),
    "yarn_at_least": (
        each(length, share(0, 0.3), share(1e-6, 0.5)),
        lambda amount, strays, risk: amount * (1 + exact_normal(risk) * strays),
    ),
    "need_spread": (
        each(crimp_to_2, crimp_to_2, crimp_to_2, crimp_to_2, share()),
        lambda a, b, c, d, fixed: (
            (1 - fixed) * mp.sqrt((1 + a * a) * (1 + b * b) * (1 + c * c) * (1 + d * d) - 1)
        ),
    ),
    "float_length": (each(whole(1, 10**7), sett), lambda threads, per_unit: threads / per_unit),
    "float_span": (
        each(whole(1, 10**7), sett, share(), share()),
        lambda threads, per_unit, one, two: threads / per_unit * (1 - one) * (1 - two),
    ),
    "float_slack": (
        lambda source: [
            whole(1, 10**7)(source),
            sett(source),
            (one := share()(source)),
            (two := share()(source)),
            source.choice((0.0, source.random())) * max(one, two),
        ],
        lambda threads, per_unit, one, two, own: threads / per_unit * (1 - own - (1 - one) * (1 - two)),
    ),
    "float_sag": (
        each(length, size(1e-15, 1e9)),
        lambda span, slack: mp.sqrt(mpf(3) / 16 * ((span + slack) ** 2 - span**2)),
    ),
    "chevron_height": (each(whole(1, 10**7), sett), lambda rows, per_unit: rows / per_unit),
    "cloth_mass": (
        each(sett, yarn, crimp_to_2, sett, yarn, crimp_to_2, per),
        lambda ends, warp, one, picks, weft, two, unit: (
            (ends * warp * (1 + one) + picks * weft * (1 + two)) / 1000 / mpf(METRES[unit])
        ),
    ),
    "crimp_height": (
        each(length, share(0, 0.571), size(1, 2)),
        lambda spacing, crimp, k: k * spacing * mp.sqrt(crimp),
    ),
    "cloth_thickness": (each(length, length, length, length), lambda a, b, c, d: max(a + b, c + d)),
    "crimp_height_exact": (
        lambda source: list(bent(source)),
        lambda spacing, crimp, warp, weft: (
            None if (risen := exact_rise(spacing / (warp + weft), crimp)) is None else risen * (warp + weft)
        ),
    ),
    "weft_crimp_exact": (
        of_other,
        lambda crimp, ends, picks, warp, weft: exact_other(
            crimp, picks / (warp + weft), ends / (warp + weft)
        ),
    ),
    "balanced_crimp": (
        lambda source: ["warp", *close(source)],
        lambda system, ends, picks, warp, weft: exact_balanced(ends / (warp + weft), picks / (warp + weft)),
    ),
    "cloth_closeness": (
        close,
        lambda ends, picks, warp, weft: exact_closeness(ends / (warp + weft), picks / (warp + weft)),
    ),
    "jammed_spacing": (
        jam,
        lambda spacing, warp, weft: (
            (warp + weft) * mp.sqrt(1 - (1 - mp.sqrt(1 - (spacing / (warp + weft)) ** 2)) ** 2)
        ),
    ),
    "sett_for_cloth_weight": (each(sett, length, length), lambda per_unit, old, new: per_unit * old / new),
    "weaving_hours": (
        each(whole(1, 10**7), size(1e-3, 1e4), share(1e-9, 1.0)),
        lambda picks, speed, share_of: picks / speed / 60 / share_of,
    ),
    "hours_for": (each(length, length), lambda count, per_hour: count / per_hour),
    "cloth_per_hour": (
        each(size(1e-3, 1e4), sett, share(1e-9, 1.0)),
        lambda speed, picks, share_of: speed * 60 / picks * share_of,
    ),
    "batch_cost": (each(length, length, whole(1, 10**6)), lambda setup, one, count: setup + one * count),
    "unit_cost": (each(length, length, whole(1, 10**6)), lambda setup, one, count: setup / count + one),
    "price_from_markup": (each(length, share(0, 10)), lambda cost, more: cost * (1 + more)),
    "price_from_margin": (each(length, share()), lambda cost, margin: cost / (1 - margin)),
    "markup": (longer_and_shorter, lambda price, cost: (price - cost) / cost),
    "margin": (longer_and_shorter, lambda price, cost: (price - cost) / price),
    "net_after_fees": (each(length, share(), length), lambda price, rate, flat: price * (1 - rate) - flat),
    "price_for_net": (each(length, share(), length), lambda net, rate, flat: (net + flat) / (1 - rate)),
    "kit_cost": (
        lambda source: [
            [length(source) for _ in range(5)],
            [length(source) for _ in range(5)],
            length(source),
            share()(source),
        ],
        lambda amounts, prices, extras, lost: (
            sum(a * b for a, b in zip(amounts, prices)) / (1 - lost) + extras
        ),
    ),
    "length_left": (
        lambda source: [*longer_and_shorter(source), yarn(source)],
        lambda weighed, tare, tex: (weighed - tare) * 1000 / tex,
    ),
    "short_by": (
        longer_and_shorter,
        lambda needed, have: needed - have if needed - have > needed * mpf(1e-11) else None,
    ),
    "stash_value": (each(length, length, length), lambda left, put_up, price: left / put_up * price),
    "allowance": (lambda source: [records(source)[0], share(0.5, 1 - 1e-13)(source)], exact_allowance),
    "allowance of one": (
        lambda source: [[size(1e-3, 1e8)(source)], share(0.5, 1 - 1e-13)(source)],
        exact_allowance,
    ),
    "spread": (records, exact_share),
    "Student's quantile": (
        each(share(0.5, 1 - 2**-52), whole(1, 1000)),
        lambda chance, freedom: exact_student(chance, int(freedom)),
    ),
    "money rounded": (
        lambda source: [10 ** source.uniform(-3, 12) * source.choice((1, -1)), source.randint(0, 6)],
        lambda amount, decimals: half_up(amount, int(decimals)),
    ),
}


def _student(chance: float, freedom: float) -> float:
    from weavefuncs._student import quantile

    return quantile(chance, int(freedom))


def _money(amount: float, decimals: int) -> float:
    from weavefuncs.tables.money import _half_up

    return float(_half_up(pd.Series([amount], dtype=np.float64), decimals)[0])


OTHERWISE: dict[str, Callable[..., Any]] = {
    "allowance of one": weavefuncs.allowance,
    "Student's quantile": _student,
    "money rounded": _money,
}


def exactly(value: Any) -> Any:
    """Take a float for the number that it is."""
    if isinstance(value, float):
        return mpf(value)
    if isinstance(value, list):
        return [exactly(item) for item in value]
    return (
        mpf(float(value.removesuffix(" tex"))) if isinstance(value, str) and value.endswith(" tex") else value
    )


def moved(values: list[Any]) -> Any:
    """Give the arguments with one number moved by half a unit in its last place, for each number in turn."""
    for place, value in enumerate(values):
        if isinstance(value, list):
            for item in range(len(value)):
                changed = list(value)
                changed[item] = value[item] * (1 + HALF_UNIT)
                yield [*values[:place], changed, *values[place + 1 :]]
        elif isinstance(value, mpmath.mpf):
            yield [*values[:place], value * (1 + HALF_UNIT), *values[place + 1 :]]


def unavoidable(exact: Callable[..., Any], values: list[Any], result: Any) -> float:
    """Return what the rounding of the arguments alone does to a result, relatively."""
    total = mpf(0)
    for other in moved(values):
        changed = exact(*other)
        if changed is None:  # at the edge of what is possible
            return math.inf
        total += abs(changed - result)
    return float(total / abs(result)) if result else math.inf


def measure(name: str, samples: int, seed: int) -> tuple[int, float, float, list[Any]]:
    """Return the samples compared, the worst error, the worst that counts, and the arguments of that."""
    mp.dps = DIGITS
    draw, exact = CASES[name]
    function = OTHERWISE.get(name) or getattr(weavefuncs, name)
    source = Random(f"{seed}:{name}")
    compared, worst, counted, where = 0, 0.0, 0.0, []
    for _ in range(samples):
        arguments = draw(source)
        try:
            found = function(*arguments)
        except WeaveError:
            continue
        values = exactly(arguments)
        result = exact(*values)
        if result is None:
            continue
        compared += 1
        off = float(abs(mpf(found) - result) / abs(result)) if result else float(abs(found) > 1e-300)
        worst = max(worst, off)
        if off > max(counted, ALLOWED):
            off = 0.0 if off <= ROUNDINGS * unavoidable(exact, values, result) else off
        if off > counted:
            counted, where = off, arguments
    return compared, worst, counted, where


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--samples", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", action="append", default=[])
    parser.add_argument("--record", action="store_true")
    options = parser.parse_args()
    rows, failed = [], 0
    for name in options.only or CASES:
        compared, worst, counted, where = measure(name, options.samples, options.seed)
        failed += counted >= ALLOWED
        rows.append([name, f"{compared:,}", f"{counted:.1e}", f"{worst:.1e}"])
        print(f"{name}: {compared} compared, {counted:.2g}, with what arguments round {worst:.2g}",
              where if counted > ALLOWED else "", flush=True)  # fmt: skip
    if options.record:
        found = json.loads(RECORD.read_text())["found"] if RECORD.exists() else []
        RECORD.parent.mkdir(exist_ok=True)
        record = {
            "title": "Closed forms against 50 digits: worst relative errors",
            "command": f"python tests/trust/accuracy.py --samples {options.samples} --seed {options.seed}",
            "measured": f"{time.strftime('%Y-%m-%d')}, 1 process, Python {platform.python_version()}",
            "columns": [
                "function",
                "compared",
                "worst error",
                "worst where the arguments' own rounding does as much",
            ],
            # The worst stand open.
            "rows": (ordered := sorted(rows, key=lambda row: -float(row[2])))[:OPEN],
            "folded": ordered[OPEN:],
            "found": found,
        }
        RECORD.write_text(json.dumps(record, indent=1, ensure_ascii=False) + "\n")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
