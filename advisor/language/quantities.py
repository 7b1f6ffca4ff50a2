"""Numbers with a unit: ranges, feet and inches, degrees below zero, sizes of bales."""

from __future__ import annotations

from dataclasses import replace

from advisor.language.degrees import to_celsius
from advisor.language.lexicon import Lexicon
from advisor.language.numbers import Number, and_fraction, read_number, read_range
from advisor.language.tables import Asked
from advisor.language.text import Token

__all__ = ["Quantities", "spoken", "to_si", "unit_at"]


def unit_at(lexicon: Lexicon, texts: list[str], at: int) -> tuple[str, int] | None:
    while at < len(texts) and texts[at] == "-":
        at += 1
    if at >= len(texts):
        return None
    found = lexicon.units.match(texts, at)
    return (found[0].value, found[1]) if found else None


def to_si(lexicon: Lexicon, unit_name: str, value: float, us: bool) -> float:
    unit = lexicon.unit(unit_name)
    if unit.measures == "temperature":
        return to_celsius(value, unit_name)
    factor = unit.factor
    if us and unit.alt:
        short = [v for k, v in unit.alt.items() if k.startswith(("short", "us"))]
        factor = short[0] if short else factor
    return value * factor


def spoken(number: Number, unit: str) -> str:
    def show(value: float) -> str:
        return f"{value:g}"

    span = show(number.low) if not number.ranged else f"{show(number.low)} to {show(number.high)}"
    return f"{span} {unit}".strip()


