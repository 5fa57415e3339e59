"""Records: allowances for the next piece by weave and fibre."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

import weavefuncs as wf
from weavefuncs import tables
from weavefuncs.shared.allowances import ALLOWANCES
from weavefuncs.workbooks import records

RECORDS = pd.DataFrame(
    {
        "weave": ["plain", "Plain", "plain", "2/2 twill", "2/2 twill"],
        "fibre": ["cotton", "cotton", "cotton", "wool", "wool"],
        "warp_used": [100, 102, 99, 60, None],
        "cloth_length": [91, 92.5, 91.5, 54, 50],
        "finished_length": [86, 88, 87, None, 40],
        "reed_width": [20, 20, 20, 30, 30],
        "cloth_width": [18.5, 18.4, 18.6, 28, 27.5],
        "finished_width": [17.6, 17.5, 17.7, 25, 24],
        "waste": [27, 26, 28, 25, None],
        "yarn_planned": [1000, 1000, 500, 800, None],
        "yarn_used": [1040, 1060, 530, 790, None],
    }
)


def found(result: tables.NextAllowances, weave: str, fibre: str) -> pd.DataFrame:
    table = result.allowances
    return table[(table["weave"] == weave) & (table["fibre"] == fibre)].set_index("allowance")


def test_allowances_are_the_functions_called_one_by_one() -> None:
    rows = found(tables.next_allowances(RECORDS), "plain", "cotton")
    plain = RECORDS.iloc[:3]
    take_ups = wf.take_up(plain["warp_used"].tolist(), plain["cloth_length"].tolist())
    widths = wf.shrinkage(plain["cloth_width"].tolist(), plain["finished_width"].tolist())
    assert rows.loc["take_up", "value"] == pytest.approx(wf.allowance(take_ups, 0.9, "share"))
    assert rows.loc["shrinkage_width", "value"] == pytest.approx(wf.allowance(widths, 0.9, "share"))
    assert rows.loc["draw_in", "value"] == pytest.approx(wf.allowance([0.075, 0.08, 0.07], 0.9, "share"))
    assert rows.loc["waste", "value"] == pytest.approx(wf.allowance([27, 26, 28], 0.9))
    # Three pieces nearly alike promise no less than the common spread.
    low, high = next((low, high) for what, low, high, _ in ALLOWANCES if what == "Spread of yarn need")
    assert wf.spread([1.04, 1.06, 1.06]) < low < rows.loc["spread", "value"] < high
    assert "too few for a smaller spread" in rows.loc["spread", "note"]
    assert rows["records"].tolist() == [3] * 6
    assert "5.3% more than planned" in rows.loc["spread", "note"]
    bolder = found(tables.next_allowances(RECORDS, confidence=0.6), "plain", "cotton")
    assert (bolder["value"] <= rows["value"]).all()


@pytest.mark.parametrize("ratios", [[1.04, 1.06, 1.06, 1.05], [0.8, 1.2]])
def test_a_spread_of_four_records_or_a_large_one_stands(ratios: list[float]) -> None:
    pieces = pd.DataFrame({"weave": "plain", "fibre": "wool", "yarn_planned": 100, "yarn_used": ratios})
    pieces["yarn_used"] *= 100
    rows = found(tables.next_allowances(pieces), "plain", "wool")
    assert rows.loc["spread", "value"] == pytest.approx(wf.spread(ratios))


def test_with_one_record_or_two() -> None:
    rows = found(tables.next_allowances(RECORDS), "2/2 twill", "wool")
    assert rows["records"].to_dict() == {
        "take_up": 1,
        "draw_in": 2,
        "shrinkage": 1,
        "shrinkage_width": 2,
        "waste": 1,
        "spread": 1,
    }
    assert rows.loc["take_up", "value"] == pytest.approx(wf.allowance([0.1], 0.9, "share"))
    assert "one record: its spread is supposed" in rows.loc["take_up", "note"]
    assert rows.loc["draw_in", "value"] > max(2 / 30, 2.5 / 30)
    assert "2 records: still a wide bound" in rows.loc["draw_in", "note"]
    low, high = next((low, high) for what, low, high, _ in ALLOWANCES if what == "Spread of yarn need")
    assert low < rows.loc["spread", "value"] < high
    assert "a spread needs two records" in rows.loc["spread", "note"]


def test_without_records_the_common_values_and_a_note() -> None:
    rows = found(
        tables.next_allowances(RECORDS, [("5 satin", "silk"), ("PLAIN", " cotton")]), "5 satin", "silk"
    )
    common = {what: (low, high) for what, low, high, _ in ALLOWANCES}
    for name, what in (
        ("take_up", "Warp take-up"),
        ("draw_in", "Draw-in"),
        ("shrinkage", "Shrinkage in length"),
    ):
        low, high = common[what]
        assert low < rows.loc[name, "value"] < high
        assert "common practice, no source" in rows.loc[name, "note"]
    assert np.isnan(rows.loc["waste", "value"])
    assert "measure it on your loom" in rows.loc["waste", "note"]
    # What has records is not listed a second time under another spelling.
    assert len(tables.next_allowances(RECORDS, [("PLAIN", " cotton")]).allowances) == 12
    nothing = tables.next_allowances(RECORDS.iloc[:0], [("plain", "wool")]).allowances
    assert nothing["records"].tolist() == [0] * 6


def test_what_was_measured_wrongly_is_told_and_not_used() -> None:
    records = RECORDS.astype(object).assign(row=range(9, 14))
    records.loc[0, "warp_used"] = 80  # less than the cloth woven from it
    records.loc[1, "waste"] = "27 in"
    records.loc[2, "fibre"] = None
    result = tables.next_allowances(records, records_sheet="Records")
    assert list(result.problems[["sheet", "row", "column", "effect"]].itertuples(index=False, name=None)) == [
        ("Records", 9, "warp_used", "cell not used"),
        ("Records", 10, "waste", "cell not used"),
        ("Records", 11, "fibre", "row left out"),
    ]
    assert "warp_used must be at least the cloth_length (91); got 80" in result.problems["problem"].iloc[0]
    rows = found(result, "plain", "cotton")
    assert rows["records"].to_dict() == {
        "take_up": 1,
        "draw_in": 2,
        "shrinkage": 2,
        "shrinkage_width": 2,
        "waste": 1,
        "spread": 2,
    }


def test_a_bound_of_one_or_more_is_blank_and_says_why() -> None:
    wild = pd.DataFrame({"weave": "plain", "fibre": "wool", "cloth_length": 10, "finished_length": [9.0, 3]})
    rows = found(tables.next_allowances(wild), "plain", "wool")
    assert np.isnan(rows.loc["shrinkage", "value"])
    assert "a share is below 1" in rows.loc["shrinkage", "note"]


def test_what_counts_as_warp_used_is_said_as_the_workbook_says_it() -> None:
    words = "what was wound, less loom waste and what stayed unwoven"
    given = next(column.given for column in records.TABLE.columns if column.key == "warp_used")
    for text in (tables.next_allowances.__doc__, given.help if given else ""):
        assert words in " ".join(str(text).split())


def test_refused() -> None:
    with pytest.raises(wf.WeaveError, match="weave must be given"):
        tables.next_allowances(RECORDS.drop(columns="weave"))
    with pytest.raises(wf.WeaveError, match="confidence must be a fraction"):
        tables.next_allowances(RECORDS, confidence=90)
