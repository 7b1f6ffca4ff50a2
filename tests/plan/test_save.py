"""Saving: whole or not at all. The read-only folder and the full disk are real ones where they can be."""

from __future__ import annotations

import errno
import os
import resource
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from advisor.plan.formats import FORMATS, draw
from advisor.plan.save import SaveError, save
from tests.plan.sample_document import sample_document


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_file_is_written_whole_and_alone(tmp_path: Path) -> None:
    assert save(tmp_path / "plan.txt", "straw – 見本\n") == [tmp_path / "plan.txt"]
    assert (tmp_path / "plan.txt").read_bytes() == "straw – 見本\n".encode()
    assert names(tmp_path) == ["plan.txt"]
    save(tmp_path / "plan.pdf", b"\x00\xff")
    assert (tmp_path / "plan.pdf").read_bytes() == b"\x00\xff"


def test_nothing_is_overwritten_unasked(tmp_path: Path) -> None:
    path = tmp_path / "plan.txt"
    path.write_text("mine")
    with pytest.raises(SaveError, match=r"'plan\.txt' is already there"):
        save(path, "theirs")
    assert path.read_text() == "mine"
    save(path, "theirs", overwrite=True)
    assert path.read_text() == "theirs"
    assert names(tmp_path) == ["plan.txt"]


def test_a_file_that_appears_meanwhile_is_not_overwritten(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "plan.txt"
    flush = os.fsync

    def slow(handle: int) -> None:
        path.write_text("mine")
        flush(handle)

    monkeypatch.setattr(os, "fsync", slow)
    with pytest.raises(SaveError, match="already there"):
        save(path, "theirs")
    assert path.read_text() == "mine"
    assert names(tmp_path) == ["plan.txt"]


def test_a_disk_without_links_still_saves(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(self: Path, target: Path) -> None:
        raise OSError(errno.EPERM, "no links here")

    monkeypatch.setattr(Path, "hardlink_to", refuse)
    save(tmp_path / "plan.txt", "straw")
    assert (tmp_path / "plan.txt").read_text() == "straw"
    assert names(tmp_path) == ["plan.txt"]


def test_a_link_keeps_pointing_at_what_it_points_at(tmp_path: Path) -> None:
    (tmp_path / "real.txt").write_text("old")
    (tmp_path / "link.txt").symlink_to("real.txt")
    with pytest.raises(SaveError, match="already there"):
        save(tmp_path / "link.txt", "new")
    save(tmp_path / "link.txt", "new", overwrite=True)
    assert (tmp_path / "link.txt").is_symlink()
    assert (tmp_path / "real.txt").read_text() == "new"


def test_a_folder_of_files_comes_whole_or_not_at_all(tmp_path: Path) -> None:
    folder = tmp_path / "tables"
    save(folder, {"a.csv": "1\r\n", "b.csv": "2\r\n"})
    assert names(folder) == ["a.csv", "b.csv"]
    assert (folder / "a.csv").read_bytes() == b"1\r\n"
    with pytest.raises(SaveError, match=r"'b\.csv' is already there"):
        save(folder, {"new.csv": "3", "b.csv": "4"})
    assert names(folder) == ["a.csv", "b.csv"]
    save(folder, {"new.csv": "3", "b.csv": "4"}, overwrite=True)
    assert (folder / "b.csv").read_text() == "4"


@pytest.fixture
def read_only() -> Iterator[Path]:
    """A folder in which this process really may not write, whoever runs it."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        (folder / "plan.txt").write_text("mine")
        folder.chmod(0o555)
        user = os.geteuid()
        if user == 0:
            os.seteuid(65534)
        try:
            yield folder
        finally:
            os.seteuid(user)
            folder.chmod(0o755)


def test_a_read_only_folder_is_left_as_it_was(read_only: Path) -> None:
    with pytest.raises(SaveError, match="you may not write in"):
        save(read_only / "new.txt", "straw")
    with pytest.raises(SaveError, match="you may not write in"):
        save(read_only / "plan.txt", "straw", overwrite=True)
    with pytest.raises(SaveError, match="you may not write in"):
        save(read_only / "tables", {"a.csv": "1"})
    assert names(read_only) == ["plan.txt"]
    assert (read_only / "plan.txt").read_text() == "mine"


@pytest.fixture
def small_files() -> Iterator[None]:
    """No file may grow past 4 kB: a write really fails half way."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (4096, hard))
    yield
    resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@pytest.mark.usefixtures("small_files")
def test_a_write_that_fails_half_way_leaves_nothing(tmp_path: Path) -> None:
    (tmp_path / "plan.txt").write_text("mine")
    with pytest.raises(SaveError, match="disk is full"):
        save(tmp_path / "plan.txt", "x" * 100_000, overwrite=True)
    with pytest.raises(SaveError, match="disk is full"):
        save(tmp_path / "tables", {"a.csv": "1", "b.csv": "x" * 100_000})
    assert names(tmp_path) == ["plan.txt"]
    assert (tmp_path / "plan.txt").read_text() == "mine"


def test_a_disk_that_is_full_at_the_last_moment(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(SaveError, match="disk is full"):
        save(tmp_path / "plan.txt", "straw")
    assert names(tmp_path) == []


def test_places_that_cannot_be(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine")
    for path, why in (
        (tmp_path / "nowhere" / "plan.txt", "there is no folder"),
        (tmp_path / "file" / "plan.txt", "is a file, not a folder"),
        (tmp_path / ("x" * 300), "too long"),
        (tmp_path, "it is a folder"),
    ):
        with pytest.raises(SaveError, match=why):
            save(path, "straw")
    with pytest.raises(SaveError, match="already there"):
        save(tmp_path / "file", {"a.csv": "1"})
    assert names(tmp_path) == ["file"]


@pytest.mark.parametrize("name", FORMATS)
def test_every_format_draws_and_saves(name: str, tmp_path: Path) -> None:
    drawn = draw(sample_document(), name)
    kind = FORMATS[name]
    assert isinstance(drawn, bytes if kind.binary else dict if kind.is_folder else str)
    assert all(path.stat().st_size for path in save(tmp_path / f"plan{kind.suffix}", drawn))
