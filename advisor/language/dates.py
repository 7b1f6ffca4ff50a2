"""Dates as people say them: '5 Nov', 'late October', 'Halloween', '15/10'. Two possible day orders are ambiguous."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass

from advisor.language.numbers import read_number
from advisor.language.tables import Dates, Numbers
from advisor.language.text import Token, tokenise

__all__ = ["DateRead", "days_between", "read_date"]

_LAST = {1: 31, 2: 28, 3: 31, 4: 30, 5: 31, 6: 30, 7: 31, 8: 31, 9: 30, 10: 31, 11: 30, 12: 31}


@dataclass(frozen=True)
class DateRead:
    """A day of the year, or the window it lies in; `impossible` and `ambiguous` say why it cannot be used."""

    first: str
    last: str
    end: int
    ambiguous: bool = False
    impossible: bool = False
    only_day: int = 0
    order: str = ""

    @property
    def day(self) -> str:
        """The day, or the middle of the window."""
        if self.first == self.last:
            return self.first
        start = _as_date(self.first)
        return (start + dt.timedelta(days=days_between(self.first, self.last) // 2)).strftime("%m-%d")


def _as_date(text: str) -> dt.date:
    month, day = map(int, text.split("-"))
    return dt.date(2025, month, min(day, _LAST[month]))


def days_between(start: str, end: str) -> int:
    """Days from one day of the year to the next time the other comes round."""
    return (_as_date(end) - _as_date(start)).days % 365


def _md(month: int, day: int) -> str:
    return f"{month:02d}-{day:02d}"


def _day(month: int, day: int, end: int) -> DateRead:
    if not 1 <= month <= 12 or not 1 <= day <= (29 if month == 2 else _LAST[month]):
        return DateRead("", "", end, impossible=True)
    return DateRead(_md(month, min(day, _LAST[month])), _md(month, min(day, _LAST[month])), end)


def _window(month: int, days: tuple[int, int], end: int) -> DateRead:
    return DateRead(_md(month, min(days[0], _LAST[month])), _md(month, min(days[1], _LAST[month])), end)


def _skip_year(tokens: Sequence[Token], at: int) -> int:
    """The place after a year, if one stands here."""
    place = at + 1 if at < len(tokens) and tokens[at].text in (",", "-", "of", "'", "/") else at
    if place < len(tokens) and re.fullmatch(r"(19|20)\d\d", tokens[place].text):
        return place + 1
    if (
        place < len(tokens)
        and place > at
        and tokens[at].text in ("'", "-", "/")
        and re.fullmatch(r"2\d", tokens[place].text)
    ):
        return place + 1
    return at


def _text(tokens: Sequence[Token], at: int) -> str:
    return tokens[at].text if 0 <= at < len(tokens) else ""


def _day_number(
    tokens: Sequence[Token], at: int, dates: Dates, numbers: Numbers
) -> tuple[int, int, bool] | None:
    """(day, place after, whether it was an ordinal) of '5', '5th', 'fifth', 'twenty first'."""
    text = _text(tokens, at)
    if re.fullmatch(r"\d{1,2}", text):
        if _text(tokens, at + 1) in ("st", "nd", "rd", "th", "e"):
            return int(text), at + 2, True
        if _text(tokens, at + 1) == "." and tokens[at + 1].tight:
            return int(text), at + 2, False
        return int(text), at + 1, False
    if text in numbers.ordinal:
        return numbers.ordinal[text], at + 1, True
    if text in ("twenty", "thirty"):
        place = at + 1 + (_text(tokens, at + 1) == "-")
        if _text(tokens, place) in numbers.ordinal and numbers.ordinal[_text(tokens, place)] < 10:
            return int(numbers.small[text]) + numbers.ordinal[_text(tokens, place)], place + 1, True
    found = read_number(tokens, at, numbers) if at < len(tokens) and tokens[at].kind == "word" else None
    if (
        found
        and found.low == int(found.low)
        and 1 <= found.low <= 31
        and text not in ("a", "an", "half", "couple", "pair", "dozen")
    ):
        return int(found.low), found.end, False
    return None


def _numeric(tokens: Sequence[Token], at: int, expected: bool) -> DateRead | None:
    """'15/10', '5.11.', '2025-11-05', '5/11/25'."""
    text = tokens[at].text
    if match := re.fullmatch(r"(\d{1,2})\.(\d{1,2})(?:\.(\d{2}|\d{4}))?", text):
        day, month = int(match[1]), int(match[2])
        dotted = (
            match[3]
            or (_text(tokens, at + 1) == "." and expected)
            or (expected and 1 <= month <= 12 and len(match[2]) == 2)
        )
        if dotted and 1 <= month <= 12:
            end = at + 1 + (_text(tokens, at + 1) == "." and tokens[at + 1].tight and not match[3])
            return _day(month, day, _skip_year(tokens, end))
        return None
    parts = [text]
    place = at + 1
    joint = _text(tokens, place)
    if joint not in ("/", "-"):
        return None
    while (
        _text(tokens, place) == joint
        and place + 1 < len(tokens)
        and tokens[place + 1].kind == "num"
        and len(parts) < 3
    ):
        parts.append(tokens[place + 1].text)
        place += 2
    if not all(part.isdecimal() for part in parts) or len(parts) < 2:
        return None
    values = [int(part) for part in parts]
    if len(values) == 3 and len(parts[0]) == 4:
        return _day(values[1], values[2], place)
    if len(values) == 3 and len(parts[2]) not in (2, 4):
        return None
    if len(values) == 2 and (joint == "-" or not expected):
        return None
    a, b = values[0], values[1]
    if a > 31 or b > 31 or not a or not b:
        return None
    if a > 12 and b > 12:
        return DateRead("", "", place, impossible=True)
    if a > 12:
        return _day(b, a, place)
    if b > 12:
        return _day(a, b, place)
    if a == b:
        return _day(a, b, place)
    return DateRead("", "", place, ambiguous=True, order=f"{a}/{b}")


def _month(tokens: Sequence[Token], at: int, dates: Dates) -> int | None:
    return dates.months.get(_text(tokens, at))


def _after_month(tokens: Sequence[Token], at: int) -> int:
    """Past the full stop of 'Nov.'."""
    return (
        at + 1
        if _text(tokens, at) == "."
        and at + 1 < len(tokens)
        and tokens[at].tight
        and len(tokens[at - 1].text) <= 4
        else at
    )


def read_date(
    tokens: Sequence[Token], at: int, dates: Dates, numbers: Numbers, expected: bool, today: dt.date | None
) -> DateRead | None:
    """The date that starts at a token. `expected`: a date was asked for, so numbers alone may be one."""
    for words, window in _feasts(dates):
        if _text(tokens, at) == words[0] and tuple(t.text for t in tokens[at : at + len(words)]) == words:
            end = at + len(words)
            return DateRead(window[0], window[1], _skip_year(tokens, end))
    for words, days in _parts(dates):
        if _text(tokens, at) == words[0] and tuple(t.text for t in tokens[at : at + len(words)]) == words:
            place = at + len(words)
            while _text(tokens, place) in ("-", "in", "of", "the", "to"):
                if _text(tokens, place) == "to" and _text(tokens, at) not in ("mid", "early", "late"):
                    break
                if _text(tokens, place) == "to":
                    two = _parts_at(tokens, place + 1, dates)
                    if not two:
                        break
                    month = _month(tokens, two[1], dates)
                    if month:
                        return _window(month, (days[0], two[0][1]), two[1] + 1)
                    break
                place += 1
            month = _month(tokens, place, dates)
            if month:
                return _window(month, days, _skip_year(tokens, _after_month(tokens, place + 1)))
    if tokens[at].kind == "num" and (numeric := _numeric(tokens, at, expected)):
        return numeric
    start = at + 1 if _text(tokens, at) == "the" else at
    if day := _day_number(tokens, start, dates, numbers) if start < len(tokens) else None:
        place = day[1]
        while (_text(tokens, place) in ("of", "day", "-", "in") and _month(tokens, place + 1, dates)) or (
            _text(tokens, place) == "day" and _text(tokens, place + 1) == "of"
        ):
            place += 1
        month = _month(tokens, place, dates)
        if month and not (
            _text(tokens, place) in ("may", "march")
            and place == day[1]
            and not day[2]
            and _text(tokens, place + 1) in ("be", "need", "have", "not")
            and not _text(tokens, place + 2)[:1].isdecimal()
        ):
            return _day(month, day[0], _skip_year(tokens, _after_month(tokens, place + 1)))
        part = _text(tokens, day[1]) in ("week", "half", "part", "weekend", "fortnight", "third", "days")
        if expected and day[2] and 1 <= day[0] <= 31 and start != at and not part:
            return DateRead("", "", day[1], only_day=day[0])
    month = _month(tokens, at, dates)
    if month:
        place = _after_month(tokens, at + 1)
        if _text(tokens, place) in ("the", ",", "-") and _day_number(tokens, place + 1, dates, numbers):
            ahead = _day_number(tokens, place + 1, dates, numbers)
            if _text(tokens, place) != "-" or (ahead and not _month(tokens, ahead[1], dates)):
                place += 1
        day = _day_number(tokens, place, dates, numbers) if place < len(tokens) else None
        plain_next = day is not None and (day[2] or tokens[place].kind == "num" or expected)
        if (
            day
            and plain_next
            and day[0] <= 31
            and not _starts_amount(tokens, day[1], day[2])
            and not _month(tokens, day[1], dates)
        ):
            return _day(month, day[0], _skip_year(tokens, day[1]))
        if _text(tokens, at) in dates.unsure_months and not expected:
            return None
        return _window(month, (1, 31), _skip_year(tokens, _after_month(tokens, at + 1)))
    return _relative(tokens, at, dates, today) if today and expected else None


def _starts_amount(tokens: Sequence[Token], at: int, ordinal: bool) -> bool:
    """Whether the number before is an amount, not a day: 'April 30 cows', 'May 12 m'."""
    token = tokens[at] if at < len(tokens) else None
    return bool(
        not ordinal
        and token
        and (token.text in ("x", "by") or "unit" in token.tags or "animal" in token.tags)
    )


_CACHE: dict[int, list[tuple[tuple[str, ...], tuple[str, str]]]] = {}
_CACHE_PARTS: dict[int, list[tuple[tuple[str, ...], tuple[int, int]]]] = {}


def _feasts(dates: Dates) -> list[tuple[tuple[str, ...], tuple[str, str]]]:
    if id(dates) not in _CACHE:
        runs = [(tuple(t.text for t in tokenise(name)), window) for name, window in dates.feasts.items()]
        _CACHE[id(dates)] = sorted(runs, key=lambda run: -len(run[0]))
    return _CACHE[id(dates)]


def _parts(dates: Dates) -> list[tuple[tuple[str, ...], tuple[int, int]]]:
    if id(dates) not in _CACHE_PARTS:
        runs = [(tuple(t.text for t in tokenise(name)), days) for name, days in dates.parts.items()]
        _CACHE_PARTS[id(dates)] = sorted(runs, key=lambda run: -len(run[0]))
    return _CACHE_PARTS[id(dates)]


def _parts_at(tokens: Sequence[Token], at: int, dates: Dates) -> tuple[tuple[int, int], int] | None:
    for words, days in _parts(dates):
        if tuple(t.text for t in tokens[at : at + len(words)]) == words:
            return days, at + len(words)
    return None


def _relative(tokens: Sequence[Token], at: int, dates: Dates, today: dt.date) -> DateRead | None:
    word, after = _text(tokens, at), _text(tokens, at + 1)
    ahead: int | None = None
    end = at + 1
    if word in ("today", "now", "tonight"):
        ahead = 0
    elif word in ("tomorrow",):
        ahead = 1
    elif word == "yesterday":
        ahead = -1
    elif word == "next" and after == "week":
        ahead, end = 7, at + 2
    elif word == "last" and after == "week":
        ahead, end = -7, at + 2
    elif word in dates.weekdays or (word in ("next", "this", "on", "last") and after in dates.weekdays):
        name = word if word in dates.weekdays else after
        end = at + (1 if word in dates.weekdays else 2)
        ahead = (dates.weekdays[name] - today.weekday()) % 7 or 7
        if word == "last":
            ahead -= 7
    if ahead is None:
        return None
    day = (today + dt.timedelta(days=ahead)).strftime("%m-%d")
    return DateRead(day, day, end)
