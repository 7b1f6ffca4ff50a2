"""What is on hand, how far it goes, what it costs and how long the work takes."""

from __future__ import annotations

import numpy as np

from advisor.reasoning.derivations import derive
from advisor.reasoning.draws import Numbers, typical
from advisor.season.bed import Supply
from advisor.season.decide import Decision
from advisor.season.timeline import Timeline

__all__ = ["day_used_up"]

Value = Numbers | float


@derive("material", "kg", "amount on hand", "as delivered")
def amount_kg(packs: Value, bale_mass_kg: Value, volume_m3: Value, stored_density_kg_m3: Value) -> Value:
    """Bales, bags or loads times the weight of one, plus loose volume times loose density. [kg]"""
    return packs * bale_mass_kg + volume_m3 * stored_density_kg_m3


@derive("material", "", "bales, bags or loads on hand")
def packs() -> float:
    """None told."""
    return 0.0


@derive("material", "kg", "weight of one bale, bag or load")
def bale_mass_kg() -> float:
    """None told."""
    return 0.0


@derive("material", "m3", "loose volume on hand")
def volume_m3() -> float:
    """None told."""
    return 0.0


@derive("material", "kg/m3", "density in the heap or on the trailer", "loose")
def stored_density_kg_m3(material_density_loose: Value | None, laid_density_kg_m3: Value) -> Value:
    """Loose density where known, else as laid. [kg/m3]"""
    return laid_density_kg_m3 if material_density_loose is None else material_density_loose


@derive("material", "kg", "amount on hand that can be used", "after what spoils outdoors")
def usable_on_hand_kg(amount_kg: Value, stored_outdoors: bool, outdoor_storage_loss: Value) -> Value:
    """The amount, less the share lost or wetted where it is stored outdoors. [kg]"""
    return amount_kg * (1.0 - outdoor_storage_loss) if stored_outdoors else amount_kg


@derive("farm", "kg", "bedding for the whole season", "as delivered; base layer included")
def bedding_total_kg(bedding_weekly_kg: Value, each_pen_base_kg: tuple[Value, ...]) -> Value:
    """Everything added through the season plus the base. [kg]"""
    return bedding_weekly_kg + sum(each_pen_base_kg, 0.0)


@derive("farm", "kg", "bedding added through the season", "as delivered; base layer not included")
def bedding_weekly_kg(bedding_decision: Decision, timeline: Timeline) -> Value:
    """Daily rate times days, over all periods, pens and materials. [kg]"""
    return sum(
        rate * period.days
        for materials in bedding_decision.rates.values()
        for rates in materials.values()
        for rate, period in zip(rates, timeline.periods, strict=False)
    )


@derive("farm", "kg/day", "bedding a day", "mean of the season, all pens; base layer not included")
def bedding_kg_day(bedding_weekly_kg: Value, timeline: Timeline) -> Value:
    """Season's additions divided by its days. [kg/day]"""
    return bedding_weekly_kg / timeline.days


@derive("farm", "kg", "bedding laid as base", "all pens, before the animals come in")
def base_mass_kg(each_pen_base_kg: tuple[Value, ...]) -> Value:
    """Sum over pens. [kg]"""
    return sum(each_pen_base_kg, 0.0)


@derive("farm", "kg", "usable bedding on hand", "all bedding materials")
def supply_on_hand_kg(
    supplies: tuple[Supply, ...], each_material_usable_on_hand_kg: tuple[Value, ...]
) -> Value:
    """Sum of the usable amounts of what may be laid as bedding. [kg]"""
    return sum(
        (amount for s, amount in zip(supplies, each_material_usable_on_hand_kg, strict=True) if s.bedding),
        0.0,
    )


@derive("farm", "fraction", "bedding on hand as a share of the need", "base layer included")
def supply_ratio(supply_on_hand_kg: Value, bedding_total_kg: Value) -> Value:
    """On hand divided by need."""
    return supply_on_hand_kg / np.maximum(bedding_total_kg, 1e-9)


@derive("farm", "kg", "bedding to buy", "with a margin")
def bedding_to_buy_kg(bedding_decision: Decision) -> Value:
    """What the plan uses beyond what is on hand, plus the purchase margin. [kg]"""
    return sum(bedding_decision.buy_kg.values())


@derive("farm", "h/week", "work of bedding", "spreading by hand or with a small tractor")
def bedding_hours_week(bedding_kg_day: Value, bedding_work_hours_per_t: Value) -> Value:
    """Tonnes a week times hours a tonne. [h/week]"""
    return bedding_kg_day * 7.0 / 1000.0 * bedding_work_hours_per_t


@derive(
    "farm", "day", "day of the season on which the bedding on hand runs out", "counted from the first day"
)
def supply_lasts_days(
    timeline: Timeline,
    supplies: tuple[Supply, ...],
    bedding_decision: Decision,
    each_material_usable_on_hand_kg: tuple[Value, ...],
) -> Value:
    """The first day on which any material in use has been used up, base layer included. [day]"""
    last: Value = float(timeline.days)
    for supply, on_hand in zip(supplies, each_material_usable_on_hand_kg, strict=True):
        if supply.bedding and typical(on_hand) > 0.0:
            last = np.minimum(last, day_used_up(supply.key, on_hand, bedding_decision, timeline))
    return last


def day_used_up(key: str, on_hand_kg: Value, decision: Decision, season: Timeline) -> Value:
    """The first day that what is on hand of a material no longer covers; the season's length where it lasts.

    on_hand_kg [kg] is the usable amount; nothing on hand gives the day of first use. [day]
    """
    base = sum(pen.get(key, 0.0) for pen in decision.base_kg.values())
    daily = np.zeros(season.days)
    for materials in decision.rates.values():
        for rate, period in zip(materials.get(key, ()), season.periods, strict=False):
            daily[period.first : period.first + period.days] += rate
    used = np.concatenate(([base], base + np.cumsum(daily)))
    amounts = np.atleast_1d(np.asarray(on_hand_kg, dtype=float))
    gone = np.searchsorted(used, amounts * (1.0 + 1e-9), side="right") - 1.0
    lasts = np.where(amounts >= used[-1] * (1.0 - 1e-6), float(season.days), np.maximum(gone, 0.0))
    return lasts if lasts.size > 1 else float(lasts[0])


@derive("farm", "1", "cost of the bedding to buy", "in the keeper's money; only where every price is known")
def purchase_cost(bedding_decision: Decision, supplies: tuple[Supply, ...]) -> Value | None:
    """Amount to buy times its price, summed."""
    total = 0.0
    for supply in supplies:
        amount = bedding_decision.buy_kg.get(supply.key, 0.0)
        if amount and supply.price_kg is None:
            return None
        total += amount * (supply.price_kg or 0.0)
    return total
