"""What the places and conditions of an answer stand for: results of the plan, figures, and workings."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cached_property
from typing import TYPE_CHECKING, Any

from advisor.dialogue.agenda import facts_told
from advisor.dialogue.turn import Now

if TYPE_CHECKING:
    from advisor.knowledge import Figure
    from advisor.knowledge.models_asked import Asked, Said
    from advisor.plan.make import Plan
    from advisor.reasoning.engine import Node

__all__ = ["ALWAYS", "Amount", "Places"]

#: what conditions may read besides facts, results and the workings of the entry
ALWAYS = (
    "has_plan",
    "dates_told",
    "own_species",
    "asked_species",
    "asked_class",
    "asked_material",
    "last_told",
)

_PER = re.compile(r" an? [a-z ]+$")
_REFERENCE = re.compile(r"\{(\w+)")
_MOST_WORDS = 4


class Amount:
    """A number in words: with its range, or by {place:value} its middle alone, by {place:plain} without "a head"."""

    def __init__(self, said: str) -> None:
        self.said = said

    def __format__(self, spec: str) -> str:
        from advisor.plan.voice import Voice

        if spec == "value":
            return self.said.partition("; ")[0].removeprefix("about ")
        if spec == "plain":
            return Voice.bracketed("; ".join(_PER.sub("", part) for part in self.said.split("; ")))
        return Voice.bracketed(self.said)


class Places(Mapping[str, Any]):
    """The values of an entry's places, worked out as they are asked for. A KeyError says that there is none."""

    def __init__(self, now: Now, entry: Asked) -> None:
        self.now, self.entry = now, entry

    @cached_property
    def plan(self) -> Plan | None:
        """The case's own plan."""
        return self.now.context.plan(self.now.draft)

    @cached_property
    def worked(self) -> Mapping[str, Any]:
        """What the workings named by the entry give."""
        from advisor.dialogue.asked_workings import WORKINGS

        found: dict[str, Any] = {}
        for name in self.entry.worked:
            found |= WORKINGS[name](self.now, self.plan)
        return found

    @cached_property
    def facts(self) -> Mapping[str, Any]:
        """What conditions may read."""
        draft, knowledge = self.now.draft, self.now.context.knowledge
        facts: dict[str, Any] = dict(facts_told(draft, knowledge))
        facts |= self.plan.facts if self.plan is not None else {}
        animals, materials = self.named
        own = {knowledge.animals[told["class"]].species for told in draft.groups.values()}
        meant = [knowledge.animals[key].species for key in animals]
        facts |= {
            "has_plan": self.plan is not None,
            "dates_told": self.plan is not None and self.plan.timeline.dates_told,
            "own_species": sorted(own),
            "asked_species": sorted(set(meant)) or sorted(own),
            "asked_class": animals[0] if animals else "",
            "asked_material": materials[0] if materials else "",
            "last_told": self._last_told(),
        }
        return {**facts, **self.worked}

    @cached_property
    def named(self) -> tuple[list[str], list[str]]:
        """The classes and materials that the message names, in order."""
        names = self.now.context.names
        return names_in(self.now.text, names.animals), names_in(self.now.text, names.materials)

    def _last_told(self) -> str:
        """What the newest fact was of: 'area', 'bedding', 'animals' or something else."""
        places = [str(act["set"]) for event in self.now.case.events for act in event.acts if "set" in act]
        last = places[-1] if places else ""
        if last.endswith(".area"):
            return "area"
        return {"materials": "bedding", "groups": "animals"}.get(
            last.partition(".")[0], "other" if last else ""
        )

    def result(self, name: str) -> Node | None:
        """A result of the plan: of the farm, else of its first pen or group."""
        if self.plan is None:
            return None
        places = [self.plan.results, *self.plan.pens.values(), *self.plan.groups.values()]
        return next((node for place in places if (node := place.get(name)) is not None), None)

    def figures_in(self, said: Said, entry: Asked) -> tuple[Figure, ...]:
        """The figures of the knowledge base that an answer speaks of."""
        text = " ".join((said.says, said.because, said.way_on))
        held = self.now.context.knowledge.figures
        names = [*_REFERENCE.findall(text), *entry.also]
        kept = [name for name in dict.fromkeys(names) if name in held and name not in self.worked]
        return tuple(figure for name in kept if (figure := held[name].figure) is not None)

    def __getitem__(self, name: str) -> Any:
        from advisor.dialogue.explain import said_value
        from advisor.plan.wording import say_range, shown_unit

        units = self.now.units
        if name in self.worked:
            return self.worked[name]
        node = self.result(name)
        if node is not None:
            return Amount(said_value(node, units))
        entry = self.now.context.knowledge.figures.get(name)
        if entry is None or entry.figure is None:
            raise KeyError(name)
        figure = entry.figure
        return Amount(say_range(figure.low, figure.value, figure.high, shown_unit(name, figure.unit), units))

    def __iter__(self) -> Any:
        return iter(self.worked)

    def __len__(self) -> int:
        return len(self.worked)


def names_in(text: str, names: Mapping[str, str]) -> list[str]:
    """The ids whose names stand in a text, the longest name first at each place."""
    from advisor.dialogue.phrases import normal, table

    said = f" {normal(text)} "
    for phrase in table("not_names"):
        said = said.replace(f" {phrase} ", " ")
    words = said.split()
    found: list[str] = []
    at = 0
    while at < len(words):
        for length in range(min(_MOST_WORDS, len(words) - at), 0, -1):
            said = " ".join(words[at : at + length])
            key = names.get(said) or names.get(said.removesuffix("s"))
            if key:
                found.append(key)
                at += length
                break
        else:
            at += 1
    return found
