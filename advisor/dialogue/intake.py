"""From the facts of a reading (see messages of the language package) to acts that fold into a farm."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from advisor.dialogue.agenda import Ask
from advisor.dialogue.context import Context
from advisor.dialogue.dates import season_dates
from advisor.dialogue.draft import Draft, fold
from advisor.dialogue.phrases import normal, table
from advisor.dialogue.taken import Taken, measure, put_amount
from advisor.dialogue.taking_animals import take_animals
from advisor.dialogue.taking_materials import take_materials, take_prices, take_rate
from advisor.knowledge import Knowledge
from advisor.knowledge.models import Question
from advisor.plan.wording import say_number

__all__ = ["choose", "say_yes_or_no", "take"]


def take(
    facts: Mapping[str, Any],
    ask: Ask | None,
    draft: Draft,
    context: Context,
    correcting: bool = False,
    said: str = "",
) -> Taken:
    """The acts for a reading's facts, told in answer to a question or unasked."""
    taken = Taken(context.names, said=f" {normal(said)} ")
    knowledge = context.knowledge
    take_animals(taken, facts, ask, draft, knowledge, correcting)
    take_materials(taken, facts, ask, draft, knowledge)
    take_rate(taken, facts, ask, draft, knowledge)
    take_prices(taken, facts, ask, draft, knowledge)
    births = _mentioned(taken, ask, draft, knowledge)
    if not (births and "end" not in facts):  # a month of lambing is not the month they come in
        _dates(taken, facts, draft, context.today)
    put_amount(taken, facts, "area_m2", "pens.pen.area", "m2", said=facts.get("area_as"))
    if "base" in str(facts.get("depth_of", "")) or (ask and ask.id == "base_depth"):
        put_amount(taken, facts, "depth_cm", "base.depth", "m", 0.01)
    elif ask and ask.question.unit == "m" and facts.get("depth_cm") is not None:
        put_amount(taken, facts, "depth_cm", ask.question.paths[0], "m", 0.01)
    if facts.get("hours_per_day") is not None:
        for group in _groups_meant(ask, draft, taken):
            put_amount(taken, facts, "hours_per_day", f"groups.{group}.hours_on_bed", "h/day")
    for quantity in facts.get("quantities") or ():
        _quantity(taken, quantity, ask, draft, knowledge)
    for word in facts.get("choice") or ():
        _choice(taken, str(word), ask, draft, knowledge)
    if facts.get("yes_no") and ask is not None:
        _yes_no(taken, str(facts["yes_no"]), ask, draft)
    return taken


def _mentioned(taken: Taken, ask: Ask | None, draft: Draft, knowledge: Knowledge) -> bool:
    """What a word tells before it is asked: 'lambing in March' says that births are due."""
    for key, question in knowledge.questions.items():
        if question.kind != "yes_no":
            continue
        own = [normal(word) for word in question.choices.get("yes", ()) if word not in table("yes_no")["yes"]]
        if not any(f" {word} " in taken.said for word in own):
            continue
        if any(f" {word} " in taken.said for word in table("denying")):
            continue
        if ask is not None and ask.id == key:
            return True  # answered as such
        after = fold([*({"set": place, "to": told} for place, told in draft.farm.items()), *taken.acts])
        for place in after.places(question.paths[0], "", question.classes):
            taken.put(place, True)
        return True
    return False


def _groups_meant(ask: Ask | None, draft: Draft, taken: Taken) -> list[str]:
    if ask and ask.question.each == "group":
        return [ask.subject]
    new = [act["set"].split(".")[1] for act in taken.acts if str(act.get("set", "")).endswith(".class")]
    return sorted({*draft.groups, *new})


def _dates(taken: Taken, facts: Mapping[str, Any], draft: Draft, today: dt.date) -> None:
    told = {name: dt.date.fromisoformat(draft.at(name)) for name in ("start", "end") if draft.at(name)}
    found = season_dates(facts, told.get("start"), told.get("end"), today)
    if not found:
        return
    if "days" in found or ("start" in found and "end" not in found and draft.at("days")):
        taken.drop("end")
    elif "end" in found:
        taken.drop("days")
    for name, value in found.items():
        taken.put(name, value if isinstance(value, int) else value.isoformat())


