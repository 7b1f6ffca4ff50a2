"""What was told, what was assumed, what matters most, and where the figures come from."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable

from advisor.knowledge import Figure
from advisor.plan.document import Band, Chart, Column, Paragraph, Points, Section, Table
from advisor.plan.make import headline_matters
from advisor.plan.results import HEADLINES
from advisor.plan.voice import Voice, sentences
from advisor.plan.wording import say, say_date, say_range, shown_unit
from advisor.reasoning.engine import FARM, Node, Subject

__all__ = [
    "assumption_rows",
    "basis_rows",
    "basis_section",
    "matters_section",
    "source_keys",
    "sources_section",
]

# A printed plan names the sources that carry most; the JSON record names them all.
_MOST_SOURCES = 8
_MOST_HEADLINES = 4

# Facts that only carry names from one part of the working to another.
_INWARD = {
    "pen_key",
    "group_keys",
    "base_key",
    "class_id",
    "material_key",
    "straw_carbon_kg_kg",
    "straw_nitrogen_kg_kg",
}
_PRICES = ("price_",)
_LEAST_SHARE = 0.05  # a smaller share of the spread may be chance among so many unknowns
_ORDER = ("group", "pen", "material", "farm")

# Units as they are typed, and as they are written.
_UNITS = {
    "m2": "m²",
    "m3": "m³",
    "ft2": "ft²",
    "ft3": "ft³",
    "yd3": "cu yd",
    "short_ton": "short tons",
    "long_ton": "long tons",
    "degC": "°C",
    "degF": "°F",
}
_UNIT = re.compile(r"\b(?:" + "|".join(_UNITS) + r")\b")


def _of(voice: Voice, node: Node) -> str:
    """What a fact belongs to, in words."""
    kind, key = node.subject
    if kind == "material":
        return voice.material(key)
    if kind == "group":
        group = next((g for g in voice.plan.farm.groups if g.id == key), None)
        return voice.knowledge.animals[group.class_].plural if group else key
    return voice.pen(key) if kind == "pen" else ""


def _value(voice: Voice, node: Node) -> str:
    if node.is_number:
        low, middle, high = node.spread()
        if node.figure is not None:
            low, middle, high = node.figure.low, node.figure.value, node.figure.high
        return say_range(low, middle, high, shown_unit(node.name, node.unit), voice.units)
    if isinstance(node.value, bool):
        return "yes" if node.value else "no"
    if isinstance(node.value, (list, tuple)):
        return ", ".join(str(part).replace("_", " ") for part in node.value) or "none"
    return str(node.value).replace("_", " ")


def _why(voice: Voice, node: Node) -> str:
    """Where an assumption comes from, in a few words."""
    seen = node.figure.seen.replace("-", "_") if node.figure else "usual"
    return voice.text(f"because_{seen}")


def _said(voice: Voice, node: Node) -> str:
    """What was told, in the keeper's own number and unit, as one writes it."""
    if node.name == "region":
        region = voice.knowledge.regions.get(str(node.value))
        return region.name if region else str(node.value)
    return _UNIT.sub(lambda found: _UNITS[found[0]], node.said) if node.said else _value(voice, node)


def _cause(voice: Voice, node: Node) -> str:
    """What an uncertain number is, in words a keeper would use."""
    name = f"cause_{node.name}"
    return voice.text(name, of=_of(voice, node)) if name in sentences() else node.label


def assumption_rows(voice: Voice) -> list[tuple[str, str, str, str]]:
    """(fact, of what, value, why) for everything that was assumed, each once."""
    rows: list[tuple[str, str, str, str]] = []
    for node in voice.plan.assumptions:
        if node.name in _INWARD:
            continue
        row = (node.label, _of(voice, node), _value(voice, node), _why(voice, node))
        if row not in rows:
            rows.append(row)
    return sorted(rows, key=lambda row: (row[1], row[0]))


def basis_rows(voice: Voice) -> list[tuple[str, str, str]]:
    """(fact, of what, value) for everything that was told and used, each once, the housing dates with it."""
    told = _dates(voice)
    kinds: list[Subject] = [FARM] * len(told)
    for node in voice.plan.told:
        if node.name in _INWARD or node.name.startswith(_PRICES):
            continue
        row = (node.label, _of(voice, node), _said(voice, node))
        if row not in told:
            told.append(row)
            kinds.append(node.subject)
    first = [kinds.index(subject) for subject in kinds]
    order = sorted(range(len(told)), key=lambda i: (_ORDER.index(kinds[i][0]), first[i], i))
    return [told[i] for i in order]


