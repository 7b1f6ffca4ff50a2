"""The dates after turnout: when the pack is heaped and when its compost is likely ready."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from advisor.plan.make import Plan

__all__ = ["AfterTurnout", "after_turnout"]

_DAY = dt.timedelta(days=1)
_PIGS_IN_DAYS = 7  # to shut gates and lay water on
_HEAP_DAYS = 14  # to dig out in a dry spell


@dataclass(frozen=True)
class AfterTurnout:
    """Pigs in and out where pigs turn the pack, heap built, compost likely ready."""

    pigs_in: dt.date | None
    pigs_out: dt.date | None
    heap: dt.date
    ready: dt.date | None


def after_turnout(plan: Plan) -> AfterTurnout | None:
    """The dates of a plan, by the middle of each range; None where the season has no dates."""
    if not plan.timeline.dates_told:
        return None
    end, ready = plan.timeline.end, plan.results["compost_ready_days"]
    pig_time = plan.results["pig_turning_time"]
    pigs_in = pigs_out = None
    heap = end + _HEAP_DAYS * _DAY
    if plan.facts.get("turned_by") == "pigs" and pig_time is not None:
        pigs_in = end + _PIGS_IN_DAYS * _DAY
        pigs_out = pigs_in + round(pig_time.spread()[1]) * _DAY
        heap = pigs_out + _DAY
    last = None if ready is None else heap + round(ready.spread()[1]) * _DAY
    return AfterTurnout(pigs_in, pigs_out, heap, last)
