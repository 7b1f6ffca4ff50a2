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


@derive("farm", "m2", "garden that the compost covers", "at a usual garden rate")
def garden_area_m2(compost_mass_kg: Value, garden_rate: Value) -> Value:
    """Compost over the rate for garden beds. [m2]"""
    return compost_mass_kg / garden_rate
