"""Other ways to do the winter, side by side."""

from __future__ import annotations

from advisor.plan.alternatives import alternatives
from advisor.plan.differences import COMPARED, MONEY
from advisor.plan.document import Column, Paragraph, Section, Table
from advisor.plan.sections.supply import MINUTES_H
from advisor.plan.voice import Voice
from advisor.plan.wording import say, shown_unit
from advisor.reasoning.draws import typical
from advisor.reasoning.engine import Node

__all__ = ["ways_section"]


def ways_section(voice: Voice) -> Section | None:
    """The plan beside at most three others; nothing where none is worth comparing."""
    found = alternatives(voice.plan)
    if not found:
        return None
    ways = [(voice.text("ways_plan"), voice.plan)]
    for way in found:
        named = {name: f"{amount:g}" for name, amount in way.changed.items()}
        ways.append((voice.text(f"ways_{way.id}", **named), way.plan))
    rows = []
    for name in COMPARED:
        nodes = [plan.results.get(name) for _, plan in ways]
        if _worth_a_row(voice, name, nodes):
            rows.append((voice.text(f"ways_{name}"), *(_cell(voice, name, nodes[0], node) for node in nodes)))
    columns = (Column(""), *(Column(title) for title, _ in ways))
    return Section(
        "ways",
        voice.text("ways_title"),
        (
            Paragraph(voice.text("ways_lead"), "lead"),
            Table("ways", voice.text("ways_table"), columns, tuple(rows)),
        ),
    )


def _worth_a_row(voice: Voice, name: str, nodes: list[Node | None]) -> bool:
    """No row of nothing: no cost where nothing is bought, no room where no floor was told, no work of minutes."""
    if name == "space_ratio" and any(pen.area is None for pen in voice.plan.farm.pens):
        return False
    least = {"purchase_cost": 0.0, "bedding_hours_week": MINUTES_H}.get(name, -1.0)
    return any(node is not None and typical(node.value) > least for node in nodes)


def _cell(voice: Voice, name: str, plan: Node | None, node: Node | None) -> str | None:
    """The plan's middle, moved by what the typical values differ: so chance never makes a difference."""
    if node is None:
        return None
    middle = node.spread()[1]
    if plan is not None and node is not plan:
        middle = max(0.0, plan.spread()[1] + typical(node.value) - typical(plan.value))
    return voice.money(middle) if name in MONEY else say(middle, shown_unit(name, node.unit), voice.units)
