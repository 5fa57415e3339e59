"""Kits: allowance, kits in stock, limiting yarn, cost, fees, price, break-even."""

from __future__ import annotations

from decimal import Decimal

import numpy as np
import pandas as pd
import pytest

import weavefuncs as wf
from weavefuncs import tables

YARNS = pd.DataFrame(
    {
        "name": ["oat", "rust", "moss"],
        "yarn": ["110 m/100 g", "110 m/100 g", "120 m/100 g"],
        "colour": ["oat", "rust", "green"],
        "length": [3000, 500.0, 900],
        "put_up_length": [550, 110, 120],
        "put_up_price": [31.0, 7.5, 8],
    }
)
RECIPES = pd.DataFrame(
    {
        "kit": ["hanging", "hanging", "hanging", "mat"],
        "yarn": ["oat", "rust", "Moss", "oat"],
        "length": [100, 36.0, 50, 210],
        "hours": [0.5, None, None, 0.4],
        "extras": [None, 3.5, None, None],
        "setup": [180.0, None, None, None],
        "price": [None, None, None, 45],
    }
)
SETTINGS = {
    "wage": 20,
    "overhead": 3,
    "spread": 0.08,
    "risk": 0.1,
    "margin": 0.35,
    "fee_rate": 0.09,
    "fee_flat": 0.4,
    "winding_loss": 0.02,
}


def priced(
    recipes: pd.DataFrame = RECIPES, yarns: pd.DataFrame = YARNS, **changed: object
) -> tables.KitPrices:
    return tables.price_kits(
        recipes, yarns, {**SETTINGS, **changed}, recipes_sheet="Kits", yarns_sheet="Yarns"
    )


def told(result: tables.KitPrices) -> list[tuple[object, ...]]:
    return list(result.problems[["sheet", "row", "column", "effect"]].itertuples(index=False, name=None))


def test_a_kit_is_the_functions_called_one_by_one() -> None:
    result = priced()
    kit = result.kits.iloc[0]
    lengths, per_metre = (100, 36, 50), (31 / 550, 7.5 / 110, 8 / 120)
    amounts = [wf.yarn_to_buy(length, 0.08, 0.1 / 3) for length in lengths]
    taken = [amount / 0.98 for amount in amounts]
    materials = wf.kit_cost(amounts, per_metre, 3.5, 0.02)
    each = materials + 0.5 * 23
    to_ask = wf.price_for_net(wf.price_from_margin(each, 0.35), 0.09, 0.4)
    net = wf.net_after_fees(to_ask, 0.09, 0.4)
    expected = {
        "yarn_cost": materials - 3.5,
        "extras": 3.5,
        "labour": 10,
        "overhead": 1.5,
        "unit_cost": each,
        "price_to_ask": to_ask,
        "price": to_ask,
        "fees": to_ask - net,
        "net": net,
        "profit": net - each,
        "margin": 0.35,
    }
    assert {name: kit[name] for name in expected} == pytest.approx(expected)
    stock = [3000, 500, 900]
    assert kit["in_stock"] == wf.kits_from_stock(stock, taken) == 11
    assert kit["limiting_yarn"] == wf.limiting_yarn(stock, taken, ["oat", "rust", "moss"]) == "rust"
    assert kit["break_even"] == wf.break_even_quantity(180, net, each)
    assert result.yarn["with_allowance"].tolist()[:3] == pytest.approx(amounts)
    assert result.yarn["taken"].tolist()[:3] == pytest.approx(taken)
    assert result.yarn["cost"].sum() == pytest.approx(result.kits["yarn_cost"].sum())
    assert result.problems.empty


def test_settings_may_be_exact_decimals() -> None:
    exact = priced(**{name: Decimal(str(value)) for name, value in SETTINGS.items()})
    assert exact.kits["unit_cost"].tolist() == pytest.approx(priced().kits["unit_cost"].tolist())
    # Half an hour at 20 is 10, and at 3 it is 1.5.
    assert exact.kits.loc[0, ["labour", "overhead"]].tolist() == [10, 1.5]


def test_a_price_that_is_asked_is_taken() -> None:
    mat = priced().kits.iloc[1]
    assert mat["price"] == 45
    assert mat["net"] == pytest.approx(wf.net_after_fees(45, 0.09, 0.4))
    assert mat["margin"] == pytest.approx(wf.margin(mat["net"], mat["unit_cost"]))
    # One yarn has the whole risk to itself.
    assert priced().yarn["with_allowance"].iloc[3] == pytest.approx(wf.yarn_to_buy(210, 0.08, 0.1))


def test_markup_and_margin() -> None:
    by_markup = priced(margin=None, markup=0.5).kits.iloc[0]
    assert by_markup["net"] == pytest.approx(1.5 * by_markup["unit_cost"])
    assert by_markup["margin"] == pytest.approx(1 / 3)


