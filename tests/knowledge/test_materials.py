"""The figures of the materials, held against what their sources print."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from advisor.knowledge.figure import Figure
from advisor.knowledge.models import Material
from advisor.units import convert
from tests.knowledge.whole import FAULTS, KNOWLEDGE, for_each

MATERIALS = KNOWLEDGE.materials
FIGURES = (
    "moisture", "ash", "carbon", "nitrogen", "phosphorus", "potassium", "published_c_to_n", "density_loose",
    "density_laid", "density_trodden", "density_baled", "absorbency", "quick_carbon", "ph",
)  # fmt: skip


def figures_of(material: Material) -> Iterator[tuple[str, Figure]]:
    for name in FIGURES:
        figure = getattr(material, name)
        if figure is not None:
            yield name, figure
    for pack_id, pack in material.packs.items():
        for name in ("mass", "volume"):
            figure = getattr(pack, name)
            if figure is not None:
                yield f"packs.{pack_id}.{name}", figure


def spread(figure: Figure) -> tuple[float, float]:
    """Lowest and highest number in the evidence, in the figure's own unit."""
    numbers = [
        convert(number, item.unit or figure.unit, figure.unit)
        for item in figure.evidence
        for number in (item.value, item.low, item.high)
        if number is not None
    ]
    return min(numbers), max(numbers)


# A working value outside its evidence must say how it departs from it.
EXPLAINS = re.compile(
    r"set aside|under|over|above|below|between|higher|lower|towards|drier|near|rounded", re.I
)


def test_no_material_is_broken() -> None:
    mine = ("materials/", "sources/materials")
    assert [str(fault) for fault in FAULTS if fault.place.file.startswith(mine)] == []


@for_each(MATERIALS)
def test_working_values_lie_within_their_evidence_or_say_why_not(key: str) -> None:
    for name, figure in figures_of(MATERIALS[key]):
        low, high = spread(figure)
        inside = low * 0.99 <= figure.value <= high * 1.01
        assert inside or EXPLAINS.search(figure.why), f"{name}: {figure.value:g} not in {low:g} to {high:g}"


@for_each(MATERIALS)
def test_ranges_are_wider_than_a_point(key: str) -> None:
    for name, figure in figures_of(MATERIALS[key]):
        assert figure.low < figure.high or figure.value == 0, name


@for_each(MATERIALS)
def test_evidence_names_a_known_source_and_a_place_in_it(key: str) -> None:
    for name, figure in figures_of(MATERIALS[key]):
        for item in figure.evidence:
            if item.source is not None:
                assert item.at, f"{name}, {item.source}: where in it?"
                assert item.source in KNOWLEDGE.sources, name


@for_each(MATERIALS)
def test_carbon_over_nitrogen_lies_within_the_published_ratio(key: str) -> None:
    material = MATERIALS[key]
    if material.published_c_to_n is None:
        return
    derived = material.carbon.value / material.nitrogen.value
    assert material.published_c_to_n.low <= derived <= material.published_c_to_n.high


# Char is mostly carbon; urea and urine hold little.
NOT_PLANT = {"biochar", "urea", "urine"}


@for_each(MATERIALS)
def test_carbon_and_ash_fit_into_the_dry_matter(key: str) -> None:
    material = MATERIALS[key]
    # Organic matter of plants, wood and manure is some 45 to 58 % carbon (58 %: the old humus factor 1.724).
    organic = 1 - material.ash.value
    if key not in NOT_PLANT and organic > 0.1:
        assert 0.44 * organic <= material.carbon.value <= 0.59 * organic
    assert material.carbon.high + material.ash.low <= 1


@for_each(MATERIALS)
def test_about_holds_no_digits(key: str) -> None:
    assert not re.search(r"\d", MATERIALS[key].about)


def test_no_word_names_two_materials() -> None:
    owner: dict[str, str] = {}
    twice = []
    for key, material in MATERIALS.items():
        for word in {material.name.lower(), *(word.lower() for word in material.words)}:
            if word in owner:
                twice.append(f"{word}: {owner[word]} and {key}")
            owner[word] = key
    assert twice == []


