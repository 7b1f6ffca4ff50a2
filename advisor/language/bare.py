"""Numbers without a unit: read by the one unit in which they are plausible, else asked back."""

from __future__ import annotations

import re

from advisor.language.degrees import to_celsius
from advisor.language.found import span_value
from advisor.language.plausible import weight_bounds
from advisor.language.rest import Rest, with_unit
from advisor.language.scan import Item

__all__ = ["Bare"]

_DECIMAL_COMMA = re.compile(r"\d,\d{1,2}(?!\d)")


class Bare(Rest):
    """Reads bare numbers."""

    def _bare(
        self,
        item: Item,
        low: float,
        high: float,
        of: str,
        ranges: dict[str, tuple[float, float]] | None = None,
    ) -> None:
        """A number with no unit, read by the one unit in which it is plausible; else the unit is asked."""

        asked = self.scan.asked
        bounds = ranges or (asked.unit_range if asked and not self.asking else {})
        if "day" in bounds and (high > 366 or low <= 0):
            self.out.queried.append(of)
            return
        fits = [u for u, (least, most) in bounds.items() if least <= low and high <= most]
        named = (
            {u for u in fits for i in self.items if i.text in self.lexicon.lists[f"says_{u}"]}
            if "degC" in bounds
            else set()
        )
        if len(named) == 1:
            fits = list(named)
        elif "degC" in fits and not self.scan.us and (low < 0 or _DECIMAL_COMMA.search(self.scan.raw)):
            fits = ["degC"]  # few winters go below nought Fahrenheit, and few who think in it write 57,5
        if not fits and bounds:
            least = min(b[0] for b in bounds.values())
            most = max(b[1] for b in bounds.values())
            if high > most * 1.2 + 20 or low < least:
                self.out.queried.append(of or "that value")
                return
        if len(fits) != 1:
            self.out.clarify.append(f"unit of the {of or 'number'}")
            return
        unit = fits[0]
        if unit in ("degC", "degF"):
            si = (to_celsius(low, unit), to_celsius(high, unit))
            self.quantity(of or "pack temperature", with_unit(item, unit), si, "degC")
        elif unit in ("cm", "m", "inch", "ft"):
            factor = self.lexicon.unit(unit).factor * 100
            self.facts.update(span_value("depth_cm", low * factor, high * factor))
            self.facts["depth_as"] = f"{item.spoken} {unit}"
            self.facts["depth_of"] = of
        elif unit in ("kg", "lb"):
            factor = self.lexicon.unit(unit).factor
            self.quantity(of, with_unit(item, unit), (low * factor, high * factor), "kg")
        elif unit == "day":
            self.facts.update(span_value("days", low, high))
            self.facts["days_as"] = f"{item.spoken} day"

    def _answered(self, slot: str) -> bool:
        keys = {
            "amount": ("materials",),
            "rate": ("rate_kg_per_day", "rate_kg_per_day_range", "quantities"),
            "period": ("days", "days_range", "start", "end"),
            "quantity": ("quantities",),
        }[slot]
        return any(key in self.facts for key in keys) or bool(self.out.queried)

    def _none_left(self) -> None:
        bucket = self.facts.setdefault("no_materials", [])
        if self.scan.subject not in bucket:
            bucket.append(self.scan.subject)

    def _count(self, item: Item) -> None:
        number = item.number
        assert number is not None
        name = self.scan.subject
        animals = self.facts.get("animals", [])
        open_one = next((a for a in animals if "count" not in a and "count_range" not in a), None)
        if animals and open_one is None:
            return
        self.out.used.add(item.start)
        if (
            number.low < 0
            or number.low != int(number.low)
            or number.high != int(number.high)
            or number.high > 200_000
        ):
            if number.ambiguous and number.low > 1:
                self.out.clarify.append(f"count of {name}")
            else:
                self.out.queried.append(f"count of {name}")
            return
        if number.low == number.high == 0:
            self.facts.setdefault("no_animals", []).append(name)
            return
        if open_one is None:
            open_one = {"class": name}
            self.facts.setdefault("animals", []).append(open_one)
        open_one.update(span_value("count", number.low, number.high))

    def _bare_weight(self, item: Item) -> None:
        number = item.number
        assert number is not None
        name = self.scan.subject
        if (
            any("weight_kg" in a or "weight_kg_range" in a for a in self.facts.get("animals", []))
            or self.out.queried
        ):
            return
        self.out.used.add(item.start)
        low, high = number.low, number.high
        if number.ambiguous:
            low, high = low * 1000, high * 1000
        bounds = weight_bounds(name, self.lexicon)
        fits = [
            u for u, f in (("kg", 1.0), ("lb", 0.45359237)) if bounds[0] <= low * f and high * f <= bounds[1]
        ]
        if not fits and (high * 0.45 > bounds[1] * 1.3 or low <= 0 or high < bounds[0] * 0.6):
            self.out.queried.append(f"weight of {name}")
            return
        if len(fits) != 1:
            self.out.clarify.append(f"unit of the weight of {name}")
            return
        factor = 1.0 if fits[0] == "kg" else 0.45359237
        entry = {
            "class": name,
            **span_value("weight_kg", low * factor, high * factor),
            "weight_as": f"{item.spoken} {fits[0]}",
        }
        self.facts["animals"] = [entry]

    def _bare_share(self, item: Item, of: str) -> None:
        number = item.number
        assert number is not None
        low, high = number.low, number.high
        if high > 1:
            low, high = low / 100, high / 100
        if not 0 <= low <= high <= 1:
            self.out.queried.append("moisture of the pack")
            return
        self.quantity(of, with_unit(item, "percent"), (low, high), "fraction")
