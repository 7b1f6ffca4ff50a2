"""A farm made ready for its record: dates fixed, noted materials, groups and prices taken in."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any

from advisor.farm.facts import complete
from advisor.farm.model import Farm, Group, Supply
from advisor.knowledge import Knowledge
from advisor.record.entries import (
    Bedding,
    Bought,
    Dirt,
    Entry,
    Heads,
    Heap,
    Price,
    Record,
    Squeeze,
    Stock,
    Temperature,
)

__all__ = ["RecordError", "check", "group_of", "latest_signs", "pack_kg", "ready_farm", "supply_of"]


class RecordError(Exception):
    """An entry that the farm cannot take, with what to do about it."""


def ready_farm(farm: Farm, record: Record, knowledge: Knowledge, today: dt.date) -> Farm:
    """The farm with everything the record speaks of, and with a fixed first day.

    Where no first day was told it is that of the first entry. Raises RecordError.
    """
    farm = complete(farm, knowledge)
    for entry in record:
        farm = _with_new(farm, entry, knowledge)
        check(entry, farm, knowledge)
    if farm.start is None and farm.end is None:
        first = min((entry.date for entry in record), default=today)
        farm = farm.model_copy(update={"start": first})
    return farm


def latest_signs(record: Record, knowledge: Knowledge, today: dt.date) -> dict[str, Any]:
    """Facts that rules read, from the newest entries that are still fresh."""
    since = today - dt.timedelta(days=round(_figure(knowledge, "fresh_reading_days")))
    signs: dict[str, Any] = {}
    squeeze: Squeeze | None = record.latest(Squeeze, since, today)
    dirt: Dirt | None = record.latest(Dirt, since, today)
    warm: Temperature | None = record.latest(Temperature, since, today)
    heaps = [e for e in record if isinstance(e, Heap) and e.temperature and since <= e.date <= today]
    if squeeze:
        signs["squeeze_test"] = squeeze.result
    if dirt:
        most = _figure(knowledge, "clean_dirt_score")
        signs["clean_score"] = "clean" if dirt.score <= most else "dirty"
    if warm:
        signs["pack_temperature_c"] = warm.temperature.value
    if heaps and heaps[-1].temperature:
        signs["heap_temperature_c"] = heaps[-1].temperature.value
    return {name: value for name, value in signs.items() if name in knowledge.facts}


def supply_of(material: str, farm: Farm, knowledge: Knowledge) -> int | None:
    """The place among the farm's materials of the one an entry names: itself, or the only narrower one."""
    for number, supply in enumerate(farm.materials):
        if supply.name == material:
            return number
    near = [
        number
        for number, supply in enumerate(farm.materials)
        if material in (_broader(supply.name, knowledge)) or supply.name in _broader(material, knowledge)
    ]
    return near[0] if len(near) == 1 else None


def group_of(name: str, pen: str, farm: Farm, knowledge: Knowledge) -> Group | None:
    """The group an entry names, by id or class; the only one where it names none."""
    groups = [group for group in farm.groups if pen in ("", group.pen)]
    if not name:
        return groups[0] if len(groups) == 1 else None
    for group in groups:
        if group.id == name:
            return group
    near = [
        group
        for group in groups
        if name == group.class_
        or name in _broader(group.class_, knowledge, "animals")
        or group.class_ in _broader(name, knowledge, "animals")
    ]
    return near[0] if len(near) == 1 else None


