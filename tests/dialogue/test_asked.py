"""Questions that keepers ask: answered plainly, from the case's own plan, in a few lines, with the way on."""

from __future__ import annotations

from functools import cache

from advisor.casebook import Case
from advisor.dialogue.draft import draft_of
from advisor.dialogue.turn import turn
from advisor.knowledge import knowledge
from advisor.language import lexicon
from tests.dialogue.talking import FARMS, Talk, context

#: asked after the plan for the suckler cows: words that must stand in the answer's first line
OF_COWS = {
    "is that enough": "No. What you have",
    "will my straw last": "not until turnout on 20 April",
    "have I enough?": "lasts until about",
    "can I put more cows in": "No more. Your 108 m²",
    "have I room for more": "a little tight",
    "how many can I keep in there": "needs about 110 m²",
    "how often should I clean out": "not until they go out on 20 April",
    "when do I muck out": "In a deep bed",
    "how deep should it be": "Lay the base about",
    "how long before i can eat lettuce from it": "from spreading to harvest",
    "when can I spread it": "likely ready around",
    "when is the compost ready": "Likely around",
    "should i call the vet": "Yes, now",
    "can I mix ducks in": "No, not together",
    "can hens follow the cattle": "No, never",
    "can sheep go on after pigs": "No, never",
    "can my neighbour's pigs turn it": "Yes, pigs may follow",
    "what do i do next week": "5 November",
    "what's next": "5 November",
    "what do I do today": "5 November",
    "how much straw per cow": "for beef cows",
    "what will it cost me": "To buy",
    "how much compost will I get": "of pack at turnout",
    "how much land do I need": "ha",
    "how high will it get": "At turnout",
    "will they be warm enough": "warm enough",
    "is ammonia a problem": "Not as planned",
    "do I need ventilation": "Air must always pass",
    "do I need a base": "Yes",
    "can I use MDF shavings": "No.",
    "can I use walnut": "Better not",
    "straw or chips": "Straw for the daily",
    "how many pigs": "Your floor would take",
    "when do I turn it": "Heap it about",
    "what temperature should the heap be": "Best at about",
    "is it safe for my children": "Not alone",
}


@cache
def told(name: str, answers: int | None = None) -> Case:
    return Talk(*FARMS[name][:answers]).case


def lines(case: Case, message: str) -> list[str]:
    _, reply, _ = turn(case, message, context())
    return [line.text for line in reply.lines if line.role not in ("question", "choices", "hint")]


def test_each_question_gets_its_answer_in_a_few_lines() -> None:
    case = told("suckler cows")
    wrong = {
        question: said
        for question, words in OF_COWS.items()
        if words not in (said := lines(case, question))[0] or len(said) > 5
    }
    assert not wrong


def test_nothing_is_noted_by_a_question() -> None:
    case = told("suckler cows")
    for question in OF_COWS:
        after, _, _ = turn(case, question, context())
        assert not any("set" in act for act in after.events[-1].acts), question


def test_enough_is_of_what_was_told_last() -> None:
    talk = Talk("40 ewes", "80 m2")
    assert "Yes, 10 ewes more, 50 ewes in all" in talk.say("is that enough").heard("answer")
    talk.say("mid December to end of March", "3 tonnes of straw")
    assert "Yes" in talk.say("is that enough").heard("answer") or "last" in talk.heard("answer")


def test_what_is_told_beside_a_question_is_noted_and_the_answer_reckons_with_it() -> None:
    talk = Talk(*FARMS["suckler cows"][:3])
    talk.say("20 round bales of barley straw, is that enough")
    assert talk.at("materials.barley_straw.packs") == 20
    assert "Noted" in talk.heard("echo")
    assert "No. What you have" in talk.heard("answer")
    assert "season takes" in talk.say("why").heard("answer")


def test_why_how_and_source_open_the_answer_given_and_not_the_open_question() -> None:
    talk = Talk(*FARMS["suckler cows"])
    assert "botulism" in talk.say("can hens follow the cattle", "why").heard("answer")
    assert talk.heard("source")
    assert "base soaks up" in talk.say("how deep should it be", "why").heard("answer")
    assert "1." in talk.say("how").heard("point")
    assert talk.say("what temperature should the heap be", "source").heard("source")
    talk.say("no births")
    assert "botulism" not in talk.say("why").heard()


def test_before_anything_is_told_the_answer_is_from_the_knowledge_base() -> None:
    for question, words in (
        ("how deep should hen litter be", "Litter for hens"),
        ("is that enough", "I can say once"),
        ("how much straw does a cow need a week", "A cow takes about"),
        ("can horses have walnut shavings", "walnut"),
        ("how many hens fit", "A laying hen needs"),
    ):
        assert any(words in line for line in lines(Talk("hello").case, question)), question


def test_every_answer_of_every_entry_can_be_worded() -> None:
    held = knowledge()
    patterns = lexicon(held).grammar
    for key, entry in held.asked.items():
        assert all(patterns.compile(pattern).present for pattern in entry.words), key
        assert all(answer.says for answer in entry.answers), key


def test_the_vet_is_never_talked_down_and_the_signs_told_along_are_kept() -> None:
    talk = Talk(*FARMS["suckler cows"])
    talk.say("my calf is coughing, should I call the vet")
    assert talk.heard("answer").startswith("Yes")
    assert "Have ready" in talk.heard("answer")
    assert draft_of(talk.case).trouble


def test_a_plain_question_is_never_noted_as_an_answer() -> None:
    talk = Talk(*FARMS["suckler cows"])
    assert talk.asks == "shares_pack"
    for question in (
        "when do I take the pigs out",
        "how heavy is a round bale",
        "which sheep breed is best",
        "whats the point of weighing a bale",
    ):
        after, _, _ = turn(talk.case, question, context())
        assert not any("set" in act for act in after.events[-1].acts), question
    assert talk.say("pigs").at("shares_pack") == ["pigs"]
