"""What to do this week, from a forecast: amounts against the plan, dates to act by, rules that now hold."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from advisor.plan.make import ration
from advisor.reasoning.draws import typical
from advisor.reasoning.engine import Missing, Node
from advisor.reasoning.rules import Fired
from advisor.record.entries import Bedding
from advisor.record.forecast import Forecast
from advisor.science.height import day_reached

__all__ = ["Advice", "DateRange", "PenAdvice", "advise"]

Verdict = Literal["same", "more", "less", "held", "short"]
_SAME = 0.05  # nearer than this share, keepers need not change anything
_LIKELY = 0.1  # a date is given where at least this share of the draws reaches it


@dataclass(frozen=True)
class DateRange:
    """A day that will come, with its likely range; None at an end: not within the season."""

    likely: dt.date | None
    early: dt.date | None
    late: dt.date | None


@dataclass(frozen=True)
class PenAdvice:
    """This week's bedding for one pen, kilograms a day."""

    pen: str
    first: dt.date
    last: dt.date
    planned: float
    wanted: float
    advised: tuple[tuple[str, float], ...]  # supply key, kg a day
    verdict: Verdict

    @property
    def total(self) -> float:
        """All materials."""
        return sum(kg for _, kg in self.advised)


@dataclass(frozen=True)
class Advice:
    """This week and the dates ahead."""

    pens: tuple[PenAdvice, ...]
    lacking: tuple[str, ...]  # what stands against less bedding
    supply_ends: DateRange | None
    buy_kg: dict[str, float]
    ration: tuple[tuple[str, float, float], ...]
    grain_spoils: dt.date | None
    grain_too_late: bool
    gates: dict[str, DateRange]
    drinkers: dict[str, DateRange]
    new_rules: tuple[Fired, ...]


def advise(forecast: Forecast) -> Advice:
    """The advice of a forecast."""
    rest, season, learned = forecast.rest, forecast.season, forecast.learned
    until = forecast.day
    pens: list[PenAdvice] = []
    if not forecast.over:
        period = next(p for p in season.periods if p.first >= until)
        week = slice(until, until + period.days)
        for pen, by_day in rest.by_day.items():
            planned = float(rest.planned[pen][:, week].sum(axis=0).mean())
            supplies = learned.engine.value("supplies")
            rows = tuple(
                (supply.key, float(by_day[row, week].mean()))
                for row, supply in enumerate(supplies)
                if by_day[row, week].sum() > 0
            )
            total = sum(kg for _, kg in rows)
            verdict = _verdict(forecast, pen, planned, total)
            last = season.date(until + period.days - 1)
            pens.append(PenAdvice(pen, season.date(until), last, planned, rest.wanted[pen], rows, verdict))
    before = {fired.id for fired in forecast.plan.recommendations}
    spoils, late = _grain(forecast)
    return Advice(
        pens=tuple(pens),
        lacking=rest.lacking,
        supply_ends=_supply_end(forecast),
        buy_kg={key: kg for key, kg in rest.decision.buy_kg.items() if kg > 0},
        ration=tuple(ration(learned)) if not forecast.over else (),
        grain_spoils=spoils,
        grain_too_late=late,
        gates=_levels(forecast, "gate"),
        drinkers=_levels(forecast, "drinker"),
        new_rules=tuple(fired for fired in learned.recommendations if fired.id not in before),
    )


def _verdict(forecast: Forecast, pen: str, planned: float, total: float) -> Verdict:
    if forecast.rest.decision.missed in ("dry", "clean"):
        return "short"
    if pen in forecast.rest.held:
        return "held"
    if planned > 0 and abs(total - planned) <= _SAME * planned:
        return "same"
    return "more" if total > planned else "less"


def _supply_end(forecast: Forecast) -> DateRange | None:
    """When what is on hand runs out; None where it lasts or none was told."""
    on_hand, lasts = (forecast.learned.results[name] for name in ("supply_on_hand_kg", "supply_lasts_days"))
    if on_hand is None or lasts is None or typical(on_hand.value) <= 0:
        return None
    days = forecast.season.days
    low, middle, high = lasts.spread()
    if middle >= days - 0.5 and low >= days - 0.5:
        return None

    def date(day: float) -> dt.date | None:
        return None if day >= days - 0.5 else max(forecast.today, forecast.season.date(int(day)))

    return DateRange(date(middle), date(low), date(high))


def _levels(forecast: Forecast, what: str) -> dict[str, DateRange]:
    """When the bed comes too near the gate's top, or the drinker's rim."""
    learned = forecast.learned
    out: dict[str, DateRange] = {}
    for pen in learned.farm.pens:
        subject = ("pen", pen.id)
        found: Node | None = None
        if what == "drinker":
            found = learned.pens[pen.id]["drinker_reached_day"]
            if found is None:
                continue
            days = np.atleast_1d(found.value)
        else:
            try:
                gate = learned.engine.value("gate_height_m", ("pen", pen.id))
                least = learned.engine.value("gate_height_least", ("pen", pen.id))
            except Missing:
                continue
            level = np.maximum(np.asarray(gate) - np.asarray(least), 0.0)
            days = np.atleast_1d(day_reached(learned.packs[pen.id].depth_m, level))
        drawn = days[1:] if days.size > 1 else days
        reached = np.where(np.isnan(drawn), math.inf, drawn)
        if np.isfinite(reached).mean() < _LIKELY:
            continue
        early, likely, late = np.percentile(reached, [10, 50, 90], method="nearest")
        out[subject[1]] = DateRange(*(_date(forecast, day) for day in (likely, early, late)))
    return out


def _date(forecast: Forecast, day: float) -> dt.date | None:
    return forecast.season.date(int(day)) if math.isfinite(day) else None


def _grain(forecast: Forecast) -> tuple[dt.date | None, bool]:
    """When grain in the bed stops being worth digging for, and whether that is before the pigs come."""
    farm, knowledge = forecast.learned.farm, forecast.learned.knowledge
    laid = [
        entry.date
        for entry in forecast.record
        if isinstance(entry, Bedding) and knowledge.materials[entry.material].kind == "grain"
    ]
    told = farm.turning is not None and farm.turning.by == "pigs" and bool(farm.turning.grain)
    if not laid and not told:
        return None, False
    first = min(laid, default=forecast.season.start)
    keeps = round(typical(forecast.learned.engine.value("grain_keeps_days")))
    spoils = first + dt.timedelta(days=keeps)
    pigs_in = (farm.turning.start if farm.turning else None) or forecast.season.end
    return spoils, spoils < pigs_in
