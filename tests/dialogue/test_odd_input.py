"""Nonsense, nothing, a page of text, control characters: one kind sentence, the question again, nothing lost."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.cli.drawing import drawn
from advisor.dialogue.draft import draft_of
from advisor.dialogue.turn import turn
from tests.dialogue.talking import Talk, context, farm_facts


@pytest.mark.parametrize("message", ["", "   ", "\t", "\x00", "???", "...", "\u200b\u202e", "\ufeff"])
def test_nothing_said_keeps_the_question_and_writes_nothing(message: str) -> None:
    talk = Talk("12 cows")
    events = len(talk.case.events)
    talk.say(message)
    assert len(talk.case.events) == events
    assert talk.asks == "pen_area"
    assert "How big" in talk.heard("question")


@pytest.mark.parametrize(
    "message",
    ["asdf qwer zxcv", "lorem ipsum dolor", "<b onclick='x()'>{% for c in x %}", "{name} {0}", "%s %n"],
)
def test_nonsense_changes_nothing(message: str) -> None:
    talk = Talk("12 cows")
    facts = farm_facts(talk.case)
    talk.say(message)
    assert farm_facts(talk.case) == facts
    assert talk.asks == "pen_area"


def test_a_page_of_text_is_taken_and_answered() -> None:
    page = "We had a long wet summer and the hay was late. " * 400
    talk = Talk("12 cows", page)
    assert talk.asks is not None
    assert talk.case.events[-1].message == page
    assert draft_of(talk.case).at("groups.cow.count") == 12


def test_impossible_values_are_queried_not_kept() -> None:
    talk = Talk(
        "12 cows", "100 m2", "5 Nov to 1 April", "none yet", "Ireland", "hay", "no", "tractor", "none"
    )
    facts = farm_facts(talk.case)
    talk.say("they weigh 90000 kg each")
    assert farm_facts(talk.case) == facts


@settings(max_examples=60)
@given(st.text(max_size=200))
def test_any_text_gets_an_answer_that_can_be_shown(message: str) -> None:
    talk = Talk()
    case, reply, _ = turn(talk.case, message, context())
    assert reply.lines
    for width in (None, 60):
        shown = drawn(reply.lines, width, colour=False)
        assert all(char == "\n" or char.isprintable() for char in shown)
        assert width is None or all(len(line) <= width for line in shown.splitlines())
    assert case.events in ((), case.events[:1])
