"""The exported form: there and back, and the schema agrees with the reader."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

import advisor.contracts
from advisor.casebook.as_json import (
    NewerFormError,
    UnreadableError,
    from_json,
    line_of,
    parse_json,
    to_json,
)
from advisor.casebook.events import Case
from tests.casebook.samples import cases, sample

CONTRACTS = Path(advisor.contracts.__file__).parent
SCHEMA = json.loads((CONTRACTS / "case_export.schema.json").read_text())
EXAMPLE = json.loads((CONTRACTS / "examples" / "case_export.json").read_text())
VALIDATOR = Draft202012Validator(SCHEMA, format_checker=Draft202012Validator.FORMAT_CHECKER)


def test_the_schema_is_a_schema_and_the_example_fits_it() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    VALIDATOR.validate(EXAMPLE)
    assert to_json(from_json(EXAMPLE)) == EXAMPLE


@given(cases())
def test_there_and_back(case: Case) -> None:
    VALIDATOR.validate(to_json(case))
    assert from_json(parse_json(line_of(to_json(case)))) == case


WRONG: list[Any] = [
    *(None, True, 0, -1, 1.5, 10**30, "", "x", "Not One Word", "2026-13-01", "20261004"),
    *([], {}, [1], [{}]),
]
PLACES: list[tuple[str | int, ...]] = [
    *[(key,) for key in EXAMPLE],
    *[("events", index, key) for index in (0, 2) for key in EXAMPLE["events"][0]],
    ("extra",),
    ("events", 1),
    ("events", 1, "extra"),
]


def changed(place: tuple[str | int, ...], value: Any) -> Any:
    data = copy.deepcopy(EXAMPLE)
    inner = data
    for key in place[:-1]:
        inner = inner[key]
    inner[place[-1]] = value
    return data


def read(data: Any) -> str | None:
    try:
        from_json(data)
    except UnreadableError as fault:
        return fault.where
    except NewerFormError:
        return "schema_version"
    return None


@pytest.mark.parametrize("place", PLACES, ids=str)
def test_what_the_schema_refuses_the_reader_refuses_and_names(place: tuple[str | int, ...]) -> None:
    for value in WRONG:
        data = changed(place, value)
        where = read(data)
        if not VALIDATOR.is_valid(data):
            assert where, value
            assert str(place[-1]) in where or place[-1] == "kind", value
        elif where:  # order and targets are beyond a schema
            assert where.endswith(("number", "target")), value


@pytest.mark.parametrize("place", PLACES[:-3], ids=str)
def test_a_missing_key_is_refused_where_the_schema_requires_it(place: tuple[str | int, ...]) -> None:
    data = copy.deepcopy(EXAMPLE)
    inner = data
    for key in place[:-1]:
        inner = inner[key]
    del inner[place[-1]]
    assert (read(data) is None) == VALIDATOR.is_valid(data)


@settings(max_examples=200)
@given(st.binary(max_size=60) | st.text(max_size=60).map(str.encode))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    try:
        from_json(parse_json(data))
    except (UnreadableError, NewerFormError):
        return


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"", "not JSON"),
        (b"\xff", "UTF-8"),
        (b"[" * 200_000, "nested"),
        (b"9" * 5_000, "too long"),
        (b"NaN", "NaN"),
        (b'{"format": "byrewise case",\n oops}', "line 2"),
    ],
)
def test_what_is_no_json_is_said_plainly(data: bytes, what: str) -> None:
    with pytest.raises(UnreadableError, match=what):
        parse_json(data)


def test_a_newer_form_is_told_from_a_broken_one() -> None:
    with pytest.raises(NewerFormError) as raised:
        from_json(changed(("schema_version",), 2))
    assert (raised.value.version, raised.value.name) == (2, EXAMPLE["name"])


def test_a_byte_order_mark_from_an_editor_does_no_harm() -> None:
    assert from_json(parse_json(b"\xef\xbb\xbf" + line_of(to_json(sample())))) == sample()
