"""Going about in the conversation: commands, in their own word or the user's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from advisor.casebook import Case, effective_events, redo, redo_target, undo
from advisor.dialogue.agenda import Ask, ask_of, open_asks
from advisor.dialogue.asking import narrowing_words
from advisor.dialogue.context import Heard
from advisor.dialogue.draft import draft_of, holds_facts
from advisor.dialogue.narrowing import most_narrowing, narrowings
from advisor.dialogue.overview import (
    own_rate_lines,
    plan_lines,
    plan_sources,
    progress,
    told_lines,
)
from advisor.dialogue.phrases import normal, sentence, table
from advisor.dialogue.reply import Effect, Line
from advisor.dialogue.turn import Now, Outcome, finish, record, unsure
from advisor.dialogue.wondering import of_command

__all__ = ["go", "heard_go"]


def go(now: Now, command: str, to: str = "") -> Outcome:
    """Do a command."""
    if command == "unsure":
        return unsure(now)
    if command == "skip":
        return _skip(now)
    if command == "back":
        return _back(now)
    if command in ("undo", "redo"):
        return _undo(now) if command == "undo" else _redo(now)
    if command in ("why", "how", "sure", "source"):
        return of_command(now, command)
    if command in ("metric", "us"):
        return record(now, [{"set": "units", "to": command}], stay=True)
    if command == "units":
        other = "us" if now.units == "metric" else "metric"
        return record(now, [{"set": "units", "to": other}], stay=True)
    if command == "adopt":
        tried = (now.draft.talk or {}).get("tried")
        if not tried:
            return finish(now, [Line("answer", sentence("nothing_tried"))], stay=True)
        return record(now, tried, stay=True)
    if command == "advise":
        lines = [Line("answer", sentence("advising"))]
        return record(now, [{"drop": "bedding"}], lines, stay=True)
    if command == "restart":
        return finish(now, [Line("answer", sentence("restarted"))], [{"restart": True}], kind="restart")
    if command == "goto":
        return _goto(now, to)
    if command in ("season", "next_week"):
        from advisor.dialogue.season import show
        from advisor.dialogue.troubles import found_lines

        return _with(show(now, 7 if command == "next_week" else 0), found_lines(now.draft, now.context))
    if command in ("show_plan", "print"):
        return _plan(now, command)
    if command == "quit":
        lines = [Line("answer", sentence("goodbye", name=now.case.name))]
        return finish(now, lines, kind="quit", stay=True, effects=(Effect("quit"),))
    lines = {
        "summary": lambda: [Line("answer", sentence("told_so_far")), *told_lines(now.draft, now.context)],
        "progress": lambda: _progress(now),
        "help": lambda: [Line("answer", text) for text in table("help")],
        "save": lambda: [Line("answer", sentence("saved", name=now.case.name))],
        "resume": lambda: [Line("answer", sentence("resumed", name=now.case.name))],
        "greeting": lambda: [Line("answer", sentence("chat"))],
    }.get(command, list)()
    return finish(now, lines, stay=True)


def heard_go(now: Now, heard: Heard) -> Outcome:
    """A command in the user's own words."""
    went = heard.facts.get("go") or "repeat"
    command = str(went[0] if isinstance(went, list | tuple) else went)
    to = heard.facts.get("go_to") or ""
    to = " ".join(map(str, to)) if isinstance(to, list | tuple) else str(to)
    if command == "units":
        said = normal(now.text)
        for units in ("us", "metric"):
            if any(f" {word} " in f" {said} " for word in table("unit_words")[units]):
                command = units
    return go(now, command, to)


def _skip(now: Now) -> Outcome:
    if now.ask is None:
        return finish(now, (), stay=True)
    if now.ask.question.needed:
        return finish(now, [Line("answer", sentence("needed"))], stay=True)
    return finish(now, [Line("answer", sentence("skipped"))], [{"skip": now.ask.key}])


def _back(now: Now) -> Outcome:
    """Put the question before this one again; its answer stands until another is given."""
    for key in reversed(_trail(now.case)):
        ask = ask_of(key, now.draft, now.context.knowledge)
        if ask is not None and (now.ask is None or ask.key != now.ask.key):
            return finish(now, [Line("answer", sentence("back_at"))], kind="back", ask=ask)
    return finish(now, [Line("answer", sentence("no_way_back"))], stay=True)


