"""Times of day, and the hours from one to the other: '5 pm to 8 am', 'in at six in the evening, out at nine'."""

from __future__ import annotations

import itertools
import re

__all__ = ["bare_span", "clock_span"]

_WORDS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
    "eleven": 11, "twelve": 12,
}  # fmt: skip
_FIXED = {"noon": 12.0, "midday": 12.0, "lunchtime": 12.0, "dinnertime": 12.0, "midnight": 0.0}
_TIME = re.compile(
    r"\b(?P<fixed>noon|midday|lunchtime|midnight)\b"
    r"|\b(?P<half>half |half past )?(?P<hour>\d{1,2})(?! ?days?\b)(?: ?[:.h] ?(?P<minute>[0-5]\d)\b)?"
    r"(?P<half_after> thirty)?(?: ?(?P<part>am|pm|a \. m|p \. m|oclock)\b)?"
    r"(?: (?:in|at|of|an|next|the|following|on|every|each)\b)*"
    r"(?: (?P<day>morning|evening|afternoon|night|day|teatime)s?)?"
)
_JOINT = re.compile(r"\b(to|till|til|until|-|and|out|in|through|then|back)\b|^ ?[-,] ?$|,")
_BARE = re.compile(
    r"\b(?:out|from|between|outside) (?:from |at )?(half (?:past )?)?(\d{1,2})"
    r" (?:to|till|until|and|-) (half (?:past )?)?(\d{1,2})\b(?! ?h)"
)
_MEASURED = re.compile(r"^ ?(h|hr|hrs|hours?|hour|kg|m|cows?|ewes?|days?|weeks?|%|x|by|\$|bales?)\b")


def _numbers(line: str) -> str:
    def digits(match: re.Match[str]) -> str:
        return str(_WORDS[match[0]])

    line = re.sub(r"\b(" + "|".join(_WORDS) + r")\b(?! ?-)", digits, line)
    line = re.sub(r"\bat the (morning|evening) (\d{1,2})\b", r"\2 in the \1", line)
    return re.sub(r"\bquarter (past|to) (\d{1,2})\b", r"\2", line)


def _hour(match: re.Match[str]) -> tuple[float, str]:
    """The hour as said and what part of the day it was said to be in ('' when not said)."""
    if match["fixed"]:
        return _FIXED[match["fixed"]], "fixed"
    hour = int(match["hour"]) + int(match["minute"] or 0) / 60
    if match["half"] or match["half_after"]:
        hour += 0.5
    part = (match["part"] or "").replace(" ", "").replace(".", "")
    return hour, {"am": "am", "pm": "pm"}.get(part, match["day"] or part)


def _settled(hour: float, part: str) -> float:
    if part in ("pm", "evening", "afternoon", "teatime") and hour < 12:
        return hour + 12
    if part == "night" and 5 <= hour < 12:
        return hour + 12
    return hour if hour != 12 or part not in ("am", "night", "morning") else 0.0


def bare_span(line: str) -> float | None:
    """Hours of 'from 10 till 3', 'out half ten to four': two bare times by day, the second past noon."""
    match = _BARE.search(_numbers(line))
    if match is None:
        return None
    a, b = (int(match[at + 1]) + (0.5 if match[at] else 0.0) for at in (1, 3))
    return b + 12 - a if 5 <= a < 13 and 1 <= b < a else None


def clock_span(line: str) -> float | None:
    """Hours from the first time of day named to the second; None where no two are."""
    line = _numbers(line)
    found = [m for m in _TIME.finditer(line) if not _MEASURED.match(line[m.end() :])]
    found = [m for m in found if m["fixed"] or int(m["hour"]) <= 24]
    if len(found) < 2:
        return None
    pairs = sorted(itertools.pairwise(found), key=lambda pair: not (_hour(pair[0])[1] and _hour(pair[1])[1]))
    for first, second in pairs:  # two times that both say their part of the day come before any others
        between = line[first.end() : second.start()]
        if len(between) > 40 or not _JOINT.search(between):
            continue
        (a, part_a), (b, part_b) = _hour(first), _hour(second)
        timed = first["minute"] and second["minute"]
        if not (part_a or part_b or timed or " at " in line[: first.start() + 1][-6:]):
            continue
        if a > 24 or b > 24:
            continue
        b = _settled(b, part_b)
        if not part_a and part_b in ("am", "morning", "day") and 2 < a < 12:
            a += 12
        a = _settled(a, part_a)
        if not part_b and part_a in ("am", "morning") and b <= a:
            b += 12
        return (b - a) % 24 or None
    return None
