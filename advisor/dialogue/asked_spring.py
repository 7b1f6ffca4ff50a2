"""Workings for questions about spring: when the compost is ready, how long to wait; what may be bedded on; the sick."""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil
from typing import TYPE_CHECKING, Any

from advisor.dialogue.phrases import joined, sentence
from advisor.dialogue.turn import Now

if TYPE_CHECKING:
    from advisor.knowledge import Figure
    from advisor.plan.make import Plan

_ALIKE = 1.1  # what soaks up no more than this many times as much as the other soaks up as much

_SIDES = (
    ("first", "first_soaks", "first_ratio", "first_about"),
    ("second", "second_soaks", "second_ratio", "second_about"),
)

__all__ = ["compare", "holds", "ready", "sick", "use_of", "waits"]


def waits(now: Now, plan: Plan | None) -> Mapping[str, Any]:
    """Days from spreading to harvest by the region's own rules; the longest held anywhere where it holds none."""
    from advisor.plan.sections.land import harvest_waits
    from advisor.plan.wording import say

    region, touching, clear = harvest_waits(now.draft.at("region"), now.context.knowledge)
    found: dict[str, Any] = {
        "own_rule": region is not None,
        "rule_region": region.name if region else "",
        "touching": say(touching.value, touching.unit, now.units),
        "clear": say(clear.value, clear.unit, now.units),
        "same_wait": touching.value == clear.value,
        "authority": (region or now.context.knowledge.regions["generic"]).authority,
    }
    return {**found, **ready(now, plan)}


def ready(now: Now, plan: Plan | None) -> Mapping[str, Any]:
    """The day of turnout, the day the heap is built and the day its compost is likely ready."""
    from advisor.plan.sections.dates import after_turnout
    from advisor.plan.wording import say, say_date

    after = after_turnout(plan) if plan is not None else None
    floor = sum(pen.area.value for pen in plan.farm.pens if pen.area is not None) if plan is not None else 0.0
    each = now.context.knowledge.figures["pig_turning_area"].figure
    pigs_for = ceil(floor / each.value) if each is not None else 0
    if plan is None or after is None:
        return {"dated": False, "has_pigs": False, "pigs_for": pigs_for}
    found: dict[str, Any] = {
        "pigs_for": pigs_for,
        "dated": True,
        "season_days": say(float(plan.timeline.days), "day", now.units, 3),
        "day_in": say_date(plan.timeline.start, now.units),
        "turnout": say_date(plan.timeline.end, now.units),
        "heaped": say_date(after.heap, now.units),
        "ready_known": after.ready is not None,
    }
    if after.ready is not None:
        import datetime as dt

        low, _, high = node.spread() if (node := plan.results["compost_ready_days"]) else (0.0, 0.0, 0.0)
        found["ready_day"] = say_date(after.ready, now.units)
        for name, days in (("ready_first", low), ("ready_last", high)):
            found[name] = say_date(after.heap + dt.timedelta(days=round(days)), now.units)
    if after.pigs_in is not None and after.pigs_out is not None:
        found["pigs_in"], found["pigs_out"] = (
            say_date(d, now.units) for d in (after.pigs_in, after.pigs_out)
        )
    return {**found, "has_pigs": after.pigs_in is not None, **_closed(now, plan)}


def _closed(now: Now, plan: Plan) -> dict[str, Any]:
    """What the rules held say of when it may be spread."""
    from advisor.plan.sections.land import when_lines
    from advisor.plan.voice import Voice

    return {"when_spread": " ".join(when_lines(Voice(plan, now.units))[:2])}


def use_of(now: Now, plan: Plan | None) -> Mapping[str, Any]:
    """Whether what the message names may be bedding under these animals, and how well it does."""
    from advisor.dialogue.asked_places import names_in
    from advisor.dialogue.lookup import ratio_of
    from advisor.plan.voice import Voice, sentences
    from advisor.plan.wording import say_range

    knowledge = now.context.knowledge
    named = names_in(now.text, now.context.names.materials)
    bad = [key for key in named if knowledge.materials[key].kind == "warning"]
    if not named:
        return {"known": False}
    key = (bad or named)[0]
    entry = knowledge.materials[key]
    species = names_in(now.text, now.context.names.animals)
    kept: set[str] = {knowledge.animals[one].species for one in species} or {
        knowledge.animals[told["class"]].species for told in now.draft.groups.values()
    }
    harmed = [sentences()[f"kind_{kind}"] for kind in sorted(set(entry.never_for) & kept)]
    soaks = entry.absorbency
    found: dict[str, Any] = {
        "known": True,
        "name": entry.name,
        "about": entry.about,
        "kind": entry.kind,
        "harms": bool(harmed),
        "harmed": joined(harmed) if harmed else "",
        "harms_others": joined([sentences()[f"kind_{one}"] for one in entry.never_for if one not in kept])
        if set(entry.never_for) - kept
        else "",
        "warns_others": bool(set(entry.never_for) - kept),
    }
    found["warning"] = _warning(now, plan, key, kept)
    ratio = ratio_of(entry)
    if soaks is not None:
        found["soaks"] = _times(soaks)
    if ratio is not None:
        found["ratio"] = Voice.bracketed(say_range(ratio.low, ratio.value, ratio.high, "c_to_n", now.units))
    return found


