"""Which questions are open, and which comes next.

A question is named by its key: its id, and after a colon the group or material it is asked of.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from advisor.dialogue.draft import Draft
from advisor.knowledge import Knowledge
from advisor.knowledge.models import Question

__all__ = ["Ask", "answered", "ask_of", "choices_of", "facts_told", "next_ask", "open_asks"]


@dataclass(frozen=True)
class Ask:
    """A question asked of one subject."""

    id: str
    question: Question
    subject: str = ""

    @property
    def key(self) -> str:
        """Its name in a case."""
        return f"{self.id}:{self.subject}" if self.subject else self.id

    def name(self, draft: Draft, knowledge: Knowledge) -> str:
        """The plain name of what it is asked of, in the plural for animals."""
        if self.question.each == "group" and self.subject in draft.groups:
            return knowledge.animals[draft.groups[self.subject]["class"]].plural
        if self.question.each == "material" and self.subject in knowledge.materials:
            return knowledge.materials[self.subject].name
        return ""

    def text(self, draft: Draft, knowledge: Knowledge) -> str:
        """The question as asked."""
        return self.question.text.format(name=self.name(draft, knowledge), pack=self._pack(draft, knowledge))

    def _pack(self, draft: Draft, knowledge: Knowledge) -> str:
        """What the material comes in: 'round bale', 'bag'."""
        entry = knowledge.materials.get(self.subject)
        packs = entry.packs if entry else {}
        kind = draft.materials.get(self.subject, {}).get(
            "pack", next(iter(packs), "") if len(packs) == 1 else ""
        )
        return packs[kind].name if kind in packs else "bale"

    def neutral(self, draft: Draft, knowledge: Knowledge) -> str:
        """The question in neutral words, for the reading of the answer."""
        words = self.question.neutral[-1]
        if self.question.each == "group" and self.subject in draft.groups:
            words = words.replace("CLASS", knowledge.animals[draft.groups[self.subject]["class"]].name)
        return words.replace("MATERIAL", self.name(draft, knowledge))


def ask_of(key: str | None, draft: Draft, knowledge: Knowledge) -> Ask | None:
    """The question with a key; None where it or its subject is no longer there."""
    name, _, subject = (key or "").partition(":")
    question = knowledge.questions.get(name)
    if question is None or subject not in _subjects(question, draft):
        return None
    return Ask(name, question, subject)


def choices_of(ask: Ask, knowledge: Knowledge) -> Mapping[str, tuple[str, ...]]:
    """The choices of a question and the words for each; those of the region are the regions held."""
    if ask.id == "region":
        return {
            key: (region.name, *region.words, key.replace("_", " "))
            for key, region in knowledge.regions.items()
            if key != "generic"
        }
    if ask.question.each == "material" and ask.question.choices:
        packs = knowledge.materials[ask.subject].packs
        return {key: words for key, words in ask.question.choices.items() if key in packs}
    return ask.question.choices


def open_asks(draft: Draft, knowledge: Knowledge) -> list[Ask]:
    """Every question that applies and is neither answered, skipped nor said to be unknown; early ones first."""
    facts = facts_told(draft, knowledge)
    found = [
        ask
        for ask in _every(draft, knowledge)
        if ask.key not in draft.skipped
        and ask.key not in draft.unknown
        and _applies(ask, draft, facts, knowledge)
        and not answered(ask, draft)
    ]
    return sorted(found, key=lambda ask: ask.question.early if ask.question.early is not None else 1e9)


def next_ask(draft: Draft, knowledge: Knowledge, narrowing: Callable[[list[Ask]], Ask | None]) -> Ask | None:
    """What to ask next: needed first, then the early ones in order, then the one that narrows most.

    A question that the plan needs comes back even after it was skipped.
    """
    facts = facts_told(draft, knowledge)
    for ask in _every(draft, knowledge):
        if (
            ask.question.needed
            and not answered(ask, draft)
            and _applies(ask, draft, facts, knowledge)
            and ask.key not in draft.unknown
        ):
            return ask
    found = open_asks(draft, knowledge)
    if not found:
        return None
    if found[0].question.early is not None:
        return found[0]
    return narrowing(found) or found[0]


def answered(ask: Ask, draft: Draft) -> bool:
    """Whether what it asks was told."""
    question = ask.question
    if ask.id == "amount":
        told = draft.materials.get(ask.subject, {})
        return any(name in told for name in ("amount", "packs", "volume"))
    if ask.id == "animals":
        return bool(draft.groups)
    if ask.id == "bedding":
        held = draft.at("materials")
        return held is not None and (not held or any(told.get("bedding", True) for told in held.values()))
    if ask.id == "dates":
        return any(draft.at(name) is not None for name in ("end", "days"))
    given = {path for choice in question.gives.values() for path in choice}
    for pattern in (*question.paths, *given):
        places = draft.places(pattern, ask.subject, question.classes)
        if places and all(draft.at(place) is not None for place in places):
            return True
    return False


def facts_told(draft: Draft, knowledge: Knowledge) -> dict[str, Any]:
    """What conditions may read of the facts told, without working out a plan."""
    facts: dict[str, Any] = {
        name: draft.at(place)
        for name, place in (
            ("region", "region"), ("climate", "climate"), ("turned_by", "turning.by"),
            ("grain_in_bed", "turning.grain"), ("pigs_allowed", "turning.allowed"),
            ("pigs_nose_ringed", "turning.nose_ringed"), ("shares_pack", "shares_pack"),
            ("compost_for", "land.use"), ("roof", "pens.pen.roof"), ("floor", "pens.pen.floor"),
        )
    }  # fmt: skip
    facts |= dict(draft.farm.get("facts", {}))
    classes = [told["class"] for told in draft.groups.values()]
    if classes:
        facts["classes"] = sorted(set(classes))
        facts["species"] = sorted({knowledge.animals[name].species for name in classes})
        facts["mixed_species"] = len(facts["species"]) > 1
        for name, field in (("any_births_due", "births_due"), ("any_horned", "horned")):
            facts[name] = _any(told.get(field) for told in draft.groups.values())
        feeds = [told.get("feed", {}) for told in draft.groups.values()]
        facts["any_feed_on_bed"] = _any(feed.get("on_bed") for feed in feeds)
        if any(feed.get("kind") for feed in feeds):
            facts["feeds"] = sorted({feed["kind"] for feed in feeds if feed.get("kind")})
    if draft.materials:
        facts["materials"] = sorted(draft.materials)
        facts["families"] = sorted({knowledge.materials[name].family for name in draft.materials})
    roof = facts.get("roof")
    facts["any_open"] = None if roof is None else roof != "roofed"
    floor = facts.get("floor")
    facts["any_earth_floor"] = None if floor is None else floor == "earth"
    return {name: value for name, value in facts.items() if value is not None}


def _any(values: Iterator[Any]) -> bool | None:
    known = list(values)
    if any(value is True for value in known):
        return True
    return None if any(value is None for value in known) else False


def _every(draft: Draft, knowledge: Knowledge) -> Iterator[Ask]:
    for name, question in knowledge.questions.items():
        for subject in _subjects(question, draft):
            yield Ask(name, question, subject)


def _subjects(question: Question, draft: Draft) -> tuple[str, ...]:
    if question.each == "group":
        return tuple(sorted(draft.groups))
    if question.each == "material":
        return tuple(sorted(draft.materials))
    return ("",)


def _applies(ask: Ask, draft: Draft, facts: Mapping[str, Any], knowledge: Knowledge) -> bool:
    question = ask.question
    if question.classes and not set(question.classes) & set(facts.get("classes", ())):
        return False
    if question.each == "material":
        told = draft.materials[ask.subject]
        entry = knowledge.materials[ask.subject]
        if entry.kind != "bedding":
            return False
        # What a bale weighs matters only where bales were counted; its kind only where several are made.
        if "bale_mass_kg" in question.fills:
            kind_known = "pack" in told or "pack_mass" in told
            return "packs" in told and kind_known != bool(question.choices) and "pack_mass" not in told
        if ask.id == "amount":
            return True
    if question.when == "true":
        return True
    from advisor.reasoning.rules import condition_of

    # A condition not yet settled is left for later, except where it may already hold for all we know.
    return condition_of(question.when)(facts) is True
