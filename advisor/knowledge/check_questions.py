"""Questions of the interview: their bounds, choices and usual answers fit together."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.knowledge.models import Question
from advisor.knowledge.subject import Steps, Subject, close_to
from advisor.knowledge.yaml_text import Fault

__all__ = ["check_questions"]


def check_questions(subject: Subject) -> Iterator[Fault]:
    """Every question."""
    for key, question in subject.knowledge.questions.items():
        for steps, what, mend in (
            *_bounds(question),
            *_choices(subject, question),
            *_usual(subject, question),
        ):
            yield subject.fault("questions", key, steps, what, mend)


_Found = Iterator[tuple[Steps, str, str]]


def _bounds(question: Question) -> _Found:
    if question.early is not None and question.early < 0:
        yield ("early",), f"early is a place in the order of asking, not {question.early:g}", ""
    if question.least is not None and question.most is not None and question.least > question.most:
        yield ("least",), f"the least, {question.least:g}, is above the most, {question.most:g}", ""
    for name in ("least", "most"):
        bound = getattr(question, name)
        if bound is not None and bound < 0 and question.unit != "degC":
            yield (name,), f"{bound:g} is less than nothing", "only temperatures go below zero"


def _choices(subject: Subject, question: Question) -> _Found:
    answers = [*question.choices, "yes", "no"]
    for answer, places in question.gives.items():
        if answer not in answers:
            yield ("gives", answer), f"'{answer}' is none of the choices", close_to(answer, answers)
        for place, value in places.items():
            if place.endswith(".pack") and value not in _packs(subject):
                yield (
                    ("gives", answer, place),
                    f"no material comes in a '{value}'",
                    close_to(str(value), _packs(subject)),
                )
    facts = [fact for name in question.fills if (fact := subject.knowledge.facts.get(name))]
    allowed = {choice for fact in facts for choice in fact.choices}
    if len(facts) == len(question.fills) == 1 and allowed:
        for choice in question.choices:
            if choice not in allowed and choice not in question.gives:
                what = f"'{question.fills[0]}' is never '{choice}'"
                yield (
                    ("choices", choice),
                    what,
                    close_to(choice, allowed) or f"one of: {', '.join(sorted(allowed))}",
                )


def _packs(subject: Subject) -> set[str]:
    return {pack for material in subject.knowledge.materials.values() for pack in material.packs}


def _usual(subject: Subject, question: Question) -> _Found:
    known = {*question.choices, *subject.ids("figures"), *subject.ids("regions")}
    known |= {"yes", "no"} if question.kind == "yes_no" else set()
    if question.usual and question.usual not in known:
        what = f"the usual answer '{question.usual}' is neither a choice nor a figure"
        yield ("usual",), what, close_to(question.usual, known)
