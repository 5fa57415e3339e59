"""Whole tables at once: an order book, kits, a stash, a shopping list, records.

A table is a pandas frame. Each function is an attribute of this package; its module, and with it numpy
and pandas, is loaded when the function is first asked for.
"""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from weavefuncs.tables.allocation import StashPlan, allocate_stash
    from weavefuncs.tables.batch import BatchCost, add_up, cost_batch
    from weavefuncs.tables.exchange import StashRead, read_stash, write_csv, write_tables
    from weavefuncs.tables.kits import KitPrices, price_kits
    from weavefuncs.tables.money import rounded
    from weavefuncs.tables.past import NextAllowances, next_allowances
    from weavefuncs.tables.shopping import ShoppingList, shopping_list
    from weavefuncs.tables.warps import WarpPlan, group_onto_warps

MODULES = {
    "BatchCost": "batch",
    "KitPrices": "kits",
    "NextAllowances": "past",
    "ShoppingList": "shopping",
    "StashPlan": "allocation",
    "StashRead": "exchange",
    "WarpPlan": "warps",
    "add_up": "batch",
    "allocate_stash": "allocation",
    "cost_batch": "batch",
    "group_onto_warps": "warps",
    "next_allowances": "past",
    "price_kits": "kits",
    "read_stash": "exchange",
    "rounded": "money",
    "shopping_list": "shopping",
    "write_csv": "exchange",
    "write_tables": "exchange",
}

__all__ = [
    "BatchCost",
    "KitPrices",
    "NextAllowances",
    "ShoppingList",
    "StashPlan",
    "StashRead",
    "WarpPlan",
    "add_up",
    "allocate_stash",
    "cost_batch",
    "group_onto_warps",
    "next_allowances",
    "price_kits",
    "read_stash",
    "rounded",
    "shopping_list",
    "write_csv",
    "write_tables",
]


def __getattr__(name: str) -> object:
    module = MODULES.get(name)
    if module is None:
        raise AttributeError(f"module 'weavefuncs.tables' has no attribute {name!r}")
    value = getattr(__import__(f"weavefuncs.tables.{module}", fromlist=[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
