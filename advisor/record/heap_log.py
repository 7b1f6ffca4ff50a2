"""The heap log: whether compost may stop counting as raw manure, by the rule of the region."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from advisor.farm.facts import own_rules
from advisor.knowledge import Knowledge
from advisor.record.entries import Heap, Record

__all__ = ["HeapLog", "heap_log"]


@dataclass(frozen=True)
class HeapLog:
    """The longest unbroken hot stretch and the turnings in it, against what is asked."""

    readings: int
    hot_days: int
    turnings: int
    least_temperature_c: float
    least_days: int
    least_turnings: int
    hold_days: int  # for how long a reading is taken to hold

    @property
    def treated(self) -> bool:
        """Whether all that is asked was noted. Without a log it is raw manure."""
        return self.hot_days >= self.least_days and self.turnings >= self.least_turnings


def heap_log(record: Record, region: str | None, knowledge: Knowledge) -> HeapLog:
    """Read the log. A core reading holds for a few days at most; one below the heat breaks the stretch.

    A region that is silent takes the general rule, which is the strictest held.
    """
    least = _limit(region, knowledge, "compost_temperature_c")
    days, turns = (round(_limit(region, knowledge, name)) for name in ("compost_days", "compost_turnings"))
    holds = knowledge.figures["heap_reading_holds_days"].figure
    hold_days = round(holds.value) if holds else 1
    core: dict[dt.date, float] = {}
    for entry in record:
        if isinstance(entry, Heap) and entry.temperature is not None and entry.where == "core":
            core[entry.date] = min(core.get(entry.date, 1e9), entry.temperature.value)
    turned = sorted({e.date for e in record if isinstance(e, Heap) and e.turned})
    best = (0, 0)
    first: dt.date | None = None
    last: dt.date | None = None
    for date, heat in sorted(core.items()):
        if heat < least:
            first = None
            continue
        if first is None or last is None or (date - last).days > hold_days:
            first = date
        last = date
        stretch = (date - first).days + 1
        best = max(best, (stretch, sum(first <= day <= date for day in turned)))
    return HeapLog(len(core), best[0], best[1], least, days, turns, hold_days)


def _limit(region: str | None, knowledge: Knowledge, name: str) -> float:
    for entry in (*own_rules(region, knowledge), *own_rules("generic", knowledge)):
        if name in entry.limits:
            return entry.limits[name].figure.value
    return 0.0
