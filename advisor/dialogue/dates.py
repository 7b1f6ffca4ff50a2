"""Days without a year, as people say them, to the dates of the season they speak of."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

__all__ = ["season_dates"]

_LONGEST_WINTER_DAYS = 240


def season_dates(
    facts: Mapping[str, Any], told_start: dt.date | None, told_end: dt.date | None, today: dt.date
) -> dict[str, dt.date | int]:
    """Start, end and days of the season from a reading's `start`, `end`, `start_window`, `end_window`, `days`.

    A winter already running is this one; else the next to come.
    """
    start, end = _day(facts, "start"), _day(facts, "end")
    days = _days(facts)
    out: dict[str, dt.date | int] = {}
    if start:
        begins = _on(start, today.year)
        if begins > today:
            begins = _on(start, today.year - 1)
        length = (_after(end, begins) - begins).days if end else days or _LONGEST_WINTER_DAYS
        if begins + dt.timedelta(days=length) < today:
            begins = _after(start, today - dt.timedelta(days=1))
        out["start"] = begins
        told_start = begins
    if end:
        out["end"] = _after(end, told_start or today)
    elif start and told_end and told_start:
        # The end told before stays the same day of the year, after the new start.
        out["end"] = _after((told_end.month, told_end.day), told_start)
    if days and not (start and end):
        out["days"] = days
        out.pop("end", None)
    return out


def _days(facts: Mapping[str, Any]) -> int | None:
    if facts.get("days") is not None:
        return round(float(facts["days"]))
    span = facts.get("days_range")
    return round((span[0] + span[1]) / 2) if span else None


def _day(facts: Mapping[str, Any], name: str) -> tuple[int, int] | None:
    """Month and day: as told, else the middle of the window told."""
    if facts.get(name):
        return _parts(facts[name])
    window = facts.get(f"{name}_window")
    if not window:
        return None
    first = _on(_parts(window[0]), 2001)
    last = _on(_parts(window[1]), 2001)
    if last < first:
        last = _on(_parts(window[1]), 2002)
    middle = first + (last - first) / 2
    return middle.month, middle.day


def _parts(text: str) -> tuple[int, int]:
    month, day = text.split("-")[-2:]
    return int(month), int(day)


def _on(day: tuple[int, int], year: int) -> dt.date:
    """The day in a year; the last of February where that year has no 29th."""
    try:
        return dt.date(year, *day)
    except ValueError:
        return dt.date(year, 2, 28)


def _after(day: tuple[int, int], date: dt.date) -> dt.date:
    """The first such day after a date."""
    found = _on(day, date.year)
    return found if found > date else _on(day, date.year + 1)
