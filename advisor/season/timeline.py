"""The days of a season: who is on the bed, how cold it is, and the periods a plan is made of."""

from __future__ import annotations

import datetime as dt
import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisor.farm.model import Farm

__all__ = ["Period", "Timeline", "timeline"]

LONGEST_PERIOD_DAYS = 28


@dataclass(frozen=True)
class Period:
    """A run of days with the same animals and advice."""

    first: int
    days: int


@dataclass(frozen=True)
class Timeline:
    """Dates of the season and heads of each group on each day."""

    start: dt.date
    days: int
    heads: dict[str, NDArray[np.float64]]
    periods: tuple[Period, ...]
    dates_told: bool

    @property
    def end(self) -> dt.date:
        """The day the animals go out."""
        return self.start + dt.timedelta(days=self.days)

    def date(self, day: int) -> dt.date:
        """The date of a day number; day 0 is the first."""
        return self.start + dt.timedelta(days=day)


def timeline(farm: Farm, today: dt.date, usual_days: float) -> Timeline:
    """Lay out the season. Where no date was told it starts today and lasts `usual_days`."""
    days = farm.days or (round(usual_days) if not (farm.start and farm.end) else (farm.end - farm.start).days)
    start = farm.start or (farm.end - dt.timedelta(days=days) if farm.end else today)
    heads: dict[str, NDArray[np.float64]] = {}
    breaks = {0, days}
    for group in farm.groups:
        count = np.zeros(days)
        first = max(0, (group.in_ - start).days) if group.in_ else 0
        last = max(0, min(days, (group.out - start).days)) if group.out else days
        count[first:last] = group.count
        for change in sorted(group.changes, key=lambda c: c.date):
            day = max(first, (change.date - start).days)
            count[day:last] = change.count
        heads[group.id] = count
        breaks |= {int(i) for i in np.flatnonzero(np.diff(count)) + 1}
    breaks |= {day for date in _dates(farm) if 0 < (day := (date - start).days) < days}
    return Timeline(start, days, heads, _periods(sorted(breaks)), bool(farm.start or farm.end))


def _dates(farm: Farm) -> set[dt.date]:
    """Dates on which bedding comes to hand, or on which the keeper's own rates change."""
    told = () if isinstance(farm.bedding, str) else farm.bedding
    dates = [supply.from_date for supply in farm.materials]
    dates += [date for line in told for date in (line.from_, line.to)]
    return {date for date in dates if date is not None}


def _periods(breaks: list[int]) -> tuple[Period, ...]:
    """Split at each break, then into pieces of at most four weeks, as even as whole weeks allow."""
    out: list[Period] = []
    for first, last in itertools.pairwise(breaks):
        while first < last:
            length = min(LONGEST_PERIOD_DAYS, last - first)
            if 0 < last - first - length < 7:  # no stub of a few days at the end
                length = last - first
            out.append(Period(first, length))
            first += length
    return tuple(out)
