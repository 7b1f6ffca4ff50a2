"""Turning the pack in spring: grain, pigs and whether they may go in, and the road without pigs."""

from __future__ import annotations

from advisor.plan.document import Block, Paragraph, Points, Section
from advisor.plan.sections.local import local_rules
from advisor.plan.sections.sharing import sharing_lines
from advisor.plan.voice import Voice
from advisor.reasoning.draws import typical

__all__ = ["turning_section"]

_LEAST_TRACTOR_H = 0.25
_LONGEST_DAYS = 300.0  # beyond this many days pigs would still be at it when the next winter comes


def turning_section(voice: Voice) -> Section:
    """Pigs and grain where they are wanted and safe; always a road without pigs, and what it costs."""
    blocks: list[Block] = []
    if voice.plan.facts.get("turned_by") == "pigs":
        blocks += [*_pigs(voice), *_grain(voice), *_go(voice)]
    blocks += [Paragraph(text) for text in _without_pigs(voice)]
    blocks.append(Paragraph(voice.text("turning_first")))
    shared = sharing_lines(voice)
    if shared:
        blocks += [Paragraph(voice.text("share_title"), "lead"), Points(tuple(shared))]
    return Section("turning", voice.text("turning_title"), tuple(blocks))


def _pigs(voice: Voice) -> list[Block]:
    """How many pigs for how long, and whether those named are enough."""
    plan = voice.plan
    words = {"pigs": _bare(voice.result("pigs")), "days": voice.result("pig_turning_time")}
    best = voice.held("pig_best_weight").replace(" a head", "")
    lead = [
        voice.text("turning_pigs", best=best, **words),
        voice.text("turning_pigs_days", pig_days=voice.result("pig_days").replace(" days", "")),
    ]
    blocks: list[Block] = [Paragraph(" ".join(lead), "lead")]
    named, needed = plan.results["named_pigs_days"], plan.results["pig_turning_time"]
    if named is not None and needed is not None and named.spread()[1] > needed.spread()[2]:
        told = _bare(voice.number(typical(plan.engine.value("turning_pigs")), "head"))
        sentence = "turning_pigs_few" if named.spread()[1] < _LONGEST_DAYS else "turning_pigs_too_few"
        blocks.append(Paragraph(voice.text(sentence, told=told, days=voice.ranged(named))))
    return blocks


def _grain(voice: Voice) -> list[Block]:
    """The grain as bait: which, how much, its cost; or why none."""
    plan = voice.plan
    if plan.results["grain_kg"] is None:
        safe = plan.engine.value("grain_is_safe")
        return [] if safe else [Paragraph(voice.text("turning_grain_not"))]
    told = plan.farm.turning.grain_material if plan.farm.turning else None
    kind = voice.knowledge.materials.get(told or "")
    words = {
        "grain": voice.result("grain_kg"),
        "square": voice.result("grain_kg_m2"),
        "keeps": voice.held("grain_keeps_days"),
    }
    blocks: list[Block] = []
    if kind is not None and kind.kind == "grain":
        blocks.append(Paragraph(voice.text("turning_grain_named", kind=kind.name, **words)))
    else:
        blocks.append(Paragraph(voice.text("turning_grain", **words)))
    if kind is not None and kind.kind != "grain":
        name = kind.name[0].upper() + kind.name[1:]
        blocks.append(Paragraph(voice.text("turning_grain_no_bait", kind=name)))
    blocks.append(Paragraph(voice.text("turning_grain_bait", feeds=voice.result("grain_feeds_days"))))
    cost = plan.results["grain_cost"]
    if cost is not None:
        blocks.append(Paragraph(voice.text("turning_grain_cost", cost=voice.money(cost.spread()[1]))))
    return blocks


def _go(voice: Voice) -> list[Block]:
    """Go or no go: what stands in the way, what is open, what the region's rules say."""
    facts, least = voice.plan.facts, voice.held("pig_least_weight").replace(" a head", "")
    weight = facts.get("turning_pig_weight_kg")
    light = weight is not None and weight < voice.middle("pig_least_weight")
    peat = "peat" in facts.get("families", ())
    lines = [
        _three(facts.get("pigs_allowed"), "go_allowed", "go_refused", "go_ask"),
        "go_registered",
        "go_disease",
        _three(facts.get("pigs_nose_ringed"), "go_ringed", "go_not_ringed", "go_nose_open"),
        _three(facts.get("treated_before"), "go_treated", "go_not_treated", "go_treated_open"),
        "go_peat" if peat else "go_bed",
        "go_light" if light else "go_weight",
        "go_care",
    ]
    stopped = peat or light or facts.get("pigs_allowed") is False
    stopped = stopped or facts.get("pigs_nose_ringed") is True or facts.get("treated_before") is True
    return [
        Paragraph(voice.text("go_lead"), "lead"),
        Points((*(voice.text(line, least=least) for line in lines), *local_rules(voice, "pigs_on_manure"))),
        Paragraph(voice.text("go_verdict_no" if stopped else "go_verdict_open")),
    ]


def _three(known: object, yes: str, no: str, unknown: str) -> str:
    """One of three sentences: for yes, for no, and where nobody said."""
    return unknown if known is None else yes if known else no


def _without_pigs(voice: Voice) -> list[str]:
    """Fork, tractor and hens, in hours and in money."""
    tractor = voice.plan.results["tractor_hours"]
    small = tractor is not None and tractor.spread()[1] < _LEAST_TRACTOR_H
    words = {
        "tractor": voice.result("tractor_hours"),
        "fork": voice.result("fork_hours"),
        "hens": voice.held("hen_scratch_depth"),
    }
    lines = [voice.text("turning_without_small" if small else "turning_without", **words)]
    costs = [voice.plan.results[name] for name in ("tractor_cost", "fork_cost")]
    if any(cost is None for cost in costs):
        lines.append(voice.text("turning_cost_unknown"))
    else:
        told = {n: voice.money(c.spread()[1]) for n, c in zip(("tractor", "fork"), costs, strict=True) if c}
        lines.append(voice.text("turning_cost", **told))
    return lines


def _bare(heads: str) -> str:
    """A number of animals without the word 'head': the sentence names them."""
    return heads.replace(" head", "")
