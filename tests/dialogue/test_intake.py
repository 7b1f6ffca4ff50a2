"""Facts of a reading to places of the farm."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.dialogue.dates import season_dates
from advisor.dialogue.draft import Draft, fold
from advisor.dialogue.intake import take
from tests.dialogue.talking import context


def told(facts: dict[str, Any], draft: Draft | None = None, **how: Any) -> dict[str, Any]:
    """The farm after the facts."""
    taken = take(facts, None, draft or Draft(), context(), **how)
    start = [{"set": name, "to": value} for name, value in (draft.farm if draft else {}).items()]
    return dict(fold([*start, *taken.acts]).farm)


def test_weights_and_counts_with_ranges() -> None:
    animals = [{"class": "ewe", "count_range": [30, 35], "weight_kg_range": [60, 70]}]
    group = told({"animals": animals})["groups"]["ewe"]
    assert (group["count"], group["count_low"], group["count_high"]) == (32, 30, 35)
    assert (group["weight"]["low"], group["weight"]["high"]) == (60, 70)


@pytest.mark.parametrize(
    ("material", "kept"),
    [
        (
            {"name": "straw", "amount": 70, "unit": "small square bale"},
            {"packs": 70.0, "pack": "small_square_bale"},
        ),
        ({"name": "straw", "amount": 7.5, "unit": "tonne", "mass_kg": 7500}, {"amount": 7500.0}),
        ({"name": "sawdust", "amount": 20, "unit": "cubic yard", "volume_m3": 15.291}, {"volume": 15.291}),
        ({"name": "wood shavings", "amount": 20, "unit": "bag"}, {"packs": 20.0, "pack": "bag"}),
        ({"name": "peat", "amount": 3, "unit": "trailer load"}, {"packs": 3.0, "pack": "trailer_load"}),
    ],
)
def test_amounts_of_bedding(material: dict[str, Any], kept: dict[str, Any]) -> None:
    (supply,) = told({"materials": [material]})["materials"].values()
    for name, value in kept.items():
        found = supply[name]
        assert (found["value"] if isinstance(found, dict) else found) == value


def test_a_name_not_known_is_said_and_nothing_noted() -> None:
    taken = take({"animals": [{"class": "unicorn", "count": 2}]}, None, Draft(), context())
    assert taken.strange == ["unicorn"]
    assert not taken.acts


TODAY = dt.date(2026, 10, 4)


@pytest.mark.parametrize(
    ("facts", "today", "expected"),
    [
        ({"start": "11-05", "end": "04-20"}, TODAY, {"start": "2026-11-05", "end": "2027-04-20"}),
        (
            {"start": "11-05", "end": "04-20"},
            dt.date(2027, 1, 9),
            {"start": "2026-11-05", "end": "2027-04-20"},
        ),
        (
            {"start": "11-05", "end": "04-20"},
            dt.date(2027, 5, 1),
            {"start": "2027-11-05", "end": "2028-04-20"},
        ),
        ({"start": "06-15", "days": 42}, TODAY, {"start": "2027-06-15", "days": 42}),
        ({"end": "04-20"}, TODAY, {"end": "2027-04-20"}),
        ({"days_range": [186, 197]}, TODAY, {"days": 192}),
        (
            {"start_window": ["10-20", "10-31"], "end": "05-05"},
            TODAY,
            {"start": "2026-10-25", "end": "2027-05-05"},
        ),
        ({"start_window": ["12-25", "01-05"]}, TODAY, {"start": "2026-12-30"}),
        ({"start": "02-29", "days": 60}, TODAY, {"start": "2027-02-28", "days": 60}),
    ],
)
def test_dates_without_a_year(facts: dict[str, Any], today: dt.date, expected: dict[str, Any]) -> None:
    found = season_dates(facts, None, None, today)
    assert {k: v if isinstance(v, int) else v.isoformat() for k, v in found.items()} == expected


@given(st.dates(dt.date(2001, 1, 1), dt.date(2060, 1, 1)), st.dates(dt.date(2004, 1, 1), dt.date(2004, 12, 31)),
       st.dates(dt.date(2004, 1, 1), dt.date(2004, 12, 31)))  # fmt: skip
def test_a_season_runs_forward_and_lies_near_today(today: dt.date, start: dt.date, end: dt.date) -> None:
    facts = {"start": start.isoformat()[5:], "end": end.isoformat()[5:]}
    found = season_dates(facts, None, None, today)
    first, last = found["start"], found["end"]
    assert isinstance(first, dt.date)
    assert isinstance(last, dt.date)
    assert first < last
    assert (last - first).days <= 366
    assert last >= today
    assert (first - today).days <= 366


def test_days_and_dates_never_contradict() -> None:
    farm = told({"start": "11-01", "end": "04-01"})
    farm = told({"days": 100}, Draft(farm))
    assert (farm["start"], farm["days"], farm.get("end")) == ("2026-11-01", 100, None)
    farm = told({"end": "03-01"}, Draft(farm))
    assert (farm["end"], farm.get("days")) == ("2027-03-01", None)


def test_a_kind_counted_beside_a_wider_one_is_added_and_its_parts_are_not() -> None:
    """Three horses and a pony are four animals; forty sheep, thirty ewes and ten rams are forty."""
    from tests.dialogue.talking import Talk

    beside, parts = Talk("3 horses and a pony"), Talk("40 sheep, 30 ewes and 10 rams")
    assert (beside.at("groups.horse.count"), beside.at("groups.pony.count")) == (3, 1)
    assert parts.at("groups.sheep") is None
    assert (parts.at("groups.ewe.count"), parts.at("groups.ram.count")) == (30, 10)
