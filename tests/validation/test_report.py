"""The committed table of validation is what the program says today."""

from __future__ import annotations

import functools
from typing import Any

import pytest

from tests.validation.judge import judge_dairy_model, judge_tables, judge_trials
from tests.validation.measures import MEASURES
from tests.validation.report import PAGE, page

pytestmark = pytest.mark.slow  # every trial and table is worked out first


@functools.cache
def judged() -> tuple[Any, Any, Any]:
    """Trials, tables and cows, run once for all tests."""
    return judge_trials(), judge_tables(), judge_dairy_model()


def trials() -> Any:
    return judged()[0]


def tables() -> Any:
    return judged()[1]


def dairy() -> Any:
    return judged()[2]


def test_page_is_not_stale() -> None:
    assert PAGE.read_text("utf-8") == page(*judged()), "run: python -m tests.validation.report"


def test_most_values_never_used_before_lie_inside() -> None:
    # the aim is seven of ten and the page says what it is today; below this something is wrong
    judged = [j for _, rows in trials() for j in rows if j.counts and not j.comparison.set_from]
    assert sum(j.inside for j in judged) >= 0.65 * len(judged)


def test_bounds_that_trials_set_are_held() -> None:
    assert all(j.inside for _, rows in trials() for j in rows if not j.counts)


def test_tables_lie_near_or_say_why() -> None:
    for j in tables()[1]:
        assert abs(j.off) <= 0.35 or j.inside or j.comparison.lesson, (j.group, j.case, j.comparison.measure)


def test_trials_outside_say_what_they_teach() -> None:
    for trial, rows in trials():
        outside = [j for j in rows if not j.inside]
        assert not outside or any(j.comparison.lesson for j in rows), trial.id


def test_every_measure_is_used() -> None:
    used = {j.comparison.measure for _, rows in trials() for j in rows}
    used |= {j.comparison.measure for j in tables()[1]}
    assert used == set(MEASURES)


def test_cows_of_the_ration_model_lie_within_a_third_of_the_class() -> None:
    # potassium apart: its figure was moved towards the model and still stands lower
    for j in dairy()[1]:
        if not j.comparison.set_from:
            assert abs(j.off) <= 0.55, (j.group, j.case, j.off)
