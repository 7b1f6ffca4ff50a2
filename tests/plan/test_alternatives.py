"""Other ways: where bedding or floor falls short, the mends that need no bedding are always among them."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any

import pytest

from advisor.farm import read_farm_text
from advisor.knowledge import Knowledge
from advisor.plan.alternatives import Alternative, alternatives
from advisor.plan.differences import Difference, compare
from advisor.plan.make import Plan, make_plan

FARM: dict[str, Any] = {
    "start": "2026-11-05",
    "days": 120,
    "groups": [{"class": "ewe", "count": 30}],
    "pens": [{"id": "pen", "area": "60 m2"}],
    "materials": [{"name": "barley straw", "amount": "12 t"}],
}
LITTLE = {"materials": [{"name": "barley straw", "amount": "1 t", "for_sale": False}]}


def planned(known: Knowledge, draws: int = 0, **told: Any) -> Plan:
    farm = read_farm_text(json.dumps({**FARM, **told}), known)
    return make_plan(farm, known, dt.date(2026, 10, 20), draws)


def ways(known: Knowledge, **told: Any) -> dict[str, Alternative]:
    found = alternatives(planned(known, **told))
    assert len(found) <= 3
    return {way.id: way for way in found}


@pytest.mark.parametrize(
    "told", [LITTLE, {"pens": [{"id": "pen", "area": "30 m2"}]}], ids=("bedding", "floor")
)
def test_fewer_animals_where_bedding_or_floor_falls_short(known: Knowledge, told: Any) -> None:
    way = ways(known, **told)["fewer"]
    count = way.farm.groups[0].count
    assert 1 <= count < 30
    assert way.changed["heads"] == 30 - count
    worst = {row.name: row for row in way.differences}["top_moisture_worst"]
    assert worst.change is not None
    assert worst.change[1] < 0  # a drier bed for those that stay


def test_wintering_elsewhere_where_nothing_can_be_bought(known: Knowledge) -> None:
    assert ways(known, **LITTLE)["shorter"].farm.days == 120 - 21


def test_where_there_is_plenty_neither_is_pressed(known: Knowledge) -> None:
    assert not {"fewer", "shorter"} & set(ways(known))


def test_chance_is_told_from_difference(known: Knowledge) -> None:
    plan, other = planned(known, 40), planned(known, 40, groups=[{"class": "ewe", "count": 24}])
    rows = {
        row.name: row for row in compare(plan, other, ("nitrogen_on_bed_kg_day", "grain_kg", "head_count"))
    }
    assert "grain_kg" not in rows  # neither has any
    assert rows["nitrogen_on_bed_kg_day"].more_than_chance is True
    change = rows["nitrogen_on_bed_kg_day"].change
    assert change is not None
    assert change[2] < 0
    assert rows["head_count"].change == (-6.0, -6.0, -6.0)
    node = plan.results["bedding_total_kg"]
    assert Difference("bedding_total_kg", node, node).more_than_chance is False
    lone = Difference("grain_kg", node, None)
    assert (lone.change, lone.more_than_chance, lone.matters) == (None, None, True)
