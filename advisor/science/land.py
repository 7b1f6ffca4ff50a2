"""Where the compost can go: nutrients, what is available when, and how much land it feeds.

The legal sum (a limit on total nitrogen a hectare) and the agronomic sum (what a crop can use) are
kept apart and never mixed.
"""

from __future__ import annotations

import numpy as np

from advisor.reasoning.derivations import derive
from advisor.reasoning.draws import Numbers
from advisor.science.heap import HeapRecipe

__all__ = ["rate_kg_m2"]

Value = Numbers | float


def rate_kg_m2(limit_kg_m2: Value, content_kg_kg: Value) -> Value:
    """Spreading rate at which a nutrient limit is reached: limit over content. [kg/m2]"""
    return limit_kg_m2 / np.maximum(content_kg_kg, 1e-9)


@derive("farm", "kg", "phosphate of the compost", "P2O5")
def compost_phosphate_kg(heap_recipe: HeapRecipe, p_to_p2o5: Value) -> Value:
    """Phosphorus of the heap times 2.2914; none is lost under cover. [kg P2O5]"""
    return heap_recipe.phosphorus * p_to_p2o5


@derive("farm", "kg", "potash of the compost", "K2O")
def compost_potash_kg(compost_potassium_kg: Value, k_to_k2o: Value) -> Value:
    """K times 1.2046. [kg K2O]"""
    return compost_potassium_kg * k_to_k2o


@derive(
    "farm", "kg", "nitrogen that plants can use in the first year", "share of total N of finished compost"
)
def available_nitrogen_year1_kg(
    compost_nitrogen_kg: Value, compost_total_nitrogen_available_year1: Value
) -> Value:
    """Total nitrogen of the compost times the share available in the first year. [kg N]"""
    return compost_nitrogen_kg * compost_total_nitrogen_available_year1


@derive(
    "farm",
    "ha",
    "least land for the compost",
    "so that no hectare gets more than the nitrogen limit in a year",
)
def land_area_ha(compost_nitrogen_kg: Value, nitrogen_limit_kg_ha: Value) -> Value:
    """Total nitrogen of the compost over the limit a hectare and year. [ha]

    A legal limit on a holding is reckoned with statutory excretion figures, not with this sum.
    """
    return compost_nitrogen_kg / nitrogen_limit_kg_ha


@derive("farm", "t/ha", "spreading rate at the nitrogen limit")
def rate_by_nitrogen_t_ha(compost_mass_kg: Value, land_area_ha: Value) -> Value:
    """Compost over land. [t/ha]"""
    return compost_mass_kg / 1000.0 / np.maximum(land_area_ha, 1e-9)


@derive("farm", "kg/ha", "potash spread at that rate", "K2O")
def potash_at_rate_kg_ha(compost_potash_kg: Value, land_area_ha: Value) -> Value:
    """Potash of the compost over the land. [kg K2O/ha]"""
    return compost_potash_kg / np.maximum(land_area_ha, 1e-9)


@derive("farm", "kg/ha", "phosphate spread at that rate", "P2O5")
def phosphate_at_rate_kg_ha(compost_phosphate_kg: Value, land_area_ha: Value) -> Value:
    """Phosphate of the compost over the land. [kg P2O5/ha]"""
    return compost_phosphate_kg / np.maximum(land_area_ha, 1e-9)


@derive("farm", "kg/ha", "nitrogen the crop takes off", "N a year, at a usual yield or the one told")
def crop_need_nitrogen_kg_ha(crop_yield_t_ha: Value, crop_nitrogen_kg_t: Value) -> Value:
    """Yield times nitrogen in each tonne carried off. [kg N/ha]"""
    return crop_yield_t_ha * crop_nitrogen_kg_t


@derive("farm", "kg/ha", "phosphate the crop takes off", "P2O5 a year, at a usual yield or the one told")
def crop_need_phosphate_kg_ha(crop_yield_t_ha: Value, crop_phosphorus_kg_t: Value, p_to_p2o5: Value) -> Value:
    """Yield times phosphorus in each tonne carried off, as phosphate. [kg P2O5/ha]"""
    return crop_yield_t_ha * crop_phosphorus_kg_t * p_to_p2o5


@derive("farm", "kg/ha", "potash the crop takes off", "K2O a year, at a usual yield or the one told")
def crop_need_potash_kg_ha(crop_yield_t_ha: Value, crop_potassium_kg_t: Value, k_to_k2o: Value) -> Value:
    """Yield times potassium in each tonne carried off, as potash. [kg K2O/ha]"""
    return crop_yield_t_ha * crop_potassium_kg_t * k_to_k2o


@derive("farm", "t/ha", "compost that brings the crop its nitrogen", "by what is usable in the first year")
def rate_by_crop_nitrogen_t_ha(
    crop_need_nitrogen_kg_ha: Value, available_nitrogen_year1_kg: Value, compost_mass_kg: Value
) -> Value:
    """Need over usable nitrogen in each tonne. [t/ha]"""
    return _rate_t_ha(crop_need_nitrogen_kg_ha, available_nitrogen_year1_kg, compost_mass_kg)


