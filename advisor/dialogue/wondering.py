"""Questions about the plan and its numbers: what, why, how, how sure and from where."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from advisor.dialogue.asked import reason_lines, spoken_of
from advisor.dialogue.asking import why_lines
from advisor.dialogue.context import Heard
from advisor.dialogue.draft import Act, draft_of
from advisor.dialogue.explain import certainty, find_result, node_at, open_node, source_words
from advisor.dialogue.intake import take
from advisor.dialogue.lookup import figures_asked, look_up, meaning_of
from advisor.dialogue.overview import advice_text, each_week, space_line
from advisor.dialogue.phrases import normal, sentence, table
from advisor.dialogue.reply import Line
from advisor.dialogue.turn import Now, Outcome, finish, listened, record

if TYPE_CHECKING:
    from advisor.plan.make import Plan
    from advisor.reasoning.engine import Node

__all__ = ["asked", "asked_how", "asked_why", "of_command", "open_numbered"]

_MOST_SOURCES = 6
_FEW_WORDS = 4  # of a 'why is that' that speaks of the last answer
_OF_ANSWERS = ("asked", "how", "sure", "source", "reason")


def of_command(now: Now, command: str) -> Outcome:
    """Why, how, how sure or from where, as a bare word: of the last answer, else of the number now open."""
    return _of_answer(now, command) or _about(now, command, "")


def asked_why(now: Now, heard: Heard) -> Outcome:
    """Why something is asked, or advised."""
    if len(now.text.split()) <= _FEW_WORDS:
        reason = _of_answer(now, "why")
        if reason is not None:
            return reason
    return _about(now, "why", normal(f"{now.text} {heard.facts.get('topic') or ''}"))


def asked_how(now: Now, heard: Heard) -> Outcome:
    """How a number came about, or how sure it is."""
    words = normal(now.text)
    sure = any(f" {word} " in f" {words} " for word in table("sure_words"))
    source = any(f" {word} " in f" {words} " for word in table("source_words"))
    command = "sure" if sure else "source" if source else "how"
    plan = now.context.plan(now.draft)
    if len(now.text.split()) <= _FEW_WORDS and (plan is None or find_result(words, plan) is None):
        reason = _of_answer(now, command)
        if reason is not None:
            return reason
    return _about(now, command, normal(f"{now.text} {heard.facts.get('topic') or ''}"))


def asked(now: Now, heard: Heard) -> Outcome:
    """A question of fact or a calculation."""
    from advisor.dialogue.whatif import calculate

    words = normal(now.text)
    weekly = _each_week(now, words, heard)
    if weekly is not None:
        return weekly
    if heard.kind == "ask_fact":
        common = figures_asked(now.text, now.context, now.units, full=False)
        if common:
            return _looked_up(now, *common)
        named = [one["name"] for one in heard.facts.get("materials") or () if one.get("name") != "pack"]
        named += heard.facts.get("animals") or ()
        meaning = not named and any(words.startswith(start) for start in table("meaning_words"))
        mine = _own_number(now, words, heard) if set(words.split()) & set(table("own_words")) else None
        if mine is not None:
            return mine
        found = meaning_of(now.text, now.context) if meaning else None
        found = found or look_up(now.text, heard.facts, now.context, now.units, full=False)
        if found:
            return _looked_up(now, *found)
        mine = _own_number(now, words, heard)
        if mine is not None:
            return mine
        found = meaning_of(now.text, now.context)
        if found:
            return _looked_up(now, *found)
        return finish(now, [Line("answer", sentence("not_known"))], stay=True)
    told = _told_with(now, heard)
    if told:
        topic = {"topic": heard.facts.get("topic") or ""}
        lines, _ = calculate(str(topic["topic"]), topic, draft_of(now.case, told), now.context)
        return record(now, told, lines)
    lines, talk = calculate(now.text, heard.facts, now.draft, now.context)
    return finish(now, lines, [{"talk": talk}] if talk else (), kind="asked", stay=True)


def _each_week(now: Now, words: str, heard: Heard) -> Outcome | None:
    """'How many bales a week?', of one's own plan."""
    asked_so = set(words.split()) & set(table("week_words")) and heard.facts.get("topic") == "bedding need"
    if not asked_so or heard.facts.get("animals") or any(f" {w} " in f" {words} " for w in table("suppose")):
        return None
    plan = now.context.plan(now.draft)
    lines = each_week(plan, now.units) if plan is not None else []
    return finish(now, lines, kind="asked", stay=True) if lines else None


