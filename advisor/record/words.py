"""A forecast put into words: this week, the dates ahead, against the plan, what the notes tell."""

from __future__ import annotations

import datetime as dt

import numpy as np

from advisor.knowledge.prose import filled
from advisor.plan.document import Block, CalendarEvent, Column, Document, Paragraph, Section, Table
from advisor.plan.voice import Voice, sentences
from advisor.plan.wording import Units, say, say_date, say_number, say_range
from advisor.plan.words import units_of
from advisor.reasoning.draws import spread, typical
from advisor.record.advice import Advice, DateRange, PenAdvice, advise
from advisor.record.charts import charts
from advisor.record.forecast import Forecast
from advisor.record.heap_log import heap_log
from advisor.record.likelihood import Reading
from advisor.record.saying import entry_words

__all__ = ["SeasonVoice", "heads_on", "heap_words", "lack_words", "season_document", "this_week"]

_STAND = (
    "pack_end_depth_m", "top_moisture_worst", "pack_end_c_to_n", "pack_end_nitrogen_kg", "bedding_total_kg",
    "season_cost",
)  # fmt: skip


class SeasonVoice(Voice):
    """The plan's voice with the sentences of the season."""

    def text(self, sentence: str, **values: object) -> str:
        """A sentence of the season sheet with its places filled."""
        own = sentences("season")
        return (own if sentence in own else sentences())[sentence].format(**values)

    def day(self, date: dt.date) -> str:
        """A date in words, without the year."""
        return say_date(date, self.units, year=False)

    def span(self, dates: DateRange) -> str:
        """The likely range of a date."""
        if dates.early is None:
            return "?"
        if dates.late is None:
            return self.text("range_open", early=self.day(dates.early))
        return self.text("range_dates", early=self.day(dates.early), late=self.day(dates.late))


def season_document(
    forecast: Forecast, units: Units | None = None, case: str = "", pictures: bool = True
) -> Document:
    """The season sheet as a document."""
    voice = SeasonVoice(forecast.learned, units or units_of(forecast.learned))
    advice = advise(forecast)
    now = min(forecast.day + 1, forecast.season.days)
    heads = heads_on(voice, forecast, min(forecast.day, forecast.season.days - 1))
    subtitle = (
        voice.text("subtitle_over", heads=heads)
        if forecast.over
        else voice.text("subtitle", heads=heads, day=now, days=forecast.season.days)
    )
    sections = [
        Section("week", voice.text("week_title"), tuple(_week(voice, forecast, advice, case))),
        Section("dates", voice.text("dates_title"), tuple(_dates(voice, advice, forecast.today))),
        Section("stand", voice.text("stand_title"), tuple(_stand(voice, forecast))),
        Section("learned", voice.text("learned_title"), tuple(_learned(voice, forecast))),
    ]
    if advice.new_rules:
        knowledge = voice.knowledge
        rules: list[Block] = []
        for fired in advice.new_rules:
            rules.append(Paragraph(filled(fired.rule.advise, knowledge, voice.units)))
            rules.append(Paragraph(filled(fired.rule.because, knowledge, voice.units), "reason"))
        sections.append(Section("rules", voice.text("rules_title"), tuple(rules)))
    if pictures:
        sections.append(
            Section("pictures", voice.text("picture_title"), tuple(charts(forecast, voice.units)))
        )
    sections.append(Section("record", voice.text("record_title"), tuple(_record(voice, forecast))))
    return Document(
        voice.text("title"), subtitle, forecast.learned.farm.name, forecast.today, voice.units, tuple(sections),
        calendar=_calendar(voice, advice), identity=case,
    )  # fmt: skip


def this_week(
    forecast: Forecast, units: Units | None = None, case: str = "", brief: bool = False
) -> list[str]:
    """This week's advice as a few lines of talk; with it what the notes tell or, if `brief`, only what is odd."""
    voice = SeasonVoice(forecast.learned, units or units_of(forecast.learned))
    learned = _oddities(voice, forecast) if brief else _learned(voice, forecast)
    blocks = [*_week(voice, forecast, advise(forecast), case), *learned]
    return [block.text for block in blocks if isinstance(block, Paragraph)]


