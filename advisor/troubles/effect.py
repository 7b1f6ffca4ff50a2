"""What a remedy does to the season: the plan made again for the changed farm, and what differs."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from advisor.farm.facts import complete
from advisor.farm.model import Addition, Change, Farm, Measure

if TYPE_CHECKING:
    from advisor.plan.make import Plan

__all__ = ["Difference", "changed_farm", "season_effect"]

_SHOWN = (
    "supply_lasts_days", "bedding_total_kg", "supply_ratio", "pack_end_depth_m", "top_moisture_worst",
    "pack_end_c_to_n", "space_ratio",
)  # fmt: skip
_WORTH = 0.01  # smaller differences are not worth a word


@dataclass(frozen=True)
class Difference:
    """One number of the plan before and after. [low, median, high]"""

    name: str
    label: str
    unit: str
    before: tuple[float, float, float]
    after: tuple[float, float, float]


def season_effect(
    plan: Plan, change: Mapping[str, float], draws: int = 200, seed: int = 1
) -> tuple[Difference, ...]:
    """What differs when the change is made today. Empty where nothing does.

    Both plans keep the bedding as it is given (or advised now), so that only the change is seen.
    """
    from advisor.plan.make import make_plan  # loads every derivation: only where a plan is made

    before_farm = changed_farm(plan, {})
    after_farm = changed_farm(plan, change)
    if before_farm == after_farm:
        return ()
    before = make_plan(before_farm, plan.knowledge, plan.today, draws, seed)
    after = make_plan(after_farm, plan.knowledge, plan.today, draws, seed)
    found = []
    for name in _SHOWN:
        old, new = before.results.get(name), after.results.get(name)
        if old is None or new is None:
            continue
        was, now = old.spread(), new.spread()
        if abs(now[1] - was[1]) > _WORTH * max(abs(was[1]), 1e-9):
            found.append(Difference(name, old.label, old.unit, was, now))
    return tuple(found)


def changed_farm(plan: Plan, change: Mapping[str, float]) -> Farm:
    """The farm with the bedding as given until today, and from today on as the change says."""
    farm = complete(plan.farm, plan.knowledge)
    update: dict[str, Any] = {"bedding": _bedding(plan, change)}
    more = change.get("area_more_m2", 0.0)
    less = round(change.get("heads_less", 0.0))
    if less > 0:
        largest = max(farm.groups, key=lambda group: group.count)
        left = max(largest.count - less, 0)
        moved = Change(date=plan.today, count=left, why="moved")
        update["groups"] = tuple(
            g.model_copy(update={"changes": (*g.changes, moved)}) if g is largest else g for g in farm.groups
        )
    elif more > 0:
        first = farm.pens[0]
        area = plan.engine.value("area_m2", ("pen", first.id))
        size = float(area[0]) if hasattr(area, "__len__") else float(area)
        update["pens"] = (first.model_copy(update={"area": _exact(size + more)}), *farm.pens[1:])
    return farm.model_copy(update=update)


def _bedding(plan: Plan, change: Mapping[str, float]) -> tuple[Addition, ...]:
    """Today's lines, ended today where the daily amount changes, and what the change adds."""
    lines = plan.farm.bedding if plan.farm.bedding != "advise" else _advised(plan)
    if not lines:
        return ()
    rate = change.get("bedding_kg_day")
    once = change.get("bedding_today_kg")
    main = max(lines, key=lambda line: line.rate.value)
    out = list(lines)
    if rate is not None and plan.today < plan.timeline.end:
        begun = [line for line in lines if line.from_ is None or line.from_ < plan.today]
        out = [line.model_copy(update={"to": min(plan.today, line.to or plan.today)}) for line in begun]
        out.append(main.model_copy(update={"rate": _exact(rate), "from_": plan.today, "to": None, "pen": ""}))
    if once is not None:
        end = plan.today + dt.timedelta(days=1)
        out.append(main.model_copy(update={"rate": _exact(once), "from_": plan.today, "to": end, "pen": ""}))
    return tuple(out)


def _advised(plan: Plan) -> tuple[Addition, ...]:
    """The advised amounts as lines, period by period."""
    names = {s.key: s.material for s in plan.engine.value("supplies")}
    lines = []
    for pen, materials in plan.decision.rates.items():
        for key, rates in materials.items():
            for rate, period in zip(rates, plan.timeline.periods, strict=False):
                if rate > 0:
                    lines.append(
                        Addition.model_validate(
                            {
                                "material": names[key],
                                "rate": rate,
                                "pen": pen,
                                "from": plan.timeline.date(period.first),
                                "to": plan.timeline.date(period.first + period.days),
                            }
                        )
                    )
    return tuple(lines)


def _exact(value: float) -> Measure:
    return Measure(value=value, low=value, high=value)
