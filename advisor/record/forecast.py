"""The forecast of a season that is under way: recorded days as they were, draws weighed by what was read.

Pure: the same farm, record, day and seed give the same forecast, in whatever order things were noted.
"""

from __future__ import annotations

import datetime as dt
import itertools
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from advisor.farm.facts import complete, engine_for
from advisor.farm.model import Farm
from advisor.knowledge import Knowledge
from advisor.plan.make import Plan, make_plan, plan_of
from advisor.reasoning.draws import Numbers, typical
from advisor.reasoning.engine import FARM, Engine
from advisor.record.entries import Record
from advisor.record.learning import Learning, learn
from advisor.record.ledger import Ledger, keep_ledger, recorded_heads, with_rows
from advisor.record.likelihood import Reading, readings
from advisor.record.ready import latest_signs, ready_farm
from advisor.record.rest import Rest, settle_rest
from advisor.record.runs import again, run_recorded, with_frost
from advisor.season.decide import Decision
from advisor.season.simulate import PackRun, simulate
from advisor.season.timeline import Period, Timeline

__all__ = ["Forecast", "Learning", "forecast"]

_WEEK, _LONGEST = 7, 28


@dataclass(frozen=True)
class Forecast:
    """The season so far and to come. `learned` is the plan as it now stands, `plan` that of the start."""

    plan: Plan
    learned: Plan
    record: Record
    today: dt.date
    ledger: Ledger
    learning: Learning
    rest: Rest

    @property
    def day(self) -> int:
        """The first day of the season that is still to come."""
        return self.ledger.until

    @property
    def season(self) -> Timeline:
        """The season with the animals as noted."""
        return self.learned.timeline

    @property
    def over(self) -> bool:
        """Whether the animals are out."""
        return self.day >= self.season.days


def forecast(
    farm: Farm,
    record: Record,
    knowledge: Knowledge,
    today: dt.date,
    draws: int = 1000,
    seed: int = 1,
    *,
    follow: str = "advice",
    plan: Plan | None = None,
) -> Forecast:
    """Work out the season from its record. `follow` 'plan' keeps to the plan of the start, else as now advised.
    `plan`: that of the start, where it is at hand; made with the same draws and seed.

    Raises RecordError where an entry does not fit the farm.
    """
    record = record.until(today)
    ready = ready_farm(farm, record, knowledge, today)
    told = complete(farm, knowledge).model_copy(update={"start": ready.start})
    plan = plan or make_plan(told, knowledge, today, draws, seed)
    signs = latest_signs(record, knowledge, today)
    ready = ready.model_copy(update={"facts": {**ready.facts, **signs}})
    engine, ready = engine_for(ready, knowledge, today, draws, seed)
    season: Timeline = engine.given["timeline"]
    heads = recorded_heads(season, ready, record, knowledge)
    engine.given["timeline"] = replace(season, heads=heads)
    planned = {pen.id: _planned(plan, engine, pen.id) for pen in ready.pens}
    learning = learn(engine, _reader(ready, record, knowledge, today, planned), seed)
    ledger = keep_ledger(engine, ready, record, knowledge, today, planned)
    engine.given["timeline"] = replace(
        season, heads=heads, periods=_periods(heads, season.days, ledger.until)
    )
    engine = again(engine, learning.draws or engine.draws)
    if learning.draws is not None:
        ledger = keep_ledger(engine, ready, record, knowledge, today, planned)
    seasons = {pen.id: with_frost(engine, ledger, pen.id) for pen in ready.pens}
    so_far = {pen: run_recorded(season, ledger, pen, ledger.until) for pen, season in seasons.items()}
    signs = {**signs, "notes_disagree": learning.disagrees}
    rest = settle_rest(engine, ready, plan, ledger, so_far, signs, planned, follow)
    packs = {
        pen: simulate(
            with_rows(replace(season, bedding_kg_day=rest.by_day[pen]), ledger, pen), season.base.shape[1]
        )
        for pen, season in seasons.items()
    }
    _settle(engine, ready, ledger, rest, packs)
    return Forecast(plan, plan_of(engine, ready, knowledge, today), record, today, ledger, learning, rest)


