"""The PDF, reopened by pypdf and pypdfium2. Typst has already refused whatever breaks PDF/UA-1."""

from __future__ import annotations

import hashlib
import io
import os
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from pypdf import PdfReader
from pypdf.generic import IndirectObject

from advisor.plan import fonts
from advisor.plan.document import Chart, Document, FillIn, Paragraph, Points, Section, Sheet
from advisor.plan.render_html import render_html
from advisor.plan.render_pdf import render_pdf
from advisor.plan.writing import clean, number_text
from tests.plan.sample_document import (
    HOSTILE_GROUPS,
    LONG_NAME,
    empty_document,
    hostile_document,
    sample_document,
)
from tests.plan.tree import blocks, every_number, every_text


def resolved(thing: Any) -> Any:
    return thing.get_object() if isinstance(thing, IndirectObject) else thing


def structure(node: Any, kinds: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """(kind, alternative text) of every element of the tag tree, in reading order."""
    node = resolved(node)
    if isinstance(node, list):
        for child in node:
            structure(child, kinds)
    elif isinstance(node, dict):
        if "/S" in node:
            kinds.append((str(node["/S"]), str(node.get("/Alt", ""))))
        if "/K" in node:
            structure(node["/K"], kinds)
    return kinds


def page_texts(data: bytes) -> list[str]:
    with pypdfium2.PdfDocument(data) as pdf:
        # Text runs of right-to-left words come back in visual order; only left-to-right ones are looked for.
        return [pdf[at].get_textpage().get_text_bounded() for at in range(len(pdf))]


def squeezed(text: str) -> str:
    return re.sub(r"[\s\u200b\u00ad\ufffe]+", "", text)


@pytest.fixture(scope="module")
def plan() -> bytes:
    return render_pdf(sample_document())


def test_it_is_tagged_titled_and_in_a_language(plan: bytes) -> None:
    reader = PdfReader(io.BytesIO(plan))
    catalog = resolved(reader.trailer["/Root"])
    assert catalog["/Lang"] == "en"
    assert resolved(catalog["/MarkInfo"])["/Marked"]
    assert resolved(catalog["/ViewerPreferences"])["/DisplayDocTitle"]
    assert reader.metadata is not None
    assert reader.metadata.title == "Winter bedding plan"
    # ISO 14289-1, clause 5: the file says of itself that it keeps to part 1.
    assert b"<pdfuaid:part>1</pdfuaid:part>" in resolved(catalog["/Metadata"]).get_data()
    kinds = structure(catalog["/StructTreeRoot"], [])
    names = {kind for kind, _ in kinds}
    assert {"/Title", "/H1", "/H2", "/Table", "/TH", "/TD", "/L", "/LI", "/Figure", "/Caption"} <= names
    heads = [section.title for section in sample_document().sections]
    assert [item.title for item in reader.outline if not isinstance(item, list)] == [
        "On the shed door",
        *heads,
    ]


def test_every_picture_has_its_words(plan: bytes) -> None:
    catalog = resolved(PdfReader(io.BytesIO(plan)).trailer["/Root"])
    alternatives = [
        alt for kind, alt in structure(catalog["/StructTreeRoot"], []) if kind == "/Figure" and alt
    ]
    assert alternatives == [block.alt for block in blocks(sample_document()) if isinstance(block, Chart)]


def test_all_fonts_are_inside(plan: bytes) -> None:
    names = set()
    for page in PdfReader(io.BytesIO(plan)).pages:
        for font in resolved(resolved(page["/Resources"])["/Font"]).values():
            names.add(str(resolved(font)["/BaseFont"]))
            for inner in resolved(resolved(font).get("/DescendantFonts", [font])):
                descriptor = resolved(resolved(inner)["/FontDescriptor"])
                assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(descriptor)
    assert names
    assert all("DejaVuSans" in name for name in names)


@pytest.mark.parametrize(("units", "size"), [("metric", (595.28, 841.89)), ("us", (612.0, 792.0))])
def test_paper_and_length(units: str, size: tuple[float, float]) -> None:
    reader = PdfReader(io.BytesIO(render_pdf(sample_document(units=units))))
    assert 4 <= len(reader.pages) <= 8
    for page in reader.pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(size, abs=0.1)


def test_page_one_is_the_sheet_and_nothing_else(plan: bytes) -> None:
    first, second, *_ = page_texts(plan)
    assert "On the shed door" in first
    assert "Numbers to call" in first
    assert "The plan in short" not in first
    assert "The plan in short" in second


def test_a_long_sheet_shrinks_to_its_page_before_it_runs_over() -> None:
    points = Points(
        tuple(f"Point {at}: look at the bed, the drinker and the animals there." for at in range(45))
    )
    document = replace(empty_document(), sheet=Sheet("Door", (points, FillIn("Call", ("Vet",)))), sections=())
    texts = page_texts(render_pdf(document))
    assert "Point 44" in texts[0]
    assert "Vet" in texts[0]


def test_every_text_and_number_of_the_tree_stands_in_it(plan: bytes) -> None:
    document = sample_document()
    text = " ".join(page_texts(plan))
    folded = squeezed(text)
    for wanted in every_text(document):
        assert squeezed(wanted) in folded
    words = set(re.findall(r"[\w.,-]+", text))
    assert {number_text(number) for number in every_number(document)} <= words


@pytest.mark.slow
@pytest.mark.parametrize("name", [*HOSTILE_GROUPS, LONG_NAME, "Wollgrasmoorweidehof" * 8])
def test_hostile_words_are_printed_as_words(name: str) -> None:
    data = render_pdf(hostile_document(name))
    reader = PdfReader(io.BytesIO(data))
    assert reader.metadata is not None
    assert reader.metadata.title == clean(f"Plan for {name}")
    if not re.search(r"[\u0590-\u06ff]", name):
        assert squeezed(clean(name)) in squeezed(" ".join(page_texts(data)))


@pytest.mark.slow
def test_east_asian_names_are_printed_in_full() -> None:
    data = render_pdf(sample_document("見本農場 한국 示範"))
    text = " ".join(page_texts(data))
    assert "見本農場 한국 示範" in text
    assert "could not be printed" not in text


def test_letters_that_no_font_holds_are_boxes_and_the_page_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    text = " ".join(page_texts(render_pdf(sample_document("Croft \u0915\u0916 (invented)"))))
    assert "Croft □□ (invented)" in text
    assert "could not be printed" in squeezed(text) or "couldnotbeprinted" in squeezed(text)
    monkeypatch.setattr(fonts, "_noto_cjk", lambda: None)
    assert "□□□□ farm" in " ".join(page_texts(render_pdf(sample_document("見本農場 farm"))))


@pytest.mark.parametrize(
    "document",
    [
        empty_document(),
        replace(empty_document(), sections=(Section("s", "", (Paragraph(""), Points(()), FillIn("", ()))),)),
        replace(sample_document(), language="de-CH"),
    ],
    ids=["empty", "empty blocks", "another language"],
)
def test_little_documents_print_too(document: Document) -> None:
    assert len(PdfReader(io.BytesIO(render_pdf(document))).pages) >= 1


@pytest.mark.slow
def test_same_bytes_in_another_process_with_other_hashes(plan: bytes) -> None:
    program = (
        "import hashlib; from tests.plan.sample_document import sample_document as s;"
        "from advisor.plan.render_pdf import render_pdf as p; from advisor.plan.render_html import render_html as h;"
        "print(hashlib.sha256(p(s())).hexdigest(), hashlib.sha256(h(s()).encode()).hexdigest())"
    )
    told = subprocess.run(
        [sys.executable, "-c", program],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONHASHSEED": "4711", "TZ": "Asia/Tokyo", "LC_ALL": "C"},
        cwd=Path(__file__).resolve().parents[2],
    ).stdout.split()
    page = render_html(sample_document())
    assert told == [hashlib.sha256(plan).hexdigest(), hashlib.sha256(page.encode()).hexdigest()]
