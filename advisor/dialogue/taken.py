"""What becomes of a reading's facts: acts to record, and amounts in the form of a farm file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from advisor.dialogue.draft import Act
from advisor.dialogue.names import Names
from advisor.plan.wording import say_number

__all__ = ["Taken", "measure", "put_amount", "ranged"]


@dataclass
class Taken:
    """What became of the facts: acts to record, names not known, new animals without a number, prices of no weight."""

    names: Names
    said: str = ""
    acts: list[Act] = field(default_factory=list)
    strange: list[str] = field(default_factory=list)
    uncounted: list[str] = field(default_factory=list)
    unpriced: list[str] = field(default_factory=list)
    unweighed: bool = False  # a rate was told in bales of unknown weight

    def put(self, place: str, value: Any) -> None:
        """Set a place of the farm."""
        self.acts.append({"set": place, "to": value})

    def drop(self, place: str) -> None:
        """Take a place of the farm away."""
        self.acts.append({"drop": place})


def measure(value: float, low: float, high: float, unit: str, said: str = "") -> dict[str, Any]:
    """A told amount in the form of a farm file."""
    shown = said or (
        f"{say_number(value, 4)} {unit}"
        if low == high
        else f"{say_number(low, 4)} to {say_number(high, 4)} {unit}"
    )
    return {"value": value, "low": low, "high": high, "unit": unit, "said": shown}


def ranged(facts: Mapping[str, Any], name: str) -> tuple[float, float, float] | None:
    if facts.get(f"{name}_range"):
        low, high = (float(end) for end in facts[f"{name}_range"])
        return (low + high) / 2, min(low, high), max(low, high)
    value = facts.get(name)
    return None if value is None else (float(value), float(value), float(value))


def put_amount(
    taken: Taken,
    facts: Mapping[str, Any],
    name: str,
    place: str,
    unit: str,
    factor: float = 1.0,
    said: Any = None,
) -> None:
    found = ranged(facts, name)
    if found is not None:
        value, low, high = (each * factor for each in found)
        taken.put(place, measure(value, low, high, unit, _said(said)))


def _said(raw: Any) -> str:
    """The user's own wording: one, or the two ends of a range."""
    return " to ".join(str(part) for part in raw) if isinstance(raw, list | tuple) else str(raw or "")
