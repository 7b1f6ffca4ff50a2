"""Whatever was asked: not knowing, asking back, commands, alarms and thanks are heard as such."""

from __future__ import annotations

import pytest

from advisor.knowledge import knowledge
from advisor.language import Lexicon, lexicon, understand

SAID = {
    "I don't know": {"unsure"},
    "no idea": {"unsure"},
    "you tell me": {"unsure"},
    "don't ask me": {"unsure"},
    "I never measured it": {"unsure"},
    "why do you need to know that?": {"ask_why"},
    "what has that to do with compost": {"ask_why"},
    "go back": {"navigate"},
    "skip this one": {"navigate"},
    "show me the plan": {"navigate"},
    "what was the question?": {"navigate"},
    "my son is unconscious in the pit": {"danger"},
    "bull is attacking my wife": {"danger"},
    "thanks": {"chitchat"},
    "how much straw does a cow need a day": {"ask_fact", "ask_calc"},
    "which wormer should I use": {"out_of_scope"},
}


@pytest.fixture(scope="module")
def words() -> Lexicon:
    return lexicon(knowledge())


@pytest.mark.parametrize("text", SAID)
def test_it_is_heard_whatever_was_asked(words: Lexicon, text: str) -> None:
    for asked in words.tables.asked.values():
        if asked.slot == "name":  # there, nearly anything is a name
            continue
        question = asked.words.replace(": CLASS", ": ewe").replace(": MATERIAL", ": straw")
        found = understand(text, question, {}, words)
        assert found.kind in SAID[text], question
