"""What a kilogram of bedding brings to the pack, and what a bale or a load of it weighs."""

from __future__ import annotations

import numpy as np

from advisor.reasoning.derivations import derive
from advisor.reasoning.draws import Numbers
from advisor.science.excreta import stack
from advisor.season.step import (
    ASH,
    CARBON_QUICK,
    CARBON_SLOW,
    HOLDING,
    NITROGEN,
    PHOSPHORUS,
    POTASSIUM,
    SOLIDS_QUICK,
    SOLIDS_SLOW,
    WATER,
)

__all__ = ["bedding_per_kg", "soaks_up_kg_kg"]

Value = Numbers | float


@derive("material", "fraction", "moisture of the material as delivered", "wet basis")
def material_water(material_moisture: Value) -> Value:
    """The told moisture, or the table's."""
    return material_moisture


@derive(
    "material", "kg/kg", "water a kilogram soaks up", "kg water per kg as delivered, usable, beyond its own"
)
def soaks_up_kg_kg(
    material_absorbency: Value | None,
    dung_bedding_absorbency: Value,
    material_water: Value,
    air_dry_moisture: Value,
    usable_absorbency_share: Value,
) -> Value:
    """Usable share of the table absorbency of its air-dry weight, less the water it already holds.

    Tables give kg water per kg air-dry material; a bed under hooves gives about 0.7 of that.
    """
    absorbency = dung_bedding_absorbency if material_absorbency is None else material_absorbency
    air_dry_kg = (1.0 - material_water) / (1.0 - air_dry_moisture)
    extra_water = material_water - air_dry_kg * air_dry_moisture
    return np.maximum(air_dry_kg * absorbency * usable_absorbency_share - np.maximum(extra_water, 0.0), 0.0)


@derive("material", "", "what a kilogram of bedding brings")
def bedding_per_kg(
    material_water: Value,
    material_ash: Value,
    material_carbon: Value,
    material_nitrogen: Value,
    material_phosphorus: Value | None,
    material_potassium: Value | None,
    phosphorus_unknown: Value,
    potassium_unknown: Value,
    material_quick_carbon: Value | None,
    quick_carbon_unknown: Value,
    carbon_of_solids_most: Value,
    soaks_up_kg_kg: Value,
) -> Numbers:
    """Water, ash, carbon, nitrogen, P and K in one kilogram as delivered, and the water it can hold.

    Carbon and nitrogen are shares of dry matter; the ratio follows from them and is never averaged.
    """
    dry = 1.0 - material_water
    solids = dry * (1.0 - material_ash)
    carbon = np.minimum(dry * material_carbon, carbon_of_solids_most * solids)
    quick = quick_carbon_unknown if material_quick_carbon is None else material_quick_carbon
    phosphorus = phosphorus_unknown if material_phosphorus is None else material_phosphorus
    potassium = potassium_unknown if material_potassium is None else material_potassium
    return stack(
        {
            WATER: material_water,
            ASH: dry * material_ash,
            SOLIDS_QUICK: solids * quick,
            SOLIDS_SLOW: solids * (1.0 - quick),
            CARBON_QUICK: carbon * quick,
            CARBON_SLOW: carbon * (1.0 - quick),
            NITROGEN: dry * material_nitrogen,
            PHOSPHORUS: dry * phosphorus,
            POTASSIUM: dry * potassium,
            HOLDING: material_water + soaks_up_kg_kg,
        }
    )


@derive("material", "fraction", "spread of the keeper's own rate", "told rate over its middle")
def told_rate_factor() -> float:
    """One, where no range was told. []"""
    return 1.0


@derive("material", "kg/m3", "density spread on a floor", "as laid, before treading")
def laid_density_kg_m3(
    material_density_laid: Value | None, material_density_loose: Value | None, light_hay_density: Value
) -> Value:
    """Density as laid where told or known, else loose, else that of loose bedding in general. [kg/m3]

    Bedding just spread weighs what loose bedding does: fresh beds of sawdust held 178 and 190 kg/m3, of
    shavings 46, none above the loose figure. Source: Ahn and others 2016; common practice.
    """
    if material_density_laid is not None:
        return material_density_laid
    return light_hay_density if material_density_loose is None else material_density_loose


@derive("material", "fraction", "carbon to nitrogen of the material", "by weight")
def material_c_to_n(material_carbon: Value, material_nitrogen: Value) -> Value:
    """Carbon divided by nitrogen, both as share of dry matter."""
    return material_carbon / material_nitrogen
