"""Any name at all makes a safe file name, and is shown safely."""

from __future__ import annotations

import re

import pytest
from hypothesis import given

from advisor.casebook.names import file_stem, name_key, shown
from tests.casebook.samples import ANY_TEXT

# Reserved on Windows whatever the ending:
# https://learn.microsoft.com/windows/win32/fileio/naming-a-file
RESERVED = ["con", "PRN", "aux", "NUL", "com1", "LPT9"]


@pytest.mark.parametrize(
    "name",
    [
        *("../../etc/passwd", "/", "\\\\server\\share", "C:", ".", "..", "", " ", "-rf", "~", "a\0b"),
        *("x" * 100_000, "牛舎", "\udc80", "\u202egnp", *RESERVED),
    ],
)
def test_awkward_names_make_plain_file_names(name: str) -> None:
    assert re.fullmatch(r"[a-z0-9][a-z0-9-]{0,70}", file_stem(name))
    assert file_stem(name).lower() not in {word.lower() for word in RESERVED}


@given(ANY_TEXT)
def test_every_name_makes_a_plain_file_name(name: str) -> None:
    assert re.fullmatch(r"[a-z0-9][a-z0-9-]{0,70}", file_stem(name))


@given(ANY_TEXT, ANY_TEXT)
def test_two_names_share_a_file_only_where_they_are_the_same_name(one: str, other: str) -> None:
    assert (file_stem(one) == file_stem(other)) == (name_key(one) == name_key(other))


@given(ANY_TEXT)
def test_the_key_of_a_key_is_itself(name: str) -> None:
    assert name_key(name_key(name)) == name_key(name)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Lower Byre", "lower  byre "),
        ("Straße", "STRASSE"),
        ("Caf\u00e9", "Cafe\u0301"),
        ("ＢＹＲＥ", "byre"),
    ],
)
def test_capitals_spacing_and_form_do_not_matter(one: str, other: str) -> None:
    assert file_stem(one) == file_stem(other)


def test_names_alike_to_the_eye_in_ascii_stay_apart() -> None:
    assert len({file_stem(name) for name in ("a/b", "a-b", "a b", "ä b", "a.b")}) == 5


@given(ANY_TEXT)
def test_what_is_shown_cannot_move_the_cursor(name: str) -> None:
    text = shown(name)
    assert len(text) == len(name)
    assert text.encode().decode() == text
    assert not re.search("[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]", text)


def test_letters_of_every_script_are_shown_as_they_are() -> None:
    for name in ("Søren's byre", "牛舎", "גדר", "👩‍🌾 farm", "क्षेत्र"):
        assert shown(name) == name
