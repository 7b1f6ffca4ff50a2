"""Turning the pack in spring: grain as bait, pigs, hens, fork and tractor.

Grain is never mixed where ruminants, horses or hens live on the bed: it can kill them.
"""

from __future__ import annotations

import numpy as np

from advisor.reasoning.derivations import derive
from advisor.reasoning.draws import Numbers, typical
from advisor.season.bed import Supply
from advisor.season.decide import Decision
from advisor.season.timeline import Timeline

__all__: list[str] = []

Value = Numbers | float


@derive("farm", "m3", "bedding volume as laid", "everything added through the season, base layer included")
def bedding_laid_m3(
    bedding_decision: Decision,
    timeline: Timeline,
    supplies: tuple[Supply, ...],
    each_material_laid_density_kg_m3: tuple[Value, ...],
) -> Value:
    """Each material's weight over its density as laid, summed. [m3]"""
    total: Value = 0.0
    for supply, density in zip(supplies, each_material_laid_density_kg_m3, strict=True):
        kg = sum(pen.get(supply.key, 0.0) for pen in bedding_decision.base_kg.values())
        for materials in bedding_decision.rates.values():
            kg += sum(
                r * p.days for r, p in zip(materials.get(supply.key, ()), timeline.periods, strict=False)
            )
        total = total + kg / density
    return total


@derive("farm", "", "whether grain may go into the bedding at all")
def grain_is_safe(each_group_class_species: tuple[str, ...]) -> bool:
    """Only where every animal on the bed is a pig, or cattle whose grain is buried below their reach."""
    return all(species in ("pigs", "cattle") for species in each_group_class_species)


@derive(
    "farm",
    "kg",
    "grain mixed into the bedding as bait",
    "whole season; nothing unless pigs are to turn the pack",
)
def grain_kg(
    bedding_laid_m3: Value, grain_per_bedding: Value, turned_by: str, grain_in_bed: bool, grain_is_safe: bool
) -> Value | None:
    """Bedding volume as laid times grain per cubic metre. [kg]

    By volume it means very different weights for straw and for chips; it is bait, not a ration.
    Source: common practice, about 15 kg per m3.
    """
    if turned_by != "pigs" or not grain_in_bed or not grain_is_safe:
        return None
    return bedding_laid_m3 * grain_per_bedding


@derive("farm", "kg/m2", "grain on a square metre of floor", "whole season")
def grain_kg_m2(grain_kg: Value | None, each_pen_area_m2: tuple[Value, ...]) -> Value | None:
    """Grain over floor area. [kg/m2]"""
    return None if grain_kg is None else grain_kg / sum(each_pen_area_m2, 0.0)


@derive(
    "farm", "head", "pigs to turn the pack", "working the whole floor in one go, up to the depth they dig"
)
def pigs(turned_by: str, each_pen_area_m2: tuple[Value, ...], pig_turning_area: Value) -> Value | None:
    """Floor area over area a pig works, as a whole number. [head]

    Source: common practice, about 2 m2 each.
    """
    if turned_by != "pigs":
        return None
    return np.maximum(1.0, np.ceil(sum(each_pen_area_m2, 0.0) / pig_turning_area - 1e-9))


@derive("farm", "day", "days the pigs need", "for one lift of the pack; a deeper pack takes two")
def pig_turning_time(pig_turning_days: Value, pack_end_depth_m: Value, pig_turning_depth: Value) -> Value:
    """Days a lift times the number of lifts the depth needs. [day]"""
    return pig_turning_days * np.maximum(1.0, np.ceil(pack_end_depth_m / pig_turning_depth - 1e-9))


@derive("farm", "day", "pig days", "pigs times days")
def pig_days(pigs: Value | None, pig_turning_time: Value) -> Value | None:
    """Number of pigs times days. [pig days]"""
    return None if pigs is None else pigs * pig_turning_time


@derive("farm", "day", "days that the pigs named would need", "at the same work a pig and day")
def named_pigs_days(pig_days: Value | None, turning_pigs: Value) -> Value | None:
    """Pig days over the pigs named. [day]"""
    return None if pig_days is None or typical(turning_pigs) <= 0 else pig_days / turning_pigs


@derive(
    "farm",
    "day",
    "days that the grain would feed the pigs",
    "if it were their whole ration, which it must not be",
)
def grain_feeds_days(grain_kg: Value | None, pigs: Value | None, pig_feed_per_day: Value) -> Value | None:
    """Grain over pigs times daily feed. [day]"""
    return None if grain_kg is None or pigs is None else grain_kg / (pigs * pig_feed_per_day)


@derive("farm", "h", "hours to turn the pack by fork", "one person")
def fork_hours(pack_end_mass_kg: Value, fork_rate: Value) -> Value:
    """Tonnes over tonnes an hour. [h]"""
    return pack_end_mass_kg / 1000.0 / fork_rate


@derive("farm", "h", "hours to dig out or turn the pack by tractor", "one driver and loader")
def tractor_hours(pack_end_mass_kg: Value, tractor_rate: Value) -> Value:
    """Tonnes over tonnes an hour. [h]"""
    return pack_end_mass_kg / 1000.0 / tractor_rate


@derive("farm", "m", "loose depth that hens can work", "only the top")
def hens_work_depth_m(hen_scratch_depth: Value) -> Value:
    """The depth hens scratch. [m]"""
    return hen_scratch_depth
