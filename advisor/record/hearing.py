"""Season notes in the keeper's words: 'four bales yesterday', 'last week three a day', 'sold ten ewes'.

Words stand in knowledge/phrases/season.yaml; numbers, units and names come from the language package.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from advisor.farm.model import Farm
from advisor.knowledge import Knowledge
from advisor.record.clauses import Clause, Found, clause_of, parts_of, pen_names, says, time_of
from advisor.record.entries import Entry, read_entry
from advisor.record.hear_signs import hear_bed, hear_heap, hear_lab, hear_signs, hear_spell
from advisor.record.hear_supply import hear_heads, hear_supply, heard_group
from advisor.record.time_words import has_word, season_words

if TYPE_CHECKING:
    from advisor.language import Lexicon

__all__ = ["Heard", "hear"]


@dataclass(frozen=True)
class Heard:
    """The entries read, or what to ask back. Neither: it was no season note."""

    entries: tuple[Entry, ...] = ()
    ask: str = ""
    dated: bool = False  # whether a day was named
    plain: bool = False  # whether `ask` may be said back in a conversation: nothing else can have been meant


def hear(
    text: str,
    farm: Farm,
    knowledge: Knowledge,
    lexicon: Lexicon,
    today: dt.date,
    us: bool = False,
    note: bool = False,
) -> Heard:
    """Read a message as season notes of a farm that has its pens, groups and materials.

    `note`: it is known to be one, so that a bare amount is bedding put on, and a mishap is an incident.
    """
    message = " ".join(text.casefold().replace("\u2019", "'").split())
    if "?" in message:
        return Heard()
    message = re.sub(r"(?<=\d)\s*(?:degrees|degree|deg)(?!\s*[cf]\b)", " degf" if us else " degc", message)
    if has_word(message, season_words()["future"]):
        return Heard(ask=says("future"))
    if has_word(message, season_words()["missed"]):
        return Heard(ask=says("missed"), plain=True)
    raw, ask, _ = _all(message, farm, knowledge, lexicon, today, us, "note" if note else "")
    if not raw and note and (what := _mishap(message)):
        raw = [
            {
                "date": time_of(message, today, us, lexicon).first,
                "kind": "incident",
                "what": what,
                "note": text.strip(),
            }
        ]
    out = [read_entry({**each, "said": text.strip()[:200]}) for each in _one_lab(raw)]
    if any(entry.date > today for entry in out):
        return Heard(ask=says("future"))
    dated = time_of(message, today, us, lexicon).named
    return Heard(tuple(out), "" if out else ask, dated, not out and ask == says("wet_amount"))


def _all(
    message: str, farm: Farm, knowledge: Knowledge, lexicon: Lexicon, today: dt.date, us: bool, kind: str
) -> Found:
    """What all clauses tell; one that only names a day says the one before over again."""
    raw: list[dict[str, Any]] = []
    ask = ""
    last: list[dict[str, Any]] = []
    when = time_of(message, today, us, lexicon)
    pens = pen_names([pen.id for pen in farm.pens])
    pen = ""
    for part in parts_of(message):
        clause = clause_of(part, when, lexicon, today, us, pens)
        pen = clause.pen or pen
        if clause.when.named:
            when = clause.when
        if clause.only_time and last:
            raw += [{**each, "date": when.first} for each in last]
            continue
        last, question, heard_kind = _read(clause, kind, farm, knowledge, today)
        kind = heard_kind or ("note" if kind == "note" else "")
        ask = ask or question
        last = [{**each, "pen": pen} for each in last] if pen else last
        raw += last
    return raw, ask, kind


def _read(clause: Clause, before: str, farm: Farm, knowledge: Knowledge, today: dt.date) -> Found:
    """What one clause tells. A clause without a cue goes on with the kind before it.

    A reading has one day: the last of a stretch it names, today where only its neighbour names one.
    """
    cues, when = clause.cues, clause.when
    stretch: dict[str, Any] = {"date": when.first}
    date = stretch
    if when.days > 1:
        date = {"date": min(today, when.first + dt.timedelta(days=when.days - 1)) if when.named else today}
    if "lab" in cues or before == "lab":
        return hear_lab(clause, date)
    if "heap" in cues or (before == "heap" and clause.amounts("temperature")):
        return hear_heap(clause, date)
    if found := hear_signs(clause, date):
        return found
    if found := hear_spell(clause, stretch):
        if found[2] == "grass" and clause.names("animal"):
            group = heard_group(clause.names("animal")[0], farm, knowledge)
            found = ([{**found[0][0], **({"group": group} if group else {})}], "", "grass")
        return found
    if found := hear_bed(clause, date):
        return found
    named = clause.names("animal") and (cues & {"out", "in", "count", "bought"} or before == "heads")
    bare = "out" in cues and clause.numbers() and not clause.amounts("pack", "mass", "volume")
    if named or (bare and not clause.names("material")):
        return hear_heads(clause, date, farm, knowledge)
    return hear_supply(clause, before, stretch, farm, knowledge)


def _mishap(message: str) -> str:
    return next((name for name, words in season_words()["mishaps"].items() if has_word(message, words)), "")


def _one_lab(raw: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    """The numbers of one laboratory's sheet together."""
    out: list[dict[str, Any]] = []
    for each in raw:
        same = ("kind", "date", "of")
        if out and each["kind"] == "lab" and all(out[-1].get(k) == each.get(k) for k in same):
            out[-1] = {**each, **out[-1]}
        else:
            out.append(each)
    return out
