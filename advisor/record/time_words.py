"""Words of time in a season note: the day or stretch of days that a keeper means."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from advisor.language.scan import Item

__all__ = ["When", "cut_time", "has_word", "scanned_date", "season_words"]

_NUMBER = r"\d+|a|an|one|two|three|four|five|six|seven|eight|nine|ten"
_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_ORDINAL = r"\d{1,2}(?:st|nd|rd|th)?"
_DAY = rf"(?:{'|'.join(_DAYS)}|mon|tues?|weds?|thurs?|thu|fri)"  # 'sat' and 'sun' are words of their own

_ON_A_DAY = (
    rf"\b(?:(last|on|this|since|from)\s+)?((?:(?<=last )|(?<=on )|(?<=this ))(?:sat|sun)|{_DAY})\b"
    r"(?:\s+(?:night|morning|evening))?"
)
_ON_THE = r"\b(?:(since|from|on)\s+)?the\s+(\d{1,2})(?:st|nd|rd|th)\b(?!\s+(?:of|bale|bag|load))"


@dataclass
class When:
    """The days meant, and whether the amount is that of one day."""

    first: dt.date
    days: int = 1
    named: bool = False


@cache
def season_words() -> Mapping[str, Any]:
    from advisor.knowledge.base import plain_data

    words: Mapping[str, Any] = plain_data("phrases/season.yaml")
    return words


def has_word(text: str, words: Iterable[str]) -> bool:
    return any(re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", text) for word in words)


def cut_time(text: str, today: dt.date, us: bool) -> tuple[str, When | None]:
    """The text without its words of time, and the time they name."""
    if (found := _stretch(text, today, us)) is not None:
        return found
    for name, words in season_words()["times"].items():
        for word in sorted(words, key=len, reverse=True):
            pattern = rf"(?<![\w-]){re.escape(word)}(?![\w-])"
            if re.search(pattern, text):
                return re.sub(pattern, " ", text), _named(name, today)
    if match := re.search(_ON_A_DAY, text):
        date = _weekday(match[2], today)
        if match[1] == "last" and date == today:
            date -= dt.timedelta(days=7)
        rest = text.replace(match[0], " ")
        return rest, _since(date, today) if match[1] in ("since", "from") else When(date, named=True)
    units = "|".join(season_words()["unit_days"])
    ago = "|".join(season_words()["ago"])
    if match := re.search(rf"\b({_NUMBER})\s+({units})\s+(?:{ago})\b", text):
        number = _small(match[1]) * int(season_words()["unit_days"][match[2]])
        return text.replace(match[0], " "), When(today - dt.timedelta(days=number), named=True)
    match = re.search(_ON_THE, text)
    if match and (ordinal := _day_of_month(int(match[2]), today)) is not None:
        rest = text.replace(match[0], " ")
        return rest, _since(ordinal, today) if match[1] in ("since", "from") else When(ordinal, named=True)
    if match := re.search(r"\b(20\d\d)-(\d\d?)-(\d\d?)\b", text):
        return _dated(text, match, int(match[1]), int(match[2]), int(match[3]), today)
    if match := re.search(r"(?<![\d/.])(\d{1,2})[/.](\d{1,2})(?:[/.](20\d\d|\d\d))?(?![\d/.])\.?", text):
        a, b = int(match[1]), int(match[2])
        month, day = (a, b) if us else (b, a)
        year = int(match[3]) if match[3] else 0
        if 1 <= month <= 12 and 1 <= day <= 31 and (match[3] or "/" in match[0]):
            return _dated(text, match, year + 2000 if 0 < year < 100 else year, month, day, today)
    return text, None


def _stretch(text: str, today: dt.date, us: bool) -> tuple[str, When] | None:
    """'The last ten days', 'from 10 to 17 November', 'Monday to Thursday': a stretch with both its ends."""
    units = "|".join(season_words()["unit_days"])
    pattern = (
        rf"\b(?:(?:over|in|during|for|within|all)\s+)?(?:the\s+)?(?:last|past)\s+({_NUMBER})\s+({units})\b"
    )
    if match := re.search(pattern, text):
        days = min(366, _small(match[1]) * int(season_words()["unit_days"][match[2]]))
        return text.replace(match[0], " "), When(today - dt.timedelta(days=days), max(1, days), True)
    months = "|".join(season_words()["months"])
    day = "|".join(
        (
            r"20\d\d-\d\d?-\d\d?",
            r"\d{1,2}[/.]\d{1,2}(?:[/.]\d{2,4})?",
            rf"{_ORDINAL}\s+(?:of\s+)?(?:{months})",
            rf"(?:{months})\s+{_ORDINAL}",
            _DAY,
        )
    )
    until = "|".join(season_words()["until"])
    pattern = (
        rf"\b(?:(?:from|between)\s+)?(?:the\s+)?({day}|{_ORDINAL})\s*(?:\b(?:{until})\b|-|\u2013)"
        rf"\s*(?:the\s+)?({day})(?![\w-])"
    )
    match = re.search(pattern, text)
    if match is None:
        return _month(text, today)
    last = _one_day(match[2], today, us)
    first = _one_day(match[1], today, us)
    if last is None:
        return None
    if first is None:  # 'from 10 to 17 November'
        first = _day_of_month(int(re.sub(r"\D", "", match[1])), last)
    elif first > last:  # said of days before a year's end, or of the week before
        first = first.replace(year=first.year - 1) if first > today else first - dt.timedelta(days=7)
    if first is None or not 0 <= (last - first).days < 366:
        return None
    return text.replace(match[0], " "), When(first, (last - first).days + 1, True)


def _month(text: str, today: dt.date) -> tuple[str, When] | None:
    """'In December', 'all through January': the month up to yesterday, or all of it."""
    months = season_words()["months"]
    names = "|".join(months)
    match = re.search(rf"\b(?:in|during|over|through|throughout|all)\s+({names})\b(?!\s+\d)", text)
    if match is None:
        return None
    first = _latest(int(months[match[1]]), 1, today)
    after = (first.replace(day=28) + dt.timedelta(days=4)).replace(day=1)
    return text.replace(match[0], " "), When(first, max(1, (min(after, today) - first).days), True)


def _one_day(text: str, today: dt.date, us: bool) -> dt.date | None:
    """One day as words or numbers name it; None for a bare number."""
    if re.fullmatch(_DAY, text):
        return _weekday(text, today)
    months = season_words()["months"]
    numbers = [int(each) for each in re.findall(r"\d+", text)]
    month = next((months[word] for word in re.findall(r"[a-z]+", text) if word in months), 0)
    try:
        if month:
            return _latest(int(month), numbers[0], today)
        if text.startswith("20") and len(numbers) == 3:
            return dt.date(*numbers)
        if len(numbers) < 2:
            return None
        day, in_month = (numbers[1], numbers[0]) if us else (numbers[0], numbers[1])
        if len(numbers) == 3:
            return dt.date(numbers[2] % 100 + 2000, in_month, day)
        return _latest(in_month, day, today)
    except ValueError:
        return None


def _weekday(name: str, today: dt.date) -> dt.date:
    """The last such day, today if it is one."""
    number = next(n for n, day in enumerate(_DAYS) if day.startswith(name[:3]))
    return today - dt.timedelta(days=(today.weekday() - number) % 7)


def _day_of_month(day: int, until: dt.date) -> dt.date | None:
    """The last such day of a month that is not after `until`."""
    for back in range(62):
        date = until - dt.timedelta(days=back)
        if date.day == day:
            return date
    return None


def _named(name: str, today: dt.date) -> When:
    monday = today - dt.timedelta(days=today.weekday())
    if name == "last_week":
        return When(monday - dt.timedelta(days=7), 7, True)
    if name == "this_week":
        return When(monday, (today - monday).days + 1, True)
    if name == "past_week":
        return When(today - dt.timedelta(days=7), 7, True)
    if name == "last_fortnight":
        return When(today - dt.timedelta(days=14), 14, True)
    back = {"today": 0, "yesterday": 1, "day_before": 2}[name]
    return When(today - dt.timedelta(days=back), named=True)


def _dated(
    text: str, match: re.Match[str], year: int, month: int, day: int, today: dt.date
) -> tuple[str, When | None]:
    rest = text.replace(match[0], " ")
    try:
        date = dt.date(year, month, day) if year else _latest(month, day, today)
    except ValueError:
        return text, None
    since = rest[: match.start()].rstrip().endswith(tuple(season_words()["since"]))
    return rest, _since(date, today) if since else When(date, named=True)


def scanned_date(text: str, items: Sequence[Item], today: dt.date) -> When | None:
    """'3 January' or 'Christmas' to the last such day; 'since' makes a stretch up to yesterday of it."""
    for number, item in enumerate(items):
        if item.kind == "date" and item.date and item.date.first and not item.date.impossible:
            month, day = (int(part) for part in item.date.first.split("-"))
            date = _latest(month, day, today)
            before = items[number - 1].text if number else ""
            return _since(date, today) if before in season_words()["since"] else When(date, named=True)
    return None


def _since(date: dt.date, today: dt.date) -> When:
    return When(date, max(1, (today - date).days), True)


def _latest(month: int, day: int, today: dt.date) -> dt.date:
    """The last such day that is not after today."""
    year = today.year
    while True:
        try:
            date = dt.date(year, month, day)
        except ValueError:
            date = dt.date(year, month, 28)
        if date <= today:
            return date
        year -= 1


def _small(word: str) -> int:
    names = ("nought", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
    return int(word) if word.isdigit() else names.index(word) if word in names else 1
