"""A diagnosis and its remedies in plain words. The sentences stand in knowledge/phrases/troubles.yaml."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any, Literal

from advisor.knowledge import Knowledge
from advisor.knowledge.models_troubles import Danger
from advisor.plan.wording import say, say_number, say_range, shown_unit
from advisor.troubles.diagnosis import Diagnosis, RankedCause
from advisor.troubles.effect import Difference
from advisor.troubles.numbers import Amount, Sized
from advisor.troubles.weigh import ABSENT

__all__ = [
    "Units", "amount_text", "ask_words", "cause_text", "change_lines", "check_text", "checked_text", "danger_text",
    "diagnosis_text", "filled", "phrases", "remedy_text", "season_text", "working_text",
]  # fmt: skip

Units = Literal["metric", "us"]
_LIQUID = ("water", "rain")
_LEAST_PACKS, _LEAST_FORKFULS = 0.2, 0.5  # fewer are not worth a word


@cache
def phrases() -> Mapping[str, Mapping[str, str]]:
    """The sentences, labels and workings."""
    from advisor.knowledge.base import plain_data

    held = plain_data("phrases/troubles.yaml")
    return {str(name): dict(block) for name, block in held.items()}


def _sentence(name: str, /, **values: object) -> str:
    return str(phrases()["sentences"][name]).format(**values)


def filled(knowledge: Knowledge, text: str, units: Units) -> str:
    """Prose with its {figure_id} places filled by the working value."""

    def number(match: re.Match[str]) -> str:
        entry = knowledge.figures[match[1]]
        figure = entry.figure
        if figure is None:
            return match[0]
        held = figure.to(entry.si)
        if entry.si in ("1", "fraction", "1/day") and held.value >= 1:
            return say_number(held.value)
        return say(held.value, entry.si, units)

    return re.sub(r"\{([a-z][a-z0-9_]*)\}", number, text)


def diagnosis_text(
    diagnosis: Diagnosis, units: Units = "metric", effects: Mapping[str, Sequence[Difference]] | None = None
) -> str:
    """Dangers, then causes with reasons, then the next check, then what to do about the likeliest.

    `effects` are differences to the season, by remedy id.
    """
    parts = [danger_text(diagnosis, danger, units) for _, danger in diagnosis.dangers]
    if diagnosis.stopped:
        return "\n\n".join(parts)
    if not diagnosis.causes:
        return "\n\n".join([*parts, _sentence("nothing_told")])
    lines = [_sentence("head")]
    if diagnosis.weighed.none > diagnosis.causes[0].chance:
        lines.insert(0, _sentence("none"))
    lines += [
        cause_text(diagnosis, cause, number, units) for number, cause in enumerate(diagnosis.causes[:3], 1)
    ]
    parts += ["\n".join(lines), check_text(diagnosis, units)]
    changes = change_lines(diagnosis, units)
    if changes:
        parts.append("\n".join([_sentence("change_head"), *changes]))
    first = diagnosis.causes[0]
    for sized in diagnosis.remedy(first.id)[:2]:
        parts.append(remedy_text(diagnosis, sized, units))
        if effects is not None and sized.remedy in effects:
            parts.append(season_text(effects[sized.remedy], units))
    if first.call:
        parts.append(_sentence("who", who=first.call))
    return "\n\n".join(part for part in parts if part)


def cause_text(diagnosis: Diagnosis, cause: RankedCause, number: int, units: Units = "metric") -> str:
    """A cause with its reasons for and against."""
    lines = [
        _sentence("cause", number=number, name=_capital(cause.name), word=_sentence(cause.word)),
        f"   {cause.about}",
    ]
    if cause.because:
        lines.append(
            f"   {_sentence('for', reasons=' '.join(list(dict.fromkeys(r.why for r in cause.because))[:3]))}"
        )
    if cause.against:
        told = "; ".join(_against(diagnosis, reason.id, reason.state, units) for reason in cause.against[:2])
        lines.append(f"   {_sentence('against', reasons=told)}.")
    if cause.unexplained:
        lines.append(f"   {_sentence('unexplained', signs=', '.join(cause.unexplained))}")
    return "\n".join(lines)


def checked_text(knowledge: Knowledge, name: str, state: str, units: Units) -> str:
    """What was looked at, and what was found."""
    check = knowledge.checks[name]
    asked = check.ask.split("?")[0].split(".")[-1].strip()
    return f"{filled(knowledge, asked, units)}? {_capital(check.results[state].name)}"


def _against(diagnosis: Diagnosis, name: str, state: str, units: Units) -> str:
    """What was found that does not fit."""
    knowledge = diagnosis.knowledge
    if name in knowledge.signs:
        sign = knowledge.signs[name].name
        return _sentence("sign_absent", sign=sign) if state == ABSENT else sign
    if name in knowledge.checks:
        return checked_text(knowledge, name, state, units)
    return next(
        (lean.why for cause in knowledge.causes.values() for lean in cause.leans if lean.when == name), name
    ).rstrip(".")


def check_text(diagnosis: Diagnosis, units: Units = "metric") -> str:
    """The check worth most, how to do it, and the answers it may have."""
    check = diagnosis.next_check
    if check is None:
        settled = Diagnosis.word(diagnosis, diagnosis.causes[0].chance) == "very_likely"
        return _sentence("settled" if settled else "no_more")
    lines = [_sentence("check", ask=filled(diagnosis.knowledge, check.ask, units))]
    if check.how:
        lines.append(filled(diagnosis.knowledge, check.how, units))
    if check.caution:
        lines.append(_sentence("check_caution", caution=check.caution))
    if len(check.parts) == 2:
        lines.append(_sentence("check_parts", first=check.parts[0], second=check.parts[1]))
    lines.append(_sentence("check_answers", answers="; ".join(check.results.values())))
    return "\n".join(lines)


def change_lines(diagnosis: Diagnosis, units: Units) -> list[str]:
    """Results not yet known that would put another cause first."""
    knowledge = diagnosis.knowledge
    return [
        "- "
        + _sentence(
            "change",
            ask=filled(knowledge, knowledge.checks[c.check].ask, units),
            result=knowledge.checks[c.check].results[c.result].name,
            cause=knowledge.causes[c.cause].name,
        )
        for c in diagnosis.changes
    ]


def danger_text(diagnosis: Diagnosis, danger: Danger, units: Units) -> str:
    """What to do now. The number to call is the region's, or 'your emergency number'."""
    knowledge = diagnosis.knowledge
    region = knowledge.regions.get(str(diagnosis.facts.get("region", "")))
    number = region.emergency if region is not None else _sentence("local_emergency")
    lines = [_sentence("danger", name=danger.name)]
    lines += [f"- {filled(knowledge, step, units)}" for step in danger.now]
    if danger.call != "nobody":
        lines.append(f"- {_sentence(f'call_{danger.call}', number=number)}")
    lines += [f"- {_never(knowledge, name)}" for name in danger.nevers]
    return "\n".join(lines)


