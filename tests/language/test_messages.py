"""Messages written for development: what each does, what it says, and what must never be missed."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.knowledge import knowledge
from advisor.language import Lexicon, lexicon, understand

KINDS = Path(__file__).with_name("kinds.txt")


@pytest.fixture(scope="module")
def words() -> Lexicon:
    return lexicon(knowledge())


def _messages() -> list[tuple[str, str | None, str]]:
    out: list[tuple[str, str | None, str]] = []
    kind = ""
    for line in KINDS.read_text(encoding="utf-8").splitlines():
        if not line or line.startswith("#"):
            continue
        if line.startswith("["):
            kind = line[1:-1]
            continue
        asked, text = line[2:].split(" | ") if line.startswith("? ") else (None, line)
        out.append((kind, asked, text))
    return out


def _of(kind: str) -> list[tuple[str | None, str]]:
    return [(asked, text) for k, asked, text in _messages() if k == kind]


def test_an_emergency_is_never_missed(words: Lexicon) -> None:
    missed = []
    for asked, text in _of("danger"):
        found = understand(text, asked, {}, words)
        if (found.kind, found.act) != ("danger", "alarm") or not found.facts["alarm"]:
            missed.append((asked, text, found.kind))
    assert missed == []


def test_alarming_words_without_an_emergency_stay_calm(words: Lexicon) -> None:
    cried = [
        (asked, text)
        for asked, text in _of("not danger")
        if understand(text, asked, {}, words).kind == "danger"
    ]
    assert cried == []


def test_other_messages_are_read_as_what_they_do(words: Lexicon) -> None:
    wrong = [
        (kind, asked, text, found.kind)
        for kind, asked, text in _messages()
        if "danger" not in kind and (found := understand(text, asked, {}, words)).kind != kind
    ]
    assert wrong == []


def test_a_denied_sign_is_no_sign(words: Lexicon) -> None:
    assert "symptoms" not in understand("no ammonia smell and no flies", None, {}, words).facts


def test_nothing_is_read_into_noise(words: Lexicon) -> None:
    for noise in ("", "   ", "\x00\x01", "{{7*7}}", "<script>alert(1)</script>", "qwrtzp xxyyzz"):
        found = understand(noise, None, {}, words)
        assert found.act in ("reask", "chat"), noise
        assert not found.facts


def test_a_narrower_word_is_kept_and_a_general_one_stays_general(words: Lexicon) -> None:
    facts = understand("5 guernsey cows and 9 cows", "which animals and how many", {}, words).facts
    assert [a["class"] for a in facts["animals"]] == ["dairy cow", "cow"]


def test_slips_of_the_key_are_mended_but_short_words_are_not(words: Lexicon) -> None:
    facts = understand("12 heiffers on sawdsut", None, {}, words).facts
    assert facts["animals"][0]["class"] == "heifer"
    assert facts["materials"][0]["name"] == "sawdust"
    assert "animals" not in understand("then we have tea", None, {}, words).facts
