"""Season notes in the keeper's words: 'four bales yesterday', 'last week three a day', 'sold ten ewes'.

Words stand in knowledge/phrases/season.yaml; numbers, units and names come from the language package.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from advisor.farm.model import Farm
from advisor.knowledge import Knowledge
from advisor.record.entries import Entry, read_entry
from advisor.record.ready import group_of, supply_of
from advisor.record.time_words import When, cut_time, has_word, scanned_date, season_words

if TYPE_CHECKING:
    from advisor.language import Lexicon
    from advisor.language.scan import Item

__all__ = ["Heard", "hear", "says"]

_MASS, _VOLUME = "mass", "volume"
_CLAUSE = re.compile(r"[;\n!]+|\.(?!\d)|,(?!\d)|\band then\b|\band\b|\bthen\b|\bplus\b")


@dataclass(frozen=True)
class Heard:
    """The entries read, or what to ask back. Neither: it was no season note."""

    entries: tuple[Entry, ...] = ()
    ask: str = ""
    dated: bool = False  # whether a day was named


@dataclass
class _Clause:
    text: str
    items: list[Item]
    when: When
    a_day: bool
    cues: set[str] = field(default_factory=set)
    wet: bool = False
    units: Mapping[str, Any] = field(default_factory=dict)

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


def says(name: str) -> str:
    """A question to ask back."""
    return str(season_words()["says"][name])


def hear(
    text: str, farm: Farm, knowledge: Knowledge, lexicon: Lexicon, today: dt.date, us: bool = False
) -> Heard:
    """Read a message as season notes of a farm that has its pens, groups and materials."""
    out: list[Entry] = []
    ask, kind = "", ""
    message = " ".join(text.casefold().replace("’", "'").split())
    if "?" in message:
        return Heard()
    when = _time_of(message, today, us, lexicon)
    for part in _parts(message):
        clause = _clause(part, when, lexicon, today, us)
        if clause.when.named:
            when = clause.when
        found, question, kind = _read(clause, kind, farm, knowledge, today)
        ask = ask or question
        out += [read_entry({**each, "said": text.strip()[:200]}) for each in found]
    if out and any(entry.date > today for entry in out):
        return Heard(ask=says("future"))
    return Heard(tuple(out), "" if out else ask, when.named)


# ---- clauses and time


def _parts(message: str) -> list[str]:
    """The message in clauses; one without a number or cue of its own belongs to the one before."""
    parts: list[str] = []
    for part in (piece.strip() for piece in _CLAUSE.split(message)):
        if not part:
            continue
        if parts and not (re.search(r"\d", part) or _cues(part)):
            parts[-1] += " " + part
        else:
            parts.append(part)
    return parts


def _cues(text: str) -> set[str]:
    return {name for name, words in season_words()["cues"].items() if has_word(text, words)}


def _clause(part: str, before: When, lexicon: Lexicon, today: dt.date, us: bool) -> _Clause:
    from advisor.language.scan import scan

    rest, when = cut_time(part, today, us)
    a_day = has_word(rest, season_words()["a_day"])
    cues, wet = _cues(rest), has_word(rest, season_words()["wet"])
    for word in (*season_words()["a_day"], *(season_words()["wet"] if "squeeze" not in cues else ())):
        rest = re.sub(rf"(?<![\w-]){re.escape(word)}(?![\w-])", " ", rest)
    items = list(scan(rest, None, lexicon, today).items)
    if when is None:
        when = scanned_date(rest, items, today)
    return _Clause(
        rest, items, when or When(before.first, before.days), a_day, cues, wet, lexicon.tables.units
    )


def _time_of(message: str, today: dt.date, us: bool, lexicon: Lexicon) -> When:
    """The day a message names anywhere, for its clauses that name none; else today."""
    from advisor.language.scan import scan

    rest, when = cut_time(message, today, us)
    found = when or scanned_date(rest, list(scan(rest, None, lexicon, today).items), today)
    return found or When(today)


# ---- what a clause tells

_Found = tuple[list[dict[str, Any]], str, str]


def _read(clause: _Clause, before: str, farm: Farm, knowledge: Knowledge, today: dt.date) -> _Found:
    """(raw entries, question, kind) of a clause. A clause without a cue goes on with the kind before it.

    A reading has one day: the last of a stretch it names, today where only its neighbour names one.
    """
    cues = clause.cues
    when = clause.when
    stretch: dict[str, Any] = {"date": when.first}
    date = stretch
    if when.days > 1:
        date = {"date": min(today, when.first + dt.timedelta(days=when.days - 1)) if when.named else today}
    words = season_words()
    if "lab" in cues or before == "lab":
        return _lab(clause, date)
    if "squeeze" in cues:
        for result, signs in words["squeeze"].items():
            if has_word(clause.text, signs):
                return [{**date, "kind": "squeeze", "result": result}], "", "squeeze"
        return [], says("which_squeeze"), "squeeze"
    if "heap" in cues or (before == "heap" and clause.amounts("temperature")):
        return _heap(clause, date)
    if "ammonia" in cues and (found := _ammonia(clause, date)):
        return found
    if "dirt" in cues or (clause.names("animal") and has_word(clause.text, words["dirt"])):
        return _dirt(clause, date)
    for kind in ("rain", "frozen", "grass"):
        if kind in cues and (found := _spell(kind, clause, stretch, farm, knowledge)):
            return found
    if "depth" in cues and clause.amounts("length"):
        depth = clause.amounts("length")[0]
        return [{**date, "kind": "depth", "depth": _ranged(depth)}], "", "depth"
    if "moisture" in cues and (shares := _shares(clause)):
        of = "whole" if has_word(clause.text, words["whole"]) else "top"
        return [{**date, "kind": "moisture", "moisture": shares[0], "of": of}], "", "moisture"
    if clause.amounts("temperature") and not cues & {"bedding", "bought"}:
        warm = _ranged(clause.amounts("temperature")[0])
        entry: dict[str, Any] = {**date, "kind": "temperature", "temperature": warm}
        if clause.amounts("length"):
            entry["depth"] = _ranged(clause.amounts("length")[0])
        return [entry], "", "temperature"
    if clause.names("animal") and (cues & {"out", "in", "count", "bought"} or before == "heads"):
        return _heads(clause, date, farm, knowledge)
    return _supply(clause, before, stretch, farm, knowledge)


def _ranged(item: Item) -> dict[str, Any]:
    low, high = item.si
    return {"value": (low + high) / 2, "low": low, "high": high, "said": item.spoken.replace("m**3", "m3")}


def _shares(clause: _Clause) -> list[float]:
    shares = [item.si[0] for item in clause.items if item.kind == "amount" and item.unit == "percent"]
    return (
        shares
        or [n for n in clause.numbers() if 0 < n < 1]
        or [n / 100 for n in clause.numbers() if 1 < n < 100]
    )


def _lab(clause: _Clause, date: dict[str, Any]) -> _Found:
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


def _heap(clause: _Clause, date: dict[str, Any]) -> _Found:
    entry: dict[str, Any] = {**date, "kind": "heap"}
    if clause.amounts("temperature"):
        entry["temperature"] = _ranged(clause.amounts("temperature")[0])
    if "turned" in clause.cues:
        entry["turned"] = True
    if has_word(clause.text, season_words()["edge"]):
        entry["where"] = "edge"
    return ([entry], "", "heap") if len(entry) > 2 else ([], "", "heap")


def _ammonia(clause: _Clause, date: dict[str, Any]) -> _Found | None:
    ppm = [item for item in clause.items if item.kind == "amount" and item.unit == "ppm" and item.number]
    if ppm and ppm[0].number:
        return [{**date, "kind": "ammonia", "ppm": ppm[0].number.value}], "", "ammonia"
    if "nose" in clause.text:
        scores = [n for n in clause.numbers() if n in (0, 1, 2, 3)]
        said = [score for word, score in season_words()["nose"].items() if has_word(clause.text, [word])]
        if scores or said:
            return (
                [{**date, "kind": "ammonia", "nose": int(scores[0] if scores else max(said))}],
                "",
                "ammonia",
            )
    return None


def _dirt(clause: _Clause, date: dict[str, Any]) -> _Found:
    scores = [n for n in clause.numbers() if n in (1, 2, 3, 4, 5)] if "dirt" in clause.cues else []
    said = sorted(
        ((len(w), s) for w, s in season_words()["dirt"].items() if has_word(clause.text, [w])), reverse=True
    )
    if not scores and not said:
        return [], "", "dirt"
    return [{**date, "kind": "dirt", "score": int(scores[0] if scores else said[0][1])}], "", "dirt"


def _spell(
    kind: str, clause: _Clause, date: dict[str, Any], farm: Farm, knowledge: Knowledge
) -> _Found | None:
    """Rain in, frost, days at grass."""
    days = next(
        (round(i.number.value * clause.units[i.unit].factor) for i in clause.amounts("time") if i.number), 0
    )
    lasted = max(1, min(366, days or clause.when.days))
    if kind == "rain":
        lengths, volumes = clause.amounts("length"), clause.amounts(_VOLUME)
        if lengths:
            return [{**date, "kind": "rain", "rain": 1000.0 * lengths[0].si[0]}], "", "rain"
        if volumes:
            return [{**date, "kind": "rain", "volume": _ranged(volumes[0])}], "", "rain"
        return None
    if days and clause.when.days == 1:  # 'at grass for three days', said today, speaks of days gone
        date = {"date": date["date"] - dt.timedelta(days=0 if clause.when.named else days)}
    if not days and not clause.when.named:
        return None  # 'on grass' alone may be an answer to something else
    if kind == "frozen":
        return [{**date, "kind": "incident", "what": "frozen", "days": lasted}], "", "frozen"
    entry: dict[str, Any] = {**date, "kind": "grass", "days": lasted}
    if clause.names("animal"):
        found = _group(clause.names("animal")[0], farm, knowledge)
        if found:
            entry["group"] = found
    return [entry], "", "grass"


def _group(name: str, farm: Farm, knowledge: Knowledge) -> str:
    from advisor.farm.reading import find_id

    id_, _ = find_id(name, knowledge.animals)
    found = group_of(id_, "", farm, knowledge) if id_ else None
    return found.id if found else id_ or ""


def _heads(clause: _Clause, date: dict[str, Any], farm: Farm, knowledge: Knowledge) -> _Found:
    entries: list[dict[str, Any]] = []
    number: float | None = None
    for item in clause.items:
        if item.kind == "number" and item.number:
            number = item.number.value
        elif item.kind == "word" and item.text in ("a", "an", "one") and number is None:
            number = 1.0
        elif item.kind == "animal":
            if number is None:
                continue
            entry: dict[str, Any] = {**date, "kind": "heads", "group": _group(item.name, farm, knowledge)}
            if "count" in clause.cues and not clause.cues & {"out", "in"}:
                entry["count"] = round(number)
            else:
                entry["change"] = round(-number if "out" in clause.cues else number)
            entries.append(entry)
            number = None
    return entries, "" if entries else says("which_animals"), "heads"


def _supply(clause: _Clause, before: str, date: dict[str, Any], farm: Farm, knowledge: Knowledge) -> _Found:
    """Bedding given, bought, left, weighed or priced."""
    cues = clause.cues
    kind = next((k for k in ("weighed", "price", "bought", "stock", "bedding") if k in cues), "")
    amounts = clause.amounts("pack", _MASS, _VOLUME)
    numbers = clause.numbers()
    if kind == "weighed":
        return _weighed(clause, date, farm, knowledge)
    if kind == "price":
        material, _ = _material(clause, None, farm, knowledge)
        if not numbers or not material:
            return [], "", ""
        return [{**date, "kind": "price", "material": material, "price": numbers[0]}], "", "price"
    if not kind:
        kind = before if before in ("bedding", "bought", "stock") else ""
    if not kind and (amounts or (numbers and clause.a_day)) and (clause.when.named or clause.a_day):
        kind = "bedding"
    nothing = has_word(clause.text, season_words()["none"]) and (clause.when.named or "bedding" in cues)
    if not amounts and not numbers and nothing:
        beds = [
            s.name for s in farm.materials if s.bedding
        ]  # none of any: which one is named does not matter
        none = {**date, "kind": "bedding", "material": beds[0], "mass": 0.0, "days": clause.when.days}
        return [none], "", "bedding"
    if not kind or not (amounts or numbers):
        return [], says("how_much") if kind else "", kind
    out: list[dict[str, Any]] = []
    for item in amounts or [item for item in clause.items if item.kind == "number" and item.number][:1]:
        material, question = _material(clause, item, farm, knowledge)
        if not material:
            return [], question, kind
        entry = {**date, "kind": kind, "material": material, **_amount(clause, item, material, knowledge)}
        if kind == "bedding":
            entry |= _days(clause, entry)
            if clause.wet:
                entry["wet"] = True
        if kind == "bought" and numbers and amounts:
            entry |= {"cost": numbers[-1] * entry["packs"]} if "packs" in entry else {"price": numbers[-1]}
        out.append(entry)
    return out, "", kind


def _days(clause: _Clause, entry: dict[str, Any]) -> dict[str, Any]:
    """Over a stretch, an amount is for each day where that was said, else for all of it."""
    days = clause.when.days
    if days <= 1 or clause.a_day:
        return {"days": days} if days > 1 else {}
    spread: dict[str, Any] = {"days": days}
    for name in ("packs", "mass", "volume"):
        if name in entry:
            told = entry[name]
            if isinstance(told, dict):
                spread[name] = {k: v if k == "said" else v / days for k, v in told.items()}
            else:
                spread[name] = told / days
    return spread


def _amount(clause: _Clause, item: Item, material: str, knowledge: Knowledge) -> dict[str, Any]:
    measures = clause.measures(item) if item.kind == "amount" else "pack"
    if measures in (_MASS, _VOLUME):
        return {measures: _ranged(item)}
    assert item.number is not None
    if item.unit_mass:
        low, high = (item.number.value * each for each in item.unit_mass)
        return {"mass": {"value": (low + high) / 2, "low": low, "high": high, "said": item.text}}
    packs = knowledge.materials[material].packs
    wanted = item.unit.replace(" ", "_")
    return {"packs": item.number.value, **({"pack": wanted} if wanted in packs else {})}


def _weighed(clause: _Clause, date: dict[str, Any], farm: Farm, knowledge: Knowledge) -> _Found:
    masses = clause.amounts(_MASS)
    packs = [
        item for item in clause.items if item.kind in ("amount", "pack") and clause.measures(item) == "pack"
    ]
    material, question = _material(clause, packs[0] if packs else None, farm, knowledge)
    if not masses or not material:
        return [], question if masses else "", "weighed"
    return [{**date, "kind": "weighed", "material": material, "mass": _ranged(masses[0])}], "", "weighed"


def _material(clause: _Clause, item: Item | None, farm: Farm, knowledge: Knowledge) -> tuple[str, str]:
    """The material meant: named after the amount, else anywhere, else the only one it can be."""
    from advisor.farm.reading import find_id

    named = [
        each for each in clause.items if each.kind == "material" and each.name not in ("pack", "bedding")
    ]
    if item is not None and len(named) > 1:
        named = [each for each in named if each.start >= item.start] or named
    if named:
        id_, _ = find_id(named[0].name, knowledge.materials)
        if id_:
            place = supply_of(id_, farm, knowledge)
            return (farm.materials[place].name if place is not None else id_), ""
    beds = [s for s in farm.materials if s.bedding and knowledge.materials[s.name].kind == "bedding"]
    counted = item is None or item.kind == "number" or clause.measures(item) == "pack"
    baled = [s for s in beds if s.packs is not None or s.pack_mass is not None]
    if counted and len(baled) == 1:
        return baled[0].name, ""
    return (beds[0].name, "") if len(beds) == 1 else ("", says("which_material"))
