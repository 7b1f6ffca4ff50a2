"""Composting the pack: what to add, how big a heap, and what is left of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from advisor.reasoning.derivations import derive
from advisor.reasoning.draws import Numbers, typical
from advisor.science.mix import Amount, Band, Ingredient, Missed, solve_recipe
from advisor.season.bed import Supply
from advisor.season.decide import Decision
from advisor.season.step import (
    CARBON_QUICK,
    CARBON_SLOW,
    NITROGEN,
    PHOSPHORUS,
    POTASSIUM,
    WATER,
    dry_matter,
)
from advisor.season.timeline import Timeline

__all__ = ["HeapRecipe", "free_air_space", "water_to_add_kg"]

Value = Numbers | float

#: What may be mixed into a heap; grain and feed stay out of it.
_FOR_HEAPS = ("bedding", "manure", "amendment", "compost")


@dataclass(frozen=True)
class HeapRecipe:
    """What is left over on the farm that the heap can use, and what the heap holds with it, before water. [kg]"""

    add_kg: Mapping[str, float]  # by material as the farm lists it; only what is used
    missed: tuple[Missed, ...]
    water: Value
    dry_matter: Value
    carbon: Value
    nitrogen: Value
    phosphorus: Value
    potassium: Value

    @property
    def mass(self) -> Value:
        """Weight as it is. [kg]"""
        return self.water + self.dry_matter

    @property
    def moisture(self) -> Value:
        """Water over all. [fraction]"""
        return self.water / np.maximum(self.mass, 1e-9)


def water_to_add_kg(mass_kg: Value, moisture: Value, wanted: float) -> Value:
    """Water that brings a heap up to the wanted moisture: W (Mt - M0) / (1 - Mt), never negative.

    mass_kg [kg], moisture and wanted [fraction, wet basis]. Raises ValueError for wanted >= 1.
    Source: composting.csv, formula rows (W_add = W*(Mt-M0)/(1-Mt)).
    """
    if not 0.0 <= wanted < 1.0:
        raise ValueError(f"wanted moisture must lie between 0 and 1, got {wanted}")
    return np.maximum(0.0, mass_kg * (wanted - moisture) / (1.0 - wanted))


def free_air_space(
    dry_kg: Value, water_kg: Value, volume_m3: Value, solids_density: Value, water_density: Value
) -> Value:
    """Share of the volume that is air: 1 - (solids + water) / volume. [fraction]"""
    return np.clip(
        1.0 - (dry_kg / solids_density + water_kg / water_density) / np.maximum(volume_m3, 1e-9), 0.0, 1.0
    )


@derive("farm", "m3", "volume of the pack dug out", "loose, bulked up by digging")
def dug_out_volume_m3(pack_end_volume_m3: Value, digging_out_bulking: Value) -> Value:
    """Volume in place times the bulking of digging out. [m3]"""
    return pack_end_volume_m3 * digging_out_bulking


@derive("farm", "fraction", "air space of the dug-out pack", "share of its loose volume")
def heap_free_air_space(
    pack_end_dry_matter_kg: Value,
    pack_end_mass_kg: Value,
    dug_out_volume_m3: Value,
    solids_density: Value,
    water_density: Value,
) -> Value:
    """One less solids and water over loose volume. [fraction]"""
    return free_air_space(
        pack_end_dry_matter_kg,
        pack_end_mass_kg - pack_end_dry_matter_kg,
        dug_out_volume_m3,
        solids_density,
        water_density,
    )


@derive("farm", "", "what was left over of each material", "usable amount less base and bedding used")
def left_over_kg(
    supplies: tuple[Supply, ...],
    each_material_usable_on_hand_kg: tuple[Value, ...],
    bedding_decision: Decision,
    timeline: Timeline,
) -> dict[str, Value]:
    """Usable amount on hand less the base and all that is spread, never negative. [kg]"""
    left: dict[str, Value] = {}
    for supply, on_hand in zip(supplies, each_material_usable_on_hand_kg, strict=True):
        used = sum(base.get(supply.key, 0.0) for base in bedding_decision.base_kg.values())
        for rates in bedding_decision.rates.values():
            for rate, period in zip(rates.get(supply.key, ()), timeline.periods, strict=False):
                used += rate * period.days
        left[supply.key] = _plain(np.maximum(0.0, np.atleast_1d(on_hand) - used))
    return left


@derive(
    "farm",
    "",
    "what to add to the pack when it is heaped",
    "from what is left over; nothing is bought for it",
)
def heap_recipe(
    supplies: tuple[Supply, ...],
    left_over_kg: dict[str, Value],
    each_material_bedding_per_kg: tuple[Numbers, ...],
    each_material_material_kind: tuple[str, ...],
    pack_end_mass_kg: Value,
    pack_end_dry_matter_kg: Value,
    pack_end_carbon_kg: Value,
    pack_end_nitrogen_kg: Value,
    pack_end_phosphorus_kg: Value,
    pack_end_potassium_kg: Value,
    goal_c_to_n: float,
    heap_c_to_n_high: Value,
    heap_moisture_low: Value,
    heap_moisture_high: Value,
    heap_moisture_strawy_high: Value,
    heap_free_air_space: Value,
    heap_free_air_space_least: Value,
) -> HeapRecipe:
    """The least of what is left over that brings the heap to the goal ratio at a moisture that heats.

    A strawy pack with air enough may be as moist as strawy heaps bear: it is dried by turning, not by
    straw. Ratio and moisture are those of the whole: all carbon over all nitrogen, all water over all.
    """
    mass, airy = (
        max(typical(pack_end_mass_kg), 1e-9),
        typical(heap_free_air_space) >= typical(heap_free_air_space_least),
    )
    wettest = typical(heap_moisture_strawy_high if airy else heap_moisture_high)
    pack = Ingredient(
        1.0 - typical(pack_end_dry_matter_kg) / mass,
        typical(pack_end_carbon_kg) / mass,
        typical(pack_end_nitrogen_kg) / mass,
    )
    held = dict(zip((s.key for s in supplies), each_material_bedding_per_kg, strict=True))
    fit = [
        s.key
        for s, kind in zip(supplies, each_material_material_kind, strict=True)
        if kind in _FOR_HEAPS and typical(left_over_kg[s.key]) > 0.0
    ]
    recipe = solve_recipe(
        [pack, *(_ingredient(held[key]) for key in fit), Ingredient(1.0, 0.0, 0.0)],
        [Amount(mass), *(Amount(most=typical(left_over_kg[key])) for key in fit), Amount()],
        moisture=Band(typical(heap_moisture_low), wettest),
        c_to_n=Band(goal_c_to_n, max(goal_c_to_n, typical(heap_c_to_n_high))),
    )
    add = {key: kg for key, kg in zip(fit, recipe.kg[1:-1], strict=True) if kg > 1e-4 * mass}

    def with_added(value: Value, *components: int) -> Value:
        return value + sum((kg * _row(held[key], *components) for key, kg in add.items()), 0.0)

    return HeapRecipe(
        add_kg=add,
        missed=recipe.missed,
        water=with_added(pack_end_mass_kg - pack_end_dry_matter_kg, WATER),
        dry_matter=pack_end_dry_matter_kg
        + sum((kg * _plain(dry_matter(held[key])) for key, kg in add.items()), 0.0),
        carbon=with_added(pack_end_carbon_kg, CARBON_QUICK, CARBON_SLOW),
        nitrogen=with_added(pack_end_nitrogen_kg, NITROGEN),
        phosphorus=with_added(pack_end_phosphorus_kg, PHOSPHORUS),
        potassium=with_added(pack_end_potassium_kg, POTASSIUM),
    )


def _ingredient(per_kg: Numbers) -> Ingredient:
    """A kilogram of a material as the mixing arithmetic reads it, at its typical values."""
    return Ingredient(
        float(per_kg[WATER, 0]),
        float(per_kg[CARBON_QUICK, 0] + per_kg[CARBON_SLOW, 0]),
        float(per_kg[NITROGEN, 0]),
    )


def _row(per_kg: Numbers, *components: int) -> Value:
    return _plain(np.sum([per_kg[c] for c in components], axis=0))


def _plain(values: Numbers) -> Value:
    return values if values.size > 1 else float(values[0])


@derive(
    "farm", "kg", "what is left over that goes into the heap", "as delivered; nothing bought for it, no water"
)
def heap_added_kg(heap_recipe: HeapRecipe) -> Value:
    """Sum over the materials of the heap recipe. [kg]"""
    return sum(heap_recipe.add_kg.values(), 0.0)


@derive(
    "farm",
    "kg",
    "water to add to the heap",
    "to reach the lower end of the good range; nothing where it is moist",
)
def heap_water_kg(heap_recipe: HeapRecipe, heap_moisture_low: Value) -> Value:
    """W (Mt - M0) / (1 - Mt) where pack and additions are drier than a heap needs. [kg]"""
    return water_to_add_kg(heap_recipe.mass, heap_recipe.moisture, typical(heap_moisture_low))


@derive("farm", "fraction", "moisture of the heap at the start", "wet basis; additions and water counted")
def heap_moisture(heap_recipe: HeapRecipe, heap_water_kg: Value) -> Value:
    """Water over all, with the water added. [fraction]"""
    return (heap_recipe.water + heap_water_kg) / np.maximum(heap_recipe.mass + heap_water_kg, 1e-9)


@derive(
    "farm",
    "fraction",
    "carbon to nitrogen of the heap at the start",
    "by weight; the pack as dug out with what is added from what is left over",
)
def heap_c_to_n(heap_recipe: HeapRecipe) -> Value:
    """All carbon over all nitrogen."""
    return heap_recipe.carbon / np.maximum(heap_recipe.nitrogen, 1e-9)


@derive(
    "farm",
    "kg",
    "dry straw that would still bring the heap to the goal ratio",
    "on top of what is left over and mixed in; for comparison, as a pack at 20 or more composts without it",
)
def heap_straw_kg(
    heap_recipe: HeapRecipe,
    goal_c_to_n: float,
    straw_carbon_kg_kg: Value,
    straw_nitrogen_kg_kg: Value,
) -> Value:
    """(goal x N - C) / (c - goal x n) for the straw's carbon c and nitrogen n a kilogram, never negative. [kg]"""
    lacking = goal_c_to_n * heap_recipe.nitrogen - heap_recipe.carbon
    return np.maximum(
        0.0, lacking / np.maximum(straw_carbon_kg_kg - goal_c_to_n * straw_nitrogen_kg_kg, 1e-3)
    )


