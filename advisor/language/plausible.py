"""What an animal of a class can weigh."""

from __future__ import annotations

from advisor.language.lexicon import Lexicon

__all__ = ["weight_bounds"]


def weight_bounds(name: str, lexicon: Lexicon) -> tuple[float, float]:
    """Bounds in kg between which a class weighs, for reading a bare number."""
    plausible = lexicon.tables.plausible
    species = lexicon.species.get(name, "")
    return plausible.class_kg.get(name) or plausible.species_kg.get(species, (0.5, 1400.0))
