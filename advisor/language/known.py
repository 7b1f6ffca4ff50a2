"""Facts already known, as given from outside: only well-formed ones are believed."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Any

__all__ = ["known_facts"]

_NUMBERS = ("area_m2", "depth_cm", "days", "hours_per_day", "rate_kg_per_day")
_DAY = re.compile(r"(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])")


def _number(value: Any) -> bool:
    return (
        isinstance(value, int | float)
        and not isinstance(value, bool)
        and math.isfinite(value)
        and abs(value) < 1e12
    )


def _entries(value: Any, name: str) -> list[dict[str, Any]]:
    if not isinstance(value, list):
        return []
    out = []
    for entry in value[:50]:
        if isinstance(entry, Mapping) and isinstance(entry.get(name), str):
            text_or_number = {
                k: v for k, v in entry.items() if isinstance(k, str) and (isinstance(v, str) or _number(v))
            }
            counts = ("count", "amount", "weight_kg", "mass_kg", "volume_m3", "unit_mass_kg", "si", "value")
            out.append({k: v for k, v in text_or_number.items() if k not in counts or _number(v)})
    return out


def known_facts(before: Mapping[str, Any]) -> dict[str, Any]:
    """The part of `before` that has the form of the contract."""
    out: dict[str, Any] = {}
    for key, value in before.items():
        if not isinstance(key, str):
            continue
        if key in ("animals", "materials", "quantities"):
            found = _entries(value, {"animals": "class", "materials": "name", "quantities": "of"}[key])
            if found:
                out[key] = found
        elif key in ("start", "end"):
            if isinstance(value, str) and _DAY.fullmatch(value[-5:]):
                out[key] = value[-5:]
        elif key in _NUMBERS:
            if _number(value):
                out[key] = value
        elif key.endswith("_as") and isinstance(value, list):
            out[key] = ", ".join(str(part) for part in value[:4])
        elif isinstance(value, str | list):
            out[key] = value
    return out
