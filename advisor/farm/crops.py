"""The crop that the compost will feed: found by the words a keeper uses, with the figures held for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from advisor.farm.model import Farm, Measure
from advisor.knowledge import Knowledge
from advisor.reasoning.engine import Told
from advisor.units import convert

__all__ = ["Crop", "crop_facts", "crop_of"]

#: fact -> the figure of a crop that answers it, and the unit it is told in
_PARTS: Mapping[str, tuple[str, str]] = {
    "crop_yield_t_ha": ("yield", "t/ha"),
    "crop_nitrogen_kg_t": ("nitrogen", "kg/t"),
    "crop_phosphorus_kg_t": ("phosphorus", "kg/t"),
    "crop_potassium_kg_t": ("potassium", "kg/t"),
}


@dataclass(frozen=True)
class Crop:
    """A crop by id and plain name, and whether the keeper named it."""

    id: str
    name: str
    named: bool


@cache
def _crops() -> Mapping[str, Mapping[str, object]]:
    from advisor.knowledge.base import plain_data

    crops: Mapping[str, Mapping[str, object]] = plain_data("documents/crops.yaml")
    return crops


def crop_of(farm: Farm) -> Crop | None:
    """The crop as named; else the usual one of the land use; None where it is not held, or nothing is grown."""
    said = " ".join((farm.land.crop or "").casefold().replace("_", " ").split()) if farm.land else ""
    use = farm.land.use if farm.land and farm.land.use else "grass"
    for key, crop in _crops().items():
        name, words = str(crop["name"]), crop["words"]
        known = {key.replace("_", " "), name, *(words if isinstance(words, list) else ())}
        usual = crop.get("usual_for")
        if said in known if said else isinstance(usual, list) and use in usual:
            return Crop(key, name, bool(said))
    return None


def crop_facts(farm: Farm, knowledge: Knowledge) -> dict[str, Told]:
    """Yield and content of the crop, as facts of the farm; a figure that the keeper knows better goes first."""
    crop = crop_of(farm)
    if crop is None:
        return {}
    found: dict[str, Told] = {}
    for fact, (part, unit) in _PARTS.items():
        entry = knowledge.figures[f"crop_{crop.id}_{part}"]
        own = farm.facts.get(f"crop_{crop.id}_{part}")
        if isinstance(own, Measure):
            value, low, high = (convert(each, entry.si, unit) for each in (own.value, own.low, own.high))
            found[fact] = Told(value, low, high, own.said, label=entry.label)
        elif entry.figure is not None:
            held = entry.figure.to(unit)
            found[fact] = Told(
                held.value, held.low, held.high, how="looked_up", figure=held, label=entry.label
            )
    return found
