"""A document as plain CommonMark. Tables are no part of CommonMark, so they stand as aligned text."""

from __future__ import annotations

import re
from collections.abc import Sequence

from advisor.plan.chart_data import axis_unit, chart_table, mark_text
from advisor.plan.document import Block, CautionBox, Chart, Document, FillIn, Paragraph, Points, Table
from advisor.plan.text_table import empty_table_lines, table_lines
from advisor.plan.writing import Units, clean, date_text, label

__all__ = ["render_markdown"]

_TABLE_WIDTH = 96
_ANYWHERE = re.compile(r"([\\`*_\[\]<>&~|#])")
_START_SIGN = re.compile(r"^([-+=])")
_START_NUMBER = re.compile(r"^(\d{1,9})([.)])")
_BLANK = "…" * 12


def render_markdown(document: Document) -> str:
    """The whole document; every text of the user's stands as it was written."""
    parts = [f"# {_escape(document.title)}"]
    if clean(document.subtitle):
        parts.append(_escape(document.subtitle))
    made = f"{label('made_on')}: {date_text(document.date, document.units)}"
    farm = f"{label('for_farm')}: {_bold(document.farm)}  \n" if clean(document.farm) else ""
    parts.append(farm + made)
    for part in (document.sheet, *document.sections):
        if part is not None:
            parts.append(f"## {_escape(part.title)}")
            parts += [text for block in part.blocks if (text := _block(block, document.units))]
    return "\n\n".join(parts) + "\n"


def _escape(text: str) -> str:
    """Text in which no character means anything to Markdown."""
    escaped = _ANYWHERE.sub(r"\\\1", clean(text))
    return _START_NUMBER.sub(r"\1\\\2", _START_SIGN.sub(r"\\\1", escaped))


def _bold(text: str) -> str:
    return f"**{_escape(text)}**" if clean(text) else ""


def _block(block: Block, units: Units) -> str:
    match block:
        case Paragraph(text, "reason" | "source" as role):
            return f"*{label(role)}:* {_escape(text)}" if clean(text) else ""
        case Paragraph(text):
            return _escape(text)
        case Points(items, ordered):
            return _points(items, ordered)
        case Table():
            return f"{_bold(block.caption)}\n\n{_fence(table_lines(block, _TABLE_WIDTH, units))}".lstrip("\n")
        case CautionBox():
            return _caution(block)
        case Chart():
            return _chart(block, units)
        case FillIn():
            return _fill_in(block)


def _points(items: Sequence[str], ordered: bool) -> str:
    return "\n".join(f"{f'{at}.' if ordered else '-'} {_escape(item)}" for at, item in enumerate(items, 1))


def _fence(lines: Sequence[str]) -> str:
    """Lines shown as they are; the fence is longer than any run of backticks inside."""
    longest = max((len(run) for line in lines for run in re.findall("`+", line)), default=0)
    fence = "`" * max(3, longest + 1)
    return "\n".join([f"{fence}text", *lines, fence])


def _caution(box: CautionBox) -> str:
    parts = [f"**{label(box.severity)}: {_escape(box.title)}**", _escape(box.danger)]
    if box.do:
        parts.append(f"{label('what_to_do')}:\n\n{_points(box.do, False)}")
    if clean(box.call):
        parts.append(f"{label('call')}: {_escape(box.call)}")
    text = "\n\n".join(part for part in parts if part)
    return "\n".join(f"> {line}".rstrip() for line in text.split("\n"))


def _chart(chart: Chart, units: Units) -> str:
    parts = [_bold(chart.title), _escape(chart.alt)]
    if chart.marks:
        parts.append(_points([mark_text(mark, axis_unit(chart.y_label)) for mark in chart.marks], False))
    if chart.lines or chart.bars:
        parts.append(_fence(table_lines(chart_table(chart), _TABLE_WIDTH, units)))
    return "\n\n".join(part for part in parts if part)


def _fill_in(form: FillIn) -> str:
    parts = [_bold(form.title)]
    if form.labels:
        parts.append("\n".join(f"- {_escape(text)}: {_BLANK}" for text in form.labels))
    if form.columns:
        parts.append(
            _fence(empty_table_lines([clean(head) for head in form.columns], form.rows, _TABLE_WIDTH))
        )
    return "\n\n".join(part for part in parts if part)
