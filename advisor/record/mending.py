"""A note put right in the next breath: 'no, five bales', 'the depth was wrong, it is 60 cm'."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from advisor.casebook import Case, effective_events
from advisor.knowledge import Knowledge
from advisor.plan.voice import sentences
from advisor.plan.wording import Units
from advisor.record.entries import Entry, read_entry
from advisor.record.fold import correction
from advisor.record.saying import entry_words
from advisor.record.time_words import season_words

__all__ = ["last_noted", "mends", "put_right"]


def mends(text: str) -> bool:
    """Whether a message takes back what was just said: by its first words, or by calling something wrong."""
    said = " ".join(text.casefold().replace("\u2019", "'").split())
    words = season_words()["mends"]
    return any(re.match(rf"{re.escape(each)}(?![\w-])", said) for each in words["first"]) or any(
        re.search(rf"(?<![\w-]){re.escape(each)}(?![\w-])", said) for each in words["anywhere"]
    )


def last_noted(case: Case) -> tuple[Entry, ...]:
    """What the last message that told anything noted; nothing where that was no season note."""
    last = next((event for event in reversed(effective_events(case)) if event.acts), None)
    if last is None or last.kind != "season":
        return ()
    return tuple(read_entry(act["season"]) for act in last.acts if "season" in act)


def put_right(
    entries: Sequence[Entry], told: Sequence[Entry], dated: bool, units: Units, knowledge: Knowledge
) -> tuple[list[dict[str, Any]], list[Entry], str]:
    """(acts, the entries as they now stand, what they replace in words). Days stay unless new ones were named."""
    acts: list[dict[str, Any]] = []
    now: list[Entry] = []
    old: list[str] = []
    left = list(told)
    for entry in entries:
        before = next((each for each in left if each.kind == entry.kind), None)
        if before is None:
            continue
        left.remove(before)
        keep: dict[str, Any] = {"id": before.id, "pen": entry.pen or before.pen}
        if not dated:
            keep["date"] = before.date
            if hasattr(before, "days") and getattr(entry, "days", 1) == 1:
                keep["days"] = before.days
        entry = entry.model_copy(update=keep)
        acts.append(correction(before.id, entry))
        now.append(entry)
        old.append(entry_words(before, units, knowledge))
    return acts, now, sentences("season")["note_mended"].format(old="; ".join(old))
