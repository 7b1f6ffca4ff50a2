"""Published readings through time: fed early, held against later; misses stay misses until the model mends them."""

from __future__ import annotations

import pytest

from advisor.knowledge import Knowledge
from tests.record.published_trials import DOCUMENT, TRIALS, compared, read_trial


@pytest.mark.parametrize("name", TRIALS)
def test_a_trial_tells_its_source_and_what_was_assumed(name: str) -> None:
    trial = read_trial(name)
    assert trial["source"]["seen"] in ("primary", "secondary")
    assert trial["source"]["locator"]
    assert trial["assumed"]
    assert all(reading["locator"] for reading in trial["readings"])
    assert trial["source"]["cite"].split(",")[0] in DOCUMENT.read_text(encoding="utf-8")


@pytest.mark.slow
@pytest.mark.parametrize("name", TRIALS)
def test_the_early_reading_brings_the_later_depths_nearer(name: str, known: Knowledge) -> None:
    """Sources: the abstracts named in tests/record/published/*.yaml."""
    text = DOCUMENT.read_text(encoding="utf-8")
    block = text.partition(f"<!-- {name} -->")[2].partition(f"<!-- /{name} -->")[0]
    rows = compared(name, known, 200)
    assert [line.rsplit("|", 2)[1].strip() for line in block.strip().splitlines()[2:]] == [
        r.verdict for r in rows
    ]
    for row in rows:
        if row.what == "depth" and not row.fed:
            middle = sum(row.published) / 2
            assert abs(row.after[1] - middle) < abs(row.before[1] - middle)
            assert row.after[2] - row.after[0] < row.before[2] - row.before[0]
