"""Published rules of production and of pricing crafts."""

from __future__ import annotations

import pytest

import weavefuncs as wf

INCHES_IN_A_YARD = 36


def test_yards_an_hour() -> None:
    # Printed: 192 picks a minute at 80 an inch are 4 yd an hour, 3 at 75 %.
    assert wf.cloth_per_hour(192, 80) / INCHES_IN_A_YARD == pytest.approx(4, abs=0.005)
    assert wf.cloth_per_hour(192, 80, 0.75) / INCHES_IN_A_YARD == pytest.approx(3, abs=0.005)
    # The other way round: the picks of 3 yd take an hour.
    assert wf.weaving_hours(3 * INCHES_IN_A_YARD * 80, 192, 0.75) == pytest.approx(1)


@pytest.mark.parametrize(
    ("materials", "hours", "wage", "overhead", "wholesale"),
    [(18, 3, 15, 7, 70), (0, 1, 12, 0, 12), (5.5, 2.5, 20, 4.5, 60)],
)
def test_louisiana_wholesale_and_retail(
    materials: float, hours: float, wage: float, overhead: float, wholesale: float
) -> None:
    # LOUISIANA: wholesale = materials + hours × wage + overhead, retail twice that (figures invented).
    each = materials + wf.hours_for(hours, 1) * wage + overhead
    assert wf.unit_cost(0, each, 1) == pytest.approx(wholesale)
    assert wf.price_from_markup(wholesale, 1) == pytest.approx(2 * wholesale)
    # Twice the cost is a markup of all of it and a margin of half.
    assert wf.price_from_margin(wholesale, 0.5) == pytest.approx(2 * wholesale)
    assert wf.markup(2 * wholesale, wholesale) == pytest.approx(1)
    assert wf.margin(2 * wholesale, wholesale) == pytest.approx(0.5)


def test_mp598_materials_at_replacement_cost_wage_and_overhead() -> None:
    # MP598: a price carries materials at what they cost to replace, a fair wage for the time, and overhead.
    # Invented: 300 of 1500 m, a cone costing 40 today (8.00); 2 h at 16 (32.00); overhead 5.00.
    materials = wf.stash_value(300, 1500, 40)
    assert materials == pytest.approx(wf.kit_cost([300], [40 / 1500]))
    # Wage and overhead once for a batch of 4, or on each piece: the same cost of a piece.
    assert wf.unit_cost(4 * (32 + 5), materials, 4) == pytest.approx(45)
    assert wf.batch_cost(0, materials + 32 + 5, 4) == pytest.approx(180)
