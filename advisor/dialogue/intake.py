"""From the facts of a reading (see messages of the language package) to acts that fold into a farm."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from advisor.dialogue.agenda import Ask
from advisor.dialogue.context import Context
from advisor.dialogue.dates import season_dates
from advisor.dialogue.draft import Act, Draft
from advisor.dialogue.names import Names
from advisor.dialogue.phrases import normal
from advisor.knowledge import Knowledge
from advisor.knowledge.models import Material, Question
from advisor.plan.wording import say_number

__all__ = ["Taken", "choose", "measure", "say_yes_or_no", "take"]


@dataclass
class Taken:
    """What became of the facts: acts to record, names not known, and new animals told of without a number."""

    names: Names
    said: str = ""
    acts: list[Act] = field(default_factory=list)
    strange: list[str] = field(default_factory=list)
    uncounted: list[str] = field(default_factory=list)

    def put(self, place: str, value: Any) -> None:
        """Set a place of the farm."""
        self.acts.append({"set": place, "to": value})

    def drop(self, place: str) -> None:
        """Take a place of the farm away."""
        self.acts.append({"drop": place})


def take(
    facts: Mapping[str, Any],
    ask: Ask | None,
    draft: Draft,
    context: Context,
    correcting: bool = False,
    said: str = "",
) -> Taken:
    """The acts for a reading's facts, told in answer to a question or unasked."""
    taken = Taken(context.names, said=f" {normal(said)} ")
    knowledge = context.knowledge
    _animals(taken, facts, ask, draft, knowledge, correcting)
    _materials(taken, facts, ask, draft, knowledge)
    _dates(taken, facts, draft, context.today)
    _place(taken, facts, "area_m2", "pens.pen.area", "m2", said=facts.get("area_as"))
    if "base" in str(facts.get("depth_of", "")) or (ask and ask.id == "base_depth"):
        _place(taken, facts, "depth_cm", "base.depth", "m", 0.01)
    elif ask and ask.question.unit == "m" and facts.get("depth_cm") is not None:
        _place(taken, facts, "depth_cm", ask.question.paths[0], "m", 0.01)
    if facts.get("hours_per_day") is not None:
        for group in _groups_meant(ask, draft, taken):
            _place(taken, facts, "hours_per_day", f"groups.{group}.hours_on_bed", "h/day")
    for quantity in facts.get("quantities") or ():
        _quantity(taken, quantity, ask, draft, knowledge)
    for word in facts.get("choice") or ():
        _choice(taken, str(word), ask, draft, knowledge)
    if facts.get("yes_no") and ask is not None:
        _yes_no(taken, str(facts["yes_no"]), ask, draft)
    return taken


def measure(value: float, low: float, high: float, unit: str, said: str = "") -> dict[str, Any]:
    """A told amount in the form of a farm file."""
    shown = said or (
        f"{say_number(value, 4)} {unit}"
        if low == high
        else f"{say_number(low, 4)} to {say_number(high, 4)} {unit}"
    )
    return {"value": value, "low": low, "high": high, "unit": unit, "said": shown}


def _ranged(facts: Mapping[str, Any], name: str) -> tuple[float, float, float] | None:
    if facts.get(f"{name}_range"):
        low, high = (float(end) for end in facts[f"{name}_range"])
        return (low + high) / 2, min(low, high), max(low, high)
    value = facts.get(name)
    return None if value is None else (float(value), float(value), float(value))


def _place(
    taken: Taken,
    facts: Mapping[str, Any],
    name: str,
    place: str,
    unit: str,
    factor: float = 1.0,
    said: Any = None,
) -> None:
    found = _ranged(facts, name)
    if found is not None:
        value, low, high = (each * factor for each in found)
        taken.put(place, measure(value, low, high, unit, _said(said)))


def _said(raw: Any) -> str:
    """The user's own wording: one, or the two ends of a range."""
    return " to ".join(str(part) for part in raw) if isinstance(raw, list | tuple) else str(raw or "")


# ---- animals


