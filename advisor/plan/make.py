"""Make a plan: everything worked out for one farm, before any of it is put into words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from advisor.farm.barred import barred
from advisor.farm.facts import engine_for
from advisor.farm.model import Farm
from advisor.knowledge import Knowledge
from advisor.plan.results import FARM_RESULTS, GROUP_RESULTS, HEADLINES, PEN_RESULTS
from advisor.reasoning.engine import FARM, Engine, Missing, Node, Subject, importance
from advisor.reasoning.rules import Fired, ShownCaution, applicable, cautions_for
from advisor.season.decide import Decision
from advisor.season.simulate import PackRun
from advisor.season.timeline import Timeline

__all__ = ["Plan", "headline_matters", "make_plan", "plan_of", "ration"]


@dataclass(frozen=True)
class Plan:
    """The worked-out plan. Results are nodes: each carries its value, range and the tree that made it."""

    farm: Farm
    knowledge: Knowledge
    today: dt.date
    engine: Engine
    results: Mapping[str, Node | None]
    groups: Mapping[str, Mapping[str, Node | None]]
    pens: Mapping[str, Mapping[str, Node | None]]
    decision: Decision
    packs: Mapping[str, PackRun]
    timeline: Timeline
    recommendations: list[Fired]
    cautions: list[ShownCaution]
    facts: Mapping[str, Any] = field(default_factory=dict)
    assumed_facts: frozenset[str] = frozenset()

    @property
    def told(self) -> list[Node]:
        """What the keeper told and the plan used."""
        return [n for n in self.engine.met() if n.kind == "told"]

    @property
    def assumptions(self) -> list[Node]:
        """Facts that were not told, with what was taken instead."""
        return [n for n in self.engine.met() if n.kind == "assumed"]

    def number(self, name: str) -> float | None:
        """The median of a farm result, or None where it does not apply."""
        node = self.results.get(name)
        return None if node is None else node.spread()[1]

    def matters(self, name: str) -> list[tuple[Node, float]]:
        """What the spread of a result comes from, largest first."""
        node = self.results.get(name)
        if node is None:
            return []
        leaves = [leaf for leaf in node.walk() if not leaf.inputs and isinstance(leaf.value, np.ndarray)]
        found: dict[tuple[Any, ...], tuple[Node, float]] = {}
        for leaf, share in importance(node.value, leaves):
            # A figure that several pens or groups share is one unknown, drawn once.
            own = (
                leaf.subject
                if leaf.figure is None
                else (leaf.figure.low, leaf.figure.value, leaf.figure.high)
            )
            found.setdefault((leaf.name, leaf.label, own), (leaf, share))
        return list(found.values())


def make_plan(farm: Farm, knowledge: Knowledge, today: dt.date, draws: int = 1000, seed: int = 1) -> Plan:
    """Work out the plan for a farm. The same farm, knowledge, day and seed give the same plan."""
    engine, farm = engine_for(farm, knowledge, today, draws, seed)
    return plan_of(engine, farm, knowledge, today)


def plan_of(engine: Engine, farm: Farm, knowledge: Knowledge, today: dt.date) -> Plan:
    """The plan that an engine works out for a farm that is complete."""
    results = {name: _result(engine, name, FARM) for name in FARM_RESULTS}
    groups = {
        group.id: {name: _result(engine, name, ("group", group.id)) for name in GROUP_RESULTS}
        for group in farm.groups
    }
    pens = {
        pen.id: {name: _result(engine, name, ("pen", pen.id)) for name in PEN_RESULTS} for pen in farm.pens
    }
    decision: Decision = engine.value("bedding_decision")
    facts, assumed = _facts(farm, knowledge, engine, results, pens, decision)
    fired = applicable(knowledge.rules, facts)
    return Plan(
        farm=farm,
        knowledge=knowledge,
        today=today,
        engine=engine,
        results=results,
        groups=groups,
        pens=pens,
        decision=decision,
        packs={pen.id: engine.value("pack", ("pen", pen.id)) for pen in farm.pens},
        timeline=engine.value("timeline"),
        recommendations=fired,
        cautions=_with_named(cautions_for(knowledge.cautions, facts, assumed), fired, knowledge),
        facts=facts,
        assumed_facts=assumed,
    )


def _with_named(shown: list[ShownCaution], fired: list[Fired], knowledge: Knowledge) -> list[ShownCaution]:
    """The cautions to show, and those that the advice given names."""
    there = {caution.id for caution in shown}
    named = {name for one in fired for name in one.rule.cautions if name in knowledge.cautions} - there
    return shown + [ShownCaution(name, knowledge.cautions[name], True) for name in sorted(named)]


def _result(engine: Engine, name: str, subject: Subject) -> Node | None:
    """The node of a result, or None where it does not apply or needs what was not told."""
    try:
        node = engine.node(name, subject)
    except Missing:
        return None
    return node if node.is_number else None


def _facts(
    farm: Farm,
    knowledge: Knowledge,
    engine: Engine,
    results: Mapping[str, Node | None],
    pens: Mapping[str, Mapping[str, Node | None]],
    decision: Decision,
) -> tuple[dict[str, Any], frozenset[str]]:
    """The facts that rules and cautions read, and which of them nobody told."""
    facts: dict[str, Any] = {}
    assumed: set[str] = set()
    for name, fact in knowledge.facts.items():
        if fact.derived or fact.per not in ("farm", "pen"):
            continue
        subject: Subject = FARM if fact.per == "farm" else ("pen", farm.pens[0].id)
        try:
            node = engine.node(name, subject)
        except Missing:
            continue
        facts[name] = node.spread()[1] if node.is_number else node.value
        if node.kind != "told":
            assumed.add(name)
    for name, result in results.items():
        if result is not None:
            facts[name] = result.spread()[1]
    animals = [knowledge.animals[g.class_] for g in farm.groups]
    materials = [knowledge.materials[s.name] for s in farm.materials]
    feeds = [g.feed.kind for g in farm.groups if g.feed and g.feed.kind]
    facts |= {
        "region": farm.region or "generic",
        "days": engine.value("timeline").days,
        "species": sorted({a.species for a in animals}),
        "classes": _with_broader({g.class_ for g in farm.groups}, knowledge.animals),
        "materials": _with_broader({s.name for s in farm.materials}, knowledge.materials),
        "families": sorted({m.family for m in materials}),
        "mixed_species": len({a.species for a in animals}) > 1,
        "goal_missed": decision.missed,
        "barred_bedding": bool(barred(farm, knowledge)),
        "any_births_due": _any(g.births_due for g in farm.groups),
        "any_feed_on_bed": _any(g.feed.on_bed if g.feed else None for g in farm.groups),
        "any_horned": _any(g.horned for g in farm.groups),
        "any_open": _any(None if p.roof is None else p.roof != "roofed" for p in farm.pens),
        "any_earth_floor": _any(None if p.floor is None else p.floor == "earth" for p in farm.pens),
    }
    if feeds:
        facts["feeds"] = sorted(set(feeds))
    for name, pen_name in (
        ("gate_margin_m", "pen_gate_margin_m"),
        ("headroom_left_m", "pen_headroom_left_m"),
    ):
        values = [found.spread()[1] for pen in pens.values() if (found := pen.get(pen_name)) is not None]
        if values:
            facts[name] = min(values)
    return {k: v for k, v in facts.items() if v is not None}, frozenset(assumed)


def _with_broader(names: set[str], entries: Mapping[str, Any]) -> list[str]:
    """The names and those they are narrower than: a rule on wood chips holds for softwood chips too."""
    found: set[str] = set()
    for name in names:
        broader: str | None = name
        while broader is not None and broader not in found:
            found.add(broader)
            broader = entries[broader].narrower_of if broader in entries else None
    return sorted(found)


def _any(values: Any) -> bool | None:
    """True if any is true, False if all are known to be false, else unknown."""
    known = list(values)
    if any(v is True for v in known):
        return True
    return None if any(v is None for v in known) else False


def ration(plan: Plan) -> list[tuple[str, float, float]]:
    """(pen, practised need, what it gets) in kg a day, the most urgent first; empty where nothing is short."""
    if plan.decision.missed not in ("dry", "clean"):
        return []
    rows = []
    for pen in plan.farm.pens:
        need = plan.engine.value("bed_need", ("pen", pen.id))
        wanted = sum(p.least * p.days for p in need.periods) / max(1, plan.timeline.days)
        gets = plan.engine.value("pen_bedding_kg_day", ("pen", pen.id))
        rows.append((need.urgency, pen.id, wanted, float(gets)))
    return [(pen, wanted, gets) for _, pen, wanted, gets in sorted(rows, key=lambda row: (-row[0], row[1]))]


def headline_matters(plan: Plan) -> dict[str, list[tuple[Node, float]]]:
    """What matters most for each headline number."""
    return {name: plan.matters(name)[:3] for name in HEADLINES if plan.results.get(name) is not None}
