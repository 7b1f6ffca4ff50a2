"""One turn of the conversation: a case and a message in, the case with its reply out. No clock, no disk, no screen."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from advisor.casebook import Case, append
from advisor.dialogue.agenda import Ask, ask_of, next_ask
from advisor.dialogue.answers import own_answer, region_in
from advisor.dialogue.asking import question_lines, usual_words, why_lines
from advisor.dialogue.building import before, impossible
from advisor.dialogue.context import Context, Heard
from advisor.dialogue.dangers import new_dangers
from advisor.dialogue.draft import Act, Draft, draft_of, holds_facts
from advisor.dialogue.echo import echo
from advisor.dialogue.intake import take
from advisor.dialogue.narrowing import most_narrowing
from advisor.dialogue.overview import (
    own_rate_lines,
    plan_lines,
    plan_numbers,
    plan_sources,
    progress,
)
from advisor.dialogue.passing import Passing, passing
from advisor.dialogue.phrases import command_of, joined, normal, sentence, table
from advisor.dialogue.reply import Effect, Line, Reply
from advisor.plan.writing import clean

__all__ = ["Now", "finish", "hear", "listened", "plan_shown", "record", "think", "turn", "unsure"]

FIRST_PLAN_ANSWERS = 8
_MOST_CHARACTERS = 2000

Outcome = tuple[Case, Reply, tuple[Effect, ...]]


@dataclass(frozen=True)
class Now:
    """Where the conversation stands when a message comes in."""

    case: Case
    message: str
    text: str
    draft: Draft
    ask: Ask | None
    context: Context

    @property
    def units(self) -> Literal["metric", "us"]:
        """The units to speak in."""
        return self.context.units_of(self.draft)


def think(case: Case, context: Context) -> None:
    """Work out the plan for the case ahead of the next message, so that the next turn is quick."""
    draft = draft_of(case)
    if impossible(draft, context.knowledge) is None:
        context.plan(draft)


def turn(case: Case, message: str, context: Context) -> Outcome:
    """Take a message and answer it."""
    from advisor.dialogue import emergencies, navigate, wondering

    draft = draft_of(case)
    ask = ask_of(case.asked, draft, context.knowledge)
    text = clean(message[:_MOST_CHARACTERS])
    now = Now(case, message, text, draft, ask, context)
    if not normal(text):
        return case, _again(now, [Line("answer", sentence("nothing_said"))]), ()
    if "!" in text and emergencies.cried(text):
        return emergencies.who_is_in_danger(now)
    if draft.trouble:
        checked = _checked(now)
        if checked is not None:
            return checked
    numbered = re.fullmatch(r"(how|why|source|sure|open)\s+(?:is\s+|number\s+)?(\d{1,2})\??", text.casefold())
    if numbered:
        return wondering.open_numbered(now, int(numbered[2]))
    command = command_of(text)
    if command:
        return navigate.go(now, command)
    if ask is not None:
        own = own_answer(text, ask, draft, context, loose=False)
        if own is not None:
            return record(now, own.acts)
    if ask is not None and ask.id == "dates" and normal(text) in table("whole_winter"):
        return unsure(now)
    if draft.talk and draft.talk.get("tried") and normal(text) in table("let_be"):
        return finish(now, [Line("answer", sentence("let_be"))], stay=True)
    asked = ask.neutral(draft, context.knowledge) if ask else None
    heard = listened(now, asked)
    if ask is not None and heard.act == "decline":
        heard = listened(now, None)  # 'i buy 10 a week' may be no matter of prices but of what is on hand
    elif ask is not None and heard.act in ("clarify", "reask") and not heard.facts:
        # No answer to what was asked: it may be something told, asked or seen out of turn.
        unasked = listened(now, None)
        heard = unasked if unasked.facts or unasked.act not in ("clarify", "reask", "chat") else heard
    elif ask is not None and heard.kind == "answer" and ask.question.kind == "choice":
        # 'My hens have red eyes' names a choice (hens) and is none: a trouble out of turn is heard first.
        unasked = listened(now, None)
        heard = unasked if unasked.kind == "trouble" else heard
    return hear(now, heard)


def _checked(now: Now) -> Outcome | None:
    """The answer to a look asked for in a trouble; danger is still heard first."""
    from advisor.dialogue.troubles import check_answered

    checked = check_answered(now)
    if checked is not None and len(now.text.split()) > 3 and listened(now, None).act == "alarm":
        return None
    return checked


def listened(now: Now, asked: str | None) -> Heard:
    """What the message means, after a question or by itself."""
    told = before(now.draft, now.context.knowledge)
    return now.context.listen(now.text, asked, told, now.context.today)


def hear(now: Now, heard: Heard) -> Outcome:
    """Answer a reading by its act and kind: danger first, whatever was asked."""
    from advisor.dialogue import emergencies, navigate, season, wondering
    from advisor.dialogue.asked import counsel
    from advisor.dialogue.troubles import trouble

    if emergencies.help_comes(now, heard):
        return finish(now, [Line("answer", sentence("help_is_coming"))], kind="alarm", stay=True)
    over = emergencies.safe_again(now, heard)
    if over is not None:
        return over
    if heard.act == "alarm":
        emergency = now.context.emergency(now.draft)
        words = now.context.answer(heard, emergency)
        first = [Line("alarm", part) for part in words.splitlines() if part.strip()]
        return finish(now, [*first, Line("hint", sentence("after_alarm"))], kind="alarm", stay=True)
    if heard.kind != "ask_why":
        answered = counsel(now, heard)
        if answered is not None:
            return answered
    noted = season.noted(now, heard)
    if noted is not None:
        return noted
    handlers: Mapping[str, Callable[[Now, Heard], Outcome]] = {
        "navigate": navigate.heard_go,
        "unsure": _unsure_but,
        "ask_fact": wondering.asked,
        "ask_calc": wondering.asked,
        "ask_why": wondering.asked_why,
        "ask_how": wondering.asked_how,
        "trouble": trouble,
        "out_of_scope": _declined,
    }
    if heard.kind in handlers:
        return handlers[heard.kind](now, heard)
    beside = passing(now, heard)
    if beside is not None:
        return _told_in_passing(now, beside)
    return _taken(now, heard)


def _told_in_passing(now: Now, beside: Passing) -> Outcome:
    """The rest of the message as if it were the whole, then what was told in passing."""
    if not normal(beside.rest):
        return record(now, beside.acts(now, ()))
    rest = replace(now, text=beside.rest)
    asked = rest.ask.neutral(rest.draft, rest.context.knowledge) if rest.ask else None
    heard = listened(rest, asked)
    if not heard.facts:
        heard = listened(rest, None)
    return _taken(rest, heard, beside)


def _taken(now: Now, heard: Heard, beside: Passing | None = None) -> Outcome:
    """Record what a message tells, or ask back."""
    facts: Mapping[str, Any] = heard.facts
    own = None
    if now.ask is not None and now.ask.question.kind in ("choice", "yes_no"):
        own = own_answer(now.text, now.ask, now.draft, now.context, loose=True)
        facts = _beside_choice(facts, now.ask) if own is not None else facts
    chosen = own is not None
    if "which pen to begin with" in heard.asks_back:
        return finish(now, [Line("answer", sentence("one_pen"))], stay=True)
    taken = take(facts, now.ask, now.draft, now.context, correcting=heard.kind == "correction", said=now.text)
    region = region_in(now.text, now.context) if not now.draft.at("region") else None
    if region is not None:
        taken.put("region", region)
    if now.ask is not None and not taken.acts and own is None:
        own = own_answer(now.text, now.ask, now.draft, now.context, loose=True)
    acts = [*own.acts, *taken.acts] if own is not None else taken.acts
    if beside is not None:
        acts = [*acts, *beside.acts(now, acts)]
        chosen = True
    lines: list[Line] = []
    # What we would ask next anyhow (how many goats?) needs no asking back.
    counting = bool(acts) and all(back.startswith("how many") for back in heard.asks_back)
    if heard.act == "query_value" or (heard.act == "clarify" and not chosen and not counting):
        whole = now.ask is not None and now.ask.neutral(now.draft, now.context.knowledge) in heard.asks_back
        if not (whole and acts):  # what was told is no answer to the question, but it is something told
            lines.append(Line("answer", sentence("unclear") if whole else now.context.answer(heard, "")))
    if taken.strange:
        lines.append(Line("answer", sentence("strange", what=joined(taken.strange))))
    if taken.uncounted:
        lines.append(Line("answer", sentence("say_how_many", name=joined(taken.uncounted))))
    if taken.unpriced:
        lines.append(Line("answer", sentence("price_of_what", price=joined(taken.unpriced))))
    if taken.unweighed:
        lines.append(Line("answer", sentence("weigh_first")))
    if acts:
        also = why_lines(now.ask, now.draft, now.context) if "ask_why" in heard.also and now.ask else []
        return record(now, acts, [*lines, *also], stay=bool(lines) and not taken.strange)
    if not lines:
        key = "chat" if heard.act == "chat" else "not_understood"
        lines.append(Line("answer", sentence(key)))
    return finish(now, lines, stay=True)


def _beside_choice(facts: Mapping[str, Any], ask: Ask) -> Mapping[str, Any]:
    """Facts told beside a choice: the words of the choice itself are no animals or bedding of their own."""
    animals = () if ask.id in ("shares_pack", "turned_by") else facts.get("animals") or ()
    materials = () if ask.id == "feed" else facts.get("materials") or ()
    return {
        **{k: v for k, v in facts.items() if k not in ("choice", "yes_no", "no_animals", "no_materials")},
        "animals": [one for one in animals if one.get("count") or one.get("count_range")],
        "materials": [one for one in materials if one.get("amount") or one.get("mass_kg")],
    }


def record(now: Now, acts: Iterable[Act], lines: Iterable[Line] = (), stay: bool = False) -> Outcome:
    """Fold acts in, unless what they say cannot be true; say back what was understood."""
    acts = tuple(acts)
    context = now.context
    after = draft_of(now.case, acts)
    wrong = impossible(after, context.knowledge)
    if wrong is not None:
        return finish(now, [Line("answer", wrong)], stay=True)
    told = echo(acts, after, context)
    said = [Line("echo", told)] if told else []
    return finish(now, [*said, *lines, *new_dangers(now.draft, after, context)], acts, stay=stay)


def finish(
    now: Now,
    lines: Iterable[Line],
    acts: Iterable[Act] = (),
    kind: str = "said",
    stay: bool = False,
    case: Case | None = None,
    ask: Ask | None = None,
    effects: tuple[Effect, ...] = (),
    sources: Iterable[str] = (),
    quiet: bool = False,
) -> Outcome:
    """Choose the question to stand open, put the message in the case, and add the question to the reply.

    `stay` keeps the open question; `ask` names another; `case` already holds the message;
    `quiet` leaves the question unsaid, as the reply asks something itself.
    """
    context, acts = now.context, tuple(acts)
    after = draft_of(case or now.case, acts)
    if ask is None and stay:
        ask = ask_of(now.ask.key if now.ask else None, after, context.knowledge)
    if ask is None:
        ask = next_ask(after, context.knowledge, lambda asks: most_narrowing(asks, now.draft, context))
    lines = list(lines)
    results: Mapping[str, tuple[float, float, float]] = {}
    sources = list(sources)
    if kind == "said" and _first_plan_due(now.case, after, acts, ask):
        plan = context.plan(after)
        if plan is not None:
            units = context.units_of(after)
            lines += [Line("answer", sentence("first_plan")), *plan_lines(plan, units)]
            lines += own_rate_lines(after, context)
            lines.append(Line("hint", sentence("first_plan_hint")))
            results, kind = plan_numbers(plan), "first_plan"
            sources += plan_sources(plan)
    if "show_plan" in {effect.do for effect in effects}:
        plan = context.plan(after)
        results = plan_numbers(plan) if plan is not None else {}
    if case is None:
        case = append(now.case, context.today, now.message, acts, kind=kind, asks=ask.key if ask else None)
    if not quiet:
        again = ask is not None and ask.key == now.case.asked and _aside(lines, kind, ask)
        lines += (
            question_lines(ask, after, context, again) if ask else [Line("hint", sentence("nothing_to_ask"))]
        )
    reply = Reply(
        tuple(lines),
        ask.key if ask else None,
        progress(after, context),
        results,
        tuple(dict.fromkeys(sources)),
    )
    return case, reply, effects


def _aside(lines: Iterable[Line], kind: str, ask: Ask) -> bool:
    """Whether a reply went about something else than the open question, which was understood and needs no choices."""
    about_it = any(line.text.startswith(ask.question.why[:20]) for line in lines)
    return not about_it and (kind != "said" or any(line.role in ("echo", "point") for line in lines))


def _unsure_but(now: Now, heard: Heard) -> Outcome:
    """'Not sure, maybe fifteen' is an answer after all."""
    if now.ask is not None and re.search(r"\d", now.text):
        own = own_answer(now.text, now.ask, now.draft, now.context, loose=True)
        if own is not None:
            return record(now, own.acts)
    told = _known_part(now)
    if told is not None:
        return hear(*told)
    return unsure(now)


def _known_part(now: Now) -> tuple[Now, Heard] | None:
    """What is known in 'thirty round bales, no idea what they weigh': the clauses that are not unsure."""
    clauses = [part.strip() for part in re.split(r"[,;.]\s|\bbut\b", now.text) if part.strip()]
    known = [part for part in clauses if listened(replace(now, text=part), None).kind != "unsure"]
    if not known or len(known) == len(clauses):
        return None
    rest = replace(now, text=", ".join(known))
    heard = listened(rest, rest.ask.neutral(now.draft, now.context.knowledge) if rest.ask else None)
    return (rest, heard) if heard.facts and heard.kind != "unsure" else None


def unsure(now: Now) -> Outcome:
    """'I do not know': what is usual, how to find out, and on to the next question."""
    ask = now.ask
    if ask is None:
        return finish(now, [Line("answer", sentence("not_understood"))], stay=True)
    how = (
        [Line("answer", sentence("find_out", how=ask.question.how_to_find))]
        if ask.question.how_to_find
        else []
    )
    if ask.question.needed:
        return finish(now, [Line("answer", sentence("needed")), *how], stay=True)
    usual = usual_words(ask, now.draft, now.context)
    lines = [Line("answer", sentence("no_matter", usual=usual)), *how]
    return finish(now, lines, [{"unknown": ask.key}])


def plan_shown(case: Case) -> bool:
    """Whether the first plan was already given."""
    return any(event.kind in ("first_plan", "plan") for event in case.events)


def _first_plan_due(case: Case, after: Draft, acts: tuple[Act, ...], ask: Ask | None) -> bool:
    """After the last of the early questions, or after the eighth answer, whichever comes first."""
    if plan_shown(case) or not holds_facts(acts) or not after.groups:
        return False
    if ask is not None and ask.question.needed:
        return False
    open_before = (case.opening, *(event.asks for event in case.events))
    answers = 1 + sum(
        holds_facts(event.acts) and event.asks != asked
        for event, asked in zip(case.events, open_before, strict=False)
    )
    return answers >= FIRST_PLAN_ANSWERS or ask is None or ask.question.early is None


def _again(now: Now, lines: Iterable[Line]) -> Reply:
    more = question_lines(now.ask, now.draft, now.context) if now.ask else []
    return Reply(
        (*lines, *more),
        now.case.asked,
        progress(now.draft, now.context),
    )


def _declined(now: Now, heard: Heard) -> Outcome:
    return finish(now, [Line("answer", now.context.answer(heard, ""))], kind="declined", stay=True)
