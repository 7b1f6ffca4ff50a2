"""Do they fit, and how to bed them."""

from __future__ import annotations

import datetime as dt
import math

import numpy as np

from advisor.farm.barred import barred_words
from advisor.plan.document import Block, Column, Paragraph, Section, Table
from advisor.plan.make import ration
from advisor.plan.sections.pictures import moisture_chart, ratio_chart
from advisor.plan.voice import Voice
from advisor.reasoning.draws import typical
from advisor.science.space import legal_limit

__all__ = ["base_rows", "bed_section", "fit_section", "week_rows"]

_LEAST_A_DAY = 0.1  # kg or lb: less is told by the week only


def fit_section(voice: Voice) -> Section:
    """Room for each pen and each group."""
    plan = voice.plan
    blocks: list[Block] = []
    if plan.timeline.dates_told and plan.timeline.end < plan.today:
        blocks.append(Paragraph(voice.text("past"), "lead"))
    for pen in plan.farm.pens:
        results = plan.pens[pen.id]
        ratio, need, have = results["pen_space_ratio"], results["space_needed_m2"], results["area_m2"]
        if ratio is None or need is None or have is None:
            continue
        if pen.area is None:
            blocks.append(Paragraph(voice.text("fit_unknown", need=voice.ranged(need)), "lead"))
        else:
            middle, lowest = ratio.spread()[1], ratio.spread()[0]
            sentence = "fit_yes" if lowest >= 1.0 else "fit_tight" if middle >= 1.0 else "fit_no"
            there = [plan.timeline.heads[g.id] for g in plan.farm.groups if g.pen == pen.id]
            heads = int(np.sum(there, axis=0).max()) if there else 0
            fewer = max(0, math.floor(heads * middle))
            blocks.append(
                Paragraph(
                    voice.text(
                        sentence,
                        pen=voice.pen(pen.id),
                        have=voice.ranged(have),
                        need=voice.ranged(need),
                        fewer=fewer,
                        heads=heads,
                    ),
                    "lead",
                )
            )
    for group in plan.farm.groups:
        blocks.append(Paragraph(_head_line(voice, group.id)))
    blocks.append(Paragraph(voice.text("fit_reason"), "reason"))
    return Section("fit", voice.text("fit_title"), tuple(blocks))


def _head_line(voice: Voice, group_id: str) -> str:
    plan = voice.plan
    group = next(g for g in plan.farm.groups if g.id == group_id)
    entry = voice.knowledge.animals[group.class_]
    weight = typical(plan.engine.value("weight_kg", ("group", group_id)))
    limit, region = legal_limit(plan.engine.value("space_rules"), entry.species, group.class_, weight)
    results = plan.groups[group_id]
    legal = voice.ranged(results["legal_space_m2_head"])
    if limit is None or region is None:
        own = voice.knowledge.regions.get(plan.farm.region or "generic")
        law = voice.text("fit_law_none", authority=own.authority if own else "your local authority")
    elif plan.farm.region in (None, "generic"):
        law = voice.text("fit_law_strict", legal=legal, region=region.name)
    else:
        law = voice.text("fit_law_known", legal=legal, region=region.name)
    litter, space = results["litter_space_m2_head"], results["space_m2_head"]
    more = litter is not None and space is not None and space.spread()[1] > 1.001 * litter.spread()[1]
    return voice.text(
        "fit_head_law" if more else "fit_head",
        **{"class": entry.plural.capitalize()},
        space=voice.ranged(results["space_m2_head"]),
        litter=voice.ranged(results["litter_space_m2_head"]),
        law=law,
    )


def week_rows(voice: Voice) -> list[tuple[dt.date, dt.date, str, str, float, float]]:
    """(first day, last day, pen, material key, kg a day, kg a week), one a change."""
    plan = voice.plan
    rows: list[tuple[dt.date, dt.date, str, str, float, float]] = []
    for pen, materials in plan.decision.rates.items():
        for key, rates in materials.items():
            start, before = plan.timeline.start, None
            for period, rate in zip(plan.timeline.periods, rates, strict=False):
                first = plan.timeline.date(period.first)
                last = plan.timeline.date(period.first + period.days - 1)
                if before is not None and abs(rate - before) < 0.01 * max(rate, before, 1e-9):
                    rows[-1] = (*rows[-1][:1], last, *rows[-1][2:])
                elif rate > 0:
                    start = first
                    rows.append((start, last, pen, key, rate, 7 * rate))
                    before = rate
                    continue
                before = rate if rate > 0 else None
    return sorted(rows, key=lambda row: (row[0], row[2], row[3]))


def base_rows(voice: Voice, pen: str) -> list[tuple[str, float]]:
    """(material, kg) of a pen's base: the middle of its range, as every page tells it."""
    node = voice.plan.pens[pen]["base_kg"]
    middle = node.spread()[1] if node is not None else 0.0
    return [(key, middle) for key, kg in voice.plan.decision.base_kg.get(pen, {}).items() if kg > 0]


