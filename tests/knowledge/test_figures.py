"""The figures of the science and the trade, held against what was printed and against arithmetic."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.knowledge.figure import Figure
from advisor.units import convert, same_dimension
from tests.knowledge.whole import FAULTS, KNOWLEDGE

FILES = ("air", "bed", "crops", "gases", "heap", "land", "losses", "season", "turning")
IDS = [
    key
    for key in KNOWLEDGE.figures
    if KNOWLEDGE.places["figures", key].file in {f"figures/{name}.yaml" for name in FILES}
]

SITUATION = ("species", "management", "family", "climate")

# What the engine reads by name.
NEEDED = (
    "bed_nitrogen_loss_share", "ammonia_share_of_tan", "nitrogen_locked_by_straw",
    "nitrogen_loss_c_to_n_effect", "quick_carbon_decay_rate", "slow_carbon_decay_rate",
    "excreta_quick_carbon_share", "carbon_of_volatile_solids", "evaporation_at_minus5",
    "evaporation_at_5", "evaporation_at_15", "usable_absorbency_share", "faeces_held_moisture",
    "top_passed_down", "pack_air_share", "solids_density", "dry_top_moisture", "goal_c_to_n_low",
    "goal_c_to_n_high", "acceptable_c_to_n_low", "acceptable_c_to_n_high", "base_depth_m",
    "digging_out_bulking", "dug_out_density", "upper_bedding_rate", "outdoor_storage_loss",
    "passage_share_dropped", "feed_wasted_share", "silage_wetness_factor",
    "bedding_work_hours_per_t", "mean_winter_temperature", "air_latent_share", "water_latent_heat",
    "co2_per_heat", "co2_outdoor_ppm", "co2_limit_ppm", "air_outlet_area_m2_head",
    "inlet_to_outlet_ratio", "ridge_opening_per_width", "ammonia_spread", "grain_per_bedding",
    "grain_keeps_days", "pig_feed_per_day", "pig_turning_area", "pig_turning_days",
    "pig_turning_depth", "pig_least_weight", "pig_best_weight", "hen_scratch_depth", "hen_stocking",
    "fork_rate", "tractor_rate", "heap_c_to_n_low", "heap_c_to_n_high", "heap_moisture_low",
    "heap_moisture_high", "heap_free_air_space_least", "heap_least_side", "heap_least_side_winter",
    "heap_volume_loss", "heap_mass_loss", "heap_carbon_loss", "heap_nitrogen_loss",
    "heap_hot_temperature", "heap_fire_temperature", "heap_curing_days", "heap_active_days",
    "heap_density", "finished_compost_density", "finished_moisture",
    "compost_nitrogen_available_year1", "compost_nitrogen_available_year2",
    "compost_nitrogen_available_year3", "pack_nitrogen_available_year1",
    "pack_nitrogen_available_year2", "pack_nitrogen_available_year3", "phosphorus_available_year1",
    "potassium_available_year1", "potash_caution_rate", "garden_rate", "ammonia_act_ppm",
    "ammonia_people_8h_ppm", "ammonia_nose_ppm", "h2s_people_8h_ppm", "h2s_danger_ppm",
    "h2s_smell_lost_ppm",
)  # fmt: skip


def variants(key: str) -> Iterator[Figure]:
    entry = KNOWLEDGE.figures[key]
    if entry.figure is not None:
        yield entry.figure
    for case in entry.cases:
        yield case.figure


VARIANTS = [(key, variant) for key in IDS for variant in variants(key)]


def figure(key: str, **situation: str) -> Figure:
    """The variant for a situation, in the entry's own unit: the first case whose facts all agree."""
    entry = KNOWLEDGE.figures[key]
    for case in entry.cases:
        wanted = {name: getattr(case, name) for name in SITUATION}
        if all(not allowed or situation.get(name) in allowed for name, allowed in wanted.items()):
            return case.figure.to(entry.si)
    assert entry.figure is not None, f"{key}: nothing for {situation}"
    return entry.figure.to(entry.si)


def value(key: str, **situation: str) -> float:
    return figure(key, **situation).value


