"""The turnout sheet: what went in, what is there, what it cost, what to do differently, and what was learned."""

from __future__ import annotations

import datetime as dt
from typing import Any

import numpy as np

from advisor.farm.model import Farm, Measure
from advisor.plan.document import Block, Column, Document, Paragraph, Section, Table
from advisor.plan.wording import Units, say, say_number
from advisor.plan.words import units_of
from advisor.reasoning.draws import spread, typical
from advisor.reasoning.engine import Subject
from advisor.record.charts import charts
from advisor.record.entries import Bought
from advisor.record.forecast import Forecast
from advisor.record.ledger import amount_kg
from advisor.record.words import SeasonVoice, heads_on, heap_words

__all__ = ["lookback_document", "lookback_lines", "next_farm", "next_farm_yaml", "used_kg"]

_LEARNED = ("evaporation_at_minus5", "evaporation_at_5", "evaporation_at_15", "pack_air_share")
_Three = tuple[float, float, float]
_APART = 0.1  # what moved by less than this share is not worth saying


def lookback_document(
    forecast: Forecast, units: Units | None = None, case: str = "", pictures: bool = True
) -> Document:
    """The turnout sheet as a document."""
    voice = SeasonVoice(forecast.learned, units or units_of(forecast.learned))
    sections = [
        Section("in", voice.text("back_in"), (_went_in(voice, forecast),)),
        Section("there", voice.text("back_there"), tuple(_there(voice, forecast))),
        Section("heap", voice.text("back_heap"), (Paragraph(heap_words(voice, forecast)),)),
        Section("next", voice.text("back_next"), tuple(_differently(voice, forecast, case))),
    ]
    if pictures:
        sections.append(
            Section("pictures", voice.text("picture_title"), tuple(charts(forecast, voice.units)))
        )
    return Document(
        voice.text("back_title"), _heads(voice, forecast), forecast.learned.farm.name, forecast.today, voice.units,
        tuple(sections), identity=case,
    )  # fmt: skip


def _heads(voice: SeasonVoice, forecast: Forecast) -> str:
    """The animals of the plan, and how many were left at turnout where some came or went."""
    last = min(forecast.day, forecast.season.days) - 1
    now = heads_on(voice, forecast, max(0, last))
    return voice.heads() if now == voice.heads() else voice.text("back_heads", planned=voice.heads(), now=now)


def lookback_lines(forecast: Forecast, units: Units | None = None, case: str = "") -> list[str]:
    """The turnout sheet as talk, without its table and pictures."""
    sections = lookback_document(forecast, units, case, pictures=False).sections
    return [block.text for section in sections for block in section.blocks if isinstance(block, Paragraph)]


def used_kg(forecast: Forecast) -> dict[str, tuple[float, float, float]]:
    """(low, median, high) of each material used over the season, base included; future days as advised."""
    engine = forecast.learned.engine
    out: dict[str, tuple[float, float, float]] = {}
    for row, supply in enumerate(engine.value("supplies")):
        total = forecast.ledger.used_kg(supply.key) + sum(
            float(by_day[row].sum()) for by_day in forecast.rest.by_day.values()
        )
        for pen in forecast.learned.farm.pens:
            if engine.value("base_key", ("pen", pen.id)) == supply.key:
                total = total + engine.value("base_kg", ("pen", pen.id))
        if typical(total) > 0:
            out[supply.key] = spread(total)
    return out


def _went_in(voice: SeasonVoice, forecast: Forecast) -> Block:
    rows = []
    for key, (low, middle, high) in used_kg(forecast).items():
        packs = voice.in_packs(key, middle).removeprefix(", about ") or None
        rows.append(
            (voice.material(key), voice.number(middle, "kg"), _between(voice, low, high, "kg"), packs)
        )
    columns = (Column("Material"), Column("Used"), Column("Likely range"), Column("In your own units"))
    return Table("went_in", voice.text("back_in_table"), columns, tuple(rows))


def _between(voice: SeasonVoice, low: float, high: float, unit: str) -> str:
    return f"{say(low, unit, voice.units)} to {say(high, unit, voice.units)}"