def heads_on(voice: SeasonVoice, forecast: Forecast, day: int) -> str:
    """The animals on the bed on a day of the season."""
    parts = []
    for group in forecast.learned.farm.groups:
        count = round(float(forecast.season.heads[group.id][day]))
        entry = voice.knowledge.animals[group.class_]
        parts.append(f"{count} {entry.name if count == 1 else entry.plural}")
    return ", ".join(parts[:-1]) + " and " + parts[-1] if len(parts) > 1 else parts[0]


def heap_words(voice: SeasonVoice, forecast: Forecast) -> str:
    """What the heap's log amounts to: treated, or raw manure still, and what is missing."""
    log = heap_log(forecast.record, forecast.learned.farm.region, voice.knowledge)
    temperature = say(log.least_temperature_c, "degC", voice.units)
    if not log.readings and not log.turnings:
        return voice.text("back_heap_none")
    have, need, apart = (
        say(float(days), "day", voice.units) for days in (log.hot_days, log.least_days, log.hold_days)
    )
    turns = f"{log.turnings} {voice.text('turning' if log.turnings == 1 else 'turnings')}"
    if log.treated:
        return voice.text("back_heap_ok", temperature=temperature, days=have, turnings=turns)
    missing = []
    if log.hot_days < log.least_days:
        missing.append(voice.text("back_heap_days", have=have, temperature=temperature, need=need))
    if log.turnings < log.least_turnings:
        missing.append(voice.text("back_heap_turns", have=turns, need=str(log.least_turnings)))
    return voice.text("back_heap_not", missing="; ".join(missing), apart=apart)


def _week(voice: SeasonVoice, forecast: Forecast, advice: Advice, case: str) -> list[Block]:
    if forecast.over:
        over = [Paragraph(voice.text("week_over", case=case or "CASE"), "lead")]
        logged = any(entry.kind == "heap" for entry in forecast.record)
        return [*over, Paragraph(heap_words(voice, forecast))] if logged else [*over]
    out: list[Block] = []
    for pen in advice.pens:
        out += _pen_week(voice, pen, advice)
    if any(pen.verdict == "short" for pen in advice.pens):
        order = "; ".join(
            voice.text(
                "week_ration",
                pen=voice.pen(pen),
                gets=voice.number(gets, "kg/day"),
                need=voice.number(need, "kg/day"),
            )
            for pen, need, gets in advice.ration
        )
        lack = forecast.rest.decision.mend_kg
        if lack > 0 and order:
            out.append(Paragraph(voice.text("week_lacks", mass=voice.number(lack, "kg"), order=order)))
    out += _supply(voice, forecast, advice)
    return out


def _pen_week(voice: SeasonVoice, pen: PenAdvice, advice: Advice) -> list[Block]:
    where = {"pen": voice.pen(pen.pen), "first": voice.day(pen.first), "last": voice.day(pen.last)}
    if pen.total <= 0:
        return [Paragraph(voice.text("week_none", **where), "lead")]
    amounts = " and ".join(
        voice.text(
            "week_amount",
            mass=voice.number(kg, "kg"),
            material=voice.material(key),
            packs=voice.in_packs(key, kg),
        )
        for key, kg in pen.advised
    )
    lacking = "; ".join(lack_words(voice, name) for name in advice.lacking)
    why = voice.text(
        f"week_{pen.verdict}",
        planned=voice.number(pen.planned, "kg"),
        wanted=voice.number(pen.wanted, "kg"),
        lacking=lacking,
    )
    return [
        Paragraph(
            voice.text("week_pen", amounts=amounts, week=voice.number(7 * pen.total, "kg"), **where), "lead"
        ),
        Paragraph(why),
    ]


def lack_words(voice: SeasonVoice, name: str) -> str:
    """What stands against less bedding, in words."""
    figure = voice.knowledge.figures["fresh_reading_days"].figure
    days = say(figure.value if figure else 7.0, "day", voice.units)
    return voice.text(f"lack_{name}", fresh_reading_days=days)


