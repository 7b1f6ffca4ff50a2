"""A pen's bed against sums on paper: weather, feed, base, what the bed needs, and the pack's books."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from advisor.season import bed, weather
from advisor.season.bed import Supply
from advisor.season.simulate import HeadFlow
from advisor.season.timeline import Period, Timeline
from advisor.season.weather import Weather
from tests.season.test_by_hand import EWE, RAM, layer

SEASON = Timeline(
    dt.date(2026, 11, 1), 20, {"ewes": np.array([10.0] * 8 + [4.0] * 12), "rams": np.full(20, 2.0)},
    (Period(0, 8), Period(8, 12)), True,
)  # fmt: skip
STRAW = Supply("straw", "wheat_straw", 0.08, False, None, 0, True)
CHIPS = Supply("chips", "wood_chips", 0.02, True, 500.0, 10, True)


# --- weather ----------------------------------------------------------------------------------------------


def test_two_frosts_are_two_frosts() -> None:
    # Python gives -1 and -2 the same hash; a bed at -1 degC dries faster than one at -2
    milder, colder = (float(v) for v in weather.evaporation_by_day(Weather((-1.0, -2.0)), 0.5, 1.0, 2.0))
    assert (milder, colder) == pytest.approx((0.7, 0.65))
    drawn = np.array([-1.0, 5.0])
    days = weather.evaporation_by_day(Weather((drawn, drawn, drawn + 1.0)), 0.5, 1.0, 2.0)
    assert days[0] is days[1]
    assert list(np.asarray(days[2])) == pytest.approx([0.75, 1.1])
    assert [float(v) for v in weather.evaporation_by_day(Weather((0.0, 10.0)), 0.5, 1.0, 2.0)] == [0.75, 1.5]


def test_each_day_has_its_month_s_weather() -> None:
    autumn = Timeline(dt.date(2026, 11, 29), 4, {}, (), True)
    assert weather.weather(autumn, {11: 4.0, 12: -2.0}).by_day == (4.0, 4.0, -2.0, -2.0)
    assert weather.weather(autumn, {12: -2.0, 1: 4.0}).by_day == (1.0, 1.0, -2.0, -2.0)  # untold: the mean
    assert weather.weather(autumn, 3.0).by_day == (3.0,) * 4


def test_rain_by_the_roof() -> None:
    assert weather.rain_on_bed("roofed", 0.5, 2.0) == 0.0
    assert weather.rain_on_bed("open", 0.5, 2.0) == 2.0
    assert weather.rain_on_bed("part_roofed", 0.75, 2.0) == 0.5


def test_the_species_that_leaves_most() -> None:
    # three cows at 0.2 kg N beat a hundred hens at 0.002, and lose to five hundred
    kinds, nitrogen = ("cattle", "poultry"), (0.2, np.array([0.002, 9.0]))
    assert bed.main_species(kinds, nitrogen, (3.0, 100.0)) == "cattle"
    assert bed.farm_species(kinds, nitrogen, (3.0, 500.0)) == "poultry"
    assert bed.main_species((), (), ()) == "cattle"


# --- feed and base ----------------------------------------------------------------------------------------


def _feed(**changes: Any) -> list[float]:
    told: dict[str, Any] = {
        "feed_on_bed": True, "told_wasted_feed_kg_day": None, "count": 10.0, "weight_kg": 50.0,
        "feed_intake_share": 0.04, "feed_wasted_share": 0.2, "wasted_feed_carbon": 0.45,
        "wasted_feed_nitrogen": 0.02, "wasted_feed_ash": 0.1, "carbon_of_solids_most": 0.55,
        "quick_carbon_unknown": 0.4, "air_dry_moisture": 0.2,
    }  # fmt: skip
    return [float(v) for v in bed.wasted_feed(**(told | changes))[:, 0]]


def test_wasted_feed_by_hand() -> None:
    # 50 kg eats 2 kg dry and drops 0.4: 0.1 kg of water with it, 0.04 ash, 0.36 solids, 0.18 carbon
    wanted = [0.1, 0.04, 0.144, 0.216, 0.072, 0.108, 0.008, 0.0, 0.0, 0.0, 0.0]
    assert _feed() == pytest.approx(wanted)
    # five kilograms told for ten heads: half a kilogram as it is, 0.4 dry
    assert _feed(told_wasted_feed_kg_day=5.0) == pytest.approx(wanted)
    assert sum(_feed(wasted_feed_carbon=0.9)[4:6]) == pytest.approx(
        0.55 * 0.36
    )  # no more carbon than solids hold
    assert _feed(feed_on_bed=False) == [0.0] * 11
    fed = bed.bed_flow(EWE, layer(0.5, 0.1))
    assert (fed.components[0, 0], fed.components[1, 0], fed.nitrogen, fed.tan) == pytest.approx(
        (2.5, 0.2, 0.03, 0.02)
    )


def test_the_base_by_hand() -> None:
    supplies = (STRAW, CHIPS)
    assert bed.base_density_kg_m3("chips", supplies, (40.0, 185.0)) == 185.0
    assert bed.bedded_area_m2((30.0, 20.0)) == 50.0
    assert bed.bedded_area_m2(()) == 0.0
    assert bed.laid_base_depth_m(0.3, 0.5, None, 50.0, 40.0) == pytest.approx(0.15)
    assert bed.laid_base_depth_m(0.3, 0.5, 600.0, 50.0, 40.0) == pytest.approx(0.3)
    assert bed.base_kg(0.3, 50.0, 40.0) == pytest.approx(600.0)
    assert bed.told_base_kg() is bed.told_wasted_feed_kg_day() is None
    # half a day indoors on half again as wet a feed, at 0.8 of the weight: 2 x 0.8 x 1.5 / 2
    assert bed.least_bedding_head_day(2.0, 0.8, 1.5, 12.0) == pytest.approx(1.2)
    # ewes: (8 x 10 + 12 x 4) / 20 = 6.4 a day on the mean
    assert bed.practised_kg_day(SEASON, ("ewes", "rams"), (0.5, 1.0)) == pytest.approx(5.2)
    assert bed.practised_kg_day(SEASON, (), ()) == 0.0


def _share(*supplies: Supply, on_hand: tuple[float, ...], told: bool = False, **changes: Any) -> float:
    farm: dict[str, Any] = {
        "base_keys": ("straw",), "each_pen_practised_kg_day": (6.0, 4.0), "each_pen_base_depth_m": (0.2, 0.3),
        "each_pen_area_m2": (20.0, 10.0), "each_pen_base_density_kg_m3": (40.0, 80.0),
    }  # fmt: skip
    return bed.base_share(told, SEASON, supplies, each_material_usable_on_hand_kg=on_hand, **(farm | changes))


def test_a_short_supply_thins_the_base() -> None:
    # the usual base is 160 + 240 = 400 kg, the season's practice 10 x 20 = 200 kg
    assert _share(STRAW, on_hand=(300.0,)) == pytest.approx(0.5)  # 300 of 600
    assert _share(STRAW, on_hand=(900.0,)) == 1.0
    assert _share(STRAW, on_hand=(300.0,), told=True) == 1.0
    # chips come on the tenth day, 100 kg and 500 for sale: till then 250 kg of straw for 400 + 100
    assert _share(STRAW, CHIPS, on_hand=(250.0, 100.0)) == pytest.approx(0.5)
    # where the base is of straw alone, 160 kg of it make four tenths, whatever chips there are
    early = replace(CHIPS, first_day=0)
    assert _share(STRAW, early, on_hand=(160.0, 0.0)) == pytest.approx(0.4)
    assert _share(STRAW, early, on_hand=(160.0, 0.0), base_keys=("chips", "straw")) == 1.0
    # what is kept for the heap makes no base; what can be bought without limit makes all of it
    assert _share(replace(STRAW, bedding=False), on_hand=(900.0,)) == 0.0
    assert _share(replace(STRAW, for_sale=True), on_hand=(0.0,)) == 1.0
    late = replace(CHIPS, first_day=20)  # what comes as they go out is no use
    assert _share(STRAW, late, on_hand=(300.0, 900.0)) == pytest.approx(0.5)


# --- what the bed needs -----------------------------------------------------------------------------------


def _need(**changes: Any) -> Any:
    told: dict[str, Any] = {
        "timeline": SEASON, "pen_key": "fold", "group_keys": ("ewes", "rams"), "each_group_bed_flow": (EWE, RAM),
        "each_group_urine_head_day": (1.5, 2.0), "each_group_share_on_bed": (0.8, 0.5),
        "each_group_least_bedding_head_day": (0.5, 1.0), "each_group_weight_kg": (60.0, 100.0),
        "each_group_births_due": (False, False), "each_group_class_young": (False, False), "rain_on_bed": 0.1,
        "evaporation_by_day": [0.5] * 4 + [0.7] * 4 + [0.3] * 12, "evaporation_credit": 0.5, "area_m2": 20.0,
        "dry_top_moisture": 0.65, "dry_planning_margin": 0.05, "dry_floor_moisture": 0.2,
        "evaporation_full_moisture": 0.75, "upper_bedding_rate": 0.02, "most_bedding_of_least": 1.5,
        "main_species": "sheep", "goal_c_to_n": 25.0,
    }  # fmt: skip
    return bed.bed_need(**(told | changes))


def test_what_the_bed_needs_by_hand() -> None:
    need = _need()
    first, second = need.periods
    assert (need.pen, need.goal_c_to_n, need.urgency, need.base_kg) == ("fold", 25.0, 1.0, {})
    assert need.moisture_limit == pytest.approx(0.6)
    # at 0.6 a kilogram of dry matter has 1.5 - 0.25 kg free to dry, of 3 - 0.25 at the full rate: 5/11 of it.
    # air dries 0.6 x 20 x 5/11 a day, then 0.3 x 20 x 5/11
    dries = 12.0 * 5.0 / 11.0, 6.0 * 5.0 / 11.0
    # ten ewes, later four, and two rams: urine 1.2 and 1 kg; rain 2 kg
    assert first.to_soak_up == pytest.approx(12.0 + 2.0 + 2.0 - 0.5 * dries[0])
    assert second.to_soak_up == pytest.approx(4.8 + 2.0 + 2.0 - 0.5 * dries[1])
    assert first.water == pytest.approx(20.0 + 6.0 + 2.0 - dries[0])
    assert second.water == pytest.approx(8.0 + 6.0 + 2.0 - dries[1])
    assert (first.dry, second.dry) == pytest.approx((5.0 + 1.6, 2.0 + 1.6))
    assert (first.least, second.least) == pytest.approx((7.0, 4.0))
    assert (first.most, second.most) == pytest.approx((10.5, 6.0))
    assert (first.first_day, first.days, second.first_day, second.days) == (0, 8, 8, 12)


def test_bounds_of_what_the_bed_needs() -> None:
    cattle = _need(main_species="cattle").periods  # 0.02 of 800 kg, of 440 kg
    assert [p.most for p in cattle] == pytest.approx([16.0, 8.8])
    assert _need(main_species="cattle", upper_bedding_rate=0.001).periods[0].most == pytest.approx(7.0)
    windy = _need(evaporation_by_day=[9.0] * 20).periods[0]
    assert (windy.to_soak_up, windy.water) == (0.0, 0.0)
    # a limit wetter than where the full rate begins: no more than the full rate; one below the floor: none
    assert _need(dry_top_moisture=0.85).periods[0].water == pytest.approx(28.0 - 12.0)
    assert _need(dry_top_moisture=0.2).periods[0].water == pytest.approx(28.0)
    assert _need(each_group_births_due=(False, True), each_group_class_young=(True, False)).urgency == 3.0
    assert _need(each_group_class_young=(True, False)).urgency == 2.0
    drawn = HeadFlow(np.repeat(EWE.components, 2, axis=1) * np.array([1.0, 9.0]), 0.03, 0.02)
    assert _need(each_group_bed_flow=(drawn, RAM)).periods[0].dry == pytest.approx(6.6)  # the typical draw