def _quantity(
    taken: Taken, quantity: Mapping[str, Any], ask: Ask | None, draft: Draft, knowledge: Knowledge
) -> None:
    of, si = str(quantity.get("of") or ""), quantity.get("si", quantity.get("value"))
    if si is None or of == "bedding rate" or of.startswith("price of "):  # see taking_materials
        return
    ends = [si, si] if not isinstance(si, list) else si  # '30 to 40 degrees' has two
    low, high = float(min(ends)), float(max(ends))
    si = (low + high) / 2
    value = quantity.get("value", si)
    told = value if isinstance(value, list) else [value]
    spoken = " to ".join(say_number(float(value), 4) for value in told)
    said = f"{spoken} {quantity.get('unit') or ''}".strip()
    place, unit = _quantity_place(of, draft)
    if not place and ask and ask.question.kind in ("quantity", "count") and ask.question.paths:
        if not _fits(str(quantity.get("si_unit") or ""), ask.question.unit):
            return
        place, unit = draft.places(ask.question.paths[0], ask.subject)[0], ask.question.unit
        if place.startswith("facts.") or ask.question.kind == "count":
            taken.put(place, round(si) if ask.question.kind == "count" else si)
            return
    if place:
        taken.put(place, measure(si, low, high, unit, said))


def _quantity_place(of: str, draft: Draft) -> tuple[str, str]:
    if of == "bale weight":
        counted = [key for key, told in draft.materials.items() if "packs" in told] or list(draft.materials)
        return (f"materials.{counted[0]}.pack_mass", "kg") if len(counted) == 1 else ("", "")
    if of == "winter outside temperature":
        return "temperature", "degC"
    if of == "field area":
        return "land.area", "m2"
    if of in _HEIGHTS:
        return f"pens.pen.{_HEIGHTS[of]}", "m"
    return "", ""


_HEIGHTS = {
    "height of the gate": "gate_height",
    "height of the drinker": "drinker_height",
    "headroom": "headroom",
}
_UNIT_NAMES = {"m**2": "m2", "metre": "m", "kilogram": "kg", "": "fraction", "1": "fraction", "m**3": "m3"}


def _fits(si_unit: str, wanted: str) -> bool:
    """Whether a reading's SI unit is the one a question is asked in; a bare number always is."""
    top = wanted.partition("/")[0]
    found = _UNIT_NAMES.get(si_unit, si_unit)
    return found == top or (found in ("fraction", "head") and top in ("fraction", "head"))


def _choice(taken: Taken, word: str, ask: Ask | None, draft: Draft, knowledge: Knowledge) -> None:
    if ask and ask.question.choices:
        number = word.removeprefix("option ")
        if word.startswith("option ") and number.isdigit() and 0 < int(number) <= len(ask.question.choices):
            choose(taken, ask.question, ask.subject, list(ask.question.choices)[int(number) - 1], draft)
            return
    questions = [(ask.question, ask.subject)] if ask else []
    questions += [(q, "") for q in knowledge.questions.values() if not q.each]
    for question, subject in questions:
        for choice, words in question.choices.items():
            if normal(word) in (normal(each) for each in words[1:2]) or normal(word) == normal(choice):
                choose(taken, question, subject, choice, draft)
                return
    if word in ("straw base layer", "wood chips base layer"):
        taken.put("base.material", "straw" if word.startswith("straw") else "wood_chips")


def choose(taken: Taken, question: Question, subject: str, choice: str, draft: Draft) -> None:
    """Record a choice: what it gives, or the choice itself at the question's own place."""
    gives = question.gives.get(choice)
    if gives is not None:
        for pattern, value in gives.items():
            for place in draft.places(pattern, subject):
                taken.put(place, value)
        return
    for place in draft.places(question.paths[0], subject):
        taken.put(place, ([] if choice == "none" else [choice]) if question.many else choice)


def say_yes_or_no(taken: Taken, ask: Ask, word: str, draft: Draft) -> None:
    """Record yes for the animals it can be true of, and no for all."""
    classes = ask.question.classes if word == "yes" else ()
    for place in draft.places(ask.question.paths[0], ask.subject, classes):
        taken.put(place, word == "yes")


def _yes_no(taken: Taken, word: str, ask: Ask, draft: Draft) -> None:
    question = ask.question
    if question.kind == "yes_no":
        say_yes_or_no(taken, ask, word, draft)
        return
    for choice, words in question.choices.items():
        if word in words:
            choose(taken, question, ask.subject, choice, draft)
            return
    if word == "no" and ask.id == "bedding":
        taken.put("materials", {})
