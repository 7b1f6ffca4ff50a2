"""A trouble taken up in the conversation: causes, one look at a time, and what to do today.

What was seen is kept in the case as signs and results; the numbers come from the farm as it stands. Looks that
tell a fact of the farm set it, and as long as the trouble is on hand plan and season advice say what was found.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from advisor.dialogue.context import Context, Heard
from advisor.dialogue.draft import Draft, draft_of
from advisor.dialogue.echo import told_words
from advisor.dialogue.phrases import command_of, joined, sentence
from advisor.dialogue.reply import Line
from advisor.dialogue.turn import Now, Outcome, finish

if TYPE_CHECKING:
    from advisor.plan.document import Section
    from advisor.troubles import Diagnosis
    from advisor.troubles.effect import Difference

__all__ = ["check_answered", "found_lines", "on_hand", "plan_section", "trouble"]

_MOST_CAUSES = 3
_MOST_UNKNOWN = 2  # looks that could not be done, after which remedies come and no more looks
_MOST_LOOKS = 4


def trouble(now: Now, heard: Heard) -> Outcome:
    """Take up a trouble, with what was seen before in the same matter."""
    from advisor.troubles import start
    from advisor.troubles.listening import evidence_in

    symptoms = [str(sign) for sign in heard.facts.get("symptoms") or ()]
    alarms = [str(alarm) for alarm in heard.facts.get("alarm") or ()]
    new = evidence_in(now.context.knowledge, now.text, symptoms, alarms)
    told = {**_same_matter(now, new), **new}
    if not told:
        return finish(now, [Line("answer", sentence("trouble_what"))], kind="trouble", stay=True)
    found = start(now.context.knowledge, told, _facts(now.draft, now.context))
    seen = [Line("echo", sentence("trouble", what=joined(symptoms)))] if symptoms else []
    return _shown(now, found, list(new), seen)


def check_answered(now: Now) -> Outcome | None:
    """What is said while a trouble is on hand; None where the message is about something else."""
    from advisor.troubles import answer, start
    from advisor.troubles.listening import result_of, talk_of
    from advisor.troubles.weigh import UNKNOWN, WHERE

    seen, knowledge = _seen(now.draft), now.context.knowledge
    asking = now.case.events[-1].kind == "trouble"
    talk = talk_of(now.text) if len(now.text.split()) <= 10 else ""
    if not seen or not (asking or talk == "gone"):
        return None
    if talk == "gone" and not _signs_in(now):
        lines = [Line("answer", _own("gone"))]
        return finish(now, lines, [{"trouble": {}}], kind="trouble_gone", stay=True)
    found = start(knowledge, seen, _facts(now.draft, now.context))
    check = found.next_check
    if check is None or not asking:
        return None
    if command_of(now.text) in ("why", "sure", "how"):
        return finish(
            now, [*_reasons(found, now), *_asked(found, now)], kind="trouble", stay=True, quiet=True
        )
    if talk == "act_now":
        return _treated(now, found, [Line("answer", _own("act_now"))], [])
    results = list(check.results)
    if now.text.isdigit() and 0 < int(now.text) <= len(results):
        result: str | None = results[int(now.text) - 1]
    else:
        result = result_of(knowledge, check.id, now.text)
    if result is None:
        return _told_instead(now, found)
    first: tuple[Line, ...] = ()
    if check.id == WHERE and result == UNKNOWN and _of_the_bed(found):
        result, first = "bed", (Line("answer", _own("bed_taken")),)
    return _shown(now, answer(found, check.id, result), [check.id], first, found)


def _told_instead(now: Now, found: Diagnosis) -> Outcome | None:
    """The result of a look that was not asked for; None where the message is about something else."""
    from advisor.troubles import answer
    from advisor.troubles.listening import other_result

    if command_of(now.text) or "?" in now.text or any(letter.isdigit() for letter in now.text):
        return None
    place = found.evidence.get("where_is_it")
    checks = [
        name
        for name, check in found.knowledge.checks.items()
        if name not in found.told and check.place in (None, place)
    ]
    told = other_result(found.knowledge, checks, now.text)
    return None if told is None else _shown(now, answer(found, *told), [told[0]], (), found)


def found_lines(draft: Draft, context: Context) -> list[Line]:
    """The trouble on hand, for a short plan or the week's advice; empty where there is none."""
    from advisor.troubles.found import found_short

    found = on_hand(draft, context)
    if found is None:
        return []
    first, *amounts = found_short(found, context.units_of(draft)) or [""]
    if not first:
        return []
    return [Line("alarm" if found.stopped else "caution", first), *(Line("point", text) for text in amounts)]


