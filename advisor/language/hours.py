"""Hours a day indoors, by number or by the clock."""

from __future__ import annotations

import re

from advisor.language.clock import bare_span, clock_span
from advisor.language.found import span_value
from advisor.language.rest import Rest

__all__ = ["Hours"]

_NO_TIMES = ("mass", "length", "area", "volume", "pack", "money", "temperature")


class Hours(Rest):
    """Reads hours."""

    def hours_value(self, low: float, high: float, spoken: str) -> None:
        if low < 0 or high > 24:
            self.out.queried.append("hours a day")
            return
        self.facts.update(span_value("hours_per_day", low, high))
        self.facts["hours_as"] = spoken

    def hours(self) -> None:
        """'10 hours', '24/7', 'from 4 pm to 8 am', 'out 6 hours', 'all night'."""
        texts = [t.text for t in self.scan.tokens]
        free = self.free("amount", "number")
        cut = next((n for n, text in enumerate(texts) if text in (",", ".")), len(texts))
        if free and free[0][1].start == 0 and not set(texts[:cut]) & {"in", "out", "from", "to", "-"}:
            texts = texts[:cut]  # '20, they get out a few hours at noon'
        line = " ".join(texts)
        out_said = self._out_is_meant(texts)
        for _, item in free:
            self.out.used.add(item.start)
        if (by_day := bare_span(line)) and out_said:
            self.hours_value(24 - by_day, 24 - by_day, line)
            return
        if span := clock_span(line):
            low = 24 - span if out_said else span
            self.hours_value(low, low, line)
            return
        if any(phrase in f" {line} " for phrase in self.lexicon.phrases("all_day")):
            self.hours_value(24, 24, "all day and night")
            return
        for _, item in free:
            if item.kind == "amount" and self.measure(item) not in ("hours", "clock", "fraction", "time"):
                continue
            if (
                (item.kind == "number" and 0 < item.si[1] < 1 and "day" in texts)
                or self.measure(item) == "fraction"
                or self.measure(item) == "clock"
            ):
                low, high = item.si[0] * 24, item.si[1] * 24
            else:
                low, high = item.si
            if item.kind == "amount" and self.measure(item) == "time":
                continue
            if out_said:
                low, high = 24 - high, 24 - low
            if "hours_per_day" in self.facts or "hours_per_day_range" in self.facts:
                break
            if "but" in texts or "bar" in texts or "except" in texts:
                low, high = (
                    (24 - high, 24 - low)
                    if {"all", "except", "bar", "but"} & set(texts)
                    and ("all" in texts or "always" in texts)
                    and not out_said
                    else (low, high)
                )
            self.hours_value(low, high, item.spoken)
        if (
            re.search(r"half (the|a) day|half (of )?(the )?(day|time)|half and half|half days", line)
            and "hours_per_day" not in self.facts
            and "hours_per_day_range" not in self.facts
        ):
            self.hours_value(12, 12, "half the day")

    def open_hours(self) -> None:
        """Times of day said without being asked: 'in from 5 pm to 8 am', 'they are inside the whole day'."""
        if "hours_per_day" in self.facts or "hours_per_day_range" in self.facts:
            return
        words = self.scan.words()
        texts = [t.text for t in self.scan.tokens]
        line = " ".join(texts)
        if words & self.lexicon.lists["house_words"] and any(
            phrase in f" {line} " for phrase in self.lexicon.phrases("all_day")
        ):
            self.hours_value(24, 24, "all day and night")
            return
        if not words & {"in", "out", "inside", "indoors", "outside", "housed"}:
            return
        span = clock_span(self._without_amounts(texts))
        if span:
            hours = 24 - span if self._out_is_meant(texts) else span
            self.hours_value(hours, hours, line)
            for _, item in self.free("number"):
                self.out.used.add(item.start)

    def _without_amounts(self, texts: list[str]) -> str:
        """The message without what is no time of day: weights, sizes, dates."""
        said = list(texts)
        for item in self.items:
            weighed = item.kind == "amount" and self.measure(item) in _NO_TIMES
            if weighed or item.kind in ("sides", "date"):
                said[item.start : item.end] = ["~"] * (item.end - item.start)
        return " ".join(said)

    def _no_going_out(self, texts: list[str], at: int) -> bool:
        """'Out of breath', 'out again at breakfast', 'mucking out'."""
        after, before = texts[at + 1 : at + 2], texts[max(0, at - 1) : at]
        return after in (["of"], ["again"]) or bool(set(before) & self.lexicon.lists["works_out"])

    def _out_is_meant(self, texts: list[str], at: int = -1) -> bool:
        """Whether the hours named are spent outside: the nearest of 'in' and 'out' to the first number says."""
        if at < 0:
            at = next((i.start for i in self.items if i.kind in ("number", "amount")), 0)
        spots = [
            (abs(p - at) + (2 if p > at else 0), t)
            for p, t in enumerate(texts)
            if (
                (t != "out" or not self._no_going_out(texts, p))
                and t
                in ("out", "outside", "outdoors", "indoors", "inside", "housed", "grazing", "grass", "field")
            )
            or (t == "in" and texts[p + 1 : p + 2] not in (["the"], ["winter"]))
            or (
                t in self.lexicon.lists["outdoor_places"]
                and texts[max(0, p - 2) : p - 1] in (["in"], ["on"], ["at"])
            )
        ]
        out = {"out", "outside", "outdoors", "grazing", "grass", "field"} | self.lexicon.lists[
            "outdoor_places"
        ]
        return bool(spots) and min(spots)[1] in out
