"""Reading the answer to the open question by its own words: choices, yes and no, a plain number.

The language package reads messages of every kind; this is for questions whose choices stand in the
knowledge base (regions, feed, who shares the pack), and for short answers it has no words for.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from advisor.dialogue.agenda import Ask, choices_of
from advisor.dialogue.context import Context
from advisor.dialogue.draft import Draft
from advisor.dialogue.intake import choose, say_yes_or_no
from advisor.dialogue.phrases import normal, table
from advisor.dialogue.taken import Taken, measure
from advisor.knowledge.models import Question
from advisor.units import UnitError, parse_quantity

__all__ = ["own_answer", "region_in"]

_MOST_WORDS = 14


def own_answer(text: str, ask: Ask, draft: Draft, context: Context, loose: bool) -> Taken | None:
    """What the message says in the question's own words, or None.

    Strict: the whole message is one of the words. Loose: a word stands in a short message.
    """
    taken = Taken(context.names)
    said = normal(text)
    question = ask.question
    if not said or len(said.split()) > _MOST_WORDS:
        return None
    if question.kind == "yes_no":
        told = _choices(said, question.choices, loose)
        word = _yes_no(said, loose) or (told[0] if len(told) == 1 else None)
        if word:
            gives = question.gives.get(word)
            if gives is not None:
                choose(taken, question, ask.subject, word, draft)
            else:
                say_yes_or_no(taken, ask, word, draft)
            return taken
        return None
    if ask.id in ("bedding", "amount"):
        return _nothing(said, ask, taken)
    choices = choices_of(ask, context.knowledge)
    number = re.fullmatch(r"(?:option |number )?(\d)", said)
    if number and question.kind == "choice" and 0 < int(number[1]) <= len(choices):
        found = [list(choices)[int(number[1]) - 1]]
    else:
        found = _choices(said, choices, loose)
    if found and question.many:
        held = [choice for choice in found if choice != "none"]
        taken.put(question.paths[0], held)
        return taken
    if len(found) == 1:
        choose(taken, question, ask.subject, found[0], draft)
        return taken
    if loose and question.kind in ("quantity", "count", "area") and question.paths:
        return _number(text, ask, draft, taken)
    return None


def _nothing(said: str, ask: Ask, taken: Taken) -> Taken | None:
    """'None yet': no bedding, or nothing of one material."""
    if said not in {normal(word) for word in (*table("yes_no")["no"], *table("nothing"))}:
        return None
    if ask.id == "bedding":
        taken.put("materials", {})
    else:
        taken.put(f"materials.{ask.subject}.amount", measure(0.0, 0.0, 0.0, "kg"))
    return taken


def _yes_no(said: str, loose: bool) -> str | None:
    words = table("yes_no")
    for answer in ("no", "yes"):
        for word in words[answer]:
            if said == normal(word) or (loose and said.startswith(f"{normal(word)} ")):
                return answer
    return None


def _choices(said: str, choices: Mapping[str, tuple[str, ...]], loose: bool) -> list[str]:
    """The choices whose words the message is; loosely, whose words stand in it, the longest first."""
    spans = [
        (normal(word), choice)
        for choice, words in choices.items()
        for word in (*words, choice.replace("_", " "))
    ]
    exact = sorted({choice for word, choice in spans if word == said}, key=list(choices).index)
    if exact or not loose:
        return exact[:1]
    found: list[str] = []
    left = f" {said} "
    for word, choice in sorted(spans, key=lambda pair: -len(pair[0])):
        if word and f" {word} " in left:
            denied = re.search(
                rf" (?:{'|'.join(table('denied_next'))}) (?:the |any )?{re.escape(word)} ", left
            )
            left = left.replace(f" {word} ", "  ")
            if choice not in found and not denied:
                found.append(choice)
    # 'hay, some on the floor' is hay on the bed: a choice that narrows another takes its place.
    return [choice for choice in found if not any(other.startswith(f"{choice}_") for other in found)]


_AMOUNT = r"\d+(?:[.,]\d+)?(?:\s*(?:x|by|×)\s*\d+(?:[.,]\d+)?)?"
_NUMBER = re.compile(rf"({_AMOUNT})(?:\s*(?:-|–|to|or)\s*({_AMOUNT}))?\s*([a-zA-Z%°²³]+\d?)?")


def _number(text: str, ask: Ask, draft: Draft, taken: Taken) -> Taken | None:
    """One number or range, with or without a unit, in the unit of the question."""
    question = ask.question
    match = _NUMBER.search(text)
    if not match:
        return None
    ends = [_in_unit(raw, match[3] or "", question) for raw in match.groups()[:2] if raw]
    known = sorted(end for end in ends if end is not None)
    if len(known) < len(ends):
        return None
    low, high = known[0], known[-1]
    if (question.least is not None and low < question.least) or (
        question.most is not None and high > question.most
    ):
        return None
    value = (low + high) / 2
    for place in draft.places(question.paths[0], ask.subject):
        if question.kind == "count":
            taken.put(place, round(value))
            if low < high:
                taken.put(f"{place}_low", round(low))
                taken.put(f"{place}_high", round(high))
        elif place.startswith("facts."):
            taken.put(place, value)
        else:
            taken.put(place, measure(value, low, high, question.unit, match[0].strip()))
    return taken


def _in_unit(raw: str, unit: str, question: Question) -> float | None:
    """A number in the unit of the question; None where its own unit measures something else."""
    wanted = question.unit.partition("/")[0]
    raw = raw.replace(",", ".")
    try:
        return parse_quantity(f"{raw} {unit}".strip(), wanted)
    except UnitError:
        if unit and question.kind != "count":
            return None
    return float(raw) if re.fullmatch(r"[\d.]+", raw) else None


def region_in(text: str, context: Context) -> str | None:
    """The region that words like 'we are in Sweden' name, or that is a clause of its own."""
    said = normal(text)
    clauses = {normal(clause) for clause in re.split(r"[,.;!\n]|\s-\s", text)}
    for key, region in context.knowledge.regions.items():
        for word in (normal(each) for each in (region.name, *region.words)):
            alone = word in clauses and word not in table("not_places")
            if word and (alone or any(f" {cue} {word} " in f" {said} " for cue in table("region_cues"))):
                return key
    return None
