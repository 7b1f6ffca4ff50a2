"""This week's advice: when less may be advised, when supply runs out, dates to act by, what the heap log says."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from advisor.farm import Farm, read_farm_text
from advisor.farm.model import Measure
from advisor.knowledge import Knowledge
from advisor.plan.make import make_plan
from advisor.reasoning.draws import typical
from advisor.record.advice import advise
from advisor.record.as_json import season_data
from advisor.record.charts import charts, text_chart
from advisor.record.entries import Entry, Record, read_entry
from advisor.record.forecast import forecast
from advisor.record.heap_log import heap_log
from advisor.record.lookback import lookback_document, next_farm, next_farm_yaml
from advisor.record.ready import RecordError
from tests.record.conftest import SIMPLE, day, note, weekly

SIGNS = [note("dirt", 55, score=1), note("squeeze", 55, result="crumbles")]


def generous(farm: Farm, known: Knowledge, *more: Entry) -> list[Entry]:
    """Readings of a bed far drier than planned."""
    dry = [note("moisture", on, moisture=0.55) for on in (14, 28, 42, 55)]
    return [*weekly(farm, known, 56, 1.3), *dry, *more]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("signs", "births", "lacking"),
    [
        (SIGNS, False, ()),
        (SIGNS[:1], False, ("squeeze",)),
        (SIGNS[1:], False, ("dirt",)),
        (SIGNS, True, ("births",)),
        (SIGNS, None, ("births",)),
        ([note("dirt", 40, score=1), note("squeeze", 40, result="crumbles")], False, ("dirt", "squeeze")),
        ([note("dirt", 55, score=4), note("squeeze", 55, result="holds")], False, ("dirt", "squeeze")),
    ],
)
def test_less_needs_three_fresh_signs(
    signs: list[Entry], births: bool | None, lacking: tuple[str, ...], simple: Farm, known: Knowledge
) -> None:
    group = simple.groups[0].model_copy(update={"births_due": births})
    farm = simple.model_copy(update={"groups": (group,)})
    advice = advise(forecast(farm, Record.of(generous(farm, known, *signs)), known, day(56), 60))
    assert advice.lacking == lacking
    pen = advice.pens[0]
    if lacking:
        assert pen.total >= 0.999 * pen.planned
        assert pen.verdict in ("held", "same", "more")
    else:
        assert pen.total == pytest.approx(pen.wanted, rel=1e-6)


def test_a_short_supply_is_told_with_its_end_and_what_to_buy(simple: Farm, known: Knowledge) -> None:
    left = note("stock", 55, material="barley straw".replace(" ", "_"), packs=20)
    found = forecast(simple, Record.of([*weekly(simple, known, 56), left]), known, day(56), 60)
    advice = advise(found)
    assert advice.supply_ends is not None
    assert advice.supply_ends.likely is not None
    assert day(56) < advice.supply_ends.likely < found.season.end
    assert advice.buy_kg["barley_straw"] > 0
    shut = simple.materials[0].model_copy(update={"for_sale": False})
    alone = simple.model_copy(update={"materials": (shut,)})
    short = advise(forecast(alone, Record.of([*weekly(simple, known, 56), left]), known, day(56), 60))
    assert short.pens[0].verdict == "short"
    assert short.ration


def test_gate_drinker_and_grain_have_their_dates(known: Knowledge) -> None:
    text = SIMPLE.replace("gate_height: 2.0 m", "gate_height: 1.6 m") + "turning: {by: pigs, grain: true}\n"
    farm = read_farm_text(text, known)
    found = forecast(farm, Record.of(weekly(farm, known, 56)), known, day(56), 60)
    advice = advise(found)
    assert advice.gates["pen"].likely is not None
    assert advice.drinkers["pen"].early is not None
    assert advice.grain_spoils == day(120)  # common practice: about four months from the day it is laid
    assert advice.grain_too_late  # turnout is on day 150


def test_rules_that_the_notes_bring_up_are_named(simple: Farm, known: Knowledge) -> None:
    wet = [*weekly(simple, known, 56), note("squeeze", 55, result="drips"), note("dirt", 55, score=5)]
    found = forecast(simple, Record.of(wet), known, day(56), 40)
    new = {fired.id for fired in advise(found).new_rules}
    whens = {name: known.rules[name].when for name in new}
    assert "squeeze_test == 'drips'" in whens.values()
    assert "clean_score == 'dirty'" in whens.values()


def test_what_does_not_fit_the_farm_is_refused(simple: Farm, known: Knowledge) -> None:
    for entry in (
        note("depth", 3, depth="40 cm", pen="elsewhere"),
        note("heads", 3, group="horse", change=-2),
        read_entry({"kind": "bedding", "date": day(3), "material": "moon_dust", "packs": 2}),
    ):
        with pytest.raises(RecordError):
            forecast(simple, Record.of([entry]), known, day(10), 0)


def test_animals_and_bedding_that_were_not_planned_are_taken_in(simple: Farm, known: Knowledge) -> None:
    entries = [
        *weekly(simple, known, 14),
        note("heads", 7, group="calf", change=6),
        note("bedding", 8, material="wood_chips", volume="2 m3"),
    ]
    found = forecast(simple, Record.of(entries), known, day(14), 20)
    assert list(found.season.heads["calf"][[6, 7, 100]]) == [0, 6, 6]
    assert typical(found.ledger.used_kg("wood_chips")) > 100


# ---- the heap log


def heap_days(days: int, every: int, turns: int, heat: float = 60.0) -> Record:
    first = dt.date(2027, 5, 1)
    entries = [
        read_entry({"kind": "heap", "date": first + dt.timedelta(days=n), "temperature": heat})
        for n in range(0, days, every)
    ]
    entries += [
        read_entry({"kind": "heap", "date": first + dt.timedelta(days=2 * n + 1), "turned": True})
        for n in range(turns)
    ]
    return Record.of(entries)


@pytest.mark.parametrize(
    ("record", "treated"),
    [
        (heap_days(15, 1, 5), True),  # US organic rule 7 CFR 205.203(c)(2): 15 days at 55 degC, five turnings
        (heap_days(15, 2, 5), True),
        (heap_days(14, 1, 5), False),
        (heap_days(15, 1, 4), False),
        (heap_days(30, 5, 5), False),  # nobody knows what it did between readings
        (heap_days(30, 1, 5, heat=54.0), False),
        (Record(), False),
    ],
)
def test_compost_counts_as_raw_manure_without_a_full_log(
    record: Record, treated: bool, known: Knowledge
) -> None:
    assert heap_log(record, None, known).treated is treated
    assert heap_log(record, "united_states_organic", known).treated is treated


def test_one_cold_reading_breaks_the_stretch(known: Knowledge) -> None:
    cold = read_entry({"kind": "heap", "date": dt.date(2027, 5, 8), "temperature": 40})
    assert heap_log(Record.of([*heap_days(15, 1, 5), cold]), None, known).hot_days == 7


# ---- looking back, and the pictures


@pytest.fixture(scope="module")
def turned_out(simple: Farm, known: Knowledge) -> Any:
    """A whole winter with heavier use than planned, read now and then, one bale weighed."""
    entries = [
        *weekly(simple, known, 150, 1.3),
        *(note("moisture", on, moisture=0.70) for on in range(14, 150, 28)),
        *(note("weighed", on, material="barley_straw", mass="205 kg") for on in (20, 21, 22)),
    ]
    return forecast(simple, Record.of(entries), known, day(151), 150)


def test_the_turnout_sheet_says_what_to_do_differently(turned_out: Any) -> None:
    assert turned_out.over
    document = lookback_document(turned_out, "metric", "byre")
    text = " ".join(block.text for s in document.sections for block in s.blocks if hasattr(block, "text"))
    assert "more bedding than planned" in text
    assert "Your bales of barley straw weigh" in text
    assert "counts as raw manure" in text
    assert "nitrogen" in text


def test_next_winter_starts_from_what_was_learned(turned_out: Any, known: Knowledge) -> None:
    farm = read_farm_text(next_farm_yaml(turned_out), known)
    assert farm.start == dt.date(2027, 11, 5)
    mass = farm.materials[0].pack_mass
    assert mass is not None
    assert 200 <= mass.low < mass.value < 222 < 230  # told 200 to 260, weighed 205
    evaporation = farm.facts["evaporation_at_5"]
    assert isinstance(evaporation, Measure)
    plan = make_plan(farm, known, dt.date(2027, 10, 1), 50)
    low, _, high = plan.engine.node("evaporation_at_5", ("pen", "pen")).spread()
    before, _, after = turned_out.plan.engine.node("evaporation_at_5", ("pen", "pen")).spread()
    assert high - low < after - before
    assert next_farm(turned_out).bedding == "advise"


def test_pictures_and_json_hold_plan_record_and_forecast(simple: Farm, known: Knowledge) -> None:
    found = forecast(
        simple, Record.of(generous(simple, known, note("depth", 50, depth=0.4))), known, day(56), 40
    )
    made = charts(found, "metric")
    assert [line.label for line in made[0].lines] == ["planned", "recorded days", "forecast", "read"]
    drawn = text_chart(found, "pen", "us")
    assert all(mark in drawn for mark in ".#:o")
    data = season_data(found, lookback=True)
    assert data["results"]["pack_end_depth_m"]["low"] < data["results"]["pack_end_depth_m"]["high"]
    assert len(data["series"]["date"]) == len(data["series"]["planned"]["pack_depth_m"]["median"]) == 151
    assert data["this_week"][0]["verdict"] in ("same", "more", "less", "held", "short")
