"""Bedding told of: which material, and how much in bales, by weight or loose."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from advisor.dialogue.agenda import Ask
from advisor.dialogue.draft import Draft
from advisor.dialogue.phrases import normal, table
from advisor.dialogue.taken import Taken, measure, put_amount
from advisor.knowledge import Knowledge
from advisor.knowledge.models import Material
from advisor.plan.wording import say_number

__all__ = ["take_materials", "take_prices", "take_rate"]


def take_materials(
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
        general = knowledge.materials[key].narrower_of
        if general in held and not _told_amount_of(draft, general):
            taken.drop(f"materials.{general}")  # 'straw' has become 'wheat straw'
            held.discard(general)
        if key not in held:
            taken.put(f"materials.{key}.bedding", knowledge.materials[key].kind == "bedding")
            held.add(key)
        _amount(taken, f"materials.{key}", one, knowledge.materials[key])


def take_rate(
    taken: Taken, facts: Mapping[str, Any], ask: Ask | None, draft: Draft, knowledge: Knowledge
) -> None:
    """What the keeper adds a day, of the bedding named or of the only one there is."""
    key = _rated(taken, facts, ask, draft, knowledge)
    if key is None:
        return
    place = f"bedding.{key}.rate"
    put_amount(taken, facts, "rate_kg_per_day", place, "kg/day")
    for quantity in facts.get("quantities") or ():
        if quantity.get("of") != "bedding rate" or not str(quantity.get("unit") or ""):
            continue
        mass = _pack_mass(
            draft.materials.get(key, {}), normal(str(quantity["unit"])), knowledge.materials[key]
        )
        if mass is not None and quantity.get("si") is not None:
            si = quantity["si"]
            least, most = (min(si), max(si)) if isinstance(si, list) else (float(si), float(si))
            low, value, high = mass[0] * least, mass[1] * (least + most) / 2, mass[2] * most
            taken.put(place, measure(value, low, high, "kg/day"))
        elif not str(quantity.get("si_unit") or "").startswith(("kg", "m**3")):
            taken.unweighed = True
    if any(act.get("set") == place for act in taken.acts) and key not in draft.materials:
        taken.put(f"materials.{key}.bedding", True)


def take_prices(
    taken: Taken, facts: Mapping[str, Any], ask: Ask | None, draft: Draft, knowledge: Knowledge
) -> None:
    """Prices by the tonne: as told, or of a bale of known weight. A price of anything else is named, not noted."""
    held = {key for key in draft.materials if knowledge.materials[key].kind == "bedding"}
    for told in facts.get("quantities") or ():
        name = str(told.get("of") or "").removeprefix("price of ")
        if name == told.get("of"):
            continue
        entry = taken.names.material(name)
        key = _held_as(entry, ask, held, knowledge) if entry else next(iter(held)) if len(held) == 1 else None
        each = _weight_priced(told, key, draft, knowledge) if key else None
        if key is None or not each:
            taken.unpriced.append(str(told.get("as") or ""))
            continue
        value = told["value"]
        value = sum(value) / 2 if isinstance(value, list) else value
        money = str(told.get("unit") or "").removesuffix(" each").split(" a ")[0]
        if money in table("money")["hundredths"]:
            value = value / 100.0
        if key not in draft.materials:
            taken.put(f"materials.{key}.bedding", knowledge.materials[key].kind == "bedding")
        taken.put(f"materials.{key}.price", round(value * 1000.0 / each, 2))
        for sign, words in table("money")["currency"].items():
            if money in words:
                taken.put("prices.currency", sign)


def _weight_priced(told: Mapping[str, Any], key: str, draft: Draft, knowledge: Knowledge) -> float | None:
    """Kilograms of what the price is for."""
    if told.get("per_kg"):
        return float(told["per_kg"])
    unit = str(told.get("unit") or "").rpartition("a ")[2]
    mass = _pack_mass(draft.materials.get(key, {}), normal(unit), knowledge.materials[key])
    return mass[1] if mass else None


def _rated(
    taken: Taken, facts: Mapping[str, Any], ask: Ask | None, draft: Draft, knowledge: Knowledge
) -> str | None:
    named = [taken.names.material(str(one.get("name") or "")) for one in facts.get("materials") or ()]
    held = {key for key in draft.materials if knowledge.materials[key].kind == "bedding"}
    for entry in named:
        if entry is not None and knowledge.materials[entry].kind == "bedding":
            return _held_as(entry, ask, held, knowledge)
    return next(iter(held)) if len(held) == 1 else None


def _pack_mass(told: Mapping[str, Any], unit: str, material: Material) -> tuple[float, float, float] | None:
    """(low, value, high) kilograms of one bale, bag or load: as told, else of the kind told; None where unknown."""
    if "pack_mass" in told:
        mass = told["pack_mass"]
        return mass["low"], mass["value"], mass["high"]
    pack = material.packs.get(str(told.get("pack") or _pack_of(unit, material) or ""))
    figure = pack.mass.to("kg") if pack and pack.mass else None
    return (figure.low, figure.value, figure.high) if figure else None


def _told_amount_of(draft: Draft, key: str) -> bool:
    return any(name in draft.materials.get(key, {}) for name in ("packs", "amount", "volume", "pack_mass"))


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
    counted = pack is not None or unit in ("bale", "bales", "bag", "bags", "sack", "sacks")
    if amount is not None and counted:
        for other in ("amount", "volume"):
            taken.drop(f"{place}.{other}")
        taken.put(f"{place}.packs", float(amount))
    elif one.get("mass_kg") is not None and (one.get("unit_mass_kg") is None or amount is not None):
        for other in ("packs", "volume"):
            taken.drop(f"{place}.{other}")
        said = f"{say_number(float(amount), 4)} {one.get('unit')}" if amount is not None else ""
        put_amount(taken, one, "mass_kg", f"{place}.amount", "kg", said=said)
    elif one.get("volume_m3") is not None:
        for other in ("packs", "amount"):
            taken.drop(f"{place}.{other}")
        said = f"{say_number(float(amount), 4)} {one.get('unit')}" if amount is not None else ""
        put_amount(taken, one, "volume_m3", f"{place}.volume", "m3", said=said)
    if pack is not None:
        taken.put(f"{place}.pack", pack)
    if counted or amount is None:
        put_amount(taken, one, "unit_mass_kg", f"{place}.pack_mass", "kg", said=one.get("unit_mass_as"))
    put_amount(taken, one, "moisture_pct", f"{place}.moisture", "fraction", 0.01)
    put_amount(taken, one, "cn_ratio", f"{place}.c_to_n", "fraction")


def _pack_of(unit: str, material: Material) -> str | None:
    """The kind of bale, bag or load that a unit names."""
    for key, pack in material.packs.items():
        if unit and unit in (key.replace("_", " "), pack.name.lower(), *(normal(w) for w in pack.words)):
            return key
    singular = unit.removesuffix("s")
    return singular.replace(" ", "_") if singular.replace(" ", "_") in material.packs else None
