"""The casebook on a real disk: what it keeps, and whose names it takes."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings

from advisor.casebook import Case, Casebook, CasebookError, append, casebook_home, undo
from advisor.casebook.as_json import to_json
from advisor.casebook.disk import Calls
from advisor.casebook.errors import (
    BadExportError,
    BadNameError,
    NameTakenError,
    NewerCaseError,
    UnknownCaseError,
)
from advisor.casebook.store import read_export
from tests.casebook.samples import ANY_TEXT, DAY, NAMES, cases, messages, names, sample, say


def test_what_is_kept_is_there_for_another_window_at_once(book: Casebook) -> None:
    book.create("byre", DAY, "animals")
    with book.open("Byre") as held:
        assert held.case.asked == "animals"
        held.keep(append(held.case, DAY, "six cows", [{"count": 6}], asks="pen_area"))
        seen = Casebook().read("byre").case
        assert seen == held.case
        assert seen.asked == "pen_area"
        held.keep(undo(held.case, DAY, "undo"))
    assert messages(book) == ["six cows", "undo"]


def test_several_new_events_are_kept_in_one_go_and_none_is_fine_too(book: Casebook) -> None:
    book.create("byre", DAY)
    with book.open("byre") as held:
        held.keep(append(append(held.case, DAY, "a"), DAY, "b"))
        held.keep(held.case)
    assert messages(book) == ["a", "b"]


def test_only_a_continuation_can_be_kept(book: Casebook) -> None:
    book.add(sample())
    with book.open("Lower byre") as held:
        with pytest.raises(ValueError, match="continuation"):
            held.keep(append(sample(["other"]), DAY, "x"))
        with pytest.raises(ValueError, match="continuation"):
            held.keep(Case("Lower byre", DAY))


@settings(max_examples=30)
@given(cases())
def test_any_case_comes_back_from_disk_as_it_was(
    tmp_path_factory: pytest.TempPathFactory, case: Case
) -> None:
    book = Casebook(tmp_path_factory.mktemp("home"))
    book.add(case)
    assert book.read(case.name).case == case


@settings(max_examples=30)
@given(NAMES, ANY_TEXT)
def test_any_name_stays_inside_the_folder(
    tmp_path_factory: pytest.TempPathFactory, name: str, message: str
) -> None:
    book = Casebook(tmp_path_factory.mktemp("home"))
    book.create(name, DAY)
    say(book, message, name=name)
    assert [file.parent for file in book.home.rglob("*.jsonl")] == [book.home / "cases"]
    assert names(book) == [name.strip()]
    book.delete(name)
    assert names(book) == []


def test_blank_names_are_refused_everywhere(book: Casebook) -> None:
    book.add(sample())
    tries: list[Callable[[], object]] = [
        lambda: book.create(" ", DAY),
        lambda: book.read(""),
        lambda: book.copy("Lower byre", "\t"),
        lambda: book.rename("Lower byre", ""),
        lambda: book.delete(""),
    ]
    for attempt in tries:
        with pytest.raises(BadNameError):
            attempt()
    assert names(book) == ["Lower byre"]


def test_a_name_in_use_is_never_overwritten(book: Casebook) -> None:
    book.add(sample())
    book.create("other", DAY)
    before = book.path_of("Lower byre").read_bytes()
    tries: list[Callable[[], object]] = [
        lambda: book.create("LOWER  BYRE", DAY),
        lambda: book.add(sample(["x"])),
        lambda: book.copy("other", "lower byre"),
        lambda: book.rename("other", "lower byre"),
    ]
    for attempt in tries:
        with pytest.raises(NameTakenError):
            attempt()
    assert book.path_of("Lower byre").read_bytes() == before
    assert names(book) == ["Lower byre", "other"]


def test_rename_copy_and_delete(book: Casebook) -> None:
    book.add(sample())
    book.rename("lower byre", "LOWER byre")  # the same file, another spelling
    assert names(book) == ["LOWER byre"]
    book.rename("lower byre", "Upper byre")
    book.copy("upper byre", "copy")
    assert names(book) == ["copy", "Upper byre"]
    assert book.read("copy").case.events == book.read("upper byre").case.events == sample().events
    book.delete("Upper byre")
    assert names(book) == ["copy"]
    assert len(list((book.home / "cases").iterdir())) == 1


def test_an_unknown_name_is_refused_with_the_nearest(book: Casebook) -> None:
    with pytest.raises(UnknownCaseError, match="no cases yet"):
        book.read("byre")
    book.create("Lower byre", DAY)
    with pytest.raises(UnknownCaseError, match="Did you mean 'Lower byre'"):
        book.read("lower bire")
    with pytest.raises(UnknownCaseError, match="case list"):
        book.delete("sheep")
    assert not (book.home / "locks" / "byre.lock").exists()


def test_case_files_are_for_their_owner_alone(book: Casebook) -> None:
    book.create("byre", DAY)
    assert book.path_of("byre").stat().st_mode & 0o777 == 0o600
    assert book.home.stat().st_mode & 0o777 == 0o700


def test_the_home_is_where_the_user_says_else_in_the_data_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BYREWISE_HOME", str(tmp_path / "here"))
    assert casebook_home() == tmp_path / "here"
    monkeypatch.setenv("BYREWISE_HOME", "")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    if sys.platform == "linux":
        assert casebook_home() == tmp_path / "data" / "byrewise"
    assert casebook_home().name == "byrewise"


def test_an_export_that_is_not_whole_is_refused_with_its_place() -> None:
    data = to_json(sample())
    data["events"][1]["at"] = "soon"
    with pytest.raises(BadExportError, match=r"events\[1\]\.at: must be a date") as raised:
        read_export(json.dumps(data).encode(), "case.json")
    assert raised.value.parts["where"] == "events[1].at"
    with pytest.raises(NewerCaseError):
        read_export(json.dumps({**data, "schema_version": 9}).encode(), "case.json")


def test_every_refusal_has_its_code_and_parts() -> None:
    kinds = CasebookError.__subclasses__()
    assert len({kind.code for kind in kinds}) == len(kinds)
    refusal = NameTakenError(name="a\x1b[2Jb")
    assert refusal.parts == {"name": "a\x1b[2Jb"}
    assert "\x1b" not in str(refusal)


def test_the_real_system_calls_fit() -> None:
    calls: Calls = os
    assert calls.fsync is os.fsync
