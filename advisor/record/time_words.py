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
    for name, words in season_words()["times"].items():
        for word in sorted(words, key=len, reverse=True):
            pattern = rf"(?<![\w-]){re.escape(word)}(?![\w-])"
            if re.search(pattern, text):
                return re.sub(pattern, " ", text), _named(name, today)
    days = "|".join(_DAYS)
    if match := re.search(rf"\b(?:(last|on|this)\s+)?({days})\b(?:\s+(?:night|morning|evening))?", text):
        back = (today.weekday() - _DAYS.index(match[2])) % 7
        if match[1] == "last" and back == 0:
            back = 7
        return text.replace(match[0], " "), When(today - dt.timedelta(days=back), named=True)
    units = "|".join(season_words()["unit_days"])
    ago = "|".join(season_words()["ago"])
    if match := re.search(rf"\b({_NUMBER})\s+({units})\s+(?:{ago})\b", text):
        number = _small(match[1]) * int(season_words()["unit_days"][match[2]])
        return text.replace(match[0], " "), When(today - dt.timedelta(days=number), named=True)
    if match := re.search(r"\b(20\d\d)-(\d\d?)-(\d\d?)\b", text):
        return _dated(text, match, int(match[1]), int(match[2]), int(match[3]), today)
    if match := re.search(r"(?<![\d/.])(\d{1,2})[/.](\d{1,2})(?:[/.](20\d\d|\d\d))?(?![\d/.])\.?", text):
        a, b = int(match[1]), int(match[2])
        month, day = (a, b) if us else (b, a)
        year = int(match[3]) if match[3] else 0
        if 1 <= month <= 12 and 1 <= day <= 31 and (match[3] or "/" in match[0]):
            return _dated(text, match, year + 2000 if 0 < year < 100 else year, month, day, today)
    return text, None


def _named(name: str, today: dt.date) -> When:
    monday = today - dt.timedelta(days=today.weekday())
    if name == "last_week":
        return When(monday - dt.timedelta(days=7), 7, True)
    if name == "this_week":
        return When(monday, (today - monday).days + 1, True)
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
