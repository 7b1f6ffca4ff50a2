"""A pen's bed: its parameters, base, weather and needs, gathered for the decision and the simulation."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.reasoning.derivations import derive
from advisor.reasoning.draws import Numbers, typical
from advisor.science.excreta import stack
from advisor.season.decide import PenNeed, PeriodNeed
from advisor.season.simulate import HeadFlow
from advisor.season.step import (
    ASH,
    CARBON_QUICK,
    CARBON_SLOW,
    NITROGEN,
    SOLIDS_QUICK,
    SOLIDS_SLOW,
    WATER,
    Parameters,
)
from advisor.season.timeline import Timeline

__all__ = ["Supply", "Weather"]

Value = Numbers | float


@dataclass(frozen=True)
class Supply:
    """A material as the farm has it: the parts of a supply that are not uncertain numbers."""

    key: str
    material: str
    price_kg: float | None
    for_sale: bool
    most_to_buy_kg: float | None
    first_day: int
    bedding: bool


@dataclass(frozen=True)
class Weather:
    """Outdoor temperature of each day [degC]; numbers or arrays over draws, shared between like days."""

    by_day: tuple[Value, ...]


@derive("farm", "", "how the bed is kept", "hens on litter where only birds are kept, else a static pack")
def management(farm_species: str) -> str:
    """Hen litter where poultry leave most of the dung, else a static pack."""
    return "hens" if farm_species == "poultry" else "static"


@derive("pen", "", "species that leaves most on the bed")
def main_species(
    each_group_class_species: tuple[str, ...],
    each_group_nitrogen_head_day: tuple[Value, ...],
    each_group_count: tuple[Value, ...],
) -> str:
    """The species of the group with most nitrogen."""
    load = [
        typical(n) * typical(c) for n, c in zip(each_group_nitrogen_head_day, each_group_count, strict=True)
    ]
    return each_group_class_species[int(np.argmax(load))] if load else "cattle"


@derive("farm", "", "species that leaves most on the beds")
def farm_species(
    each_group_class_species: tuple[str, ...],
    each_group_nitrogen_head_day: tuple[Value, ...],
    each_group_count: tuple[Value, ...],
) -> str:
    """The species of the group with most nitrogen."""
    return str(main_species(each_group_class_species, each_group_nitrogen_head_day, each_group_count))


@derive("farm", "", "outdoor temperature day by day")
def weather(timeline: Timeline, winter_temperature: Value | dict[int, float]) -> Weather:
    """The told or assumed temperature of each day's month."""
    if isinstance(winter_temperature, dict):
        mean = sum(winter_temperature.values()) / len(winter_temperature)
        return Weather(
            tuple(winter_temperature.get(timeline.date(d).month, mean) for d in range(timeline.days))
        )
    return Weather((winter_temperature,) * timeline.days)


@derive("farm", "degC", "mean outdoor temperature of the winter", "by climate class")
def winter_temperature(mean_winter_temperature: Value) -> Value:
    """The figure for the climate class. [degC]"""
    return mean_winter_temperature


@derive("pen", "kg/m2/day", "rain that falls on the bed", "spread over the whole bedded floor")
def rain_on_bed(roof: str, roofed_share: Value, winter_rain: Value) -> Value:
    """Rain a day times the share of the floor without a roof. [kg/m2/day]"""
    if roof == "roofed":
        return 0.0
    return winter_rain if roof == "open" else winter_rain * (1.0 - roofed_share)


@derive("pen", "fraction", "roofed share of a part-roofed pen")
def roofed_share(part_roof_share: Value) -> Value:
    """The usual share, as none was told."""
    return part_roof_share


@derive("pen", "", "evaporation day by day")
def evaporation_by_day(
    weather: Weather, evaporation_at_minus5: Value, evaporation_at_5: Value, evaporation_at_15: Value
) -> list[Value]:
    """Straight lines between the figures at -5, 5 and 15 degC, held at the ends. [kg/m2/day]"""
    worked: dict[int, Value] = {}
    out: list[Value] = []
    for temperature in weather.by_day:
        key = id(temperature) if isinstance(temperature, np.ndarray) else hash(temperature)
        if key not in worked:
            cold = np.clip((np.asarray(temperature) + 5.0) / 10.0, 0.0, 1.0)
            warm = np.clip((np.asarray(temperature) - 5.0) / 10.0, 0.0, 1.0)
            rate = evaporation_at_minus5 + (evaporation_at_5 - evaporation_at_minus5) * cold
            worked[key] = rate + (evaporation_at_15 - evaporation_at_5) * warm
        out.append(worked[key])
    return out


