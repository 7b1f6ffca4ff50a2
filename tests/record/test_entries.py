"""Entries: read, written, told apart, corrected, and the same whatever order they came in."""

from __future__ import annotations

import datetime as dt
import json

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from advisor.casebook import append, new_case, undo
from advisor.contracts import schema, season_entries_schema
from advisor.farm import FarmError
from advisor.knowledge import Knowledge
from advisor.knowledge.yaml_text import read_yaml
from advisor.record.entries import Bedding, Record, dump, read_entry
from advisor.record.files import read_record, read_record_text
from advisor.record.fold import acts_for, correction, drop, record_of
from tests.contracts.test_contracts import EXAMPLES
from tests.record.conftest import note

DAY = dt.date(2027, 1, 10)
SOME = [
    note("bedding", 3, material="straw", packs=4),
    note("bedding", 3, material="straw", packs=4),
    note("depth", 5, depth="45 cm"),
    note("depth", 9, depth={"value": 0.5, "low": 0.45, "high": 0.55}),
    note("heads", 5, group="ewe", change=-3),
    note("squeeze", 5, result="drips"),
]


def test_the_example_meets_the_schema_and_can_be_read(known: Knowledge) -> None:
    assert schema("season_entries") == json.loads(json.dumps(season_entries_schema()))
    path = EXAMPLES / "season_entries.yaml"
    jsonschema.validate(json.loads(json.dumps(read_yaml(path).data, default=str)), schema("season_entries"))
    record = read_record(path, known)
    assert {entry.kind for entry in record} >= {
        "bedding",
        "depth",
        "heap",
        "lab",
        "ammonia",
        "stock",
        "grass",
    }


def test_acts_of_real_records_meet_the_schema() -> None:
    entries = [dump(entry) for entry in Record.of(SOME)]
    jsonschema.validate({"schema_version": 1, "entries": entries}, schema("season_entries"))


@given(st.permutations(SOME))
def test_order_makes_no_other_record(entries: list[Bedding]) -> None:
    assert Record.of(entries) == Record.of(SOME)


@pytest.mark.parametrize("entry", SOME, ids=lambda e: f"{e.kind}-{e.date}")
def test_an_entry_survives_being_stored(entry: Bedding) -> None:
    assert read_entry(json.loads(json.dumps(dump(entry)))) == entry


@pytest.mark.parametrize(
    "raw",
    [
        {"kind": "bedding", "date": DAY, "material": "straw"},
        {"kind": "bedding", "date": DAY, "material": "straw", "packs": 2, "mass": "20 kg"},
        {"kind": "bedding", "date": DAY, "material": "straw", "packs": -2},
        {"kind": "heads", "date": DAY, "change": 2, "count": 4},
        {"kind": "depth", "date": DAY, "depth": "40 kg"},
        {"kind": "moisture", "date": DAY, "moisture": 68},
        {"kind": "dirt", "date": DAY, "score": 9},
        {"kind": "heap", "date": DAY},
        {"kind": "nonsense", "date": DAY},
        {"kind": "depth", "date": "soon", "depth": "40 cm"},
    ],
)
def test_what_cannot_be_is_refused(raw: dict[str, object]) -> None:
    with pytest.raises(ValidationError):
        read_entry(raw)


def test_faults_of_a_file_are_told_with_their_lines(known: Knowledge) -> None:
    text = "schema_version: 1\nentries:\n  - {kind: depth, date: 2027-01-01, depth: 40 kg}\n"
    text += "  - {kind: bedding, date: 2027-01-02, material: barly straw, packs: 2}\n"
    with pytest.raises(FarmError) as refusal:
        read_record_text(text, known)
    assert {fault.place.line for fault in refusal.value.faults} == {3, 4}
    assert "barley straw" in str(refusal.value)


def test_notes_are_folded_corrected_and_taken_back() -> None:
    case = new_case("Byre", DAY)
    first = acts_for(SOME[:2], record_of(case))
    assert len({act["season"]["id"] for act in first}) == 2  # told twice, noted twice
    case = append(case, DAY, "4 bales and 4 bales", first, kind="season")
    again = acts_for(SOME[:1], record_of(case))
    case = append(case, DAY, "4 bales", again, kind="season")
    assert len(record_of(case)) == 3
    wrong = record_of(case).entries[0]
    right = read_entry({**dump(wrong), "packs": 5})
    case = append(case, DAY, "5, not 4", [correction(wrong.id, right)], kind="season")
    found = record_of(case).find(wrong.id)
    assert isinstance(found, Bedding)
    assert (found.packs, len(record_of(case))) == (5, 3)
    case = append(case, DAY, "take it out", [drop(wrong.id)], kind="season")
    assert len(record_of(case)) == 2
    case = undo(undo(case, DAY, "undo"), DAY, "undo")
    assert record_of(case).find(wrong.id) == wrong
