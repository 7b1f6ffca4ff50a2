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
    advance,
    c_to_n,
    dry_matter,
    share_of,
)

__all__ = ["HeadFlow", "PackRun", "PenSeason", "simulate"]

_Day = tuple[list[float], list[float], Value, Value]


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
    base_trodden_per_day: Value
    ammonia_warmth: Sequence[Value] = ()  # (days,) as the evaporation; none: the shares as they are
    count_factor: tuple[Value, ...] = ()
    first: State | None = None  # a pack that is already there, instead of the base


_STRETCH_NUMBERS = 200_000  # held by a record between two writes


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

    Days on which nothing changes share their inputs, so the cost is one `advance` a day.
    """
    days = season.heads.shape[1]
    shape = (days + 1, draws)
    series = {
        name: np.zeros(shape)
        for name in ("top", "whole", "ratio", "mass", "depth", "nitrogen", "ammonia", "drained")
    }
    first = season.first or State(season.base, np.zeros((COMPONENTS, draws)))
    state = State(first.top.copy(), first.lower.copy())
    totals = {name: np.zeros(draws) for name in ("evaporated", "carbon", "lost", "potassium", "excreted")}
    carbon_in = state.whole[CARBON_QUICK] + state.whole[CARBON_SLOW]
    states = [first] if keep_states else []
    brought = _Brought(season, draws)
    record = _Record(series, season, draws)
    record.add(0, state)
    yesterday, inputs = None, None
    for day in range(days):
        today = (
            season.heads[:, day].tolist(),
            season.bedding_kg_day[:, day].tolist(),
            season.evaporation_kg_m2[day],
            brought.warmth[day],
        )
        if inputs is None or not _alike(today, yesterday):
            yesterday, inputs = today, brought.inputs(day)
        flows = advance(state, inputs, season.parameters)
        record.add(day + 1, state)
        series["ammonia"][day + 1] = flows.ammonia_nitrogen
        series["drained"][day + 1] = flows.drained
        totals["evaporated"] += flows.evaporated
        totals["carbon"] += flows.carbon
        totals["lost"] += flows.ammonia_nitrogen
        totals["lost"] += flows.other_nitrogen
        totals["potassium"] += flows.drained_potassium
        totals["excreted"] += inputs.excreted_nitrogen
        carbon_in += inputs.added[CARBON_QUICK]
        carbon_in += inputs.added[CARBON_SLOW]
        if keep_states:
            states.append(State(state.top.copy(), state.lower.copy()))
    record.write()
    return PackRun(
        series["top"], series["whole"], series["ratio"], series["mass"], series["depth"], series["nitrogen"],
        series["ammonia"], series["drained"], totals["evaporated"], totals["carbon"], totals["lost"],
        totals["potassium"], totals["excreted"], carbon_in, state, record.volume, states,
    )  # fmt: skip


def _alike(today: _Day, yesterday: _Day | None) -> bool:
    """Whether nothing changed since yesterday. Weather that is an array is shared between like days."""
    if yesterday is None or today[:2] != yesterday[:2]:
        return False
    return all(
        one is other
        or (not isinstance(one, np.ndarray) and not isinstance(other, np.ndarray) and one == other)
        for one, other in zip(today[2:], yesterday[2:], strict=True)
    )


class _Brought:
    """What a head of each group and a kilogram of each material bring, laid side by side for one product a day."""

    def __init__(self, season: PenSeason, draws: int) -> None:
        self.season, self.draws = season, draws
        factors = season.count_factor or (1.0,) * len(season.head_flows)
        heads = list(zip(season.head_flows, factors, strict=True))
        layers = [flow.components * factor for flow, factor in heads] + list(season.bedding_per_kg)
        self.layers = np.array(layers).reshape(len(layers), COMPONENTS * draws)
        self.nitrogen = self._side_by_side([flow.nitrogen * factor for flow, factor in heads])
        self.tan = self._side_by_side([flow.tan * factor for flow, factor in heads])
        self.warmth: Sequence[Value] = season.ammonia_warmth or (1.0,) * season.heads.shape[1]

    def inputs(self, day: int) -> Inputs:
        """The day's additions: heads times what each brings, kilograms times what each holds."""
        season = self.season
        heads, kg = season.heads[:, day], season.bedding_kg_day[:, day]
        area = season.parameters.area_m2
        return Inputs(
            added=_weighted(np.concatenate((heads, kg)), self.layers).reshape(COMPONENTS, self.draws),
            excreted_nitrogen=_weighted(heads, self.nitrogen),
            excreted_tan=_weighted(heads, self.tan),
            locking_bedding_kg=float(kg @ np.array(season.locks_nitrogen, dtype=float)),
            rain_kg=season.rain_kg_m2 * area,
            evaporation_kg=season.evaporation_kg_m2[day] * area,
            ammonia_warmth=self.warmth[day],
        )

    def _side_by_side(self, values: list[Value]) -> Numbers:
        rows = np.empty((len(values), self.draws))
        for row, value in zip(rows, values, strict=True):
            row[:] = value
        return rows


def _weighted(weights: NDArray[np.float64], rows: Numbers) -> Numbers:
    """The rows, each times its weight, added up. (`@` would wake a thread on every core for wide rows.)"""
    total: Numbers = np.einsum("k,kn->n", weights, rows)
    return total


class _Record:
    """Writes the rows of a run. Days are gathered and worked out a stretch at a time, which costs a good deal
    less than day by day; a stretch is short enough to stay near the processor.

    Volume is solids and water plus the air between them; a base as laid is airy and is trodden to the
    pack's own air share: `loose` is the share of that not yet trodden.
    """

    def __init__(self, series: dict[str, Numbers], season: PenSeason, draws: int) -> None:
        self.series, self.season = series, season
        stretch = max(1, min(len(series["top"]), _STRETCH_NUMBERS // (2 * COMPONENTS * draws)))
        self.held = np.empty((2, COMPONENTS, stretch, draws))
        self.trodden = np.asarray(season.base_trodden_per_day, dtype=float)
        self.first = self.count = 0
        self.volume: Numbers = np.zeros(draws)

    def add(self, row: int, state: State) -> None:
        """Hold a day's pack; row after row."""
        if self.count == self.held.shape[2]:
            self.write()
        if self.count == 0:
            self.first = row
        self.held[0, :, self.count], self.held[1, :, self.count] = state.top, state.lower
        self.count += 1

    def write(self) -> None:
        """Write the rows that are held, and keep the volume [m3] of the last."""
        rows = slice(self.first, self.first + self.count)
        top, lower = self.held[:, :, : self.count]
        season, series = self.season, self.series
        water = top[WATER] + lower[WATER]
        top_solids = dry_matter(top)
        solids = top_solids + dry_matter(lower)
        days = np.arange(rows.start, rows.stop, dtype=float)[:, np.newaxis]
        loose = np.exp(-self.trodden * days)
        air = season.air_share + (season.base_air_share - season.air_share) * loose
        volume = (solids / season.solids_density_kg_m3 + water / season.water_density_kg_m3) / (1.0 - air)
        series["top"][rows] = share_of(top[WATER], top[WATER] + top_solids)
        series["mass"][rows] = solids + water
        series["whole"][rows] = share_of(water, series["mass"][rows])
        series["ratio"][rows] = c_to_n(top, lower)
        series["depth"][rows] = volume / season.parameters.area_m2
        series["nitrogen"][rows] = top[NITROGEN] + lower[NITROGEN]
        self.volume = volume[-1]
        self.count = 0
