"""Bedding that the animals on this farm must not lie on or eat: left out of every plan, and said so."""

from __future__ import annotations

from advisor.farm.model import Farm
from advisor.knowledge import Knowledge
from advisor.knowledge.base import plain_data

__all__ = ["barred", "barred_words"]

_AS_BEDDING = ("bedding", "warning")


def barred(farm: Farm, knowledge: Knowledge) -> dict[str, tuple[str, ...]]:
    """Material id to the species it would harm, for every material meant as bedding.

    Counted are the animals on the beds, those said to use the pack before or after, and whoever turns it.
    """
    species = {knowledge.animals[group.class_].species for group in farm.groups} | set(farm.shares_pack or ())
    turning = farm.turning.by if farm.turning else None
    species |= {"pigs": {"pigs"}, "hens": {"poultry"}}.get(turning or "", set())
    found: dict[str, tuple[str, ...]] = {}
    for supply in farm.materials:
        entry = knowledge.materials[supply.name]
        harmed = tuple(sorted(species & set(entry.never_for)))
        if supply.bedding and entry.kind in _AS_BEDDING and harmed:
            found[supply.name] = harmed
    return found


def barred_words(farm: Farm, knowledge: Knowledge) -> list[str]:
    """What must not be laid under these animals, and why, a paragraph each."""
    frame = str(plain_data("documents/plan.yaml")["bed_barred"])
    found = []
    for name, species in barred(farm, knowledge).items():
        entry = knowledge.materials[name]
        found.append(
            f"{frame.format(material=entry.name, species=' and '.join(species))} {entry.about}".strip()
        )
    return found
