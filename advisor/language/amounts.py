"""Amounts with a unit that no name took: by the question asked, then by what the unit measures."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from advisor.language.bare import Bare
from advisor.language.found import span_value
from advisor.language.hours import Hours
from advisor.language.rates import Rates
from advisor.language.scan import Item
from advisor.language.sizes import Sizes

__all__ = ["Amounts"]


class Amounts(Sizes, Rates, Hours, Bare):
    """Reads loose amounts."""

    def amounts(self) -> None:
        of = self.scan.asked.of if self.scan.asked and not self.asking else ""
        for place, item in self.free("amount", "pack"):
            if item.start in self.out.used:
                continue
            number = item.number
            measures = self.measure(item)
            if number is not None and number.ambiguous and measures in ("mass", "volume", "area", "length"):
                if self._thousand(item):
                    item = self._as_thousand(item)
                elif self.slot in ("weight", "amount", "quantity", "area", "rate"):
                    self.out.clarify.append(f"whether '{item.text}' is a decimal or thousands")
                    self.out.used.add(item.start)
                    continue
            self._amount(place, item, measures, of)

    def _thousand(self, item: Item) -> bool:
        """A weight of 1.2 kg cannot be, so 1.200 kg was meant as thousands."""
        return (
            self.slot == "weight"
            and item.unit in ("kg", "lb")
            and self.finder.lexicon.species.get(self.scan.subject, "") in ("cattle", "horses")
        )

    def _as_thousand(self, item: Item) -> Item:
        assert item.number is not None
        return replace(
            item,
            number=replace(item.number, low=item.number.low * 1000, high=item.number.high * 1000),
            si=(item.si[0] * 1000, item.si[1] * 1000),
        )

    def _amount(self, place: int, item: Item, measures: str, of: str) -> None:
        slot, low, high = self.slot, *item.si
        used = self.out.used
        if measures == "mass" and slot == "weight":
            used.add(item.start)
            self._weight_of_subject(item)
        elif slot == "quantity" and of == "bale weight" and (measures == "mass" or item.unit_mass):
            used.add(item.start)
            si = item.unit_mass or item.si
            if si[0] <= 0.5 or si[1] > 1500:
                self.out.queried.append("weight of one bale")
            else:
                self.quantity(of, item, si, "kg")
        elif measures == "temperature":
            used.add(item.start)
            self._temperature(item, of, slot)
        elif measures == "degrees":
            used.add(item.start)
            self._degrees(place, item, of)
        elif measures == "fraction":
            used.add(item.start)
            if not 0 <= low <= high <= 1:
                self.out.queried.append("share of water" if slot == "moisture" else "percentage")
                return
            dry = slot == "moisture" and self.near(place, "dry_words", 2, 4)
            si = (1 - high, 1 - low) if dry else (low, high)
            self.quantity(
                of or ("moisture" if self.near(place, "moisture_words") else "share"), item, si, "fraction"
            )
        elif measures == "length":
            self._length(place, item, of)
        elif measures == "area":
            used.add(item.start)
            if (
                (self.lexicon.unit(item.unit).land and not self._acre_of_shed(place))
                or slot == "quantity"
                or (slot == "" and not self.asking and self._land_is_meant(place))
                or (slot not in ("area",) and low > 20000)
            ):
                if low <= 0:
                    self.out.queried.append("area of land")
                else:
                    self.quantity("field area", item, item.si, "m**2")
            elif self.asking and self.scan.tokens and not self._own_floor(place):
                self.quantity("result asked about", item, item.si, "m**2")
            else:
                times = 1.0 if self.asking else self._how_many_pens(place) * self._heads(place)
                if "floor area of the whole pen" not in self.out.clarify:
                    self._area(low * times, high * times, item, item.spoken)
        elif (
            measures in ("hours", "clock")
            and slot != "hours"
            and (not self.asking or "if" in self.scan.words())
        ):
            if (
                slot not in ("rate", "moisture", "temperature") and self.near(place, "inside_words", 6, 6)
            ) or self.asking:
                used.add(item.start)
                if not self.asking and self._out_is_meant([t.text for t in self.scan.tokens], item.start):
                    low, high = 24 - high, 24 - low
                self.hours_value(low, high, item.spoken)
        elif measures == "ppm":
            used.add(item.start)
            self.quantity("gas in the air", item, item.si, "fraction")
        elif measures in ("mass", "volume", "pack") and not self.asking:
            self._mass(place, item, measures)
        elif measures in ("mass", "volume") and self.asking:
            used.add(item.start)
            rate = self.finder._rate_after(place)
            of_it = [i.text for i in self.items[place + 1 : place + 2]] == ["of"]
            named = [m for m in self.facts.get("materials", []) if set(m) == {"name"}]
            owner = self.items[place + 2].name if of_it and len(self.items) > place + 2 else ""
            if owner and any(m["name"] == owner for m in named) and not rate:
                self.finder._amount(next(m for m in named if m["name"] == owner), place, place)
            elif rate and measures == "mass" and not rate[1]:
                self.facts.update(span_value("rate_kg_per_day", low * rate[0], high * rate[0]))
            else:
                self.quantity("result asked about", item, item.si, "kg" if measures == "mass" else "m**3")

    def _mass(self, place: int, item: Item, measures: str) -> None:
        slot, low, _high = self.slot, *item.si
        led = self.items[place - 1] if place else None
        if (
            measures == "pack"
            and low == 1
            and led is not None
            and led.kind == "amount"
            and led.end == item.start
        ):
            self.out.used.add(item.start)  # '14 kg a bale'
            return
        rate = self.finder._rate_after(place)
        adding = self._adding()
        if rate is None and not slot and measures in ("mass", "pack") and adding:
            rate = self.finder._rate_before(place)
        if rate is not None and slot != "rate" and self._comes_in(adding, item.unit):
            return
        eaten = self.lexicon.lists["eating_words"] if adding else self.lexicon.lists["eaten"]
        if rate is not None and measures in ("pack", "mass") and slot != "rate" and self.scan.words() & eaten:
            self.out.used.add(item.start)  # what they eat is not what goes on the bed
            return
        if slot == "rate" or (rate and measures == "pack") or (rate is not None and measures == "mass"):
            self._rate(place, item, rate, measures)
            return
        if self._mass_of_pack(place, item, measures):
            return
        if (
            measures in ("pack", "volume", "mass")
            and slot in ("", "materials")
            and item.number is not None
            and len(self.facts.get("materials", [])) == 1
        ):
            lone = self.facts["materials"][0]
            if measures == "mass" and "amount" not in lone and self._each_weighs(place, item, lone):
                return
            if (
                "amount" not in lone
                and "amount_range" not in lone
                and not (
                    measures == "mass"
                    and self.facts.get("animals")
                    and any(self._could_weigh(a["class"], low) for a in self.facts["animals"])
                )
            ):
                self.finder._amount(lone, place, place)
                return
        if slot == "amount" and item.number is not None:
            self.out.used.add(item.start)
            entry: dict[str, Any] = {"name": self.scan.subject}
            self.finder._use(item)
            found = next(
                (e for e in self.facts.get("materials", []) if "amount" not in e and "amount_range" not in e),
                None,
            )
            if found is None and not self.facts.get("materials"):
                found = entry
                self.facts.setdefault("materials", []).append(entry)
            if found is not None:
                self.out.used.discard(item.start)
                self.finder._amount(found, place, place)
                self.finder._shares(found, place)
                if found is entry and set(entry) == {"name"}:
                    self.facts["materials"].remove(entry)
            return
        if measures == "pack" and not self.facts.get("materials"):
            self.out.loose.append(item)
        if item.kind == "pack" and self.facts.get("materials"):
            target = self.facts["materials"][-1]
            self.out.used.add(item.start)
            if item.unit_mass and "unit_mass_kg" not in target:
                target.setdefault("unit", item.unit)
                target["unit_mass_as"] = item.spoken
                target.update(span_value("unit_mass_kg", *item.unit_mass))
                if "amount" in target:
                    target.update(
                        span_value(
                            "mass_kg",
                            target["amount"] * item.unit_mass[0],
                            target["amount"] * item.unit_mass[1],
                        )
                    )
            return
        if measures == "pack" and slot in ("", "materials", "animals") and not rate:
            before = self.items[place - 1].text if place else ""
            if item.number is not None and item.number.low >= 2 and before not in ("option",):
                self.out.used.add(item.start)
                if slot == "materials":
                    self.out.clarify.append(f"what the {item.spoken} are of")
            return
        if (
            measures == "mass"
            and slot in ("", "animals", "count")
            and len(self.facts.get("animals", [])) == 1
        ):
            animal = self.facts["animals"][0]
            if (
                "weight_kg" not in animal
                and "weight_kg_range" not in animal
                and self._could_weigh(animal["class"], low)
            ):
                self.out.used.add(item.start)
                self.finder._set_weight(animal, item)
                return
        if measures in ("mass", "volume") and slot in ("", "materials"):
            self.out.used.add(item.start)
            if slot == "materials":
                self.out.clarify.append(f"what the {item.spoken} are of")
            else:
                self.quantity("amount", item, item.si, "kg" if measures == "mass" else "m**3")

    def _heads(self, place: int) -> float:
        """'9 m2 each', 'each cow gets 9 m2': the number of animals that have as much."""
        counts = [a["count"] for a in self.facts.get("animals", []) if "count" in a]
        after = [i.text for i in self.items[place + 1 : place + 3]]
        before = [i.text for i in self.items[max(0, place - 4) : place]]
        of_each = after[:1] in (["each"], ["apiece"]) or after in (
            ["per", "head"],
            ["a", "head"],
            ["per", "animal"],
        )
        ahead = self.items[place + 2 : place + 3]
        of_each = of_each or (
            after[:1] in (["per"], ["a"], ["/"]) and bool(ahead) and ahead[0].kind == "animal"
        )
        led = (
            any(t in ("each", "every", "per") for t in before)
            and "," not in before  # '40 pigs of 100 kg each, on 60 m2'
            and not set(before) & self.lexicon.lists["pens"]
        )
        if of_each and not counts:
            self.out.clarify.append("floor area of the whole pen")
        return float(sum(counts)) if counts and (of_each or led) else 1.0

    def _acre_of_shed(self, place: int) -> bool:
        """'a quarter acre hoop shelter': a floor told by the acre."""
        after = [i.text for i in self.items[place + 1 : place + 4]]
        stop = next((n for n, text in enumerate(after) if text in (",", ".", "and", "of", "for")), len(after))
        return self.slot in ("", "area", "animals") and bool(
            set(after[:stop]) & self.lexicon.lists["rooms"] - {"space", "area", "floor"}
        )

    def _land_is_meant(self, place: int) -> bool:
        """'the compost is for the veg beds, 1200 square yards': ground that is fed, no floor."""
        if not self.near(place, "land_words", 9, 6):
            return False
        return not self.near(place, "rooms", 3, 3)

    def _comes_in(self, adding: bool, unit: str = "") -> bool:
        """'i buy 10 bales a week': neither on hand nor put on the bed, so what is on hand is asked for."""
        words = self.scan.words()
        line = " ".join(t.text for t in self.scan.tokens)
        brought = words & self.lexicon.lists["bringing_words"] or any(
            phrase in f" {line} " for phrase in self.lexicon.phrases("brought_in")
        )
        brought = brought or ("load" in unit and bool(words & {"get", "getting", "take"}))
        if not brought or (adding and not words & {"buy", "buying", "delivered"}):
            return False
        for _, item in self.free("amount", "pack", "number"):
            self.out.used.add(item.start)
        if "how much is on hand now" not in self.out.clarify:
            self.out.clarify.append("how much is on hand now")
        return True

    def _adding(self) -> bool:
        """Whether the message tells of bedding being put on."""
        return bool(self.scan.words() & self.lexicon.lists["adding_words"])

    def _mass_of_pack(self, place: int, item: Item, measures: str) -> bool:
        """'15 kilo a bag', said after the bags: the weight of one."""
        after = [i.text for i in self.items[place + 1 : place + 4]]
        each = any(
            i.kind == "amount"
            and self.measure(i) == "pack"
            and i.number is not None
            and i.number.worded
            and i.start == item.end
            for i in self.items[place + 1 : place + 2]
        )
        each = (
            each
            or after[:1] in (["each"], ["apiece"], ["ea"])
            or after[:2]
            in (
                ["per", "bale"],
                ["/", "bale"],
                ["a", "piece"],
                ["per", "bag"],
                ["/", "bag"],
                ["the", "bale"],
                ["per", "round"],
                ["a", "round"],
                ["on", "each"],
                ["per", "pallet"],
                ["a", "pallet"],
                ["/", "pallet"],
                ["the", "pallet"],
            )
        )
        if measures == "pack" and each and item.unit_mass and item.number is not None:
            one = tuple(end * mass for end, mass in zip(item.si, item.unit_mass, strict=True))
            spoken = f"{item.number.low:g} x {item.each or item.spoken}"  # '65 bags of 15 kg on each' pallet
            item, measures = replace(item, si=(one[0], one[1]), spoken=spoken), "mass"
        if measures != "mass" or not each:
            return False
        for entry in reversed(self.facts.get("materials", [])):
            if (
                "unit_mass_kg" not in entry
                and self.lexicon.tables.units.get(str(entry.get("unit")))
                and self.lexicon.unit(str(entry["unit"])).measures in ("pack", "mass")
            ):
                self.out.used.add(item.start)
                for other in self.items[place + 1 : place + 2]:
                    self.out.used.add(other.start)
                entry.update(span_value("unit_mass_kg", *item.si))
                entry["unit_mass_as"] = item.spoken
                if "amount" in entry and self.lexicon.unit(str(entry["unit"])).measures == "pack":
                    entry.update(
                        span_value("mass_kg", entry["amount"] * item.si[0], entry["amount"] * item.si[1])
                    )
                return True
        return False

    def _could_weigh(self, name: str, kg: float) -> bool:
        species = self.lexicon.species.get(name, "")
        least, most = self.lexicon.tables.plausible.never_kg.get(species, (1.0, 1500.0))
        return least <= kg <= most

    def _weight_of_subject(self, item: Item) -> None:
        name = self.scan.subject
        animals = self.facts.setdefault("animals", [])
        target = next((a for a in animals if "weight_kg" not in a and "weight_kg_range" not in a), None)
        if target is None:
            if animals:
                return
            target = {"class": name}
            animals.append(target)
        self.finder._set_weight(target, item)
        if len(target) == 1 and "weight_kg" not in target:
            animals.remove(target)
        if not animals:
            del self.facts["animals"]

    def _temperature(self, item: Item, of: str, slot: str) -> None:
        low, high = item.si
        if (
            low < -90
            or high > 250
            or (slot == "temperature" and of.startswith("winter") and (high > 45 or low < -60))
            or (slot == "temperature" and of.startswith("temperature inside") and (high > 120 or low < -30))
        ):
            self.out.queried.append(of or "temperature")
            return
        outside = self._is_outside(item)
        self.quantity(
            of or ("winter outside temperature" if outside else "pack temperature"), item, item.si, "degC"
        )

    def _is_outside(self, item: Item) -> bool:
        """Whether the words about a temperature, up to the next comma, say that it is of the air outside."""
        tokens = self.scan.tokens
        start, end = item.start, item.end
        while start > 0 and tokens[start - 1].kind not in ("end", "sign") and tokens[start - 1].text != "and":
            start -= 1
        while end < len(tokens) and tokens[end].kind not in ("end", "sign") and tokens[end].text != "and":
            end += 1
        words = {t.text for t in tokens[start:end]}
        lists = self.lexicon.lists
        return bool(words & lists["outside_air"]) and not words & lists["pack_words"]

    def _degrees(self, place: int, item: Item, of: str) -> None:
        number = item.number
        assert number is not None
        self._bare(
            item, number.low, number.high, of, {"degC": (-40, 78), "degF": (95, 180)} if not of else None
        )
