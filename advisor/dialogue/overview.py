"""The plan so far in a few lines, what was told, and how far along the conversation is."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from advisor.dialogue.agenda import open_asks
from advisor.dialogue.context import Context
from advisor.dialogue.draft import Draft
from advisor.dialogue.echo import told_words
from advisor.dialogue.phrases import sentence, table
from advisor.dialogue.reply import Line
from advisor.knowledge import Knowledge
from advisor.knowledge.models import Caution
from advisor.plan.wording import Units, say, say_date, shown_unit

if TYPE_CHECKING:
    from advisor.plan.make import Plan
    from advisor.reasoning.engine import Subject

__all__ = [
    "advice_text",
    "caution_text",
    "each_week",
    "own_rate_lines",
    "plan_lines",
    "plan_numbers",
    "plan_sources",
    "progress",
    "space_line",
    "told_lines",
]

_MOST_ADVICE = 3


def plan_lines(plan: Plan, units: Units) -> list[Line]:
    """The headline numbers, the first pieces of advice, and every danger to life."""
    from advisor.dialogue.explain import said_value
    from advisor.farm.barred import barred_words

    lines = [Line("answer", space_line(plan, units))] if plan.results.get("space_ratio") else []
    for name, words in table("headlines").items():
        node = plan.results.get(name)
        if node is None:
            continue
        _, middle, high = node.spread()
        if name == "supply_lasts_days":
            if middle >= plan.timeline.days or not plan.number("supply_on_hand_kg"):
                continue
            if middle < 1:
                lines.append(Line("point", sentence("supply_at_once")))
                continue
            date = plan.timeline.date(round(middle))
            lines.append(Line("point", str(words).format(value=say_date(date, units))))
        elif high > 0:
            lines.append(Line("point", str(words).format(value=said_value(node, units))))
    for fired in plan.recommendations[:_MOST_ADVICE]:
        advise = advice_text(fired.rule.advise, plan, units)
        lines.append(Line("answer", f"{advise} {advice_text(fired.rule.because, plan, units)}"))
    lines += [Line("caution", text) for text in barred_words(plan.farm, plan.engine.knowledge)]
    fatal = [shown for shown in plan.cautions if shown.caution.severity == "fatal"]
    certain = [shown.caution.title for shown in fatal if shown.certain]
    if certain:
        lines.append(Line("caution", sentence("dangers", what="; ".join(certain))))
    return lines


def each_week(plan: Plan, units: Units) -> list[Line]:
    """What to add each week, in the keeper's own bales."""
    from advisor.plan.sections.safety import week_lines
    from advisor.plan.voice import Voice

    lines = [Line("point", text) for text in week_lines(Voice(plan, units))]
    return [Line("answer", sentence("each_week")), *lines] if lines else []


def own_rate_lines(draft: Draft, context: Context) -> list[Line]:
    """Where the keeper's own rate is run: what would be advised instead."""
    own = context.plan(draft) if draft.at("bedding") else None
    if own is None or not own.decision.given:
        return []
    from advisor.dialogue.explain import said_value

    rest = {key: told for key, told in draft.farm.items() if key != "bedding"}
    advised = context.plan(replace(draft, farm=rest))
    nodes = [plan.results.get("bedding_kg_day") if plan else None for plan in (own, advised)]
    mine, theirs = (said_value(node, context.units_of(draft)) if node else "" for node in nodes)
    return [Line("answer", sentence("own_rate_plan", own=mine, advised=theirs))] if mine and theirs else []


def space_line(plan: Plan, units: Units) -> str:
    """Whether the animals fit, in a sentence or two."""
    from advisor.dialogue.explain import said_value

    ratio = plan.number("space_ratio") or 0.0
    pen = plan.farm.pens[0]
    if pen.area is None:
        node = plan.pens[pen.id]["space_needed_m2"]
        return sentence("space_unknown", need=said_value(node, units)) if node else ""
    law = plan.number("space_law_ratio")
    key = "space_ample" if ratio >= 1.0 else "space_close" if ratio >= 0.85 else "space_short"
    need = plan.pens[pen.id]["space_needed_m2"]
    text = sentence(
        key, area=say(pen.area.value, "m2", units, figures=3), need=said_value(need, units) if need else ""
    )
    if law is not None and law < 1.0:
        text += " " + sentence("space_unlawful")
    return text


def advice_text(text: str, plan: Plan, units: Units) -> str:
    """A rule's sentence with each {name} as its worked-out value, else as the figure of that name."""
    return text.format_map(_Values(plan, units))


class _Values(dict[str, str]):
    """Values by name: results of the plan, then figures of the knowledge base."""

    def __init__(self, plan: Plan, units: Units) -> None:
        super().__init__()
        self.plan, self.units = plan, units

    def __missing__(self, name: str) -> str:
        from advisor.dialogue.explain import said_value
        from advisor.reasoning.engine import Missing

        node = self.plan.results.get(name)
        subjects: tuple[Subject, ...] = (("farm", ""), ("pen", self.plan.farm.pens[0].id))
        for subject in subjects if node is None else ():
            try:
                node = self.plan.engine.node(name, subject)
                break
            except Missing:
                continue
        if node is None:
            return name.replace("_", " ")
        if node.is_number:
            return say(node.spread()[1], node.unit, self.units)
        return said_value(node, self.units)


def caution_text(caution: Caution, knowledge: Knowledge, units: Units) -> str:
    """A danger with the first thing to do about it; its figures worded."""
    figures = {name: entry.figure for name, entry in knowledge.figures.items() if entry.figure is not None}
    figures |= caution.figures
    text = f"{caution.title}. {caution.danger}" + (f" {caution.do[0]}" if caution.do else "")
    for name in re.findall(r"\{(\w+)\}", text):
        if name in figures:
            value = say(figures[name].value, shown_unit(name, figures[name].unit), units)
            text = text.replace(f"{{{name}}}", value)
    return text


def told_lines(draft: Draft, context: Context) -> list[Line]:
    """Everything told, then what was left unknown."""
    units = context.units_of(draft)
    told = told_words(draft.leaves(), draft, context.knowledge, units)
    return [Line("point", text) for text in dict.fromkeys(told)] or [Line("answer", sentence("nothing_told"))]


def plan_numbers(plan: Plan) -> Mapping[str, tuple[float, float, float]]:
    """The headline results as (low, middle, high)."""
    from advisor.plan.results import HEADLINES

    return {name: node.spread() for name in HEADLINES if (node := plan.results.get(name)) is not None}


def plan_sources(plan: Plan) -> tuple[str, ...]:
    """Every source behind the advice and dangers shown."""
    found = [s for fired in plan.recommendations[:_MOST_ADVICE] for s in fired.rule.sources]
    fatal = [shown for shown in plan.cautions if shown.caution.severity == "fatal" and shown.certain]
    found += [source for shown in fatal for source in shown.caution.sources]
    return tuple(dict.fromkeys(found))


def progress(draft: Draft, context: Context) -> str:
    """One line: how far along, and how much the plan rests on what was told."""
    if not draft.groups:
        return sentence("progress_start")
    asks = open_asks(draft, context.knowledge)
    early = sum(ask.question.early is not None for ask in asks)
    told = len(dict.fromkeys(told_words(draft.leaves(), draft, context.knowledge, context.units_of(draft))))
    key = "progress_early" if early else "progress_late"
    return sentence(key, told=told, early=early, open=len(asks))
