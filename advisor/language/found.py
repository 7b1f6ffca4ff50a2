"""Facts read from a message, and what kept others from being recorded."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from advisor.language.scan import Item

__all__ = ["Facts", "Found", "span_value"]


Facts = dict[str, Any]


@dataclass
class Found:
    """Facts read, and what kept others from being recorded."""

    facts: Facts = field(default_factory=dict)
    clarify: list[str] = field(default_factory=list)
    queried: list[str] = field(default_factory=list)
    used: set[int] = field(default_factory=set)
    loose: list[Item] = field(default_factory=list)  # numbers that found no place


def _round(value: float) -> float:
    return float(f"{value:.5g}")


def span_value(key: str, low: float, high: float) -> dict[str, Any]:
    """`key` for one value, `key_range` for a range."""
    low, high = _round(low), _round(high)
    clean = [int(v) if v == int(v) and abs(v) < 1e9 else v for v in (low, high)]
    return {key: clean[0]} if low == high else {f"{key}_range": clean}
