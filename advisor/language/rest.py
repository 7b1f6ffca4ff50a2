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


def with_unit(item: Item, unit: str) -> Item:
    return replace(item, unit=unit, spoken=f"{item.spoken} {unit}")
