"""What the season leaves: the pack at turnout, what it lost on the way, and what its air is like."""

from __future__ import annotations

import numpy as np

from advisor.reasoning.derivations import derive
from advisor.reasoning.draws import Numbers, spread, typical
from advisor.season.decide import Decision
from advisor.season.simulate import PackRun
from advisor.season.step import (
    CARBON_QUICK,
    CARBON_SLOW,
    NITROGEN,
    PHOSPHORUS,
    POTASSIUM,
    TAN,
    WATER,
    dry_matter,
)
from advisor.season.timeline import Timeline

__all__: list[str] = []

Value = Numbers | float


@derive("group", "fraction", "spread of the head count")
def count_factor(count: Value) -> Value:
    """Drawn count over typical count."""
    return count / max(typical(count), 1e-9)


@derive("group", "kg/day", "fresh dung and urine on the bed", "all heads of the group")
def group_excreta_on_bed_kg_day(excreta_head_day: Value, share_on_bed: Value, count: Value) -> Value:
    """Per head, times the share on the bed, times the number of animals. [kg/day]"""
    return excreta_head_day * share_on_bed * count


@derive("group", "kg/day", "nitrogen on the bed", "all heads of the group")
def group_nitrogen_on_bed_kg_day(nitrogen_head_day: Value, share_on_bed: Value, count: Value) -> Value:
    """Per head, times the share on the bed, times the number of animals. [kg N/day]"""
    return nitrogen_head_day * share_on_bed * count


@derive("farm", "kg/day", "fresh dung and urine that land on the bed", "all groups at full number")
def excreta_on_bed_kg_day(each_group_group_excreta_on_bed_kg_day: tuple[Value, ...]) -> Value:
    """Sum over groups. [kg/day]"""
    return sum(each_group_group_excreta_on_bed_kg_day, 0.0)


@derive("farm", "kg/day", "nitrogen that lands on the bed", "all groups at full number")
def nitrogen_on_bed_kg_day(each_group_group_nitrogen_on_bed_kg_day: tuple[Value, ...]) -> Value:
    """Sum over groups. [kg N/day]"""
    return sum(each_group_group_nitrogen_on_bed_kg_day, 0.0)


@derive("pen", "fraction", "wettest moisture of the top layer", "wet basis; after the first ten days")
def pen_top_moisture_worst(pack: PackRun) -> Value:
    """The highest daily moisture of the top layer once the bed has settled in. [fraction]"""
    first = min(10, pack.top_moisture.shape[0] - 1)
    return _plain(pack.top_moisture[first:].max(axis=0))


@derive("farm", "fraction", "wettest moisture of the top layer", "wettest pen, wet basis")
def top_moisture_worst(each_pen_pen_top_moisture_worst: tuple[Value, ...]) -> Value:
    """That of the pen whose middle is wettest. [fraction]

    Not the largest draw by draw: among several pens that would be wetter than any of them is likely to be.
    """
    return max(each_pen_pen_top_moisture_worst, key=lambda wet: spread(wet)[1])


@derive("farm", "fraction", "most moisture the top layer may hold", "wet basis")
def top_moisture_limit(each_pen_dry_top_moisture: tuple[Value, ...]) -> Value:
    """The strictest limit of the pens. [fraction]"""
    return min(typical(limit) for limit in each_pen_dry_top_moisture)


@derive("farm", "kg", "weight of the pack at turnout", "all pens, base layer included")
def pack_end_mass_kg(each_pen_pack: tuple[PackRun, ...]) -> Value:
    """Dry matter and water left. [kg]"""
    return sum((_plain(run.mass_kg[-1]) for run in each_pen_pack), 0.0)


@derive("farm", "m3", "volume of the pack at turnout", "in place, trodden; base layer included")
def pack_end_volume_m3(each_pen_pack: tuple[PackRun, ...]) -> Value:
    """Solids and water over their densities, divided by one less the air share. [m3]"""
    return sum((_plain(run.volume_end_m3) for run in each_pen_pack), 0.0)


@derive("pen", "m", "depth of the pack at turnout", "base layer included")
def pen_end_depth_m(pack: PackRun) -> Value:
    """Volume over floor area on the last day. [m]"""
    return _plain(pack.depth_m[-1])


@derive("farm", "m", "depth of the pack at turnout", "mean of the pens by area; base layer included")
def pack_end_depth_m(pack_end_volume_m3: Value, each_pen_area_m2: tuple[Value, ...]) -> Value:
    """Volume over floor area on the last day. [m]"""
    return pack_end_volume_m3 / sum(each_pen_area_m2, 0.0)


@derive("farm", "mm/day", "how fast the floor rises", "mean from base as laid to turnout")
def pack_rise_mm_day(
    pack_end_depth_m: Value, each_pen_laid_base_depth_m: tuple[Value, ...], timeline: Timeline
) -> Value:
    """Depth at turnout less the base as laid, over the days. [mm/day]"""
    base = sum(each_pen_laid_base_depth_m, 0.0) / max(1, len(each_pen_laid_base_depth_m))
    return (pack_end_depth_m - base) * 1000.0 / timeline.days


