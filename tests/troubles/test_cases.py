"""Known causes are found: own cases, and published trouble tables (sources stand with each row)."""

from __future__ import annotations

from typing import Any

import pytest

from advisor.knowledge import Knowledge
from advisor.troubles import answer
from advisor.troubles.weigh import WHERE
from tests.troubles.reading import CASES, PUBLISHED, diagnosis


@pytest.mark.parametrize("case", CASES.values(), ids=list(CASES))
def test_own_cases_name_the_known_cause(case: dict[str, Any], known: Knowledge) -> None:
    found = [cause.id for cause in diagnosis(known, case).causes]
    wanted = case["cause"] if isinstance(case["cause"], list) else [case["cause"]]
    assert set(wanted) <= set(found[:3])
    if case.get("first"):
        assert found[0] in wanted


def test_there_are_enough_own_cases_and_half_came_first() -> None:
    assert len(CASES) >= 60
    assert sum(key.startswith("b") for key in CASES) >= 30


@pytest.mark.parametrize("row", PUBLISHED, ids=[f"{r['source']}: {r['at']}" for r in PUBLISHED])
def test_published_symptoms_give_the_published_cause_and_remedy(
    row: dict[str, Any], known: Knowledge
) -> None:
    assert row["source"] in known.sources
    found = diagnosis(known, row)
    first = found.causes[:3]
    assert {cause.id for cause in first} & set(row["causes"])
    offered = {remedy for cause in first for remedy in cause.remedies}
    assert offered & set(row["remedies"])
    if "danger" in row:
        assert row["danger"] in [name for name, _ in found.dangers]


_SINGLE = {key: case for key, case in CASES.items() if isinstance(case["cause"], str)}


@pytest.mark.parametrize("case", _SINGLE.values(), ids=list(_SINGLE))
def test_asking_leads_to_the_cause(case: dict[str, Any], known: Knowledge) -> None:
    """From the signs alone, each next check answered as the cause would have it, the cause comes first soon."""
    cause = known.causes[case["cause"]]
    found = diagnosis(known, {**case, "checks": {}, "place": case.get("place", cause.places[0])})
    for _ in range(8):
        check = found.next_check
        if check is None:
            break
        link = cause.checks.get(check.id)
        if check.id == WHERE:
            result = cause.places[0]
        elif link is None:
            result = "unknown"
        else:
            result = next(iter(link.results))
        found = answer(found, check.id, result)
    assert cause.name in [found_cause.name for found_cause in found.causes[:2]]
