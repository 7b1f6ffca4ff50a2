"""The record of a case: its season acts, folded in the order of the events that count."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from advisor.casebook import Case, effective_events
from advisor.record.entries import Entry, Record, dump, read_entry, with_ids

__all__ = ["acts_for", "correction", "drop", "fold_record", "record_of"]

Act = Mapping[str, Any]


def record_of(case: Case, more: Iterable[Act] = ()) -> Record:
    """The record as a case holds it, and further acts not yet in it."""
    return fold_record([*(act for event in effective_events(case) for act in event.acts), *more])


def fold_record(acts: Iterable[Act]) -> Record:
    """Apply acts in order: an entry of an id already there corrects it."""
    held: dict[str, Entry] = {}
    for act in acts:
        if "season" in act:
            entry = read_entry(act["season"])
            held[entry.id] = entry
        if "season_drop" in act:
            held.pop(act["season_drop"], None)
    return Record.of(held.values())


def acts_for(entries: Iterable[Entry], record: Record) -> list[dict[str, Any]]:
    """The acts that add entries to a record. The same thing told twice is noted twice."""
    taken = [entry.id for entry in record]
    return [{"season": dump(entry)} for entry in with_ids(entries, taken)]


def correction(id_: str, entry: Entry) -> dict[str, Any]:
    """The act that puts an entry in the place of another."""
    return {"season": dump(entry.model_copy(update={"id": id_}))}


def drop(id_: str) -> dict[str, Any]:
    """The act that takes an entry out of the record."""
    return {"season_drop": id_}
