"""The rule sets against the statutes they come from, and against each other."""

from __future__ import annotations

import re

import pytest

from advisor.knowledge.models import Region, SpaceLimit
from advisor.units import convert
from tests.knowledge.whole import FAULTS, KNOWLEDGE

REGIONS, ANIMALS = KNOWLEDGE.regions, KNOWLEDGE.animals

LIMIT_IDS = {
    "n_per_ha",
    "n_per_ha_any_one",
    "p_per_ha",
    "ammonia_ppm",
    "raw_manure_days_touching",
    "raw_manure_days_not_touching",
    "spread_from_water_m",
    "spread_from_well_m",
    "heap_from_water_m",
    "heap_from_well_m",
    "field_heap_months",
    "compost_temperature_c",
    "compost_days",
    "compost_turnings",
}
UNITS = {
    "n_per_ha": "kg/ha",
    "n_per_ha_any_one": "kg/ha",
    "p_per_ha": "kg/ha",
    "ammonia_ppm": "ppm",
    "raw_manure_days_touching": "day",
    "raw_manure_days_not_touching": "day",
    "field_heap_months": "month",
    "compost_temperature_c": "degC",
    "compost_days": "day",
    "compost_turnings": "fraction",
}


def row_area(row: SpaceLimit, weight_kg: float) -> float:
    by_weight = row.per_weight.value * weight_kg if row.per_weight else 0.0
    return max(row.figure.value, by_weight)


def area(region: Region, class_id: str, weight_kg: float) -> float | None:
    """The largest area of the rows that fit: a weight on a border belongs to the lighter band."""
    species = ANIMALS[class_id].species
    fitting = [
        row_area(row, weight_kg)
        for row in region.space
        if row.species == species
        and (not row.classes or class_id in row.classes)
        and row.weight_from_kg < weight_kg <= (row.weight_to_kg or float("inf"))
    ]
    return max(fitting, default=None)


def test_files_have_no_faults() -> None:
    assert [str(fault) for fault in FAULTS if fault.place.file.startswith("regions")] == []


@pytest.mark.parametrize("name", sorted(REGIONS))
def test_region_hangs_together(name: str) -> None:
    region = REGIONS[name]
    assert (region.inherits is None) == (name == "generic")
    seen = {name}
    while region.inherits:
        assert region.inherits not in seen
        seen.add(region.inherits)
        region = REGIONS[region.inherits]
    region = REGIONS[name]
    assert set(region.limits) <= LIMIT_IDS
    for key, limit in region.limits.items():
        assert limit.figure.unit == UNITS.get(key, "m")
    assert region.ask, "every place has matters that only its authority can answer"
    assert region.authority
    assert "999" in region.emergency or "112" in region.emergency or len(region.emergency) == 3
    figures = [
        *(limit.figure for limit in region.limits.values()),
        *(row.figure for row in region.space),
        *(row.per_weight for row in region.space if row.per_weight),
        *(figure for rule in region.rules for figure in rule.figures.values()),
    ]
    for figure in figures:
        for item in figure.evidence:
            assert item.source is None or item.source in KNOWLEDGE.sources, item.source
    for row in region.space:
        for class_id in row.classes:
            assert ANIMALS[class_id].species == row.species, class_id


@pytest.mark.parametrize("name", sorted(REGIONS))
def test_prose_holds_no_digits_and_its_figures_exist(name: str) -> None:
    region = REGIONS[name]
    for rule in region.rules:
        assert set(re.findall(r"\{(\w+)\}", rule.text)) == set(rule.figures), rule.text
        assert not re.search(r"\d", rule.text), rule.text
        assert rule.source is None or rule.source in KNOWLEDGE.sources, rule.source
        assert rule.source is not None or rule.seen in ("memory", "common-practice", "judgement")
    for text in (*region.ask, region.authority, *(limit.what for limit in region.limits.values())):
        assert not re.search(r"\d", text), text


def test_a_word_means_one_region() -> None:
    owner: dict[str, str] = {}
    for name, region in REGIONS.items():
        for word in {w.lower() for w in (region.name, *region.words)}:
            assert owner.setdefault(word, name) == name, word


