"""What is handed over instead of a table or a mapping is refused by the name of its argument."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from weavefuncs import WeaveError, tables

TABLE = pd.DataFrame({"name": ["blue"]})
KITS = tables.KitPrices(pd.DataFrame({"kit": ["scarf"]}), TABLE, TABLE)
A_TABLE, A_MAPPING = "a pandas DataFrame", "a mapping such as a dict"


@pytest.mark.parametrize(
    ("name", "given", "refused", "must_be"),
    [
        ("cost_batch", ([{}], TABLE, {}), "orders", A_TABLE),
        ("cost_batch", (TABLE, {"name": ["blue"]}, {}), "yarns", A_TABLE),
        ("cost_batch", (TABLE, TABLE, pd.Series({"wage": 20})), "settings", A_MAPPING),
        ("cost_batch", (TABLE, TABLE, None), "settings", A_MAPPING),
        ("price_kits", (None, TABLE, {}), "recipes", A_TABLE),
        ("price_kits", (TABLE, "yarns.csv", {}), "yarns", A_TABLE),
        ("price_kits", (TABLE, TABLE, [("wage", 20)]), "settings", A_MAPPING),
        ("shopping_list", (TABLE, [{}]), "yarns", A_TABLE),
        ("shopping_list", ([{}], TABLE), "needs", f"{A_TABLE}, or a mapping of names to DataFrames"),
        (
            "shopping_list",
            ({"name": ["x"]}, TABLE),
            "needs",
            f"{A_TABLE}, or a mapping of names to DataFrames",
        ),
        ("next_allowances", (TABLE["name"],), "records", A_TABLE),
        ("allocate_stash", (TABLE["name"], TABLE), "yarns", A_TABLE),
        ("allocate_stash", (TABLE, {}), "needs", A_TABLE),
        ("group_onto_warps", ([{}], {}), "pieces", A_TABLE),
        ("group_onto_warps", (TABLE, ["waste"]), "loom", A_MAPPING),
        ("group_onto_warps", (TABLE, {}, "yarns.csv"), "yarns", A_TABLE),
        ("write_csv", ([["blue"]], "table.csv"), "table", A_TABLE),
    ],
)
def test_what_is_no_table_or_mapping_is_refused(
    name: str, given: tuple[Any, ...], refused: str, must_be: str, tmp_path: Path, monkeypatch: Any
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(WeaveError) as caught:
        getattr(tables, name)(*given)
    assert (caught.value.argument, caught.value.requirement) == (refused, must_be)
    assert not list(tmp_path.iterdir())


def test_a_count_of_kits_goes_by_their_names() -> None:
    with pytest.raises(WeaveError, match=r"^count must be a mapping such as a dict; got \['scarf'\]$"):
        KITS.needs(["scarf"])  # type: ignore[arg-type]
