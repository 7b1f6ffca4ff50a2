"""The reading of a message: kind, act, facts, and one line saying what was understood."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from advisor.language.acts import Meaning, find_meaning
from advisor.language.lexicon import Lexicon
from advisor.language.scan import Scan

__all__ = ["Reading", "understand_scan"]

_ACTS = {
    "answer": "record", "volunteer": "record", "correction": "record", "unsure": "offer_default", "ask_fact": "answer",
    "ask_calc": "answer", "ask_why": "answer", "ask_how": "answer", "trouble": "diagnose", "navigate": "navigate",
    "danger": "alarm", "out_of_scope": "decline", "chitchat": "chat",
}  # fmt: skip
_RECORDS = {"answer", "volunteer", "correction"}


@dataclass(frozen=True)
class Reading:
    """What a message means."""

    kind: str
    act: str
    also: tuple[str, ...] = ()
    about: tuple[str, ...] = ()
    facts: Mapping[str, Any] = field(default_factory=dict)
    asks_back: tuple[str, ...] = ()
    queried: tuple[str, ...] = ()
    outside: str = ""
    echo: str = ""


def _act(meaning: Meaning) -> str:
    if meaning.nothing:
        return "reask"
    if meaning.kind in _RECORDS:
        if meaning.queried:
            return "query_value"
        if meaning.clarify:
            return "clarify"
    return _ACTS[meaning.kind]


def understand_scan(scan: Scan, before: Mapping[str, Any], lexicon: Lexicon) -> Reading:
    """Read a scanned message."""
    meaning = find_meaning(scan, before, lexicon)
    act = _act(meaning)
    facts = {k: v for k, v in meaning.facts.items() if v not in (None, [], "")}
    return Reading(
        meaning.kind, act, tuple(meaning.also), tuple(meaning.about), facts, tuple(meaning.clarify),
        tuple(meaning.queried), meaning.outside, _echo(facts),
    )  # fmt: skip


def _echo(facts: Mapping[str, Any]) -> str:
    """One line in the user's own amounts."""
    parts: list[str] = []
    for animal in facts.get("animals", []):
        count = animal.get("count", "")
        if "count_range" in animal:
            count = "{:g} to {:g}".format(*animal["count_range"])
        weight = f" of {animal['weight_as']}" if animal.get("weight_as") else ""
        parts.append(f"{count} {animal['class']}{weight}".strip())
    for material in facts.get("materials", []):
        amount = material.get("amount", "")
        if "amount_range" in material:
            amount = "{:g} to {:g}".format(*material["amount_range"])
        unit = material.get("unit", "")
        each = f" of {material['unit_mass_as']} each" if material.get("unit_mass_as") else ""
        parts.append(" ".join(f"{material['name']} {amount} {unit}{each}".split()))
    for key, label in (
        ("area_as", "floor"),
        ("depth_as", "depth"),
        ("hours_as", "hours indoors"),
        ("rate_as", "added"),
    ):
        if facts.get(key):
            parts.append(f"{label} {facts[key]}")
    for key, label in (("start", "in"), ("end", "out")):
        if facts.get(key):
            parts.append(f"{label} {facts[key]}")
    if facts.get("days_as") and facts["days_as"] != "from dates":
        parts.append(f"for {facts['days_as']}")
    for quantity in facts.get("quantities", []):
        parts.append(f"{quantity['of']} {quantity.get('as', quantity.get('value', ''))}".strip())
    parts += [f"no {name}" for name in (*facts.get("no_animals", []), *facts.get("no_materials", []))]
    parts += [str(choice) for choice in facts.get("choice", [])]
    if facts.get("yes_no"):
        parts.append(facts["yes_no"])
    return "; ".join(parts)