@derive("farm", "kg/m3", "density of the pack at turnout", "in place")
def pack_end_density_kg_m3(pack_end_mass_kg: Value, pack_end_volume_m3: Value) -> Value:
    """Mass over volume. [kg/m3]"""
    return pack_end_mass_kg / np.maximum(pack_end_volume_m3, 1e-9)


@derive("farm", "fraction", "moisture of the whole pack at turnout", "wet basis")
def pack_end_moisture(each_pen_pack: tuple[PackRun, ...]) -> Value:
    """Water over all. [fraction]"""
    water = sum((_plain(run.end.whole[WATER]) for run in each_pen_pack), 0.0)
    dry = sum((_plain(dry_matter(run.end.whole)) for run in each_pen_pack), 0.0)
    return water / np.maximum(water + dry, 1e-9)


@derive("farm", "kg", "dry matter of the pack at turnout")
def pack_end_dry_matter_kg(each_pen_pack: tuple[PackRun, ...]) -> Value:
    """Ash and volatile solids left. [kg]"""
    return sum((_plain(dry_matter(run.end.whole)) for run in each_pen_pack), 0.0)


@derive("farm", "kg", "carbon of the pack at turnout")
def pack_end_carbon_kg(each_pen_pack: tuple[PackRun, ...]) -> Value:
    """Carbon left in all pens. [kg C]"""
    return sum(
        (_plain(run.end.whole[CARBON_QUICK] + run.end.whole[CARBON_SLOW]) for run in each_pen_pack), 0.0
    )


@derive("farm", "kg", "nitrogen of the pack at turnout")
def pack_end_nitrogen_kg(each_pen_pack: tuple[PackRun, ...]) -> Value:
    """Nitrogen left in all pens. [kg N]"""
    return _component(each_pen_pack, NITROGEN)


@derive(
    "farm",
    "kg",
    "ammoniacal nitrogen of the pack at turnout",
    "upper guess: no turnover to organic N is counted",
)
def pack_end_tan_kg(each_pen_pack: tuple[PackRun, ...]) -> Value:
    """Ammoniacal nitrogen left in all pens. [kg N]"""
    return _component(each_pen_pack, TAN)


@derive("farm", "fraction", "carbon to nitrogen of the pack at turnout", "by weight")
def pack_end_c_to_n(pack_end_carbon_kg: Value, pack_end_nitrogen_kg: Value) -> Value:
    """Carbon left over nitrogen left."""
    return pack_end_carbon_kg / np.maximum(pack_end_nitrogen_kg, 1e-9)


@derive("farm", "kg", "phosphorus of the pack at turnout", "elemental P")
def pack_end_phosphorus_kg(each_pen_pack: tuple[PackRun, ...]) -> Value:
    """Phosphorus put down; none is lost. [kg P]"""
    return _component(each_pen_pack, PHOSPHORUS)


@derive("farm", "kg", "potassium of the pack at turnout", "elemental K")
def pack_end_potassium_kg(each_pen_pack: tuple[PackRun, ...]) -> Value:
    """Potassium put down, less what drains away. [kg K]"""
    return _component(each_pen_pack, POTASSIUM)


@derive("farm", "kg/t", "nitrogen of the pack", "per tonne as it lies")
def pack_end_nitrogen_kg_t(pack_end_nitrogen_kg: Value, pack_end_mass_kg: Value) -> Value:
    """Nitrogen left over mass left. [kg N/t]"""
    return 1000.0 * pack_end_nitrogen_kg / np.maximum(pack_end_mass_kg, 1e-9)


@derive("farm", "kg", "nitrogen excreted on the bed", "whole season")
def nitrogen_excreted_kg(each_pen_pack: tuple[PackRun, ...]) -> Value:
    """Sum over days and pens. [kg N]"""
    return sum((_plain(run.excreted_nitrogen_kg) for run in each_pen_pack), 0.0)


@derive("farm", "fraction", "share of the excreted nitrogen lost", "as gas and liquid, whole season")
def nitrogen_lost_share(each_pen_pack: tuple[PackRun, ...], nitrogen_excreted_kg: Value) -> Value:
    """Nitrogen lost over nitrogen excreted."""
    lost = sum((_plain(run.nitrogen_lost_kg) for run in each_pen_pack), 0.0)
    return lost / np.maximum(nitrogen_excreted_kg, 1e-9)


@derive("farm", "kg", "nitrogen lost as ammonia", "NH3-N, whole season")
def ammonia_nitrogen_kg(each_pen_pack: tuple[PackRun, ...]) -> Value:
    """Sum over days and pens. [kg N]"""
    return sum((_plain(run.ammonia_kg.sum(axis=0)) for run in each_pen_pack), 0.0)


