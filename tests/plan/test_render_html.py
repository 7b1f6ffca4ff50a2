"""The web page, read back as a tree. What needs a real browser is in tests/browser."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from html.parser import HTMLParser
from itertools import pairwise

import pytest

from advisor.plan.document import Document
from advisor.plan.render_html import render_html
from advisor.plan.writing import clean, number_text
from tests.plan.sample_document import (
    HOSTILE_GROUPS,
    HOSTILE_NAMES,
    LONG_NAME,
    empty_document,
    hostile_document,
    sample_document,
)
from tests.plan.tree import every_number, every_text

_VOID = {"meta", "br", "link", "img", "input", "hr"}


@dataclass
class Node:
    tag: str
    attributes: dict[str, str | None] = field(default_factory=dict)
    children: list[Node | str] = field(default_factory=list)

    def all(self, tag: str = "") -> list[Node]:
        found = [self] if tag in ("", self.tag) else []
        return found + [node for child in self.children if isinstance(child, Node) for node in child.all(tag)]

    def text(self) -> str:
        return "".join(child if isinstance(child, str) else child.text() for child in self.children)


class Reader(HTMLParser):
    """Builds the tree and refuses tags that do not close in order."""

    def __init__(self) -> None:
        super().__init__()
        self.stack = [Node("root")]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert len({name for name, _ in attrs}) == len(attrs)
        node = Node(tag, dict(attrs))
        self.stack[-1].children.append(node)
        if tag not in _VOID:
            self.stack.append(node)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.stack[-1].children.append(Node(tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.stack.pop().tag == tag

    def handle_data(self, data: str) -> None:
        self.stack[-1].children.append(data)


def read(document: Document) -> Node:
    reader = Reader()
    reader.feed(render_html(document))
    reader.close()
    assert len(reader.stack) == 1
    return reader.stack[0]


@pytest.mark.parametrize(
    "document",
    [sample_document(), empty_document(), hostile_document(HOSTILE_NAMES[4])],
    ids=["plan", "empty", "hostile"],
)
def test_structure(document: Document) -> None:
    page = read(document)
    (html,) = page.all("html")
    assert html.attributes["lang"] == "en"
    assert len(page.all("main")) == 1
    assert len(page.all("head")[0].all("title")) == 1
    levels = [int(node.tag[1]) for node in page.all() if re.fullmatch(r"h[1-6]", node.tag)]
    assert levels.count(1) == 1
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    ids = [node.attributes["id"] for node in page.all() if "id" in node.attributes]
    assert len(ids) == len(set(ids))
    for node in page.all():
        for name in ("aria-labelledby", "aria-describedby"):
            assert set((node.attributes.get(name) or "").split()) <= set(ids)
    for link in page.all("a"):
        assert (link.attributes["href"] or "").removeprefix("#") in ids


def test_every_table_has_scoped_headers_and_a_caption() -> None:
    for table in read(sample_document()).all("table"):
        assert table.all("th")
        assert all(head.attributes.get("scope") in ("col", "row") for head in table.all("th"))
        assert table.all("caption") or table.attributes.get("class") == "log"


def check_that_it_needs_no_network_and_runs_no_script(page: Node) -> None:
    assert not [node for tag in ("script", "link", "img", "iframe", "object") for node in page.all(tag)]
    (policy,) = [node for node in page.all("meta") if "http-equiv" in node.attributes]
    assert (policy.attributes["content"] or "").startswith("default-src 'none'")
    for node in page.all():
        for key, value in node.attributes.items():
            assert not key.startswith("on")
            if key in ("href", "src", "xlink:href", "action", "data", "srcset", "poster"):
                assert (value or "").startswith("#")
    for style in page.all("style"):
        assert "url(" not in style.text()
        assert "@import" not in style.text()


def test_every_text_and_number_of_the_tree_stands_in_it() -> None:
    document = sample_document()
    (main,) = read(document).all("body")
    folded = re.sub(r"\s+", "", main.text())
    for text in every_text(document):
        assert re.sub(r"\s+", "", text) in folded
    cells = {cell.text() for cell in (*main.all("td"), *main.all("th"))}
    assert {number_text(number) for number in every_number(document)} <= cells


@pytest.mark.parametrize("name", [*HOSTILE_GROUPS, LONG_NAME])
def test_hostile_words_stay_words(name: str) -> None:
    page = read(hostile_document(name))
    check_that_it_needs_no_network_and_runs_no_script(page)
    assert page.all("h1")[0].text() == clean(f"Plan for {name}")
    assert page.all("bdi")[0].text() == clean(name)
    assert clean(name) in [item.text() for item in page.all("li")]
    assert {clean(name)} <= {node.text() for svg in page.all("svg") for node in svg.all("desc")}


def test_pictures_say_what_they_show_and_their_figures_can_be_read() -> None:
    figures = read(sample_document()).all("figure")
    assert len(figures) == 4
    for figure in figures:
        (svg,) = figure.all("svg")
        assert svg.attributes["role"] == "img"
        assert svg.all("title")[0].text()
        assert len(svg.all("desc")[0].text()) > 40
        assert figure.all("details")[0].all("table")


def test_language_paper_and_direction_follow_the_document() -> None:
    arabic = replace(sample_document(), language="ar")
    assert read(arabic).all("html")[0].attributes == {"lang": "ar", "dir": "rtl"}
    assert "size: letter" in render_html(sample_document(units="us"))
    assert "size: A4" in render_html(sample_document())


def test_same_document_same_page() -> None:
    assert render_html(sample_document()) == render_html(sample_document())