def _never(knowledge: Knowledge, name: str) -> str:
    never = knowledge.nevers[name]
    return _sentence("never", never=never.do_not, because=never.because)


def remedy_text(diagnosis: Diagnosis, sized: Sized, units: Units = "metric") -> str:
    """A remedy: today, after that, how much and how it was worked out, when it does not help, what never to do."""
    knowledge = diagnosis.knowledge
    entry = knowledge.remedies[sized.remedy]
    lines = [_sentence("remedy", name=entry.name), _sentence("today")]
    lines += [f"- {filled(knowledge, step, units)}" for step in entry.today]
    lines += [f"- {amount_text(amount, units)}" for amount in sized.sum.amounts]
    if sized.sum.working:
        lines.append(f"  {_sentence('working', working=working_text(sized, units))}")
    if sized.asks and (questions := ask_words(sized)):
        lines.append(f"  {_sentence('asks', questions='; '.join(questions))}")
    if entry.after:
        lines.append(_sentence("after"))
        lines += [f"- {filled(knowledge, step, units)}" for step in entry.after]
    if entry.worse:
        lines.append(_sentence("worse", worse=filled(knowledge, entry.worse, units)))
    lines += [f"- {_never(knowledge, name)}" for name in entry.nevers]
    return "\n".join(lines)


def season_text(differences: Sequence[Difference], units: Units = "metric") -> str:
    """What a remedy does to the season, number by number."""
    lines = []
    for each in differences:
        unit = shown_unit(each.name, each.unit)
        before, after = (say(value[1], unit, units) for value in (each.before, each.after))
        if before != after:
            changed = _sentence("season_change", label=_capital(each.label), before=before, after=after)
            lines.append(f"- {changed}")
    return "\n".join([_sentence("season_head"), *lines]) if lines else _sentence("season_nothing")


def ask_words(sized: Sized) -> list[str]:
    """What to ask for, each once; numbers that nobody could give are not asked."""
    words = (phrases()["asks"].get(name, "") for name in sized.asks)
    return list(dict.fromkeys(word for word in words if word))


def amount_text(amount: Amount, units: Units = "metric") -> str:
    """An amount with its range, and in bales and forkfuls."""
    unit = amount.unit
    if unit == "kg" and not set(_LIQUID).isdisjoint(amount.key.split("_")):  # grain is no rain
        unit = "m3"
        low, value, high = (x / 1000.0 for x in (amount.low, amount.value, amount.high))
    else:
        low, value, high = amount.low, amount.value, amount.high
    if unit in ("head", "1"):
        said = (
            say_number(value)
            if low == high
            else f"{say_number(value)} ({say_number(low)}-{say_number(high)})"
        )
    else:
        said = say_range(low, value, high, {"h": "h"}.get(unit, unit), units)
    if amount.per:
        said = f"{said} {phrases()['per'][amount.per]}"
    packs = []
    if amount.packs and amount.packs >= _LEAST_PACKS:
        packs.append(
            _sentence("bales", number=_count(amount.packs), name=_plural(amount.pack or "bale", amount.packs))
        )
    if amount.forkfuls and amount.forkfuls >= _LEAST_FORKFULS:
        packs.append(_sentence("forkfuls", number=_count(amount.forkfuls)))
    if packs and value > 0:
        said = _sentence("packs", amount=said, packs=_sentence("or").join(packs))
    return _sentence("amount", label=phrases()["labels"][amount.key], amount=said)


def _count(number: float) -> str:
    return say_number(number) if number < 10 else f"{number:.0f}"


def _plural(name: str, number: float) -> str:
    return name if 0.95 <= number < 1.05 or name.endswith("s") else name + "s"


def working_text(sized: Sized, units: Units = "metric") -> str:
    """The sum in words and numbers."""
    values: dict[str, Any] = {}
    for name, (value, unit) in sized.sum.working.items():
        values[name] = say_number(value) if unit == "head" else say(value, unit, units, 3)
    return phrases()["workings"][sized.size].format(**values)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
