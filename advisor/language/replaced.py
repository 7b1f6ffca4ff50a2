"""What corrections share: the numbers that replace, the numbers replaced, and the units of what was told before."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from advisor.language.scan import Item, Scan

__all__ = ["PART", "corrected_words", "denied_values", "new_numbers", "old_unit", "plain_number"]

#: 'should have said 8', 'the scales said 60': what follows these is right, for all that it was 'said'
_RIGHT = {"should", "thermometer", "probe", "scale", "scales", "meter", "label", "ticket", "tape", "gauge"}
PART = re.compile(r"([\d.]+)\s*([a-z\"']*)")


def plain_number(item: Item) -> float | None:
    return item.number.low if item.number is not None and not item.number.ranged else None


def denied_values(scan: Scan) -> list[tuple[Item, float]]:
    """Numbers after 'not', 'instead of', 'rather than'."""
    out = []
    for at, item in enumerate(scan.items):
        value = plain_number(item)
        if value is None:
            continue
        before = [i.text for i in scan.items[max(0, at - 3) : at]]
        if before[-1:] != ["not"] and set(before) & _RIGHT:
            continue
        if (
            before[-1:] == ["not"]
            or before[-2:] in (["instead", "of"], ["rather", "than"])
            or before[-2:] in (["not", "the"], ["not", "a"], ["not", "about"], ["said", "it"])
            or before[-1:] in (["said"], ["told"], ["wrote"], ["put"], ["typed"], ["gave"])
            or before[-2:-1] in (["said"], ["wrote"], ["told"])
            or (before[-1:] == ["from"] and set(before) & {"change", "changed"})
        ):
            out.append((item, value))
    return out


def corrected_words(scan: Scan) -> set[int]:
    """Starts of items that only say what was wrong."""
    starts = {item.start for item, _ in denied_values(scan)}
    for at, item in enumerate(scan.items):
        if item.kind not in ("animal", "material", "breed", "date"):
            continue
        before = [i.text for i in scan.items[max(0, at - 3) : at]]
        if before[-1:] != ["not"] and set(before) & _RIGHT:
            continue
        if (
            before[-1:] == ["not"]
            or before[-2:]
            in (
                ["instead", "of"],
                ["rather", "than"],
                ["not", "the"],
                ["not", "a"],
                ["not", "on"],
                ["not", "in"],
                ["no", "longer"],
            )
            or before[-1:] in (["said"], ["wrote"], ["put"], ["typed"])
            or before[-2:] in (["said", "the"], ["told", "you"], ["gave", "you"], ["said", "it"])
        ):
            starts.add(item.start)
    return starts


def new_numbers(scan: Scan, skip: set[int]) -> list[Item]:
    return [
        i
        for i in scan.items
        if i.kind in ("number", "amount") and i.start not in skip and plain_number(i) is not None
    ]


def old_unit(before: Mapping[str, Any], key: str) -> str:
    match = re.search(r"[\d.]+\s*([a-zA-Z][a-zA-Z ]*)", str(before.get(key, "")))
    return match[1].strip() if match else ""
