"""What was found on a farm, for its plan: the trouble on hand, its likely causes, and what to do by how much.

A finding is a diagnosis made again from what the case holds and the farm as it stands, so that plan, season
advice and chat never say different things.
"""

from __future__ import annotations

from collections.abc import Sequence

from advisor.plan.document import Block, Paragraph, Points, Section
from advisor.troubles.diagnosis import Diagnosis, RankedCause
from advisor.troubles.effect import Difference
from advisor.troubles.weigh import PRESENT, UNKNOWN, WHERE
from advisor.troubles.words import (
    Units,
    amount_text,
    checked_text,
    danger_text,
    filled,
    phrases,
    remedy_text,
    season_text,
)

__all__ = ["causes_to_treat", "found_section", "found_short", "told_facts"]

_MOST_CAUSES = 3


def told_facts(found: Diagnosis, name: str) -> dict[str, str | bool]:
    """Facts of the farm that a sign or the result of a look tells."""
    knowledge, state = found.knowledge, found.told.get(name, UNKNOWN)
    if name in knowledge.signs:
        return dict(knowledge.signs[name].tells) if state == PRESENT else {}
    check = knowledge.checks.get(name)
    result = check.results.get(state) if check else None
    return dict(result.tells) if result else {}


def causes_to_treat(found: Diagnosis) -> tuple[RankedCause, ...]:
    """The likeliest cause, and a second one where that is likely as well."""
    second = [cause for cause in found.causes[1:2] if cause.word in ("very_likely", "likely")]
    return (*found.causes[:1], *second)


def found_short(found: Diagnosis, units: Units = "metric") -> list[str]:
    """The trouble on hand in a line, then its amounts; empty where nothing was told."""
    knowledge = found.knowledge
    if found.stopped:
        danger = found.dangers[0][1]
        return [_sentence("found_danger", name=danger.name, step=" ".join(danger.now))]
    if not found.causes:
        return []
    first = found.causes[0]
    sized = found.remedy(first.id)[0]
    step = filled(knowledge, knowledge.remedies[sized.remedy].today[0], units)
    line = _sentence(
        "found_short", signs=_signs(found), cause=first.name, word=_sentence(first.word), step=step
    )
    return [line, *(f"{amount_text(amount, units)}." for amount in sized.sum.amounts)]


def found_section(
    found: Diagnosis, units: Units = "metric", effects: Sequence[Difference] = ()
) -> Section | None:
    """The part of a plan that says what was found; None where nothing was told."""
    if not found.causes and not found.dangers:
        return None
    blocks: list[Block] = [_points(danger_text(found, danger, units)) for _, danger in found.dangers]
    if not found.stopped and found.causes:
        blocks += _causes(found, units)
        for cause in causes_to_treat(found):
            blocks += _steps(remedy_text(found, found.remedy(cause.id)[0], units))
            if cause.call:
                blocks.append(Paragraph(_sentence("who", who=cause.call)))
        if effects:
            blocks += _steps(season_text(effects, units))
    return Section("found", _sentence("found_title"), tuple(blocks))


def _causes(found: Diagnosis, units: Units) -> list[Block]:
    knowledge = found.knowledge
    blocks: list[Block] = [Paragraph(_sentence("found_seen", signs=_signs(found)), "lead")]
    looks = [
        checked_text(knowledge, name, state, units)
        for name, state in found.told.items()
        if name in knowledge.checks and name != WHERE and state != UNKNOWN
    ]
    if looks:
        blocks.append(Paragraph(_sentence("found_checked", checks="; ".join(looks))))
    named = [
        _sentence("found_cause", cause=cause.name, word=_sentence(cause.word))
        for cause in found.causes[:_MOST_CAUSES]
    ]
    blocks.append(Paragraph(_sentence("found_causes", causes="; ".join(named))))
    reasons = dict.fromkeys(reason.why for reason in found.causes[0].because)
    blocks.append(Paragraph(" ".join([found.causes[0].about, *list(reasons)[:3]]), "reason"))
    if found.next_check is not None:
        blocks.append(Paragraph(_sentence("found_open", ask=filled(knowledge, found.next_check.ask, units))))
    return blocks


def _signs(found: Diagnosis) -> str:
    names = [
        found.knowledge.signs[name].name
        for name, state in found.told.items()
        if name in found.knowledge.signs and state == PRESENT
    ]
    return ", ".join(names) or "-"


def _points(text: str) -> Points:
    return Points(tuple(line.removeprefix("- ") for line in text.splitlines()))


def _steps(text: str) -> list[Block]:
    """Lines of a remedy: those with a dash gathered into lists, the rest as paragraphs."""
    blocks: list[Block] = []
    items: list[str] = []
    for line in [*text.splitlines(), ""]:
        if line.startswith("- "):
            items.append(line.removeprefix("- "))
            continue
        if items:
            blocks.append(Points(tuple(items)))
            items = []
        if line.strip():
            blocks.append(Paragraph(line.strip()))
    return blocks


def _sentence(name: str, /, **values: object) -> str:
    return phrases()["sentences"][name].format(**values)
