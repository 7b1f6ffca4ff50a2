"""A recipe's result as JSON (advisor/contracts/recipe_result.schema.json)."""

from __future__ import annotations

import json
from typing import Any

import numpy as np

from advisor import __version__
from advisor.knowledge import SEEN_WORDS, Knowledge
from advisor.plan.mix import Mixed, MixPlan
from advisor.plan.mix_words import cautions_of, mends, notes
from advisor.plan.voice import sentences
from advisor.reasoning.draws import Numbers, spread
from advisor.science.mix import Band, mixed_c_to_n

__all__ = ["mix_data", "mix_json"]

Value = Numbers | float


def mix_json(plan: MixPlan, knowledge: Knowledge) -> str:
    """The result as JSON text: UTF-8, stable order, no NaN."""
    return json.dumps(mix_data(plan, knowledge), ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def mix_data(plan: MixPlan, knowledge: Knowledge) -> dict[str, Any]:
    """The result as plain data."""
    figures = [a.figure for a in plan.assumed]
    sources = sorted({e.source for f in figures for e in f.evidence if e.source})
    return {
        "schema_version": 1,
        "made_by": f"byrewise {__version__}",
        "name": plan.recipe.name,
        "seed": plan.draws.seed,
        "draws": plan.draws.count,
        "results": {
            "c_to_n": _result(plan.c_to_n, "fraction", "c_to_n"),
            "moisture": _result(plan.moisture, "fraction", "moisture"),
            "mass_kg": _result(plan.kg, "kg", "mass"),
            "volume_m3": _result(plan.m3, "m3", "volume"),
        },
        "materials": {m.key: _material(m) for m in plan.materials},
        "targets": {
            "usual": plan.usual_targets,
            "c_to_n": _band(plan.c_to_n_band),
            "moisture": _band(plan.moisture_band),
            "total_kg": plan.recipe.total.value if plan.recipe.total else None,
        },
        "missed": [
            {
                "target": m.target,
                "wanted": _band(m.wanted),
                "nearest": None if m.nearest is None else _short(m.nearest),
                "given_up": m.endless,
                "mend": mend,
            }
            for m, mend in zip(plan.missed, mends(plan), strict=True)
        ],
        "notes": notes(plan),
        "assumptions": [
            {
                "material": a.material or None,
                "property": a.name,
                "value": _short(a.figure.value),
                "low": _short(a.figure.low),
                "high": _short(a.figure.high),
                "unit": a.figure.unit,
                "basis": a.figure.basis,
                "why": a.figure.why or SEEN_WORDS[a.figure.seen],
                "sources": sorted({e.source for e in a.figure.evidence if e.source}),
            }
            for a in plan.assumed
        ],
        "cautions": [
            {"id": key, "title": caution.title, "severity": caution.severity}
            for key, caution in cautions_of(plan, knowledge)
        ],
        "sources": {
            key: knowledge.sources[key].model_dump(exclude_defaults=True)
            for key in sources
            if key in knowledge.sources
        },
    }


def _material(material: Mixed) -> dict[str, Any]:
    holds = material.holds
    return {
        "name": material.name,
        "amount": "found" if material.found else "told",
        "mass_kg": _result(
            material.kg, "kg", "material_mass_found" if material.found else "material_mass_told"
        ),
        "volume_m3": _result(material.m3, "m3", "material_volume"),
        "c_to_n": _result(mixed_c_to_n([1.0], [holds]), "fraction", "material_c_to_n"),
        "moisture": _result(holds.water, "fraction", "material_moisture"),
    }


def _result(value: Value, unit: str, basis: str) -> dict[str, Any] | None:
    """{value, low, high, unit, basis}; null where something needed is not known."""
    if not np.all(np.isfinite(value)):
        return None
    low, middle, high = spread(value)
    return {
        "value": _short(middle),
        "low": _short(low),
        "high": _short(high),
        "unit": unit,
        "basis": sentences("mix")[f"basis_{basis}"],
    }


def _band(band: Band | None) -> dict[str, float] | None:
    return None if band is None else {"low": band.low, "high": band.high}


def _short(value: float) -> float:
    """Six significant figures: more would only pretend."""
    return float(f"{value:.6g}")
