"""Farms and records that the season tests share. All are invented."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from advisor.farm import Farm, read_farm, read_farm_text
from advisor.knowledge import Knowledge
from advisor.plan.make import make_plan
from advisor.record.entries import Entry, read_entry
from tests.conftest import DEMO

START = dt.date(2026, 11, 5)

SIMPLE = """
schema_version: 1
name: Test Byre (invented)
region: england_uk
start: 2026-11-05
end: 2027-04-04
climate: cool
groups:
  - {class: suckler cow, count: 20, weight: 600 kg, feed: {kind: hay, on_bed: false}, births_due: false}
pens:
  - {id: pen, area: 220 m2, roof: roofed, gate_height: 2.0 m, drinker_height: 0.9 m}
materials:
  - {name: barley straw, packs: 160, pack: round_bale, pack_mass: 200 to 260 kg, price: 85}
base: {depth: 30 cm, material: barley straw}
"""


@pytest.fixture(scope="session")
def simple(known: Knowledge) -> Farm:
    """Twenty cows on straw."""
    return read_farm_text(SIMPLE, known)


@pytest.fixture(scope="session")
def rushy(known: Knowledge) -> Farm:
    """The demo farm Rushy End."""
    return read_farm(DEMO / "rushy_end.yaml", known)


def day(number: int) -> dt.date:
    """The date of a day of the season."""
    return START + dt.timedelta(days=number)


def note(kind: str, on: int, **told: Any) -> Entry:
    """An entry on a day of the season."""
    return read_entry({"kind": kind, "date": day(on), **told})


def weekly(
    farm: Farm, known: Knowledge, days: int, share: float = 1.0, skip: tuple[int, ...] = ()
) -> list[Entry]:
    """The planned bedding, given once a week; weeks in `skip` are not noted."""
    plan = make_plan(farm, known, START, 0)
    supplies = {s.key: s.material for s in plan.engine.value("supplies")}
    out = []
    for week, first in enumerate(range(0, days, 7)):
        for pen, materials in plan.decision.rates.items():
            for key, rates in materials.items():
                if rates[0] > 0 and week not in skip:
                    kg = 7 * rates[0] * share
                    out.append(note("bedding", first, pen=pen, material=supplies[key], mass=kg))
    return out
