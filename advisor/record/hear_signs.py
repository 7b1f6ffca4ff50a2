"""What was seen and measured, from a clause of a season note: readings, spells of weather, heap and laboratory."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

from advisor.record.clauses import Clause, Found, days_told, ranged, says
from advisor.record.time_words import has_word, season_words

__all__ = ["hear_bed", "hear_heap", "hear_lab", "hear_signs", "hear_spell"]


def hear_signs(clause: Clause, date: dict[str, Any]) -> Found | None:
    """Squeeze test, ammonia, dirt."""
    words = season_words()
    if "squeeze" in clause.cues:
        for result, signs in words["squeeze"].items():
            if has_word(clause.text, signs):
                return [{**date, "kind": "squeeze", "result": result}], "", "squeeze"
        return [], says("which_squeeze"), "squeeze"
    if "ammonia" in clause.cues:
        return _ammonia(clause, date)
    if "dirt" in clause.cues or (clause.names("animal") and has_word(clause.text, words["dirt"])):
        return _dirt(clause, date)
    return None


def hear_bed(clause: Clause, date: dict[str, Any]) -> Found | None:
    """Depth, moisture and temperature of the bed; not of a gate, the air or the straw that goes on."""
    if has_word(clause.text, season_words()["elsewhere"]):
        return None
    if "depth" in clause.cues and clause.amounts("length"):
        return [{**date, "kind": "depth", "depth": ranged(clause.amounts("length")[0])}], "", "depth"
    of_bedding = any(name not in ("pack", "bedding") for name in clause.names("material"))
    if "moisture" in clause.cues and not of_bedding and (shares := _shares(clause)):
        of = "whole" if has_word(clause.text, season_words()["whole"]) else "top"
        return [{**date, "kind": "moisture", "moisture": shares[0], "of": of}], "", "moisture"
    if clause.amounts("temperature") and not clause.cues & {"bedding", "bought"}:
        warm = ranged(clause.amounts("temperature")[0])
        entry: dict[str, Any] = {**date, "kind": "temperature", "temperature": warm}
        if clause.amounts("length"):
            entry["depth"] = ranged(clause.amounts("length")[0])
        return [entry], "", "temperature"
    return None


def hear_spell(clause: Clause, date: dict[str, Any]) -> Found | None:
    """Rain in, frost, births, days at grass (whose animals are named by the caller)."""
    cues = clause.cues
    if "rain" in cues:
        lengths, volumes = clause.amounts("length"), clause.amounts("volume")
        if lengths:
            return [{**date, "kind": "rain", "rain": 1000.0 * lengths[0].si[0]}], "", "rain"
        if volumes:
            return [{**date, "kind": "rain", "volume": ranged(volumes[0])}], "", "rain"
    if "births" in cues:
        return [{**date, "kind": "incident", "what": "births", "note": clause.text.strip()}], "", "births"
    kind = next((kind for kind in ("frozen", "grass") if kind in cues), "")
    days, when = days_told(clause), clause.when
    if not kind or not (days or when.named):
        return None  # 'on grass' alone may be an answer to something else
    if days and when.days == 1:  # 'at grass for three days', said today, speaks of days gone
        date = {"date": date["date"] - dt.timedelta(days=0 if when.named else days)}
    lasted = max(1, min(366, days or when.days))
    if kind == "frozen":
        return [{**date, "kind": "incident", "what": "frozen", "days": lasted}], "", "frozen"
    return [{**date, "kind": "grass", "days": lasted}], "", "grass"


def hear_lab(clause: Clause, date: dict[str, Any]) -> Found:
    """A laboratory's numbers, by the names beside them."""
    entry: dict[str, Any] = {**date, "kind": "lab", "of": "compost" if "compost" in clause.text else "pack"}
    for name, words in season_words()["lab_parts"].items():
        for word in words:
            match = re.search(
                rf"(?<![\w:]){re.escape(word)}(?![\w:])\s*(?:is|=|:|of)?\s*(\d+(?:\.\d+)?)", clause.text
            )
            if match:
                number = float(match[1])
                if name == "dry_matter":
                    entry.setdefault("moisture", 1.0 - number / 100.0)
                elif name == "moisture":
                    entry["moisture"] = number / 100.0 if number > 1 else number
                else:
                    entry[name] = number
                break
    return ([entry], "", "lab") if len(entry) > 3 else ([], "", "lab")


def hear_heap(clause: Clause, date: dict[str, Any]) -> Found:
    """A heap's temperature, or that it was turned."""
    entry: dict[str, Any] = {**date, "kind": "heap"}
    if clause.amounts("temperature"):
        entry["temperature"] = ranged(clause.amounts("temperature")[0])
    if "turned" in clause.cues:
        entry["turned"] = True
    if has_word(clause.text, season_words()["edge"]):
        entry["where"] = "edge"
    return ([entry], "", "heap") if len(entry) > 2 else ([], "", "heap")


def _shares(clause: Clause) -> list[float]:
    shares = [item.si[0] for item in clause.items if item.kind == "amount" and item.unit == "percent"]
    return (
        shares
        or [n for n in clause.numbers() if 0 < n < 1]
        or [n / 100 for n in clause.numbers() if 1 < n < 100]
    )


def _ammonia(clause: Clause, date: dict[str, Any]) -> Found:
    ppm = [item for item in clause.items if item.kind == "amount" and item.unit == "ppm" and item.number]
    if ppm and ppm[0].number:
        return [{**date, "kind": "ammonia", "ppm": ppm[0].number.value}], "", "ammonia"
    if "nose" in clause.text:
        scores = [n for n in clause.numbers() if n in (0, 1, 2, 3)]
        said = [score for word, score in season_words()["nose"].items() if has_word(clause.text, [word])]
        if scores or said:
            nose = int(scores[0] if scores else max(said))
            return [{**date, "kind": "ammonia", "nose": nose}], "", "ammonia"
    return [], says("which_nose"), "ammonia"


def _dirt(clause: Clause, date: dict[str, Any]) -> Found:
    scores = [n for n in clause.numbers() if n in (1, 2, 3, 4, 5)]
    said = sorted(
        ((len(w), s) for w, s in season_words()["dirt"].items() if has_word(clause.text, [w])), reverse=True
    )
    if said and (clause.names("animal") or not scores):
        return [{**date, "kind": "dirt", "score": int(said[0][1])}], "", "dirt"
    if not scores:
        return [], "", "dirt"
    return [{**date, "kind": "dirt", "score": int(scores[0])}], "", "dirt"
