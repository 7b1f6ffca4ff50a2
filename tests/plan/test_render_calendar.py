"""The calendar, read back by a parser of our own, by vobject and by dateutil (not by what wrote it)."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest
import vobject
from dateutil.rrule import rrulestr
from hypothesis import given
from hypothesis import strategies as st

from advisor.plan.document import CalendarEvent
from advisor.plan.render_calendar import event_uid, render_calendar
from advisor.plan.writing import clean
from tests.plan.sample_document import (
    EVENTS,
    HOSTILE_NAMES,
    empty_document,
    hostile_document,
    sample_document,
)


def unfold(data: bytes) -> list[str]:
    """Content lines (RFC 5545, 3.1): CRLF ends, at most 75 octets, a leading space continues a line."""
    assert data.endswith(b"\r\n")
    raw = data.removesuffix(b"\r\n").split(b"\r\n")
    assert all(len(line) <= 75 and b"\n" not in line and b"\r" not in line for line in raw)
    whole: list[bytes] = []
    for line in raw:
        if line.startswith(b" "):
            whole[-1] += line[1:]
        else:
            whole.append(line)
    return [line.decode("utf-8") for line in whole]


def unescape(value: str) -> str:
    """A TEXT value (RFC 5545, 3.3.11)."""
    out, at = "", 0
    while at < len(value):
        if value[at] == "\\":
            out += {"n": "\n", "N": "\n"}.get(value[at + 1], value[at + 1])
            at += 2
        else:
            out += value[at]
            at += 1
    return out


def events(data: bytes) -> list[dict[str, str]]:
    found: list[dict[str, str]] = []
    for line in unfold(data):
        name, _, value = line.partition(":")
        if line == "BEGIN:VEVENT":
            found.append({})
        elif found and name not in ("END",):
            found[-1][name] = value
    return found


def test_every_task_is_all_day_with_what_the_standard_asks() -> None:
    drawn = events(render_calendar(sample_document()))
    assert len(drawn) == len(EVENTS)
    for entry, task in zip(drawn, EVENTS, strict=True):
        assert entry["DTSTAMP"] == "20260914T000000Z"
        assert entry["DTSTART;VALUE=DATE"] == task.start.strftime("%Y%m%d")
        # RFC 5545, 3.6.1: DTEND is the day after the last.
        last = task.end or task.start
        assert entry["DTEND;VALUE=DATE"] == (last + dt.timedelta(days=1)).strftime("%Y%m%d")
        assert unescape(entry["SUMMARY"]) == task.title
        assert unescape(entry.get("DESCRIPTION", "")) == task.text
    assert len({entry["UID"] for entry in drawn}) == len(EVENTS)


def test_weekly_tasks_recur_until_the_last_day_that_counts() -> None:
    entry = events(render_calendar(sample_document()))[1]
    days = list(rrulestr(entry["RRULE"], dtstart=dt.datetime(2026, 11, 2)))
    assert (days[0], days[-1], len(days)) == (dt.datetime(2026, 11, 2), dt.datetime(2026, 12, 21), 8)
    assert "UNTIL=20261227" in entry["RRULE"]


def test_a_new_export_updates_the_old_one() -> None:
    before = sample_document()
    moved = replace(EVENTS[4], start=dt.date(2027, 5, 1), title="Turnout, later")
    after = replace(before, date=dt.date(2026, 12, 1), calendar=(*EVENTS[:4], moved, EVENTS[5]))
    old, new = events(render_calendar(before)), events(render_calendar(after))
    assert [entry["UID"] for entry in old] == [entry["UID"] for entry in new]
    assert int(new[0]["SEQUENCE"]) > int(old[0]["SEQUENCE"])
    assert new[0]["DTSTAMP"] > old[0]["DTSTAMP"]


def test_two_farms_and_two_tasks_never_share_an_identifier() -> None:
    one, other = sample_document("One (invented)"), sample_document("Other (invented)")
    assert event_uid(one, "base") != event_uid(other, "base")
    assert event_uid(replace(one, identity="case-a"), "base") == event_uid(
        replace(other, identity="case-a"), "base"
    )
    twice = replace(one, calendar=(EVENTS[0], replace(EVENTS[0], title="again")))
    assert len({entry["UID"] for entry in events(render_calendar(twice))}) == 2


def test_same_document_same_bytes() -> None:
    assert render_calendar(sample_document()) == render_calendar(sample_document())
    assert unfold(render_calendar(empty_document()))[-1] == "END:VCALENDAR"


@pytest.mark.parametrize("name", HOSTILE_NAMES)
def test_hostile_words_stay_words(name: str) -> None:
    data = render_calendar(hostile_document(name))
    entry = events(data)[-1]
    assert len(events(data)) == len(EVENTS) + 1
    assert unescape(entry["SUMMARY"]) == clean(name)
    read = vobject.readOne(data.decode("utf-8"))
    assert read.vevent_list[-1].summary.value == clean(name)


@given(
    st.text(),
    st.dates(dt.date(1990, 1, 1), dt.date(2100, 1, 1)),
    st.integers(-400, 400),
    st.integers(-40, 400),
)
def test_any_task_reads_back(title: str, start: dt.date, length: int, weeks: int) -> None:
    task = CalendarEvent(
        "k", start, title, title, start + dt.timedelta(days=length), start + dt.timedelta(days=weeks)
    )
    (entry,) = events(render_calendar(replace(empty_document(), calendar=(task,))))
    assert unescape(entry["SUMMARY"]) == clean(title)
    assert entry["DTEND;VALUE=DATE"] > entry["DTSTART;VALUE=DATE"]
    assert len(list(rrulestr(entry["RRULE"], dtstart=dt.datetime.combine(start, dt.time())))) >= 1