def _animals(
    taken: Taken,
    facts: Mapping[str, Any],
    ask: Ask | None,
    draft: Draft,
    knowledge: Knowledge,
    correcting: bool,
) -> None:
    told = facts.get("animals") or ()
    corrects = facts.get("corrects") or ()
    groups = dict(draft.groups)
    if ask and ask.id == "animals" and groups and told and not correcting:
        for key in groups:  # the question was opened again: the answer replaces what stood there
            taken.drop(f"groups.{key}")
        groups = {}
    for word in facts.get("no_animals") or ():
        entry = taken.names.animal(str(word))
        for key in _matching(entry, groups, knowledge) if entry else ():
            taken.drop(f"groups.{key}")
            groups.pop(key)
    common = _common(groups, knowledge)
    for one in told:
        entry = taken.names.animal(str(one.get("class", "")))
        if entry is None:
            taken.strange.append(str(one.get("class", "")))
            continue
        if correcting and one.get("count") is not None:
            for each in _several(entry, groups, knowledge):  # 'fifteen goats' for does and bucks together
                taken.drop(f"groups.{each}")
                groups.pop(each)
        key = _group_for(
            entry, one, ask, groups, taken.said, correcting and "class of animal" in corrects, knowledge
        )
        uncounted = one.get("count") is None and one.get("count_range") is None
        if key not in groups and uncounted and groups and not (ask and ask.id == "animals"):
            taken.uncounted.append(knowledge.animals[entry].plural)
            continue
        if key not in groups:
            taken.put(f"groups.{key}.class", entry)
            for name, value in common.items():
                taken.put(f"groups.{key}.{name}", value)
            groups[key] = {"class": entry}
        elif groups[key]["class"] != entry and (
            _narrows(entry, groups[key]["class"], knowledge) or (correcting and "class of animal" in corrects)
        ):
            old = groups.pop(key)
            taken.drop(f"groups.{key}")
            kept = {**old, "class": entry}
            kept.pop("weight", None)
            groups[entry] = kept
            for name, value in kept.items():
                taken.put(f"groups.{entry}.{name}", value)
            key = entry
        _heads(taken, f"groups.{key}", one)
        _place(taken, one, "weight_kg", f"groups.{key}.weight", "kg/head", said=one.get("weight_as"))


def _common(groups: Mapping[str, Mapping[str, Any]], knowledge: Knowledge) -> dict[str, Any]:
    """What was told of every group at once (feed and the like) holds for one that joins them."""
    wide = {
        pattern.removeprefix("groups.*.").split(".")[0]
        for question in knowledge.questions.values()
        for pattern in (*question.paths, *(path for gives in question.gives.values() for path in gives))
        if pattern.startswith("groups.*.")
    }
    first: Mapping[str, Any] = next(iter(groups.values()), {})
    return {
        name: first[name]
        for name in sorted(wide)
        if name in first and all(group.get(name) == first[name] for group in groups.values())
    }


def _heads(taken: Taken, place: str, one: Mapping[str, Any]) -> None:
    found = _ranged(one, "count")
    if found is None:
        return
    value, low, high = (round(each) for each in found)
    if value == 0:
        taken.drop(place)
        return
    taken.put(f"{place}.count", value)
    for name, end in (("count_low", low), ("count_high", high)):
        if low < high:
            taken.put(f"{place}.{name}", end)
        else:
            taken.drop(f"{place}.{name}")


def _group_for(
    entry: str,
    one: Mapping[str, Any],
    ask: Ask | None,
    groups: Mapping[str, Mapping[str, Any]],
    said: str,
    class_was_wrong: bool,
    knowledge: Knowledge,
) -> str:
    """The group that an animal word means: one told before where it can only be that, else a new one."""
    if entry in groups:
        return entry
    if class_was_wrong:
        wrong = _wrongly_named(one, groups, said, knowledge)
        if wrong is not None:
            return wrong
    found = _matching(entry, groups, knowledge)
    if ask and ask.subject in found:
        return ask.subject
    generic = knowledge.animals[entry].generic or one.get("count") is None
    wider = len(found) == 1 and _narrows(entry, groups[found[0]]["class"], knowledge)
    return found[0] if len(found) == 1 and (generic or wider) else entry


def _wrongly_named(
    one: Mapping[str, Any], groups: Mapping[str, Mapping[str, Any]], said: str, knowledge: Knowledge
) -> str | None:
    """The group whose class a correction replaces: the one it names, else the one of that number, else the only one."""
    for key, told in groups.items():
        entry = knowledge.animals[told["class"]]
        if any(f" {normal(word)} " in said for word in (entry.name, entry.plural)):
            return key
    for key, told in groups.items():
        if one.get("count") is not None and told.get("count") == one["count"]:
            return key
    return next(iter(groups)) if len(groups) == 1 else None


def _matching(entry: str, groups: Mapping[str, Mapping[str, Any]], knowledge: Knowledge) -> list[str]:
    """Groups of that class or, for a general word, of a class that narrows it; or the other way round."""
    same = [key for key, told in groups.items() if told["class"] == entry]
    if same:
        return same
    return [
        key
        for key, told in groups.items()
        if entry in _wider(told["class"], knowledge) or told["class"] in _wider(entry, knowledge)
    ]