def plan_section(draft: Draft, context: Context) -> Section | None:
    """The part of the whole plan that says what was found and what to do."""
    from advisor.troubles.found import found_section

    found = on_hand(draft, context)
    if found is None:
        return None
    return found_section(found, context.units_of(draft), _effect(found, draft, context))


def on_hand(draft: Draft, context: Context) -> Diagnosis | None:
    """The trouble on hand as it stands; None where there is none."""
    from advisor.troubles import restored

    seen = _seen(draft)
    if not seen:
        return None
    return restored(context.knowledge, {"told": seen, "facts": _facts(draft, context)})


def _seen(draft: Draft) -> dict[str, str]:
    return {str(name): str(state) for name, state in (draft.trouble or {}).items()}


def _same_matter(now: Now, new: Mapping[str, str]) -> dict[str, str]:
    """What was seen before, unless what is told now can be of no place that goes with it."""
    from advisor.troubles.weigh import PRESENT, WHERE

    seen, signs = _seen(now.draft), now.context.knowledge.signs
    places = {"bed", "heap", "land"}
    for name, state in {**seen, **new}.items():
        if name in signs and state == PRESENT:
            places &= set(signs[name].places)
    where = {told[WHERE] for told in (seen, new) if told.get(WHERE) in ("bed", "heap", "land")}
    return seen if places and (not where or (len(where) == 1 and where <= places)) else {}


def _signs_in(now: Now) -> bool:
    """Whether a message that says it is over tells a sign that is still there."""
    from advisor.troubles.listening import evidence_in
    from advisor.troubles.weigh import PRESENT

    signs = evidence_in(now.context.knowledge, now.text)
    return "still" in now.text.lower().split() and PRESENT in signs.values()


def _of_the_bed(found: Diagnosis) -> bool:
    """Whether all that was seen can be of the bed: where nobody can say, that is what is meant."""
    from advisor.troubles.weigh import PRESENT

    signs = found.knowledge.signs
    seen = [name for name, state in found.told.items() if name in signs and state == PRESENT]
    return all("bed" in signs[name].places for name in seen)


def _facts(draft: Draft, context: Context) -> dict[str, Any]:
    from advisor.troubles.farm_facts import farm_facts

    plan = context.plan(draft)
    return {} if plan is None else dict(farm_facts(plan))


def _shown(
    now: Now,
    found: Diagnosis,
    told: list[str],
    first: list[Line] | tuple[Line, ...] = (),
    before: Diagnosis | None = None,
) -> Outcome:
    """Dangers, the causes where their order is new, and either the next look or what to do."""
    from advisor.troubles.weigh import UNKNOWN, WHERE
    from advisor.troubles.words import danger_text

    lines = [
        Line("alarm" if danger.stops else "caution", part.removeprefix("- "))
        for name, danger in found.dangers
        if before is None or name not in dict(before.dangers)
        for part in danger_text(found, danger, now.units).splitlines()
    ]
    acts: list[dict[str, Any]] = [{"trouble": dict(found.told)}]
    if found.stopped:
        return finish(now, lines, acts, kind="trouble", stay=True, quiet=True)
    noted, facts = _facts_told(now, found, told)
    lines += [*first, *noted]
    acts += facts
    order = [cause.id for cause in found.causes[:_MOST_CAUSES]]
    if before is None or order != [cause.id for cause in before.causes[:_MOST_CAUSES]]:
        lines += _causes(found)
    else:
        first_now, first_then = found.causes[0], before.causes[0]
        told_word = first_now.word != first_then.word
        word = sentence(f"chance_{first_now.word}")
        said = _own("word_now", cause=first_now.name, word=word) if told_word else _own("same_order")
        lines.append(Line("answer", said))
    looks = [state for name, state in found.told.items() if name in found.knowledge.checks and name != WHERE]
    unknown = looks.count(UNKNOWN)
    enough = unknown >= _MOST_UNKNOWN or len(looks) - unknown >= _MOST_LOOKS
    if found.next_check is None or enough:
        return _treated(now, found, lines, acts)
    if found.causes and (unknown or found.causes[0].word in ("very_likely", "likely")):
        lines += _meanwhile(found, now)
    return finish(now, [*lines, *_asked(found, now)], acts, kind="trouble", stay=True, quiet=True)


