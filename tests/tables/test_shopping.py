"""The shopping list: whole put-ups over everything planned."""

from __future__ import annotations

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import weavefuncs as wf
from weavefuncs import tables

YARNS = pd.DataFrame(
    {
        "name": ["white", "blue", "grey"],
        "yarn": ["8/2 Ne"] * 3,
        "colour": ["white", "blue", "grey"],
        "lot": ["12", "7", ""],
        "length": [1000.0, None, 50],
        "put_up_length": [400, 400, None],
        "put_up_price": [9.5, 11, 8],
    }
)


def needs(**lengths: float) -> pd.DataFrame:
    return pd.DataFrame({"name": list(lengths), "length": list(lengths.values())})


def test_plans_are_summed_before_they_are_rounded_up() -> None:
    result = tables.shopping_list({"batch": needs(white=900, blue=150), "kits": needs(blue=240)}, YARNS)
    white, blue = (result.list.iloc[place] for place in (0, 1))
    # The stash covers the white; the two plans share one cone of blue.
    assert (white["short"], white["put_ups"], white["left"], white["cost"]) == (0, 0, 100, 0)
    assert (blue["needed"], blue["short"], blue["put_ups"]) == (390, 390, 1)
    assert (blue["bought"], blue["left"], blue["cost"]) == (400, wf.left_over(390, 400), 11)
    assert (blue["for batch"], blue["for kits"]) == (150, 240)
    assert result.totals.iloc[0].to_dict() == {"put_ups": 1, "cost": 11}
    assert list(result.list["name"]) == ["white", "blue"]
    assert result.problems.empty


@settings(deadline=None, derandomize=True, max_examples=25)
@given(st.lists(st.floats(0, 5000), min_size=1, max_size=4), st.floats(0, 3000), st.floats(1, 900))
def test_enough_is_bought_and_never_a_put_up_too_many(
    lengths: list[float], free: float, put_up: float
) -> None:
    yarns = pd.DataFrame(
        {"name": ["white"], "length": [free], "put_up_length": [put_up], "put_up_price": [3.0]}
    )
    plans = {f"plan {number}": needs(white=length) for number, length in enumerate(lengths)}
    result = tables.shopping_list(plans, yarns)
    if sum(lengths) == 0:
        assert result.list.empty
        return
    line = result.list.iloc[0]
    assert line["needed"] == pytest.approx(sum(lengths))
    assert line["left"] == pytest.approx(free + line["bought"] - sum(lengths), abs=1e-6)
    assert line["left"] >= 0
    assert line["put_ups"] == 0 or free + line["bought"] - put_up < sum(lengths) * (1 + 1e-9)


def test_what_cannot_be_counted_is_told() -> None:
    result = tables.shopping_list(needs(grey=90), YARNS, yarns_sheet="Yarns")
    line = result.list.iloc[0]
    assert line["short"] == 40
    assert pd.isna(line["put_ups"])
    assert pd.isna(line["cost"])
    assert result.problems[["sheet", "column", "effect"]].iloc[0].tolist() == [
        "Yarns",
        "put_up_length",
        "told only",
    ]
    priceless = tables.shopping_list(needs(blue=90), YARNS.assign(put_up_price=None))
    assert priceless.list["put_ups"].tolist() == [1]
    assert priceless.list["cost"].isna().all()
    assert priceless.problems["column"].tolist() == ["put_up_price"]
    bad = pd.DataFrame({"name": ["white", "pink", None, "blue"], "length": [-3, 10, 10, "10 m"]})
    told = tables.shopping_list({"projects": bad}, YARNS).problems
    assert list(told[["sheet", "row", "column"]].itertuples(index=False, name=None)) == [
        ("projects", 1, "length"),
        ("projects", 2, "name"),
        ("projects", 3, "name"),
        ("projects", 4, "length"),
    ]


def test_nothing_needed() -> None:
    result = tables.shopping_list(needs(), YARNS)
    assert result.list.empty
    assert result.totals.iloc[0].to_dict() == {"put_ups": 0, "cost": 0}
    with pytest.raises(wf.WeaveError, match="length must be given"):
        tables.shopping_list(pd.DataFrame({"name": ["white"]}), YARNS)
