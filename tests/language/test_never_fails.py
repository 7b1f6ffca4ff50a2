"""Whatever is typed, a reading comes back; patterns and tables say what is wrong with them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.cli.understand import _Understander, answer_line
from advisor.knowledge import knowledge, knowledge_folder
from advisor.language import Lexicon, lexicon, understand
from advisor.language.patterns import Grammar, PatternSet
from advisor.language.tables import read_tables
from advisor.language.text import plain, tokenise

WORDS: Lexicon = lexicon(knowledge())
READER = _Understander()
QUESTIONS = [
    entry.words.replace("CLASS", "ewe").replace("MATERIAL", "straw") for entry in WORDS.tables.asked.values()
]
PIECES = [
    "12",
    "1/2",
    "3/4/26",
    "0",
    "-5",
    "1.200",
    "m",
    "ft",
    "kg",
    "t",
    "%",
    "x",
    "by",
    "a",
    "half",
    "dozen",
    "cows",
    "straw",
    "bales",
    "of",
    "each",
    "nov",
    "may",
    "5th",
    "not",
    "no",
    "to",
    "-",
    ",",
    ".",
    "?",
    "'",
    '"',
    "(",
    "day",
    "every",
    "second",
    "why",
    "how",
    "smell",
    "wet",
    "pit",
    "fire",
    "he",
    "fell",
    "go",
    "back",
    "sorry",
    "meant",
    "minus",
    "C",
    "F",
    "and",
    "late",
    "between",
    "two",
    "hundred",
    "tonne",
    "per",
    "head",
    "in",
    "out",
    "turnout",
    "week",
    "before",
    "christmas",
    "²",
    "½",
]
BEFORE = {
    "area_m2": 288,
    "area_as": "16 m x 18 m",
    "animals": [{"class": "ewe", "count": 3, "weight_as": "70 kg"}],
    "start": "11-05",
    "materials": [{"name": "straw", "amount": 4, "unit": "bale"}],
    "depth_cm": 30,
    "depth_as": "30 cm",
    "days": 100,
    "quantities": [{"of": "x", "value": 4, "unit": "degF", "si": 2, "si_unit": "degC"}],
}
KINDS = {
    "answer",
    "volunteer",
    "ask_fact",
    "ask_calc",
    "ask_why",
    "ask_how",
    "trouble",
    "correction",
    "unsure",
    "navigate",
    "danger",
    "out_of_scope",
    "chitchat",
}


@settings(max_examples=250, deadline=None, derandomize=True)
@given(
    st.lists(st.sampled_from(PIECES), max_size=12),
    st.sampled_from([None, *QUESTIONS]),
    st.booleans(),
)
@pytest.mark.slow
def test_any_run_of_farm_words_is_read(pieces: list[str], asked: str | None, known: bool) -> None:
    found = understand(" ".join(pieces), asked, BEFORE if known else {}, WORDS)
    assert found.kind in KINDS
    json.dumps(dict(found.facts), allow_nan=False)


@settings(max_examples=250, deadline=None, derandomize=True)
@given(st.text(max_size=200), st.one_of(st.none(), st.text(max_size=30), st.sampled_from(QUESTIONS)))
def test_any_text_is_read(text: str, asked: str | None) -> None:
    assert understand(text, asked, {}, WORDS).kind in KINDS


@pytest.mark.parametrize(
    "line",
    [
        "not json",
        "[1, 2]",
        "null",
        "5",
        '{"text": null}',
        '{"text": 5, "asked": [], "before": "x"}',
        '{"id": 1}',
        '{"text": "12 cows", "before": {"animals": "many", "materials": [3], "start": 5, "quantities": {}}}',
        "{" * 5000,
        '{"text": "sorry 8 not 6", "before": {"animals": [{"class": null, "count": "x"}], "area_as": 4}}',
        '{"text": "' + "cow " * 5000 + '"}',
    ],
)
def test_any_line_gets_an_answer(line: str) -> None:
    out = answer_line(line, READER)
    assert out["kind"] in KINDS
    assert isinstance(out["reply"], str)
    assert out["reply"]


def test_text_is_made_plain_once() -> None:
    assert plain("½ m² × 3’") == " 1/2  m2  x  3'"
    assert [t.text for t in tokenise("10,5 m x 8m.")] == ["10,5", "m", "x", "8", "m", "."]


def test_patterns_read_gaps_groups_and_ends() -> None:
    grammar = Grammar({"cold": ["cold", "stone cold"]})
    found = PatternSet({"cold": "pile .. {cold}", "start": "^ back $", "but": "hot ! water"}, grammar)
    assert [h.name for h in found.hits(tokenise("the pile has gone cold"))] == ["cold"]
    assert [h.name for h in found.hits(tokenise("pile . cold"))] == []
    assert [h.name for h in found.hits(tokenise("back"))] == ["start"]
    assert found.hits(tokenise("go back now")) == []
    assert found.hits(tokenise("hot water")) == []
    with pytest.raises(ValueError, match="no group"):
        grammar.compile("{nowhere}")


def test_a_fault_in_a_word_table_is_told_with_its_line(tmp_path: Path) -> None:
    folder = tmp_path / "words"
    folder.mkdir()
    for path in (knowledge_folder() / "words").glob("*.yaml"):
        (folder / path.name).write_text(path.read_text(encoding="utf-8"), encoding="utf-8")
    (folder / "breeds.yaml").write_text("cows:\n  words: jersey\n  alone: cow\n", encoding="utf-8")
    tables, faults = read_tables(folder)
    assert tables is None
    assert str(faults[0]).startswith("words/breeds.yaml:1")
