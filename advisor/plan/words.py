"""The plan as a document: sections in the order a keeper asks for them."""

from __future__ import annotations

from typing import Literal

from advisor.plan.document import Document
from advisor.plan.make import Plan
from advisor.plan.sections.air import air_section
from advisor.plan.sections.bed import bed_section, fit_section
from advisor.plan.sections.facts import basis_section, matters_section, sources_section
from advisor.plan.sections.heap import heap_section
from advisor.plan.sections.height import height_section
from advisor.plan.sections.land import land_section
from advisor.plan.sections.safety import advice_section, calendar, cautions_section, log_section, shed_sheet
from advisor.plan.sections.supply import supply_section
from advisor.plan.sections.turning import turning_section
from advisor.plan.sections.ways import ways_section
from advisor.plan.voice import Voice
from advisor.plan.wording import say, say_date

__all__ = ["plan_document", "units_of"]


def units_of(plan: Plan) -> Literal["metric", "us"]:
    """The keeper's units: as told, else those of the region."""
    if plan.farm.units:
        return plan.farm.units
    region = plan.knowledge.regions.get(plan.farm.region or "generic")
    return region.units if region else "metric"


def plan_document(
    plan: Plan, units: Literal["metric", "us"] | None = None, *, identity: str = ""
) -> Document:
    """The document tree of a plan. `identity` names the case, so that a later calendar updates the earlier."""
    voice = Voice(plan, units or units_of(plan))
    season = plan.timeline
    length = say(float(season.days), "day", voice.units, 3)
    subtitle = (
        voice.text(
            "subtitle",
            heads=voice.heads(),
            start=say_date(season.start, voice.units),
            end=say_date(season.end, voice.units),
            days=length,
        )
        if season.dates_told
        else voice.text("subtitle_undated", heads=voice.heads(), days=length)
    )
    sections = (
        fit_section(voice),
        bed_section(voice),
        supply_section(voice),
        height_section(voice),
        air_section(voice),
        ways_section(voice),
        advice_section(voice),
        cautions_section(voice),
        turning_section(voice),
        heap_section(voice),
        land_section(voice),
        basis_section(voice),
        matters_section(voice),
        sources_section(voice),
        log_section(voice),
    )
    return Document(
        title=voice.text("title"),
        subtitle=subtitle,
        farm=plan.farm.name,
        date=plan.today,
        units=voice.units,
        sections=tuple(section for section in sections if section is not None),
        sheet=shed_sheet(voice),
        calendar=calendar(voice),
        identity=identity,
    )
