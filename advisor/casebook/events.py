"""A case as the ordered list of what was said, and the pure functions over it.

Nothing is ever taken out: taking something back is itself an event that names what it takes back.
Acts are opaque here: plain JSON objects, kept as they were read on the day.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from advisor.casebook.errors import BadNameError, NothingToRedoError, NothingToUndoError
from advisor.casebook.names import name_key

__all__ = [
    "REDO",
    "SAID",
    "SCHEMA_VERSION",
    "UNDO",
    "Case",
    "Event",
    "append",
    "effective_events",
    "new_case",
    "redo",
    "redo_target",
    "undo",
    "undo_target",
]

SCHEMA_VERSION = 1
SAID, UNDO, REDO = "said", "undo", "redo"


@dataclass(frozen=True)
class Event:
    """One message: the user's own words, the day, and the acts read from it at the time.

    `kind` is a lower_case word of the dialogue's choosing; 'undo' and 'redo' alone mean something here,
    and `target` is then the number of the event taken back or brought back.
    `asks` is the question (its id) that stood open after the reply to this message.
    """

    number: int
    at: dt.date
    message: str
    acts: tuple[dict[str, Any], ...] = ()
    kind: str = SAID
    asks: str | None = None
    target: int | None = None


@dataclass(frozen=True)
class Case:
    """A case. `opening` is the question it began with; `asked` the one open now."""

    name: str
    created: dt.date
    events: tuple[Event, ...] = ()
    opening: str | None = None
    schema_version: int = SCHEMA_VERSION

    @property
    def asked(self) -> str | None:
        """The question now open (its id), or None."""
        return self.events[-1].asks if self.events else self.opening

    @property
    def next_number(self) -> int:
        return self.events[-1].number + 1 if self.events else 1


def new_case(name: str, created: dt.date, opening: str | None = None) -> Case:
    """A case with nothing said yet. Raises BadNameError where the name cannot be seen."""
    if not name_key(name):
        raise BadNameError(name=name)
    return Case(name.strip(), _day(created), (), opening)


def append(
    case: Case,
    at: dt.date,
    message: str,
    acts: Iterable[Mapping[str, Any]] = (),
    *,
    kind: str = SAID,
    asks: str | None = None,
) -> Case:
    """The case with one more message. Raises TypeError or ValueError where an act is not plain JSON."""
    if kind in (UNDO, REDO):
        raise ValueError(f"'{kind}' events are made by {kind}()")
    return _with(case, Event(case.next_number, _day(at), message, _plain(acts), kind, asks))


def undo(
    case: Case, at: dt.date, message: str, *, target: int | None = None, asks: str | None = None
) -> Case:
    """The case with `target` taken back (else the newest message that did something)."""
    chosen = undo_target(case) if target is None else target
    if chosen is None or chosen not in {event.number for event in effective_events(case)}:
        raise NothingToUndoError()
    return _with(case, Event(case.next_number, _day(at), message, (), UNDO, asks, chosen))


def redo(case: Case, at: dt.date, message: str, *, asks: str | None = None) -> Case:
    """The case with what was taken back last brought back, in its old place among the messages."""
    chosen = redo_target(case)
    if chosen is None:
        raise NothingToRedoError()
    return _with(case, Event(case.next_number, _day(at), message, (), REDO, asks, chosen))


def undo_target(case: Case) -> int | None:
    """The number of the newest effective event that carries acts, or None."""
    return next((event.number for event in reversed(effective_events(case)) if event.acts), None)


def redo_target(case: Case) -> int | None:
    """The number of the event taken back last and not yet brought back, or None."""
    undone = _undone(case)
    return undone[-1] if undone else None


def effective_events(case: Case) -> tuple[Event, ...]:
    """The events that count, in order, after every undo and redo. Facts are folded from these."""
    undone = set(_undone(case))
    return tuple(event for event in case.events if event.target is None and event.number not in undone)


def _undone(case: Case) -> list[int]:
    """Numbers now taken back, in the order of their taking back."""
    undone: list[int] = []
    for event in case.events:
        if event.target is None:
            continue
        if event.target in undone:
            undone.remove(event.target)
        if event.kind == UNDO:
            undone.append(event.target)
    return undone


def _with(case: Case, event: Event) -> Case:
    return replace(case, events=(*case.events, event))


def _plain(acts: Iterable[Mapping[str, Any]]) -> tuple[dict[str, Any], ...]:
    """A copy in exactly the form it will have when read back from disk."""
    copied = json.loads(json.dumps([dict(act) for act in acts], allow_nan=False))
    return tuple(copied)


def _day(at: dt.date) -> dt.date:
    """The day alone, where a date with a time was given."""
    return dt.date(at.year, at.month, at.day)
