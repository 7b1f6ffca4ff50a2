"""How much bedding goes on, and how often."""

from __future__ import annotations

import re

from advisor.language.found import span_value
from advisor.language.rest import Rest
from advisor.language.scan import Item

__all__ = ["Rates"]


class Rates(Rest):
    """Reads daily amounts."""

    def _rate(self, place: int, item: Item, rate: tuple[float, bool, int] | None, measures: str) -> None:
        low, high = item.si
        self.out.used.add(item.start)
        if rate is None:
            rate = self._rate_before(place)
        if rate is None:
            if self.slot == "rate":
                self.out.clarify.append("how often that is added")
            return
        per_day, head, end = rate
        for other in self.items:
            if item.end <= other.start < end:
                self.out.used.add(other.start)
        if measures == "mass" and not head:
            value = (low * per_day, high * per_day)
            more = self._second_feed(end)
            value = (value[0] + more[0], value[1] + more[1])
            if value[1] > 200_000:
                self.out.queried.append("bedding rate")
                return
            self.facts.update(span_value("rate_kg_per_day", *value))
            self.facts["rate_as"] = item.spoken
        elif measures == "mass":
            self.quantity("bedding rate a head", item, (low * per_day, high * per_day), "kg/day")
        elif measures == "pack" and item.unit_mass and not head:
            self.facts.update(
                span_value(
                    "rate_kg_per_day", low * per_day * item.unit_mass[0], high * per_day * item.unit_mass[1]
                )
            )
        elif measures == "pack":
            mass = self._mass_of_one(place, end)
            if mass is not None and not head:
                self.facts.update(
                    span_value("rate_kg_per_day", low * per_day * mass[0], high * per_day * mass[1])
                )
                return
            self.quantity("bedding rate", item, (low * per_day, high * per_day), f"{item.unit}/day")
        elif measures == "volume":
            self.quantity("bedding rate", item, (low * per_day, high * per_day), "m**3/day")

    def _second_feed(self, end: int) -> tuple[float, float]:
        """'50 kg in the morning and 20 at night': the second part of the day."""
        words = self.scan.words()
        if not words & {"morning", "mornings"} or not words & {"night", "evening", "evenings", "nights"}:
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

    def _rate_before(self, place: int) -> tuple[float, bool, int] | None:
        """'daily 40 kg', 'every second day two bales', 'once a week 3 rounds'."""
        end = self.items[place].start
        texts = [t.text for t in self.scan.tokens[:end]]
        line = " ".join(texts[-8:])
        for stop in (" . ", " ; ", "\n"):
            line = line.split(stop)[-1]
        spans = {"day": 1, "morning": 1, "night": 1, "evening": 1, "week": 7, "fortnight": 14, "month": 30.4}
        numbers = self.lexicon.tables.numbers.small
        if re.search(
            r"\b(daily|each day|every day|per day|a day|every morning|every night|every evening)\b", line
        ):
            return (2.0 if "twice" in line else 1.0), False, end
        if match := re.search(r"every (other|second|2nd|third|3rd) (day|week|morning|night)", line):
            return 1 / ((2 if match[1] in ("other", "second", "2nd") else 3) * spans[match[2]]), False, end
        if match := re.search(r"every (\w+) (day|week)s", line):
            count = numbers.get(
                match[1], float(match[1]) if match[1].isdecimal() and len(match[1]) < 4 else 0
            )
            return (1 / (count * spans[match[2]]), False, end) if count else None
        if match := re.search(
            r"(once|twice|three times|two times) (?:a|per|every|each) (day|week|fortnight|month)", line
        ):
            times = {"once": 1, "twice": 2, "two times": 2, "three times": 3}[match[1]]
            return times / spans[match[2]], False, end
        if re.search(r"\b(weekly|every week|each week|a week|per week)\b", line):
            return 1 / 7, False, end
        return None
