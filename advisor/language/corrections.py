"""Corrections: one part of something already told is replaced, and the rest of it stands."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from advisor.language.fix_animals import fix_animals, taken_off
from advisor.language.fix_choice import fix_choice
from advisor.language.fix_materials import fix_materials
from advisor.language.fix_others import fix_area, fix_dates, fix_scalars
from advisor.language.fix_units import fix_units
from advisor.language.found import Found
from advisor.language.lexicon import Lexicon
from advisor.language.replaced import corrected_words, denied_values, new_numbers
from advisor.language.scan import Scan

__all__ = ["apply_correction", "corrected_words"]


def apply_correction(scan: Scan, lexicon: Lexicon, found: Found, before: Mapping[str, Any]) -> list[str]:
    """Complete the facts of a correction from what was known before; returns the words for what it corrects."""
    facts = found.facts
    denied = denied_values(scan)
    skip = corrected_words(scan)
    new = new_numbers(scan, skip)
    if swapped := fix_units(scan, lexicon, facts, before):
        return swapped
    corrects = fix_choice(scan, lexicon, facts, before)
    if "area_m2" in before and "area_m2" not in facts:
        fixed = fix_area(scan, before, new, denied, lexicon)
        if fixed:
            facts.update(fixed)
            facts.pop("depth_cm", None)
            facts.pop("quantities", None)
            corrects.append("floor area")
    old_animals = [dict(a) for a in before.get("animals", []) if isinstance(a, dict)]
    if old_animals:
        corrects += fix_animals(scan, facts, old_animals, new, denied, lexicon, skip)
    old_materials = [dict(m) for m in before.get("materials", []) if isinstance(m, dict)]
    if old_materials:
        corrects += fix_materials(scan, facts, old_materials, new, denied, lexicon, skip)
    corrects += fix_scalars(scan, facts, before, new, lexicon, bool(corrects))
    corrects += fix_dates(scan, facts, before, new, bool(corrects))
    taken_off(scan, facts, old_animals, corrects)
    if "depth_cm" in facts and "depth_of" in before:
        facts["depth_of"] = before["depth_of"]
    labels = {
        "area_m2": "floor area",
        "depth_cm": "depth",
        "days": "days housed",
        "days_range": "days housed",
        "hours_per_day": "hours indoors",
        "start": "date in",
        "end": "date out",
        "rate_kg_per_day": "bedding rate",
        "yes_no": "yes or no",
        "choice": "choice",
        "quantities": "quantity",
        "no_animals": "animals",
        "no_materials": "materials",
    }
    for key, label in labels.items():
        if key in facts and label not in corrects:
            corrects.append(label)
    if facts.get("animals") and not corrects:
        corrects.append("animals")
    if facts.get("materials") and not corrects:
        corrects.append("materials")
    return corrects