def _reader(
    farm: Farm,
    record: Record,
    knowledge: Knowledge,
    today: dt.date,
    planned: Mapping[str, NDArray[np.float64]],
) -> Callable[[Engine], tuple[Reading, ...]]:
    """Sets the readings of a record beside what an engine's draws expect."""
    analysed = any(entry.kind == "lab" for entry in record)

    def read(engine: Engine) -> tuple[Reading, ...]:
        season: Timeline = engine.value("timeline")
        ledger = keep_ledger(engine, farm, record, knowledge, today, planned)
        last = max((entry.date for entry in record), default=season.start)
        days = min(season.days, max(0, (last - season.start).days + 1))
        runs = {
            pen.id: run_recorded(
                with_frost(engine, ledger, pen.id), ledger, pen.id, days, keep_states=analysed
            )
            for pen in farm.pens
        }
        return tuple(readings(record, engine, farm, knowledge, runs))

    return read


def _planned(plan: Plan, engine: Engine, pen: str) -> NDArray[np.float64]:
    """Kilograms of each supply on each day by the plan of the start, for the animals that were there."""
    season: Timeline = engine.value("timeline")
    supplies = engine.value("supplies")
    out = np.zeros((len(supplies), season.days))
    rates = plan.decision.rates.get(pen, {})
    for row, supply in enumerate(supplies):
        for period, rate in zip(plan.timeline.periods, rates.get(supply.key, ()), strict=False):
            out[row, period.first : period.first + period.days] = rate
    there, meant = np.zeros(season.days), np.zeros(season.days)
    for key, group_pen in engine.topology.group_pen.items():
        if group_pen != pen:
            continue
        least = typical(engine.value("least_bedding_head_day", ("group", key)))
        there += season.heads[key] * least
        if key in plan.timeline.heads:
            meant += plan.timeline.heads[key] * least
    return out * np.divide(there, meant, out=np.zeros_like(there), where=meant > 0)


def _periods(heads: Mapping[str, NDArray[np.float64]], days: int, until: int) -> tuple[Period, ...]:
    """The days gone in four-week pieces, this week, and the rest split where the animals change."""
    breaks = {0, days, until, min(days, until + _WEEK)}
    for count in heads.values():
        breaks |= {int(day) + 1 for day in np.flatnonzero(np.diff(count)) if day + 1 > until}
    out: list[Period] = []
    for first, last in itertools.pairwise(sorted(breaks)):
        while first < last:
            length = min(_LONGEST, last - first)
            out.append(Period(first, length))
            first += length
    return tuple(out)


def _settle(engine: Engine, farm: Farm, ledger: Ledger, rest: Rest, packs: Mapping[str, PackRun]) -> None:
    """Give the engine what is known now, so that every result of a plan follows from it."""
    season: Timeline = engine.value("timeline")
    supplies = engine.value("supplies")
    rates: dict[str, dict[str, list[float]]] = {}
    base: dict[str, dict[str, float]] = {}
    for pen, run in packs.items():
        engine.put("pack", ("pen", pen), run)
        rates[pen] = {}
        for row, supply in enumerate(supplies):
            by_day = rest.by_day[pen][row] + ledger.used_by_day(pen, supply.key, season.days)
            rates[pen][supply.key] = [
                float(by_day[period.first : period.first + period.days].mean()) for period in season.periods
            ]
        key = engine.value("base_key", ("pen", pen))
        base[pen] = {key: typical(engine.value("base_kg", ("pen", pen)))}
    decision = Decision(rates, base, rest.decision.buy_kg, dict(rest.decision.short))
    decision.mend_kg = rest.decision.mend_kg
    engine.put("bedding_decision", FARM, decision)
    for supply in supplies:
        had: Numbers | float = ledger.left_kg[supply.key] + ledger.used_kg(supply.key)
        had = had + sum(part.get(supply.key, 0.0) for part in base.values())
        engine.put("usable_on_hand_kg", ("material", supply.key), had)
