"""What is left after names have taken their numbers: the answer to the question asked, and loose facts."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

from advisor.language.dates import DateRead, days_between
from advisor.language.facts import Found, _Finder, span_value
from advisor.language.lexicon import Lexicon
from advisor.language.scan import Item, Scan

__all__ = ["fill_rest"]


class _Rest:
    def __init__(self, scan: Scan, lexicon: Lexicon, finder: _Finder) -> None:
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

    # -- dates and periods

    def dates(self) -> None:
        found = [(p, i) for p, i in self.free("date") if i.date is not None]
        texts = [t.text for t in self.scan.tokens]
        bad = [i for _, i in found if i.date and (i.date.ambiguous or i.date.impossible)]
        for item in bad:
            assert item.date is not None
            if item.date.impossible:
                self.out.queried.append(f"date '{item.text}'")
            elif self.slot in ("start", "end", "period") or len(found) > 1:
                self.out.clarify.append(f"which of day and month in '{item.text}'")
        good = [(p, i) for p, i in found if i not in bad]
        for place, item in good:
            assert item.date is not None
            if item.date.only_day:
                continue
            key = self._date_key(place, item, [i for _, i in good], texts)
            if key is None:
                continue
            shifted = self._shift(item, texts)
            date = shifted or item.date
            if key in self.facts and key == "start" and "end" not in self.facts:
                key = "end"
            if key in self.facts:
                continue
            self.facts[key] = date.day
            if date.first != date.last:
                self.facts[f"{key}_window"] = [date.first, date.last]
            self.out.used.add(item.start)
        if "start" in self.facts and "end" in self.facts:
            self.facts["days"] = days_between(self.facts["start"], self.facts["end"])
            self.facts["days_as"] = "from dates"

    def _shift(self, item: Item, texts: list[str]) -> DateRead | None:
        """'two weeks before Christmas'."""
        import datetime as dt

        at = item.start - 1
        while at >= 0 and texts[at] in ("the", "st"):
            at -= 1
        if at < 1 or texts[at] not in ("before", "after") or item.date is None:
            return None
        amount = next(
            (
                i
                for i in self.items
                if i.end in (at, at - 0) and i.kind == "amount" and self.measure(i) == "time"
            ),
            None,
        )
        if amount is None or amount.start in self.out.used:
            return None
        self.out.used.add(amount.start)
        days = int(amount.si[0]) * (1 if texts[at] == "after" else -1)

        def moved(text: str) -> str:
            month, day = map(int, text.split("-"))
            return (
                dt.date(2025, month, min(day, 28) if month == 2 else day) + dt.timedelta(days=days)
            ).strftime("%m-%d")

        return DateRead(moved(item.date.first), moved(item.date.last), item.end)

    def _date_key(self, place: int, item: Item, all_dates: list[Item], texts: list[str]) -> str | None:
        if self.slot not in ("", "start", "end", "period", "animals", "materials", "days"):
            return None
        if texts[max(0, item.start - 1) : item.start] == ["last"]:
            return None
        if self.slot in ("start", "end") and len(all_dates) == 1:
            near = set(texts[max(0, item.start - 3) : item.start])
            other = "date_out" if self.slot == "start" else "date_in"
            if not (
                near & {"out", "in"}
                and near & self.lexicon.lists[other]
                and not near & self.lexicon.lists["date_in" if self.slot == "start" else "date_out"]
            ):
                return self.slot
        lists = self.lexicon.lists
        if len(all_dates) >= 2:
            first = all_dates.index(item) == 0
            before = texts[max(0, item.start - 4) : item.start]
            for word in reversed(before):
                if word in ("out", "turnout", "leave", "turnedout", "until", "till", "til"):
                    return "end"
                if word in ("in", "housed", "from", "since", "come"):
                    return "start" if first or word != "from" else "end"
            return "start" if first else "end"
        before = texts[max(0, item.start - 5) : item.start]
        for word in reversed(before):
            if word in ("in", "on", "the", "about", "around", "of", "by") and word != "in":
                continue
            if word in lists["date_out"]:
                return "end"
            if word in lists["date_in"]:
                return "start"
        after = texts[item.end : item.end + 3]
        if set(after) & {"on", "onwards", "onward", "in"}:
            return "start"
        if self.asking or self.slot not in ("", "period", "animals", "materials"):
            return (
                "start"
                if self.asking and "duration" in self.facts
                else ("start" if self.slot == "period" else None)
            )
        return "start"

    def periods(self) -> None:
        for place, item in self.free("amount"):
            if self.measure(item) != "time" and not (
                item.unit == "year" and self.slot in ("days", "period") and "old" not in item.text
            ):
                continue
            before = self.items[place - 1].text if place else ""
            after = [i.text for i in self.items[place + 1 : place + 4]]
            if self.slot == "hours" or after[:1] in (["old"], ["ago"], ["later"]) or "ago" in after[:2]:
                continue
            if self.slot in ("days", "period"):
                if "days" in self.facts and self.facts.get("days_as") == "from dates":
                    continue
                self._days(item)
            elif not self.slot or self.slot in ("animals", "materials", "start", "end"):
                one_of = item.text.split()[0] in ("a", "an", "one")
                if (
                    (self.asking and one_of and before != "for")
                    or {"every", "each", "per"} & {before}
                    or after[:1] == ["time"]
                ):
                    continue
                wanted = (
                    (
                        (
                            self.facts.get("animals")
                            or self.facts.get("materials")
                            or self.facts.get("area_m2")
                        )
                        and not one_of
                    )
                    or before
                    in (
                        "for",
                        "about",
                        "housed",
                        "in",
                        "of",
                        "next",
                        "around",
                        "over",
                        "is",
                        "inside",
                        "indoors",
                    )
                    or after[:1] in (["housed"], ["inside"], ["indoors"], ["in"], ["of"], ["on"], ["housing"])
                )
                if (wanted or "start" in self.facts or "end" in self.facts) and "days" not in self.facts:
                    self._days(item)

    def _days(self, item: Item) -> None:
        low, high = item.si
        self.out.used.add(item.start)
        if high > 366 or low <= 0:
            self.out.queried.append("number of days housed")
            return
        for key in ("days", "days_range"):
            self.facts.pop(key, None)
        self.facts.update(span_value("days", round(low, 1), round(high, 1)))
        self.facts["days_as"] = item.spoken

    # -- dimensions

    def two_lengths(self) -> None:
        """'width is six metres, length is eleven', '8 m square'."""
        if self.slot not in ("area", ""):
            return
        lengths = [i for _, i in self.free("amount") if self.measure(i) == "length"]
        words = self.scan.words()
        if "area_m2" in self.facts or "area_m2_range" in self.facts:
            return
        if len(lengths) == 2 and (
            self.slot == "area" or (words & {"wide", "width"} and words & {"long", "length"})
        ):
            pair = lengths
        elif len(lengths) == 1 and "square" in words and self.slot == "area":
            pair = lengths * 2
        elif len(lengths) == 1 and self.slot == "area":
            bare = [i for _, i in self.free("number") if i.number is not None and i.number.low > 0]
            if len(bare) != 1 or bare[0].number is None:
                return
            factor = self.lexicon.unit(lengths[0].unit).factor
            pair = [
                lengths[0],
                replace(
                    bare[0],
                    unit=lengths[0].unit,
                    si=(bare[0].number.low * factor, bare[0].number.high * factor),
                ),
            ]
        else:
            return
        self.out.used.update(i.start for i in pair)
        area = pair[0].si[0] * pair[1].si[0]
        spoken = " x ".join(f"{i.number.low:g} {i.unit}" for i in pair if i.number is not None)
        self._area(area, area, pair[0], spoken)

    def sides(self) -> None:
        for place, item in self.free("sides"):
            if self.slot not in (
                "",
                "area",
                "animals",
                "materials",
                "period",
                "roof",
                "floor",
                "choice",
                "count",
                "quantity",
                "yes_no",
            ):
                continue
            self.out.used.add(item.start)
            if not item.unit:
                if self.scan.us:
                    area = item.si[0] * 0.09290304
                    self.facts.update(span_value("area_m2", area, area))
                    continue
                self.out.clarify.append("unit of the length and width")
                continue
            times = self._how_many_pens(place)
            area = item.si[0] * times
            self._area(area, area, item, item.spoken if times == 1 else f"{times:g} x {item.spoken}")

    def _how_many_pens(self, place: int) -> float:
        before = [i for i in self.items[max(0, place - 5) : place]]
        for spot, item in enumerate(before):
            if (
                item.kind == "number"
                and item.number
                and 2 <= item.number.low <= 20
                and item.start not in self.out.used
            ):
                following = {i.text for i in before[spot + 1 :]}
                if following & {
                    "pens",
                    "bays",
                    "sheds",
                    "barns",
                    "yards",
                    "boxes",
                    "stalls",
                    "stables",
                    "halls",
                    "rooms",
                    "polytunnels",
                }:
                    self.out.used.add(item.start)
                    return item.number.low
        return 1.0

    def _area(self, low: float, high: float, item: Item, spoken: str) -> None:
        if low <= 0 or high > 200_000:
            self.out.queried.append("floor area")
            return
        if "area_m2" in self.facts and not self.slot == "area":
            low, high = low + self.facts["area_m2"], high + self.facts["area_m2"]
            spoken = f"{self.facts.get('area_as', '')} + {spoken}"
        self.facts.update(span_value("area_m2", low, high))
        self.facts["area_as"] = spoken

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
                self.lexicon.unit(item.unit).land
                or slot == "quantity"
                or (slot not in ("area",) and low > 20000)
            ):
                if low <= 0:
                    self.out.queried.append("area of land")
                else:
                    self.quantity("field area" if slot == "quantity" else "farm area", item, item.si, "m**2")
            elif self.asking and self.scan.tokens and not self._own_floor(place):
                self.quantity("result asked about", item, item.si, "m**2")
            else:
                self._area(low, high, item, item.spoken)
        elif (
            measures in ("hours", "clock")
            and slot != "hours"
            and (not self.asking or "if" in self.scan.words())
        ):
            if (slot == "" and self.near(place, "inside_words", 6, 6)) or self.asking:
                used.add(item.start)
                self.hours_value(low, high, item.spoken)
        elif measures == "ppm":
            used.add(item.start)
            self.quantity("gas in the air", item, item.si, "fraction")
        elif measures in ("mass", "volume", "pack") and not self.asking:
            self._mass(place, item, measures)
        elif measures in ("mass", "volume") and self.asking:
            used.add(item.start)
            rate = self.finder._rate_after(place)
            if rate and measures == "mass" and not rate[1]:
                self.facts.update(span_value("rate_kg_per_day", low * rate[0], high * rate[0]))
            else:
                self.quantity("result asked about", item, item.si, "kg" if measures == "mass" else "m**3")

    def _own_floor(self, place: int) -> bool:
        words = {i.text for i in self.items[max(0, place - 4) : place]}
        return not words & {"the", "that", "this", "your"} or bool(
            words & {"my", "have", "on", "in", "our", "a"}
        )

    def _mass(self, place: int, item: Item, measures: str) -> None:
        slot, low, high = self.slot, *item.si
        rate = self.finder._rate_after(place)
        if slot == "rate" or (rate is not None and measures == "mass"):
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
            if (
                "amount" not in lone
                and "amount_range" not in lone
                and not (measures == "mass" and self.facts.get("animals"))
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
            )
        )
        if measures != "mass" or not each:
            return False
        for entry in reversed(self.facts.get("materials", [])):
            if (
                "unit_mass_kg" not in entry
                and self.lexicon.tables.units.get(str(entry.get("unit")))
                and self.lexicon.unit(str(entry["unit"])).measures == "pack"
            ):
                self.out.used.add(item.start)
                for other in self.items[place + 1 : place + 2]:
                    self.out.used.add(other.start)
                entry.update(span_value("unit_mass_kg", *item.si))
                entry["unit_mass_as"] = item.spoken
                if "amount" in entry:
                    entry.update(
                        span_value("mass_kg", entry["amount"] * item.si[0], entry["amount"] * item.si[1])
                    )
                return True
        return False

    def _could_weigh(self, name: str, kg: float) -> bool:
        species = self.lexicon.species.get(name, "")
        least, most = {
            "cattle": (30, 1500),
            "sheep": (3, 200),
            "goats": (2, 150),
            "pigs": (1, 450),
            "horses": (40, 1200),
            "poultry": (0.05, 25),
        }.get(species, (1, 1500))
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
        self.quantity(of or "pack temperature", item, item.si, "degC")

    def _degrees(self, place: int, item: Item, of: str) -> None:
        number = item.number
        assert number is not None
        self._bare(
            item, number.low, number.high, of, {"degC": (-40, 78), "degF": (95, 180)} if not of else None
        )

    def _length(self, place: int, item: Item, of: str) -> None:
        slot, low, high = self.slot, *item.si
        near_depth = self.near(place, "depth_words")
        self.out.used.add(item.start)
        if (
            slot == "depth"
            or (slot != "area" and near_depth and not self.asking)
            or (self.asking and near_depth and not slot and "headroom" not in self.scan.words())
        ):
            most = self.scan.asked.most_m if slot == "depth" and self.scan.asked else 4.0
            if low < 0 or high > most or (low == high == 0 and of == "pack"):
                self.out.queried.append(f"depth of the {of or 'pack'}")
                return
            if "depth_cm" in self.facts:
                return
            self.facts.update(span_value("depth_cm", low * 100, high * 100))
            self.facts["depth_as"] = item.spoken
            self.facts["depth_of"] = of or ("base layer" if self.near(place, "base_words", 6, 6) else "pack")
        elif slot == "area":
            self.out.clarify.append("the other side of the pen")
        elif (
            slot == ""
            and not self.asking
            and item.unit in ("cm", "inch")
            and "depth_cm" not in self.facts
            and self.scan.words() & {"bed", "pack", "bedding", "litter", "base", "dug"}
        ):
            self.facts.update(span_value("depth_cm", low * 100, high * 100))
            self.facts["depth_as"] = item.spoken
            self.facts["depth_of"] = "base layer" if self.near(place, "base_words", 6, 6) else "pack"
        elif (
            slot == "" and not self.asking and "area_m2" not in self.facts and self.measure(item) == "length"
        ):
            self.quantity("length", item, item.si, "m")

    # -- rates and hours

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
        return None

    def _rate_before(self, place: int) -> tuple[float, bool, int] | None:
        """'daily 40 kg', 'every second day two bales', 'once a week 3 rounds'."""
        end = self.items[place].start
        texts = [t.text for t in self.scan.tokens[:end]]
        line = " ".join(texts[-8:])
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

    def hours_value(self, low: float, high: float, spoken: str) -> None:
        if low < 0 or high > 24:
            self.out.queried.append("hours a day")
            return
        self.facts.update(span_value("hours_per_day", low, high))
        self.facts["hours_as"] = spoken

    def hours(self) -> None:
        """'10 hours', '24/7', 'from 4 pm to 8 am', 'out 6 hours', 'all night'."""
        texts = [t.text for t in self.scan.tokens]
        line = " ".join(texts)
        free = self.free("amount", "number")
        out_said = self._out_is_meant(texts)
        for _, item in free:
            self.out.used.add(item.start)
        if span := _clock_span(line):
            low = 24 - span if out_said else span
            self.hours_value(low, low, line)
            return
        if re.search(
            r"24 / 7|24 - 7|24x7|round the clock|around the clock|all day and (all )?night|day and night|all the time|always (in|inside|indoors|housed)|never (go|goes|get|gets|let|leave) out|full ?time|the whole day|in all day|whole time|permanently|constantly|never out|all of (the time|it)|every hour|\bfulltime\b|stay in all|non stop|nonstop|day in day out",
            line,
        ):
            self.hours_value(24, 24, "all day and night")
            return
        for _, item in free:
            if item.kind == "amount" and self.measure(item) not in ("hours", "clock", "fraction", "time"):
                continue
            if self.measure(item) == "fraction" or self.measure(item) == "clock":
                low, high = item.si[0] * 24, item.si[1] * 24
            else:
                low, high = item.si
            if item.kind == "amount" and self.measure(item) == "time":
                continue
            if out_said:
                low, high = 24 - high, 24 - low
            if "hours_per_day" in self.facts or "hours_per_day_range" in self.facts:
                break
            if "but" in texts or "bar" in texts or "except" in texts:
                low, high = (
                    (24 - high, 24 - low)
                    if {"all", "except", "bar", "but"} & set(texts)
                    and ("all" in texts or "always" in texts)
                    and not out_said
                    else (low, high)
                )
            self.hours_value(low, high, item.spoken)
        if (
            re.search(r"half (the|a) day|half (of )?(the )?(day|time)|half and half|half days", line)
            and "hours_per_day" not in self.facts
            and "hours_per_day_range" not in self.facts
        ):
            self.hours_value(12, 12, "half the day")

    def open_hours(self) -> None:
        """Times of day said without being asked: 'in from 5 pm to 8 am'."""
        words = self.scan.words()
        if not words & {"am", "pm", "morning", "evening", "night"} or not words & {
            "in",
            "out",
            "inside",
            "indoors",
            "outside",
        }:
            return
        line = " ".join(t.text for t in self.scan.tokens)
        span = _clock_span(line)
        if span:
            self.hours_value(
                24 - span if self._out_is_meant([t.text for t in self.scan.tokens]) else span,
                24 - span if self._out_is_meant([t.text for t in self.scan.tokens]) else span,
                line,
            )
            for _, item in self.free("number"):
                self.out.used.add(item.start)

    # -- bare numbers

    def _out_is_meant(self, texts: list[str]) -> bool:
        """Whether the hours named are spent outside: the nearest of 'in' and 'out' to the first number says."""
        at = next((i.start for i in self.items if i.kind in ("number", "amount")), 0)
        spots = [
            (abs(p - at) + (2 if p > at else 0), t)
            for p, t in enumerate(texts)
            if t in ("out", "outside", "outdoors", "indoors", "inside", "housed", "grazing", "grass", "field")
            or (t == "in" and texts[p + 1 : p + 2] not in (["the"], ["winter"]))
        ]
        return bool(spots) and min(spots)[1] in ("out", "outside", "outdoors", "grazing", "grass", "field")

    def _bare(
        self,
        item: Item,
        low: float,
        high: float,
        of: str,
        ranges: dict[str, tuple[float, float]] | None = None,
    ) -> None:
        """A number with no unit, read by the one unit in which it is plausible; else the unit is asked."""
        from advisor.units import convert

        asked = self.scan.asked
        bounds = ranges or (asked.unit_range if asked and not self.asking else {})
        if "day" in bounds and (high > 366 or low <= 0):
            self.out.queried.append(of)
            return
        fits = [u for u, (least, most) in bounds.items() if least <= low and high <= most]
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
            si = (convert(low, unit, "degC"), convert(high, unit, "degC"))
            self.quantity(of or "pack temperature", _with_unit(item, unit), si, "degC")
        elif unit in ("cm", "m", "inch", "ft"):
            factor = self.lexicon.unit(unit).factor * 100
            self.facts.update(span_value("depth_cm", low * factor, high * factor))
            self.facts["depth_as"] = f"{item.spoken} {unit}"
            self.facts["depth_of"] = of
        elif unit in ("kg", "lb"):
            factor = self.lexicon.unit(unit).factor
            self.quantity(of, _with_unit(item, unit), (low * factor, high * factor), "kg")
        elif unit == "day":
            self.facts.update(span_value("days", low, high))
            self.facts["days_as"] = f"{item.spoken} day"

    def numbers(self) -> None:
        if self.asking:
            return
        asked = self.scan.asked
        of = asked.of if asked else ""
        for place, item in self.free("number"):
            number = item.number
            if number is None:
                continue
            slot = self.slot
            before = self.items[place - 1].text if place else ""
            if slot == "count" and not (before == "not"):
                self._count(item)
            elif slot == "weight":
                self._bare_weight(item)
            elif (
                slot in ("depth", "temperature")
                or (slot == "quantity" and of == "bale weight")
                or slot == "days"
            ):
                done = {
                    "depth": "depth_cm",
                    "temperature": "quantities",
                    "quantity": "quantities",
                    "days": "days",
                }[slot]
                if (
                    done in self.facts
                    or f"{done}_range" in self.facts
                    or self.out.clarify
                    or self.out.queried
                ):
                    continue
                self.out.used.add(item.start)
                self._bare(
                    item, number.low, number.high, of or ("number of days housed" if slot == "days" else "")
                )
            elif (
                slot == ""
                and number.low < 0
                and any(q.get("si_unit") == "degC" for q in self.facts.get("quantities", []))
            ):
                unit = next(str(q["unit"]) for q in self.facts["quantities"] if q.get("si_unit") == "degC")
                if unit in ("degC", "degF"):
                    from advisor.units import convert

                    self.out.used.add(item.start)
                    self.quantity(
                        "winter outside temperature",
                        _with_unit(item, unit),
                        (convert(number.low, unit, "degC"), convert(number.high, unit, "degC")),
                        "degC",
                    )
            elif slot == "moisture":
                if "quantities" in self.facts or self.out.queried:
                    continue
                self.out.used.add(item.start)
                self._bare_share(item, of)
            elif slot == "area":
                if "area_m2" not in self.facts and "area_m2_range" not in self.facts:
                    self.out.used.add(item.start)
                    if number.low <= 0:
                        self.out.queried.append("floor area")
                    else:
                        self.out.clarify.append("unit of the floor area")
            elif slot == "rate" and self.finder._rate_after(place) and not self._answered("rate"):
                per_day, head, end = self.finder._rate_after(place) or (1.0, False, 0)
                self.out.used.update(i.start for i in self.items if item.start <= i.start < end)
                self.quantity("bedding rate", item, (number.low * per_day, number.high * per_day), "bale/day")
            elif (
                slot == ""
                and {"days", "day"} & {i.text for i in self.items[max(0, place - 3) : place]}
                and number.low > 6
                and "days" not in self.facts
            ):
                self._days(item)
            elif slot in ("amount", "rate") or (slot == "quantity" and of == "field area"):
                if slot == "amount" and number.low == 0:
                    self._none_left()
                    self.out.used.add(item.start)
                elif not self._answered(slot):
                    self.out.used.add(item.start)
                    self.out.clarify.append(
                        {"amount": f"unit of {self.scan.subject}", "rate": "unit of the bedding rate"}.get(
                            slot, "unit of the area of land"
                        )
                    )
            elif slot == "animals" and before not in ("option",) and not self.facts.get("animals"):
                self.out.used.add(item.start)
                self.out.clarify.append("which animals")
            elif slot == "period" and not self._answered(slot):
                self.out.used.add(item.start)
                self.out.clarify.append("days, weeks or months")
            elif slot in ("start", "end") and slot not in self.facts:
                self.out.used.add(item.start)
                self.out.clarify.append("which month")

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
        bounds = _weights(name, self.lexicon.species.get(name, ""))
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
        self.quantity(of, _with_unit(item, "percent"), (low, high), "fraction")


def _with_unit(item: Item, unit: str) -> Item:
    return replace(item, unit=unit, spoken=f"{item.spoken} {unit}")


def _weights(name: str, species: str) -> tuple[float, float]:
    """Bounds in kg between which a class weighs, for reading a bare number."""
    table = {
        "beef cow": (400, 1000), "dairy cow": (380, 900), "cow": (380, 1000), "dry cow": (400, 1000), "heifer": (200, 700), "steer": (180, 850),
        "growing cattle": (150, 600), "finishing cattle": (350, 900), "bull": (500, 1400), "calf": (35, 300), "weaned calf": (120, 400),
        "ewe": (40, 110), "ram": (55, 160), "lamb": (4, 60), "hogget": (30, 75), "sheep": (40, 120), "wether": (35, 110),
        "goat": (30, 100), "goat doe": (35, 95), "dairy goat": (40, 95), "buck": (45, 140), "kid": (3, 40), "sow": (130, 320),
        "weaner": (6, 40), "finishing pig": (40, 140), "pig": (30, 300), "boar": (150, 400), "horse": (350, 900), "pony": (130, 400),
        "donkey": (110, 300), "laying hen": (1.3, 3.2), "broiler": (1.2, 4), "turkey": (5, 22), "alpaca": (45, 95), "llama": (100, 220),
    }  # fmt: skip
    by_species = {
        "cattle": (150.0, 1000.0),
        "sheep": (30.0, 130.0),
        "goats": (25.0, 110.0),
        "pigs": (20.0, 350.0),
        "horses": (150.0, 900.0),
        "poultry": (0.5, 20.0),
    }
    low, high = table.get(name, by_species.get(species, (0.5, 1400.0)))
    return float(low), float(high)


def _clock_span(line: str) -> float | None:
    """Hours from one time of day to another: '5 pm to 8 am', '4 in the evening till 7 next morning'."""
    line = re.sub(r"at the (morning|evening) (\d{1,2})", r"\2 in the \1", line)
    line = re.sub(r"(\d{1,2}) (morning|evening|afternoon)\b", r"\1 in the \2", line)
    line = re.sub(
        r"\band (?:come|comes|go|goes|are|get|back|then|brought|let|in|out)(?: \w+){0,3}? (?:at|by|around)\b",
        "to",
        line,
    )
    match = re.search(
        r"(\d{1,2})(?:[:.](\d\d)| : (\d\d))?\s*(am|pm|a \. m|p \. m|oclock)?\s*(?:in the (evening|morning|afternoon)|at night)?\s*(?:to|till|til|until|-|and)\s*(?:about |around )?"
        r"(\d{1,2})(?:[:.](\d\d)| : (\d\d))?\s*(am|pm|oclock)?\s*(?:(?:in )?(?:the )?(?:next |following )?(evening|morning|afternoon|day)|at night)?",
        line,
    )
    if not match:
        return None
    a, b = (
        int(match[1]) + int(match[2] or match[3] or 0) / 60,
        int(match[6]) + int(match[7] or match[8] or 0) / 60,
    )
    first, second = match[4] or match[5] or "", match[9] or match[10] or ""
    if not (first or second) or a > 24 or b > 24:
        return None
    if first in ("pm", "evening", "afternoon") and a < 12:
        a += 12
    if second in ("pm", "evening", "afternoon") and b < 12:
        b += 12
    if not first and second in ("am", "morning", "day") and a < 12 and a > 2:
        a += 12
    return (b - a) % 24 or None


def fill_rest(scan: Scan, lexicon: Lexicon, finder: _Finder) -> None:
    """Read what is left by the question asked, then by its own unit."""
    rest = _Rest(scan, lexicon, finder)
    if rest.slot == "name":
        return
    if rest.slot in ("option", "choice", "yes_no"):
        for _, item in rest.free("number"):
            rest.out.used.add(item.start)
    rest.dates()
    if rest.slot == "hours":
        rest.hours()
    elif rest.slot == "" and not rest.asking:
        rest.open_hours()
    rest.periods()
    rest.sides()
    rest.two_lengths()
    rest.amounts()
    rest.numbers()
