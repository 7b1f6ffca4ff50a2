"""A document as plain text, for a terminal, a message or a printer without frills."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.plan.chart_data import axis_unit, chart_table, mark_text
from advisor.plan.document import (
    Block,
    CautionBox,
    Chart,
    Document,
    FillIn,
    Paragraph,
    Points,
    Table,
)
from advisor.plan.text_table import empty_table_lines, table_lines
from advisor.plan.writing import Units, clean, date_text, display_width, label, wrap

__all__ = ["render_text"]

_BAR_WIDTH = 20


def render_text(document: Document, width: int = 78) -> str:
    """The whole document in lines no wider than `width` (at least 40)."""
    width = max(40, width)
    lines = [*_title(document.title, "=", width)]
    for text in (
        document.subtitle,
        f"{label('for_farm')}: {document.farm}" if clean(document.farm) else "",
        f"{label('made_on')}: {date_text(document.date, document.units)}",
    ):
        lines += wrap(clean(text), width)
    parts = [(part.title, part.blocks) for part in (document.sheet, *document.sections) if part is not None]
    for title, blocks in parts:
        lines += ["", "", *_title(title, "-", width)]
        lines += _blocks(blocks, width, document.units)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _title(text: str, rule: str, width: int) -> list[str]:
    lines = wrap(clean(text), width) or [label("no_value")]
    return [*lines, rule * max(display_width(line) for line in lines)]


def _blocks(blocks: Sequence[Block], width: int, units: Units) -> list[str]:
    lines: list[str] = []
    for block in blocks:
        drawn = _block(block, width, units)
        if drawn:
            # A reason or a source stands close under what it explains.
            close = isinstance(block, Paragraph) and block.role in ("reason", "source") and lines
            lines += drawn if close else ["", *drawn]
    return lines


def _block(block: Block, width: int, units: Units) -> list[str]:
    match block:
        case Paragraph(text, "reason" | "source" as role):
            return _hanging(f"{label(role)}: ", clean(text), width, "    ") if clean(text) else []
        case Paragraph(text):
            return wrap(clean(text), width)
        case Points(items, ordered):
            return _points(items, ordered, width)
        case Table():
            return [*wrap(clean(block.caption), width), "", *table_lines(block, width, units)]
        case CautionBox():
            return _caution(block, width)
        case Chart():
            return _chart(block, width, units)
        case FillIn():
            return _fill_in(block, width)


def _hanging(mark: str, text: str, width: int, indent: str = "") -> list[str]:
    """Text under a mark, later lines set in as far as the mark is wide (but no further than 8)."""
    inner = " " * min(8, display_width(mark))
    first, *rest = wrap(mark.strip() + " " + text, width - len(indent) - len(inner)) or [mark]
    return [indent + first, *[indent + inner + line for line in rest]]


def _points(items: Sequence[str], ordered: bool, width: int) -> list[str]:
    return [
        line
        for at, item in enumerate(items, 1)
        for line in _hanging(f"{at}. " if ordered else "- ", clean(item), width)
    ]


def _caution(box: CautionBox, width: int) -> list[str]:
    lines = [*_hanging("! ", f"{label(box.severity)}: {clean(box.title)}", width)]
    lines += ["! " + line for line in wrap(clean(box.danger), width - 2)]
    if box.do:
        lines.append(f"! {label('what_to_do')}:")
        lines += ["! " + line for line in _points(box.do, False, width - 2)]
    if clean(box.call):
        lines += ["! " + line for line in wrap(f"{label('call')}: {clean(box.call)}", width - 2)]
    return [line if line.startswith("!") else "!" + line[1:] for line in lines]


def _chart(chart: Chart, width: int, units: Units) -> list[str]:
    lines = [*wrap(clean(chart.title), width), *wrap(clean(chart.alt), width)]
    if chart.bars:
        names = [clean(bar.label) for bar in chart.bars]
        widest = min(max(display_width(name) for name in names), width - _BAR_WIDTH - 9)
        most = max((bar.share for bar in chart.bars), default=0) or 1
        lines.append("")
        for name, bar in zip(names, chart.bars, strict=True):
            *above, last = wrap(name, widest) or [""]
            drawn = "#" * round(_BAR_WIDTH * bar.share / most)
            share = f"{100 * bar.share:.0f} %"
            lines += [*above, last + " " * (widest - display_width(last)) + f"  {share:>5}  {drawn}"]
        return lines
    for mark in chart.marks:
        lines += _hanging("- ", clean(mark_text(mark, axis_unit(chart.y_label))), width)
    if chart.lines:
        lines += ["", *table_lines(chart_table(chart), width, units)]
    return lines


def _fill_in(form: FillIn, width: int) -> list[str]:
    lines = [*wrap(clean(form.title), width)]
    for text in form.labels:
        *above, last = wrap(clean(text), width - 12) or [""]
        lines += ["", *above, f"{last}: " + "_" * (width - display_width(last) - 2)]
    if form.columns:
        lines += ["", *empty_table_lines([clean(head) for head in form.columns], form.rows, width)]
    return lines
