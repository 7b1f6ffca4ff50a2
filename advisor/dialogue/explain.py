"""Why and how: any number opened one level at a time, down to the published table."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from advisor.dialogue.phrases import joined, result_words, sentence, table
from advisor.dialogue.reply import Line
from advisor.knowledge import Figure, Knowledge
from advisor.knowledge.figure import Evidence
from advisor.plan.wording import Units, say, say_range, shown_unit

if TYPE_CHECKING:
    from advisor.plan.make import Plan
    from advisor.reasoning.engine import Node, Subject

__all__ = [
    "Opened",
    "certainty",
    "figure_lines",
    "find_result",
    "node_at",
    "open_node",
    "said_value",
    "source_words",
    "under",
]

_MOST_INPUTS = 9


@dataclass(frozen=True)
class Opened:
    """A number opened: what is said, what lies under it, and the sources cited."""

    lines: tuple[Line, ...]
    inputs: tuple[Node, ...]
    sources: tuple[str, ...]


def find_result(words: str, plan: Plan) -> Node | None:
    """The result that a message speaks of, by the longest of its words that stands in it."""
    said = f" {words} "
    best, length = None, 0
    for name, names in result_words().items():
        for word in names:
            if len(word) > length and f" {word} " in said and plan.results.get(name) is not None:
                best, length = plan.results[name], len(word)
    if best is not None:
        return best
    for name, node in plan.results.items():
        if node is not None and f" {name.replace('_', ' ')} " in said:
            return node
    return None


def node_at(plan: Plan, talk: Mapping[str, Any] | None) -> Node | None:
    """The number last spoken of, found again in this plan; None where it is no longer worked out."""
    from advisor.reasoning.engine import Missing

    if not talk or "name" not in talk:
        return None
    subject: Subject = (talk["kind"], talk["subject"])
    try:
        return plan.engine.node(talk["name"], subject)
    except (Missing, KeyError):
        return None


def under(node: Node) -> tuple[Node, ...]:
    """What a number was made of, as far as it can be shown; lists of the same thing are opened out."""
    found = {id(each): each for child in node.inputs for each in _shown(child)}
    return tuple(found.values())


def _shown(node: Node) -> Iterator[Node]:
    if node.name.startswith("each_"):
        yield from node.inputs
    elif node.name.startswith("range_of_"):
        yield from node.inputs[:1]
    else:
        yield node


def open_node(node: Node, knowledge: Knowledge, units: Units) -> Opened:
    """One level: the value, the equation in words, what went in, and the sources."""
    lines = [
        Line("answer", sentence("value_is", label=_label(node, knowledge), value=said_value(node, units)))
    ]
    sources: list[str] = []
    inputs = under(node)
    if node.derivation is not None:
        lines.append(Line("answer", re.sub(r"\s*\[[^\]]*\]$", "", node.derivation.says)))
        if node.derivation.basis:
            lines.append(Line("hint", sentence("basis", basis=node.derivation.basis)))
        if node.derivation.source:
            lines.append(Line("source", sentence("after", source=node.derivation.source)))
            sources += [s for s in knowledge.sources if s in node.derivation.source]
    if node.kind == "told":
        lines.append(Line("answer", sentence("you_told", said=node.said or said_value(node, units))))
    if node.kind == "given":
        lines.append(Line("answer", sentence("given")))
    if node.kind == "assumed":
        lines.append(Line("answer", sentence("assumed")))
    if node.kind == "figure" and node.figure is None:
        lines.append(Line("answer", sentence("held")))
    if node.figure is not None:
        more, cited = figure_lines(node.figure, knowledge, units)
        lines += more
        sources += cited
    for number, child in enumerate(inputs[:_MOST_INPUTS], 1):
        lines.append(
            Line(
                "point",
                sentence(
                    "input",
                    number=number,
                    label=_label(child, knowledge),
                    value=said_value(child, units),
                    kind=table("node_kinds")[child.kind],
                ),
            )
        )
    if inputs:
        lines.append(Line("hint", sentence("open_more")))
    return Opened(tuple(lines), inputs, tuple(dict.fromkeys(sources)))


def figure_lines(figure: Figure, knowledge: Knowledge, units: Units) -> tuple[list[Line], list[str]]:
    """A figure with its basis, the choice made, and every piece of evidence."""
    lines: list[Line] = []
    sources: list[str] = []
    if figure.basis:
        lines.append(Line("answer", sentence("basis", basis=figure.basis)))
    if figure.why:
        lines.append(Line("answer", figure.why))
    for evidence in figure.evidence:
        seen = table("seen")[evidence.seen]
        if evidence.source:
            sources.append(evidence.source)
            text = sentence(
                "evidence",
                source=source_words(evidence.source, knowledge),
                at=f", {evidence.at}" if evidence.at else "",
                seen=seen,
            )
        else:
            text = sentence("no_source", seen=seen, at=f" ({evidence.at})" if evidence.at else "")
        text += " " + sentence("evidence_value", value=_evidence_value(evidence))
        lines.append(Line("source", text))
    return lines, sources


def _evidence_value(evidence: Evidence) -> str:
    """The number in the source's own unit."""
    ends = [each for each in (evidence.low, evidence.high) if each is not None]
    unit = "" if evidence.unit == "fraction" else evidence.unit
    if evidence.value is not None:
        return f"{evidence.value:g} {unit}".strip()
    return f"{' to '.join(f'{end:g}' for end in ends)} {unit}".strip()