def _several(entry: str, groups: Mapping[str, Mapping[str, Any]], knowledge: Knowledge) -> list[str]:
    """The groups that a general word covers, where it covers more than one."""
    covered = [
        key
        for key, told in groups.items()
        if told["class"] != entry and entry in _wider(told["class"], knowledge)
    ]
    return covered if len(covered) > 1 and entry not in groups else []


def _narrows(entry: str, told: str, knowledge: Knowledge) -> bool:
    """Whether a class is a narrower word for what was told before: ewes for sheep."""
    return told in _wider(entry, knowledge)


def _wider(name: str, knowledge: Knowledge) -> Iterator[str]:
    above: str | None = name
    while above:
        yield above
        above = knowledge.animals[above].narrower_of


def _groups_meant(ask: Ask | None, draft: Draft, taken: Taken) -> list[str]:
    if ask and ask.question.each == "group":
        return [ask.subject]
    new = [act["set"].split(".")[1] for act in taken.acts if str(act.get("set", "")).endswith(".class")]
    return sorted({*draft.groups, *new})


# ---- materials


def _materials(
    taken: Taken, facts: Mapping[str, Any], ask: Ask | None, draft: Draft, knowledge: Knowledge
) -> None:
    told = facts.get("materials") or ()
    held = set(draft.materials)
    if ask and ask.id == "bedding" and held and told:
        for key in sorted(held):  # the question was opened again
            taken.drop(f"materials.{key}")
        held = set()
    for word in facts.get("no_materials") or ():
        entry = taken.names.material(str(word))
        if entry and entry in held:
            taken.drop(f"materials.{entry}")
        elif entry and not told and draft.at("materials") is None:
            taken.put("materials", {})
    for one in told:
        name = str(one.get("name") or "")
        entry = taken.names.material(name) if name else None
        if entry is None and ask and ask.question.each == "material":
            entry = ask.subject
        if entry is None and not name and len(held) == 1:
            entry = next(iter(held))
        if entry is None:
            taken.strange.append(name)
            continue
        key = _held_as(entry, ask, held, knowledge)
        if (
            key in held
            and not _told_amount(one)
            and any(word in taken.said for word in (" no ", " not ", " without "))
        ):
            taken.drop(f"materials.{key}")
            held.discard(key)
            continue
        if key not in held:
            taken.put(f"materials.{key}.bedding", knowledge.materials[key].kind == "bedding")
            held.add(key)
        _amount(taken, f"materials.{key}", one, knowledge.materials[key])


def _told_amount(one: Mapping[str, Any]) -> bool:
    return any(one.get(name) is not None for name in ("amount", "mass_kg", "volume_m3", "unit_mass_kg"))


def _held_as(entry: str, ask: Ask | None, held: set[str], knowledge: Knowledge) -> str:
    """A general word (straw) means the narrower one on hand where there is only one."""
    if entry in held:
        return entry
    narrower = [key for key in held if knowledge.materials[key].narrower_of == entry]
    if ask and ask.subject in narrower:
        return ask.subject
    return narrower[0] if len(narrower) == 1 and knowledge.materials[entry].generic else entry


def _amount(taken: Taken, place: str, one: Mapping[str, Any], material: Material) -> None:
    amount, unit = one.get("amount"), normal(str(one.get("unit") or ""))
    pack = _pack_of(unit, material)
    counted = pack is not None or unit in ("bale", "bales", "bag", "bags")
    if amount is not None and counted:
        for other in ("amount", "volume"):
            taken.drop(f"{place}.{other}")
        taken.put(f"{place}.packs", float(amount))
    elif one.get("mass_kg") is not None and one.get("unit_mass_kg") is None:
        for other in ("packs", "volume"):
            taken.drop(f"{place}.{other}")
        said = f"{say_number(float(amount), 4)} {one.get('unit')}" if amount is not None else ""
        _place(taken, one, "mass_kg", f"{place}.amount", "kg", said=said)
    elif one.get("volume_m3") is not None:
        for other in ("packs", "amount"):
            taken.drop(f"{place}.{other}")
        said = f"{say_number(float(amount), 4)} {one.get('unit')}" if amount is not None else ""
        _place(taken, one, "volume_m3", f"{place}.volume", "m3", said=said)
    if pack is not None:
        taken.put(f"{place}.pack", pack)
    _place(taken, one, "unit_mass_kg", f"{place}.pack_mass", "kg", said=one.get("unit_mass_as"))
    _place(taken, one, "moisture_pct", f"{place}.moisture", "fraction", 0.01)
    _place(taken, one, "cn_ratio", f"{place}.c_to_n", "fraction")


def _pack_of(unit: str, material: Material) -> str | None:
    """The kind of bale, bag or load that a unit names."""
    for key, pack in material.packs.items():
        if unit and unit in (key.replace("_", " "), pack.name.lower(), *(normal(w) for w in pack.words)):
            return key
    singular = unit.removesuffix("s")
    return singular.replace(" ", "_") if singular.replace(" ", "_") in material.packs else None


