"""A note said back in a few words."""

from __future__ import annotations

from typing import Any

from advisor.farm.model import Measure
from advisor.knowledge import Knowledge
from advisor.plan.voice import sentences
from advisor.plan.wording import Units, say, say_number
from advisor.record.entries import (
    Ammonia,
    Bedding,
    Bought,
    Dirt,
    Entry,
    Grass,
    Heads,
    Heap,
    Incident,
    Lab,
    Price,
    Rain,
    Squeeze,
    Stock,
    Temperature,
    Weighed,
)

__all__ = ["entry_words"]


def entry_words(entry: Entry, units: Units, knowledge: Knowledge) -> str:
    """What an entry says: '4 round bales of barley straw', 'the bed 45 cm deep'."""
    if isinstance(entry, Bedding | Bought | Stock):
        return _supply(entry, units, knowledge)
    if isinstance(entry, Weighed):
        return _say(
            "weighed", material=_material(entry.material, knowledge), mass=_amount(entry.mass, "kg", units)
        )
    if isinstance(entry, Price):
        return _say("price", material=_material(entry.material, knowledge), price=say_number(entry.price))
    if isinstance(entry, Heads):
        return _heads(entry, knowledge)
    if isinstance(entry, Grass):
        days = _days(entry.days, units)
        if entry.share < 1.0:
            return _say("grass_part", share=say(entry.share, "fraction", units), days=days)
        return _say("grass", days=days)
    if isinstance(entry, Squeeze):
        return _say(f"squeeze_{entry.result}")
    if isinstance(entry, Temperature):
        heat = _amount(entry.temperature, "degC", units)
        if entry.depth is None:
            return _say("temperature", temperature=heat)
        return _say("temperature_at", temperature=heat, depth=_amount(entry.depth, "m", units))
    if isinstance(entry, Ammonia):
        if entry.ppm is not None:
            return _say("ammonia_ppm", ppm=say_number(entry.ppm))
        return _say("ammonia_nose", nose=entry.nose)
    if isinstance(entry, Dirt):
        return _say("dirt", score=entry.score)
    if isinstance(entry, Rain):
        if entry.rain is not None:
            return _say("rain", rain=_amount(entry.rain, "mm", units))
        return _say("rain_volume", volume=_amount(entry.volume, "m3", units))
    if isinstance(entry, Incident):
        if entry.what == "frozen":
            return _say("frozen", days=_days(entry.days, units))
        return _say("incident", what=entry.note or entry.what)
    if isinstance(entry, Heap):
        return _heap(entry, units)
    if isinstance(entry, Lab):
        parts = [
            f"{_say('lab_' + name)} {_amount(value, unit, units)}"
            for name, unit in (
                ("moisture", "fraction"), ("nitrogen", "kg/t"), ("phosphorus", "kg/t"), ("potassium", "kg/t"),
                ("c_to_n", "c_to_n"),
            )
            if (value := getattr(entry, name)) is not None
        ]  # fmt: skip
        return _say("lab", parts=", ".join(parts))
    if entry.kind == "depth":
        return _say("depth", depth=_amount(entry.depth, "m", units))
    return _say(f"moisture_{entry.of}", moisture=_amount(entry.moisture, "fraction", units))


def _say(name: str, **values: Any) -> str:
    return sentences("season")[f"note_{name}"].format(**values)


def _amount(measure: Measure | None, unit: str, units: Units) -> str:
    """As the keeper said it, else in their units."""
    if measure is None:
        return ""
    said = measure.said if unit not in ("fraction", "c_to_n", "degC", "m3") else ""
    return said or say(measure.value, unit, units)


def _days(days: int, units: Units) -> str:
    return say(float(days), "day", units, 3)


def _material(name: str, knowledge: Knowledge) -> str:
    return knowledge.materials[name].name if name in knowledge.materials else name


def _supply(entry: Bedding | Bought | Stock, units: Units, knowledge: Knowledge) -> str:
    days = entry.days if isinstance(entry, Bedding) else 1
    each = _say("each_day", days=_days(days, units)) if days > 1 else ""
    packs_told = entry.packs
    if packs_told is not None and days > 1 and abs(packs_told - round(packs_told)) > 1e-6:
        whole = packs_told * days  # 'eight bales last week' was told as a sum, and is said back as one
        if abs(whole - round(whole)) < 1e-6:
            packs_told, each = float(round(whole)), _say("over_days", days=_days(days, units))
    if isinstance(entry, Bedding) and not (entry.packs or (entry.mass and entry.mass.value) or entry.volume):
        return _say("bedding_none", each_day=each)
    if packs_told is not None:
        number = say_number(packs_told, 3)
        packs = knowledge.materials[entry.material].packs if entry.material in knowledge.materials else {}
        name = packs[entry.pack].name if entry.pack in packs and entry.pack else _say("bale")
        amount = f"{number} {name if number == '1' or name.endswith('s') else name + 's'}"
    else:
        amount = _amount(entry.mass, "kg", units) or _amount(entry.volume, "m3", units)
    material = _material(entry.material, knowledge)
    if isinstance(entry, Bought) and (entry.cost is not None or entry.price is not None):
        paid = say_number(entry.cost if entry.cost is not None else entry.price or 0.0)
        name = "bought_for" if entry.cost is not None else "bought_at"
        return _say(name, amount=amount, material=material, paid=paid)
    if not isinstance(entry, Bedding):
        return _say(entry.kind, amount=amount, material=material)
    wet = _say("wet") if entry.wet else ""
    if entry.moisture is not None:
        wet = _say("moist", moisture=_amount(entry.moisture, "fraction", units))
    wet += _say("base") if entry.base else ""
    return _say("bedding", amount=amount, material=material, each_day=each, wet=wet)


def _heads(entry: Heads, knowledge: Knowledge) -> str:
    number = entry.count if entry.count is not None else abs(entry.change or 0)
    found = knowledge.animals.get(entry.group)
    animals = (found.name if number == 1 else found.plural) if found else entry.group or "animals"
    name = (
        "heads_count" if entry.count is not None else "heads_in" if (entry.change or 0) > 0 else "heads_out"
    )
    return _say(name, number=number, animals=animals)


def _heap(entry: Heap, units: Units) -> str:
    if entry.temperature is None:
        return _say("heap_turned")
    name = "heap_both" if entry.turned else "heap_edge" if entry.where == "edge" else "heap"
    return _say(name, temperature=_amount(entry.temperature, "degC", units))
