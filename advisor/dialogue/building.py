"""From the draft of a conversation to the farm the plan is made for, and what cannot be true about it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from advisor.dialogue.draft import Draft
from advisor.dialogue.phrases import sentence
from advisor.knowledge import Knowledge

if TYPE_CHECKING:
    from advisor.farm import Farm

__all__ = ["before", "farm_of", "impossible"]


_KEYED = ("groups", "pens", "materials", "bedding")  # by id in a draft, in lists in a farm


def farm_of(draft: Draft, knowledge: Knowledge) -> Farm | None:
    """The farm, or None while no animals with a number are known. Raises ValidationError on impossible facts.

    Groups and materials stand in the order of their ids, so the order of telling changes nothing.
    """
    groups = [
        {**told, "id": key} for key, told in sorted(draft.groups.items()) if told.get("count") is not None
    ]
    if not groups:
        return None
    return _checked(draft, groups, knowledge)


def _checked(draft: Draft, groups: list[dict[str, Any]], knowledge: Knowledge) -> Farm:
    raw: dict[str, Any] = {k: v for k, v in draft.farm.items() if k not in _KEYED}
    raw["groups"] = groups
    pens: Mapping[str, Mapping[str, Any]] = draft.farm.get("pens", {})
    raw["pens"] = [{**told, "id": key} for key, told in sorted(pens.items())]
    raw["materials"] = [_supply(key, told, knowledge) for key, told in sorted(draft.materials.items())]
    rates: Mapping[str, Mapping[str, Any]] = draft.farm.get("bedding", {})
    own = [{**told, "material": key} for key, told in sorted(rates.items()) if key in draft.materials]
    if own:
        raw["bedding"] = own
    from advisor.farm import Farm  # its models are built at import: not before the first answer

    return Farm.model_validate(raw)


def _supply(key: str, told: Mapping[str, Any], knowledge: Knowledge) -> dict[str, Any]:
    """A material; bales of a kind not known are taken as the kind usual in the question about them."""
    supply = {**told, "name": key}
    entry = knowledge.materials.get(key)
    kind = knowledge.questions["bale_kind"].usual
    if entry and "packs" in told and "pack" not in told and "pack_mass" not in told and kind in entry.packs:
        supply["pack"] = kind
    if entry and entry.kind != "bedding":
        supply["bedding"] = False
    return supply


def impossible(draft: Draft, knowledge: Knowledge) -> str | None:
    """Why the facts cannot all be true, in the keeper's words; None where they can."""
    from pydantic import ValidationError

    from advisor.farm.reading import standing_room

    try:
        farm = farm_of(draft, knowledge)
        if farm is None:  # the rest is checked all the same, with one animal standing in
            _checked(draft, [{"class": "cattle", "count": 1}], knowledge)
    except ValidationError as wrong:
        message = wrong.errors()[0]["msg"].removeprefix("Value error, ")
        return sentence("cannot_be", what=message[0].upper() + message[1:])
    if farm is None or not farm.pens or farm.pens[0].area is None:
        return None
    area = farm.pens[0].area
    least = sum(standing_room(group, knowledge) for group in farm.groups)
    if least <= area.high:
        return None
    heads = sum(group.count for group in farm.groups)
    return sentence("no_room", heads=heads, area=f"{area.value:.0f}", least=f"{least:.0f}")


def before(draft: Draft, knowledge: Knowledge) -> dict[str, Any]:
    """What was told, in the keys of the message contract, for reading a correction."""
    out: dict[str, Any] = {}
    animals = [
        _named(
            {"class": knowledge.animals[told["class"]].name}, told, {"count": "count", "weight": "weight_kg"}
        )
        for told in draft.groups.values()
    ]
    materials = [
        _named(
            {"name": knowledge.materials[key].name},
            told,
            {"packs": "amount", "amount": "mass_kg", "pack_mass": "unit_mass_kg", "volume": "volume_m3"},
        )
        | ({"unit": _pack_name(told, key, knowledge)} if "packs" in told else {})
        for key, told in draft.materials.items()
    ]
    if animals:
        out["animals"] = animals
    if materials:
        out["materials"] = materials
    area = draft.at("pens.pen.area")
    if area:
        out |= {"area_m2": area["value"], "area_as": area["said"]}
    depth = draft.at("base.depth")
    if depth:
        out |= {"depth_cm": depth["value"] * 100, "depth_of": "base layer"}
    for name in ("start", "end"):
        if draft.at(name):
            out[name] = str(draft.at(name))[5:]
    if draft.at("days"):
        out["days"] = draft.at("days")
    return out


def _pack_name(told: Mapping[str, Any], key: str, knowledge: Knowledge) -> str:
    pack = knowledge.materials[key].packs.get(told.get("pack", ""))
    return pack.name if pack else "bale"


def _named(start: dict[str, Any], told: Mapping[str, Any], keys: Mapping[str, str]) -> dict[str, Any]:
    for mine, theirs in keys.items():
        if mine in told:
            start[theirs] = told[mine]["value"] if isinstance(told[mine], Mapping) else told[mine]
    return start
