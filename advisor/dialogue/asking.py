"""The lines that put a question, and what is said of it: why it is asked, what is usual, how to find out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.casebook import Case
from advisor.dialogue.agenda import Ask, ask_of, choices_of
from advisor.dialogue.context import Context
from advisor.dialogue.draft import Draft, draft_of
from advisor.dialogue.phrases import joined, sentence, table
from advisor.dialogue.reply import Line
from advisor.plan.wording import say_range

if TYPE_CHECKING:
    from advisor.dialogue.narrowing import Narrowing
    from advisor.reasoning.engine import Node, Subject

__all__ = ["narrowing_words", "question_lines", "suggestions", "usual_words", "why_lines"]

_LEAST_PART = 0.05


def question_lines(ask: Ask, draft: Draft, context: Context, again: bool = False) -> list[Line]:
    """The question, and its choices where there are some. Put again after something else, it is put short."""
    lines = [Line("question", ask.text(draft, context.knowledge))]
    if again:
        return lines
    choices = choices_of(ask, context.knowledge)
    if ask.question.kind == "choice" and ask.id != "region":
        numbered = [f"{number} {words[0]}" for number, words in enumerate(choices.values(), 1)]
        lines.append(Line("choices", sentence("choices", choices="; ".join(numbered))))
    elif choices and ask.question.kind != "yes_no":
        lines.append(Line("choices", sentence("choices", choices="; ".join(w[0] for w in choices.values()))))
    return lines


def suggestions(case: Case, context: Context) -> tuple[str, ...]:
    """What may be typed now: the answers that can be listed, then the commands."""
    ask = ask_of(case.asked, draft_of(case), context.knowledge)
    found: list[str] = []
    if ask is not None:
        found += [words[0] for words in choices_of(ask, context.knowledge).values()]
        if ask.question.kind == "yes_no":
            found += ["yes", "no"]
        if ask.id == "animals":
            found += [entry.plural for entry in context.knowledge.animals.values()]
        if ask.id == "bedding":
            found += [entry.name for entry in context.knowledge.materials.values() if entry.kind == "bedding"]
    return (*dict.fromkeys(found), *(words[0] for words in table("commands").values()))


def why_lines(ask: Ask, draft: Draft, context: Context) -> list[Line]:
    """Why it is asked, what its answer would narrow, and what is taken until it is known."""
    name = ask.name(draft, context.knowledge)
    from advisor.dialogue.narrowing import narrowings

    lines = [Line("answer", ask.question.why.format(name=name))]
    if context.plan(draft) is not None:
        words = narrowing_words(narrowings([ask], draft, context)[ask.key], draft, context)
        if words:
            lines.append(Line("answer", words))
    usual = usual_words(ask, draft, context)
    if usual and not ask.question.needed:
        lines.append(Line("answer", sentence("until_then", usual=usual)))
    return lines


def narrowing_words(found: Narrowing, draft: Draft, context: Context) -> str:
    """'Knowing it would narrow the bedding for the whole season by about a third.'"""
    plan = context.plan(draft)
    node = plan.results.get(found.result) if plan else None
    if node is None or found.part < _LEAST_PART:
        return sentence("decides_advice") if found.score > 0 else ""
    parts = sorted(table("parts").items(), key=lambda item: abs(float(item[1]) - found.part))
    return sentence("narrows", label=node.label, part=parts[0][0])


def usual_words(ask: Ask, draft: Draft, context: Context) -> str:
    """What is taken where nobody knows, with its range."""
    from advisor.dialogue.explain import said_value

    question = ask.question
    if question.usual_says:
        return question.usual_says
    units = context.units_of(draft)
    if question.usual in question.choices:
        return sentence("usual", value=question.choices[question.usual][0])
    if question.kind == "yes_no" and question.usual:
        return sentence("usual", value=question.usual)
    if question.usual == "generic":
        return sentence("usual_region", emergency=context.emergency(draft))
    entry = context.knowledge.figures.get(question.usual)
    if entry is not None and entry.figure is not None:
        figure = entry.figure.to(entry.si)
        return sentence("usual", value=say_range(figure.low, figure.value, figure.high, figure.unit, units))
    nodes = [_assumed(fact, ask, draft, context) for fact in question.fills]
    values = [said_value(node, units) for node in nodes if node is not None]
    return sentence("usual", value=joined(values)) if values else sentence("usual_open")


def _assumed(fact: str, ask: Ask, draft: Draft, context: Context) -> Node | None:
    """What the plan takes for a fact of the question's subject."""
    from advisor.reasoning.engine import Missing

    plan = context.plan(draft)
    if plan is None:
        return None
    kind = ask.question.each or "pen"
    subject: Subject = (kind, ask.subject or plan.farm.pens[0].id)
    try:
        node = plan.engine.node(fact, subject)
    except (Missing, KeyError):
        return None
    return node if node.kind == "assumed" else None