def _there(voice: SeasonVoice, forecast: Forecast) -> list[Block]:
    out: list[Block] = []
    if not forecast.over:
        out.append(Paragraph(voice.text("back_early")))
    result = voice.result
    out.append(
        Paragraph(
            voice.text(
                "back_there_line",
                mass=result("pack_end_mass_kg"),
                volume=result("pack_end_volume_m3"),
                depth=result("pack_end_depth_m"),
                moisture=result("pack_end_moisture"),
                ratio=result("pack_end_c_to_n"),
            ),
            "lead",
        )
    )
    oxides = {}
    for name, source, ratio in (
        ("phosphate", "pack_end_phosphorus_kg", "p_to_p2o5"),
        ("potash", "pack_end_potassium_kg", "k_to_k2o"),
    ):
        factor = typical(forecast.learned.engine.value(ratio))
        node = forecast.learned.results[source]
        low, middle, high = node.spread() if node else (0.0, 0.0, 0.0)
        middle_text = voice.number(factor * middle, "kg")
        oxides[name] = f"about {middle_text} ({_between(voice, factor * low, factor * high, 'kg')})"
    out.append(Paragraph(voice.text("back_nutrients", nitrogen=result("pack_end_nitrogen_kg"), **oxides)))
    out.append(Paragraph(voice.text("back_lost", lost=result("nitrogen_lost_share"))))
    out.append(Paragraph(_cost(voice, forecast)))
    spent = _spent(forecast)
    if spent > 0:
        out.append(Paragraph(voice.text("back_bought", cost=voice.money(spent))))
    return out


def _cost(voice: SeasonVoice, forecast: Forecast) -> str:
    """Cost in all and a head: with work where an hour has a price, else of the bedding where that has one."""
    cost, head = (forecast.learned.results[name] for name in ("season_cost", "season_cost_head"))
    if cost is not None and head is not None:
        amounts = {"cost": voice.money(cost.spread()[1]), "head": voice.money(head.spread()[1])}
        return voice.text("back_cost", **amounts)
    value = forecast.learned.engine.value("bedding_value")
    if value is None:
        return voice.text("back_cost_unknown")
    middle = spread(value)[1]
    heads = typical(forecast.learned.engine.value("head_count"))
    return voice.text(
        "back_cost_bedding", cost=voice.money(middle), head=voice.money(middle / max(heads, 1.0))
    )


def _planned_kg(forecast: Forecast) -> float:
    """Bedding by the plan of the start, base included, for the animals that were there."""
    base = sum(kg for pen in forecast.plan.decision.base_kg.values() for kg in pen.values())
    return base + sum(float(by_day.sum()) for by_day in forecast.rest.planned.values())


def _spent(forecast: Forecast) -> float:
    learned, total = forecast.learned, 0.0
    for entry in forecast.record:
        if isinstance(entry, Bought) and entry.cost is not None:
            total += entry.cost
        elif isinstance(entry, Bought) and entry.price is not None:
            kg = amount_kg(entry, learned.engine, learned.farm, learned.knowledge)[1]
            total += entry.price * kg / 1000.0
    return total


def _differently(voice: SeasonVoice, forecast: Forecast, case: str) -> list[Block]:
    out: list[str] = []
    planned, now = _planned_kg(forecast), forecast.learned.number("bedding_total_kg") or 0.0
    if planned > 0 and abs(now - planned) > _APART * planned:
        more = say_share(abs(now - planned) / planned, voice.units)
        out.append(
            voice.text("next_more", more=more) if now > planned else voice.text("next_less", less=more)
        )
    limit = forecast.learned.number("top_moisture_limit") or 1.0
    wet = max(
        sum(spread(run.top_moisture[day])[1] > limit for day in range(1, forecast.day + 1))
        for run in forecast.learned.packs.values()
    )
    if wet >= 7:
        out.append(voice.text("next_wet", days=say(float(wet), "day", voice.units)))
    gaps = sum(gap.days for gap in forecast.ledger.gaps)
    if gaps:
        out.append(voice.text("next_gaps", days=say(float(gaps), "day", voice.units)))
    if forecast.rest.decision.missed in ("dry", "clean"):
        out.append(voice.text("next_short"))
    if not forecast.learning.readings:
        out.append(voice.text("next_unread"))
    out += _bales(voice, forecast) + _drying(voice, forecast)
    out = out or [voice.text("next_nothing")]
    return [*(Paragraph(text) for text in out), Paragraph(voice.text("next_start", case=case or "CASE"))]


