"""Whatever is noted, in whatever farm: a forecast, or one refusal that says what to do."""

from __future__ import annotations

import datetime as dt
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.farm import Farm, read_farm
from advisor.knowledge import Knowledge
from advisor.record.advice import advise
from advisor.record.as_json import season_json
from advisor.record.entries import Entry, Record, read_entry
from advisor.record.forecast import forecast
from advisor.record.lookback import lookback_document
from advisor.record.ready import RecordError
from advisor.record.words import season_document
from tests.conftest import DEMO

_FARMS = sorted(DEMO.glob("*.yaml"))
_MATERIALS = st.sampled_from(["barley_straw", "straw", "wood_chips", "wood_shavings", "pea_straw", "peat"])
_DAYS = st.dates(dt.date(2026, 10, 1), dt.date(2027, 6, 1))
_SMALL = st.integers(1, 40)


def _told(kind: str, **fields: Any) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries({"kind": st.just(kind), "date": _DAYS, **fields})


_AMOUNT = {"material": _MATERIALS, "mass": st.floats(0, 5000)}
ENTRIES = st.one_of(
    _told("bedding", **_AMOUNT, days=_SMALL, wet=st.booleans()),
    _told("bedding", material=_MATERIALS, packs=st.floats(0, 50), moisture=st.floats(0, 0.9)),
    _told("bought", **_AMOUNT, price=st.floats(0, 300)),
    _told("stock", **_AMOUNT),
    _told("weighed", material=_MATERIALS, mass=st.floats(1, 600)),
    _told(
        "heads", group=st.sampled_from(["", "cow", "calf", "ewe", "laying_hen"]), change=st.integers(-30, 30)
    ),
    _told("heads", group=st.sampled_from(["", "calf"]), count=st.integers(0, 60)),
    _told("grass", days=_SMALL, share=st.floats(0.1, 1)),
    _told("depth", depth=st.floats(0, 3)),
    _told("squeeze", result=st.sampled_from(["crumbles", "holds", "drips"])),
    _told("moisture", moisture=st.floats(0, 1), of=st.sampled_from(["top", "whole"])),
    _told("ammonia", ppm=st.floats(0, 500)),
    _told("ammonia", nose=st.integers(0, 3)),
    _told("dirt", score=st.integers(1, 5)),
    _told("rain", rain=st.floats(0, 200)),
    _told("incident", what=st.sampled_from(["frozen", "births"]), days=_SMALL),
    _told("heap", temperature=st.floats(-10, 90), turned=st.booleans()),
    _told("lab", moisture=st.floats(0, 1), nitrogen=st.floats(0, 60), phosphorus=st.floats(0, 20)),
).map(read_entry)


@pytest.mark.slow
@settings(max_examples=12)
@given(entries=st.lists(ENTRIES, max_size=12), today=_DAYS, number=st.integers(0, 30))
def test_any_record_is_answered(entries: list[Entry], today: dt.date, number: int, known: Knowledge) -> None:
    farm = read_farm(_FARMS[number % len(_FARMS)], known)
    if len(farm.pens) > 1:
        entries = [e.model_copy(update={"pen": farm.pens[number % len(farm.pens)].id}) for e in entries]
    try:
        found = forecast(farm, Record.of(entries), known, today, 12)
    except RecordError:
        return
    for run in found.learned.packs.values():
        assert np.all(np.isfinite(run.depth_m))
        assert np.all(run.depth_m >= 0)
        assert np.all((run.top_moisture >= 0) & (run.top_moisture <= 1))
    for pen in advise(found).pens:
        assert pen.total >= 0
    assert season_document(found).sections
    assert lookback_document(found).sections
    season_json(found, lookback=True)


@pytest.mark.slow
@pytest.mark.parametrize("draws", [0, 1, 2, 40])
@pytest.mark.parametrize("path", _FARMS, ids=lambda p: p.stem)
def test_few_draws_and_many_pens_will_do(path: Any, draws: int, known: Knowledge) -> None:
    farm: Farm = read_farm(path, known)
    pen = farm.pens[0].id
    record = Record.of([read_entry({"kind": "depth", "date": "2026-12-01", "pen": pen, "depth": 0.4})])
    found = forecast(farm, record, known, dt.date(2027, 1, 5), draws)
    assert season_document(found, "us").sections


def test_a_farm_without_dates_begins_with_its_first_note(simple: Farm, known: Knowledge) -> None:
    farm = simple.model_copy(update={"start": None, "end": None})
    first = read_entry({"kind": "bedding", "date": "2026-11-20", "material": "straw", "packs": 4})
    found = forecast(farm, Record.of([first]), known, dt.date(2026, 12, 1), 5)
    assert found.season.start == dt.date(2026, 11, 20)


def test_told_rates_are_the_plan_to_hold_against(simple: Farm, known: Knowledge) -> None:
    data = simple.model_dump(by_alias=True)
    data["bedding"] = [{"material": "barley_straw", "rate": "150 kg/day"}]
    farm = Farm.model_validate(data)
    found = forecast(farm, Record(), known, dt.date(2026, 12, 1), 20, follow="plan")
    assert found.rest.by_day["pen"][:, -1].sum() == pytest.approx(150.0)
