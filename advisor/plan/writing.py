"""How values and words are written, the same in every format, so that numbers agree everywhere."""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from advisor.plan.document import Cell, Column

__all__ = [
    "cell_text",
    "clean",
    "column_title",
    "date_text",
    "display_width",
    "label",
    "month_name",
    "number_text",
    "wrap",
]

Units = Literal["metric", "us"]

# Control characters would break terminals, XML and calendars; direction overrides would let one
# name turn the rest of a line round. Joiners (U+200C, U+200D) stay: some scripts need them.
_UNWANTED = re.compile(
    "[\x00-\x08\x0e-\x1b\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff\ufff9-\ufffb\ufffe\uffff]"
)
_SURROGATE = re.compile("[\ud800-\udfff]")
_SPACE = re.compile(r"[\s\x1c-\x1f]+")


def clean(text: str) -> str:
    """Text on one line, without control characters; a broken character becomes U+FFFD."""
    return _SPACE.sub(" ", _UNWANTED.sub("", _SURROGATE.sub("\ufffd", text))).strip()


@cache
def _labels() -> Mapping[str, str]:
    from advisor.knowledge.base import plain_data

    return {str(key): str(value) for key, value in plain_data("documents/labels.yaml").items()}


def label(name: str) -> str:
    """A word that the drawers put on paper themselves, from knowledge/documents/labels.yaml."""
    return _labels()[name]


def number_text(value: float, grouped: bool = True) -> str:
    """A number without exponent and without the noise of binary fractions; thousands grouped from 10,000.

    >>> number_text(0.1 + 0.2), number_text(9.0), number_text(12500), number_text(-0.0)
    ('0.3', '9', '12,500', '0')
    """
    if not math.isfinite(value):
        return label("no_value")
    digits = max(0, 11 - math.floor(math.log10(abs(value)))) if value else 0
    text = f"{value:.{min(digits, 20)}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    if text in ("-0", ""):
        text = "0"
    whole, point, rest = text.partition(".")
    if grouped and len(whole.lstrip("-")) > 4:
        whole = f"{int(whole):,}"
    return whole + point + rest


def date_text(date: dt.date, units: Units, short: bool = False) -> str:
    """A date in words, in the order the reader is used to.

    >>> date_text(dt.date(2026, 11, 3), "metric"), date_text(dt.date(2026, 11, 3), "us", short=True)
    ('3 November 2026', 'Nov 3, 2026')
    """
    month = month_name(date, short)
    return f"{month} {date.day}, {date.year}" if units == "us" else f"{date.day} {month} {date.year}"


def month_name(date: dt.date, short: bool = False) -> str:
    """The month in words; not by strftime, which would follow the machine's language."""
    return _MONTHS[date.month - 1][: 3 if short else None]


_MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


def cell_text(cell: Cell, units: Units) -> str:
    """What stands in a table cell."""
    if cell is None:
        return label("no_value")
    if isinstance(cell, bool):
        return label("yes" if cell else "no")
    if isinstance(cell, dt.date):
        return date_text(cell, units, short=True)
    if isinstance(cell, str):
        return clean(cell)
    return number_text(cell)


def column_title(column: Column) -> str:
    """The header of a column with its unit.

    >>> column_title(Column("Straw", "kg a day"))
    'Straw (kg a day)'
    """
    title = clean(column.title)
    return f"{title} ({clean(column.unit)})" if column.unit else title


def display_width(text: str) -> int:
    """Columns that a text takes in a terminal: East Asian letters take two."""
    if text.isascii():
        return len(text)
    from wcwidth import wcswidth

    width = int(wcswidth(text))
    return width if width >= 0 else len(text)


def wrap(text: str, width: int) -> list[str]:
    """Lines no wider than `width` columns; a word that is wider by itself is cut."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        if line and display_width(line) + 1 + display_width(word) <= width:
            line += " " + word
            continue
        if line:
            lines.append(line)
        while display_width(word) > width:
            cut = len(word)
            while cut > 1 and display_width(word[:cut]) > width:
                cut -= 1
            lines.append(word[:cut])
            word = word[cut:]
        line = word
    return [*lines, line] if line else lines
