"""The order of what a conversation shows."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest

from advisor.casebook import Casebook
from advisor.cli import chat
from advisor.dialogue.reply import Line, Reply
from tests.dialogue.talking import TODAY, context


class Paper:
    """A surface that keeps what is shown, and types what it was given."""

    width = 78

    def __init__(self, *messages: str) -> None:
        self.messages = list(messages)
        self.shown: list[str] = []

    def show(self, lines: Iterable[Line]) -> None:
        self.shown += [line.role for line in lines]

    def show_text(self, text: str) -> None:
        self.shown.append(text)

    def ask(
        self, reply: Reply, suggest: Callable[[], tuple[str, ...]], meanwhile: Callable[[], None]
    ) -> str | None:
        return self.messages.pop(0) if self.messages else None


def test_what_is_asked_comes_after_a_printed_plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BYREWISE_HOME", str(tmp_path))
    monkeypatch.setattr(chat, "_print_plan", lambda case, context, surface: surface.show_text("the plan"))
    book, paper = Casebook(), Paper("20 ewes", "print it")
    book.create("pen", dt.date(TODAY.year, 1, 1), "animals")
    with book.open("pen") as held:
        chat.converse(held, context(), paper)
    at = paper.shown.index("the plan")
    assert "question" not in paper.shown[at - 1 : at]
    assert paper.shown[at + 1] == "question"
