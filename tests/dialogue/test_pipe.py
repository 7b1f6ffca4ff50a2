"""The conversation as a program: on a pipe, killed, stopped, and twice at once."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import pytest

from advisor.casebook import Casebook

# Commands alone: they are kept like any message, and start without the words of the language.
MESSAGES = ("help", "summary", "why", "progress", "save", "repeat", "back", "undo")


COMMAND = [
    sys.executable, "-c", "from advisor.cli import main; main()", "chat", "--today", "2026-10-04", "--draws", "40",
]  # fmt: skip


def surroundings(home: Path) -> dict[str, str]:
    """The environment, with a home of its own."""
    return {**os.environ, "BYREWISE_HOME": str(home), "PYTHONUTF8": "1"}


def start(home: Path, *more: str, case: str = "byre") -> subprocess.Popen[str]:
    """The program with its input and output on pipes."""
    return subprocess.Popen(
        [*COMMAND, "--case", case, *more],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        env=surroundings(home),
    )


def run(home: Path, text: str, *more: str) -> tuple[int, str, str]:
    """Say it all and wait for the end."""
    with start(home, *more) as process:
        out, err = process.communicate(text, timeout=120)
    return process.returncode, out, err


def test_a_message_a_line_and_plain_text_out(tmp_path: Path) -> None:
    code, out, err = run(tmp_path, "12 cows\n\n100 m2\r\nwhy\n\x1b[31mred\x07\nquit\n")
    assert (code, err) == (0, "")
    assert "Noted: 12 cows." in out
    assert "100 m² of bedded floor" in out
    assert out.rstrip().endswith("Goodbye. Everything is saved under “byre”.")
    assert all(char == "\n" or char.isprintable() for char in out)


def test_the_end_of_input_ends_politely_and_the_next_time_goes_on(tmp_path: Path) -> None:
    code, out, _ = run(tmp_path, "12 cows")
    assert code == 0
    assert "Goodbye" in out
    code, out, _ = run(tmp_path, "summary\n")
    assert "Welcome back" in out
    assert "- 12 cows" in out


def test_broken_letters_are_taken(tmp_path: Path) -> None:
    found = subprocess.run(
        COMMAND,
        input=b"12 cows\n\xff\xfe\xc3(\n",
        capture_output=True,
        timeout=120,
        env=surroundings(tmp_path),
    )
    assert (found.returncode, found.stderr) == (0, b"")
    assert "Noted: 12 cows." in found.stdout.decode()


def read_until(process: subprocess.Popen[str], words: str) -> str:
    """Lines up to the one with these words."""
    seen = ""
    assert process.stdout is not None
    while words not in seen:
        line = process.stdout.readline()
        assert line, seen + (process.stderr.read() if process.stderr else "")
        seen += line
    return seen


def test_interrupting_keeps_everything_and_says_where(tmp_path: Path) -> None:
    with start(tmp_path) as process:
        assert process.stdin is not None
        read_until(process, "Which animals")
        process.stdin.write("12 cows\n")
        process.stdin.flush()
        read_until(process, "How big")
        process.send_signal(signal.SIGINT)
        out, _ = process.communicate(timeout=120)
    assert process.returncode == 130
    assert "saved under “byre”" in out
    assert str(tmp_path) in out
    assert [event.message for event in Casebook(tmp_path).read("byre").case.events] == ["12 cows"]


@pytest.mark.slow
def test_two_windows_on_one_case_are_refused_kindly(tmp_path: Path) -> None:
    with start(tmp_path) as process:
        read_until(process, "Which animals")
        code, out, err = run(tmp_path, "9 cows\n")
        assert (code, out) == (1, "")
        assert (
            err == "byrewise: 'byre' is open in another window. Close it there first. Nothing was changed.\n"
        )
        process.communicate("12 cows\n", timeout=120)
    assert len(Casebook(tmp_path).read("byre").case.events) == 1


@pytest.mark.slow
def test_killed_at_random_moments_no_answered_message_is_lost(tmp_path: Path) -> None:
    """Twenty kills; benchmarks/kill_chat.py does two hundred."""
    for number in range(20):
        lost, answered = kill_once(tmp_path, f"case {number}", random.Random(number))
        assert not lost, f"kill {number}: {lost} of {answered} answered messages lost"


def kill_once(
    home: Path, case: str, luck: random.Random, messages: Sequence[str] = MESSAGES
) -> tuple[int, int]:
    """Talk, kill without warning, and count the answered messages that are not on disk."""
    with start(home, case=case) as process:
        assert process.stdin is not None
        read_reply(process)
        answered = 0
        stop_after = luck.randrange(len(messages))
        for number, message in enumerate(messages):
            process.stdin.write(f"{message}\nrepeat\n")
            process.stdin.flush()
            if number == stop_after:
                time.sleep(luck.random() * 0.02)
                break
            read_reply(process)
            read_reply(process)
            answered += 2
        process.kill()
        rest = process.stdout.read() if process.stdout else ""
        answered += rest.count("\n\n")
    events = Casebook(home).read(case).case.events
    return max(0, answered - len(events)), answered


def read_reply(process: subprocess.Popen[str]) -> str:
    """One reply: the lines up to an empty one."""
    seen = ""
    assert process.stdout is not None
    while True:
        line = process.stdout.readline()
        assert line, seen + (process.stderr.read() if process.stderr else "")
        if line == "\n":
            return seen
        seen += line
