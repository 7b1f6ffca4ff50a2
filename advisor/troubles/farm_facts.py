"""What a plan knows that a diagnosis can use: facts that bear on causes, and numbers that size remedies."""

from __future__ import annotations

from typing import Any

import numpy as np

from advisor.knowledge import Knowledge
from advisor.plan.make import Plan
from advisor.reasoning.draws import Numbers, typical
from advisor.reasoning.engine import Missing, Subject
from advisor.reasoning.rules import condition_of
from advisor.season.step import CARBON_QUICK, CARBON_SLOW, NITROGEN, WATER, dry_matter
from advisor.troubles.sizes_bed import bedding_carbon_nitrogen

__all__ = ["farm_facts"]

_FROM_PLAN = ("space_ratio", "space_law_ratio")  # of an area that was told, else they say nothing


def farm_facts(plan: Plan, pen: str | None = None) -> dict[str, Any]:
    """Facts by name; numbers with a range as [low, value, high]. JSON-able.

    Of one pen, else of all pens together. What nobody told is left out where it would speak for a cause.
    """
    pens = [p for p in plan.farm.pens if pen in (None, p.id)]
    wanted = _read_by_troubles(plan.knowledge)
    facts: dict[str, Any] = {
        name: sorted(value) if isinstance(value, set | frozenset) else value
        for name, value in plan.facts.items()
        if name in wanted and name not in plan.assumed_facts
    }
    facts["region"] = plan.farm.region
    if all(m.amount is None and m.packs is None and m.volume is None for m in plan.farm.materials):
        # Of a stack nobody spoke of it cannot be said that it does not reach.
        facts.pop("supply_ratio", None)
    if any(p.area is None for p in pens):
        for name in _FROM_PLAN:
            facts.pop(name, None)
    else:
        facts["area_m2"] = sum(p.area.value for p in pens if p.area)
    facts["main_species"] = plan.engine.value("main_species", ("pen", pens[0].id))
    facts["management"] = plan.engine.value("management")
    groups = [g for g in plan.farm.groups if g.pen in {p.id for p in pens}]
    subjects: list[Subject] = [("group", g.id) for g in groups]
    facts["heads"] = sum(g.count for g in groups)
    facts["only_calves"] = all("calf" in g.class_ for g in groups)
    facts |= _fallen(plan, subjects)
    needed: list[Any] = [plan.engine.value("space_needed_m2", ("pen", p.id)) for p in pens]
    facts["space_needed_m2"] = _range(sum(needed, 0.0))
    facts |= _bedding(plan, facts)
    facts |= _today(plan, [p.id for p in pens])
    if plan.farm.base and plan.farm.base.depth:
        facts["base_told_m"] = plan.farm.base.depth.value
    return {name: value for name, value in facts.items() if value is not None}


def _read_by_troubles(knowledge: Knowledge) -> frozenset[str]:
    """The facts that any lean, check or danger reads."""
    texts = [lean.when for cause in knowledge.causes.values() for lean in cause.leans]
    texts += [text for check in knowledge.checks.values() for text in check.from_facts.values()]
    texts += [danger.when for danger in knowledge.dangers.values()]
    named = {check.fact for check in knowledge.checks.values() if check.fact}
    return frozenset(named.union(*(condition_of(text).names for text in texts)))


def _fallen(plan: Plan, groups: list[Subject]) -> dict[str, Any]:
    """What falls on the bed a day: fresh weight, dry matter, carbon and nitrogen, and the practised bedding."""
    fresh: Any = 0.0
    solid: Any = 0.0
    carbon: Any = 0.0
    nitrogen: Any = 0.0
    least: Any = 0.0
    for group in groups:
        heads = plan.engine.value("count", group)
        flow: Numbers = plan.engine.value("bed_flow", group).components
        fresh = fresh + heads * (flow[WATER] + dry_matter(flow))
        solid = solid + heads * dry_matter(flow)
        carbon = carbon + heads * (flow[CARBON_QUICK] + flow[CARBON_SLOW])
        nitrogen = nitrogen + heads * flow[NITROGEN]
        least = least + heads * plan.engine.value("least_bedding_head_day", group)
    return {
        "excreta_kg_day": _range(fresh),
        "excreta_dry_kg_day": _range(solid),
        "excreta_carbon_kg_day": _range(carbon),
        "excreta_nitrogen_kg_day": _range(nitrogen),
        "least_bedding_kg_day": _range(least),
    }


