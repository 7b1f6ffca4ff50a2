"""Items to facts: which number belongs to which animal, material, date or dimension."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

from advisor.language.dates import days_between
from advisor.language.lexicon import Lexicon
from advisor.language.scan import Item, Scan

__all__ = ["Found", "find_facts", "span_value"]

Facts = dict[str, Any]


@dataclass
class Found:
    """Facts read, and what kept others from being recorded."""

    facts: Facts = field(default_factory=dict)
    clarify: list[str] = field(default_factory=list)
    queried: list[str] = field(default_factory=list)
    used: set[int] = field(default_factory=set)
    loose: list[Item] = field(default_factory=list)  # numbers that found no place


def _round(value: float) -> float:
    return float(f"{value:.5g}")


def span_value(key: str, low: float, high: float) -> dict[str, Any]:
    """`key` for one value, `key_range` for a range."""
    low, high = _round(low), _round(high)
    clean = [int(v) if v == int(v) and abs(v) < 1e9 else v for v in (low, high)]
    return {key: clean[0]} if low == high else {f"{key}_range": clean}


class _Finder:
    def __init__(self, scan: Scan, lexicon: Lexicon, spans: list[tuple[int, int]], asking: bool) -> None:
        self.scan, self.lexicon, self.asking = scan, lexicon, asking
        self.items = [item for item in scan.items if any(a <= item.start < b for a, b in spans)]
        self.lists = lexicon.lists
        self.slot = scan.asked.slot if scan.asked and not asking else ""
        self.out = Found()
        self.animals: list[tuple[Item, dict[str, Any]]] = []
        self.materials: list[tuple[Item, dict[str, Any]]] = []

    # -- looking about

    def _used(self, item: Item) -> bool:
        return item.start in self.out.used

    def _use(self, item: Item) -> None:
        self.out.used.add(item.start)

    def _left(self, index: int, kinds: set[str], reach: int = 6) -> int | None:
        """The nearest unused item of a kind to the left, over filler words only."""
        for place in range(index - 1, max(-1, index - 1 - reach), -1):
            item = self.items[place]
            if item.kind in kinds and not self._used(item):
                return place
            if item.kind in kinds or (
                item.kind == "sign" and item.text not in ("-", "x", "*", "'", '"', "+")
            ):
                return None
            if item.kind == "word" and not (
                item.text in self.lists["filler"] or item.text in ("x", "-") or self._unknown(item)
            ):
                return None
            if (
                item.kind in ("number", "amount", "date", "sides", "animal", "material")
                and item.kind not in kinds
            ):
                return None
        return None

    def _unknown(self, item: Item) -> bool:
        return len(item.text) > 3 and item.text not in self.lexicon.known

    def _right(
        self,
        index: int,
        kinds: set[str],
        links: frozenset[str],
        reach: int = 6,
        over: frozenset[str] = frozenset(),
    ) -> int | None:
        """The nearest unused item of a kind to the right, over link words only."""
        for place in range(index + 1, min(len(self.items), index + 1 + reach)):
            item = self.items[place]
            if item.kind in kinds and not self._used(item):
                return place
            if item.kind in over:
                continue
            if (item.text not in links and not self._unknown(item)) or item.kind not in ("word", "sign"):
                return None
        return None

    def _text_at(self, place: int) -> str:
        return self.items[place].text if 0 <= place < len(self.items) else ""

    def _denied(self, index: int) -> bool:
        """'no cattle', 'we have not peat', 'without any straw'."""
        place, reach = index - 1, 0
        while place >= 0 and reach < 5:
            item = self.items[place]
            if item.kind in ("animal", "material", "breed"):
                joint = self._text_at(place + 1)
                if joint in ("or", "nor", ",", "and") and joint != "and":
                    place -= 1
                    reach += 1
                    continue
                return False
            if item.kind in ("number", "amount", "date", "sides"):
                if item.kind == "number" and item.number is not None and item.number.high == 0 and reach == 0:
                    self._use(item)
                    return True
                break
            if item.kind == "sign" and item.text not in ("-", "'"):
                break
            if item.text in self.lists["deny"]:
                return not (item.text == "not" and self._text_at(place + 1) in ("only", "just"))
            if item.text in ("but", "its", "with", "are", "just", "only", "sure", "know", "yet"):
                return False
            place -= 1
            reach += 1
        after = " ".join(self._text_at(p) for p in range(index + 1, index + 4))
        return after.startswith(
            (
                "none",
                "nil",
                ": none",
                "- none",
                ": no",
                "we have not",
                "we do not",
                "have we not",
                "i have not",
                "i do not have",
                "zero",
                "no we",
            )
        )

    # -- animals

    def find_animals(self) -> None:
        skip = -1
        for index, item in enumerate(self.items):
            if item.kind not in ("animal", "breed") or index <= skip:
                continue
            if self.slot == "rate" and self._text_at(index - 1) in ("per", "a", "each", "every", "/"):
                continue
            entry: dict[str, Any] = {}
            weak, refused = item.weak, item.refused
            last = index
            if item.kind == "breed":
                breed = self.lexicon.tables.breeds[item.name]
                follow = self._after_breed(index)
                if follow is not None:
                    last = follow
                    base = self.items[follow]
                    name = breed.narrows.get(base.name, base.name)
                    weak, refused = False, base.refused and weak
                else:
                    name = breed.alone
                entry["breed"] = item.text
            else:
                name = item.name
                if (
                    index + 1 < len(self.items)
                    and self.items[index + 1].kind == "animal"
                    and not self.items[index + 1].weak
                    and item.end == self.items[index + 1].start
                ):
                    if item.weak or name in (
                        "cow",
                        "cattle",
                        "sheep",
                        "pig",
                        "goat",
                        "horse",
                        "growing cattle",
                    ):
                        follow_item = self.items[index + 1]
                        name = {("dairy cow", "heifer"): "dairy heifer"}.get(
                            (name, follow_item.name), follow_item.name
                        )
                        last = index + 1
            skip = last
            entry = {"class": name, **entry}
            if not self.asking and self._adjunct(last):
                continue
            if self._denied(index):
                self._add("no_animals", name)
                self._use(item)
                continue
            number: int | None = self._left(index, {"number"})
            if number is not None and not self._is_count(number):
                number = None
            if number is None and self.slot != "weight":
                number = self._count_right(last)
            if number is not None:
                self._count(entry, self.items[number])
            elif (
                self.slot == "animals"
                and {"her", "his", "the", "my", "our"}
                & {
                    self._text_at(index - 1),
                    self._text_at(index - 2) if self._text_at(index - 1) in self.lists["filler"] else "",
                }
                and item.text == self.scan.tokens[item.end - 1].stem
                and item.text not in ("sheep", "cattle", "poultry", "deer", "swine")
            ):
                entry["count"] = 1
            elif (not self.asking and self._text_at(index - 1) in ("a", "an", "one", "1")) or (
                not self.asking
                and self._text_at(index - 2) in ("a", "an")
                and self.items[index - 1].text in self.lists["filler"]
                and item.text == self.scan.tokens[item.start].stem
            ):
                if not (
                    self._text_at(index - 1) in ("a", "an") and item.text.endswith("s")
                ) and self._text_at(index - 2) not in ("per", "for", "like", "of", "is", "as"):
                    entry["count"] = 1
            elif (weak and self.slot not in ("animals", "count")) or refused:
                continue
            after = max(last, number) if number is not None else last
            self._weight(entry, index, after)
            if self.slot == "weight" and not set(entry) & {"weight_kg", "weight_kg_range"}:
                self._shared_unit(entry, last)
            self.animals.append((item, entry))

    def _adjunct(self, last: int) -> bool:
        """'calf height', 'sheep shed': the name only says what kind of thing follows."""
        item = self.items[last]
        after = self.items[last + 1] if last + 1 < len(self.items) else None
        single = item.text == self.scan.tokens[item.end - 1].stem or item.text.endswith("s") is False
        return bool(
            single and after is not None and after.start == item.end and after.text in self.groups_after
        )

    @property
    def groups_after(self) -> frozenset[str]:
        """Nouns that an animal's name may only describe."""
        return frozenset(self.lexicon.groups["rooms_after"])

    def _after_breed(self, index: int) -> int | None:
        for place in range(index + 1, min(len(self.items), index + 4)):
            item = self.items[place]
            if item.kind == "animal":
                return place
            if (
                item.kind not in ("word", "breed", "sign")
                or (item.text not in self.lists["filler"] and item.kind == "word")
                or (item.kind == "sign" and item.text != "-")
            ):
                return None
        return None

    def _is_count(self, place: int) -> bool:
        number = self.items[place].number
        if number is None:
            return False
        before = self._text_at(place - 1)
        return not (before in ("$", "€", "£", "#", "no", "number", "option", "question") and before != "no")

    def _count_right(self, index: int) -> int | None:
        joint = self._text_at(index + 1)
        if index + 1 >= len(self.items):
            return None
        if joint == "," and self._text_at(index + 3) not in (
            "of",
            "in",
            "",
            ",",
            ".",
            "head",
            "all",
            "total",
        ):
            return None
        place = self._right(index, {"number"}, self.lists["joins"] | {","}, 4)
        if place is None:
            return None
        ahead = place + 1
        while ahead < len(self.items) and (
            self.items[ahead].text in self.lists["filler"] and self.items[ahead].kind == "word"
        ):
            ahead += 1
        if (
            ahead < len(self.items)
            and self.items[ahead].kind in ("animal", "material", "breed")
            and self._text_at(place + 1) != "of"
        ):
            return None
        if (
            joint in ("is", "are", "at", "of", "in", "on")
            and ahead < len(self.items)
            and self._text_at(place + 1) in ("days", "weeks", "years", "old")
        ):
            return None
        return place if self._is_count(place) else None

    def _count(self, entry: dict[str, Any], item: Item) -> None:
        assert item.number is not None
        self._use(item)
        low, high = item.number.low, item.number.high
        if low < 0 or low != int(low) or high != int(high) or high > 200_000:
            self.out.queried.append(f"count of {entry['class']}")
            return
        entry.update(span_value("count", low, high))

    def _weight(self, entry: dict[str, Any], index: int, last: int) -> None:
        """'at 650 kg', 'each 70 kg', '650 kg cows'."""
        place = self._left(index, {"amount"}, 2)
        if place is None and self.slot == "weight":
            place = self._right(last, {"amount"}, self.lists["weight_links"] | self.lists["joins"], 5)
        left = place is not None and place < index
        if place is None:
            place = self._right(
                last, {"amount"}, self.lists["weight_links"] | {",", "x", "*", "@", "goes", "go"}, 7
            )
        if place is None or not self._is_weight(place, left):
            return
        item = self.items[place]
        before = self._left(place, {"number"}, 2) if left else None
        if before is not None and "count" not in entry and "count_range" not in entry:
            self._count(entry, self.items[before])
        self._set_weight(entry, item)

    def _shared_unit(self, entry: dict[str, Any], last: int) -> None:
        """'ewes 80, lambs 25 kg': a weight whose unit stands on the next one."""
        place = self._right(last, {"number"}, self.lists["joins"], 4)
        unit = next(
            (
                i.unit
                for i in self.items
                if i.kind == "amount" and self.lexicon.unit(i.unit).measures == "mass"
            ),
            None,
        )
        if place is None or unit is None:
            return
        item = self.items[place]
        if item.number is not None:
            factor = self.lexicon.unit(unit).factor
            spoken = f"{item.spoken} {unit}"
            self._set_weight(
                entry,
                replace(
                    item, si=(item.number.low * factor, item.number.high * factor), unit=unit, spoken=spoken
                ),
            )

    def _is_weight(self, place: int, left: bool) -> bool:
        item = self.items[place]
        if self.lexicon.unit(item.unit).measures != "mass":
            return False
        after = " ".join(self._text_at(p) for p in range(place + 1, place + 4))
        if after.startswith(
            (
                "of ",
                "a day",
                "per day",
                "/ day",
                "daily",
                "a week",
                "per week",
                "every",
                "straw",
                "per head per",
                "a head a day",
            )
        ):
            return False
        ahead = place + 1
        while ahead < len(self.items) and self._text_at(ahead) in ("of", "barley"):
            ahead += 1
        nxt = self.items[ahead] if ahead < len(self.items) else None
        if not left and nxt is not None and nxt.kind == "material":
            return False
        return not (item.unit in ("ton", "tonne") and item.si[0] >= 2000)

    def _set_weight(self, entry: dict[str, Any], item: Item) -> None:
        self._use(item)
        low, high = item.si
        if low <= 0 or high > 2000:
            self.out.queried.append(f"weight of {entry['class']}")
            return
        light = self.lexicon.species.get(entry["class"], "") in ("sheep", "goats")
        if (
            (light and high > 260)
            or (self.lexicon.species.get(entry["class"]) == "poultry" and high > 40)
            or (entry["class"] in ("beef cow", "dairy cow", "cow", "bull") and high < 90)
        ):
            self.out.queried.append(f"weight of {entry['class']}")
            return
        entry.update(span_value("weight_kg", low, high))
        entry["weight_as"] = item.spoken

    # -- materials

    def find_materials(self) -> None:
        for index, item in enumerate(self.items):
            if item.kind != "material":
                continue
            if self._denied(index):
                if not item.weak or self.slot in ("materials", "amount"):
                    self._add("no_materials", item.name)
                self._use(item)
                continue
            if self._text_at(index - 1) == "like" or (
                self._text_at(index - 1) == "every" and not self.asking
            ):
                continue
            entry: dict[str, Any] = {"name": item.name}
            place = self._left(index, {"amount", "pack"}, 5)
            if place is not None and not self._is_stock(place):
                place = None
            if place is None and self._right_amount_fits(index):
                place = self._right(index, {"amount", "pack"}, self.lists["joins"] | {",", "bales", "of"}, 6)
                if place is not None and not self._is_stock(place):
                    place = None
            pack_word = self._pack_name(index)
            if (
                place is not None
                and place == index - 1
                and pack_word
                and self.items[place].kind == "amount"
                and self.lexicon.unit(self.items[place].unit).measures == "mass"
            ):
                mass = self.items[place]
                self._use(mass)
                entry.update(
                    {"unit": pack_word, **span_value("unit_mass_kg", *mass.si), "unit_mass_as": mass.spoken}
                )
                self.materials.append((item, entry))
                continue
            if (
                place is not None
                and place < index
                and self.lexicon.unit(self.items[place].unit).measures == "mass"
            ):
                pack = self._left(place, {"amount"}, 2)
                if pack is not None and self.lexicon.unit(self.items[pack].unit).measures == "pack":
                    mass = self.items[place]
                    self._use(mass)
                    self._amount(entry, pack, place)
                    entry.update(span_value("unit_mass_kg", *mass.si))
                    entry["unit_mass_as"] = mass.spoken
                    if "amount" in entry:
                        entry.update(
                            span_value("mass_kg", entry["amount"] * mass.si[0], entry["amount"] * mass.si[1])
                        )
                    self._shares(entry, index)
                    self.materials.append((item, entry))
                    continue
            if place is not None:
                self._amount(entry, place, index)
            else:
                self._plain_amount(entry, item, index)
            self._shares(entry, index)
            if item.weak and len(entry) == 1 and not self._weak_material_meant(item):
                continue
            self.materials.append((item, entry))

    def _plain_amount(self, entry: dict[str, Any], item: Item, index: int) -> None:
        """'40 straw bales', where the pack is part of the name or follows it."""
        place = self._left(index, {"number"}, 2)
        number = self.items[place].number if place is not None else None
        pack = self._pack_name(index)
        if (
            number is None
            or place is None
            or not (pack or item.text.split()[-1] in ("rounds", "bales", "pellets"))
        ):
            return
        self._use(self.items[place])
        entry.update(span_value("amount", number.low, number.high))
        entry["unit"] = pack or "bale"

    def _pack_name(self, index: int) -> str:
        """The pack named right after a material: 'straw rounds'."""
        texts = [t.text for t in self.scan.tokens]
        at = self.items[index].end
        found = self.lexicon.units.match(texts, at) if at < len(texts) else None
        return found[0].value if found and self.lexicon.unit(found[0].value).measures == "pack" else ""

    def _weak_material_meant(self, item: Item) -> bool:
        if item.name in ("pack", "topsoil"):
            return False
        if self.slot in ("materials", "amount"):
            return True
        words = self.scan.words()
        if (
            words & {"base", "bedded", "bedding"}
            and item.name in ("wood chips", "tree leaves", "bark", "sand", "paper")
            and not self.asking
        ):
            return True
        return self.asking and bool(
            words
            & {
                "cnratio",
                "ph",
                "absorb",
                "absorbs",
                "absorbent",
                "bedding",
                "carbon",
                "moisture",
                "bed",
                "better",
                "nitrogen",
                "straw",
            }
        )

    def _right_amount_fits(self, index: int) -> bool:
        """Whether an amount after the name is its own and not the next one's."""
        for place in range(index + 1, min(len(self.items), index + 7)):
            item = self.items[place]
            if item.kind in ("amount", "pack"):
                ahead = place + 1
                while (
                    ahead < len(self.items)
                    and (self.items[ahead].text in self.lists["filler"])
                    and self.items[ahead].kind in ("word", "pack")
                ):
                    ahead += 1
                nxt = self.items[ahead] if ahead < len(self.items) else None
                return not (nxt is not None and nxt.kind == "material" and not nxt.weak)
            if item.kind not in ("word", "sign"):
                return False
        return False

    def _is_stock(self, place: int) -> bool:
        item = self.items[place]
        if item.kind == "pack":
            return True
        measures = self.lexicon.unit(item.unit).measures
        return measures in ("mass", "volume", "pack") and not self._rate_after(place)

    def _amount(self, entry: dict[str, Any], place: int, index: int) -> None:
        item = self.items[place]
        self._use(item)
        unit = self.lexicon.unit(item.unit)
        if item.kind == "amount" and item.number is not None:
            number = item.number
            if number.ambiguous and unit.measures != "pack":
                self.out.clarify.append(f"amount of {entry['name']}")
                return
            if number.low < 0:
                self.out.queried.append(f"amount of {entry['name']}")
                return
            entry.update(span_value("amount", number.low, number.high))
            entry["unit"] = item.unit
        elif item.kind == "pack":
            entry["unit"] = item.unit
            before = self._left(place, {"number"}, 3)
            number = self.items[before].number if before is not None else None
            if before is not None and number is not None:
                self._use(self.items[before])
                entry.update(span_value("amount", number.low, number.high))
        if unit.measures == "mass":
            entry.update(span_value("mass_kg", *item.si))
            entry["mass_as"] = item.spoken
        elif unit.measures == "volume":
            entry.update(span_value("volume_m3", *item.si))
            entry["volume_as"] = item.spoken
        elif unit.measures == "pack":
            self._pack(entry, item, max(place, index), min(place, index))

    def _pack(self, entry: dict[str, Any], item: Item, last: int, first: int) -> None:
        """The weight or volume of one pack, if it was said."""
        mass, volume, spoken = item.unit_mass, item.unit_volume, item.spoken
        total = False
        between = [
            p
            for p in range(first + 1, last)
            if self.items[p].kind == "amount" and not self._used(self.items[p])
        ]
        place = (
            between[0]
            if between
            else self._right(
                last, {"amount", "pack"}, self.lists["weight_links"] | {",", "x", "*", "@", "goes", "go"}, 7
            )
        )
        if mass is None and volume is None and place is not None:
            other = self.items[place]
            measures = self.lexicon.unit(other.unit).measures
            after = [self._text_at(p) for p in range(place + 1, place + 3)]
            before = [self._text_at(p) for p in range(last + 1, place)]
            total = bool({"total", "altogether", "all"} & set(after)) or (
                bool({"total", "all", "="} & set(before)) and "each" not in after
            )
            nxt = next((i for i in self.items[place + 1 : place + 3] if i.kind != "word"), None)
            if nxt is not None and nxt.kind == "material" and not between:
                return
            if other.kind == "pack":
                mass, volume, spoken = other.unit_mass, other.unit_volume, other.spoken
                self._use(other)
            elif measures in ("mass", "volume") and not self._rate_after(place):
                mass, volume = (other.si, None) if measures == "mass" else (None, other.si)
                spoken = other.spoken
                self._use(other)
        if mass and total:
            entry.update(span_value("mass_kg", *mass))
        elif mass:
            entry.update(span_value("unit_mass_kg", *mass))
            entry["unit_mass_as"] = spoken
            if "amount" in entry:
                entry.update(span_value("mass_kg", entry["amount"] * mass[0], entry["amount"] * mass[1]))
        if volume and total:
            entry.update(span_value("volume_m3", *volume))
        elif volume:
            entry.update(span_value("unit_volume_m3", *volume))
            entry["unit_volume_as"] = spoken
            if "amount" in entry:
                entry.update(
                    span_value("volume_m3", entry["amount"] * volume[0], entry["amount"] * volume[1])
                )

    def _shares(self, entry: dict[str, Any], index: int) -> None:
        """Moisture, share and C:N of a material."""
        left = self._left(index, {"amount"}, 3)
        right = None
        for place in range(index + 1, min(len(self.items), index + 8)):
            other = self.items[place]
            if other.kind in ("material", "animal") or (other.text in (",", ";") and place > index + 4):
                break
            if other.kind == "amount" and other.unit == "percent" and not self._used(other):
                right = place
                break
        for place, side in ((left, "left"), (right, "right")):
            if place is None or self.items[place].unit != "percent" or self._used(self.items[place]):
                continue
            item = self.items[place]
            near = {self._text_at(p) for p in range(place - 3, place + 4)} | {
                self._text_at(p) for p in range(index, index + 3)
            }
            low, high = (v * 100 for v in item.si)
            if not 0 <= low <= high <= 100:
                self.out.queried.append(f"share or moisture of {entry['name']}")
                self._use(item)
                continue
            if near & {"dm", "drymatter"}:
                low, high = 100 - high, 100 - low
                key = "moisture_pct"
            elif near & self.lists["moisture_words"] or (
                self.materials and "moisture_pct" in self.materials[-1][1] and side == "right"
            ):
                key = "moisture_pct"
            elif side == "left" or (self._text_at(index + 1) in (":", "-", "at") or place == index + 1):
                key = "share_pct"
            else:
                continue
            self._use(item)
            entry.update(span_value(key, low, high))
        for place in range(index + 1, min(len(self.items) - 1, index + 6)):
            if self._text_at(place) == "cnratio":
                number = next((i for i in self.items[place + 1 : place + 5] if i.kind in ("number",)), None)
                if number is not None and number.number is not None and not self._used(number):
                    self._use(number)
                    entry.update(span_value("cn_ratio", number.number.low, number.number.high))
            if self.items[place].kind == "material":
                break

    def _rate_after(self, place: int) -> tuple[float, bool, int] | None:
        """(applications a day, per head?, place after) when 'a day', 'every second day' ... follows an amount."""
        tokens = self.scan.tokens
        at = self.items[place].end
        head = False
        times = 1.0
        numbers = self.lexicon.tables.numbers.small
        texts = [token.text for token in tokens]
        spans = {
            "day": 1.0,
            "days": 1.0,
            "night": 1.0,
            "morning": 1.0,
            "evening": 1.0,
            "week": 7.0,
            "weeks": 7.0,
            "fortnight": 14.0,
            "month": 30.4,
            "weekly": 7.0,
            "daily": 1.0,
            "nights": 1.0,
            "mornings": 1.0,
            "monthly": 30.4,
            "nightly": 1.0,
            "fortnightly": 14.0,
            "d": 1.0,
            "wk": 7.0,
            "winter": 0.0,
        }
        skipped = 0
        while at < len(texts) and skipped < 7:
            word = texts[at]
            after = texts[at + 1] if at + 1 < len(texts) else ""
            if word in ("daily", "weekly", "nightly", "fortnightly", "monthly"):
                return times / spans[word], head, at + 1
            if word in ("a", "per", "each", "every", "/", "the", "in", "p", "pr", "by", "once"):
                if after in (
                    "head",
                    "cow",
                    "animal",
                    "beast",
                    "ewe",
                    "pig",
                    "sow",
                    "horse",
                    "goat",
                    "sheep",
                    "calf",
                    "steer",
                    "hen",
                    "one",
                    "cattle",
                    "bird",
                    "pony",
                ) or (
                    word in ("per", "a", "/", "each")
                    and at + 1 < len(tokens)
                    and "animal" in tokens[at + 1].tags
                ):
                    head, at = True, at + 2
                    continue
                if spans.get(after):
                    if word == "the":
                        return None
                    return times / spans[after], head, at + 2
                if after in ("other", "second", "2nd") and texts[at + 2 : at + 3] and texts[at + 2] in spans:
                    return times / (2 * spans[texts[at + 2]]), head, at + 3
                if after in ("third", "3rd", "fourth") and texts[at + 2 : at + 3] and texts[at + 2] in spans:
                    return times / ((4 if after == "fourth" else 3) * spans[texts[at + 2]]), head, at + 3
                if (
                    (after.isdecimal() or after in numbers)
                    and len(after) < 8
                    and texts[at + 2 : at + 3]
                    and texts[at + 2] in spans
                ):
                    count = float(after) if after.isdecimal() else numbers[after]
                    span = spans[texts[at + 2]] * count
                    return (times / span, head, at + 3) if span > 0 else None
            if word in ("twice", "thrice"):
                times, at = times * (2 if word == "twice" else 3), at + 1
                continue
            if word == "times" or after == "times":
                count_text = texts[at]
                value = numbers.get(
                    count_text, float(count_text) if count_text.isdecimal() and len(count_text) < 4 else 1.0
                )
                times, at = times * max(value, 1.0), at + 2
                continue
            if word == "morning" and after == "and":
                second = tokens[at + 2] if at + 2 < len(tokens) else None
                twice = second is not None and second.kind != "num" and "number" not in second.tags
                return (2.0 if twice else 1.0) * times, head, at + (3 if twice else 2)
            if word in ("each", "apiece") and not head:
                head, at = True, at + 1
                continue
            if word in (
                "of",
                "fresh",
                "new",
                "clean",
                "straw",
                "chips",
                "bedding",
                "down",
                "shavings",
                "sawdust",
                "on",
                "top",
                "added",
                "spread",
                "extra",
                "total",
                "in",
                "all",
                "for",
                "go",
                "goes",
                "put",
                "or",
                "so",
                "about",
                "peat",
                "hay",
                "hemp",
                "wheat",
                "barley",
                "oat",
                "wood",
                "for",
                "the",
                "lot",
                "them",
                "all",
                "whole",
                "herd",
                "altogether",
                "dry",
                "long",
                "chopped",
                "woodchip",
                "topped",
                "up",
                "topping",
                "roughly",
                "is",
                "used",
                "now",
                "between",
                "us",
                "pine",
                "and",
                "that",
                "works",
                "out",
                "as",
                "fresh",
                "bed",
                "pen",
                "shed",
                "to",
                "gets",
                "get",
                ",",
                "(",
                "rape",
                "thrown",
                "every",
            ):
                at, skipped = at + 1, skipped + 1
                continue
            break
        if head and self.slot == "rate":
            return times, True, min(at, len(texts))
        return None

    def _add(self, key: str, value: Any) -> None:
        bucket = self.out.facts.setdefault(key, [])
        if value not in bucket:
            bucket.append(value)

    # -- putting together

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
                elif "count" not in entry or "count" not in same:
                    same.update({k: v for k, v in entry.items() if k not in same or k == "count"})
                elif not self.asking:
                    kept.append((item, entry))
                continue
            kept.append((item, entry))
        counted = {
            self.lexicon.species.get(e["class"]) for _, e in kept if "count" in e or "count_range" in e
        }
        if not self.asking:
            general = ("cattle", "cow", "sheep", "goat", "pig", "horse", "poultry")
            kept = [
                (item, e) for item, e in kept
                if "count" in e or "count_range" in e or "weight_kg" in e or "weight_kg_range" in e
                or not ((e["class"] in general or item.kind == "breed") and self.lexicon.species.get(e["class"]) in counted)
            ]  # fmt: skip
        if kept:
            self.out.facts["animals"] = [entry for _, entry in kept]
        found: list[dict[str, Any]] = []
        for _, entry in self.materials:
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