def _warning(now: Now, plan: Plan | None, key: str, species: set[str]) -> str:
    """The worst danger that a material would bring under these animals and that is not there already; '' for none."""
    from advisor.dialogue.agenda import facts_told
    from advisor.dialogue.overview import caution_text
    from advisor.reasoning.rules import cautions_for

    knowledge = now.context.knowledge
    before = {**facts_told(now.draft, knowledge), **(plan.facts if plan is not None else {})}
    before["species"] = sorted(species)
    entry, names = knowledge.materials[key], {*before.get("materials", ()), key}
    broader = entry.narrower_of
    after = {
        **before,
        "materials": sorted(names | ({broader} if broader else set())),
        "families": sorted({*before.get("families", ()), entry.family}),
    }
    known = {shown.id for shown in cautions_for(knowledge.cautions, before) if shown.certain}
    new = [c for c in cautions_for(knowledge.cautions, after) if c.certain and c.id not in known]
    return caution_text(new[0].caution, knowledge, now.units) if new else ""


def holds(now: Now, plan: Plan | None) -> Mapping[str, Any]:
    """What common bedding soaks up of water by its own weight: {straw_holds} and the like."""
    found: dict[str, Any] = {}
    for name, key in (
        ("straw_holds", "straw"),
        ("sawdust_holds", "dry_sawdust"),
        ("chips_holds", "wood_chips"),
    ):
        figure = now.context.knowledge.materials[key].absorbency
        if figure is not None:
            found[name] = _times(figure)
    return found


def compare(now: Now, plan: Plan | None) -> Mapping[str, Any]:
    """Two kinds of bedding that the message names, side by side."""
    from advisor.dialogue.asked_places import names_in
    from advisor.dialogue.lookup import ratio_of
    from advisor.plan.voice import Voice
    from advisor.plan.wording import say_range

    held = now.context.knowledge.materials
    named = list(dict.fromkeys(names_in(now.text, now.context.names.materials)))[:2]
    found: dict[str, Any] = {"two_named": False, "alike": False}
    soaks: list[tuple[float, str]] = []
    for places, key in zip(_SIDES, named, strict=False):
        entry, ratio = held[key], ratio_of(held[key])
        if entry.absorbency is None or ratio is None:
            return found
        soaks.append((entry.absorbency.value, entry.name))
        shown = say_range(ratio.low, ratio.value, ratio.high, "c_to_n", now.units)
        told = (entry.name, _times(entry.absorbency), Voice.bracketed(shown), entry.about)
        found |= dict(zip(places, told, strict=True))
    if len(soaks) == 2:
        less, more = sorted(soaks)
        found |= {"two_named": True, "alike": more[0] < _ALIKE * less[0], "better": more[1]}
    return found


def _times(figure: Figure) -> str:
    """'about 2.5 times its own weight (2 to 3.6)'."""
    from advisor.plan.wording import say_number

    low, value, high = (say_number(each) for each in (figure.low, figure.value, figure.high))
    return sentence("asked_times", value=value, low=low, high=high)


def sick(now: Now, plan: Plan | None) -> Mapping[str, Any]:
    """Who decides in the trouble on hand, and what it most likely is."""
    from advisor.dialogue.troubles import on_hand

    found = on_hand(now.draft, now.context)
    if found is None or not found.causes:
        return {"in_hand": False}
    first = found.causes[0]
    return {
        "in_hand": True,
        "likeliest": first.name,
        "who_decides": first.call or sentence("asked_vet"),
        "vet_decides": "vet" in first.call,
        "stopped": found.stopped,
    }
