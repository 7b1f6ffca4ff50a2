"""Why a cause stands where it stands, and what would change it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from advisor.knowledge import Knowledge
from advisor.knowledge.figure import Seen
from advisor.reasoning.rules import condition_of
from advisor.troubles.weigh import ABSENT, PRESENT, UNKNOWN, WHERE, Evidence, Scale, Weighed, outlook, spoken

__all__ = ["Change", "Reason", "reasons_for", "unexplained", "what_changes"]


@dataclass(frozen=True)
class Reason:
    """One piece of evidence for (weight above zero) or against a cause. The weight is a log of odds."""

    kind: Literal["sign", "check", "fact"]
    id: str
    state: str
    why: str
    weight: float
    source: str | None
    seen: Seen


@dataclass(frozen=True)
class Change:
    """A result not yet known that would put another cause first."""

    check: str
    result: str
    cause: str
    chance: float
    likely: float


def reasons_for(
    knowledge: Knowledge, cause: str, evidence: Evidence, facts: Mapping[str, object]
) -> list[Reason]:
    """Every piece of evidence that speaks about a cause, weightiest first."""
    scale = Scale(knowledge)
    entry = knowledge.causes[cause]
    out: list[Reason] = []
    for name, state in evidence.items():
        if name in entry.signs and state in (PRESENT, ABSENT):
            link = entry.signs[name]
            alone = scale.alone(name)
            strength = scale.of(link.strength)
            shows = alone * strength if link.strength == "against" else 1 - (1 - alone) * (1 - strength)
            weight = math.log(shows / alone) if state == PRESENT else math.log((1 - shows) / (1 - alone))
            out.append(Reason("sign", name, state, link.why, weight, link.source, link.seen))
        elif name in entry.checks and state != UNKNOWN:
            found = entry.checks[name]
            check = knowledge.checks[name]
            chances = spoken(scale, check, name, entry) or scale.usual(check)
            weight = math.log(chances[state] / scale.usual(check)[state])
            out.append(Reason("check", name, state, found.why, weight, found.source, found.seen))
    for lean in entry.leans:
        if lean.by != "ruled_out" and condition_of(lean.when)(facts) is True:
            weight = math.log(scale.of(lean.by))
            out.append(Reason("fact", lean.when, "true", lean.why, weight, lean.source, lean.seen))
    return sorted(out, key=lambda reason: (-abs(reason.weight), reason.id))


def unexplained(knowledge: Knowledge, cause: str, evidence: Evidence) -> tuple[str, ...]:
    """Signs that are there and that this cause does not bring about."""
    links = knowledge.causes[cause].signs
    return tuple(
        knowledge.signs[name].name
        for name, state in evidence.items()
        if state == PRESENT and (name not in links or links[name].strength == "against")
    )


_LEVEL = 1e-9  # chances nearer than this stand level


def what_changes(
    knowledge: Knowledge, weighed: Weighed, evidence: Evidence, most: int = 3
) -> tuple[Change, ...]:
    """The likeliest results not yet known that would put another cause first."""
    leader = weighed.names.index(weighed.ranked()[0][0])
    place = evidence.get(WHERE)
    found: list[Change] = []
    for name, check in knowledge.checks.items():
        if name in evidence or (check.place and place and check.place != place):
            continue
        for one in outlook(knowledge, weighed, name):
            row = int(one.chances.argmax())
            if one.chances[row] > one.chances[leader] + _LEVEL:
                change = Change(name, one.result, weighed.names[row], float(one.chances[row]), one.likely)
                found.append(change)
    found.sort(key=lambda change: (-change.likely * change.chance, change.check, change.result))
    seen: set[str] = set()
    kept = []
    for change in found:
        if change.cause not in seen:
            seen.add(change.cause)
            kept.append(change)
    return tuple(kept[:most])