def find_facts(
    scan: Scan, lexicon: Lexicon, spans: list[tuple[int, int]], asking: bool
) -> tuple[Found, _Finder]:
    """Animals and materials with their amounts; what is left over stays in the items not used."""
    finder = _Finder(scan, lexicon, spans, asking)
    finder.find_materials()
    finder.find_animals()
    _counted_after(finder)
    _only_some(finder)
    _lone_count(finder)
    _mix_shares(finder)
    _in_turn(finder)
    finder.gather()
    return finder.out, finder


def _only_some(finder: _Finder) -> None:
    """'900 ewes, but just the 60 weak ones get shedded': the last number said of them holds."""
    for index, item in enumerate(finder.items):
        if item.kind != "number" or item.start in finder.out.used or not finder.animals:
            continue
        before = {finder._text_at(p) for p in range(max(0, index - 3), index)}
        after = [finder._text_at(p) for p in range(index + 1, index + 5)]
        if before & {"only", "just"} and {
            "ones",
            "them",
            "of",
            "get",
            "come",
            "go",
            "stay",
            "housed",
            "inside",
            "indoors",
            "in",
            "will",
        } & set(after):
            entry = finder.animals[-1][1]
            if "count" in entry or "count_range" in entry:
                entry.pop("count", None)
                entry.pop("count_range", None)
                finder._count(entry, item)


