from __future__ import annotations

import datetime as dt
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.plan.document import Column, Document, Table
from advisor.plan.render_text import render_text
from advisor.plan.text_table import table_lines
from advisor.plan.writing import cell_text, clean, date_text, display_width, number_text, wrap
from tests.plan.sample_document import (
    HOSTILE_NAMES,
    LONG_NAME,
    empty_document,
    hostile_document,
    sample_document,
)
from tests.plan.tree import every_number, every_text


@pytest.mark.parametrize("width", [40, 60, 78, 120])
@pytest.mark.parametrize("farm", ["Thistledown Croft (invented)", LONG_NAME, "見本農場" * 30, "مزرعة النخيل"])
def test_no_line_is_wider_than_asked(width: int, farm: str) -> None:
    text = render_text(sample_document(farm), width)
    assert max(display_width(line) for line in text.splitlines()) <= width


def test_every_text_and_number_of_the_tree_stands_in_it() -> None:
    document = sample_document()
    # Words are looked for without breaks, since lines are folded and cells wrapped.
    folded = re.sub(r"[\s!]+", "", render_text(document, 200))
    for text in every_text(document):
        assert re.sub(r"[\s!]+", "", text) in folded
    words = set(re.findall(r"[\w.,:-]+", render_text(document)))
    for number in every_number(document):
        assert number_text(number) in words


@pytest.mark.parametrize("name", HOSTILE_NAMES)
def test_hostile_words_stand_as_written_and_break_nothing(name: str) -> None:
    text = render_text(hostile_document(name), 100)
    assert f": {clean(name)}\n" in text
    assert "\x1b" not in text
    assert "\u202e" not in text
    text.encode("utf-8")


def test_the_sheet_comes_first_and_an_empty_document_is_still_one() -> None:
    text = render_text(sample_document())
    assert text.index("On the shed door") < text.index("The plan in short")
    assert "14 September 2026" in render_text(empty_document())
    assert "September 14, 2026" in render_text(sample_document(units="us"))


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e15, max_value=1e15))
def test_a_written_number_reads_back_as_the_number(value: float) -> None:
    text = number_text(value)
    assert float(text.replace(",", "")) == pytest.approx(value, rel=1e-9, abs=1e-11)
    assert "e" not in text
    assert number_text(value, grouped=False) == text.replace(",", "")


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
def test_what_is_no_number_is_not_written_as_one(value: float) -> None:
    assert number_text(value) == "–"


def test_cells() -> None:
    written = [
        cell_text(cell, "metric") for cell in (None, True, 0.1 + 0.2, 12500, dt.date(2027, 1, 4), " a\nb ")
    ]
    assert written == ["–", "yes", "0.3", "12,500", "4 Jan 2027", "a b"]
    assert date_text(dt.date(2027, 1, 4), "us") == "January 4, 2027"


@given(st.text(), st.integers(4, 30))
def test_wrapping_keeps_every_letter(text: str, width: int) -> None:
    lines = wrap(clean(text), width)
    assert "".join(lines).replace(" ", "") == clean(text).replace(" ", "")
    assert all(display_width(line) <= width or len(line) == 1 for line in lines)


_WORDS = st.text(st.characters(categories=("L", "N", "P")), max_size=25)


@given(
    st.lists(st.tuples(_WORDS, st.floats(-1e6, 1e6), _WORDS), max_size=4),
    st.integers(40, 100),
)
def test_tables_keep_their_width_and_every_cell(rows: list[tuple[str, float, str]], width: int) -> None:
    table = Table("t", "c", (Column("Name"), Column("Amount", "kg", "right"), Column("Why")), tuple(rows))
    lines = table_lines(table, width, "metric")
    assert all(display_width(line) <= width for line in lines)
    text = re.sub(r"\s", "", "".join(lines))
    for row in rows:
        assert number_text(row[1]) in text


def test_a_table_too_wide_becomes_a_list_of_its_rows() -> None:
    columns = tuple(Column(f"Column number {at}") for at in range(9))
    lines = table_lines(Table("t", "c", columns, (tuple("abcdefghi"),)), 60, "metric")
    assert lines[0] == "* Column number 0: a"
    assert lines[8] == "  Column number 8: i"


def test_same_document_same_text() -> None:
    first: Document = sample_document()
    assert render_text(first) == render_text(sample_document())
