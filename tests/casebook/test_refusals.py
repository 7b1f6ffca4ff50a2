"""Other windows, read-only folders and full disks."""

from __future__ import annotations

import errno
import os
import signal
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from advisor.casebook import Casebook, append
from advisor.casebook.errors import (
    CannotReadError,
    CannotWriteError,
    CaseBusyError,
)
from tests.casebook.samples import DAY, messages, names, sample, say


def test_a_second_window_in_this_program_is_refused(book: Casebook) -> None:
    book.create("byre", DAY)
    tries: list[Callable[[], object]] = [
        lambda: say(book, "x"),
        lambda: book.rename("byre", "other"),
        lambda: book.delete("byre"),
    ]
    with book.open("byre") as held:
        for attempt in tries:
            with pytest.raises(CaseBusyError, match="open in another window"):
                attempt()
        held.keep(append(held.case, DAY, "still here"))
        book.copy("byre", "copy")  # looking and copying disturb no one
    say(book, "after")
    assert messages(book) == ["still here", "after"]
    assert messages(book, "copy") == ["still here"]


HOLD = """
import sys
from pathlib import Path
from advisor.casebook import Casebook
with Casebook(Path(sys.argv[1])).open("byre"):
    print("open", flush=True)
    sys.stdin.read()
"""


@pytest.mark.parametrize("killed", [True, False])
def test_a_second_program_is_refused_until_the_first_is_gone_however_it_went(
    book: Casebook, killed: bool
) -> None:
    book.create("byre", DAY)
    command = [sys.executable, "-c", HOLD, str(book.home)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == b"open\n"
        with pytest.raises(CaseBusyError):
            say(book, "x")
        if killed:
            os.kill(other.pid, signal.SIGKILL)
        else:
            assert other.stdin is not None
            other.stdin.close()
        other.wait()
    say(book, "y")
    assert messages(book) == ["y"]


def test_a_read_only_folder_can_be_read_and_refuses_the_rest_kindly(read_only_book: Casebook) -> None:
    book = read_only_book
    assert names(book) == ["Lower byre"]
    assert book.read("lower byre").case == sample()
    tries: list[Callable[[], object]] = [
        lambda: say(book, "x", name="lower byre"),
        lambda: book.create("new", DAY),
        lambda: book.copy("lower byre", "new"),
        lambda: book.rename("lower byre", "new"),
        lambda: book.rename("lower byre", "LOWER BYRE"),
        lambda: book.delete("lower byre"),
    ]
    for attempt in tries:
        with pytest.raises(CannotWriteError, match="you have no permission"):
            attempt()
    assert book.read("lower byre").case == sample()


def test_a_home_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(CannotWriteError, match="not a folder"):
        Casebook(tmp_path / "file" / "home").create("byre", DAY)


class FullDisk:
    """The real disk, which refuses from a moment on, after taking a few bytes."""

    def __init__(self, error: int = errno.ENOSPC, failing: str = "write") -> None:
        self.full, self.error, self._failing = False, error, failing

    def __getattr__(self, name: str) -> Any:
        real = getattr(os, name)

        def call(*given: Any) -> Any:
            if self.full and name in self._failing.split():
                if name == "write":
                    os.write(given[0], given[1][:9])
                raise OSError(self.error, os.strerror(self.error))
            return real(*given)

        return call


@pytest.mark.parametrize("failing", ["write", "fsync", "write ftruncate"])
def test_a_full_disk_is_told_loses_nothing_and_is_got_over(book: Casebook, failing: str) -> None:
    disk = FullDisk(failing=failing)
    book = Casebook(book.home, disk)
    book.create("byre", DAY)
    with book.open("byre") as held:
        held.keep(append(held.case, DAY, "a"))
        longer = append(held.case, DAY, "b")
        disk.full = True
        for _ in range(2):
            with pytest.raises(CannotWriteError, match="the disk is full"):
                held.keep(longer)
        assert [event.message for event in held.case.events] == ["a"]
        assert messages(book)[:1] == ["a"]
        disk.full = False
        held.keep(longer)
    assert messages(book) == ["a", "b"]
    assert book.read("byre").damage == ()


def test_a_case_that_finds_no_room_leaves_nothing_behind(book: Casebook) -> None:
    disk = FullDisk()
    full = Casebook(book.home, disk)
    full.create("byre", DAY)
    disk.full = True
    tries: list[Callable[[], object]] = [
        lambda: full.add(sample()),
        lambda: full.copy("byre", "copy"),
        lambda: full.rename("byre", "Byre"),
        lambda: full.rename("byre", "other"),
    ]
    for attempt in tries:
        with pytest.raises(CannotWriteError, match="the disk is full"):
            attempt()
    assert [path.name for path in (book.home / "cases").iterdir()] == [book.path_of("byre").name]
    assert names(book) == ["byre"]


def test_a_drive_that_cannot_sync_folders_is_used_all_the_same(book: Casebook) -> None:
    class Drive(FullDisk):
        def fsync(self, fd: int) -> None:
            if stat.S_ISDIR(os.fstat(fd).st_mode):
                raise OSError(self.error, os.strerror(self.error))
            os.fsync(fd)

    Casebook(book.home, Drive(errno.EINVAL)).create("byre", DAY)
    assert names(book) == ["byre"]
    with pytest.raises(CannotWriteError, match="the disk reports a fault"):
        Casebook(book.home, Drive(errno.EIO)).create("other", DAY)


def test_a_book_that_cannot_be_listed_is_told(book: Casebook) -> None:
    book.home.mkdir()
    (book.home / "cases").write_text("in the way")
    with pytest.raises(CannotReadError, match="not a folder"):
        book.entries()
