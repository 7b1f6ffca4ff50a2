"""A document as PDF through typst: tagged, checked against PDF/UA-1 as it is written, the same bytes every time."""

from __future__ import annotations

import calendar
import datetime as dt
import json
import re
import tempfile
from collections.abc import Sequence
from itertools import groupby, pairwise
from pathlib import Path
from typing import Any

from advisor.plan.charts import chart_svg
from advisor.plan.document import (
    Block,
    CautionBox,
    Cell,
    Chart,
    Document,
    FillIn,
    Paragraph,
    Points,
    Section,
    Sheet,
    Table,
)
from advisor.plan.fonts import STAND_IN, Face, faces_for, lay_out
from advisor.plan.writing import Units, cell_text, clean, column_title, date_text, display_width, label

__all__ = ["PdfError", "render_pdf"]

_LABELS = (
    "fatal", "serious", "nuisance", "what_to_do", "call", "reason", "source", "for_farm", "made_on", "page", "page_of",
)  # fmt: skip
_MOST_PAGES = 8
_SETTINGS = (
    {"size": 8.7, "picture_width": 100, "caution_size": 1.0, "tight": False},
    {"size": 8.5, "picture_width": 85, "caution_size": 0.94, "tight": False},
    {"size": 8.5, "picture_width": 75, "caution_size": 0.94, "tight": True},
)
# A word this long would run off the paper; a space of no width lets it break. East Asian text breaks anyway.
_LONG_WORD = re.compile(r"[^\s/?&=\-\u2e80-\uffff]{40,}")
_WIDE_COLUMN = 20
"""A column of words longer than this shares the free width; shorter ones take what they need."""

_HALF_PAGE = 62
"""About as many letters of a table fit side by side on half a page."""


class PdfError(Exception):
    """The PDF could not be made, or would not be accessible; says why."""


def render_pdf(document: Document) -> bytes:
    """The PDF: A4 or US Letter by the document's units, the sheet for the shed door as page one.

    What would be more than eight pages is set a little smaller, and then closer together.
    """
    data = _data(document)
    faces, missing = faces_for(_as_json(data) + STAND_IN)
    if len(faces) > 1:
        # The drawer of pictures mixes typefaces within a word; outlines leave it nothing to choose.
        data = _data(document, faces)
    if missing:
        data["notice"] = label("missing_glyphs")
    data["fonts"] = [face.family for face in faces]
    with tempfile.TemporaryDirectory(prefix="byrewise-fonts-") as folder:
        lay_out(faces, Path(folder))
        for setting in _SETTINGS:
            if setting["tight"]:
                data = {**data, "sections": [_shorter(section) for section in data["sections"]]}
            text = _as_json({**data, **setting}).translate({ord(letter): STAND_IN for letter in missing})
            drawn = _compiled(text, folder, document.date)
            if _pages(drawn) <= _MOST_PAGES:
                break
    return drawn


def _shorter(section: dict[str, Any]) -> dict[str, Any]:
    """The section with what is told of each thing in one row, and without bars: a list beside them says the same."""
    kept = [block for block in section["blocks"] if not _only_bars(block)]
    return {**section, "blocks": [_joined_table(block) for block in kept]}


def _only_bars(block: dict[str, Any]) -> bool:
    return block["kind"] == "charts" and all(chart["bars"] for chart in block["items"])


def _joined_table(block: dict[str, Any]) -> dict[str, Any]:
    if block.get("id") == "assumed":
        rows = [[f"{fact} ({of})" if of else fact, *rest] for fact, of, *rest in block["rows"]]
        heads, right = [[cells[0], *cells[2:]] for cells in (block["heads"], block["right"])]
        return {**block, "heads": heads, "rows": rows, "right": right, "widths": [5, 3, 2], "narrow": False}
    if block.get("id") != "told":
        return block
    told: dict[str, list[str]] = {}
    for fact, of, value in block["rows"]:
        told.setdefault(of, []).append(f"{fact}: {value}")
    fact, of, _ = block["heads"]
    rows = [[of, "; ".join(facts)] for of, facts in told.items()]
    return {
        **block,
        "heads": [of, fact],
        "rows": rows,
        "right": [False, False],
        "widths": [1, 3],
        "narrow": False,
    }


def _compiled(text: str, fonts: str, date: dt.date) -> bytes:
    import typst

    try:
        drawn: bytes = typst.compile(
            str(Path(__file__).with_name("template.typ")),
            format="pdf",
            sys_inputs={"document": text},
            font_paths=[fonts],
            ignore_system_fonts=True,
            pdf_standards=["ua-1"],
            timestamp=calendar.timegm(date.timetuple()),
        )
    except typst.TypstError as fault:
        raise PdfError(f"the PDF could not be made: {fault}") from fault
    return drawn


