"""What to put on the bed from today to turnout: the bedding decision re-solved from the bed as it is now.

Less than the plan of the start is advised only where the animals are clean and a squeezed handful crumbles,
both seen within a week, no births are due, and the notes agree with each other; else the plan goes on.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from advisor.farm.model import Farm
from advisor.plan.make import Plan
from advisor.reasoning.draws import Numbers, typical
from advisor.reasoning.engine import Engine, Subject
from advisor.record.draws import TypicalDraws
from advisor.record.ledger import Ledger
from advisor.season.decide import Decision
from advisor.season.simulate import PackRun
from advisor.season.step import State
from advisor.season.timeline import Period, Timeline

__all__ = ["Rest", "settle_rest"]

_SAME = 0.03  # amounts nearer than this share are the same amount to a keeper


@dataclass(frozen=True)
class Rest:
    """The rest of the season. `by_day` holds kilograms by pen, as supplies by days of the whole season."""

    decision: Decision
    by_day: Mapping[str, NDArray[np.float64]]
    planned: Mapping[str, NDArray[np.float64]]  # by the plan of the start, for the animals there
    wanted: Mapping[str, float]  # kg a day this week that the re-solved decision asks for, by pen
    held: frozenset[str]  # pens kept at the plan though less would do by the numbers
    lacking: tuple[str, ...]  # what stands against less: dirt, squeeze, births, notes


def settle_rest(
    engine: Engine,
    farm: Farm,
    plan: Plan,
    ledger: Ledger,
    so_far: Mapping[str, PackRun],
    signs: Mapping[str, object],
    planned: Mapping[str, NDArray[np.float64]],
    follow: str,
) -> Rest:
    """Re-solve, and keep to the plan where less may not be advised."""
    season: Timeline = engine.value("timeline")
    supplies = engine.value("supplies")
    until = ledger.until
    lacking = _lacking(signs, farm)
    by_day = {pen.id: np.zeros((len(supplies), season.days)) for pen in farm.pens}
    if until >= season.days:
        nothing = Decision({pen.id: {} for pen in farm.pens}, {}, {})
        return Rest(nothing, by_day, planned, dict.fromkeys(by_day, 0.0), frozenset(), lacking)
    decision, periods = _resolve(engine, farm, ledger, so_far)
    wanted: dict[str, float] = {}
    held: set[str] = set()
    for pen in by_day:
        for row, supply in enumerate(supplies):
            for period, rate in zip(periods, decision.rates[pen].get(supply.key, ()), strict=False):
                first = until + period.first
                by_day[pen][row, first : first + period.days] = rate
        week = slice(until, until + periods[0].days)
        wanted[pen] = float(by_day[pen][:, week].sum(axis=0).mean())
        meant = float(planned[pen][:, week].sum(axis=0).mean())
        if follow == "plan":
            by_day[pen][:, until:] = planned[pen][:, until:]
        elif lacking and decision.missed not in ("dry", "clean"):
            if wanted[pen] < (1.0 - _SAME) * meant:
                held.add(pen)
            by_day[pen][:, until:] = _not_less(by_day[pen][:, until:], planned[pen][:, until:])
    return Rest(decision, by_day, planned, wanted, frozenset(held), lacking)


def _lacking(signs: Mapping[str, object], farm: Farm) -> tuple[str, ...]:
    """What is not there that would allow less: signs and births must be known and good, notes agree."""
    births = any(group.births_due is not False for group in farm.groups)
    return tuple(
        name
        for name, missing in (
            ("dirt", signs.get("clean_score") != "clean"),
            ("squeeze", signs.get("squeeze_test") != "crumbles"),
            ("births", births),
            ("notes", bool(signs.get("notes_disagree"))),
        )
        if missing
    )


def _not_less(advised: NDArray[np.float64], planned: NDArray[np.float64]) -> NDArray[np.float64]:
    """The advised mix, raised on each day to the planned total."""
    total, least = advised.sum(axis=0), planned.sum(axis=0)
    scale = np.divide(least, total, out=np.ones_like(total), where=total > 0)
    raised: NDArray[np.float64] = np.where(total > 0, advised * np.maximum(scale, 1.0), planned)
    return raised


def _resolve(
    engine: Engine, farm: Farm, ledger: Ledger, so_far: Mapping[str, PackRun]
) -> tuple[Decision, tuple[Period, ...]]:
    """The bedding decision from the bed as it is, at typical values."""
    season: Timeline = engine.value("timeline")
    until = ledger.until
    ahead = Timeline(
        start=season.date(until),
        days=season.days - until,
        heads={key: heads[until:] for key, heads in season.heads.items()},
        periods=tuple(Period(p.first - until, p.days) for p in season.periods if p.first >= until),
        dates_told=season.dates_told,
    )
    supplies = tuple(
        replace(supply, first_day=max(0, supply.first_day - until)) for supply in engine.value("supplies")
    )
    given = {**engine.given, "timeline": ahead, "supplies": supplies, "told_bedding": None}
    draws = TypicalDraws(0, engine.draws.seed, engine.draws)
    now = Engine(engine.knowledge, engine.topology, engine.told, engine.derivations, draws, given)
    for supply in supplies:
        now.put("usable_on_hand_kg", ("material", supply.key), typical(ledger.left_kg[supply.key]))
    for pen in farm.pens:
        subject: Subject = ("pen", pen.id)
        now.put("base_kg", subject, 0.0)
        if ledger.frozen:
            whole = engine.value("evaporation_by_day", subject)
            now.put("evaporation_by_day", subject, [typical(v) for v in whole[until:]])
        end = so_far[pen.id].end
        first = State(_mean(end.top), _mean(end.lower))
        unbedded = now.value("unbedded", subject)
        now.put("unbedded", subject, replace(unbedded, first=first, base=first.whole))
    decision: Decision = now.value("bedding_decision")
    return decision, ahead.periods


def _mean(layer: Numbers) -> Numbers:
    """The mean over the draws, as one column; the typical one where there are no draws."""
    drawn = layer[:, 1:] if layer.shape[1] > 1 else layer
    mean: Numbers = drawn.mean(axis=1, keepdims=True)
    return mean