@derive("pen", "", "what stays the same all season in this pen")
def pack_parameters(
    area_m2: Value,
    quick_carbon_decay_rate: Value,
    slow_carbon_decay_rate: Value,
    top_passed_down: Value,
    bed_nitrogen_loss_share: Value,
    range_of_bed_nitrogen_loss_share: tuple[float, float],
    ammonia_share_of_tan: Value,
    nitrogen_loss_c_to_n_effect: Value,
    nitrogen_loss_c_to_n_from: Value,
    nitrogen_loss_c_to_n_to: Value,
    nitrogen_locked_by_straw: Value,
    dry_floor_moisture: Value,
    evaporation_full_moisture: Value,
) -> Parameters:
    """Decay rates, nitrogen losses, the pace of the top, and the floor area, gathered for the season."""
    return Parameters(
        area_m2=area_m2,
        quick_decay_per_day=quick_carbon_decay_rate,
        slow_decay_per_day=slow_carbon_decay_rate,
        passed_down_per_day=top_passed_down,
        nitrogen_loss_share=bed_nitrogen_loss_share,
        nitrogen_loss_low=range_of_bed_nitrogen_loss_share[0],
        nitrogen_loss_high=range_of_bed_nitrogen_loss_share[1],
        ammonia_share_of_tan=ammonia_share_of_tan,
        c_to_n_effect=nitrogen_loss_c_to_n_effect,
        c_to_n_from=typical(nitrogen_loss_c_to_n_from),
        c_to_n_to=typical(nitrogen_loss_c_to_n_to),
        nitrogen_locked_kg_kg=nitrogen_locked_by_straw,
        dry_floor_moisture=dry_floor_moisture,
        evaporation_full_moisture=evaporation_full_moisture,
    )


@derive("group", "", "feed that lands on the bed and is not eaten, a head and day")
def wasted_feed(
    feed_on_bed: bool,
    weight_kg: Value,
    feed_intake_share: Value,
    feed_wasted_share: Value,
    wasted_feed_carbon: Value,
    wasted_feed_nitrogen: Value,
    wasted_feed_ash: Value,
    carbon_of_solids_most: Value,
    quick_carbon_unknown: Value,
    air_dry_moisture: Value,
) -> Numbers:
    """Intake times the share wasted, as dry feed with its carbon and nitrogen; nothing unless it lands there."""
    if not feed_on_bed:
        return stack({WATER: 0.0})
    dry = weight_kg * feed_intake_share * feed_wasted_share
    ash = wasted_feed_ash * dry
    solids = dry - ash
    carbon = np.minimum(wasted_feed_carbon * dry, carbon_of_solids_most * solids)
    quick = quick_carbon_unknown
    return stack(
        {
            WATER: dry * air_dry_moisture / (1.0 - air_dry_moisture),
            ASH: ash,
            SOLIDS_QUICK: solids * quick,
            SOLIDS_SLOW: solids * (1.0 - quick),
            CARBON_QUICK: carbon * quick,
            CARBON_SLOW: carbon * (1.0 - quick),
            NITROGEN: wasted_feed_nitrogen * dry,
        }
    )


@derive("group", "", "everything a head brings to the bed in a day, wasted feed included")
def bed_flow(head_flow: HeadFlow, wasted_feed: Numbers) -> HeadFlow:
    """Dung and urine plus the feed that lands on the bed."""
    return HeadFlow(head_flow.components + wasted_feed, head_flow.nitrogen, head_flow.tan)