def say_share(share: float, units: Units) -> str:
    """A share as a percentage."""
    return say(share, "fraction", units)


def _bales(voice: SeasonVoice, forecast: Forecast) -> list[str]:
    out = []
    for key, (before, now) in _pack_masses(forecast).items():
        if abs(now[1] - before[1]) > 0.03 * before[1]:
            out.append(
                voice.text(
                    "next_bale",
                    material=voice.material(key),
                    mass=voice.number(now[1], "kg"),
                    before=voice.number(before[1], "kg"),
                )
            )
    return out


def _drying(voice: SeasonVoice, forecast: Forecast) -> list[str]:
    pen: Subject = ("pen", forecast.learned.farm.pens[0].id)
    before, now = (
        spread(plan.engine.value("evaporation_at_5", pen))[1] for plan in (forecast.plan, forecast.learned)
    )
    change = now / before - 1.0 if before > 0 else 0.0
    if not forecast.learning.readings or abs(change) < _APART:
        return []
    faster = voice.text("next_faster" if change > 0 else "next_slower")
    return [voice.text("next_drying", faster=faster, share=say_share(abs(change), voice.units))]


def _pack_masses(forecast: Forecast) -> dict[str, tuple[_Three, _Three]]:
    """What one bale weighs, as taken at the start and as it now seems, where the record could tell."""
    out: dict[str, tuple[_Three, _Three]] = {}
    for supply, told in zip(
        forecast.plan.engine.value("supplies"), forecast.plan.farm.materials, strict=True
    ):
        subject: Subject = ("material", supply.key)
        if told.packs is None:
            continue
        before = forecast.plan.engine.value("bale_mass_kg", subject)
        now = forecast.learned.engine.value("bale_mass_kg", subject)
        if isinstance(before, np.ndarray) and typical(before) > 0 and forecast.learning.readings:
            out[supply.key] = spread(before), spread(now)
    return out


def next_farm(forecast: Forecast) -> Farm:
    """A farm for the next winter, a year on, that starts from what was learned: bale weights, drying, density.

    What is on hand then nobody knows yet, so amounts are left out.
    """
    farm = forecast.plan.farm
    facts: dict[str, Any] = dict(farm.facts)
    species = {forecast.learned.knowledge.animals[group.class_].species for group in farm.groups}
    if forecast.learning.readings and len(species) == 1:
        pen: Subject = ("pen", farm.pens[0].id)
        for name in _LEARNED:
            facts[name] = _measured(forecast.learned.engine.value(name, pen))
    materials = []
    for supply, told in zip(forecast.plan.engine.value("supplies"), farm.materials, strict=True):
        changes: dict[str, Any] = {"packs": None, "amount": None, "volume": None, "from_date": None}
        if supply.key in _pack_masses(forecast):
            changes["pack_mass"] = _measured(
                forecast.learned.engine.value("bale_mass_kg", ("material", supply.key))
            )
        materials.append(told.model_copy(update=changes))
    groups = tuple(
        group.model_copy(update={"in_": _a_year_on(group.in_), "out": _a_year_on(group.out), "changes": ()})
        for group in farm.groups
    )
    return farm.model_copy(
        update={
            "start": _a_year_on(forecast.season.start),
            "end": _a_year_on(farm.end),
            "groups": groups,
            "materials": tuple(materials),
            "facts": {name: value for name, value in facts.items() if value is not None},
        }
    )


def next_farm_yaml(forecast: Forecast) -> str:
    """The next farm as a farm file."""
    import yaml

    data = next_farm(forecast).model_dump(mode="json", by_alias=True, exclude_defaults=True)
    text: str = yaml.safe_dump({"schema_version": 1, **data}, sort_keys=False, allow_unicode=True)
    return text


def _measured(value: Any) -> Measure | None:
    """The learned range as a told one, from nearly the least to nearly the most of the draws."""
    if not isinstance(value, np.ndarray) or value.size < 3:
        return None
    low, middle, high = (float(v) for v in np.percentile(value[1:], [2, 50, 98]))
    said = f"{say_number(low)} to {say_number(high)}, learned last winter"
    return Measure(value=middle, low=low, high=high, said=said)


def _a_year_on(date: dt.date | None) -> dt.date | None:
    if date is None:
        return None
    try:
        return date.replace(year=date.year + 1)
    except ValueError:
        return date.replace(year=date.year + 1, day=28)
