"""A casebook in a folder of its own, and a folder nobody may write to."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from advisor.casebook import Casebook
from tests.casebook.samples import sample

NOBODY = 65534


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Casebook:
    """An empty casebook where BYREWISE_HOME says."""
    monkeypatch.setenv("BYREWISE_HOME", str(tmp_path / "home"))
    return Casebook()


@pytest.fixture
def read_only_book() -> Iterator[Casebook]:
    """A casebook with one case in folders that may be read and not written.

    The superuser may write anywhere, so where the tests run as such they step down for the while.
    """
    home = Path(tempfile.mkdtemp())
    home.chmod(0o755)
    book = Casebook(home)
    book.add(sample())
    for path in home.rglob("*"):
        path.chmod(0o555 if path.is_dir() else 0o444)
    home.chmod(0o555)
    user = os.geteuid()
    try:
        if user == 0:
            os.seteuid(NOBODY)
        yield book
    finally:
        os.seteuid(user)
        for path in [home, *home.rglob("*")]:
            if path.is_dir():
                path.chmod(0o755)
        shutil.rmtree(home)