def source_words(source: str, knowledge: Knowledge) -> str:
    """A publication in one line."""
    entry = knowledge.sources.get(source)
    if entry is None:
        return source
    return ", ".join(part for part in (entry.by, entry.title, entry.year) if part)


def certainty(node: Node, plan: Plan, units: Units) -> tuple[list[Line], list[str]]:
    """How sure a number is: its range, what it turns on most, and how well that is known."""
    knowledge = plan.knowledge
    import numpy as np

    from advisor.reasoning.engine import importance

    spread = node.spread() if node.is_number else (0.0, 0.0, 0.0)
    key = "sure_range" if spread[0] < spread[2] else "sure_set"
    lines = [Line("answer", sentence(key, label=_label(node, knowledge), value=said_value(node, units)))]
    sources: list[str] = []
    matters = importance(
        node.value, [leaf for leaf in node.walk() if not leaf.inputs and isinstance(leaf.value, np.ndarray)]
    )
    for leaf, share in matters[:3]:
        seen = (
            sorted({e.seen for e in leaf.figure.evidence}, key=list(table("seen")).index)
            if leaf.figure
            else []
        )
        sources += [e.source for e in leaf.figure.evidence if e.source] if leaf.figure else []
        known = table("seen")[seen[0]] if seen else table("node_kinds")[leaf.kind]
        lines.append(
            Line(
                "point",
                sentence(
                    "sure_leaf", label=_label(leaf, knowledge), share=say(share, "fraction"), known=known
                ),
            )
        )
    return lines, sources


def said_value(node: Node, units: Units) -> str:
    """The value of a node in words: a number with its range, a date, a word, or that it is a list."""
    if node.is_number:
        low, middle, high = node.spread()
        return say_range(low, middle, high, shown_unit(node.name, node.unit), units)
    value = node.value
    if isinstance(value, bool):
        return str(table("truth")["yes" if value else "no"])
    if isinstance(value, str):
        return value.replace("_", " ")
    if isinstance(value, dt.date):
        from advisor.plan.wording import say_date

        return say_date(value, units)
    if isinstance(value, tuple | list) and value and all(isinstance(each, str) for each in value):
        return joined([each.replace("_", " ") for each in value])
    return sentence("worked_table")


def _label(node: Node, knowledge: Knowledge) -> str:
    """The label with whose it is, where there may be several."""
    if node.name in table("given_labels"):
        return str(table("given_labels")[node.name])
    kind, key = node.subject
    if kind == "group" and key:
        entry = knowledge.animals.get(key)
        name = entry.plural if entry else key.replace("_", " ")
    elif kind == "material" and key:
        material = knowledge.materials.get(key)
        name = material.name if material else key.replace("_", " ")
    else:
        return node.label
    return node.label if name in node.label else sentence("label_of", label=node.label, name=name)
