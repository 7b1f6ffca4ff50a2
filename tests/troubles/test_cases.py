"""Known causes are found: own cases, and published trouble tables (sources stand with each row)."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from advisor.knowledge import Knowledge
from advisor.troubles import answer, start
from advisor.troubles.weigh import WHERE
from tests.troubles.reading import CASES, PUBLISHED, UNSEEN, UNSEEN_SOURCES, diagnosis


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
    assert _holds(row, known)


def _holds(row: dict[str, Any], known: Knowledge) -> bool:
    """Whether the published cause is among the first three and a remedy that says the same is offered."""
    found = diagnosis(known, row)
    first = found.causes[:3]
    offered = {remedy for cause in first for remedy in cause.remedies}
    told = {name for name, _ in found.dangers}
    return (
        bool({cause.id for cause in first} & set(row["causes"]))
        and bool(offered & set(row["remedies"]))
        and row.get("danger") in {None, *told}
    )


def test_tables_nobody_had_looked_at_hold_as_well(known: Knowledge) -> None:
    """At least nine in ten, and no fewer than docs/troubles.md says."""
    for row in UNSEEN:
        assert UNSEEN_SOURCES[row["source"]].keys() >= {"by", "title", "kind", "address"}
        assert set(row["causes"]) <= set(known.causes)
        assert set(row["remedies"]) <= set(known.remedies)
    held = sum(_holds(row, known) for row in UNSEEN)
    assert held >= 0.9 * len(UNSEEN)
    text = (Path(__file__).parent.parent.parent / "docs" / "troubles.md").read_text("utf-8")
    assert f"{held} of {len(UNSEEN)} after" in text


def test_a_farm_without_pigs_is_told_nothing_of_pigs(known: Knowledge) -> None:
    found = start(known, ["breathing_hard"], {"species": ["cattle"]})
    assert not {cause.id for cause in found.causes} & {"pigs_idle", "no_grain", "nose_rings"}


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
