"""The CSV files, read back by a strict reader of RFC 4180 written here and by Python's own."""

from __future__ import annotations

import csv
import datetime as dt
import io
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.plan.document import Column, Section, Table
from advisor.plan.render_csv import render_csv
from advisor.plan.writing import clean
from tests.plan.sample_document import HOSTILE_NAMES, empty_document, hostile_document, sample_document
from tests.plan.tree import tables


def read_strictly(text: str) -> list[list[str]]:
    """RFC 4180, section 2: CRLF after every record, quotes doubled inside quotes."""
    rows: list[list[str]] = []
    at = 0
    while at < len(text):
        row: list[str] = []
        while True:
            if text[at] == '"':
                end, value = at + 1, ""
                while True:
                    stop = text.index('"', end)
                    value += text[end:stop]
                    if text[stop + 1] != '"':
                        break
                    value, end = value + '"', stop + 2
                row.append(value)
                at = stop + 1
            else:
                stop = min(found for found in (text.find(",", at), text.find("\r\n", at)) if found >= 0)
                assert '"' not in text[at:stop]
                row.append(text[at:stop])
                at = stop
            if text[at] == ",":
                at += 1
                continue
            assert text[at : at + 2] == "\r\n"
            at += 2
            break
        rows.append(row)
    return rows


def test_one_file_a_table_with_units_in_the_headers() -> None:
    files = render_csv(sample_document())
    assert list(files) == [
        "shed_door_schedule.csv",
        "materials.csv",
        "weekly_schedule.csv",
        "assumptions.csv",
        "nutrients.csv",
    ]
    rows = read_strictly(files["weekly_schedule.csv"])
    assert rows[0] == ["Week", "From", "Round bales", "Straw (kg)", "Depth after (m)"]
    assert rows[9] == ["9", "2026-12-28", "4", "880", "0.49"]
    assert len({len(row) for row in rows}) == 1


def test_numbers_stay_numbers_and_nothing_stays_empty() -> None:
    document = sample_document()
    for table, text in zip(tables(document), render_csv(document).values(), strict=True):
        for row, read in zip(table.rows, read_strictly(text)[1:], strict=True):
            for cell, field in zip(row, read, strict=True):
                if isinstance(cell, (int, float)):
                    assert float(field) == pytest.approx(cell, rel=1e-10)
                if cell is None:
                    assert field == ""
                if isinstance(cell, dt.date):
                    assert dt.date.fromisoformat(field) == cell


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t=", "\r=", " =", "＝", "＋", "－", "＠"])
def test_what_a_spreadsheet_would_run_is_made_a_text(start: str) -> None:
    table = Table("t", "", (Column(f"{start}1+1"),), ((f"{start}cmd|' /C calc'!A0",),))
    (text,) = render_csv(replace(empty_document(), sections=(Section("s", "S", (table,)),))).values()
    for row in read_strictly(text):
        assert row[0].startswith("'")


def test_a_number_written_as_text_is_left_alone() -> None:
    table = Table("t", "", (Column("n"),), (("-3",), ("+4.5",), ("-3 to 9",)))
    (text,) = render_csv(replace(empty_document(), sections=(Section("s", "S", (table,)),))).values()
    assert [row[0] for row in read_strictly(text)] == ["n", "-3", "+4.5", "'-3 to 9"]


@pytest.mark.parametrize("name", HOSTILE_NAMES)
def test_hostile_words_stay_in_their_cell(name: str) -> None:
    files = render_csv(hostile_document(name))
    assert {"hostile.csv", "hostile_2.csv"} <= set(files)
    row = read_strictly(files["hostile.csv"])[1]
    assert row[0].removeprefix("'") == clean(name)
    assert row[1] == "12.5"


@given(st.lists(st.tuples(st.text(), st.floats(-1e9, 1e9), st.text()), max_size=5))
def test_two_readers_agree_on_any_table(rows: list[tuple[str, float, str]]) -> None:
    table = Table("t", "", (Column("a"), Column("b", "kg"), Column("c")), tuple(rows))
    (text,) = render_csv(replace(empty_document(), sections=(Section("s", "S", (table,)),))).values()
    read = read_strictly(text)
    assert read == list(csv.reader(io.StringIO(text, newline="")))
    assert len(read) == len(rows) + 1
    for row, (_, number, _) in zip(read[1:], rows, strict=True):
        assert float(row[1]) == pytest.approx(number, rel=1e-9, abs=1e-11)


def test_odd_table_ids_make_plain_file_names() -> None:
    odd = Table("../Ev il/", "", (Column("a"),), ())
    bare = Table("///", "", (Column("a"),), ())
    files = render_csv(replace(empty_document(), sections=(Section("s", "S", (odd, bare)),)))
    assert list(files) == ["ev_il.csv", "table.csv"]
