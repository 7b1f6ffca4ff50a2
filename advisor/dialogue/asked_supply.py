"""Workings for questions about the bedding: whether it lasts, how much to add, what it costs."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from advisor.dialogue.phrases import joined, one_of, sentence
from advisor.dialogue.turn import Now

if TYPE_CHECKING:
    from advisor.plan.make import Plan
    from advisor.plan.voice import Voice

__all__ = ["cost", "rates", "supply"]

_PRICE = re.compile(r"(\d[\d,]*(?:\.\d+)?)[^\d]{0,12}(?:a|per|/|the)\s?(?:tonne|ton|t)\b")
_MOST_WEEKS = 3  # the plan shows them all


def supply(now: Now, plan: Plan | None) -> Mapping[str, Any]:
    """Whether what is on hand lasts, until when, and what to buy; by the notes of the season where there are some."""
    if plan is None:
        return {"has_supply": False}
    from advisor.plan.voice import Voice

    noted = _by_notes(now, plan)
    if noted is not None:
        return noted
    voice = Voice(plan, now.units)
    held = plan.results.get("supply_on_hand_kg")
    lasts = plan.results.get("supply_lasts_days")
    found: dict[str, Any] = {"has_supply": False, "buy": _bought(voice, plan.decision.buy_kg)}
    if held is None or lasts is None or held.spread()[1] <= 0:
        return found
    low, middle, high = lasts.spread()
    days = plan.timeline.days
    found |= {
        "has_supply": True,
        "lasts": middle >= days - 0.5,
        "lasts_surely": low >= days - 0.5,
        "gone_at_once": middle < 1,
        "on_hand": voice.ranged(held),
        "season_end": _day(voice, plan.timeline.end),
        "runs_out": _when(voice, middle),
        "runs_out_first": _when(voice, low),
        "runs_out_span": _span(_when(voice, low), _when(voice, high)),
    }
    return found


def _span(first: str, last: str) -> str:
    """'(between 2 January and 9 February)'; nothing where both are the same day."""
    return "" if first == last else sentence("asked_between", first=first, last=last)


def _by_notes(now: Now, plan: Plan) -> Mapping[str, Any] | None:
    """The same by the season's forecast; None where nothing was noted."""
    from advisor.record.fold import record_of

    record = record_of(now.case)
    if not len(record) or not plan.timeline.dates_told:
        return None
    from advisor.record.advice import advise
    from advisor.record.forecast import forecast
    from advisor.record.ready import RecordError
    from advisor.record.words import SeasonVoice

    context = now.context
    try:
        found = forecast(
            plan.farm, record, context.knowledge, context.today, context.draws, context.seed, plan=plan
        )
    except RecordError:
        return None
    held = found.learned.results.get("supply_on_hand_kg")
    if found.over or held is None or held.spread()[1] <= 0:
        return None
    voice = SeasonVoice(found.learned, now.units)
    advice = advise(found)
    ends = advice.supply_ends
    last = found.season.date(found.season.days)
    likely = ends.likely if ends else None
    return {
        "has_supply": True,
        "lasts": likely is None,
        "lasts_surely": ends is None,
        "gone_at_once": False,
        "on_hand": voice.ranged(held),
        "season_end": voice.day(last),
        "runs_out": voice.day(likely or last),
        "runs_out_first": voice.day((ends.early if ends else None) or last),
        "runs_out_span": _span(
            voice.day((ends.early if ends else None) or last),
            voice.day((ends.late if ends else None) or last),
        ),
        "buy": _bought(voice, advice.buy_kg),
    }


def _bought(voice: Voice, buy_kg: Mapping[str, float]) -> str:
    """'14 t of barley straw, about 59 round bales'; 'nothing' where nothing is to be bought."""
    parts = [
        f"{voice.number(kg, 'kg')} of {voice.material(key)}{voice.in_packs(key, kg)}"
        for key, kg in buy_kg.items()
        if kg >= 1
    ]
    return joined(parts) if parts else sentence("asked_nothing")


def _when(voice: Voice, day: float) -> str:
    """A day of the season as a date, or as weeks from its start where no date was told."""
    season = voice.plan.timeline
    at = min(day, season.days)
    if season.dates_told:
        return _day(voice, season.date(int(at)))
    return sentence("asked_week", week=max(1, round(at / 7)))


def _day(voice: Voice, date: dt.date) -> str:
    from advisor.plan.wording import say_date

    if not voice.plan.timeline.dates_told:
        return sentence("asked_end")
    return say_date(date, voice.units, year=False)


def rates(now: Now, plan: Plan | None) -> Mapping[str, Any]:
    """What to add by the day, the week and the head; by class where the message names one."""
    practised = _practised(now)
    if plan is None or practised["other_kind"]:
        return practised
    from advisor.plan.sections.safety import week_lines
    from advisor.plan.voice import Voice
    from advisor.plan.wording import say_range

    voice = Voice(plan, now.units)
    daily = plan.results.get("bedding_kg_day")
    if daily is None:
        return {}
    low, middle, high = daily.spread()
    lines = week_lines(voice)
    by_head = [
        sentence("asked_head", name=voice.knowledge.animals[group.class_].plural, amount=voice.ranged(node))
        for group in plan.farm.groups
        if (node := plan.groups[group.id].get("bedding_kg_head_day")) is not None
    ]
    return {
        "other_kind": False,
        "week": voice.bracketed(say_range(7 * low, 7 * middle, 7 * high, "kg", now.units)),
        "day": voice.bracketed(say_range(low, middle, high, "kg/day", now.units)),
        "each_week": tuple(lines[:_MOST_WEEKS]),
        "by_head": joined(by_head) if by_head else "",
    }


def _practised(now: Now) -> Mapping[str, Any]:
    """The least by practice of the class that the message names: for a kind not kept, or while there is no plan."""
    from advisor.dialogue.asked_places import names_in
    from advisor.plan.voice import Voice
    from advisor.plan.wording import say_range

    animals = now.context.knowledge.animals
    found = names_in(now.text, now.context.names.animals)
    if not found:
        return {"other_kind": False}
    entry = animals[found[0]]
    own = {animals[told["class"]].species for told in now.draft.groups.values()}
    figure = entry.bedding_rate
    shown = say_range(figure.low, figure.value, figure.high, figure.unit, now.units)
    return {
        "class_a": one_of(entry.name),
        "class_rate": Voice.bracketed(shown),
        "other_kind": bool(own) and entry.species not in own,
    }


def cost(now: Now, plan: Plan | None) -> Mapping[str, Any]:
    """What is to be bought, and its cost where prices were told."""
    if plan is None:
        return {"priced": False}
    from advisor.plan.voice import Voice

    voice = Voice(plan, now.units)
    total, season = plan.number("purchase_cost"), plan.number("season_cost")
    known = total is not None and any(told.price is not None for told in plan.farm.materials)
    asked = _PRICE.search(now.text.lower())
    price = float(asked[1].replace(",", "")) if asked else 0.0
    found: dict[str, Any] = {
        "price_asked": price,
        "asked_money": voice.money(sum(plan.decision.buy_kg.values()) / 1000.0 * price) if price else "",
        "priced": known,
        "buys": any(kg >= 1 for kg in plan.decision.buy_kg.values()),
        "buy": _bought(voice, plan.decision.buy_kg),
    }
    if known and total is not None:
        found["money"] = voice.money(total)
    if season is not None:
        found["season_money"] = voice.money(season)
    return found