@derive(
    "farm",
    "t/ha",
    "compost that brings the crop its phosphate",
    "by all it holds: what is left stays in the soil",
)
def rate_by_crop_phosphate_t_ha(
    crop_need_phosphate_kg_ha: Value, compost_phosphate_kg: Value, compost_mass_kg: Value
) -> Value:
    """Need over phosphate in each tonne. [t/ha]"""
    return _rate_t_ha(crop_need_phosphate_kg_ha, compost_phosphate_kg, compost_mass_kg)


@derive(
    "farm",
    "t/ha",
    "compost that brings the crop its potash",
    "by all it holds: what is left stays in the soil",
)
def rate_by_crop_potash_t_ha(
    crop_need_potash_kg_ha: Value, compost_potash_kg: Value, compost_mass_kg: Value
) -> Value:
    """Need over potash in each tonne. [t/ha]"""
    return _rate_t_ha(crop_need_potash_kg_ha, compost_potash_kg, compost_mass_kg)


def _rate_t_ha(need_kg_ha: Value, held_kg: Value, compost_mass_kg: Value) -> Value:
    """Rate at which compost that holds so much in all brings a need a hectare. [t/ha]"""
    return need_kg_ha * compost_mass_kg / 1000.0 / np.maximum(held_kg, 1e-9)


@derive(
    "farm",
    "t/ha",
    "compost that the crop can use",
    "whichever of nitrogen, phosphate and potash is full first",
)
def crop_rate_t_ha(
    rate_by_crop_nitrogen_t_ha: Value, rate_by_crop_phosphate_t_ha: Value, rate_by_crop_potash_t_ha: Value
) -> Value:
    """The least of the three rates. [t/ha]"""
    return np.minimum(
        np.minimum(rate_by_crop_nitrogen_t_ha, rate_by_crop_phosphate_t_ha), rate_by_crop_potash_t_ha
    )


@derive("farm", "ha", "land whose crop can use the compost", "agronomic; the legal sum stands apart")
def crop_land_area_ha(compost_mass_kg: Value, crop_rate_t_ha: Value) -> Value:
    """Compost over the rate that the crop can use. [ha]"""
    return compost_mass_kg / 1000.0 / np.maximum(crop_rate_t_ha, 1e-9)


@derive("farm", "kg", "organic nitrogen of the compost", "total N less the readily available part")
def compost_organic_nitrogen_kg(compost_nitrogen_kg: Value, readily_available_nitrogen_old: Value) -> Value:
    """Total nitrogen times one less the mineral share of stored manure. [kg N]"""
    return compost_nitrogen_kg * (1.0 - readily_available_nitrogen_old)


@derive(
    "farm",
    "kg",
    "organic nitrogen set free in the first year",
    "share of organic N; the mineral part is on top",
)
def organic_nitrogen_year1_kg(
    compost_organic_nitrogen_kg: Value, compost_nitrogen_available_year1: Value
) -> Value:
    """Organic nitrogen times the share of the first year. [kg N]"""
    return compost_organic_nitrogen_kg * compost_nitrogen_available_year1


@derive("farm", "kg", "organic nitrogen set free in the second year", "share of organic N")
def organic_nitrogen_year2_kg(
    compost_organic_nitrogen_kg: Value, compost_nitrogen_available_year2: Value
) -> Value:
    """Organic nitrogen times the share of the second year. [kg N]"""
    return compost_organic_nitrogen_kg * compost_nitrogen_available_year2


@derive("farm", "kg", "organic nitrogen set free in the third year", "share of organic N")
def organic_nitrogen_year3_kg(
    compost_organic_nitrogen_kg: Value, compost_nitrogen_available_year3: Value
) -> Value:
    """Organic nitrogen times the share of the third year. [kg N]"""
    return compost_organic_nitrogen_kg * compost_nitrogen_available_year3


@derive("farm", "kg", "phosphate that plants can use in the first year", "P2O5; share of all it holds")
def available_phosphate_year1_kg(compost_phosphate_kg: Value, phosphorus_available_year1: Value) -> Value:
    """Phosphate times the share of the first year. [kg P2O5]"""
    return compost_phosphate_kg * phosphorus_available_year1


@derive("farm", "kg", "phosphate that plants can use in the second year", "P2O5; share of all it holds")
def available_phosphate_year2_kg(compost_phosphate_kg: Value, phosphorus_available_year2: Value) -> Value:
    """Phosphate times the share of the second year. [kg P2O5]"""
    return compost_phosphate_kg * phosphorus_available_year2


@derive("farm", "kg", "phosphate that plants can use in the third year", "P2O5; share of all it holds")
def available_phosphate_year3_kg(compost_phosphate_kg: Value, phosphorus_available_year3: Value) -> Value:
    """Phosphate times the share of the third year. [kg P2O5]"""
    return compost_phosphate_kg * phosphorus_available_year3


@derive("farm", "kg", "potash that plants can use in the first year", "K2O; share of all it holds")
def available_potash_year1_kg(compost_potash_kg: Value, potassium_available_year1: Value) -> Value:
    """Potash times the share of the first year. [kg K2O]"""
    return compost_potash_kg * potassium_available_year1


@derive("farm", "m2", "garden that the compost covers", "at a usual garden rate")
def garden_area_m2(compost_mass_kg: Value, garden_rate: Value) -> Value:
    """Compost over the rate for garden beds. [m2]"""
    return compost_mass_kg / garden_rate
