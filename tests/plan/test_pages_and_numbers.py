"""How long whole plans are on paper, and that every form of a plan tells the same numbers."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

from advisor.farm import read_farm
from advisor.knowledge import Knowledge
from advisor.plan.as_json import plan_data
from advisor.plan.make import make_plan
from advisor.plan.render_csv import render_csv
from advisor.plan.render_html import render_html
from advisor.plan.render_pdf import render_pdf
from advisor.plan.render_text import render_text
from advisor.plan.results import HEADLINES
from advisor.plan.voice import Voice
from advisor.plan.words import plan_document, units_of
from tests.conftest import DEMO, TODAY

FARMS = [DEMO / f"{name}.yaml" for name in ("rushy_end", "hen_loft", "two_gate_flats")]
LARGEST = Path(__file__).with_name("largest_farm.yaml")


@pytest.mark.slow
@pytest.mark.parametrize("farm", [*FARMS, LARGEST], ids=lambda farm: farm.stem)
def test_a_plan_has_four_to_eight_pages_on_either_paper(farm: Path, known: Knowledge) -> None:
    document = plan_document(make_plan(read_farm(farm, known), known, TODAY, 80))
    for units in ("metric", "us"):
        pages = PdfReader(io.BytesIO(render_pdf(replace(document, units=units)))).pages
        assert 4 <= len(pages) <= 8, units


@pytest.mark.slow
@pytest.mark.parametrize("farm", FARMS, ids=lambda farm: farm.stem)
def test_paper_page_and_text_tell_the_same_headline_numbers(farm: Path, known: Knowledge) -> None:
    plan = make_plan(read_farm(farm, known), known, TODAY, 80)
    document, voice = plan_document(plan), Voice(plan, units_of(plan))
    paper = "".join(page.extract_text() for page in PdfReader(io.BytesIO(render_pdf(document))).pages)
    forms = {
        "text": render_text(document),
        "html": re.sub(r"<[^>]+>", "", render_html(document)),
        "pdf": paper,
    }
    squeezed = {name: re.sub(r"[\s\u00a0\u200b]+", "", text) for name, text in forms.items()}
    told = [voice.result(name) for name in HEADLINES if plan.results.get(name) is not None]
    shown = [re.sub(r"\s+", "", number) for number in told]
    in_text = [number for number in shown if number in squeezed["text"]]
    assert len(in_text) >= 3
    for number in in_text:
        assert number in squeezed["html"], number
        assert number in squeezed["pdf"], number


@pytest.mark.parametrize("farm", FARMS, ids=lambda farm: farm.stem)
def test_the_table_of_a_spreadsheet_holds_the_numbers_of_the_full_record(
    farm: Path, known: Knowledge
) -> None:
    plan = make_plan(read_farm(farm, known), known, TODAY, 20)
    tables = render_csv(plan_document(plan))
    rows = list(csv.DictReader(io.StringIO(tables["schedule.csv"])))
    record = plan_data(plan, trace=False)["bedding"]["schedule"]
    assert len(rows) == len(record) > 0
    pounds = "A week (lb)" in rows[0]
    for row, line in zip(rows, record, strict=True):
        shown = float(row["A week (lb)" if pounds else "A week (kg)"].replace(",", ""))
        held = line["kg_week"] * (2.2046226 if pounds else 1.0)
        assert shown == pytest.approx(held, rel=0.06)  # people are told two figures
        assert (row["From"], row["To"]) == (line["from"], line["to"])
