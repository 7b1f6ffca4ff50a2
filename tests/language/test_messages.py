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


@pytest.mark.slow
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


def test_points_for_danger_name_groups_and_kinds_there_are(words: Lexicon) -> None:
    table = words.tables.danger_points
    groups = {f"{{{name}}}" for name in words.groups}
    for points in (table.points, *table.kinds.values()):
        named = {part for feature in points for part in feature.split() if part.startswith("{")}
        assert named <= groups
    assert set(table.kinds) == {name for name, alarm in words.tables.alarms.items() if alarm.signs}


@pytest.mark.parametrize(
    ("text", "alarm"),
    [  # tellings that no sign in the table reads: enough words speak for danger
        ("the boy is at the foot of the silo ladder, his lips are blue and he wont wake", "person collapsed"),
        ("grandson touched the lead and was thrown, he twitches and wont answer", "electric shock"),
    ],
)
def test_many_words_of_danger_raise_an_alarm(text: str, alarm: str, words: Lexicon) -> None:
    found = understand(text, None, {}, words)
    assert (found.kind, found.act) == ("danger", "alarm")
    assert alarm in found.facts["alarm"]


@pytest.mark.slow
def test_idle_talk_in_the_words_of_emergencies_seldom_cries(words: Lexicon) -> None:
    path = Path(__file__).parents[1] / "messages" / "chatter.txt"
    texts = [t for t in path.read_text(encoding="utf-8").splitlines() if t and not t.startswith("#")]
    assert len(texts) == 600
    cried = [text for text in texts if understand(text, None, {}, words).kind == "danger"]
    assert len(cried) <= 16, cried  # one more, since a phrase that calmed smoke could hide a fire


@pytest.mark.slow
def test_calm_messages_stay_calm(words: Lexicon) -> None:
    path = Path(__file__).parents[1] / "messages" / "calm.txt"
    texts = [t for t in path.read_text(encoding="utf-8").splitlines() if t and not t.startswith("#")]
    assert len(texts) > 700
    assert [text for text in texts if understand(text, None, {}, words).kind == "danger"] == []
