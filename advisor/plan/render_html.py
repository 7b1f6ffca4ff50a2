"""A document as one self-contained web page: no network, no script, for a phone, a screen and a printer."""

from __future__ import annotations

import datetime as dt
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from html import escape
from itertools import groupby
from pathlib import Path

from advisor.plan.chart_data import chart_table
from advisor.plan.charts import chart_svg
from advisor.plan.document import (
    Block,
    CautionBox,
    Cell,
    Chart,
    Column,
    Document,
    FillIn,
    Paragraph,
    Points,
    Section,
    Sheet,
    Table,
)
from advisor.plan.writing import Units, cell_text, clean, column_title, date_text, display_width, label

__all__ = ["render_html"]

_PHONE_COLUMNS = 36
"""About how many letters of table text stand side by side at 320 px."""
_LONG_CELL = 30
_RIGHT_TO_LEFT = ("ar", "dv", "fa", "he", "ps", "ur", "yi")


def render_html(document: Document) -> str:
    """The page. Every text is escaped; colours, pictures and type are all inside."""
    return "".join(_Page(document).lines())


def _text(text: str) -> str:
    return escape(clean(text))


class _Page:
    """One drawing of one document; it hands out ids so that none is used twice."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.units: Units = document.units
        self.ids: Counter[str] = Counter()

    def id(self, wanted: str) -> str:
        plain = re.sub(r"[^a-z0-9_-]+", "-", clean(wanted).lower()).strip("-") or "part"
        plain = plain if plain[0].isalpha() else f"part-{plain}"
        self.ids[plain] += 1
        return plain if self.ids[plain] == 1 else self.id(f"{plain}-{self.ids[plain]}")

    def lines(self) -> Iterator[str]:
        page = self.document
        language = re.sub(r"[^A-Za-z0-9-]", "", page.language) or "en"
        direction = "rtl" if language.split("-")[0].lower() in _RIGHT_TO_LEFT else "ltr"
        title = " – ".join(part for part in (_text(page.title), _text(page.farm)) if part)
        style = Path(__file__).with_name("style.css").read_text(encoding="utf-8")
        size = "letter" if page.units == "us" else "A4"
        self.ids["main"] += 1
        yield f'<!DOCTYPE html>\n<html lang="{language}" dir="{direction}">\n<head>\n<meta charset="utf-8">\n'
        yield '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        yield '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
        yield "style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'\">\n"
        yield f"<title>{title or label('no_value')}</title>\n"
        yield f"<style>\n{style}@page {{ size: {size}; }}\n</style>\n</head>\n<body>\n"
        yield f'<a class="skip" href="#main">{label("skip")}</a>\n'
        yield f"<header>\n<h1>{_text(page.title) or label('no_value')}</h1>\n"
        if clean(page.subtitle):
            yield f'<p class="lead">{_text(page.subtitle)}</p>\n'
        farm = f"{label('for_farm')}: <bdi>{_text(page.farm)}</bdi><br>" if clean(page.farm) else ""
        made = self.date(page.date, short=False)
        yield f'<p class="facts">{farm}{label("made_on")}: {made}</p>\n</header>\n'
        parts: list[tuple[str, Section | Sheet]] = (
            [] if page.sheet is None else [(self.id("sheet"), page.sheet)]
        )
        parts += [(self.id(section.id), section) for section in page.sections]
        if len(parts) > 1:
            contents = self.id("contents")
            yield f'<nav aria-labelledby="{contents}">\n<h2 id="{contents}">{label("contents")}</h2>\n<ul>\n'
            for key, part in parts:
                yield f'<li><a href="#{key}">{_text(part.title) or label("no_value")}</a></li>\n'
            yield "</ul>\n</nav>\n"
        yield '<main id="main" tabindex="-1">\n'
        for key, part in parts:
            kind = ' class="sheet"' if isinstance(part, Sheet) else ""
            yield f'<section id="{key}"{kind}>\n'
            yield f"<h2>{_text(part.title) or label('no_value')}</h2>\n"
            yield from self.blocks(part.blocks)
            yield "</section>\n"
        yield "</main>\n</body>\n</html>\n"

    def blocks(self, blocks: Sequence[Block]) -> Iterator[str]:
        for are_charts, run in groupby(blocks, lambda block: isinstance(block, Chart)):
            if are_charts:
                yield '<div class="charts">\n'
            for block in run:
                yield self.block(block)
            if are_charts:
                yield "</div>\n"

    def block(self, block: Block) -> str:
        match block:
            case Paragraph(text, "reason" | "source" as role):
                return (
                    f'<p class="{role}"><strong>{label(role)}:</strong> {_text(text)}</p>\n'
                    if clean(text)
                    else ""
                )
            case Paragraph(text, role):
                return f'<p class="{role}">{_text(text)}</p>\n' if clean(text) else ""
            case Points(items, ordered):
                kind = "ol" if ordered else "ul"
                return f"<{kind}>\n{_items(items)}</{kind}>\n" if items else ""
            case Table():
                return self.table(block)
            case CautionBox():
                return _caution(block)
            case Chart():
                return self.chart(block)
            case FillIn():
                return self.form(block)

    def date(self, date: dt.date, short: bool) -> str:
        return f'<time datetime="{date.isoformat()[:10]}">{date_text(date, self.units, short)}</time>'

    def cell(self, cell: Cell) -> str:
        return (
            self.date(cell, short=True) if isinstance(cell, dt.date) else escape(cell_text(cell, self.units))
        )

    def table(self, table: Table) -> str:
        """A table with a caption and scoped headers; on a phone a wide one becomes cards."""
        cards = _too_wide(table, self.units)

        def role(name: str) -> str:
            # Cards are laid out as blocks, which would take the table's meaning away without these.
            return f' role="{name}"' if cards else ""

        key = self.id(f"table-{table.id}")
        caption = f'<caption id="{key}">{_text(table.caption)}</caption>\n' if clean(table.caption) else ""
        named = f'aria-labelledby="{key}"' if caption else f'aria-label="{_text(table.id)}"'
        heads = "".join(_head(column, role("columnheader"), role("cell")) for column in table.columns)
        rows = []
        for row in table.rows:
            cells = ""
            for at, (column, cell) in enumerate(zip(table.columns, row, strict=True)):
                text = self.cell(cell)
                if at == 0 and text:
                    cells += f'<th scope="row"{role("rowheader")}{_side(column)}>{text}</th>'
                else:
                    head = f' data-head="{escape(column_title(column))}"' if cards else ""
                    cells += f"<td{role('cell')}{head}{_side(column)}>{text}</td>"
            rows.append(f"<tr{role('row')}>{cells}</tr>\n")
        kind = ' class="cards"' if cards else ""
        return (
            f'<div class="scroll" role="group" tabindex="0" {named}>\n'
            f"<table{kind}{role('table')}>\n{caption}"
            f"<thead{role('rowgroup')}><tr{role('row')}>{heads}</tr></thead>\n"
            f"<tbody{role('rowgroup')}>\n{''.join(rows)}</tbody>\n</table>\n</div>\n"
        )

    def chart(self, chart: Chart) -> str:
        key = self.id(f"chart-{chart.id}")
        data = chart_table(chart)
        figures = ""
        if data.rows:
            figures = f"<details><summary>{label('figures_of')}</summary>\n{self.table(data)}</details>\n"
        return (
            f'<figure id="{key}">\n<figcaption>{_text(chart.title)}</figcaption>\n'
            f"{chart_svg(chart, f'{key}-')}<p>{_text(chart.alt)}</p>\n{figures}</figure>\n"
        )

    def form(self, form: FillIn) -> str:
        html = f"<h3>{_text(form.title)}</h3>\n" if clean(form.title) else ""
        if form.labels:
            lines = (f'<li>{_text(text)}: <span class="blank"></span></li>\n' for text in form.labels)
            html += f'<ul class="form">\n{"".join(lines)}</ul>\n'
        if form.columns:
            heads = "".join(_head(Column(text), "", "") for text in form.columns)
            blank = f"<tr>{'<td></td>' * len(form.columns)}</tr>\n" * form.rows
            html += (
                f'<div class="scroll" role="group" tabindex="0" aria-label="{_text(form.title)}">\n'
                f'<table class="log">\n<thead><tr>{heads}</tr></thead>\n'
                f"<tbody>\n{blank}</tbody>\n</table>\n</div>\n"
            )
        return html


def _items(items: Sequence[str]) -> str:
    return "".join(f"<li>{_text(item)}</li>\n" for item in items)


def _caution(box: CautionBox) -> str:
    html = f'<div class="caution {box.severity}">\n<h3>{label(box.severity)}: {_text(box.title)}</h3>\n'
    html += f"<p>{_text(box.danger)}</p>\n" if clean(box.danger) else ""
    if box.do:
        html += f'<p class="do">{label("what_to_do")}:</p>\n<ul>\n{_items(box.do)}</ul>\n'
    if clean(box.call):
        html += f"<p><strong>{label('call')}:</strong> {_text(box.call)}</p>\n"
    return html + "</div>\n"


def _head(column: Column, role: str, empty_role: str) -> str:
    title = escape(column_title(column))
    # A header without words would be announced as nothing at all.
    return f'<th scope="col"{role}{_side(column)}>{title}</th>' if title else f"<td{empty_role}></td>"


def _side(column: Column) -> str:
    return ' class="number"' if column.align == "right" else ""


def _too_wide(table: Table, units: Units) -> bool:
    """Whether a phone has no room for the table side by side, or only for columns of single words."""
    columns = [
        [column_title(column), *(cell_text(row[at], units) for row in table.rows)]
        for at, column in enumerate(table.columns)
    ]
    if len(columns) > 3 and any(
        display_width(cell) > _LONG_CELL for column in columns for cell in column[1:]
    ):
        return True
    dates = [any(isinstance(row[at], dt.date) for row in table.rows) for at in range(len(columns))]
    # Dates are kept on one line.
    pieces = [
        [piece for cell in column for piece in ([cell] if whole else cell.split())]
        for column, whole in zip(columns, dates, strict=True)
    ]
    return sum(1 + max(map(display_width, words), default=0) for words in pieces) > _PHONE_COLUMNS
