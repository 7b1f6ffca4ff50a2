"""Items to facts: which number belongs to which animal and material."""

from __future__ import annotations

from typing import Any

from advisor.language.found import Found, span_value
from advisor.language.lexicon import Lexicon
from advisor.language.plausible import weight_bounds
from advisor.language.scan import Item, Scan
from advisor.language.together import Names, settle

__all__ = ["Finder", "find_facts"]


class Finder(Names):
    """Animals and materials together; entries said twice are one."""

    def gather(self) -> None:
        """Animals and materials into facts; entries said twice are one."""
        kept: list[tuple[Item, dict[str, Any]]] = []
        for item, entry in self.animals:
            same = next((e for _, e in kept if e["class"] == entry["class"]), None)
            if same is not None:
                only = {t.text for t in self.scan.tokens[max(0, item.start - 6) : item.start]} & {
                    "only",
                    "just",
                }
                if only and ("count" in entry or "count_range" in entry):
                    same.pop("count", None)
                    same.pop("count_range", None)
                    same.update(entry)
                elif self._weight_by_turn(entry, same, kept):
                    pass
                elif "count" not in entry or "count" not in same:
                    same.update({k: v for k, v in entry.items() if k not in same or k == "count"})
                elif not self.asking and entry != same:
                    kept.append((item, entry))
                continue
            kept.append((item, entry))
        if not self.asking:
            self.materials = [(i, e) for i, e in self.materials if set(e) != {"name"} or e["name"] != "pack"]
        counted = {
            self.lexicon.species.get(e["class"]) for _, e in kept if "count" in e or "count_range" in e
        }
        if not self.asking:
            general = ("cattle", "cow", "sheep", "goat", "pig", "horse", "poultry")
            kept = [
                (item, e)
                for item, e in kept
                if "count" in e
                or "count_range" in e
                or "weight_kg" in e
                or "weight_kg_range" in e
                or not (
                    (e["class"] in general or item.kind == "breed")
                    and self.lexicon.species.get(e["class"]) in counted
                )
            ]
        kept = self._without_sum(kept)
        if kept:
            self.out.facts["animals"] = [entry for _, entry in kept]
        found: list[dict[str, Any]] = []
        for _, entry in self.materials:
            if entry["name"].endswith(" grain") and str(entry.get("unit", "")).endswith("bale"):
                straw = f"{entry['name'].removesuffix(' grain')} straw"  # '50 small squares of barley'
                entry["name"] = straw if straw in self.lexicon.tables.extra_materials else entry["name"]
            same = next((e for e in found if e["name"] == entry["name"]), None)
            if same is not None:
                same.update({k: v for k, v in entry.items() if k not in same})
                continue
            if (
                entry["name"] == "straw"
                and len(entry) == 1
                and any(e["name"].endswith("straw") for e in found)
            ):
                continue
            found.append(entry)
        if found:
            self.out.facts["materials"] = found

    def _without_sum(self, kept: list[tuple[Item, dict[str, Any]]]) -> list[tuple[Item, dict[str, Any]]]:
        """'16 goats (12 does, 4 wethers)': the whole goes where its parts are given."""
        if self.asking or len(kept) < 3 or not isinstance(kept[0][1].get("count"), int):
            return kept
        species = self.lexicon.species
        first, *parts = [entry for _, entry in kept]
        same = all(species.get(p["class"]) == species.get(first["class"]) for p in parts)
        general = first["class"] in ("cattle", "sheep", "goat", "pig", "horse", "poultry", "cow")
        return (
            kept[1:] if same and general and sum(p.get("count", 0) for p in parts) == first["count"] else kept
        )

    def _weight_by_turn(
        self, entry: dict[str, Any], same: dict[str, Any], kept: list[tuple[Item, dict[str, Any]]]
    ) -> bool:
        """'3 sows and a boar, sows 220 kg, the boar 300': a second number of a counted animal, in the unit before."""
        told = next((e["weight_as"] for _, e in kept if "weight_as" in e and e is not same), "")
        unit = next((u for u in ("kg", "lb") if told.endswith(u)), "")
        if not unit or "count" not in entry or "count" not in same or "weight_kg" in same or self.asking:
            return False
        weight = entry["count"] * self.lexicon.unit(unit).factor
        least, most = weight_bounds(entry["class"], self.lexicon)
        if not least <= weight <= most:
            return False
        same.update({**span_value("weight_kg", weight, weight), "weight_as": f"{entry['count']} {unit}"})
        return True


def find_facts(
    scan: Scan, lexicon: Lexicon, spans: list[tuple[int, int]], asking: bool
) -> tuple[Found, Finder]:
    """Animals and materials with their amounts; what is left over stays in the items not used."""
    finder = Finder(scan, lexicon, spans, asking)
    finder.find_materials()
    finder.find_animals()
    settle(finder)
    finder.gather()
    return finder.out, finder
