"""Read a farm file: every fault with its line, names matched to the knowledge base."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from advisor.farm.doubts import doubts
from advisor.farm.model import Farm, Group, read_measure
from advisor.knowledge import Fault, Knowledge
from advisor.knowledge.base import validate
from advisor.knowledge.yaml_text import Located, Place, parse_yaml, read_yaml

__all__ = ["FarmError", "find_id", "read_farm", "read_farm_text", "standing_room"]


class FarmError(Exception):
    """A farm file that cannot be used; every fault is in `faults`."""

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in faults))


def read_farm(path: Path, knowledge: Knowledge) -> Farm:
    """Read and check a farm file. Raises FarmError with every fault at once."""
    return _checked(read_yaml(path), knowledge)


def read_farm_text(text: str, knowledge: Knowledge, name: str = "farm") -> Farm:
    """As read_farm, from text."""
    return _checked(parse_yaml(text, name), knowledge)


def _checked(text: Located, knowledge: Knowledge) -> Farm:
    if text.faults:
        raise FarmError(text.faults)
    if not isinstance(text.data, dict):
        raise FarmError(
            [
                Fault(
                    Place(text.file, 1),
                    "is empty or not a farm",
                    "start with `groups:`; see the example farm",
                )
            ]
        )
    raw, faults = _with_ids(text, knowledge)
    farm: Farm | None
    farm, found = validate(Farm, raw, text, ())
    faults = sorted({*faults, *(_at_the_dates(fault, text) for fault in found)})
    if farm is not None:
        faults += [*_contradictions(farm, text, knowledge), *doubts(farm, text, knowledge)]
    if faults or farm is None:
        raise FarmError(faults)
    return farm


def _at_the_dates(fault: Fault, text: Located) -> Fault:
    """What is wrong with the season as a whole stands at its end, not at the top of the file."""
    what = fault.what.removeprefix("'': ")
    return fault if what == fault.what else Fault(text.place(("end",)), what, fault.mend)


def find_id(word: str, entries: Mapping[str, Any]) -> tuple[str | None, str]:
    """The id of the entry a word names, or None and the nearest name there is."""
    from rapidfuzz import fuzz, process

    asked = " ".join(str(word).lower().replace("_", " ").split())
    names: dict[str, str] = {}
    for key, entry in entries.items():
        for name in (
            *getattr(entry, "words", ()),
            getattr(entry, "plural", ""),
            entry.name,
            key.replace("_", " "),
        ):
            if name:
                names.setdefault(name.lower(), key)
    for key, entry in entries.items():  # an entry's own name beats another's synonym
        names[entry.name.lower()] = key
    if asked in names:
        return names[asked], ""
    close = process.extractOne(asked, names.keys(), scorer=fuzz.ratio, score_cutoff=55)
    return None, (close[0] if close else "")


def _with_ids(text: Located, knowledge: Knowledge) -> tuple[dict[str, Any], list[Fault]]:
    """The raw farm with names of classes, materials and region turned into ids."""
    faults: list[Fault] = []

    def named(word: Any, entries: Mapping[str, Any], kind: str, path: tuple[str | int, ...]) -> Any:
        if not isinstance(word, str):
            return word
        found, near = find_id(word, entries)
        if found is None:
            mend = f"did you mean '{near}'?" if near else f"`byrewise knowledge list {kind}` shows them all"
            faults.append(
                Fault(
                    text.place(path),
                    f"unknown {kind.rstrip('s') if kind != 'animals' else 'animal'} '{word}'",
                    mend,
                )
            )
        return found or word

    raw = dict(text.data)
    for key, field, entries, kind in (
        ("groups", "class", knowledge.animals, "animals"),
        ("materials", "name", knowledge.materials, "materials"),
        ("bedding", "material", knowledge.materials, "materials"),
    ):
        rows = raw.get(key)
        if isinstance(rows, list):
            raw[key] = [
                {**row, field: named(row[field], entries, kind, (key, i, field))}
                if isinstance(row, dict) and field in row
                else row
                for i, row in enumerate(rows)
            ]
    for key, field in (("base", "material"), ("turning", "grain_material")):
        if isinstance(raw.get(key), dict) and field in raw[key]:
            told = named(raw[key][field], knowledge.materials, "materials", (key, field))
            raw[key] = {**raw[key], field: told}
    if isinstance(raw.get("facts"), dict):
        raw["facts"] = {name: _fact(knowledge, name, told) for name, told in raw["facts"].items()}
    if isinstance(raw.get("region"), str):
        raw["region"] = named(raw["region"], knowledge.regions, "regions", ("region",))
    return raw, faults


def _fact(knowledge: Knowledge, name: Any, told: Any) -> Any:
    """An amount with its unit, where a fact or figure is a number; what cannot be read stays, to be refused."""
    fact, figure = knowledge.facts.get(name), knowledge.figures.get(name)
    unit = fact.unit if fact and fact.kind == "number" else figure.si if figure and not fact else None
    if unit is None or not isinstance(told, str):
        return told
    try:
        return read_measure(told, unit or "fraction", None, None)
    except ValueError:
        return told


def _contradictions(farm: Farm, text: Located, knowledge: Knowledge) -> list[Fault]:
    """What is well formed but cannot be true."""
    faults: list[Fault] = []
    pens = {pen.id for pen in farm.pens}
    for i, group in enumerate(farm.groups):
        if group.pen and group.pen not in pens:
            known = ", ".join(sorted(pens)) or "none"
            faults.append(
                Fault(text.place(("groups", i, "pen")), f"there is no pen '{group.pen}'", f"pens: {known}")
            )
        if not group.pen and len(farm.pens) > 1:
            faults.append(
                Fault(
                    text.place(("groups", i)),
                    f"which pen do the {group.count} {group.class_} use?",
                    "add `pen:`",
                )
            )
        for change in group.changes:
            if (farm.start and change.date < farm.start) or (farm.end and change.date > farm.end):
                faults.append(
                    Fault(
                        text.place(("groups", i, "changes")),
                        f"the change on {change.date} is outside the season",
                    )
                )
    ids = [pen.id for pen in farm.pens]
    for i, name in enumerate(ids):
        if name in ids[:i] or (not name and len(ids) > 1):
            faults.append(Fault(text.place(("pens", i)), "every pen needs an id of its own", "add `id:`"))
    for i, pen in enumerate(farm.pens):
        if pen.area is None:
            continue
        least = sum(standing_room(group, knowledge) for group in farm.groups if group.pen in ("", pen.id))
        if least > pen.area.high:
            heads = sum(group.count for group in farm.groups if group.pen in ("", pen.id))
            faults.append(
                Fault(
                    text.place(("pens", i, "area")),
                    f"{heads} animals cannot stand in {pen.area.value:.0f} m2; "
                    f"their bodies alone cover about {least:.0f} m2",
                    "check the number of animals and the size of the pen",
                )
            )
    named = {supply.name for supply in farm.materials}
    if not isinstance(farm.bedding, str):
        for i, line in enumerate(farm.bedding):
            if line.material not in named:
                faults.append(
                    Fault(
                        text.place(("bedding", i, "material")),
                        f"'{line.material}' is not among the materials",
                        "list it under `materials:`",
                    )
                )
            if line.pen and line.pen not in pens:
                faults.append(Fault(text.place(("bedding", i, "pen")), f"there is no pen '{line.pen}'"))
            if line.from_ and line.to and line.from_ > line.to:
                faults.append(Fault(text.place(("bedding", i)), "the dates are the wrong way round"))
    for i, supply in enumerate(farm.materials):
        entry = knowledge.materials.get(supply.name)
        if supply.packs is not None and supply.pack_mass is None and entry is not None:
            if supply.pack is None and len(entry.packs) != 1:
                faults.append(
                    Fault(text.place(("materials", i, "packs")), "what do they weigh, or which kind are they?",
                          f"add `pack_mass:` or `pack:` ({_listed(entry.packs)})")
                )  # fmt: skip
            elif supply.pack is not None and supply.pack not in entry.packs:
                faults.append(
                    Fault(text.place(("materials", i, "pack")), f"{entry.name} has no pack '{supply.pack}'",
                          f"one of: {_listed(entry.packs)}")
                )  # fmt: skip
    return faults


def _listed(names: Iterable[str]) -> str:
    return ", ".join(names) or "give the weight instead"


def standing_room(group: Group, knowledge: Knowledge) -> float:
    """Floor that the bodies alone cover: far below any welfare minimum, so only the impossible is refused.

    A small share of the area a deep bed needs.
    """
    entry = knowledge.animals.get(group.class_)
    share = knowledge.figures["standing_room_share"].figure
    if entry is None or share is None:
        return 0.0
    weight = group.weight.low if group.weight else entry.weight.low
    scale: float = (weight / entry.weight.value) ** (2 / 3)
    return share.value * group.count * entry.litter_space.low * scale
