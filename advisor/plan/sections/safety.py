"""Advice in the safety order, cautions, the sheet for the shed door, and the calendar."""

from __future__ import annotations

import datetime as dt
import math

from advisor.farm.barred import barred_words
from advisor.knowledge.prose import filled
from advisor.plan.document import (
    Block,
    CalendarEvent,
    CautionBox,
    FillIn,
    Paragraph,
    Points,
    Section,
    Sheet,
)
from advisor.plan.sections.bed import base_rows, week_rows
from advisor.plan.sections.dates import after_turnout
from advisor.plan.sections.supply import buy_rows
from advisor.plan.voice import Voice
from advisor.reasoning.rules import ShownCaution

__all__ = ["advice_section", "calendar", "cautions_section", "log_section", "shed_sheet", "week_lines"]

# The worst are told in full; the rest in a line each, so that a plan stays short enough to be read.
_MOST_BOXES = 3
_MOST_ADVICE = 12


def advice_section(voice: Voice) -> Section:
    """The rules that hold, safest first."""
    items = [
        f"{filled(fired.rule.advise, voice.knowledge, voice.units)} "
        f"{filled(fired.rule.because, voice.knowledge, voice.units)}"
        for fired in voice.plan.recommendations[:_MOST_ADVICE]
    ]
    block: Block = Points(tuple(items), ordered=True) if items else Paragraph(voice.text("advice_none"))
    return Section("advice", voice.text("advice_title"), (block,))


def cautions_section(voice: Voice) -> Section:
    """Dangers that apply, with what to do; then, briefly, those that may."""
    sure = [shown for shown in voice.plan.cautions if shown.certain]
    perhaps = [shown for shown in voice.plan.cautions if not shown.certain]
    boxed = [shown for shown in sure if shown.caution.severity == "fatal"][:_MOST_BOXES]
    blocks: list[Block] = [_box(voice, shown) for shown in boxed]
    rest = [shown for shown in sure if shown not in boxed]
    blocks.append(Paragraph(voice.text("cautions_also"), "lead"))
    blocks.append(Points(tuple(_line(voice, shown) for shown in rest)))
    if perhaps:
        blocks.append(Paragraph(voice.text("cautions_if"), "lead"))
        blocks.append(Points(tuple(_line(voice, shown) for shown in perhaps)))
    blocks.append(Paragraph(voice.text("cautions_vet")))
    return Section("cautions", voice.text("cautions_title"), tuple(blocks))


def _line(voice: Voice, shown: ShownCaution) -> str:
    """A caution in one line: what it is, and the first thing to do."""
    first = filled(shown.caution.do[0], voice.knowledge, voice.units, shown.caution.figures)
    return f"{shown.caution.title}: {first[0].lower()}{first[1:]}"


def _box(voice: Voice, shown: ShownCaution) -> CautionBox:
    caution = shown.caution
    return CautionBox(
        title=caution.title,
        severity=caution.severity,
        danger=filled(caution.danger, voice.knowledge, voice.units, caution.figures),
        do=tuple(filled(line, voice.knowledge, voice.units, caution.figures) for line in caution.do),
        call=caution.call,
    )


def emergency_number(voice: Voice) -> str:
    """The number to call where the farm is."""
    region = voice.knowledge.regions.get(voice.plan.farm.region or "generic")
    return region.emergency if region else "112"


def week_lines(voice: Voice) -> list[str]:
    """What to add each week, a line for each time it changes, in the keeper's own bales where known."""
    lines = []
    for first, last, pen, key, day, week in week_rows(voice):
        when = f"{_short(voice, first)} to {_short(voice, last)}: " if voice.plan.timeline.dates_told else ""
        where = f" in {pen.replace('_', ' ')}" if len(voice.plan.farm.pens) > 1 else ""
        packs = voice.week_in_packs(key, week)
        lines.append(
            f"{when}{voice.number(week, 'kg')} of {voice.material(key)}{where}{packs} "
            f"({voice.text('sheet_day', day=voice.number(day, 'kg/day').removesuffix(' a day'))})"
        )
    return lines