@derive("farm", "kg", "finished compost", "as spread, at the moisture of finished compost")
def compost_mass_kg(heap_recipe: HeapRecipe, heap_dry_matter_loss: Value, finished_moisture: Value) -> Value:
    """Dry matter of the heap left after composting over one less the finished moisture. [kg]"""
    return heap_recipe.dry_matter * (1.0 - heap_dry_matter_loss) / (1.0 - finished_moisture)


@derive("farm", "m3", "volume of finished compost", "loose")
def compost_volume_m3(compost_mass_kg: Value, finished_compost_density: Value) -> Value:
    """Mass over density. [m3]"""
    return compost_mass_kg / finished_compost_density


@derive("farm", "kg", "nitrogen of the finished compost", "total N")
def compost_nitrogen_kg(heap_recipe: HeapRecipe, heap_nitrogen_loss: Value) -> Value:
    """Nitrogen of the heap less the share lost in it. [kg N]"""
    return heap_recipe.nitrogen * (1.0 - heap_nitrogen_loss)


@derive("farm", "kg", "potassium of the finished compost", "elemental K; under cover")
def compost_potassium_kg(heap_recipe: HeapRecipe, heap_potassium_loss_rain: Value) -> Value:
    """Potassium of the heap less what rain washes out. [kg K]"""
    return heap_recipe.potassium * (1.0 - heap_potassium_loss_rain)


@derive("farm", "day", "days until the compost is ready", "from digging out; active heat and curing")
def compost_ready_days(heap_active_days: Value, heap_curing_days: Value) -> Value:
    """Active days plus curing days. [day]"""
    return heap_active_days + heap_curing_days


@derive("farm", "m", "side of the heap in one pile or bin", "as long and wide as high")
def heap_side_m(dug_out_volume_m3: Value) -> Value:
    """Cube root of the loose volume. [m]"""
    return np.cbrt(dug_out_volume_m3)


@derive("farm", "m", "length of a windrow", "two thirds of width times height is its cross-section")
def windrow_length_m(dug_out_volume_m3: Value, heap_width: Value, heap_height_most: Value) -> Value:
    """Volume over two thirds of width times height. [m]

    Source: composting.csv, pile geometry (A = 2*w*h/3 for a rounded row).
    """
    return dug_out_volume_m3 / (2.0 / 3.0 * heap_width * heap_height_most)