def test_no_figure_source_or_term_is_broken() -> None:
    mine = (*(f"figures/{name}.yaml" for name in FILES), "sources/composting.yaml", "glossary/")
    assert [str(fault) for fault in FAULTS if fault.place.file.startswith(mine)] == []


def test_what_the_engine_reads_is_there_for_every_species() -> None:
    # A bare figure serves the kinds without a case of their own.
    missing = [key for key in NEEDED if key not in KNOWLEDGE.figures or KNOWLEDGE.figures[key].figure is None]
    assert missing == []


def test_every_variant_converts_to_the_unit_it_is_held_in() -> None:
    for key, variant in VARIANTS:
        entry = KNOWLEDGE.figures[key]
        held = variant.to(entry.si)
        assert held.low <= held.value <= held.high, key
        assert all(same_dimension(item.unit, entry.si) for item in variant.evidence if item.unit), key


def test_evidence_names_a_known_source_and_a_place_in_it() -> None:
    for key, variant in VARIANTS:
        for item in variant.evidence:
            if item.source is not None:
                assert item.source in KNOWLEDGE.sources, key
                assert item.at, f"{key}, {item.source}: where in it?"


def test_working_values_lie_within_what_is_published_or_say_why_not() -> None:
    silent = []
    for key, variant in VARIANTS:
        published = [
            convert(number, item.unit or variant.unit, variant.unit)
            for item in variant.evidence
            if item.source is not None
            for number in (item.value, item.low, item.high)
            if number is not None
        ]
        if published and not min(published) * 0.99 - 1e-9 <= variant.value <= max(published) * 1.01 + 1e-9:
            outside = f"{key}: {variant.value:g} is not in {min(published):g} to {max(published):g}"
            silent += [outside] if len(variant.why) < 30 else []
    assert silent == []


def test_labels_are_words_without_digits() -> None:
    assert [key for key in IDS if re.search(r"\d", KNOWLEDGE.figures[key].label)] == []


def test_no_case_hides_behind_an_earlier_one() -> None:
    for key in IDS:
        seen: list[dict[str, set[str]]] = []
        for case in KNOWLEDGE.figures[key].cases:
            now = {name: set(getattr(case, name)) for name in SITUATION}
            assert not any(_covers(earlier, now) for earlier in seen), f"{key}: {now} never holds"
            seen.append(now)


def _covers(earlier: dict[str, set[str]], now: dict[str, set[str]]) -> bool:
    """Whether an earlier case holds whenever this one does."""
    return all(not allowed or (now[name] and now[name] <= allowed) for name, allowed in earlier.items())


# --- what was printed, written here a second time so that a slip in the YAML shows -------------------------

