"""A season note cut into clauses: what each names, counts and measures, and the days it speaks of."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from advisor.record.time_words import When, cut_time, has_word, scanned_date, season_words

if TYPE_CHECKING:
    from advisor.language import Lexicon
    from advisor.language.scan import Item

__all__ = [
    "Clause",
    "Found",
    "clause_of",
    "cues_of",
    "cut_pen",
    "days_told",
    "parts_of",
    "pen_names",
    "ranged",
    "says",
    "time_of",
]

_CLAUSE = re.compile(r"[;\n!]+|\.(?!\d)|,(?!\d)|\band then\b|\band\b|\bthen\b|\bplus\b")
#: cues that mean nothing without a number, which may stand behind the next comma
_NEED_A_NUMBER = {"bedding", "bought", "stock", "weighed", "rain", "depth", "moisture"}

#: raw entries, a question to ask back, and the kind that a clause without a cue goes on with
Found = tuple[list[dict[str, Any]], str, str]


@dataclass
class Clause:
    """One clause, its items as the scanner found them, and its days."""

    text: str
    items: list[Item]
    when: When
    a_day: bool
    cues: set[str] = field(default_factory=set)
    wet: bool = False
    units: Mapping[str, Any] = field(default_factory=dict)
    pen: str = ""
    dated: bool = False  # it or a neighbour names a day
    every: int = 0  # days to which an amount is told: 7 for 'a week'

    @property
    def only_time(self) -> bool:
        """Whether it names a day and nothing else: 'and on Thursday'."""
        return self.when.named and all(i.kind == "date" or i.text in _FILLERS for i in self.items)

    def measures(self, item: Item) -> str:
        """What the unit of an amount measures."""
        unit = self.units.get(item.unit)
        return unit.measures if unit is not None else ""

    def amounts(self, *measures: str) -> list[Item]:
        """Amounts whose unit measures one of these, in order."""
        return [
            item
            for item in self.items
            if item.kind == "amount" and item.text and self.measures(item) in measures
        ]

    def numbers(self) -> list[float]:
        """Bare numbers."""
        return [item.number.value for item in self.items if item.kind == "number" and item.number]

    def names(self, kind: str) -> list[str]:
        """Names of animals or materials."""
        return [item.name for item in self.items if item.kind == kind]


_FILLERS = {"on", "again", "also", "each", "the", "same"}


def says(name: str) -> str:
    """A question to ask back."""
    return str(season_words()["says"][name])


def ranged(item: Item) -> dict[str, Any]:
    """An amount with its ends, in SI."""
    low, high = item.si
    return {"value": (low + high) / 2, "low": low, "high": high, "said": item.spoken.replace("m**3", "m3")}


def days_told(clause: Clause) -> int:
    """How many days a clause says that something lasted; 0 where it does not say."""
    times = [item for item in clause.amounts("time") if item.number]
    return next((round(i.number.value * clause.units[i.unit].factor) for i in times if i.number), 0)


def cues_of(text: str) -> set[str]:
    """The kinds of note that words of a text point to."""
    return {name for name, words in season_words()["cues"].items() if has_word(text, words)}


def parts_of(message: str) -> list[str]:
    """The message in clauses. One without a number, a day or a cue of its own belongs to the one before; so does
    one with the number that the one before lacks."""
    parts: list[str] = []
    for part in (piece.strip() for piece in _CLAUSE.split(message)):
        if not part:
            continue
        own = cues_of(part) or has_word(part, season_words()["dirty"])
        before = parts[-1] if parts else ""
        dated = cut_time(part, dt.date(2000, 1, 1), False)[1] is not None
        told = bool(re.search(r"\d", part))
        lacking = cues_of(before) <= _NEED_A_NUMBER and cues_of(before) and not re.search(r"\d", before)
        if parts and not own and (lacking if told else not dated):
            parts[-1] += " " + part
        else:
            parts.append(part)
    return parts


def pen_names(pens: Sequence[str]) -> dict[str, str]:
    """What pens may be called, longest first: their names, and words of them that no other pen's name has."""
    if len(pens) < 2:
        return {}
    words = {pen: set(re.findall(r"[a-z0-9]+", pen.casefold())) for pen in pens}
    named = {pen.casefold().replace("_", " "): pen for pen in pens}
    for pen, own in words.items():
        others = set().union(*(words[other] for other in pens if other != pen))
        named.update(
            {word: pen for word in own - others - set(season_words()["places"]) if not word.isdigit()}
        )
    return dict(sorted(named.items(), key=lambda pair: -len(pair[0])))


def cut_pen(text: str, names: Mapping[str, str]) -> tuple[str, str]:
    """The text without the pen it names, and that pen."""
    places = "|".join(season_words()["places"])
    for name, pen in names.items():
        called = rf"(?<![\w-]){re.escape(name)}(?:\s+(?:{places}))?(?![\w-]):?"
        pattern = rf"(?:\b(?:in|on|of|at|to|for)\s+)?(?:\bthe\s+)?{called}"
        if re.search(pattern, text):
            return re.sub(pattern, " ", text, count=1), pen
    return text, ""


def clause_of(
    part: str, before: When, lexicon: Lexicon, today: dt.date, us: bool, pens: Mapping[str, str] | None = None
) -> Clause:
    """A part of a message as a clause; its days are those of the one before where it names none."""
    from advisor.language.scan import scan

    words = season_words()
    part, pen = cut_pen(part, pens or {})
    rest, when = cut_time(part, today, us)
    a_day = has_word(rest, words["a_day"])
    every = next((int(days) for days, said in words["every"].items() if has_word(rest, said)), 0)
    cues, wet = cues_of(rest), has_word(rest, words["wet"])
    rates = [word for said in words["every"].values() for word in said]
    for word in (*words["a_day"], *rates, *(words["wet"] if "squeeze" not in cues else ())):
        rest = re.sub(rf"(?<![\w-]){re.escape(word)}(?![\w-])", " ", rest)
    items = list(scan(rest, None, lexicon, today).items)
    if when is None:
        when = scanned_date(rest, items, today)
    days = when or When(before.first, before.days)
    dated = days.named or before.named
    return Clause(rest, items, days, a_day, cues, wet, lexicon.tables.units, pen, dated, every)


def time_of(message: str, today: dt.date, us: bool, lexicon: Lexicon) -> When:
    """The day a message names anywhere, for its clauses that name none; else today."""
    from advisor.language.scan import scan

    rest, when = cut_time(message, today, us)
    found = when or scanned_date(rest, list(scan(rest, None, lexicon, today).items), today)
    return found or When(today)
