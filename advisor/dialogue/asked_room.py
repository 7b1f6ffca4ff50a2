"""Workings for questions about room on the bed, and about who may share it or follow on it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from math import floor
from typing import TYPE_CHECKING, Any

from advisor.dialogue.phrases import normal, one_of, sentence, table
from advisor.dialogue.turn import Now

if TYPE_CHECKING:
    from advisor.knowledge.models import AnimalClass
    from advisor.plan.make import Plan

__all__ = ["room", "rules", "sharing"]


def room(now: Now, plan: Plan | None) -> Mapping[str, Any]:
    """How many more head fit on the bed beside those told, by what the litter needs and by the rules held."""
    from advisor.plan.wording import say

    entry = _meant(now, plan)
    found: dict[str, Any] = {"area_told": False, "class_name": entry.name if entry else ""}
    if entry is not None:
        found["class_a"] = one_of(entry.name)
        found |= _need_words(now, entry)
    if plan is None or entry is None:
        return found
    pen = plan.farm.pens[0]
    needed = plan.pens[pen.id].get("space_needed_m2")
    if pen.area is None or needed is None:
        return found
    area, law = pen.area.value, plan.number("space_law_ratio")
    a_head, legal = _a_head(plan, entry)
    low, middle, high = needed.spread()
    share = legal / a_head[1] if a_head[1] else 0.0
    lawful = area - (area / law if law and law < 90 else 0.0)
    asked = re.search(r"\b(\d{1,4})\b", now.text)
    by_litter = floor((area - middle) / a_head[1] + 1e-6)
    by_law = floor(lawful / legal + 1e-6) if legal else None
    most = by_litter if by_law is None else min(by_litter, by_law)
    now_there = sum(g.count for g in plan.farm.groups if g.class_ == _id(plan, entry))
    found |= {
        "area_told": True,
        "area": say(area, "m2", now.units, figures=3),
        "needed": _said(needed, now),
        "more": max(0, most),
        "more_words": _heads(max(0, most), entry),
        "too_many": max(0, -most),
        "too_many_words": _heads(max(0, -most), entry),
        "asked_more": int(asked[1]) if asked else 0,
        "asked_words": _heads(int(asked[1]), entry) if asked else "",
        "in_all": max(0, now_there + most),
        "in_all_words": _heads(max(0, now_there + most), entry),
        "in_all_range": _span(area, now_there, (low, high), a_head),
        "law_binds": by_law is not None and by_law < by_litter,
        "law_share": share,
        "has_law": bool(legal),
        "by_law_words": _heads(max(0, now_there + (by_law or 0)), entry) if legal else "",
        "others": _others(now, plan, entry),
    }
    return found


def _id(plan: Plan, entry: AnimalClass) -> str:
    """The id of a class."""
    return next(
        key for key, each in plan.knowledge.animals.items() if each is entry or each.name == entry.name
    )


def _said(node: Any, now: Now) -> str:
    from advisor.dialogue.explain import said_value
    from advisor.plan.voice import Voice

    return Voice.bracketed(said_value(node, now.units))


def _meant(now: Now, plan: Plan | None) -> AnimalClass | None:
    """The class the message names, as the farm keeps it where it keeps its kind; else the one that takes most room."""
    from advisor.dialogue.asked_places import names_in

    animals = now.context.knowledge.animals
    named = names_in(now.text, now.context.names.animals)
    own = [told["class"] for told in now.draft.groups.values()]
    if named:
        same = [key for key in own if key == named[0] or animals[key].narrower_of == named[0]]
        same += [key for key in own if animals[key].species == animals[named[0]].species and key not in same]
        kin = [key for key in same if animals[key].weight.value > 0.5 * animals[named[0]].weight.value]
        return animals[kin[0] if kin else named[0]]
    if plan is None:
        return animals[own[0]] if own else None
    groups = sorted(plan.farm.groups, key=lambda group: -animals[group.class_].litter_space.value)
    return animals[groups[0].class_] if groups else None


def _a_head(plan: Plan, entry: AnimalClass) -> tuple[tuple[float, float, float], float]:
    """Bedded area a head (low, middle, high) and the legal least, of a class as kept or as held. [m2/head]"""
    key = _id(plan, entry)
    for group in plan.farm.groups:
        if group.class_ == key:
            space, legal = (plan.groups[group.id].get(n) for n in ("space_m2_head", "legal_space_m2_head"))
            if space is not None:
                return space.spread(), legal.spread()[1] if legal is not None else 0.0
    from advisor.science.space import legal_limit, limit_area

    regions = plan.engine.value("space_rules")
    weight = entry.weight.value
    limit, _ = legal_limit(regions, entry.species, key, weight)
    figure = entry.litter_space
    return (figure.low, figure.value, figure.high), limit_area(limit, weight) if limit else 0.0


def _span(area: float, there: int, needed: tuple[float, float], a_head: tuple[float, float, float]) -> str:
    """How many fit in all, at the most generous and at the closest room."""
    least = max(0, there + floor((area - needed[1]) / a_head[2]))
    most = max(0, there + floor((area - needed[0]) / a_head[0]))
    return sentence("asked_span", least=least, most=most) if least < most else str(most)


def _heads(number: int, entry: AnimalClass) -> str:
    return f"{number} {entry.name if number == 1 else entry.plural}"


def _others(now: Now, plan: Plan, entry: AnimalClass) -> str:
    from advisor.dialogue.phrases import joined

    key = _id(plan, entry)
    animals = now.context.knowledge.animals
    rest = [_heads(g.count, animals[g.class_]) for g in plan.farm.groups if g.class_ != key]
    return sentence("asked_beside", others=joined(rest)) if rest else ""


def _need_words(now: Now, entry: AnimalClass) -> dict[str, str]:
    from advisor.plan.voice import Voice
    from advisor.plan.wording import say_range

    figure = entry.litter_space
    shown = say_range(figure.low, figure.value, figure.high, figure.unit, now.units)
    return {"class_need": Voice.bracketed(shown)}


def sharing(now: Now, plan: Plan | None) -> Mapping[str, Any]:
    """Whether one kind may share the pack of another or follow on it, with the reason."""
    from advisor.dialogue.asked_places import names_in
    from advisor.plan.sections.sharing import may_follow, pair_words
    from advisor.plan.voice import sentences

    knowledge = now.context.knowledge
    classes = names_in(now.text, now.context.names.animals)
    named = [knowledge.animals[key].species for key in classes]
    named = list(dict.fromkeys(named))
    own = [knowledge.animals[told["class"]].species for told in now.draft.groups.values()]
    own = list(dict.fromkeys(own))
    said = f" {normal(now.text)} "
    if not named:
        return {"pair": False, "same_kind": False, "one_kind": False}
    other = named[0]
    kept = named[1] if len(named) > 1 else next((kind for kind in own if kind != other), "")
    if len(named) == 1 and len(set(classes)) > 1:
        kept = ""  # two classes of one kind: 'the tup with the ewes'
    if not kept:
        told = {
            "same_kind": other in own or len(set(classes)) > 1,
            "class_about": knowledge.animals[classes[0]].about,
        }
        return {"pair": False, "one_kind": True, **told, **_partners(now, other)}
    kinds = {name: sentences()[f"kind_{kind}"] for name, kind in (("other", other), ("kept", kept))}
    after = any(f" {word} " in said for word in table("after_words"))
    return {
        "pair": True,
        "same_kind": False,
        "one_kind": False,
        "after": after,
        "verdict": may_follow(knowledge, kept, other) or "unknown",
        "back": may_follow(knowledge, other, kept) or "unknown",
        "sharing": pair_words(knowledge, kept, other),
        **kinds,
    }


def _partners(now: Now, kind: str) -> dict[str, str]:
    """On whose pack a kind of animal may follow, and on whose never; empty where none is barred."""
    from advisor.dialogue.phrases import joined
    from advisor.plan.sections.sharing import may_follow
    from advisor.plan.voice import sentences

    knowledge = now.context.knowledge
    others = sorted({str(entry.species) for entry in knowledge.animals.values()} - {kind})
    found = {
        name: [each for each in others if may_follow(knowledge, each, kind) == name]
        for name in ("may", "never")
    }
    words = {
        name: joined([sentences()[f"kind_{each}"] for each in each_kind]) for name, each_kind in found.items()
    }
    nobody = sentence("asked_nobody")
    return {
        "kind": sentences()[f"kind_{kind}"],
        "may_after": words["may"] or nobody,
        "never_after": words["never"],
    }


def rules(now: Now, plan: Plan | None) -> Mapping[str, Any]:
    """Whose rules hold where the farm is, who has the last word, and the number to call."""
    regions = now.context.knowledge.regions
    region = regions.get(now.draft.at("region") or "")
    return {
        "region_known": region is not None,
        "region_name": region.name if region else "",
        "authority": (region or regions["generic"]).authority,
        "emergency": now.context.emergency(now.draft),
    }