PRINTED: list[tuple[str, dict[str, str], float, float]] = [
    # IPCC 2006 Vol 4 Ch 10 Table 10.23, total N loss from deep bedding: cattle 10-50 %, pigs 10-60 %, sheep and
    # horses 15-40 %; poultry with litter 20-80 %.
    ("bed_nitrogen_loss_share", {"species": "cattle", "management": "static"}, 0.10, 0.50),
    ("bed_nitrogen_loss_share", {"species": "pigs", "management": "static"}, 0.10, 0.69),
    ("bed_nitrogen_loss_share", {"species": "sheep", "management": "static"}, 0.15, 0.40),
    ("bed_nitrogen_loss_share", {"species": "goats", "management": "static"}, 0.15, 0.40),
    ("bed_nitrogen_loss_share", {"species": "horses", "management": "static"}, 0.15, 0.40),
    ("bed_nitrogen_loss_share", {"species": "poultry", "management": "hens"}, 0.20, 0.80),
    # Stirred dairy packs: 9 % (Netherlands, cool, wood chips) to 54 % (Spain, Fuertes 2021).
    ("bed_nitrogen_loss_share", {"species": "cattle", "management": "stirred"}, 0.09, 0.545),
    # EMEP/EEA 2019 3.B Table 3.9, solid manure in the house, with the Irish factors as the high end.
    ("ammonia_share_of_tan", {"species": "cattle"}, 0.08, 0.168),
    ("ammonia_share_of_tan", {"species": "sheep"}, 0.22, 0.40),
    ("ammonia_share_of_tan", {"species": "horses"}, 0.22, 0.22),
    # Robin 2004: 5 to 25 % of excreted nitrogen, some 0.7 of which is ammoniacal.
    ("ammonia_share_of_tan", {"species": "pigs"}, 0.05 / 0.7, 0.25 / 0.7),
    ("ammonia_share_of_tan", {"species": "poultry"}, 0.20, 0.57),
    # EMEP/EEA 2019 3.B: 0.0067 kg N locked up for each kg of straw.
    ("nitrogen_locked_by_straw", {}, 0.0067, 0.0067),
    # Density of manure as removed: Hauts-de-France 500-800 for deep litter, Switzerland 750; sheep and horses
    # 500 and 400 to 500 (Sweden, Switzerland); poultry litter 400-500.
    ("dug_out_density", {"species": "cattle"}, 500, 800),
    ("dug_out_density", {"species": "sheep"}, 500, 500),
    ("dug_out_density", {"species": "horses"}, 400, 500),
    ("dug_out_density", {"species": "poultry"}, 400, 500),
    # German fertiliser ordinance, Annex 9: nothing drains from 11 kg straw for 500 kg live weight and day.
    ("upper_bedding_rate", {}, 11 / 500, 11 / 500),
    # Irish ewes: 72 kg straw on silage against 45 to 55 on hay in 100 days; or 20 to 30 % less on hay.
    ("silage_wetness_factor", {}, 1 / 0.8, 72 / 45),
    # On-Farm Composting Handbook (NRAES-54) Table 1, as quoted: C:N 25-30 (20-40), moisture 50-60 (45-65) %.
    ("heap_c_to_n_low", {}, 25, 25),
    ("heap_c_to_n_high", {}, 30, 30),
    ("acceptable_c_to_n_low", {}, 20, 20),
    ("acceptable_c_to_n_high", {}, 40, 40),
    ("heap_moisture_low", {}, 0.45, 0.50),
    ("heap_moisture_high", {}, 0.60, 0.65),
    # Technical Note 24: free air space at least 20 %, best 35-60 %.
    ("heap_free_air_space_least", {}, 0.20, 0.35),
    # Hao 2004, UNL 2011, IJERPH 2019, Sommer and Dahl 1999: carbon lost from turned heaps 19 to 54 %.
    ("heap_carbon_loss", {}, 0.19, 0.544),
    # Sommer and Dahl 1999: deep litter left alone 10 %, compacted 12 %; feedlot stockpile 40 % (UNL 2011).
    ("heap_carbon_loss_left_alone", {}, 0.10, 0.404),
    # Hao 2004 11.8 (chips) and 41.6 % (straw); Michel 2004 2 to 38 %.
    ("heap_nitrogen_loss", {}, 0.02, 0.436),
    # Saskatchewan, Manitoba, France: volume lost 50 to 70 %.
    ("heap_volume_loss", {}, 0.50, 0.70),
    # NRCS job sheet 317: watch from 73.9 degC, cool at once above 85 degC.
    ("heap_fire_temperature", {}, 73.9, 85.0),
    # 7 CFR 205.203: 55 degC for 15 days with 5 turnings.
    ("heap_hot_temperature", {}, 55, 65),
    ("heap_hot_days", {}, 14, 15),
    ("heap_hot_turnings", {}, 5, 5),
    # CCME as quoted by the University of Manitoba: cure at least 21 days.
    ("heap_curing_days", {}, 21, 60),
    # University of Minnesota: 0.9 m each way, 1.5 m in winter.
    ("heap_least_side", {}, 0.9, 0.9),
    ("heap_least_side_winter", {}, 1.5, 2.1),
    # Alberta Nutrient Management Planning Guide p. 168, of organic N; Cornell 25, 12, 5; Oklahoma 50, 15, 6 %.
    ("pack_nitrogen_available_year1", {}, 0.25, 0.50),
    ("pack_nitrogen_available_year2", {}, 0.12, 0.15),
    ("pack_nitrogen_available_year3", {}, 0.05, 0.06),
    ("compost_nitrogen_available_year1", {}, 0.12, 0.12),
    ("compost_nitrogen_available_year2", {}, 0.07, 0.07),
    ("compost_nitrogen_available_year3", {}, 0.04, 0.04),
    # RB209 2023 Section 2: farmyard manure 5 to 15 % of total N; P2O5 60 %, K2O 90 % in the first year.
    ("pack_total_nitrogen_available_year1", {}, 0.05, 0.15),
    ("phosphorus_available_year1", {}, 0.40, 0.90),
    ("potassium_available_year1", {}, 0.80, 0.90),
    # RB209 2023: cattle farmyard manure 25 % dry matter, 6.0 N, 3.2 P2O5, 9.4 K2O kg/t.
    ("cattle_manure_dry_matter", {}, 0.23, 0.25),
    ("cattle_manure_nitrogen", {}, 0.0045, 0.006),
    ("cattle_manure_phosphate", {}, 0.0022, 0.0032),
    ("cattle_manure_potash", {}, 0.0072, 0.0094),
    # CAFRE, EBLEX: roof outlet 0.1 m2 for cattle over 500 kg, 4 m2 for 100 ewes.
    ("air_outlet_area_m2_head", {"species": "cattle"}, 0.1, 0.1),
    ("air_outlet_area_m2_head", {"species": "sheep"}, 0.04, 0.04),
    # Wang 2016 measured 0.178 m3/h CO2 for 1000 W, CIGR 2002 (recalled) 0.185.
    ("co2_per_heat", {}, 0.178e-3, 0.185e-3),
    # ATTRA, Illinois: pigs of 57 to 128 kg eat 1.8 to 3.2 kg a day.
    ("pig_feed_per_day", {}, 1.8, 3.2),
    # EU 1999/74 at most 9 hens/m2, EU organic 6 (recalled).
    ("hen_stocking", {}, 6, 9),
    # EU 2007/43 Annex II and TierSchNutztV: 20 ppm ammonia; NFACC beef code: below 25.
    ("ammonia_act_ppm", {}, 15, 25),
    ("ammonia_limit_ppm", {}, 20, 25),
    # NIOSH/OSHA odour guideline 5 ppm, extension 1 to 5, Minnesota 20.
    ("ammonia_nose_ppm", {}, 1, 20),
    # EU (recalled) 20, ACGIH and NIOSH 25, OSHA 50 ppm.
    ("ammonia_people_8h_ppm", {}, 20, 50),
    # ACGIH 1, EU 5 (recalled), Australia 10 ppm; IDLH 100; smell lost at 100 to 150.
    ("h2s_people_8h_ppm", {}, 1, 10),
    ("h2s_danger_ppm", {}, 100, 100),
    ("h2s_smell_lost_ppm", {}, 100, 150),
    # IPCC 2006 and 2019 Table 10.21: N2O from deep bedding 1 % of excreted N, stirred 7 %.
    ("nitrous_oxide_from_bed", {"management": "static", "species": "cattle"}, 0.01, 0.01),
    ("nitrous_oxide_from_bed", {"management": "stirred", "species": "cattle"}, 0.07, 0.07),
]