def _pages(drawn: bytes) -> int:
    """How many pages it has, by the count in its page tree."""
    found = re.search(rb"/Type\s*/Pages\s*/Count\s+(\d+)", drawn)
    return int(found[1]) if found else 0


def _as_json(data: dict[str, Any]) -> str:
    return json.dumps(data, ensure_ascii=False)


def _data(document: Document, outlined: tuple[Face, ...] = ()) -> dict[str, Any]:
    """Everything the template places, as plain strings; with faces given, charts hold outlines of them."""
    language, _, region = re.sub(r"[^A-Za-z-]", "", document.language).partition("-")
    farm, title = _line(document.farm), _line(document.title) or label("no_value")
    parts: list[Section | Sheet] = [
        *([document.sheet] if document.sheet is not None else []),
        *document.sections,
    ]
    drawn = [_part(part, document.units, outlined) for part in parts]
    date = date_text(document.date, document.units)
    return {
        "name": clean(document.title) or label("no_value"),
        "title": title,
        "subtitle": _line(document.subtitle),
        "farm": farm,
        "date": date,
        "footer": " · ".join(text for text in (_short(farm), _short(title), date) if text),
        "notice": "",
        "language": language.lower() or "en",
        "region": region.upper() if len(region) == 2 else None,
        "paper": "us-letter" if document.units == "us" else "a4",
        "words": {name: label(name) for name in _LABELS},
        "sheet": drawn[0] if document.sheet is not None else None,
        "sections": drawn[1:] if document.sheet is not None else drawn,
    }


def _short(text: str, most: int = 60) -> str:
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def _part(part: Section | Sheet, units: Units, outlined: tuple[Face, ...]) -> dict[str, Any]:
    blocks: list[dict[str, Any]] = []
    # Charts, and cautions, that follow each other are laid out together.
    for kind, run in groupby(part.blocks, lambda block: type(block)):
        items = [drawn for block in run if (drawn := _block(block, units, outlined)) is not None]
        group = {Chart: "charts", CautionBox: "cautions"}.get(kind)
        blocks += [{"kind": group, "items": items}] if group else items
    for block, after in pairwise(blocks):
        if block["kind"] == "paragraph":
            block["leads_in"] = after["kind"] in ("table", "charts", "form", "cautions", "points")
    return {"title": _line(part.title) or label("no_value"), "blocks": blocks}


def _block(block: Block, units: Units, outlined: tuple[Face, ...]) -> dict[str, Any] | None:
    match block:
        case Paragraph(text, role):
            drawn = {"kind": "paragraph", "role": role, "text": _line(text), "leads_in": False}
            return drawn if drawn["text"] else None
        case Points(items, ordered):
            return {"kind": "points", "ordered": ordered, "items": _cleaned(items)} if items else None
        case Table():
            return _table(block, units)
        case CautionBox(title, severity, danger, do, call):
            return {
                "kind": "caution",
                "title": _line(title),
                "severity": severity,
                "danger": _line(danger),
                "do": _cleaned(do),
                "call": _line(call),
            }
        case Chart():
            alt = clean(block.alt) or clean(block.title) or label("no_value")
            return {
                "kind": "chart",
                "bars": bool(block.bars),
                "title": _line(block.title),
                "alt": alt,
                "words": _line(alt),
                "svg": chart_svg(block, outlined=outlined),
            }
        case FillIn(title, labels, columns, rows):
            return {
                "kind": "form",
                "title": _line(title),
                "labels": _cleaned(labels),
                "columns": _cleaned(columns),
                "rows": rows,
            }


def _line(text: str) -> str:
    return _LONG_WORD.sub(lambda word: "\u200b".join(re.findall(".{1,20}", word[0])), clean(text))


def _cleaned(texts: Sequence[str]) -> list[str]:
    return [_line(text) for text in texts]


def _cell(cell: Cell, units: Units) -> str:
    text = _line(cell_text(cell, units))
    return text.replace(" ", "\u00a0") if isinstance(cell, dt.date) else text  # a date stays on one line


def _table(table: Table, units: Units) -> dict[str, Any]:
    heads = [_line(column_title(column)) for column in table.columns]
    rows = [[_cell(cell, units) for cell in row] for row in table.rows]
    longest = [max(map(display_width, column)) for column in zip(heads, *rows, strict=True)]
    return {
        "kind": "table",
        "id": table.id,
        "caption": _line(table.caption),
        "heads": heads,
        "rows": rows,
        "right": [column.align == "right" for column in table.columns],
        "narrow": sum(min(long, _WIDE_COLUMN + 4) + 2 for long in longest) <= _HALF_PAGE,
        "widths": [0 if long <= _WIDE_COLUMN else min(long, 3 * _WIDE_COLUMN) for long in longest],
    }
