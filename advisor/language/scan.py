"""From tokens to items: names, numbers with units, dates and sides of a floor, in the order they were said."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from advisor.language.dates import DateRead, read_date
from advisor.language.lexicon import Lexicon, Name
from advisor.language.numbers import Number, read_number, read_range
from advisor.language.tables import Asked
from advisor.language.text import Token, plain, root, stem, tokenise
from advisor.units import UnitError, convert

__all__ = ["Item", "Scan", "scan"]


@dataclass(frozen=True)
class Item:
    """Something said: a name, a bare number, an amount, sides, a date, or one plain token."""

    kind: str  # word, sign, number, amount, sides, date, animal, material, breed, pack
    start: int
    end: int
    text: str
    name: str = ""
    number: Number | None = None
    unit: str = ""
    si: tuple[float, float] = (0.0, 0.0)
    date: DateRead | None = None
    weak: bool = False
    refused: bool = False
    unit_mass: tuple[float, float] | None = None  # of one pack, kg
    unit_volume: tuple[float, float] | None = None
    spoken: str = ""  # in the user's own units
    breed: str = ""


@dataclass(frozen=True)
class Scan:
    """A message read as tokens and items."""

    text: str
    tokens: tuple[Token, ...]
    items: tuple[Item, ...]
    asked: Asked | None = None
    subject: str = ""
    us: bool = False
    raw: str = ""
    slips: Mapping[str, str] = field(default_factory=dict)

    def words(self) -> set[str]:
        """Every token text."""
        return {token.text for token in self.tokens}


def _rewrite(tokens: list[Token], lexicon: Lexicon) -> list[Token]:
    out: list[Token] = []
    at = 0
    while at < len(tokens):
        for old, new in lexicon.rewrites.get(tokens[at].text, ()):
            if tuple(t.text for t in tokens[at : at + len(old)]) == old:
                if old == ("c", "-", "n") and not tokens[at + 1].tight:
                    continue
                for word in new:
                    out.append(
                        replace(
                            tokens[at],
                            text=word,
                            kind="num" if word.isdigit() else "word",
                            stem=stem(word),
                            root=root(word),
                        )
                    )
                at += len(old)
                break
        else:
            out.append(tokens[at])
            at += 1
    return out


def _mend(tokens: list[Token], lexicon: Lexicon) -> tuple[list[Token], dict[str, str]]:
    """Unknown words that are one slip from a known one are read as it."""
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    slips: dict[str, str] = {}
    out = []
    for token in tokens:
        word = token.text
        unknown = (
            token.kind == "word" and len(word) >= 4 and word.isalpha() and word not in lexicon.known
            and token.stem not in lexicon.known and token.root not in lexicon.known
            and word not in lexicon.lists["not_typos"]
        )  # fmt: skip
        if unknown and len(slips) < 12:
            most = 1 if len(word) <= 6 else 2
            target = token.stem if len(token.stem) >= 4 else word
            found = process.extract(
                target, lexicon.typo_targets, scorer=OSA.distance, score_cutoff=most, limit=3
            )
            found = [hit for hit in found if hit[0][0] == target[0] or len(target) > 5]
            clear = found and (
                len(found) == 1 or found[0][1] < found[1][1] or stem(found[0][0]) == stem(found[1][0])
            )
            if clear and found[0][1] <= (1 if len(found[0][0]) <= 6 else 2):
                slips[word] = found[0][0]
                token = token.renamed(found[0][0])
        out.append(token)
    return out, slips


def _tag(tokens: list[Token], lexicon: Lexicon) -> list[Token]:
    """Mark what kind of thing each token is, for patterns."""
    stems = [token.stem for token in tokens]
    texts = [token.text for token in tokens]
    tags: list[set[str]] = [set() for _ in tokens]
    at = 0
    while at < len(tokens):
        found = lexicon.names.match(stems, at)
        if found and not found[0].weak and not found[0].refused:
            for place in range(at, found[1]):
                tags[place].add("animal" if found[0].kind == "breed" else found[0].kind)
            at = found[1]
            continue
        at += 1
    months, numbers = lexicon.tables.dates.months, lexicon.tables.numbers
    for place, token in enumerate(tokens):
        if (
            token.kind == "word"
            and len(token.text) > 2
            and not {token.text, token.stem, token.root} & lexicon.known
        ):
            tags[place].add("unknown")  # most likely somebody's name
        if token.kind == "num" or (token.text in numbers.small and token.text != "one"):
            tags[place].add("number")
        if token.text in months and token.text not in lexicon.tables.dates.unsure_months:
            tags[place].add("date")
        if lexicon.units.match(texts, place):
            tags[place].add("unit")
    return [
        replace(token, tags=frozenset(tag)) if tag else token for token, tag in zip(tokens, tags, strict=True)
    ]


def _unit_at(lexicon: Lexicon, texts: list[str], at: int) -> tuple[str, int] | None:
    while at < len(texts) and texts[at] == "-":
        at += 1
    if at >= len(texts):
        return None
    found = lexicon.units.match(texts, at)
    return (found[0].value, found[1]) if found else None


def _to_si(lexicon: Lexicon, unit_name: str, value: float, us: bool) -> float:
    unit = lexicon.unit(unit_name)
    if unit.measures == "temperature":
        return convert(value, unit_name, "degC")
    factor = unit.factor
    if us and unit.alt:
        short = [v for k, v in unit.alt.items() if k.startswith(("short", "us"))]
        factor = short[0] if short else factor
    return value * factor


def _spoken(number: Number, unit: str) -> str:
    def show(value: float) -> str:
        return f"{value:g}"

    span = show(number.low) if not number.ranged else f"{show(number.low)} to {show(number.high)}"
    return f"{span} {unit}".strip()


#: words after which 'may' or 'march' is a month
_BEFORE_MONTH = {
    "in",
    "of",
    "early",
    "mid",
    "late",
    "till",
    "until",
    "to",
    "from",
    "by",
    "end",
    "start",
    "-",
    "since",
    "around",
    "about",
    "before",
    "after",
    "through",
    "thru",
    "and",
    "or",
    "til",
    "out",
    "into",
    "during",
    "beginning",
    "middle",
}


class _Scanner:
    """One pass over the tokens; each place is tried as date, sides, amount, number, name, then word."""

    def __init__(
        self, tokens: list[Token], lexicon: Lexicon, asked: Asked | None, today: dt.date | None
    ) -> None:
        self.tokens, self.lexicon, self.asked, self.today = tokens, lexicon, asked, today
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
        slot = asked.slot if asked else ""
        self.dates_expected = slot in ("start", "end", "period") or any(
            "date" in token.tags for token in tokens
        )

    def run(self) -> list[Item]:
        out: list[Item] = []
        at = 0
        while at < len(self.tokens):
            item = self._date(at) or self._sides(at) or self._amount(at) or self._number(at) or self._name(at)
            if item is None:
                token = self.tokens[at]
                item = Item("word" if token.kind in ("word", "num") else "sign", at, at + 1, token.text)
            out.append(item)
            at = max(item.end, at + 1)
        return out

    def _date(self, at: int) -> Item | None:
        if self.tokens[at].kind not in ("word", "num"):
            return None
        dates, numbers = self.lexicon.tables.dates, self.lexicon.tables.numbers
        expected = self.dates_expected
        found = read_date(self.tokens, at, dates, numbers, expected, self.today)
        if found is None:
            return None
        before = self.texts[at - 1] if at else ""
        if (
            found.end == at + 1
            and self.texts[at] in dates.unsure_months
            and at
            and before not in _BEFORE_MONTH
        ):
            return None
        if found.ambiguous and self._measured(found.end):
            return None
        return Item("date", at, found.end, " ".join(self.texts[at : found.end]), date=found)

    def _measured(self, at: int) -> bool:
        """Whether a unit follows, so that '3/4' was a fraction."""
        return _unit_at(self.lexicon, self.texts, at) is not None

    def _quantity(self, at: int) -> tuple[Number, str, int] | None:
        """Number and unit; a range may carry its unit on both ends; feet may carry inches."""
        words = self.lexicon.tables.numbers
        number = read_range(self.tokens, at, words)
        if number is None:
            if self.texts[at] in ("a", "an", "one", "each", "per") and self.texts[at] in ("a", "an", "one"):
                found = _unit_at(self.lexicon, self.texts, at + 1)
                if found and (
                    self.lexicon.unit(found[0]).measures == "pack"
                    or found[0]
                    in (
                        "ton",
                        "tonne",
                        "fortnight",
                        "week",
                        "month",
                        "hectare",
                        "acre",
                        "metre",
                        "m",
                        "ft",
                        "cwt",
                        "quintal",
                        "cubic yard",
                    )
                ):
                    if (
                        found[0] in ("ton", "tonne", "m", "ft", "fortnight", "week", "month")
                        and at
                        and self.tokens[at - 1].kind in ("num",)
                    ):
                        return None
                    if self.texts[at + 1] in ("t", "m", "min", "heap", "mo"):
                        return None
                    return Number(1.0, 1.0, found[1], worded=True), found[0], found[1]
            return None
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
            and _unit_at(self.lexicon, self.texts, after) is None
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
        found = _unit_at(self.lexicon, self.texts, after)
        if found is None:
            return None
        unit, end = found
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
                small = _unit_at(self.lexicon, self.texts, more.end)
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
        half = self.texts[end : end + 3]
        if half[:2] == ["and", "a"] and len(half) == 3 and half[2] in words.fraction:
            extra = words.fraction[half[2]]
            number, end = replace(number, low=number.low + extra, high=number.high + extra), end + 3
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
                unit_2 = _unit_at(self.lexicon, self.texts, second.end)
                if unit_2 and unit_2[0] == unit and self.lexicon.unit(unit).measures != "pack":
                    return replace(number, high=second.low), unit, unit_2[1]
        return number, unit, end

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

    def _amount(self, at: int) -> Item | None:
        found = self._quantity(at)
        if found is None:
            return self._pack_with_mass(at)
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
            and self.stems[end] in ("bale", "bag")
            and unit != "heap"
        ):
            end += 1
        if unit == "yd" and not number.ranged and self._is_volume(end):
            unit = "cubic yard"
        si = (
            (
                _to_si(self.lexicon, unit, number.low, self.us),
                _to_si(self.lexicon, unit, number.high, self.us),
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
            spoken=_spoken(number, unit),
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

    def _pack_word(self, at: int) -> tuple[str, int] | None:
        while at < len(self.texts) and self.texts[at] in ("-", "each", "weight", "size", "sized"):
            if self.texts[at] == "each":
                return None
            at += 1
        found = _unit_at(self.lexicon, self.texts, at) if at < len(self.texts) else None
        if found and self.lexicon.unit(found[0]).measures == "pack":
            end = found[1]
            while end < len(self.texts) and self.stems[end] in ("bale", "bag"):
                end += 1
            return found[0], end
        return None

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
            spoken=_spoken(number, inner.unit),
        )

    def _sides(self, at: int) -> Item | None:
        first = self._quantity(at)
        if first and self.lexicon.unit(first[1]).measures != "length":
            return None
        number = read_number(self.tokens, at, self.lexicon.tables.numbers) if first is None else first[0]
        if number is None or number.low <= 0:
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
        if joint not in ("x", "by", "times", "*", "on", "and", ",", "mal"):
            return None
        if (
            joint in ("on", "and", ",", "times")
            and not dims
            and not (joint == "on" and self._length_follows(end + 1))
        ):
            return None
        if end + 1 >= len(self.tokens):
            return None
        second = self._quantity(end + 1)
        if second and self.lexicon.unit(second[1]).measures not in ("length", "area"):
            second = None
        other = (
            read_number(self.tokens, end + 1, self.lexicon.tables.numbers) if second is None else second[0]
        )
        if other is None or other.low <= 0 or (other.ambiguous and not second):
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

    def _number(self, at: int) -> Item | None:
        number = read_range(self.tokens, at, self.lexicon.tables.numbers)
        if number is None:
            return None
        if (
            self.texts[at] in ("half", "quarter")
            and number.end == at + 1
            and (self.asked is None or self.asked.slot not in ("moisture", "amount", "depth"))
        ):
            return None
        end = number.end
        while end < len(self.texts) and self.texts[end] in ("odd", "ish"):
            end += 1
        return Item(
            "number",
            at,
            end,
            " ".join(self.texts[at:end]),
            number=replace(number, end=end),
            si=(number.low, number.high),
            spoken=_spoken(number, ""),
        )

    def _name(self, at: int) -> Item | None:
        found = self.lexicon.names.match(self.stems, at)
        if found is None:
            return None
        name, end = found
        return Item(
            name.kind,
            at,
            end,
            " ".join(self.texts[at:end]),
            name=name.value,
            weak=name.weak,
            refused=name.refused,
        )


def asked_of(neutral: str | None, lexicon: Lexicon) -> tuple[Asked | None, str]:
    """The question asked, and its CLASS or MATERIAL."""
    if not neutral:
        return None, ""
    text = " ".join(neutral.lower().split())
    for entry in lexicon.tables.asked.values():
        words = entry.words.lower()
        head, _, name = words.partition(": ")
        if text == words:
            return entry, ""
        if name in ("class", "material") and text.startswith(head + ":"):
            return entry, text[len(head) + 1 :].strip()
    return None, ""


def scan(message: str, neutral: str | None, lexicon: Lexicon, today: dt.date | None) -> Scan:
    """Read a message as items."""
    asked, subject = asked_of(neutral, lexicon)
    text = plain(message)
    tokens = _rewrite(_rewrite(tokenise(text)[:400], lexicon), lexicon)
    tokens, slips = _mend(tokens, lexicon)
    tokens = _tag(tokens, lexicon)
    scanner = _Scanner(tokens, lexicon, asked, today)
    return Scan(text, tuple(tokens), tuple(scanner.run()), asked, subject, scanner.us, message[:2000], slips)


__all__ += ["Name", "UnitError", "asked_of"]
