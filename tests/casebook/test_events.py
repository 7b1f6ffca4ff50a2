"""Saying, taking back and bringing back."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import FrozenInstanceError

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.casebook import (
    Case,
    NothingToRedoError,
    NothingToUndoError,
    append,
    effective_events,
    new_case,
    redo,
    redo_target,
    undo,
    undo_target,
)
from advisor.casebook.errors import BadNameError
from tests.casebook.samples import DAY, cases


def said(*words: str) -> Case:
    case = new_case("byre", DAY)
    for word in words:
        case = append(case, DAY, word, [{"said": word}])
    return case


def heard(case: Case) -> list[str]:
    return [event.message for event in effective_events(case)]


def test_messages_are_numbered_and_kept_in_order() -> None:
    case = said("a", "b")
    assert [(event.number, event.message) for event in case.events] == [(1, "a"), (2, "b")]
    assert case.next_number == 3


def test_the_open_question_is_that_of_the_last_reply() -> None:
    case = new_case("byre", DAY, "animals")
    assert case.asked == "animals"
    case = append(case, DAY, "six cows", asks="pen_area")
    assert case.asked == "pen_area"
    assert append(case, DAY, "stop").asked is None


def test_undo_takes_back_and_erases_nothing() -> None:
    case = undo(said("a", "b"), DAY, "no, take that back", asks="q")
    assert heard(case) == ["a"]
    assert [event.message for event in case.events] == ["a", "b", "no, take that back"]
    assert (case.events[-1].target, case.asked) == (2, "q")


def test_undo_twice_then_redo_twice_walks_back_the_same_way() -> None:
    case = undo(undo(said("a", "b", "c"), DAY, ""), DAY, "")
    assert heard(case) == ["a"]
    case = redo(case, DAY, "")
    assert heard(case) == ["a", "b"]
    case = redo(case, DAY, "")
    assert heard(case) == ["a", "b", "c"]
    assert redo_target(case) is None


def test_undo_after_redo_takes_back_the_same_again() -> None:
    case = undo(redo(undo(said("a", "b"), DAY, ""), DAY, ""), DAY, "")
    assert heard(case) == ["a"]
    assert heard(redo(case, DAY, "")) == ["a", "b"]


def test_what_was_said_after_an_undo_stays_when_it_is_brought_back_in_its_old_place() -> None:
    case = append(undo(said("a", "b"), DAY, ""), DAY, "c", [{}])
    assert heard(redo(case, DAY, "")) == ["a", "b", "c"]


def test_undo_passes_over_messages_that_did_nothing() -> None:
    case = append(said("a"), DAY, "why?", kind="talk")
    assert undo_target(case) == 1
    assert heard(undo(case, DAY, "")) == ["why?"]


def test_undo_of_a_named_message() -> None:
    assert heard(undo(said("a", "b", "c"), DAY, "", target=1)) == ["b", "c"]


def test_nothing_to_undo_or_redo_is_refused_kindly() -> None:
    with pytest.raises(NothingToUndoError):
        undo(new_case("byre", DAY), DAY, "undo")
    with pytest.raises(NothingToRedoError):
        redo(said("a"), DAY, "redo")
    taken_back = undo(said("a", "b"), DAY, "", target=1)
    for target in (0, 1, 3, 9):  # none such, already taken back, an undo, none such
        with pytest.raises(NothingToUndoError):
            undo(taken_back, DAY, "", target=target)


def test_undo_events_cannot_be_forged() -> None:
    with pytest.raises(ValueError, match="made by undo"):
        append(new_case("byre", DAY), DAY, "", kind="undo")


def test_acts_are_copied_as_they_will_be_read_back() -> None:
    inner = {"x": 1}
    case = append(new_case("byre", DAY), DAY, "", [{"range": (1, 2), "inner": inner}])
    inner["x"] = 2
    assert case.events[0].acts == ({"range": [1, 2], "inner": {"x": 1}},)


@pytest.mark.parametrize("bad", [math.nan, math.inf, {1, 2}, DAY])
def test_an_act_that_is_not_plain_json_is_refused_at_once(bad: object) -> None:
    with pytest.raises((TypeError, ValueError)):
        append(new_case("byre", DAY), DAY, "", [{"x": bad}])


def test_a_case_cannot_be_changed_in_place() -> None:
    case = said("a")
    for part, field in ((case, "name"), (case.events[0], "message")):
        with pytest.raises(FrozenInstanceError):
            setattr(part, field, "other")


@pytest.mark.parametrize("blank", ["", "  ", "\n\t", "\u3000"])
def test_a_blank_name_is_refused(blank: str) -> None:
    with pytest.raises(BadNameError):
        new_case(blank, DAY)


def test_a_date_with_a_time_is_kept_as_its_day() -> None:
    case = new_case("byre", dt.datetime(2026, 10, 4, 23, 59))
    assert case.created.isoformat() == "2026-10-04"


@given(cases(), st.dates())
def test_redo_is_the_exact_way_back_from_undo(case: Case, at: dt.date) -> None:
    if undo_target(case) is None:
        return
    undone = undo(case, at, "undo")
    assert len(effective_events(undone)) == len(effective_events(case)) - 1
    assert effective_events(redo(undone, at, "redo")) == effective_events(case)
    assert undone.events[: len(case.events)] == case.events
