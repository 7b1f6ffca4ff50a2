"""Dates told by how far they move: 'two weeks later', 'a fortnight earlier', 'kept in another month'."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from advisor.language.lexicon import Lexicon
from advisor.language.quantities import unit_at
from advisor.language.scan import Scan

__all__ = ["moved_dates"]


def moved_dates(scan: Scan, lexicon: Lexicon, before: Mapping[str, Any]) -> dict[str, Any]:
    """Start, end or days after the moves that the message tells of; empty where it tells of none, or none is known."""
    texts = [token.text for token in scan.tokens]
    if set(texts) & lexicon.lists["not_housing"]:
        return {}
    out: dict[str, Any] = {}
    last = 0
    for start, end, days in _spans(scan, lexicon, texts):
        sign, longer = _direction(texts, start, end, lexicon)
        if not sign or (longer and not set(texts) & lexicon.lists["staying"]):
            continue
        clause = [*texts[end : end + 6], *texts[last:start]]  # the words before it say first
        last = end
        key = "end" if longer else _which(clause, scan, lexicon)
        if key in before and key in ("start", "end"):
            out[key] = _moved(str(before[key]), round(sign * days))
        elif key == "end" and isinstance(before.get("days"), int | float):
            out["days"] = round(before["days"] + sign * days)
        elif key == "start" and "end" not in before and isinstance(before.get("days"), int | float):
            out["days"] = round(before["days"] - sign * days)
    dates = [item for item in scan.items if item.date is not None]
    for item in dates:
        if item.date is not None and item.date.only_day and len(dates) == 1:
            key = _which([*texts[item.end : item.end + 6], *texts[: item.start]], scan, lexicon)
            if key in before:
                out[key] = f"{str(before[key])[-5:-3]}-{item.date.only_day:02d}"
    return out


def _spans(scan: Scan, lexicon: Lexicon, texts: list[str]) -> list[tuple[int, int, float]]:
    """(start, end, days) of each length of time, 'another month' too."""
    found = [
        (item.start, item.end, item.si[0])
        for item in scan.items
        if item.kind == "amount" and item.unit and lexicon.unit(item.unit).measures == "time"
    ]
    for at, text in enumerate(texts[:-1]):
        unit = unit_at(lexicon, texts, at + 1) if text in ("another", "extra") else None
        if unit and lexicon.unit(unit[0]).measures == "time":
            found.append((at, unit[1], lexicon.unit(unit[0]).factor))
    return sorted(found)


def _direction(texts: list[str], start: int, end: int, lexicon: Lexicon) -> tuple[int, bool]:
    """(1 later, -1 earlier or 0, whether it is how long they stay) of the words round a length of time."""
    after, before = texts[end : end + 1], texts[max(0, start - 3) : start]
    said = set(after)
    if said & {"longer", "shorter"}:
        return (1 if "longer" in said else -1), True
    if texts[start] in ("another", "extra") or "another" in before[-1:] or "extra" in before[-1:]:
        return 1, True
    if said & lexicon.lists["later_words"] or set(before) & {"delayed", "postponed", "later"}:
        return 1, False
    if said & lexicon.lists["earlier_words"] or "forward" in before:
        return -1, False
    return 0, False


def _which(clause: list[str], scan: Scan, lexicon: Lexicon) -> str:
    """Whether the date in or the date out moves: the word of the clause that stands last says."""
    lists = lexicon.lists
    for text in reversed(clause):
        if text in lists["moves_out"]:
            return "end"
        if text in lists["moves_in"]:
            return "start"
    slot = scan.asked.slot if scan.asked else ""
    return slot if slot in ("start", "end") else ""


def _moved(day: str, days: int) -> str:
    month, date = (int(part) for part in day[-5:].split("-"))
    found = dt.date(2025, month, min(date, 28) if month == 2 else date) + dt.timedelta(days=days)
    return found.strftime("%m-%d")