def _lone_count(finder: _Finder) -> None:
    """One animal without a number and one number without an owner belong together."""
    bare = [e for _, e in finder.animals if "count" not in e and "count_range" not in e]
    free = [
        i
        for i in finder.items
        if i.kind == "number" and i.start not in finder.out.used and i.number is not None
    ]
    if (
        finder.slot in ("", "animals")
        and not finder.asking
        and len(bare) == 1
        and len(free) == 1
        and len(finder.animals) == 1
    ):
        number = free[0].number
        at = finder.items.index(free[0])
        around = {finder._text_at(at - 1), finder._text_at(at + 1)}
        if (
            number is not None
            and number.low == int(number.low)
            and number.low >= 2
            and not around & {"option", "/", "%", ":", "at", "years", "times", "-", "$", "year"}
        ):
            finder._count(bare[0], free[0])


def _in_turn(finder: _Finder) -> None:
    """'60 ewes, 20 lambs, 70 kg and 40 kg': as many weights as animals, in the same order."""
    if len(finder.animals) < 2 or finder.asking:
        return
    last = finder.animals[-1][0].end
    weights = [
        i
        for i in finder.items
        if i.kind == "amount" and i.start >= last and finder.lexicon.unit(i.unit).measures == "mass"
    ]
    given = [e for _, e in finder.animals if "weight_kg" in e or "weight_kg_range" in e]
    if len(weights) != len(finder.animals) or len(given) != 1 or given[0] is not finder.animals[-1][1]:
        return
    if finder.materials:
        return
    for (_, entry), weight in zip(finder.animals, weights, strict=True):
        finder._set_weight(entry, weight)


