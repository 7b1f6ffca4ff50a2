"""What is left when names have taken their numbers: the common ground of its readers."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from advisor.language.facts import Finder
from advisor.language.found import Found
from advisor.language.lexicon import Lexicon
from advisor.language.scan import Item, Scan

__all__ = ["Rest", "with_unit"]


class Rest:
    """The items not yet used, and the facts they go to."""

    def __init__(self, scan: Scan, lexicon: Lexicon, finder: Finder) -> None:
        self.scan, self.lexicon, self.finder = scan, lexicon, finder
        self.out: Found = finder.out
        self.facts: dict[str, Any] = finder.out.facts
        self.asking = finder.asking
        self.slot = finder.slot
        self.items = finder.items

    def free(self, *kinds: str) -> list[tuple[int, Item]]:
        return [(p, i) for p, i in enumerate(self.items) if i.kind in kinds and i.start not in self.out.used]

    def measure(self, item: Item) -> str:
        return self.lexicon.unit(item.unit).measures if item.unit else ""

    def near(self, place: int, name: str, before: int = 4, after: int = 4) -> bool:
        words = self.lexicon.lists[name]
        lo, hi = max(0, place - before), min(len(self.items), place + after + 1)
        return any(i.text in words for i in self.items[lo:hi] if i.kind in ("word", "material"))

    def quantity(self, of: str, item: Item, si: tuple[float, float], si_unit: str) -> None:
        number = item.number
        entry: dict[str, Any] = {"of": of}
        if number is not None:
            entry["value"] = number.low if not number.ranged else [number.low, number.high]
        entry["unit"] = item.unit
        low, high = (float(f"{v:.6g}") for v in si)
        entry["si"] = low if low == high else [low, high]
        entry["si_unit"] = si_unit
        entry["as"] = item.spoken
        self.facts.setdefault("quantities", []).append(entry)

    def prices(self) -> None:
        """What bedding costs: money is kept as it was said, for it has no unit of measure."""
        for place, item in self.free("price"):
            self.out.used.add(item.start)
            if item.weak:
                self.out.clarify.append(f"whether '{item.text}' is a price or a weight")
            elif item.name and item.number is not None and not self.asking:
                entry: dict[str, Any] = {"of": f"price of {self._priced(place)}"}
                entry["value"] = item.number.low if not item.number.ranged else list(item.si)
                money = f"{item.unit} " if item.unit else ""
                entry["unit"] = f"{money}{item.name}" if item.name == "each" else f"{money}a {item.name}"
                entry["as"] = item.spoken
                if item.name != "each" and self.lexicon.unit(item.name).measures == "mass":
                    entry["per_kg"] = self.lexicon.unit(item.name).factor
                self.facts.setdefault("quantities", []).append(entry)

    def _priced(self, place: int) -> str:
        """What is sold: the material named last before the price, else the next, else bedding."""
        before = [i.name for i in self.items[:place] if i.kind == "material"]
        after = [i.name for i in self.items[place:] if i.kind == "material"]
        return before[-1] if before else after[0] if after else self._known_material() or "bedding"

    def _known_material(self) -> str:
        asked = self.scan.asked
        return self.scan.subject if asked is not None and asked.slot == "amount" else ""


def with_unit(item: Item, unit: str) -> Item:
    return replace(item, unit=unit, spoken=f"{item.spoken} {unit}")
