"""Money rounded, once, at the end."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import TYPE_CHECKING, TypeVar

import numpy as np
import pandas as pd

from weavefuncs.errors import WeaveError

if TYPE_CHECKING:
    from typing import Any

    Result = TypeVar("Result")

# The columns of money in every result.
MONEY = frozenset(
    (
        "bought_cost",
        "cost",
        "each",
        "extras",
        "fees",
        "labour",
        "net",
        "overhead",
        "price",
        "price_to_ask",
        "profit",
        "setup",
        "takings",
        "unit_cost",
        "yarn_cost",
    )
)

# Money of a result that stands in no column.
SUMS = frozenset(("bound", "cost", "cost_one_by_one"))

# A half reached by arithmetic may lie this share below itself, and never further than the other.
DUST = 1e-12
MOST_DUST = 1e-6

# From here on a float has no fraction.
NO_FRACTION = 2.0**52

MOST_DECIMALS = 6


def rounded(result: Result, decimals: int = 2) -> Result:
    """Round the money of a result, for showing it.

    Parameters
    ----------
    result : BatchCost, KitPrices, ShoppingList, StashPlan, WarpPlan
        A result of this package.
    decimals : int, default 2
        Decimals of the currency: 2 for cents, 0 where there are none.

    Returns
    -------
    the same kind of result
        With every column and sum of money rounded; all else as it was.

    Raises
    ------
    WeaveError
        When the decimals are not a whole number from 0 to 6.

    Notes
    -----
    Halves round up, away from zero, as money is rounded in trade (not to the even digit): 2.675 becomes
    2.68, and so does a sum that lies below the half by the computer's rounding only. Each amount is rounded
    by itself, a total too: it is the rounded sum of exact lines, so lines read off and added may differ from
    it by a cent or two. Calculate with the unrounded result.
    """
    if isinstance(decimals, bool) or decimals not in range(MOST_DECIMALS + 1):
        raise WeaveError("decimals", f"a whole number from 0 to {MOST_DECIMALS}", decimals)
    changed: dict[str, Any] = {}
    for field in fields(result):  # type: ignore[arg-type]
        value = getattr(result, field.name)
        if isinstance(value, pd.DataFrame):
            money = [name for name in value.columns if name in MONEY]
            changed[field.name] = value.assign(**{name: _half_up(value[name], decimals) for name in money})
        elif field.name in SUMS:
            changed[field.name] = float(_half_up(pd.Series([value]), decimals).iloc[0])
    return replace(result, **changed)  # type: ignore[type-var]


def _half_up(amounts: pd.Series[Any], decimals: int) -> pd.Series[Any]:
    scaled = amounts.to_numpy(dtype=np.float64, na_value=np.nan) * 10.0**decimals
    size = np.abs(scaled)
    whole = np.where(size < NO_FRACTION, np.floor(size + np.minimum(size * DUST, MOST_DUST) + 0.5), size)
    # Adding 0.0 makes a minus zero a plain one.
    return pd.Series(np.sign(scaled) * whole / 10.0**decimals + 0.0, index=amounts.index)
