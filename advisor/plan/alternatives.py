"""Other ways worth comparing."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from advisor.farm.model import Farm, Goals
from advisor.plan.differences import Difference, compare
from advisor.plan.make import Plan, make_plan

__all__ = ["Alternative", "alternatives"]

_MOST = 3


@dataclass(frozen=True)
class Alternative:
    """Another way to winter the same animals, worked out like the plan itself at its typical values only."""

    id: str
    farm: Farm
    plan: Plan
    differences: tuple[Difference, ...]
    changed: dict[str, float]


def alternatives(plan: Plan) -> list[Alternative]:
    """At most three ways worth comparing, the most needed first; those that change nothing are left out."""
    if plan.decision.given:
        return []
    ways: list[tuple[str, Callable[[Plan], tuple[Farm, dict[str, float]] | None]]] = [
        ("fewer", _fewer_animals),
        ("shorter", _earlier_turnout),
        ("driest", _driest),
        ("cheapest", _cheapest),
    ]
    found: list[Alternative] = []
    for name, change in ways:
        changed = change(plan)
        if changed is None:
            continue
        farm, amounts = changed
        other = make_plan(farm, plan.knowledge, plan.today, 0, plan.engine.draws.seed)
        differences = compare(plan, other)
        if any(row.matters for row in differences):
            found.append(Alternative(name, farm, other, differences, amounts))
        if len(found) == _MOST:
            break
    return found


def _fewer_animals(plan: Plan) -> tuple[Farm, dict[str, float]] | None:
    """As many animals as the floor and the bedding to be had keep dry, where there are now more."""
    enough = _bedding_share(plan)
    tight = {} if any(pen.area is None for pen in plan.farm.pens) else _room_share(plan)
    if enough >= 1.0 and all(share >= 1.0 for share in tight.values()):
        return None
    groups, gone = [], 0
    for group in plan.farm.groups:
        share = min(enough, tight.get(group.pen, 1.0), 1.0)
        count = max(1, math.floor(group.count * share))
        gone += group.count - count
        groups.append(group.model_copy(update={"count": count, "count_low": None, "count_high": None}))
    return (plan.farm.model_copy(update={"groups": tuple(groups)}), {"heads": float(gone)}) if gone else None


def _room_share(plan: Plan) -> dict[str, float]:
    """Floor over need, pen by pen."""
    return {pen: node.spread()[1] for pen, found in plan.pens.items() if (node := found["pen_space_ratio"])}


def _bedding_share(plan: Plan) -> float:
    """How much of the bedding that they need is to be had; one where nothing is lacking."""
    used, lacking = plan.number("bedding_total_kg") or 0.0, plan.decision.mend_kg
    return used / (used + lacking) if lacking >= 1.0 and plan.decision.missed in ("dry", "clean") else 1.0


def _earlier_turnout(plan: Plan) -> tuple[Farm, dict[str, float]] | None:
    """Out three weeks sooner (or wintered elsewhere for as long), where the bedding does not last."""
    short = any(plan.decision.buy_kg.values()) or _bedding_share(plan) < 1.0
    if not short or plan.timeline.days <= 60:
        return None
    weeks = 3
    days = plan.timeline.days - 7 * weeks
    if not any(heads[:days].any() for heads in plan.timeline.heads.values()):
        return None  # they only come in after that
    farm = plan.farm.model_copy(
        update={"start": plan.timeline.start if plan.farm.start else None, "end": None, "days": days}
    )
    return farm, {"weeks": float(weeks)}


def _driest(plan: Plan) -> tuple[Farm, dict[str, float]]:
    """More bedding, for a bed that stays dry in a wet winter too."""
    margin = plan.knowledge.figures["dry_cautious_margin"].figure
    amount = margin.value if margin else 0.0
    return plan.farm.model_copy(update={"facts": {**plan.farm.facts, "dry_planning_margin": amount}}), {
        "points": amount
    }


def _cheapest(plan: Plan) -> tuple[Farm, dict[str, float]]:
    """Just dry and clean: no bedding spent on carbon, which the heap can mend."""
    goals = Goals(c_to_n_low=5.0, c_to_n_high=plan.farm.goals.c_to_n_high if plan.farm.goals else None)
    return plan.farm.model_copy(update={"goals": goals}), {}