# ---- the rest


def _dates(taken: Taken, facts: Mapping[str, Any], draft: Draft, today: dt.date) -> None:
    told = {name: dt.date.fromisoformat(draft.at(name)) for name in ("start", "end") if draft.at(name)}
    found = season_dates(facts, told.get("start"), told.get("end"), today)
    if not found:
        return
    if "days" in found or ("start" in found and "end" not in found and draft.at("days")):
        taken.drop("end")
    elif "end" in found:
        taken.drop("days")
    for name, value in found.items():
        taken.put(name, value if isinstance(value, int) else value.isoformat())


def _quantity(
    taken: Taken, quantity: Mapping[str, Any], ask: Ask | None, draft: Draft, knowledge: Knowledge
) -> None:
    of, si = str(quantity.get("of") or ""), quantity.get("si", quantity.get("value"))
    if si is None:
        return
    said = f"{say_number(float(quantity['value']), 4)} {quantity.get('unit') or ''}".strip()
    place, unit = _quantity_place(of, draft)
    if not place and ask and ask.question.kind in ("quantity", "count") and ask.question.paths:
        if not _fits(str(quantity.get("si_unit") or ""), ask.question.unit):
            return
        place, unit = draft.places(ask.question.paths[0], ask.subject)[0], ask.question.unit
        if place.startswith("facts.") or ask.question.kind == "count":
            taken.put(place, round(float(si)) if ask.question.kind == "count" else float(si))
            return
    if place:
        taken.put(place, measure(float(si), float(si), float(si), unit, said))


def _quantity_place(of: str, draft: Draft) -> tuple[str, str]:
    if of == "bale weight":
        counted = [key for key, told in draft.materials.items() if "packs" in told] or list(draft.materials)
        return (f"materials.{counted[0]}.pack_mass", "kg") if len(counted) == 1 else ("", "")
    if of == "winter outside temperature":
        return "temperature", "degC"
    if of == "field area":
        return "land.area", "m2"
    return "", ""


_UNIT_NAMES = {"m**2": "m2", "metre": "m", "kilogram": "kg", "": "fraction", "1": "fraction", "m**3": "m3"}


def _fits(si_unit: str, wanted: str) -> bool:
    """Whether a reading's SI unit is the one a question is asked in; a bare number always is."""
    top = wanted.partition("/")[0]
    found = _UNIT_NAMES.get(si_unit, si_unit)
    return found == top or (found in ("fraction", "head") and top in ("fraction", "head"))


def _choice(taken: Taken, word: str, ask: Ask | None, draft: Draft, knowledge: Knowledge) -> None:
    if ask and ask.question.choices:
        number = word.removeprefix("option ")
        if word.startswith("option ") and number.isdigit() and 0 < int(number) <= len(ask.question.choices):
            choose(taken, ask.question, ask.subject, list(ask.question.choices)[int(number) - 1], draft)
            return
    questions = [(ask.question, ask.subject)] if ask else []
    questions += [(q, "") for q in knowledge.questions.values() if not q.each]
    for question, subject in questions:
        for choice, words in question.choices.items():
            if normal(word) in (normal(each) for each in words[1:2]) or normal(word) == normal(choice):
                choose(taken, question, subject, choice, draft)
                return
    if word in ("straw base layer", "wood chips base layer"):
        taken.put("base.material", "straw" if word.startswith("straw") else "wood_chips")


def choose(taken: Taken, question: Question, subject: str, choice: str, draft: Draft) -> None:
    """Record a choice: what it gives, or the choice itself at the question's own place."""
    gives = question.gives.get(choice)
    if gives is not None:
        for pattern, value in gives.items():
            for place in draft.places(pattern, subject):
                taken.put(place, value)
        return
    for place in draft.places(question.paths[0], subject):
        taken.put(place, ([] if choice == "none" else [choice]) if question.many else choice)


def say_yes_or_no(taken: Taken, ask: Ask, word: str, draft: Draft) -> None:
    """Record yes for the animals it can be true of, and no for all."""
    classes = ask.question.classes if word == "yes" else ()
    for place in draft.places(ask.question.paths[0], ask.subject, classes):
        taken.put(place, word == "yes")


def _yes_no(taken: Taken, word: str, ask: Ask, draft: Draft) -> None:
    question = ask.question
    if question.kind == "yes_no":
        say_yes_or_no(taken, ask, word, draft)
        return
    for choice, words in question.choices.items():
        if word in words:
            choose(taken, question, ask.subject, choice, draft)
            return
    if word == "no" and ask.id == "bedding":
        taken.put("materials", {})
