"""What came, went and was put on the bed, from a clause of a season note: bedding, stock, prices and animals."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

from advisor.farm.model import Farm
from advisor.knowledge import Knowledge
from advisor.record.clauses import Clause, Found, days_told, ranged, says
from advisor.record.ready import group_of, pack_kg, supply_of
from advisor.record.time_words import has_word, season_words

if TYPE_CHECKING:
    from advisor.language.scan import Item

__all__ = ["hear_heads", "hear_supply", "heard_group"]

_MASS, _VOLUME = "mass", "volume"


def heard_group(name: str, farm: Farm, knowledge: Knowledge) -> str:
    """The group of the farm that a name means; else the class of animals."""
    from advisor.farm.reading import find_id

    id_, _ = find_id(name, knowledge.animals)
    found = group_of(id_, "", farm, knowledge) if id_ else None
    return found.id if found else id_ or ""


def hear_heads(clause: Clause, date: dict[str, Any], farm: Farm, knowledge: Knowledge) -> Found:
    """Animals that came or went: 'ten cows sold', or 'ten sold' where there is one group."""
    if not clause.names("animal"):
        if len(farm.groups) > 1:
            return [], says("which_animals"), "heads"
        gone = -round(clause.numbers()[0])
        return [{**date, "kind": "heads", "group": farm.groups[0].id, "change": gone}], "", "heads"
    entries: list[dict[str, Any]] = []
    number: float | None = None
    for item in clause.items:
        if item.kind == "number" and item.number:
            number = item.number.value
        elif item.kind == "word" and item.text in ("a", "an", "one") and number is None:
            number = 1.0
        elif item.kind == "animal":
            if number is None:
                continue
            entry: dict[str, Any] = {
                **date,
                "kind": "heads",
                "group": heard_group(item.name, farm, knowledge),
            }
            if "count" in clause.cues and not clause.cues & {"out", "in"}:
                entry["count"] = round(number)
            else:
                entry["change"] = round(-number if "out" in clause.cues else number)
            entries.append(entry)
            number = None
    return entries, "" if entries else says("which_animals"), "heads"


def hear_supply(clause: Clause, before: str, date: dict[str, Any], farm: Farm, knowledge: Knowledge) -> Found:
    """Bedding given, bought, left, weighed or priced. `before` is the kind that a bare amount goes on with."""
    cues = clause.cues
    kind = next((k for k in ("weighed", "price", "bought", "stock", "bedding") if k in cues), "")
    amounts = clause.amounts("pack", _MASS, _VOLUME)
    if kind == "bought" and len(amounts) > 1:  # 'forty bales at four pounds'
        amounts = [item for item in amounts if not _pounds(item)]
    numbers = clause.numbers()
    if kind == "weighed":
        return _weighed(clause, date, farm, knowledge)
    if kind == "price":
        return _price(clause, date, farm, knowledge)
    if not kind:
        kind = before if before in ("bedding", "bought", "stock") else ""
    if not kind and before == "note" and amounts:
        kind = "bedding"
    if not kind and (amounts or (numbers and clause.a_day)) and (clause.dated or clause.a_day):
        kind = "bedding"
    lasted = days_told(clause)
    nothing = has_word(clause.text, season_words()["none"]) and (clause.dated or lasted or "bedding" in cues)
    if not amounts and not numbers and nothing:
        return [_none(clause, lasted, date, farm)], "", "bedding"
    if not kind or not (amounts or numbers):
        wet = clause.wet and clause.names("material") and not amounts
        return [], says("how_much") if kind else says("wet_amount") if wet else "", kind
    out: list[dict[str, Any]] = []
    for item in amounts or [item for item in clause.items if item.kind == "number" and item.number][:1]:
        material, question = _material(clause, item, farm, knowledge)
        if not material:
            return [], question, kind
        if _unknown_pack(clause, item, material, farm, knowledge):
            return [], says("which_pack"), kind
        entry = {**date, "kind": kind, "material": material, **_amount(clause, item, material, knowledge)}
        if kind == "bedding":
            entry |= _days(clause, entry)
            entry |= {"wet": True} if clause.wet else {}
            entry |= {"base": True} if has_word(clause.text, season_words()["base"]) else {}
        paid = _money(clause)
        if kind == "bought" and paid is not None and amounts:
            whole = has_word(clause.text, ["for"]) and not has_word(clause.text, season_words()["apiece"])
            each = entry.get("packs", 0.0)
            entry |= {"cost": paid} if whole else {"cost": paid * each} if each else {"price": paid}
        out.append(entry)
    return out, "", kind


def _none(clause: Clause, lasted: int, date: dict[str, Any], farm: Farm) -> dict[str, Any]:
    """No bedding at all, so that it does not matter which: 'no straw for a fortnight' speaks of days gone."""
    bed = next(supply.name for supply in farm.materials if supply.bedding)
    if lasted and not clause.when.named:
        date = {"date": date["date"] - dt.timedelta(days=lasted)}
    return {**date, "kind": "bedding", "material": bed, "mass": 0.0, "days": lasted or clause.when.days}


def _price(clause: Clause, date: dict[str, Any], farm: Farm, knowledge: Knowledge) -> Found:
    """A price, by the tonne; one told for a bale is turned into that."""
    paid = _money(clause)
    packs = [i for i in clause.items if i.kind in ("amount", "pack") and clause.measures(i) == "pack"]
    packed = packs or has_word(clause.text, season_words()["packs"])
    material, question = _material(clause, packs[0] if packs else None, farm, knowledge)
    if paid is None or not material:
        return [], question if paid is not None else "", ""
    if packed:
        place = supply_of(material, farm, knowledge)
        kg = pack_kg(material, place, farm, knowledge)
        if not kg:
            return [], says("price_a_tonne"), ""
        paid = 1000.0 * paid / kg
    return [{**date, "kind": "price", "material": material, "price": round(paid, 2)}], "", "price"


def _money(clause: Clause) -> float | None:
    """The last number that can be money: a bare one, one with a currency, or pounds, which the scanner weighs."""
    told = [
        item.number.value
        for item in clause.items
        if item.number
        and (
            item.kind in ("number", "price")
            or item.unit == "money"
            or (_pounds(item) and clause.cues & {"price", "bought"})
        )
    ]
    return told[-1] if told else None


def _pounds(item: Item) -> bool:
    """Pounds spelt out: money beside another amount, though the scanner takes them for a weight."""
    return item.kind == "amount" and item.unit == "lb" and "pound" in item.text


def _days(clause: Clause, entry: dict[str, Any]) -> dict[str, Any]:
    """Over a stretch, an amount is for each day or week where that was said, else for all of it."""
    days = clause.when.days
    part = clause.every or days
    if days <= 1 or clause.a_day:
        return {"days": days} if days > 1 else {}
    spread: dict[str, Any] = {"days": days}
    for name in ("packs", "mass", "volume"):
        if name in entry:
            told = entry[name]
            if isinstance(told, dict):
                spread[name] = {k: v / part for k, v in told.items() if k != "said"}
            else:
                spread[name] = told / part
    return spread


def _amount(clause: Clause, item: Item, material: str, knowledge: Knowledge) -> dict[str, Any]:
    measures = clause.measures(item) if item.kind == "amount" else "pack"
    if measures in (_MASS, _VOLUME):
        return {measures: ranged(item)}
    assert item.number is not None
    if item.unit_mass:
        low, high = (item.number.value * each for each in item.unit_mass)
        return {"mass": {"value": (low + high) / 2, "low": low, "high": high, "said": item.text}}
    packs = knowledge.materials[material].packs
    wanted = item.unit.replace(" ", "_")
    return {"packs": item.number.value, **({"pack": wanted} if wanted in packs else {})}


def _unknown_pack(clause: Clause, item: Item, material: str, farm: Farm, knowledge: Knowledge) -> bool:
    """Whether it was counted in something of which nobody can say what it weighs: a load, a trailer."""
    if item.kind != "amount" or clause.measures(item) != "pack" or item.unit_mass or item.unit == "bale":
        return False
    place = supply_of(material, farm, knowledge)
    told = place is not None and farm.materials[place].pack_mass is not None
    return not told and item.unit.replace(" ", "_") not in knowledge.materials[material].packs


def _weighed(clause: Clause, date: dict[str, Any], farm: Farm, knowledge: Knowledge) -> Found:
    masses = clause.amounts(_MASS)
    packs = [
        item for item in clause.items if item.kind in ("amount", "pack") and clause.measures(item) == "pack"
    ]
    material, question = _material(clause, packs[0] if packs else None, farm, knowledge)
    if not masses or not material:
        return [], question if masses else "", "weighed"
    return [{**date, "kind": "weighed", "material": material, "mass": ranged(masses[0])}], "", "weighed"


def _material(clause: Clause, item: Item | None, farm: Farm, knowledge: Knowledge) -> tuple[str, str]:
    """The material meant: named after the amount, else anywhere, else the only one it can be."""
    from advisor.farm.reading import find_id

    named = [
        each for each in clause.items if each.kind == "material" and each.name not in ("pack", "bedding")
    ]
    if item is not None and len(named) > 1:
        named = [each for each in named if each.start >= item.start] or named
    if named:
        id_, _ = find_id(named[0].name, knowledge.materials)
        if id_:
            place = supply_of(id_, farm, knowledge)
            return (farm.materials[place].name if place is not None else id_), ""
    beds = [s for s in farm.materials if s.bedding and knowledge.materials[s.name].kind == "bedding"]
    counted = item is None or item.kind == "number" or clause.measures(item) == "pack"
    baled = [s for s in beds if s.packs is not None or s.pack_mass is not None]
    if counted and len(baled) == 1:
        return baled[0].name, ""
    return (beds[0].name, "") if len(beds) == 1 else ("", says("which_material"))
