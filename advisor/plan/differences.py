"""What differs between two plans: this plan and another way, a what-if, or any two farms or cases.

Two plans made with the same seed draw every shared unknown alike, so the draws are compared one by one:
what both do not know falls out, and only what truly differs is left.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from advisor.plan.make import Plan
from advisor.reasoning.draws import Numbers, spread, typical
from advisor.reasoning.engine import Node

__all__ = ["COMPARED", "MONEY", "Difference", "compare"]

#: what a keeper compares two plans by
COMPARED: tuple[str, ...] = (
    "bedding_total_kg",
    "bedding_to_buy_kg",
    "purchase_cost",
    "top_moisture_worst",
    "pack_end_c_to_n",
    "pack_end_depth_m",
    "space_ratio",
    "bedding_hours_week",
)

#: results that are amounts of the keeper's money
MONEY = frozenset({"purchase_cost", "bedding_value", "grain_cost", "season_cost", "season_cost_head",
                   "fertiliser_value"})  # fmt: skip

_WORTH_SAYING = 0.02  # of the larger: less is no difference that a keeper would see
_SURE = 0.9  # of the draws must point the same way, as ranges are told from 10 to 90 %


@dataclass(frozen=True)
class Difference:
    """One result in two plans."""

    name: str
    before: Node | None
    after: Node | None

    @property
    def matters(self) -> bool:
        """Whether the typical values lie more than a fiftieth apart."""
        if self.before is None or self.after is None:
            return self.before is not self.after
        old, new = typical(self.before.value), typical(self.after.value)
        return abs(new - old) > _WORTH_SAYING * max(abs(old), abs(new), 1e-9)

    @property
    def change(self) -> tuple[float, float, float] | None:
        """(low, median, high) of the after less the before, draw by draw; None where one is missing."""
        drawn = self._drawn
        return None if drawn is None else spread(drawn)

    @property
    def more_than_chance(self) -> bool | None:
        """Whether nine draws in ten point the same way; None where one of the two is missing."""
        drawn = self._drawn
        if drawn is None:
            return None
        if not isinstance(drawn, np.ndarray):
            return self.matters
        ups, downs = float(np.mean(drawn[1:] > 0.0)), float(np.mean(drawn[1:] < 0.0))
        return self.matters and max(ups, downs) >= _SURE

    @property
    def _drawn(self) -> Numbers | float | None:
        if self.before is None or self.after is None:
            return None
        found: Numbers | float = self.after.value - self.before.value
        return found


def compare(before: Plan, after: Plan, names: Iterable[str] = COMPARED) -> tuple[Difference, ...]:
    """What differs between two plans, in the numbers named; those that neither has are left out."""
    rows = (Difference(name, before.results.get(name), after.results.get(name)) for name in names)
    return tuple(row for row in rows if row.before is not None or row.after is not None)
