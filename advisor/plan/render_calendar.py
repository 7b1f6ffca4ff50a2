"""The dated tasks of a plan as an iCalendar file (RFC 5545), for any calendar program."""

from __future__ import annotations

import datetime as dt
import uuid
from collections import Counter
from typing import TYPE_CHECKING

from advisor.plan.document import CalendarEvent, Document
from advisor.plan.writing import clean

if TYPE_CHECKING:
    from icalendar import Event

__all__ = ["event_uid", "render_calendar"]

# A fixed random number that sets these identifiers apart from every other program's.
_SPACE = uuid.UUID("5d2c3c1e-6f0a-4a57-9d1c-0f6a1e2b7c94")


def event_uid(document: Document, key: str) -> str:
    """The same for the same task of the same plan, whatever else changed: calendars update by it."""
    return str(uuid.uuid5(_SPACE, f"{clean(document.identity or document.farm)}\n{clean(key)}"))


def render_calendar(document: Document) -> bytes:
    """The calendar, with CRLF line ends and lines folded at 75 octets."""
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", "-//byrewise//plan//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    name = clean(f"{document.title} – {document.farm}" if document.farm else document.title)
    calendar.add("name", name)  # RFC 7986
    calendar.add("x-wr-calname", name)  # what most programs read instead
    seen: Counter[str] = Counter()
    for event in document.calendar:
        # Two tasks under one key would overwrite each other in the reader's calendar.
        seen[event.key] += 1
        key = event.key if seen[event.key] == 1 else f"{event.key} {seen[event.key]}"
        calendar.add_component(_event(document, event, key))
    drawn: bytes = calendar.to_ical()
    return drawn


def _event(document: Document, event: CalendarEvent, key: str) -> Event:
    from icalendar import Event, vRecur

    entry = Event()
    entry.add("uid", event_uid(document, key))
    entry.add("dtstamp", dt.datetime.combine(document.date, dt.time(), dt.UTC))
    # A later plan has the higher number, and so replaces the earlier one.
    entry.add("sequence", document.date.toordinal())
    entry.add("dtstart", event.start)
    last = max(event.start, event.end or event.start)
    entry.add("dtend", last + dt.timedelta(days=1))  # the standard wants the day after the last
    if event.repeat_weekly_until is not None:
        until = max(event.start, event.repeat_weekly_until)
        entry.add("rrule", vRecur(freq="WEEKLY", until=until))
    entry.add("summary", clean(event.title))
    if clean(event.text):
        entry.add("description", clean(event.text))
    entry.add("transp", "TRANSPARENT")  # a task on a day does not make the day busy
    return entry
