"""Every table of a plan as a CSV file (RFC 4180), safe to open in a spreadsheet."""

from __future__ import annotations

import csv
import datetime as dt
import io
import re
from collections.abc import Iterator

from advisor.plan.document import Cell, Document, Table
from advisor.plan.writing import clean, column_title, label, number_text

__all__ = ["render_csv"]

# What makes a spreadsheet read a cell as a formula (OWASP, "CSV Injection"), wide forms included.
_FORMULA = re.compile(r"^[=+\-@＝＋－＠]")
_NUMBER = re.compile(r"^[+-]?\d+(\.\d+)?$")


def render_csv(document: Document) -> dict[str, str]:
    """File name to text, one file a table, in the order of the plan. Units stand in the headers."""
    files: dict[str, str] = {}
    for table in _tables(document):
        name = re.sub(r"[^a-z0-9_-]+", "_", clean(table.id).lower()).strip("_") or "table"
        unique, at = name, 2
        while f"{unique}.csv" in files:
            unique, at = f"{name}_{at}", at + 1
        files[f"{unique}.csv"] = _text(table)
    return files


def _tables(document: Document) -> Iterator[Table]:
    for part in (document.sheet, *document.sections):
        if part is not None:
            yield from (block for block in part.blocks if isinstance(block, Table))


def _text(table: Table) -> str:
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([_safe(column_title(column)) for column in table.columns])
    writer.writerows([_cell(cell) for cell in row] for row in table.rows)
    return out.getvalue()


def _cell(cell: Cell) -> str:
    match cell:
        case None:
            return ""
        case bool():
            return label("yes" if cell else "no")
        case int() | float():
            text = number_text(cell, grouped=False)
            return "" if text == label("no_value") else text
        case dt.date():
            return cell.isoformat()[:10]
        case str():
            return _safe(clean(cell))


def _safe(text: str) -> str:
    """A text that looks like a formula gets an apostrophe in front; a plain number stays one."""
    return "'" + text if _FORMULA.match(text) and not _NUMBER.match(text) else text
