"""What a chart shows, as a short table: for readers who do not see the picture, and for plain text."""

from __future__ import annotations

import datetime as dt
import math

from advisor.plan.document import Cell, Chart, Column, Line, Mark, Table
from advisor.plan.writing import label, number_text

__all__ = ["axis_unit", "chart_table", "mark_text", "rounded"]


def rounded(value: float, figures: int = 3) -> float:
    """A value to so many significant figures: a picture holds no more."""
    if not math.isfinite(value) or value == 0:
        return value
    return round(value, figures - 1 - math.floor(math.log10(abs(value))))


def mark_text(mark: Mark, unit: str = "") -> str:
    """A level or band of a chart in words.

    >>> mark_text(Mark("Gate", 1.2), "m"), mark_text(Mark("Goal", 25, 30))
    ('Gate: 1.2 m', 'Goal: 25 to 30')
    """
    end = f" {label('to')} {number_text(rounded(mark.to))}" if mark.to is not None else ""
    return f"{mark.label}: {number_text(rounded(mark.at))}{end}" + (f" {unit}" if unit else "")


def chart_table(chart: Chart, most: int = 9) -> Table:
    """At most `most` points of each line, first and last always among them; or every bar."""
    caption = f"{label('figures_of')}: {chart.title}"
    if chart.bars:
        columns = (
            Column(chart.y_label or chart.title),
            Column(chart.x_label or label("share"), "%", "right"),
        )
        bars = tuple((bar.label, rounded(100 * bar.share, 2)) for bar in chart.bars)
        return Table(chart.id, caption, columns, bars)
    heads: list[Column] = [Column(chart.x_label)]
    for line in chart.lines:
        heads.append(Column(line.label, axis_unit(chart.y_label), "right"))
        if line.low and line.high:
            heads.append(Column(f"{line.label}, {label('range')}", axis_unit(chart.y_label)))
    at = sorted({x for line in chart.lines for x in line.x}, key=_place)
    rows = tuple((x, *(cell for line in chart.lines for cell in _cells(line, x))) for x in _spread(at, most))
    return Table(chart.id, caption, tuple(heads), rows)


def _place(x: float | dt.date) -> float:
    return x.toordinal() if isinstance(x, dt.date) else x


def axis_unit(axis: str) -> str:
    """The unit of an axis titled `Depth (m)`, or nothing where none stands in brackets."""
    return axis.rpartition("(")[2].removesuffix(")") if axis.endswith(")") else ""


def _spread(items: list[float | dt.date], most: int) -> list[float | dt.date]:
    if len(items) <= most:
        return items
    return [items[round(at * (len(items) - 1) / (most - 1))] for at in range(most)]


def _cells(line: Line, x: float | dt.date) -> tuple[Cell, ...]:
    wide = bool(line.low and line.high)
    if x not in line.x:
        return (None, None) if wide else (None,)
    at = line.x.index(x)
    value = rounded(line.y[at])
    if not wide:
        return (value,)
    return value, f"{number_text(rounded(line.low[at]))} {label('to')} {number_text(rounded(line.high[at]))}"
