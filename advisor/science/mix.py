"""Mixing materials for a heap: carbon to nitrogen and moisture of a mix, and the amounts that reach them.

Everything goes by weight. A ratio of a mix is all its carbon over all its nitrogen, never an average
of ratios; a cubic metre counts for what it weighs.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from advisor.reasoning.draws import Numbers, typical
from advisor.season.linear import Infeasible, LinearProgram

__all__ = [
    "Amount", "Band", "Ingredient", "Missed", "Recipe",
    "kg_for_c_to_n", "kg_for_moisture", "mixed_c_to_n", "mixed_moisture", "solve_recipe",
]  # fmt: skip

Value = Numbers | float
Target = Literal["total", "moisture", "c_to_n"]

#: No recipe is more than this many times what is there already; one that takes a tenth of that is out of reach.
_ENDLESS = 1e4
_NEAR = 1e-6


@dataclass(frozen=True)
class Ingredient:
    """A material in a mix. Shares are of its weight as it is, not of dry matter; NaN where not known."""

    water: Value  # kg a kg
    carbon: Value  # kg C a kg
    nitrogen: Value  # kg N a kg


@dataclass(frozen=True)
class Band:
    """A target: from low to high; one value where they are alike."""

    low: float
    high: float


@dataclass(frozen=True)
class Amount:
    """How much of an ingredient there is: fixed, or free between `least` and `most`. [kg]"""

    fixed: float | None = None
    least: float = 0.0
    most: float | None = None


@dataclass(frozen=True)
class Missed:
    """A target that cannot be reached, and the nearest that can.

    `endless`: even any amount of what may be added only comes near it; the target was then given up.
    """

    target: Target
    wanted: Band
    nearest: float | None
    endless: bool = False


@dataclass(frozen=True)
class Recipe:
    """Amounts of each ingredient, in the order given, and the targets that were missed. [kg]"""

    kg: tuple[float, ...]
    missed: tuple[Missed, ...] = ()


def mixed_moisture(kg: Sequence[Value], mix: Sequence[Ingredient]) -> Value:
    """Water over all: sum(w_i m_i) / sum(w_i). [fraction, wet basis]"""
    water = sum((w * i.water for w, i in _there(kg, mix)), 0.0)
    return water / sum((w for w, _ in _there(kg, mix)), 0.0)


def mixed_c_to_n(kg: Sequence[Value], mix: Sequence[Ingredient]) -> Value:
    """All carbon over all nitrogen: sum(w_i c_i) / sum(w_i n_i), by weight. NaN without nitrogen."""
    carbon = sum((w * i.carbon for w, i in _there(kg, mix)), 0.0)
    nitrogen = np.asarray(sum((w * i.nitrogen for w, i in _there(kg, mix)), 0.0), dtype=float)
    ratio = np.divide(carbon, nitrogen, out=np.full(np.broadcast(carbon, nitrogen).shape, np.nan),
                      where=nitrogen > 0)  # fmt: skip
    return ratio if ratio.ndim else float(ratio)


def kg_for_c_to_n(added: Ingredient, mix: Ingredient, wanted: float) -> float:
    """Kilograms of one material for each kilogram of a mix that bring it to a wanted C:N.

    (wanted N_mix - C_mix) / (C_added - wanted N_added). Raises ValueError where no amount does.
    """
    lacking = wanted * typical(mix.nitrogen) - typical(mix.carbon)
    gained = typical(added.carbon) - wanted * typical(added.nitrogen)
    return _positive(lacking, gained, f"a C:N of {wanted:g}")


def kg_for_moisture(added: Ingredient, mix: Ingredient, wanted: float) -> float:
    """Kilograms of one material for each kilogram of a mix that bring it to a wanted moisture.

    (M_mix - M) / (M - M_added). Raises ValueError where no amount does.
    """
    lacking = typical(mix.water) - wanted
    return _positive(lacking, wanted - typical(added.water), f"a moisture of {wanted:g}")


def solve_recipe(
    mix: Sequence[Ingredient],
    amounts: Sequence[Amount],
    *,
    c_to_n: Band | None = None,
    moisture: Band | None = None,
    total_kg: float | None = None,
) -> Recipe:
    """Amounts that meet the targets, worked with typical values, adding as little dry matter as can be.

    What cannot be met is relaxed from the bottom: first the ratio, then the moisture, then the total
    weight; fixed amounts and limits stay. Raises ValueError where nothing says how big the mix is.
    """
    missed: list[Missed] = []
    least = sum(_floor(a) for a in amounts)
    if total_kg is not None:
        most = sum(a.fixed if a.fixed is not None else _ENDLESS * total_kg if a.most is None else a.most
                   for a in amounts)  # fmt: skip
        reached = min(max(total_kg, least), most)
        if abs(reached - total_kg) > _NEAR * total_kg:
            missed.append(Missed("total", Band(total_kg, total_kg), reached))
        total_kg = reached
    size = total_kg or least
    if size <= 0.0:
        raise ValueError("nothing says how big the mix is: give one amount, or the total")
    problem = _Problem(mix, [_scaled(a, size) for a in amounts], None if total_kg is None else 1.0)
    goals: list[tuple[Target, Band | None]] = [("moisture", moisture), ("c_to_n", c_to_n)]
    held: dict[Target, Band] = {}
    for target, band in goals:
        if band is None:
            continue
        nearest, endless = problem.nearest(target, band, held)
        if nearest is None or endless:
            missed.append(Missed(target, band, nearest, endless=True))
        elif band.low <= nearest <= band.high:
            held[target] = band
        else:
            missed.append(Missed(target, band, nearest))
            held[target] = Band(min(band.low, nearest), max(band.high, nearest))
    try:
        shares = problem.least_added(held)
    except (
        Infeasible
    ):  # on the very edge of what can be reached: within the tolerance of `nearest`, not of this
        near = {t: Band(b.low * (1.0 - 2.0 * _NEAR), b.high * (1.0 + 2.0 * _NEAR)) for t, b in held.items()}
        shares = problem.least_added(near)
    return Recipe(tuple(share * size for share in shares), tuple(missed))


@dataclass(frozen=True)
class _Problem:
    """The mix as linear programs, in multiples of its known weight."""

    mix: Sequence[Ingredient]
    amounts: Sequence[Amount]
    total: float | None

    def nearest(self, target: Target, band: Band, held: Mapping[Target, Band]) -> tuple[float | None, bool]:
        """The reachable value nearest to a band, and whether it would take no end of material.

        A ratio of two sums becomes linear when the lower sum is held at one and the scale is left free.
        """
        program = LinearProgram()
        upper, lower = self._sums(target)
        shares, scale = self._amounts(program, smallest_scale=True)
        off = program.variable()
        program.row({x: v for x, v in zip(shares, lower, strict=True) if v}, low=1.0, high=1.0)
        reached = {x: v for x, v in zip(shares, upper, strict=True) if v}
        program.row({**reached, off: 1.0}, low=band.low)
        program.row({**reached, off: -1.0}, high=band.high)
        self._hold(program, shares, held)
        try:
            best = program.solve([{off: 1.0}])[0][off]
            if best <= _NEAR * band.high:
                return band.low, False
            # of all that come equally near, the smallest mix: the largest scale
            program.upper[off] = best * (1.0 + _NEAR)
            solved, _ = program.solve([{scale: -1.0}])
        except Infeasible:
            return None, True
        value = sum(solved[x] * v for x, v in reached.items())
        weight = sum(solved[x] for x in shares)
        return value, solved[scale] * _ENDLESS <= 10.0 * weight

    def least_added(self, held: Mapping[Target, Band]) -> list[float]:
        """The amounts that keep to the held bands, with the least dry matter and then the least weight."""
        program = LinearProgram()
        shares, _ = self._amounts(program, smallest_scale=False)
        self._hold(program, shares, held)
        dry = {
            x: 1.0 - min(1.0, float(np.nan_to_num(typical(i.water))))
            for x, i in zip(shares, self.mix, strict=True)
        }
        solved, _ = program.solve([{x: v for x, v in dry.items() if v > 0.0}, dict.fromkeys(shares, 1.0)])
        return [
            solved[x] if amount.fixed is None else amount.fixed
            for x, amount in zip(shares, self.amounts, strict=True)
        ]

    def _amounts(self, program: LinearProgram, smallest_scale: bool) -> tuple[list[int], int]:
        """A variable for each ingredient within its limits, all times a free scale (else a scale of one)."""
        scale = program.variable() if smallest_scale else program.variable(1.0, 1.0)
        shares = [program.variable() for _ in self.mix]
        for x, amount in zip(shares, self.amounts, strict=True):
            if amount.fixed is not None:
                program.row({x: 1.0, scale: -amount.fixed}, low=0.0, high=0.0)
                continue
            program.row({x: 1.0, scale: -amount.least}, low=0.0)
            if amount.most is not None:
                program.row({x: 1.0, scale: -amount.most}, high=0.0)
        whole = dict.fromkeys(shares, 1.0)
        if self.total is not None:
            program.row({**whole, scale: -self.total}, low=0.0, high=0.0)
        program.row({**whole, scale: -_ENDLESS}, high=0.0)
        return shares, scale

    def _hold(self, program: LinearProgram, shares: list[int], held: Mapping[Target, Band]) -> None:
        """Rows that keep a ratio of two sums within a band: upper - band x lower, above and below zero."""
        for target, band in held.items():
            upper, lower = self._sums(target)
            for edge, side in ((band.low, 1.0), (band.high, -1.0)):
                terms = {x: side * (up - edge * low) for x, up, low in zip(shares, upper, lower, strict=True)}
                program.row(terms, low=-_NEAR * abs(edge) * 1e-2)

    def _sums(self, target: Target) -> tuple[list[float], list[float]]:
        """What each kilogram adds to the upper and to the lower sum of a ratio."""
        if target == "moisture":
            return [typical(i.water) for i in self.mix], [1.0] * len(self.mix)
        return [typical(i.carbon) for i in self.mix], [typical(i.nitrogen) for i in self.mix]


def _there(kg: Sequence[Value], mix: Sequence[Ingredient]) -> list[tuple[Value, Ingredient]]:
    """The ingredients of which there is any: what is not used need not be known."""
    return [(w, i) for w, i in zip(kg, mix, strict=True) if np.any(w)]


def _positive(lacking: float, gained: float, what: str) -> float:
    if lacking == 0.0:
        return 0.0
    if gained == 0.0 or lacking / gained < 0.0:
        raise ValueError(f"no amount of it brings the mix to {what}")
    return lacking / gained


def _floor(amount: Amount) -> float:
    return amount.least if amount.fixed is None else amount.fixed


def _scaled(amount: Amount, size: float) -> Amount:
    return Amount(
        None if amount.fixed is None else amount.fixed / size,
        amount.least / size,
        None if amount.most is None else amount.most / size,
    )
