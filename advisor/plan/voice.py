"""The plan's voice: sentences from knowledge/documents/plan.yaml, numbers worded for the farm's units."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from advisor.knowledge import Knowledge
from advisor.plan.make import Plan
from advisor.plan.wording import say, say_number, say_range, shown_unit
from advisor.reasoning.engine import Missing, Node
from advisor.season.bed import Supply

__all__ = ["Voice", "sentences"]

Units = Literal["metric", "us"]
_PER = re.compile(r" an? [a-z ]+$")


@cache
def sentences(name: str = "plan") -> Mapping[str, str]:
    """The sentences of a document, by id."""
    from advisor.knowledge.base import plain_data

    return {str(key): str(text) for key, text in plain_data(f"documents/{name}.yaml").items()}


@dataclass(frozen=True)
class Voice:
    """Words for one plan."""

    plan: Plan
    units: Units

    @property
    def knowledge(self) -> Knowledge:
        """The knowledge base of the plan."""
        return self.plan.knowledge

    def text(self, sentence: str, **values: Any) -> str:
        """A sentence with its places filled."""
        return sentences()[sentence].format(**values)

    def number(self, value: float, unit: str) -> str:
        """One number."""
        return say(value, unit, self.units)

    def ranged(self, node: Node | None) -> str:
        """A result with its likely range."""
        if node is None:
            return "?"
        low, middle, high = node.spread()
        shown = say_range(low, middle, high, shown_unit(node.name, node.unit), self.units)
        return self.bracketed(shown)

    def figure(self, node: Node) -> str:
        """A figure of the knowledge base as it is held, so that it reads the same here and in the advice."""
        figure = node.figure
        if figure is None or node.kind == "told":
            return self.ranged(node)
        ends = (figure.low, figure.value, figure.high)
        return self.bracketed(say_range(*ends, shown_unit(node.name, figure.unit), self.units))

    def held(self, name: str) -> str:
        """A figure of the knowledge base, by name, with its range as it is held."""
        try:
            return self.figure(self.plan.engine.node(name))
        except Missing:
            return "?"

    def middle(self, name: str) -> float:
        """The middle of a figure or quantity of the farm, by name."""
        return self.plan.engine.node(name).spread()[1]

    @staticmethod
    def bracketed(shown: str) -> str:
        """'about 3 m² a head; 2 to 4 m² a head' as 'about 3 m² a head (2 to 4 m²)'."""
        middle, _, ends = shown.partition("; ")
        per = _PER.search(middle)
        return f"{middle} ({ends.removesuffix(per[0]) if per else ends})" if ends else middle

    def result(self, name: str) -> str:
        """A farm result with its likely range."""
        return self.ranged(self.plan.results.get(name))

    def material(self, key: str) -> str:
        """The plain name of a material as the farm lists it."""
        for supply in self.supplies:
            if supply.key == key:
                return self.knowledge.materials[supply.material].name
        return key

    @property
    def supplies(self) -> tuple[Supply, ...]:
        """The farm's materials."""
        supplies: tuple[Supply, ...] = self.plan.engine.value("supplies")
        return supplies

    def in_packs(self, key: str, mass_kg: float) -> str:
        """A weight in the keeper's own bales, bags or loads: ', about 12 round bales'; empty where unknown."""
        one, name = self._pack(key)
        if one <= 0:
            return ""
        number = mass_kg / one
        shown = say_number(number) if number >= 10 else f"{number:.1f}".removesuffix(".0")
        return self.text("packs_about", number=shown, packs=name if shown == "1" else _plural(name))

    def week_in_packs(self, key: str, week_kg: float) -> str:
        """A weekly weight in bales, bags or loads; of less than one, how long one lasts."""
        one, name = self._pack(key)
        if not 0 < week_kg < 0.95 * one:
            return self.in_packs(key, week_kg)
        days = 7 * one / week_kg
        if days > self.plan.timeline.days:
            return self.text("packs_not_one", pack=name)
        if days < 21:
            return self.text("packs_every_days", pack=name, count=round(days))
        return self.text("packs_every_weeks", pack=name, count=say_number(float(round(days / 7))))

    def _pack(self, key: str) -> tuple[float, str]:
        """Weight [kg] and name of one bale, bag or load of a material; 0 where none was told."""
        for supply, told in zip(self.supplies, self.plan.farm.materials, strict=True):
            if supply.key != key or told.packs is None:
                continue
            mass = self.plan.engine.value("bale_mass_kg", ("material", key))
            one = float(mass[0]) if hasattr(mass, "__len__") else float(mass)
            entry = self.knowledge.materials[supply.material]
            return one, entry.packs[told.pack].name if told.pack and told.pack in entry.packs else "bale"
        return 0.0, ""

    def money(self, amount: float) -> str:
        """An amount of the keeper's money."""
        prices = self.plan.farm.prices
        if amount == 0:
            return self.text("money_none")
        shown = say_number(amount)
        return (
            f"{shown} {prices.currency}"
            if prices and prices.currency
            else self.text("money_plain", amount=shown)
        )

    def heads(self) -> str:
        """The animals in words: '12 beef cows and 11 calves'."""
        parts = []
        for group in self.plan.farm.groups:
            entry = self.knowledge.animals[group.class_]
            parts.append(f"{group.count} {entry.name if group.count == 1 else entry.plural}")
        return parts[0] if len(parts) == 1 else ", ".join(parts[:-1]) + " and " + parts[-1]

    def inside(self, pen_id: str) -> str:
        """A pen's name within a sentence: 'the pen', 'pen North Barn'."""
        name = self.pen(pen_id)
        return name[0].lower() + name[1:] if name.startswith(("The ", "Pen ")) else name

    def at_pen(self, pen_id: str) -> str:
        """', pen North Barn' where there are several pens, else nothing."""
        return f", {self.inside(pen_id)}" if len(self.plan.farm.pens) > 1 else ""

    def pen(self, pen_id: str) -> str:
        """A pen's name at the start of a sentence."""
        if len(self.plan.farm.pens) == 1:
            return "The pen"
        shown = pen_id.replace("_", " ")
        if shown.startswith("the "):
            return f"The {shown[4:]}"
        return shown if shown.lower().startswith(("pen", "the ")) else f"Pen {shown}"


def _plural(name: str) -> str:
    if name.endswith("s"):
        return name
    return name + ("es" if name.endswith(("x", "ch", "sh")) else "s")
