"""From tokens to items: names, numbers with units, dates and sides of a floor, in the order they were said."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from advisor.language.dates import read_date
from advisor.language.items import Item, Scan
from advisor.language.kin import settle
from advisor.language.lexicon import Lexicon
from advisor.language.measures import Measures, spoken, unit_at
from advisor.language.numbers import read_range
from advisor.language.prepare import prepare
from advisor.language.prices import price_at
from advisor.language.tables import Asked
from advisor.language.text import Token, plain, tokenise

__all__ = ["Item", "Scan", "asked_of", "scan"]


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


class _Scanner(Measures):
    """One pass over the tokens; each place is tried as price, date, sides, amount, number, name, then word."""

    def __init__(
        self, tokens: list[Token], lexicon: Lexicon, asked: Asked | None, today: dt.date | None
    ) -> None:
        super().__init__(tokens, lexicon, asked)
        self.today = today
        slot = asked.slot if asked else ""
        self.dates_expected = slot in ("start", "end", "period") or any(
            "date" in token.tags for token in tokens
        )

    def run(self) -> list[Item]:
        out: list[Item] = []
        at = 0
        while at < len(self.tokens):
            item = (
                self._size(at)
                or price_at(self.tokens, at, self.lexicon)
                or self._date(at)
                or self._sides(at)
                or self._amount(at)
                or self._number(at)
                or self._name(at)
            )
            if item is None:
                token = self.tokens[at]
                item = Item("word" if token.kind in ("word", "num") else "sign", at, at + 1, token.text)
            out.append(item)
            at = max(item.end, at + 1)
        return out

    def _size(self, at: int) -> Item | None:
        """'4x5' before 'rounds': the size of a bale, no floor."""
        end = self._size_of_pack(at)
        return Item("word", at, end, "sized") if end else None

    def _date(self, at: int) -> Item | None:
        if self.tokens[at].kind not in ("word", "num"):
            return None
        dates, numbers = self.lexicon.tables.dates, self.lexicon.tables.numbers
        expected = self.dates_expected
        expected = expected or self._day_alone(at)
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

    def _day_alone(self, at: int) -> bool:
        """'Turnout is the 25th': a day without its month, where something comes in or goes out."""
        after = self.texts[at + 3 : at + 4]
        ended = (
            not after
            or self.tokens[at + 3].kind in ("end", "sign")
            or after[0] in self.lexicon.lists["subjects"]
        )
        lists = self.lexicon.lists
        moves = (lists["moves_out"] | lists["moves_in"]) & set(self.texts)
        return self.texts[at] == "the" and self.texts[at + 2 : at + 3] == ["th"] and ended and bool(moves)

    def _measured(self, at: int) -> bool:
        """Whether a unit follows, so that '3/4' was a fraction."""
        return unit_at(self.lexicon, self.texts, at) is not None

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
        if cold := self._below_zero(end, ""):
            number, end = self._minus(number, cold[0], ""), cold[2]
        elif self.texts[end : end + 2] in (["above", "freezing"], ["above", "zero"], ["over", "freezing"]):
            end += 2
        return Item(
            "number",
            at,
            end,
            " ".join(self.texts[at:end]),
            number=replace(number, end=end),
            si=(number.low, number.high),
            spoken=spoken(number, ""),
        )

    def _name(self, at: int) -> Item | None:
        found = self.lexicon.names.match(self.stems, at)
        if found is None:
            return None
        name, end = found
        lists = self.lexicon.lists
        if end == at + 1 and (
            self.texts[at] in lists["not_names"]
            or (self.texts[at] in lists["not_names_of"] and self.texts[end : end + 1] == ["of"])
            or (self.texts[at] in lists["not_names_in"] and self.texts[max(0, at - 1) : at] == ["in"])
        ):
            return None
        before = self.texts[at - 1] if at else ""
        only_one = before == "an" or (before == "the" and any("animal" in t.tags for t in self.tokens[end:]))
        return Item(
            name.kind,
            at,
            end,
            " ".join(self.texts[at:end]),
            name=name.value,
            weak=name.weak,
            refused=name.refused and not only_one,
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
    tokens, slips = prepare(tokenise(text)[:400], lexicon)
    scanner = _Scanner(tokens, lexicon, asked, today)
    return Scan(
        text,
        tuple(tokens),
        tuple(settle(scanner.run(), tokens, lexicon, asked, subject)),
        asked,
        subject,
        scanner.us,
        message[:2000],
        slips,
    )
