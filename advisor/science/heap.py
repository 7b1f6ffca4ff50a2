"""Composting the pack: what to add, how big a heap, and what is left of it."""

from __future__ import annotations

import numpy as np

from advisor.reasoning.derivations import derive
from advisor.reasoning.draws import Numbers, typical

__all__ = ["free_air_space", "water_to_add_kg"]

Value = Numbers | float


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


@derive(
    "farm",
    "kg",
    "water to add to the heap",
    "to reach the lower end of the good range; nothing where it is moist",
)
def heap_water_kg(pack_end_mass_kg: Value, pack_end_moisture: Value, heap_moisture_low: Value) -> Value:
    """W (Mt - M0) / (1 - Mt) where the pack is drier than a heap needs. [kg]"""
    return water_to_add_kg(pack_end_mass_kg, pack_end_moisture, typical(heap_moisture_low))


@derive("farm", "fraction", "moisture of the heap at the start", "wet basis; water to add counted")
def heap_moisture(pack_end_mass_kg: Value, pack_end_moisture: Value, heap_water_kg: Value) -> Value:
    """Water over all, with the water added. [fraction]"""
    return (pack_end_mass_kg * pack_end_moisture + heap_water_kg) / (pack_end_mass_kg + heap_water_kg)


@derive(
    "farm",
    "fraction",
    "carbon to nitrogen of the heap at the start",
    "the pack as dug out, nothing else added",
)
def heap_c_to_n(pack_end_c_to_n: Value) -> Value:
    """That of the pack."""
    return pack_end_c_to_n


@derive(
    "farm",
    "kg",
    "dry straw that would bring the heap to the goal ratio",
    "for comparison; a pack at 20 or more composts without it",
)
def heap_straw_kg(
    pack_end_carbon_kg: Value,
    pack_end_nitrogen_kg: Value,
    goal_c_to_n: float,
    straw_carbon_kg_kg: Value,
    straw_nitrogen_kg_kg: Value,
) -> Value:
    """(goal x N - C) / (c - goal x n) for the straw's carbon c and nitrogen n a kilogram, never negative. [kg]"""
    lacking = goal_c_to_n * pack_end_nitrogen_kg - pack_end_carbon_kg
    return np.maximum(
        0.0, lacking / np.maximum(straw_carbon_kg_kg - goal_c_to_n * straw_nitrogen_kg_kg, 1e-3)
    )


@derive("farm", "kg", "finished compost", "as spread, at the moisture of finished compost")
def compost_mass_kg(
    pack_end_dry_matter_kg: Value, heap_dry_matter_loss: Value, finished_moisture: Value
) -> Value:
    """Dry matter left after composting over one less the finished moisture. [kg]"""
    return pack_end_dry_matter_kg * (1.0 - heap_dry_matter_loss) / (1.0 - finished_moisture)


@derive("farm", "m3", "volume of finished compost", "loose")
def compost_volume_m3(compost_mass_kg: Value, finished_compost_density: Value) -> Value:
    """Mass over density. [m3]"""
    return compost_mass_kg / finished_compost_density


@derive("farm", "kg", "nitrogen of the finished compost", "total N")
def compost_nitrogen_kg(pack_end_nitrogen_kg: Value, heap_nitrogen_loss: Value) -> Value:
    """Nitrogen of the pack less the share lost in the heap. [kg N]"""
    return pack_end_nitrogen_kg * (1.0 - heap_nitrogen_loss)


@derive("farm", "kg", "potassium of the finished compost", "elemental K; under cover")
def compost_potassium_kg(pack_end_potassium_kg: Value, heap_potassium_loss_rain: Value) -> Value:
    """Potassium of the pack less what rain washes out. [kg K]"""
    return pack_end_potassium_kg * (1.0 - heap_potassium_loss_rain)


@derive("farm", "day", "days until the compost is ready", "from digging out; active heat and curing")
def compost_ready_days(heap_active_days: Value, heap_curing_days: Value) -> Value:
    """Active days plus curing days. [day]"""
    return heap_active_days + heap_curing_days


@derive("farm", "m", "length of a windrow", "two thirds of width times height is its cross-section")
def windrow_length_m(dug_out_volume_m3: Value, heap_width: Value, heap_height_most: Value) -> Value:
    """Volume over two thirds of width times height. [m]

    Source: composting.csv, pile geometry (A = 2*w*h/3 for a rounded row).
    """
    return dug_out_volume_m3 / (2.0 / 3.0 * heap_width * heap_height_most)