def _told_with(now: Now, heard: Heard) -> tuple[Act, ...]:
    """What is told of one's own farm along with a question: 'got 40 ewes, how much straw do I need?'"""
    said = f" {normal(now.text)} "
    if any(f" {word} " in said for word in table("suppose")):
        return ()
    if not any(f" {word} " in said for word in table("telling_words")):
        return ()
    acts = take(heard.facts, now.ask, now.draft, now.context, said=now.text).acts
    return tuple(acts) if any("count" in str(act.get("set")) for act in acts) else ()


def _own_number(now: Now, words: str, heard: Heard) -> Outcome | None:
    """A number of the keeper's own plan: the value and how it comes about; 'how' opens it."""
    plan = now.context.plan(now.draft)
    topic = normal(str(heard.facts.get("topic") or ""))
    node = find_result(f"{words} {topic}", plan) if plan else None
    return None if node is None or plan is None else _briefly(now, node, plan)


def _briefly(now: Now, node: Node, plan: Plan) -> Outcome:
    """A number and how it comes about, in two lines; 'how' opens it."""
    opened = open_node(node, now.context.knowledge, now.units)
    lines = [line for line in opened.lines if line.role == "answer"][:2]
    if node.name == "space_ratio":  # a share means little without the two areas
        lines[:1] = [Line("answer", space_line(plan, now.units))]
    lines.append(Line("hint", sentence("how_hint")))
    return finish(now, lines, [_talk(node)], kind="asked", stay=True, sources=opened.sources)


def _looked_up(now: Now, lines: list[Line], sources: list[str]) -> Outcome:
    return finish(now, lines, [{"talk": {"looked": now.text}}], kind="asked", stay=True, sources=sources)


def _of_answer(now: Now, command: str) -> Outcome | None:
    """Why, how or from where of the answer just given; None where the last message asked nothing."""
    talk, events = now.draft.talk or {}, now.case.events
    if not events or events[-1].kind not in _OF_ANSWERS:
        return None
    plan = now.context.plan(now.draft)
    node = node_at(plan, talk) if plan else None
    if command != "why" and node is not None:
        return None  # the number itself is opened
    lines: list[Line] = []
    sources: tuple[str, ...] = ()
    key = spoken_of(now)
    if key is not None:
        lines, sources = reason_lines(now, key, command)
    elif "looked" in talk:
        lines, sources = _looked_full(now, str(talk["looked"]))
        cited = [line for line in lines if line.role == "source"]
        lines = cited if command == "source" or (command == "sure" and not cited) else lines
    elif node is not None:
        return _opened(now, node)
    if not lines:
        return None
    return finish(now, lines, [{"talk": dict(talk)}], kind="reason", stay=True, sources=sources)


def _looked_full(now: Now, text: str) -> tuple[list[Line], tuple[str, ...]]:
    """A look-up with all that it rests on."""
    heard = listened(replace(now, text=text), None)
    found = figures_asked(text, now.context, now.units) or look_up(text, heard.facts, now.context, now.units)
    found = found or meaning_of(text, now.context)
    if found is None:
        return [], ()
    cited = [Line("source", source_words(each, now.context.knowledge)) for each in found[1][:_MOST_SOURCES]]
    said = any(line.role == "source" for line in found[0])
    return (found[0] if said else [*found[0], *cited]), tuple(found[1])


