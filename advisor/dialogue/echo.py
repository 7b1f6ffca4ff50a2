"""What was understood, in one line: the acts of a message in words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from typing import Any

from advisor.dialogue.context import Context
from advisor.dialogue.draft import Act, Draft
from advisor.dialogue.phrases import joined, place_words, sentence
from advisor.knowledge import Knowledge
from advisor.plan.wording import Units, say, say_date, say_number

__all__ = ["echo", "pack_words", "told_words"]


def echo(acts: Iterable[Act], draft: Draft, context: Context) -> str:
    """One line for acts already folded into the draft; empty where there is nothing to say."""
    acts, units = list(acts), context.units_of(draft)
    places = [act["set"] for act in acts if "set" in act]
    parts = told_words(places, draft, context.knowledge, units)
    # What another name took the place of ('ewes' for 'sheep') needs no word of its own.
    kinds = {place.split(".")[0] for place in places if place.endswith((".class", ".bedding"))}
    dropped = [act["drop"] for act in acts if "drop" in act and act["drop"].split(".")[0] not in kinds]
    gone = [_gone(place, context.knowledge) for place in dropped if draft.at(place) is None]
    words = [*parts, *(word for word in gone if word)]
    return sentence("understood", what=joined(words)) if words else ""


def told_words(places: Iterable[str], draft: Draft, knowledge: Knowledge, units: Units) -> list[str]:
    """Facts at places of the farm in words; those of one group or material in one phrase."""
    out: dict[str, str] = {}
    for place in places:
        parts = place.split(".")
        if draft.at(place) is None:
            continue
        if parts[0] == "groups":
            if len(parts) == 1:  # every group was taken away again
                continue
            wide = place_words(f"groups.*.{'.'.join(parts[2:])}")
            if wide:
                out[f"groups.*.{parts[2]}.{wide}"] = _filled(wide, draft.at(place), units)
            else:
                out[f"groups.{parts[1]}"] = _group(draft.groups[parts[1]], knowledge, units)
        elif parts[0] == "materials" and len(parts) > 1:
            out[f"materials.{parts[1]}"] = _material(parts[1], draft.materials[parts[1]], knowledge, units)
        elif parts[0] == "bedding":
            name = knowledge.materials[parts[1]].name
            out[place] = sentence("own_rate", amount=_amount(draft.at(place), units), name=name)
        elif place == "materials":
            if not draft.materials:
                out[place] = sentence("no_bedding")
        elif place in ("start", "end", "days"):
            out["dates"] = _dates(draft, units)
        elif place == "region":
            other = draft.at(place) == "generic"
            name = knowledge.regions[draft.at(place)].name
            out[place] = sentence("region_other") if other else sentence("region_is", name=name)
        else:
            words = place_words(place)
            if words:
                out[place] = _filled(words, draft.at(place), units)
    return [text for text in out.values() if text]


def _gone(place: str, knowledge: Knowledge) -> str:
    kind, _, key = place.partition(".")
    if kind == "groups" and key in knowledge.animals:
        return sentence("gone", name=knowledge.animals[key].plural)
    if kind == "materials" and key in knowledge.materials:
        return sentence("gone", name=knowledge.materials[key].name)
    return ""


def _filled(words: Any, value: Any, units: Units) -> str:
    """`words` is a sentence with {value}, or a sentence for each value."""
    if isinstance(words, Mapping):
        key = "yes" if value is True else "no" if value is False else str(value)
        if isinstance(value, list):
            key = "some" if value else "none"
        return str(words.get(key, "")).format(value=_value(value, units))
    return str(words).format(value=_value(value, units))


def _value(value: Any, units: Units) -> str:
    if isinstance(value, Mapping):
        return _amount(value, units)
    if isinstance(value, list):
        return joined(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return say_number(value, 4) if isinstance(value, int | float) else str(value)


def _amount(told: Mapping[str, Any], units: Units) -> str:
    """A told amount in the units spoken, with the ends of its range."""
    unit, low, high = told["unit"], told["low"], told["high"]
    unit = {"kg/head": "kg", "kg/day": "kg"}.get(unit, unit)
    if low == high:
        return say(told["value"], unit, units, figures=3)
    return sentence("between", low=say(low, unit, units, figures=3), high=say(high, unit, units, figures=3))


def _group(told: Mapping[str, Any], knowledge: Knowledge, units: Units) -> str:
    entry = knowledge.animals[told["class"]]
    count = told.get("count")
    if count is None:
        text = sentence("uncounted", name=entry.plural)
    elif told.get("count_low"):
        text = sentence("between", low=told["count_low"], high=f"{told['count_high']} {entry.plural}")
    else:
        text = f"{say_number(count, 6)} {entry.name if count == 1 else entry.plural}"
    if told.get("weight"):
        text += f" {sentence('weighing', value=_amount(told['weight'], units))}"
    if told.get("hours_on_bed"):
        text += f", {_amount(told['hours_on_bed'], units)}"
    return text


def _material(key: str, told: Mapping[str, Any], knowledge: Knowledge, units: Units) -> str:
    name = knowledge.materials[key].name
    if "packs" in told:
        text = sentence("of", amount=pack_words(key, told, told["packs"], knowledge), name=name)
    elif "amount" in told or "volume" in told:
        amount = _amount(told.get("amount") or told["volume"], units)
        text = sentence("of", amount=amount, name=name)
    else:
        text = name
    if "pack_mass" in told:
        text += f" {sentence('weighing', value=_amount(told['pack_mass'], units))}"
    for place, words in (
        (name, place_words(f"materials.*.{name}")) for name in ("stored_outdoors", "moisture", "price")
    ):
        if words and told.get(place) is not None:
            text += f", {_filled(words, told[place], units)}"
    return text


def pack_words(key: str, told: Mapping[str, Any], packs: float, knowledge: Knowledge) -> str:
    """'60 round bales'."""
    pack = knowledge.materials[key].packs.get(told.get("pack", ""))
    name = pack.name if pack else say(2, "bale").split(" ", 1)[1].removesuffix("s")
    plural = packs != 1 and not name.endswith("s")
    return f"{say_number(packs, 4)} {name}{'s' if plural else ''}"


def _dates(draft: Draft, units: Units) -> str:
    start, end = (dt.date.fromisoformat(d) if (d := draft.at(name)) else None for name in ("start", "end"))
    days = draft.at("days")
    if start and end:
        return sentence(
            "from_to", start=say_date(start, units), end=say_date(end, units), days=(end - start).days
        )
    if days:
        return sentence("for_days", days=days) + (
            f" {sentence('from_day', start=say_date(start, units))}" if start else ""
        )
    return (
        sentence("from_day", start=say_date(start, units))
        if start
        else (sentence("until_day", end=say_date(end, units)) if end else "")
    )