@derive("farm", "fraction", "share of the carbon lost", "of all carbon put down, base included")
def carbon_lost_share(each_pen_pack: tuple[PackRun, ...]) -> Value:
    """Carbon eaten by microbes over carbon put down."""
    lost = sum((_plain(run.carbon_lost_kg) for run in each_pen_pack), 0.0)
    brought = sum((_plain(run.carbon_in_kg) for run in each_pen_pack), 0.0)
    return lost / np.maximum(brought, 1e-9)


@derive("farm", "kg", "water that dries off", "whole season")
def water_evaporated_kg(each_pen_pack: tuple[PackRun, ...]) -> Value:
    """Sum over days and pens. [kg]"""
    return sum((_plain(run.evaporated_kg) for run in each_pen_pack), 0.0)


@derive("farm", "kg", "liquid that drains from the pack", "whole season")
def free_liquid_kg(each_pen_pack: tuple[PackRun, ...]) -> Value:
    """What the full pack cannot hold. [kg]"""
    return sum((_plain(run.drained_kg.sum(axis=0)) for run in each_pen_pack), 0.0)


@derive("group", "W", "heat given off by the group", "all heads")
def group_heat_w(class_heat: Value | None, live_weight_factor: Value, count: Value) -> Value:
    """Heat a head at reference weight times the live weight factor to the power 0.75, times heads. [W]

    Source: CIGR 2002 form, from memory.
    """
    return 0.0 if class_heat is None else class_heat * np.power(live_weight_factor, 0.75) * count


@derive("farm", "m3/h", "least air to let through", "keeps carbon dioxide at the winter limit")
def air_least_m3_h(
    each_group_group_heat_w: tuple[Value, ...],
    co2_per_heat: Value,
    co2_limit_ppm: Value,
    co2_outdoor_ppm: Value,
) -> Value:
    """Carbon dioxide given off over the rise that is allowed. [m3/h]

    Source: CIGR 2002 carbon dioxide balance, from memory.
    """
    heat = sum(each_group_group_heat_w, 0.0)
    return heat * co2_per_heat / ((co2_limit_ppm - co2_outdoor_ppm) * 1e-6)


@derive("farm", "ppm", "ammonia expected at animal height", "a rough indication; the nose or a tube decides")
def ammonia_ppm(
    each_group_group_heat_w: tuple[Value, ...],
    co2_per_heat: Value,
    carbon_dioxide_usual_ppm: Value,
    co2_outdoor_ppm: Value,
    ammonia_nitrogen_kg: Value,
    ammonia_gas_density: Value,
    timeline: Timeline,
) -> Value:
    """Ammonia given off over the air that passes through a usual winter shed. [ppm]

    Air passing is reckoned from carbon dioxide; ammonia is the season's daily mean, N times 17/14.
    """
    heat = sum(each_group_group_heat_w, 0.0)
    rise = np.maximum(carbon_dioxide_usual_ppm - co2_outdoor_ppm, 100.0) * 1e-6
    air_m3_day = 24.0 * heat * co2_per_heat / rise
    gas_m3_day = ammonia_nitrogen_kg * 17.0 / 14.0 / ammonia_gas_density / timeline.days
    return 1e6 * gas_m3_day / np.maximum(air_m3_day, 1e-9)


@derive("pen", "kg/day", "bedding a day in this pen", "mean of the season; base layer not included")
def pen_bedding_kg_day(bedding_decision: Decision, pen_key: str, timeline: Timeline) -> Value:
    """Rates times days over the season's days. [kg/day]"""
    return (
        sum(
            rate * period.days
            for rates in bedding_decision.rates[pen_key].values()
            for rate, period in zip(rates, timeline.periods, strict=False)
        )
        / timeline.days
    )


@derive("pen", "kg/day", "least bedding by practice in this pen")
def pen_least_bedding_kg_day(
    each_group_least_bedding_head_day: tuple[Value, ...], each_group_count: tuple[Value, ...]
) -> Value:
    """Sum over groups of practised rate times heads. [kg/day]"""
    return sum((r * n for r, n in zip(each_group_least_bedding_head_day, each_group_count, strict=True)), 0.0)


@derive("group", "kg/day", "bedding a head and day", "mean of the season; base layer not included")
def bedding_kg_head_day(
    pen_bedding_kg_day: Value, pen_least_bedding_kg_day: Value, least_bedding_head_day: Value
) -> Value:
    """The pen's bedding shared over its groups as the practised rates go. [kg/day per head]"""
    return pen_bedding_kg_day * least_bedding_head_day / np.maximum(pen_least_bedding_kg_day, 1e-9)


def _component(runs: tuple[PackRun, ...], component: int) -> Value:
    return sum((_plain(run.end.whole[component]) for run in runs), 0.0)


def _plain(values: Numbers) -> Value:
    """A bare number where there is only the typical value."""
    return values if values.size > 1 else float(values[0])