def _trail(case: Case) -> list[str]:
    """The questions that stood open before this one, oldest first; going back shortens it."""
    trail = [case.opening] if case.opening else []
    for event in case.events:
        if event.kind == "back" and len(trail) > 1:
            trail.pop()
        if event.asks and (not trail or trail[-1] != event.asks):
            trail.append(event.asks)
    return trail[:-1]


def _undo(now: Now) -> Outcome:
    """Take back the newest message that told something, and ask again what it answered."""
    target = next((e for e in reversed(effective_events(now.case)) if holds_facts(e.acts)), None)
    if target is None:
        return finish(now, [Line("answer", sentence("nothing_to_undo"))], stay=True)
    asks = now.case.opening
    for event in now.case.events:
        if event.number >= target.number:
            break
        asks = event.asks
    case = undo(now.case, now.context.today, now.message, target=target.number, asks=asks)
    ask = ask_of(asks, draft_of(case), now.context.knowledge)
    return finish(
        now, [Line("echo", sentence("undone", message=_quoted(target.message)))], case=case, ask=ask
    )


def _redo(now: Now) -> Outcome:
    if redo_target(now.case) is None:
        return finish(now, [Line("answer", sentence("nothing_to_redo"))], stay=True)
    trial = redo(now.case, now.context.today, now.message)
    target = next(event for event in trial.events if event.number == trial.events[-1].target)
    _, reply, _ = finish(now, (), case=trial)
    case = redo(now.case, now.context.today, now.message, asks=reply.asks)
    return finish(now, [Line("echo", sentence("redone", message=_quoted(target.message)))], case=case)


def _quoted(message: str) -> str:
    from advisor.plan.writing import clean

    text = clean(message)
    return text if len(text) <= 60 else f"{text[:57]}..."


def _goto(now: Now, to: str) -> Outcome:
    """Open the question that words name."""
    words = f" {normal(to or now.text)} "
    best: Ask | None = None
    length = 0
    for name, names in table("goto").items():
        question = now.context.knowledge.questions[name]
        for word in names:
            if f" {word} " in words and len(word) > length:
                subjects = _subjects(now, question.each)
                if subjects:
                    best, length = Ask(name, question, subjects[0]), len(word)
    if best is None:
        return finish(now, [Line("answer", sentence("goto_what"))], stay=True)
    return finish(now, (), kind="goto", ask=best)


def _subjects(now: Now, each: str | None) -> list[str]:
    if each == "group":
        return sorted(now.draft.groups)
    return sorted(now.draft.materials) if each == "material" else [""]


def _plan(now: Now, command: str) -> Outcome:
    plan = now.context.plan(now.draft)
    if plan is None:
        return finish(now, [Line("answer", sentence("needs_animals"))], stay=True)
    if command == "print":
        effects = (Effect("print"),)
        return finish(now, [Line("answer", sentence("printing"))], kind="plan", stay=True, effects=effects)
    own = own_rate_lines(now.draft, now.context)
    from advisor.dialogue.troubles import found_lines

    found = found_lines(now.draft, now.context)
    lines = [*found, *plan_lines(plan, now.units), *own, Line("hint", sentence("plan_hint"))]
    return finish(
        now, lines, kind="plan", stay=True, effects=(Effect("show_plan"),), sources=plan_sources(plan)
    )


def _progress(now: Now) -> list[Line]:
    """How far along, and what would narrow the plan most."""
    lines = [Line("answer", progress(now.draft, now.context))]
    asks = open_asks(now.draft, now.context.knowledge)
    if now.context.plan(now.draft) is not None and asks:
        best = most_narrowing(asks, now.draft, now.context)
        found: Mapping[str, Any] = narrowings(asks, now.draft, now.context)
        if best is not None:
            words = narrowing_words(found[best.key], now.draft, now.context)
            lines.append(Line("answer", f"{best.text(now.draft, now.context.knowledge)} {words}".strip()))
    return lines


def _with(outcome: Outcome, first: list[Line]) -> Outcome:
    """An outcome with lines before its own."""
    case, reply, effects = outcome
    return case, replace(reply, lines=(*first, *reply.lines)), effects