@pytest.mark.parametrize(("key", "situation", "low", "high"), PRINTED)
def test_working_value_stands_in_the_printed_spread(
    key: str, situation: dict[str, str], low: float, high: float
) -> None:
    assert low * 0.99 <= value(key, **situation) <= high * 1.01


# --- facts of the trade (common practice, no published source) ---------------------------------------------


def test_base_is_thirty_centimetres() -> None:
    # Common practice: a base of 30 cm before the animals come in.
    assert value("base_depth_m") == 0.30


def test_grain_dose_serves_the_bedding_it_is_meant_for() -> None:
    # Common practice: 15 kg of grain for each m3 as laid, so 36 kg serve 2.4 m3.
    assert 36.0 / value("grain_per_bedding") == pytest.approx(2.4)


def test_pounds_for_a_cubic_yard_are_another_dose() -> None:
    # Common practice in the United States: 30 lb for each cubic yard, which is not 15 kg/m3.
    dose = convert(30.0, "lb/yd3", "kg/m3")
    assert dose == pytest.approx(17.8, abs=0.05)
    assert dose / value("grain_per_bedding") > 1.15
    assert figure("grain_per_bedding").high >= convert(70.0, "lb/yd3", "kg/m3")


def test_pigs_for_turning_are_big_enough_and_have_two_square_metres() -> None:
    # Common practice: 45 kg upward, best near 90, about 2 m2 each, up to 0.9 m, 30 to 42 days.
    assert value("pig_least_weight") == 45
    assert value("pig_best_weight") == 90
    assert value("pig_turning_area") == 2.0
    assert value("pig_turning_depth") == 0.9
    assert (figure("pig_turning_days").low, figure("pig_turning_days").high) == (30, 42)


