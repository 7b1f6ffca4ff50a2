"""Twin experiments: a hidden winter is simulated, noisy readings of it are fed, and the forecast is held against it."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from advisor.farm.facts import engine_for
from advisor.farm.model import Farm
from advisor.knowledge import Knowledge
from advisor.reasoning.engine import Engine
from advisor.record.entries import Entry, Record, read_entry
from advisor.record.forecast import Forecast, forecast
from advisor.record.ledger import keep_ledger, recorded_heads, with_rows
from advisor.record.ready import ready_farm
from advisor.season.simulate import PackRun, simulate

__all__ = ["MEASURED", "Hidden", "Twin", "hidden_winter", "run_twin"]

MEASURED = ("depth", "top_moisture", "whole_moisture", "mass", "nitrogen", "c_to_n")


@dataclass(frozen=True)
class Hidden:
    """One winter as it 'really' was: a single draw that the forecast never sees."""

    engine: Engine
    farm: Farm
    runs: Mapping[str, PackRun]
    record: Record

    def at(self, pen: str, day: int) -> dict[str, float]:
        """The truth about a pen's pack on a day."""
        run = self.runs[pen]
        rows = (run.depth_m, run.top_moisture, run.whole_moisture, run.mass_kg, run.nitrogen_kg, run.c_to_n)
        return {name: float(row[day, 1]) for name, row in zip(MEASURED, rows, strict=True)}


@dataclass(frozen=True)
class Twin:
    """Where the truth lay in the forecast's ranges, and how wide these were."""

    inside: Mapping[str, bool]
    width: Mapping[str, float]
    width_before: Mapping[str, float]
    effective: float
    disagrees: bool
    odd: int


def hidden_winter(
    farm: Farm,
    record: Record,
    knowledge: Knowledge,
    today: dt.date,
    seed: int,
    future: Mapping[str, np.ndarray] | None = None,
) -> Hidden:
    """The winter of one draw with the bedding of a record, and from then on with `future` if given."""
    ready = ready_farm(farm, record, knowledge, today)
    engine, ready = engine_for(ready, knowledge, today, 1, 100_000 + seed)
    season = engine.given["timeline"]
    engine.given["timeline"] = replace(season, heads=recorded_heads(season, ready, record, knowledge))
    supplies = engine.value("supplies")
    none = {pen.id: np.zeros((len(supplies), season.days)) for pen in ready.pens}
    ledger = keep_ledger(engine, ready, record, knowledge, today, none)
    runs = {}
    for pen in ready.pens:
        bare = engine.value("unbedded", ("pen", pen.id))
        if future is not None:
            bare = replace(bare, bedding_kg_day=future[pen.id])
        runs[pen.id] = simulate(with_rows(bare, ledger, pen.id), 2)
    return Hidden(engine, ready, runs, record)


def run_twin(
    farm: Farm,
    beds: list[Entry],
    knowledge: Knowledge,
    today: dt.date,
    seed: int,
    draws: int = 1000,
    every_days: int = 14,
    moisture: bool = True,
    plain: Forecast | None = None,
) -> tuple[Twin, Forecast]:
    """Feed readings of a hidden winter up to `today` and hold its end against the forecast of the end.

    `seed` chooses the winter and the errors; with the forecast without
    readings at hand (`plain`), its draws and seed are taken.
    """
    luck = np.random.default_rng(seed)
    hidden = hidden_winter(farm, Record.of(beds), knowledge, today, seed)
    start = hidden.engine.value("timeline").start
    entries = list(beds)
    for day in range(every_days, (today - start).days + 1, every_days):
        for pen in hidden.farm.pens:
            entries += _readings(hidden, pen.id, day, start, luck, moisture)
    plain = plain or forecast(farm, Record.of(beds), knowledge, today, draws, seed)
    draws, own = plain.plan.engine.draws.count, plain.plan.engine.draws.seed
    found = forecast(farm, Record.of(entries), knowledge, today, draws, own, plan=plain.plan)
    truth = hidden_winter(farm, Record.of(beds), knowledge, today, seed, found.rest.by_day)
    inside: dict[str, bool] = {}
    width: dict[str, float] = {}
    before: dict[str, float] = {}
    for pen in hidden.farm.pens:
        end = found.season.days
        real = truth.at(pen.id, end)
        for run, widths in ((found.learned.packs[pen.id], width), (plain.learned.packs[pen.id], before)):
            rows = (
                run.depth_m,
                run.top_moisture,
                run.whole_moisture,
                run.mass_kg,
                run.nitrogen_kg,
                run.c_to_n,
            )
            for name, row in zip(MEASURED, rows, strict=True):
                low, high = np.percentile(row[end, 1:], [10, 90])
                widths[f"{pen.id}:{name}"] = float(high - low)
                if widths is width:
                    inside[f"{pen.id}:{name}"] = bool(low <= real[name] <= high)
    learning = found.learning
    return Twin(inside, width, before, learning.effective, learning.disagrees, len(learning.odd)), found


def _readings(
    hidden: Hidden, pen: str, day: int, start: dt.date, luck: np.random.Generator, moisture: bool
) -> list[Entry]:
    """Noisy readings of one day, with the errors that the knowledge base states."""
    real = hidden.at(pen, day)
    date = start + dt.timedelta(days=day)

    def error(name: str) -> float:
        return float(np.atleast_1d(hidden.engine.value(name, ("pen", pen)))[0])

    depth = max(0.01, real["depth"] + luck.normal(0.0, error("depth_reading_error")))
    out = [read_entry({"kind": "depth", "date": date, "pen": pen, "depth": depth})]
    top = real["top_moisture"]
    if moisture:
        seen = float(np.clip(top + luck.normal(0.0, error("moisture_reading_error")), 0.0, 0.95))
        out.append(read_entry({"kind": "moisture", "date": date, "pen": pen, "moisture": seen}))
    scale = error("squeeze_reading_error")
    crumbles = 1.0 / (1.0 + math.exp(min(50.0, (top - error("squeeze_crumbles_below")) / scale)))
    drips = 1.0 / (1.0 + math.exp(min(50.0, (error("squeeze_drips_above") - top) / scale)))
    chance = np.array([crumbles, max(0.0, (1 - crumbles) * (1 - drips)), drips])
    result = luck.choice(["crumbles", "holds", "drips"], p=chance / chance.sum())
    out.append(read_entry({"kind": "squeeze", "date": date, "pen": pen, "result": str(result)}))
    return out
