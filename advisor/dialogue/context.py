"""What a turn needs besides the case and the message, and the plans worked out along the way."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any, Protocol

from advisor.dialogue.building import farm_of
from advisor.dialogue.draft import Draft
from advisor.dialogue.names import Names
from advisor.knowledge import Knowledge
from advisor.plan.wording import Units

if TYPE_CHECKING:
    from advisor.plan.make import Plan

__all__ = ["Answer", "Context", "Heard", "InPassing", "Listen", "Told", "Workings"]

_PLANS_KEPT = 6


class Heard(Protocol):
    """What the dialogue uses of a reading of a message (see advisor/language)."""

    @property
    def kind(self) -> str: ...
    @property
    def also(self) -> tuple[str, ...]: ...
    @property
    def act(self) -> str: ...
    @property
    def facts(self) -> Mapping[str, Any]: ...
    @property
    def asks_back(self) -> tuple[str, ...]: ...


class Told(Protocol):
    """An answer told in passing (see knowledge/words/unasked.yaml)."""

    @property
    def question(self) -> str: ...
    @property
    def choice(self) -> str: ...
    @property
    def sets(self) -> Mapping[str, Any]: ...
    @property
    def beside(self) -> str: ...


#: (message, neutral words of the open question or None, facts told so far, today) -> what it means
Listen = Callable[[str, str | None, Mapping[str, Any], dt.date], Heard]
#: (message, which entries may be told) -> each entry told with its words, and the rest of the message
InPassing = Callable[[str, Callable[[Told], bool]], tuple[tuple[tuple[Told, str], ...], str]]
#: (reading, emergency number or '') -> the words for an alarm, for what is declined or for what is unclear
Answer = Callable[[Heard, str], str]


def said_in_feet(told: object) -> bool:
    """Whether any amount was told in feet or pounds: an answer in kind is easier to check."""
    if isinstance(told, Mapping):
        if "said" in told:
            return any(f" {word}" in str(told["said"]) for word in ("ft", "lb", "short ton"))
        return any(said_in_feet(each) for each in told.values())
    return False


@dataclass
class Workings:
    """Plans already worked out, by the facts they came from. Only a memory: it changes no answer."""

    plans: dict[str, Plan] = field(default_factory=dict)

    def plan(self, draft: Draft, context: Context) -> Plan | None:
        """The plan for a draft, or None while no animals are known."""
        farm = farm_of(draft, context.knowledge)
        if farm is None:
            return None
        key = f"{context.today} {context.seed} {context.draws} {farm.model_dump_json()}"
        if key not in self.plans:
            from advisor.plan.make import make_plan

            while len(self.plans) >= _PLANS_KEPT:
                del self.plans[next(iter(self.plans))]
            self.plans[key] = make_plan(
                farm, context.knowledge, context.today, draws=context.draws, seed=context.seed
            )
        return self.plans[key]

    def ready(self, draft: Draft, context: Context) -> bool:
        """Whether the plan for a draft is at hand without working it out."""
        farm = farm_of(draft, context.knowledge)
        key = f"{context.today} {context.seed} {context.draws} {farm.model_dump_json()}" if farm else ""
        return key in self.plans


@dataclass(frozen=True)
class Context:
    """The knowledge, the day, and how to listen. The same case, message and context give the same reply."""

    knowledge: Knowledge
    today: dt.date
    listen: Listen
    answer: Answer
    in_passing: InPassing
    units: Units = "metric"
    seed: int = 1
    draws: int = 200
    workings: Workings = field(default_factory=Workings, compare=False)

    def units_of(self, draft: Draft) -> Units:
        """The units to speak in: as chosen, else as the region is used to, else as the machine is."""
        chosen = draft.at("units")
        if chosen in ("metric", "us"):
            units: Units = chosen
            return units
        region = self.knowledge.regions.get(draft.at("region") or "")
        if region:
            return region.units
        return "us" if said_in_feet(draft.farm) else self.units

    def emergency(self, draft: Draft) -> str:
        """The number to call where the farm is."""
        region = self.knowledge.regions.get(draft.at("region") or "generic")
        return region.emergency if region else ""

    def plan(self, draft: Draft) -> Plan | None:
        """The plan for what was told so far."""
        return self.workings.plan(draft, self)

    @cached_property
    def names(self) -> Names:
        """Names of animals and materials."""
        return Names.of(self.knowledge)

    @cached_property
    def small_facts(self) -> frozenset[str]:
        """Facts that rules and cautions read: what decides advice though no number moves with it."""
        from advisor.reasoning.rules import condition_of

        whens = [rule.when for rule in self.knowledge.rules.values()]
        whens += [caution.when for caution in self.knowledge.cautions.values()]
        return frozenset(name for when in whens for name in condition_of(when).names)