def test_grain_is_bait_and_not_a_ration() -> None:
    # 0.9 m of pack on 2 m2 at 15 kg/m3 holds under a fortnight of a big pig's feed.
    held_kg = value("pig_turning_depth") * value("pig_turning_area") * value("grain_per_bedding")
    assert held_kg / value("pig_feed_per_day") < 14 < value("pig_turning_days")


# --- arithmetic --------------------------------------------------------------------------------------------

QUICK = 0.55


def fed_loss(rate: float, days: float) -> float:
    """Share lost of a first-order pool fed steadily for `days`."""
    x = rate * days
    return 1.0 - (1.0 - math.exp(-x)) / x


def season_loss(quick: float, slow: float, days: float = 150.0) -> float:
    return QUICK * fed_loss(quick, days) + (1.0 - QUICK) * fed_loss(slow, days)


@pytest.mark.parametrize(
    ("situation", "low", "typical", "high"),
    [
        ({"species": "cattle", "management": "static"}, 0.10, 0.20, 0.35),
        ({"species": "sheep", "management": "static"}, 0.15, 0.25, 0.40),
        ({"species": "goats", "management": "static"}, 0.15, 0.25, 0.40),
        ({"species": "poultry", "management": "hens"}, 0.15, 0.25, 0.40),
        ({"species": "cattle", "management": "stirred"}, 0.20, 0.30, 0.40),
        ({"species": "pigs", "management": "static"}, 0.15, 0.25, 0.40),
        ({"species": "horses", "management": "static"}, 0.10, 0.20, 0.35),
    ],
)
def test_decay_rates_give_the_season_loss_they_were_chosen_for(
    situation: dict[str, str], low: float, typical: float, high: float
) -> None:
    quick = figure("quick_carbon_decay_rate", **situation)
    slow = figure("slow_carbon_decay_rate", **situation)
    assert season_loss(quick.value, slow.value) == pytest.approx(typical, abs=0.005)
    assert season_loss(quick.low, slow.low) == pytest.approx(low, abs=0.005)
    assert season_loss(quick.high, slow.high) == pytest.approx(high, abs=0.005)


@given(rate=st.floats(1e-5, 0.2), days=st.floats(1, 400), more=st.floats(1.01, 3))
def test_a_fed_pool_loses_more_when_faster_or_older_and_never_all(
    rate: float, days: float, more: float
) -> None:
    loss = fed_loss(rate, days)
    assert 0.0 < loss < 1.0
    assert fed_loss(rate * more, days) > loss
    assert fed_loss(rate, days * more) > loss


@given(moisture=st.floats(0.70, 0.77))
def test_wet_cattle_packs_weigh_what_was_found_in_place(moisture: float) -> None:
    # Minnesota: 932 kg/m3 (58.2 lb/ft3) in an undisturbed layer; 900 to 1000 is the span of wet cattle packs.
    solid = 1.0 / ((1.0 - moisture) / value("solids_density") + moisture / 1000.0)
    density = solid * (1.0 - value("pack_air_share", species="cattle", management="static"))
    assert 880 <= density <= 1000
    # Hauts-de-France: 500 to 800 kg/m3 as removed.
    assert 500 <= density / value("digging_out_bulking") <= 800


