"""How much bedding goes on, and how often."""

from __future__ import annotations

from typing import Any

from advisor.language.found import span_value
from advisor.language.rest import Rest
from advisor.language.scan import Item

__all__ = ["Rates"]


def place_of(animal: Item, amount: Item, end: int) -> bool:
    """Whether an animal stands in the interval after an amount, or leads it: 'each horse gets a bale a day'."""
    return amount.end <= animal.start < end or amount.start - 5 <= animal.start < amount.start


class Rates(Rest):
    """Reads daily amounts."""

    def _rate(self, place: int, item: Item, rate: tuple[float, bool, int] | None, measures: str) -> None:
        low, high = item.si
        if item.number is None:
            low, high = self._packs_before(place)
        self.out.used.add(item.start)
        if rate is None:
            rate = self.finder._rate_before(place)
        if rate is None and self.slot == "rate" and self._twice_a_day():
            rate = (1.0, False, item.end)  # '12 kg in the morning and 8 in the evening'
        if rate is None:
            if self.slot == "rate":
                self.out.clarify.append("how often that is added")
            return
        per_day, head, end = rate
        whose = next(
            (i.name for i in self.items if head and i.kind == "animal" and place_of(i, item, end)), ""
        )
        if head and measures == "pack" and self.slot == "rate" and not self._often_said(item.end, end):
            self.out.clarify.append("how often that is added")
            return
        mass = self._mass_of_one(place, end) if measures == "pack" and not item.unit_mass else None
        for other in self.items:
            if item.end <= other.start < end:
                self.out.used.add(other.start)
        if measures == "mass" and not head:
            packs = self._packs_of(place)
            if packs == 1.0 and self.slot == "rate":
                packs = self._packs_named(item)
            value = (low * per_day * packs, high * per_day * packs)
            more = self._second_feed(end)
            value = (value[0] + more[0], value[1] + more[1])
            if value[1] > 200_000:
                self.out.queried.append("bedding rate")
                return
            self.facts.update(span_value("rate_kg_per_day", *value))
            self.facts["rate_as"] = item.spoken
        elif measures == "mass":
            self.quantity("bedding rate a head", item, (low * per_day, high * per_day), "kg/day")
            self._whose(whose)
        elif measures == "pack" and item.unit_mass and not head:
            self.facts.update(
                span_value(
                    "rate_kg_per_day", low * per_day * item.unit_mass[0], high * per_day * item.unit_mass[1]
                )
            )
        elif measures == "pack":
            if mass is not None and not head:
                named = self.facts.get("materials", [])
                if len(named) == 1 and set(named[0]) == {"name"} and self.slot == "rate":
                    named[0].update({"unit": item.unit, **span_value("unit_mass_kg", *mass)})
                self.facts.update(
                    span_value("rate_kg_per_day", low * per_day * mass[0], high * per_day * mass[1])
                )
                return
            if head and item.unit_mass:
                each = item.unit_mass[0]
                si = (low * per_day * each, high * per_day * each)
                self.quantity("bedding rate a head", item, si, "kg/day")
            else:
                of = "bedding rate a head" if head else "bedding rate"
                self.quantity(of, item, (low * per_day, high * per_day), f"{item.unit}/day")
            if head:
                self._whose(whose)
        elif measures == "volume":
            self.quantity("bedding rate", item, (low * per_day, high * per_day), "m**3/day")

    def _each_weighs(self, place: int, item: Item, lone: dict[str, Any]) -> bool:
        """'Round bales of straw, 22 left in the barn, 250 kg apiece': the weight of one, and how many there are."""
        packs = [
            i.unit or "bale" for i in self.items if i.kind == "pack" or i.text in ("bales", "bags", "sacks")
        ]
        counts = [i for _, i in self.free("number") if i.number is not None and i.number.low >= 2]
        after = [i.text for i in self.items[place + 1 : place + 2]]
        if after not in (["apiece"], ["each"]) or not packs or len(counts) != 1 or counts[0].number is None:
            return False
        self.out.used |= {item.start, counts[0].start}
        many = counts[0].number
        lone.update({"unit": packs[0], **span_value("amount", many.low, many.high)})
        lone.update({**span_value("unit_mass_kg", *item.si), "unit_mass_as": item.spoken})
        lone.update(span_value("mass_kg", many.low * item.si[0], many.high * item.si[1]))
        return True

    def _whose(self, name: str) -> None:
        """Keep of which animals a rate a head was told."""
        if name:
            self.facts["quantities"][-1]["per"] = name

    def _often_said(self, start: int, end: int) -> bool:
        """Whether a time stands in the interval: '1 bale per horse' says none."""
        spans = self.lexicon.tables.numbers.every_days
        said = {t.text for t in self.scan.tokens[start:end]}
        return bool(said & (set(spans) | {"times", "twice", "once", "thrice"}))

    def _packs_of(self, place: int) -> float:
        """'5 bales of 18 kg': how many packs the mass was of."""
        near = self.items[max(0, place - 2) : place]
        if near and near[-1].text in ("of", "at", "x", "@", "each", ","):
            near = near[:-1]
        pack = near[-1] if near else None
        stock = any("amount" in m for m in self.facts.get("materials", []))
        if pack is None or pack.kind != "amount" or self.measure(pack) != "pack" or stock:
            return 1.0
        self.out.used.add(pack.start)
        return pack.number.low if pack.number else 1.0

    def _packs_named(self, item: Item) -> float:
        """'3 bales of straw of 16 kg every second day': the packs were read with their name as if in store."""
        named = [m for m in self.facts.get("materials", []) if "amount" in m and "mass_kg" not in m]
        if len(named) != 1 or self.lexicon.unit(str(named[0].get("unit"))).measures != "pack":
            return 1.0
        packs = float(named[0].pop("amount"))
        named[0].update({**span_value("unit_mass_kg", *item.si), "unit_mass_as": item.spoken})
        return packs

    def _packs_before(self, place: int) -> tuple[float, float]:
        """How many: 'two 20 kg bags', 'a 250 kg bale'."""
        item = self.items[place - 1] if place else None
        if item is not None and item.kind == "number" and item.number is not None:
            self.out.used.add(item.start)
            return item.number.low, item.number.high
        share = self.finder._share_of(place)
        return share, share

    def _twice_a_day(self) -> bool:
        words = self.scan.words()
        return bool(words & {"morning", "mornings"} and words & {"night", "evening", "evenings", "nights"})

    def _second_feed(self, end: int) -> tuple[float, float]:
        """'50 kg in the morning and 20 at night': the second part of the day."""
        if not self._twice_a_day():
            return 0.0, 0.0
        for _, other in self.free("number", "amount"):
            if (
                other.start >= end - 2
                and other.number is not None
                and (other.kind == "number" or self.measure(other) == "mass")
            ):
                self.out.used.add(other.start)
                return (other.number.low, other.number.high) if other.kind == "number" else other.si
        return 0.0, 0.0

    def _mass_of_one(self, place: int, end: int) -> tuple[float, float] | None:
        for _, other in self.free("amount", "pack"):
            if other.unit_mass:
                self.out.used.add(other.start)
                return other.unit_mass
            if self.measure(other) == "mass" and other.start > self.items[place].start:
                self.out.used.add(other.start)
                return other.si
        for entry in self.facts.get("materials", []):
            if isinstance(entry.get("unit_mass_kg"), int | float):
                return entry["unit_mass_kg"], entry["unit_mass_kg"]
        return None
