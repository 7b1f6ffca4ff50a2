"""Where the compost can go: by law and by crop kept apart, year by year, when, and how long to wait."""

from __future__ import annotations

import datetime as dt
from calendar import monthrange

from advisor.farm.facts import own_rules
from advisor.knowledge import Figure, Knowledge
from advisor.knowledge.models import LocalRule, Region
from advisor.plan.document import Block, Column, Paragraph, Points, Section, Table
from advisor.plan.sections.crop import crop_blocks
from advisor.plan.sections.dates import after_turnout
from advisor.plan.sections.local import held_rules, local_rules
from advisor.plan.voice import Voice
from advisor.plan.wording import say, say_date

__all__ = ["closed_time", "harvest_waits", "land_section", "when_lines"]


def land_section(voice: Voice) -> Section:
    """How much land it feeds, by law and by crop kept apart; what it gives by year, when, and how long to wait."""
    plan = voice.plan
    blocks: list[Block] = [
        Paragraph(
            voice.text("land_area", area=voice.result("land_area_ha"), limit=voice.held("nitrogen_limit_kg_ha"),
                       rate=voice.result("rate_by_nitrogen_t_ha")), "lead"),
        *crop_blocks(voice),
        Paragraph(voice.text("land_year1", available=voice.result("available_nitrogen_year1_kg"))),
        _years(voice),
        Paragraph(voice.text("land_years_note"), "reason"),
    ]  # fmt: skip
    potash = plan.results["potash_at_rate_kg_ha"]
    over = potash is not None and potash.spread()[1] > voice.middle("potash_caution_rate") * 10000.0
    if potash is not None and over and plan.facts.get("compost_for") == "grass":
        blocks.append(Paragraph(voice.text("land_potash", potash=voice.ranged(potash))))
    if plan.facts.get("compost_for") in ("garden", "vegetables"):
        depths = {"depth": voice.held("garden_depth"), "new": voice.held("garden_new_bed_depth")}
        garden = (
            voice.text("land_garden", garden=voice.result("garden_area_m2")),
            voice.text("land_garden_depth", **depths),
        )
        blocks.append(Paragraph(" ".join(garden)))
        blocks.append(Paragraph(voice.text("land_test")))
    value = plan.results["fertiliser_value"]
    if value is not None:
        blocks.append(Paragraph(voice.text("land_value", value=voice.money(value.spread()[1]))))
    blocks.append(Paragraph(" ".join(when_lines(voice))))
    if plan.facts.get("compost_for") != "grass" or "compost_for" in plan.assumed_facts:
        blocks.append(Paragraph(_wait(voice)))
    blocks.append(Points(tuple(local_rules(voice, "spreading"))))
    blocks.append(Paragraph(voice.text("land_legal")))
    return Section("land", voice.text("land_title"), tuple(blocks))


def _years(voice: Voice) -> Table:
    """What is set free in each of three years."""
    rows = []
    for number, name in enumerate(("first", "second", "third"), 1):
        nodes = [
            voice.plan.results.get(f"{kind}_year{number}_kg")
            for kind in ("organic_nitrogen", "available_phosphate", "available_potash")
        ]
        cells = [None if node is None else voice.ranged(node) for node in nodes]
        rows.append((voice.text(f"land_years_{name}"), *cells))
    columns = (
        Column(voice.text(f"land_years_{name}")) for name in ("year", "nitrogen", "phosphate", "potash")
    )
    return Table("years", voice.text("land_years_table"), tuple(columns), tuple(rows))


def when_lines(voice: Voice) -> list[str]:
    """When it is ready, whether that is a time in which nothing may be spread, and when crops need it."""
    after = after_turnout(voice.plan)
    ready = after.ready if after is not None else None
    lines = [] if ready is None else [voice.text("land_ready", date=say_date(ready, voice.units))]
    told = closed_time(voice)
    if told is None:
        own = voice.knowledge.regions[voice.plan.farm.region or "generic"]
        lines.append(voice.text("land_closed_unknown", region=own.name, authority=own.authority))
    elif ready is not None:
        lines.append(_against_closed(voice, ready, *told))
    return [*lines, voice.text("land_need")]


def closed_time(voice: Voice) -> tuple[Region, LocalRule] | None:
    """The rule of the region with a time in which nothing may be spread; None where none is held."""
    held = held_rules(voice, "spreading")
    return next(((region, rule) for region, rule in held if rule.closed is not None), None)


def _against_closed(voice: Voice, ready: dt.date, region: Region, rule: LocalRule) -> str:
    """Whether the compost is ready within the closed time, and what to do."""
    assert rule.closed is not None
    first, last = (_on(ready.year, day) for day in rule.closed)
    over_new_year = first > last
    inside = ready >= first or ready <= last if over_new_year else first <= ready <= last
    words = {
        "region": region.name,
        "where": rule.closed_where,
        "first": say_date(first, voice.units, year=False),
        "last": say_date(last, voice.units, year=False),
    }
    if inside:
        end = last if ready <= last else _on(ready.year + 1, rule.closed[1])
        until = say_date(end + dt.timedelta(days=1), voice.units)
        return voice.text("land_closed_in", until=until, **words)
    start = first if ready < first else _on(ready.year + 1, rule.closed[0])
    return voice.text("land_closed_clear", before=say_date(start, voice.units), **words)


def _on(year: int, month_day: str) -> dt.date:
    month, day = (int(part) for part in month_day.split("-"))
    return dt.date(year, month, min(day, monthrange(year, month)[1]))


def harvest_waits(region: str | None, knowledge: Knowledge) -> tuple[Region | None, Figure, Figure]:
    """Days from raw manure to harvest where the crop touches the soil and where it does not, and whose rule it is.

    Where the region holds none or is not known: None, and the longest held anywhere.
    """
    touching, clear = "raw_manure_days_touching", "raw_manure_days_not_touching"
    for own in own_rules(region, knowledge):
        if own is not knowledge.regions["generic"] and {touching, clear} <= own.limits.keys():
            return own, own.limits[touching].figure, own.limits[clear].figure
    every = [r.limits[touching].figure for r in knowledge.regions.values() if touching in r.limits]
    strictest = max(every, key=lambda figure: figure.value)
    return None, strictest, strictest


def _wait(voice: Voice) -> str:
    """The wait by the region's own rules; the longest held anywhere where it holds none or is not known."""
    own, *figures = harvest_waits(voice.plan.farm.region, voice.knowledge)
    touching, clear = (_days(voice, figure) for figure in figures)
    if own is None:
        return voice.text("land_wait_strictest", touching=touching)
    name = "land_wait_same" if touching == clear else "land_wait"
    return voice.text(name, region=own.name, touching=touching, clear=clear)


def _days(voice: Voice, figure: Figure) -> str:
    return say(figure.value, figure.unit, voice.units)
