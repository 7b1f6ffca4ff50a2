"""Numbers as people write them: digits, thousands, decimal commas, fractions, words, dozens, ranges."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from advisor.language.tables import Numbers
from advisor.language.text import Token

__all__ = ["Number", "and_fraction", "read_number", "read_range"]

_FRACTION_BELOW = {2, 3, 4, 5, 8, 10}


@dataclass(frozen=True)
class Number:
    """A number or a range, the place after it, and whether it can be read two ways."""

    low: float
    high: float
    end: int
    ambiguous: bool = False
    worded: bool = False

    @property
    def value(self) -> float:
        """The number, or the middle of the range."""
        return (self.low + self.high) / 2

    @property
    def ranged(self) -> bool:
        """Whether it is a range."""
        return self.high > self.low


def _digits(text: str) -> tuple[float, bool] | None:
    """The value of '1,250', '10,5', '1.250,5', and whether it could be another."""
    if len(text) > 15:
        return None
    if re.fullmatch(r"\d{1,3}(,\d{3})+(\.\d+)?", text):
        return float(text.replace(",", "")), False
    if re.fullmatch(r"\d{1,3}(\.\d{3}){2,}(,\d+)?|\d{1,3}(\.\d{3})+,\d+", text):
        return float(text.replace(".", "").replace(",", ".")), False
    if re.fullmatch(r"[1-9]\d{0,2}\.\d{3}", text):
        return float(text), True
    if re.fullmatch(r"\d*[.,]\d+|\d+", text):
        return float(text.replace(",", ".")), False
    return None


def _fraction_at(tokens: Sequence[Token], at: int) -> tuple[float, int] | None:
    """'1/2' as tokens."""
    if (
        at + 2 < len(tokens)
        and tokens[at + 1].text == "/"
        and tokens[at].kind == tokens[at + 2].kind == "num"
    ):
        top, below = tokens[at].text, tokens[at + 2].text
        if top.isdecimal() and below.isdecimal() and len(top) < 3 and len(below) < 3:
            a, b = int(top), int(below)
            after = tokens[at + 3].text if at + 3 < len(tokens) else ""
            if b in _FRACTION_BELOW and 0 < a < b and after != "/":
                return a / b, at + 3
    return None


def _word(tokens: Sequence[Token], at: int) -> str:
    return tokens[at].text if at < len(tokens) else ""


def and_fraction(tokens: Sequence[Token], at: int, words: Numbers) -> tuple[float, int] | None:
    """'and a half', 'and three quarters', after a number."""
    if _word(tokens, at) != "and":
        return None
    first, second = _word(tokens, at + 1), _word(tokens, at + 2)
    if first in ("a", "an") and second in words.fraction:
        return words.fraction[second], at + 3
    if first in words.fraction:
        return words.fraction[first], at + 2
    if first in words.small and second in words.fraction and words.small[first] < 10:
        return words.small[first] * words.fraction[second], at + 3
    return None


def _from_digits(tokens: Sequence[Token], at: int, words: Numbers) -> Number | None:
    if found := _fraction_at(tokens, at):
        return Number(found[0], found[0], found[1])
    read = _digits(tokens[at].text)
    if read is None:
        return None
    value, ambiguous = read
    end = at + 1
    after = _word(tokens, end)
    if (
        after in ("st", "nd", "rd", "th")
        and tokens[end].tight
        and (end >= len(tokens) or after != "st" or value % 10 == 1)
    ):
        return None
    if (
        end < len(tokens)
        and tokens[end].kind == "num"
        and re.fullmatch(r"\d{3}", after)
        and re.fullmatch(r"[1-9]\d{0,2}", tokens[at].text)
        and tokens[end].start == tokens[at].end + 1
        and (value < 20 or after == "000")
    ):
        value, end = value * 1000 + float(after), end + 1
    if (end < len(tokens) and (part := _fraction_at(tokens, end)) and value == int(value)) or (
        (part := and_fraction(tokens, end, words)) and value < 1000
    ):
        value, end = value + part[0], part[1]
    if _word(tokens, end) in words.multiplier:
        value, end = value * words.multiplier[_word(tokens, end)], end + 1
    return Number(value, value, end, ambiguous)


def _from_words(tokens: Sequence[Token], at: int, words: Numbers) -> Number | None:
    first, second = _word(tokens, at), _word(tokens, at + 1)
    if first in words.fraction:  # half a ton, quarter of a bale, half a dozen
        value, end = words.fraction[first], at + 1
        if first in ("third", "fifth", "eighth", "tenth", "quarters", "thirds", "halves", "fifths", "tenths"):
            return None
        if _word(tokens, end) == "of":
            end += 1
        if _word(tokens, end) in ("a", "an"):
            end += 1
        if _word(tokens, end) in words.multiplier:
            return Number(
                value * words.multiplier[_word(tokens, end)],
                value * words.multiplier[_word(tokens, end)],
                end + 1,
                worded=True,
            )
        return Number(value, value, end, worded=True)
    if first in ("a", "an"):
        if second in words.couple:
            end = at + 2 + (_word(tokens, at + 2) == "of")
            if second in ("single", "solitary", "lone") or _word(tokens, end) not in (
                "dozen",
                "hundred",
                "score",
                "thousand",
            ):
                return Number(words.couple[second], words.couple[second], end, worded=True)
            value = words.couple[second] * words.multiplier[_word(tokens, end)]
            return Number(value, value, end + 1, worded=True)
        if second in words.fraction:
            inner = _from_words(tokens, at + 1, words)
            return replace(inner, worded=True) if inner else None
        if second not in words.multiplier or second in ("k", "grand"):
            return None
    if first in words.couple and first != "single":
        end = at + 1 + (second == "of")
        if _word(tokens, end) in ("dozen", "hundred", "score", "thousand"):
            many = words.couple[first] * words.multiplier[_word(tokens, end)]
            return Number(many, many, end + 1, worded=True)
        return Number(words.couple[first], words.couple[first], end, worded=True)
    total = current = 0.0
    end, seen = at, False
    last = 1e9
    while end < len(tokens):
        word = _word(tokens, end)
        if word in ("-", "and") and seen:
            after = _word(tokens, end + 1)
            ok = after in words.small and (
                word == "-" or (last in (100.0, 1000.0) and words.small[after] < 100)
            )
            if (
                word == "-"
                and ok
                and not (20 <= last <= 90 and words.small[after] < 10 and tokens[end].tight)
            ):
                ok = False
            if not ok:
                break
            end += 1
            continue
        if word in words.small:
            value = words.small[word]
            if (
                seen
                and last < 1e9
                and not ((last >= 20 and value < 10 and last < 100) or (last >= 100 and value < 100))
            ):
                break
            current += value
            last = value if value else 0.0
        elif word in words.multiplier and (
            seen or (first in ("a", "an") and end == at + 1) or word in ("hundred", "dozen", "thousand")
        ):
            if word == "k":
                break
            factor = words.multiplier[word]
            current = (current or 1.0) * factor
            if factor >= 1000:
                total, current = total + current, 0.0
            last = factor
        elif word in ("a", "an") and end == at:
            end += 1
            continue
        else:
            break
        seen = True
        end += 1
    if not seen:
        return None
    value = total + current
    if 1 <= value < 10 and end == at + 1 and (tens := words.small.get(_word(tokens, end), 0.0)) >= 20:
        more = words.small.get(_word(tokens, end + 1), 10.0)
        stop = end + 2 if 0 < more < 10 else end + 1
        if stop >= len(tokens) or _hundreds_end(tokens, stop):  # 'three fifty wethers', 'one twenty five'
            value, end = value * 100 + tens + (more if stop == end + 2 else 0.0), stop
    if (
        _word(tokens, end) in words.fraction
        and _word(tokens, end + 1) not in ("horse", "horses")
        and value < 20
        and _word(tokens, end)
        in ("quarters", "thirds", "fifths", "tenths", "eighths", "halves", "quarter", "third")
    ):
        value, end = value * words.fraction[_word(tokens, end)], end + 1
        if _word(tokens, end) == "of":
            end += 1
            if _word(tokens, end) in ("a", "an"):
                end += 1
    elif part := _and_part(tokens, end, words, last):
        value, end = value + part[0], part[1]
    return Number(value, value, end, worded=True)


def _hundreds_end(tokens: Sequence[Token], at: int) -> bool:
    """What may follow 'one fifty' read as 150: animals, a unit that is no pack's, another such number."""
    packed = {token.stem for token in tokens[at + 1 : at + 2]} & {"bale", "bag", "sack", "one"}
    return (
        "animal" in tokens[at].tags
        or ("unit" in tokens[at].tags and tokens[at].stem not in ("bale", "bag", "sack") and not packed)
        or (tokens[at].text in ("to", "-") and _word(tokens, at + 2) != "" and _numbered(tokens, at + 1))
    )


