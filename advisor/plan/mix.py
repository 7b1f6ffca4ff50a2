"""A recipe worked out: what each material holds, how much of it to use, and what the mix comes to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from advisor.farm.model import Measure
from advisor.farm.reading import find_id
from advisor.farm.recipe import WATER, Heap, RecipeFile, RecipeMaterial, Targets
from advisor.knowledge import Figure, Knowledge
from advisor.knowledge.models import Material
from advisor.reasoning.draws import Draws, Numbers, spread, typical
from advisor.science.mix import (
    Amount,
    Band,
    Ingredient,
    Missed,
    mixed_c_to_n,
    mixed_moisture,
    solve_recipe,
)

__all__ = ["Assumed", "MixPlan", "Mixed", "make_mix"]

Value = Numbers | float
_UNKNOWN = float("nan")


@dataclass(frozen=True)
class Assumed:
    """A figure taken from the knowledge base because the keeper told none."""

    material: str  # key; empty: of the mix as a whole
    name: str  # the property
    figure: Figure


@dataclass(frozen=True)
class Mixed:
    """One material of the mix. Shares of carbon, nitrogen and water are of its weight as it is."""

    key: str
    name: str
    entry: Material | None
    told: RecipeMaterial
    holds: Ingredient
    density: Value  # kg/m3, loose; NaN where not known
    kg: Value = 0.0

    @property
    def found(self) -> bool:
        """Whether the amount was worked out rather than told."""
        return self.told.known is None

    @property
    def m3(self) -> Value:
        """Loose volume; as told where it was told."""
        known = self.told.known
        if known is not None and known.unit == "m3" and known.measure.exact:
            return known.measure.value
        return self.kg / self.density


@dataclass(frozen=True)
class MixPlan:
    """The worked-out recipe."""

    recipe: RecipeFile
    materials: tuple[Mixed, ...]
    c_to_n_band: Band | None
    moisture_band: Band | None
    usual_targets: bool
    missed: tuple[Missed, ...]
    draws: Draws
    assumed: tuple[Assumed, ...] = ()
    impossible: tuple[tuple[str, float], ...] = ()

    @property
    def c_to_n(self) -> Value:
        """Carbon to nitrogen of the mix."""
        return mixed_c_to_n([m.kg for m in self.materials], [m.holds for m in self.materials])

    @property
    def moisture(self) -> Value:
        """Moisture of the mix."""
        return mixed_moisture([m.kg for m in self.materials], [m.holds for m in self.materials])

    @property
    def kg(self) -> Value:
        """Weight of the mix."""
        return sum((m.kg for m in self.materials), 0.0)

    @property
    def m3(self) -> Value:
        """Loose volumes added up."""
        return sum((m.m3 for m in self.materials if np.any(m.kg)), 0.0)


def make_mix(recipe: RecipeFile, knowledge: Knowledge, draws: int = 1000, seed: int = 1) -> MixPlan:
    """Work out a recipe. The same recipe, knowledge and seed give the same answer."""
    book = _Book(knowledge, Draws(draws, seed))
    materials: list[Mixed] = []
    for row in recipe.materials:
        materials.append(book.material(row, [m.key for m in materials]))
    unknown = any(m.found for m in materials)
    targets, usual = recipe.targets or Targets(), recipe.targets is None and unknown
    ratio = _band(targets.c_to_n) if not usual else book.band("heap_c_to_n_low", "heap_c_to_n_high", "c_to_n")
    water = (
        _band(targets.moisture)
        if not usual
        else book.band("heap_moisture_low", "heap_moisture_high", "moisture")
    )
    solved = solve_recipe(
        [m.holds for m in materials],
        [_amount(m) for m in materials],
        c_to_n=ratio,
        moisture=water,
        total_kg=recipe.total.value if recipe.total else None,
    )
    filled = [_filled(m, kg, book.draws) for m, kg in zip(materials, solved.kg, strict=True)]
    plan = MixPlan(
        recipe,
        tuple(filled),
        ratio,
        water,
        usual,
        (),
        book.draws,
        tuple(book.assumed),
        tuple(book.impossible),
    )
    return replace(plan, missed=tuple(_as_mixed(plan, m) for m in solved.missed))


def _as_mixed(plan: MixPlan, missed: Missed) -> Missed:
    """The nearest that can be reached as the result says it: the median over the draws."""
    if missed.endless or missed.target == "total":
        return missed
    return replace(missed, nearest=spread(plan.moisture if missed.target == "moisture" else plan.c_to_n)[1])


class _Book:
    """Looks up what materials hold, and keeps account of what was assumed."""

    def __init__(self, knowledge: Knowledge, draws: Draws) -> None:
        self.knowledge, self.draws = knowledge, draws
        self.assumed: list[Assumed] = []
        self.impossible: list[tuple[str, float]] = []

    def material(self, row: RecipeMaterial, taken: Sequence[str]) -> Mixed:
        """What the row says, filled in from the knowledge base."""
        if row.name.strip().lower() == WATER:
            density = self._figure("water_density", "", "")
            return Mixed(_key(WATER, taken), WATER, None, row, Ingredient(1.0, 0.0, 0.0), density)
        found = find_id(row.name, self.knowledge.materials)[0]
        entry = self.knowledge.materials[found] if found else None
        key = _key(found or "_".join(row.name.lower().split()), taken)
        holds = self._holds(row, entry, key)
        dry = 1.0 - typical(holds.water)
        if typical(holds.carbon) > dry > 0.0:
            self.impossible.append((key, typical(holds.carbon) / dry))
        loose = (entry.density_loose or entry.density_laid) if entry else None
        density = self._own(row.density, key, "density", loose)
        return Mixed(key, entry.name if entry else row.name, entry, row, holds, density)

    def _holds(self, row: RecipeMaterial, entry: Material | None, key: str) -> Ingredient:
        """Water, carbon and nitrogen a kilogram as it is. A told ratio gives whichever of the two is lacking."""
        water = self._own(row.moisture, key, "moisture", entry.moisture if entry else None)
        of_told: Value = 1.0 if row.share_of == "whole" else 1.0 - water
        carbon: Value = _UNKNOWN
        nitrogen: Value = _UNKNOWN
        if row.carbon:
            carbon = self._told(row.carbon, key, "carbon") * of_told
        if row.nitrogen:
            nitrogen = self._told(row.nitrogen, key, "nitrogen") * of_told
        ratio = self._told(row.c_to_n, key, "c_to_n") if row.c_to_n else None
        if ratio is not None and row.carbon is None and row.nitrogen is not None:
            return Ingredient(water, nitrogen * ratio, nitrogen)
        if row.carbon is None and entry:
            carbon = self._looked_up(entry.carbon, key, "carbon") * (1.0 - water)
        elif row.carbon is None and ratio is not None:
            carbon = self._figure("carbon_of_plants", key, "carbon") * (1.0 - water)
        if row.nitrogen is None and ratio is not None:
            nitrogen = carbon / ratio
        elif row.nitrogen is None and entry:
            nitrogen = self._looked_up(entry.nitrogen, key, "nitrogen") * (1.0 - water)
        return Ingredient(water, carbon, nitrogen)

    def band(self, low: str, high: str, name: str) -> Band:
        """A target band from two figures."""
        ends = [self.knowledge.figures[key].figure for key in (low, high)]
        self.assumed += [Assumed("", name, figure) for figure in ends if figure]
        return Band(*(figure.value if figure else _UNKNOWN for figure in ends))

    def _own(self, told: Measure | None, key: str, name: str, figure: Figure | None) -> Value:
        if told is not None:
            return self._told(told, key, name)
        return _UNKNOWN if figure is None else self._looked_up(figure, key, name)

    def _told(self, told: Measure, key: str, name: str) -> Value:
        return self.draws.triangular(f"recipe:{key}:{name}", told.low, told.value, told.high)

    def _looked_up(self, figure: Figure, key: str, name: str) -> Value:
        self.assumed.append(Assumed(key, name, figure))
        return self.draws.triangular(f"material:{key}:{name}", figure.low, figure.value, figure.high)

    def _figure(self, name: str, key: str, shown: str) -> Value:
        entry = self.knowledge.figures[name]
        if entry.figure is None:
            return _UNKNOWN
        figure = entry.figure.to(entry.si)
        if shown:
            self.assumed.append(Assumed(key, shown, figure))
        return self.draws.triangular(f"recipe:{key}:{name}", figure.low, figure.value, figure.high)


def _key(name: str, taken: Sequence[str]) -> str:
    number, key = 2, name
    while key in taken:
        number, key = number + 1, f"{name}_{number}"
    return key


def _band(measure: Measure | None) -> Band | None:
    return None if measure is None else Band(measure.low, measure.high)


def _amount(material: Mixed) -> Amount:
    """The amount or its limits at typical values. [kg]"""

    def kg(heap: Heap | None) -> float | None:
        if heap is None:
            return None
        return heap.measure.value * (typical(material.density) if heap.unit == "m3" else 1.0)

    row = material.told
    return Amount(kg(row.known), kg(row.least) or 0.0, kg(row.most))


def _filled(material: Mixed, solved_kg: float, draws: Draws) -> Mixed:
    """The material with its weight: as worked out, or as told with its range (a volume weighs what it weighs)."""
    known = material.told.known
    if known is None:
        return replace(material, kg=solved_kg)
    m = known.measure
    amount = draws.triangular(f"recipe:{material.key}:amount", m.low, m.value, m.high)
    return replace(material, kg=amount * material.density if known.unit == "m3" else amount)
