"""Does the bedding last, what to buy and by when, what it costs, and the work."""

from __future__ import annotations

from advisor.plan.document import Block, Paragraph, Section
from advisor.plan.voice import Voice
from advisor.plan.wording import say_date
from advisor.reasoning.draws import spread, typical
from advisor.science.supply import day_used_up

__all__ = ["MINUTES_H", "buy_rows", "supply_section"]

MINUTES_H = 0.15  # below this many hours a week the work is told as minutes, without a number


def supply_section(voice: Voice) -> Section:
    """Does what is on hand last, what to buy, what it costs, and the work."""
    plan = voice.plan
    blocks: list[Block] = []
    on_hand, lasts = plan.results["supply_on_hand_kg"], plan.results["supply_lasts_days"]
    have, need = voice.ranged(on_hand), voice.result("bedding_total_kg")
    if (on_hand is None or typical(on_hand.value) <= 0) and plan.decision.mend_kg >= 1.0:
        lack = voice.number(plan.decision.mend_kg, "kg")
        blocks.append(Paragraph(voice.text("supply_none", lack=lack), "lead"))
    elif on_hand is None or typical(on_hand.value) <= 0:
        blocks.append(Paragraph(voice.text("supply_none_told", need=need), "lead"))
    elif plan.decision.mend_kg >= 1.0:
        lack = voice.number(plan.decision.mend_kg, "kg")
        late = [supply.first_day for supply in voice.supplies if supply.first_day > 0]
        if late and plan.timeline.dates_told:
            date = say_date(plan.timeline.date(max(late)), voice.units)
            blocks.append(Paragraph(voice.text("supply_late", have=have, lack=lack, date=date), "lead"))
        else:
            blocks.append(Paragraph(voice.text("supply_all_used", have=have, lack=lack), "lead"))
    elif lasts is not None and lasts.spread()[1] >= plan.timeline.days - 0.5:
        blocks.append(Paragraph(voice.text("supply_lasts", have=have, need=need), "lead"))
    elif lasts is not None and not plan.decision.given and not any(plan.decision.buy_kg.values()):
        blocks.append(Paragraph(voice.text("supply_only_just", have=have, need=need), "lead"))
    elif lasts is not None:
        day = round(lasts.spread()[1])
        sentence = "supply_short" if plan.timeline.dates_told else "supply_short_undated"
        sentence = sentence if day else "supply_short_base"
        date = say_date(plan.timeline.date(day), voice.units)
        blocks.append(
            Paragraph(
                voice.text(sentence, have=have, need=need, date=date, lasts=voice.ranged(lasts)), "lead"
            )
        )
    for key, kg, by_day in buy_rows(voice):
        by = ""
        if plan.timeline.dates_told and by_day == 0:
            by = voice.text("supply_by_first")
        elif plan.timeline.dates_told and by_day < plan.timeline.days:
            by = voice.text("supply_by", date=say_date(plan.timeline.date(by_day), voice.units))
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
            blocks.append(Paragraph(voice.text("supply_no_price")))
        else:
            blocks.append(Paragraph(voice.text("supply_cost", cost=voice.money(cost.spread()[1]))))
    hours = plan.results["bedding_hours_week"]
    few = hours is not None and hours.spread()[1] < MINUTES_H
    if hours is not None and hours.spread()[1] > 0:
        text = voice.text("supply_minutes") if few else voice.text("supply_hours", hours=voice.ranged(hours))
        blocks.append(Paragraph(text))
    cost, head = plan.results["season_cost"], plan.results["season_cost_head"]
    if cost is not None and head is not None:
        amounts = {"cost": voice.money(cost.spread()[1]), "head": voice.money(head.spread()[1])}
        blocks.append(Paragraph(voice.text("supply_season", **amounts)))
    return Section("supply", voice.text("supply_title"), tuple(blocks))


def buy_rows(voice: Voice) -> list[tuple[str, float, int]]:
    """(material, kg, day by which it is needed) of everything to buy; the day on the safe side of its range."""
    plan = voice.plan
    rows = []
    for key, kg in plan.decision.buy_kg.items():
        if kg > 0:
            on_hand = plan.engine.value("usable_on_hand_kg", ("material", key))
            rows.append((key, kg, int(spread(day_used_up(key, on_hand, plan.decision, plan.timeline))[0])))
    return rows
