"""Sides, floor areas and depths."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from advisor.language.found import span_value
from advisor.language.rest import Rest
from advisor.language.scan import Item

__all__ = ["Sizes"]


class Sizes(Rest):
    """Reads lengths and areas."""

    def two_lengths(self) -> None:
        """'width is six metres, length is eleven', '8 m square'."""
        if self.slot not in ("area", ""):
            return
        lengths = [i for _, i in self.free("amount") if self.measure(i) == "length"]
        words = self.scan.words()
        if "area_m2" in self.facts or "area_m2_range" in self.facts:
            return
        across = words & self.lexicon.lists["across_words"]
        if len(lengths) == 1 and across and words & self.lexicon.lists["round_words"]:
            self._circle(lengths[0], 1.0 if "radius" in words else 0.5)
            return
        if len(lengths) == 2 and (
            self.slot == "area"
            or (words & {"wide", "width", "large", "broad"} and words & {"long", "length"})
        ):
            pair = lengths
        elif len(lengths) == 1 and "square" in words and self.slot == "area":
            pair = lengths * 2
        elif len(lengths) == 1 and (times := self._times(words)):
            other = replace(lengths[0], si=(lengths[0].si[0] * times, lengths[0].si[1] * times), number=None)
            pair = [lengths[0], other]
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

    def _times(self, words: set[str]) -> float:
        """'8 metres wide and twice that long': how many times the one side the other is."""
        if not (words & {"wide", "width", "broad"} and words & {"long", "length"}):
            return 0.0
        if words & {"twice", "double", "doubled"}:
            return 2.0
        return 0.5 if "half" in words else 0.0

    def _circle(self, item: Item, share: float) -> None:
        """'a round yard, 12 m across': `share` of the length told is the radius."""
        self.out.used.add(item.start)
        radius_m = item.si[0] * share
        spoken = f"pi x ({item.number.low * share:g} {item.unit})**2" if item.number is not None else ""
        self._area(math.pi * radius_m**2, math.pi * radius_m**2, item, spoken)

    def _named_pens(self) -> bool:
        """'big shed 12 cows 10 x 8, small shed 5 calves 4 x 5': pens of their own, whose floors are not one."""
        lists, start, own = self.lexicon.lists, 0, 0
        for item in (i for i in self.items if i.kind == "sides"):
            stretch = [i for i in self.items if start <= i.start < item.start]
            words = {t.text for t in self.scan.tokens[start : item.start]}
            roomed = words & (lists["rooms"] | lists["pens"])
            own += bool(roomed and (words & lists["which_pen"] or any(i.kind == "animal" for i in stretch)))
            start = item.end
        return own > 1

    def sides(self) -> None:
        if not self.asking and self.slot in ("", "area", "animals", "materials") and self._named_pens():
            for key in ("animals", "materials", "area_m2", "area_as"):
                self.facts.pop(key, None)
            self.out.used.update(i.start for i in self.items if i.kind in ("sides", "number"))
            self.out.clarify[:] = ["which pen to begin with"]
            return
        if self._pieced_together():
            return
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
            ) and not (item.unit and self.scan.words() & self.lexicon.lists["rooms"]):
                continue
            self.out.used.add(item.start)
            if not item.unit:
                if self.scan.us:
                    area = item.si[0] * 0.09290304
                    self.facts.update(span_value("area_m2", area, area))
                    continue
                self.out.clarify.append("unit of the length and width")
                continue
            several = len(self.free("sides")) > 0 or "area_m2" in self.facts
            times = 1.0 if several else self._how_many_pens(place) * self._doubled()
            area = item.si[0] * times
            self._area(area, area, item, item.spoken if times == 1 else f"{times:g} x {item.spoken}")

    def _of_bedding(self, place: int, item: Item) -> bool:
        """'Wood shavings 12 cm on concrete', '10 inches of chips': a depth, right beside the bedding."""
        after = [i.text for i in self.items[place + 1 : place + 2]] == ["of"]
        if item.si[1] > 2 or item.unit not in (("cm", "inch", "ft") if after else ("cm", "inch")):
            return False
        named = self.items[place + 2 : place + 3] if after else self.items[max(0, place - 1) : place]
        return bool(named) and named[0].kind == "material"

    def _pieced_together(self) -> bool:
        """'10 x 8 m plus 4 x 5 m', '7 by 5 metres, take off a metre by two'."""
        parts = [item for _, item in self.free("sides")]
        units = {item.unit for item in parts if item.unit}
        if len(units) > 1 or (units and self.lexicon.unit(next(iter(units))).measures != "length"):
            return False
        if not units:
            return False
        unit = next(iter(units))
        factor = self.lexicon.unit(unit).factor
        parts = [
            item
            if item.unit
            else replace(item, unit=unit, si=(item.si[0] * factor**2, item.si[1] * factor**2))
            for item in parts
        ]
        if self.slot not in ("area", "") or len(parts) < 2 or self.asking:
            return False
        area, spoken = parts[0].si[0], parts[0].spoken
        for before, part in pairwise(parts):
            joint = {token.text for token in self.scan.tokens[before.end : part.start]}
            less = bool(joint & self.lexicon.lists["area_less"])
            if not less and not joint & self.lexicon.lists["area_more"]:
                return False
            area += -part.si[0] if less else part.si[0]
            spoken += f" {'-' if less else '+'} {part.spoken}"
        if area <= 0:
            return False
        self.out.used.update(item.start for item in parts)
        self._area(area, area, parts[0], spoken)
        return True

    def _doubled(self) -> float:
        """'each side of the passage', 'double that'."""
        line = " ".join(t.text for t in self.scan.tokens)
        return 2.0 if any(p in f" {line} " for p in self.lexicon.phrases("doubled")) else 1.0

    def _how_many_pens(self, place: int) -> float:
        if place > 1 and self.items[place - 1].text in ("of", ",", "at", "x", "@"):
            item = self.items[place - 2]
            led = {i.text for i in self.items[max(0, place - 5) : place - 2]} & self.lexicon.lists["pens"]
            if led and item.kind == "number" and item.number and 2 <= item.number.low <= 20:
                self.out.used.add(item.start)
                return item.number.low
        before = list(self.items[max(0, place - 5) : place])
        for spot, item in enumerate(before):
            if (
                item.kind == "number"
                and item.number
                and 2 <= item.number.low <= 20
                and item.start not in self.out.used
            ):
                following = {i.text for i in before[spot + 1 :]}
                if following & self.lexicon.lists["pens"]:
                    self.out.used.add(item.start)
                    return item.number.low
        return 1.0

    def _area(self, low: float, high: float, item: Item, spoken: str) -> None:
        if low <= 0 or high > 200_000:
            self.out.queried.append("floor area")
            return
        if "area_m2" in self.facts and self.slot != "area":
            low, high = low + self.facts["area_m2"], high + self.facts["area_m2"]
            spoken = f"{self.facts.get('area_as', '')} + {spoken}"
        self.facts.update(span_value("area_m2", low, high))
        self.facts["area_as"] = spoken

    def _reached(self, place: int) -> bool:
        """'the dung came to 3 feet', 'the bed rose a metre'."""
        before = {i.text for i in self.items[max(0, place - 7) : place]}
        lists = self.lexicon.lists
        return bool(before & lists["pack_words"]) and bool(before & lists["reached_words"])

    def _height_of(self, place: int) -> str:
        """'the gate is 1.5 m high': a height in the pen that is no depth of the pack; '' where it is none."""
        before = [i.text for i in self.items[max(0, place - 6) : place]]
        after = [i.text for i in self.items[place + 1 : place + 4]]
        if not self.near(place, "high_words") or set(after[:1]) & {"wide", "long", "across", "broad", "deep"}:
            return ""
        if set(before) & self.lexicon.lists["pack_words"]:
            return ""  # 'the pack is 1.2 m high at the gate'
        for name in ("gate", "drinker", "barrier", "headroom"):
            if set(before + after) & self.lexicon.lists[f"{name}_words"]:
                return name if name == "headroom" else f"height of the {name}"
        return ""

    def _own_floor(self, place: int) -> bool:
        words = {i.text for i in self.items[max(0, place - 4) : place]}
        return not words & {"the", "that", "this", "your"} or bool(
            words & {"my", "have", "on", "in", "our", "a"}
        )

    def _length(self, place: int, item: Item, of: str) -> None:
        slot, low, high = self.slot, *item.si
        wide = [i.text for i in self.items[place + 1 : place + 2]] in (["wide"], ["across"], ["broad"])
        near_depth = self.near(place, "depth_words") and not wide
        self.out.used.add(item.start)
        if not self.asking and (of_what := self._height_of(place)):
            self.quantity(of_what, item, item.si, "m")
            return
        if (
            slot == "depth"
            or (slot != "area" and near_depth and not self.asking)
            or (self.asking and near_depth and not slot and "headroom" not in self.scan.words())
            or (self.asking and not slot and self._of_bedding(place, item))
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
            and "depth_cm" not in self.facts
            and "depth_cm_range" not in self.facts
            and high <= 4
            and (
                (item.unit in ("cm", "inch") and self.scan.words() & self.lexicon.lists["pack_words"])
                or self._of_bedding(place, item)
                or self._reached(place)
            )
        ):
            self.facts.update(span_value("depth_cm", low * 100, high * 100))
            self.facts["depth_as"] = item.spoken
            self.facts["depth_of"] = "base layer" if self.near(place, "base_words", 6, 6) else "pack"
        elif (
            slot == "" and not self.asking and "area_m2" not in self.facts and self.measure(item) == "length"
        ):
            self.quantity("length", item, item.si, "m")
