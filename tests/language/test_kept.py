"""The lexicon out of the cache folder reads exactly as the one built from the tables."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.knowledge import knowledge, knowledge_folder
from advisor.language import Lexicon, build_lexicon, understand
from advisor.language.kept import keep, kept_lexicon, state_key

MESSAGES = (
    ("dad collapsed in the slurry pit", None),
    ("fainting goats, 7 of them", "which animals and how many"),
    ("28 Limousin cross sucklers, 16m x 22m shed, roofed, oat straw, in 5 Nov out 25 April", None),
    ("no, 8", None),
    ("how much straw for 9 heiffers", None),
    ("the pack smells of ammonia and the ewes are filthy", None),
    ("couldnt tell you", "moisture of the pack"),
    ("pigs will", "who or what will turn the pack in spring"),
    ("show me the plan", None),
)


@pytest.fixture(scope="module")
def built() -> Lexicon:
    return build_lexicon(knowledge())


@pytest.mark.slow
def test_a_kept_lexicon_reads_as_the_built_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, built: Lexicon
) -> None:
    monkeypatch.setenv("BYREWISE_CACHE", str(tmp_path))
    folder = knowledge_folder()
    key = state_key(folder)
    assert kept_lexicon(folder, key) is None
    keep(built, folder, key)
    kept = kept_lexicon(folder, key)
    assert kept is not None
    assert kept.tables == built.tables
    assert kept.known == built.known
    for text, asked in MESSAGES:
        assert understand(text, asked, {}, kept) == understand(text, asked, {}, built), text


def test_a_copy_of_another_state_or_a_broken_one_counts_as_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, built: Lexicon
) -> None:
    monkeypatch.setenv("BYREWISE_CACHE", str(tmp_path))
    folder = knowledge_folder()
    keep(built, folder, "one")
    assert kept_lexicon(folder, "one") is not None
    assert kept_lexicon(folder, "other") is None
    for path in tmp_path.iterdir():
        path.write_bytes(path.read_bytes()[:-5])
    assert kept_lexicon(folder, "one") is None
