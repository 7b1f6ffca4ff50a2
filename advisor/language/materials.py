"""Materials with their amounts, the weight of one pack, moisture and share."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from advisor.language.every import Every
from advisor.language.found import span_value
from advisor.language.scan import Item

__all__ = ["Materials"]


class Materials(Every):
    """Which amount belongs to which material."""

    def find_materials(self) -> None:
        for index, item in enumerate(self.items):
            if item.kind != "material":
                continue
            after = self._text_at(index + 1)
            if after in self.things_after and self.items[index + 1].start == item.end:
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
            if place is not None and place > index and pack_word and self._weighs_one(place):
                self._plain_amount(entry, item, index)
                mass = self.items[place]
                if "amount" in entry:
                    self._use(mass)
                    entry.update(span_value("unit_mass_kg", *mass.si))
                    entry["unit_mass_as"] = mass.spoken
                    entry.update(
                        span_value("mass_kg", entry["amount"] * mass.si[0], entry["amount"] * mass.si[1])
                    )
                else:
                    self._amount(entry, place, index)
            elif place is not None:
                self._amount(entry, place, index)
            else:
                self._plain_amount(entry, item, index)
            self._shares(entry, index)
            if item.weak and len(entry) == 1 and not self._weak_material_meant(item):
                continue
            self.materials.append((item, entry))

    def _weighs_one(self, place: int) -> bool:
        """'200 straw bales at 15 kg': a weight for one of them, not for all."""
        item = self.items[place]
        return (
            item.kind == "amount"
            and self.lexicon.unit(item.unit).measures == "mass"
            and self.lexicon.unit(item.unit).factor < 100
            and item.si[1] < 1200
        )

    @property
    def things_after(self) -> frozenset[str]:
        """Nouns that a bedding's name may only describe: hay barn, straw chopper."""
        return self.lists["things_after"]

    def _plain_amount(self, entry: dict[str, Any], item: Item, index: int) -> None:
        """'40 straw bales', where the pack is part of the name or follows it."""
        place = self._left(index, {"number"}, 2)
        number = self.items[place].number if place is not None else None
        pack = self._pack_name(index)
        last = self.materials[-1][1] if self.materials else {}
        if (
            number
            and place is not None
            and not pack
            and self._text_at(place + 1) == "of"
            and "amount" in last
        ):
            pack = str(last["unit"]) if "mass_kg" not in last or "unit_mass_kg" in last else ""
        if (
            number is None
            or place is None
            or not (pack or item.text.split()[-1] in ("rounds", "bales", "pellets"))
        ):
            return
        end = self._pack_end(index)
        if self._rate_at(end):  # '2 straw bales a day' go on the bed and are no stock
            number = replace(number, end=end)
            si = (number.low, number.high)
            self.items[place] = replace(
                self.items[place], kind="amount", end=end, unit=pack or "bale", number=number, si=si,
                spoken=f"{number.low:g} {pack or 'bale'}",
            )  # fmt: skip
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

    def _pack_end(self, index: int) -> int:
        """The place after the pack named right after a material."""
        texts = [t.text for t in self.scan.tokens]
        at = self.items[index].end
        found = self.lexicon.units.match(texts, at) if at < len(texts) and self._pack_name(index) else None
        return found[1] if found else at

    def _weak_material_meant(self, item: Item) -> bool:
        if item.name in ("pack", "topsoil"):
            return False
        if self.slot in ("materials", "amount"):
            return True
        place = self.items.index(item)
        if [self._text_at(place + 1), self._text_at(place + 2)] == ["by", "the"] and not self.asking:
            return True  # 'leaves by the truckload'
        led = self._left(place, {"amount", "pack"}, 2)
        if led is not None and self._rate_after(led):
            return not self.asking  # '2 bags of pellets a day'
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
        if self.scan.asked is not None and self.scan.asked.of == "bale weight":
            return False  # 'the straw bales are 12 kg'
        for place in range(index + 1, min(len(self.items), index + 7)):
            item = self.items[place]
            if self._text_at(place + 1) in ("apiece", "each") and not self._pack_name(index):
                return False  # 'round bales of straw, 22 left, 250 kg apiece'
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
            return self.asking or not (
                item.unit_mass and self._rate_after(place)
            )  # 'half a 300 kg round every day'
        measures = self.lexicon.unit(item.unit).measures
        if measures not in ("mass", "volume", "pack") or self._rate_after(place):
            return False
        adds = self.scan.words() & self.lists["adding_now"]
        return not (adds and self._rate_before(place))

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
            counted = self.items[before].number if before is not None else None
            if before is not None and counted is not None:
                self._use(self.items[before])
                entry.update(span_value("amount", counted.low, counted.high))
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
        mass, volume, spoken = item.unit_mass, item.unit_volume, item.each or item.spoken
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
        if mass is None and volume is None and not total and "unit_mass_kg" in entry and "amount" in entry:
            weight = entry["amount"] * entry["unit_mass_kg"]
            entry.update(span_value("mass_kg", weight, weight))
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
        if entry["name"] == "pack" and not self.asking:
            return  # the moisture of the pack is a fact of its own
        left: int | None = self._left(index, {"amount"}, 3)
        right: int | None = None
        for spot in range(index + 1, min(len(self.items), index + 8)):
            other = self.items[spot]
            if other.kind in ("material", "animal") or (other.text in (",", ";") and spot > index + 4):
                break
            if other.kind == "amount" and other.unit == "percent" and not self._used(other):
                follow = self.items[spot + 1] if spot + 1 < len(self.items) else None
                if left is not None and follow is not None and follow.kind == "material":
                    break
                right = spot
                break
        sides: tuple[tuple[int | None, str], ...] = ((left, "left"), (right, "right"))
        for place, side in sides:
            if place is None or self.items[place].unit != "percent" or self._used(self.items[place]):
                continue
            item = self.items[place]
            near = (
                {self._text_at(p) for p in range(place - 3, place + 4)}
                | {self._text_at(p) for p in range(index, index + 3)}
                | set(item.text.split())
            )
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
        for spot in range(index + 1, min(len(self.items) - 1, index + 12)):
            if self._text_at(spot) == "cnratio":
                number = next((i for i in self.items[spot + 1 : spot + 5] if i.kind in ("number",)), None)
                if number is not None and number.number is not None and not self._used(number):
                    self._use(number)
                    entry.update(span_value("cn_ratio", number.number.low, number.number.high))
            if self.items[spot].kind == "material":
                break
