"""The season as JSON: results as in a plan, beside those of the plan of the start, and this week's advice."""

from __future__ import annotations

import json
import math
from dataclasses import asdict
from typing import Any

from advisor.plan.as_json import plan_data
from advisor.record.advice import DateRange, advise
from advisor.record.entries import dump
from advisor.record.forecast import Forecast
from advisor.record.heap_log import heap_log
from advisor.record.lookback import used_kg

__all__ = ["season_data", "season_json"]

_KEPT = (
    "made_by",
    "farm",
    "today",
    "seed",
    "draws",
    "period",
    "results",
    "groups",
    "pens",
    "recommendations",
    "cautions",
)


def season_json(forecast: Forecast, *, lookback: bool = False) -> str:
    """The season as JSON text."""
    data = season_data(forecast, lookback=lookback)
    return json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def season_data(forecast: Forecast, *, lookback: bool = False) -> dict[str, Any]:
    """The season as plain data."""
    now, before, advice = plan_data(forecast.learned), plan_data(forecast.plan), advise(forecast)
    learning = forecast.learning
    data: dict[str, Any] = {
        "schema_version": 1,
        **{name: now[name] for name in _KEPT},
        "day": forecast.day,
        "over": forecast.over,
        "plan": {"results": before["results"]},
        "series": {**now["series"], "planned": {k: v for k, v in before["series"].items() if k != "date"}},
        "this_week": [
            {
                "pen": pen.pen,
                "from": pen.first.isoformat(),
                "to": pen.last.isoformat(),
                "planned_kg_day": _short(pen.planned),
                "wanted_kg_day": _short(pen.wanted),
                "advised_kg_day": {key: _short(kg) for key, kg in pen.advised},
                "verdict": pen.verdict,
            }
            for pen in advice.pens
        ],
        "against_less": list(advice.lacking),
        "supply": {
            "left_kg": {key: _spread(value) for key, value in forecast.ledger.left_kg.items()},
            "ends": _dates(advice.supply_ends),
            "buy_kg": {key: _short(kg) for key, kg in advice.buy_kg.items()},
            "ration": [
                {"pen": pen, "need_kg_day": _short(need), "gets_kg_day": _short(gets)}
                for pen, need, gets in advice.ration
            ],
        },
        "dates": {
            "gates": {pen: _dates(when) for pen, when in advice.gates.items()},
            "drinkers": {pen: _dates(when) for pen, when in advice.drinkers.items()},
            "grain_spoils": advice.grain_spoils.isoformat() if advice.grain_spoils else None,
            "grain_too_late": advice.grain_too_late,
        },
        "learning": {
            "readings": len(learning.readings),
            "effective_draws": _short(learning.effective),
            "kept_draws": _short(learning.kept),
            "disagrees": learning.disagrees,
            "odd": [
                {"entry": reading.entry.id, "what": reading.what, "distance": _short(distance)}
                for reading, distance in learning.odd
            ],
        },
        "gaps": [
            {"pen": gap.pen, "from": gap.first.isoformat(), "days": gap.days} for gap in forecast.ledger.gaps
        ],
        "new_rules": [fired.id for fired in advice.new_rules],
        "entries": [dump(entry) for entry in forecast.record],
    }
    if lookback:
        log = heap_log(forecast.record, forecast.learned.farm.region, forecast.learned.knowledge)
        data["lookback"] = {
            "used_kg": {
                key: {"low": _short(low), "value": _short(middle), "high": _short(high)}
                for key, (low, middle, high) in used_kg(forecast).items()
            },
            "heap": {**asdict(log), "treated": log.treated},
        }
    return data


def _dates(when: DateRange | None) -> dict[str, str | None] | None:
    if when is None:
        return None
    return {
        "likely": when.likely.isoformat() if when.likely else None,
        "early": when.early.isoformat() if when.early else None,
        "late": when.late.isoformat() if when.late else None,
    }


def _spread(value: Any) -> dict[str, float]:
    from advisor.reasoning.draws import spread

    low, middle, high = spread(value)
    return {"value": _short(middle), "low": _short(low), "high": _short(high)}


def _short(value: float) -> float:
    return float(f"{value:.6g}") if math.isfinite(value) else 0.0
