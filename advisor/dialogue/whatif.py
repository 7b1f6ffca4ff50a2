"""Questions that need a calculation: on the farm as told, on a farm in the question, or 'what if'."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from advisor.dialogue.building import impossible
from advisor.dialogue.context import Context
from advisor.dialogue.draft import Act, Draft, fold
from advisor.dialogue.echo import told_words
from advisor.dialogue.explain import find_result, said_value
from advisor.dialogue.intake import take
from advisor.dialogue.phrases import joined, normal, sentence, table
from advisor.dialogue.reply import Line
from advisor.plan.wording import Units, say, say_range

if TYPE_CHECKING:
    from advisor.plan.make import Plan
    from advisor.reasoning.engine import Node

__all__ = ["calculate", "numbered", "supposed"]


def supposed(
    text: str, facts: Mapping[str, Any], draft: Draft, context: Context
) -> tuple[Draft, bool, list[Act]] | None:
    """The farm a question supposes, whether it is one's own with a change, and the change.

    None where nothing is supposed.

    Animals with a number and no 'what if' make a farm of their own.
    """
    said = f" {normal(text)} "
    what_if = any(f" {word} " in said for word in table("suppose"))
    if not what_if and not numbered(text, facts):
        return None  # a thing named without a number supposes nothing: 'how much nitrogen is in my compost'
    own = not any(one.get("count") for one in facts.get("animals") or ()) or what_if
    base = draft if own else _bare(draft)
    acts = list(take(facts, None, base, context, correcting=what_if, said=text).acts)
    if not acts:
        return None
    if what_if and any(f" {word} " in said for word in table("instead")):
        acts = [*_without(facts, draft, context), *acts]
    return _with(base, acts), own, acts


def numbered(text: str, facts: Mapping[str, Any]) -> bool:
    """Whether a message names any amount, in figures or in words."""
    named = [*(facts.get("animals") or ()), *(facts.get("materials") or ())]
    told = any(
        one.get(name) for one in named for name in ("count", "count_range", "amount", "mass_kg", "volume_m3")
    )
    return told or any(letter.isdigit() for letter in text)


def calculate(
    text: str, facts: Mapping[str, Any], draft: Draft, context: Context
) -> tuple[list[Line], dict[str, Any] | None]:
    """The lines of the answer, and the number spoken of (for a following 'how')."""
    units = context.units_of(draft)
    found = supposed(text, facts, draft, context)
    farm, own, tried = found if found else (draft, True, [])
    wrong = impossible(farm, context.knowledge)
    if wrong:
        return [Line("answer", wrong)], None
    plan = context.plan(farm)
    topic = normal(str(facts.get("topic") or ""))
    if plan is None:
        left = _left_of(topic, facts, context, units)
        return [Line("answer", left or sentence("needs_animals"))], None
    node = find_result(f"{normal(text)} {topic}", plan)
    lines: list[Line] = []
    if found:
        told = told_words(farm.leaves(), farm, context.knowledge, units)
        mine = told_words(draft.leaves(), draft, context.knowledge, units)
        new = [words for words in told if words not in mine] or told
        lines.append(Line("echo", sentence("suppose", what=joined(new))))
    old = context.plan(draft) if own and found else None
    if old is None:
        answers = [] if own else _answers(topic, plan)
        if answers:
            said = [
                sentence("value_is", label=_label(one, farm, context), value=said_value(one, units))
                for one in answers
            ]
            return [*lines, *(Line("answer", words) for words in said)], None
        if node is None and not found and topic not in ("", *table("bedding_topics")):
            return [*lines, Line("answer", sentence("not_known"))], None
        node = node or plan.results["bedding_total_kg"]
        if node is not None:
            value = said_value(node, units)
            lines.append(Line("answer", sentence("value_is", label=node.label, value=value)))
            if own:
                lines.append(Line("hint", sentence("how_hint")))
        return lines, _talk(node) if own else None
    from advisor.plan.differences import compare
    from advisor.plan.results import HEADLINES

    names = [node.name] if node else [*HEADLINES, "bedding_to_buy_kg"]
    for row in compare(old, plan, names):
        if row.before is None or row.after is None or not (node is not None or row.matters):
            continue
        values = {"old": said_value(row.before, units), "new": said_value(row.after, units)}
        lines.append(Line("point", sentence("changes_to", label=row.before.label, **values)))
    if len(lines) == 1:
        lines.append(Line("answer", sentence("changes_nothing")))
    lines.append(Line("hint", sentence("nothing_stored")))
    return lines, {**(_talk(node) or {}), "tried": tried}


def _label(node: Node, farm: Draft, context: Context) -> str:
    """What a number is, and of which animals where there are several kinds."""
    kind, key = node.subject
    if kind != "group" or len(farm.groups) < 2:
        return node.label
    return sentence(
        "label_of", label=node.label, name=context.knowledge.animals[farm.groups[key]["class"]].plural
    )


def _answers(topic: str, plan: Plan) -> list[Node]:
    """The results that answer a topic: of the whole farm, else of its pens and groups."""
    found: list[Node] = []
    for name in table("topic_results").get(topic, ()):
        places = [plan.results, *plan.pens.values(), *plan.groups.values()]
        nodes = [node for place in places if (node := place.get(name)) is not None]
        found += nodes[:1] if plan.results.get(name) is not None else nodes
    return found


def _left_of(topic: str, facts: Mapping[str, Any], context: Context, units: Units) -> str:
    """What is left of an amount of pack named in the question; '' where none is, or the topic is another."""
    figure_id = table("topic_losses").get(topic)
    told = next((m for m in facts.get("materials") or () if m.get("mass_kg") or m.get("volume_m3")), None)
    if figure_id is None or told is None:
        return ""
    entry = context.knowledge.figures[figure_id]
    if entry.figure is None:
        return ""
    amount, unit = (told["mass_kg"], "kg") if told.get("mass_kg") else (told["volume_m3"], "m3")
    lost = entry.figure
    after = [amount * (1.0 - share) for share in (lost.high, lost.value, lost.low)]
    return sentence(
        "left_of_pack",
        before=say(amount, unit, units),
        after=say_range(after[0], after[1], after[2], unit, units),
        label=entry.label.capitalize(),
        lost=say_range(lost.low, lost.value, lost.high, "fraction", units),
    )


def _talk(node: Any) -> dict[str, Any] | None:
    if node is None:
        return None
    return {"name": node.name, "kind": node.subject[0], "subject": node.subject[1]}


def _bare(draft: Draft) -> Draft:
    """The farm without its animals, pen and materials: place and climate stay."""
    kept = {k: v for k, v in draft.farm.items() if k not in ("groups", "pens", "materials", "bedding")}
    return Draft(kept, draft.skipped, draft.unknown)


def _without(facts: Mapping[str, Any], draft: Draft, context: Context) -> list[Act]:
    """What 'instead' takes away: bedding for bedding."""
    if not facts.get("materials"):
        return []
    return [
        {"drop": f"materials.{key}"}
        for key in draft.materials
        if context.knowledge.materials[key].kind == "bedding"
    ]


def _with(base: Draft, acts: list[Act]) -> Draft:
    told: list[Act] = [{"set": name, "to": value} for name, value in base.farm.items()]
    return fold([*told, *acts])
