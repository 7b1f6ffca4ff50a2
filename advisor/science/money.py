"""Money, in the keeper's own: what the winter's bedding costs, and what the compost saves in fertiliser."""

from __future__ import annotations

from advisor.reasoning.derivations import derive
from advisor.reasoning.draws import Numbers
from advisor.season.bed import Supply
from advisor.season.decide import Decision
from advisor.season.timeline import Timeline

__all__: list[str] = []

Value = Numbers | float


@derive("farm", "1", "value of all bedding used", "on hand and bought alike, at the prices told")
def bedding_value(
    bedding_decision: Decision, supplies: tuple[Supply, ...], timeline: Timeline
) -> Value | None:
    """Each material's use, base included, times its price; nothing where a price in use is not told."""
    total = 0.0
    for supply in supplies:
        used = sum(pen.get(supply.key, 0.0) for pen in bedding_decision.base_kg.values())
        for materials in bedding_decision.rates.values():
            used += sum(
                r * p.days for r, p in zip(materials.get(supply.key, ()), timeline.periods, strict=False)
            )
        if used and supply.price_kg is None:
            return None
        total += used * (supply.price_kg or 0.0)
    return total


@derive("farm", "1", "cost of the season's bed", "bedding and work, at the prices told")
def season_cost(
    bedding_value: Value | None,
    bedding_hours_week: Value,
    tractor_hours: Value,
    price_hour: Value,
    timeline: Timeline,
) -> Value | None:
    """Value of the bedding plus hours of spreading and of digging out times the price of an hour."""
    if bedding_value is None:
        return None
    return bedding_value + (bedding_hours_week * timeline.days / 7.0 + tractor_hours) * price_hour


@derive("farm", "1", "cost of the season's bed a head")
def season_cost_head(season_cost: Value | None, head_count: Value) -> Value | None:
    """Cost over the number of animals."""
    return None if season_cost is None else season_cost / head_count


@derive(
    "farm",
    "1",
    "fertiliser that the compost saves",
    "usable N, and all phosphate and potash, at the prices told",
)
def fertiliser_value(
    available_nitrogen_year1_kg: Value,
    compost_phosphate_kg: Value,
    compost_potash_kg: Value,
    price_nitrogen: Value,
    price_phosphate: Value,
    price_potash: Value,
) -> Value:
    """First-year nitrogen, phosphate and potash times their prices."""
    return (
        available_nitrogen_year1_kg * price_nitrogen
        + compost_phosphate_kg * price_phosphate
        + compost_potash_kg * price_potash
    )
