"""The numbers a remedy is sized with: told, from the case, or a figure; each remembers where it came from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np

from advisor.knowledge import Figure, Knowledge
from advisor.reasoning.draws import Draws, Numbers, typical

__all__ = ["Amount", "NotTold", "Sized", "Sum", "Used", "Value", "Workings"]

Value = Numbers | float
How = Literal["told", "figure", "material"]
_DRAWS = 400


class NotTold(Exception):
    """A number that the sum cannot do without."""

    def __init__(self, name: str) -> None:
        self.name = name
        super().__init__(name)


@dataclass(frozen=True)
class Amount:
    """An amount: what the sum gives at typical values, and the 10th and 90th percentile of its draws."""

    key: str
    low: float
    value: float
    high: float
    unit: str
    per: Literal["", "day", "week", "m2"] = ""
    packs: float | None = None
    pack: str = ""
    forkfuls: float | None = None


@dataclass(frozen=True)
class Used:
    """A number that went into a sum. `label` is empty for a fact of the farm."""

    name: str
    label: str
    low: float
    value: float
    high: float
    unit: str
    how: How
    seen: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Sum:
    """What a sum gives: amounts, the numbers of its working (with units), and what it changes on the farm."""

    amounts: tuple[Amount, ...]
    working: Mapping[str, tuple[float, str]] = field(default_factory=dict)
    change: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Sized:
    """A remedy with its amounts, what went into them, and what is worth asking."""

    remedy: str
    size: str = ""
    sum: Sum = field(default_factory=lambda: Sum(()))
    used: tuple[Used, ...] = ()
    asks: tuple[str, ...] = ()


class Workings:
    """Numbers by name for one sum: the farm's own, else a figure. Keeps account of what was used and lacking."""

    def __init__(self, knowledge: Knowledge, facts: Mapping[str, Any], seed: int = 1) -> None:
        self.knowledge = knowledge
        self.facts = facts
        self.draws = Draws(_DRAWS, seed)
        self.used: dict[str, Used] = {}
        self.lacking: list[str] = []

    def told(self, name: str, unit: str) -> Value | None:
        """A number of the farm, or None; lacking ones are remembered as worth asking."""
        raw = self.facts.get(name)
        if isinstance(raw, bool) or not isinstance(raw, int | float | list | tuple):
            if name not in self.lacking:
                self.lacking.append(name)
            return None
        low, value, high = (float(x) for x in raw) if isinstance(raw, list | tuple) else (float(raw),) * 3
        self.used[name] = Used(name, "", low, value, high, unit, "told", "", ())
        return self.draws.triangular(name, low, value, high)

    def need(self, name: str, unit: str) -> Value:
        """A number of the farm. Raises NotTold."""
        value = self.told(name, unit)
        if value is None:
            raise NotTold(name)
        return value

    def figure(self, name: str) -> Value:
        """A figure of the knowledge base, for how the bed is kept and the species on it where that matters."""
        entry = self.knowledge.figures[name]
        found = entry.figure
        for case in entry.cases:
            if self._suits(case.management, "management") and self._suits(case.species, "main_species"):
                found = case.figure
                break
        if found is None:
            raise NotTold(name)
        return self._held(name, entry.label, found.to(entry.si), "figure")

    def material(self, material: str, field_name: str) -> Value | None:
        """A property of a material, or None where it is not held."""
        entry = self.knowledge.materials[material]
        found = getattr(entry, field_name)
        if found is None:
            return None
        return self._held(
            f"{material}.{field_name}", f"{field_name.replace('_', ' ')} of {entry.name}", found, "material"
        )

    def told_or_figure(self, name: str, unit: str, figure: str) -> Value:
        """The farm's own number, else a figure."""
        value = self.told(name, unit)
        return self.figure(figure) if value is None else value

    def _suits(self, wanted: tuple[str, ...], fact: str) -> bool:
        return not wanted or self.facts.get(fact) in wanted

    def _held(self, name: str, label: str, figure: Figure, how: How) -> Value:
        sources = tuple(item.source for item in figure.evidence if item.source)
        self.used[name] = Used(
            name, label, figure.low, figure.value, figure.high, figure.unit, how, figure.seen, sources
        )
        return self.draws.triangular(name, figure.low, figure.value, figure.high)

    def amount(self, key: str, value: Value, unit: str, per: Literal["", "day", "week", "m2"] = "") -> Amount:
        """An amount from a sum over draws: the first is the typical one."""
        middle = typical(value)
        low, high = middle, middle
        if isinstance(value, np.ndarray) and value.size > 1:
            low, high = (float(x) for x in np.percentile(value[1:], [10, 90]))
        return Amount(key, min(low, middle), middle, max(high, middle), unit, per)
