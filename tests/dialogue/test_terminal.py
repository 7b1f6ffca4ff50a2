"""The terminal: keys in, results out (not the bytes of the screen)."""

from __future__ import annotations

from pathlib import Path

import pytest
from prompt_toolkit.completion import CompleteEvent
from prompt_toolkit.document import Document
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output import DummyOutput

from advisor.casebook import Casebook
from advisor.cli.chat import converse
from advisor.cli.drawing import drawn
from advisor.cli.terminal import Suggestions, TerminalSurface
from advisor.dialogue.asking import suggestions
from advisor.dialogue.reply import Line
from tests.dialogue.talking import FARMS, TODAY, Talk, context


def test_a_conversation_by_keys(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = Casebook(tmp_path)
    book.create("byre", TODAY, "animals")
    with create_pipe_input() as keys, book.open("byre") as held:
        keys.send_text("12 cows\r100 m2\r\x04")  # the last is Ctrl-D
        converse(held, context(), TerminalSurface(keys, DummyOutput()))
    assert [event.message for event in book.read("byre").case.events] == ["12 cows", "100 m2"]
    out = capsys.readouterr().out
    assert "Goodbye" in out
    assert max(len(line) for line in out.splitlines()) <= 76


def test_interrupting_reaches_the_command(tmp_path: Path) -> None:
    book = Casebook(tmp_path)
    book.create("byre", TODAY, "animals")
    with create_pipe_input() as keys, book.open("byre") as held:
        keys.send_text("12 cows\r\x03")
        with pytest.raises(KeyboardInterrupt):
            converse(held, context(), TerminalSurface(keys, DummyOutput()))
    assert len(book.read("byre").case.events) == 1


def offered(words: tuple[str, ...], typed: str) -> list[str]:
    completer = Suggestions()
    completer.words = words
    return [c.text for c in completer.get_completions(Document(typed), CompleteEvent())]


def test_completion_fits_the_question_at_hand() -> None:
    talk = Talk()
    assert "beef cows" in offered(suggestions(talk.case, context()), "12 be")
    assert "laying hens" in offered(suggestions(talk.case, context()), "12 cows and 5 lay")
    talk.say(*FARMS["suckler cows"][:4])
    assert talk.asks == "region"
    assert offered(suggestions(talk.case, context()), "Ire") == ["Ireland", "Northern Ireland"]
    assert "undo" in offered(suggestions(talk.case, context()), "und")
    assert offered(suggestions(talk.case, context()), "") == []


def test_lines_fold_at_sixty_columns_and_roles_show_without_colour() -> None:
    talk = Talk(*FARMS["suckler cows"])
    assert talk.reply is not None
    shown = drawn(talk.reply.lines, 60, colour=False)
    assert max(len(line) for line in shown.splitlines()) <= 60
    assert "\x1b" not in shown
    assert "\n- Bedding for the season" in shown
    assert "\n! " in shown
    alarm = drawn([Line("alarm", "Get out.")], 60, colour=False)
    assert alarm == "!! Get out."
    assert "\x1b[" in drawn([Line("question", "How many?")], 60, colour=True)