def _supply(voice: SeasonVoice, forecast: Forecast, advice: Advice) -> list[Block]:
    out: list[Block] = []
    ends = advice.supply_ends
    on_hand = forecast.learned.results["supply_on_hand_kg"]
    if on_hand is None or typical(on_hand.value) <= 0:
        out.append(Paragraph(voice.text("supply_unknown")))
    elif ends is None:
        out.append(Paragraph(voice.text("supply_lasts")))
    elif ends.likely is None and ends.early is not None:
        out.append(Paragraph(voice.text("supply_may_end", date=voice.day(ends.early))))
    elif ends.late is not None and ends.late <= forecast.today:
        out.append(Paragraph(voice.text("supply_out")))
    elif ends.likely is not None and ends.likely <= forecast.today and ends.late is not None:
        out.append(Paragraph(voice.text("supply_ends_now", date=voice.day(ends.late))))
    elif ends.likely is not None:
        name = "supply_ends" if ends.early != ends.late else "supply_ends_day"
        out.append(Paragraph(voice.text(name, date=voice.day(ends.likely), range=voice.span(ends))))
    for key, kg in advice.buy_kg.items():
        by = ""
        if ends and ends.early:
            soon = ends.early <= forecast.today
            by = voice.text("buy_now") if soon else voice.text("buy_by", date=voice.day(ends.early))
        packs = voice.in_packs(key, kg)
        material = voice.material(key)
        out.append(
            Paragraph(voice.text("buy", mass=voice.number(kg, "kg"), material=material, packs=packs, by=by))
        )
    return out


def _dates(voice: SeasonVoice, advice: Advice, today: dt.date) -> list[Block]:
    out: list[Block] = []
    for name, dates in (("date_gate", advice.gates), ("date_drinker", advice.drinkers)):
        for pen, when in dates.items():
            shown = when.likely or when.early
            if shown is not None:
                name = f"{name.removesuffix('_now')}_now" if shown <= today else name.removesuffix("_now")
                out.append(
                    Paragraph(
                        voice.text(name, pen=voice.pen(pen), date=voice.day(shown), range=voice.span(when))
                    )
                )
    if advice.grain_spoils is not None:
        name = "date_grain_late" if advice.grain_too_late else "date_grain"
        out.append(Paragraph(voice.text(name, date=voice.day(advice.grain_spoils))))
    return out or [Paragraph(voice.text("dates_none"))]


def _stand(voice: SeasonVoice, forecast: Forecast) -> list[Block]:
    """Where the bed stands against the plan, in words and in a table."""
    day = forecast.day
    rows: list[tuple[str, str, str]] = []
    out: list[Block] = []
    for pen, run in forecast.learned.packs.items():
        before = forecast.plan.packs[pen]
        was, now = spread(before.depth_m[day])[1], spread(run.depth_m[day])[1]
        near = 0.01 + 0.05 * was
        name = "stand_level" if abs(now - was) <= near else "stand_deeper" if now > was else "stand_lower"
        words = [voice.text(name, pen=voice.pen(pen), difference=voice.number(abs(now - was), "m"))]
        wet, meant = spread(run.top_moisture[day])[1], spread(before.top_moisture[day])[1]
        if day > 0 and abs(wet - meant) > 0.01:
            words.append(voice.text("stand_wetter" if wet > meant else "stand_drier"))
        out.append(Paragraph(" ".join(words), "lead"))
        shown = pen.replace("_", " ")
        for label, then, here, unit in (
            ("stand_depth_today", before.depth_m[day], run.depth_m[day], "m"),
            ("stand_top_today", before.top_moisture[day], run.top_moisture[day], "fraction"),
        ):
            rows.append(
                (voice.text(label, pen=shown), _ranged(then, unit, voice), _ranged(here, unit, voice))
            )
    used = sum(float(row.kg_by_day.sum()) for row in forecast.ledger.rows if row.key)
    planned = sum(
        rate * max(0, min(period.days, day - period.first))
        for materials in forecast.plan.decision.rates.values()
        for rates in materials.values()
        for rate, period in zip(rates, forecast.plan.timeline.periods, strict=False)
    )
    rows.append((voice.text("stand_used"), voice.number(planned, "kg"), voice.number(used, "kg")))
    for name in _STAND:
        then_node, now_node = forecast.plan.results.get(name), forecast.learned.results.get(name)
        if then_node is None or now_node is None:
            continue
        if name == "season_cost":
            pair = [voice.money(node.spread()[1]) for node in (then_node, now_node)]
        else:
            pair = [voice.ranged(node) for node in (then_node, now_node)]
        rows.append((voice.text(f"stand_{name}"), pair[0], pair[1]))
    columns = (
        Column(voice.text("stand_what")),
        Column(voice.text("stand_planned")),
        Column(voice.text("stand_now")),
    )
    out.append(Table("against_plan", voice.text("stand_table"), columns, tuple(rows)))
    return out