def bed_section(voice: Voice) -> Section:
    """Base and weekly top-up, by weight and in the keeper's own bales."""
    plan = voice.plan
    blocks: list[Block] = [Paragraph(text, "lead") for text in barred_words(plan.farm, voice.knowledge)]
    for pen in plan.farm.pens:
        for key, kg in base_rows(voice, pen.id):
            blocks.append(
                Paragraph(
                    voice.text(
                        "bed_base",
                        where=voice.at_pen(pen.id),
                        depth=_depth(voice, pen.id),
                        material=voice.material(key),
                        mass=voice.ranged(plan.pens[pen.id]["base_kg"]),
                        packs=voice.in_packs(key, kg),
                    ),
                    "lead",
                )
            )
    share = typical(plan.engine.value("base_share"))
    if share <= 0.0:
        blocks.append(Paragraph(voice.text("bed_base_none")))
    elif share < 0.95:
        usual = plan.engine.node("base_depth_m", ("pen", plan.farm.pens[0].id))
        blocks.append(Paragraph(voice.text("bed_base_thin", usual=voice.figure(usual))))
    if plan.decision.given:
        blocks.append(Paragraph(voice.text("bed_given")))
    rows = week_rows(voice)
    dated = plan.timeline.dates_told
    metric = voice.units == "metric"
    unit = "kg" if metric else "lb"
    factor = 1.0 if metric else 1 / 0.45359237
    table = tuple(
        (
            first if dated else f"day {(first - plan.timeline.start).days + 1}",
            last if dated else f"day {(last - plan.timeline.start).days + 1}",
            pen.replace("_", " "),
            voice.material(key),
            _round(day * factor) if day * factor >= _LEAST_A_DAY else None,
            _round(week * factor),
            voice.week_in_packs(key, week).removeprefix(", ").removeprefix("about ") or None,
        )
        for first, last, pen, key, day, week in rows
    )
    if rows:
        blocks.append(
            Table(
                "schedule",
                voice.text("bed_table"),
                (
                    Column("From"),
                    Column("To"),
                    Column("Pen"),
                    Column("Material"),
                    Column("A day", unit, "right"),
                    Column("A week", unit, "right"),
                    Column("A week, your own units"),
                ),
                table,
            )
        )
    else:
        blocks.append(Paragraph(voice.text("bed_none"), "lead"))
    blocks += _verdicts(voice)
    blocks.append(Paragraph(voice.text("bed_reason_absorb"), "reason"))
    blocks += [moisture_chart(voice), ratio_chart(voice)]
    return Section("bed", voice.text("bed_title"), tuple(blocks))


def _verdicts(voice: Voice) -> list[Block]:
    plan = voice.plan
    wet, limit = plan.results["top_moisture_worst"], plan.results["top_moisture_limit"]
    out: list[Block] = []
    if wet is not None and limit is not None:
        _, middle, high = wet.spread()
        most = limit.spread()[1]
        sentence = "bed_dry_ok" if high <= most else "bed_dry_risk" if middle <= most else "bed_dry_bad"
        if plan.decision.missed == "dry" and middle <= most:
            sentence = "bed_dry_mean"
        out.append(Paragraph(voice.text(sentence, moisture=voice.ranged(wet), limit=voice.ranged(limit))))
    liquid = plan.results["free_liquid_kg"]
    if liquid is not None and liquid.spread()[2] > 1.0:
        out.append(Paragraph(voice.text("bed_liquid", liquid=voice.number(liquid.spread()[2], "kg"))))
    missed = plan.decision.missed
    if missed == "dry" and plan.decision.mend_kg < 1.0:
        most_kg = sum(gets for _, _, gets in ration(plan))
        out.append(Paragraph(voice.text("bed_missed_capped", most=voice.number(most_kg, "kg/day"))))
    elif missed in ("dry", "clean"):
        out.append(Paragraph(voice.text(f"bed_missed_{missed}")))
        out.append(Paragraph(_mend(voice)))
    ratio = plan.results["pack_end_c_to_n"]
    if ratio is not None:
        middle = ratio.spread()[1]
        goal = plan.engine.value("goal_c_to_n")
        high_goal = plan.engine.value("acceptable_c_to_n_high")
        poor = typical(plan.engine.value("acceptable_c_to_n_low"))
        name = (
            "bed_carbon_poor"
            if middle < poor
            else "bed_carbon_low"
            if middle < goal
            else "bed_carbon_high"
            if middle > high_goal
            else "bed_carbon_ok"
        )
        out.append(Paragraph(voice.text(name, ratio=voice.ranged(ratio))))
        if plan.decision.carbon_bought_kg >= 1.0:
            out.append(
                Paragraph(
                    voice.text(
                        "bed_carbon_cost",
                        mass=voice.number(plan.decision.carbon_bought_kg, "kg"),
                        cost=_carbon_cost(voice),
                    )
                )
            )
    return out


def _depth(voice: Voice, pen: str) -> str:
    """How deep to lay the base: one number to lay by; the range stays where the keeper told one."""
    node = voice.plan.pens[pen]["laid_base_depth_m"]
    if node is None or voice.plan.engine.value("base_is_told") or voice.plan.decision.given:
        return voice.ranged(node)
    return voice.number(typical(node.value), "m")


def _mend(voice: Voice) -> str:
    """What more bedding would mend, and who gets what there is."""
    amounts = [
        (pen, {"gets": voice.number(gets, "kg/day"), "need": voice.number(need, "kg/day")})
        for pen, need, gets in ration(voice.plan)
    ]
    mass = voice.number(voice.plan.decision.mend_kg, "kg")
    if all(gets >= need for _, need, gets in ration(voice.plan)):
        return voice.text("bed_mend_late", mass=mass)
    if len(amounts) == 1:
        return voice.text("bed_mend_one", mass=mass, **amounts[0][1])
    order = "; ".join(voice.text("bed_mend_pen", pen=voice.pen(pen), **told) for pen, told in amounts)
    return voice.text("bed_mend", mass=mass, order=order)


def _carbon_cost(voice: Voice) -> str:
    prices = [s.price_kg for s in voice.supplies if s.price_kg is not None and s.bedding]
    if not prices:
        return ""
    amount = voice.money(min(prices) * voice.plan.decision.carbon_bought_kg)
    return voice.text("bed_carbon_price", amount=amount)


def _round(value: float) -> float:
    """Two significant figures."""
    if value <= 0:
        return 0.0
    digits = 1 - math.floor(math.log10(value))
    return float(round(value, digits))