@derive("pen", "kg", "bedding laid as the base", "before the animals come in")
def base_kg(
    base_depth_m: Value,
    area_m2: Value,
    base_key: str,
    supplies: tuple[Supply, ...],
    each_material_laid_density_kg_m3: tuple[Value, ...],
) -> Value:
    """Depth times area times density as laid. [kg]"""
    for supply, density in zip(supplies, each_material_laid_density_kg_m3, strict=True):
        if supply.key == base_key:
            return base_depth_m * area_m2 * density
    return 0.0


@derive("group", "kg/day", "least bedding a head by practice", "per head and day")
def least_bedding_head_day(
    class_bedding_rate: Value, live_weight_factor: Value, feed_wetness: Value, hours_on_bed: Value
) -> Value:
    """Practised rate times live weight factor, the wetness of the feed and the share of the day indoors."""
    return class_bedding_rate * live_weight_factor * feed_wetness * hours_on_bed / 24.0


@derive("pen", "", "what the bed needs, period by period")
def bed_need(
    timeline: Timeline,
    pen_key: str,
    group_keys: tuple[str, ...],
    each_group_bed_flow: tuple[HeadFlow, ...],
    each_group_urine_head_day: tuple[Value, ...],
    each_group_share_on_bed: tuple[Value, ...],
    each_group_least_bedding_head_day: tuple[Value, ...],
    each_group_weight_kg: tuple[Value, ...],
    each_group_births_due: tuple[bool, ...],
    each_group_class_young: tuple[bool, ...],
    rain_on_bed: Value,
    evaporation_by_day: list[Value],
    evaporation_credit: Value,
    area_m2: Value,
    dry_top_moisture: Value,
    dry_planning_margin: Value,
    dry_floor_moisture: Value,
    evaporation_full_moisture: Value,
    upper_bedding_rate: Value,
    most_bedding_of_least: Value,
    main_species: str,
    goal_c_to_n: float,
) -> PenNeed:
    """Water to soak up, water and dry matter reaching the top, least and most bedding, per period.

    Urine and rain less half the evaporation must be soaked up; the top may be no wetter than the dry
    limit, less a planning margin.
    """
    area, rain = typical(area_m2), typical(rain_on_bed)
    limit = typical(dry_top_moisture) - typical(dry_planning_margin)
    free, full = (
        m / (1.0 - m) - typical(dry_floor_moisture) / (1.0 - typical(dry_floor_moisture))
        for m in (limit, typical(evaporation_full_moisture))
    )
    dries = min(1.0, max(free, 0.0) / full)  # a top at its limit may no longer dry at the full rate
    periods = []
    for period in timeline.periods:
        days = slice(period.first, period.first + period.days)
        heads = [float(timeline.heads[key][days].max(initial=0.0)) for key in group_keys]
        dry_air = float(np.mean([typical(v) for v in evaporation_by_day[days]])) * area * dries
        flows = [f.components[:, 0] for f in each_group_bed_flow]
        water = sum(n * f[WATER] for n, f in zip(heads, flows, strict=True)) + rain * area
        dry = sum(n * (f[ASH] + f[SOLIDS_QUICK] + f[SOLIDS_SLOW]) for n, f in zip(heads, flows, strict=True))
        urine = sum(
            n * typical(u) * typical(s)
            for n, u, s in zip(heads, each_group_urine_head_day, each_group_share_on_bed, strict=True)
        )
        least = sum(n * typical(r) for n, r in zip(heads, each_group_least_bedding_head_day, strict=True))
        mark = sum(n * typical(w) for n, w in zip(heads, each_group_weight_kg, strict=True)) * typical(
            upper_bedding_rate
        )
        most = max(mark, least) if main_species == "cattle" else least * typical(most_bedding_of_least)
        periods.append(
            PeriodNeed(
                first_day=period.first,
                days=period.days,
                to_soak_up=max(0.0, urine + rain * area - typical(evaporation_credit) * dry_air),
                water=max(0.0, water - dry_air),
                dry=dry,
                least=least,
                most=most,
            )
        )
    urgency = 3.0 if any(each_group_births_due) else 2.0 if any(each_group_class_young) else 1.0
    return PenNeed(
        pen_key,
        tuple(periods),
        {},
        0.0,
        0.0,
        limit,
        goal_c_to_n,
        urgency,
    )