def _dates(voice: Voice) -> list[tuple[str, str, str]]:
    """The housing dates or days, as told: no formula reads them, as the season is laid out from them."""
    farm, facts = voice.plan.farm, voice.knowledge.facts
    rows = [
        (facts[name].label, "", say_date(date, voice.units))
        for name, date in (("start", farm.start), ("end", farm.end))
        if date is not None
    ]
    if farm.days is not None and len(rows) < 2:
        rows.append((facts["days"].label, "", say(float(farm.days), "day", voice.units, 3)))
    return rows


def _gathered(rows: Iterable[tuple[str, ...]]) -> tuple[tuple[str, ...], ...]:
    """Rows that say the same of several pens, groups or materials as one row that names them all."""
    of: dict[tuple[str, ...], list[str]] = {}
    for fact, what, *rest in rows:
        of.setdefault((fact, *rest), []).append(what)
    return tuple((fact, ", ".join(what), *rest) for (fact, *rest), what in of.items())


def basis_section(voice: Voice) -> Section:
    """What the plan rests on."""
    told = _gathered(basis_rows(voice))
    columns = (Column("Fact"), Column("Of"), Column("Value"))
    assumed = _gathered(assumption_rows(voice))
    return Section(
        "told",
        voice.text("told_title"),
        (
            Paragraph(voice.text("told_lead"), "lead"),
            Table("told", voice.text("told_table"), columns, told),
            Table("assumed", voice.text("assumed_table"), (*columns, Column("Because")), assumed),
            Paragraph(voice.text("assumed_reason")),
        ),
    )


def matters_section(voice: Voice) -> Section:
    """The unknowns that move each headline number most."""
    lines, bars = [], []
    for name, causes in list(headline_matters(voice.plan).items())[:_MOST_HEADLINES]:
        node = voice.plan.results[name]
        if node is None or not causes:
            continue
        causes = [pair for pair in causes if pair[1] >= _LEAST_SHARE] or causes[:1]
        told = [
            voice.text(
                "matters_cause", label=_cause(voice, cause), share=say(share, "fraction", voice.units, 1)
            )
            for cause, share in causes
        ]
        lines.append(voice.text("matters_line", result=node.label.capitalize(), causes="; ".join(told)))
        if name == "pack_end_c_to_n":
            bars = [Band(_cause(voice, cause), share) for cause, share in causes]
    blocks: list[Paragraph | Points | Chart] = [
        Paragraph(voice.text("matters_lead"), "lead"),
        Points(tuple(lines)),
    ]
    if bars:
        blocks.append(
            Chart(
                id="matters",
                title=voice.text("chart_matters"),
                alt="Bars: " + "; ".join(f"{bar.label}, {round(100 * bar.share)} percent" for bar in bars),
                x_label="share of the spread (%)",
                y_label="",
                bars=tuple(bars),
            )
        )
    return Section("matters", voice.text("matters_title"), tuple(blocks))


def _figures(voice: Voice) -> list[Figure]:
    """The figures met in working out the plan, each once."""
    found = {id(n.figure): n.figure for n in voice.plan.engine.met() if n.figure is not None}
    return list(found.values())


def source_keys(voice: Voice) -> list[str]:
    """Every source that a figure, recommendation or sure caution of the plan rests on."""
    used = {e.source for figure in _figures(voice) for e in figure.evidence if e.source}
    for fired in voice.plan.recommendations:
        used |= set(fired.rule.sources)
    for shown in voice.plan.cautions:
        used |= set(shown.caution.sources) if shown.certain else set()
    return sorted(used)


def source_lines(voice: Voice) -> list[str]:
    """The sources of the figures behind the headline numbers, most used first."""
    uses: Counter[str] = Counter()
    for name in HEADLINES:
        node = voice.plan.results.get(name)
        if node is None:
            continue
        for part in node.walk():
            if part.figure is not None:
                uses.update({e.source for e in part.figure.evidence if e.source})
    lines = []
    for key, _ in uses.most_common(_MOST_SOURCES):
        source = voice.knowledge.sources.get(key)
        if source is not None:
            year = f", {source.year}" if source.year else ""
            lines.append(f"{source.by}: {source.title}{year}")
    return lines


def sources_section(voice: Voice) -> Section:
    """Who says so."""
    figures = _figures(voice)
    bare = sum(not any(e.source for e in figure.evidence) for figure in figures)
    return Section(
        "sources",
        voice.text("sources_title"),
        (
            Paragraph(voice.text("sources_lead"), "lead"),
            Paragraph(voice.text("sources_memory", count=bare, all=len(figures))),
            Points(tuple(source_lines(voice))),
        ),
    )