def _numbered(tokens: Sequence[Token], at: int) -> bool:
    return at < len(tokens) and ("number" in tokens[at].tags or tokens[at].text == "one")


def read_number(tokens: Sequence[Token], at: int, words: Numbers) -> Number | None:
    """The single number that starts at a token."""
    if at >= len(tokens):
        return None
    token = tokens[at]
    if token.text in ("-", "minus", "+") and at + 1 < len(tokens) and tokens[at + 1].kind == "num":
        before = tokens[at - 1] if at else None
        glued = tokens[at + 1].tight and token.text == "-" and (before is None or not token.tight)
        if token.text == "minus" or (glued and (before is None or before.kind != "num")):
            inner = _from_digits(tokens, at + 1, words)
            return Number(-inner.low, -inner.low, inner.end, inner.ambiguous) if inner else None
        if token.text == "+" and glued:
            return _from_digits(tokens, at + 1, words)
        return None
    if token.text == "minus" and at + 1 < len(tokens):
        inner = _from_words(tokens, at + 1, words)
        return Number(-inner.low, -inner.low, inner.end, worded=True) if inner else None
    if token.kind == "num":
        return _from_digits(tokens, at, words)
    if token.text == "one" and at and tokens[at - 1].text in words.pointing:
        return None
    half = _word(tokens, at + 1) == "and" and _word(tokens, at + 2) in words.fraction
    if (
        token.text == "one"
        and not half
        and _word(tokens, at + 1)
        in (
            "of",
            "more",
            "by",
            "and",
            "way",
            "time",
            "end",
            "side",
            "thing",
            "question",
            "at",
            "with",
            "that",
            "who",
            "corner",
            "step",
            "as",
            "has",
            "back",
            "please",
            "is",
            "was",
        )
    ):
        return None
    return _from_words(tokens, at, words)


