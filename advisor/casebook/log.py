"""The bytes of a case file: a heading line, then one line an event, read without losing what is readable."""

from __future__ import annotations

from dataclasses import dataclass, replace

from advisor.casebook.as_json import (
    UnreadableError,
    event_from_json,
    event_to_json,
    header_from_json,
    header_to_json,
    line_of,
    parse_json,
)
from advisor.casebook.events import Case, Event
from advisor.casebook.names import shown

__all__ = ["Damage", "Log", "log_bytes", "read_log", "renamed_bytes"]

_EVENT_BEGINS = b'{"number":'


@dataclass(frozen=True)
class Damage:
    """A line that could not be read. A torn one is the cut-off end of a write that never finished."""

    line: int
    torn: bool
    reason: str
    text: str

    def __str__(self) -> str:
        if self.torn:
            return f"Line {self.line}, the last, was cut short while it was being saved. It was left out."
        reason = shown(self.reason)
        return f"Line {self.line} cannot be read ({reason}). It was left out and stays in the file."


@dataclass(frozen=True)
class Log:
    """What a case file holds. New lines go after `keep_bytes`, first a line end where one is wanting."""

    case: Case
    damage: tuple[Damage, ...]
    keep_bytes: int
    line_end_wanting: bool


def read_log(data: bytes) -> Log:
    """Read a case file. Raises UnreadableError or NewerFormError where its heading is not ours."""
    heading, *pieces = data.split(b"\n")  # never splitlines: a message may hold other kinds of line end
    case = header_from_json(parse_json(heading))
    events: list[Event] = []
    damage: list[Damage] = []
    keep_bytes, ended = len(data), data.endswith(b"\n")
    for line, piece in enumerate(pieces, 2):
        text = piece.strip(b"\0 \t\r")  # a power cut may leave zero bytes where a line was to stand
        if not text:
            continue
        torn = line == len(pieces) + 1 and _begins_like_ours(text)
        try:
            raw = parse_json(text)
            torn = False  # whole JSON was not cut off, whatever else it is
            events.append(event_from_json(raw, events[-1].number if events else 0))
        except UnreadableError as fault:
            damage.append(Damage(line, torn, str(fault), text.decode(errors="replace")))
            if torn:
                keep_bytes, ended = len(data) - len(piece), True
    return Log(replace(case, events=tuple(events)), tuple(damage), keep_bytes, not ended)


def _begins_like_ours(text: bytes) -> bool:
    """Whether an unended line is the beginning of an event; anything else is not ours to cut away."""
    return text.startswith(_EVENT_BEGINS) or _EVENT_BEGINS.startswith(text)


def log_bytes(events: tuple[Event, ...]) -> bytes:
    """The lines of some events."""
    return b"".join(line_of(event_to_json(event)) for event in events)


def renamed_bytes(data: bytes, case: Case, name: str) -> bytes:
    """The file with another name in its heading and everything below it as it was, byte by byte."""
    below = data.partition(b"\n")[2]
    return line_of(header_to_json(replace(case, events=(), name=name))) + below