# Statute rows read in the law itself.
@pytest.mark.parametrize(
    ("region", "limit", "value"),
    [
        ("england_uk", "n_per_ha", 170),  # SI 2015/668 (England) reg 7(1)
        ("england_uk", "n_per_ha_any_one", 250),  # SI 2015/668 (England) reg 8(1)
        ("england_uk", "field_heap_months", 12),  # SI 2015/668 (England) reg 23(3)(c)
        ("england_uk", "heap_from_water_m", 10),  # SI 2018/151 (England) reg 9(1)
        ("england_uk", "heap_from_well_m", 50),  # SI 2018/151 (England) reg 9(1)
        ("england_uk", "spread_from_water_m", 10),  # SI 2018/151 (England) reg 7(1)
        ("usa_organic", "raw_manure_days_touching", 120),  # 7 CFR 205.203(c)(1)(ii)
        ("usa_organic", "raw_manure_days_not_touching", 90),  # 7 CFR 205.203(c)(1)(iii)
        ("usa_organic", "compost_days", 15),  # 7 CFR 205.203(c)(2)(iii)
        ("usa_organic", "compost_turnings", 5),  # 7 CFR 205.203(c)(2)(iii)
        ("usa_organic", "compost_temperature_c", 55),  # 7 CFR 205.203(c)(2)(iii): 131 degF
        ("eu_organic", "n_per_ha", 170),  # Regulation (EEC) 2092/91 Annex I B point 7, kept in 2018/848
        ("sweden", "n_per_ha", 170),  # environmental board of Ystad-Osterlen
        ("sweden", "spread_from_water_m", 2),  # Jordbruksverket on spreading
    ],
)
def test_limits_equal_the_statute(region: str, limit: str, value: float) -> None:
    held = REGIONS[region].limits[limit]
    assert held.law
    assert held.figure.value == value
    assert held.figure.seen == "primary"


def test_rules_that_are_not_limits_equal_the_statute() -> None:
    def figure(region: str, matter: str, key: str) -> float:
        return next(
            rule.figures[key].value
            for rule in REGIONS[region].rules
            if rule.matter == matter and key in rule.figures
        )

    assert figure("usa_federal", "raw_manure", "none") == 0  # 21 CFR 112.56(a)(1)(ii)
    assert figure("usa_federal", "compost_process", "days") == 15  # 40 CFR 257 Appendix II B
    assert figure("england_uk", "field_heap", "years") == 2  # SI 2015/668 reg 23(3)(d)
    assert figure("england_uk", "field_heap", "steep") == 30  # SI 2015/668 reg 23(3)(b)
    assert figure("wales", "field_heap", "steep") == 30  # WSI 2013/2506 reg 33
    assert figure("eu_general", "ammonia", "limit") == 20  # Directive 2007/43/EC Annex II point 3
    assert figure("eu_general", "compost_process", "heat") == 70  # Regulation 142/2011 Annex XI
    assert figure("usa_organic", "compost_process", "static") == 3  # 7 CFR 205.203(c)(2)(ii)
    assert convert(131, "degF", "degC") == pytest.approx(55)


