"""A trouble taken up in the conversation: causes, one look at a time, and what to do today.

What was seen is kept in the case as signs and results; the numbers come from the farm as it stands.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.dialogue.context import Heard
from advisor.dialogue.phrases import joined, sentence
from advisor.dialogue.reply import Line
from advisor.dialogue.turn import Now, Outcome, finish

if TYPE_CHECKING:
    from advisor.troubles import Diagnosis

__all__ = ["check_answered", "trouble"]

_MOST_CAUSES = 3


def trouble(now: Now, heard: Heard) -> Outcome:
    """Take up a trouble, with what was seen before in the same matter."""
    from advisor.troubles import start
    from advisor.troubles.listening import evidence_in

    symptoms = [str(sign) for sign in heard.facts.get("symptoms") or ()]
    alarms = [str(alarm) for alarm in heard.facts.get("alarm") or ()]
    told = {**_seen(now), **evidence_in(now.context.knowledge, now.text, symptoms, alarms)}
    if not told:
        return finish(now, [Line("answer", sentence("trouble_what"))], kind="trouble", stay=True)
    return _shown(now, start(now.context.knowledge, told, _facts(now)), symptoms)


def check_answered(now: Now) -> Outcome | None:
    """The answer to the look asked for last; None where the message is about something else."""
    from advisor.troubles import answer, start
    from advisor.troubles.listening import result_of

    seen = _seen(now)
    if not seen or now.case.events[-1].kind != "trouble":
        return None
    found = start(now.context.knowledge, seen, _facts(now))
    check = found.next_check
    if check is None:
        return None
    results = list(check.results)
    if now.text.isdigit() and 0 < int(now.text) <= len(results):
        result: str | None = results[int(now.text) - 1]
    else:
        result = result_of(now.context.knowledge, check.id, now.text)
    return None if result is None else _shown(now, answer(found, check.id, result), [])


def _seen(now: Now) -> dict[str, str]:
    return {str(name): str(state) for name, state in (now.draft.trouble or {}).items()}


def _facts(now: Now) -> dict[str, object]:
    from advisor.troubles.farm_facts import farm_facts

    plan = now.context.plan(now.draft)
    return {} if plan is None else dict(farm_facts(plan))


def _shown(now: Now, found: Diagnosis, symptoms: list[str]) -> Outcome:
    from advisor.troubles.words import danger_text, filled, remedy_text

    knowledge, units = now.context.knowledge, now.units
    lines = [
        Line("alarm" if danger.stops else "caution", part.removeprefix("- "))
        for _, danger in found.dangers
        for part in danger_text(found, danger, units).splitlines()
    ]
    acts = [{"trouble": dict(found.told)}]
    if found.stopped:
        return finish(now, lines, acts, kind="trouble", stay=True, quiet=True)
    if symptoms:
        lines.append(Line("echo", sentence("trouble", what=joined(symptoms))))
    for cause in found.causes[:_MOST_CAUSES]:
        word = sentence(f"chance_{cause.word}")
        reasons = " ".join(reason.why for reason in cause.because[:2])
        lines.append(
            Line("point", sentence("cause", cause=cause.name, word=word, about=cause.about, reasons=reasons))
        )
    check = found.next_check
    if check is not None:
        for text in (check.how, check.caution):
            if text:
                lines.append(Line("hint", filled(knowledge, text, units)))
        lines.append(Line("question", filled(knowledge, check.ask, units)))
        numbered = [f"{number} {name}" for number, name in enumerate(check.results.values(), 1)]
        lines.append(Line("choices", sentence("choices", choices="; ".join(numbered))))
        return finish(now, lines, acts, kind="trouble", stay=True, quiet=True)
    if found.causes:
        for sized in found.remedy(found.causes[0].id)[:1]:
            lines += [
                Line("point" if part.startswith("- ") else "answer", part.removeprefix("- ").strip())
                for part in remedy_text(found, sized, units).splitlines()
            ]
        if found.causes[0].call:
            lines.append(Line("answer", sentence("trouble_call", who=found.causes[0].call)))
    return finish(now, lines, acts, kind="remedy", stay=True)