def _mix_shares(finder: _Finder) -> None:
    """'half and half straw and sawdust', '70 30 straw and chips'."""
    if len(finder.materials) != 2:
        return
    line = " ".join(t.text for t in finder.scan.tokens)
    pair: tuple[float, float] | None = None
    if any(words in line for words in ("half and half", "equal parts", "50 50", "50 / 50", "fifty fifty")):
        pair = (50.0, 50.0)
    numbers = [
        i
        for i in finder.items
        if i.kind == "number" and i.start not in finder.out.used and i.number is not None
    ]
    values = [n.number.low for n in numbers if n.number is not None]
    if pair is None and len(values) == 2 and abs(sum(values) - 100) < 0.5:
        pair = (values[0], values[1])
    if pair is None:
        return
    for (_, entry), share in zip(finder.materials, pair, strict=True):
        if not set(entry) - {"name"}:
            entry["share_pct"] = int(share) if share == int(share) else share
    finder.out.used.update(n.start for n in numbers)


def _counted_after(finder: _Finder) -> None:
    """'wethers, 30 of them': a count that points back."""
    for index, item in enumerate(finder.items):
        if (
            item.kind == "number"
            and item.start not in finder.out.used
            and finder._text_at(index + 1) == "of"
            and finder._text_at(index + 2) in ("them", "those", "each", "em", "the", "these")
        ):
            for _, entry in reversed(finder.animals):
                if "count" not in entry and "count_range" not in entry:
                    finder._count(entry, item)
                    if "weight_kg" not in entry:
                        finder._weight(entry, index + 2, index + 2)
                    break


__all__ += ["days_between"]
