"""Do they fit, how to bed them, does the bedding last, how high will the floor stand."""

from __future__ import annotations

import datetime as dt
import math

from advisor.plan.document import Block, Column, Paragraph, Section, Table
from advisor.plan.make import ration
from advisor.plan.sections.pictures import depth_chart, moisture_chart, ratio_chart, supply_chart
from advisor.plan.voice import Voice
from advisor.plan.wording import say_date
from advisor.reasoning.draws import typical
from advisor.science.space import legal_limit

__all__ = ["bed_section", "fit_section", "height_section", "supply_section", "week_rows"]


def fit_section(voice: Voice) -> Section:
    """Room for each pen and each group."""
    plan = voice.plan
    blocks: list[Block] = []
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
            heads = sum(g.count for g in plan.farm.groups if g.pen == pen.id)
            fewer = max(0, math.floor(heads * middle))
            blocks.append(
                Paragraph(
                    voice.text(
                        sentence,
                        pen=voice.pen(pen.id),
                        have=voice.ranged(have),
                        need=voice.ranged(need),
                        fewer=fewer,
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
    return voice.text(
        "fit_head",
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


def bed_section(voice: Voice) -> Section:
    """Base and weekly top-up, by weight and in the keeper's own bales."""
    plan = voice.plan
    blocks: list[Block] = []
    for pen in plan.farm.pens:
        for key, kg in plan.decision.base_kg.get(pen.id, {}).items():
            depth = plan.engine.node("base_depth_m", ("pen", pen.id))
            if kg > 0:
                blocks.append(
                    Paragraph(
                        voice.text(
                            "bed_base",
                            where=f", {voice.pen(pen.id).lower()}" if len(plan.farm.pens) > 1 else "",
                            depth=voice.ranged(depth),
                            material=voice.material(key),
                            mass=voice.ranged(plan.pens[pen.id]["base_kg"]),
                            packs=voice.in_packs(key, kg),
                        ),
                        "lead",
                    )
                )
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
            _round(day * factor),
            _round(week * factor),
            voice.in_packs(key, week).removeprefix(", about ") or None,
        )
        for first, last, pen, key, day, week in rows
    )
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
        out.append(Paragraph(voice.text(sentence, moisture=voice.ranged(wet), limit=voice.ranged(limit))))
    liquid = plan.results["free_liquid_kg"]
    if liquid is not None and liquid.spread()[2] > 1.0:
        out.append(Paragraph(voice.text("bed_liquid", liquid=voice.number(liquid.spread()[2], "kg"))))
    missed = plan.decision.missed
    if missed in ("dry", "clean"):
        out.append(Paragraph(voice.text(f"bed_missed_{missed}")))
        order = "; ".join(
            f"{voice.pen(pen)}, {voice.number(gets, 'kg/day')} of the {voice.number(need, 'kg/day')} it needs"
            for pen, need, gets in ration(plan)
        )
        out.append(
            Paragraph(voice.text("bed_mend", mass=voice.number(plan.decision.mend_kg, "kg"), order=order))
        )
    ratio = plan.results["pack_end_c_to_n"]
    if ratio is not None:
        middle = ratio.spread()[1]
        goal = plan.engine.value("goal_c_to_n")
        high_goal = plan.engine.value("acceptable_c_to_n_high")
        name = (
            "bed_carbon_low"
            if middle < goal
            else "bed_carbon_high"
            if middle > high_goal
            else "bed_carbon_ok"
        )
        out.append(Paragraph(voice.text(name, ratio=voice.ranged(ratio))))
        if plan.decision.carbon_bought_kg > 0:
            out.append(
                Paragraph(
                    voice.text(
                        "bed_carbon_cost",
                        mass=voice.number(plan.decision.carbon_bought_kg, "kg"),
                        cost=_carbon_cost(voice),
                    ),
                    "reason",
                )
            )
    return out


def _carbon_cost(voice: Voice) -> str:
    prices = [s.price_kg for s in voice.supplies if s.price_kg is not None and s.bedding]
    if not prices:
        return ""
    return f", {voice.money(min(prices) * voice.plan.decision.carbon_bought_kg)}"


def supply_section(voice: Voice) -> Section:
    """Does what is on hand last, what to buy, what it costs, and the work."""
    plan = voice.plan
    blocks: list[Block] = []
    on_hand, lasts = plan.results["supply_on_hand_kg"], plan.results["supply_lasts_days"]
    have, need = voice.ranged(on_hand), voice.result("bedding_total_kg")
    if on_hand is None or typical(on_hand.value) <= 0:
        blocks.append(Paragraph(voice.text("supply_none_told", need=need), "lead"))
    elif plan.decision.mend_kg > 0:
        lack = voice.number(plan.decision.mend_kg, "kg")
        blocks.append(Paragraph(voice.text("supply_all_used", have=have, lack=lack), "lead"))
    elif lasts is not None and lasts.spread()[1] >= plan.timeline.days - 0.5:
        blocks.append(Paragraph(voice.text("supply_lasts", have=have, need=need), "lead"))
    elif lasts is not None:
        day = round(lasts.spread()[1])
        sentence = "supply_short" if plan.timeline.dates_told else "supply_short_undated"
        date = say_date(plan.timeline.date(day), voice.units)
        blocks.append(
            Paragraph(
                voice.text(sentence, have=have, need=need, date=date, lasts=voice.ranged(lasts)), "lead"
            )
        )
    for key, kg in plan.decision.buy_kg.items():
        if kg > 0:
            by = ""
            if plan.timeline.dates_told and lasts is not None and lasts.spread()[0] < plan.timeline.days:
                by = voice.text(
                    "supply_by", date=say_date(plan.timeline.date(int(lasts.spread()[0])), voice.units)
                )
            blocks.append(
                Paragraph(
                    voice.text(
                        "supply_buy",
                        mass=voice.number(kg, "kg"),
                        material=voice.material(key),
                        packs=voice.in_packs(key, kg),
                        by=by,
                    )
                )
            )
    if any(kg > 0 for kg in plan.decision.buy_kg.values()):
        cost = plan.results["purchase_cost"]
        if cost is None:
            blocks.append(Paragraph(voice.text("supply_no_price"), "reason"))
        else:
            blocks.append(Paragraph(voice.text("supply_cost", cost=voice.money(cost.spread()[1]))))
    blocks.append(Paragraph(voice.text("supply_hours", hours=voice.result("bedding_hours_week")), "reason"))
    cost, head = plan.results["season_cost"], plan.results["season_cost_head"]
    if cost is not None and head is not None:
        amounts = {"cost": voice.money(cost.spread()[1]), "head": voice.money(head.spread()[1])}
        blocks.append(Paragraph(voice.text("supply_season", **amounts)))
    return Section("supply", voice.text("supply_title"), tuple(blocks))


def height_section(voice: Voice) -> Section:
    """The floor at turnout against gates, headroom and drinkers."""
    plan = voice.plan
    blocks: list[Block] = []
    known = False
    for pen in plan.farm.pens:
        results = plan.pens[pen.id]
        rise = plan.results["pack_rise_mm_day"]
        flat = rise is not None and rise.spread()[1] < 0.5
        blocks.append(
            Paragraph(
                voice.text(
                    "height_depth_flat" if flat else "height_depth",
                    pen=voice.pen(pen.id),
                    depth=voice.ranged(results["pen_end_depth_m"]),
                    rise=voice.result("pack_rise_mm_day"),
                ),
                "lead",
            )
        )
        gate, head, drinker = (
            results["pen_gate_margin_m"],
            results["pen_headroom_left_m"],
            results["drinker_reached_day"],
        )
        if gate is not None:
            known = True
            enough = gate.spread()[0] >= typical(plan.engine.value("gate_height_least", ("pen", pen.id)))
            sentence = "height_gate" if enough else "height_gate_bad"
            blocks.append(Paragraph(voice.text(sentence, left=voice.ranged(gate))))
        if head is not None:
            known = True
            blocks.append(Paragraph(voice.text("height_headroom", left=voice.ranged(head))))
        if drinker is not None and math.isfinite(drinker.spread()[1]) and plan.timeline.dates_told:
            date = say_date(plan.timeline.date(int(drinker.spread()[1])), voice.units)
            blocks.append(Paragraph(voice.text("height_drinker", date=date)))
    if not known:
        blocks.append(Paragraph(voice.text("height_unknown")))
    blocks.append(Paragraph(voice.text("height_reason"), "reason"))
    left = supply_chart(voice)
    blocks += [depth_chart(voice)] if left is None else [depth_chart(voice), left]  # side by side on paper
    return Section("height", voice.text("height_title"), tuple(blocks))


def _round(value: float) -> float:
    """Two significant figures, whole where it is ten or more."""
    if value <= 0:
        return 0.0
    digits = 1 - math.floor(math.log10(value))
    return round(value, min(digits, 1)) if value < 10 else float(round(value, digits))
