"""Animals with their numbers and weights."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from advisor.language.every import Every
from advisor.language.found import span_value
from advisor.language.scan import Item
from advisor.language.tables import split_words

__all__ = ["Animals"]


class Animals(Every):
    """Which number and weight belongs to which animal."""

    def find_animals(self) -> None:
        skip = -1
        for index, item in enumerate(self.items):
            if item.kind not in ("animal", "breed") or index <= skip:
                continue
            if self.slot == "rate" and self._text_at(index - 1) in ("per", "a", "each", "every", "/"):
                continue
            if not self.asking and self._in_a_rate(index):
                continue
            if not self.asking and (self._born(index) or self._replaced(index)):
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
                ) and (
                    item.weak
                    or self.lexicon.species.get(name) != self.lexicon.species.get(self.items[index + 1].name)
                    or name
                    in (
                        "cow",
                        "cattle",
                        "sheep",
                        "pig",
                        "goat",
                        "horse",
                        "growing cattle",
                    )
                ):
                    follow_item = self.items[index + 1]
                    name = {("dairy cow", "heifer"): "dairy heifer"}.get(
                        (name, follow_item.name), follow_item.name
                    )
                    last = index + 1
            skip = last
            if self.slot == "weight" and self._only_says_one(name):
                name = self.scan.subject
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
                part = self._share_of(number) * float(entry.get("count", 0))
                if abs(part - round(part)) < 0.01 and part >= 1:
                    entry["count"] = round(part)
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
                if not (self._text_at(index - 1) in ("a", "an") and self._many(item, last)) and self._text_at(
                    index - 2
                ) not in ("per", "for", "like", "of", "is", "as"):
                    entry["count"] = 1
            elif (weak and self.slot not in ("animals", "count")) or refused:
                continue
            after = max(last, number) if number is not None else last
            self._weight(entry, index, after)
            if self.slot == "weight" and not set(entry) & {"weight_kg", "weight_kg_range"}:
                self._shared_unit(entry, last)
            self.animals.append((item, entry))
            self._calves_of_pairs(entry, index, last, item)

    def _many(self, item: Item, last: int) -> bool:
        """Whether the name is a plural; 'a Charolais bull' and 'an Angus' are one."""
        named = self.items[last]
        if named.kind == "breed":
            return named.text.endswith("s") and named.text not in split_words(
                self.lexicon.tables.breeds[named.name].words
            )
        return named.text.endswith("s") and not named.text.endswith("ss")

    def _replaced(self, index: int) -> bool:
        """'64 heifers to replace the cows': animals that are not in the pen."""
        before = {self._text_at(p) for p in range(index - 3, index)}
        return bool(self.animals) and bool(before & self.lists["in_place_of"])

    def _share_of(self, place: int) -> float:
        """'half of my 80 ewes', 'two thirds of the 90': the part of the number that is meant."""
        texts = [t.text for t in self.scan.tokens[: self.items[place].start]]
        numbers = self.lexicon.tables.numbers
        while texts and texts[-1] in ("my", "the", "our", "these", "those", "of", "all", "a", "an"):
            texts.pop()
        if not texts or texts[-1] not in numbers.fraction or len(texts) + 1 > self.items[place].start:
            return 1.0
        times = numbers.small.get(texts[-2], 1.0) if len(texts) > 1 else 1.0
        share = times * numbers.fraction[texts[-1]]
        return share if 0 < share < 1 else 1.0

    def _born(self, index: int) -> bool:
        """'goat kids born', 'lambs are due in march': births, and no animals counted."""
        if self._left(index, {"number"}) is not None:
            return False
        item = self.items[index]
        for after in self.items[index + 1 : index + 4]:
            if after.kind == "animal" and after.start == item.end:
                item = after
            elif after.text in ("born", "due"):
                return True
            elif after.text not in ("are", "is", "were", "will", "be", "get", "being", "all", "mostly"):
                return False
        return False

    def _only_says_one(self, name: str) -> bool:
        """'2 kg each bird', 'about 600 the beast': a general word for the animal asked about."""
        species = self.lexicon.species
        general = name in ("cattle", "cow", "sheep", "goat", "pig", "horse", "poultry")
        return general and bool(self.scan.subject) and species.get(name) == species.get(self.scan.subject)

    def _calves_of_pairs(self, entry: dict[str, Any], index: int, last: int, item: Item) -> None:
        """'14 cow calf pairs': as many calves as cows."""
        said = " ".join(i.text for i in self.items[index : last + 1])
        if said.endswith(("pair", "pairs")) and "calf" in said:
            pair = {k: v for k, v in entry.items() if k in ("count", "count_range")}
            self.animals.append((item, {"class": "calf", **pair}))

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
        if not left and self._rate_after(place):
            return False
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
        plausible = self.lexicon.tables.plausible
        least, most = plausible.never_kg.get(self.lexicon.species.get(entry["class"], ""), (0.01, 2000.0))
        if low < max(least, plausible.grown_kg.get(entry["class"], 0.0)) or high > most:
            self.out.queried.append(f"weight of {entry['class']}")
            return
        entry.update(span_value("weight_kg", low, high))
        entry["weight_as"] = item.spoken
