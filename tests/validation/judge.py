"""Run the farms and judge each comparison: is the measured value inside the predicted 10 to 90 % range?"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

import numpy as np
import yaml

from advisor.farm.model import Farm
from advisor.knowledge import knowledge
from advisor.plan.make import Plan, make_plan
from advisor.reasoning.draws import Numbers
from advisor.reasoning.engine import Subject
from tests.validation.cases import FOLDER, Comparison, Trial, table_cases, trials
from tests.validation.measures import measured

__all__ = ["Judged", "judge_dairy_model", "judge_tables", "judge_trials"]

_DAY = dt.date(2026, 11, 1)
_DRAWS = 500


@dataclass(frozen=True)
class Judged:
    """A comparison with what the program predicted for it."""

    group: str  # trial id, table id or cow id
    case: str
    comparison: Comparison
    low: float
    median: float
    high: float

    @property
    def counts(self) -> bool:
        """Whether it is a number to hit; a bound is shown but not counted."""
        return self.comparison.at_least is None

    @property
    def inside(self) -> bool:
        """Measured value (middle of a measured range) within the predicted range; a bound, whether held."""
        if self.comparison.at_least is not None:
            return self.median >= self.comparison.at_least
        return self.low <= self.comparison.middle <= self.high

    @property
    def meets(self) -> bool:
        """Whether measured and predicted range have any value in common: inside, for a single measured value."""
        if self.comparison.at_least is not None:
            return self.inside
        return self.low <= self.comparison.high and self.comparison.low <= self.high

    @property
    def off(self) -> float:
        """Prediction over measurement, less one."""
        return self.median / self.comparison.middle - 1.0


def _plan(farm: dict[str, Any]) -> Plan:
    return make_plan(Farm.model_validate(farm), knowledge(), _DAY, draws=_DRAWS)


def _judged(group: str, case: str, comparison: Comparison, values: Numbers) -> Judged:
    drawn = values[1:] if values.size > 1 else values
    low, median, high = np.percentile(drawn, [10, 50, 90])
    return Judged(group, case, comparison, float(low), float(median), float(high))


def judge_trials() -> list[tuple[Trial, list[Judged]]]:
    """Every trial with its comparisons judged."""
    out = []
    for trial in trials():
        plans = {case.name: _plan(case.farm) for case in trial.cases}
        found = []
        for case in trial.cases:
            for c in case.comparisons:
                values = measured(plans[case.name], c.measure)
                if c.change:
                    values = values / measured(plans[case.against], c.measure) - 1.0
                found.append(_judged(trial.id, case.name, c, values))
        out.append((trial, found))
    return out


def judge_tables() -> tuple[dict[str, dict[str, str]], list[Judged]]:
    """Tables by id, and every row of the manure tables judged against its typical pack."""
    farms, tables, rows = table_cases()
    plans = {name: _plan(farms[name]) for name in sorted({pack for _, pack, _ in rows})}
    return tables, [_judged(t, pack, c, measured(plans[pack], c.measure)) for t, pack, c in rows]


def judge_dairy_model() -> tuple[dict[str, Any], list[Judged]]:
    """The kept output of the dairy ration model, and our excretion of the same cows against it."""
    kept = yaml.safe_load((FOLDER / "nasem_dairy.yaml").read_text("utf-8"))
    found = []
    for cow in kept["cows"]:
        plan = _plan(
            {
                "days": 30,
                "groups": [{"class": cow["class"], "count": 1, "weight": cow["weight_kg"]}],
                "materials": [{"name": "straw", "for_sale": True}],
                "bedding": [{"material": "straw", "rate": 9}],
            }
        )
        group: Subject = ("group", plan.farm.groups[0].id)
        for name, key, factor, known in (
            ("excreta_head_day", "wet_manure_kg_day", 1.0, False),
            ("volatile_solids_head_day", "volatile_solids_kg_day", 1.0, False),
            ("nitrogen_head_day", "nitrogen_g_day", 1000.0, False),
            ("phosphorus_head_day", "phosphorus_g_day", 1000.0, False),
            ("potassium_head_day", "potassium_g_day", 1000.0, True),
        ):
            told = float(cow["outputs"][key])
            values: Numbers = factor * np.atleast_1d(plan.engine.value(name, group))
            found.append(_judged(cow["id"], key, Comparison(key, told, told, set_from=known), values))
    return kept, found