class Quantities:
    """Reads a number and its unit at a place."""

    def __init__(self, tokens: list[Token], lexicon: Lexicon, asked: Asked | None) -> None:
        self.tokens, self.lexicon, self.asked = tokens, lexicon, asked
        self.texts = [token.text for token in tokens]
        self.stems = [token.stem for token in tokens]
        units = {
            name
            for at in range(len(tokens))
            if (m := lexicon.units.match(self.texts, at))
            for name in [m[0].value]
        }
        self.us = (
            any(lexicon.unit(name).system == "us" for name in units if name not in ("inch",))
            or "short ton" in units
        )

    def _quantity(self, at: int) -> tuple[Number, str, int] | None:
        """Number and unit; a range may carry its unit on both ends; feet may carry inches."""
        number = read_range(self.tokens, at, self.lexicon.tables.numbers)
        if number is None:
            found = self._one_unit(at)
            return self._and_half(*found) if found else None
        return self._counted_unit(at, number)

    def _one_unit(self, at: int) -> tuple[Number, str, int] | None:
        """'a foot', 'an acre', 'one bale'."""
        if at == 0 and self.texts[1:2] == ["and"]:  # 'foot and a half'
            bare = unit_at(self.lexicon, self.texts, 0)
            half = and_fraction(self.tokens, 1, self.lexicon.tables.numbers)
            if bare and bare[0] in self.lexicon.lists["lone_units"] and bare[1] == 1 and half:
                return Number(1.0, 1.0, 1, worded=True), bare[0], 1
        if self.texts[at] not in ("a", "an", "one"):
            return None
        good = at + 1 < len(self.texts) and self.texts[at + 1] in self.lexicon.lists["more_or_less"]
        found = unit_at(self.lexicon, self.texts, at + 1 + good)
        lone = self.lexicon.lists["lone_units"]
        if not found or not (self.lexicon.unit(found[0]).measures == "pack" or found[0] in lone):
            return None
        if found[0] in lone and at and self.tokens[at - 1].kind == "num":
            return None
        if self.texts[at + 1] in ("t", "m", "min", "heap", "mo"):
            return None
        return Number(1.0, 1.0, found[1], worded=True), found[0], found[1]

    def _and_half(self, number: Number, unit: str, end: int) -> tuple[Number, str, int]:
        """'a foot and a half', 'two metres and three quarters'."""
        if small := self._and_small(number, unit, end):
            return small
        part = and_fraction(self.tokens, end, self.lexicon.tables.numbers)
        follow = unit_at(self.lexicon, self.texts, part[1]) if part else None
        if (
            part is None
            or follow
            or number.ranged
            or (part[1] < len(self.texts) and self.texts[part[1]] == "of")
        ):
            return number, unit, end
        return replace(number, low=number.low + part[0], high=number.high + part[0]), unit, part[1]

    def _and_small(self, number: Number, unit: str, end: int) -> tuple[Number, str, int] | None:
        """'two foot six deep', 'a metre twenty': the smaller unit left unsaid, or said after metres."""
        spelled = {"ft": ("foot", "ft", "feet"), "m": ("metre", "metres", "meter", "meters")}.get(unit, ())
        sides = ("x", "by")  # '5 m by 4 m 50'
        sided = bool({*self.texts[end + 1 : end + 2], *self.texts[max(0, end - 3) : end - 2]} & {*sides})
        short = unit == "m" and self.texts[end - 1] == "m" and sided
        if number.ranged or not (self.texts[end - 1] in spelled or short) or end >= len(self.texts):
            return None
        more = read_number(self.tokens, end, self.lexicon.tables.numbers)
        if more is None or more.low != int(more.low):
            return None
        said = unit_at(self.lexicon, self.texts, more.end)
        after = self.texts[more.end] if more.end < len(self.texts) else ""
        if (
            unit == "ft"
            and 0 < more.low < 12
            and said is None
            and after in self.lexicon.lists["after_small_part"]
        ):
            part, last = more.low / 12, more.end
        elif unit == "m" and 10 <= more.low < 100 and said is not None and said[0] == "cm":
            part, last = more.low / 100, said[1]
        elif (
            unit == "m"
            and 10 <= more.low < 100
            and (said is None or after in ("x", "in"))
            and (after in self.lexicon.lists["after_small_part"] or after in ("", ",", ".", ")", ";", "!"))
        ):
            part, last = more.low / 100, more.end
        else:
            return None
        return replace(number, low=number.low + part, high=number.high + part), unit, last

    def _size_of_pack(self, at: int) -> int | None:
        """The place after '4x5' or '6 foot' where it only says how big a bale is."""
        place, sides = at, 0
        while place < len(self.tokens) and sides < 3:
            token = self.tokens[place]
            if (
                token.kind != "num"
                or len(token.text) > 3
                or not 0 < float(token.text.replace(",", ".")) <= 10
            ):
                return None
            place, sides = place + 1, sides + 1
            feet = unit_at(self.lexicon, self.texts, place)
            if feet and feet[0] in ("ft", "m"):
                place, measured = feet[1], True
            else:
                measured = False
            if place < len(self.texts) and self.texts[place] in ("x", "by", "*"):
                place += 1
                continue
            pack = unit_at(self.lexicon, self.texts, place)
            whole = sides > 1 or measured
            if whole and pack and pack[0].endswith("bale") and self.texts[place] not in ("roll", "rolls"):
                return place
            return None
        return None

    def _below_zero(self, end: int, unit: str) -> tuple[str, str, int] | None:
        """(zero or freezing, unit, place after) of 'below', 'under freezing', 'below zero F' after a number."""
        if self.texts[end : end + 1] not in (["below"], ["under"]):
            return None
        place, of = end + 1, "zero"
        if place < len(self.texts) and self.texts[place] in ("zero", "freezing", "nought", "0", "nil"):
            of, place = self.texts[place], place + 1
            said = True
        else:
            said = False
        found = unit_at(self.lexicon, self.texts, place) if not unit else None
        if found and self.lexicon.unit(found[0]).measures in ("temperature", "degrees"):
            return of, found[0], found[1]
        asked = self.asked is not None and self.asked.slot == "temperature"
        return (of, unit, place) if said or unit or asked else None

    def _counted_unit(self, at: int, number: Number) -> tuple[Number, str, int] | None:
        words = self.lexicon.tables.numbers
        after = number.end
        while (
            after < len(self.texts)
            and self.texts[after]
            in (
                "odd",
                "ish",
                "plus",
                "big",
                "small",
                "full",
                "or",
                "so",
                "of",
                "good",
                "bloody",
                "more",
                "little",
            )
            and unit_at(self.lexicon, self.texts, after) is None
        ):
            if (
                self.texts[after] == "of"
                and self.texts[after + 1 : after + 2] in (["a"], ["an"])
                and number.low < 1
            ):
                after += 2
                break
            if self.texts[after] == "or" and self.texts[after + 1 : after + 2] != ["so"]:
                break
            after += 1
        if not unit_at(self.lexicon, self.texts, after) and (sized := self._size_of_pack(after)):
            after = sized
        if (cold := self._below_zero(after, "")) and cold[1]:
            return self._minus(number, cold[0], cold[1]), cold[1], cold[2]
        found = unit_at(self.lexicon, self.texts, after)
        if found is None:
            return None
        unit, end = found
        if number.low < 0 and self.texts[end - 1] in ("night", "nights"):
            return None  # 'minus 18 of a night'
        if self.lexicon.unit(unit).measures in ("temperature", "degrees") and (
            cold := self._below_zero(end, unit)
        ):
            return self._minus(number, cold[0], unit), unit, cold[2]
        if unit == "inch" and self.texts[end - 1] == "in" and not self._inch_is_meant(after, end):
            return None
        if (
            unit == "degC"
            and self.texts[end - 1] == "c"
            and end < len(self.texts)
            and self.texts[end] in (":", "/")
        ):
            return None
        if unit == "day" and self.texts[end - 1] == "d" and not self.tokens[end - 1].tight:
            return None
        if self.texts[end - 1] in ("'", '"') and not self.tokens[end - 1].tight:
            return None
        if unit in ("ft", "stone") and end < len(self.texts):
            more = read_number(self.tokens, end + (self.texts[end] == "and"), words)
            if more is not None and more.low < (12 if unit == "ft" else 14):
                small = unit_at(self.lexicon, self.texts, more.end)
                next_text = self.texts[more.end] if more.end < len(self.texts) else ""
                want = "inch" if unit == "ft" else "lb"
                if (small and small[0] == want) or (
                    small is None
                    and self.texts[end] != "and"
                    and next_text in ("", ",", "x", "by", ".", ")")
                    and not number.ranged
                ):
                    part = more.low / (12 if unit == "ft" else 14)
                    end = small[1] if small and small[0] == want else more.end
                    return replace(number, low=number.low + part, high=number.high + part), unit, end
        number, unit, end = self._and_half(number, unit, end)
        if (
            not number.ranged
            and end < len(self.texts)
            and self.texts[end] in ("to", "-", "or", "and", "till")
        ):
            second = read_number(self.tokens, end + 1, words) if end + 1 < len(self.tokens) else None
            if (
                second is not None
                and second.low > number.low
                and (
                    self.texts[end] != "and"
                    or (at and self.texts[at - 1] == "between")
                    or self.texts[at] == "between"
                )
            ):
                unit_2 = unit_at(self.lexicon, self.texts, second.end)
                if unit_2 and unit_2[0] == unit and self.lexicon.unit(unit).measures != "pack":
                    return replace(number, high=second.low), unit, unit_2[1]
        return number, unit, end

    def _minus(self, number: Number, of: str, unit: str) -> Number:
        base = 32.0 if of == "freezing" and unit == "degF" else 0.0
        return replace(number, low=base - abs(number.high), high=base - abs(number.low))

    def _inch_is_meant(self, start: int, end: int) -> bool:
        """'4 in deep' or '6in' is inches; '12 in the shed' is not."""
        after = self.texts[end] if end < len(self.texts) else ""
        return self.tokens[start].tight or after in (
            "deep",
            "of",
            "thick",
            "",
            "x",
            "by",
            ".",
            ",",
            "high",
            "tall",
            "or",
            "layer",
        )
