"""Cases to JSON and back, checked by hand so that every fault is named with its place.

The form is described by `advisor/contracts/case_export.schema.json`.
"""

from __future__ import annotations

import datetime as dt
import json
import re
from typing import Any, NoReturn

from advisor.casebook.events import REDO, SCHEMA_VERSION, UNDO, Case, Event
from advisor.casebook.names import name_key

__all__ = [
    "FORMAT",
    "NewerFormError",
    "UnreadableError",
    "event_from_json",
    "event_to_json",
    "from_json",
    "header_from_json",
    "header_to_json",
    "line_of",
    "parse_json",
    "to_json",
]

FORMAT = "byrewise case"
_HEADER_KEYS = {"format", "schema_version", "name", "created", "opening"}
_EVENT_KEYS = {"number", "at", "kind", "message", "acts", "asks", "target"}


class UnreadableError(ValueError):
    """What is wrong, and where."""

    def __init__(self, where: str, what: str) -> None:
        self.where, self.what = where, what
        super().__init__(f"{where}: {what}")


class NewerFormError(ValueError):
    """A case of a later form than this program knows."""

    def __init__(self, name: str, version: int) -> None:
        self.name, self.version = name, version
        super().__init__(f"form {version}")


def to_json(case: Case) -> dict[str, Any]:
    """The whole case as plain JSON data."""
    return {**header_to_json(case), "events": [event_to_json(event) for event in case.events]}


def from_json(data: Any) -> Case:
    """The case from plain JSON data. Raises UnreadableError or NewerFormError."""
    case = header_from_json(data, {"events"})
    raw_events = data.get("events")
    if not isinstance(raw_events, list):
        raise UnreadableError("events", "must be a list")
    events: list[Event] = []
    for index, raw in enumerate(raw_events):
        above = events[-1].number if events else 0
        events.append(event_from_json(raw, above, f"events[{index}]."))
    return Case(case.name, case.created, tuple(events), case.opening, case.schema_version)


def header_to_json(case: Case) -> dict[str, Any]:
    return {
        "format": FORMAT,
        "schema_version": case.schema_version,
        "name": case.name,
        "created": case.created.isoformat(),
        "opening": case.opening,
    }


def header_from_json(data: Any, more_keys: set[str] | frozenset[str] = frozenset()) -> Case:
    """A case without events from its heading. Raises UnreadableError or NewerFormError."""
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise UnreadableError("format", f"must be '{FORMAT}'")
    version = data.get("schema_version")
    if type(version) is not int or version < 1:
        raise UnreadableError("schema_version", "must be a whole number from 1")
    name = data.get("name")
    if version > SCHEMA_VERSION:
        raise NewerFormError(name if isinstance(name, str) else "", version)
    _known_keys(data, _HEADER_KEYS | more_keys, "")
    if not isinstance(name, str) or not name_key(name):
        raise UnreadableError("name", "must be text that is not blank")
    return Case(name, _day(data, "created", ""), (), _text_or_none(data, "opening", ""), version)


def event_to_json(event: Event) -> dict[str, Any]:
    return {
        "number": event.number,
        "at": event.at.isoformat(),
        "kind": event.kind,
        "message": event.message,
        "acts": list(event.acts),
        "asks": event.asks,
        "target": event.target,
    }


def event_from_json(data: Any, above: int = 0, at: str = "") -> Event:
    """One event, whose number must be greater than `above`. `at` begins the place named in a fault."""
    if not isinstance(data, dict):
        raise UnreadableError(at.rstrip(".") or "event", "must be an object")
    _known_keys(data, _EVENT_KEYS, at)
    number, kind, message, acts = (data.get(key) for key in ("number", "kind", "message", "acts"))
    if type(number) is not int or number <= above:
        raise UnreadableError(f"{at}number", f"must be a whole number greater than {above}")
    if not isinstance(kind, str) or not re.fullmatch(r"[a-z][a-z0-9_]*", kind):
        raise UnreadableError(f"{at}kind", "must be one lower_case word")
    if not isinstance(message, str):
        raise UnreadableError(f"{at}message", "must be text")
    if not isinstance(acts, list) or not all(isinstance(act, dict) for act in acts):
        raise UnreadableError(f"{at}acts", "must be a list of objects")
    target = data.get("target")
    if kind in (UNDO, REDO):
        if type(target) is not int or not 1 <= target < number:
            raise UnreadableError(f"{at}target", "must be the number of an earlier event")
    elif target is not None:
        raise UnreadableError(f"{at}target", f"belongs to '{UNDO}' and '{REDO}' only")
    day = _day(data, "at", at)
    return Event(number, day, message, tuple(acts), kind, _text_or_none(data, "asks", at), target)


def parse_json(data: bytes) -> Any:
    """JSON from bytes, by the letter (no NaN). Raises UnreadableError, whatever comes in."""
    try:
        return json.loads(data.decode("utf-8-sig"), parse_constant=_refuse_constant)
    except json.JSONDecodeError as fault:
        place = f"line {fault.lineno}, column {fault.colno}"
        raise UnreadableError(place, f"not JSON ({fault.msg})") from fault
    except UnicodeDecodeError as fault:
        raise UnreadableError(f"byte {fault.start}", "not UTF-8 text") from fault
    except RecursionError as fault:
        raise UnreadableError("somewhere inside", "nested too deeply") from fault
    except UnreadableError:
        raise
    except ValueError as fault:  # a number of thousands of digits
        raise UnreadableError("somewhere inside", "a number too long to read") from fault


def line_of(data: Any) -> bytes:
    """One line of JSON with its end, as UTF-8; half characters from a broken terminal go as escapes."""
    compact = (",", ":")
    try:
        text = json.dumps(data, ensure_ascii=False, allow_nan=False, separators=compact).encode()
    except UnicodeEncodeError:
        text = json.dumps(data, allow_nan=False, separators=compact).encode()
    return text + b"\n"


def _refuse_constant(word: str) -> NoReturn:
    raise UnreadableError("somewhere inside", f"'{word}' is not a JSON number")


def _known_keys(data: dict[str, Any], known: set[str] | frozenset[str], at: str) -> None:
    for key in data:
        if key not in known:
            raise UnreadableError(f"{at}{key}", f"unknown key (known: {', '.join(sorted(known))})")


def _day(data: dict[str, Any], key: str, at: str) -> dt.date:
    raw = data.get(key)
    try:
        if isinstance(raw, str) and re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", raw):
            return dt.date.fromisoformat(raw)
    except ValueError:
        pass
    raise UnreadableError(f"{at}{key}", "must be a date like 2026-10-04")


def _text_or_none(data: dict[str, Any], key: str, at: str) -> str | None:
    raw = data.get(key)
    if raw is None or isinstance(raw, str):
        return raw
    raise UnreadableError(f"{at}{key}", "must be text or null")
