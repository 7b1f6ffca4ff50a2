"""The recorded days of a season, run as they were."""

from __future__ import annotations

from dataclasses import replace

from advisor.reasoning.draws import Draws
from advisor.reasoning.engine import Engine, Subject
from advisor.record.ledger import Ledger, with_rows
from advisor.season.simulate import PackRun, PenSeason, simulate

__all__ = ["again", "run_recorded", "with_frost"]


def again(engine: Engine, draws: Draws) -> Engine:
    """The same farm with other draws and nothing worked out yet."""
    return Engine(engine.knowledge, engine.topology, engine.told, engine.derivations, draws, engine.given)


def with_frost(engine: Engine, ledger: Ledger, pen: str) -> PenSeason:
    """The pen's season without bedding; while it was frozen nothing dried."""
    subject: Subject = ("pen", pen)
    if ledger.frozen:
        evaporation = list(engine.value("evaporation_by_day", subject))
        for first, last in ledger.frozen:
            evaporation[first:last] = [0.0] * (last - first)
        engine.put("evaporation_by_day", subject, evaporation)
    season: PenSeason = engine.value("unbedded", subject)
    return season


def run_recorded(
    season: PenSeason, ledger: Ledger, pen: str, days: int, *, keep_states: bool = False
) -> PackRun:
    """The first days alone, with the bedding of the record."""
    whole = with_rows(season, ledger, pen)
    cut = replace(
        whole,
        heads=whole.heads[:, :days],
        bedding_kg_day=whole.bedding_kg_day[:, :days],
        evaporation_kg_m2=list(whole.evaporation_kg_m2[:days]),
        ammonia_warmth=whole.ammonia_warmth[:days],
    )
    return simulate(cut, season.base.shape[1], keep_states=keep_states)
