"""The season in the conversation: notes of what was done and seen, and what to do this week.

A note is only listened for once a plan was shown; while a question stands open it must be plain from its own
words (a day, something put on the bed, animals gone) that it is no answer to that question.
"""

from __future__ import annotations

import datetime as dt

from pydantic import ValidationError

from advisor.dialogue.building import farm_of
from advisor.dialogue.context import Heard
from advisor.dialogue.phrases import sentence
from advisor.dialogue.reply import Line
from advisor.dialogue.turn import Now, Outcome, finish, plan_shown
from advisor.farm import Farm

__all__ = ["noted", "show"]

#: entries whose words could also be an answer to a question of the interview
_ALIKE = {"depth", "weighed", "price", "stock", "moisture", "temperature", "lab", "bought"}
#: signs of a trouble that are notes as well; a frost is one where it was told how long it lasted
_SIGNS = {"squeeze", "ammonia", "dirt", "moisture", "temperature", "incident", "depth"}
_SHORT_WORDS = 9
_AHEAD_LINES = 2


def noted(now: Now, heard: Heard) -> Outcome | None:
    """Note what a message tells of the season; None where it tells nothing of it."""
    if not plan_shown(now.case) or heard.kind in ("ask_fact", "ask_calc", "ask_why", "ask_how", "navigate"):
        return None
    farm = farm_of(now.draft, now.context.knowledge)
    if farm is None:
        return None
    from advisor.farm.facts import complete
    from advisor.language import lexicon
    from advisor.record.hearing import hear
    from advisor.record.mending import last_noted, mends, put_right
    from advisor.record.talk import noted as echo
    from advisor.record.talk import read_notes

    knowledge, context = now.context.knowledge, now.context
    us = now.units == "us"
    told = last_noted(now.case) if mends(now.text) else ()
    words = lexicon(knowledge)
    try:
        found = hear(now.text, complete(farm, knowledge), knowledge, words, context.today, us, bool(told))
    except ValidationError:
        return None
    kinds = {entry.kind for entry in found.entries}
    if not kinds:
        return finish(now, [Line("answer", found.ask)], stay=True) if found.plain else None
    if told and not kinds & {entry.kind for entry in told}:
        return None
    countable = now.ask is not None and now.ask.question.kind not in ("choice", "yes_no")
    if countable and not told and not found.dated and kinds & _ALIKE:
        return None
    if heard.kind == "trouble" and not (kinds <= _SIGNS and len(now.text.split()) <= _SHORT_WORDS):
        return None
    from advisor.record.fold import acts_for, record_of
    from advisor.record.ready import RecordError

    record = record_of(now.case)
    try:
        entries = read_notes(now.text, farm, record, knowledge, context.today, us=us, note=bool(told))
        if told:
            acts, entries, said = put_right(entries, told, found.dated, now.units, knowledge)
        else:
            acts, said = acts_for(entries, record), ""
        line = Line("echo", " ".join(filter(None, (echo(entries, now.units, knowledge), said))))
        lines = [line, *_week(now, farm, acts, brief=True)]
    except RecordError as refusal:
        return finish(now, [Line("answer", str(refusal))], stay=True)
    return finish(now, lines, acts, kind="season", stay=True)


def show(now: Now, ahead_days: int = 0) -> Outcome:
    """What to do this week, or so many days ahead of it once the season runs, from the plan and the notes."""
    farm = farm_of(now.draft, now.context.knowledge)
    if farm is None:
        return finish(now, [Line("answer", sentence("needs_animals"))], stay=True)
    from advisor.record.ready import RecordError

    try:
        lines = _week(now, farm, [], ahead_days=ahead_days)
        lines = lines[:_AHEAD_LINES] if ahead_days else lines  # the rest is said of today
    except RecordError as refusal:
        lines = [Line("answer", str(refusal))]
    return finish(now, lines, kind="season_shown", stay=True)


def _week(
    now: Now, farm: Farm, acts: list[dict[str, object]], brief: bool = False, ahead_days: int = 0
) -> list[Line]:
    from advisor.record.fold import record_of
    from advisor.record.forecast import forecast
    from advisor.record.words import this_week

    context = now.context
    dated = farm.start is not None or farm.end is not None
    plan = context.plan(now.draft) if dated else None
    begun = plan is not None and plan.timeline.start <= context.today
    ahead = dt.timedelta(days=ahead_days if begun else 0)
    found = forecast(
        farm,
        record_of(now.case, acts),
        context.knowledge,
        context.today + ahead,
        context.draws,
        context.seed,
        plan=plan,
    )
    if found.over and not brief:
        from advisor.record.lookback import lookback_lines

        return [Line("answer", text) for text in lookback_lines(found, now.units, now.case.name)]
    return [Line("answer", text) for text in this_week(found, now.units, now.case.name, brief)]