def open_numbered(now: Now, number: int) -> Outcome:
    """Open one of the lines under the number last spoken of."""
    plan = now.context.plan(now.draft)
    node = node_at(plan, now.draft.talk) if plan else None
    if node is None:
        return finish(now, [Line("answer", sentence("nothing_open"))], stay=True)
    inputs = open_node(node, now.context.knowledge, now.units).inputs
    if not 1 <= number <= len(inputs):
        return finish(now, [Line("answer", sentence("no_such_line", most=len(inputs)))], stay=True)
    return _opened(now, inputs[number - 1])


def _about(now: Now, command: str, words: str) -> Outcome:
    """Why, how, how sure or from where: of a number named, of the advice, or of the question now open."""
    plan = now.context.plan(now.draft)
    node = find_result(words, plan) if plan and words else None
    if command == "why":
        rule = _advice(words, plan, now) if plan and words else None
        if rule is not None:
            return rule
        if node is None and now.ask is not None:
            return finish(now, why_lines(now.ask, now.draft, now.context), kind="why", stay=True)
    if plan is None:
        return finish(now, [Line("answer", sentence("no_numbers_yet"))], stay=True)
    node = node or node_at(plan, now.draft.talk) or plan.results["bedding_total_kg"]
    if node is None:
        return finish(now, [Line("answer", sentence("nothing_open"))], stay=True)
    if command == "sure":
        lines, sources = certainty(node, plan, now.units)
        return finish(now, lines, [_talk(node)], kind="sure", stay=True, sources=sources)
    if command == "source":
        return _sources(now, node)
    return _briefly(now, node, plan) if command == "why" else _opened(now, node)


def _opened(now: Now, node: Node) -> Outcome:
    opened = open_node(node, now.context.knowledge, now.units)
    plan = now.context.plan(now.draft)
    lines = list(opened.lines)
    if node.name == "space_ratio" and plan is not None:  # a share means little without the two areas
        lines.insert(0, Line("answer", space_line(plan, now.units)))
    return finish(now, lines, [_talk(node)], kind="how", stay=True, sources=opened.sources)


def _talk(node: Node) -> Act:
    return {"talk": {"name": node.name, "kind": node.subject[0], "subject": node.subject[1]}}


def _sources(now: Now, node: Node) -> Outcome:
    """Every publication under a number."""
    found: list[str] = []
    for under in node.walk():
        if under.figure is not None:
            found += [e.source for e in under.figure.evidence if e.source]
    sources = sorted(sorted(set(found)), key=lambda source: -found.count(source))
    knowledge = now.context.knowledge
    lines = [Line("answer", sentence("sources_of", label=node.label))]
    lines += [Line("source", source_words(source, knowledge)) for source in sources[:_MOST_SOURCES]]
    if len(sources) > _MOST_SOURCES:
        lines.append(Line("hint", sentence("more_sources", count=len(sources) - _MOST_SOURCES)))
    if not sources:
        lines.append(Line("answer", sentence("no_sources")))
    return finish(now, lines, [_talk(node)], kind="source", stay=True, sources=sources[:_MOST_SOURCES])


def _advice(words: str, plan: Plan, now: Now) -> Outcome | None:
    """The piece of advice that a 'why' speaks of: the one that shares most words with it."""
    said = {word for word in words.split() if len(word) > 3}
    best = max(
        plan.recommendations,
        key=lambda fired: len(said & set(normal(fired.rule.advise).split())),
        default=None,
    )
    if best is None or len(said & set(normal(best.rule.advise).split())) < 2:
        return None
    lines = [
        Line("answer", advice_text(best.rule.advise, plan, now.units)),
        Line("answer", advice_text(best.rule.because, plan, now.units)),
    ]
    lines += [Line("source", source_words(s, now.context.knowledge)) for s in best.rule.sources]
    return finish(now, lines, kind="why", stay=True, sources=best.rule.sources)
