"""Answer, change, undo, save, reopen, ask why, in any order: the same facts always make the same plan."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from advisor.casebook import Casebook
from advisor.dialogue.building import farm_of
from advisor.dialogue.draft import draft_of, holds_facts
from advisor.dialogue.turn import turn
from advisor.plan.make import make_plan
from tests.dialogue.talking import TODAY, context, farm_facts

ANSWERS = (
    "12 cows", "8 cows and 5 calves", "30 ewes", "no, 9 cows", "100 m2", "12 m x 8 m", "sorry 10 m x 9 m",
    "5 November to 20 April", "150 days", "60 round bales of barley straw", "20 tonnes of wood chips", "none yet",
    "Ireland", "USA", "hay", "silage on the bed", "yes", "no", "tractor", "pigs", "none", "220 kg", "600 kg",
    "skip", "I don't know", "not sheep, they are goats", "concrete", "roofed",
)  # fmt: skip
QUESTIONS = (
    "why", "how", "how 1", "how 2", "sure", "source", "plan", "summary", "progress", "help", "save", "back",
    "what if I use wood chips instead", "what is the C:N of straw", "repeat", "US units", "asdf", "go to the dates",
)  # fmt: skip


def plain_plan(farm: Any) -> dict[str, Any]:
    """A plan made afresh, as numbers."""
    plan = make_plan(farm, context().knowledge, TODAY, draws=40, seed=1)
    return {name: node.spread() for name, node in plan.results.items() if node is not None}


class Conversation(RuleBasedStateMachine):
    """A case on disk, and a model of it: the facts after each message that may be taken back."""

    @initialize()
    def begin(self) -> None:
        self.folder = tempfile.TemporaryDirectory()
        self.book = Casebook(Path(self.folder.name))
        self.case = self.book.create("byre", TODAY, "animals")
        self.past: list[dict[str, Any]] = [{}]

    def say(self, message: str) -> None:
        before = self.case
        self.case, reply, _ = turn(self.case, message, context())
        with self.book.open("byre") as held:
            held.keep(self.case)
        assert reply.lines
        assert self.case.events[: len(before.events)] == before.events

    @rule(message=st.sampled_from(ANSWERS))
    def answer(self, message: str) -> None:
        self.say(message)
        if self.case.events and holds_facts(self.case.events[-1].acts):
            self.past.append(farm_facts(self.case))
        else:
            assert farm_facts(self.case) == self.past[-1]

    @rule(message=st.sampled_from(QUESTIONS))
    def ask(self, message: str) -> None:
        self.say(message)
        if holds_facts(self.case.events[-1].acts):  # units, or a question that tells something
            self.past.append(farm_facts(self.case))
        else:
            assert farm_facts(self.case) == self.past[-1]

    @rule()
    def undo(self) -> None:
        self.say("undo")
        if len(self.past) > 1:
            self.past.pop()
        assert farm_facts(self.case) == self.past[-1]

    @rule()
    def reopen(self) -> None:
        log = self.book.read("byre")
        assert not log.damage
        assert log.case == self.case
        self.case = log.case

    @invariant()
    def same_facts_same_plan(self) -> None:
        draft = draft_of(self.case)
        farm = farm_of(draft, context().knowledge)
        if farm is None:
            return
        plan = context().plan(draft)
        assert plan is not None
        if not hasattr(self, "checked"):
            self.checked: set[str] = set()
        key = farm.model_dump_json()
        if key in self.checked or len(self.checked) >= 2:  # a plan made twice is dear; two a run will do
            return
        self.checked.add(key)
        fresh = plain_plan(farm)
        assert {n: v.spread() for n, v in plan.results.items() if v is not None} == fresh

    def teardown(self) -> None:
        if hasattr(self, "folder"):
            self.folder.cleanup()


Conversation.TestCase.settings = settings(
    max_examples=12,
    stateful_step_count=12,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
TestConversation = Conversation.TestCase