def _causes(found: Diagnosis) -> list[Line]:
    lines = []
    for cause in found.causes[:_MOST_CAUSES]:
        word = sentence(f"chance_{cause.word}")
        reasons = " ".join(list(dict.fromkeys(reason.why for reason in cause.because))[:2])
        text = sentence("cause", cause=cause.name, word=word, about=cause.about, reasons=reasons)
        lines.append(Line("point", text))
    return lines


def _asked(found: Diagnosis, now: Now) -> list[Line]:
    """The next look, how to do it, and the answers it may have."""
    from advisor.troubles.words import filled

    check, knowledge = found.next_check, now.context.knowledge
    if check is None:
        return []
    lines = [Line("hint", filled(knowledge, text, now.units)) for text in (check.how, check.caution) if text]
    lines.append(Line("question", filled(knowledge, check.ask, now.units)))
    numbered = [f"{number} {name}" for number, name in enumerate(check.results.values(), 1)]
    lines.append(Line("choices", sentence("choices", choices="; ".join(numbered))))
    return lines


def _reasons(found: Diagnosis, now: Now) -> list[Line]:
    """For and against each cause, and what would change their order."""
    from advisor.troubles.words import cause_text, change_lines

    parts = [
        cause_text(found, cause, number, now.units)
        for number, cause in enumerate(found.causes[:_MOST_CAUSES], 1)
    ]
    lines = [Line("answer", part.strip()) for text in parts for part in text.splitlines()]
    changes = change_lines(found, now.units)
    if changes:
        lines.append(Line("answer", _own("change_head")))
    return [*lines, *(Line("point", text.removeprefix("- ")) for text in changes)]


def _meanwhile(found: Diagnosis, now: Now) -> list[Line]:
    """The first step against the likeliest cause, while it is not settled."""
    from advisor.troubles.words import amount_text, filled

    sized = found.remedy(found.causes[0].id)[0]
    step = filled(found.knowledge, found.knowledge.remedies[sized.remedy].today[0], now.units)
    amounts = [Line("point", amount_text(amount, now.units)) for amount in sized.sum.amounts[:1]]
    return [Line("answer", _own("meanwhile", step=step)), *amounts]


def _treated(now: Now, found: Diagnosis, lines: list[Line], acts: list[dict[str, Any]]) -> Outcome:
    """What to do about the likeliest cause, what that does to the season, and what to try next."""
    from advisor.troubles.found import causes_to_treat
    from advisor.troubles.words import remedy_text, season_text

    treated = causes_to_treat(found)
    for cause in treated:
        sized = found.remedy(cause.id)[0]
        lines += _drawn(remedy_text(found, sized, now.units))
        if cause.call:
            lines.append(Line("answer", sentence("trouble_call", who=cause.call)))
    effects = _effect(found, now.draft, now.context)
    if effects:
        lines += _drawn(season_text(effects, now.units))
    for cause in found.causes[len(treated) : len(treated) + 1]:
        remedy = found.knowledge.remedies[cause.remedies[0]].name
        if treated[0].word != "very_likely":
            lines.append(Line("answer", _own("next_best", cause=cause.name, remedy=remedy)))
    return finish(now, lines, acts, kind="remedy", stay=True)


def _drawn(text: str) -> list[Line]:
    return [
        Line("point" if part.startswith("- ") else "answer", part.removeprefix("- ").strip())
        for part in text.splitlines()
    ]


def _effect(found: Diagnosis, draft: Draft, context: Context) -> tuple[Difference, ...]:
    """What the first remedy does to the season."""
    from advisor.troubles.effect import season_effect

    plan = context.plan(draft)
    if plan is None or found.stopped or not found.causes:
        return ()
    change = found.remedy(found.causes[0].id)[0].sum.change
    return season_effect(plan, change, context.draws, context.seed) if change else ()


def _facts_told(now: Now, found: Diagnosis, told: list[str]) -> tuple[list[Line], list[dict[str, Any]]]:
    """Facts of the farm that were told along with the trouble: acts, and a line that says so."""
    from advisor.troubles.found import told_facts

    facts = {fact: value for name in told for fact, value in told_facts(found, name).items()}
    acts: list[dict[str, Any]] = [
        {"set": f"facts.{fact}", "to": value}
        for fact, value in facts.items()
        if now.draft.at(f"facts.{fact}") != value
    ]
    if not acts:
        return [], []
    after = draft_of(now.case, acts)
    words = told_words([act["set"] for act in acts], after, now.context.knowledge, now.units)
    return ([Line("echo", _own("noted_fact", what=joined(words)))] if words else []), acts


def _own(name: str, **values: object) -> str:
    from advisor.troubles.words import phrases

    return phrases()["sentences"][name].format(**values)
