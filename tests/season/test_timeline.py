"""The days of a season: heads day by day, and the periods that advice is given for."""

from __future__ import annotations

import datetime as dt
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from advisor.farm.model import Farm
from advisor.season.timeline import LONGEST_PERIOD_DAYS, Timeline, timeline

TODAY = dt.date(2026, 10, 20)
START = dt.date(2026, 11, 1)


def laid_out(group: dict[str, Any] | None = None, **farm: Any) -> Timeline:
    told = {"id": "g", "class": "beef_cow", "count": 10, **(group or {})}
    return timeline(Farm.model_validate({"groups": [told], **farm}), TODAY, 150.0)


def day(number: int) -> str:
    return (START + dt.timedelta(days=number)).isoformat()


def test_dates_as_told_or_as_usual() -> None:
    both = laid_out(start=START, end=START + dt.timedelta(days=100))
    assert (both.start, both.days, both.end, both.dates_told) == (START, 100, dt.date(2027, 2, 9), True)
    assert laid_out(start=START).days == 150
    ended = laid_out(end=START, days=30)
    assert ended.start == dt.date(2026, 10, 2)
    untold = laid_out(days=40)
    assert (untold.start, untold.days, untold.dates_told) == (TODAY, 40, False)
    assert untold.date(3) == dt.date(2026, 10, 23)


def test_animals_that_come_late_and_leave_early() -> None:
    heads = laid_out({"in": day(10), "out": day(60)}, start=START, days=100).heads["g"]
    assert heads[:10].sum() == 0
    assert (heads[10:60] == 10).all()
    assert heads[60:].sum() == 0


def test_births_and_sales() -> None:
    changes = [{"date": day(50), "count": 7}, {"date": day(20), "count": 15}]
    heads = laid_out({"changes": changes}, start=START, days=100).heads["g"]
    assert [heads[d] for d in (0, 19, 20, 49, 50, 99)] == [10, 10, 15, 15, 7, 7]


def test_animals_that_left_before_the_season_are_not_there() -> None:
    heads = laid_out({"in": day(-40), "out": day(-5)}, start=START, days=100).heads["g"]
    assert heads.sum() == 0
    late = laid_out({"in": day(200), "out": day(250)}, start=START, days=100).heads["g"]
    assert late.sum() == 0


@given(days=st.integers(1, 400), changes=st.lists(st.integers(1, 399), max_size=4))
def test_periods_cover_every_day_once_with_the_same_animals(days: int, changes: list[int]) -> None:
    told = [{"date": day(d), "count": 11 + n} for n, d in enumerate(changes)]
    season = laid_out({"changes": told}, start=START, days=days)
    covered = [d for p in season.periods for d in range(p.first, p.first + p.days)]
    assert covered == list(range(days))
    heads = season.heads["g"]
    for p in season.periods:
        assert len(set(heads[p.first : p.first + p.days])) == 1
        assert p.days < LONGEST_PERIOD_DAYS + 7
