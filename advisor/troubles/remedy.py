"""How much: the sums behind the remedies. Pure functions on numbers or arrays of draws; SI units throughout."""

from __future__ import annotations

import numpy as np

from advisor.reasoning.draws import Numbers

__all__ = [
    "animals_to_move", "carbon_rich_to_add_kg", "dry_to_add_kg", "grain_bait_kg", "heap_missing_m3",
    "keep_dry_kg_day", "nitrogen_rich_to_add_kg", "soaks_kg_kg", "top_layer_kg",
]  # fmt: skip

Value = Numbers | float


def dry_to_add_kg(wet_kg: Value, moisture: Value, wanted: Value, added_moisture: Value) -> Value:
    """Dry stuff that brings a wet mass down to a wanted moisture: W (Ma - Mb) / (Mb - Ms), never below nothing.

    Water and dry matter are only mixed, so W Ma + S Ms = (W + S) Mb. Raises ValueError where the stuff to add
    is no drier than the wanted moisture: no amount of it would do.
    """
    if np.any(np.asarray(added_moisture) >= np.asarray(wanted)):
        raise ValueError("what is added must be drier than the moisture wanted")
    return np.maximum(0.0, wet_kg * (moisture - wanted) / (wanted - added_moisture))


def top_layer_kg(dry_kg_day: Value, passed_down_per_day: Value, moisture: Value) -> Value:
    """Weight of the top layer from the dry matter a day brings: (dry a day / share passed down) / (1 - Ma). [kg]

    The top keeps what it gets until a share of it is trodden down each day, so it holds 1 / share days of it.
    """
    return dry_kg_day / passed_down_per_day / (1.0 - moisture)


def keep_dry_kg_day(
    fresh_kg_day: Value, dry_kg_day: Value, dried_off_kg_day: Value, wanted: Value, bedding_moisture: Value
) -> Value:
    """Bedding a day that keeps what falls each day at the wanted moisture. [kg/day]

    The day's dung and urine, less what dries off, is the wet mass of `dry_to_add_kg`.
    """
    left = np.maximum(fresh_kg_day - dried_off_kg_day, dry_kg_day)
    return dry_to_add_kg(left, 1.0 - dry_kg_day / left, wanted, bedding_moisture)


def carbon_rich_to_add_kg(
    carbon_kg: Value, nitrogen_kg: Value, wanted: Value, added_carbon: Value, added_nitrogen: Value
) -> Value:
    """Carbon-rich stuff that brings C:N up to `wanted`: (T N - C) / (c - T n), never below nothing. [kg]

    c and n are kg of carbon and nitrogen in a kg as it is. Raises ValueError where its own C:N is too low.
    """
    gain = added_carbon - wanted * added_nitrogen
    if np.any(np.asarray(gain) <= 0.0):
        raise ValueError("what is added must have a higher ratio than the one wanted")
    return np.maximum(0.0, (wanted * nitrogen_kg - carbon_kg) / gain)


def nitrogen_rich_to_add_kg(
    carbon_kg: Value, nitrogen_kg: Value, wanted: Value, added_carbon: Value, added_nitrogen: Value
) -> Value:
    """Nitrogen-rich stuff that brings C:N down to `wanted`: (C - T N) / (T n - c), never below nothing. [kg]"""
    gain = wanted * added_nitrogen - added_carbon
    if np.any(np.asarray(gain) <= 0.0):
        raise ValueError("what is added must have a lower ratio than the one wanted")
    return np.maximum(0.0, (carbon_kg - wanted * nitrogen_kg) / gain)


def soaks_kg_kg(absorbency: Value, usable_share: Value, moisture: Value, air_dry_moisture: Value) -> Value:
    """Water that a kg of bedding still takes up: usable absorbency of its air-dry weight, less water above it."""
    air_dry_kg = (1.0 - moisture) / (1.0 - air_dry_moisture)
    extra = np.maximum(moisture - air_dry_kg * air_dry_moisture, 0.0)
    return np.maximum(air_dry_kg * absorbency * usable_share - extra, 0.0)


def animals_to_move(area_m2: Value, needed_m2: Value, heads: float) -> Value:
    """Animals too many: heads x (1 - area / needed), upward to a whole one, never below nothing nor above all."""
    over = heads * (1.0 - area_m2 / needed_m2)
    return np.clip(np.ceil(over - 1e-9), 0.0, heads)


def grain_bait_kg(area_m2: Value, depth_m: Value, grain_kg_m3: Value) -> Value:
    """Grain for a lift of the pack: floor area x depth x dose. [kg]"""
    return area_m2 * depth_m * grain_kg_m3


def heap_missing_m3(side_m: Value, volume_m3: Value) -> Value:
    """Volume lacking to a cube of the least side that holds heat. [m3]"""
    return np.maximum(0.0, side_m**3 - volume_m3)
