"""Cases for the tests: one written out, and any number drawn."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

from hypothesis import strategies as st

from advisor.casebook import Casebook
from advisor.casebook.events import Case, append, new_case, redo, redo_target, undo, undo_target

DAY = dt.date(2026, 10, 4)

# What people and terminals really send: line ends of every kind, broken surrogates, zero bytes.
ANY_TEXT = st.text(st.characters(exclude_categories=()), max_size=20)
NAMES = ANY_TEXT.filter(lambda text: bool(" ".join(text.split())))
ACTS = st.lists(
    st.dictionaries(
        ANY_TEXT,
        st.recursive(
            st.none()
            | st.booleans()
            | st.integers()
            | st.floats(allow_nan=False, allow_infinity=False)
            | ANY_TEXT,
            lambda inner: st.lists(inner, max_size=3) | st.dictionaries(ANY_TEXT, inner, max_size=3),
            max_leaves=5,
        ),
        max_size=3,
    ),
    max_size=2,
)


def sample(messages: Sequence[str] = ("six cows", "8 m by 12 m\u2028", "höhe: zwei \U0001f404")) -> Case:
    """A case with these messages, one taken back and brought back again."""
    case = new_case("Lower byre", DAY, "animals")
    for message in messages:
        case = append(case, DAY, message, [{"act": "record", "words": message}], asks="pen_area")
    return redo(undo(case, DAY, "undo"), DAY, "redo")


@st.composite
def cases(draw: Any) -> Case:
    """Any case the functions of events.py can build."""
    case = new_case(draw(NAMES), draw(st.dates()), draw(st.none() | ANY_TEXT))
    for step in draw(st.lists(st.sampled_from(["said", "said", "talk", "undo", "redo"]), max_size=8)):
        at, message, asks = draw(st.dates()), draw(ANY_TEXT), draw(st.none() | ANY_TEXT)
        if step == "undo":
            case = undo(case, at, message, asks=asks) if undo_target(case) else case
        elif step == "redo":
            case = redo(case, at, message, asks=asks) if redo_target(case) else case
        else:
            case = append(case, at, message, draw(ACTS), kind=step, asks=asks)
    return case


def names(book: Casebook) -> list[str]:
    return [entry.case.name for entry in book.entries() if entry.case]


def messages(book: Casebook, name: str = "byre") -> list[str]:
    return [event.message for event in book.read(name).case.events]


def say(book: Casebook, *words: str, name: str = "byre") -> None:
    with book.open(name) as held:
        for word in words:
            held.keep(append(held.case, DAY, word))
