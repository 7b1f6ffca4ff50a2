"""The Markdown, read back by an independent CommonMark parser."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from markdown_it.token import Token

from advisor.plan.document import Paragraph, Points, Section
from advisor.plan.render_markdown import render_markdown
from advisor.plan.writing import clean, number_text
from tests.plan.sample_document import HOSTILE_NAMES, empty_document, hostile_document, sample_document
from tests.plan.tree import every_number, every_text


def parse(text: str) -> list[Token]:
    return MarkdownIt("commonmark").parse(text)


def shown(tokens: list[Token]) -> list[str]:
    """The text a reader sees, a line for each block."""
    lines = []
    for token in tokens:
        if token.type == "inline":
            assert token.children is not None
            kinds = {child.type for child in token.children}
            assert kinds <= {
                "text", "text_special", "strong_open", "strong_close", "em_open", "em_close", "hardbreak", "softbreak",
            }  # fmt: skip
            lines.append(
                "".join(child.content or " " * child.type.endswith("break") for child in token.children)
            )
        elif token.type == "fence":
            lines.append(token.content)
    return lines


def test_headings_and_every_text_and_number() -> None:
    document = sample_document()
    tokens = parse(render_markdown(document))
    heads = [after.content for token, after in pairwise(tokens) if token.type == "heading_open"]
    assert heads[:3] == ["Winter bedding plan", "On the shed door", "The plan in short"]
    assert [token.tag for token in tokens if token.type == "heading_open"].count("h1") == 1
    read = re.sub(r"\s+", "", "".join(shown(tokens)))
    for text in every_text(document):
        assert re.sub(r"\s+", "", text) in read
    words = set(re.findall(r"[\w.,-]+", " ".join(shown(tokens))))
    assert {number_text(number) for number in every_number(document)} <= words


@pytest.mark.parametrize("name", HOSTILE_NAMES)
def test_hostile_words_stay_words(name: str) -> None:
    tokens = parse(render_markdown(hostile_document(name)))
    assert not [
        token.type for token in tokens if token.type in ("html_block", "code_block", "hr", "table_open")
    ]
    assert shown(tokens)[0] == clean(f"Plan for {name}")
    assert clean(name) in shown(tokens)


@given(st.text())
@example("1. x")
@example("+")
@example("===")
@example("    indented")
@example("a  \\")
@example("&amp; &#35;")
@example("*a*_b_`c`")
def test_any_text_reads_back_as_written(text: str) -> None:
    blocks = (Paragraph(text), Points((text, "x")), Paragraph("end"))
    document = replace(empty_document(), title=text, sections=(Section("s", text, blocks),))
    lines = shown(parse(render_markdown(document)))
    wanted = [line for line in (clean(text),) if line]
    assert [line for line in lines if line] == [
        *wanted, "Made on: 14 September 2026", *wanted, *wanted, *wanted, "x", "end",
    ]  # fmt: skip
