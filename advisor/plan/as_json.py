"""The plan as JSON: the full record, with what it was made from (advisor/contracts/plan_result.schema.json)."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from advisor import __version__
from advisor.knowledge import SEEN_WORDS, Figure
from advisor.knowledge.prose import filled
from advisor.plan.make import Plan, ration
from advisor.plan.sections.bed import base_rows, week_rows
from advisor.plan.sections.facts import assumption_rows, basis_rows, source_keys
from advisor.plan.voice import Voice
from advisor.plan.words import units_of
from advisor.reasoning.draws import Numbers, spread
from advisor.reasoning.engine import Node

__all__ = ["plan_data", "plan_json", "result_data", "short", "trace_of"]

SCHEMA_VERSION = 1


def plan_json(plan: Plan, *, trace: bool = False) -> str:
    """The plan as JSON text: UTF-8, stable order, no NaN."""
    return json.dumps(plan_data(plan, trace=trace), ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def plan_data(plan: Plan, *, trace: bool = False) -> dict[str, Any]:
    """The plan as plain data."""
    voice = Voice(plan, units_of(plan))
    data: dict[str, Any] = {
        "schema_version": SCHEMA_VERSION,
        "made_by": f"byrewise {__version__}",
        "farm": plan.farm.name,
        "today": plan.today.isoformat(),
        "seed": plan.engine.draws.seed,
        "draws": plan.engine.draws.count,
        "period": {
            "start": plan.timeline.start.isoformat(),
            "end": plan.timeline.end.isoformat(),
            "days": plan.timeline.days,
            "dates_told": plan.timeline.dates_told,
        },
        "results": {name: result_data(node) for name, node in plan.results.items()},
        "groups": {
            group: {name: result_data(node) for name, node in found.items()}
            for group, found in plan.groups.items()
        },
        "pens": {
            pen: {name: result_data(node) for name, node in found.items()} for pen, found in plan.pens.items()
        },
        "bedding": {
            "given": plan.decision.given,
            "goal_missed": plan.decision.missed,
            "base_kg": {pen.id: dict(base_rows(voice, pen.id)) for pen in plan.farm.pens},
            "buy_kg": plan.decision.buy_kg,
            "mend_kg": short(plan.decision.mend_kg),
            "short": {goal: short(amount) for goal, amount in plan.decision.short.items()},
            "ration": [
                {"pen": pen, "need_kg_day": short(need), "gets_kg_day": short(gets)}
                for pen, need, gets in ration(plan)
            ],
            "schedule": [
                {
                    "from": first.isoformat(),
                    "to": last.isoformat(),
                    "pen": pen,
                    "material": key,
                    "kg_day": day,
                    "kg_week": week,
                }
                for first, last, pen, key, day, week in week_rows(voice)
            ],
        },
        "heap": _heap(plan),
        "series": _series(plan),
        "matters": {
            name: [
                {"fact": node.label, "of": node.subject[1], "share": round(share, 3)}
                for node, share in plan.matters(name)[:5]
            ]
            for name in plan.results
            if plan.results[name] is not None and plan.matters(name)
        },
        "told": [{"fact": fact, "of": of, "value": value} for fact, of, value in basis_rows(voice)],
        "assumptions": [
            {"fact": fact, "of": of, "value": value, "why": why}
            for fact, of, value, why in assumption_rows(voice)
        ],
        "recommendations": [
            {
                "id": fired.id,
                "rank": fired.rule.rank,
                "text": filled(fired.rule.advise, plan.knowledge, voice.units),
                "because": filled(fired.rule.because, plan.knowledge, voice.units),
                "facts": {k: _plain(v) for k, v in fired.because.items()},
                "sources": list(fired.rule.sources),
                "seen": fired.rule.seen,
                "cautions": list(fired.rule.cautions),
            }
            for fired in plan.recommendations
        ],
        "cautions": [
            {
                "id": shown.id,
                "title": shown.caution.title,
                "severity": shown.caution.severity,
                "certain": shown.certain,
                "danger": filled(shown.caution.danger, plan.knowledge, voice.units, shown.caution.figures),
                "do": [
                    filled(t, plan.knowledge, voice.units, shown.caution.figures) for t in shown.caution.do
                ],
                "call": shown.caution.call,
                "sources": list(shown.caution.sources),
            }
            for shown in plan.cautions
        ],
        "sources": {
            key: plan.knowledge.sources[key].model_dump(exclude_defaults=True)
            for key in source_keys(voice)
            if key in plan.knowledge.sources
        },
    }
    if trace:
        data["trace"] = trace_of([node for node in plan.results.values() if node is not None])
    return data


def _heap(plan: Plan) -> dict[str, Any]:
    """The recipe of the heap: how much of what left-over material goes in, and how much is likely left."""
    left = plan.engine.value("left_over_kg")
    recipe = plan.engine.value("heap_recipe")
    rows = []
    for key, kg in recipe.add_kg.items():
        low, middle, high = map(short, spread(left[key]))
        rows.append(
            {"material": key, "mass_kg": short(kg), "left_kg": {"value": middle, "low": low, "high": high}}
        )
    return {"add": rows, "goal_met": not recipe.missed}


def result_data(node: Node | None) -> dict[str, Any] | None:
    """A result as data: {value, low, high, unit, basis}; None where it does not apply."""
    if node is None:
        return None
    low, middle, high = node.spread()
    if not all(math.isfinite(v) for v in (low, middle, high)):
        return None
    basis = node.derivation.basis if node.derivation else ""
    label = node.label if not basis else f"{node.label}: {basis}"
    return {
        "value": short(middle),
        "low": short(low),
        "high": short(high),
        "unit": node.unit or "1",
        "basis": label,
    }


def short(value: float) -> float:
    """Six significant figures: more would only pretend."""
    return float(f"{value:.6g}")


def _series(plan: Plan) -> dict[str, Any]:
    """Daily series of the whole farm: masses summed, the rest of the one pen or weighted by mass."""
    days = range(plan.timeline.days + 1)
    packs = list(plan.packs.values())
    mass = _summed([run.mass_kg for run in packs])
    weight = [run.mass_kg / (mass + 1e-12) for run in packs]

    def mixed(rows: list[Numbers]) -> Numbers:
        return _summed([row * w for row, w in zip(rows, weight, strict=True)])

    found = {
        "pack_mass_kg": (mass, "kg"),
        "pack_depth_m": (mixed([run.depth_m for run in packs]), "m"),
        "top_moisture": (mixed([run.top_moisture for run in packs]), "fraction"),
        "pack_moisture": (mixed([run.whole_moisture for run in packs]), "fraction"),
        "c_to_n": (mixed([run.c_to_n for run in packs]), "1"),
        "pack_nitrogen_kg": (_summed([run.nitrogen_kg for run in packs]), "kg"),
        "ammonia_nitrogen_kg_day": (_summed([run.ammonia_kg for run in packs]), "kg/day"),
        "free_liquid_kg_day": (_summed([run.drained_kg for run in packs]), "kg/day"),
    }
    out: dict[str, Any] = {"date": [plan.timeline.date(day).isoformat() for day in days]}
    for name, (rows, unit) in found.items():
        points = [spread(rows[day]) for day in days]
        out[name] = {
            "median": [short(p[1]) for p in points],
            "low": [short(p[0]) for p in points],
            "high": [short(p[2]) for p in points],
            "unit": unit,
        }
    return out


def _summed(rows: list[Numbers]) -> Numbers:
    total: Numbers = np.sum(rows, axis=0)
    return total


def trace_of(nodes: list[Node]) -> dict[str, Any]:
    """Every step under the given nodes: each once, naming its inputs."""
    out: dict[str, Any] = {}
    for root in nodes:
        for node in root.walk():
            out.setdefault(_name(node), _step(node))
    return out


def _name(node: Node) -> str:
    return node.name if not node.subject[1] else f"{node.name} @ {node.subject[0]} {node.subject[1]}"


def _step(node: Node) -> dict[str, Any]:
    step: dict[str, Any] = {"label": node.label, "kind": node.kind, "unit": node.unit or "1"}
    if node.is_number and np.ndim(node.value) < 2:  # a layer of many components is no one number
        low, middle, high = node.spread()
        if all(math.isfinite(v) for v in (low, middle, high)):
            step |= {"value": short(middle), "low": short(low), "high": short(high)}
    elif isinstance(node.value, (str, bool)):
        step["value"] = node.value
    if node.derivation:
        step["formula"] = node.derivation.says
        if node.derivation.source:
            step["source"] = node.derivation.source
    if node.inputs:
        step["inputs"] = [_name(child) for child in node.inputs]
    if node.figure:
        step["figure"] = _figure(node.figure)
    if node.said:
        step["said"] = node.said
    return step


def _figure(figure: Figure) -> dict[str, Any]:
    data: Mapping[str, Any] = figure.model_dump(exclude_none=True)
    return {**data, "seen": SEEN_WORDS[figure.seen]}


def _plain(value: Any) -> Any:
    return short(float(value)) if isinstance(value, float) else value