@pytest.mark.parametrize("alike", [0, 0.6, 1])
@pytest.mark.parametrize("risk", [0.02, 0.1])
def test_no_more_than_the_chosen_share_of_kits_runs_short(alike: float, risk: float) -> None:
    # Makers of kits who use more of one yarn may use more of all: from not at all to wholly alike.
    made = 200_000
    generator = np.random.default_rng(11)
    packed = priced(risk=risk).yarn.iloc[:3]
    common = generator.standard_normal((made, 1))
    own = generator.standard_normal((made, 3))
    scatter = np.sqrt(alike) * common + np.sqrt(1 - alike) * own
    used = packed["length"].to_numpy() * (1 + 0.08 * scatter)
    short = (used > packed["with_allowance"].to_numpy()).any(axis=1).mean()
    assert short < risk
    if alike == 0:
        # And the allowance is no larger than it must be.
        assert short > 0.9 * risk


def test_needs_for_a_shopping_list() -> None:
    result = priced()
    needs = result.needs({"hanging": 12, "mat": 3})
    assert needs.groupby("name")["length"].sum()["oat"] == pytest.approx(
        12 * result.yarn["taken"].iloc[0] + 3 * result.yarn["taken"].iloc[3]
    )
    assert list(result.needs({"mat": 2})["name"]) == ["oat"]
    with pytest.raises(wf.WeaveError, match="kits that are priced: hanging, mat; got 'rug'"):
        result.needs({"rug": 1})
    with pytest.raises(wf.WeaveError, match="quantity must be a whole number"):
        result.needs({"mat": 1.5})


def test_no_number_of_kits_breaks_even() -> None:
    result = priced(RECIPES.assign(price=[10, None, None, 45]))
    assert result.kits["break_even"].isna().tolist() == [True, False]
    assert told(result) == [("Kits", 1, "price", "told only")]
    assert "no number of kits earns the setup back" in result.problems["problem"].iloc[0]


@pytest.mark.parametrize(
    ("price", "net"),
    [(0.25, -0.375), (1, 0.0)],  # by hand, of a half and a flat fee of a half
)
def test_a_price_that_fees_eat_up_is_a_loss_and_no_margin(price: float, net: float) -> None:
    result = priced(RECIPES.assign(price=[price, None, None, 45]), fee_rate=0.5, fee_flat=0.5)
    kit = result.kits.iloc[0]
    assert (kit["kit"], kit["price"], kit["net"], kit["fees"]) == ("hanging", price, net, price - net)
    assert kit["profit"] == pytest.approx(net - kit["unit_cost"])
    assert result.kits["margin"].isna().tolist() == [True, False]
    assert told(result) == [("Kits", 1, "price", "told only")]
    assert result.problems["problem"].iloc[0].startswith(f"a kit brings in {net:.2f} and costs ")
    assert result.needs({"hanging": 1})["name"].tolist() == ["oat", "rust", "moss"]


def test_a_line_in_error_leaves_its_kit_out_and_no_other() -> None:
    recipes = RECIPES.astype(object)
    recipes.loc[1, "length"] = "36 m"
    result = priced(recipes)
    assert list(result.kits["kit"]) == ["mat"]
    assert told(result) == [
        ("Kits", 1, "kit", "row left out"),
        ("Kits", 2, "length", "row left out"),
        ("Kits", 3, "kit", "row left out"),
    ]
    assert "another line of hanging is in error" in result.problems["problem"].iloc[0]


def test_the_same_yarn_or_value_twice_in_a_kit() -> None:
    twice = priced(RECIPES.assign(yarn=["oat", "Oat", "moss", "oat"]))
    assert list(twice.kits["kit"]) == ["mat"]
    assert "stands in this kit already, in row 1" in twice.problems["problem"].iloc[1]
    other = priced(RECIPES.assign(hours=[0.5, 0.5, 0.7, 0.4]))
    assert told(other) == [("Kits", 3, "hours", "cell not used")]
    assert other.kits["hours"].tolist() == [0.5, 0.4]


def test_stock_that_is_not_known() -> None:
    result = priced(yarns=YARNS.assign(length=[3000, -2, 900]))
    assert told(result) == [("Yarns", 2, "length", "cell not used"), ("Kits", 1, "yarn", "told only")]
    assert pd.isna(result.kits["in_stock"].iloc[0])
    assert result.kits["in_stock"].iloc[1] == 12
    nothing = priced(yarns=YARNS.drop(columns="length"))
    assert nothing.kits["in_stock"].isna().all()


def test_nothing_to_price_and_settings_missed() -> None:
    empty = priced(RECIPES.iloc[:0])
    for table in ("kits", "yarn"):
        pd.testing.assert_series_equal(getattr(empty, table).dtypes, getattr(priced(), table).dtypes)
    assert [kind.kind for kind in empty.yarn.dtypes[3:]] == ["f"] * 5
    with pytest.raises(wf.WeaveError, match=r"^spread must be given"):
        priced(spread=None)
    assert priced(RECIPES.assign(spread=0.08), spread=None).kits.equals(priced().kits)
    with pytest.raises(wf.WeaveError, match=r"^yarn must be given \(as a column of Kits\)"):
        priced(RECIPES.drop(columns="yarn"))
