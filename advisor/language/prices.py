"""Prices: '£80/t', '80 quid a ton', '4.50 a bale', 'straw is 80 pounds a tonne'. Money is no amount of bedding."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from advisor.language.items import Item
from advisor.language.lexicon import Lexicon
from advisor.language.numbers import Number, read_range
from advisor.language.quantities import unit_at
from advisor.language.text import Token

__all__ = ["price_at"]

_PENNIES = re.compile(r"\d+[.,]\d\d")
_PER = ("a", "an", "per", "/", "the", "each", "every", "for")
_EACH = ("each", "apiece", "ea")
#: a big bale of less is a price, since none weighs so little
_LEAST_BIG_BALE_LB = 60.0


def price_at(tokens: Sequence[Token], at: int, lexicon: Lexicon) -> Item | None:
    """The price that starts at a token, `unit` its money and `name` what it is for ('' where that is not said).

    `weak` where '40 pounds each' may be money as well as weight.
    """
    texts = [token.text for token in tokens]
    signs, words = lexicon.lists["money_signs"], lexicon.lists["money_words"]
    money, place = (texts[at], at + 1) if texts[at] in signs else ("", at)
    if place >= len(tokens) or (tokens[place].kind != "num" and "number" not in tokens[place].tags):
        return None
    number = read_range(tokens, place, lexicon.tables.numbers)
    if number is None or number.low <= 0:
        return None
    end = number.end
    after = texts[end] if end < len(texts) else ""
    soft = False
    if after in signs and not money:
        money, end = after, end + 1
    elif after in words or (after == "p" and tokens[end].tight):
        money, end = after, end + 1 + (texts[end + 1 : end + 2] == ["sterling"])
    elif after in ("pound", "pounds"):
        soft = texts[end + 1 : end + 2] != ["sterling"] and not money
        money, end = "pounds", end + (1 if soft or money else 2)
    unit, last = _what_for(texts, end, lexicon)
    costs = bool(set(texts) & lexicon.lists["price_words"])
    if money and not soft:
        if after in lexicon.lists["money_or_more"] and not (unit or costs):
            return None
    elif soft or unit:
        verdict = _meant(tokens, place, number, unit, soft, costs, lexicon)
        if verdict is None or (not soft and _often(texts, last, lexicon)):
            return None
        if verdict == "unsure":
            return _item(tokens, at, last, number, money, unit, weak=True)
    else:
        return None
    return _item(tokens, at, last, number, money, unit)


def _what_for(texts: list[str], at: int, lexicon: Lexicon) -> tuple[str, int]:
    """The unit a price is for, 'each', or '', and the place after it."""
    if at >= len(texts):
        return "", at
    if texts[at] in _EACH or texts[at : at + 2] in (["a", "piece"], ["per", "piece"]):
        return "each", at + (1 if texts[at] in _EACH else 2)
    if texts[at] not in _PER:
        return "", at
    place = at + 1
    while place < len(texts) and texts[place] in ("a", "the", "metric", "whole"):
        place += 1
    found = unit_at(lexicon, texts, place) if place < len(texts) else None
    if found is None or lexicon.unit(found[0]).measures not in ("mass", "volume", "pack"):
        return "", at
    return found


def _meant(
    tokens: Sequence[Token], at: int, number: Number, unit: str, soft: bool, costs: bool, lexicon: Lexicon
) -> str | None:
    """Whether pounds, or a number without money, are a price: 'yes', 'unsure' or None."""
    measures = lexicon.unit(unit).measures if unit not in ("", "each") else unit
    bought = bool({t.text for t in tokens} & lexicon.lists["buying_words"])
    if measures == "mass":
        heavy = lexicon.unit(unit).factor >= 500
        return "yes" if costs or soft or (heavy and number.low >= 10) else None
    texts = [token.text for token in tokens]
    follow = texts[number.end + 1 : number.end + 2]
    if soft:
        weight = follow == ["of"] or set(texts) & lexicon.lists["weigh_words"]
        big = set(texts) & {"big", "large", "round", "rounds", "quads", "hestons"}
        if (costs and not weight) or (big and unit and number.high < _LEAST_BIG_BALE_LB):
            return "yes"
        if unit and follow == ["for"]:
            return "yes"
        return "unsure" if bought and measures in ("pack", "each") else None
    if unit == "each":
        return None
    return "yes" if costs or (_PENNIES.fullmatch(tokens[at].text) and number.low >= 1) else None


def _often(texts: list[str], at: int, lexicon: Lexicon) -> bool:
    """'2.50 a bale a day' is how much goes on."""
    spans = lexicon.tables.numbers.every_days
    return texts[at : at + 1] == ["daily"] or (
        texts[at : at + 1] in (["a"], ["per"], ["/"]) and bool(set(texts[at + 1 : at + 2]) & set(spans))
    )


def _item(
    tokens: Sequence[Token], start: int, end: int, number: Number, money: str, unit: str, weak: bool = False
) -> Item:
    return Item(
        "price",
        start,
        end,
        " ".join(t.text for t in tokens[start:end]),
        name=unit,
        number=replace(number, end=end),
        unit=money,
        weak=weak,
        si=(number.low, number.high),
        spoken=" ".join(t.text for t in tokens[start:end]),
    )