def shed_sheet(voice: Voice) -> Sheet:
    """The page for the shed door: amounts, warning signs, numbers to call."""
    keeper, emergency = voice.text("sheet_keeper"), emergency_number(voice)
    signs = tuple(
        voice.text(f"sheet_sign_{name}", keeper=keeper, emergency=emergency)
        for name in ("wet", "smell", "dirty", "hot", "gas")
    )
    lines = [*barred_words(voice.plan.farm, voice.knowledge), *week_lines(voice)]
    return Sheet(
        voice.text("sheet_title", farm=voice.plan.farm.name or voice.heads()),
        (
            *(
                (
                    Paragraph(voice.text("sheet_week"), "lead"),
                    Points(tuple(lines)),
                    Paragraph(voice.text("sheet_where")),
                )
                if lines
                else (Paragraph(voice.text("bed_none"), "lead"),)
            ),
            Paragraph(voice.text("sheet_signs"), "lead"),
            Points(signs),
            FillIn(voice.text("sheet_numbers"), labels=(voice.text("sheet_owner"), voice.text("sheet_vet"))),
            Paragraph(voice.text("sheet_emergency", emergency=emergency), "lead"),
        ),
    )


def _short(voice: Voice, day: dt.date) -> str:
    return f"{day.day} {day:%b}" if voice.units == "metric" else f"{day:%b} {day.day}"


def log_section(voice: Voice) -> Section:
    """An empty heap log to fill in."""
    unit = "°C" if voice.units == "metric" else "°F"
    columns = (
        voice.text("log_columns_date"),
        f"{voice.text('log_columns_core')} ({unit})",
        f"{voice.text('log_columns_edge')} ({unit})",
        voice.text("log_columns_turned"),
        voice.text("log_columns_note"),
    )
    return Section("log", voice.text("log_title"), (FillIn("", columns=columns, rows=7),))


def calendar(voice: Voice) -> tuple[CalendarEvent, ...]:
    """The dated tasks of the season; none where no date is known."""
    plan = voice.plan
    if not plan.timeline.dates_told:
        return ()
    start, end = plan.timeline.start, plan.timeline.end
    day = dt.timedelta(days=1)
    events: list[CalendarEvent] = []
    for pen in plan.farm.pens:
        for key, kg in base_rows(voice, pen.id):
            title = voice.text(
                "event_base",
                mass=voice.number(kg, "kg"),
                material=voice.material(key),
                where=voice.at_pen(pen.id),
            )
            events.append(CalendarEvent(f"base:{pen.id}:{key}", start - day, title))
    events.append(CalendarEvent("in", start, voice.text("event_in")))
    for first, last, where, key, _, week in week_rows(voice):
        title = voice.text(
            "event_week",
            mass=voice.number(week, "kg"),
            material=voice.material(key),
            where=voice.at_pen(where),
        )
        events.append(
            CalendarEvent(
                f"week:{where}:{key}:{first}",
                first,
                title,
                voice.text("sheet_where"),
                repeat_weekly_until=last,
            )
        )
    events.append(CalendarEvent("check", start + 3 * day, voice.text("event_check"), repeat_weekly_until=end))
    for key, kg, by in buy_rows(voice):
        title = voice.text("event_buy", mass=voice.number(kg, "kg"), material=voice.material(key))
        events.append(CalendarEvent(f"buy:{key}", start + (by or -1) * day, title))
    for pen in plan.farm.pens:
        for what in ("drinker", "gate"):
            reached = plan.pens[pen.id][f"{what}_reached_day"]
            if reached is not None and math.isfinite(reached.spread()[1]):
                title = voice.text(f"event_{what}", pen=voice.inside(pen.id))
                when = start + int(reached.spread()[1]) * day
                events.append(CalendarEvent(f"{what}:{pen.id}", when, title))
    events.append(CalendarEvent("out", end, voice.text("event_out")))
    after = after_turnout(plan)
    if after is not None:
        if after.pigs_in is not None and after.pigs_out is not None:
            events.append(CalendarEvent("pigs_in", after.pigs_in, voice.text("event_pigs_in")))
            events.append(CalendarEvent("pigs_out", after.pigs_out, voice.text("event_pigs_out")))
        else:
            events.append(CalendarEvent("turn", after.heap, voice.text("event_turn")))
        if after.ready is not None:
            first, last = after.heap + 7 * day, after.heap + 56 * day
            title = voice.text("event_heap_turn")
            events.append(CalendarEvent("heap", first, title, repeat_weekly_until=last))
            events.append(CalendarEvent("ready", after.ready, voice.text("event_heap_ready")))
    return tuple(sorted(events, key=lambda event: (event.start, event.key)))