def test_evaporation_rises_with_warmth_and_stirring() -> None:
    for management in ("static", "stirred", "hens"):
        cold, mild, warm = (
            value(f"evaporation_at_{at}", management=management) for at in ("minus5", "5", "15")
        )
        assert cold < mild < warm
    assert value("evaporation_at_5", management="stirred") > value("evaporation_at_5", management="static")


def test_climates_grow_colder_in_order() -> None:
    means = [value("mean_winter_temperature", climate=name) for name in ("mild", "cool", "cold", "very_cold")]
    assert means == sorted(means, reverse=True)


def test_sources_of_the_latent_heat_agree() -> None:
    # 0.680 Wh/g (CIGR 2002, recalled) against 2.45 MJ/kg.
    assert value("water_latent_heat") == pytest.approx(convert(680.0, "W*h/kg", "J/kg"), rel=0.002)


@pytest.mark.parametrize("celsius", [0, 5, 10, 15, 20, 30, 40])
def test_air_holds_the_water_that_moist_air_physics_gives(celsius: int) -> None:
    # ASHRAE formulas in psychrolib. Below freezing the printed table is for water, not ice, so it is left out.
    psychrolib.SetUnitSystem(psychrolib.SI)
    density = psychrolib.GetSatVapPres(float(celsius)) / (461.5 * (celsius + 273.15))
    assert value(f"air_moisture_full_{celsius}") == pytest.approx(density, rel=0.02)


def test_nitrogen_shares_say_of_which_nitrogen() -> None:
    for kind in ("compost", "pack"):
        for year in (1, 2, 3):
            assert "ORGANIC nitrogen" in figure(f"{kind}_nitrogen_available_year{year}").basis
        assert "TOTAL nitrogen" in figure(f"{kind}_total_nitrogen_available_year1").basis


def test_crop_figures_are_elements() -> None:
    # Potash Development Association 2020: grass hay 5.9 kg P2O5 and 18 kg K2O a tonne.
    assert value("crop_grass_hay_phosphorus") == pytest.approx(0.0059 / value("p_to_p2o5"), rel=0.01)
    assert value("crop_grass_hay_potassium") == pytest.approx(0.018 / value("k_to_k2o"), rel=0.01)
    # New England Vegetable Management Guide Table 4: lettuce, 75 lb N an acre at 15 short tons.
    per_area = convert(75.0, "lb/acre", "kg/m2")
    assert value("crop_lettuce_nitrogen") * value("crop_lettuce_yield") == pytest.approx(per_area, rel=0.01)


def test_ordinary_manure_carries_more_potash_than_grazed_grass_should_get_at_once() -> None:
    # 28 t/ha at 8 kg K2O a tonne (Potash Development Association 2016) is 224 kg/ha.
    dressing = convert(28.0, "t/ha", "kg/m2") * 0.008
    assert dressing == pytest.approx(convert(224.0, "kg/ha", "kg/m2"))
    assert dressing > figure("potash_caution_rate").high


# --- glossary ----------------------------------------------------------------------------------------------


def test_the_glossary_explains_the_words_of_the_trade() -> None:
    known = {word.lower() for term in KNOWLEDGE.glossary.values() for word in (term.name, *term.words)}
    wanted = """deep litter|bedded pack|pack|c:n|tan|muck|fym|windrow|curing|poaching|squeeze test|free air space|
    sucklers|store cattle|tup|gimmer|hogg|leachate|static pack|stirred pack|base layer|capping|turnout|run-off"""
    assert len(KNOWLEDGE.glossary) >= 60
    assert {word.strip() for word in wanted.split("|")} <= known


def test_terms_are_plain_words_without_digits() -> None:
    for key, term in KNOWLEDGE.glossary.items():
        assert not re.search(r"\d", term.means), key
        assert term.means.endswith("."), key
        assert all(source in KNOWLEDGE.sources for source in term.sources), key


def test_no_word_is_explained_twice() -> None:
    words = [w.lower() for term in KNOWLEDGE.glossary.values() for w in {term.name, *term.words}]
    assert sorted(words) == sorted(set(words))
