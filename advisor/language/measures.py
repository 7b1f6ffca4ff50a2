"""What is measured: amounts, packs with their weight, sides of a floor."""

from __future__ import annotations

from dataclasses import replace

from advisor.language.items import Item
from advisor.language.numbers import read_number
from advisor.language.quantities import Quantities, spoken, to_si, unit_at

__all__ = ["Measures", "spoken", "unit_at"]


class Measures(Quantities):
    """Reads what is measured at a place."""

    def _amount(self, at: int) -> Item | None:
        found = self._quantity(at)
        if found is None:
            return self._pack_with_mass(at) or self._packs_of_mass(at)
        number, unit, end = found
        measures = self.lexicon.unit(unit).measures
        if unit in ("round bale", "small square bale", "large square bale") and self.texts[end - 1] in (
            "round",
            "square",
            "quads",
            "roll",
            "rolls",
            "rounds",
            "squares",
        ):
            follow = self.texts[end] if end < len(self.texts) else ""
            if follow in ("the", "about", "up", "off"):
                return None
        while (
            measures == "pack"
            and end < len(self.texts)
            and self.stems[end] in ("bale", "bag", "sack")
            and unit != "heap"
        ):
            end += 1
        if unit == "yd" and not number.ranged and (self._is_volume(end) or self._is_of_material(at)):
            unit = "cubic yard"
        si = (
            (
                to_si(self.lexicon, unit, number.low, self.us),
                to_si(self.lexicon, unit, number.high, self.us),
            )
            if measures not in ("degrees", "money", "other", "pack")
            else (number.low, number.high)
        )
        item = Item(
            "amount",
            at,
            end,
            " ".join(self.texts[at:end]),
            number=replace(number, end=end),
            unit=unit,
            si=si,
            spoken=spoken(number, unit),
        )
        if measures == "pack" and (one := self._mass_of_one(end)):
            return replace(
                item, end=one.end, text=" ".join(self.texts[at : one.end]), unit_mass=one.si, each=one.spoken
            )
        if measures in ("mass", "volume"):
            pack = self._pack_word(end)
            if pack and not number.ranged:  # '18 kg bags', with no count of its own
                mass, volume = (si, None) if measures == "mass" else (None, si)
                return Item(
                    "pack",
                    at,
                    pack[1],
                    item.text,
                    unit=pack[0],
                    spoken=item.spoken,
                    unit_mass=mass,
                    unit_volume=volume,
                )
        return item

    def _is_volume(self, end: int) -> bool:
        place = end + (end < len(self.texts) and self.texts[end] == "of")
        while place < len(self.stems) and place < end + 3:
            found = self.lexicon.names.match(self.stems, place)
            if found and found[0].kind == "material":
                return True
            place += 1
        return self.asked is not None and self.asked.slot in ("amount", "materials")

    def _is_of_material(self, at: int) -> bool:
        """'The sawdust is 5 yards'."""
        number = at
        while self.texts[number : number + 1] and self.texts[number] not in ("yard", "yards", "yd", "yds"):
            number += 1
        named = any("material" in token.tags for token in self.tokens[:at])
        if named and self.texts[number + 1 : number + 3] in (["of", "it"], ["of", "them"], ["of", "that"]):
            return True
        while at > 0 and self.texts[at - 1] in self.lexicon.lists["says_size"]:
            at -= 1
        return at > 0 and "material" in self.tokens[at - 1].tags

    def _pack_word(self, at: int) -> tuple[str, int] | None:
        while at < len(self.texts) and self.texts[at] in ("-", "each", "weight", "size", "sized"):
            if self.texts[at] == "each":
                return None
            at += 1
        found = unit_at(self.lexicon, self.texts, at) if at < len(self.texts) else None
        if found and self.lexicon.unit(found[0]).measures == "pack":
            end = found[1]
            while end < len(self.texts) and self.stems[end] in ("bale", "bag", "sack"):
                end += 1
            return found[0], end
        return None

    def _mass_of_one(self, at: int) -> Item | None:
        """The weight in 'of 200 kg', 'at 18 kg', right after a pack."""
        words = self.lexicon.lists["of_each"]
        place = at
        while place < len(self.texts) and self.texts[place] in words | self.lexicon.lists["roughly"]:
            place += 1
        led = set(self.texts[max(0, at - 1) : place])  # 'bales of' is one word for a pack
        if not led & words or self.tokens[place : place + 1] == []:
            return None
        if self.tokens[place].kind != "num":
            return None
        mass = self._amount(place)
        if mass is None or mass.kind != "amount" or self.lexicon.unit(mass.unit).measures != "mass":
            return None
        after = self.texts[mass.end : mass.end + 3]
        if not 1.0 <= mass.si[0] <= mass.si[1] <= 1500.0 or set(after) & {"total", "altogether", "all"}:
            return None
        return mass

    def _packs_of_mass(self, at: int) -> Item | None:
        """'bales of 200 kg', with no count of its own before."""
        led = at and (self.tokens[at - 1].tags & {"material", "number"} or self.tokens[at - 1].kind == "num")
        found = unit_at(self.lexicon, self.texts, at) if self.tokens[at].kind == "word" and not led else None
        if found is None or self.lexicon.unit(found[0]).measures != "pack":
            return None
        one = self._mass_of_one(found[1])
        if one is None:
            return None
        text = " ".join(self.texts[at : one.end])
        return Item("pack", at, one.end, text, unit=found[0], spoken=one.spoken, unit_mass=one.si)

    def _pack_with_mass(self, at: int) -> Item | None:
        """'40 x 18kg bags', '12 300 kg rounds': a count before an amount that tells one pack."""
        number = read_number(self.tokens, at, self.lexicon.tables.numbers)
        if number is None or number.low < 1:
            return None
        place = number.end
        while place < len(self.texts) and self.texts[place] in (
            "x",
            "of",
            "no",
            "the",
            "number",
            "*",
            "big",
            "small",
            "round",
            "those",
        ):
            place += 1
        if place >= len(self.texts) or self.tokens[place].kind != "num":
            return None
        inner = self._amount(place)
        if inner is None or inner.kind != "pack":
            return None
        return replace(
            inner,
            kind="amount",
            start=at,
            number=replace(number, end=inner.end),
            si=(number.low, number.high),
            spoken=spoken(number, inner.unit),
            each=inner.spoken,
        )

    def _sides(self, at: int) -> Item | None:
        first = self._quantity(at)
        if first and self.texts[first[2] - 1] == "times" and self._length_follows(first[2]):
            first = None  # '10 times 6 metres'
        if first and self.lexicon.unit(first[1]).measures != "length":
            return None
        number = read_number(self.tokens, at, self.lexicon.tables.numbers) if first is None else first[0]
        if number is None or number.low < 0:
            return None
        end = first[2] if first else number.end
        while end < len(self.texts) and self.texts[end] in (
            "wide",
            "long",
            "deep",
            "broad",
            "width",
            "length",
        ):
            end += 1
        joint = self.texts[end] if end < len(self.texts) else ""
        dims = self.asked is not None and self.asked.slot == "area"
        if joint == "for" and first and self._length_follows(end + 1):
            joint = "x"
        if joint not in ("x", "by", "times", "*", "on", "and", ",", "mal"):
            return None
        if (
            joint in ("on", "and", ",", "times")
            and not dims
            and not (joint in ("on", "times") and self._length_follows(end + 1))
        ):
            return None
        if end + 1 >= len(self.tokens):
            return None
        second = self._quantity(end + 1)
        if second and self.lexicon.unit(second[1]).measures not in ("length", "area"):
            if self.lexicon.unit(second[1]).measures == "mass":
                return None  # '2 x 18 kg bales'
            second = None
        other = (
            read_number(self.tokens, end + 1, self.lexicon.tables.numbers) if second is None else second[0]
        )
        if other is None or other.low < 0 or (other.ambiguous and not second):
            return None
        if joint in (",", "and") and not (first or second):
            return None
        last = second[2] if second else other.end
        while (
            last < len(self.texts)
            and self.texts[last] in ("wide", "long", "deep", "broad", "each")
            and joint != "deep"
        ):
            last += 1
        if last < len(self.texts) and self.texts[last] in ("x", "by") and not dims:
            return None  # three sides: a bale or a box
        unit_2 = {"m2": "m", "ft2": "ft", "yd2": "yd"}.get(second[1], second[1]) if second else ""
        unit_1 = first[1] if first else unit_2
        unit_2 = unit_2 or unit_1
        factors = [self.lexicon.unit(u).factor if u else 1.0 for u in (unit_1, unit_2)]
        area = number.value * factors[0] * other.value * factors[1]
        spoken = f"{number.value:g} {unit_1} x {other.value:g} {unit_2}".replace("  ", " ")
        return Item(
            "sides",
            at,
            last,
            " ".join(self.texts[at:last]),
            number=number,
            unit=unit_1,
            si=(area, area),
            spoken=spoken.strip(),
        )

    def _length_follows(self, at: int) -> bool:
        found = self._quantity(at) if at < len(self.tokens) else None
        return bool(found and found[1] in ("m", "ft"))
