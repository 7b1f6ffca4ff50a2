"""Moist air: how much air carries the animals' water away, and how large the openings should be.

Everything here is an indication: a tube, the nose or a wet roof at animal height decides.
"""

from __future__ import annotations

import numpy as np

from advisor.reasoning.derivations import derive
from advisor.reasoning.draws import Numbers, typical
from advisor.season.weather import Weather

__all__ = ["full_air_kg_m3", "warmed_heat_factor"]

Value = Numbers | float

_SECONDS_AN_HOUR = 3600.0


def full_air_kg_m3(temperature: Value, degrees: tuple[float, ...], full: tuple[Value, ...]) -> Value:
    """Water that saturated air holds. [kg/m3]

    Between the tabled temperatures (rising, degC) the logarithm runs straight; held at the ends.
    """
    logarithms = [float(np.log(typical(value))) for value in full]
    held: Numbers = np.exp(np.interp(temperature, degrees, logarithms))
    return held


def warmed_heat_factor(temperature: Value, rise: Value, reference: Value) -> Value:
    """Heat of animals in the cold over that at the reference temperature: one per cent or so for some degrees.

    temperature, reference [degC]; rise [1/K]. Source: CIGR 2002 form, from memory.
    """
    return 1.0 + rise * (reference - temperature)


@derive(
    "farm",
    "degC",
    "temperature in the shed",
    "mean of the season; a cold barn is little warmer than outdoors",
)
def indoor_temperature(weather: Weather, cold_barn_warmth: Value) -> Value:
    """Mean outdoor temperature plus what a cold barn keeps. [degC]"""
    return _mean_outdoors(weather) + cold_barn_warmth


@derive("farm", "", "water that air holds when full, by temperature")
def full_air_table(
    air_moisture_full_minus25: Value,
    air_moisture_full_minus20: Value,
    air_moisture_full_minus15: Value,
    air_moisture_full_minus10: Value,
    air_moisture_full_minus5: Value,
    air_moisture_full_0: Value,
    air_moisture_full_5: Value,
    air_moisture_full_10: Value,
    air_moisture_full_15: Value,
    air_moisture_full_20: Value,
    air_moisture_full_30: Value,
    air_moisture_full_40: Value,
) -> tuple[tuple[float, ...], tuple[Value, ...]]:
    """The tabled temperatures [degC] and what full air holds at each [kg/m3]."""
    return (-25.0, -20.0, -15.0, -10.0, -5.0, 0.0, 5.0, 10.0, 15.0, 20.0, 30.0, 40.0), (
        air_moisture_full_minus25, air_moisture_full_minus20, air_moisture_full_minus15,
        air_moisture_full_minus10, air_moisture_full_minus5, air_moisture_full_0, air_moisture_full_5,
        air_moisture_full_10, air_moisture_full_15, air_moisture_full_20, air_moisture_full_30,
        air_moisture_full_40,
    )  # fmt: skip


@derive(
    "farm", "kg/m3", "water a cubic metre of air carries out", "shed at its dampest allowed, over outdoor air"
)
def air_carries_kg_m3(
    indoor_temperature: Value,
    weather: Weather,
    full_air_table: tuple[tuple[float, ...], tuple[Value, ...]],
    air_humidity_most: Value,
    air_humidity_outdoors: Value,
    air_carries_least: Value,
) -> Value:
    """Humidity times what full air holds, indoors less outdoors; never less than a small amount. [kg/m3]

    A barn as cold as the air outside cannot be dried by it, whatever the openings.
    """
    inside = air_humidity_most * full_air_kg_m3(indoor_temperature, *full_air_table)
    outside = air_humidity_outdoors * full_air_kg_m3(_mean_outdoors(weather), *full_air_table)
    return np.maximum(inside - outside, air_carries_least)


@derive("group", "kg/h", "water vapour given off by the group", "animals and the floor under them")
def group_vapour_kg_h(
    group_heat_w: Value,
    indoor_temperature: Value,
    heat_rise_in_cold: Value,
    heat_reference_temperature: Value,
    air_latent_share: Value,
    water_latent_heat: Value,
) -> Value:
    """Heat in the cold times the share that leaves as vapour, over the latent heat of water. [kg/h]

    Source: CIGR 2002 house level, from memory.
    """
    heat = group_heat_w * warmed_heat_factor(
        indoor_temperature, heat_rise_in_cold, heat_reference_temperature
    )
    return heat * air_latent_share / water_latent_heat * _SECONDS_AN_HOUR


@derive("farm", "kg/h", "water vapour to carry out", "all groups")
def vapour_kg_h(each_group_group_vapour_kg_h: tuple[Value, ...]) -> Value:
    """Sum over groups. [kg/h]"""
    return sum(each_group_group_vapour_kg_h, 0.0)


@derive("farm", "m3/h", "air that carries the water out", "keeps the shed no damper than allowed")
def air_for_moisture_m3_h(vapour_kg_h: Value, air_carries_kg_m3: Value) -> Value:
    """Vapour over what each cubic metre carries. [m3/h]"""
    return vapour_kg_h / air_carries_kg_m3


@derive("group", "m2", "roof outlet for the group", "still day")
def group_outlet_area_m2(
    class_species: str,
    weight_kg: Value,
    count: Value,
    air_outlet_area_m2_head: Value,
    air_outlet_area_calf_m2_head: Value,
    air_outlet_full_weight: Value,
) -> Value:
    """Outlet a head times heads. [m2]

    Ewes and goats have their own rule. Cattle below the full weight need less in step, never less than a
    calf; kinds without a rule go by weight to the power 0.75, as heat does.
    """
    if class_species in ("sheep", "goats"):
        return air_outlet_area_m2_head * count
    share = np.minimum(weight_kg / air_outlet_full_weight, 1.0)
    if class_species == "cattle":
        return np.maximum(air_outlet_area_m2_head * share, air_outlet_area_calf_m2_head) * count
    return air_outlet_area_m2_head * np.power(share, 0.75) * count


@derive("farm", "m2", "roof outlet, all together", "open ridge or its like, for a still day")
def outlet_area_m2(each_group_group_outlet_area_m2: tuple[Value, ...]) -> Value:
    """Sum over groups. [m2]"""
    return sum(each_group_group_outlet_area_m2, 0.0)


@derive("farm", "m2", "air inlets, all together", "shared by both long sides")
def inlet_area_m2(outlet_area_m2: Value, inlet_to_outlet_ratio: Value) -> Value:
    """Outlet times the ratio of inlet to outlet. [m2]"""
    return outlet_area_m2 * inlet_to_outlet_ratio


@derive("farm", "m", "width of the ridge slot", "open the length of the building")
def ridge_slot_m(building_width_m: Value, ridge_opening_per_width: Value) -> Value:
    """Width of the building times the published slot for each metre of it. [m]"""
    return building_width_m * ridge_opening_per_width


def _mean_outdoors(weather: Weather) -> Value:
    """Mean of the days; days that share a value are counted by it."""
    counts: dict[int, int] = {}
    values: dict[int, Value] = {}
    for value in weather.by_day:
        key = id(value) if isinstance(value, np.ndarray) else hash(value)
        counts[key] = counts.get(key, 0) + 1
        values[key] = value
    return sum((values[key] * counts[key] for key in counts), 0.0) / len(weather.by_day)
