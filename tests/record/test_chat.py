"""The season in the conversation: notes after the first plan, never in the way of an answer, undone like any fact."""

from __future__ import annotations

import datetime as dt

import pytest

from advisor.casebook import Case, append, new_case
from advisor.dialogue.context import Context
from advisor.dialogue.hearing import context_for
from advisor.dialogue.reply import Reply
from advisor.dialogue.turn import turn
from advisor.knowledge import Knowledge
from advisor.record.fold import record_of
from tests.record.test_files_and_command import FARM

TODAY = dt.date(2026, 12, 10)


@pytest.fixture(scope="module")
def context(known: Knowledge) -> Context:
    return context_for(known, TODAY, draws=30)


def begun(asks: str | None = None) -> Case:
    """A case whose first plan was shown."""
    case = append(new_case("Talk byre", TODAY), TODAY, "the farm", FARM)
    return append(case, TODAY, "plan", (), kind="plan", asks=asks)


def say(case: Case, message: str, context: Context) -> tuple[Case, Reply]:
    case, reply, _ = turn(case, message, context)
    return case, reply


def test_a_note_is_kept_said_back_and_followed_by_this_week(context: Context) -> None:
    case, reply = say(begun("region"), "4 bales yesterday", context)
    assert reply.lines[0].text == "Noted: 4 bales of barley straw, 9 December."
    assert "a day" in reply.text()
    assert [entry.date for entry in record_of(case)] == [dt.date(2026, 12, 9)]
    assert case.asked == "region"
    case, reply = say(case, "undo", context)
    assert len(record_of(case)) == 0


def test_the_week_can_be_asked_for(context: Context) -> None:
    case, reply = say(begun(), "this week", context)
    assert "10 December" in reply.text()
    assert len(record_of(case)) == 0


def test_an_odd_reading_is_called_out_at_once(context: Context) -> None:
    _, reply = say(begun(), "the bed is 2.5 m deep today", context)
    assert "disagree" in reply.text()


def test_danger_comes_before_any_note(context: Context) -> None:
    _, reply = say(begun(), "put 4 bales on today and my brother has collapsed in the pit", context)
    assert reply.lines[0].role == "alarm"


@pytest.mark.parametrize(
    "message", ["30 cm deep", "hay", "grass", "a bale weighs 240 kg", "how much straw do I need?"]
)
def test_answers_and_questions_are_no_notes(message: str, context: Context) -> None:
    case, _ = say(begun("base_depth"), message, context)
    assert len(record_of(case)) == 0


def test_before_the_first_plan_nothing_is_noted(context: Context) -> None:
    case = append(new_case("Early byre", TODAY), TODAY, "the farm", FARM, asks="region")
    case, _ = say(case, "4 bales yesterday", context)
    assert len(record_of(case)) == 0


@pytest.mark.parametrize(
    ("first", "then", "now"),
    [
        ("4 bales yesterday", "no, 5 bales", {"packs": 5.0, "date": dt.date(2026, 12, 9)}),
        ("the bed is 90 cm deep today", "the depth was wrong, it is 60 cm", {"date": TODAY}),
        ("last week 3 bales a day", "sorry, that was 4 a day", {"packs": 4.0, "days": 7}),
    ],
)
def test_a_note_is_put_right_in_the_next_breath(
    first: str, then: str, now: dict[str, object], context: Context
) -> None:
    case, _ = say(begun("region"), first, context)
    (before,) = record_of(case)
    case, reply = say(case, then, context)
    (after,) = record_of(case)
    assert after.id == before.id
    assert {name: getattr(after, name) for name in now} == now
    assert "takes the place of" in reply.text()


def test_a_frost_that_lasted_is_a_note_though_it_is_a_trouble_too(context: Context) -> None:
    case, reply = say(begun(), "it has been frozen for 2 weeks", context)
    (frost,) = record_of(case)
    assert (frost.kind, frost.date) == ("incident", dt.date(2026, 11, 26))
    assert reply.lines[0].text == "Noted: frozen for 14 days, from 26 November."


def test_a_missed_fortnight_is_answered(context: Context) -> None:
    case, reply = say(begun(), "we missed a fortnight", context)
    assert len(record_of(case)) == 0
    assert "nearly as planned" in reply.lines[0].text
