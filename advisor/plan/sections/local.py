"""What the region's own rule set says on a matter, in words; good practice where it holds none."""

from __future__ import annotations

from advisor.farm.facts import own_rules
from advisor.knowledge.models import LocalRule, Region
from advisor.knowledge.prose import filled
from advisor.plan.voice import Voice

__all__ = ["held_rules", "local_rules"]


def held_rules(voice: Voice, matter: str) -> list[tuple[Region, LocalRule]]:
    """The rules on a matter of the nearest rule set that has any: the region's own, then those it inherits."""
    every = voice.knowledge.regions
    for region in (*own_rules(voice.plan.farm.region, voice.knowledge), every["generic"]):
        found = [(region, rule) for rule in region.rules if rule.matter == matter]
        if found:
            return found
    return []


def local_rules(voice: Voice, matter: str) -> list[str]:
    """A sentence a rule: what it asks, where, and whether it is law, advice, or told from memory."""
    lines = []
    for region, rule in held_rules(voice, matter):
        kind = "local_anywhere" if region is voice.knowledge.regions["generic"] else "local_advice"
        kind = "local_law" if rule.law else kind
        text = filled(rule.text, voice.knowledge, voice.units, rule.figures)
        memory = voice.text("local_memory") if rule.seen in ("memory", "judgement", "common-practice") else ""
        lines.append(voice.text(kind, region=region.name, rule=text) + memory)
    return lines