def _ranged(values: np.ndarray, unit: str, voice: SeasonVoice) -> str:
    low, middle, high = spread(values)
    middle_text, _, range_text = say_range(low, middle, high, unit, voice.units).partition("; ")
    return f"{middle_text} ({range_text})" if range_text else middle_text


def _learned(voice: SeasonVoice, forecast: Forecast) -> list[Block]:
    """What the readings say: how much they narrow, and where they cannot be right."""
    learning = forecast.learning
    out = _oddities(voice, forecast)
    if not learning.readings:
        out.append(Paragraph(voice.text("learned_none")))
    else:
        number = len(learning.readings)
        out.append(
            Paragraph(voice.text("learned_one") if number == 1 else voice.text("learned_count", count=number))
        )
        if learning.say < 0.99:
            out.append(Paragraph(voice.text("learned_thin"), "reason"))
    for gap in forecast.ledger.gaps:
        last = gap.first + dt.timedelta(days=gap.days - 1)
        whole = gap.days >= forecast.day
        out.append(
            Paragraph(
                voice.text(
                    "gap_all" if whole else "gap",
                    pen=_low(voice.pen(gap.pen)),
                    first=voice.day(gap.first),
                    last=voice.day(last),
                )
            )
        )
    if forecast.ledger.before_start:
        out.append(Paragraph(voice.text("before_start"), "reason"))
    return out


def _oddities(voice: SeasonVoice, forecast: Forecast) -> list[Block]:
    """Where notes and forecast cannot both be right, and what to check."""
    learning = forecast.learning
    out: list[Block] = []
    if learning.disagrees or learning.odd:
        checks = [voice.text(f"check_{reading.what}") for reading, _ in learning.odd]
        checks = checks or [voice.text(f"check_{r.what}") for r in learning.readings[:1]]
        if learning.disagrees:
            joined = " ".join(dict.fromkeys(checks))
            out.append(Paragraph(voice.text("learned_disagrees", checks=joined), "lead"))
        for reading, _ in learning.odd:
            out.append(Paragraph(_odd(voice, reading)))
    return out


def _low(name: str) -> str:
    return name[:1].lower() + name[1:] if name.startswith("The ") else name


def _odd(voice: SeasonVoice, reading: Reading) -> str:
    expected = spread(reading.expected)[1]
    if reading.what == "ammonia":
        value, shown = (f"{say_number(float(np.exp(each)))} ppm" for each in (reading.value, expected))
    elif reading.what == "squeeze":
        value, shown = str(getattr(reading.entry, "result", "")), say(expected, "fraction", voice.units)
    else:
        unit = "c_to_n" if reading.what == "c_to_n" else reading.unit
        value, shown = (say(each, unit, voice.units) for each in (reading.value, expected))
    return voice.text(
        "learned_odd",
        what=voice.text(f"odd_{reading.what}").capitalize(),
        date=voice.day(reading.entry.date),
        value=value,
        expected=shown,
        check=voice.text(f"check_{reading.what}"),
    )


def _record(voice: SeasonVoice, forecast: Forecast) -> list[Block]:
    if not len(forecast.record):
        return [Paragraph(voice.text("record_empty"))]
    columns = tuple(Column(voice.text(f"record_{name}")) for name in ("date", "pen", "what", "id"))
    rows = tuple(
        (entry.date, entry.pen or None, entry_words(entry, voice.units, voice.knowledge), entry.id)
        for entry in forecast.record
    )
    return [Table("notes", voice.text("record_table"), columns, rows)]


def _calendar(voice: SeasonVoice, advice: Advice) -> tuple[CalendarEvent, ...]:
    """This week and the dates ahead, for a calendar."""
    events: list[CalendarEvent] = []
    for pen in advice.pens:
        if pen.total > 0:
            text = " ".join(
                block.text for block in _pen_week(voice, pen, advice) if isinstance(block, Paragraph)
            )
            events.append(
                CalendarEvent(f"season-week:{pen.pen}", pen.first, text.split(". ")[0], text, end=pen.last)
            )
    for name, dates in (("date_gate", advice.gates), ("date_drinker", advice.drinkers)):
        for where, when in dates.items():
            if when.early is not None:
                title = voice.text(
                    name,
                    pen=voice.pen(where),
                    date=voice.day(when.likely or when.early),
                    range=voice.span(when),
                )
                events.append(CalendarEvent(f"season-{name}:{where}", when.early, title))
    return tuple(events)
