"""Hours a day indoors, by number or by the clock."""

from __future__ import annotations

import re

from advisor.language.found import span_value
from advisor.language.rest import Rest

__all__ = ["Hours"]


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
        line = " ".join(texts)
        free = self.free("amount", "number")
        out_said = self._out_is_meant(texts)
        for _, item in free:
            self.out.used.add(item.start)
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
            if self.measure(item) == "fraction" or self.measure(item) == "clock":
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
        """Times of day said without being asked: 'in from 5 pm to 8 am'."""
        words = self.scan.words()
        if not words & {"am", "pm", "morning", "evening", "night"} or not words & {
            "in",
            "out",
            "inside",
            "indoors",
            "outside",
        }:
            return
        line = " ".join(t.text for t in self.scan.tokens)
        span = clock_span(line)
        if span:
            self.hours_value(
                24 - span if self._out_is_meant([t.text for t in self.scan.tokens]) else span,
                24 - span if self._out_is_meant([t.text for t in self.scan.tokens]) else span,
                line,
            )
            for _, item in self.free("number"):
                self.out.used.add(item.start)

    def _out_is_meant(self, texts: list[str]) -> bool:
        """Whether the hours named are spent outside: the nearest of 'in' and 'out' to the first number says."""
        at = next((i.start for i in self.items if i.kind in ("number", "amount")), 0)
        spots = [
            (abs(p - at) + (2 if p > at else 0), t)
            for p, t in enumerate(texts)
            if t in ("out", "outside", "outdoors", "indoors", "inside", "housed", "grazing", "grass", "field")
            or (t == "in" and texts[p + 1 : p + 2] not in (["the"], ["winter"]))
        ]
        return bool(spots) and min(spots)[1] in ("out", "outside", "outdoors", "grazing", "grass", "field")


def clock_span(line: str) -> float | None:
    """Hours from one time of day to another: '5 pm to 8 am', '4 in the evening till 7 next morning'."""
    line = re.sub(r"at the (morning|evening) (\d{1,2})", r"\2 in the \1", line)
    line = re.sub(r"(\d{1,2}) (morning|evening|afternoon)\b", r"\1 in the \2", line)
    line = re.sub(
        r"\band (?:come|comes|go|goes|are|get|back|then|brought|let|in|out)(?: \w+){0,3}? (?:at|by|around)\b",
        "to",
        line,
    )
    match = re.search(
        r"(\d{1,2})(?:[:.](\d\d)| : (\d\d))?\s*(am|pm|a \. m|p \. m|oclock)?\s*"
        r"(?:in the (evening|morning|afternoon)|at night)?\s*(?:to|till|til|until|-|and)\s*(?:about |around )?"
        r"(\d{1,2})(?:[:.](\d\d)| : (\d\d))?\s*(am|pm|oclock)?\s*"
        r"(?:(?:in )?(?:the )?(?:next |following )?(evening|morning|afternoon|day)|at night)?",
        line,
    )
    if not match:
        return None
    a, b = (
        int(match[1]) + int(match[2] or match[3] or 0) / 60,
        int(match[6]) + int(match[7] or match[8] or 0) / 60,
    )
    first, second = match[4] or match[5] or "", match[9] or match[10] or ""
    if not (first or second) or a > 24 or b > 24:
        return None
    if first in ("pm", "evening", "afternoon") and a < 12:
        a += 12
    if second in ("pm", "evening", "afternoon") and b < 12:
        b += 12
    if not first and second in ("am", "morning", "day") and a < 12 and a > 2:
        a += 12
    return (b - a) % 24 or None
