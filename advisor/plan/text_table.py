"""Tables as plain text: side by side where they fit, else one short list a row."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from advisor.plan.document import Table
from advisor.plan.writing import cell_text, column_title, display_width, wrap

__all__ = ["empty_table_lines", "table_lines"]

_GAP = "  "
_NARROW = 14
"""A column of words is never squeezed below this; a table that would need it becomes a list."""


def table_lines(table: Table, width: int, units: Literal["metric", "us"]) -> list[str]:
    """The table without its caption, in lines no wider than `width`."""
    heads = [column_title(column) for column in table.columns]
    rows = [[cell_text(cell, units) for cell in row] for row in table.rows]
    right = [column.align == "right" for column in table.columns]
    widths = _fit(heads, rows, width)
    if widths is None:
        return _list_lines(heads, rows, width)
    lines = _row_lines(heads, widths, right, at_foot=True)
    lines.append(_GAP.join("-" * column for column in widths))
    tall = [_row_lines(row, widths, right) for row in rows]
    spaced = any(len(row) > 1 for row in tall)
    for at, row in enumerate(tall):
        if spaced and at:
            lines.append("")
        lines += row
    return lines


def empty_table_lines(heads: Sequence[str], rows: int, width: int) -> list[str]:
    """A grid to fill in by hand."""
    if not heads:
        return []
    column = (width - 1) // len(heads) - 1
    if column < 6:
        return [line for _ in range(rows) for head in heads for line in [_blank(head, width), ""]]
    rule = "+" + "+".join("-" * column for _ in heads) + "+"
    cells = [wrap(head, column - 1) for head in heads]
    tall = max(len(cell) for cell in cells)
    head_lines = [
        "|" + "|".join(_pad(" " + (cell[at] if at < len(cell) else ""), column) for cell in cells) + "|"
        for at in range(tall)
    ]
    blank = "|" + "|".join(" " * column for _ in heads) + "|"
    return [rule, *head_lines, rule, *[line for _ in range(rows) for line in (blank, rule)]]


def _blank(head: str, width: int) -> str:
    return f"{head}: " + "_" * max(8, width - display_width(head) - 2)


def _fit(heads: Sequence[str], rows: Sequence[Sequence[str]], width: int) -> list[int] | None:
    """Column widths that fit, squeezing the widest columns first; None where the words would not fit."""
    columns = list(zip(heads, *rows, strict=True))
    widths = [max(display_width(text) for text in column) for column in columns]
    least = [
        max(
            min(_NARROW, wide),
            max((display_width(word) for text in column for word in text.split()), default=0),
        )
        for column, wide in zip(columns, widths, strict=True)
    ]
    room = width - len(_GAP) * (len(widths) - 1)
    if sum(least) > room:
        return None
    while sum(widths) > room:
        widest = max(
            (at for at in range(len(widths)) if widths[at] > least[at]),
            key=lambda at: widths[at] - least[at] / 2,
        )
        widths[widest] -= 1
    return widths


def _row_lines(
    cells: Sequence[str], widths: Sequence[int], right: Sequence[bool], at_foot: bool = False
) -> list[str]:
    wrapped = [wrap(cell, wide) for cell, wide in zip(cells, widths, strict=True)]
    tall = max((len(cell) for cell in wrapped), default=1) or 1
    if at_foot:
        wrapped = [[""] * (tall - len(cell)) + cell for cell in wrapped]
    return [
        _GAP.join(
            _pad(cell[at] if at < len(cell) else "", wide, to_right)
            for cell, wide, to_right in zip(wrapped, widths, right, strict=True)
        ).rstrip()
        for at in range(tall)
    ]


def _pad(text: str, width: int, to_right: bool = False) -> str:
    space = " " * max(0, width - display_width(text))
    return space + text if to_right else text + space


def _list_lines(heads: Sequence[str], rows: Sequence[Sequence[str]], width: int) -> list[str]:
    lines: list[str] = []
    for row in rows:
        if lines:
            lines.append("")
        for at, (head, cell) in enumerate(zip(heads, row, strict=True)):
            mark = "* " if at == 0 else "  "
            first, *rest = wrap(f"{head}: {cell}", width - 4) or [f"{head}:"]
            lines.append(mark + first)
            lines += ["    " + line for line in rest]
    return lines