@pytest.mark.parametrize(
    ("region", "class_id", "weight_kg", "area_m2"),
    [
        # Directive 2008/120/EC Article 3(1)(a), pigs by weight
        ("eu_general", "weaner", 9, 0.15),
        ("eu_general", "weaner", 18, 0.20),
        ("eu_general", "weaner", 28, 0.30),
        ("eu_general", "grower_pig", 45, 0.40),
        ("england_uk", "finishing_pig", 80, 0.55),
        ("eu_general", "finishing_pig", 100, 0.65),
        ("eu_general", "finishing_pig", 120, 1.00),
        ("eu_general", "dry_sow", 220, 2.25),  # Article 3(1)(b), as quoted article by article
        # Regulation (EU) 2020/464 Annex I Part I point 1, cattle
        ("eu_organic", "calf", 90, 1.5),
        ("eu_organic", "calf", 150, 2.5),
        ("eu_organic", "steer", 340, 4.0),
        ("eu_organic", "steer", 450, 5.0),
        ("eu_organic", "beef_cow", 650, 6.5),  # at least 1 m2 per 100 kg live weight
        ("eu_organic", "dairy_cow", 550, 6.0),
        ("eu_organic", "bull", 900, 10.0),
        ("eu_organic", "duck", 3.0, 3.0 / 21),  # Part IV point 8: 21 kg live weight per m2
        # Jordbruksverket, total areas in group pens without cubicles
        ("sweden", "calf", 60, 1.5),
        ("sweden", "calf", 120, 2.2),
        ("sweden", "heifer", 380, 3.7),
        ("sweden", "steer", 590, 4.4),
        ("sweden", "beef_cow", 600, 4.8),
        ("sweden", "dairy_cow", 640, 8.5),
        ("sweden", "lamb", 25, 0.5),
        ("sweden", "lamb", 35, 1.0),
        ("sweden", "ewe", 60, 1.2),
        ("sweden", "ewe", 80, 1.4),
        ("sweden", "goat_doe", 60, 1.2),
        ("sweden", "sow", 220, 2.5),
        # Welfare of Farmed Animals (Scotland) Regulations 2010, Schedule 4 paragraph 1(4)
        ("scotland", "calf", 140, 1.5),
        ("scotland", "calf", 180, 2.0),
        ("scotland", "weaned_calf", 230, 3.0),
        # Defra code for sheep, low ends, bedded on straw
        ("england_uk", "ewe", 70, 1.2),
        ("england_uk", "ewe", 50, 1.0),
        ("england_uk", "hogget", 45, 0.75),
        ("england_uk", "ram", 95, 1.5),
    ],
)
def test_space_equals_the_statute(region: str, class_id: str, weight_kg: float, area_m2: float) -> None:
    assert area(REGIONS[region], class_id, weight_kg) == pytest.approx(area_m2, rel=0.01)


def test_swedish_pig_bands_follow_the_formula() -> None:
    # SJVFS 2019:20 as quoted by KRAV: m2 = 0.2 + kg/84 for growing pigs on deep litter, 10 to 130 kg
    for weight_kg in (30, 50, 85, 110):
        assert area(REGIONS["sweden"], "finishing_pig", weight_kg) == pytest.approx(
            0.2 + weight_kg / 84, abs=0.006
        )
    for weight_kg in (12, 40, 70, 100, 125):
        held = area(REGIONS["sweden"], "finishing_pig", weight_kg)
        assert held is not None
        assert held >= 0.2 + weight_kg / 84


@pytest.mark.parametrize("class_id", sorted(ANIMALS))
def test_an_unknown_place_gets_the_strictest_area_held(class_id: str) -> None:
    weight = ANIMALS[class_id].weight
    for share in (0.0, 0.15, 0.3, 0.5, 0.7, 0.85, 1.0):
        weight_kg = weight.low + share * (weight.high - weight.low)
        others = {
            name: area(region, class_id, weight_kg) for name, region in REGIONS.items() if name != "generic"
        }
        held = area(REGIONS["generic"], class_id, weight_kg)
        for name, other in others.items():
            if other is not None:
                assert held is not None, (name, weight_kg)
                assert held >= other - 1e-9, (name, weight_kg)


def test_an_unknown_place_gets_advice_and_never_law() -> None:
    generic = REGIONS["generic"]
    assert not any(limit.law for limit in generic.limits.values())
    assert not any(rule.law for rule in generic.rules)
    assert not any(row.law for row in generic.space)
    assert set(generic.limits) >= {
        "n_per_ha",
        "ammonia_ppm",
        "raw_manure_days_touching",
        "raw_manure_days_not_touching",
        "compost_temperature_c",
    }


def test_legal_least_area_is_below_what_a_litter_bed_needs() -> None:
    # The point of showing both: EU minima for pigs (0.65 m2) and calves (1.5 m2) are far below a dry deep bed.
    for class_id in ("finishing_pig", "grower_pig", "weaner", "calf"):
        animal = ANIMALS[class_id]
        least = area(REGIONS["eu_general"], class_id, animal.weight.value)
        assert least is not None
        assert least < animal.litter_space.value


def test_pigs_on_ruminant_manure_is_always_a_question_for_the_authority() -> None:
    for name, region in REGIONS.items():
        chain, here = [region], region
        while here.inherits:
            here = REGIONS[here.inherits]
            chain.append(here)
        asked = [matter for place in chain for matter in place.ask]
        assert any("pigs may go on a pack" in matter for matter in asked), name
