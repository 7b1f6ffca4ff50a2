"""What is well formed in a farm file but cannot be meant: unknown facts, empty pens, animals out of season."""

from __future__ import annotations

import datetime as dt
import difflib
import math
from collections.abc import Iterator

from advisor.farm.model import Farm, Measure
from advisor.knowledge import Fault, Knowledge
from advisor.knowledge.yaml_text import Located

__all__ = ["doubts"]


def doubts(farm: Farm, text: Located, knowledge: Knowledge) -> Iterator[Fault]:
    """Every such fault, with its line and what would be right."""
    yield from _facts(farm, text, knowledge)
    used = {group.pen for group in farm.groups}
    for i, pen in enumerate(farm.pens):
        if len(farm.pens) > 1 and pen.id not in used and "" not in used:
            yield Fault(
                text.place(("pens", i)),
                f"no animals live in pen '{pen.id}'",
                "name it in a group, or leave it out",
            )
    yield from _out_of_season(farm, text)
    yield from _weights(farm, text, knowledge)
    if farm.base and farm.base.material and farm.materials:
        named = [supply for supply in farm.materials if supply.name == farm.base.material]
        if not named:
            yield Fault(
                text.place(("base", "material")),
                f"'{farm.base.material}' is not among the materials",
                "list it under `materials:`, with `for_sale: true` where none is on hand",
            )
        elif not any(s.bedding and knowledge.materials[s.name].kind == "bedding" for s in named):
            yield Fault(
                text.place(("base", "material")), f"'{farm.base.material}' is no bedding", "name a bedding"
            )
    if farm.base and farm.base.depth and farm.base.mass:
        yield Fault(
            text.place(("base", "mass")), "the base is told by depth and by weight", "keep one of the two"
        )


def _facts(farm: Farm, text: Located, knowledge: Knowledge) -> Iterator[Fault]:
    """Facts that the vocabulary does not hold, that are worked out, or that are of another kind."""
    tellable = [name for name, fact in knowledge.facts.items() if not fact.derived] + list(knowledge.figures)
    for name, value in farm.facts.items():
        place = text.place(("facts", name))
        fact = knowledge.facts.get(name)
        number = isinstance(value, Measure | int | float) and not isinstance(value, bool)
        if name not in tellable:
            close = difflib.get_close_matches(name, tellable, 1)
            why = "is worked out and cannot be told" if fact else "is not a fact that the adviser knows"
            yield Fault(place, f"'{name}' {why}", f"did you mean '{close[0]}'?" if close else "leave it out")
        elif (fact is None or fact.kind == "number") and not number:
            unit = fact.unit if fact else knowledge.figures[name].si
            yield Fault(place, f"'{name}' must be a number", f"such as '2 {unit}'".rstrip())
        elif isinstance(value, float) and not math.isfinite(value):
            yield Fault(place, f"'{name}' is no number to reckon with", "write a plain number")
        elif fact and fact.kind == "flag" and not isinstance(value, bool):
            yield Fault(place, f"'{name}' cannot be '{value}'", "yes or no")
        elif fact and fact.choices and value not in fact.choices:
            yield Fault(place, f"'{name}' cannot be '{value}'", f"one of: {', '.join(fact.choices)}")


def _weights(farm: Farm, text: Located, knowledge: Knowledge) -> Iterator[Fault]:
    """Live weights that no animal of the class has."""
    for i, group in enumerate(farm.groups):
        entry = knowledge.animals.get(group.class_)
        if group.weight is None or entry is None:
            continue
        beyond = knowledge.figures["weight_beyond_belief"].figure
        if beyond is None:
            continue
        low, high = entry.weight.low, entry.weight.high
        if not low / beyond.value <= group.weight.value <= high * beyond.value:
            yield Fault(
                text.place(("groups", i, "weight")),
                f"{group.weight.said or group.weight.value} is no weight for {entry.plural}",
                f"usual are {low:g} to {high:g} kg",
            )


def _out_of_season(farm: Farm, text: Located) -> Iterator[Fault]:
    """Groups that come after the season ends or leave before it begins."""
    end = farm.end or (farm.start + dt.timedelta(days=farm.days) if farm.start and farm.days else None)
    for i, group in enumerate(farm.groups):
        if group.in_ and end and group.in_ >= end:
            yield Fault(
                text.place(("groups", i, "in")),
                f"comes in on {group.in_}, but the season ends on {end}",
                "mend one of the dates, or leave the group out",
            )
        if group.out and farm.start and group.out <= farm.start:
            yield Fault(
                text.place(("groups", i, "out")),
                f"goes out on {group.out}, before the season starts on {farm.start}",
                "mend one of the dates, or leave the group out",
            )
