"""The one document tree from which text, Markdown, HTML, PDF, calendar and CSV are drawn.

Plain data: whoever builds it decides what is said, whoever draws it decides only how it looks.
Text is plain text (no markup of any kind); drawers escape it for their own format.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

__all__ = [
    "Band",
    "Block",
    "CalendarEvent",
    "CautionBox",
    "Cell",
    "Chart",
    "Column",
    "Document",
    "FillIn",
    "Line",
    "Mark",
    "Paragraph",
    "Points",
    "Section",
    "Sheet",
    "Table",
]

Cell = str | float | int | dt.date | None


@dataclass(frozen=True)
class Paragraph:
    """A paragraph of plain text. `role` 'reason' is set smaller, under what it explains."""

    text: str
    role: Literal["lead", "body", "reason", "source"] = "body"


@dataclass(frozen=True)
class Points:
    """A list of short points."""

    items: tuple[str, ...]
    ordered: bool = False


@dataclass(frozen=True)
class Column:
    """A table column. `unit` stands in the header; numbers in the cells are bare."""

    title: str
    unit: str = ""
    align: Literal["left", "right"] = "left"


@dataclass(frozen=True)
class Table:
    """A table. `id` names its CSV file."""

    id: str
    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True)
class CautionBox:
    """A caution with what to do. Never by colour alone: the word of its severity is written out."""

    title: str
    severity: Literal["fatal", "serious", "nuisance"]
    danger: str
    do: tuple[str, ...]
    call: str = ""


@dataclass(frozen=True)
class Line:
    """A line through time or along x, with an optional low to high band."""

    label: str
    x: tuple[float | dt.date, ...]
    y: tuple[float, ...]
    low: tuple[float, ...] = ()
    high: tuple[float, ...] = ()


@dataclass(frozen=True)
class Mark:
    """A level (gate, headroom, limit) drawn across a chart; with `to`, a band (a goal)."""

    label: str
    at: float
    to: float | None = None


@dataclass(frozen=True)
class Band:
    """One bar of a what-matters-most chart."""

    label: str
    share: float


@dataclass(frozen=True)
class Chart:
    """A picture where a keeper would rather look than read. `alt` says in words what it shows."""

    id: str
    title: str
    alt: str
    x_label: str
    y_label: str
    lines: tuple[Line, ...] = ()
    marks: tuple[Mark, ...] = ()
    bars: tuple[Band, ...] = ()


@dataclass(frozen=True)
class FillIn:
    """A form to fill in by hand: labels, or the columns of an empty table with a number of rows."""

    title: str
    labels: tuple[str, ...] = ()
    columns: tuple[str, ...] = ()
    rows: int = 0


Block = Paragraph | Points | Table | CautionBox | Chart | FillIn


@dataclass(frozen=True)
class Section:
    """A titled part. `id` is stable and used for anchors."""

    id: str
    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Sheet:
    """The page for the shed door: what to do each week, what to watch for, whom to call."""

    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class CalendarEvent:
    """A dated all-day task. `key` is stable for the same task, so that a new export updates the old one.

    `end` and `repeat_weekly_until` are the last day that counts, not the day after.
    """

    key: str
    start: dt.date
    title: str
    text: str = ""
    end: dt.date | None = None
    repeat_weekly_until: dt.date | None = None


@dataclass(frozen=True)
class Document:
    """A whole plan on its way to paper, screen or calendar.

    `identity` is what stays the same when the plan is made anew (the name of the case): calendar
    entries are told apart by it, so that two farms may share a calendar. Without it the farm's name serves.
    """

    title: str
    subtitle: str
    farm: str
    date: dt.date
    units: Literal["metric", "us"]
    sections: tuple[Section, ...]
    sheet: Sheet | None = None
    calendar: tuple[CalendarEvent, ...] = ()
    language: str = "en"
    identity: str = ""
