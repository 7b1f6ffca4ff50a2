"""The questions of the knowledge base: complete, answerable, and each answer finds its place in a farm."""

from __future__ import annotations

import re

import pytest

from advisor.dialogue.agenda import Ask, ask_of, choices_of
from advisor.dialogue.answers import own_answer
from advisor.dialogue.building import farm_of, impossible
from advisor.dialogue.draft import draft_of, fold
from advisor.dialogue.echo import echo
from advisor.dialogue.phrases import command_of, place_words, table
from advisor.knowledge import knowledge
from tests.dialogue.talking import Talk, context

QUESTIONS = knowledge().questions


def asks() -> list[Ask]:
    talk = Talk(
        "12 cows and 4 calves", "100 m2", "150 days", "60 bales of straw and 20 bags of wood shavings"
    )
    draft = draft_of(talk.case)
    subjects = {"group": sorted(draft.groups), "material": sorted(draft.materials), None: [""], "pen": [""]}
    return [Ask(name, q, subject) for name, q in QUESTIONS.items() for subject in subjects[q.each][:1]]


@pytest.mark.parametrize("name", QUESTIONS)
def test_a_question_says_why_and_how_to_find_out_without_digits(name: str) -> None:
    question = QUESTIONS[name]
    assert question.why
    assert question.how_to_find
    assert question.text.rstrip().endswith((".", "?"))
    for text in (question.text, question.why, question.how_to_find, question.usual_says):
        assert not re.search(r"\d", text), text


@pytest.mark.parametrize("name", QUESTIONS)
def test_a_question_reads_facts_that_exist(name: str) -> None:
    known = knowledge()
    assert set(QUESTIONS[name].fills) <= set(known.facts)
    assert set(QUESTIONS[name].classes) <= set(known.animals)
    usual = QUESTIONS[name].usual
    assert not usual or usual in {*QUESTIONS[name].choices, *known.figures, "yes", "no", "generic"}


@pytest.mark.parametrize("ask", asks(), ids=lambda ask: ask.key)
def test_every_choice_is_understood_kept_in_a_valid_farm_and_said_back(ask: Ask) -> None:
    talk = Talk(
        "12 cows and 4 calves", "100 m2", "150 days", "60 bales of straw and 20 bags of wood shavings"
    )
    draft = draft_of(talk.case)
    choices = choices_of(ask, context().knowledge)
    words = [word for choice in choices.values() for word in choice]
    words += ["yes", "no"] if ask.question.kind == "yes_no" else []
    for word in words:
        taken = own_answer(word, ask, draft, context(), loose=False)
        assert taken is not None, word
        assert taken.acts, word
        before = [act for event in talk.case.events for act in event.acts]
        after = fold([*before, *taken.acts])
        assert impossible(after, context().knowledge) is None, word
        assert farm_of(after, context().knowledge) is not None
        assert echo(taken.acts, after, context()), (ask.key, word)


def test_no_answer_to_a_question_is_also_a_command() -> None:
    for question in QUESTIONS.values():
        for words in question.choices.values():
            for word in words:
                assert command_of(word) in (None, "us"), word


def test_places_that_answers_fill_can_be_said_back() -> None:
    for question in QUESTIONS.values():
        places = [*question.paths, *(place for gives in question.gives.values() for place in gives)]
        for place in places:
            if place.split(".")[0] in ("groups", "materials", "start", "end", "days", "region"):
                continue
            assert place_words(place), place


def test_the_way_to_a_question_leads_to_one() -> None:
    assert set(table("goto")) <= set(QUESTIONS)


def test_a_question_whose_subject_is_gone_is_not_asked() -> None:
    talk = Talk("12 cows and 4 calves", "100 m2", "150 days", "60 bales of straw")
    assert ask_of("bale_kind:straw", draft_of(talk.case), context().knowledge) is not None
    assert ask_of("bale_kind:peat", draft_of(talk.case), context().knowledge) is None
    assert ask_of("no_such_question", draft_of(talk.case), context().knowledge) is None
