"""The pack of one pen through the season, from daily amounts, for all draws at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from advisor.reasoning.draws import Numbers
from advisor.season.step import (
    CARBON_QUICK,
    CARBON_SLOW,
    COMPONENTS,
    NITROGEN,
    WATER,
    Inputs,
    Parameters,
    State,
    Value,
    dry_matter,
    moisture,
    step,
)

__all__ = ["HeadFlow", "PackRun", "PenSeason", "simulate"]


@dataclass(frozen=True)
class HeadFlow:
    """What one head of a group brings to the bed each day."""

    components: Numbers  # (COMPONENTS, draws), kg
    nitrogen: Value
    tan: Value


@dataclass(frozen=True)
class PenSeason:
    """Everything that happens in a pen, day by day."""

    heads: NDArray[np.float64]  # (groups, days)
    head_flows: tuple[HeadFlow, ...]
    bedding_kg_day: NDArray[np.float64]  # (materials, days)
    bedding_per_kg: tuple[Numbers, ...]  # each (COMPONENTS, draws)
    locks_nitrogen: tuple[bool, ...]
    base: Numbers  # (COMPONENTS, draws)
    base_depth_m: Value
    evaporation_kg_m2: NDArray[np.float64] | list[Value]  # (days,) each a number or array over draws
    rain_kg_m2: Value
    parameters: Parameters
    solids_density_kg_m3: Value
    water_density_kg_m3: Value
    air_share: Value
    base_air_share: Value
    count_factor: tuple[Value, ...] = ()
    first: State | None = None  # a pack that is already there, instead of the base


@dataclass
class PackRun:
    """What became of the pack: one row a day (first row: before the animals came in), a column a draw."""

    top_moisture: Numbers
    whole_moisture: Numbers
    c_to_n: Numbers
    mass_kg: Numbers
    depth_m: Numbers
    nitrogen_kg: Numbers
    ammonia_kg: Numbers  # per day
    drained_kg: Numbers  # per day
    evaporated_kg: Numbers  # summed to the end
    carbon_lost_kg: Numbers
    nitrogen_lost_kg: Numbers
    potassium_drained_kg: Numbers
    excreted_nitrogen_kg: Numbers
    carbon_in_kg: Numbers
    end: State
    volume_end_m3: Numbers
    states: list[State] = field(default_factory=list, repr=False)


def simulate(season: PenSeason, draws: int, *, keep_states: bool = False) -> PackRun:
    """Run a pen from the first day to the last.

    Days on which nothing changes share their inputs, so the cost is one `step` a day.
    """
    days = season.heads.shape[1]
    shape = (days + 1, draws)
    series = {
        name: np.zeros(shape)
        for name in ("top", "whole", "ratio", "mass", "depth", "nitrogen", "ammonia", "drained")
    }
    state = season.first or State(season.base.copy(), np.zeros((COMPONENTS, draws)))
    totals = {name: np.zeros(draws) for name in ("evaporated", "carbon", "lost", "potassium", "excreted")}
    carbon_in = state.whole[CARBON_QUICK] + state.whole[CARBON_SLOW]
    states = [state] if keep_states else []
    volume = _record(series, 0, state, season)
    cache: dict[tuple[float, ...], Inputs] = {}
    for day in range(days):
        key = (
            *season.heads[:, day],
            *season.bedding_kg_day[:, day],
            float(_where(season.evaporation_kg_m2, day)),
        )
        if key not in cache:
            cache[key] = _inputs(season, day, draws)
        inputs = cache[key]
        state, flows = step(state, inputs, season.parameters)
        volume = _record(series, day + 1, state, season)
        series["ammonia"][day + 1] = flows.ammonia_nitrogen
        series["drained"][day + 1] = flows.drained
        totals["evaporated"] += flows.evaporated
        totals["carbon"] += flows.carbon
        totals["lost"] += flows.ammonia_nitrogen + flows.other_nitrogen
        totals["potassium"] += flows.drained_potassium
        totals["excreted"] += inputs.excreted_nitrogen
        carbon_in = carbon_in + inputs.added[CARBON_QUICK] + inputs.added[CARBON_SLOW]
        if keep_states:
            states.append(state)
    return PackRun(
        series["top"], series["whole"], series["ratio"], series["mass"], series["depth"], series["nitrogen"],
        series["ammonia"], series["drained"], totals["evaporated"], totals["carbon"], totals["lost"],
        totals["potassium"], totals["excreted"], carbon_in, state, volume, states,
    )  # fmt: skip


def _where(values: Sequence[Value] | NDArray[np.float64], day: int) -> float:
    """A key for the day's evaporation: its typical value."""
    value = values[day]
    return float(value[0]) if isinstance(value, np.ndarray) else float(value)


def _inputs(season: PenSeason, day: int, draws: int) -> Inputs:
    """The day's additions: heads times what each brings, kilograms times what each holds."""
    added = np.zeros((COMPONENTS, draws))
    nitrogen: Value = np.zeros(draws)
    tan: Value = np.zeros(draws)
    for number, flow in enumerate(season.head_flows):
        heads = season.heads[number, day]
        if not heads:
            continue
        factor = heads * (season.count_factor[number] if season.count_factor else 1.0)
        added += flow.components * factor
        nitrogen = nitrogen + flow.nitrogen * factor
        tan = tan + flow.tan * factor
    locking = 0.0
    for number, per_kg in enumerate(season.bedding_per_kg):
        kg = season.bedding_kg_day[number, day]
        if kg:
            added += per_kg * kg
            locking += kg if season.locks_nitrogen[number] else 0.0
    area = season.parameters.area_m2
    return Inputs(
        added, nitrogen, tan, locking, season.rain_kg_m2 * area, season.evaporation_kg_m2[day] * area
    )


def _record(series: dict[str, Numbers], row: int, state: State, season: PenSeason) -> Numbers:
    """Write one day's row and return the volume [m3].

    Volume is solids and water plus the air between them; a base as laid is airy and is trodden to the
    pack's own air share at the pace at which the top is passed down.
    """
    whole = state.whole
    solids = dry_matter(whole)
    settled = np.exp(-season.parameters.passed_down_per_day * row)
    air = season.air_share + (season.base_air_share - season.air_share) * settled
    volume: Numbers = (solids / season.solids_density_kg_m3 + whole[WATER] / season.water_density_kg_m3) / (
        1.0 - air
    )
    carbon = whole[CARBON_QUICK] + whole[CARBON_SLOW]
    series["top"][row] = moisture(state.top)
    series["whole"][row] = moisture(whole)
    series["ratio"][row] = np.divide(
        carbon, whole[NITROGEN], out=np.zeros_like(carbon), where=whole[NITROGEN] > 0
    )
    series["mass"][row] = solids + whole[WATER]
    series["depth"][row] = volume / season.parameters.area_m2
    series["nitrogen"][row] = whole[NITROGEN]
    return volume