def _loose_dash(tokens: Sequence[Token], at: int) -> bool:
    """A dash that stands apart from the number after it, so that it is no minus."""
    return _word(tokens, at) == "-" and not (at + 1 < len(tokens) and tokens[at + 1].tight)


def _and_part(tokens: Sequence[Token], at: int, words: Numbers, last: float) -> tuple[float, int] | None:
    """What 'and a half' or 'and two' adds; after a dozen or a score the half is of that."""
    part = and_fraction(tokens, at, words)
    if last not in (12.0, 20.0):
        return part
    if part:
        return part[0] * last, part[1]
    more = words.small.get(_word(tokens, at + 1), 0.0) if _word(tokens, at) == "and" else 0.0
    follow = _word(tokens, at + 2)
    ends = follow in ("", ",", ".", "of", "in", "all", "head") or follow in ("or", "so")
    return (more, at + 2) if 0 < more < last and ends else None


def read_range(tokens: Sequence[Token], at: int, words: Numbers) -> Number | None:
    """A number or a range: '3-4', 'between 3 and 4', '3 or 4', '3 to 4'."""
    between = tokens[at].text == "between"
    start = at + 1 if between or tokens[at].text == "from" else at
    if start >= len(tokens):
        return None
    first = read_number(tokens, start, words)
    if first is None:
        return None
    end = first.end
    joint = _word(tokens, end)
    if joint in ("maybe", "perhaps", "possibly") or (
        joint == "," and _word(tokens, end + 1) in ("maybe", "perhaps")
    ):
        after = end + 1 + (joint == ",")
        second = read_number(tokens, after, words) if after < len(tokens) else None
        if second is not None and first.low < second.low <= 1.5 * first.low + 2:
            return Number(
                first.low, second.low, second.end, first.ambiguous or second.ambiguous, second.worded
            )
    if joint in ("-", "to", "till", "or", "til", "--", "/") or (joint == "and" and between):
        if joint == "/" and not (first.low >= 1 and first.low == int(first.low)):
            return first
        after = end + 1
        while _word(tokens, after) in ("about", "maybe", "perhaps", "even") or _loose_dash(tokens, after):
            after += 1
        second = read_number(tokens, after, words) if after < len(tokens) else None
        if (
            second is not None
            and second.low < 0
            and second.low < first.low
            and joint in ("to", "till", "or", "and")
        ):
            return Number(second.low, first.low, second.end, worded=second.worded)  # '-10 to -20'
        if joint == "/" and second is not None and second.low != first.low + 1:
            second = None
        if (
            second is not None
            and second.low > first.low
            and (joint != "or" or second.low < 4 * first.low + 4)
        ):
            low = first.low
            if second.worded and first.worded and low < 10 and second.low >= 100 and second.low % 100 == 0:
                low = low * (second.low / max(1.0, second.low // 100) if second.low < 1000 else 1)
                low = min(low, second.low)
            return Number(low, second.low, second.end, first.ambiguous or second.ambiguous, second.worded)
    if start != at and not between:
        return None
    return first
