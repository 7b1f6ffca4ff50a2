"""What a plan says of spring: who may share the pack, go or no go, grain, the heap, rules, crops and dates."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any

import pytest

from advisor.farm import read_farm_text
from advisor.farm.crops import crop_of
from advisor.knowledge import Knowledge
from advisor.plan.as_json import plan_data
from advisor.plan.make import Plan, make_plan
from advisor.plan.sections.dates import after_turnout
from advisor.plan.sections.heap import heap_section
from advisor.plan.sections.height import height_section
from advisor.plan.sections.land import land_section
from advisor.plan.sections.sharing import sharing_lines
from advisor.plan.sections.turning import turning_section
from advisor.plan.voice import Voice, sentences

TODAY = dt.date(2026, 10, 20)
FARM: dict[str, Any] = {
    "start": "2026-11-05",
    "days": 60,
    "groups": [{"class": "beef cow", "count": 6}],
    "pens": [{"id": "pen", "area": "60 m2"}],
    "materials": [{"name": "barley straw", "amount": "20 t", "price": 80}],
}


def planned(known: Knowledge, **told: Any) -> Plan:
    return make_plan(read_farm_text(json.dumps({**FARM, **told}), known), known, TODAY, 20)


def said(section: Any) -> str:
    blocks = [getattr(b, "items", None) or [getattr(b, "text", "")] for b in section.blocks]
    return " ".join(text for block in blocks for text in block)


def shared(known: Knowledge, *classes: str, **told: Any) -> str:
    pens = [{"id": name, "area": "80 m2"} for name in classes]
    groups = [{"class": name, "count": 3, "pen": name} for name in classes]
    return " ".join(sharing_lines(Voice(planned(known, groups=groups, pens=pens, **told), "metric")))


@pytest.mark.parametrize(
    ("classes", "told", "words"),
    [
        (("ewe",), {"turning": {"by": "pigs"}}, ("never sheep on a pack where pigs have been", "copper")),
        (("ewe", "grower pig"), {}, ("Never together", "copper", "Keep their beds")),
        (("beef cow",), {"turning": {"by": "hens"}}, ("Cattle and poultry: never", "botulism")),
        (("beef cow",), {"shares_pack": ["pigs"]}, ("Pigs may come on the pack once the cattle", "tuberculosis")),
        (("riding horse",), {"shares_pack": ["poultry"]}, ("Poultry may come on", "drugs that kill horses")),
        (("beef cow",), {"shares_pack": ["deer"]}, ("I hold no rule", "vet")),
    ],
)  # fmt: skip
def test_who_may_share_or_follow(known: Knowledge, classes: tuple[str, ...], told: Any, words: Any) -> None:
    text = shared(known, *classes, **told)
    for part in words:
        assert part in text
    assert "{" not in text


def test_one_kind_alone_is_told_nothing_of_sharing(known: Knowledge) -> None:
    assert shared(known, "beef cow") == ""
    assert shared(known, "laying hen", turning={"by": "hens"}) == ""


def test_every_pair_that_may_never_share_has_its_reason(known: Knowledge) -> None:
    """A 'never' without a reason would be taken for a habit."""
    for entry in known.animals.values():
        for other in (*entry.never_with, *entry.may_follow):
            assert f"share_why_{'_'.join(sorted((entry.species, other)))}" in sentences()


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({}, ("not yet", "Authority: open")),
        ({"allowed": False}, ("no go", "has not agreed")),
        ({"allowed": True, "nose_ringed": True}, ("no go", "ringed pigs do not dig")),
        ({"allowed": True, "nose_ringed": False}, ("not yet", "Noses: not ringed")),
        ({"pig_weight": "30 kg"}, ("no go", "lighter than 45 kg")),
    ],
)
def test_go_or_no_go(known: Knowledge, told: Any, words: tuple[str, ...]) -> None:
    plan = planned(known, turning={"by": "pigs", **told}, region="england")
    text = said(turning_section(Voice(plan, "metric")))
    for part in (*words, "pig-days", "Law I hold for England", "without pigs"):
        assert part in text


def test_grain_is_named_priced_and_counted_in_the_season(known: Knowledge) -> None:
    prices = {"currency": "crowns", "hour": 10}
    turning = {"by": "pigs", "grain": True, "grain_material": "whole barley"}
    without = planned(known, turning=turning, prices=prices)
    priced = planned(known, turning=turning, prices={**prices, "grain": 200})
    assert without.number("grain_cost") is None
    cost, grain = priced.number("grain_cost"), priced.number("grain_kg")
    assert cost is not None
    assert grain is not None
    assert cost == pytest.approx(grain * 0.2)
    assert (priced.number("season_cost") or 0) - (without.number("season_cost") or 0) == pytest.approx(
        cost,
        rel=0.05,  # medians of different draws
    )
    text = said(turning_section(Voice(priced, "metric")))
    assert "whole barley grain" in text
    assert "the grain costs" in text
    assert "for the driver" in text  # the road without pigs is costed too
    poor = planned(known, turning={**turning, "grain_material": "compound feed"})
    assert "is no bait" in said(turning_section(Voice(poor, "metric")))


def test_the_heap_says_what_to_mix_in_and_what_rules_ask(known: Knowledge) -> None:
    plan = planned(known, region="germany")
    voice = Voice(plan, "metric")
    text = said(heap_section(voice))
    added = plan.engine.value("heap_recipe").add_kg
    assert added["barley_straw"] > 0
    assert f"{voice.number(added['barley_straw'], 'kg')} of barley straw" in text
    assert "no water" in text
    assert "Advice I hold for Germany" in text  # its heat rule
    heap = plan_data(plan)["heap"]
    assert [row["material"] for row in heap["add"]] == ["barley_straw"]
    assert heap["add"][0]["mass_kg"] == pytest.approx(added["barley_straw"], rel=1e-4)
    none_left = planned(known, materials=[{"name": "barley straw", "amount": "1 t"}])
    assert "left over to mix in" in said(heap_section(Voice(none_left, "metric")))


def test_a_low_gate_and_roof_are_dated(known: Knowledge) -> None:
    pens = [{"id": "pen", "area": "60 m2", "gate_height": "1.3 m", "headroom": "2.2 m"}]
    text = said(height_section(Voice(planned(known, pens=pens), "metric")))
    assert "too low to hold them" in text
    assert "left to stand under" in text


def test_law_and_crop_are_summed_apart(known: Knowledge) -> None:
    plan = planned(known, land={"use": "grass", "crop": "silage", "area": "1 ha"})
    text = said(land_section(Voice(plan, "metric")))
    assert "grass silage takes off" in text
    assert "is full first" in text
    rates = [plan.number(f"rate_by_crop_{name}_t_ha") for name in ("nitrogen", "phosphate", "potash")]
    assert plan.number("crop_rate_t_ha") == pytest.approx(min(r for r in rates if r), rel=0.05)
    assert plan.number("crop_land_area_ha") != plan.number("land_area_ha")
    assert "You did not name the crop" not in text


@pytest.mark.parametrize(
    ("land", "crop"),
    [
        ({"use": "grass"}, "grass_hay"),
        ({"use": "arable"}, "wheat_grain"),
        ({"use": "garden", "crop": "Spuds"}, "potatoes"),
        ({"use": "trees"}, None),
        ({"use": "grass", "crop": "moon grass"}, None),
    ],
)
def test_the_crop_by_the_words_keepers_use(known: Knowledge, land: Any, crop: str | None) -> None:
    found = crop_of(read_farm_text(json.dumps({**FARM, "land": land}), known))
    assert (found.id if found else None) == crop
    plan = planned(known, land=land)
    assert (plan.number("crop_rate_t_ha") is None) == (crop is None)
    text = said(land_section(Voice(plan, "metric")))
    assert ("I hold no figures for moon grass" in text) == (land.get("crop") == "moon grass")


def test_a_yield_told_by_the_keeper_goes_first(known: Knowledge) -> None:
    plan = planned(known, facts={"crop_grass_hay_yield": "10 t/ha"})
    assert plan.engine.value("crop_yield_t_ha") == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("days", "word"), [(60, "clear of the time"), (200, "falls into the time"), (240, "falls into the time")]
)
def test_readiness_stands_against_the_closed_time(known: Knowledge, days: int, word: str) -> None:
    """Sweden, areas sensitive to nitrate: nothing from 1 November to the end of February (se_miljovast)."""
    plan = planned(known, region="sweden", days=days)
    assert word in said(land_section(Voice(plan, "metric")))
    after = after_turnout(plan)
    assert after is not None
    assert after.ready is not None
    assert (after.ready.month in (11, 12, 1, 2)) == ("falls" in word)
    assert "I hold no closed time" in said(land_section(Voice(planned(known, region="wales"), "metric")))


#: what a machine reader may count on: value, low, high, unit and basis of each
PROMISED = (
    "excreta_on_bed_kg_day", "nitrogen_on_bed_kg_day", "bedding_total_kg", "bedding_kg_day",
    "base_mass_kg", "top_moisture_worst", "pack_end_mass_kg", "pack_end_volume_m3",
    "pack_end_depth_m", "pack_rise_mm_day", "pack_end_density_kg_m3", "pack_end_moisture",
    "pack_end_c_to_n", "pack_end_nitrogen_kg", "pack_end_phosphorus_kg", "pack_end_potassium_kg",
    "pack_end_nitrogen_kg_t", "nitrogen_excreted_kg", "nitrogen_lost_share", "ammonia_nitrogen_kg",
    "carbon_lost_share", "water_evaporated_kg", "free_liquid_kg", "grain_kg",
    "pigs", "pig_days", "heap_water_kg", "heap_c_to_n",
    "heap_moisture", "compost_mass_kg", "compost_volume_m3", "compost_nitrogen_kg",
    "available_nitrogen_year1_kg", "land_area_ha", "ammonia_ppm",
)  # fmt: skip


def test_the_promised_results_are_all_there(known: Knowledge) -> None:
    data = plan_data(planned(known, turning={"by": "pigs", "grain": True}))
    group = data["groups"]["beef_cow"]
    found = [
        *(data["results"][name] for name in PROMISED),
        group["space_m2_head"],
        group["bedding_kg_head_day"],
    ]
    for result in found:
        assert set(result) == {"value", "low", "high", "unit", "basis"}
        assert result["low"] <= result["value"] <= result["high"]
        assert result["unit"]
        assert result["basis"]
