"""A pen's bed: its parameters, base and needs, gathered for the decision and the simulation."""

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

__all__ = ["Supply"]

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


@derive(
    "farm",
    "",
    "how the bed is kept",
    "scratched litter where birds that scratch are kept, else a static pack",
)
def management(farm_species: str, each_group_class_scratches: tuple[bool, ...]) -> str:
    """Hen litter where poultry leave most of the dung and scratch it dry, else a static pack.

    Ducks and geese do not scratch: their bed is topped up like that of other stock.
    """
    return "hens" if farm_species == "poultry" and any(each_group_class_scratches) else "static"


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
    told_wasted_feed_kg_day: Value | None,
    count: Value,
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
    """What the keeper told, else intake times the share wasted, as dry feed with its carbon and nitrogen.

    Nothing unless it lands on the bed.
    """
    if not feed_on_bed:
        return stack({WATER: 0.0})
    dry = weight_kg * feed_intake_share * feed_wasted_share
    if told_wasted_feed_kg_day is not None:
        dry = told_wasted_feed_kg_day / typical(count) * (1.0 - air_dry_moisture)
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


@derive("group", "kg/day", "feed that lands on the bed and is not eaten, as told", "all heads together")
def told_wasted_feed_kg_day() -> Value | None:
    """None told."""
    return None


@derive("group", "", "everything a head brings to the bed in a day, wasted feed included")
def bed_flow(head_flow: HeadFlow, wasted_feed: Numbers) -> HeadFlow:
    """Dung and urine plus the feed that lands on the bed."""
    return HeadFlow(head_flow.components + wasted_feed, head_flow.nitrogen, head_flow.tan)


@derive("pen", "kg/m3", "density of the base", "as laid")
def base_density_kg_m3(
    base_key: str, supplies: tuple[Supply, ...], each_material_laid_density_kg_m3: tuple[Value, ...]
) -> Value:
    """Density as laid of the material the base is made of. [kg/m3]"""
    return each_material_laid_density_kg_m3[[s.key for s in supplies].index(base_key)]


@derive("farm", "m2", "bedded floor of all pens")
def bedded_area_m2(each_pen_area_m2: tuple[Value, ...]) -> Value:
    """Sum over the pens. [m2]"""
    return sum(each_pen_area_m2, 0.0)


@derive("pen", "kg/day", "bedding by practice in this pen", "mean of the season, as many heads as there are")
def practised_kg_day(
    timeline: Timeline, group_keys: tuple[str, ...], each_group_least_bedding_head_day: tuple[Value, ...]
) -> Value:
    """Practised rate times the heads there on each day, over the days. [kg/day]"""
    heads = [float(timeline.heads[key].mean()) for key in group_keys]
    return sum((n * typical(r) for n, r in zip(heads, each_group_least_bedding_head_day, strict=True)), 0.0)


@derive(
    "farm",
    "fraction",
    "share of the usual base that the bedding allows",
    "one where the keeper told the base",
)
def base_share(
    base_is_told: bool,
    timeline: Timeline,
    supplies: tuple[Supply, ...],
    base_keys: tuple[str, ...],
    each_material_usable_on_hand_kg: tuple[Value, ...],
    each_pen_practised_kg_day: tuple[Value, ...],
    each_pen_base_depth_m: tuple[Value, ...],
    each_pen_area_m2: tuple[Value, ...],
    each_pen_base_density_kg_m3: tuple[Value, ...],
) -> float:
    """What can be had over base and practised rates together, up to each new delivery; at most one.

    Where straw is short it is spread evenly thinner: a full base with nothing to put on top is soon wet.
    """
    if base_is_told:
        return 1.0
    full = sum(
        typical(d) * typical(a) * typical(w)
        for d, a, w in zip(each_pen_base_depth_m, each_pen_area_m2, each_pen_base_density_kg_m3, strict=True)
    )
    a_day = sum(typical(kg) for kg in each_pen_practised_kg_day)
    had = {s.key: _to_be_had(s, kg) for s, kg in zip(supplies, each_material_usable_on_hand_kg, strict=True)}
    share = min(1.0, sum(had[key] for key in set(base_keys)) / max(full, 1e-9))
    for day in {s.first_day for s in supplies if 0 < s.first_day < timeline.days} | {timeline.days}:
        till_then = sum(had[s.key] for s in supplies if s.first_day < day)
        share = min(share, till_then / max(full + a_day * day, 1e-9))
    return share


def _to_be_had(supply: Supply, on_hand: Value) -> float:
    """Bedding on hand and for sale; without bound where no limit was told. [kg]"""
    if not supply.bedding:
        return 0.0
    buy = float("inf") if supply.most_to_buy_kg is None else supply.most_to_buy_kg
    return typical(on_hand) + (buy if supply.for_sale else 0.0)


@derive("pen", "m", "depth of the base", "as laid, before treading")
def laid_base_depth_m(
    base_depth_m: Value,
    base_share: Value,
    told_base_kg: Value | None,
    bedded_area_m2: Value,
    base_density_kg_m3: Value,
) -> Value:
    """The weight told for the base over the floor; else its depth, thinner where bedding is short. [m]"""
    if told_base_kg is not None:
        return told_base_kg / bedded_area_m2 / base_density_kg_m3
    return base_depth_m * base_share


@derive("pen", "kg", "bedding laid as the base", "before the animals come in")
def base_kg(laid_base_depth_m: Value, area_m2: Value, base_density_kg_m3: Value) -> Value:
    """Depth times area times density as laid. [kg]"""
    return laid_base_depth_m * area_m2 * base_density_kg_m3


@derive("farm", "kg", "bedding laid as the base, as told")
def told_base_kg() -> Value | None:
    """None told."""
    return None


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
