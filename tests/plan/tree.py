"""Every text and number of a document, found by walking the tree, for checks on what was drawn."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from typing import Any

from advisor.plan.document import Chart, Document, Table

__all__ = ["blocks", "every_number", "every_text", "tables"]


def blocks(document: Document) -> Iterator[Any]:
    for part in (document.sheet, *document.sections):
        if part is not None:
            yield from part.blocks


def tables(document: Document) -> Iterator[Table]:
    return (block for block in blocks(document) if isinstance(block, Table))


def every_number(document: Document) -> Iterator[float]:
    for table in tables(document):
        for row in table.rows:
            yield from (cell for cell in row if isinstance(cell, (int, float)))


def every_text(document: Document) -> Iterator[str]:
    yield from (document.title, document.subtitle, document.farm)
    for part in (document.sheet, *document.sections):
        if part is not None:
            yield part.title
    for block in blocks(document):
        if isinstance(block, Chart):
            yield from (block.title, block.alt)
        elif isinstance(block, Table):
            yield block.caption
            yield from (cell for row in block.rows for cell in row if isinstance(cell, str))
        else:
            yield from _strings({f.name: getattr(block, f.name) for f in dataclasses.fields(block)})


def _strings(values: dict[str, Any]) -> Iterator[str]:
    for name, value in values.items():
        if name in ("role", "severity"):
            continue
        if isinstance(value, str) and value:
            yield value
        elif isinstance(value, tuple):
            yield from (text for text in value if isinstance(text, str))
