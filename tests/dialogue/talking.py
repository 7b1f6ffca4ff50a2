"""Hold a conversation in a test."""

from __future__ import annotations

import datetime as dt
from functools import cache
from typing import Any

from advisor.casebook import Case, new_case
from advisor.dialogue.context import Context
from advisor.dialogue.draft import draft_of
from advisor.dialogue.hearing import context_for
from advisor.dialogue.reply import Effect, Reply
from advisor.dialogue.turn import turn
from advisor.knowledge import knowledge

TODAY = dt.date(2026, 10, 4)


@cache
def context(draws: int = 40) -> Context:
    """One context for all tests: few draws, as no test reads a range."""
    return context_for(knowledge(), TODAY, draws=draws)


class Talk:
    """A case and the last reply."""

    def __init__(self, *messages: str) -> None:
        self.case: Case = new_case("test", TODAY, "animals")
        self.reply: Reply | None = None
        self.effects: tuple[Effect, ...] = ()
        self.say(*messages)

    def say(self, *messages: str) -> Talk:
        """Say them one after another."""
        for message in messages:
            self.case, self.reply, self.effects = turn(self.case, message, context())
        return self

    def at(self, place: str) -> Any:
        """What was told at a place."""
        return draft_of(self.case).at(place)

    def value(self, place: str) -> float:
        """The amount told at a place."""
        return round(float(self.at(place)["value"]), 4)

    @property
    def asks(self) -> str | None:
        """The question now open."""
        return self.case.asked

    def heard(self, *roles: str) -> str:
        """The words of the last reply, or of its lines with these roles."""
        assert self.reply is not None
        return "\n".join(line.text for line in self.reply.lines if not roles or line.role in roles)


def farm_facts(case: Case) -> dict[str, Any]:
    """What was told, as plain data."""
    return dict(draft_of(case).farm)


def numbers(case: Case) -> dict[str, float]:
    """The headline results of the plan for a case."""
    from advisor.plan.results import HEADLINES

    plan = context().plan(draft_of(case))
    assert plan is not None
    return {name: plan.number(name) or 0.0 for name in HEADLINES}


FARMS: dict[str, tuple[str, ...]] = {
    "suckler cows": (
        "12 suckler cows and 11 calves",
        "9 m x 12 m",
        "5 November to 20 April",
        "60 round bales of barley straw",
        "Ireland",
        "silage at a barrier",
        "yes",
        "tractor",
    ),
    "ewes": (
        "40 ewes",
        "80 m2",
        "mid December to end of March",
        "3 tonnes of straw",
        "Scotland",
        "hay",
        "yes",
        "fork",
    ),
    "hens": (
        "80 laying hens",
        "6 m x 5 m",
        "1 November for 150 days",
        "30 bags of wood shavings",
        "England",
        "layers pellets",
        "hens",
        "none",
    ),
    "horses": (
        "3 horses and a pony",
        "12 ft x 40 ft",
        "150 days",
        "none yet",
        "USA",
        "hay on the bed",
        "no",
        "tractor",
    ),
    "pigs": (
        "5 sows",
        "40 m2",
        "from 1 November to 1 April",
        "40 small bales of oat straw",
        "Sweden",
        "grain",
        "no",
        "pigs",
    ),
    "nothing known": (
        "some goats",
        "about 20",
        "no idea",
        "dunno",
        "skip",
        "I don't know",
        "skip",
        "not sure",
    ),
}
