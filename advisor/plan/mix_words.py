"""A recipe's result in plain words (sentences: knowledge/documents/mix.yaml)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Literal

import numpy as np

from advisor.knowledge import SEEN_WORDS, Knowledge
from advisor.knowledge.models import Caution
from advisor.plan.document import Column, Table
from advisor.plan.mix import Assumed, MixPlan
from advisor.plan.text_table import table_lines
from advisor.plan.voice import sentences
from advisor.plan.wording import say, say_number, say_range
from advisor.plan.writing import wrap
from advisor.reasoning.draws import Numbers, spread, typical
from advisor.science.heap import water_to_add_kg
from advisor.science.mix import Band, Missed

__all__ = ["cautions_of", "mends", "mix_text", "notes"]

Units = Literal["metric", "us"]
Value = Numbers | float
_WIDTH = 78
_UNITS = {"total": "kg", "moisture": "fraction", "c_to_n": "c_to_n"}


def mix_text(plan: MixPlan, knowledge: Knowledge) -> str:
    """The recipe as a keeper reads it."""
    units = plan.recipe.units
    lines = [plan.recipe.name or _say("title")]
    lines += ["=" * len(lines[0]), ""]
    lines += wrap(_outcome(plan, units), _WIDTH)
    aims = _aims(plan, units)
    if aims:
        lines += wrap(_say("targets_usual" if plan.usual_targets else "targets_told", aims=aims), _WIDTH)
    for text in notes(plan):
        lines += ["", *wrap(text, _WIDTH)]
    lines += ["", *_table(plan, units), "", *wrap(_say("volume_note"), _WIDTH)]
    if plan.assumed:
        lines += ["", _say("assumed_title"), "-" * len(_say("assumed_title"))]
        lines += _assumed_table(plan, knowledge, units)
    cautions = cautions_of(plan, knowledge)
    if cautions:
        lines += ["", _say("cautions_title"), "-" * len(_say("cautions_title"))]
        for _, caution in cautions:
            lines += wrap(f"! {caution.title}", _WIDTH)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def notes(plan: MixPlan) -> list[str]:
    """What to say beside the amounts: aims that were missed and how to mend it, numbers that cannot be."""
    units = plan.recipe.units
    out = []
    for missed, mend in zip(plan.missed, mends(plan), strict=True):
        kind = "missed" if not missed.endless else "endless" if missed.nearest is not None else "unreachable"
        text = _say(
            f"{kind}_{missed.target}",
            wanted=_band(missed.wanted, missed.target, units),
            nearest=_number(missed.nearest, missed.target, units),
        )
        out.append(f"{text} {mend}".strip())
    names = {m.key: m.name for m in plan.materials}
    out += [
        _say("impossible_carbon", material=names[key], share=say(share, "fraction", units))
        for key, share in plan.impossible
    ]
    if not plan.missed and any(_strays(plan.c_to_n, plan.c_to_n_band) or _strays(plan.moisture, plan.moisture_band)
                               for _ in (1,)):  # fmt: skip
        out.append(_say("outside_band"))
    return out


def mends(plan: MixPlan) -> list[str]:
    """For each missed aim, the cheapest way to mend it."""
    return [_mend(plan, missed) for missed in plan.missed]


def cautions_of(plan: MixPlan, knowledge: Knowledge) -> list[tuple[str, Caution]]:
    """The cautions of the materials used, worst first, each once."""
    used = [m.entry for m in plan.materials if m.entry is not None and np.any(m.kg)]
    found = {key: knowledge.cautions[key] for e in used for key in e.cautions if key in knowledge.cautions}
    order = ("fatal", "serious", "nuisance")
    return sorted(found.items(), key=lambda pair: (order.index(pair[1].severity), pair[0]))


def _mend(plan: MixPlan, missed: Missed) -> str:
    if missed.target == "total" or missed.nearest is None:
        return _say("mend_total") if missed.target == "total" else ""
    low = missed.nearest < missed.wanted.low
    if missed.target == "c_to_n":
        return _say("mend_low_ratio" if low else "mend_high_ratio")
    if not low:
        return _say("mend_too_wet")
    water = water_to_add_kg(typical(plan.kg), typical(plan.moisture), min(missed.wanted.low, 0.99))
    return _say("mend_too_dry", water=say(float(water), "kg", plan.recipe.units))


def _outcome(plan: MixPlan, units: Units) -> str:
    ratio, moisture = _known(plan.c_to_n, "c_to_n", units), _known(plan.moisture, "fraction", units)
    kind = {(True, True): "both", (True, False): "ratio", (False, True): "moisture", (False, False): "none"}
    return _say(f"result_{kind[bool(ratio), bool(moisture)]}", ratio=ratio, moisture=moisture)


def _known(value: Value, unit: str, units: Units) -> str:
    """A worded range; empty where not known."""
    if not np.all(np.isfinite(value)):
        return ""
    low, middle, high = spread(value)
    middle_text, _, range_text = say_range(low, middle, high, unit, units).partition("; ")
    return f"{middle_text} ({range_text})" if range_text else middle_text


def _aims(plan: MixPlan, units: Units) -> str:
    parts = []
    if plan.c_to_n_band:
        parts.append(_say("aim_c_to_n", band=_band(plan.c_to_n_band, "c_to_n", units)))
    if plan.moisture_band:
        parts.append(_say("aim_moisture", band=_band(plan.moisture_band, "moisture", units)))
    if plan.recipe.total:
        parts.append(_say("aim_total", band=say(plan.recipe.total.value, "kg", units, 3)))
    return "; ".join(parts)


def _band(band: Band, target: str, units: Units) -> str:
    if band.low == band.high:
        return _number(band.low, target, units)
    return _say("aim_band", low=say_number(band.low * (100.0 if target == "moisture" else 1.0)),
                high=_number(band.high, target, units))  # fmt: skip


def _number(value: float | None, target: str, units: Units) -> str:
    return "" if value is None else say(value, _UNITS[target], units, 3 if target == "total" else 2)


def _table(plan: MixPlan, units: Units) -> list[str]:
    rows: list[tuple[Any, ...]] = []
    for m in plan.materials:
        how = _say("how_told" if not m.found else "how_found" if typical(m.kg) > 0.0 else "how_none")
        rows.append((m.name, _amount(m.kg, "kg", units), _amount(m.m3, "m3", units), how))
    if len(rows) > 1:
        rows.append((_say("total_row"), _amount(plan.kg, "kg", units), _amount(plan.m3, "m3", units), ""))
    columns = ("material", "weight", "volume", "how")
    table = Table("mix", "", tuple(Column(_say(f"column_{c}")) for c in columns), tuple(rows))
    return table_lines(table, _WIDTH, units)


def _amount(value: Value, unit: str, units: Units) -> str:
    if not np.all(np.isfinite(value)):
        return "?"
    low, middle, high = spread(value)
    return say(middle, unit, units, 3) if low == high else _known(value, unit, units)


def _assumed_table(plan: MixPlan, knowledge: Knowledge, units: Units) -> list[str]:
    names = {m.key: m.name for m in plan.materials}
    rows = tuple(
        (
            names.get(a.material, ""),
            _say(f"property_{a.name}"),
            _figure(a, units),
            ", ".join(_from(a, knowledge)),
        )
        for a in plan.assumed
        if a.material
    )
    columns = ("material", "property", "value", "source")
    return table_lines(
        Table("assumed", "", tuple(Column(_say(f"column_{c}")) for c in columns), rows), _WIDTH, units
    )


def _figure(assumed: Assumed, units: Units) -> str:
    f = assumed.figure
    return say_range(f.low, f.value, f.high, f.unit, units).removeprefix("about ").replace("; ", " (") + (
        ")" if f.low != f.high else ""
    )


def _from(assumed: Assumed, knowledge: Knowledge) -> Iterator[str]:
    """Who says so, each once; else how the figure is known."""
    keys = dict.fromkeys(e.source for e in assumed.figure.evidence if e.source)
    named = [knowledge.sources[key] for key in keys if key in knowledge.sources]
    if not named:
        yield SEEN_WORDS[assumed.figure.seen]
    for source in named[:2]:
        yield f"{source.by} {source.year}".strip()


def _strays(value: Value, band: Band | None) -> bool:
    """Whether a value's likely range leaves its band."""
    if band is None or not np.all(np.isfinite(value)):
        return False
    low, _, high = spread(value)
    near = 1e-6 * band.high
    return low < band.low - near or high > band.high + near


def _say(sentence: str, **values: str) -> str:
    return sentences("mix")[sentence].format(**values)