def check(entry: Entry, farm: Farm, knowledge: Knowledge) -> None:
    """Raise RecordError where an entry does not fit the farm."""
    pens = [pen.id for pen in farm.pens]
    if entry.pen and entry.pen not in pens:
        raise RecordError(f"There is no pen '{entry.pen}'. The pens are: {', '.join(pens)}.")
    if (
        isinstance(entry, Bedding | Bought | Stock)
        and entry.packs
        and _pack_kind(entry, farm, knowledge) is None
    ):
        name = knowledge.materials[entry.material].name
        raise RecordError(f"What does one bale or bag of {name} weigh? Say so once, or give the weight.")
    if entry.kind in ("depth", "moisture", "squeeze", "lab") and not entry.pen and len(pens) > 1:
        raise RecordError(
            f"Which pen was that? The pens are: {', '.join(pens)}. Say it again with the pen, such as: in {pens[0]}."
        )
    if entry.kind in ("heads", "grass"):
        group = getattr(entry, "group", "")
        found = group_of(group, entry.pen, farm, knowledge)
        if found is None and (entry.kind == "heads" or group):
            known = ", ".join(g.id for g in farm.groups)
            raise RecordError(f"Which animals were that? The groups are: {known}.")


def _pack_kind(entry: Bedding | Bought | Stock, farm: Farm, knowledge: Knowledge) -> str | None:
    """How the weight of one is known: 'told', or the kind of pack; None where it is not."""
    number = supply_of(entry.material, farm, knowledge)
    supply = farm.materials[number] if number is not None else None
    packs = knowledge.materials[entry.material].packs
    if entry.pack in packs and entry.pack:
        return entry.pack
    if supply and (supply.pack_mass or supply.pack in packs):
        return "told"
    usual = knowledge.questions["bale_kind"].usual
    return usual if usual in packs else next(iter(packs), None)


def pack_kg(material: str, place: int | None, farm: Farm, knowledge: Knowledge) -> float | None:
    """What one bale, bag or load weighs, as told or usual; None where nobody can say."""
    supply = farm.materials[place] if place is not None else None
    if supply and supply.pack_mass is not None:
        return supply.pack_mass.value
    packs = knowledge.materials[material].packs
    kind = supply.pack if supply and supply.pack in packs else knowledge.questions["bale_kind"].usual
    found = packs.get(kind or "") or next(iter(packs.values()), None)
    return found.mass.value if found is not None and found.mass is not None else None


def _with_new(farm: Farm, entry: Entry, knowledge: Knowledge) -> Farm:
    """The farm with the material or animals of an entry, where it had none of them."""
    material = getattr(entry, "material", None)
    if material is not None:
        if material not in knowledge.materials:
            raise RecordError(f"I do not know a material called '{material}'.")
        number = supply_of(material, farm, knowledge)
        if number is None:
            made = Supply(
                name=material, for_sale=False, bedding=knowledge.materials[material].kind == "bedding"
            )
            farm = farm.model_copy(update={"materials": (*farm.materials, made)})
            number = len(farm.materials) - 1
        if isinstance(entry, Price | Bought) and entry.price is not None:
            farm = _priced(farm, number, entry.price)
        return farm
    if isinstance(entry, Heads) and group_of(entry.group, entry.pen, farm, knowledge) is None:
        count = entry.count if entry.count is not None else entry.change
        if entry.group in knowledge.animals and count and count > 0:
            pen = entry.pen or farm.pens[0].id
            made_group = Group.model_validate(
                {"class": entry.group, "id": entry.group, "count": count, "pen": pen, "in": entry.date}
            )
            farm = farm.model_copy(update={"groups": (*farm.groups, made_group)})
    return farm


def _priced(farm: Farm, number: int, price: float) -> Farm:
    materials = list(farm.materials)
    materials[number] = materials[number].model_copy(update={"price": price})
    return farm.model_copy(update={"materials": tuple(materials)})


def _broader(name: str, knowledge: Knowledge, topic: str = "materials") -> Iterable[str]:
    entries = knowledge.topic(topic)
    found: list[str] = []
    above = entries[name].narrower_of if name in entries else None
    while above is not None and above not in found:
        found.append(above)
        above = entries[above].narrower_of if above in entries else None
    return found


def _figure(knowledge: Knowledge, name: str) -> float:
    figure = knowledge.figures[name].figure
    assert figure is not None
    return figure.value
