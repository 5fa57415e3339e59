"""The page of results: what the records give, and nothing else."""

import json
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent / "trust"))
import results

INVENTED = {
    "mutants": {
        "title": "Invented mutants",
        "command": "python tests/trust/mutants.py --record",
        "measured": "2026-01-02, 2 cores, Python 3.11",
        "columns": ["module", "mutants", "share killed"],
        "rows": [["warp", 1234, "99.0%"], ["a|b", 7, "–"]],
        "found": ["A bound was off by one."],
        "survivors": {
            "warp": [
                {"in": "ends", "change": f"{number} → {number + 1}", "reason": reason}
                for number, reason in enumerate(
                    ["the same result", "the same result", "slower only", "c", "d", "e"]
                )
            ],
            "yarn": [],
        },
    },
    "benchmarks": {
        "title": "Invented ratios",
        "command": "python tests/benchmarks/all.py --record",
        "measured": "2026-01-02",
        "columns": ["measured", "ratio"],
        "rows": [["one", "1.10"]],
        "folded": [["two", "2.20"]],
        "found": [],
    },
}


def test_the_page_is_what_the_records_give():
    assert results.PAGE.read_text("utf-8") == results.page(results.RECORDS)


def test_a_page_from_invented_records(tmp_path):
    for name, record in INVENTED.items():
        (tmp_path / f"{name}.json").write_text(json.dumps(record), "utf-8")
    page = results.page(tmp_path)
    assert "| module | mutants | share killed |\n| --- | ---: | --- |\n| warp | 1,234 | 99.0% |\n" in page
    assert "| a\\|b | 7 | – |" in page
    assert "`python tests/trust/mutants.py --record` (2026-01-02, 2 cores, Python 3.11)" in page
    assert (
        "<summary>6 survivors, and why</summary>\n\n- `warp`: the same result (2); slower only (1); c (1)"
        in page
    )
    assert "; c (1); 2 more in the record\n" in page
    assert "`yarn`" not in page
    assert "<summary>1 more</summary>\n\n| measured | ratio |\n| --- | --- |\n| two | 2.20 |" in page
    headings = [line for line in page.splitlines() if line.startswith(("#", "**", "- A"))]
    assert headings == [
        "# What was tried, and what came of it",
        "## Invented mutants",
        "## Invented ratios",
        "## What was found and mended",
        "**Invented mutants**",
        "- A bound was off by one.",
    ]


def test_a_page_without_records_says_so(tmp_path):
    assert results.page(tmp_path).endswith("## What was found and mended\n\nNothing is on record.\n")
