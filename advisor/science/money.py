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


@derive("farm", "1", "cost of the grain mixed into the bedding", "at the price told")
def grain_cost(grain_kg: Value | None, told_price_grain: float | None) -> Value | None:
    """Grain times its price a tonne; nothing where no grain is mixed in or its price is not told."""
    return None if grain_kg is None or told_price_grain is None else grain_kg / 1000.0 * told_price_grain


@derive("farm", "1", "cost of turning or digging out by tractor", "work of one driver, at the price told")
def tractor_cost(tractor_hours: Value, price_hour: Value) -> Value:
    """Hours times the price of an hour; the machine itself is not counted."""
    return tractor_hours * price_hour


@derive("farm", "1", "cost of turning or digging out by fork", "work, at the price told")
def fork_cost(fork_hours: Value, price_hour: Value) -> Value:
    """Hours times the price of an hour."""
    return fork_hours * price_hour


@derive("farm", "1", "cost of the season's bed", "bedding, grain in it and work, at the prices told")
def season_cost(
    bedding_value: Value | None,
    grain_cost: Value | None,
    bedding_hours_week: Value,
    tractor_hours: Value,
    price_hour: Value,
    timeline: Timeline,
) -> Value | None:
    """Value of the bedding and its grain plus hours of spreading and digging out times the price of an hour."""
    if bedding_value is None:
        return None
    grain = 0.0 if grain_cost is None else grain_cost
    return bedding_value + grain + (bedding_hours_week * timeline.days / 7.0 + tractor_hours) * price_hour


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
