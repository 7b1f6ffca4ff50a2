"""Other ways to do the winter, side by side."""

from __future__ import annotations

from advisor.plan.alternatives import COMPARED, alternatives
from advisor.plan.document import Column, Paragraph, Section, Table
from advisor.plan.voice import Voice
from advisor.plan.wording import say, shown_unit
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
        if any(node is not None for node in nodes):
            rows.append((voice.text(f"ways_{name}"), *(_cell(voice, name, node) for node in nodes)))
    columns = (Column(""), *(Column(title) for title, _ in ways))
    return Section(
        "ways",
        voice.text("ways_title"),
        (
            Paragraph(voice.text("ways_lead"), "lead"),
            Table("ways", voice.text("ways_table"), columns, tuple(rows)),
        ),
    )


def _cell(voice: Voice, name: str, node: Node | None) -> str | None:
    if node is None:
        return None
    middle = node.spread()[1]
    return (
        voice.money(middle)
        if name == "purchase_cost"
        else say(middle, shown_unit(name, node.unit), voice.units)
    )