def _bedding(plan: Plan, facts: dict[str, Any]) -> dict[str, Any]:
    """The bedding of which there is most, its bale, and how much is given a day: told, else advised."""
    supplies = [s for s in plan.engine.value("supplies") if s.bedding]
    out: dict[str, Any] = {}
    if not supplies:
        return out
    amounts = {s.key: typical(plan.engine.value("usable_on_hand_kg", ("material", s.key))) for s in supplies}
    main = max(supplies, key=lambda s: amounts[s.key])
    out["bedding"] = main.material
    out["bedding_moisture"] = _range(plan.engine.value("material_water", ("material", main.key)))
    for supply, told in zip(plan.engine.value("supplies"), plan.farm.materials, strict=True):
        if supply.key == main.key and told.packs is not None:
            bale = _range(plan.engine.value("bale_mass_kg", ("material", main.key)))
            packs = plan.knowledge.materials[main.material].packs
            out["bale_mass_kg"] = bale
            out["bale_name"] = packs[told.pack].name if told.pack in packs else "bale"
    given = _advised_kg_day(plan)
    if plan.farm.bedding != "advise":
        given = sum(
            line.rate.value
            for line in plan.farm.bedding
            if (line.from_ is None or line.from_ <= plan.today) and (line.to is None or plan.today < line.to)
        )
        least = _middle(facts["least_bedding_kg_day"])
        out["bedding_kg_day"] = given
        if least > 0:
            out["bedding_given_ratio"] = given / least
    carbon, nitrogen = bedding_carbon_nitrogen(plan.knowledge, main.material)
    moist = _middle(out["bedding_moisture"])
    out["carbon_kg_day"] = _shifted(facts["excreta_carbon_kg_day"], given * (1 - moist) * carbon)
    out["nitrogen_kg_day"] = _shifted(facts["excreta_nitrogen_kg_day"], given * (1 - moist) * nitrogen)
    out["top_dry_kg_day"] = _shifted(facts["excreta_dry_kg_day"], given * (1 - moist))
    return out


def _advised_kg_day(plan: Plan) -> float:
    """The bedding a day that the plan advises for today, where nobody said what is given. [kg/day]"""
    day = min(max((plan.today - plan.timeline.start).days, 0), plan.timeline.days - 1)
    at = next(i for i, p in enumerate(plan.timeline.periods) if day < p.first + p.days)
    return sum(
        float(rates[at])
        for materials in plan.decision.rates.values()
        for rates in materials.values()
        if at < len(rates)
    )


def _today(plan: Plan, pens: list[str]) -> dict[str, Any]:
    """The pack as the plan expects it today, and what should be left of the bedding."""
    day = (plan.today - plan.timeline.start).days
    day = min(max(day, 0), plan.timeline.days)
    out: dict[str, Any] = {"days_left": plan.timeline.days - day}
    if day > 0:
        mass = sum(plan.packs[pen].mass_kg[day] for pen in pens)
        out["pack_mass_kg"] = _range(mass)
    try:
        on_hand = plan.engine.value("supply_on_hand_kg")
    except Missing:
        return out
    base = sum(sum(plan.decision.base_kg.get(pen, {}).values()) for pen in plan.packs)
    used = base if day > 0 else 0.0
    used += day * typical(plan.engine.value("bedding_kg_day"))
    if typical(on_hand) > 0:
        out["on_hand_kg"] = _range(np.maximum(np.asarray(on_hand) - used, 0.0))
    return out


def _range(value: Any) -> Any:
    """[10th percentile, typical, 90th percentile] of draws, or the number itself."""
    if not isinstance(value, np.ndarray) or value.size < 2:
        return typical(value)
    low, high = (float(x) for x in np.percentile(value[1:], [10, 90]))
    middle = typical(value)
    return [min(low, middle), middle, max(high, middle)] if high > low else middle


def _middle(value: Any) -> float:
    return float(value[1]) if isinstance(value, list) else float(value)


def _shifted(value: Any, by: float) -> Any:
    return [x + by for x in value] if isinstance(value, list) else value + by
