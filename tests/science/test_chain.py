"""The formulas of the chain, one by one: by hand, and by what must hold whatever the numbers."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.knowledge import Figure, Knowledge
from advisor.knowledge.models import SpaceLimit
from advisor.science import air, bedding, excreta, heap, height, land, money, outcome, space, supply, turning
from advisor.season.bed import Supply, management
from advisor.season.decide import Decision
from advisor.season.simulate import PackRun
from advisor.season.step import ASH, CARBON_QUICK, CARBON_SLOW, HOLDING, SOLIDS_QUICK, SOLIDS_SLOW, TAN, WATER
from advisor.season.timeline import Period, Timeline
from advisor.season.weather import Weather, ammonia_warmth_by_day, evaporation_by_day
from advisor.units import convert

SEASON = Timeline(dt.date(2026, 11, 1), 20, {}, (Period(0, 10), Period(10, 10)), True)
STRAW = Supply("straw", "wheat_straw", 0.08, True, None, 0, True)
CHIPS = Supply("chips", "wood_chips", None, True, None, 0, True)
GRAIN = Supply("maize", "maize", None, False, None, 0, False)


def decided(**rates: list[float]) -> Decision:
    return Decision({"pen": dict(rates)}, {"pen": {"straw": 100.0}}, {"straw": 40.0})


# --- excreta and bedding ----------------------------------------------------------------------------------


@given(share=st.floats(0, 1), factor=st.floats(0.3, 1.5), wet=st.floats(1.0, 1.5))
def test_what_a_head_brings_adds_up(share: float, factor: float, wet: float) -> None:
    flow = excreta.head_flow(
        share_on_bed=share, excreta_head_day=40.0 * factor, dry_matter_head_day=5.0 * factor,
        volatile_solids_head_day=4.2 * factor, urine_head_day=12.0 * factor * wet, nitrogen_head_day=0.2 * factor,
        tan_share=0.5, phosphorus_head_day=0.04 * factor, potassium_head_day=0.15 * factor, class_urine=12.0,
        live_weight_factor=factor, feed_wetness=wet, carbon_of_volatile_solids=0.53,
        excreta_quick_carbon_share=0.45, faeces_held_moisture=0.85, urine_solids_share=0.04,
    )  # fmt: skip
    c = flow.components[:, 0]
    dry = c[ASH] + c[SOLIDS_QUICK] + c[SOLIDS_SLOW]
    assert dry == pytest.approx(5.0 * factor * share)
    extra = 12.0 * factor * (wet - 1.0)  # silage makes them drink and stale more
    assert c[WATER] + dry == pytest.approx((40.0 * factor + extra) * share)
    assert c[CARBON_QUICK] + c[CARBON_SLOW] == pytest.approx(0.53 * 4.2 * factor * share)
    assert c[TAN] == pytest.approx(0.5 * flow.nitrogen)
    assert c[HOLDING] <= 0.85 / 0.15 * dry + 1e-9


def test_birds_have_no_urine_apart() -> None:
    assert excreta.urine_head_day(None, 1.0, 1.3) == 0.0
    assert excreta.feed_wetness("silage", 1.3) == 1.3
    assert excreta.feed_wetness("hay", 1.3) == 1.0
    assert excreta.live_weight_factor(300.0, np.array([600.0, 500.0])) == 0.5
    assert excreta.live_weight_factor(300.0, 600.0) == 0.5
    assert excreta.share_on_bed(12.0, "none", 0.5) == 0.5
    assert excreta.share_on_bed(24.0, "scraped", 0.5) == 0.5


@given(st.floats(0.0, 0.9), st.floats(0.5, 6.0))
def test_wet_bedding_soaks_up_less_and_never_less_than_nothing(water: float, absorbency: float) -> None:
    here, wetter = (bedding.soaks_up_kg_kg(absorbency, 2.0, w, 0.12, 0.7) for w in (water, water + 0.05))
    assert 0.0 <= wetter <= here <= absorbency * 0.7 / 0.88 + 1e-9


def test_bedding_of_unknown_kind_is_filled_in() -> None:
    known = {"material_water": 0.12, "material_ash": 0.06, "material_carbon": 0.45, "material_nitrogen": 0.005,
                 "phosphorus_unknown": 0.001, "potassium_unknown": 0.01, "quick_carbon_unknown": 0.4,
                 "carbon_of_solids_most": 0.55, "soaks_up_kg_kg": 1.5}  # fmt: skip
    bare = bedding.bedding_per_kg(
        **known, material_phosphorus=None, material_potassium=None, material_quick_carbon=None
    )
    told = bedding.bedding_per_kg(
        **known, material_phosphorus=0.001, material_potassium=0.01, material_quick_carbon=0.4
    )
    assert (bare == told).all()
    assert bedding.soaks_up_kg_kg(None, 2.0, 0.12, 0.12, 0.7) == pytest.approx(2.0 * 0.7)
    assert bedding.laid_density_kg_m3(None, None, 60.0) == 60.0
    assert bedding.laid_density_kg_m3(None, 80.0, 60.0) == 80.0
    assert bedding.laid_density_kg_m3(100.0, 80.0, 60.0) == 100.0
    assert bedding.material_c_to_n(0.45, 0.005) == pytest.approx(90.0)


# --- weather ----------------------------------------------------------------------------------------------


@given(st.floats(-40, 40), st.floats(0, 10))
def test_warmer_never_dries_less(cold: float, more: float) -> None:
    rates = evaporation_by_day(Weather((cold, cold + more)), 0.5, 1.0, 2.0)
    assert 0.5 <= float(rates[0]) <= float(rates[1]) + 1e-12 <= 2.0 + 1e-9


def test_evaporation_at_the_three_marks_and_shared_between_like_days() -> None:
    days = evaporation_by_day(Weather((-5.0, 5.0, 15.0, 5.0, -30.0, 40.0)), 0.5, 1.0, 2.0)
    assert [float(d) for d in days] == [0.5, 1.0, 2.0, 1.0, 0.5, 2.0]
    assert days[1] is days[3]


def test_litter_is_scratched_only_by_birds_that_scratch() -> None:
    assert management("poultry", (True,)) == "hens"
    assert management("poultry", (False, True)) == "hens"
    assert management("poultry", (False,)) == "static"
    assert management("cattle", (False, True)) == "static"


def test_ammonia_grows_with_warmth_as_measured_over_cattle_manure() -> None:
    # Lithuanian cowshed study, The Scientific World Journal 2013, article 825437, abstract: 102 mg/m2 an hour
    # at 4 degC and 430 at 30 degC, fourfold. The working slope is a little gentler for a bed with its own warmth.
    cold, warm = ammonia_warmth_by_day(Weather((4.0, 30.0)), 0.0553, 10.0)
    assert warm / cold == pytest.approx(430 / 102, rel=0.01)
    assert ammonia_warmth_by_day(Weather((10.0,)), 0.05, 10.0) == [1.0]
    held = ammonia_warmth_by_day(Weather((-10.0, -30.0, 30.0, 50.0)), 0.05, 10.0)
    assert held[0] == held[1] < held[2] == held[3]


# --- space ------------------------------------------------------------------------------------------------


def _limit(area: float, **changes: Any) -> SpaceLimit:
    figure = {
        "value": area,
        "unit": "m2/head",
        "basis": "a head",
        "evidence": [{"value": area, "seen": "memory"}],
    }
    return SpaceLimit.model_validate({"species": "pigs", "figure": figure, "law": True, **changes})


def test_the_largest_limit_that_fits_is_taken(known: Knowledge) -> None:
    region = known.regions["generic"]
    rules = (
        region.model_copy(update={"space": (
            _limit(0.4, weight_to_kg=50), _limit(0.65, weight_from_kg=50), _limit(3.0, classes=("boar",)),
        )}),
    )  # fmt: skip
    assert space.legal_space_m2_head(rules, "pigs", "finishing_pig", 30.0) == 0.4
    assert space.legal_space_m2_head(rules, "pigs", "finishing_pig", np.array([90.0, 80.0])) == 0.65
    assert space.legal_space_m2_head(rules, "pigs", "boar", 90.0) == 3.0
    assert space.legal_space_m2_head(rules, "sheep", "ewe", 90.0) == 0.0
    by_weight = _limit(
        1.0,
        per_weight={
            "value": 0.01,
            "unit": "m2/kg",
            "basis": "a kg",
            "evidence": [{"value": 0.01, "seen": "memory"}],
        },
    )
    assert space.limit_area(by_weight, 600.0) == pytest.approx(6.0)
    assert space.limit_area(by_weight, 50.0) == pytest.approx(1.0)


def test_space_by_weight_and_by_pen() -> None:
    assert space.litter_space_m2_head(8.0, 1.0) == 8.0
    assert space.litter_space_m2_head(8.0, 0.125) == pytest.approx(2.0)
    assert space.space_m2_head(5.0, 6.0) == 6.0
    few_then_many = Timeline(
        dt.date(2026, 11, 1),
        4,
        {"cows": np.array([10.0, 10, 12, 2]), "calves": np.array([0.0, 5, 5, 40])},
        (),
        True,
    )
    both = ("cows", "calves")
    # the fullest day for room is the one of most need: 12 x 6 + 5 x 1 = 77 against 2 x 6 + 40 x 1
    assert space.space_needed_m2(few_then_many, both, (6.0, 1.0), (1.0, 1.0)) == 77.0
    assert space.space_needed_m2(few_then_many, both, (6.0, 2.0), (1.0, 1.0)) == 92.0
    drawn = space.space_needed_m2(few_then_many, both, (6.0, 1.0), (np.array([1.0, 0.5]), 1.0))
    assert np.asarray(drawn).tolist() == [77.0, 46.0]
    assert space.space_needed_m2(few_then_many, (), (), ()) == 0.0
    assert space.pen_space_ratio(80.0, 100.0) == pytest.approx(0.8)
    assert space.pen_law_ratio(98.0, few_then_many, both, (4.0, 0.2)) == 2.0
    assert space.pen_law_ratio(98.0, few_then_many, both, (0.0, 0.0)) == 99.0
    assert space.space_ratio((1.2, np.array([0.8, 1.4]))).tolist() == [0.8, 1.2]
    assert space.space_law_ratio(()) == 0.0


# --- supply and money -------------------------------------------------------------------------------------


def test_how_long_the_bedding_lasts() -> None:
    decision = decided(straw=[10.0, 20.0])

    def lasts(amount: float | np.ndarray) -> Any:
        return supply.supply_lasts_days(SEASON, (STRAW, GRAIN), decision, (amount, 500.0))

    assert lasts(400.0) == 20.0  # 100 of base, 100, 200: just enough
    assert lasts(150.0) == 5.0
    assert lasts(260.0) == 13.0
    assert lasts(50.0) == 0.0  # not even the base
    assert lasts(np.array([150.0, 400.0])).tolist() == [5.0, 20.0]
    assert lasts(0.0) == 20.0  # nothing on hand: nothing can run out, all is bought
    assert supply.day_used_up("straw", 0.0, decision, SEASON) == 0.0


@given(st.lists(st.floats(0, 100), min_size=2, max_size=2), st.floats(1, 5000), st.floats(1, 500))
def test_more_on_hand_never_lasts_less(rates: list[float], amount: float, more: float) -> None:
    decision = decided(straw=rates)
    here, beyond = (supply.day_used_up("straw", a, decision, SEASON) for a in (amount, amount + more))
    assert 0.0 <= here <= beyond <= 20.0


def test_amounts_prices_and_hours() -> None:
    assert supply.amount_kg(3.0, 250.0, 2.0, 90.0) == 930.0
    assert supply.usable_on_hand_kg(100.0, True, 0.15) == pytest.approx(85.0)
    assert supply.usable_on_hand_kg(100.0, False, 0.15) == 100.0
    assert supply.supply_on_hand_kg((STRAW, GRAIN), (70.0, 30.0)) == 70.0
    assert supply.supply_ratio(50.0, 100.0) == 0.5
    decision = decided(straw=[10.0, 20.0], chips=[0.0, 0.0])
    assert supply.purchase_cost(decision, (STRAW, CHIPS)) == pytest.approx(3.2)
    decision.buy_kg["chips"] = 5.0
    assert supply.purchase_cost(decision, (STRAW, CHIPS)) is None
    assert money.bedding_value(decision, (STRAW, CHIPS), SEASON) == pytest.approx(400.0 * 0.08)
    assert money.bedding_value(decided(chips=[1.0, 1.0]), (STRAW, CHIPS), SEASON) is None
    assert money.season_cost(None, 5.0, 2.0, 3.0, 20.0, SEASON) is None
    assert money.season_cost(100.0, None, 3.5, 5.0, 20.0, SEASON) == pytest.approx(
        100.0 + (10.0 + 5.0) * 20.0
    )
    assert money.season_cost(100.0, 40.0, 3.5, 5.0, 20.0, SEASON) == pytest.approx(
        140.0 + (10.0 + 5.0) * 20.0
    )
    assert money.grain_cost(500.0, 220.0) == pytest.approx(110.0)
    assert money.grain_cost(None, 220.0) is None
    assert money.grain_cost(500.0, None) is None
    assert money.tractor_cost(3.0, 20.0) == 60.0
    assert money.fork_cost(40.0, 15.0) == 600.0
    assert money.season_cost_head(None, 10.0) is None
    assert money.season_cost_head(50.0, 10.0) == 5.0
    assert money.fertiliser_value(10.0, 5.0, 2.0, 1.0, 2.0, 3.0) == 26.0


# --- height -----------------------------------------------------------------------------------------------


def test_from_when_a_level_is_passed_for_good() -> None:
    """A loose base stands high for a day, treads down, and only then rises for the winter."""
    depth = np.array([[0.3, 0.3], [0.1, 0.1], [0.2, 0.2], [0.3, 0.2]])
    assert height.day_for_good(depth, 0.15).tolist() == [2.0, 2.0]
    found = height.day_for_good(depth, 0.25)
    assert found[0] == 3.0
    assert math.isnan(found[1])
    assert height.day_for_good(depth, 0.05).tolist() == [0.0, 0.0]
    assert height.day_for_good(depth[:, :1], 0.15) == 2.0


def test_when_a_level_is_reached() -> None:
    depth = np.array([[0.1, 0.1], [0.2, 0.15], [0.3, 0.2]])
    reached = height.day_reached(depth, 0.2)
    assert reached.tolist() == [1.0, 2.0]
    assert math.isnan(height.day_reached(depth[:, :1], 9.0))
    assert height.day_reached(depth[:, :1], 0.1) == 0.0
    run = _run(depth)
    assert height.drinker_reached_day(0.7, run, 0.5).tolist() == [1.0, 2.0]
    assert height.pen_gate_margin_m(1.2, 0.7) == pytest.approx(0.5)
    assert height.pen_headroom_left_m(2.5, 0.7) == pytest.approx(1.8)


@pytest.mark.parametrize("draws", [1, 2])
def test_the_floor_falls_and_rises_again(draws: int) -> None:
    run = _run(np.repeat([[0.3], [0.1], [0.2], [0.3]], draws, axis=1))
    assert np.asarray(height.pen_lowest_depth_m(run)).tolist() == pytest.approx(
        0.1 if draws == 1 else [0.1, 0.1]
    )
    assert height.pen_rise_m_week(run) == pytest.approx(0.7)


def _run(depth: np.ndarray) -> PackRun:
    nothing = np.zeros_like(depth)
    end: Any = None
    return PackRun(*[nothing] * 4, depth, *[nothing] * 9, end, nothing[0])  # only the depth is read


def test_the_ridge_by_the_width_of_the_building() -> None:
    # published rule of thumb as held: so much slot for each metre of width
    assert air.ridge_slot_m(12.0, 1.0 / 60.0) == pytest.approx(0.2)


# --- turning ----------------------------------------------------------------------------------------------


def test_no_grain_where_it_can_kill_or_is_not_wanted() -> None:
    assert turning.grain_is_safe(("cattle", "pigs"))
    for species in ("sheep", "goats", "horses", "poultry", "camelids", "deer"):
        assert not turning.grain_is_safe(("cattle", species))
    assert turning.grain_kg(10.0, 15.0, "pigs", True, False) is None
    assert turning.grain_kg(10.0, 15.0, "pigs", False, True) is None
    assert turning.grain_kg(10.0, 15.0, "fork", True, True) is None
    assert turning.grain_kg_m2(None, (50.0,)) is None
    assert turning.grain_kg_m2(100.0, (50.0,)) == 2.0


def test_pigs_and_their_days() -> None:
    assert turning.pigs("fork", (50.0,), 2.0) is None
    assert turning.pigs("pigs", (49.0,), 2.0) == 25.0
    assert turning.pigs("pigs", (0.5,), 2.0) == 1.0
    assert turning.pig_turning_time(36.0, 0.9, 0.9) == 36.0
    assert turning.pig_turning_time(36.0, 1.0, 0.9) == 72.0
    assert turning.pig_days(None, 36.0) is None
    assert turning.pig_days(25.0, 36.0) == 900.0
    assert turning.named_pigs_days(900.0, 0.0) is None
    assert turning.named_pigs_days(None, 3.0) is None
    assert turning.named_pigs_days(900.0, 3.0) == 300.0
    assert turning.grain_feeds_days(None, 25.0, 2.5) is None
    assert turning.grain_feeds_days(100.0, None, 2.5) is None
    assert turning.grain_feeds_days(625.0, 25.0, 2.5) == 10.0
    assert turning.hens_work_depth_m(0.1) == 0.1


# --- heap and land ----------------------------------------------------------------------------------------


@given(st.floats(1, 1e5), st.floats(0.05, 0.95), st.floats(0.1, 0.9))
def test_water_for_a_heap_brings_it_there_and_no_further(mass: float, moisture: float, wanted: float) -> None:
    water = float(heap.water_to_add_kg(mass, moisture, wanted))
    reached = (mass * moisture + water) / (mass + water)
    assert reached == pytest.approx(max(moisture, wanted), rel=1e-9)


def test_a_heap_cannot_be_all_water() -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        heap.water_to_add_kg(1.0, 0.5, 1.0)


def test_heap_air_size_and_time() -> None:
    assert heap.free_air_space(300.0, 600.0, 1.6, 1500.0, 1000.0) == pytest.approx(0.5)
    assert heap.free_air_space(3000.0, 6000.0, 1.0, 1500.0, 1000.0) == 0.0
    assert heap.windrow_length_m(32.0, 4.0, 1.8) == pytest.approx(32.0 / 4.8)
    assert heap.heap_side_m(27.0) == pytest.approx(3.0)
    assert heap.compost_ready_days(60.0, 90.0) == 150.0
    assert heap.dug_out_volume_m3(10.0, 1.4) == pytest.approx(14.0)
    assert heap.compost_volume_m3(1200.0, 600.0) == 2.0
    rich = heap.HeapRecipe({}, (), 2000.0, 1000.0, 2500.0, 100.0, 5.0, 20.0)
    assert heap.heap_straw_kg(rich, 25.0, 0.4, 0.005) == 0.0
    # (25 x 100 - 2000) / (0.4 - 25 x 0.005)
    poor = heap.HeapRecipe({}, (), 2000.0, 1000.0, 2000.0, 100.0, 5.0, 20.0)
    assert heap.heap_straw_kg(poor, 25.0, 0.4, 0.005) == pytest.approx(500.0 / 0.275)


def test_only_what_fits_a_heap_is_offered_to_it() -> None:
    """Grain stays out of it, and what is used up cannot be added."""
    straw = bedding.bedding_per_kg(0.12, 0.06, 0.45, 0.005, None, None, 0.001, 0.01, None, 0.4, 0.55, 1.5)
    left = heap.left_over_kg((STRAW, CHIPS, GRAIN), (1000.0, 0.0, 300.0), decided(straw=[10.0, 20.0]), SEASON)
    assert left == {"straw": 600.0, "chips": 0.0, "maize": 300.0}
    pack = {"pack_end_phosphorus_kg": 5.0, "pack_end_potassium_kg": 20.0, "goal_c_to_n": 25.0, "heap_c_to_n_high": 30.0,
                "heap_moisture_low": 0.5, "heap_moisture_high": 0.6, "heap_moisture_strawy_high": 0.7,
                "heap_free_air_space_least": 0.3}  # fmt: skip
    found = heap.heap_recipe(
        (STRAW, CHIPS, GRAIN), left, (straw, straw, straw), ("bedding", "bedding", "grain"),
        pack_end_mass_kg=3000.0, pack_end_dry_matter_kg=1000.0, pack_end_carbon_kg=420.0, pack_end_nitrogen_kg=20.0,
        heap_free_air_space=0.4, **pack,
    )  # fmt: skip
    assert set(found.add_kg) == {"straw"}
    added = found.add_kg["straw"]
    assert (420.0 + added * 0.88 * 0.45) / (20.0 + added * 0.88 * 0.005) == pytest.approx(25.0, rel=1e-3)
    assert found.mass == pytest.approx(3000.0 + added)
    assert found.dry_matter == pytest.approx(1000.0 + added * 0.88)
    assert heap.heap_added_kg(found) == added
    dense = heap.heap_recipe(
        (STRAW,), {"straw": 0.0}, (straw,), ("bedding",),
        pack_end_mass_kg=3000.0, pack_end_dry_matter_kg=1000.0, pack_end_carbon_kg=520.0, pack_end_nitrogen_kg=20.0,
        heap_free_air_space=0.1, **pack,
    )  # fmt: skip
    assert [m.target for m in dense.missed] == ["moisture"]  # too wet for a heap with so little air
    assert dense.missed[0].wanted.high == 0.6


def test_land_by_nitrogen() -> None:
    assert land.land_area_ha(340.0, 170.0) == 2.0
    assert land.rate_by_nitrogen_t_ha(20000.0, 2.0) == 10.0
    assert land.potash_at_rate_kg_ha(500.0, 2.0) == 250.0
    assert land.phosphate_at_rate_kg_ha(100.0, 2.0) == 50.0
    assert land.garden_area_m2(3000.0, 3.0) == 1000.0
    assert land.rate_kg_m2(0.017, 0.006) == pytest.approx(2.8333, rel=1e-3)
    assert land.available_nitrogen_year1_kg(200.0, 0.1) == 20.0


# --- the outcome of groups --------------------------------------------------------------------------------


def test_shares_of_groups_add_up_to_the_pen() -> None:
    groups = [(9.0, 10.0), (1.0, 40.0)]
    least = outcome.pen_least_bedding_kg_day(tuple(r for r, _ in groups), tuple(n for _, n in groups))
    a_head = [outcome.bedding_kg_head_day(200.0, least, r) for r, _ in groups]
    assert sum(kg * n for kg, (_, n) in zip(a_head, groups, strict=True)) == pytest.approx(200.0)
    assert outcome.group_heat_w(None, 1.0, 10.0) == 0.0
    assert outcome.group_heat_w(800.0, 1.0, 10.0) == 8000.0
    assert outcome.count_factor(np.array([10.0, 9.0])).tolist() == [1.0, 0.9]


# --- facts of the trade: common practice, no published source ---------------------------------------------


def _figure(known: Knowledge, name: str) -> Figure:
    figure = known.figures[name].figure
    assert figure is not None
    return figure


def test_a_base_of_thirty_centimetres(known: Knowledge) -> None:
    # common practice: lay about 30 cm before the animals come in
    entry = known.figures["base_depth"] if "base_depth" in known.figures else known.figures["base_depth_m"]
    figures = [f for f in (entry.figure, *(case.figure for case in entry.cases)) if f is not None]
    assert any(f.low <= 0.30 <= f.high and f.value == pytest.approx(0.30) for f in figures)


def test_fifteen_kilograms_of_grain_a_cubic_metre(known: Knowledge) -> None:
    # common practice: 15 kg of grain a cubic metre of bedding, so that 36 kg serve 2.4 m3
    dose = _figure(known, "grain_per_bedding")
    assert turning.grain_kg(2.4, 15.0, "pigs", True, True) == pytest.approx(36.0)
    assert dose.value == pytest.approx(15.0)
    assert dose.low <= 15.0 <= dose.high


def test_thirty_pounds_a_cubic_yard_is_not_the_same(known: Knowledge) -> None:
    # common practice: 30 lb a cubic yard is 17.8 kg a cubic metre, not 15
    assert convert(30.0, "lb/yd3", "kg/m3") == pytest.approx(17.8, abs=0.05)
    dose = _figure(known, "grain_per_bedding")
    assert dose.low <= 17.8 <= dose.high


@pytest.mark.parametrize(
    ("material", "ratio", "near"),
    [
        ("cattle_manure", 20.0, 0.25),  # common practice: cow manure about 20:1
        ("hen_manure", 7.0, 0.25),  # common practice: hen manure about 7:1
        (
            "wood_chips",
            300.0,
            0.5,
        ),  # common practice: wood chips about 300:1; from 100 to 500 by wood and age
    ],
)
def test_ratios_every_keeper_knows(material: str, ratio: float, near: float, known: Knowledge) -> None:
    entry = known.materials[material]
    assert entry.carbon.value / entry.nitrogen.value == pytest.approx(ratio, rel=near)
    assert (
        entry.carbon.low / entry.nitrogen.high <= ratio <= entry.carbon.high / max(entry.nitrogen.low, 1e-9)
    )


def test_aim_for_twenty_five_to_thirty(known: Knowledge) -> None:
    # common practice: aim for 25 to 30 parts of carbon to one of nitrogen
    assert _figure(known, "heap_c_to_n_low").value == 25.0
    assert _figure(known, "heap_c_to_n_high").value == 30.0
    assert _figure(known, "goal_c_to_n_low").value == 25.0
    assert _figure(known, "goal_c_to_n_high").value == 30.0
