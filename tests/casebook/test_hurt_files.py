"""Case files that are torn, newer, foreign or changed from outside."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from advisor.casebook import Casebook, append
from advisor.casebook.errors import (
    CannotReadError,
    CannotWriteError,
    ChangedOutsideError,
    ForeignFileError,
    NameTakenError,
    NewerCaseError,
)
from tests.casebook.samples import DAY, messages, sample, say


def test_a_torn_end_is_told_and_mended_by_the_next_message(book: Casebook) -> None:
    book.create("byre", DAY)
    say(book, "a", "b")
    path = book.path_of("byre")
    path.write_bytes(path.read_bytes()[:-7])
    with book.open("byre") as held:
        assert [damage.torn for damage in held.damage] == [True]
        assert path.read_bytes().endswith(b'"target"')  # looking changes nothing
        held.keep(append(held.case, DAY, "c"))
    assert messages(book) == ["a", "c"]
    assert book.read("byre").damage == ()


def test_a_copy_and_a_new_name_keep_what_cannot_be_read(book: Casebook) -> None:
    book.create("byre", DAY)
    say(book, "a")
    with book.path_of("byre").open("ab") as file:
        file.write(b"scribble\n")
    say(book, "b")
    book.copy("byre", "copy")
    book.rename("byre", "renamed")
    for name in ("copy", "renamed"):
        assert b"scribble\n" in book.path_of(name).read_bytes()
        assert messages(book, name) == ["a", "b"]


def test_a_case_cut_at_every_byte_loads_or_is_refused_and_goes_on(book: Casebook) -> None:
    book.add(sample(["a", "b"]))
    path = book.path_of("Lower byre")
    whole = path.read_bytes()
    for cut in range(len(whole)):
        path.write_bytes(whole[:cut])
        try:
            with book.open("Lower byre") as held:
                before = held.case
                held.keep(append(held.case, DAY, "go on"))
        except ForeignFileError:
            assert path.read_bytes() == whole[:cut]
            assert [entry.problem is not None for entry in book.entries()] == [True]
            continue
        log = book.read("Lower byre")
        assert log.case.events[:-1] == before.events == sample(["a", "b"]).events[: len(before.events)]
        assert (log.case.events[-1].message, log.damage) == ("go on", ())


def test_a_newer_case_is_refused_named_and_left_alone(book: Casebook) -> None:
    book.create("byre", DAY)
    path = book.path_of("byre")
    newer = path.read_bytes().replace(b'"schema_version":1', b'"schema_version":2,"later":true')
    path.write_bytes(newer)
    tries: list[Callable[[], object]] = [
        lambda: book.read("byre"),
        lambda: say(book, "x"),
        lambda: book.rename("byre", "other"),
        lambda: book.copy("byre", "other"),
        lambda: book.delete("byre"),
    ]
    for attempt in tries:
        with pytest.raises(NewerCaseError, match=r"'byre' was saved by a newer byrewise \(form 2"):
            attempt()
    with pytest.raises(NameTakenError):
        book.create("byre", DAY)
    assert path.read_bytes() == newer
    assert isinstance(book.entries()[0].problem, NewerCaseError)


@pytest.mark.parametrize(
    "content", [b"", b"\0" * 10, b"shopping list", b"{}", b"[1]", b'{"format":"other"}\n', bytes(range(256))]
)
def test_a_foreign_file_is_told_and_left_alone(book: Casebook, content: bytes) -> None:
    book.create("byre", DAY)
    book.path_of("byre").write_bytes(content)
    book.create("good", DAY)
    with pytest.raises(ForeignFileError, match="left as it is"):
        book.read("byre")
    with pytest.raises(ForeignFileError):
        book.delete("byre")
    assert book.path_of("byre").read_bytes() == content
    assert [entry.problem is None for entry in book.entries()] == [True, False]


def test_a_case_under_another_file_name_is_told(book: Casebook) -> None:
    book.create("byre", DAY)
    path = book.path_of("byre")
    path.rename(path.with_name("byre (copy).jsonl"))
    (entry,) = book.entries()
    assert "stands under another file name" in str(entry.problem)
    path.with_name("notes.txt").write_text("not a case")
    (path.parent / "folder.jsonl").mkdir()
    assert [type(entry.problem) for entry in book.entries()] == [ForeignFileError, CannotReadError]


@pytest.mark.parametrize("change", [lambda data: data + b"x", lambda data: data[:-5], lambda data: b""])
def test_a_file_changed_from_outside_is_not_written_over(
    book: Casebook, change: Callable[[bytes], bytes]
) -> None:
    book.create("byre", DAY)
    path = book.path_of("byre")
    with book.open("byre") as held:
        held.keep(append(held.case, DAY, "a"))
        changed = change(path.read_bytes())
        path.write_bytes(changed)
        with pytest.raises(ChangedOutsideError, match="Close this window"):
            held.keep(append(held.case, DAY, "b"))
        assert path.read_bytes() == changed


def test_a_file_removed_from_outside_is_told(book: Casebook) -> None:
    book.create("byre", DAY)
    with book.open("byre") as held:
        book.path_of("byre").unlink()
        with pytest.raises(CannotWriteError, match="it is not there"):
            held.keep(append(held.case, DAY, "b"))