def test_narrower_materials_refine_a_generic_one_of_the_same_family() -> None:
    for key, material in MATERIALS.items():
        if material.narrower_of is not None:
            wider = MATERIALS[material.narrower_of]
            assert wider.generic, key
            assert wider.kind == material.kind, key


def test_a_species_never_both_lies_well_and_must_not() -> None:
    for key, material in MATERIALS.items():
        assert not set(material.lies_well) & set(material.never_for), key


# Values printed in the tables themselves, each seen for this test's reference list:
# material, field, low and high of the print, and the table.
PRINTED = [
    ("wheat_straw", "nitrogen", 0.00208, 0.00992),  # INRAE-CIRAD-AFZ tables, protein 1.3 to 6.2 % / 6.25
    ("barley_straw", "nitrogen", 0.0057, 0.0078),  # Larney et al. 2008 as quoted; Alberta manual table 3
    ("oat_straw", "published_c_to_n", 48, 98),  # Alberta Manure Composting Manual, table 3
    ("straw", "published_c_to_n", 48, 150),  # On-Farm Composting Handbook, as quoted in a web table
    ("sawdust", "published_c_to_n", 200, 750),  # Alberta Manure Composting Manual, table 3
    ("wood_chips", "published_c_to_n", 212, 1313),  # Alberta Manure Composting Manual, table 3
    ("wood_chips", "density_loose", 264, 368),  # Alberta Manure Composting Manual, table 3
    ("tree_leaves", "published_c_to_n", 40, 80),  # Alberta Manure Composting Manual, table 3
    ("tree_leaves", "nitrogen", 0.005, 0.013),  # Alberta Manure Composting Manual, table 3
    ("corn_cobs", "published_c_to_n", 56, 123),  # On-Farm Composting Handbook, as quoted in a web table
    ("grass_clippings", "published_c_to_n", 9, 25),  # On-Farm Composting Handbook, as quoted in a web table
    ("horse_manure", "published_c_to_n", 22, 50),  # Alberta Manure Composting Manual, table 3
    ("horse_manure", "nitrogen", 0.014, 0.023),  # Alberta Manure Composting Manual, table 3
    ("wood_pellets", "density_loose", 600, 750),  # BIMCO cargo schedule
]


@pytest.mark.parametrize(("key", "field", "low", "high"), PRINTED)
def test_working_value_lies_within_the_printed_range(key: str, field: str, low: float, high: float) -> None:
    assert low <= getattr(MATERIALS[key], field).value <= high


def test_barley_straw_is_not_the_mean_of_yearly_ratios() -> None:
    # Larney et al. 2008 print 44.7 % C, 0.57 % N and a mean ratio of 90.5, though 44.7 / 0.57 = 78.4.
    straw = MATERIALS["barley_straw"]
    assert straw.published_c_to_n is not None
    assert straw.published_c_to_n.value < 90


# Words of the message contract that a material must own.
NAMES = (
    "straw", "wheat straw", "barley straw", "oat straw", "chopped straw", "hay", "spoiled hay", "sawdust",
    "dry sawdust", "green sawdust", "wood shavings", "wood chips", "green wood chips", "dry wood chips",
    "wood pellets", "peat", "hemp hurd", "tree leaves", "oak leaves", "cardboard", "corn stover", "spelt husks",
    "rye straw", "rape straw", "rice straw", "pea straw", "grass hay", "meadow hay", "legume hay", "pine shavings",
    "softwood shavings", "hardwood shavings", "cedar shavings", "softwood sawdust", "hardwood sawdust",
    "softwood chips", "hardwood chips", "manure", "cattle manure", "horse manure", "manure with straw",
    "farmyard manure", "pack", "compost",
)  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_plain_trade_name_is_held(name: str) -> None:
    assert name in {material.name for material in MATERIALS.values()}


@pytest.mark.parametrize("key", [k for k, m in MATERIALS.items() if m.density_trodden is not None])
def test_treading_makes_bedding_heavier(key: str) -> None:
    # common practice; a base is measured before treading, so it is reckoned by the loose figure
    material = MATERIALS[key]
    assert material.density_loose is not None
    assert material.density_trodden is not None
    assert material.density_loose.value < material.density_trodden.value
    assert material.density_laid is None
